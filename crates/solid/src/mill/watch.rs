//! Where the proof looks, and how low the wood may be there after each program.

use instrument::Instrument;
use instrument::dots::Dot;

use super::Operation;
use super::face::Face;
use super::finish::Passes;
use super::outline_cut::Tab;
use super::slots::Slot;
use super::sweep::{Field, Spot};

/// From one row of watched places to the next along the board, mm.
const ROW_MM: f64 = 2.5;
/// Places nearer to a wall in plan than this count for the lower side.
pub(crate) const WALL_MM: f64 = 1e-3;
/// How far past a wall a place lies that counts for the higher side, mm.
const PAST_WALL_MM: f64 = 1.2e-3;
/// How far before a wall the floor must be reached, mm: more than the rounding of the moves and
/// the chords of their arcs.
const BEFORE_WALL_MM: f64 = 5e-4;
/// Columns and rows of the picture of what is left.
pub(crate) const PICTURE: [usize; 2] = [181, 41];

/// What a watched place is part of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Zone {
    /// The face alone.
    Face,
    /// A slot, down to a floor over the bed, mm.
    Slot(f64),
    /// A dot's pocket, down to a floor over the bed, mm.
    Dot(f64),
    /// The waste around the board.
    Waste,
    /// A tab that holds the board, so high over the bed, mm.
    Tab(f64),
}

/// A watched place: the finished face there, and what it is part of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Watched {
    /// The finished face, mm over the bed; of no meaning in the waste.
    pub face: f64,
    pub zone: Zone,
    /// True where the program whose zone it is must reach its floor.
    pub reached: bool,
}

/// How low programs may go besides the face.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limits {
    /// What roughing leaves, mm.
    pub allowance_mm: f64,
    /// The blank's top, mm over the bed: a blank may be thinner than roughing would leave it.
    pub blank_mm: f64,
    /// How deep the outline goes into the bed, mm.
    pub into_bed_mm: f64,
}

impl Watched {
    /// The least height that the wood may have here after a program, mm over the bed.
    pub(crate) fn floor(&self, after: Operation, limits: Limits) -> f64 {
        match self.zone {
            Zone::Waste if after == Operation::Outline => -limits.into_bed_mm,
            Zone::Waste => 0.0,
            Zone::Tab(height) if after == Operation::Outline => height,
            Zone::Tab(_) => 0.0,
            _ if after == Operation::Rough => limits.blank_mm.min(self.face + limits.allowance_mm),
            Zone::Slot(floor) if after >= Operation::Slots => floor,
            Zone::Dot(floor) if after >= Operation::Dots => floor,
            _ => self.face,
        }
    }
}

/// What the whole board asks for, in plan.
pub(crate) struct Site<'a> {
    pub instrument: &'a Instrument,
    pub face: &'a Face,
    pub slots: &'a [Slot],
    /// Dots with the radius and the floor that their pockets get.
    pub dots: &'a [(Dot, f64, f64)],
    pub tabs: &'a [Tab],
    /// Width of the groove around the board, mm.
    pub groove_mm: f64,
}

/// All watched places and the wood at them.
#[derive(Clone, Debug)]
pub(crate) struct Watch {
    pub field: Field,
    pub watched: Vec<Watched>,
    /// How many of the first places are the picture's.
    pub picture: usize,
}

impl Watch {
    /// The places to watch on a blank as it lies on the bed, `more` places among them.
    pub(crate) fn new(site: &Site<'_>, passes: Option<&Passes>, more: Vec<[f64; 2]>) -> Self {
        let mut plan = picture(site);
        let picture = plan.len();
        face_places(site, passes, &mut plan);
        wall_places(site, &mut plan);
        waste_places(site, &mut plan);
        plan.extend(more);
        let watched: Vec<Watched> = plan.iter().map(|&[x, y]| site.watched(x, y)).collect();
        let blank = site.instrument.blank;
        let inside = |x: f64, y: f64| {
            x >= blank.from_x_mm
                && x <= blank.from_x_mm + blank.length_mm
                && y.abs() <= 0.5 * blank.width_mm
        };
        let spot = |(index, &[x, y]): (usize, &[f64; 2])| {
            inside(x, y).then_some(Spot {
                x,
                y,
                stock: blank.thickness_mm,
                index: u32::try_from(index).ok()?,
            })
        };
        let spots = plan.iter().enumerate().filter_map(spot).collect();
        Self {
            field: Field::new(spots, ROW_MM),
            watched,
            picture,
        }
    }
}

impl Site<'_> {
    fn watched(&self, x: f64, y: f64) -> Watched {
        let outline = &self.instrument.outline;
        let inside = self.board_inside(x, y);
        if inside < WALL_MM {
            let tab = self.tabs.iter().find(|tab| tab.holds(x, y));
            let zone = match tab {
                Some(tab) if self.board_away(x, y) <= self.groove_mm => Zone::Tab(tab.height_mm),
                _ => Zone::Waste,
            };
            let half = outline.half_width(x);
            return Watched {
                face: self.face.height(x, y.clamp(-half, half)),
                zone,
                reached: (0.01..self.groove_mm - 0.02).contains(&self.board_away(x, y))
                    && !self
                        .tabs
                        .iter()
                        .any(|tab| tab.is_near(x, y, self.groove_mm)),
            };
        }
        let face = self.face.height(x, y);
        let slot = self.slots.iter().find(|slot| slot.holds(x, y, WALL_MM));
        let dot = || {
            let near = |(dot, radius, _): &&(Dot, f64, f64)| {
                (x - dot.x_mm).hypot(y - dot.y_mm) <= radius + WALL_MM
            };
            self.dots.iter().find(near)
        };
        let zone = match slot {
            Some(slot) => Zone::Slot(slot.floor_mm(face)),
            None => dot().map_or(Zone::Face, |(_, _, floor)| Zone::Dot(*floor)),
        };
        let reached = match (slot, dot()) {
            (Some(slot), _) => slot.holds(x, y, -0.9 * BEFORE_WALL_MM) && !slot.is_near_end(x, y),
            (None, Some((dot, radius, _))) => {
                (x - dot.x_mm).hypot(y - dot.y_mm) < radius - 0.9 * BEFORE_WALL_MM
            }
            (None, None) => false,
        };
        Watched {
            face,
            zone,
            reached,
        }
    }

    /// How far inside the outline a place lies, mm; negative outside.
    fn board_inside(&self, x: f64, y: f64) -> f64 {
        let outline = &self.instrument.outline;
        let square = |slope: f64| 1.0 / (1.0 + slope * slope).sqrt();
        let treble = (outline.treble.at(x) - y) * square(outline.treble.rise);
        let bass = (outline.bass.at(x) + y) * square(outline.bass.rise);
        let nut = (x - outline.nut.x_at(y)) * square(outline.nut.slope);
        let end = (outline.end.x_at(y) - x) * square(outline.end.slope);
        treble.min(bass).min(nut).min(end)
    }

    /// How far from the outline a place outside of it lies, mm.
    fn board_away(&self, x: f64, y: f64) -> f64 {
        let corners = self.instrument.outline.corners();
        let away = |index: usize| {
            let (from, to) = (corners[index], corners[(index + 1) % 4]);
            let (dx, dy) = (to.0 - from.0, to.1 - from.1);
            let share = ((x - from.0) * dx + (y - from.1) * dy) / (dx * dx + dy * dy);
            let share = share.clamp(0.0, 1.0);
            (x - from.0 - share * dx).hypot(y - from.1 - share * dy)
        };
        (0..4).map(away).fold(f64::INFINITY, f64::min)
    }
}

/// The picture's places, row by row from the bass edge.
fn picture(site: &Site<'_>) -> Vec<[f64; 2]> {
    let [columns, rows] = PICTURE;
    let share = |index: usize, count: usize| index as f64 / (count - 1) as f64;
    let place = |row, column| {
        let (x, y) = site
            .instrument
            .outline
            .place(share(column, columns), share(row, rows));
        [x, y]
    };
    (0..rows)
        .flat_map(|row| (0..columns).map(move |column| (row, column)))
        .map(|(row, column)| place(row, column))
        .collect()
}

/// Rows across the face: at every pass and exactly between passes, and at both edges; without
/// passes every millimetre.
fn face_places(site: &Site<'_>, passes: Option<&Passes>, plan: &mut Vec<[f64; 2]>) {
    for piece in &site.face.pieces {
        let [from, to] = piece.x_mm;
        let rows = ((to - from) / ROW_MM).ceil().max(1.0);
        for row in 0..=rows as usize {
            let x = from + (to - from) * row as f64 / rows;
            let Some((low, high)) = site.instrument.outline.span(x) else {
                continue;
            };
            plan.extend([[x, low], [x, high]]);
            let Some(passes) = passes else {
                let count = (high - low).ceil().max(1.0);
                plan.extend(
                    (1..count as usize).map(|i| [x, low + (high - low) * i as f64 / count]),
                );
                continue;
            };
            for ruling in &passes.rulings {
                for ruling in [*ruling, ruling + 0.5 * passes.step] {
                    let y = site.face.on_ruling(piece, ruling, x)[1];
                    if y > low && y < high {
                        plan.push([x, y]);
                    }
                }
            }
        }
    }
}

/// Places across slots and around pockets, close to both sides of every wall.
fn wall_places(site: &Site<'_>, plan: &mut Vec<[f64; 2]>) {
    for slot in site.slots {
        let half = slot.half_width_mm;
        let count = (slot.length_mm() / 1.0).ceil().max(1.0) as usize;
        for index in 0..=count {
            let along = index as f64 / count as f64;
            for aside in [
                -half - PAST_WALL_MM,
                BEFORE_WALL_MM - half,
                0.0,
                half - BEFORE_WALL_MM,
                half + PAST_WALL_MM,
            ] {
                plan.push(slot.place(along, aside));
            }
        }
        for end in [0.0, 1.0] {
            for past in [-PAST_WALL_MM, PAST_WALL_MM, 0.02] {
                plan.push(slot.past_end(end, past));
            }
        }
    }
    for (dot, radius, _) in site.dots {
        for turn in 0..72 {
            let (s, c) = (f64::from(turn) * 5.0).to_radians().sin_cos();
            for out in [
                0.0,
                0.3 * radius,
                0.6 * radius,
                0.9 * radius,
                radius - BEFORE_WALL_MM,
                radius + PAST_WALL_MM,
            ] {
                plan.push([dot.x_mm + out * c, dot.y_mm + out * s]);
            }
        }
    }
}

/// Places on both sides of the outline, in the groove, and in the waste out to the blank's edges.
fn waste_places(site: &Site<'_>, plan: &mut Vec<[f64; 2]>) {
    let corners = site.instrument.outline.corners();
    for index in 0..4 {
        let (from, to) = (corners[index], corners[(index + 1) % 4]);
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        // The corners run with the clock, so that outward lies to the left.
        let outward = [-dy / length, dx / length];
        let count = (length / 1.5).ceil().max(1.0) as usize;
        for step in 0..=count {
            let share = step as f64 / count as f64;
            let at = [from.0 + share * dx, from.1 + share * dy];
            for out in [
                -PAST_WALL_MM,
                0.0,
                0.05,
                0.5 * site.groove_mm,
                site.groove_mm - 0.01,
                site.groove_mm + 0.05,
            ] {
                plan.push([at[0] + out * outward[0], at[1] + out * outward[1]]);
            }
        }
    }
    let blank = site.instrument.blank;
    let count = |length: f64| (length / 3.0).ceil().max(1.0) as usize;
    let (along, across) = (count(blank.length_mm), count(blank.width_mm));
    for column in 0..=along {
        let x = blank.from_x_mm + blank.length_mm * column as f64 / along as f64;
        for row in 0..=across {
            let y = blank.width_mm * (row as f64 / across as f64 - 0.5);
            if site.board_inside(x, y) < 0.0 {
                plan.push([x, y]);
            }
        }
    }
}
