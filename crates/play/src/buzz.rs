//! Buzz: how close a plucked string comes to the frets ahead of it.
//!
//! A string that is plucked by a force F at a distance p from the saddle starts as a triangle of
//! height `A = F p (l - p) / (T l)`. The ideal string then fills a parallelogram whose lower bound
//! is the triangle turned through its middle (d'Alembert): over a fret at s from the stop it
//! reaches down by `A s / p` up to s = p, and by `A (l - s) / (l - p)` beyond. What is left
//! between that and the fret's top is the margin.

use readings::bell::share_below;

use crate::strung::{Heights, Setting, StringLine};
use crate::tops::Tops;

/// How a string is plucked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pluck {
    /// The force normal to the board, N.
    pub force_n: f64,
    /// Where, from the saddle, mm.
    pub from_saddle_mm: f64,
}

/// What a plucked string sweeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweep {
    /// Height of the triangle at the pluck, mm.
    pub height_mm: f64,
    /// The pluck's distance from the saddle, mm.
    pub from_saddle_mm: f64,
    /// What sounds, mm.
    pub length_mm: f64,
}

impl Pluck {
    /// What a string sweeps that sounds over `length_mm` under a pull of `tension_n`. Nobody
    /// plucks beyond the middle of what sounds: there the hand moves with the stop.
    pub fn sweep(self, tension_n: f64, length_mm: f64) -> Sweep {
        let from_saddle_mm = self.from_saddle_mm.min(0.5 * length_mm);
        Sweep {
            height_mm: self.force_n * from_saddle_mm * (length_mm - from_saddle_mm)
                / (tension_n * length_mm),
            from_saddle_mm,
            length_mm,
        }
    }
}

impl Sweep {
    /// How far the string reaches below its line at rest, at a distance from the stop, mm.
    pub fn depth_mm(self, from_stop_mm: f64) -> f64 {
        if from_stop_mm <= self.from_saddle_mm {
            self.height_mm * from_stop_mm / self.from_saddle_mm
        } else {
            self.height_mm * (self.length_mm - from_stop_mm)
                / (self.length_mm - self.from_saddle_mm)
        }
    }
}

/// The closest that a string stopped at one fret comes to any ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// The fret ahead.
    pub fret: usize,
    /// Air left over it, mm; negative when the string strikes it.
    pub margin_mm: f64,
    /// Standard uncertainty of that air, mm; 0 when the tops are taken as exact.
    pub sigma_mm: f64,
    /// The chance that the string strikes the likeliest of the frets ahead; nothing when the tops
    /// are taken as exact.
    pub contact_chance: Option<f64>,
}

/// The least margin of every string at every stop, `[string][stop]`; stop 0 is the open string.
/// Nothing where the pull is not known, and at the last fret, which has none ahead.
#[derive(Clone, Debug, PartialEq)]
pub struct BuzzMap {
    /// The pluck.
    pub pluck: Pluck,
    /// The least margins.
    pub least: Vec<Vec<Option<Least>>>,
}

/// Air between a stopped and plucked string and a fret ahead, mm.
pub fn margin_mm(
    line: &StringLine,
    heights: Heights,
    relief_mm: f64,
    sweep: Sweep,
    (stop, fret): (usize, usize),
) -> f64 {
    let from_stop = line.along_mm[fret] - line.along_mm[stop];
    let rest = line.rest(stop, heights, relief_mm);
    let share = from_stop / sweep.length_mm;
    rest + share * (heights.saddle_mm - rest)
        - line.top(fret, relief_mm)
        - sweep.depth_mm(from_stop)
}

/// The buzz map of a set-up.
pub fn buzz_map(tops: &Tops<'_>, lines: &[StringLine], setting: &Setting, pluck: Pluck) -> BuzzMap {
    let uncertain = tops.is_uncertain();
    let of_string = |(string, line): (usize, &StringLine)| {
        let heights = setting.strings[string];
        (0..line.along_mm.len())
            .map(|stop| {
                let sweep = pluck.sweep(line.tension_n?, line.sounding_mm(stop));
                let margin =
                    |fret| margin_mm(line, heights, setting.relief_mm, sweep, (stop, fret));
                let (fret, margin_mm) = ((stop + 1)..line.along_mm.len())
                    .map(|fret| (fret, margin(fret)))
                    .min_by(|a, b| a.1.total_cmp(&b.1))?;
                let sigma = |fret| sigma_mm(tops, line, string, (stop, fret));
                let chance = || {
                    ((stop + 1)..line.along_mm.len())
                        .map(|fret| share_below(-margin(fret) / sigma(fret).max(1e-9)))
                        .fold(0.0, f64::max)
                };
                Some(Least {
                    fret,
                    margin_mm,
                    sigma_mm: if uncertain { sigma(fret) } else { 0.0 },
                    contact_chance: uncertain.then(chance),
                })
            })
            .collect()
    };
    BuzzMap {
        pluck,
        least: lines.iter().enumerate().map(of_string).collect(),
    }
}

impl BuzzMap {
    /// The least margin of all, with its string and stop.
    pub fn worst(&self) -> Option<(usize, usize, Least)> {
        let all = self.least.iter().enumerate().flat_map(|(string, stops)| {
            let least =
                move |(stop, least): (usize, &Option<Least>)| Some((string, stop, (*least)?));
            stops.iter().enumerate().filter_map(least)
        });
        all.min_by(|a, b| a.2.margin_mm.total_cmp(&b.2.margin_mm))
    }

    /// How many stops have less air than asked.
    pub fn count_below(&self, asked_mm: f64) -> usize {
        let all = self.least.iter().flatten().flatten();
        all.filter(|least| least.margin_mm < asked_mm).count()
    }
}

/// Standard uncertainty of a margin from that of the tops, mm. The string is set by its action
/// over two of them, so that it moves with those.
fn sigma_mm(tops: &Tops<'_>, line: &StringLine, lane: usize, (stop, fret): (usize, usize)) -> f64 {
    let far = line.action_fret;
    let near = usize::from(far > 1);
    let run = line.along_mm[far] - line.along_mm[near];
    // The open string's height at a place, by the tops over which it was set.
    let open_at = |along: f64| {
        let share = (along - line.along_mm[near]) / run;
        [(near, 1.0 - share), (far, share)]
    };
    let share = (line.along_mm[fret] - line.along_mm[stop]) / line.sounding_mm(stop);
    let mut shares = vec![(fret, -1.0)];
    if stop == 0 {
        shares.extend(open_at(line.along_mm[fret]));
    } else {
        shares.push((stop, 1.0 - share));
        shares.extend(open_at(line.length_mm).map(|(top, by)| (top, share * by)));
    }
    let mut variance = 0.0;
    for (one, a) in &shares {
        for (other, b) in &shares {
            variance += a * b * tops.covariance(lane, *one, *other);
        }
    }
    variance.max(0.0).sqrt()
}
