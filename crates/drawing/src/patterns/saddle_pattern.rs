//! The saddle's blank at true size: from its end face, and from above with every string's set-back.

use instrument::Instrument;
use play::Playing;
use play::tuning::Way;

use super::arch::{Arch, seen};
use super::draft::{Draft, HAIR_MM, Head, exact, signed, traced};
use super::string_plan::{Along, name_sides, number_strings, string_name};
use super::table::Table;
use crate::pictures::Look;
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene};

/// How far the blank passes the outer strings, mm (common practice, no source).
const PAST_STRINGS_MM: f64 = 5.0;
/// Least wood under the lowest string, mm.
const LEAST_BODY_MM: f64 = 3.0;
/// Half the length of a mark across its lane, mm.
const HALF_MARK_MM: f64 = 1.6;
/// A departure from the circle smaller than this is none, mm.
const ON_CIRCLE_MM: f64 = 0.005;

/// The saddle's face and the saddle from above, at true size, for the asked set-up.
///
/// What it is for: to shape the saddle's top and to place its crest. Heights are over the finished
/// board's plane carried on, on the centreline; the top is the best circle through the strings'
/// undersides. Set-backs are those of the saddle alone, along each lane. On a fan everything is
/// measured along the saddle's line. Layers: `cut` (the blank's face), `heights` (where each string
/// lies), `string centres`, `saddle line` (before compensation), `lanes`, `set-backs`,
/// `straight saddle`, `centreline`, `marks` and `words`.
pub fn saddle_pattern(playing: &Playing<'_>, look: Look) -> Scene {
    let saddle = Saddle::of(playing);
    let mut draft = saddle.face();
    draft.put_in_line(&saddle.plan(), 7.0);
    draft.put_below(&saddle.table(look).drawn(), 5.0);
    draft.finish(&playing.instrument.title, &saddle.head(look))
}

/// The saddle laid out; lists have one entry for each string, highest first.
struct Saddle<'a> {
    instrument: &'a Instrument,
    along: Along,
    /// Places along it from the centreline and heights over the board's plane, mm.
    tops: Vec<(f64, f64)>,
    /// Its ends along it: treble, bass, mm.
    ends: (f64, f64),
    top: Arch,
    /// Height of its bottom line, mm.
    foot_mm: f64,
    /// Set-backs of the saddle alone, and of the best straight saddle, mm.
    own: Vec<Option<f64>>,
    straight: Vec<Option<f64>>,
}

impl<'a> Saddle<'a> {
    fn of(playing: &Playing<'a>) -> Self {
        let instrument = playing.instrument;
        let along = Along(instrument.ends.saddle);
        let lanes = instrument.lanes.iter().zip(&playing.set_up.strings);
        let tops: Vec<(f64, f64)> = lanes
            .map(|(lane, set)| (along.of(lane.saddle), set.saddle_over_plane_mm))
            .collect();
        let outer = tops.first().zip(tops.last());
        let (treble, bass) = outer.map_or((0.0, 0.0), |(treble, bass)| (treble.0, bass.0));
        let ends = (treble + PAST_STRINGS_MM, bass - PAST_STRINGS_MM);
        let half = ends.0.abs().max(ends.1.abs());
        let lowest = tops.iter().map(|top| top.1).fold(f64::INFINITY, f64::min);
        let tuning = playing.tuning();
        Self {
            top: Arch::through(&tops, half, 0.0),
            foot_mm: (lowest - LEAST_BODY_MM).min(0.0),
            own: set_backs(&tuning.saddle_only),
            straight: set_backs(&tuning.straight),
            instrument,
            along,
            tops,
            ends,
        }
    }

    fn face(&self) -> Draft {
        let mut draft = Draft::default();
        let (treble, bass) = self.ends;
        let (left, right) = (seen(treble, self.foot_mm), seen(bass, self.foot_mm));
        let blank = [self.top.path(treble, bass), Path::line(right, left)];
        draft.cut("cut", traced(&blank));
        let crest = self
            .tops
            .iter()
            .map(|top| top.1.max(self.top.height(top.0)))
            .fold(self.top.height(0.0), f64::max);
        draft.chain(seen(0.0, self.foot_mm - 3.0), seen(0.0, crest));
        let mut feet = Vec::new();
        for (t, z) in &self.tops {
            draft.tick(
                "heights",
                seen(t + HALF_MARK_MM, *z),
                seen(t - HALF_MARK_MM, *z),
            );
            let under = z.min(self.top.height(*t));
            draft.tick("string centres", seen(*t, self.foot_mm), seen(*t, under));
            feet.push(seen(*t, z.max(self.top.height(*t)) + 0.8));
        }
        number_strings(&mut draft, &feet, seen(0.0, crest + 4.0).y);
        name_sides(&mut draft, self.ends, self.foot_mm);
        draft
    }

    /// From above, the nut upward: the line before compensation, and each string's set-back.
    fn plan(&self) -> Draft {
        let mut draft = Draft::default();
        let (treble, bass) = self.ends;
        draft.tick(
            "saddle line",
            Point::new(-treble, 0.0),
            Point::new(-bass, 0.0),
        );
        let most = self.own.iter().chain(&self.straight).flatten();
        let most = most.fold(0.0, |most: f64, back| most.max(*back));
        draft.chain(Point::new(0.0, -4.0), Point::new(0.0, most + 5.0));
        let mut feet = Vec::new();
        for (index, lane) in self.instrument.lanes.iter().enumerate() {
            draft.tick("lanes", self.at(index, -3.0), self.at(index, most + 3.0));
            feet.push(self.at(index, -3.8));
            if let Some(back) = self.own[index] {
                let at = self.at(index, back);
                // Square to the lane, which leans a little on the saddle's line.
                let (along, square) = self.along.direction(lane);
                let (dx, dy) = (HALF_MARK_MM * square, HALF_MARK_MM * along);
                let mark = Path::line(
                    Point::new(at.x - dx, at.y - dy),
                    Point::new(at.x + dx, at.y + dy),
                );
                draft.hair("set-backs", mark);
            }
        }
        let straight: Vec<Point> = self
            .straight
            .iter()
            .enumerate()
            .filter_map(|(index, back)| Some(self.at(index, (*back)?)))
            .collect();
        let mut words = "from above, the nut upward; short marks: each string".to_owned();
        if straight.len() > 1 {
            let line = Item::stroked(Path::polyline(&straight), Ink::Accent, HAIR_MM);
            draft.add("straight saddle", line.dashed(Dash::Dashed));
            words.push_str("; broken line: straight saddle");
        }
        number_strings(&mut draft, &feet, -6.4);
        draft.figure(Point::new(-treble, most + 8.5), words, Anchor::Start);
        draft
    }

    /// A point on a lane so many mm past the line before compensation.
    fn at(&self, index: usize, back_mm: f64) -> Point {
        let (along, square) = self.along.direction(&self.instrument.lanes[index]);
        Point::new(-(self.tops[index].0 + back_mm * along), back_mm * square)
    }

    fn table(&self, look: Look) -> Table {
        let mut table = Table::new([
            "string",
            "from the centreline",
            "height over the plane",
            "off the circle",
            "set-back",
            "straight saddle there",
        ]);
        let back = |mm: Option<f64>| mm.map_or("not known".into(), |mm| signed(look, mm, 2));
        for (index, top) in self.tops.iter().enumerate() {
            let off = self.top.distance_mm(*top);
            let off = if off.abs() < ON_CIRCLE_MM {
                "none".into()
            } else {
                signed(look, off, 2)
            };
            table.row([
                string_name(self.instrument, index),
                signed(look, top.0, 2),
                exact(look, top.1, 2),
                off,
                back(self.own[index]),
                back(self.straight[index]),
            ]);
        }
        table
    }

    fn head(&self, look: Look) -> Head {
        let radius = self.top.radius_mm();
        let top = if radius.is_finite() {
            format!("the best circle, radius {}", exact(look, radius, 1))
        } else {
            "a straight line".into()
        };
        let mut notes = vec![
            format!(
                "Top: {top}; the short level marks are where each string shall lie. Heights are \
                 over the finished board's plane carried on to the saddle, on the centreline{}. Cut \
                 the foot to your bridge.",
                if self.foot_mm < 0.0 {
                    format!("; the bottom line lies {} under it", exact(look, -self.foot_mm, 2))
                } else {
                    ", which is the bottom line".into()
                }
            ),
            "Set-backs are along each string from the scale's end, away from the nut, with the nut \
             left where it is; plus lengthens the string. Places across: plus is the treble side."
                .into(),
        ];
        if self.own.contains(&None) {
            notes.push("A string whose stretch is not known has no set-back and no mark.".into());
        }
        if self.along.0.slope != 0.0 {
            notes.push("The saddle is slanted: all is drawn and measured along its line.".into());
        }
        notes.push(
            "Bone dust harms the lungs: wet it or extract it. Slacken strings before the saddle \
             moves; local rules come first."
                .into(),
        );
        Head {
            name: "saddle pattern",
            purpose: "To shape the saddle's top and to place its crest by; true size.".into(),
            notes,
        }
    }
}

fn set_backs(way: &Way) -> Vec<Option<f64>> {
    let backs = way.set_back.iter();
    backs.map(|back| back.map(|back| back.saddle_mm)).collect()
}
