//! Looking for words in the book: titles, tags, notes, visits and texts as they stand now.

use book::{Book, BookError, EntryId, EntrySummary, Kind};

/// The most words that are looked for at once, and the most characters of each.
const MOST_WORDS: usize = 8;
const MOST_CHARS: usize = 60;

/// How many places of one entry are shown.
const MOST_PLACES: usize = 4;

/// How many characters are shown around what was found.
const AROUND: usize = 50;

/// What is looked for: words that must all be there, in whatever letters and at whatever places,
/// and a tag.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// The words, as typed.
    pub words: String,
    /// The tag; any when not given.
    pub tag: Option<String>,
}

/// An entry with what was looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The entry.
    pub entry: EntrySummary,
    /// Its tags.
    pub tags: Vec<String>,
    /// Where the words are, the first few places.
    pub places: Vec<Place>,
}

/// One place where a word was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// What place it is, in words.
    pub what: String,
    /// What stands before it.
    pub before: String,
    /// What was found, in the letters in which it stands there.
    pub hit: String,
    /// What stands behind it.
    pub after: String,
}

impl Wanted {
    /// Whether anything is looked for at all.
    pub fn is_anything(&self) -> bool {
        !self.words.trim().is_empty() || self.tag.is_some()
    }

    fn small_words(&self) -> Vec<String> {
        let cut = |word: &str| word.chars().take(MOST_CHARS).collect::<String>();
        let words = self.words.split_whitespace().take(MOST_WORDS);
        words.map(|word| cut(word).to_lowercase()).collect()
    }
}

/// Every entry that has all the words and the tag, commissions first, changed last first; those
/// put away are among them.
///
/// # Errors
/// When the book cannot be read.
pub fn find(book: &Book, wanted: &Wanted) -> Result<Vec<Found>, BookError> {
    let words = wanted.small_words();
    let all_tags = book.all_tags()?;
    let mut found = Vec::new();
    for kind in [Kind::Commission, Kind::Kit] {
        for entry in book.entries(kind)? {
            let tags = tags_of(&all_tags, entry.id);
            if !has_tag(&tags, wanted.tag.as_deref()) {
                continue;
            }
            let sources = sources(book, &entry, &tags)?;
            if let Some(places) = places(&sources, &words) {
                found.push(Found {
                    entry,
                    tags,
                    places,
                });
            }
        }
    }
    Ok(found)
}

/// The tags of an entry among all tags of the book.
pub fn tags_of(all: &[(EntryId, String)], id: EntryId) -> Vec<String> {
    let own = all.iter().filter(|(entry, _)| *entry == id);
    own.map(|(_, tag)| tag.clone()).collect()
}

fn has_tag(tags: &[String], wanted: Option<&str>) -> bool {
    wanted.is_none_or(|wanted| {
        let wanted = wanted.trim().to_lowercase();
        tags.iter().any(|tag| tag.to_lowercase() == wanted)
    })
}

/// One text of an entry, with words on what it is.
struct Source {
    what: String,
    text: String,
}

fn sources(book: &Book, entry: &EntrySummary, tags: &[String]) -> Result<Vec<Source>, BookError> {
    let source = |what: &str, text: &str| Source {
        what: what.to_owned(),
        text: text.to_owned(),
    };
    let mut sources = vec![source("title", &entry.title)];
    sources.extend(tags.iter().map(|tag| source("tag", tag)));
    if entry.kind == Kind::Commission {
        for log in book.stage_logs(entry.id)? {
            sources.push(source(&format!("note on {}", log.stage), &log.note));
        }
        for aside in book.set_aside_logs(entry.id)? {
            let what = format!("{}, set aside", aside.record.stage);
            sources.push(source(&format!("note on {what}"), &aside.record.note));
            sources.push(source(&format!("reason of {what}"), &aside.reason));
        }
        for visit in book.visits(entry.id)? {
            let words = format!("{} {}", visit.name, visit.date);
            sources.push(source("visit", words.trim()));
        }
    }
    for (at, line) in book.entry(entry.id)?.text.lines().enumerate() {
        sources.push(source(&format!("text, line {}", at + 1), line.trim()));
    }
    Ok(sources)
}

/// The places of the words, when each of them has one; none when nothing but a tag is asked.
fn places(sources: &[Source], words: &[String]) -> Option<Vec<Place>> {
    let small: Vec<String> = sources
        .iter()
        .map(|source| source.text.to_lowercase())
        .collect();
    let mut hits = Vec::new();
    for word in words {
        let before = hits.len();
        let has_word = |(_, text): &(usize, &String)| text.contains(word.as_str());
        hits.extend(
            small
                .iter()
                .enumerate()
                .filter(has_word)
                .map(|(at, _)| (at, word)),
        );
        if hits.len() == before {
            return None;
        }
    }
    hits.sort_by_key(|(at, _)| *at);
    hits.dedup_by_key(|(at, _)| *at);
    let places = hits.into_iter().take(MOST_PLACES);
    Some(places.map(|(at, word)| place(&sources[at], word)).collect())
}

fn place(source: &Source, word: &str) -> Place {
    let (from, to) = spot(&source.text, word).unwrap_or((0, 0));
    let before: Vec<char> = source.text[..from].chars().collect();
    let after: Vec<char> = source.text[to..].chars().collect();
    let cut = before.len().saturating_sub(AROUND);
    let mut shown_before: String = before[cut..].iter().collect();
    if cut > 0 {
        shown_before.insert(0, '…');
    }
    let mut shown_after: String = after.iter().take(AROUND).collect();
    if after.len() > AROUND {
        shown_after.push('…');
    }
    Place {
        what: source.what.clone(),
        before: shown_before,
        hit: source.text[from..to].to_owned(),
        after: shown_after,
    }
}

/// Where a word in small letters stands in a text, in bytes of the text itself: a letter may be
/// longer or shorter in its small form.
fn spot(text: &str, word: &str) -> Option<(usize, usize)> {
    text.char_indices().find_map(|(from, _)| {
        let mut rest = word;
        for (at, letter) in text[from..].char_indices() {
            if rest.is_empty() {
                return Some((from, from + at));
            }
            for small in letter.to_lowercase() {
                rest = rest.strip_prefix(small)?;
                if rest.is_empty() {
                    return Some((from, from + at + letter.len_utf8()));
                }
            }
        }
        None
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use book::StageRecord;

    fn shop() -> (Book, EntryId, EntryId) {
        let book = Book::open_in_memory().expect("has memory");
        let text = "title = \"Heron\"\n# for Änne, who bends\nnut = \"240 mm\"\n";
        let heron = book
            .create(Kind::Commission, "Heron", text, "first", 1)
            .expect("is sound");
        let kit = book
            .create(Kind::Kit, "North bench", "gauges = []\n", "first", 2)
            .expect("is sound");
        book.put_on_tag(heron, "Ebony", 3).expect("is a tag");
        book.put_on_tag(kit, "ebony", 3).expect("is a tag");
        book.log_stage(&StageRecord {
            id: None,
            commission: heron,
            stage: "beam-p240".into(),
            tool: "beam".into(),
            grade: "P240".into(),
            wood: "ebony".into(),
            volume_mm3: 1.0,
            minutes: 1.0,
            force_n: None,
            note: "Chalk stayed near fret 9".into(),
            at: 4,
            sent_key: None,
        })
        .expect("is sound");
        book.add_visit(heron, "rough", "Tuesday", "", 5)
            .expect("is sound");
        (book, heron, kit)
    }

    fn check(words: &str, tag: Option<&str>, expected: &[(i64, &[(&str, &str)])]) {
        let (book, ..) = shop();
        let wanted = Wanted {
            words: words.into(),
            tag: tag.map(str::to_owned),
        };
        let found = find(&book, &wanted).expect("can be read");
        let plain: Vec<(i64, Vec<(&str, &str)>)> = found
            .iter()
            .map(|each| {
                let places = each.places.iter();
                let places = places.map(|place| (place.what.as_str(), place.hit.as_str()));
                (each.entry.id.0, places.collect())
            })
            .collect();
        let expected: Vec<(i64, Vec<(&str, &str)>)> = expected
            .iter()
            .map(|(id, places)| (*id, places.to_vec()))
            .collect();
        assert_eq!(plain, expected, "{words:?} {tag:?}");
    }

    #[test]
    fn words_are_found_in_titles_tags_notes_visits_and_texts_in_whatever_letters() {
        check(
            "hERON",
            None,
            &[(1, &[("title", "Heron"), ("text, line 1", "Heron")])],
        );
        check(
            "ebo",
            None,
            &[(1, &[("tag", "Ebo")]), (2, &[("tag", "ebo")])],
        );
        check("stayed", None, &[(1, &[("note on beam-p240", "stayed")])]);
        check("tuesday", None, &[(1, &[("visit", "Tuesday")])]);
        check("änne", None, &[(1, &[("text, line 2", "Änne")])]);
        check("240", None, &[(1, &[("text, line 3", "240")])]);
    }

    #[test]
    fn all_words_must_be_there_and_the_tag_with_them() {
        check(
            "änne chalk",
            None,
            &[(
                1,
                &[("note on beam-p240", "Chalk"), ("text, line 2", "Änne")],
            )],
        );
        check("änne rosewood", None, &[]);
        check("", Some("EBONY"), &[(1, &[]), (2, &[])]);
        check(
            "heron",
            Some("ebony"),
            &[(1, &[("title", "Heron"), ("text, line 1", "Heron")])],
        );
        check("heron", Some("walnut"), &[]);
    }

    #[test]
    fn a_long_line_is_cut_around_the_word_and_letters_that_grow_when_small_do_no_harm() {
        let source = Source {
            what: "text".into(),
            text: format!("{}İstanbul ß{}", "a".repeat(300), "b".repeat(300)),
        };
        // The small form of İ is two signs long.
        let found = place(&source, &"İst".to_lowercase());
        assert_eq!(found.hit, "İst");
        assert_eq!(found.before, format!("…{}", "a".repeat(AROUND)));
        assert_eq!(found.after.chars().count(), AROUND + 1);
        assert_eq!(spot("abc", "bc"), Some((1, 3)));
        assert_eq!(spot("abc", "cd"), None);
        assert_eq!(spot("aab", "ab"), Some((1, 3)));
    }
}
