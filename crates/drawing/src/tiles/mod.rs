//! True size on paper: a scene of any size onto sheets to be joined, or onto one long page.
//!
//! Every sheet shows a window of the scene and shares a strip with each neighbour. In the middle
//! of the strip runs the line where the later sheet is cut and laid over the earlier one; crosses
//! on it, numbered alike on all sheets that show them, say when two sheets meet. Two bars of
//! stated length, one along each side of the sheet, prove the printer's scale; what they measure
//! may be entered, and the next print is scaled so that they measure right.

mod frame;
mod marks;
mod tiling;
mod window;

use crate::error::DrawingError;
use crate::paper::{Paper, SheetSide};
use crate::pdf::{LARGEST_PAGE_MM, Page};
use crate::scene::{LARGEST_MM, Scene};
use frame::Frame;

pub use tiling::{LEAST_WINDOW_MM, MOST_SHEETS, RegisterMark, Tiling};

/// The widest margin that may be asked for, in mm.
pub(crate) const LARGEST_MARGIN_MM: f64 = 100.0;

/// The narrowest strip that leaves room for a cross and its number, in mm.
pub(crate) const LEAST_OVERLAP_MM: f64 = 5.0;

/// The widest strip that neighbours may share, in mm.
pub(crate) const LARGEST_OVERLAP_MM: f64 = 50.0;

/// The share of its stated length that a bar may measure; past it the print was fitted to the
/// page, which is to be mended in the printer's settings.
pub(crate) const MEASURED_SHARE: std::ops::RangeInclusive<f64> = 0.9..=1.1;

/// How a scene is laid on sheets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetOptions {
    /// The paper.
    pub paper: Paper,
    /// The rim that the printer cannot reach, in mm; 0 to 100.
    pub margin_mm: f64,
    /// Width of the strip that neighbouring sheets share, in mm; 5 to 50.
    pub overlap_mm: f64,
    /// What the bars of an earlier print measured.
    pub bars: PrintedBars,
}

impl SheetOptions {
    /// Sheets of a paper with a margin of 8 mm, an overlap of 10 mm, and no correction.
    pub const fn new(paper: Paper) -> Self {
        Self {
            paper,
            margin_mm: 8.0,
            overlap_mm: 10.0,
            bars: PrintedBars::TRUE,
        }
    }
}

/// What the bars measured on a print without correction, along the sheet's two sides.
///
/// They belong to the sheet's sides and not to the pattern's: they hold whichever way the
/// pattern lies on the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintedBars {
    /// The bar along the sheet's short side.
    pub short_side: BarReading,
    /// The bar along the sheet's long side.
    pub long_side: BarReading,
}

/// What one bar should measure and does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarReading {
    /// The length that stands beside the bar, in mm; above zero.
    pub stated_mm: f64,
    /// The length measured with a rule, in mm; 90 to 110 % of the stated one.
    pub measured_mm: f64,
}

impl BarReading {
    /// A bar of 100 mm that measures what it should.
    pub const TRUE: Self = Self::of_100_mm(100.0);

    /// A bar of 100 mm that measures a length in mm.
    pub const fn of_100_mm(measured_mm: f64) -> Self {
        Self {
            stated_mm: 100.0,
            measured_mm,
        }
    }

    /// What a print must be scaled by so that the bar measures right.
    fn correction(&self, side: SheetSide) -> Result<f64, DrawingError> {
        let is_length = self.stated_mm > 0.0 && self.stated_mm <= LARGEST_MM;
        if is_length && MEASURED_SHARE.contains(&(self.measured_mm / self.stated_mm)) {
            return Ok(self.stated_mm / self.measured_mm);
        }
        Err(DrawingError::BarReading {
            side,
            stated_mm: self.stated_mm,
            measured_mm: self.measured_mm,
        })
    }
}

impl PrintedBars {
    /// Bars that measure what they should.
    pub const TRUE: Self = Self {
        short_side: BarReading::TRUE,
        long_side: BarReading::TRUE,
    };

    /// Whether the print is scaled at all.
    fn is_corrected(&self) -> bool {
        [self.short_side, self.long_side]
            .iter()
            .any(|reading| reading.stated_mm != reading.measured_mm)
    }

    /// What is scaled along the short side and along the long one.
    fn corrections(&self) -> Result<(f64, f64), DrawingError> {
        Ok((
            self.short_side.correction(SheetSide::Short)?,
            self.long_side.correction(SheetSide::Long)?,
        ))
    }
}

impl Default for PrintedBars {
    fn default() -> Self {
        Self::TRUE
    }
}

/// Lays a scene on sheets in true size, row by row from the top left; one sheet if it fits.
///
/// The sheets are read upright or lying, whichever needs fewer. Each keeps the scene's layers by
/// name, clipped to its window, and adds `joins` (crosses and lines to cut at) and `sheet` (title,
/// bars, notes). What the scene has past its own edges is cut off. Items that cannot be drawn are
/// left out; count them with [`Scene::count_undrawable`].
///
/// Accuracy: a point of the scene lands on every sheet that shows it within 1e-9 mm of where
/// [`Tiling::page_from_scene`] says.
///
/// # Errors
/// If the scene has no size, an option is out of its range, the paper leaves no window worth
/// printing, or more than [`MOST_SHEETS`] sheets would be needed.
///
/// # Examples
/// A board of 490 mm takes two lying sheets; a bar that was fitted to the page is refused.
/// ```
/// use drawing::{BarReading, Paper, Scene, SheetOptions, tiles};
///
/// let pattern = Scene::new(490.0, 60.0, "Heron, fret pattern", "Slots at true size.");
/// let mut options = SheetOptions::new(Paper::A4);
/// assert_eq!(tiles(&pattern, &options)?.len(), 2);
///
/// options.bars.long_side = BarReading::of_100_mm(84.0);
/// assert!(tiles(&pattern, &options).is_err());
/// # Ok::<(), drawing::DrawingError>(())
/// ```
pub fn tiles(scene: &Scene, options: &SheetOptions) -> Result<Vec<Page>, DrawingError> {
    let tiling = Tiling::new(scene, options)?;
    let places = (0..tiling.rows()).flat_map(|row| {
        let columns = 0..tiling.columns();
        columns.map(move |column| (column, row))
    });
    let page = |(column, row)| {
        let page_from_scene = tiling.page_from_scene(column, row);
        let window = tiling.window(column, row);
        let title = tiling.sheet_title(&scene.title, column, row);
        let mut sheet = window::seen(scene, window, &page_from_scene, title.clone());
        let joins = marks::joins(&tiling, column, row);
        let joins = joins.iter().map(|item| item.transformed(&page_from_scene));
        sheet.layer("joins").extend(joins);
        finish(sheet, tiling.frame(), &title, tiling.notes())
    };
    Ok(places.map(page).collect())
}

/// Lays a scene on one page as large as it needs, with its bars; for a printer with a roll.
///
/// The margin is the rim that the printer cannot reach, in mm; 0 to 100. Short and long side are
/// those of the page that is made.
///
/// # Errors
/// If the scene has no size, the margin or a bar is out of its range, or the page is larger than
/// a PDF may be (5 m).
pub fn long_page(scene: &Scene, margin_mm: f64, bars: &PrintedBars) -> Result<Page, DrawingError> {
    check_scene(scene)?;
    check_margin(margin_mm)?;
    let frame = Frame::around(scene, margin_mm, bars)?;
    let (width_mm, height_mm) = frame.page_mm;
    if width_mm.max(height_mm) > LARGEST_PAGE_MM {
        return Err(DrawingError::LongPage {
            width_mm,
            height_mm,
        });
    }
    let window = (
        crate::path::Point::default(),
        crate::path::Point::new(scene.width_mm, scene.height_mm),
    );
    let page_from_scene = frame.page_from_scene(window.0);
    let sheet = window::seen(scene, window, &page_from_scene, scene.title.clone());
    Ok(finish(
        sheet,
        &frame,
        &scene.title,
        &marks::notes(bars, marks::Joined::No),
    ))
}

/// Adds what stands around the window, and makes the page.
fn finish(mut sheet: Scene, frame: &Frame, title: &str, notes: &str) -> Page {
    let around = marks::around(frame, title, notes);
    let around = around
        .iter()
        .map(|item| item.transformed(&frame.page_from_frame));
    sheet.layer("sheet").extend(around);
    (sheet.width_mm, sheet.height_mm) = frame.page_mm;
    Page {
        width_mm: sheet.width_mm,
        height_mm: sheet.height_mm,
        scene: sheet,
    }
}

fn check_scene(scene: &Scene) -> Result<(), DrawingError> {
    let is_size = |side: f64| side > 0.0 && side <= LARGEST_MM;
    if is_size(scene.width_mm) && is_size(scene.height_mm) {
        return Ok(());
    }
    Err(DrawingError::SceneSize {
        width_mm: scene.width_mm,
        height_mm: scene.height_mm,
    })
}

fn check_margin(margin_mm: f64) -> Result<(), DrawingError> {
    if (0.0..=LARGEST_MARGIN_MM).contains(&margin_mm) {
        Ok(())
    } else {
        Err(DrawingError::Margin { margin_mm })
    }
}

fn check_overlap(overlap_mm: f64) -> Result<(), DrawingError> {
    if (LEAST_OVERLAP_MM..=LARGEST_OVERLAP_MM).contains(&overlap_mm) {
        Ok(())
    } else {
        Err(DrawingError::Overlap { overlap_mm })
    }
}
