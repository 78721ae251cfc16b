//! The commission's tables about playing: a string's stretch, the neck, the fretwork and the
//! set-up as measured, and what the maker's hands miss.

use crate::commission::keys::{MOST_FRETS, MOST_STRINGS};
use crate::format::{Key, Kind, Table};

/// A string's stretch, measured.
pub(super) static DRAWN: Table = Table {
    meaning: "Pitch read while the string is drawn through the nut, by a mark on the string.",
    keys: &[
        Key::otherwise(
            "mark_at_fret",
            Kind::Whole {
                least: 0,
                most: MOST_FRETS,
            },
            "1",
            "the fret over which the mark lies",
        ),
        Key::required(
            "readings",
            Kind::List(&Kind::Table(&DRAWN_READING)),
            "at least two readings, from slack to drawn",
        ),
    ],
};

/// One reading of a drawn string.
pub(super) static DRAWN_READING: Table = Table {
    meaning: "The mark's way and the pitch of the open string.",
    keys: &[
        Key::required(
            "length",
            Kind::length(0.0, 100.0),
            "how far the mark has moved",
        ),
        Key::required(
            "hertz",
            Kind::Number {
                least: 10.0,
                most: 5000.0,
            },
            "the open string's pitch",
        ),
        Key::otherwise(
            "spread",
            Kind::Number {
                least: 1e-6,
                most: 100.0,
            },
            "all readings count alike",
            "standard deviation of that pitch, in hertz",
        ),
    ],
};

pub(super) static NECK: Table = Table {
    meaning: "The neck that bows under the strings, and how it meets the body.",
    keys: &[
        Key::otherwise(
            "depth_at_1",
            Kind::length(5.0, 100.0),
            "even stiffness",
            "depth of neck and board at fret 1",
        ),
        Key::otherwise(
            "depth_at_12",
            Kind::length(5.0, 100.0),
            "even stiffness",
            "depth of neck and board at fret 12",
        ),
        Key::otherwise(
            "joint",
            Kind::Whole {
                least: 1,
                most: MOST_FRETS,
            },
            "the last fret",
            "the fret at which the neck meets the body; past it nothing bows",
        ),
        Key::otherwise(
            "board_over_body",
            Kind::length(-50.0, 100.0),
            "the crown's thickness",
            "the board's face over the body's face at the joint",
        ),
        Key::otherwise(
            "bridge_height",
            Kind::length(0.0, 100.0),
            "not stated",
            "the strings' mean height over the body's face at the saddle",
        ),
        Key::otherwise(
            "pocket",
            Kind::length(5.0, 300.0),
            "not stated",
            "length of the neck's seat in the body, for a shim",
        ),
    ],
};

pub(super) static FRETWORK: Table = Table {
    meaning: "What was measured of the fretted board, and how far levelling may go.",
    keys: &[
        Key::otherwise(
            "heights",
            Kind::List(&Kind::Table(&TOP_HEIGHT)),
            "none",
            "heights of fret tops, read by a dial along a straight bar in a lane",
        ),
        Key::otherwise(
            "gaps",
            Kind::List(&Kind::Table(&TOP_GAP)),
            "none",
            "gaps under a straightedge that rests on two frets",
        ),
        Key::otherwise(
            "rocks",
            Kind::List(&Kind::Table(&TOP_ROCK)),
            "none",
            "how much a short straightedge over three frets rocks on the middle one",
        ),
        Key::otherwise(
            "step",
            Kind::length(0.001, 0.5),
            "0.02 mm",
            "least step that those readings tell apart",
        ),
        Key::otherwise(
            "seat_bound",
            Kind::length(0.0, 2.0),
            "0.1 mm",
            "a fret that stands prouder than this over both neighbours is seated, not filed",
        ),
        Key::otherwise(
            "least_crown",
            Kind::length(0.05, 5.0),
            "0.7 mm",
            "least height that a crown keeps when it is levelled",
        ),
    ],
};

/// A fret's top under a dial.
pub(super) static TOP_HEIGHT: Table = Table {
    meaning: "The height of a fret's top in a lane, over the datum of that lane's bar.",
    keys: &[
        Key::required("fret", FRET, "the fret"),
        Key::required("lane", LANE, "the lane; 1 is the highest string's"),
        Key::required("height", Kind::length(-5.0, 5.0), "what the dial said"),
    ],
};

/// A gap over a fret.
pub(super) static TOP_GAP: Table = Table {
    meaning: "The gap over a fret under a straightedge that rests on two others.",
    keys: &[
        Key::required("lane", LANE, "the lane; 1 is the highest string's"),
        Key::required("from", FRET, "the first fret that it rests on"),
        Key::required("to", FRET, "the last fret that it rests on"),
        Key::required("fret", FRET, "the fret under it, between those two"),
        Key::required("gap", Kind::length(0.0, 5.0), "the gap"),
    ],
};

/// A rocking straightedge.
pub(super) static TOP_ROCK: Table = Table {
    meaning: "How much a short straightedge rocks on a fret that stands over its neighbours.",
    keys: &[
        Key::required("fret", FRET, "the middle fret of the three"),
        Key::required("lane", LANE, "the lane; 1 is the highest string's"),
        Key::required(
            "rock",
            Kind::length(0.0, 5.0),
            "the middle fret's height over the line through its neighbours; 0 when it does not rock",
        ),
    ],
};

const FRET: Kind = Kind::Whole {
    least: 1,
    most: MOST_FRETS,
};

const LANE: Kind = Kind::Whole {
    least: 1,
    most: MOST_STRINGS as i64,
};

/// Heights of the outer strings; those between lie on the line through them.
pub(super) static PAIR: Table = Table {
    meaning: "Heights of the outer strings; those between lie on the line through them.",
    keys: &[
        Key::otherwise(
            "treble",
            Kind::length(0.0, 15.0),
            "as on the bass side",
            "under the highest string",
        ),
        Key::otherwise(
            "bass",
            Kind::length(0.0, 15.0),
            "as on the treble side",
            "under the lowest string",
        ),
    ],
};

pub(super) static SET_UP: Table = Table {
    meaning: "What was measured on the strung instrument, tuned to pitch.",
    keys: &[
        Key::otherwise(
            "relief",
            Kind::length(-3.0, 3.0),
            "as wished",
            "the neck's bow at its deepest, under the line from the nut to the last fret",
        ),
        Key::otherwise(
            "action_at_12",
            HEIGHTS,
            "not measured",
            "open strings over fret 12: a list, highest string first, or treble and bass",
        ),
        Key::otherwise(
            "action_at_1",
            HEIGHTS,
            "not measured",
            "open strings over fret 1: a list, highest string first, or treble and bass",
        ),
    ],
};

const HEIGHTS: Kind = Kind::Any(&[Kind::List(&Kind::length(0.0, 15.0)), Kind::Table(&PAIR)]);

pub(super) static ERRORS: Table = Table {
    meaning: "Standard deviations of what the maker's hands and tools do.",
    keys: &[
        Key::otherwise(
            "fret_tops",
            Kind::length(0.0, 1.0),
            "0.015 mm",
            "of each levelled fret top",
        ),
        Key::otherwise(
            "nut_slots",
            Kind::length(0.0, 1.0),
            "0.03 mm",
            "of each nut slot's depth",
        ),
        Key::otherwise(
            "saddle",
            Kind::length(0.0, 2.0),
            "0.05 mm",
            "of each string's height at the saddle",
        ),
        Key::otherwise("relief", Kind::length(0.0, 1.0), "0.03 mm", "of the relief"),
        Key::otherwise(
            "radius",
            Kind::Percent,
            "2 %",
            "of the camber's radius at either end",
        ),
        Key::otherwise(
            "slots",
            Kind::length(0.0, 2.0),
            "0.05 mm",
            "of each slot's place along the board",
        ),
        Key::otherwise(
            "set_back",
            Kind::length(0.0, 5.0),
            "0.3 mm",
            "of each string's place along the saddle",
        ),
        Key::otherwise("tension", Kind::Percent, "3 %", "of each string's pull"),
        Key::otherwise(
            "stretch",
            Kind::Percent,
            "10 %",
            "of each string's stiffness against stretch",
        ),
        Key::otherwise("pluck", Kind::Percent, "20 %", "of the player's force"),
    ],
};
