//! A checked reading of one TOML text: every value in its kind and range, every fault noted.

use std::cell::RefCell;
use std::ops::Range;

use quantity::{
    Force, Length, LinearDensity, Note, nearest, parse_force, parse_length, parse_linear_density,
    parse_note, parse_percent, parse_temperature,
};
use toml_edit::{Document, Item, TableLike};

use super::node::Node;
use super::{Fault, Faults, Key, Kind, Need, Table};
use crate::arc::Radius;

/// The largest text that is read: a commission is a page or two.
pub const TEXT_LIMIT_BYTES: usize = 1 << 20;

/// Opens a text and hands its top table to `read`; returns what that made, or every fault.
///
/// # Errors
/// All faults of the text together, each with its place.
pub fn open<T>(
    text: &str,
    top: &'static Table,
    read: impl FnOnce(&Desk<'_>) -> Option<T>,
) -> Result<T, Faults> {
    if text.len() > TEXT_LIMIT_BYTES {
        return Err(Faults(vec![text_too_long(text.len())]));
    }
    let document =
        Document::parse(text.to_owned()).map_err(|error| Faults(vec![not_toml(text, &error)]))?;
    let notes = Notes {
        text,
        faults: RefCell::new(Vec::new()),
    };
    let made = {
        let desk = Desk::new(document.as_table(), String::new(), top, &notes, None);
        read(&desk)
    };
    let mut faults = notes.faults.into_inner();
    match made {
        Some(made) if faults.is_empty() => Ok(made),
        _ => {
            faults.sort_by_key(|fault| fault.line.unwrap_or(usize::MAX));
            Err(Faults(faults))
        }
    }
}

fn text_too_long(bytes: usize) -> Fault {
    Fault {
        place: String::new(),
        line: None,
        message: format!(
            "the text has {bytes} bytes, more than the {TEXT_LIMIT_BYTES} that are read"
        ),
        way_out: "a commission or a kit is a page or two: is this the right file?".into(),
    }
}

fn not_toml(text: &str, error: &toml_edit::TomlError) -> Fault {
    Fault {
        place: String::new(),
        line: error.span().map(|span| line_of(text, span.start)),
        message: format!(
            "not readable as TOML: {}",
            error.message().trim().replace('\n', ", ")
        ),
        way_out: "write keys as name = value, texts in \"quotes\", tables as [name]".into(),
    }
}

fn line_of(text: &str, offset: usize) -> usize {
    1 + text.as_bytes()[..offset.min(text.len())]
        .iter()
        .filter(|byte| **byte == b'\n')
        .count()
}

/// Where faults are collected.
struct Notes<'t> {
    text: &'t str,
    faults: RefCell<Vec<Fault>>,
}

/// A value as it was given, with its place: what a check hands back to say where a fault is.
#[derive(Clone, Debug)]
pub struct Given<T> {
    /// The value.
    pub value: T,
    place: String,
    span: Option<Range<usize>>,
}

/// One table of the text, read key by key.
pub struct Desk<'a> {
    table: &'a dyn TableLike,
    place: String,
    keys: &'static Table,
    notes: &'a Notes<'a>,
    span: Option<Range<usize>>,
}

/// A value found under a key, not yet read as any kind.
#[derive(Clone)]
pub struct Entry<'a> {
    node: Node<'a>,
    place: String,
    notes: &'a Notes<'a>,
}

impl<'a> Desk<'a> {
    fn new(
        table: &'a dyn TableLike,
        place: String,
        keys: &'static Table,
        notes: &'a Notes<'a>,
        span: Option<Range<usize>>,
    ) -> Self {
        let desk = Self {
            table,
            place,
            keys,
            notes,
            span,
        };
        desk.note_unknown_keys();
        desk
    }

    fn note_unknown_keys(&self) {
        for (name, item) in self.table.iter() {
            if self.keys.key(name).is_some() {
                continue;
            }
            let known = || self.keys.keys.iter().map(|key| key.name);
            let way_out = match nearest(name, known()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("known here: {}", known().collect::<Vec<_>>().join(", ")),
            };
            self.notes.add(
                self.path(name),
                item.span(),
                format!("unknown key `{name}`"),
                way_out,
            );
        }
    }

    fn path(&self, name: &str) -> String {
        if self.place.is_empty() {
            name.to_owned()
        } else {
            format!("{}.{name}", self.place)
        }
    }

    /// True when the key is there.
    pub fn has(&self, name: &str) -> bool {
        self.table.get(name).is_some()
    }

    /// Notes a fault at a key of this table, or at the table when the key is missing.
    pub fn fault(&self, name: &str, message: impl Into<String>, way_out: impl Into<String>) {
        let span = self
            .table
            .get(name)
            .and_then(Item::span)
            .or_else(|| self.span.clone());
        self.notes
            .add(self.path(name), span, message.into(), way_out.into());
    }

    /// Notes a fault at a value that was read before.
    pub fn fault_at<T>(
        &self,
        given: &Given<T>,
        message: impl Into<String>,
        way_out: impl Into<String>,
    ) {
        self.notes.add(
            given.place.clone(),
            given.span.clone(),
            message.into(),
            way_out.into(),
        );
    }

    /// The value under a key; notes a fault when a required one is missing.
    pub fn entry(&self, name: &str) -> Option<Entry<'a>> {
        let found = self.table.get(name);
        if found.is_none()
            && let Some(Key {
                need: Need::Required,
                meaning,
                ..
            }) = self.keys.key(name)
        {
            self.fault(name, format!("`{name}` is missing ({meaning})"), "add it");
        }
        found.map(|item| Entry {
            node: Node::Item(item),
            place: self.path(name),
            notes: self.notes,
        })
    }

    fn kind(&self, name: &str) -> &'static Kind {
        // A key asked for but not described is a mistake in the reader, shown as free text
        // rather than by a panic; the tests read every described key.
        self.keys.key(name).map_or(&Kind::Text, |key| &key.kind)
    }

    /// The length under a key, within its range.
    pub fn length(&self, name: &str) -> Option<Given<Length>> {
        self.entry(name)?.length(self.kind(name))
    }

    /// The length under a key in mm, or a default.
    pub fn length_or(&self, name: &str, default_mm: f64) -> f64 {
        self.length(name)
            .map_or(default_mm, |given| given.value.mm())
    }

    /// The radius under a key: a length or `flat`.
    pub fn radius(&self, name: &str) -> Option<Given<Radius>> {
        self.entry(name)?.radius()
    }

    /// The force under a key, within its range.
    pub fn force(&self, name: &str) -> Option<Given<Force>> {
        self.entry(name)?.force(self.kind(name))
    }

    /// The number under a key, within its range.
    pub fn number(&self, name: &str) -> Option<Given<f64>> {
        self.entry(name)?.number(self.kind(name))
    }

    /// The whole number under a key, within its range.
    pub fn whole(&self, name: &str) -> Option<Given<i64>> {
        self.entry(name)?.whole(self.kind(name))
    }

    /// The text under a key.
    pub fn text(&self, name: &str) -> Option<Given<String>> {
        self.entry(name)?.text()
    }

    /// The word under a key, one of those described.
    pub fn choice(&self, name: &str) -> Option<Given<&'static str>> {
        self.entry(name)?.choice(self.kind(name))
    }

    /// The yes or no under a key.
    pub fn flag(&self, name: &str) -> Option<bool> {
        self.entry(name)?.flag()
    }

    /// The share in percent under a key.
    pub fn percent(&self, name: &str) -> Option<Given<f64>> {
        self.entry(name)?
            .unit_number("a share in percent", "45 %", |text| {
                parse_percent(text).ok()
            })
    }

    /// The temperature under a key, degrees Celsius.
    pub fn temperature(&self, name: &str) -> Option<Given<f64>> {
        self.entry(name)?
            .unit_number("a temperature", "20 °C", |text| {
                parse_temperature(text).ok()
            })
    }

    /// The table under a key.
    pub fn table(&self, name: &str) -> Option<Desk<'a>> {
        let Kind::Table(keys) = self.kind(name) else {
            return None;
        };
        self.entry(name)?.table(keys)
    }

    /// The entries of the list under a key.
    pub fn list(&self, name: &str) -> Option<Vec<Entry<'a>>> {
        self.entry(name)?.list()
    }
}

impl<'a> Entry<'a> {
    fn fault(&self, message: impl Into<String>, way_out: impl Into<String>) {
        self.notes.add(
            self.place.clone(),
            self.node.span(),
            message.into(),
            way_out.into(),
        );
    }

    fn given<T>(&self, value: T) -> Given<T> {
        Given {
            value,
            place: self.place.clone(),
            span: self.node.span(),
        }
    }

    /// Notes that the value is not of the kind wanted.
    pub fn wrong_kind(&self, wanted: &str, example: &str) {
        let shown = shortened(self.node);
        self.fault(
            format!("{shown} is not {wanted}"),
            format!("write for example {example}"),
        );
    }

    /// The text, when the value is one.
    pub fn as_text(&self) -> Option<&'a str> {
        self.node.text()
    }

    /// True when the value is a list.
    pub fn is_list(&self) -> bool {
        self.node.list().is_some()
    }

    /// True when the value is a table.
    pub fn is_table(&self) -> bool {
        self.node.table().is_some()
    }

    /// The number, when the value is a bare one.
    pub fn as_number(&self) -> Option<f64> {
        self.node.number()
    }

    /// The length, within the range of `kind`.
    pub fn length(&self, kind: &Kind) -> Option<Given<Length>> {
        let length = self.bare_length("a length", "\"406.4 mm\" or \"16 in\"")?;
        if let Kind::Length { least_mm, most_mm } = kind {
            self.meant_in_inches(length.mm(), *least_mm, *most_mm)?;
            self.within(length.mm(), *least_mm, *most_mm, "mm")?;
        }
        Some(self.given(length))
    }

    /// Nothing, with a fault that says so, for a bare number that is out of range in millimetres
    /// and within it in inches.
    fn meant_in_inches(&self, number: f64, least_mm: f64, most_mm: f64) -> Option<()> {
        let range = least_mm..=most_mm;
        let is_bare = self.as_number().is_some()
            || self
                .as_text()
                .is_some_and(|text| text.trim().parse::<f64>().is_ok());
        let mm_from_inches = Length::from_inches(number).mm();
        if range.contains(&number) || !is_bare || !range.contains(&mm_from_inches) {
            return Some(());
        }
        let number = plain(number);
        self.fault(
            format!("{number} mm is out of range"),
            format!(
                "a number without a unit is millimetres, at least {} mm here; for inches write \"{number} in\"",
                plain(least_mm)
            ),
        );
        None
    }

    fn bare_length(&self, wanted: &str, example: &str) -> Option<Length> {
        if let Some(number) = self.as_number() {
            return self.finite(number).map(Length::from_mm);
        }
        let Some(text) = self.as_text() else {
            self.wrong_kind(wanted, example);
            return None;
        };
        match parse_length(text) {
            Ok(length) => Some(length),
            Err(error) => {
                self.fault(error.to_string(), "");
                None
            }
        }
    }

    /// The radius: a length, or `flat`.
    pub fn radius(&self) -> Option<Given<Radius>> {
        if self
            .as_text()
            .is_some_and(|text| text.trim().eq_ignore_ascii_case("flat"))
        {
            return Some(self.given(Radius::FLAT));
        }
        let length = self.bare_length("a radius", "\"16 in\", \"406.4 mm\" or \"flat\"")?;
        self.within(length.mm(), Radius::LEAST_MM, Radius::MOST_MM, "mm")?;
        Some(self.given(Radius::from_mm(length.mm())))
    }

    /// The force, within the range of `kind`.
    pub fn force(&self, kind: &Kind) -> Option<Given<Force>> {
        let force = match (self.as_number(), self.as_text()) {
            (Some(number), _) => self.finite(number).map(Force::from_newtons)?,
            (None, Some(text)) => match parse_force(text) {
                Ok(force) => force,
                Err(error) => {
                    self.fault(error.to_string(), "");
                    return None;
                }
            },
            _ => {
                self.wrong_kind("a force", "\"0.7 N\"");
                return None;
            }
        };
        if let Kind::Force { least_n, most_n } = kind {
            self.within(force.newtons(), *least_n, *most_n, "N")?;
        }
        Some(self.given(force))
    }

    /// The number, within the range of `kind`.
    pub fn number(&self, kind: &Kind) -> Option<Given<f64>> {
        let Some(number) = self.as_number() else {
            self.wrong_kind("a number", "1.5");
            return None;
        };
        let number = self.finite(number)?;
        if let Kind::Number { least, most } = kind {
            self.within(number, *least, *most, "")?;
        }
        Some(self.given(number))
    }

    /// The whole number, within the range of `kind`.
    pub fn whole(&self, kind: &Kind) -> Option<Given<i64>> {
        let Some(whole) = self.node.whole() else {
            self.wrong_kind("a whole number", "22");
            return None;
        };
        if let Kind::Whole { least, most } = kind {
            self.within(whole as f64, *least as f64, *most as f64, "")?;
        }
        Some(self.given(whole))
    }

    /// The text.
    pub fn text(&self) -> Option<Given<String>> {
        let Some(text) = self.as_text() else {
            self.wrong_kind("a text", "\"words in quotes\"");
            return None;
        };
        Some(self.given(text.to_owned()))
    }

    /// The word, one of those that `kind` names.
    pub fn choice(&self, kind: &Kind) -> Option<Given<&'static str>> {
        let Kind::Choice(words) = kind else {
            return None;
        };
        let all = || {
            words
                .iter()
                .map(|word| format!("\"{word}\""))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let Some(text) = self.as_text() else {
            self.wrong_kind("one of the known words", &all());
            return None;
        };
        if let Some(word) = words
            .iter()
            .find(|word| word.eq_ignore_ascii_case(text.trim()))
        {
            return Some(self.given(*word));
        }
        let way_out = match nearest(text, words.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("known: {}", all()),
        };
        self.fault(
            format!("{} is not known here", shortened(self.node)),
            way_out,
        );
        None
    }

    /// The yes or no.
    pub fn flag(&self) -> Option<bool> {
        let flag = self.node.flag();
        if flag.is_none() {
            self.wrong_kind("true or false", "true");
        }
        flag
    }

    /// The pitch.
    pub fn note(&self) -> Option<Given<Note>> {
        let Some(text) = self.as_text() else {
            self.wrong_kind("a pitch", "\"E4\"");
            return None;
        };
        match parse_note(text) {
            Ok(note) => Some(self.given(note)),
            Err(error) => {
                self.fault(error.to_string(), "");
                None
            }
        }
    }

    /// The weight per length.
    pub fn linear_density(&self) -> Option<Given<LinearDensity>> {
        let Some(text) = self.as_text() else {
            self.wrong_kind("a weight per length", "\"0.0004 kg/m\"");
            return None;
        };
        match parse_linear_density(text) {
            Ok(weight) if weight.kg_per_m() > 0.0 => Some(self.given(weight)),
            Ok(_) => {
                self.fault(
                    "a string's weight must be more than 0 kg/m",
                    "give its unit weight",
                );
                None
            }
            Err(error) => {
                self.fault(error.to_string(), "");
                None
            }
        }
    }

    fn unit_number(
        &self,
        wanted: &str,
        example: &str,
        parse: impl Fn(&str) -> Option<f64>,
    ) -> Option<Given<f64>> {
        let number = match (self.as_number(), self.as_text()) {
            (Some(number), _) => self.finite(number),
            (None, Some(text)) => parse(text),
            _ => None,
        };
        if number.is_none() {
            self.wrong_kind(wanted, &format!("\"{example}\""));
        }
        number.map(|number| self.given(number))
    }

    /// The table, to be read against `keys`.
    pub fn table(&self, keys: &'static Table) -> Option<Desk<'a>> {
        let Some(table) = self.node.table() else {
            self.wrong_kind("a table", "{ key = value }");
            return None;
        };
        Some(Desk::new(
            table,
            self.place.clone(),
            keys,
            self.notes,
            self.node.span(),
        ))
    }

    /// The entries of a list of values or of tables.
    pub fn list(&self) -> Option<Vec<Entry<'a>>> {
        let Some(nodes) = self.node.list() else {
            self.wrong_kind("a list", "[ first, second ]");
            return None;
        };
        let entry = |(index, node)| Entry {
            node,
            place: format!("{}[{}]", self.place, index + 1),
            notes: self.notes,
        };
        Some(nodes.into_iter().enumerate().map(entry).collect())
    }

    fn finite(&self, number: f64) -> Option<f64> {
        if number.is_finite() {
            return Some(number);
        }
        self.fault(
            format!("{number} is not a number to work with"),
            "write a finite number",
        );
        None
    }

    fn within(&self, value: f64, least: f64, most: f64, unit: &str) -> Option<()> {
        if (least..=most).contains(&value) {
            return Some(());
        }
        let space = if unit.is_empty() { "" } else { " " };
        let (limit, word) = if value < least {
            (least, "least")
        } else {
            (most, "most")
        };
        self.fault(
            format!("{}{space}{unit} is out of range", plain(value)),
            format!("at {word} {}{space}{unit}", plain(limit)),
        );
        None
    }
}

impl Notes<'_> {
    fn add(&self, place: String, span: Option<Range<usize>>, message: String, way_out: String) {
        let line = span.map(|span| line_of(self.text, span.start));
        self.faults.borrow_mut().push(Fault {
            place,
            line,
            message,
            way_out,
        });
    }
}

fn shortened(node: Node<'_>) -> String {
    let text = node.shown();
    let text = text.trim();
    if text.chars().count() <= 40 {
        return format!("`{text}`");
    }
    format!("`{}…`", text.chars().take(40).collect::<String>())
}

/// A number without needless digits.
fn plain(value: f64) -> String {
    let rounded = (value * 1e6).round() / 1e6;
    format!("{rounded}")
}
