//! Addresses of readings: visits, readings one by one and in bulk, setting aside, bench mode.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use axum::Router;
use axum::extract::{DefaultBodyLimit, Form, Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use book::{BatchId, BookError, EntryId, NewReadings, ReadingsBatch, VisitId};
use drawing::pictures::Pointed;
use instrument::format::Faults;
use quantity::LengthUnit;
use readings::table::{HEAD, Row, write_line};
use readings::{ReadOut, read_readings};

use super::answer::{Answer, Trouble, file, go, page};
use super::change::{coded, now};
use super::commission_routes::plain;
use super::form::Fields;
use super::meanwhile::merged_notice;
use super::{READINGS_LIMIT_BYTES, Shop, Side};
use crate::pages::{Asked, Notice, PageName, bench_page, commission_page};
use crate::paper::reading_form_pdf;
use crate::show::Units;
use crate::view::{Mend, View};

type Pairs = Vec<(String, String)>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/commission/{id}/bench", get(bench))
        .route("/commission/{id}/reading-form.pdf", get(form_file))
        .route("/commission/{id}/visit", post(visit))
        .route("/commission/{id}/reading", post(one))
        .route(
            "/commission/{id}/readings",
            get(readings_page)
                .post(many)
                .layer(DefaultBodyLimit::max(READINGS_LIMIT_BYTES)),
        )
        .route("/commission/{id}/set-aside", post(set_aside))
        .route("/commission/{id}/take-back", post(take_back))
}

async fn readings_page(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    shown(&shop, EntryId(id), &Fields(pairs))
}

/// The page Readings as its address asks for it.
pub(super) fn shown(shop: &Shop, id: EntryId, fields: &Fields) -> Answer {
    let asked = Asked {
        visit: number(fields, "visit"),
        typed: kept(fields, &KEPT_IN_ADDRESS),
        notice: merged_notice(&shop.book, &shop.book.entry(id)?, fields)?,
        ..Asked::default()
    };
    render(shop, id, fields.pointed(), asked)
}

fn render(shop: &Shop, id: EntryId, pointed: Pointed, asked: Asked) -> Answer {
    let mut view = load(shop, id, pointed)?;
    view.mend = asked.mend.clone();
    let asked = Asked {
        fresh_key: fresh_key(),
        ..asked
    };
    Ok(page(commission_page(&view, PageName::Readings, &asked)).into_response())
}

fn load(shop: &Shop, id: EntryId, pointed: Pointed) -> Result<View, Trouble> {
    let view = shop.view(id, pointed)?;
    if view.entry.kind != book::Kind::Commission {
        return Err(Trouble::NotThere("that entry is no commission".into()));
    }
    Ok(view.with_readings(&shop.book)?)
}

pub(super) async fn bench(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let fields = Fields(pairs);
    let asked = Asked {
        typed: kept(&fields, &KEPT_IN_ADDRESS),
        ..Asked::default()
    };
    bench_shown(&shop, EntryId(id), &fields, asked)
}

/// The screen of a stage in bench mode.
pub(super) fn bench_shown(shop: &Shop, id: EntryId, fields: &Fields, asked: Asked) -> Answer {
    let mut view = load(shop, id, fields.pointed())?;
    view.mend = asked.mend.clone();
    let asked = Asked {
        stage: fields
            .get("bench")
            .or(fields.get("stage"))
            .map(str::to_owned),
        fresh_key: fresh_key(),
        on_tablet: shop.side == Side::Tablet,
        ..asked
    };
    Ok(page(bench_page(&view, &asked)).into_response())
}

/// A key for a form that none had before in this book: the moment, and a count within it.
fn fresh_key() -> String {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let since = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(0, |past| past.as_nanos());
    format!("{since:x}-{:x}", COUNT.fetch_add(1, Ordering::Relaxed))
}

/// What of an entry's form stays for the next reading: the kind, the tool, the line, the place.
const KEPT_IN_ADDRESS: [&str; 11] = [
    "kind",
    "tool_light",
    "tool_sagitta",
    "tool_chalk",
    "at",
    "across",
    "from",
    "to",
    "set_up",
    "shows_light",
    "shows_gap",
];

fn kept(fields: &Fields, names: &[&str]) -> Pairs {
    fields
        .0
        .iter()
        .filter(|(name, _)| names.contains(&name.as_str()))
        .cloned()
        .collect()
}

fn number(fields: &Fields, name: &str) -> Option<i64> {
    fields.get(name)?.parse().ok()
}

fn need_number(fields: &Fields, name: &str) -> Result<i64, Trouble> {
    fields
        .need(name)?
        .parse()
        .map_err(|_| Trouble::Bad(format!("\"{name}\" is no number")))
}

/// A visit of this commission, by the form's field.
fn visit_of(shop: &Shop, id: EntryId, form: &Fields) -> Result<VisitId, Trouble> {
    let visit = VisitId(need_number(form, "visit")?);
    if shop.book.visit(visit)?.commission != id {
        return Err(Trouble::NotThere(
            "that visit belongs to another commission".into(),
        ));
    }
    Ok(visit)
}

/// The visit that a reading belongs to. A form of bench mode may name none: then it is the last
/// one after that stage, and when there is none it is begun, so that a reading never has to wait.
fn visit_or_stage(
    shop: &Shop,
    id: EntryId,
    form: &Fields,
    view: &View,
) -> Result<VisitId, Trouble> {
    let stage = form.get("bench").unwrap_or_default().trim();
    if stage.is_empty() || form.get("visit").is_some_and(|visit| !visit.is_empty()) {
        return visit_of(shop, id, form);
    }
    let visits = shop.book.visits(id)?;
    let last = visits.iter().rev().find(|visit| visit.stage == stage);
    if let Some(visit) = last {
        return Ok(visit.id);
    }
    let plan = view.now.as_ref().and_then(|now| now.plan.as_ref());
    if !plan.is_some_and(|plan| plan.stages.iter().any(|known| known.key == stage)) {
        return Err(Trouble::Bad(format!(
            "the plan no longer has the stage {stage}, so that no visit can be begun after it"
        )));
    }
    let date = form.get("date").unwrap_or_default();
    let name = (1..)
        .map(|number: usize| number.to_string())
        .find(|name| visits.iter().all(|visit| visit.name.trim() != name))
        .unwrap_or_default();
    Ok(shop.book.add_visit(id, &name, date, stage, now())?)
}

async fn visit(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let [name, date, stage] = ["name", "date", "stage"]
        .map(|field| form.get(field).unwrap_or_default().trim().to_owned());
    let outcome = match form.get("visit") {
        Some(_) => {
            let visit = visit_of(&shop, id, &form)?;
            shop.book
                .change_visit(visit, &name, &date, &stage, now())
                .map(|()| visit)
        }
        None => shop.book.add_visit(id, &name, &date, &stage, now()),
    };
    match outcome {
        Ok(visit) => back(id, &form, visit, &[]),
        Err(error) => not_done(&shop, id, &form, "name", said(error)?),
    }
}

/// The maker's own mistakes are told on the page; everything else is trouble.
fn said(error: BookError) -> Result<String, Trouble> {
    match error {
        BookError::VisitNameTaken { .. }
        | BookError::SentKeyUsed { .. }
        | BookError::ReadingsTooLong { .. }
        | BookError::Empty { .. }
        | BookError::TooLong { .. } => Ok(error.to_string()),
        other => Err(other.into()),
    }
}

/// Back to where the form stood, with what stays for the next reading.
fn back(id: EntryId, form: &Fields, visit: VisitId, typed: &[(String, String)]) -> Answer {
    let mut address = match form.get("bench") {
        Some(stage) => format!("/commission/{id}/bench?stage={}", plain(stage)),
        None => {
            let pointed = form.pointed();
            format!(
                "/commission/{id}/readings?visit={visit}&fret={}&lane={}",
                pointed.fret, pointed.lane
            )
        }
    };
    for (name, value) in typed {
        address.push_str(&format!("&{name}={}", coded(value)));
    }
    go(&address)
}

/// The page again, with everything that was typed still in it, at the field to be mended.
fn not_done(shop: &Shop, id: EntryId, form: &Fields, field: &str, words: String) -> Answer {
    again(shop, id, form, field, words, &[])
}

fn again(
    shop: &Shop,
    id: EntryId,
    form: &Fields,
    field: &str,
    words: String,
    sound: &[readings::Visit],
) -> Answer {
    let asked = Asked {
        mend: Some(Mend::at(field)),
        notice: Some(Notice::NotDone(words)),
        visit: number(form, "visit"),
        typed: form.0.clone(),
        may_keep_sound: sound.iter().any(|visit| visit.count() > 0),
        ..Asked::default()
    };
    match form.get("bench") {
        Some(_) => bench_shown(shop, id, form, asked),
        None => render(shop, id, form.pointed(), asked),
    }
}

pub(super) async fn one(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let view = shop.view(id, form.pointed())?;
    // The unit in which the form was filled in: it may be sent much later.
    let units = form.get("unit").map_or(view.units, Units::from_name);
    let row = row(&form, units.length)?;
    let text = format!("{HEAD}\n{}\n", write_line(&row));
    let out = match checked(&view, &text) {
        Ok(out) => out,
        Err(words) => return not_done(&shop, id, &form, "value", words),
    };
    if !out.faults.is_empty() {
        let field = field_of(&out.faults, &row.kind);
        return not_done(&shop, id, &form, &field, fault_words(&out.faults));
    }
    let visit = visit_or_stage(&shop, id, &form, &view)?;
    match keep_once(&shop, visit, &text, &form) {
        Ok(()) => back(id, &form, visit, &next_typed(&form, last_fret(&view))),
        Err(error) => not_done(&shop, id, &form, "value", said(error)?),
    }
}

/// The readings of a text, against the board and the kit; a word when there is no sound board.
fn checked(view: &View, text: &str) -> Result<ReadOut, String> {
    let board = view.now.as_ref().ok_or(
        "the commission has never been sound, so that no reading has a place; mend it first",
    )?;
    Ok(read_readings(text, &board.instrument, view.sound_kit()))
}

fn keep(
    shop: &Shop,
    visit: VisitId,
    text: &str,
    source: &str,
    sent_key: Option<&str>,
) -> Result<(), BookError> {
    let batch = NewReadings {
        visit,
        text,
        source,
        sent_key: sent_key.filter(|key| !key.is_empty()),
        at: now(),
    };
    shop.book.add_readings(&batch).map(|_| ())
}

/// Keeps a reading, once: sent again after a lost answer it is there already, even when another
/// visit has been begun after its stage since.
fn keep_once(shop: &Shop, visit: VisitId, text: &str, form: &Fields) -> Result<(), BookError> {
    let sent_key = form.get("sent_key");
    match keep(shop, visit, text, "typed", sent_key) {
        Err(BookError::SentKeyUsed { visit: earlier, .. })
            if shop.book.visit(earlier)?.commission == shop.book.visit(visit)?.commission =>
        {
            keep(shop, earlier, text, "typed", sent_key)
        }
        outcome => outcome,
    }
}

/// The field of the form whose column has the first fault; what is chosen and not typed is mended
/// by the figure.
fn field_of(faults: &Faults, kind: &str) -> String {
    match faults.0.first().map(|fault| fault.place.as_str()) {
        Some("tool") => format!("tool_{kind}"),
        Some(typed @ ("at" | "across" | "from" | "to" | "set_up" | "note")) => typed.to_owned(),
        _ => "value".to_owned(),
    }
}

fn fault_words(faults: &Faults) -> String {
    let said: Vec<String> = faults
        .0
        .iter()
        .map(|fault| {
            let mut words = fault.message.clone();
            if !fault.way_out.is_empty() {
                words = format!("{words}; {}", fault.way_out);
            }
            if fault.place.is_empty() {
                words
            } else {
                format!("{}: {words}", fault.place)
            }
        })
        .collect();
    said.join(". ")
}

/// The form as one line of a readings file: of the fields that only some kinds use, those of the
/// kind that was chosen.
fn row(form: &Fields, unit: LengthUnit) -> Result<Row, Trouble> {
    let kind = form.need("kind")?.to_owned();
    let field = |name: &str| form.get(name).unwrap_or_default().trim().to_owned();
    let of_kind = |name: &str| match kind.as_str() {
        "rock" => String::new(),
        _ => field(&format!("{name}_{kind}")),
    };
    let is_line = matches!(kind.as_str(), "gap" | "rock");
    let square = matches!(kind.as_str(), "light" | "sagitta");
    let unseen = |shows: &str| matches!(shows, "none" | "stayed" | "gone");
    let shows = of_kind("shows");
    let value = if unseen(&shows) {
        String::new()
    } else {
        with_unit(field("value"), unit)
    };
    let only = |wanted: bool, name: &str| if wanted { field(name) } else { String::new() };
    Ok(Row {
        tool: of_kind("tool"),
        at: field("at"),
        across: only(!square, "across"),
        from: only(is_line, "from"),
        to: only(is_line, "to"),
        value,
        shows,
        set_up: only(kind == "height", "set_up"),
        note: field("note"),
        kind,
        ..Row::default()
    })
}

/// A bare number is in the unit that lengths are shown in.
fn with_unit(value: String, unit: LengthUnit) -> String {
    let value = value.replace('−', "-");
    let bare = !value.is_empty()
        && value
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | ' ' | '/'));
    match unit {
        LengthUnit::Millimetre => value,
        _ if bare => format!("{value} in"),
        _ => value,
    }
}

fn last_fret(view: &View) -> usize {
    view.now
        .as_ref()
        .map_or(0, |now| now.instrument.last_fret())
}

/// What stays for the next reading, a fret further on where frets are walked, up to the last.
fn next_typed(form: &Fields, last_fret: usize) -> Pairs {
    let mut typed = kept(form, &KEPT_IN_ADDRESS);
    for (name, value) in &mut typed {
        if name == "at"
            && let Some(fret) = value
                .strip_prefix("fret ")
                .and_then(|fret| fret.parse::<usize>().ok())
        {
            *value = format!("fret {}", fret.saturating_add(1).min(last_fret));
        }
    }
    typed
}

async fn many(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let visit = visit_of(&shop, id, &form)?;
    let view = shop.view(id, form.pointed())?;
    let text = form.need("text")?.replace("\r\n", "\n");
    let out = match checked(&view, &text) {
        Ok(out) => out,
        Err(words) => return not_done(&shop, id, &form, "text", words),
    };
    let sound_only = form.get("keep") == Some("sound");
    if out.count() == 0 || (!out.faults.is_empty() && !sound_only) {
        let mut lines: Vec<String> = out.faults.0.iter().map(ToString::to_string).collect();
        if lines.is_empty() {
            lines = out.notes.clone();
            lines.push("write one reading a line under the head".into());
        }
        let words = format!("nothing is taken in yet. {}", lines.join(". "));
        return again(&shop, id, &form, "text", words, &out.visits);
    }
    match keep(&shop, visit, &text, "pasted", form.get("sent_key")) {
        Ok(()) => back(id, &form, visit, &[]),
        Err(error) => not_done(&shop, id, &form, "text", said(error)?),
    }
}

async fn set_aside(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let visit = visit_of(&shop, id, &form)?;
    let (batch, line) = line_of(&shop, visit, &form)?;
    let reason = form.get("reason").unwrap_or_default().trim();
    match shop.book.set_aside_readings(batch.id, line, reason, now()) {
        Ok(()) => back(id, &form, visit, &[]),
        Err(error) => not_done(&shop, id, &form, "reason", said(error)?),
    }
}

async fn take_back(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let visit = visit_of(&shop, id, &form)?;
    let (batch, line) = line_of(&shop, visit, &form)?;
    // A line that went aside with its whole batch comes back with it.
    let is_aside = |line: &u32| {
        batch
            .set_aside
            .iter()
            .any(|aside| aside.line == Some(*line))
    };
    let line = line.filter(is_aside);
    shop.book.take_back_in(batch.id, line, now())?;
    back(id, &form, visit, &[])
}

/// The batch and line a form names, when the batch belongs to the visit.
fn line_of(
    shop: &Shop,
    visit: VisitId,
    form: &Fields,
) -> Result<(ReadingsBatch, Option<u32>), Trouble> {
    let wanted = BatchId(need_number(form, "batch")?);
    let batch = shop
        .book
        .readings(visit)?
        .into_iter()
        .find(|kept| kept.id == wanted)
        .ok_or_else(|| Trouble::NotThere("that visit has no such readings".into()))?;
    let line = number(form, "line").and_then(|line| u32::try_from(line).ok());
    Ok((batch, line))
}

async fn form_file(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let paper = Fields(pairs).paper();
    let view = shop.view(EntryId(id), Pointed::default())?;
    let Some(now) = &view.now else {
        return Err(Trouble::NotThere(
            "without a sound commission there is no form to print".into(),
        ));
    };
    let bytes = reading_form_pdf(&now.instrument, view.sound_kit(), view.units, paper)
        .map_err(|error| Trouble::Here(format!("the form could not be made: {error}")))?;
    Ok(file(
        &format!("{}-reading-form.pdf", view.entry.title.to_lowercase()),
        "application/pdf",
        bytes,
    ))
}
