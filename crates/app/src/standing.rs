//! What an instrument is, and where it stands in its making: a line in the list of the book, with
//! the way to what comes next.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use bench::bench_plan;
use bench::effort::WearRate;
use book::{Book, BookError, Entry, EntryId, EntrySummary, RevisionId, VisitRecord};
use instrument::scale::ScaleLength;
use instrument::{Instrument, read_commission};

use crate::pages::PageName;
use crate::paper::stage_words::stage_words;
use crate::show::Units;
use crate::source::no_files;
use crate::view::{chosen_kit, is_done, outdated};

/// Where an instrument stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Its text has so many faults to mend first.
    Faulty(usize),
    /// No kit is chosen, so that there is no plan.
    NoKit,
    /// The chosen kit has faults.
    FaultyKit,
    /// The plan has no stage: the kit has no tool for it.
    NoStages,
    /// The wood was read after the last stage that was logged: the readings say what is next.
    Read(String),
    /// A stage is the next.
    Next {
        /// Its number, from 1.
        number: usize,
        /// How many there are.
        of: usize,
        /// Its key, for the address.
        key: String,
        /// What it is done with.
        title: String,
    },
    /// Every stage is logged as done.
    Shaped,
}

impl Standing {
    /// Where an instrument stands, with the last visit that has readings. The plan's times are not
    /// asked for, so that no wear rate is.
    fn of(
        book: &Book,
        entry: &Entry,
        instrument: &Instrument,
        last_visit: Option<&VisitRecord>,
        units: Units,
    ) -> Result<Self, BookError> {
        let kit = match chosen_kit(book, entry)?.map(|chosen| chosen.kit) {
            None => return Ok(Self::NoKit),
            Some(Err(_)) => return Ok(Self::FaultyKit),
            Some(Ok(kit)) => kit,
        };
        let done = book.stage_logs(entry.id)?;
        let last_log = done.iter().map(|log| log.at).max();
        if let Some(visit) = last_visit.filter(|visit| Some(visit.made_at) >= last_log) {
            return Ok(Self::Read(visit.name.clone()));
        }
        let plan = bench_plan(instrument, &kit, WearRate::from_logs(&[], kit.hand));
        let outdated = outdated(book, entry.id, &done, instrument)?;
        let mut stages = plan.stages.iter().enumerate();
        let next = stages.find(|(_, stage)| !is_done(&done, &outdated, &stage.key));
        Ok(match next {
            _ if plan.stages.is_empty() => Self::NoStages,
            Some((index, stage)) => Self::Next {
                number: index + 1,
                of: plan.stages.len(),
                key: stage.key.clone(),
                title: stage_words(instrument, stage, units).title,
            },
            None => Self::Shaped,
        })
    }

    /// The line.
    pub fn words(&self) -> String {
        match self {
            Self::Faulty(1) => "one fault to mend".into(),
            Self::Faulty(count) => format!("{count} faults to mend"),
            Self::NoKit => "no kit chosen, so no plan".into(),
            Self::FaultyKit => "its kit has faults".into(),
            Self::NoStages => "its kit has no tool for it".into(),
            Self::Read(visit) => format!("visit {visit} read: what is next"),
            Self::Next {
                number, of, title, ..
            } => format!("stage {number} of {of}: {title}"),
            Self::Shaped => "shaped: frets and set-up".into(),
        }
    }

    /// The page that leads on.
    pub fn address(&self, id: EntryId) -> String {
        let page = match self {
            Self::Faulty(_) => PageName::Text,
            Self::NoKit | Self::FaultyKit | Self::NoStages | Self::Next { .. } => {
                PageName::BenchPlan
            }
            Self::Read(_) => PageName::Readings,
            Self::Shaped => PageName::Fretwork,
        };
        let stage = match self {
            Self::Next { key, .. } => format!("?stage={key}#stage-{key}"),
            _ => String::new(),
        };
        format!("/commission/{id}/{}{stage}", page.address())
    }
}

/// An instrument as the list of the book tells of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// What it is: strings, scale, frets; nothing when its text has faults.
    pub what: Option<String>,
    /// Where it stands.
    pub standing: Standing,
}

impl Told {
    fn of(
        book: &Book,
        id: EntryId,
        last_visit: Option<&VisitRecord>,
        units: Units,
    ) -> Result<Self, BookError> {
        let entry = book.entry(id)?;
        Ok(match read_commission(&entry.text, &no_files) {
            Ok(instrument) => Self {
                what: Some(what_it_is(&instrument, units)),
                standing: Standing::of(book, &entry, &instrument, last_visit, units)?,
            },
            Err(faults) => Self {
                what: None,
                standing: Standing::Faulty(faults.0.len()),
            },
        })
    }
}

fn what_it_is(instrument: &Instrument, units: Units) -> String {
    let (highest, lowest) = match instrument.strings.as_slice() {
        [] => (String::new(), String::new()),
        [first, .., last] => (first.note.to_string(), format!(" to {}", last.note)),
        [one] => (one.note.to_string(), String::new()),
    };
    let scale = match instrument.scale {
        ScaleLength::Single { length_mm } => units.length(length_mm, 1),
        ScaleLength::Fanned {
            treble_mm, bass_mm, ..
        } => format!(
            "{} to {}",
            units.length(treble_mm, 1),
            units.length(bass_mm, 1)
        ),
    };
    let strings = match instrument.strings.len() {
        1 => "one string".to_owned(),
        count => format!("{count} strings"),
    };
    format!(
        "{strings}, {highest}{lowest}, {scale}, {} frets",
        instrument.last_fret()
    )
}

/// What such a line rests on: with the same it is the same.
#[derive(PartialEq)]
struct Grounds {
    revision: RevisionId,
    kit: Option<(EntryId, RevisionId)>,
    stages_logged: usize,
    last_visit: Option<VisitRecord>,
    units: Units,
}

/// Lines that were worked out, each kept until what it rests on changes.
#[derive(Default)]
pub struct Standings {
    known: Mutex<BTreeMap<EntryId, (Grounds, Told)>>,
}

impl Standings {
    /// What a commission is, and where it stands.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn of(
        &self,
        book: &Book,
        commission: &EntrySummary,
        kit: Option<&EntrySummary>,
        units: Units,
    ) -> Result<Told, BookError> {
        let id = commission.id;
        let visits = book.visits(id)?;
        let grounds = Grounds {
            revision: commission.revision,
            kit: kit.map(|kit| (kit.id, kit.revision)),
            stages_logged: book.stage_logs(id)?.len(),
            last_visit: visits.into_iter().rfind(|visit| visit.batches > 0),
            units,
        };
        let lock = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((known, told)) = lock().get(&id)
            && *known == grounds
        {
            return Ok(told.clone());
        }
        let told = Told::of(book, id, grounds.last_visit.as_ref(), units)?;
        lock().insert(id, (grounds, told.clone()));
        Ok(told)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use book::{Kind, NewReadings, StageRecord};

    const COMMISSION: &str = include_str!("../assets/starts/six-string.toml");
    const KIT: &str = include_str!("../../../demo/north-bench.toml");

    struct Bench {
        book: Book,
        standings: Standings,
        commission: EntryId,
        kit: EntryId,
    }

    impl Bench {
        fn new() -> Self {
            let book = Book::open_in_memory().expect("an in-memory book opens");
            let make = |kind, text| book.create(kind, "one", text, "made", 0).expect("short");
            let (commission, kit) = (make(Kind::Commission, COMMISSION), make(Kind::Kit, KIT));
            Self {
                standings: Standings::default(),
                book,
                commission,
                kit,
            }
        }

        fn stands(&self) -> Standing {
            self.told().standing
        }

        fn told(&self) -> Told {
            let of_kind = |kind| self.book.entries(kind).expect("the book answers");
            let commission = &of_kind(Kind::Commission)[0];
            let kit = self.book.entry(self.commission).expect("is there").kit;
            let kits = of_kind(Kind::Kit);
            let kit = kits.iter().find(|each| Some(each.id) == kit);
            let told = self
                .standings
                .of(&self.book, commission, kit, Units::default());
            told.expect("the book answers")
        }

        fn text(&self, id: EntryId, text: &str) {
            let entry = self.book.entry(id).expect("is there");
            let change = book::Change {
                id,
                based_on: entry.revision,
                title: "one",
                text,
                what: "changed",
                at: 1,
            };
            self.book.change(&change).expect("is stored");
        }

        fn log(&self, stage: &str, at: i64) {
            let record = StageRecord {
                id: None,
                commission: self.commission,
                stage: stage.into(),
                tool: "block".into(),
                grade: "P80".into(),
                wood: "ebony".into(),
                volume_mm3: 100.0,
                minutes: 5.0,
                force_n: None,
                note: String::new(),
                at,
                sent_key: None,
            };
            self.book.log_stage(&record).expect("is stored");
        }
    }

    #[test]
    fn it_follows_what_happens_in_the_shop() {
        let bench = Bench::new();
        assert_eq!(bench.stands(), Standing::NoKit);
        let set = |kit| bench.book.set_kit(bench.commission, kit, 1);
        set(Some(bench.kit)).expect("both are there");
        let Standing::Next {
            number, of, key, ..
        } = bench.stands()
        else {
            panic!("a stage is next");
        };
        assert_eq!(number, 1);
        bench.log(&key, 10);
        let mut keys = vec![key];
        for expected in 2..=of {
            let Standing::Next { number, key, .. } = bench.stands() else {
                panic!("a stage is next");
            };
            assert_eq!(number, expected);
            assert!(!keys.contains(&key));
            bench.log(&key, 10 + expected as i64);
            keys.push(key);
        }
        assert_eq!(bench.stands(), Standing::Shaped);
    }

    #[test]
    fn it_says_what_an_instrument_is() {
        let bench = Bench::new();
        let what = bench.told().what.expect("is sound");
        assert_eq!(what, "6 strings, E4 to E2, 640.0 mm, 22 frets");
        bench.text(bench.commission, "camberwright = 1\n");
        assert_eq!(bench.told().what, None);
    }

    #[test]
    fn faults_come_before_everything_else_and_are_counted() {
        let bench = Bench::new();
        bench.text(
            bench.commission,
            "camberwright = 1\ntitle = \"one\"\nwhat = 1\n",
        );
        let Standing::Faulty(faults) = bench.stands() else {
            panic!("a text with faults");
        };
        assert!(faults > 1);
        bench.text(bench.commission, COMMISSION);
        assert_eq!(bench.stands(), Standing::NoKit);
    }

    #[test]
    fn a_kit_changed_meanwhile_is_looked_at_anew() {
        let bench = Bench::new();
        let set = |kit| bench.book.set_kit(bench.commission, kit, 1);
        set(Some(bench.kit)).expect("both are there");
        assert!(matches!(bench.stands(), Standing::Next { .. }));
        bench.text(
            bench.kit,
            "camberwright_kit = 1\ntitle = \"one\"\nblocks = 3\n",
        );
        assert_eq!(bench.stands(), Standing::FaultyKit);
    }

    #[test]
    fn readings_newer_than_the_last_stage_lead_to_the_readings() {
        let bench = Bench::new();
        let set = |kit| bench.book.set_kit(bench.commission, kit, 1);
        set(Some(bench.kit)).expect("both are there");
        let Standing::Next { key, .. } = bench.stands() else {
            panic!("a stage is next");
        };
        let visit = bench.book.add_visit(bench.commission, "first", "", "", 5);
        let visit = visit.expect("is stored");
        assert!(
            matches!(bench.stands(), Standing::Next { .. }),
            "nothing was read yet"
        );
        let batch = NewReadings {
            visit,
            text: "kept letter for letter",
            source: "typed",
            sent_key: None,
            at: 6,
        };
        bench.book.add_readings(&batch).expect("is stored");
        assert_eq!(bench.stands(), Standing::Read("first".into()));
        bench.log(&key, 20);
        assert!(matches!(bench.stands(), Standing::Next { number: 2, .. }));
    }
}
