//! The jigs against closed forms, sampled surfaces and figures computed apart from the program.

use std::f64::consts::PI;

use instrument::camber::{Camber, Knot, Law, PastLastKnot};
use instrument::{Instrument, Radius, read_commission};

use super::*;

/// The cutter's end on the board's surface along a ruling: the brief of a jig, mm.
const ON_SURFACE_MM: f64 = 1e-3;

/// Rounding of lengths of some hundred millimetres, mm.
const ROUNDING_MM: f64 = 1e-9;

const HERON: &str = include_str!("../../../../demo/heron.toml");
const SANDPIPER: &str = include_str!("../../../../demo/sandpiper.toml");
const BITTERN: &str = include_str!("../../../../demo/bittern.toml");
const AVOCET: &str = include_str!("../../../../demo/avocet.toml");

fn read(text: &str) -> Instrument {
    read_commission(text, &|_| Err("no files here".to_owned())).unwrap()
}

fn demos() -> [Instrument; 4] {
    [HERON, SANDPIPER, BITTERN, AVOCET].map(read)
}

/// Heron with another law of camber.
fn heron_with(law: Law, radii: &[(f64, f64)]) -> Instrument {
    let mut heron = read(HERON);
    let knots = radii
        .iter()
        .map(|(x_mm, radius)| Knot {
            x_mm: *x_mm,
            radius: Radius::from_mm(*radius),
        })
        .collect();
    heron.camber = Camber::new(law, knots, PastLastKnot::RunsOn, None);
    heron
}

/// Angles of the arc, or distances on a flat board, from the bass to the treble stop.
fn between(instrument: &Instrument, stretch: &Stretch, half_cutter: f64) -> Vec<f64> {
    let stops = sled::leans(instrument, stretch, half_cutter).unwrap();
    (0..=40)
        .map(|place| -stops[1] + f64::from(place) / 40.0 * (stops[0] + stops[1]))
        .collect()
}

/// Along a stretch from end to end.
fn places(stretch: &Stretch) -> impl Iterator<Item = f64> {
    let (from, to) = (stretch.from_mm, stretch.to_mm);
    (0..=20).map(move |place| from + f64::from(place) / 20.0 * (to - from))
}

#[test]
fn a_cylinder_s_rails_are_circles_of_radius_and_cutter_together() {
    let carriage = Carriage::default();
    for radius in [100.0, 184.15, 254.0, 406.4, 5000.0] {
        let board = heron_with(Law::Single, &[(0.0, radius)]);
        let found = jigs(&board, carriage);
        assert_eq!(found.settings.len(), 1);
        let sled = found.settings[0].sled.as_ref().unwrap();
        for rail in &sled.rails {
            // A closed form: the parallel of a circle is a circle.
            assert!((rail.circle_radius_mm / (radius + carriage.below_mm) - 1.0).abs() < 1e-9);
            assert!(rail.departure_mm < ROUNDING_MM);
            let centre = 6.0 + carriage.bed_mm - radius;
            for (y, height) in &rail.profile_mm {
                let out = y.hypot(height - centre);
                assert!((out - radius - carriage.below_mm).abs() < ROUNDING_MM);
            }
            // Bed, board and cutter, one over the other.
            assert!((rail.crown_height_mm - (20.0 + 6.0 + 20.0)).abs() < ROUNDING_MM);
        }
        let arm = found.settings[0].arm.unwrap();
        assert!(arm.axis_tilt.abs() < 1e-12);
        assert!(arm.departure.below_mm < ROUNDING_MM && arm.departure.over_mm < ROUNDING_MM);
        for pivot in arm.pivots {
            assert!((pivot.to_surface_mm - radius).abs() < ROUNDING_MM);
            assert!((pivot.to_plate_mm - radius - 20.0).abs() < ROUNDING_MM);
            assert!((pivot.height_mm - (26.0 - radius)).abs() < ROUNDING_MM);
        }
        // The stop: half the board at its wide end and half a cutter on the arch.
        let wide = board.outline.half_width(board.end_x_mm());
        let stop = ((wide + 6.35) / radius).asin();
        assert!((sled.swing[0] - stop).abs() < 1e-12 && (arm.swing[0] - stop).abs() < 1e-9);
    }
}

#[test]
fn the_plate_lies_so_far_over_the_surface_along_its_normal() {
    let carriage = Carriage::default();
    for board in demos() {
        for stretch in stretches(&board) {
            for across in between(&board, &stretch, 6.35) {
                let line = stretch.ruling(across);
                for x in places(&stretch) {
                    let foot = line.at(x);
                    let normal = line.normal;
                    // The line lies in the surface.
                    assert!((stretch.height(x, foot[1]) - foot[2]).abs() < ROUNDING_MM);
                    // The normal is square to the surface, whose slopes are taken by differences.
                    let step = 1e-4;
                    let slope = |ahead: f64, aside: f64| {
                        let height = |sign: f64| {
                            stretch.height(x + sign * ahead * step, foot[1] + sign * aside * step)
                        };
                        (height(1.0) - height(-1.0)) / (2.0 * step)
                    };
                    let (ahead, aside) = (slope(1.0, 0.0), slope(0.0, 1.0));
                    let length = (1.0 + ahead * ahead + aside * aside).sqrt();
                    assert!((normal[0] + ahead / length).abs() < 1e-8);
                    assert!((normal[1] + aside / length).abs() < 1e-8);
                    assert!((normal[2] - 1.0 / length).abs() < 1e-8);
                    // And the plate's line through the plane at x is d from the surface's own.
                    let (y, z) = line.over(x, carriage.below_mm);
                    let away = [0.0, y - foot[1], z - foot[2]];
                    let over: f64 = (0..3).map(|axis| away[axis] * normal[axis]).sum();
                    assert!((over - carriage.below_mm).abs() < ROUNDING_MM);
                }
            }
        }
    }
}

#[test]
fn a_flat_plate_on_both_rails_touches_them_and_brings_the_cutter_onto_the_surface() {
    for board in demos() {
        for setting in jigs(&board, Carriage::default()).settings {
            let Ok(sled) = &setting.sled else { continue };
            plate_on_rails(&board, &setting.stretch, sled);
        }
    }
}

/// Lays a plate, known only by its lean across, on the two drawn profiles, and looks where the
/// cutter's end comes.
fn plate_on_rails(board: &Instrument, stretch: &Stretch, sled: &Sled) {
    let (bed, below) = (20.0, 20.0);
    let floor = -board.wood.crown_thickness_mm - bed;
    for across in between(board, stretch, 6.35) {
        let line = stretch.ruling(across);
        // In each rail's plane the plate is a straight line square to (sin θ, cos θ): it comes down
        // until it touches the profile's highest point in that direction.
        let support = |rail: &Rail| {
            let reach =
                |(y, height): &(f64, f64)| y * across.sin() + (height + floor) * across.cos();
            rail.profile_mm.iter().map(reach).fold(f64::MIN, f64::max)
        };
        let [near, far] = [support(&sled.rails[0]), support(&sled.rails[1])];
        let (from, to) = (sled.rails[0].x_mm, sled.rails[1].x_mm);
        for x in places(stretch) {
            // The plate's plane: y sin θ + z cos θ = h(x), h straight between the rails.
            let slope = (far - near) / (to - from);
            let plate = near + slope * (x - from);
            let [_, y, z] = line.at(x);
            let over = (plate - y * across.sin() - z * across.cos()) / 1f64.hypot(slope);
            // The profile is drawn through points of it, so that a plate touching between two of
            // them comes lower by the sagitta of their chord, never higher.
            let too_high = over - below;
            assert!(
                too_high.abs() < ON_SURFACE_MM && too_high < ROUNDING_MM,
                "{across} at {x}: {too_high}"
            );
        }
    }
}

#[test]
fn a_profile_s_tangent_leans_as_the_plate_does() {
    for board in demos() {
        for stretch in stretches(&board).iter().filter(|one| !one.is_flat()) {
            for x in [stretch.from_mm - 30.0, stretch.to_mm + 30.0] {
                if stretch.radius(x) <= 0.0 {
                    continue;
                }
                for across in [-0.15, -0.05, 0.0, 0.1] {
                    let touch = |angle: f64| stretch.ruling(angle).over(x, 20.0);
                    let (low, high) = (touch(across - 1e-5), touch(across + 1e-5));
                    let lean = (low.1 - high.1).atan2(high.0 - low.0);
                    assert!((lean - across).abs() < 1e-7, "{lean} at {across}");
                }
            }
        }
    }
}

#[test]
fn heron_s_figures_are_those_of_another_computation() {
    // Computed with 30 digits in Python (mpmath), apart from this project: the rail's profile as the
    // parallel surface of the arch, its normals from the slopes of z(x, y), solved for in the
    // rail's plane; the circle by least squares; the arm's cone by its angle at the apex.
    let board = read(HERON);
    let found = jigs(&board, Carriage::default());
    let [setting] = found.settings.as_slice() else {
        panic!("{} settings", found.settings.len());
    };
    let sled = setting.sled.as_ref().unwrap();
    let arm = setting.arm.unwrap();
    let facets = setting.facets.unwrap();
    let check = |name: &str, figure: f64, expected: f64| {
        assert!(
            (figure - expected).abs() < 5e-7 * expected.abs().max(1.0),
            "{name}: {figure}, not {expected}"
        );
    };
    let expected = [
        (
            -40.0,
            246.002_775_051,
            43.015_872_148,
            28.290_689_656,
            44.367_817_760,
        ),
        (
            504.809_149_831,
            436.822_487_967,
            41.838_031_518,
            50.235_277_151,
            43.101_803_690,
        ),
    ];
    for (rail, (x, radius, least, stop, at)) in sled.rails.iter().zip(expected) {
        check("place", rail.x_mm, x);
        check("radius", rail.circle_radius_mm, radius);
        check("lower end", rail.least_height_mm, least);
        check("stop", rail.stops_mm[0].0, stop);
        check("height at the stop", rail.stops_mm[0].1, at);
        check("crown", rail.crown_height_mm, 46.0);
    }
    assert!((sled.rails[0].departure_mm - 3.870_74e-5).abs() < 2e-8);
    assert!((sled.rails[1].departure_mm - 2.388_38e-5).abs() < 2e-8);
    check("swing", sled.swing[0].to_degrees(), 6.603_625_049);
    check(
        "to the edge",
        sled.edge_swing[1].to_degrees(),
        5.079_715_793,
    );
    check("nut arm", arm.pivots[0].to_surface_mm, 225.989_772_748);
    check("end arm", arm.pivots[1].to_surface_mm, 416.812_272_703);
    check("tilt", arm.axis_tilt.to_degrees(), 19.303_095_922);
    check("arm's swing", arm.swing[0].to_degrees(), 6.993_186_196);
    assert!((arm.departure.over_mm - 0.000_227_870_777).abs() < ROUNDING_MM);
    check("step at the end", facets.step_mm[1], 8.027_805_473);
    check("step at the nut", facets.step_mm[0], 4.783_176_589);
    check("ridge at the nut", facets.ridge_mm[0], 0.011_916_523);
    assert_eq!(facets.passes, 10);
}

#[test]
fn a_flat_cutter_on_a_ruling_never_cuts_below_the_arch() {
    for board in demos() {
        for stretch in stretches(&board) {
            for across in between(&board, &stretch, 6.35) {
                let line = stretch.ruling(across);
                for x in places(&stretch) {
                    for turn in 0..24 {
                        let turn = f64::from(turn) * PI / 12.0;
                        for reach in [0.5, 3.0, 6.35, 20.0] {
                            let [at, y, z] = line.beside(x, reach * turn.cos(), reach * turn.sin());
                            assert!(z >= stretch.height(at, y) - ROUNDING_MM);
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn ridges_between_facets_are_as_high_as_stated() {
    for board in demos() {
        for stretch in stretches(&board).iter().filter(|one| !one.is_flat()) {
            for asked in [0.002, 0.02, 0.1] {
                let found = facets(&board, Carriage::default(), stretch, asked).unwrap();
                assert!(
                    found
                        .ridge_mm
                        .iter()
                        .all(|ridge| *ridge <= asked * (1.0 + 1e-9))
                );
                for (end, x) in [stretch.from_mm, stretch.to_mm].into_iter().enumerate() {
                    // Two tangents meet over the arch's middle: computed from where they cross.
                    let radius = stretch.radius(x);
                    let meet = radius / (0.5 * found.step_angle).cos() - radius;
                    assert!((found.ridge_mm[end] - meet).abs() < 1e-9);
                    // The handbook's sagitta of a facet (w²/(8R)), which leaves out terms of a
                    // share φ² of it.
                    let sagitta = found.step_mm[end].powi(2) / (8.0 * radius);
                    assert!((meet / sagitta - 1.0).abs() < found.step_angle.powi(2));
                    assert!(found.step_mm[end] <= 0.9 * 12.7 + ROUNDING_MM);
                }
            }
        }
    }
}

#[test]
fn finer_ridges_ask_for_more_passes() {
    let board = read(HERON);
    let stretch = stretches(&board)[0];
    let passes = |ridge| {
        facets(&board, Carriage::default(), &stretch, ridge)
            .unwrap()
            .passes
    };
    // Half the step for a quarter of the ridge: 28.25/400 · 2 / sqrt(8 · 0.02 / 400) is 7.2 steps.
    assert!(passes(0.005) > passes(0.02) && passes(0.02) >= 8);
}

#[test]
fn an_arm_s_cone_departs_as_its_conic_section_does() {
    for board in demos() {
        for setting in jigs(&board, Carriage::default()).settings {
            let Ok(arm) = setting.arm else { continue };
            let (over, below) = conic_departure(&board, &setting.stretch);
            assert!((arm.departure.over_mm - over).abs() < ROUNDING_MM);
            assert!((arm.departure.below_mm - below).abs() < ROUNDING_MM);
            // A thousandth of a millimetre is nothing at the bench.
            assert!(over.max(below) < 1e-3, "{}: {over} {below}", board.title);
        }
    }
    // The rule m² d²/(2R) at Heron's nut: 0.350256² · 0.942606² / 480 = 0.000227 mm.
    let heron = read(HERON);
    let arm = swing_arm(&heron, Carriage::default(), &stretches(&heron)[0]).unwrap();
    assert!((arm.departure.over_mm - 0.000_227).abs() < 2e-6);
    assert!(arm.departure.below_mm < ROUNDING_MM);
}

/// The departure from the closed form of the section: with s the axis's slope, g the fall's,
/// k = R'/(1 + s g), a drop t of the arm's cone obeys
/// `y² (1 + s²) = 2 R t (1 + k s) - t² (1 - k² s²)`.
fn conic_departure(board: &Instrument, stretch: &Stretch) -> (f64, f64) {
    let s = stretch.radius_slope + stretch.fall_slope;
    let k = stretch.radius_slope / (1.0 + s * stretch.fall_slope);
    let (mut over, mut below) = (0.0f64, 0.0f64);
    for place in 0..=32 {
        let x = stretch.from_mm + f64::from(place) / 32.0 * (stretch.to_mm - stretch.from_mm);
        let Some((low, high)) = board.outline.span(x) else {
            continue;
        };
        for across in 0..=16 {
            let y = low + f64::from(across) / 16.0 * (high - low);
            let (a, b) = (1.0 - (k * s).powi(2), stretch.radius(x) * (1.0 + k * s));
            let c = y * y * (1.0 + s * s);
            let drop = c / (b + (b * b - a * c).sqrt());
            let wanted = instrument::arc::drop(Radius::from_mm(stretch.radius(x)), y);
            over = over.max(wanted - drop);
            below = below.max(drop - wanted);
        }
    }
    (over, below)
}

#[test]
fn boards_of_several_cones_have_a_setting_for_each() {
    let counts = demos().map(|board| jigs(&board, Carriage::default()).settings.len());
    // Heron and Bittern are one cone, Sandpiper has a fall, Avocet a station.
    assert_eq!(counts, [1, 2, 1, 2]);
    let codes = |board: &Instrument| -> Vec<&str> {
        let notes = jigs(board, Carriage::default()).notes;
        notes.iter().map(|note| note.code).collect()
    };
    assert!(codes(&read(AVOCET)).contains(&"one_cone_each"));
    assert!(!codes(&read(HERON)).contains(&"one_cone_each"));
}

#[test]
fn a_cutter_keeps_off_a_hollow_joint_and_goes_onto_a_bent_down_one() {
    let avocet = jigs(&read(AVOCET), Carriage::default());
    let joint = avocet.settings[0].stretch.to_mm;
    // The radius grows faster past the station: the edges bend upward there.
    assert!(avocet.settings[0].digs_mm[1] > DIG_MM);
    assert!((avocet.settings[0].travel_mm.1 - (joint - 6.35)).abs() < ROUNDING_MM);
    assert!((avocet.settings[1].travel_mm.0 - (joint + 6.35)).abs() < ROUNDING_MM);
    let sandpiper = jigs(&read(SANDPIPER), Carriage::default());
    assert_eq!(sandpiper.settings[0].digs_mm, [0.0; 2]);
    assert_eq!(
        sandpiper.settings[0].travel_mm.1,
        sandpiper.settings[0].stretch.to_mm
    );
}

#[test]
fn a_flat_board_has_straight_rails_and_no_arm() {
    let flat = heron_with(Law::Single, &[(0.0, f64::INFINITY)]);
    let found = jigs(&flat, Carriage::default());
    let setting = &found.settings[0];
    let sled = setting.sled.as_ref().unwrap();
    for rail in &sled.rails {
        assert_eq!(rail.circle_radius_mm, f64::INFINITY);
        assert!(rail.departure_mm < 1e-12);
        assert!(
            rail.profile_mm
                .iter()
                .all(|(_, height)| (height - 46.0).abs() < 1e-12)
        );
    }
    assert_eq!(sled.swing, [0.0; 2]);
    assert_eq!(setting.arm, Err(JigFault::FlatBoard));
    let facets = setting.facets.unwrap();
    assert_eq!(facets.ridge_mm, [0.0; 2]);
    assert!(JigFault::FlatBoard.to_string().contains("straight rails"));
}

#[test]
fn what_cannot_be_built_is_refused_with_a_way_out() {
    let heron = read(HERON);
    let usual = Carriage::default();
    let sled_of = |board: &Instrument, carriage| sled(board, carriage, &stretches(board)[0]);
    let refusal = |board: &Instrument, carriage| sled_of(board, carriage).unwrap_err();
    let check = |fault: JigFault, words: &str| {
        let said = fault.to_string();
        assert!(said.contains(words) && said.contains(';'), "{said}");
    };
    // Heron's apex is 685.2 mm before the nut.
    let far = Carriage {
        beyond_mm: 700.0,
        ..usual
    };
    check(refusal(&heron, far), "apex lies 685.2 mm before the nut");
    check(
        refusal(&heron, far),
        "stand the jig's ends less than 685.2 mm beyond",
    );
    let arm = swing_arm(&heron, far, &stretches(&heron)[0]).unwrap_err();
    assert!(matches!(arm, JigFault::ApexBetween { .. }));
    let low = Carriage {
        bed_mm: 0.0,
        below_mm: 4.0,
        ..usual
    };
    let JigFault::RailUnderFloor { raise_bed_mm, .. } = refusal(&heron, low) else {
        panic!("{:?}", refusal(&heron, low));
    };
    let raised = Carriage {
        bed_mm: raise_bed_mm + 1e-9,
        ..low
    };
    // The first rail that fails says what it needs; after both have spoken it stands.
    let mut again = raised;
    while let Err(JigFault::RailUnderFloor { raise_bed_mm, .. }) = sled_of(&heron, again) {
        again.bed_mm += raise_bed_mm + 1e-9;
        assert!(again.bed_mm < 20.0);
    }
    assert!(sled_of(&heron, again).is_ok());
    check(
        refusal(
            &heron,
            Carriage {
                beyond_mm: 6.0,
                ..usual
            },
        ),
        "in the cutter's way",
    );
    check(
        refusal(
            &heron,
            Carriage {
                below_mm: 2.0,
                ..usual
            },
        ),
        "let it stand out further",
    );
    let tight = heron_with(Law::Single, &[(0.0, 45.0)]);
    check(refusal(&tight, usual), "lean more than 45 degrees");
    let offset = |carriage| offsets(&heron, carriage).unwrap_err();
    check(
        offset(Carriage {
            bush_mm: 12.7,
            ..usual
        }),
        "through a guide bush",
    );
    check(
        offset(Carriage {
            base_mm: 6.0,
            ..usual
        }),
        "past a plate",
    );
    check(
        offset(Carriage {
            bush_mm: 90.0,
            cutter_mm: 1.0,
            ..usual
        }),
        "no board any more",
    );
    for ridge in [0.0, -1.0, f64::NAN] {
        let fault = facets(&heron, usual, &stretches(&heron)[0], ridge).unwrap_err();
        check(fault, "cannot be cut");
    }
}

#[test]
fn fences_and_templates_lie_by_their_offsets() {
    for board in demos() {
        let carriage = Carriage::default();
        let found = offsets(&board, carriage).unwrap();
        assert!((found.bush_offset_mm - 1.65).abs() < 1e-12);
        assert!((found.cut_to_fence_mm - 68.65).abs() < 1e-12);
        let corners = board.outline.corners();
        for (moved, by) in [(found.template_mm, 1.65), (found.frame_mm, -14.35)] {
            for index in 0..4 {
                let next = (index + 1) % 4;
                for corner in [moved[index], moved[next]] {
                    let inside = right_of(corners[index], corners[next], corner);
                    assert!((inside - by).abs() < ROUNDING_MM, "{inside}, not {by}");
                }
            }
        }
        let [treble, bass] = found.edges;
        for corner in [corners[0], corners[1]] {
            let away = right_of(treble.nut_mm, treble.end_mm, corner);
            assert!((away + 68.65).abs() < ROUNDING_MM, "{away}");
        }
        for corner in [corners[2], corners[3]] {
            let away = right_of(bass.end_mm, bass.nut_mm, corner);
            assert!((away + 68.65).abs() < ROUNDING_MM, "{away}");
        }
        assert_eq!(found.slots.len(), board.frets.len() - 1);
        for slot in &found.slots {
            let line = board.frets[slot.fret];
            let centre = (line.x_mm, 0.0);
            let away = right_of(slot.ends_mm[0], slot.ends_mm[1], centre).abs();
            assert!((away - 75.0).abs() < ROUNDING_MM, "{away}");
            assert!(slot.ends_mm[0].0 < line.x_at(slot.ends_mm[0].1));
        }
    }
}

/// How far a point lies to the right of a line as one walks along it, treble to the left, mm.
fn right_of(from: (f64, f64), to: (f64, f64), point: (f64, f64)) -> f64 {
    let way = (to.0 - from.0, to.1 - from.1);
    let at = (point.0 - from.0, point.1 - from.1);
    (way.1 * at.0 - way.0 * at.1) / way.0.hypot(way.1)
}

#[test]
fn mirrored_boards_swing_the_other_way() {
    let mut board = read(BITTERN);
    let stretch = stretches(&board)[0];
    let before = sled(&board, Carriage::default(), &stretch).unwrap();
    let outline = &mut board.outline;
    std::mem::swap(&mut outline.treble, &mut outline.bass);
    outline.nut.slope = -outline.nut.slope;
    outline.end.slope = -outline.end.slope;
    let after = sled(&board, Carriage::default(), &stretches(&board)[0]).unwrap();
    for (one, other) in before.rails.iter().zip(&after.rails) {
        assert!((one.crown_height_mm - other.crown_height_mm).abs() < ROUNDING_MM);
        let mirrored = other.profile_mm.iter().rev();
        for (at, seen) in one.profile_mm.iter().zip(mirrored) {
            assert!((at.0 + seen.0).abs() < ROUNDING_MM && (at.1 - seen.1).abs() < ROUNDING_MM);
        }
    }
    assert!((before.swing[0] - after.swing[1]).abs() < 1e-12);
}

#[test]
fn no_carriage_makes_it_panic() {
    let odd = [0.0, -5.0, 1e-9, 1e9, f64::NAN, f64::INFINITY];
    for board in demos() {
        for one in odd {
            let usual = Carriage::default();
            for carriage in [
                Carriage {
                    cutter_mm: one,
                    ..usual
                },
                Carriage {
                    below_mm: one,
                    ..usual
                },
                Carriage {
                    base_mm: one,
                    ..usual
                },
                Carriage {
                    bush_mm: one,
                    ..usual
                },
                Carriage {
                    beyond_mm: one,
                    ..usual
                },
                Carriage {
                    bed_mm: one,
                    ..usual
                },
            ] {
                let found = jigs_leaving(&board, carriage, one);
                assert!(!found.settings.is_empty());
                let faults = found
                    .settings
                    .iter()
                    .filter_map(|one| one.sled.as_ref().err());
                assert!(faults.into_iter().all(|fault| fault.to_string().len() > 40));
            }
        }
    }
}
