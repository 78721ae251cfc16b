//! Where each fret lies, written in a band beside the board, a leader from its end to its figures.

use instrument::Instrument;
use instrument::lanes::Lane;
use play::Sheet;

use super::draft::{Draft, FIGURE_MM, exact};
use super::fret_pattern::place;
use super::spread::spread;
use crate::pictures::Look;
use crate::{Anchor, Ink, Item, Path, Point, Weight, text_width_mm};

/// The least distance between two labels' middles, mm.
pub(super) const LABEL_GAP_MM: f64 = 3.1;
/// Where a fret's line carried on past the edge begins and ends, mm outside it.
const CARRIED_MM: (f64, f64) = (1.0, 4.0);
/// From the furthest edge to the labels, mm.
const TO_LABELS_MM: f64 = 10.0;
/// Between the columns of a label, mm.
const BETWEEN_MM: f64 = 2.6;

/// One column of the labels: its heading and a figure for each fret, the nut first.
struct Column {
    heading: String,
    figures: Vec<String>,
    weight: Weight,
}

impl Column {
    fn width_mm(&self) -> f64 {
        let width = |words: &String| text_width_mm(words, FIGURE_MM, self.weight);
        let all = self.figures.iter().chain([&self.heading]);
        all.map(width).fold(0.0, f64::max)
    }
}

/// On which side of the board a band of labels stands.
#[derive(Clone, Copy)]
enum Band {
    /// Above, past the treble edge.
    Treble,
    /// Below, past the bass edge.
    Bass,
}

impl Band {
    /// 1 where the sheet's y falls away from the board.
    fn sign(self) -> f64 {
        match self {
            Self::Treble => -1.0,
            Self::Bass => 1.0,
        }
    }
}

/// Labels on the treble side; on a fan also on the bass side, each with its outer lane's figures.
pub(super) fn draw_labels(draft: &mut Draft, instrument: &Instrument, sheet: &Sheet, look: Look) {
    let outer = instrument.lanes.first().zip(instrument.lanes.last());
    let fanned = outer.filter(|_| instrument.is_fanned());
    let mut columns = vec![names(sheet), from_nut(sheet, look), steps(sheet, look)];
    if let Some((treble, bass)) = fanned {
        columns.push(along_lane(instrument, treble, 1, look));
        let last = instrument.lanes.len();
        let of_bass = [names(sheet), along_lane(instrument, bass, last, look)];
        draw_band(draft, instrument, &of_bass, Band::Bass);
    } else {
        for (fret, _) in instrument.frets.iter().enumerate() {
            let (from, to) = carried(instrument, fret, Band::Bass);
            draft.tick("marks", from, to);
        }
    }
    draw_band(draft, instrument, &columns, Band::Treble);
}

fn names(sheet: &Sheet) -> Column {
    let name = |fret: usize| match fret {
        0 => "nut".to_owned(),
        fret => fret.to_string(),
    };
    Column {
        heading: "fret".into(),
        figures: sheet.frets.iter().map(|fret| name(fret.fret)).collect(),
        weight: Weight::Bold,
    }
}

fn from_nut(sheet: &Sheet, look: Look) -> Column {
    let figure = |x_mm: f64| exact(look, x_mm, 2);
    Column {
        heading: "from nut".into(),
        figures: sheet.frets.iter().map(|fret| figure(fret.x_mm)).collect(),
        weight: Weight::Regular,
    }
}

fn steps(sheet: &Sheet, look: Look) -> Column {
    let steps = sheet.frets.iter().map(|fret| fret.step_mm);
    Column {
        heading: "+ step".into(),
        figures: steps
            .map(|step| step.map_or("–".into(), |mm| format!("+{}", exact(look, mm, 2))))
            .collect(),
        weight: Weight::Regular,
    }
}

fn along_lane(instrument: &Instrument, lane: &Lane, number: usize, look: Look) -> Column {
    let along = instrument.frets.iter().map(|line| {
        let (x, y) = lane.cross(*line);
        exact(look, (x - lane.nut.0).hypot(y - lane.nut.1), 2)
    });
    Column {
        heading: format!("along lane {number}"),
        figures: along.collect(),
        weight: Weight::Regular,
    }
}

/// A fret's line carried on past an edge: where that begins and ends.
fn carried(instrument: &Instrument, fret: usize, band: Band) -> (Point, Point) {
    let line = instrument.frets[fret];
    let [treble, bass] = instrument.outline.edges_of(line);
    let (edge, side) = match band {
        Band::Treble => (treble, 1.0),
        Band::Bass => (bass, -1.0),
    };
    let at = |past: f64| {
        let y = edge.1 + side * past * line.skew().cos();
        place((line.x_at(y), y))
    };
    (at(CARRIED_MM.0), at(CARRIED_MM.1))
}

fn draw_band(draft: &mut Draft, instrument: &Instrument, columns: &[Column], band: Band) {
    let sign = band.sign();
    let carried: Vec<(Point, Point)> = (0..instrument.frets.len())
        .map(|fret| carried(instrument, fret, band))
        .collect();
    let furthest = carried.iter().map(|ends| sign * ends.1.y);
    let foot = furthest.fold(0.0, f64::max) + TO_LABELS_MM - CARRIED_MM.1;
    let wanted: Vec<f64> = carried.iter().map(|ends| ends.1.x).collect();
    let places = spread(&wanted, LABEL_GAP_MM);
    for ((from, to), x) in carried.iter().zip(&places) {
        let leader = [*from, *to, Point::new(*x, sign * foot)];
        draft.hair("marks", Path::polyline(&leader));
    }
    let mut off = foot + 1.0;
    for column in columns {
        let width = column.width_mm();
        let place = |x: f64| Point::new(x + 0.365 * FIGURE_MM, sign * (off + width));
        let at = |x: f64, words: &str, ink: Ink| {
            let item = Item::text(place(x), words, FIGURE_MM, ink).weighted(column.weight);
            // Letters read upward: above the board they end at the column's far side.
            match band {
                Band::Treble => item.anchored(Anchor::End),
                Band::Bass => item,
            }
            .turned(-90.0)
        };
        let first = places.first().copied().unwrap_or(0.0) - 1.5 * LABEL_GAP_MM;
        draft.add("words", at(first, &column.heading, Ink::FaintText));
        for (x, words) in places.iter().zip(&column.figures) {
            draft.add("words", at(*x, words, Ink::Text));
        }
        off += width + BETWEEN_MM;
    }
}
