//! Forces, unit weights, notes, percentages and temperatures, and what is said of bad ones.

mod chance;

use chance::Chance;
use quantity::*;

#[test]
fn forces_are_read_with_their_unit_only() {
    let newtons = |text| parse_force(text).unwrap().newtons();
    assert_eq!(newtons("0.7 N"), 0.7);
    assert_eq!(newtons("0,7N"), 0.7);
    assert_eq!(newtons("70 gf"), newtons("70 g"));
    assert_eq!(newtons("16 lbf"), newtons("256 oz"));
    assert_eq!(newtons("1 kgf"), newtons("1000 gf"));
    assert_eq!(newtons("-2 1/2 lb"), newtons("-40 ozf"));
    assert_eq!(parse_force("16").unwrap_err().problem, Problem::MissingUnit);
    let unknown = parse_force("16 lfb").unwrap_err();
    assert!(
        unknown.to_string().contains("did you mean \"lbf\"?"),
        "{unknown}"
    );
}

#[test]
fn forces_are_shown_with_their_unit() {
    let force = parse_force("16 lbf").unwrap();
    assert_eq!(show_force(force, ForceUnit::PoundForce, 1), "16.0 lbf");
    assert_eq!(show_force(force, ForceUnit::Newton, 1), "71.2 N");
    assert_eq!(
        show_force(Force::from_newtons(-0.001), ForceUnit::GramForce, 0),
        "0 gf"
    );
    assert_eq!(write_force(force, ForceUnit::OunceForce), "256 ozf");
}

#[test]
fn forces_and_unit_weights_survive_writing_and_reading() {
    let mut chance = Chance::from_seed(1901);
    let forces = [
        ForceUnit::Newton,
        ForceUnit::GramForce,
        ForceUnit::KilogramForce,
        ForceUnit::OunceForce,
        ForceUnit::PoundForce,
    ];
    let weights = [
        LinearDensityUnit::KilogramPerMetre,
        LinearDensityUnit::GramPerMetre,
        LinearDensityUnit::PoundPerInch,
    ];
    for exponent in -12..2 {
        for _ in 0..100 {
            let value = chance.between(0.0, 1.0) * 10f64.powi(exponent);
            for unit in forces {
                let text = write_force(Force::from_newtons(-value), unit);
                let back = parse_force(&text).unwrap().newtons();
                assert!((back + value).abs() <= value * 1e-12, "{text}");
            }
            for unit in weights {
                let text = write_linear_density(LinearDensity::from_kg_per_m(value), unit);
                let back = parse_linear_density(&text).unwrap().kg_per_m();
                assert!((back - value).abs() <= value * 1e-12, "{text}");
            }
        }
    }
}

#[test]
fn unit_weights_are_read_and_shown() {
    let kg_per_m = |text| parse_linear_density(text).unwrap().kg_per_m();
    assert_eq!(kg_per_m("0.0003956 kg/m"), 0.0003956);
    assert_eq!(kg_per_m("0.39 g/m"), 0.00039);
    assert!((kg_per_m("2.215e-5 lb/in") - 0.0003956).abs() < 0.5e-7);
    assert_eq!(
        parse_linear_density("0.39").unwrap_err().problem,
        Problem::MissingUnit
    );
    assert!(parse_linear_density("-1 g/m").is_err());
    let weight = LinearDensity::from_lb_per_in(2.215e-5);
    assert_eq!(
        show_linear_density(weight, LinearDensityUnit::PoundPerInch, 4),
        "0.00002215 lb/in"
    );
    assert_eq!(
        show_linear_density(weight, LinearDensityUnit::GramPerMetre, 3),
        "0.396 g/m"
    );
    let nothing = LinearDensity::from_kg_per_m(0.0);
    assert_eq!(
        show_linear_density(nothing, LinearDensityUnit::KilogramPerMetre, 3),
        "0.00 kg/m"
    );
}

#[test]
fn notes_are_read_as_written() {
    for (typed, shown, number) in [
        ("E4", "E4", 64),
        ("e4", "E4", 64),
        ("F#3", "F#3", 54),
        ("Bb2", "Bb2", 46),
        ("bb2", "Bb2", 46),
        ("b2", "B2", 47),
        ("C♯3", "C#3", 49),
        ("B♭2", "Bb2", 46),
        ("C-1", "C-1", 0),
        ("Cb4", "Cb4", 59),
        ("B#3", "B#3", 60),
        ("Abb3", "Abb3", 55),
        (" G 3 ", "G3", 55),
    ] {
        let note = parse_note(typed).unwrap();
        assert_eq!(
            (note.to_string().as_str(), note.midi_number()),
            (shown, number),
            "{typed}"
        );
    }
    for typed in [
        "", "E", "4", "H3", "E#b4", "E###4", "E11", "E-2", "E4 4", "E04", "E+4", "Eb",
    ] {
        assert!(parse_note(typed).is_err(), "{typed:?} was read");
    }
}

#[test]
fn percentages_and_temperatures_are_read() {
    for typed in ["45 %", "45%", "45", "45 percent", "45,0 % RH"] {
        assert_eq!(parse_percent(typed).unwrap(), 45.0, "{typed}");
    }
    for typed in [
        "20 °C", "20 C", "20°C", "20 ºC", "20 ℃", "68 °F", "68F", "68 ℉", "20 deg C",
    ] {
        assert_eq!(parse_temperature(typed).unwrap(), 20.0, "{typed}");
    }
    assert_eq!(parse_temperature("-40 °F").unwrap(), -40.0);
    assert_eq!(parse_temperature("273.15 K").unwrap(), 0.0);
    assert_eq!(
        parse_temperature("20").unwrap_err().problem,
        Problem::MissingUnit
    );
    for typed in ["-274 °C", "-460 °F", "-1 K", "2001 °C"] {
        let problem = parse_temperature(typed).unwrap_err().problem;
        assert!(matches!(problem, Problem::OutOfRange { .. }), "{typed}");
    }
}

/// Messages are part of what the maker uses, so they are held word for word.
#[test]
fn messages_name_the_thing_the_fault_and_a_way_out() {
    let way_out = "; write for example 406.4 mm, 16 in, 11 1/2 in or 12 thou";
    for (typed, message) in [
        ("", "length is empty"),
        (
            "16 inhc",
            "length \"16 inhc\" has the unknown unit \"inhc\", did you mean \"inch\"?",
        ),
        (
            "1,000.5",
            "length \"1,000.5\" is ambiguous: its comma could part decimals or thousands, so type \
             no thousands separator and a point before the decimals",
        ),
        (
            "16 in 3 mm",
            "length \"16 in 3 mm\" holds more than one number or unit",
        ),
        (
            "2 km",
            "length \"2 km\" has the unknown unit \"km\", did you mean \"mm\"?",
        ),
        (
            "2000 m",
            "length \"2000 m\" is outside -1000000 to 1000000 mm",
        ),
        (
            "a\nb",
            "length \"a\u{fffd}b\" does not hold one plain number",
        ),
        ("1/2", "length \"1/2\" has no unit"),
        ("inf", "length \"inf\" is not a finite number"),
    ] {
        let found = parse_length(typed).unwrap_err().to_string();
        assert_eq!(found, format!("{message}{way_out}"));
    }
    let long = parse_length(&"1".repeat(70)).unwrap_err();
    assert_eq!(long.given, format!("{}…", "1".repeat(39)));
    assert_eq!(
        equilibrium_moisture_percent(20.0, 101.0)
            .unwrap_err()
            .to_string(),
        "relative humidity \"101 %\" is outside 0 to 100 %; write for example 45 %"
    );
    assert_eq!(
        parse_note("H3").unwrap_err().to_string(),
        "note \"H3\" is not a letter A to G, an optional # or b, and an octave; \
         write for example E4, F#3 or Bb2"
    );
}

#[test]
fn near_words_are_found_and_far_ones_are_not() {
    let known = ["maple", "walnut", "ebony"];
    for (typed, found) in [
        ("mapel", Some("maple")),
        ("WALNUT", Some("walnut")),
        ("wallnut", Some("walnut")),
        ("ebny", Some("ebony")),
        ("", None),
        ("oak", None),
        ("x", None),
    ] {
        assert_eq!(nearest(typed, known), found, "{typed}");
    }
    // Of equally near words the first wins.
    assert_eq!(nearest("gf", ["gfx", "gfy"]), Some("gfx"));
    assert_eq!(nearest(&"m".repeat(1_000_000), known), None);
}
