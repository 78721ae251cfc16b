//! What the blocks leave at the edges: a saw-tooth along the board.

use bench::BenchPlan;
use bench::left::height_left;
use instrument::Instrument;
use instrument::integrate::pieces;

use super::frame::Look;
use crate::{Anchor, Axis, AxisSide, Dash, Ink, Item, LinearScale, Path, Point, Scene};

/// Height of the wood left above the camber at the further edge, along the board.
pub fn saw_tooth(instrument: &Instrument, plan: &BenchPlan, look: Look) -> Scene {
    let end = instrument.end_x_mm();
    let most = (plan.blocks_leave.max_mm * 1.15).max(0.02);
    let along = LinearScale::new((0.0, end), (18.0, 234.0));
    let up = LinearScale::new((0.0, most), (46.0, 9.0));
    let description = format!(
        "Wood the blocks leave above the camber at the edges: {:.3} mm at most, {:.0} cubic millimetres in all.",
        plan.blocks_leave.max_mm, plan.blocks_leave.volume_mm3
    );
    let mut scene = Scene::new(super::WIDE_MM, 60.0, "What the blocks leave", description);
    Axis {
        tick_count: 4,
        grid_mm: 216.0,
        ..Axis::new(
            AxisSide::Left,
            look.scale(up),
            18.0,
            look.title("left at the edges"),
        )
    }
    .draw(&mut scene);
    Axis::new(
        AxisSide::Below,
        look.scale(along),
        46.0,
        look.title("from the nut"),
    )
    .draw(&mut scene);
    let points = tooth_points(instrument, plan, &along, &up);
    let mut area = points.clone();
    area.push(Point::new(along.at(end), up.at(0.0)));
    area.push(Point::new(along.at(0.0), up.at(0.0)));
    let figure = scene.layer("figure");
    figure.add(Item::filled(Path::polygon(&area), Ink::SecondFill));
    figure.add(Item::stroked(Path::polyline(&points), Ink::Second, 0.6));
    if let Some(pointed) = look.pointed {
        let left = along.at(instrument.fret_x_mm(pointed.fret));
        let guide = Path::line(Point::new(left, 9.0), Point::new(left, 46.0));
        figure.add(Item::stroked(guide, Ink::Accent, 0.25).dashed(Dash::Dashed));
    }
    let words = format!(
        "{} at most, at {}; {:.0} mm³ in all",
        look.length(plan.blocks_leave.max_mm, 3),
        look.length(plan.blocks_leave.at_mm.0, 1),
        plan.blocks_leave.volume_mm3
    );
    let text = Item::text(Point::new(234.0, 5.0), words, 3.2, Ink::Text).anchored(Anchor::End);
    scene.layer("words").add(text);
    scene
}

/// Samples each piece between zone ends on its own, so that the teeth stand upright.
fn tooth_points(
    instrument: &Instrument,
    plan: &BenchPlan,
    along: &LinearScale,
    up: &LinearScale,
) -> Vec<Point> {
    let mut breaks = bench::blocks::zone_ends(&plan.zones);
    breaks.extend(instrument.camber.breaks());
    let mut points = Vec::new();
    for (from, to) in pieces(0.0, instrument.end_x_mm(), &breaks) {
        // A hair inside the piece, where the block is the piece's own.
        let inset = 1e-7 * (to - from);
        for step in 0..=16 {
            let x = from + inset + (to - from - 2.0 * inset) * f64::from(step) / 16.0;
            let height = height_left(instrument, &plan.zones, x, instrument.outline.half_width(x));
            points.push(Point::new(along.at(x), up.at(height)));
        }
    }
    points
}
