//! What can be wrong with a drawing, said so that the caller can mend it.

use std::fmt;

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
            Self::NoPages => write!(formatter, "document has no pages; give at least one"),
            Self::Pdf(reason) => write!(formatter, "document could not be written: {reason}"),
        }
    }
}

impl std::error::Error for DrawingError {}
