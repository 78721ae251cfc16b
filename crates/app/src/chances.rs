//! Chances shared out over the processors: blocks of necks add up in any order.

use std::num::NonZero;
use std::thread;

use play::Playing;
use play::chances::{Account, Chances};

/// How many necks are drawn, and from which seed.
#[derive(Clone, Copy, Debug)]
pub struct Trial {
    /// The seed: equal seeds draw equal necks.
    pub seed: u64,
    /// Necks for the chances, and again for each error: the same ones but for that error.
    pub necks: u64,
}

impl Default for Trial {
    fn default() -> Self {
        Self {
            seed: 1,
            necks: USUAL_NECKS,
        }
    }
}

/// Necks that tell a chance to about half a percent.
pub const USUAL_NECKS: u64 = 8192;
/// Necks in a block.
const BLOCK: u64 = 16;

/// The whole account of a playing's chances.
pub fn account(playing: &Playing<'_>, trial: Trial) -> Account {
    let chances = Chances::of(playing, trial.seed);
    let blocks = trial.necks.div_ceil(BLOCK);
    let parts = shared_out(blocks, |first, blocks| chances.effects(first, blocks));
    let (tally, effects) = parts
        .into_iter()
        .reduce(|(tally, effects), (more, others)| {
            let both = effects.into_iter().zip(others);
            (
                tally.and(more),
                both.map(|(one, other)| one.and(other)).collect(),
            )
        })
        .unwrap_or_default();
    Chances::account(tally, &effects)
}

/// Does parts of a work side by side, in the order of the parts.
fn shared_out<T: Send>(blocks: u64, part: impl Fn(u64, u64) -> T + Sync) -> Vec<T> {
    let hands = thread::available_parallelism().map_or(1, NonZero::get) as u64;
    let each = blocks.div_ceil(hands).max(1);
    thread::scope(|scope| {
        let parts: Vec<_> = (0..hands)
            .map(|hand| (hand * each, each.min(blocks.saturating_sub(hand * each))))
            .filter(|(_, blocks)| *blocks > 0)
            .map(|(first, blocks)| {
                let part = &part;
                scope.spawn(move || part(first, blocks))
            })
            .collect();
        parts
            .into_iter()
            .filter_map(|hand| hand.join().ok())
            .collect()
    })
}
