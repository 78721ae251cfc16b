//! The paper writer: scenes as PDF pages of true size.

use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point as PdfPoint, Transform as PdfTransform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke as PdfStroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

use crate::error::DrawingError;
use crate::ink::{Colour, Ink, Palette};
use crate::path::{Path, Point, Segment};
use crate::scene::{Anchor, Item, Scene, Shape, Stroke, Weight};
use crate::text_width::{Letters, font_data, text_width_mm};

/// Points (1/72 in, PDF's unit) to the millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// The smallest side of a page, in mm; ISO 32000-1, annex C, allows no less than 3 points.
pub(crate) const LEAST_PAGE_MM: f64 = 2.0;

/// The largest side of a page, in mm; ISO 32000-1, annex C, allows no more than 14,400 points
/// (5,080 mm) without a unit of its own.
pub(crate) const LARGEST_PAGE_MM: f64 = 5_000.0;

/// One sheet of a document. What the scene has past the sheet's edges is cut off.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width of the sheet in mm.
    pub width_mm: f64,
    /// Height of the sheet in mm.
    pub height_mm: f64,
    /// What is on it, from its top left corner.
    pub scene: Scene,
}

/// What a document says about itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PdfOptions {
    /// The document's title.
    pub title: String,
    /// The language of its text, as a tag of BCP 47 (`en`); empty if unknown.
    pub language: String,
}

/// Writes pages as one PDF document, in the inks of [`Palette::Print`].
///
/// One millimetre of a scene is one millimetre of paper, if the printer does not scale. The
/// font is embedded, cut down to the letters used; no date is written, so the same pages give
/// the same bytes. Items that cannot be drawn are left out; count them with
/// [`Scene::count_undrawable`].
///
/// Accuracy: PDF holds coordinates in single precision: within 0.0001 mm on a page of a metre.
///
/// # Errors
/// If there is no page, or a page has a size that no PDF can have.
pub fn write_pdf(pages: &[Page], options: &PdfOptions) -> Result<Vec<u8>, DrawingError> {
    if pages.is_empty() {
        return Err(DrawingError::NoPages);
    }
    let fonts = Fonts::new()?;
    let mut document = Document::new_with(SerializeSettings::default());
    document.set_metadata(metadata(options));
    for (index, page) in pages.iter().enumerate() {
        let mut sheet = document.start_page_with(page_settings(page, index + 1)?);
        let mut surface = sheet.surface();
        let scale = POINTS_PER_MM as f32;
        surface.push_transform(&PdfTransform::from_scale(scale, scale));
        let items = page.scene.layers.iter().flat_map(|layer| &layer.items);
        items.for_each(|item| draw_item(item, &fonts, &mut surface));
        surface.pop();
        surface.finish();
        sheet.finish();
    }
    document
        .finish()
        .map_err(|error| DrawingError::Pdf(error.to_string()))
}

fn metadata(options: &PdfOptions) -> Metadata {
    let metadata = Metadata::new().title(options.title.clone());
    if options.language.is_empty() {
        metadata
    } else {
        metadata.language(options.language.clone())
    }
}

fn page_settings(page: &Page, number: usize) -> Result<PageSettings, DrawingError> {
    let allowed = LEAST_PAGE_MM..=LARGEST_PAGE_MM;
    let (width, height) = (
        page.width_mm * POINTS_PER_MM,
        page.height_mm * POINTS_PER_MM,
    );
    let settings = PageSettings::from_wh(width as f32, height as f32);
    settings
        .filter(|_| allowed.contains(&page.width_mm) && allowed.contains(&page.height_mm))
        .ok_or(DrawingError::PageSize {
            page: number,
            width_mm: page.width_mm,
            height_mm: page.height_mm,
        })
}

/// The two fonts of a document.
struct Fonts {
    regular: Font,
    bold: Font,
}

impl Fonts {
    fn new() -> Result<Self, DrawingError> {
        let load = |weight| {
            let font = Font::new(font_data(weight).into(), 0);
            font.ok_or_else(|| DrawingError::Pdf("the built-in font cannot be read".to_owned()))
        };
        Ok(Self {
            regular: load(Weight::Regular)?,
            bold: load(Weight::Bold)?,
        })
    }

    fn of(&self, weight: Weight) -> Font {
        match weight {
            Weight::Regular => self.regular.clone(),
            Weight::Bold => self.bold.clone(),
        }
    }
}

fn draw_item(item: &Item, fonts: &Fonts, surface: &mut Surface<'_>) {
    if !item.is_drawable() {
        return;
    }
    match &item.shape {
        Shape::Path { path, stroke, fill } => {
            draw_path(path, stroke.as_ref(), *fill, surface);
        }
        Shape::Text { .. } => draw_text(&item.shape, fonts, surface),
        Shape::Group { items, clip } => draw_group(items, clip.as_ref(), fonts, surface),
    }
}

fn draw_group(items: &[Item], clip: Option<&Path>, fonts: &Fonts, surface: &mut Surface<'_>) {
    let Some(clip) = clip else {
        items
            .iter()
            .for_each(|item| draw_item(item, fonts, surface));
        return;
    };
    // A clip without extent leaves nothing to be seen.
    if let Some(clip) = pdf_path(clip) {
        surface.push_clip_path(&clip, &FillRule::NonZero);
        items
            .iter()
            .for_each(|item| draw_item(item, fonts, surface));
        surface.pop();
    }
}

fn draw_path(path: &Path, stroke: Option<&Stroke>, fill: Option<Ink>, surface: &mut Surface<'_>) {
    // With neither, krilla would fill in black; the item is a place to point at, not a mark.
    if stroke.is_none() && fill.is_none() {
        return;
    }
    if let Some(path) = pdf_path(path) {
        surface.set_fill(fill.map(pdf_fill));
        surface.set_stroke(stroke.map(pdf_stroke));
        surface.draw_path(&path);
    }
}

/// The path in krilla's own form; `None` if nothing of it can be seen.
fn pdf_path(path: &Path) -> Option<krilla::geom::Path> {
    let mut builder = PathBuilder::new();
    let xy = |point: Point| (point.x as f32, point.y as f32);
    for segment in &path.segments {
        match *segment {
            Segment::Move(end) => builder.move_to(xy(end).0, xy(end).1),
            Segment::Line(end) => builder.line_to(xy(end).0, xy(end).1),
            Segment::Cubic(first, second, end) => {
                let ((x1, y1), (x2, y2), (x, y)) = (xy(first), xy(second), xy(end));
                builder.cubic_to(x1, y1, x2, y2, x, y);
            }
            Segment::Close => builder.close(),
        }
    }
    builder.finish()
}

fn paint(ink: Ink) -> (rgb::Color, NormalizedF32) {
    let Colour {
        red,
        green,
        blue,
        opacity,
    } = Palette::Print.colour(ink);
    let opacity = NormalizedF32::new(opacity as f32).unwrap_or(NormalizedF32::ONE);
    (rgb::Color::new(red, green, blue), opacity)
}

fn pdf_fill(ink: Ink) -> Fill {
    let (colour, opacity) = paint(ink);
    Fill {
        paint: colour.into(),
        opacity,
        rule: FillRule::NonZero,
    }
}

fn pdf_stroke(stroke: &Stroke) -> PdfStroke {
    let (colour, opacity) = paint(stroke.ink);
    let dash = stroke.dash.map(|dash| {
        let lengths = dash.lengths_mm(stroke.width_mm);
        StrokeDash {
            array: lengths.into_iter().map(|length| length as f32).collect(),
            offset: 0.0,
        }
    });
    PdfStroke {
        paint: colour.into(),
        width: stroke.width_mm as f32,
        line_join: LineJoin::Round,
        opacity,
        dash,
        ..PdfStroke::default()
    }
}

fn draw_text(shape: &Shape, fonts: &Fonts, surface: &mut Surface<'_>) {
    let Shape::Text {
        at,
        text,
        size_mm,
        ink,
        anchor,
        weight,
        angle_degrees,
    } = shape
    else {
        return;
    };
    let back = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => 0.5,
        Anchor::End => 1.0,
    };
    let start = -back * text_width_mm(text, *size_mm, *weight);
    surface.set_fill(Some(pdf_fill(*ink)));
    surface.set_stroke(None);
    surface.push_transform(&PdfTransform::from_translate(at.x as f32, at.y as f32));
    surface.push_transform(&PdfTransform::from_rotate(*angle_degrees as f32));
    surface.draw_glyphs(
        PdfPoint::from_xy(start as f32, 0.0),
        &glyphs(text, *weight),
        fonts.of(*weight),
        text,
        *size_mm as f32,
        false,
    );
    surface.pop();
    surface.pop();
}

/// The letters of a text side by side, each tied to its character so that it can be searched
/// and copied. Control characters are left out.
fn glyphs(text: &str, weight: Weight) -> Vec<KrillaGlyph> {
    let letters = Letters::of(weight);
    let glyph = |(start, character): (usize, char)| {
        let letter = letters.letter(character);
        KrillaGlyph {
            glyph_id: GlyphId::new(letter.glyph.to_u32()),
            text_range: start..start + character.len_utf8(),
            // In parts of the em, as krilla wants it.
            x_advance: letter.advance_em as f32,
            x_offset: 0.0,
            y_offset: 0.0,
            y_advance: 0.0,
            location: None,
        }
    };
    let characters = text
        .char_indices()
        .filter(|(_, character)| !character.is_control());
    characters.map(glyph).collect()
}
