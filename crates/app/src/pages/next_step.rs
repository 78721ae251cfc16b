//! The next step in words and on the board: what comes off, with what, what holds it down, and
//! the choices.

use bench::Work;
use drawing::pictures::{BeamSweep, LimitingSpot, StepLook, step_on_board};
use maud::{Markup, html};
use readings::place::place_words;
use readings::report::{Next, Report, Verdict};
use readings::steps::Step;
use readings::telling::Telling;

use super::measured_pictures::take_off;
use super::picture;
use crate::show::{at, length, minutes, spot_words, volume};
use crate::view::{Figures, View};

/// A crown thinner than planned by more than this is told beside the amount, mm.
const NOTED_CROWN_MM: f64 = 0.05;

/// The next step.
pub(super) fn next_step(view: &View, now: &Figures, report: &Report<'_>, next: &Next) -> Markup {
    html! {
        section id="next-step" data-part {
            h2 { "Next step" }
            p.lead { (headline(view, report, next)) }
            @if next.verdict == Verdict::ReadFirst {
                (telling(view, next))
                details {
                    summary { "What would have to come off to be sure without another reading" }
                    p { (take_off_words(view, report, next)) " Most of it is for what is not known." }
                    (taking_off(view, now, report, next))
                }
            } @else {
                (taking_off(view, now, report, next))
                (telling(view, next))
            }
        }
    }
}

/// What comes off, tool by tool, what holds it down, what is left then, and the choices.
fn taking_off(view: &View, now: &Figures, report: &Report<'_>, next: &Next) -> Markup {
    html! {
        (picture(&step_picture(view, now, report, next), "step"))
        @if !next.is_done() {
            @if !next.steps.is_empty() { (steps(view, next)) }
            (held_down(now, report, next))
        }
        (after(view, now, next))
        (choices(view, now, report, next))
    }
}

/// What to do, in one sentence.
pub(super) fn headline(view: &View, report: &Report<'_>, next: &Next) -> Markup {
    let departure = &next.departure;
    html! {
        @match next.verdict {
            Verdict::Done => {
                "This stage is done" (at_grade(report)) ". "
                @if report.allowance_mm > 0.0 { "Go on with the next grade of the plan." } @else { "No grade has anything left to find: the surface is finished." }
            }
            Verdict::ReadFirst => {
                strong { "Take nothing off yet; read on. " }
                "As it is found the wood stands out of the camber by " (length(view.units, departure.found_mm(), 3)) ", and " (length(view.units, report.tolerance_mm, 3))
                " is let pass; but too little is known: it may be " (length(view.units, departure.at_most_mm, 3)) "."
            }
            Verdict::TakeOff => (take_off_words(view, report, next)),
        }
    }
}

fn at_grade(report: &Report<'_>) -> String {
    let grade = report.grade;
    grade.map_or(String::new(), |grade| format!(" at {}", grade.name))
}

fn take_off_words(view: &View, report: &Report<'_>, next: &Next) -> Markup {
    html! {
        "Take off " strong { (volume(next.take_off_mm3)) } (at_grade(report)) ", at most "
        strong { (length(view.units, next.take_off_max_mm, 3)) }
        ". That stays inside the wood, 95 % sure."
    }
}

/// The crown when all grades are done, where the step costs more of it than was planned.
pub(super) fn costs_crown(view: &View, now: &Figures, next: &Next) -> Markup {
    let planned_mm = now.instrument.wood.crown_thickness_mm;
    let [nut, last] = next.finished_crown;
    let least_mm = nut.value.min(last.value);
    html! {
        @if least_mm < planned_mm - NOTED_CROWN_MM {
            p.large { strong { "It costs crown: " } (length(view.units, least_mm, 2)) " are left when all grades are done; planned are " (length(view.units, planned_mm, 2)) "." }
        }
    }
}

/// The next step drawn on the board, the last tool's way with it.
pub(crate) fn step_picture(
    view: &View,
    now: &Figures,
    report: &Report<'_>,
    next: &Next,
) -> drawing::Scene {
    let tool = next.steps.last();
    let look = StepLook {
        tool: tool.map_or(String::new(), |step| tool_words(view, step)),
        spans_mm: tool.map_or(Vec::new(), |step| {
            step.spans
                .iter()
                .map(|span| (span.from_mm, span.to_mm))
                .collect()
        }),
        sweep: tool
            .filter(|step| matches!(step.work, Work::Beam(_)))
            .and_then(|_| sweep(now)),
        limiting: next
            .accept
            .iter()
            .map(|choice| {
                let spot = report.map.grid.spots[choice.spot];
                LimitingSpot {
                    x_mm: spot.x_mm,
                    y_mm: spot.y_mm,
                    words: place_words(&now.instrument, spot),
                }
            })
            .collect(),
    };
    step_on_board(&now.instrument, &take_off(report, next), &look, view.look())
}

fn sweep(now: &Figures) -> Option<BeamSweep> {
    let plan = now.plan.as_ref()?;
    let [span] = plan.beam.spans.as_slice() else {
        return None;
    };
    Some(BeamSweep {
        near_x_mm: span.from_mm,
        near_y_mm: span.near_sweep_mm,
        far_x_mm: span.to_mm,
        far_y_mm: span.far_sweep_mm,
    })
}

/// A step's tool in words.
pub(super) fn tool_words(view: &View, step: &Step) -> String {
    let tool = match &step.work {
        Work::Block(block) => format!("block {}", view.units.radius(block.radius)),
        Work::Beam(beam) | Work::FallAway(beam) => {
            format!("beam {}", view.units.length(beam.length_mm, 0))
        }
    };
    format!("{tool}, {}", step.grade.name)
}

fn steps(view: &View, next: &Next) -> Markup {
    html! {
        div.scroller tabindex="0" role="group" aria-label="Tool by tool" {
            table {
                caption { "Tool by tool, from the wood as it is" }
                thead { tr { th { "tool" } th { "from" } th { "to" } th { "takes off" } th { "at most" } th { "rubbing" } } }
                tbody { @for step in &next.steps { tr {
                    th scope="row" { (tool_words(view, step)) }
                    td { @for span in &step.spans { div { (length(view.units, span.from_mm, 0)) } } }
                    td { @for span in &step.spans { div { (length(view.units, span.to_mm, 0)) } } }
                    td { (volume(step.removed_mm3)) }
                    td { (length(view.units, step.deepest_mm, 3)) }
                    td { (minutes(step.effort.minutes)) }
                } } }
            }
        }
    }
}

fn held_down(now: &Figures, report: &Report<'_>, next: &Next) -> Markup {
    let spots: Vec<String> = next
        .accept
        .iter()
        .map(|choice| spot_words(&now.instrument, report.map.grid.spots[choice.spot]))
        .collect();
    html! {
        @if !spots.is_empty() {
            p { "The surface is held down by the wood " strong { (spots.join("; ")) } "." }
        }
    }
}

fn after(view: &View, now: &Figures, next: &Next) -> Markup {
    let (edge, spot) = next.edge_after;
    let between = |figure: readings::measured::Figure| {
        html! { (length(view.units, figure.value, 2)) " (" (length(view.units, figure.low(), 2)) " to " (length(view.units, figure.high(), 2)) ")" }
    };
    let least = now.instrument.wood.least_edge_mm;
    html! {
        p {
            "The thinnest edge is then " (between(edge)) ", " (spot_words(&now.instrument, spot))
            @if let Some(least) = least.filter(|least| edge.low() < *least) {
                strong { ": perhaps under the least edge of " (length(view.units, least, 2)) }
            }
            ". When all grades are done the crown is " (between(next.finished_crown[0])) " thick at the nut and "
            (between(next.finished_crown[1])) " at the last fret; planned are "
            (length(view.units, now.instrument.wood.crown_thickness_mm, 2)) "."
        }
    }
}

fn choices(view: &View, now: &Figures, report: &Report<'_>, next: &Next) -> Markup {
    if next.is_done() || (next.accept.is_empty() && next.radii.is_none()) {
        return html! {};
    }
    html! {
        h3 { "Your choice" }
        ul.choices {
            li { strong { "Work down to the lowest spot" } ": " (volume(next.take_off_mm3)) " come off." }
            @for choice in &next.accept {
                li {
                    strong { "Accept the low spot " (spot_words(&now.instrument, report.map.grid.spots[choice.spot])) }
                    ": as found it stays " (length(view.units, choice.left_low_mm, 3)) " low, perhaps "
                    (length(view.units, choice.perhaps_low_mm, 3)) ", over " (format!("{:.0} mm²", choice.low_area_mm2)) "; " (volume(choice.saved_mm3)) " stay on, "
                    (length(view.units, choice.higher_mm, 3)) " on the average."
                }
            }
            @if let Some(change) = &next.radii {
                li {
                    strong { "Change the radii" } " to "
                    @for (index, (x, radius)) in change.radii.iter().enumerate() {
                        @if index > 0 { ", " }
                        (view.units.radius(*radius)) " at " (length(view.units, *x, 0))
                    }
                    ": " (volume(change.saved_mm3)) " stay on, " (length(view.units, change.higher_mm, 3)) " on the average."
                }
            }
        }
    }
}

fn telling(view: &View, next: &Next) -> Markup {
    let Some(best) = next.telling.first().filter(|_| !next.is_done()) else {
        return html! {};
    };
    html! {
        h3 { "What to read next" }
        p {
            "Most would tell " strong { (telling_words(view, best)) } ": the interval of the departure that stands in the way falls from ± "
            (length(view.units, best.before_half_mm, 3)) " to ± " (length(view.units, best.after_half_mm, 3)) "."
        }
        @if next.telling.len() > 1 {
            ul { @for other in &next.telling[1..] {
                li { (telling_words(view, other)) ": to ± " (length(view.units, other.after_half_mm, 3)) }
            } }
        }
    }
}

/// The reading to take, with its tool and its place.
pub(super) fn telling_words(view: &View, telling: &Telling) -> String {
    let what = match (telling.gauge, telling.chord_mm) {
        (Some(gauge), _) => format!("light under the {} gauge", view.units.radius(gauge)),
        (_, Some(chord)) => format!("the dial on {} legs", view.units.length(chord, 0)),
        _ => format!("a {}", telling.kind),
    };
    format!("{what} {}", at(&telling.place))
}
