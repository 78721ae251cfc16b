//! The lowest set-up free of buzz: one relief for the neck, a nut and a saddle height for each
//! string, so that every margin is at least the asked one and the action over fret 12 the least.
//!
//! It is a linear programme, and it comes apart. Once the relief is chosen the strings know
//! nothing of one another; and for one string a chosen saddle leaves one best nut. So the least is
//! sought along three lines, one inside the other, each a convex function made of straight
//! pieces, whose least lies where two pieces meet. Its answer is that of any other solver of the
//! programme, at a few microseconds.

use crate::buzz::{Pluck, margin_mm};
use crate::strung::{Heights, Setting, StringLine};

/// What is asked of the lowest set-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// How the strings are plucked.
    pub pluck: Pluck,
    /// Air that must be left, mm.
    pub margin_mm: f64,
    /// Least height of a nut slot's floor over the line of the fret tops, mm.
    pub least_nut_mm: f64,
    /// Least and greatest relief, mm.
    pub relief_mm: (f64, f64),
}

/// One string of the lowest set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct LowString {
    /// Where it is set.
    pub heights: Heights,
    /// The open string over the action fret, mm.
    pub action_mm: f64,
    /// The stops that hold it up: the stop, and the fret ahead over which no more than the asked
    /// air is left.
    pub limiting: Vec<(usize, usize)>,
    /// True when the nut, too, cannot be lower than it is allowed.
    pub nut_at_least: bool,
    /// What a hundredth of a millimetre more relief would change of its action, mm.
    pub by_relief_mm: f64,
}

/// The lowest set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Lowest {
    /// The neck's bow, mm.
    pub relief_mm: f64,
    /// The strings, highest first; nothing where the pull is not known.
    pub strings: Vec<Option<LowString>>,
}

/// The hundredth for which the worth of relief and of levelling is told, mm.
pub const HUNDREDTH_MM: f64 = 0.01;

/// A limit nearer than this holds the string up, mm.
const HOLDS_MM: f64 = 1e-7;

impl Lowest {
    /// The set-up, where strings of unknown pull stand as in another one.
    pub fn setting(&self, otherwise: &Setting) -> Setting {
        let strings = self.strings.iter().zip(&otherwise.strings);
        Setting {
            relief_mm: self.relief_mm,
            strings: strings
                .map(|(low, other)| low.as_ref().map_or(*other, |low| low.heights))
                .collect(),
        }
    }
}

/// The lowest set-up.
pub fn lowest(lines: &[StringLine], wanted: Wanted) -> Lowest {
    let limits: Vec<Option<Limits>> = lines.iter().map(|line| Limits::of(line, wanted)).collect();
    let relief_mm = best_relief(lines, &limits, wanted, wanted.relief_mm);
    let more = (relief_mm + HUNDREDTH_MM).min(wanted.relief_mm.1.max(relief_mm));
    let strings = lines.iter().zip(&limits).map(|(line, limits)| {
        let limits = limits.as_ref()?;
        let heights = limits.heights(line, relief_mm);
        let action =
            |relief: f64| line.action(line.action_fret, limits.heights(line, relief), relief);
        let step = if more > relief_mm {
            more - relief_mm
        } else {
            -HUNDREDTH_MM
        };
        Some(LowString {
            heights,
            action_mm: action(relief_mm),
            limiting: limiting(line, heights, relief_mm, wanted),
            nut_at_least: heights.nut_mm <= wanted.least_nut_mm + HOLDS_MM,
            by_relief_mm: (action(relief_mm + step) - action(relief_mm)) * HUNDREDTH_MM / step,
        })
    });
    Lowest {
        relief_mm,
        strings: strings.collect(),
    }
}

/// The lowest set-up of the strings under one given relief; `None` where the pull is unknown.
pub fn lowest_under(lines: &[StringLine], wanted: Wanted, relief_mm: f64) -> Vec<Option<Heights>> {
    let of_line = |line: &StringLine| Some(Limits::of(line, wanted)?.heights(line, relief_mm));
    lines.iter().map(of_line).collect()
}

/// What holds one string up, as straight lines: over the relief r, the saddle must stand at
/// `at + by r` at least for every stop; the open string must stand at `height - bow r` at least a
/// share of the way from nut to saddle.
#[derive(Clone)]
struct Limits {
    stops: Vec<StopLimit>,
    open: Vec<OpenLimit>,
    least_nut_mm: f64,
}

#[derive(Clone)]
struct StopLimit {
    at_mm: f64,
    by: f64,
    stop: usize,
    fret: usize,
    /// The fret's share of the way from the stop to the saddle.
    share: f64,
}

#[derive(Clone)]
struct OpenLimit {
    fret: usize,
    share: f64,
    height_mm: f64,
    bow: f64,
}

impl Limits {
    fn of(line: &StringLine, wanted: Wanted) -> Option<Self> {
        let tension_n = line.tension_n?;
        let last = line.last_fret();
        let mut limits = Self {
            stops: Vec::with_capacity(last * last / 2),
            open: Vec::with_capacity(last),
            least_nut_mm: wanted.least_nut_mm,
        };
        for stop in 0..last {
            let sounding = line.sounding_mm(stop);
            let sweep = wanted.pluck.sweep(tension_n, sounding);
            for fret in (stop + 1)..=last {
                let from_stop = line.along_mm[fret] - line.along_mm[stop];
                let share = from_stop / sounding;
                let needed = line.top_mm[fret] + sweep.depth_mm(from_stop) + wanted.margin_mm;
                if stop == 0 {
                    limits.open.push(OpenLimit {
                        fret,
                        share,
                        height_mm: needed,
                        bow: line.bow[fret],
                    });
                    continue;
                }
                // (z_k - r b_k)(1 - w) + s w >= needed - r b_j, solved for s.
                limits.stops.push(StopLimit {
                    at_mm: (needed - (1.0 - share) * line.top_mm[stop]) / share,
                    by: ((1.0 - share) * line.bow[stop] - line.bow[fret]) / share,
                    stop,
                    fret,
                    share,
                });
            }
        }
        Some(limits)
    }

    /// The limits when a hundredth is filed off a fret's top: it needs less room as the fret ahead,
    /// and gives less height as the stop.
    fn filed(&self, fret: usize) -> Self {
        let mut filed = self.clone();
        for limit in &mut filed.stops {
            if limit.fret == fret {
                limit.at_mm -= HUNDREDTH_MM / limit.share;
            } else if limit.stop == fret {
                limit.at_mm += HUNDREDTH_MM * (1.0 - limit.share) / limit.share;
            }
        }
        for limit in &mut filed.open {
            if limit.fret == fret {
                limit.height_mm -= HUNDREDTH_MM;
            }
        }
        filed
    }

    /// True when a hundredth filed off a fret may change what is lowest: as the fret ahead it holds
    /// the string up, or as the stop it would come to. Otherwise the same set-up stays the lowest,
    /// because none of what holds it has moved.
    fn feels(&self, fret: usize, heights: Heights, relief_mm: f64) -> bool {
        let stopped = self.stops.iter().any(|limit| {
            let room = heights.saddle_mm - limit.at_mm - limit.by * relief_mm;
            let more = HUNDREDTH_MM * (1.0 - limit.share) / limit.share;
            (limit.fret == fret && room < HOLDS_MM)
                || (limit.stop == fret && room < more + HOLDS_MM)
        });
        let open = self.open.iter().filter(|limit| limit.fret == fret);
        stopped
            || open.into_iter().any(|limit| {
                let over = heights.nut_mm + limit.share * (heights.saddle_mm - heights.nut_mm);
                over - limit.height_mm + limit.bow * relief_mm < HOLDS_MM
            })
    }

    /// The lowest saddle that the stopped string allows.
    fn saddle(&self, relief_mm: f64) -> f64 {
        let over = |limit: &StopLimit| limit.at_mm + limit.by * relief_mm;
        self.stops
            .iter()
            .map(over)
            .fold(self.least_nut_mm, f64::max)
    }

    /// The lowest nut that the open string allows with a saddle, and how it falls with the saddle.
    fn nut(&self, relief_mm: f64, saddle_mm: f64) -> (f64, f64) {
        let mut nut = (self.least_nut_mm, 0.0);
        for limit in &self.open {
            let needed = limit.height_mm - limit.bow * relief_mm - limit.share * saddle_mm;
            let at = needed / (1.0 - limit.share);
            if at > nut.0 {
                nut = (at, -limit.share / (1.0 - limit.share));
            }
        }
        nut
    }

    /// The heights with the least action. A higher saddle allows a lower nut: over a fret at the
    /// share w that costs w and brings (1 - w) times the nut's fall, so that the action is convex
    /// over the saddle's height, and its least lies at the first rising piece.
    fn heights(&self, line: &StringLine, relief_mm: f64) -> Heights {
        let share = line.along_mm[line.action_fret] / line.length_mm;
        let piece = |saddle_mm: f64| {
            let (nut_mm, fall) = self.nut(relief_mm, saddle_mm);
            Piece {
                at: saddle_mm,
                value: (1.0 - share) * nut_mm + share * saddle_mm,
                slope: share + (1.0 - share) * fall,
            }
        };
        let low = self.saddle(relief_mm);
        // Where the nut is as low as it may be, only the saddle is left to come down.
        let over_nut = |limit: &OpenLimit| {
            let needed = limit.height_mm - limit.bow * relief_mm;
            (needed - (1.0 - limit.share) * self.least_nut_mm) / limit.share
        };
        let high = self.open.iter().map(over_nut).fold(low, f64::max);
        let saddle_mm = least_at(low, high, SAME_MM, piece);
        Heights {
            nut_mm: self.nut(relief_mm, saddle_mm).0,
            saddle_mm,
        }
    }
}

/// A straight piece of a convex function: a place, the value there, and the slope to its right.
#[derive(Clone, Copy)]
struct Piece {
    at: f64,
    value: f64,
    slope: f64,
}

impl Piece {
    /// Where two pieces meet.
    fn meets(self, other: Piece) -> f64 {
        let by = self.slope - other.slope;
        (other.value - self.value + self.slope * self.at - other.slope * other.at) / by
    }
}

/// The place of the least of a convex function of straight pieces between two places: tangents
/// from a falling and a rising piece are met until the meeting lies on the function itself.
/// Places and values nearer than `same_mm` are the same.
fn least_at(low: f64, high: f64, same_mm: f64, piece: impl Fn(f64) -> Piece) -> f64 {
    let mut falling = piece(low);
    if falling.slope >= 0.0 || high <= low {
        return low;
    }
    let mut rising = piece(high);
    if rising.slope <= 0.0 {
        return high;
    }
    for _ in 0..MOST_PIECES {
        let at = falling.meets(rising).clamp(falling.at, rising.at);
        let found = piece(at);
        let foretold = falling.value + falling.slope * (at - falling.at);
        let known = at - falling.at < same_mm || rising.at - at < same_mm;
        if known || found.value - foretold <= same_mm {
            return at;
        }
        if found.slope < 0.0 {
            falling = found;
        } else {
            rising = found;
        }
    }
    rising.at
}

/// More pieces than any board has limits.
const MOST_PIECES: usize = 10_000;
/// Values and places nearer than this are the same, mm.
const SAME_MM: f64 = 1e-12;

/// The sum of the least actions under a relief.
fn total(lines: &[StringLine], limits: &[Option<Limits>], relief_mm: f64) -> f64 {
    let action = |(line, limits): (&StringLine, &Option<Limits>)| {
        let heights = limits.as_ref()?.heights(line, relief_mm);
        Some(line.action(line.action_fret, heights, relief_mm))
    };
    lines.iter().zip(limits).filter_map(action).sum()
}

/// Reliefs near one, within what is wanted.
fn near(relief_mm: f64, wanted: Wanted) -> (f64, f64) {
    let (low, high) = wanted.relief_mm;
    (
        (relief_mm - NEAR_MM).max(low),
        (relief_mm + NEAR_MM).min(high),
    )
}

/// After a hundredth is filed the best relief is first looked for this near, mm.
const NEAR_MM: f64 = 0.05;

/// The relief under which the sum of actions is least; the smallest of equally good ones. It is
/// looked for within a range first, and over all that is wanted when it lies at the range's end.
fn best_relief(
    lines: &[StringLine],
    limits: &[Option<Limits>],
    wanted: Wanted,
    range: (f64, f64),
) -> f64 {
    let piece = |relief: f64| {
        let value = total(lines, limits, relief);
        let right = total(lines, limits, relief + SLOPE_STEP_MM);
        Piece {
            at: relief,
            value,
            slope: settled((right - value) / SLOPE_STEP_MM),
        }
    };
    let found = least_at(range.0, range.1, SAME_RELIEF_MM, piece);
    let at_end = |end: f64, whole: f64| (found - end).abs() < SLOPE_STEP_MM && end != whole;
    if at_end(range.0, wanted.relief_mm.0) || at_end(range.1, wanted.relief_mm.1) {
        return least_at(
            wanted.relief_mm.0,
            wanted.relief_mm.1,
            SAME_RELIEF_MM,
            piece,
        );
    }
    found
}

/// Slopes that are read over a step foretell a value to this, mm.
const SAME_RELIEF_MM: f64 = 1e-9;
/// The slope of a straight piece is read over this step, mm.
const SLOPE_STEP_MM: f64 = 1e-6;

/// A slope read over a step carries rounding: what is nearly level is level.
fn settled(slope: f64) -> f64 {
    if slope.abs() < 1e-8 { 0.0 } else { slope }
}

/// The stops and frets with no more than the asked air.
fn limiting(
    line: &StringLine,
    heights: Heights,
    relief_mm: f64,
    wanted: Wanted,
) -> Vec<(usize, usize)> {
    let Some(tension_n) = line.tension_n else {
        return Vec::new();
    };
    let last = line.last_fret();
    let pairs = (0..last).flat_map(|stop| ((stop + 1)..=last).map(move |fret| (stop, fret)));
    pairs
        .filter(|pair| {
            let sweep = wanted.pluck.sweep(tension_n, line.sounding_mm(pair.0));
            let margin = margin_mm(line, heights, relief_mm, sweep, *pair);
            margin - wanted.margin_mm < HOLDS_MM
        })
        .collect()
}

/// For every fret, what a hundredth of a millimetre filed off its top in all lanes would change of
/// the sum of the lowest actions, mm, the relief chosen anew. Index 0 is the nut and always 0.
pub fn worth_of_levelling(lines: &[StringLine], wanted: Wanted, lowest: &Lowest) -> Vec<f64> {
    let limits: Vec<Option<Limits>> = lines.iter().map(|line| Limits::of(line, wanted)).collect();
    let last = lines.first().map_or(0, StringLine::last_fret);
    let relief_mm = lowest.relief_mm;
    let before = total(lines, &limits, relief_mm);
    let known = || {
        limits
            .iter()
            .zip(&lowest.strings)
            .filter_map(|(limits, low)| Some((limits.as_ref()?, low.as_ref()?.heights)))
    };
    let filed = |fret: usize| {
        // The action is counted over the top that was filed.
        let lower = lines
            .iter()
            .zip(&limits)
            .filter(|(line, limits)| limits.is_some() && line.action_fret == fret);
        let over_lower_mm = HUNDREDTH_MM * lower.count() as f64;
        if !known().any(|(limits, heights)| limits.feels(fret, heights, relief_mm)) {
            return over_lower_mm;
        }
        let filed: Vec<Option<Limits>> = limits
            .iter()
            .map(|limits| limits.as_ref().map(|limits| limits.filed(fret)))
            .collect();
        let relief_mm = best_relief(lines, &filed, wanted, near(relief_mm, wanted));
        total(lines, &filed, relief_mm) + over_lower_mm - before
    };
    std::iter::once(0.0).chain((1..=last).map(filed)).collect()
}
