//! The time-stepped string against d'Alembert's and Cabannes' exact motions, and the depth that
//! a plucked string sweeps against the time-stepped string.

use play::buzz::Sweep;
use trials::Chance;
use trials::vibrating_string::{
    Obstacle, VibratingString, envelope, first_touch, nearest_grid, period, plucked,
};

/// Rounding of heights of about 1 after some thousand steps, each of which adds a few roundings
/// of 1e-16.
const ROUNDING: f64 = 1e-12;

/// The depth that a string plucked away from the board sweeps at a place: the program's own.
fn swept_depth(amplitude: f64, pluck_from_saddle: f64, length: f64, from_fret: f64) -> f64 {
    let sweep = Sweep {
        height_mm: amplitude,
        from_saddle_mm: pluck_from_saddle,
        length_mm: length,
    };
    sweep.depth_mm(from_fret)
}

/// A shape of straight pieces with random heights, its ends at zero.
fn random_shape(chance: &mut Chance, cells: usize) -> Vec<f64> {
    let mut shape: Vec<f64> = (0..=cells).map(|_| chance.between(-1.0, 1.0)).collect();
    (shape[0], shape[cells]) = (0.0, 0.0);
    shape
}

/// D'Alembert's solution for ends at zero: half of the shape from either side, carried on beyond
/// the ends turned through each of them (textbook).
fn d_alembert(shape: &[f64], point: usize, moment: usize) -> f64 {
    let cells = shape.len() as i64 - 1;
    let carried_on = |at: i64| match at.rem_euclid(2 * cells) {
        at if at <= cells => shape[at as usize],
        at => -shape[(2 * cells - at) as usize],
    };
    let (point, moment) = (point as i64, moment as i64);
    (carried_on(point + moment) + carried_on(point - moment)) / 2.0
}

#[test]
fn a_free_string_moves_as_d_alembert_says() {
    for seed in 0..200 {
        let mut chance = Chance::new(seed);
        let cells = chance.whole(2, 60);
        let shape = random_shape(&mut chance, cells);
        let mut string = VibratingString::released(&shape);
        for moment in 1..=2 * period(&shape) {
            string.step();
            for (point, height) in string.heights().iter().enumerate() {
                let exact = d_alembert(&shape, point, moment);
                assert!(
                    (height - exact).abs() < ROUNDING,
                    "{seed}: {point} {moment}"
                );
            }
        }
    }
}

#[test]
fn a_string_held_aslant_swings_about_its_straight_line() {
    let mut chance = Chance::new(3);
    let shape = random_shape(&mut chance, 40);
    let line = |point: usize| 0.3 + 0.02 * point as f64;
    let aslant: Vec<f64> = (0..=40).map(|i| shape[i] + line(i)).collect();
    let (level, slanting) = (envelope(&shape), envelope(&aslant));
    for (i, (a, b)) in level.iter().zip(&slanting).enumerate() {
        assert!((a + line(i) - b).abs() < ROUNDING, "{i}");
    }
}

#[test]
fn the_swept_depth_of_a_pluck_is_the_lowest_that_the_string_reaches() {
    let mut chance = Chance::new(11);
    for cells in (2..=40).chain([97, 256, 648]) {
        let peaks = (1..cells).step_by(1 + cells / 40);
        for peak in peaks {
            let length = chance.between(150.0, 900.0);
            let amplitude = chance.between(0.05, 4.0);
            let mm = |points: usize| length * points as f64 / cells as f64;
            let lowest = envelope(&plucked(cells, peak, amplitude));
            for (point, low) in lowest.iter().enumerate() {
                let depth = swept_depth(amplitude, mm(cells - peak), length, mm(point));
                assert!(
                    (low + depth).abs() < ROUNDING * amplitude.max(1.0),
                    "{cells} {peak}"
                );
            }
        }
    }
}

#[test]
fn a_string_pushed_toward_the_board_sweeps_no_deeper_than_it_was_pushed() {
    // The parallelogram's other bound: the triangle itself, deepest under the finger.
    for peak in 1..50 {
        let shape = plucked(50, peak, -1.0);
        for (low, pushed) in envelope(&shape).iter().zip(&shape) {
            assert!((low - pushed).abs() < ROUNDING, "{peak}");
        }
    }
}

/// The triangle `1 - 2|x|` over an obstacle of height `h` at its middle: H. Cabannes, "Formulas
/// for vibrating strings with obstacles" (2001), section 1, henri.cabannes.free.fr/strings.html;
/// his letters, ends at `x = ±1/2`, wave speed 1, `|h| < 1`.
fn cabannes(h: f64, x: f64, t: f64) -> f64 {
    // K has the period 1.
    let k = |y: f64| {
        let y = y - y.round();
        (y.abs() - 0.5).powi(2)
    };
    let x = x.abs();
    let l = if 4.0 * x < 1.0 + h { h } else { 3.0 };
    let both = |shift: f64| {
        let scaled = |way: f64| (2.0 * (x + way * t) + shift) / (3.0 - h);
        k(scaled(1.0)) + k(scaled(-1.0))
    };
    let (k1, k2) = (both(0.0), both(1.0 - l));
    (1.0 + h) / (3.0 - h) * (1.0 - 2.0 * x) + (3.0 - h) / 2.0 * (k1 - k2)
}

/// The same string stepped, with an even number of cells.
fn over_a_midpoint_obstacle(cells: usize, h: f64) -> VibratingString {
    let mut floor = vec![f64::NEG_INFINITY; cells + 1];
    floor[cells / 2] = h;
    VibratingString::released_over(&plucked(cells, cells / 2, 1.0), &floor)
}

/// How far a stepped string is from Cabannes' at every point.
fn departures(string: &VibratingString, h: f64, moment: usize) -> Vec<f64> {
    let cells = string.heights().len() - 1;
    let t = moment as f64 / cells as f64;
    let place = |point: usize| point as f64 / cells as f64 - 0.5;
    let heights = string.heights().iter().enumerate();
    heights
        .map(|(point, height)| height - cabannes(h, place(point), t))
        .collect()
}

/// Largest and root mean square departure over a stretch of time.
fn worst_and_rms(cells: usize, h: f64, duration: usize) -> (f64, f64) {
    let mut string = over_a_midpoint_obstacle(cells, h);
    let (mut worst, mut squares) = (0.0_f64, 0.0);
    for moment in 1..=duration * cells {
        string.step();
        for departure in departures(&string, h, moment) {
            worst = worst.max(departure.abs());
            squares += departure * departure;
        }
    }
    let count = (duration * cells * (cells + 1)) as f64;
    (worst, (squares / count).sqrt())
}

#[test]
fn cabannes_formula_gives_the_tabled_heights() {
    let table = include_str!("cabannes_midpoint_obstacle.csv");
    let rows = table.lines().filter(|line| !line.starts_with(['#', 'h']));
    let mut checked = 0;
    for row in rows {
        let row: Vec<f64> = row.split(',').map(|cell| cell.parse().unwrap()).collect();
        let (h, t) = (row[0], row[1]);
        // 400 cells: every place, moment and contact of the table is on the grid.
        let mut string = over_a_midpoint_obstacle(400, h);
        for _ in 0..(400.0 * t) as usize {
            string.step();
        }
        for (x, expected) in [0.0, 0.125, 0.25, 0.375].into_iter().zip(&row[2..]) {
            // The table is printed to six decimals.
            assert!((cabannes(h, x, t) - expected).abs() < 5e-7, "{h} {t} {x}");
            let stepped = string.heights()[200 + (400.0 * x) as usize];
            assert!((stepped - expected).abs() < 5e-7, "{h} {t} {x}: {stepped}");
            checked += 1;
        }
    }
    assert_eq!(checked, 120);
}

/// Root mean square departures of another leapfrog scheme for heights of -0.25 and 0.25, with 200,
/// 800 and 3200 cells; worked out apart from this program, and to be beaten.
const OTHER_SCHEME_RMS: [f64; 3] = [0.0100, 0.0031, 0.0008];

#[test]
fn an_obstacle_at_the_rest_line_is_met_to_rounding() {
    // Four periods of 1.5, each two thirds of the free string's: a pitch higher by 498.04 cents.
    // With a power of two as the number of cells all heights are exact binary numbers, and only
    // the formula is rounded.
    for cells in [16, 50, 64, 256, 1024] {
        let (worst, _) = worst_and_rms(cells, 0.0, 6);
        assert!(worst < 2e-14, "{cells}: {worst}");
    }
    // Otherwise roundings of the shape are carried along by every step.
    for cells in [200, 600] {
        let (worst, _) = worst_and_rms(cells, 0.0, 6);
        assert!(worst < ROUNDING, "{cells}: {worst}");
    }
}

#[test]
fn obstacles_met_at_whole_steps_are_met_to_rounding() {
    // First contact after (1 - h)/2 of time, period (3 - h)/2: whole steps at these lengths. A
    // scheme that forgets the push still due is late by a step whenever the string leaves.
    for h in [-0.25, 0.25] {
        for cells in [200, 800] {
            let (worst, _) = worst_and_rms(cells, h, 3);
            assert!(worst < ROUNDING, "{cells} {h}: {worst}");
        }
    }
}

#[test]
fn obstacles_met_between_steps_are_met_to_first_order() {
    // The first contact comes after (1 - h)/2 of time. Lowered by 2/600, it lies a third of a
    // step off the grid at all three lengths of a step, so that the errors compare.
    for h in [-0.25, 0.0, 0.25].map(|h| h - 2.0 / 600.0) {
        let errors = [200, 800, 3200].map(|cells| worst_and_rms(cells, h, 3).1);
        for (error, other) in errors.into_iter().zip(OTHER_SCHEME_RMS) {
            assert!(error < other, "{h}: {errors:?}");
        }
        for pair in errors.windows(2) {
            let fall = pair[0] / pair[1];
            assert!((3.9..4.1).contains(&fall), "{h}: {errors:?}");
        }
    }
}

/// Frets at random places before the saddle, as deep as the string sweeps there, and a hair more.
fn grazed(chance: &mut Chance, pluck_share: f64, amplitude: f64, hair: f64) -> Vec<Obstacle> {
    let count = chance.whole(1, 24);
    let grazing = |share: f64| Obstacle {
        share,
        height: -swept_depth(amplitude, pluck_share, 1.0, share) - hair,
    };
    (0..count)
        .map(|_| grazing(chance.between(0.01, 0.99)))
        .collect()
}

#[test]
fn frets_a_hair_below_the_swept_string_are_never_touched_and_one_above_is() {
    let hair = 1e-9;
    for seed in 0..400 {
        let mut chance = Chance::new(seed);
        let cells = chance.whole(2, 120);
        let from_saddle = chance.whole(1, cells - 1);
        let amplitude = chance.between(0.1, 3.0);
        let shape = plucked(cells, cells - from_saddle, amplitude);
        let pluck_share = from_saddle as f64 / cells as f64;
        let mut frets = grazed(&mut chance, pluck_share, amplitude, hair);
        assert_eq!(first_touch(&shape, &frets), None, "{seed}");
        let proud = chance.whole(0, frets.len() - 1);
        frets[proud].height += 2.0 * hair;
        assert_eq!(first_touch(&shape, &frets), Some(proud), "{seed}");
    }
}

#[test]
fn a_floor_is_felt_by_the_stepped_string_exactly_when_it_reaches_the_envelope() {
    let hair = 1e-9;
    for seed in 0..100 {
        let mut chance = Chance::new(seed);
        let cells = chance.whole(3, 60);
        let shape = random_shape(&mut chance, cells);
        let lowest = envelope(&shape);
        let inner = (1..cells).filter(|point| lowest[*point] + 3.0 * hair < shape[*point]);
        let mut floor: Vec<f64> = lowest.iter().map(|low| low - hair).collect();
        assert!(!differs_from_free(&shape, &floor), "{seed}");
        for point in inner {
            floor[point] += 2.0 * hair;
            assert!(differs_from_free(&shape, &floor), "{seed}: {point}");
            floor[point] -= 2.0 * hair;
        }
    }
}

/// Whether a floor changes the motion at all within two periods, to the last bit.
fn differs_from_free(shape: &[f64], floor: &[f64]) -> bool {
    let mut free = VibratingString::released(shape);
    let mut over = VibratingString::released_over(shape, floor);
    (0..2 * period(shape)).any(|_| {
        free.step();
        over.step();
        free.heights() != over.heights()
    })
}

/// Into how many parts a cell is cut to look at the motion between the points.
const FINE: usize = 16;

#[test]
fn the_first_of_many_proud_frets_is_the_one_that_a_finer_string_reaches_first() {
    let (mut met, mut alone) = (0, 0);
    for seed in 0..400 {
        let mut chance = Chance::new(seed);
        let cells = chance.whole(2, 30);
        let shape = random_shape(&mut chance, cells);
        let points: Vec<usize> = (0..chance.whole(1, 12))
            .map(|_| chance.whole(1, FINE * cells - 1))
            .collect();
        let frets: Vec<Obstacle> = points
            .iter()
            .map(|point| Obstacle {
                share: *point as f64 / (FINE * cells) as f64,
                height: chance.between(-1.5, -0.4),
            })
            .collect();
        let reached = reached_first(&finer(&shape), &points, &frets);
        match first_touch(&shape, &frets) {
            Some(first) => assert!(reached.contains(&first), "{seed}: {first} {reached:?}"),
            None => assert!(reached.is_empty(), "{seed}: {reached:?}"),
        }
        met += usize::from(!reached.is_empty());
        alone += usize::from(reached.len() == 1);
    }
    // Both answers must occur, and mostly one fret alone within a fine step.
    assert!(
        (100..350).contains(&met) && alone > met / 2,
        "{met} {alone}"
    );
}

/// The shape with its cells cut into parts.
fn finer(shape: &[f64]) -> Vec<f64> {
    let part = |k: usize| (k % FINE) as f64 / FINE as f64;
    let last = FINE * (shape.len() - 1);
    let height = |k: usize| match k {
        k if k == last => shape[shape.len() - 1],
        k => shape[k / FINE] * (1.0 - part(k)) + shape[k / FINE + 1] * part(k),
    };
    (0..=last).map(height).collect()
}

/// All frets that the string has reached by the first moment at which it has reached any.
fn reached_first(shape: &[f64], points: &[usize], frets: &[Obstacle]) -> Vec<usize> {
    let mut string = VibratingString::released(shape);
    for _ in 0..=period(shape) {
        let is_reached = |i: &usize| string.heights()[points[*i]] <= frets[*i].height;
        let reached: Vec<usize> = (0..frets.len()).filter(is_reached).collect();
        if !reached.is_empty() {
            return reached;
        }
        string.step();
    }
    Vec::new()
}

#[test]
fn the_nearest_grid_keeps_its_promise() {
    let mut chance = Chance::new(5);
    let mut close = 0;
    for _ in 0..2000 {
        let (share, most) = (chance.between(0.02, 0.98), chance.whole(60, 500));
        let (cells, point) = nearest_grid(share, most);
        assert!((2..=most).contains(&cells) && (1..cells).contains(&point));
        let miss = (point as f64 / cells as f64 - share).abs();
        assert!(miss < 1.0 / most as f64, "{share} {most}");
        close += usize::from(miss < 1.0 / (most * most) as f64);
    }
    assert!(close > 1000, "{close}");
    assert_eq!(nearest_grid(0.25, 400), (4, 1));
    assert_eq!(nearest_grid(1e-9, 10), (10, 1));
}
