//! Reading the tables built into this crate: comma-separated text with a line of column
//! names, fields in double quotes where they hold a comma.
//!
//! A field never holds a double quote itself, so every field is a slice of the file and
//! nothing is copied. A fault here is a fault of our own data; the tests read every row.

use crate::figure::{Figure, Mark};

/// What is wrong with a table, and in which record.
#[derive(Debug)]
#[allow(dead_code, reason = "shown by Debug when a table is faulty")]
pub(crate) struct TableFault {
    /// Record counted from 1, the column names being record 1.
    pub record: usize,
    /// What is wrong.
    pub fault: String,
}

/// A table: column names, and rows with as many fields.
pub(crate) struct Table {
    columns: Vec<&'static str>,
    rows: Vec<Vec<&'static str>>,
}

/// One row with its column names.
pub(crate) struct Row<'a> {
    columns: &'a [&'static str],
    fields: &'a [&'static str],
    record: usize,
}

impl Table {
    /// Reads a whole table.
    pub fn read(text: &'static str) -> Result<Table, TableFault> {
        let mut records = Vec::new();
        let mut rest = text;
        while !rest.is_empty() {
            let record = records.len() + 1;
            let (fields, after) =
                read_record(rest).map_err(|fault| TableFault { record, fault })?;
            records.push(fields);
            rest = after;
        }
        let mut records = records.into_iter();
        let columns = records.next().ok_or_else(|| TableFault {
            record: 1,
            fault: "the table is empty".to_owned(),
        })?;
        let rows: Vec<_> = records.collect();
        match rows.iter().position(|fields| fields.len() != columns.len()) {
            Some(at) => {
                let fault = format!("{} fields for {} columns", rows[at].len(), columns.len());
                Err(TableFault {
                    record: at + 2,
                    fault,
                })
            }
            None => Ok(Table { columns, rows }),
        }
    }

    /// The rows in order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().enumerate().map(|(at, fields)| Row {
            columns: &self.columns,
            fields,
            record: at + 2,
        })
    }
}

impl Row<'_> {
    /// The field of a column, which may be empty.
    pub fn text(&self, column: &str) -> Result<&'static str, TableFault> {
        let found = self.columns.iter().position(|name| *name == column);
        let at = found.ok_or_else(|| self.fault(format!("no column {column}")))?;
        Ok(self.fields[at])
    }

    /// The number of a column, which must be there and finite.
    pub fn number(&self, column: &str) -> Result<f64, TableFault> {
        let text = self.text(column)?;
        let number: Option<f64> = text.parse().ok().filter(|value: &f64| value.is_finite());
        number.ok_or_else(|| self.fault(format!("{column} is \"{text}\", not a number")))
    }

    /// The number of a column, or nothing where the field is empty.
    pub fn optional_number(&self, column: &str) -> Result<Option<f64>, TableFault> {
        if self.text(column)?.is_empty() {
            Ok(None)
        } else {
            self.number(column).map(Some)
        }
    }

    /// The mark of a column.
    pub fn mark(&self, column: &str) -> Result<Mark, TableFault> {
        let word = self.text(column)?;
        Mark::from_word(word).ok_or_else(|| self.fault(format!("unknown mark \"{word}\"")))
    }

    /// The figure in `column` and its companions `_low`, `_high`, `_source`, `_mark`.
    pub fn figure(&self, column: &str) -> Result<Option<Figure>, TableFault> {
        let Some(value) = self.optional_number(column)? else {
            return Ok(None);
        };
        Ok(Some(Figure {
            value,
            low: self.optional_number(&format!("{column}_low"))?,
            high: self.optional_number(&format!("{column}_high"))?,
            source: self.text(&format!("{column}_source"))?,
            mark: self.mark(&format!("{column}_mark"))?,
        }))
    }

    /// A fault of this row.
    pub fn fault(&self, fault: String) -> TableFault {
        TableFault {
            record: self.record,
            fault,
        }
    }
}

/// The fields up to the end of the line, and the text behind it.
fn read_record(text: &'static str) -> Result<(Vec<&'static str>, &'static str), String> {
    let mut fields = Vec::new();
    let mut rest = text;
    loop {
        let (field, after) = read_field(rest)?;
        fields.push(field);
        if let Some(next) = after.strip_prefix(',') {
            rest = next;
            continue;
        }
        let after = after.strip_prefix('\r').unwrap_or(after);
        match after.strip_prefix('\n') {
            Some(next) => return Ok((fields, next)),
            None if after.is_empty() => return Ok((fields, after)),
            None => return Err("text behind a closing quote".to_owned()),
        }
    }
}

/// One field without its quotes, and the text from its separator on.
fn read_field(text: &'static str) -> Result<(&'static str, &'static str), String> {
    match text.strip_prefix('"') {
        Some(quoted) => quoted
            .split_once('"')
            .ok_or_else(|| "a quote is not closed".to_owned()),
        None => Ok(text.split_at(text.find([',', '\r', '\n']).unwrap_or(text.len()))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quoted_fields_hold_commas_and_line_ends() {
        let table = Table::read("a,b\r\n\"1,5\",\"two\nlines\"\n,3").unwrap();
        let rows: Vec<_> = table.rows().collect();
        assert_eq!(rows[0].text("a").unwrap(), "1,5");
        assert_eq!(rows[0].text("b").unwrap(), "two\nlines");
        assert_eq!(rows[1].optional_number("a").unwrap(), None);
        assert_eq!(rows[1].number("b").unwrap(), 3.0);
    }

    #[test]
    fn faulty_tables_are_refused_with_their_record() {
        for (text, record) in [
            ("", 1),
            ("a,b\n1\n", 2),
            ("a\n1\n\"2\n", 3),
            ("a\n\"1\"2\n", 2),
        ] {
            let fault = Table::read(text).err().unwrap();
            assert_eq!(fault.record, record, "{text:?}: {}", fault.fault);
        }
    }

    #[test]
    fn missing_columns_bad_numbers_and_bad_marks_are_faults() {
        let table = Table::read("a,m\nnan,guess\n").unwrap();
        let row = table.rows().next().unwrap();
        assert!(row.text("b").is_err());
        assert!(row.number("a").is_err());
        assert!(row.mark("m").is_err());
    }
}
