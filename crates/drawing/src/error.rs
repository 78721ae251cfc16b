//! What can be wrong with a drawing, said so that the caller can mend it.

use std::fmt;

use crate::paper::{Paper, SheetSide};

/// Why a drawing could not be made or written.
#[derive(Debug, Clone, PartialEq)]
pub enum DrawingError {
    /// A field's lists do not match its grid.
    FieldShape {
        /// Nodes along a row.
        columns: usize,
        /// Rows of nodes.
        rows: usize,
        /// Values given.
        values: usize,
        /// Points given.
        points: usize,
    },
    /// A field has more nodes than can be traced.
    FieldTooLarge {
        /// Nodes along a row.
        columns: usize,
        /// Rows of nodes.
        rows: usize,
    },
    /// A page has a width or height that no sheet has.
    PageSize {
        /// The page, counted from 1.
        page: usize,
        /// Its width in mm.
        width_mm: f64,
        /// Its height in mm.
        height_mm: f64,
    },
    /// A scene has a width or height that no file or sheet can hold.
    SceneSize {
        /// Its width in mm.
        width_mm: f64,
        /// Its height in mm.
        height_mm: f64,
    },
    /// A sheet's margin is out of range.
    Margin {
        /// The margin in mm.
        margin_mm: f64,
    },
    /// The strip that neighbouring sheets share is out of range.
    Overlap {
        /// Width of the strip in mm.
        overlap_mm: f64,
    },
    /// What a bar measured is no length, or too far from what stands beside it.
    BarReading {
        /// The sheet's side that the bar lies along.
        side: SheetSide,
        /// The length that stands beside the bar, in mm.
        stated_mm: f64,
        /// The length measured, in mm.
        measured_mm: f64,
    },
    /// Margins and overlap leave no window worth printing.
    SheetWindow {
        /// The paper.
        paper: Paper,
        /// The margin in mm.
        margin_mm: f64,
        /// Width of the strip that neighbours share, in mm.
        overlap_mm: f64,
        /// The largest whole margin in mm that would do, if one would.
        largest_margin_mm: Option<f64>,
    },
    /// A scene would be laid on more sheets than anyone joins.
    TooManySheets {
        /// How many.
        sheets: usize,
        /// The paper.
        paper: Paper,
        /// The smallest paper that would do, if one would.
        enough: Option<Paper>,
    },
    /// A scene is too large for one page.
    LongPage {
        /// Width of the page in mm.
        width_mm: f64,
        /// Height of the page in mm.
        height_mm: f64,
    },
    /// There is no page to write.
    NoPages,
    /// The PDF library refused the document.
    Pdf(String),
}

impl fmt::Display for DrawingError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::FieldShape {
                columns,
                rows,
                values,
                points,
            } => write!(
                formatter,
                "field of {columns} by {rows} nodes was given {values} values and {points} \
                 points; give one of each for every node"
            ),
            Self::FieldTooLarge { columns, rows } => write!(
                formatter,
                "field of {columns} by {rows} nodes is larger than {} nodes; use a coarser grid",
                crate::field::MOST_NODES
            ),
            Self::PageSize {
                page,
                width_mm,
                height_mm,
            } => write!(
                formatter,
                "page {page} is {width_mm} mm by {height_mm} mm; give a width and height \
                 between {} mm and {} mm",
                crate::pdf::LEAST_PAGE_MM,
                crate::pdf::LARGEST_PAGE_MM
            ),
            Self::SceneSize {
                width_mm,
                height_mm,
            } => write!(
                formatter,
                "scene is {width_mm} mm by {height_mm} mm; give a width and height above 0 mm, at \
                 most {} mm",
                crate::scene::LARGEST_MM
            ),
            Self::Margin { margin_mm } => write!(
                formatter,
                "margin of {margin_mm} mm; give between 0 mm and {} mm",
                crate::tiles::LARGEST_MARGIN_MM
            ),
            Self::Overlap { overlap_mm } => write!(
                formatter,
                "overlap of {overlap_mm} mm; give between {} mm and {} mm",
                crate::tiles::LEAST_OVERLAP_MM,
                crate::tiles::LARGEST_OVERLAP_MM
            ),
            Self::BarReading {
                side,
                stated_mm,
                measured_mm,
            } => write!(
                formatter,
                "bar along the {} of the sheet is stated as {stated_mm} mm and measured as \
                 {measured_mm} mm; between {:.0} % and {:.0} % can be made good, so print at \
                 100 %, not fitted to the page, and measure again",
                side.words(),
                100.0 * crate::tiles::MEASURED_SHARE.start(),
                100.0 * crate::tiles::MEASURED_SHARE.end()
            ),
            Self::SheetWindow {
                paper,
                margin_mm,
                overlap_mm,
                largest_margin_mm,
            } => {
                write!(
                    formatter,
                    "margins of {margin_mm} mm and an overlap of {overlap_mm} mm leave less than \
                     {} mm of {} to print on; ",
                    crate::tiles::LEAST_WINDOW_MM,
                    paper.name()
                )?;
                match largest_margin_mm {
                    Some(margin) => write!(formatter, "give a margin of at most {margin} mm"),
                    None => write!(formatter, "give a shorter title or a larger paper"),
                }
            }
            Self::TooManySheets {
                sheets,
                paper,
                enough,
            } => {
                write!(
                    formatter,
                    "scene would take {sheets} sheets of {}, and {} is the most; ",
                    paper.name(),
                    crate::tiles::MOST_SHEETS
                )?;
                match enough {
                    Some(paper) => write!(formatter, "{} would do", paper.name()),
                    None => write!(
                        formatter,
                        "no named paper is large enough; print a part of it"
                    ),
                }
            }
            Self::LongPage {
                width_mm,
                height_mm,
            } => write!(
                formatter,
                "one page would be {width_mm:.1} mm by {height_mm:.1} mm, and {} mm is the most; \
                 print on sheets to be joined",
                crate::pdf::LARGEST_PAGE_MM
            ),
            Self::NoPages => write!(formatter, "document has no pages; give at least one"),
            Self::Pdf(reason) => write!(formatter, "document could not be written: {reason}"),
        }
    }
}

impl std::error::Error for DrawingError {}
