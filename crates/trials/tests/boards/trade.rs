//! What every maker knows of such work, held against the plans. All of it is common practice
//! and has no source; each test says so.

use crate::common;
use crate::common::{plan, read, read_the_kit};
use bench::kit::Beam;
use bench::left::height_left;
use bench::touch::{MOMENTS, TouchMap};
use bench::{BenchPlan, Stage, Work};
use instrument::Instrument;
use trials::{Chance, Commission, KitText, flattening_board, planted_kit};

const COLUMNS: usize = 201;
const ROWS: usize = 21;
const FINE_COLUMNS: usize = 1601;

/// A board that flattens toward the body and a whole kit with one to four blocks for it.
fn shop(seed: u64) -> (Commission, KitText) {
    let mut chance = Chance::new(seed);
    let board = flattening_board(&mut chance);
    let count = chance.whole(1, 4);
    let kit = planted_kit(&board, count, &mut chance);
    (board, kit)
}

fn for_shops(count: u64, look: impl Fn(&Instrument, &BenchPlan, &KitText)) {
    for seed in 0..count {
        let (board, kit) = shop(seed);
        let instrument = read(&board);
        look(&instrument, &plan(&instrument, &read_the_kit(&kit)), &kit);
    }
}

fn shaping_beam(plan: &BenchPlan) -> &Stage {
    let mut beams = plan
        .stages
        .iter()
        .filter(|stage| matches!(stage.work, Work::Beam(_)));
    beams.next().expect("these boards need a beam")
}

// Common practice, no source.
#[test]
fn the_flattest_block_goes_first_and_tighter_ones_only_nutward() {
    for_shops(200, |_, plan, kit| {
        let mut radii: Vec<f64> = kit.blocks.iter().filter_map(|block| block.radius).collect();
        radii.sort_by(|a, b| b.total_cmp(a));
        let used: Vec<f64> = plan
            .stages
            .iter()
            .filter_map(Stage::radius)
            .map(|radius| radius.mm())
            .collect();
        assert_eq!(used, radii);
        let blocks = plan.stages.iter().take(radii.len());
        let ends: Vec<f64> = blocks.clone().map(Stage::to_x_mm).collect();
        assert!(ends.windows(2).all(|pair| pair[1] < pair[0]), "{ends:?}");
        assert!(blocks.clone().all(|stage| stage.from_x_mm() == 0.0));
    });
}

// Common practice, no source.
#[test]
fn the_wide_end_has_more_to_lose_under_the_first_block() {
    for_shops(200, |instrument, plan, _| {
        let first = &plan.stages[0];
        let (from, to) = (first.from_x_mm(), first.to_x_mm());
        let middle = 0.5 * (from + to);
        let removed = |from, to| {
            first.before.volume_between(instrument, from, to)
                - first.after.volume_between(instrument, from, to)
        };
        assert!(removed(middle, to) > removed(from, middle));
        assert!(first.strokes.is_sorted(), "{:?}", first.strokes);
    });
}

// Common practice, no source.
#[test]
fn a_concave_block_on_a_flat_blank_touches_the_edges_first_and_the_crown_last() {
    for_shops(60, |instrument, plan, _| {
        let first = &plan.stages[0];
        let map = TouchMap::of(instrument, first, COLUMNS, ROWS);
        let crown = ROWS / 2;
        let last = MOMENTS.len() - 1;
        assert_eq!((MOMENTS[0], MOMENTS[last]), (0.0, 0.95));
        let mut touched = 0;
        for column in 0..COLUMNS {
            let sample = |row: usize| column * ROWS + row;
            if map.points[sample(crown)].0 > first.to_x_mm() {
                continue;
            }
            for row in 0..ROWS {
                let at_edge = row == 0 || row == ROWS - 1;
                touched += usize::from(map.chalk_gone(sample(row), 0));
                assert!(
                    !map.chalk_gone(sample(row), 0) || at_edge,
                    "first at row {row}"
                );
                // From the edges inward: where chalk is gone it is gone further out, too.
                let outward = if row <= crown {
                    row.saturating_sub(1)
                } else {
                    (row + 1).min(ROWS - 1)
                };
                for moment in 0..MOMENTS.len() {
                    let gone = |row: usize| map.chalk_gone(sample(row), moment);
                    assert!(
                        !gone(row) || gone(outward),
                        "row {row} before row {outward}"
                    );
                }
            }
            assert!(
                !map.chalk_gone(sample(crown), last),
                "the crown is touched last"
            );
            assert!(map.chalk_gone(sample(0), last) && map.chalk_gone(sample(ROWS - 1), last));
        }
        assert!(touched > 0, "a tool that has come down touches somewhere");
    });
}

// Common practice, no source.
#[test]
fn after_the_blocks_most_is_left_just_past_a_zones_end_at_the_edges() {
    for_shops(200, |instrument, plan, _| {
        let (x, y) = plan.blocks_leave.at_mm;
        let half_width = instrument.outline.half_width(x);
        assert!((y.abs() - half_width).abs() < 1e-6, "{y} of {half_width}");
        // On a flattening board the tightest block's zone ends last from the nut's side; where
        // no block is tight enough for the nut, the nut counts as such an end.
        let mut ends = common::zone_ends(plan);
        ends.push(0.0);
        assert!(
            ends.iter().any(|end| (x - end).abs() < 1e-3),
            "{x} and {ends:?}"
        );
        for zone in &plan.zones {
            let end = zone.spans[0].to_mm;
            let left =
                |x: f64| height_left(instrument, &plan.zones, x, instrument.outline.half_width(x));
            assert!(
                left(end + 0.01) > left(end + 20.0_f64.min(0.5 * (instrument.end_x_mm() - end)))
            );
            assert!(left(end - 0.01) < 0.1 * left(end + 0.01));
        }
    });
}

// Common practice, no source.
#[test]
fn the_beam_touches_the_crests_first_and_the_troughs_last() {
    for_shops(60, |instrument, plan, _| {
        // Fine enough that a trough has a sample within a hundredth of its tooth.
        let map = TouchMap::of(instrument, shaping_beam(plan), FINE_COLUMNS, ROWS);
        // Teeth from nut to end: between neighbouring ends of zones, and past the last to the end.
        let mut ends: Vec<f64> = plan.zones.iter().map(|zone| zone.spans[0].to_mm).collect();
        ends.sort_by(f64::total_cmp);
        let crest = ends[ends.len() - 1];
        let x = |column: usize| map.points[column * ROWS].0;
        let gone = |column: usize, moment: usize| map.chalk_gone(column * ROWS, moment);
        let (most, _) = map
            .depth_mm
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(b.1))
            .expect("samples");
        assert!(
            most % ROWS == 0 || most % ROWS == ROWS - 1,
            "first at the edges"
        );
        let first = x(most / ROWS);
        let step = instrument.end_x_mm() / (FINE_COLUMNS - 1) as f64;
        let past_an_end = ends.iter().any(|end| first >= *end && first <= end + step);
        assert!(
            past_an_end || first == 0.0,
            "{first} is not just past one of {ends:?}"
        );
        assert!(crest < instrument.end_x_mm());
        let mut from = 0.0;
        for end in ends {
            let columns: Vec<usize> = (0..FINE_COLUMNS)
                .filter(|c| x(*c) > from && x(*c) < end)
                .collect();
            from = end;
            let (Some(&near), Some(&far)) = (columns.first(), columns.last()) else {
                continue;
            };
            assert!(near == far || map.depth_mm[near * ROWS] > map.depth_mm[far * ROWS]);
            for moment in 0..MOMENTS.len() {
                // Within a tooth chalk goes from its crest toward the next zone's end.
                let holds = columns
                    .windows(2)
                    .all(|pair| gone(pair[0], moment) || !gone(pair[1], moment));
                assert!(holds, "moment {moment}");
            }
            assert!(
                !gone(far, MOMENTS.len() - 1),
                "the trough before {end} is touched last"
            );
        }
    });
}

// Common practice, no source: a short bar proves nothing about level.
#[test]
fn a_short_beam_gets_a_caution_and_a_long_one_none() {
    for seed in 0..60 {
        let (board, kit) = shop(seed);
        let instrument = read(&board);
        let cautioned = |length_mm: f64| {
            let mut kit = read_the_kit(&kit);
            kit.beams = vec![Beam {
                length_mm,
                width_mm: 60.0,
            }];
            plan(&instrument, &kit)
                .cautions
                .iter()
                .any(|caution| caution.code == "short_beam")
        };
        let board_mm = instrument.end_x_mm();
        assert!(cautioned(0.25 * board_mm) && cautioned(0.5 * board_mm));
        assert!(!cautioned(board_mm) && !cautioned(1.5 * board_mm));
    }
}

// Common practice, no source: shape at 80, blend at 120, then 320 to 600.
#[test]
fn grades_rise_from_80_over_120_to_320_and_no_further_than_600() {
    for_shops(60, |_, plan, _| {
        let mut grades: Vec<u32> = plan
            .stages
            .iter()
            .map(|stage| {
                stage
                    .grade
                    .name
                    .trim_start_matches('P')
                    .parse()
                    .expect("a P grade")
            })
            .collect();
        assert!(grades.is_sorted(), "{grades:?}");
        grades.dedup();
        assert_eq!(grades[..3], [80, 120, 320]);
        assert!(
            grades[3..].iter().all(|grade| (321..=600).contains(grade)),
            "{grades:?}"
        );
    });
}

// Common practice, no source: 320 and finer no longer move the radius.
#[test]
fn fine_grades_lower_the_board_evenly_and_by_little() {
    for_shops(60, |instrument, plan, _| {
        let shaped: f64 = plan
            .stages
            .iter()
            .filter(|stage| stage.grade.name == "P80")
            .map(|stage| stage.removed_mm3)
            .sum();
        for stage in plan
            .stages
            .iter()
            .filter(|stage| ["P320", "P400", "P600"].contains(&stage.grade.name))
        {
            let even = stage.before.offset_mm - stage.after.offset_mm;
            for (x, y) in common::points(instrument, 12, 6, &[]) {
                assert!((stage.depth_mm(instrument, x, y) - even).abs() < 1e-9);
            }
            // What a grade finds after P120 is 3 of its grains: under half a millimetre.
            assert!(even < 0.5, "{even}");
        }
        let last = plan.stages.last().expect("there are stages");
        assert!(
            last.removed_mm3 < shaped,
            "{} of {shaped}",
            last.removed_mm3
        );
    });
}

// Common practice, no source: a plane chips what is glued on, let in, or cut.
#[test]
fn no_plane_on_a_bound_inlaid_or_slotted_board() {
    for seed in 0..40 {
        let (board, kit) = shop(seed);
        let cautioned = |change: &dyn Fn(&mut Commission)| {
            let mut board = board.clone();
            change(&mut board);
            let plan = plan(&read(&board), &read_the_kit(&kit));
            plan.cautions
                .iter()
                .any(|caution| caution.code == "no_plane")
        };
        assert!(!cautioned(&|_| {}));
        assert!(cautioned(&|board| board.blank.binding = Some((1.5, 0.0))));
        assert!(cautioned(&|board| board.blank.inlaid = true));
        assert!(cautioned(&|board| board.blank.slotted = true));
    }
}

// The maker's finished surface is approached from above: every stage before the last leaves the
// crown over it by at least three grains of its own grade (a rule of thumb, common practice).
#[test]
fn a_grade_leaves_three_of_its_grains_for_the_next() {
    for_shops(60, |_, plan, _| {
        for pair in plan
            .stages
            .windows(2)
            .filter(|pair| pair[0].grade.name != pair[1].grade.name)
        {
            let grains = 3.0 * pair[0].grade.diameter_um.value / 1000.0;
            let found = pair[0].after.offset_mm - pair[1].after.offset_mm;
            assert!(found >= grains - 1e-12, "{found} of {grains}");
        }
    });
}
