//! A maker's words for a place on the board, read into a spot and said of a spot.
//!
//! Along the board a place is `nut`, `fret 9`, `last fret`, `end` or a length from the nut;
//! across it is `centre`, `lane 3`, `treble edge`, `bass edge` or a length from the centreline.

use instrument::outline::Outline;
use instrument::scale::CrossLine;
use instrument::{Instrument, fret_name};
use quantity::{Length, LengthUnit, QuantityError, parse_length, write_length};

use crate::reading::Spot;

/// So far outside the outline a spot is still taken, mm: what a hand misses an edge by.
pub const OUTSIDE_MM: f64 = 1.0;

/// Closer than a maker can mark, mm: such a spot is said to be exactly there.
const EXACT_MM: f64 = 0.05;

/// A place along the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Along {
    /// On a fret's line; 0 is the nut.
    Fret(usize),
    /// On the line of the board's end.
    End,
    /// On a line square to the centreline, so many mm from the nut.
    Mm(f64),
}

/// A place across the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Across {
    /// In the lane of this string, counted from 1; 1 is the highest string.
    Lane(usize),
    /// On the edge on the treble side.
    TrebleEdge,
    /// On the edge on the bass side.
    BassEdge,
    /// So many mm from the centreline, positive toward the treble side.
    Mm(f64),
}

/// What is wrong with the words for a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlaceFault {
    /// The thing, the value with its unit, the limit.
    pub message: String,
    /// A way out.
    pub way_out: String,
}

impl PlaceFault {
    fn new(message: impl Into<String>, way_out: impl Into<String>) -> Self {
        PlaceFault {
            message: message.into(),
            way_out: way_out.into(),
        }
    }
}

const ALONG_WAY_OUT: &str = "write nut, fret 9, last fret, end or a length from the nut";
const ACROSS_WAY_OUT: &str =
    "write centre, lane 3, treble edge, bass edge or a length from the centreline";

/// Reads a place along the board; a bare number is millimetres from the nut.
///
/// # Errors
/// Refuses a fret past the last and what is neither a word for a place nor a length. Whether
/// the place is on the board, [`on_board`] says.
pub fn read_along(text: &str, instrument: &Instrument) -> Result<Along, PlaceFault> {
    along_word(text, instrument).unwrap_or_else(|| {
        let length = parse_length(text).map_err(|error| not_a_place(&error, ALONG_WAY_OUT))?;
        Ok(Along::Mm(length.mm()))
    })
}

/// Reads a place across the board; a bare number is millimetres from the centreline, positive
/// toward the treble side.
///
/// # Errors
/// Refuses a lane that the instrument has not, and what is neither a word for a place nor a length.
pub fn read_across(text: &str, instrument: &Instrument) -> Result<Across, PlaceFault> {
    across_word(text, instrument).unwrap_or_else(|| {
        let length = parse_length(text).map_err(|error| not_a_place(&error, ACROSS_WAY_OUT))?;
        Ok(Across::Mm(length.mm()))
    })
}

/// What to say when a place is not a length either.
pub(crate) fn not_along(message: String) -> PlaceFault {
    PlaceFault::new(message, ALONG_WAY_OUT)
}

/// What to say when a place across is not a length either.
pub(crate) fn not_across(message: String) -> PlaceFault {
    PlaceFault::new(message, ACROSS_WAY_OUT)
}

fn not_a_place(error: &QuantityError, way_out: &str) -> PlaceFault {
    PlaceFault::new(problem_words(error), way_out)
}

/// What is wrong with a quantity, without the examples behind it.
pub(crate) fn problem_words(error: &QuantityError) -> String {
    let said = error.to_string();
    match said.rsplit_once("; write for example ") {
        Some((problem, _)) => problem.to_owned(),
        None => said,
    }
}

/// A word for a place along the board; nothing when the text is none, so that it may be a length.
pub(crate) fn along_word(text: &str, instrument: &Instrument) -> Option<Result<Along, PlaceFault>> {
    let last = instrument.last_fret();
    let lower = short_lower(text)?;
    match lower.as_str() {
        "" => return Some(Err(not_along("the place along the board is empty".into()))),
        "nut" => return Some(Ok(Along::Fret(0))),
        "last fret" => return Some(Ok(Along::Fret(last))),
        "end" => return Some(Ok(Along::End)),
        _ => {}
    }
    let fret = numbered(&lower, &["fret", "f"])?;
    Some(match fret {
        Some(fret) if fret <= last => Ok(Along::Fret(fret)),
        Some(fret) => Err(PlaceFault::new(
            format!("fret {fret} is past the last, fret {last}"),
            format!("write fret 1 to fret {last}, or a length from the nut"),
        )),
        None => Err(not_along(format!("\"{lower}\" is no fret"))),
    })
}

/// A word for a place across the board; nothing when the text is none, so that it may be a length.
pub(crate) fn across_word(
    text: &str,
    instrument: &Instrument,
) -> Option<Result<Across, PlaceFault>> {
    let lower = short_lower(text)?;
    match lower.as_str() {
        "" => {
            return Some(Err(not_across(
                "the place across the board is empty".into(),
            )));
        }
        "centre" | "center" | "centreline" | "centerline" => return Some(Ok(Across::Mm(0.0))),
        "treble edge" | "treble" => return Some(Ok(Across::TrebleEdge)),
        "bass edge" | "bass" => return Some(Ok(Across::BassEdge)),
        "edges" | "edge" => {
            return Some(Err(PlaceFault::new(
                format!("\"{lower}\" does not say which"),
                "write treble edge or bass edge, one line for each",
            )));
        }
        _ => {}
    }
    let lanes = instrument.lanes.len();
    let lane = numbered(&lower, &["lane", "string", "l"])?;
    Some(match lane {
        Some(lane) if (1..=lanes).contains(&lane) => Ok(Across::Lane(lane)),
        Some(lane) => Err(PlaceFault::new(
            format!("lane {lane} is outside lane 1 to lane {lanes}"),
            "lane 1 is the highest string's",
        )),
        None => Err(not_across(format!("\"{lower}\" is no lane"))),
    })
}

/// Longer than any word for a place, bytes.
const LONGEST_BYTES: usize = 40;

/// The text in lower case with single spaces; nothing when it is too long to be a word.
fn short_lower(text: &str) -> Option<String> {
    let trimmed = text.trim();
    if trimmed.len() > LONGEST_BYTES {
        return None;
    }
    let lower = trimmed.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    Some(words.join(" "))
}

/// The number behind one of the words, the last of which is a single letter and needs a number:
/// nothing when no word stands there, `Some(None)` when a word stands without a number.
fn numbered(text: &str, words: &[&str]) -> Option<Option<usize>> {
    words.iter().find_map(|word| {
        let rest = text.strip_prefix(word)?.trim_start();
        let is_number = !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit());
        match (is_number, word.len()) {
            // More digits than a number holds are past any fret as well.
            (true, _) => Some(Some(rest.parse().unwrap_or(usize::MAX))),
            (false, 1) => None,
            (false, _) => Some(None),
        }
    })
}

/// The line across the board on which a place lies.
pub fn cross_line(instrument: &Instrument, along: Along) -> CrossLine {
    match along {
        Along::Fret(fret) => instrument
            .frets
            .get(fret)
            .or(instrument.frets.last())
            .copied()
            .unwrap_or(CrossLine::square(0.0)),
        Along::End => instrument.outline.end,
        Along::Mm(x_mm) => CrossLine::square(x_mm),
    }
}

/// The spot where a place along meets a place across. A lane that the instrument has not is the
/// centreline.
pub fn spot(instrument: &Instrument, along: Along, across: Across) -> Spot {
    let line = cross_line(instrument, along);
    let edges = || instrument.outline.edges_of(line);
    let on_centreline = (line.x_mm, 0.0);
    let (x_mm, y_mm) = match across {
        Across::Lane(lane) => instrument
            .lanes
            .get(lane.wrapping_sub(1))
            .map_or(on_centreline, |lane| lane.cross(line)),
        Across::TrebleEdge => edges()[0],
        Across::BassEdge => edges()[1],
        Across::Mm(y_mm) => (line.x_at(y_mm), y_mm),
    };
    Spot { x_mm, y_mm }
}

/// The spot again when it is on the board, or not more than [`OUTSIDE_MM`] outside.
///
/// # Errors
/// Names the side over which the spot is off the board, and by how much.
pub fn on_board(instrument: &Instrument, spot: Spot) -> Result<Spot, PlaceFault> {
    let sides = [
        "the nut",
        "the board's end",
        "the treble edge",
        "the bass edge",
    ];
    let over = outside(&instrument.outline, spot);
    for (side, over_mm) in sides.into_iter().zip(over) {
        // Written so that what is not a number is off the board as well.
        if over_mm <= OUTSIDE_MM {
            continue;
        }
        return Err(PlaceFault::new(
            format!(
                "the place {} along, {} across lies {} past {side}; at most {OUTSIDE_MM} mm is let pass",
                millimetres(spot.x_mm),
                millimetres(spot.y_mm),
                millimetres(over_mm),
            ),
            "check the place, and whether it is in millimetres from nut and centreline",
        ));
    }
    Ok(spot)
}

/// How far a spot is past nut, end, treble edge and bass edge, mm; negative inside.
pub(crate) fn outside(outline: &Outline, spot: Spot) -> [f64; 4] {
    let Spot { x_mm, y_mm } = spot;
    [
        outline.nut.x_at(y_mm) - x_mm,
        x_mm - outline.end.x_at(y_mm),
        y_mm - outline.treble.at(x_mm),
        -y_mm - outline.bass.at(x_mm),
    ]
}

/// A length to a ten-thousandth of a millimetre, for messages.
pub(crate) fn millimetres(mm: f64) -> String {
    let rounded = (mm * 1e4).round() / 1e4;
    write_length(Length::from_mm(rounded), LengthUnit::Millimetre)
}

/// The maker's words for a spot: `fret 9, lane 2` when it is exactly there, and
/// `near fret 9, bass edge` for the nearest fret with the nearest lane, edge or the centre.
pub fn place_words(instrument: &Instrument, spot: Spot) -> String {
    let (fret, from_fret) = nearest_fret(instrument, spot);
    let (across, from_across) = nearest_across(instrument, spot);
    let near = nearness(from_fret.max(from_across));
    format!("{near}{}, {across}", fret_name(fret))
}

/// The maker's words for a station on the centreline: `fret 9` or `near fret 9`.
pub fn station_words(instrument: &Instrument, x_mm: f64) -> String {
    let (fret, from_fret) = nearest_fret(instrument, Spot { x_mm, y_mm: 0.0 });
    format!("{}{}", nearness(from_fret), fret_name(fret))
}

fn nearness(off_mm: f64) -> &'static str {
    if off_mm <= EXACT_MM { "" } else { "near " }
}

/// The nearest fret and how far the spot is from its line along the board, mm.
fn nearest_fret(instrument: &Instrument, spot: Spot) -> (usize, f64) {
    let off = |line: &CrossLine| (spot.x_mm - line.x_at(spot.y_mm)).abs();
    let frets = instrument.frets.iter().map(off).enumerate();
    frets
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((0, f64::INFINITY))
}

/// The nearest lane, edge or centre, and how far away it is across the board, mm. Of equally
/// near ones a lane is said rather than the centre.
fn nearest_across(instrument: &Instrument, spot: Spot) -> (String, f64) {
    let off = |y_mm: f64| (spot.y_mm - y_mm).abs();
    let outline = &instrument.outline;
    let lanes = instrument.lanes.iter().enumerate();
    let nearest_lane = lanes
        .map(|(index, lane)| (index + 1, off(lane.y_at(spot.x_mm))))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let mut best = nearest_lane.map_or((String::new(), f64::INFINITY), |(lane, off)| {
        (format!("lane {lane}"), off)
    });
    for (name, off) in [
        ("treble edge", off(outline.treble.at(spot.x_mm))),
        ("bass edge", off(-outline.bass.at(spot.x_mm))),
        ("centre", off(0.0)),
    ] {
        if off + 1e-9 < best.1 {
            best = (name.to_owned(), off);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERON: &str = include_str!("../../../demo/heron.toml");
    const BITTERN: &str = include_str!("../../../demo/bittern.toml");

    fn instrument(text: &str) -> Instrument {
        instrument::read_commission(text, &|_| Err("no files here".into())).expect("it reads")
    }

    fn place(instrument: &Instrument, along: &str, across: &str) -> Spot {
        let along = read_along(along, instrument).expect("a place along");
        let across = read_across(across, instrument).expect("a place across");
        spot(instrument, along, across)
    }

    #[test]
    fn words_along_are_frets_and_bare_numbers_are_millimetres() {
        let heron = instrument(HERON);
        for (text, along) in [
            ("nut", Along::Fret(0)),
            ("fret 9", Along::Fret(9)),
            ("f9", Along::Fret(9)),
            (" F 9 ", Along::Fret(9)),
            ("Last  Fret", Along::Fret(22)),
            ("end", Along::End),
            ("9", Along::Mm(9.0)),
            ("9 1/2 in", Along::Mm(241.3)),
        ] {
            assert_eq!(read_along(text, &heron), Ok(along), "{text}");
        }
        for (text, across) in [
            ("centre", Across::Mm(0.0)),
            ("Center", Across::Mm(0.0)),
            ("lane 3", Across::Lane(3)),
            ("l3", Across::Lane(3)),
            ("STRING 1", Across::Lane(1)),
            ("treble edge", Across::TrebleEdge),
            ("bass edge", Across::BassEdge),
            ("-12 mm", Across::Mm(-12.0)),
        ] {
            assert_eq!(read_across(text, &heron), Ok(across), "{text}");
        }
    }

    #[test]
    fn what_is_no_place_is_said() {
        let heron = instrument(HERON);
        let along = |text| read_along(text, &heron).expect_err(text);
        assert_eq!(
            along("fret 23").message,
            "fret 23 is past the last, fret 22"
        );
        assert_eq!(
            along("fret 99999999999999999999999").way_out,
            "write fret 1 to fret 22, or a length from the nut"
        );
        assert_eq!(along("fret nine").message, "\"fret nine\" is no fret");
        assert_eq!(along("").message, "the place along the board is empty");
        assert_eq!(
            along("there").message,
            "length \"there\" does not hold one plain number"
        );
        let across = |text| read_across(text, &heron).expect_err(text);
        assert_eq!(
            across("lane 7").message,
            "lane 7 is outside lane 1 to lane 6"
        );
        assert_eq!(across("lane 0").way_out, "lane 1 is the highest string's");
        assert_eq!(across("edges").message, "\"edges\" does not say which");
        assert_eq!(
            across("nan").message,
            "length \"nan\" is not a finite number"
        );
    }

    #[test]
    fn a_fret_and_a_lane_meet_on_both() {
        for text in [HERON, BITTERN] {
            let instrument = instrument(text);
            let (line, lane) = (instrument.frets[9], instrument.lanes[1]);
            let met = place(&instrument, "fret 9", "lane 2");
            assert!((line.x_at(met.y_mm) - met.x_mm).abs() < 1e-9);
            assert!((lane.y_at(met.x_mm) - met.y_mm).abs() < 1e-9);
            let edge = place(&instrument, "fret 9", "bass edge");
            assert!((line.x_at(edge.y_mm) - edge.x_mm).abs() < 1e-9);
            assert!((instrument.outline.bass.at(edge.x_mm) + edge.y_mm).abs() < 1e-9);
            let beside = place(&instrument, "fret 9", "5 mm");
            assert!((line.x_at(5.0) - beside.x_mm).abs() < 1e-9 && beside.y_mm == 5.0);
            let across = place(&instrument, "230", "l2");
            assert_eq!(across.x_mm, 230.0);
            assert!((across.y_mm - lane.y_at(230.0)).abs() < 1e-9);
        }
    }

    #[test]
    fn a_spot_is_said_as_it_is_read() {
        for text in [HERON, BITTERN] {
            let instrument = instrument(text);
            for along in ["nut", "fret 1", "fret 9", "fret 22"] {
                for across in ["lane 1", "lane 2", "treble edge", "bass edge"] {
                    let spot = place(&instrument, along, across);
                    assert_eq!(place_words(&instrument, spot), format!("{along}, {across}"));
                    assert_eq!(on_board(&instrument, spot), Ok(spot));
                }
            }
        }
    }

    #[test]
    fn other_spots_are_near_the_nearest() {
        let heron = instrument(HERON);
        let at = place(&heron, "fret 9", "lane 2");
        let near = |x_mm: f64, y_mm: f64| {
            let (x_mm, y_mm) = (at.x_mm + x_mm, at.y_mm + y_mm);
            place_words(&heron, Spot { x_mm, y_mm })
        };
        assert_eq!(near(0.04, -0.04), "fret 9, lane 2");
        assert_eq!(near(0.06, 0.0), "near fret 9, lane 2");
        assert_eq!(near(-3.0, 1.0), "near fret 9, lane 2");
        assert_eq!(near(0.0, -at.y_mm - 100.0), "near fret 9, bass edge");
        assert_eq!(near(0.0, -at.y_mm), "fret 9, centre");
        assert_eq!(station_words(&heron, heron.fret_x_mm(12)), "fret 12");
        assert_eq!(station_words(&heron, 1.0), "near nut");
    }

    #[test]
    fn off_the_board_names_side_and_limit() {
        let heron = instrument(HERON);
        let off = |along, across| on_board(&heron, place(&heron, along, across));
        assert!(off("-0.9", "centre").is_ok() && off("100", "treble edge").is_ok());
        assert_eq!(
            off("-3", "centre").expect_err("off").message,
            "the place -3 mm along, 0 mm across lies 3 mm past the nut; at most 1 mm is let pass"
        );
        let side = |along, across| off(along, across).expect_err("off").message;
        assert!(side("500", "centre").contains("past the board's end"));
        assert!(side("100", "40").contains("past the treble edge"));
        assert!(side("100", "-40").contains("past the bass edge"));
        let nowhere = Spot {
            x_mm: f64::NAN,
            y_mm: 0.0,
        };
        assert!(on_board(&heron, nowhere).is_err());
    }
}
