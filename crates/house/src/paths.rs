//! Paths and links that a Markdown text names.

/// A place that a text names, and the line where it does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Line, from 1.
    pub line: usize,
    /// The path as it stands there.
    pub path: String,
}

/// Endings that make a name in backticks a path even without a slash.
const ENDINGS: [&str; 4] = [".md", ".toml", ".rs", ".sh"];

/// Lines of a text outside fenced blocks, numbered from 1.
fn prose(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut fenced = false;
    text.lines().enumerate().filter_map(move |(index, line)| {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
            return None;
        }
        (!fenced).then_some((index + 1, line))
    })
}

/// The paths that a text names in backticks: words with a slash in them, or that end as a file
/// of this house does. Names of addresses, patterns and types are none.
pub fn named_in_backticks(text: &str) -> Vec<Named> {
    let mut found = Vec::new();
    for (line, words) in prose(text) {
        // Every second piece between backticks is inside a pair.
        for path in words
            .split('`')
            .skip(1)
            .step_by(2)
            .filter(|word| is_path(word))
        {
            found.push(Named {
                line,
                path: path.to_owned(),
            });
        }
    }
    found
}

fn is_path(word: &str) -> bool {
    let plain = |letter: char| letter.is_alphanumeric() || "/._-".contains(letter);
    let path_like = word.contains('/') || ENDINGS.iter().any(|ending| word.ends_with(ending));
    // A name that begins with a slash is an address of a page, not a place in the house.
    path_like && word.chars().all(plain) && !word.starts_with('/') && !ENDINGS.contains(&word)
}

/// The relative links of a text: what stands in `[…](…)`, without addresses and anchors.
pub fn relative_links(text: &str) -> Vec<Named> {
    let mut found = Vec::new();
    for (line, words) in prose(text) {
        for (at, _) in words.match_indices("](") {
            let rest = &words[at + 2..];
            let Some(target) = rest
                .split(')')
                .next()
                .filter(|target| target.len() < rest.len())
            else {
                continue;
            };
            let path = target.split_whitespace().next().unwrap_or("");
            let path = path.split('#').next().unwrap_or("");
            if !path.is_empty() && !path.contains("://") && !path.starts_with("mailto:") {
                found.push(Named {
                    line,
                    path: path.to_owned(),
                });
            }
        }
    }
    found
}

/// Those named places that are not there, as `line: path`.
pub fn missing(named: &[Named], exists: impl Fn(&str) -> bool) -> Vec<String> {
    let absent = named.iter().filter(|named| !exists(&named.path));
    absent
        .map(|named| format!("line {}: {}", named.line, named.path))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SAMPLE: &str = "# Map\n\
        The room `bench` lives in `crates/bench`, see `crates/bench/src/plan.rs`.\n\
        One command: `check.sh`; choices in `docs/choices.md` and `Cargo.toml`.\n\
        ```\n`crates/in/a/fence.rs`\n```\n\
        Not paths: `Instrument`, `sheet|plan`, `/boards/3`, `.rs`, `std::fs`, `a + b`, `crates/*`.\n\
        A [link](docs/quantities.md#lengths), [another](https://example.org/x.md), [top](#map),\n\
        [with title](docs/other.md \"Other\").\n";

    fn paths(named: &[Named]) -> Vec<&str> {
        named.iter().map(|named| named.path.as_str()).collect()
    }

    #[test]
    fn paths_in_backticks_are_found_and_nothing_else() {
        let named = named_in_backticks(SAMPLE);
        assert_eq!(
            paths(&named),
            [
                "crates/bench",
                "crates/bench/src/plan.rs",
                "check.sh",
                "docs/choices.md",
                "Cargo.toml"
            ]
        );
        assert_eq!(named[2].line, 3);
    }

    #[test]
    fn relative_links_are_found_without_anchors_and_addresses() {
        assert_eq!(
            paths(&relative_links(SAMPLE)),
            ["docs/quantities.md", "docs/other.md"]
        );
        assert!(relative_links("a slice [0](unclosed").is_empty());
    }

    #[test]
    fn a_missing_path_is_told_with_its_line() {
        let named = named_in_backticks(SAMPLE);
        let told = missing(&named, |path| path != "docs/choices.md");
        assert_eq!(told, ["line 3: docs/choices.md"]);
        assert!(missing(&named, |_| true).is_empty());
    }
}
