//! How far each string stays off pitch at every fret.

use instrument::fret_name;

use super::chart::{
    KeyEntry, draw_key, draw_nothing, draw_title, is_sound, key_height_mm, line_sample, or_else,
    range, signed_text, string_mark,
};
use super::frame::{Look, TEXT_MM, WIDE_MM, words_mm};
use crate::{Anchor, Axis, AxisSide, Ink, Item, LinearScale, Path, Point, Scene, Stroke};

/// The chart's frame on the sheet, mm.
const LEFT_MM: f64 = 16.0;
const RIGHT_MM: f64 = WIDE_MM - 6.0;
const TOP_MM: f64 = 15.0;
const FOOT_MM: f64 = 95.0;
/// The least that the chart reaches to either side of zero, cents.
const LEAST_CENTS: f64 = 1.0;
/// The most that a string can be off, cents; more comes from a fault.
const MOST_CENTS: f64 = 1.0e4;
/// Reach of a mark where there is room for it, mm.
const MARK_MM: f64 = 1.25;

/// Cents that are left at every fret of some strings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CentsChart {
    /// What the chart is called.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub description: String,
    /// The last fret's number.
    pub frets: usize,
    /// The strings, the highest first.
    pub strings: Vec<CentsLine>,
    /// Half the width of the band that passes for in tune, cents; 0 or less for no band.
    pub band_cents: f64,
}

/// One string's cents.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CentsLine {
    /// The string's name: `E4`, `string 1`.
    pub name: String,
    /// Cents off the wished pitch by fret, above zero for sharp; 0 is the open string. A figure
    /// that is no number, or past ten thousand cents, costs itself only: no string is so far off.
    pub cents: Vec<f64>,
}

impl CentsChart {
    /// How many frets are drawn besides the open string: as many as have a figure at most.
    fn last_fret(&self) -> usize {
        let longest = self.strings.iter().map(|line| line.cents.len()).max();
        self.frets.min(longest.unwrap_or(0).saturating_sub(1))
    }

    /// A line's figures that can be drawn, with their fret.
    fn figures<'a>(&self, line: &'a CentsLine) -> impl Iterator<Item = (usize, f64)> + use<'a> {
        let figures = line.cents.iter().copied().enumerate();
        let figures = figures.take(self.last_fret() + 1);
        figures.filter(|figure| figure.1.abs() <= MOST_CENTS)
    }

    /// Half the width of the band, if there is one.
    fn band(&self) -> Option<f64> {
        (is_sound(self.band_cents) && self.band_cents > 0.0).then_some(self.band_cents)
    }

    /// Every figure: string, fret, cents.
    fn all(&self) -> impl Iterator<Item = (usize, usize, f64)> + '_ {
        let lines = self.strings.iter().enumerate();
        lines.flat_map(|(string, line)| {
            self.figures(line)
                .map(move |(fret, cents)| (string, fret, cents))
        })
    }
}

/// A line with a mark of its own shape for each string over evenly spaced frets, and the band
/// that passes for in tune. The string pointed at stands out. Frets are keyed `fret-N`, lines
/// `lane-N`.
pub fn cents_chart(chart: &CentsChart, look: Look) -> Scene {
    let title = or_else(&chart.title, "Cents off pitch");
    let key = key(chart, look);
    let top = FOOT_MM + 15.0;
    let height = top + key_height_mm(&key) + 2.0;
    let mut scene = Scene::new(WIDE_MM, height, title, description(chart));
    let plot = Plot::of(chart);
    plot.draw_band(&mut scene, chart);
    plot.draw_axes(&mut scene, chart);
    plot.draw_frets(&mut scene, chart, look);
    for string in drawing_order(chart, look) {
        plot.draw_line(&mut scene, chart, string, look);
    }
    if chart.all().next().is_none() {
        let middle = Point::new(0.5 * (LEFT_MM + RIGHT_MM), 0.5 * (TOP_MM + FOOT_MM));
        draw_nothing(&mut scene, middle, "no string's pitch is known yet");
    }
    draw_key(&mut scene, &key, top);
    draw_title(&mut scene);
    scene
}

fn description(chart: &CentsChart) -> String {
    let farthest = chart.all().max_by(|a, b| a.2.abs().total_cmp(&b.2.abs()));
    let words = farthest.map_or("No figure is known.".to_owned(), |(string, fret, cents)| {
        format!(
            "Farthest off: {} cents, string {}, {}.",
            signed_text(cents, 1),
            string + 1,
            place(fret)
        )
    });
    let band = chart.band().map_or(String::new(), |band| {
        let outside = chart.all().filter(|figure| figure.2.abs() > band).count();
        let all = chart.all().count();
        format!(" {outside} of {all} places are more than {band} cents off.")
    });
    format!("{} {words}{band}", chart.description.trim())
        .trim()
        .to_owned()
}

fn place(fret: usize) -> String {
    match fret {
        0 => "open".to_owned(),
        fret => fret_name(fret),
    }
}

/// The strings from the bottom up: the one pointed at lies on top.
fn drawing_order(chart: &CentsChart, look: Look) -> Vec<usize> {
    let pointed = look.pointed.map(|pointed| pointed.lane);
    let mut order: Vec<usize> = (0..chart.strings.len()).rev().collect();
    order.sort_by_key(|string| Some(*string) == pointed);
    order
}

/// How a string's line is drawn: all alike in weight, or one before the others.
fn stroke(string: usize, look: Look) -> Stroke {
    let inks = [Ink::Accent, Ink::Second, Ink::Third, Ink::Text];
    match look.pointed {
        Some(pointed) if pointed.lane == string => Stroke::new(Ink::Accent, 0.9),
        Some(_) => Stroke::new(Ink::FaintText, 0.25),
        None => Stroke::new(inks[string % inks.len()], 0.35),
    }
}

struct Plot {
    along: LinearScale,
    up: LinearScale,
    strings: usize,
}

impl Plot {
    fn of(chart: &CentsChart) -> Self {
        let last = chart.last_fret().max(1) as f64;
        let (low, high) = range(chart.all().map(|figure| figure.2)).unwrap_or_default();
        let least = chart.band().map_or(LEAST_CENTS, |band| 1.3 * band);
        let (low, high) = (low.min(-least), high.max(least));
        let room = 0.04 * (high - low);
        let beside = 0.6;
        Self {
            along: LinearScale::new((-beside, last + beside), (LEFT_MM, RIGHT_MM)),
            up: LinearScale::new((low - room, high + room), (FOOT_MM, TOP_MM)),
            strings: chart.strings.len(),
        }
    }

    /// Millimetres from fret to fret.
    fn apart_mm(&self) -> f64 {
        self.along.at(1.0) - self.along.at(0.0)
    }

    fn mark_mm(&self) -> f64 {
        MARK_MM.min(0.3 * self.apart_mm())
    }

    /// A figure's point: strings stand a little beside each other, so that none hides another.
    fn point(&self, string: usize, (fret, cents): (usize, f64)) -> Point {
        let middle = 0.5 * (self.strings as f64 - 1.0);
        let step = 0.55 * self.apart_mm() / self.strings.max(1) as f64;
        let aside = (string as f64 - middle) * step.min(1.0);
        Point::new(self.along.at(fret as f64) + aside, self.up.at(cents))
    }

    fn draw_band(&self, scene: &mut Scene, chart: &CentsChart) {
        let Some(band) = chart.band() else {
            return;
        };
        let (top, foot) = (self.up.at(band), self.up.at(-band));
        let place = Path::rect(LEFT_MM, top, RIGHT_MM - LEFT_MM, foot - top);
        let layer = scene.layer("band");
        layer.add(Item::filled(place, Ink::AccentFill));
        for y in [top, foot] {
            let edge = Path::line(Point::new(LEFT_MM, y), Point::new(RIGHT_MM, y));
            layer.add(Item::stroked(edge, Ink::Accent, 0.15));
        }
        let words = format!("within ±{band} cents");
        let at = Point::new(RIGHT_MM - 1.0, 10.0);
        let width = words_mm(&words, TEXT_MM);
        let sample = Path::rect(at.x - width - 8.0, at.y - 2.6, 6.0, 3.2);
        layer.add(Item::path(
            sample,
            Some(Stroke::new(Ink::Accent, 0.15)),
            Some(Ink::AccentFill),
        ));
        layer.add(Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::End));
    }

    fn draw_axes(&self, scene: &mut Scene, chart: &CentsChart) {
        let mut upright = Axis::new(AxisSide::Left, self.up, LEFT_MM, "");
        upright.grid_mm = RIGHT_MM - LEFT_MM;
        upright.tick_count = 8;
        upright.draw(scene);
        let words =
            |x: f64, y: f64, text: &str| Item::text(Point::new(x, y), text, TEXT_MM, Ink::Text);
        let axes = scene.layer("axes");
        axes.add(words(3.0, 11.0, "cents, above zero for sharp"));
        let middle = 0.5 * (LEFT_MM + RIGHT_MM);
        axes.add(words(middle, FOOT_MM + 11.0, "fret").anchored(Anchor::Middle));
        let zero = self.up.at(0.0);
        let line = Path::line(Point::new(LEFT_MM, zero), Point::new(RIGHT_MM, zero));
        axes.add(Item::stroked(line, Ink::Line, 0.4));
        let mut free_from = f64::NEG_INFINITY;
        for fret in 0..=chart.last_fret() {
            let name = match fret {
                0 => "open".to_owned(),
                fret => fret.to_string(),
            };
            let x = self.along.at(fret as f64);
            let half = 0.5 * words_mm(&name, TEXT_MM);
            if x - half >= free_from {
                free_from = x + half + 1.2;
                let at = Point::new(x, FOOT_MM + 5.2);
                let name = Item::text(at, name, TEXT_MM, Ink::FaintText);
                axes.add(name.anchored(Anchor::Middle));
            }
        }
    }

    /// Places to point at, and the line of the fret pointed at.
    fn draw_frets(&self, scene: &mut Scene, chart: &CentsChart, look: Look) {
        let apart = self.apart_mm();
        for fret in 0..=chart.last_fret() {
            let x = self.along.at(fret as f64);
            if look.pointed.is_some_and(|pointed| pointed.fret == fret) {
                let line = Path::line(Point::new(x, TOP_MM), Point::new(x, FOOT_MM));
                let line = Item::stroked(line, Ink::Accent, 0.35);
                scene.layer("pointed").add(line);
            }
            let left = (x - 0.5 * apart).max(LEFT_MM);
            let right = (x + 0.5 * apart).min(RIGHT_MM);
            let area = Path::rect(left, TOP_MM, right - left, FOOT_MM - TOP_MM);
            let area = Item::path(area, None, None).keyed(format!("fret-{fret}"));
            scene.layer("places").add(area.labelled(place(fret)));
        }
    }

    fn draw_line(&self, scene: &mut Scene, chart: &CentsChart, string: usize, look: Look) {
        let Some(line) = chart.strings.get(string) else {
            return;
        };
        let stroke = stroke(string, look);
        let figures: Vec<(usize, f64)> = chart.figures(line).collect();
        // A fret without a figure breaks the line.
        let runs = figures.chunk_by(|a, b| b.0 == a.0 + 1);
        let mut items: Vec<Item> = runs
            .filter(|run| run.len() > 1)
            .map(|run| {
                let points: Vec<Point> = run
                    .iter()
                    .map(|figure| self.point(string, *figure))
                    .collect();
                Item::path(Path::polyline(&points), Some(stroke), None)
            })
            .collect();
        let reach = self.mark_mm() * if stroke.width_mm > 0.5 { 1.25 } else { 1.0 };
        items.extend(figures.iter().map(|figure| {
            let words = format!(
                "{}, {}: {} cents",
                name(line, string),
                place(figure.0),
                signed_text(figure.1, 1)
            );
            let at = self.point(string, *figure);
            string_mark(string, at, stroke.ink, reach).labelled(words)
        }));
        let group = Item::group(items).keyed(format!("lane-{string}"));
        scene.layer("lines").add(group);
    }
}

fn name(line: &CentsLine, string: usize) -> String {
    match line.name.trim() {
        "" => format!("string {}", string + 1),
        name => name.to_owned(),
    }
}

fn key(chart: &CentsChart, look: Look) -> Vec<KeyEntry> {
    let entry = |(string, line): (usize, &CentsLine)| {
        let stroke = stroke(string, look);
        let mark = string_mark(string, Point::new(0.0, 0.0), stroke.ink, MARK_MM);
        KeyEntry {
            sample: vec![line_sample(stroke), mark],
            words: name(line, string),
        }
    };
    chart.strings.iter().enumerate().map(entry).collect()
}
