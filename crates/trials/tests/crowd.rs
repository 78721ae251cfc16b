//! A few readers and writers for a moment: no error, and every acknowledged change is in the book.
//! `cargo run --release -p trials --example load` is the same with many, for ten minutes.

use std::time::Duration;

use trials::crowd::{Ask, Sort, crowd};
use trials::served::program;

#[test]
fn readers_and_writers_at_once_meet_no_error_and_lose_nothing() {
    let program = program().expect("the program is built");
    let folder = std::env::temp_dir().join(format!("camberwright-crowd-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    let ask = Ask {
        readers: 8,
        writers: 5,
        lasts: Duration::from_secs(5),
        pause: Duration::from_millis(50),
        seed: 3,
    };
    let tally = crowd(&program, &folder, &ask).unwrap_or_else(|why| panic!("{why}"));
    assert!(tally.errors.is_empty(), "{}", tally.errors.join("\n"));
    assert!(tally.acknowledged > 5, "{} changes", tally.acknowledged);
    assert_eq!(tally.acknowledged, tally.found);
    assert!(tally.waits.contains_key(&Sort::Page));
    std::fs::remove_dir_all(&folder).expect("the folder can be taken away");
}
