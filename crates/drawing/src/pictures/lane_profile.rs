//! The surface along a lane against its straight chord: the hump under a string, in hundredths
//! of a millimetre or thousandths of an inch.

use instrument::Instrument;
use instrument::board::over_chord;

use super::frame::Look;
use crate::{Anchor, Axis, AxisSide, Dash, Ink, Item, LinearScale, Path, Point, Scene};

/// The length profile under the pointed lane, nut to last fret, over its chord.
pub fn lane_profile(instrument: &Instrument, look: Look) -> Scene {
    let pointed = look.place();
    let (parts, part) = look.small_parts();
    let index = pointed.lane.min(instrument.lanes.len().saturating_sub(1));
    let lane = instrument.lanes[index];
    let (nut, last) = (
        instrument.frets[0],
        instrument.frets[instrument.last_fret()],
    );
    let (from, to) = (lane.cross(nut).0, lane.cross(last).0);
    let sample = |share: f64| {
        let x = from + share * (to - from);
        (
            x,
            parts * over_chord(&instrument.camber, &lane, from, to, x),
        )
    };
    let points: Vec<(f64, f64)> = (0..=120)
        .map(|step| sample(f64::from(step) / 120.0))
        .collect();
    let most = points.iter().map(|point| point.1.abs()).fold(0.0, f64::max);
    // A camber that widens quickly lets the surface sag under the chord: both sides have room.
    let (low, high) = points.iter().fold((0.0f64, 0.0f64), |(low, high), point| {
        (low.min(point.1), high.max(point.1))
    });
    let room = 0.15 * (high - low).max(0.5);
    let along = LinearScale::new((from, to), (16.0, 112.0));
    let up = LinearScale::new((low - room, (high + room).max(low + 0.5)), (50.0, 12.0));
    let description = format!(
        "Surface under string {} against the straight chord from nut to last fret: at most {most:.3} × {part}.",
        index + 1
    );
    let mut scene = Scene::new(118.0, 62.0, "Profile under a lane", description);
    let upright = Axis {
        tick_count: 5,
        grid_mm: 96.0,
        ..Axis::new(AxisSide::Left, up, 16.0, format!("over the chord, {part}"))
    };
    upright.draw(&mut scene);
    Axis::new(
        AxisSide::Below,
        look.scale(along),
        50.0,
        look.title("from the nut"),
    )
    .draw(&mut scene);
    let curve: Vec<Point> = points
        .iter()
        .map(|(x, z)| Point::new(along.at(*x), up.at(*z)))
        .collect();
    let chord = Path::line(Point::new(16.0, up.at(0.0)), Point::new(112.0, up.at(0.0)));
    let figure = scene.layer("figure");
    figure.add(Item::stroked(chord, Ink::Line, 0.3).dashed(Dash::Dashed));
    figure.add(Item::stroked(Path::polyline(&curve), Ink::Accent, 0.6));
    if let Some(line) = instrument.frets.get(pointed.fret) {
        let x = lane.cross(*line).0.clamp(from, to);
        let at = Point::new(
            along.at(x),
            up.at(parts * over_chord(&instrument.camber, &lane, from, to, x)),
        );
        figure.add(Item::filled(Path::circle(at, 1.1), Ink::Accent));
    }
    let words = format!("under string {}: {most:.2} × {part} at most", index + 1);
    let text = Item::text(Point::new(112.0, 4.0), words, 3.2, Ink::Text).anchored(Anchor::End);
    scene.layer("words").add(text);
    scene
}
