//! Keeps the guide true: its pictures are what the program draws, its list of figures is what the
//! pages say, and every page and picture that it names is carried along.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use camberwright::{guide, words};

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs")
}

const AGAIN: &str = "draw it anew with `cargo run -p camberwright --example guide`";

#[test]
fn every_picture_is_what_the_program_draws_of_the_demo() {
    let scratch = std::env::temp_dir().join(format!("camberwright-guide-{}", std::process::id()));
    std::fs::create_dir_all(&scratch).expect("a folder can be made");
    let drawn = guide::pictures(&scratch).expect("the demo is sound");
    std::fs::remove_dir_all(&scratch).expect("the folder can go");
    assert!(drawn.len() >= 11);
    for (name, svg) in drawn {
        assert!(guide::picture(name) == Some(&svg), "{name}: {AGAIN}");
    }
}

#[test]
fn the_list_of_figures_says_what_the_pages_say() {
    let page = guide::page("figures").expect("the guide has the page");
    assert!(page.text == words::list_as_text(), "figures.md: {AGAIN}");
}

#[test]
fn every_figure_names_a_computation_that_there_is() {
    for words in words::ALL.iter().flat_map(|(_, figures)| *figures) {
        let page = guide::page(words.computation);
        assert!(page.is_some(), "{}: {}", words.name, words.computation);
        for text in [words.why, words.how, words.sure] {
            assert!(text.ends_with('.'), "{}: {text}", words.name);
        }
    }
}

#[test]
fn every_page_has_an_address_and_a_heading_of_its_own() {
    let pages = || guide::PAGES.iter().flat_map(|(_, pages)| *pages);
    let names: BTreeSet<&str> = pages().map(|page| page.name).collect();
    assert_eq!(names.len(), pages().count());
    for page in pages() {
        assert!(!guide::heading(page.text).is_empty(), "{}", page.name);
    }
}

#[test]
fn no_page_under_guide_or_computations_is_left_behind() {
    for folder in ["guide", "computations"] {
        for entry in std::fs::read_dir(docs().join(folder)).expect("the folder is there") {
            let name = entry.expect("it can be read").file_name().into_string();
            let name = name.expect("names are plain");
            if let Some(name) = name.strip_suffix(".md").filter(|name| *name != "README") {
                assert!(
                    guide::page(name).is_some(),
                    "{folder}/{name} is not carried"
                );
            }
        }
    }
}

#[test]
fn every_picture_that_a_page_names_is_carried() {
    let mut named = 0;
    for page in guide::PAGES.iter().flat_map(|(_, pages)| *pages) {
        for part in page.text.split("](pictures/").skip(1) {
            let name = part.split(".svg)").next().unwrap_or_default();
            assert!(guide::picture(name).is_some(), "{}: {name}", page.name);
            named += 1;
        }
    }
    assert!(named >= guide::PICTURES.len());
}
