//! A book of every format there ever was is opened and read; `tests/books/` keeps them.
//!
//! The expected values stand here in full: they are what `examples/write_book.rs` wrote.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::fs;
use std::path::{Path, PathBuf};

use book::{
    BatchId, Book, BookError, Change, EntryId, Kind, NewReadings, ReadingsBatch, RevisionId,
    SetAsideLine, StageRecord, VisitDetail, VisitId,
};
use common::{Scratch, assert_sound, stage};

fn copy_of_format(version: u32, scratch: &Scratch) -> PathBuf {
    let path = scratch.path("shop.book");
    common::copy_of_format(version, &path);
    path
}

#[test]
fn there_is_a_book_of_every_format() {
    let scratch = Scratch::new("formats");
    for version in 1..=book::FORMAT_VERSION {
        let path = copy_of_format(version, &scratch);
        assert_eq!(fs::read(&path).unwrap()[60..64], version.to_be_bytes());
        Book::open(&path).unwrap();
        assert_eq!(
            fs::read(&path).unwrap()[60..64],
            book::FORMAT_VERSION.to_be_bytes()
        );
        assert_sound(&path);
    }
}

#[test]
fn the_book_of_format_1_reads_as_it_was_written() {
    let scratch = Scratch::new("format-1");
    let book = Book::open(&copy_of_format(1, &scratch)).unwrap();
    assert_entries_and_stages(&book, 1_900, 1_700);
    assert_eq!(book.all_tags().unwrap(), []);
    for summary in book.entries(Kind::Commission).unwrap() {
        assert_eq!(book.visits(summary.id).unwrap(), []);
    }
}

/// What books of all formats hold; readings and tags moved the times of change of later ones.
fn assert_entries_and_stages(book: &Book, sandpiper_changed_at: i64, heron_changed_at: i64) {
    let (kit, heron, sandpiper) = (EntryId(1), EntryId(2), EntryId(3));

    let commissions = book.entries(Kind::Commission).unwrap();
    let listed: Vec<_> = commissions
        .iter()
        .map(|it| {
            (
                it.id,
                it.title.as_str(),
                it.changed_at,
                it.made_at,
                it.put_away,
            )
        })
        .collect();
    let mut expected = [
        (sandpiper, "Sandpiper", sandpiper_changed_at, 1_800, true),
        (heron, "Heron", heron_changed_at, 1_100, false),
    ];
    expected.sort_by_key(|it| -it.2);
    assert_eq!(listed, expected);
    assert_eq!(book.entries(Kind::Kit).unwrap()[0].id, kit);
    assert_eq!(book.entry(kit).unwrap().text, "camberwright_kit = 1\n");

    let entry = book.entry(heron).unwrap();
    assert_eq!(entry.text, "length = \"630 mm\"\n");
    assert_eq!(
        (entry.revision, entry.previous),
        (RevisionId(4), Some(RevisionId(2)))
    );
    assert_eq!(entry.undo_what.as_deref(), Some("shorter scale"));
    assert_eq!(entry.redo_what.as_deref(), Some("shorter still"));
    assert_eq!(entry.kit, Some(kit));
    assert_eq!(
        book.revision_text(RevisionId(3)).unwrap(),
        "length = \"640 mm\"\n"
    );
    let history = book.history(heron).unwrap();
    let moments: Vec<_> = history
        .iter()
        .map(|it| (it.revision.0, it.at, it.current, it.reachable_by_undo))
        .collect();
    let expected = [
        (5, 1_500, false, false),
        (4, 1_400, true, false),
        (3, 1_200, false, false),
        (2, 1_100, false, true),
    ];
    assert_eq!(moments, expected);

    let logs = book.stage_logs(heron).unwrap();
    assert_eq!(logs.iter().filter(|log| log.sent_key.is_none()).count(), 1);
    assert_eq!(
        (logs[0].id, logs[0].at, logs[0].force_n),
        (Some(1), 2_000, Some(22.5))
    );
    assert_eq!((logs[0].volume_mm3, logs[0].minutes), (812.5, 7.5));
    let aside = book.set_aside_logs(heron).unwrap();
    assert_eq!(
        (aside[0].reason.as_str(), aside[0].at),
        ("logged twice", 2_200)
    );
    assert_eq!(book.setting("display unit").unwrap().as_deref(), Some("mm"));
}

#[test]
fn the_book_of_format_2_reads_as_it_was_written() {
    let scratch = Scratch::new("format-2");
    let book = Book::open(&copy_of_format(2, &scratch)).unwrap();
    assert_entries_and_stages(&book, 2_700, 3_400);
    assert_visits(&book);
    assert_readings(&book);
    assert_eq!(book.all_tags().unwrap(), []);
}

#[test]
fn the_book_of_format_3_reads_as_it_was_written() {
    let scratch = Scratch::new("format-3");
    let book = Book::open(&copy_of_format(3, &scratch)).unwrap();
    assert_entries_and_stages(&book, 2_700, 3_800);
    assert_visits(&book);
    assert_readings(&book);

    let (kit, heron) = (EntryId(1), EntryId(2));
    assert_eq!(
        book.all_tags().unwrap(),
        [
            (kit, "North bench".to_owned()),
            (heron, "ebony".to_owned()),
            (heron, "for a player who bends".to_owned()),
        ]
    );
    let sent = book.stage_logs(heron).unwrap().pop().unwrap();
    assert_eq!(
        (sent.id, sent.at, sent.sent_key.as_deref()),
        (Some(3), 4_000, Some("tablet 9"))
    );
    // The key it was sent under is still known.
    assert_eq!(book.log_stage(&StageRecord { at: 9_000, ..sent }), Ok(3));
    let other = StageRecord {
        minutes: 8.0,
        sent_key: Some("tablet 9".into()),
        ..stage(heron, 9_000)
    };
    assert!(matches!(
        book.log_stage(&other),
        Err(BookError::StageKeyUsed { log_id: 3, .. })
    ));
}

fn assert_visits(book: &Book) {
    let visits = book.visits(EntryId(2)).unwrap();
    let listed: Vec<_> = visits
        .iter()
        .map(|it| {
            (
                it.id.0,
                it.name.as_str(),
                it.date.as_str(),
                it.stage.as_str(),
                it.made_at,
                it.batches,
            )
        })
        .collect();
    let expected = [
        (1, "rough", "Tuesday", "block-406-p120", 2_400, 2),
        (2, "2", "", "", 2_600, 1),
    ];
    assert_eq!(listed, expected);
    let version = |name: &str, stage: &str, at| VisitDetail {
        name: name.into(),
        date: "Tuesday".into(),
        stage: stage.into(),
        at,
    };
    assert_eq!(
        book.visit_details(VisitId(1)).unwrap(),
        [
            version("rough", "block-406-p120", 2_500),
            version("1", "", 2_400)
        ]
    );
    assert_eq!(book.visits(EntryId(3)).unwrap()[0].id, VisitId(3));
}

fn assert_readings(book: &Book) {
    let aside = |line, reason: &str, at| {
        let reason = reason.into();
        vec![SetAsideLine { line, reason, at }]
    };
    let expected = [
        ReadingsBatch {
            id: BatchId(1),
            text: "height,fret 9,0.12\nheight,fret 10,0.31\n".into(),
            source: "keypad".into(),
            at: 2_800,
            set_aside: aside(Some(1), "dust under the foot", 3_100),
        },
        ReadingsBatch {
            id: BatchId(2),
            text: "½ turn too far\r\n".into(),
            source: "pasted".into(),
            at: 2_900,
            set_aside: aside(None, "not a reading", 3_400),
        },
    ];
    assert_eq!(book.readings(VisitId(1)).unwrap(), expected);
    let second = book.readings(VisitId(2)).unwrap();
    assert_eq!(
        (second[0].text.as_str(), second[0].source.as_str()),
        ("light,12 in,none", "heights.csv")
    );
    assert_eq!(book.readings(VisitId(3)).unwrap(), []);

    // The keys it was sent under are still known.
    let again = NewReadings {
        visit: VisitId(2),
        text: "light,12 in,none",
        source: "heights.csv",
        sent_key: Some("tablet 8"),
        at: 4_000,
    };
    assert_eq!(book.add_readings(&again), Ok(BatchId(3)));
    let other = NewReadings {
        text: "light,12 in,some",
        ..again
    };
    assert!(matches!(
        book.add_readings(&other),
        Err(BookError::SentKeyUsed { .. })
    ));
}

/// The columns of every table, as the file itself names them.
fn columns(path: &Path) -> Vec<(String, String)> {
    let connection = common::raw(path);
    let question = "SELECT m.name, group_concat(c.name) FROM sqlite_schema m
         JOIN pragma_table_info(m.name) c WHERE m.type = 'table' GROUP BY m.name ORDER BY m.name";
    let mut statement = connection.prepare(question).unwrap();
    let rows = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap();
    rows.collect::<Result<_, _>>().unwrap()
}

/// Every row of some columns of every table, as plain text, past our own code.
fn rows(path: &Path, columns: &[(String, String)]) -> Vec<String> {
    let connection = common::raw(path);
    let mut all = Vec::new();
    for (table, columns) in columns {
        let question = format!("SELECT {columns} FROM {table} ORDER BY 1");
        let mut statement = connection.prepare(&question).unwrap();
        let count = statement.column_count();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let values: Vec<rusqlite::types::Value> =
                (0..count).map(|column| row.get(column).unwrap()).collect();
            all.push(format!("{table} {values:?}"));
        }
    }
    all
}

#[test]
fn a_book_of_an_older_format_is_brought_up_with_every_row_as_it_was() {
    for (version, least) in [(1, 10), (2, 20)] {
        let scratch = Scratch::new("format-rows");
        let path = copy_of_format(version, &scratch);
        let columns = columns(&path);
        let before = rows(&path, &columns);
        drop(Book::open(&path).unwrap());
        assert_eq!(rows(&path, &columns), before);
        assert!(before.len() > least, "{before:?}");
    }
}

#[test]
fn tags_and_stages_sent_twice_can_be_written_into_a_book_of_an_older_format() {
    for version in 1..=2 {
        let scratch = Scratch::new("format-tags");
        let path = copy_of_format(version, &scratch);
        let book = Book::open(&path).unwrap();
        book.put_on_tag(EntryId(2), "ebony", 5_000).unwrap();
        let sent = StageRecord {
            sent_key: Some("tablet 1".into()),
            ..stage(EntryId(2), 5_100)
        };
        let log_id = book.log_stage(&sent).unwrap();
        drop(book);
        let book = Book::open(&path).unwrap();
        assert_eq!(book.tags(EntryId(2)).unwrap(), ["ebony"]);
        assert_eq!(book.log_stage(&sent), Ok(log_id));
        drop(book);
        assert_sound(&path);
    }
}

#[test]
fn readings_can_be_written_into_a_book_of_format_1() {
    let scratch = Scratch::new("format-1-readings");
    let path = copy_of_format(1, &scratch);
    let book = Book::open(&path).unwrap();
    let visit = book.add_visit(EntryId(2), "1", "", "", 5_000).unwrap();
    let batch = book
        .add_readings(&NewReadings {
            visit,
            text: "a",
            source: "pasted",
            sent_key: None,
            at: 5_100,
        })
        .unwrap();
    drop(book);
    let book = Book::open(&path).unwrap();
    assert_eq!(book.readings(visit).unwrap()[0].id, batch);
    drop(book);
    assert_sound(&path);
}

#[test]
fn an_old_book_can_be_written_on() {
    let scratch = Scratch::new("format-1-write");
    let path = copy_of_format(1, &scratch);
    let (id, based_on) = (EntryId(2), RevisionId(4));
    let change = Change {
        id,
        based_on,
        title: "Heron",
        text: "new",
        what: "new",
        at: 3_000,
    };
    let revision = Book::open(&path).unwrap().change(&change).unwrap();
    assert!(revision > RevisionId(6), "numbers are never given twice");
    assert_eq!(Book::open(&path).unwrap().entry(id).unwrap().text, "new");
}

/// The promise that nothing is lost stands in the file itself, whoever writes to it.
#[test]
fn no_program_can_change_or_delete_what_was_stored() {
    let scratch = Scratch::new("guarded");
    let path = copy_of_format(book::FORMAT_VERSION, &scratch);
    let connection = common::raw(&path);
    for deed in [
        "UPDATE revision SET text = ''",
        "DELETE FROM revision",
        "REPLACE INTO revision (id, entry, title, what, at, text) VALUES (1, 1, '', '', 1, '')",
        "DELETE FROM entry",
        "REPLACE INTO entry (id, kind, current, made_at, changed_at) VALUES (1, 'kit', 1, 1, 1)",
        "UPDATE visit SET commission = 3",
        "DELETE FROM visit",
        "REPLACE INTO visit (id, commission, made_at) VALUES (1, 3, 1)",
        "UPDATE visit_detail SET name = ''",
        "DELETE FROM visit_detail",
        "REPLACE INTO visit_detail (id, visit, name, date, stage, at)
         VALUES (1, 1, '', '', '', 1)",
        "UPDATE readings_batch SET text = ''",
        "UPDATE readings_batch SET sent_key = 'other' WHERE id = 1",
        "DELETE FROM readings_batch",
        "REPLACE INTO readings_batch (id, visit, source, at, text) VALUES (1, 1, '', 1, '')",
        "REPLACE INTO readings_batch (visit, source, sent_key, at, text)
         VALUES (1, '', 'tablet 7', 1, '')",
        "INSERT INTO readings_batch (visit, source, sent_key, at, text)
         VALUES (1, '', 'tablet 7', 1, '') ON CONFLICT DO UPDATE SET text = ''",
        "UPDATE readings_set_aside SET reason = 'other'",
        "DELETE FROM readings_set_aside",
        "REPLACE INTO readings_set_aside (id, batch, reason, at, taken_back)
         VALUES (1, 1, 'other', 1, 0)",
        "UPDATE tag SET tag = 'other'",
        "DELETE FROM tag",
        "REPLACE INTO tag (id, entry, tag, at, taken_off) VALUES (1, 1, 'other', 1, 0)",
        "UPDATE stage_log SET minutes = 1",
        "UPDATE stage_log SET sent_key = 'other' WHERE id = 1",
        "UPDATE stage_log SET set_aside_reason = NULL, set_aside_at = NULL WHERE id = 2",
        "DELETE FROM stage_log",
        "REPLACE INTO stage_log (commission, stage, tool, grade, wood, volume_mm3, minutes, note,
                                 at, sent_key) VALUES (2, '', '', '', '', 1, 1, '', 1, 'tablet 9')",
        "REPLACE INTO stage_log (id, commission, stage, tool, grade, wood, volume_mm3, minutes,
                                 note, at) VALUES (1, 2, '', '', '', '', 1, 1, '', 1)",
    ] {
        let error = connection.execute(deed, []).unwrap_err();
        assert!(error.to_string().contains("is never"), "{deed}: {error}");
    }
    connection
        .pragma_update(None, "foreign_keys", true)
        .unwrap();
    for deed in [
        // A revision of another entry cannot become the current one.
        "UPDATE entry SET current = 1 WHERE id = 2",
        "INSERT INTO visit (commission, made_at) VALUES (77, 1)",
        "INSERT INTO readings_batch (visit, source, at, text) VALUES (77, '', 1, '')",
        "INSERT INTO readings_set_aside (batch, reason, at, taken_back) VALUES (77, 'a', 1, 0)",
        "INSERT INTO readings_set_aside (batch, reason, at, taken_back) VALUES (1, '', 1, 0)",
        "INSERT INTO readings_set_aside (batch, reason, at, taken_back) VALUES (1, NULL, 1, 0)",
        "INSERT INTO readings_set_aside (batch, reason, at, taken_back) VALUES (1, 'a', 1, 1)",
        "INSERT INTO readings_set_aside (batch, line, reason, at, taken_back)
         VALUES (1, 0, 'a', 1, 0)",
        "INSERT INTO tag (entry, tag, at, taken_off) VALUES (77, 'a', 1, 0)",
        "INSERT INTO tag (entry, tag, at, taken_off) VALUES (1, '', 1, 0)",
        "INSERT INTO tag (entry, tag, at, taken_off) VALUES (1, 'a', 1, 2)",
    ] {
        assert!(connection.execute(deed, []).is_err(), "{deed}");
    }
}

/// A released format is never edited: the tables made today are those of the book kept then.
#[test]
fn a_new_book_has_the_tables_of_the_kept_one() {
    let tables = |path: &Path| -> Vec<(String, String)> {
        let connection = common::raw(path);
        let question = "SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name";
        let mut statement = connection.prepare(question).unwrap();
        let rows = statement
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap();
        rows.collect::<Result<_, _>>().unwrap()
    };
    let scratch = Scratch::new("tables");
    let new = scratch.path("new.book");
    drop(Book::open(&new).unwrap());
    let kept = tables(&copy_of_format(book::FORMAT_VERSION, &scratch));
    assert_eq!(tables(&new), kept);
    // A book brought up from an older format has the same tables as well.
    for version in 1..book::FORMAT_VERSION {
        let old = copy_of_format(version, &scratch);
        let before = tables(&old);
        drop(Book::open(&old).unwrap());
        assert_eq!(tables(&old), kept);
        assert!(before.iter().all(|table| is_kept(table, &kept)));
    }
    assert!(kept.len() > 5);
}

/// A table of an older format stands letter for letter in the newer; only stages done were given
/// one more column, which SQLite writes into the old words.
fn is_kept(table: &(String, String), kept: &[(String, String)]) -> bool {
    let (name, words) = table;
    let now = kept.iter().find(|(other, _)| other == name);
    now.is_some_and(|(_, now)| now.replace(", sent_key TEXT", "") == *words || now == words)
}
