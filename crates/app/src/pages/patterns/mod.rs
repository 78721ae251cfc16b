//! The page Patterns: what is printed and cut by, bodies for CAD, programs for the machine, jigs.

mod bodies;
mod jigs;
mod paper;
mod programs;

pub use programs::programs_part;

use maud::{Markup, html};

use super::fields::Fields;
use super::{Asked, PageName};
use crate::edit::Shown;
use crate::made::{Printing, Subject};
use crate::view::{Figures, View};

/// The page's content.
pub(super) fn content(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let subject = subject(view, now);
    let shown = Shown::new(&view.text);
    let fields = Fields::of_commission(view, PageName::Patterns, &shown);
    let printing = asked.printing.unwrap_or(Printing::USUAL);
    html! {
        h1 { "Patterns" }
        p.lead {
            "From the screen to paper, saw, router and CAD, at true size. "
            a href=(format!("/commission/{}/all.zip", view.entry.id)) { "Everything as one zip" }
        }
        (paper::section(view, &subject, &printing, asked))
        (programs::section(view, now, &fields))
        (bodies::section(view, now))
        (jigs::section(view, &subject))
    }
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
