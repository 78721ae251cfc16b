//! An exact cone through the plain least-squares camber, and heights one by one against the same
//! heights in bulk.

use std::f64::consts::TAU;

use bench::Standing;
use bench::stage::Arch;
use instrument::{Instrument, read_commission};
use readings::fit::Problem;
use readings::measured::Measured;
use readings::reading::{Cloud, Reading, Spot, What};
use readings::wood::{Believed, Prior, Wood};

/// The cone: radius at both ends and the distance between them, mm. The recipe, with its apex at
/// `254 / (152.4 / 460) = 766.667` mm from the small end, is a closed form.
const NEAR_MM: f64 = 254.0;
const FAR_MM: f64 = 406.4;
const LENGTH_MM: f64 = 460.0;
const HALF_ARC_MM: f64 = 28.0;
const NOISE_MM: f64 = 0.005;

/// Where the curvatures of the two knots stand among the unknowns: after level, pitch, roll,
/// twist and bow.
const KNOTS: [usize; 2] = [5, 6];

/// A board of the demo's make whose last fret, the 22nd, lies [`LENGTH_MM`] from the nut.
fn board() -> Instrument {
    let scale = LENGTH_MM / (1.0 - 2f64.powf(-22.0 / 12.0));
    let text = include_str!("../../../demo/heron.toml");
    let text = text.replace(
        "length = \"635 mm\"",
        &format!("length = \"{scale:.12} mm\""),
    );
    read_commission(&text, &|name| Err(name.to_owned())).expect("the demo is sound")
}

fn camber_only(instrument: &Instrument) -> Wood<'_> {
    Wood::new(instrument, cambered(), Believed::Nothing, (1, 1), 0)
}

fn cambered() -> Standing {
    Standing {
        offset_mm: 0.0,
        arch: Arch::Camber,
        fall_made: true,
    }
}

/// Heights over the cone's axis at even places over length and arc, with alternating noise.
fn heights(noise_mm: f64) -> Vec<(Spot, f64)> {
    let mut heights = Vec::new();
    for along in 0..=40 {
        for across in 0..=14 {
            let x_mm = LENGTH_MM * f64::from(along) / 40.0;
            let y_mm = HALF_ARC_MM * (f64::from(across) / 7.0 - 1.0);
            let radius = NEAR_MM + (FAR_MM - NEAR_MM) * x_mm / LENGTH_MM;
            let sign = if heights.len() % 2 == 0 { 1.0 } else { -1.0 };
            let on_cone = (radius * radius - y_mm * y_mm).sqrt();
            heights.push((Spot { x_mm, y_mm }, on_cone + sign * noise_mm));
        }
    }
    heights
}

fn one_by_one(heights: &[(Spot, f64)], set_up: usize) -> Vec<Reading> {
    let reading = |(at, height_mm): &(Spot, f64)| Reading {
        line: 0,
        what: What::Height {
            set_up,
            at: *at,
            height_mm: *height_mm,
        },
        sigma_mm: NOISE_MM,
        place: String::new(),
        note: String::new(),
    };
    heights.iter().map(reading).collect()
}

fn in_bulk(heights: &[(Spot, f64)], set_up: usize) -> Cloud {
    Cloud {
        set_up,
        lines: (1..=heights.len() as u32).collect(),
        x_mm: heights.iter().map(|(at, _)| at.x_mm).collect(),
        y_mm: heights.iter().map(|(at, _)| at.y_mm).collect(),
        height_mm: heights.iter().map(|(_, height)| *height).collect(),
        sigma_mm: NOISE_MM,
    }
}

/// Radii at both ends with their standard uncertainties, mm.
fn radii(measured: &Measured<'_>) -> [(f64, f64); 2] {
    KNOTS.map(|knot| {
        let curvature = measured.wood().figure(measured.mean(), knot);
        let scale = measured.wood().assumed(knot).1;
        let sigma = scale * measured.known.covariance[(knot, knot)].sqrt();
        (1.0 / curvature, sigma / (curvature * curvature))
    })
}

fn worst_residual(measured: &Measured<'_>, heights: &[(Spot, f64)]) -> f64 {
    let wood = measured.wood();
    heights
        .iter()
        .map(|(at, height)| (wood.height(measured.mean(), *at) - height).abs())
        .fold(0.0, f64::max)
}

fn fit<'a>(wood: Wood<'a>, readings: &'a [Reading], clouds: &'a [Cloud]) -> Measured<'a> {
    let problem = Problem {
        wood,
        readings,
        clouds,
    };
    Measured::of(problem).unwrap_or_else(|error| panic!("{error}"))
}

fn check_exact(measured: &Measured<'_>, heights: &[(Spot, f64)]) {
    let [(near, _), (far, _)] = radii(measured);
    assert!((near / NEAR_MM - 1.0).abs() < 1e-8, "{near}");
    assert!((far / FAR_MM - 1.0).abs() < 1e-8, "{far}");
    let apex = near / ((far - near) / LENGTH_MM);
    assert!((apex / (2300.0 / 3.0) - 1.0).abs() < 1e-8, "{apex}");
    let worst = worst_residual(measured, heights);
    assert!(worst < 1e-9, "{worst}");
    // The level is the radius at the nut, and the pitch what it grows by.
    let figure = |index| measured.wood().figure(measured.mean(), index);
    assert!((figure(0) - NEAR_MM).abs() < 1e-8 && (figure(1) - (FAR_MM - NEAR_MM)).abs() < 1e-8);
}

#[test]
fn an_exact_cone_is_found_through_heights_one_by_one() {
    let instrument = board();
    let heights = heights(0.0);
    let readings = one_by_one(&heights, 0);
    check_exact(&fit(camber_only(&instrument), &readings, &[]), &heights);
}

#[test]
fn an_exact_cone_is_found_through_heights_in_bulk() {
    let instrument = board();
    let heights = heights(0.0);
    let clouds = [in_bulk(&heights, 0)];
    check_exact(&fit(camber_only(&instrument), &[], &clouds), &heights);
}

#[test]
fn alternating_noise_moves_the_radii_by_less_than_three_uncertainties() {
    let instrument = board();
    let heights = heights(NOISE_MM);
    let (readings, clouds) = (one_by_one(&heights, 0), [in_bulk(&heights, 0)]);
    for measured in [
        fit(camber_only(&instrument), &readings, &[]),
        fit(camber_only(&instrument), &[], &clouds),
    ] {
        for ((radius, sigma), truth) in radii(&measured).into_iter().zip([NEAR_MM, FAR_MM]) {
            assert!(sigma > 0.0 && sigma < 1.0, "{sigma}");
            assert!((radius - truth).abs() < 3.0 * sigma, "{radius}: {sigma}");
            assert!((radius - truth).abs() > 1e-9, "noise must move something");
        }
    }
}

/// Heights of three set-ups, each with a datum and tilts of its own, over a wood with waves and
/// a spread like noise: sums of sines with no common period.
fn three_set_ups(instrument: &Instrument) -> Vec<Vec<(Spot, f64)>> {
    let height = |set_up: usize, index: usize| {
        let t = index as f64 + 0.37 * set_up as f64;
        let share = |by: f64| (t * by).rem_euclid(1.0);
        let (x_mm, y_mm) = instrument
            .outline
            .place(share(0.618_034), share(0.754_877_7));
        let wave = 0.03 * (x_mm / 60.0).sin() * (y_mm / 9.0).cos();
        let noise = 0.007 * ((TAU * share(0.569_840_3)).sin() + (TAU * share(0.324_718)).cos());
        let tilt = [3.0, 0.004 * x_mm, 0.02 * y_mm];
        let datum: f64 = tilt.map(|part| part * (set_up as f64 - 0.8)).iter().sum();
        let wood = instrument.camber.height(x_mm, y_mm) + 0.2 + wave;
        (Spot { x_mm, y_mm }, wood + datum + noise)
    };
    (0..3)
        .map(|set_up| (0..350).map(|index| height(set_up, index)).collect())
        .collect()
}

#[test]
fn bulk_and_single_heights_give_one_fit_with_net_and_several_set_ups() {
    let instrument = board();
    let sets = three_set_ups(&instrument);
    let wood = || {
        let believed = Believed::Prior(Prior::default());
        Wood::new(&instrument, cambered(), believed, (12, 3), sets.len())
    };
    let sets_in_turn = || sets.iter().enumerate();
    let readings: Vec<Reading> = sets_in_turn()
        .flat_map(|(set_up, heights)| one_by_one(heights, set_up))
        .collect();
    let clouds: Vec<Cloud> = sets_in_turn()
        .map(|(set_up, heights)| in_bulk(heights, set_up))
        .collect();
    let single = fit(wood(), &readings, &[]);
    let bulk = fit(wood(), &[], &clouds);
    for step in 0..=400 {
        let share = f64::from(step) / 400.0;
        let (x_mm, y_mm) = instrument
            .outline
            .place(share, (7.3 * share).rem_euclid(1.0));
        let spot = Spot { x_mm, y_mm };
        let (a, b) = (single.height(spot), bulk.height(spot));
        assert!((a.value - b.value).abs() < 1e-9, "{spot:?}: {a:?} {b:?}");
        // No thickness was read, so that level and datum go together all the way: their matrix
        // is as badly conditioned as (50 mm / 1 µm)², and covariances keep the digits left over.
        let rounding = 1e-7 * a.sigma;
        assert!(
            (a.sigma - b.sigma).abs() < rounding,
            "{spot:?}: {a:?} {b:?}"
        );
    }
}
