//! The page Readings: what the wood is now, how surely, and what next.

use drawing::pictures::departure_map;
use maud::{Markup, html};
use readings::figures::{Kind, Told, figures};
use readings::measured::Measured;
use readings::report;
use readings::report::{Next, Report, Verdict, measure};

use super::measured_pictures::{departure, slices};
use super::next_step::next_step;
use super::reading_entry::{entry, visit_forms};
use super::reading_list::reading_list;
use super::{Asked, figure, figure_saying, picture};
use crate::record::{hint_words, untold_words};
use crate::show::{length, spot_words};
use crate::view::{Figures, View, ask};
use crate::visits::KeptVisit;
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let Some(chosen) = chosen(view, asked) else {
        return html! {
            h1 { "Readings" }
            section.empty {
                p { "Nothing has been read of this board yet." }
                p { "Begin a visit, then enter whatever you measure, in any mixture: light under gauges, gaps under a straightedge, thickness, a dial, chalk, heights." }
                p { (form_links(view)) }
            }
            (visit_forms(view, now, None, asked))
        };
    };
    html! {
        h1 { "Readings" }
        (visit_line(view, chosen))
        @if chosen.visit.count() == 0 {
            section.empty { p { "Visit " (chosen.record.name) " holds no readings that count yet." } }
        } @else {
            (told(view, now, chosen))
        }
        (entry(view, now, chosen, asked))
        (reading_list(view, chosen))
        (visit_forms(view, now, Some(chosen), asked))
    }
}

/// The visit asked for, or the last one.
pub(super) fn chosen<'v>(view: &'v View, asked: &Asked) -> Option<&'v KeptVisit> {
    asked
        .visit
        .and_then(|id| view.visits.iter().find(|visit| visit.record.id.0 == id))
        .or(view.visits.last())
}

fn visit_line(view: &View, chosen: &KeptVisit) -> Markup {
    html! {
        nav.visits aria-label="Visits" {
            @for visit in &view.visits {
                a href=(visit_address(view, visit)) aria-current=[(visit.record.id == chosen.record.id).then_some("true")] {
                    "Visit " (visit.record.name)
                    @if !visit.record.date.is_empty() { span.faint { " " (visit.record.date) } }
                }
            }
            a.paper href="#enter" { "Enter a reading" }
            (form_links(view))
        }
    }
}

/// The form to fill at the bench, on either paper.
fn form_links(view: &View) -> Markup {
    html! {
        a.paper href=(format!("/commission/{}/reading-form.pdf?paper=a4", view.entry.id)) { "Form to fill at the bench, A4" }
        a.paper href=(format!("/commission/{}/reading-form.pdf?paper=letter", view.entry.id)) { "Letter" }
    }
}

/// The address of a visit on this page.
pub(super) fn visit_address(view: &View, visit: &KeptVisit) -> String {
    format!(
        "/commission/{}/readings?visit={}&fret={}&lane={}",
        view.entry.id, visit.record.id, view.pointed.fret, view.pointed.lane
    )
}

fn told(view: &View, now: &Figures, chosen: &KeptVisit) -> Markup {
    let report = match report(&ask(view, now, chosen)) {
        Ok(report) => report,
        Err(error) => {
            return html! { p.notice.not-done role="alert" { strong { "No surface: " } (error) } };
        }
    };
    let map = departure(&report, chosen);
    let others: Vec<(&KeptVisit, Measured<'_>)> = view
        .visits
        .iter()
        .filter(|visit| visit.record.id != chosen.record.id && visit.visit.count() > 0)
        .filter_map(|visit| Some((visit, measure(&ask(view, now, visit)).ok()?)))
        .collect();
    html! {
        (picture(&departure_map(&now.instrument, &map, view.look()), "departure"))
        @match &report.next {
            Ok(next) => {
                (deciding(view, now, &report, next))
                (next_step(view, now, &report, next))
            }
            Err(_) => p.notice.not-done role="alert" {
                strong { "No next step: " }
                "no surface of the planned camber lies inside the wood within the limits of pitch, roll and twist; look for a reading in a wrong unit, or plane the face flat first."
            }
        }
        (slices(view, now, &report, (chosen, &others)))
        (doubts(view, &report))
        (estimate(view, &report, chosen, &others))
    }
}

fn deciding(view: &View, now: &Figures, report: &Report<'_>, next: &Next) -> Markup {
    let words = |spot: usize| spot_words(&now.instrument, report.map.grid.spots[spot]);
    let (verdict, saying) = match next.verdict {
        Verdict::Done => (
            "Done",
            "the wood surely lies within what is let pass: go on with the next stage",
        ),
        Verdict::ReadFirst => (
            "To be read on",
            "as found it lies within what is let pass, but too little is known to be sure",
        ),
        Verdict::TakeOff => ("Not done", "it stands out by more than is let pass"),
    };
    let largest = next.departure.found_mm();
    html! {
        dl.figures id="reading-figures" data-part {
            (figure_saying(&words::STAGE_VERDICT, html! { strong { (verdict) } }, saying))
            (figure(&words::STANDS_OUT, html! {
                (length(view.units, largest, 3))
                span.side { (words(next.departure.largest)) }
            }))
            (figure(&words::MAY_STAND_OUT, html! {
                (length(view.units, next.departure.at_most_mm, 3))
                span.side { (words(next.departure.in_the_way)) }
            }))
            (figure_saying(&words::LET_PASS, length(view.units, report.tolerance_mm, 3), match report.grade {
                Some(_) => "one grain of the grade at work, a third of what the next grade takes off",
                None => "without a kit no grade is known: a twentieth of a millimetre",
            }))
            (figure(&words::TAKE_OFF_AT_MOST, html! {
                (length(view.units, next.take_off_max_mm, 3))
                span.side { (words(next.take_off_max_at)) }
            }))
        }
    }
}

fn doubts(view: &View, report: &Report<'_>) -> Markup {
    if report.doubted.is_empty() && report.untold.is_empty() {
        return html! {};
    }
    html! {
        section.minded id="doubts" data-part {
            h2 { "To be minded" }
            ul {
                @for doubted in &report.doubted {
                    li {
                        strong { "Doubted: " (doubted.kind) @if !doubted.place.is_empty() { ", " (doubted.place) } }
                        " (no. " (doubted.line) "): "
                        @match doubted.read_mm {
                            Some(read) => { (length(view.units, read, 3)) " was read" },
                            None => "what was seen there",
                        }
                        ", where the others foretell " (length(view.units, doubted.foretold_mm, 3))
                        " ± " (length(view.units, doubted.foretold_half_mm, 3)) ". "
                        @if let Some(hint) = doubted.hint { (hint_words(hint)) }
                    }
                }
                @for untold in &report.untold { li { (untold_words(report, untold)) "." } }
            }
        }
    }
}

fn estimate(
    view: &View,
    report: &Report<'_>,
    chosen: &KeptVisit,
    others: &[(&KeptVisit, Measured<'_>)],
) -> Markup {
    let others: Vec<(&KeptVisit, Vec<Told>)> = others
        .iter()
        .map(|(visit, measured)| (*visit, figures(measured)))
        .collect();
    let show = |told: &Told, mm: f64| match told.kind {
        Kind::Height => view.units.length(mm, 3),
        Kind::Radius { .. } => view.units.radius(instrument::Radius::from_mm(mm)),
    };
    html! {
        section id="estimate" data-part {
            h2 { "The wood now" }
            div.scroller tabindex="0" role="group" aria-label="Figures of the wood" {
                table.all {
                    thead { tr {
                        th { "figure" } th { "visit " (chosen.record.name) } th { "95 % interval" }
                        @for (visit, _) in &others { th { "visit " (visit.record.name) } }
                        th.words { "what it is" }
                    } }
                    tbody { @for (index, told) in report.figures.iter().enumerate() {
                        tr {
                            th scope="row" { (told.title) }
                            td { (show(told, told.value_mm)) }
                            td { (show(told, told.low_mm)) " to " (show(told, told.high_mm)) }
                            @for (_, figures) in &others {
                                td { @if let Some(other) = figures.get(index) { (show(other, other.value_mm)) } }
                            }
                            td.words { (told.meaning) }
                        }
                    } }
                }
            }
        }
    }
}
