//! The 95 % intervals hold the truth as often as they say, on boards whose truth is drawn from
//! the stated priors. The command `cargo run --release -p trials --bin coverage` counts more.

use trials::coverage::{Table, coverage, join};
use trials::visit::Mixture;

/// Boards for each mixture: what a test run has time for.
const BOARDS: u64 = 300;

/// A count is refused when chance alone would make one as far off less often than this. With 54
/// counts and 9 sums of them, a sound program would be refused once in a thousand choices of seeds.
const LEAST_CHANCE: f64 = 1e-5;

fn check(table: &Table, boards: u64, what: &str) {
    assert!(!table.contains_key("no fit"), "{what}: a board had no fit");
    // Five heights and differences, radii at both ends and between, and the surface.
    assert!(table.len() >= 8, "{what}: {:?}", table.keys());
    for (name, count) in table {
        let tail = count.tail(boards);
        assert!(
            tail > LEAST_CHANCE,
            "{what}, {name}: {:.2} % of {} held, by chance {tail:.1e}",
            count.percent(),
            count.asked
        );
    }
}

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let mut whole = Table::new();
    // Side by side: they share nothing, and this is the longest test of all.
    let tables = std::thread::scope(|scope| {
        let counted =
            Mixture::ALL.map(|mixture| (mixture, scope.spawn(move || coverage(mixture, BOARDS))));
        counted.map(|(mixture, table)| (mixture, table.join().expect("no board ends in a panic")))
    });
    for (mixture, table) in tables {
        check(&table, BOARDS, mixture.name());
        join(&mut whole, &table);
    }
    // Over all mixtures the bounds are nearer: 1,800 boards, about 92.6 to 97.0 %.
    check(&whole, BOARDS * Mixture::ALL.len() as u64, "all mixtures");
}
