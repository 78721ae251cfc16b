//! The fret tops: as planned, as the measured wood would carry them, or as measured themselves.

use instrument::Instrument;
use readings::Spot;
use readings::measured::Measured;

/// What the fret tops rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The finished surface as planned, every fret the same.
    Planned,
    /// The wood as read in a visit, every fret the same.
    Wood,
    /// The fret tops as read themselves.
    Frets,
}

/// The fret tops over the whole board.
#[derive(Clone, Debug)]
pub struct Tops<'a> {
    /// The board.
    pub instrument: &'a Instrument,
    /// What they rest on.
    pub basis: Basis,
    /// How far the top at `[lane][fret]` stands over the planned one, mm. Fret 0 is the wood
    /// at the nut.
    pub departure_mm: Vec<Vec<f64>>,
    /// Covariance of the departures within each lane, mm², row by row over nut and frets; empty
    /// when they are taken as exact.
    pub covariance_mm2: Vec<Vec<f64>>,
}

impl<'a> Tops<'a> {
    /// The tops of the planned surface.
    pub fn planned(instrument: &'a Instrument) -> Self {
        let stops = instrument.frets.len();
        Self {
            instrument,
            basis: Basis::Planned,
            departure_mm: vec![vec![0.0; stops]; instrument.lanes.len()],
            covariance_mm2: vec![Vec::new(); instrument.lanes.len()],
        }
    }

    /// The tops that the measured wood would carry if it were fretted as it is.
    ///
    /// How the face lies in space is nobody's departure: its mean height, pitch and roll are taken
    /// out.
    pub fn of_wood(instrument: &'a Instrument, measured: &Measured<'_>) -> Self {
        let mut tops = Self::planned(instrument);
        tops.basis = Basis::Wood;
        let mut spots = Vec::new();
        for (lane, departures) in instrument.lanes.iter().zip(&mut tops.departure_mm) {
            let sums: Vec<_> = instrument
                .frets
                .iter()
                .map(|line| {
                    let (x_mm, y_mm) = lane.cross(*line);
                    spots.push((x_mm, y_mm));
                    (measured.sum(&[(Spot { x_mm, y_mm }, 1.0)]), x_mm, y_mm)
                })
                .collect();
            for ((sum, x, y), departure) in sums.iter().zip(departures.iter_mut()) {
                *departure = sum.value - instrument.camber.height(*x, *y);
            }
            let images: Vec<_> = sums
                .iter()
                .map(|(sum, ..)| measured.image(&sum.row))
                .collect();
            let covariance = images.iter().flat_map(|image| {
                sums.iter().map(|(sum, ..)| {
                    sum.row
                        .iter()
                        .map(|(index, by)| by * image[*index])
                        .sum::<f64>()
                })
            });
            let covariance: Vec<f64> = covariance.collect();
            let lane_index = spots.len() / instrument.frets.len() - 1;
            tops.covariance_mm2[lane_index] = covariance;
        }
        level(&mut tops.departure_mm, &spots);
        tops
    }

    /// Covariance of two tops of a lane, mm².
    pub fn covariance(&self, lane: usize, one: usize, other: usize) -> f64 {
        let stops = self.instrument.frets.len();
        self.covariance_mm2
            .get(lane)
            .and_then(|lane| lane.get(one * stops + other))
            .copied()
            .unwrap_or(0.0)
    }

    /// True when the tops are not taken as exact.
    pub fn is_uncertain(&self) -> bool {
        self.covariance_mm2.iter().any(|lane| !lane.is_empty())
    }

    /// How far a fret's top stands over the planned one at a place across, mm: straight between
    /// lanes, held outside them.
    pub fn departure_at(&self, fret: usize, y_mm: f64) -> f64 {
        if self.basis == Basis::Planned {
            return 0.0;
        }
        let line = self.instrument.frets[fret];
        let place = |lane: usize| self.instrument.lanes[lane].cross(line).1;
        let value = |lane: usize| self.departure_mm[lane][fret];
        let lanes = self.instrument.lanes.len();
        if lanes < 2 || y_mm >= place(0) {
            return value(0);
        }
        for lane in 1..lanes {
            let (above, below) = (place(lane - 1), place(lane));
            if y_mm >= below {
                let share = (above - y_mm) / (above - below);
                return value(lane - 1) + share * (value(lane) - value(lane - 1));
            }
        }
        value(lanes - 1)
    }

    /// The top of a fret at a place across, mm over the finished wood's crown at the nut.
    pub fn height(&self, fret: usize, y_mm: f64) -> f64 {
        let instrument = self.instrument;
        let x_mm = instrument.frets[fret].x_at(y_mm);
        instrument.camber.height(x_mm, y_mm)
            + instrument.fret_spec.crown_height_mm
            + self.departure_at(fret, y_mm)
    }
}

/// Takes the plane that fits best out of departures.
fn level(departures: &mut [Vec<f64>], spots: &[(f64, f64)]) {
    let mut sums = nalgebra::Matrix3::<f64>::zeros();
    let mut right = nalgebra::Vector3::<f64>::zeros();
    let values = departures.iter().flatten();
    for ((x, y), value) in spots.iter().zip(values) {
        let row = nalgebra::Vector3::new(1.0, *x, *y);
        sums += row * row.transpose();
        right += row * *value;
    }
    // One lane on the centreline tells no roll: the least norm leaves it at nothing.
    let Ok(plane) = sums.svd(true, true).solve(&right, 1e-12) else {
        return;
    };
    let values = departures.iter_mut().flatten();
    for ((x, y), value) in spots.iter().zip(values) {
        *value -= plane[0] + plane[1] * x + plane[2] * y;
    }
}
