//! Key paths such as `strings.set[2].gauge`, and the description of the key that they lead to.

use instrument::format::{Key, Kind, Table};

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A key of a table.
    Key(String),
    /// An entry of a list, counted from 0 here and from 1 where people read it.
    Entry(usize),
}

/// Takes a path apart; nothing when it is not one.
pub fn steps(path: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    for part in path.split('.') {
        let (name, rest) = part
            .split_once('[')
            .map_or((part, None), |(n, r)| (n, Some(r)));
        let plain =
            !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_');
        if !plain {
            return None;
        }
        steps.push(Step::Key(name.to_owned()));
        if let Some(rest) = rest {
            let number: usize = rest.strip_suffix(']')?.parse().ok()?;
            steps.push(Step::Entry(number.checked_sub(1)?));
        }
    }
    (steps.len() <= 8).then_some(steps)
}

/// What kind of value a path leads to, and its key where it ends at one.
pub fn describe(
    top: &'static Table,
    steps: &[Step],
) -> Option<(&'static Kind, Option<&'static Key>)> {
    let (mut table, mut found): (
        Option<&'static Table>,
        Option<(&'static Kind, Option<&'static Key>)>,
    ) = (Some(top), None);
    for step in steps {
        found = Some(match step {
            Step::Key(name) => {
                let key = table?.key(name)?;
                (&key.kind, Some(key))
            }
            Step::Entry(_) => match found?.0 {
                Kind::List(kind) => (kind, None),
                Kind::Any(kinds) => (
                    kinds.iter().find_map(|k| {
                        if let Kind::List(kind) = k {
                            Some(*kind)
                        } else {
                            None
                        }
                    })?,
                    None,
                ),
                _ => return None,
            },
        });
        table = found.and_then(|(kind, _)| table_of(kind));
    }
    found
}

fn table_of(kind: &'static Kind) -> Option<&'static Table> {
    match kind {
        Kind::Table(table) => Some(table),
        Kind::Any(kinds) => kinds.iter().find_map(table_of),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::COMMISSION_KEYS;

    #[test]
    fn paths_lead_to_their_keys() {
        let kind = |path: &str| {
            let steps = steps(path)?;
            describe(&COMMISSION_KEYS, &steps).map(|(kind, _)| format!("{kind:?}"))
        };
        assert!(kind("camber.nut").expect("is a key").contains("Radius"));
        assert!(
            kind("strings.set[2].gauge")
                .expect("is a key")
                .contains("Length")
        );
        assert!(
            kind("camber.at[1].fret")
                .expect("is a key")
                .contains("Whole")
        );
        assert!(
            kind("board.binding.width")
                .expect("is a key")
                .contains("Length")
        );
        for path in [
            "",
            "camber.nope",
            "camber..nut",
            "strings.set[0].gauge",
            "a[x]",
            "title[1]",
        ] {
            assert!(kind(path).is_none(), "{path}");
        }
    }
}
