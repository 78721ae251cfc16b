//! A reading: one thing measured on the board, checked against the board and the kit.
//!
//! Every kind is a figure of the same surface, so that a mixture can be fitted at once.

use instrument::Radius;

/// A spot on the board in plan: x along the centreline from the nut, y across, positive toward
/// the treble side, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Along the centreline, mm from the nut.
    pub x_mm: f64,
    /// Across, mm from the centreline, positive toward the treble side.
    pub y_mm: f64,
}

/// One reading, with all lengths in mm and its place on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Its line in the text it was read from, counted from 1.
    pub line: usize,
    /// What was measured, and what it showed.
    pub what: What,
    /// Standard uncertainty (one sigma) of the figure read, mm; positive.
    pub sigma_mm: f64,
    /// The place in words, as a maker would say it: `fret 9, lane 2`.
    pub place: String,
    /// The maker's note; empty when none.
    pub note: String,
}

/// What was measured, and what it showed.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A height against one datum: a set-up of the probe with a free offset and two free tilts.
    Height {
        /// Which set-up, by its place in [`Visit::set_ups`].
        set_up: usize,
        /// Where.
        at: Spot,
        /// The height, upward, mm.
        height_mm: f64,
    },
    /// Light under a gauge laid square across the board.
    Light {
        /// The gauge's radius.
        gauge: Radius,
        /// Its station on the centreline, mm.
        x_mm: f64,
        /// How far the gauge reaches to each side of the centreline, mm: to the board's nearer
        /// edge there.
        half_width_mm: f64,
        /// What was seen.
        seen: Seen,
    },
    /// A straightedge that touches at both its ends, and the feeler that just goes in between.
    Gap {
        /// Where it touches, nutward.
        from: Spot,
        /// Where it touches, toward the board's end.
        to: Spot,
        /// Where the feeler was tried.
        at: Spot,
        /// The gap.
        gap: Gap,
    },
    /// A straightedge that rocks on a hump: its ends stand off by at least so much in sum.
    Rock {
        /// One end.
        from: Spot,
        /// The other end.
        to: Spot,
        /// The hump it rocks on.
        at: Spot,
        /// The hump's height over the chord, at least, mm.
        hump_mm: f64,
    },
    /// A dial between two legs, square across the board on its centreline: the crown's height
    /// over the legs.
    Sagitta {
        /// Distance between the legs, mm.
        chord_mm: f64,
        /// Its station on the centreline, mm.
        x_mm: f64,
        /// The reading, mm.
        sagitta_mm: f64,
    },
    /// The board's thickness under a caliper.
    Thickness {
        /// Where.
        at: Spot,
        /// The thickness, mm.
        thickness_mm: f64,
    },
    /// A patch where chalk stayed, or went, under a tool.
    Chalk {
        /// The tool.
        tool: ChalkTool,
        /// The patch.
        at: Spot,
        /// Whether the chalk is still there.
        chalk: Chalk,
        /// How thick the chalk lies, mm.
        layer_mm: f64,
    },
}

/// What was seen under a gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// No light: less than the eye sees, at edges and crown alike.
    Nothing {
        /// The smallest light seen, mm.
        smallest_mm: f64,
    },
    /// Light at both edges, of so much; when no figure is given, at least the smallest seen.
    Edges(Amount),
    /// Light at the crown.
    Crown(Amount),
    /// Light at one edge only: the gauge has tipped onto the other. `smallest_mm` is what the eye
    /// misses at the dark edge.
    OneEdge {
        /// The light there, mm.
        light_mm: f64,
        /// The smallest light seen, mm.
        smallest_mm: f64,
    },
}

/// A light that was measured, or only seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// So much, mm.
    Mm(f64),
    /// Seen but not measured: at least this, mm.
    AtLeast(f64),
}

/// A feeler gap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gap {
    /// The feeler that just goes in, mm.
    Mm(f64),
    /// Not even the thinnest feeler goes in, and the straightedge does not rock: neither gap nor
    /// hump is as much as that, mm.
    None {
        /// The thinnest feeler, mm.
        least_mm: f64,
    },
}

/// The tool that was rubbed over chalk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChalkTool {
    /// A radius block, or a gauge, laid square across at the patch.
    Block(Radius),
    /// The beam, laid along the camber's ruling through the patch, over the whole board.
    Beam,
}

/// What became of the chalk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chalk {
    /// It stayed: the tool did not reach the wood there.
    Stayed,
    /// It went: the tool touched there.
    Gone,
}

/// Many heights of one set-up, kept in columns: what a probe writes.
#[derive(Clone, Debug, PartialEq)]
pub struct Cloud {
    /// Which set-up, by its place in [`Visit::set_ups`].
    pub set_up: usize,
    /// The text's line of every height, counted from 1.
    pub lines: Vec<u32>,
    /// Along the centreline, mm.
    pub x_mm: Vec<f64>,
    /// Across, mm.
    pub y_mm: Vec<f64>,
    /// Heights, upward, mm.
    pub height_mm: Vec<f64>,
    /// Standard uncertainty of each, mm.
    pub sigma_mm: f64,
}

/// The readings of one visit to the bench: the wood as it was then.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Visit {
    /// Its name, such as "1"; given by the maker.
    pub name: String,
    /// Its date, as written.
    pub date: String,
    /// The key of the stage after which it was read, as the bench plan names it; empty when not told.
    pub stage: String,
    /// Names of the probe's set-ups: each has a datum of its own.
    pub set_ups: Vec<String>,
    /// The readings, one by one.
    pub readings: Vec<Reading>,
    /// Heights in bulk.
    pub clouds: Vec<Cloud>,
}

impl Visit {
    /// How many figures were read.
    pub fn count(&self) -> usize {
        self.readings.len()
            + self
                .clouds
                .iter()
                .map(|cloud| cloud.x_mm.len())
                .sum::<usize>()
    }
}

impl What {
    /// The kind's name, as it stands in a readings file.
    pub fn kind(&self) -> &'static str {
        match self {
            What::Height { .. } => "height",
            What::Light { .. } => "light",
            What::Gap { .. } => "gap",
            What::Rock { .. } => "rock",
            What::Sagitta { .. } => "sagitta",
            What::Thickness { .. } => "thickness",
            What::Chalk { .. } => "chalk",
        }
    }
}
