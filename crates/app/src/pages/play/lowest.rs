//! The lowest set-up free of buzz, what holds it up, and what one more hundredth would buy.

use maud::{Markup, html};
use play::Playing;
use play::lowest::LowString;

use crate::play_words::worth_words;
use crate::show::{fret_name, length};
use crate::view::View;

/// The lowest set-up.
pub(super) fn lowest(view: &View, playing: &Playing<'_>) -> Markup {
    let lowest = &playing.lowest;
    let units = view.units;
    html! {
        section id="lowest" data-part {
            h2 { "Lowest set-up free of buzz" }
            p {
                "Under this player's pluck, with " (units.length(playing.instrument.wish.margin_mm, 3)) " of air everywhere, the neck wants a relief of "
                strong { (units.length(lowest.relief_mm, 2)) } "; then the strings can come down to:"
            }
            div.scroller tabindex="0" role="group" aria-label="Lowest set-up" {
                table.all {
                    thead { tr {
                        th { "string" } th { "action over fret " (playing.instrument.action_fret()) } th { "asked" }
                        th { "nut" } th { "saddle" } th.words { "held up by" }
                    } }
                    tbody { @for (index, string) in lowest.strings.iter().enumerate() {
                        tr {
                            th scope="row" { (index + 1) " " span.faint { (playing.instrument.strings[index].note) } }
                            @match string {
                                Some(string) => {
                                    td { (length(units, string.action_mm, 2)) }
                                    td { (length(units, asked(playing, index), 2)) }
                                    td { (length(units, string.heights.nut_mm, 2)) }
                                    td { (length(units, string.heights.saddle_mm, 2)) }
                                    td.words { (held(string)) }
                                }
                                None => td colspan="5" { "its pull is not known: give its unit weight" },
                            }
                        }
                    } }
                }
            }
            p.faint { "Nut and saddle are heights of the string's underside over the straight line of the fret tops under it." }
            ul { @for words in worth_words(playing, units) { li { (words) } } }
        }
    }
}

fn asked(playing: &Playing<'_>, index: usize) -> f64 {
    playing
        .set_up
        .strings
        .get(index)
        .map_or(f64::NAN, |string| string.actions_mm.1)
}

/// What holds a string up, in words.
pub(super) fn held(string: &LowString) -> String {
    let mut words: Vec<String> = string
        .limiting
        .iter()
        .map(|(stop, fret)| match stop {
            0 => format!("the open string over {}", fret_name(*fret)),
            stop => format!("{} over {}", fret_name(*stop), fret_name(*fret)),
        })
        .collect();
    if string.nut_at_least {
        words.push("the nut, which is no lower than the fret tops".into());
    }
    words.join("; ")
}
