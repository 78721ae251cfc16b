//! The tables about playing: a string's core and stretch, the neck, the fretwork and the set-up
//! as measured, and what the maker's hands miss.

use quantity::Length;

use crate::commission::playing_keys::{DRAWN_READING, PAIR, TOP_GAP, TOP_HEIGHT, TOP_ROCK};
use crate::format::{Desk, Entry, Given};
use crate::fretwork::{Fretwork, TopReading, TopWhat};
use crate::instrument::{Drawn, DrawnReading, StringSpec};
use crate::neck::Neck;
use crate::set_up::{Errors, SetUp};

/// How many frets and strings there are to be named.
#[derive(Clone, Copy)]
pub(super) struct Board {
    pub last_fret: usize,
    pub strings: usize,
}

/// The fret under a key, or another one when it is not given.
pub(super) fn fret_or(desk: &Desk<'_>, name: &str, otherwise: usize) -> usize {
    desk.whole(name)
        .and_then(|given| usize::try_from(given.value).ok())
        .unwrap_or(otherwise)
}

/// The core's diameter, never more than the string's.
pub(super) fn core(desk: &Desk<'_>, gauge: Option<&Given<Length>>) -> Option<Option<Length>> {
    if !desk.has("core") {
        return Some(None);
    }
    let core = desk.length("core")?;
    if let Some(gauge) = gauge
        && core.value.mm() > gauge.value.mm()
    {
        desk.fault_at(
            &core,
            format!(
                "a core of {} mm is thicker than its string of {} mm",
                core.value.mm(),
                gauge.value.mm()
            ),
            "the core lies inside the winding: measure it at the ball end",
        );
        return None;
    }
    Some(Some(core.value))
}

/// How a string's pitch rose when it was drawn.
pub(super) fn drawn(desk: &Desk<'_>) -> Option<Option<Drawn>> {
    if !desk.has("drawn") {
        return Some(None);
    }
    let table = desk.table("drawn")?;
    let mark_at_fret = fret_or(&table, "mark_at_fret", 1);
    let entries = table.list("readings")?;
    let count = entries.len();
    let readings: Vec<DrawnReading> = entries.iter().filter_map(drawn_reading).collect();
    if readings.len() != count {
        return None;
    }
    let lengths = || readings.iter().map(|reading| reading.length_mm);
    let spread = lengths().fold(0.0, f64::max) - lengths().fold(f64::INFINITY, f64::min);
    if !(2..=MOST_READINGS).contains(&count) || spread < LEAST_DRAWN_MM {
        desk.fault(
            "drawn",
            format!("{count} readings over {:.3} mm tell no stretch", spread.max(0.0)),
            format!("give 2 to {MOST_READINGS} readings, the mark drawn over at least {LEAST_DRAWN_MM} mm"),
        );
        return None;
    }
    Some(Some(Drawn {
        mark_at_fret,
        readings,
    }))
}

/// Fewer or more readings of one string, or of one lane and fret each, are a slip.
const MOST_READINGS: usize = 3000;
/// A mark that moves less than this tells nothing, mm.
const LEAST_DRAWN_MM: f64 = 0.1;

fn drawn_reading(entry: &Entry<'_>) -> Option<DrawnReading> {
    let desk = entry.table(&DRAWN_READING)?;
    let (length, hertz) = (desk.length("length"), desk.number("hertz"));
    let spread_hz = desk.number("spread").map(|given| given.value);
    Some(DrawnReading {
        length_mm: length?.value.mm(),
        hertz: hertz?.value,
        spread_hz,
    })
}

pub(super) fn neck(desk: Option<Desk<'_>>) -> Neck {
    let Some(desk) = desk else {
        return Neck::default();
    };
    let length = |name| desk.length(name).map(|given| given.value.mm());
    let depths = (length("depth_at_1"), length("depth_at_12"));
    if desk.has("depth_at_1") != desk.has("depth_at_12") {
        desk.fault(
            if desk.has("depth_at_1") {
                "depth_at_12"
            } else {
                "depth_at_1"
            },
            "only one of the neck's two depths is given",
            "give depth_at_1 and depth_at_12, or neither",
        );
    }
    Neck {
        depths_mm: depths.0.zip(depths.1),
        joint: desk.has("joint").then(|| fret_or(&desk, "joint", 1)),
        board_over_body_mm: length("board_over_body"),
        bridge_height_mm: length("bridge_height"),
        pocket_mm: length("pocket"),
    }
}

pub(super) fn errors(desk: Option<Desk<'_>>) -> Errors {
    let mut errors = Errors::default();
    let Some(desk) = desk else { return errors };
    for (name, slot) in [
        ("fret_tops", &mut errors.fret_tops_mm),
        ("nut_slots", &mut errors.nut_slots_mm),
        ("saddle", &mut errors.saddle_mm),
        ("relief", &mut errors.relief_mm),
        ("slots", &mut errors.slots_mm),
        ("set_back", &mut errors.set_back_mm),
    ] {
        *slot = desk.length_or(name, *slot);
    }
    for (name, slot) in [
        ("radius", &mut errors.radius_share),
        ("tension", &mut errors.tension_share),
        ("stretch", &mut errors.stretch_share),
        ("pluck", &mut errors.pluck_share),
    ] {
        let Some(percent) = desk.percent(name) else {
            continue;
        };
        if percent.value > MOST_ERROR_PERCENT {
            desk.fault_at(
                &percent,
                format!("{} % is no small error", percent.value),
                format!("at most {MOST_ERROR_PERCENT} % is reckoned with, as a standard deviation"),
            );
        }
        *slot = 0.01 * percent.value;
    }
    errors
}

/// Errors are carried on as small ones, percent.
const MOST_ERROR_PERCENT: f64 = 50.0;

pub(super) fn fretwork(desk: Option<Desk<'_>>, board: Board) -> Option<Fretwork> {
    let mut work = Fretwork::default();
    let Some(desk) = desk else { return Some(work) };
    work.step_mm = desk.length_or("step", work.step_mm);
    work.seat_bound_mm = desk.length_or("seat_bound", work.seat_bound_mm);
    work.least_crown_mm = desk.length_or("least_crown", work.least_crown_mm);
    let mut sound = true;
    for (name, read) in [
        (
            "heights",
            top_height as fn(&Entry<'_>, Board) -> Option<TopReading>,
        ),
        ("gaps", top_gap),
        ("rocks", top_rock),
    ] {
        if !desk.has(name) {
            continue;
        }
        let Some(entries) = desk.list(name) else {
            sound = false;
            continue;
        };
        if entries.len() > MOST_READINGS {
            desk.fault(
                name,
                format!("{} readings", entries.len()),
                format!("at most {MOST_READINGS} of a kind are read"),
            );
            return None;
        }
        for entry in &entries {
            match read(entry, board) {
                Some(reading) => work.readings.push(reading),
                None => sound = false,
            }
        }
    }
    sound.then_some(work)
}

fn top_height(entry: &Entry<'_>, board: Board) -> Option<TopReading> {
    let desk = entry.table(&TOP_HEIGHT)?;
    let (fret, lane, value) = (
        fret(&desk, "fret", board),
        lane(&desk, board),
        desk.length("height"),
    );
    Some(TopReading {
        lane: lane?,
        what: TopWhat::Height { fret: fret? },
        value_mm: value?.value.mm(),
    })
}

fn top_gap(entry: &Entry<'_>, board: Board) -> Option<TopReading> {
    let desk = entry.table(&TOP_GAP)?;
    let [from, to, at] = ["from", "to", "fret"].map(|name| fret(&desk, name, board));
    let (lane, value) = (lane(&desk, board), desk.length("gap"));
    let (from, to, at) = (from?, to?, at?);
    if !(from < at && at < to) {
        desk.fault(
            "fret",
            format!("fret {at} does not lie between fret {from} and fret {to}"),
            "name the two frets on which the straightedge rests, and one between them",
        );
        return None;
    }
    Some(TopReading {
        lane: lane?,
        what: TopWhat::Gap { from, to, fret: at },
        value_mm: value?.value.mm(),
    })
}

fn top_rock(entry: &Entry<'_>, board: Board) -> Option<TopReading> {
    let desk = entry.table(&TOP_ROCK)?;
    let (fret, lane, value) = (
        fret(&desk, "fret", board),
        lane(&desk, board),
        desk.length("rock"),
    );
    let fret = fret?;
    if fret < 2 || fret + 1 > board.last_fret {
        desk.fault(
            "fret",
            format!("fret {fret} has no fret on either side to rock over"),
            format!(
                "name a fret from 2 to {}",
                board.last_fret.saturating_sub(1)
            ),
        );
        return None;
    }
    Some(TopReading {
        lane: lane?,
        what: TopWhat::Rock { fret },
        value_mm: value?.value.mm(),
    })
}

/// A fret that the board has.
fn fret(desk: &Desk<'_>, name: &str, board: Board) -> Option<usize> {
    let given = desk.whole(name)?;
    let fret = usize::try_from(given.value).ok()?;
    if fret > board.last_fret {
        desk.fault_at(
            &given,
            format!("fret {fret} is past the last, fret {}", board.last_fret),
            format!("name a fret from 1 to {}", board.last_fret),
        );
        return None;
    }
    Some(fret)
}

/// A lane that the board has, counted from 0.
fn lane(desk: &Desk<'_>, board: Board) -> Option<usize> {
    let given = desk.whole("lane")?;
    let lane = usize::try_from(given.value).ok()?;
    if lane > board.strings {
        desk.fault_at(
            &given,
            format!("lane {lane} is outside lane 1 to lane {}", board.strings),
            "lane 1 is the highest string's",
        );
        return None;
    }
    lane.checked_sub(1)
}

pub(super) fn set_up(desk: Option<Desk<'_>>, board: Board) -> Option<SetUp> {
    let Some(desk) = desk else {
        return Some(SetUp::default());
    };
    let at_12 = heights(&desk, "action_at_12", board);
    let at_1 = heights(&desk, "action_at_1", board);
    Some(SetUp {
        relief_mm: desk.length("relief").map(|given| given.value.mm()),
        action_at_12_mm: at_12?,
        action_at_1_mm: at_1?,
    })
}

/// Heights of all strings: a list with one for each, or the outer ones.
fn heights(desk: &Desk<'_>, name: &str, board: Board) -> Option<Option<Vec<f64>>> {
    let Some(entry) = desk.entry(name) else {
        return Some(None);
    };
    if !entry.is_list() {
        let pair = entry.table(&PAIR)?;
        let [treble, bass] = ["treble", "bass"].map(|side| pair.length(side));
        if pair.has("treble") != treble.is_some() || pair.has("bass") != bass.is_some() {
            return None;
        }
        let Some(one) = treble.as_ref().or(bass.as_ref()) else {
            return Some(None);
        };
        let mm = |given: &Option<Given<Length>>| given.as_ref().unwrap_or(one).value.mm();
        let (treble, bass) = (mm(&treble), mm(&bass));
        let between = board.strings.saturating_sub(1).max(1) as f64;
        let line = |string: usize| treble + (bass - treble) * string as f64 / between;
        return Some(Some((0..board.strings).map(line).collect()));
    }
    let entries = entry.list()?;
    let kind = &PAIR.keys[0].kind;
    let found: Vec<f64> = entries
        .iter()
        .filter_map(|entry| Some(entry.length(kind)?.value.mm()))
        .collect();
    if found.len() != entries.len() {
        return None;
    }
    if found.len() != board.strings {
        desk.fault(
            name,
            format!("{} heights for {} strings", found.len(), board.strings),
            "give one for each string, highest first, or { treble = …, bass = … }",
        );
        return None;
    }
    Some(Some(found))
}

/// What only the whole can show: frets named by the neck and the strings.
pub(super) fn check(desk: &Desk<'_>, neck: &Neck, strings: &[StringSpec], board: Board) {
    let last = board.last_fret;
    if let Some(joint) = neck.joint.filter(|joint| *joint > last) {
        desk.fault(
            "neck",
            format!("the neck's joint at fret {joint} is past the last, fret {last}"),
            "leave joint away when the neck bows over its whole length",
        );
    }
    for (index, string) in strings.iter().enumerate() {
        let mark = string.drawn.as_ref().map_or(0, |drawn| drawn.mark_at_fret);
        for (fret, what) in [(string.tuned_at, "tuned_at"), (mark, "mark_at_fret")] {
            if fret > last {
                desk.fault(
                    "strings",
                    format!(
                        "{what} of string {} names fret {fret}, past the last, fret {last}",
                        index + 1
                    ),
                    format!("name a fret from 0 to {last}"),
                );
            }
        }
    }
}
