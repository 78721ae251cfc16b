//! What would help most: a few changes tried out, each with what it does to every demand.

use instrument::Instrument;
use maud::{Markup, html};
use play::Playing;

use crate::pages::PageName;
use crate::pages::layout::hidden;
use crate::show::length;
use crate::surface::{Surface, played};
use crate::view::{Figures, View};

/// From one action that is tried to the next, mm.
const ACTION_STEP_MM: f64 = 0.1;
/// Actions are tried up to so many steps.
const MOST_STEPS: u32 = 12;
/// A relief nearer to the best one than this is left alone, mm.
const SAME_RELIEF_MM: f64 = 0.02;

/// The place of the helps, with the address that fills it; nothing where the wish is granted.
pub(super) fn section(view: &View, playing: &Playing<'_>, surface: Surface<'_>) -> Markup {
    if is_granted(playing) {
        return html! {};
    }
    let address = super::later(view, surface, "helps");
    html! {
        section id="helps" data-part data-later=(address) {
            h2 { "What would help" }
            p { a href=(address) { "Try a few changes out" } }
        }
    }
}

fn is_granted(playing: &Playing<'_>) -> bool {
    let wish = &playing.instrument.wish;
    playing.buzz.count_below(wish.margin_mm) == 0
        && playing.bends().count_choked(wish.bend_cents) == 0
}

/// A change that was tried.
struct Help {
    words: Markup,
    /// The key that it sets and the value, when one key is enough.
    sets: Option<(&'static str, String)>,
    instrument: Instrument,
}

/// The helps, worked out.
///
/// # Errors
/// Why the surface tells nothing.
pub fn helps_part(view: &View, now: &Figures, surface: Surface<'_>) -> Result<Markup, String> {
    let playing = played(view, now, surface)?;
    let mut helps = Vec::new();
    helps.extend(better_relief(view, &playing));
    helps.extend(more_action(view, now, surface, &playing)?);
    helps.extend(flatter_end(view, now));
    let mut lines = Vec::new();
    for help in &helps {
        let figures = now.set_up_as(help.instrument.clone());
        lines.push(told(
            view,
            help,
            &playing,
            &played(view, &figures, surface)?,
        ));
    }
    Ok(html! {
        section id="helps" data-part {
            h2 { "What would help" }
            @if lines.is_empty() {
                p { "Neither relief nor action nor a flatter end of the board would do it alone: look at the maps below for the places that are short." }
            } @else {
                ul.helps { @for line in lines { (line) } }
                p.faint { "Each was tried out on " (surface.words()) ", all else as it is." }
            }
        }
    })
}

fn better_relief(view: &View, playing: &Playing<'_>) -> Option<Help> {
    let best = (100.0 * playing.lowest.relief_mm).round() / 100.0;
    let now = playing.instrument.wish.relief_mm;
    if (best - now).abs() < SAME_RELIEF_MM {
        return None;
    }
    let mut instrument = playing.instrument.clone();
    instrument.wish.relief_mm = best;
    Some(Help {
        words: html! { "A relief of " strong { (length(view.units, best, 2)) } " in place of " (length(view.units, now, 2)) },
        sets: Some(("wish.relief", format!("{best:.2} mm"))),
        instrument,
    })
}

/// The least that both actions must rise by until no stop is short of air.
fn more_action(
    view: &View,
    now: &Figures,
    surface: Surface<'_>,
    playing: &Playing<'_>,
) -> Result<Option<Help>, String> {
    let wish = &playing.instrument.wish;
    if playing.buzz.count_below(wish.margin_mm) == 0 {
        return Ok(None);
    }
    for step in 1..=MOST_STEPS {
        let by = ACTION_STEP_MM * f64::from(step);
        let mut instrument = playing.instrument.clone();
        instrument.wish.action_treble_mm += by;
        instrument.wish.action_bass_mm += by;
        let figures = now.set_up_as(instrument);
        let after = played(view, &figures, surface)?;
        if after.buzz.count_below(wish.margin_mm) == 0 {
            drop(after);
            return Ok(Some(Help {
                words: html! {
                    "An action higher by " strong { (length(view.units, by, 1)) } " on both sides: "
                    (length(view.units, wish.action_treble_mm + by, 2)) " and " (length(view.units, wish.action_bass_mm + by, 2))
                },
                sets: None,
                instrument: figures.instrument,
            }));
        }
    }
    Ok(None)
}

/// The flatter last fret that grants the bends, on a cone.
fn flatter_end(view: &View, now: &Figures) -> Option<Help> {
    let instrument = &now.instrument;
    let is_cone = instrument.camber.law == instrument::camber::Law::Cone;
    let places = play::wished_bend_places(instrument, &now.sheet.strings);
    let (nut_mm, last_mm) = (
        instrument.camber.radius(0.0).mm(),
        instrument
            .camber
            .radius(instrument.fret_x_mm(instrument.last_fret()))
            .mm(),
    );
    if !is_cone || places.is_empty() || places.grants(nut_mm, last_mm) {
        return None;
    }
    let wanted = places.tightest(nut_mm).last_mm?.ceil();
    let text = crate::edit::set(
        &view.text,
        &instrument::COMMISSION_KEYS,
        "camber.last_fret",
        &format!("{wanted:.0} mm"),
    );
    let none = |_: &str| Err(String::new());
    Some(Help {
        words: html! { "A radius of " strong { (length(view.units, wanted, 0)) } " at the last fret in place of " (length(view.units, last_mm, 1)) },
        sets: Some(("camber.last_fret", format!("{wanted:.0} mm"))),
        instrument: instrument::read_commission(&text.ok()?, &none).ok()?,
    })
}

fn told(view: &View, help: &Help, before: &Playing<'_>, after: &Playing<'_>) -> Markup {
    let wish = &before.instrument.wish;
    let short = |playing: &Playing<'_>| playing.buzz.count_below(wish.margin_mm);
    let choked = |playing: &Playing<'_>| playing.bends().count_choked(wish.bend_cents);
    let first =
        |playing: &Playing<'_>| playing.bends().least().map_or(0.0, |least| least.2.cents());
    html! {
        li {
            (help.words) ": stops short of air " (short(before)) " → " strong { (short(after)) }
            ", bends that choke " (choked(before)) " → " strong { (choked(after)) }
            (format!(" (the first ends at {:.0} → {:.0} cents). ", first(before), first(after)))
            @if let Some((path, value)) = &help.sets {
                form.inline method="post" action=(format!("/commission/{}/set", view.entry.id)) data-follow {
                    (hidden(view, PageName::Play))
                    input type="hidden" name="path" value=(path);
                    input type="hidden" name="value" value=(value);
                    button.quiet-shown type="submit" { "Take it" }
                }
            } @else {
                a href=(format!("/commission/{}/wish", view.entry.id)) { "Change it on the page Wish" }
            }
        }
    }
}
