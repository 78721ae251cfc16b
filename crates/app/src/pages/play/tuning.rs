//! In tune: set-backs, the cents that they leave, and what errors cost.

use drawing::pictures::cents_chart;
use instrument::fret_name;
use maud::{Markup, html};
use play::Playing;
use play::tuning::{ACTION_OFF_MM, SLOT_OFF_MM, Way};

use super::maps::string_heads;
use crate::pages::picture;
use crate::play_pictures::{self, TUNING_SOURCE};
use crate::show::length;
use crate::view::View;

/// The tuning.
pub(super) fn tuning(view: &View, playing: &Playing<'_>) -> Markup {
    let tuning = &playing.tuning();
    let chart = play_pictures::cents_chart(
        playing,
        &tuning.saddle_only,
        "Cents left, saddle set back for each string",
    );
    html! {
        section id="tuning" data-part {
            h2 { "In tune" }
            (picture(&cents_chart(&chart, view.look()), "cents"))
            p.source { "Rests on " (TUNING_SOURCE) ", for this board's own heights. Differences under about 5 cents are hardly heard." }
            (set_backs(view, playing))
            (ways(view, playing))
            details {
                summary { "Cents left at every fret, saddle set back for each string" }
                (cents_table(view, playing, &tuning.saddle_only))
            }
            details {
                summary { "Cents left at every fret, saddle and nut set back for each string" }
                (cents_table(view, playing, &tuning.own))
            }
        }
    }
}

fn set_backs(view: &View, playing: &Playing<'_>) -> Markup {
    let units = view.units;
    let tuning = &playing.tuning();
    let back =
        |way: &Way, index: usize| way.set_back[index].map_or(f64::NAN, |back| back.saddle_mm);
    html! {
        div.scroller tabindex="0" role="group" aria-label="Set-backs" {
            table.all {
                thead {
                    tr { th { "string" } th { "saddle alone" } th { "saddle, with nut" } th { "nut" } th { "straight saddle" }
                        th { "slot off by " (units.length(SLOT_OFF_MM, 2)) } th { "action off by " (units.length(ACTION_OFF_MM, 2)) } th { "its stretch" } }
                }
                tbody { @for (index, string) in tuning.strings.iter().enumerate() {
                    tr {
                        th scope="row" { (index + 1) " " span.faint { (playing.instrument.strings[index].note) } }
                        @match string {
                            Some(string) => {
                                td { (length(units, back(&tuning.saddle_only, index), 2)) }
                                td { (length(units, back(&tuning.own, index), 2)) }
                                td { (length(units, tuning.own.set_back[index].map_or(f64::NAN, |back| back.nut_mm), 2)) }
                                td { (length(units, back(&tuning.straight, index), 2)) }
                                td { (format!("{:.1} cents", string.by_slot_cents)) }
                                td { (format!("{:.1} cents", string.by_action_cents)) }
                                td { (format!("{:.0} pulls", string.model.kappa)) }
                            }
                            None => td colspan="7" { "its stretch is not known: give how its pitch rises when it is drawn" },
                        }
                    }
                } }
            }
        }
        p.faint {
            "Positive set-backs lengthen the string: the saddle away from the neck, the nut away from the frets. \"Its stretch\" is the pull "
            "that would stretch it to double, in pulls at pitch."
        }
    }
}

fn ways(view: &View, playing: &Playing<'_>) -> Markup {
    let tuning = &playing.tuning();
    let common = tuning.common.set_back.iter().flatten().next();
    html! {
        div.scroller tabindex="0" role="group" aria-label="Ways to set back" { table.all.narrow {
            thead { tr { th.words { "set back" } th { "root mean square" } th { "farthest" } } }
            tbody { @for (name, way) in [
                ("saddle and nut, each string for itself".to_owned(), &tuning.own),
                ("saddle alone, each string for itself".into(), &tuning.saddle_only),
                ("a straight saddle, slanted as is best".into(), &tuning.straight),
                (common.map_or("one set-back for all".into(), |back| format!(
                    "one for all: saddle {}, nut {}", view.units.length(back.saddle_mm, 2), view.units.length(back.nut_mm, 2)
                )), &tuning.common),
                ("not at all".into(), &tuning.none),
            ] {
                tr {
                    th.words scope="row" { (name) }
                    td { (format!("{:.2} cents", way.rms_cents())) }
                    td { @if let Some((string, fret, cents)) = way.worst() {
                        (off_pitch(cents, 1)) span.side { "string " (string + 1) ", " (fret_name(fret)) }
                    } }
                }
            } }
        } }
    }
}

/// Cents off pitch with their sign, a true minus for flat.
pub(super) fn off_pitch(cents: f64, decimals: usize) -> String {
    format!("{cents:+.decimals$} cents").replace('-', "−")
}

fn cents_table(view: &View, playing: &Playing<'_>, way: &Way) -> Markup {
    html! {
        div.scroller tabindex="0" role="group" aria-label="Cents left at every fret" {
            table.all {
                thead { tr { th { "fret" } (string_heads(playing)) } }
                tbody { @for fret in 0..=playing.instrument.last_fret() {
                    tr data-fret=(fret) class=[(fret == view.pointed.fret).then_some("here")] {
                        th scope="row" { @if fret == 0 { "open" } @else { (fret_name(fret)) } }
                        @for cents in &way.cents {
                            td { @if let Some(cents) = cents.as_ref().and_then(|cents| cents.get(fret)) { (off_pitch(*cents, 2)) } }
                        }
                    }
                } }
            }
        }
    }
}
