//! What is wrong with a text: the place, the value, the limit, and a way out.

use std::fmt;

/// One thing wrong with a file, said so that the maker can mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The key, as a dotted path: `camber.nut`, `strings.set[2].gauge`; empty for the file itself.
    pub place: String,
    /// The line in the text, counted from 1, when it is known.
    pub line: Option<usize>,
    /// What is wrong: thing, value with unit, limit.
    pub message: String,
    /// A way out.
    pub way_out: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(out, "line {line}: ")?;
        }
        if !self.place.is_empty() {
            write!(out, "{}: ", self.place)?;
        }
        write!(out, "{}", self.message)?;
        if !self.way_out.is_empty() {
            write!(out, "; {}", self.way_out)?;
        }
        Ok(())
    }
}

/// All faults found in one reading of a text, in the order of the text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults(pub Vec<Fault>);

impl Faults {
    /// True when nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The faults that concern one key, or a part of it.
    pub fn at<'a>(&'a self, place: &'a str) -> impl Iterator<Item = &'a Fault> {
        self.0.iter().filter(move |fault| {
            fault.place.strip_prefix(place).is_some_and(|rest| {
                rest.is_empty() || rest.starts_with('.') || rest.starts_with('[')
            })
        })
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                writeln!(out)?;
            }
            write!(out, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}
