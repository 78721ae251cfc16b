//! A small generator of repeatable chance for the tests.

/// SplitMix64: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014, doi 10.1145/2660193.2660195.
pub struct Chance(u64);

#[allow(dead_code, reason = "each test file uses a part of this")]
impl Chance {
    pub fn from_seed(seed: u64) -> Self {
        Chance(seed)
    }

    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.bits() % count as u64) as usize
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let part = (self.bits() >> 11) as f64 / (1u64 << 53) as f64;
        low + part * (high - low)
    }
}
