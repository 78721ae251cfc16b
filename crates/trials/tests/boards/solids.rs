//! Random boards as solids: they close, their volume is the plan's, and their triangles keep the
//! tolerance.

use instrument::arc::area_above;
use instrument::board::removed_mm3;
use instrument::integrate::{integrate, pieces};
use instrument::{Instrument, read_commission};
use solid::body::{BoardParts, Body, BodyError, Part, board_body, mesh};
use trials::drawn;

const PARTS: [Part; 2] = [Part::Left, Part::Cut];

/// The board of a seed, with dots, when it can be read.
fn board(seed: u64) -> Option<Instrument> {
    let text = drawn(seed).0.to_toml();
    let dots = "\n[dots]\ndiameter = 5\ndepth = 1\n";
    let read = |text: &str| read_commission(text, &|_| Err("no files".into())).ok();
    read(&format!("{text}{dots}")).or_else(|| read(&text))
}

fn every_choice() -> impl Iterator<Item = BoardParts> {
    PARTS.into_iter().flat_map(|slots| {
        PARTS.into_iter().flat_map(move |rebate| {
            PARTS.into_iter().map(move |dots| BoardParts {
                slots,
                rebate,
                dots,
            })
        })
    })
}

/// A shell without handles: corners - edges + faces - holes = 2 (Euler and Poincaré).
fn check_shell(body: &Body, seed: u64) {
    let counts = body.counts();
    let sum = (counts.corners + counts.faces) as i64 - (counts.edges + counts.holes) as i64;
    assert_eq!(sum, 2, "seed {seed}: {counts:?}");
}

#[test]
fn every_body_of_every_board_closes_or_says_why_not() {
    let (mut made, mut refused) = (0, 0);
    for seed in 0..400 {
        let Some(instrument) = board(seed) else {
            continue;
        };
        for parts in every_choice() {
            match board_body(&instrument, parts) {
                Ok(body) => {
                    check_shell(&body, seed);
                    made += 1;
                }
                Err(BodyError::NotClosed) => panic!("seed {seed}, {parts:?} does not close"),
                Err(fault) => {
                    let text = fault.to_string();
                    assert!(!text.contains("NaN"), "seed {seed}: {text}");
                    refused += 1;
                }
            }
        }
    }
    assert!(
        made > 2000 && refused * 20 < made,
        "{made} made, {refused} refused"
    );
}

/// The wood above the camber, by sections cut so finely toward the ends of every smooth piece
/// that quadrature keeps its digits where a radius comes near the board's own reach.
fn removed_finely_mm3(instrument: &Instrument) -> f64 {
    let (camber, outline) = (&instrument.camber, &instrument.outline);
    let section = |x: f64| {
        outline.span(x).map_or(0.0, |(low, high)| {
            let radius = camber.radius(x);
            area_above(radius, high) - area_above(radius, low) + camber.fall(x) * (high - low)
        })
    };
    let (from, to) = outline.reach();
    let smooth = pieces(from, to, &instrument.breaks());
    let of_piece = |(start, end): (f64, f64)| {
        let shares = (1..26).map(|halvings| 0.5f64.powi(halvings) * (end - start));
        let cuts: Vec<f64> = shares
            .flat_map(|share| [start + share, end - share])
            .collect();
        integrate(start, end, &cuts, section)
    };
    smooth.into_iter().map(of_piece).sum()
}

#[test]
fn a_whole_board_is_its_blank_less_what_the_camber_takes() {
    let whole = BoardParts {
        slots: Part::Left,
        rebate: Part::Left,
        dots: Part::Left,
    };
    let mut boards = 0;
    for seed in 0..400 {
        let Some(instrument) = board(seed) else {
            continue;
        };
        let Ok(body) = board_body(&instrument, whole) else {
            continue;
        };
        let corners = instrument.outline.corners();
        let area: f64 = (0..4)
            .map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % 4]);
                0.5 * (a.0 * b.1 - b.0 * a.1)
            })
            .sum();
        let blank = area.abs() * instrument.wood.crown_thickness_mm;
        let mut expected = vec![blank - removed_finely_mm3(&instrument)];
        // The sheet's own figure is as exact on boards as makers build them.
        if seed % 2 == 0 {
            let (arch, fall) = removed_mm3(&instrument.camber, &instrument.outline);
            expected.push(blank - arch - fall);
        }
        for expected in expected {
            // Quadratures of the same smooth functions: rounding is all that may differ.
            let away = body.volume_mm3() / expected - 1.0;
            assert!(away.abs() < 1e-12, "seed {seed}: {away:e}");
        }
        boards += 1;
    }
    assert!(boards > 300, "{boards} boards");
}

#[test]
fn triangles_close_and_keep_their_tolerance() {
    let all = BoardParts {
        slots: Part::Cut,
        rebate: Part::Cut,
        dots: Part::Cut,
    };
    let mut meshes = 0;
    for seed in 0..200 {
        let Some(instrument) = board(seed) else {
            continue;
        };
        let Ok(body) = board_body(&instrument, all) else {
            continue;
        };
        for chord_mm in [0.3, 0.02, 0.0005] {
            let mesh = mesh(&body, chord_mm).unwrap_or_else(|fault| panic!("seed {seed}: {fault}"));
            assert!(
                mesh.off_mm <= chord_mm,
                "seed {seed}: {} of {chord_mm}",
                mesh.off_mm
            );
            meshes += 1;
        }
    }
    assert!(meshes > 300, "{meshes} meshes");
}
