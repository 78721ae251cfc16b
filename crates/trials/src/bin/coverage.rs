//! Prints how often 95 % intervals hold the truth: `cargo run --release -p trials --bin coverage`.
//! A number after `--` sets the boards for each mixture; 1,000 otherwise.
#![allow(clippy::print_stdout, reason = "printing its table is what it is for")]

use trials::coverage::{coverage, ends};
use trials::visit::Mixture;

/// The percentages between which every figure's coverage is asked to lie.
const ASKED: std::ops::RangeInclusive<f64> = 93.0..=97.0;

fn main() {
    let boards = std::env::args()
        .nth(1)
        .and_then(|count| count.parse().ok())
        .unwrap_or(1000);
    println!("95 % intervals that hold the truth, in percent, on {boards} boards a mixture");
    let (mut least, mut greatest) = (None, None);
    for mixture in Mixture::ALL {
        println!("{}", mixture.name());
        let table = coverage(mixture, boards);
        for (name, count) in &table {
            println!("  {name:<26} {:6.2} of {}", count.percent(), count.asked);
        }
        let Some([low, high]) = ends(&table) else {
            continue;
        };
        let named = |(name, percent): (&str, f64)| (percent, format!("{name}, {}", mixture.name()));
        least = [least, Some(named(low))]
            .into_iter()
            .flatten()
            .min_by(|a, b| a.0.total_cmp(&b.0));
        greatest = [greatest, Some(named(high))]
            .into_iter()
            .flatten()
            .max_by(|a, b| a.0.total_cmp(&b.0));
    }
    let (Some(least), Some(greatest)) = (least, greatest) else {
        return;
    };
    println!("least    {:6.2} ({})", least.0, least.1);
    println!("greatest {:6.2} ({})", greatest.0, greatest.1);
    let all = ASKED.contains(&least.0) && ASKED.contains(&greatest.0);
    let word = if all { "yes" } else { "no" };
    println!(
        "all within {} to {} percent: {word}",
        ASKED.start(),
        ASKED.end()
    );
}
