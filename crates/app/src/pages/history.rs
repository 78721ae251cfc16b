//! The history of an entry: every moment, and the way back to it.

use ::book::{Entry, Kind, RevisionSummary};
use maud::{Markup, html};

use super::layout::{book_header, document};
use crate::show::{Units, moment};

/// The page with every moment of an entry, newest first.
pub fn history_page(entry: &Entry, moments: &[RevisionSummary], units: Units) -> Markup {
    let base = match entry.kind {
        Kind::Commission => format!("/commission/{}", entry.id),
        Kind::Kit => format!("/kit/{}", entry.id),
    };
    let back = if entry.kind == Kind::Commission {
        format!("{base}/camber")
    } else {
        base.clone()
    };
    let main = html! {
        h1 { "History of " (entry.title) }
        p.lead { "Nothing is ever lost: every change is a moment, and each can be made the present again. " a href=(back) { "Back to the present" } }
        ol.history {
            @for past in moments {
                li class=[past.current.then_some("here")] {
                    time { (moment(past.at)) } " " (past.what)
                    @if past.current { strong { " — now" } } @else {
                        form.inline method="post" action=(format!("{base}/go-to")) {
                            input type="hidden" name="revision" value=(past.revision);
                            button.quiet-shown type="submit" { "Make this the present" }
                        }
                    }
                }
            }
        }
    };
    document(
        &format!("History of {}", entry.title),
        book_header(units, ""),
        main,
    )
}
