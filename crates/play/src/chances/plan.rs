//! What a neck's demands depend on, straightened: figures at the likeliest neck, and how they change
//! with each error. Errors are small, so that this is as good as working every neck out anew.

use instrument::camber::{Camber, Knot};
use instrument::set_up::Errors;

use crate::intonation::{SetBack, TunedFret};
use crate::playing::Playing;
use crate::tops::Basis;
use crate::tuning::TunedString;
use crate::wished_bends::{Crossing, wished_bends};

/// Everything that a block of necks needs, in single precision: a ten-thousandth of a µm.
pub(super) struct Plan {
    pub frets: usize,
    pub errors: Errors,
    pub strings: Vec<PlanString>,
    pub bends: Vec<PlanBend>,
    pub in_tune_cents: f32,
    pub action_within_mm: f32,
}

/// One string.
pub(super) struct PlanString {
    /// Fret tops from fret 1, mm over the finished crown at the nut, and their changes.
    pub tops: Vec<PlanTop>,
    /// Lower triangle of the root of the tops' covariance, row by row; empty when they are exact.
    pub root: Vec<f32>,
    /// The fret tops' own error besides, mm.
    pub top_error_mm: f32,
    /// Pairs of a stop and a fret ahead, in the order of stops; stop 0 is the open string.
    pub pairs: Vec<PlanPair>,
    /// Indices into `tops` of the two over which the string is set, its actions there, and shares
    /// by which the line through them goes to nut and saddle.
    pub near: Option<usize>,
    pub far: usize,
    pub actions_mm: (f32, f32),
    pub nut_by: (f32, f32),
    pub saddle_by: (f32, f32),
    /// Share of the way from nut to saddle at the far fret.
    pub far_share: f32,
    /// The nut's height when a single fret gives no other, mm.
    pub plain_nut_mm: f32,
    pub has_pull: bool,
    /// Notes from fret 1; then the open string, when it is tuned true at a fret.
    pub tuning: Vec<PlanNote>,
    /// The note that is tuned true, counted from fret 1, and its change by its own slot: so much
    /// all notes are retuned by.
    pub tuned_by: Option<(usize, f32)>,
}

/// A fret top and its changes by relief and by the share of error of the radius at either end.
#[derive(Clone, Copy)]
pub(super) struct PlanTop {
    pub at_mm: f32,
    pub by_relief: f32,
    pub by_radius_mm: [f32; 2],
}

/// A stop and a fret ahead.
#[derive(Clone, Copy)]
pub(super) struct PlanPair {
    /// Share of the way from the stop to the saddle.
    pub share: f32,
    /// What the string sweeps there under this player's pluck, mm.
    pub sweep_mm: f32,
}

/// A note's cents and their changes.
#[derive(Clone, Copy)]
pub(super) struct PlanNote {
    pub cents: f32,
    pub by_slot: f32,
    pub by_set_back: f32,
    pub by_saddle: f32,
    pub by_nut: f32,
    pub by_stretch: f32,
}

/// A moment of a wished bend over one fret ahead.
pub(super) struct PlanBend {
    /// Index into the plan's strings.
    pub string: usize,
    /// Where it is stopped; nothing when that is the place of the moment before.
    pub stop: Option<PlanPlace>,
    pub ahead: PlanPlace,
    pub way: f32,
    pub air_mm: f32,
    /// The saddle at the likeliest neck, mm.
    pub saddle_mm: f32,
}

/// A place on a fret, between two lanes.
#[derive(Clone, Copy)]
pub(super) struct PlanPlace {
    pub fret: usize,
    pub lanes: (usize, usize),
    /// The share of the second lane.
    pub share: f32,
    pub by_relief: f32,
    pub by_radius_mm: [f32; 2],
}

impl Plan {
    pub fn of(playing: &Playing<'_>) -> Self {
        let wish = &playing.instrument.wish;
        let strings: Vec<PlanString> = (0..playing.lines.len())
            .map(|lane| plan_string(playing, lane))
            .collect();
        Self {
            frets: playing.instrument.last_fret(),
            errors: playing.instrument.errors,
            bends: plan_bends(playing),
            in_tune_cents: wish.in_tune_cents as f32,
            action_within_mm: wish.action_within_mm as f32,
            strings,
        }
    }
}

fn plan_string(playing: &Playing<'_>, lane: usize) -> PlanString {
    let instrument = playing.instrument;
    let line = &playing.lines[lane];
    let last = line.last_fret();
    let relief = playing.wished.relief_mm;
    let tops = (1..=last).map(|fret| {
        let (x_mm, y_mm) = instrument.lanes[lane].cross(instrument.frets[fret]);
        let datum = line.datum.0 + line.datum.1 * line.along_mm[fret];
        PlanTop {
            at_mm: (line.top(fret, relief) + datum) as f32,
            by_relief: -line.bow[fret] as f32,
            by_radius_mm: by_radius(playing, x_mm, y_mm),
        }
    });
    let far = line.action_fret;
    let near = (far > 1).then_some(0);
    let near_along = if far > 1 { line.along_mm[1] } else { 0.0 };
    let by = |along: f64| {
        let share = (along - near_along) / (line.along_mm[far] - near_along);
        ((1.0 - share) as f32, share as f32)
    };
    let heights = playing.wished.strings[lane];
    let over = |fret| line.action(fret, heights, relief) as f32;
    let tuning = playing.tuning.strings[lane]
        .as_ref()
        .zip(playing.tuning.own.set_back[lane])
        .map_or_else(Vec::new, |(string, back)| {
            notes(playing, lane, string, back)
        });
    PlanString {
        tuned_by: instrument.strings[lane]
            .tuned_at
            .checked_sub(1)
            .and_then(|index| Some((index, tuning.get(index)?.by_slot))),
        tuning,
        tops: tops.collect(),
        root: root(playing, lane),
        top_error_mm: match playing.tops.basis {
            // Tops that were read themselves stand as they were read.
            Basis::Frets => 0.0,
            _ => instrument.errors.fret_tops_mm as f32,
        },
        pairs: pairs(playing, lane),
        near,
        far: far - 1,
        actions_mm: (over(1.min(far)), over(far)),
        nut_by: by(0.0),
        saddle_by: by(line.length_mm),
        far_share: (line.along_mm[far] / line.length_mm) as f32,
        plain_nut_mm: (line.datum.0 + heights.nut_mm) as f32,
        has_pull: line.tension_n.is_some(),
    }
}

/// Every stop with every fret ahead under this player's pluck; none without a known pull.
fn pairs(playing: &Playing<'_>, lane: usize) -> Vec<PlanPair> {
    let line = &playing.lines[lane];
    let Some(tension_n) = line.tension_n else {
        return Vec::new();
    };
    let last = line.last_fret();
    let mut pairs = Vec::with_capacity(last * (last + 1) / 2);
    for stop in 0..last {
        let sounding = line.sounding_mm(stop);
        let sweep = playing.buzz.pluck.sweep(tension_n, sounding);
        for fret in (stop + 1)..=last {
            let from_stop = line.along_mm[fret] - line.along_mm[stop];
            pairs.push(PlanPair {
                share: (from_stop / sounding) as f32,
                sweep_mm: sweep.depth_mm(from_stop) as f32,
            });
        }
    }
    pairs
}

/// The root of a lane's covariance from fret 1 (Cholesky), a hair added for rounding.
fn root(playing: &Playing<'_>, lane: usize) -> Vec<f32> {
    let tops = &playing.tops;
    if !tops.is_uncertain() {
        return Vec::new();
    }
    let last = playing.instrument.last_fret();
    let matrix = nalgebra::DMatrix::from_fn(last, last, |i, j| {
        let hair = if i == j { HAIR_MM2 } else { 0.0 };
        tops.covariance(lane, i + 1, j + 1) + hair
    });
    let Some(cholesky) = matrix.cholesky() else {
        return Vec::new();
    };
    let lower = cholesky.l();
    (0..last)
        .flat_map(|row| (0..=row).map(move |column| (row, column)))
        .map(|place| lower[place] as f32)
        .collect()
}

/// A tenth of a µm, squared.
const HAIR_MM2: f64 = 1e-8;

/// Change of the surface's height with a share of error of the radius at the nut and at the last
/// fret, mm.
fn by_radius(playing: &Playing<'_>, x_mm: f64, y_mm: f64) -> [f32; 2] {
    let camber = &playing.instrument.camber;
    let last_x = playing.instrument.fret_x_mm(playing.instrument.last_fret());
    [false, true].map(|at_last| {
        let changed = stretched(camber, last_x, at_last);
        let by = changed.radius(x_mm);
        let drop = |radius| instrument::arc::drop(radius, y_mm);
        (-(drop(by) - drop(camber.radius(x_mm))) / SHARE) as f32
    })
}

/// The share of a radius over which its effect is straightened.
const SHARE: f64 = 1e-3;

/// The camber with its radii longer by a share, at one end and less and less toward the other.
fn stretched(camber: &Camber, last_x_mm: f64, at_last: bool) -> Camber {
    let knots = camber.knots().iter().map(|knot| {
        let share = (knot.x_mm / last_x_mm).clamp(0.0, 1.0);
        let weight = if at_last { share } else { 1.0 - share };
        Knot {
            radius: instrument::Radius::from_mm(knot.radius.mm() * (1.0 + SHARE * weight)),
            ..*knot
        }
    });
    let mut changed = camber.clone();
    changed.set_knots(knots.collect());
    changed
}

/// Notes of a string with their changes, by differences.
fn notes(playing: &Playing<'_>, lane: usize, string: &TunedString, back: SetBack) -> Vec<PlanNote> {
    let model = &string.model;
    let tuned_at = playing.instrument.strings[lane].tuned_at;
    let true_note = tuned_at
        .checked_sub(1)
        .and_then(|index| model.frets.get(index));
    let cents = |change: &dyn Fn(&mut crate::intonation::Tuned, &mut SetBack),
                 fret: Option<TunedFret>| {
        let (mut changed, mut moved) = (model.clone(), back);
        changed.frets.clear();
        change(&mut changed, &mut moved);
        let off = true_note.map_or(0.0, |note| changed.cents(*note, moved));
        fret.map_or(0.0, |fret| changed.cents(fret, moved)) - off
    };
    let note = |fret: Option<TunedFret>| {
        let here = cents(&|_, _| {}, fret);
        let slot = fret.map(|fret| TunedFret {
            along_mm: fret.along_mm + STEP_MM,
            ..fret
        });
        let by = |after: f64, step: f64| ((after - here) / step) as f32;
        PlanNote {
            cents: here as f32,
            by_slot: by(cents(&|_, _| {}, slot), STEP_MM),
            by_set_back: by(cents(&|_, back| back.saddle_mm += STEP_MM, fret), STEP_MM),
            by_saddle: by(
                cents(&|tuned, _| tuned.heights.saddle_mm += STEP_MM, fret),
                STEP_MM,
            ),
            by_nut: by(
                cents(&|tuned, _| tuned.heights.nut_mm += STEP_MM, fret),
                STEP_MM,
            ),
            by_stretch: by(cents(&|tuned, _| tuned.kappa *= 1.0 + SHARE, fret), SHARE),
        }
    };
    let stopped = model.frets.iter().map(|fret| note(Some(*fret)));
    // A string that is tuned true open has nothing to be heard there.
    stopped.chain(true_note.map(|_| note(None))).collect()
}

/// Effects of lengths are straightened over this way, mm.
const STEP_MM: f64 = 1e-3;

/// A moment of a wished bend over one fret ahead.
struct Moment {
    string: usize,
    stop: Crossing,
    ahead: Crossing,
    way: f64,
    air_mm: f64,
    saddle_mm: f64,
}

/// The moments of all wished bends that errors may make the worst of all: on its way over the
/// board a string passes tops that err by themselves, and any of them may be the one that chokes it.
fn plan_bends(playing: &Playing<'_>) -> Vec<PlanBend> {
    let moments = moments(playing);
    let least = moments
        .iter()
        .map(|moment| moment.air_mm)
        .fold(f64::INFINITY, f64::min);
    let within_mm = least + SPREADS * bend_spread_mm(playing);
    let mut before = None;
    let planned = |moment: &Moment| {
        let place = |at: Crossing| plan_place(playing, moment.string, at);
        let here = Some((moment.string, moment.stop));
        let is_elsewhere = std::mem::replace(&mut before, here) != here;
        PlanBend {
            string: moment.string,
            stop: is_elsewhere.then(|| place(moment.stop)),
            ahead: place(moment.ahead),
            way: moment.way as f32,
            air_mm: moment.air_mm as f32,
            saddle_mm: moment.saddle_mm as f32,
        }
    };
    let near = moments.iter().filter(|moment| moment.air_mm <= within_mm);
    near.map(planned).collect()
}

/// Airs farther apart than so many spreads hardly ever change places.
const SPREADS: f64 = 2.5;

fn moments(playing: &Playing<'_>) -> Vec<Moment> {
    let instrument = playing.instrument;
    let relief = playing.wished.relief_mm;
    let height = |lane: usize, at: Crossing| {
        playing.tops.height(at.fret, at.y_mm) - relief * playing.lines[lane].bow[at.fret]
    };
    let bends = wished_bends(
        instrument,
        &playing.lines,
        &playing.bent,
        instrument.wish.bend_cents,
    );
    let mut moments = Vec::new();
    for bend in bends {
        let line = &playing.lines[bend.string];
        let saddle_mm = crate::bend::saddle_mm(line, playing.wished.strings[bend.string].saddle_mm);
        let rest = height(bend.string, bend.stop);
        moments.extend(bend.ahead.iter().map(|(ahead, way)| Moment {
            string: bend.string,
            stop: bend.stop,
            ahead: *ahead,
            way: *way,
            air_mm: rest + way * (saddle_mm - rest) - height(bend.string, *ahead),
            saddle_mm,
        }));
    }
    moments
}

/// How far the airs of two moments may be spread against one another, mm.
fn bend_spread_mm(playing: &Playing<'_>) -> f64 {
    let errors = &playing.instrument.errors;
    let tops = &playing.tops;
    let stops = playing.instrument.frets.len();
    let read = |lane: usize| (0..stops).map(move |fret| tops.covariance(lane, fret, fret));
    let read_mm2 = (0..playing.lines.len()).flat_map(read).fold(0.0, f64::max);
    let edge_mm = playing.instrument.outline.half_width(0.0);
    let arch_mm = instrument::arc::drop(playing.instrument.camber.radius(0.0), edge_mm);
    // Stop and fret ahead of either moment err by themselves.
    let tops_mm2 = 4.0 * (errors.fret_tops_mm * errors.fret_tops_mm + read_mm2);
    let others_mm2 = [
        errors.saddle_mm,
        errors.relief_mm,
        errors.radius_share * arch_mm,
    ]
    .map(|sigma| sigma * sigma)
    .iter()
    .sum::<f64>();
    (tops_mm2 + others_mm2).sqrt()
}

fn plan_place(playing: &Playing<'_>, lane: usize, at: Crossing) -> PlanPlace {
    let instrument = playing.instrument;
    let line = instrument.frets[at.fret];
    let places: Vec<f64> = instrument
        .lanes
        .iter()
        .map(|lane| lane.cross(line).1)
        .collect();
    let below = places
        .iter()
        .position(|y| at.y_mm >= *y)
        .unwrap_or(places.len());
    let (lanes, share) = match below {
        0 => ((0, 0), 0.0),
        past if past == places.len() => ((past - 1, past - 1), 0.0),
        inner => {
            let (above, under) = (places[inner - 1], places[inner]);
            ((inner - 1, inner), (above - at.y_mm) / (above - under))
        }
    };
    PlanPlace {
        fret: at.fret,
        lanes,
        share: share as f32,
        by_relief: -playing.lines[lane].bow[at.fret] as f32,
        by_radius_mm: by_radius(playing, at.x_mm, at.y_mm),
    }
}
