//! Writes the demo's readings, or the file that is named after `--`:
//! `cargo run -p trials --bin demo_readings`, from the project's folder.

use std::process::ExitCode;

fn main() -> ExitCode {
    let file = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "demo/heron-readings.csv".to_owned());
    match std::fs::write(&file, trials::demo::demo_readings()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{file} cannot be written: {error}; run this from the project's folder");
            ExitCode::FAILURE
        }
    }
}
