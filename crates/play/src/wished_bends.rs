//! The wished bends laid out: where every bent string crosses the frets ahead of it.
//!
//! How far a string must be pushed depends on its pull and stretch alone, so that the places do not
//! change with the camber: the chooser and the chances try heights at these places.

use instrument::Instrument;

use crate::bend::{BentString, Push};
use crate::strung::StringLine;

/// One moment of one wished bend.
#[derive(Clone, Debug, PartialEq)]
pub struct WishedBend {
    /// The string, 0 for the highest.
    pub string: usize,
    /// Where it is stopped.
    pub stop: Crossing,
    /// Where it crosses the frets ahead, with the share of the way to the saddle.
    pub ahead: Vec<(Crossing, f64)>,
}

/// A place on a fret.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// The fret.
    pub fret: usize,
    /// Along the board, mm.
    pub x_mm: f64,
    /// Across it, mm.
    pub y_mm: f64,
}

/// Bends are looked at on their way, at these shares of the push.
const SHARES: [f64; 5] = [0.3, 0.5, 0.7, 0.85, 1.0];
/// A string that is pushed nearer to the edge slips off, mm.
pub(crate) const EDGE_MM: f64 = 1.0;

/// A string nearer than this to the centreline runs on it, mm.
const CENTRED_MM: f64 = 1e-9;

/// A string's stop, with the sense in which players push it: toward the centreline.
#[derive(Clone, Copy)]
pub(crate) struct Stop {
    /// The fret.
    pub fret: usize,
    /// Where the string stands across when it is not bent, mm.
    pub from_mm: f64,
    /// 1 toward the treble side, -1 toward the bass side.
    pub sense: f64,
    /// Sine of the fret's slant in that sense.
    pub skew: f64,
    /// How far it can be pushed along the fret before it slips over the edge, mm.
    pub room_mm: f64,
}

impl Stop {
    pub fn of(instrument: &Instrument, lane: usize, fret: usize) -> Self {
        let line = instrument.frets[fret];
        let from_mm = instrument.lanes[lane].cross(line).1;
        // Rounding must not choose the side of a string on the centreline.
        let sense = if from_mm >= -CENTRED_MM { -1.0 } else { 1.0 };
        let [treble, bass] = instrument.outline.edges_of(line);
        let edge = if sense < 0.0 { bass.1 } else { treble.1 };
        Self {
            fret,
            from_mm,
            sense,
            skew: sense * line.skew().sin(),
            room_mm: (sense * (edge - from_mm) - EDGE_MM).max(0.0) / line.skew().cos(),
        }
    }

    /// The push by so many millimetres.
    pub fn push(self, aside_mm: f64) -> Push {
        Push {
            aside_mm,
            skew: self.skew,
        }
    }

    /// Where the string rests on its fret when it is pushed aside.
    pub fn pushed(self, instrument: &Instrument, aside_mm: f64) -> Crossing {
        let line = instrument.frets[self.fret];
        let y_mm = self.from_mm + self.sense * aside_mm * line.skew().cos();
        Crossing {
            fret: self.fret,
            x_mm: line.x_at(y_mm),
            y_mm,
        }
    }
}

/// Where a string that rests at a stop crosses the frets ahead on its straight way to the saddle,
/// with the share of that way.
pub(crate) fn ahead<'a>(
    instrument: &'a Instrument,
    lane: usize,
    stop: Crossing,
) -> impl Iterator<Item = (Crossing, f64)> + 'a {
    let saddle = instrument.lanes[lane].saddle;
    let rise = (saddle.1 - stop.y_mm) / (saddle.0 - stop.x_mm);
    ((stop.fret + 1)..instrument.frets.len()).map(move |fret| {
        let (x_mm, y_mm) = instrument.frets[fret].meet(stop.y_mm - rise * stop.x_mm, rise);
        let way = (x_mm - stop.x_mm) / (saddle.0 - stop.x_mm);
        (Crossing { fret, x_mm, y_mm }, way)
    })
}

/// All wished bends of every string at every fret that has one ahead. A bend for which the board
/// has no room is looked at as far as the board goes.
pub fn wished_bends(
    instrument: &Instrument,
    lines: &[StringLine],
    strings: &[Option<BentString>],
    cents: f64,
) -> Vec<WishedBend> {
    let mut bends = Vec::new();
    for (lane, string) in strings.iter().enumerate() {
        let Some(string) = string else { continue };
        for fret in 1..lines[lane].last_fret() {
            let stop = Stop::of(instrument, lane, fret);
            let along = along_scale(string, &lines[lane], fret);
            let push = string
                .push_for(along, cents, stop.skew, stop.room_mm)
                .unwrap_or(stop.room_mm);
            for share in SHARES {
                let at = stop.pushed(instrument, push * share);
                bends.push(WishedBend {
                    string: lane,
                    stop: at,
                    ahead: ahead(instrument, lane, at).collect(),
                });
            }
        }
    }
    bends
}

/// A fret's place along the scale: a lane's own slant is left out of the stretch.
pub(crate) fn along_scale(string: &BentString, line: &StringLine, fret: usize) -> f64 {
    line.along_mm[fret] * string.length_mm / line.length_mm
}
