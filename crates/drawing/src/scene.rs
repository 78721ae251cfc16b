//! Scenes: what a picture is made of, before anything is decided about screen or paper.

use crate::ink::Ink;
use crate::path::{Path, Point, Transform};

/// The largest coordinate, width or text size that is drawn, in mm either side of the origin.
///
/// One kilometre is far past any sheet; a larger number comes from a fault, and paper formats
/// hold single precision only.
pub const LARGEST_MM: f64 = 1.0e6;

/// A picture in millimetres: a sheet with named layers, painted in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Width of the sheet in mm.
    pub width_mm: f64,
    /// Height of the sheet in mm.
    pub height_mm: f64,
    /// What the picture is, in a few words; read aloud by screen readers.
    pub title: String,
    /// What the picture shows, in a sentence or two, for those who cannot see it.
    pub description: String,
    /// The layers, from the bottom up.
    pub layers: Vec<Layer>,
}

/// A named layer of a scene; writers keep the name, so a cutter can pick one layer out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layer {
    /// The layer's name, unique in its scene.
    pub name: String,
    /// What is drawn, from the bottom up.
    pub items: Vec<Item>,
}

/// One thing drawn, with what a page's script and a reader need to find it.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What is drawn.
    pub shape: Shape,
    /// A name for the page's script, so that it can find a fret or a lane; written as `data-key`.
    pub key: Option<String>,
    /// A short text shown when the item is pointed at.
    pub label: Option<String>,
}

/// What an item draws.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// An outline, drawn and filled. With neither stroke nor fill it is an unseen place to
    /// point at.
    Path {
        /// The outline.
        path: Path,
        /// How its line is drawn, if at all.
        stroke: Option<Stroke>,
        /// What it is filled with, if at all.
        fill: Option<Ink>,
    },
    /// One line of text.
    Text {
        /// Where the baseline is met by the anchor.
        at: Point,
        /// The text.
        text: String,
        /// The em size in mm; capitals stand about 0.73 of it high.
        size_mm: f64,
        /// The ink.
        ink: Ink,
        /// Which part of the text stands at `at`.
        anchor: Anchor,
        /// Regular or bold.
        weight: Weight,
        /// Turn about `at`, in degrees clockwise.
        angle_degrees: f64,
    },
    /// Items that belong together.
    Group {
        /// The items, from the bottom up.
        items: Vec<Item>,
        /// If given, nothing outside this outline is seen (a tile of a pattern, a chart's frame).
        clip: Option<Path>,
    },
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// The ink.
    pub ink: Ink,
    /// Width of the line in mm, above zero.
    pub width_mm: f64,
    /// Broken lines; `None` is an unbroken one.
    pub dash: Option<Dash>,
}

/// A broken line. Lengths follow the line's width, as in technical drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Dashes of 6 widths, gaps of 3.
    Dashed,
    /// Dots of 1 width, gaps of 3.
    Dotted,
    /// Long dash, gap, dot, gap: 24, 3, 1, 3 widths; the trade's mark for a centreline.
    Chain,
}

impl Dash {
    /// Lengths drawn and left out in turn, in mm, for a line of a width in mm.
    pub fn lengths_mm(self, width_mm: f64) -> Vec<f64> {
        let widths: &[f64] = match self {
            Self::Dashed => &[6.0, 3.0],
            Self::Dotted => &[1.0, 3.0],
            Self::Chain => &[24.0, 3.0, 1.0, 3.0],
        };
        widths.iter().map(|count| count * width_mm).collect()
    }
}

/// Which part of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// The text begins there.
    #[default]
    Start,
    /// The text is centred there.
    Middle,
    /// The text ends there.
    End,
}

/// Weight of the letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Weight {
    /// Ordinary letters.
    #[default]
    Regular,
    /// Bold letters.
    Bold,
}

impl Stroke {
    /// An unbroken line of an ink and a width in mm.
    pub const fn new(ink: Ink, width_mm: f64) -> Self {
        Self {
            ink,
            width_mm,
            dash: None,
        }
    }

    /// The same line, broken.
    #[must_use]
    pub const fn dashed(self, dash: Dash) -> Self {
        Self {
            dash: Some(dash),
            ..self
        }
    }

    fn is_drawable(&self) -> bool {
        self.ink.is_finite() && self.width_mm > 0.0 && self.width_mm <= LARGEST_MM
    }
}

impl Item {
    /// An item without key or label.
    pub const fn new(shape: Shape) -> Self {
        Self {
            shape,
            key: None,
            label: None,
        }
    }

    /// An outline drawn as a line of a width in mm.
    pub const fn stroked(path: Path, ink: Ink, width_mm: f64) -> Self {
        Self::path(path, Some(Stroke::new(ink, width_mm)), None)
    }

    /// An outline filled and not drawn.
    pub const fn filled(path: Path, ink: Ink) -> Self {
        Self::path(path, None, Some(ink))
    }

    /// An outline with a line, a filling, both, or neither (an unseen place to point at).
    pub const fn path(path: Path, stroke: Option<Stroke>, fill: Option<Ink>) -> Self {
        Self::new(Shape::Path { path, stroke, fill })
    }

    /// One line of regular text that begins at a point on its baseline, of an em size in mm.
    pub fn text(at: Point, text: impl Into<String>, size_mm: f64, ink: Ink) -> Self {
        Self::new(Shape::Text {
            at,
            text: text.into(),
            size_mm,
            ink,
            anchor: Anchor::Start,
            weight: Weight::Regular,
            angle_degrees: 0.0,
        })
    }

    /// Items that belong together.
    pub const fn group(items: Vec<Item>) -> Self {
        Self::new(Shape::Group { items, clip: None })
    }

    /// Items of which only what lies inside an outline is seen.
    pub const fn clipped(items: Vec<Item>, outline: Path) -> Self {
        Self::new(Shape::Group {
            items,
            clip: Some(outline),
        })
    }

    /// The same item under a name for the page's script.
    #[must_use]
    pub fn keyed(mut self, key: impl Into<String>) -> Self {
        self.key = Some(key.into());
        self
    }

    /// The same item with a text shown when it is pointed at.
    #[must_use]
    pub fn labelled(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    /// The same item with its line broken; only outlines have one.
    #[must_use]
    pub fn dashed(mut self, dash: Dash) -> Self {
        if let Shape::Path {
            stroke: Some(stroke),
            ..
        } = &mut self.shape
        {
            stroke.dash = Some(dash);
        }
        self
    }

    /// The same text held by another part; other items stay as they are.
    #[must_use]
    pub fn anchored(mut self, new_anchor: Anchor) -> Self {
        if let Shape::Text { anchor, .. } = &mut self.shape {
            *anchor = new_anchor;
        }
        self
    }

    /// The same text in another weight; other items stay as they are.
    #[must_use]
    pub fn weighted(mut self, new_weight: Weight) -> Self {
        if let Shape::Text { weight, .. } = &mut self.shape {
            *weight = new_weight;
        }
        self
    }

    /// The same text turned about its anchor, in degrees clockwise; other items stay as they are.
    #[must_use]
    pub fn turned(mut self, degrees: f64) -> Self {
        if let Shape::Text { angle_degrees, .. } = &mut self.shape {
            *angle_degrees = degrees;
        }
        self
    }

    /// The item moved, scaled or turned. Line widths and text sizes follow the mean scale; text
    /// is turned but never mirrored.
    #[must_use]
    pub fn transformed(&self, transform: &Transform) -> Self {
        Self {
            shape: self.shape.transformed(transform),
            key: self.key.clone(),
            label: self.label.clone(),
        }
    }

    /// Whether the item itself can be drawn: every number finite, no size past [`LARGEST_MM`],
    /// line widths and text sizes above zero, something to draw. Writers leave other items out,
    /// so a bad figure costs one mark and never the picture. A group is judged by its clip only.
    pub fn is_drawable(&self) -> bool {
        match &self.shape {
            Shape::Path { path, stroke, fill } => {
                path_is_drawable(path)
                    && stroke.as_ref().is_none_or(Stroke::is_drawable)
                    && fill.is_none_or(Ink::is_finite)
            }
            Shape::Text {
                at,
                text,
                size_mm,
                ink,
                angle_degrees,
                ..
            } => {
                is_in_reach(*at)
                    && !text.is_empty()
                    && *size_mm > 0.0
                    && *size_mm <= LARGEST_MM
                    && ink.is_finite()
                    && angle_degrees.abs() <= LARGEST_MM
            }
            Shape::Group { clip, .. } => clip.as_ref().is_none_or(path_is_drawable),
        }
    }

    /// How many items, this one and those inside it, no writer can draw.
    fn count_undrawable(&self) -> usize {
        match (&self.shape, self.is_drawable()) {
            (_, false) => 1,
            (Shape::Group { items, .. }, true) => items.iter().map(Self::count_undrawable).sum(),
            _ => 0,
        }
    }
}

impl Shape {
    fn transformed(&self, transform: &Transform) -> Self {
        match self {
            Self::Path { path, stroke, fill } => Self::Path {
                path: path.transformed(transform),
                stroke: stroke.map(|stroke| Stroke {
                    width_mm: stroke.width_mm * transform.mean_scale(),
                    ..stroke
                }),
                fill: *fill,
            },
            Self::Text {
                at,
                text,
                size_mm,
                ink,
                anchor,
                weight,
                angle_degrees,
            } => Self::Text {
                at: transform.apply(*at),
                text: text.clone(),
                size_mm: size_mm * transform.mean_scale(),
                ink: *ink,
                anchor: *anchor,
                weight: *weight,
                angle_degrees: angle_degrees + transform.turn_degrees(),
            },
            Self::Group { items, clip } => Self::Group {
                items: items
                    .iter()
                    .map(|item| item.transformed(transform))
                    .collect(),
                clip: clip.as_ref().map(|clip| clip.transformed(transform)),
            },
        }
    }
}

/// Every stroke of the pen must begin with a move, and every point lie within reach.
fn path_is_drawable(path: &Path) -> bool {
    matches!(path.segments.first(), Some(crate::path::Segment::Move(_)))
        && path.points().all(is_in_reach)
}

fn is_in_reach(point: Point) -> bool {
    // A comparison with NaN is false, so NaN is out of reach too.
    point.x.abs() <= LARGEST_MM && point.y.abs() <= LARGEST_MM
}

impl Layer {
    /// Adds an item on top of the layer.
    pub fn add(&mut self, item: Item) -> &mut Self {
        self.items.push(item);
        self
    }
}

impl Extend<Item> for Layer {
    fn extend<Items: IntoIterator<Item = Item>>(&mut self, items: Items) {
        self.items.extend(items);
    }
}

impl Scene {
    /// An empty sheet of a width and height in mm.
    pub fn new(
        width_mm: f64,
        height_mm: f64,
        title: impl Into<String>,
        description: impl Into<String>,
    ) -> Self {
        Self {
            width_mm,
            height_mm,
            title: title.into(),
            description: description.into(),
            layers: Vec::new(),
        }
    }

    /// The layer of a name; a new one is laid on top of the others if there is none yet.
    pub fn layer(&mut self, name: &str) -> &mut Layer {
        let place = self.layers.iter().position(|layer| layer.name == name);
        let place = place.unwrap_or_else(|| {
            self.layers.push(Layer {
                name: name.to_owned(),
                items: Vec::new(),
            });
            self.layers.len() - 1
        });
        &mut self.layers[place]
    }

    /// Everything in the scene as items of another one, scaled about the top left corner, which
    /// is put at a point; one group a layer. A scale of 1 keeps true size.
    pub fn placed(&self, at: Point, scale: f64) -> Vec<Item> {
        let transform = Transform::scale(scale).then(&Transform::translate(at.x, at.y));
        let place = |item: &Item| item.transformed(&transform);
        self.layers
            .iter()
            .map(|layer| Item::group(layer.items.iter().map(place).collect()))
            .collect()
    }

    /// How many items the writers leave out because a number in them cannot be drawn; see
    /// [`Item::is_drawable`]. A sound picture has none.
    pub fn count_undrawable(&self) -> usize {
        let items = self.layers.iter().flat_map(|layer| &layer.items);
        items.map(Item::count_undrawable).sum()
    }
}
