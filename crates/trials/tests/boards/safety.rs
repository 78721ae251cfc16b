//! The surface to work to stays inside the true wood as surely as it says, and a board called
//! done is done. The command `cargo run --release -p trials --bin safety` counts more boards.

use readings::next::Allowed;
use trials::safety::{Boards, Safety, safety};
use trials::visit::Mixture;

/// Boards for each mixture, and nearly right boards.
const BOARDS: u64 = 60;
const NEARLY: u64 = 40;

#[test]
fn the_surface_lies_inside_the_true_wood_as_surely_as_it_says() {
    let counted = Mixture::ALL
        .into_iter()
        .map(|mixture| safety(Boards::Drawn(mixture), BOARDS))
        .fold(Safety::default(), Safety::with);
    assert_eq!(counted.no_fit, 0);
    assert!(counted.boards >= 350, "{counted:?}");
    let allowed = 100.0 * (1.0 - Allowed::default().confidence);
    assert!(counted.above_percent() <= allowed, "{counted:?}");
    // Twice the prior deviation of a spot: a surface deeper than that would not be chance.
    assert!(counted.deepest_mm < 0.1, "{counted:?}");
}

#[test]
fn a_board_called_done_is_done() {
    let counted = safety(Boards::NearlyRight, NEARLY);
    assert_eq!(counted.no_fit, 0);
    assert!(counted.done >= 5, "too few to tell: {counted:?}");
    assert!(counted.wrongly_done_percent() <= 5.0, "{counted:?}");
}
