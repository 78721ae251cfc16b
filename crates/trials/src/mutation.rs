//! Texts spoiled in the ways that hands, editors and other programs spoil them.

use crate::chance::Chance;

/// A way of spoiling a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mutation {
    /// A few bytes are gone, or are others.
    Bytes,
    /// A number is something that no length is.
    Numbers,
    /// Two keys have changed places.
    Keys,
    /// A line is gone, or is there twice.
    Lines,
    /// A value is wrapped into lists or tables.
    Nesting,
}

/// What stands where a number was.
const NUMBERS: [&str; 16] = [
    "nan",
    "inf",
    "-inf",
    "-0.0",
    "0",
    "1e308",
    "-1e308",
    "5e-324",
    "1e-12",
    "-3",
    "true",
    "\"\"",
    "\"12 thou\"",
    "\"flat\"",
    "[]",
    "9223372036854775807",
];

/// Spoils a text in one way, a few times over.
pub fn mutate(text: &str, how: Mutation, chance: &mut Chance) -> String {
    let mut spoiled = text.to_owned();
    for _ in 0..chance.whole(1, 3) {
        spoiled = match how {
            Mutation::Bytes => bytes(&spoiled, chance),
            Mutation::Numbers => numbers(&spoiled, chance),
            Mutation::Keys => keys(&spoiled, chance),
            Mutation::Lines => lines(&spoiled, chance),
            Mutation::Nesting => nesting(&spoiled, chance),
        };
    }
    spoiled
}

fn bytes(text: &str, chance: &mut Chance) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..chance.whole(1, 5) {
        if bytes.is_empty() {
            break;
        }
        let at = chance.whole(0, bytes.len() - 1);
        if chance.percent(60) {
            bytes.remove(at);
        } else {
            bytes[at] = *chance.pick(b"\"'[]{}=.,#\n\\ \x00-+eE9z\xc3");
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Where numbers stand: runs of digits and points that a blank, a quote or a bracket comes before.
fn number_spans(text: &str) -> Vec<(usize, usize)> {
    let mut spans = Vec::new();
    let mut start = None;
    let mut before = ' ';
    for (at, letter) in text.char_indices() {
        let of_number = letter.is_ascii_digit() || (start.is_some() && letter == '.');
        match (start, of_number) {
            (None, true) if " \"[".contains(before) => start = Some(at),
            (Some(from), false) => {
                spans.push((from, at));
                start = None;
            }
            _ => {}
        }
        before = letter;
    }
    spans
}

fn numbers(text: &str, chance: &mut Chance) -> String {
    let spans = number_spans(text);
    if spans.is_empty() {
        return text.to_owned();
    }
    let (from, to) = *chance.pick(&spans);
    format!("{}{}{}", &text[..from], chance.pick(&NUMBERS), &text[to..])
}

fn key_lines(text: &str) -> Vec<usize> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| line.contains(" = "))
        .map(|(at, _)| at)
        .collect()
}

fn with_lines(text: &str, change: impl FnOnce(&mut Vec<String>)) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    change(&mut lines);
    lines.join("\n")
}

fn keys(text: &str, chance: &mut Chance) -> String {
    let at = key_lines(text);
    if at.is_empty() {
        return text.to_owned();
    }
    let (a, b) = (*chance.pick(&at), *chance.pick(&at));
    with_lines(text, |lines| {
        let key = |line: &str| line.split(" = ").next().unwrap_or("").to_owned();
        let (first, second) = (key(&lines[a]), key(&lines[b]));
        lines[a] = lines[a].replacen(&first, &second, 1);
        if a != b {
            lines[b] = lines[b].replacen(&second, &first, 1);
        }
    })
}

fn lines(text: &str, chance: &mut Chance) -> String {
    with_lines(text, |lines| {
        if lines.is_empty() {
            return;
        }
        let at = chance.whole(0, lines.len() - 1);
        if chance.percent(75) {
            lines.remove(at);
        } else {
            lines.insert(at, lines[at].clone());
        }
    })
}

fn nesting(text: &str, chance: &mut Chance) -> String {
    let at = key_lines(text);
    if at.is_empty() {
        return text.to_owned();
    }
    let at = *chance.pick(&at);
    let deep = *chance.pick(&[1, 2, 30, 400]);
    let (open, close) = if chance.percent(70) {
        ("[", "]")
    } else {
        ("{ a = ", " }")
    };
    with_lines(text, |lines| {
        if let Some((key, value)) = lines[at].split_once(" = ") {
            lines[at] = format!("{key} = {}{value}{}", open.repeat(deep), close.repeat(deep));
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_found_where_they_stand() {
        let text = "a = 12.5\nb = \"16 in\" # note E4\nc = [3, 4]\n";
        let found: Vec<&str> = number_spans(text)
            .iter()
            .map(|(a, b)| &text[*a..*b])
            .collect();
        assert_eq!(found, ["12.5", "16", "3", "4"]);
    }

    #[test]
    fn every_way_changes_a_text() {
        let text = "a = 1\nb = 2\nc = \"x\"\n[d]\ne = [1, 2]\n";
        for how in [
            Mutation::Bytes,
            Mutation::Numbers,
            Mutation::Keys,
            Mutation::Lines,
            Mutation::Nesting,
        ] {
            let changed = (0..20).filter(|seed| mutate(text, how, &mut Chance::new(*seed)) != text);
            assert!(changed.count() > 10, "{how:?}");
        }
    }
}
