//! Edge and slot depths of every fret, and tongues as long as the slots are deep.

use instrument::Instrument;
use instrument::arc::drop;
use instrument::frets::SlotFloor;
use play::Sheet;
use play::sheet::FretFigures;

use super::draft::{Draft, Head, both_units, centred_lines, exact, in_rows, wrapped};
use super::table::Table;
use crate::pictures::Look;
use crate::{Path, Point, Scene, Weight};

/// Depths within this of each other share a tongue, mm.
const ONE_TONGUE_MM: f64 = 0.05;
/// Width of a tongue, mm: narrow enough to stand on the crown.
const TONGUE_MM: f64 = 4.0;
/// Width of the plate over it, mm.
const PLATE_MM: f64 = 34.0;
/// Height of the plate without its letters, mm.
const PLATE_HEIGHT_MM: f64 = 5.0;
/// Size of the letters on it, mm.
const LETTER_MM: f64 = 2.4;
/// Widest row of tongues, mm.
const ROW_MM: f64 = 184.0;
/// Rows of the table that stand in one column, at most.
const MOST_ROWS: usize = 40;

/// Frets whose slots are equally deep.
#[derive(Clone, Debug, PartialEq)]
pub struct DepthGroup {
    /// The deepest slot among them, under the crown, mm: none comes out too shallow by it.
    pub depth_mm: f64,
    /// The frets, in order.
    pub frets: Vec<usize>,
}

/// Frets grouped by the depth of their slots: those in a group differ by 0.05 mm at most. Groups
/// stand from the shallowest to the deepest.
pub fn depth_groups(sheet: &Sheet) -> Vec<DepthGroup> {
    let mut slots: Vec<(f64, usize)> = sheet
        .frets
        .iter()
        .skip(1)
        .map(|fret| (fret.slot_depth_mm, fret.fret))
        .collect();
    slots.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut groups: Vec<DepthGroup> = Vec::new();
    for (depth_mm, fret) in slots {
        match groups.last_mut() {
            // Rounding of two equal figures must not open a group.
            Some(group) if group.depth_mm - depth_mm <= ONE_TONGUE_MM + 1e-9 => {
                group.frets.push(fret);
            }
            _ => groups.push(DepthGroup {
                depth_mm,
                frets: vec![fret],
            }),
        }
    }
    groups.reverse();
    for group in &mut groups {
        group.frets.sort_unstable();
    }
    groups
}

/// Tongues as long as the slots are deep, and a table of edges and slots.
///
/// What it is for: a tongue of sheet no thicker than the slot stands in it on the crown; when its
/// shoulders touch the wood, the slot is deep enough. Against the saw's blade it sets the stop.
/// Layers: `cut` (the tongues), `engrave` (their letters) and `words`.
pub fn depth_card(instrument: &Instrument, sheet: &Sheet, look: Look) -> Scene {
    let groups = depth_groups(sheet);
    let tongues: Vec<Draft> = groups.iter().map(tongue).collect();
    let mut draft = in_rows(&tongues, ROW_MM, 5.0);
    let tables: Vec<Draft> = sheet
        .frets
        .chunks(MOST_ROWS)
        .map(|frets| table(instrument, frets, look).drawn())
        .collect();
    draft.put_below(&in_rows(&tables, f64::INFINITY, 10.0), 6.0);
    draft.finish(&instrument.title, &head(instrument, look))
}

fn head(instrument: &Instrument, look: Look) -> Head {
    let spec = &instrument.fret_spec;
    let tang = exact(look, spec.tang_depth_mm + spec.clearance_mm, 2);
    let floor = match spec.slot_floor {
        SlotFloor::Flat => {
            "Slots have a flat floor: a straight saw goes deeper under the crown by what the board \
             has dropped at the slot's ends"
        }
        SlotFloor::FollowsCamber => "Slot floors follow the camber: one depth all along the slot",
    };
    Head {
        name: "depth card",
        purpose: "To set the saw's depth and to prove slots and edges by; true size.".into(),
        notes: vec![
            format!("{floor}; tang and air under it need {tang}."),
            format!(
                "Cut tongues from sheet no thicker than the slot, {}. A tongue stands in the slot \
                 on the crown: its shoulders touch the wood when the slot is deep enough. Slots \
                 within {} of each other share the tongue of the deepest.",
                exact(look, spec.slot_width_mm, 2),
                exact(look, ONE_TONGUE_MM, 2)
            ),
            "Set the stop with the saw still and out of power, hands off the teeth; local rules \
             come first."
                .into(),
        ],
    }
}

/// A plate with one tongue below it.
fn tongue(group: &DepthGroup) -> Draft {
    let words = format!(
        "slot {}, {}",
        both_units(group.depth_mm, 2),
        frets_named(&group.frets)
    );
    let lines = wrapped(&words, LETTER_MM, Weight::Regular, PLATE_MM - 4.0);
    let height = PLATE_HEIGHT_MM + 1.4 * LETTER_MM * lines.len() as f64;
    let (half, side) = (0.5 * TONGUE_MM, 0.5 * PLATE_MM);
    let at = Point::new;
    let shape = Path::polygon(&[
        at(-side, -height),
        at(side, -height),
        at(side, 0.0),
        at(half, 0.0),
        at(half, group.depth_mm),
        at(-half, group.depth_mm),
        at(-half, 0.0),
        at(-side, 0.0),
    ]);
    let mut draft = Draft::default();
    draft.cut("cut", shape);
    let top = 0.5 * PLATE_HEIGHT_MM - height;
    centred_lines(&mut draft, "engrave", &lines, (0.0, top), LETTER_MM);
    draft
}

/// `fret 3`, `frets 1 to 7, 9 and 12`.
fn frets_named(frets: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for fret in frets {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == *fret => run.1 = *fret,
            _ => runs.push((*fret, *fret)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|(from, to)| match to - from {
            0 => from.to_string(),
            1 => format!("{from}, {to}"),
            _ => format!("{from} to {to}"),
        })
        .collect();
    let name = if frets.len() == 1 { "fret" } else { "frets" };
    match words.as_slice() {
        [] => String::new(),
        [one] => format!("{name} {one}"),
        [before @ .., last] => format!("{name} {} and {last}", before.join(", ")),
    }
}

fn table(instrument: &Instrument, frets: &[FretFigures], look: Look) -> Table {
    let mut table = Table::new([
        "fret",
        "edge under the crown",
        "edge thickness",
        "slot depth under the crown",
        "slot depth at its end",
    ]);
    for fret in frets {
        let is_nut = fret.fret == 0;
        let slot = |mm: f64| {
            if is_nut {
                "–".to_owned()
            } else {
                exact(look, mm, 2)
            }
        };
        table.row([
            if is_nut {
                "nut".into()
            } else {
                fret.fret.to_string()
            },
            exact(look, fret.edge_drop_mm, 2),
            exact(look, fret.edge_thickness_mm, 2),
            slot(fret.slot_depth_mm),
            slot(depth_at_end_mm(instrument, fret)),
        ]);
    }
    table
}

/// How deep a slot is where it ends: at the edge, or at the binding.
fn depth_at_end_mm(instrument: &Instrument, fret: &FretFigures) -> f64 {
    match instrument.fret_spec.slot_floor {
        SlotFloor::FollowsCamber => fret.slot_depth_mm,
        SlotFloor::Flat => {
            let binding = instrument.wood.binding.map_or(0.0, |strip| strip.width_mm);
            let end = instrument.outline.half_width(fret.x_mm) - binding;
            fret.slot_depth_mm - drop(fret.radius, end)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frets_are_named_in_runs() {
        assert_eq!(frets_named(&[3]), "fret 3");
        assert_eq!(frets_named(&[1, 2, 3, 4]), "frets 1 to 4");
        assert_eq!(
            frets_named(&[1, 2, 3, 7, 9, 10]),
            "frets 1 to 3, 7 and 9, 10"
        );
    }
}
