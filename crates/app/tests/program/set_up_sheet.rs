//! The set-up sheet on paper, as the command line writes it: its words are read back by Poppler
//! where that is installed; where it is not, each test says that it was skipped.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

const PAPERS: [&str; 2] = ["a4", "letter"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A file of a test's own, not there yet.
fn fresh(name: &str) -> PathBuf {
    let path =
        Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{}-{name}", std::process::id()));
    let _not_there = std::fs::remove_file(&path);
    path
}

/// The record of a commission's playing, and the set-up sheet's file.
fn played(commission: &Path, paper: &str, more: &[&str]) -> (Value, PathBuf) {
    let stem = commission
        .file_stem()
        .expect("has a name")
        .to_string_lossy();
    let count = NEXT.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    let pdf = fresh(&format!("{stem}-{paper}-{count}.pdf"));
    let output = Command::new(env!("CARGO_BIN_EXE_camberwright"))
        .arg("play")
        .arg(commission)
        .args(["--necks", "320", "--json", "--paper", paper, "--pdf"])
        .arg(&pdf)
        .args(more)
        .current_dir(root())
        .output()
        .expect("the program starts");
    let words = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{commission:?}: {words}");
    let record = serde_json::from_slice(&output.stdout).expect("a record is JSON");
    (record, pdf)
}

static NEXT: std::sync::atomic::AtomicUsize = std::sync::atomic::AtomicUsize::new(0);

/// Writes a commission and plays it.
fn played_text(name: &str, text: &str, paper: &str) -> (Value, PathBuf) {
    let path = fresh(&format!("{name}.toml"));
    std::fs::write(&path, text).expect("can be written");
    let played = played(&path, paper, &[]);
    std::fs::remove_file(&path).expect("it is still there");
    played
}

fn demo(name: &str) -> PathBuf {
    root().join(format!("demo/{name}.toml"))
}

fn demo_text(name: &str) -> String {
    std::fs::read_to_string(demo(name)).expect("the demo is there")
}

/// What a tool of Poppler prints about a file; nothing, with a message, if it is not there.
fn poppler(tool: &str, arguments: &[&str], file: &Path) -> Option<String> {
    let output = match Command::new(tool).args(arguments).output() {
        Ok(output) => output,
        Err(error) => {
            // Written past the test harness, which would swallow it.
            let message = format!("skipped: {tool} cannot be run ({error})\n");
            std::io::stderr()
                .write_all(message.as_bytes())
                .expect("there is a terminal");
            return None;
        }
    };
    let trouble = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{file:?}: {trouble}");
    assert!(trouble.is_empty(), "{file:?}: {trouble}");
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// The words on paper in the order in which they were written, every run of white space made one space.
fn words(file: &Path) -> Option<String> {
    let name = file.to_string_lossy();
    let text = poppler("pdftotext", &["-raw", "-enc", "UTF-8", &name, "-"], file)?;
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// How many sheets, and their size in points.
fn sheets(file: &Path) -> Option<(usize, String)> {
    let info = poppler("pdfinfo", &[&file.to_string_lossy()], file)?;
    let lines = info.lines().filter_map(|line| line.split_once(':'));
    let facts: BTreeMap<&str, &str> = lines.map(|(name, fact)| (name, fact.trim())).collect();
    let count = facts["Pages"].parse().expect("a number");
    Some((count, facts["Page size"].to_owned()))
}

fn check_has(file: &Path, wanted: &[&str]) {
    let Some(text) = words(file) else { return };
    for words in wanted {
        assert!(text.contains(words), "no \"{words}\" in {file:?}: {text}");
    }
}

/// Every word lies on its sheet, by Poppler's boxes.
fn check_nothing_is_cut_off(file: &Path) {
    let name = file.to_string_lossy();
    let Some(boxes) = poppler("pdftotext", &["-bbox", &name, "-"], file) else {
        return;
    };
    let number = |line: &str, key: &str| -> f64 {
        let rest = line.split(&format!("{key}=\"")).nth(1).expect("has it");
        let number = rest.split('"').next().expect("ends");
        number.parse().expect("a number")
    };
    let mut sheet = (0.0, 0.0);
    let mut count = 0;
    for line in boxes.lines().map(str::trim) {
        if line.starts_with("<page ") {
            sheet = (number(line, "width"), number(line, "height"));
        }
        if line.starts_with("<word ") {
            count += 1;
            // A printer's usual edge of 6 mm, 17 points, stays clear.
            let edge = 17.0;
            let inside = number(line, "xMin") >= edge
                && number(line, "xMax") <= sheet.0 - edge
                && number(line, "yMin") >= edge
                && number(line, "yMax") <= sheet.1 - edge;
            assert!(inside, "{file:?}: {line} on a sheet of {sheet:?}");
        }
    }
    assert!(count > 100, "{file:?}: only {count} words");
}

const HEADINGS: [&str; 12] = [
    "set-up sheet",
    "Strings",
    "What was asked",
    "What was made",
    "Measured",
    "How it plays",
    "To set",
    "Lowest set-up free of buzz",
    "In tune",
    "Fretwork",
    "Chances",
    "local codes and licensed practice come first",
];

fn check_demo(name: &str, own_words: &[&str]) {
    for paper in PAPERS {
        let (_, pdf) = played(&demo(name), paper, &[]);
        check_has(&pdf, &HEADINGS);
        check_has(&pdf, own_words);
        check_has(&pdf, &["Date Maker Player"]);
        check_nothing_is_cut_off(&pdf);
        if let Some((count, size)) = sheets(&pdf) {
            assert_eq!(count, 3, "{name} on {paper}");
            // ISO 216 and ANSI/ASME Y14.1, as Poppler names them.
            let named = if paper == "a4" { "(A4)" } else { "(letter)" };
            assert!(size.contains(named), "{size}");
        }
        let first = std::fs::read(&pdf).expect("is there");
        let (_, again) = played(&demo(name), paper, &[]);
        assert_eq!(first, std::fs::read(&again).expect("is there"), "{name}");
        std::fs::remove_file(&pdf).expect("it is still there");
        std::fs::remove_file(&again).expect("it is still there");
    }
}

#[test]
fn heron_goes_on_three_sheets() {
    check_demo(
        "heron",
        &[
            "For: plays standing, bends a full tone and more above fret 12.",
            "200 cents everywhere",
            "Set-up: nothing was measured on the strung instrument.",
            "Fret tops: none was read.",
            "cone, 240.0 mm to 400.0 mm at fret 22",
            "Differences under about 5 cents are hardly heard.",
            "Air left over the frets ahead",
            "Cents up to which a bend is free",
        ],
    );
}

#[test]
fn sandpiper_goes_on_three_sheets() {
    check_demo(
        "sandpiper",
        &[
            "one radius, 406.0 mm; falls away 0.20 mm",
            "Cents up to which a bend is free",
        ],
    );
}

#[test]
fn avocet_goes_on_three_sheets() {
    check_demo(
        "avocet",
        &[
            "150.0 mm at the nut, 210.0 mm at fret 10",
            "17 unequal steps",
        ],
    );
}

#[test]
fn what_is_not_known_of_a_string_is_said() {
    check_demo(
        "bittern",
        &[
            "the pull of string 5",
            "the stretch of strings 2, 3, 4 and 5",
            "Bends of 50 cents are granted wherever the stretch is known.",
            "its stretch is not known",
            "its pull is not known",
            "not known while a string's pull is not",
        ],
    );
}

#[test]
fn figures_on_paper_are_those_of_the_record() {
    let (record, pdf) = played(&demo("heron"), "a4", &[]);
    let Some(text) = words(&pdf) else { return };
    let number = |value: &Value| value.as_f64().expect("a number");
    let strings = record["set_up"]["strings"].as_array().expect("a list");
    assert_eq!(strings.len(), 6);
    for string in strings {
        for key in [
            "slot_over_wood_mm",
            "saddle_over_plane_mm",
            "action_at_12_mm",
        ] {
            let shown = format!("{:.2} mm", number(&string[key]));
            assert!(text.contains(&shown), "no {key} {shown} in {text}");
        }
    }
    let lowest = format!(
        "Relief {:.2} mm, for this",
        number(&record["lowest"]["relief_mm"])
    );
    assert!(text.contains(&lowest), "no {lowest}");
    let load = format!("{:.0} N from all strings", number(&record["neck_load_n"]));
    assert!(text.contains(&load), "no {load}");
    let chance = format!(
        "chance of {:.1} %",
        100.0 * number(&record["chances"]["chance"])
    );
    assert!(text.contains(&chance), "no {chance}");
    std::fs::remove_file(&pdf).expect("it is still there");
}

const MEASURED: &str = "
[neck]
joint = 16
bridge_height = \"13 mm\"
pocket = \"76 mm\"

[set_up]
relief = \"0.25 mm\"
action_at_12 = { treble = \"2.0 mm\", bass = \"2.3 mm\" }
action_at_1 = [0.5, 0.5, 0.55, 0.55, 0.6, 0.4]

[fretwork]
rocks = [
  { fret = 5, lane = 1, rock = 0.15 },
  { fret = 5, lane = 2, rock = 0.12 },
  { fret = 9, lane = 3, rock = 0.0 },
]
";

#[test]
fn what_was_measured_is_on_the_sheet_with_what_to_change() {
    let text = demo_text("heron") + MEASURED;
    for paper in PAPERS {
        let (_, pdf) = played_text("measured", &text, paper);
        check_has(
            &pdf,
            &[
                "Relief: 0.25 mm.",
                "Over fret 1, highest string first: 0.50 mm, 0.50 mm, 0.55 mm",
                "Over fret 12, highest string first: 2.00 mm",
                "Fret tops: 3 readings",
                "Played on the fret tops as read",
                "it was measured as 0.25 mm",
                "change at the nut",
                "change at the saddle",
                "Neck angle",
                "a shim of",
            ],
        );
        check_nothing_is_cut_off(&pdf);
        if let Some((count, _)) = sheets(&pdf) {
            assert_eq!(count, 3, "on {paper}");
        }
        std::fs::remove_file(&pdf).expect("it is still there");
    }
}

#[test]
fn wood_that_was_read_is_named_by_its_visit() {
    let (record, pdf) = played(
        &demo("heron"),
        "a4",
        &["--readings", "demo/heron-readings.csv"],
    );
    let visit = record["visit"].as_str().expect("has a name");
    check_has(
        &pdf,
        &[
            &format!("Wood: as read in visit {visit}."),
            &format!("Played on the wood as read in visit {visit}"),
        ],
    );
    std::fs::remove_file(&pdf).expect("it is still there");
}

/// Heron with other strings, frets and camber.
fn hostile(strings: &str, frets: usize, camber: &str) -> String {
    // Over two octaves, many frets need small steps.
    let steps = if frets > 36 { 60 } else { 12 };
    format!(
        "camberwright = 1\ntitle = \"Heron\"\n[scale]\nlength = \"635 mm\"\nfrets = {frets}\n\
         tuning = \"{steps} equal\"\n\
         [strings]\nnut_spread = \"35.5 mm\"\nsaddle_spread = \"52 mm\"\nset = [{strings}]\n\
         [board]\nnut_width = \"42.5 mm\"\nend_width = \"56.5 mm\"\noverhang = \"8 mm\"\n\
         crown_thickness = \"6 mm\"\n[camber]\n{camber}\n[frets]\ncrown_height = \"1.2 mm\"\n\
         crown_width = \"2.4 mm\"\ntang_depth = \"1.6 mm\"\nslot_width = \"0.55 mm\"\n"
    )
}

const PLAIN: &str = "{ note = \"E4\", gauge = \"0.010 in\", make = \"plain steel\" },";
const NOT_KNOWN: &str = "{ note = \"E4\", gauge = \"0.3 mm\", make = \"other\" },";
const CONE: &str = "law = \"cone\"\nnut = \"240 mm\"\nlast_fret = \"400 mm\"";
const FLAT: &str = "law = \"single\"\nradius = \"flat\"";

fn check_hostile(name: &str, text: &str, most_sheets: usize, wanted: &[&str]) {
    for paper in PAPERS {
        let (_, pdf) = played_text(name, text, paper);
        let bytes = std::fs::read(&pdf).expect("is there");
        assert!(bytes.starts_with(b"%PDF-"), "{name}");
        check_has(&pdf, wanted);
        check_nothing_is_cut_off(&pdf);
        if let Some((count, _)) = sheets(&pdf) {
            assert!((2..=most_sheets).contains(&count), "{name}: {count} sheets");
        }
        std::fs::remove_file(&pdf).expect("it is still there");
    }
}

#[test]
fn one_string_over_one_fret_has_a_sheet() {
    check_hostile(
        "least",
        &hostile(PLAIN, 1, CONE),
        3,
        &["To set", "over fret 1"],
    );
}

#[test]
fn four_and_twenty_strings_have_a_sheet() {
    let text = hostile(&PLAIN.repeat(24), 22, CONE);
    check_hostile("most-strings", &text, 6, &["24 · E4", "In tune"]);
}

#[test]
fn six_score_frets_have_a_sheet() {
    let text = hostile(&PLAIN.repeat(2), 120, CONE);
    check_hostile("most-frets", &text, 4, &["120, 60 equal"]);
}

#[test]
fn a_flat_board_has_a_sheet() {
    let text = hostile(&PLAIN.repeat(6), 22, FLAT);
    check_hostile("flat", &text, 3, &["Camber flat"]);
}

#[test]
fn strings_of_which_nothing_is_known_have_a_sheet() {
    let text = hostile(&NOT_KNOWN.repeat(6), 22, CONE);
    check_hostile(
        "not-known",
        &text,
        3,
        &[
            "Buzz: no string's pull is known",
            "No string's stretch is known",
            "Strings of unknown pull or stretch are not counted",
        ],
    );
}

#[test]
fn one_string_of_which_nothing_is_known_leaves_the_others_told() {
    let text = hostile(&format!("{}{NOT_KNOWN}", PLAIN.repeat(3)), 22, CONE);
    check_hostile(
        "one-not-known",
        &text,
        3,
        &[
            "the pull of string 4",
            "its stretch is not known",
            "Cents up to which a bend is free",
        ],
    );
}

#[test]
fn long_words_keep_to_the_sheet() {
    let long = "long-winded-without-a-space-".repeat(7);
    let text = demo_text("heron")
        .replace("\"Heron\"", &format!("\"{long}\""))
        .replace("plays standing", &long);
    check_hostile("long", &text, 4, &["What was asked"]);
}
