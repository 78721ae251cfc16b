//! Programs for a machine: every program of a demo board with a ball of 6 mm and a scallop of
//! 5 µm, each proved by sweeping. The goal is the finishing program's alone, with its proof; the
//! time told here is that of all programs of the board together.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

use camberwright::demo;
use timing::{Timings, line};

const RUNS: usize = 30;
/// Scallop of the goal, mm.
const SCALLOP_MM: f64 = 0.005;

fn main() {
    let kit = bench::read_kit(demo::KIT.text).expect("the demo is sound");
    for text in &demo::COMMISSIONS {
        let no_files = |_: &str| Err("none".to_owned());
        let read = instrument::read_commission(text.text, &no_files);
        let mut board = read.expect("the demo is sound");
        board.cutting.scallop_mm = SCALLOP_MM;
        let mill = solid::mill::mill(&board, &kit);
        let places = mill
            .programs
            .iter()
            .map(|program| program.proof.places)
            .max();
        let timings = Timings::of(RUNS, || solid::mill::mill(&board, &kit));
        let name = format!("{} programs of {}", mill.programs.len(), text.file);
        println!("{}", line(&name, &timings, "300 ms (the finish alone)"));
        println!("    {} places watched", places.unwrap_or(0));
        let writing = Timings::of(RUNS, || {
            let texts = mill.programs.iter().map(solid::mill::Program::text);
            texts.map(|text| text.len()).sum::<usize>()
        });
        println!("{}", line("    their texts", &writing, "none"));
    }
}
