//! What a tablet sees besides bench mode: pairing, the commissions, and what went wrong.

use ::book::EntrySummary;
use maud::{Markup, html};

use super::bench_mode::outbox;
use super::layout::{bench_document, document};
use crate::show::moment;

fn top(words: &str) -> Markup {
    html! { header.top { span.mark { (words) } } }
}

/// The page where a tablet is paired. `secret` came by QR code; without one a code is typed.
pub fn pair_page(secret: Option<&str>, name: &str, wrong: Option<&str>) -> Markup {
    let main = html! {
        h1 { "Pair this tablet" }
        @if let Some(words) = wrong {
            p.notice.not-done role="alert" { strong { "Not done: " } (words) "." }
        }
        form.opening.pairing method="post" action="/pair" {
            @match secret {
                Some(secret) => input type="hidden" name="with" value=(secret);,
                None => label.place { "The code on the maker's screen"
                    input.digits type="text" name="code" inputmode="numeric" autocomplete="one-time-code"
                        spellcheck="false" maxlength="16" required;
                },
            }
            label.place { "What this tablet is called" input type="text" name="name" value=(name) maxlength="40"; }
            button.enter type="submit" { "Pair" }
        }
        p { "A code is shown on the maker's own computer, on the page Tablet, while the bench is open." }
    };
    document("Pair this tablet", top("Camberwright"), main)
}

/// The commissions, for choosing one.
pub fn choose_page(commissions: &[EntrySummary], name: &str, until: i64) -> Markup {
    let main = html! {
        (outbox(&[]))
        h1 { "At the bench" }
        @if commissions.is_empty() {
            p.empty { "There is no commission yet. It is begun on the maker's own computer." }
        }
        ul.at-bench {
            @for entry in commissions {
                li { a href=(format!("/commission/{}/bench", entry.id)) { (entry.title) } }
            }
        }
        p.faint { "This tablet is paired as " (name) " until " time { (moment(until)) } "." }
    };
    bench_document("At the bench", top("Camberwright"), main)
}

/// What went wrong, and the way on.
pub fn tablet_trouble_page(title: &str, words: &str, way_out: &str, way: &str) -> Markup {
    let main = html! {
        section.empty {
            h1 { (title) }
            p { (words) }
            p { a href=(way) { (way_out) } }
        }
    };
    document(title, top("Camberwright"), main)
}
