//! The head of a table of readings: which column is which, and in what unit.

use std::borrow::Cow;

use quantity::nearest;

use super::fault_list::FaultList;
use super::units::{Decimal, Unit};

/// The head with all columns, in the order in which [`super::write_line`] writes them.
pub const HEAD: &str =
    "visit,date,stage,kind,tool,at,across,from,to,shows,value,resolution,set_up,note";

/// A column of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Column {
    Visit,
    Date,
    Stage,
    Kind,
    Tool,
    At,
    Across,
    From,
    To,
    Shows,
    Value,
    Resolution,
    SetUp,
    Note,
}

impl Column {
    /// How many there are.
    pub const COUNT: usize = 14;

    /// All of them, in the order of [`HEAD`].
    pub const ALL: [Column; Self::COUNT] = [
        Column::Visit,
        Column::Date,
        Column::Stage,
        Column::Kind,
        Column::Tool,
        Column::At,
        Column::Across,
        Column::From,
        Column::To,
        Column::Shows,
        Column::Value,
        Column::Resolution,
        Column::SetUp,
        Column::Note,
    ];

    /// Its name in a head.
    pub fn name(self) -> &'static str {
        // HEAD has as many names as there are columns; a test reads them all.
        HEAD.split(',').nth(self as usize).unwrap_or("")
    }

    fn named(name: &str) -> Option<Column> {
        Self::ALL.into_iter().find(|column| column.name() == name)
    }

    fn holds_lengths(self) -> bool {
        use Column::{Across, At, From, Resolution, To, Tool, Value};
        matches!(self, Tool | At | Across | From | To | Value | Resolution)
    }
}

/// One cell of a head: a name in lower case, and the unit stated with it.
#[derive(Debug, PartialEq)]
pub(super) struct HeadCell {
    pub name: String,
    pub unit: Stated,
}

/// What a head's cell says of a unit.
#[derive(Debug, PartialEq)]
pub(super) enum Stated {
    /// Nothing.
    Nothing,
    /// This unit.
    Unit(Unit),
    /// Something that is no unit of length.
    Unknown(String),
}

/// Longer than any name of a column with its unit, characters.
const LONGEST_NAME: usize = 60;

impl HeadCell {
    /// Takes `value (in)`, `value [in]`, `value_in`, `value/in` and `value in` apart.
    pub fn read(cell: &str) -> HeadCell {
        let text: String = cell.trim().chars().take(LONGEST_NAME).collect();
        let lower = text.to_lowercase();
        for (open, close) in [('(', ')'), ('[', ']')] {
            if let Some((name, unit)) = lower
                .strip_suffix(close)
                .and_then(|rest| rest.split_once(open))
            {
                return Self::stating(name, unit);
            }
        }
        if let Some((name, unit)) = lower.split_once('/') {
            return Self::stating(name, unit);
        }
        let parted = lower.rsplit_once(['_', ' ']);
        let known = parted.and_then(|(name, word)| Some((name, Unit::named(word)?)));
        match known {
            Some((name, unit)) => HeadCell {
                name: plain(name),
                unit: Stated::Unit(unit),
            },
            None => HeadCell {
                name: plain(&lower),
                unit: Stated::Nothing,
            },
        }
    }

    fn stating(name: &str, unit: &str) -> HeadCell {
        let known = Unit::named(unit);
        HeadCell {
            name: plain(name),
            unit: known.map_or(Stated::Unknown(unit.trim().to_owned()), Stated::Unit),
        }
    }

    /// The unit, or nothing; an unknown one is a fault of the head.
    pub fn unit(&self, line: usize, faults: &mut FaultList) -> Option<Unit> {
        match &self.unit {
            Stated::Nothing => None,
            Stated::Unit(unit) => Some(unit.clone()),
            Stated::Unknown(word) => {
                faults.add(Some(line), &self.name, || {
                    (
                        format!("unit \"{word}\" of the column is not known"),
                        "write mm, cm, m, µm, in, thou or ft".into(),
                    )
                });
                None
            }
        }
    }
}

/// A column's name with underscores between its words.
fn plain(name: &str) -> String {
    let words: Vec<&str> = name
        .split([' ', '_', '-'])
        .filter(|word| !word.is_empty())
        .collect();
    words.join("_")
}

/// The head of a table, read.
pub(super) struct Head {
    places: [Option<usize>; Column::COUNT],
    units: [Option<Unit>; Column::COUNT],
    cells: usize,
    /// What parts decimals in the lines: a comma can wherever it does not part cells.
    pub decimal: Decimal,
}

impl Head {
    /// Reads the cells of a head; nothing when no line under it can be read.
    pub fn read(
        cells: &[HeadCell],
        line: usize,
        decimal: Decimal,
        faults: &mut FaultList,
    ) -> Option<Head> {
        let mut head = Head {
            decimal,
            places: [None; Column::COUNT],
            units: [const { None }; Column::COUNT],
            cells: cells.len(),
        };
        for (place, cell) in cells.iter().enumerate() {
            head.take(place, cell, line, faults);
        }
        if head.place(Column::Kind).is_none() {
            faults.add(Some(line), "", || {
                (
                    "the head has no column \"kind\"".into(),
                    format!("begin with {HEAD}; the file of a height probe has columns x, y and z"),
                )
            });
            return None;
        }
        Some(head)
    }

    fn take(&mut self, place: usize, cell: &HeadCell, line: usize, faults: &mut FaultList) {
        // A nameless column is what a spreadsheet leaves behind; `fits` sees that it is empty.
        if cell.name.is_empty() {
            return;
        }
        let Some(column) = Column::named(&cell.name) else {
            faults.add(Some(line), &cell.name, || unknown(&cell.name));
            return;
        };
        let index = column as usize;
        if self.places[index].is_some() {
            faults.add(Some(line), &cell.name, || {
                (
                    format!("column \"{}\" stands twice in the head", cell.name),
                    "leave one of them out".into(),
                )
            });
            return;
        }
        self.places[index] = Some(place);
        if column.holds_lengths() {
            self.units[index] = cell.unit(line, faults);
        }
    }

    /// Where a column stands.
    pub fn place(&self, column: Column) -> Option<usize> {
        self.places[column as usize]
    }

    /// The unit of a column's bare numbers, when stated; a resolution goes by its value's.
    pub fn unit(&self, column: Column) -> Option<&Unit> {
        let own = self.units[column as usize].as_ref();
        match column {
            Column::Resolution => own.or(self.units[Column::Value as usize].as_ref()),
            _ => own,
        }
    }

    /// True when a line has a cell for every column. Empty ones behind them are let pass where
    /// commas do not part cells: between commas they may show that a decimal comma made two
    /// cells of a number, and moved all that follow.
    pub fn fits(&self, cells: &[Cow<'_, str>]) -> bool {
        let behind = cells.get(self.cells..);
        behind.is_some_and(|more| {
            let lenient = self.decimal == Decimal::PointOrComma;
            more.is_empty() || (lenient && more.iter().all(|cell| cell.is_empty()))
        })
    }

    /// What to say of a line that does not fit: message and way out.
    pub fn misfit(&self, cells: &[Cow<'_, str>]) -> (String, String) {
        let way_out = if cells.len() > self.cells {
            "put a cell that holds a separator in quotes, or part cells with semicolons when \
             commas part decimals"
        } else {
            "write every separator, also for empty cells at the line's end"
        };
        (
            format!(
                "the line has {}, the head has {}",
                counted(cells.len(), "cell"),
                counted(self.cells, "column")
            ),
            way_out.into(),
        )
    }
}

fn counted(count: usize, word: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {word}{plural}")
}

fn unknown(name: &str) -> (String, String) {
    let names = || HEAD.split(',');
    let way_out = match nearest(name, names()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => format!("known: {}", names().collect::<Vec<_>>().join(", ")),
    };
    (format!("column \"{name}\" is not known"), way_out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_stand_in_the_order_of_the_head() {
        let names: Vec<&str> = Column::ALL.map(Column::name).to_vec();
        assert_eq!(names.join(","), HEAD);
        for (index, column) in Column::ALL.into_iter().enumerate() {
            assert_eq!(column as usize, index);
            assert_eq!(Column::named(column.name()), Some(column));
        }
    }

    #[test]
    fn a_unit_may_be_stated_in_several_ways() {
        for cell in [
            "value (in)",
            "Value [in]",
            "VALUE_in",
            "value/in",
            "value in",
            "value(in)",
            "value/ in",
        ] {
            let read = HeadCell::read(cell);
            assert_eq!(read.name, "value", "{cell}");
            let Stated::Unit(unit) = read.unit else {
                panic!("{cell} states a unit")
            };
            assert_eq!(unit.mm(25.5), 647.7);
        }
        for cell in ["set_up", "Set up", "set-up", " SET_UP "] {
            let read = HeadCell::read(cell);
            assert_eq!((read.name.as_str(), read.unit), ("set_up", Stated::Nothing));
        }
        let unknown = HeadCell::read("value (furlong)").unit;
        assert_eq!(unknown, Stated::Unknown("furlong".into()));
        let odd = ["(", ")", "()", "/", "_", "x_", "((mm)", "\u{130}"];
        assert!(odd.iter().all(|cell| HeadCell::read(cell).name.len() <= 3));
    }
}
