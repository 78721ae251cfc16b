//! The page Patterns: what is printed and cut by, bodies for CAD, programs for the machine, jigs.

mod bodies;
mod jigs;
mod paper;
mod programs;

pub use programs::{programs_page, programs_part};

use maud::{Markup, html};

use super::fields::Fields;
use super::layout::{book_header, document};
use super::{Asked, PageName};
use crate::edit::Shown;
use crate::made::{Printing, Subject};
use crate::show::Units;
use crate::view::{Figures, View};

/// The page's content.
pub(super) fn content(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let subject = subject(view, now);
    let shown = Shown::new(&view.text);
    let fields = Fields::of_commission(view, PageName::Patterns, &shown);
    let printing = asked.printing.unwrap_or(Printing::USUAL);
    html! {
        h1 { "Patterns" }
        p.lead { "From the screen to paper, saw, router and CAD, at true size." }
        p.files { a.paper href=(format!("/commission/{}/all.zip", view.entry.id)) { "Everything as one zip" } }
        (paper::section(view, &subject, &printing, asked))
        (programs::section(view, &fields))
        (bodies::section(view, now))
        (jigs::section(view, &subject))
    }
}

/// A page that says why something of the page Patterns was not done. Its notice stands where that
/// page has its own, so that the script shows it there and what was typed stays; `field` is the name
/// of the field to be mended.
pub fn refused_page(words: &str, field: Option<&str>, back: &str, units: Units) -> Markup {
    let main = html! {
        div id="words" data-part aria-live="polite" {
            p.notice.not-done role="alert" data-field=[field] { strong { "Not done: " } (words) }
        }
        p { a href=(back) { "Back to the patterns" } }
    };
    document("Not done", book_header(units, ""), main)
}

/// What the files of a view are made from.
pub(crate) fn subject<'a>(view: &'a View, now: &'a Figures) -> Subject<'a> {
    Subject {
        instrument: &now.instrument,
        sheet: &now.sheet,
        plan: now.plan.as_ref(),
        kit: view.sound_kit(),
        units: view.units,
    }
}
