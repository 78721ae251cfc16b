//! A dial between two legs, which reads the crown's height over them.

use super::{CHECK_VALUE, Found, MOST_HEIGHT_MM, Positive, not_owned, positive, same_length};
use crate::place::{millimetres, station_words};
use crate::reading::What;
use crate::sagitta::{DialErrors, radius_from_sagitta};
use crate::table::head::Column;
use crate::table::line::Line;

/// A dial as the kit lists it, or as the line says.
struct Legs {
    chord_mm: f64,
    resolution_mm: f64,
}

pub(super) fn sagitta(line: &mut Line<'_, '_>) -> Option<Found> {
    let (legs, x_mm) = (legs(line), line.station("a dial"));
    let asked = Positive {
        name: "sagitta",
        most_mm: MOST_HEIGHT_MM,
        when_not: "write how far the crown stands over the legs; on a flat board write heights",
    };
    let value = positive(line, asked);
    let (legs, x_mm) = (legs?, x_mm?);
    let sigma_mm = line.sigma(legs.resolution_mm);
    let chord_mm = on_the_wood(line, legs.chord_mm, x_mm)?;
    Some(Found {
        what: What::Sagitta {
            chord_mm,
            x_mm,
            sagitta_mm: under_half(line, chord_mm, value?)?,
        },
        sigma_mm: sigma_mm?,
        place: station_words(line.bench.instrument, x_mm),
    })
}

/// The dial that the line names by its chord, owned when the kit lists dials.
fn legs(line: &mut Line<'_, '_>) -> Option<Legs> {
    let way_out = "write the distance between the dial's legs, such as 40 mm";
    let chord_mm = line.length(Column::Tool, way_out)?;
    if chord_mm <= 0.0 {
        line.fault(Column::Tool, || {
            (
                format!("chord {} is not more than 0 mm", millimetres(chord_mm)),
                way_out.into(),
            )
        });
        return None;
    }
    let dials = line.bench.kit.map_or(&[][..], |kit| &kit.dials);
    if dials.is_empty() {
        let resolution_mm = 0.01;
        return Some(Legs {
            chord_mm,
            resolution_mm,
        });
    }
    let owned = dials
        .iter()
        .find(|dial| same_length(dial.chord_mm, chord_mm));
    if owned.is_none() {
        let tool = format!("dial with a chord of {}", millimetres(chord_mm));
        not_owned(line, &tool, "dials");
    }
    owned.map(|dial| Legs {
        chord_mm: dial.chord_mm,
        resolution_mm: dial.resolution_mm,
    })
}

/// The chord again when both legs stand on the board; a fault otherwise.
fn on_the_wood(line: &mut Line<'_, '_>, chord_mm: f64, x_mm: f64) -> Option<f64> {
    let span = line.bench.instrument.outline.span(x_mm);
    let width_mm = span.map_or(0.0, |(low, high)| 2.0 * high.min(-low).max(0.0));
    if chord_mm <= width_mm {
        return Some(chord_mm);
    }
    line.fault(Column::Tool, || {
        (
            format!(
                "chord {} is wider than the board there, {} about the centreline",
                millimetres(chord_mm),
                millimetres(width_mm)
            ),
            "check the place, or read with a narrower dial".into(),
        )
    });
    None
}

fn under_half(line: &mut Line<'_, '_>, chord_mm: f64, sagitta_mm: f64) -> Option<f64> {
    let sharp = DialErrors {
        sagitta_sigma_mm: 0.0,
        chord_sigma_mm: 0.0,
    };
    let proves = radius_from_sagitta(chord_mm, sagitta_mm, sharp);
    if proves.is_some() && sagitta_mm < 0.5 * chord_mm {
        return Some(sagitta_mm);
    }
    line.fault(Column::Value, || {
        (
            format!(
                "sagitta {} is not under half the chord of {}",
                millimetres(sagitta_mm),
                millimetres(chord_mm)
            ),
            CHECK_VALUE.into(),
        )
    });
    None
}
