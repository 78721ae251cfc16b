//! Where frets lie on a string: the cents that each of them raises the pitch.

/// The pitches of the frets, as cents over the open string, rising.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuning {
    /// How the maker wrote it: `12 equal`, a list, or a file's description.
    pub name: String,
    steps_cents: Vec<f64>,
}

/// Why a tuning cannot be used for frets.
#[derive(Clone, Debug, PartialEq)]
pub enum TuningFault {
    /// The list has no step.
    Empty,
    /// A step does not lie over the one before it: its place from 1, both values in cents.
    Falls {
        /// Place in the list, from 1.
        step: usize,
        /// Cents of the step before.
        before: f64,
        /// Cents of this step.
        cents: f64,
    },
    /// A step is not a finite number of cents within 0 to 12,000: its place from 1.
    OutOfRange {
        /// Place in the list, from 1.
        step: usize,
        /// Cents of this step.
        cents: f64,
    },
}

impl Tuning {
    /// The octave in `divisions` equal steps: fret k lies at `1200 k / n` cents.
    pub fn equal(divisions: u32) -> Self {
        let step = |k: u32| 1200.0 * f64::from(k) / f64::from(divisions.max(1));
        Self {
            name: format!("{divisions} equal"),
            steps_cents: (1..=divisions.max(1)).map(step).collect(),
        }
    }

    /// Unequal steps, in cents over the open string. The last one is the interval after
    /// which the pattern begins again.
    ///
    /// # Errors
    /// When a step does not rise over the one before, or is not a usable number.
    pub fn from_cents(name: String, steps_cents: Vec<f64>) -> Result<Self, TuningFault> {
        if steps_cents.is_empty() {
            return Err(TuningFault::Empty);
        }
        let mut before = 0.0;
        for (index, &cents) in steps_cents.iter().enumerate() {
            let step = index + 1;
            if !(cents.is_finite() && cents.abs() <= 12_000.0) {
                return Err(TuningFault::OutOfRange { step, cents });
            }
            if cents <= before {
                return Err(TuningFault::Falls {
                    step,
                    before,
                    cents,
                });
            }
            before = cents;
        }
        Ok(Self { name, steps_cents })
    }

    /// Cents over the open string at fret `k`; fret 0 is the nut.
    pub fn cents(&self, fret: usize) -> f64 {
        if fret == 0 {
            return 0.0;
        }
        let count = self.steps_cents.len();
        let (periods, step) = ((fret - 1) / count, (fret - 1) % count);
        let period = self.steps_cents.last().copied().unwrap_or(0.0);
        periods as f64 * period + self.steps_cents[step]
    }

    /// The share of the string's length between the nut and fret `k`: `1 - 2^(-c/1200)`.
    pub fn proportion(&self, fret: usize) -> f64 {
        -(-self.cents(fret) / 1200.0 * std::f64::consts::LN_2).exp_m1()
    }

    /// How many steps the pattern has before it begins again.
    pub fn steps(&self) -> usize {
        self.steps_cents.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_equal_steps_halve_the_string_at_the_twelfth() {
        let tuning = Tuning::equal(12);
        // L = 635: check values computed with 30-digit arithmetic apart from this project.
        for (fret, d) in [
            (1, 35.639_811_4),
            (5, 159.287_503),
            (12, 317.5),
            (22, 456.809_15),
        ] {
            assert!(
                (635.0 * tuning.proportion(fret) - d).abs() < 5e-7 * d.max(1.0),
                "fret {fret}"
            );
        }
    }

    #[test]
    fn the_divisor_is_the_published_17_817() {
        // 1/(1 - 2^(-1/12)) = 17.8171537; trade pages print 17.817.
        assert!((1.0 / Tuning::equal(12).proportion(1) - 17.817_153_7).abs() < 5e-8);
    }

    #[test]
    fn a_list_begins_again_after_its_last_step() {
        let tuning = Tuning::from_cents("x".into(), vec![200.0, 500.0, 1200.0]).expect("rises");
        assert_eq!(
            (1..=6).map(|k| tuning.cents(k)).collect::<Vec<_>>(),
            [200.0, 500.0, 1200.0, 1400.0, 1700.0, 2400.0]
        );
    }

    #[test]
    fn a_list_that_falls_is_refused() {
        let fault = Tuning::from_cents("x".into(), vec![200.0, 150.0]).expect_err("falls");
        assert_eq!(
            fault,
            TuningFault::Falls {
                step: 2,
                before: 200.0,
                cents: 150.0
            }
        );
        assert!(Tuning::from_cents("x".into(), vec![f64::NAN]).is_err());
        assert!(Tuning::from_cents("x".into(), vec![]).is_err());
    }
}
