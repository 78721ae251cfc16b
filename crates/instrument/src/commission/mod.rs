//! A commission's text becomes an instrument, or the list of all that is wrong with it.

mod camber;
mod cutting;
mod cutting_keys;
mod keys;
mod layout;
mod parts;
mod playing;
mod playing_keys;
mod scale;

use crate::format::{Faults, open};
use crate::instrument::Instrument;

pub use keys::{COMMISSION_KEYS, MOST_FRETS, MOST_STRINGS};

/// Where the text of a tuning file comes from: the caller looks it up by name, because the
/// core opens no files.
pub type TuningFiles<'f> = &'f dyn Fn(&str) -> Result<String, String>;

/// Reads a commission and lays the instrument out.
///
/// `files` hands out the text of a Scala file that the commission names, or says why not.
///
/// # Errors
/// All faults together, each with its place, the value, the limit and a way out.
///
/// # Examples
/// ```
/// let faults = instrument::read_commission("title = 3", &|_| Err("no files here".into()))
///     .expect_err("most of it is missing");
/// assert!(faults.0.iter().any(|fault| fault.place == "scale"));
/// ```
pub fn read_commission(text: &str, files: TuningFiles<'_>) -> Result<Instrument, Faults> {
    open(text, &COMMISSION_KEYS, |desk| layout::lay_out(desk, files))
}
