//! The neck that bows under its strings, and how it meets the body.

/// The neck, as far as the maker gave it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Neck {
    /// Depth of neck and board at fret 1 and at fret 12, mm; without it the neck is taken as
    /// equally stiff all along.
    pub depths_mm: Option<(f64, f64)>,
    /// The fret at which the neck meets the body; past it nothing bows.
    pub joint: Option<usize>,
    /// The board's face over the body's face at the joint, mm.
    pub board_over_body_mm: Option<f64>,
    /// The strings' mean height over the body's face at the saddle, mm.
    pub bridge_height_mm: Option<f64>,
    /// Length of the neck's seat in the body, mm.
    pub pocket_mm: Option<f64>,
}
