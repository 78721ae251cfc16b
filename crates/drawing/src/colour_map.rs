//! Colour maps for figures spread over a surface: even steps look even, also to eyes that do not
//! tell red from green.

use crate::ink::Colour;

/// A run of colours for figures between a least (0) and a greatest (1).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourMap {
    /// Dark blue through grey to yellow, lightness rising all the way; for amounts.
    ///
    /// The open scientific map by Nuñez, Anderton and Renslow, "Optimizing colormaps with
    /// consideration for color vision deficiency", PLoS ONE 13 (2018) e0199239. The ten stops
    /// are from memory; between them the colours run straight.
    Cividis,
    /// Blue for below, near white in the middle, brown for above; for signed figures.
    ///
    /// Our own: both arms leave the middle with equal CIE lightness, so equal amounts above and
    /// below look equally strong, and blue against brown survives red-green blindness. The stops
    /// were computed in CIE L*a*b*: L* 96, 86, 70, 50, 30 at hues near 260° and 60°.
    Signed,
}

const CIVIDIS: [u32; 10] = [
    0x00204D, 0x00336F, 0x39486B, 0x575C6D, 0x707173, 0x8A8779, 0xA69D75, 0xC4B56C, 0xE4CF5B,
    0xFFEA46,
];

const SIGNED: [u32; 9] = [
    0x024B72, 0x2F7DB3, 0x7FB0DD, 0xC5DAEF, 0xF5F3F0, 0xEED2BC, 0xD89F71, 0xA96736, 0x6B3A1B,
];

impl ColourMap {
    /// The colour at a place between 0 and 1; places outside take the nearest end, and a place
    /// that is not a number takes the middle.
    pub fn colour(self, place: f64) -> Colour {
        let stops = self.stops();
        let place = if place.is_nan() {
            0.5
        } else {
            place.clamp(0.0, 1.0)
        };
        let scaled = place * (stops.len() - 1) as f64;
        // In 0..=len-2, so that the stop after it exists.
        let index = (scaled as usize).min(stops.len() - 2);
        Colour::from_hex(stops[index])
            .mixed(Colour::from_hex(stops[index + 1]), scaled - index as f64)
    }

    const fn stops(self) -> &'static [u32] {
        match self {
            Self::Cividis => &CIVIDIS,
            Self::Signed => &SIGNED,
        }
    }
}

/// CIE 1976 lightness L* of a colour, 0 (black) to 100 (white), its opacity left aside.
///
/// References: CIE 15 (Colorimetry), CIE 1976 L*a*b*; relative luminance as in
/// [`crate::contrast_ratio`].
pub fn cie_lightness(colour: Colour) -> f64 {
    let luminance = colour.relative_luminance();
    let edge = 6.0 / 29.0_f64;
    let root = if luminance > edge.powi(3) {
        luminance.cbrt()
    } else {
        luminance / (3.0 * edge * edge) + 4.0 / 29.0
    };
    116.0 * root - 16.0
}
