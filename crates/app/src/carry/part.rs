//! One table of a carried text, read key by key, with words on what is wrong and where.

use toml_edit::{Item, TableLike, Value};

use super::{CarryFault, bad};

/// A table and the words for where it stands.
pub(super) struct Part<'t> {
    place: String,
    table: &'t dyn TableLike,
}

impl<'t> Part<'t> {
    /// A table whose keys are all known.
    pub fn new(
        place: String,
        table: &'t dyn TableLike,
        known: &[&str],
    ) -> Result<Self, CarryFault> {
        match table.iter().find(|(key, _)| !known.contains(key)) {
            Some((key, _)) => Err(bad(
                place,
                format!(
                    "the key `{key}` is not known here; known are {}",
                    known.join(", ")
                ),
            )),
            None => Ok(Self { place, table }),
        }
    }

    /// What is wrong at a key.
    pub fn wrong(&self, key: &str, message: &str) -> CarryFault {
        bad(self.place.clone(), format!("`{key}` {message}"))
    }

    fn value(&self, key: &str) -> Option<&'t Value> {
        self.table.get(key).and_then(Item::as_value)
    }

    fn needed<T>(&self, key: &str, found: Option<T>) -> Result<T, CarryFault> {
        found.ok_or_else(|| self.wrong(key, "is missing; give it"))
    }

    pub fn maybe_text(&self, key: &str) -> Result<Option<String>, CarryFault> {
        let Some(item) = self.table.get(key) else {
            return Ok(None);
        };
        let text = item.as_str().map(str::to_owned);
        text.map(Some)
            .ok_or_else(|| self.wrong(key, "must be a text in quotes"))
    }

    pub fn text(&self, key: &str) -> Result<String, CarryFault> {
        let found = self.maybe_text(key)?;
        self.needed(key, found)
    }

    pub fn maybe_whole(&self, key: &str) -> Result<Option<i64>, CarryFault> {
        let Some(item) = self.table.get(key) else {
            return Ok(None);
        };
        let whole = item.as_integer();
        whole
            .map(Some)
            .ok_or_else(|| self.wrong(key, "must be a whole number"))
    }

    /// A place in a list, counted from 1 in the text and from 0 here.
    pub fn maybe_place(&self, key: &str) -> Result<Option<usize>, CarryFault> {
        let Some(whole) = self.maybe_whole(key)? else {
            return Ok(None);
        };
        let place = usize::try_from(whole)
            .ok()
            .and_then(|place| place.checked_sub(1));
        place
            .map(Some)
            .ok_or_else(|| self.wrong(key, "is counted from 1"))
    }

    pub fn maybe_number(&self, key: &str) -> Result<Option<f64>, CarryFault> {
        let Some(item) = self.table.get(key) else {
            return Ok(None);
        };
        let whole = || item.as_integer().map(|whole| whole as f64);
        let number = item.as_float().or_else(whole);
        number
            .map(Some)
            .ok_or_else(|| self.wrong(key, "must be a number"))
    }

    pub fn number(&self, key: &str) -> Result<f64, CarryFault> {
        let found = self.maybe_number(key)?;
        self.needed(key, found)
    }

    pub fn flag(&self, key: &str) -> Result<bool, CarryFault> {
        match self.table.get(key) {
            None => Ok(false),
            Some(item) => item
                .as_bool()
                .ok_or_else(|| self.wrong(key, "must be true or false")),
        }
    }

    /// A time: a date with clock and zone, or seconds since 1970.
    pub fn maybe_time(&self, key: &str) -> Result<Option<i64>, CarryFault> {
        let Some(item) = self.table.get(key) else {
            return Ok(None);
        };
        let date = || {
            let date = self.value(key)?.as_datetime()?.to_string();
            Some(date.parse::<jiff::Timestamp>().ok()?.as_second())
        };
        let time = item.as_integer().or_else(date);
        time.map(Some).ok_or_else(|| {
            self.wrong(
                key,
                "must be a time, such as 2026-05-01T09:30:00Z, or seconds since 1970",
            )
        })
    }

    pub fn time(&self, key: &str) -> Result<i64, CarryFault> {
        let found = self.maybe_time(key)?;
        self.needed(key, found)
    }

    /// The tables of a list; none when the key is not there.
    pub fn parts(&self, key: &str, known: &[&str]) -> Result<Vec<Part<'t>>, CarryFault> {
        let tables: Vec<&dyn TableLike> = match self.table.get(key) {
            None => Vec::new(),
            Some(Item::ArrayOfTables(tables)) => {
                tables.iter().map(|table| table as &dyn TableLike).collect()
            }
            Some(Item::Value(Value::Array(array))) => {
                let tables: Option<Vec<_>> = array
                    .iter()
                    .map(|value| Some(value.as_inline_table()? as &dyn TableLike))
                    .collect();
                tables.ok_or_else(|| self.wrong(key, "must be a list of tables"))?
            }
            Some(_) => return Err(self.wrong(key, "must be a list of tables")),
        };
        let numbered = tables.into_iter().enumerate();
        numbered
            .map(|(at, table)| Part::new(format!("{}, {key} {}", self.place, at + 1), table, known))
            .collect()
    }
}
