//! The nut's blank at true size: from its end face, and from above, with every slot marked.

use instrument::Instrument;
use instrument::lanes::Lane;
use play::Playing;

use super::arch::{Arch, curve, seen};
use super::draft::{Draft, Head, exact, traced};
use super::string_plan::{Along, name_sides, number_strings, string_name};
use super::table::Table;
use crate::pictures::Look;
use crate::{Path, Point, Scene};

/// Depth of the strip from above, mm: as thick as nuts are made, or thicker.
const STRIP_MM: f64 = 8.0;
/// What is left to file with the strings on, mm (common practice, no source).
const LAST_MM: f64 = 0.1;
/// How far strings' centres are carried on over the top, mm.
const OVER_TOP_MM: (f64, f64) = (0.8, 3.2);

/// The nut's front face and the nut from above, at true size, for the asked set-up.
///
/// What it is for: to lay out the blank, to saw and file the slots. The top is the best circle
/// through the strings' middles, so that half of each string stands proud (common practice, no
/// source). The blank stands on the board's underside. On a fan everything is measured along the
/// nut. Layers: `cut` (the blank's face), `wood` (the finished camber in front of the nut), `slots`,
/// `string centres`, `nut` (the front line from above), `slot centres`, `outline`, `centreline`,
/// `marks` and `words`.
pub fn nut_pattern(playing: &Playing<'_>, look: Look) -> Scene {
    let instrument = playing.instrument;
    let nut = Nut::of(playing);
    let mut draft = nut.face();
    draft.put_in_line(&nut.strip(), 7.0);
    draft.put_below(&nut.table(playing, look).drawn(), 5.0);
    draft.finish(&instrument.title, &nut.head(playing, look))
}

/// One slot on the nut.
struct Slot {
    /// Its middle along the nut from the centreline, mm.
    t: f64,
    /// Its floor over the crown's plane, mm.
    floor_mm: f64,
    /// The string's diameter: the slot's width, mm.
    gauge_mm: f64,
}

/// The nut laid out.
struct Nut<'a> {
    instrument: &'a Instrument,
    along: Along,
    /// Its ends along it: treble, bass, mm.
    ends: (f64, f64),
    slots: Vec<Slot>,
    top: Arch,
}

impl<'a> Nut<'a> {
    fn of(playing: &Playing<'a>) -> Self {
        let instrument = playing.instrument;
        let along = Along(instrument.outline.nut);
        let [treble, bass] = instrument.outline.edges_of(instrument.outline.nut);
        let ends = (along.of(treble), along.of(bass));
        let heights = playing.lines.iter().zip(&playing.set_up.strings);
        let lanes = instrument.lanes.iter().zip(&instrument.strings);
        let slots: Vec<Slot> = lanes
            .zip(heights)
            .map(|((lane, string), (line, set))| Slot {
                t: along.of(lane.nut),
                floor_mm: line.datum.0 + set.to.nut_mm,
                gauge_mm: string.gauge.mm(),
            })
            .collect();
        let middles: Vec<(f64, f64)> = slots
            .iter()
            .map(|slot| (slot.t, slot.floor_mm + 0.5 * slot.gauge_mm))
            .collect();
        let half = ends.0.abs().max(ends.1.abs());
        let wood = instrument.camber.radius(0.0).curvature();
        Self {
            top: Arch::through(&middles, half, wood),
            instrument,
            along,
            ends,
            slots,
        }
    }

    /// The wood in front of the nut, mm over its crown.
    fn wood_mm(&self, t: f64) -> f64 {
        let (x, y) = self.along.place(t);
        self.instrument.camber.height(x, y)
    }

    /// The wood's line: an arc where the nut is square, else the camber's own section.
    fn wood(&self) -> Path {
        let (treble, bass) = self.ends;
        if self.along.0.slope == 0.0 {
            let radius = self.instrument.camber.radius(self.along.0.x_mm);
            return Arch::level(radius.curvature(), 0.0).path(treble, bass);
        }
        curve(|t| self.wood_mm(t), treble, bass)
    }

    /// The front face, treble side at the left.
    fn face(&self) -> Draft {
        let mut draft = Draft::default();
        let (treble, bass) = self.ends;
        let foot = -self.instrument.wood.crown_thickness_mm;
        let (left, right) = (seen(treble, foot), seen(bass, foot));
        let blank = [self.top.path(treble, bass), Path::line(right, left)];
        draft.cut("cut", traced(&blank));
        draft.hair("wood", self.wood());
        let crest = self
            .slots
            .iter()
            .map(|slot| self.top.height(slot.t))
            .fold(self.top.height(0.0), f64::max);
        draft.chain(seen(0.0, foot - 3.0), seen(0.0, crest));
        for slot in &self.slots {
            draft.hair("slots", self.slot(slot));
            draft.tick(
                "string centres",
                seen(slot.t, foot),
                seen(slot.t, slot.floor_mm),
            );
        }
        let feet: Vec<Point> = self
            .slots
            .iter()
            .map(|slot| seen(slot.t, self.top.height(slot.t) + OVER_TOP_MM.0))
            .collect();
        number_strings(&mut draft, &feet, seen(0.0, crest + OVER_TOP_MM.1 + 0.8).y);
        name_sides(&mut draft, self.ends, foot);
        draft
    }

    /// A slot as it is filed: as wide as the string, its floor round, open at the top.
    fn slot(&self, slot: &Slot) -> Path {
        let radius = 0.5 * slot.gauge_mm;
        let middle_mm = slot.floor_mm + radius;
        let top_mm = self.top.height(slot.t);
        // Where the top lies under the string's middle, the round begins lower.
        let begins = ((middle_mm - top_mm) / radius.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        let begins = begins.asin().to_degrees();
        let floor = Path::arc(seen(slot.t, middle_mm), radius, 180.0 - begins, begins);
        if top_mm <= middle_mm {
            return floor;
        }
        let wall = |side: f64| seen(slot.t + side * radius, top_mm);
        let mut path = Path::new().move_to(wall(1.0));
        for segment in floor.segments {
            path.segments.push(match segment {
                crate::Segment::Move(at) => crate::Segment::Line(at),
                other => other,
            });
        }
        path.line_to(wall(-1.0))
    }

    /// The nut from above, front face below: its ends along the board's edges, the slots' middles
    /// along the lanes.
    fn strip(&self) -> Draft {
        let mut draft = Draft::default();
        let (treble, bass) = self.ends;
        let outline = &self.instrument.outline;
        let front = |t: f64| Point::new(-t, STRIP_MM);
        let (treble_back, bass_back) = (
            self.back(treble, &slanted(outline.treble.rise)),
            self.back(bass, &slanted(-outline.bass.rise)),
        );
        let corners = [treble_back, bass_back, front(bass), front(treble)];
        draft.hair("outline", Path::polygon(&corners));
        draft.tick("nut", front(treble), front(bass));
        draft.chain(self.back(0.0, &slanted(0.0)), front(0.0));
        let lanes = self.instrument.lanes.iter().zip(&self.slots);
        let mut feet = Vec::new();
        for (lane, slot) in lanes {
            let (back, front) = (self.back(slot.t, lane), front(slot.t));
            draft.tick("slot centres", back, front);
            for side in [-0.5, 0.5] {
                // As wide as the string square to it; along a slanted nut that is more.
                let off = side * slot.gauge_mm / self.along.direction(lane).1;
                draft.tick(
                    "slots",
                    Point::new(back.x + off, back.y),
                    Point::new(front.x + off, front.y),
                );
            }
            feet.push(Point::new(back.x, -0.8));
        }
        number_strings(&mut draft, &feet, -3.4);
        let words = "from above; front face, toward the saddle, below";
        draft.figure(
            Point::new(-treble, STRIP_MM + 5.4),
            words,
            crate::Anchor::Start,
        );
        draft
    }

    /// Where a lane that crosses the front face at a place comes out at the strip's back.
    fn back(&self, t: f64, lane: &Lane) -> Point {
        let (along, square) = self.along.direction(lane);
        // Back from the front face the lane runs the other way along the nut.
        Point::new(STRIP_MM * along / square - t, 0.0)
    }

    fn table(&self, playing: &Playing<'_>, look: Look) -> Table {
        let mut table = Table::new([
            "string",
            "from the treble end",
            "from the string before",
            "slot width",
            "floor over the wood",
            "depth under the top",
        ]);
        for (index, slot) in self.slots.iter().enumerate() {
            let before = index
                .checked_sub(1)
                .and_then(|before| self.slots.get(before));
            let over_wood = playing.set_up.strings[index].slot_over_wood_mm;
            table.row([
                string_name(self.instrument, index),
                exact(look, self.ends.0 - slot.t, 2),
                before.map_or("–".into(), |before| exact(look, before.t - slot.t, 2)),
                exact(look, slot.gauge_mm, 3),
                exact(look, over_wood, 2),
                exact(look, self.top.height(slot.t) - slot.floor_mm, 2),
            ]);
        }
        table
    }

    fn head(&self, playing: &Playing<'_>, look: Look) -> Head {
        let crown = exact(look, self.instrument.wood.crown_thickness_mm, 2);
        let radius = self.top.radius_mm();
        let top = if radius.is_finite() {
            format!("a circle of radius {}", exact(look, radius, 1))
        } else {
            "a straight line".into()
        };
        let width = exact(look, self.ends.0 - self.ends.1, 2);
        let mut notes = vec![
            format!(
                "Nut {width} wide. Its top is {top} through the strings' middles, so that about \
                 half of each string stands proud (common practice). Saw narrow, then file with \
                 the string's own width, falling toward the head."
            ),
            format!(
                "The fine arch is the finished wood in front of the nut; the bottom line is the \
                 board's underside, {crown} below the crown. For a nut in a groove cut it higher."
            ),
            format!(
                "For relief {} and the asked actions. File the last \
                 {} with the strings on; a slot too deep is not filed back.",
                exact(look, playing.set_up.relief_mm.0, 2),
                exact(look, LAST_MM, 2)
            ),
        ];
        if self.along.0.slope != 0.0 {
            notes.push("The nut is slanted: all is drawn and measured along it, but slot widths are square to \
                 the string."
                    .into());
        }
        notes.push(
            "Bone and shell dust harms the lungs: wet it or extract it, wear a fitted respirator; \
             local rules come first."
                .into(),
        );
        Head {
            name: "nut pattern",
            purpose: "To lay out the nut's blank and its slots by; true size.".into(),
            notes,
        }
    }
}

/// A line along the board that moves sideways by so much for each millimetre: an edge, or the
/// centreline.
fn slanted(rise: f64) -> Lane {
    Lane {
        nut: (0.0, 0.0),
        saddle: (1.0, rise),
    }
}
