//! The page Play: buzz and bend maps, lowest set-up, tuning, chances.

mod chances;
mod helps;
mod lowest;
mod maps;
mod tuning;

pub use chances::chances_part;
pub use helps::helps_part;
pub use maps::players_part;

use maud::{Markup, html};
use play::Playing;

use super::{figure, figure_saying, side_by_side};
use crate::play_words::stopped;
use crate::show::{change, change_of, length};
use crate::surface::{Surface, chosen, played, surfaces};
use crate::view::{Figures, View};
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures) -> Markup {
    let surface = chosen(view, now);
    html! {
        h1 { "Play" }
        (surface_links(view, now, surface, "play"))
        @match played(view, now, surface) {
            Ok(playing) => (told(view, now, &playing, surface)),
            Err(error) => p.notice.not-done role="alert" { strong { "No surface: " } (error) },
        }
    }
}

/// The surfaces to play on.
pub(super) fn surface_links(view: &View, now: &Figures, here: Surface<'_>, page: &str) -> Markup {
    let pointed = view.pointed;
    html! {
        nav.visits id="surfaces" data-part aria-label="Played on" {
            span { "Played on" }
            @for surface in surfaces(view, now) {
                a href=(format!("/commission/{}/{page}?on={}&fret={}&lane={}", view.entry.id, surface.address(), pointed.fret, pointed.lane))
                    aria-current=[(surface.address() == here.address()).then_some("true")] { (surface.words()) }
            }
            span.papers {
                @for (paper, name) in [("a4", "Set-up sheet, A4"), ("letter", "Letter")] {
                    a.paper href=(format!("/commission/{}/set-up-sheet.pdf?paper={paper}&on={}", view.entry.id, here.address())) { (name) }
                }
            }
        }
    }
}

/// The address of a part that comes after the page: another moment of the text gives another one.
fn later(view: &View, surface: Surface<'_>, part: &str) -> String {
    format!(
        "/commission/{}/{part}?on={}&moment={}",
        view.entry.id,
        surface.address(),
        view.entry.revision
    )
}

fn told(view: &View, now: &Figures, playing: &Playing<'_>, surface: Surface<'_>) -> Markup {
    let (first, last) = side_by_side(
        || {
            html! {
                (super::verdict::of_playing(view, playing))
                (helps::section(view, playing, surface))
                (maps::buzz_picture(view, playing))
                (deciding(view, now, playing))
                (maps::buzz(view, playing, surface))
            }
        },
        || {
            html! {
                (maps::bends(view, playing))
                (lowest::lowest(view, playing))
                (tuning::tuning(view, playing))
            }
        },
    );
    html! {
        (first)
        (last)
        (chances::section(view, surface))
        (asked_fields(view))
        @if !now.instrument.fretwork.readings.is_empty() && playing.tops.basis == play::tops::Basis::Planned {
            p.faint { "Fret tops were read of this board; choose them above to play on them." }
        }
    }
}

fn deciding(view: &View, now: &Figures, playing: &Playing<'_>) -> Markup {
    let gist = now.gist_of(playing);
    let was = view.was.as_ref();
    let was = was.and_then(|was| was.gist_on(playing.tops.basis));
    let units = view.units;
    let wish = &playing.instrument.wish;
    let worst = playing.buzz.worst();
    let bend = playing.bends().least();
    html! {
        dl.figures id="play-figures" data-part {
            (figure_saying(&words::LEAST_AIR, html! {
                @match worst {
                    Some((string, stop, least)) => {
                        (length(units, least.margin_mm, 3))
                        (change(units, least.margin_mm, was.and_then(|was| was.least_air_mm), 3))
                        span.side { "string " (string + 1) ", " (stopped(stop)) ", over fret " (least.fret) }
                    }
                    None => span.faint { "no string's pull is known" },
                }
            }, &format!("over the frets ahead under {:.2} N; {} is asked", playing.buzz.pluck.force_n, units.length(wish.margin_mm, 3))))
            (figure_saying(&words::FIRST_BEND_TO_END, html! {
                @match bend {
                    Some((string, fret, end)) => {
                        (format!("{:.0} cents", end.cents()))
                        (change_of(end.cents(), was.and_then(|was| was.first_end_cents), 0, "cents"))
                        span.side { "string " (string + 1) " at fret " (fret) }
                    }
                    None => span.faint { "no string's stretch is known" },
                }
            }, &format!("{:.0} cents are wished everywhere", wish.bend_cents)))
            (figure_saying(&words::LOWEST_ACTION, html! {
                @match gist.lowest_action_mm {
                    Some(mm) => { (length(units, mm, 2)) (change(units, mm, was.and_then(|was| was.lowest_action_mm), 2)) }
                    None => span.faint { "not known" },
                }
            }, &format!("mean of all strings over fret {}, with a relief of {}", playing.instrument.action_fret(), units.length(playing.lowest.relief_mm, 2))))
            (figure(&words::OUT_OF_TUNE, html! {
                @match playing.tuning().saddle_only.worst() {
                    Some((string, fret, cents)) => {
                        (tuning::off_pitch(cents, 1))
                        (change_of(cents, was.and_then(|was| was.out_of_tune_cents), 1, "cents"))
                        span.side { "string " (string + 1) " at fret " (fret) }
                    }
                    None => span.faint { "not known" },
                }
            }))
        }
    }
}

fn asked_fields(view: &View) -> Markup {
    let shown = crate::edit::Shown::new(&view.text);
    let fields = super::fields::Fields::of_commission(view, super::PageName::Play, &shown);
    html! {
        section.only-fields {
            h2 { "What hands and tools miss" }
            p.faint { "Standard deviations: two results of three lie within one of them. The chances are worked out from these." }
            div.fields {
                @for (key, name) in [
                    ("fret_tops", "Fret tops"), ("nut_slots", "Nut slots' depth"), ("saddle", "Saddle's height"),
                    ("relief", "Relief"), ("radius", "Camber's radius"), ("slots", "Fret slots' places"),
                    ("set_back", "Places along the saddle"), ("tension", "Strings' pull"),
                    ("stretch", "Strings' stretch"), ("pluck", "Player's force"),
                ] {
                    (fields.field(&format!("errors.{key}"), name))
                }
            }
        }
    }
}
