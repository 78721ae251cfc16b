//! A closed shell: points, edges with their curves, faces with their surfaces.

/// A curve between two points.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Curve {
    /// Straight.
    Line,
    /// A turn about `axis` from the edge's first point to its second.
    Circle {
        centre: [f64; 3],
        axis: [f64; 3],
        /// The direction from which angles are counted.
        zero: [f64; 3],
        radius_mm: f64,
    },
    /// A rational parabola; its ends weigh 1.
    Conic { pole: [f64; 3], weight: f64 },
    /// A chain of cubics that meet smoothly: three poles for each after the first.
    Cubics { poles: Vec<[f64; 3]> },
}

/// A surface. Its normal points out of the wood unless the face says otherwise.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Surface {
    Plane {
        origin: [f64; 3],
        normal: [f64; 3],
        /// A direction in the plane.
        along: [f64; 3],
    },
    /// Straight along, a chain of circular arcs across: two rows of poles with one row of weights.
    Patch {
        poles: [Vec<[f64; 3]>; 2],
        weights: Vec<f64>,
        /// Length along and breadth across, mm: how far its parameters run.
        size_mm: [f64; 2],
    },
    /// An upright round wall; the wood is outside.
    Pocket { centre: [f64; 3], radius_mm: f64 },
}

/// An edge from one point to another.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Edge {
    pub ends: [usize; 2],
    pub curve: Curve,
}

/// An edge as a loop goes along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Way {
    pub edge: usize,
    pub forward: bool,
}

/// A face: what lies left of its loops, seen from outside. The first loop is the outer one.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Face {
    pub surface: Surface,
    pub loops: Vec<Vec<Way>>,
}

/// A closed shell.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shell {
    pub points: Vec<[f64; 3]>,
    pub edges: Vec<Edge>,
    pub faces: Vec<Face>,
}

impl Shell {
    /// True when every loop runs end to end, and every edge is gone along once each way.
    pub fn is_closed(&self) -> bool {
        let mut uses = vec![[0u32; 2]; self.edges.len()];
        for ways in self.faces.iter().flat_map(|face| &face.loops) {
            let next = ways.iter().cycle().skip(1);
            for (way, next) in ways.iter().zip(next) {
                uses[way.edge][usize::from(way.forward)] += 1;
                if self.ends(*way)[1] != self.ends(*next)[0] {
                    return false;
                }
            }
        }
        uses.iter().all(|counts| *counts == [1, 1])
    }

    fn ends(&self, way: Way) -> [usize; 2] {
        let [from, to] = self.edges[way.edge].ends;
        if way.forward { [from, to] } else { [to, from] }
    }
}
