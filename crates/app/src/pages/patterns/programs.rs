//! Programs for the machine: worked out and proved after the page is there.

use std::f64::consts::TAU;

use drawing::pictures::{StockMap, WayLine, stock_map, way_map};
use maud::{Markup, html};
use solid::mill::{Mill, Motion, Move, Operation, Point, Program, Turn};

use crate::made::stem;
use crate::pages::fields::Fields;
use crate::pages::layout::{book_header, document};
use crate::pages::picture;
use crate::show::minutes;
use crate::view::{Figures, View};

/// The place of the programs, with the address that fills it.
pub(super) fn section(view: &View, fields: &Fields<'_>) -> Markup {
    html! {
        section {
            h2 { "On the machine" }
            p {
                "Programs in RS-274/NGC, one for each cutter, proved before they are handed out: the written moves are swept over the "
                "board, and nothing below the finished surface may be touched."
            }
            @match view.sound_kit() {
                Some(kit) if !kit.cutters.is_empty() => {
                    @let address = later(view);
                    div id="programs" data-part data-later=(address) {
                        p { a href=(address) { "Work out and prove the programs" } }
                    }
                }
                _ => (without_cutters(view)),
            }
            (kept_to(view, fields))
        }
    }
}

/// What the maker decides about the cutting.
fn kept_to(view: &View, fields: &Fields<'_>) -> Markup {
    html! {
        section.only-fields {
            (fields.folded("What the programs keep to: finish, roughing, tabs, blank, clamps", &KEPT_TO, &clamps(view)))
        }
    }
}

/// What the programs keep to, as they are named here.
const KEPT_TO: [(&str, &str); 8] = [
    ("cutting.scallop", "Between finishing passes"),
    ("cutting.allowance", "Left by roughing"),
    ("cutting.tabs", "Tabs"),
    ("cutting.tab_length", "Length of a tab"),
    ("cutting.tab_height", "Height of a tab"),
    ("board.blank_thickness", "Blank's thickness"),
    ("board.blank_length", "Blank's length"),
    ("board.blank_width", "Blank's width"),
];

fn clamps(view: &View) -> Markup {
    html! {
        p.faint.clamps { "Clamps are boxes on the bed, written on the page "
            a href=(format!("/commission/{}/text", view.entry.id)) { "Text" } " under " code { "[cutting]" } ": "
            code { "clamps = [{ x = \"-15 mm\", y = \"-10 mm\", along = \"10 mm\", across = \"20 mm\", height = \"25 mm\" }]" } }
    }
}

/// Why no cutter is known, and where to go.
fn without_cutters(view: &View) -> Markup {
    html! {
        div id="programs" data-part {
            @match &view.kit {
                None => p.notice { "Without a kit no cutter is known. Choose a kit for this commission in the " a href="/book" { "book" } "." },
                Some(chosen) => p.notice {
                    "The kit " a href=(format!("/kit/{}#cutters", chosen.entry.id)) { (chosen.entry.title) }
                    @if chosen.kit.is_err() { " has faults; mend it and the programs are made." }
                    @else { " has no cutters yet; add those of your machine there and the programs are made." }
                },
            }
        }
    }
}

/// The address names the moments of commission and kit, so that it is asked anew when one of them
/// has changed.
fn later(view: &View) -> String {
    let kit = view.kit.as_ref().map_or(0, |kit| kit.entry.revision.0);
    format!(
        "/commission/{}/programs?of={}&kit={kit}&unit={}",
        view.entry.id,
        view.entry.revision,
        view.units.name()
    )
}

/// The programs, worked out.
pub fn programs_part(view: &View, now: &Figures, mill: &Mill) -> Markup {
    html! {
        div id="programs" data-part {
            @if !mill.programs.is_empty() { (table(view, now, mill)) }
            (refusals(mill))
            div.folds { @for program in &mill.programs { (pictures(view, now, program)) } }
            p.faint {
                "Run each program above the work first, with a hand at the stop. Guards, eyes, ears and dust come first; local codes and "
                "licensed practice before this page."
            }
        }
    }
}

/// The programs as a page of their own, for browsers without script.
pub fn programs_page(view: &View, part: &Markup) -> Markup {
    let title = format!("{} · Programs", view.entry.title);
    let main = html! {
        div.content {
            h1 { "Programs" }
            (part)
            p { a href=(format!("/commission/{}/patterns", view.entry.id)) { "Back to the patterns" } }
        }
    };
    document(&title, book_header(view.units, ""), main)
}

fn table(view: &View, now: &Figures, mill: &Mill) -> Markup {
    let begin = stem(&now.instrument.title);
    html! {
        div.scroller tabindex="0" role="group" aria-label="Programs" { table.all {
            thead { tr { th.words { "work" } th.words { "cutter" } th { "passes" } th { "takes" } th { "deepest under the limit" } th { "left at most" } th { "file" } } }
            tbody { @for program in &mill.programs {
                tr {
                    th.words scope="row" { (program.title) }
                    td.words { (program.cutter.name) }
                    td { (program.passes) }
                    td { (minutes(program.minutes)) }
                    td { (format!("{:.2} µm", program.proof.gouge_um)) }
                    td { (left(program)) }
                    td { a href=(format!("/commission/{}/program/{}.ngc", view.entry.id, program.name)) { (format!("{begin}-{}.ngc", program.name)) } }
                }
            } }
        } }
        p.faint {
            "Deepest under the limit: how far the sweep found wood cut below what the program may cut to, of 1 µm that is let pass. "
            "Left at most: over the finished surface between passes, or over the floors that it must reach."
        }
    }
}

fn left(program: &Program) -> String {
    let found = program.proof.scallop_um.or(program.proof.floor_left_um);
    found.map_or("—".into(), |um| format!("{um:.1} µm"))
}

fn refusals(mill: &Mill) -> Markup {
    html! {
        @if !mill.refusals.is_empty() {
            section.minded {
                h3 { "Not made" }
                ul { @for refusal in &mill.refusals { li { strong { (refusal.operation.title()) } " — " (refusal.cause.message()) "; " (refusal.cause.way_out()) } } }
            }
        }
    }
}

fn pictures(view: &View, now: &Figures, program: &Program) -> Markup {
    let title = format!("Way of the {}", program.title);
    let map = StockMap {
        after: program.title,
        columns: program.proof.left.columns,
        rows: program.proof.left.rows,
        over_um: &program.proof.left.over_um,
    };
    let surface = program.operation <= Operation::Finish;
    html! {
        details.many {
            summary { "Pictures of the " (program.title) }
            @if surface { (picture(&stock_map(&now.instrument, &map, view.look()), &format!("stock-{}", program.name))) }
            (picture(&way_map(&now.instrument, &title, &way(program)), &format!("way-{}", program.name)))
        }
    }
}

/// More lines than these make a picture heavy and show nothing more.
const MOST_LINES: usize = 3_000;

/// The program's moves in plan, runs of one sort together. What is cut straight down would be a
/// point: it is drawn as wide as its cutter.
fn way(program: &Program) -> Vec<WayLine> {
    let mut lines: Vec<WayLine> = Vec::new();
    for (from, leg) in program.path.legs() {
        let cuts = leg.motion != Motion::Rapid;
        let start = (from[0], from[1]);
        if lines.last().is_none_or(|line| line.cuts != cuts) {
            let points = vec![start];
            lines.push(WayLine { points, cuts });
        }
        if let Some(line) = lines.last_mut() {
            line.points.extend(seen_from_above(from, leg));
        }
    }
    for line in &mut lines {
        let at = line.points.first().copied().unwrap_or_default();
        if line.cuts && line.points.iter().all(|point| *point == at) {
            line.points = ring(at, 0.5 * program.cutter.diameter_mm);
        }
    }
    lines.retain(|line| line.points.windows(2).any(|pair| pair[0] != pair[1]));
    lines.truncate(MOST_LINES);
    lines
}

/// Chords of a whole turn in a picture.
const CHORDS: f64 = 48.0;

/// The places a move goes through after its first: its end, or an arc's chords.
fn seen_from_above(from: Point, leg: &Move) -> Vec<(f64, f64)> {
    let Motion::Arc { centre, turn, .. } = leg.motion else {
        return vec![(leg.to[0], leg.to[1])];
    };
    let angle = |at: Point| (at[1] - centre[1]).atan2(at[0] - centre[0]);
    let radius = (from[0] - centre[0]).hypot(from[1] - centre[1]);
    let ahead = (angle(leg.to) - angle(from)).rem_euclid(TAU);
    let sweep = match turn {
        // An arc that ends where it begins is a whole turn, as RS-274 has it.
        _ if from[..2] == leg.to[..2] => TAU,
        Turn::Against => ahead,
        Turn::With => ahead - TAU,
    };
    let count = (CHORDS * sweep.abs() / TAU).ceil().max(1.0);
    let place = |index: f64| {
        let at = angle(from) + sweep * index / count;
        (centre[0] + radius * at.cos(), centre[1] + radius * at.sin())
    };
    (1..=count as usize)
        .map(|index| place(index as f64))
        .collect()
}

/// A circle round a place.
fn ring((x, y): (f64, f64), radius: f64) -> Vec<(f64, f64)> {
    let angle = |index: usize| TAU * index as f64 / CHORDS;
    (0..=CHORDS as usize)
        .map(angle)
        .map(|at| (x + radius * at.cos(), y + radius * at.sin()))
        .collect()
}
