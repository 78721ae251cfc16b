//! Effort: how far to rub, and how long it takes.
//!
//! The volume worn away is proportional to force times distance (Archard 1953; Preston 1927 says
//! it point by point): `V = k F s`. The rate k belongs to grade and wood; it is the shop's own.
//! Until stages are logged a stated default stands in, scaled with the grain's diameter and
//! against the wood's hardness: a trend, not a law.

use quantity::{Grade, wood};

use crate::kit::Hand;

/// Default wear rate of P80 on hard maple, mm³ per newton and metre. Our own estimate of hand
/// work, no source: log stages to replace it.
pub const DEFAULT_RATE: f64 = 1.0;
/// Grain diameter of P80, µm, the default's grade (ISO 6344, secondary copy).
const REFERENCE_GRAIN_UM: f64 = 201.0;
/// Side hardness of hard maple at 12 % moisture, N, the default's wood (published 1450 lbf).
const REFERENCE_HARDNESS_N: f64 = 6450.0;
/// From so many logged stages on the shop's own rate is used.
pub const LOGS_NEEDED: usize = 3;

/// A stage that was done and logged.
#[derive(Clone, Debug, PartialEq)]
pub struct LoggedStage {
    /// Volume taken off, mm³.
    pub volume_mm3: f64,
    /// Time it took, minutes.
    pub minutes: f64,
    /// Force on the tool, N, when it was logged; otherwise the kit's own counts.
    pub force_n: Option<f64>,
    /// Grain diameter, µm.
    pub grain_um: f64,
    /// The wood's name; an unknown one counts as the default's.
    pub wood: String,
}

/// The wear rate in use, scaled to P80 on hard maple.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WearRate {
    /// mm³ per newton and metre, for P80 on hard maple.
    pub reference: f64,
    /// Where it comes from.
    pub basis: RateBasis,
}

/// Where a wear rate comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RateBasis {
    /// The stated default: too few stages are logged.
    Default {
        /// Stages logged so far.
        logged: usize,
    },
    /// Fitted to the shop's own stages.
    Fitted {
        /// Stages used.
        logged: usize,
        /// Standard error of the rate, relative to it.
        relative_error: f64,
    },
}

/// What a stage costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// How far the tool must rub, m.
    pub distance_m: f64,
    /// How long that takes at the maker's speed, minutes.
    pub minutes: f64,
}

impl WearRate {
    /// The rate from logged stages by least squares through the origin, or the stated default
    /// when fewer than [`LOGS_NEEDED`] can be used.
    ///
    /// Volume is taken as `k · x` with `x` the newton-metres rubbed, scaled to the default's
    /// grade and wood: `k = Σ x V / Σ x²`.
    pub fn from_logs(logs: &[LoggedStage], hand: Hand) -> Self {
        let points: Vec<(f64, f64)> = logs
            .iter()
            .filter(|log| log.volume_mm3 > 0.0 && log.minutes > 0.0 && log.grain_um > 0.0)
            .map(|log| {
                let force_n = log.force_n.unwrap_or(hand.force_n);
                let rubbed = force_n * hand.speed_m_per_s * 60.0 * log.minutes;
                (rubbed * scale(log.grain_um, &log.wood), log.volume_mm3)
            })
            .collect();
        let logged = points.len();
        let squares: f64 = points.iter().map(|(x, _)| x * x).sum();
        if logged < LOGS_NEEDED || squares <= 0.0 {
            return Self {
                reference: DEFAULT_RATE,
                basis: RateBasis::Default { logged },
            };
        }
        let reference = points.iter().map(|(x, v)| x * v).sum::<f64>() / squares;
        let scatter: f64 = points
            .iter()
            .map(|(x, v)| (v - reference * x).powi(2))
            .sum();
        let variance = scatter / (logged - 1) as f64 / squares;
        let relative_error = variance.sqrt() / reference;
        Self {
            reference,
            basis: RateBasis::Fitted {
                logged,
                relative_error,
            },
        }
    }

    /// The rate for a grade on a wood, mm³ per newton and metre.
    pub fn rate(&self, grade: &Grade, wood_name: &str) -> f64 {
        self.reference * scale(grade.diameter_um.value, wood_name)
    }

    /// What it costs to wear a volume away.
    pub fn effort(&self, volume_mm3: f64, grade: &Grade, wood_name: &str, hand: Hand) -> Effort {
        let distance_m = volume_mm3 / (self.rate(grade, wood_name) * hand.force_n);
        Effort {
            distance_m,
            minutes: distance_m / hand.speed_m_per_s / 60.0,
        }
    }
}

fn scale(grain_um: f64, wood_name: &str) -> f64 {
    let hardness = wood(wood_name)
        .and_then(|wood| wood.hardness_n)
        .map(|figure| figure.value);
    grain_um / REFERENCE_GRAIN_UM * REFERENCE_HARDNESS_N / hardness.unwrap_or(REFERENCE_HARDNESS_N)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HAND: Hand = Hand {
        force_n: 30.0,
        speed_m_per_s: 0.5,
    };

    fn log(volume_mm3: f64, minutes: f64) -> LoggedStage {
        LoggedStage {
            volume_mm3,
            minutes,
            force_n: None,
            grain_um: 201.0,
            wood: "hard maple".into(),
        }
    }

    #[test]
    fn a_planted_rate_is_found_again() {
        let logs: Vec<_> = [2.0, 5.0, 9.0, 4.0]
            .map(|minutes| log(0.7 * 900.0 * minutes, minutes))
            .into();
        let rate = WearRate::from_logs(&logs, HAND);
        assert!((rate.reference * scale_of_maple() / 0.7 - 1.0).abs() < 1e-12);
        assert!(
            matches!(rate.basis, RateBasis::Fitted { logged: 4, relative_error } if relative_error < 1e-9)
        );
    }

    fn scale_of_maple() -> f64 {
        scale(201.0, "hard maple")
    }

    #[test]
    fn a_logged_force_counts_instead_of_the_kits() {
        let with_force = |minutes: f64| LoggedStage {
            force_n: Some(60.0),
            ..log(0.7 * 900.0 * minutes, minutes)
        };
        let rate = WearRate::from_logs(&[2.0, 5.0, 9.0].map(with_force), HAND);
        let kits_own = WearRate::from_logs(&[2.0, 5.0, 9.0].map(|m| log(0.7 * 900.0 * m, m)), HAND);
        assert!((rate.reference / kits_own.reference - 0.5).abs() < 1e-12);
    }

    #[test]
    fn few_logs_leave_the_stated_default() {
        let rate = WearRate::from_logs(&[log(900.0, 1.0), log(0.0, 3.0)], HAND);
        assert_eq!(
            rate,
            WearRate {
                reference: 1.0,
                basis: RateBasis::Default { logged: 1 }
            }
        );
    }

    #[test]
    fn volume_is_rate_times_force_times_distance() {
        let grade = quantity::grade("P80").expect("is in the table");
        let rate = WearRate::from_logs(&[], HAND);
        let effort = rate.effort(4500.0, grade, "", HAND);
        assert!((effort.distance_m - 150.0).abs() < 1e-9);
        assert!((effort.minutes - 5.0).abs() < 1e-9);
    }

    #[test]
    fn finer_grain_and_harder_wood_wear_slower() {
        // Common practice, no source for hand work; published machine sanding agrees in trend
        // (Sydor et al. 2021: P60, P120, P180 take 87, 150, 188 s in softwood).
        let rate = WearRate::from_logs(&[], HAND);
        let of = |name: &str, wood: &str| rate.rate(quantity::grade(name).expect("known"), wood);
        assert!(of("P80", "") > of("P120", "") && of("P120", "") > of("P320", ""));
        assert!(of("P80", "East Indian rosewood") < of("P80", "hard maple"));
    }
}
