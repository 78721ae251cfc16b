//! How a scene is shared out among sheets: windows, strips in common, and the crosses in them.

use super::frame::Frame;
use super::marks::{self, Joined};
use super::{LARGEST_MARGIN_MM, SheetOptions, check_margin, check_overlap, check_scene};
use crate::error::DrawingError;
use crate::paper::{Orientation, Paper};
use crate::path::{Point, Transform};
use crate::scene::Scene;

/// The least that a sheet must add to the ones before it, in mm each way.
pub const LEAST_WINDOW_MM: f64 = 40.0;

/// The most sheets that one scene is laid on.
pub const MOST_SHEETS: usize = 200;

/// What adding up windows may miss of a scene's width, in mm.
const ROUNDING_MM: f64 = 1e-9;

/// A scene shared out among sheets, without what is drawn on them.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiling {
    frame: Frame,
    orientation: Orientation,
    across: Share,
    down: Share,
    overlap_mm: f64,
    scene_mm: (f64, f64),
    notes: String,
}

/// One direction of the scene, shared out.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Share {
    count: usize,
    /// Where the first window begins, on the scene; zero or less.
    start_mm: f64,
    window_mm: f64,
    step_mm: f64,
}

/// A cross that every sheet showing it puts on the same point of the scene.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegisterMark {
    /// Its number, from 1, the same on all sheets.
    pub number: usize,
    /// Its place on the scene.
    pub at: Point,
}

impl Share {
    /// Windows of a width, each but the first beginning an overlap before the last one's end,
    /// so many as the scene needs, and the scene in the middle of them.
    fn new(scene_mm: f64, window_mm: f64, overlap_mm: f64) -> Self {
        let step_mm = window_mm - overlap_mm;
        let more = ((scene_mm - window_mm - ROUNDING_MM) / step_mm).ceil();
        // A cast of a float saturates; a scene within the first window gives no more.
        let count = 1 + more.max(0.0) as usize;
        let covered = window_mm + step_mm * (count - 1) as f64;
        Self {
            count,
            start_mm: 0.5 * (scene_mm - covered),
            window_mm,
            step_mm,
        }
    }

    fn window_start(&self, index: usize) -> f64 {
        self.start_mm + self.step_mm * index as f64
    }

    /// Where crosses stand: in the middle of every strip, and as far inside the two outer ends.
    /// There is one more of them than windows.
    fn mark(&self, index: usize, overlap_mm: f64) -> f64 {
        let half = 0.5 * overlap_mm;
        if index < self.count {
            self.window_start(index) + half
        } else {
            self.window_start(self.count - 1) + self.window_mm - half
        }
    }

    fn is_join(&self, index: usize) -> bool {
        (1..self.count).contains(&index)
    }
}

impl Tiling {
    /// Shares a scene out; see [`super::tiles`].
    ///
    /// # Errors
    /// Those of [`super::tiles`].
    pub fn new(scene: &Scene, options: &SheetOptions) -> Result<Self, DrawingError> {
        check_scene(scene)?;
        check_margin(options.margin_mm)?;
        check_overlap(options.overlap_mm)?;
        let tiling = Self::fewest(scene, options)?;
        match tiling {
            Some(tiling) if tiling.sheets() <= MOST_SHEETS => Ok(tiling),
            Some(tiling) => Err(DrawingError::TooManySheets {
                sheets: tiling.sheets(),
                paper: options.paper,
                enough: enough_paper(scene, options),
            }),
            None => Err(DrawingError::SheetWindow {
                paper: options.paper,
                margin_mm: options.margin_mm,
                overlap_mm: options.overlap_mm,
                largest_margin_mm: largest_margin(scene, options),
            }),
        }
    }

    /// The orientation that needs fewer sheets; if both need as many, the sheet lies as the
    /// scene does. `None` if neither leaves a window.
    fn fewest(scene: &Scene, options: &SheetOptions) -> Result<Option<Self>, DrawingError> {
        let as_scene = if scene.width_mm > scene.height_mm {
            [Orientation::Lying, Orientation::Upright]
        } else {
            [Orientation::Upright, Orientation::Lying]
        };
        let mut best: Option<Self> = None;
        for orientation in as_scene {
            let tiling = Self::oriented(scene, options, orientation)?;
            if let Some(tiling) = tiling
                && best
                    .as_ref()
                    .is_none_or(|best| tiling.sheets() < best.sheets())
            {
                best = Some(tiling);
            }
        }
        Ok(best)
    }

    fn oriented(
        scene: &Scene,
        options: &SheetOptions,
        orientation: Orientation,
    ) -> Result<Option<Self>, DrawingError> {
        let notes = marks::notes(&options.bars, Joined::Yes);
        let longest_title = titled(&scene.title, MOST_SHEETS, [MOST_SHEETS; 3]);
        let frame = Frame::of_sheet(
            options.paper.sides_mm(orientation),
            orientation,
            options.margin_mm,
            &options.bars,
            |width_mm| marks::foot_mm(width_mm, &longest_title, &notes),
        )?;
        let (width, height) = frame.window_mm;
        if width.min(height) - options.overlap_mm < LEAST_WINDOW_MM {
            return Ok(None);
        }
        let across = Share::new(scene.width_mm, width, options.overlap_mm);
        let down = Share::new(scene.height_mm, height, options.overlap_mm);
        let joined = if across.count.max(down.count) > 1 {
            Joined::Yes
        } else {
            Joined::No
        };
        Ok(Some(Self {
            frame,
            orientation,
            across,
            down,
            overlap_mm: options.overlap_mm,
            scene_mm: (scene.width_mm, scene.height_mm),
            notes: marks::notes(&options.bars, joined),
        }))
    }

    /// Sheets side by side.
    pub const fn columns(&self) -> usize {
        self.across.count
    }

    /// Rows of sheets.
    pub const fn rows(&self) -> usize {
        self.down.count
    }

    /// Sheets in all.
    pub const fn sheets(&self) -> usize {
        self.across.count.saturating_mul(self.down.count)
    }

    /// Which way the sheets are read.
    pub const fn orientation(&self) -> Orientation {
        self.orientation
    }

    /// Top left and bottom right corner of what a sheet shows of the scene; columns and rows are
    /// counted from 0. Past the scene's edges nothing is shown.
    pub fn window(&self, column: usize, row: usize) -> (Point, Point) {
        let from = self.window_start(column, row);
        let (width, height) = self.frame.window_mm;
        let low = Point::new(from.x.max(0.0), from.y.max(0.0));
        let high = Point::new(
            (from.x + width).min(self.scene_mm.0),
            (from.y + height).min(self.scene_mm.1),
        );
        (low, high)
    }

    /// The map from the scene to a sheet's page as it is sent to the printer, the correction for
    /// the printer in it; columns and rows are counted from 0.
    pub fn page_from_scene(&self, column: usize, row: usize) -> Transform {
        self.frame.page_from_scene(self.window_start(column, row))
    }

    /// The crosses that a sheet shows; columns and rows are counted from 0.
    pub fn register_marks(&self, column: usize, row: usize) -> Vec<RegisterMark> {
        let corners = [(0, 0), (1, 0), (0, 1), (1, 1)];
        let mark = |(right, below)| self.register_mark(column + right, row + below);
        corners.into_iter().filter_map(mark).collect()
    }

    /// The cross at a node of the grid of strips; a node on no strip has none.
    fn register_mark(&self, column: usize, row: usize) -> Option<RegisterMark> {
        let has_mark =
            |&(column, row): &(usize, usize)| self.across.is_join(column) || self.down.is_join(row);
        let nodes = (0..=self.rows()).flat_map(|row| {
            let columns = 0..=self.columns();
            columns.map(move |column| (column, row))
        });
        let place = nodes
            .filter(has_mark)
            .position(|node| node == (column, row))?;
        Some(RegisterMark {
            number: place + 1,
            at: Point::new(
                self.across.mark(column, self.overlap_mm),
                self.down.mark(row, self.overlap_mm),
            ),
        })
    }

    fn window_start(&self, column: usize, row: usize) -> Point {
        Point::new(
            self.across.window_start(column),
            self.down.window_start(row),
        )
    }

    pub(super) const fn frame(&self) -> &Frame {
        &self.frame
    }

    pub(super) const fn overlap_mm(&self) -> f64 {
        self.overlap_mm
    }

    pub(super) fn notes(&self) -> &str {
        &self.notes
    }

    /// The whole window on the scene, past the scene's edges too.
    pub(super) fn whole_window(&self, column: usize, row: usize) -> (Point, Point) {
        let from = self.window_start(column, row);
        let (width, height) = self.frame.window_mm;
        (from, Point::new(from.x + width, from.y + height))
    }

    /// A sheet's number, from 1, row by row.
    pub(super) const fn number(&self, column: usize, row: usize) -> usize {
        row * self.across.count + column + 1
    }

    pub(super) fn sheet_title(&self, title: &str, column: usize, row: usize) -> String {
        let places = [self.number(column, row), row + 1, column + 1];
        titled(title, self.sheets(), places)
    }
}

/// The title of a sheet: number, row and column, each from 1.
fn titled(title: &str, sheets: usize, [number, row, column]: [usize; 3]) -> String {
    if sheets == 1 {
        return format!("{title}, sheet 1 of 1");
    }
    format!("{title}, sheet {number} of {sheets} (row {row}, column {column})")
}

/// The smallest paper that needs no more sheets than are laid.
fn enough_paper(scene: &Scene, options: &SheetOptions) -> Option<Paper> {
    Paper::ALL.into_iter().find(|paper| {
        let options = SheetOptions {
            paper: *paper,
            ..*options
        };
        let tiling = Tiling::fewest(scene, &options);
        matches!(tiling, Ok(Some(tiling)) if tiling.sheets() <= MOST_SHEETS)
    })
}

/// The largest whole margin in mm that leaves a window.
fn largest_margin(scene: &Scene, options: &SheetOptions) -> Option<f64> {
    let margins = (0..=LARGEST_MARGIN_MM as u32).rev().map(f64::from);
    margins.into_iter().find(|margin_mm| {
        let options = SheetOptions {
            margin_mm: *margin_mm,
            ..*options
        };
        matches!(Tiling::fewest(scene, &options), Ok(Some(_)))
    })
}
