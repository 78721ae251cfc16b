//! What a page of a commission is made from: the entry, its figures now, and what they were.

use std::sync::Arc;

use bench::effort::{LoggedStage, WearRate};
use bench::{BenchPlan, Kit, bench_plan, read_kit};
use book::{Book, BookError, Entry, EntryId, RevisionId};
use drawing::pictures::{Look, Pointed};
use instrument::format::Faults;
use instrument::{Instrument, read_commission};
use play::Sheet;
use readings::Ask;
use readings::next::Allowed;

use crate::gist::Gists;
use crate::known::{Known, Planned};
use crate::show::Units;
use crate::source::no_files;
use crate::visits::{KeptVisit, visits};

/// An instrument with all its figures.
#[derive(Clone)]
pub struct Figures {
    /// The instrument.
    pub instrument: Instrument,
    /// Its sheet.
    pub sheet: Sheet,
    /// Its bench plan, when a kit is chosen and sound.
    pub plan: Option<BenchPlan>,
    /// What is told of its playing beside another moment's.
    pub gists: Gists,
}

impl Figures {
    /// The figures of an instrument, planned with a kit at a wear rate.
    pub fn of(instrument: Instrument, kit: Option<(&Kit, WearRate)>) -> Self {
        Self {
            sheet: play::sheet(&instrument, kit.map(|(kit, _)| kit)),
            plan: kit.map(|(kit, wear)| bench_plan(&instrument, kit, wear)),
            gists: Gists::default(),
            instrument,
        }
    }

    /// These figures with an instrument of the same strings over the same frets; without a plan.
    pub fn set_up_as(&self, instrument: Instrument) -> Self {
        Self {
            instrument,
            sheet: self.sheet.clone(),
            plan: None,
            gists: Gists::default(),
        }
    }
}

/// The kit that a commission is planned with.
pub struct ChosenKit {
    /// Its entry in the book.
    pub entry: Entry,
    /// The kit, or what is wrong with its text.
    pub kit: Result<Kit, Faults>,
}

impl ChosenKit {
    /// What a plan with it rests on, when it is sound: the kit, and how fast it cuts by the shop's
    /// logged stages.
    pub fn planned(&self, logs: &[LoggedStage]) -> Option<Planned<'_>> {
        let kit = self.kit.as_ref().ok()?;
        Some(Planned {
            kit,
            text: &self.entry.text,
            wear: WearRate::from_logs(logs, kit.hand),
        })
    }
}

/// A field to be mended at once: what was typed there was refused, or makes the text unsound.
#[derive(Clone, Debug)]
pub struct Mend {
    /// The path of the field's value, or its name in its form.
    pub field: String,
    /// What was typed and why it is not stored; `None` when it is stored and its fault is told.
    pub refused: Option<(String, String)>,
}

impl Mend {
    /// A field by its path or name, with nothing said of it.
    pub fn at(field: &str) -> Self {
        Self {
            field: field.to_owned(),
            refused: None,
        }
    }
}

/// A commission as its pages show it.
pub struct View {
    /// The entry: text, history, kit.
    pub entry: Entry,
    /// The text that is shown: the entry's, or one that is only being tried.
    pub text: String,
    /// What is wrong with that text.
    pub faults: Faults,
    /// The figures of that text, or of the last sound moment before it.
    pub now: Option<Arc<Figures>>,
    /// The figures before the last change, when they were sound.
    pub was: Option<Arc<Figures>>,
    /// True when `now` is an earlier moment, because the text is not sound.
    pub stale: bool,
    /// The kit.
    pub kit: Option<ChosenKit>,
    /// The place pointed at.
    pub pointed: Pointed,
    /// How lengths are shown.
    pub units: Units,
    /// The stages of this commission that were logged as done, oldest first.
    pub done: Vec<book::StageRecord>,
    /// Numbers of those logs whose stage was done for another camber or crown than the present one.
    pub outdated: Vec<i64>,
    /// The surface that it is played on, by its word in an address; the usual one when not asked.
    pub on: Option<String>,
    /// The field to be mended at once.
    pub mend: Option<Mend>,
    /// Its visits with their readings; empty until [`View::with_readings`] is asked.
    pub visits: Vec<KeptVisit>,
}

/// How far back a sound moment is looked for.
const MOST_MOMENTS_BACK: usize = 60;

impl View {
    /// The view of a stored commission. With `tried` its text stands in for the stored one, and
    /// what is stored counts as what it was. Figures that are known are not worked out again.
    ///
    /// # Errors
    /// When the book cannot be read, or has no such commission.
    pub fn load(
        book: &Book,
        known: &Known,
        id: EntryId,
        pointed: Pointed,
        tried: Option<String>,
    ) -> Result<Self, BookError> {
        let entry = book.entry(id)?;
        let kit = chosen_kit(book, &entry)?;
        let logs = logged_stages(book)?;
        let units = Units::from_name(book.setting("length unit")?.as_deref().unwrap_or("mm"));
        let planned = kit.as_ref().and_then(|chosen| chosen.planned(&logs));
        let figures = |text: &str| known.figures(text, planned);
        let before = match (&tried, entry.previous) {
            (Some(_), _) => Some(entry.text.clone()),
            (None, Some(revision)) => Some(book.revision_text(revision)?),
            (None, None) => None,
        };
        let text = tried.unwrap_or_else(|| entry.text.clone());
        let mut was = before.and_then(|text| figures(&text).ok());
        let (mut now, faults) = match figures(&text) {
            Ok(now) => (Some(now), Faults::default()),
            Err(faults) => (None, faults),
        };
        let stale = now.is_none();
        if stale {
            now = was.take();
        }
        if now.is_none() {
            now = last_sound(book, &entry, &figures)?;
        }
        let pointed = within(pointed, now.as_deref());
        let done = book.stage_logs(id)?;
        let outdated = match &now {
            Some(now) => outdated(book, id, &done, &now.instrument)?,
            None => Vec::new(),
        };
        Ok(Self {
            entry,
            text,
            faults,
            now,
            was,
            stale,
            kit,
            pointed,
            units,
            done,
            outdated,
            on: None,
            mend: None,
            visits: Vec::new(),
        })
    }

    /// True for the field, by its path or name, that is to be mended at once.
    pub fn mends(&self, field: &str) -> bool {
        self.mend.as_ref().is_some_and(|mend| mend.field == field)
    }

    /// The same view with the visits and their readings.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn with_readings(mut self, book: &Book) -> Result<Self, BookError> {
        if let Some(now) = &self.now {
            let kit = self
                .kit
                .as_ref()
                .and_then(|chosen| chosen.kit.as_ref().ok());
            self.visits = visits(book, self.entry.id, &now.instrument, kit)?;
        }
        Ok(self)
    }

    /// How the pictures are looked at: the place pointed at, and the unit of lengths.
    pub fn look(&self) -> Look {
        Look {
            pointed: Some(self.pointed),
            unit: self.units.length,
        }
    }

    /// The sheet before the last change.
    pub fn was_sheet(&self) -> Option<&Sheet> {
        self.was.as_ref().map(|figures| &figures.sheet)
    }

    /// The plan before the last change.
    pub fn was_plan(&self) -> Option<&BenchPlan> {
        self.was.as_ref().and_then(|figures| figures.plan.as_ref())
    }

    /// True when a stage was logged as done and its surface is still the planned one.
    pub fn is_done(&self, stage: &str) -> bool {
        is_done(&self.done, &self.outdated, stage)
    }

    /// True when a logged stage was done for another camber or crown than the present one.
    pub fn is_outdated(&self, log: &book::StageRecord) -> bool {
        is_outdated(&self.outdated, log)
    }

    /// The kit, when it is sound.
    pub fn sound_kit(&self) -> Option<&Kit> {
        self.kit
            .as_ref()
            .and_then(|chosen| chosen.kit.as_ref().ok())
    }
}

/// True when one of these logs is of the stage, and not outdated.
pub(crate) fn is_done(done: &[book::StageRecord], outdated: &[i64], stage: &str) -> bool {
    let mut logs = done.iter().filter(|log| log.stage == stage);
    logs.any(|log| !is_outdated(outdated, log))
}

fn is_outdated(outdated: &[i64], log: &book::StageRecord) -> bool {
    log.id.is_some_and(|id| outdated.contains(&id))
}

/// What is asked of a visit's readings with this view's board and kit.
pub fn ask<'v>(view: &'v View, now: &'v Figures, visit: &'v KeptVisit) -> Ask<'v> {
    Ask {
        instrument: &now.instrument,
        bench: view.sound_kit().zip(now.plan.as_ref()),
        visit: &visit.visit,
        allowed: Allowed::default(),
        tolerance_mm: None,
    }
}

/// The kit that a commission is planned with, when one is chosen.
///
/// # Errors
/// When the book cannot be read.
pub fn chosen_kit(book: &Book, entry: &Entry) -> Result<Option<ChosenKit>, BookError> {
    let Some(id) = entry.kit else { return Ok(None) };
    let entry = book.entry(id)?;
    let kit = read_kit(&entry.text);
    Ok(Some(ChosenKit { entry, kit }))
}

/// The shop's logged stages, for the wear rate.
pub fn logged_stages(book: &Book) -> Result<Vec<LoggedStage>, BookError> {
    let logs = book.all_stage_logs()?;
    let logged = |log: book::StageRecord| {
        let grade = quantity::grade(&log.grade)?;
        Some(LoggedStage {
            volume_mm3: log.volume_mm3,
            minutes: log.minutes,
            force_n: log.force_n,
            grain_um: grade.diameter_um.value,
            wood: log.wood,
        })
    };
    Ok(logs.into_iter().filter_map(logged).collect())
}

/// The figures of the newest moment that was sound, going back through the history.
fn last_sound(
    book: &Book,
    entry: &Entry,
    figures: &dyn Fn(&str) -> Result<Arc<Figures>, Faults>,
) -> Result<Option<Arc<Figures>>, BookError> {
    let moments: Vec<RevisionId> = book
        .history(entry.id)?
        .into_iter()
        .filter(|moment| moment.reachable_by_undo)
        .map(|moment| moment.revision)
        .take(MOST_MOMENTS_BACK)
        .collect();
    for revision in moments {
        if let Ok(sound) = figures(&book.revision_text(revision)?) {
            return Ok(Some(sound));
        }
    }
    Ok(None)
}

/// The logs of stages that were done for another surface: the text that stood when a stage was
/// logged gives another camber or crown than the present one.
pub(crate) fn outdated(
    book: &Book,
    id: EntryId,
    done: &[book::StageRecord],
    now: &Instrument,
) -> Result<Vec<i64>, BookError> {
    if done.is_empty() {
        return Ok(Vec::new());
    }
    let moments = book.history(id)?;
    let mut found = Vec::new();
    for log in done {
        let before = moments.iter().filter(|moment| moment.at <= log.at);
        let Some(moment) = before.max_by_key(|moment| moment.revision.0) else {
            continue;
        };
        let then = read_commission(&book.revision_text(moment.revision)?, &no_files);
        let is_same = then.is_ok_and(|then| {
            then.camber == now.camber && then.wood.crown_thickness_mm == now.wood.crown_thickness_mm
        });
        found.extend(log.id.filter(|_| !is_same));
    }
    Ok(found)
}

fn within(pointed: Pointed, now: Option<&Figures>) -> Pointed {
    let Some(now) = now else {
        return Pointed::default();
    };
    Pointed {
        fret: pointed.fret.min(now.instrument.last_fret()),
        lane: pointed
            .lane
            .min(now.instrument.lanes.len().saturating_sub(1)),
    }
}
