//! Pictures as scenes in millimetres, and the writers that put them on screen and paper.
//!
//! A picture is a [`Scene`]: named layers of paths and text, measured in millimetres, with y
//! pointing down as on paper. What is drawn is decided once, when the scene is built; the
//! writers ([`write_svg`], [`write_pdf`], [`write_dxf`]) only choose how to say it. Colours are semantic
//! [`Ink`]s, which a writer resolves, so one scene serves a light page, a dark page and paper.
//! Every writer is a pure function: the same scene gives the same bytes.
//!
//! # Examples
//! A fret on a board; a second one, whose place is not a number, costs itself and nothing else.
//! ```
//! use drawing::{Ink, Item, Path, Point, Scene, SvgOptions, write_svg};
//!
//! let fret = |x: f64| Path::line(Point::new(x, 0.0), Point::new(x, 42.5));
//! let mut scene = Scene::new(100.0, 42.5, "Frets", "Two frets from above.");
//! let layer = scene.layer("frets");
//! layer.add(Item::stroked(fret(35.6), Ink::Fret, 2.4).keyed("fret-1").labelled("1st fret"));
//! layer.add(Item::stroked(fret(f64::NAN), Ink::Fret, 2.4).keyed("fret-2"));
//!
//! assert_eq!(scene.count_undrawable(), 1);
//! let svg = write_svg(&scene, &SvgOptions::default());
//! assert!(svg.contains("data-key=\"fret-1\"") && !svg.contains("fret-2"));
//! ```

mod axis;
mod colour_map;
mod dxf;
mod error;
mod field;
mod ink;
mod paper;
mod path;
pub mod patterns;
mod pdf;
pub mod pictures;
mod scene;
mod svg;
mod text_width;
mod tiles;

pub use axis::{Axis, AxisSide, LinearScale, nice_ticks, tick_text};
pub use colour_map::{ColourMap, cie_lightness};
pub use dxf::write_dxf;
pub use error::DrawingError;
pub use field::{Band, Field};
pub use ink::{Colour, Ink, Palette, contrast_ratio};
pub use paper::{Orientation, Paper, SheetSide};
pub use path::{Path, Point, Segment, Transform};
pub use pdf::{Page, PdfOptions, write_pdf};
pub use scene::{Anchor, Dash, Item, LARGEST_MM, Layer, Scene, Shape, Stroke, Weight};
pub use svg::{SvgOptions, SvgPalette, ink_style_sheet, write_svg};
pub use text_width::{text_width_mm, wrap_text};
pub use tiles::{
    BarReading, LEAST_WINDOW_MM, MOST_SHEETS, PrintedBars, RegisterMark, SheetOptions, Tiling,
    long_page, tiles,
};
