//! The file of a height probe: x, y and z a line, perhaps a million lines.
//!
//! Lines of bare numbers are read straight from the bytes; any other line, such as one with
//! quotes or units in its cells, goes the way of all tables.

use std::borrow::Cow;

use instrument::outline::Outline;

use super::fault_list::FaultList;
use super::head::HeadCell;
use super::kinds::{MOST_HEIGHT_MM, too_high};
use super::line::Bench;
use super::records::{Records, Separator, is_blank};
use super::units::{Decimal, Unit, cell_length, leading_number};
use super::visits::{empty_cloud, line_number};
use crate::place::{OUTSIDE_MM, outside};
use crate::reading::{Cloud, Spot};

/// The three columns of a probe, in the order in which a height is kept.
const NAMES: [&str; 3] = ["x", "y", "z"];

/// True when a head has all columns of a probe's file, and not that of a table.
pub(super) fn is_probe_head(cells: &[HeadCell]) -> bool {
    let has = |name: &str| cells.iter().any(|cell| cell.name == name);
    NAMES.into_iter().all(has) && !has("kind")
}

/// Where x, y and z stand in a line, and in what unit.
pub(super) struct Columns {
    places: [usize; 3],
    units: [Option<Unit>; 3],
    /// Cells up to the last of the three.
    needed: usize,
}

impl Columns {
    /// The first three of the numbers in each line.
    pub fn without_head(numbers: usize, notes: &mut Vec<String>) -> Columns {
        notes.push("the file has no head: x, y and z in millimetres are taken".into());
        if numbers > 3 {
            notes.push("the fourth number of each line is left out".into());
        }
        Columns {
            places: [0, 1, 2],
            units: [const { None }; 3],
            needed: 3,
        }
    }

    /// The columns of a head; nothing when one stands there twice, or in an unknown unit.
    pub fn of_head(
        cells: &[HeadCell],
        line: usize,
        faults: &mut FaultList,
        notes: &mut Vec<String>,
    ) -> Option<Columns> {
        let mut columns = Columns {
            places: [0; 3],
            units: [const { None }; 3],
            needed: 0,
        };
        let mut sound = true;
        for (index, name) in NAMES.into_iter().enumerate() {
            let mut found = cells
                .iter()
                .enumerate()
                .filter(|(_, cell)| cell.name == name);
            let (place, cell) = found.next()?;
            if found.next().is_some() {
                sound = false;
                faults.add(Some(line), name, || {
                    (
                        format!("column \"{name}\" stands twice in the head"),
                        "leave one of them out".into(),
                    )
                });
            }
            columns.places[index] = place;
            columns.needed = columns.needed.max(place + 1);
            columns.units[index] = cell.unit(line, faults);
            sound &= !matches!(cell.unit, super::head::Stated::Unknown(_));
        }
        columns.say(cells, notes);
        sound.then_some(columns)
    }

    /// Notes what is taken for granted and left out.
    fn say(&self, cells: &[HeadCell], notes: &mut Vec<String>) {
        let units = NAMES.into_iter().zip(&self.units);
        let bare: Vec<&str> = units
            .filter(|(_, unit)| unit.is_none())
            .map(|(name, _)| name)
            .collect();
        match bare.len() {
            0 => {}
            3 => notes.push("no unit is stated in the head: millimetres are taken".into()),
            _ => notes.push(format!(
                "no unit is stated for {}: millimetres are taken",
                bare.join(" and ")
            )),
        }
        let others: Vec<String> = cells
            .iter()
            .filter(|cell| !cell.name.is_empty() && !NAMES.contains(&cell.name.as_str()))
            .map(|cell| format!("\"{}\"", cell.name))
            .collect();
        if !others.is_empty() {
            let more = others.len().saturating_sub(MOST_NAMED);
            let mut names = others[..others.len().min(MOST_NAMED)].join(", ");
            if more > 0 {
                names.push_str(&format!(" and {more} more"));
            }
            notes.push(format!("columns {names} are left out"));
        }
    }
}

/// So many columns that are left out are named.
const MOST_NAMED: usize = 10;

/// Reads all heights that follow; a line that is none is a fault.
pub(super) fn read(
    records: Records<'_>,
    columns: &Columns,
    bench: &Bench<'_>,
    faults: &mut FaultList,
) -> Cloud {
    let mut reader = Reader {
        records,
        columns,
        bench,
        faults,
        cloud: empty_cloud(0.5 * bench.steps.probe_mm),
    };
    reader.read_all();
    reader.cloud
}

struct Reader<'a, 'r> {
    records: Records<'a>,
    columns: &'r Columns,
    bench: &'r Bench<'r>,
    faults: &'r mut FaultList,
    cloud: Cloud,
}

impl Reader<'_, '_> {
    fn read_all(&mut self) {
        let mut cells = Vec::new();
        loop {
            while let Some((values, length)) = self.bare_line() {
                self.take(self.records.line, values);
                self.records.at += length;
                self.records.line += 1;
            }
            match self.records.next(&mut cells) {
                None => return,
                Some(Ok(line)) => {
                    if let Some(values) = self.cells(line, &cells) {
                        self.take(line, values);
                    }
                }
                Some(Err(broken)) => self.faults.add(Some(broken.line), "", || broken.words()),
            }
        }
    }

    /// The three values of a line of bare numbers and the line's length with its end; nothing
    /// when the line is anything else.
    fn bare_line(&self) -> Option<([f64; 3], usize)> {
        let bytes = self.records.text.as_bytes().get(self.records.at..)?;
        let separator = self.records.separator;
        let decimal = separator.decimal();
        if bytes.first() == Some(&b'#') {
            return None;
        }
        let (mut values, mut at) = ([0.0; 3], 0);
        for cell in 0..self.columns.needed {
            if cell > 0 {
                at = behind_separator(bytes, at, separator)?;
            }
            match self.columns.places.iter().position(|place| *place == cell) {
                Some(index) => {
                    let (number, end) = bare_cell(bytes, at, decimal)?;
                    let unit = self.columns.units[index].as_ref();
                    values[index] = unit.map_or(number, |unit| unit.mm(number));
                    at = end;
                }
                None => at = end_of_cell(bytes, at, separator)?,
            }
        }
        Some((values, end_of_line(bytes, at, separator)?))
    }

    /// The three values of a line that was cut into cells; what is wrong is noted.
    fn cells(&mut self, line: usize, cells: &[Cow<'_, str>]) -> Option<[f64; 3]> {
        let decimal = self.records.separator.decimal();
        let mut values = [None; 3];
        for (index, name) in NAMES.into_iter().enumerate() {
            let cell = cells
                .get(self.columns.places[index])
                .map_or("", |cell| cell.trim());
            let unit = self.columns.units[index].as_ref();
            match cell_length(cell, unit, decimal) {
                Ok(length) => values[index] = Some(length.mm),
                Err(words) => self.faults.add(Some(line), name, || {
                    let way_out = "write a number, or leave the line out";
                    match cell.is_empty() {
                        true => (format!("{name} is empty"), way_out.into()),
                        false => (words, way_out.into()),
                    }
                }),
            }
        }
        Some([values[0]?, values[1]?, values[2]?])
    }

    /// Keeps a height that is on the board and within reach.
    fn take(&mut self, line: usize, values: [f64; 3]) {
        let [x_mm, y_mm, height_mm] = values;
        let spot = Spot { x_mm, y_mm };
        let mut sound = true;
        if !is_on_board(&self.bench.instrument.outline, spot) {
            sound = false;
            self.faults
                .add(Some(line), "x", || self.bench.off_board(spot));
        }
        if height_mm.abs() > MOST_HEIGHT_MM {
            sound = false;
            self.faults.add(Some(line), "z", || too_high(height_mm));
        }
        if sound {
            self.cloud.lines.push(line_number(line));
            self.cloud.x_mm.push(x_mm);
            self.cloud.y_mm.push(y_mm);
            self.cloud.height_mm.push(height_mm);
        }
    }
}

fn is_on_board(outline: &Outline, spot: Spot) -> bool {
    outside(outline, spot)
        .into_iter()
        .all(|over_mm| over_mm <= OUTSIDE_MM)
}

fn skip_blanks(bytes: &[u8], mut at: usize) -> usize {
    while bytes.get(at).is_some_and(|byte| is_blank(*byte)) {
        at += 1;
    }
    at
}

/// The number in a cell, and where it ends.
fn bare_cell(bytes: &[u8], at: usize, decimal: Decimal) -> Option<(f64, usize)> {
    let from = at + bytes[at..].iter().take_while(|byte| **byte == b' ').count();
    let (number, length) = leading_number(&bytes[from..], decimal)?;
    Some((number, from + length))
}

/// Where the next cell begins; nothing when something else than a separator follows.
fn behind_separator(bytes: &[u8], at: usize, separator: Separator) -> Option<usize> {
    match separator {
        Separator::Blanks => {
            let behind = skip_blanks(bytes, at);
            (behind > at).then_some(behind)
        }
        Separator::Byte(byte) => {
            let mut at = at;
            while bytes.get(at) == Some(&b' ') {
                at += 1;
            }
            (bytes.get(at) == Some(&byte)).then_some(at + 1)
        }
    }
}

/// The end of a cell that is left out; nothing when it holds a quote or is the line's last.
fn end_of_cell(bytes: &[u8], at: usize, separator: Separator) -> Option<usize> {
    let mut end = at;
    loop {
        match *bytes.get(end)? {
            b'"' | b'\n' | b'\r' => return None,
            byte if separator.is(byte) => return Some(end),
            _ => end += 1,
        }
    }
}

/// Behind the end of the line; nothing when a quote stands in what is left of it, or when the
/// cell goes on.
fn end_of_line(bytes: &[u8], at: usize, separator: Separator) -> Option<usize> {
    let at = skip_own_blanks(bytes, at, separator);
    match bytes.get(at) {
        None => return Some(at),
        Some(b'\n') => return Some(at + 1),
        Some(b'\r') => {
            return match bytes.get(at + 1) {
                None => Some(at + 1),
                Some(b'\n') => Some(at + 2),
                Some(_) => None,
            };
        }
        Some(byte) if separator.is(*byte) || separator == Separator::Blanks => {}
        Some(_) => return None,
    }
    let rest = &bytes[at..];
    let found = rest.iter().position(|byte| matches!(byte, b'\n' | b'"'));
    match found {
        None => Some(bytes.len()),
        Some(end) if rest[end] == b'\n' => Some(at + end + 1),
        Some(_) => None,
    }
}

/// Steps over blanks that do not part cells.
fn skip_own_blanks(bytes: &[u8], mut at: usize, separator: Separator) -> usize {
    while bytes
        .get(at)
        .is_some_and(|byte| is_blank(*byte) && separator != Separator::Byte(*byte))
    {
        at += 1;
    }
    at
}
