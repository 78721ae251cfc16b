//! Levelling: which frets are seated first, and the least that must be filed off which tops so that
//! the asked set-up does not buzz and every crown keeps its least height.
//!
//! For one lane it is a linear programme: the unknowns are what comes off each top, the asked action
//! is set over the levelled tops, every margin must be at least the asked one, and the sum of what
//! comes off is to be the least.

use readings::program::Programme;

use crate::buzz::{Pluck, margin_mm};
use crate::fret_tops::over_neighbours;
use crate::strung::{Heights, Setting, StringLine};
use crate::tops::Tops;

/// What levelling must reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// How the strings are plucked.
    pub pluck: Pluck,
    /// Air that must be left, mm.
    pub margin_mm: f64,
    /// The most that may come off a crown, mm.
    pub most_off_mm: f64,
}

/// A fret that stands proud.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proud {
    /// The fret.
    pub fret: usize,
    /// The lane, 0 for the highest string's.
    pub lane: usize,
    /// Its height over the line through its neighbours, mm.
    pub over_mm: f64,
    /// The standard uncertainty of that, mm.
    pub sigma_mm: f64,
}

/// The levelling of a board.
#[derive(Clone, Debug, PartialEq)]
pub struct Levelling {
    /// Frets to be seated first, worst first; what comes off is counted with these seated.
    pub seat_first: Vec<Proud>,
    /// What comes off the top at `[lane][fret]`, mm; index 0 is the nut. Nothing where the pull is
    /// not known, or where filing within the crown cannot free the string.
    pub off_mm: Vec<Option<Vec<f64>>>,
    /// Lanes that filing within the crown cannot free, 0 for the highest string's.
    pub cannot: Vec<usize>,
}

impl Levelling {
    /// The most that comes off one top, with its lane and fret; nothing when nothing comes off.
    pub fn most(&self) -> Option<(usize, usize, f64)> {
        let all = self.off_mm.iter().enumerate().flat_map(|(lane, off)| {
            let tops = off.iter().flatten().enumerate();
            tops.map(move |(fret, mm)| (lane, fret, *mm))
        });
        all.filter(|(.., mm)| *mm > 0.0)
            .max_by(|a, b| a.2.total_cmp(&b.2))
    }
}

/// Frets that stand proud of both neighbours by more than a bound, worst first.
pub fn proud(tops: &Tops<'_>, lines: &[StringLine], bound_mm: f64) -> Vec<Proud> {
    let mut found = Vec::new();
    for (lane, line) in lines.iter().enumerate() {
        for fret in 2..line.last_fret() {
            let parts = over_neighbours(line, fret);
            let over_mm: f64 = parts.iter().map(|(top, by)| by * line.top_mm[*top]).sum();
            if over_mm <= bound_mm {
                continue;
            }
            let mut variance = 0.0;
            for (one, a) in &parts {
                for (other, b) in &parts {
                    variance += a * b * tops.covariance(lane, *one, *other);
                }
            }
            found.push(Proud {
                fret,
                lane,
                over_mm,
                sigma_mm: variance.max(0.0).sqrt(),
            });
        }
    }
    found.sort_by(|a, b| b.over_mm.total_cmp(&a.over_mm));
    found
}

/// The levelling that a set-up asks for, its relief and its actions kept.
pub fn levelling(
    lines: &[StringLine],
    setting: &Setting,
    seat_first: Vec<Proud>,
    level: Level,
) -> Levelling {
    let mut seated = lines.to_vec();
    for proud in &seat_first {
        seated[proud.lane].top_mm[proud.fret] -= proud.over_mm;
    }
    let mut cannot = Vec::new();
    let off_mm = seated
        .iter()
        .enumerate()
        .map(|(lane, line)| {
            let tension_n = line.tension_n?;
            let heights = reset(line, &lines[lane], setting, lane);
            let off = least_off(line, heights, setting.relief_mm, tension_n, level);
            if off.is_none() {
                cannot.push(lane);
            }
            off
        })
        .collect();
    Levelling {
        seat_first,
        off_mm,
        cannot,
    }
}

/// The heights that give the seated tops the actions that the set-up had.
fn reset(line: &StringLine, before: &StringLine, setting: &Setting, lane: usize) -> Heights {
    let action = |fret| before.action(fret, setting.strings[lane], setting.relief_mm);
    let far = line.action_fret;
    line.heights_for(action(1.min(far)), action(far), setting.relief_mm)
}

/// The least that comes off one lane's tops; nothing when it cannot be done within the crown.
fn least_off(
    line: &StringLine,
    heights: Heights,
    relief_mm: f64,
    tension_n: f64,
    level: Level,
) -> Option<Vec<f64>> {
    let last = line.last_fret();
    let mut programme = Programme {
        gain: vec![-1.0; last],
        bounds: vec![(0.0, level.most_off_mm.max(0.0)); last],
        ..Programme::default()
    };
    for stop in 0..last {
        let sweep = level.pluck.sweep(tension_n, line.sounding_mm(stop));
        for fret in (stop + 1)..=last {
            let margin = margin_mm(line, heights, relief_mm, sweep, (stop, fret));
            let mut row = vec![0.0; last];
            for (top, by) in falls(line, stop, fret) {
                row[top - 1] += by;
            }
            programme.rows.push(row);
            programme.limits.push(margin - level.margin_mm);
        }
    }
    let is_free = programme.limits.iter().all(|slack| *slack >= 0.0);
    let off = if is_free {
        vec![0.0; last]
    } else if is_hopeless(&programme) {
        return None;
    } else {
        programme.solve().ok()?
    };
    Some(std::iter::once(0.0).chain(off).collect())
}

/// True when some margin stays short whatever is filed: all that helps it comes off to the last,
/// and nothing else does.
fn is_hopeless(programme: &Programme) -> bool {
    let best = |row: &Vec<f64>| -> f64 {
        let ends = row.iter().zip(&programme.bounds);
        ends.map(|(by, (_, most))| by.min(0.0) * most).sum()
    };
    let mut rows = programme.rows.iter().zip(&programme.limits);
    rows.any(|(row, limit)| best(row) > *limit)
}

/// How much a margin falls when a millimetre comes off each top: the string comes down with the
/// tops over which its action is set, and with its stop; the fret ahead comes down from under it.
fn falls(line: &StringLine, stop: usize, fret: usize) -> Vec<(usize, f64)> {
    let far = line.action_fret;
    let near_along = if far > 1 { line.along_mm[1] } else { 0.0 };
    let run = line.along_mm[far] - near_along;
    let open_at = |along: f64| {
        let share = (along - near_along) / run;
        // With a single fret the nut stands still.
        let near = if far > 1 { 1.0 - share } else { 0.0 };
        [(1, near), (far, share)]
    };
    let share = (line.along_mm[fret] - line.along_mm[stop]) / line.sounding_mm(stop);
    let mut falls = vec![(fret, -1.0)];
    if stop == 0 {
        falls.extend(open_at(line.along_mm[fret]));
    } else {
        falls.push((stop, 1.0 - share));
        falls.extend(open_at(line.length_mm).map(|(top, by)| (top, share * by)));
    }
    falls
}
