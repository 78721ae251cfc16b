//! The tables `[dots]` and `[cutting]`, and the blank's sizes in `[board]`.

use crate::camber::Camber;
use crate::commission::cutting_keys::CLAMP;
use crate::cutting::{Blank, Clamp, Cutting};
use crate::dots::Dot;
use crate::format::{Desk, Entry, Kind};
use crate::instrument::Wood;
use crate::lanes::Lane;
use crate::outline::Outline;
use crate::scale::CrossLine;
use crate::tuning::Tuning;

/// What dots need to know of the board.
pub(super) struct Face<'a> {
    pub frets: &'a [CrossLine],
    pub lanes: &'a [Lane],
    pub outline: &'a Outline,
    pub tuning: &'a Tuning,
    pub slot_width_mm: f64,
}

/// Frets that carry a dot within an octave of twelve equal steps (common practice, no source).
const MARKED_STEPS: [usize; 5] = [3, 5, 7, 9, 12];
/// The most clamps that are read.
const MOST_CLAMPS: usize = 40;

/// The dots of a board, in order along it. Frets that are named must have room for theirs; of the
/// usual ones those without room go without.
pub(super) fn dots(desk: Option<Desk<'_>>, face: &Face<'_>) -> Option<Vec<Dot>> {
    let Some(desk) = desk else {
        return Some(Vec::new());
    };
    let diameter_mm = desk.length_or("diameter", 6.0);
    let depth_mm = desk.length_or("depth", 1.5);
    let apart = desk.length("apart").map(|given| given.value.mm());
    let named = desk.has("frets");
    let frets = if named {
        numbered(&desk, "frets", face)?
    } else {
        usual_frets(face)
    };
    let double = if desk.has("double") {
        numbered(&desk, "double", face)?
    } else {
        let octave = |fret: &usize| face.tuning.cents(*fret) % 1200.0 == 0.0;
        frets.iter().copied().filter(octave).collect()
    };
    let mut dots = Vec::new();
    for fret in frets {
        let middle = between(face.frets[fret - 1], face.frets[fret]);
        let at = |y_mm: f64| Dot {
            fret,
            x_mm: middle.x_at(y_mm),
            y_mm,
            diameter_mm,
            depth_mm,
        };
        let aside = 0.5 * apart.unwrap_or_else(|| 0.5 * outer_distance(face, middle));
        let (pair, one) = (vec![at(aside), at(-aside)], vec![at(0.0)]);
        let wanted = if double.contains(&fret) { &pair } else { &one };
        let has_room = |dots: &[Dot]| room(face, dots).mm > 0.5 * diameter_mm;
        if has_room(wanted) {
            dots.extend_from_slice(wanted);
        } else if named || apart.is_some() || desk.has("double") {
            no_room(&desk, &wanted[0], &room(face, wanted));
            return None;
        } else if has_room(&one) {
            dots.extend(one);
        }
    }
    Some(dots)
}

/// The line midway between two frets.
fn between(one: CrossLine, other: CrossLine) -> CrossLine {
    CrossLine {
        x_mm: 0.5 * (one.x_mm + other.x_mm),
        slope: 0.5 * (one.slope + other.slope),
    }
}

fn outer_distance(face: &Face<'_>, line: CrossLine) -> f64 {
    let outer = face.lanes.first().zip(face.lanes.last());
    outer.map_or(0.0, |(treble, bass)| {
        treble.cross(line).1 - bass.cross(line).1
    })
}

/// Frets named in a list, in order along the board and each once.
fn numbered(desk: &Desk<'_>, name: &str, face: &Face<'_>) -> Option<Vec<usize>> {
    let last = face.frets.len().saturating_sub(1);
    let mut found = Vec::new();
    for entry in desk.list(name)? {
        let given = entry.whole(&Kind::Whole {
            least: 1,
            most: super::keys::MOST_FRETS,
        })?;
        let fret = usize::try_from(given.value).ok()?;
        if fret > last {
            desk.fault_at(
                &given,
                format!("fret {fret} is past the last, fret {last}"),
                format!("name frets from 1 to {last}"),
            );
            return None;
        }
        found.push(fret);
    }
    found.sort_unstable();
    found.dedup();
    Some(found)
}

/// The usual frets as far as the board goes; none where the octave has not twelve equal steps.
fn usual_frets(face: &Face<'_>) -> Vec<usize> {
    let last = face.frets.len().saturating_sub(1);
    if *face.tuning != Tuning::equal(12) {
        return Vec::new();
    }
    let marked = |fret: &usize| MARKED_STEPS.contains(&((fret - 1) % 12 + 1));
    (1..=last).filter(marked).collect()
}

/// How large a dot's radius may be, and what bounds it.
struct Room {
    mm: f64,
    by_pair: bool,
}

/// The room of the dots behind one fret: clear of both slots, of the edges and of one another.
fn room(face: &Face<'_>, dots: &[Dot]) -> Room {
    let one = |dot: &Dot| {
        let away = |line: CrossLine| {
            (dot.x_mm - line.x_at(dot.y_mm)).abs() / (1.0 + line.slope * line.slope).sqrt()
        };
        let along = away(face.frets[dot.fret - 1]).min(away(face.frets[dot.fret]))
            - 0.5 * face.slot_width_mm;
        let treble = face.outline.treble.at(dot.x_mm) - dot.y_mm;
        along
            .min(treble)
            .min(face.outline.bass.at(dot.x_mm) + dot.y_mm)
    };
    let alone = dots.iter().map(one).fold(f64::INFINITY, f64::min);
    let pairs = dots
        .windows(2)
        .map(|pair| 0.5 * (pair[0].y_mm - pair[1].y_mm).abs());
    let pair = pairs.fold(f64::INFINITY, f64::min);
    Room {
        mm: alone.min(pair),
        by_pair: pair < alone,
    }
}

fn no_room(desk: &Desk<'_>, dot: &Dot, room: &Room) {
    desk.fault(
        if room.by_pair { "apart" } else { "diameter" },
        format!(
            "dots of {} mm have room for {:.2} mm behind fret {}",
            dot.diameter_mm,
            2.0 * room.mm.max(0.0),
            dot.fret
        ),
        "smaller dots, or leave that fret away",
    );
}

/// A pocket leaves wood under it.
pub(super) fn check_depths(desk: &Desk<'_>, dots: &[Dot], camber: &Camber, wood: &Wood) {
    /// The least wood under a pocket, mm (common practice, no source).
    const LEAST_UNDER_MM: f64 = 0.5;
    let under =
        |dot: &Dot| wood.crown_thickness_mm + camber.height(dot.x_mm, dot.y_mm) - dot.depth_mm;
    if let Some(dot) = dots.iter().find(|dot| under(dot) < LEAST_UNDER_MM) {
        desk.fault(
            "dots",
            format!(
                "pockets of {} mm leave {:.2} mm of wood behind fret {}",
                dot.depth_mm,
                under(dot),
                dot.fret
            ),
            format!("shallower dots: at least {LEAST_UNDER_MM} mm stay under them"),
        );
    }
}

/// What of a blank's sizes was given in `[board]`, mm.
#[derive(Clone, Copy, Default)]
pub(super) struct BlankSizes {
    length_mm: Option<f64>,
    width_mm: Option<f64>,
    before_nut_mm: Option<f64>,
}

pub(super) fn blank_sizes(desk: &Desk<'_>) -> BlankSizes {
    let length = |name| desk.length(name).map(|given| given.value.mm());
    BlankSizes {
        length_mm: length("blank_length"),
        width_mm: length("blank_width"),
        before_nut_mm: length("blank_before_nut"),
    }
}

/// Wood that a blank of no stated size has on every side of the board, mm.
const USUAL_REST_MM: f64 = 15.0;

/// The blank on the bed. Where no size is given it has some wood to spare on every side.
pub(super) fn blank(
    desk: &Desk<'_>,
    sizes: BlankSizes,
    outline: &Outline,
    wood: &Wood,
) -> Option<Blank> {
    let (from, to) = outline.reach();
    let widest = outline
        .corners()
        .iter()
        .fold(0.0, |most: f64, corner| most.max(corner.1.abs()));
    let before = sizes.before_nut_mm.unwrap_or(match sizes.length_mm {
        Some(length) => 0.5 * (length - (to - from)) - from,
        None => USUAL_REST_MM - from,
    });
    let length_mm = sizes.length_mm.unwrap_or(before + to + USUAL_REST_MM);
    let width_mm = sizes.width_mm.unwrap_or(2.0 * (widest + USUAL_REST_MM));
    let blank = Blank {
        length_mm,
        width_mm,
        thickness_mm: wood
            .blank_thickness_mm
            .unwrap_or(wood.crown_thickness_mm + 1.0),
        from_x_mm: -before,
    };
    let short = (blank.from_x_mm - from).max(to - blank.from_x_mm - length_mm);
    let narrow = widest - 0.5 * width_mm;
    // Rounding of a blank as large as the board is no lack of wood.
    if short.max(narrow) > 1e-6 {
        let (name, by) = if short >= narrow {
            ("blank_length", short)
        } else {
            ("blank_width", narrow)
        };
        desk.fault(
            "board",
            format!("a blank {length_mm:.2} mm long and {width_mm:.2} mm wide lacks {by:.2} mm at the board's outline"),
            format!("a larger {name}, or another blank_before_nut"),
        );
        return None;
    }
    Some(blank)
}

pub(super) fn cutting(desk: Option<Desk<'_>>) -> Option<Cutting> {
    let mut cutting = Cutting::default();
    let Some(desk) = desk else {
        return Some(cutting);
    };
    for (name, slot) in [
        ("scallop", &mut cutting.scallop_mm),
        ("allowance", &mut cutting.allowance_mm),
        ("tab_length", &mut cutting.tab_length_mm),
        ("tab_height", &mut cutting.tab_height_mm),
    ] {
        *slot = desk.length_or(name, *slot);
    }
    if let Some(tabs) = desk.whole("tabs") {
        cutting.tabs = usize::try_from(tabs.value).unwrap_or(cutting.tabs);
    }
    if !desk.has("clamps") {
        return Some(cutting);
    }
    let entries = desk.list("clamps")?;
    if entries.len() > MOST_CLAMPS {
        desk.fault(
            "clamps",
            format!("{} clamps", entries.len()),
            format!("at most {MOST_CLAMPS} are read"),
        );
        return None;
    }
    let clamps: Vec<Option<Clamp>> = entries.iter().map(clamp).collect();
    cutting.clamps = clamps.into_iter().collect::<Option<Vec<Clamp>>>()?;
    Some(cutting)
}

fn clamp(entry: &Entry<'_>) -> Option<Clamp> {
    let desk = entry.table(&CLAMP)?;
    let [x, y, along, across, height] =
        ["x", "y", "along", "across", "height"].map(|name| Some(desk.length(name)?.value.mm()));
    let (x, y) = (x?, y?);
    Some(Clamp {
        from: (x, y),
        to: (x + along?, y + across?),
        height_mm: height?,
    })
}

#[cfg(test)]
mod tests {
    use crate::instrument::Instrument;
    use crate::{Faults, read_commission};

    const PLAIN: &str = include_str!("../../../../demo/heron.toml");

    /// Heron without its dots, with other lines after it.
    fn read(more: &str) -> Result<Instrument, Faults> {
        let dots = PLAIN.find("[dots]").expect("Heron has dots");
        let wish = PLAIN.find("[wish]").expect("Heron has a wish");
        let text = format!("{}{}\n{more}", &PLAIN[..dots], &PLAIN[wish..]);
        read_commission(&text, &|_| Err("no files here".into()))
    }

    fn board(more: &str) -> Result<Instrument, Faults> {
        let text = PLAIN.replace("overhang =", &format!("{more}\noverhang ="));
        read_commission(&text, &|_| Err("no files here".into()))
    }

    fn first_fault(read: Result<Instrument, Faults>) -> (String, String) {
        let faults = read.expect_err("it is not sound");
        (faults.0[0].place.clone(), faults.0[0].message.clone())
    }

    #[test]
    fn usual_dots_lie_midway_between_frets_and_double_at_the_octave() {
        let instrument = read("[dots]").expect("sound");
        let frets: Vec<usize> = instrument.dots.iter().map(|dot| dot.fret).collect();
        // Where dots are: common practice, no source.
        assert_eq!(frets, [3, 5, 7, 9, 12, 12, 15, 17, 19, 21]);
        let third = instrument.dots[0];
        let middle = 0.5 * (instrument.fret_x_mm(2) + instrument.fret_x_mm(3));
        assert!((third.x_mm - middle).abs() < 1e-12 && third.y_mm == 0.0);
        let octave: Vec<f64> = instrument.dots[4..6].iter().map(|dot| dot.y_mm).collect();
        assert!(octave[0] > 0.0 && octave[0] == -octave[1]);
    }

    #[test]
    fn a_board_without_the_table_has_no_dots() {
        assert!(read("").expect("sound").dots.is_empty());
    }

    #[test]
    fn dots_without_room_or_wood_are_faults_with_a_way_out() {
        for (more, place, says) in [
            (
                "[dots]\nfrets = [9]\ndiameter = \"28 mm\"",
                "dots.diameter",
                "room",
            ),
            (
                "[dots]\nfrets = [12]\napart = \"5 mm\"",
                "dots.apart",
                "room",
            ),
            ("[dots]\nfrets = [23]", "dots.frets[1]", "past the last"),
            ("[dots]\ndepth = \"5.8 mm\"", "dots", "leave"),
        ] {
            let (at, message) = first_fault(read(more));
            assert_eq!(at, place, "{message}");
            assert!(message.contains(says), "{message}");
        }
    }

    #[test]
    fn a_blank_of_no_size_has_wood_to_spare_all_round() {
        let blank = read("").expect("sound").blank;
        assert_eq!(blank.from_x_mm, -15.0);
        assert!((blank.length_mm - (464.809_150 + 30.0)).abs() < 1e-5);
        assert!((blank.width_mm - 86.5).abs() < 1e-9);
        assert_eq!(blank.thickness_mm, 7.4);
    }

    #[test]
    fn usual_frets_without_room_go_without_a_dot() {
        let instrument = read("[dots]\ndiameter = \"14 mm\"").expect("sound");
        let frets: Vec<usize> = instrument.dots.iter().map(|dot| dot.fret).collect();
        // From fret 17 on the frets lie nearer together than 14 mm and a slot's width.
        assert_eq!(frets, [3, 5, 7, 9, 12, 12, 15]);
        let other = PLAIN.replace("frets = 22", "frets = 22\ntuning = \"19 equal\"");
        let other = read_commission(&other, &|_| Err("no files here".into()));
        assert!(other.expect("sound").dots.is_empty());
    }

    #[test]
    fn a_given_blank_lies_evenly_and_must_hold_the_board() {
        let blank = board("blank_length = \"500 mm\"").expect("sound").blank;
        let after = blank.from_x_mm + blank.length_mm - 464.809_150;
        assert!((after + blank.from_x_mm).abs() < 1e-5, "{blank:?}");
        for (more, says) in [
            ("blank_length = \"460 mm\"", "lacks 2.40 mm"),
            ("blank_width = \"50 mm\"", "lacks 3.25 mm"),
            ("blank_before_nut = \"-3 mm\"", "lacks 3.00 mm"),
        ] {
            let (place, message) = first_fault(board(more));
            assert_eq!(place, "board");
            assert!(message.contains(says), "{message}");
        }
    }

    #[test]
    fn clamps_are_boxes_on_the_bed() {
        let more = "[cutting]\nscallop = \"5 um\"\ntabs = 4\n\
                    clamps = [{ x = -20, y = \"-10 mm\", along = 15, across = 20, height = 30 }]";
        let cutting = read(more).map(|instrument| instrument.cutting);
        let cutting = cutting.unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!((cutting.scallop_mm, cutting.tabs), (0.005, 4));
        let clamp = cutting.clamps[0];
        assert_eq!((clamp.from, clamp.to), ((-20.0, -10.0), (-5.0, 10.0)));
        assert_eq!(clamp.height_mm, 30.0);
    }
}
