//! The blank as it lies on the machine's bed, what holds it down, and how finely it is cut.

/// The blank: a flat board, its underside on the bed, its edges along and across the centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blank {
    /// From its nut end to its far end, mm.
    pub length_mm: f64,
    /// Across, half of it on either side of the centreline, mm.
    pub width_mm: f64,
    /// As it lies there, mm.
    pub thickness_mm: f64,
    /// x of its nut end, mm; negative before the nut.
    pub from_x_mm: f64,
}

/// A clamp or a screw: a box on the bed that no cutter may come near.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clamp {
    /// Its corner with the least x and the least y, mm.
    pub from: (f64, f64),
    /// The opposite corner, mm.
    pub to: (f64, f64),
    /// How high it stands over the bed, mm.
    pub height_mm: f64,
}

/// How this board is cut on a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutting {
    /// Greatest height that the finishing passes may leave between them, mm.
    pub scallop_mm: f64,
    /// Wood that roughing leaves for the finishing passes, mm.
    pub allowance_mm: f64,
    /// How many tabs hold the board while its outline is cut.
    pub tabs: usize,
    /// Length of a tab along the edge, mm.
    pub tab_length_mm: f64,
    /// Height of a tab over the bed, mm.
    pub tab_height_mm: f64,
    /// What holds the blank down.
    pub clamps: Vec<Clamp>,
}

impl Default for Cutting {
    /// Usual figures: common practice, no source.
    fn default() -> Self {
        Self {
            scallop_mm: 0.01,
            allowance_mm: 0.2,
            tabs: 6,
            tab_length_mm: 6.0,
            tab_height_mm: 1.0,
            clamps: Vec::new(),
        }
    }
}
