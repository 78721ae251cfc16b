//! Patterns on paper: the one chosen with its sheets, the others by name, and the printer's bars.

use bench::jigs::jigs;
use drawing::{BarReading, Paper};
use maud::{Markup, html};

use super::jigs::stretch_words;
use crate::made::{Form, Pattern, PrintPaper, Printing, Subject, Words};
use crate::pages::{Asked, picture};
use crate::view::View;

pub(super) fn section(
    view: &View,
    subject: &Subject<'_>,
    printing: &Printing,
    asked: &Asked,
) -> Markup {
    let chosen = asked
        .pattern
        .as_deref()
        .and_then(Pattern::from_word)
        .unwrap_or(Pattern::Frets);
    html! {
        section id="on-paper" data-part {
            h2 { "On paper" }
            (choice(view, chosen))
            (shown(view, subject, printing, chosen))
            (printer(view, printing, chosen))
            (papers(view, subject, printing))
        }
    }
}

/// The patterns by name; a part of its own, so that its links follow the place pointed at.
fn choice(view: &View, chosen: Pattern) -> Markup {
    html! {
        nav.visits aria-label="Pattern" id="pattern-choice" data-part {
            @for pattern in Pattern::ALL {
                a href=(address(view, pattern)) aria-current=[(pattern == chosen).then_some("true")] { (pattern.title()) }
            }
        }
    }
}

/// The page with that pattern, at the place pointed at.
pub(super) fn address(view: &View, pattern: Pattern) -> String {
    format!(
        "/commission/{}/patterns?pattern={}&fret={}&lane={}",
        view.entry.id,
        pattern.word(),
        view.pointed.fret,
        view.pointed.lane
    )
}

/// The chosen pattern: what it is for, its files, its true scene, the sheets it goes on.
fn shown(view: &View, subject: &Subject<'_>, printing: &Printing, chosen: Pattern) -> Markup {
    let scenes = chosen.scenes(subject);
    html! {
        p { (chosen.purpose()) }
        @if scenes.is_empty() {
            p.faint { "There is none for this board; the section on jigs below says why." }
        } @else {
            p.files {
                "Files: "
                @for form in Form::ALL {
                    a.paper href=(format!("/commission/{}/pattern/{}.{}", view.entry.id, chosen.word(), form.ending())) {
                        (match form { Form::Pdf => format!("PDF for {}", printing.paper.title()), Form::Svg => "SVG".into(), Form::Dxf => "DXF".into() })
                    } " "
                }
            }
            @if chosen == Pattern::Rails { (rails_missing(subject)) }
            (pictures(subject, &scenes))
            (sheets(&scenes, printing))
        }
    }
}

/// A scene wider than this is shown as wide as the page, mm; a smaller one would be a giant there.
const WIDE_SCENE_MM: f64 = 250.0;

/// The scenes, two beside each other where a pattern has several.
fn pictures(subject: &Subject<'_>, scenes: &[(String, drawing::Scene)]) -> Markup {
    let widest = scenes
        .iter()
        .map(|(_, scene)| scene.width_mm)
        .fold(0.0, f64::max);
    let place = match (scenes.len(), widest > WIDE_SCENE_MM) {
        (1, true) => "",
        (1, false) => "small",
        _ => "pair",
    };
    html! {
        div class=(place) {
            @for (index, (_, scene)) in scenes.iter().enumerate() {
                div {
                    (picture(scene, &format!("pattern-{index}")))
                    p.faint {
                        (subject.units.length(scene.width_mm, 0)) " by " (subject.units.length(scene.height_mm, 0)) " at true size, in the files"
                    }
                }
            }
        }
    }
}

/// A word on stretches of the board that have no sled, so that two rails are not taken for all.
fn rails_missing(subject: &Subject<'_>) -> Markup {
    let settings = jigs(subject.instrument, subject.carriage()).settings;
    let without = settings.iter().filter(|setting| setting.sled.is_err());
    html! {
        @for stretch in without.map(|setting| setting.stretch) {
            p.faint {
                "None for the stretch " (stretch_words(subject.units, stretch)) "; the section on jigs below says why."
            }
        }
    }
}

/// More sheets than these are counted and not drawn.
const SHEETS_DRAWN: usize = 8;

/// The sheets as they leave the printer, small.
fn sheets(scenes: &[(String, drawing::Scene)], printing: &Printing) -> Markup {
    let mut pages = Vec::new();
    for (_, scene) in scenes {
        match printing.pages(scene) {
            Ok(more) => pages.extend(more),
            Err(error) => {
                return html! { p.notice.not-done role="alert" { strong { "Not for this paper: " } (error) } };
            }
        }
    }
    let word = if pages.len() == 1 { "sheet" } else { "sheets" };
    html! {
        details.many id="sheets" data-part {
            summary { (pages.len()) " " (word) ", " (printing.paper.title()) }
            div.sheets {
                @for (index, page) in pages.iter().take(SHEETS_DRAWN).enumerate() {
                    figure.sheet {
                        (maud::PreEscaped(drawing::write_svg(&page.scene, &drawing::SvgOptions {
                            id_prefix: format!("sheet-{index}-"),
                            ..Default::default()
                        })))
                        figcaption { "Sheet " (index + 1) }
                    }
                }
            }
            @if pages.len() > SHEETS_DRAWN { p.faint { "and " (pages.len() - SHEETS_DRAWN) " more" } }
        }
    }
}

/// The paper, and what its printer does to the two bars.
fn printer(view: &View, printing: &Printing, chosen: Pattern) -> Markup {
    html! {
        p { "Print at 100 %, not fitted to the page, and measure the two bars of 100 mm on each sheet." }
        details.fold open[BARS.iter().chain(&["paper"]).any(|field| view.mends(field))] {
            summary { "Paper and printer: " (printing.paper.title()) ", bars that measure "
                (bar_words(printing.bars.short_side)) " and " (bar_words(printing.bars.long_side)) }
            (printer_form(view, printing, chosen))
        }
    }
}

/// The fields of the two bars.
const BARS: [&str; 2] = ["short_bar", "long_bar"];

fn printer_form(view: &View, printing: &Printing, chosen: Pattern) -> Markup {
    let measured = [
        (BARS[0], "short side", printing.bars.short_side),
        (BARS[1], "long side", printing.bars.long_side),
    ];
    html! {
        form.printer method="post" action="/printing" data-follow {
            input type="hidden" name="commission" value=(view.entry.id);
            input type="hidden" name="pattern" value=(chosen.word());
            input type="hidden" name="fret" value=(view.pointed.fret);
            input type="hidden" name="lane" value=(view.pointed.lane);
            div.places {
                label.place { span { "Paper" }
                    select name="paper" autofocus[view.mends("paper")] {
                        @for paper in PrintPaper::ALL { option value=(paper.word()) selected[paper == printing.paper] { (paper.title()) } }
                    }
                }
                @for (name, side, bar) in measured {
                    label.place { span { "Bar along the " (side) " measures" }
                        input type="text" name=(name) autocomplete="off" spellcheck="false" value=(bar_words(bar)) autofocus[view.mends(name)];
                    }
                }
                button type="submit" { "Keep for this printer" }
            }
            p.asks {
                "Enter what the bars measure on a print without correction; the next print is scaled so that they measure right."
            }
        }
    }
}

/// What a bar measures, as it was entered: the bar is 100 mm long in whatever unit the page is. A
/// thousandth of a millimetre is finer than any rule reads, and hides what inches leave behind.
fn bar_words(bar: BarReading) -> String {
    format!("{} mm", (bar.measured_mm * 1e3).round() / 1e3)
}

/// Papers full of words, on the sheet that goes with the patterns'.
fn papers(view: &View, subject: &Subject<'_>, printing: &Printing) -> Markup {
    let id = view.entry.id;
    let asked = match printing.paper.for_words() {
        Paper::Letter => "?paper=letter",
        _ => "",
    };
    html! {
        p.files { "Papers: "
            @for words in Words::ALL {
                @if words != Words::BenchPlan || subject.plan.is_some() {
                    a.paper href=(format!("/commission/{id}/{}.pdf{asked}", words.word())) { (paper_title(words)) } " "
                }
            }
        }
    }
}

fn paper_title(words: Words) -> &'static str {
    match words {
        Words::BenchPlan => "Bench plan",
        Words::ReadingForm => "Reading form",
        Words::SetUpSheet => "Set-up sheet",
    }
}
