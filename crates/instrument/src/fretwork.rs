//! What was measured of the fretted board, and how far levelling may go.

/// The fretted board as measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Fretwork {
    /// What was read, in the order of the file.
    pub readings: Vec<TopReading>,
    /// Least step that the readings tell apart, mm.
    pub step_mm: f64,
    /// A fret that stands prouder than this over both neighbours is seated first, mm.
    pub seat_bound_mm: f64,
    /// Least height that a crown keeps when it is levelled, mm.
    pub least_crown_mm: f64,
}

impl Default for Fretwork {
    fn default() -> Self {
        Self {
            readings: Vec::new(),
            step_mm: 0.02,
            seat_bound_mm: 0.1,
            least_crown_mm: 0.7,
        }
    }
}

/// One reading of fret tops in a lane; lanes count from 0, the highest string's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TopReading {
    /// The lane, 0 for the highest string's.
    pub lane: usize,
    /// What was read.
    pub what: TopWhat,
    /// The reading, mm.
    pub value_mm: f64,
}

/// What of the fret tops was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TopWhat {
    /// A top's height over the datum of its lane's bar.
    Height {
        /// The fret.
        fret: usize,
    },
    /// The gap over a fret under a straightedge that rests on two others.
    Gap {
        /// The first fret that it rests on.
        from: usize,
        /// The last one.
        to: usize,
        /// The fret between.
        fret: usize,
    },
    /// A fret's height over the line through its neighbours; 0 when nothing rocks.
    Rock {
        /// The middle fret.
        fret: usize,
    },
}
