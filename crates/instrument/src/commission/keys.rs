//! The commission file described: every key, its range and its meaning.

use crate::commission::cutting_keys::{CUTTING, DOTS};
use crate::commission::playing_keys::{DRAWN, ERRORS, FRETWORK, NECK, SET_UP};
use crate::format::{Key, Kind, Table};

/// The most frets that are laid out.
pub const MOST_FRETS: i64 = 120;
/// The most strings that are laid out.
pub const MOST_STRINGS: usize = 24;

/// The whole commission file.
pub static COMMISSION_KEYS: Table = Table {
    meaning: "One instrument's playing surface, from wish to set-up. Bare numbers are millimetres.",
    keys: &[
        Key::required(
            "camberwright",
            Kind::Whole { least: 1, most: 1 },
            "version of this format",
        ),
        Key::required("title", Kind::Text, "what the instrument is called"),
        Key::required("scale", Kind::Table(&SCALE), "scale length and frets"),
        Key::required(
            "strings",
            Kind::Table(&STRINGS),
            "the strings and their spreads",
        ),
        Key::required(
            "board",
            Kind::Table(&BOARD),
            "the board in plan and as wood",
        ),
        Key::required("camber", Kind::Table(&CAMBER), "the arch across the board"),
        Key::otherwise(
            "frets",
            Kind::Table(&FRETS),
            "medium wire",
            "wire and slots",
        ),
        Key::otherwise(
            "wish",
            Kind::Table(&WISH),
            "usual figures",
            "what the player asked for",
        ),
        Key::otherwise(
            "climate",
            Kind::Table(&CLIMATE),
            "45 % to 25 % at 20 °C",
            "shop and home air",
        ),
        Key::otherwise(
            "neck",
            Kind::Table(&NECK),
            "a neck of even stiffness",
            "the neck that bows, and how it meets the body",
        ),
        Key::otherwise(
            "fretwork",
            Kind::Table(&FRETWORK),
            "nothing measured yet",
            "what was measured of the fretted board, and how far levelling may go",
        ),
        Key::otherwise(
            "set_up",
            Kind::Table(&SET_UP),
            "nothing measured yet",
            "what was measured on the strung instrument",
        ),
        Key::otherwise(
            "dots",
            Kind::Table(&DOTS),
            "none",
            "round inlays between the frets",
        ),
        Key::otherwise(
            "cutting",
            Kind::Table(&CUTTING),
            "usual figures",
            "how the board is cut by machine",
        ),
        Key::otherwise(
            "errors",
            Kind::Table(&ERRORS),
            "usual figures",
            "how far the maker's hands and tools miss, as standard deviations",
        ),
    ],
};

static SCALE: Table = Table {
    meaning: "Either one length, on the centreline with frets square to it, or bass and treble for a fan.",
    keys: &[
        Key::otherwise(
            "length",
            Kind::length(100.0, 2000.0),
            "two lengths are given",
            "scale length, on the centreline; frets are square to it",
        ),
        Key::otherwise(
            "bass",
            Kind::length(100.0, 2000.0),
            "one length is given",
            "length along the lowest string's lane",
        ),
        Key::otherwise(
            "treble",
            Kind::length(100.0, 2000.0),
            "one length is given",
            "length along the highest string's lane",
        ),
        Key::otherwise(
            "square_at",
            Kind::Any(&[
                Kind::Number {
                    least: 0.0,
                    most: 120.0,
                },
                Kind::Choice(&["nut", "saddle"]),
            ]),
            "7",
            "the fret of a fan that stands square to the centreline",
        ),
        Key::required(
            "frets",
            Kind::Whole {
                least: 1,
                most: MOST_FRETS,
            },
            "how many frets",
        ),
        Key::otherwise(
            "tuning",
            Kind::Any(&[
                Kind::Text,
                Kind::List(&Kind::Number {
                    least: 0.0,
                    most: 12_000.0,
                }),
            ]),
            "12 equal",
            "12 equal, a rising list of cents, a Scala file's name, or such a file's whole text",
        ),
        Key::otherwise(
            "a4",
            Kind::Number {
                least: 380.0,
                most: 500.0,
            },
            "440",
            "pitch of A4 in hertz",
        ),
    ],
};

static STRINGS: Table = Table {
    meaning: "The strings, highest first.",
    keys: &[
        Key::required(
            "nut_spread",
            Kind::length(0.0, 200.0),
            "outer string centres at the nut",
        ),
        Key::required(
            "saddle_spread",
            Kind::length(0.0, 300.0),
            "outer string centres at the saddle",
        ),
        Key::otherwise(
            "spacing",
            Kind::Choice(&["equal gaps", "equal centres"]),
            "equal gaps",
            "the same air between neighbours, or the same distance from centre to centre",
        ),
        Key::otherwise(
            "behind",
            Kind::length(0.0, 1000.0),
            "120 mm",
            "string behind nut and saddle together that shares a bend's stretch; 0 when none slides",
        ),
        Key::required(
            "set",
            Kind::List(&Kind::Table(&STRING)),
            "the strings, highest first",
        ),
    ],
};

/// One string of a set.
pub(super) static STRING: Table = Table {
    meaning: "One string.",
    keys: &[
        Key::required("note", Kind::Note, "pitch when open"),
        // The thinnest strings that are sold measure 0.18 mm, 0.007 in (common practice, no source).
        Key::required("gauge", Kind::length(0.15, 8.0), "diameter"),
        Key::otherwise(
            "make",
            Kind::Usual(&[
                "plain steel",
                "nickel wound",
                "phosphor bronze wound",
                "80/20 bronze wound",
                "nylon",
                "other",
            ]),
            "plain steel",
            "what it is made of",
        ),
        Key::otherwise(
            "unit_weight",
            Kind::LinearDensity,
            "from published tables, when the gauge is there",
            "weight per length, as its maker states it",
        ),
        Key::otherwise(
            "core",
            Kind::length(0.05, 5.0),
            "a share of the gauge",
            "diameter of a wound string's core, which carries the pull",
        ),
        Key::otherwise(
            "drawn",
            Kind::Table(&DRAWN),
            "from the make",
            "how the pitch rose when the string was drawn through the nut",
        ),
        Key::otherwise(
            "tuned_at",
            Kind::Whole {
                least: 0,
                most: MOST_FRETS,
            },
            "0",
            "the fret at which the player tunes it true; 0 is the open string",
        ),
    ],
};

static BOARD: Table = Table {
    meaning: "The board in plan and as wood. Give both widths, or a margin.",
    keys: &[
        Key::otherwise(
            "nut_width",
            Kind::length(5.0, 300.0),
            "a margin is given",
            "width at the nut",
        ),
        Key::otherwise(
            "end_width",
            Kind::length(5.0, 300.0),
            "a margin is given",
            "width at the board's end",
        ),
        Key::otherwise(
            "margin",
            Kind::length(0.0, 50.0),
            "widths are given",
            "from the outer string centres to the edges, all along",
        ),
        Key::otherwise(
            "overhang",
            Kind::length(0.0, 200.0),
            "0 mm",
            "past the last fret, on the centreline",
        ),
        Key::required(
            "crown_thickness",
            Kind::length(1.0, 60.0),
            "thickness on the centreline, finished",
        ),
        Key::otherwise("wood", Kind::Text, "not stated", "the board's wood"),
        Key::otherwise(
            "blank_thickness",
            Kind::length(1.0, 100.0),
            "not stated",
            "the blank as it lies there",
        ),
        Key::otherwise(
            "blank_length",
            Kind::length(10.0, 3000.0),
            "15 mm more at both ends",
            "the blank's length",
        ),
        Key::otherwise(
            "blank_width",
            Kind::length(5.0, 600.0),
            "15 mm more at both sides",
            "the blank's width, half of it on either side of the centreline",
        ),
        Key::otherwise(
            "blank_before_nut",
            Kind::length(-1000.0, 1000.0),
            "as much at either end",
            "how far the blank reaches past the nut, away from the board",
        ),
        Key::otherwise(
            "least_edge",
            Kind::length(0.0, 60.0),
            "not stated",
            "least thickness of the edges",
        ),
        Key::otherwise(
            "binding",
            Kind::Any(&[Kind::length(0.1, 20.0), Kind::Table(&BINDING)]),
            "unbound",
            "a strip along the edges: its width, or a table",
        ),
        Key::otherwise(
            "inlay",
            Kind::Any(&[Kind::Flag, Kind::Text]),
            "none",
            "whether the face is inlaid before it is cambered, or what with",
        ),
        Key::otherwise(
            "slotted",
            Kind::Flag,
            "false",
            "whether slots are cut before cambering",
        ),
    ],
};

/// A binding with more than a width.
pub(super) static BINDING: Table = Table {
    meaning: "A strip along the edges.",
    keys: &[
        Key::required(
            "width",
            Kind::length(0.1, 20.0),
            "how far it reaches in from the edge",
        ),
        Key::otherwise(
            "ledge",
            Kind::length(0.0, 60.0),
            "0 mm: the strip covers the whole edge",
            "height of the board's own wood left under the strip",
        ),
    ],
};

static CAMBER: Table = Table {
    meaning: "The arch across the board, by one of four laws.",
    keys: &[
        Key::required(
            "law",
            Kind::Choice(&["single", "cone", "stations", "string cone"]),
            "one radius; a cone from nut to last fret; radii at stations; the cone of the strings",
        ),
        Key::otherwise(
            "radius",
            Kind::Radius,
            "another law",
            "the one radius, or the word flat",
        ),
        Key::otherwise("nut", Kind::Radius, "another law", "the radius at the nut"),
        Key::otherwise(
            "last_fret",
            Kind::Radius,
            "another law",
            "a cone's radius at the last fret",
        ),
        Key::otherwise(
            "at",
            Kind::List(&Kind::Table(&STATION)),
            "another law",
            "the stations, in order along the board, at least two",
        ),
        Key::otherwise(
            "fall_away",
            Kind::Table(&FALL_AWAY),
            "none",
            "a planned fall toward the board's end, as a straight ramp",
        ),
    ],
};

/// A station of a camber.
pub(super) static STATION: Table = Table {
    meaning: "A radius at a fret.",
    keys: &[
        Key::required(
            "fret",
            Kind::Whole {
                least: 0,
                most: MOST_FRETS,
            },
            "the fret; 0 is the nut",
        ),
        Key::required("radius", Kind::Radius, "the radius there"),
    ],
};

static FALL_AWAY: Table = Table {
    meaning: "A fall of the centreline toward the board's end.",
    keys: &[
        Key::required(
            "from_fret",
            Kind::Whole {
                least: 0,
                most: MOST_FRETS,
            },
            "the fret where it begins",
        ),
        Key::required(
            "depth",
            Kind::length(0.0, 10.0),
            "its depth at the board's end",
        ),
    ],
};

static FRETS: Table = Table {
    meaning: "Wire and slots.",
    keys: &[
        Key::otherwise(
            "crown_height",
            Kind::length(0.1, 5.0),
            "1.2 mm",
            "height of the crown over the wood",
        ),
        Key::otherwise(
            "crown_width",
            Kind::length(0.3, 8.0),
            "2.4 mm",
            "width of the crown",
        ),
        Key::otherwise(
            "tang_depth",
            Kind::length(0.2, 6.0),
            "1.6 mm",
            "how far the tang reaches into the wood",
        ),
        Key::otherwise(
            "slot_width",
            Kind::length(0.1, 3.0),
            "0.55 mm",
            "width of the slot",
        ),
        Key::otherwise(
            "slot_floor",
            Kind::Choice(&["flat", "follows camber"]),
            "flat",
            "what the saw leaves: a straight saw leaves a flat floor",
        ),
        Key::otherwise(
            "clearance",
            Kind::length(0.0, 3.0),
            "0 mm",
            "air left under the tang",
        ),
        Key::otherwise(
            "tang_width",
            Kind::length(0.1, 3.0),
            "not stated",
            "width of the tang without barbs",
        ),
        Key::otherwise(
            "barb_width",
            Kind::length(0.1, 4.0),
            "not stated",
            "width over the barbs",
        ),
        Key::otherwise(
            "wire_overhang",
            Kind::length(0.0, 20.0),
            "2 mm",
            "wire left proud on each side",
        ),
        Key::otherwise(
            "stick_length",
            Kind::length(50.0, 3000.0),
            "300 mm",
            "length of a stick of wire",
        ),
        Key::otherwise(
            "bend_ratio",
            Kind::Number {
                least: 0.3,
                most: 1.2,
            },
            "0.85",
            "radius to bend the wire to, over the fret's own",
        ),
    ],
};

static WISH: Table = Table {
    meaning: "What the player asked for.",
    keys: &[
        Key::otherwise(
            "player",
            Kind::Text,
            "not stated",
            "who it is for, and how they play",
        ),
        Key::otherwise(
            "action_at_12",
            Kind::Table(&ACTION),
            "1.6 mm and 2.0 mm",
            "string over fret 12, from fret top to string",
        ),
        Key::otherwise(
            "relief",
            Kind::length(0.0, 3.0),
            "0.15 mm",
            "the neck's bow at its deepest",
        ),
        Key::otherwise(
            "pluck_force",
            Kind::Force {
                least_n: 0.0,
                most_n: 50.0,
            },
            "0.7 N",
            "how hard a string is plucked, normal to the board",
        ),
        Key::otherwise(
            "pluck_from_saddle",
            Kind::length(1.0, 1000.0),
            "110 mm",
            "where it is plucked",
        ),
        Key::otherwise(
            "bend",
            Kind::Number {
                least: 0.0,
                most: 1200.0,
            },
            "200",
            "the bend wanted everywhere, in cents",
        ),
        Key::otherwise(
            "action_at_1",
            Kind::length(0.0, 5.0),
            "0.4 mm",
            "open string over fret 1",
        ),
        Key::otherwise(
            "light_force",
            Kind::Force {
                least_n: 0.0,
                most_n: 50.0,
            },
            "half of this player's",
            "a light player's pluck, normal to the board",
        ),
        Key::otherwise(
            "hard_force",
            Kind::Force {
                least_n: 0.0,
                most_n: 50.0,
            },
            "twice this player's",
            "a hard player's pluck, normal to the board",
        ),
        Key::otherwise(
            "margin",
            Kind::length(0.0, 2.0),
            "0.02 mm",
            "air that must be left between a sounding string and every fret",
        ),
        Key::otherwise(
            "in_tune",
            Kind::Number {
                least: 0.1,
                most: 100.0,
            },
            "5",
            "how many cents a fretted note may be off",
        ),
        Key::otherwise(
            "action_within",
            Kind::length(0.005, 2.0),
            "0.15 mm",
            "how far the action may be off what was asked",
        ),
    ],
};

static ACTION: Table = Table {
    meaning: "String height over fret 12.",
    keys: &[
        Key::required(
            "treble",
            Kind::length(0.1, 15.0),
            "under the highest string",
        ),
        Key::required("bass", Kind::length(0.1, 15.0), "under the lowest string"),
    ],
};

static CLIMATE: Table = Table {
    meaning: "The air of the shop and of the player's home.",
    keys: &[
        Key::otherwise(
            "temperature",
            Kind::Temperature,
            "20 °C",
            "temperature in both",
        ),
        Key::otherwise(
            "shop_humidity",
            Kind::Percent,
            "45 %",
            "relative humidity in the shop",
        ),
        Key::otherwise(
            "home_humidity",
            Kind::Percent,
            "25 %",
            "relative humidity where it will live",
        ),
        Key::otherwise(
            "sawn",
            Kind::Choice(&["quarter", "flat"]),
            "quarter",
            "whether growth rings stand upright or lie flat",
        ),
    ],
};
