//! Sheets of paper and their true sizes.

/// A sheet of paper that a printer holds, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// A4 of ISO 216: 210 mm by 297 mm.
    A4,
    /// Letter, size A of ANSI/ASME Y14.1: 8.5 in by 11 in.
    Letter,
    /// A3 of ISO 216: 297 mm by 420 mm.
    A3,
    /// Tabloid, size B of ANSI/ASME Y14.1: 11 in by 17 in.
    Tabloid,
}

/// Which way a sheet is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Orientation {
    /// The long side stands.
    Upright,
    /// The long side lies.
    Lying,
}

/// A side of a sheet, however it is read; a printer errs by the sheet's sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetSide {
    /// The short side.
    Short,
    /// The long side.
    Long,
}

impl Paper {
    /// Every paper, the smallest first.
    pub const ALL: [Self; 4] = [Self::Letter, Self::A4, Self::Tabloid, Self::A3];

    /// What the paper is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
            Self::A3 => "A3",
            Self::Tabloid => "Tabloid",
        }
    }

    /// Width of the upright sheet in mm.
    pub const fn width_mm(self) -> f64 {
        match self {
            Self::A4 => 210.0,
            Self::Letter => 8.5 * 25.4,
            Self::A3 => 297.0,
            Self::Tabloid => 11.0 * 25.4,
        }
    }

    /// Height of the upright sheet in mm.
    pub const fn height_mm(self) -> f64 {
        match self {
            Self::A4 => 297.0,
            Self::Letter => 11.0 * 25.4,
            Self::A3 => 420.0,
            Self::Tabloid => 17.0 * 25.4,
        }
    }

    /// Width and height in mm of the sheet as it is read.
    pub const fn sides_mm(self, orientation: Orientation) -> (f64, f64) {
        match orientation {
            Orientation::Upright => (self.width_mm(), self.height_mm()),
            Orientation::Lying => (self.height_mm(), self.width_mm()),
        }
    }
}

impl SheetSide {
    /// The side in words (`short side`).
    pub const fn words(self) -> &'static str {
        match self {
            Self::Short => "short side",
            Self::Long => "long side",
        }
    }
}
