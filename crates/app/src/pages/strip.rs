//! The strip beside the board: what is known at the place pointed at.

use bench::gauges::Light;
use maud::{Markup, html};

use super::PageName;
use super::layout::{address, on};
use crate::show::{change, fret_name, length};
use crate::view::{Figures, View};

/// What is known at the pointed fret and lane.
pub(super) fn strip(view: &View, now: &Figures, page: PageName) -> Markup {
    let Some(fret) = now.sheet.frets.get(view.pointed.fret) else {
        return html! {};
    };
    let was = view
        .was_sheet()
        .and_then(|sheet| sheet.frets.get(fret.fret));
    let units = view.units;
    let lane = view.pointed.lane;
    let row = |name: &str, mm: f64, was: Option<f64>, decimals: usize| {
        html! { tr { th scope="row" { (name) } td { (length(units, mm, decimals)) (change(units, mm, was, decimals)) } } }
    };
    html! {
        aside.strip aria-label="At the place pointed at" {
            div.pointed {
                (step_link(view, page, "‹", fret.fret.checked_sub(1), None, "fret before"))
                strong { (fret_name(fret.fret)) }
                (step_link(view, page, "›", (fret.fret < now.instrument.last_fret()).then_some(fret.fret + 1), None, "fret after"))
                (step_link(view, page, "‹", None, lane.checked_sub(1), "higher string"))
                strong { "string " (lane + 1) " " span.faint { (now.instrument.strings[lane].note) } }
                (step_link(view, page, "›", None, (lane + 1 < now.instrument.lanes.len()).then_some(lane + 1), "lower string"))
            }
            // In a narrow window all figures are folded but the two that say where the board stands.
            details { summary {
                "radius " (units.radius(fret.radius)) (change(units, fret.radius.mm(), was.map(|w| w.radius.mm()), 1))
                ", width " (length(units, fret.width_mm, 2)) (change(units, fret.width_mm, was.map(|w| w.width_mm), 2))
                span.unseen { " and all other figures here" }
            } }
            table {
                (row("from the nut", fret.x_mm, was.map(|w| w.x_mm), 3))
                @if let Some(x) = fret.lanes_x_mm.get(lane) {
                    @if now.instrument.is_fanned() { (row("along the lane", *x, was.and_then(|w| w.lanes_x_mm.get(lane).copied()), 3)) }
                }
                (row("width", fret.width_mm, was.map(|w| w.width_mm), 2))
                tr { th scope="row" { "radius" } td {
                    (units.radius(fret.radius))
                    (change(units, fret.radius.mm(), was.map(|w| w.radius.mm()), 1))
                } }
                (row("edge drop", fret.edge_drop_mm, was.map(|w| w.edge_drop_mm), 3))
                (row("edge thickness", fret.edge_thickness_mm, was.map(|w| w.edge_thickness_mm), 2))
                (row("string to edge", fret.margin_mm(), was.map(|w| w.margin_mm()), 2))
                @if fret.fret > 0 { (row("slot depth", fret.slot_depth_mm, was.map(|w| w.slot_depth_mm), 2)) }
                tr { th scope="row" { "gauge" } td { (gauge(view, fret)) } }
            }
        }
    }
}

fn gauge(view: &View, fret: &play::FretFigures) -> Markup {
    let Some(station) = &fret.gauge else {
        return html! { span.faint { "no gauge in the kit" } };
    };
    let light = match station.light {
        Light::None => "shows no light".to_owned(),
        Light::Edges => format!(
            "shows {} at both edges",
            view.units.length(station.light_mm, 3)
        ),
        Light::Crown => format!(
            "shows {} at the crown",
            view.units.length(-station.light_mm, 3)
        ),
    };
    html! { (view.units.radius(station.gauge)) ", " (light) }
}

fn step_link(
    view: &View,
    page: PageName,
    sign: &str,
    fret: Option<usize>,
    lane: Option<usize>,
    name: &str,
) -> Markup {
    if fret.is_none() && lane.is_none() {
        return html! { span.step.faint aria-hidden="true" { (sign) } };
    }
    let base = address(view, page);
    let path = base.split('?').next().unwrap_or_default();
    let (fret, lane) = (
        fret.unwrap_or(view.pointed.fret),
        lane.unwrap_or(view.pointed.lane),
    );
    html! { a.step href=(format!("{path}?fret={fret}&lane={lane}{}", on(view, page))) aria-label=(name) title=(name) data-point { (sign) } }
}
