//! Round pockets: a level floor, an upright wall in two halves, and a rim that runs over the
//! arched face.

use std::f64::consts::PI;

use super::arch::Arch;
use super::build::Builder;
use super::plan::Plan;
use super::regions::Regions;
use super::relief::{Disc, Ground};
use super::shell::{Curve, Face, Surface, Way};

/// A rim lies this near to the face and to its wall, mm.
const RIM_MM: f64 = 1e-7;

/// The most cubics in half a rim; halving stops there.
const MOST_CUBICS: usize = 512;

/// The region of the face in which a pocket has room all round, with `air_mm` to spare.
pub(crate) fn region_with_room(
    plan: &Plan,
    regions: &Regions,
    disc: &Disc,
    air_mm: f64,
) -> Option<usize> {
    let mut winding = vec![0i32; regions.grounds.len()];
    let mut nearest = f64::INFINITY;
    for border in &regions.borders {
        let [from, to] = border.ends.map(|end| plan.points[end]);
        nearest = nearest.min(distance(disc.centre, from, to));
        // Which way the border crosses the ray from the centre along +x.
        let (low, high) = (from[1] <= disc.centre[1], to[1] <= disc.centre[1]);
        let cross = (to[0] - from[0]) * (disc.centre[1] - from[1])
            - (disc.centre[0] - from[0]) * (to[1] - from[1]);
        let crosses = match (low, high) {
            (true, false) if cross > 0.0 => 1,
            (false, true) if cross < 0.0 => -1,
            _ => continue,
        };
        for (region, sign) in [(border.left, 1), (border.right, -1)] {
            if let Some(region) = region {
                winding[region] += sign * crosses;
            }
        }
    }
    let region = winding.iter().position(|&turns| turns > 0)?;
    let in_face = matches!(regions.grounds[region], Ground::Face(_));
    (in_face && nearest >= disc.radius_mm + air_mm).then_some(region)
}

/// How far a point lies from a straight stretch.
fn distance(point: [f64; 2], from: [f64; 2], to: [f64; 2]) -> f64 {
    let run = [to[0] - from[0], to[1] - from[1]];
    let to_point = [point[0] - from[0], point[1] - from[1]];
    let length = run[0] * run[0] + run[1] * run[1];
    let share = ((to_point[0] * run[0] + to_point[1] * run[1]) / length).clamp(0.0, 1.0);
    (to_point[0] - share * run[0]).hypot(to_point[1] - share * run[1])
}

/// Adds the walls and the floor of a pocket; the hole that its rim makes in the face.
pub(crate) fn sink(builder: &mut Builder<'_>, disc: &Disc, face: &Arch) -> Vec<Way> {
    let [x, y] = disc.centre;
    let ends = [[x + disc.radius_mm, y], [x - disc.radius_mm, y]];
    let high = ends.map(|[x, y]| builder.place([x, y, face.height([x, y])]));
    let low = ends.map(|[x, y]| builder.place([x, y, disc.floor_mm]));
    let halves = |points: [usize; 2]| [points, [points[1], points[0]]];
    let rims = [(0.0, halves(high)[0]), (PI, halves(high)[1])]
        .map(|(turn, ends)| builder.add_edge(ends, half_rim(disc, face, turn)));
    let round = halves(low).map(|ends| builder.add_edge(ends, circle(disc, disc.floor_mm)));
    let seams = [0, 1].map(|i| builder.add_edge([low[i], high[i]], Curve::Line));
    let way = |edge, forward| Way { edge, forward };
    for half in [0, 1] {
        // Seen from the middle of the pocket.
        builder.shell.faces.push(Face {
            surface: Surface::Pocket {
                centre: [x, y, disc.floor_mm],
                radius_mm: disc.radius_mm,
            },
            loops: vec![vec![
                way(round[half], false),
                way(seams[half], true),
                way(rims[half], true),
                way(seams[1 - half], false),
            ]],
        });
    }
    builder.shell.faces.push(Face {
        surface: Surface::Plane {
            origin: [x, y, disc.floor_mm],
            normal: [0.0, 0.0, 1.0],
            along: [1.0, 0.0, 0.0],
        },
        loops: vec![round.map(|edge| way(edge, true)).to_vec()],
    });
    vec![way(rims[1], false), way(rims[0], false)]
}

fn circle(disc: &Disc, height_mm: f64) -> Curve {
    Curve::Circle {
        centre: [disc.centre[0], disc.centre[1], height_mm],
        axis: [0.0, 0.0, 1.0],
        zero: [1.0, 0.0, 0.0],
        radius_mm: disc.radius_mm,
    }
}

/// Half of the rim, from an angle on through half a turn.
fn half_rim(disc: &Disc, face: &Arch, from: f64) -> Curve {
    if face.is_flat() && face.crown_slope() == 0.0 {
        return circle(disc, face.crown(disc.centre[0]));
    }
    let mut count = 8;
    loop {
        let poles = rim_poles(disc, face, from, count);
        if count >= MOST_CUBICS || rim_error_mm(disc, face, &poles) < RIM_MM {
            return Curve::Cubics { poles };
        }
        count *= 2;
    }
}

/// Cubics that meet the circle's usual one in plan, and the face's height and slope at their ends.
fn rim_poles(disc: &Disc, face: &Arch, from: f64, count: usize) -> Vec<[f64; 3]> {
    let step = PI / count as f64;
    let arm = 4.0 / 3.0 * (0.25 * step).tan() * disc.radius_mm;
    let mut poles = Vec::with_capacity(2 * count + 2);
    for index in 0..=count {
        let (sin, cos) = (from + step * index as f64).sin_cos();
        let at = [
            disc.centre[0] + disc.radius_mm * cos,
            disc.centre[1] + disc.radius_mm * sin,
        ];
        let slopes = face.slopes(at);
        let point = [at[0], at[1], face.height(at)];
        let tangent = [-sin, cos, slopes[1] * cos - slopes[0] * sin];
        let along = |share: f64| [0, 1, 2].map(|i| point[i] + share * arm * tangent[i]);
        match index {
            0 => poles.extend([point, along(1.0)]),
            last if last == count => poles.extend([along(-1.0), point]),
            _ => poles.extend([along(-1.0), along(1.0)]),
        }
    }
    poles
}

/// How far the cubics lie off the wall and off the face at most, sampled.
fn rim_error_mm(disc: &Disc, face: &Arch, poles: &[[f64; 3]]) -> f64 {
    let halfway = |a: [f64; 3], b: [f64; 3]| [0, 1, 2].map(|i| 0.5 * (a[i] + b[i]));
    let inner = &poles[1..poles.len() - 1];
    let mut worst = 0.0f64;
    for (index, pair) in inner.chunks_exact(2).enumerate() {
        // The pole where two cubics meet lies halfway between its neighbours.
        let start = if index == 0 {
            poles[0]
        } else {
            halfway(inner[2 * index - 1], pair[0])
        };
        let end = match inner.get(2 * index + 2) {
            Some(&next) => halfway(pair[1], next),
            None => poles[poles.len() - 1],
        };
        for t in [0.2, 0.35, 0.5, 0.65, 0.8] {
            let s: f64 = 1.0 - t;
            let weights = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
            let of = |i: usize| {
                weights[0] * start[i]
                    + weights[1] * pair[0][i]
                    + weights[2] * pair[1][i]
                    + weights[3] * end[i]
            };
            let at = [of(0), of(1)];
            let out = (at[0] - disc.centre[0]).hypot(at[1] - disc.centre[1]);
            worst = worst.max((out - disc.radius_mm).abs());
            worst = worst.max((of(2) - face.height(at)).abs());
        }
    }
    worst
}
