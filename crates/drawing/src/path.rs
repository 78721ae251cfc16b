//! Outlines: points, straight and cubic segments, and the affine maps that move them.

/// A place on the sheet, in millimetres; x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// Distance to the right of the sheet's left edge, in mm.
    pub x: f64,
    /// Distance below the sheet's top edge, in mm.
    pub y: f64,
}

impl Point {
    /// A point from its two coordinates in mm.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point a fraction of the way to another one: 0 gives this one, 1 the other exactly.
    pub fn toward(self, other: Self, fraction: f64) -> Self {
        // The convex form, unlike `a + t (b - a)`, meets both ends exactly.
        let rest = 1.0 - fraction;
        Self::new(
            self.x * rest + other.x * fraction,
            self.y * rest + other.y * fraction,
        )
    }

    /// Whether both coordinates are finite numbers.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// One step of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Lift the pen and set it down here.
    Move(Point),
    /// Draw straight to here.
    Line(Point),
    /// Draw a cubic Bézier curve: first control, second control, end.
    Cubic(Point, Point, Point),
    /// Draw straight back to where the pen was last set down.
    Close,
}

impl Segment {
    /// The points of the segment, in order.
    fn points(&self) -> impl Iterator<Item = Point> {
        let points = match *self {
            Self::Move(end) | Self::Line(end) => [Some(end), None, None],
            Self::Cubic(first, second, end) => [Some(first), Some(second), Some(end)],
            Self::Close => [None; 3],
        };
        points.into_iter().flatten()
    }

    /// The same segment with every point mapped.
    fn mapped(&self, map: impl Fn(Point) -> Point) -> Self {
        match *self {
            Self::Move(end) => Self::Move(map(end)),
            Self::Line(end) => Self::Line(map(end)),
            Self::Cubic(first, second, end) => Self::Cubic(map(first), map(second), map(end)),
            Self::Close => Self::Close,
        }
    }
}

/// An outline: one or more strokes of the pen, open or closed. Filled by the nonzero rule.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Path {
    /// The steps, in drawing order.
    pub segments: Vec<Segment>,
}

impl Path {
    /// An empty path.
    pub fn new() -> Self {
        Self::default()
    }

    /// A straight line between two points.
    pub fn line(start: Point, end: Point) -> Self {
        Self::polyline(&[start, end])
    }

    /// Straight lines through points, open at the ends; empty for no points.
    pub fn polyline(points: &[Point]) -> Self {
        let mut path = Self::new();
        path.push_polyline(points);
        path
    }

    /// A closed outline through points; empty for no points.
    pub fn polygon(points: &[Point]) -> Self {
        let mut path = Self::new();
        path.push_polygon(points);
        path
    }

    /// A rectangle from its top left corner, width and height in mm.
    pub fn rect(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self::polygon(&[
            Point::new(x, y),
            Point::new(x + width, y),
            Point::new(x + width, y + height),
            Point::new(x, y + height),
        ])
    }

    /// A circle, as four cubic curves.
    ///
    /// Accuracy: the curve leaves the true circle outward by at most 0.00028 of the radius,
    /// which follows from the usual control length 4/3 (√2 − 1).
    pub fn circle(centre: Point, radius: f64) -> Self {
        let pull = radius * (4.0 / 3.0) * (std::f64::consts::SQRT_2 - 1.0);
        let at = |x: f64, y: f64| Point::new(centre.x + x, centre.y + y);
        Self::new()
            .move_to(at(radius, 0.0))
            .cubic_to(at(radius, pull), at(pull, radius), at(0.0, radius))
            .cubic_to(at(-pull, radius), at(-radius, pull), at(-radius, 0.0))
            .cubic_to(at(-radius, -pull), at(-pull, -radius), at(0.0, -radius))
            .cubic_to(at(pull, -radius), at(radius, -pull), at(radius, 0.0))
            .close()
    }

    /// A part of a circle, open at the ends, from one angle to another in degrees; 0 points right
    /// and 90 down. An end before the start runs anticlockwise; more than a turn is cut to one.
    ///
    /// Accuracy: within 6e-9 of the radius, in cubic curves of at most 15° each.
    ///
    /// References: the error 2/27 · sin⁶(θ/4) / cos²(θ/4) of the usual control length
    /// 4/3 · tan(θ/4), for a curve over the angle θ (from memory; a test measures it).
    pub fn arc(centre: Point, radius: f64, start_degrees: f64, end_degrees: f64) -> Self {
        let sweep = (end_degrees - start_degrees).clamp(-360.0, 360.0);
        // At least one piece, at most 24; a sweep that is no number gives one piece of no number.
        let pieces = (sweep.abs() / 15.0).ceil().max(1.0);
        let step = (sweep / pieces).to_radians();
        let pull = 4.0 / 3.0 * (step / 4.0).tan();
        // The point at an angle, moved along the tangent by a part of the radius.
        let at = |angle: f64, along: f64| {
            let (sine, cosine) = angle.sin_cos();
            let (x, y) = (cosine - along * sine, sine + along * cosine);
            Point::new(centre.x + radius * x, centre.y + radius * y)
        };
        let start = start_degrees.to_radians();
        let mut path = Self::new().move_to(at(start, 0.0));
        for piece in 0..pieces as usize {
            let (from, to) = (
                start + step * piece as f64,
                start + step * (piece + 1) as f64,
            );
            path = path.cubic_to(at(from, pull), at(to, -pull), at(to, 0.0));
        }
        path
    }

    /// This path with the pen lifted and set down at a point.
    #[must_use]
    pub fn move_to(mut self, point: Point) -> Self {
        self.segments.push(Segment::Move(point));
        self
    }

    /// This path with a straight line to a point.
    #[must_use]
    pub fn line_to(mut self, point: Point) -> Self {
        self.segments.push(Segment::Line(point));
        self
    }

    /// This path with a cubic curve: first control, second control, end.
    #[must_use]
    pub fn cubic_to(mut self, first: Point, second: Point, end: Point) -> Self {
        self.segments.push(Segment::Cubic(first, second, end));
        self
    }

    /// This path closed back to where the pen was last set down.
    #[must_use]
    pub fn close(mut self) -> Self {
        self.segments.push(Segment::Close);
        self
    }

    /// Adds straight lines through points, open at the ends.
    pub fn push_polyline(&mut self, points: &[Point]) {
        self.segments.reserve(points.len() + 1);
        let mut points = points.iter().copied();
        self.segments.extend(points.next().map(Segment::Move));
        self.segments.extend(points.map(Segment::Line));
    }

    /// Adds a closed outline through points.
    pub fn push_polygon(&mut self, points: &[Point]) {
        if !points.is_empty() {
            self.push_polyline(points);
            self.segments.push(Segment::Close);
        }
    }

    /// Adds every stroke of another path after those of this one.
    pub fn append(&mut self, other: &Self) {
        self.segments.extend_from_slice(&other.segments);
    }

    /// The path mapped point by point; an affine map keeps lines and cubic curves what they are.
    #[must_use]
    pub fn transformed(&self, transform: &Transform) -> Self {
        let moved = |segment: &Segment| segment.mapped(|point| transform.apply(point));
        Self {
            segments: self.segments.iter().map(moved).collect(),
        }
    }

    /// Whether there is nothing to draw.
    pub fn is_empty(&self) -> bool {
        self.segments.is_empty()
    }

    /// Every point, controls included, in drawing order.
    pub fn points(&self) -> impl Iterator<Item = Point> {
        self.segments.iter().flat_map(Segment::points)
    }

    /// Top left and bottom right corner of the box around all points; `None` for an empty path.
    /// Controls count, so the box may be larger than a curve, never smaller.
    pub fn bounds(&self) -> Option<(Point, Point)> {
        self.points().fold(None, |bounds, point| {
            let (low, high) = bounds.unwrap_or((point, point));
            Some((
                Point::new(low.x.min(point.x), low.y.min(point.y)),
                Point::new(high.x.max(point.x), high.y.max(point.y)),
            ))
        })
    }
}

/// An affine map of the sheet: scale, turn, mirror, move.
///
/// It takes (x, y) to (`xx` x + `xy` y + `dx`, `yx` x + `yy` y + `dy`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transform {
    /// How much of x goes into the new x.
    pub xx: f64,
    /// How much of y goes into the new x.
    pub xy: f64,
    /// How much of x goes into the new y.
    pub yx: f64,
    /// How much of y goes into the new y.
    pub yy: f64,
    /// The shift of x, in mm.
    pub dx: f64,
    /// The shift of y, in mm.
    pub dy: f64,
}

impl Transform {
    /// The map that leaves everything in its place.
    pub const IDENTITY: Self = Self {
        xx: 1.0,
        xy: 0.0,
        yx: 0.0,
        yy: 1.0,
        dx: 0.0,
        dy: 0.0,
    };

    /// Scales both axes alike about the origin.
    pub const fn scale(factor: f64) -> Self {
        Self::scale_xy(factor, factor)
    }

    /// Scales each axis by its own factor about the origin; a negative factor mirrors.
    pub const fn scale_xy(x_factor: f64, y_factor: f64) -> Self {
        Self {
            xx: x_factor,
            yy: y_factor,
            ..Self::IDENTITY
        }
    }

    /// Moves by a distance in mm.
    pub const fn translate(dx: f64, dy: f64) -> Self {
        Self {
            dx,
            dy,
            ..Self::IDENTITY
        }
    }

    /// Turns about the origin; a positive angle turns clockwise as seen, because y points down.
    pub fn rotate_degrees(angle: f64) -> Self {
        let (sine, cosine) = angle.to_radians().sin_cos();
        Self {
            xx: cosine,
            xy: -sine,
            yx: sine,
            yy: cosine,
            ..Self::IDENTITY
        }
    }

    /// The map that does this one first and `next` after it.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let shift = next.apply(Point::new(self.dx, self.dy));
        Self {
            xx: next.xx * self.xx + next.xy * self.yx,
            xy: next.xx * self.xy + next.xy * self.yy,
            yx: next.yx * self.xx + next.yy * self.yx,
            yy: next.yx * self.xy + next.yy * self.yy,
            dx: shift.x,
            dy: shift.y,
        }
    }

    /// Where a point goes.
    pub fn apply(&self, point: Point) -> Point {
        Point::new(
            self.xx * point.x + self.xy * point.y + self.dx,
            self.yx * point.x + self.yy * point.y + self.dy,
        )
    }

    /// The side of a square of the same area as the map's image of a unit square; line widths
    /// and text sizes are scaled by it.
    pub fn mean_scale(&self) -> f64 {
        (self.xx * self.yy - self.xy * self.yx).abs().sqrt()
    }

    /// The direction in which the x axis points after the map, in degrees clockwise.
    pub fn turn_degrees(&self) -> f64 {
        self.yx.atan2(self.xx).to_degrees()
    }
}
