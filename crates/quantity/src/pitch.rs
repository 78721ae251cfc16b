//! Pitch: note names, their frequencies in equal temperament, and cents.

use std::fmt;

use crate::error::{Problem, Quantity, QuantityError};
use crate::number::normalised;

/// MIDI number of A4, the note that is tuned to.
const A4_MIDI_NUMBER: i32 = 69;

/// The lowest and highest octave read; the widest instruments stay well inside.
const OCTAVES: std::ops::RangeInclusive<i8> = -1..=10;

/// A note of the twelve-note scale as it is written: letter, sharps or flats, octave.
///
/// The octave changes at C, so that A4 is the note tuned to and the low E of a guitar
/// sounds E2 (scientific pitch notation). F# and Gb sound alike but are kept as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Note {
    letter: char,
    /// Semitones up (sharps) or down (flats) from the letter, -2 to 2.
    alteration: i8,
    octave: i8,
}

impl Note {
    /// The number of the note in semitones, A4 being 69 and middle C 60, as MIDI counts.
    pub fn midi_number(self) -> i32 {
        let above_c = match self.letter {
            'C' => 0,
            'D' => 2,
            'E' => 4,
            'F' => 5,
            'G' => 7,
            'A' => 9,
            _ => 11,
        };
        12 * (i32::from(self.octave) + 1) + above_c + i32::from(self.alteration)
    }

    /// The frequency in hertz, in equal temperament, when A4 sounds `a4_hz`.
    ///
    /// References: ISO 16:1975 sets A4 = 440 Hz; f = a4 * 2^((m - 69)/12).
    pub fn frequency_hz(self, a4_hz: f64) -> f64 {
        let semitones_from_a4 = f64::from(self.midi_number() - A4_MIDI_NUMBER);
        a4_hz * (semitones_from_a4 / 12.0).exp2()
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alteration < 0 { "b" } else { "#" };
        let signs = sign.repeat(usize::from(self.alteration.unsigned_abs()));
        write!(f, "{}{signs}{}", self.letter, self.octave)
    }
}

/// Reads a note such as `E4`, `F#3`, `Bb2` or `C♯3`.
///
/// Valid range: letters A to G, up to two sharps or two flats, octaves -1 to 10.
///
/// # Errors
/// Refuses anything else, the German note H included.
///
/// ```
/// use quantity::parse_note;
/// assert_eq!(parse_note("C♯3").unwrap().to_string(), "C#3");
/// assert!(parse_note("E").is_err());
/// ```
pub fn parse_note(text: &str) -> Result<Note, QuantityError> {
    read_note(text).map_err(|problem| QuantityError::new(text, Quantity::Note, problem))
}

fn read_note(text: &str) -> Result<Note, Problem> {
    let plain = normalised(text)?;
    let mut rest = plain.chars();
    let letter = rest
        .next()
        .map(|c| c.to_ascii_uppercase())
        .ok_or(Problem::Empty)?;
    if !('A'..='G').contains(&letter) {
        return Err(Problem::NotANote);
    }
    let rest = rest.as_str().trim_start();
    let octave_text = rest.trim_start_matches(['#', '♯', 'b', '♭']);
    let signs = &rest[..rest.len() - octave_text.len()];
    let alteration = read_alteration(signs).ok_or(Problem::NotANote)?;
    let octave = read_octave(octave_text.trim_start()).ok_or(Problem::NotANote)?;
    Ok(Note {
        letter,
        alteration,
        octave,
    })
}

/// Semitones of up to two sharps or two flats, never both.
fn read_alteration(signs: &str) -> Option<i8> {
    match signs {
        "" => Some(0),
        "#" | "♯" => Some(1),
        "##" | "♯♯" => Some(2),
        "b" | "♭" => Some(-1),
        "bb" | "♭♭" => Some(-2),
        _ => None,
    }
}

/// An octave as its plain number, without a plus sign or leading zeros.
fn read_octave(text: &str) -> Option<i8> {
    let octave: i8 = text.parse().ok()?;
    (OCTAVES.contains(&octave) && octave.to_string() == text).then_some(octave)
}

/// How many cents the second frequency lies above the first; 100 make a semitone.
///
/// Valid range: both above zero; otherwise the result is not a number or infinite.
pub fn cents_between(f_from_hz: f64, f_to_hz: f64) -> f64 {
    1200.0 * (f_to_hz / f_from_hz).log2()
}

/// The ratio of frequencies so many cents apart.
pub fn ratio_of_cents(cents: f64) -> f64 {
    (cents / 1200.0).exp2()
}
