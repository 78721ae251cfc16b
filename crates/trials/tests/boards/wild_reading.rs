//! One light typed ten times too large: it is named first, the slip is guessed, and no figure
//! moves by more than half its interval, where the other readings foretell that light.

use std::sync::OnceLock;

use readings::doubt::Hint;
use trials::wild::{Wild, wild};

/// Boards that are read.
const BOARDS: usize = 660;

/// Standard uncertainty of a light, half the smallest that is seen, mm, and of half a 95 %
/// interval in standard uncertainties.
const SIGMA_MM: f64 = 0.01;
const HALF_95: f64 = 1.96;

/// A light against one other of the same station is one word against another, with 1.0 of its
/// own uncertainty. With 0.8 at least two readings' worth speak against it.
const FORETOLD: f64 = 0.8;

/// A light that lies nearer to nothing than this many uncertainties is ten times nothing.
const SOMETHING: f64 = 3.0;

/// The boards, read once for all tests.
fn all() -> &'static [Wild] {
    static ALL: OnceLock<Vec<Wild>> = OnceLock::new();
    ALL.get_or_init(|| wild(BOARDS))
}

fn foretold(one: &Wild) -> bool {
    one.foretold_half_mm < FORETOLD * HALF_95 * SIGMA_MM
}

#[test]
fn a_wild_light_that_others_foretell_is_named_and_moves_nothing_far() {
    let all = all();
    let told: Vec<&Wild> = all.iter().filter(|one| foretold(one)).collect();
    assert!(told.len() >= 200, "{}", told.len());
    for one in &told {
        assert_eq!(one.rank, Some(0), "{one:?}");
        assert!(one.moved <= 1.0, "{one:?}");
        if one.light_mm > SOMETHING * SIGMA_MM.hypot(one.foretold_half_mm / HALF_95) {
            assert_eq!(one.hint, Some(Hint::TenTimes), "{one:?}");
        }
    }
}

#[test]
fn a_wild_light_is_nearly_always_named_first() {
    // Where nothing else foretells the light a slip cannot be told from a find: that is one board
    // in a hundred at the most.
    let all = all();
    let first = all.iter().filter(|one| one.rank == Some(0)).count();
    assert!(100 * first >= 98 * all.len(), "{first} of {}", all.len());
}
