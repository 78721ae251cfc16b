//! Two moments of an entry beside each other: values, the figures that decide, and the text.

use std::sync::Arc;

use ::book::{Entry, Kind, Moment, RevisionId, RevisionSummary};
use instrument::format::{self, Table as Keys};
use maud::{Markup, html};
use play::{On, Playing, playing};

use super::history::entry_base;
use super::layout::{book_header, document};
use crate::key::{describe, steps};
use crate::lines::{Line, compare};
use crate::show::{Units, change, change_of, length, moment, spoken_place, volume};
use crate::values::{Difference, differences};
use crate::view::Figures;

/// How many lines that are the same are shown around those that differ.
const LINES_AROUND: usize = 2;

/// Two moments of one entry.
pub struct Compared<'a> {
    /// The entry.
    pub entry: &'a Entry,
    /// All its moments, newest first, to choose from.
    pub moments: &'a [RevisionSummary],
    /// The moment that counts as then.
    pub then: Side,
    /// The moment that counts as now.
    pub now: Side,
    /// How lengths are shown.
    pub units: Units,
}

/// One of the two moments.
pub struct Side {
    /// Its number.
    pub revision: RevisionId,
    /// What was kept of it.
    pub moment: Moment,
    /// Its figures; nothing when its text is not sound, and for a kit.
    pub figures: Option<Arc<Figures>>,
}

/// The page.
pub fn compare_page(page: &Compared<'_>) -> Markup {
    let title = format!("Two moments of {}", page.entry.title);
    let base = entry_base(page.entry);
    let main = html! {
        h1 { (title) }
        p.lead { a href=(format!("{base}/history")) { "Back to the history" } }
        (choice(&base, page))
        div.content {
            @if page.then.moment.text == page.now.moment.text {
                p.empty { "The two moments are the same, word for word." }
            } @else {
                (values(page))
                @if page.entry.kind == Kind::Commission { (figures(page)) }
                (text(page))
            }
        }
    };
    document(&title, book_header(page.units, ""), main)
}

fn choice(base: &str, page: &Compared<'_>) -> Markup {
    html! {
        form.moments method="get" action=(format!("{base}/compare")) {
            (choose("then", "Then", page.then.revision, page.moments))
            (choose("now", "Now", page.now.revision, page.moments))
            button type="submit" { "Compare" }
        }
    }
}

/// A choice among all moments of an entry.
pub(super) fn choose(
    name: &str,
    word: &str,
    chosen: RevisionId,
    moments: &[RevisionSummary],
) -> Markup {
    html! {
        label { (word)
            select name=(name) {
                @for each in moments {
                    option value=(each.revision) selected[each.revision == chosen] {
                        (moment(each.at)) " " (each.what) @if each.current { " (the present)" }
                    }
                }
            }
        }
    }
}

fn values(page: &Compared<'_>) -> Markup {
    let keys: &'static Keys = match page.entry.kind {
        Kind::Commission => &instrument::COMMISSION_KEYS,
        Kind::Kit => &bench::KIT_KEYS,
    };
    let found = differences(&page.then.moment.text, &page.now.moment.text);
    html! {
        section {
            h2 { "Values" }
            @match found {
                None => p.empty { "One of the two texts is not readable as TOML, so that only their lines can be compared." },
                Some(found) if found.is_empty() => p.empty { "No value differs: only words, order or spaces." },
                Some(found) => div.scroller tabindex="0" role="group" aria-label="Values that differ" {
                    table.all.compared { thead { tr { th { "value" } th { "then" } th { "now" } } }
                        tbody { @for each in &found { (value_row(page.units, keys, each)) } } }
                },
            }
        }
    }
}

fn value_row(units: Units, keys: &'static Keys, each: &Difference) -> Markup {
    let kind = steps(&each.path).and_then(|steps| describe(keys, &steps));
    let kind = kind.map(|(kind, _)| kind);
    let then_mm = each
        .then
        .as_deref()
        .and_then(|value| as_length(kind, value));
    let now_mm = each.now.as_deref().and_then(|value| as_length(kind, value));
    html! {
        tr {
            th scope="row" { (spoken_place(&each.path)) }
            td { (value(units, each.then.as_deref(), then_mm)) }
            td {
                (value(units, each.now.as_deref(), now_mm))
                @if let (Some(now), Some(_)) = (now_mm, then_mm) { (change(units, now, then_mm, 3)) }
            }
        }
    }
}

/// A value as it was typed, and in the chosen unit where that says it otherwise.
fn value(units: Units, typed: Option<&str>, mm: Option<f64>) -> Markup {
    let Some(typed) = typed else {
        return html! { span.faint { "not given" } };
    };
    let shown = mm.map(|mm| (mm, units.length(mm, 3)));
    html! {
        (typed)
        @if let Some((mm, shown)) = shown.filter(|(_, shown)| !says_the_same(typed, shown)) {
            " " span.faint title=(format!("{mm} mm")) { "(" (shown) ")" }
        }
    }
}

/// Whether two writings of a length differ only in noughts at the end and in spaces.
fn says_the_same(typed: &str, shown: &str) -> bool {
    let number = |words: &str| -> Option<(f64, String)> {
        let end = words
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(words.len());
        let unit = words[end..].trim().to_owned();
        Some((words[..end].parse().ok()?, unit))
    };
    number(typed).is_some_and(|typed| Some(typed) == number(shown))
}

/// The length that a value says, when its key is one of lengths; a bare number is millimetres.
fn as_length(kind: Option<&format::Kind>, value: &str) -> Option<f64> {
    let takes_length =
        |kind: &format::Kind| matches!(kind, format::Kind::Length { .. } | format::Kind::Radius);
    let is_length = match kind? {
        format::Kind::Any(kinds) => kinds.iter().any(takes_length),
        kind => takes_length(kind),
    };
    if !is_length {
        return None;
    }
    let bare: Option<f64> = value.parse().ok();
    bare.or_else(|| quantity::parse_length(value).ok().map(quantity::Length::mm))
        .filter(|mm| mm.is_finite())
}

fn figures(page: &Compared<'_>) -> Markup {
    html! {
        section {
            h2 { "Figures that decide" }
            @match (&page.then.figures, &page.now.figures) {
                (Some(then), Some(now)) => (figure_table(page.units, then, now)),
                (None, None) => p.empty { "Neither text is sound, so that there are no figures." },
                (None, Some(_)) => p.empty { "The text then has faults, so that there are no figures to compare with." },
                (Some(_), None) => p.empty { "The text now has faults, so that there are no figures to compare with." },
            }
        }
    }
}

fn figure_table(units: Units, then: &Figures, now: &Figures) -> Markup {
    let plays = |figures| -> Playing<'_> { played(figures) };
    let (then_plays, now_plays) = (plays(then), plays(now));
    let gists = [then.gist_of(&then_plays), now.gist_of(&now_plays)];
    html! {
        div.scroller tabindex="0" role="group" aria-label="Figures that decide" { table.all.compared {
            thead { tr { th { "figure" } th { "then" } th { "now" } } }
            tbody {
                (length_row(units, "Radius at the nut", 1, [then, now].map(|each| radius_mm(each, 0))))
                (length_row(units, "Radius at the last fret", 1, [then, now].map(|each| radius_mm(each, each.instrument.last_fret()))))
                (length_row(units, "Thinnest edge", 2, [then, now].map(thinnest_mm)))
                (volume_row([then, now].map(|each| each.sheet.camber.removed_mm3)))
                (length_row(units, "Least air over the frets", 3, gists.map(|each| each.least_air_mm)))
                (cents_row(gists.map(|each| each.first_end_cents)))
                (length_row(units, "Lowest action free of buzz, mean of all strings", 2, gists.map(|each| each.lowest_action_mm)))
            }
        } }
        p.faint { (basis_words(&then_plays, &now_plays)) }
    }
}

/// On the fret tops as read where there are any: they stand in the text, and are compared with it.
fn played(figures: &Figures) -> Playing<'_> {
    playing(&figures.instrument, &figures.sheet.strings, On::Frets)
}

fn basis_words(then: &Playing<'_>, now: &Playing<'_>) -> &'static str {
    let is_read = |playing: &Playing<'_>| playing.tops.basis == play::tops::Basis::Frets;
    match (is_read(then), is_read(now)) {
        (false, false) => "Played on the planned surface.",
        (true, true) => "Played on the fret tops as read.",
        (false, true) => "Then played on the planned surface, now on the fret tops as read.",
        (true, false) => "Then played on the fret tops as read, now on the planned surface.",
    }
}

/// The radius at a fret; infinite where it is flat.
fn radius_mm(figures: &Figures, fret: usize) -> Option<f64> {
    let instrument = &figures.instrument;
    let radius = instrument.camber.radius(instrument.fret_x_mm(fret));
    Some(radius.finite_mm().unwrap_or(f64::INFINITY))
}

fn thinnest_mm(figures: &Figures) -> Option<f64> {
    let frets = figures.sheet.frets.iter();
    frets.map(|fret| fret.edge_thickness_mm).reduce(f64::min)
}

fn length_row(units: Units, name: &str, decimals: usize, values: [Option<f64>; 2]) -> Markup {
    let shown = |mm: Option<f64>| match mm {
        Some(mm) if mm.is_infinite() => html! { "flat" },
        Some(mm) => length(units, mm, decimals),
        None => html! { span.faint { "not known" } },
    };
    let [then, now] = values;
    html! {
        tr {
            th scope="row" { (name) }
            td { (shown(then)) }
            td { (shown(now)) @if let (Some(now), Some(_)) = (now, then) { (change(units, now, then, decimals)) } }
        }
    }
}

fn volume_row([then, now]: [f64; 2]) -> Markup {
    html! {
        tr { th scope="row" { "Wood above the camber" } td { (volume(then)) } td { (volume(now)) (change_of(now, Some(then), 0, "mm³")) } }
    }
}

fn cents_row([then, now]: [Option<f64>; 2]) -> Markup {
    let shown = |cents: Option<f64>| match cents {
        Some(cents) => html! { (format!("{cents:.0} cents")) },
        None => html! { span.faint { "not known" } },
    };
    html! {
        tr {
            th scope="row" { "First bend to end" }
            td { (shown(then)) }
            td { (shown(now)) @if let (Some(now), Some(_)) = (now, then) { (change_of(now, then, 0, "cents")) } }
        }
    }
}

/// One stretch of the text's comparison.
enum Piece<'t> {
    Line(Line<'t>),
    LeftOut(usize),
}

fn text(page: &Compared<'_>) -> Markup {
    let lines = compare(&page.then.moment.text, &page.now.moment.text);
    html! {
        section {
            h2 { "The text" }
            p.faint { "Lines with − went, lines with + came." }
            div.scroller tabindex="0" role="group" aria-label="The text, line by line" {
                ol.lines { @for piece in pieces(&lines) { (text_line(&piece)) } }
            }
        }
    }
}

fn text_line(piece: &Piece<'_>) -> Markup {
    html! {
        @match piece {
            Piece::LeftOut(count) => li.left-out { "… " (count) " " (if *count == 1 { "line" } else { "lines" }) " the same" },
            Piece::Line(Line::Kept(line)) => li { span.sign aria-hidden="true" { " " } (line.trim_end_matches('\n')) },
            Piece::Line(Line::Gone(line)) => li.gone { span.sign { "−" } del { (line.trim_end_matches('\n')) } },
            Piece::Line(Line::Come(line)) => li.come { span.sign { "+" } ins { (line.trim_end_matches('\n')) } },
        }
    }
}

/// The lines that differ with a few around them; of the others only how many they are.
fn pieces<'t>(lines: &[Line<'t>]) -> Vec<Piece<'t>> {
    let differs = |line: &Line<'_>| !matches!(line, Line::Kept(_));
    let near = |at: usize| {
        let from = at.saturating_sub(LINES_AROUND);
        let to = (at + LINES_AROUND + 1).min(lines.len());
        lines[from..to].iter().any(differs)
    };
    let mut pieces = Vec::new();
    let mut left_out = 0;
    for (at, line) in lines.iter().enumerate() {
        if near(at) {
            if left_out > 0 {
                pieces.push(Piece::LeftOut(left_out));
                left_out = 0;
            }
            pieces.push(Piece::Line(*line));
        } else {
            left_out += 1;
        }
    }
    if left_out > 0 {
        pieces.push(Piece::LeftOut(left_out));
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_known_by_their_keys_and_bare_numbers_are_millimetres() {
        let mm = |path: &str, value: &str| {
            let steps = steps(path)?;
            let kind = describe(&instrument::COMMISSION_KEYS, &steps)?.0;
            as_length(Some(kind), value)
        };
        assert_eq!(mm("camber.nut", "10 in"), Some(254.0));
        assert_eq!(mm("camber.nut", "flat"), None);
        assert_eq!(mm("scale.length", "635"), Some(635.0));
        assert_eq!(mm("scale.frets", "22"), None);
        assert_eq!(mm("title", "10 in"), None);
    }

    #[test]
    fn a_length_is_not_said_twice() {
        assert!(says_the_same("240 mm", "240.000 mm"));
        assert!(!says_the_same("10 in", "254.000 mm"));
        assert!(!says_the_same("11 1/2 in", "292.100 mm"));
    }

    #[test]
    fn what_is_the_same_is_left_out_but_for_a_few_lines() {
        let then: String = (0..20).map(|at| format!("{at}\n")).collect();
        let now = then
            .replace("9\n", "9 changed\n")
            .replacen("19 changed", "19", 1);
        let lines = compare(&then, &now);
        let told: Vec<String> = pieces(&lines)
            .iter()
            .map(|piece| match piece {
                Piece::LeftOut(count) => format!("… {count}"),
                Piece::Line(Line::Kept(line)) => line.trim().into(),
                Piece::Line(Line::Gone(line)) => format!("-{}", line.trim()),
                Piece::Line(Line::Come(line)) => format!("+{}", line.trim()),
            })
            .collect();
        assert_eq!(
            told,
            ["… 7", "7", "8", "-9", "+9 changed", "10", "11", "… 8"]
        );
    }
}
