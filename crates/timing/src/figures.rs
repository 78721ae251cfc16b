//! Figures of benchmarks as lines that a program can read: printed only when the report asks.

// A benchmark is run for what it prints.
#![allow(clippy::print_stdout)]

use crate::Timings;

/// Set by the report: benchmarks print their figures for it too.
pub const ASKED: &str = "TIMING_FIGURES";
/// Set for a quick look: a few runs of everything.
pub const QUICK: &str = "TIMING_QUICK";
/// What such a line begins with.
pub const MARK: &str = "figure";
/// Of so many runs one is left in a quick look, and never fewer than three.
const QUICK_SHARE: usize = 50;

/// One figure of a benchmark.
#[derive(Clone, Debug, PartialEq)]
pub enum Figure {
    /// How long something takes.
    Times {
        /// What.
        what: String,
        /// Its median, ms.
        median_ms: f64,
        /// The 99th of 100, ms.
        late_ms: f64,
        /// What is asked of it, in words: `5 ms, 10 ms` for both, `20 ms` for the median.
        goal: String,
    },
    /// Something counted or weighed.
    Amount {
        /// What.
        what: String,
        /// How much.
        value: f64,
        /// In which unit.
        unit: String,
        /// The least or the most that is asked, as `< 40` or `> 1000000`; empty when nothing is.
        goal: String,
    },
    /// How many times as long, or as seldom, a yardstick does the same.
    Beside {
        /// What is done.
        what: String,
        /// Which yardstick.
        yardstick: String,
        /// How many times.
        times: f64,
        /// At least so many times is asked; empty when nothing is.
        goal: String,
    },
}

/// How many runs are made of those that a benchmark asks for.
pub fn runs(asked: usize) -> usize {
    match std::env::var_os(QUICK) {
        Some(_) => (asked / QUICK_SHARE).max(3).min(asked),
        None => asked,
    }
}

/// Tells of timings.
pub fn times(what: &str, timings: &Timings, goal: &str) {
    tell(&Figure::Times {
        what: what.trim().to_owned(),
        median_ms: timings.percentile_ms(50.0),
        late_ms: timings.percentile_ms(99.0),
        goal: goal.to_owned(),
    });
}

/// Tells of an amount; a goal is written `< 40` or `> 1000000`.
pub fn amount(what: &str, value: f64, unit: &str, goal: &str) {
    tell(&Figure::Amount {
        what: what.to_owned(),
        value,
        unit: unit.to_owned(),
        goal: goal.to_owned(),
    });
}

/// Tells how many times as long a yardstick takes.
pub fn beside(what: &str, yardstick: &str, times: f64, goal: &str) {
    tell(&Figure::Beside {
        what: what.to_owned(),
        yardstick: yardstick.to_owned(),
        times,
        goal: goal.to_owned(),
    });
}

fn tell(figure: &Figure) {
    if std::env::var_os(ASKED).is_some() {
        println!("{}", figure.line());
    }
}

impl Figure {
    /// The line of it.
    pub fn line(&self) -> String {
        match self {
            Figure::Times {
                what,
                median_ms,
                late_ms,
                goal,
            } => format!("{MARK}\ttimes\t{what}\t{median_ms}\t{late_ms}\t{goal}"),
            Figure::Amount {
                what,
                value,
                unit,
                goal,
            } => format!("{MARK}\tamount\t{what}\t{value}\t{unit}\t{goal}"),
            Figure::Beside {
                what,
                yardstick,
                times,
                goal,
            } => format!("{MARK}\tbeside\t{what}\t{yardstick}\t{times}\t{goal}"),
        }
    }

    /// The figure of a line; nothing when it holds none.
    pub fn from_line(line: &str) -> Option<Self> {
        let cells: Vec<&str> = line.split('\t').collect();
        let [MARK, kind, what, first, second, goal] = cells[..] else {
            return None;
        };
        let (what, goal) = (what.to_owned(), goal.to_owned());
        Some(match kind {
            "times" => Figure::Times {
                what,
                median_ms: first.parse().ok()?,
                late_ms: second.parse().ok()?,
                goal,
            },
            "amount" => Figure::Amount {
                what,
                value: first.parse().ok()?,
                unit: second.to_owned(),
                goal,
            },
            "beside" => Figure::Beside {
                what,
                yardstick: first.to_owned(),
                times: second.parse().ok()?,
                goal,
            },
            _ => return None,
        })
    }

    /// Whether its goal is met; nothing when it has none that a number can tell.
    pub fn is_met(&self) -> Option<bool> {
        match self {
            Figure::Times {
                median_ms,
                late_ms,
                goal,
                ..
            } => {
                let mut limits = goal
                    .split(", ")
                    .map(|limit| limit.strip_suffix(" ms")?.parse().ok());
                let median: f64 = limits.next()??;
                let late: Option<f64> = limits.next().flatten();
                Some(*median_ms < median && late.is_none_or(|late| *late_ms < late))
            }
            Figure::Amount { value, goal, .. } => {
                let (sign, limit) = goal.split_once(' ')?;
                let limit: f64 = limit.parse().ok()?;
                match sign {
                    "<" => Some(*value < limit),
                    ">" => Some(*value > limit),
                    _ => None,
                }
            }
            Figure::Beside { times, goal, .. } => Some(*times >= goal.parse().ok()?),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(goal: &str) -> Figure {
        Figure::Times {
            what: "a page".into(),
            median_ms: 4.0,
            late_ms: 12.5,
            goal: goal.into(),
        }
    }

    #[test]
    fn a_figure_is_read_as_it_was_written() {
        let amount = Figure::Amount {
            what: "memory".into(),
            value: 30.25,
            unit: "MB".into(),
            goal: "< 40".into(),
        };
        let beside = Figure::Beside {
            what: "a fit".into(),
            yardstick: "scipy".into(),
            times: 31.5,
            goal: "20".into(),
        };
        for figure in [times("5 ms, 10 ms"), amount, beside] {
            assert_eq!(Figure::from_line(&figure.line()), Some(figure));
        }
        assert_eq!(Figure::from_line("a page  median 4 ms"), None);
    }

    #[test]
    fn goals_are_met_or_missed_or_none() {
        assert_eq!(times("5 ms, 10 ms").is_met(), Some(false));
        assert_eq!(times("5 ms, 20 ms").is_met(), Some(true));
        assert_eq!(times("5 ms").is_met(), Some(true));
        assert_eq!(times("3 ms").is_met(), Some(false));
        for none in ["-", "none", ""] {
            assert_eq!(times(none).is_met(), None);
        }
    }
}
