//! Spoilt texts in great numbers for every reader of the program: never a panic, never a hang,
//! never more memory than is bounded.
//!
//! Inputs grow from sound ones. An input that is answered in words not heard before joins the
//! sound ones, so that the spoiling reaches deeper than the first refusal; compiled-in counters
//! would see more, but need a compiler of another channel. The same seed gives the same inputs.

mod archive;
mod carried;
mod door;
mod enter;
mod grow;
mod shrink;
mod upload;
mod watch;

use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use crate::Chance;
pub use door::Door;
use enter::Bench;
use grow::Pool;
pub use watch::Watch;

/// An input may take so long on a quiet machine.
pub const LONGEST: Duration = Duration::from_secs(1);
/// The most kinds of answers that are told apart.
const HEARD_MOST: usize = 1 << 20;
/// The most faults that are told of one run.
const FINDS_MOST: usize = 20;
/// An input that took longer than all before is tried again so often, and its best time counts.
const AGAIN: usize = 3;

/// What came of a run.
#[derive(Debug, Default)]
pub struct Tally {
    /// Inputs tried.
    pub inputs: u64,
    /// How long all of them took.
    pub took: Duration,
    /// How many kinds of answers were heard.
    pub heard: usize,
    /// How many inputs were read without a fault.
    pub sound: u64,
    /// Inputs that failed.
    pub finds: Vec<Find>,
    /// The slowest input, and how long it took.
    pub slowest: (Duration, Vec<u8>),
}

/// An input that failed.
#[derive(Clone, Debug)]
pub struct Find {
    /// What happened.
    pub what: String,
    /// The input as it was found.
    pub input: Vec<u8>,
    /// The shortest that was found to fail in the same way.
    pub shrunk: Vec<u8>,
}

/// What a door said to an input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Answered {
    /// A number that stands for the kind of answer.
    pub kind: u64,
    /// Whether the input was read without a fault.
    pub sound: bool,
}

/// Tries so many inputs at a door. `each` is told of every one before it is tried, and of the
/// number of it.
pub fn fuzz(door: Door, count: u64, seed: u64, mut each: impl FnMut(u64, &[u8])) -> Tally {
    let mut chance = Chance::new(seed);
    let mut pool = Pool::new(door, &mut chance);
    let mut bench = Bench::new();
    let mut heard = HashSet::new();
    let mut tally = Tally::default();
    let began = Instant::now();
    for number in 0..count {
        let input = pool.next(&mut chance);
        let deep = chance.bits();
        each(number, &input);
        let start = Instant::now();
        let answered = entered(&mut bench, door, &input, deep);
        let took = start.elapsed();
        tally.inputs += 1;
        match answered {
            Ok(answered) => {
                tally.sound += u64::from(answered.sound);
                if heard.len() < HEARD_MOST && heard.insert(answered.kind) {
                    pool.keep(&input, answered.sound);
                }
            }
            Err(what) => {
                // What failed half-way may have left anything behind.
                bench = Bench::new();
                found(&mut tally.finds, door, input, deep, what);
                continue;
            }
        }
        if took > tally.slowest.0 {
            // A busy machine stops any of them: only what is slow again counts.
            let again = took.min(quickest(&mut bench, door, &input, deep));
            if again > LONGEST {
                let what = format!("takes {:.1} s", again.as_secs_f64());
                keep(&mut tally.finds, what, input.clone(), input.clone());
            }
            if again > tally.slowest.0 {
                tally.slowest = (again, input);
            }
        }
    }
    tally.took = began.elapsed();
    tally.heard = heard.len();
    tally
}

/// Tries one input, and lets it go as far as any goes: how long it takes at best, and what is said.
///
/// # Errors
/// What it fails with.
pub fn replay(door: Door, input: &[u8]) -> Result<(Duration, Answered), String> {
    let mut bench = Bench::new();
    // A zero is a multiple of everything.
    let answered = entered(&mut bench, door, input, 0)?;
    Ok((quickest(&mut bench, door, input, 0), answered))
}

/// What a door says, or what it fails with.
fn entered(bench: &mut Bench, door: Door, input: &[u8], deep: u64) -> Result<Answered, String> {
    let entered = catch_unwind(AssertUnwindSafe(|| bench.enter(door, input, deep)));
    entered.unwrap_or_else(|panic| {
        let words = panic.downcast_ref::<String>().cloned().or_else(|| {
            panic
                .downcast_ref::<&str>()
                .map(|words| (*words).to_owned())
        });
        Err(format!("panic: {}", words.unwrap_or_default()))
    })
}

fn quickest(bench: &mut Bench, door: Door, input: &[u8], deep: u64) -> Duration {
    let again = (0..AGAIN).map(|_| {
        let start = Instant::now();
        let _known_already = entered(bench, door, input, deep);
        start.elapsed()
    });
    again.min().unwrap_or_default()
}

/// Keeps a failed input and the shortest like it, unless one that says the same is kept already.
fn found(finds: &mut Vec<Find>, door: Door, input: Vec<u8>, deep: u64, what: String) {
    if finds.iter().any(|find| kind(&find.what) == kind(&what)) {
        return;
    }
    let fails = |shorter: &[u8]| match entered(&mut Bench::new(), door, shorter, deep) {
        Err(words) => kind(&words) == kind(&what),
        Ok(_) => false,
    };
    let shrunk = shrink::shrink(&input, fails);
    keep(finds, what, input, shrunk);
}

fn keep(finds: &mut Vec<Find>, what: String, input: Vec<u8>, shrunk: Vec<u8>) {
    if finds.len() < FINDS_MOST {
        finds.push(Find {
            what,
            input,
            shrunk,
        });
    }
}

/// A message without its figures, so that like ones count as one.
fn kind(words: &str) -> String {
    let words = words.chars().take(120);
    words.filter(|letter| !letter.is_ascii_digit()).collect()
}
