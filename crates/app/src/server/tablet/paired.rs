//! Paired tablets, as the book keeps them: of each secret only its print.

use book::{Book, BookError, TABLETS_SETTING};
use serde_json::{Value, json};

use crate::server::chance::{hex, hex_secret, print_of};

/// So many at most: a shop has fewer, and a list that grows without end helps nobody.
pub(super) const MOST: usize = 24;
/// Characters of a name.
const NAME_CHARS: usize = 40;
/// So long after a tablet was seen it is written down again, seconds.
const SEEN_STEP: i64 = 60;

/// A paired tablet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Paired {
    /// Twelve signs of its print: enough to name it.
    pub id: String,
    /// The maker's name for it.
    pub name: String,
    /// When it was paired, in seconds since 1970.
    pub at: i64,
    /// Until when it stays paired.
    pub ends_at: i64,
    /// When it was last seen, to a minute.
    pub seen_at: i64,
    /// The print of its secret, SHA-256 in hexadecimal.
    print: String,
}

/// Those that are paired at that moment.
pub(crate) fn all(book: &Book, now: i64) -> Result<Vec<Paired>, BookError> {
    Ok(read(book.setting(TABLETS_SETTING)?.as_deref(), now))
}

/// The tablet whose secret that is.
pub(super) fn by_secret(book: &Book, secret: &str, now: i64) -> Result<Option<Paired>, BookError> {
    // What is compared is a print of 256 bits: how far a wrong one agrees says nothing of the
    // secret behind the right one.
    let print = hex(&print_of(secret));
    let mut all = all(book, now)?;
    Ok(all
        .iter()
        .position(|paired| paired.print == print)
        .map(|place| all.swap_remove(place)))
}

/// Pairs a tablet and returns the secret that it keeps; words when it cannot be.
pub(super) fn pair(book: &Book, name: &str, now: i64, lasts: i64) -> Result<String, String> {
    let secret = hex_secret::<32>()?;
    let print = hex(&print_of(&secret));
    let fresh = Paired {
        id: print.chars().take(12).collect(),
        name: plain_name(name),
        at: now,
        ends_at: now.saturating_add(lasts),
        seen_at: now,
        print,
    };
    let mut is_full = false;
    let outcome = change(book, now, |all| {
        is_full = all.len() >= MOST;
        if !is_full {
            all.push(fresh);
        }
        !is_full
    });
    outcome.map_err(|error| error.to_string())?;
    if is_full {
        return Err(format!(
            "{MOST} tablets are paired, and no more can be: take one away on the maker's page"
        ));
    }
    Ok(secret)
}

/// Notes that a tablet was seen, once a minute at most.
pub(super) fn seen(book: &Book, paired: &Paired, now: i64) -> Result<(), BookError> {
    if now.saturating_sub(paired.seen_at) < SEEN_STEP {
        return Ok(());
    }
    change(book, now, |all| {
        let found = all.iter_mut().find(|other| other.id == paired.id);
        let is_there = found.is_some();
        if let Some(found) = found {
            found.seen_at = now;
        }
        is_there
    })
}

/// Takes one tablet's pairing away, or, without a name of one, all of them.
pub(super) fn part(book: &Book, id: Option<&str>, now: i64) -> Result<(), BookError> {
    change(book, now, |all| {
        all.retain(|paired| id.is_some_and(|id| id != paired.id));
        true
    })
}

/// What tells a tablet from another at a glance: no line breaks, no endless names.
pub(super) fn plain_name(typed: &str) -> String {
    let words: String = typed
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let words: Vec<&str> = words.split_whitespace().collect();
    match words.join(" ").chars().take(NAME_CHARS).collect::<String>() {
        name if name.is_empty() => "Tablet".to_owned(),
        name => name,
    }
}

/// One transaction reads and writes: a tablet taken away by one program never comes back by
/// another that notes it as seen.
fn change(
    book: &Book,
    now: i64,
    deed: impl FnOnce(&mut Vec<Paired>) -> bool,
) -> Result<(), BookError> {
    book.change_setting(TABLETS_SETTING, now, |was| {
        let mut all = read(was, now);
        deed(&mut all).then(|| write(&all))
    })
}

/// An entry that cannot be understood pairs nothing.
fn read(text: Option<&str>, now: i64) -> Vec<Paired> {
    let list: Value = text
        .and_then(|text| serde_json::from_str(text).ok())
        .unwrap_or_default();
    let all = list.as_array().map_or(&[][..], Vec::as_slice);
    all.iter()
        .filter_map(read_one)
        .filter(|paired| now < paired.ends_at)
        .collect()
}

fn read_one(value: &Value) -> Option<Paired> {
    let text = |name: &str| value.get(name)?.as_str().map(str::to_owned);
    let number = |name: &str| value.get(name)?.as_i64();
    let print = text("print").filter(|print| print.len() == 64)?;
    Some(Paired {
        id: print.chars().take(12).collect(),
        name: text("name")?,
        at: number("paired_at")?,
        ends_at: number("ends_at")?,
        seen_at: number("seen_at")?,
        print,
    })
}

fn write(all: &[Paired]) -> String {
    let list: Vec<Value> = all
        .iter()
        .map(|paired| {
            json!({
                "name": paired.name,
                "paired_at": paired.at,
                "ends_at": paired.ends_at,
                "seen_at": paired.seen_at,
                "print": paired.print,
            })
        })
        .collect();
    Value::from(list).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(book: &Book, now: i64) -> Vec<String> {
        let all = all(book, now).expect("the book can be read");
        all.into_iter().map(|paired| paired.name).collect()
    }

    #[test]
    fn a_tablet_is_known_by_its_secret_until_its_time_is_over() {
        let book = Book::open_in_memory().expect("a book");
        let secret = pair(&book, "Bench tablet", 1_000, 600).expect("it is paired");
        let found = |now| by_secret(&book, &secret, now).expect("the book can be read");
        assert_eq!(
            found(1_599).map(|paired| paired.name).as_deref(),
            Some("Bench tablet")
        );
        assert_eq!(found(1_600), None);
        let other = "0".repeat(64);
        assert_eq!(
            by_secret(&book, &other, 1_000).expect("the book can be read"),
            None
        );
    }

    #[test]
    fn the_book_holds_no_secret() {
        let book = Book::open_in_memory().expect("a book");
        let secret = pair(&book, "Bench tablet", 1_000, 600).expect("it is paired");
        let kept = book
            .setting(TABLETS_SETTING)
            .expect("the book can be read")
            .unwrap_or_default();
        assert!(kept.contains("Bench tablet"));
        assert!(!kept.contains(&secret));
        let print = kept.split("\"print\":\"").nth(1).unwrap_or_default();
        let by_print = by_secret(&book, &print[..64], 1_000).expect("the book can be read");
        assert_eq!(by_print, None, "the print is no secret to come in with");
    }

    #[test]
    fn one_is_taken_away_or_all_and_none_comes_back_by_being_seen() {
        let book = Book::open_in_memory().expect("a book");
        for name in ["One", "Two", "Three"] {
            pair(&book, name, 1_000, 6_000).expect("it is paired");
        }
        let two = all(&book, 1_000)
            .expect("the book can be read")
            .swap_remove(1);
        part(&book, Some(&two.id), 1_000).expect("it is taken away");
        assert_eq!(names(&book, 1_000), ["One", "Three"]);
        seen(&book, &two, 2_000).expect("the book can be written");
        assert_eq!(names(&book, 2_000), ["One", "Three"]);
        part(&book, None, 2_000).expect("they are taken away");
        assert!(names(&book, 2_000).is_empty());
    }

    #[test]
    fn what_was_seen_is_written_down_once_a_minute() {
        let book = Book::open_in_memory().expect("a book");
        let secret = pair(&book, "One", 1_000, 6_000).expect("it is paired");
        let seen_at = |now: i64| {
            let paired = by_secret(&book, &secret, now)
                .expect("a book")
                .expect("it is paired");
            seen(&book, &paired, now).expect("the book can be written");
            all(&book, now).expect("a book")[0].seen_at
        };
        assert_eq!(seen_at(1_059), 1_000);
        assert_eq!(seen_at(1_060), 1_060);
        assert_eq!(seen_at(1_070), 1_060);
    }

    #[test]
    fn there_is_room_for_so_many_and_those_whose_time_is_over_make_room() {
        let book = Book::open_in_memory().expect("a book");
        for _ in 0..MOST {
            pair(&book, "One", 1_000, 600).expect("it is paired");
        }
        let told = pair(&book, "One", 1_000, 600).expect_err("there is no room");
        assert!(told.contains("24 tablets"), "{told}");
        pair(&book, "Late", 1_600, 600).expect("there is room again");
        assert_eq!(names(&book, 1_600), ["Late"]);
    }

    #[test]
    fn names_are_short_and_on_one_line() {
        assert_eq!(plain_name("  Bench\r\ntablet\t2 "), "Bench tablet 2");
        assert_eq!(plain_name(" \n"), "Tablet");
        assert_eq!(plain_name(&"ä".repeat(90)).chars().count(), NAME_CHARS);
    }

    #[test]
    fn a_setting_that_makes_no_sense_pairs_nothing() {
        let book = Book::open_in_memory().expect("a book");
        for text in [
            "",
            "{",
            "[1, {}]",
            "{\"print\": \"\"}",
            "[{\"name\":\"x\",\"print\":\"\",\"paired_at\":0,\"ends_at\":9e9,\"seen_at\":0}]",
        ] {
            book.set_setting(TABLETS_SETTING, text, 0)
                .expect("it is set");
            assert!(names(&book, 0).is_empty(), "{text}");
        }
        pair(&book, "One", 0, 600).expect("it is paired all the same");
        assert_eq!(names(&book, 0), ["One"]);
    }
}
