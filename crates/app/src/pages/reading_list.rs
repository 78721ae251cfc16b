//! The readings of a visit, one by one: what counts, what was set aside and why, what is not sound.

use maud::{Markup, html};
use readings::figures::half_95;
use readings::reading::{Amount, Chalk, ChalkTool, Gap, Reading, Seen, What};

use super::PageName;
use super::layout::hidden;
use crate::show::moment;
use crate::view::View;
use crate::visits::KeptVisit;

/// Readings that are listed one by one.
const MOST_LISTED: usize = 400;

/// A longer list is folded away, so that the page stays short.
const MOST_OPEN: usize = 24;

/// The list.
pub(super) fn reading_list(view: &View, visit: &KeptVisit) -> Markup {
    let readings = &visit.visit.readings;
    let bulk: usize = visit
        .visit
        .clouds
        .iter()
        .map(|cloud| cloud.x_mm.len())
        .sum();
    html! {
        section id="list" data-part {
            h2 { "What was read" }
            @if bulk > 0 { p { (bulk) " heights in bulk." } }
            @if !visit.faults.is_empty() { (faults(visit)) }
            @if !readings.is_empty() {
                details.one-by-one open[readings.len() <= MOST_OPEN] {
                summary { (readings.len()) " readings, one by one" }
                div.scroller tabindex="0" role="group" aria-label="Readings" {
                    table.all {
                        thead { tr { th { "no." } th.words { "kind" } th.words { "where" } th.words { "read" } th { "give or take" } th.words { "note" } th.words { "set aside, because" } } }
                        tbody { @for reading in readings.iter().take(MOST_LISTED) { (row(view, visit, reading)) } }
                    }
                }
                @if readings.len() > MOST_LISTED { p.faint { "and " (readings.len() - MOST_LISTED) " more." } }
                }
            }
            @if !visit.aside.is_empty() {
                h3 { "Set aside" }
                ul.aside { @for aside in &visit.aside {
                    li {
                        "No. " (aside.reading.line) ", " (aside.reading.what.kind()) ", " (aside.reading.place) ", "
                        (words(view, &aside.reading)) ": " em { (aside.reason) } " "
                        (button(view, visit, aside.reading.line, "take-back", "Take back in"))
                    }
                } }
            }
            (batches(view, visit))
        }
    }
}

fn faults(visit: &KeptVisit) -> Markup {
    html! {
        div.faults {
            h3 { "Not counted" }
            ul { @for fault in &visit.faults { li { (fault) } } }
            p { "These lines are kept as they came." }
        }
    }
}

fn row(view: &View, visit: &KeptVisit, reading: &Reading) -> Markup {
    html! {
        tr {
            th scope="row" { (reading.line) }
            td.words { (reading.what.kind()) }
            td.words { (reading.place) }
            td.words { (words(view, reading)) }
            td { (view.units.length(half_95(reading.sigma_mm), 3)) }
            td.words { (reading.note) }
            td.words { (set_aside(view, visit, reading.line)) }
        }
    }
}

fn set_aside(view: &View, visit: &KeptVisit, line: usize) -> Markup {
    let Some((batch, own)) = visit.origin(line) else {
        return html! {};
    };
    html! {
        form.aside method="post" action=(format!("/commission/{}/set-aside", view.entry.id)) data-follow {
            (hidden(view, PageName::Readings))
            input type="hidden" name="visit" value=(visit.record.id);
            input type="hidden" name="batch" value=(batch);
            input type="hidden" name="line" value=(own);
            input type="text" name="reason" size="14" maxlength="200" required aria-label=(format!("reason to set aside reading {line}"));
            button.quiet-shown type="submit" { "Set aside" }
        }
    }
}

fn button(view: &View, visit: &KeptVisit, line: usize, action: &str, name: &str) -> Markup {
    let Some((batch, own)) = visit.origin(line) else {
        return html! {};
    };
    html! {
        form.inline method="post" action=(format!("/commission/{}/{action}", view.entry.id)) data-follow {
            (hidden(view, PageName::Readings))
            input type="hidden" name="visit" value=(visit.record.id);
            input type="hidden" name="batch" value=(batch);
            input type="hidden" name="line" value=(own);
            button.quiet-shown type="submit" aria-label=(format!("{name}: reading {line}")) { (name) }
        }
    }
}

/// Batches of many lines, each with the way to set it aside whole.
fn batches(view: &View, visit: &KeptVisit) -> Markup {
    let many: Vec<_> = visit
        .batches
        .iter()
        .filter(|batch| batch.lines > 3)
        .collect();
    html! {
        @if !many.is_empty() {
            h3 { "Taken in together" }
            ul.aside { @for batch in many {
                li {
                    (batch.source) ", " (moment(batch.at)) ", " (batch.lines) " lines "
                    @if let Some(aside) = batch.set_aside.iter().find(|aside| aside.line.is_none()) {
                        "set aside: " em { (aside.reason) } " "
                        form.inline method="post" action=(format!("/commission/{}/take-back", view.entry.id)) data-follow {
                            (hidden(view, PageName::Readings))
                            input type="hidden" name="visit" value=(visit.record.id);
                            input type="hidden" name="batch" value=(batch.id);
                            button.quiet-shown type="submit" { "Take back in" }
                        }
                    } @else {
                        form.aside method="post" action=(format!("/commission/{}/set-aside", view.entry.id)) data-follow {
                            (hidden(view, PageName::Readings))
                            input type="hidden" name="visit" value=(visit.record.id);
                            input type="hidden" name="batch" value=(batch.id);
                            input type="text" name="reason" size="14" maxlength="200" required aria-label="reason to set all of them aside";
                            button.quiet-shown type="submit" { "Set all aside" }
                        }
                    }
                }
            } }
        }
    }
}

/// What a reading showed, in words.
pub(super) fn words(view: &View, reading: &Reading) -> String {
    let mm = |mm: f64| view.units.length(mm, 3);
    let amount = |amount: &Amount| match amount {
        Amount::Mm(light) => mm(*light),
        Amount::AtLeast(_) => "seen".into(),
    };
    match &reading.what {
        What::Height { height_mm, .. } => mm(*height_mm),
        What::Light { gauge, seen, .. } => {
            let gauge = view.units.radius(*gauge);
            match seen {
                Seen::Nothing { .. } => format!("{gauge}: no light"),
                Seen::Edges(light) => format!("{gauge}: {} at both edges", amount(light)),
                Seen::Crown(light) => format!("{gauge}: {} at the crown", amount(light)),
                Seen::OneEdge { light_mm, .. } => format!("{gauge}: {} at one edge", mm(*light_mm)),
            }
        }
        What::Gap { gap, .. } => match gap {
            Gap::Mm(gap) => mm(*gap),
            Gap::None { least_mm } => format!("under {}", mm(*least_mm)),
        },
        What::Rock { hump_mm, .. } => format!("rocks, at least {}", mm(*hump_mm)),
        What::Sagitta {
            chord_mm,
            sagitta_mm,
            ..
        } => format!(
            "{} on {} legs",
            mm(*sagitta_mm),
            view.units.length(*chord_mm, 0)
        ),
        What::Thickness { thickness_mm, .. } => mm(*thickness_mm),
        What::Chalk { tool, chalk, .. } => {
            let tool = match tool {
                ChalkTool::Block(radius) => format!("block {}", view.units.radius(*radius)),
                ChalkTool::Beam => "beam".into(),
            };
            let left = match chalk {
                Chalk::Stayed => "stayed",
                Chalk::Gone => "went",
            };
            format!("{left} under the {tool}")
        }
    }
}
