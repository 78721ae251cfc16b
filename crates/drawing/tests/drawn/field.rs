//! Regions and lines of equal value against closed forms, and against each other.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use std::f64::consts::PI;

use drawing::{DrawingError, Field, Path, Point, Segment};

/// Rounding of sums of a few thousand products of sheet coordinates, in mm².
const AREA_ROUNDING_MM2: f64 = 1e-9;

/// The outlines of a region; every one must begin with a move and end closed.
fn outlines(region: &Path) -> Vec<Vec<Point>> {
    let mut outlines: Vec<Vec<Point>> = Vec::new();
    let mut is_open = false;
    for segment in &region.segments {
        match *segment {
            Segment::Move(point) => {
                assert!(!is_open, "an outline was left open");
                is_open = true;
                outlines.push(vec![point]);
            }
            Segment::Line(point) => outlines.last_mut().unwrap().push(point),
            Segment::Cubic(..) => panic!("a region is made of straight lines"),
            Segment::Close => is_open = false,
        }
    }
    assert!(!is_open, "the last outline was left open");
    outlines
}

/// Signed area by the shoelace formula, in mm².
fn signed_area(outline: &[Point]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    let doubled = outline.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y);
    0.5 * doubled.sum::<f64>()
}

fn area(region: &Path) -> f64 {
    outlines(region)
        .iter()
        .map(|outline| signed_area(outline))
        .sum()
}

/// How often the outlines wind around a point.
fn winding(region: &Path, point: Point) -> i32 {
    let mut count = 0;
    for outline in outlines(region) {
        for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            let side = (b.x - a.x) * (point.y - a.y) - (point.x - a.x) * (b.y - a.y);
            if a.y <= point.y && b.y > point.y && side > 0.0 {
                count += 1;
            } else if a.y > point.y && b.y <= point.y && side < 0.0 {
                count -= 1;
            }
        }
    }
    count
}

/// A grid of square cells of a size, from the origin.
fn grid(columns: usize, rows: usize, cell_mm: f64, value: impl Fn(f64, f64) -> f64) -> Field {
    Field::from_fn(columns, rows, |column, row| {
        let (x, y) = (column as f64 * cell_mm, row as f64 * cell_mm);
        (Point::new(x, y), value(x, y))
    })
    .unwrap()
}

/// A grid from rows of values, with unit cells.
fn table(rows: &[&[f64]]) -> Field {
    grid(rows[0].len(), rows.len(), 1.0, |x, y| {
        rows[y as usize][x as usize]
    })
}

/// Numbers from 0 to 1 that look random, the same each run: the generator of Park and Miller,
/// "Random number generators: good ones are hard to find", Comm. ACM 31 (1988) 1192.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }
}

/// Noise on a bent grid shaped like a board, 30 mm² to 40 mm² in all.
fn noisy_board(seed: u64) -> (Field, Field) {
    let mut noise = Noise(seed);
    let values: Vec<f64> = (0..12 * 7).map(|_| noise.next()).collect();
    let node = |sign: f64| {
        let values = values.clone();
        move |column: usize, row: usize| {
            let (u, v) = (column as f64, row as f64 - 3.0);
            let point = Point::new(u + 0.02 * v * v, v * (0.4 + 0.02 * u));
            (point, sign * values[row * 12 + column])
        }
    };
    let field = Field::from_fn(12, 7, node(1.0)).unwrap();
    (field, Field::from_fn(12, 7, node(-1.0)).unwrap())
}

#[test]
fn a_plane_gives_the_exact_area_above_a_level() {
    // Closed form: in a rectangle w by h, the part with x + 2 y < c is a triangle c²/4 while
    // c ≤ w and c ≤ 2 h.
    let field = grid(11, 7, 1.0, |x, y| x + 2.0 * y);
    for level in [0.5, 1.0, 3.3, 7.75, 10.0] {
        let expected = 10.0 * 6.0 - level * level / 4.0;
        let found = area(&field.region_above(level)).abs();
        assert!(
            (found - expected).abs() < AREA_ROUNDING_MM2,
            "{level}: {found}"
        );
    }
}

#[test]
fn a_cone_gives_its_circle_and_the_error_falls_with_the_square_of_the_cell() {
    // Closed form: π r². A chord's sagitta and the straight run between nodes each leave the
    // circle by at most about h²/4r, over a length 2 π r: π h² in all.
    let radius = 8.0;
    let error = |cell_mm: f64| {
        let count = (20.0 / cell_mm) as usize + 1;
        let cone = |x: f64, y: f64| radius - (x - 10.1).hypot(y - 9.8);
        let field = grid(count, count, cell_mm, cone);
        (area(&field.region_above(0.0)).abs() - PI * radius * radius).abs()
    };
    for cell_mm in [2.0, 1.0, 0.5, 0.25] {
        assert!(
            error(cell_mm) < PI * cell_mm * cell_mm,
            "{cell_mm}: {}",
            error(cell_mm)
        );
    }
    let gain = error(0.5) / error(0.25);
    assert!((3.0..5.5).contains(&gain), "halving the cell gained {gain}");
}

#[test]
fn a_ring_has_a_hole_turned_the_other_way() {
    let field = grid(81, 81, 0.25, |x, y| {
        -((x - 10.0).hypot(y - 10.0) - 6.0).abs()
    });
    let region = field.region_above(-1.5);
    let areas: Vec<f64> = outlines(&region)
        .iter()
        .map(|outline| signed_area(outline))
        .collect();
    assert_eq!(areas.len(), 2);
    assert!(areas[0] * areas[1] < 0.0, "{areas:?}");
    // Closed form: π (7.5² − 4.5²); the bound is that of the cone, once for either circle.
    let expected = PI * (7.5 * 7.5 - 4.5 * 4.5);
    assert!((area(&region).abs() - expected).abs() < 2.0 * PI * 0.25 * 0.25);
}

#[test]
fn above_and_below_fill_the_whole_without_gap_or_overlap() {
    for seed in 1..200 {
        let (field, mirrored) = noisy_board(seed);
        let whole = area(&field.region_above(f64::NEG_INFINITY));
        let level = 0.1 + 0.8 * (seed as f64 / 200.0);
        let both = area(&field.region_above(level)) + area(&mirrored.region_above(-level));
        assert!(
            (both - whole).abs() < AREA_ROUNDING_MM2,
            "seed {seed}: {both} of {whole}"
        );
    }
}

#[test]
fn no_place_is_wound_around_twice_so_both_fill_rules_agree() {
    for seed in 1..40 {
        let (field, _) = noisy_board(seed);
        let region = field.region_above(0.5);
        let sign = area(&region).signum() as i32;
        let mut noise = Noise(seed + 1000);
        for _ in 0..60 {
            let point = Point::new(12.0 * noise.next(), 4.0 * noise.next() - 2.0);
            let winding = winding(&region, point) * sign;
            assert!(
                (0..=1).contains(&winding),
                "seed {seed}: {winding} at {point:?}"
            );
        }
    }
}

#[test]
fn the_border_is_followed_exactly() {
    let field = grid(11, 7, 0.1, |x, y| x + y);
    let whole = field.region_above(f64::NEG_INFINITY);
    let (low, high) = whole.bounds().unwrap();
    assert_eq!(
        (low, high),
        (Point::new(0.0, 0.0), Point::new(10.0 * 0.1, 6.0 * 0.1))
    );
    let on_border = |point: Point| {
        point.x == low.x || point.x == high.x || point.y == low.y || point.y == high.y
    };
    assert!(whole.points().all(on_border));
    assert_eq!(
        whole.points().count(),
        2 * (10 + 6),
        "one point for each border node"
    );
}

#[test]
fn a_mirrored_field_gives_the_mirrored_region() {
    let value = |x: f64, y: f64| (1.3 * x).sin() + (0.9 * y + 0.4 * x).cos();
    let build = |sign: f64| {
        Field::from_fn(21, 9, |column, row| {
            let (x, y) = (column as f64 - 10.0, row as f64);
            (Point::new(x, y), value(sign * x, y))
        })
        .unwrap()
    };
    let sorted = |region: &Path, sign: f64| {
        let mut points: Vec<(f64, f64)> = region
            .points()
            .map(|point| (sign * point.x + 0.0, point.y))
            .collect();
        points.sort_by(|a, b| a.partial_cmp(b).unwrap());
        points
    };
    for level in [-0.7, 0.0, 0.45] {
        let (plain, mirrored) = (
            build(1.0).region_above(level),
            build(-1.0).region_above(level),
        );
        assert_eq!(sorted(&plain, 1.0), sorted(&mirrored, -1.0));
        assert!((area(&plain) - area(&mirrored)).abs() < AREA_ROUNDING_MM2);
    }
}

#[test]
fn a_plateau_is_above_its_own_level() {
    let field = grid(7, 7, 1.0, |x, y| {
        f64::from(u8::from(
            (2.0..=4.0).contains(&x) && (2.0..=4.0).contains(&y),
        ))
    });
    // At its own height the plateau's nodes alone: 2 by 2. Half way down: half a cell more on
    // each side, corners cut: 4 + 4 · 2 · ½ + 4 · ½ · ½ · ½.
    assert_eq!(area(&field.region_above(1.0)).abs(), 4.0);
    assert_eq!(area(&field.region_above(0.5)).abs(), 8.5);
    assert!(field.region_above(1.000_001).is_empty());
    assert_eq!(area(&field.region_above(0.0)).abs(), 36.0);
}

#[test]
fn a_saddle_is_joined_when_its_middle_is_above() {
    let field = table(&[&[1.0, 0.0], &[0.0, 1.0]]);
    // Corner triangles of side 0.4: cut off below the mean of ½, left over above it.
    let joined = field.region_above(0.4);
    assert_eq!(outlines(&joined).len(), 1);
    assert!((area(&joined).abs() - (1.0 - 0.16)).abs() < AREA_ROUNDING_MM2);
    let parted = field.region_above(0.6);
    assert_eq!(outlines(&parted).len(), 2);
    assert!((area(&parted).abs() - 0.16).abs() < AREA_ROUNDING_MM2);
}

#[test]
fn nodes_without_a_value_end_a_region_at_their_neighbours() {
    let mut rows = vec![vec![1.0; 5]; 5];
    rows[2][2] = f64::NAN;
    let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
    let field = table(&rows);
    // Four cells around the missing node lose half each, cut from neighbour to neighbour.
    assert_eq!(area(&field.region_above(0.0)).abs(), 16.0 - 2.0);
    assert!(
        field.isolines(0.0).is_empty(),
        "a hole in the wood is no line of equal value"
    );
    let nothing = grid(4, 4, 1.0, |_, _| f64::NAN);
    assert!(nothing.region_above(0.0).is_empty());
    assert_eq!(nothing.range(), None);
}

#[test]
fn infinite_values_give_finite_outlines() {
    let field = table(&[
        &[f64::INFINITY, 1.0, f64::NEG_INFINITY],
        &[0.0, f64::INFINITY, 1.0],
        &[f64::NEG_INFINITY, 0.0, 2.0],
    ]);
    for level in [f64::NEG_INFINITY, -1.0, 0.5, 3.0, f64::INFINITY, f64::NAN] {
        assert!(field.region_above(level).points().all(Point::is_finite));
        assert!(
            field
                .isolines(level)
                .iter()
                .flatten()
                .all(|point| point.is_finite())
        );
    }
    assert_eq!(field.range(), Some((0.0, 2.0)));
}

#[test]
fn lines_of_equal_value_leave_out_the_border() {
    let plane = grid(11, 7, 1.0, |x, _| x);
    let lines = plane.isolines(3.25);
    assert_eq!(lines.len(), 1);
    assert!(lines[0].iter().all(|point| point.x == 3.25));
    let mut ends = [lines[0][0].y, lines[0][lines[0].len() - 1].y];
    ends.sort_by(f64::total_cmp);
    assert_eq!(ends, [0.0, 6.0]);
    assert!(plane.isolines(-1.0).is_empty());
    assert!(plane.isolines(11.0).is_empty());

    let hill = grid(21, 21, 1.0, |x, y| 5.0 - (x - 10.0).hypot(y - 10.0));
    let lines = hill.isolines(0.5);
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0].first(), lines[0].last());
    let doubled = (lines[0].len() - 1) as f64;
    assert!(doubled > 16.0, "{doubled} points around the hill");
}

#[test]
fn lines_of_equal_value_lie_on_the_outlines_they_part() {
    for seed in 1..60 {
        let (field, _) = noisy_board(seed);
        let region: Vec<Point> = field.region_above(0.5).points().collect();
        let lines = field.isolines(0.5);
        assert!(!lines.is_empty());
        assert!(
            lines.iter().flatten().all(|point| region.contains(point)),
            "seed {seed}"
        );
    }
}

#[test]
fn bands_come_lowest_first_and_each_lies_within_the_one_before() {
    let (field, _) = noisy_board(7);
    let bands = field.bands(&[0.8, f64::NEG_INFINITY, 0.2, f64::NAN, 0.5]);
    let levels: Vec<f64> = bands.iter().map(|band| band.level).collect();
    assert_eq!(levels, [f64::NEG_INFINITY, 0.2, 0.5, 0.8]);
    let areas: Vec<f64> = bands.iter().map(|band| area(&band.region).abs()).collect();
    assert!(areas.windows(2).all(|pair| pair[0] > pair[1]), "{areas:?}");
}

#[test]
fn grids_without_cells_have_no_area_and_wrong_lists_are_refused() {
    for (columns, rows) in [(0, 0), (0, 5), (5, 0), (1, 1), (1, 4), (4, 1)] {
        let field = grid(columns, rows, 1.0, |_, _| 1.0);
        assert_eq!(area(&field.region_above(0.0)), 0.0, "{columns} by {rows}");
    }
    let error = Field::new(3, 2, vec![0.0; 6], vec![Point::default(); 5]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "field of 3 by 2 nodes was given 6 values and 5 points; give one of each for every node"
    );
    let error = Field::new(usize::MAX, 2, Vec::new(), Vec::new()).unwrap_err();
    assert!(
        matches!(error, DrawingError::FieldTooLarge { .. }),
        "{error}"
    );
}
