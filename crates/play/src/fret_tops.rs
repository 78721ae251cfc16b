//! Fret tops as read themselves: heights along a bar, gaps under a straightedge, rocking.
//!
//! What is believed before anything is read: a fret stands off its plan as a whole by about
//! [`SEAT_MM`], and at each string by about [`LOCAL_MM`] more. Every reading then says something
//! straight of a few tops, and is taken in as one step of Bayes' rule for bells (Kalman's update).
//! A straightedge that does not rock says that the middle fret is not higher than that can be seen:
//! the bell is cut there, and goes on with the mean and the spread of what is left of it.

use instrument::Instrument;
use instrument::fretwork::{TopReading, TopWhat};
use nalgebra::{DMatrix, DVector};
use readings::bell::Window;

use crate::strings::string_figures;
use crate::strung::{StringLine, string_lines};
use crate::tops::{Basis, Tops};

/// How far a hammered or pressed fret stands off as a whole, as a standard deviation, mm: common
/// practice, no source.
pub const SEAT_MM: f64 = 0.05;
/// How far it stands off at one string besides, mm: common practice, no source.
pub const LOCAL_MM: f64 = 0.02;
/// A bar lies anywhere: its datum's height and its tilt over the board's length, mm.
const DATUM_MM: f64 = 10.0;
/// A reading farther from what the others foretell than so many standard uncertainties is doubted.
const DOUBTED: f64 = 4.0;

/// The fret tops as read.
#[derive(Clone, Debug)]
pub struct ReadTops<'a> {
    /// The tops.
    pub tops: Tops<'a>,
    /// Readings that the others contradict.
    pub doubted: Vec<DoubtedTop>,
}

/// A reading that the others contradict.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoubtedTop {
    /// The reading.
    pub reading: TopReading,
    /// What the others foretold, mm.
    pub foretold_mm: f64,
    /// Half the width of its 95 % interval, mm.
    pub half_mm: f64,
}

/// The tops as read; nothing when none was.
pub fn read_tops(instrument: &Instrument) -> Option<ReadTops<'_>> {
    let readings = &instrument.fretwork.readings;
    if readings.is_empty() {
        return None;
    }
    let planned = Tops::planned(instrument);
    let lines = string_lines(&planned, &string_figures(instrument));
    let mut known = Known::before(&lines);
    let sigma_mm = 0.5 * instrument.fretwork.step_mm;
    let mut taken = Vec::new();
    // Heights first, so that the bars' datums are known before anything is held against them.
    let mut order: Vec<&TopReading> = readings.iter().collect();
    order.sort_by_key(|reading| !matches!(reading.what, TopWhat::Height { .. }));
    for reading in order {
        let (row, planned_mm) = statement(&lines, &known, reading);
        let is_none = matches!(reading.what, TopWhat::Rock { .. }) && reading.value_mm == 0.0;
        let said = if is_none {
            known.less_than_seen(&row, planned_mm, instrument.fretwork.step_mm)
        } else {
            Some((reading.value_mm - planned_mm, sigma_mm * sigma_mm))
        };
        if let Some((value_mm, variance)) = said {
            known.take_in(&row, value_mm, variance);
        }
        taken.push(Taken {
            reading: *reading,
            row,
            planned_mm,
            said,
            is_none,
        });
    }
    Some(ReadTops {
        doubted: doubted(&known, taken, sigma_mm * sigma_mm),
        tops: known.tops(planned),
    })
}

/// A reading that was taken in.
struct Taken {
    reading: TopReading,
    row: Row,
    planned_mm: f64,
    /// The value and variance of its statement over the planned tops; nothing when it told nothing.
    said: Option<(f64, f64)>,
    /// True for a straightedge that did not rock.
    is_none: bool,
}

/// More slips than this are no slips: the worst of them are told.
const MOST_DOUBTED: usize = 24;

/// The readings that all others contradict, the worst first. Each is held against what the others
/// foretell without it and without the ones doubted already, so that no slip can blame a sound
/// reading that was taken in after it.
fn doubted(known: &Known, mut taken: Vec<Taken>, variance: f64) -> Vec<DoubtedTop> {
    let mut doubted = Vec::new();
    // Most boards have no slip: the covariance is copied for those that have.
    let mut without: Option<Known> = None;
    while doubted.len() < MOST_DOUBTED {
        let here = without.as_ref().unwrap_or(known);
        let off = |(index, taken): (usize, &Taken)| {
            let (mean, spread) = here.foretold_without(taken, variance);
            let off = (taken.reading.value_mm - mean) / spread;
            // Less than can be seen is contradicted from one side only.
            let size = if taken.is_none { -off } else { off.abs() };
            (size, index, mean, spread)
        };
        let worst = taken
            .iter()
            .enumerate()
            .map(off)
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, index, foretold_mm, spread)) = worst.filter(|worst| worst.0 > DOUBTED) else {
            break;
        };
        let worst = taken.swap_remove(index);
        if let Some((value_mm, variance)) = worst.said {
            let rest = without.get_or_insert_with(|| known.clone());
            rest.take_in(&worst.row, value_mm, -variance);
        }
        doubted.push(DoubtedTop {
            reading: worst.reading,
            foretold_mm,
            half_mm: readings::bell::HALF_95 * spread,
        });
    }
    doubted
}

/// Mean and covariance of all tops' departures, lane by lane from fret 1, and of the two unknowns
/// of each lane's datum.
#[derive(Clone)]
struct Known {
    frets: usize,
    lanes: usize,
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
}

/// Factors of a few unknowns.
type Row = Vec<(usize, f64)>;

impl Known {
    fn before(lines: &[StringLine]) -> Self {
        let lanes = lines.len();
        let frets = lines.first().map_or(0, StringLine::last_fret);
        let tops = lanes * frets;
        let size = tops + 2 * lanes;
        let covariance = DMatrix::from_fn(size, size, |i, j| {
            if i >= tops || j >= tops {
                return if i == j { DATUM_MM * DATUM_MM } else { 0.0 };
            }
            let same_fret = if i % frets == j % frets {
                SEAT_MM * SEAT_MM
            } else {
                0.0
            };
            let same_top = if i == j { LOCAL_MM * LOCAL_MM } else { 0.0 };
            same_fret + same_top
        });
        Self {
            frets,
            lanes,
            mean: DVector::zeros(size),
            covariance,
        }
    }

    fn top(&self, lane: usize, fret: usize) -> usize {
        lane * self.frets + fret - 1
    }

    /// The unknowns of a lane's datum.
    fn datum(&self, lane: usize) -> [usize; 2] {
        let first = self.lanes * self.frets + 2 * lane;
        [first, first + 1]
    }

    /// Mean and variance of a statement.
    fn foretold(&self, row: &Row, planned_mm: f64) -> (f64, f64) {
        let mean: f64 = row.iter().map(|(index, by)| by * self.mean[*index]).sum();
        let image = self.image(row);
        let variance: f64 = row.iter().map(|(index, by)| by * image[*index]).sum();
        (planned_mm + mean, variance.max(0.0))
    }

    /// Covariance of every unknown with a statement.
    fn image(&self, row: &Row) -> DVector<f64> {
        let mut image = DVector::zeros(self.mean.len());
        for (index, by) in row {
            image.axpy(*by, &self.covariance.column(*index), 1.0);
        }
        image
    }

    /// What all other readings foretell of one that was taken in, and the standard uncertainty of
    /// reading it: with posterior variance v and its own s, the others alone leave v s/(s - v).
    fn foretold_without(&self, taken: &Taken, reading_variance: f64) -> (f64, f64) {
        let (mean, v) = self.foretold(&taken.row, taken.planned_mm);
        let Some((value_mm, s)) = taken.said else {
            return (mean, (v + reading_variance).sqrt());
        };
        // A reading that is all that is known of its place leaves nothing but rounding.
        let left = (s - v).max(1e-9 * s);
        let said_mm = taken.planned_mm + value_mm;
        let others = said_mm - (said_mm - mean) * s / left;
        (others, (v * s / left + reading_variance).sqrt())
    }

    /// Takes in that a statement has a value, with a variance; a negative variance takes the same
    /// statement out again.
    fn take_in(&mut self, row: &Row, value_mm: f64, variance: f64) {
        let image = self.image(row);
        let spread: f64 = row
            .iter()
            .map(|(index, by)| by * image[*index])
            .sum::<f64>()
            + variance;
        let off = value_mm
            - row
                .iter()
                .map(|(index, by)| by * self.mean[*index])
                .sum::<f64>();
        if spread == 0.0 {
            return;
        }
        self.mean.axpy(off / spread, &image, 1.0);
        self.covariance.ger(-1.0 / spread, &image, &image, 1.0);
    }

    /// The value and variance that say of a statement that it is less than can be seen; nothing
    /// when that is known already.
    fn less_than_seen(&self, row: &Row, planned_mm: f64, seen_mm: f64) -> Option<(f64, f64)> {
        let (mean, variance) = self.foretold(row, planned_mm);
        let window = Window {
            low: f64::NEG_INFINITY,
            high: seen_mm,
        };
        let (left_mean, left_variance) = window.kept(mean, variance, 0.5 * seen_mm);
        if left_variance > variance * (1.0 - 1e-9) {
            // The window takes nothing away.
            return None;
        }
        // The value and variance that, taken in, leave just that mean and that spread.
        let noise = variance * left_variance / (variance - left_variance);
        let value_mm = mean + (left_mean - mean) * (variance + noise) / variance;
        Some((value_mm - planned_mm, noise))
    }

    fn tops<'a>(&self, planned: Tops<'a>) -> Tops<'a> {
        let mut tops = planned;
        tops.basis = Basis::Frets;
        let stops = self.frets + 1;
        for lane in 0..self.lanes {
            let mut covariance = vec![0.0; stops * stops];
            for fret in 1..stops {
                let one = self.top(lane, fret);
                tops.departure_mm[lane][fret] = self.mean[one];
                for other in 1..stops {
                    covariance[fret * stops + other] =
                        self.covariance[(one, self.top(lane, other))];
                }
            }
            tops.covariance_mm2[lane] = covariance;
        }
        tops
    }
}

/// What a reading says of the tops: factors of the unknowns, and what the planned tops say.
fn statement(lines: &[StringLine], known: &Known, reading: &TopReading) -> (Row, f64) {
    let lane = reading.lane;
    let line = &lines[lane];
    let at = |fret: usize| line.along_mm[fret];
    let (parts, datum): (Vec<(usize, f64)>, Option<f64>) = match reading.what {
        TopWhat::Height { fret } => (
            vec![(fret, 1.0)],
            Some(at(fret) / line.along_mm[line.last_fret()]),
        ),
        TopWhat::Gap { from, to, fret } => {
            let share = (at(fret) - at(from)) / (at(to) - at(from));
            (vec![(from, 1.0 - share), (to, share), (fret, -1.0)], None)
        }
        TopWhat::Rock { fret } => (over_neighbours(line, fret), None),
    };
    let planned_mm = parts.iter().map(|(fret, by)| by * line.top_mm[*fret]).sum();
    let mut row: Row = parts
        .into_iter()
        .map(|(fret, by)| (known.top(lane, fret), by))
        .collect();
    if let Some(share) = datum {
        let [height, tilt] = known.datum(lane);
        row.extend([(height, 1.0), (tilt, share)]);
    }
    (row, planned_mm)
}

/// A fret's height over the line through its neighbours, as factors of the three tops.
pub(crate) fn over_neighbours(line: &StringLine, fret: usize) -> Vec<(usize, f64)> {
    let (before, after) = (line.along_mm[fret - 1], line.along_mm[fret + 1]);
    let share = (line.along_mm[fret] - before) / (after - before);
    vec![(fret, 1.0), (fret - 1, share - 1.0), (fret + 1, -share)]
}
