//! Entries of the book as texts.

use book::{
    Book, EntryId, Kind, SetAsideEvent, Setting, TagEvent, WholeBatch, WholeEntry, WholeStage,
    WholeVisit,
};
use toml_edit::{ArrayOfTables, Datetime, DocumentMut, Item, Table, Value};

use super::{CarriedFile, CarryFault, FORMAT, SETTINGS, unless_stopped};
use crate::made::stem;
use crate::progress::{Progress, Stretch};

/// The longest part of a folder's name that tells the title, characters.
const MOST_TITLE_CHARS: usize = 40;

/// Which share of the time it takes to read entries out of the book, before they are written down:
/// an estimate, for a bar that runs evenly.
const READ_SHARE: f64 = 0.2;

/// Which share of an export is done when the texts are there, and are to be packed or written: an
/// estimate.
pub(crate) const TAKEN_SHARE: f64 = 0.3;

/// Everything in the book: every entry, those put away included, and the shop's settings.
///
/// # Errors
/// When the book cannot be read.
pub fn take_all(book: &Book) -> Result<Vec<CarriedFile>, CarryFault> {
    take_all_told(book, Progress::unseen().stretch(0.0, 1.0))
}

/// Everything in the book, as [`take_all`]; it is told how far it is, and can be stopped.
///
/// # Errors
/// As [`take_all`], and [`CarryFault::Stopped`].
pub fn take_all_told(book: &Book, told: Stretch<'_>) -> Result<Vec<CarriedFile>, CarryFault> {
    let mut ids = Vec::new();
    for kind in [Kind::Commission, Kind::Kit] {
        ids.extend(book.entries(kind)?.iter().map(|summary| summary.id));
    }
    // In the order in which they were made: put into an empty book they get the same numbers.
    ids.sort();
    let carried = |setting: &Setting| SETTINGS.contains(&setting.key.as_str());
    let settings: Vec<Setting> = book.settings()?.into_iter().filter(carried).collect();
    files(book, &ids, &settings, told)
}

/// One entry, and with a commission the kit it is worked with.
///
/// # Errors
/// When the book cannot be read, or has no such entry.
pub fn take_entry(book: &Book, id: EntryId) -> Result<Vec<CarriedFile>, CarryFault> {
    let mut ids = vec![id];
    ids.extend(book.entry(id)?.kit);
    ids.sort();
    files(book, &ids, &[], Progress::unseen().stretch(0.0, 1.0))
}

fn files(
    book: &Book,
    ids: &[EntryId],
    settings: &[Setting],
    told: Stretch<'_>,
) -> Result<Vec<CarriedFile>, CarryFault> {
    let (reading, writing) = (told.stretch(0.0, READ_SHARE), told.stretch(READ_SHARE, 1.0));
    let mut entries = Vec::with_capacity(ids.len());
    for (place, id) in ids.iter().enumerate() {
        let entry = book.whole_entry(*id)?;
        entries.push((
            folder_name(place + 1, ids.len(), &entry),
            book.entry(*id)?.kit,
            entry,
        ));
        unless_stopped(reading.tell(place + 1, ids.len()))?;
    }
    let mut files = vec![("book.toml".to_owned(), head(settings).into_bytes())];
    for (done, (folder, kit, entry)) in entries.iter().enumerate() {
        unless_stopped(writing.tell(done, entries.len()))?;
        let place = kit.and_then(|kit| ids.iter().position(|id| *id == kit));
        let kit_folder = place
            .and_then(|place| entries.get(place))
            .map(|kit| kit.0.as_str());
        entry_files(folder, entry, kit_folder, &mut files);
    }
    Ok(files)
}

/// Numbers are as wide as the largest, so that folders sort in their order.
fn folder_name(number: usize, of: usize, entry: &WholeEntry) -> String {
    let width = of.to_string().len().max(3);
    let title = entry
        .moments
        .get(entry.current)
        .map_or("", |moment| &moment.title);
    let stem: String = stem(title).chars().take(MOST_TITLE_CHARS).collect();
    format!("{number:0width$}-{}", stem.trim_end_matches('-'))
}

/// The name under which the present text of a kind lies.
pub(super) fn text_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Commission => "commission.toml",
        Kind::Kit => "kit.toml",
    }
}

fn entry_files(folder: &str, entry: &WholeEntry, kit: Option<&str>, files: &mut Vec<CarriedFile>) {
    let mut add = |name: &str, text: String| {
        files.push((format!("{folder}/{name}"), text.into_bytes()));
    };
    add("entry.toml", about(entry, kit));
    let present = entry.moments.get(entry.current);
    add(
        text_name(entry.kind),
        present.map_or(String::new(), |moment| moment.text.clone()),
    );
    add("history.toml", history(entry));
    if !entry.stages.is_empty() {
        add("stages.toml", stages(&entry.stages));
    }
    for (visit, of_visit) in entry.visits.iter().enumerate() {
        for (batch, of_batch) in of_visit.batches.iter().enumerate() {
            add(&batch_name(visit, batch), of_batch.text.clone());
        }
    }
}

fn batch_name(visit: usize, batch: usize) -> String {
    format!("visit-{}-readings-{}.csv", visit + 1, batch + 1)
}

fn head(settings: &[Setting]) -> String {
    let mut document = DocumentMut::new();
    document.insert("camberwright_book", toml_edit::value(FORMAT));
    let all = settings.iter().map(|setting| {
        let mut table = Table::new();
        put(&mut table, "name", setting.key.as_str());
        put(&mut table, "value", setting.value.as_str());
        put(&mut table, "changed_at", time(setting.changed_at));
        table
    });
    put_list(&mut document, "setting", all);
    document.to_string()
}

fn about(entry: &WholeEntry, kit: Option<&str>) -> String {
    let mut document = DocumentMut::new();
    let kind = match entry.kind {
        Kind::Commission => "commission",
        Kind::Kit => "kit",
    };
    put(&mut document, "kind", kind);
    put(&mut document, "made_at", time(entry.made_at));
    put(&mut document, "changed_at", time(entry.changed_at));
    if let Some(at) = entry.put_away_at {
        put(&mut document, "put_away_at", time(at));
    }
    put(&mut document, "stands_at", number(entry.current + 1));
    if let Some(kit) = kit {
        put(&mut document, "kit", kit);
    }
    put_list(&mut document, "tag", entry.tags.iter().map(tag));
    let visits = entry.visits.iter().enumerate();
    put_list(&mut document, "visit", visits.map(|(at, it)| visit(at, it)));
    document.to_string()
}

fn tag(event: &TagEvent) -> Table {
    let mut table = Table::new();
    put(&mut table, "tag", event.tag.as_str());
    put(&mut table, "at", time(event.at));
    if event.taken_off {
        put(&mut table, "taken_off", true);
    }
    table
}

fn visit(place: usize, visit: &WholeVisit) -> Table {
    let mut table = Table::new();
    put(&mut table, "made_at", time(visit.made_at));
    let details = visit.details.iter().map(|detail| {
        let mut table = Table::new();
        put(&mut table, "name", detail.name.as_str());
        put(&mut table, "date", detail.date.as_str());
        put(&mut table, "stage", detail.stage.as_str());
        put(&mut table, "at", time(detail.at));
        table
    });
    put_list(&mut table, "detail", details);
    let batches = visit.batches.iter().enumerate();
    let batches = batches.map(|(at, it)| batch(&batch_name(place, at), it));
    put_list(&mut table, "readings", batches);
    table
}

fn batch(name: &str, batch: &WholeBatch) -> Table {
    let mut table = Table::new();
    put(&mut table, "file", name);
    put(&mut table, "source", batch.source.as_str());
    if let Some(sent_key) = &batch.sent_key {
        put(&mut table, "sent_key", sent_key.as_str());
    }
    put(&mut table, "at", time(batch.at));
    put_list(
        &mut table,
        "set_aside",
        batch.set_aside.iter().map(set_aside),
    );
    table
}

fn set_aside(event: &SetAsideEvent) -> Table {
    let mut table = Table::new();
    if let Some(line) = event.line {
        put(&mut table, "line", i64::from(line));
    }
    if let Some(reason) = &event.reason {
        put(&mut table, "reason", reason.as_str());
    }
    put(&mut table, "at", time(event.at));
    table
}

fn history(entry: &WholeEntry) -> String {
    let mut document = DocumentMut::new();
    let moments = entry.moments.iter().map(|moment| {
        let mut table = Table::new();
        if let Some(parent) = moment.parent {
            put(&mut table, "made_from", number(parent + 1));
        }
        put(&mut table, "title", moment.title.as_str());
        put(&mut table, "what", moment.what.as_str());
        put(&mut table, "at", time(moment.at));
        put(&mut table, "text", moment.text.as_str());
        table
    });
    put_list(&mut document, "moment", moments);
    document.to_string()
}

fn stages(stages: &[WholeStage]) -> String {
    let mut document = DocumentMut::new();
    put_list(&mut document, "stage", stages.iter().map(stage));
    document.to_string()
}

fn stage(stage: &WholeStage) -> Table {
    let record = &stage.record;
    let mut table = Table::new();
    put(&mut table, "stage", record.stage.as_str());
    put(&mut table, "tool", record.tool.as_str());
    put(&mut table, "grade", record.grade.as_str());
    put(&mut table, "wood", record.wood.as_str());
    put(&mut table, "volume_mm3", record.volume_mm3);
    put(&mut table, "minutes", record.minutes);
    if let Some(force_n) = record.force_n {
        put(&mut table, "force_n", force_n);
    }
    put(&mut table, "note", record.note.as_str());
    put(&mut table, "at", time(record.at));
    if let Some(sent_key) = &record.sent_key {
        put(&mut table, "sent_key", sent_key.as_str());
    }
    if let Some((reason, at)) = &stage.set_aside {
        put(&mut table, "set_aside_reason", reason.as_str());
        put(&mut table, "set_aside_at", time(*at));
    }
    table
}

fn put(table: &mut Table, key: &str, value: impl Into<Value>) {
    table.insert(key, Item::Value(value.into()));
}

/// A list that is empty is left out.
fn put_list(table: &mut Table, key: &str, entries: impl Iterator<Item = Table>) {
    let list: ArrayOfTables = entries.collect();
    if !list.is_empty() {
        table.insert(key, Item::ArrayOfTables(list));
    }
}

fn number(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// A time as a date with its clock in UTC; as plain seconds where no date can say it.
fn time(at: i64) -> Value {
    let date = jiff::Timestamp::from_second(at).ok();
    let date = date.and_then(|date| date.to_string().parse::<Datetime>().ok());
    date.map_or_else(|| Value::from(at), Value::from)
}
