//! Which books this process has open, so that the look at the door never loosens their locks.
//!
//! On Unix, closing any descriptor of a file drops every lock the process holds on that file,
//! SQLite's included (<https://www.sqlite.org/howtocorrupt.html>, section 2.2).
//! A book that one thread is just making would then stand open to another program half-made.
//! So a book that is open here is known to be one, and is not looked at from outside again.

use std::fs::Metadata;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// One item for each open handle; two handles on one file are two equal items.
static OPEN: Mutex<Vec<FileIdentity>> = Mutex::new(Vec::new());

/// What tells one file from another, whatever paths lead to it: device and number.
type FileIdentity = (u64, u64);

/// The list, held while a book is looked at and opened; books of one process open one by one.
pub(crate) struct OpenBooks(MutexGuard<'static, Vec<FileIdentity>>);

/// Keeps the place of one open handle in the list until it is dropped.
///
/// It must be dropped after the connection, for as long as that holds locks.
#[derive(Debug)]
pub(crate) struct Registration(Option<FileIdentity>);

impl OpenBooks {
    pub(crate) fn hold() -> OpenBooks {
        OpenBooks(OPEN.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(crate) fn has(&self, path: &Path) -> bool {
        identity_at(path).is_some_and(|identity| self.0.contains(&identity))
    }

    pub(crate) fn register(mut self, path: &Path) -> Registration {
        let identity = identity_at(path);
        self.0.extend(identity);
        Registration(identity)
    }
}

impl Registration {
    /// For a book that has no file.
    pub(crate) fn none() -> Registration {
        Registration(None)
    }
}

impl Drop for Registration {
    fn drop(&mut self) {
        let mut open = OpenBooks::hold().0;
        let place = open.iter().position(|identity| Some(*identity) == self.0);
        if let Some(place) = place {
            open.swap_remove(place);
        }
    }
}

fn identity_at(path: &Path) -> Option<FileIdentity> {
    path.metadata().ok().as_ref().and_then(identity)
}

#[cfg(unix)]
fn identity(data: &Metadata) -> Option<FileIdentity> {
    use std::os::unix::fs::MetadataExt;
    Some((data.dev(), data.ino()))
}

/// Elsewhere locks belong to the handle, and there is nothing to guard.
#[cfg(not(unix))]
fn identity(_: &Metadata) -> Option<FileIdentity> {
    None
}
