//! What the program is made of: the list is up to date, every licence is an allowed one, the bill
//! of materials names every part once.

use std::collections::BTreeSet;

use house::House;
use house::cargo::{list, text};
use house::licence::is_allowed;
use house::notices::notices;
use house::parts::{Part, Use, page, parts};
use house::sbom::bill;

fn known() -> Vec<Part> {
    parts().unwrap_or_else(|why| panic!("{why}"))
}

#[test]
fn the_page_of_licences_is_up_to_date() {
    let there = House::here().text("docs/licences.md").expect("it is there");
    assert_eq!(
        there,
        page(&known()),
        "write it anew: cargo run -p house --example parts"
    );
}

#[test]
fn every_part_bears_an_allowed_licence() {
    let parts = known();
    assert!(parts.len() > 100, "{} parts", parts.len());
    let refused: Vec<String> = parts
        .iter()
        .filter(|part| is_allowed(&part.licence) != Ok(true))
        .map(|part| format!("{}: {}", part.key(), part.licence))
        .collect();
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

#[test]
fn what_was_fetched_has_its_checksum_and_what_tests_need_is_no_part() {
    let parts = known();
    let bare: Vec<String> = parts
        .iter()
        .filter(|part| !part.own && part.within.is_none() && part.sha256.is_none())
        .map(Part::key)
        .collect();
    assert!(bare.is_empty(), "{}", bare.join(", "));
    let used = |name: &str| {
        parts
            .iter()
            .find(|part| part.name == name)
            .map(|part| part.used)
    };
    assert_eq!(used("rusqlite"), Some(Use::Inside));
    assert_eq!(used("SQLite"), Some(Use::Inside));
    assert_eq!(used("maud_macros"), Some(Use::Building));
    // Only tests read PDF files.
    assert_eq!(used("lopdf"), None);
}

#[test]
fn the_bill_names_every_part_once_and_only_known_ones() {
    let parts = known();
    let bill = bill(&parts).expect("it can be made");
    let components = list(&bill, "components");
    assert_eq!(components.len() + 1, parts.len());
    let refs: BTreeSet<String> = components.iter().map(|it| text(it, "bom-ref")).collect();
    assert_eq!(refs.len(), components.len());
    for part in list(&bill, "dependencies") {
        for needed in list(part, "dependsOn") {
            let needed = needed.as_str().unwrap_or_default();
            assert!(refs.contains(needed), "{needed} is no component");
        }
    }
    let words = bill.to_string();
    let root = House::here().root().display().to_string();
    assert!(!words.contains(&root), "the bill names a folder");
}

#[test]
fn the_texts_of_the_licences_go_along() {
    let texts = notices(&known()).unwrap_or_else(|why| panic!("{why}"));
    // Words that the licences of the font and of MIT ask to be kept.
    for words in ["Bitstream", "Permission is hereby granted", "rusqlite"] {
        assert!(texts.contains(words), "{words}");
    }
}
