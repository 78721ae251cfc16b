//! Boards and kits drawn by chance: ordinary ones, wild ones, and ones planted for a purpose.

use crate::chance::Chance;
use crate::commission::{Blank, Camber, Commission, Outline, Scale, StringLine};
use crate::kit::{BlockLine, KitText};

const NOTES: [&str; 10] = [
    "E4", "B3", "G3", "D3", "A2", "E2", "B1", "F#1", "C#1", "G#0",
];
const GRADES: [&str; 10] = [
    "P60", "P80", "P100", "P120", "P150", "P180", "P240", "P320", "P400", "P600",
];

/// The board and kit of a seed: ordinary boards for even seeds, wild ones for odd.
pub fn drawn(seed: u64) -> (Commission, KitText) {
    let mut chance = Chance::new(seed);
    let board = if seed.is_multiple_of(2) {
        ordinary_board(&mut chance)
    } else {
        wild_board(&mut chance)
    };
    let kit = kit_for(&board, &mut chance);
    (board, kit)
}

/// A board as makers build them: four to eight strings, 500 to 900 mm, radii 180 to 500 mm or
/// flat, a cone, a cylinder, stations or a string cone, square or fanned.
pub fn ordinary_board(chance: &mut Chance) -> Commission {
    let length = chance.between(500.0, 900.0);
    let count = chance.whole(4, 8);
    let nut_spread = chance.between(34.0, 50.0);
    let saddle_spread = nut_spread + chance.between(2.0, 20.0);
    let frets = chance.whole(12, 24);
    let nut_radius = chance.between(180.0, 380.0);
    let crown = chance.between(5.0, 8.0);
    let nut_width = nut_spread + chance.between(6.0, 9.0);
    // Strings spread over the board's length, so that the board must widen at least as much.
    let end_width = nut_width + 0.8 * (saddle_spread - nut_spread) + chance.between(0.5, 3.0);
    let outline = match chance.percent(60) {
        true => Outline::Widths(nut_width, end_width),
        false => Outline::Margin(chance.between(3.0, 5.0)),
    };
    Commission {
        scale: scale(chance, length, 60),
        frets,
        tuning: None,
        nut_spread,
        saddle_spread,
        spacing: if chance.percent(50) {
            "equal gaps"
        } else {
            "equal centres"
        },
        strings: strings(chance, count, 0.5),
        outline,
        overhang: chance.between(4.0, 12.0),
        blank: blank(chance, crown),
        camber: ordinary_camber(chance, nut_radius, frets),
        fall_away: chance
            .percent(20)
            .then(|| (chance.whole(10, frets - 1), chance.between(0.1, 0.5))),
        wire: wire(chance),
        floor_follows: chance.percent(30),
        action: (chance.between(1.2, 1.8), chance.between(1.5, 2.4)),
    }
}

fn ordinary_camber(chance: &mut Chance, nut: f64, frets: usize) -> Camber {
    match chance.whole(0, 9) {
        0..=3 => Camber::Cone(nut, nut * chance.between(1.05, 2.0)),
        4 | 5 => Camber::StringCone(nut),
        6 => Camber::Single(Some(nut)),
        7 => Camber::Single(None),
        _ => {
            let middle = chance.whole(2, frets - 2);
            let (near, far) = (chance.between(1.02, 1.5), chance.between(1.02, 1.5));
            Camber::Stations(vec![
                (0, nut),
                (middle, nut * near),
                (frets, nut * near * far),
            ])
        }
    }
}

/// A board of which most can be read and few would be built: one to twelve strings, cones that
/// tighten, stations up and down, boards that narrow, strong fans, odd tunings.
pub fn wild_board(chance: &mut Chance) -> Commission {
    let mut board = ordinary_board(chance);
    let count = chance.whole(1, 10);
    board.strings = strings(chance, count, 2.5);
    let length = chance.in_proportion(250.0, 1400.0);
    board.scale = scale(chance, length, if count > 1 { 50 } else { 100 });
    board.frets = chance.whole(1, 36);
    board.tuning = tuning(chance);
    let bodies = 3.0 * count as f64;
    board.nut_spread = bodies + chance.between(1.0, 60.0);
    board.saddle_spread = bodies + chance.between(1.0, 80.0);
    board.overhang = chance.between(0.0, 30.0);
    let widest = board.nut_spread.max(board.saddle_spread) + chance.between(1.0, 20.0);
    board.outline = match chance.percent(50) {
        true => Outline::Widths(widest, widest * chance.between(0.9, 1.4)),
        false => Outline::Margin(chance.between(0.0, 12.0)),
    };
    board.camber = wild_camber(chance, 0.75 * widest, board.frets);
    board.blank = blank(chance, 0.0);
    board.blank.crown = chance.between(8.0, 50.0);
    if let Some(thickness) = &mut board.blank.thickness {
        *thickness += board.blank.crown;
    }
    board.fall_away = chance.percent(30).then(|| {
        (
            chance.whole(0, board.frets),
            chance.in_proportion(0.01, 3.0),
        )
    });
    board
}

/// Radii from `least`, a little more than half of the widest place, to nearly flat.
fn wild_camber(chance: &mut Chance, least: f64, frets: usize) -> Camber {
    let mut radius = || chance.in_proportion(least, 40.0 * least);
    let (a, b, c, d) = (radius(), radius(), radius(), radius());
    match chance.whole(0, 9) {
        0..=3 => Camber::Cone(a, b),
        4 | 5 => Camber::StringCone(a),
        6 => Camber::Single(Some(a)),
        7 => Camber::Single(None),
        _ if frets >= 4 => {
            let (first, middle) = (chance.whole(0, 1), chance.whole(2, frets - 1));
            let last = if chance.percent(60) {
                frets
            } else {
                middle + 1
            };
            let mut at = vec![(first, a), (middle, b), (last, c)];
            at.dedup_by_key(|station| station.0);
            if last > middle + 2 {
                at.insert(2, (middle + 1, d));
            }
            Camber::Stations(at)
        }
        _ => Camber::Cone(b, a),
    }
}

fn scale(chance: &mut Chance, length: f64, single_percent: u64) -> Scale {
    if chance.percent(single_percent) {
        return Scale::Single(length);
    }
    let shorter = length * chance.between(0.9, 0.999);
    let square_at = match chance.whole(0, 5) {
        0 => "\"nut\"".to_owned(),
        1 => "\"saddle\"".to_owned(),
        2 => "12".to_owned(),
        _ => format!("{:?}", chance.between(0.0, 14.0)),
    };
    // Now and then the highest string is the longer one.
    let (bass, treble) = if chance.percent(85) {
        (length, shorter)
    } else {
        (shorter, length)
    };
    Scale::Fan {
        bass,
        treble,
        square_at,
    }
}

fn strings(chance: &mut Chance, count: usize, widest: f64) -> Vec<StringLine> {
    let thinnest = chance.between(0.2, 0.3);
    let string = |index: usize| StringLine {
        note: NOTES[index % NOTES.len()].to_owned(),
        gauge: thinnest + (widest - thinnest) * chance.share() * (index + 1) as f64 / count as f64,
    };
    (0..count).map(string).collect()
}

fn tuning(chance: &mut Chance) -> Option<String> {
    match chance.whole(0, 4) {
        0 => Some(format!("\"{} equal\"", chance.whole(5, 31))),
        1 => {
            let mut cents = 0.0;
            let steps: Vec<String> = (0..chance.whole(1, 17))
                .map(|_| {
                    cents += chance.between(50.0, 200.0);
                    format!("{cents:?}")
                })
                .collect();
            Some(format!("[{}]", steps.join(", ")))
        }
        _ => None,
    }
}

fn blank(chance: &mut Chance, crown: f64) -> Blank {
    Blank {
        crown,
        thickness: chance.percent(40).then(|| crown + chance.between(0.0, 3.0)),
        least_edge: chance.percent(40).then(|| chance.between(2.0, 5.0)),
        binding: chance.percent(25).then(|| {
            let width = chance.between(1.0, 2.5);
            (
                width,
                if chance.percent(50) {
                    0.0
                } else {
                    chance.between(0.0, 1.0)
                },
            )
        }),
        inlaid: chance.percent(15),
        slotted: chance.percent(15),
    }
}

fn wire(chance: &mut Chance) -> Vec<(&'static str, f64)> {
    vec![
        ("crown_height", chance.between(0.9, 1.5)),
        ("crown_width", chance.between(1.4, 3.0)),
        ("tang_depth", chance.between(1.2, 1.8)),
        ("slot_width", chance.between(0.5, 0.6)),
        ("clearance", chance.between(0.0, 0.4)),
        ("wire_overhang", chance.between(0.5, 3.0)),
        ("stick_length", chance.between(200.0, 500.0)),
    ]
}

/// A board with a string cone: scale 500 to 900 mm, radius at the nut 180 to 500 mm, spreads 34
/// to 60 mm, opening toward the saddle.
pub fn string_cone_board(chance: &mut Chance) -> Commission {
    let mut board = ordinary_board(chance);
    board.nut_spread = chance.between(34.0, 58.0);
    board.saddle_spread = chance.between(board.nut_spread + 0.5, 60.0);
    board.outline = Outline::Margin(4.0);
    board.camber = Camber::StringCone(chance.between(180.0, 500.0));
    board.blank.crown = 9.0;
    board.blank.thickness = None;
    board.fall_away = None;
    board
}

/// A square board without fall-away whose cone flattens toward the body everywhere faster than
/// its width squared grows, so that what is to come off a flat blank nowhere grows along the edge.
///
/// The drop at the edge is nearly w²/8R. With w and R straight, from 1 to b and from 1 to r, it
/// falls everywhere when it falls at the end: `(r - 1)/r > 2 (b - 1)/b`, so `r > b/(2 - b)`.
pub fn flattening_board(chance: &mut Chance) -> Commission {
    let mut board = ordinary_board(chance);
    board.scale = board.scale.squared();
    let (nut, rise) = (board.nut_spread + 8.0, chance.between(1.15, 1.35));
    board.saddle_spread = board.nut_spread * 1.1;
    board.outline = Outline::Widths(nut, nut * rise);
    let radius = chance.between(180.0, 300.0);
    let flattening = 1.05 * rise / (2.0 - rise) + chance.between(0.0, 0.4);
    board.camber = Camber::Cone(radius, radius * flattening);
    board.blank = Blank {
        crown: 7.0,
        thickness: None,
        least_edge: None,
        binding: None,
        inlaid: false,
        slotted: false,
    };
    board.fall_away = None;
    board
}

/// A kit such as a shop might own for this board: none to six blocks, some of the board's own
/// radii, some hardly different from one another, some flat or far too tight.
pub fn kit_for(board: &Commission, chance: &mut Chance) -> KitText {
    let (least, most) = radii(board);
    let mut blocks: Vec<BlockLine> = Vec::new();
    for _ in 0..chance.whole(0, 6) {
        let radius = match chance.whole(0, 9) {
            0 => None,
            1 => Some(least),
            2 => Some(most),
            3 => blocks
                .last()
                .and_then(|block| block.radius)
                .map(|r| r * chance.between(1.0, 1.003)),
            _ => Some(chance.in_proportion(0.7 * least, 1.3 * most)),
        };
        let length = *chance.pick(&[40.0, 100.0, 150.0, 200.0, 300.0]);
        let radius = radius.map(|radius| radius.clamp(10.0, 1e6));
        blocks.push(BlockLine {
            radius,
            length,
            width: chance.between(40.0, 90.0),
        });
    }
    let count = chance.whole(0, 2);
    let beams = (0..count).map(|_| chance.between(100.0, 700.0)).collect();
    let gauges = (0..chance.whole(0, 3))
        .map(|_| chance.between(least, most))
        .collect();
    let abrasives = GRADES.into_iter().filter(|_| chance.percent(60)).collect();
    KitText {
        blocks,
        beams,
        gauges,
        abrasives,
    }
}

/// The tightest and the flattest radius that a board's file names; far from flat for flat ones.
fn radii(board: &Commission) -> (f64, f64) {
    match &board.camber {
        Camber::Single(radius) => (radius.unwrap_or(300.0), radius.unwrap_or(500.0)),
        Camber::Cone(nut, last) => (nut.min(*last), nut.max(*last)),
        Camber::StringCone(nut) => (*nut, 1.5 * nut),
        Camber::Stations(at) => at
            .iter()
            .map(|station| station.1)
            .fold((f64::INFINITY, 0.0), |(least, most), r| {
                (r.min(least), r.max(most))
            }),
    }
}

/// A whole kit for a flattening cone: so many blocks whose zones end well apart from one another
/// inside the board, a beam as long as the board, every grade, a gauge.
pub fn planted_kit(board: &Commission, count: usize, chance: &mut Chance) -> KitText {
    let (least, most) = radii(board);
    let block = |index: usize| {
        let share = (index as f64 + chance.between(0.35, 0.65)) / count as f64;
        BlockLine {
            radius: Some(least + share * (most - least)),
            length: 150.0,
            width: 70.0,
        }
    };
    let blocks = (0..count).map(block).collect();
    KitText {
        blocks,
        beams: vec![700.0],
        gauges: vec![least],
        abrasives: GRADES.to_vec(),
    }
}
