//! Figures measured all over a board, and how they are coloured: in full where they are known,
//! under a veil and a hatch where they are not.

use super::frame::{Look, Lying, TEXT_MM, words_mm};
use super::map_marks::MapMark;
use crate::{Anchor, ColourMap, Field, Ink, Item, Path, Point, Scene};

/// Depths below this are no work: a micrometre, less than any hand tool takes off on purpose.
const LEAST_WORK_MM: f64 = 0.001;
/// The least range of a map, so that a board that is right does not show its own noise.
const LEAST_RANGE_MM: f64 = 0.01;
/// So many times the known uncertainty, nothing is known any more.
const UNKNOWN_FROM: f64 = 3.0;
/// No figure is called worse known than this many times the known uncertainty.
const MOST_DOUBT: f64 = 6.0;
/// Sheets of the veil, each a little further into the unknown.
const VEILS: usize = 8;
/// Between the lines of the hatch, mm.
const HATCH_MM: f64 = 2.4;

/// What a map's figures say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MapKind {
    /// Height over (above zero) or under (below zero) the planned camber; blue against brown.
    Departure,
    /// Depth to take off, zero or more; dark for nothing, bright for the most.
    TakeOff,
}

/// Figures all over a board with how well each is known, and marks at places.
///
/// The grid covers the board: the figure at column and row has index `column * rows + row` and
/// lies at `outline.place(column / (columns - 1), row / (rows - 1))`: columns from nut to end,
/// rows from the bass edge to the treble edge. A figure that is not a number is one that is not
/// known.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredMap {
    /// What the map is called, above the board.
    pub title: String,
    /// Places along the board, at least 2.
    pub columns: usize,
    /// Places across it, at least 2.
    pub rows: usize,
    /// The figures, mm.
    pub value_mm: Vec<f64>,
    /// Standard uncertainty of each figure, mm; not a number where nothing is known.
    pub sigma_mm: Vec<f64>,
    /// Standard uncertainty up to which a colour stands in full, mm, above zero; at three times
    /// that nothing is called known.
    pub known_mm: f64,
    /// What the figures say.
    pub kind: MapKind,
    /// Marks on the map, drawn in this order.
    pub marks: Vec<MapMark>,
}

impl MeasuredMap {
    /// Whether there is a figure and an uncertainty for every place of a grid that has an area.
    pub(super) fn is_whole(&self) -> bool {
        let places = self.columns.checked_mul(self.rows);
        let fits = |list: &[f64]| places == Some(list.len());
        self.columns > 1 && self.rows > 1 && fits(&self.value_mm) && fits(&self.sigma_mm)
    }

    /// The uncertainty at a place as a multiple of the known one; the most where the figure or
    /// its uncertainty is not a number.
    fn doubt(&self, place: usize) -> f64 {
        let doubt = self.sigma_mm[place] / self.known_mm;
        if doubt >= 0.0 && self.value_mm[place].is_finite() {
            doubt.min(MOST_DOUBT)
        } else {
            MOST_DOUBT
        }
    }

    /// The figures that are known, mm.
    fn known(&self) -> impl Iterator<Item = f64> + '_ {
        let whole = self.is_whole().then_some(&self.value_mm);
        let figures = whole.into_iter().flatten().copied().enumerate();
        figures
            .filter(|(place, _)| self.doubt(*place) < UNKNOWN_FROM)
            .map(|(_, figure)| figure)
    }

    /// The least and the greatest known figure, mm; nothing if none is known.
    pub(super) fn known_range_mm(&self) -> Option<(f64, f64)> {
        self.known().fold(None, |range, figure| {
            let (low, high) = range.unwrap_or((figure, figure));
            Some((low.min(figure), high.max(figure)))
        })
    }

    /// The share of the grid's places whose figure is known, 0 to 1.
    pub(super) fn known_share(&self) -> f64 {
        self.known().count() as f64 / self.value_mm.len().max(1) as f64
    }

    /// A field over the board from a figure for each place.
    fn field(&self, lying: &Lying<'_>, figure: impl Fn(usize) -> f64) -> Option<Field> {
        if !self.is_whole() {
            return None;
        }
        Field::from_fn(self.columns, self.rows, |column, row| {
            let along = column as f64 / (self.columns - 1) as f64;
            let across = row as f64 / (self.rows - 1) as f64;
            let (x, y) = lying.instrument.outline.place(along, across);
            (lying.frame.point(x, y), figure(column * self.rows + row))
        })
        .ok()
    }
}

/// The steps of colour of a map.
#[derive(Clone, Copy, Debug)]
pub(super) struct Colours {
    kind: MapKind,
    /// The figure at the end of the last step, mm.
    most_mm: f64,
    /// Steps from zero to the most.
    steps: usize,
}

impl Colours {
    /// Steps from zero to a round figure that no known one passes.
    pub(super) fn of(map: &MeasuredMap, steps: usize, look: Look) -> Self {
        let (low, high) = map.known_range_mm().unwrap_or_default();
        let most = match map.kind {
            MapKind::Departure => high.max(-low),
            MapKind::TakeOff => high,
        };
        Self {
            kind: map.kind,
            most_mm: round_up(most.max(LEAST_RANGE_MM), look),
            steps,
        }
    }

    /// The end of a step, counted from zero, mm.
    pub(super) fn end_mm(&self, step: usize) -> f64 {
        self.most_mm * step as f64 / self.steps as f64
    }

    /// Each step's ink with the figure from which it is painted, lowest first.
    fn bands(&self) -> Vec<(f64, Ink)> {
        let whole = (f64::NEG_INFINITY, self.ink(0));
        let from = |step: usize| match self.kind {
            MapKind::Departure => self.end_mm(step) - self.most_mm,
            MapKind::TakeOff => self.end_mm(step - 1).max(LEAST_WORK_MM),
        };
        let rest = (1..self.count()).map(|step| (from(step), self.ink(step)));
        std::iter::once(whole).chain(rest).collect()
    }

    /// How many inks there are: below and above zero, or nothing and the steps of work.
    pub(super) fn count(&self) -> usize {
        match self.kind {
            MapKind::Departure => 2 * self.steps,
            MapKind::TakeOff => self.steps + 1,
        }
    }

    /// The ink of a step, counted from the lowest.
    pub(super) fn ink(&self, step: usize) -> Ink {
        match self.kind {
            MapKind::Departure => {
                let place = (step as f64 + 0.5) / self.count() as f64;
                Ink::Map(ColourMap::Signed, place)
            }
            MapKind::TakeOff => Ink::Map(ColourMap::Cividis, step as f64 / self.steps as f64),
        }
    }

    /// The figure whose line parts what is over from what is under, or work from none, mm.
    fn contour_mm(&self) -> f64 {
        match self.kind {
            MapKind::Departure => 0.0,
            MapKind::TakeOff => LEAST_WORK_MM,
        }
    }
}

/// The least round figure in the chosen unit that is no less than a length, as mm.
fn round_up(mm: f64, look: Look) -> f64 {
    let figure = look.figure(mm);
    let power = 10_f64.powf(figure.log10().floor());
    let rounds = [1.0, 1.2, 1.6, 2.0, 2.4, 3.2, 4.0, 5.0, 6.0, 8.0, 10.0];
    // A hair of slack keeps a round figure what it is.
    let round = rounds
        .into_iter()
        .map(|round| round * power)
        .find(|round| *round >= figure * (1.0 - 1e-9))
        .unwrap_or(figure);
    mm * round / figure
}

/// How doubt is drawn.
#[derive(Clone, Copy, Debug)]
pub(super) enum Veil {
    /// Thicker step by step, from what is well known to what is not.
    Gradual,
    /// Only over what is not known: plainer, for the bench.
    UnknownOnly,
}

impl Veil {
    /// Sheets of veil from what is well known to what is not.
    fn sheets(self) -> usize {
        match self {
            Self::Gradual => VEILS,
            Self::UnknownOnly => 0,
        }
    }
}

/// The map on the board: colours, the line of zero, the veil and the hatch over what is not
/// known, and words where the map cannot be drawn at all.
pub(super) fn draw_map(
    scene: &mut Scene,
    map: &MeasuredMap,
    colours: &Colours,
    veil: Veil,
    lying: &Lying<'_>,
) {
    let board = lying.frame.outline(lying.instrument);
    scene
        .layer("ground")
        .add(Item::filled(board.clone(), Ink::Unknown));
    let doubt = map.field(lying, |place| map.doubt(place));
    draw_colours(scene, map, colours, lying);
    match doubt {
        Some(doubt) => draw_veil(scene, &doubt, veil),
        None => scene.layer("unknown").items.extend(hatched(&board)),
    }
    draw_contour(scene, map, colours, lying);
}

fn draw_colours(scene: &mut Scene, map: &MeasuredMap, colours: &Colours, lying: &Lying<'_>) {
    let Some(field) = map.field(lying, |place| map.value_mm[place]) else {
        return;
    };
    for (level, ink) in colours.bands() {
        let region = field.region_above(level);
        if !region.is_empty() {
            scene.layer("bands").add(Item::filled(region, ink));
        }
    }
}

/// Sheets of veil one on another, so that no seam can show and each step adds as much.
fn draw_veil(scene: &mut Scene, doubt: &Field, veil: Veil) {
    let sheets = veil.sheets();
    for sheet in 0..sheets {
        let share = (sheet as f64 + 0.5) / sheets as f64;
        let region = doubt.region_above(1.0 + (UNKNOWN_FROM - 1.0) * share);
        // What still shows through the sheets before is parted evenly among those to come.
        let ink = Ink::Veil(1.0 / (sheets - sheet) as f64);
        if !region.is_empty() {
            scene.layer("veil").add(Item::filled(region, ink));
        }
    }
    let unknown = doubt.region_above(UNKNOWN_FROM);
    if !unknown.is_empty() {
        let layer = scene.layer("unknown");
        layer.add(Item::filled(unknown.clone(), Ink::Unknown));
        layer.items.extend(hatched(&unknown));
    }
}

/// A sparse hatch over an outline, so that a veil is not the only sign that nothing is known.
fn hatched(outline: &Path) -> Option<Item> {
    let (low, high) = outline.bounds()?;
    let height = high.y - low.y;
    let count = ((high.x - low.x + height) / HATCH_MM).clamp(0.0, 2000.0) as usize;
    let mut hatch = Path::new();
    // Lines start on a grid of the sheet, so that neighbouring areas hatch alike.
    let first = ((low.x - height) / HATCH_MM).ceil() * HATCH_MM;
    for line in 0..=count {
        let x = first + HATCH_MM * line as f64;
        hatch.push_polyline(&[Point::new(x, high.y), Point::new(x + height, low.y)]);
    }
    let lines = Item::stroked(hatch, Ink::Line, 0.18);
    Some(Item::clipped(vec![lines], outline.clone()))
}

/// The line of zero, where it is known.
fn draw_contour(scene: &mut Scene, map: &MeasuredMap, colours: &Colours, lying: &Lying<'_>) {
    let known = |place: usize| {
        if map.doubt(place) < UNKNOWN_FROM {
            map.value_mm[place]
        } else {
            f64::NAN
        }
    };
    let Some(field) = map.field(lying, known) else {
        return;
    };
    for line in field.isolines(colours.contour_mm()) {
        let line = Path::polyline(&line);
        let layer = scene.layer("contour");
        layer.add(Item::stroked(line.clone(), Ink::OverMapRim, 0.8));
        layer.add(Item::stroked(line, Ink::OverMap, 0.35));
    }
}

/// The bar that tells the colours, both ends and zero lettered, with its top at a height.
pub(super) fn draw_bar(scene: &mut Scene, colours: &Colours, top_mm: f64, look: Look) {
    let step = 120.0 / colours.count() as f64;
    let left = 60.0;
    let layer = scene.layer("bar");
    for index in 0..colours.count() {
        let place = Path::rect(left + step * index as f64, top_mm, step, 4.0);
        layer.add(Item::filled(place, colours.ink(index)));
    }
    let words = |x: f64, y: f64, text: String| {
        Item::text(Point::new(x, top_mm + y), text, TEXT_MM, Ink::Text)
    };
    let most = look.length(colours.most_mm, 3);
    let (low, high, zero) = match colours.kind {
        MapKind::Departure => (
            format!("{most} too low"),
            format!("{most} too high"),
            left + 60.0,
        ),
        MapKind::TakeOff => (
            "nothing to take off".to_owned(),
            format!("{most} to take off"),
            left + step,
        ),
    };
    layer.add(words(left - 2.0, 3.2, low).anchored(Anchor::End));
    layer.add(words(left + 122.0, 3.2, high));
    let tick = Path::line(
        Point::new(zero, top_mm - 0.8),
        Point::new(zero, top_mm + 4.8),
    );
    layer.add(Item::stroked(tick, Ink::Line, 0.35));
    layer.add(words(zero, 8.2, "0".to_owned()).anchored(Anchor::Middle));
}

/// What the veil and the hatch mean, on a baseline.
pub(super) fn draw_veil_words(
    scene: &mut Scene,
    map: &MeasuredMap,
    veil: Veil,
    base_mm: f64,
    look: Look,
) {
    let known = |times: f64| look.known_length(times * map.known_mm, 3);
    let (first, last) = (known(1.0), known(UNKNOWN_FROM));
    let words = match veil {
        Veil::Gradual => format!(
            "greyed where the standard uncertainty passes {first}; hatched where it passes {last}: not known"
        ),
        Veil::UnknownOnly => {
            format!(
                "hatched where the standard uncertainty passes {last}: not known, measure first"
            )
        }
    };
    let left = 0.5 * (scene.width_mm - 9.0 - words_mm(&words, 3.0));
    let swatch = Path::rect(left, base_mm - 3.0, 7.0, 3.8);
    let layer = scene.layer("veil words");
    layer.add(Item::filled(swatch.clone(), Ink::Unknown));
    layer.items.extend(hatched(&swatch));
    layer.add(Item::text(
        Point::new(left + 9.0, base_mm),
        words,
        3.0,
        Ink::FaintText,
    ));
}

/// Says on the board why there is no map, if there is none.
pub(super) fn draw_what_is_missing(scene: &mut Scene, map: &MeasuredMap, lying: &Lying<'_>) {
    let words = if !map.is_whole() {
        "no map: its figures do not fill a grid over the board"
    } else if map.known_range_mm().is_none() {
        "nothing is known of this board yet"
    } else {
        return;
    };
    let middle = Point::new(0.5 * scene.width_mm, lying.frame.point(0.0, 0.0).y);
    plate(scene, middle, words, 4.0);
}

/// Words on a light plate that can be read on any colour, centred at a place.
pub(super) fn plate(scene: &mut Scene, middle: Point, words: &str, size_mm: f64) {
    let width = words_mm(words, size_mm) + size_mm;
    let place = Path::rect(
        middle.x - 0.5 * width,
        middle.y - 0.75 * size_mm,
        width,
        1.5 * size_mm,
    );
    let layer = scene.layer("plates");
    layer.add(Item::filled(place, Ink::OverMapRim));
    let base = Point::new(middle.x, middle.y + 0.36 * size_mm);
    layer.add(Item::text(base, words, size_mm, Ink::OverMap).anchored(Anchor::Middle));
}
