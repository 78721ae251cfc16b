//! Visits to the bench as the book keeps them, read against the board and the kit.

use bench::Kit;
use book::{BatchId, Book, BookError, EntryId, SetAsideLine, VisitRecord};
use instrument::Instrument;
use instrument::format::Fault;
use readings::reading::{Cloud, Reading, What};
use readings::{Visit, read_readings};

/// A visit with everything that was read in it.
pub struct KeptVisit {
    /// Name, date and stage.
    pub record: VisitRecord,
    /// The readings that count; a reading's line is its number within the visit.
    pub visit: Visit,
    /// The batches, in the order in which they came.
    pub batches: Vec<KeptBatch>,
    /// Lines that do not count because they are not sound, with their number within the visit.
    pub faults: Vec<Fault>,
    /// Readings that were set aside.
    pub aside: Vec<AsideReading>,
}

/// A batch of readings, as it was typed or read from a file.
pub struct KeptBatch {
    /// Its number in the book.
    pub id: BatchId,
    /// Where it came from.
    pub source: String,
    /// When.
    pub at: i64,
    /// Lines of the visit before its own.
    pub lines_before: usize,
    /// Its own lines.
    pub lines: usize,
    /// What of it was set aside.
    pub set_aside: Vec<SetAsideLine>,
}

/// A reading that was set aside, with the reason.
pub struct AsideReading {
    /// The reading.
    pub reading: Reading,
    /// Why.
    pub reason: String,
}

impl KeptVisit {
    /// The batch and the line in it that a line of the visit is.
    pub fn origin(&self, line: usize) -> Option<(BatchId, u32)> {
        let batch = self
            .batches
            .iter()
            .rev()
            .find(|batch| batch.lines_before < line)?;
        let own = line - batch.lines_before;
        (own <= batch.lines).then(|| Some((batch.id, u32::try_from(own).ok()?)))?
    }
}

/// All visits of a commission, in the order in which they were begun.
///
/// # Errors
/// When the book cannot be read.
pub fn visits(
    book: &Book,
    commission: EntryId,
    instrument: &Instrument,
    kit: Option<&Kit>,
) -> Result<Vec<KeptVisit>, BookError> {
    book.visits(commission)?
        .into_iter()
        .map(|record| visit(book, record, instrument, kit))
        .collect()
}

fn visit(
    book: &Book,
    record: VisitRecord,
    instrument: &Instrument,
    kit: Option<&Kit>,
) -> Result<KeptVisit, BookError> {
    let mut kept = KeptVisit {
        visit: Visit {
            name: record.name.clone(),
            date: record.date.clone(),
            stage: record.stage.clone(),
            ..Visit::default()
        },
        record,
        batches: Vec::new(),
        faults: Vec::new(),
        aside: Vec::new(),
    };
    let mut lines_before = 0;
    for batch in book.readings(kept.record.id)? {
        let out = read_readings(&batch.text, instrument, kit);
        let gathered = KeptBatch {
            id: batch.id,
            source: batch.source,
            at: batch.at,
            lines_before,
            lines: batch.text.lines().count(),
            set_aside: batch.set_aside,
        };
        for part in out.visits {
            kept.take_in(part, &gathered);
        }
        if whole_aside(&gathered).is_none() {
            kept.faults
                .extend(out.faults.0.into_iter().map(|mut fault| {
                    fault.line = fault.line.map(|line| line + lines_before);
                    fault
                }));
        }
        lines_before += gathered.lines;
        kept.batches.push(gathered);
    }
    Ok(kept)
}

/// The reason for which a whole batch was set aside.
fn whole_aside(batch: &KeptBatch) -> Option<&str> {
    batch
        .set_aside
        .iter()
        .find(|aside| aside.line.is_none())
        .map(|aside| aside.reason.as_str())
}

fn reason_of(batch: &KeptBatch, line: usize) -> Option<&str> {
    whole_aside(batch).or_else(|| {
        batch
            .set_aside
            .iter()
            .find(|aside| aside.line.map(|own| own as usize) == Some(line))
            .map(|aside| aside.reason.as_str())
    })
}

impl KeptVisit {
    /// Takes in what a batch holds: set-ups of one name are one, lines are counted on.
    fn take_in(&mut self, part: Visit, batch: &KeptBatch) {
        let set_ups: Vec<usize> = part
            .set_ups
            .into_iter()
            .map(|name| self.set_up(name))
            .collect();
        for mut reading in part.readings {
            if let What::Height { set_up, .. } = &mut reading.what {
                *set_up = set_ups.get(*set_up).copied().unwrap_or_default();
            }
            let reason = reason_of(batch, reading.line).map(str::to_owned);
            reading.line += batch.lines_before;
            match reason {
                Some(reason) => self.aside.push(AsideReading { reading, reason }),
                None => self.visit.readings.push(reading),
            }
        }
        for cloud in part.clouds {
            if whole_aside(batch).is_none() {
                self.visit.clouds.push(kept_cloud(cloud, &set_ups, batch));
            }
        }
    }

    fn set_up(&mut self, name: String) -> usize {
        let names = &mut self.visit.set_ups;
        names
            .iter()
            .position(|known| *known == name)
            .unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            })
    }
}

/// A cloud without the heights that were set aside one by one.
fn kept_cloud(cloud: Cloud, set_ups: &[usize], batch: &KeptBatch) -> Cloud {
    let keep: Vec<bool> = cloud
        .lines
        .iter()
        .map(|line| reason_of(batch, *line as usize).is_none())
        .collect();
    let kept = |values: Vec<f64>| -> Vec<f64> {
        values
            .into_iter()
            .zip(&keep)
            .filter_map(|(value, keep)| keep.then_some(value))
            .collect()
    };
    Cloud {
        set_up: set_ups.get(cloud.set_up).copied().unwrap_or_default(),
        lines: cloud
            .lines
            .iter()
            .zip(&keep)
            .filter(|(_, keep)| **keep)
            .map(|(line, _)| {
                line.saturating_add(u32::try_from(batch.lines_before).unwrap_or(u32::MAX))
            })
            .collect(),
        x_mm: kept(cloud.x_mm),
        y_mm: kept(cloud.y_mm),
        height_mm: kept(cloud.height_mm),
        sigma_mm: cloud.sigma_mm,
    }
}
