//! Programs for a machine on random boards: whatever is written is proved, ordinary boards are
//! all cut, and nothing panics.

use bench::Kit;
use instrument::Instrument;
use solid::mill::{Cause, Mill, mill};
use trials::{Chance, Commission, ordinary_board, wild_board};

/// Boards of each kind.
const EACH: u64 = 24;

fn kit() -> Kit {
    bench::read_kit(include_str!("../../../../demo/north-bench.toml")).expect("the demo is sound")
}

/// Random boards with random blanks and scallops, and what becomes of them.
fn milled(draw: fn(&mut Chance) -> Commission) -> Vec<(u64, Instrument, Mill)> {
    let kit = kit();
    let one = |seed: u64| {
        let mut chance = Chance::new(9000 + seed);
        let text = draw(&mut chance).to_toml();
        let none = |_: &str| Err("no files".to_owned());
        let mut board = instrument::read_commission(&text, &none).ok()?;
        board.blank.thickness_mm = board.wood.crown_thickness_mm + chance.between(0.0, 3.0);
        board.cutting.scallop_mm = chance.between(0.004, 0.03);
        let mill = mill(&board, &kit);
        Some((seed, board, mill))
    };
    (0..EACH).filter_map(one).collect()
}

fn failed_its_proof(cause: &Cause) -> bool {
    matches!(
        cause,
        Cause::Gouge { .. } | Cause::Scallop { .. } | Cause::RapidInWood { .. }
    )
}

#[test]
fn plans_for_ordinary_boards_never_fail_their_proof() {
    let milled = milled(ordinary_board);
    assert!(milled.len() > 20);
    for (seed, _, mill) in &milled {
        for refusal in &mill.refusals {
            assert!(!failed_its_proof(&refusal.cause), "seed {seed}: {refusal}");
        }
    }
}

#[test]
fn what_is_written_for_wild_boards_is_proved_all_the_same() {
    let (mut programs, mut refusals) = (0, 0);
    for (seed, board, mill) in milled(wild_board) {
        for program in &mill.programs {
            let proof = &program.proof;
            let scallop = proof.scallop_um.unwrap_or(0.0);
            let sound = proof.gouge_um <= 1.0 && scallop <= 1e3 * board.cutting.scallop_mm;
            assert!(sound, "seed {seed}, {}: {proof:?}", program.name);
        }
        programs += mill.programs.len();
        refusals += mill.refusals.len();
    }
    // Cambers that turn too fast for a ball are among them.
    assert!(programs > 40 && refusals > 0, "{programs}, {refusals}");
}
