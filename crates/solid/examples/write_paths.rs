//! Writes the programs of the demo boards and what a judge needs to know of them into a folder.
//!
//! Usage: `cargo run --release -p solid --example write_paths -- FOLDER`

// An example says what it wrote.
#![allow(clippy::print_stdout)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use bench::Kit;
use instrument::Instrument;
use instrument::frets::SlotFloor;
use solid::mill::{Mill, Program, mill};

/// The demo boards; the second part is put at a text's end, so that a clamp is there too.
const BOARDS: [(&str, &str, &str); 5] = [
    ("heron", include_str!("../../../demo/heron.toml"), CLAMPED),
    (
        "sandpiper",
        include_str!("../../../demo/sandpiper.toml"),
        "",
    ),
    ("bittern", include_str!("../../../demo/bittern.toml"), ""),
    ("avocet", include_str!("../../../demo/avocet.toml"), ""),
    ("flat", FLAT, ""),
];

/// Blocks past both ends of the blank.
const CLAMPED: &str = r#"
[cutting]
scallop = "0.005 mm"
clamps = [
  { x = "-60 mm", y = "-10 mm", along = "20 mm", across = "20 mm", height = "14 mm" },
  { x = "490 mm", y = "-10 mm", along = "20 mm", across = "20 mm", height = "14 mm" },
]
"#;

/// A flat board that falls away, thick in the blank.
const FLAT: &str = r#"
camberwright = 1
title = "Flat"
[scale]
length = "480 mm"
frets = 12
[strings]
nut_spread = "40 mm"
saddle_spread = "50 mm"
set = [ { note = "E4", gauge = "0.012 in", make = "plain steel" }, { note = "B3", gauge = "0.016 in", make = "plain steel" } ]
[board]
nut_width = "48 mm"
end_width = "56 mm"
overhang = "6 mm"
crown_thickness = "6 mm"
blank_thickness = "9 mm"
[camber]
law = "single"
radius = "flat"
fall_away = { from_fret = 7, depth = "0.3 mm" }
[frets]
crown_height = "1.1 mm"
crown_width = "2.1 mm"
tang_depth = "1.5 mm"
slot_width = "0.6 mm"
[wish]
action_at_12 = { treble = "1.8 mm", bass = "2.3 mm" }
relief = "0.2 mm"
pluck_force = "0.5 N"
pluck_from_saddle = "100 mm"
bend = 50
"#;

const KIT: &str = include_str!("../../../demo/north-bench.toml");

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder")?;
    let kit = bench::read_kit(KIT)?;
    for (name, text, more) in BOARDS {
        let none = |_: &str| Err("no files".to_owned());
        let board = instrument::read_commission(&format!("{text}{more}"), &none)?;
        let folder = Path::new(&folder).join(name);
        fs::create_dir_all(&folder)?;
        let mill = mill(&board, &kit);
        for refusal in &mill.refusals {
            println!("{name}: {refusal}");
        }
        for program in &mill.programs {
            fs::write(folder.join(format!("{}.ngc", program.name)), program.text())?;
            let proof = &program.proof;
            println!(
                "{name} {}: {:.1} min, gouge {:.4} µm, scallop {:.3?} µm, floors {:.3?} µm",
                program.name,
                program.minutes,
                proof.gouge_um,
                proof.scallop_um,
                proof.floor_left_um
            );
        }
        fs::write(folder.join("paths.json"), record(&board, &kit, &mill))?;
    }
    Ok(())
}

/// What the board asks for, as its commission has it, and not as the programs were made.
fn record(board: &Instrument, kit: &Kit, mill: &Mill) -> String {
    let (blank, cutting) = (&board.blank, &board.cutting);
    let mut json = String::from("{\n");
    let mut put = |key: &str, value: String| {
        let _written = writeln!(json, "  \"{key}\": {value},");
    };
    let knots = board.camber.knots().iter();
    let knot = |knot: &instrument::camber::Knot| {
        let radius = knot
            .radius
            .finite_mm()
            .map_or("null".into(), |mm| mm.to_string());
        format!("[{}, {radius}]", knot.x_mm)
    };
    put("camber_knots_mm", list(knots.map(knot)));
    let past = |one: f64, other: f64| board.camber.radius(one) != board.camber.radius(other);
    put(
        "radius_runs_on",
        format!("[{}, {}]", past(-1.0, -2.0), past(1e4, 2e4)),
    );
    let fall = board.camber.fall_away;
    put(
        "fall_mm",
        fall.map_or("null".into(), |fall| {
            format!("[{}, {}, {}]", fall.from_x_mm, fall.end_x_mm, fall.depth_mm)
        }),
    );
    put(
        "crown_thickness_mm",
        board.wood.crown_thickness_mm.to_string(),
    );
    put(
        "corners_mm",
        list(
            board
                .outline
                .corners()
                .iter()
                .map(|(x, y)| format!("[{x}, {y}]")),
        ),
    );
    put(
        "binding_mm",
        board
            .wood
            .binding
            .map_or(0.0, |binding| binding.width_mm)
            .to_string(),
    );
    let sheet = play::sheet(board, Some(kit));
    let slots = board.frets.iter().zip(&sheet.frets).skip(1);
    put(
        "slots_mm",
        list(slots.map(|(line, figures)| {
            format!("[{}, {}, {}]", line.x_mm, line.slope, figures.slot_depth_mm)
        })),
    );
    put("slot_width_mm", board.fret_spec.slot_width_mm.to_string());
    put(
        "slot_floor_flat",
        (board.fret_spec.slot_floor == SlotFloor::Flat).to_string(),
    );
    put(
        "dots_mm",
        list(board.dots.iter().map(|dot| {
            format!(
                "[{}, {}, {}, {}]",
                dot.x_mm, dot.y_mm, dot.diameter_mm, dot.depth_mm
            )
        })),
    );
    put(
        "blank_mm",
        format!(
            "[{}, {}, {}, {}]",
            blank.from_x_mm, blank.length_mm, blank.width_mm, blank.thickness_mm
        ),
    );
    put(
        "clamps_mm",
        list(cutting.clamps.iter().map(|clamp| {
            let ((x, y), (far_x, far_y)) = (clamp.from, clamp.to);
            format!("[{x}, {y}, {far_x}, {far_y}, {}]", clamp.height_mm)
        })),
    );
    put("allowance_mm", cutting.allowance_mm.to_string());
    put("scallop_mm", cutting.scallop_mm.to_string());
    put("tabs", cutting.tabs.to_string());
    put(
        "tab_mm",
        format!("[{}, {}]", cutting.tab_length_mm, cutting.tab_height_mm),
    );
    put("into_bed_mm", kit.machine.into_bed_mm.to_string());
    put("programs", list(mill.programs.iter().map(program)));
    let end = json.trim_end().trim_end_matches(',').len();
    json.truncate(end);
    json + "\n}\n"
}

fn program(program: &Program) -> String {
    format!(
        "{{\"file\": \"{}.ngc\", \"work\": \"{:?}\", \"shape\": \"{:?}\", \"diameter_mm\": {}}}",
        program.name, program.operation, program.cutter.shape, program.cutter.diameter_mm
    )
}

fn list(items: impl Iterator<Item = String>) -> String {
    format!("[{}]", items.collect::<Vec<_>>().join(", "))
}
