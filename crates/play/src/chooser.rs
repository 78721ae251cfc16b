//! The camber chooser: for a wished bend and action, the tightest cambers that grant it.
//!
//! A camber is a radius at the nut and one at the last fret, straight between them. For every
//! radius at the nut there is a tightest one at the last fret under which no wished bend chokes.
//! All bends of the wish are laid out once, as the places where the bent strings cross the frets;
//! a camber is then tried by its heights at those places alone.

use instrument::Instrument;

use crate::bend::{BentString, Push};
use crate::strung::StringLine;

/// One point of the frontier: the tightest radius at the last fret for a radius at the nut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tightest {
    /// Radius at the nut, mm.
    pub nut_mm: f64,
    /// Radius at the last fret, mm; infinite when only a flat end grants the wish.
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

/// Bends are looked at on their way, at these shares of the push.
const SHARES: [f64; 5] = [0.3, 0.5, 0.7, 0.85, 1.0];
/// Radii at the last fret are looked for from this share of the board's own half-width upward: a
/// tighter arc than a half circle is no camber.
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
    /// Lays out the wished bends of every string at every fret. A bend that the board has no room
    /// for is looked at as far as the board goes.
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
            let Some(string) = strings.get(lane).copied().flatten() else {
                continue;
            };
            for fret in 1..line.last_fret() {
                places.lay_out(line, lane, fret, &string);
            }
        }
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

    fn lay_out(&mut self, line: &StringLine, lane: usize, stop: usize, string: &BentString) {
        let instrument = self.instrument;
        let cross = instrument.frets[stop];
        let from_mm = instrument.lanes[lane].cross(cross).1;
        let sense = if from_mm >= 0.0 { -1.0 } else { 1.0 };
        let [treble, bass] = instrument.outline.edges_of(cross);
        let edge = if sense < 0.0 { bass.1 } else { treble.1 };
        let room_mm = (sense * (edge - from_mm) - 1.0).max(0.0);
        let skew = sense * cross.skew().sin();
        let along = line.along_mm[stop] * string.length_mm / line.length_mm;
        let push = string
            .push_for(along, self.wish.cents, skew, room_mm)
            .unwrap_or(room_mm);
        let saddle = instrument.lanes[lane].saddle;
        for share in SHARES {
            let push = Push {
                aside_mm: push * share,
                skew,
            };
            let y_mm = from_mm + sense * push.aside_mm * cross.skew().cos();
            let x_mm = cross.x_at(y_mm);
            let rise = (saddle.1 - y_mm) / (saddle.0 - x_mm);
            let ahead = ((stop + 1)..instrument.frets.len()).map(|fret| {
                let (x, y) = instrument.frets[fret].meet(y_mm - rise * x_mm, rise);
                let way = (x - x_mm) / (saddle.0 - x_mm);
                (self.place(x, y, line.bow[fret]), way)
            });
            let bend = PlacedBend {
                string: lane,
                stop: self.place(x_mm, y_mm, line.bow[stop]),
                ahead: ahead.collect(),
            };
            self.bends.push(bend);
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
        let mut curvature = 1.0 / (LEAST_OVER_HALF_WIDTH * self.half_width_mm);
        for _ in 0..MOST_ROUNDS {
            let (air, bend, ahead) = self.least(self.cone(nut_mm, curvature));
            if air >= -ROUNDING_MM {
                return Tightest {
                    nut_mm,
                    last_mm: Some(1.0 / curvature),
                };
            }
            let at = |curvature: f64| self.air(self.cone(nut_mm, curvature), bend, ahead);
            if at(0.0) < 0.0 {
                break;
            }
            curvature = free_below(curvature, at);
        }
        Tightest {
            nut_mm,
            last_mm: None,
        }
    }

    /// The frontier over radii at the nut.
    pub fn frontier(&self, nut_radii_mm: &[f64]) -> Vec<Tightest> {
        nut_radii_mm.iter().map(|nut| self.tightest(*nut)).collect()
    }
}

const MOST_ROUNDS: usize = 60;
/// Air short by less than this is none, mm.
const ROUNDING_MM: f64 = 1e-9;

/// The greatest curvature under `above` at which the air is not short, by halving from a free one.
fn free_below(above: f64, air: impl Fn(f64) -> f64) -> f64 {
    let (mut free, mut short) = (0.0, above);
    for _ in 0..60 {
        let middle = 0.5 * (free + short);
        if air(middle) >= 0.0 {
            free = middle;
        } else {
            short = middle;
        }
    }
    free
}

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
