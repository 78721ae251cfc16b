//! Files: all patterns of a commission on A4, the board as STEP beside Open CASCADE's booleans, and
//! the finishing program with its proof beside opencamlib's drop-cutter, in the same run.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

use std::path::PathBuf;

use bench::{Kit, bench_plan, effort::WearRate};
use camberwright::demo;
use camberwright::made::{
    BodyForm, Form, Pattern, Printing, Subject, USUAL_CHORD_MM, WHOLE_BOARD, body_file,
    pattern_files,
};
use camberwright::show::Units;
use instrument::Instrument;
use solid::body::{BoardParts, Part, board_body, write_step};
use solid::mill::{Motion, Operation, Program, mill};
use timing::figures::beside;
use timing::{Timings, line, yardstick};

const RUNS: usize = 30;
/// Scallop of the goal, mm.
const SCALLOP_MM: f64 = 0.005;
/// From point to point along a pass, for the drop-cutter, mm.
const POINT_MM: f64 = 1.0;

fn main() {
    let kit = bench::read_kit(demo::KIT.text).expect("the demo is sound");
    for text in &demo::COMMISSIONS {
        patterns(text.file, &read(text.text), &kit);
    }
    // Bittern is the largest board, with 24 slots.
    let bittern = read(demo::COMMISSIONS[2].text);
    step(&bittern);
    finish(&bittern, &kit);
}

fn read(text: &str) -> Instrument {
    let no_files = |_: &str| Err("none".to_owned());
    instrument::read_commission(text, &no_files).expect("the demo is sound")
}

fn show(name: &str, goal: &str, timings: &Timings) {
    let best = timings.percentile_ms(0.0);
    println!("{}   best {best:>8.3} ms", line(name, timings, goal));
}

/// Every pattern as PDF on A4, its figures worked out anew.
fn patterns(file: &str, instrument: &Instrument, kit: &Kit) {
    let make = || {
        let sheet = play::sheet(instrument, Some(kit));
        let plan = bench_plan(instrument, kit, WearRate::from_logs(&[], kit.hand));
        let subject = Subject {
            instrument,
            sheet: &sheet,
            plan: Some(&plan),
            kit: Some(kit),
            units: Units::default(),
        };
        let files = Pattern::ALL.iter().flat_map(|pattern| {
            pattern_files(&subject, *pattern, Form::Pdf, &Printing::USUAL).expect("they fit")
        });
        files.map(|file| file.bytes.len()).sum::<usize>()
    };
    show(
        &format!("patterns of {file}, A4"),
        "200 ms",
        &Timings::of(RUNS, make),
    );
}

/// The board with its slots as STEP.
fn step(instrument: &Instrument) {
    let parts = BoardParts {
        dots: Part::Left,
        ..WHOLE_BOARD
    };
    let ours = Timings::of(RUNS, || {
        let body = board_body(instrument, parts).expect("it can be made");
        write_step(&body, "").len()
    });
    show("board with 24 slots as STEP", "-", &ours);
    let plain = BoardParts {
        slots: Part::Left,
        ..parts
    };
    let folder = folder();
    let plain = board_body(instrument, plain).expect("it can be made");
    let made = body_file("plain", &plain, BodyForm::Step, USUAL_CHORD_MM).expect("it writes");
    let path = folder.join(&made.name);
    std::fs::write(&path, &made.bytes).expect("the folder takes it");
    let input = format!(
        "{{\"step\": {:?}, \"runs\": 5, \"slots\": [{}]}}",
        path.display().to_string(),
        slots(instrument).join(", ")
    );
    if let Some([cutting, writing, volume]) = yardstick("slots_by_booleans.py", &input).as_deref() {
        let slotted = board_body(instrument, parts).expect("it can be made");
        let best = ours.percentile_ms(0.0);
        println!(
            "  = {:.0} times as long as the best above; its volume differs by {:.1e} of ours",
            1e3 * (cutting + writing) / best,
            (volume / slotted.volume_mm3() - 1.0).abs()
        );
        let name = "Open CASCADE, slots by booleans and STEP";
        beside(
            "board with 24 slots as STEP, best",
            name,
            1e3 * (cutting + writing) / best,
            "",
        );
    }
}

/// The slots' corners and floors for another program. Past the edges they run on.
fn slots(instrument: &Instrument) -> Vec<String> {
    let sheet = play::sheet(instrument, None);
    let spec = &instrument.fret_spec;
    let frets = instrument.frets.iter().zip(&sheet.frets).skip(1);
    frets
        .map(|(line, figures)| {
            let aside = 0.5 * spec.slot_width_mm * line.slope.hypot(1.0);
            let reach = instrument.outline.half_width(line.x_mm) + 5.0;
            let corner = |side: f64, y: f64| format!("[{:?}, {y:?}]", line.x_at(y) + side * aside);
            format!(
                "{{\"corners_mm\": [{}, {}, {}, {}], \"floor_mm\": {:?}}}",
                corner(-1.0, -reach),
                corner(1.0, -reach),
                corner(1.0, reach),
                corner(-1.0, reach),
                -instrument.camber.fall(line.x_mm) - figures.slot_depth_mm
            )
        })
        .collect()
}

/// The finishing program with its proof, and with the four other programs and theirs: one blank is
/// cut by all of them in turn.
fn finish(instrument: &Instrument, kit: &Kit) {
    let mut board = instrument.clone();
    board.cutting.scallop_mm = SCALLOP_MM;
    let run = || mill(&board, kit);
    let ours = Timings::of(RUNS, run);
    let mill = run();
    let programs = &mill.programs;
    let program = programs
        .iter()
        .find(|program| program.operation == Operation::Finish)
        .expect("the demo kit finishes it");
    let name = format!("{} programs, all proved", mill.programs.len());
    show(&name, "finish alone 300 ms", &ours);
    println!(
        "    finish of {} passes; watched at {} places",
        program.passes, program.proof.places
    );
    let plain = BoardParts {
        slots: Part::Left,
        rebate: Part::Left,
        dots: Part::Left,
    };
    let body = board_body(&board, plain).expect("it can be made");
    let made = body_file("finished", &body, BodyForm::Stl, 0.001).expect("it writes");
    let path = folder().join(&made.name);
    std::fs::write(&path, &made.bytes).expect("the folder takes it");
    let input = format!(
        "{{\"stl\": {:?}, \"ball_mm\": {:?}, \"runs\": 3, \"points_mm\": [{}]}}",
        path.display().to_string(),
        program.cutter.diameter_mm,
        points(program).join(", ")
    );
    if let Some([seconds, _]) = yardstick("drop_cutter.py", &input).as_deref() {
        let best = ours.percentile_ms(0.0);
        println!(
            "  = {:.1} times as long as the best above",
            1e3 * seconds / best
        );
        let name = "opencamlib's drop-cutter at the passes' points alone";
        beside(
            "all programs with their proofs, best",
            name,
            1e3 * seconds / best,
            "",
        );
    }
}

/// Points along every pass.
fn points(program: &Program) -> Vec<String> {
    let mut points = Vec::new();
    for (from, leg) in program.path.legs() {
        if leg.motion == Motion::Rapid {
            continue;
        }
        let (dx, dy) = (leg.to[0] - from[0], leg.to[1] - from[1]);
        let steps = (dx.hypot(dy) / POINT_MM).ceil().max(1.0) as usize;
        points.extend((0..steps).map(|step| {
            let share = step as f64 / steps as f64;
            format!("[{:?}, {:?}]", from[0] + share * dx, from[1] + share * dy)
        }));
    }
    points
}

fn folder() -> PathBuf {
    let folder = std::env::temp_dir().join("camberwright-bench-files");
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    folder
}
