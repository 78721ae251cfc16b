//! The page Board: scale, lanes, outline, slots, wire, wood and air.

use drawing::pictures::edge_chart;
use instrument::scale::ScaleLength;
use maud::{Markup, html};
use play::FretFigures;

use super::fields::Fields;
use super::{PageName, figure, figure_saying, picture};
use crate::edit::Shown;
use crate::show::{change, fret_name, length};
use crate::view::{Figures, View};
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures) -> Markup {
    let shown = Shown::new(&view.text);
    let fields = Fields::of_commission(view, PageName::Board, &shown);
    html! {
        h1 { "Board" }
        (picture(&edge_chart(&now.instrument, &now.sheet, view.look()), "edge"))
        (deciding(view, now))
        (warnings(now))
        (scale_fields(now, &fields))
        (frets(view, now))
        (wire(view, now))
        (air(view, now, &fields))
    }
}

fn deciding(view: &View, now: &Figures) -> Markup {
    let units = view.units;
    let least = |sheet: &play::Sheet, figure: &dyn Fn(&FretFigures) -> f64, from: usize| {
        let figures = sheet.frets.iter().skip(from).map(figure);
        figures.fold(f64::INFINITY, f64::min)
    };
    let margin = |sheet: &play::Sheet| least(sheet, &FretFigures::margin_mm, 0);
    let under = |sheet: &play::Sheet| least(sheet, &|fret| fret.wood_under_slot_mm, 1);
    let edge = |sheet: &play::Sheet| least(sheet, &|fret| fret.edge_thickness_mm, 0);
    let of = |f: &dyn Fn(&play::Sheet) -> f64, decimals: usize| {
        let value = f(&now.sheet);
        html! { (length(units, value, decimals)) (change(units, value, view.was_sheet().map(f), decimals)) }
    };
    html! {
        dl.figures id="board-figures" data-part {
            (figure_saying(&words::LEAST_MARGIN, of(&margin, 2), &format!("outer string's centre to the edge; under {} a string slips off", units.length(2.5, 1))))
            (figure(&words::THINNEST_EDGE, of(&edge, 2)))
            (figure_saying(&words::WOOD_UNDER_SLOTS, of(&under, 2), &format!("least wood left under any slot; under {} is little", units.length(1.5, 1))))
            (figure(&words::BOARDS_END, length(units, now.instrument.end_x_mm(), 2)))
        }
    }
}

fn warnings(now: &Figures) -> Markup {
    if now.sheet.warnings.is_empty() {
        return html! {};
    }
    html! {
        section.minded id="minded" data-part {
            h2 { "To be minded" }
            ul { @for warning in &now.sheet.warnings { li { strong { (warning.place) } " — " (warning.message) } } }
        }
    }
}

fn scale_fields(now: &Figures, fields: &Fields<'_>) -> Markup {
    let fanned = matches!(now.instrument.scale, ScaleLength::Fanned { .. });
    let margin = fields.shown.value("board.margin").is_some();
    html! {
        section {
            h2 { "Scale and outline" }
            div.fields {
                @if fanned {
                    (fields.field("scale.bass", "Length, lowest string"))
                    (fields.field("scale.treble", "Length, highest string"))
                    (fields.field("scale.square_at", "Square at fret"))
                } @else {
                    (fields.field("scale.length", "Scale length"))
                }
                (fields.field("scale.frets", "Frets"))
                @if margin {
                    (fields.field("board.margin", "Margin outside the strings"))
                } @else {
                    (fields.field("board.nut_width", "Width at the nut"))
                    (fields.field("board.end_width", "Width at the board's end"))
                }
                (fields.field("board.overhang", "Past the last fret"))
            }
            h2 { "Wood" }
            div.fields {
                (fields.field("board.wood", "Wood"))
                (fields.field("board.crown_thickness", "Crown thickness, finished"))
                (fields.field("board.blank_thickness", "Blank's thickness"))
                (fields.field("board.least_edge", "Least edge"))
                (fields.field("board.binding", "Binding"))
            }
            (fields.finer(&[("board.blank_length", "Blank's length"), ("board.blank_width", "Blank's width"), ("board.blank_before_nut", "Blank past the nut"), ("board.inlay", "Inlay"), ("board.slotted", "Slots already cut")]))
            h2 { "Dots" }
            div.fields {
                (fields.field("dots.frets", "Behind frets"))
                (fields.field("dots.double", "Two behind frets"))
                (fields.field("dots.diameter", "Diameter"))
                (fields.field("dots.depth", "Depth of the pocket"))
                (fields.field("dots.apart", "Two dots apart"))
            }
            h2 { "Wire and slots" }
            div.fields {
                (fields.field("frets.crown_height", "Crown height"))
                (fields.field("frets.crown_width", "Crown width"))
                (fields.field("frets.tang_depth", "Tang depth"))
                (fields.field("frets.slot_width", "Slot width"))
                (fields.field("frets.slot_floor", "Slot floor"))
                (fields.field("frets.clearance", "Air under the tang"))
            }
            (fields.finer(&[("frets.tang_width", "Tang width"), ("frets.barb_width", "Width over barbs"), ("frets.wire_overhang", "Wire left proud"), ("frets.stick_length", "Stick of wire"), ("frets.bend_ratio", "Bend over the fret's arc")]))
        }
    }
}

fn frets(view: &View, now: &Figures) -> Markup {
    let units = view.units;
    let fanned = now.instrument.is_fanned();
    html! {
        section {
            h2 { "All frets" }
            p.faint {
                "Places on the centreline from the nut"
                @if !fanned { "; the scale length is measured there and frets are square to it" }
                ". Pointing at a row moves the board's pointer."
            }
            div.scroller tabindex="0" role="group" aria-label="All frets" id="frets" data-part {
                table.all {
                    thead { tr {
                        th { "fret" } th { "from the nut" } th { "from the last" } th { "width" } th { "margin" }
                        th { "radius" } th { "edge drop" } th { "edge" } th { "fret's arc" } th { "its radius" }
                        @if fanned { th { "skew" } }
                        th { "slot depth" } th { "slot length" } th { "wood under" } th { "bend wire to" }
                    } }
                    tbody {
                        @for fret in &now.sheet.frets {
                            tr class=[(fret.fret == view.pointed.fret).then_some("here")] data-fret=(fret.fret) {
                                th scope="row" { (fret_name(fret.fret)) }
                                td { (length(units, fret.x_mm, 3)) }
                                td { @if let Some(step) = fret.step_mm { (length(units, step, 3)) } }
                                td { (length(units, fret.width_mm, 2)) }
                                td { (length(units, fret.margin_mm(), 2)) }
                                td { (units.radius(fret.radius)) }
                                td { (length(units, fret.edge_drop_mm, 3)) }
                                td { (length(units, fret.edge_thickness_mm, 2)) }
                                td { (length(units, fret.arc.length_mm, 2)) }
                                td { (units.radius(instrument::Radius::from_mm(fret.arc.radius_mm))) }
                                @if fanned { td { (format!("{:+.2}°", fret.skew_deg)) } }
                                @if fret.fret == 0 { td {} td {} td {} td {} } @else {
                                    td { (length(units, fret.slot_depth_mm, 2)) }
                                    td { (length(units, fret.slot_length_mm, 2)) }
                                    td { (length(units, fret.wood_under_slot_mm, 2)) }
                                    td { (units.radius(instrument::Radius::from_mm(fret.bend_radius_mm))) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn wire(view: &View, now: &Figures) -> Markup {
    let wire = &now.sheet.wire;
    html! {
        section id="wire" data-part {
            h2 { "Wire" }
            p {
                (view.units.length(wire.total_mm, 0)) " in all, from " (wire.sticks.len()) " sticks of "
                (view.units.length(now.instrument.fret_spec.stick_length_mm, 0))
                @if wire.proven_least { "; no cutting needs fewer." } @else { "; fewer may be possible." }
            }
            ul.sticks {
                @for stick in &wire.sticks {
                    li {
                        "frets " (stick.frets.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "))
                        span.faint { " — " (view.units.length(stick.rest_mm, 1)) " over" }
                    }
                }
            }
        }
    }
}

fn air(view: &View, now: &Figures, fields: &Fields<'_>) -> Markup {
    html! {
        section {
            h2 { "Air" }
            div id="air" data-part {
                @match &now.sheet.movement {
                    Some(movement) => p {
                        "The wood goes from " (format!("{:.1} %", movement.shop_moisture)) " to "
                        (format!("{:.1} %", movement.home_moisture)) " moisture; each fret end then stands "
                        strong { (view.units.length(movement.proud_mm.1, 3)) " proud" } " at the last fret and "
                        (view.units.length(movement.proud_mm.0, 3)) " at the nut. The edge drop changes by "
                        (view.units.length(movement.edge_drop_change_mm, 4)) ": too little to matter. "
                        span.faint { "Coefficient " (movement.coefficient.value) " a percent: " (movement.coefficient.source)
                            @if movement.outside_measured { "; measured between 6 and 14 %, used a little outside" } "." }
                    },
                    None => p.faint { "With a wood named that the tables know, the movement of fret ends is shown here." },
                }
            }
            div.fields {
                (fields.field("climate.temperature", "Temperature"))
                (fields.field("climate.shop_humidity", "Humidity in the shop"))
                (fields.field("climate.home_humidity", "Humidity at home"))
                (fields.field("climate.sawn", "Sawn"))
            }
        }
    }
}
