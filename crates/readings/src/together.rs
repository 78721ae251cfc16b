//! What these readings do not tell: figures about which nothing was learned, and pairs that
//! cannot be told apart.

use crate::figures::Told;
use crate::measured::Measured;
use crate::normal::along;
use crate::reading::Visit;
use crate::wood::Row;

/// Something that the readings do not tell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Untold {
    /// Next to nothing was learned of this figure, by its place in the list of figures.
    Figure(usize),
    /// These two figures can each be almost anything, but not apart from one another.
    Pair(usize, usize),
    /// The crown's height and a set-up's datum cannot be told apart: no thickness was read.
    Datum(String),
}

/// A figure of whose doubt more than this share is left was not read.
const DOUBT_LEFT: f64 = 0.8;

/// Two figures that follow one another closer than this cannot be told apart.
const CORRELATED: f64 = 0.95;

/// What is not told.
pub fn untold(measured: &Measured<'_>, told: &[Told], visit: &Visit) -> Vec<Untold> {
    let rows: Vec<Row> = told
        .iter()
        .map(|told| measured.sum(&told.spots).row)
        .collect();
    let mut untold: Vec<Untold> = (0..told.len())
        .filter(|index| told[*index].doubt_left > DOUBT_LEFT)
        .map(Untold::Figure)
        .collect();
    for (i, first) in rows.iter().enumerate() {
        let image = measured.image(first);
        let variance = along(first, &image);
        for (j, second) in rows.iter().enumerate().skip(i + 1) {
            let known = [i, j].iter().any(|index| told[*index].doubt_left < 0.3);
            let both = variance * measured.variance(second);
            let correlation = along(second, &image) / both.sqrt().max(f64::MIN_POSITIVE);
            if !known && correlation.abs() > CORRELATED {
                untold.push(Untold::Pair(i, j));
            }
        }
    }
    untold.extend(untold_datums(measured, visit));
    untold
}

/// Set-ups whose datum follows the crown's height all the way.
fn untold_datums(measured: &Measured<'_>, visit: &Visit) -> Vec<Untold> {
    let wood = measured.wood();
    let covariance = &measured.known.covariance;
    (0..wood.set_ups())
        .filter(|set_up| {
            let (level, datum) = (0, wood.set_up_at(*set_up));
            let both = covariance[(level, level)] * covariance[(datum, datum)];
            covariance[(level, datum)] < -CORRELATED * both.sqrt()
        })
        .map(|set_up| Untold::Datum(visit.set_ups[set_up].clone()))
        .collect()
}
