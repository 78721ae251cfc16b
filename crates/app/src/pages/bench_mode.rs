//! Bench mode: one stage a screen, large, for a tablet and dusty hands.

use bench::{BenchPlan, Stage};
use drawing::pictures::{beam_sweep, departure_map, touch_strip};
use maud::{Markup, html};
use readings::report;

use super::measured_pictures::departure;
use super::next_step::{headline, step_picture, telling_words};
use super::reading_entry::one;
use super::{Asked, Notice, PageName, picture};
use crate::pages::layout::{document, hidden};
use crate::paper::stage_words::stage_words;
use crate::show::minutes;
use crate::view::{Figures, View, ask};
use crate::visits::KeptVisit;

/// The screen of a stage.
pub fn bench_page(view: &View, asked: &Asked) -> Markup {
    let title = format!("{} at the bench", view.entry.title);
    let content = match &view.now {
        Some(now) => match &now.plan {
            Some(plan) if !plan.stages.is_empty() => screen(view, now, plan, asked),
            _ => nothing(
                view,
                "Without a kit that can do the work there is no stage to show.",
            ),
        },
        None => nothing(view, "This commission has never been sound: mend it first."),
    };
    document(&title, top(view), html! { div.bench.content { (content) } })
}

fn top(view: &View) -> Markup {
    html! {
        header.top {
            a.mark href=(format!("/commission/{}/bench-plan", view.entry.id)) { "‹ Bench plan" }
            span.title { (view.entry.title) }
            a href=(format!("/commission/{}/readings", view.entry.id)) { "Readings" }
        }
    }
}

fn nothing(view: &View, words: &str) -> Markup {
    html! {
        section.empty {
            h1 { "At the bench" }
            p { (words) }
            p { a href=(format!("/commission/{}/bench-plan", view.entry.id)) { "To the bench plan" } }
        }
    }
}

/// The stage asked for; otherwise the first that is not logged as done, or the last.
fn stage_at(view: &View, plan: &BenchPlan, asked: &Asked) -> usize {
    let done = |stage: &Stage| view.is_done(&stage.key);
    asked
        .stage
        .as_ref()
        .and_then(|key| plan.stages.iter().position(|stage| stage.key == *key))
        .or_else(|| plan.stages.iter().position(|stage| !done(stage)))
        .unwrap_or(plan.stages.len().saturating_sub(1))
}

fn screen(view: &View, now: &Figures, plan: &BenchPlan, asked: &Asked) -> Markup {
    let index = stage_at(view, plan, asked);
    let stage = &plan.stages[index];
    let words = stage_words(&now.instrument, stage, view.units);
    let visit = view
        .visits
        .iter()
        .rev()
        .find(|visit| visit.record.stage == stage.key);
    html! {
        div id="words" data-part { (notice(asked)) }
        div id="stage" data-part {
            nav.stage-steps aria-label="Stages" {
                (step_link(view, plan, index.checked_sub(1), "‹ Before"))
                strong { "Stage " (index + 1) " of " (plan.stages.len()) }
                (step_link(view, plan, (index + 1 < plan.stages.len()).then_some(index + 1), "Next ›"))
            }
            h1 { (words.title) }
            p.large { (capital(&words.where_to)) ", " (words.takes) ", " (minutes(stage.effort.minutes)) "." }
            dl.steps.large {
                dt { "How" } dd { (words.how) }
                dt { "Chalk" } dd { (words.chalk) }
                dt { "Stop" } dd { (words.stop) }
                dt { "Check" } dd { (words.check) }
            }
            @if matches!(stage.work, bench::Work::Beam(_)) {
                (picture(&beam_sweep(&now.instrument, plan, view.look()), "sweep"))
            }
            h2 { "What the chalk must look like" }
            (picture(&touch_strip(&now.instrument, stage, view.look()), "chalk"))
        }
        (measured(view, now, visit))
        section id="enter" data-part {
            h2 { "Enter a reading after this stage" }
            @match visit {
                Some(visit) => (one(view, now, visit, asked, PageName::BenchPlan, Some(&stage.key))),
                None => (begin(view, stage)),
            }
        }
        (done(view, stage, asked))
        section.minded {
            p { "Dust harms lungs and skin: extract it and wear a mask that fits; some woods sensitise. Keep fingers behind edges. What the law of your place and licensed practice ask comes first." }
        }
    }
}

/// A sentence begins with a capital.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn notice(asked: &Asked) -> Markup {
    match &asked.notice {
        Some(Notice::Done(words)) => html! { p.notice role="status" { (words) } },
        Some(Notice::NotDone(words)) => {
            html! { p.notice.not-done role="alert" { strong { "Not done: " } (words) } }
        }
        None => html! {},
    }
}

fn step_link(view: &View, plan: &BenchPlan, to: Option<usize>, name: &str) -> Markup {
    match to.and_then(|to| plan.stages.get(to)) {
        Some(stage) => {
            let address = format!("/commission/{}/bench?stage={}", view.entry.id, stage.key);
            html! { a.big href=(address) { (name) } }
        }
        None => html! { span.big.faint aria-hidden="true" { (name) } },
    }
}

/// What the readings of this stage say, and the next step on the board.
fn measured(view: &View, now: &Figures, visit: Option<&KeptVisit>) -> Markup {
    let Some(visit) = visit.filter(|visit| visit.visit.count() > 0) else {
        return html! { section id="measured" data-part {} };
    };
    let ask = ask(view, now, visit);
    html! {
        section id="measured" data-part {
            h2 { "What the readings say" }
            @match report(&ask) {
                Err(error) => p.notice.not-done { (error) },
                Ok(report) => @match &report.next {
                    Err(_) => p.notice.not-done { "No surface of the planned camber lies inside the wood within the limits." },
                    Ok(next) => {
                        p.large { (headline(view, &report, next)) }
                        @if let Some(best) = next.telling.first().filter(|_| !next.done) {
                            p.large { "Read next: " strong { (telling_words(view, best)) } "." }
                        }
                        (picture(&step_picture(view, now, &report, next), "step"))
                        (picture(&departure_map(&now.instrument, &departure(&report, visit), view.look()), "departure"))
                    }
                }
            }
        }
    }
}

fn begin(view: &View, stage: &Stage) -> Markup {
    let name = (1..)
        .map(|number: usize| number.to_string())
        .find(|name| view.visits.iter().all(|visit| visit.record.name != *name))
        .unwrap_or_default();
    html! {
        form method="post" action=(format!("/commission/{}/visit", view.entry.id)) data-follow {
            (hidden(view, PageName::BenchPlan))
            input type="hidden" name="name" value=(name);
            input type="hidden" name="date" value=(crate::show::today());
            input type="hidden" name="stage" value=(stage.key);
            input type="hidden" name="bench" value=(stage.key);
            button.enter type="submit" { "Begin reading: visit " (name) }
        }
    }
}

fn done(view: &View, stage: &Stage, asked: &Asked) -> Markup {
    let logged = view.done.iter().rev().find(|log| log.stage == stage.key);
    html! {
        section id="done" data-part {
            h2 { "Done with this stage?" }
            @if let Some(log) = logged {
                p.large { "✓ Logged " time { (crate::show::moment(log.at)) } ", " (format!("{} min", log.minutes)) }
            }
            form.done method="post" action=(format!("/commission/{}/stage-done", view.entry.id)) data-follow {
                (hidden(view, PageName::BenchPlan))
                input type="hidden" name="stage" value=(stage.key);
                input type="hidden" name="bench" value=(stage.key);
                label { "It took " input type="text" name="minutes" value=(asked.log.minutes) inputmode="decimal" size="5" required; " minutes" }
                label { "Note " input type="text" name="note" value=(asked.log.note) size="30"; }
                button.enter type="submit" { "This stage is done" }
            }
        }
    }
}
