//! The nut or the saddle seen from its end: where the strings lie on it, how high, and how far
//! each is off the best circle through them.

use super::chart::{
    KeyEntry, draw_key, draw_nothing, draw_title, is_sound, key_height_mm, line_sample, or_else,
    range, round_factor,
};
use super::frame::{Look, TEXT_MM, WIDE_MM, words_mm};
use crate::{Anchor, Axis, AxisSide, Dash, Ink, Item, LinearScale, Path, Point, Scene, Stroke};

/// Where the outer ends of the body lie on the sheet, mm.
const LEFT_MM: f64 = 16.0;
const RIGHT_MM: f64 = WIDE_MM - 16.0;
/// The highest that a string's underside is drawn, mm.
const TOP_MM: f64 = 27.0;
/// The most that the heights take on the sheet, mm.
const HEIGHTS_MM: f64 = 26.0;
/// How much of the body is drawn under the lowest string, mm.
const BODY_MM: f64 = 16.0;
/// Size of the words about departures, mm.
const DEPARTURE_MM: f64 = 2.8;
/// The largest radius of a drawn string, mm.
const THICKEST_MM: f64 = 4.0;

/// The nut or the saddle from its end.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SaddlePicture {
    /// What the picture is called.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub description: String,
    /// The strings, the highest first: place from the centreline toward the treble side, height
    /// of the underside over the base, and gauge, all mm.
    pub strings: Vec<(f64, f64, f64)>,
    /// Radius of the best circle through the undersides, mm; infinite for a straight line.
    pub circle_mm: Option<f64>,
    /// What the heights are over: `heights over the bridge`.
    pub base_words: String,
}

impl SaddlePicture {
    /// The strings that can be drawn, with their place in the list.
    fn sound(&self) -> Vec<(usize, (f64, f64, f64))> {
        let strings = self.strings.iter().copied().enumerate();
        strings
            .filter(|(_, (y, height, _))| is_sound(*y) && is_sound(*height))
            .collect()
    }

    /// The circle's radius, if it is one.
    fn radius_mm(&self) -> Option<f64> {
        self.circle_mm
            .filter(|mm| *mm > 0.0 && (is_sound(*mm) || *mm == f64::INFINITY))
    }
}

/// A circle's place over the strings.
#[derive(Clone, Copy)]
struct Placed {
    radius_mm: f64,
    /// Where its crest lies across, mm.
    middle_mm: f64,
    /// Height of the crest, mm.
    crest_mm: f64,
    /// Rise toward the treble side of a circle that is a straight line.
    slope: f64,
}

impl Placed {
    /// The circle of a radius laid through the undersides by least squares; nothing if it does
    /// not reach them all.
    fn through(strings: &[(usize, (f64, f64, f64))], radius_mm: f64) -> Option<Self> {
        let points: Vec<(f64, f64)> = strings
            .iter()
            .map(|string| (string.1.0, string.1.1))
            .collect();
        let count = points.len() as f64;
        let mut placed = Self {
            radius_mm,
            middle_mm: points.iter().map(|point| point.0).sum::<f64>() / count,
            crest_mm: 0.0,
            slope: 0.0,
        };
        // Gauss-Newton in the crest's two places; a straight line takes one step.
        for _ in 0..20 {
            let rest = |(y, z): &(f64, f64)| Some((placed.tilt(*y)?, z - placed.height(*y)?));
            let rests: Vec<(f64, f64)> = points.iter().map(rest).collect::<Option<_>>()?;
            let (tilt, off) = line_through(&rests);
            if radius_mm.is_finite() {
                placed.middle_mm += tilt;
            } else {
                placed.slope += tilt;
            }
            placed.crest_mm += off;
        }
        points
            .iter()
            .all(|(y, _)| placed.height(*y).is_some_and(is_sound))
            .then_some(placed)
    }

    /// Height of the circle at a place, mm; nothing where it does not reach.
    fn height(&self, y: f64) -> Option<f64> {
        let off = y - self.middle_mm;
        if self.radius_mm.is_infinite() {
            return Some(self.crest_mm + self.slope * off);
        }
        let root = (self.radius_mm * self.radius_mm - off * off).sqrt();
        // A root of less than nothing is NaN, past the circle's end.
        (root > 0.0).then(|| self.crest_mm - off * off / (self.radius_mm + root))
    }

    /// How the height at a place changes with the crest's place across, or with the slope.
    fn tilt(&self, y: f64) -> Option<f64> {
        let off = y - self.middle_mm;
        if self.radius_mm.is_infinite() {
            return Some(off);
        }
        let root = (self.radius_mm * self.radius_mm - off * off).sqrt();
        (root > 0.0).then(|| off / root)
    }
}

/// The straight line `(slope, height)` through points by least squares; level where all stand
/// at one place.
fn line_through(points: &[(f64, f64)]) -> (f64, f64) {
    let count = points.len().max(1) as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x, z) = (mean(|point| point.0), mean(|point| point.1));
    let spread: f64 = points.iter().map(|point| (point.0 - x).powi(2)).sum();
    let joint: f64 = points
        .iter()
        .map(|point| (point.0 - x) * (point.1 - z))
        .sum();
    let slope = if spread > 1e-18 { joint / spread } else { 0.0 };
    (slope, z - slope * x)
}

/// The body with its strings, treble side at the left, heights drawn larger than widths by a
/// factor that is stated and the body cut off below. Departures are from the circle of the given
/// radius laid through the undersides by least squares. Strings are keyed `lane-N`.
pub fn saddle_picture(picture: &SaddlePicture, look: Look) -> Scene {
    let title = or_else(&picture.title, "Strings from the end");
    let strings = picture.sound();
    let circle = picture
        .radius_mm()
        .and_then(|radius_mm| Placed::through(&strings, radius_mm));
    let plot = Plot::of(&strings, circle);
    let foot = plot.as_ref().map_or(64.0, |plot| plot.foot_mm);
    let key = key(picture, circle, look);
    let top = foot + 16.0;
    let height = top + key_height_mm(&key) + 2.0;
    let words = description(picture, &strings, circle, look);
    let mut scene = Scene::new(WIDE_MM, height, title, words);
    match &plot {
        Some(plot) => plot.draw(&mut scene, &strings, look),
        None => draw_nothing(
            &mut scene,
            Point::new(0.5 * WIDE_MM, 0.5 * foot),
            "no string's height is known yet",
        ),
    }
    draw_key(&mut scene, &key, top);
    draw_title(&mut scene);
    scene
}

fn description(
    picture: &SaddlePicture,
    strings: &[(usize, (f64, f64, f64))],
    circle: Option<Placed>,
    look: Look,
) -> String {
    let words =
        |(index, string): &(usize, (f64, f64, f64))| string_words(*index, *string, circle, look);
    let list: Vec<String> = strings.iter().take(24).map(words).collect();
    let list = if list.is_empty() {
        "no string's height is known".to_owned()
    } else {
        list.join("; ")
    };
    format!(
        "{} {}: {list}.",
        picture.description.trim(),
        or_else(&picture.base_words, "heights")
    )
    .trim()
    .to_owned()
}

/// A string's height and its departure from the circle, in words.
fn string_words(
    index: usize,
    (y, height, _): (f64, f64, f64),
    circle: Option<Placed>,
    look: Look,
) -> String {
    let mut words = format!("string {} at {}", index + 1, look.length(height, 2));
    if let Some(on_circle) = circle.and_then(|circle| circle.height(y)) {
        words.push_str(", ");
        words.push_str(&departure_words(height - on_circle, look));
    }
    words
}

/// A departure in words, to a hundredth of a millimetre.
fn departure_words(mm: f64, look: Look) -> String {
    if mm.abs() < 0.005 {
        return "on the circle".to_owned();
    }
    let side = if mm > 0.0 { "above" } else { "below" };
    format!("{} {side}", look.length(mm.abs(), 2))
}

struct Plot {
    across: LinearScale,
    /// Millimetres of scene for a millimetre of height.
    up: f64,
    highest_mm: f64,
    factor: f64,
    foot_mm: f64,
    circle: Option<Placed>,
}

impl Plot {
    /// Nothing where no string is known.
    fn of(strings: &[(usize, (f64, f64, f64))], circle: Option<Placed>) -> Option<Self> {
        let (low_y, high_y) = range(strings.iter().map(|string| string.1.0))?;
        let beside = (0.09 * (high_y - low_y)).max(2.0);
        // The treble side lies at the left.
        let across = LinearScale::new((low_y - beside, high_y + beside), (RIGHT_MM, LEFT_MM));
        let per_mm = (RIGHT_MM - LEFT_MM) / (high_y - low_y + 2.0 * beside);
        let on_circle = strings
            .iter()
            .filter_map(|string| circle?.height(string.1.0));
        let heights = strings.iter().map(|string| string.1.1).chain(on_circle);
        let (lowest_mm, highest_mm) = range(heights)?;
        let span = (highest_mm - lowest_mm).max(0.05);
        let factor = round_factor(HEIGHTS_MM / span / per_mm).min(20.0);
        let up = (factor * per_mm).min(HEIGHTS_MM / span);
        Some(Self {
            across,
            up,
            highest_mm,
            factor: up / per_mm,
            foot_mm: TOP_MM + up * (highest_mm - lowest_mm) + BODY_MM,
            circle,
        })
    }

    fn y(&self, height_mm: f64) -> f64 {
        TOP_MM + self.up * (self.highest_mm - height_mm)
    }

    fn point(&self, y: f64, height_mm: f64) -> Point {
        Point::new(self.across.at(y), self.y(height_mm))
    }

    fn draw(&self, scene: &mut Scene, strings: &[(usize, (f64, f64, f64))], look: Look) {
        self.draw_body(scene, strings);
        self.draw_circle(scene);
        self.draw_strings(scene, strings, look);
        let factor = (10.0 * self.factor).round() / 10.0;
        let at = Point::new(WIDE_MM - 3.0, 9.0);
        let caption = format!("heights × {factor}, cut off below");
        let caption = Item::text(at, caption, TEXT_MM, Ink::FaintText);
        scene.layer("words").add(caption.anchored(Anchor::End));
        let title = look.title("from the centreline (treble side at the left)");
        Axis::new(
            AxisSide::Below,
            look.scale(self.across),
            self.foot_mm,
            title,
        )
        .draw(scene);
    }

    /// The body under the strings, level outside them.
    fn draw_body(&self, scene: &mut Scene, strings: &[(usize, (f64, f64, f64))]) {
        let mut top: Vec<Point> = strings
            .iter()
            .map(|(_, (y, height, _))| self.point(*y, *height))
            .collect();
        top.sort_by(|a, b| a.x.total_cmp(&b.x));
        let edge = |at: f64, like: Option<&Point>| like.map(|point| Point::new(at, point.y + 1.0));
        let (left, right) = (edge(LEFT_MM, top.first()), edge(RIGHT_MM, top.last()));
        let mut face: Vec<Point> = left.into_iter().chain(top).collect();
        face.extend(right);
        let line = Path::polyline(&face);
        face.push(Point::new(RIGHT_MM, self.foot_mm));
        face.push(Point::new(LEFT_MM, self.foot_mm));
        let layer = scene.layer("body");
        layer.add(Item::filled(Path::polygon(&face), Ink::Wood));
        layer.add(Item::stroked(line, Ink::WoodEdge, 0.4));
    }

    fn draw_circle(&self, scene: &mut Scene) {
        let Some(circle) = self.circle else {
            return;
        };
        let point = |step: i32| {
            let x = LEFT_MM + (RIGHT_MM - LEFT_MM) * f64::from(step) / 96.0;
            let y = self.across.figure_at(x);
            let height = circle.height(y).filter(|height| is_sound(*height))?;
            Some(self.point(y, height))
        };
        let points: Vec<Point> = (0..=96).filter_map(point).collect();
        let frame = Path::rect(
            LEFT_MM,
            TOP_MM - 4.0,
            RIGHT_MM - LEFT_MM,
            self.foot_mm - TOP_MM + 4.0,
        );
        let line = Item::path(Path::polyline(&points), Some(circle_line()), None);
        scene.layer("circle").add(Item::clipped(vec![line], frame));
    }

    fn draw_strings(&self, scene: &mut Scene, strings: &[(usize, (f64, f64, f64))], look: Look) {
        let (mut above, mut below) = (Row::default(), Row::default());
        for (index, string) in strings {
            let at = self.point(string.0, string.1);
            let is_pointed = look.pointed.is_some_and(|pointed| pointed.lane == *index);
            let (ink, name_ink) = if is_pointed {
                (Ink::Accent, Ink::Accent)
            } else {
                (Ink::String, Ink::FaintText)
            };
            let radius = self.drawn_radius_mm(string.2);
            let wire = Path::circle(Point::new(at.x, at.y - radius), radius);
            let item = Item::filled(wire, ink).keyed(format!("lane-{index}"));
            let words = string_words(*index, *string, self.circle, look);
            scene.layer("strings").add(item.labelled(words));
            let height = look.length(string.1, 2);
            let name = format!("string {}", index + 1);
            let half = 0.5 * words_mm(&height, TEXT_MM).max(words_mm(&name, TEXT_MM));
            if above.takes(at.x, half) {
                let base = self.curve_top_mm(at.x, half).min(at.y - 2.0 * radius) - 1.6;
                let words = |up: f64, text: String, ink: Ink| {
                    let item = Item::text(Point::new(at.x, base - up), text, TEXT_MM, ink);
                    item.anchored(Anchor::Middle)
                };
                let layer = scene.layer("heights");
                layer.add(words(3.9, name, name_ink));
                layer.add(words(0.0, height, Ink::Text));
            }
            self.draw_departure(scene, at, *string, &mut below, look);
        }
    }

    /// A string's radius on the sheet, large enough to be seen, mm.
    fn drawn_radius_mm(&self, gauge_mm: f64) -> f64 {
        let gauge = if is_sound(gauge_mm) { gauge_mm } else { 0.0 };
        (0.5 * self.up / self.factor * gauge).clamp(0.5, THICKEST_MM)
    }

    /// The departure of a string from the circle, in the body under it.
    fn draw_departure(
        &self,
        scene: &mut Scene,
        at: Point,
        (y, height, _): (f64, f64, f64),
        below: &mut Row,
        look: Look,
    ) {
        let Some(on_circle) = self.circle.and_then(|circle| circle.height(y)) else {
            return;
        };
        let words = departure_words(height - on_circle, look);
        let half = 0.5 * words_mm(&words, DEPARTURE_MM);
        if below.takes(at.x, half) {
            let base = self.curve_foot_mm(at.x, half).max(at.y) + 3.8;
            let place = Point::new(at.x, base.min(self.foot_mm - 1.0));
            let words = Item::text(place, words, DEPARTURE_MM, Ink::Text);
            scene
                .layer("departures")
                .add(words.anchored(Anchor::Middle));
        }
    }

    /// Heights of the circle on the sheet at both ends of a word, mm.
    fn curve_at(&self, x: f64, half: f64) -> impl Iterator<Item = f64> + '_ {
        let ends = [x - half, x + half].into_iter();
        ends.filter_map(|x| Some(self.y(self.circle?.height(self.across.figure_at(x))?)))
    }

    fn curve_top_mm(&self, x: f64, half: f64) -> f64 {
        self.curve_at(x, half).fold(f64::INFINITY, f64::min)
    }

    fn curve_foot_mm(&self, x: f64, half: f64) -> f64 {
        self.curve_at(x, half).fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Which places of a row of words are taken: middles and half widths, mm.
#[derive(Default)]
struct Row {
    taken: Vec<(f64, f64)>,
}

impl Row {
    /// Takes a place about a middle, unless other words stand there.
    fn takes(&mut self, middle: f64, half: f64) -> bool {
        let free = |other: &(f64, f64)| (other.0 - middle).abs() >= other.1 + half + 1.0;
        let is_free = self.taken.iter().all(free);
        if is_free {
            self.taken.push((middle, half));
        }
        is_free
    }
}

fn circle_line() -> Stroke {
    Stroke::new(Ink::Accent, 0.5).dashed(Dash::Dashed)
}

fn key(picture: &SaddlePicture, circle: Option<Placed>, look: Look) -> Vec<KeyEntry> {
    let mut entries = Vec::new();
    if let Some(circle) = circle {
        let words = if circle.radius_mm.is_infinite() {
            "best straight line".to_owned()
        } else {
            format!("best circle, radius {}", look.length(circle.radius_mm, 0))
        };
        entries.push(KeyEntry {
            sample: vec![line_sample(circle_line())],
            words,
        });
    }
    entries.push(KeyEntry {
        sample: Vec::new(),
        words: or_else(&picture.base_words, "heights of the strings' undersides").to_owned(),
    });
    entries
}
