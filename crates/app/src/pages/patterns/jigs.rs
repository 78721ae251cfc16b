//! Jigs for a hand-held router: the sled, the swing arm, the offsets, each with its figures.

use bench::jigs::{JigSetting, Jigs, Offsets, Pivot, Rail, Stretch, jigs};
use drawing::pictures::jig_drawing;
use instrument::Radius;
use maud::{Markup, html};

use super::paper::address;
use crate::made::{Pattern, Subject};
use crate::pages::picture;
use crate::show::{Units, length};
use crate::view::View;

pub(super) fn section(view: &View, subject: &Subject<'_>) -> Markup {
    let jigs = jigs(subject.instrument, subject.carriage());
    html! {
        section id="jigs" data-part {
            h2 { "Jigs" }
            p {
                "For a router by hand: a sled on two end rails, or an arm that swings, makes this camber; fences and templates cut slots and "
                "outline. Guards, eyes, ears and dust come first; the drawing's cautions are read before the router is switched on. "
                @match &view.kit {
                    Some(kit) => { "The router's measures are in the kit " a href=(format!("/kit/{}", kit.entry.id)) { (kit.entry.title) } "." },
                    None => { "Without a kit a usual small router is taken." },
                }
            }
            @for (index, setting) in jigs.settings.iter().enumerate() {
                @if jigs.settings.len() > 1 { h3 { "Stretch " (stretch_words(subject.units, setting.stretch)) } }
                (one(view, subject, setting, index))
            }
            (offsets(subject.units, &jigs))
            @if !jigs.notes.is_empty() {
                div.minded { ul { @for note in &jigs.notes { li { strong { (true_minus(&note.place)) } " — " (note.message) } } } }
            }
        }
    }
}

/// From where to where a stretch goes, from the nut.
pub(super) fn stretch_words(units: Units, stretch: Stretch) -> String {
    let [from, to] = [stretch.from_mm, stretch.to_mm].map(|mm| units.length(mm, 1));
    format!("{from} to {to} from the nut")
}

/// A note's place with the minus that pages have.
fn true_minus(place: &str) -> String {
    match place.strip_prefix('-') {
        Some(rest) => format!("−{rest}"),
        None => place.to_owned(),
    }
}

fn one(view: &View, subject: &Subject<'_>, setting: &JigSetting, index: usize) -> Markup {
    let units = subject.units;
    let same = matches!((&setting.sled, &setting.arm), (Err(sled), Err(arm)) if sled == arm);
    html! {
        @match &setting.sled {
            Ok(sled) => {
                p { (rails_words(units, &sled.rails)) " " a href=(address(view, Pattern::Rails)) { "Rails at true size" } }
                details.fold {
                    summary { "Drawing, how it is set, cautions" }
                    (picture(&jig_drawing(subject.instrument, setting, subject.carriage(), subject.look()), &format!("jig-{index}")))
                }
            },
            Err(fault) => p.notice { strong { @if same { "No sled and no swing arm: " } @else { "No sled: " } } (fault) },
        }
        @match &setting.arm {
            Ok(_) => {},
            Err(_) if same => {},
            Err(fault) => p.faint { strong { "No swing arm: " } (fault) },
        }
        (figures(units, setting))
    }
}

/// Rails and pivots as figures, where there are any.
fn figures(units: Units, setting: &JigSetting) -> Markup {
    let (sled, arm) = (setting.sled.as_ref().ok(), setting.arm.as_ref().ok());
    let name = match (sled, arm) {
        (Some(_), Some(_)) => "Figures of the rails and of the swing arm's pivots",
        (Some(_), None) => "Figures of the rails",
        (None, Some(_)) => "Figures of the swing arm's pivots",
        (None, None) => return html! {},
    };
    html! {
        details.fold {
            summary { (name) }
            @if let Some(sled) = sled { (rails(units, &sled.rails)) }
            @if let Some(arm) = arm {
                (pivots(units, &arm.pivots))
                p.faint {
                    "The arm cuts a cone round its own axis: at most " (format!("{:.2} µm", 1e3 * arm.departure.below_mm)) " too deep and "
                    (format!("{:.2} µm", 1e3 * arm.departure.over_mm)) " too high on this board."
                }
            }
        }
    }
}

/// The two rails in a sentence.
fn rails_words(units: Units, rails: &[Rail; 2]) -> Markup {
    let [near, far] = rails
        .each_ref()
        .map(|rail| units.radius(Radius::from_mm(rail.circle_radius_mm)));
    html! { "The sled's rails: radius " strong { (near) } " before the nut, " strong { (far) } " past the end." }
}

fn rails(units: Units, rails: &[Rail; 2]) -> Markup {
    html! {
        div.scroller tabindex="0" role="group" aria-label="Rails of the sled" { table.all {
            thead { tr { th.words { "rail" } th { "from the nut" } th { "crown over the floor" } th { "radius of its edge" } th { "off that circle, at most" } } }
            tbody { @for (name, rail) in ["before the nut", "past the end"].into_iter().zip(rails) {
                tr {
                    th.words scope="row" { (name) }
                    td { (length(units, rail.x_mm, 1)) }
                    td { (length(units, rail.crown_height_mm, 2)) }
                    td { (units.radius(Radius::from_mm(rail.circle_radius_mm))) }
                    td { (format!("{:.2} µm", 1e3 * rail.departure_mm)) }
                }
            } }
        } }
    }
}

fn pivots(units: Units, pivots: &[Pivot; 2]) -> Markup {
    html! {
        div.scroller tabindex="0" role="group" aria-label="Pivots of the swing arm" { table.all {
            thead { tr { th.words { "pivot of a swing arm" } th { "from the nut" } th { "over the floor" } th { "axis to the wood" } th { "axis to the plate" } } }
            tbody { @for (name, pivot) in ["before the nut", "past the end"].into_iter().zip(pivots) {
                tr {
                    th.words scope="row" { (name) }
                    td { (length(units, pivot.x_mm, 1)) }
                    td { (length(units, pivot.height_mm, 2)) }
                    td { (length(units, pivot.to_surface_mm, 2)) }
                    td { (length(units, pivot.to_plate_mm, 2)) }
                }
            } }
        } }
    }
}

fn offsets(units: Units, jigs: &Jigs) -> Markup {
    html! {
        @match &jigs.offsets {
            Ok(offsets) => (offset_figures(units, offsets)),
            Err(fault) => p.notice { strong { "No fences: " } (fault) },
        }
    }
}

fn offset_figures(units: Units, offsets: &Offsets) -> Markup {
    let row = |name: &str, mm: f64| {
        html! { tr { th.words scope="row" { (name) } td { (length(units, mm, 2)) } } }
    };
    html! {
        h3 { "Fences, bush and templates" }
        p { "The fence stands " strong { (length(units, offsets.centre_to_fence_mm, 2)) } " from the cutter's centre." }
        details.fold {
            summary { "Where fences and templates stand" }
            table.strokes.offsets { tbody {
                (row("cutter's centre to the fence", offsets.centre_to_fence_mm))
                (row("cut's nearer side to the fence", offsets.cut_to_fence_mm))
                (row("template's edge to the cut's nearer side, with the bush", offsets.bush_offset_mm))
                (row("template's edge to the cut's farther side", offsets.bush_reach_mm))
            } }
            @if let Some(slot) = offsets.slots.first() {
                p.faint { "For a slot the fence lies nutward of the slot's centre, fret 1: " (units.length(slot.along_mm, 2)) " along the centreline." }
            }
        }
    }
}
