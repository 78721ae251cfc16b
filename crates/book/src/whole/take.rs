//! Reading a whole entry out of the tables.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension};

use super::{
    SetAsideEvent, Setting, TagEvent, WholeBatch, WholeEntry, WholeMoment, WholeStage, WholeVisit,
};
use crate::entries::kind_from_row;
use crate::error::{BookError, Fault};
use crate::records::{EntryId, VisitDetail};
use crate::stages;
use crate::store::collect;

pub(super) fn entry(connection: &Connection, id: EntryId) -> Result<WholeEntry, Fault> {
    let found = connection
        .prepare_cached(
            "SELECT kind, current, made_at, changed_at, put_away_at FROM entry WHERE id = ?1",
        )?
        .query_row([id.0], |row| {
            let current: i64 = row.get(1)?;
            let entry = WholeEntry {
                kind: kind_from_row(row, 0)?,
                made_at: row.get(2)?,
                changed_at: row.get(3)?,
                put_away_at: row.get(4)?,
                current: 0,
                moments: Vec::new(),
                tags: Vec::new(),
                stages: Vec::new(),
                visits: Vec::new(),
            };
            Ok((entry, current))
        })
        .optional()?;
    let (mut entry, current) = found.ok_or(BookError::NoSuchEntry { id })?;
    let (moments, places) = moments(connection, id)?;
    entry.current = places.get(&current).copied().unwrap_or_default();
    entry.moments = moments;
    entry.tags = tags(connection, id)?;
    entry.stages = stages(connection, id)?;
    entry.visits = visits(connection, id)?;
    Ok(entry)
}

/// The moments in the order made, and the place of each by its number.
fn moments(
    connection: &Connection,
    id: EntryId,
) -> Result<(Vec<WholeMoment>, BTreeMap<i64, usize>), Fault> {
    let question =
        "SELECT id, parent, title, what, at, text FROM revision WHERE entry = ?1 ORDER BY id";
    let rows = collect(connection, question, [id.0], |row| {
        let moment = WholeMoment {
            parent: None,
            title: row.get(2)?,
            what: row.get(3)?,
            at: row.get(4)?,
            text: row.get(5)?,
        };
        Ok((row.get(0)?, row.get(1)?, moment))
    })?;
    let numbers = rows.iter().enumerate();
    let places: BTreeMap<i64, usize> = numbers.map(|(place, (id, ..))| (*id, place)).collect();
    let placed = |(_, parent, moment): (i64, Option<i64>, WholeMoment)| WholeMoment {
        parent: parent.and_then(|parent| places.get(&parent).copied()),
        ..moment
    };
    let moments = rows.into_iter().map(placed).collect();
    Ok((moments, places))
}

fn tags(connection: &Connection, id: EntryId) -> Result<Vec<TagEvent>, Fault> {
    let question = "SELECT tag, at, taken_off FROM tag WHERE entry = ?1 ORDER BY id";
    collect(connection, question, [id.0], |row| {
        Ok(TagEvent {
            tag: row.get(0)?,
            at: row.get(1)?,
            taken_off: row.get(2)?,
        })
    })
}

fn stages(connection: &Connection, id: EntryId) -> Result<Vec<WholeStage>, Fault> {
    let question = format!("{} WHERE commission = ?1 ORDER BY id", stages::COLUMNS);
    collect(connection, &question, [id.0], |row| {
        let reason: Option<String> = row.get(12)?;
        let at: Option<i64> = row.get(13)?;
        Ok(WholeStage {
            record: stages::record_from_row(row)?,
            set_aside: reason.zip(at),
        })
    })
}

fn visits(connection: &Connection, id: EntryId) -> Result<Vec<WholeVisit>, Fault> {
    let question = "SELECT id, made_at FROM visit WHERE commission = ?1 ORDER BY id";
    let rows = collect(connection, question, [id.0], |row| {
        Ok((row.get::<_, i64>(0)?, row.get(1)?))
    })?;
    let whole = |(visit, made_at)| {
        Ok(WholeVisit {
            made_at,
            details: details(connection, visit)?,
            batches: batches(connection, visit)?,
        })
    };
    rows.into_iter().map(whole).collect()
}

fn details(connection: &Connection, visit: i64) -> Result<Vec<VisitDetail>, Fault> {
    let question = "SELECT name, date, stage, at FROM visit_detail WHERE visit = ?1 ORDER BY id";
    collect(connection, question, [visit], |row| {
        Ok(VisitDetail {
            name: row.get(0)?,
            date: row.get(1)?,
            stage: row.get(2)?,
            at: row.get(3)?,
        })
    })
}

fn batches(connection: &Connection, visit: i64) -> Result<Vec<WholeBatch>, Fault> {
    let question =
        "SELECT id, source, sent_key, at, text FROM readings_batch WHERE visit = ?1 ORDER BY id";
    let rows = collect(connection, question, [visit], |row| {
        let batch = WholeBatch {
            source: row.get(1)?,
            sent_key: row.get(2)?,
            at: row.get(3)?,
            text: row.get(4)?,
            set_aside: Vec::new(),
        };
        Ok((row.get::<_, i64>(0)?, batch))
    })?;
    let whole = |(id, batch): (i64, WholeBatch)| {
        let set_aside = set_aside(connection, id)?;
        Ok(WholeBatch { set_aside, ..batch })
    };
    rows.into_iter().map(whole).collect()
}

fn set_aside(connection: &Connection, batch: i64) -> Result<Vec<SetAsideEvent>, Fault> {
    let question = "SELECT line, reason, at FROM readings_set_aside WHERE batch = ?1 ORDER BY id";
    collect(connection, question, [batch], |row| {
        Ok(SetAsideEvent {
            line: row.get(0)?,
            reason: row.get(1)?,
            at: row.get(2)?,
        })
    })
}

pub(super) fn settings(connection: &Connection) -> Result<Vec<Setting>, Fault> {
    let question = "SELECT key, value, changed_at FROM setting ORDER BY key";
    collect(connection, question, [], |row| {
        Ok(Setting {
            key: row.get(0)?,
            value: row.get(1)?,
            changed_at: row.get(2)?,
        })
    })
}
