//! The chances: worked out after the page is there, because thousands of necks take a moment.

use drawing::pictures::share_bars;
use maud::{Markup, html};
use play::chances::{Account, Demand};

use crate::pages::picture;
use crate::play_pictures;
use crate::surface::Surface;
use crate::view::View;

/// The place of the chances, with the address that fills it.
pub(super) fn section(view: &View, surface: Surface<'_>) -> Markup {
    let address = super::later(view, surface, "chances");
    html! {
        section id="chances" data-part data-later=(address) {
            h2 { "Chances" }
            p { a href=(address) { "Work out the chance that the finished neck meets the wish" } }
        }
    }
}

/// The chances, worked out.
pub fn chances_part(view: &View, account: &Account, surface: Surface<'_>) -> Markup {
    let tally = &account.tally;
    let chance = tally.chance();
    html! {
        section id="chances" data-part {
            h2 { "Chances" }
            p {
                "The finished neck meets the whole wish with a chance of " strong { (format!("{:.0} %", 100.0 * chance)) }
                (format!(" (± {:.1} % by the {} necks drawn", 196.0 * tally.uncertainty(chance), tally.necks)) ", on " (surface.words()) ")."
            }
            div.scroller tabindex="0" role="group" aria-label="Chance of every demand" { table.all.narrow {
                thead { tr { th.words { "demand" } th { "chance" } th { "room left" } th { "its spread" } } }
                tbody { @for (index, demand) in Demand::ALL.iter().enumerate() {
                    @let told = tally.room(index).zip(tally.chance_of(index));
                    tr {
                        th.words scope="row" { (demand.words()) @if *demand == account.decisive { span.side { "the first to fail" } } }
                        @match told {
                            Some(((mean, deviation), chance)) => {
                                td { (format!("{:.1} %", 100.0 * chance)) }
                                td { (room(view, *demand, mean)) }
                                td { (room(view, *demand, deviation)) }
                            }
                            None => td colspan="3" { "not known" },
                        }
                    }
                } }
            } }
            (what_helps(account, chance))
            (picture(&share_bars(&play_pictures::share_bars(account), view.look()), "shares"))
            p.source { "Every error is drawn from its bell and carried through buzz, bends, tuning and action; the bars are first-order variance shares (Jansen's estimator, A. Saltelli et al. 2010)." }
            details {
                summary { "Every error for every demand" }
                div.scroller tabindex="0" role="group" aria-label="Shares of the spread" {
                    table.all {
                        thead { tr { th.words { "error" } @for demand in Demand::ALL { th { (demand.words()) } } th { "chance if half as large" } } }
                        tbody { @for share in &account.shares {
                            tr {
                                th.words scope="row" { (share.source.words()) }
                                @for of in share.of { td { (format!("{:.0} %", 100.0 * of)) } }
                                td { (format!("{:.1} %", 100.0 * share.if_halved)) }
                            }
                        } }
                    }
                }
            }
        }
    }
}

/// Which errors to work on, by what halving each does to the chance of the whole wish.
fn what_helps(account: &Account, chance: f64) -> Markup {
    let mut shares: Vec<_> = account
        .shares
        .iter()
        .filter(|share| share.if_halved > chance + WORTH_TELLING)
        .collect();
    shares.sort_by(|a, b| b.if_halved.total_cmp(&a.if_halved));
    let decisive = Demand::ALL
        .iter()
        .position(|demand| *demand == account.decisive)
        .unwrap_or(0);
    let is_short = account
        .tally
        .room(decisive)
        .is_some_and(|(mean, _)| mean < 0.0);
    html! {
        @if is_short {
            p { "The plan itself falls short of \"" (account.decisive.words()) "\": most necks fail however well they are made, and with less scatter even fewer escape by luck. Set the plan right first." }
        }
        @if !shares.is_empty() {
            p { "Half the error would help the whole wish most at "
                @for (index, share) in shares.iter().take(3).enumerate() {
                    @if index > 0 { ", " }
                    strong { (share.source.words()) } (format!(" ({:.0} → {:.0} %)", 100.0 * chance, 100.0 * share.if_halved))
                } "." }
        }
    }
}

/// A gain in chance that is worth a word.
const WORTH_TELLING: f64 = 0.005;

/// A room in the unit of its demand.
fn room(view: &View, demand: Demand, room: f64) -> String {
    match demand {
        Demand::Tune => format!("{room:.1} cents"),
        _ => view.units.length(room, 3),
    }
}
