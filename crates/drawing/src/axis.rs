//! Scales and axes for charts: round ticks, and lines that carry them.

use crate::ink::Ink;
use crate::path::{Path, Point};
use crate::scene::{Anchor, Item, Scene};

/// The most ticks an axis is given, whatever is asked.
const MOST_TICKS: usize = 200;

/// Round values (1, 2 or 5 times a power of ten apart) from `low` to `high`, about as many as
/// wanted; empty if the bounds are not finite or do not rise.
pub fn nice_ticks(low: f64, high: f64, wanted: usize) -> Vec<f64> {
    let step = nice_step(low, high, wanted);
    let (first, last) = ((low / step - SLACK).ceil(), (high / step + SLACK).floor());
    if !(first.is_finite() && last.is_finite() && last - first < MOST_TICKS as f64) {
        return Vec::new();
    }
    let count = (last - first).max(-1.0) as i64;
    // Adding zero turns a negative zero into a plain one.
    (0..=count)
        .map(|index| (first + index as f64) * step + 0.0)
        .collect()
}

/// How far, in steps, a bound may miss a tick by rounding and still carry it.
const SLACK: f64 = 1e-9;

/// The step of 1, 2 or 5 times a power of ten that comes nearest to the wanted count from above;
/// NaN if the bounds are not finite or do not rise.
fn nice_step(low: f64, high: f64, wanted: usize) -> f64 {
    let raw = (high - low) / wanted.clamp(1, MOST_TICKS / 4) as f64;
    if !(raw.is_finite() && raw > 0.0) {
        return f64::NAN;
    }
    let power = 10_f64.powi(raw.log10().floor() as i32);
    let steps = [1.0, 2.0, 5.0, 10.0].map(|factor| factor * power);
    steps
        .into_iter()
        .find(|step| *step >= raw * (1.0 - SLACK))
        .unwrap_or(10.0 * power)
}

/// A tick's figure with the digits its step needs, and a true minus sign.
pub fn tick_text(value: f64, step: f64) -> String {
    let decimals = (SLACK - step.abs().log10()).ceil();
    let decimals = if decimals.is_finite() {
        decimals.clamp(0.0, 12.0) as usize
    } else {
        0
    };
    let digits = format!("{:.decimals$}", value.abs());
    let is_zero = digits.chars().all(|digit| matches!(digit, '0' | '.'));
    if value < 0.0 && !is_zero {
        format!("−{digits}")
    } else {
        digits
    }
}

/// A straight scale from figures to millimetres on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinearScale {
    /// The figure at the start, in the figure's unit.
    pub domain_start: f64,
    /// The figure at the end, in the figure's unit.
    pub domain_end: f64,
    /// Where the start lies, in mm.
    pub start_mm: f64,
    /// Where the end lies, in mm; smaller than the start for a scale that runs up the sheet.
    pub end_mm: f64,
}

impl LinearScale {
    /// A scale that takes the first pair of figures to the second pair of places in mm.
    pub const fn new(domain: (f64, f64), range_mm: (f64, f64)) -> Self {
        Self {
            domain_start: domain.0,
            domain_end: domain.1,
            start_mm: range_mm.0,
            end_mm: range_mm.1,
        }
    }

    /// The place of a figure in mm; figures outside the domain lie past the ends. A domain
    /// without extent puts every figure in the middle.
    pub fn at(&self, figure: f64) -> f64 {
        let extent = self.domain_end - self.domain_start;
        let fraction = if extent == 0.0 {
            0.5
        } else {
            (figure - self.domain_start) / extent
        };
        self.start_mm + fraction * (self.end_mm - self.start_mm)
    }

    /// The figure at a place in mm; not a number on a scale without length.
    pub fn figure_at(&self, place_mm: f64) -> f64 {
        let fraction = (place_mm - self.start_mm) / (self.end_mm - self.start_mm);
        self.domain_start + fraction * (self.domain_end - self.domain_start)
    }

    /// Round figures on the scale, lowest first.
    pub fn ticks(&self, wanted: usize) -> Vec<f64> {
        let (low, high) = self.bounds();
        nice_ticks(low, high, wanted)
    }

    /// The lower and the higher end of the domain.
    fn bounds(&self) -> (f64, f64) {
        (
            self.domain_start.min(self.domain_end),
            self.domain_start.max(self.domain_end),
        )
    }
}

/// On which side of its line an axis carries its figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AxisSide {
    /// A level axis, figures below it.
    Below,
    /// A level axis, figures above it.
    Above,
    /// An upright axis, figures to its left.
    Left,
    /// An upright axis, figures to its right.
    Right,
}

/// An axis of a chart: a line with ticks, figures, and a title that names the unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Which way the axis lies, and where its figures stand.
    pub side: AxisSide,
    /// The figures along it.
    pub scale: LinearScale,
    /// Where it lies across: y of a level axis, x of an upright one, in mm.
    pub across_mm: f64,
    /// What is shown, with its unit: `gap (mm)`; empty where the picture says it elsewhere.
    pub title: String,
    /// About how many ticks.
    pub tick_count: usize,
    /// Em size of the figures in mm.
    pub text_size_mm: f64,
    /// Length of the faint lines drawn from the ticks away from the figures, in mm; 0 for none.
    pub grid_mm: f64,
}

impl Axis {
    /// An axis with about six ticks, figures of 3.2 mm, and no grid.
    pub fn new(
        side: AxisSide,
        scale: LinearScale,
        across_mm: f64,
        title: impl Into<String>,
    ) -> Self {
        Self {
            side,
            scale,
            across_mm,
            title: title.into(),
            tick_count: 6,
            text_size_mm: 3.2,
            grid_mm: 0.0,
        }
    }

    /// Puts the axis into the layers `grid` and `axes` of a scene.
    pub fn draw(&self, scene: &mut Scene) {
        let (low, high) = self.scale.bounds();
        let step = nice_step(low, high, self.tick_count);
        for figure in self.scale.ticks(self.tick_count) {
            let along = self.scale.at(figure);
            if self.grid_mm > 0.0 {
                let grid = Path::line(self.place(along, 0.0), self.place(along, -self.grid_mm));
                scene
                    .layer("grid")
                    .add(Item::stroked(grid, Ink::FaintLine, 0.15));
            }
            let axes = scene.layer("axes");
            let tick = Path::line(self.place(along, 0.0), self.place(along, TICK_MM));
            axes.add(Item::stroked(tick, Ink::Line, LINE_MM));
            axes.add(self.tick_label(along, tick_text(figure, step)));
        }
        let line = Path::line(
            self.place(self.scale.start_mm, 0.0),
            self.place(self.scale.end_mm, 0.0),
        );
        let axes = scene.layer("axes");
        axes.add(Item::stroked(line, Ink::Line, LINE_MM));
        if !self.title.is_empty() {
            axes.add(self.title_item());
        }
    }

    /// A point on the sheet: so far along the axis, and so far out toward the figures.
    fn place(&self, along: f64, out: f64) -> Point {
        match self.side {
            AxisSide::Below => Point::new(along, self.across_mm + out),
            AxisSide::Above => Point::new(along, self.across_mm - out),
            AxisSide::Left => Point::new(self.across_mm - out, along),
            AxisSide::Right => Point::new(self.across_mm + out, along),
        }
    }

    fn tick_label(&self, along: f64, text: String) -> Item {
        let size = self.text_size_mm;
        let (out, drop, anchor) = match self.side {
            AxisSide::Below => (TICK_MM + size, 0.0, Anchor::Middle),
            AxisSide::Above => (TICK_MM + 0.4 * size, 0.0, Anchor::Middle),
            AxisSide::Left => (TICK_MM + 0.4 * size, HALF_CAPITAL * size, Anchor::End),
            AxisSide::Right => (TICK_MM + 0.4 * size, HALF_CAPITAL * size, Anchor::Start),
        };
        let at = self.place(along, out);
        Item::text(Point::new(at.x, at.y + drop), text, size, Ink::FaintText).anchored(anchor)
    }

    /// The title: past the figures of a level axis, above the upper end of an upright one, where
    /// it reads without turning the head.
    fn title_item(&self) -> Item {
        let size = self.text_size_mm;
        let middle = 0.5 * (self.scale.start_mm + self.scale.end_mm);
        let top = self.scale.start_mm.min(self.scale.end_mm) - size;
        let (at, anchor) = match self.side {
            AxisSide::Below => (self.place(middle, TICK_MM + 2.5 * size), Anchor::Middle),
            AxisSide::Above => (self.place(middle, TICK_MM + 1.9 * size), Anchor::Middle),
            AxisSide::Left => (self.place(top, TICK_MM), Anchor::Start),
            AxisSide::Right => (self.place(top, TICK_MM), Anchor::End),
        };
        Item::text(at, self.title.clone(), size, Ink::Text).anchored(anchor)
    }
}

/// Length of a tick, in mm.
const TICK_MM: f64 = 1.2;

/// Width of the axis line, in mm.
const LINE_MM: f64 = 0.2;

/// Half the height of a figure as a part of its em size, to centre it on its tick.
const HALF_CAPITAL: f64 = 0.36;
