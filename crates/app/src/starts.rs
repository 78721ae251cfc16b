//! Plain instruments to begin with: each is sound, grants its own wish, and is there to be changed.

/// A plain start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    /// Its word in forms.
    pub name: &'static str,
    /// What it is, for the maker.
    pub words: &'static str,
    /// The commission's text.
    pub text: &'static str,
}

/// All of them, the commonest first.
pub const STARTS: [Start; 4] = [
    Start {
        name: "plain",
        words: "a plain six-string",
        text: include_str!("../assets/starts/six-string.toml"),
    },
    Start {
        name: "seven-string",
        words: "a plain seven-string",
        text: include_str!("../assets/starts/seven-string.toml"),
    },
    Start {
        name: "acoustic",
        words: "a plain steel-string acoustic",
        text: include_str!("../assets/starts/steel-string-acoustic.toml"),
    },
    Start {
        name: "bass",
        words: "a plain four-string bass",
        text: include_str!("../assets/starts/four-string-bass.toml"),
    },
];

/// The start of that name.
pub fn start(name: &str) -> Option<Start> {
    STARTS.into_iter().find(|start| start.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::no_files;

    #[test]
    fn every_start_is_sound_and_grants_its_own_wish() {
        for start in STARTS {
            let instrument =
                instrument::read_commission(start.text, &no_files).expect("a start has no faults");
            let strings = play::sheet(&instrument, None).strings;
            let buzz = play::planned_buzz(&instrument, &strings);
            let wish = &instrument.wish;
            assert!(buzz.worst().is_some(), "{}: the pull is known", start.name);
            assert_eq!(buzz.count_below(wish.margin_mm), 0, "{}", start.name);
            let bends = play::planned_bends(&instrument, &strings);
            assert_eq!(bends.count_choked(wish.bend_cents), 0, "{}", start.name);
        }
    }

    /// Common practice, no source: a string pulls between 50 and 250 N on any of these.
    #[test]
    fn every_string_of_a_start_pulls_as_such_strings_do() {
        for start in STARTS {
            let instrument =
                instrument::read_commission(start.text, &no_files).expect("a start has no faults");
            for string in play::sheet(&instrument, None).strings {
                let pull = string.tension_n.expect("its weight is known");
                assert!((50.0..250.0).contains(&pull), "{}: {pull} N", start.name);
            }
        }
    }
}
