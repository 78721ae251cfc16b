//! The commission's tables about marks on the face and cutting by machine.

use crate::commission::keys::MOST_FRETS;
use crate::format::{Key, Kind, Table};

/// A fret by its number.
const FRET: Kind = Kind::Whole {
    least: 1,
    most: MOST_FRETS,
};

pub(super) static DOTS: Table = Table {
    meaning: "Round inlays midway between frets.",
    keys: &[
        Key::otherwise(
            "frets",
            Kind::List(&FRET),
            "3, 5, 7, 9, 12 and an octave further, in twelve equal steps",
            "the frets behind which a dot lies",
        ),
        Key::otherwise(
            "double",
            Kind::List(&FRET),
            "the octaves among them",
            "those of them with two dots",
        ),
        Key::otherwise(
            "diameter",
            Kind::length(0.5, 30.0),
            "6 mm",
            "a dot's diameter",
        ),
        Key::otherwise(
            "depth",
            Kind::length(0.1, 20.0),
            "1.5 mm",
            "depth of its pocket under the finished wood at its centre",
        ),
        Key::otherwise(
            "apart",
            Kind::length(1.0, 200.0),
            "half of the outer strings' distance there",
            "from centre to centre of two dots",
        ),
    ],
};

pub(super) static CUTTING: Table = Table {
    meaning: "Cutting by machine: how finely, and what holds the blank down. The underside lies on the bed.",
    keys: &[
        Key::otherwise(
            "scallop",
            Kind::length(0.001, 0.5),
            "0.01 mm",
            "greatest height left between two finishing passes",
        ),
        Key::otherwise(
            "allowance",
            Kind::length(0.0, 2.0),
            "0.2 mm",
            "wood that roughing leaves for the finishing passes",
        ),
        Key::otherwise(
            "tabs",
            Kind::Whole { least: 0, most: 24 },
            "6",
            "how many tabs hold the board while its outline is cut",
        ),
        Key::otherwise(
            "tab_length",
            Kind::length(0.5, 50.0),
            "6 mm",
            "length of a tab along the edge",
        ),
        Key::otherwise(
            "tab_height",
            Kind::length(0.1, 20.0),
            "1 mm",
            "height of a tab over the bed",
        ),
        Key::otherwise(
            "clamps",
            Kind::List(&Kind::Table(&CLAMP)),
            "none",
            "boxes on the bed that no cutter may come near",
        ),
    ],
};

/// A box on the bed.
pub(super) static CLAMP: Table = Table {
    meaning: "A clamp or a screw, as the box that it fills.",
    keys: &[
        Key::required(
            "x",
            Kind::length(-3000.0, 3000.0),
            "its least place along the board, from the nut",
        ),
        Key::required(
            "y",
            Kind::length(-1000.0, 1000.0),
            "its least place across, from the centreline; the bass side is negative",
        ),
        Key::required(
            "along",
            Kind::length(0.1, 3000.0),
            "its size along the board",
        ),
        Key::required("across", Kind::length(0.1, 1000.0), "its size across"),
        Key::required(
            "height",
            Kind::length(0.0, 300.0),
            "its height over the bed",
        ),
    ],
};
