//! Programs of the demo boards with the demo kit.

use instrument::Instrument;
use solid::mill::{Mill, Operation, mill};

fn board(text: &str) -> Instrument {
    let none = |_: &str| Err("no files".to_owned());
    instrument::read_commission(text, &none).expect("the demo is sound")
}

fn kit() -> bench::Kit {
    bench::read_kit(include_str!("../../../demo/north-bench.toml")).expect("the demo is sound")
}

const DEMOS: [&str; 4] = [
    include_str!("../../../demo/heron.toml"),
    include_str!("../../../demo/sandpiper.toml"),
    include_str!("../../../demo/bittern.toml"),
    include_str!("../../../demo/avocet.toml"),
];

fn told(mill: &Mill) -> String {
    mill.refusals
        .iter()
        .map(|refusal| format!("{refusal}\n"))
        .collect()
}

#[test]
fn every_demo_board_is_cut_and_proved() {
    for text in DEMOS {
        let board = board(text);
        let mill = mill(&board, &kit());
        assert!(mill.refusals.is_empty(), "{}: {}", board.title, told(&mill));
        let done: Vec<Operation> = mill
            .programs
            .iter()
            .map(|program| program.operation)
            .collect();
        assert_eq!(
            done,
            [
                Operation::Rough,
                Operation::Finish,
                Operation::Slots,
                Operation::Outline
            ]
        );
        for program in &mill.programs {
            println!(
                "{} {}: {} passes, {:.1} min, {} moves, {:?} {:?} {:?}",
                board.title,
                program.name,
                program.passes,
                program.minutes,
                program.path.moves.len(),
                program.proof.gouge_um,
                program.proof.scallop_um,
                program.proof.floor_left_um
            );
        }
    }
}
