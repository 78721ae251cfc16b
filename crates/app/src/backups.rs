//! Copies of the book that the program makes by itself, and which of them it keeps.
//!
//! They lie in a folder beside the book and bear the time at which they were made.
//! A copy that cannot be made stands in nobody's way: it is told on the page Book, and the work
//! goes on.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use book::{Book, BookError, CopyFacts};

/// How long a changed book that is open waits for its next copy, seconds: an hour.
pub const EVERY_S: u64 = 3_600;

/// The rule, in words for the maker.
pub const RULE: &str = "A copy is made when the program opens the book and every hour while it is \
    open, when anything was written since the last one; what is noted of paired tablets does not \
    count. Kept are the ten newest copies, and the last one of each of seven days, eight weeks and \
    twenty-four months. An older one goes only when a new one is made and found sound. A book made \
    of a copy has no paired tablets: pair them again.";

/// What becomes of tablets, in words for the maker who has gone back to a copy.
pub const UNPAIRED: &str = "No tablet is paired with it.";

/// How many copies are kept whatever their age.
const NEWEST: usize = 10;
/// Of how many days, weeks and months that have one the last copy is kept.
const DAYS: usize = 7;
const WEEKS: usize = 8;
const MONTHS: usize = 24;

const DAY_S: i64 = 86_400;
const ENDING: &str = ".camberbook";
/// How a copy's name tells when it was made, in UTC; it sorts by age.
const STAMP: &str = "%Y-%m-%dT%H-%M-%SZ";

/// Where the copies of a book lie.
#[derive(Clone, Debug)]
pub struct Backups {
    book: PathBuf,
    folder: PathBuf,
}

/// One copy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Copy {
    /// Its file's name.
    pub name: String,
    /// Its file.
    pub path: PathBuf,
    /// When it was made, in seconds since 1970.
    pub at: i64,
    /// How large it is, bytes.
    pub bytes: u64,
    /// The older format it was made in before the book was brought to a newer one; such a copy is
    /// never taken away.
    pub before_format: Option<u32>,
}

/// What became of a copy that was due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Made {
    /// A new one was made, and so many older ones were taken away.
    New(PathBuf, usize),
    /// Nothing was written since the last one.
    Unchanged,
}

impl Backups {
    /// The copies of the book at a path.
    pub fn of(book: &Path) -> Self {
        let mut folder = book.as_os_str().to_owned();
        folder.push("-copies");
        Self {
            book: book.to_owned(),
            folder: folder.into(),
        }
    }

    /// The folder they lie in.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// All copies, the newest first. Other files in the folder are left alone.
    ///
    /// # Errors
    /// Why the folder cannot be read; one that is not there has no copies.
    pub fn list(&self) -> Result<Vec<Copy>, String> {
        let unreadable = |error: std::io::Error| format!("{}: {error}", self.folder.display());
        let items = match fs::read_dir(&self.folder) {
            Ok(items) => items,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(unreadable(error)),
        };
        let mut copies = Vec::new();
        for item in items {
            let item = item.map_err(unreadable)?;
            let name = item.file_name().to_string_lossy().into_owned();
            let Some((at, before_format)) = made_at(&name) else {
                continue;
            };
            copies.push(Copy {
                bytes: item.metadata().map_err(unreadable)?.len(),
                path: item.path(),
                name,
                at,
                before_format,
            });
        }
        copies.sort_by(|a, b| b.name.cmp(&a.name));
        Ok(copies)
    }

    /// The copy of that name.
    ///
    /// # Errors
    /// When there is none: only a name of the list is taken, never a path.
    pub fn find(&self, name: &str) -> Result<Copy, String> {
        let copies = self.list()?;
        let found = copies.into_iter().find(|copy| copy.name == name);
        found.ok_or_else(|| "there is no copy of that name; choose one from the list".into())
    }

    /// Makes a copy when anything was written since the last sound one, and takes away those that
    /// the rule no longer keeps.
    ///
    /// # Errors
    /// Why it could not be made; the copies that are there stay then.
    pub fn make_when_due(&self, book: &Book, now: i64) -> Result<Made, String> {
        let copies = self.list()?;
        let words = |error: BookError| error.to_string();
        let state = book.state().map_err(words)?;
        let last = copies.iter().find(|copy| copy.before_format.is_none());
        let last = last.and_then(|copy| book::look_at_copy(&copy.path).ok());
        if last.is_some_and(|last| last.state == state) {
            return Ok(Made::Unchanged);
        }
        self.make(book, now)
    }

    /// Makes a copy now.
    ///
    /// # Errors
    /// As [`Backups::make_when_due`].
    pub fn make(&self, book: &Book, now: i64) -> Result<Made, String> {
        let path = self.free_name(now, "")?;
        book.copy_to(&path).map_err(|error| error.to_string())?;
        let mut gone = 0;
        for copy in to_go(self.list()?) {
            let taken = fs::remove_file(&copy.path);
            taken.map_err(|error| {
                format!("{} cannot be taken away: {error}", copy.path.display())
            })?;
            gone += 1;
        }
        Ok(Made::New(path, gone))
    }

    /// Copies a book of an older format before it is opened and brought to the present one.
    /// A book of the present format, a new one and what is no book need none.
    ///
    /// # Errors
    /// Why it could not be made.
    pub fn make_before_upgrade(&self, now: i64) -> Result<(), String> {
        let Some(format) = book::format_of(&self.book) else {
            return Ok(());
        };
        if format >= book::FORMAT_VERSION {
            return Ok(());
        }
        let path = self.free_name(now, &format!("-format-{format}"))?;
        book::copy_unopened(&self.book, &path).map_err(|error| error.to_string())
    }

    /// Makes a book of its own of a copy, beside the book: the book stays as it is.
    ///
    /// # Errors
    /// When the copy is not sound, or the new book cannot be written.
    pub fn restore_beside(&self, copy: &Path, now: i64) -> Result<(PathBuf, CopyFacts), String> {
        let stem = self.book.file_stem().unwrap_or_default().to_string_lossy();
        let name = format!("{stem}-restored-{}{ENDING}", stamp(now));
        let new = self.book.with_file_name(name);
        let facts = book::book_of_copy(copy, &new).map_err(|error| error.to_string())?;
        Ok((new, facts))
    }

    /// Puts a copy in the place of the book, which is moved aside first; nobody may have it open.
    /// Says where the book was moved to.
    ///
    /// # Errors
    /// When the copy is not sound, the book is in use, or there is no room; the book is in its
    /// place then, or the error says where it is.
    pub fn restore_in_place(
        &self,
        copy: &Path,
        now: i64,
    ) -> Result<(Option<PathBuf>, CopyFacts), String> {
        let words = |error: BookError| error.to_string();
        // Looked at before anything is moved.
        book::look_at_copy(copy).map_err(words)?;
        let stem = self.book.file_stem().unwrap_or_default().to_string_lossy();
        let aside = self
            .book
            .with_file_name(format!("{stem}-aside-{}{ENDING}", stamp(now)));
        let is_there = self.book.exists();
        if is_there {
            book::move_aside(&self.book, &aside).map_err(words)?;
        }
        match book::book_of_copy(copy, &self.book) {
            Ok(facts) => Ok((is_there.then_some(aside), facts)),
            Err(error) if is_there => match book::move_aside(&aside, &self.book) {
                Ok(()) => Err(error.to_string()),
                Err(_) => Err(format!(
                    "{error}; the book was moved to {}",
                    aside.display()
                )),
            },
            Err(error) => Err(error.to_string()),
        }
    }

    /// A name for a copy of this second, or of one of the next when that is taken.
    fn free_name(&self, now: i64, mark: &str) -> Result<PathBuf, String> {
        let names = (0..60).map(|later| format!("{}{mark}{ENDING}", stamp(now + later)));
        let mut paths = names.map(|name| self.folder.join(name));
        paths
            .find(|path| !path.exists())
            .ok_or_else(|| "too many copies were made in a minute; wait a little".into())
    }
}

/// The copies that the rule no longer keeps.
fn to_go(mut copies: Vec<Copy>) -> Vec<Copy> {
    copies.sort_by_key(|copy| std::cmp::Reverse(copy.at));
    let mut kept = [
        Kept::new(DAYS, |at| at.div_euclid(DAY_S)),
        // 1970 began on a Thursday; weeks begin on Mondays.
        Kept::new(WEEKS, |at| (at.div_euclid(DAY_S) + 3).div_euclid(7)),
        Kept::new(MONTHS, month),
    ];
    let mut counted = 0;
    copies.retain(|copy| {
        if copy.before_format.is_some() {
            return false;
        }
        counted += 1;
        // Each is asked: a copy may be the last one of its day and of its month.
        let as_last = kept
            .each_mut()
            .map(|kept| kept.is_last_of_its_time(copy.at));
        counted > NEWEST && !as_last.contains(&true)
    });
    copies
}

/// The days, weeks or months of which the last copy is kept.
struct Kept {
    most: usize,
    number: fn(i64) -> i64,
    seen: BTreeSet<i64>,
}

impl Kept {
    fn new(most: usize, number: fn(i64) -> i64) -> Self {
        Self {
            most,
            number,
            seen: BTreeSet::new(),
        }
    }

    /// Copies are asked about from the newest on.
    fn is_last_of_its_time(&mut self, at: i64) -> bool {
        self.seen.len() < self.most && self.seen.insert((self.number)(at))
    }
}

/// The month as a number that grows with time.
fn month(at: i64) -> i64 {
    jiff::Timestamp::from_second(at).map_or(i64::MAX, |time| {
        let date = time.to_zoned_datetime(jiff::tz::TimeZone::UTC).date();
        i64::from(date.year()) * 12 + i64::from(date.month())
    })
}

fn stamp(at: i64) -> String {
    jiff::Timestamp::from_second(at).map_or_else(
        |_| at.to_string(),
        |time| {
            let time = time.to_zoned_datetime(jiff::tz::TimeZone::UTC);
            time.strftime(STAMP).to_string()
        },
    )
}

/// When a copy of that name was made, and in which older format; nothing for any other name.
fn made_at(name: &str) -> Option<(i64, Option<u32>)> {
    let bare = name.strip_suffix(ENDING)?;
    let (stamped, format) = match bare.split_once("-format-") {
        Some((stamped, format)) => (stamped, Some(format.parse().ok()?)),
        None => (bare, None),
    };
    let time = jiff::civil::DateTime::strptime(STAMP, stamped).ok()?;
    let at = time
        .to_zoned_datetime(jiff::tz::TimeZone::UTC)
        .ok()?
        .timestamp();
    // Written back, so that only names of our own are taken.
    (stamp(at.as_second()) == stamped).then_some((at.as_second(), format))
}

#[cfg(test)]
mod tests;
