//! What the player asked for, and the air in which the instrument will live.

/// The player's wish.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Who it is for, and how they play, in the maker's words.
    pub player: String,
    /// String over fret 12 on the treble side, from fret top to string, mm.
    pub action_treble_mm: f64,
    /// The same on the bass side, mm.
    pub action_bass_mm: f64,
    /// The neck's bow at its deepest, mm.
    pub relief_mm: f64,
    /// How hard the string is plucked, normal to the board, N.
    pub pluck_force_n: f64,
    /// Where it is plucked, from the saddle, mm.
    pub pluck_from_saddle_mm: f64,
    /// The bend wanted everywhere, cents.
    pub bend_cents: f64,
    /// Open string over fret 1, mm.
    pub action_at_1_mm: f64,
    /// A light player's pluck, normal to the board, N.
    pub light_force_n: f64,
    /// A hard player's pluck, normal to the board, N.
    pub hard_force_n: f64,
    /// Air that must be left between a sounding string and every fret, mm.
    pub margin_mm: f64,
    /// How many cents a fretted note may be off.
    pub in_tune_cents: f64,
    /// How far the action may be off what was asked, mm.
    pub action_within_mm: f64,
}

impl Wish {
    /// The action asked under a lane, at a share of the way from the highest string (0) to the
    /// lowest (1), mm.
    pub fn action_mm(&self, share: f64) -> f64 {
        self.action_treble_mm + share * (self.action_bass_mm - self.action_treble_mm)
    }
}

/// How the board was sawn from the log: which way its width moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sawn {
    /// Growth rings stand upright: the width moves radially, the least.
    Quarter,
    /// Growth rings lie flat: the width moves tangentially, the most.
    Flat,
}

/// The air of the shop and of the player's home.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Climate {
    /// Temperature, degrees Celsius.
    pub temperature_c: f64,
    /// Relative humidity in the shop, percent.
    pub shop_humidity: f64,
    /// Relative humidity where the instrument will live, percent.
    pub home_humidity: f64,
    /// How the board was sawn.
    pub sawn: Sawn,
}
