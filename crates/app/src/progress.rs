//! How far a long work is, and the way to stop it: pages and terminal ask the same counter.

use std::io::{IsTerminal, Write};
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// A work under way. Any thread may count on, look, or stop it.
#[derive(Debug, Default)]
pub struct Progress {
    /// Thousandths that are done.
    done: AtomicU64,
    parts: AtomicU64,
    stopped: AtomicBool,
    bar: Option<Mutex<Bar>>,
}

impl Progress {
    /// A work that nobody watches.
    pub fn unseen() -> Self {
        Self::default()
    }

    /// A work with a bar on standard error, where that is a terminal; the bar comes after a second.
    pub fn on_terminal(name: &'static str) -> Self {
        let bar = std::io::stderr()
            .is_terminal()
            .then(|| Mutex::new(Bar::new(name)));
        let mut progress = Self::default();
        progress.bar = bar;
        progress
    }

    /// Tells which share is done, 0 to 1. Breaks off when somebody has stopped the work.
    pub fn tell(&self, share: f64) -> ControlFlow<()> {
        let thousandths = (1000.0 * share.clamp(0.0, 1.0)) as u64;
        self.done.fetch_max(thousandths, Ordering::Relaxed);
        if let Some(Ok(mut bar)) = self.bar.as_ref().map(Mutex::try_lock) {
            bar.draw(share);
        }
        match self.is_stopped() {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    }

    /// One more part of so many is done, whichever thread did it.
    pub fn part(&self, all: u64) -> ControlFlow<()> {
        let done = self.parts.fetch_add(1, Ordering::Relaxed) + 1;
        self.tell(done as f64 / all.max(1) as f64)
    }

    /// Which share is done, 0 to 1.
    pub fn share(&self) -> f64 {
        self.done.load(Ordering::Relaxed) as f64 / 1000.0
    }

    /// Whether somebody has stopped the work.
    pub fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }

    /// Stops the work at its next word.
    pub fn stop(&self) {
        self.stopped.store(true, Ordering::Relaxed);
    }
}

/// A stretch of a work: what is counted in it is shown as a part of the whole.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'p> {
    progress: &'p Progress,
    from: f64,
    to: f64,
}

impl Progress {
    /// From one share of the work to another, 0 to 1.
    pub fn stretch(&self, from: f64, to: f64) -> Stretch<'_> {
        Stretch {
            progress: self,
            from,
            to,
        }
    }
}

impl<'p> Stretch<'p> {
    /// So many of so many are done. Breaks off when somebody has stopped the work.
    pub fn tell(&self, done: usize, all: usize) -> ControlFlow<()> {
        let share = done as f64 / all.max(1) as f64;
        self.progress
            .tell(self.from + share * (self.to - self.from))
    }

    /// A part of this stretch, from one share of it to another, 0 to 1.
    pub fn stretch(&self, from: f64, to: f64) -> Stretch<'p> {
        let at = |share: f64| self.from + share * (self.to - self.from);
        self.progress.stretch(at(from), at(to))
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(Ok(bar)) = self.bar.as_ref().map(Mutex::lock) {
            bar.clear();
        }
    }
}

/// Works shorter than this have no bar.
const LATE: Duration = Duration::from_secs(1);
/// From one drawing of the bar to the next.
const PACE: Duration = Duration::from_millis(100);
/// Marks in a full bar.
const MARKS: usize = 30;

/// A bar on standard error.
#[derive(Debug)]
struct Bar {
    name: &'static str,
    began: Instant,
    drawn: Option<Instant>,
}

impl Bar {
    fn new(name: &'static str) -> Self {
        Self {
            name,
            began: Instant::now(),
            drawn: None,
        }
    }

    fn draw(&mut self, share: f64) {
        let gone = self.began.elapsed();
        let soon = self.drawn.is_some_and(|at| at.elapsed() < PACE);
        if gone < LATE || soon || share <= 0.0 {
            return;
        }
        self.drawn = Some(Instant::now());
        say(&format!("\r{}", bar_words(self.name, share, gone)));
    }

    /// Takes the bar away, so that what is printed next stands on a clean line.
    fn clear(&self) {
        if self.drawn.is_some() {
            say("\r\u{1b}[K");
        }
    }
}

fn say(words: &str) {
    let mut out = std::io::stderr();
    let _closed_terminal_is_fine = out.write_all(words.as_bytes()).and_then(|()| out.flush());
}

/// The bar in one line: name, marks, share, time left.
fn bar_words(name: &str, share: f64, gone: Duration) -> String {
    let full = (MARKS as f64 * share.clamp(0.0, 1.0)) as usize;
    let left = gone.as_secs_f64() * (1.0 - share) / share.max(1e-6);
    format!(
        "{name} [{}{}] {:.0} %, {left:.0} s left; Ctrl+C stops ",
        "#".repeat(full),
        ".".repeat(MARKS - full),
        100.0 * share
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_tells_share_and_time_left() {
        let words = bar_words("drawing necks", 0.25, Duration::from_secs(2));
        assert_eq!(
            words,
            "drawing necks [#######.......................] 25 %, 6 s left; Ctrl+C stops "
        );
    }

    #[test]
    fn a_stretch_counts_from_its_own_beginning_to_its_end() {
        let progress = Progress::unseen();
        let second = progress.stretch(0.5, 1.0);
        assert!(second.tell(1, 2).is_continue());
        assert_eq!(progress.share(), 0.75);
        assert!(second.stretch(0.5, 1.0).tell(1, 2).is_continue());
        assert_eq!(progress.share(), 0.875);
        progress.stop();
        assert!(second.tell(2, 2).is_break());
        assert_eq!(progress.share(), 1.0);
    }

    #[test]
    fn a_stopped_work_breaks_off_at_its_next_word() {
        let progress = Progress::unseen();
        assert!(progress.part(4).is_continue());
        assert_eq!(progress.share(), 0.25);
        progress.stop();
        assert!(progress.part(4).is_break());
    }
}
