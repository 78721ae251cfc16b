//! The cutter swept over places in plan: exactly how low it comes at each, and what wood stays.

use bench::machine::{Cutter, CutterShape};

use super::moves::{Move, Point, straight_pieces};

/// The end of a cutter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Tip {
    /// A half ball of this radius, mm.
    Ball(f64),
    /// Flat, of this radius, mm: a drill's too.
    Flat(f64),
}

impl Tip {
    pub(crate) fn of(cutter: &Cutter) -> Self {
        match cutter.shape {
            CutterShape::Ball => Tip::Ball(cutter.radius_mm()),
            CutterShape::Flat | CutterShape::Drill => Tip::Flat(cutter.radius_mm()),
        }
    }

    fn radius(self) -> f64 {
        match self {
            Tip::Ball(r) | Tip::Flat(r) => r,
        }
    }
}

/// A straight piece of a way, ready to be asked at many places.
struct Swept {
    from: Point,
    /// Its direction in plan; of no meaning where it stands upright.
    plan: [f64; 2],
    /// Its length in plan, mm.
    length: f64,
    /// Its rise for each mm in plan.
    rise: f64,
    /// Its lower end, mm.
    low: f64,
    r_squared: f64,
    tip: Tip,
    /// For a ball: how far before the place the lowest point lies, as a share of the half chord,
    /// and how much deeper it is for that.
    lean: [f64; 2],
}

impl Swept {
    fn new([from, to]: [Point; 2], tip: Tip) -> Self {
        let (dx, dy, dz) = (to[0] - from[0], to[1] - from[1], to[2] - from[2]);
        let length = dx.hypot(dy);
        let upright = length < 1e-9;
        let rise = if upright { 0.0 } else { dz / length };
        let steep = (1.0 + rise * rise).sqrt();
        let r = tip.radius();
        Self {
            from,
            plan: if upright {
                [1.0, 0.0]
            } else {
                [dx / length, dy / length]
            },
            length: if upright { 0.0 } else { length },
            rise,
            low: from[2].min(to[2]),
            r_squared: r * r,
            tip,
            lean: [-rise / steep, steep],
        }
    }

    /// The lowest that the cutter comes over a place, mm over the bed; infinite where it does
    /// not come.
    ///
    /// With the place at `a` along and `b` aside of the way, the half chord is
    /// `ρ = sqrt(r² - b²)`. A flat end is over the place from `a - ρ` to `a + ρ`. A ball's skin
    /// stands at `z + r + σ s - sqrt(ρ² - (s - a)²)`, which is least at `s = a - σ ρ / sqrt(1 + σ²)`
    /// and there `z + r + σ a - ρ sqrt(1 + σ²)`; the sum is convex in s, so that an end of the way
    /// takes the place of what lies past it.
    #[inline]
    fn lowest(&self, x: f64, y: f64) -> f64 {
        let (dx, dy) = (x - self.from[0], y - self.from[1]);
        let a = dx * self.plan[0] + dy * self.plan[1];
        let b = dy * self.plan[0] - dx * self.plan[1];
        let half_squared = self.r_squared - b * b;
        if half_squared < 0.0 {
            return f64::INFINITY;
        }
        let half = half_squared.sqrt();
        if a + half < 0.0 || a - half > self.length {
            return f64::INFINITY;
        }
        match self.tip {
            Tip::Flat(_) if self.length == 0.0 => self.low,
            Tip::Flat(_) => {
                let (near, far) = ((a - half).max(0.0), (a + half).min(self.length));
                self.from[2] + self.rise * if self.rise > 0.0 { near } else { far }
            }
            Tip::Ball(r) => {
                let base = if self.length == 0.0 {
                    self.low
                } else {
                    self.from[2]
                } + r;
                let s = a + self.lean[0] * half;
                if s >= 0.0 && s <= self.length {
                    return base + self.rise * a - half * self.lean[1];
                }
                let s = s.clamp(0.0, self.length);
                let w = s - a;
                base + self.rise * s - (half_squared - w * w).max(0.0).sqrt()
            }
        }
    }
}

/// A place that is watched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    pub x: f64,
    pub y: f64,
    /// The wood there now, mm over the bed.
    pub stock: f64,
    /// Which of the watched places it is.
    pub index: u32,
}

/// Watched places in columns along the board, each in order across it.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    spots: Vec<Spot>,
    /// Where each column begins among the spots; one more than there are columns.
    begins: Vec<usize>,
    from_x: f64,
    column_mm: f64,
}

impl Field {
    pub(crate) fn new(mut spots: Vec<Spot>, column_mm: f64) -> Self {
        let from_x = spots
            .iter()
            .map(|spot| spot.x)
            .fold(f64::INFINITY, f64::min);
        let column = |x: f64| ((x - from_x) / column_mm).max(0.0) as usize;
        spots.sort_by(|a, b| column(a.x).cmp(&column(b.x)).then(a.y.total_cmp(&b.y)));
        let columns = spots.last().map_or(0, |last| column(last.x) + 1);
        let begins = (0..=columns)
            .map(|index| spots.partition_point(|spot| column(spot.x) < index))
            .collect();
        Self {
            spots,
            begins,
            from_x,
            column_mm,
        }
    }

    pub(crate) fn spots(&self) -> &[Spot] {
        &self.spots
    }

    /// Takes away what a cutter on a move takes.
    pub(crate) fn cut(&mut self, from: Point, leg: &Move, tip: Tip) {
        self.over(from, leg, tip, |spot, lowest| {
            if lowest < spot.stock {
                spot.stock = lowest;
            }
        });
    }

    /// How deep a cutter on a move would be in the wood at the worst place: the place and the
    /// depth, mm; nothing where it is clear of it.
    pub(crate) fn deepest(&mut self, from: Point, leg: &Move, tip: Tip) -> Option<(Point, f64)> {
        let mut worst: Option<(Point, f64)> = None;
        self.over(from, leg, tip, |spot, lowest| {
            let depth = spot.stock - lowest;
            if depth > worst.map_or(0.0, |(_, depth)| depth) {
                worst = Some(([spot.x, spot.y, lowest], depth));
            }
        });
        worst
    }

    fn over(&mut self, from: Point, leg: &Move, tip: Tip, mut each: impl FnMut(&mut Spot, f64)) {
        for piece in straight_pieces(from, leg) {
            self.over_piece(piece, tip, &mut each);
        }
    }

    fn over_piece(&mut self, piece: [Point; 2], tip: Tip, each: &mut impl FnMut(&mut Spot, f64)) {
        let (swept, r) = (Swept::new(piece, tip), tip.radius());
        let [from, to] = piece;
        let (near, far) = (from[0].min(to[0]) - r, from[0].max(to[0]) + r);
        let columns = self.begins.len().saturating_sub(1);
        let column = |x: f64| ((x - self.from_x) / self.column_mm).floor();
        if columns == 0 || column(far) < 0.0 {
            return;
        }
        let (first, last) = (
            column(near).max(0.0) as usize,
            (column(far) as usize).min(columns - 1),
        );
        for index in first..=last {
            let begin = self.from_x + index as f64 * self.column_mm;
            // The part of the way that reaches into this column.
            let [low, high] = across([from, to], begin - r, begin + self.column_mm + r);
            let spots = &mut self.spots[self.begins[index]..self.begins[index + 1]];
            let skipped = spots.partition_point(|spot| spot.y < low - r);
            for spot in &mut spots[skipped..] {
                if spot.y > high + r {
                    break;
                }
                let lowest = swept.lowest(spot.x, spot.y);
                if lowest < f64::INFINITY {
                    each(spot, lowest);
                }
            }
        }
    }
}

/// The least and the greatest y of the part of a straight way between two x.
fn across([from, to]: [Point; 2], near: f64, far: f64) -> [f64; 2] {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    if dx.abs() < 1e-9 {
        return [from[1].min(to[1]), from[1].max(to[1])];
    }
    let share = |x: f64| ((x - from[0]) / dx).clamp(0.0, 1.0);
    let (one, other) = (from[1] + share(near) * dy, from[1] + share(far) * dy);
    [one.min(other), one.max(other)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Judged by stepping along the way in small steps.
    #[test]
    fn the_swept_cutter_is_as_low_as_its_lowest_stand() {
        let ways = [
            [[0.0, 0.0, 2.0], [9.0, 3.0, 1.0]],
            [[4.0, -2.0, 1.0], [-4.0, 2.0, 6.0]],
            [[1.0, 1.0, 3.0], [1.0, 1.0, 0.5]],
            [[0.0, 0.0, 1.0], [0.5, 0.2, 9.0]],
        ];
        for way in ways {
            for tip in [Tip::Ball(3.0), Tip::Flat(2.0)] {
                let swept = Swept::new(way, tip);
                for (x, y) in [(0.3, 0.4), (4.0, 0.0), (-2.0, -1.0), (9.5, 5.0), (1.0, 2.9)] {
                    let exact = swept.lowest(x, y);
                    let mut stepped = f64::INFINITY;
                    for step in 0..=200_000 {
                        let t = f64::from(step) / 200_000.0;
                        let at: Point = std::array::from_fn(|axis| {
                            way[0][axis] + t * (way[1][axis] - way[0][axis])
                        });
                        let away = (x - at[0]).hypot(y - at[1]);
                        if away <= tip.radius() {
                            let up = match tip {
                                Tip::Ball(r) => r - (r * r - away * away).sqrt(),
                                Tip::Flat(_) => 0.0,
                            };
                            stepped = stepped.min(at[2] + up);
                        }
                    }
                    let same = (exact - stepped).abs() < 2e-3 || exact == stepped;
                    let rounding = 1e-12;
                    assert!(
                        same && exact <= stepped + rounding,
                        "{exact} {stepped} {tip:?} {x} {y}"
                    );
                }
            }
        }
    }
}
