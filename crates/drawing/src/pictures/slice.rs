//! A slice through the measured surface, along a lane or across the board: the wood with its
//! band, the plan, the next step, the readings, and how it was at earlier visits.

use std::ops::Range;

use super::frame::{Look, TEXT_MM, WIDE_MM, fitted, words_mm};
use super::map_marks::{Ground, MarkKind};
use super::slice_key::{Line, draw_key, key_height_mm, lines};
use crate::{Anchor, Axis, AxisSide, Ink, Item, LinearScale, Path, Point, Scene, Stroke};

/// The chart's frame on the sheet, mm.
const LEFT_MM: f64 = 16.0;
const RIGHT_MM: f64 = WIDE_MM - 6.0;
const TOP_MM: f64 = 20.0;
const FOOT_MM: f64 = 88.0;
/// Height of a line that says what is missing, mm.
const LACK_MM: f64 = 4.6;
/// The least height that the chart spans, mm of wood: less is noise of the hand.
const LEAST_SPAN_MM: f64 = 0.04;

/// Heights along a straight line on the board. Every list of heights goes with `along_mm`, place
/// by place; a figure that is not a number, or is missing at the end, costs its place only.
///
/// Heights are over the planned finished surface, mm.
///
/// Valid range: heights up to 100 mm either way; the figures of higher ones leave the sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Slice {
    /// What the chart is called.
    pub title: String,
    /// What is measured along the level axis, without its unit: `from the nut`.
    pub along_title: String,
    /// Places along the slice, rising, mm.
    pub along_mm: Vec<f64>,
    /// The wood as the readings have it.
    pub wood_mm: Vec<f64>,
    /// The lower end of the 95 % band.
    pub low_mm: Vec<f64>,
    /// The upper end of the 95 % band.
    pub high_mm: Vec<f64>,
    /// The planned surface of the work's end, if it is to be shown: zero unless an allowance is
    /// left for later stages.
    pub planned_mm: Option<Vec<f64>>,
    /// The surface that the next step is to leave, if there is one.
    pub proposed_mm: Option<Vec<f64>>,
    /// Readings that lie on the slice.
    pub readings: Vec<SlicePoint>,
    /// Places named above the chart, such as frets: where along the slice in mm, and the name.
    pub ticks: Vec<(f64, String)>,
    /// The place pointed at, mm along the slice.
    pub pointed_mm: Option<f64>,
    /// The same slice at earlier visits: the visit's name, and the wood at each place.
    pub earlier: Vec<(String, Vec<f64>)>,
}

/// A reading that lies on a slice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlicePoint {
    /// Where along the slice, mm.
    pub along_mm: f64,
    /// The height that it says, mm over the planned finished surface.
    pub value_mm: f64,
    /// Half its 95 % interval, mm; zero or not a number for none.
    pub half_mm: f64,
    /// How the reading is taken.
    pub trust: PointTrust,
}

/// How a reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointTrust {
    /// As it is.
    Taken,
    /// It does not agree with the others.
    Doubted,
    /// The maker set it aside.
    SetAside,
}

impl PointTrust {
    /// The mark that stands for it, the same as on a map.
    pub(super) fn mark(self) -> MarkKind {
        match self {
            Self::Taken => MarkKind::Reading,
            Self::Doubted => MarkKind::Doubted,
            Self::SetAside => MarkKind::SetAside,
        }
    }
}

/// The slice as a chart with a key. Readings are keyed `reading-N` in the order given.
pub fn slice(look: Look, slice: &Slice) -> Scene {
    let title = match slice.title.trim() {
        "" => "Slice through the wood",
        words => words,
    };
    let key = FOOT_MM + 14.0;
    let lacks = key + key_height_mm(slice);
    let height = lacks + LACK_MM * missing(slice).len() as f64 + 2.0;
    let mut scene = Scene::new(WIDE_MM, height, title, description(look, slice));
    match Plot::of(slice) {
        Some(plot) => draw_chart(&mut scene, &plot, look, slice),
        None => draw_nothing(&mut scene),
    }
    draw_key(&mut scene, slice, key);
    draw_what_is_missing(&mut scene, slice, lacks);
    let words = fitted(title, TEXT_MM, WIDE_MM - 6.0);
    scene
        .layer("words")
        .add(Item::text(Point::new(3.0, 4.0), words, TEXT_MM, Ink::Text));
    scene
}

fn draw_chart(scene: &mut Scene, plot: &Plot, look: Look, slice: &Slice) {
    plot.draw_axes(scene, look, slice);
    draw_ticks(scene, plot, slice);
    let mut inside = band(plot, slice);
    inside.extend(pointed(plot, slice));
    for line in lines(slice).iter().rev() {
        inside.extend(curve(plot, slice, line));
    }
    scene
        .layer("figure")
        .add(Item::clipped(inside, chart_frame()));
    draw_readings(scene, plot, look, slice);
}

/// An empty frame that says so, where there is not one place to draw.
fn draw_nothing(scene: &mut Scene) {
    let frame = Item::stroked(chart_frame(), Ink::FaintLine, 0.3);
    scene.layer("figure").add(frame);
    let middle = Point::new(0.5 * WIDE_MM, 0.5 * (TOP_MM + FOOT_MM));
    let words = Item::text(middle, "nothing is measured here yet", 4.0, Ink::FaintText);
    scene.layer("figure").add(words.anchored(Anchor::Middle));
}

fn chart_frame() -> Path {
    Path::rect(LEFT_MM, TOP_MM, RIGHT_MM - LEFT_MM, FOOT_MM - TOP_MM)
}

/// Stretches of neighbouring places with a figure each, two places or more.
pub(super) fn runs(slice: &Slice, heights_mm: &[f64]) -> Vec<Range<usize>> {
    let is_whole = |place: usize| {
        let figure = |list: &[f64]| list.get(place).is_some_and(|figure| figure.is_finite());
        figure(&slice.along_mm) && figure(heights_mm)
    };
    let (mut runs, mut start) = (Vec::new(), 0);
    for place in 0..=slice.along_mm.len() {
        if !is_whole(place) {
            if place > start + 1 {
                runs.push(start..place);
            }
            start = place + 1;
        }
    }
    runs
}

/// Whether the band is known at each place: not a number where it is not.
pub(super) fn band_middles_mm(slice: &Slice) -> Vec<f64> {
    let pairs = slice.low_mm.iter().zip(&slice.high_mm);
    pairs.map(|(low, high)| 0.5 * (low + high)).collect()
}

/// The least and greatest of some figures; nothing if none is finite.
fn range(figures: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    figures
        .filter(|figure| figure.is_finite())
        .fold(None, |range, figure| {
            let (low, high) = range.unwrap_or((figure, figure));
            Some((low.min(figure), high.max(figure)))
        })
}

/// The chart's scales, in millimetres of wood.
struct Plot {
    along: LinearScale,
    up: LinearScale,
}

impl Plot {
    /// Nothing if the slice has not one place.
    fn of(slice: &Slice) -> Option<Self> {
        Some(Self {
            along: LinearScale::new(along_range(slice)?, (LEFT_MM, RIGHT_MM)),
            up: LinearScale::new(up_range(slice), (FOOT_MM, TOP_MM)),
        })
    }

    fn point(&self, (along, height): (f64, f64)) -> Point {
        Point::new(self.along.at(along), self.up.at(height))
    }

    /// A run of a list of heights as points of the sheet.
    fn points(&self, slice: &Slice, heights_mm: &[f64], run: Range<usize>) -> Vec<Point> {
        run.map(|place| self.point((slice.along_mm[place], heights_mm[place])))
            .collect()
    }

    fn draw_axes(&self, scene: &mut Scene, look: Look, slice: &Slice) {
        let (parts, part) = look.small_parts();
        let up = LinearScale {
            domain_start: parts * self.up.domain_start,
            domain_end: parts * self.up.domain_end,
            ..self.up
        };
        let title = format!("over the planned surface, {part}");
        let mut upright = Axis::new(AxisSide::Left, up, LEFT_MM, title);
        upright.grid_mm = RIGHT_MM - LEFT_MM;
        // The axis' own title would stand among the ticks' names.
        let title = std::mem::take(&mut upright.title);
        upright.draw(scene);
        let at = Point::new(3.0, 10.0);
        scene
            .layer("axes")
            .add(Item::text(at, title, TEXT_MM, Ink::Text));
        let words = fitted(&slice.along_title, TEXT_MM, RIGHT_MM - LEFT_MM - 10.0);
        let words = if words.is_empty() {
            "along the slice".to_owned()
        } else {
            words
        };
        let along = look.scale(self.along);
        let mut level = Axis::new(AxisSide::Below, along, FOOT_MM, look.title(&words));
        level.tick_count = 10;
        level.draw(scene);
    }
}

/// From the first place to the last; readings alone count where the slice has no length.
fn along_range(slice: &Slice) -> Option<(f64, f64)> {
    let has_length = |range: &(f64, f64)| range.1 > range.0;
    let places = range(slice.along_mm.iter().copied());
    let points = range(slice.readings.iter().map(|point| point.along_mm));
    let longest = places.filter(has_length).or(points.filter(has_length));
    let about = |(at, _): (f64, f64)| (at - 1.0, at + 1.0);
    longest.or(places.or(points).map(about))
}

/// Room for every curve and reading and the plan; the band is shown as far as it goes at most as
/// wide again, so that what is not known does not flatten what is.
fn up_range(slice: &Slice) -> (f64, f64) {
    let optional = [&slice.planned_mm, &slice.proposed_mm];
    let lists = optional.into_iter().flatten().chain([&slice.wood_mm]);
    let earlier = slice.earlier.iter().map(|visit| &visit.1);
    let curves = lists.chain(earlier).flatten().copied();
    let points = slice.readings.iter().map(|point| point.value_mm);
    // The plan's own level is shown where the plan is; elsewhere the wood fills the chart.
    let plan = slice.planned_mm.is_some().then_some(0.0);
    let (low, high) = range(curves.chain(points).chain(plan)).unwrap_or_default();
    let span = (high - low).max(LEAST_SPAN_MM);
    let bars = slice.readings.iter().flat_map(|point| {
        [
            point.value_mm - point.half_mm,
            point.value_mm + point.half_mm,
        ]
    });
    let band = slice.low_mm.iter().chain(&slice.high_mm).copied();
    let (band_low, band_high) = range(band.chain(bars)).unwrap_or((low, high));
    let low = low.min(band_low.max(low - span));
    let high = high.max(band_high.min(high + span)).max(low + span);
    let room = 0.06 * (high - low);
    (low - room, high + room)
}

/// The 95 % band with its edges, so that it is seen on pale paper too.
fn band(plot: &Plot, slice: &Slice) -> Vec<Item> {
    let mut items = Vec::new();
    for run in runs(slice, &band_middles_mm(slice)) {
        let low = plot.points(slice, &slice.low_mm, run.clone());
        let mut high = plot.points(slice, &slice.high_mm, run);
        let edge = Stroke::new(Ink::Accent, 0.12);
        let edges = [Path::polyline(&low), Path::polyline(&high)];
        high.reverse();
        let outline: Vec<Point> = low.into_iter().chain(high).collect();
        items.push(Item::filled(Path::polygon(&outline), Ink::AccentFill));
        items.extend(edges.map(|path| Item::path(path, Some(edge), None)));
    }
    items
}

/// The line of the place pointed at.
fn pointed(plot: &Plot, slice: &Slice) -> Option<Item> {
    let x = plot.along.at(slice.pointed_mm?);
    let line = Path::line(Point::new(x, TOP_MM), Point::new(x, FOOT_MM));
    Some(Item::stroked(line, Ink::Accent, 0.35))
}

fn curve(plot: &Plot, slice: &Slice, line: &Line<'_>) -> Vec<Item> {
    let stroke = Some(line.stroke);
    let path = |run| Path::polyline(&plot.points(slice, line.heights_mm, run));
    let runs = runs(slice, line.heights_mm).into_iter();
    runs.map(|run| Item::path(path(run), stroke, None))
        .collect()
}

/// Readings with the bars of their 95 % intervals.
fn draw_readings(scene: &mut Scene, plot: &Plot, look: Look, slice: &Slice) {
    let (foot, top) = (FOOT_MM, TOP_MM);
    for (index, point) in slice.readings.iter().enumerate() {
        let at = plot.point((point.along_mm, point.value_mm));
        let layer = scene.layer("readings");
        if point.half_mm > 0.0 {
            let end = |height: f64| plot.up.at(height).clamp(top, foot);
            let (high, low) = (
                Point::new(at.x, end(point.value_mm + point.half_mm)),
                Point::new(at.x, end(point.value_mm - point.half_mm)),
            );
            let mut bar = Path::line(low, high);
            for y in [low.y, high.y] {
                bar.append(&Path::line(
                    Point::new(at.x - 0.9, y),
                    Point::new(at.x + 0.9, y),
                ));
            }
            layer.add(Item::stroked(bar, Ink::Line, 0.25));
        }
        let words = format!(
            "{} ± {}",
            look.known_length(point.value_mm, 3),
            look.known_length(point.half_mm, 3)
        );
        let mark = point.trust.mark().item(at, Ground::Sheet);
        layer.add(mark.keyed(format!("reading-{index}")).labelled(words));
    }
}

/// Named places: faint lines up to their names, which are left out where they would touch.
fn draw_ticks(scene: &mut Scene, plot: &Plot, slice: &Slice) {
    let mut free_from = f64::NEG_INFINITY;
    for (along, name) in &slice.ticks {
        let x = plot.along.at(*along);
        if !(LEFT_MM - 0.1..=RIGHT_MM + 0.1).contains(&x) {
            continue;
        }
        let layer = scene.layer("ticks");
        let line = Path::line(Point::new(x, TOP_MM - 1.2), Point::new(x, FOOT_MM));
        layer.add(Item::stroked(line, Ink::FaintLine, 0.2));
        let half = 0.5 * words_mm(name, 3.0);
        if name.is_empty() || x - half < free_from || x + half > WIDE_MM || x < half {
            continue;
        }
        let at = Point::new(x, TOP_MM - 2.2);
        let name = Item::text(at, name.clone(), 3.0, Ink::FaintText);
        layer.add(name.anchored(Anchor::Middle));
        free_from = x + half + 1.2;
    }
}

/// What the chart lacks.
fn missing(slice: &Slice) -> Vec<&'static str> {
    let lacks = [
        (
            runs(slice, &slice.wood_mm).is_empty(),
            "no curve of the wood: that takes two known places at least",
        ),
        (
            runs(slice, &band_middles_mm(slice)).is_empty(),
            "no band: how well the wood is known is not said",
        ),
        (slice.readings.is_empty(), "no readings on this slice"),
    ];
    let lacks = lacks.into_iter().filter(|(is_missing, _)| *is_missing);
    lacks.map(|(_, words)| words).collect()
}

fn draw_what_is_missing(scene: &mut Scene, slice: &Slice, top_mm: f64) {
    for (row, words) in missing(slice).into_iter().enumerate() {
        let at = Point::new(8.0, top_mm + LACK_MM * (row as f64 + 0.7));
        let words = Item::text(at, words, 3.0, Ink::FaintText);
        scene.layer("missing").add(words);
    }
}

fn description(look: Look, slice: &Slice) -> String {
    let wood = range(slice.wood_mm.iter().copied()).map_or(
        "the wood is not known".to_owned(),
        |(low, high)| {
            format!(
                "the wood lies between {} and {} over the planned surface",
                look.length(low, 3),
                look.length(high, 3)
            )
        },
    );
    let mut words = format!(
        "Chart of heights: {wood}; {} readings, {} earlier visits.",
        slice.readings.len(),
        slice.earlier.len()
    );
    for lack in missing(slice) {
        words = format!("{words} Missing: {lack}.");
    }
    words
}
