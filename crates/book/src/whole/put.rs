//! Putting whole entries into the tables, checked as if each part came by itself.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::{
    KitLink, PutIn, SetAsideEvent, Setting, WholeBatch, WholeEntry, WholeStage, WholeVisit,
};
use crate::entries::require_kind;
use crate::error::{BookError, Fault};
use crate::limits::{
    MAX_TAGS, check_filled, check_note, check_readings, check_short, check_text, tidy_tag,
};
use crate::records::{EntryId, Kind};
use crate::stages;

/// Whether an entry holds together, and each part of it is one the book would take.
pub(super) fn check(entry: &WholeEntry) -> Result<(), BookError> {
    check_moments(entry)?;
    check_tags(entry)?;
    if entry.kind == Kind::Kit && !(entry.stages.is_empty() && entry.visits.is_empty()) {
        return Err(broken("a kit has no stages done and no visits"));
    }
    for stage in &entry.stages {
        stages::check(&stage.record)?;
        if let Some((reason, _)) = &stage.set_aside {
            check_note("reason", reason)?;
        }
    }
    entry.visits.iter().try_for_each(check_visit)?;
    check_visit_names(entry)
}

pub(super) fn check_setting(setting: &Setting) -> Result<(), BookError> {
    check_short("name of the setting", &setting.key)?;
    check_text("value of the setting", &setting.value)
}

fn broken(detail: &'static str) -> BookError {
    BookError::NotWhole { detail }
}

fn check_moments(entry: &WholeEntry) -> Result<(), BookError> {
    if entry.current >= entry.moments.len() {
        return Err(broken("an entry stands at one of its moments"));
    }
    for (place, moment) in entry.moments.iter().enumerate() {
        check_short("title", &moment.title)?;
        check_short("description of the change", &moment.what)?;
        check_text("text", &moment.text)?;
        let is_in_order = match moment.parent {
            None => place == 0,
            Some(parent) => parent < place,
        };
        if !is_in_order {
            return Err(broken(
                "every moment but the first was made from one before it, and the first from none",
            ));
        }
    }
    Ok(())
}

fn check_tags(entry: &WholeEntry) -> Result<(), BookError> {
    let mut standing = BTreeMap::new();
    for event in &entry.tags {
        if tidy_tag(&event.tag)? != event.tag {
            return Err(broken(
                "a tag has single blanks between its words and none around them",
            ));
        }
        if event.taken_off {
            standing.remove(&event.tag.to_lowercase());
        } else if standing
            .insert(event.tag.to_lowercase(), &event.tag)
            .is_some_and(|other| *other != event.tag)
        {
            return Err(broken("a tag is not put on twice in different letters"));
        }
    }
    if standing.len() > MAX_TAGS {
        return Err(BookError::TooManyTags { limit: MAX_TAGS });
    }
    Ok(())
}

fn check_visit(visit: &WholeVisit) -> Result<(), BookError> {
    if visit.details.is_empty() {
        return Err(broken("a visit has at least one version of its details"));
    }
    for detail in &visit.details {
        check_filled("name of the visit", &detail.name)?;
        check_short("name of the visit", &detail.name)?;
        check_short("date of the visit", &detail.date)?;
        check_short("stage of the visit", &detail.stage)?;
    }
    visit.batches.iter().try_for_each(check_batch)
}

fn check_visit_names(entry: &WholeEntry) -> Result<(), BookError> {
    let names = entry.visits.iter().filter_map(|visit| visit.details.last());
    let mut seen = BTreeSet::new();
    let mut names = names.map(|detail| detail.name.trim());
    if names.all(|name| seen.insert(name)) {
        Ok(())
    } else {
        Err(broken(
            "two visits of one commission never bear the same name",
        ))
    }
}

fn check_batch(batch: &WholeBatch) -> Result<(), BookError> {
    check_filled("text of the readings", &batch.text)?;
    check_readings(&batch.text)?;
    check_short("source of the readings", &batch.source)?;
    if let Some(sent_key) = &batch.sent_key {
        check_filled("key of the readings", sent_key)?;
        check_short("key of the readings", sent_key)?;
    }
    let lines = batch.text.lines().count();
    for event in &batch.set_aside {
        if let Some(reason) = &event.reason {
            check_filled("reason", reason)?;
            check_note("reason", reason)?;
        }
        if event
            .line
            .is_some_and(|line| !(1..=lines).contains(&(line as usize)))
        {
            return Err(broken("a line that is set aside is one of its batch"));
        }
    }
    Ok(())
}

pub(super) fn all(
    transaction: &Transaction<'_>,
    entries: &[(WholeEntry, KitLink)],
    settings: &[Setting],
    told: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<PutIn, Fault> {
    let mut put = PutIn {
        entries: Vec::with_capacity(entries.len()),
        keys_left_out: 0,
        settings_kept: Vec::new(),
    };
    for (entry, _) in entries {
        let id = put_entry(transaction, entry, &mut put.keys_left_out)?;
        put.entries.push(id);
        if told(put.entries.len()).is_break() {
            return Err(BookError::Stopped.into());
        }
    }
    for ((_, link), &id) in entries.iter().zip(&put.entries) {
        let kit = match *link {
            KitLink::None => continue,
            KitLink::There(kit) => kit,
            KitLink::Beside(place) => *put.entries.get(place).ok_or_else(|| {
                broken("the kit of a commission is in the book, or comes with it")
            })?,
        };
        require_kind(transaction, id, Kind::Commission)?;
        require_kind(transaction, kit, Kind::Kit)?;
        transaction
            .prepare_cached("UPDATE entry SET kit = ?2 WHERE id = ?1")?
            .execute([id.0, kit.0])?;
    }
    for setting in settings {
        if put_setting(transaction, setting)? == Kept::TheOther {
            put.settings_kept.push(setting.key.clone());
        }
    }
    Ok(put)
}

fn put_entry(
    transaction: &Transaction<'_>,
    entry: &WholeEntry,
    keys_left_out: &mut usize,
) -> Result<EntryId, Fault> {
    transaction
        .prepare_cached(
            "INSERT INTO entry (kind, current, made_at, changed_at, put_away_at)
             VALUES (?1, 0, ?2, ?3, ?4)",
        )?
        .execute(params![
            entry.kind.stored(),
            entry.made_at,
            entry.changed_at,
            entry.put_away_at
        ])?;
    let id = EntryId(transaction.last_insert_rowid());
    put_moments(transaction, id, entry)?;
    for event in &entry.tags {
        transaction
            .prepare_cached("INSERT INTO tag (entry, tag, at, taken_off) VALUES (?1, ?2, ?3, ?4)")?
            .execute(params![id.0, event.tag, event.at, event.taken_off])?;
    }
    for stage in &entry.stages {
        put_stage(transaction, id, stage, keys_left_out)?;
    }
    for visit in &entry.visits {
        put_visit(transaction, id, visit, keys_left_out)?;
    }
    Ok(id)
}

fn put_moments(
    transaction: &Transaction<'_>,
    id: EntryId,
    entry: &WholeEntry,
) -> Result<(), Fault> {
    let mut numbers: Vec<i64> = Vec::with_capacity(entry.moments.len());
    for moment in &entry.moments {
        let parent = moment.parent.and_then(|parent| numbers.get(parent));
        transaction
            .prepare_cached(
                "INSERT INTO revision (entry, parent, title, text, what, at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![
                id.0,
                parent,
                moment.title,
                moment.text,
                moment.what,
                moment.at
            ])?;
        numbers.push(transaction.last_insert_rowid());
    }
    transaction
        .prepare_cached("UPDATE entry SET current = ?2 WHERE id = ?1")?
        .execute(params![id.0, numbers.get(entry.current)])?;
    Ok(())
}

fn put_stage(
    transaction: &Transaction<'_>,
    commission: EntryId,
    stage: &WholeStage,
    keys_left_out: &mut usize,
) -> Result<(), Fault> {
    let question = "SELECT 1 FROM stage_log WHERE sent_key = ?1";
    let sent_key = free_key(transaction, question, &stage.record.sent_key, keys_left_out)?;
    let log_id = stages::insert(transaction, commission, &stage.record, sent_key)?;
    if let Some((reason, at)) = &stage.set_aside {
        stages::mark_set_aside(transaction, log_id, reason, *at)?;
    }
    Ok(())
}

fn put_visit(
    transaction: &Transaction<'_>,
    commission: EntryId,
    visit: &WholeVisit,
    keys_left_out: &mut usize,
) -> Result<(), Fault> {
    transaction
        .prepare_cached("INSERT INTO visit (commission, made_at) VALUES (?1, ?2)")?
        .execute(params![commission.0, visit.made_at])?;
    let id = transaction.last_insert_rowid();
    for detail in &visit.details {
        transaction
            .prepare_cached(
                "INSERT INTO visit_detail (visit, name, date, stage, at)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![
                id,
                detail.name,
                detail.date,
                detail.stage,
                detail.at
            ])?;
    }
    for batch in &visit.batches {
        put_batch(transaction, id, batch, keys_left_out)?;
    }
    Ok(())
}

fn put_batch(
    transaction: &Transaction<'_>,
    visit: i64,
    batch: &WholeBatch,
    keys_left_out: &mut usize,
) -> Result<(), Fault> {
    let question = "SELECT 1 FROM readings_batch WHERE sent_key = ?1";
    let sent_key = free_key(transaction, question, &batch.sent_key, keys_left_out)?;
    transaction
        .prepare_cached(
            "INSERT INTO readings_batch (visit, source, sent_key, at, text)
             VALUES (?1, ?2, ?3, ?4, ?5)",
        )?
        .execute(params![visit, batch.source, sent_key, batch.at, batch.text])?;
    let id = transaction.last_insert_rowid();
    for SetAsideEvent { line, reason, at } in &batch.set_aside {
        transaction
            .prepare_cached(
                "INSERT INTO readings_set_aside (batch, line, reason, at, taken_back)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![id, line, reason, at, reason.is_none()])?;
    }
    Ok(())
}

/// A sender's key, unless the book has it already.
fn free_key<'k>(
    connection: &Connection,
    question: &str,
    sent_key: &'k Option<String>,
    keys_left_out: &mut usize,
) -> Result<Option<&'k str>, Fault> {
    let Some(sent_key) = sent_key else {
        return Ok(None);
    };
    let is_taken = connection.prepare_cached(question)?.exists([sent_key])?;
    *keys_left_out += usize::from(is_taken);
    Ok((!is_taken).then_some(sent_key))
}

/// What became of a setting.
#[derive(PartialEq, Eq)]
enum Kept {
    TheSame,
    TheOther,
}

fn put_setting(transaction: &Transaction<'_>, setting: &Setting) -> Result<Kept, Fault> {
    let there: Option<String> = transaction
        .prepare_cached("SELECT value FROM setting WHERE key = ?1")?
        .query_row([&setting.key], |row| row.get(0))
        .optional()?;
    match there {
        Some(value) if value != setting.value => return Ok(Kept::TheOther),
        Some(_) => return Ok(Kept::TheSame),
        None => {}
    }
    transaction
        .prepare_cached("INSERT INTO setting (key, value, changed_at) VALUES (?1, ?2, ?3)")?
        .execute(params![setting.key, setting.value, setting.changed_at])?;
    Ok(Kept::TheSame)
}
