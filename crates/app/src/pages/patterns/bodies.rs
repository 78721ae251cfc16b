//! Bodies for CAD and for printers of plastic: the board, a sanding caul, blocks, press cauls.

use maud::{Markup, html};
use quantity::LengthUnit;

use crate::made::{BodyAsk, BodyForm};
use crate::show::Units;
use crate::view::{Figures, View};

pub(super) fn section(view: &View, now: &Figures) -> Markup {
    let id = view.entry.id;
    let instrument = &now.instrument;
    let middle = (instrument.last_fret() / 2).max(1);
    let nut = instrument.camber.radius(instrument.fret_x_mm(0));
    let last = instrument
        .camber
        .radius(instrument.fret_x_mm(instrument.last_fret()));
    let units = typed_units(view.units);
    let length = |mm: f64| units.length(mm, 0);
    let caul = BodyAsk::caul(instrument).is_some();
    html! {
        section.only-fields id="bodies" data-part {
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
            @if !caul {
                p.faint { "This camber is no single cone, so that no caul as long as the board fits it all along." }
            }
            details.fold {
                summary { "Bodies of tools: " @if caul { "a sanding caul of this camber, " } "a radius block, a press caul" }
                @if caul {
                    form.made method="get" action=(format!("/commission/{id}/body/caul")) {
                        strong { "A sanding caul of this camber" }
                        (buttons())
                    }
                }
                form.made method="get" action=(format!("/commission/{id}/body/block")) {
                    strong { "A radius block" }
                    (measure("Radius, one end", "near", units.radius(nut)))
                    (measure("Radius, other end", "far", units.radius(last)))
                    (measure("Length", "length", length(200.0)))
                    (measure("Width", "width", length(70.0)))
                    (measure("Height", "height", length(30.0)))
                    (buttons())
                }
                form.made method="get" action=(format!("/commission/{id}/body/press")) {
                    strong { "A press caul" }
                    label.place { span { "For fret" } input type="text" name="for" inputmode="numeric" value=(middle); }
                    (buttons())
                }
            }
        }
    }
}

/// The unit of what stands in a field: a fraction with a rest cannot be read back.
fn typed_units(units: Units) -> Units {
    match units.length {
        LengthUnit::FractionInch => Units {
            length: LengthUnit::DecimalInch,
        },
        _ => units,
    }
}

/// A measure of a tool. The browser keeps what was typed for when it comes back from a refusal.
fn measure(label: &str, name: &str, value: String) -> Markup {
    html! {
        label.place { span { (label) } input type="text" name=(name) spellcheck="false" value=(value); }
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
