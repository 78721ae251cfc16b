//! A value changed in a TOML text, with everything else left as the maker wrote it: order,
//! spacing, comments.

use instrument::format::{Kind, Need, Table as Keys};
use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, Value};

use crate::key::{Step, describe, steps};

/// Why a value cannot be changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditFault {
    /// The text is not TOML, so that nothing in it can be found.
    NotToml,
    /// There is no such key in the format.
    UnknownKey(String),
    /// A list entry that is not there.
    NoSuchEntry(String),
    /// The value must not be empty.
    Required(String),
}

impl std::fmt::Display for EditFault {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            EditFault::NotToml => {
                write!(
                    out,
                    "the text is not readable as TOML, so no single value can be changed; mend it on the page Text"
                )
            }
            EditFault::UnknownKey(path) => write!(out, "the format has no key `{path}`"),
            EditFault::NoSuchEntry(path) => write!(
                out,
                "there is nothing at `{path}` any more; look at the page again"
            ),
            EditFault::Required(path) => write!(out, "`{path}` cannot be empty; type a value"),
        }
    }
}

/// The text with the value at `path` set to what was typed. An empty value takes an optional
/// key away. Whether the value makes sense is for the reader to say, afterwards.
///
/// # Errors
/// When the text is not TOML, or the path leads nowhere in the format.
pub fn set(text: &str, keys: &'static Keys, path: &str, typed: &str) -> Result<String, EditFault> {
    let steps = steps(path).ok_or_else(|| EditFault::UnknownKey(path.to_owned()))?;
    let (kind, key) =
        describe(keys, &steps).ok_or_else(|| EditFault::UnknownKey(path.to_owned()))?;
    let mut document: DocumentMut = text.parse().map_err(|_| EditFault::NotToml)?;
    let typed = typed.trim();
    if typed.is_empty() {
        if key.is_none_or(|key| key.need == Need::Required) {
            return Err(EditFault::Required(path.to_owned()));
        }
        remove(document.as_table_mut(), &steps);
    } else {
        let value = value_of(kind, typed);
        place(document.as_table_mut(), &steps, value)
            .ok_or_else(|| EditFault::NoSuchEntry(path.to_owned()))?;
    }
    Ok(document.to_string())
}

/// The text with an entry added to the list at `path`, written in TOML.
///
/// # Errors
/// As [`set`].
pub fn add(text: &str, keys: &'static Keys, path: &str, entry: &str) -> Result<String, EditFault> {
    let steps = steps(path).ok_or_else(|| EditFault::UnknownKey(path.to_owned()))?;
    describe(keys, &steps).ok_or_else(|| EditFault::UnknownKey(path.to_owned()))?;
    let mut document: DocumentMut = text.parse().map_err(|_| EditFault::NotToml)?;
    let value: Value = entry
        .parse()
        .map_err(|_| EditFault::UnknownKey(path.to_owned()))?;
    let lost = || EditFault::NoSuchEntry(path.to_owned());
    if find(document.as_table_mut(), &steps).is_none() {
        place(document.as_table_mut(), &steps, Value::Array(Array::new())).ok_or_else(lost)?;
    }
    let list = find(document.as_table_mut(), &steps).ok_or_else(lost)?;
    if let Some(tables) = list.as_array_of_tables_mut() {
        let table = value
            .as_inline_table()
            .cloned()
            .map(InlineTable::into_table)
            .ok_or_else(lost)?;
        tables.push(table);
    } else {
        let array = list.as_array_mut().ok_or_else(lost)?;
        // A list written one entry a line stays so.
        let decor = array.iter().last().map(|last| last.decor().clone());
        let mut value = value;
        if let Some(decor) = decor {
            *value.decor_mut() = decor;
        }
        array.push_formatted(value);
    }
    Ok(document.to_string())
}

/// The text with a list entry taken away.
///
/// # Errors
/// As [`set`].
pub fn take_away(text: &str, path: &str) -> Result<String, EditFault> {
    let steps = steps(path).ok_or_else(|| EditFault::UnknownKey(path.to_owned()))?;
    let mut document: DocumentMut = text.parse().map_err(|_| EditFault::NotToml)?;
    let lost = || EditFault::NoSuchEntry(path.to_owned());
    let Some((Step::Entry(index), list)) = steps.split_last() else {
        return Err(lost());
    };
    let list = find(document.as_table_mut(), list).ok_or_else(lost)?;
    if let Some(tables) = list.as_array_of_tables_mut() {
        if *index >= tables.len() {
            return Err(lost());
        }
        tables.remove(*index);
    } else {
        let array = list.as_array_mut().ok_or_else(lost)?;
        if *index >= array.len() {
            return Err(lost());
        }
        array.remove(*index);
    }
    Ok(document.to_string())
}

/// A text taken apart for showing its values; nothing in it can be changed here.
pub struct Shown {
    document: Option<DocumentMut>,
}

impl Shown {
    /// Takes a text apart; one that is not TOML shows nothing.
    pub fn new(text: &str) -> Self {
        Self {
            document: text.parse().ok(),
        }
    }

    /// True when the text could be taken apart.
    pub fn is_readable(&self) -> bool {
        self.document.is_some()
    }

    /// The value at `path` as a person would type it; nothing when it is not there.
    pub fn value(&self, path: &str) -> Option<String> {
        let steps = steps(path)?;
        match self.look(&steps)? {
            Seen::Value(value) => Some(plain(value)),
            Seen::Item(item) => item.as_value().map(plain),
            Seen::Table(_) => None,
        }
    }

    /// How many entries the list at `path` has; 0 when it is not there.
    pub fn entries(&self, path: &str) -> usize {
        let found = steps(path).and_then(|steps| self.look(&steps).map(Seen::entries));
        found.unwrap_or(0)
    }

    /// How many entries the list at the end of these steps has; 0 when it is not there.
    pub(crate) fn count(&self, list: &[Step]) -> usize {
        self.look(list).map_or(0, Seen::entries)
    }

    /// An entry of a list as it is written, without the spaces and comments around it.
    pub(crate) fn written(&self, list: &[Step], entry: usize) -> Option<String> {
        let written = match self.look(list)?.step(&Step::Entry(entry))? {
            Seen::Item(item) => item.to_string(),
            Seen::Value(value) => value.clone().decorated("", "").to_string(),
            Seen::Table(table) => table.to_string(),
        };
        Some(written.trim().to_owned())
    }

    /// An entry of a list by its path, as it is written.
    pub(crate) fn written_at(&self, path: &str) -> Option<String> {
        let steps = steps(path)?;
        match steps.split_last()? {
            (Step::Entry(entry), list) => self.written(list, *entry),
            _ => None,
        }
    }

    fn look(&self, steps: &[Step]) -> Option<Seen<'_>> {
        let mut seen = Seen::Table(self.document.as_ref()?.as_table());
        for step in steps {
            seen = seen.step(step)?;
        }
        Some(seen)
    }
}

/// One place of a text.
#[derive(Clone, Copy)]
enum Seen<'a> {
    Item(&'a Item),
    Value(&'a Value),
    Table(&'a Table),
}

impl<'a> Seen<'a> {
    fn step(self, step: &Step) -> Option<Seen<'a>> {
        match step {
            Step::Key(name) => match self {
                Seen::Item(item) => item.as_table_like()?.get(name).map(Seen::Item),
                Seen::Value(value) => value.as_inline_table()?.get(name).map(Seen::Value),
                Seen::Table(table) => table.get(name).map(Seen::Item),
            },
            Step::Entry(index) => match self {
                Seen::Item(Item::ArrayOfTables(tables)) => tables.get(*index).map(Seen::Table),
                Seen::Item(item) => item.as_array()?.get(*index).map(Seen::Value),
                Seen::Value(value) => value.as_array()?.get(*index).map(Seen::Value),
                Seen::Table(_) => None,
            },
        }
    }

    fn entries(self) -> usize {
        match self {
            Seen::Item(Item::ArrayOfTables(tables)) => tables.len(),
            Seen::Item(item) => item.as_array().map_or(0, Array::len),
            Seen::Value(value) => value.as_array().map_or(0, Array::len),
            Seen::Table(_) => 0,
        }
    }
}

/// The value at `path` as a person would type it; nothing when it is not there.
pub fn shown(text: &str, path: &str) -> Option<String> {
    Shown::new(text).value(path)
}

/// The title that a text gives itself, cut where the book would cut it.
pub fn title_of(text: &str) -> Option<String> {
    let title = shown(text, "title")?;
    let title: String = title.trim().chars().take(book::MAX_TITLE_CHARS).collect();
    (!title.is_empty()).then_some(title)
}

/// A value as a person would type it.
pub(crate) fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        other => other.clone().decorated("", "").to_string(),
    }
}

/// What was typed, as a value of the key's kind: numbers stay numbers, all else is text.
fn value_of(kind: &Kind, typed: &str) -> Value {
    match kind {
        Kind::Whole { .. } => typed
            .parse::<i64>()
            .map_or_else(|_| text_value(typed), Value::from),
        // A force without a unit is newtons, as a length without one is millimetres.
        Kind::Number { .. } | Kind::Force { .. } => number_value(typed),
        Kind::Flag => typed
            .parse::<bool>()
            .map_or_else(|_| text_value(typed), Value::from),
        Kind::List(_) => list_value(typed),
        Kind::Any(kinds) => any_value(kinds, typed),
        _ => text_value(typed),
    }
}

/// Of several kinds the first that the typing fits: a list in brackets, a number, a yes or no.
fn any_value(kinds: &[Kind], typed: &str) -> Value {
    let takes_list = kinds.iter().any(|kind| matches!(kind, Kind::List(_)));
    if takes_list && typed.starts_with('[') {
        return list_value(typed);
    }
    let takes_flag = kinds.iter().any(|kind| matches!(kind, Kind::Flag));
    if let (true, Ok(flag)) = (takes_flag, typed.parse::<bool>()) {
        return Value::from(flag);
    }
    if kinds.iter().any(|kind| matches!(kind, Kind::Number { .. })) {
        return number_value(typed);
    }
    text_value(typed)
}

fn text_value(typed: &str) -> Value {
    Value::from(typed)
}

fn number_value(typed: &str) -> Value {
    if let Ok(whole) = typed.parse::<i64>() {
        return Value::from(whole);
    }
    let point = typed.replace(',', ".");
    match point.parse::<f64>() {
        Ok(number) if number.is_finite() => Value::from(number),
        _ => text_value(typed),
    }
}

fn list_value(typed: &str) -> Value {
    match typed.parse::<Value>() {
        Ok(value) if value.is_array() => value,
        _ => text_value(typed),
    }
}

/// The item at the path's end, when it is there as an item: keys, and entries that are tables.
fn find<'a>(table: &'a mut Table, steps: &[Step]) -> Option<&'a mut Item> {
    let Some((Step::Key(first), rest)) = steps.split_first() else {
        return None;
    };
    let mut item = table.get_mut(first)?;
    for step in rest {
        item = match step {
            Step::Key(name) => item.as_table_like_mut()?.get_mut(name)?,
            Step::Entry(_) => return None,
        };
    }
    Some(item)
}

/// Sets the value at the path, making tables on the way; list entries must be there.
fn place(table: &mut Table, steps: &[Step], value: Value) -> Option<()> {
    let (Step::Key(first), rest) = steps.split_first()? else {
        return None;
    };
    if rest.is_empty() {
        put(table, first, value);
        return Some(());
    }
    let item = table
        .entry(first)
        .or_insert_with(|| Item::Table(Table::new()));
    place_in_item(item, rest, value)
}

fn place_in_item(item: &mut Item, steps: &[Step], value: Value) -> Option<()> {
    let (step, rest) = steps.split_first()?;
    match step {
        Step::Key(name) => {
            if !item.is_table_like() {
                // A binding given as a bare width becomes a table when more is said of it.
                *item = Item::Value(Value::InlineTable(InlineTable::new()));
            }
            let table = item.as_table_like_mut()?;
            if rest.is_empty() {
                put(table, name, value);
                return Some(());
            }
            place_in_item(
                table
                    .entry(name)
                    .or_insert(Item::Value(InlineTable::new().into())),
                rest,
                value,
            )
        }
        Step::Entry(index) => match item {
            Item::ArrayOfTables(tables) => {
                let mut entry = Item::Table(std::mem::take(tables.get_mut(*index)?));
                let done = place_in_item(&mut entry, rest, value);
                if let (Item::Table(entry), Some(slot)) = (entry, tables.get_mut(*index)) {
                    *slot = entry;
                }
                done
            }
            Item::Value(Value::Array(array)) => place_in_value(array.get_mut(*index)?, rest, value),
            _ => None,
        },
    }
}

fn place_in_value(slot: &mut Value, steps: &[Step], value: Value) -> Option<()> {
    match steps {
        [] => {
            let decor = slot.decor().clone();
            *slot = value;
            *slot.decor_mut() = decor;
            Some(())
        }
        [Step::Key(name)] => {
            put(slot.as_inline_table_mut()?, name, value);
            Some(())
        }
        _ => None,
    }
}

/// Puts a value under a key; the comment behind an old value stays.
fn put(table: &mut dyn toml_edit::TableLike, name: &str, mut value: Value) {
    if let Some(old) = table.get(name).and_then(Item::as_value) {
        *value.decor_mut() = old.decor().clone();
        if let Some(slot) = table.get_mut(name) {
            *slot = Item::Value(value);
            return;
        }
    }
    table.insert(name, Item::Value(value));
}

fn remove(table: &mut Table, steps: &[Step]) {
    let Some((Step::Key(last), before)) = steps.split_last() else {
        return;
    };
    if before.is_empty() {
        table.remove(last);
        return;
    }
    // Inside a list entry the item is reached through its list.
    if let Some((Step::Entry(index), list)) = before.split_last() {
        let Some(list) = find(table, list) else {
            return;
        };
        match list {
            Item::ArrayOfTables(tables) => {
                if let Some(entry) = tables.get_mut(*index) {
                    entry.remove(last);
                }
            }
            Item::Value(Value::Array(array)) => {
                if let Some(entry) = array.get_mut(*index).and_then(Value::as_inline_table_mut) {
                    entry.remove(last);
                }
            }
            _ => {}
        }
        return;
    }
    if let Some(parent) = find(table, before).and_then(Item::as_table_like_mut) {
        parent.remove(last);
    }
}

/// One step up or down from a typed quantity, in the unit in which it was typed.
pub fn stepped(typed: &str, direction: Direction) -> Option<String> {
    let text = typed.trim();
    let digits = text.len()
        - text
            .trim_start_matches(|c: char| c.is_ascii_digit() || c == '.')
            .len();
    let number: f64 = text[..digits].parse().ok()?;
    let unit = text[digits..].trim();
    // A mixed number such as `11 1/2 in` is no plain number and its unit: left alone.
    if unit
        .chars()
        .any(|c| c.is_ascii_digit() || c == '/' || c == ',')
    {
        return None;
    }
    let inches = unit.starts_with("in") || unit.starts_with('"') || unit.starts_with('″');
    let step = match (inches, number.abs()) {
        (true, size) if size >= 4.0 => 0.5,
        (true, size) if size >= 0.5 => 0.05,
        (true, _) => 0.001,
        (false, size) if size >= 100.0 => 5.0,
        (false, size) if size >= 20.0 => 0.5,
        (false, size) if size >= 3.0 => 0.1,
        (false, _) => 0.05,
    };
    let step = if unit.is_empty() && number.fract() == 0.0 {
        1.0
    } else {
        step
    };
    let moved = match direction {
        Direction::Up => number + step,
        Direction::Down => number - step,
    };
    let rounded = (moved * 1e6).round() / 1e6;
    let space = if unit.is_empty() || text[digits..].starts_with(unit) {
        ""
    } else {
        " "
    };
    Some(format!("{rounded}{space}{unit}"))
}

/// Which way a value is stepped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Greater.
    Up,
    /// Less.
    Down,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use instrument::COMMISSION_KEYS;

    fn heron() -> &'static str {
        demo::COMMISSIONS[0].text
    }

    #[test]
    fn a_change_leaves_all_else_as_it_was() {
        let changed = set(heron(), &COMMISSION_KEYS, "camber.nut", "10 in").expect("can be set");
        assert_eq!(
            changed,
            heron().replace("nut = \"240 mm\"", "nut = \"10 in\"")
        );
        let comment = set(heron(), &COMMISSION_KEYS, "scale.length", "640 mm").expect("can be set");
        assert!(comment.contains("length = \"640 mm\"                     # on the centreline"));
    }

    #[test]
    fn list_entries_and_new_keys_are_reached() {
        let changed = set(
            heron(),
            &COMMISSION_KEYS,
            "strings.set[2].gauge",
            "0.014 in",
        )
        .expect("can");
        assert_eq!(
            shown(&changed, "strings.set[2].gauge").as_deref(),
            Some("0.014 in")
        );
        assert_eq!(
            shown(&changed, "strings.set[1].gauge").as_deref(),
            Some("0.010 in")
        );
        let added = set(heron(), &COMMISSION_KEYS, "climate.shop_humidity", "50 %").expect("can");
        assert_eq!(
            shown(&added, "climate.shop_humidity").as_deref(),
            Some("50 %")
        );
        let whole = set(heron(), &COMMISSION_KEYS, "scale.frets", "24").expect("can");
        assert!(whole.contains("frets = 24\n"));
        let cents = set(heron(), &COMMISSION_KEYS, "scale.tuning", "[100.0, 1200.0]").expect("can");
        assert!(cents.contains("tuning = [100.0, 1200.0]"));
    }

    #[test]
    fn emptied_keys_go_and_required_ones_stay() {
        let gone = set(heron(), &COMMISSION_KEYS, "board.least_edge", "").expect("is optional");
        assert!(shown(&gone, "board.least_edge").is_none());
        assert!(matches!(
            set(heron(), &COMMISSION_KEYS, "title", " "),
            Err(EditFault::Required(_))
        ));
    }

    #[test]
    fn entries_are_added_and_taken_away() {
        let one_more = add(
            heron(),
            &COMMISSION_KEYS,
            "strings.set",
            "{ note = \"B1\", gauge = \"0.06 in\" }",
        )
        .expect("is a list");
        assert_eq!(
            shown(&one_more, "strings.set[7].note").as_deref(),
            Some("B1")
        );
        let back = take_away(&one_more, "strings.set[7]").expect("is there");
        assert!(shown(&back, "strings.set[7].note").is_none());
        assert_eq!(shown(&back, "strings.set[6].note").as_deref(), Some("E2"));
        assert!(take_away(heron(), "strings.set[99]").is_err());
    }

    #[test]
    fn nonsense_is_refused_without_harm() {
        for path in [
            "",
            "nope",
            "camber.nope",
            "camber.nut.deeper",
            "strings.set[99].gauge",
        ] {
            assert!(set(heron(), &COMMISSION_KEYS, path, "1").is_err(), "{path}");
        }
        assert_eq!(
            set("= broken", &COMMISSION_KEYS, "camber.nut", "1"),
            Err(EditFault::NotToml)
        );
    }

    #[test]
    fn a_step_keeps_the_unit_typed() {
        assert_eq!(stepped("240 mm", Direction::Up).as_deref(), Some("245 mm"));
        assert_eq!(stepped("16in", Direction::Down).as_deref(), Some("15.5in"));
        assert_eq!(
            stepped("0.010 in", Direction::Up).as_deref(),
            Some("0.011 in")
        );
        assert_eq!(stepped("22", Direction::Down).as_deref(), Some("21"));
        assert_eq!(stepped("42.5 mm", Direction::Up).as_deref(), Some("43 mm"));
        assert!(stepped("11 1/2 in", Direction::Up).is_none());
        assert!(stepped("flat", Direction::Up).is_none());
    }
}
