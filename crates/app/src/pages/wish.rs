//! The page Wish: player, strings, tuning, action, bends.

use maud::{Markup, html};

use super::fields::Fields;
use super::layout::hidden;
use super::{PageName, figure};
use crate::edit::Shown;
use crate::show::change_of;
use crate::view::{Figures, View};

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
        }
        (strings(view, now, &fields))
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
            (figure("Strings together", html! {
                @match load {
                    Some(newtons) => { (format!("{newtons:.0} N")) (change_of(newtons, was, 0, "N")) }
                    None => "not known",
                }
            }, "the load on the neck at pitch; known when every string's weight is"))
            (figure("Action wished", html! {
                (view.units.length(now.instrument.wish.action_treble_mm, 2)) " / "
                (view.units.length(now.instrument.wish.action_bass_mm, 2))
            }, "treble and bass over fret 12, fret top to string"))
            (figure("Bend wished", html! { (format!("{:.0} cents", now.instrument.wish.bend_cents)) }, "everywhere on the board"))
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
                        }
                    }
                }
            }
            (list_button(view, "add", "strings.set", "Add a string on the bass side"))
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
