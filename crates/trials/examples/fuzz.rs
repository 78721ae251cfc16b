//! Feeds spoilt texts to the readers of the program; prints how many a second, the slowest, the
//! memory, and every failure with the input that shows it.
//!
//! `cargo run --release -p trials --example fuzz -- DOOR [COUNT] [SEED]`, or `DOOR FILE` for an input
//! that was saved
//!
//! A door is `commission`, `kit`, `readings`, `scala`, `lengths`, `forms`, `archives`, `carried`,
//! `uploads`, or `all`, one after the other in a process of its own each; 10,000,000 inputs from seed 1 when no numbers are given.
//! Failed inputs go into `target/fuzz/`. An input that takes longer than a minute ends the run.
#![allow(clippy::print_stdout, reason = "printing its counts is what it is for")]

use std::path::PathBuf;
use std::process::{Command, ExitCode};
use std::time::Duration;

use trials::fuzz::{Door, LONGEST, Tally, Watch, fuzz, replay};
use trials::served::memory_kb;

/// No run may need more memory than this, MB.
const MEMORY_MOST_MB: u64 = 512;
/// What takes so long does not end.
const HANGS: Duration = Duration::from_secs(60);
/// From word to word on how far it is, inputs.
const STEP: u64 = 1_000_000;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, otherwise: u64| {
        let given = arguments.get(at).and_then(|text| text.parse().ok());
        given.unwrap_or(otherwise)
    };
    let (count, seed) = (number(1, 10_000_000), number(2, 1));
    match arguments.first().map(String::as_str) {
        Some("all") => all(count, seed),
        Some(name) => match Door::from_name(name) {
            Some(door) => match arguments.get(1).and_then(|path| std::fs::read(path).ok()) {
                Some(input) => again(door, &input),
                None => one(door, count, seed),
            },
            None => usage(),
        },
        None => usage(),
    }
}

fn again(door: Door, input: &[u8]) -> ExitCode {
    match replay(door, input) {
        Ok((took, answered)) => {
            println!("{:.1} ms, {answered:?}", took.as_secs_f64() * 1e3);
            ExitCode::SUCCESS
        }
        Err(what) => {
            println!("FOUND {what}");
            ExitCode::FAILURE
        }
    }
}

fn usage() -> ExitCode {
    let names: Vec<&str> = Door::ALL.iter().map(|door| door.name()).collect();
    eprintln!(
        "fuzz DOOR [COUNT] [SEED]; a door is {} or all",
        names.join(", ")
    );
    ExitCode::from(2)
}

/// Every door in a process of its own: what ends one does not end the others.
fn all(count: u64, seed: u64) -> ExitCode {
    let mut failed = false;
    for door in Door::ALL {
        let own = std::env::current_exe().expect("an example has a path");
        let arguments = [door.name().to_owned(), count.to_string(), seed.to_string()];
        let status = Command::new(own).args(arguments).status();
        let sound = status.as_ref().is_ok_and(|status| status.success());
        if !sound {
            println!("{}: FAILED, {status:?}", door.name());
            failed = true;
        }
    }
    ExitCode::from(u8::from(failed))
}

fn folder() -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../target/fuzz");
    std::fs::create_dir_all(&folder).expect("the target folder takes it");
    folder
}

fn save(name: &str, input: &[u8]) {
    std::fs::write(folder().join(name), input).expect("the folder takes it");
}

fn one(door: Door, count: u64, seed: u64) -> ExitCode {
    let name = door.name();
    let watch = Watch::start(move |number, waited, input| {
        eprintln!(
            "{name}: input {number} has taken {:.1} s so far",
            waited.as_secs_f64()
        );
        save(&format!("{name}-{seed}-slow-{number}"), input);
        if waited > HANGS {
            println!("{name}: input {number} does not end; it is saved");
            std::process::exit(3);
        }
    });
    // A failure is printed once, with its input, at the end.
    std::panic::set_hook(Box::new(|_| {}));
    let tally = fuzz(door, count, seed, |number, input| {
        watch.see(number, input);
        if number > 0 && number.is_multiple_of(STEP) {
            eprintln!("{name}: {number} of {count}");
        }
    });
    let _back_to_words = std::panic::take_hook();
    print(door, &tally);
    for (index, find) in tally.finds.iter().enumerate() {
        save(&format!("{name}-{seed}-{index}"), &find.input);
        save(&format!("{name}-{seed}-{index}-short"), &find.shrunk);
        println!("  FOUND {}", find.what);
        println!("    on {:?}", String::from_utf8_lossy(&find.shrunk));
    }
    let peak_mb = memory_kb("self", "VmHWM").map_or(0, |kb| kb / 1024);
    if peak_mb > MEMORY_MOST_MB {
        println!("  FOUND {peak_mb} MB of memory; {MEMORY_MOST_MB} MB are allowed");
    }
    let sound = tally.finds.is_empty() && peak_mb <= MEMORY_MOST_MB;
    ExitCode::from(u8::from(!sound))
}

fn print(door: Door, tally: &Tally) {
    let seconds = tally.took.as_secs_f64();
    let (slowest, input) = &tally.slowest;
    println!(
        "{:<10} {} inputs in {seconds:.0} s, {:.0} a second; {} sound, {} kinds of answers; \
         slowest {:.1} ms on {} bytes, limit {} ms; peak memory {} MB; {} failed",
        door.name(),
        tally.inputs,
        tally.inputs as f64 / seconds,
        tally.sound,
        tally.heard,
        slowest.as_secs_f64() * 1e3,
        input.len(),
        LONGEST.as_millis(),
        memory_kb("self", "VmHWM").map_or(0, |kb| kb / 1024),
        tally.finds.len()
    );
}
