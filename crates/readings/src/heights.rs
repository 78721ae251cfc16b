//! Heights in bulk: a million readings of a probe added to the normal equations in one pass.
//!
//! All heights over one piece of the net share the same unknowns. They are gathered by piece and
//! summed batch by batch as products of small matrices, which is what processors do best.

use instrument::Radius;
use instrument::arc::{drop, drop_by_curvature};
use nalgebra::{DMatrix, DVector};

use crate::normal::{Normal, PULL_LIMIT, huber};
use crate::reading::{Cloud, Spot};
use crate::wood::{PLANE, Wood};

/// Entries of a row before the datum's: the plane, and two knots of the camber.
const SHAPE: usize = PLANE + 2;

/// The longest row: the shape, a datum, sixteen of the net, and the residual.
const LONGEST: usize = SHAPE + 3 + 16 + 1;

/// Heights in a batch.
const BATCH: usize = 64;

/// Which heights of a cloud are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Every(pub usize);

/// Adds a cloud to the normal equations at `unknowns`.
pub fn add_cloud(
    normal: &mut Normal,
    wood: &Wood<'_>,
    unknowns: &DVector<f64>,
    cloud: &Cloud,
    every: Every,
) {
    let reach = Reach::new(wood, cloud.set_up);
    let mut pieces: Vec<Option<Piece>> = vec![None; reach.pieces()];
    let per_sigma = 1.0 / cloud.sigma_mm;
    for index in (0..cloud.x_mm.len()).step_by(every.0) {
        let mut row = [0.0; LONGEST];
        let (at, height) = reach.row(unknowns.as_slice(), spot(cloud, index), &mut row);
        let residual = (height - cloud.height_mm[index]) * per_sigma;
        let (cost, weight) = huber(residual);
        normal.cost += cost;
        row[reach.width - 1] = height - cloud.height_mm[index];
        pieces[at]
            .get_or_insert_with(|| Piece::new(reach.width))
            .add(&row[..reach.width], weight.sqrt() * per_sigma);
    }
    for (at, piece) in pieces.into_iter().enumerate() {
        if let Some(piece) = piece {
            reach.scatter(&piece.sum(), at, normal);
        }
    }
}

fn spot(cloud: &Cloud, index: usize) -> Spot {
    Spot {
        x_mm: cloud.x_mm[index],
        y_mm: cloud.y_mm[index],
    }
}

/// Heights that lie far from what the wood is found to be, as `(index, residual)` in standard
/// uncertainties, furthest first; at most `most`.
pub fn wild_heights(
    wood: &Wood<'_>,
    unknowns: &DVector<f64>,
    cloud: &Cloud,
    limit: f64,
    most: usize,
) -> Vec<(usize, f64)> {
    let reach = Reach::new(wood, cloud.set_up);
    let mut wild: Vec<(usize, f64)> = (0..cloud.x_mm.len())
        .filter_map(|index| {
            let mut row = [0.0; LONGEST];
            let (_, height) = reach.row(unknowns.as_slice(), spot(cloud, index), &mut row);
            let residual = (cloud.height_mm[index] - height) / cloud.sigma_mm;
            (residual.abs() > limit.max(PULL_LIMIT)).then_some((index, residual))
        })
        .collect();
    wild.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    wild.truncate(most);
    wild
}

/// Rows of heights over one piece of the net, between one pair of knots.
#[derive(Clone)]
struct Piece {
    /// A column for each height that waits.
    waiting: DMatrix<f64>,
    filled: usize,
    sum: DMatrix<f64>,
}

impl Piece {
    fn new(width: usize) -> Self {
        Self {
            waiting: DMatrix::zeros(width, BATCH),
            filled: 0,
            sum: DMatrix::zeros(width, width),
        }
    }

    /// Adds a row, times `factor`.
    fn add(&mut self, row: &[f64], factor: f64) {
        let mut column = self.waiting.column_mut(self.filled);
        for (place, value) in column.iter_mut().zip(row) {
            *place = factor * value;
        }
        self.filled += 1;
        if self.filled == BATCH {
            self.sum
                .gemm(1.0, &self.waiting, &self.waiting.transpose(), 1.0);
            self.filled = 0;
        }
    }

    /// The sum of all outer products; its last row is the slope, because a row's last entry is
    /// the residual.
    fn sum(mut self) -> DMatrix<f64> {
        let rest = self.waiting.columns(0, self.filled);
        self.sum.gemm(1.0, &rest, &rest.transpose(), 1.0);
        self.sum
    }
}

/// The wood as one set-up of the probe sees it.
struct Reach<'a, 'b> {
    wood: &'a Wood<'b>,
    set_up: Option<usize>,
    scale: Vec<f64>,
    centre: Vec<f64>,
    across: usize,
    knots: usize,
    /// Length of a row, its residual included.
    width: usize,
}

impl<'a, 'b> Reach<'a, 'b> {
    fn new(wood: &'a Wood<'b>, set_up: usize) -> Self {
        let assumed = (0..wood.net_at()).map(|index| wood.assumed(index));
        let (centre, scale) = assumed.unzip();
        let set_up = (set_up < wood.set_ups()).then_some(set_up);
        let datum = set_up.map_or(0, |_| 3);
        let net = wood.net.map_or(0, |_| 16);
        Self {
            wood,
            set_up,
            scale,
            centre,
            across: wood.net.map_or(1, |net| net.across),
            knots: wood.knots(),
            width: SHAPE + datum + net + 1,
        }
    }

    fn pieces(&self) -> usize {
        self.wood.net.map_or(1, |net| net.along * net.across) * self.knots
    }

    /// Fills the row of a height, and tells its piece and the height that the unknowns give.
    #[inline]
    fn row(&self, unknowns: &[f64], spot: Spot, row: &mut [f64; LONGEST]) -> (usize, f64) {
        let Spot { x_mm: x, y_mm: y } = spot;
        let wood = self.wood;
        let u = wood.along(x);
        let figure = |index: usize| self.centre[index] + self.scale[index] * unknowns[index];
        let plane = [1.0, u, y, u * y, 4.0 * u * (1.0 - u)];
        let arch = wood.arch(unknowns, x);
        let radius = Radius::from_mm(1.0 / arch.curvature);
        let mut height = -drop(radius, y) - wood.standing(x);
        for index in 0..PLANE {
            height += plane[index] * figure(index);
            row[index] = plane[index] * self.scale[index];
        }
        let bend = -drop_by_curvature(radius, y);
        for (place, (knot, share)) in arch.by_knots.into_iter().enumerate() {
            row[PLANE + place] = bend * share * self.scale[PLANE + knot];
        }
        let mut next = SHAPE;
        if let Some(set_up) = self.set_up {
            let first = wood.set_up_at(set_up);
            for (place, share) in [1.0, u, y].into_iter().enumerate() {
                height += share * figure(first + place);
                row[next + place] = share * self.scale[first + place];
            }
            next += 3;
        }
        let mut piece = 0;
        if let Some(net) = &wood.net {
            let scale = wood.net_scale();
            let first = wood.net_at();
            let share = net.share(spot);
            for (place, (coefficient, share)) in share.into_iter().enumerate() {
                let step = share * scale;
                height += step * unknowns[first + coefficient];
                row[next + place] = step;
            }
            let corner = share[0].0;
            piece = corner / (self.across + 3) * self.across + corner % (self.across + 3);
        }
        (piece * self.knots + arch.by_knots[0].0, height)
    }

    /// Adds a piece's sums to the normal equations.
    fn scatter(&self, sum: &DMatrix<f64>, at: usize, normal: &mut Normal) {
        let places = self.places(at);
        for (i, place) in places.iter().copied().enumerate() {
            normal.slope[place] += sum[(i, places.len())];
            for (j, other) in places.iter().copied().enumerate() {
                // Only the lower triangle counts. Two entries of a row may be the same unknown.
                if other <= place {
                    normal.matrix[(place, other)] += sum[(i, j)];
                }
            }
        }
    }

    /// Which unknown every entry of a piece's rows is, the residual left out.
    fn places(&self, at: usize) -> Vec<usize> {
        let (piece, knot) = (at / self.knots, at % self.knots);
        // Where the radius is held the second knot's entry is nothing, whatever unknown it is.
        let next_knot = (knot + 1).min(self.knots - 1);
        let mut places: Vec<usize> = (0..PLANE)
            .chain([PLANE + knot, PLANE + next_knot])
            .collect();
        if let Some(set_up) = self.set_up {
            let first = self.wood.set_up_at(set_up);
            places.extend(first..first + 3);
        }
        if self.wood.net.is_some() {
            let stride = self.across + 3;
            let corner = self.wood.net_at() + piece / self.across * stride + piece % self.across;
            places.extend((0..16).map(|place| corner + place / 4 * stride + place % 4));
        }
        places
    }
}
