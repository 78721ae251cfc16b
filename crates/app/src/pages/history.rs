//! The history of an entry: every moment, and the way back to it.

use ::book::{Entry, Kind, RevisionSummary};
use maud::{Markup, html};

use super::compare::choose;
use super::layout::{book_header, document};
use crate::show::{Units, moment};

/// The address under which an entry's pages lie.
pub(super) fn entry_base(entry: &Entry) -> String {
    match entry.kind {
        Kind::Commission => format!("/commission/{}", entry.id),
        Kind::Kit => format!("/kit/{}", entry.id),
    }
}

/// The page with every moment of an entry, newest first.
pub fn history_page(entry: &Entry, moments: &[RevisionSummary], units: Units) -> Markup {
    let base = entry_base(entry);
    let back = if entry.kind == Kind::Commission {
        format!("{base}/camber")
    } else {
        base.clone()
    };
    let main = html! {
        h1 { "History of " (entry.title) }
        p.lead { "Nothing is ever lost: every change is a moment, and each can be made the present again. " a href=(back) { "Back to the present" } }
        p { a href=(format!("{base}/carried.zip")) download { "All of it as plain texts" } " (zip), to keep, or to take into another book" }
        @if moments.len() > 1 { (compare_form(&base, entry, moments)) }
        (list(&base, moments))
    };
    document(
        &format!("History of {}", entry.title),
        book_header(units, ""),
        main,
    )
}

/// Every moment a row: when, what, and what can be done with it.
fn list(base: &str, moments: &[RevisionSummary]) -> Markup {
    html! {
        table.history {
            thead { tr { th { "When" } th { "What was changed" } th { "Beside the present" } th { "Going back" } } }
            tbody {
                @for past in moments {
                    tr class=[past.current.then_some("here")] {
                        th scope="row" { time { (moment(past.at)) } }
                        td.what { (past.what) }
                        @if past.current {
                            td colspan="2" { strong { "The present" } }
                        } @else {
                            td { (compare_link(base, past)) }
                            td { (go_back(base, past)) }
                        }
                    }
                }
            }
        }
    }
}

fn compare_link(base: &str, past: &RevisionSummary) -> Markup {
    html! {
        a href=(format!("{base}/compare?then={}", past.revision)) {
            "Compare" span.unseen { " with the present: " (moment(past.at)) " " (past.what) }
        }
    }
}

fn go_back(base: &str, past: &RevisionSummary) -> Markup {
    html! {
        form.inline method="post" action=(format!("{base}/go-to")) {
            input type="hidden" name="revision" value=(past.revision);
            button.quiet-shown type="submit" { "Make this the present" span.unseen { ": " (moment(past.at)) " " (past.what) } }
        }
    }
}

/// Any two moments beside each other: at first the one before the present, and the present.
fn compare_form(base: &str, entry: &Entry, moments: &[RevisionSummary]) -> Markup {
    let earlier = entry
        .previous
        .or_else(|| {
            moments
                .iter()
                .find(|each| !each.current)
                .map(|each| each.revision)
        })
        .unwrap_or(entry.revision);
    html! {
        form.moments method="get" action=(format!("{base}/compare")) {
            (choose("then", "Then", earlier, moments))
            (choose("now", "Now", entry.revision, moments))
            button type="submit" { "Compare these two" }
        }
    }
}
