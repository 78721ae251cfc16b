//! The wood as figures: which unknowns describe the surface now, what is assumed of them before
//! anything is read, and how the height of every spot follows from them.
//!
//! `z = level + pitch·u + roll·y + twist·u·y + bow·4u(1-u) - drop(κ(x), y) - fall(x) + net(x, y)`,
//! u = x/x_N. Inside, every unknown is counted in its own prior deviations from its prior mean,
//! so that the prior is the same bell for all of them.

use bench::Standing;
use bench::blocks::tightest_at;
use bench::stage::Arch;
use instrument::arc::{drop, drop_by_curvature, drop_by_curvature_twice};
use instrument::camber::{Between, straight_radius};
use instrument::{Instrument, Radius};

use crate::net::{Net, SPOT_PER_COEFFICIENT};
use crate::reading::Spot;

/// What is assumed before anything is read: standard deviations, mm. Wide enough that a few
/// readings outweigh them; stated, because where nothing was read they are all that is known.
/// Common practice, no source: what hand work leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Of the crown's height at the nut.
    pub level_mm: f64,
    /// Of the crown's rise from the nut to the last fret.
    pub pitch_mm: f64,
    /// Of the treble edge's height over the bass edge at the nut.
    pub roll_mm: f64,
    /// Of what that grows by, to the last fret.
    pub twist_mm: f64,
    /// Of the crown's height in the middle over the straight line from nut to last fret.
    pub bow_mm: f64,
    /// Of the edge's drop under the crown, at every knot of the camber.
    pub drop_mm: f64,
    /// Of the local departure at any spot.
    pub departure_mm: f64,
    /// Of a probe's datum over the finished crown.
    pub datum_mm: f64,
    /// Of that datum's tilt, nut to last fret and edge to edge.
    pub tilt_mm: f64,
}

impl Default for Prior {
    fn default() -> Self {
        Self {
            level_mm: 1.0,
            pitch_mm: 0.5,
            roll_mm: 0.3,
            twist_mm: 0.3,
            bow_mm: 0.3,
            drop_mm: 0.2,
            departure_mm: 0.05,
            datum_mm: 50.0,
            tilt_mm: 10.0,
        }
    }
}

/// How much of the model is free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Believed {
    /// The priors count.
    Prior(Prior),
    /// Nothing is assumed, and there is no local departure: the plain least-squares camber.
    Nothing,
}

/// How the arch runs between the knots of the camber.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum ArchLaw {
    /// The radius runs straight, as the finished camber's does.
    StraightRadius,
    /// The curvature's departure from what is expected runs straight: blocks at work, flat blanks.
    StraightDeparture,
}

/// The model of one board at one visit.
#[derive(Clone, Debug)]
pub struct Wood<'a> {
    /// The board.
    pub instrument: &'a Instrument,
    /// What the plan expects to stand there.
    pub expected: Standing,
    /// The net of local departure; nothing when the camber alone is fitted.
    pub net: Option<Net>,
    /// What is assumed.
    pub believed: Believed,
    law: ArchLaw,
    knots_x: Vec<f64>,
    knots: usize,
    set_ups: usize,
    last_fret_x: f64,
    centre: Vec<f64>,
    scale: Vec<f64>,
}

/// A row of derivatives by the unknowns, in prior deviations: sparse, in no order.
pub type Row = Vec<(usize, f64)>;

/// Unknowns before the knots of the camber: level, pitch, roll, twist, bow.
pub(crate) const PLANE: usize = 5;

/// The least curvature that a camber's knot may have, 1/mm: a radius of ten kilometres.
const LEAST_CURVATURE: f64 = 1e-7;

impl<'a> Wood<'a> {
    /// The model for `set_ups` probe set-ups. `expected` is how the plan says that the wood
    /// stands; `net` the pieces of the net along and across.
    pub fn new(
        instrument: &'a Instrument,
        expected: Standing,
        believed: Believed,
        pieces: (usize, usize),
        set_ups: usize,
    ) -> Self {
        let knots = instrument.camber.knots();
        let arched = knots.len() > 1 && knots.iter().all(|knot| !knot.radius.is_flat());
        let law = match &expected.arch {
            Arch::Camber if arched => ArchLaw::StraightRadius,
            Arch::Camber | Arch::Blocks(_) => ArchLaw::StraightDeparture,
        };
        let net = match believed {
            Believed::Prior(_) => Some(Net::new(instrument, pieces.0, pieces.1)),
            Believed::Nothing => None,
        };
        let mut wood = Self {
            instrument,
            law,
            knots_x: knots.iter().map(|knot| knot.x_mm).collect(),
            knots: knots.len(),
            set_ups,
            last_fret_x: instrument.fret_x_mm(instrument.last_fret()),
            net,
            believed,
            expected,
            centre: Vec::new(),
            scale: Vec::new(),
        };
        wood.set_scales();
        wood
    }

    fn set_scales(&mut self) {
        let prior = match self.believed {
            Believed::Prior(prior) => prior,
            Believed::Nothing => Prior::default(),
        };
        let outline = &self.instrument.outline;
        let (near, far) = (outline.width(0.0), outline.width(self.last_fret_x));
        self.centre = vec![self.expected.offset_mm, 0.0, 0.0, 0.0, 0.0];
        self.scale = vec![
            prior.level_mm,
            prior.pitch_mm,
            prior.roll_mm / near,
            prior.twist_mm / far,
            prior.bow_mm,
        ];
        for knot in self.instrument.camber.knots() {
            self.centre.push(match self.law {
                ArchLaw::StraightRadius => knot.radius.curvature(),
                ArchLaw::StraightDeparture => 0.0,
            });
            let half = outline.half_width(knot.x_mm);
            self.scale.push(2.0 * prior.drop_mm / (half * half));
        }
        for _ in 0..self.set_ups {
            self.centre.extend([0.0; 3]);
            self.scale
                .extend([prior.datum_mm, prior.tilt_mm, prior.tilt_mm / near]);
        }
        let coefficient = prior.departure_mm / SPOT_PER_COEFFICIENT;
        let net = self.net.map_or(0, |net| net.count());
        self.centre.extend(std::iter::repeat_n(0.0, net));
        self.scale.extend(std::iter::repeat_n(coefficient, net));
    }

    /// How many unknowns there are.
    pub fn unknowns(&self) -> usize {
        self.centre.len()
    }

    /// Weight of the prior: 1, or 0 when nothing is assumed.
    pub fn prior_weight(&self) -> f64 {
        match self.believed {
            Believed::Prior(_) => 1.0,
            Believed::Nothing => 0.0,
        }
    }

    /// Where the set-ups' unknowns begin.
    pub(crate) fn set_up_at(&self, set_up: usize) -> usize {
        PLANE + self.knots + 3 * set_up
    }

    /// Where the net's unknowns begin.
    pub(crate) fn net_at(&self) -> usize {
        PLANE + self.knots + 3 * self.set_ups
    }

    /// Share of the way from the nut to the last fret.
    pub(crate) fn along(&self, x: f64) -> f64 {
        x / self.last_fret_x
    }

    /// An unknown as a figure: mm, mm of rise for each mm across, or 1/mm.
    pub fn figure(&self, unknowns: &[f64], index: usize) -> f64 {
        self.centre[index] + self.scale[index] * unknowns[index]
    }

    /// True when every knot has an arch that can be: not inside out, and not past a half circle
    /// anywhere on the board.
    pub fn can_be(&self, unknowns: &[f64]) -> bool {
        let (from, to) = self.instrument.outline.reach();
        let knots_stand = self.law == ArchLaw::StraightDeparture
            || (0..self.knots).all(|knot| self.figure(unknowns, PLANE + knot) > LEAST_CURVATURE);
        let places = self.knots_x.iter().copied().chain([from, to]);
        knots_stand
            && places.into_iter().all(|x| {
                let half = self.instrument.outline.half_width(x);
                (self.arch(unknowns, x).curvature * half).abs() < 0.95
            })
    }

    /// Height of the wood at a spot over the finished crown, mm; set-ups not counted.
    pub fn height(&self, unknowns: &[f64], spot: Spot) -> f64 {
        self.height_and(unknowns, spot, |_, _| {})
    }

    /// The height at a spot; its derivatives, times `times`, are added to `row`.
    pub fn add(&self, unknowns: &[f64], spot: Spot, times: f64, row: &mut Row) -> f64 {
        self.height_and(unknowns, spot, |index, by| row.push((index, times * by)))
    }

    /// The height at a spot; each derivative that is not nothing is handed to `each`.
    fn height_and(&self, unknowns: &[f64], spot: Spot, mut each: impl FnMut(usize, f64)) -> f64 {
        let Spot { x_mm: x, y_mm: y } = spot;
        let u = self.along(x);
        let plane = [1.0, u, y, u * y, 4.0 * u * (1.0 - u)];
        let arch = self.arch(unknowns, x);
        let radius = Radius::from_mm(1.0 / arch.curvature);
        let mut height = -drop(radius, y) - self.standing(x);
        for (index, share) in plane.into_iter().enumerate() {
            height += share * self.figure(unknowns, index);
            each(index, share * self.scale[index]);
        }
        let bend = -drop_by_curvature(radius, y);
        for (knot, share) in arch.by_knots {
            let index = PLANE + knot;
            each(index, bend * share * self.scale[index]);
        }
        if let Some(net) = &self.net {
            let first = self.net_at();
            for (coefficient, share) in net.share(spot) {
                let index = first + coefficient;
                height += share * self.scale[index] * unknowns[index];
                each(index, share * self.scale[index]);
            }
        }
        height
    }

    /// How the height at a spot bends by the two knots around it: second derivatives.
    pub fn bend(&self, unknowns: &[f64], spot: Spot) -> [(usize, usize, f64); 4] {
        let Spot { x_mm: x, y_mm: y } = spot;
        let arch = self.arch(unknowns, x);
        let radius = Radius::from_mm(1.0 / arch.curvature);
        let (once, twice) = (
            drop_by_curvature(radius, y),
            drop_by_curvature_twice(radius, y),
        );
        let own = self.arch_bend(unknowns, x);
        std::array::from_fn(|entry| {
            let (a, b) = (entry / 2, entry % 2);
            let [(i, by_i), (j, by_j)] = [arch.by_knots[a], arch.by_knots[b]];
            let (i, j) = (PLANE + i, PLANE + j);
            let second = twice * by_i * by_j + once * own[a][b];
            (i, j, -second * self.scale[i] * self.scale[j])
        })
    }

    /// Second derivatives of the curvature at a place by the two knots around it. With
    /// `κ = κ₁κ₂/D`, `D = (1-s)κ₂ + sκ₁`, they are `-2s(1-s)/D³` times the outer product of
    /// `(κ₂, -κ₁)` with itself.
    fn arch_bend(&self, unknowns: &[f64], x: f64) -> [[f64; 2]; 2] {
        let between = self.instrument.camber.between(x);
        let Some(Between { from, to, share }) = between else {
            return [[0.0; 2]; 2];
        };
        if self.law == ArchLaw::StraightDeparture || from == to {
            return [[0.0; 2]; 2];
        }
        let near = self.figure(unknowns, PLANE + from);
        let far = self.figure(unknowns, PLANE + to);
        let mixed = (1.0 - share) * far + share * near;
        let factor = -2.0 * share * (1.0 - share) / mixed.powi(3);
        let by = [far, -near];
        [0, 1].map(|i| [0, 1].map(|j| factor * by[i] * by[j]))
    }

    /// What a set-up's datum adds to a height read at a spot, mm; its derivatives are added to `row`.
    pub fn add_datum(&self, unknowns: &[f64], set_up: usize, spot: Spot, row: &mut Row) -> f64 {
        self.datum_and(unknowns, set_up, spot, |index, by| row.push((index, by)))
    }

    /// What a set-up's datum adds to a height read at a spot, mm.
    pub fn datum(&self, unknowns: &[f64], set_up: usize, spot: Spot) -> f64 {
        self.datum_and(unknowns, set_up, spot, |_, _| {})
    }

    fn datum_and(
        &self,
        unknowns: &[f64],
        set_up: usize,
        spot: Spot,
        mut each: impl FnMut(usize, f64),
    ) -> f64 {
        if set_up >= self.set_ups {
            return 0.0;
        }
        let first = self.set_up_at(set_up);
        let shares = [1.0, self.along(spot.x_mm), spot.y_mm];
        let mut datum = 0.0;
        for (index, share) in (first..).zip(shares) {
            datum += share * self.figure(unknowns, index);
            each(index, share * self.scale[index]);
        }
        datum
    }

    /// Fall-away that is made, mm.
    pub(crate) fn standing(&self, x: f64) -> f64 {
        if self.expected.fall_made {
            self.instrument.camber.fall(x)
        } else {
            0.0
        }
    }

    /// Curvature at a place along the board, and how it follows the knots.
    pub(crate) fn arch(&self, unknowns: &[f64], x: f64) -> ArchAt {
        let Some(Between { from, to, share }) = self.instrument.camber.between(x) else {
            return ArchAt::default();
        };
        let near = self.figure(unknowns, PLANE + from);
        let far = self.figure(unknowns, PLANE + to);
        match self.law {
            ArchLaw::StraightDeparture => ArchAt {
                curvature: self.expected_curvature(x) + near + share * (far - near),
                by_knots: [(from, 1.0 - share), (to, share)],
            },
            ArchLaw::StraightRadius => {
                let (curvature, [by_near, by_far]) = straight_radius(near, far, share);
                ArchAt {
                    curvature,
                    by_knots: [(from, by_near), (to, by_far)],
                }
            }
        }
    }

    /// The curvature at many places between one pair of knots, and how it follows each of them.
    pub(crate) fn arch_over<const N: usize>(
        &self,
        unknowns: &[f64],
        (from, to): (usize, usize),
        x: &[f64; N],
    ) -> ArchOver<N> {
        let near = self.figure(unknowns, PLANE + from);
        let far = self.figure(unknowns, PLANE + to);
        let start = self.knots_x[from];
        // Where the radius is held both knots are one, and the share is 0.
        let per_mm = match from == to {
            true => 0.0,
            false => 1.0 / (self.knots_x[to] - start),
        };
        let mut over = ArchOver {
            curvature: [0.0; N],
            by_knots: [[0.0; N]; 2],
        };
        match self.law {
            ArchLaw::StraightDeparture => {
                for (place, x) in x.iter().enumerate() {
                    let share = (x - start) * per_mm;
                    let expected = self.expected_curvature(*x);
                    over.curvature[place] = expected + near + share * (far - near);
                    over.by_knots[0][place] = 1.0 - share;
                    over.by_knots[1][place] = share;
                }
            }
            ArchLaw::StraightRadius => {
                for (place, x) in x.iter().enumerate() {
                    let (curvature, by) = straight_radius(near, far, (x - start) * per_mm);
                    over.curvature[place] = curvature;
                    over.by_knots[0][place] = by[0];
                    over.by_knots[1][place] = by[1];
                }
            }
        }
        over
    }

    /// The curvature that the plan expects: the block's own while blocks work, the camber's after.
    fn expected_curvature(&self, x: f64) -> f64 {
        match &self.expected.arch {
            Arch::Camber => self.instrument.camber.radius(x).curvature(),
            Arch::Blocks(zones) => tightest_at(zones, x).unwrap_or(Radius::FLAT).curvature(),
        }
    }

    /// The name of an unknown.
    pub fn name(&self, index: usize) -> String {
        const PLANE_NAMES: [&str; PLANE] = [
            "level_mm",
            "pitch_mm",
            "roll_mm_per_mm",
            "twist_mm_per_mm",
            "bow_mm",
        ];
        if let Some(name) = PLANE_NAMES.get(index) {
            return (*name).into();
        }
        let knot = index - PLANE;
        if knot < self.knots {
            return match self.law {
                ArchLaw::StraightRadius => format!("curvature_{knot}_per_mm"),
                ArchLaw::StraightDeparture => format!("curvature_departure_{knot}_per_mm"),
            };
        }
        if index < self.net_at() {
            let within = knot - self.knots;
            let what = ["mm", "pitch_mm", "roll_mm_per_mm"][within % 3];
            return format!("datum_{}_{what}", within / 3);
        }
        format!("net_{}_mm", index - self.net_at())
    }

    /// Prior mean and deviation of an unknown as a figure.
    pub fn assumed(&self, index: usize) -> (f64, f64) {
        (self.centre[index], self.scale[index])
    }

    /// How many knots the camber has.
    pub fn knots(&self) -> usize {
        self.knots
    }

    /// How many set-ups of the probe are counted.
    pub fn set_ups(&self) -> usize {
        self.set_ups
    }

    /// Prior deviation of a coefficient of the net, mm.
    pub(crate) fn net_scale(&self) -> f64 {
        self.scale.get(self.net_at()).copied().unwrap_or(0.0)
    }
}

/// Curvature at many places, and its derivatives by the two knots around them.
pub(crate) struct ArchOver<const N: usize> {
    pub curvature: [f64; N],
    pub by_knots: [[f64; N]; 2],
}

/// Curvature at a place, and its derivatives by the two knots around it.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct ArchAt {
    pub curvature: f64,
    pub by_knots: [(usize, f64); 2],
}
