//! How fine the net is: as fine as the readings can fill.

use instrument::Instrument;

use crate::reading::{Visit, What};

/// Heights from which the net is drawn finer.
const MANY: usize = 2_000;
const VERY_MANY: usize = 50_000;

/// Pieces of the net along and across the board for a visit: about 40 mm along and a third of
/// the width for a handful of readings, 10 mm and a sixth for very many heights.
pub fn pieces(instrument: &Instrument, visit: &Visit) -> (usize, usize) {
    let single = visit
        .readings
        .iter()
        .filter(|reading| matches!(reading.what, What::Height { .. }))
        .count();
    let heights = visit.count() - visit.readings.len() + single;
    let (step_mm, across) = match heights {
        0..MANY => (40.0, 3),
        MANY..VERY_MANY => (20.0, 4),
        _ => (10.0, 6),
    };
    let length = instrument.outline.end.x_mm - instrument.outline.nut.x_mm;
    let along = (length / step_mm).round().clamp(4.0, 160.0) as usize;
    (along, across)
}
