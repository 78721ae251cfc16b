//! How it plays, as pictures are made of it: pages and paper fill them alike.

use drawing::pictures::{
    CentsChart, CentsLine, ChooserChart, SaddlePicture, ShareBars, ShareRow, Side, StringMap,
    StringSide,
};
use instrument::{Instrument, Radius};
use play::Playing;
use play::bend::BendEnd;
use play::buzz::BuzzMap;
use play::chances::{Account, Demand};
use play::chooser::Tightest;
use play::levelling::Levelling;
use play::tuning::Way;
use quantity::{Length, LengthUnit};

use crate::play_words::stopped;

/// Where and how a margin is told to come from.
pub const BUZZ_SOURCE: &str =
    "the swept depth of an ideal plucked string (d'Alembert), straight from stop to saddle";
/// Where a bend's end comes from.
pub const BEND_SOURCE: &str =
    "stretch of the bent string by its own stiffness, straight over the frets ahead";
/// Where cents come from.
pub const TUNING_SOURCE: &str =
    "M. B. Anderson and R. G. Beausoleil, J. Acoust. Soc. Am. 156, 683 (2024)";

/// The least margin of every string at every stop under this player's pluck.
pub fn buzz_map(playing: &Playing<'_>) -> StringMap {
    buzz_map_of(playing, &playing.buzz, "this")
}

/// The least margin of every string at every stop under a player's pluck.
pub fn buzz_map_of(playing: &Playing<'_>, map: &BuzzMap, player: &str) -> StringMap {
    let values = map.least.iter().map(|stops| {
        let all = stops.iter().map(|least| least.map(|least| least.margin_mm));
        all.collect()
    });
    StringMap {
        title: format!("Air left over the frets ahead, {player} player"),
        description: format!(
            "For every string at every stop the least air between the plucked string and a fret ahead, under {:.2} N.",
            map.pluck.force_n
        ),
        unit: "mm".into(),
        values: values.collect(),
        decimals: 2,
        limit: Some(playing.instrument.wish.margin_mm),
        wrong_side: Side::Below,
        key: format!("least air, stopped there, {:.2} N", map.pluck.force_n),
    }
}

/// The same map with lengths as they are chosen: in thousandths of an inch when inches are.
pub fn in_units(mut map: StringMap, unit: LengthUnit) -> StringMap {
    if unit == LengthUnit::Millimetre {
        return map;
    }
    let in_mm = if map.unit == HUNDREDTHS { 0.01 } else { 1.0 };
    let thou = |figure: f64| 1000.0 * Length::from_mm(in_mm * figure).inches();
    for value in map.values.iter_mut().flatten() {
        *value = value.map(thou);
    }
    map.limit = map.limit.map(thou);
    map.unit = "thou".into();
    map.decimals = 1;
    map
}

/// The unit of small heights.
const HUNDREDTHS: &str = "1/100 mm";

/// Where every bend ends.
pub fn bend_map(playing: &Playing<'_>) -> StringMap {
    let values = playing
        .bends()
        .ends
        .iter()
        .map(|frets| frets.iter().map(|end| end.map(BendEnd::cents)).collect());
    StringMap {
        title: "Cents up to which a bend is free".into(),
        description: "For every string at every fret the cents at which a bend chokes on a fret ahead, or up to which the board has room.".into(),
        unit: "cents".into(),
        values: values.collect(),
        decimals: 0,
        limit: Some(playing.instrument.wish.bend_cents),
        wrong_side: Side::Below,
        key: "free up to".into(),
    }
}

/// What comes off every fret top.
pub fn levelling_map(playing: &Playing<'_>, levelling: &Levelling) -> StringMap {
    let last = playing.instrument.last_fret();
    let lane = |off: &Option<Vec<f64>>| match off {
        Some(off) => off
            .iter()
            .enumerate()
            .map(|(fret, mm)| (fret > 0).then_some(100.0 * mm))
            .collect(),
        None => vec![None; last + 1],
    };
    StringMap {
        title: "What comes off the fret tops".into(),
        description: "For every fret in every lane the least that must be filed off for the asked set-up, in hundredths of a millimetre.".into(),
        unit: HUNDREDTHS.into(),
        values: levelling.off_mm.iter().map(lane).collect(),
        decimals: 1,
        limit: None,
        wrong_side: Side::Above,
        key: "to file off".into(),
    }
}

/// How far every fret top stands over its plan.
pub fn tops_map(playing: &Playing<'_>) -> StringMap {
    let lane = |departures: &Vec<f64>| {
        let all = departures.iter().enumerate();
        all.map(|(fret, mm)| (fret > 0).then_some(100.0 * mm))
            .collect()
    };
    StringMap {
        title: "Fret tops over their plan".into(),
        description: "How far every fret top stands over its planned height in every lane, in hundredths of a millimetre.".into(),
        unit: HUNDREDTHS.into(),
        values: playing.tops.departure_mm.iter().map(lane).collect(),
        decimals: 1,
        limit: Some(100.0 * playing.instrument.fretwork.seat_bound_mm),
        wrong_side: Side::Above,
        key: "over the plan".into(),
    }
}

/// One string from the side, stopped at a fret that has others ahead.
pub fn string_side(playing: &Playing<'_>, lane: usize, stop: usize) -> Option<StringSide> {
    let line = playing.lines.get(lane)?;
    let stop = stop.min(line.last_fret().saturating_sub(1));
    let (heights, relief) = (*playing.wished.strings.get(lane)?, playing.wished.relief_mm);
    let sweep = playing
        .buzz
        .pluck
        .sweep(line.tension_n?, line.sounding_mm(stop));
    let from = line.along_mm[stop];
    let steps = 60;
    let swept = (0..=steps).map(|step| {
        let s = sweep.length_mm * f64::from(step) / f64::from(steps);
        (from + s, sweep.depth_mm(s))
    });
    let top = |fret: usize| match fret {
        0 => -line.wood_at_nut_mm,
        fret => line.top(fret, relief),
    };
    let least = playing.buzz.least[lane][stop];
    let uncertain = playing.tops.is_uncertain();
    let half = |fret: usize| {
        readings::bell::HALF_95 * playing.tops.covariance(lane, fret, fret).max(0.0).sqrt()
    };
    let name = stopped(stop);
    Some(StringSide {
        title: format!("String {} {name}, from the side", lane + 1),
        description: "Fret tops under the string with the relief, the string at rest, and the band below it that it sweeps when plucked.".into(),
        tops: (0..=line.last_fret()).map(|fret| (line.along_mm[fret], top(fret))).collect(),
        stopped_at: stop,
        from: (from, line.rest(stop, heights, relief)),
        saddle: (line.length_mm, heights.saddle_mm),
        swept: swept.collect(),
        least: least.map(|least| (least.fret, least.margin_mm)),
        uncertainty_mm: if uncertain {
            (0..=line.last_fret()).map(half).collect()
        } else {
            Vec::new()
        },
    })
}

/// The cents left at every fret.
pub fn cents_chart(playing: &Playing<'_>, way: &Way, title: &str) -> CentsChart {
    let notes = playing.instrument.strings.iter().map(|string| string.note);
    let lines = notes.zip(&way.cents).enumerate();
    CentsChart {
        title: title.into(),
        description:
            "How many cents every stopped note is sharp (above) or flat (below), string by string."
                .into(),
        frets: playing.instrument.last_fret(),
        strings: lines
            .map(|(index, (note, cents))| CentsLine {
                name: format!("{} {note}", index + 1),
                cents: cents.clone().unwrap_or_default(),
            })
            .collect(),
        band_cents: playing.instrument.wish.in_tune_cents,
    }
}

/// The choice of a camber: the tightest that grant the wish.
pub fn chooser(instrument: &Instrument, frontier: &[Tightest], owned_mm: Vec<f64>) -> ChooserChart {
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let this = (
        instrument.camber.radius(0.0).mm(),
        instrument.camber.radius(last_x).mm(),
    );
    let frontier: Vec<(f64, f64)> = frontier
        .iter()
        .map(|tightest| (tightest.nut_mm, tightest.last_mm.unwrap_or(f64::INFINITY)))
        .collect();
    let highest = frontier.iter().map(|(nut, _)| *nut).fold(0.0, f64::max);
    let tallest = frontier
        .iter()
        .map(|(_, last)| *last)
        .chain([this.1])
        .filter(|mm| mm.is_finite())
        .fold(highest, f64::max);
    let least = frontier.first().map_or(50.0, |(nut, _)| *nut);
    ChooserChart {
        title: "Cambers that grant the wish".into(),
        description: format!(
            "Radius at the nut against radius at the last fret: cambers on or above the line grant bends of {:.0} cents at the asked action everywhere.",
            instrument.wish.bend_cents
        ),
        string_cone_ratio: instrument.string_cone_ratio(last_x),
        nut_drop: drops(instrument, 0.0, least, highest),
        last_drop: drops(instrument, last_x, least, tallest),
        reach: ((least, highest), (0.8 * least, 1.05 * tallest)),
        owned_mm,
        frontier,
        this,
    }
}

/// Edge drops at a place for radii between two.
fn drops(instrument: &Instrument, x_mm: f64, low_mm: f64, high_mm: f64) -> Vec<(f64, f64)> {
    let half = instrument.outline.half_width(x_mm);
    let steps = 40;
    (0..=steps)
        .map(|step| low_mm * (high_mm / low_mm).powf(f64::from(step) / f64::from(steps)))
        .map(|radius| (radius, instrument::arc::drop(Radius::from_mm(radius), half)))
        .filter(|(_, drop)| drop.is_finite())
        .collect()
}

/// Which error matters most.
pub fn share_bars(account: &Account) -> ShareBars {
    let demand = Demand::ALL
        .iter()
        .position(|demand| *demand == account.decisive)
        .unwrap_or(0);
    let chance = account.tally.chance();
    ShareBars {
        title: format!("Which error spreads \"{}\" most", account.decisive.words()),
        description: "The share of the spread that is each error's alone, the greatest first."
            .into(),
        unit: "%".into(),
        rows: account
            .shares
            .iter()
            .map(|share| ShareRow {
                name: share.source.words().into(),
                share: share.of[demand],
                words: format!(
                    "half as large: {:.0} % instead of {:.0} %",
                    100.0 * share.if_halved,
                    100.0 * chance
                ),
            })
            .collect(),
    }
}

/// The saddle from the end.
pub fn saddle(playing: &Playing<'_>) -> SaddlePicture {
    let figures = &playing.set_up;
    let strings = playing.instrument.lanes.iter().zip(&figures.strings);
    SaddlePicture {
        title: "Saddle".into(),
        description: "Heights of the strings' undersides at the saddle over the board's plane carried on, with the circle that fits them best.".into(),
        strings: strings
            .zip(&playing.instrument.strings)
            .map(|((lane, string), spec)| (lane.saddle.1, string.saddle_over_plane_mm, spec.gauge.mm()))
            .collect(),
        circle_mm: figures.saddle_circle.as_ref().map(|circle| circle.radius_mm),
        base_words: "the board's plane, carried on".into(),
    }
}

/// The nut from the end.
pub fn nut(playing: &Playing<'_>) -> SaddlePicture {
    let figures = &playing.set_up;
    let crown = playing.instrument.fret_spec.crown_height_mm;
    let strings = playing.instrument.lanes.iter().zip(&playing.lines);
    SaddlePicture {
        title: "Nut".into(),
        description: "Floors of the nut slots over the board's crown at the nut, with the circle that fits them best.".into(),
        strings: strings
            .zip(figures.strings.iter().zip(&playing.instrument.strings))
            .map(|((lane, line), (string, spec))| {
                (lane.nut.1, line.datum.0 + string.to.nut_mm, spec.gauge.mm())
            })
            .collect(),
        circle_mm: figures.nut_circle.as_ref().map(|circle| circle.radius_mm),
        base_words: format!("the wood's crown; frets are {crown:.2} mm high"),
    }
}
