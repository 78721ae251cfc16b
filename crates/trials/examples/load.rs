//! Lets many readers and writers at the program on loopback; prints how long they waited, what the
//! program needed, and whether every acknowledged change is in the book; fails at any error.
//!
//! `cargo run --release -p trials --example load -- [SECONDS] [READERS] [WRITERS] [PAUSE_MS]`
//!
//! Ten minutes, 50 readers, 5 writers, each looking at what it got for 1000 ms on the average, when
//! no numbers are given. A pause of 0 shows what the program does when it cannot keep up.
#![allow(
    clippy::print_stdout,
    reason = "printing its figures is what it is for"
)]

use std::process::ExitCode;
use std::time::Duration;

use trials::crowd::{Ask, Sort, Tally, crowd};
use trials::served::program;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, otherwise: u64| {
        let given = arguments.get(at).and_then(|text| text.parse().ok());
        given.unwrap_or(otherwise)
    };
    let ask = Ask {
        lasts: Duration::from_secs(number(0, 600)),
        readers: number(1, 50) as usize,
        writers: number(2, 5) as usize,
        pause: Duration::from_millis(number(3, 1000)),
        seed: 1,
    };
    match run(&ask) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(why) => {
            println!("FAILED {why}");
            ExitCode::FAILURE
        }
    }
}

fn run(ask: &Ask) -> Result<bool, String> {
    let program = program()?;
    let folder = std::env::temp_dir().join(format!("camberwright-load-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let tally = crowd(&program, &folder, ask)?;
    print(ask, &tally);
    std::fs::remove_dir_all(&folder).map_err(|error| error.to_string())?;
    Ok(tally.errors.is_empty() && tally.acknowledged == tally.found && tally.acknowledged > 0)
}

fn print(ask: &Ask, tally: &Tally) {
    println!(
        "{} readers and {} writers for {} s, {} ms between a page and the next: {:.0} answers a second",
        ask.readers,
        ask.writers,
        ask.lasts.as_secs(),
        ask.pause.as_millis(),
        tally.per_second
    );
    for (sort, waits) in &tally.waits {
        let name = match sort {
            Sort::Page => "pages with their pictures",
            Sort::Light => "book, kit, history, assets",
            Sort::Made => "chances, papers, patterns",
            Sort::Change => "changes",
        };
        println!(
            "{name:<28} {:>8}   median {:>8.2} ms   99th {:>8.2} ms   worst {:>8.2} ms",
            waits.count(),
            waits.percentile_ms(50.0),
            waits.percentile_ms(99.0),
            waits.percentile_ms(100.0)
        );
    }
    let mb = |kb: Option<u64>| kb.map_or(0.0, |kb| kb as f64 / 1024.0);
    println!(
        "memory: {:.1} MB at rest, {:.1} MB at the end, {:.1} MB at the most",
        mb(tally.at_rest_kb),
        mb(tally.at_end_kb),
        mb(tally.peak_kb)
    );
    println!(
        "changes: {} acknowledged, {} found again in the history; {} errors",
        tally.acknowledged,
        tally.found,
        tally.errors.len()
    );
    for error in tally.errors.iter().take(10) {
        println!("  ERROR {error}");
    }
}
