//! What stands in the sources: headers, sizes, and what the core must not name.

/// The most lines that a source file may have.
pub const MOST_LINES: usize = 800;

/// What the core must not name: files, network, environment, clock, threads.
pub const NOT_IN_CORE: [&str; 6] = [
    "std::fs",
    "std::net",
    "std::env",
    "std::time::SystemTime",
    "std::time::Instant",
    "std::thread",
];

/// True when a module says first what it is for.
pub fn has_header(text: &str) -> bool {
    text.strip_prefix("//!").is_some_and(|rest| {
        rest.lines()
            .next()
            .is_some_and(|words| !words.trim().is_empty())
    })
}

/// Every line of the core that names what it must not, as `line: name`. Comments and what
/// follows the first `#[cfg(test)]` do not count.
pub fn outside_named(text: &str) -> Vec<String> {
    let product = text.split("#[cfg(test)]").next().unwrap_or("");
    let mut found = Vec::new();
    // A group such as `use std::{fs, io}` runs until its semicolon.
    let mut group: Option<String> = None;
    for (index, line) in product.lines().enumerate() {
        let code = line.split("//").next().unwrap_or("");
        let mut note = |name: &str| found.push(format!("{}: {name}", index + 1));
        NOT_IN_CORE
            .iter()
            .filter(|name| names(code, name))
            .for_each(|name| note(name));
        if group.is_none() && code.contains("std::{") {
            group = Some(String::new());
        }
        if let Some(words) = &mut group {
            words.push_str(code);
            if code.contains(';') {
                named_in_group(words).into_iter().for_each(&mut note);
                group = None;
            }
        }
    }
    found
}

/// True when the path stands in the code and does not go on as a longer word.
fn names(code: &str, path: &str) -> bool {
    code.match_indices(path).any(|(at, _)| {
        let next = code[at + path.len()..].chars().next();
        !next.is_some_and(|letter| letter.is_alphanumeric() || letter == '_')
    })
}

fn named_in_group(words: &str) -> Vec<&'static str> {
    let inside = words.split_once("std::{").map_or("", |(_, rest)| rest);
    let has = |word: &str| {
        inside
            .split(|letter: char| !letter.is_alphanumeric() && letter != '_')
            .any(|w| w == word)
    };
    let last = |path: &'static str| path.rsplit("::").next().unwrap_or(path);
    NOT_IN_CORE
        .iter()
        .copied()
        .filter(|path| has(last(path)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_has_words() {
        assert!(has_header("//! What it is for.\nuse std::fmt;\n"));
        assert!(!has_header("use std::fmt;\n//! Too late.\n"));
        assert!(!has_header("//!\n//! Words come second.\n"));
        assert!(!has_header(""));
    }

    #[test]
    fn forbidden_names_are_found_in_every_spelling() {
        assert_eq!(outside_named("let a = 1;\nuse std::fs;\n"), ["2: std::fs"]);
        assert_eq!(outside_named("use std::fs::File;"), ["1: std::fs"]);
        assert_eq!(
            outside_named("let t = std::time::Instant::now();"),
            ["1: std::time::Instant"]
        );
        assert_eq!(
            outside_named("use std::{\n    fmt,\n    env,\n};"),
            ["4: std::env"]
        );
        assert_eq!(
            outside_named("use std::{thread, time::SystemTime};").len(),
            2
        );
    }

    #[test]
    fn comments_tests_and_longer_words_do_not_count() {
        assert!(outside_named("// no std::fs here\nuse std::fmt;\n").is_empty());
        assert!(outside_named("#[cfg(test)]\nmod tests { use std::fs; }").is_empty());
        assert!(outside_named("use std::envelope;\nuse std::{fmt, vec};").is_empty());
    }
}
