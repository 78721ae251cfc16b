//! Cambers to choose from, in one table: what each grants, what wood and work it takes, and *Take it*.

use maud::{Markup, html};

use super::PageName;
use super::layout::hidden;
use crate::cambers::{Choice, Reason, Written, choices};
use crate::show::{length, minutes};
use crate::view::{Figures, View};

/// More rows than this are folded.
const MOST_SHOWN: usize = 6;

/// The place of the table, with the address that fills it; nothing where the text is not sound.
pub(super) fn section(view: &View) -> Markup {
    if view.stale {
        return html! {};
    }
    let address = format!(
        "/commission/{}/cambers?moment={}",
        view.entry.id, view.entry.revision
    );
    html! {
        section id="cambers" data-part data-later=(address) {
            h2 { "Choose by wish, blocks and work" }
            p { a href=(address) { "Lay the cambers side by side that the shop's blocks lead to" } }
        }
    }
}

/// The table, worked out.
pub fn cambers_part(view: &View, now: &Figures) -> Markup {
    let found = choices(view, now);
    let (shown, folded) = found.choices.split_at(found.choices.len().min(MOST_SHOWN));
    html! {
        section id="cambers" data-part {
            h2 { "Choose by wish, blocks and work" }
            @if found.choices.len() == 1 {
                p { "There is nothing beside the present camber: " (nothing_words(view)) }
            }
            (table(view, shown, "Cambers to choose from"))
            @if !folded.is_empty() {
                details { summary { (folded.len()) " more" } (table(view, folded, "More cambers to choose from")) }
            }
            p.faint {
                "Beside the present camber: one radius and every cone that two blocks of the kit begin and end, the cone of the strings, and the tightest that grants the bends, the last two over the present radius at the nut. "
                "First come those that leave fewest bends choked and stops short of air, then those with least work. All else stays as it is."
                @if found.unbearable > 0 { " " (unbearable_words(found.unbearable)) }
                @if found.unpaired > 0 { " " (unpaired_words(found.unpaired)) }
            }
        }
    }
}

fn nothing_words(view: &View) -> &'static str {
    match view.sound_kit() {
        None => {
            "choose a kit in the book, and the cambers that its blocks make are laid beside it."
        }
        Some(_) => "the kit has no radius block of another radius that this board could take.",
    }
}

fn unbearable_words(count: usize) -> String {
    match count {
        1 => "One was left out: this board cannot bear it.".into(),
        count => format!("{count} were left out: this board cannot bear them."),
    }
}

fn unpaired_words(count: usize) -> String {
    let which = match count {
        1 => "The flattest block is".into(),
        count => format!("The {count} flattest blocks are"),
    };
    format!("{which} not laid beside the others: the kit has too many to pair them all.")
}

fn table(view: &View, choices: &[Choice], name: &str) -> Markup {
    html! {
        div.scroller tabindex="0" role="group" aria-label=(name) {
            table.all.cambers {
                thead { tr {
                    th.words { "camber" }
                    th.words { "bends" }
                    th { "stops short of air" }
                    th { "edge drop, nut and last fret" }
                    th { "thinnest edge" }
                    th { "rubbing time" }
                    th { span.unseen { "take" } }
                } }
                tbody { @for choice in choices { (row(view, choice)) } }
            }
        }
    }
}

fn row(view: &View, choice: &Choice) -> Markup {
    let frets = &choice.figures.sheet.frets;
    let drop = |fret: Option<&play::FretFigures>| {
        html! { @if let Some(fret) = fret { (length(view.units, fret.edge_drop_mm, 2)) } }
    };
    html! {
        tr.present[choice.reason == Reason::Present] {
            th.words scope="row" { (radii(view, choice)) span.side { (reason_words(choice)) } }
            td.words { (bend_words(choice)) }
            td { @match choice.short { Some(short) => (short), None => "not known" } }
            td { (drop(frets.first())) ", " (drop(frets.last())) }
            td { (length(view.units, choice.thinnest_edge_mm(), 2)) }
            td { (work_words(view, choice)) }
            td { @if let Some(written) = &choice.written { (take(view, choice, written)) } }
        }
    }
}

fn radii(view: &View, choice: &Choice) -> Markup {
    let camber = &choice.figures.instrument.camber;
    let radius = |fret| {
        let x = choice.figures.instrument.fret_x_mm(fret);
        view.units.radius(camber.radius(x))
    };
    let (nut, last) = (radius(0), radius(choice.figures.instrument.last_fret()));
    html! { @if nut == last { (nut) } @else { (nut) " to " (last) } }
}

fn reason_words(choice: &Choice) -> &'static str {
    match choice.reason {
        Reason::Present => "as it is",
        Reason::OneBlock => "one block makes it",
        Reason::TwoBlocks => "begins and ends on owned blocks",
        Reason::Strings => "the cone of the strings",
        Reason::Tightest => "the tightest that grants the bends",
    }
}

fn bend_words(choice: &Choice) -> String {
    let asked = choice.figures.instrument.wish.bend_cents;
    match (choice.choked, choice.first_end_cents) {
        (Some(0), Some(first)) => {
            format!("all {asked:.0} cents free, the first ends at {first:.0}")
        }
        (Some(1), Some(first)) => format!("one place chokes, at {first:.0} cents"),
        (Some(choked), Some(first)) => {
            format!("{choked} places choke, the first at {first:.0} cents")
        }
        _ => "not known".into(),
    }
}

fn work_words(view: &View, choice: &Choice) -> String {
    match (choice.minutes(), view.sound_kit()) {
        (Some(time), _) => minutes(time),
        (None, Some(_)) => "this kit cannot finish it".into(),
        (None, None) => "no kit".into(),
    }
}

fn take(view: &View, choice: &Choice, written: &Written) -> Markup {
    html! {
        form.inline method="post" action=(format!("/commission/{}/law", view.entry.id)) data-follow {
            (hidden(view, PageName::Camber))
            input type="hidden" name="law" value=(written.law);
            @for (key, value) in &written.values { input type="hidden" name=(key) value=(value); }
            button.quiet-shown type="submit" { "Take it" span.unseen { ": " (radii(view, choice)) } }
        }
    }
}
