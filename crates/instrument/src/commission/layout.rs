//! The parts put together: the instrument laid out, and what only the whole can show.

use crate::camber::Camber;
use crate::commission::{TuningFiles, camber, cutting, parts, playing, scale};
use crate::format::Desk;
use crate::instrument::Instrument;
use crate::lanes::{Lane, lanes, lanes_apex};
use crate::outline::{Edge, Outline};
use crate::scale::{CrossLine, Ends, ScaleLength, fret_lines};

/// Reads every table, so that all faults are found together, and lays the instrument out when
/// none of them is wrong.
pub(super) fn lay_out(desk: &Desk<'_>, files: TuningFiles<'_>) -> Option<Instrument> {
    desk.whole("camberwright");
    let title = title(desk);
    let scale = desk
        .table("scale")
        .and_then(|table| scale::read(&table, files));
    let strings = desk
        .table("strings")
        .and_then(|table| parts::strings(&table));
    let board = desk.table("board");
    let widths = board.as_ref().and_then(parts::widths);
    let wood = board.as_ref().and_then(parts::wood);
    let overhang_mm = board
        .as_ref()
        .map_or(0.0, |board| board.length_or("overhang", 0.0));
    let blank_sizes = board.as_ref().map(cutting::blank_sizes).unwrap_or_default();
    let cutting_read = cutting::cutting(desk.table("cutting"));
    let dots_desk = desk.table("dots");
    let fret_spec = parts::fret_spec(desk.table("frets"));
    let wish = parts::wish(desk.table("wish"));
    let climate = parts::climate(desk.table("climate"));
    let neck = playing::neck(desk.table("neck"));
    let errors = playing::errors(desk.table("errors"));
    let camber_desk = desk.table("camber");

    // Without these the camber has no place to stand on; its own words are checked all the same.
    let (Some(scale), Some(strings), Some(widths)) = (scale, strings, widths) else {
        check_camber_alone(camber_desk.as_ref());
        return None;
    };
    let plan = plan(desk, &scale, &strings, &widths, overhang_mm)?;
    let place = camber::Place {
        frets: &plan.frets,
        end_x_mm: plan.outline.end.x_mm,
        lanes_apex_x_mm: plan
            .lanes
            .first()
            .zip(plan.lanes.last())
            .and_then(|(t, b)| lanes_apex(t, b)),
    };
    let camber = camber_desk
        .as_ref()
        .and_then(|table| camber::read(table, &place));
    check_strings_on_board(desk, &plan);
    let face = cutting::Face {
        frets: &plan.frets,
        lanes: &plan.lanes,
        outline: &plan.outline,
        tuning: &scale.tuning,
        slot_width_mm: fret_spec.map_or(0.0, |spec| spec.slot_width_mm),
    };
    let dots = cutting::dots(dots_desk, &face);
    let board = playing::Board {
        last_fret: plan.frets.len().saturating_sub(1),
        strings: strings.set.len(),
    };
    let fretwork = playing::fretwork(desk.table("fretwork"), board);
    let set_up = playing::set_up(desk.table("set_up"), board);
    playing::check(desk, &neck, &strings.set, board);
    let (camber, wood) = (camber?, wood?);
    check_camber_on_board(desk, &camber, &plan, &wood);
    let blank = cutting::blank(desk, blank_sizes, &plan.outline, &wood);
    let dots = dots?;
    cutting::check_depths(desk, &dots, &camber, &wood);
    Some(Instrument {
        title: title?,
        scale: scale.length,
        tuning: scale.tuning,
        a4_hz: scale.a4_hz,
        strings: strings.set,
        spacing: strings.spacing,
        behind_mm: strings.behind_mm,
        ends: plan.ends,
        lanes: plan.lanes,
        frets: plan.frets,
        outline: plan.outline,
        wood,
        camber,
        fret_spec: fret_spec?,
        wish: wish?,
        climate: climate?,
        neck,
        fretwork: fretwork?,
        set_up: set_up?,
        errors,
        dots,
        blank: blank?,
        cutting: cutting_read?,
    })
}

fn title(desk: &Desk<'_>) -> Option<String> {
    let given = desk.text("title")?;
    let title = given.value.trim();
    if title.is_empty() || title.chars().count() > 200 {
        desk.fault_at(
            &given,
            "a title has 1 to 200 letters",
            "give the instrument a short name",
        );
        return None;
    }
    Some(title.to_owned())
}

/// With no layout to stand on, a plain one lets the camber's own faults be told.
fn check_camber_alone(desk: Option<&Desk<'_>>) {
    let Some(desk) = desk else { return };
    let frets: Vec<CrossLine> = (0..=120)
        .map(|fret| CrossLine::square(f64::from(fret)))
        .collect();
    let place = camber::Place {
        frets: &frets,
        end_x_mm: 200.0,
        lanes_apex_x_mm: None,
    };
    // Only the faults that it notes are wanted here.
    let _faults_are_noted = camber::read(desk, &place);
}

/// The layout in plan.
struct Plan {
    ends: Ends,
    lanes: Vec<Lane>,
    frets: Vec<CrossLine>,
    outline: Outline,
}

fn plan(
    desk: &Desk<'_>,
    scale: &scale::Scale,
    strings: &parts::Strings,
    widths: &parts::Widths,
    overhang_mm: f64,
) -> Option<Plan> {
    let (nut_spread, saddle_spread) = (strings.nut_spread_mm, strings.saddle_spread_mm);
    check_fan(desk, scale.length, strings)?;
    let ends = scale.length.ends(nut_spread, saddle_spread);
    let gauges: Vec<f64> = strings.set.iter().map(|string| string.gauge.mm()).collect();
    let lanes = lanes(ends, nut_spread, saddle_spread, &gauges, strings.spacing);
    let (treble, bass) = (*lanes.first()?, *lanes.last()?);
    let frets = fret_lines(scale.length, &scale.tuning, scale.frets, &treble, &bass);
    let last = *frets.last()?;
    let end = CrossLine {
        x_mm: last.x_mm + overhang_mm,
        ..last
    };
    let outline = outline(widths, ends.nut, end, &treble, &bass);
    check_frets(desk, &frets, &outline)?;
    Some(Plan {
        ends,
        lanes,
        frets,
        outline,
    })
}

fn check_fan(desk: &Desk<'_>, length: ScaleLength, strings: &parts::Strings) -> Option<()> {
    let ScaleLength::Fanned {
        bass_mm, treble_mm, ..
    } = length
    else {
        return Some(());
    };
    if strings.set.len() < 2 || strings.nut_spread_mm <= 0.0 {
        desk.fault(
            "scale",
            "a fan needs at least two strings",
            "give one scale length",
        );
        return None;
    }
    let ratio = bass_mm.max(treble_mm) / bass_mm.min(treble_mm);
    if ratio > 1.5 {
        desk.fault(
            "scale",
            format!("lengths of {bass_mm} mm and {treble_mm} mm fan too widely to be played"),
            "the longer one is at most 1.5 times the shorter",
        );
        return None;
    }
    Some(())
}

fn outline(
    widths: &parts::Widths,
    nut: CrossLine,
    end: CrossLine,
    treble: &Lane,
    bass: &Lane,
) -> Outline {
    let (treble, bass) = match widths {
        parts::Widths::Straight { nut_mm, end_mm } => {
            let edge = Edge {
                at_nut_mm: 0.5 * nut_mm,
                rise: 0.5 * (end_mm - nut_mm) / (end.x_mm - nut.x_mm),
            };
            (edge, edge)
        }
        parts::Widths::Margin { margin_mm } => (
            Edge {
                at_nut_mm: treble.y_at(0.0) + margin_mm,
                rise: treble.rise(),
            },
            Edge {
                at_nut_mm: -bass.y_at(0.0) + margin_mm,
                rise: -bass.rise(),
            },
        ),
    };
    Outline {
        treble,
        bass,
        nut,
        end,
    }
}

/// Frets must not touch one another on the board, edge to edge.
fn check_frets(desk: &Desk<'_>, frets: &[CrossLine], outline: &Outline) -> Option<()> {
    /// The least distance between neighbouring frets that can be fretted at all, mm.
    const LEAST_STEP_MM: f64 = 1.0;
    for (fret, pair) in frets.windows(2).enumerate() {
        let [a, b] = [outline.edges_of(pair[0]), outline.edges_of(pair[1])];
        let step = (b[0].0 - a[0].0).min(b[1].0 - a[1].0);
        if step < LEAST_STEP_MM {
            desk.fault(
                "scale",
                format!(
                    "frets {fret} and {} lie {step:.3} mm apart at an edge",
                    fret + 1
                ),
                format!("at least {LEAST_STEP_MM} mm: fewer frets, a longer scale, or less fan"),
            );
            return None;
        }
    }
    Some(())
}

fn check_strings_on_board(desk: &Desk<'_>, plan: &Plan) {
    let Some((treble, bass)) = plan.lanes.first().zip(plan.lanes.last()) else {
        return;
    };
    for (line, place) in [
        (plan.frets[0], "the nut"),
        (plan.outline.end, "the board's end"),
    ] {
        let margins = plan.outline.margins(treble, bass, line);
        let least = margins[0].min(margins[1]);
        if least < 0.0 {
            let x = line.x_mm;
            desk.fault(
                "board",
                format!(
                    "at {place} the board is {:.2} mm wide and an outer string runs {:.2} mm beside it",
                    plan.outline.width(x),
                    -least
                ),
                "widen the board or narrow the spreads: strings must run over the board",
            );
        }
    }
}

/// The arch must reach both edges everywhere, and leave wood at them.
fn check_camber_on_board(
    desk: &Desk<'_>,
    camber: &Camber,
    plan: &Plan,
    wood: &crate::instrument::Wood,
) {
    let outline = &plan.outline;
    let (from, to) = outline.reach();
    let mut places: Vec<f64> = outline.breaks().to_vec();
    places.extend(camber.breaks());
    places.retain(|x| (from..=to).contains(x));
    // Radius and half-width both run straight between these places, so that the worst is at one
    // of them.
    let tight = places.iter().copied().find(|x| {
        let radius = camber.radius(*x);
        radius.mm() <= outline.half_width(*x)
    });
    if let Some(x) = tight {
        desk.fault(
            "camber",
            format!(
                "at {x:.1} mm the radius is {:.2} mm, and the board reaches {:.2} mm from its centreline",
                camber.radius(x).mm(),
                outline.half_width(x)
            ),
            "the radius must be more than half the board's width everywhere, its end included",
        );
        return;
    }
    let (ledge, binding) = wood
        .binding
        .map_or((0.0, 0.0), |b| (b.ledge_mm, b.width_mm));
    let thinnest = places
        .iter()
        .map(|x| {
            let drop = crate::arc::drop(camber.radius(*x), outline.half_width(*x));
            (*x, wood.crown_thickness_mm - camber.fall(*x) - drop - ledge)
        })
        .min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((x, left)) = thinnest.filter(|(_, left)| *left <= 0.0) {
        desk.fault(
            "board.crown_thickness",
            format!("at {x:.1} mm the edge would be {left:.2} mm thick"),
            "a thicker crown, a flatter camber, or less fall-away: an edge needs wood",
        );
    }
    let narrowest = outline
        .width(outline.nut.x_mm)
        .min(outline.width(outline.end.x_mm));
    if 2.0 * binding >= narrowest {
        desk.fault(
            "board.binding",
            format!("two strips of {binding} mm leave nothing of a board {narrowest:.2} mm wide"),
            "a narrower binding",
        );
    }
}
