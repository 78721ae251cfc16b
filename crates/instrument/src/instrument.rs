//! The instrument: one commission, checked and laid out, valid by construction.

use quantity::{Length, LinearDensity, Make, Note};

use crate::camber::Camber;
use crate::cutting::{Blank, Cutting};
use crate::dots::Dot;
use crate::frets::FretSpec;
use crate::fretwork::Fretwork;
use crate::lanes::{Lane, Spacing, lanes_apex};
use crate::neck::Neck;
use crate::outline::Outline;
use crate::scale::{CrossLine, Ends, ScaleLength};
use crate::set_up::{Errors, SetUp};
use crate::tuning::Tuning;
use crate::wish::{Climate, Wish};

/// One string of the set.
#[derive(Clone, Debug, PartialEq)]
pub struct StringSpec {
    /// Its pitch when open.
    pub note: Note,
    /// Its diameter.
    pub gauge: Length,
    /// What it is made of.
    pub make: Make,
    /// Its weight per length, when the maker gave it.
    pub unit_weight: Option<LinearDensity>,
    /// Diameter of its core, when the maker gave it.
    pub core: Option<Length>,
    /// How its pitch rose when it was drawn through the nut, when that was measured.
    pub drawn: Option<Drawn>,
    /// The fret at which the player tunes it true; 0 is the open string.
    pub tuned_at: usize,
}

/// Pitch read while a string is drawn through the nut.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The fret over which the mark on the string lies.
    pub mark_at_fret: usize,
    /// The readings: at least two different lengths.
    pub readings: Vec<DrawnReading>,
}

/// One reading of a drawn string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnReading {
    /// How far the mark has moved, mm.
    pub length_mm: f64,
    /// The open string's pitch, Hz.
    pub hertz: f64,
    /// Standard deviation of that pitch, Hz, when it is known.
    pub spread_hz: Option<f64>,
}

/// A strip glued along the board's edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Binding {
    /// How far it reaches in from the edge, mm: slots stop short by so much.
    pub width_mm: f64,
    /// Height of the board's own wood left under the strip, mm; 0 when it covers the whole edge.
    pub ledge_mm: f64,
}

/// The board as wood.
#[derive(Clone, Debug, PartialEq)]
pub struct Wood {
    /// Its name, as the maker wrote it; empty when not given.
    pub name: String,
    /// Thickness on the centreline when finished, mm.
    pub crown_thickness_mm: f64,
    /// Thickness of the blank as it lies there, when known, mm.
    pub blank_thickness_mm: Option<f64>,
    /// The least thickness that an edge may have, when given, mm.
    pub least_edge_mm: Option<f64>,
    /// The binding, if any.
    pub binding: Option<Binding>,
    /// True when the face is inlaid before it is cambered.
    pub inlaid: bool,
    /// True when the slots are cut before the board is cambered.
    pub slotted: bool,
}

/// One instrument's playing surface: everything below takes it by reference.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// The commission's title.
    pub title: String,
    /// Scale length or lengths.
    pub scale: ScaleLength,
    /// Where the frets lie on a string.
    pub tuning: Tuning,
    /// Pitch of A4, Hz.
    pub a4_hz: f64,
    /// The strings, highest first.
    pub strings: Vec<StringSpec>,
    /// How they share the spread.
    pub spacing: Spacing,
    /// String behind nut and saddle together that shares a bend's stretch, mm.
    pub behind_mm: f64,
    /// The nut's and saddle's lines.
    pub ends: Ends,
    /// The lanes, highest string first.
    pub lanes: Vec<Lane>,
    /// The nut (0) and the frets, as lines across the board.
    pub frets: Vec<CrossLine>,
    /// The board in plan.
    pub outline: Outline,
    /// The board as wood.
    pub wood: Wood,
    /// The finished surface.
    pub camber: Camber,
    /// Wire and slots.
    pub fret_spec: FretSpec,
    /// What the player asked for.
    pub wish: Wish,
    /// The air it is made in and goes to.
    pub climate: Climate,
    /// The neck that bows.
    pub neck: Neck,
    /// The fretted board as measured.
    pub fretwork: Fretwork,
    /// The strung instrument as measured.
    pub set_up: SetUp,
    /// How far the maker's hands miss.
    pub errors: Errors,
    /// Round inlays, in order along the board.
    pub dots: Vec<Dot>,
    /// The blank as it lies on a machine's bed.
    pub blank: Blank,
    /// How it is cut there.
    pub cutting: Cutting,
}

/// The nut (fret 0) or a fret, in words.
pub fn fret_name(fret: usize) -> String {
    match fret {
        0 => "nut".into(),
        fret => format!("fret {fret}"),
    }
}

impl Instrument {
    /// The last fret's number.
    pub fn last_fret(&self) -> usize {
        self.frets.len().saturating_sub(1)
    }

    /// The fret at which action is measured: the twelfth, or the last of fewer.
    pub fn action_fret(&self) -> usize {
        self.last_fret().min(12)
    }

    /// Place of a fret on the centreline, mm; the nut is fret 0, and frets past the last are
    /// the last.
    pub fn fret_x_mm(&self, fret: usize) -> f64 {
        self.frets
            .get(fret)
            .or(self.frets.last())
            .map_or(0.0, |line| line.x_mm)
    }

    /// How far the arch has dropped where a slot that crosses the centreline at `x_mm` ends, square to the
    /// centreline, mm: at the further edge, or on a bound board at the strip.
    pub fn slot_end_drop_mm(&self, x_mm: f64) -> f64 {
        let strip = self.wood.binding.map_or(0.0, |binding| binding.width_mm);
        let reach = self.outline.half_width(x_mm) - strip;
        crate::arc::drop(self.camber.radius(x_mm), reach)
    }

    /// Depth under the crown of a slot that crosses the centreline at `x_mm`, mm.
    pub fn slot_depth_mm(&self, x_mm: f64) -> f64 {
        self.fret_spec.slot_depth_mm(self.slot_end_drop_mm(x_mm))
    }

    /// Place of the board's end on the centreline, mm.
    pub fn end_x_mm(&self) -> f64 {
        self.outline.end.x_mm
    }

    /// Where the outer lanes meet, mm along the centreline; nothing when they are parallel.
    pub fn lanes_apex_x_mm(&self) -> Option<f64> {
        let (treble, bass) = self.lanes.first().zip(self.lanes.last())?;
        lanes_apex(treble, bass)
    }

    /// How many times the nut's radius the cone of the strings has at a place along the board;
    /// nothing when the lanes are parallel.
    pub fn string_cone_ratio(&self, x_mm: f64) -> Option<f64> {
        let apex = self.lanes_apex_x_mm()?;
        Some((x_mm - apex) / -apex)
    }

    /// True when frets are not square to the centreline.
    pub fn is_fanned(&self) -> bool {
        matches!(self.scale, ScaleLength::Fanned { .. })
    }

    /// Places along the board where the finished surface or its span across has a kink.
    pub fn breaks(&self) -> Vec<f64> {
        let mut breaks = self.camber.breaks();
        breaks.extend(self.outline.breaks());
        breaks
    }
}
