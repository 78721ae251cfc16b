//! Many readers and writers at one program at once: how long each waits, what the program needs,
//! and whether every change that was answered is in the book afterwards.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use book::{Book, Kind};
use camberwright::show::spoken_place;

use crate::Chance;
use crate::served::{Client, memory_kb, start};

/// Who comes, and for how long.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    /// Readers, each with a connection of its own.
    pub readers: usize,
    /// Writers, likewise.
    pub writers: usize,
    /// How long all of them stay.
    pub lasts: Duration,
    /// How long each looks at what it got, on the average, before it asks for more.
    pub pause: Duration,
    /// Their chances.
    pub seed: u64,
}

/// What is asked for, by how the program makes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// A page of a commission, with its pictures.
    Page,
    /// The book, a kit, a history, an asset: no figures.
    Light,
    /// What pages wait for and what is printed: chances, programs, papers, patterns.
    Made,
    /// A change, until its answer.
    Change,
}

/// Waits, from the first byte sent to the last byte read.
#[derive(Clone, Debug, Default)]
pub struct Waits(Vec<Duration>);

impl Waits {
    /// How many there were.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// The wait that so many percent do not exceed, ms; nothing when there were none.
    pub fn percentile_ms(&self, percent: f64) -> f64 {
        let last = self.0.len().saturating_sub(1);
        let at = (percent / 100.0 * last as f64).round() as usize;
        self.0.get(at).map_or(0.0, |wait| wait.as_secs_f64() * 1e3)
    }
}

/// What came of it.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Waits by sort, in order of length.
    pub waits: BTreeMap<Sort, Waits>,
    /// Answers a second, all sorts together.
    pub per_second: f64,
    /// What was answered otherwise than it should be; the first hundred.
    pub errors: Vec<String>,
    /// Changes that were answered as stored.
    pub acknowledged: usize,
    /// Of these, those in the book's history afterwards, once each.
    pub found: usize,
    /// The program's memory when it had shown its first page, kB.
    pub at_rest_kb: Option<u64>,
    /// The same at the end.
    pub at_end_kb: Option<u64>,
    /// The most that it ever needed, kB.
    pub peak_kb: Option<u64>,
}

/// Addresses of a commission, by sort. Heavy things come as seldom as makers ask for them.
const PAGES: [&str; 11] = [
    "wish",
    "board",
    "camber",
    "bench-plan",
    "readings",
    "fretwork",
    "play",
    "patterns",
    "text",
    "bench",
    "play?on=planned",
];
const MADE: [&str; 6] = [
    "chances",
    "players",
    "bench-plan.pdf",
    "set-up-sheet.pdf",
    "pattern/frets.svg",
    "pattern/gauges.pdf",
];
/// Of a hundred things that a reader asks for.
const MADE_PERCENT: u64 = 3;
const LIGHT_PERCENT: u64 = 15;

/// The values that writers change, one each, so that none sets what another sets, and what each
/// begins with: digits follow, so that the board stays sound.
const VALUES: [(&str, &str); 5] = [
    ("wish.relief", "0.1"),
    ("board.overhang", "8.0"),
    ("wish.pluck_from_saddle", "110.0"),
    ("board.crown_thickness", "6.0"),
    ("title", "Title "),
];

/// Lets them all at the program, on a demo book in `folder`.
///
/// # Errors
/// When the program does not start, or the book cannot be read afterwards.
pub fn crowd(program: &Path, folder: &Path, ask: &Ask) -> Result<Tally, String> {
    let path = folder.join("crowd.camberbook");
    let (mut child, words) = start(program, &path, &["--demo"])?.split();
    let process = child.id().to_string();
    let met = words.port().and_then(|port| met(port, &process, ask));
    let _gone_already = child.kill();
    let _ended = child.wait();
    let (mut tally, told) = met?;
    let (acknowledged, found) = found_again(&path, &told)?;
    (tally.acknowledged, tally.found) = (acknowledged, found);
    Ok(tally)
}

/// What one of them saw.
#[derive(Default)]
struct Seen {
    waits: Vec<(Sort, Duration)>,
    errors: Vec<String>,
    /// Values that were answered as stored.
    stored: Vec<String>,
}

fn met(port: u16, process: &str, ask: &Ask) -> Result<(Tally, Vec<String>), String> {
    let commissions = commissions(port)?;
    let at_rest_kb = memory_kb(process, "VmRSS");
    let began = Instant::now();
    let until = began + ask.lasts;
    let seen: Vec<Seen> = thread::scope(|scope| {
        let threads: Vec<_> = (0..ask.readers + ask.writers)
            .map(|number| {
                let guest = Guest {
                    client: Client::new(port),
                    chance: Chance::new(ask.seed + number as u64),
                    seen: Seen::default(),
                    pause: ask.pause,
                    until,
                };
                let commissions = &commissions;
                scope.spawn(move || match number.checked_sub(ask.readers) {
                    None => guest.read(commissions),
                    Some(writer) => guest.write(writer, commissions),
                })
            })
            .collect();
        let joined = threads
            .into_iter()
            .map(|thread| thread.join().unwrap_or_default());
        joined.collect()
    });
    let seconds = began.elapsed().as_secs_f64();
    let mut tally = Tally {
        at_rest_kb,
        at_end_kb: memory_kb(process, "VmRSS"),
        peak_kb: memory_kb(process, "VmHWM"),
        ..Tally::default()
    };
    let mut stored = Vec::new();
    for one in seen {
        for (sort, wait) in one.waits {
            tally.waits.entry(sort).or_default().0.push(wait);
        }
        tally.errors.extend(one.errors);
        stored.extend(one.stored);
    }
    tally.errors.truncate(100);
    tally.waits.values_mut().for_each(|waits| waits.0.sort());
    let answers: usize = tally.waits.values().map(Waits::count).sum();
    tally.per_second = answers as f64 / seconds;
    Ok((tally, stored))
}

/// The numbers of the commissions in the book, as its page lists them.
fn commissions(port: u16) -> Result<Vec<i64>, String> {
    let page = Client::new(port)
        .get("/book")
        .map_err(|error| error.to_string())?;
    let text = page.text();
    let links = text.split("/commission/").skip(1);
    let numbers: BTreeSet<i64> = links
        .filter_map(|rest| rest.split('/').next()?.parse().ok())
        .collect();
    match numbers.is_empty() {
        true => Err("the demo book shows no commission".into()),
        false => Ok(numbers.into_iter().collect()),
    }
}

/// One reader or writer.
struct Guest {
    client: Client,
    chance: Chance,
    seen: Seen,
    pause: Duration,
    until: Instant,
}

impl Guest {
    fn read(mut self, commissions: &[i64]) -> Seen {
        while self.stays() {
            let commission = *self.chance.pick(commissions);
            let of = |what: &str| format!("/commission/{commission}/{what}");
            let (sort, address) = match self.chance.bits() % 100 {
                0..MADE_PERCENT => (Sort::Made, of(MADE[self.chance.whole(0, MADE.len() - 1)])),
                few if few < MADE_PERCENT + LIGHT_PERCENT => {
                    let history = of("history");
                    let light = ["/book", "/kit/1", &history, "/assets/style.css"];
                    (Sort::Light, (*self.chance.pick(&light)).to_owned())
                }
                _ => {
                    let fret = self.chance.whole(0, 20);
                    let page = *self.chance.pick(&PAGES);
                    let sign = if page.contains('?') { '&' } else { '?' };
                    (Sort::Page, of(&format!("{page}{sign}fret={fret}&lane=2")))
                }
            };
            self.get(sort, &address);
        }
        self.seen
    }

    /// A writer changes one value again and again, each time on the page that it was shown.
    fn write(mut self, number: usize, commissions: &[i64]) -> Seen {
        let commission = commissions[number % commissions.len()];
        let (path, begin) = VALUES[number % VALUES.len()];
        let text_page = format!("/commission/{commission}/text");
        let mut based_on = String::new();
        let mut count = 0_u32;
        while self.stays() {
            if based_on.is_empty() {
                based_on = self.based_on(&text_page);
                continue;
            }
            count += 1;
            let unit = if path == "title" { "" } else { " mm" };
            let value = format!("{begin}{number}{count:06}{unit}");
            let fields = [
                ("page", "text"),
                ("fret", "9"),
                ("lane", "1"),
                ("based_on", based_on.as_str()),
                ("path", path),
                ("value", &value),
            ];
            let begun = Instant::now();
            let answer = self
                .client
                .send(&format!("/commission/{commission}/set"), &fields);
            match answer {
                Ok(answer) if answer.status == 303 => {
                    self.seen.waits.push((Sort::Change, begun.elapsed()));
                    self.seen
                        .stored
                        .push(format!("{}|{value}", spoken_place(path)));
                }
                Ok(answer) => self.fail(format!("{path} set answers {}", answer.status)),
                Err(error) => self.fail(format!("{path} set: {error}")),
            }
            based_on = self.based_on(&text_page);
        }
        self.seen
    }

    fn based_on(&mut self, address: &str) -> String {
        let page = self.get(Sort::Page, address);
        page.unwrap_or_default()
    }

    /// Asks for something; gives the moment that it shows.
    fn get(&mut self, sort: Sort, address: &str) -> Option<String> {
        let begun = Instant::now();
        match self.client.get(address) {
            Ok(answer) if answer.status == 200 => {
                self.seen.waits.push((sort, begun.elapsed()));
                answer.hidden("based_on")
            }
            Ok(answer) => {
                self.fail(format!("{address} answers {}", answer.status));
                None
            }
            Err(error) => {
                self.fail(format!("{address}: {error}"));
                None
            }
        }
    }

    fn fail(&mut self, words: String) {
        if self.seen.errors.len() < 20 {
            self.seen.errors.push(words);
        }
    }

    /// Looks at what it got for a while; false when it is time to go.
    fn stays(&mut self) -> bool {
        if !self.pause.is_zero() {
            let look = self.pause.mul_f64(2.0 * self.chance.share());
            thread::sleep(look.min(self.until.saturating_duration_since(Instant::now())));
        }
        Instant::now() < self.until
    }
}

/// How many of the changes that were answered the histories hold, once each.
fn found_again(path: &Path, stored: &[String]) -> Result<(usize, usize), String> {
    let told = |error: book::BookError| error.to_string();
    let book = Book::open(path).map_err(told)?;
    let mut whats: BTreeMap<String, usize> = BTreeMap::new();
    for commission in book.entries(Kind::Commission).map_err(told)? {
        for moment in book.history(commission.id).map_err(told)? {
            // The words on a change are `place: was → value`.
            let place = moment.what.split(": ").next().unwrap_or_default();
            let value = moment.what.rsplit(" → ").next().unwrap_or_default();
            *whats.entry(format!("{place}|{value}")).or_default() += 1;
        }
    }
    let found = stored
        .iter()
        .filter(|change| whats.get(*change) == Some(&1));
    Ok((stored.len(), found.count()))
}
