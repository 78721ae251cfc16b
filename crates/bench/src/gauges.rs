//! What daylight under a gauge proves.
//!
//! A gauge of radius R_g on a section of radius R, over half-width a, stands off by
//! `drop(R, a) - drop(R_g, a)`: light at both edges when that is positive, at the crown when it is
//! negative. An eye that sees no less than δ turns "no light" into an interval of about ±2R²δ/a².

use instrument::arc::{drop, radius_of_drop};
use instrument::{Instrument, Radius};

use crate::kit::Kit;

/// Where light shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Light {
    /// At both edges: the gauge rests on the crown.
    Edges,
    /// At the crown: the gauge rests on the edges.
    Crown,
    /// Less than the eye sees.
    None,
}

/// The gauge to try at a place, and what it should show there on a right surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugeStation {
    /// The fret; 0 is the nut.
    pub fret: usize,
    /// Its place on the centreline, mm.
    pub x_mm: f64,
    /// The radius planned there.
    pub radius: Radius,
    /// The owned gauge whose radius is nearest.
    pub gauge: Radius,
    /// The gap a right surface shows, mm: positive at the edges, negative at the crown.
    pub light_mm: f64,
    /// Where it shows.
    pub light: Light,
    /// What "no light under this gauge" would prove: least and greatest radius.
    pub no_light: (Radius, Radius),
}

/// The gap under a gauge on a section, mm: positive at the edges, negative at the crown.
pub fn light_mm(section: Radius, gauge: Radius, half_width: f64) -> f64 {
    drop(section, half_width) - drop(gauge, half_width)
}

/// The radii that show no light under a gauge to an eye that sees no less than `smallest_mm`.
pub fn no_light_interval(gauge: Radius, half_width: f64, smallest_mm: f64) -> (Radius, Radius) {
    let under_gauge = drop(gauge, half_width);
    (
        radius_of_drop(under_gauge + smallest_mm, half_width),
        radius_of_drop(under_gauge - smallest_mm, half_width),
    )
}

/// The owned gauge nearest to a radius, of those whose arc reaches both edges; a straight one counts
/// for a flat board only.
pub fn nearest_gauge(kit: &Kit, radius: Radius, half_width: f64) -> Option<Radius> {
    let distance = |gauge: &Radius| {
        if gauge.is_flat() && radius.is_flat() {
            0.0
        } else {
            (gauge.mm() - radius.mm()).abs()
        }
    };
    let reaching = kit.gauges.iter().copied();
    let reaching = reaching.filter(|gauge| gauge.mm() > half_width);
    if radius.is_flat() {
        // Nothing is near to flat by length: the flattest gauge shows the least light.
        return reaching.max_by(|a, b| a.mm().total_cmp(&b.mm()));
    }
    reaching.min_by(|a, b| distance(a).total_cmp(&distance(b)))
}

/// The gauge to try at a fret; nothing when the kit has none that reaches from edge to edge.
pub fn gauge_station(instrument: &Instrument, kit: &Kit, fret: usize) -> Option<GaugeStation> {
    let x_mm = instrument.fret_x_mm(fret);
    let radius = instrument.camber.radius(x_mm);
    let half_width = instrument.outline.half_width(x_mm);
    let gauge = nearest_gauge(kit, radius, half_width)?;
    let light_mm = light_mm(radius, gauge, half_width);
    let light = if light_mm.abs() < kit.smallest_light_mm {
        Light::None
    } else if light_mm > 0.0 {
        Light::Edges
    } else {
        Light::Crown
    };
    let no_light = no_light_interval(gauge, half_width, kit.smallest_light_mm);
    Some(GaugeStation {
        fret,
        x_mm,
        radius,
        gauge,
        light_mm,
        light,
        no_light,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_light_proves_an_interval_not_a_radius() {
        // ±2R²δ/a² = ±2.551 mm for R = 240, a = 21.25, δ = 0.01 (30-digit arithmetic, apart
        // from this project); that is the leading term, the exact ends lie a little outward.
        let (low, high) = no_light_interval(Radius::from_mm(240.0), 21.25, 0.01);
        let half = 0.5 * (high.mm() - low.mm());
        assert!((half / 2.551 - 1.0).abs() < 0.01, "{half}");
        assert!(low.mm() < 240.0 && high.mm() > 240.0);
    }

    #[test]
    fn a_gauge_too_tight_to_reach_the_edges_is_not_tried() {
        let kit = crate::read_kit(
            "camberwright_kit = 1\ntitle = \"N\"\nblocks = []\nbeams = []\n\
             gauges = [11, 1581]\nabrasives = []\nsmallest_light = 0.02\n",
        );
        let kit = kit.expect("is a kit");
        // Half a board is wider than the arc of 11 mm: it would never touch both edges.
        let tight = Radius::from_mm(240.0);
        assert_eq!(
            nearest_gauge(&kit, tight, 21.0),
            Some(Radius::from_mm(1581.0))
        );
        assert_eq!(nearest_gauge(&kit, tight, 2000.0), None);
    }

    #[test]
    fn light_tells_its_side() {
        let (tight, flat) = (Radius::from_mm(240.0), Radius::from_mm(305.0));
        assert!(
            light_mm(tight, flat, 21.0) > 0.0,
            "a flatter gauge rests on the crown"
        );
        assert!(
            light_mm(flat, tight, 21.0) < 0.0,
            "a tighter gauge rests on the edges"
        );
        assert_eq!(light_mm(Radius::FLAT, Radius::FLAT, 21.0), 0.0);
    }
}
