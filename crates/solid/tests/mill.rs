//! Programs of the demo boards with the demo kit.

use bench::Kit;
use bench::machine::CutterShape;
use instrument::Instrument;
use instrument::cutting::Clamp;
use solid::mill::{Cause, Mill, Operation, Program, mill, read_program};

fn read(text: &str) -> Instrument {
    let none = |_: &str| Err("no files".to_owned());
    instrument::read_commission(text, &none).expect("the demo is sound")
}

fn kit() -> Kit {
    bench::read_kit(include_str!("../../../demo/north-bench.toml")).expect("the demo is sound")
}

const DEMOS: [&str; 4] = [
    include_str!("../../../demo/heron.toml"),
    include_str!("../../../demo/sandpiper.toml"),
    include_str!("../../../demo/bittern.toml"),
    include_str!("../../../demo/avocet.toml"),
];

/// Heron with three dots of another diameter.
fn dotted(diameter_mm: f64) -> Instrument {
    let text = DEMOS[0];
    let table = text.find("[dots]").expect("the demo has dots");
    let after = table + text[table..].find("[wish]").expect("a table follows");
    let dots = format!("[dots]\nfrets = [3, 5, 7]\ndiameter = {diameter_mm}\n");
    read(&format!("{}{dots}{}", &text[..table], &text[after..]))
}

fn told(mill: &Mill) -> String {
    let lines = mill.refusals.iter().map(|refusal| format!("{refusal}\n"));
    lines.collect()
}

fn done(mill: &Mill) -> Vec<Operation> {
    mill.programs
        .iter()
        .map(|program| program.operation)
        .collect()
}

fn program(mill: &Mill, operation: Operation) -> &Program {
    let mut programs = mill.programs.iter();
    let found = programs.find(|program| program.operation == operation);
    found.unwrap_or_else(|| panic!("{operation:?} is written: {}", told(mill)))
}

/// The only cause against an operation.
fn cause(mill: &Mill, operation: Operation) -> &Cause {
    let mut against = mill
        .refusals
        .iter()
        .filter(|refusal| refusal.operation == operation);
    let first = against
        .next()
        .unwrap_or_else(|| panic!("{operation:?} is refused"));
    assert_eq!(against.next(), None);
    &first.cause
}

#[test]
fn every_demo_board_is_cut_and_proved() {
    for text in DEMOS {
        let board = read(text);
        let mill = mill(&board, &kit());
        assert!(mill.refusals.is_empty(), "{}: {}", board.title, told(&mill));
        let mut asked = Operation::ALL.to_vec();
        // A board without dots has no program for them.
        asked.retain(|operation| *operation != Operation::Dots || !board.dots.is_empty());
        assert_eq!(done(&mill), asked);
        for program in &mill.programs {
            let proof = &program.proof;
            assert!(proof.places > 50_000 && proof.gouge_um <= 1.0);
            // A flat end stands on its rim where a floor follows the camber.
            assert!(proof.floor_left_um.unwrap_or(0.0) < 40.0);
        }
        let scallop = program(&mill, Operation::Finish).proof.scallop_um;
        let scallop = scallop.expect("a finish has one");
        // The step uses what was granted: no pass is wasted.
        let asked = 1e3 * board.cutting.scallop_mm;
        assert!((0.9 * asked..=asked).contains(&scallop), "{scallop}");
    }
}

#[test]
fn the_text_read_back_is_the_way_that_was_proved() {
    let boards = DEMOS
        .map(read)
        .into_iter()
        .chain([dotted(6.0), dotted(9.0)]);
    for board in boards {
        for program in mill(&board, &kit()).programs {
            let text = program.text();
            let path = read_program(&text, None).expect("our own words");
            assert_eq!(path, program.path, "{} {}", board.title, program.name);
            assert!(text.is_ascii() && text.lines().all(|line| line.len() <= 256));
            assert_eq!(text, program.text());
        }
    }
}

#[test]
fn roughing_leaves_the_allowance_and_finishing_the_scallop() {
    let board = read(DEMOS[0]);
    let mill = mill(&board, &kit());
    let over = |operation| program(&mill, operation).proof.left.over_um.clone();
    let least = |heights: &[f32]| heights.iter().copied().fold(f32::INFINITY, f32::min);
    let most = |heights: &[f32]| heights.iter().copied().fold(0.0, f32::max);
    let (rough, finish) = (over(Operation::Rough), over(Operation::Finish));
    assert!(least(&rough) >= 199.0 && most(&rough) < 1200.0);
    // The picture's outermost places lie on the edge itself.
    assert!(least(&finish) >= -0.5 && most(&finish) <= 10.0);
    let slots = least(&over(Operation::Slots));
    let deepest = board.fret_spec.slot_depth_mm(1.0) as f32;
    assert!(slots < -1000.0 && slots > -1000.0 * deepest, "{slots}");
}

#[test]
fn a_finer_scallop_takes_as_many_more_passes_as_its_root() {
    let mut board = read(DEMOS[0]);
    let kit = kit();
    let mut passes = |scallop_mm| {
        board.cutting.scallop_mm = scallop_mm;
        program(&mill(&board, &kit), Operation::Finish).passes as f64
    };
    // s = 2 sqrt(2 r h) for small h.
    let ratio = passes(0.01) / passes(0.04);
    assert!((ratio - 2.0).abs() < 0.08, "{ratio}");
}

#[test]
fn dots_are_drilled_or_wound_down() {
    for (diameter, shape) in [
        (6.0, CutterShape::Drill),
        (9.0, CutterShape::Flat),
        (5.0, CutterShape::Flat),
        (20.0, CutterShape::Flat),
    ] {
        let board = dotted(diameter);
        let mill = mill(&board, &kit());
        let dots = program(&mill, Operation::Dots);
        assert_eq!(dots.cutter.shape, shape, "{diameter} mm");
        assert!(
            dots.proof.floor_left_um.expect("it has floors") < 0.2,
            "{diameter} mm"
        );
    }
    let none = mill(&dotted(2.0), &kit());
    assert_eq!(none.refusals, []);
    let mut small = kit();
    small.cutters.retain(|cutter| cutter.diameter_mm > 1.0);
    let refused = mill(&dotted(2.0), &small);
    assert!(
        matches!(cause(&refused, Operation::Dots), Cause::DotTooSmall { dot_mm, owned } if *dot_mm == 2.0 && owned.len() == 3)
    );
}

#[test]
fn a_thick_blank_is_brought_down_level_by_level() {
    let mut board = read(DEMOS[0]);
    board.blank.thickness_mm = 15.0;
    let mill = mill(&board, &kit());
    let rough = program(&mill, Operation::Rough);
    // From 15 mm to the edges' 6 - 0.99 + 0.2 and the cutter's rim, at most 2 mm at a time.
    assert_eq!(rough.passes, 5);
    assert_eq!(mill.refusals, []);
}

#[test]
fn a_shop_without_a_ball_cuts_the_outline_all_the_same() {
    let mut kit = kit();
    kit.cutters
        .retain(|cutter| cutter.shape != CutterShape::Ball);
    let mill = mill(&read(DEMOS[0]), &kit);
    assert_eq!(done(&mill), [Operation::Rough, Operation::Outline]);
    assert_eq!(
        *cause(&mill, Operation::Finish),
        Cause::NoCutter {
            shape: CutterShape::Ball
        }
    );
    assert_eq!(
        *cause(&mill, Operation::Slots),
        Cause::Without {
            before: Operation::Finish
        }
    );
}

#[test]
fn slots_narrower_than_every_cutter_are_refused_and_the_rest_is_cut() {
    let mut kit = kit();
    kit.cutters.retain(|cutter| cutter.diameter_mm > 1.0);
    let mill = mill(&read(DEMOS[2]), &kit);
    assert_eq!(
        done(&mill),
        [
            Operation::Rough,
            Operation::Finish,
            Operation::Dots,
            Operation::Outline
        ]
    );
    assert_eq!(
        told(&mill),
        "fret slots: slots of 0.50 mm are narrower than every flat cutter of the kit: flat 6 (6.00 mm), \
         flat 3 (3.00 mm); a flat cutter of at most 0.50 mm, wider slots, or saw them by hand\n"
    );
}

#[test]
fn every_fault_of_a_cutter_is_told_at_once() {
    let mut kit = kit();
    let ball = &mut kit.cutters[0];
    (ball.feed_mm_per_min, ball.rpm, ball.reach_mm) = (3600.0, 30_000.0, 1.0);
    ball.chip_mm = (0.01, 0.05);
    let mill = mill(&read(DEMOS[0]), &kit);
    let causes: Vec<&Cause> = mill
        .refusals
        .iter()
        .filter(|refusal| refusal.operation == Operation::Finish)
        .map(|refusal| &refusal.cause)
        .collect();
    let [
        Cause::FeedTooFast { .. },
        Cause::Turning { .. },
        Cause::Chip { chip_mm, .. },
        Cause::ReachTooShort { depth_mm, .. },
    ] = causes[..]
    else {
        panic!("{}", told(&mill));
    };
    assert!((chip_mm - 3600.0 / 60_000.0).abs() < 1e-12);
    // 7.4 mm of blank down to the lowest edge, 6 - 0.9903133 (method, section 4) and a little
    // less at the board's end.
    assert!((depth_mm - 2.391).abs() < 0.003, "{depth_mm}");
}

/// Worked figure, from memory: 1200 mm/min, 18000 turns, 2 flutes is 0.0333 mm.
#[test]
fn the_chip_is_stated_in_the_program() {
    let mut kit = kit();
    let ball = &mut kit.cutters[0];
    (ball.feed_mm_per_min, ball.rpm) = (1200.0, 18_000.0);
    let mill = mill(&read(DEMOS[0]), &kit);
    let text = program(&mill, Operation::Finish).text();
    assert!(text.contains("chip 0.0333 mm a flute"), "{text}");
}

#[test]
fn a_clamp_in_the_way_is_told_with_how_far_it_must_move() {
    let mut board = read(DEMOS[0]);
    board.cutting.clamps = vec![Clamp {
        from: (200.0, 27.0),
        to: (230.0, 60.0),
        height_mm: 20.0,
    }];
    let refused = mill(&board, &kit());
    assert_eq!(refused.programs, []);
    let Cause::Clamp {
        clamp: 1,
        at,
        by_mm,
        toward: "+y",
    } = *cause(&refused, Operation::Outline)
    else {
        panic!("{}", told(&refused));
    };
    assert!(at[1] > 20.0 && by_mm < 15.0, "{at:?} {by_mm}");
    // The rough program reaches furthest.
    let furthest = |refusal: &solid::mill::Refusal| match refusal.cause {
        Cause::Clamp { by_mm, .. } => by_mm,
        _ => 0.0,
    };
    let by_mm = refused.refusals.iter().map(furthest).fold(0.0, f64::max);
    board.cutting.clamps[0].from.1 += by_mm + 1e-6;
    board.cutting.clamps[0].to.1 += by_mm + 1e-6;
    let moved = mill(&board, &kit());
    assert_eq!(moved.refusals, [], "{}", told(&moved));
}

#[test]
fn thin_blanks_and_endless_passes_are_refused() {
    let mut board = read(DEMOS[0]);
    board.blank.thickness_mm = 5.5;
    let thin = mill(&board, &kit());
    assert_eq!(thin.programs, []);
    assert!(matches!(
        cause(&thin, Operation::Outline),
        Cause::ThinBlank { .. }
    ));
    let mut board = read(DEMOS[0]);
    board.cutting.scallop_mm = 1e-7;
    let fine = mill(&board, &kit());
    assert!(matches!(
        cause(&fine, Operation::Finish),
        Cause::TooManyPasses { most: 20_000, .. }
    ));
}

#[test]
fn a_blank_no_larger_than_the_board_is_cut_and_the_overrun_told() {
    let mut board = read(DEMOS[0]);
    let (from, to) = board.outline.reach();
    (board.blank.from_x_mm, board.blank.length_mm) = (from, to - from);
    let mill = mill(&board, &kit());
    assert_eq!(mill.refusals, [], "{}", told(&mill));
    let text = program(&mill, Operation::Finish).text();
    // The ball's radius and 1 mm, and the ball itself.
    assert!(text.contains("7.00 mm past the blank's ends"), "{text}");
}

#[test]
fn programs_carry_cautions_set_up_and_limits() {
    let mill = mill(&read(DEMOS[2]), &kit());
    for program in &mill.programs {
        let text = program.text();
        for word in [
            "CAUTION",
            "Local codes",
            "Guards",
            "dust",
            "Never leave",
            "G54",
            "Touch off",
            "Blank:",
            "Cutter:",
            "turns a minute",
            "minutes",
            "Proof at",
        ] {
            assert!(text.contains(word), "{}: {word}", program.name);
        }
        assert!(text.ends_with("M5\nM30\n"));
    }
    assert!(
        program(&mill, Operation::Outline)
            .text()
            .contains("6 tabs of 6.00 mm")
    );
}
