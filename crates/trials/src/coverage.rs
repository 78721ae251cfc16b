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
