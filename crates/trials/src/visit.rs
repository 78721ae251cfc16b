//! Readings of a wood whose truth is known: drawn from the stated priors, read by tools as
//! uncertain as they say.

use bench::{Kit, Standing};
use instrument::{Instrument, Radius};
use nalgebra::DVector;
use readings::observe::{Found, statement};
use readings::reading::{Amount, Chalk, ChalkTool, Gap, Reading, Seen, Spot, Visit, What};
use readings::wood::{Believed, Prior, Wood};

use crate::chance::Chance;

/// A mixture of readings that a maker might take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mixture {
    /// Light under gauges alone.
    Light,
    /// Gaps under a straightedge, and rocking, alone.
    Gaps,
    /// Light and gaps.
    LightAndGaps,
    /// A dial between legs, and a caliper.
    SagittaAndThickness,
    /// A height probe.
    Heights,
    /// Everything, chalk too.
    All,
}

impl Mixture {
    /// All of them.
    pub const ALL: [Mixture; 6] = [
        Mixture::Light,
        Mixture::Gaps,
        Mixture::LightAndGaps,
        Mixture::SagittaAndThickness,
        Mixture::Heights,
        Mixture::All,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Mixture::Light => "light only",
            Mixture::Gaps => "gaps only",
            Mixture::LightAndGaps => "light and gaps",
            Mixture::SagittaAndThickness => "sagitta and thickness",
            Mixture::Heights => "heights",
            Mixture::All => "all",
        }
    }
}

/// The model that readings of a visit to this board are fitted with.
pub fn wood<'a>(instrument: &'a Instrument, visit: &Visit) -> Wood<'a> {
    Wood::new(
        instrument,
        Standing::finished(),
        Believed::Prior(Prior::default()),
        readings::pieces::pieces(instrument, visit),
        visit.set_ups.len(),
    )
}

/// A true wood drawn from the priors, none that could not be.
pub fn draw_truth(wood: &Wood<'_>, chance: &mut Chance) -> DVector<f64> {
    loop {
        let truth = DVector::from_fn(wood.unknowns(), |_, _| chance.bell());
        if wood.can_be(truth.as_slice()) {
            return truth;
        }
    }
}

/// The steps to which tools are read, mm.
const LIGHT_STEP: f64 = 0.02;
const FEELER_STEP: f64 = 0.01;
const LEAST_FEELER: f64 = 0.03;
const DIAL_STEP: f64 = 0.01;
const CALIPER_STEP: f64 = 0.02;
const PROBE_STEP: f64 = 0.01;
const CHALK: f64 = 0.02;

/// A figure as it is read: the hand's spread, then rounding to the tool's step. Together they have
/// the standard uncertainty of half a step: `0.5² = 0.408² + 1/12`.
fn read(true_mm: f64, step: f64, chance: &mut Chance) -> f64 {
    let hand = (0.25f64 - 1.0 / 12.0).sqrt() * step * chance.bell();
    ((true_mm + hand) / step).round() * step
}

/// A visit with a mixture of readings; `truth` belongs to a [`wood`] of as many set-ups as the
/// mixture has.
pub struct Shop<'a, 'b> {
    /// The model.
    pub wood: &'a Wood<'b>,
    /// The true unknowns.
    pub truth: &'a DVector<f64>,
    /// The gauges and blocks at hand.
    pub kit: &'a Kit,
}

/// How many set-ups of the probe a mixture uses.
pub fn set_ups(mixture: Mixture) -> Vec<String> {
    match mixture {
        Mixture::Heights => vec!["1".into(), "2".into()],
        Mixture::All => vec!["1".into()],
        _ => Vec::new(),
    }
}

impl Shop<'_, '_> {
    /// Reads the wood.
    pub fn visit(&self, mixture: Mixture, chance: &mut Chance) -> Visit {
        let mut readings = Vec::new();
        let some = |chance: &mut Chance, least, most| 0..chance.whole(least, most);
        if matches!(
            mixture,
            Mixture::Light | Mixture::LightAndGaps | Mixture::All
        ) {
            for _ in some(chance, 5, 24) {
                readings.extend(self.light(chance));
            }
        }
        if matches!(
            mixture,
            Mixture::Gaps | Mixture::LightAndGaps | Mixture::All
        ) {
            for _ in some(chance, 8, 40) {
                readings.push(self.gap(chance));
            }
        }
        if matches!(mixture, Mixture::SagittaAndThickness | Mixture::All) {
            for _ in some(chance, 4, 20) {
                readings.push(self.sagitta(chance));
            }
            for _ in some(chance, 3, 12) {
                readings.push(self.thickness(chance));
            }
        }
        if matches!(mixture, Mixture::Heights | Mixture::All) {
            for _ in some(chance, 20, 120) {
                readings.push(self.height(chance));
            }
        }
        if mixture == Mixture::All {
            for _ in some(chance, 4, 20) {
                readings.push(self.chalk(chance));
            }
        }
        for (index, reading) in readings.iter_mut().enumerate() {
            reading.line = index + 2;
        }
        Visit {
            name: "1".into(),
            set_ups: set_ups(mixture),
            readings,
            ..Visit::default()
        }
    }

    /// Reads nothing but so many heights.
    pub fn probed(&self, count: usize, chance: &mut Chance) -> Visit {
        let read = |line| Reading {
            line,
            ..self.height(chance)
        };
        Visit {
            name: "1".into(),
            set_ups: set_ups(Mixture::Heights),
            readings: (2..count + 2).map(read).collect(),
            ..Visit::default()
        }
    }

    fn instrument(&self) -> &Instrument {
        self.wood.instrument
    }

    /// The true sum of heights that a reading is about.
    fn true_sum(&self, what: &What) -> f64 {
        let reading = bare(what.clone(), 0.01);
        let stated = statement(&reading, self.wood, self.truth.as_slice());
        stated.sum(self.wood, self.truth.as_slice()).0
    }

    fn spot(&self, chance: &mut Chance) -> Spot {
        let outline = &self.instrument().outline;
        let (x_mm, y_mm) = outline.place(chance.share(), chance.share());
        Spot { x_mm, y_mm }
    }

    fn station(&self, chance: &mut Chance) -> f64 {
        let fret = chance.whole(0, self.instrument().last_fret());
        self.instrument().fret_x_mm(fret)
    }

    fn gauge(&self, chance: &mut Chance) -> Radius {
        *chance.pick(&self.kit.gauges)
    }

    fn light(&self, chance: &mut Chance) -> Option<Reading> {
        let (gauge, x_mm) = (self.gauge(chance), self.station(chance));
        let half_width_mm = self.instrument().outline.gauge_reach(x_mm);
        let light = |seen| What::Light {
            gauge,
            x_mm,
            half_width_mm,
            seen,
        };
        let level = Seen::Edges(Amount::Mm(0.0));
        let rise = self.true_sum(&light(level));
        let shown = rise - instrument::arc::drop(gauge, half_width_mm);
        let hand = 0.5 * LIGHT_STEP * chance.bell();
        let seen = shown + hand;
        if seen.abs() < LIGHT_STEP {
            let smallest_mm = LIGHT_STEP;
            return Some(bare(light(Seen::Nothing { smallest_mm }), 0.5 * LIGHT_STEP));
        }
        // One in ten is only seen, one in ten of those at the edges tips.
        let amount = if chance.percent(10) {
            Amount::AtLeast(LIGHT_STEP)
        } else {
            Amount::Mm(seen.abs())
        };
        let seen = if seen > 0.0 && chance.percent(10) {
            self.tipped(shown, chance)?
        } else if seen > 0.0 {
            Seen::Edges(amount)
        } else {
            Seen::Crown(amount)
        };
        Some(bare(light(seen), 0.5 * LIGHT_STEP))
    }

    /// A gauge that tipped until less light than the eye sees was left at one edge.
    fn tipped(&self, level_mm: f64, chance: &mut Chance) -> Option<Seen> {
        let missed = chance.share() * LIGHT_STEP.sqrt();
        let side = 2.0 * level_mm.max(0.0).sqrt() - missed;
        let light_mm = side * side + 0.5 * LIGHT_STEP * chance.bell();
        (side > 0.0 && light_mm > LIGHT_STEP).then_some(Seen::OneEdge {
            light_mm,
            smallest_mm: LIGHT_STEP,
        })
    }

    fn gap(&self, chance: &mut Chance) -> Reading {
        let lane = *chance.pick(&self.instrument().lanes);
        let last = self.instrument().last_fret();
        let first = chance.whole(0, last / 3);
        let final_fret = chance.whole(2 * last / 3, last);
        let middle = chance.whole(first + 1, final_fret - 1);
        let at = |fret: usize| {
            let (x_mm, y_mm) = lane.cross(self.instrument().frets[fret]);
            Spot { x_mm, y_mm }
        };
        let (from, to, at) = (at(first), at(final_fret), at(middle));
        let what = |gap| What::Gap { from, to, at, gap };
        let true_gap = self.true_sum(&what(Gap::Mm(0.0)));
        let sigma = 0.5 * FEELER_STEP;
        let felt = true_gap + sigma * chance.bell();
        let least_mm = LEAST_FEELER;
        if felt < -least_mm {
            let hump_mm = least_mm;
            return bare(
                What::Rock {
                    from,
                    to,
                    at,
                    hump_mm,
                },
                sigma,
            );
        }
        if felt < least_mm {
            return bare(what(Gap::None { least_mm }), sigma);
        }
        bare(what(Gap::Mm(felt)), sigma)
    }

    fn sagitta(&self, chance: &mut Chance) -> Reading {
        let (chord_mm, x_mm) = (36.0, self.station(chance));
        let what = |sagitta_mm| What::Sagitta {
            chord_mm,
            x_mm,
            sagitta_mm,
        };
        let shown = read(self.true_sum(&what(0.5)), DIAL_STEP, chance);
        bare(what(shown), 0.5 * DIAL_STEP)
    }

    fn thickness(&self, chance: &mut Chance) -> Reading {
        let at = self.spot(chance);
        let crown = self.instrument().wood.crown_thickness_mm;
        let what = |thickness_mm| What::Thickness { at, thickness_mm };
        let shown = read(crown + self.true_sum(&what(crown)), CALIPER_STEP, chance);
        bare(what(shown), 0.5 * CALIPER_STEP)
    }

    fn height(&self, chance: &mut Chance) -> Reading {
        let set_up = chance.whole(0, self.wood.set_ups() - 1);
        let at = self.spot(chance);
        let what = |height_mm| What::Height {
            set_up,
            at,
            height_mm,
        };
        let shown = read(self.true_sum(&what(0.0)), PROBE_STEP, chance);
        bare(what(shown), 0.5 * PROBE_STEP)
    }

    fn chalk(&self, chance: &mut Chance) -> Reading {
        let mut at = self.spot(chance);
        at.x_mm = at.x_mm.clamp(5.0, self.instrument().end_x_mm() - 5.0);
        let tool = if chance.percent(70) {
            ChalkTool::Block(self.gauge(chance))
        } else {
            ChalkTool::Beam
        };
        let what = |chalk| What::Chalk {
            tool,
            at,
            chalk,
            layer_mm: CHALK,
        };
        let reading = bare(what(Chalk::Gone), 0.5 * CHALK);
        let stated = statement(&reading, self.wood, self.truth.as_slice());
        let sum = stated.sum(self.wood, self.truth.as_slice()).0;
        let Found::Within(window) = stated.found else {
            return reading;
        };
        let gone = sum + 0.5 * CHALK * chance.bell() < window.high;
        bare(
            what(if gone { Chalk::Gone } else { Chalk::Stayed }),
            0.5 * CHALK,
        )
    }
}

fn bare(what: What, sigma_mm: f64) -> Reading {
    Reading {
        line: 0,
        what,
        sigma_mm,
        place: String::new(),
        note: String::new(),
    }
}
