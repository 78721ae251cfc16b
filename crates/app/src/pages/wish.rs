//! The page Wish: player, strings, tuning, action, bends.

use instrument::format::Fault;
use maud::{Markup, html};
use play::strings::tension_n;
use quantity::{Make, string_weights};

use super::fields::Fields;
use super::layout::hidden;
use super::{PageName, figure, figure_saying};
use crate::edit::Shown;
use crate::show::{change, change_of, spoken_place};
use crate::view::{Figures, View};
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures) -> Markup {
    let shown = Shown::new(&view.text);
    let fields = Fields::of_commission(view, PageName::Wish, &shown);
    html! {
        h1 { "Wish" }
        p.lead { "What the player asked for. Everything else follows from here." }
        (deciding(view, now))
        section {
            h2 { "The player" }
            div.fields {
                (fields.field("title", "Title"))
                (fields.field("wish.player", "Player"))
                (fields.field("wish.action_at_12.treble", "Action at fret 12, treble"))
                (fields.field("wish.action_at_12.bass", "Action at fret 12, bass"))
                (fields.field("wish.relief", "Relief"))
                (fields.field("wish.bend", "Bend wanted, cents"))
                (fields.field("wish.pluck_force", "Pluck force"))
                (fields.field("wish.pluck_from_saddle", "Plucked from the saddle"))
            }
            p.faint { "A soft hand plucks with about 0.25 N normal to the board, a plain one with 0.4 N, a hard one with 0.8 N (our guesses, no source): hang a weight of 25 g, 40 g or 80 g on the string where it is plucked and compare how far it goes." }
            (fields.finer(&[("wish.light_force", "A light player's pluck"), ("wish.hard_force", "A hard player's pluck"), ("wish.action_at_1", "Action at fret 1"), ("wish.margin", "Air under a sounding string"), ("wish.in_tune", "In tune within, cents"), ("wish.action_within", "Action within")]))
        }
        (strings(view, now, &fields))
        (pulls(view, now, &fields))
        section {
            h2 { "Pitch" }
            div.fields {
                (fields.field("scale.tuning", "Tuning of the frets"))
                (fields.field("scale.a4", "A4, hertz"))
            }
        }
    }
}

fn deciding(view: &View, now: &Figures) -> Markup {
    let load = now.sheet.neck_load_n;
    let was = view.was_sheet().and_then(|sheet| sheet.neck_load_n);
    html! {
        dl.figures id="wish-figures" data-part {
            (figure(&words::STRINGS_TOGETHER, html! {
                @match load {
                    Some(newtons) => { (format!("{newtons:.0} N")) (change_of(newtons, was, 0, "N")) }
                    None => "not known",
                }
            }))
            (figure(&words::ACTION_WISHED, html! {
                (view.units.length(now.instrument.wish.action_treble_mm, 2)) " / "
                (view.units.length(now.instrument.wish.action_bass_mm, 2))
            }))
            (granted(view, now))
            (figure_saying(&words::BEND_WISHED, html! { (format!("{:.0} cents", now.instrument.wish.bend_cents)) }, "everywhere on the board"))
        }
    }
}

fn strings(view: &View, now: &Figures, fields: &Fields<'_>) -> Markup {
    let count = fields.shown.entries("strings.set");
    html! {
        section {
            h2 { "Strings" }
            div.fields {
                (fields.field("strings.nut_spread", "Outer centres at the nut"))
                (fields.field("strings.saddle_spread", "Outer centres at the saddle"))
                (fields.field("strings.spacing", "Spacing"))
                (fields.field("strings.behind", "Behind nut and saddle"))
            }
            div.scroller tabindex="0" role="group" aria-label="The strings" {
                table.set {
                    thead { tr { th { "string" } th { "note" } th { "gauge" } th { "make" } th { "unit weight" } th { "pitch" } th { "tension" } th { span.unseen { "take away" } } } }
                    tbody {
                        @for index in 0..count {
                            tr {
                                th scope="row" { (index + 1) }
                                @for key in ["note", "gauge", "make", "unit_weight"] {
                                    td { (fields.field(&format!("strings.set[{}].{key}", index + 1), key)) }
                                }
                                @if let Some(string) = now.sheet.strings.get(index).filter(|_| !view.stale) {
                                    td.number { (format!("{:.2} Hz", string.frequency_hz)) }
                                    td.number title=[string.weight.as_ref().map(|weight| weight.source)] {
                                        @match string.tension_n {
                                            Some(newtons) => { (format!("{newtons:.1} N")) (change_of(newtons, was_tension(view, index), 1, "N")) }
                                            None => span.faint { "not known" },
                                        }
                                    }
                                } @else { td {} td {} }
                                td { (list_button(view, "take", &format!("strings.set[{}]", index + 1), "Take away")) }
                            }
                            (string_faults(fields, index))
                        }
                    }
                }
            }
            (list_button(view, "add", "strings.set", "Add a string on the bass side"))
        }
    }
}

/// What is wrong with a string, under its row: its fields have no room for words.
fn string_faults(fields: &Fields<'_>, index: usize) -> Markup {
    let prefix = format!("strings.set[{}]", index + 1);
    let of_string = |fault: &&Fault| fault.place.starts_with(&prefix);
    html! {
        @for fault in fields.faults.0.iter().filter(of_string) {
            tr.told { td colspan="8" { span.wrong { (spoken_place(&fault.place)) " — " (fault.message) ": " (fault.way_out) } } }
        }
    }
}

/// Whether the planned surface grants the wish.
fn granted(view: &View, now: &Figures) -> Markup {
    let planned = |of: &Figures| play::planned_buzz(&of.instrument, &of.sheet.strings);
    let buzz = planned(now);
    let was = view
        .was
        .as_ref()
        .and_then(|was| planned(was).worst())
        .map(|was| was.2.margin_mm);
    let wish = &now.instrument.wish;
    let Some((string, stop, least)) = buzz.worst() else {
        return figure_saying(
            &words::LEAST_AIR_PLANNED,
            html! { span.faint { "not known" } },
            "known when the strings' weights are",
        );
    };
    let short = buzz.count_below(wish.margin_mm);
    let stop = match stop {
        0 => "open".to_owned(),
        stop => format!("at {}", instrument::fret_name(stop)),
    };
    let meaning = match short {
        0 => format!(
            "as planned, nowhere less than the {} asked; more on the page Play",
            view.units.length(wish.margin_mm, 3)
        ),
        1 => "one stop has less than asked; more on the page Play".to_owned(),
        short => format!("{short} stops have less than asked; more on the page Play"),
    };
    figure_saying(
        &words::LEAST_AIR_PLANNED,
        html! {
            (view.units.length(least.margin_mm, 3)) (change(view.units, least.margin_mm, was, 3)) span.side { "string " (string + 1) ", " (stop) }
        },
        &meaning,
    )
}

/// How the strings pull, stretch and hold, with where each figure comes from.
fn pulls(view: &View, now: &Figures, fields: &Fields<'_>) -> Markup {
    html! {
        section {
            h2 { "How they pull" }
            @if !view.stale {
                div.scroller tabindex="0" role="group" aria-label="How the strings pull" id="pulls" data-part {
                    table.all {
                        thead { tr { th { "string" } th { "tension" } th { "of its strength" } th { "stretch" } th { "inharmonicity" } } }
                        tbody { @for (index, string) in now.sheet.strings.iter().enumerate() { (pull(index, string)) } }
                    }
                }
            }
            p.faint {
                "Stretch is stiffness over pull: how many times its own pull would stretch the string to double. To measure it, draw the open string through the nut by a "
                "mark and read its pitch; write the readings into the text as " code { "drawn" } "."
            }
            (warnings(now))
            details {
                summary { "Cores, and frets at which strings are tuned" }
                div.fields {
                    @for (index, string) in now.instrument.strings.iter().enumerate() {
                        @if !matches!(string.make, Make::PlainSteel | Make::Nylon) {
                            (fields.field(&format!("strings.set[{}].core", index + 1), &format!("String {}, core", index + 1)))
                        }
                        (fields.field(&format!("strings.set[{}].tuned_at", index + 1), &format!("String {}, tuned at fret", index + 1)))
                    }
                }
            }
            @if !view.stale { (weights(view, now)) }
            (sources(now))
        }
    }
}

fn pull(index: usize, string: &play::strings::StringFigures) -> Markup {
    let unknown = || html! { span.faint { "not known" } };
    html! {
        tr {
            th scope="row" { (index + 1) " " span.faint { (string.note) } }
            td { @match string.tension_n { Some(newtons) => (format!("{newtons:.1} N")), None => (unknown()) } }
            td { @match string.share_of_strength {
                Some(share) => { (format!("{:.0} %", 100.0 * share)) @if let Some(strength) = string.strength_gpa { span.side { (format!("of {strength:.2} GPa")) } } },
                None => (unknown()),
            } }
            td { @match &string.stretch {
                Some(stretch) => { (format!("{:.0}", stretch.kappa)) @if let Some(sigma) = stretch.sigma { span.side { (format!("± {sigma:.0}")) } } },
                None => (unknown()),
            } }
            td { @match string.inharmonicity { Some(b) => (format!("{:.1} millionths", 1e6 * b)), None => (unknown()) } }
        }
    }
}

/// The published unit weights of the makes used, with the pull of each gauge at the strings' own
/// pitches: for choosing a set by its pull.
fn weights(view: &View, now: &Figures) -> Markup {
    let strings = || {
        now.instrument
            .strings
            .iter()
            .zip(&now.sheet.strings)
            .enumerate()
    };
    let mut makes: Vec<Make> = Vec::new();
    for (_, (spec, _)) in strings() {
        if !makes.contains(&spec.make)
            && string_weights().iter().any(|known| known.make == spec.make)
        {
            makes.push(spec.make);
        }
    }
    html! {
        @for make in makes {
            details id=(format!("weights-{}", make.name().replace([' ', '/'], "-"))) data-part {
                summary { "Published unit weights of " (make) ", with each gauge's pull on these strings" }
                div.scroller tabindex="0" role="group" aria-label=(format!("Unit weights, {make}")) {
                    table.all.narrow {
                        thead { tr { th { "gauge" } th { "unit weight" }
                            @for (index, (spec, _)) in strings() { @if spec.make == make { th { "string " (index + 1) " " span.faint { (spec.note) } } } }
                            th.words { "source" } } }
                        tbody { @for known in string_weights().iter().filter(|known| known.make == make) {
                            tr {
                                th scope="row" { (view.units.length(known.gauge_mm, 3)) }
                                td { (format!("{:.3} g/m", 1000.0 * known.weight_kg_per_m)) }
                                @for (_, (spec, figures)) in strings() { @if spec.make == make {
                                    td class=[((spec.gauge.mm() - known.gauge_mm).abs() < 0.0006).then_some("here")] {
                                        (format!("{:.1} N", tension_n(known.weight_kg_per_m, figures.length_mm, figures.frequency_hz)))
                                    }
                                } }
                                td.words { (known.source) }
                            }
                        } }
                    }
                }
            }
        }
    }
}

/// Where the strings' figures come from, each source once.
fn sources(now: &Figures) -> Markup {
    let mut sources: Vec<(&str, Vec<usize>)> = Vec::new();
    for (index, string) in now.sheet.strings.iter().enumerate() {
        let of_string = [
            string.weight.as_ref().map(|weight| weight.source),
            string.stretch.as_ref().map(|stretch| stretch.source),
            string.strength_source,
        ];
        for source in of_string.into_iter().flatten() {
            match sources.iter_mut().find(|(known, _)| *known == source) {
                Some((_, strings)) => strings.push(index + 1),
                None => sources.push((source, vec![index + 1])),
            }
        }
    }
    html! {
        details id="string-sources" data-part {
            summary { "Where these figures come from" }
            ul { @for (source, strings) in &sources {
                li { (source) span.faint { " (string " (strings.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")) ")" } }
            } }
        }
    }
}

/// What is to be minded of the strings.
fn warnings(now: &Figures) -> Markup {
    let codes = [
        "tension_low",
        "tension_high",
        "near_breaking",
        "stretch_unknown",
        "weight_unknown",
        "strings_order",
    ];
    let found: Vec<_> = now
        .sheet
        .warnings
        .iter()
        .filter(|warning| codes.contains(&warning.code))
        .collect();
    html! {
        @if !found.is_empty() {
            div.minded id="string-warnings" data-part {
                ul { @for warning in found { li { strong { (warning.place) } " — " (warning.message) } } }
            }
        }
    }
}

fn was_tension(view: &View, index: usize) -> Option<f64> {
    view.was_sheet()?.strings.get(index)?.tension_n
}

fn list_button(view: &View, action: &str, path: &str, name: &str) -> Markup {
    html! {
        form.inline method="post" action=(format!("/commission/{}/{action}", view.entry.id)) data-follow {
            (hidden(view, PageName::Wish))
            input type="hidden" name="path" value=(path);
            button.quiet-shown type="submit" { (name) }
        }
    }
}
