//! Outlines taken apart into what DXF has: straight runs and runs of cubic curves.

use super::tags::LEAST_REAL;
use crate::path::{Path, Point, Segment};

/// A part of an outline drawn without lifting the pen, y pointing up.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Run {
    /// Straight from point to point; at least two.
    Straight {
        /// The points.
        points: Vec<Point>,
        /// Whether the last point is joined to the first.
        is_closed: bool,
    },
    /// Cubic Bézier curves end to end.
    Curved {
        /// The start, then two controls and an end for each curve.
        controls: Vec<Point>,
    },
}

impl Run {
    /// All its points, controls included.
    pub fn points(&self) -> &[Point] {
        match self {
            Self::Straight { points, .. } => points,
            Self::Curved { controls } => controls,
        }
    }
}

/// The runs of a path, in drawing order, turned over so that y points up from the bottom of a
/// sheet of a height in mm.
///
/// Steps that go nowhere are left out; they would be marks without extent.
pub(super) fn runs(path: &Path, height_mm: f64) -> Vec<Run> {
    let up = |point: Point| Point::new(point.x, height_mm - point.y);
    let mut pen = Pen::default();
    for segment in &path.segments {
        match *segment {
            Segment::Move(to) => pen.set_down(up(to)),
            Segment::Line(to) => pen.line_to(up(to)),
            Segment::Cubic(first, second, end) => {
                pen.cubic_to([up(first), up(second), up(end)]);
            }
            Segment::Close => pen.close(),
        }
    }
    pen.finish_run();
    pen.done
}

/// The pen on its way: where it was set down, where it is, and the run it is drawing.
#[derive(Default)]
struct Pen {
    start: Point,
    at: Point,
    /// Runs finished since the pen was set down; none if the outline is one run so far.
    runs_since_start: usize,
    run: Option<Run>,
    done: Vec<Run>,
}

impl Pen {
    fn set_down(&mut self, at: Point) {
        self.finish_run();
        (self.start, self.at) = (at, at);
        self.runs_since_start = 0;
    }

    fn line_to(&mut self, to: Point) {
        if meet(to, self.at) {
            return;
        }
        if !matches!(self.run, Some(Run::Straight { .. })) {
            self.finish_run();
        }
        let from = self.at;
        let run = self.run.get_or_insert_with(|| Run::Straight {
            points: vec![from],
            is_closed: false,
        });
        if let Run::Straight { points, .. } = run {
            points.push(to);
        }
        self.at = to;
    }

    fn cubic_to(&mut self, curve: [Point; 3]) {
        if curve.iter().all(|point| meet(*point, self.at)) {
            return;
        }
        if !matches!(self.run, Some(Run::Curved { .. })) {
            self.finish_run();
        }
        let from = self.at;
        let run = self.run.get_or_insert_with(|| Run::Curved {
            controls: vec![from],
        });
        if let Run::Curved { controls } = run {
            controls.extend(curve);
        }
        self.at = curve[2];
    }

    /// An outline of one straight run is closed by its flag, any other by a line where it is
    /// still open. A single line is not drawn back over itself, or it would be cut twice.
    fn close(&mut self) {
        let start = self.start;
        if let (0, Some(Run::Straight { points, is_closed })) =
            (self.runs_since_start, &mut self.run)
        {
            if meet(self.at, start) {
                points.pop();
            }
            *is_closed = points.len() > 2;
            self.at = start;
        }
        self.line_to(start);
        self.set_down(start);
    }

    fn finish_run(&mut self) {
        if let Some(run) = self.run.take() {
            self.done.push(run);
            self.runs_since_start += 1;
        }
    }
}

/// Whether two points are written alike, or nearly so.
fn meet(one: Point, other: Point) -> bool {
    (one.x - other.x).abs() < LEAST_REAL && (one.y - other.y).abs() < LEAST_REAL
}
