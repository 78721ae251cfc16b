//! A pattern while it is drawn: marks at true size about an origin of its own, and the sheet cut
//! to what they take.

use quantity::{Length, LengthUnit, show_length};

use crate::pictures::Look;
use crate::{
    Anchor, Dash, Ink, Item, Layer, Path, Point, Scene, Segment, Shape, Transform, Weight,
    text_width_mm, wrap_text,
};

/// Lines that position something: the finest width of technical drawing (ISO 128, from memory), mm.
pub(super) const HAIR_MM: f64 = 0.13;
/// Lines that are cut, mm.
pub(super) const CUT_MM: f64 = 0.18;
/// Outlines, mm.
pub(super) const OUTLINE_MM: f64 = 0.25;
/// Size of figures beside marks, mm.
pub(super) const FIGURE_MM: f64 = 2.3;
/// Size of sentences, mm.
const SENTENCE_MM: f64 = 2.6;
/// Size of the title, mm.
const TITLE_MM: f64 = 4.2;
/// Paper left around everything, mm.
const MARGIN_MM: f64 = 6.0;
/// Narrowest and widest block of sentences, mm: a hand's width at least, one upright A4 at most.
const SENTENCES_MM: (f64, f64) = (120.0, 184.0);
/// A space at which no line breaks.
pub(super) const NO_BREAK: char = '\u{a0}';
/// A line of text takes so many of its em sizes.
const LEADING: f64 = 1.4;

/// What stands over a pattern, and is read aloud.
pub(super) struct Head {
    /// What pattern it is, after the commission's title.
    pub(super) name: &'static str,
    /// What it is for, in a sentence.
    pub(super) purpose: String,
    /// What else must be known, a sentence or two each.
    pub(super) notes: Vec<String>,
}

/// Marks on layers, and the box around them.
#[derive(Default)]
pub(super) struct Draft {
    layers: Vec<Layer>,
    bounds: Option<(Point, Point)>,
}

impl Draft {
    /// Adds an item on top of a layer.
    pub(super) fn add(&mut self, layer: &str, item: Item) {
        self.bounds = joined(self.bounds, item_box(&item));
        match self.layers.iter_mut().find(|found| found.name == layer) {
            Some(found) => found.items.push(item),
            None => self.layers.push(Layer {
                name: layer.to_owned(),
                items: vec![item],
            }),
        }
    }

    /// A hairline.
    pub(super) fn hair(&mut self, layer: &str, path: Path) {
        self.add(layer, Item::stroked(path, Ink::Line, HAIR_MM));
    }

    /// A hairline between two points.
    pub(super) fn tick(&mut self, layer: &str, from: Point, to: Point) {
        self.hair(layer, Path::line(from, to));
    }

    /// A centreline: a chain line, as the trade draws it.
    pub(super) fn chain(&mut self, from: Point, to: Point) {
        let item = Item::stroked(Path::line(from, to), Ink::Line, HAIR_MM).dashed(Dash::Chain);
        self.add("centreline", item);
    }

    /// A line to be cut.
    pub(super) fn cut(&mut self, layer: &str, path: Path) {
        self.add(layer, Item::stroked(path, Ink::Line, CUT_MM));
    }

    /// A figure beside a mark.
    pub(super) fn figure(&mut self, at: Point, text: impl Into<String>, anchor: Anchor) {
        let item = Item::text(at, text, FIGURE_MM, Ink::Text).anchored(anchor);
        self.add("words", item);
    }

    /// Top left and bottom right corner of everything; both at the origin when there is nothing.
    pub(super) fn bounds(&self) -> (Point, Point) {
        self.bounds.unwrap_or_default()
    }

    /// Width and height of everything, mm.
    pub(super) fn size(&self) -> (f64, f64) {
        let (low, high) = self.bounds();
        (high.x - low.x, high.y - low.y)
    }

    /// Puts another draft so that its top left corner lies at a point.
    pub(super) fn put(&mut self, other: &Self, at: Point) {
        let (low, _) = other.bounds();
        self.put_moved(other, at.x - low.x, at.y - low.y);
    }

    /// Puts another draft under everything drawn so far, flush at the left.
    pub(super) fn put_below(&mut self, other: &Self, gap_mm: f64) {
        let (low, high) = self.bounds();
        self.put(other, Point::new(low.x, high.y + gap_mm));
    }

    /// Puts another draft under everything drawn so far, its own origin in line with this one's.
    pub(super) fn put_in_line(&mut self, other: &Self, gap_mm: f64) {
        let bottom = self.bounds().1.y;
        self.put_moved(other, 0.0, bottom + gap_mm - other.bounds().0.y);
    }

    fn put_moved(&mut self, other: &Self, dx: f64, dy: f64) {
        let moved = Transform::translate(dx, dy);
        for layer in &other.layers {
            for item in &layer.items {
                self.add(&layer.name, item.transformed(&moved));
            }
        }
    }

    /// The pattern on a sheet of its own, its title and sentences above it.
    pub(super) fn finish(self, commission: &str, head: &Head) -> Scene {
        let title = format!("{commission}: {}", head.name);
        let width = self.size().0.clamp(SENTENCES_MM.0, SENTENCES_MM.1);
        let mut sheet = sentences(&title, head, width);
        sheet.put_below(&self, 5.0);
        let (low, high) = sheet.bounds();
        let description: Vec<&str> = std::iter::once(head.purpose.as_str())
            .chain(head.notes.iter().map(String::as_str))
            .collect();
        let mut scene = Scene::new(
            high.x - low.x + 2.0 * MARGIN_MM,
            high.y - low.y + 2.0 * MARGIN_MM,
            title,
            description.join(" "),
        );
        let mut placed = Self::default();
        placed.put(&sheet, Point::new(MARGIN_MM, MARGIN_MM));
        scene.layers = placed.layers;
        // Words lie on top, so that no line crosses a letter.
        scene.layers.sort_by_key(|layer| layer.name == "words");
        scene
    }
}

/// Title, purpose and notes, set in a block.
fn sentences(title: &str, head: &Head, width_mm: f64) -> Draft {
    let mut block = Draft::default();
    let mut y = 0.0;
    let mut set = |text: &str, size: f64, weight: Weight, ink: Ink| {
        for line in wrapped(text, size, weight, width_mm) {
            y += LEADING * size;
            let item = Item::text(Point::new(0.0, y), line, size, ink).weighted(weight);
            block.add("words", item);
        }
    };
    set(title, TITLE_MM, Weight::Bold, Ink::Text);
    set(&head.purpose, SENTENCE_MM, Weight::Bold, Ink::Text);
    for note in &head.notes {
        set(note, SENTENCE_MM, Weight::Regular, Ink::Text);
    }
    block
}

/// A text broken into lines as [`wrap_text`] does, no figure parted from its unit.
pub(super) fn wrapped(text: &str, size_mm: f64, weight: Weight, width_mm: f64) -> Vec<String> {
    let mut bound = String::with_capacity(text.len());
    let mut after_figure = false;
    for word in text.split(' ') {
        let is_unit = ["mm", "in"].contains(&word.trim_end_matches(['.', ',', ';', ':']));
        if !bound.is_empty() {
            bound.push(if after_figure && is_unit {
                NO_BREAK
            } else {
                ' '
            });
        }
        bound.push_str(word);
        after_figure = word.ends_with(|letter: char| letter.is_ascii_digit());
    }
    let lines = wrap_text(&bound, size_mm, weight, width_mm);
    // A plain space is read by every program that a pattern goes to.
    lines
        .iter()
        .map(|line| line.replace(NO_BREAK, " "))
        .collect()
}

/// Drafts side by side, in rows no wider than so many mm; one that is wider has a row to itself.
pub(super) fn in_rows(drafts: &[Draft], most_width_mm: f64, gap_mm: f64) -> Draft {
    let mut all = Draft::default();
    let (mut x, mut top, mut row_height) = (0.0, 0.0, 0.0f64);
    for draft in drafts {
        let (width, height) = draft.size();
        if x > 0.0 && x + width > most_width_mm {
            (x, top, row_height) = (0.0, top + row_height + gap_mm, 0.0);
        }
        all.put(draft, Point::new(x, top));
        x += width + gap_mm;
        row_height = row_height.max(height);
    }
    all
}

/// Lines of text one under the other, centred at an x; returns the height below the last one, mm.
pub(super) fn centred_lines(
    draft: &mut Draft,
    layer: &str,
    lines: &[String],
    (x, top): (f64, f64),
    size_mm: f64,
) -> f64 {
    let mut y = top;
    for line in lines {
        y += LEADING * size_mm;
        let item = Item::text(Point::new(x, y - 0.3 * size_mm), line, size_mm, Ink::Text);
        draft.add(layer, item.anchored(Anchor::Middle));
    }
    y
}

/// A length in words for setting out: inches in decimals, because a fraction would round a fret.
pub(super) fn exact(look: Look, mm: f64, decimals: usize) -> String {
    let unit = match look.unit {
        LengthUnit::Millimetre => LengthUnit::Millimetre,
        LengthUnit::DecimalInch | LengthUnit::FractionInch => LengthUnit::DecimalInch,
    };
    show_length(Length::from_mm(mm), unit, decimals)
}

/// The same with its sign.
pub(super) fn signed(look: Look, mm: f64, decimals: usize) -> String {
    let words = exact(look, mm.abs(), decimals);
    let is_nothing = !words.chars().any(|letter| ('1'..='9').contains(&letter));
    match mm {
        _ if is_nothing => words,
        mm if mm < 0.0 => format!("−{words}"),
        _ => format!("+{words}"),
    }
}

/// A length in millimetres and in inches, for what hangs on the wall longer than a commission.
pub(super) fn both_units(mm: f64, decimals: usize) -> String {
    let length = Length::from_mm(mm);
    // Inches show two decimals more than millimetres; one more is as fine here.
    let inches = show_length(length, LengthUnit::DecimalInch, decimals.saturating_sub(1));
    format!(
        "{} / {inches}",
        show_length(length, LengthUnit::Millimetre, decimals)
    )
}

/// A circle, open nowhere, true to 6e-9 of its radius.
pub(super) fn round(centre: Point, radius_mm: f64) -> Path {
    Path::arc(centre, radius_mm, 0.0, 360.0).close()
}

/// Pieces of an outline joined end to end and closed: each piece's first move becomes a line
/// where there is a way to go.
pub(super) fn traced(pieces: &[Path]) -> Path {
    let mut outline = Path::new();
    let mut pen = None;
    for segment in pieces.iter().flat_map(|piece| &piece.segments) {
        let is_there =
            |at: Point| pen.is_some_and(|pen: Point| (pen.x - at.x).hypot(pen.y - at.y) < 1e-9);
        match *segment {
            Segment::Move(at) if outline.is_empty() => outline.segments.push(Segment::Move(at)),
            Segment::Move(at) | Segment::Line(at) if is_there(at) => {}
            Segment::Move(at) | Segment::Line(at) => outline.segments.push(Segment::Line(at)),
            curve => outline.segments.push(curve),
        }
        pen = match *segment {
            Segment::Move(at) | Segment::Line(at) | Segment::Cubic(_, _, at) => Some(at),
            Segment::Close => pen,
        };
    }
    outline.close()
}

/// The box around an item as it is printed.
fn item_box(item: &Item) -> Option<(Point, Point)> {
    match &item.shape {
        Shape::Path { path, .. } => path.bounds(),
        Shape::Text {
            at,
            text,
            size_mm,
            anchor,
            weight,
            angle_degrees,
            ..
        } => {
            let width = text_width_mm(text, *size_mm, *weight);
            let left = match anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => -0.5 * width,
                Anchor::End => -width,
            };
            // Letters reach from about 0.24 of the em under the baseline to 0.76 above it.
            let upright = Path::rect(left, -0.76 * size_mm, width, *size_mm);
            let turned =
                Transform::rotate_degrees(*angle_degrees).then(&Transform::translate(at.x, at.y));
            upright.transformed(&turned).bounds()
        }
        Shape::Group { items, .. } => items.iter().map(item_box).fold(None, joined),
    }
}

/// The box around two boxes.
fn joined(one: Option<(Point, Point)>, other: Option<(Point, Point)>) -> Option<(Point, Point)> {
    let (Some(a), Some(b)) = (one, other) else {
        return one.or(other);
    };
    Some((
        Point::new(a.0.x.min(b.0.x), a.0.y.min(b.0.y)),
        Point::new(a.1.x.max(b.1.x), a.1.y.max(b.1.y)),
    ))
}
