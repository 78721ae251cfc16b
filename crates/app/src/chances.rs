//! Chances shared out over the processors: blocks of necks add up in any order.

use std::num::NonZero;
use std::thread;

use play::Playing;
use play::chances::{Account, Chances, Effect, Tally};

use crate::progress::Progress;

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

/// Blocks that are drawn between one word on the progress and the next.
const BLOCKS_A_WORD: u64 = 8;

type Drawn = (Tally, Vec<Effect>);

/// The whole account of a playing's chances.
pub fn account(playing: &Playing<'_>, trial: Trial) -> Account {
    let account = account_told(playing, trial, &Progress::unseen());
    account.unwrap_or_else(|| Chances::account(Tally::default(), &[]))
}

/// The same with a word on how far it is; nothing when the work was stopped.
pub fn account_told(playing: &Playing<'_>, trial: Trial, progress: &Progress) -> Option<Account> {
    let chances = Chances::of(playing, trial.seed);
    let blocks = trial.necks.div_ceil(BLOCK);
    let words = blocks.div_ceil(BLOCKS_A_WORD);
    let drawn = shared_out(words, |word| {
        let first = word * BLOCKS_A_WORD;
        let part = chances.effects(first, BLOCKS_A_WORD.min(blocks - first));
        progress.part(words).is_continue().then_some(part)
    })?;
    let (tally, effects) = drawn.unwrap_or_default();
    Some(Chances::account(tally, &effects))
}

fn both((tally, effects): Drawn, (more, others): Drawn) -> Drawn {
    let pairs = effects.into_iter().zip(others);
    (
        tally.and(more),
        pairs.map(|(one, other)| one.and(other)).collect(),
    )
}

/// Does the parts of a work side by side and adds them up in their order, so that the sum is the
/// same whatever the number of processors; nothing when a part was broken off.
fn shared_out(parts: u64, part: impl Fn(u64) -> Option<Drawn> + Sync) -> Option<Option<Drawn>> {
    let hands = thread::available_parallelism().map_or(1, NonZero::get) as u64;
    let each = parts.div_ceil(hands).max(1);
    let of_hand = |hand: u64| -> Option<Vec<Drawn>> {
        let (from, to) = (hand * each, ((hand + 1) * each).min(parts));
        (from..to).map(&part).collect()
    };
    let all: Option<Vec<Vec<Drawn>>> = thread::scope(|scope| {
        let hands: Vec<_> = (0..hands)
            .map(|hand| {
                let of_hand = &of_hand;
                scope.spawn(move || of_hand(hand))
            })
            .collect();
        hands.into_iter().map(|hand| hand.join().ok()?).collect()
    });
    Some(all?.into_iter().flatten().reduce(both))
}
