//! A published figure: its value, its spread, where it comes from and how far to trust it.

/// How a figure came into the tables, which says how far to trust it.
///
/// A figure computed from several carries the mark of the weakest of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Read in the source named, or in a copy of it.
    Read,
    /// Remembered from the source named, not looked up: verify before relying on it.
    Memory,
    /// Computed from figures that were read, by the formula named.
    Derived,
    /// Common practice of the trade, no source.
    Practice,
}

impl Mark {
    /// The mark's word in the data files.
    pub(crate) fn from_word(word: &str) -> Option<Mark> {
        match word {
            "read" => Some(Mark::Read),
            "memory" => Some(Mark::Memory),
            "derived" => Some(Mark::Derived),
            "practice" => Some(Mark::Practice),
            _ => None,
        }
    }

    /// The mark in words, to be shown beside a figure.
    pub fn words(self) -> &'static str {
        match self {
            Mark::Read => "read in the source",
            Mark::Memory => "from memory, not looked up",
            Mark::Derived => "derived",
            Mark::Practice => "common practice, no source",
        }
    }
}

/// One figure of a table, in the unit its place names.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// The value to use.
    pub value: f64,
    /// The lowest value published, where sources or samples spread.
    pub low: Option<f64>,
    /// The highest value published, where sources or samples spread.
    pub high: Option<f64>,
    /// Where the figure comes from.
    pub source: &'static str,
    /// How it was got.
    pub mark: Mark,
}
