//! The volume of a body, from the closed form of its surface along the borders of its plan.
//!
//! With `F(x, y) = ∫ z dy` from the centreline, Green's theorem gives `∫∫ z dA = -∮ F dx` round
//! every region; F is in closed form, and along a straight border it is smooth, so that
//! Gauss-Legendre quadrature is exact to rounding.

use instrument::integrate::nodes;

use super::arch::Arch;
use super::plan::Plan;
use super::regions::Regions;
use super::relief::Relief;

/// Places round a pocket; the sum over a whole turn converges faster than any power of them.
const ROUND: usize = 96;

/// The volume of a body, mm³.
pub(crate) fn volume_mm3(relief: &Relief, plan: &Plan, regions: &Regions) -> f64 {
    let mut volume = 0.0;
    for border in &regions.borders {
        let [from, to] = border.ends.map(|end| plan.points[end]);
        let run = [to[0] - from[0], to[1] - from[1]];
        if run[0] == 0.0 {
            continue;
        }
        for (region, sign) in [(border.left, -1.0), (border.right, 1.0)] {
            let Some(region) = region else { continue };
            let surface = relief.surface(regions.grounds[region]);
            let at = |share: f64| [from[0] + share * run[0], from[1] + share * run[1]];
            let mut over = 0.0;
            for piece in smooth_pieces(&surface, at) {
                for (share, weight) in nodes(piece[0], piece[1]) {
                    let at = at(share);
                    over += weight * (surface.area(at) - relief.base_mm * at[1]);
                }
            }
            volume += sign * run[0] * over;
        }
    }
    for disc in &relief.discs {
        volume -= pocket_mm3(relief, regions, disc);
    }
    volume
}

/// A border cut so that no piece is long against its distance from where the arc would stand
/// upright, or where its radius would be zero: there F loses its smoothness, and quadrature its
/// digits.
fn smooth_pieces(surface: &Arch, at: impl Fn(f64) -> [f64; 2]) -> Vec<[f64; 2]> {
    /// Pieces shorter than this are not cut again.
    const LEAST_SHARE: f64 = 1e-5;
    let arc = |share: f64| {
        let [x, y] = at(share);
        let radius = surface.radius(x);
        (y / radius, radius)
    };
    let (mut pieces, mut open) = (Vec::new(), vec![[0.0, 1.0]]);
    while let Some([start, end]) = open.pop() {
        let ((first, near), (last, far)) = (arc(start), arc(end));
        let air = 1.0 - first.abs().max(last.abs());
        let smooth = (last - first).abs() <= air && near.max(far) <= 2.0 * near.min(far);
        if smooth || end - start < LEAST_SHARE {
            pieces.push([start, end]);
        } else {
            let middle = 0.5 * (start + end);
            open.extend([[middle, end], [start, middle]]);
        }
    }
    pieces
}

fn pocket_mm3(relief: &Relief, regions: &Regions, disc: &super::relief::Disc) -> f64 {
    let surface = relief.surface(regions.grounds[disc.region]);
    let step = std::f64::consts::TAU / ROUND as f64;
    let mut volume = 0.0;
    for index in 0..ROUND {
        let (sin, cos) = (step * index as f64).sin_cos();
        let at = [
            disc.centre[0] + disc.radius_mm * cos,
            disc.centre[1] + disc.radius_mm * sin,
        ];
        let over = surface.area(at) - disc.floor_mm * at[1];
        volume += over * disc.radius_mm * sin * step;
    }
    volume
}
