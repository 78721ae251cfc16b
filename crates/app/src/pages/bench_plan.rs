//! The page Bench plan: what next, with what, how far, and when to stop.

use bench::effort::RateBasis;
use bench::gauges::Light;
use bench::{BenchPlan, Stage, Work};
use drawing::pictures::{beam_sweep, left_map, radius_chart, saw_tooth, touch_strip};
use instrument::Instrument;
use instrument::camber::Law;
use maud::{Markup, html};

use super::layout::{address, hidden};
use super::{Asked, PageName, TypedLog, figure, figure_saying, picture};
use crate::paper::stage_words::{StageWords, caution_place, stage_words};
use crate::show::{change, change_of, fret_name, length, minutes, moment, volume};
use crate::view::{Figures, View};
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures, asked: &Asked) -> Markup {
    html! {
        h1 { "Bench plan" }
        (kit_line(view))
        @match &now.plan {
            Some(plan) => (planned(view, now, plan, asked)),
            None => (no_kit(view)),
        }
    }
}

fn kit_line(view: &View) -> Markup {
    let Some(chosen) = &view.kit else {
        return html! {};
    };
    html! {
        p.lead {
            "With the kit " a href=(format!("/kit/{}", chosen.entry.id)) { (chosen.entry.title) } ". "
            a.paper href=(format!("/commission/{}/bench", view.entry.id)) { strong { "At the bench" } } " "
            a.paper href=(format!("/commission/{}/bench-plan.pdf?paper=a4", view.entry.id)) { "On paper, A4" } " "
            a.paper href=(format!("/commission/{}/bench-plan.pdf?paper=letter", view.entry.id)) { "On paper, Letter" }
        }
    }
}

fn no_kit(view: &View) -> Markup {
    html! {
        section.empty {
            @match &view.kit {
                Some(chosen) => {
                    p { "The kit " a href=(format!("/kit/{}", chosen.entry.id)) { (chosen.entry.title) } " has faults; mend it and the plan is made." }
                }
                None => {
                    p { "A plan is made from the tools that your shop owns." }
                    p { "Choose a kit for this commission in the " a href="/book" { "book" } ", or write one there." }
                }
            }
        }
    }
}

fn planned(view: &View, now: &Figures, plan: &BenchPlan, asked: &Asked) -> Markup {
    let instrument = &now.instrument;
    html! {
        (picture(&saw_tooth(instrument, plan, view.look()), "saw-tooth"))
        (picture(&left_map(instrument, plan, view.look()), "left"))
        (deciding(view, now, plan))
        (minded(plan))
        (stages(view, now, plan, asked))
        section {
            h2 { "Where each block may work" }
            p { "A block cuts nothing that must stay where the board is at least as arched as its face. Past its zone its flanks would cut below the finished edges." }
            (picture(&radius_chart(instrument, view.look(), Some(plan)), "zones"))
            (unused(view, plan))
            (helpful(view, plan))
        }
        section {
            h2 { "How the beam travels" }
            (picture(&beam_sweep(instrument, plan, view.look()), "sweep"))
            (beam(view, instrument, plan))
        }
        (gauges(view, plan))
    }
}

fn deciding(view: &View, now: &Figures, plan: &BenchPlan) -> Markup {
    let was = view.was_plan();
    let leave = plan.blocks_leave;
    html! {
        dl.figures id="plan-figures" data-part {
            (figure(&words::BLANK_TO_BEGIN_WITH, html! {
                (length(view.units, plan.start_mm, 2))
                (change(view.units, plan.start_mm, was.map(|was| was.start_mm), 2))
            }))
            (figure(&words::FINISHED_CROWN, length(view.units, now.instrument.wood.crown_thickness_mm, 2)))
            (figure(&words::BLOCKS_LEAVE, html! {
                (length(view.units, leave.max_mm, 3))
                (change(view.units, leave.max_mm, was.map(|was| was.blocks_leave.max_mm), 3))
            }))
            (figure(&words::BLOCKS_LEAVE_IN_ALL, html! {
                (volume(leave.volume_mm3))
                (change_of(leave.volume_mm3, was.map(|was| was.blocks_leave.volume_mm3), 0, "mm³"))
            }))
            (figure_saying(&words::RUBBING_TIME, html! { (minutes(plan.minutes())) }, wear_words(plan)))
        }
    }
}

fn wear_words(plan: &BenchPlan) -> &'static str {
    match plan.wear.basis {
        RateBasis::Default { .. } => {
            "by our default wear rate, a guess: log stages and your own replaces it"
        }
        RateBasis::Fitted { .. } => "by the wear rate of your own logged stages",
    }
}

fn minded(plan: &BenchPlan) -> Markup {
    html! {
        section.minded id="plan-minded" data-part {
            @if !plan.reaches_finish { p.notice.not-done role="alert" { strong { "This kit cannot finish the board." } " What it can do is planned below; what is missing is named here." } }
            h2 { "To be minded" }
            ul { @for caution in &plan.cautions { li { strong { (caution_place(plan, caution)) } " — " (caution.message) } } }
        }
    }
}

fn stages(view: &View, now: &Figures, plan: &BenchPlan, asked: &Asked) -> Markup {
    // What comes next is the first stage that is not logged as done.
    let is_done = |stage: &&Stage| view.is_done(&stage.key);
    let next = plan.stages.iter().find(|stage| !is_done(stage));
    let open = asked
        .stage
        .clone()
        .or_else(|| next.map(|stage| stage.key.clone()));
    html! {
        section id="stages" {
            h2 { "Stages" }
            ol.stages {
                @for (index, stage) in plan.stages.iter().enumerate() {
                    (stage_entry(view, now, (index + 1, stage), (open.as_deref() == Some(stage.key.as_str())).then_some(&asked.log)))
                }
            }
        }
    }
}

/// A stage with its number; an opened one shows all of it, with what was typed for its log.
fn stage_entry(
    view: &View,
    now: &Figures,
    (number, stage): (usize, &Stage),
    open: Option<&TypedLog>,
) -> Markup {
    let words = stage_words(&now.instrument, stage, view.units);
    let here = format!("{}&stage={}", address(view, PageName::BenchPlan), stage.key);
    html! {
        li.stage id=(format!("stage-{}", stage.key)) {
            h3 {
                @if open.is_some() { span { (number) ". " (words.title) } }
                @else { a href=(format!("{here}#stage-{}", stage.key)) data-open { (number) ". " (words.title) } }
            }
            p.stage-line { (words.where_to) " · " (words.takes) " · " (minutes(stage.effort.minutes)) }
            @for log in view.done.iter().filter(|log| log.stage == stage.key) {
                p.done-line { strong { @if view.is_outdated(log) { "Done for another camber " } @else { "✓ Done " } } time { (moment(log.at)) } ", " (format!("{} min", log.minutes))
                    @if !log.note.is_empty() { ": " (log.note) } }
            }
            @if let Some(typed) = open { (stage_detail(view, now, stage, &words)) (done_form(view, stage, typed)) }
        }
    }
}

fn stage_detail(view: &View, now: &Figures, stage: &Stage, words: &StageWords) -> Markup {
    html! {
        dl.steps {
            dt { "How" } dd { (words.how) }
            dt { "Chalk" } dd { (words.chalk) }
            dt { "Stop" } dd { (words.stop) }
            dt { "Check" } dd { (words.check) }
        }
        (picture(&touch_strip(&now.instrument, stage, view.look()), "chalk"))
        div.scroller tabindex="0" role="group" aria-label="Shares of the strokes" { table.strokes {
            caption { "Share the strokes along the stretch as the wood lies" }
            thead { tr { @for part in 0..stage.strokes.len() { th { (part_name(part, stage.strokes.len())) } } } }
            tbody { tr { @for share in &stage.strokes { td { (format!("{:.0} %", 100.0 * share)) } } } }
        } }
        p.faint {
            "Crown " (length(view.units, now.instrument.wood.crown_thickness_mm + stage.before.offset_mm, 2)) " to "
            (length(view.units, now.instrument.wood.crown_thickness_mm + stage.after.offset_mm, 2))
            "; of what comes off " (volume(stage.arch_mm3)) " changes the arch, the rest lowers the board evenly; rubbing " (format!("{:.0} m", stage.effort.distance_m))
            ", thinnest edge after it " (length(view.units, stage.edge_after_mm.0, 2))
            " at " (length(view.units, stage.edge_after_mm.1, 0)) "."
        }
    }
}

fn part_name(part: usize, parts: usize) -> String {
    if part == 0 {
        "nut end".into()
    } else if part + 1 == parts {
        "far end".into()
    } else {
        format!("part {}", part + 1)
    }
}

fn done_form(view: &View, stage: &Stage, typed: &TypedLog) -> Markup {
    html! {
        form.done method="post" action=(format!("/commission/{}/stage-done", view.entry.id)) data-follow {
            (hidden(view, PageName::BenchPlan))
            input type="hidden" name="stage" value=(stage.key);
            label { "It took " input type="text" name="minutes" value=(typed.minutes) inputmode="decimal" size="5" required autofocus[view.mends("minutes")]; " minutes" }
            label { "Note " input type="text" name="note" value=(typed.note) size="30"; }
            button type="submit" { "Log this stage as done" }
        }
    }
}

fn unused(view: &View, plan: &BenchPlan) -> Markup {
    if plan.unused.is_empty() {
        return html! {};
    }
    html! {
        ul { @for unused in &plan.unused {
            li { "The " (view.units.radius(unused.block.radius)) " block stays in the drawer: " (unused.why) "." }
        } }
    }
}

fn helpful(view: &View, plan: &BenchPlan) -> Markup {
    if plan.helpful.is_empty() {
        return html! { p { "No block that is commonly made would leave less." } };
    }
    html! {
        h3 { "Which block would help most" }
        div.scroller tabindex="0" role="group" aria-label="Blocks not owned" {
            table {
                thead { tr { th { "block not owned" } th { "would leave at most" } th { "and in all" } } }
                tbody {
                    tr { th scope="row" { "as it is" }
                        td { (length(view.units, plan.blocks_leave.max_mm, 3)) } td { (volume(plan.blocks_leave.volume_mm3)) } }
                    @for block in plan.helpful.iter().take(6) {
                        tr { th scope="row" { (view.units.radius(block.radius)) }
                            td { (length(view.units, block.left_max_mm, 3)) } td { (volume(block.left_mm3)) } }
                    }
                }
            }
        }
    }
}

fn beam(view: &View, instrument: &Instrument, plan: &BenchPlan) -> Markup {
    let beam = &plan.beam;
    if instrument.camber.law == Law::Single {
        return html! {
            p { "Keep it parallel to the centreline from edge to edge: with one radius the straight lines of the surface all run along the board." }
        };
    }
    html! {
        @if let [_] = beam.spans.as_slice() {
            p {
                "Swing it: its end at the last fret moves "
                strong { (format!("{:.4}", beam.far_to_near_sweep)) }
                " times as far to the side as its nut end. With the nut end at the board's edge it stands "
                strong { (format!("{:.3}°", beam.edge_angle_deg)) } " out of that edge."
            }
        } @else {
            p { "No straight line lies in the surface past a station: work stretch by stretch, with a beam no longer than each." }
            ul { @for span in &beam.spans {
                li {
                    "From " (view.units.length(span.from_mm, 1)) " to " (view.units.length(span.to_mm, 1))
                    " its far end moves " strong { (format!("{:.4}", span.ratio())) } " times as far as its nut end."
                }
            } }
        }
        ul {
            @for (way, words) in [(&beam.along_edges, "Kept in line with the board's edges"), (&beam.along_centreline, "Kept parallel to the centreline")] {
                li {
                    (words) " it tends to " (view.units.radius(way.radius_at_last_fret)) " at the last fret: "
                    @if way.low_at_edge_mm >= 0.0 { (view.units.length(way.low_at_edge_mm, 3)) " too low at that edge." }
                    @else { (view.units.length(-way.low_at_edge_mm, 3)) " left at that edge." }
                }
            }
        }
    }
}

fn gauges(view: &View, plan: &BenchPlan) -> Markup {
    if plan.gauges.is_empty() {
        return html! {};
    }
    html! {
        section id="gauges" data-part {
            h2 { "What the gauges prove" }
            p { "No light is not proof of a radius: it proves an interval, and this eye's interval is the last column." }
            div.scroller tabindex="0" role="group" aria-label="Gauges" {
                table {
                    thead { tr { th { "at" } th { "planned" } th { "gauge" } th { "a right surface shows" } th { "no light would prove" } } }
                    tbody { @for station in &plan.gauges {
                        tr class=[(station.fret == view.pointed.fret).then_some("here")] data-fret=(station.fret) {
                            th scope="row" { (fret_name(station.fret)) }
                            td { (view.units.radius(station.radius)) }
                            td { (view.units.radius(station.gauge)) }
                            td { @match station.light {
                                Light::None => "no light",
                                Light::Edges => { (view.units.length(station.light_mm, 3)) " at both edges" }
                                Light::Crown => { (view.units.length(-station.light_mm, 3)) " at the crown" }
                            } }
                            td { (view.units.radius(station.no_light.0)) " to " (view.units.radius(station.no_light.1)) }
                        }
                    } }
                }
            }
        }
    }
}

/// The tool of a stage for the shop's log.
pub fn tool_of(stage: &Stage) -> String {
    match &stage.work {
        Work::Block(block) => format!("block {:.1} mm", block.radius.mm()),
        Work::Beam(beam) => format!("beam {:.0} mm", beam.length_mm),
        Work::FallAway(beam) => format!("beam {:.0} mm on the fall-away", beam.length_mm),
    }
}
