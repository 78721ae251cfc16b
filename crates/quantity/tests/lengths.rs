//! Lengths as typed, shown and written.

mod chance;

use chance::Chance;
use quantity::{Length, LengthUnit, Problem, parse_length, show_length, write_length};

const UNITS: [LengthUnit; 3] = [
    LengthUnit::Millimetre,
    LengthUnit::DecimalInch,
    LengthUnit::FractionInch,
];

/// A typed text against its value in mm, to the last bit but one.
#[track_caller]
fn check(text: &str, mm: f64) {
    let read = parse_length(text)
        .unwrap_or_else(|error| panic!("{error}"))
        .mm();
    assert!(
        (read - mm).abs() <= mm.abs() * f64::EPSILON,
        "{text:?} read as {read}, not {mm}"
    );
}

#[track_caller]
fn refuse(text: &str) -> Problem {
    match parse_length(text) {
        Ok(length) => panic!("{text:?} read as {} mm", length.mm()),
        Err(error) => error.problem,
    }
}

#[test]
fn makers_spellings_of_inches_are_read() {
    // 1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
    for text in [
        "16in",
        "16 in",
        "16\"",
        "16″",
        "16”",
        "16 inches",
        "16-inch",
        "16 IN.",
        "16''",
    ] {
        check(text, 406.4);
    }
    for text in [
        "25-1/2\"",
        "25 1/2 inches",
        "25 1/2in",
        "25½″",
        "25.5 in",
        "25,5 in",
        "51/2 in",
    ] {
        check(text, 647.7);
    }
    check("11 1/2 in", 292.1);
    check("11½\"", 292.1);
    check("½ in", 12.7);
    check("⅜in", 9.525);
    check("1⁄64 in", 0.396875);
    check("0.010\"", 0.254);
    check(".010 in", 0.254);
    check("12 thou", 0.3048);
    check("1 in", 25.4);
    check("1 ft 2 in", 355.6);
    check("1' 2 1/2\"", 368.3);
    check("1′ - 2″", 355.6);
    check("2 ft .5 in", 622.3);
}

#[test]
fn metric_lengths_and_bare_numbers_are_read() {
    check("406,4 mm", 406.4);
    check("0,010", 0.01);
    check("406.4", 406.4);
    check("40.6 cm", 406.0);
    check("1 m", 1000.0);
    check("250 µm", 0.25);
    check("250 μm", 0.25);
    check("250um", 0.25);
    check("635\u{a0}mm", 635.0);
    check("\u{2009}635\u{202f}mm\u{a0}", 635.0);
    check("1.5e2 mm", 150.0);
    check("635 Millimetres", 635.0);
}

#[test]
fn signs_are_read_and_zero_has_none() {
    check("-0.3 mm", -0.3);
    check("−0.3 mm", -0.3);
    check("+0.3 mm", 0.3);
    check("-1 1/2 in", -38.1);
    check("-1 ft 2 in", -355.6);
    assert!(parse_length("-0").unwrap().mm().is_sign_positive());
}

#[test]
fn what_cannot_be_a_length_is_refused_with_its_reason() {
    assert_eq!(refuse(""), Problem::Empty);
    assert_eq!(refuse(" \u{a0}\t"), Problem::Empty);
    for text in ["NaN", "nan mm", "inf", "-inf mm", "infinity", "1e999"] {
        assert_eq!(refuse(text), Problem::NotFinite, "{text}");
    }
    for text in [
        "16 in 3 mm",
        "16 in in",
        "16 mm in",
        "16 mm2",
        "2 ft 3 mm",
        "1 in 2 ft",
    ] {
        assert_eq!(refuse(text), Problem::SeveralUnits, "{text}");
    }
    for text in ["1,000.5", "1.000,5 mm", "1,000 mm", "25,400", "1,2,3"] {
        assert_eq!(refuse(text), Problem::AmbiguousSeparator, "{text}");
    }
    for text in ["1/0 in", "3 1/0\"", "0/0 in"] {
        assert_eq!(refuse(text), Problem::ZeroDenominator, "{text}");
    }
    for text in [
        "mm", ".", ",", "1.2.3", "--1", "+-1", "1 000 mm", "1 2 mm", "1-2 in", "1/2/3 in",
        "1.5½ in", "½½ in",
    ] {
        assert_eq!(refuse(text), Problem::NotANumber, "{text}");
    }
    // A fraction alone would be half a millimetre by the rule for bare numbers.
    assert_eq!(refuse("11 1/2"), Problem::MissingUnit);
    assert_eq!(
        refuse(&"1".repeat(65)),
        Problem::TooLong { limit_chars: 64 }
    );
}

#[test]
fn the_limit_is_a_thousand_metres_either_way() {
    check("1000 m", 1e6);
    check("-1000000", -1e6);
    for text in ["1000001", "-1000.001 m", "40000 in", "1e300"] {
        assert_eq!(
            refuse(text),
            Problem::OutOfRange {
                low: -1e6,
                high: 1e6,
                unit: "mm"
            },
            "{text}"
        );
    }
}

#[test]
fn an_unknown_unit_is_answered_with_the_nearest() {
    for (text, near) in [
        ("16 inhc", Some("inch")),
        ("16 milimetres", Some("millimetres")),
        ("16 nm", Some("mm")),
        ("16 tohu", Some("thou")),
        ("16 furlongs", None),
    ] {
        let Problem::UnknownUnit { unit, nearest } = refuse(text) else {
            panic!("{text}")
        };
        assert_eq!(unit, text.trim_start_matches("16 "));
        assert_eq!(nearest, near, "{text}");
    }
}

#[test]
fn lengths_are_shown_with_their_unit_and_never_as_minus_zero() {
    let show = |mm, unit, decimals| show_length(Length::from_mm(mm), unit, decimals);
    assert_eq!(show(406.4, LengthUnit::Millimetre, 2), "406.40 mm");
    assert_eq!(show(-0.004, LengthUnit::Millimetre, 2), "0.00 mm");
    assert_eq!(show(-0.0, LengthUnit::Millimetre, 0), "0 mm");
    assert_eq!(show(-0.006, LengthUnit::Millimetre, 2), "-0.01 mm");
    assert_eq!(show(1.6, LengthUnit::DecimalInch, 2), "0.0630 in");
    assert_eq!(show(-0.0001, LengthUnit::DecimalInch, 2), "0.0000 in");
    assert_eq!(show(292.1, LengthUnit::FractionInch, 2), "11 1/2 in");
    assert_eq!(show(-292.1, LengthUnit::FractionInch, 2), "-11 1/2 in");
    assert_eq!(show(25.4, LengthUnit::FractionInch, 2), "1 in");
    assert_eq!(show(0.0, LengthUnit::FractionInch, 2), "0 in");
    assert_eq!(show(-1e-9, LengthUnit::FractionInch, 2), "0 in");
    assert_eq!(show(0.0254, LengthUnit::FractionInch, 2), "0.0010 in");
    // 635 mm is 25 in and 0 in, exactly; 0.4 mm is 1/64 in and 0.000123 in.
    assert_eq!(show(635.0, LengthUnit::FractionInch, 2), "25 in");
    assert_eq!(
        show(0.4, LengthUnit::FractionInch, 2),
        "1/64 in + 0.0001 in"
    );
    assert_eq!(show(0.4, LengthUnit::FractionInch, 1), "1/64 in");
    assert_eq!(
        show(-0.38, LengthUnit::FractionInch, 2),
        "-1/64 in + 0.0007 in"
    );
    assert_eq!(
        show(0.38, LengthUnit::FractionInch, 2),
        "1/64 in - 0.0007 in"
    );
    // Just under a whole inch the fraction rounds up to it.
    assert_eq!(show(25.39, LengthUnit::FractionInch, 2), "1 in - 0.0004 in");
}

#[test]
fn showing_survives_any_number_and_any_decimals() {
    for mm in [
        f64::NAN,
        f64::INFINITY,
        f64::MAX,
        f64::MIN_POSITIVE,
        -1e300,
        1e17,
    ] {
        for unit in UNITS {
            for decimals in [0, 3, usize::MAX] {
                let shown = show_length(Length::from_mm(mm), unit, decimals);
                assert!(shown.contains("in") || shown.contains("mm") || shown == "no length");
                assert!(!write_length(Length::from_mm(mm), unit).is_empty());
            }
        }
    }
}

#[test]
fn written_lengths_are_short_and_whole() {
    let write = |text, unit| write_length(parse_length(text).unwrap(), unit);
    assert_eq!(write("16 in", LengthUnit::Millimetre), "406.4 mm");
    assert_eq!(write("25 1/2 in", LengthUnit::Millimetre), "647.7 mm");
    assert_eq!(write("292.1 mm", LengthUnit::FractionInch), "11 1/2 in");
    assert_eq!(write("406.4 mm", LengthUnit::DecimalInch), "16 in");
    assert_eq!(write("0.010 in", LengthUnit::FractionInch), "0.01 in");
    assert_eq!(write("-1/64 in", LengthUnit::FractionInch), "-1/64 in");
    assert_eq!(write("-0", LengthUnit::FractionInch), "0 in");
    assert_eq!(write("635 mm", LengthUnit::DecimalInch), "25 in");
    assert_eq!(write("0.0000001 mm", LengthUnit::Millimetre), "1e-7 mm");
}

/// What is written reads back: millimetres bit for bit, inches within 1e-12.
#[track_caller]
fn check_round_trip(length: Length) {
    for unit in UNITS {
        let text = write_length(length, unit);
        let back = parse_length(&text).unwrap_or_else(|error| panic!("{error}"));
        let error_mm = (back.mm() - length.mm()).abs();
        let allowed_mm = if unit == LengthUnit::Millimetre {
            0.0
        } else {
            length.mm().abs() * 1e-12
        };
        assert!(
            error_mm <= allowed_mm,
            "{length:?} written as {text:?} read as {back:?}"
        );
    }
}

#[test]
fn lengths_of_every_size_survive_writing_and_reading() {
    let mut chance = Chance::from_seed(1959);
    for exponent in -30..6 {
        for _ in 0..300 {
            let mm = chance.between(-1.0, 1.0) * 10f64.powi(exponent);
            check_round_trip(Length::from_mm(mm));
        }
    }
    for mm in [0.0, 1e6, -1e6, 1e-300, 0.1 + 0.2] {
        check_round_trip(Length::from_mm(mm));
    }
}

#[test]
fn every_sixty_fourth_of_an_inch_is_written_as_itself() {
    for parts in -3000..3000 {
        let length = Length::from_inches(f64::from(parts) / 64.0);
        let text = write_length(length, LengthUnit::FractionInch);
        assert!(!text.contains('.'), "{parts}/64 in written as {text:?}");
        assert_eq!(parse_length(&text).unwrap(), length);
        assert_eq!(show_length(length, LengthUnit::FractionInch, 4), text);
    }
}
