//! Prints how often the surface to work to would cut below the true wood, and how often a board
//! is called done that is not: `cargo run --release -p trials --bin safety`.
//! A number after `--` sets the boards; 10,000 otherwise.
#![allow(clippy::print_stdout, reason = "printing its counts is what it is for")]

use trials::safety::{Boards, Safety, safety};
use trials::visit::Mixture;

fn main() {
    let boards: u64 = std::env::args()
        .nth(1)
        .and_then(|count| count.parse().ok())
        .unwrap_or(10_000);
    let mut drawn = Safety::default();
    println!("woods drawn from the priors");
    for mixture in Mixture::ALL {
        let counted = safety(Boards::Drawn(mixture), boards.div_ceil(6));
        println!(
            "  {:<24} surface above the true wood on {} of {}, {:.2} percent; at most {:.4} mm",
            mixture.name(),
            counted.above,
            counted.boards,
            counted.above_percent(),
            counted.deepest_mm.max(0.0)
        );
        drawn = drawn.with(counted);
    }
    print("all of them", &drawn);
    // Many heights take longer to fit.
    let nearly = safety(Boards::NearlyRight, boards.div_ceil(5));
    print("woods nearly right, many heights", &nearly);
}

fn print(name: &str, counted: &Safety) {
    println!("{name}");
    println!(
        "  {} boards, {} without a fit, {} in which no surface lies within the limits",
        counted.boards, counted.no_fit, counted.no_way
    );
    println!(
        "  surface above the true wood on {} boards, {:.2} percent; at most {:.4} mm",
        counted.above,
        counted.above_percent(),
        counted.deepest_mm
    );
    println!(
        "  done {}, wrongly {} ({:.2} percent); largest departure {:.2} of the tolerance",
        counted.done,
        counted.wrongly_done,
        counted.wrongly_done_percent(),
        counted.worst_done
    );
}
