//! The program killed at any moment: every change that it answered as stored is there afterwards.
//! `cargo run --release -p trials --example crash` does the same 10,000 times.

use trials::crash::crash;
use trials::served::program;

const KILLS: usize = 25;

#[test]
fn what_was_acknowledged_survives_the_programs_kill() {
    let program = program().expect("the program is built");
    let folder = std::env::temp_dir().join(format!("camberwright-kills-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    let tally = crash(&program, &folder, KILLS, 7, |_| {}).unwrap_or_else(|why| panic!("{why}"));
    assert_eq!(tally.kills, KILLS);
    for count in [tally.edits, tally.readings, tally.stages] {
        assert_eq!(count.acknowledged, count.found);
    }
    let acknowledged = tally.edits.acknowledged + tally.readings.acknowledged;
    assert!(acknowledged > KILLS, "{acknowledged} edits were answered");
    std::fs::remove_dir_all(&folder).expect("the folder can be taken away");
}
