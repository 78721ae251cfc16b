//! No text makes the room panic, and what is read from chance is still a sound quantity.

mod chance;

use chance::Chance;
use quantity::*;

/// Characters and words that typed quantities are made of, and some that break them.
const PIECES: &[&str] = &[
    "0", "1", "2", "7", "9", "10", "16", "000", ".", ",", "/", "-", "−", "+", " ", "\u{a0}", "e",
    "E", "e-5", "e+", "mm", "in", "\"", "″", "”", "'", "''", "½", "⅞", "⁄", "ft", "thou", "cm",
    "m", "µm", "N", "lbf", "gf", "kg/m", "lb/in", "%", "°", "C", "F", "℉", "K", "♯", "♭", "#", "b",
    "nan", "inf", "∞", "(", ")", "ß", "İ", "e\u{301}", "\u{0}", "\u{feff}", "🎸", "ebony",
    ",African", "P80", "spp.", "٣", "1e999",
];

fn pieced_text(chance: &mut Chance) -> String {
    let count = chance.below(9);
    (0..count)
        .map(|_| PIECES[chance.below(PIECES.len())])
        .collect()
}

fn byte_soup(chance: &mut Chance) -> String {
    let bytes: Vec<u8> = (0..chance.below(90)).map(|_| chance.bits() as u8).collect();
    String::from_utf8_lossy(&bytes).into_owned()
}

fn any_chars(chance: &mut Chance) -> String {
    let count = chance.below(40);
    (0..count)
        .filter_map(|_| char::from_u32((chance.bits() % 0x11_0000) as u32))
        .collect()
}

/// Reads the text as everything; says whether anything was read.
fn read_as_everything(text: &str) -> bool {
    let length = parse_length(text);
    if let Ok(length) = length {
        assert!(length.mm().abs() <= 1e6, "{text:?} gave {length:?}");
        for unit in [
            LengthUnit::Millimetre,
            LengthUnit::DecimalInch,
            LengthUnit::FractionInch,
        ] {
            let written = write_length(length, unit);
            let back = parse_length(&written).unwrap_or_else(|error| panic!("{text:?}: {error}"));
            assert!(
                (back.mm() - length.mm()).abs() <= length.mm().abs() * 1e-12,
                "{written}"
            );
            show_length(length, unit, 2);
        }
    }
    if let Err(error) = &length {
        assert!(error.given.chars().count() <= 40);
        let message = error.to_string();
        assert!(
            !message.ends_with('.') && !message.contains(char::is_control),
            "{message:?}"
        );
    }
    let force = parse_force(text).inspect(|force| assert!(force.newtons().is_finite()));
    let density = parse_linear_density(text).inspect(|weight| assert!(weight.kg_per_m() >= 0.0));
    let percent = parse_percent(text).inspect(|percent| assert!(percent.is_finite()));
    let celsius = parse_temperature(text).inspect(|celsius| assert!(*celsius >= -273.15));
    let note = parse_note(text).inspect(|note| {
        assert_eq!(parse_note(&note.to_string()).as_ref(), Ok(note));
    });
    let make = Make::parse(text);
    length.is_ok()
        || force.is_ok()
        || density.is_ok()
        || percent.is_ok()
        || celsius.is_ok()
        || note.is_ok()
        || make.is_ok()
}

/// Looks the text up in every table; apart from the rest because it takes longer.
fn look_up_everywhere(text: &str) {
    let woods_found = [nearest_wood_name(text), wood(text).map(|wood| wood.name)];
    for found in woods_found.into_iter().flatten() {
        assert!(wood(found).is_some(), "{text:?} found {found:?}");
    }
    let grades_found = [
        nearest_grade_name(text),
        grade(text).map(|grade| grade.name),
    ];
    for found in grades_found.into_iter().flatten() {
        assert!(grade(found).is_some(), "{text:?} found {found:?}");
    }
    wire(text);
}

#[test]
fn no_text_panics() {
    let mut chance = Chance::from_seed(0x00C0_FFEE);
    let mut read = 0;
    for _ in 0..20_000 {
        read += usize::from(read_as_everything(&pieced_text(&mut chance)));
    }
    // The pieces must reach the readers proper, not only their first refusal.
    assert!(read > 500, "only {read} texts were read as anything");
    for _ in 0..5_000 {
        read_as_everything(&byte_soup(&mut chance));
        read_as_everything(&any_chars(&mut chance));
    }
}

#[test]
fn no_name_looked_up_panics() {
    let mut chance = Chance::from_seed(41);
    for _ in 0..1_000 {
        look_up_everywhere(&pieced_text(&mut chance));
        look_up_everywhere(&byte_soup(&mut chance));
        look_up_everywhere(&any_chars(&mut chance));
    }
}

#[test]
fn very_long_texts_are_refused_quickly() {
    let long = "9½ in ".repeat(100_000);
    assert!(!read_as_everything(&long));
    look_up_everywhere(&long);
}

#[test]
fn no_number_panics() {
    let numbers = [
        f64::NAN,
        f64::INFINITY,
        -f64::INFINITY,
        f64::MAX,
        5e-324,
        0.0,
        -0.0,
        -1e300,
    ];
    for number in numbers {
        for unit in [ForceUnit::Newton, ForceUnit::OunceForce] {
            show_force(Force::from_newtons(number), unit, usize::MAX);
            write_force(Force::from_newtons(number), unit);
        }
        let density = LinearDensity::from_kg_per_m(number);
        show_linear_density(density, LinearDensityUnit::PoundPerInch, usize::MAX);
        write_linear_density(density, LinearDensityUnit::PoundPerInch);
        for make in [
            Make::PlainSteel,
            Make::NickelWound,
            Make::Nylon,
            Make::Other,
        ] {
            let weight = unit_weight(make, Length::from_mm(number));
            assert!(
                weight.is_none() || number == 5e-324,
                "{make} of {number} mm"
            );
        }
        let in_range = (-20.0..=100.0).contains(&number);
        assert_eq!(equilibrium_moisture_percent(number, 50.0).is_ok(), in_range);
        assert_eq!(
            equilibrium_moisture_percent(20.0, number).is_ok(),
            (0.0..=100.0).contains(&number)
        );
        cents_between(number, 440.0);
        ratio_of_cents(number);
    }
}
