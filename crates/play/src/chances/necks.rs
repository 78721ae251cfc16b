//! Blocks of necks: errors drawn and carried through the plan, sixteen necks side by side.

use std::ops::Range;

use super::Source;
use super::draw::{Bells, Lot, SIDE};
use super::plan::{Plan, PlanBend, PlanPlace, PlanString};

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
    /// How far each saddle lies off the likeliest one.
    saddle_off: Vec<Lot>,
}

const NONE: Lot = [0.0; SIDE];
const ONE: Lot = [1.0; SIDE];

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
            errors: vec![NONE; strings * self.frets],
            tops: vec![NONE; self.frets],
            nut: vec![NONE; strings],
            saddle: vec![NONE; strings],
            slots: vec![NONE; strings * self.frets],
            set_back: vec![NONE; strings],
            tension: vec![NONE; strings],
            stretch: vec![NONE; strings],
            relief: NONE,
            radius: [NONE; 2],
            pluck: NONE,
            saddle_off: vec![NONE; strings],
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
                *lot = times(size, bells.next());
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
        let mut bells = vec![NONE; self.frets];
        for (string, errors) in self.strings.iter().zip(block.errors.chunks_mut(self.frets)) {
            let size = drawing.size(Source::FretTops, string.top_error_mm);
            for error in errors.iter_mut() {
                *error = if size > 0.0 {
                    times(size, own.next())
                } else {
                    NONE
                };
            }
            if string.root.is_empty() {
                continue;
            }
            for bell in &mut bells {
                *bell = times(half, read.next());
            }
            let mut root = string.root.iter();
            for (row, error) in errors.iter_mut().enumerate() {
                for (by, bell) in root.by_ref().take(row + 1).zip(&bells) {
                    add(error, *by, bell);
                }
            }
        }
    }

    fn rooms(&self, block: &mut Block) -> [Lot; 4] {
        let mut rooms = [[f32::INFINITY; SIDE]; 4];
        for index in 0..self.strings.len() {
            self.string_rooms(index, block, &mut rooms);
        }
        let mut stop = NONE;
        for bend in &self.bends {
            if let Some(place) = bend.stop {
                stop = self.place_off(place, block);
            }
            self.bend_room(bend, &stop, block, &mut rooms[1]);
        }
        rooms
    }

    fn string_rooms(&self, index: usize, block: &mut Block, rooms: &mut [Lot; 4]) {
        let string = &self.strings[index];
        let errors = &block.errors[index * self.frets..(index + 1) * self.frets];
        for ((top, plan), error) in block.tops.iter_mut().zip(&string.tops).zip(errors) {
            *top = *error;
            add(top, plan.by_relief, &block.relief);
            add(top, plan.by_radius_mm[0], &block.radius[0]);
            add(top, plan.by_radius_mm[1], &block.radius[1]);
            for value in top.iter_mut() {
                *value += plan.at_mm;
            }
        }
        let far = block.tops[string.far];
        let near = string.near.map(|near| block.tops[near]);
        let (mut nut, mut saddle) = (NONE, NONE);
        for neck in 0..SIDE {
            let far = far[neck] + string.actions_mm.1;
            let near = near.map_or(string.plain_nut_mm, |near| near[neck] + string.actions_mm.0);
            nut[neck] = string.nut_by.0 * near + string.nut_by.1 * far + block.nut[index][neck];
            saddle[neck] =
                string.saddle_by.0 * near + string.saddle_by.1 * far + block.saddle[index][neck];
        }
        block.saddle_off[index] = saddle;
        let mut sweep = NONE;
        let (pluck, tension) = (&block.pluck, &block.tension[index]);
        for (neck, sweep) in sweep.iter_mut().enumerate() {
            *sweep = (1.0 + pluck[neck]) / (1.0 + tension[neck]).max(0.05);
        }
        if string.has_pull {
            least_air(string, &block.tops, &nut, &saddle, &sweep, &mut rooms[0]);
        }
        self.tune_room(index, block, &mut rooms[2]);
        for (neck, room) in rooms[3].iter_mut().enumerate() {
            let off = (1.0 - string.far_share) * block.nut[index][neck]
                + string.far_share * block.saddle[index][neck];
            *room = room.min(self.action_within_mm - off.abs());
        }
    }

    fn tune_room(&self, index: usize, block: &Block, room: &mut Lot) {
        let string = &self.strings[index];
        let slots = &block.slots[index * self.frets..(index + 1) * self.frets];
        let mut retuned = NONE;
        if let Some((note, by)) = string.tuned_by {
            add(&mut retuned, -by, &slots[note]);
        }
        for (place, note) in string.tuning.iter().enumerate() {
            let mut cents = retuned;
            add(&mut cents, note.cents, &ONE);
            // The open string has no slot.
            if let Some(slot) = slots.get(place) {
                add(&mut cents, note.by_slot, slot);
            }
            add(&mut cents, note.by_set_back, &block.set_back[index]);
            add(&mut cents, note.by_saddle, &block.saddle[index]);
            add(&mut cents, note.by_nut, &block.nut[index]);
            add(&mut cents, note.by_stretch, &block.stretch[index]);
            for neck in 0..SIDE {
                room[neck] = room[neck].min(self.in_tune_cents - cents[neck].abs());
            }
        }
    }

    fn bend_room(&self, bend: &PlanBend, stop: &Lot, block: &Block, room: &mut Lot) {
        let ahead = self.place_off(bend.ahead, block);
        let saddle = &block.saddle_off[bend.string];
        for neck in 0..SIDE {
            let saddle = saddle[neck] - bend.saddle_mm;
            let air = bend.air_mm + stop[neck] + bend.way * (saddle - stop[neck]) - ahead[neck];
            room[neck] = room[neck].min(air);
        }
    }

    /// How far a place on a fret stands off the likeliest neck's.
    fn place_off(&self, place: PlanPlace, block: &Block) -> Lot {
        let at = |lane: usize| &block.errors[lane * self.frets + place.fret - 1];
        let mut off = NONE;
        add(&mut off, 1.0 - place.share, at(place.lanes.0));
        add(&mut off, place.share, at(place.lanes.1));
        add(&mut off, place.by_relief, &block.relief);
        add(&mut off, place.by_radius_mm[0], &block.radius[0]);
        add(&mut off, place.by_radius_mm[1], &block.radius[1]);
        off
    }
}

/// The least air of a string over all stops and all frets ahead.
fn least_air(
    string: &PlanString,
    tops: &[Lot],
    nut: &Lot,
    saddle: &Lot,
    sweep: &Lot,
    least: &mut Lot,
) {
    let mut pairs = string.pairs.as_slice();
    for stop in 0..tops.len() {
        let rest = if stop == 0 { nut } else { &tops[stop - 1] };
        let mut climb = NONE;
        for neck in 0..SIDE {
            climb[neck] = saddle[neck] - rest[neck];
        }
        let ahead = &tops[stop..];
        let (here, others) = pairs.split_at(ahead.len());
        pairs = others;
        let mut air = [f32::INFINITY; SIDE];
        for (pair, top) in here.iter().zip(ahead) {
            for neck in 0..SIDE {
                let over = climb[neck] * pair.share - sweep[neck] * pair.sweep_mm - top[neck];
                air[neck] = if over < air[neck] { over } else { air[neck] };
            }
        }
        for neck in 0..SIDE {
            let over = air[neck] + rest[neck];
            least[neck] = if over < least[neck] {
                over
            } else {
                least[neck]
            };
        }
    }
}

fn times(by: f32, mut lot: Lot) -> Lot {
    for value in &mut lot {
        *value *= by;
    }
    lot
}

fn add(to: &mut Lot, by: f32, lot: &Lot) {
    for neck in 0..SIDE {
        to[neck] += by * lot[neck];
    }
}
