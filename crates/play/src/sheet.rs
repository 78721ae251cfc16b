//! The sheet: all figures of a commission in one value, used alike by pages, command line and files.

use bench::Kit;
use bench::gauges::{GaugeStation, gauge_station};
use instrument::board::{FretArc, edge_drop_mm, fret_arc, lane_hump_mm, removed_mm3};
use instrument::frets::{SlotFit, SlotFloor};
use instrument::{Instrument, Radius};

use crate::movement::{Movement, movement};
use crate::strings::{StringFigures, neck_load_n, string_figures};
use crate::warnings::{Warning, warnings};
use crate::wire::{CutList, cut_list};

/// All figures of a commission.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Nut (0) and frets.
    pub frets: Vec<FretFigures>,
    /// The camber as a whole.
    pub camber: CamberFigures,
    /// The strings at pitch, highest first.
    pub strings: Vec<StringFigures>,
    /// Sum of the known tensions, N; nothing when a string's is not known.
    pub neck_load_n: Option<f64>,
    /// How the wire is cut.
    pub wire: CutList,
    /// How the tang sits in its slot.
    pub fit: SlotFit,
    /// What the board does between the shop and home, when its wood is known.
    pub movement: Option<Movement>,
    /// What a good foreman would say.
    pub warnings: Vec<Warning>,
}

/// The figures of the nut or of one fret. Widths, drops and thicknesses are those of the section
/// square to the centreline, where the fret crosses it.
#[derive(Clone, Debug, PartialEq)]
pub struct FretFigures {
    /// Its number; 0 is the nut.
    pub fret: usize,
    /// Cents over the open string.
    pub cents: f64,
    /// Place on the centreline from the nut, mm.
    pub x_mm: f64,
    /// Distance from the fret before on the centreline, mm; nothing at the nut.
    pub step_mm: Option<f64>,
    /// Its x where each lane crosses it, highest string first, mm.
    pub lanes_x_mm: Vec<f64>,
    /// Its y there, mm.
    pub lanes_y_mm: Vec<f64>,
    /// The angle to the square across, degrees.
    pub skew_deg: f64,
    /// Width of the board, mm.
    pub width_mm: f64,
    /// Camber radius.
    pub radius: Radius,
    /// How far the edge lies under the crown, mm.
    pub edge_drop_mm: f64,
    /// Thickness of the finished edge, mm.
    pub edge_thickness_mm: f64,
    /// From the highest string's centre to its edge, mm.
    pub margin_treble_mm: f64,
    /// From the lowest string's centre to its edge, mm.
    pub margin_bass_mm: f64,
    /// The fret's own curve across the board.
    pub arc: FretArc,
    /// Depth of its slot under the crown, mm.
    pub slot_depth_mm: f64,
    /// Wood left under the slot at the thinnest, mm.
    pub wood_under_slot_mm: f64,
    /// Length of the slot: the board's width along the fret, less the binding, mm.
    pub slot_length_mm: f64,
    /// Length of its piece of wire, mm.
    pub wire_mm: f64,
    /// Radius to bend that piece to, mm; infinite on a flat board.
    pub bend_radius_mm: f64,
    /// The gauge to try, when a kit with gauges is at hand.
    pub gauge: Option<GaugeStation>,
}

impl FretFigures {
    /// The lesser of both margins, mm.
    pub fn margin_mm(&self) -> f64 {
        self.margin_treble_mm.min(self.margin_bass_mm)
    }
}

/// The camber as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct CamberFigures {
    /// Where the camber's cone has its apex, mm; nothing without one.
    pub apex_x_mm: Option<f64>,
    /// Where the outer lanes meet, mm; nothing when they are parallel.
    pub lanes_apex_x_mm: Option<f64>,
    /// Greatest height of the surface over the chord nut to last fret under each lane, with its
    /// sign, mm; highest string first. A fall-away counts.
    pub lane_hump_mm: Vec<f64>,
    /// The same of the arch alone, without the fall-away, mm.
    pub lane_hump_arch_mm: Vec<f64>,
    /// Wood above the finished surface in a flat blank, mm³, the fall-away's included.
    pub removed_mm3: f64,
    /// The fall-away's share of it, mm³.
    pub fall_away_mm3: f64,
}

/// Gathers every figure of a commission. With a kit the sheet names the gauge for every fret.
pub fn sheet(instrument: &Instrument, kit: Option<&Kit>) -> Sheet {
    let frets: Vec<FretFigures> = (0..instrument.frets.len())
        .map(|fret| fret_figures(instrument, kit, fret))
        .collect();
    let strings = string_figures(instrument);
    let neck_load_n = neck_load_n(&strings);
    let pieces: Vec<(usize, f64)> = frets
        .iter()
        .skip(1)
        .map(|fret| (fret.fret, fret.wire_mm))
        .collect();
    let mut sheet = Sheet {
        camber: camber_figures(instrument),
        wire: cut_list(&pieces, instrument.fret_spec.stick_length_mm),
        fit: instrument.fret_spec.fit(),
        movement: movement(instrument),
        warnings: Vec::new(),
        neck_load_n,
        strings,
        frets,
    };
    sheet.warnings = warnings(instrument, &sheet);
    sheet
}

fn fret_figures(instrument: &Instrument, kit: Option<&Kit>, fret: usize) -> FretFigures {
    let line = instrument.frets[fret];
    let (camber, outline) = (&instrument.camber, &instrument.outline);
    let x_mm = line.x_mm;
    let crossings: Vec<(f64, f64)> = instrument
        .lanes
        .iter()
        .map(|lane| lane.cross(line))
        .collect();
    // An instrument has at least one string, valid by construction.
    let [margin_treble_mm, margin_bass_mm] = instrument
        .lanes
        .first()
        .zip(instrument.lanes.last())
        .map_or([0.0; 2], |(treble, bass)| {
            outline.margins(treble, bass, line)
        });
    let edge_drop_mm = edge_drop_mm(camber, outline, x_mm);
    let ledge = instrument
        .wood
        .binding
        .map_or(0.0, |binding| binding.ledge_mm);
    let crown_mm = instrument.wood.crown_thickness_mm - camber.fall(x_mm);
    let arc = fret_arc(instrument, line);
    let slot = slot(instrument, x_mm, crown_mm);
    let binding = instrument
        .wood
        .binding
        .map_or(0.0, |binding| binding.width_mm);
    let spec = &instrument.fret_spec;
    FretFigures {
        fret,
        cents: instrument.tuning.cents(fret),
        x_mm,
        step_mm: fret
            .checked_sub(1)
            .map(|before| x_mm - instrument.frets[before].x_mm),
        lanes_x_mm: crossings.iter().map(|point| point.0).collect(),
        lanes_y_mm: crossings.iter().map(|point| point.1).collect(),
        skew_deg: line.skew().to_degrees(),
        width_mm: outline.width(x_mm),
        radius: camber.radius(x_mm),
        edge_drop_mm,
        edge_thickness_mm: crown_mm - edge_drop_mm - ledge,
        margin_treble_mm,
        margin_bass_mm,
        slot_depth_mm: slot.depth_mm,
        wood_under_slot_mm: slot.wood_under_mm,
        slot_length_mm: arc.chord_mm - 2.0 * binding / line.skew().cos(),
        wire_mm: arc.length_mm + 2.0 * spec.wire_overhang_mm,
        bend_radius_mm: arc.radius_mm * spec.bend_ratio,
        arc,
        gauge: kit.and_then(|kit| gauge_station(instrument, kit, fret)),
    }
}

struct Slot {
    depth_mm: f64,
    wood_under_mm: f64,
}

/// On a bound board the slot stops at the strip, where the arch has dropped less than at the edge.
fn slot(instrument: &Instrument, x_mm: f64, crown_mm: f64) -> Slot {
    let depth_mm = instrument.slot_depth_mm(x_mm);
    let thinnest = match instrument.fret_spec.slot_floor {
        SlotFloor::Flat => crown_mm,
        SlotFloor::FollowsCamber => crown_mm - instrument.slot_end_drop_mm(x_mm),
    };
    Slot {
        depth_mm,
        wood_under_mm: thinnest - depth_mm,
    }
}

fn camber_figures(instrument: &Instrument) -> CamberFigures {
    let nut = instrument.frets[0];
    let last = instrument.frets[instrument.last_fret()];
    let mut arch = instrument.camber.clone();
    arch.fall_away = None;
    let humps = |camber| {
        instrument
            .lanes
            .iter()
            .map(|lane| lane_hump_mm(camber, lane, nut, last))
            .collect()
    };
    let lane_hump_arch_mm: Vec<f64> = humps(&arch);
    let lane_hump_mm = match instrument.camber.fall_away {
        Some(_) => humps(&instrument.camber),
        None => lane_hump_arch_mm.clone(),
    };
    let (arch_mm3, fall_away_mm3) = removed_mm3(&instrument.camber, &instrument.outline);
    CamberFigures {
        apex_x_mm: instrument.camber.apex_x_mm(),
        lanes_apex_x_mm: instrument.lanes_apex_x_mm(),
        lane_hump_mm,
        lane_hump_arch_mm,
        removed_mm3: arch_mm3 + fall_away_mm3,
        fall_away_mm3,
    }
}
