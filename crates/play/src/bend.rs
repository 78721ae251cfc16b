//! Bends: how far a stopped string can be pushed aside before it chokes on a fret ahead.
//!
//! Pushed aside along its fret by b, the string grows longer and its pull rises:
//! `T' = T + E A ΔL/L_0`, with ΔL shared by the whole string, what slides behind nut and saddle
//! included. The pitch follows from the bent sounding length and T'. On its new way to the saddle
//! it crosses the frets ahead nearer to the crown, where they stand higher: it chokes at the first
//! cents at which less than the asked air is left over one of them.

use instrument::Instrument;
use instrument::arc::drop_of_curvature;

use crate::strung::{Setting, StringLine};
use crate::tops::Tops;
use crate::wished_bends::{Stop, ahead, along_scale};

/// What a bend needs to know of its string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BentString {
    /// Its pull, N.
    pub tension_n: f64,
    /// Its stiffness against stretch E A, N.
    pub stiffness_n: f64,
    /// Its length from nut to saddle, the scale length, mm.
    pub length_mm: f64,
    /// String behind nut and saddle that shares the stretch, mm.
    pub behind_mm: f64,
}

impl BentString {
    /// Cents that the note at a stop rises when it is pushed aside.
    ///
    /// `skew` is the sine of the fret's slant: along a slanted fret the string also moves toward
    /// nut or saddle. The lane's own slant of a degree or so is left out; it counts a cent or two.
    pub fn cents(&self, along_mm: f64, push: Push) -> f64 {
        let run = self.length_mm - along_mm;
        let toward = push.aside_mm * push.skew;
        let aside = push.aside_mm * (1.0 - push.skew * push.skew).max(0.0).sqrt();
        let (behind, ahead) = (
            (along_mm + toward).hypot(aside),
            (run - toward).hypot(aside),
        );
        let longer = behind + ahead - self.length_mm;
        let pull = self.tension_n + self.stiffness_n * longer / (self.length_mm + self.behind_mm);
        1200.0 * (run / ahead).log2() + 600.0 * (pull / self.tension_n).log2()
    }

    /// How far the string must be pushed for so many cents, mm; nothing when no push within
    /// `most_mm` gives them.
    pub fn push_for(&self, along_mm: f64, cents: f64, skew: f64, most_mm: f64) -> Option<f64> {
        let at = |aside_mm: f64| self.cents(along_mm, Push { aside_mm, skew }) - cents;
        if at(most_mm) < 0.0 {
            return None;
        }
        Some(crossing(0.0, most_mm, at))
    }
}

/// A push along a fret.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Push {
    /// How far along the fret, mm.
    pub aside_mm: f64,
    /// Sine of the fret's slant, positive when the push also moves the string toward the saddle.
    pub skew: f64,
}

/// Where a function that is below zero at `low` and not at `high` comes up to it.
///
/// The straight line through both ends is followed first, which is nearly all the way where the
/// function is smooth; where that does not halve the way it is halved, because there may be kinks.
fn crossing(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut at_low, mut at_high) = (f(low), f(high));
    for _ in 0..MOST_TRIALS {
        let way = high - low;
        let share = (at_low / (at_low - at_high)).clamp(0.0, 1.0);
        // A hair past the straight line's zero, so that both ends close in.
        let past = 1e-3 * if share < 0.5 { 1.0 } else { -1.0 };
        for trial in [
            low + (share + past).clamp(0.0, 1.0) * way,
            0.5 * (low + high),
        ] {
            if trial <= low || trial >= high || high - low < 0.5 * way {
                continue;
            }
            let value = f(trial);
            if value < 0.0 {
                (low, at_low) = (trial, value);
            } else {
                (high, at_high) = (trial, value);
            }
        }
        if high - low < CLOSE_MM || high - low >= way {
            break;
        }
    }
    0.5 * (low + high)
}

const MOST_TRIALS: usize = 60;
/// Ends nearer than this are the same place, mm.
const CLOSE_MM: f64 = 1e-12;

/// Where a bend ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BendEnd {
    /// The string chokes.
    Chokes {
        /// At so many cents.
        cents: f64,
        /// Pushed so far, mm.
        aside_mm: f64,
        /// On this fret.
        on_fret: usize,
    },
    /// Nothing chokes it as far as the board or the string allows.
    Free {
        /// Up to so many cents.
        cents: f64,
    },
}

impl BendEnd {
    /// True when the string chokes before so many cents; running out of board is no choke.
    pub fn chokes_before(self, asked: f64) -> bool {
        matches!(self, BendEnd::Chokes { cents, .. } if cents < asked)
    }

    /// Cents up to which the bend is free.
    pub fn cents(self) -> f64 {
        match self {
            BendEnd::Chokes { cents, .. } | BendEnd::Free { cents } => cents,
        }
    }
}

/// Where every string's bend ends at every fret, `[string][fret]`; index 0, the open string, and
/// strings of unknown pull or stretch have none.
#[derive(Clone, Debug, PartialEq)]
pub struct BendMap {
    /// The ends.
    pub ends: Vec<Vec<Option<BendEnd>>>,
}

/// Bends are followed as far as this or as far as the wish goes, cents: three whole tones.
pub const MOST_CENTS: f64 = 600.0;
/// Steps in which a bend is followed, mm: over such a way the air bends by less than a thousandth.
const STEP_MM: f64 = 1.0;

/// The bend map of a set-up. Strings on the treble side are pushed toward the bass side and the
/// others toward the treble side, as players do.
pub fn bend_map(
    tops: &Tops<'_>,
    lines: &[StringLine],
    setting: &Setting,
    strings: &[Option<BentString>],
    asked_mm: f64,
) -> BendMap {
    let frets = Frets::of(tops, setting.relief_mm);
    let of_string = |(index, string): (usize, &Option<BentString>)| {
        let string = string.as_ref();
        (0..lines[index].along_mm.len())
            .map(|stop| {
                let bend = Bend {
                    frets: &frets,
                    line: &lines[index],
                    string: string?,
                    lane: index,
                    stop: Stop::of(tops.instrument, index, stop),
                    saddle_mm: saddle_mm(&lines[index], setting.strings[index].saddle_mm),
                };
                (stop > 0).then(|| bend.end(asked_mm))
            })
            .collect()
    };
    BendMap {
        ends: strings.iter().enumerate().map(of_string).collect(),
    }
}

/// A saddle's height over the finished wood's crown at the nut, mm.
pub(crate) fn saddle_mm(line: &StringLine, over_datum_mm: f64) -> f64 {
    line.datum.0 + line.datum.1 * line.length_mm + over_datum_mm
}

impl BendMap {
    /// How many bends choke before so many cents.
    pub fn count_choked(&self, cents: f64) -> usize {
        let all = self.ends.iter().flatten().flatten();
        all.filter(|end| end.chokes_before(cents)).count()
    }

    /// The bend that ends first, with its string and fret.
    pub fn least(&self) -> Option<(usize, usize, BendEnd)> {
        let all = self.ends.iter().enumerate().flat_map(|(string, frets)| {
            let of = move |(fret, end): (usize, &Option<BendEnd>)| Some((string, fret, (*end)?));
            frets.iter().enumerate().filter_map(of)
        });
        all.min_by(|a, b| a.2.cents().total_cmp(&b.2.cents()))
    }
}

/// The frets as a bent string meets them: what does not change with the push is worked out once.
struct Frets<'a> {
    tops: &'a Tops<'a>,
    fall_mm: Vec<f64>,
    curvature: Vec<f64>,
    relief_mm: f64,
    is_fanned: bool,
}

impl<'a> Frets<'a> {
    fn of(tops: &'a Tops<'a>, relief_mm: f64) -> Self {
        let instrument = tops.instrument;
        let camber = &instrument.camber;
        let xs = || instrument.frets.iter().map(|line| line.x_mm);
        Self {
            tops,
            fall_mm: xs().map(|x| camber.fall(x)).collect(),
            curvature: xs().map(|x| camber.radius(x).curvature()).collect(),
            relief_mm,
            is_fanned: instrument.is_fanned(),
        }
    }

    /// A fret's top at a place across under relief, over the finished wood's crown at the nut. The
    /// neck's bow there is taken as where the string crosses that fret at rest: on a fan each
    /// string has its own.
    fn top(&self, fret: usize, y_mm: f64, line: &StringLine) -> f64 {
        let bow_mm = self.relief_mm * line.bow[fret];
        if self.is_fanned {
            return self.tops.height(fret, y_mm) - bow_mm;
        }
        let drop = drop_of_curvature(self.curvature[fret], y_mm);
        self.tops.instrument.fret_spec.crown_height_mm - drop - self.fall_mm[fret]
            + self.tops.departure_at(fret, y_mm)
            - bow_mm
    }
}

struct Bend<'a> {
    frets: &'a Frets<'a>,
    line: &'a StringLine,
    string: &'a BentString,
    lane: usize,
    stop: Stop,
    saddle_mm: f64,
}

impl Bend<'_> {
    fn instrument(&self) -> &Instrument {
        self.frets.tops.instrument
    }

    fn end(&self, asked_mm: f64) -> BendEnd {
        let along = along_scale(self.string, self.line, self.stop.fret);
        let room_mm = self.stop.room_mm;
        let most_mm = self
            .string
            .push_for(along, self.most_cents(), self.stop.skew, room_mm)
            .unwrap_or(room_mm);
        let cents = |aside_mm: f64| self.string.cents(along, self.stop.push(aside_mm));
        let short = |aside_mm: f64| asked_mm - self.least(aside_mm).1;
        let mut before = 0.0;
        // A bend that has no air even unbent is choked at nothing.
        if short(0.0) > 0.0 {
            return self.chokes(0.0, 0.0);
        }
        while before < most_mm {
            let after = (before + STEP_MM).min(most_mm);
            if short(after) > 0.0 {
                let aside_mm = crossing(before, after, short);
                return self.chokes(cents(aside_mm), aside_mm);
            }
            before = after;
        }
        BendEnd::Free {
            cents: cents(most_mm),
        }
    }

    fn most_cents(&self) -> f64 {
        MOST_CENTS.max(self.instrument().wish.bend_cents)
    }

    fn chokes(&self, cents: f64, aside_mm: f64) -> BendEnd {
        BendEnd::Chokes {
            cents,
            aside_mm,
            on_fret: self.least(aside_mm).0,
        }
    }

    /// The fret ahead with the least air, and that air, mm, when the string is pushed aside.
    fn least(&self, aside_mm: f64) -> (usize, f64) {
        let stop = self.stop.pushed(self.instrument(), aside_mm);
        let rest = self.frets.top(stop.fret, stop.y_mm, self.line);
        let climb = self.saddle_mm - rest;
        let mut least = (stop.fret, f64::INFINITY);
        for (place, way) in ahead(self.instrument(), self.lane, stop) {
            let top = self.frets.top(place.fret, place.y_mm, self.line);
            let air = rest + climb * way - top;
            if air < least.1 {
                least = (place.fret, air);
            }
        }
        least
    }
}
