//! Kills the program at random moments under a stream of edits, and starts it again on the same
//! book; prints what was acknowledged and found again, and fails at the first loss.
//!
//! `cargo run --release -p trials --example crash -- [KILLS] [SEED]`
//!
//! 10,000 kills from seed 1 when no numbers are given; the books lie in the folder for temporary
//! files.
#![allow(clippy::print_stdout, reason = "printing its counts is what it is for")]

use std::process::ExitCode;
use std::time::Instant;

use trials::crash::{Count, Tally, crash};
use trials::served::program;

/// From word to word on how far it is, kills.
const STEP: usize = 250;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, otherwise: usize| {
        let given = arguments.get(at).and_then(|text| text.parse().ok());
        given.unwrap_or(otherwise)
    };
    let (kills, seed) = (number(0, 10_000), number(1, 1));
    match run(kills, seed as u64) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            println!("LOST {why}");
            ExitCode::FAILURE
        }
    }
}

fn run(kills: usize, seed: u64) -> Result<(), String> {
    let program = program()?;
    let folder = std::env::temp_dir().join(format!("camberwright-crash-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let began = Instant::now();
    let tally = crash(&program, &folder, kills, seed, |tally| {
        if tally.kills.is_multiple_of(STEP) {
            eprintln!("{} of {kills} kills", tally.kills);
        }
    })?;
    print(&tally, kills as f64 / began.elapsed().as_secs_f64());
    // Kept when something was lost: the book is the evidence.
    std::fs::remove_dir_all(&folder).map_err(|error| error.to_string())
}

fn print(tally: &Tally, per_second: f64) {
    println!(
        "{} kills, {per_second:.1} a second; {} of them before the first page",
        tally.kills, tally.before_first_page
    );
    println!(
        "{} books, {} of them of earlier or present formats as kept; every one opened every time",
        tally.books, tally.old_books
    );
    for (
        what,
        Count {
            acknowledged,
            found,
        },
    ) in [
        ("changes of a text", tally.edits),
        ("batches of readings", tally.readings),
        ("stages done", tally.stages),
    ] {
        println!("{what}: {acknowledged} acknowledged, {found} found again, each once");
    }
    println!(
        "on the way at a kill: {}, of which {} changes of a text were stored all the same",
        tally.on_the_way, tally.on_the_way_stored
    );
    let ms = |percent: usize| {
        let last = tally.opened_in.len().saturating_sub(1);
        let time = tally.opened_in.get(last * percent / 100);
        time.map_or(0.0, |time| time.as_secs_f64() * 1e3)
    };
    println!(
        "start to first page: median {:.1} ms, 99th of 100 {:.1} ms, worst {:.1} ms",
        ms(50),
        ms(99),
        ms(100)
    );
}
