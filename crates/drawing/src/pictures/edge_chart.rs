//! Thickness of the finished edge along the board, with the least that is allowed.

use instrument::Instrument;
use play::Sheet;

use super::frame::Look;
use crate::{Axis, AxisSide, Dash, Ink, Item, LinearScale, Path, Point, Scene};

/// Edge thickness along the board.
pub fn edge_chart(instrument: &Instrument, sheet: &Sheet, look: Look) -> Scene {
    let end = instrument.end_x_mm();
    let ledge = instrument
        .wood
        .binding
        .map_or(0.0, |binding| binding.ledge_mm);
    let edge = |x: f64| {
        instrument.wood.crown_thickness_mm
            + instrument
                .camber
                .height(x, instrument.outline.half_width(x))
            - ledge
    };
    let values: Vec<(f64, f64)> = (0..=100)
        .map(|step| end * f64::from(step) / 100.0)
        .map(|x| (x, edge(x)))
        .collect();
    let least = instrument.wood.least_edge_mm;
    let all = || values.iter().map(|value| value.1).chain(least);
    let (low, high) = (
        all().fold(f64::INFINITY, f64::min),
        all().fold(f64::NEG_INFINITY, f64::max),
    );
    let room = (0.2 * (high - low)).max(0.02);
    let along = LinearScale::new((0.0, end), (18.0, 234.0));
    let up = LinearScale::new((low - room, high + room), (42.0, 9.0));
    let mut scene = Scene::new(
        super::WIDE_MM,
        56.0,
        "Edge thickness along the board",
        "Thickness of the finished edge from nut to end, and the least that is allowed.",
    );
    Axis {
        tick_count: 4,
        grid_mm: 216.0,
        ..Axis::new(
            AxisSide::Left,
            look.scale(up),
            18.0,
            look.title("edge thickness"),
        )
    }
    .draw(&mut scene);
    Axis::new(
        AxisSide::Below,
        look.scale(along),
        42.0,
        look.title("from the nut"),
    )
    .draw(&mut scene);
    let figure = scene.layer("figure");
    let points: Vec<Point> = values
        .iter()
        .map(|(x, t)| Point::new(along.at(*x), up.at(*t)))
        .collect();
    figure.add(Item::stroked(Path::polyline(&points), Ink::Accent, 0.7));
    if let Some(least) = least {
        let y = up.at(least);
        let line = Path::line(Point::new(18.0, y), Point::new(234.0, y));
        figure.add(Item::stroked(line, Ink::Caution, 0.35).dashed(Dash::Dashed));
        let words = format!("least edge {}", look.length(least, 2));
        figure.add(Item::text(
            Point::new(20.0, y - 1.2),
            words,
            3.0,
            Ink::Caution,
        ));
    }
    if let Some(fret) = sheet.frets.get(look.place().fret) {
        let at = Point::new(along.at(fret.x_mm), up.at(fret.edge_thickness_mm));
        figure.add(Item::filled(Path::circle(at, 1.2), Ink::Accent));
    }
    scene
}
