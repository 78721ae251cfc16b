//! What was measured on the strung instrument, and how far the maker's hands miss.

/// What was measured on the strung instrument.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetUp {
    /// The neck's bow at its deepest, mm; negative for a back-bow.
    pub relief_mm: Option<f64>,
    /// Open strings over fret 12, highest first, mm.
    pub action_at_12_mm: Option<Vec<f64>>,
    /// Open strings over fret 1, highest first, mm.
    pub action_at_1_mm: Option<Vec<f64>>,
}

impl SetUp {
    /// True when something was measured.
    pub fn is_measured(&self) -> bool {
        self.relief_mm.is_some() || self.action_at_12_mm.is_some() || self.action_at_1_mm.is_some()
    }
}

/// Standard deviations of what the maker's hands and tools do; shares are parts of one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errors {
    /// Of each levelled fret top, mm.
    pub fret_tops_mm: f64,
    /// Of each nut slot's depth, mm.
    pub nut_slots_mm: f64,
    /// Of each string's height at the saddle, mm.
    pub saddle_mm: f64,
    /// Of the relief, mm.
    pub relief_mm: f64,
    /// Of the camber's radius at either end, as a share.
    pub radius_share: f64,
    /// Of each slot's place along the board, mm.
    pub slots_mm: f64,
    /// Of each string's place along the saddle, mm.
    pub set_back_mm: f64,
    /// Of each string's pull, as a share.
    pub tension_share: f64,
    /// Of each string's stiffness against stretch, as a share.
    pub stretch_share: f64,
    /// Of the player's force, as a share.
    pub pluck_share: f64,
}

impl Default for Errors {
    /// What a careful hand does: common practice, no source.
    fn default() -> Self {
        Self {
            fret_tops_mm: 0.015,
            nut_slots_mm: 0.03,
            saddle_mm: 0.05,
            relief_mm: 0.03,
            radius_share: 0.02,
            slots_mm: 0.05,
            set_back_mm: 0.3,
            tension_share: 0.03,
            stretch_share: 0.1,
            pluck_share: 0.2,
        }
    }
}
