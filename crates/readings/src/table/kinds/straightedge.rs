//! Straightedges along the board: a gap under one, or a hump on which it rocks.

use super::{Found, Positive, SAME_TOOL_MM, no_value, positive};
use crate::place::{Along, millimetres, place_words};
use crate::reading::{Gap, Spot, What};
use crate::table::head::Column;
use crate::table::line::Line;

/// The three spots of a straightedge.
struct Straight {
    from: Spot,
    to: Spot,
    at: Spot,
}

pub(super) fn gap(line: &mut Line<'_, '_>) -> Option<Found> {
    let (straight, gap) = (straight(line), feeler(line));
    let sigma_mm = line.sigma(line.bench.steps.feeler_mm);
    let Straight { from, to, at } = straight?;
    Some(Found {
        what: What::Gap {
            from,
            to,
            at,
            gap: gap?,
        },
        sigma_mm: sigma_mm?,
        place: place_words(line.bench.instrument, at),
    })
}

fn feeler(line: &mut Line<'_, '_>) -> Option<Gap> {
    if !line.is_empty(Column::Shows) {
        line.word(Column::Shows, &["none"])?;
        let least_mm = line.bench.steps.least_feeler_mm;
        return no_value(line, "gap").then_some(Gap::None { least_mm });
    }
    let asked = Positive {
        name: "gap",
        most_mm: 10.0,
        when_not: "write the feeler that just goes in, or none under shows when none does",
    };
    positive(line, asked).map(Gap::Mm)
}

pub(super) fn rock(line: &mut Line<'_, '_>) -> Option<Found> {
    let straight = straight(line);
    let asked = Positive {
        name: "hump",
        most_mm: 10.0,
        when_not: "write how high the hump is at the least; where nothing rocks, write a gap",
    };
    let (hump, sigma_mm) = (
        positive(line, asked),
        line.sigma(line.bench.steps.feeler_mm),
    );
    let Straight { from, to, at } = straight?;
    Some(Found {
        what: What::Rock {
            from,
            to,
            at,
            hump_mm: hump?,
        },
        sigma_mm: sigma_mm?,
        place: place_words(line.bench.instrument, at),
    })
}

/// Where a straightedge touches, and the spot under it, all on one line along the board.
fn straight(line: &mut Line<'_, '_>) -> Option<Straight> {
    let last_fret = Along::Fret(line.bench.instrument.last_fret());
    let across = line.across();
    let from = end(line, Column::From, Along::Fret(0));
    let to = end(line, Column::To, last_fret);
    let at = line.along(Column::At);
    let across = across?;
    let mut spot = |column, along: Option<Along>| line.spot_of(column, along?, across);
    let ends = (spot(Column::From, from), spot(Column::To, to));
    let at = spot(Column::At, at);
    let (from, to) = (ends.0?, ends.1?);
    // A straightedge has no direction: the end nearer the nut is the one called `from`.
    let (from, to) = if from.x_mm <= to.x_mm {
        (from, to)
    } else {
        (to, from)
    };
    long_enough(line, from, to)?;
    let at = between(line, from, to, at?)?;
    Some(Straight { from, to, at })
}

fn end(line: &mut Line<'_, '_>, column: Column, usual: Along) -> Option<Along> {
    if line.is_empty(column) {
        return Some(usual);
    }
    line.along(column)
}

/// A fault when the kit lists straightedges, and none is that long.
fn long_enough(line: &mut Line<'_, '_>, from: Spot, to: Spot) -> Option<()> {
    let owned = line.bench.kit.map_or(&[][..], |kit| &kit.straightedges_mm);
    let Some(longest_mm) = owned.iter().copied().reduce(f64::max) else {
        return Some(());
    };
    let span_mm = (to.x_mm - from.x_mm).hypot(to.y_mm - from.y_mm);
    if span_mm <= longest_mm + SAME_TOOL_MM {
        return Some(());
    }
    line.fault(Column::To, || {
        (
            format!(
                "from and to lie {} apart; the kit's longest straightedge is {}",
                millimetres(span_mm),
                millimetres(longest_mm)
            ),
            "add a longer one to the kit's straightedges, or write where its ends lay".into(),
        )
    });
    None
}

fn between(line: &mut Line<'_, '_>, from: Spot, to: Spot, at: Spot) -> Option<Spot> {
    if from.x_mm < at.x_mm && at.x_mm < to.x_mm {
        return Some(at);
    }
    line.fault(Column::At, || {
        (
            format!(
                "{} from the nut does not lie between the ends of the straightedge, {} and {}",
                millimetres(at.x_mm),
                millimetres(from.x_mm),
                millimetres(to.x_mm)
            ),
            "write a place between them, or where the ends lay under from and to".into(),
        )
    });
    None
}
