//! One sheet: where the window, the strips for the bars and the foot stand on it.

use super::PrintedBars;
use super::marks::{self, Joined};
use crate::error::DrawingError;
use crate::paper::{Orientation, SheetSide};
use crate::path::{Point, Transform};
use crate::scene::Scene;

/// Width of the strip left of the window, which holds a bar, in mm.
const STRIP_MM: f64 = 10.0;

/// The least window of a long page, in mm: bars of full length fit beside it.
const LEAST_AROUND_MM: f64 = 100.0;

/// A sheet's layout. It is laid out in true millimetres, as measured on the print; the map to
/// the page holds the correction for the printer.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Frame {
    /// Width and height of the page as it is sent to the printer, in mm.
    pub page_mm: (f64, f64),
    /// From true millimetres to the page.
    pub page_from_frame: Transform,
    /// Top left corner of the window.
    pub corner: Point,
    /// Width and height of the window in true mm.
    pub window_mm: (f64, f64),
    /// Height of the foot below the window, in true mm.
    pub foot_mm: f64,
    /// The sheet's side that the page's width is.
    pub across: SheetSide,
}

impl Frame {
    /// The layout of a sheet whose sides in mm are given; the window may turn out negative.
    pub fn of_sheet(
        page_mm: (f64, f64),
        orientation: Orientation,
        margin_mm: f64,
        bars: &PrintedBars,
        foot_mm: impl Fn(f64) -> f64,
    ) -> Result<Self, DrawingError> {
        let (short, long) = bars.corrections()?;
        let (across, x_scale, y_scale) = match orientation {
            Orientation::Upright => (SheetSide::Short, short, long),
            Orientation::Lying => (SheetSide::Long, long, short),
        };
        // A printer that enlarges must not push the layout off the sheet, and one that shrinks
        // must not be asked for more than the page holds.
        let room = |side_mm: f64, scale: f64| side_mm.min(side_mm / scale);
        let (width, height) = (room(page_mm.0, x_scale), room(page_mm.1, y_scale));
        let window_width = width - 2.0 * margin_mm - STRIP_MM;
        let foot_mm = foot_mm(window_width);
        let window_height = height - 2.0 * margin_mm - foot_mm;
        let centred = |side_mm: f64, room_mm: f64, scale: f64| 0.5 * (side_mm - scale * room_mm);
        let shift = Transform::translate(
            centred(page_mm.0, width, x_scale),
            centred(page_mm.1, height, y_scale),
        );
        Ok(Self {
            page_mm,
            page_from_frame: Transform::scale_xy(x_scale, y_scale).then(&shift),
            corner: Point::new(margin_mm + STRIP_MM, margin_mm),
            window_mm: (window_width, window_height),
            foot_mm,
            across,
        })
    }

    /// The layout of a page that is made as large as a scene needs.
    pub fn around(scene: &Scene, margin_mm: f64, bars: &PrintedBars) -> Result<Self, DrawingError> {
        let (short, long) = bars.corrections()?;
        let window_mm = (
            scene.width_mm.max(LEAST_AROUND_MM),
            scene.height_mm.max(LEAST_AROUND_MM),
        );
        let notes = marks::notes(bars, Joined::No);
        let width = window_mm.0 + 2.0 * margin_mm + STRIP_MM;
        let foot_mm = marks::foot_mm(window_mm.0, &scene.title, &notes);
        let height = window_mm.1 + 2.0 * margin_mm + foot_mm;
        let (across, x_scale, y_scale) = if width > height {
            (SheetSide::Long, long, short)
        } else {
            (SheetSide::Short, short, long)
        };
        Ok(Self {
            page_mm: (width * x_scale, height * y_scale),
            page_from_frame: Transform::scale_xy(x_scale, y_scale),
            corner: Point::new(margin_mm + STRIP_MM, margin_mm),
            window_mm,
            foot_mm,
            across,
        })
    }

    /// The map from the scene to the page, if the window's top left corner shows a point of it.
    pub fn page_from_scene(&self, at_corner: Point) -> Transform {
        let (dx, dy) = (self.corner.x - at_corner.x, self.corner.y - at_corner.y);
        Transform::translate(dx, dy).then(&self.page_from_frame)
    }

    /// The sheet's side that the page's height is.
    pub fn down(&self) -> SheetSide {
        match self.across {
            SheetSide::Short => SheetSide::Long,
            SheetSide::Long => SheetSide::Short,
        }
    }

    /// Left edge of the strip beside the window.
    pub fn strip_x(&self) -> f64 {
        self.corner.x - STRIP_MM
    }
}
