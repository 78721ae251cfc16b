//! The page Camber: the arch, what it does, and how it is given.

use drawing::pictures::{
    camber_chooser, edge_chart, lane_profile, radius_chart, radius_handles, section,
};
use instrument::Radius;
use instrument::camber::Law;
use maud::{Markup, PreEscaped, html};
use quantity::LengthUnit;

use super::fields::Fields;
use super::layout::hidden;
use super::{PageName, figure, figure_saying, picture, side_by_side};
use crate::edit::Shown;
use crate::play_pictures::{self, BEND_SOURCE};
use crate::show::{Units, change, change_of, length, volume};
use crate::view::{Figures, View};
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures) -> Markup {
    let shown = Shown::new(&view.text);
    let fields = Fields::of_commission(view, PageName::Camber, &shown);
    let instrument = &now.instrument;
    let gauges = view
        .sound_kit()
        .map_or(&[][..], |kit| kit.gauges.as_slice());
    let station = now
        .sheet
        .frets
        .get(view.pointed.fret)
        .and_then(|fret| fret.gauge);
    let (first, chooser) = side_by_side(
        || {
            html! {
                (super::verdict::of_camber(view, now))
                (handled_chart(view, now))
                div.pair {
                    (picture(&section(instrument, view.look(), gauges, station), "section"))
                    (picture(&lane_profile(instrument, view.look()), "profile"))
                }
                (deciding(view, now))
            }
        },
        || choice(view, now),
    );
    html! {
        h1 { "Camber" }
        (first)
        section {
            h2 { "The law" }
            (law_fields(now, &fields, view))
        }
        (super::cambers::section(view))
        (chooser)
        (meaning(view, now))
        (picture(&edge_chart(instrument, &now.sheet, view.look()), "edge"))
    }
}

/// The camber chooser: the tightest cambers that grant the wished bends.
fn choice(view: &View, now: &Figures) -> Markup {
    let places = play::wished_bend_places(&now.instrument, &now.sheet.strings);
    let frontier = places.whole_frontier();
    let owned = view.sound_kit().map_or(Vec::new(), |kit| {
        kit.blocks
            .iter()
            .filter_map(|block| block.radius.finite_mm())
            .collect()
    });
    let chart = play_pictures::chooser(&now.instrument, &frontier, owned);
    html! {
        section id="chooser" data-part {
            h2 { "Choose by bends" }
            @if !places.is_empty() {
                (picture(&camber_chooser(&chart, view.look()), "chooser"))
                p.source { "Rests on " (BEND_SOURCE) ", at the asked action and relief; radii run straight from the nut to the last fret." }
                details {
                    summary { "The tightest cambers, in figures" }
                    div.scroller tabindex="0" role="group" aria-label="The tightest cambers" { table.all.narrow {
                        thead { tr { th { "radius at the nut" } th { "at the last fret at least" } th { "edge drop at the nut" } th { "at the last fret" } } }
                        tbody { @for tightest in &frontier { (tightest_row(view, now, tightest)) } }
                    } }
                }
            } @else { p.faint { "No string's pull and stretch are known, so that no bend can be told." } }
        }
    }
}

fn tightest_row(view: &View, now: &Figures, tightest: &play::chooser::Tightest) -> Markup {
    let units = view.units;
    let outline = &now.instrument.outline;
    let last_x = now.instrument.fret_x_mm(now.instrument.last_fret());
    let drop = |mm: f64, x: f64| instrument::arc::drop(Radius::from_mm(mm), outline.half_width(x));
    html! {
        tr {
            td { (units.radius(Radius::from_mm(tightest.nut_mm))) }
            td { @match tightest.last_mm { Some(mm) => (units.radius(Radius::from_mm(mm))), None => "not even flat" } }
            td { (length(units, drop(tightest.nut_mm, 0.0), 3)) }
            td { @if let Some(mm) = tightest.last_mm { (length(units, drop(mm, last_x), 3)) } }
        }
    }
}

/// The radius chart with handles: each can be dragged, or stepped with the arrow keys.
fn handled_chart(view: &View, now: &Figures) -> Markup {
    let scene = radius_chart(&now.instrument, view.look(), now.plan.as_ref());
    let options = drawing::SvgOptions {
        id_prefix: "radius".into(),
        extra_attributes: vec![("role".into(), "group".into())],
        ..Default::default()
    };
    let svg = drawing::write_svg(&scene, &options);
    let body = svg.strip_suffix("</svg>").unwrap_or(&svg);
    html! {
        figure.picture id="picture-radius" data-part {
            div.scroller tabindex="0" role="group" aria-label="Radius along the board" {
                (PreEscaped(body))
                @for handle in radius_handles(&now.instrument, now.plan.as_ref()) {
                    g.handle tabindex="0" role="slider" data-path=(handle.key) data-value=(format!("{:.3}", handle.radius.mm()))
                        data-scale=(format!("{:.6}", handle.mm_per_mm_down))
                        aria-label=(format!("{}, drag or use the arrow keys", handle.name))
                        aria-valuemin="10" aria-valuemax="1000000" aria-valuenow=(format!("{:.1}", handle.radius.mm()))
                        aria-valuetext=(view.units.radius(handle.radius))
                        data-action=(format!("/commission/{}/set", view.entry.id)) data-based-on=(view.entry.revision) {
                        circle cx=(handle.at.x) cy=(handle.at.y) r="4.5" {}
                    }
                }
                (PreEscaped("</svg>"))
            }
            figcaption { "Drag a ring up or down, or step it with the arrow keys." }
        }
    }
}

fn deciding(view: &View, now: &Figures) -> Markup {
    let units = view.units;
    let (sheet, was) = (&now.sheet, view.was_sheet());
    let last = now.instrument.last_fret();
    let drop_at = |sheet: &play::Sheet, fret: usize| sheet.frets.get(fret).map(|f| f.edge_drop_mm);
    let hump = |sheet: &play::Sheet| {
        sheet
            .camber
            .lane_hump_mm
            .iter()
            .copied()
            .fold(0.0f64, |a, b| if b.abs() > a.abs() { b } else { a })
    };
    let drop = |fret: usize| {
        let now = drop_at(sheet, fret).unwrap_or(f64::NAN);
        html! { (length(units, now, 3)) (change(units, now, was.and_then(|was| drop_at(was, fret)), 3)) }
    };
    html! {
        dl.figures id="camber-figures" data-part {
            (figure(&words::EDGE_DROP_AT_NUT, drop(0)))
            (figure(&words::EDGE_DROP_AT_LAST_FRET, drop(last)))
            (figure(&words::WOOD_ABOVE_CAMBER, html! {
                (volume(sheet.camber.removed_mm3))
                (change_of(sheet.camber.removed_mm3, was.map(|was| was.camber.removed_mm3), 0, "mm³"))
            }))
            (figure_saying(&words::GREATEST_HUMP, html! {
                (hump_words(units, hump(sheet)))
                (hump_change(units, hump(sheet), was.map(hump)))
            }, "surface over the straight line nut to last fret; small on any sensible camber"))
            (figure(&words::APEX_OF_CONE, html! {
                @match sheet.camber.apex_x_mm { Some(x) => (from_nut(units, x)), None => "none" }
            }))
            (figure(&words::LANES_MEET, html! {
                @match sheet.camber.lanes_apex_x_mm { Some(x) => (from_nut(units, x)), None => "never" }
            }))
        }
    }
}

/// Where a cone or the lanes come to a point: behind the nut, or past it.
fn from_nut(units: Units, x_mm: f64) -> Markup {
    let side = if x_mm < 0.0 {
        "behind the nut"
    } else {
        "past the nut"
    };
    html! { (length(units, x_mm.abs(), 1)) " " span.side { (side) } }
}

/// A hump with its sign: in hundredths of a millimetre, or in the unit chosen instead.
fn hump_words(units: Units, mm: f64) -> Markup {
    let sign = if mm < 0.0 { "−" } else { "+" };
    html! {
        @if units.length == LengthUnit::Millimetre { (sign) (format!("{:.2}/100 mm", 100.0 * mm.abs())) }
        @else { (sign) (units.length(mm.abs(), 3)) }
    }
}

fn hump_change(units: Units, now_mm: f64, was_mm: Option<f64>) -> Markup {
    if units.length != LengthUnit::Millimetre {
        return change(units, now_mm, was_mm, 3);
    }
    change_of(100.0 * now_mm, was_mm.map(|was| 100.0 * was), 2, "/100 mm")
}

fn law_fields(now: &Figures, fields: &Fields<'_>, view: &View) -> Markup {
    let law = now.instrument.camber.law;
    html! {
        (law_choice(view, law))
        div.fields {
            @match law {
                Law::Single => (fields.field("camber.radius", "Radius")),
                Law::Cone => {
                    (fields.field("camber.nut", "Radius at the nut"))
                    (fields.field("camber.last_fret", "Radius at the last fret"))
                }
                Law::StringCone => (fields.field("camber.nut", "Radius at the nut")),
                Law::Stations => {
                    @for index in 1..=fields.shown.entries("camber.at") {
                        (fields.field(&format!("camber.at[{index}].fret"), &format!("Station {index}, fret")))
                        (fields.field(&format!("camber.at[{index}].radius"), &format!("Station {index}, radius")))
                    }
                }
            }
            @if now.instrument.camber.fall_away.is_some() {
                (fields.field("camber.fall_away.from_fret", "Fall-away from fret"))
                (fields.field("camber.fall_away.depth", "Fall-away at the end"))
            }
        }
    }
}

/// Changing the law keeps the surface as near as the new law allows.
fn law_choice(view: &View, law: Law) -> Markup {
    let laws = [
        (Law::Single, "single", "One radius"),
        (Law::Cone, "cone", "Cone, nut to last fret"),
        (Law::Stations, "stations", "Radii at stations"),
        (Law::StringCone, "string cone", "Cone of the strings"),
    ];
    html! {
        form.laws method="post" action=(format!("/commission/{}/law", view.entry.id)) data-follow {
            (hidden(view, PageName::Camber))
            fieldset {
                legend { "How the camber is given" }
                @for (each, name, words) in laws {
                    label { input type="radio" name="law" value=(name) checked[each == law] data-send; " " (words) }
                }
            }
            button.quiet type="submit" { "Set" }
        }
    }
}

fn meaning(view: &View, now: &Figures) -> Markup {
    let humps = &now.sheet.camber.lane_hump_mm;
    html! {
        section id="camber-meaning" data-part {
            h2 { "What the camber does" }
            p {
                "Under the strings the surface departs from straight by "
                @for (index, hump) in humps.iter().enumerate() {
                    @if index > 0 { ", " }
                    span.number title=(format!("{hump} mm")) { (hump_words(view.units, *hump)) }
                }
                ", highest string first. A compound camber is not for the strings' straight "
                "path, which hardly feels it: it is for bends, where a string pushed across a tight arch would choke."
            }
            @if let Some(ratio) = now.instrument.string_cone_ratio(now.instrument.ends.saddle.x_mm) {
                p.faint {
                    "The cone of the strings would have " (format!("{ratio:.3}")) " times the nut's radius at the saddle, and no hump at all."
                }
            }
            @if now.instrument.camber.fall_away.is_some() {
                p { "The fall-away takes " (volume(now.sheet.camber.fall_away_mm3)) " of the wood above, and the humps count it." }
            }
            @if view.stale { p.faint { "Figures of the last sound moment." } }
        }
    }
}
