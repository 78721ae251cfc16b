//! Strings against what others have measured and printed: tension, stiffness, stretch.

use std::collections::BTreeMap;

use instrument::{Drawn, DrawnReading, Instrument, read_commission};
use play::sheet;
use play::stretch::{CoreBasis, StretchBasis, rise_of, stretch};
use play::strings::{
    inharmonicity_of_wire, known_tensions, neck_load_n, partial_hz, pitch_hz, string_figures,
    tension_n,
};
use quantity::{LinearDensity, Make, cents_between, parse_note, string_material};

/// One pound of force, N: exact.
const LBF_N: f64 = 4.448_221_615_260_5;

/// One string of the published table.
struct Published {
    set: &'static str,
    note: &'static str,
    diameter_in: f64,
    unit_weight_lb_per_in: f64,
    tension_lb: f64,
    mu_g_per_m: f64,
    tension_n: f64,
    r: f64,
    sigma_r: f64,
    kappa: f64,
    b0: f64,
}

fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.skip(1).map(|line| line.split(',').collect())
}

fn published() -> Vec<Published> {
    rows(include_str!("data/classical_strings.csv"))
        .map(|row| {
            let number = |at: usize| row[at].parse().expect("is a number");
            Published {
                set: row[0],
                note: row[1],
                diameter_in: number(2),
                unit_weight_lb_per_in: number(3),
                tension_lb: number(4),
                mu_g_per_m: number(5),
                tension_n: number(6),
                r: number(7),
                sigma_r: number(8),
                kappa: number(9),
                b0: number(10),
            }
        })
        .collect()
}

/// The readings of every string, by set and note.
fn drawn() -> BTreeMap<(&'static str, &'static str), Drawn> {
    let mut found = BTreeMap::new();
    for row in rows(include_str!("data/drawn_strings.csv")) {
        let reading = DrawnReading {
            length_mm: row[2].parse().expect("is a number"),
            hertz: row[3].parse().expect("is a number"),
            spread_hz: row[4].parse().ok(),
        };
        let drawn = found.entry((row[0], row[1])).or_insert(Drawn {
            mark_at_fret: 1,
            readings: Vec::new(),
        });
        drawn.readings.push(reading);
    }
    found
}

fn hertz(note: &str) -> f64 {
    parse_note(note).expect("is a note").frequency_hz(440.0)
}

fn instrument(length: &str, strings: &[String]) -> Instrument {
    let text = format!(
        "camberwright = 1\ntitle = \"check\"\n[scale]\nlength = \"{length}\"\nfrets = 19\n[strings]\n\
         nut_spread = 43\nsaddle_spread = 58\nset = [\n{}\n]\n[board]\nnut_width = 52\nend_width = 62\n\
         overhang = 5\ncrown_thickness = 6\n[camber]\nlaw = \"single\"\nradius = 400\n",
        strings.join(",\n")
    );
    read_commission(&text, &|_| Err("no files".into())).unwrap_or_else(|faults| panic!("{faults}"))
}

/// A published set as a commission of 650 mm, with its drawn readings.
fn classical(set: &str) -> Instrument {
    let drawn = drawn();
    let strings: Vec<String> = published()
        .iter()
        .filter(|string| string.set == set)
        .map(|string| {
            let readings: Vec<String> = drawn[&(string.set, string.note)]
                .readings
                .iter()
                .map(|reading| {
                    let spread = reading.spread_hz.map(|hz| format!(", spread = {hz:?}"));
                    format!(
                        "{{ length = {:?}, hertz = {:?}{} }}",
                        reading.length_mm,
                        reading.hertz,
                        spread.unwrap_or_default()
                    )
                })
                .collect();
            format!(
                "{{ note = \"{}\", gauge = \"{} in\", make = \"nylon\", unit_weight = \"{} g/m\", \
                 drawn = {{ readings = [{}] }} }}",
                string.note,
                string.diameter_in,
                string.mu_g_per_m,
                readings.join(", ")
            )
        })
        .collect();
    instrument("650 mm", &strings)
}

#[test]
fn printed_tensions_of_eighteen_classical_strings_are_met() {
    // Makers' unit weights and tensions at 25.5 in, printed to 0.1 lb, as listed by Anderson &
    // Beausoleil 2024. The carbon set's makers contradict themselves by up to 12 %.
    let mut met = 0;
    for string in published().iter().filter(|string| string.set != "carbon") {
        let weight = LinearDensity::from_lb_per_in(string.unit_weight_lb_per_in);
        let newtons = tension_n(weight.kg_per_m(), 25.5 * 25.4, hertz(string.note));
        let difference_lb = newtons / LBF_N - string.tension_lb;
        assert!(
            difference_lb.abs() < 0.05,
            "{} {}: {difference_lb} lb",
            string.set,
            string.note
        );
        met += 1;
    }
    assert_eq!(met, 18);
}

#[test]
fn a_measured_guitar_string_is_as_stiff_as_printed() {
    // C. Issanchou et al., J. Sound Vib. 393, 229 (2017), their published inputs: L = 1.002 m,
    // d = 0.43 mm, T = 180.5 N, 1.17 g/m, B = 1.78e-5. E = 195 GPa is ours.
    let b = inharmonicity_of_wire(195.0, 0.43, 180.5, 1002.0);
    assert!((b / 1.78e-5 - 1.0).abs() < 0.005, "{b}");
    // Their first measured mode is 195.737 Hz; a few tenths belong to the rig's ends.
    let first = partial_hz(pitch_hz(180.5, 0.001_17, 1002.0), 1, b);
    assert!((first - 195.737).abs() < 0.5, "{first}");
}

#[test]
fn a_basss_published_partials_are_met() {
    // C. Issanchou et al., Applied Acoustics 129, 217 (2018), their published inputs: 191.6 N,
    // 6.7 g/m, 0.863 m, B = 3.5e-5, f0 = 97.976 Hz; partial 862 at 1,182,650.14 Hz by the straight
    // form n f0 (1 + B n²/2), from which the root's argument is won back.
    let f0 = pitch_hz(191.6, 0.0067, 863.0);
    assert!((f0 - 97.975_97).abs() < 5e-6, "{f0}");
    let half = 1_182_650.14 / (862.0 * f0) - 1.0;
    let from_published = 862.0 * f0 * (1.0 + 2.0 * half).sqrt();
    let found = partial_hz(f0, 862, 3.5e-5);
    assert!((found / from_published - 1.0).abs() < 1e-6, "{found}");
    // Where the stiffness is small both forms are one.
    let straight = 20.0 * f0 * (1.0 + 3.5e-5 * 400.0 / 2.0);
    assert!((partial_hz(f0, 20, 3.5e-5) / straight - 1.0).abs() < 3e-5);
}

#[test]
fn a_piano_string_sounds_where_it_should() {
    // A C4 string as used for simulations (A. Chaigne, A. Askenfelt 1994; whose numbers these are
    // is from memory): 0.62 m, 670 N, 6.3 g/m, nominal 262 Hz; 262.99 by the ideal string.
    let found = pitch_hz(670.0, 0.0063, 620.0);
    assert!((found - 262.99).abs() < 0.005, "{found}");
    assert!((tension_n(0.0063, 620.0, found) - 670.0).abs() < 1e-9);
}

#[test]
fn a_wound_bass_string_stiffens_toward_the_bridge_as_measured() {
    // J. A. Kemp, SN Applied Sciences 2:636 (2020), abstract: about 100 cents at the 10th partial
    // when stopped at fret 12, and at the 6th at fret 21.
    let bass = instrument(
        "860 mm",
        &[
            "{ note = \"B0\", gauge = 3.3, make = \"nickel wound\", unit_weight = \"55 g/m\" }"
                .into(),
        ],
    );
    let stretch = string_figures(&bass)[0]
        .stretch
        .clone()
        .expect("a wound string has one");
    let at =
        |fret: usize| stretch.inharmonicity_pinned(860.0 * (1.0 - bass.tuning.proportion(fret)));
    // Scale the string's own stiffness to the first statement, and ask for the second.
    let wanted = (f64::exp2(100.0 / 600.0) - 1.0) / 100.0;
    let scale = wanted / at(12);
    let sharp = |partial: u32| {
        let ideal = 100.0 * f64::from(partial);
        cents_between(ideal, partial_hz(100.0, partial, scale * at(21)))
    };
    assert!((cents_between(1000.0, partial_hz(100.0, 10, scale * at(12))) - 100.0).abs() < 1e-9);
    // 100 cents fall between 5.5 and 6.5 partials: nearest to the sixth.
    assert!(sharp(6) > 90.0 && sharp(6) < 110.0, "{}", sharp(6));
    assert!(sharp(5) < 80.0 && sharp(7) > 120.0);
}

#[test]
fn six_classical_strings_pull_374_9_newtons() {
    // Anderson & Beausoleil 2024: the tensions of the normal set at 650 mm, added.
    let figures = string_figures(&classical("normal"));
    let load = neck_load_n(&figures).expect("all are known");
    assert!((load - 374.9).abs() < 0.3, "{load}");
    assert_eq!(known_tensions(&figures), 6);
}

#[test]
fn every_published_rise_is_found_from_its_readings() {
    // Anderson & Beausoleil 2024, all 24 strings, to 1e-5 of the printed value.
    let drawn = drawn();
    assert_eq!(
        drawn
            .values()
            .map(|string| string.readings.len())
            .sum::<usize>(),
        168
    );
    let mark_mm = 650.0 * f64::exp2(-1.0 / 12.0);
    for string in published() {
        let readings = &drawn[&(string.set, string.note)];
        let rise = rise_of(readings, mark_mm, hertz(string.note)).expect("it rises");
        let sigma = rise.sigma.expect("seven readings have one");
        let context = format!("{} {}: {rise:?}", string.set, string.note);
        assert!((rise.r / string.r - 1.0).abs() < 1e-5, "{context}");
        assert!((sigma / string.sigma_r - 1.0).abs() < 1e-5, "{context}");
    }
}

#[test]
fn a_commission_with_readings_has_the_published_stretch() {
    for set in ["light", "normal", "hard", "carbon"] {
        let figures = string_figures(&classical(set));
        let printed = published().into_iter().filter(|string| string.set == set);
        for (found, printed) in figures.iter().zip(printed) {
            let stretch = found.stretch.as_ref().expect("it was measured");
            let context = format!("{set} {}: {stretch:?}", printed.note);
            assert_eq!(stretch.basis, StretchBasis::Measured, "{context}");
            assert!(
                (stretch.kappa / printed.kappa - 1.0).abs() < 1e-5,
                "{context}"
            );
            let sigma = stretch.sigma.expect("seven readings have one");
            assert!(
                (sigma / (2.0 * printed.sigma_r) - 1.0).abs() < 1e-5,
                "{context}"
            );
            let b0 = stretch.inharmonicity_clamped(650.0);
            assert!((b0 / printed.b0 - 1.0).abs() < 1e-5, "{context}: {b0}");
            // The weight is printed to 0.001 g/m and the tension to 0.1 N.
            let tension_n = found.tension_n.expect("its weight is given");
            assert!(
                (tension_n - printed.tension_n).abs() < 0.15,
                "{context}: {tension_n}"
            );
        }
        assert_eq!(figures.len(), 6);
    }
}

#[test]
fn nylon_not_measured_has_the_mean_of_the_normal_and_hard_sets() {
    let of: Vec<f64> = published()
        .iter()
        .filter(|string| ["normal", "hard"].contains(&string.set))
        .map(|string| string.kappa)
        .collect();
    let mean = of.iter().sum::<f64>() / of.len() as f64;
    let guitar = instrument(
        "650 mm",
        &["{ note = \"E4\", gauge = \"0.028 in\", make = \"nylon\" }".into()],
    );
    let found = stretch(&guitar, 0, None).expect("nylon has a usual one");
    assert_eq!(found.basis, StretchBasis::Make);
    assert!(
        (found.kappa - mean).abs() < 0.05,
        "{} for {mean}",
        found.kappa
    );
    let usual = string_material(Make::Nylon)
        .and_then(|nylon| nylon.stretch)
        .expect("in the table");
    for string in published() {
        // The table's ends are rounded to 0.1.
        let low = usual.low.expect("a range") - 0.05;
        let high = usual.high.expect("a range") + 0.05;
        assert!((low..=high).contains(&string.kappa), "{}", string.kappa);
    }
}

#[test]
fn a_plain_first_string_is_as_reckoned_apart() {
    // 0.010 in at E4 over 25.5 in: 16.20 lb by the trade's inch form, which takes 386.4 in/s² for
    // the standard 386.0886. By hand: 72.1208 N on 0.0506707 mm², E A = 10,488.8 N.
    let figures = string_figures(&instrument(
        "25.5 in",
        &["{ note = \"E4\", gauge = \"0.010 in\" }".into()],
    ));
    let tension_n = figures[0].tension_n.expect("published");
    assert!(
        (tension_n / LBF_N - 16.20 * 386.4 / 386.0886).abs() < 0.005,
        "{tension_n}"
    );
    let stretch = figures[0].stretch.as_ref().expect("plain steel has one");
    assert_eq!(
        (stretch.basis, stretch.sigma),
        (StretchBasis::PlainWire, None)
    );
    assert!((stretch.kappa - 145.434).abs() < 0.001, "{stretch:?}");
    assert!((stretch.stiffness_n(tension_n) - 10_488.8).abs() < 0.1);
    // The general form of the stiffness is that of a round wire.
    let of_wire = inharmonicity_of_wire(207.0, 0.254, tension_n, 647.7);
    let found = figures[0].inharmonicity.expect("follows from the stretch");
    assert!((found / of_wire - 1.0).abs() < 1e-12, "{found} {of_wire}");
    // 1.42332 GPa of 2211/0.254^0.145 MPa: a bit over half.
    assert!((figures[0].stress_gpa.expect("known") - 1.423_32).abs() < 5e-6);
    assert!((figures[0].share_of_strength.expect("known") - 0.527_734).abs() < 5e-6);
}

#[test]
fn a_given_core_is_taken_before_the_rule() {
    let string = |core: &str| {
        format!("{{ note = \"E2\", gauge = \"0.046 in\", make = \"nickel wound\"{core} }}")
    };
    let set = [string(", core = 0.42"), string("")];
    let guitar = instrument("635 mm", &set);
    let figures = string_figures(&guitar);
    let of = |at: usize| figures[at].stretch.clone().expect("steel has one");
    assert_eq!(of(0).basis, StretchBasis::Core(CoreBasis::Given));
    assert_eq!(of(1).basis, StretchBasis::Core(CoreBasis::ByRule));
    // 207 GPa · π 0.42²/4 = 28.679 kN (derived).
    let tension_n = figures[0].tension_n.expect("published");
    assert!(
        (of(0).stiffness_n(tension_n) - 28_678.7).abs() < 1.0,
        "{:?}",
        of(0)
    );
    assert!((of(0).kappa - of(1).kappa).abs() < 2.0 * of(1).sigma.expect("the rule has one"));
}

fn codes(length: &str, strings: &[&str]) -> Vec<(&'static str, String)> {
    let strings: Vec<String> = strings
        .iter()
        .map(|string| format!("{{ {string} }}"))
        .collect();
    let sheet = sheet(&instrument(length, &strings), None);
    let of_strings = [
        "tension_low",
        "tension_high",
        "near_breaking",
        "stretch_unknown",
    ];
    sheet
        .warnings
        .into_iter()
        .filter(|warning| of_strings.contains(&warning.code))
        .map(|warning| (warning.code, warning.place))
        .collect()
}

#[test]
fn strings_far_from_the_usual_are_warned_of() {
    let one = |code, place: &str| vec![(code, place.to_owned())];
    let plain = |note: &str, gauge: &str| format!("note = \"{note}\", gauge = \"{gauge} in\"");
    assert_eq!(codes("648 mm", &[&plain("E4", "0.010")]), []);
    assert_eq!(
        codes("648 mm", &[&plain("E3", "0.010")]),
        one("tension_low", "string 1")
    );
    assert_eq!(
        codes("648 mm", &[&plain("E4", "0.017")]),
        one("tension_high", "string 1")
    );
    // The same wire at the same pull is usual on a guitar and slack on a bass.
    assert_eq!(
        codes("762 mm", &[&plain("C4", "0.010")]),
        one("tension_low", "string 1")
    );
    // A4 on 648 mm asks 2.54 GPa of the wire; common experience, it breaks.
    assert_eq!(
        codes("648 mm", &[&plain("A4", "0.009")]),
        one("near_breaking", "string 1")
    );
    let other = "note = \"E2\", gauge = 1.2, make = \"other\", unit_weight = \"7 g/m\"";
    assert_eq!(
        codes("648 mm", &[other, other]),
        one("stretch_unknown", "strings 1 and 2")
    );
    let slips = format!(
        "{}, drawn = {{ readings = [{{ length = 0, hertz = 110 }}, {{ length = 2, hertz = 109 }}] }}",
        plain("E4", "0.010")
    );
    assert_eq!(
        codes("648 mm", &[&slips]),
        one("stretch_unknown", "string 1")
    );
}
