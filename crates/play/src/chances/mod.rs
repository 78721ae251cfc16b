//! Chances: from what is uncertain to the chance that the finished neck meets the wish, and which
//! error matters most.
//!
//! Every error is drawn from its bell, neck after neck, and carried through buzz, bends, tuning and
//! action. Which error matters most is told in two ways: the share of the spread that is its alone
//! (first-order variance shares: A. Saltelli et al., Comput. Phys. Commun. 181, 259, 2010, doi
//! 10.1016/j.cpc.2009.09.018, with M. J. W. Jansen's estimator named there), and the chance that
//! would hold if that error were half as large, all else drawn alike.

mod draw;
mod lot;
mod necks;
mod plan;

use crate::playing::Playing;
use lot::Lot;
use lot::SIDE;
use necks::Drawing;
use plan::Plan;

/// What is uncertain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// What the readings left open of the fret tops or of the wood.
    Readings,
    /// Each levelled fret top.
    FretTops,
    /// Each nut slot's depth.
    NutSlots,
    /// Each string's height at the saddle.
    Saddle,
    /// The relief.
    Relief,
    /// The camber's radius at either end.
    Radius,
    /// Each slot's place along the board.
    Slots,
    /// Each string's place along the saddle.
    SetBack,
    /// Each string's pull.
    Tension,
    /// Each string's stiffness against stretch.
    Stretch,
    /// The player's force.
    Pluck,
}

impl Source {
    /// All of them.
    pub const ALL: [Source; 11] = [
        Source::Readings,
        Source::FretTops,
        Source::NutSlots,
        Source::Saddle,
        Source::Relief,
        Source::Radius,
        Source::Slots,
        Source::SetBack,
        Source::Tension,
        Source::Stretch,
        Source::Pluck,
    ];

    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Source::Readings => "what the readings left open",
            Source::FretTops => "the fret tops",
            Source::NutSlots => "the nut slots' depth",
            Source::Saddle => "the saddle's height",
            Source::Relief => "the relief",
            Source::Radius => "the camber's radius",
            Source::Slots => "the fret slots' places",
            Source::SetBack => "the strings' set-back",
            Source::Tension => "the strings' pull",
            Source::Stretch => "the strings' stretch",
            Source::Pluck => "the player's force",
        }
    }
}

/// What the wish demands of a neck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Demand {
    /// No plucked string strikes a fret.
    Buzz,
    /// No wished bend chokes.
    Bends,
    /// Every note is within the asked cents.
    Tune,
    /// Every action is as asked, within what is let pass.
    Action,
}

impl Demand {
    /// All of them, in the order of the lists that hold one figure for each.
    pub const ALL: [Demand; 4] = [Demand::Buzz, Demand::Bends, Demand::Tune, Demand::Action];

    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Demand::Buzz => "no buzz",
            Demand::Bends => "bends as wished",
            Demand::Tune => "in tune",
            Demand::Action => "action as asked",
        }
    }

    /// The unit of its room.
    pub fn unit(self) -> &'static str {
        match self {
            Demand::Tune => "cents",
            _ => "mm",
        }
    }
}

/// What a number of necks came to. The room of a demand is what is left before it is missed: the
/// least air of any note, the least air of any bend, the cents to the limit, the action's way to
/// its limit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tally {
    /// Necks drawn.
    pub necks: u64,
    /// Necks that met all demands.
    pub met_all: u64,
    /// Necks that met each demand; one of which nothing is known counts as met.
    pub met: [u64; 4],
    /// Necks of which something is known for each demand.
    pub told: [u64; 4],
    /// Sums of the rooms, and of their squares.
    pub sum: [f64; 4],
    /// See `sum`.
    pub squares: [f64; 4],
}

impl Tally {
    /// Counts a block of necks in.
    fn count(&mut self, rooms: &[Lot; 4]) {
        for neck in 0..SIDE {
            let mut all = true;
            for (demand, room) in rooms.iter().enumerate() {
                let room = room.0[neck];
                let met = room >= 0.0;
                all &= met;
                self.met[demand] += u64::from(met);
                // A demand that nothing is known of has endless room.
                if room.is_finite() {
                    self.told[demand] += 1;
                    self.sum[demand] += f64::from(room);
                    self.squares[demand] += f64::from(room) * f64::from(room);
                }
            }
            self.met_all += u64::from(all);
        }
        self.necks += SIDE as u64;
    }

    /// Two tallies together.
    pub fn and(mut self, other: Tally) -> Tally {
        self.necks += other.necks;
        self.met_all += other.met_all;
        for demand in 0..4 {
            self.met[demand] += other.met[demand];
            self.told[demand] += other.told[demand];
            self.sum[demand] += other.sum[demand];
            self.squares[demand] += other.squares[demand];
        }
        self
    }

    /// The chance that all demands are met.
    pub fn chance(&self) -> f64 {
        self.met_all as f64 / self.necks.max(1) as f64
    }

    /// The chance that one demand is met; nothing when nothing is known of it.
    pub fn chance_of(&self, demand: usize) -> Option<f64> {
        (self.told[demand] > 0).then(|| self.met[demand] as f64 / self.necks.max(1) as f64)
    }

    /// Standard uncertainty of a chance, by the number of necks alone.
    pub fn uncertainty(&self, chance: f64) -> f64 {
        (chance * (1.0 - chance) / self.necks.max(1) as f64).sqrt()
    }

    /// Mean and standard deviation of a demand's room; nothing when nothing is known of it.
    pub fn room(&self, demand: usize) -> Option<(f64, f64)> {
        if self.told[demand] == 0 {
            return None;
        }
        let count = self.told[demand] as f64;
        let mean = self.sum[demand] / count;
        let variance = (self.squares[demand] / count - mean * mean).max(0.0);
        Some((mean, variance.sqrt()))
    }
}

/// The chances of one neck's plan.
pub struct Chances {
    plan: Plan,
    seed: u64,
}

/// What one error does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// The error.
    pub source: Source,
    /// Its share of the spread of each demand's room, 0 to 1.
    pub of: [f64; 4],
    /// The chance of all demands if it were half as large.
    pub if_halved: f64,
}

/// The whole account.
#[derive(Clone, Debug, PartialEq)]
pub struct Account {
    /// All necks as they are.
    pub tally: Tally,
    /// The demand that is missed most often; its shares rank the errors.
    pub decisive: Demand,
    /// The errors, those that matter most first; such as cannot err are left out.
    pub shares: Vec<Share>,
}

impl Chances {
    /// Straightens a playing's demands over its errors.
    pub fn of(playing: &Playing<'_>, seed: u64) -> Self {
        Self {
            plan: Plan::of(playing),
            seed,
        }
    }

    /// Draws blocks of 16 necks: `blocks` of them from block `first` on. Equal seeds and blocks give
    /// equal necks, so that blocks may be shared out over processors.
    pub fn tally(&self, first: u64, blocks: u64) -> Tally {
        self.tally_of(Drawing::plain(self.seed), first, blocks)
    }

    fn tally_of(&self, drawing: Drawing, first: u64, blocks: u64) -> Tally {
        let mut tally = Tally::default();
        let range = first..first + blocks;
        self.plan
            .each_block(drawing, range, |rooms| tally.count(rooms));
        tally
    }

    /// The sources that can err at all.
    pub fn sources(&self) -> Vec<Source> {
        let can = |source: &Source| self.plan.can_err(*source);
        Source::ALL.into_iter().filter(can).collect()
    }

    /// Blocks of necks as they are, and what each error that can err does to them: sums that add up
    /// over processors.
    ///
    /// Every error is held against the same necks, which are drawn once; a few blocks at a time, so
    /// that any number of necks needs the same room.
    pub fn effects(&self, first: u64, blocks: u64) -> (Tally, Vec<Effect>) {
        let mut tally = Tally::default();
        let mut effects: Vec<Effect> = self.sources().into_iter().map(Effect::of).collect();
        let mut plain = Vec::with_capacity(AT_A_TIME as usize);
        let end = first + blocks;
        for from in (first..end).step_by(AT_A_TIME as usize) {
            let range = from..end.min(from + AT_A_TIME);
            plain.clear();
            self.plan
                .each_block(Drawing::plain(self.seed), range.clone(), |rooms| {
                    tally.count(rooms);
                    plain.push(*rooms);
                });
            for effect in &mut effects {
                let halved = Drawing::halved(self.seed, effect.source);
                self.plan
                    .each_block(halved, range.clone(), |rooms| effect.halved.count(rooms));
                let other = Drawing::other(self.seed, effect.source);
                let mut necks = plain.iter();
                self.plan.each_block(other, range.clone(), |rooms| {
                    if let Some(plain) = necks.next() {
                        effect.compare(plain, rooms);
                    }
                });
            }
        }
        (tally, effects)
    }

    /// The whole account of tallies and effects.
    pub fn account(tally: Tally, effects: &[Effect]) -> Account {
        let decisive = (0..4)
            .min_by_key(|demand| tally.met[*demand])
            .unwrap_or_default();
        let mut shares: Vec<Share> = effects
            .iter()
            .map(|effect| Share {
                source: effect.source,
                of: std::array::from_fn(|demand| {
                    let variance = tally
                        .room(demand)
                        .map_or(0.0, |(_, deviation)| deviation.powi(2));
                    // Jansen: what all other errors alone do not explain.
                    let without = 0.5 * effect.differences[demand] / effect.necks.max(1) as f64;
                    if variance > 0.0 {
                        (1.0 - without / variance).clamp(0.0, 1.0)
                    } else {
                        0.0
                    }
                }),
                if_halved: effect.halved.chance(),
            })
            .collect();
        shares.sort_by(|a, b| b.of[decisive].total_cmp(&a.of[decisive]));
        Account {
            tally,
            decisive: Demand::ALL[decisive],
            shares,
        }
    }
}

/// What one error does, in sums.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effect {
    /// The error.
    pub source: Source,
    /// All necks with that error half as large.
    pub halved: Tally,
    /// Pairs of necks that were compared.
    pub necks: u64,
    /// Sums of the squared differences of rooms between necks that share this error alone.
    pub differences: [f64; 4],
}

/// Blocks that are held against one another at a time.
const AT_A_TIME: u64 = 256;

impl Effect {
    /// The effect of an error before any neck is drawn.
    fn of(source: Source) -> Self {
        Self {
            source,
            halved: Tally::default(),
            necks: 0,
            differences: [0.0; 4],
        }
    }

    /// Counts in a block of necks and the one that shares this error alone.
    fn compare(&mut self, plain: &[Lot; 4], other: &[Lot; 4]) {
        for (sum, (plain, other)) in self.differences.iter_mut().zip(plain.iter().zip(other)) {
            for by in (*plain - *other).0.map(f64::from) {
                if by.is_finite() {
                    *sum += by * by;
                }
            }
        }
        self.necks += SIDE as u64;
    }

    /// Two parts of an effect together.
    pub fn and(mut self, other: Effect) -> Effect {
        self.halved = self.halved.and(other.halved);
        self.necks += other.necks;
        for (sum, more) in self.differences.iter_mut().zip(other.differences) {
            *sum += more;
        }
        self
    }
}
