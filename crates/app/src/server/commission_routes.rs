//! Addresses of a commission: its pages, its changes, its papers.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use book::{BookError, EntryId, StageRecord};
use drawing::pictures::Pointed;
use instrument::COMMISSION_KEYS;
use instrument::format::Faults;

use super::Shop;
use super::answer::{Answer, Trouble, file, go, page};
use super::book_routes::{Words, listed, no_such_page};
use super::change::{
    Outcome, add_entry, mend_address, now, set_text, set_value, store, take_entry, typed_value,
    undo_or_redo,
};
use super::form::Fields;
use super::meanwhile::{Meanwhile, merged_address, merged_notice, told};
use crate::cambers::{Written, radius_text, with_law};
use crate::edit;
use crate::pages::{Asked, Notice, PageName, TypedLog, commission_page};
use crate::paper::bench_plan_pdf;
use crate::source::no_files;
use crate::view::Mend;

type Pairs = Vec<(String, String)>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/commission/{id}/commission.toml", get(text_file))
        .route("/commission/{id}/bench-plan.pdf", get(plan_file))
        .route("/commission/{id}/{page}", get(show).post(act))
        .route("/commission/{id}/kit", post(choose_kit))
}

async fn show(
    State(shop): State<Arc<Shop>>,
    Path((id, name)): Path<(i64, String)>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let Some(name) = PageName::from_address(&name) else {
        return Ok(no_such_page());
    };
    let fields = Fields(pairs);
    if name == PageName::Readings {
        return super::readings_routes::shown(&shop, EntryId(id), &fields);
    }
    let asked = Asked {
        stage: fields.get("stage").map(str::to_owned),
        pattern: fields.get("pattern").map(str::to_owned),
        ..Asked::default()
    };
    shown(&shop, EntryId(id), name, &fields, &asked)
}

fn shown(shop: &Shop, id: EntryId, name: PageName, fields: &Fields, asked: &Asked) -> Answer {
    let mut view = match name {
        PageName::Fretwork | PageName::Play => super::play_routes::load(shop, id, fields)?,
        _ => shop.view(id, fields.pointed())?,
    };
    if view.entry.kind != book::Kind::Commission {
        return Err(Trouble::NotThere("that entry is no commission".into()));
    }
    let mut asked = asked.clone();
    view.mend = asked
        .mend
        .take()
        .or_else(|| asked_mend(fields, &view.faults, name));
    if asked.notice.is_none() {
        asked.notice = merged_notice(&shop.book, &view.entry, fields)?;
    }
    if name == PageName::Patterns {
        asked.printing = Some(super::made_routes::printing(&shop.book)?);
    }
    Ok(page(commission_page(&view, name, &asked)).into_response())
}

pub(super) async fn act(
    State(shop): State<Arc<Shop>>,
    Path((id, action)): Path<(i64, String)>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let outcome = match action.as_str() {
        "set" if form.get("trial").is_some() => return tried(&shop, id, &form),
        "set" => set_value(&shop.book, id, &COMMISSION_KEYS, &form)?,
        "add" | "take" => change_list(&shop, id, &action, &form)?,
        "law" => change_law(&shop, id, &form)?,
        "text" => set_text(&shop.book, id, &COMMISSION_KEYS, &form)?,
        "undo" | "redo" => undo_or_redo(&shop.book, id, &action, &form)?,
        "stage-done" => stage_done(&shop, id, &form)?,
        "fret-top" => {
            let outcome = super::play_routes::fret_top(&shop, id, &form)?;
            return answered(
                &shop,
                id,
                &super::play_routes::next_fret(form, &outcome),
                outcome,
            );
        }
        _ => return Err(Trouble::NotThere("a commission has no such action".into())),
    };
    answered(&shop, id, &form, outcome)
}

fn answered(shop: &Shop, id: EntryId, form: &Fields, outcome: Outcome) -> Answer {
    let (name, pointed) = (form.page(), form.pointed());
    match outcome {
        Outcome::Stored | Outcome::Same if form.get("bench").is_some() => {
            let stage = plain(form.get("bench").unwrap_or_default());
            go(&format!("/commission/{id}/bench?stage={stage}"))
        }
        Outcome::Stored | Outcome::Same | Outcome::Merged(_) => {
            let merged = match outcome {
                Outcome::Merged(merged) => format!("&{}", merged_address(merged)),
                _ => String::new(),
            };
            let stage = form
                .get("stage")
                .map(|stage| format!("&stage={}", plain(stage)));
            let on = form.get("on").map(|on| format!("&on={}", plain(on)));
            let mend = mend_address(&shop.book, id, form, |text| {
                instrument::read_commission(text, &no_files)
                    .err()
                    .unwrap_or_default()
            })?;
            let mend = mend.map(|mend| format!("&{mend}")).unwrap_or_default();
            go(&format!(
                "/commission/{id}/{}?fret={}&lane={}{}{}{merged}{mend}",
                name.address(),
                pointed.fret,
                pointed.lane,
                stage.unwrap_or_default(),
                on.unwrap_or_default()
            ))
        }
        Outcome::NotStored(words) => not_done(shop, id, form, words, None),
        Outcome::Refused { field, words } => {
            let typed = form.get("value").filter(|_| form.get("path").is_some());
            let mend = Mend {
                refused: typed.map(|typed| (typed.to_owned(), words.clone())),
                field,
            };
            not_done(shop, id, form, words, Some(mend))
        }
        Outcome::Clash(clash) => {
            let asked = Asked {
                clash: Some(clash),
                stage: form.get("stage").map(str::to_owned),
                ..Asked::default()
            };
            shown(shop, id, name, form, &asked)
        }
        Outcome::TextClash(text, clash) => {
            let view = shop.trying(id, pointed, Some(text))?;
            let asked = Asked {
                clash: Some(clash),
                ..Asked::default()
            };
            Ok(page(commission_page(&view, PageName::Text, &asked)).into_response())
        }
    }
}

/// The field that an address leads back to, while there is something to mend. The printer's bars
/// are no part of the commission's text.
fn asked_mend(fields: &Fields, faults: &Faults, name: PageName) -> Option<Mend> {
    let field = fields.get("mend")?;
    (!faults.is_empty() || name == PageName::Patterns).then(|| Mend::at(field))
}

/// The page again, saying why nothing was stored, with what was typed and the field to be mended.
fn not_done(shop: &Shop, id: EntryId, form: &Fields, words: String, mend: Option<Mend>) -> Answer {
    let typed = |field: &str| form.get(field).unwrap_or_default().to_owned();
    let asked = Asked {
        stage: form.get("stage").map(str::to_owned),
        notice: Some(Notice::NotDone(words)),
        mend,
        log: TypedLog {
            minutes: typed("minutes"),
            note: typed("note"),
        },
        typed: ["kind", "at", "in", "from", "to", "value"]
            .map(|field| (field.to_owned(), typed(field)))
            .to_vec(),
        ..Asked::default()
    };
    if form.get("bench").is_some() {
        return super::readings_routes::bench_shown(shop, id, form, asked);
    }
    shown(shop, id, form.page(), form, &asked)
}

/// A stage's key, fit for an address.
pub(super) fn plain(key: &str) -> String {
    key.chars()
        .filter(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_'))
        .collect()
}

/// The page as it would be with a value, which is not stored.
fn tried(shop: &Shop, id: EntryId, form: &Fields) -> Answer {
    let entry = shop.book.entry(id)?;
    let typed = typed_value(form)?;
    let text = edit::set(&entry.text, &COMMISSION_KEYS, form.need("path")?, &typed);
    let asked = match &text {
        Ok(_) => Asked::default(),
        Err(fault) => Asked {
            notice: Some(Notice::NotDone(fault.to_string())),
            ..Asked::default()
        },
    };
    let view = shop.trying(id, form.pointed(), text.ok())?;
    Ok(page(commission_page(&view, form.page(), &asked)).into_response())
}

fn change_list(shop: &Shop, id: EntryId, action: &str, form: &Fields) -> Result<Outcome, Trouble> {
    if action == "take" {
        return take_entry(&shop.book, id, form);
    }
    if form.need("path")? != "strings.set" {
        return Err(Trouble::NotThere("nothing can be added there".into()));
    }
    let fresh = "{ note = \"B1\", gauge = \"0.060 in\", make = \"nickel wound\" }";
    add_entry(
        &shop.book,
        id,
        &COMMISSION_KEYS,
        form,
        fresh,
        "one more string",
    )
}

/// A new law starts from the surface that is there: the radii at nut and last fret are kept.
fn change_law(shop: &Shop, id: EntryId, form: &Fields) -> Result<Outcome, Trouble> {
    let law = form.need("law")?;
    let view = shop.view(id, form.pointed())?;
    let meanwhile = Meanwhile::since(&shop.book, &view.entry, form.based_on()?)?;
    let changes = meanwhile.changes_under("camber");
    if !changes.is_empty() {
        return Ok(Outcome::NotStored(format!(
            "another window changed the camber meanwhile ({}), and a new law sets its values anew; look at it, and choose the law again when that is meant",
            told(&changes)
        )));
    }
    let Some(now) = view.now.filter(|_| !view.stale) else {
        return Ok(Outcome::NotStored(
            "mend what is wrong first; then the law can be changed".into(),
        ));
    };
    let instrument = &now.instrument;
    let last = instrument.last_fret();
    let at = |fret: usize| {
        let radius = instrument.camber.radius(instrument.fret_x_mm(fret));
        radius.finite_mm().map_or("400 mm".to_owned(), radius_text)
    };
    // A radius that the form names holds; the others stay what they are.
    let radius = |key: &str, fret: usize| form.get(key).map_or_else(|| at(fret), str::to_owned);
    let written = match law {
        "single" => Written::one_radius(radius("radius", 0)),
        "cone" => Written::cone(radius("nut", 0), radius("last_fret", last)),
        "string cone" => Written::string_cone(radius("nut", 0)),
        "stations" => Written::stations(stations(last, at)),
        _ => return Err(Trouble::Bad("there is no such law of camber".into())),
    };
    let what = what_words(form, &written);
    let edited = with_law(&view.entry.text, &written);
    let outcome = store(&shop.book, &view.entry, edited, &what)?;
    meanwhile.told(&shop.book, outcome)
}

/// Stations at the nut, the middle fret and the last one.
fn stations(last: usize, at: impl Fn(usize) -> String) -> String {
    let mut frets = vec![0, (last / 2).max(1), last];
    frets.dedup();
    let list: Vec<String> = frets
        .iter()
        .map(|fret| format!("{{ fret = {fret}, radius = \"{}\" }}", at(*fret)))
        .collect();
    format!("[{}]", list.join(", "))
}

/// The law, with the radii that were chosen with it.
fn what_words(form: &Fields, Written { law, values }: &Written) -> String {
    let chosen = values.iter().filter(|(key, _)| form.get(key).is_some());
    let radii: Vec<&str> = chosen.map(|(_, value)| value.as_str()).collect();
    match radii.is_empty() {
        true => format!("camber, law: {law}"),
        false => format!("camber, law: {law}, {}", radii.join(" to ")),
    }
}

async fn choose_kit(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let form = Fields(pairs);
    let kit = match form.need("kit")? {
        "" => None,
        _ => Some(form.entry("kit")?),
    };
    let entry = shop.book.entry(EntryId(id))?;
    let standing = entry.kit.map(|kit| kit.to_string()).unwrap_or_default();
    let was = form.get("was").unwrap_or(&standing);
    if was != standing && kit != entry.kit {
        return listed(
            &shop,
            Words::not_done(format!(
                "the kit of {} was changed in another window meanwhile; the one that holds now is shown: choose again if yours shall hold",
                entry.title
            )),
        );
    }
    shop.book.set_kit(entry.id, kit, now())?;
    go("/book")
}

fn stage_done(shop: &Shop, id: EntryId, form: &Fields) -> Result<Outcome, Trouble> {
    let key = form.need("stage")?;
    let minutes: f64 = match form.need("minutes")?.trim().replace(',', ".").parse() {
        Ok(minutes) if (0.0..=10_000.0).contains(&minutes) && minutes > 0.0 => minutes,
        _ => {
            return Ok(Outcome::refused(
                "minutes",
                "the minutes must be a number from above 0 to 10000, such as 25",
            ));
        }
    };
    let view = shop.view(id, form.pointed())?;
    let hand = view.sound_kit().map(|kit| kit.hand);
    let plan = view.now.as_ref().and_then(|now| now.plan.as_ref());
    let Some(stage) = plan.and_then(|plan| plan.stages.iter().find(|stage| stage.key == key))
    else {
        return Ok(Outcome::NotStored(
            "the plan no longer has that stage; look at it again".into(),
        ));
    };
    let wood = view
        .now
        .as_ref()
        .map(|now| now.instrument.wood.name.clone())
        .unwrap_or_default();
    let record = StageRecord {
        id: None,
        commission: id,
        stage: key.to_owned(),
        tool: crate::pages::tool_of(stage),
        grade: stage.grade.name.to_owned(),
        wood,
        volume_mm3: stage.removed_mm3,
        minutes,
        force_n: hand.map(|hand| hand.force_n),
        note: form
            .get("note")
            .unwrap_or("")
            .chars()
            .take(book::MAX_NOTE_CHARS)
            .collect(),
        at: now(),
        sent_key: form
            .get("sent_key")
            .filter(|key| !key.is_empty())
            .map(str::to_owned),
    };
    match shop.book.log_stage(&record) {
        Ok(_) => Ok(Outcome::Stored),
        Err(error @ (BookError::StageKeyUsed { .. } | BookError::TooLong { .. })) => {
            Ok(Outcome::NotStored(error.to_string()))
        }
        Err(error) => Err(error.into()),
    }
}

async fn text_file(State(shop): State<Arc<Shop>>, Path(id): Path<i64>) -> Answer {
    let entry = shop.book.entry(EntryId(id))?;
    let name = format!("{}.toml", entry.title.to_lowercase());
    Ok(file(
        &name,
        "text/plain; charset=utf-8",
        entry.text.into_bytes(),
    ))
}

async fn plan_file(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let paper = Fields(pairs).paper();
    let view = shop.view(EntryId(id), Pointed::default())?;
    let Some((now, plan)) = view
        .now
        .as_ref()
        .and_then(|now| Some((now, now.plan.as_ref()?)))
    else {
        return Err(Trouble::NotThere(
            "without a sound commission and a kit there is no plan to print".into(),
        ));
    };
    let bytes = bench_plan_pdf(&now.instrument, plan, view.units, paper)
        .map_err(|error| Trouble::Here(format!("the paper could not be made: {error}")))?;
    Ok(file(
        &format!("{}-bench-plan.pdf", view.entry.title.to_lowercase()),
        "application/pdf",
        bytes,
    ))
}
