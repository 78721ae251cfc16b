//! One line of the table: its cells, read one by one, each fault noted at its column.

use std::borrow::Cow;

use bench::Kit;
use instrument::{Instrument, Radius};
use quantity::nearest;

use super::fault_list::FaultList;
use super::head::{Column, Head};
use super::units::cell_length;
use crate::place::{
    Across, Along, PlaceFault, across_word, along_word, millimetres, not_across, not_along,
    on_board, spot,
};
use crate::reading::Spot;

/// The least and the greatest resolution of a tool, mm.
const RESOLUTION_MM: (f64, f64) = (0.001, 5.0);

/// What readings are checked against: the board, the kit, and the steps of its tools.
pub(super) struct Bench<'a> {
    pub instrument: &'a Instrument,
    pub kit: Option<&'a Kit>,
    pub steps: Steps,
}

/// What one mark of each tool is, mm.
pub(super) struct Steps {
    pub smallest_light_mm: f64,
    pub least_feeler_mm: f64,
    pub feeler_mm: f64,
    pub caliper_mm: f64,
    pub probe_mm: f64,
    pub chalk_layer_mm: f64,
}

impl<'a> Bench<'a> {
    /// The steps of the kit, or those that a kit has when it tells nothing.
    pub fn new(instrument: &'a Instrument, kit: Option<&'a Kit>) -> Self {
        let step = |of: fn(&Kit) -> f64, usual_mm| kit.map_or(usual_mm, of);
        Bench {
            instrument,
            kit,
            steps: Steps {
                smallest_light_mm: step(|kit| kit.smallest_light_mm, 0.02),
                least_feeler_mm: step(|kit| kit.least_feeler_mm, 0.03),
                feeler_mm: step(|kit| kit.feeler_step_mm, 0.01),
                caliper_mm: step(|kit| kit.caliper_step_mm, 0.02),
                probe_mm: step(|kit| kit.probe_step_mm, 0.01),
                chalk_layer_mm: step(|kit| kit.chalk_layer_mm, 0.02),
            },
        }
    }
}

impl Bench<'_> {
    /// What to say of a spot off the board: message and way out.
    pub fn off_board(&self, spot: Spot) -> (String, String) {
        match on_board(self.instrument, spot) {
            Err(fault) => (fault.message, fault.way_out),
            Ok(_) => Default::default(),
        }
    }
}

/// One line and the faults found in it.
pub(super) struct Line<'a, 'f> {
    /// Its number in the text, counted from 1.
    pub number: usize,
    /// What it is checked against.
    pub bench: &'a Bench<'a>,
    cells: &'a [Cow<'a, str>],
    head: &'a Head,
    faults: &'f mut FaultList,
    bad: bool,
    bare_value: bool,
}

impl<'a, 'f> Line<'a, 'f> {
    pub fn new(
        number: usize,
        cells: &'a [Cow<'a, str>],
        head: &'a Head,
        bench: &'a Bench<'a>,
        faults: &'f mut FaultList,
    ) -> Self {
        Line {
            number,
            bench,
            cells,
            head,
            faults,
            bad: false,
            bare_value: false,
        }
    }

    /// True when a fault was noted.
    pub fn is_bad(&self) -> bool {
        self.bad
    }

    /// True when the value was a bare number under a head without a unit.
    pub fn value_was_bare(&self) -> bool {
        self.bare_value
    }

    /// The cell as it stands, which a quoted note needs; empty when there is no such column.
    pub fn raw(&self, column: Column) -> &'a str {
        let place = self.head.place(column);
        place
            .and_then(|place| self.cells.get(place))
            .map_or("", |cell| cell.as_ref())
    }

    /// The cell without blanks around it.
    pub fn text(&self, column: Column) -> &'a str {
        self.raw(column).trim()
    }

    /// True when nothing stands there.
    pub fn is_empty(&self, column: Column) -> bool {
        self.text(column).is_empty()
    }

    /// Notes a fault at a column, and makes the line a bad one.
    pub fn fault(&mut self, column: Column, words: impl FnOnce() -> (String, String)) {
        self.bad = true;
        self.faults.add(Some(self.number), column.name(), words);
    }

    fn place_fault(&mut self, column: Column, fault: PlaceFault) {
        self.fault(column, || (fault.message, fault.way_out));
    }

    /// The length in a cell, mm; a fault when it is empty or no length.
    pub fn length(&mut self, column: Column, way_out: &str) -> Option<f64> {
        let text = self.text(column);
        let unit = self.head.unit(column);
        if text.is_empty() {
            self.fault(column, || {
                (format!("{} is empty", column.name()), way_out.to_owned())
            });
            return None;
        }
        match cell_length(text, unit, self.head.decimal) {
            Ok(length) => {
                self.bare_value |= column == Column::Value && length.bare && unit.is_none();
                Some(length.mm)
            }
            Err(words) => {
                self.fault(column, || (words, way_out.to_owned()));
                None
            }
        }
    }

    /// The word in a cell, one of those known.
    pub fn word(&mut self, column: Column, known: &[&'static str]) -> Option<&'static str> {
        let text = self.text(column);
        if let Some(word) = known.iter().find(|word| word.eq_ignore_ascii_case(text)) {
            return Some(word);
        }
        self.fault(column, || unknown_word(column, text, known));
        None
    }

    /// The standard uncertainty: half the step, which a resolution overrides.
    pub fn sigma(&mut self, step_mm: f64) -> Option<f64> {
        self.step(step_mm).map(|step_mm| 0.5 * step_mm)
    }

    /// The step of the tool, or the resolution written in the line.
    pub fn step(&mut self, step_mm: f64) -> Option<f64> {
        if self.is_empty(Column::Resolution) {
            return Some(step_mm);
        }
        let (least, most) = RESOLUTION_MM;
        let resolution = self.length(
            Column::Resolution,
            "write what one mark of the tool is, such as 0.01 mm",
        )?;
        if (least..=most).contains(&resolution) {
            return Some(resolution);
        }
        self.fault(Column::Resolution, || {
            (
                format!(
                    "resolution {} is outside {least} to {most} mm",
                    millimetres(resolution)
                ),
                "write what one mark of the tool is, such as 0.01 mm".into(),
            )
        });
        None
    }

    /// The place along the board in a column.
    pub fn along(&mut self, column: Column) -> Option<Along> {
        let text = self.text(column);
        let read = along_word(text, self.bench.instrument).unwrap_or_else(|| {
            cell_length(text, self.head.unit(column), self.head.decimal)
                .map(|length| Along::Mm(length.mm))
                .map_err(not_along)
        });
        self.or_fault(column, read)
    }

    /// The place across the board.
    pub fn across(&mut self) -> Option<Across> {
        let column = Column::Across;
        let text = self.text(column);
        let read = across_word(text, self.bench.instrument).unwrap_or_else(|| {
            cell_length(text, self.head.unit(column), self.head.decimal)
                .map(|length| Across::Mm(length.mm))
                .map_err(not_across)
        });
        self.or_fault(column, read)
    }

    fn or_fault<T>(&mut self, column: Column, read: Result<T, PlaceFault>) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(fault) => {
                self.place_fault(column, fault);
                None
            }
        }
    }

    /// The spot of two places, on the board; off it is a fault at `column`.
    pub fn spot_of(&mut self, column: Column, along: Along, across: Across) -> Option<Spot> {
        let instrument = self.bench.instrument;
        let read = on_board(instrument, spot(instrument, along, across));
        self.or_fault(column, read)
    }

    /// The spot that `at` and `across` name.
    pub fn spot(&mut self) -> Option<Spot> {
        let (along, across) = (self.along(Column::At), self.across());
        self.spot_of(Column::At, along?, across?)
    }

    /// The station on the centreline that `at` names, for a tool that is laid square across.
    pub fn station(&mut self, tool: &str) -> Option<f64> {
        let along = self.along(Column::At);
        let centred = self.is_empty(Column::Across) || self.across()? == Across::Mm(0.0);
        if !centred {
            self.fault(Column::Across, || {
                (
                    format!("{tool} is laid on the centreline, square across the board"),
                    "leave across empty".into(),
                )
            });
            return None;
        }
        let spot = self.spot_of(Column::At, along?, Across::Mm(0.0))?;
        Some(spot.x_mm)
    }

    /// The radius of the tool, or flat.
    pub fn radius(&mut self) -> Option<Radius> {
        let way_out = "write its radius, such as 16 in or 406.4 mm, or flat";
        if self.text(Column::Tool).eq_ignore_ascii_case("flat") {
            return Some(Radius::FLAT);
        }
        let radius_mm = self.length(Column::Tool, way_out)?;
        let (least, most) = (Radius::LEAST_MM, Radius::MOST_MM);
        if (least..=most).contains(&radius_mm) {
            return Some(Radius::from_mm(radius_mm));
        }
        self.fault(Column::Tool, || {
            (
                format!(
                    "radius {} is outside {least} to {most} mm",
                    millimetres(radius_mm)
                ),
                way_out.into(),
            )
        });
        None
    }
}

/// What to say of a word that is not known: message and way out.
fn unknown_word(column: Column, text: &str, known: &[&'static str]) -> (String, String) {
    let name = column.name();
    let all = || format!("write {}", either(known));
    if text.is_empty() {
        return (format!("{name} is empty"), all());
    }
    let near = nearest(text, known.iter().copied());
    let way_out = near.map_or_else(all, |near| format!("did you mean \"{near}\"?"));
    (
        format!("{name} \"{}\" is not known", shortened(text)),
        way_out,
    )
}

/// The words as a list that ends in "or".
fn either(words: &[&str]) -> String {
    match words {
        [most @ .., last] if !most.is_empty() => format!("{} or {last}", most.join(", ")),
        _ => words.concat(),
    }
}

/// The text as it can stand on one line of a message.
pub(super) fn shortened(text: &str) -> String {
    let plain = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    let mut short: String = text.chars().take(40).map(plain).collect();
    if text.chars().nth(40).is_some() {
        short.push('…');
    }
    short
}
