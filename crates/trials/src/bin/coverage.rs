//! Prints how often 95 % intervals hold the truth: `cargo run --release -p trials --bin coverage`.
//! A number after `--` sets the boards for each mixture; 1,000 otherwise.
#![allow(clippy::print_stdout, reason = "printing its table is what it is for")]

use trials::coverage::coverage;
use trials::visit::Mixture;

fn main() {
    let boards = std::env::args()
        .nth(1)
        .and_then(|count| count.parse().ok())
        .unwrap_or(1000);
    println!("95 % intervals that hold the truth, in percent, on {boards} boards a mixture");
    for mixture in Mixture::ALL {
        println!("{}", mixture.name());
        for (name, count) in coverage(mixture, boards) {
            println!("  {name:<26} {:6.2} of {}", count.percent(), count.asked);
        }
    }
}
