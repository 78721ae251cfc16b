//! What the board's pictures share: how the board lies on the sheet, and the place pointed at.

use instrument::lanes::Lane;
use instrument::scale::CrossLine;
use instrument::{Instrument, fret_name};
use quantity::{Length, LengthUnit, show_at_the_bench};

use crate::{Anchor, Field, Ink, Item, LinearScale, Path, Point, Scene, Weight, text_width_mm};

/// Width of a picture that takes the whole page, mm of scene.
pub const WIDE_MM: f64 = 240.0;

/// Size of the words in a picture, mm of scene.
pub(super) const TEXT_MM: f64 = 3.2;
/// From the middle of one fret's number to the next one's at the least, mm.
const NUMBER_ROOM_MM: f64 = 5.2;

/// The place that a person points at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Pointed {
    /// The fret; 0 is the nut.
    pub fret: usize,
    /// The lane, 0 for the highest string.
    pub lane: usize,
}

/// How a person looks at the board: where they point, and in which unit lengths are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Look {
    /// The place pointed at; nothing on paper.
    pub pointed: Option<Pointed>,
    /// The unit of lengths in words and along axes.
    pub unit: LengthUnit,
}

impl Look {
    /// The place pointed at, or the nut and the highest string.
    pub(super) fn place(self) -> Pointed {
        self.pointed.unwrap_or_default()
    }

    /// A length in words, to so many decimals of a millimetre.
    pub(super) fn length(self, mm: f64, decimals: usize) -> String {
        show_at_the_bench(Length::from_mm(mm), self.unit, decimals)
    }

    /// A length in words, or that it is not known where it is no finite number.
    pub(super) fn known_length(self, mm: f64, decimals: usize) -> String {
        if mm.is_finite() {
            self.length(mm, decimals)
        } else {
            "not known".to_owned()
        }
    }

    /// A figure in the chosen unit for a length in millimetres.
    pub(super) fn figure(self, mm: f64) -> f64 {
        match self.unit {
            LengthUnit::Millimetre => mm,
            LengthUnit::DecimalInch | LengthUnit::FractionInch => Length::from_mm(mm).inches(),
        }
    }

    /// A radius in words: with its unit, or `flat`.
    pub(super) fn radius(self, radius: instrument::Radius) -> String {
        radius
            .finite_mm()
            .map_or("flat".into(), |mm| self.length(mm, 1))
    }

    /// A scale in millimetres with its figures in the chosen unit.
    pub(super) fn scale(self, scale: LinearScale) -> LinearScale {
        LinearScale::new(
            (
                self.figure(scale.domain_start),
                self.figure(scale.domain_end),
            ),
            (scale.start_mm, scale.end_mm),
        )
    }

    /// How many of the smallest parts a maker names go into a millimetre, and their name:
    /// hundredths of a millimetre, or thousandths of an inch.
    pub(super) fn small_parts(self) -> (f64, &'static str) {
        match self.unit {
            LengthUnit::Millimetre => (100.0, "1/100 mm"),
            LengthUnit::DecimalInch | LengthUnit::FractionInch => {
                (1000.0 * Length::from_mm(1.0).inches(), "1/1000 in")
            }
        }
    }

    /// An axis title with the chosen unit behind it.
    pub(super) fn title(self, words: &str) -> String {
        let unit = match self.unit {
            LengthUnit::Millimetre => "mm",
            LengthUnit::DecimalInch | LengthUnit::FractionInch => "in",
        };
        format!("{words}, {unit}")
    }
}

/// The board as it lies on a sheet, and how it is looked at.
#[derive(Clone, Copy)]
pub(super) struct Lying<'a> {
    /// The board.
    pub(super) instrument: &'a Instrument,
    /// How it lies.
    pub(super) frame: Frame,
    /// How it is looked at.
    pub(super) look: Look,
}

/// How the board lies on a sheet: to scale, nut to the left, treble side up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    scale: f64,
    left_mm: f64,
    middle_mm: f64,
    from_x_mm: f64,
}

impl Frame {
    /// Fits the board between `left_mm` and `right_mm`, its centreline at `middle_mm`.
    pub(super) fn fit(
        instrument: &Instrument,
        left_mm: f64,
        right_mm: f64,
        middle_mm: f64,
    ) -> Self {
        let (from, to) = instrument.outline.reach();
        let scale = (right_mm - left_mm) / (to - from).max(1e-9);
        Self {
            scale,
            left_mm,
            middle_mm,
            from_x_mm: from,
        }
    }

    /// Millimetres of scene for a millimetre of board.
    pub(super) fn scale(&self) -> f64 {
        self.scale
    }

    /// A place on the board as a point of the sheet.
    pub(super) fn point(&self, x: f64, y: f64) -> Point {
        Point::new(
            self.left_mm + self.scale * (x - self.from_x_mm),
            self.middle_mm - self.scale * y,
        )
    }

    /// Half the height that the board takes on the sheet, mm.
    pub(super) fn half_height(&self, instrument: &Instrument) -> f64 {
        let most = instrument
            .outline
            .corners()
            .iter()
            .map(|c| c.1.abs())
            .fold(0.0, f64::max);
        self.scale * most
    }

    /// The outline as a closed path.
    pub(super) fn outline(&self, instrument: &Instrument) -> Path {
        Path::polygon(&instrument.outline.corners().map(|(x, y)| self.point(x, y)))
    }

    /// A line across the board from edge to edge.
    pub(super) fn across(&self, instrument: &Instrument, line: CrossLine) -> Path {
        let [treble, bass] = instrument.outline.edges_of(line);
        Path::line(self.point(treble.0, treble.1), self.point(bass.0, bass.1))
    }

    /// A field over the whole board: `value` at places `(x, y)` in board millimetres.
    pub(super) fn field(
        &self,
        instrument: &Instrument,
        columns: usize,
        rows: usize,
        mut value: impl FnMut(f64, f64) -> f64,
    ) -> Option<Field> {
        Field::from_fn(columns, rows, |column, row| {
            let along = column as f64 / (columns - 1) as f64;
            let across = row as f64 / (rows - 1) as f64;
            let (x, y) = instrument.outline.place(along, across);
            (self.point(x, y), value(x, y))
        })
        .ok()
    }

    /// A lane from the nut's end of the board to the other.
    pub(super) fn along(&self, instrument: &Instrument, lane: &Lane) -> Path {
        let (from, to) = (
            lane.cross(instrument.outline.nut),
            lane.cross(instrument.outline.end),
        );
        Path::line(self.point(from.0, from.1), self.point(to.0, to.1))
    }

    /// Frets as lines, numbered below where there is room.
    pub(super) fn draw_frets(&self, scene: &mut Scene, instrument: &Instrument, below_mm: f64) {
        for (fret, line) in instrument.frets.iter().enumerate() {
            let (ink, width) = if fret == 0 {
                (Ink::Line, 0.6)
            } else {
                (Ink::Fret, 0.35)
            };
            let item = Item::stroked(self.across(instrument, *line), ink, width);
            scene.layer("frets").add(item);
        }
        self.draw_fret_numbers(scene, instrument, below_mm);
    }

    /// The frets' numbers at a height on the sheet, where there is room; the last fret and the
    /// octave are numbered before all others.
    pub(super) fn draw_fret_numbers(
        &self,
        scene: &mut Scene,
        instrument: &Instrument,
        below_mm: f64,
    ) {
        let at = |fret: usize| self.point(instrument.frets[fret].x_mm, 0.0).x;
        let last = instrument.last_fret();
        let first = [last, instrument.action_fret()];
        let mut numbered: Vec<usize> = Vec::new();
        for fret in first.into_iter().chain(1..=last) {
            let is_free = |other: &usize| (at(fret) - at(*other)).abs() >= NUMBER_ROOM_MM;
            if fret > 0 && numbered.iter().all(is_free) {
                numbered.push(fret);
            }
        }
        numbered.sort_unstable();
        for fret in numbered {
            let place = Point::new(at(fret), below_mm);
            let text = Item::text(place, fret.to_string(), TEXT_MM, Ink::FaintText);
            scene.layer("numbers").add(text.anchored(Anchor::Middle));
        }
    }

    /// The fret pointed at and the place on the lane, in an ink that is seen on the board, and
    /// the fret's name above it.
    pub(super) fn draw_pointed(
        &self,
        scene: &mut Scene,
        instrument: &Instrument,
        pointed: Pointed,
        ink: Ink,
    ) {
        let Some(line) = instrument.frets.get(pointed.fret) else {
            return;
        };
        let layer = scene.layer("pointed");
        layer.add(Item::stroked(self.across(instrument, *line), ink, 0.9));
        if let Some(lane) = instrument.lanes.get(pointed.lane) {
            let at = lane.cross(*line);
            layer.add(Item::filled(Path::circle(self.point(at.0, at.1), 1.3), ink));
        }
        let top = self.point(line.x_mm, 0.0).x;
        let above = self.point(0.0, instrument.outline.half_width(line.x_mm)).y - 1.6;
        let name = fret_name(pointed.fret);
        let place = Point::new(top.clamp(7.0, WIDE_MM - 9.0), above.max(3.4));
        layer.add(Item::text(place, name, TEXT_MM, Ink::Accent).anchored(Anchor::Middle));
    }
}

/// Where the entries of a key begin, side by side, in rows between two places on the sheet: for
/// each its row, counted from 0, and its x, mm. An entry wider than a row has one to itself.
pub(super) fn flow(widths_mm: &[f64], left_mm: f64, right_mm: f64) -> Vec<(usize, f64)> {
    let (mut row, mut x) = (0, left_mm);
    let mut places = Vec::with_capacity(widths_mm.len());
    for width in widths_mm {
        if x > left_mm && x + width > right_mm {
            (row, x) = (row + 1, left_mm);
        }
        places.push((row, x));
        x += width;
    }
    places
}

/// How wide ordinary words are, mm.
pub(super) fn words_mm(text: &str, size_mm: f64) -> f64 {
    text_width_mm(text, size_mm, Weight::Regular)
}

/// A text cut off with an ellipsis so that it is no wider than so many mm.
pub(super) fn fitted(text: &str, size_mm: f64, most_mm: f64) -> String {
    if words_mm(text, size_mm) <= most_mm {
        return text.to_owned();
    }
    let mut short = String::new();
    let mut width = words_mm("…", size_mm);
    for letter in text.chars() {
        width += words_mm(letter.encode_utf8(&mut [0; 4]), size_mm);
        if width > most_mm {
            break;
        }
        short.push(letter);
    }
    short + "…"
}
