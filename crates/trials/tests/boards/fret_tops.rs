//! Fret tops as read against plain conditioning of bells, and against planted truths.

use crate::played::read_played;
use instrument::Instrument;
use instrument::fretwork::{TopReading, TopWhat};
use nalgebra::{DMatrix, DVector};
use play::fret_tops::{LOCAL_MM, ReadTops, SEAT_MM, read_tops};
use play::strung::{StringLine, string_lines};
use play::tops::Tops;
use trials::{Chance, Played, played_board};

/// A board with two or three strings and twelve frets.
fn small_board(chance: &mut Chance) -> Played {
    let mut played = played_board(chance);
    let count = chance.whole(2, 3);
    played.board.strings.truncate(count);
    played.sounding.truncate(count);
    played.board.frets = 12;
    played.board.fall_away = None;
    played.board.camber = trials::Camber::Single(Some(300.0));
    played.joint = None;
    played
}

/// A true board: how far every top stands off, and every lane's datum.
struct Truth {
    off_mm: Vec<Vec<f64>>,
    datum_mm: Vec<(f64, f64)>,
}

fn truth(chance: &mut Chance, lanes: usize, frets: usize) -> Truth {
    let seats: Vec<f64> = (0..=frets).map(|_| SEAT_MM * chance.bell()).collect();
    let lane = |chance: &mut Chance| -> Vec<f64> {
        seats
            .iter()
            .map(|seat| seat + LOCAL_MM * chance.bell())
            .collect()
    };
    Truth {
        off_mm: (0..lanes).map(|_| lane(chance)).collect(),
        datum_mm: (0..lanes)
            .map(|_| (0.5 * chance.bell(), 0.3 * chance.bell()))
            .collect(),
    }
}

/// What a reading says: factors of the tops of its lane, and of its datum.
fn factors(line: &StringLine, what: TopWhat) -> (Vec<(usize, f64)>, [f64; 2]) {
    let at = |fret: usize| line.along_mm[fret];
    let last = line.last_fret();
    match what {
        TopWhat::Height { fret } => (vec![(fret, 1.0)], [1.0, at(fret) / at(last)]),
        TopWhat::Gap { from, to, fret } => {
            let share = (at(fret) - at(from)) / (at(to) - at(from));
            (
                vec![(from, 1.0 - share), (to, share), (fret, -1.0)],
                [0.0; 2],
            )
        }
        TopWhat::Rock { fret } => {
            let share = (at(fret) - at(fret - 1)) / (at(fret + 1) - at(fret - 1));
            (
                vec![(fret, 1.0), (fret - 1, share - 1.0), (fret + 1, -share)],
                [0.0; 2],
            )
        }
    }
}

/// The value that a reading has on a true board, without its own error.
fn true_value(lines: &[StringLine], truth: &Truth, lane: usize, what: TopWhat) -> f64 {
    let (tops, datum) = factors(&lines[lane], what);
    let of_tops: f64 = tops
        .iter()
        .map(|(fret, by)| by * (lines[lane].top_mm[*fret] + truth.off_mm[lane][*fret]))
        .sum();
    of_tops + datum[0] * truth.datum_mm[lane].0 + datum[1] * truth.datum_mm[lane].1
}

/// Heights of all tops and some gaps, in random order, each off by half a step as a standard
/// deviation.
fn read_all(instrument: &mut Instrument, lines: &[StringLine], truth: &Truth, chance: &mut Chance) {
    let mut whats = Vec::new();
    for (lane, line) in lines.iter().enumerate() {
        let last = line.last_fret();
        whats.extend((1..=last).map(|fret| (lane, TopWhat::Height { fret })));
        for _ in 0..4 {
            let fret = chance.whole(2, last - 1);
            let (from, to) = (chance.whole(1, fret - 1), chance.whole(fret + 1, last));
            whats.push((lane, TopWhat::Gap { from, to, fret }));
        }
    }
    for i in (1..whats.len()).rev() {
        let j = chance.whole(0, i);
        whats.swap(i, j);
    }
    let sigma = 0.5 * instrument.fretwork.step_mm;
    instrument.fretwork.readings = whats
        .into_iter()
        .map(|(lane, what)| TopReading {
            lane,
            what,
            value_mm: true_value(lines, truth, lane, what) + sigma * chance.bell(),
        })
        .collect();
}

fn planned_lines(instrument: &Instrument) -> Vec<StringLine> {
    let strings = play::strings::string_figures(instrument);
    string_lines(&Tops::planned(instrument), &strings)
}

/// Mean and covariance of all tops and datums by the normal equations of prior and readings.
fn by_normal_equations(
    instrument: &Instrument,
    lines: &[StringLine],
) -> (DVector<f64>, DMatrix<f64>) {
    let (lanes, frets) = (lines.len(), lines[0].last_fret());
    let tops = lanes * frets;
    let size = tops + 2 * lanes;
    // A fret stands off as a whole and at each string besides; a datum's two unknowns are free
    // within 10 mm.
    let prior = DMatrix::from_fn(size, size, |i, j| match (i < tops && j < tops, i == j) {
        (true, same) => {
            let seat = if i % frets == j % frets {
                SEAT_MM.powi(2)
            } else {
                0.0
            };
            seat + if same { LOCAL_MM.powi(2) } else { 0.0 }
        }
        (false, true) => 100.0,
        (false, false) => 0.0,
    });
    let mut normal = prior.try_inverse().expect("a prior is never singular");
    let mut right = DVector::zeros(size);
    let weight = (0.5 * instrument.fretwork.step_mm).powi(-2);
    for reading in &instrument.fretwork.readings {
        let lane = reading.lane;
        let (parts, datum) = factors(&lines[lane], reading.what);
        let mut row = DVector::zeros(size);
        let mut planned = 0.0;
        for (fret, by) in parts {
            row[lane * frets + fret - 1] += by;
            planned += by * lines[lane].top_mm[fret];
        }
        row[tops + 2 * lane] = datum[0];
        row[tops + 2 * lane + 1] = datum[1];
        right += &row * (weight * (reading.value_mm - planned));
        normal += &row * row.transpose() * weight;
    }
    let covariance = normal.try_inverse().expect("never singular with a prior");
    (&covariance * right, covariance)
}

#[test]
fn heights_and_gaps_are_taken_in_as_normal_equations_say() {
    for seed in 0..40 {
        let mut chance = Chance::new(seed);
        let (mut instrument, _) = read_played(&small_board(&mut chance));
        let lines = planned_lines(&instrument);
        let truth = truth(&mut chance, lines.len(), 12);
        read_all(&mut instrument, &lines, &truth, &mut chance);
        let keep = chance.whole(1, instrument.fretwork.readings.len());
        instrument.fretwork.readings.truncate(keep);
        let found = read_tops(&instrument).expect("something was read").tops;
        let (mean, covariance) = by_normal_equations(&instrument, &lines);
        for lane in 0..lines.len() {
            for fret in 1..=12 {
                let one = lane * 12 + fret - 1;
                let off = found.departure_mm[lane][fret] - mean[one];
                // A thousandth of a micrometre, after 1e6 between datum and step in the matrix.
                assert!(off.abs() < 1e-6, "{seed} {lane} {fret}: {off}");
                for other in 1..=12 {
                    let wanted = covariance[(one, lane * 12 + other - 1)];
                    let found = found.covariance(lane, fret, other);
                    assert!(
                        (found - wanted).abs() < 1e-9,
                        "{seed} {lane} {fret} {other}"
                    );
                }
            }
        }
    }
}

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let (mut held, mut all) = (0, 0);
    for seed in 0..500 {
        let mut chance = Chance::new(10_000 + seed);
        let (mut instrument, _) = read_played(&small_board(&mut chance));
        let lines = planned_lines(&instrument);
        let truth = truth(&mut chance, lines.len(), 12);
        read_all(&mut instrument, &lines, &truth, &mut chance);
        let tops = read_tops(&instrument).expect("something was read").tops;
        for lane in 0..lines.len() {
            for fret in 1..=12 {
                let off = tops.departure_mm[lane][fret] - truth.off_mm[lane][fret];
                let half = readings::bell::HALF_95 * tops.covariance(lane, fret, fret).sqrt();
                held += usize::from(off.abs() <= half);
                all += 1;
            }
        }
    }
    let share = held as f64 / all as f64;
    assert!((0.93..=0.97).contains(&share), "{share} of {all}");
}

/// What a board's readings are worth when one of them slipped.
fn with_slip(seed: u64, slip_mm: f64) -> (Option<ReadTops<'static>>, TopReading) {
    let mut chance = Chance::new(seed);
    let (mut instrument, _) = read_played(&small_board(&mut chance));
    let lines = planned_lines(&instrument);
    let truth = truth(&mut chance, lines.len(), 12);
    read_all(&mut instrument, &lines, &truth, &mut chance);
    let slipped = chance.whole(0, instrument.fretwork.readings.len() - 1);
    let reading = &mut instrument.fretwork.readings[slipped];
    reading.value_mm += slip_mm;
    let reading = *reading;
    // The tops borrow their board: let it live as long as the test.
    let instrument: &'static Instrument = Box::leak(Box::new(instrument));
    (read_tops(instrument), reading)
}

#[test]
fn a_slip_of_the_decimal_point_is_doubted_wherever_it_stands_and_no_other_reading_is() {
    // 0.06 mm written as 0.60 mm, ten times too much.
    let (mut found, mut blamed) = (0, 0);
    for seed in 0..200 {
        let (read, slipped) = with_slip(20_000 + seed, 0.54);
        let doubted = read.expect("something was read").doubted;
        found += usize::from(doubted.iter().any(|doubt| doubt.reading == slipped));
        blamed += usize::from(doubted.iter().any(|doubt| doubt.reading != slipped));
    }
    assert_eq!((found, blamed), (200, 0));
}

#[test]
fn sound_readings_are_hardly_ever_doubted() {
    // Beyond four standard deviations lies one reading in 16,000: here some 8,000 are read.
    let doubted: usize = (0..200)
        .map(|seed| {
            with_slip(30_000 + seed, 0.0)
                .0
                .map_or(0, |read| read.doubted.len())
        })
        .sum();
    assert!(doubted <= 4, "{doubted}");
}
