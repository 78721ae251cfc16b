//! Pictures as scenes in millimetres, and the writers that put them on screen and paper.
//!
//! A picture is a [`Scene`]: named layers of paths and text, measured in millimetres, with y
//! pointing down as on paper. What is drawn is decided once, when the scene is built; the
//! writers ([`write_svg`], [`write_pdf`]) only choose how to say it. Colours are semantic
//! [`Ink`]s, which a writer resolves, so one scene serves a light page, a dark page and paper.
//! Every writer is a pure function: the same scene gives the same bytes.

mod axis;
mod colour_map;
mod error;
mod field;
mod ink;
mod paper;
mod path;
mod pdf;
mod scene;
mod svg;
mod text_width;

pub use axis::{Axis, AxisSide, LinearScale, nice_ticks, tick_text};
pub use colour_map::{ColourMap, cie_lightness};
pub use error::DrawingError;
pub use field::{Band, Field};
pub use ink::{Colour, Ink, Palette, contrast_ratio};
pub use paper::Paper;
pub use path::{Path, Point, Segment, Transform};
pub use pdf::{Page, PdfOptions, write_pdf};
pub use scene::{Anchor, Dash, Item, LARGEST_MM, Layer, Scene, Shape, Stroke, Weight};
pub use svg::{SvgOptions, SvgPalette, ink_style_sheet, write_svg};
pub use text_width::{text_width_mm, wrap_text};
