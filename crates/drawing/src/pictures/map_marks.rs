//! Marks on a map: each kind has a shape of its own, so that none hangs on colour alone.

use super::frame::{Lying, flow, words_mm};
use super::measured_map::plate;
use crate::{Dash, Ink, Item, Path, Point, Scene, Stroke};

/// Height of a row of the key, mm.
pub(super) const KEY_ROW_MM: f64 = 5.4;
/// Size of the key's words, mm.
const KEY_TEXT_MM: f64 = 3.0;

/// What a mark stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// A reading, taken as it is: a dot.
    Reading,
    /// A reading that does not agree with the others: an open diamond.
    Doubted,
    /// A reading that the maker set aside: a cross.
    SetAside,
    /// A low place that says how far all must come down: a triangle on its tip.
    Limiting,
    /// Where the next reading would teach most: a broken ring.
    Next,
}

/// A mark at a place on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct MapMark {
    /// From the nut's front face along the centreline, mm.
    pub x_mm: f64,
    /// From the centreline toward the treble side, mm.
    pub y_mm: f64,
    /// What it stands for.
    pub kind: MarkKind,
    /// What is said of it when it is pointed at, and beside it where the kind calls for words;
    /// empty for nothing.
    pub label: String,
}

/// What a mark stands on, which decides its inks and never its shape.
#[derive(Clone, Copy, Debug)]
pub(super) enum Ground {
    /// The colours of a map, the same on every page.
    Map,
    /// The sheet, light or dark.
    Sheet,
}

impl Ground {
    /// The ink of the mark and the ink of its rim.
    fn inks(self) -> (Ink, Ink) {
        match self {
            Self::Map => (Ink::OverMap, Ink::OverMapRim),
            Self::Sheet => (Ink::Text, Ink::Paper),
        }
    }
}

impl MarkKind {
    /// Every kind, in the order of the key.
    const ALL: [Self; 5] = [
        Self::Reading,
        Self::Doubted,
        Self::SetAside,
        Self::Limiting,
        Self::Next,
    ];

    /// What the key says.
    fn words(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::Doubted => "doubted reading",
            Self::SetAside => "reading set aside",
            Self::Limiting => "low place that limits the next step",
            Self::Next => "measure here next",
        }
    }

    /// Whether its label is written on the map, not only shown when pointed at.
    fn is_lettered(self) -> bool {
        matches!(self, Self::Limiting | Self::Next)
    }

    /// The mark at a point of the sheet: its shape on a rim.
    pub(super) fn item(self, at: Point, ground: Ground) -> Item {
        let off = |x: f64, y: f64| Point::new(at.x + x, at.y + y);
        match self {
            Self::Reading => filled(Path::circle(at, 0.8), ground),
            Self::Doubted => {
                let corners = [off(0.0, -1.7), off(1.7, 0.0), off(0.0, 1.7), off(-1.7, 0.0)];
                lined(Path::polygon(&corners), None, ground)
            }
            Self::SetAside => {
                let mut cross = Path::line(off(-1.2, -1.2), off(1.2, 1.2));
                cross.append(&Path::line(off(-1.2, 1.2), off(1.2, -1.2)));
                lined(cross, None, ground)
            }
            Self::Limiting => {
                let corners = [off(-1.7, -2.6), off(1.7, -2.6), off(0.0, 0.4)];
                filled(Path::polygon(&corners), ground)
            }
            Self::Next => lined(Path::circle(at, 2.2), Some(Dash::Dashed), ground),
        }
    }
}

fn filled(path: Path, ground: Ground) -> Item {
    let (ink, rim) = ground.inks();
    Item::group(vec![
        Item::stroked(path.clone(), rim, 0.7),
        Item::filled(path, ink),
    ])
}

fn lined(path: Path, dash: Option<Dash>, ground: Ground) -> Item {
    let (ink, rim) = ground.inks();
    let line = Stroke {
        dash,
        ..Stroke::new(ink, 0.45)
    };
    Item::group(vec![
        Item::stroked(path.clone(), rim, 1.2),
        Item::path(path, Some(line), None),
    ])
}

/// The marks on the board, keyed `mark-N`, with words where there is room for them.
pub(super) fn draw_marks(scene: &mut Scene, marks: &[MapMark], lying: &Lying<'_>) {
    let mut taken: Vec<Point> = Vec::new();
    for (index, mark) in marks.iter().enumerate() {
        let at = lying.frame.point(mark.x_mm, mark.y_mm);
        let mut item = mark
            .kind
            .item(at, Ground::Map)
            .keyed(format!("mark-{index}"));
        if !mark.label.is_empty() {
            item = item.labelled(mark.label.clone());
        }
        scene.layer("marks").add(item);
    }
    for mark in marks.iter().filter(|mark| mark.kind.is_lettered()) {
        let at = lying.frame.point(mark.x_mm, mark.y_mm);
        draw_label(scene, mark, at, &mut taken);
    }
}

/// A mark's words on a plate beside it, unless others stand there.
fn draw_label(scene: &mut Scene, mark: &MapMark, at: Point, taken: &mut Vec<Point>) {
    let width = words_mm(&mark.label, KEY_TEXT_MM) + KEY_TEXT_MM;
    if mark.label.is_empty() || !at.is_finite() || width > 0.4 * scene.width_mm {
        return;
    }
    let aside = 0.5 * width + 3.2;
    let to_the_right = at.x + 2.0 * aside < scene.width_mm;
    let x = if to_the_right {
        at.x + aside
    } else {
        at.x - aside
    };
    let middle = Point::new(x, at.y);
    let is_free = |other: &Point| {
        (other.x - middle.x).abs() > width || (other.y - middle.y).abs() > 1.6 * KEY_TEXT_MM
    };
    if taken.iter().all(is_free) {
        plate(scene, middle, &mark.label, KEY_TEXT_MM);
        taken.push(middle);
    }
}

/// The marks for those who cannot see them: how many of each kind, and what is written beside
/// them.
pub(super) fn marks_in_words(marks: &[MapMark]) -> String {
    let sentence = |kind: MarkKind| {
        let these = || marks.iter().filter(move |mark| mark.kind == kind);
        let labels: Vec<&str> = these()
            .filter(|mark| kind.is_lettered() && !mark.label.is_empty())
            .map(|mark| mark.label.as_str())
            .collect();
        let named = if labels.is_empty() {
            String::new()
        } else {
            format!(" ({})", labels.join("; "))
        };
        format!(" Marks of “{}”: {}{named}.", kind.words(), these().count())
    };
    kinds(marks).into_iter().map(sentence).collect()
}

/// The kinds that stand on a map, in the order of the key.
fn kinds(marks: &[MapMark]) -> Vec<MarkKind> {
    let mut kinds = MarkKind::ALL.to_vec();
    kinds.retain(|kind| marks.iter().any(|mark| mark.kind == *kind));
    kinds
}

/// Where each entry of the key stands: its row and x, mm.
fn key_places(marks: &[MapMark], width_mm: f64) -> Vec<(MarkKind, usize, f64)> {
    let kinds = kinds(marks);
    let width = |kind: &MarkKind| 6.0 + words_mm(kind.words(), KEY_TEXT_MM) + 6.0;
    let widths: Vec<f64> = kinds.iter().map(width).collect();
    let places = flow(&widths, 5.0, width_mm - 3.0);
    let entries = kinds.into_iter().zip(places);
    entries.map(|(kind, (row, x))| (kind, row, x)).collect()
}

/// How high the key of some marks is, mm; 0 where there are none.
pub(super) fn key_height_mm(marks: &[MapMark], width_mm: f64) -> f64 {
    let last = key_places(marks, width_mm).last().map(|place| place.1 + 1);
    KEY_ROW_MM * last.unwrap_or(0) as f64
}

/// The key to the marks that stand on the map, from a height down.
pub(super) fn draw_key(scene: &mut Scene, marks: &[MapMark], top_mm: f64) {
    for (kind, row, x) in key_places(marks, scene.width_mm) {
        let middle = top_mm + KEY_ROW_MM * (row as f64 + 0.5);
        let layer = scene.layer("key");
        // A triangle stands on its tip, above its place.
        let lift = if kind == MarkKind::Limiting { 1.1 } else { 0.0 };
        layer.add(kind.item(Point::new(x + 2.4, middle + lift), Ground::Sheet));
        let words = Point::new(x + 6.2, middle + 1.1);
        layer.add(Item::text(words, kind.words(), KEY_TEXT_MM, Ink::Text));
    }
}
