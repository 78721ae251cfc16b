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
const MOST_STEPS: u32 = 15;
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

/// What of the wish is not granted: stops short of air, bends that choke.
#[derive(Clone, Copy)]
struct Lacks {
    short: usize,
    choked: usize,
}

impl Lacks {
    fn of(playing: &Playing<'_>) -> Self {
        let wish = &playing.instrument.wish;
        Self {
            short: playing.buzz.count_below(wish.margin_mm),
            choked: playing.bends().count_choked(wish.bend_cents),
        }
    }

    /// True when something is less and nothing is more.
    fn is_less_than(self, other: Self) -> bool {
        let no_more = self.short <= other.short && self.choked <= other.choked;
        no_more && self.short + self.choked < other.short + other.choked
    }
}

/// The helps, worked out: those that leave less of the wish ungranted, and take nothing for it.
///
/// # Errors
/// Why the surface tells nothing.
pub fn helps_part(view: &View, now: &Figures, surface: Surface<'_>) -> Result<Markup, String> {
    let playing = played(view, now, surface)?;
    let before = Lacks::of(&playing);
    let best_relief_mm = better_relief_mm(&playing);
    let mut tried = Vec::new();
    tried.extend(best_relief_mm.map(|relief| better_relief(view, &playing, relief)));
    if before.short > 0 {
        tried.extend(more_action(view, now, surface, &playing, None)?);
        if let Some(relief_mm) = best_relief_mm {
            tried.extend(more_action(view, now, surface, &playing, Some(relief_mm))?);
        }
    }
    tried.extend(flatter_end(view, now));
    let mut lines = Vec::new();
    for help in &tried {
        let figures = now.set_up_as(help.instrument.clone());
        let after = played(view, &figures, surface)?;
        if Lacks::of(&after).is_less_than(before) {
            lines.push(told(view, help, &playing, &after));
        }
    }
    Ok(html! {
        section id="helps" data-part {
            h2 { "What would help" }
            @if lines.is_empty() {
                p { "Neither relief nor action nor a flatter end of the board would do it: look at the maps below for the places that are short, and under " a href="#lowest" { "Lowest set-up" } " at what each string asks for. Heavier strings, a lighter hand or less air asked are the ways that are left." }
            } @else {
                ul.helps { @for line in lines { (line) } }
                p.faint { "Each was tried out on " (surface.words()) ", all else as it is." }
            }
        }
    })
}

/// The relief of the lowest set-up, when it is another than the asked one.
fn better_relief_mm(playing: &Playing<'_>) -> Option<f64> {
    let best = (100.0 * playing.lowest.relief_mm).round() / 100.0;
    let asked = playing.instrument.wish.relief_mm;
    ((best - asked).abs() >= SAME_RELIEF_MM).then_some(best)
}

fn better_relief(view: &View, playing: &Playing<'_>, best_mm: f64) -> Help {
    let mut instrument = playing.instrument.clone();
    let asked_mm = instrument.wish.relief_mm;
    instrument.wish.relief_mm = best_mm;
    Help {
        words: html! { "A relief of " strong { (length(view.units, best_mm, 2)) } " in place of " (length(view.units, asked_mm, 2)) },
        sets: Some(("wish.relief", format!("{best_mm:.2} mm"))),
        instrument,
    }
}

/// The least that both actions must rise by until no stop is short of air, at another relief when
/// one is given.
fn more_action(
    view: &View,
    now: &Figures,
    surface: Surface<'_>,
    playing: &Playing<'_>,
    relief_mm: Option<f64>,
) -> Result<Option<Help>, String> {
    let wish = &playing.instrument.wish;
    for step in 1..=MOST_STEPS {
        let by = ACTION_STEP_MM * f64::from(step);
        let mut instrument = playing.instrument.clone();
        instrument.wish.action_treble_mm += by;
        instrument.wish.action_bass_mm += by;
        instrument.wish.relief_mm = relief_mm.unwrap_or(wish.relief_mm);
        let figures = now.set_up_as(instrument);
        let short = played(view, &figures, surface)?
            .buzz
            .count_below(wish.margin_mm);
        if short == 0 {
            return Ok(Some(Help {
                words: html! {
                    "An action higher by " strong { (length(view.units, by, 1)) } " on both sides, "
                    (length(view.units, wish.action_treble_mm + by, 2)) " and " (length(view.units, wish.action_bass_mm + by, 2))
                    @if let Some(relief_mm) = relief_mm { ", with a relief of " strong { (length(view.units, relief_mm, 2)) } }
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
    let (lacked, lacks) = (Lacks::of(before), Lacks::of(after));
    let first =
        |playing: &Playing<'_>| playing.bends().least().map_or(0.0, |least| least.2.cents());
    html! {
        li {
            (help.words) ": stops short of air " (lacked.short) " → " strong { (lacks.short) }
            ", bends that choke " (lacked.choked) " → " strong { (lacks.choked) }
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
