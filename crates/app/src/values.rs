//! The values of a text by their key paths, and what differs between two texts.

use std::collections::BTreeMap;

use instrument::format::Table as Keys;
use toml_edit::{DocumentMut, Item, Table, Value};

use crate::edit::{self, Shown, plain};
use crate::key::{Step, steps};

/// Every value of a text, in its order: key path, and the value as a person would type it.
/// Nothing when the text is not TOML.
///
/// Lists of tables are taken apart, lists of plain values are one value each.
pub fn values(text: &str) -> Option<Vec<(String, String)>> {
    let document: DocumentMut = text.parse().ok()?;
    let mut values = Vec::new();
    of_table(document.as_table(), "", &mut values);
    Some(values)
}

/// A value that is not the same in two texts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The key path.
    pub path: String,
    /// The value then; nothing when the key was not there.
    pub then: Option<String>,
    /// The value now; nothing when the key is not there.
    pub now: Option<String>,
}

/// What differs between two texts, in the order of the later one, with what is gone at the end.
/// Nothing when one of them is not TOML.
pub fn differences(then: &str, now: &str) -> Option<Vec<Difference>> {
    let (then, now) = (values(then)?, values(now)?);
    let (by_then, by_now) = (by_path(&then), by_path(&now));
    let gone = then
        .iter()
        .filter(|(path, _)| !by_now.contains_key(path.as_str()));
    let all = now.iter().chain(gone).map(|(path, _)| Difference {
        path: path.clone(),
        then: by_then.get(path.as_str()).map(|&value| value.to_owned()),
        now: by_now.get(path.as_str()).map(|&value| value.to_owned()),
    });
    Some(all.filter(|each| each.then != each.now).collect())
}

fn by_path(values: &[(String, String)]) -> BTreeMap<&str, &str> {
    let pairs = values.iter();
    pairs
        .map(|(path, value)| (path.as_str(), value.as_str()))
        .collect()
}

/// Whether a path leads to the same place in both texts: through lists whose entries have not
/// moved. `between` are the texts that stood in the meantime.
pub fn leads_to_the_same(then: &str, now: &str, between: &[String], path: &str) -> bool {
    let Some(steps) = steps(path) else {
        return false;
    };
    let (then, now) = (Shown::new(then), Shown::new(now));
    let between: Vec<Shown> = between.iter().map(|text| Shown::new(text)).collect();
    let lists = steps
        .iter()
        .enumerate()
        .filter_map(|(at, step)| match step {
            Step::Entry(index) => Some((&steps[..at], *index)),
            Step::Key(_) => None,
        });
    lists.into_iter().all(|(list, index)| {
        let up_to = |shown: &Shown| -> Vec<Option<String>> {
            (0..=index)
                .map(|entry| shown.written(list, entry))
                .collect()
        };
        let count = |shown: &Shown| shown.count(list);
        up_to(&then) == up_to(&now)
            || between
                .iter()
                .chain([&now])
                .all(|shown| count(shown) == count(&then))
    })
}

/// One text of two that began as `base` and were changed apart; nothing when both changed the same
/// value or the same words in different ways.
///
/// Where lines were changed on both sides but values on one each, the values are set one by one.
/// In either case every value holds that was changed on either side.
pub fn merge(base: &str, mine: &str, theirs: &str, keys: &'static Keys) -> Option<String> {
    let by_lines = crate::lines::merge(base, mine, theirs);
    by_lines
        .or_else(|| by_values(base, mine, theirs, keys))
        .filter(|merged| holds_both(base, mine, theirs, merged))
}

/// Sets the values changed on my side in the other text, when these are all that I changed.
fn by_values(base: &str, mine: &str, theirs: &str, keys: &'static Keys) -> Option<String> {
    let changes = differences(base, mine)?;
    let set_in = |text: &str| {
        changes.iter().try_fold(text.to_owned(), |text, change| {
            let value = change.now.as_deref().unwrap_or("");
            edit::set(&text, keys, &change.path, value).ok()
        })
    };
    if set_in(base)? != mine {
        return None;
    }
    let untouched = changes.iter().all(|change| {
        Shown::new(theirs).value(&change.path) == change.then
            && leads_to_the_same(base, theirs, &[], &change.path)
    });
    untouched.then(|| set_in(theirs))?
}

/// Every value is what it was made on the side that changed it, and there is no other. Texts that
/// are not TOML have no values, and their lines are all there is to go by.
fn holds_both(base: &str, mine: &str, theirs: &str, merged: &str) -> bool {
    let (Some(by_me), Some(by_them)) = (differences(base, mine), differences(base, theirs)) else {
        return true;
    };
    let (Some(before), Some(merged)) = (values(base), values(merged)) else {
        return false;
    };
    let mut wanted = by_path(&before);
    for change in by_me.iter().chain(&by_them) {
        match &change.now {
            Some(value) => wanted.insert(&change.path, value),
            None => wanted.remove(change.path.as_str()),
        };
    }
    // A value that both changed in different ways was wanted in mine and overwritten by theirs.
    let merged = by_path(&merged);
    let mut mine = by_me.iter();
    merged == wanted
        && mine.all(|each| merged.get(each.path.as_str()).copied() == each.now.as_deref())
}

fn of_table(table: &Table, before: &str, values: &mut Vec<(String, String)>) {
    for (name, item) in table {
        let path = joined(before, name);
        match item {
            Item::Table(table) => of_table(table, &path, values),
            Item::ArrayOfTables(tables) => {
                for (index, table) in tables.iter().enumerate() {
                    of_table(table, &format!("{path}[{}]", index + 1), values);
                }
            }
            Item::Value(value) => of_value(value, path, values),
            Item::None => {}
        }
    }
}

fn of_value(value: &Value, path: String, values: &mut Vec<(String, String)>) {
    match value {
        Value::InlineTable(table) => {
            for (name, value) in table {
                of_value(value, joined(&path, name), values);
            }
        }
        Value::Array(array) if array.iter().any(Value::is_inline_table) => {
            for (index, value) in array.iter().enumerate() {
                of_value(value, format!("{path}[{}]", index + 1), values);
            }
        }
        other => values.push((path, plain(other))),
    }
}

fn joined(before: &str, name: &str) -> String {
    if before.is_empty() {
        name.to_owned()
    } else {
        format!("{before}.{name}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use instrument::COMMISSION_KEYS;

    fn heron() -> &'static str {
        demo::COMMISSIONS[0].text
    }

    fn set(text: &str, path: &str, value: &str) -> String {
        edit::set(text, &COMMISSION_KEYS, path, value).expect("can be set")
    }

    fn merged(base: &str, mine: &str, theirs: &str) -> Option<String> {
        merge(base, mine, theirs, &COMMISSION_KEYS)
    }

    #[test]
    fn values_are_found_by_the_paths_that_the_pages_use() {
        for text in demo::COMMISSIONS.map(|each| each.text) {
            let shown = Shown::new(text);
            for (path, value) in values(text).expect("is TOML") {
                assert_eq!(shown.value(&path).as_ref(), Some(&value), "{path}");
            }
        }
        assert!(values("= broken").is_none());
    }

    #[test]
    fn what_differs_is_named_with_both_values() {
        let now = set(&set(heron(), "camber.nut", "10 in"), "board.least_edge", "");
        let now = set(&now, "climate.shop_humidity", "50 %");
        let seen = differences(heron(), &now).expect("is TOML");
        let plain: Vec<_> = seen
            .iter()
            .map(|each| {
                (
                    each.path.as_str(),
                    each.then.as_deref(),
                    each.now.as_deref(),
                )
            })
            .collect();
        let least = Shown::new(heron()).value("board.least_edge");
        assert_eq!(
            plain,
            [
                ("camber.nut", Some("240 mm"), Some("10 in")),
                ("climate.shop_humidity", None, Some("50 %")),
                ("board.least_edge", least.as_deref(), None),
            ]
        );
        assert_eq!(differences(heron(), heron()), Some(Vec::new()));
    }

    #[test]
    fn texts_that_changed_other_values_are_one_text_with_both() {
        let mine = set(heron(), "wish.relief", "0.2 mm");
        let theirs = set(heron(), "camber.nut", "10 in");
        let both = set(&mine, "camber.nut", "10 in");
        assert_eq!(merged(heron(), &mine, &theirs), Some(both));
        // On one line, too.
        let mine = set(heron(), "strings.set[2].gauge", "0.014 in");
        let theirs = set(heron(), "strings.set[2].note", "C4");
        let both = set(&mine, "strings.set[2].note", "C4");
        assert_eq!(merged(heron(), &mine, &theirs), Some(both));
        // A comment of mine beside a value of theirs.
        let mine = heron().replacen("[wish]", "# ask again in May\n[wish]", 1);
        let theirs = set(heron(), "scale.length", "640 mm");
        let both = merged(heron(), &mine, &theirs).expect("do not touch");
        assert!(both.contains("# ask again in May\n[wish]") && both.contains("\"640 mm\""));
    }

    #[test]
    fn texts_that_changed_one_value_in_two_ways_are_none() {
        let mine = set(heron(), "camber.nut", "11 in");
        let theirs = set(heron(), "camber.nut", "10 in");
        assert_eq!(merged(heron(), &mine, &theirs), None);
        assert_eq!(merged(heron(), &mine, &mine), Some(mine));
        // The same key written at two places would be no TOML any more.
        let (mine, theirs) = ("a = 1\nb = 2\nc = 3\n", "b = 2\nc = 3\na = 4\n");
        assert_eq!(merged("b = 2\nc = 3\n", mine, theirs), None);
    }

    #[test]
    fn a_list_whose_entries_moved_leads_elsewhere() {
        let path = "strings.set[3].gauge";
        let same = |now: &str, between: &[String]| leads_to_the_same(heron(), now, between, path);
        assert!(same(heron(), &[]));
        assert!(same(&set(heron(), "strings.set[3].note", "A3"), &[]));
        let fewer = edit::take_away(heron(), "strings.set[1]").expect("is there");
        assert!(!same(&fewer, &[]));
        let after = edit::take_away(heron(), "strings.set[6]").expect("is there");
        assert!(same(&after, &[]), "what comes after it does not matter");
        // One taken away before it and one added behind it: as many as before, and all moved.
        let entry = "{ note = \"B1\", gauge = \"0.06 in\" }";
        let moved = edit::add(&fewer, &COMMISSION_KEYS, "strings.set", entry).expect("is a list");
        assert!(!same(&moved, &[fewer]));
        assert!(leads_to_the_same(heron(), &moved, &[], "camber.nut"));
    }
}
