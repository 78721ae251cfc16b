//! What blocks leave: the greatest height, the volume, and what one block more does to them.

use crate::common;
use crate::common::{
    BESIDE_MM, drop_mm, midpoint_volume, plan, points, read_the_kit, tightest_mm, try_read,
    zone_ends,
};
use bench::BenchPlan;
use instrument::Instrument;
use trials::{
    BlockLine, Camber, Chance, Commission, KitText, drawn, flattening_board, kit_for, planted_kit,
};

/// How near dense sampling must come to the greatest height, mm.
const REACHED_MM: f64 = 1e-6;
/// How near the midpoint rule must come to the volume, relative.
const VOLUME_NEAR: f64 = 1e-4;

/// Height over the camber after the blocks, worked out from zones and radii.
fn left_at(instrument: &Instrument, plan: &BenchPlan, x: f64, y: f64) -> f64 {
    drop_mm(instrument.camber.radius(x).mm(), y) - drop_mm(tightest_mm(plan, x), y)
}

/// Points along both edges and both ends, and on both sides of every zone's end.
fn along_the_rim(instrument: &Instrument, plan: &BenchPlan) -> Vec<(f64, f64)> {
    let corners = instrument.outline.corners();
    let (least, most) = instrument.outline.reach();
    let mut rim = Vec::new();
    for (from, to) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
        let (a, b): ((f64, f64), (f64, f64)) = (corners[from], corners[to]);
        rim.extend((0..=2000).map(|index| {
            let share = f64::from(index) / 2000.0;
            // Rounding must not carry a corner off the board, where no zone is.
            let x = (a.0 + share * (b.0 - a.0)).clamp(least, most);
            (x, a.1 + share * (b.1 - a.1))
        }));
    }
    for end in zone_ends(plan).into_iter().chain(instrument.breaks()) {
        for x in [end - BESIDE_MM, end + BESIDE_MM] {
            if let Some((low, high)) = instrument.outline.span(x) {
                rim.extend([(x, low), (x, high)]);
            }
        }
    }
    rim
}

#[test]
fn the_greatest_height_is_nowhere_passed_and_somewhere_reached() {
    let mut looked_at = 0;
    for seed in 0..1200 {
        let (board, kit) = drawn(seed);
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        let plan = plan(&instrument, &read_the_kit(&kit));
        let mut sampled = points(&instrument, 40, 8, &zone_ends(&plan));
        sampled.extend(along_the_rim(&instrument, &plan));
        let over = |&(x, y): &(f64, f64)| left_at(&instrument, &plan, x, y);
        let (most, at) = sampled
            .iter()
            .map(|at| (over(at), *at))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .expect("there are samples");
        let said = plan.blocks_leave;
        // Points on skewed ends lie beside the edge by rounding only.
        assert!(
            said.max_mm >= most - 1e-9 && said.max_mm <= most + REACHED_MM,
            "seed {seed}: said {} at {:?}, sampled {most} at {at:?}\n{}\n{}",
            said.max_mm,
            said.at_mm,
            board.to_toml(),
            kit.to_toml()
        );
        looked_at += usize::from(most > 0.01);
    }
    assert!(looked_at > 500, "{looked_at} boards had something left");
}

#[test]
fn the_volume_is_met_by_the_midpoint_rule() {
    let mut looked_at = 0;
    for seed in 0..60 {
        let (board, kit) = drawn(seed);
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        let plan = plan(&instrument, &read_the_kit(&kit));
        let ends = zone_ends(&plan);
        let height = |x, y| left_at(&instrument, &plan, x, y);
        let volume = midpoint_volume(&instrument, &ends, 300, 200, height);
        let said = plan.blocks_leave.volume_mm3;
        assert!(
            (said - volume).abs() <= VOLUME_NEAR * volume + 1e-9,
            "seed {seed}: said {said}, summed {volume}\n{}\n{}",
            board.to_toml(),
            kit.to_toml()
        );
        looked_at += usize::from(volume > 1.0);
    }
    assert!(looked_at > 30, "{looked_at} boards had something left");
}

#[test]
fn the_wood_above_the_camber_is_met_by_the_midpoint_rule() {
    for seed in 0..60 {
        let (board, _) = drawn(seed);
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        let height = |x, y| -common::finished_mm(&instrument, (x, y));
        let volume = midpoint_volume(&instrument, &[], 300, 200, height);
        let said = play::sheet(&instrument, None).camber.removed_mm3;
        assert!(
            (said - volume).abs() <= VOLUME_NEAR * volume + 1e-9,
            "seed {seed}: said {said}, summed {volume}\n{}",
            board.to_toml()
        );
    }
}

/// Fails with the worst of the boards on which one block more leaves more wood.
fn never_more(draw: impl Fn(u64, &mut Chance) -> Option<(Commission, KitText, BlockLine)>) {
    let mut worst: Option<(f64, String)> = None;
    let (mut looked_at, mut faults) = (0, 0);
    for seed in 0..1500 {
        let Some((board, kit, block)) = draw(seed, &mut Chance::new(seed + 1_000_000)) else {
            continue;
        };
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        let before = plan(&instrument, &read_the_kit(&kit))
            .blocks_leave
            .volume_mm3;
        let after = plan(&instrument, &read_the_kit(&kit.with_block(block)))
            .blocks_leave
            .volume_mm3;
        looked_at += usize::from(after < before);
        let more = after - before;
        if more <= 1e-9 * before.max(1.0) {
            continue;
        }
        faults += 1;
        if worst.as_ref().is_none_or(|(most, _)| more > *most) {
            let texts = format!("{}\n{}", board.to_toml(), kit.to_toml());
            worst = Some((
                more,
                format!("seed {seed}: {before} mm³ and with {block:?} {after}\n{texts}"),
            ));
        }
    }
    assert!(
        worst.is_none(),
        "{faults} boards, the worst: {}",
        worst.map_or(String::new(), |w| w.1)
    );
    assert!(
        looked_at > 100,
        "one block more took more off on {looked_at} boards"
    );
}

#[test]
fn one_block_more_never_leaves_more() {
    never_more(|seed, chance| {
        let (board, kit) = drawn(seed);
        let other = kit_for(&board, chance).blocks.first().copied()?;
        Some((board, kit, other))
    });
}

#[test]
fn one_block_more_that_hardly_differs_never_leaves_more() {
    never_more(|seed, chance| {
        let (board, kit) = drawn(seed);
        let mut block = *kit.blocks.iter().find(|block| block.radius.is_some())?;
        block.radius = block
            .radius
            .map(|radius| radius * chance.between(0.997, 1.003));
        Some((board, kit, block))
    });
}

#[test]
fn one_block_more_of_a_radius_that_is_owned_never_leaves_more() {
    // A board that goes up and down and up: a radius may work in its middle and at its end.
    never_more(|seed, chance| {
        let (mut board, mut kit) = drawn(seed - seed % 2);
        board.frets = board.frets.max(12);
        board.fall_away = None;
        let (high, low) = (chance.between(360.0, 420.0), chance.between(200.0, 260.0));
        let third = board.frets / 3;
        let at = vec![
            (0, high),
            (third, low),
            (2 * third, high),
            (board.frets, low),
        ];
        board.camber = Camber::Stations(at);
        let radius = Some(chance.between(270.0, 350.0));
        let block = |length| BlockLine {
            radius,
            length,
            width: 70.0,
        };
        // A block of another radius would hide what is left: the kit has this one only, or none.
        kit.blocks = if seed.is_multiple_of(2) {
            vec![block(chance.between(40.0, 150.0))]
        } else {
            vec![]
        };
        Some((board, kit, block(chance.between(40.0, 400.0))))
    });
}

/// Checks every helpful block of a plan against a plan with that block in the kit; how many.
fn helpful_blocks_hold(board: &Commission, kit: &KitText) -> usize {
    let Some(instrument) = try_read(board) else {
        return 0;
    };
    let owned = plan(&instrument, &read_the_kit(kit));
    for helpful in &owned.helpful {
        let block = BlockLine {
            radius: Some(helpful.radius.mm()),
            length: 200.0,
            width: 70.0,
        };
        let with = plan(&instrument, &read_the_kit(&kit.with_block(block))).blocks_leave;
        assert!(
            (with.max_mm - helpful.left_max_mm).abs() < 1e-9
                && (with.volume_mm3 - helpful.left_mm3).abs() < 1e-9 * with.volume_mm3.max(1.0),
            "{helpful:?} and {with:?}\n{}\n{}",
            board.to_toml(),
            kit.to_toml()
        );
        assert!(helpful.left_mm3 < owned.blocks_leave.volume_mm3);
    }
    let volumes: Vec<f64> = owned.helpful.iter().map(|block| block.left_mm3).collect();
    assert!(volumes.is_sorted(), "most helpful first: {volumes:?}");
    owned.helpful.len()
}

#[test]
fn a_helpful_block_does_what_is_said_of_it() {
    let mut looked_at = 0;
    for seed in 0..60 {
        let mut chance = Chance::new(seed);
        let board = flattening_board(&mut chance);
        let count = chance.whole(0, 3);
        let kit = planted_kit(&board, count, &mut chance);
        looked_at += helpful_blocks_hold(&board, &kit);
    }
    assert!(looked_at > 150, "{looked_at} helpful blocks");
}

#[test]
fn a_helpful_block_does_so_on_any_board_too() {
    let mut looked_at = 0;
    for seed in 0..80 {
        let (board, kit) = drawn(seed);
        // Between stations a zone may be shorter than a block, so that its length matters; no
        // length is said of a block that is not owned.
        if !matches!(board.camber, Camber::Stations(_)) {
            looked_at += helpful_blocks_hold(&board, &kit);
        }
    }
    assert!(looked_at > 150, "{looked_at} helpful blocks");
}
