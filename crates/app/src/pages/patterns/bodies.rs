//! Bodies for CAD and for printers of plastic: the board, a sanding caul, blocks, press cauls.

use maud::{Markup, html};

use crate::made::{BodyAsk, BodyForm};
use crate::view::{Figures, View};

pub(super) fn section(view: &View, now: &Figures) -> Markup {
    let id = view.entry.id;
    let instrument = &now.instrument;
    let middle = (instrument.last_fret() / 2).max(1);
    let nut = instrument.camber.radius(instrument.fret_x_mm(0));
    let last = instrument
        .camber
        .radius(instrument.fret_x_mm(instrument.last_fret()));
    let radius = |radius: instrument::Radius| {
        radius
            .finite_mm()
            .map_or("flat".into(), |mm| view.units.length(mm, 1))
    };
    html! {
        section id="bodies" data-part {
            h2 { "In CAD" }
            p {
                "STEP carries the exact surfaces; 3MF and STL are triangles that keep within 0.01 mm of them. "
                "The board stands in its own frame: x along the centreline from the nut, z up, the crown at zero."
            }
            form.made method="get" action=(format!("/commission/{id}/body/board")) {
                strong { "The board" }
                @for (name, words) in [("slots", "slots"), ("rebate", "room for binding"), ("dots", "pockets for dots")] {
                    label { input type="checkbox" name=(name) value="yes" checked; " " (words) }
                }
                (buttons())
            }
            @if BodyAsk::caul(instrument).is_some() {
                form.made method="get" action=(format!("/commission/{id}/body/caul")) {
                    strong { "A sanding caul of this camber" }
                    (buttons())
                }
            } @else {
                p.faint { "This camber is no single cone, so that no caul as long as the board fits it all along." }
            }
            form.made method="get" action=(format!("/commission/{id}/body/block")) {
                strong { "A radius block" }
                label.place { span { "Radius, one end" } input type="text" name="near" value=(radius(nut)); }
                label.place { span { "Radius, other end" } input type="text" name="far" value=(radius(last)); }
                label.place { span { "Length" } input type="text" name="length" value="200 mm"; }
                label.place { span { "Width" } input type="text" name="width" value="70 mm"; }
                label.place { span { "Height" } input type="text" name="height" value="30 mm"; }
                (buttons())
            }
            form.made method="get" action=(format!("/commission/{id}/body/press")) {
                strong { "A press caul" }
                label.place { span { "for fret" } input type="text" name="for" inputmode="numeric" value=(middle); }
                (buttons())
            }
        }
    }
}

fn buttons() -> Markup {
    html! {
        span.buttons {
            @for form in BodyForm::ALL {
                button type="submit" name="as" value=(form.ending()) { (form.ending().to_uppercase()) }
            }
        }
    }
}
