//! Chance as an argument: bells drawn from a seed, several necks side by side.
//!
//! The generator is xoshiro128++ (D. Blackman and S. Vigna, "Scrambled linear pseudorandom number
//! generators", ACM Trans. Math. Softw. 47, 36, 2021, doi 10.1145/3460772), one for each neck of a
//! block, so that a processor draws for all of them at once. Seeds are spread by SplitMix64 as its
//! authors advise. Bells come two at a time from two even numbers (G. E. P. Box and M. E. Muller,
//! Ann. Math. Statist. 29, 610, 1958, doi 10.1214/aoms/1177706645).

use super::lot::{Lot, SIDE};

/// Bells for a block of necks.
pub(super) struct Bells {
    state: [[u32; SIDE]; 4],
    spare: Option<Lot>,
}

impl Bells {
    /// The bells of a stream: equal keys give equal bells.
    pub fn new(keys: [u64; 4]) -> Self {
        let mut mixed = 0u64;
        for key in keys {
            mixed = split_mix(mixed ^ key).1;
        }
        let mut state = [[0; SIDE]; 4];
        for neck in 0..SIDE {
            for word in &mut state {
                let (next, value) = split_mix(mixed);
                mixed = next;
                word[neck] = (value >> 32) as u32;
            }
            // All four words zero would stand still.
            state[0][neck] |= 1;
        }
        Self { state, spare: None }
    }

    /// Standard bells, one for each neck.
    pub fn next(&mut self) -> Lot {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let (first, second) = (self.bits(), self.bits());
        let (mut one, mut other) = (Lot::ZERO, Lot::ZERO);
        for neck in 0..SIDE {
            // Even numbers in (0, 1] and in [-1/2, 1/2).
            let length = (-2.0 * log(above_zero(first[neck]))).sqrt();
            let (sin, cos) = sine_cosine(around_zero(second[neck]));
            one.0[neck] = length * cos;
            other.0[neck] = length * sin;
        }
        self.spare = Some(other);
        one
    }

    fn bits(&mut self) -> [u32; SIDE] {
        let mut out = [0; SIDE];
        let [a, b, c, d] = &mut self.state;
        for neck in 0..SIDE {
            let sum = a[neck].wrapping_add(d[neck]);
            out[neck] = sum.rotate_left(7).wrapping_add(a[neck]);
            let moved = b[neck] << 9;
            c[neck] ^= a[neck];
            d[neck] ^= b[neck];
            b[neck] ^= c[neck];
            a[neck] ^= d[neck];
            c[neck] ^= moved;
            d[neck] = d[neck].rotate_left(11);
        }
        out
    }
}

/// SplitMix64: the next state and a mixed value.
fn split_mix(state: u64) -> (u64, u64) {
    let next = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut value = next;
    value = (value ^ (value >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    value = (value ^ (value >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    (next, value ^ (value >> 31))
}

/// The upper 24 bits as a number in (0, 1].
fn above_zero(bits: u32) -> f32 {
    ((bits >> 8) as i32 + 1) as f32 * (1.0 / 16_777_216.0)
}

/// The upper 24 bits as a number in [-1/2, 1/2).
fn around_zero(bits: u32) -> f32 {
    (bits >> 8) as i32 as f32 * (1.0 / 16_777_216.0) - 0.5
}

/// Natural logarithm of a number in (0, 1], to about 1e-6: the exponent apart, and the series of
/// `2 artanh((m - 1)/(m + 1))` over a mantissa near one.
fn log(value: f32) -> f32 {
    let bits = value.to_bits() as i32;
    // Between √½ and √2, so that the series is short.
    let exponent = (bits - 0x3f35_04f3) >> 23;
    let mantissa = f32::from_bits((bits - (exponent << 23)) as u32);
    let ratio = (mantissa - 1.0) / (mantissa + 1.0);
    let square = ratio * ratio;
    let series = 2.0 + square * (2.0 / 3.0 + square * (2.0 / 5.0 + square * (2.0 / 7.0)));
    ratio * series + exponent as f32 * std::f32::consts::LN_2
}

/// Sine and cosine of a whole turn times a number in [-1/2, 1/2): sine and cosine of half that
/// angle by their series, doubled.
fn sine_cosine(turn: f32) -> (f32, f32) {
    let half = std::f32::consts::PI * turn;
    let square = half * half;
    let sin = half
        * (1.0
            + square
                * (-1.0 / 6.0
                    + square
                        * (1.0 / 120.0 + square * (-1.0 / 5040.0 + square * (1.0 / 362_880.0)))));
    let cos = 1.0
        + square
            * (-0.5
                + square
                    * (1.0 / 24.0
                        + square
                            * (-1.0 / 720.0
                                + square * (1.0 / 40_320.0 - square * (1.0 / 3_628_800.0)))));
    (2.0 * sin * cos, 1.0 - 2.0 * sin * sin)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_functions_are_those_of_the_library() {
        for step in 1..=4000 {
            let value = step as f32 / 4000.0;
            assert!((log(value) - value.ln()).abs() < 2e-6, "{value}");
            let turn = value - 0.5;
            let angle = 2.0 * std::f32::consts::PI * turn;
            let (sin, cos) = sine_cosine(turn);
            assert!((sin - angle.sin()).abs() < 2e-5, "{turn}");
            assert!((cos - angle.cos()).abs() < 2e-5, "{turn}");
        }
        assert!((log(f32::powi(2.0, -24)) - f32::powi(2.0, -24).ln()).abs() < 1e-5);
    }

    #[test]
    fn bells_have_their_moments_and_shares() {
        let mut bells = Bells::new([1, 2, 3, 4]);
        let count = 40_000;
        let values: Vec<f64> = (0..count / SIDE)
            .flat_map(|_| bells.next().0)
            .map(f64::from)
            .collect();
        let mean = |power: i32| values.iter().map(|v| v.powi(power)).sum::<f64>() / count as f64;
        // Moments of the bell: 0, 1, 0, 3; four standard errors of each.
        let error = |variance: f64| 4.0 * (variance / count as f64).sqrt();
        assert!(mean(1).abs() < error(1.0), "{}", mean(1));
        assert!((mean(2) - 1.0).abs() < error(2.0), "{}", mean(2));
        assert!(mean(3).abs() < error(15.0), "{}", mean(3));
        assert!((mean(4) - 3.0).abs() < error(96.0), "{}", mean(4));
        // Abramowitz and Stegun, table 26.1: 2.2750 % lie below -2.
        let below = values.iter().filter(|v| **v < -2.0).count() as f64 / count as f64;
        assert!((below - 0.022_750).abs() < error(0.0222), "{below}");
    }

    #[test]
    fn streams_differ_and_repeat() {
        let draw = |keys| Bells::new(keys).next();
        assert_eq!(draw([1, 0, 0, 0]), draw([1, 0, 0, 0]));
        assert_ne!(draw([1, 0, 0, 0]), draw([0, 1, 0, 0]));
        assert_ne!(draw([1, 0, 0, 0]), draw([1, 0, 0, 1]));
    }
}
