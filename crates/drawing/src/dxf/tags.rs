//! DXF as text: pairs of a group code and a value, and the handles of records.

use std::fmt::Write as _;

use crate::path::Point;

/// The smallest length above zero that is written, in mm.
pub(super) const LEAST_REAL: f64 = 1e-6;

/// The name of a record in the file, by which others refer to it; never 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Handle(u32);

impl Handle {
    /// Owner of what nothing owns.
    pub const NONE: Self = Self(0);
}

/// A file being written: tags in order, handles rising from 1.
pub(super) struct Tags {
    out: String,
    next: u32,
}

impl Tags {
    pub fn new() -> Self {
        Self {
            out: String::with_capacity(16 * 1024),
            next: 1,
        }
    }

    /// The file ends here.
    pub fn finish(mut self) -> String {
        self.text(0, "EOF");
        self.out
    }

    /// What was written so far, without an end.
    pub fn into_text(self) -> String {
        self.out
    }

    /// The first handle that was not given away.
    pub fn next_handle(&self) -> Handle {
        Handle(self.next)
    }

    /// Begins a record that has a handle and an owner, and gives its handle.
    pub fn record(&mut self, kind: &str, owner: Handle) -> Handle {
        self.record_under(5, kind, owner)
    }

    /// The same with the handle under a group code of its own; dimension styles need 105.
    pub fn record_under(&mut self, code: u16, kind: &str, owner: Handle) -> Handle {
        self.text(0, kind);
        self.own_handle(code, owner)
    }

    /// The handle of a table, which belongs to the file itself.
    pub fn table_handle(&mut self) -> Handle {
        self.own_handle(5, Handle::NONE)
    }

    fn own_handle(&mut self, code: u16, owner: Handle) -> Handle {
        let handle = self.next_handle();
        self.next += 1;
        self.handle(code, handle);
        self.handle(330, owner);
        handle
    }

    pub fn open_section(&mut self, name: &str) {
        self.text(0, "SECTION");
        self.text(2, name);
    }

    pub fn close_section(&mut self) {
        self.text(0, "ENDSEC");
    }

    /// A value that is safe as it stands.
    pub fn text(&mut self, code: u16, value: &str) {
        self.push(format_args!("{code:>3}\n{value}\n"));
    }

    pub fn whole(&mut self, code: u16, value: usize) {
        self.push(format_args!("{code:>3}\n{value}\n"));
    }

    pub fn handle(&mut self, code: u16, handle: Handle) {
        self.push(format_args!("{code:>3}\n{:X}\n", handle.0));
    }

    /// A point's three numbers; z is 0.
    pub fn point(&mut self, code: u16, point: Point) {
        self.real(code, point.x);
        self.real(code + 10, point.y);
        self.real(code + 20, 0.0);
    }

    /// The direction of z.
    pub fn axis(&mut self, code: u16) {
        self.real(code, 0.0);
        self.real(code + 10, 0.0);
        self.real(code + 20, 1.0);
    }

    /// A number rounded to six decimals, without exponent or needless zeros.
    pub fn real(&mut self, code: u16, value: f64) {
        // Values reach here within a few kilometres, so their millionths fit an integer exactly.
        let millionths = (value * 1e6).round() as i64;
        let sign = if millionths < 0 { "-" } else { "" };
        let (whole, rest) = (
            millionths.unsigned_abs() / 1_000_000,
            millionths.unsigned_abs() % 1_000_000,
        );
        self.push(format_args!("{code:>3}\n{sign}{whole}.{rest:06}"));
        // At least one decimal stays, so that the number reads as a real one.
        while self.out.ends_with('0') && !self.out.ends_with(".0") {
            self.out.pop();
        }
        self.out.push('\n');
    }

    /// Words for people. R2000 is a format of ASCII: other characters are written by their code
    /// point, those past U+FFFF, for which it has no form, as the replacement character. What
    /// readers take for a command (`%%`, `^`, `\`) is written so that it is none; of these, `%%%`
    /// stands for one `%`.
    pub fn words(&mut self, code: u16, words: &str) {
        let percent = if words.contains("%%") { "%%%" } else { "%" };
        self.push(format_args!("{code:>3}\n"));
        for character in words.chars().filter(|character| !character.is_control()) {
            match character {
                '^' => self.out.push_str("^ "),
                '%' => self.out.push_str(percent),
                '\\' | '\u{7F}'.. => {
                    let point = u32::from(character);
                    let point = if point > 0xFFFF { 0xFFFD } else { point };
                    self.push(format_args!("\\U+{point:04X}"));
                }
                _ => self.out.push(character),
            }
        }
        self.out.push('\n');
    }

    /// Writing into a string cannot fail, so the result is of no use.
    fn push(&mut self, arguments: std::fmt::Arguments<'_>) {
        let _ = self.out.write_fmt(arguments);
    }
}
