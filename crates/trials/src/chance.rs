//! A small generator of chance whose seed is an argument.

/// A stream of pseudo-random numbers: the same seed gives the same stream on every machine.
///
/// The step is splitmix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014, figure 17; constants from memory).
#[derive(Clone, Debug)]
pub struct Chance {
    state: u64,
}

impl Chance {
    /// A stream of its own for every seed.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 up to, not including, 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number from `least` to `most`.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + self.share() * (most - least)
    }

    /// A positive number from `least` to `most`, spread evenly over the orders of magnitude.
    pub fn in_proportion(&mut self, least: f64, most: f64) -> f64 {
        self.between(least.ln(), most.ln()).exp()
    }

    /// A whole number from `least` to `most`, both included.
    pub fn whole(&mut self, least: usize, most: usize) -> usize {
        least + (self.bits() % (most - least + 1) as u64) as usize
    }

    /// A number from the standard bell: radius times cosine, after Box and Muller
    /// (Annals of Mathematical Statistics 29, 610, 1958).
    pub fn bell(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (2.0 * std::f64::consts::PI * self.share()).cos()
    }

    /// True so many times out of a hundred.
    pub fn percent(&mut self, often: u64) -> bool {
        self.bits() % 100 < often
    }

    /// One of a few; the list must not be empty.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.whole(0, from.len() - 1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_gives_one_stream_and_another_seed_another() {
        let take = |seed| -> Vec<u64> {
            let mut chance = Chance::new(seed);
            (0..8).map(|_| chance.bits()).collect()
        };
        assert_eq!(take(7), take(7));
        assert_ne!(take(7), take(8));
    }

    #[test]
    fn shares_fill_the_range_evenly() {
        // The mean of 100,000 even shares is 1/2 with a standard error of 0.0009.
        let mut chance = Chance::new(1);
        let mean = (0..100_000).map(|_| chance.share()).sum::<f64>() / 1e5;
        assert!((mean - 0.5).abs() < 0.005, "{mean}");
        assert!((0..1000).all(|_| (3..=5).contains(&chance.whole(3, 5))));
    }
}
