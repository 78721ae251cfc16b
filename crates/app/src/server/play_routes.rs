//! Addresses of playing: the chances, the set-up sheet, readings of fret tops.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::get;
use book::EntryId;
use instrument::COMMISSION_KEYS;
use maud::Markup;

use super::Shop;
use super::answer::{Answer, Trouble, file, page};
use super::change::{Outcome, store};
use super::form::Fields;
use super::works::STOPPED;
use crate::chances::{Trial, account, account_told};
use crate::edit;
use crate::pages::{cambers_part, chances_part, helps_part, players_part};
use crate::paper::set_up_sheet_pdf;
use crate::record::PlayFigures;
use crate::surface::{Surface, chosen, played};
use crate::view::View;

type Pairs = Vec<(String, String)>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/commission/{id}/chances", get(chances))
        .route("/commission/{id}/helps", get(helps))
        .route("/commission/{id}/players", get(players))
        .route("/commission/{id}/cambers", get(cambers))
        .route("/commission/{id}/set-up-sheet.pdf", get(sheet_file))
}

fn commission(shop: &Shop, id: EntryId, fields: &Fields) -> Result<View, Trouble> {
    let view = shop.view(id, fields.pointed())?;
    if view.entry.kind != book::Kind::Commission {
        return Err(Trouble::NotThere("that entry is no commission".into()));
    }
    Ok(view)
}

/// A commission with its visits, on the surface that an address names.
pub(super) fn load(shop: &Shop, id: EntryId, fields: &Fields) -> Result<View, Trouble> {
    let mut view = commission(shop, id, fields)?.with_readings(&shop.book)?;
    view.on = fields.get("on").map(str::to_owned);
    Ok(view)
}

async fn chances(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let fields = Fields(pairs);
    let view = load(&shop, EntryId(id), &fields)?;
    // Thousands of necks take longer than a page may: they are drawn beside the server's own work.
    let part = shop.works.watched(fields.get("work"), move |progress| {
        let now = view.now.as_ref().ok_or(NO_SOUND)?;
        let surface = chosen(&view, now);
        let playing = played(&view, now, surface)?;
        let account = account_told(&playing, Trial::default(), progress).ok_or(STOPPED)?;
        Ok(chances_part(&view, &account, surface))
    });
    Ok(page(part.await?).into_response())
}

async fn helps(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let view = load(&shop, EntryId(id), &Fields(pairs))?;
    beside(view, "nothing could be tried out", |view| {
        let now = view.now.as_ref().ok_or(NO_SOUND)?;
        helps_part(view, now, chosen(view, now))
    })
    .await
}

async fn cambers(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let view = commission(&shop, EntryId(id), &Fields(pairs))?;
    beside(view, "nothing could be laid side by side", |view| {
        let now = view.now.as_ref().filter(|_| !view.stale).ok_or(NO_SOUND)?;
        Ok(cambers_part(view, now))
    })
    .await
}

/// A part of a page that takes longer than a page may: worked out beside the server's own work.
async fn beside(view: View, failed: &str, part: fn(&View) -> Result<Markup, String>) -> Answer {
    let work = tokio::task::spawn_blocking(move || part(&view));
    let part = work
        .await
        .map_err(|error| Trouble::Here(format!("{failed}: {error}")))?;
    Ok(page(part.map_err(Trouble::NotThere)?).into_response())
}

async fn players(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let view = load(&shop, EntryId(id), &Fields(pairs))?;
    let now = view
        .now
        .as_ref()
        .ok_or_else(|| Trouble::NotThere(NO_SOUND.into()))?;
    let playing = played(&view, now, chosen(&view, now)).map_err(Trouble::NotThere)?;
    Ok(page(players_part(&view, &playing)).into_response())
}

const NO_SOUND: &str = "no sound moment of this commission is known; mend what is wrong first";

async fn sheet_file(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let fields = Fields(pairs);
    let view = load(&shop, EntryId(id), &fields)?;
    let title = view.entry.title.to_lowercase();
    let paper = fields.paper();
    let made = tokio::task::spawn_blocking(move || {
        let now = view.now.as_ref().ok_or(NO_SOUND)?;
        let surface = chosen(&view, now);
        let playing = played(&view, now, surface)?;
        let figures = PlayFigures {
            levelling: &playing.levelling(),
            frontier: &play::wished_bend_places(&now.instrument, &now.sheet.strings)
                .whole_frontier(),
            chances: &account(&playing, Trial::default()),
            playing: &playing,
            sheet: &now.sheet,
            visit: match surface {
                Surface::Visit(visit) => Some(visit.record.name.as_str()),
                Surface::Planned | Surface::Frets => None,
            },
        };
        set_up_sheet_pdf(&figures, view.units, paper)
            .map_err(|error| format!("the paper could not be made: {error}"))
    });
    let bytes = made
        .await
        .map_err(|error| Trouble::Here(format!("the paper was not made: {error}")))?
        .map_err(Trouble::NotThere)?;
    Ok(file(
        &format!("{title}-set-up-sheet.pdf"),
        "application/pdf",
        bytes,
    ))
}

/// Takes in one reading of fret tops.
pub(super) fn fret_top(shop: &Shop, id: EntryId, form: &Fields) -> Result<Outcome, Trouble> {
    let entry = shop.book.entry(id)?;
    let kind = form.need("kind")?;
    let numbers: &[(&str, &str)] = match kind {
        "heights" | "rocks" => &[("fret", "at"), ("lane", "in")],
        "gaps" => &[
            ("lane", "in"),
            ("from", "from"),
            ("to", "to"),
            ("fret", "at"),
        ],
        _ => return Err(Trouble::Bad("there is no such kind of reading".into())),
    };
    let mut fresh = toml_edit::InlineTable::new();
    for (key, field) in numbers {
        let typed = form.need(field)?.trim();
        let Ok(number) = typed.parse::<i64>() else {
            let words = format!("{key}: \"{}\" is no whole number; write 9", short(typed));
            return Ok(Outcome::refused(field, words));
        };
        fresh.insert(*key, number.into());
    }
    let typed = form.need("value")?.trim();
    if let Err(error) = quantity::parse_length(typed) {
        return Ok(Outcome::refused("value", format!("reading: {error}")));
    }
    let name = match kind {
        "heights" => "height",
        "gaps" => "gap",
        _ => "rock",
    };
    fresh.insert(name, typed.into());
    let path = format!("fretwork.{kind}");
    let place = format!(
        "{path}[{}]",
        edit::Shown::new(&entry.text).entries(&path) + 1
    );
    let edited = edit::add(&entry.text, &COMMISSION_KEYS, &path, &fresh.to_string());
    if let Ok(text) = &edited
        && let Err(faults) = instrument::read_commission(text, &crate::source::no_files)
        && let Some(fault) = faults
            .0
            .iter()
            .find(|fault| fault.place == path || fault.place.starts_with(&place))
    {
        // The form calls it a reading, and a fret by its part in it.
        let key = fault.place.rsplit('.').next().unwrap_or_default();
        let part = match key {
            "fret" | "lane" | "from" | "to" => key,
            _ => "reading",
        };
        let named = match fault.message.starts_with(part) {
            true => String::new(),
            false => format!("{part}: "),
        };
        let field = numbers.iter().find(|(known, _)| *known == part);
        return Ok(Outcome::refused(
            field.map_or("value", |(_, field)| *field),
            format!("{named}{}; {}", fault.message, fault.way_out),
        ));
    }
    store(
        &shop.book,
        &entry,
        edited,
        &format!("a {name} of the fret tops"),
    )
}

/// After a reading was taken in the next fret is pointed at, because frets are read in a row.
pub(super) fn next_fret(mut form: Fields, outcome: &Outcome) -> Fields {
    let read = form
        .get("at")
        .and_then(|at| at.trim().parse::<usize>().ok());
    if let (Outcome::Stored, Some(read)) = (outcome, read) {
        form.0.retain(|(name, _)| name != "fret");
        form.0.push(("fret".into(), (read + 1).to_string()));
    }
    form
}

/// What was typed, cut where it is too long to be shown.
fn short(typed: &str) -> String {
    typed.chars().take(40).collect()
}
