//! The screen writer: scenes as SVG, for pages that choose light or dark, and for files that
//! stand alone.

use std::fmt::Write as _;

use crate::ink::{Colour, Ink, Palette};
use crate::path::{Path, Point, Segment};
use crate::scene::{Anchor, Item, Layer, Scene, Shape, Stroke, Weight};

/// Where the colours come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SvgPalette {
    /// From the page's style sheet, by the classes of [`ink_style_sheet`]; the picture then
    /// follows the page from light to dark. The picture has no size of its own.
    #[default]
    Classes,
    /// Written out, for a file that stands alone; the picture then has its true size.
    Fixed(Palette),
}

/// How a scene is written as SVG.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SvgOptions {
    /// Where the colours come from.
    pub palette: SvgPalette,
    /// Put before every id, so that several pictures may stand on one page. Characters that no
    /// id may hold become hyphens.
    pub id_prefix: String,
    /// Further attributes of the `svg` element, by name and value. They stand in for the
    /// writer's own of the same name (`role`, `class`, `width`); names XML would refuse are left
    /// out, and so is a name that was given before.
    pub extra_attributes: Vec<(String, String)>,
}

/// Writes a scene as SVG: true millimetres in the view box, coordinates rounded to 0.001 mm.
///
/// The picture is one image to a screen reader, with the scene's title and description. An
/// item's key is written as `data-key`, its label as `title`; an item with neither stroke nor
/// fill answers to the pointer unseen. Items that cannot be drawn are left out; count them with
/// [`Scene::count_undrawable`].
pub fn write_svg(scene: &Scene, options: &SvgOptions) -> String {
    let mut writer = SvgWriter {
        out: String::with_capacity(16 * 1024),
        palette: options.palette,
        prefix: id_text(&options.id_prefix),
        clips: 0,
    };
    writer.open(scene, &options.extra_attributes);
    for layer in &scene.layers {
        writer.layer(layer);
    }
    writer.out.push_str("</svg>");
    writer.out
}

/// The style sheet behind [`SvgPalette::Classes`]: a custom property `--ink-…` for each ink,
/// light by default and dark where the reader asks for it, white paper when printed, and the
/// rules `.ink-…-stroke` and `.ink-…-fill`.
///
/// A page that lets the reader choose sets `data-theme="light"` or `"dark"` on its root element.
pub fn ink_style_sheet() -> String {
    let light = custom_properties(Palette::Light);
    let dark = custom_properties(Palette::Dark);
    let print = custom_properties(Palette::Print);
    // The root is named three times so that paper outranks the rules for dark before it.
    let mut sheet = format!(
        ":root{{{light}}}\n\
         @media (prefers-color-scheme:dark){{:root:not([data-theme=\"light\"]){{{dark}}}}}\n\
         :root[data-theme=\"dark\"]{{{dark}}}\n\
         @media print{{:root:root:root{{{print}}}}}\n"
    );
    for name in Ink::ALL.into_iter().filter_map(Ink::name) {
        push(
            &mut sheet,
            format_args!(
                ".ink-{name}-stroke{{stroke:var(--ink-{name})}}\
                 .ink-{name}-fill{{fill:var(--ink-{name})}}\n"
            ),
        );
    }
    sheet
}

fn custom_properties(palette: Palette) -> String {
    let property = |ink: Ink| {
        let value = palette.colour(ink).hex();
        ink.name().map(|name| format!("--ink-{name}:{value};"))
    };
    Ink::ALL.into_iter().filter_map(property).collect()
}

struct SvgWriter {
    out: String,
    palette: SvgPalette,
    prefix: String,
    /// Clips written so far, to number their ids.
    clips: usize,
}

impl SvgWriter {
    fn open(&mut self, scene: &Scene, extra: &[(String, String)]) {
        let (width, height) = (side_text(scene.width_mm), side_text(scene.height_mm));
        let prefix = &self.prefix;
        let mut attributes: Vec<(String, String)> = Vec::new();
        let own = [
            ("xmlns", "http://www.w3.org/2000/svg".to_owned()),
            ("viewBox", format!("0 0 {width} {height}")),
        ];
        let changeable = [
            ("role", "img".to_owned()),
            ("aria-labelledby", format!("{prefix}title {prefix}desc")),
            ("font-family", "sans-serif".to_owned()),
            ("stroke-linejoin", "round".to_owned()),
        ];
        let sizes = [
            ("width", format!("{width}mm")),
            ("height", format!("{height}mm")),
        ];
        let sizes = sizes
            .into_iter()
            .filter(|_| self.palette != SvgPalette::Classes);
        let owned = |(name, value): (&str, String)| (name.to_owned(), value);
        let all = own.into_iter().map(owned).chain(extra.iter().cloned());
        for (name, value) in all.chain(changeable.into_iter().chain(sizes).map(owned)) {
            if is_attribute_name(&name) && attributes.iter().all(|(given, _)| *given != name) {
                attributes.push((name, value));
            }
        }
        self.out.push_str("<svg");
        for (name, value) in &attributes {
            self.attribute(name, value);
        }
        self.out.push('>');
        self.text_element("title", "title", &scene.title);
        self.text_element("desc", "desc", &scene.description);
    }

    fn text_element(&mut self, element: &str, id: &str, text: &str) {
        push(
            &mut self.out,
            format_args!("<{element} id=\"{}{id}\">", self.prefix),
        );
        escape(text, &mut self.out);
        push(&mut self.out, format_args!("</{element}>"));
    }

    fn layer(&mut self, layer: &Layer) {
        self.out.push_str("<g");
        self.attribute("data-layer", &layer.name);
        self.out.push('>');
        layer.items.iter().for_each(|item| self.item(item));
        self.out.push_str("</g>\n");
    }

    fn item(&mut self, item: &Item) {
        if !item.is_drawable() {
            return;
        }
        match &item.shape {
            Shape::Path { path, stroke, fill } => {
                self.out.push_str("<path");
                self.path_attributes(path, stroke.as_ref(), *fill);
                self.close_element(item, "path");
            }
            Shape::Text { text, .. } => {
                self.out.push_str("<text");
                self.text_attributes(&item.shape);
                self.key_attribute(item);
                self.out.push('>');
                self.label(item);
                escape(text, &mut self.out);
                self.out.push_str("</text>");
            }
            Shape::Group { items, clip } => {
                let clip_id = clip.as_ref().map(|clip| self.clip(clip));
                self.out.push_str("<g");
                if let Some(id) = clip_id {
                    push(&mut self.out, format_args!(" clip-path=\"url(#{id})\""));
                }
                self.key_attribute(item);
                self.out.push('>');
                self.label(item);
                items.iter().for_each(|item| self.item(item));
                self.out.push_str("</g>");
            }
        }
    }

    /// Ends the start tag of an element that holds nothing but its label.
    fn close_element(&mut self, item: &Item, element: &str) {
        self.key_attribute(item);
        if item.label.is_none() {
            self.out.push_str("/>");
            return;
        }
        self.out.push('>');
        self.label(item);
        push(&mut self.out, format_args!("</{element}>"));
    }

    fn key_attribute(&mut self, item: &Item) {
        if let Some(key) = &item.key {
            self.attribute("data-key", key);
        }
    }

    fn label(&mut self, item: &Item) {
        if let Some(label) = &item.label {
            self.out.push_str("<title>");
            escape(label, &mut self.out);
            self.out.push_str("</title>");
        }
    }

    /// Writes a clip outline and gives its id.
    fn clip(&mut self, clip: &Path) -> String {
        self.clips += 1;
        let id = format!("{}clip-{}", self.prefix, self.clips);
        push(
            &mut self.out,
            format_args!("<clipPath id=\"{id}\"><path d=\""),
        );
        path_data(clip, &mut self.out);
        self.out.push_str("\"/></clipPath>");
        id
    }

    fn path_attributes(&mut self, path: &Path, stroke: Option<&Stroke>, fill: Option<Ink>) {
        self.out.push_str(" d=\"");
        path_data(path, &mut self.out);
        self.out.push('"');
        if stroke.is_none() && fill.is_none() {
            self.out.push_str(" pointer-events=\"all\"");
        }
        self.inks(stroke.map(|stroke| stroke.ink), fill);
        let Some(stroke) = stroke else { return };
        self.out.push_str(" stroke-width=\"");
        // A width that rounds to nothing would vanish.
        number(stroke.width_mm.max(0.001), &mut self.out);
        self.out.push('"');
        if let Some(dash) = stroke.dash {
            self.out.push_str(" stroke-dasharray=\"");
            for length in dash.lengths_mm(stroke.width_mm) {
                number(length.max(0.001), &mut self.out);
                self.out.push(' ');
            }
            self.out.pop();
            self.out.push('"');
        }
    }

    fn text_attributes(&mut self, shape: &Shape) {
        let Shape::Text {
            at,
            size_mm,
            ink,
            anchor,
            weight,
            angle_degrees,
            ..
        } = shape
        else {
            return;
        };
        let out = &mut self.out;
        for (name, value) in [("x", at.x), ("y", at.y), ("font-size", *size_mm)] {
            push(out, format_args!(" {name}=\""));
            number(value, out);
            out.push('"');
        }
        match anchor {
            Anchor::Start => {}
            Anchor::Middle => out.push_str(" text-anchor=\"middle\""),
            Anchor::End => out.push_str(" text-anchor=\"end\""),
        }
        if *weight == Weight::Bold {
            out.push_str(" font-weight=\"bold\"");
        }
        if *angle_degrees != 0.0 {
            out.push_str(" transform=\"rotate(");
            numbers(&[*angle_degrees, at.x, at.y], out);
            out.push_str(")\"");
        }
        self.inks(None, Some(*ink));
    }

    /// The colours of line and filling, as classes where the page decides them.
    fn inks(&mut self, stroke: Option<Ink>, fill: Option<Ink>) {
        let mut classes = String::new();
        for (ink, property) in [(stroke, "stroke"), (fill, "fill")] {
            match (ink, ink.and_then(Ink::name), self.palette) {
                (Some(ink), Some(name), SvgPalette::Classes) => {
                    push(&mut classes, format_args!(" ink-{name}-{property}"));
                    self.opacity(property, ink.opacity());
                }
                (Some(ink), _, palette) => self.colour(property, fixed_colour(ink, palette)),
                // Nothing is drawn unless asked for, but SVG fills unless told not to.
                (None, ..) if property == "fill" => self.out.push_str(" fill=\"none\""),
                (None, ..) => {}
            }
        }
        if !classes.is_empty() {
            self.attribute("class", classes.trim_start());
        }
    }

    fn colour(&mut self, property: &str, colour: Colour) {
        push(
            &mut self.out,
            format_args!(" {property}=\"{}\"", colour.hex()),
        );
        self.opacity(property, colour.opacity);
    }

    /// What lets something through says so; a style sheet knows no opacity.
    fn opacity(&mut self, property: &str, opacity: f64) {
        if opacity < 1.0 {
            push(&mut self.out, format_args!(" {property}-opacity=\""));
            number(opacity, &mut self.out);
            self.out.push('"');
        }
    }

    fn attribute(&mut self, name: &str, value: &str) {
        push(&mut self.out, format_args!(" {name}=\""));
        escape(value, &mut self.out);
        self.out.push('"');
    }
}

/// Colour maps are the same on every page, so any palette gives their colours.
fn fixed_colour(ink: Ink, palette: SvgPalette) -> Colour {
    match palette {
        SvgPalette::Classes => Palette::Light.colour(ink),
        SvgPalette::Fixed(palette) => palette.colour(ink),
    }
}

/// Writing into a string cannot fail, so the result is of no use.
fn push(out: &mut String, arguments: std::fmt::Arguments<'_>) {
    let _ = out.write_fmt(arguments);
}

/// Text as XML character data; characters that XML 1.0 does not allow are left out.
fn escape(text: &str, out: &mut String) {
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Line ends and tabs would be turned into spaces in attributes; here they may.
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1F}' | '\u{FFFE}' | '\u{FFFF}' => {}
            _ => out.push(character),
        }
    }
}

/// Whether a word may name an attribute; prefixed names are refused, for their prefix may be
/// unknown.
fn is_attribute_name(name: &str) -> bool {
    let is_part = |character: char| character.is_ascii_alphanumeric() || "-_.".contains(character);
    name.starts_with(|first: char| first.is_ascii_alphabetic() || first == '_')
        && name.chars().all(is_part)
}

/// A word with nothing in it that an id may not hold.
fn id_text(word: &str) -> String {
    let safe = |character: char| {
        let is_safe = character.is_ascii_alphanumeric() || "-_".contains(character);
        if is_safe { character } else { '-' }
    };
    word.chars().map(safe).collect()
}

/// A side of the sheet; a side that no sheet has is shown as 1 mm.
fn side_text(side_mm: f64) -> String {
    let is_sound = (0.001..=crate::scene::LARGEST_MM).contains(&side_mm);
    let mut text = String::new();
    number(if is_sound { side_mm } else { 1.0 }, &mut text);
    text
}

fn path_data(path: &Path, out: &mut String) {
    for segment in &path.segments {
        match *segment {
            Segment::Move(end) => points("M", &[end], out),
            Segment::Line(end) => points("L", &[end], out),
            Segment::Cubic(first, second, end) => points("C", &[first, second, end], out),
            Segment::Close => out.push('Z'),
        }
    }
}

fn points(command: &str, points: &[Point], out: &mut String) {
    out.push_str(command);
    for (index, point) in points.iter().enumerate() {
        if index > 0 {
            out.push(' ');
        }
        numbers(&[point.x, point.y], out);
    }
}

fn numbers(values: &[f64], out: &mut String) {
    for (index, value) in values.iter().enumerate() {
        if index > 0 {
            out.push(' ');
        }
        number(*value, out);
    }
}

/// A number rounded to thousandths, without needless zeros. Numbers reach here below
/// [`crate::scene::LARGEST_MM`], so their thousandths fit an integer exactly.
fn number(value: f64, out: &mut String) {
    let thousandths = (value * 1000.0).round() as i64;
    if thousandths < 0 {
        out.push('-');
    }
    let (whole, rest) = (
        thousandths.unsigned_abs() / 1000,
        thousandths.unsigned_abs() % 1000,
    );
    if whole > 0 || rest == 0 {
        push(out, format_args!("{whole}"));
    }
    if rest > 0 {
        // By hand: this runs for every coordinate, and a formatter with padding costs more than
        // all else.
        let digit = |value: u64| char::from(b'0' + (value % 10) as u8);
        out.extend(['.', digit(rest / 100)]);
        if rest % 100 > 0 {
            out.push(digit(rest / 10));
        }
        if rest % 10 > 0 {
            out.push(digit(rest));
        }
    }
}
