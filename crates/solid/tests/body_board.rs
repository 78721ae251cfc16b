//! The boards of the demo commissions as solids.

use instrument::dots::Dot;
use instrument::{Instrument, read_commission};
use solid::body::{BoardParts, Body, BodyError, Part, board_body};

const HERON: &str = include_str!("../../../demo/heron.toml");
const SANDPIPER: &str = include_str!("../../../demo/sandpiper.toml");
const BITTERN: &str = include_str!("../../../demo/bittern.toml");
const AVOCET: &str = include_str!("../../../demo/avocet.toml");

const WHOLE: BoardParts = BoardParts {
    slots: Part::Left,
    rebate: Part::Left,
    dots: Part::Left,
};
const SLOTTED: BoardParts = BoardParts {
    slots: Part::Cut,
    ..WHOLE
};

fn read(text: &str) -> Instrument {
    read_commission(text, &|_| Err("no files".into())).expect("a sound commission")
}

fn made(instrument: &Instrument, parts: BoardParts) -> Body {
    board_body(instrument, parts).expect("a sound body")
}

#[test]
fn a_whole_board_has_the_volume_of_the_check_value() {
    // Width 42.5 at the nut, 56.5 at the end, 8 past fret 22 of 635, 6 thick; the wood above the
    // camber is 7356.39086 mm³, computed with 30-digit arithmetic apart from this project.
    let end = 635.0 * (1.0 - 2f64.powf(-22.0 / 12.0)) + 8.0;
    let expected = 6.0 * 0.5 * (42.5 + 56.5) * end - 7_356.390_86;
    let body = made(&read(HERON), WHOLE);
    assert!((body.volume_mm3() - expected).abs() < 5e-6);
}

#[test]
fn faces_are_as_many_as_a_board_has() {
    let heron = read(HERON);
    assert_eq!(made(&heron, WHOLE).counts().faces, 6);
    // Every slot through both edges adds its floor and two walls, and cuts the face in two.
    assert_eq!(made(&heron, SLOTTED).counts().faces, 6 + 22 * 4);
    // On a bound board a slot is a pocket: a floor that follows the camber, four walls. Sandpiper
    // has 18 of them; its fall-away bends the face at fret 12, and that slot's floor with it.
    let sandpiper = made(&read(SANDPIPER), SLOTTED).counts();
    assert_eq!(sandpiper.faces, 7 + 18 * 5 + 1);
    // The slot on the kink cuts a notch out of both pieces of the face, and is no hole.
    assert_eq!(sandpiper.holes, 17);
}

#[test]
fn corners_edges_and_faces_are_those_of_a_body_without_handles() {
    for text in [HERON, SANDPIPER, BITTERN, AVOCET] {
        for parts in [WHOLE, SLOTTED] {
            // Euler and Poincaré: corners - edges + faces - holes = 2.
            let counts = made(&read(text), parts).counts();
            assert_eq!(
                counts.corners + counts.faces,
                counts.edges + counts.holes + 2
            );
        }
    }
}

#[test]
fn slots_are_as_deep_as_the_sheet_says() {
    for text in [HERON, SANDPIPER, BITTERN, AVOCET] {
        let instrument = read(text);
        let (whole, slotted) = (made(&instrument, WHOLE), made(&instrument, SLOTTED));
        for fret in play::sheet(&instrument, None).frets.iter().skip(1) {
            let height = |body: &Body| body.height_mm(fret.x_mm, 0.0).expect("on the board");
            let depth = height(&whole) - height(&slotted);
            assert!(
                (depth - fret.slot_depth_mm).abs() < 1e-12,
                "fret {}",
                fret.fret
            );
        }
    }
}

#[test]
fn slots_take_as_much_as_their_own_width_along_the_section() {
    let instrument = read(HERON);
    let taken = made(&instrument, WHOLE).volume_mm3() - made(&instrument, SLOTTED).volume_mm3();
    let sheet = play::sheet(&instrument, None);
    // A flat floor: width of the slot times (depth times chord, less the arc's own segment
    // R² (2θ - sin 2θ)/2 turned to the area above the arc).
    let section = |fret: &play::FretFigures| {
        let (half, radius) = (0.5 * fret.width_mm, fret.radius.mm());
        let angle = (half / radius).asin();
        let under_chord = radius * radius * (angle - angle.sin() * angle.cos());
        let above_arc = fret.width_mm * fret.edge_drop_mm - under_chord;
        fret.slot_depth_mm * fret.width_mm - above_arc
    };
    let expected: f64 = sheet.frets.iter().skip(1).map(section).sum();
    let away = taken / (expected * instrument.fret_spec.slot_width_mm) - 1.0;
    // The section changes along a slot's 0.55 mm, and its mean is the middle's but for curvature.
    assert!(away.abs() < 1e-7, "{away:e}");
}

#[test]
fn slots_stop_at_the_binding_and_a_rebate_goes_down_to_its_ledge() {
    let ledge = SANDPIPER.replace(
        "binding = \"1.5 mm\"",
        "binding = { width = \"1.5 mm\", ledge = \"2 mm\" }",
    );
    let instrument = read(&ledge);
    let fret = instrument.frets[5].x_mm;
    let edge = instrument.outline.half_width(fret);
    let height = |body: &Body, y: f64| body.height_mm(fret, y).expect("on the board");
    let (whole, slotted) = (made(&instrument, WHOLE), made(&instrument, SLOTTED));
    for side in [-1.0, 1.0] {
        let (inside, strip) = (side * (edge - 1.51), side * (edge - 1.49));
        assert!(height(&whole, inside) - height(&slotted, inside) > 1.5);
        assert_eq!(height(&whole, strip), height(&slotted, strip));
        let rebated = made(
            &instrument,
            BoardParts {
                rebate: Part::Cut,
                ..SLOTTED
            },
        );
        assert_eq!(height(&rebated, inside), height(&slotted, inside));
        assert!((height(&rebated, strip) - (2.0 - 6.2)).abs() < 1e-12);
    }
}

#[test]
fn a_strip_over_the_whole_edge_leaves_the_wood_narrower() {
    let parts = BoardParts {
        rebate: Part::Cut,
        ..WHOLE
    };
    let outline = made(&read(SANDPIPER), parts).outline_mm();
    assert!((outline[3][1] - outline[0][1] - (45.0 - 3.0)).abs() < 1e-12);
}

#[test]
fn a_dot_takes_a_flat_pocket_and_one_without_room_is_told() {
    let mut instrument = read(HERON);
    let dot = |x_mm: f64| Dot {
        fret: 7,
        x_mm,
        y_mm: 6.0,
        diameter_mm: 6.0,
        depth_mm: 1.5,
    };
    let middle = 0.5 * (instrument.frets[6].x_mm + instrument.frets[7].x_mm);
    instrument.dots = vec![dot(middle), dot(instrument.frets[7].x_mm)];
    let parts = BoardParts {
        dots: Part::Cut,
        ..SLOTTED
    };
    let (plain, dotted) = (made(&instrument, SLOTTED), made(&instrument, parts));
    assert_eq!(
        dotted.notes,
        [
            "the dot behind fret 7, 6.0 mm from the centreline, is left out: it would touch a slot, an \
             edge, another dot or a kink of the camber"
        ]
    );
    let floor = plain.height_mm(middle, 6.0).expect("on the board") - 1.5;
    assert_eq!(dotted.height_mm(middle, 6.0), Some(floor));
    assert_eq!(dotted.height_mm(middle + 2.9, 6.0), Some(floor));
    // Floor, two halves of the wall, and the rim as a hole in the face.
    assert_eq!(dotted.counts().faces, plain.counts().faces + 3);
    assert_eq!(dotted.counts().holes, plain.counts().holes + 1);
    // A round pocket whose lid is nearly the plane in its middle: π r² times the depth.
    let taken = plain.volume_mm3() - dotted.volume_mm3();
    let lid = std::f64::consts::PI * 9.0 * 1.5;
    // The arch falls by r²/(4R) on the mean of a round lid: 0.5 % of the depth at R = 290 mm.
    let radius = instrument.camber.radius(middle).mm();
    let bent = std::f64::consts::PI * 9.0 * (9.0 / (8.0 * radius));
    assert!((taken - (lid - bent)).abs() < 0.02, "{taken} {lid} {bent}");
}

fn refusal(instrument: &Instrument) -> String {
    let fault = board_body(instrument, SLOTTED).expect_err("it cannot be made");
    fault.to_string()
}

#[test]
fn a_slot_through_the_board_is_refused_with_what_would_do() {
    let mut instrument = read(HERON);
    instrument.wood.crown_thickness_mm = 2.75;
    assert_eq!(
        refusal(&instrument),
        "the slot of fret 1 would leave 0.01 mm of wood under it, and at least 0.1 mm must stay: a \
         thicker board, a shorter tang, or a floor that follows the camber"
    );
    instrument.wood.crown_thickness_mm = f64::NAN;
    assert!(board_body(&instrument, WHOLE).is_err());
}

#[test]
fn slots_that_meet_are_refused() {
    let mut instrument = read(HERON);
    // Frets 21 and 22 stand 635 (2^(-21/12) - 2^(-22/12)) = 10.595 mm apart.
    instrument.fret_spec.slot_width_mm = 11.0;
    assert_eq!(
        refusal(&instrument),
        "between the slots of frets 21 and 22 only -0.40 mm of wood would stand: narrower slots, or \
         fewer frets"
    );
}

#[test]
fn a_ledge_over_the_face_is_refused() {
    let mut instrument = read(SANDPIPER);
    let binding = instrument.wood.binding.as_mut().expect("it is bound");
    binding.ledge_mm = 5.9;
    let parts = BoardParts {
        rebate: Part::Cut,
        ..WHOLE
    };
    let fault = board_body(&instrument, parts).expect_err("it cannot be made");
    assert!(matches!(fault, BodyError::LedgeTooHigh { .. }), "{fault}");
}
