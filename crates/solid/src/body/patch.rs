//! The exact surface under a face: a plane, or a rational B-spline, straight along and a circle
//! across.

use super::arch::Arch;
use super::shell::Surface;

/// How far a patch reaches past its face, mm, so that no rim lies on the patch's own end.
const PAST_MM: f64 = 0.5;

/// The widest arc that one rational parabola takes, radians.
const WIDEST_ARC: f64 = 2.0;

/// The surface of a face with these corners.
pub(crate) fn face_surface(arch: &Arch, corners: &[[f64; 2]]) -> Surface {
    if arch.is_flat() {
        let slope = arch.crown_slope();
        let length = 1f64.hypot(slope);
        return Surface::Plane {
            origin: [0.0, 0.0, arch.crown(0.0)],
            normal: [-slope / length, 0.0, 1.0 / length],
            along: [1.0 / length, 0.0, slope / length],
        };
    }
    // Along a straight side y/R runs one way, so that the corners hold the greatest angles.
    let spread = |of: &dyn Fn(&[f64; 2]) -> f64| {
        let values = corners.iter().map(of);
        values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
            [low.min(value), high.max(value)]
        })
    };
    let [low, high] = spread(&|corner| corner[0]);
    // Past its ends the cone must not run into its apex.
    let slope = arch.radius_slope().abs().max(1e-12);
    let past = PAST_MM.min(0.1 * arch.radius(low).min(arch.radius(high)) / slope);
    let x = [low - past, high + past];
    let tightest = arch.radius(x[0]).min(arch.radius(x[1]));
    let [least, most] = spread(&|corner| (corner[1] / arch.radius(corner[0])).asin());
    let more = PAST_MM / tightest;
    patch(arch, x, [least - more, most + more])
}

/// The patch between two places along the board and two angles of the arc.
fn patch(arch: &Arch, x: [f64; 2], [from, to]: [f64; 2]) -> Surface {
    let arcs = ((to - from) / WIDEST_ARC).ceil().max(1.0);
    let half = 0.5 * (to - from) / arcs;
    let count = 2 * arcs as usize + 1;
    let angle = |index: usize| from + half * index as f64;
    let row = |x: f64| {
        let (radius, crown) = (arch.radius(x), arch.crown(x));
        let pole = |index: usize| {
            let angle = angle(index);
            // 1 - cos θ, and for the poles between (cos h - cos θ)/cos h, written as products.
            let (out, fallen) = if index.is_multiple_of(2) {
                (1.0, 2.0 * (0.5 * angle).sin().powi(2))
            } else {
                let product = (0.5 * (angle + half)).sin() * (0.5 * (angle - half)).sin();
                (1.0 / half.cos(), 2.0 * product / half.cos())
            };
            let z = crown - arch.falls * radius * fallen;
            [x, radius * out * angle.sin(), z]
        };
        (0..count).map(pole).collect()
    };
    let weight = |index: usize| {
        if index.is_multiple_of(2) {
            1.0
        } else {
            half.cos()
        }
    };
    Surface::Patch {
        poles: x.map(row),
        weights: (0..count).map(weight).collect(),
        size_mm: [x[1] - x[0], (to - from) * arch.radius(0.5 * (x[0] + x[1]))],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A point of a patch, by de Boor's rule written out for chains of parabolas.
    fn at(surface: &Surface, u: f64, arc: usize, t: f64) -> [f64; 3] {
        let Surface::Patch { poles, weights, .. } = surface else {
            panic!("no patch: {surface:?}");
        };
        let basis = [(1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t];
        let (mut sum, mut point) = (0.0, [0.0; 3]);
        for (row, share) in [(0, 1.0 - u), (1, u)] {
            for (k, part) in basis.iter().enumerate() {
                let index = 2 * arc + k;
                let weight = share * part * weights[index];
                sum += weight;
                (0..3).for_each(|i| point[i] += weight * poles[row][index][i]);
            }
        }
        point.map(|part| part / sum)
    }

    #[test]
    fn patches_lie_on_the_arch_everywhere() {
        for (radius_mm, falls, half_width) in [
            ([240.0, 400.0], 1.0, 28.0),
            ([240.0, 400.0], -1.0, 28.0),
            ([28.5, 31.0], 1.0, 28.0),
            ([1e6, 1e6], 1.0, 28.0),
        ] {
            let arch = Arch {
                x_mm: [0.0, 460.0],
                radius_mm,
                crown_mm: [0.0, -0.3],
                falls,
            };
            let y = [-half_width, half_width];
            let corners = [[0.0, y[0]], [460.0, y[0]], [460.0, y[1]], [0.0, y[1]]];
            let surface = face_surface(&arch, &corners);
            let Surface::Patch { weights, .. } = &surface else {
                panic!("no patch");
            };
            for arc in 0..weights.len() / 2 {
                for (u, t) in [(0.0, 0.0), (0.2, 0.3), (0.5, 0.5), (0.9, 0.1), (1.0, 0.8)] {
                    let off = arch.off_mm(at(&surface, u, arc, t));
                    assert!(off < 1e-10, "{radius_mm:?}: {off}");
                }
            }
        }
    }
}
