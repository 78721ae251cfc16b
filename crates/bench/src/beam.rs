//! How the beam must travel: along the rulings of the cone, swung, not parallel.
//!
//! Every straight line in a cone's surface goes through its apex. So when the beam's nut end
//! moves from `-a` to `+a`, its far end moves from `-a·R_far/R_nut` to `+a·R_far/R_nut`.

use instrument::arc::drop;
use instrument::camber::Law;
use instrument::{Instrument, Radius};

/// A stretch of the board on which straight lines lie in the surface, and the beam's way there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeamSpan {
    /// Nut end of the stretch, mm.
    pub from_mm: f64,
    /// Far end of the stretch, mm.
    pub to_mm: f64,
    /// How far the beam's nut end moves to each side of the centreline, mm: to the board's edge.
    pub near_sweep_mm: f64,
    /// How far its far end moves to each side, mm.
    pub far_sweep_mm: f64,
}

impl BeamSpan {
    /// Far sweep over near sweep: the radius at the far end over that at the near end.
    pub fn ratio(self) -> f64 {
        self.far_sweep_mm / self.near_sweep_mm
    }

    /// The angle between the centreline and the beam at the end of its sweep, radians.
    pub fn angle(self) -> f64 {
        ((self.far_sweep_mm - self.near_sweep_mm) / (self.to_mm - self.from_mm)).atan()
    }
}

/// Two stations nearer than this are one place: a knot at the nut lies there but for rounding.
const LEAST_STRETCH_MM: f64 = 1e-6;

/// How the beam must travel on this board, and what the easy ways of moving it would cost.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamPath {
    /// Far sweep over near sweep, nut to last fret.
    pub far_to_near_sweep: f64,
    /// Angle between the beam and the board's edge when the beam's nut end stands at the edge, degrees.
    pub edge_angle_deg: f64,
    /// The stretches: one on a cone or a cylinder, one between each pair of stations otherwise.
    pub spans: Vec<BeamSpan>,
    /// What a beam kept in line with the board's edges tends to.
    pub along_edges: EasyWay,
    /// What a beam kept parallel to the centreline tends to.
    pub along_centreline: EasyWay,
}

/// A way of moving the beam that is easier than the right one, and its cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EasyWay {
    /// The radius that the last fret would tend to.
    pub radius_at_last_fret: Radius,
    /// How far the edge at the last fret would come to lie below the plan, mm; negative above it.
    pub low_at_edge_mm: f64,
}

/// The beam's path for this board, from the nut to the last fret.
pub fn beam_path(instrument: &Instrument) -> BeamPath {
    let camber = &instrument.camber;
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let half_width = |x: f64| instrument.outline.half_width(x);
    let (nut, last) = (camber.radius(0.0), camber.radius(last_x));
    let ratio = ratio_of(nut, last);
    let a = half_width(0.0);
    let spans = spans(instrument, last_x);
    // Between stations each stretch has rulings of its own: the nut's edge lies on the first's.
    let beam_angle = spans.first().map_or(0.0, |span| span.angle());
    let edge_angle = instrument.outline.treble.rise.atan();
    let way = |radius: Radius| EasyWay {
        radius_at_last_fret: radius,
        low_at_edge_mm: drop(radius, half_width(last_x).min(radius.mm()))
            - drop(last, half_width(last_x)),
    };
    let with_edges = Radius::from_mm(nut.mm() * half_width(last_x) / a);
    BeamPath {
        far_to_near_sweep: ratio,
        edge_angle_deg: (beam_angle - edge_angle).to_degrees(),
        spans,
        along_edges: way(with_edges),
        along_centreline: way(nut),
    }
}

/// On a flat board every line is a ruling, and the beam may go parallel.
fn ratio_of(near: Radius, far: Radius) -> f64 {
    if near.is_flat() {
        1.0
    } else {
        far.mm() / near.mm()
    }
}

fn spans(instrument: &Instrument, last_x: f64) -> Vec<BeamSpan> {
    let camber = &instrument.camber;
    let mut ends = vec![0.0];
    if camber.law == Law::Stations {
        ends.extend(
            camber
                .knots()
                .iter()
                .map(|knot| knot.x_mm)
                .filter(|x| *x > LEAST_STRETCH_MM && *x < last_x - LEAST_STRETCH_MM),
        );
    }
    ends.push(last_x);
    ends.windows(2)
        .map(|pair| {
            let near_sweep_mm = instrument.outline.half_width(pair[0]);
            let ratio = ratio_of(camber.radius(pair[0]), camber.radius(pair[1]));
            BeamSpan {
                from_mm: pair[0],
                to_mm: pair[1],
                near_sweep_mm,
                far_sweep_mm: near_sweep_mm * ratio,
            }
        })
        .collect()
}
