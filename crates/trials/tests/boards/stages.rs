//! What single stages say of themselves on random boards: the volume they take off, the chalk
//! they leave, where and how much is left after them.

use crate::common;
use crate::common::{drop_mm, midpoint_volume, plan, points, read_the_kit, try_read, zone_ends};
use bench::touch::{MOMENTS, TouchMap};
use bench::{BenchPlan, Work};
use instrument::Instrument;
use trials::drawn;

/// How near the midpoint rule must come to a volume, relative to the whole. Its own error
/// falls with the square of the step, and the grids are chosen so that it is well under this.
const VOLUME_NEAR: f64 = 1e-4;

fn for_plans(seeds: std::ops::Range<u64>, look: impl Fn(u64, &Instrument, &BenchPlan)) {
    let mut planned = 0;
    for seed in seeds {
        let (board, kit) = drawn(seed);
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        let plan = plan(&instrument, &read_the_kit(&kit));
        planned += usize::from(!plan.stages.is_empty());
        look(seed, &instrument, &plan);
    }
    assert!(planned > 40, "{planned} plans have stages");
}

/// Depth of the arch that the blocks of the first `count` stages have cut at a point, mm.
fn arch_of_blocks(plan: &BenchPlan, count: usize, x: f64, y: f64) -> f64 {
    let mut deepest = 0.0f64;
    for stage in &plan.stages[..count] {
        let Work::Block(block) = &stage.work else {
            continue;
        };
        let zones = plan.zones.iter().filter(|zone| zone.block == *block);
        let mut spans = zones.flat_map(|zone| &zone.spans);
        if spans.any(|span| span.from_mm <= x && x <= span.to_mm) {
            deepest = deepest.max(drop_mm(block.radius.mm(), y));
        }
    }
    deepest
}

#[test]
fn blocks_take_off_what_their_faces_cut() {
    for_plans(0..80, |seed, instrument, plan| {
        let ends = zone_ends(plan);
        let blocks = plan.stages.iter().take_while(|stage| !stage.lowers_crown());
        let count = blocks
            .take_while(|stage| matches!(stage.work, Work::Block(_)))
            .count();
        for index in 0..count {
            let depth =
                |x, y| arch_of_blocks(plan, index + 1, x, y) - arch_of_blocks(plan, index, x, y);
            let volume = midpoint_volume(instrument, &ends, 100, 400, depth);
            let said = plan.stages[index].removed_mm3;
            // The rule's error is that of the whole arch, of which a stage is a difference.
            let arch = |x, y| arch_of_blocks(plan, index + 1, x, y);
            let whole = midpoint_volume(instrument, &ends, 100, 400, arch);
            assert!(
                (said - volume).abs() <= VOLUME_NEAR * whole + 1e-9,
                "seed {seed}, stage {index}: said {said}, summed {volume}"
            );
        }
    });
}

#[test]
fn the_most_that_is_left_is_nowhere_passed() {
    for_plans(0..600, |seed, instrument, plan| {
        let points = points(instrument, 40, 8, &zone_ends(plan));
        for stage in &plan.stages {
            let over = |&(x, y): &(f64, f64)| {
                stage.after.height_mm(instrument, x, y) - stage.after.offset_mm
            };
            let most = points.iter().map(over).fold(0.0, f64::max);
            let said = stage.left_max_mm;
            assert!(
                said >= most - 1e-9,
                "seed {seed}, {}: {said}, sampled {most}",
                stage.key
            );
        }
    });
}

#[test]
fn the_thinnest_edge_is_nowhere_passed() {
    for_plans(0..600, |seed, instrument, plan| {
        let ((from, to), ends) = (instrument.outline.reach(), zone_ends(plan));
        let grid = (0..=400).map(|index| from + (to - from) * f64::from(index) / 400.0);
        let beside = ends
            .iter()
            .flat_map(|at| [at - common::BESIDE_MM, at + common::BESIDE_MM]);
        let xs: Vec<f64> = grid
            .chain(beside)
            .filter(|x| (from..=to).contains(x))
            .collect();
        for stage in &plan.stages {
            let (said, at) = stage.edge_after_mm;
            let there = thinner_edge(instrument, &stage.after, at);
            assert!(
                (said - there).abs() < 1e-9,
                "seed {seed}: {said} and {there}"
            );
            for x in &xs {
                let edge = thinner_edge(instrument, &stage.after, *x);
                assert!(
                    edge >= said - 1e-9,
                    "seed {seed}, {}: {said}, {edge} at {x}",
                    stage.key
                );
            }
        }
    });
}

/// The thinner edge at a place along the board, by the wood's own height there; a side that has
/// no edge at that place, on a skewed end, does not count.
fn thinner_edge(instrument: &Instrument, standing: &bench::Standing, x: f64) -> f64 {
    let corners = instrument.outline.corners();
    let ledge = instrument
        .wood
        .binding
        .map_or(0.0, |binding| binding.ledge_mm);
    let sides = [
        (instrument.outline.treble.at(x), corners[0].0, corners[1].0),
        (-instrument.outline.bass.at(x), corners[3].0, corners[2].0),
    ];
    sides
        .iter()
        .filter(|(_, from, to)| (from - 1e-9..=to + 1e-9).contains(&x))
        .map(|(y, _, _)| {
            instrument.wood.crown_thickness_mm
                + instrument.camber.height(x, *y)
                + standing.height_mm(instrument, x, *y)
                - ledge
        })
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn chalk_goes_from_the_deepest_place_and_never_comes_back() {
    for_plans(0..200, |seed, instrument, plan| {
        for stage in &plan.stages {
            let map = TouchMap::of(instrument, stage, 31, 9);
            let deepest = map.depth_mm.iter().copied().fold(0.0, f64::max);
            let heights = map.tool_height_mm;
            assert!(
                (heights[0] - deepest).abs() < 1e-12,
                "seed {seed}, {}: {heights:?}",
                stage.key
            );
            assert!(
                heights
                    .windows(2)
                    .all(|pair| pair[1] <= pair[0] && pair[1] >= 0.0)
            );
            for sample in 0..map.points.len() {
                let (x, y) = map.points[sample];
                let depth = stage.depth_mm(instrument, x, y).max(0.0);
                assert!((map.depth_mm[sample] - depth).abs() < 1e-12);
                for moment in 0..MOMENTS.len() {
                    let gone = map.chalk_gone(sample, moment);
                    assert!(
                        !gone || depth > 0.0,
                        "seed {seed}: chalk went where nothing is cut"
                    );
                    assert!(moment == 0 || gone || !map.chalk_gone(sample, moment - 1));
                    let to_go = map.still_to_go_mm(sample, moment);
                    assert!(to_go >= 0.0 && to_go <= depth + 1e-12);
                }
            }
        }
    });
}

#[test]
fn what_stands_after_a_stage_is_the_sum_of_its_heights() {
    for_plans(0..60, |seed, instrument, plan| {
        let ends = zone_ends(plan);
        let whole = |height: &dyn Fn(f64, f64) -> f64| {
            // The rule's error falls with the square of the step: two grids tell it.
            let coarse = midpoint_volume(instrument, &ends, 30, 120, height);
            let fine = midpoint_volume(instrument, &ends, 60, 240, height);
            fine + (fine - coarse) / 3.0
        };
        // Grades after the shaping stages differ by even layers only.
        let shaping = plan.stages.iter().take_while(|stage| !stage.lowers_crown());
        for stage in shaping {
            let volume = whole(&|x, y| stage.after.height_mm(instrument, x, y));
            let said = stage.after.volume_mm3(instrument);
            let near = VOLUME_NEAR * plan.stages[0].before.volume_mm3(instrument);
            assert!(
                (said - volume).abs() <= near,
                "seed {seed}, {}: said {said}, summed {volume}",
                stage.key
            );
            // Left is what stands over the camber at the stage's own crown, a fall to be made
            // included.
            let offset = stage.after.offset_mm;
            let left = whole(&|x, y| stage.after.height_mm(instrument, x, y) - offset);
            let said = stage.left_mm3;
            assert!(
                (said - left).abs() <= VOLUME_NEAR * left + 1e-6,
                "seed {seed}, {}: left {said}, summed {left}",
                stage.key
            );
        }
    });
}
