//! Readings that no sound visit would have, through the door and the report: never a panic, always
//! a report with a finite covariance or an error in words.

use std::fmt::Write as _;

use bench::{Kit, read_kit};
use instrument::{Instrument, read_commission};
use readings::next::Allowed;
use readings::{Ask, ReadOut, read_readings, report};
use trials::Chance;

const HERON: &str = include_str!("../../../../demo/heron.toml");
const KIT: &str = include_str!("../../../../demo/north-bench.toml");
const DEMO: &str = include_str!("../../../../demo/heron-readings.csv");

fn bench_of(board: &str) -> (Instrument, Kit) {
    let instrument = read_commission(board, &|name| Err(name.to_owned()));
    (
        instrument.unwrap_or_else(|faults| panic!("{faults}")),
        read_kit(KIT).expect("the demo is sound"),
    )
}

/// What became of a text's visits.
struct Became {
    out: ReadOut,
    reports: usize,
    done: usize,
    doubted: usize,
    errors: Vec<String>,
}

fn check_on(board: &str, text: &str) -> Became {
    let (instrument, kit) = bench_of(board);
    let out = read_readings(text, &instrument, Some(&kit));
    let (mut reports, mut done, mut doubted, mut errors) = (0, 0, 0, Vec::new());
    for visit in &out.visits {
        let ask = Ask {
            instrument: &instrument,
            bench: None,
            visit,
            allowed: Allowed::default(),
            tolerance_mm: None,
        };
        match report(&ask) {
            Ok(told) => {
                reports += 1;
                doubted += told.doubted.len();
                let covariance = &told.measured.known.covariance;
                assert!(
                    covariance.iter().all(|entry| entry.is_finite()),
                    "{text:.300}"
                );
                assert!((0..covariance.nrows()).all(|i| covariance[(i, i)] >= 0.0));
                let heights = &told.map.over_plan;
                let sound =
                    |f: &readings::measured::Figure| f.value.is_finite() && f.sigma.is_finite();
                assert!(heights.iter().all(sound), "{text:.300}");
                done += usize::from(told.next.is_ok_and(|next| next.is_done()));
            }
            Err(error) => {
                assert!(error.to_string().len() > 20);
                errors.push(error.to_string());
            }
        }
    }
    Became {
        out,
        reports,
        done,
        doubted,
        errors,
    }
}

fn check(text: &str) -> Became {
    check_on(HERON, text)
}

/// A text that must be read without a fault and end in one report that is not "done".
fn one_report(text: &str) -> Became {
    let became = check(text);
    assert!(became.out.faults.is_empty(), "{}", became.out.faults);
    assert_eq!(
        (became.reports, &became.errors),
        (1, &Vec::new()),
        "{text:.200}"
    );
    became
}

#[test]
fn two_readings_prove_little_and_say_so() {
    let became = one_report("kind,tool,at,shows\nlight,12 in,fret 9,none\nlight,10 in,nut,none\n");
    assert_eq!(became.done, 0);
}

#[test]
fn nothing_at_all_is_no_visit() {
    for text in ["", "\n\n", "kind,tool,at,shows\n", "x,y,z\n", "# a word\n"] {
        let became = check(text);
        assert!(became.out.visits.is_empty());
        assert!(
            !became.out.faults.is_empty() || !became.out.notes.is_empty(),
            "{text:?}"
        );
    }
}

#[test]
fn all_on_one_line_is_a_report_that_is_not_done() {
    let mut text = String::from("kind,at,across,value\n");
    for x in 0..=46 {
        let _written = writeln!(text, "height,{},centre,0.1", 10 * x);
    }
    assert_eq!(one_report(&text).done, 0);
    // And all in one spot.
    let text = format!("kind,at,across,value\n{}", "height,230,5,0.1\n".repeat(50));
    assert_eq!(one_report(&text).done, 0);
}

#[test]
fn flat_contradictions_are_a_report_in_which_some_are_doubted() {
    let mut text = String::from("kind,at,across,value\n");
    for turn in 0..10 {
        let value = if turn % 2 == 0 { 6.0 } else { 6.5 };
        let _written = writeln!(text, "thickness,fret 9,lane 3,{value}");
    }
    let became = one_report(&text);
    assert!(
        became.doubted > 0,
        "half a millimetre apart with a caliper of 0.02"
    );
    assert_eq!(became.done, 0);
}

#[test]
fn contradicting_windows_are_a_report() {
    let mut text = String::from("kind,tool,at,shows\n");
    for turn in 0..20 {
        let gauge = ["10 in", "12 in", "16 in"][turn % 3];
        let _written = writeln!(text, "light,{gauge},fret 9,none");
    }
    assert_eq!(one_report(&text).done, 0);
}

#[test]
fn thousands_of_windows_are_a_report() {
    let mut text = String::from("kind,tool,at,shows,across,value\n");
    for turn in 0..1500 {
        let fret = turn % 23;
        let name = if fret == 0 {
            "nut".to_owned()
        } else {
            format!("fret {fret}")
        };
        let _written = writeln!(
            text,
            "light,12 in,{name},{},,",
            ["edges", "crown", "none"][turn / 23 % 3]
        );
        let _written = writeln!(
            text,
            "chalk,16 in,fret {},stayed,lane {},",
            1 + turn % 22,
            1 + turn % 6
        );
    }
    assert_eq!(one_report(&text).done, 0);
}

/// A probe's file over a part of the board.
fn cloud(from: f64, to: f64, height: impl Fn(f64, f64) -> f64) -> String {
    let mut text = String::from("x,y,z\n");
    for along in 0..40 {
        for across in 0..20 {
            let x = from + (to - from) * f64::from(along) / 39.0;
            let y = -20.0 + 40.0 * f64::from(across) / 19.0;
            let _written = writeln!(text, "{x:.3},{y:.3},{:.4}", height(x, y));
        }
    }
    text
}

fn camber(x: f64, y: f64) -> f64 {
    let radius = 240.0 + 160.0 * x / 456.8;
    (radius * radius - y * y).sqrt() - radius
}

#[test]
fn clouds_in_a_corner_with_a_constant_or_a_huge_tilt_are_reports() {
    let corner = one_report(&cloud(0.0, 30.0, camber));
    assert_eq!(corner.done, 0, "most of the board was not read");
    one_report(&cloud(0.0, 460.0, |_, _| 0.25));
    one_report(&cloud(0.0, 460.0, |x, y| camber(x, y) + 60.0));
    one_report(&cloud(0.0, 460.0, |x, y| camber(x, y) + 0.1 * x + 0.5 * y));
    // A tilt past all that is believed of one.
    let steep = check(&cloud(0.0, 460.0, |x, y| camber(x, y) + 0.2 * x - 2.0 * y));
    assert_eq!(steep.reports + steep.errors.len(), 1);
}

#[test]
fn stations_outside_the_board_are_faults() {
    for at in ["-40", "900", "fret 40", "1e300", "nan", "inf"] {
        let became = check(&format!("kind,at,across,value\nthickness,{at},0,6\n"));
        assert!(!became.out.faults.is_empty(), "{at}");
        assert!(became.out.visits.is_empty(), "{at}");
    }
    assert!(!check("x,y,z\n900,0,0\n").out.faults.is_empty());
}

#[test]
fn a_flat_board_is_read_like_any() {
    let flat = HERON.replace(
        "law = \"cone\"\nnut = \"240 mm\"\nlast_fret = \"400 mm\"",
        "law = \"single\"\nradius = \"flat\"",
    );
    assert_ne!(flat, HERON);
    let mut text = String::from("kind,tool,at,across,shows,value\n");
    for fret in 1..=22 {
        let _written = writeln!(text, "light,flat,fret {fret},,none,");
        let _written = writeln!(text, "gap,500 mm,fret {},lane 3,none,", fret.min(21));
        let _written = writeln!(text, "thickness,,fret {fret},centre,,6");
    }
    let became = check_on(&flat, &text);
    assert!(became.out.faults.is_empty(), "{}", became.out.faults);
    assert_eq!(became.reports, 1, "{:?}", became.errors);
    let became = check_on(&flat, &cloud(0.0, 460.0, |_, _| 0.0));
    assert_eq!(became.reports, 1, "{:?}", became.errors);
}

/// Cells that a file might hold, sound and not.
const CELLS: [&str; 40] = [
    "light",
    "gap",
    "rock",
    "sagitta",
    "thickness",
    "chalk",
    "height",
    "12 in",
    "16 in",
    "40 mm",
    "flat",
    "beam",
    "500 mm",
    "nut",
    "fret 9",
    "fret 22",
    "230",
    "end",
    "centre",
    "lane 3",
    "lane 6",
    "treble edge",
    "bass edge",
    "none",
    "edges",
    "crown",
    "stayed",
    "gone",
    "0.05 mm",
    "6 mm",
    "-3",
    "1e9",
    "nan",
    "3 thou",
    "\"",
    "",
    "",
    "#",
    "0,5",
    "\u{fb01}\u{0}",
];

#[test]
fn two_thousand_random_files_never_panic() {
    let mut chance = Chance::new(6);
    let (mut reports, mut faulty) = (0, 0);
    for turn in 0..2000 {
        let text = match turn % 4 {
            0 => (0..chance.whole(0, 300))
                .map(|_| chance.bits() as u8 as char)
                .collect(),
            1 | 2 => table(&mut chance),
            _ => spoilt_demo(&mut chance),
        };
        let became = check(&text);
        reports += became.reports;
        faulty += usize::from(!became.out.faults.is_empty());
    }
    assert!(
        reports > 300 && faulty > 300,
        "{reports} reports, {faulty} with faults"
    );
}

fn table(chance: &mut Chance) -> String {
    let mut text =
        String::from("visit,kind,tool,at,across,from,to,shows,value,resolution,set_up\n");
    for _ in 0..chance.whole(0, 12) {
        let cells: Vec<&str> = (0..11)
            .map(|column| match column {
                1 => CELLS[chance.whole(0, 6)],
                _ => *chance.pick(&CELLS),
            })
            .collect();
        text += &cells.join(",");
        text.push('\n');
    }
    text
}

/// Some lines of the demo, one figure or cell of which is spoilt.
fn spoilt_demo(chance: &mut Chance) -> String {
    let lines: Vec<&str> = DEMO.lines().filter(|line| !line.starts_with('#')).collect();
    let mut text = format!("{}\n", lines[0]);
    for _ in 0..chance.whole(1, 25) {
        let mut cells: Vec<String> = chance
            .pick(&lines[1..])
            .split(',')
            .map(str::to_owned)
            .collect();
        // Lines are taken from any visit: they become one.
        cells[0] = "1".into();
        cells[1].clear();
        cells[2].clear();
        if chance.percent(20) {
            let at = chance.whole(3, cells.len() - 1);
            cells[at] = (*chance.pick(&CELLS)).to_owned();
        }
        if chance.percent(20) && cells[10].ends_with(" mm") {
            let wild = chance.between(-10.0, 10.0);
            cells[10] = format!("{wild:.2} mm");
        }
        text += &cells.join(",");
        text.push('\n');
    }
    text
}
