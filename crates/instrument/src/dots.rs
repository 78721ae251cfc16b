//! Marks on the face between the frets: round inlays that tell the player where the hand is.

/// One round inlay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dot {
    /// The fret behind which it lies: midway between that fret and the one before.
    pub fret: usize,
    /// Its centre along the board, mm.
    pub x_mm: f64,
    /// Its centre across the board, mm.
    pub y_mm: f64,
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// Depth of its pocket under the finished wood at its centre, mm; the floor is flat.
    pub depth_mm: f64,
}
