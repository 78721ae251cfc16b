//! The choice of a camber: radius at the nut against radius at the last fret, which of them
//! grant the bends that are wished, and what the shop's blocks and the edges say to it.

use quantity::LengthUnit;

use super::chart::{
    KeyEntry, draw_key, draw_nothing, draw_on_plate, draw_title, is_sound, key_height_mm,
    line_sample, or_else, range,
};
use super::frame::{Look, TEXT_MM, WIDE_MM, words_mm};
use crate::{
    Anchor, Axis, AxisSide, Dash, Ink, Item, LinearScale, Path, Point, Scene, Stroke, nice_ticks,
    tick_text,
};

/// The chart's frame on the sheet, mm.
const LEFT_MM: f64 = 20.0;
const RIGHT_MM: f64 = WIDE_MM - 20.0;
const TOP_MM: f64 = 27.0;
const FOOT_MM: f64 = 127.0;
/// What the chart shows where nothing says otherwise, mm of radius.
const USUAL_MM: (f64, f64) = (150.0, 600.0);

/// What there is to choose a camber by. Radii are in mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChooserChart {
    /// What the chart is called.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub description: String,
    /// The tightest cambers that grant the wish: radius at the nut, rising, and at the last
    /// fret. An infinite radius at the last fret says that none but a flat one does.
    pub frontier: Vec<(f64, f64)>,
    /// This commission's radius at the nut and at the last fret; infinite for flat.
    pub this: (f64, f64),
    /// How many times the radius at the nut the string cone has at the last fret.
    pub string_cone_ratio: Option<f64>,
    /// Radii of the blocks that the shop owns.
    pub owned_mm: Vec<f64>,
    /// How far the edge lies under the crown at the nut: the radius, rising, and the drop in mm.
    pub nut_drop: Vec<(f64, f64)>,
    /// The same at the last fret.
    pub last_drop: Vec<(f64, f64)>,
    /// The radii shown: least and greatest at the nut, and at the last fret. What is no range
    /// is taken from the figures.
    pub reach: ((f64, f64), (f64, f64)),
}

/// The chart: flatter at the nut to the right, flatter at the last fret upward, so that the
/// cambers which grant the wish lie above the frontier. Its corners are keyed `frontier-N`, the
/// blocks `block-N` in the order given, and the commission's own camber `this`.
pub fn camber_chooser(chart: &ChooserChart, look: Look) -> Scene {
    let title = or_else(&chart.title, "Choice of the camber");
    let plot = Plot::of(chart);
    let key = key(chart, &plot);
    let top = FOOT_MM + 14.0;
    let height = top + key_height_mm(&key) + 2.0;
    let mut scene = Scene::new(WIDE_MM, height, title, description(chart, look));
    plot.draw_zones(&mut scene);
    plot.draw_axes(&mut scene, look);
    plot.draw_drops(&mut scene, chart, look);
    plot.draw_lines(&mut scene, chart);
    plot.draw_blocks(&mut scene, chart, look);
    plot.draw_frontier(&mut scene, chart, look);
    plot.draw_zone_words(&mut scene, chart);
    plot.draw_this(&mut scene, chart, look);
    draw_key(&mut scene, &key, top);
    draw_title(&mut scene);
    scene
}

fn description(chart: &ChooserChart, look: Look) -> String {
    let this = this_words(chart, look).map_or(String::new(), |words| format!(" {words}."));
    let frontier = match frontier(chart).as_slice() {
        [] => "No camber is known that grants the wish.".to_owned(),
        corners => {
            let words = |(nut, last): &(f64, f64)| {
                format!("{} and {}", radius(look, *nut), radius(look, *last))
            };
            let list: Vec<String> = corners.iter().take(12).map(words).collect();
            format!(
                "Tightest that grant the wish, at the nut and at the last fret: {}.",
                list.join("; ")
            )
        }
    };
    format!("{}{this} {frontier}", chart.description.trim())
        .trim()
        .to_owned()
}

/// A radius in words, to the unit's own fineness.
fn radius(look: Look, mm: f64) -> String {
    if mm == f64::INFINITY {
        return "flat".to_owned();
    }
    let decimals = match look.unit {
        LengthUnit::Millimetre => 0,
        LengthUnit::DecimalInch | LengthUnit::FractionInch => 2,
    };
    look.known_length(mm, decimals)
}

/// A radius above zero, or infinite for flat.
fn is_radius(mm: f64) -> bool {
    mm > 0.0 && (is_sound(mm) || mm == f64::INFINITY)
}

fn this_words(chart: &ChooserChart, look: Look) -> Option<String> {
    let (nut, last) = chart.this;
    if !is_radius(nut) || !is_radius(last) {
        return None;
    }
    Some(if nut == last {
        format!("this commission: {}", radius(look, nut))
    } else {
        format!(
            "this commission: {} to {}",
            radius(look, nut),
            radius(look, last)
        )
    })
}

/// The frontier's corners that can be drawn.
fn frontier(chart: &ChooserChart) -> Vec<(f64, f64)> {
    let corners = chart.frontier.iter().copied();
    corners
        .filter(|(nut, last)| is_sound(*nut) && *nut > 0.0 && is_radius(*last))
        .collect()
}

/// A range that rises, or what the figures say, or the usual one.
fn reach(given: (f64, f64), figures: impl Iterator<Item = f64>) -> (f64, f64) {
    if is_sound(given.0) && is_sound(given.1) && given.1 - given.0 > 1e-3 {
        return given;
    }
    let (low, high) = range(figures.filter(|mm| *mm > 0.0)).unwrap_or(USUAL_MM);
    let room = 0.1 * (high - low).max(0.2 * high);
    ((low - room).max(0.0), high + room)
}

struct Plot {
    nut: LinearScale,
    last: LinearScale,
    /// The frontier on the sheet, kept within the chart's height.
    frontier: Vec<Point>,
}

impl Plot {
    fn of(chart: &ChooserChart) -> Self {
        let corners = frontier(chart);
        let owned = || chart.owned_mm.iter().copied();
        let of_nut = corners.iter().map(|corner| corner.0);
        let of_last = corners.iter().map(|corner| corner.1);
        let nut = reach(chart.reach.0, of_nut.chain([chart.this.0]).chain(owned()));
        let last = reach(chart.reach.1, of_last.chain([chart.this.1]).chain(owned()));
        let nut = LinearScale::new(nut, (LEFT_MM, RIGHT_MM));
        let last = LinearScale::new(last, (FOOT_MM, TOP_MM));
        let mut plot = Self {
            nut,
            last,
            frontier: Vec::new(),
        };
        plot.frontier = corners.iter().map(|corner| plot.point(*corner)).collect();
        plot
    }

    /// A camber's point, at the border where it lies beyond or is flat.
    fn point(&self, (nut, last): (f64, f64)) -> Point {
        Point::new(
            self.nut.at(nut).clamp(LEFT_MM, RIGHT_MM),
            self.last.at(last).clamp(TOP_MM, FOOT_MM),
        )
    }

    fn frame() -> Path {
        Path::rect(LEFT_MM, TOP_MM, RIGHT_MM - LEFT_MM, FOOT_MM - TOP_MM)
    }

    /// The side of the frontier that grants the wish, as far as the frontier is known.
    fn draw_zones(&self, scene: &mut Scene) {
        if let (Some(first), Some(last)) = (self.frontier.first(), self.frontier.last()) {
            let mut zone = self.frontier.clone();
            zone.push(Point::new(last.x, TOP_MM));
            zone.push(Point::new(first.x, TOP_MM));
            let zone = Item::filled(Path::polygon(&zone), Ink::AccentFill);
            scene.layer("zones").add(zone);
        }
    }

    /// The words of the two sides, each where it has most room and far from the camber's mark.
    fn draw_zone_words(&self, scene: &mut Scene, chart: &ChooserChart) {
        if self.frontier.len() < 2 {
            let middle = Point::new(0.5 * WIDE_MM, 0.5 * (TOP_MM + FOOT_MM));
            draw_nothing(scene, middle, "no camber is known that grants the wish");
            return;
        }
        let this = self.point(chart.this);
        // The blocks' names stand along the lower and the left border.
        let sides: [(&str, f64, Ink); 2] = [
            ("grants the wish", TOP_MM, Ink::AccentFill),
            ("chokes", FOOT_MM - 8.0, Ink::Paper),
        ];
        let ends = [self.frontier.first(), self.frontier.last()];
        let [first, last] = ends.map(|point| point.map_or(LEFT_MM, |point| point.x));
        for (words, border, ground) in sides {
            let half = 0.5 * words_mm(words, 4.0) + 2.0;
            let middle = |point: &Point| {
                let (low, high) = (first.max(LEFT_MM + 22.0) + half, last - half);
                let x = point.x.max(low).min(high).max(LEFT_MM + half);
                Point::new(x, 0.5 * (point.y + border) + 1.4)
            };
            let room = |point: &Point| {
                let at = middle(point);
                let apart = (at.x - this.x).hypot(2.0 * (at.y - this.y));
                (point.y - border).abs().min(40.0) + 0.4 * apart.min(60.0)
            };
            let best = self
                .frontier
                .iter()
                .max_by(|a, b| room(a).total_cmp(&room(b)));
            // Less room than this and the words would lie on the frontier.
            let best = best.filter(|point| (point.y - border).abs() > 9.0);
            let layer = scene.layer("zone words");
            if let Some(point) = best {
                let at = middle(point);
                // On the zone's own ground, so that no ray runs through the words.
                let plate = Path::rect(at.x - half, at.y - 4.2, 2.0 * half, 5.8);
                layer.add(Item::filled(plate, ground));
                let item = Item::text(at, words, 4.0, Ink::Text);
                layer.add(item.anchored(Anchor::Middle));
            }
        }
    }

    fn draw_axes(&self, scene: &mut Scene, look: Look) {
        let mut level = Axis::new(
            AxisSide::Below,
            look.scale(self.nut),
            FOOT_MM,
            look.title("radius at the nut"),
        );
        level.tick_count = 10;
        level.grid_mm = FOOT_MM - TOP_MM;
        level.draw(scene);
        let mut upright = Axis::new(AxisSide::Left, look.scale(self.last), LEFT_MM, "");
        upright.tick_count = 8;
        upright.grid_mm = RIGHT_MM - LEFT_MM;
        upright.draw(scene);
        let at = Point::new(3.0, 12.0);
        let words = look.title("radius at the last fret");
        scene
            .layer("axes")
            .add(Item::text(at, words, TEXT_MM, Ink::Text));
    }

    /// The edge's drop as further axes: above for the nut, at the right for the last fret.
    fn draw_drops(&self, scene: &mut Scene, chart: &ChooserChart, look: Look) {
        for (radius_mm, drop) in drop_ticks(&chart.nut_drop, &self.nut, look) {
            let x = self.nut.at(radius_mm);
            let tick = Path::line(Point::new(x, TOP_MM), Point::new(x, TOP_MM - 1.2));
            let at = Point::new(x, TOP_MM - 2.6);
            drop_tick(
                scene,
                tick,
                Item::text(at, drop, TEXT_MM, Ink::FaintText).anchored(Anchor::Middle),
            );
        }
        for (radius_mm, drop) in drop_ticks(&chart.last_drop, &self.last, look) {
            let y = self.last.at(radius_mm);
            let tick = Path::line(Point::new(RIGHT_MM, y), Point::new(RIGHT_MM + 1.2, y));
            let at = Point::new(RIGHT_MM + 2.5, y + 0.36 * TEXT_MM);
            drop_tick(scene, tick, Item::text(at, drop, TEXT_MM, Ink::FaintText));
        }
        let layer = scene.layer("axes");
        layer.add(Item::stroked(Self::frame(), Ink::Line, 0.2));
        if !chart.nut_drop.is_empty() {
            let at = Point::new(0.5 * (LEFT_MM + RIGHT_MM), TOP_MM - 7.6);
            let words = look.title("edge under the crown at the nut");
            layer.add(Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::Middle));
        }
        if !chart.last_drop.is_empty() {
            let at = Point::new(WIDE_MM - 3.0, 12.0);
            let words = look.title("edge under the crown at the last fret");
            layer.add(Item::text(at, words, TEXT_MM, Ink::Text).anchored(Anchor::End));
        }
    }

    /// One radius from end to end, and the string cone.
    fn draw_lines(&self, scene: &mut Scene, chart: &ChooserChart) {
        let mut items = vec![self.ray(1.0, one_radius())];
        let ratio = chart.string_cone_ratio.filter(|ratio| is_ratio(*ratio));
        items.extend(ratio.map(|ratio| self.ray(ratio, string_cone())));
        scene
            .layer("lines")
            .add(Item::clipped(items, Self::frame()));
    }

    /// The cambers whose radius at the last fret is so many times that at the nut.
    fn ray(&self, ratio: f64, stroke: Stroke) -> Item {
        let point = |nut: f64| Point::new(self.nut.at(nut), self.last.at(ratio * nut));
        let ends = [self.nut.domain_start, self.nut.domain_end];
        Item::path(Path::polyline(&ends.map(point)), Some(stroke), None)
    }

    fn draw_frontier(&self, scene: &mut Scene, chart: &ChooserChart, look: Look) {
        let line = Path::polyline(&self.frontier);
        if self.frontier.len() > 1 {
            let line = Item::path(line, Some(frontier_line()), None);
            scene.layer("frontier").add(line);
        }
        for (index, corner) in frontier(chart).into_iter().enumerate() {
            let at = self.point(corner);
            let words = format!(
                "{} at the nut: {} at the last fret is the tightest that grants the wish",
                radius(look, corner.0),
                radius(look, corner.1)
            );
            let mark = Item::path(
                Path::circle(at, 0.9),
                Some(Stroke::new(Ink::Accent, 0.4)),
                Some(Ink::Paper),
            );
            let mark = mark.keyed(format!("frontier-{index}")).labelled(words);
            scene.layer("frontier").add(mark);
        }
    }

    /// The owned blocks on both axes, named where there is room.
    fn draw_blocks(&self, scene: &mut Scene, chart: &ChooserChart, look: Look) {
        let mut named: Vec<Point> = Vec::new();
        for (index, mm) in chart.owned_mm.iter().enumerate() {
            let (x, y) = (self.nut.at(*mm), self.last.at(*mm));
            let words = radius(look, *mm);
            let half = 0.5 * words_mm(&words, TEXT_MM);
            let mut marks = Vec::new();
            if (LEFT_MM..=RIGHT_MM).contains(&x) {
                let tip = [(0.0, 0.0), (-1.2, -2.2), (1.2, -2.2)];
                let tip = tip.map(|(dx, dy)| Point::new(x + dx, FOOT_MM + dy));
                marks.push(Item::filled(Path::polygon(&tip), Ink::Second));
                let place = x.clamp(LEFT_MM + half + 4.0, RIGHT_MM - half - 1.0);
                let at = Point::new(place, FOOT_MM - 3.4);
                marks.extend(name(&mut named, at, &words, half));
            }
            if (TOP_MM..=FOOT_MM).contains(&y) {
                let tip = [(0.0, 0.0), (2.2, -1.2), (2.2, 1.2)];
                let tip = tip.map(|(dx, dy)| Point::new(LEFT_MM + dx, y + dy));
                marks.push(Item::filled(Path::polygon(&tip), Ink::Second));
                let place = (y + 0.36 * TEXT_MM).clamp(TOP_MM + 3.0, FOOT_MM - 1.0);
                let at = Point::new(LEFT_MM + 3.4 + half, place);
                marks.extend(name(&mut named, at, &words, half));
            }
            if !marks.is_empty() {
                let group = Item::group(marks).keyed(format!("block-{index}"));
                let words = format!("owned block, radius {words}");
                scene.layer("blocks").add(group.labelled(words));
            }
        }
    }

    /// The commission's own camber, at the border where it is flat or beyond.
    fn draw_this(&self, scene: &mut Scene, chart: &ChooserChart, look: Look) {
        let Some(mut words) = this_words(chart, look) else {
            return;
        };
        let at = self.point(chart.this);
        let beyond = |mm: f64, scale: &LinearScale| {
            mm.is_finite() && !(scale.domain_start..=scale.domain_end).contains(&mm)
        };
        if beyond(chart.this.0, &self.nut) || beyond(chart.this.1, &self.last) {
            words.push_str(", beyond the chart");
        }
        let mark = Item::group(this_mark(at))
            .keyed("this")
            .labelled(words.clone());
        scene.layer("this").add(mark);
        let is_right = at.x + 6.0 + words_mm(&words, TEXT_MM) < RIGHT_MM;
        let (x, anchor) = if is_right {
            (at.x + 5.0, Anchor::Start)
        } else {
            (at.x - 5.0, Anchor::End)
        };
        let place = Point::new(x, (at.y + 1.2).clamp(TOP_MM + 4.0, FOOT_MM - 8.0));
        draw_on_plate(scene, place, &words, Ink::Second, anchor);
    }
}

fn is_ratio(ratio: f64) -> bool {
    is_sound(ratio) && ratio > 0.0
}

fn frontier_line() -> Stroke {
    Stroke::new(Ink::Accent, 0.8)
}

fn one_radius() -> Stroke {
    Stroke::new(Ink::Line, 0.4).dashed(Dash::Dashed)
}

fn string_cone() -> Stroke {
    Stroke::new(Ink::Line, 0.28).dashed(Dash::Chain)
}

/// A ring with a cross through it.
fn this_mark(at: Point) -> Vec<Item> {
    let mut cross = Path::line(Point::new(at.x - 4.0, at.y), Point::new(at.x + 4.0, at.y));
    cross.append(&Path::line(
        Point::new(at.x, at.y - 4.0),
        Point::new(at.x, at.y + 4.0),
    ));
    vec![
        Item::path(
            Path::circle(at, 2.6),
            Some(Stroke::new(Ink::Second, 0.9)),
            Some(Ink::Paper),
        ),
        Item::stroked(cross, Ink::Second, 0.5),
    ]
}

/// A block's name on a plate, unless another stands there.
fn name(named: &mut Vec<Point>, at: Point, words: &str, half_mm: f64) -> Vec<Item> {
    let is_free = |other: &Point| {
        (other.x - at.x).abs() > 2.0 * half_mm + 1.0 || (other.y - at.y).abs() > 1.3 * TEXT_MM
    };
    if !named.iter().all(is_free) {
        return Vec::new();
    }
    named.push(at);
    let plate = Path::rect(
        at.x - half_mm - 0.4,
        at.y - 0.85 * TEXT_MM,
        2.0 * half_mm + 0.8,
        1.1 * TEXT_MM,
    );
    let words = Item::text(at, words, TEXT_MM, Ink::Second).anchored(Anchor::Middle);
    vec![Item::filled(plate, Ink::Paper), words]
}

fn drop_tick(scene: &mut Scene, tick: Path, words: Item) {
    let layer = scene.layer("axes");
    layer.add(Item::stroked(tick, Ink::Line, 0.2));
    layer.add(words);
}

/// Round drops on an axis of radii, in the chosen unit: the radius, mm, and the words. Those
/// that would touch the one before are left out, for the drops crowd where the board is flat.
fn drop_ticks(table: &[(f64, f64)], scale: &LinearScale, look: Look) -> Vec<(f64, String)> {
    let in_reach = |mm: f64| (scale.domain_start..=scale.domain_end).contains(&mm);
    let table: Vec<(f64, f64)> = table
        .iter()
        .filter(|row| is_sound(row.0) && is_sound(row.1))
        .map(|row| (row.0, look.figure(row.1)))
        .collect();
    let seen = table.iter().filter(|row| in_reach(row.0)).map(|row| row.1);
    let Some((low, high)) = range(seen) else {
        return Vec::new();
    };
    let ticks = nice_ticks(low, high, 12);
    let step = ticks
        .windows(2)
        .next()
        .map_or(high, |pair| pair[1] - pair[0]);
    let mut kept: Vec<(f64, String)> = Vec::new();
    let mut last_mm = f64::NAN;
    // From the greatest drop, where the axis has most room, to the least.
    for drop in ticks.into_iter().rev() {
        let Some(radius_mm) = radius_of(&table, drop).filter(|mm| in_reach(*mm)) else {
            continue;
        };
        let place = scale.at(radius_mm);
        // A comparison with NaN is false: the first always stands.
        if (place - last_mm).abs() < 9.0 {
            continue;
        }
        last_mm = place;
        kept.push((radius_mm, tick_text(drop, step)));
    }
    kept
}

/// The radius at which a table has a drop, straight between its rows.
fn radius_of(table: &[(f64, f64)], drop: f64) -> Option<f64> {
    let is_between = |pair: &&[(f64, f64)]| {
        let (low, high) = (pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1));
        (low..=high).contains(&drop) && low < high
    };
    let pair = table.windows(2).find(is_between)?;
    let share = (drop - pair[0].1) / (pair[1].1 - pair[0].1);
    Some(pair[0].0 + share * (pair[1].0 - pair[0].0))
}

fn key(chart: &ChooserChart, plot: &Plot) -> Vec<KeyEntry> {
    let entry = |sample: Vec<Item>, words: &str| KeyEntry {
        sample,
        words: words.to_owned(),
    };
    let mut entries = Vec::new();
    if plot.frontier.len() > 1 {
        let corner = Item::path(
            Path::circle(Point::new(0.0, 0.0), 0.9),
            Some(Stroke::new(Ink::Accent, 0.4)),
            Some(Ink::Paper),
        );
        let zone = Item::filled(Path::rect(-4.5, -1.8, 9.0, 1.8), Ink::AccentFill);
        let sample = vec![zone, line_sample(frontier_line()), corner];
        entries.push(entry(sample, "tightest that grants the wish"));
    }
    entries.push(entry(
        vec![line_sample(one_radius())],
        "one radius from end to end",
    ));
    if chart.string_cone_ratio.is_some_and(is_ratio) {
        let sample = vec![line_sample(string_cone())];
        entries.push(entry(sample, "string cone"));
    }
    if chart.owned_mm.iter().any(|mm| is_sound(*mm)) {
        let tip = [(0.0, 1.2), (-1.2, -1.0), (1.2, -1.0)].map(|(x, y)| Point::new(x, y));
        let sample = vec![Item::filled(Path::polygon(&tip), Ink::Second)];
        entries.push(entry(sample, "owned block"));
    }
    entries
}
