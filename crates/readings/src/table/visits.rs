//! Sound readings gathered by visit, and a visit's heights by set-up.

use std::collections::HashMap;

use instrument::Instrument;

use super::head::Column;
use super::kinds::Found;
use super::line::{Line, shortened};
use crate::place::place_words;
use crate::reading::{Cloud, Reading, Spot, Visit, What};

/// So many heights of one set-up are kept one by one; more are kept in columns.
pub(super) const MOST_SINGLE_HEIGHTS: usize = 400;

/// The name of a visit, or of a set-up, that is given none.
const FIRST: &str = "1";

/// Visits while their lines are read.
#[derive(Default)]
pub(super) struct Visits {
    open: Vec<Open>,
    /// Places in `open`; only looked up, never walked through, so its order does not matter.
    by_name: HashMap<String, usize>,
}

/// A visit while its lines are read.
#[derive(Default)]
struct Open {
    visit: Visit,
    set_up_by_name: HashMap<String, usize>,
    /// By set-up.
    heights: Vec<Vec<HeightLine>>,
    clouds: Vec<Cloud>,
}

/// One height with what is written beside it.
struct HeightLine {
    line: usize,
    at: Spot,
    height_mm: f64,
    sigma_mm: f64,
    note: String,
}

fn named<'a>(line: &Line<'a, '_>, column: Column) -> &'a str {
    match line.text(column) {
        "" => FIRST,
        name => name,
    }
}

impl Visits {
    /// Notes a fault when date or stage contradict what the visit's earlier lines say.
    pub fn check(&self, line: &mut Line<'_, '_>) {
        let name = named(line, Column::Visit);
        let Some(open) = self
            .by_name
            .get(name)
            .and_then(|place| self.open.get(*place))
        else {
            return;
        };
        for (column, before) in [
            (Column::Date, &open.visit.date),
            (Column::Stage, &open.visit.stage),
        ] {
            let now = line.text(column);
            if now.is_empty() || before.is_empty() || now == before {
                continue;
            }
            line.fault(column, || {
                let what = column.name();
                (
                    format!(
                        "{what} \"{}\" of visit {} contradicts \"{}\" in an earlier line",
                        shortened(now),
                        shortened(name),
                        shortened(before)
                    ),
                    format!("give the visit one {what}, or the line another visit"),
                )
            });
        }
    }

    /// Takes a sound line.
    pub fn take(&mut self, line: &Line<'_, '_>, found: Found) {
        let open = self.open(named(line, Column::Visit));
        for (column, kept) in [
            (Column::Date, &mut open.visit.date),
            (Column::Stage, &mut open.visit.stage),
        ] {
            if kept.is_empty() {
                *kept = line.text(column).to_owned();
            }
        }
        let (number, note) = (line.number, line.raw(Column::Note).to_owned());
        if let What::Height { at, height_mm, .. } = found.what {
            let set_up = open.set_up(named(line, Column::SetUp));
            open.heights[set_up].push(HeightLine {
                line: number,
                at,
                height_mm,
                sigma_mm: found.sigma_mm,
                note,
            });
            return;
        }
        open.visit.readings.push(Reading {
            line: number,
            what: found.what,
            sigma_mm: found.sigma_mm,
            place: found.place,
            note,
        });
    }

    /// Takes the heights of a probe's file.
    pub fn take_cloud(&mut self, cloud: Cloud) {
        let open = self.open(FIRST);
        let set_up = open.set_up(FIRST);
        if cloud.x_mm.len() > MOST_SINGLE_HEIGHTS {
            open.clouds.push(Cloud { set_up, ..cloud });
            return;
        }
        for (index, line) in cloud.lines.iter().enumerate() {
            open.heights[set_up].push(HeightLine {
                line: *line as usize,
                at: Spot {
                    x_mm: cloud.x_mm[index],
                    y_mm: cloud.y_mm[index],
                },
                height_mm: cloud.height_mm[index],
                sigma_mm: cloud.sigma_mm,
                note: String::new(),
            });
        }
    }

    fn open(&mut self, name: &str) -> &mut Open {
        let place = match self.by_name.get(name) {
            Some(place) => *place,
            None => {
                self.by_name.insert(name.to_owned(), self.open.len());
                self.open.push(Open {
                    visit: Visit {
                        name: name.to_owned(),
                        ..Visit::default()
                    },
                    ..Open::default()
                });
                self.open.len() - 1
            }
        };
        &mut self.open[place]
    }

    /// The visits, each with its readings in the order of the lines.
    pub fn finish(self, instrument: &Instrument, notes: &mut Vec<String>) -> Vec<Visit> {
        let mut lost_notes = 0;
        let finish = |open: Open| open.finish(instrument, &mut lost_notes);
        let visits = self.open.into_iter().map(finish).collect();
        if lost_notes > 0 {
            notes.push(format!(
                "notes of heights are not kept where a set-up has more than \
                 {MOST_SINGLE_HEIGHTS}: {lost_notes} are left out"
            ));
        }
        visits
    }
}

impl Open {
    fn set_up(&mut self, name: &str) -> usize {
        if let Some(place) = self.set_up_by_name.get(name) {
            return *place;
        }
        let place = self.heights.len();
        self.set_up_by_name.insert(name.to_owned(), place);
        self.visit.set_ups.push(name.to_owned());
        self.heights.push(Vec::new());
        place
    }

    fn finish(self, instrument: &Instrument, lost_notes: &mut usize) -> Visit {
        let mut visit = self.visit;
        visit.clouds = self.clouds;
        for (set_up, heights) in self.heights.into_iter().enumerate() {
            if heights.len() > MOST_SINGLE_HEIGHTS {
                *lost_notes += heights.iter().filter(|line| !line.note.is_empty()).count();
                visit.clouds.extend(clouds(set_up, &heights));
                continue;
            }
            let single = |line: HeightLine| single(set_up, line, instrument);
            visit.readings.extend(heights.into_iter().map(single));
        }
        visit.readings.sort_by_key(|reading| reading.line);
        visit
    }
}

fn single(set_up: usize, line: HeightLine, instrument: &Instrument) -> Reading {
    Reading {
        line: line.line,
        what: What::Height {
            set_up,
            at: line.at,
            height_mm: line.height_mm,
        },
        sigma_mm: line.sigma_mm,
        place: place_words(instrument, line.at),
        note: line.note,
    }
}

/// The heights of one set-up in columns: one cloud for each standard uncertainty.
fn clouds(set_up: usize, heights: &[HeightLine]) -> Vec<Cloud> {
    let mut clouds: Vec<Cloud> = Vec::new();
    // Only looked up, never walked through, so its order does not matter.
    let mut by_sigma: HashMap<u64, usize> = HashMap::new();
    for height in heights {
        let place = *by_sigma
            .entry(height.sigma_mm.to_bits())
            .or_insert(clouds.len());
        if place == clouds.len() {
            clouds.push(Cloud {
                set_up,
                ..empty_cloud(height.sigma_mm)
            });
        }
        let cloud = &mut clouds[place];
        cloud.lines.push(line_number(height.line));
        cloud.x_mm.push(height.at.x_mm);
        cloud.y_mm.push(height.at.y_mm);
        cloud.height_mm.push(height.height_mm);
    }
    clouds
}

/// A cloud without heights.
pub(super) fn empty_cloud(sigma_mm: f64) -> Cloud {
    Cloud {
        set_up: 0,
        lines: Vec::new(),
        x_mm: Vec::new(),
        y_mm: Vec::new(),
        height_mm: Vec::new(),
        sigma_mm,
    }
}

/// A line's number as a cloud keeps it: past four thousand million lines they are all the last.
pub(super) fn line_number(line: usize) -> u32 {
    u32::try_from(line).unwrap_or(u32::MAX)
}
