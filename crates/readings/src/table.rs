//! The door by which readings come in: a table in plain text, or the file of a height probe.
//!
//! `docs/formats/readings.md` tells the maker what may stand in it.

mod cloud;
mod fault_list;
mod head;
mod kinds;
mod line;
mod records;
mod units;
mod visits;
mod write;

use bench::Kit;
use instrument::{Faults, Instrument};

use crate::reading::Visit;
use fault_list::FaultList;
use head::{Column, Head, HeadCell};
use kinds::{UNUSED_BY, read_kind};
use line::{Bench, Line};
use records::{Records, Separator};
use visits::Visits;

pub use head::HEAD;
pub use write::{Row, write_line};

/// What a text of readings holds, and what is wrong with it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadOut {
    /// All sound lines, by visit in the order of first appearance; none of a visit's lines when
    /// none is sound.
    pub visits: Vec<Visit>,
    /// What is wrong, with line, column, value, limit and a way out. At most 100 are listed; one
    /// more counts the others.
    pub faults: Faults,
    /// What was taken for granted or left out, in words.
    pub notes: Vec<String>,
}

impl ReadOut {
    /// How many figures were read, over all visits.
    pub fn count(&self) -> usize {
        self.visits.iter().map(Visit::count).sum()
    }
}

/// Reads a table of readings, or the file of a height probe, against the board and the kit.
///
/// Sound lines are always returned, and every line that is not is a fault: the caller decides
/// whether the sound ones are kept. Without a kit no tool is missing, and the usual steps hold.
///
/// Units: lengths in mm unless head or cell say otherwise. No text makes it panic.
pub fn read_readings(text: &str, instrument: &Instrument, kit: Option<&Kit>) -> ReadOut {
    let bench = Bench::new(instrument, kit);
    let mut reader = Reader {
        faults: FaultList::default(),
        notes: Vec::new(),
    };
    let visits = reader.read(text.strip_prefix('\u{feff}').unwrap_or(text), &bench);
    ReadOut {
        visits,
        faults: reader.faults.finish(),
        notes: reader.notes,
    }
}

const NOTHING: &str = "no reading stands under the head";

/// What is said while a text is read.
struct Reader {
    faults: FaultList,
    notes: Vec<String>,
}

impl Reader {
    fn read(&mut self, text: &str, bench: &Bench<'_>) -> Vec<Visit> {
        let Some((at, line)) = records::first_line(text) else {
            self.faults.add(None, "", || {
                (
                    "the text holds no readings".into(),
                    format!("write a head such as {HEAD}, and one reading a line"),
                )
            });
            return Vec::new();
        };
        let first = records::line_at(text, at);
        if let Some((separator, numbers)) = records::numbers_only(first) {
            let columns = cloud::Columns::without_head(numbers, &mut self.notes);
            let records = Records::new(text, at, line, separator);
            return self.heights(records, &columns, bench);
        }
        let separator = Separator::of_head(first);
        let mut records = Records::new(text, at, line, separator);
        let mut cells = Vec::new();
        let names: Vec<HeadCell> = match records.next(&mut cells) {
            Some(Ok(_)) => cells.iter().map(|cell| HeadCell::read(cell)).collect(),
            _ => Vec::new(),
        };
        if cloud::is_probe_head(&names) {
            let columns = cloud::Columns::of_head(&names, line, &mut self.faults, &mut self.notes);
            return columns.map_or(Vec::new(), |columns| self.heights(records, &columns, bench));
        }
        match Head::read(&names, line, separator.decimal(), &mut self.faults) {
            Some(head) => self.lines(records, &head, bench),
            None => Vec::new(),
        }
    }

    fn heights(
        &mut self,
        records: Records<'_>,
        columns: &cloud::Columns,
        bench: &Bench<'_>,
    ) -> Vec<Visit> {
        let mut visits = Visits::default();
        let heights = cloud::read(records, columns, bench, &mut self.faults);
        if heights.x_mm.is_empty() {
            self.notes.push(NOTHING.into());
            return Vec::new();
        }
        visits.take_cloud(heights);
        visits.finish(bench.instrument, &mut self.notes)
    }

    fn lines(&mut self, mut records: Records<'_>, head: &Head, bench: &Bench<'_>) -> Vec<Visit> {
        let mut visits = Visits::default();
        let mut gathered = Gathered::default();
        let mut cells = Vec::new();
        while let Some(record) = records.next(&mut cells) {
            match record {
                Ok(number) if head.fits(&cells) => {
                    let mut line = Line::new(number, &cells, head, bench, &mut self.faults);
                    gathered.line(&mut line, &mut visits);
                }
                Ok(number) => self.faults.add(Some(number), "", || head.misfit(&cells)),
                Err(broken) => self.faults.add(Some(broken.line), "", || broken.words()),
            }
        }
        gathered.notes(&mut self.notes);
        visits.finish(bench.instrument, &mut self.notes)
    }
}

/// What is counted over the lines, for the notes.
#[derive(Default)]
struct Gathered {
    lines: usize,
    bare_values: usize,
    unused: [[usize; Column::COUNT]; UNUSED_BY.len()],
}

impl Gathered {
    /// Reads one line into its visit.
    fn line(&mut self, line: &mut Line<'_, '_>, visits: &mut Visits) {
        self.lines += 1;
        let found = read_kind(line);
        visits.check(line);
        let (Some(found), false) = (found, line.is_bad()) else {
            return;
        };
        self.bare_values += usize::from(line.value_was_bare());
        for (index, (kind, columns)) in UNUSED_BY.iter().enumerate() {
            if *kind != found.what.kind() {
                continue;
            }
            for column in columns.iter().filter(|column| !line.is_empty(**column)) {
                self.unused[index][*column as usize] += 1;
            }
        }
        visits.take(line, found);
    }

    fn notes(&self, notes: &mut Vec<String>) {
        if self.lines == 0 {
            notes.push(NOTHING.into());
        }
        if self.bare_values > 0 {
            notes.push("no unit is stated in the head: millimetres are taken".into());
        }
        for ((kind, _), counts) in UNUSED_BY.iter().zip(&self.unused) {
            for (column, count) in Column::ALL
                .iter()
                .zip(counts)
                .filter(|(_, count)| **count > 0)
            {
                let name = column.name();
                let lines = if *count == 1 { "line" } else { "lines" };
                notes.push(format!(
                    "{kind} has no use for {name}: it is left out on {count} {lines}"
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests;
