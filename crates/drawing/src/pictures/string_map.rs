//! A figure for every string at every fret, as cells of colour on the board with the figure
//! written in: margins against buzz, cents of a bend, cents off pitch.

use instrument::{Instrument, fret_name};

use super::chart::{
    KEY_ROW_MM, KeyEntry, draw_key, draw_title, figure_text, ink_on, is_sound, key_height_mm,
    or_else,
};
use super::frame::{Look, TEXT_MM, WIDE_MM, fitted, words_mm};
use super::map_classes::{CLASS_COLOURS, Classes};
use super::string_grid::{Cell, StringGrid};
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene, Stroke, Weight};

/// Sizes of the figures in the cells, the largest that fits is taken, mm.
const SIZES_MM: [f64; 3] = [3.0, 2.7, 2.4];
/// Top of the grid on the sheet, mm.
const TOP_MM: f64 = 9.0;

/// A figure for every string at every fret.
#[derive(Clone, Debug, PartialEq)]
pub struct StringMap {
    /// What the picture is called.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub description: String,
    /// The unit of the figures: `mm`, `cents`.
    pub unit: String,
    /// The figures, by lane (0 for the highest string) and then by fret (0 for the open
    /// string); `None`, a missing entry, and what is no number or past a million are not known.
    pub values: Vec<Vec<Option<f64>>>,
    /// How many decimals are written, six at most.
    pub decimals: usize,
    /// The figure beyond which a place is not as it should be, if there is one.
    pub limit: Option<f64>,
    /// On which side of the limit that is.
    pub wrong_side: Side,
    /// What the figures are, for the legend: `least gap while the string swings`.
    pub key: String,
}

/// A side of a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Side {
    /// Figures less than the limit.
    #[default]
    Below,
    /// Figures greater than the limit.
    Above,
}

impl StringMap {
    /// The figure of a place, if it is known.
    fn value(&self, lane: usize, fret: usize) -> Option<f64> {
        let value = self.values.get(lane)?.get(fret).copied().flatten()?;
        is_sound(value).then_some(value)
    }

    fn is_beyond(&self, value: f64) -> bool {
        self.limit.is_some_and(|limit| match self.wrong_side {
            Side::Below => value < limit,
            Side::Above => value > limit,
        })
    }

    fn text(&self, value: f64) -> String {
        figure_text(value, self.decimals)
    }

    /// The figure in words, with its unit.
    fn words(&self, value: f64) -> String {
        format!("{} {}", self.text(value), self.unit)
            .trim_end()
            .to_owned()
    }

    /// What lies beyond the limit, in words: `less than 0.10 mm`.
    fn limit_words(&self) -> Option<String> {
        let limit = self.limit.filter(|limit| is_sound(*limit))?;
        let side = match self.wrong_side {
            Side::Below => "less than",
            Side::Above => "more than",
        };
        Some(format!("{side} {}", self.words(limit)))
    }
}

/// The board in plan with a cell for every string at every fret, just behind the fret, where the
/// finger stands; open strings left of the nut. Lanes are drawn evenly apart, and frets where
/// need be nearer to even than they are, so that the figures can be read.
///
/// Cells beyond the limit have a frame (a cross where they are too small for figures). Cells
/// stand in groups keyed `fret-N`, lanes are keyed `lane-N`, as on [`super::board_plan`].
pub fn string_map(instrument: &Instrument, map: &StringMap, look: Look) -> Scene {
    let known = known(instrument, map);
    let widest = known
        .iter()
        .map(|place| words_mm(&map.text(place.2), 1.0))
        .fold(0.0, f64::max);
    let (grid, size_mm) = StringGrid::with_figures(instrument, TOP_MM, widest, &SIZES_MM);
    let key = key(map, &known, &grid, size_mm);
    let bar = grid.foot_mm() + 9.0;
    let height = bar + 17.0 + key_height_mm(&key) + 2.0;
    let title = or_else(&map.title, "Figures by string and fret");
    let mut scene = Scene::new(WIDE_MM, height, title, description(map, &known));
    draw_board(&mut scene, instrument, &grid, look);
    draw_places(&mut scene, &grid);
    let draw = Draw {
        map,
        classes: Classes::of(map, known.iter().map(|place| place.2).collect()),
        size_mm,
        grid: &grid,
    };
    draw.cells(&mut scene, look);
    draw_numbers(&mut scene, &grid, look);
    draw.bar(&mut scene, bar);
    draw_key(&mut scene, &key, bar + 17.0);
    draw_title(&mut scene);
    scene
}

/// Every place with a known figure: lane, fret, figure.
fn known(instrument: &Instrument, map: &StringMap) -> Vec<(usize, usize, f64)> {
    let frets = instrument.frets.len();
    let lanes = 0..instrument.lanes.len();
    let places = lanes.flat_map(|lane| (0..frets).map(move |fret| (lane, fret)));
    places
        .filter_map(|(lane, fret)| Some((lane, fret, map.value(lane, fret)?)))
        .collect()
}

fn description(map: &StringMap, known: &[(usize, usize, f64)]) -> String {
    let by_figure = |a: &&(usize, usize, f64), b: &&(usize, usize, f64)| a.2.total_cmp(&b.2);
    let place = |place: &(usize, usize, f64)| {
        format!(
            "{} ({}, string {})",
            map.words(place.2),
            fret_words(place.1),
            place.0 + 1
        )
    };
    let ends = known
        .iter()
        .min_by(by_figure)
        .zip(known.iter().max_by(by_figure));
    let figures = ends.map_or("No figure is known.".to_owned(), |(low, high)| {
        format!("Figures from {} to {}.", place(low), place(high))
    });
    let beyond = known.iter().filter(|place| map.is_beyond(place.2)).count();
    let limit = map.limit_words().map_or(String::new(), |words| {
        format!(" {beyond} of {} places have {words}.", known.len())
    });
    format!("{} {figures}{limit}", map.description.trim())
        .trim()
        .to_owned()
}

fn fret_words(fret: usize) -> String {
    match fret {
        0 => "open".to_owned(),
        fret => fret_name(fret),
    }
}

/// The board, its frets, and the strings.
fn draw_board(scene: &mut Scene, instrument: &Instrument, grid: &StringGrid, look: Look) {
    let outline = Path::polygon(&grid.outline());
    scene
        .layer("wood")
        .add(Item::path(outline.clone(), None, Some(Ink::Wood)));
    for fret in 0..grid.frets() {
        let [top, bottom] = grid.fret_line(fret);
        let is_pointed = look.pointed.is_some_and(|pointed| pointed.fret == fret);
        let (ink, width) = match (is_pointed, fret) {
            (true, _) => (Ink::Accent, 0.9),
            (_, 0) => (Ink::Line, 0.7),
            _ => (Ink::Fret, 0.35),
        };
        let line = Path::line(top, bottom);
        scene.layer("frets").add(Item::stroked(line, ink, width));
    }
    for lane in 0..grid.lanes() {
        let [from, to] = grid.lane_line(lane);
        let is_pointed = look.pointed.is_some_and(|pointed| pointed.lane == lane);
        let (ink, width) = if is_pointed {
            (Ink::Accent, 0.6)
        } else {
            (Ink::String, 0.25)
        };
        let layer = scene.layer("strings");
        layer.add(Item::stroked(Path::line(from, to), ink, width));
        let note = instrument.strings.get(lane).map(|string| string.note);
        let name = note.map_or_else(|| (lane + 1).to_string(), |note| note.to_string());
        let (ink, weight) = name_look(look.pointed.map(|pointed| pointed.lane), lane);
        let at = Point::new(3.0, from.y + 1.1);
        let name = Item::text(at, fitted(&name, 3.0, 7.5), 3.0, ink);
        scene.layer("names").add(name.weighted(weight));
    }
    scene
        .layer("edge")
        .add(Item::stroked(outline, Ink::WoodEdge, 0.3));
}

/// How the name of a string or fret is written: what is pointed at stands out.
fn name_look(pointed: Option<usize>, index: usize) -> (Ink, Weight) {
    if pointed == Some(index) {
        (Ink::Accent, Weight::Bold)
    } else {
        (Ink::FaintText, Weight::Regular)
    }
}

/// The names of the frets, under their cells, where there is room.
fn draw_numbers(scene: &mut Scene, grid: &StringGrid, look: Look) {
    let mut free_from = f64::NEG_INFINITY;
    let lowest = grid.lanes().saturating_sub(1);
    for fret in 0..grid.frets() {
        let name = match fret {
            0 => "open".to_owned(),
            fret => fret.to_string(),
        };
        let x = grid.cell(lowest, fret).middle.x;
        let half = 0.5 * words_mm(&name, TEXT_MM);
        if x - half < free_from {
            continue;
        }
        free_from = x + half + 1.0;
        let (ink, weight) = name_look(look.pointed.map(|pointed| pointed.fret), fret);
        let at = Point::new(x, grid.foot_mm() + 4.4);
        let number = Item::text(at, name, TEXT_MM, ink).weighted(weight);
        scene.layer("numbers").add(number.anchored(Anchor::Middle));
    }
}

/// The lanes as places to point at, drawn too thin to be seen on a screen; under the cells, for on
/// paper the thinnest line is seen and would strike the figures through.
fn draw_places(scene: &mut Scene, grid: &StringGrid) {
    for lane in 0..grid.lanes() {
        let [from, to] = grid.lane_line(lane);
        let line = Item::stroked(Path::line(from, to), Ink::FaintLine, 0.01);
        let line = line.dashed(Dash::Dotted).keyed(format!("lane-{lane}"));
        scene.layer("lane places").add(line);
    }
}

/// What the cells are drawn from.
struct Draw<'a> {
    map: &'a StringMap,
    grid: &'a StringGrid,
    /// Nothing if no figure is known.
    classes: Option<Classes>,
    /// Size of the figures; nothing where they do not fit.
    size_mm: Option<f64>,
}

impl Draw<'_> {
    /// The cells of each fret in a group, so that a touch on any of them finds the fret.
    fn cells(&self, scene: &mut Scene, look: Look) {
        for fret in 0..self.grid.frets() {
            let cells = (0..self.grid.lanes()).map(|lane| self.cell(lane, fret));
            let group = Item::group(cells.collect());
            scene
                .layer("cells")
                .add(group.keyed(format!("fret-{fret}")));
        }
        if let Some(pointed) = look.pointed
            && pointed.lane < self.grid.lanes()
            && pointed.fret < self.grid.frets()
        {
            let cell = self.grid.cell(pointed.lane, pointed.fret);
            let layer = scene.layer("pointed");
            layer.add(Item::stroked(rect(cell, 0.5), Ink::Paper, 1.5));
            layer.add(Item::stroked(rect(cell, 0.5), Ink::Accent, 0.9));
        }
    }

    fn cell(&self, lane: usize, fret: usize) -> Item {
        let cell = self.grid.cell(lane, fret);
        let place = format!("{}, string {}", fret_words(fret), lane + 1);
        let known = self.map.value(lane, fret).zip(self.classes.as_ref());
        let Some((value, classes)) = known else {
            let items = unknown_cell(cell);
            return Item::group(items).labelled(format!("{place}: not known"));
        };
        let share = classes.share_of(value, self.map.wrong_side);
        let fill = Ink::Map(CLASS_COLOURS, share);
        let mut items = vec![Item::filled(rect(cell, 0.0), fill)];
        let mut words = format!("{place}: {}", self.map.words(value));
        if self.map.is_beyond(value) {
            items.push(self.beyond(cell));
            words.extend(self.map.limit_words().map(|limit| format!(", {limit}")));
        }
        items.extend(self.figure(cell, value, ink_on(CLASS_COLOURS, share)));
        Item::group(items).labelled(words)
    }

    /// The figure in its cell, if it fits.
    fn figure(&self, cell: Cell, value: f64, ink: Ink) -> Option<Item> {
        let size = self.size_mm?;
        let text = self.map.text(value);
        if words_mm(&text, size) > cell.width {
            return None;
        }
        let at = Point::new(cell.middle.x, cell.middle.y + 0.36 * size);
        Some(Item::text(at, text, size, ink).anchored(Anchor::Middle))
    }

    fn beyond(&self, cell: Cell) -> Item {
        match self.size_mm {
            Some(_) => frame(cell),
            None => cross(cell),
        }
    }

    /// The bar of classes with their borders, their meaning and the limit. All are drawn equally
    /// wide: the borders say how wide they are.
    fn bar(&self, scene: &mut Scene, top_mm: f64) {
        let Some(classes) = &self.classes else {
            let at = Point::new(4.0, top_mm + 5.0);
            let words = Item::text(at, "no figure is known yet", TEXT_MM, Ink::FaintText);
            scene.layer("bar").add(words);
            return;
        };
        let step = (BAR_MM.1 - BAR_MM.0) / classes.count() as f64;
        for class in 0..classes.count() {
            let place = Path::rect(BAR_MM.0 + step * class as f64, top_mm, step, 4.0);
            let fill = Ink::Map(CLASS_COLOURS, classes.share(class));
            let rim = Stroke::new(Ink::Paper, 0.4);
            let layer = scene.layer("bar");
            layer.add(Item::path(place, Some(rim), Some(fill)));
        }
        bar_figures(scene, classes, step, top_mm);
        self.bar_limit(scene, classes, step, top_mm);
        let key = or_else(&self.map.key, &self.map.title);
        let title = if self.map.unit.trim().is_empty() {
            key.to_owned()
        } else {
            format!("{key}, {}", self.map.unit.trim())
        };
        let title = fitted(&title, TEXT_MM, 0.6 * WIDE_MM);
        let at = Point::new(BAR_MM.0, top_mm + 13.4);
        scene
            .layer("axes")
            .add(Item::text(at, title, TEXT_MM, Ink::Text));
    }

    /// The limit as a line at its border of the bar, in words beside it; words alone where it lies
    /// outside of all classes.
    fn bar_limit(&self, scene: &mut Scene, classes: &Classes, step: f64, top_mm: f64) {
        let Some(limit) = self.map.limit.filter(|limit| is_sound(*limit)) else {
            return;
        };
        let words = format!("limit {}", self.map.words(limit));
        let Some(border) = classes.limit() else {
            let side = if classes.is_above(limit) {
                "lower"
            } else {
                "higher"
            };
            let words = fitted(
                &format!("{words}: {side} than all"),
                TEXT_MM,
                0.35 * WIDE_MM,
            );
            let at = Point::new(BAR_MM.1, top_mm + 13.4);
            let words = Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::End);
            scene.layer("axes").add(words);
            return;
        };
        let x = BAR_MM.0 + step * border as f64;
        let layer = scene.layer("bar");
        let line = Path::line(Point::new(x, top_mm - 1.2), Point::new(x, top_mm + 4.0));
        layer.add(Item::stroked(line.clone(), Ink::OverMapRim, 1.2));
        layer.add(Item::stroked(line, Ink::OverMap, 0.5));
        let tip = [(-1.1, -2.6), (1.1, -2.6), (0.0, -0.8)];
        let tip = tip.map(|(dx, dy)| Point::new(x + dx, top_mm + dy));
        layer.add(Item::filled(Path::polygon(&tip), Ink::Text));
        let is_far = x > 0.5 * (BAR_MM.0 + BAR_MM.1);
        let (aside, anchor) = if is_far {
            (-1.8, Anchor::End)
        } else {
            (1.8, Anchor::Start)
        };
        let words = fitted(&words, 2.8, 0.45 * WIDE_MM);
        let at = Point::new(x + aside, top_mm - 0.9);
        layer.add(Item::text(at, words, 2.8, Ink::Text).anchored(anchor));
    }
}

/// The borders of the classes under the bar, the limit first where not all have room.
fn bar_figures(scene: &mut Scene, classes: &Classes, step: f64, top_mm: f64) {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    let mut write = |at_mm: f64, words: String, anchor: Anchor, weight: Weight| {
        let wide = words_mm(&words, BAR_FIGURE_MM);
        let left = at_mm
            - match anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => 0.5 * wide,
                Anchor::End => wide,
            };
        let right = left + wide;
        if taken
            .iter()
            .any(|other| left < other.1 + 1.0 && right > other.0 - 1.0)
        {
            return;
        }
        taken.push((left, right));
        let at = Point::new(at_mm, top_mm + 7.9);
        let words = Item::text(at, words, BAR_FIGURE_MM, Ink::FaintText).weighted(weight);
        scene.layer("axes").add(words.anchored(anchor));
    };
    if let Some(border) = classes.limit()
        && let Some(words) = classes.text(border)
    {
        let at = BAR_MM.0 + step * border as f64;
        write(at, words, Anchor::Middle, Weight::Bold);
    }
    for border in 0..=classes.count() {
        let at = BAR_MM.0 + step * border as f64;
        if border == 0 && classes.open_below {
            write(at, "less".to_owned(), Anchor::Start, Weight::Regular);
        } else if border == classes.count() && classes.open_above {
            write(at, "more".to_owned(), Anchor::End, Weight::Regular);
        } else if Some(border) != classes.limit()
            && let Some(words) = classes.text(border)
        {
            write(at, words, Anchor::Middle, Weight::Regular);
        }
    }
}

/// Size of the figures under the bar of colours, mm.
const BAR_FIGURE_MM: f64 = 2.8;

/// Where the bar of colours begins and ends, mm of scene.
const BAR_MM: (f64, f64) = (24.0, 216.0);

/// A cell's outline, so much larger all round, mm.
fn rect(cell: Cell, larger: f64) -> Path {
    Path::rect(
        cell.middle.x - 0.5 * cell.width - larger,
        cell.middle.y - 0.5 * cell.height - larger,
        cell.width + 2.0 * larger,
        cell.height + 2.0 * larger,
    )
}

/// An empty cell with a thin dash.
fn unknown_cell(cell: Cell) -> Vec<Item> {
    let half = (0.25 * cell.width).min(1.2);
    let dash = Path::line(
        Point::new(cell.middle.x - half, cell.middle.y),
        Point::new(cell.middle.x + half, cell.middle.y),
    );
    vec![
        Item::path(
            rect(cell, 0.0),
            Some(Stroke::new(Ink::FaintLine, 0.15)),
            Some(Ink::Paper),
        ),
        Item::stroked(dash, Ink::FaintText, 0.3),
    ]
}

/// A frame on a rim within a cell, seen on every colour of the map.
fn frame(cell: Cell) -> Item {
    Item::group(vec![
        Item::stroked(rect(cell, -0.35), Ink::OverMapRim, 0.7),
        Item::stroked(rect(cell, 0.0), Ink::OverMap, 0.45),
    ])
}

/// A cross on a rim within a cell.
fn cross(cell: Cell) -> Item {
    let reach = (0.38 * cell.width.min(cell.height)).min(1.3);
    let off = |x: f64, y: f64| Point::new(cell.middle.x + reach * x, cell.middle.y + reach * y);
    let mut cross = Path::line(off(-1.0, -1.0), off(1.0, 1.0));
    cross.append(&Path::line(off(-1.0, 1.0), off(1.0, -1.0)));
    Item::group(vec![
        Item::stroked(cross.clone(), Ink::OverMapRim, 0.75),
        Item::stroked(cross, Ink::OverMap, 0.35),
    ])
}

/// What the cells' shapes mean, and how the plan is drawn.
fn key(
    map: &StringMap,
    known: &[(usize, usize, f64)],
    grid: &StringGrid,
    size_mm: Option<f64>,
) -> Vec<KeyEntry> {
    let sample = Cell {
        middle: Point::new(0.0, 0.0),
        width: 7.0,
        height: KEY_ROW_MM - 1.6,
    };
    let mut entries = Vec::new();
    let beyond = known.iter().any(|place| map.is_beyond(place.2));
    if let Some(words) = map.limit_words() {
        let ground = Item::filled(rect(sample, 0.0), Ink::Unknown);
        let mark = if size_mm.is_some() {
            frame(sample)
        } else {
            cross(sample)
        };
        let none = if beyond { "" } else { ": nowhere" };
        entries.push(KeyEntry {
            sample: vec![ground, mark],
            words: format!("{words}{none}"),
        });
    }
    if known.len() < grid.lanes() * grid.frets() {
        entries.push(KeyEntry {
            sample: unknown_cell(sample),
            words: "not known".to_owned(),
        });
    }
    if grid.even > 0.0 {
        entries.push(KeyEntry {
            sample: Vec::new(),
            words: "not to scale: the high frets are drawn wider apart".to_owned(),
        });
    }
    entries
}
