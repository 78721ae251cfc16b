//! Cutting a text into records and cells: RFC 4180, with comma, semicolon or tab between cells.
//!
//! Beyond the RFC a line may begin with `#` or be blank, and is skipped then. A quote inside an
//! unquoted cell is a plain character, for it is how a maker writes an inch.

use std::borrow::Cow;

use super::units::{Decimal, plain_number};

/// What stands between two cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Separator {
    /// One such character.
    Byte(u8),
    /// Any run of blanks; only in files of bare numbers.
    Blanks,
}

impl Separator {
    /// The separator of a head: the one that it holds most of, outside quotes.
    pub fn of_head(line: &str) -> Separator {
        let mut counts = [(b',', 0_usize), (b';', 0), (b'\t', 0)];
        let mut quoted = false;
        for byte in line.bytes() {
            quoted ^= byte == b'"';
            for (separator, count) in &mut counts {
                *count += usize::from(!quoted && byte == *separator);
            }
        }
        let mut best = counts[0];
        for count in counts {
            if count.1 > best.1 {
                best = count;
            }
        }
        Separator::Byte(best.0)
    }

    /// What parts decimals in unquoted cells: a comma can only where it does not part cells.
    pub fn decimal(self) -> Decimal {
        match self {
            Separator::Byte(b',') => Decimal::Point,
            _ => Decimal::PointOrComma,
        }
    }

    /// True when the byte ends a cell.
    pub fn is(self, byte: u8) -> bool {
        match self {
            Separator::Byte(separator) => byte == separator,
            Separator::Blanks => is_blank(byte),
        }
    }
}

/// True for a blank or a tab.
pub(super) fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t')
}

/// Where the first line that is neither blank nor a comment begins, and its number.
pub(super) fn first_line(text: &str) -> Option<(usize, usize)> {
    let mut at = 0;
    for (index, line) in text.split_inclusive('\n').enumerate() {
        if !is_skipped(line) {
            return Some((at, index + 1));
        }
        at += line.len();
    }
    None
}

/// The line at a place, without its end.
pub(super) fn line_at(text: &str, at: usize) -> &str {
    let line = text[at..].split('\n').next().unwrap_or("");
    line.strip_suffix('\r').unwrap_or(line)
}

/// True for a line that holds nothing: blank, separators alone, or a comment.
fn is_skipped(line: &str) -> bool {
    line.starts_with('#')
        || line
            .bytes()
            .all(|byte| byte.is_ascii_whitespace() || matches!(byte, b',' | b';'))
}

/// The separator of a line that is three or four bare numbers, and how many there are.
pub(super) fn numbers_only(line: &str) -> Option<(Separator, usize)> {
    let separators = [b'\t', b';', b','].map(Separator::Byte);
    let all = separators.into_iter().chain([Separator::Blanks]);
    all.into_iter().find_map(|separator| {
        let cells: Vec<&str> = match separator {
            Separator::Byte(byte) => line.split(byte as char).take(5).collect(),
            Separator::Blanks => line.split_ascii_whitespace().take(5).collect(),
        };
        let is_number =
            |cell: &&str| plain_number(cell.trim().as_bytes(), separator.decimal()).is_some();
        let fits = (3..=4).contains(&cells.len()) && cells.iter().all(is_number);
        fits.then_some((separator, cells.len()))
    })
}

/// A record that cannot be cut into cells.
pub(super) struct Broken {
    /// Its line, counted from 1.
    pub line: usize,
    /// How it is broken.
    pub how: How,
}

/// How a record is broken.
#[derive(Clone, Copy)]
pub(super) enum How {
    /// A quote is opened and never closed.
    Open,
    /// The same, and nothing behind it was read.
    OpenToTheEnd,
    /// Text stands behind a closing quote.
    Trailing,
}

impl Broken {
    /// What to say: message and way out.
    pub fn words(&self) -> (String, String) {
        let message = match self.how {
            How::Open => "a quote is opened and never closed",
            How::OpenToTheEnd => {
                "a quote is opened and never closed, and nothing behind it is read"
            }
            How::Trailing => "text stands behind a closing quote",
        };
        let way_out = "write a quote inside a quoted cell twice, as in \"0.010\"\"\"";
        (message.into(), way_out.into())
    }
}

/// The records of a text, one by one.
pub(super) struct Records<'a> {
    pub text: &'a str,
    pub at: usize,
    pub line: usize,
    pub separator: Separator,
    /// How many bytes were read in vain.
    in_vain: usize,
}

impl<'a> Records<'a> {
    /// The records from a place on, which is the beginning of line `line`.
    pub fn new(text: &'a str, at: usize, line: usize, separator: Separator) -> Self {
        Records {
            text,
            at,
            line,
            separator,
            in_vain: 0,
        }
    }

    /// Cuts the next record into `cells` and gives its line's number; nothing at the text's end.
    pub fn next(&mut self, cells: &mut Vec<Cow<'a, str>>) -> Option<Result<usize, Broken>> {
        while self.at < self.text.len() {
            let line = line_at(self.text, self.at);
            if !is_skipped(line) {
                return Some(self.record(cells));
            }
            self.skip_line();
        }
        None
    }

    /// Goes to the beginning of the next line.
    pub fn skip_line(&mut self) {
        let rest = &self.text.as_bytes()[self.at..];
        let ahead = rest.iter().position(|byte| *byte == b'\n');
        self.at += ahead.map_or(rest.len(), |ahead| ahead + 1);
        self.line += 1;
    }

    fn record(&mut self, cells: &mut Vec<Cow<'a, str>>) -> Result<usize, Broken> {
        cells.clear();
        let (start, line) = (self.at, self.line);
        loop {
            match self.cell() {
                Ok(cell) => cells.push(cell),
                Err(how) => {
                    let how = self.recover(start, line, how);
                    return Err(Broken { line, how });
                }
            }
            if !self.step_over_separator() {
                return Ok(line);
            }
        }
    }

    /// Goes behind the line on which a broken record begins; when too much was read in vain, as
    /// in a text made for it, behind the line on which it was found broken.
    fn recover(&mut self, start: usize, line: usize, how: How) -> How {
        self.in_vain += self.at - start;
        let goes_back = self.in_vain <= 4 * self.text.len();
        if goes_back {
            (self.at, self.line) = (start, line);
        }
        self.skip_line();
        match how {
            How::Open if !goes_back => How::OpenToTheEnd,
            how => how,
        }
    }

    /// Steps over the separator; false at the record's end, which is stepped over as well.
    fn step_over_separator(&mut self) -> bool {
        let bytes = self.text.as_bytes();
        let blanks = self.separator == Separator::Blanks;
        while blanks && bytes.get(self.at).is_some_and(|byte| is_blank(*byte)) {
            self.at += 1;
        }
        let ends = matches!(bytes.get(self.at), None | Some(b'\r' | b'\n'));
        match ends {
            true => self.skip_line(),
            false if !blanks => self.at += 1,
            false => {}
        }
        !ends
    }

    /// The cell at the place, which moves to the separator or line end behind it.
    fn cell(&mut self) -> Result<Cow<'a, str>, How> {
        let bytes = self.text.as_bytes();
        let mut from = self.at;
        while bytes.get(from).is_some_and(|byte| is_blank(*byte)) && bytes[from] != self.own_byte()
        {
            from += 1;
        }
        if bytes.get(from) == Some(&b'"') {
            return self.quoted(from + 1);
        }
        let rest = &bytes[from..];
        let ends = |index: usize, byte: u8| {
            let line_ends = byte == b'\n'
                || (byte == b'\r' && matches!(rest.get(index + 1), None | Some(b'\n')));
            line_ends || self.separator.is(byte)
        };
        let length = rest
            .iter()
            .enumerate()
            .position(|(index, byte)| ends(index, *byte))
            .unwrap_or(rest.len());
        self.at = from + length;
        Ok(Cow::Borrowed(self.text[from..self.at].trim()))
    }

    /// The separator where it is one character; a blank otherwise, which is never its own.
    fn own_byte(&self) -> u8 {
        match self.separator {
            Separator::Byte(byte) => byte,
            Separator::Blanks => 0,
        }
    }

    /// A quoted cell from behind its opening quote.
    fn quoted(&mut self, from: usize) -> Result<Cow<'a, str>, How> {
        let bytes = self.text.as_bytes();
        let (mut at, mut doubled) = (from, false);
        loop {
            let ahead = bytes[at..].iter().position(|byte| *byte == b'"');
            let Some(ahead) = ahead else {
                self.at = bytes.len();
                return Err(How::Open);
            };
            at += ahead;
            if bytes.get(at + 1) != Some(&b'"') {
                break;
            }
            doubled = true;
            at += 2;
        }
        let inside = &self.text[from..at];
        self.line += inside.bytes().filter(|byte| *byte == b'\n').count();
        self.at = at + 1;
        while bytes.get(self.at).is_some_and(|byte| is_blank(*byte))
            && bytes[self.at] != self.own_byte()
        {
            self.at += 1;
        }
        let behind = &bytes[self.at..];
        let ends = match behind {
            [] | [b'\n', ..] | [b'\r', b'\n', ..] | [b'\r'] => true,
            [byte, ..] => self.separator.is(*byte),
        };
        match (ends, doubled) {
            (false, _) => Err(How::Trailing),
            (true, true) => Ok(Cow::Owned(inside.replace("\"\"", "\""))),
            (true, false) => Ok(Cow::Borrowed(inside)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str, separator: u8) -> Vec<Result<(usize, Vec<String>), usize>> {
        let mut records = Records::new(text, 0, 1, Separator::Byte(separator));
        let (mut cells, mut found) = (Vec::new(), Vec::new());
        while let Some(record) = records.next(&mut cells) {
            found.push(match record {
                Ok(line) => Ok((line, cells.iter().map(|cell| cell.to_string()).collect())),
                Err(broken) => Err(broken.line),
            });
        }
        found
    }

    fn row(line: usize, cells: &[&str]) -> Result<(usize, Vec<String>), usize> {
        Ok((line, cells.iter().map(|cell| cell.to_string()).collect()))
    }

    #[test]
    fn cells_are_cut_as_rfc_4180_says() {
        // RFC 4180, section 2, rules 5 to 7: "aaa","b CRLF bb","ccc" and "b""bb".
        let text = "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,\"b\"\"bb\",xxx\r\n";
        let expected = [
            row(1, &["aaa", "b\r\nbb", "ccc"]),
            row(3, &["zzz", "b\"bb", "xxx"]),
        ];
        assert_eq!(cut(text, b','), expected);
    }

    #[test]
    fn comments_and_blank_lines_are_skipped_and_counted() {
        let text = "# told, here\n\n a ; b\n;;\n \t\n\"#c\"; \"d\" ";
        assert_eq!(cut(text, b';'), [row(3, &["a", "b"]), row(6, &["#c", "d"])]);
    }

    #[test]
    fn an_inch_mark_in_a_cell_is_a_plain_character() {
        assert_eq!(cut("0.010\",x", b','), [row(1, &["0.010\"", "x"])]);
        assert_eq!(cut("a,,b,", b','), [row(1, &["a", "", "b", ""])]);
        assert_eq!(cut("a\t\tb", b'\t'), [row(1, &["a", "", "b"])]);
    }

    #[test]
    fn reading_goes_on_behind_a_broken_record() {
        assert_eq!(
            cut("\"a\"b,c\nd\n\"e\nf\n", b','),
            [Err(1), row(2, &["d"]), Err(3), row(4, &["f"])]
        );
    }

    #[test]
    fn quotes_that_never_close_are_not_read_over_and_over() {
        // Every line opens a quote whatever stands before it, so that each runs to the end.
        let lines = 200_000;
        let found = cut(&"x\",\"\n".repeat(lines), b',');
        assert_eq!(found[0], Err(1));
        assert!(found.len() <= 10 && found.iter().all(Result::is_err));
    }

    #[test]
    fn the_head_tells_the_separator() {
        for (head, byte) in [
            ("kind,at", b','),
            ("kind;at;\"a,b,c,d\"", b';'),
            ("kind\tat", b'\t'),
            ("kind", b','),
        ] {
            assert_eq!(Separator::of_head(head), Separator::Byte(byte), "{head}");
        }
    }

    #[test]
    fn bare_numbers_tell_their_separator() {
        let byte = |byte, count| Some((Separator::Byte(byte), count));
        for (line, expected) in [
            ("1, 2.5, -3e-2", byte(b',', 3)),
            ("1,5;2,5;-3;4", byte(b';', 4)),
            ("1,5\t2,5\t3", byte(b'\t', 3)),
            (" 1,5  2,5 3", Some((Separator::Blanks, 3))),
            ("1,2", None),
            ("1,2,nan", None),
            ("1,2,3,4,5", None),
            ("x,y,z", None),
        ] {
            assert_eq!(numbers_only(line), expected, "{line}");
        }
    }
}
