//! Patterns on paper: the one chosen with its sheets, the others by name, and the printer's bars.

use maud::{Markup, html};

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
            (papers(view, subject))
        }
    }
}

/// The patterns by name.
fn choice(view: &View, chosen: Pattern) -> Markup {
    html! {
        nav.visits aria-label="Pattern" {
            @for pattern in Pattern::ALL {
                a href=(address(view, pattern)) aria-current=[(pattern == chosen).then_some("true")] { (pattern.title()) }
            }
        }
    }
}

fn address(view: &View, pattern: Pattern) -> String {
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
            @for (index, (_, scene)) in scenes.iter().enumerate() {
                (picture(scene, &format!("pattern-{index}")))
                p.faint {
                    (subject.units.length(scene.width_mm, 0)) " by " (subject.units.length(scene.height_mm, 0)) " at true size"
                }
            }
            (sheets(&scenes, printing))
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
    let measured = [
        ("short_bar", "short side", printing.bars.short_side),
        ("long_bar", "long side", printing.bars.long_side),
    ];
    html! {
        form.printer method="post" action="/printing" data-follow {
            input type="hidden" name="back" value=(address(view, chosen));
            div.places {
                label.place { span { "Paper" }
                    select name="paper" {
                        @for paper in PrintPaper::ALL { option value=(paper.word()) selected[paper == printing.paper] { (paper.title()) } }
                    }
                }
                @for (name, side, bar) in measured {
                    label.place { span { "Bar along the " (side) " measures" }
                        input type="text" name=(name) autocomplete="off" spellcheck="false" value=(format!("{} mm", bar.measured_mm));
                    }
                }
                button type="submit" { "Keep for this printer" }
            }
            p.asks {
                "Print at 100 %, not fitted to the page. Each sheet carries two bars of 100 mm: measure both, and enter what they "
                "measure on a print without correction; the next print is scaled so that they measure right."
            }
        }
    }
}

/// Papers full of words.
fn papers(view: &View, subject: &Subject<'_>) -> Markup {
    let id = view.entry.id;
    html! {
        p.files { "Papers: "
            @for words in Words::ALL {
                @if words != Words::BenchPlan || subject.plan.is_some() {
                    a.paper href=(format!("/commission/{id}/{}.pdf", words.word())) { (paper_title(words)) } " "
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
