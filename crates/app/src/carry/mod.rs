//! The book carried as plain texts: everything in it, or single commissions, out of one book and
//! into another.
//!
//! `docs/formats/carried.md` describes the files.
//! Nothing is ever overwritten: what is brought in stands beside what is there, and an entry that is
//! there just alike is not added again.

mod bring;
mod files;
mod part;
mod read;
mod write;

pub use bring::{Brought, bring, bring_told};
pub use files::{files_of_folder, files_of_zip};
pub(crate) use write::TAKEN_SHARE;
pub use write::{take_all, take_all_told, take_entry};

use std::ops::ControlFlow;

use book::BookError;

/// The version of the format.
pub const FORMAT: i64 = 1;

/// The settings that are carried: those on how the shop shows and prints things, never what is
/// about a single computer or a tablet.
pub const SETTINGS: [&str; 4] = [
    "length unit",
    "pattern paper",
    "bar along the short side",
    "bar along the long side",
];

/// How much is read, so that no file can fill the memory: 512 MiB in 100,000 files.
const LIMITS: solid::UnpackLimits = solid::UnpackLimits {
    files: 100_000,
    bytes: 512 << 20,
};

/// The largest archive that is read, bytes.
pub const MOST_BYTES: u64 = LIMITS.bytes as u64;

/// A file on the way: its name with its folders, divided by `/`, and its content.
pub type CarriedFile = (String, Vec<u8>);

/// Why nothing was brought in, or taken out.
#[derive(Debug)]
pub enum CarryFault {
    /// A file is not as it should be: its name and place, and what is wrong, with a way out.
    Bad {
        /// The file, and the place in it.
        place: String,
        /// What is wrong.
        message: String,
    },
    /// The book could not do it.
    Book(BookError),
    /// Somebody stopped it.
    Stopped,
}

impl From<BookError> for CarryFault {
    fn from(error: BookError) -> Self {
        match error {
            BookError::Stopped => Self::Stopped,
            error => Self::Book(error),
        }
    }
}

impl std::fmt::Display for CarryFault {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Bad { place, message } if place.is_empty() => out.write_str(message),
            Self::Bad { place, message } => write!(out, "{place}: {message}"),
            Self::Book(error) => error.fmt(out),
            Self::Stopped => out.write_str("it was stopped, and nothing was done"),
        }
    }
}

fn bad(place: impl Into<String>, message: impl Into<String>) -> CarryFault {
    CarryFault::Bad {
        place: place.into(),
        message: message.into(),
    }
}

/// Goes on, unless somebody has stopped the work.
fn unless_stopped(told: ControlFlow<()>) -> Result<(), CarryFault> {
    match told {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(CarryFault::Stopped),
    }
}

#[cfg(test)]
mod tests;
