//! Coverage: how often 95 % intervals hold the truth, counted on boards whose truth is known.

use std::collections::BTreeMap;

use bench::{Kit, read_kit};
use instrument::{Instrument, read_commission};
use readings::figures::figures;
use readings::fit::Problem;
use readings::measured::Measured;
use readings::reading::Spot;
use readings::reading::Visit;

use crate::chance::Chance;
use crate::draw::{kit_for, ordinary_board};
use crate::visit::{Mixture, Shop, draw_truth, set_ups, wood};

/// Hits and tries of one figure.
#[derive(Clone, Copy, Debug, Default)]
pub struct Count {
    /// How often the interval held the truth.
    pub held: u32,
    /// How often it was asked.
    pub asked: u32,
}

impl Count {
    /// The share, percent.
    pub fn percent(self) -> f64 {
        100.0 * f64::from(self.held) / f64::from(self.asked.max(1))
    }

    fn add(&mut self, holds: bool) {
        self.asked += 1;
        self.held += u32::from(holds);
    }
}

/// Counts by figure, for one mixture.
pub type Table = BTreeMap<String, Count>;

/// Spots at which the surface is asked for, on each board.
const SPOTS: usize = 20;

/// A board of ordinary make with gauges around its radii, from a seed.
pub fn board(seed: u64) -> Option<(Instrument, Kit)> {
    let mut chance = Chance::new(seed);
    let board = ordinary_board(&mut chance);
    let instrument = read_commission(&board.to_toml(), &|name| Err(name.to_owned())).ok()?;
    let mut kit = read_kit(&kit_for(&board, &mut chance).to_toml()).ok()?;
    let last = instrument.fret_x_mm(instrument.last_fret());
    kit.gauges = [0.0, 0.3, 0.6, 1.0]
        .map(|share| instrument.camber.radius(share * last))
        .to_vec();
    Some((instrument, kit))
}

/// Counts how often intervals hold on `boards` boards read with a mixture.
pub fn coverage(mixture: Mixture, boards: u64) -> Table {
    let mut table = Table::new();
    let mut seed = 0;
    let mut done = 0;
    while done < boards {
        seed += 1;
        let Some((instrument, kit)) = board(seed) else {
            continue;
        };
        done += 1;
        let mut chance = Chance::new(seed ^ 0x5eed_0000_0000);
        one_board(&mut table, &instrument, &kit, mixture, &mut chance);
    }
    table
}

fn one_board(
    table: &mut Table,
    instrument: &Instrument,
    kit: &Kit,
    mixture: Mixture,
    chance: &mut Chance,
) {
    let planned = Visit {
        set_ups: set_ups(mixture),
        ..Visit::default()
    };
    let model = wood(instrument, &planned);
    let truth = draw_truth(&model, chance);
    let shop = Shop {
        wood: &model,
        truth: &truth,
        kit,
    };
    let visit = shop.visit(mixture, chance);
    let problem = Problem {
        wood: model.clone(),
        readings: &visit.readings,
        clouds: &[],
    };
    let Ok(measured) = Measured::of(problem) else {
        table.entry("no fit".into()).or_default().add(false);
        return;
    };
    let true_sum = |spots: &[(Spot, f64)]| -> f64 {
        spots
            .iter()
            .map(|(spot, factor)| factor * model.height(truth.as_slice(), *spot))
            .sum()
    };
    for told in figures(&measured) {
        let sum = measured.figure(&told.spots);
        let truth = true_sum(&told.spots);
        let name = told.name.split("_fret_").next().unwrap_or_default();
        let holds = (sum.low()..=sum.high()).contains(&truth);
        table.entry(name.into()).or_default().add(holds);
    }
    for _ in 0..SPOTS {
        let (x_mm, y_mm) = instrument.outline.place(chance.share(), chance.share());
        let spot = Spot { x_mm, y_mm };
        let (figure, truth) = (measured.height(spot), true_sum(&[(spot, 1.0)]));
        let holds = (figure.low()..=figure.high()).contains(&truth);
        table.entry("surface".into()).or_default().add(holds);
    }
}

/// The confidence that every interval states.
pub const STATED: f64 = 0.95;

impl Count {
    /// How likely a count at least as far from [`STATED`] is, on the side where it lies, when
    /// every interval holds with just that share and `boards` of the tries are apart from one
    /// another: the exact binomial tail. Tries on one board go together, so that the share is
    /// judged as if each board were one try.
    pub fn tail(self, boards: u64) -> f64 {
        let share = f64::from(self.held) / f64::from(self.asked.max(1));
        let held = share * boards as f64;
        let side: Vec<u64> = if share < STATED {
            (0..=held.ceil() as u64).collect()
        } else {
            (held.floor() as u64..=boards).collect()
        };
        side.into_iter()
            .map(|held| binomial(boards, held))
            .sum::<f64>()
            .min(1.0)
    }
}

/// The chance of just `held` among `tries` at the stated share.
fn binomial(tries: u64, held: u64) -> f64 {
    let log: f64 = (1..=held)
        .map(|k| ((tries - held + k) as f64 / k as f64 * STATED).ln())
        .sum();
    (log + (tries - held) as f64 * (1.0 - STATED).ln()).exp()
}

/// Adds one table's counts to another's.
pub fn join(whole: &mut Table, part: &Table) {
    for (name, count) in part {
        let sum = whole.entry(name.clone()).or_default();
        sum.held += count.held;
        sum.asked += count.asked;
    }
}

/// The least and the greatest percent in a table, each with its figure's name.
pub fn ends(table: &Table) -> Option<[(&str, f64); 2]> {
    let by_percent =
        |a: &(&String, &Count), b: &(&String, &Count)| a.1.percent().total_cmp(&b.1.percent());
    let least = table.iter().min_by(by_percent)?;
    let greatest = table.iter().max_by(by_percent)?;
    Some([least, greatest].map(|(name, count)| (name.as_str(), count.percent())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_binomial_tail_is_the_closed_form() {
        // All of 20 at 95 %: 0.95^20 = 0.35849 (closed form). None of one: 0.05.
        let all = Count {
            held: 20,
            asked: 20,
        };
        assert!((all.tail(20) - 0.358_485_922_408_542).abs() < 1e-12);
        let none = Count { held: 0, asked: 1 };
        assert!((none.tail(1) - 0.05).abs() < 1e-12);
        let whole: f64 = (0..=50).map(|held| binomial(50, held)).sum();
        assert!((whole - 1.0).abs() < 1e-12);
    }
}
