//! The program killed at random moments under a stream of edits, and started again on the same book.
//!
//! Whatever it answered as stored must be there afterwards, each change once; what was on its way
//! when it was killed may be there or not, but whole. A kill ends the program, not the machine: what
//! a power cut does is SQLite's promise for `synchronous=FULL`,
//! <https://www.sqlite.org/pragma.html#pragma_synchronous>, not tried here.

mod audit;
mod known;
mod stream;

use std::path::{Path, PathBuf};
use std::process::Child;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use crate::Chance;
use crate::served::{Client, Listening, start};
use known::Known;
use stream::{Stop, Stream};

/// Kills on one book before the next is begun, so that making and bringing up a book is cut short
/// as well.
const KILLS_PER_BOOK: usize = 40;
/// One kill in so many, percent, falls between the start and the first page.
const EARLY_PERCENT: u64 = 25;
/// How long a program takes to its first page, before one was seen to.
const USUAL_OPEN: Duration = Duration::from_millis(12);
/// Other kills come within so many times what the first page took: on a busy machine everything
/// takes longer.
const LATE_TIMES: f64 = 5.0;
/// A program that shows no page for so long does not open.
const OPEN_MOST: Duration = Duration::from_secs(20);

/// What is counted over all kills.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Programs killed.
    pub kills: usize,
    /// Of these, before the first page.
    pub before_first_page: usize,
    /// Books that were used.
    pub books: usize,
    /// Of these, books of earlier formats.
    pub old_books: usize,
    /// Changes of a text that were answered as stored.
    pub edits: Count,
    /// Batches of readings.
    pub readings: Count,
    /// Stages logged as done.
    pub stages: Count,
    /// Changes on their way at a kill, and of these the ones that were stored all the same.
    pub on_the_way: usize,
    /// See there.
    pub on_the_way_stored: usize,
    /// From the start of the program to its first page, where it came so far.
    pub opened_in: Vec<Duration>,
}

/// Acknowledged, and found again at the end of their book.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// Answered as stored.
    pub acknowledged: usize,
    /// Found again, whole and once.
    pub found: usize,
}

/// Kills the program so many times, on books in `folder`.
///
/// # Errors
/// The first thing that was lost, twice there, or not opened, in words.
pub fn crash(
    program: &Path,
    folder: &Path,
    kills: usize,
    seed: u64,
    mut each: impl FnMut(&Tally),
) -> Result<Tally, String> {
    let mut chance = Chance::new(seed);
    let mut tally = Tally::default();
    while tally.kills < kills {
        let path = folder.join(format!("{}.camberbook", tally.books));
        let old = put_old_book(&path, tally.books)?;
        tally.books += 1;
        tally.old_books += usize::from(old.is_some());
        let mut known = Known::default();
        for _ in 0..KILLS_PER_BOOK.min(kills - tally.kills) {
            one_kill(program, &path, &mut known, &mut chance, &mut tally)
                .map_err(|why| format!("kill {}, {}: {why}", tally.kills + 1, path.display()))?;
            tally.kills += 1;
            each(&tally);
        }
        audit::audit(&path, &known, old, &mut tally)
            .map_err(|why| format!("after kill {}, {}: {why}", tally.kills, path.display()))?;
        take_away(&path);
    }
    tally.opened_in.sort();
    Ok(tally)
}

/// Every book but the first of a round begins as a kept one, of each format in turn: the tests of
/// the book keep them.
fn put_old_book(path: &Path, number: usize) -> Result<Option<u32>, String> {
    let newest = book::FORMAT_VERSION as usize;
    let format = number % (newest + 1);
    if format == 0 {
        return Ok(None);
    }
    let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join(format!("../book/tests/books/format-{format}.book"));
    std::fs::copy(&kept, path).map_err(|error| format!("{}: {error}", kept.display()))?;
    Ok(u32::try_from(format).ok())
}

fn take_away(path: &Path) {
    for ending in ["", "-wal", "-shm"] {
        let _not_there_is_fine =
            std::fs::remove_file(PathBuf::from(format!("{}{ending}", path.display())));
    }
}

/// When the program is killed.
#[derive(Clone, Copy)]
enum Moment {
    /// So long after its start.
    Early(Duration),
    /// After its first page, by so many times what that took.
    Late(f64),
}

fn drawn(chance: &mut Chance, usual_open: Duration) -> Moment {
    match chance.percent(EARLY_PERCENT) {
        true => Moment::Early(usual_open.mul_f64(chance.share())),
        false => Moment::Late(LATE_TIMES * chance.share()),
    }
}

fn one_kill(
    program: &Path,
    path: &Path,
    known: &mut Known,
    chance: &mut Chance,
    tally: &mut Tally,
) -> Result<(), String> {
    let began = Instant::now();
    let (child, words) = start(program, path, &[])?.split();
    let usual_open = tally.opened_in.last().copied().unwrap_or(USUAL_OPEN);
    let moment = drawn(chance, usual_open);
    let (shown, first_page) = channel();
    let killer = killer(child, moment, first_page);
    let edited = edits(words, known, chance, tally, || {
        let opened_in = began.elapsed();
        let _killed_already = shown.send(opened_in);
        opened_in
    });
    let killed = killer.join().map_err(|_| "the killer failed")?;
    // A program that ended by itself is told before what that did to the edits.
    killed?;
    match edited {
        Stop::Gone { shown: true } => {}
        Stop::Gone { shown: false } if matches!(moment, Moment::Late(_)) => {
            return Err(
                "the program was gone before its first page and before it was killed".into(),
            );
        }
        Stop::Gone { shown: false } => tally.before_first_page += 1,
        Stop::Wrong(why) => return Err(why),
    }
    tally.on_the_way += usize::from(known.is_in_doubt());
    Ok(())
}

/// Ends the process at its moment; the first page is told through the channel.
fn killer(
    mut child: Child,
    moment: Moment,
    first_page: Receiver<Duration>,
) -> JoinHandle<Result<(), String>> {
    thread::spawn(move || {
        let mut trouble = None;
        match moment {
            Moment::Early(wait) => thread::sleep(wait),
            Moment::Late(times) => match first_page.recv_timeout(OPEN_MOST) {
                Ok(opened_in) => thread::sleep(opened_in.mul_f64(times)),
                Err(RecvTimeoutError::Timeout) => {
                    trouble = Some(format!("no page within {} s", OPEN_MOST.as_secs()));
                }
                // Whoever waited for the page has words of its own; an end is seen below.
                Err(RecvTimeoutError::Disconnected) => thread::sleep(USUAL_OPEN),
            },
        }
        if let Ok(Some(status)) = child.try_wait() {
            trouble = Some(format!("the program ended by itself, {status}"));
        }
        let _gone_already = child.kill();
        child.wait().map_err(|error| error.to_string())?;
        trouble.map_or(Ok(()), Err)
    })
}

/// Sends edits until the program is gone.
fn edits(
    words: Listening,
    known: &mut Known,
    chance: &mut Chance,
    tally: &mut Tally,
    first_page: impl FnOnce() -> Duration,
) -> Stop {
    let port = match words.port() {
        Ok(port) => port,
        Err(said) if said.is_empty() => return Stop::Gone { shown: false },
        Err(said) => return Stop::Wrong(format!("the book does not open: {said}")),
    };
    let mut stream = Stream {
        client: Client::new(port),
        known,
        chance,
        tally,
    };
    if let Err(stop) = stream.look() {
        return stop;
    }
    let opened_in = first_page();
    stream.tally.opened_in.push(opened_in);
    loop {
        if let Err(stop) = stream.one_deed() {
            return stop.after_first_page();
        }
    }
}
