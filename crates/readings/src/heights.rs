//! Heights in bulk: a million readings of a probe added to the normal equations in one pass.
//!
//! Heights over one piece of the net, between one pair of knots of the camber, share the same
//! unknowns. They are laid together once; then each pass takes them batch by batch, column by
//! column, and sums a batch as one product of small matrices, which is what processors do best.

use std::borrow::Cow;

use instrument::camber::Between;
use nalgebra::{DMatrix, DMatrixView, DVector};

use crate::normal::{Normal, PULL_LIMIT, huber};
use crate::reading::{Cloud, Spot};
use crate::wood::{PLANE, Wood};

/// Entries of a row before the datum's: the plane, and two knots of the camber.
const SHAPE: usize = PLANE + 2;

/// Heights in a batch.
const BATCH: usize = 128;

/// The heights of one cloud, laid together by the unknowns that they share.
pub struct Laid<'c> {
    set_up: usize,
    sigma_mm: f64,
    x_mm: Cow<'c, [f64]>,
    y_mm: Cow<'c, [f64]>,
    height_mm: Cow<'c, [f64]>,
    pieces: Vec<Piece>,
}

/// A run of heights that share their unknowns.
#[derive(Clone, Copy, Debug)]
struct Piece {
    start: usize,
    end: usize,
    /// The piece of the net along and across; zero when there is no net.
    along: usize,
    across: usize,
    knots: (usize, usize),
}

/// Which heights of a cloud are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Every(pub usize);

impl<'c> Laid<'c> {
    /// Lays a cloud's heights together: one pass to count, one to move them.
    pub fn of(wood: &Wood<'_>, cloud: &'c Cloud) -> Self {
        if wood.net.is_none() && has_one_pair(wood, cloud) {
            return Self::as_it_is(wood, cloud);
        }
        let across = wood.net.map_or(1, |net| net.across);
        // The two knots' places summed tell the pair.
        let knots = 2 * wood.knots() - 1;
        let key = |index: usize| -> usize {
            let (along, over) = net_piece(wood, spot(cloud, index));
            let (from, to) = pair(wood, cloud.x_mm[index]);
            (along * across + over) * knots + from + to
        };
        let keys: Vec<u32> = (0..cloud.x_mm.len())
            .map(|index| key(index) as u32)
            .collect();
        let count = wood.net.map_or(1, |net| net.along) * across * knots;
        let mut starts = vec![0usize; count + 1];
        for key in &keys {
            starts[*key as usize + 1] += 1;
        }
        for index in 0..count {
            starts[index + 1] += starts[index];
        }
        let mut next = starts.clone();
        let mut moved = [(); 3].map(|()| vec![0.0; keys.len()]);
        for (index, key) in keys.iter().enumerate() {
            let place = &mut next[*key as usize];
            moved[0][*place] = cloud.x_mm[index];
            moved[1][*place] = cloud.y_mm[index];
            moved[2][*place] = cloud.height_mm[index];
            *place += 1;
        }
        let pieces = (0..count)
            .filter(|key| starts[*key] < starts[key + 1])
            .map(|key| Piece {
                start: starts[key],
                end: starts[key + 1],
                along: key / knots / across,
                across: key / knots % across,
                knots: pair(wood, moved[0][starts[key]]),
            })
            .collect();
        let [x_mm, y_mm, height_mm] = moved.map(Cow::Owned);
        Self {
            set_up: cloud.set_up,
            sigma_mm: cloud.sigma_mm,
            x_mm,
            y_mm,
            height_mm,
            pieces,
        }
    }

    fn as_it_is(wood: &Wood<'_>, cloud: &'c Cloud) -> Self {
        let knots = cloud.x_mm.first().map_or((0, 0), |x| pair(wood, *x));
        Self {
            set_up: cloud.set_up,
            sigma_mm: cloud.sigma_mm,
            x_mm: Cow::Borrowed(&cloud.x_mm),
            y_mm: Cow::Borrowed(&cloud.y_mm),
            height_mm: Cow::Borrowed(&cloud.height_mm),
            pieces: if cloud.x_mm.is_empty() {
                Vec::new()
            } else {
                vec![Piece {
                    start: 0,
                    end: cloud.x_mm.len(),
                    along: 0,
                    across: 0,
                    knots,
                }]
            },
        }
    }

    /// Adds these heights to the normal equations at `unknowns`.
    pub fn add(&self, normal: &mut Normal, wood: &Wood<'_>, unknowns: &DVector<f64>, every: Every) {
        for piece in &self.pieces {
            let mut batch = Batch::new(wood, unknowns.as_slice(), piece, self);
            // The same heights are used wherever a piece begins.
            let mut index = piece.start.next_multiple_of(every.0);
            while index < piece.end {
                if batch.take(index) {
                    normal.cost += batch.sum_up();
                }
                index += every.0;
            }
            normal.cost += batch.sum_up();
            batch.scatter(normal);
        }
    }
}

fn spot(cloud: &Cloud, index: usize) -> Spot {
    Spot {
        x_mm: cloud.x_mm[index],
        y_mm: cloud.y_mm[index],
    }
}

/// The knots around a place.
fn pair(wood: &Wood<'_>, x: f64) -> (usize, usize) {
    wood.instrument
        .camber
        .between(x)
        .map_or((0, 0), |Between { from, to, .. }| (from, to))
}

/// True when all heights lie between one pair of knots. The pairs stand in order along the board:
/// the least and the greatest place have them all.
fn has_one_pair(wood: &Wood<'_>, cloud: &Cloud) -> bool {
    let ends = [f64::min, f64::max].map(|end| cloud.x_mm.iter().copied().reduce(end));
    let [least, greatest] = ends.map(|end| end.map(|x| pair(wood, x)));
    least == greatest
}

fn net_piece(wood: &Wood<'_>, spot: Spot) -> (usize, usize) {
    wood.net.map_or((0, 0), |net| {
        let (along, across) = net.place(spot);
        let piece = |share: f64, pieces: usize| ((share * pieces as f64) as usize).min(pieces - 1);
        (piece(along, net.along), piece(across, net.across))
    })
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
    let mut wild: Vec<(usize, f64)> = (0..cloud.x_mm.len())
        .filter_map(|index| {
            let spot = spot(cloud, index);
            let datum = wood.datum(unknowns.as_slice(), cloud.set_up, spot);
            let height = wood.height(unknowns.as_slice(), spot) + datum;
            let residual = (cloud.height_mm[index] - height) / cloud.sigma_mm;
            (residual.abs() > limit).then_some((index, residual))
        })
        .collect();
    wild.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    wild.truncate(most);
    wild
}

/// A figure for each height of a batch.
type Lane = [f64; BATCH];

/// A batch of heights of one piece: places and heights, then a column for each unknown and one
/// for the residual, and the sum of all batches so far.
struct Batch<'a, 'w> {
    wood: &'a Wood<'w>,
    laid: &'a Laid<'a>,
    piece: &'a Piece,
    unknowns: &'a [f64],
    /// Which unknown every column is, the residual left out.
    places: Vec<usize>,
    filled: usize,
    x: Lane,
    y: Lane,
    z: Lane,
    columns: Vec<Lane>,
    sum: DMatrix<f64>,
}

impl<'a, 'w> Batch<'a, 'w> {
    fn new(wood: &'a Wood<'w>, unknowns: &'a [f64], piece: &'a Piece, laid: &'a Laid<'a>) -> Self {
        let places = places(wood, piece, laid.set_up);
        let width = places.len() + 1;
        Self {
            wood,
            laid,
            piece,
            unknowns,
            places,
            filled: 0,
            // What is not filled is a height of this piece too, without weight.
            x: [laid.x_mm[piece.start]; BATCH],
            y: [laid.y_mm[piece.start]; BATCH],
            z: [laid.height_mm[piece.start]; BATCH],
            columns: vec![[0.0; BATCH]; width],
            sum: DMatrix::zeros(width, width),
        }
    }

    /// Takes a height; true when the batch is full.
    #[inline]
    fn take(&mut self, index: usize) -> bool {
        self.x[self.filled] = self.laid.x_mm[index];
        self.y[self.filled] = self.laid.y_mm[index];
        self.z[self.filled] = self.laid.height_mm[index];
        self.filled += 1;
        self.filled == BATCH
    }

    /// Works the waiting heights into the sum; their cost.
    fn sum_up(&mut self) -> f64 {
        if self.filled == 0 {
            return 0.0;
        }
        let heights = self.fill();
        let residual = self.columns.len() - 1;
        let off: Lane = std::array::from_fn(|place| heights[place] - self.z[place]);
        self.columns[residual] = off;
        let (weight, cost) = self.weights(&off);
        for column in &mut self.columns {
            for (entry, weight) in column.iter_mut().zip(&weight) {
                *entry *= weight;
            }
        }
        let flat = self.columns.as_flattened();
        let rows = DMatrixView::from_slice(flat, BATCH, self.columns.len());
        self.sum.gemm(1.0, &rows.transpose(), &rows, 1.0);
        self.filled = 0;
        cost
    }

    /// Roots of the weights over sigma, nothing for what is not filled; and the cost.
    fn weights(&self, off: &Lane) -> (Lane, f64) {
        let per_sigma = 1.0 / self.laid.sigma_mm;
        let mut weight = [per_sigma; BATCH];
        weight[self.filled..].fill(0.0);
        let wild = off.iter().any(|off| (off * per_sigma).abs() > PULL_LIMIT);
        if !wild {
            let squares: f64 = off[..self.filled].iter().map(|off| off * off).sum();
            return (weight, 0.5 * squares * per_sigma * per_sigma);
        }
        let mut cost = 0.0;
        for (weight, off) in weight.iter_mut().zip(off).take(self.filled) {
            let (dear, share) = huber(off * per_sigma);
            cost += dear;
            *weight = share.sqrt() * per_sigma;
        }
        (weight, cost)
    }

    /// Fills the columns, each in one even loop over the batch, and tells the heights that the
    /// unknowns give.
    fn fill(&mut self) -> Lane {
        let per_neck = self.wood.along(1.0);
        let (x, y) = (self.x, self.y);
        let u: Lane = std::array::from_fn(|place| x[place] * per_neck);
        let mut heights = [0.0; BATCH];
        let camber = &self.wood.instrument.camber;
        if self.wood.expected.fall_made && camber.fall_away.is_some() {
            heights = std::array::from_fn(|place| -camber.fall(x[place]));
        }
        let ones = [1.0; BATCH];
        let turned: Lane = std::array::from_fn(|place| u[place] * y[place]);
        let bowed: Lane = std::array::from_fn(|place| 4.0 * u[place] * (1.0 - u[place]));
        for (column, share) in [&ones, &u, &y, &turned, &bowed].into_iter().enumerate() {
            self.column(column, &mut heights, share);
        }
        self.arch(&mut heights);
        let mut next = SHAPE;
        if self.laid.set_up < self.wood.set_ups() {
            for share in [&ones, &u, &y] {
                self.column(next, &mut heights, share);
                next += 1;
            }
        }
        self.net(next, &mut heights);
        heights
    }

    /// One column: an unknown's share of every height.
    #[inline]
    fn column(&mut self, column: usize, heights: &mut Lane, share: &Lane) {
        let unknown = self.places[column];
        let (centre, scale) = self.wood.assumed(unknown);
        let figure = centre + scale * self.unknowns[unknown];
        let entries = &mut self.columns[column];
        for place in 0..BATCH {
            heights[place] += share[place] * figure;
            entries[place] = share[place] * scale;
        }
    }

    /// The arch, with its two columns: `y²/(s(1+s))` by the curvature, `κ y²/(1+s)` deep, with
    /// s = sqrt(1 - κ²y²) as in [`instrument::arc`].
    fn arch(&mut self, heights: &mut Lane) {
        let arch = self
            .wood
            .arch_over(self.unknowns, self.piece.knots, &self.x);
        let (first, second) = self.piece.knots;
        let scales = [first, second].map(|knot| self.wood.assumed(PLANE + knot).1);
        let mut bend = [0.0; BATCH];
        for place in 0..BATCH {
            let y = self.y[place];
            let reach = arch.curvature[place] * y;
            let root = (1.0 - reach * reach).sqrt();
            let part = y / (root * (1.0 + root));
            heights[place] -= reach * root * part;
            bend[place] = -y * part;
        }
        for (side, scale) in scales.into_iter().enumerate() {
            let (by, entries) = (&arch.by_knots[side], &mut self.columns[PLANE + side]);
            for place in 0..BATCH {
                entries[place] = bend[place] * by[place] * scale;
            }
        }
    }

    /// The sixteen columns of the net, from column `next` on.
    fn net(&mut self, next: usize, heights: &mut Lane) {
        let Some(net) = self.wood.net else { return };
        let scale = self.wood.net_scale();
        let (mut along, mut across) = ([0.0; BATCH], [0.0; BATCH]);
        for place in 0..BATCH {
            let (x_mm, y_mm) = (self.x[place], self.y[place]);
            let (long, wide) = net.place(Spot { x_mm, y_mm });
            along[place] = long * net.along as f64 - self.piece.along as f64;
            across[place] = wide * net.across as f64 - self.piece.across as f64;
        }
        let (wide, high) = (splines(&along), splines(&across));
        for i in 0..16 {
            let unknown = self.unknowns[self.places[next + i]];
            let (wide, high) = (&wide[i / 4], &high[i % 4]);
            let entries = &mut self.columns[next + i];
            for place in 0..BATCH {
                let step = wide[place] * high[place] * scale;
                heights[place] += step * unknown;
                entries[place] = step;
            }
        }
    }

    /// Adds the sum of all batches to the normal equations.
    fn scatter(&self, normal: &mut Normal) {
        let residual = self.places.len();
        for (i, place) in self.places.iter().copied().enumerate() {
            normal.slope[place] += self.sum[(i, residual)];
            for (j, other) in self.places.iter().copied().enumerate() {
                // Only the lower triangle counts. Two entries of a row may be the same unknown.
                if other <= place {
                    normal.matrix[(place, other)] += self.sum[(i, j)];
                }
            }
        }
    }
}

/// The four splines of [`crate::net::weights`] at many places of one piece, 0 to 1.
fn splines(place: &Lane) -> [Lane; 4] {
    let sixth = 1.0 / 6.0;
    let mut splines = [[0.0; BATCH]; 4];
    for index in 0..BATCH {
        let u = place[index];
        let v = 1.0 - u;
        splines[0][index] = sixth * v * v * v;
        splines[1][index] = sixth * (4.0 - 6.0 * u * u + 3.0 * u * u * u);
        splines[2][index] = sixth * (4.0 - 6.0 * v * v + 3.0 * v * v * v);
        splines[3][index] = sixth * u * u * u;
    }
    splines
}

/// Which unknown every column of a piece's batches is.
fn places(wood: &Wood<'_>, piece: &Piece, set_up: usize) -> Vec<usize> {
    let (first, second) = piece.knots;
    let mut places: Vec<usize> = (0..PLANE).chain([PLANE + first, PLANE + second]).collect();
    if set_up < wood.set_ups() {
        let first = wood.set_up_at(set_up);
        places.extend(first..first + 3);
    }
    if let Some(net) = wood.net {
        let stride = net.across + 3;
        let corner = wood.net_at() + piece.along * stride + piece.across;
        places.extend((0..16).map(|place| corner + place / 4 * stride + place % 4));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn splines_side_by_side_are_the_splines() {
        let place: Lane = std::array::from_fn(|index| index as f64 / BATCH as f64);
        let splines = splines(&place);
        for (index, place) in place.iter().enumerate() {
            let (_, alone) = crate::net::weights(*place, 1);
            for (side, alone) in splines.iter().zip(alone) {
                assert!((side[index] - alone).abs() < 1e-15);
            }
        }
    }
}
