//! What readings tell, for people at a terminal.

use std::fmt::Write as _;

use instrument::Radius;
use readings::Ask;
use readings::figures::Told;
use readings::report::{Next, Report, Verdict};

use super::print::radius;
use crate::record::{hint_words, tool_name, untold_words};
use crate::show::{at, minutes, spot_words};

/// Everything, the next step first.
pub fn read(ask: &Ask<'_>, report: &Report<'_>) -> String {
    let mut text = String::new();
    let visit = ask.visit;
    let after = match report.stage {
        Some(stage) => format!(", after {}", stage.key),
        None => String::new(),
    };
    let date = match visit.date.as_str() {
        "" => String::new(),
        date => format!(", {date}"),
    };
    line!(
        text,
        "{} · visit {}{date}{after} · {} readings",
        ask.instrument.title,
        visit.name,
        visit.count()
    );
    line!(text);
    if let Ok(next) = &report.next {
        next_step(&mut text, ask, report, next);
    }
    figures(&mut text, &report.figures);
    doubts(&mut text, report);
    if let Ok(next) = &report.next {
        more(&mut text, ask, report, next);
    }
    text
}

fn next_step(text: &mut String, ask: &Ask<'_>, report: &Report<'_>, next: &Next) {
    let words = |spot: usize| spot_words(ask.instrument, report.map.grid.spots[spot]);
    let percent = 100.0 * ask.allowed.confidence;
    let grade = report
        .grade
        .map_or(String::new(), |grade| format!(" at {}", grade.name));
    if next.is_done() {
        line!(
            text,
            "Done{grade}: the wood stands out of the camber by at most {:.3} mm ({percent:.0} % sure), and {:.3} mm is let pass.",
            next.departure.at_most_mm,
            report.tolerance_mm
        );
    } else {
        let verdict = match next.verdict {
            Verdict::ReadFirst => "Read on before anything comes off",
            Verdict::TakeOff | Verdict::Done => "Not done",
        };
        line!(
            text,
            "{verdict}{grade}: the wood stands out of the camber by {:.3} mm {}, perhaps by {:.3} mm {}; {:.3} mm is let pass.",
            next.departure.found_mm(),
            words(next.departure.largest),
            next.departure.at_most_mm,
            words(next.departure.in_the_way),
            report.tolerance_mm
        );
    }
    if next.is_done() {
        let on = if report.allowance_mm > 0.0 {
            "Go on with the next grade of the plan."
        } else {
            "No grade has anything left to find: the surface is finished."
        };
        line!(text, "{on}");
        thickness(text, ask, next);
        return;
    }
    let next_words = match next.verdict {
        Verdict::ReadFirst => "To be sure without another reading",
        Verdict::TakeOff | Verdict::Done => "Next",
    };
    line!(
        text,
        "{next_words}: take off {:.0} mm³, at most {:.3} mm, {}. That stays inside the wood, {percent:.0} % sure.",
        next.take_off_mm3,
        next.take_off_max_mm,
        words(next.take_off_max_at)
    );
    for spot in &next.target.limiting {
        line!(text, "  held down by the wood {}", words(*spot));
    }
    for step in &next.steps {
        let radius = match &step.work {
            bench::Work::Block(block) => format!(" {:.1} mm", block.radius.mm()),
            bench::Work::Beam(beam) | bench::Work::FallAway(beam) => {
                format!(" {:.0} mm", beam.length_mm)
            }
        };
        let spans: Vec<String> = step
            .spans
            .iter()
            .map(|span| format!("{:.0} to {:.0} mm", span.from_mm, span.to_mm))
            .collect();
        line!(
            text,
            "  {}{radius}, {}, {}: {:.0} mm³, at most {:.3} mm, {}",
            tool_name(&step.work),
            step.grade.name,
            spans.join(" and "),
            step.removed_mm3,
            step.deepest_mm,
            minutes(step.effort.minutes)
        );
    }
    thickness(text, ask, next);
}

fn thickness(text: &mut String, ask: &Ask<'_>, next: &Next) {
    let (edge, at) = next.edge_after;
    line!(
        text,
        "  thinnest edge then {:.2} mm ({:.2} to {:.2}) {}; crown when finished {:.2} mm ({:.2} to {:.2}) at the nut, {:.2} mm ({:.2} to {:.2}) at the last fret",
        edge.value,
        edge.low(),
        edge.high(),
        spot_words(ask.instrument, at),
        next.finished_crown[0].value,
        next.finished_crown[0].low(),
        next.finished_crown[0].high(),
        next.finished_crown[1].value,
        next.finished_crown[1].low(),
        next.finished_crown[1].high(),
    );
    line!(text);
}

fn figures(text: &mut String, figures: &[Told]) {
    line!(text, "The wood now, with 95 % intervals, mm");
    for told in figures {
        let show = |mm: f64| match told.kind {
            readings::figures::Kind::Height => format!("{mm:.3}"),
            readings::figures::Kind::Radius { .. } => radius(Radius::from_mm(mm)),
        };
        line!(
            text,
            "  {:<26} {:>9}   {:>9} to {:>9}",
            told.title,
            show(told.value_mm),
            show(told.low_mm),
            show(told.high_mm)
        );
    }
    line!(text);
}

fn doubts(text: &mut String, report: &Report<'_>) {
    for doubted in &report.doubted {
        let hint = doubted.hint.map_or("", hint_words);
        let read = doubted
            .read_mm
            .map_or("what was seen there".into(), |read| format!("{read:.3} mm"));
        line!(
            text,
            "Doubted: line {} ({} {}): {read}, where the others foretell {:.3} ± {:.3} mm. {hint}",
            doubted.line,
            doubted.kind,
            doubted.place,
            doubted.foretold_mm,
            doubted.foretold_half_mm,
        );
    }
    for untold in &report.untold {
        line!(text, "Not told: {}.", untold_words(report, untold));
    }
    if !report.doubted.is_empty() || !report.untold.is_empty() {
        line!(text);
    }
}

fn more(text: &mut String, ask: &Ask<'_>, report: &Report<'_>, next: &Next) {
    if !next.accept.is_empty() || next.radii.is_some() {
        line!(text, "Your choice");
    }
    for choice in &next.accept {
        line!(
            text,
            "  accept the low spot {}: as found it stays {:.3} mm low, perhaps {:.3} mm, over {:.0} mm²; {:.0} mm³ ({:.3} mm on the average) stay on",
            spot_words(ask.instrument, report.map.grid.spots[choice.spot]),
            choice.left_low_mm,
            choice.perhaps_low_mm,
            choice.low_area_mm2,
            choice.saved_mm3,
            choice.higher_mm
        );
    }
    if let Some(change) = &next.radii {
        let radii: Vec<String> = change
            .radii
            .iter()
            .map(|(x, radius)| format!("{:.1} mm at {x:.0} mm", radius.mm()))
            .collect();
        line!(
            text,
            "  change the radii to {}: {:.0} mm³ ({:.3} mm on the average) stay on",
            radii.join(", "),
            change.saved_mm3,
            change.higher_mm
        );
    }
    if let Some(best) = next.telling.first() {
        line!(text);
        line!(
            text,
            "What would tell most: {} {}: the departure's interval falls from ± {:.3} to ± {:.3} mm.",
            telling_words(best),
            at(&best.place),
            best.before_half_mm,
            best.after_half_mm
        );
    }
}

/// The reading to take, with its tool.
fn telling_words(telling: &readings::telling::Telling) -> String {
    match (telling.gauge, telling.chord_mm) {
        (Some(gauge), _) => format!("light under the {:.1} mm gauge", gauge.mm()),
        (_, Some(chord)) => format!("the dial on {chord:.0} mm legs"),
        _ => telling.kind.to_owned(),
    }
}
