//! A figure for each of several necks side by side, reckoned with as if it were one.

use std::ops::{Add, Mul, Sub};

/// Necks side by side.
pub(super) const SIDE: usize = 16;

/// One figure for each neck of a block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lot(pub [f32; SIDE]);

impl Lot {
    pub const ZERO: Lot = Lot::of(0.0);

    /// The same figure for every neck.
    pub const fn of(value: f32) -> Self {
        Self([value; SIDE])
    }

    #[inline]
    pub fn map(mut self, f: impl Fn(f32) -> f32) -> Self {
        for value in &mut self.0 {
            *value = f(*value);
        }
        self
    }

    /// Two lots together, neck by neck.
    #[inline]
    pub fn with(mut self, other: Lot, f: impl Fn(f32, f32) -> f32) -> Self {
        // By reference: an array that is iterated by value keeps a processor from doing all at once.
        for (value, other) in self.0.iter_mut().zip(&other.0) {
            *value = f(*value, *other);
        }
        self
    }

    /// Adds a multiple of another lot. In place: the innermost loops are made of this.
    #[inline]
    pub fn add(&mut self, by: f32, other: &Lot) {
        for (value, other) in self.0.iter_mut().zip(&other.0) {
            *value += by * other;
        }
    }

    /// The lesser figure of each neck. Unlike `f32::min` it asks nothing about what is no number,
    /// so that a processor does it in one step.
    #[inline]
    pub fn least(self, other: Lot) -> Self {
        self.with(other, |a, b| if b < a { b } else { a })
    }
}

impl Add for Lot {
    type Output = Lot;

    #[inline]
    fn add(self, other: Lot) -> Lot {
        self.with(other, |a, b| a + b)
    }
}

impl Sub for Lot {
    type Output = Lot;

    #[inline]
    fn sub(self, other: Lot) -> Lot {
        self.with(other, |a, b| a - b)
    }
}

impl Mul<f32> for Lot {
    type Output = Lot;

    #[inline]
    fn mul(self, by: f32) -> Lot {
        self.map(|value| value * by)
    }
}
