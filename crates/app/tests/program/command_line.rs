//! The command line as a person and as another program meet it: exit codes, words, records.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn run(arguments: &[&str]) -> Output {
    run_with(arguments, b"")
}

fn run_with(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_camberwright"))
        .args(arguments)
        .current_dir(root())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // A program that does not read its input closes it: that is no failure of the test.
    let _closed = child.stdin.take().expect("is piped").write_all(input);
    child.wait_with_output().expect("the program ends")
}

fn words(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn record(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("a record is JSON")
}

fn has_keys(value: &Value, keys: &str) {
    for key in keys.split(", ") {
        assert!(value.get(key).is_some(), "no {key} in {value:#}");
    }
}

#[test]
fn the_sheet_has_the_names_that_other_programs_rely_on() {
    let output = run(&[
        "sheet",
        "demo/heron.toml",
        "--kit",
        "demo/north-bench.toml",
        "--json",
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let sheet = record(&output);
    has_keys(&sheet, "frets, camber, strings, warnings");
    has_keys(
        &sheet["frets"][9],
        "fret, x_mm, lanes_x_mm, width_mm, radius_mm, edge_drop_mm, edge_thickness_mm, margin_mm, \
         arc_length_mm, arc_radius_mm, slot_depth_mm, gauge_mm, gauge_light_mm",
    );
    has_keys(
        &sheet["camber"],
        "apex_x_mm, lanes_apex_x_mm, lane_hump_mm, removed_mm3",
    );
    has_keys(
        &sheet["strings"][0],
        "note, frequency_hz, tension_n, unit_weight_kg_per_m",
    );
    has_keys(&sheet["warnings"][0], "code, message, where");
    assert_eq!(sheet["frets"].as_array().map(Vec::len), Some(23));
}

#[test]
fn the_plan_has_the_names_that_other_programs_rely_on() {
    let output = run(&[
        "plan",
        "demo/heron.toml",
        "--kit",
        "demo/north-bench.toml",
        "--json",
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let plan = record(&output);
    has_keys(&plan, "stages, beam, helpful_blocks, warnings");
    has_keys(
        &plan["stages"][0],
        "tool, radius_mm, grade, from_x_mm, to_x_mm, start_crown_mm, end_crown_mm, allowance_mm, \
         removed_mm3, left_max_mm, left_mm3",
    );
    has_keys(&plan["beam"], "far_to_near_sweep, edge_angle_deg");
    has_keys(
        &plan["helpful_blocks"][0],
        "radius_mm, left_max_mm, left_mm3",
    );
}

#[test]
fn every_demo_commission_is_sound_for_people_too() {
    for name in ["heron", "sandpiper", "bittern", "avocet"] {
        let file = format!("demo/{name}.toml");
        for command in ["sheet", "plan"] {
            let output = run(&[command, &file, "--kit", "demo/north-bench.toml"]);
            assert_eq!(output.status.code(), Some(0), "{file}: {}", words(&output));
            let text = String::from_utf8(output.stdout).expect("is text");
            assert!(text.contains("mm") && text.lines().count() > 30, "{text}");
        }
    }
}

#[test]
fn the_demo_with_deliberate_warnings_gets_them() {
    let sheet = record(&run(&["sheet", "demo/bittern.toml", "--json"]));
    let codes: Vec<&str> = sheet["warnings"]
        .as_array()
        .expect("is a list")
        .iter()
        .filter_map(|warning| warning["code"].as_str())
        .collect();
    for code in [
        "margin_small",
        "edge_thin",
        "slot_tight",
        "weight_unknown",
        "wood_health",
    ] {
        assert!(codes.contains(&code), "{code} in {codes:?}");
    }
}

#[test]
fn standard_input_is_a_commission_too() {
    let text = std::fs::read(root().join("demo/avocet.toml")).expect("the demo is there");
    let output = run_with(&["sheet", "-", "--json"], &text);
    assert_eq!(record(&output)["title"], "Avocet");
}

#[test]
fn a_kit_that_cannot_finish_exits_1_and_says_what_is_missing() {
    let kit = b"camberwright_kit = 1\ntitle = \"bare\"\nblocks = [{ radius = \"16 in\" }]\nabrasives = [\"P80\"]\n";
    let output = run_with(&["plan", "demo/heron.toml", "--kit", "-"], kit);
    assert_eq!(output.status.code(), Some(1));
    assert!(words(&output).contains("no beam"), "{}", words(&output));
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        text.contains("block 406.4 mm"),
        "what it can do is planned: {text}"
    );
}

#[test]
fn wrong_texts_exit_2_and_say_where_and_a_way_out() {
    let heron = std::fs::read_to_string(root().join("demo/heron.toml")).expect("the demo is there");
    for (change, expected) in [
        (("nut = \"240 mm\"", "nut = \"20 mm\""), "camber"),
        (
            ("nut = \"240 mm\"", "nutt = \"240 mm\""),
            "did you mean `nut`?",
        ),
        (
            ("length = \"635 mm\"", "length = \"-635 mm\""),
            "at least 100 mm",
        ),
        (("frets = 22", "frets = 10000"), "at most 120"),
        (
            ("nut_width = \"42.5 mm\"", "nut_width = \"30 mm\""),
            "widen the board",
        ),
        (
            ("crown_thickness = \"6 mm\"", "crown_thickness = nan"),
            "finite number",
        ),
        (("note = \"E4\"", "note = \"H4\""), "strings.set[1].note"),
        (
            ("spacing = \"equal gaps\"", "spacing = \"equal gap\""),
            "did you mean \"equal gaps\"?",
        ),
        (
            ("blank_thickness = \"7.4 mm\"", "blank_thickness = \"5 mm\""),
            "thicker blank",
        ),
    ] {
        let text = heron.replace(change.0, change.1);
        assert_ne!(text, heron, "{change:?}");
        let output = run_with(&["sheet", "-"], text.as_bytes());
        assert_eq!(output.status.code(), Some(2), "{change:?}");
        assert!(
            words(&output).contains(expected),
            "{change:?}: {}",
            words(&output)
        );
    }
}

#[test]
fn all_faults_are_told_together_in_the_order_of_the_text() {
    let output = run_with(
        &["sheet", "-", "--json"],
        b"camberwright = 1\ntitle = \"\"\n[scale]\nlength = 0\nfrets = 0\n[strings]\nset = []\n[camber]\nlaw = \"bend\"\n",
    );
    assert_eq!(output.status.code(), Some(2));
    let faults = record(&output)["faults"]
        .as_array()
        .expect("is a list")
        .clone();
    let lines: Vec<u64> = faults
        .iter()
        .filter_map(|fault| fault["line"].as_u64())
        .collect();
    assert!(faults.len() >= 7, "{faults:#?}");
    assert!(lines.windows(2).all(|pair| pair[0] <= pair[1]), "{lines:?}");
}

#[test]
fn unreadable_files_are_named_with_the_reason() {
    for (name, content, expected) in [
        ("latin.toml", b"title = \"caf\xe9\"".to_vec(), "not UTF-8"),
        ("long.toml", vec![b'#'; 2 << 20], "longer than"),
    ] {
        let path = std::env::temp_dir().join(format!("camberwright-{}-{name}", std::process::id()));
        std::fs::write(&path, content).expect("a temporary file can be written");
        let output = run(&["sheet", &path.to_string_lossy()]);
        std::fs::remove_file(&path).expect("it is still there");
        assert_eq!(output.status.code(), Some(2));
        assert!(words(&output).contains(expected), "{}", words(&output));
    }
    assert_eq!(run(&["sheet", "no/such/file.toml"]).status.code(), Some(2));
}

#[test]
fn a_file_named_by_a_commission_stays_in_its_folder() {
    let heron = std::fs::read_to_string(root().join("demo/heron.toml")).expect("the demo is there");
    let folder = std::env::temp_dir().join(format!("camberwright-{}-tuning", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a temporary folder can be made");
    std::fs::write(
        folder.join("five.scl"),
        "five\n5\n240.\n480.\n720.\n960.\n2/1\n",
    )
    .expect("can be written");
    for (name, code) in [
        ("five.scl", 0),
        ("../five.scl", 2),
        ("/etc/hostname", 2),
        ("none.scl", 2),
    ] {
        let text = heron.replace("frets = 22", &format!("frets = 10\ntuning = \"{name}\""));
        let path = folder.join("c.toml");
        std::fs::write(&path, text).expect("can be written");
        let output = run(&["sheet", &path.to_string_lossy(), "--json"]);
        assert_eq!(
            output.status.code(),
            Some(code),
            "{name}: {}",
            words(&output)
        );
        if code == 0 {
            let x = record(&output)["frets"][5]["x_mm"]
                .as_f64()
                .expect("is a number");
            assert!(
                (x - 317.5).abs() < 1e-9,
                "the fifth of five equal steps is the octave"
            );
        }
    }
    std::fs::remove_dir_all(&folder).expect("it is still there");
}

#[test]
fn nothing_is_written_over() {
    let folder = std::env::temp_dir().join(format!("camberwright-{}-demo", std::process::id()));
    let folder_name = folder.to_string_lossy().into_owned();
    assert_eq!(run(&["demo", &folder_name]).status.code(), Some(0));
    let mine = folder.join("heron.toml");
    std::fs::write(&mine, "mine").expect("can be written");
    assert_eq!(run(&["demo", &folder_name]).status.code(), Some(0));
    assert_eq!(std::fs::read_to_string(&mine).expect("is there"), "mine");
    let pdf = folder.join("plan.pdf");
    let plan = [
        "plan",
        "demo/heron.toml",
        "--pdf",
        &pdf.to_string_lossy(),
        "--paper",
        "letter",
    ];
    assert_eq!(run(&plan).status.code(), Some(0));
    let first = std::fs::read(&pdf).expect("is there");
    assert!(first.starts_with(b"%PDF-"));
    let again = run(&plan);
    assert_eq!(again.status.code(), Some(1));
    assert!(
        words(&again).contains("name a new file"),
        "{}",
        words(&again)
    );
    assert_eq!(std::fs::read(&pdf).expect("is there"), first);
    std::fs::remove_dir_all(&folder).expect("it is still there");
}

#[test]
fn a_plan_from_standard_input_goes_on_paper_too() {
    let text = std::fs::read(root().join("demo/heron.toml")).expect("the demo is there");
    let path = std::env::temp_dir().join(format!("camberwright-{}-in.pdf", std::process::id()));
    let output = run_with(&["plan", "-", "--pdf", &path.to_string_lossy()], &text);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let pdf = std::fs::read(&path).expect("is there");
    std::fs::remove_file(&path).expect("it is still there");
    assert!(pdf.starts_with(b"%PDF-"));
}

#[test]
fn schemas_are_printed() {
    for (format, key) in [("commission", "scale"), ("kit", "blocks")] {
        let output = run(&["schema", format]);
        assert_eq!(output.status.code(), Some(0));
        assert!(record(&output)["properties"].get(key).is_some());
    }
}

#[test]
fn play_has_the_names_that_other_programs_rely_on() {
    let output = run(&["play", "demo/heron.toml", "--json", "--necks", "512"]);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let play = record(&output);
    has_keys(
        &play,
        "buzz, bends, lowest, tuning, set_up, levelling, chances",
    );
    has_keys(&play["buzz"][0], "string, stopped_at, fret, margin_mm");
    has_keys(&play["bends"][0], "string, fret, choke_cents");
    has_keys(
        &play["lowest"],
        "relief_mm, action_at_12_mm, saddle_mm, nut_mm",
    );
    has_keys(&play["tuning"], "saddle_mm, nut_mm, cents");
    let counts = [&play["buzz"], &play["bends"], &play["tuning"]["cents"]]
        .map(|list| list.as_array().map_or(0, Vec::len));
    // Six strings, open and 21 stops with a fret ahead; 22 frets each.
    assert_eq!(counts, [6 * 22, 6 * 22, 6]);
}

#[test]
fn equal_seeds_draw_equal_necks() {
    let chances = |seed: &str| {
        let output = run(&[
            "play",
            "demo/heron.toml",
            "--json",
            "--necks",
            "2000",
            "--seed",
            seed,
        ]);
        record(&output)["chances"].clone()
    };
    assert_eq!(chances("7"), chances("7"));
    assert_ne!(chances("7"), chances("8"));
}

#[test]
fn play_on_the_wood_of_a_visit_says_which() {
    let output = run(&[
        "play",
        "demo/heron.toml",
        "--readings",
        "demo/heron-readings.csv",
        "--visit",
        "third",
        "--kit",
        "demo/north-bench.toml",
        "--json",
        "--necks",
        "512",
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let play = record(&output);
    assert_eq!(play["on"], "wood");
    assert_eq!(play["visit"], "third");
    assert!(
        play["buzz"][5]["sigma_mm"].as_f64() > Some(0.0),
        "{}",
        play["buzz"][5]
    );
}

#[test]
fn what_cannot_be_played_says_why_and_a_way_out() {
    let both = run(&[
        "play",
        "demo/heron.toml",
        "--planned",
        "--readings",
        "demo/heron-readings.csv",
    ]);
    assert_eq!(both.status.code(), Some(2));
    assert!(
        words(&both).contains("cannot be used with"),
        "{}",
        words(&both)
    );
    let few = run(&["play", "demo/heron.toml", "--necks", "3"]);
    assert_eq!(few.status.code(), Some(2));
    assert!(words(&few).contains("100..=1000000000"), "{}", words(&few));
    let text =
        std::fs::read_to_string(root().join("demo/sandpiper.toml")).expect("the demo is there");
    let wrong = text.replace("{ fret = 7, lane = 2, rock", "{ fret = 70, lane = 9, rock");
    let output = run_with(&["play", "-"], wrong.as_bytes());
    assert_eq!(output.status.code(), Some(2));
    let said = words(&output);
    assert!(said.contains("fret 70 is past the last, fret 18"), "{said}");
    assert!(
        said.contains("lane 9 is outside lane 1 to lane 6"),
        "{said}"
    );
}
