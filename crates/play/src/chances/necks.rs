//! Blocks of necks: errors drawn and carried through the plan, sixteen necks side by side.

use std::ops::Range;

use super::Source;
use super::draw::Bells;
use super::lot::Lot;
use super::plan::{Plan, PlanBend, PlanString};

/// Which necks are drawn: each error from the first stream or from another, at its full size or
/// at half of it.
#[derive(Clone, Copy)]
pub(super) struct Drawing {
    seed: u64,
    halved: Option<Source>,
    /// Every error but this one comes from the other stream.
    shared: Option<Source>,
}

impl Drawing {
    pub fn plain(seed: u64) -> Self {
        Self {
            seed,
            halved: None,
            shared: None,
        }
    }

    pub fn halved(seed: u64, source: Source) -> Self {
        Self {
            halved: Some(source),
            ..Self::plain(seed)
        }
    }

    pub fn other(seed: u64, shared: Source) -> Self {
        Self {
            shared: Some(shared),
            ..Self::plain(seed)
        }
    }

    fn bells(self, source: Source, block: u64) -> Bells {
        let from_other = self.shared.is_some_and(|shared| shared != source);
        Bells::new([self.seed, source as u64 + 1, u64::from(from_other), block])
    }

    fn size(self, source: Source, sigma: f32) -> f32 {
        if self.halved == Some(source) {
            0.5 * sigma
        } else {
            sigma
        }
    }
}

/// What is drawn for a block of necks, and what follows from it.
struct Block {
    /// Tops' errors, string by string from fret 1.
    errors: Vec<Lot>,
    /// Tops of the string at work.
    tops: Vec<Lot>,
    nut: Vec<Lot>,
    saddle: Vec<Lot>,
    slots: Vec<Lot>,
    set_back: Vec<Lot>,
    tension: Vec<Lot>,
    stretch: Vec<Lot>,
    relief: Lot,
    radius: [Lot; 2],
    pluck: Lot,
    /// Where each saddle stands.
    saddles: Vec<Lot>,
}

impl Plan {
    /// True when an error is drawn at all.
    pub fn can_err(&self, source: Source) -> bool {
        let errors = &self.errors;
        match source {
            Source::Readings => self.strings.iter().any(|string| !string.root.is_empty()),
            Source::FretTops => self.strings.iter().any(|string| string.top_error_mm > 0.0),
            Source::NutSlots => errors.nut_slots_mm > 0.0,
            Source::Saddle => errors.saddle_mm > 0.0,
            Source::Relief => errors.relief_mm > 0.0,
            Source::Radius => errors.radius_share > 0.0,
            Source::Slots => errors.slots_mm > 0.0,
            Source::SetBack => errors.set_back_mm > 0.0,
            Source::Tension => errors.tension_share > 0.0,
            Source::Stretch => errors.stretch_share > 0.0,
            Source::Pluck => errors.pluck_share > 0.0,
        }
    }

    /// Hands out the rooms of the four demands for every block of necks.
    pub fn each_block(
        &self,
        drawing: Drawing,
        blocks: Range<u64>,
        mut take: impl FnMut(&[Lot; 4]),
    ) {
        let mut block = self.empty();
        for number in blocks {
            self.draw(&mut block, drawing, number);
            take(&self.rooms(&mut block));
        }
    }

    fn empty(&self) -> Block {
        let strings = self.strings.len();
        Block {
            errors: vec![Lot::ZERO; strings * self.frets],
            tops: vec![Lot::ZERO; self.frets],
            nut: vec![Lot::ZERO; strings],
            saddle: vec![Lot::ZERO; strings],
            slots: vec![Lot::ZERO; self.frets],
            set_back: vec![Lot::ZERO; strings],
            tension: vec![Lot::ZERO; strings],
            stretch: vec![Lot::ZERO; strings],
            relief: Lot::ZERO,
            radius: [Lot::ZERO; 2],
            pluck: Lot::ZERO,
            saddles: vec![Lot::ZERO; strings],
        }
    }

    fn draw(&self, block: &mut Block, drawing: Drawing, number: u64) {
        let errors = &self.errors;
        let fill = |lots: &mut [Lot], source: Source, sigma: f64| {
            let size = drawing.size(source, sigma as f32);
            if size == 0.0 {
                return;
            }
            let mut bells = drawing.bells(source, number);
            for lot in lots {
                *lot = bells.next() * size;
            }
        };
        fill(&mut block.nut, Source::NutSlots, errors.nut_slots_mm);
        fill(&mut block.saddle, Source::Saddle, errors.saddle_mm);
        fill(
            std::slice::from_mut(&mut block.relief),
            Source::Relief,
            errors.relief_mm,
        );
        fill(&mut block.radius, Source::Radius, errors.radius_share);
        fill(&mut block.slots, Source::Slots, errors.slots_mm);
        fill(&mut block.set_back, Source::SetBack, errors.set_back_mm);
        fill(&mut block.tension, Source::Tension, errors.tension_share);
        fill(&mut block.stretch, Source::Stretch, errors.stretch_share);
        fill(
            std::slice::from_mut(&mut block.pluck),
            Source::Pluck,
            errors.pluck_share,
        );
        self.draw_tops(block, drawing, number);
    }

    fn draw_tops(&self, block: &mut Block, drawing: Drawing, number: u64) {
        let mut own = drawing.bells(Source::FretTops, number);
        let mut read = drawing.bells(Source::Readings, number);
        let half = drawing.size(Source::Readings, 1.0);
        let mut bells = vec![Lot::ZERO; self.frets];
        for (string, errors) in self.strings.iter().zip(block.errors.chunks_mut(self.frets)) {
            let size = drawing.size(Source::FretTops, string.top_error_mm);
            for error in errors.iter_mut() {
                *error = if size > 0.0 {
                    own.next() * size
                } else {
                    Lot::ZERO
                };
            }
            if string.root.is_empty() {
                continue;
            }
            for bell in &mut bells {
                *bell = read.next() * half;
            }
            let mut root = string.root.iter();
            for (row, error) in errors.iter_mut().enumerate() {
                for (by, bell) in root.by_ref().take(row + 1).zip(&bells) {
                    error.add(*by, bell);
                }
            }
        }
    }

    fn rooms(&self, block: &mut Block) -> [Lot; 4] {
        let mut rooms = [Lot::of(f32::INFINITY); 4];
        let [buzz, bends, tune, action] = &mut rooms;
        for (index, string) in self.strings.iter().enumerate() {
            let (nut, saddle) = self.set(index, block);
            if string.has_pull {
                let sweep = (Lot::of(1.0) + block.pluck)
                    .with(block.tension[index], |force, pull| {
                        force / (1.0 + pull).max(LEAST_PULL_SHARE)
                    });
                *buzz = buzz.least(least_air(string, &block.tops, nut, saddle, sweep));
            }
            *tune = tune.least(self.tune_room(index, block));
            let off = block.nut[index] * (1.0 - string.far_share)
                + block.saddle[index] * string.far_share;
            *action = action.least(off.map(|off| self.action_within_mm - off.abs()));
        }
        for bend in &self.bends {
            *bends = bends.least(bend_air(bend, block));
        }
        rooms
    }

    /// Stands a string's tops where they were drawn, and sets the string over them: its nut and its
    /// saddle.
    fn set(&self, index: usize, block: &mut Block) -> (Lot, Lot) {
        let string = &self.strings[index];
        let errors = &block.errors[index * self.frets..(index + 1) * self.frets];
        for ((top, plan), error) in block.tops.iter_mut().zip(&string.tops).zip(errors) {
            *top = Lot::of(plan.at_mm);
            top.add(1.0, error);
            top.add(plan.by_relief, &block.relief);
            top.add(plan.by_radius_mm[0], &block.radius[0]);
            top.add(plan.by_radius_mm[1], &block.radius[1]);
        }
        let far = block.tops[string.far] + Lot::of(string.actions_mm.1);
        let near = string.near.map_or(Lot::of(string.plain_nut_mm), |near| {
            block.tops[near] + Lot::of(string.actions_mm.0)
        });
        let over = |by: (f32, f32)| near * by.0 + far * by.1;
        let nut = over(string.nut_by) + block.nut[index];
        let saddle = over(string.saddle_by) + block.saddle[index];
        block.saddles[index] = saddle;
        (nut, saddle)
    }

    fn tune_room(&self, index: usize, block: &Block) -> Lot {
        let mut room = Lot::of(f32::INFINITY);
        let string = &self.strings[index];
        let mut retuned = Lot::ZERO;
        if let Some((note, by)) = string.tuned_by {
            retuned.add(-by, &block.slots[note]);
        }
        for (place, note) in string.tuning.iter().enumerate() {
            let mut cents = Lot::of(note.cents) + retuned;
            // The open string has no slot.
            if let Some(slot) = block.slots.get(place) {
                cents.add(note.by_slot, slot);
            }
            cents.add(note.by_set_back, &block.set_back[index]);
            cents.add(note.by_saddle, &block.saddle[index]);
            cents.add(note.by_nut, &block.nut[index]);
            cents.add(note.by_stretch, &block.stretch[index]);
            for (room, cents) in room.0.iter_mut().zip(&cents.0) {
                let left = self.in_tune_cents - cents.abs();
                *room = if left < *room { left } else { *room };
            }
        }
        room
    }
}

/// A string is never drawn slacker than this share of its pull.
const LEAST_PULL_SHARE: f32 = 0.05;

fn bend_air(bend: &PlanBend, block: &Block) -> Lot {
    let mut air = Lot::of(bend.at_mm);
    air.add(bend.by_saddle, &block.saddles[bend.string]);
    air.add(bend.by_relief, &block.relief);
    air.add(bend.by_radius_mm[0], &block.radius[0]);
    air.add(bend.by_radius_mm[1], &block.radius[1]);
    for (top, by) in bend.tops {
        air.add(by, &block.errors[top]);
    }
    air
}

/// The least air of a string over all stops and all frets ahead.
///
/// What a plucked string sweeps is bounded by two straight lines, one from the stop and one from
/// the saddle. Each together with the string at rest is one straight line again, so that over a
/// fret a product and a difference are left.
fn least_air(string: &PlanString, tops: &[Lot], nut: Lot, saddle: Lot, sweep: Lot) -> Lot {
    let rests = std::iter::once(&nut).chain(tops);
    let stops = string.stops.iter().zip(rests).zip(0..);
    let airs = stops.map(|((stop, rest), number)| {
        let climb = saddle - *rest;
        let (near, far) = tops[number..].split_at(stop.near.len());
        let at_stop = sweep * stop.far_sweep_mm;
        let near = least_over(&(climb - sweep * stop.near_sweep_mm), &stop.near, near);
        let far = least_over(&(climb + at_stop), &stop.far, far) - at_stop;
        *rest + near.least(far)
    });
    airs.fold(Lot::of(f32::INFINITY), Lot::least)
}

/// The least air between a straight line that rises by so much to the saddle and the tops under it.
fn least_over(rise: &Lot, shares: &[f32], tops: &[Lot]) -> Lot {
    let mut least = Lot::of(f32::INFINITY);
    for (share, top) in shares.iter().zip(tops) {
        for ((least, rise), top) in least.0.iter_mut().zip(&rise.0).zip(&top.0) {
            let air = rise * share - top;
            *least = if air < *least { air } else { *least };
        }
    }
    least
}
