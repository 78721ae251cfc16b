//! Runs every benchmark with its yardsticks, one after the other, and writes `docs/benchmarks.md`.
//!
//! `cargo run --release -p timing --example report -- [--quick]`
//!
//! It wants a quiet machine; yardsticks need the Python environment that `./check` makes. A quick
//! look makes a few runs of everything and writes `target/benchmarks.md` instead.
#![allow(
    clippy::print_stdout,
    reason = "showing what the benchmarks say is what it is for"
)]

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use timing::figures::{ASKED, Figure, MARK, QUICK};
use timing::report::{Bench, Machine, page};

/// All benchmarks, in the order of the page.
const BENCHES: [(&str, &str); 5] = [
    ("pages", "Pages"),
    ("start", "Start and memory"),
    ("readings", "Readings"),
    ("playing", "Playing"),
    ("files", "Patterns and files"),
];

fn main() -> Result<(), String> {
    let is_quick = std::env::args().any(|argument| argument == "--quick");
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut benches = Vec::new();
    for (name, title) in BENCHES {
        println!("== {name}");
        let figures = run(&root, name, is_quick)?;
        benches.push(Bench {
            name,
            title,
            figures,
        });
    }
    let path: PathBuf = match is_quick {
        true => root.join("target/benchmarks.md"),
        false => root.join("docs/benchmarks.md"),
    };
    let page = page(&benches, &Machine::here());
    std::fs::write(&path, page).map_err(|error| format!("{}: {error}", path.display()))
}

/// Runs a benchmark, shows what it says, and gathers its figures.
fn run(root: &Path, name: &str, is_quick: bool) -> Result<Vec<Figure>, String> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(cargo);
    command
        .args([
            "bench", "--locked", "--quiet", "-p", "timing", "--bench", name,
        ])
        .env(ASKED, "1")
        .current_dir(root)
        .stdout(Stdio::piped());
    if is_quick {
        command.env(QUICK, "1");
    }
    let mut child = command.spawn().map_err(|error| format!("cargo: {error}"))?;
    let pipe = child
        .stdout
        .take()
        .ok_or("the benchmark's words are lost")?;
    let mut figures = Vec::new();
    for line in BufReader::new(pipe).lines() {
        let line = line.map_err(|error| format!("{name}: {error}"))?;
        match Figure::from_line(&line) {
            Some(figure) => figures.push(figure),
            None if line.starts_with(MARK) => return Err(format!("{name} says {line}")),
            None => println!("{line}"),
        }
    }
    let status = child.wait().map_err(|error| format!("{name}: {error}"))?;
    match status.success() && !figures.is_empty() {
        true => Ok(figures),
        false => Err(format!(
            "the benchmark {name} told {} figures, {status}",
            figures.len()
        )),
    }
}
