//! Bench mode: one stage a screen, large, for a tablet and dusty hands.

use bench::{BenchPlan, Stage};
use drawing::pictures::{beam_sweep, departure_map, touch_strip};
use maud::{Markup, html};
use readings::report;
use readings::report::Verdict;

use super::measured_pictures::departure;
use super::next_step::{costs_crown, headline, step_picture, telling_words};
use super::reading_entry::one;
use super::reading_list::words;
use super::{Asked, Notice, PageName, picture};
use crate::pages::layout::{bench_document, hidden};
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
                asked,
                "Without a kit that can do the work there is no stage to show.",
            ),
        },
        None => nothing(
            view,
            asked,
            "This commission has never been sound: mend it first.",
        ),
    };
    let stages = view.now.as_ref().and_then(|now| now.plan.as_ref());
    let stages = stages.filter(|_| asked.on_tablet);
    let keys: Vec<&str> = stages.map_or(Vec::new(), |plan| {
        plan.stages.iter().map(|stage| stage.key.as_str()).collect()
    });
    let main = html! { (outbox(&keys)) div.bench.content { (content) } };
    bench_document(&title, top(view, asked), main)
}

/// What waits to be sent, told by the script. A tablet fetches the stages named here ahead, so
/// that they can be leafed through while the connection is away.
pub(super) fn outbox(stages: &[&str]) -> Markup {
    html! {
        section.outbox id="outbox" hidden data-stages=(stages.join(" ")) aria-label="What waits to be sent" {
            p role="status" {}
            a href="/pair" hidden { "Pair this tablet" }
            ol tabindex="0" aria-label="Entries" {}
        }
    }
}

fn top(view: &View, asked: &Asked) -> Markup {
    if asked.on_tablet {
        return html! {
            header.top {
                a.mark href="/" { "‹ Commissions" }
                span.title { (view.entry.title) }
            }
        };
    }
    html! {
        header.top {
            a.mark href=(format!("/commission/{}/bench-plan", view.entry.id)) { "‹ Bench plan" }
            span.title { (view.entry.title) }
            a href=(format!("/commission/{}/readings", view.entry.id)) { "Readings" }
            a href="/tablet" { "Tablet" }
        }
    }
}

fn nothing(view: &View, asked: &Asked, words: &str) -> Markup {
    html! {
        section.empty {
            h1 { "At the bench" }
            p { (words) }
            @if asked.on_tablet {
                p { "That is done on the maker's own computer." }
                p { a href="/" { "To the commissions" } }
            } @else {
                p { a href=(format!("/commission/{}/bench-plan", view.entry.id)) { "To the bench plan" } }
            }
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
    let told = stage_words(&now.instrument, stage, view.units);
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
            h1 { (told.title) }
            p.large { (capital(&told.where_to)) ", " (told.takes) ", " (minutes(stage.effort.minutes)) "." }
            dl.steps.large {
                @if index == 0 {
                    dt { "Begin" } dd { "Bring the blank to " (view.units.length(plan.start_mm, 2)) ", flat and even: measure at the nut, the middle and the end, at both edges." }
                }
                dt { "How" } dd { (told.how) }
                dt { "Chalk" } dd { (told.chalk) }
                dt { "Stop" } dd { (told.stop) }
                dt { "Check" } dd { (told.check) }
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
                Some(visit) => p { "They join visit " strong { (visit.record.name) } "." },
                None => p { "The first one begins a visit after this stage." },
            }
            @if let Some(visit) = visit { (last_read(view, visit, asked.on_tablet)) }
            @if is_about_reading(asked) { (refused_here(asked)) }
            (one(view, now, visit, asked, PageName::BenchPlan, Some(&stage.key)))
        }
        (done(view, now, plan, index, asked))
        nav.stages-again id="stages-again" data-part aria-label="Stages, again" {
            (step_link(view, plan, index.checked_sub(1), "‹ Before"))
            (step_link(view, plan, (index + 1 < plan.stages.len()).then_some(index + 1), "Next ›"))
        }
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

/// True when what was not taken in is a reading.
fn is_about_reading(asked: &Asked) -> bool {
    let typed = asked.typed.iter().find(|(name, _)| name == "kind");
    typed.is_some_and(|(_, kind)| !kind.is_empty())
}

/// The last readings taken in, so that a hand sees that they are there.
fn last_read(view: &View, visit: &KeptVisit, on_tablet: bool) -> Markup {
    let readings = &visit.visit.readings;
    html! {
        @if !readings.is_empty() {
            p { (readings.len()) " taken in; the last:" }
            ul.last-read { @for reading in readings.iter().rev().take(LAST_READINGS) {
                li { "✓ " (reading.what.kind()) ", " (reading.place) ": " strong { (words(view, reading)) } }
            } }
            @if !on_tablet {
                p.faint { "A wrong one is set aside on the page " a href=(format!("/commission/{}/readings#list", view.entry.id)) { "Readings" } "." }
            }
        }
    }
}

/// So many of the last readings are shown.
const LAST_READINGS: usize = 3;

/// Why something was not taken in, said again where the hand is; the top of the page speaks it.
fn refused_here(asked: &Asked) -> Markup {
    match &asked.notice {
        Some(Notice::NotDone(words)) => {
            html! { p.notice.not-done { strong { "Not done: " } (words) } }
        }
        _ => html! {},
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
                        @if let Some(best) = next.telling.first().filter(|_| !next.is_done()) {
                            p.large { "Read next: " strong { (telling_words(view, best)) } "." }
                        }
                        @if next.verdict == Verdict::TakeOff {
                            (costs_crown(view, now, next))
                            (picture(&step_picture(view, now, &report, next), "step"))
                        }
                        (picture(&departure_map(&now.instrument, &departure(&report, visit), view.look()), "departure"))
                    }
                }
            }
        }
    }
}

/// The form that logs a stage; once it is logged, the way on comes first.
fn done(view: &View, now: &Figures, plan: &BenchPlan, index: usize, asked: &Asked) -> Markup {
    let stage = &plan.stages[index];
    let logged = view.done.iter().rev().find(|log| log.stage == stage.key);
    let is_done = view.is_done(&stage.key);
    html! {
        section id="done" data-part {
            h2 { "Done with this stage?" }
            @if let Some(log) = logged {
                p.large {
                    @if view.is_outdated(log) { "Logged for another camber " } @else { "✓ Logged " }
                    time { (crate::show::moment(log.at)) } ", " (format!("{} min", log.minutes))
                    @if !log.note.is_empty() { ": " (log.note) }
                }
            }
            @if is_done {
                @if let Some(next) = plan.stages.get(index + 1) {
                    p { a.big.onward href=(format!("/commission/{}/bench?stage={}", view.entry.id, next.key)) {
                        "Go on: " (stage_words(&now.instrument, next, view.units).title) " ›"
                    } }
                } @else { p.large { "That was the last stage of the plan." } }
            }
            @if !is_about_reading(asked) { (refused_here(asked)) }
            @if is_done {
                details { summary { "Log it once more" } (log_form(view, stage, asked)) }
            } @else { (log_form(view, stage, asked)) }
        }
    }
}

fn log_form(view: &View, stage: &Stage, asked: &Asked) -> Markup {
    html! {
        form.done method="post" action=(format!("/commission/{}/stage-done", view.entry.id)) data-follow data-keep {
            (hidden(view, PageName::BenchPlan))
            input type="hidden" name="sent_key" value=(asked.fresh_key);
            input type="hidden" name="stage" value=(stage.key);
            input type="hidden" name="bench" value=(stage.key);
            label { "It took " input type="text" name="minutes" value=(asked.log.minutes) inputmode="decimal" size="5" required; " minutes" }
            label { "Note " input type="text" name="note" value=(asked.log.note) size="30"; }
            button.enter type="submit" { "This stage is done" }
        }
    }
}
