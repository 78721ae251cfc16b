//! A short run of spoilt texts at every door; `cargo run --release -p trials --example fuzz` does the
//! same with ten million each.

use trials::fuzz::{Door, fuzz};

const EACH: u64 = 4_000;

#[track_caller]
fn unharmed(door: Door) {
    let tally = fuzz(door, EACH, 20_260_302, |_, _| {});
    let finds: Vec<String> = tally
        .finds
        .iter()
        .map(|find| {
            format!(
                "{} on {:?}",
                find.what,
                String::from_utf8_lossy(&find.shrunk)
            )
        })
        .collect();
    assert!(finds.is_empty(), "{}", finds.join("\n"));
    // Inputs that are all refused for one reason would prove nothing.
    assert!(tally.sound > EACH / 100, "{} are sound", tally.sound);
    assert!(tally.heard > 20, "{} kinds of answers", tally.heard);
}

#[test]
fn no_commission_harms() {
    unharmed(Door::Commission);
}

#[test]
fn no_kit_harms() {
    unharmed(Door::Kit);
}

#[test]
fn no_readings_harm() {
    unharmed(Door::Readings);
}

#[test]
fn no_tuning_file_harms() {
    unharmed(Door::Scala);
}

#[test]
fn no_length_harms() {
    unharmed(Door::Lengths);
}

#[test]
fn no_form_harms() {
    unharmed(Door::Forms);
}

#[test]
fn no_archive_harms() {
    unharmed(Door::Archives);
}

#[test]
fn no_carried_book_harms() {
    unharmed(Door::Carried);
}

#[test]
fn no_upload_harms() {
    unharmed(Door::Uploads);
}

#[test]
fn a_run_is_the_same_again() {
    let run = || {
        let mut inputs = Vec::new();
        fuzz(Door::Kit, 500, 3, |_, input| inputs.push(input.to_vec()));
        inputs
    };
    assert_eq!(run(), run());
}
