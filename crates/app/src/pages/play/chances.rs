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

/// A room in the unit of its demand.
fn room(view: &View, demand: Demand, room: f64) -> String {
    match demand {
        Demand::Tune => format!("{room:.1} cents"),
        _ => view.units.length(room, 3),
    }
}
