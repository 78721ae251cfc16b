//! Small words of the set-up sheet: names of strings and places, signed figures, lists.

use super::Content;
use crate::play_words::listed;

impl Content<'_> {
    /// A length in the chosen unit; no line breaks between figure and unit.
    pub fn length(&self, mm: f64, decimals: usize) -> String {
        self.units.length(mm, decimals).replace(' ', "\u{a0}")
    }

    /// `1 · E4`.
    pub fn string_name(&self, string: usize) -> String {
        let strings = &self.figures.playing.instrument.strings;
        match strings.get(string) {
            Some(spec) => format!("{} · {}", string + 1, spec.note),
            None => (string + 1).to_string(),
        }
    }

    /// A change of a height: with its sign, or that there is none.
    pub fn change(&self, mm: f64) -> String {
        let sign = if mm > 0.0 { "+" } else { "" };
        if mm.abs() < 0.005 {
            "none".into()
        } else {
            format!("{sign}{}", self.length(mm, 2))
        }
    }

    /// Air with its sign: less than nothing where a string strikes.
    pub fn air(&self, mm: f64) -> String {
        let sign = if mm > 0.0 { "+" } else { "" };
        format!("{sign}{}", self.length(mm, 3))
    }
}

/// Cents with a sign and a true minus.
pub fn cents(cents: f64) -> String {
    if cents.abs() < 0.05 {
        return "0.0 cents".into();
    }
    let shown = format!("{cents:+.1} cents");
    shown.replace('-', "−")
}

/// `string 5`, `strings 1, 2 and 5`; strings are counted from 0.
pub fn strings_named(strings: &[usize]) -> String {
    let names: Vec<String> = strings
        .iter()
        .map(|string| (string + 1).to_string())
        .collect();
    match names.as_slice() {
        [] => "no string".into(),
        [one] => format!("string {one}"),
        more => format!("strings {}", listed(more)),
    }
}

/// The strings of a list for which nothing is known.
pub fn unknown<T>(list: &[Option<T>]) -> Vec<usize> {
    let strings = list.iter().enumerate();
    strings
        .filter(|(_, known)| known.is_none())
        .map(|(string, _)| string)
        .collect()
}
