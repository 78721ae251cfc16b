//! The beam's way over the board: along the rulings, not parallel.

use bench::BenchPlan;
use instrument::Instrument;

use super::frame::{Frame, Look, Lying, WIDE_MM};
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene};

/// Positions at which the beam is drawn, as shares of its sweep to each side.
const POSITIONS: [f64; 5] = [-1.0, -0.5, 0.0, 0.5, 1.0];

/// The board with the beam at five positions of its sweep; each runs through the cone's apex.
pub fn beam_sweep(instrument: &Instrument, plan: &BenchPlan, look: Look) -> Scene {
    let probe = Frame::fit(instrument, 16.0, WIDE_MM - 16.0, 0.0);
    let widest = plan
        .beam
        .spans
        .iter()
        .map(|s| s.far_sweep_mm.max(s.near_sweep_mm))
        .fold(0.0, f64::max);
    let half = probe
        .half_height(instrument)
        .max(probe.scale() * widest.min(90.0));
    let height = 2.0 * half + 18.0;
    let frame = Frame::fit(instrument, 16.0, WIDE_MM - 16.0, half + 8.0);
    let description = format!(
        "The beam at five positions of its sweep; its end at the last fret moves {:.4} times as far to the side as its nut end.",
        plan.beam.far_to_near_sweep
    );
    let mut scene = Scene::new(WIDE_MM, height, "How the beam travels", description);
    scene
        .layer("wood")
        .add(Item::filled(frame.outline(instrument), Ink::Wood));
    for fret in &instrument.frets {
        scene.layer("frets").add(Item::stroked(
            frame.across(instrument, *fret),
            Ink::Fret,
            0.2,
        ));
    }
    scene
        .layer("edge")
        .add(Item::stroked(frame.outline(instrument), Ink::WoodEdge, 0.4));
    for span in &plan.beam.spans {
        for position in POSITIONS {
            let near = frame.point(span.from_mm, position * span.near_sweep_mm);
            let far = frame.point(span.to_mm, position * span.far_sweep_mm);
            let item = Item::stroked(Path::line(near, far), Ink::Accent, 0.6);
            let item = if position == 0.0 {
                item
            } else {
                item.dashed(Dash::Dashed)
            };
            scene.layer("beam").add(item);
        }
        draw_sweeps(
            &mut scene,
            &Lying {
                instrument,
                frame,
                look,
            },
            span,
        );
    }
    let swing = match plan.beam.spans.as_slice() {
        [_] => format!(
            "sweep at the last fret : sweep at the nut = {:.4}",
            plan.beam.far_to_near_sweep
        ),
        _ => "stretch by stretch, a beam no longer than each".to_owned(),
    };
    let words = format!(
        "{swing} · at the nut's edge {:.3}° out of the board's edge",
        plan.beam.edge_angle_deg
    );
    let place = Point::new(0.5 * WIDE_MM, height - 2.0);
    scene
        .layer("words")
        .add(Item::text(place, words, 3.2, Ink::Text).anchored(Anchor::Middle));
    scene
}

fn draw_sweeps(scene: &mut Scene, lying: &Lying<'_>, span: &bench::beam::BeamSpan) {
    let Lying {
        instrument,
        frame,
        look,
    } = lying;
    for (x, sweep, anchor, nudge) in [
        (span.from_mm, span.near_sweep_mm, Anchor::End, -1.5),
        (span.to_mm, span.far_sweep_mm, Anchor::Start, 1.5),
    ] {
        let (top, bottom) = (frame.point(x, sweep), frame.point(x, -sweep));
        let layer = scene.layer("sweeps");
        layer.add(Item::stroked(Path::line(top, bottom), Ink::Second, 0.4));
        let words = format!("±{}", look.length(sweep, 2));
        // Above the board where the beam stays inside it.
        let edge = frame.point(x, instrument.outline.half_width(x));
        let place = Point::new(top.x + nudge, top.y.min(edge.y) - 1.2);
        // Near the sheet's border the words turn inward.
        let anchor = if place.x < 20.0 {
            Anchor::Start
        } else if place.x > WIDE_MM - 20.0 {
            Anchor::End
        } else {
            anchor
        };
        layer.add(Item::text(place, words, 3.2, Ink::Second).anchored(anchor));
    }
}
