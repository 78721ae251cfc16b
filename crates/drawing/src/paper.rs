//! Sheets of paper and their true sizes.

/// A sheet of paper that a bench printer holds, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// A4 of ISO 216: 210 mm by 297 mm.
    A4,
    /// Letter, size A of ANSI/ASME Y14.1: 8.5 in by 11 in.
    Letter,
}

impl Paper {
    /// Width of the upright sheet in mm.
    pub const fn width_mm(self) -> f64 {
        match self {
            Self::A4 => 210.0,
            Self::Letter => 8.5 * 25.4,
        }
    }

    /// Height of the upright sheet in mm.
    pub const fn height_mm(self) -> f64 {
        match self {
            Self::A4 => 297.0,
            Self::Letter => 11.0 * 25.4,
        }
    }
}
