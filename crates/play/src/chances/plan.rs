//! What a neck's demands depend on, straightened: figures at the likeliest neck, and how they change
//! with each error. Errors are small, so that this is as good as working every neck out anew.

use instrument::camber::{Camber, Knot};
use instrument::set_up::Errors;

use crate::intonation::{SetBack, Tuned, TunedFret};
use crate::playing::Playing;
use crate::tops::Basis;
use crate::tuning::TunedString;
use crate::wished_bends::{Crossing, WishedBend, wished_bends};

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
    /// Stops that have a fret ahead; stop 0 is the open string.
    pub stops: Vec<PlanStop>,
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

/// A stop, and the frets ahead as shares of the way from it to the saddle.
pub(super) struct PlanStop {
    /// Frets over which the string sweeps along its line from the stop.
    pub near: Vec<f32>,
    /// Frets over which it sweeps along its line from the saddle.
    pub far: Vec<f32>,
    /// How deep the line from the stop would be at the saddle under this player's pluck, mm.
    pub near_sweep_mm: f32,
    /// How deep the line from the saddle would be at the stop, mm.
    pub far_sweep_mm: f32,
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

/// The air of one moment of a wished bend over one fret ahead, and its changes.
pub(super) struct PlanBend {
    /// Index into the plan's strings.
    pub string: usize,
    /// The air over a saddle of no height, mm.
    pub at_mm: f32,
    pub by_saddle: f32,
    pub by_relief: f32,
    pub by_radius_mm: [f32; 2],
    /// Changes by the tops to either side of stop and crossing, by their places among all.
    pub tops: [(usize, f32); 4],
}

impl Plan {
    pub fn of(playing: &Playing<'_>) -> Self {
        let wish = &playing.instrument.wish;
        let radii = Radii::of(playing);
        let strings: Vec<PlanString> = (0..playing.lines.len())
            .map(|lane| plan_string(playing, &radii, lane))
            .collect();
        Self {
            frets: playing.instrument.last_fret(),
            errors: Errors {
                // What was measured needs no radius of a plan.
                radius_share: match playing.tops.basis {
                    Basis::Planned => playing.instrument.errors.radius_share,
                    Basis::Wood | Basis::Frets => 0.0,
                },
                ..playing.instrument.errors
            },
            bends: plan_bends(playing, &radii),
            in_tune_cents: wish.in_tune_cents as f32,
            action_within_mm: wish.action_within_mm as f32,
            strings,
        }
    }
}

fn plan_string(playing: &Playing<'_>, radii: &Radii<'_>, lane: usize) -> PlanString {
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
            by_radius_mm: radii.by_mm(x_mm, y_mm).map(|by| by as f32),
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
    let tuning = playing.tuning().strings[lane]
        .as_ref()
        .zip(playing.tuning().own.set_back[lane])
        .map_or_else(Vec::new, |(string, back)| {
            notes(playing, lane, string, back)
        });
    PlanString {
        tops: tops.collect(),
        root: root(playing, lane),
        top_error_mm: match playing.tops.basis {
            // Tops that were read themselves stand as they were read.
            Basis::Frets => 0.0,
            _ => instrument.errors.fret_tops_mm as f32,
        },
        stops: stops(playing, lane),
        near,
        far: far - 1,
        actions_mm: (over(1.min(far)), over(far)),
        nut_by: by(0.0),
        saddle_by: by(line.length_mm),
        far_share: (line.along_mm[far] / line.length_mm) as f32,
        plain_nut_mm: (line.datum.0 + heights.nut_mm) as f32,
        has_pull: line.tension_n.is_some(),
        tuned_by: instrument.strings[lane]
            .tuned_at
            .checked_sub(1)
            .and_then(|index| Some((index, tuning.get(index)?.by_slot))),
        tuning,
    }
}

/// Every stop with the frets ahead under this player's pluck; none without a known pull.
fn stops(playing: &Playing<'_>, lane: usize) -> Vec<PlanStop> {
    let line = &playing.lines[lane];
    let Some(tension_n) = line.tension_n else {
        return Vec::new();
    };
    let of_stop = |stop: usize| {
        let sounding = line.sounding_mm(stop);
        let sweep = playing.buzz.pluck.sweep(tension_n, sounding);
        let ahead = line.along_mm[stop + 1..].iter();
        let (near, far): (Vec<f64>, Vec<f64>) = ahead
            .map(|along| along - line.along_mm[stop])
            .partition(|from_stop| *from_stop <= sweep.from_saddle_mm);
        let shares = |frets: Vec<f64>| frets.iter().map(|at| (at / sounding) as f32).collect();
        let whole = sweep.height_mm * sounding;
        PlanStop {
            near: shares(near),
            far: shares(far),
            near_sweep_mm: (whole / sweep.from_saddle_mm) as f32,
            far_sweep_mm: (whole / (sounding - sweep.from_saddle_mm)) as f32,
        }
    };
    (0..line.last_fret()).map(of_stop).collect()
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

/// The camber, and the same with its radius changed at the nut and at the last fret.
struct Radii<'a> {
    camber: &'a Camber,
    changed: [Camber; 2],
}

impl<'a> Radii<'a> {
    fn of(playing: &Playing<'a>) -> Self {
        let camber = &playing.instrument.camber;
        let last_x = playing.instrument.fret_x_mm(playing.instrument.last_fret());
        Self {
            camber,
            changed: [false, true].map(|at_last| stretched(camber, last_x, at_last)),
        }
    }

    /// Change of the surface's height with a share of error of the radius at the nut and at the
    /// last fret, mm.
    fn by_mm(&self, x_mm: f64, y_mm: f64) -> [f64; 2] {
        let drop = |camber: &Camber| instrument::arc::drop(camber.radius(x_mm), y_mm);
        let here = drop(self.camber);
        std::array::from_fn(|end| (here - drop(&self.changed[end])) / SHARE)
    }
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

/// Notes of a string with their changes, by differences: from fret 1, and then the open string when
/// it is tuned true at a fret.
fn notes(playing: &Playing<'_>, lane: usize, string: &TunedString, back: SetBack) -> Vec<PlanNote> {
    let tuned_at = playing.instrument.strings[lane].tuned_at;
    let frets = &string.model.frets;
    let true_note = tuned_at.checked_sub(1).and_then(|index| frets.get(index));
    let of = |change: &dyn Fn(&mut Tuned, &mut SetBack)| {
        let (mut model, mut back) = (
            Tuned {
                frets: Vec::new(),
                ..string.model
            },
            back,
        );
        change(&mut model, &mut back);
        let off = true_note.map_or(0.0, |note| model.cents(*note, back));
        move |fret: Option<TunedFret>| fret.map_or(0.0, |fret| model.cents(fret, back)) - off
    };
    let likeliest = of(&|_, _| {});
    let set_back = of(&|_, back| back.saddle_mm += STEP_MM);
    let saddle = of(&|model, _| model.heights.saddle_mm += STEP_MM);
    let nut = of(&|model, _| model.heights.nut_mm += STEP_MM);
    // The stiffness against bending goes with the root of that against stretch (eq. 39).
    let stretch = of(&|model, _| {
        model.kappa *= 1.0 + SHARE;
        model.stiffness *= (1.0 + SHARE).sqrt();
    });
    let note = |fret: Option<TunedFret>| {
        let here = likeliest(fret);
        let by = |after: f64, step: f64| ((after - here) / step) as f32;
        let slot = fret.map(|fret| TunedFret {
            along_mm: fret.along_mm + STEP_MM,
            ..fret
        });
        PlanNote {
            cents: here as f32,
            by_slot: by(likeliest(slot), STEP_MM),
            by_set_back: by(set_back(fret), STEP_MM),
            by_saddle: by(saddle(fret), STEP_MM),
            by_nut: by(nut(fret), STEP_MM),
            by_stretch: by(stretch(fret), SHARE),
        }
    };
    let stopped = frets.iter().map(|fret| note(Some(*fret)));
    stopped.chain(true_note.map(|_| note(None))).collect()
}

/// Effects of lengths are straightened over this way, mm.
const STEP_MM: f64 = 1e-3;

/// The moments of all wished bends that errors may make the worst of all: on its way over the
/// board a string passes tops that err by themselves, and any of them may be the one that chokes it.
fn plan_bends(playing: &Playing<'_>, radii: &Radii<'_>) -> Vec<PlanBend> {
    let cents = playing.instrument.wish.bend_cents;
    let bends = wished_bends(playing.instrument, &playing.lines, &playing.bent, cents);
    let moments: Vec<Moment> = bends
        .iter()
        .flat_map(|bend| moments(playing, bend))
        .collect();
    let airs = moments.iter().map(|moment| moment.air_mm);
    let within_mm = airs.fold(f64::INFINITY, f64::min) + SPREADS * bend_spread_mm(playing);
    let near = moments.iter().filter(|moment| moment.air_mm <= within_mm);
    near.map(|moment| plan_bend(playing, radii, moment))
        .collect()
}

/// Airs farther apart than so many spreads hardly ever change places.
const SPREADS: f64 = 2.5;

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

/// A moment of a wished bend over one fret ahead.
struct Moment {
    string: usize,
    stop: Crossing,
    ahead: Crossing,
    /// The share of the way from the stop to the saddle.
    way: f64,
    air_mm: f64,
    saddle_mm: f64,
}

fn moments(playing: &Playing<'_>, bend: &WishedBend) -> Vec<Moment> {
    let WishedBend { string, stop, .. } = *bend;
    let line = &playing.lines[string];
    let height = |at: Crossing| {
        playing.tops.height(at.fret, at.y_mm) - playing.wished.relief_mm * line.bow[at.fret]
    };
    let saddle_mm = crate::bend::saddle_mm(line, playing.wished.strings[string].saddle_mm);
    let rest = height(stop);
    let moment = |(ahead, way): &(Crossing, f64)| Moment {
        string,
        stop,
        ahead: *ahead,
        way: *way,
        air_mm: rest + way * (saddle_mm - rest) - height(*ahead),
        saddle_mm,
    };
    bend.ahead.iter().map(moment).collect()
}

fn plan_bend(playing: &Playing<'_>, radii: &Radii<'_>, moment: &Moment) -> PlanBend {
    let Moment {
        stop, ahead, way, ..
    } = *moment;
    let bow = &playing.lines[moment.string].bow;
    let by_radius = [stop, ahead].map(|at| radii.by_mm(at.x_mm, at.y_mm));
    // As the stop rises the string rises with it, less and less toward the saddle.
    let stays = 1.0 - way;
    let [above, below] = between(playing, stop);
    let [left, right] = between(playing, ahead);
    let weighted = |(top, share): (usize, f64), by: f64| (top, (share * by) as f32);
    PlanBend {
        string: moment.string,
        at_mm: (moment.air_mm - way * moment.saddle_mm) as f32,
        by_saddle: way as f32,
        by_relief: (bow[ahead.fret] - stays * bow[stop.fret]) as f32,
        by_radius_mm: std::array::from_fn(|end| {
            (stays * by_radius[0][end] - by_radius[1][end]) as f32
        }),
        tops: [
            weighted(above, stays),
            weighted(below, stays),
            weighted(left, -1.0),
            weighted(right, -1.0),
        ],
    }
}

/// The tops to either side of a place on a fret, by their places among all, with their shares in
/// its height.
fn between(playing: &Playing<'_>, at: Crossing) -> [(usize, f64); 2] {
    let instrument = playing.instrument;
    let line = instrument.frets[at.fret];
    let across = |lane: usize| instrument.lanes[lane].cross(line).1;
    let top = |lane: usize| lane * instrument.last_fret() + at.fret - 1;
    let last = instrument.lanes.len() - 1;
    match (0..=last).find(|lane| at.y_mm >= across(*lane)) {
        Some(0) => [(top(0), 1.0), (top(0), 0.0)],
        None => [(top(last), 1.0), (top(last), 0.0)],
        Some(under) => {
            let (above_mm, under_mm) = (across(under - 1), across(under));
            let share = (above_mm - at.y_mm) / (above_mm - under_mm);
            [(top(under - 1), 1.0 - share), (top(under), share)]
        }
    }
}
