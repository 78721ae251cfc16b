//! One wild reading among sound ones: a light typed ten times too large, on boards whose truth is
//! known.

use readings::bell::HALF_95;
use readings::doubt::{Hint, doubted};
use readings::figures::figures;
use readings::fit::Problem;
use readings::measured::Measured;
use readings::observe::statement;
use readings::reading::{Amount, Reading, Seen, Visit, What};
use readings::wood::Wood;

use crate::chance::Chance;
use crate::coverage::board;
use crate::visit::{Mixture, Shop, draw_truth, wood};

/// What became of one board with a wild light.
#[derive(Clone, Debug)]
pub struct Wild {
    /// The board's seed.
    pub seed: u64,
    /// The light as it was before it was spoilt, mm.
    pub light_mm: f64,
    /// How surely all the other readings foretell it: half a 95 % interval, mm.
    pub foretold_half_mm: f64,
    /// How many readings are doubted.
    pub doubted: usize,
    /// Its place among the doubted ones, from 0; nothing when it is not doubted.
    pub rank: Option<usize>,
    /// What is said of it.
    pub hint: Option<Hint>,
    /// The furthest that a reported figure moves against the fit without it, in half-widths of
    /// that figure's 95 % interval.
    pub moved: f64,
}

/// Lights that a usual visit has at the least, and gaps.
const LEAST_LIGHTS: usize = 12;
const LEAST_GAPS: usize = 8;

/// By how much it is typed too large.
const TOO_LARGE: f64 = 10.0;

/// Spoils one light on each of so many boards.
pub fn wild(boards: usize) -> Vec<Wild> {
    (1..).filter_map(one_board).take(boards).collect()
}

/// A board with a visit of at least so many lights and gaps, one measured light among them
/// spoilt; nothing when chance makes no such visit.
fn one_board(seed: u64) -> Option<Wild> {
    let (instrument, kit) = board(seed)?;
    let mut chance = Chance::new(seed ^ 0x7173_0000_0000);
    let model = wood(&instrument, &Visit::default());
    let truth = draw_truth(&model, &mut chance);
    let shop = Shop {
        wood: &model,
        truth: &truth,
        kit: &kit,
    };
    let visit = shop.visit(Mixture::LightAndGaps, &mut chance);
    let of = |kind: &str| {
        visit
            .readings
            .iter()
            .filter(|r| r.what.kind() == kind)
            .count()
    };
    if of("light") < LEAST_LIGHTS || of("gap") < LEAST_GAPS {
        return None;
    }
    let measured: Vec<usize> = (0..visit.readings.len())
        .filter(|index| light_of(&visit.readings[*index]).is_some())
        .collect();
    if measured.is_empty() {
        return None;
    }
    let spoilt = *chance.pick(&measured);
    Some(outcome(seed, &model, &visit.readings, spoilt))
}

/// A light that was measured at both edges or at the crown, mm.
fn light_of(reading: &Reading) -> Option<f64> {
    match reading.what {
        What::Light {
            seen: Seen::Edges(Amount::Mm(light)) | Seen::Crown(Amount::Mm(light)),
            ..
        } => Some(light),
        _ => None,
    }
}

fn spoil(reading: &Reading) -> Reading {
    let mut spoilt = reading.clone();
    if let What::Light {
        seen: Seen::Edges(Amount::Mm(light)) | Seen::Crown(Amount::Mm(light)),
        ..
    } = &mut spoilt.what
    {
        *light *= TOO_LARGE;
    }
    spoilt
}

fn fit<'a>(model: &Wood<'a>, readings: &'a [Reading]) -> Measured<'a> {
    let problem = Problem {
        wood: model.clone(),
        readings,
        clouds: &[],
    };
    Measured::of(problem).unwrap_or_else(|error| panic!("{error}"))
}

fn outcome(seed: u64, model: &Wood<'_>, readings: &[Reading], at: usize) -> Wild {
    let mut with = readings.to_vec();
    with[at] = spoil(&readings[at]);
    let mut without = readings.to_vec();
    let left_out = without.remove(at);
    let (with_it, without_it) = (fit(model, &with), fit(model, &without));
    let stated = statement(&left_out, model, without_it.mean());
    let foretold = without_it.figure(&stated.spots);
    let doubted = doubted(&with_it);
    let rank = doubted.iter().position(|one| one.line == left_out.line);
    let moved = figures(&without_it)
        .iter()
        .map(|told| {
            let (a, b) = (with_it.figure(&told.spots), without_it.figure(&told.spots));
            (a.value - b.value).abs() / (HALF_95 * b.sigma)
        })
        .fold(0.0, f64::max);
    Wild {
        seed,
        light_mm: light_of(&left_out).unwrap_or(0.0),
        foretold_half_mm: HALF_95 * foretold.sigma,
        doubted: doubted.len(),
        rank,
        hint: rank.and_then(|rank| doubted[rank].hint),
        moved,
    }
}
