//! The program.

use std::process::ExitCode;

fn main() -> ExitCode {
    camberwright::run()
}
