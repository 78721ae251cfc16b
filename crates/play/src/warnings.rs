//! What a good foreman would say on reading the sheet.

use instrument::camber::Law;
use instrument::frets::SlotFit;
use instrument::{Instrument, fret_name};
use quantity::{Mark, nearest_wood_name, wood};

use crate::sheet::Sheet;

/// A warning: what is doubtful, in words, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// A short name that stays the same.
    pub code: &'static str,
    /// What is doubtful, with figure and limit, and what would help.
    pub message: String,
    /// Where: a fret, a string, or a key of the commission.
    pub place: String,
}

/// Least distance from an outer string's centre to the edge, mm (common practice, no source).
pub const LEAST_MARGIN_MM: f64 = 2.5;
/// Least wood under a slot, mm (common practice, no source).
pub const LEAST_UNDER_SLOT_MM: f64 = 1.5;
/// Least air between two crowns for a fingertip, mm (common practice, no source).
const LEAST_AIR_MM: f64 = 4.0;
/// Fret ends that stand prouder than this are felt, mm (common practice, no source).
const FELT_MM: f64 = 0.1;

struct Notes {
    found: Vec<Warning>,
}

impl Notes {
    fn add(&mut self, code: &'static str, place: impl Into<String>, message: impl Into<String>) {
        self.found.push(Warning {
            code,
            message: message.into(),
            place: place.into(),
        });
    }
}

/// All warnings of a sheet.
pub(crate) fn warnings(instrument: &Instrument, sheet: &Sheet) -> Vec<Warning> {
    let mut notes = Notes { found: Vec::new() };
    margins(sheet, &mut notes);
    edges(instrument, sheet, &mut notes);
    slots(instrument, sheet, &mut notes);
    wire(instrument, sheet, &mut notes);
    camber(instrument, &mut notes);
    strings(instrument, sheet, &mut notes);
    wood_notes(instrument, &mut notes);
    climate(instrument, sheet, &mut notes);
    notes.found
}

fn margins(sheet: &Sheet, notes: &mut Notes) {
    let least = sheet
        .frets
        .iter()
        .min_by(|a, b| a.margin_mm().total_cmp(&b.margin_mm()));
    let Some(worst) = least.filter(|fret| fret.margin_mm() < LEAST_MARGIN_MM) else {
        return;
    };
    notes.add(
        "margin_small",
        place(worst.fret),
        format!(
            "an outer string runs {:.2} mm from the edge at {}, less than {LEAST_MARGIN_MM} mm: \
             it slips off when pulled; widen the board or narrow the spread",
            worst.margin_mm(),
            place(worst.fret)
        ),
    );
}

fn edges(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let Some(least) = instrument.wood.least_edge_mm else {
        return;
    };
    let worst = sheet
        .frets
        .iter()
        .min_by(|a, b| a.edge_thickness_mm.total_cmp(&b.edge_thickness_mm));
    if let Some(fret) = worst.filter(|fret| fret.edge_thickness_mm < least) {
        notes.add(
            "edge_thin",
            place(fret.fret),
            format!(
                "the edge is {:.2} mm at {}, under the least {least:.2} mm: a thicker crown or a \
                 flatter camber would keep it",
                fret.edge_thickness_mm,
                place(fret.fret)
            ),
        );
    }
}

fn slots(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let fretted = sheet.frets.iter().skip(1);
    let worst = fretted.min_by(|a, b| a.wood_under_slot_mm.total_cmp(&b.wood_under_slot_mm));
    if let Some(fret) = worst.filter(|fret| fret.wood_under_slot_mm < LEAST_UNDER_SLOT_MM) {
        let (code, words) = if fret.wood_under_slot_mm <= 0.0 {
            ("slot_through", "the slot cuts through the board")
        } else {
            ("slot_deep", "little wood is left under the slot")
        };
        notes.add(
            code,
            place(fret.fret),
            format!(
                "{words}: {:.2} mm at fret {} under {:.2} mm of slot, less than \
                 {LEAST_UNDER_SLOT_MM} mm; a thicker crown, a shorter tang or a floor that follows \
                 the camber would help",
                fret.wood_under_slot_mm, fret.fret, fret.slot_depth_mm
            ),
        );
    }
    if instrument.fret_spec.clearance_mm == 0.0 {
        notes.add(
            "no_clearance",
            "frets.clearance",
            "slot depths leave no air under the tang: saw a hair deeper, or give a clearance",
        );
    }
    if let Some(binding) = instrument.wood.binding {
        notes.add(
            "bound_slots",
            "board.binding",
            format!(
                "slots stop {:.2} mm short of each edge, at the strip: nip the tang back by as much, \
                 and let the crown run over it",
                binding.width_mm
            ),
        );
    }
    match sheet.fit {
        SlotFit::Tight { by_mm } => notes.add(
            "slot_tight",
            "frets.slot_width",
            format!("the slot is {by_mm:.3} mm narrower than the tang: a row of wedges bows the neck back"),
        ),
        SlotFit::Loose { by_mm } => notes.add(
            "slot_loose",
            "frets.slot_width",
            format!("the slot is {by_mm:.3} mm wider than the barbs reach: frets lift; glue, or a narrower saw"),
        ),
        SlotFit::Holds { .. } | SlotFit::Unknown => {}
    }
}

fn wire(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    if let Some(fret) = sheet.wire.too_long.first() {
        notes.add(
            "stick_short",
            format!("fret {fret}"),
            format!(
                "{} pieces of wire are longer than the {:.0} mm stick",
                sheet.wire.too_long.len(),
                instrument.fret_spec.stick_length_mm
            ),
        );
    }
    let crown = instrument.fret_spec.crown_width_mm;
    let narrow = sheet
        .frets
        .iter()
        .find(|fret| fret.step_mm.is_some_and(|step| step - crown < LEAST_AIR_MM));
    if let Some(fret) = narrow {
        let air = fret.step_mm.unwrap_or(0.0) - crown;
        notes.add(
            "frets_close",
            place(fret.fret),
            format!(
                "from fret {} on less than {LEAST_AIR_MM} mm lies between crowns ({air:.2} mm there): \
                 narrower wire would give the fingertip room",
                fret.fret
            ),
        );
    }
}

fn camber(instrument: &Instrument, notes: &mut Notes) {
    let camber = &instrument.camber;
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let (nut, last) = (camber.radius(0.0), camber.radius(last_x));
    if last.mm() < nut.mm() * (1.0 - 1e-9) {
        notes.add(
            "tightens",
            "camber",
            format!(
                "the camber tightens toward the body, {:.1} mm to {:.1} mm: bends there choke sooner, \
                 and blocks must work from the far end",
                nut.mm(),
                last.mm()
            ),
        );
    }
    let held = camber.law == Law::Stations
        && camber
            .knots()
            .last()
            .is_some_and(|knot| knot.x_mm < last_x - 1e-9);
    let held_at_nut =
        camber.law == Law::Stations && camber.knots().first().is_some_and(|knot| knot.x_mm > 1e-9);
    if held || held_at_nut {
        notes.add(
            "stations_held",
            "camber.at",
            "outside the first and last station the radius is held as it is there",
        );
    }
}

fn strings(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    for (index, string) in sheet.strings.iter().enumerate() {
        if string.weight.is_none() {
            notes.add(
                "weight_unknown",
                format!("string {}", index + 1),
                format!(
                    "no unit weight is known for {} {:.3} mm: no tension for string {}; give \
                     unit_weight as its maker states it",
                    instrument.strings[index].make,
                    instrument.strings[index].gauge.mm(),
                    index + 1
                ),
            );
        }
    }
    let rises = instrument
        .strings
        .windows(2)
        .position(|pair| pair[0].note.midi_number() < pair[1].note.midi_number());
    if let Some(index) = rises {
        notes.add(
            "strings_order",
            format!("string {}", index + 2),
            format!(
                "string {} is tuned higher than string {}: the first string of the set is taken as \
                 the highest, on the treble side; keep the order if the tuning is meant so",
                index + 2,
                index + 1
            ),
        );
    }
    if instrument.strings.len() == 1 {
        notes.add(
            "one_string",
            "strings.set",
            "one string runs on the centreline; spreads are not used",
        );
    }
}

fn wood_notes(instrument: &Instrument, notes: &mut Notes) {
    let name = &instrument.wood.name;
    if name.is_empty() {
        return;
    }
    let Some(wood) = wood(name) else {
        let near = nearest_wood_name(name).map_or(
            "the figures of woods are listed in the docs".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        notes.add(
            "wood_unknown",
            "board.wood",
            format!(
                "no figures are known for \"{name}\": no movement, hardness or health note; {near}"
            ),
        );
        return;
    };
    if let Some(health) = &wood.health {
        notes.add(
            "wood_health",
            "board.wood",
            format!(
                "{}: reported {} ({}); extract dust at the tool and wear a fitted respirator; \
                 local rules and medical advice come first",
                wood.name,
                health.reported,
                cited(health.source, health.mark)
            ),
        );
    }
    if let Some(law) = &wood.law {
        notes.add(
            "wood_law",
            "board.wood",
            format!(
                "{}: {} ({}); listings change, the law of the place comes first",
                wood.name,
                law.listing,
                cited(law.source, law.mark)
            ),
        );
    }
}

/// A source, and that it was not looked up when that is so.
fn cited(source: &str, mark: Mark) -> String {
    if mark == Mark::Memory {
        format!("{source}; from memory")
    } else {
        source.to_owned()
    }
}

/// The nut or a fret, in words.
fn place(fret: usize) -> String {
    if fret == 0 {
        "the nut".into()
    } else {
        fret_name(fret)
    }
}

fn climate(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let Some(movement) = &sheet.movement else {
        return;
    };
    let (_, proud) = movement.proud_mm;
    if proud > FELT_MM {
        notes.add(
            "ends_proud",
            "climate",
            format!(
                "from {:.0} % to {:.0} % humidity each fret end comes to stand {proud:.2} mm proud at \
                 the last fret: dress ends under, or let the board settle drier first",
                instrument.climate.shop_humidity, instrument.climate.home_humidity
            ),
        );
    }
}
