//! What the board's pictures share: how the board lies on the sheet, and the place pointed at.

use instrument::Instrument;
use instrument::scale::CrossLine;
use quantity::{Length, LengthUnit, show_at_the_bench};

use crate::{Field, Ink, Item, LinearScale, Path, Point, Scene};

/// Width of a picture that takes the whole page, mm of scene.
pub const WIDE_MM: f64 = 240.0;

/// Size of the words in a picture, mm of scene.
pub(super) const TEXT_MM: f64 = 3.2;

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

    /// A radius in words: with its unit, or `flat`.
    pub(super) fn radius(self, radius: instrument::Radius) -> String {
        radius
            .finite_mm()
            .map_or("flat".into(), |mm| self.length(mm, 1))
    }

    /// A scale in millimetres with its figures in the chosen unit.
    pub(super) fn scale(self, scale: LinearScale) -> LinearScale {
        let figure = |mm: f64| match self.unit {
            LengthUnit::Millimetre => mm,
            LengthUnit::DecimalInch | LengthUnit::FractionInch => Length::from_mm(mm).inches(),
        };
        LinearScale::new(
            (figure(scale.domain_start), figure(scale.domain_end)),
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

    /// Frets as lines, numbered below where there is room.
    pub(super) fn draw_frets(&self, scene: &mut Scene, instrument: &Instrument, below_mm: f64) {
        let mut free_from = f64::NEG_INFINITY;
        for (fret, line) in instrument.frets.iter().enumerate() {
            let (ink, width) = if fret == 0 {
                (Ink::Line, 0.6)
            } else {
                (Ink::Fret, 0.35)
            };
            let item = Item::stroked(self.across(instrument, *line), ink, width);
            scene.layer("frets").add(item);
            let at = self.point(line.x_mm, 0.0).x;
            if fret > 0 && at >= free_from {
                let text = Item::text(
                    Point::new(at, below_mm),
                    fret.to_string(),
                    3.2,
                    Ink::FaintText,
                )
                .anchored(crate::Anchor::Middle);
                scene.layer("numbers").add(text);
                free_from = at + 5.2;
            }
        }
    }
}
