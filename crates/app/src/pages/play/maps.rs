//! The buzz map and the bend map, each with the table behind it.

use drawing::pictures::{Look, string_map, string_side};
use instrument::fret_name;
use maud::{Markup, html};
use play::Playing;
use play::bend::{BendEnd, MOST_CENTS};
use play::buzz::BuzzMap;

use crate::pages::picture;
use crate::play_pictures::{self, BEND_SOURCE, BUZZ_SOURCE, in_units};
use crate::play_words::stopped;
use crate::show::length;
use crate::surface::Surface;
use crate::view::View;

/// The page's first picture.
pub(super) fn buzz_picture(view: &View, playing: &Playing<'_>) -> Markup {
    html! {
        div.points { (picture(&string_map(playing.instrument, &in_units(play_pictures::buzz_map(playing), view.units.length), view.look()), "buzz")) }
        p.source { "Rests on " (BUZZ_SOURCE) "." }
    }
}

/// The pointed string from the side, the three players, and the table.
pub(super) fn buzz(view: &View, playing: &Playing<'_>, surface: Surface<'_>) -> Markup {
    let side = play_pictures::string_side(playing, view.pointed.lane, view.pointed.fret);
    html! {
        section id="buzz" data-part {
            h2 { "Buzz" }
            @if let Some(side) = side {
                (picture(&string_side(&side, view.look()), "side"))
                p.source { "Rests on " (BUZZ_SOURCE) "; heights of the fret tops with the relief, as in the table." }
            }
            div.scroller tabindex="0" role="group" aria-label="Players and their air" { table.all.narrow {
                thead { tr { th { "player" } th { "force" } th { "least air" } th { "stops with less than asked" } th.words { "where" } } }
                tbody {
                    @for (name, map) in [("light", &playing.light), ("this player", &playing.buzz), ("hard", &playing.hard)] {
                        (player(view, playing, name, map))
                    }
                }
            } }
            (players_to_come(view, surface))
            (table(view, playing))
        }
    }
}

const OTHER_PLAYERS: &str = "The same map under a light and a hard player";

/// The place of the other players' maps, with the address that fills it.
fn players_to_come(view: &View, surface: Surface<'_>) -> Markup {
    let address = super::later(view, surface, "players");
    html! {
        details id="players" data-part data-later=(address) {
            summary { (OTHER_PLAYERS) }
            p { a href=(address) { "Show them" } }
        }
    }
}

/// The buzz maps of a light and a hard player.
pub fn players_part(view: &View, playing: &Playing<'_>) -> Markup {
    // They stay while the place pointed at moves on, so that they point at none.
    let look = Look {
        pointed: None,
        ..view.look()
    };
    html! {
        details id="players" data-part {
            summary { (OTHER_PLAYERS) }
            @for (name, map, id) in [("light", &playing.light, "light"), ("hard", &playing.hard, "hard")] {
                div.points { (picture(&string_map(playing.instrument, &in_units(play_pictures::buzz_map_of(playing, map, name), view.units.length), look), id)) }
            }
        }
    }
}

fn player(view: &View, playing: &Playing<'_>, name: &str, map: &BuzzMap) -> Markup {
    html! {
        tr {
            th scope="row" { (name) }
            td { (format!("{:.2} N", map.pluck.force_n)) }
            @if let Some((string, stop, least)) = map.worst() {
                td { (length(view.units, least.margin_mm, 3)) }
                td { (map.count_below(playing.instrument.wish.margin_mm)) }
                td.words { "string " (string + 1) ", " (stopped(stop)) ", over fret " (least.fret) }
            } @else { td {} td {} td.words { "no string's pull is known" } }
        }
    }
}

/// Column heads: one for each string.
pub(super) fn string_heads(playing: &Playing<'_>) -> Markup {
    html! {
        @for (index, string) in playing.instrument.strings.iter().enumerate() {
            th { "string " (index + 1) " " span.faint { (string.note) } }
        }
    }
}

fn table(view: &View, playing: &Playing<'_>) -> Markup {
    let uncertain = playing.tops.is_uncertain();
    let asked = playing.instrument.wish.margin_mm;
    html! {
        details {
            summary { "Every string at every stop" }
            p.faint { "Least air in " (view.units.length_word()) " under this player's pluck, with the fret ahead where it is"
                @if uncertain { ", and the chance that the string strikes it" } "." }
            div.scroller tabindex="0" role="group" aria-label="Least air, every string at every stop" {
                table.all {
                    thead { tr { th { "stopped at" } (string_heads(playing)) } }
                    tbody { @for stop in 0..playing.instrument.last_fret() {
                        tr data-fret=(stop) class=[(stop == view.pointed.fret).then_some("here")] {
                            th scope="row" { @if stop == 0 { "open" } @else { (fret_name(stop)) } }
                            @for stops in &playing.buzz.least {
                                td class=[stops[stop].is_some_and(|least| least.margin_mm < asked).then_some("short")] {
                                    @if let Some(least) = stops[stop] {
                                        (length(view.units, least.margin_mm, 3)) span.side { "fret " (least.fret)
                                            @if let Some(chance) = least.contact_chance { (format!(", {:.0} %", 100.0 * chance)) } }
                                    }
                                }
                            }
                        }
                    } }
                }
            }
        }
    }
}

/// The bend map with its table.
pub(super) fn bends(view: &View, playing: &Playing<'_>) -> Markup {
    let wish = playing.instrument.wish.bend_cents;
    html! {
        section id="bends" data-part {
            h2 { "Bends" }
            div.points { (picture(&string_map(playing.instrument, &play_pictures::bend_map(playing), view.look()), "bends")) }
            p.source { "Rests on " (BEND_SOURCE) ". Strings on the treble side are pushed toward the bass side, the others toward the treble side. "
                a href=(format!("/commission/{}/camber?fret={}&lane={}#chooser", view.entry.id, view.pointed.fret, view.pointed.lane)) { "Choose a camber by its bends" } }
            details {
                summary { "Every string at every fret" }
                div.scroller tabindex="0" role="group" aria-label="Cents up to which a bend is free" {
                    table.all {
                        thead { tr { th { "fret" } (string_heads(playing)) } }
                        tbody { @for fret in 1..=playing.instrument.last_fret() {
                            tr data-fret=(fret) class=[(fret == view.pointed.fret).then_some("here")] {
                                th scope="row" { (fret_name(fret)) }
                                @for frets in &playing.bends().ends {
                                    td class=[frets[fret].is_some_and(|end| end.chokes_before(wish)).then_some("short")] {
                                        @match frets[fret] {
                                            Some(BendEnd::Chokes { cents, aside_mm, on_fret }) => {
                                                (format!("{cents:.0} cents")) span.side { "on fret " (on_fret) ", pushed " (length(view.units, aside_mm, 1)) }
                                            }
                                            Some(BendEnd::Free { cents }) => { (format!("{cents:.0} cents")) span.side { @if cents > wish.max(MOST_CENTS) - 0.5 { "and more" } @else { "then no board" } } }
                                            None => {},
                                        }
                                    }
                                }
                            }
                        } }
                    }
                }
            }
        }
    }
}
