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
