//! The cutter's and draughtsman's writer: scenes as DXF R2000 (AC1015), in millimetres.

mod outline;
mod tables;
mod tags;

use crate::error::DrawingError;
use crate::ink::Ink;
use crate::path::{Path, Point};
use crate::scene::{Anchor, Item, LARGEST_MM, Scene, Shape, Stroke};
use crate::text_width::text_width_mm;
use outline::{Run, runs};
use tags::{Handle, Tags};

/// Capitals of the font in parts of its em; DXF gives a text's height by its capitals.
const CAPITALS_EM: f64 = 0.729;

/// Writes a scene as DXF R2000 in true millimetres, one DXF layer for each layer of the scene.
///
/// The sheet's lower left corner is the origin and y points up. Straight outlines become lines
/// and polylines, curves become splines of degree 3 through the same control points, so nothing
/// is flattened. Broken lines have line types of their own. What a cutter follows is the middle
/// of a line: widths and colours are left out. A filled area without a line is drawn as its
/// outline; places to point at, and what is drawn in bare paper, are left out. Clips are left
/// out: what a clipped group holds is written whole. Items that cannot be drawn are left out;
/// count them with [`Scene::count_undrawable`].
///
/// Layer names keep letters and digits of ASCII, `-` and `_`; other characters become `-`. Names
/// that then read alike are numbered.
///
/// The header's extent counts the controls of curves, so it may be larger than the drawing.
///
/// Accuracy: coordinates are rounded to 0.000001 mm.
///
/// # Errors
/// If the scene's width or height is not above 0 mm, or past [`LARGEST_MM`].
///
/// # Examples
/// A fret stands up from the sheet's lower edge; a sheet without height is refused.
/// ```
/// use drawing::{Ink, Item, Path, Point, Scene, write_dxf};
///
/// let mut scene = Scene::new(100.0, 42.5, "Frets", "One fret from above.");
/// let fret = Path::line(Point::new(35.6, 42.5), Point::new(35.6, 0.0));
/// scene.layer("fret slots").add(Item::stroked(fret, Ink::Fret, 0.25));
/// let dxf = write_dxf(&scene)?;
/// assert!(dxf.contains("AcDbLine\n 10\n35.6\n 20\n0.0\n"));
///
/// scene.height_mm = 0.0;
/// assert!(write_dxf(&scene).is_err());
/// # Ok::<(), drawing::DrawingError>(())
/// ```
///
/// # References
/// Autodesk, DXF Reference for AutoCAD 2000, the published description of the format.
pub fn write_dxf(scene: &Scene) -> Result<String, DrawingError> {
    let is_size = |side: f64| side > 0.0 && side <= LARGEST_MM;
    if !is_size(scene.width_mm) || !is_size(scene.height_mm) {
        return Err(DrawingError::SceneSize {
            width_mm: scene.width_mm,
            height_mm: scene.height_mm,
        });
    }
    let names = tables::layer_names(scene);
    let mut tags = Tags::new();
    let spaces = tables::write_tables(&mut tags, &names);
    tables::write_blocks(&mut tags, &spaces);
    let mut entities = Entities {
        tags,
        model: spaces.model,
        height_mm: scene.height_mm,
        reached: None,
    };
    entities.tags.open_section("ENTITIES");
    for (layer, name) in scene.layers.iter().zip(&names) {
        layer
            .items
            .iter()
            .for_each(|item| entities.item(item, name));
    }
    entities.tags.close_section();
    let Entities {
        mut tags, reached, ..
    } = entities;
    tables::write_objects(&mut tags);
    Ok(tables::write_header(scene, reached, &tags) + &tags.finish())
}

/// Writes what is drawn into the model space.
struct Entities {
    tags: Tags,
    model: Handle,
    height_mm: f64,
    /// Lower left and upper right corner of all that was written.
    reached: Option<(Point, Point)>,
}

impl Entities {
    fn item(&mut self, item: &Item, layer: &str) {
        if !item.is_drawable() {
            return;
        }
        match &item.shape {
            Shape::Path { path, stroke, fill } => {
                if is_seen(stroke.as_ref(), *fill) {
                    self.path(path, stroke.as_ref(), layer);
                }
            }
            Shape::Text { .. } => self.text(&item.shape, layer),
            Shape::Group { items, .. } => items.iter().for_each(|item| self.item(item, layer)),
        }
    }

    fn path(&mut self, path: &Path, stroke: Option<&Stroke>, layer: &str) {
        for run in runs(path, self.height_mm) {
            self.reach(run.points());
            match &run {
                Run::Straight { points, is_closed } => match points[..] {
                    [from, to] if !is_closed => self.line(from, to, stroke, layer),
                    _ => self.polyline(points, *is_closed, stroke, layer),
                },
                Run::Curved { controls } => self.spline(controls, stroke, layer),
            }
        }
    }

    fn line(&mut self, from: Point, to: Point, stroke: Option<&Stroke>, layer: &str) {
        self.begin("LINE", stroke, layer);
        self.tags.text(100, "AcDbLine");
        self.tags.point(10, from);
        self.tags.point(11, to);
    }

    fn polyline(
        &mut self,
        points: &[Point],
        is_closed: bool,
        stroke: Option<&Stroke>,
        layer: &str,
    ) {
        self.begin("LWPOLYLINE", stroke, layer);
        let tags = &mut self.tags;
        tags.text(100, "AcDbPolyline");
        tags.whole(90, points.len());
        tags.whole(70, usize::from(is_closed));
        tags.real(43, 0.0);
        for point in points {
            tags.real(10, point.x);
            tags.real(20, point.y);
        }
    }

    /// Cubic Bézier curves end to end are a B-spline of degree 3 over the same controls, whose
    /// inner knots stand three times and whose ends stand four times.
    fn spline(&mut self, controls: &[Point], stroke: Option<&Stroke>, layer: &str) {
        self.begin("SPLINE", stroke, layer);
        let tags = &mut self.tags;
        let curves = controls.len() / 3;
        let knots = controls.len() + 4;
        tags.text(100, "AcDbSpline");
        tags.axis(210);
        // 8: it lies in a plane.
        for (code, value) in [(70, 8), (71, 3), (72, knots), (73, controls.len()), (74, 0)] {
            tags.whole(code, value);
        }
        tags.real(40, 0.0);
        for knot in 0..=curves {
            (0..3).for_each(|_| tags.real(40, knot as f64));
        }
        tags.real(40, curves as f64);
        controls.iter().for_each(|point| tags.point(10, *point));
    }

    fn text(&mut self, shape: &Shape, layer: &str) {
        let Shape::Text {
            at,
            text,
            size_mm,
            ink: _,
            anchor,
            weight,
            angle_degrees,
        } = shape
        else {
            return;
        };
        let held = self.turned(*at);
        let width_mm = text_width_mm(text, *size_mm, *weight);
        // DXF turns anticlockwise.
        let turn = (-angle_degrees).rem_euclid(360.0);
        let (sine, cosine) = turn.to_radians().sin_cos();
        let (justified, back) = match anchor {
            Anchor::Start => (0, 0.0),
            Anchor::Middle => (1, 0.5 * width_mm),
            Anchor::End => (2, width_mm),
        };
        let along = |mm: f64| Point::new(held.x + mm * cosine, held.y + mm * sine);
        self.reach(&[along(-back), along(width_mm - back)]);
        self.begin("TEXT", None, layer);
        let tags = &mut self.tags;
        tags.text(100, "AcDbText");
        tags.point(10, along(-back));
        tags.real(40, size_mm * CAPITALS_EM);
        tags.words(1, text);
        tags.real(50, turn);
        tags.text(7, tables::style_name(*weight));
        if justified > 0 {
            tags.whole(72, justified);
            tags.point(11, held);
        }
        tags.text(100, "AcDbText");
    }

    /// What every entity begins with; a broken line has its line type, which is defined for a
    /// line 1 mm wide, scaled to its own width.
    fn begin(&mut self, kind: &str, stroke: Option<&Stroke>, layer: &str) {
        let tags = &mut self.tags;
        tags.record(kind, self.model);
        tags.text(100, "AcDbEntity");
        tags.text(8, layer);
        let broken = stroke.and_then(|stroke| Some((stroke.dash?, stroke.width_mm)));
        if let Some((dash, width_mm)) = broken {
            tags.text(6, tables::line_type_name(dash));
            // A scale that rounds to nothing would be refused.
            tags.real(48, width_mm.max(tags::LEAST_REAL));
        }
    }

    fn turned(&self, point: Point) -> Point {
        Point::new(point.x, self.height_mm - point.y)
    }

    fn reach(&mut self, points: &[Point]) {
        let path = Path::polyline(points);
        let Some((low, high)) = path.bounds() else {
            return;
        };
        let (was_low, was_high) = self.reached.unwrap_or((low, high));
        self.reached = Some((
            Point::new(low.x.min(was_low.x), low.y.min(was_low.y)),
            Point::new(high.x.max(was_high.x), high.y.max(was_high.y)),
        ));
    }
}

/// Whether a path marks anything on bare paper.
fn is_seen(stroke: Option<&Stroke>, fill: Option<Ink>) -> bool {
    stroke
        .map(|stroke| stroke.ink)
        .or(fill)
        .is_some_and(|ink| ink != Ink::Paper)
}
