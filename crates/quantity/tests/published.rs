//! Figures checked against what others have published.

use quantity::*;

#[track_caller]
fn near(found: f64, published: f64, tolerance: f64) {
    assert!(
        (found - published).abs() <= tolerance,
        "{found}, published {published}"
    );
}

/// Half of the table's last digit, 0.05 %, and 0.01 % for the rounding of the formula's
/// constants.
const EMC_TOLERANCE_PERCENT: f64 = 0.06;

#[test]
fn moisture_agrees_with_every_cell_of_the_wood_handbook() {
    // Wood Handbook, FPL-GTR-190 (2010), Table 4-2, 30 to 200 °F.
    let table = include_str!("emc_table_4_2.csv");
    let mut lines = table.lines();
    let humidities: Vec<f64> = lines
        .next()
        .unwrap()
        .split(',')
        .skip(1)
        .map(|cell| cell.parse().unwrap())
        .collect();
    let mut cells = 0;
    for line in lines {
        let row: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let temperature_c = (row[0] - 32.0) / 1.8;
        for (humidity, published) in humidities.iter().zip(&row[1..]) {
            let found = equilibrium_moisture_percent(temperature_c, *humidity).unwrap();
            near(found, *published, EMC_TOLERANCE_PERCENT);
            cells += 1;
        }
    }
    assert_eq!(cells, 18 * 19);
}

#[test]
fn moisture_starts_at_nothing_and_rises_with_humidity() {
    for temperature_c in [-20.0, 0.0, 20.0, 60.0, 100.0] {
        let at = |humidity| equilibrium_moisture_percent(temperature_c, humidity).unwrap();
        assert_eq!(at(0.0), 0.0);
        let rising = (0..100).all(|humidity| at(f64::from(humidity)) < at(f64::from(humidity + 1)));
        assert!(rising, "at {temperature_c} °C");
        assert!(
            at(100.0) < 35.0,
            "above fibre saturation at {temperature_c} °C"
        );
    }
}

#[test]
fn boards_move_as_in_the_worked_examples() {
    // Wood Handbook, FPL-GTR-190, p. 13-17: 232 mm board, C_T 0.00245, 8 to 11 %: 1.7 mm.
    // The species and the first moisture are from memory; the answer was read.
    near(
        width_change(Length::from_mm(232.0), 0.00245, 3.0).mm(),
        1.7,
        0.05,
    );
    // Flooring trade chart: mesquite 5 in, 0.00129, 6 to 9 %: 0.019 in.
    near(
        width_change(Length::from_inches(5.0), 0.00129, 3.0).inches(),
        0.019,
        0.0005,
    );
    // Woodworking magazine, 2021: red alder 8 in, 0.0026, 6 points: 0.1248 in.
    near(
        width_change(Length::from_inches(8.0), 0.0026, -6.0).inches(),
        -0.1248,
        0.00005,
    );
}

#[test]
fn movement_agrees_with_published_shrinkage() {
    // Green to oven-dry shrinkage, radial and tangential, in percent: Wood Handbook,
    // FPL-GTR-190, Table 4-3; sugar maple and black locust from secondary copies.
    let shrinkages = [
        ("white ash", 4.9, 7.8),
        ("American basswood", 6.6, 9.3),
        ("American beech", 5.5, 11.9),
        ("yellow birch", 7.3, 9.5),
        ("black cherry", 3.7, 7.1),
        ("common persimmon", 7.9, 11.2),
        ("American sycamore", 5.0, 8.4),
        ("black walnut", 5.5, 7.8),
        ("hard maple", 4.8, 9.9),
        ("black locust", 4.6, 7.2),
    ];
    // Eq. 13-3 at 10 % moisture; the algebra is from memory, the agreement supports it.
    let coefficient = |shrinkage: f64| shrinkage / (3000.0 - 20.0 * shrinkage);
    // The last digit of both tables.
    const LAST_DIGIT: f64 = 0.000011;
    for (name, radial, tangential) in shrinkages {
        let wood = wood(name).unwrap();
        near(
            wood.movement_radial.unwrap().value,
            coefficient(radial),
            LAST_DIGIT,
        );
        near(
            wood.movement_tangential.unwrap().value,
            coefficient(tangential),
            LAST_DIGIT,
        );
    }
}

/// Half of the last digit of the published tensions, in pounds-force.
const TENSION_TOLERANCE_LBF: f64 = 0.05;

/// The tension that brings a string to pitch: T = mu (2 L f)^2.
fn tension(weight: LinearDensity, scale: Length, frequency_hz: f64) -> Force {
    let wave_speed_m_per_s = 2.0 * scale.mm() / 1000.0 * frequency_hz;
    Force::from_newtons(weight.kg_per_m() * wave_speed_m_per_s.powi(2))
}

#[test]
fn published_tensions_follow_from_published_unit_weights() {
    // A published string chart, read in a copy: 25.5 in scale.
    let scale = parse_length("25 1/2 in").unwrap();
    for (weight, frequency_hz, published_lbf) in [
        ("0.00001794 lb/in", 329.63, 13.1),
        ("0.00001999 lb/in", 329.63, 14.6),
        ("0.00002024 lb/in", 329.63, 14.8),
        ("0.00004679 lb/in", 329.63, 34.2),
        ("0.00004679 lb/in", 246.9, 19.2),
    ] {
        let found = tension(parse_linear_density(weight).unwrap(), scale, frequency_hz);
        near(found.pounds_force(), published_lbf, TENSION_TOLERANCE_LBF);
    }
}

#[test]
fn published_tensions_follow_from_make_gauge_and_note() {
    let scale = Length::from_inches(25.5);
    // Nylon: makers' gauges and tensions at 25.5 in, listed by M. B. Anderson and
    // R. G. Beausoleil, J. Acoust. Soc. Am. 156, 683 (2024). Steel: a published chart.
    for (make, gauge, note, published_lbf) in [
        ("nylon", "0.0275 in", "E4", 14.8),
        ("nylon", "0.0317 in", "B3", 11.2),
        ("nylon", "0.0397 in", "G3", 11.7),
        ("nylon", "0.028 in", "E4", 15.3),
        ("nylon", "0.0322 in", "B3", 11.6),
        ("nylon", "0.0403 in", "G3", 12.1),
        ("nylon", "0.0285 in", "E4", 15.8),
        ("nylon", "0.0327 in", "B3", 12.0),
        ("nylon", "0.041 in", "G3", 12.4),
        ("plain steel", "0.009 in", "E4", 13.1),
        ("plain steel", "9.5 thou", "E4", 14.6),
    ] {
        let gauge = parse_length(gauge).unwrap();
        let (weight, basis, _) = unit_weight(Make::parse(make).unwrap(), gauge).unwrap();
        assert_eq!(basis, WeightBasis::Published);
        let frequency_hz = parse_note(note).unwrap().frequency_hz(440.0);
        let found = tension(weight, scale, frequency_hz).pounds_force();
        near(found, published_lbf, TENSION_TOLERANCE_LBF);
    }
}

#[test]
fn notes_sound_at_their_published_frequencies() {
    // f = 440 * 2^((m - 69)/12), A4 = 440 Hz by ISO 16:1975.
    for (note, number, frequency_hz) in [
        ("E2", 40, 82.40689),
        ("C4", 60, 261.62557),
        ("E4", 64, 329.62756),
        ("A4", 69, 440.0),
    ] {
        let note = parse_note(note).unwrap();
        assert_eq!(note.midi_number(), number);
        near(note.frequency_hz(440.0), frequency_hz, 0.000005);
    }
}

#[test]
fn cents_agree_with_published_values() {
    // A music technology course's page: 453 Hz is 50.4 cents above 440 Hz.
    near(cents_between(440.0, 453.0), 50.4, 0.05);
    // The semitone of the rule of eighteen: J. M. Barbour, Tuning and Temperament, p. 57.
    near(cents_between(17.0, 18.0), 98.95459, 0.000005);
    near(cents_between(1.0, 2.0), 1200.0, 1e-9);
    near(ratio_of_cents(700.0), 1.498307, 0.0000005);
    near(cents_between(1.0, ratio_of_cents(-37.5)), -37.5, 1e-9);
}

#[test]
fn forces_agree_with_the_published_factors() {
    // NIST SP 811, appendix B (from memory): exact from the pound and standard gravity.
    for (text, newtons) in [
        ("1 lbf", 4.448_221_615_260_5),
        ("1 ozf", 0.278_013_850_953_781_2),
        ("1 gf", 0.009_806_65),
        ("1 kgf", 9.806_65),
    ] {
        near(
            parse_force(text).unwrap().newtons(),
            newtons,
            newtons * 1e-15,
        );
    }
}

#[test]
fn pounds_per_inch_agree_with_the_published_factor() {
    // NIST SP 811, appendix B (from memory): 1 lb/in = 17.857 97 kg/m.
    near(
        LinearDensity::from_lb_per_in(1.0).kg_per_m(),
        17.857_97,
        0.000_005,
    );
}
