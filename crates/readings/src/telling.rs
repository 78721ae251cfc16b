//! The next reading that would tell most: of all readings that the kit could take, the one that
//! makes the figure asked about surest.
//!
//! A reading of a sum q with variance σ² takes `(q·C·t)²/(q·C·q + σ²)` off the variance of a
//! figure t; nothing but the place and the tool is needed to know that beforehand.

use bench::Kit;
use bench::gauges::nearest_gauge;
use instrument::{Instrument, Radius, fret_name};
use nalgebra::DVector;

use crate::bell::HALF_95;
use crate::measured::Measured;
use crate::normal::{along, merged};
use crate::observe::rise;
use crate::reading::Spot;
use crate::wood::Row;

/// A reading that could be taken, and what it would do.
#[derive(Clone, Debug, PartialEq)]
pub struct Telling {
    /// Its kind, as it stands in a readings file.
    pub kind: &'static str,
    /// The gauge to lay on, for light.
    pub gauge: Option<Radius>,
    /// The chord of the dial, for sagitta, mm.
    pub chord_mm: Option<f64>,
    /// Where, in words.
    pub place: String,
    /// Where, on the board.
    pub at: Spot,
    /// Half the 95 % interval of the figure asked about before, mm.
    pub before_half_mm: f64,
    /// The same after this reading, mm.
    pub after_half_mm: f64,
}

/// A reading that could be taken.
struct Candidate {
    kind: &'static str,
    gauge: Option<Radius>,
    chord_mm: Option<f64>,
    place: String,
    at: Spot,
    spots: Vec<(Spot, f64)>,
    set_up: Option<usize>,
    sigma_mm: f64,
}

/// The most telling reading of every kind the kit can take, most telling first. `asked` is the
/// figure asked about, by its derivatives.
pub fn telling(measured: &Measured<'_>, kit: Option<&Kit>, asked: &Row) -> Vec<Telling> {
    let image = measured.image(asked);
    let variance = along(asked, &image).max(0.0);
    let mut best: Vec<Telling> = Vec::new();
    for candidate in candidates(measured, kit) {
        let after = variance - fall(measured, &candidate, &image);
        let told = tell(candidate, variance, after.max(0.0));
        match best.iter_mut().find(|known| known.kind == told.kind) {
            Some(known) if told.after_half_mm < known.after_half_mm => *known = told,
            Some(_) => {}
            None => best.push(told),
        }
    }
    best.sort_by(|a, b| a.after_half_mm.total_cmp(&b.after_half_mm));
    best
}

fn tell(candidate: Candidate, before: f64, after: f64) -> Telling {
    Telling {
        kind: candidate.kind,
        gauge: candidate.gauge,
        chord_mm: candidate.chord_mm,
        place: candidate.place,
        at: candidate.at,
        before_half_mm: HALF_95 * before.sqrt(),
        after_half_mm: HALF_95 * after.sqrt(),
    }
}

/// How much a candidate takes off the variance asked about.
fn fall(measured: &Measured<'_>, candidate: &Candidate, image: &DVector<f64>) -> f64 {
    let mut row = measured.sum(&candidate.spots).row;
    if let Some(set_up) = candidate.set_up {
        let wood = measured.wood();
        wood.add_datum(measured.mean(), set_up, candidate.at, &mut row);
        row = merged(row);
    }
    let with_asked = along(&row, image);
    let own = measured.variance(&row) + candidate.sigma_mm * candidate.sigma_mm;
    with_asked * with_asked / own
}

fn candidates(measured: &Measured<'_>, kit: Option<&Kit>) -> Vec<Candidate> {
    let instrument = measured.wood().instrument;
    let mut all = Vec::new();
    for fret in 0..=instrument.last_fret() {
        all.extend(light(instrument, kit, fret));
        all.extend(dials(instrument, kit, fret));
    }
    all.extend(gaps(instrument, kit));
    all.extend(thicknesses(instrument, kit));
    if measured.wood().set_ups() > 0 {
        all.extend(heights(measured, kit));
    }
    all
}

fn light(instrument: &Instrument, kit: Option<&Kit>, fret: usize) -> Option<Candidate> {
    let x_mm = instrument.fret_x_mm(fret);
    let (from, to) = instrument.outline.square_span();
    if x_mm < from || x_mm > to {
        return None;
    }
    let planned = instrument.camber.radius(x_mm);
    let gauge = match kit {
        Some(kit) => nearest_gauge(kit, planned, instrument.outline.gauge_reach(x_mm))?,
        None => planned,
    };
    Some(Candidate {
        kind: "light",
        gauge: Some(gauge),
        chord_mm: None,
        place: fret_name(fret),
        at: Spot { x_mm, y_mm: 0.0 },
        spots: rise(x_mm, instrument.outline.gauge_reach(x_mm)),
        set_up: None,
        sigma_mm: 0.5 * kit.map_or(0.02, |kit| kit.smallest_light_mm),
    })
}

fn dials(instrument: &Instrument, kit: Option<&Kit>, fret: usize) -> Vec<Candidate> {
    let x_mm = instrument.fret_x_mm(fret);
    let reach = 2.0
        * instrument
            .outline
            .treble
            .at(x_mm)
            .min(instrument.outline.bass.at(x_mm));
    let owned = kit.map_or(&[][..], |kit| &kit.dials);
    owned
        .iter()
        .filter(|dial| dial.chord_mm <= reach)
        .map(|dial| Candidate {
            kind: "sagitta",
            gauge: None,
            chord_mm: Some(dial.chord_mm),
            place: fret_name(fret),
            at: Spot { x_mm, y_mm: 0.0 },
            spots: rise(x_mm, 0.5 * dial.chord_mm),
            set_up: None,
            sigma_mm: 0.5 * dial.resolution_mm,
        })
        .collect()
}

/// Gaps in every lane, the straightedge from the nut to the last fret, or as far as the longest
/// one of the kit reaches.
fn gaps(instrument: &Instrument, kit: Option<&Kit>) -> Vec<Candidate> {
    let longest = kit
        .map(|kit| kit.straightedges_mm.iter().copied().fold(0.0, f64::max))
        .filter(|longest| *longest > 0.0)
        .unwrap_or(f64::INFINITY);
    let last = (0..=instrument.last_fret())
        .rev()
        .find(|fret| instrument.fret_x_mm(*fret) <= longest)
        .unwrap_or(0);
    let mut all = Vec::new();
    for (lane, line) in instrument.lanes.iter().enumerate() {
        let at = |fret: usize| {
            let (x_mm, y_mm) = line.cross(instrument.frets[fret]);
            Spot { x_mm, y_mm }
        };
        for fret in (1..last).step_by(2) {
            let share = (at(fret).x_mm - at(0).x_mm) / (at(last).x_mm - at(0).x_mm);
            all.push(Candidate {
                kind: "gap",
                gauge: None,
                chord_mm: None,
                place: format!(
                    "lane {}, straightedge from the nut to fret {last}, feeler at fret {fret}",
                    lane + 1
                ),
                at: at(fret),
                spots: vec![(at(0), 1.0 - share), (at(last), share), (at(fret), -1.0)],
                set_up: None,
                sigma_mm: 0.5 * kit.map_or(0.01, |kit| kit.feeler_step_mm),
            });
        }
    }
    all
}

fn thicknesses(instrument: &Instrument, kit: Option<&Kit>) -> Vec<Candidate> {
    let sides = [("treble edge", 1.0), ("centre", 0.5), ("bass edge", 0.0)];
    let frets = [0, instrument.last_fret() / 2, instrument.last_fret()];
    let mut all = Vec::new();
    for fret in frets {
        for (side, across) in sides {
            let [treble, bass] = instrument.outline.edges_of(instrument.frets[fret]);
            let between = |from: f64, to: f64| from + across * (to - from);
            let at = Spot {
                x_mm: between(bass.0, treble.0),
                y_mm: between(bass.1, treble.1),
            };
            all.push(Candidate {
                kind: "thickness",
                gauge: None,
                chord_mm: None,
                place: format!("{}, {side}", fret_name(fret)),
                at,
                spots: vec![(at, 1.0)],
                set_up: None,
                sigma_mm: 0.5 * kit.map_or(0.02, |kit| kit.caliper_step_mm),
            });
        }
    }
    all
}

/// Further heights of the last set-up, in every lane and on both edges at every second fret.
fn heights(measured: &Measured<'_>, kit: Option<&Kit>) -> Vec<Candidate> {
    let instrument = measured.wood().instrument;
    let set_up = measured.wood().set_ups() - 1;
    let mut all = Vec::new();
    for fret in (0..=instrument.last_fret()).step_by(2) {
        let line = instrument.frets[fret];
        let [treble, bass] = instrument.outline.edges_of(line);
        let lanes = instrument.lanes.iter().enumerate();
        let spots = lanes
            .map(|(lane, line_of)| (format!("lane {}", lane + 1), line_of.cross(line)))
            .chain([("treble edge".into(), treble), ("bass edge".into(), bass)]);
        for (across, (x_mm, y_mm)) in spots {
            let at = Spot { x_mm, y_mm };
            all.push(Candidate {
                kind: "height",
                gauge: None,
                chord_mm: None,
                place: format!("{}, {across}", fret_name(fret)),
                at,
                spots: vec![(at, 1.0)],
                set_up: Some(set_up),
                sigma_mm: 0.5 * kit.map_or(0.01, |kit| kit.probe_step_mm),
            });
        }
    }
    all
}
