//! Contrast and evenness of the inks, computed by the published formulas.

use drawing::{Colour, ColourMap, Ink, Palette, cie_lightness, contrast_ratio};

const PALETTES: [Palette; 3] = [Palette::Light, Palette::Dark, Palette::Print];

/// WCAG 2.2, success criterion 1.4.3 (AA): text.
const TEXT_CONTRAST: f64 = 4.5;

/// WCAG 2.2, success criterion 1.4.11 (AA): parts of a picture that must be told apart.
const MARK_CONTRAST: f64 = 3.0;

fn check(inks: &[Ink], grounds: &[Ink], least: f64) {
    for palette in PALETTES {
        for (ink, ground) in inks
            .iter()
            .flat_map(|ink| grounds.iter().map(move |on| (ink, on)))
        {
            let found = contrast_ratio(palette.colour(*ink), palette.colour(*ground));
            assert!(
                found >= least,
                "{palette:?}: {ink:?} on {ground:?} has {found:.2}"
            );
        }
    }
}

#[test]
fn contrast_follows_the_published_definition() {
    // By definition black on white is 21. #767676 is the lightest grey that reaches 4.5 on
    // white (common knowledge of the trade, from memory: 4.54), #777777 misses it (4.48).
    let white = Colour::from_hex(0xFFFFFF);
    let on_white = |hex| contrast_ratio(Colour::from_hex(hex), white);
    assert!((on_white(0x000000) - 21.0).abs() < 1e-9);
    assert!((on_white(0x767676) - 4.54).abs() < 0.005);
    assert!((on_white(0x777777) - 4.48).abs() < 0.005);
    assert!((on_white(0xFFFFFF) - 1.0).abs() < 1e-9);
}

#[test]
fn lightness_follows_cie_1976() {
    let of = |hex| cie_lightness(Colour::from_hex(hex));
    assert!(of(0x000000).abs() < 1e-9);
    assert!((of(0xFFFFFF) - 100.0).abs() < 1e-9);
    // From memory: sRGB grey 119 has L* 50.03; sRGB red has L* 53.24 (CIE, D65).
    assert!((of(0x777777) - 50.03).abs() < 0.01);
    assert!((of(0xFF0000) - 53.24).abs() < 0.01);
}

#[test]
fn words_can_be_read_on_paper_and_on_quiet_areas() {
    let words = [
        Ink::Text,
        Ink::FaintText,
        Ink::Accent,
        Ink::Second,
        Ink::Third,
        Ink::Caution,
        Ink::Good,
    ];
    check(
        &words,
        &[Ink::Paper, Ink::AccentFill, Ink::SecondFill],
        TEXT_CONTRAST,
    );
    check(&[Ink::Text], &[Ink::Wood], TEXT_CONTRAST);
}

#[test]
fn marks_can_be_seen_where_they_stand() {
    check(
        &[Ink::Line, Ink::WoodEdge, Ink::Fret, Ink::String],
        &[Ink::Paper],
        MARK_CONTRAST,
    );
    check(
        &[Ink::WoodEdge, Ink::Fret, Ink::String, Ink::Chalk],
        &[Ink::Wood],
        MARK_CONTRAST,
    );
    // The hatch over what is not known, and marks on their rims.
    check(&[Ink::Line], &[Ink::Unknown], MARK_CONTRAST);
    check(&[Ink::OverMap], &[Ink::OverMapRim], TEXT_CONTRAST);
}

#[test]
fn every_ink_has_a_name_of_its_own() {
    let mut names: Vec<&str> = Ink::ALL.into_iter().filter_map(Ink::name).collect();
    assert_eq!(names.len(), Ink::ALL.len());
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), Ink::ALL.len());
    assert_eq!(Ink::Map(ColourMap::Cividis, 0.5).name(), None);
}

/// The colour as a person without the middle-wave cones sees it: Machado, Oliveira and
/// Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
/// TVCG 15 (2009) 1291, full deuteranomaly, in linear RGB. The matrix is from memory.
fn seen_without_green_cones(colour: Colour) -> Colour {
    const MATRIX: [[f64; 3]; 3] = [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ];
    let linear = [colour.red, colour.green, colour.blue].map(|channel| {
        let part = f64::from(channel) / 255.0;
        if part <= 0.04045 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    });
    let [red, green, blue] = MATRIX.map(|row| {
        let sum: f64 = row
            .iter()
            .zip(linear)
            .map(|(weight, channel)| weight * channel)
            .sum();
        let sum = sum.clamp(0.0, 1.0);
        let part = if sum <= 0.0031308 {
            sum * 12.92
        } else {
            1.055 * sum.powf(1.0 / 2.4) - 0.055
        };
        (part * 255.0).round() as u8
    });
    Colour {
        red,
        green,
        blue,
        opacity: 1.0,
    }
}

#[test]
fn amounts_grow_lighter_all_the_way_also_without_green_cones() {
    let sample = |step: u32| ColourMap::Cividis.colour(f64::from(step) / 64.0);
    let plain: Vec<f64> = (0..=64).map(|step| cie_lightness(sample(step))).collect();
    let deficient: Vec<f64> = (0..=64)
        .map(|step| cie_lightness(seen_without_green_cones(sample(step))))
        .collect();
    for run in [plain, deficient] {
        assert!(run.windows(2).all(|pair| pair[1] > pair[0]), "{run:?}");
        assert!(run[64] - run[0] > 70.0, "{run:?}");
    }
}

#[test]
fn equal_amounts_above_and_below_look_equally_strong() {
    // Rounding to eight bits moves L* by up to about 0.2, and the straight runs in sRGB bend L*
    // between stops by less than 0.8.
    let lightness = |place| cie_lightness(ColourMap::Signed.colour(place));
    for step in 0..=40 {
        let off = 0.5 * f64::from(step) / 40.0;
        let (below, above) = (lightness(0.5 - off), lightness(0.5 + off));
        assert!((below - above).abs() < 1.0, "{off}: {below} and {above}");
    }
    let run: Vec<f64> = (0..=40)
        .map(|step| lightness(0.5 + f64::from(step) / 80.0))
        .collect();
    assert!(run.windows(2).all(|pair| pair[1] < pair[0]), "{run:?}");
    // Blue stays blue and brown stays brown without green cones.
    let below = seen_without_green_cones(ColourMap::Signed.colour(0.2));
    let above = seen_without_green_cones(ColourMap::Signed.colour(0.8));
    assert!(
        below.blue > below.red + 40 && above.red > above.blue + 40,
        "{below:?} {above:?}"
    );
}

/// CIE 1976 L*a*b* of a colour under D65, by the formulas of CIE 15 and the matrix of
/// IEC 61966-2-1 (its digits from memory).
fn cie_lab(colour: Colour) -> [f64; 3] {
    let linear = [colour.red, colour.green, colour.blue].map(|channel| {
        let part = f64::from(channel) / 255.0;
        if part <= 0.04045 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    });
    let row = |weights: [f64; 3], white: f64| {
        let sum: f64 = weights.iter().zip(linear).map(|(w, part)| w * part).sum();
        // Every colour of the signed map is lighter than the formula's straight start.
        (sum / white).cbrt()
    };
    let x = row([0.4124, 0.3576, 0.1805], 0.9505);
    let y = row([0.2126, 0.7152, 0.0722], 1.0);
    let z = row([0.0193, 0.1192, 0.9505], 1.089);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

#[test]
fn equal_steps_of_the_signed_map_look_about_equally_far_apart() {
    // Distance of neighbouring steps in CIE L*a*b* (ΔE of 1976). The limit is our own: no
    // step more than a third off their mean.
    let lab = |step: u32| cie_lab(ColourMap::Signed.colour(f64::from(step) / 16.0));
    let step = |step: u32| {
        let pairs = lab(step).into_iter().zip(lab(step + 1));
        pairs
            .map(|(one, other)| (one - other).powi(2))
            .sum::<f64>()
            .sqrt()
    };
    let steps: Vec<f64> = (0..16).map(step).collect();
    let mean = steps.iter().sum::<f64>() / 16.0;
    let off = |step: &f64| (step / mean - 1.0).abs();
    assert!(
        steps.iter().map(off).fold(0.0, f64::max) < 1.0 / 3.0,
        "{steps:?}"
    );
}

#[test]
fn what_is_unknown_is_no_colour_of_the_signed_map() {
    // A ΔE of 2.3 is just seen (Mahy, Van Eycken and Oosterlinck, Color Res. Appl. 19 (1994) 105,
    // from memory); four times that is plain.
    for palette in PALETTES {
        let unknown = cie_lab(palette.colour(Ink::Unknown));
        for step in 0..=64 {
            let on_map = cie_lab(ColourMap::Signed.colour(f64::from(step) / 64.0));
            let pairs = unknown.into_iter().zip(on_map);
            let off = pairs
                .map(|(one, other)| (one - other).powi(2))
                .sum::<f64>()
                .sqrt();
            assert!(off > 4.0 * 2.3, "{palette:?}, step {step}: {off}");
        }
    }
}

#[test]
fn a_veil_lets_through_what_it_does_not_cover() {
    for palette in PALETTES {
        let unknown = palette.colour(Ink::Unknown);
        for opacity in [0.0, 0.25, 1.0] {
            let veil = palette.colour(Ink::Veil(opacity));
            assert_eq!(veil, Colour { opacity, ..unknown });
        }
        assert_eq!(palette.colour(Ink::Veil(7.0)).opacity, 1.0);
        assert_eq!(palette.colour(Ink::Veil(-7.0)).opacity, 0.0);
    }
    assert!(!Ink::Veil(f64::NAN).is_finite() && Ink::Veil(0.5).is_finite());
}

#[test]
fn places_off_the_map_take_the_nearest_end() {
    for map in [ColourMap::Cividis, ColourMap::Signed] {
        assert_eq!(map.colour(-3.0), map.colour(0.0));
        assert_eq!(map.colour(f64::INFINITY), map.colour(1.0));
        assert_eq!(map.colour(f64::NAN), map.colour(0.5));
    }
    assert_eq!(ColourMap::Cividis.colour(0.0).hex(), "#00204D");
    assert_eq!(ColourMap::Cividis.colour(1.0).hex(), "#FFEA46");
}
