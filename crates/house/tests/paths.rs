//! What the words about the house name is there; modules say what they are for; files stay small.

use std::path::Path;

use house::House;
use house::paths::{missing, named_in_backticks, relative_links};
use house::sources::{MOST_LINES, has_header};

#[test]
fn every_path_that_the_map_names_is_there() {
    let house = House::here();
    let text = house.text("ARCHITECTURE.md").expect("the house has a map");
    let named = named_in_backticks(&text);
    assert!(named.len() > 5, "a map names places: {named:?}");
    let faults = missing(&named, |path| house.has(path));
    assert!(
        faults.is_empty(),
        "ARCHITECTURE.md names what is not there:\n{}",
        faults.join("\n")
    );
}

#[test]
fn links_between_documents_lead_somewhere() {
    let house = House::here();
    let mut faults = Vec::new();
    for document in house.documents().expect("docs can be read") {
        let folder = Path::new(&document)
            .parent()
            .unwrap_or(Path::new(""))
            .to_path_buf();
        match house.text(&document) {
            Ok(text) => {
                let there = |path: &str| house.root().join(&folder).join(path).exists();
                let lost = missing(&relative_links(&text), there);
                faults.extend(lost.into_iter().map(|fault| format!("{document}: {fault}")));
            }
            Err(error) => faults.push(error),
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_module_says_first_what_it_is_for() {
    let sources = House::here().sources("src").expect("sources can be read");
    assert!(sources.len() > 50, "{} files", sources.len());
    let bare: Vec<&str> = sources
        .iter()
        .filter(|source| !has_header(&source.text))
        .map(|source| source.path.as_str())
        .collect();
    assert!(bare.is_empty(), "no header: {}", bare.join(", "));
}

#[test]
fn no_source_file_is_too_long() {
    let house = House::here();
    let mut long = Vec::new();
    for folder in ["src", "tests", "examples", "benches"] {
        for source in house.sources(folder).expect("sources can be read") {
            let lines = source.text.lines().count();
            if lines > MOST_LINES {
                long.push(format!("{}: {lines} lines", source.path));
            }
        }
    }
    assert!(
        long.is_empty(),
        "over {MOST_LINES} lines, look for the second idea: {}",
        long.join(", ")
    );
}
