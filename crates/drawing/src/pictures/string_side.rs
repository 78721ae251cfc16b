//! A string seen from the side over its lane, stopped at a fret: the frets' tops, the string at
//! rest, how low it swings, and where it comes nearest to a fret.

use instrument::fret_name;

use super::chart::{
    KeyEntry, draw_key, draw_nothing, draw_on_plate, draw_title, is_sound, key_height_mm,
    line_sample, or_else, range, round_factor,
};
use super::frame::{Look, TEXT_MM, WIDE_MM, words_mm};
use crate::{Anchor, Ink, Item, LinearScale, Path, Point, Scene, Stroke, nice_ticks};

/// Where the nut's end of the board lies on the sheet, mm.
const LEFT_MM: f64 = 22.0;
/// Where the drawn board ends, mm.
const BOARD_MM: f64 = 206.0;
/// Where the string goes on behind the break, mm.
const BEHIND_MM: f64 = 212.0;
/// Where the saddle stands, mm.
const SADDLE_MM: f64 = 230.0;
/// The highest that anything of the string is drawn, mm.
const TOP_MM: f64 = 20.0;
/// The most that the heights take on the sheet, mm.
const HEIGHTS_MM: f64 = 58.0;
/// Thickness of the board drawn under the frets, mm.
const BOARD_THICK_MM: f64 = 8.0;
/// Height and width of a fret's drawn crown, mm.
const CROWN_MM: (f64, f64) = (2.2, 2.8);

/// A string from the side. Heights are over one straight level, whichever the caller takes, mm;
/// places are along the lane from the nut, mm. Figures that are no number, or past a million,
/// cost themselves only.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StringSide {
    /// What the picture is called.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub description: String,
    /// The frets' tops, `(x, z)` in mm, by fret; 0 is the nut.
    pub tops: Vec<(f64, f64)>,
    /// The fret that stops the string; 0 for the open string.
    pub stopped_at: usize,
    /// Where the string leaves that fret or the nut, `(x, z)` in mm.
    pub from: (f64, f64),
    /// Where it meets the saddle, `(x, z)` in mm.
    pub saddle: (f64, f64),
    /// How far it swings down from rest: the place in mm, rising, and the depth in mm.
    pub swept: Vec<(f64, f64)>,
    /// The fret with the least room, and the room in mm; less than nothing where the string
    /// touches.
    pub least: Option<(usize, f64)>,
    /// Half the 95 % interval of each top by fret, mm; empty where it is not known.
    pub uncertainty_mm: Vec<f64>,
}

impl StringSide {
    /// Height of the string at rest at a place, mm.
    fn rest_mm(&self, x: f64) -> f64 {
        let (from, saddle) = (self.from, self.saddle);
        from.1 + (saddle.1 - from.1) * (x - from.0) / (saddle.0 - from.0)
    }

    /// The swing's lower bound at its known places: place and height, mm.
    fn lower_bound(&self) -> Vec<(f64, f64)> {
        let bound = |(x, depth): &(f64, f64)| (*x, self.rest_mm(*x) - depth);
        let places = self.swept.iter().map(bound);
        places.filter(|place| is_place(*place)).collect()
    }

    /// The height of the lower bound at a place between two known ones, mm.
    fn bound_mm(&self, x: f64) -> Option<f64> {
        let bound = self.lower_bound();
        let pair = bound
            .windows(2)
            .find(|pair| pair[0].0 <= x && x <= pair[1].0)?;
        let share = ((x - pair[0].0) / (pair[1].0 - pair[0].0)).clamp(0.0, 1.0);
        // Two figures for one place leave no share; the first of them counts.
        let share = if share.is_nan() { 0.0 } else { share };
        Some(pair[0].1 + share * (pair[1].1 - pair[0].1))
    }

    /// The tops that can be drawn, with their fret.
    fn sound_tops(&self) -> impl Iterator<Item = (usize, (f64, f64))> + '_ {
        let tops = self.tops.iter().copied().enumerate();
        tops.filter(|top| is_place(top.1))
    }

    /// Half the 95 % interval of a fret's top, if it is known.
    fn uncertainty(&self, fret: usize) -> Option<f64> {
        let half = self.uncertainty_mm.get(fret).copied()?;
        (is_sound(half) && half > 0.0).then_some(half)
    }
}

fn is_place((x, z): (f64, f64)) -> bool {
    is_sound(x) && is_sound(z)
}

/// The side view, heights drawn larger than lengths by a factor that is stated, nut at the left.
/// The string is cut between board and saddle. Tops are keyed `fret-N`.
pub fn string_side(side: &StringSide, look: Look) -> Scene {
    let title = or_else(&side.title, "String from the side");
    let plot = Plot::of(side);
    let foot = plot.as_ref().map_or(70.0, Plot::foot_mm);
    let key = key(side);
    let height = foot + 9.0 + key_height_mm(&key) + 2.0;
    let mut scene = Scene::new(WIDE_MM, height, title, description(side, look));
    match &plot {
        Some(plot) => plot.draw(&mut scene, side, look),
        None => draw_nothing(
            &mut scene,
            Point::new(0.5 * WIDE_MM, 0.5 * foot),
            "the frets' tops and the string are not known yet",
        ),
    }
    draw_key(&mut scene, &key, foot + 9.0);
    draw_title(&mut scene);
    scene
}

fn description(side: &StringSide, look: Look) -> String {
    let least = least_words(side, look).map_or(String::new(), |words| format!(" {words}."));
    let stopped = stop_words(side.stopped_at);
    format!("{} {stopped}.{least}", side.description.trim())
        .trim()
        .to_owned()
}

fn stop_words(fret: usize) -> String {
    match fret {
        0 => "Open string".to_owned(),
        fret => format!("String stopped at {}", fret_name(fret)),
    }
}

/// The place of least room in words, or where the string touches.
fn least_words(side: &StringSide, look: Look) -> Option<String> {
    let (fret, room) = side.least?;
    let name = match fret {
        0 => "the nut".to_owned(),
        fret => fret_name(fret),
    };
    if !is_sound(room) {
        return Some(format!("least room at {name}: not known"));
    }
    let length = look.length(room.abs(), 2);
    Some(if room < 0.0 {
        format!("touches {name}: {length} too little")
    } else {
        format!("least room at {name}: {length}")
    })
}

/// The scales: lengths and heights in mm of scene for a millimetre.
struct Plot {
    along: LinearScale,
    /// Millimetres of scene for a millimetre of height.
    up: f64,
    /// The height at [`TOP_MM`], mm.
    highest_mm: f64,
    /// The lowest height drawn, mm.
    lowest_mm: f64,
    /// How many times larger heights are drawn than lengths.
    factor: f64,
}

impl Plot {
    /// Nothing where no top is known, or the string has no two ends.
    fn of(side: &StringSide) -> Option<Self> {
        let (first, last) = range(side.sound_tops().map(|top| top.1.0))?;
        let has_string =
            is_place(side.from) && is_place(side.saddle) && side.saddle.0 > side.from.0;
        if !has_string {
            return None;
        }
        let length = (last - first).max(1.0);
        let end = last + 0.03 * length;
        let along = LinearScale::new((first, end), (LEFT_MM, BOARD_MM));
        let heights = heights(side, end);
        let (low, high) = range(heights.into_iter())?;
        let high = high.max(low + 0.1);
        let per_mm = (BOARD_MM - LEFT_MM) / (end - first);
        let factor = round_factor(HEIGHTS_MM / (high - low) / per_mm);
        // Heights past any fretboard's would leave the sheet even at their true size.
        let up = (factor * per_mm).min(HEIGHTS_MM / (high - low));
        Some(Self {
            along,
            up,
            highest_mm: high,
            lowest_mm: low,
            factor: up / per_mm,
        })
    }

    fn point(&self, (x, z): (f64, f64)) -> Point {
        Point::new(self.along.at(x), self.y(z))
    }

    fn y(&self, z: f64) -> f64 {
        TOP_MM + self.up * (self.highest_mm - z)
    }

    /// The lower side of the drawn board, mm of scene.
    fn foot_mm(&self) -> f64 {
        self.y(self.lowest_mm) + CROWN_MM.0 + BOARD_THICK_MM
    }

    fn draw(&self, scene: &mut Scene, side: &StringSide, look: Look) {
        self.draw_board(scene, side);
        self.draw_swing(scene, side);
        self.draw_string(scene, side);
        self.draw_tops(scene, side, look);
        self.draw_numbers(scene, side, look);
        self.draw_least(scene, side, look);
        self.draw_scale(scene, look);
        let factor = if self.factor >= 1.0 {
            format!("heights × {}", (10.0 * self.factor).round() / 10.0)
        } else {
            "heights drawn smaller than lengths".to_owned()
        };
        let caption = format!("{} · {factor}", stop_words(side.stopped_at));
        let at = Point::new(WIDE_MM - 3.0, 9.0);
        let caption = Item::text(at, caption, TEXT_MM, Ink::FaintText);
        scene.layer("words").add(caption.anchored(Anchor::End));
    }

    /// The wood under the frets, as the tops rise and fall.
    fn draw_board(&self, scene: &mut Scene, side: &StringSide) {
        let lowered = |z: f64| self.y(z) + CROWN_MM.0;
        let mut top: Vec<Point> = side
            .sound_tops()
            .map(|(_, (x, z))| Point::new(self.along.at(x), lowered(z)))
            .collect();
        top.sort_by(|a, b| a.x.total_cmp(&b.x));
        if let Some(last) = top.last().copied() {
            top.push(Point::new(BOARD_MM, last.y));
        }
        let face = Path::polyline(&top);
        top.push(Point::new(BOARD_MM, self.foot_mm()));
        top.push(Point::new(LEFT_MM, self.foot_mm()));
        let wood = Item::filled(Path::polygon(&top), Ink::Wood);
        scene.layer("wood").add(wood);
        scene
            .layer("wood")
            .add(Item::stroked(face, Ink::WoodEdge, 0.3));
    }

    /// The band that the swinging string sweeps below its rest.
    fn draw_swing(&self, scene: &mut Scene, side: &StringSide) {
        let bound = side.lower_bound();
        if bound.len() < 2 {
            return;
        }
        let low: Vec<Point> = bound.iter().map(|place| self.point(*place)).collect();
        let rest = bound.iter().map(|place| (place.0, side.rest_mm(place.0)));
        let rest: Vec<Point> = rest.map(|place| self.point(place)).collect();
        let outline: Vec<Point> = low.iter().copied().chain(rest.into_iter().rev()).collect();
        let items = vec![
            Item::filled(Path::polygon(&outline), Ink::AccentFill),
            Item::stroked(Path::polyline(&low), Ink::Accent, 0.4),
        ];
        // Behind the last fret nothing hinders the swing.
        scene
            .layer("swing")
            .add(Item::clipped(items, self.window()));
    }

    /// The part of the sheet over the drawn board.
    fn window(&self) -> Path {
        let top = TOP_MM - 2.0;
        Path::rect(
            LEFT_MM,
            top,
            BOARD_MM - LEFT_MM,
            (self.foot_mm() - top).max(1.0),
        )
    }

    /// The string at rest, cut by a break sign before the saddle.
    fn draw_string(&self, scene: &mut Scene, side: &StringSide) {
        let end = self.along.figure_at(BOARD_MM + 1.5);
        let layer = scene.layer("string");
        // A string stopped past the drawn board cannot be; its line would run backward.
        if side.from.0 < end && side.saddle.0 > end {
            let rest = Path::line(self.point(side.from), self.point((end, side.rest_mm(end))));
            layer.add(Item::stroked(rest, Ink::String, 0.7));
        } else if side.saddle.0 <= end {
            let rest = Path::line(self.point(side.from), self.point(side.saddle));
            layer.add(Item::stroked(rest, Ink::String, 0.7));
            return;
        }
        let back = (SADDLE_MM - BEHIND_MM) / (BOARD_MM - LEFT_MM)
            * (self.along.domain_end - self.along.domain_start);
        let before = (side.saddle.0 - back).max(side.from.0);
        let from = Point::new(BEHIND_MM, self.y(side.rest_mm(before)));
        let saddle = Point::new(SADDLE_MM, self.y(side.saddle.1));
        layer.add(Item::stroked(Path::line(from, saddle), Ink::String, 0.7));
        let body = [
            saddle,
            Point::new(saddle.x + 2.6, saddle.y + 0.8),
            Point::new(saddle.x + 2.6, self.foot_mm()),
            Point::new(saddle.x - 1.4, self.foot_mm()),
            Point::new(saddle.x - 1.4, saddle.y + 0.8),
        ];
        layer.add(Item::path(
            Path::polygon(&body),
            Some(Stroke::new(Ink::Line, 0.3)),
            Some(Ink::Wood),
        ));
        self.draw_break(scene, 0.5 * (self.y(side.rest_mm(end)) + from.y));
        let at = Point::new(saddle.x + 0.6, self.foot_mm() + 4.6);
        let word = Item::text(at, "saddle", TEXT_MM, Ink::FaintText);
        scene.layer("numbers").add(word.anchored(Anchor::Middle));
    }

    /// Two slanted strokes: here a part of the length is left out.
    fn draw_break(&self, scene: &mut Scene, y: f64) {
        for x in [BOARD_MM + 2.2, BOARD_MM + 4.4] {
            let stroke = Path::line(Point::new(x - 0.8, y + 2.8), Point::new(x + 0.8, y - 2.8));
            scene
                .layer("string")
                .add(Item::stroked(stroke, Ink::Line, 0.35));
        }
    }

    /// The frets' crowns with the bars of their 95 % intervals; the one pointed at stands out.
    fn draw_tops(&self, scene: &mut Scene, side: &StringSide, look: Look) {
        let width = self.crown_width_mm(side);
        for (fret, (x, z)) in side.sound_tops() {
            let at = self.point((x, z));
            let is_pointed = look.pointed.is_some_and(|pointed| pointed.fret == fret);
            let ink = if is_pointed { Ink::Accent } else { Ink::Fret };
            let shape = match fret {
                0 => Path::rect(at.x - 2.4, at.y, 2.4, CROWN_MM.0),
                _ => crown(at, width),
            };
            let mut items = vec![Item::filled(shape, ink)];
            if let Some(half) = side.uncertainty(fret) {
                items.push(Item::stroked(self.bar(at, half), Ink::Text, 0.25));
            }
            let words = format!("{}: top at {}", fret_name(fret), look.length(z, 2));
            let item = Item::group(items).keyed(format!("fret-{fret}"));
            scene.layer("tops").add(item.labelled(words));
        }
        let finger = self.point(side.from);
        if side.stopped_at > 0 && finger.x < BOARD_MM {
            let tip = [(0.0, -0.8), (-1.8, -4.4), (1.8, -4.4)];
            let tip = tip.map(|(dx, dy)| Point::new(finger.x + dx, finger.y + dy));
            let shape = Item::filled(Path::polygon(&tip), Ink::Second);
            scene.layer("finger").add(shape);
        }
    }

    fn crown_width_mm(&self, side: &StringSide) -> f64 {
        let mut places: Vec<f64> = side
            .sound_tops()
            .map(|top| self.along.at(top.1.0))
            .collect();
        places.sort_by(f64::total_cmp);
        let gaps = places.windows(2).map(|pair| 0.75 * (pair[1] - pair[0]));
        gaps.fold(CROWN_MM.1, f64::min).max(0.3)
    }

    /// An upright bar with caps, half so high in mm of height.
    fn bar(&self, at: Point, half_mm: f64) -> Path {
        let reach = (self.up * half_mm).min(20.0);
        let (top, bottom) = (at.y - reach, (at.y + reach).min(self.foot_mm()));
        let cap = |y: f64| Path::line(Point::new(at.x - 0.7, y), Point::new(at.x + 0.7, y));
        let mut bar = Path::line(Point::new(at.x, top), Point::new(at.x, bottom));
        bar.append(&cap(top));
        bar.append(&cap(bottom));
        bar
    }

    fn draw_numbers(&self, scene: &mut Scene, side: &StringSide, look: Look) {
        let mut free_from = f64::NEG_INFINITY;
        for (fret, (x, _)) in side.sound_tops() {
            let name = match fret {
                0 => "nut".to_owned(),
                fret => fret.to_string(),
            };
            let x = self.along.at(x);
            let half = 0.5 * words_mm(&name, TEXT_MM);
            if x - half < free_from {
                continue;
            }
            free_from = x + half + 1.2;
            let is_pointed = look.pointed.is_some_and(|pointed| pointed.fret == fret);
            let ink = if is_pointed {
                Ink::Accent
            } else {
                Ink::FaintText
            };
            let at = Point::new(x, self.foot_mm() + 4.6);
            let number = Item::text(at, name, TEXT_MM, ink).anchored(Anchor::Middle);
            scene.layer("numbers").add(number);
        }
    }

    /// The gap of least room between two arrows, and its words above the string.
    fn draw_least(&self, scene: &mut Scene, side: &StringSide, look: Look) {
        let Some(words) = least_words(side, look) else {
            return;
        };
        let (fret, room) = side.least.unwrap_or_default();
        let Some((_, (x, z))) = side.sound_tops().find(|top| top.0 == fret) else {
            return;
        };
        let ink = if room < 0.0 { Ink::Caution } else { Ink::Text };
        let at = self.point((x, z));
        let bound = side.bound_mm(x).unwrap_or_else(|| side.rest_mm(x));
        let ring_at = Point::new(at.x, 0.5 * (at.y + self.y(bound)));
        let reach = (0.5 * (at.y - self.y(bound)).abs() + 1.0).clamp(2.0, 8.0);
        let (place, label) = self.least_label(side, at.x, &words);
        let leader = Path::line(
            Point::new(at.x, label + 1.0),
            Point::new(at.x, (ring_at.y - reach).max(label + 1.0)),
        );
        let layer = scene.layer("least");
        layer.add(Item::stroked(leader, ink, 0.25));
        layer.add(Item::stroked(Path::circle(ring_at, reach), ink, 0.5));
        draw_on_plate(scene, Point::new(place, label), &words, ink, Anchor::End);
    }

    /// Where the words about the gap at a place of the sheet end, and their height: to the left
    /// of the place if there is room, for the string rises to the right, and clear of the finger.
    fn least_label(&self, side: &StringSide, x: f64, words: &str) -> (f64, f64) {
        let width = words_mm(words, TEXT_MM);
        let right = (x + 3.0).max(LEFT_MM + width).min(WIDE_MM - 3.0);
        let mut label = self.y(side.rest_mm(self.along.figure_at(right))) - 3.0;
        let finger = self.point(side.from);
        if side.stopped_at > 0 && right - width < finger.x + 3.0 {
            label = label.min(finger.y - 6.5);
        }
        (right, label.clamp(14.5, self.foot_mm()))
    }

    /// A bar of a round height at the left.
    fn draw_scale(&self, scene: &mut Scene, look: Look) {
        // Between 6 and 20 mm on the sheet, round in the unit that is shown.
        let per_unit = look.figure(1.0);
        let (low, high) = (6.0 / self.up * per_unit, 20.0 / self.up * per_unit);
        let ticks = nice_ticks(0.0, high, 2);
        let Some(round) = ticks.into_iter().find(|tick| *tick >= low) else {
            return;
        };
        let mm = round / per_unit;
        let (x, top) = (5.0, TOP_MM);
        let foot = top + self.up * mm;
        let mut bar = Path::line(Point::new(x, top), Point::new(x, foot));
        for y in [top, foot] {
            bar.append(&Path::line(Point::new(x - 1.2, y), Point::new(x + 1.2, y)));
        }
        let layer = scene.layer("scale");
        layer.add(Item::stroked(bar, Ink::Line, 0.35));
        let at = Point::new(x + 2.0, 0.5 * (top + foot) + 1.1);
        let words = look.length(mm, 2);
        layer.add(Item::text(at, words, TEXT_MM, Ink::FaintText));
    }
}

/// Every height that must find room: tops with their intervals, and the string over the board
/// and at the saddle.
fn heights(side: &StringSide, end: f64) -> Vec<f64> {
    let tops = side.sound_tops().map(|top| top.1.1);
    let bound = side.lower_bound().into_iter();
    let bound = bound.filter(|place| place.0 <= end).map(|place| place.1);
    let rest = [
        side.from.1,
        side.rest_mm(end.min(side.saddle.0)),
        side.saddle.1,
    ];
    tops.chain(bound).chain(rest).collect()
}

/// A fret's crown with its top at a point.
fn crown(top: Point, width: f64) -> Path {
    let (half, foot) = (0.5 * width, top.y + CROWN_MM.0);
    let left = Point::new(top.x - half, foot);
    let right = Point::new(top.x + half, foot);
    Path::new()
        .move_to(left)
        .cubic_to(
            Point::new(left.x, top.y + 0.6),
            Point::new(top.x - 0.55 * half, top.y),
            top,
        )
        .cubic_to(
            Point::new(top.x + 0.55 * half, top.y),
            Point::new(right.x, top.y + 0.6),
            right,
        )
        .close()
}

fn key(side: &StringSide) -> Vec<KeyEntry> {
    let entry = |sample: Vec<Item>, words: &str| KeyEntry {
        sample,
        words: words.to_owned(),
    };
    let mut entries = vec![entry(
        vec![line_sample(Stroke::new(Ink::String, 0.7))],
        "string at rest",
    )];
    if side.lower_bound().len() >= 2 {
        let band = Path::rect(-4.5, -1.6, 9.0, 3.0);
        let edge = Path::line(Point::new(-4.5, 1.4), Point::new(4.5, 1.4));
        let sample = vec![
            Item::filled(band, Ink::AccentFill),
            Item::stroked(edge, Ink::Accent, 0.4),
        ];
        entries.push(entry(sample, "how low it swings"));
    }
    if side.stopped_at > 0 {
        let tip = [(0.0, 1.6), (-1.8, -2.0), (1.8, -2.0)].map(|(x, y)| Point::new(x, y));
        let sample = vec![Item::filled(Path::polygon(&tip), Ink::Second)];
        entries.push(entry(sample, "finger"));
    }
    if (0..side.tops.len()).any(|fret| side.uncertainty(fret).is_some()) {
        let mut bar = Path::line(Point::new(0.0, -1.8), Point::new(0.0, 1.8));
        for y in [-1.8, 1.8] {
            bar.append(&Path::line(Point::new(-0.7, y), Point::new(0.7, y)));
        }
        let sample = vec![Item::stroked(bar, Ink::Text, 0.25)];
        entries.push(entry(sample, "95 % interval of the tops"));
    }
    entries
}
