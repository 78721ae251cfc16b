//! The page Fretwork: tops as read, seating, levelling, wire and slots, nut, saddle, neck.

use drawing::pictures::{saddle_picture, string_map};
use instrument::frets::SlotFit;
use instrument::fretwork::{TopReading, TopWhat};
use instrument::{Radius, fret_name};
use maud::{Markup, html};
use play::Playing;
use play::levelling::Levelling;
use play::tops::Basis;

use super::fields::Fields;
use super::layout::hidden;
use super::play::surface_links;
use super::{Asked, PageName, figure, figure_saying, picture, side_by_side};
use crate::edit::Shown;
use crate::play_pictures::{self, in_units};
use crate::play_words::{circle_words, levelling_words, shim_words};
use crate::show::{change, length};
use crate::surface::{chosen, played};
use crate::view::{Figures, View};
use crate::words;

/// The page's content.
pub(super) fn content(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let shown = Shown::new(&view.text);
    let fields = Fields::of_commission(view, PageName::Fretwork, &shown);
    let surface = chosen(view, now);
    html! {
        h1 { "Fretwork" }
        (surface_links(view, now, surface, "fretwork"))
        @match played(view, now, surface) {
            Ok(playing) => {
                @let (told, set_up) = side_by_side(|| told(view, now, &playing), || set_up(view, &playing, &fields));
                (told)
                (entry(view, now, asked))
                (read_list(view, now))
                (fields_of_levelling(&fields))
                (set_up)
                (wire(view, now))
            }
            Err(error) => p.notice.not-done role="alert" { strong { "No surface: " } (error) },
        }
    }
}

fn told(view: &View, now: &Figures, playing: &Playing<'_>) -> Markup {
    let levelling = now.levelling_of(playing);
    html! {
        @if playing.tops.basis != Basis::Planned {
            div.points { (picture(&string_map(playing.instrument, &in_units(play_pictures::tops_map(playing), view.units.length), view.look()), "tops")) }
            p.source { "Rests on the readings, by Bayes' rule, with what is believed of frets before anything is read." }
        }
        @if levelling.most().is_some() || !levelling.cannot.is_empty() {
            div.points { (picture(&string_map(playing.instrument, &in_units(play_pictures::levelling_map(playing, &levelling), view.units.length), view.look()), "levelling")) }
            p.source { "The least that frees the asked set-up of buzz under this player's pluck: a linear programme for each lane." }
        }
        (deciding(view, now, playing, &levelling))
        section.minded id="levelling-words" data-part {
            h2 { "What next" }
            ul {
                @for words in levelling_words(playing, &levelling, view.units) { li { (words) } }
                @for doubted in &playing.doubted {
                    li { strong { "Doubted: " } (reading_words(&doubted.reading)) " was read as "
                        (length(view.units, doubted.reading.value_mm, 3)) ", where the others foretell "
                        (length(view.units, doubted.foretold_mm, 3)) " ± " (length(view.units, doubted.half_mm, 3)) "." }
                }
            }
            p.faint { "Filing metal makes dust and chips: guard eyes, lungs, pickups and the board's face. Slacken the strings before the neck is worked on." }
        }
        (levelling_table(view, playing, &levelling))
    }
}

fn deciding(view: &View, now: &Figures, playing: &Playing<'_>, levelling: &Levelling) -> Markup {
    let units = view.units;
    let spec = &now.instrument.fret_spec;
    let was = view.was.as_ref();
    let was = was.and_then(|was| was.levelling_on(playing.tops.basis));
    let proud = |levelling: &Levelling| {
        levelling
            .seat_first
            .first()
            .map_or(0.0, |proud| proud.over_mm)
    };
    let seated = |now_mm: f64| change(units, now_mm, was.map(proud), 3);
    // The most of some lanes is not compared with the most of others.
    let alike = was.filter(|was| was.cannot == levelling.cannot);
    let filed = |now_mm: f64| {
        let most = alike.map(|was| was.most().map_or(0.0, |most| most.2));
        change(units, now_mm, most, 3)
    };
    html! {
        dl.figures id="fretwork-figures" data-part {
            (figure_saying(&words::SEAT_FIRST, html! {
                @match levelling.seat_first.first() {
                    Some(first) => { (length(units, first.over_mm, 3)) (seated(first.over_mm)) span.side { (fret_name(first.fret)) ", lane " (first.lane + 1) } }
                    None => { "nothing" (seated(0.0)) },
                }
            }, &format!("stands over both neighbours by more than {}", units.length(playing.instrument.fretwork.seat_bound_mm, 2))))
            (figure_saying(&words::FILE_OFF, html! {
                @match levelling.most() {
                    Some((lane, fret, off)) => { (length(units, off, 3)) (filed(off)) span.side { (fret_name(fret)) ", lane " (lane + 1) } }
                    None if levelling.cannot.is_empty() => { "nothing" (filed(0.0)) },
                    None => "filing cannot do it",
                }
                @if !levelling.cannot.is_empty() && levelling.most().is_some() {
                    span.side { "and cannot free " @if levelling.cannot.len() == 1 { "lane " } @else { "lanes " }
                        (levelling.cannot.iter().map(|lane| (lane + 1).to_string()).collect::<Vec<_>>().join(", ")) }
                }
            }, &format!("every crown keeps {}", units.length(playing.instrument.fretwork.least_crown_mm, 2))))
            (figure(&words::TANG_IN_SLOT, html! { (fit_words(view, now.sheet.fit)) }))
            (figure(&words::BEND_THE_WIRE, html! { (format!("{:.0} %", 100.0 * spec.bend_ratio)) }))
        }
    }
}

fn fit_words(view: &View, fit: SlotFit) -> String {
    match fit {
        SlotFit::Unknown => "not known".into(),
        SlotFit::Tight { by_mm } => format!("{} too tight", view.units.length(by_mm, 3)),
        SlotFit::Holds { grip_mm } => format!("holds by {}", view.units.length(grip_mm, 3)),
        SlotFit::Loose { by_mm } => format!("{} too loose", view.units.length(by_mm, 3)),
    }
}

fn levelling_table(view: &View, playing: &Playing<'_>, levelling: &Levelling) -> Markup {
    let units = view.units;
    let read = playing.tops.basis != Basis::Planned;
    html! {
        details id="levelling-table" data-part {
            summary { "Every fret in every lane" }
            div.scroller tabindex="0" role="group" aria-label="What comes off" {
                table.all {
                    thead { tr { th { "fret" } @for lane in 1..=playing.lines.len() { th { "lane " (lane) } } } }
                    tbody { @for fret in 1..=playing.instrument.last_fret() {
                        tr data-fret=(fret) class=[(fret == view.pointed.fret).then_some("here")] {
                            th scope="row" { (fret_name(fret)) }
                            @for (lane, off) in levelling.off_mm.iter().enumerate() {
                                td {
                                    @match off { Some(off) => { (length(units, off[fret], 3)) " off" }, None => "–" }
                                    @if read {
                                        span.side { (length(units, playing.tops.departure_mm[lane][fret], 3)) " over the plan ± "
                                            (units.length(readings::bell::HALF_95 * playing.tops.covariance(lane, fret, fret).max(0.0).sqrt(), 3)) }
                                    }
                                }
                            }
                        }
                    } }
                }
            }
        }
    }
}

/// What a reading of fret tops is, in words.
fn reading_words(reading: &TopReading) -> String {
    let lane = reading.lane + 1;
    match reading.what {
        TopWhat::Height { fret } => format!("height at {}, lane {lane}", fret_name(fret)),
        TopWhat::Gap { from, to, fret } => {
            format!(
                "gap at {}, lane {lane}, straightedge on frets {from} and {to}",
                fret_name(fret)
            )
        }
        TopWhat::Rock { fret } => format!("rocking on {}, lane {lane}", fret_name(fret)),
    }
}

/// The forms that take a reading of fret tops.
fn entry(view: &View, now: &Figures, asked: &Asked) -> Markup {
    let fret = view.pointed.fret.clamp(1, now.instrument.last_fret());
    let lane = view.pointed.lane + 1;
    let typed = |name: &str, otherwise: String| {
        let kept = asked.typed.iter().find(|(known, _)| known == name);
        kept.map_or(otherwise, |(_, value)| value.clone())
    };
    // What was refused stays as it was typed, wherever is pointed meanwhile.
    let follows = asked.typed.is_empty().then_some("");
    let field = |name: &str, label: &str, value: String| {
        html! {
            label { (label) input type="text" name=(name) value=(value) autocomplete="off" spellcheck="false" inputmode="decimal" autofocus[view.mends(name)]
                data-points=[follows.filter(|_| name == "at" || name == "in")]
                placeholder=[(name == "value").then(|| format!("like {}", view.units.length(0.12, 2)))]; }
        }
    };
    html! {
        section id="enter" data-part {
            h2 { "Enter a reading of the fret tops" }
            p.faint { "With the neck straight and the strings off. Heights are read by a dial along a straight bar laid in the lane; where the bar lies does not matter." }
            form.reading method="post" action=(format!("/commission/{}/fret-top", view.entry.id)) data-follow {
                (hidden(view, PageName::Fretwork))
                fieldset {
                    legend { "What was read" }
                    @for (value, words) in [
                        ("heights", "height under a dial"),
                        ("gaps", "gap under a straightedge on two frets"),
                        ("rocks", "rocking over three frets (0 when it does not)"),
                    ] {
                        label { input type="radio" name="kind" value=(value) checked[typed("kind", "heights".into()) == value]; " " (words) }
                    }
                }
                div.row {
                    div.short-field { (field("at", "Fret", typed("at", fret.to_string()))) }
                    div.short-field { (field("in", "Lane", typed("in", lane.to_string()))) }
                    div.short-field.for-gaps { (field("from", "Straightedge from fret", typed("from", "1".into()))) }
                    div.short-field.for-gaps { (field("to", "to fret", typed("to", now.instrument.last_fret().to_string()))) }
                    div.short-field { (field("value", "Reading", typed("value", String::new()))) }
                }
                button.enter type="submit" { "Enter" }
            }
        }
    }
}

/// The readings, each with its way out.
fn read_list(view: &View, now: &Figures) -> Markup {
    let readings = &now.instrument.fretwork.readings;
    if readings.is_empty() || view.stale {
        return html! {};
    }
    let mut places = Vec::new();
    let mut counts = [0usize; 3];
    for reading in readings {
        let (list, name) = match reading.what {
            TopWhat::Height { .. } => (0, "heights"),
            TopWhat::Gap { .. } => (1, "gaps"),
            TopWhat::Rock { .. } => (2, "rocks"),
        };
        counts[list] += 1;
        places.push(format!("fretwork.{name}[{}]", counts[list]));
    }
    html! {
        details id="top-readings" data-part {
            summary { (readings.len()) @if readings.len() == 1 { " reading" } @else { " readings" } " of the fret tops" }
            div.scroller tabindex="0" role="group" aria-label="Readings of the fret tops" { table.all.narrow {
                thead { tr { th.words { "reading" } th { "read" } th { span.unseen { "take away" } } } }
                tbody { @for (reading, place) in readings.iter().zip(&places) {
                    tr {
                        th.words scope="row" { (reading_words(reading)) }
                        td { (length(view.units, reading.value_mm, 3)) }
                        td {
                            form.inline method="post" action=(format!("/commission/{}/take", view.entry.id)) data-follow {
                                (hidden(view, PageName::Fretwork))
                                input type="hidden" name="path" value=(place);
                                button.quiet-shown type="submit" { "Take away" }
                            }
                        }
                    }
                } }
            } }
        }
    }
}

fn fields_of_levelling(fields: &Fields<'_>) -> Markup {
    html! {
        section.only-fields {
            h2 { "How far" }
            div.fields {
                (fields.field("fretwork.step", "Least step of the readings"))
                (fields.field("fretwork.seat_bound", "Seat what stands prouder than"))
                (fields.field("fretwork.least_crown", "Least crown that stays"))
                (fields.field("frets.crown_height", "Crown height"))
            }
        }
    }
}

fn set_up(view: &View, playing: &Playing<'_>, fields: &Fields<'_>) -> Markup {
    let figures = &playing.set_up;
    let units = view.units;
    let measured = figures.strings.iter().any(|string| string.now.is_some());
    html! {
        section {
            h2 { "Nut, saddle, neck" }
            div id="set-up" data-part {
                (picture(&saddle_picture(&play_pictures::nut(playing), view.look()), "nut"))
                (picture(&saddle_picture(&play_pictures::saddle(playing), view.look()), "saddle"))
                @if let Some(circle) = &figures.saddle_circle {
                    p { "Circle through the saddle's tops: " (circle_words(circle, units)) "."
                        @if let Some(nut) = &figures.nut_circle { " Through the nut slots' floors: " (circle_words(nut, units)) "." } }
                }
                (set_up_table(view, playing, measured))
                @if playing.instrument.set_up.is_measured() && !measured {
                    p { "To tell what to change, the action over fret " (playing.instrument.action_fret()) " must be measured too." }
                }
                @if let (to, Some(now)) = figures.relief_mm {
                    p { "Relief first: from " (units.length(now, 2)) " to " strong { (units.length(to, 2)) } ", then the nut, then the saddle. "
                        "What the relief alone does to the action is counted already." }
                }
                @if let Some(neck) = figures.neck {
                    p { "Neck angle " strong { (format!("{:.2}°", neck.angle_deg)) } ": the board's plane meets the saddle " (units.length(neck.plane_at_saddle_mm, 2))
                        " over the body."
                        @if let Some(shim) = neck.shim_mm {
                            " Instead of the mean saddle change, " (shim_words(shim, units)) " would do."
                        } }
                }
                p.source { "Straight strings over the fret tops; the action is set over fret 1 and fret " (playing.instrument.action_fret()) "." }
            }
            h3 { "Measured on the strung instrument" }
            div.fields {
                (fields.field("set_up.relief", "Relief"))
                (fields.field("set_up.action_at_12.treble", "Action at fret 12, treble"))
                (fields.field("set_up.action_at_12.bass", "Action at fret 12, bass"))
                (fields.field("set_up.action_at_1.treble", "Action at fret 1, treble"))
                (fields.field("set_up.action_at_1.bass", "Action at fret 1, bass"))
            }
            h3 { "The neck" }
            div.fields {
                (fields.field("neck.depth_at_1", "Depth at fret 1"))
                (fields.field("neck.depth_at_12", "Depth at fret 12"))
                (fields.field("neck.joint", "Meets the body at fret"))
                (fields.field("neck.board_over_body", "Board over body there"))
                (fields.field("neck.bridge_height", "Strings over body at the saddle"))
                (fields.field("neck.pocket", "Length of the neck's seat"))
            }
        }
    }
}

fn set_up_table(view: &View, playing: &Playing<'_>, measured: bool) -> Markup {
    let units = view.units;
    let change = |mm: f64, down: &str, up: &str| {
        let way = if mm < 0.0 { down } else { up };
        html! { (length(units, mm.abs(), 2)) " " (way) }
    };
    html! {
        div.scroller tabindex="0" role="group" aria-label="Figures to cut to" {
            table.all {
                thead { tr {
                    th { "string" } th { "action at 1" } th { "action at " (playing.instrument.action_fret()) }
                    th { "slot floor over wood" } th { "saddle over plane" }
                    @if measured { th { "measured" } th { "by relief alone" } th { "nut slot" } th { "saddle" } }
                } }
                tbody { @for (index, string) in playing.set_up.strings.iter().enumerate() {
                    tr {
                        th scope="row" { (index + 1) " " span.faint { (playing.instrument.strings[index].note) } }
                        td { (length(units, string.actions_mm.0, 2)) }
                        td { (length(units, string.actions_mm.1, 2)) }
                        td { (length(units, string.slot_over_wood_mm, 2)) }
                        td { (length(units, string.saddle_over_plane_mm, 2)) }
                        @if let Some(now) = string.now {
                            td { (length(units, now.actions_mm.1, 2)) span.side { "at 1: " (units.length(now.actions_mm.0, 2)) } }
                            td { (change(now.by_relief_mm, "lower", "higher")) }
                            td { (change(now.nut_mm, "deeper", "shallower")) }
                            td { (change(now.saddle_mm, "off", "more")) }
                        } @else if measured { td {} td {} td {} td {} }
                    }
                } }
            }
        }
        p.faint { "Slot floors are counted from the wood in front of the nut, under each string; saddle tops from the board's plane on the centreline, carried on straight." }
    }
}

fn wire(view: &View, now: &Figures) -> Markup {
    let units = view.units;
    html! {
        section id="wire-table" data-part {
            h2 { "Wire and slots" }
            p {
                (units.length(now.sheet.wire.total_mm, 0)) " of wire in all, from " (now.sheet.wire.sticks.len()) " sticks; the cutting list is on the page "
                a href=(format!("/commission/{}/board?fret={}&lane={}#wire", view.entry.id, view.pointed.fret, view.pointed.lane)) { "Board" } "."
            }
            details {
                summary { "Every fret: wire, bend, slot, fall" }
                div.scroller tabindex="0" role="group" aria-label="Wire and slots" {
                    table.all {
                        thead { tr { th { "fret" } th { "wire" } th { "fret's own radius" } th { "bend wire to" } th { "slot depth" } th { "slot length" } th { "wood under" } th { "falls away" } } }
                        tbody { @for fret in now.sheet.frets.iter().skip(1) {
                            tr data-fret=(fret.fret) class=[(fret.fret == view.pointed.fret).then_some("here")] {
                                th scope="row" { (fret_name(fret.fret)) }
                                td { (length(units, fret.wire_mm, 1)) }
                                td { (units.radius(Radius::from_mm(fret.arc.radius_mm))) }
                                td { (units.radius(Radius::from_mm(fret.bend_radius_mm))) }
                                td { (length(units, fret.slot_depth_mm, 2)) }
                                td { (length(units, fret.slot_length_mm, 2)) }
                                td { (length(units, fret.wood_under_slot_mm, 2)) }
                                td { (length(units, now.instrument.camber.fall(fret.x_mm), 3)) }
                            }
                        } }
                    }
                }
            }
        }
    }
}
