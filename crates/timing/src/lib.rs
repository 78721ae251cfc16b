//! Percentiles of repeated timings, the lines that benchmarks print, and the report of all of them.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

pub mod figures;
pub mod report;

use std::io::Write as _;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Timings of one thing, sorted.
pub struct Timings(Vec<Duration>);

impl Timings {
    /// Times `runs` runs after a tenth as many to warm up; a few only for a quick look. What a run
    /// returns is kept alive to its end, so that no work is left out by the compiler.
    pub fn of<T>(runs: usize, mut run: impl FnMut() -> T) -> Self {
        Self::after(runs, &mut (), |()| (), |()| run())
    }

    /// The same, where something is to be done before each run that is not timed.
    pub fn after<S, T>(
        runs: usize,
        state: &mut S,
        mut before: impl FnMut(&mut S),
        mut run: impl FnMut(&S) -> T,
    ) -> Self {
        let runs = figures::runs(runs);
        let mut timed = |_: usize| {
            before(state);
            let start = Instant::now();
            std::hint::black_box(run(state));
            start.elapsed()
        };
        for index in 0..runs.div_ceil(10) {
            timed(index);
        }
        let mut times: Vec<Duration> = (0..runs).map(timed).collect();
        times.sort();
        Self(times)
    }

    /// The value under which `percent` of the runs lie, in milliseconds.
    pub fn percentile_ms(&self, percent: f64) -> f64 {
        let last = self.0.len().saturating_sub(1);
        let index = ((percent / 100.0) * last as f64).round() as usize;
        self.0
            .get(index.min(last))
            .map_or(0.0, |time| time.as_secs_f64() * 1e3)
    }
}

/// A line of a benchmark's table; for the report one more, which a program can read.
pub fn line(name: &str, timings: &Timings, goal: &str) -> String {
    let line = format!(
        "{name:<46} median {:>8.3} ms   99th {:>8.3} ms   goal {goal}",
        timings.percentile_ms(50.0),
        timings.percentile_ms(99.0)
    );
    figures::times(name, timings, goal);
    line
}

/// Runs a yardstick of `yardsticks/` in the Python environment that the tests make, shows its lines,
/// and returns the figures of the last. Nothing, and a line that says so, where it cannot be run.
pub fn yardstick(script: &str, input: &str) -> Option<Vec<f64>> {
    let figures = run_yardstick(script, input);
    if figures.is_none() {
        println!("{script}: left out; ./check makes the Python environment it needs");
    }
    figures
}

fn run_yardstick(script: &str, input: &str) -> Option<Vec<f64>> {
    let here = env!("CARGO_MANIFEST_DIR");
    let mut python = Command::new(format!("{here}/../../.outside/venv/bin/python"))
        .arg(format!("{here}/yardsticks/{script}"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .ok()?;
    python.stdin.take()?.write_all(input.as_bytes()).ok()?;
    let output = python.wait_with_output().ok()?;
    let words = String::from_utf8(output.stdout).ok()?;
    let (shown, last) = words.trim_end().rsplit_once('\n')?;
    println!("{shown}");
    last.split(' ')
        .map(|figure| figure.parse().ok())
        .collect::<Option<Vec<f64>>>()
        .filter(|_| output.status.success())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_run_comes_after_its_preparation() {
        let mut prepared = 0;
        let mut seen = Vec::new();
        Timings::after(
            10,
            &mut prepared,
            |count| *count += 1,
            |count| seen.push(*count),
        );
        assert!(seen.len() > 10, "some to warm up, then ten");
        assert_eq!(seen, (1..=seen.len()).collect::<Vec<_>>());
    }

    #[test]
    fn percentiles_lie_in_order() {
        let timings = Timings::of(50, || std::hint::black_box(3) * 7);
        assert!(timings.percentile_ms(50.0) <= timings.percentile_ms(99.0));
        assert!(timings.percentile_ms(0.0) >= 0.0);
    }
}
