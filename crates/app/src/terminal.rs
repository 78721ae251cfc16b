//! Words at the terminal, apart from what commands print for use.

use std::io::Write;

/// Says something on standard error; a terminal that went away is nothing to fail for.
pub(crate) fn say(words: &str) {
    let _closed_terminal_is_fine = std::io::stderr().write_all(words.as_bytes());
}
