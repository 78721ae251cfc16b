//! Polygons and upright walls as triangles.

/// Triangles of a convex polygon given counterclockwise, as places in its list. Corners may lie
/// on a straight side, and every corner belongs to a triangle.
///
/// The smallest ear goes first: what is left then always encloses an area, so that the corners
/// never run out into a straight line.
pub(crate) fn of_polygon(corners: &[[f64; 2]]) -> Vec<[usize; 3]> {
    let mut left: Vec<usize> = (0..corners.len()).collect();
    let mut triangles = Vec::with_capacity(corners.len().saturating_sub(2));
    while left.len() > 3 {
        let count = left.len();
        let ear = |i: usize| {
            [
                left[(i + count - 1) % count],
                left[i],
                left[(i + 1) % count],
            ]
        };
        let area = |i: usize| twice_area(ear(i).map(|corner| corners[corner]));
        let smallest = (0..count)
            .map(|i| (i, area(i)))
            .filter(|(_, area)| *area > LEAST_EAR_MM2)
            .min_by(|a, b| a.1.total_cmp(&b.1));
        // A polygon thinner than that is no more than a line: any ear will do.
        let at = smallest.map_or(1, |(i, _)| i);
        triangles.push(ear(at));
        left.remove(at);
    }
    if let [a, b, c] = left[..] {
        triangles.push([a, b, c]);
    }
    triangles
}

/// Ears smaller than this are straight sides, mm².
const LEAST_EAR_MM2: f64 = 1e-9;

fn twice_area([a, b, c]: [[f64; 2]; 3]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
}

/// Triangles between two upright chains of points, each from one floor to the other: they begin
/// with the stretch between both first points and end with that between both last ones.
pub(crate) fn between_chains(
    near: &[usize],
    far: &[usize],
    height: impl Fn(usize) -> f64,
) -> Vec<[usize; 3]> {
    let mut triangles = Vec::with_capacity(near.len() + far.len());
    let rise = |chain: &[usize], at: usize| (height(chain[at]) - height(chain[0])).abs();
    let (mut i, mut j) = (0, 0);
    while i + 1 < near.len() || j + 1 < far.len() {
        let near_next =
            i + 1 < near.len() && (j + 1 == far.len() || rise(near, i + 1) <= rise(far, j + 1));
        if near_next {
            triangles.push([near[i], far[j], near[i + 1]]);
            i += 1;
        } else {
            triangles.push([near[i], far[j], far[j + 1]]);
            j += 1;
        }
    }
    triangles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_polygon_with_corners_on_its_sides_is_filled_and_none_is_left_out() {
        let mut corners = vec![[0.0, 0.0]];
        corners.extend((1..8).map(|x| [f64::from(x), 0.0]));
        corners.extend([
            [8.0, 0.0],
            [8.0, 0.5],
            [8.0, 1.0],
            [5.0, 1.0],
            [2.0, 1.0],
            [0.0, 1.0],
        ]);
        let triangles = of_polygon(&corners);
        assert_eq!(triangles.len(), corners.len() - 2);
        let areas: Vec<f64> = triangles
            .iter()
            .map(|triangle| 0.5 * twice_area(triangle.map(|at| corners[at])))
            .collect();
        assert!(areas.iter().all(|area| *area > 1e-3), "{areas:?}");
        assert!((areas.iter().sum::<f64>() - 8.0).abs() < 1e-12);
        for corner in 0..corners.len() {
            assert!(triangles.iter().flatten().any(|at| *at == corner));
        }
    }

    #[test]
    fn chains_of_different_length_are_filled_from_floor_to_floor() {
        let heights = [0.0, 1.0, 3.0, 0.0, 3.0];
        let triangles = between_chains(&[0, 1, 2], &[3, 4], |at| heights[at]);
        assert_eq!(triangles, [[0, 3, 1], [1, 3, 2], [2, 3, 4]]);
        assert!(between_chains(&[0], &[3], |at| heights[at]).is_empty());
    }
}
