//! Carried texts as entries of the book.

use std::collections::BTreeMap;

use book::{
    EntryId, Kind, SetAsideEvent, Setting, StageRecord, TagEvent, VisitDetail, WholeBatch,
    WholeEntry, WholeMoment, WholeStage, WholeVisit,
};
use toml_edit::DocumentMut;

use super::part::Part;
use super::write::text_name;
use super::{CarriedFile, CarryFault, FORMAT, SETTINGS, bad, unless_stopped};
use crate::progress::Stretch;

/// What carried files hold.
pub(super) struct Carried {
    /// The entries by their folders.
    pub entries: Vec<CarriedEntry>,
    /// The settings.
    pub settings: Vec<Setting>,
}

/// One entry of them.
pub(super) struct CarriedEntry {
    /// Its folder.
    pub folder: String,
    /// The entry.
    pub entry: WholeEntry,
    /// The folder of its kit.
    pub kit: Option<String>,
    /// The text in its own file, when somebody has changed it there.
    pub edited: Option<String>,
}

/// The files by their names.
type Files<'f> = BTreeMap<&'f str, &'f [u8]>;

/// Reads all files; whatever is not one of the format's is an error, so that nothing is lost
/// unseen.
pub(super) fn read(files: &[CarriedFile], told: Stretch<'_>) -> Result<Carried, CarryFault> {
    let root = root_of(files)?;
    let mut named: Files = BTreeMap::new();
    for (name, content) in files {
        let Some(name) = name.strip_prefix(root) else {
            return Err(bad(
                name.as_str(),
                "lies outside the folder of book.toml; take it away",
            ));
        };
        named.insert(name, content);
    }
    let settings = head(&text(&named, "book.toml")?)?;
    named.remove("book.toml");
    let folders: Vec<String> = named
        .keys()
        .filter_map(|name| name.strip_suffix("/entry.toml"))
        .map(str::to_owned)
        .collect();
    let mut entries = Vec::with_capacity(folders.len());
    for folder in &folders {
        entries.push(entry(&mut named, folder)?);
        unless_stopped(told.tell(entries.len(), folders.len()))?;
    }
    match named.keys().next() {
        None => Ok(Carried { entries, settings }),
        Some(name) => Err(bad(
            *name,
            "belongs to no entry; take it away, or put the entry.toml beside it back",
        )),
    }
}

/// The folder in which book.toml lies: files may have been packed with the folder around them.
fn root_of(files: &[CarriedFile]) -> Result<&str, CarryFault> {
    let heads = files
        .iter()
        .filter_map(|(name, _)| name.strip_suffix("book.toml"));
    let mut roots = heads.filter(|root| root.is_empty() || root.ends_with('/'));
    match (roots.next(), roots.next()) {
        (Some(root), None) if root.matches('/').count() <= 1 => Ok(root),
        _ => Err(bad(
            "",
            "there is no book.toml at the top of it, or more than one: this is no book carried as text; choose what `camberwright book export` or the page Book has made",
        )),
    }
}

fn text(files: &Files<'_>, name: &str) -> Result<String, CarryFault> {
    let bytes = files
        .get(name)
        .ok_or_else(|| bad(name, "is missing; put it back"))?;
    let text = std::str::from_utf8(bytes).map_err(|error| {
        bad(
            name,
            format!(
                "byte {} is not UTF-8 text; save the file as UTF-8",
                error.valid_up_to()
            ),
        )
    })?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text).to_owned())
}

fn document(name: &str, text: &str) -> Result<DocumentMut, CarryFault> {
    text.parse::<DocumentMut>()
        .map_err(|error| bad(name, format!("is not TOML: {}", error.message())))
}

fn head(text: &str) -> Result<Vec<Setting>, CarryFault> {
    let name = "book.toml";
    let document = document(name, text)?;
    let part = Part::new(
        name.into(),
        document.as_table(),
        &["camberwright_book", "setting"],
    )?;
    match part.maybe_whole("camberwright_book")? {
        Some(FORMAT) => {}
        Some(_) => {
            return Err(part.wrong(
                "camberwright_book",
                "names a version this program does not read; take the newer program that wrote it",
            ));
        }
        None => return Err(part.wrong("camberwright_book", "is missing; give its version, 1")),
    }
    let settings = part.parts("setting", &["name", "value", "changed_at"])?;
    let read = |part: &Part<'_>| {
        let key = part.text("name")?;
        if !SETTINGS.contains(&key.as_str()) {
            return Err(part.wrong(
                "name",
                "is none of the settings that are carried; take it away",
            ));
        }
        Ok(Setting {
            key,
            value: part.text("value")?,
            changed_at: part.time("changed_at")?,
        })
    };
    settings.iter().map(read).collect()
}

fn entry(files: &mut Files<'_>, folder: &str) -> Result<CarriedEntry, CarryFault> {
    let named = |name: &str| format!("{folder}/{name}");
    let about_name = named("entry.toml");
    let about = document(&about_name, &text(files, &about_name)?)?;
    const KEYS: [&str; 8] = [
        "kind",
        "made_at",
        "changed_at",
        "put_away_at",
        "stands_at",
        "kit",
        "tag",
        "visit",
    ];
    let part = Part::new(about_name.clone(), about.as_table(), &KEYS)?;
    let kind = match part.text("kind")?.as_str() {
        "commission" => Kind::Commission,
        "kit" => Kind::Kit,
        _ => return Err(part.wrong("kind", "must be \"commission\" or \"kit\"")),
    };
    let history_name = named("history.toml");
    let moments = moments(&history_name, &text(files, &history_name)?)?;
    let current = part
        .maybe_place("stands_at")?
        .filter(|place| *place < moments.len())
        .ok_or_else(|| {
            part.wrong(
                "stands_at",
                "must be the number of a moment in history.toml",
            )
        })?;
    let stages_name = named("stages.toml");
    let stages = match files.contains_key(stages_name.as_str()) {
        true => stages(&stages_name, &text(files, &stages_name)?)?,
        false => Vec::new(),
    };
    let mut batches = Vec::new();
    let visits = visits(&part, files, folder, &mut batches)?;
    let entry = WholeEntry {
        kind,
        made_at: part.time("made_at")?,
        changed_at: part.time("changed_at")?,
        put_away_at: part.maybe_time("put_away_at")?,
        current,
        moments,
        tags: tags(&part)?,
        stages,
        visits,
    };
    let own_name = named(text_name(kind));
    let own = match files.contains_key(own_name.as_str()) {
        true => Some(text(files, &own_name)?),
        false => None,
    };
    for name in [about_name, history_name, stages_name, own_name]
        .iter()
        .chain(&batches)
    {
        files.remove(name.as_str());
    }
    Ok(CarriedEntry {
        edited: own.filter(|own| is_edited(own, &entry.moments[current].text)),
        folder: folder.to_owned(),
        kit: part.maybe_text("kit")?,
        entry,
    })
}

/// Whether somebody has changed a text: ends of lines that a program wrote its own way do not count.
fn is_edited(own: &str, kept: &str) -> bool {
    own.replace("\r\n", "\n") != kept.replace("\r\n", "\n")
}

fn moments(name: &str, text: &str) -> Result<Vec<WholeMoment>, CarryFault> {
    let document = document(name, text)?;
    let part = Part::new(name.into(), document.as_table(), &["moment"])?;
    let keys = ["made_from", "title", "what", "at", "text"];
    let read = |part: &Part<'_>| {
        Ok(WholeMoment {
            parent: part.maybe_place("made_from")?,
            title: part.text("title")?,
            what: part.text("what")?,
            at: part.time("at")?,
            text: part.text("text")?,
        })
    };
    part.parts("moment", &keys)?.iter().map(read).collect()
}

fn tags(part: &Part<'_>) -> Result<Vec<TagEvent>, CarryFault> {
    let read = |part: &Part<'_>| {
        Ok(TagEvent {
            tag: part.text("tag")?,
            at: part.time("at")?,
            taken_off: part.flag("taken_off")?,
        })
    };
    let tags = part.parts("tag", &["tag", "at", "taken_off"])?;
    tags.iter().map(read).collect()
}

fn stages(name: &str, text: &str) -> Result<Vec<WholeStage>, CarryFault> {
    let document = document(name, text)?;
    let part = Part::new(name.into(), document.as_table(), &["stage"])?;
    let keys = [
        "stage",
        "tool",
        "grade",
        "wood",
        "volume_mm3",
        "minutes",
        "force_n",
        "note",
        "at",
        "sent_key",
        "set_aside_reason",
        "set_aside_at",
    ];
    part.parts("stage", &keys)?.iter().map(stage).collect()
}

fn stage(part: &Part<'_>) -> Result<WholeStage, CarryFault> {
    let record = StageRecord {
        id: None,
        commission: EntryId(0),
        stage: part.text("stage")?,
        tool: part.text("tool")?,
        grade: part.text("grade")?,
        wood: part.text("wood")?,
        volume_mm3: part.number("volume_mm3")?,
        minutes: part.number("minutes")?,
        force_n: part.maybe_number("force_n")?,
        note: part.text("note")?,
        at: part.time("at")?,
        sent_key: part.maybe_text("sent_key")?,
    };
    let set_aside = match (
        part.maybe_text("set_aside_reason")?,
        part.maybe_time("set_aside_at")?,
    ) {
        (Some(reason), Some(at)) => Some((reason, at)),
        (None, None) => None,
        _ => return Err(part.wrong("set_aside_reason", "and `set_aside_at` stand together")),
    };
    Ok(WholeStage { record, set_aside })
}

/// The visits; the names of the files with their readings are added to `used`.
fn visits(
    part: &Part<'_>,
    files: &Files<'_>,
    folder: &str,
    used: &mut Vec<String>,
) -> Result<Vec<WholeVisit>, CarryFault> {
    let mut visits = Vec::new();
    for visit in part.parts("visit", &["made_at", "detail", "readings"])? {
        let details = visit.parts("detail", &["name", "date", "stage", "at"])?;
        let detail = |part: &Part<'_>| {
            Ok(VisitDetail {
                name: part.text("name")?,
                date: part.text("date")?,
                stage: part.text("stage")?,
                at: part.time("at")?,
            })
        };
        let mut batches = Vec::new();
        let keys = ["file", "source", "sent_key", "at", "set_aside"];
        for batch in visit.parts("readings", &keys)? {
            let name = format!("{folder}/{}", batch.text("file")?);
            if used.contains(&name) {
                return Err(
                    batch.wrong("file", "is named twice; every batch has a file of its own")
                );
            }
            batches.push(WholeBatch {
                source: batch.text("source")?,
                sent_key: batch.maybe_text("sent_key")?,
                at: batch.time("at")?,
                text: text_as_it_is(files, &name)?,
                set_aside: set_aside(&batch)?,
            });
            used.push(name);
        }
        visits.push(WholeVisit {
            made_at: visit.time("made_at")?,
            details: details
                .iter()
                .map(detail)
                .collect::<Result<_, CarryFault>>()?,
            batches,
        });
    }
    Ok(visits)
}

/// Readings are kept letter for letter, whatever they begin with.
fn text_as_it_is(files: &Files<'_>, name: &str) -> Result<String, CarryFault> {
    let bytes = files
        .get(name)
        .ok_or_else(|| bad(name, "is missing; put the readings back"))?;
    String::from_utf8(bytes.to_vec())
        .map_err(|_| bad(name, "is not UTF-8 text; save the file as UTF-8"))
}

fn set_aside(part: &Part<'_>) -> Result<Vec<SetAsideEvent>, CarryFault> {
    let read = |part: &Part<'_>| {
        let line = part.maybe_whole("line")?;
        let line = line.map(|line| {
            u32::try_from(line).map_err(|_| part.wrong("line", "is no number of a line"))
        });
        Ok(SetAsideEvent {
            line: line.transpose()?,
            reason: part.maybe_text("reason")?,
            at: part.time("at")?,
        })
    };
    let events = part.parts("set_aside", &["line", "reason", "at"])?;
    events.iter().map(read).collect()
}
