//! The camber chooser: for a wished bend and action, the tightest cambers that grant it.
//!
//! A camber is a radius at the nut and one at the last fret, straight between them. For every
//! radius at the nut there is a tightest one at the last fret under which no wished bend chokes.
//! All bends of the wish are laid out once, as the places where the bent strings cross the frets;
//! a camber is then tried by its heights at those places alone.

use instrument::Instrument;

use crate::bend::BentString;
use crate::strung::StringLine;
use crate::wished_bends::{Crossing, WishedBend, wished_bends};

/// One point of the frontier: the tightest radius at the last fret for a radius at the nut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tightest {
    /// Radius at the nut, mm.
    pub nut_mm: f64,
    /// Radius at the last fret, mm; nothing when none grants the wish.
    pub last_mm: Option<f64>,
}

/// What a chooser wishes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendWish {
    /// The bend, cents.
    pub cents: f64,
    /// Air that must be left, mm.
    pub margin_mm: f64,
    /// The neck's bow, mm.
    pub relief_mm: f64,
}

/// Radii are looked for from this many half-widths of the board upward: a tighter arc is no camber.
const LEAST_OVER_HALF_WIDTH: f64 = 1.5;

/// All wished bends, laid out.
pub struct BendPlaces<'a> {
    instrument: &'a Instrument,
    wish: BendWish,
    strings: Vec<PlacedString>,
    bends: Vec<PlacedBend>,
    last_x_mm: f64,
    half_width_mm: f64,
}

struct PlacedString {
    /// The open string's actions over fret 1 and over the action fret, mm.
    actions_mm: (f64, f64),
    /// Places of fret 1, of the action fret and of the saddle along the string, mm.
    along_mm: (f64, f64, f64),
    near: Place,
    far: Place,
    is_single: bool,
}

/// A place of the surface: along, across, and what lies lower there whatever the camber is.
#[derive(Clone, Copy)]
struct Place {
    x_mm: f64,
    y_mm: f64,
    lower_mm: f64,
}

struct PlacedBend {
    string: usize,
    stop: Place,
    /// Crossings of the frets ahead with the share of the way to the saddle.
    ahead: Vec<(Place, f64)>,
}

impl<'a> BendPlaces<'a> {
    /// Lays out the wished bends of every string at every fret.
    pub fn of(
        instrument: &'a Instrument,
        lines: &[StringLine],
        strings: &[Option<BentString>],
        wish: BendWish,
    ) -> Self {
        let mut places = Self {
            instrument,
            wish,
            strings: Vec::new(),
            bends: Vec::new(),
            last_x_mm: instrument.fret_x_mm(instrument.last_fret()),
            half_width_mm: instrument.outline.half_width(instrument.end_x_mm()),
        };
        let between = lines.len().saturating_sub(1).max(1) as f64;
        for (lane, line) in lines.iter().enumerate() {
            let action = instrument.wish.action_mm(lane as f64 / between);
            places
                .strings
                .push(places.placed_string(line, lane, action));
        }
        let bends = wished_bends(instrument, lines, strings, wish.cents);
        let placed = |bend: &WishedBend| {
            let bow = &lines[bend.string].bow;
            let place = |at: Crossing| places.place(at.x_mm, at.y_mm, bow[at.fret]);
            let ahead = bend.ahead.iter().map(|(at, way)| (place(*at), *way));
            PlacedBend {
                string: bend.string,
                stop: place(bend.stop),
                ahead: ahead.collect(),
            }
        };
        places.bends = bends.iter().map(placed).collect();
        places
    }

    fn placed_string(&self, line: &StringLine, lane: usize, action_mm: f64) -> PlacedString {
        let instrument = self.instrument;
        let place = |fret: usize| {
            let (x_mm, y_mm) = instrument.lanes[lane].cross(instrument.frets[fret]);
            self.place(x_mm, y_mm, line.bow[fret])
        };
        let far = line.action_fret;
        PlacedString {
            actions_mm: (instrument.wish.action_at_1_mm, action_mm),
            along_mm: (
                line.along_mm[1.min(far)],
                line.along_mm[far],
                line.length_mm,
            ),
            near: place(1.min(far)),
            far: place(far),
            is_single: far <= 1,
        }
    }

    fn place(&self, x_mm: f64, y_mm: f64, bow: f64) -> Place {
        Place {
            x_mm,
            y_mm,
            lower_mm: self.instrument.camber.fall(x_mm) + bow * self.wish.relief_mm,
        }
    }

    /// The least air over all wished bends under a camber, with the bend and the fret ahead; the
    /// asked air is taken off already.
    fn least(&self, camber: Cone) -> (f64, usize, usize) {
        let saddles: Vec<f64> = self
            .strings
            .iter()
            .map(|string| string.saddle(camber))
            .collect();
        let mut least = (f64::INFINITY, 0, 0);
        for (index, bend) in self.bends.iter().enumerate() {
            let rest = camber.height(bend.stop);
            let climb = saddles[bend.string] - rest;
            for (ahead, (place, way)) in bend.ahead.iter().enumerate() {
                let air = rest + climb * way - camber.height(*place) - self.wish.margin_mm;
                if air < least.0 {
                    least = (air, index, ahead);
                }
            }
        }
        least
    }

    /// The air of one bend over one fret ahead.
    fn air(&self, camber: Cone, bend: usize, ahead: usize) -> f64 {
        let bend = &self.bends[bend];
        let (place, way) = bend.ahead[ahead];
        let rest = camber.height(bend.stop);
        let saddle = self.strings[bend.string].saddle(camber);
        rest + (saddle - rest) * way - camber.height(place) - self.wish.margin_mm
    }

    /// True when nothing is known of any string's bends.
    pub fn is_empty(&self) -> bool {
        self.bends.is_empty()
    }

    /// True when a camber grants the wish.
    pub fn grants(&self, nut_mm: f64, last_mm: f64) -> bool {
        self.least(self.cone(nut_mm, 1.0 / last_mm)).0 >= 0.0
    }

    fn cone(&self, nut_mm: f64, last_curvature: f64) -> Cone {
        Cone {
            nut_curvature: 1.0 / nut_mm,
            last_curvature,
            last_x_mm: self.last_x_mm,
        }
    }

    /// The tightest radius at the last fret for a radius at the nut.
    ///
    /// The curvature there is lowered until the bend that chokes worst is free, then the next worst,
    /// until none chokes.
    pub fn tightest(&self, nut_mm: f64) -> Tightest {
        self.tightest_by(nut_mm, &mut Vec::new())
    }

    /// The same, trying first the bends that held other cambers up: a few hold all of them, so that
    /// most cambers are looked through only once.
    fn tightest_by(&self, nut_mm: f64, holding: &mut Vec<(usize, usize)>) -> Tightest {
        let none = Tightest {
            nut_mm,
            last_mm: None,
        };
        let mut curvature = 1.0 / (LEAST_OVER_HALF_WIDTH * self.half_width_mm);
        for _ in 0..MOST_ROUNDS {
            for (bend, ahead) in holding.iter().copied() {
                let Some(free) = self.freed(nut_mm, curvature, bend, ahead) else {
                    return none;
                };
                curvature = free;
            }
            let (air, bend, ahead) = self.least(self.cone(nut_mm, curvature));
            if air >= -ROUNDING_MM {
                return Tightest {
                    nut_mm,
                    last_mm: Some(1.0 / curvature),
                };
            }
            if !holding.contains(&(bend, ahead)) {
                holding.push((bend, ahead));
            }
        }
        none
    }

    /// The greatest curvature, at most a given one, at which one bend is free over one fret ahead.
    fn freed(&self, nut_mm: f64, curvature: f64, bend: usize, ahead: usize) -> Option<f64> {
        let air = |curvature: f64| self.air(self.cone(nut_mm, curvature), bend, ahead);
        if air(curvature) >= -ROUNDING_MM {
            return Some(curvature);
        }
        free_below(curvature, air)
    }

    /// The frontier from the tightest radius that is a camber at all to well past this board's own.
    pub fn whole_frontier(&self) -> Vec<Tightest> {
        let own = self.instrument.camber.radius(0.0).finite_mm();
        let low = LEAST_OVER_HALF_WIDTH * self.half_width_mm;
        let high = 1.6 * own.unwrap_or(0.0).clamp(USUAL_MM, MOST_MM);
        let steps = FRONTIER_STEPS as f64;
        let radius = |step: usize| low * (high / low).powf(step as f64 / steps);
        let radii: Vec<f64> = (0..=FRONTIER_STEPS).map(radius).collect();
        self.frontier(&radii)
    }

    /// The frontier over radii at the nut.
    pub fn frontier(&self, nut_radii_mm: &[f64]) -> Vec<Tightest> {
        let mut holding = Vec::new();
        let tightest = |nut: &f64| self.tightest_by(*nut, &mut holding);
        nut_radii_mm.iter().map(tightest).collect()
    }
}

/// Radii at the nut that a frontier is told for, less one.
const FRONTIER_STEPS: usize = 24;
/// A usual radius, and one beyond which the eye sees none, mm.
const USUAL_MM: f64 = 300.0;
const MOST_MM: f64 = 1500.0;
const MOST_ROUNDS: usize = 60;
/// Air short by less than this is none, mm.
const ROUNDING_MM: f64 = 1e-9;

/// The greatest curvature under `above` at which the air is not short: a free one is looked for
/// downward in small steps, because a much flatter end may be short again, and halving finds the
/// edge. Nothing when none is free.
fn free_below(above: f64, air: impl Fn(f64) -> f64) -> Option<f64> {
    let mut short = above;
    let mut free = STEP_DOWN * above;
    while air(free) < 0.0 {
        if free < FLAT {
            return None;
        }
        short = free;
        free *= STEP_DOWN;
    }
    for _ in 0..60 {
        let middle = 0.5 * (free + short);
        if air(middle) >= 0.0 {
            free = middle;
        } else {
            short = middle;
        }
    }
    Some(free)
}

/// Curvatures are tried in steps of this factor.
const STEP_DOWN: f64 = 0.9;
/// A radius of a kilometre is flat, 1/mm.
const FLAT: f64 = 1e-6;

/// A camber whose radius runs straight from the nut to the last fret, by its curvatures there.
#[derive(Clone, Copy)]
struct Cone {
    nut_curvature: f64,
    last_curvature: f64,
    last_x_mm: f64,
}

impl Cone {
    fn height(self, place: Place) -> f64 {
        let share = place.x_mm / self.last_x_mm;
        // R = (1-s) R_nut + s R_last, in curvatures, so that a flat end is no special case.
        let (near, far) = (self.nut_curvature, self.last_curvature);
        let curvature = near * far / ((1.0 - share) * far + share * near).max(f64::MIN_POSITIVE);
        let reach = curvature * place.y_mm;
        let root = (1.0 - reach * reach).max(0.0).sqrt();
        -reach * place.y_mm / (1.0 + root) - place.lower_mm
    }
}

impl PlacedString {
    /// The saddle's height that gives the asked actions under a camber.
    fn saddle(&self, camber: Cone) -> f64 {
        let far = camber.height(self.far) + self.actions_mm.1;
        let (near_along, near) = if self.is_single {
            (0.0, self.actions_mm.0)
        } else {
            (
                self.along_mm.0,
                camber.height(self.near) + self.actions_mm.0,
            )
        };
        let (far_along, length) = (self.along_mm.1, self.along_mm.2);
        near + (far - near) * (length - near_along) / (far_along - near_along)
    }
}
