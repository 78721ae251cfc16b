//! Inks: what a mark means. Only a writer turns an ink into a colour.

use crate::colour_map::ColourMap;

/// What a mark means, from which a writer chooses its colour.
///
/// Never let an ink alone carry a meaning: [`Ink::Caution`] and [`Ink::Good`] go with a word or
/// a sign, for those who do not tell red from green and for black printers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ink {
    /// Words and figures.
    Text,
    /// Words and figures that stand back: units, ticks, notes.
    FaintText,
    /// Drawn lines: outlines, axes.
    Line,
    /// Lines that stand back: grids, guides.
    FaintLine,
    /// The face of the board.
    Wood,
    /// The edge of the board, cut wood.
    WoodEdge,
    /// Fret wire.
    Fret,
    /// Strings.
    String,
    /// The figure the picture is about.
    Accent,
    /// A quiet area in the hue of [`Ink::Accent`]; text may stand on it.
    AccentFill,
    /// The figure it is compared with.
    Second,
    /// A quiet area in the hue of [`Ink::Second`]; text may stand on it.
    SecondFill,
    /// A further figure.
    Third,
    /// Not good, or not safe.
    Caution,
    /// As wished.
    Good,
    /// Chalk on the board; seen on [`Ink::Wood`], not on paper.
    Chalk,
    /// The sheet itself.
    Paper,
    /// A neutral ground under a colour map, where nothing is known. It is no colour of
    /// [`ColourMap::Signed`], whose middle is as light as a sheet.
    Unknown,
    /// Lines and marks on a colour map; the same on every page, as the map is.
    OverMap,
    /// The rim around [`Ink::OverMap`], which keeps it seen on the map's dark colours.
    OverMapRim,
    /// A place between 0 and 1 on a colour map.
    Map(ColourMap, f64),
    /// [`Ink::Unknown`] as a veil over a colour map, from 0 (clear) to 1 (covering): the less is
    /// known of a figure, the thicker the veil over it.
    Veil(f64),
}

/// Where a picture is looked at, which decides its colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Palette {
    /// A light page.
    Light,
    /// A dark page.
    Dark,
    /// White paper; large areas are kept pale to save the printer's ink.
    Print,
}

/// A colour of the sRGB space with an opacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
    /// Opacity, 0 (clear) to 1 (covering).
    pub opacity: f64,
}

/// Name in style sheets, and colour on a light page, a dark page and paper.
struct InkRow(&'static str, u32, u32, u32);

impl Ink {
    /// Every ink but the colour maps and their veils, in a fixed order.
    pub const ALL: [Self; 20] = [
        Self::Text,
        Self::FaintText,
        Self::Line,
        Self::FaintLine,
        Self::Wood,
        Self::WoodEdge,
        Self::Fret,
        Self::String,
        Self::Accent,
        Self::AccentFill,
        Self::Second,
        Self::SecondFill,
        Self::Third,
        Self::Caution,
        Self::Good,
        Self::Chalk,
        Self::Paper,
        Self::Unknown,
        Self::OverMap,
        Self::OverMapRim,
    ];

    /// The ink's name in style sheets (`text`, `wood-edge`); `None` for a colour map, whose
    /// colours are written out. A veil goes by the name of [`Ink::Unknown`].
    pub fn name(self) -> Option<&'static str> {
        self.row().map(|row| row.0)
    }

    /// Whether the place on a colour map, or the thickness of a veil, is a finite number; other
    /// inks always are.
    pub fn is_finite(self) -> bool {
        match self {
            Self::Map(_, place) | Self::Veil(place) => place.is_finite(),
            _ => true,
        }
    }

    /// How much the ink covers, from 0 (clear) to 1: only a veil lets through what lies under it.
    pub fn opacity(self) -> f64 {
        match self {
            Self::Veil(opacity) => opacity.clamp(0.0, 1.0),
            _ => 1.0,
        }
    }

    /// The colours, drawn from the bench: graphite and steel, mid-brown board, chalk, chalk-line
    /// blue, shellac, purpleheart. Text inks and the four figure inks keep a contrast of 4.5 on
    /// their paper (WCAG 2.2, 1.4.3); chalk, frets and strings keep 3 on the wood (1.4.11).
    const fn row(self) -> Option<InkRow> {
        Some(match self {
            Self::Text => InkRow("text", 0x211D19, 0xF1EBE1, 0x000000),
            Self::FaintText => InkRow("faint-text", 0x625A51, 0xB4AA9C, 0x4D4D4D),
            Self::Line => InkRow("line", 0x4A443D, 0xC9BFB1, 0x1A1A1A),
            Self::FaintLine => InkRow("faint-line", 0xCFC6B8, 0x4B443C, 0xB0B0B0),
            Self::Wood => InkRow("wood", 0xB5835A, 0x6B4528, 0xF3E7D8),
            Self::WoodEdge => InkRow("wood-edge", 0x5A3A22, 0xC4935F, 0x6B4A2E),
            Self::Fret => InkRow("fret", 0x2B3137, 0xD7DCE1, 0x2B3137),
            Self::String => InkRow("string", 0x1E2A35, 0xDDD0B0, 0x303A44),
            Self::Accent => InkRow("accent", 0x1B5A84, 0x7DBDE6, 0x114E78),
            // Named a wash, so that no class for filling with `accent` reads like it.
            Self::AccentFill => InkRow("accent-wash", 0xC7DDEB, 0x1F435A, 0xD3E4F0),
            Self::Second => InkRow("second", 0x8F450F, 0xF0A865, 0x82400E),
            Self::SecondFill => InkRow("second-wash", 0xF2D9BF, 0x5C3716, 0xF5DFC8),
            Self::Third => InkRow("third", 0x6A4587, 0xC9A5E6, 0x5E3A7B),
            Self::Caution => InkRow("caution", 0xA3271C, 0xFF9A8C, 0x9A1F14),
            Self::Good => InkRow("good", 0x2A6837, 0x8CCB97, 0x205C2D),
            Self::Chalk => InkRow("chalk", 0xFFFFFF, 0xFFFDF8, 0x5A7590),
            Self::Paper => InkRow("paper", 0xFBF8F2, 0x1A1714, 0xFFFFFF),
            Self::Unknown | Self::Veil(_) => InkRow("unknown", 0xBDB9B4, 0x57534F, 0xC8C8C8),
            Self::OverMap => InkRow("over-map", 0x16191D, 0x16191D, 0x16191D),
            Self::OverMapRim => InkRow("over-map-rim", 0xFFFFFF, 0xFFFFFF, 0xFFFFFF),
            Self::Map(..) => return None,
        })
    }
}

impl Palette {
    /// The colour of an ink.
    pub fn colour(self, ink: Ink) -> Colour {
        match (ink, ink.row()) {
            (_, Some(InkRow(_, light, dark, print))) => Colour {
                opacity: ink.opacity(),
                ..Colour::from_hex(match self {
                    Self::Light => light,
                    Self::Dark => dark,
                    Self::Print => print,
                })
            },
            (Ink::Map(map, place), None) => map.colour(place),
            // Every ink but a map has a row.
            (_, None) => Colour::from_hex(0),
        }
    }
}

impl Colour {
    /// A covering colour from six hexadecimal digits, red first; higher digits are left aside.
    pub const fn from_hex(hex: u32) -> Self {
        let [_, red, green, blue] = hex.to_be_bytes();
        Self {
            red,
            green,
            blue,
            opacity: 1.0,
        }
    }

    /// The colour as `#RRGGBB`, its opacity left aside.
    pub fn hex(self) -> String {
        format!("#{:02X}{:02X}{:02X}", self.red, self.green, self.blue)
    }

    /// The colour a fraction of the way to another one, straight in sRGB.
    #[must_use]
    pub fn mixed(self, other: Self, fraction: f64) -> Self {
        let mix = |from: f64, to: f64| from + (to - from) * fraction.clamp(0.0, 1.0);
        // A cast of a float to a byte saturates, so this cannot wrap.
        let channel = |from: u8, to: u8| mix(f64::from(from), f64::from(to)).round() as u8;
        Self {
            red: channel(self.red, other.red),
            green: channel(self.green, other.green),
            blue: channel(self.blue, other.blue),
            opacity: mix(self.opacity, other.opacity),
        }
    }

    /// Relative luminance, 0 (black) to 1 (white): the channels made linear (IEC 61966-2-1) and
    /// weighed 0.2126, 0.7152, 0.0722 (ITU-R BT.709), as WCAG 2.2 defines it.
    pub fn relative_luminance(self) -> f64 {
        let linear = |channel: u8| {
            let part = f64::from(channel) / 255.0;
            if part <= 0.04045 {
                part / 12.92
            } else {
                ((part + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }
}

/// Contrast of two covering colours, 1 (none) to 21 (black on white).
///
/// References: W3C, Web Content Accessibility Guidelines 2.2, definition of contrast ratio.
pub fn contrast_ratio(one: Colour, other: Colour) -> f64 {
    let (one, other) = (one.relative_luminance(), other.relative_luminance());
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}
