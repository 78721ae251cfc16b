//! What a reading says of the surface: a sum of heights of the wood at a few spots, and the value
//! or the window in which that sum was found.

use instrument::Radius;
use instrument::arc::drop;

use crate::bell::Window;
use crate::reading::{Amount, Chalk, ChalkTool, Gap, Reading, Seen, Spot, What};
use crate::ruling::{BESIDE_MM, rests};
use crate::wood::{Row, Wood};

/// A reading as a statement on the wood.
#[derive(Clone, Debug, PartialEq)]
pub struct Statement {
    /// The spots whose heights it sums, each with its factor.
    pub spots: Vec<(Spot, f64)>,
    /// The probe's set-up whose datum is added, for heights.
    pub set_up: Option<usize>,
    /// What was found.
    pub found: Found,
    /// Its standard uncertainty, mm.
    pub sigma_mm: f64,
    /// The sum at which the tool shows nothing: the figure as it was read is the sum less this, mm.
    pub zero_mm: f64,
}

/// What was found of a sum of heights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Found {
    /// A value, mm.
    Value(f64),
    /// Only that it lies in a window, mm.
    Within(Window),
}

impl Statement {
    /// The sum of heights that the unknowns give, with its row of derivatives.
    pub fn sum(&self, wood: &Wood<'_>, unknowns: &[f64]) -> (f64, Row) {
        let mut row = Row::with_capacity(24 * self.spots.len() + 3);
        let mut sum = 0.0;
        for (spot, times) in &self.spots {
            sum += times * wood.add(unknowns, *spot, *times, &mut row);
        }
        if let (Some(set_up), Some((spot, _))) = (self.set_up, self.spots.first()) {
            sum += wood.add_datum(unknowns, set_up, *spot, &mut row);
        }
        (sum, row)
    }
}

impl Statement {
    /// How the sum bends by the knots of the camber: second derivatives.
    pub fn bend(&self, wood: &Wood<'_>, unknowns: &[f64]) -> Vec<(usize, usize, f64)> {
        let mut bend = Vec::with_capacity(4 * self.spots.len());
        for (spot, times) in &self.spots {
            bend.extend(
                wood.bend(unknowns, *spot)
                    .map(|(i, j, second)| (i, j, times * second)),
            );
        }
        bend
    }
}

/// The statement of a reading before anything is known of the wood that chalk was rubbed on: chalk
/// says nothing yet.
pub fn statement_without_chalk(reading: &Reading, wood: &Wood<'_>, unknowns: &[f64]) -> Statement {
    match &reading.what {
        What::Chalk { at, .. } => silent(*at),
        _ => statement(reading, wood, unknowns),
    }
}

/// The statement that a reading makes. `unknowns` is the wood as it is thought of now: chalk
/// needs it, because which spots a tool rests on depends on the wood.
pub fn statement(reading: &Reading, wood: &Wood<'_>, unknowns: &[f64]) -> Statement {
    let sigma_mm = reading.sigma_mm;
    match &reading.what {
        What::Height {
            set_up,
            at,
            height_mm,
        } => Statement {
            spots: vec![(*at, 1.0)],
            set_up: Some(*set_up),
            found: Found::Value(*height_mm),
            sigma_mm,
            zero_mm: 0.0,
        },
        What::Thickness { at, thickness_mm } => {
            let over_finished = thickness_mm - wood.instrument.wood.crown_thickness_mm;
            Statement {
                zero_mm: -wood.instrument.wood.crown_thickness_mm,
                ..plain(vec![(*at, 1.0)], Found::Value(over_finished), sigma_mm)
            }
        }
        What::Sagitta {
            chord_mm,
            x_mm,
            sagitta_mm,
        } => plain(
            rise(*x_mm, 0.5 * chord_mm),
            Found::Value(*sagitta_mm),
            sigma_mm,
        ),
        What::Light {
            gauge,
            x_mm,
            half_width_mm,
            seen,
        } => light(*gauge, *x_mm, *half_width_mm, *seen, sigma_mm),
        What::Gap { from, to, at, gap } => {
            let found = match gap {
                Gap::Mm(gap) => Found::Value(*gap),
                // It does not rock either: a hump of that height would have been felt.
                Gap::None { least_mm } => Found::Within(Window {
                    low: -least_mm,
                    high: *least_mm,
                }),
            };
            plain(under_chord(*from, *to, *at, 1.0), found, sigma_mm)
        }
        What::Rock {
            from,
            to,
            at,
            hump_mm,
        } => plain(
            under_chord(*from, *to, *at, -1.0),
            above(*hump_mm),
            sigma_mm,
        ),
        What::Chalk {
            tool,
            at,
            chalk,
            layer_mm,
        } => {
            let rubbed = Rubbed {
                at: *at,
                chalk: *chalk,
                layer_mm: *layer_mm,
                sigma_mm,
            };
            match tool {
                ChalkTool::Block(radius) => under_block(wood, unknowns, *radius, &rubbed),
                ChalkTool::Beam => under_beam(wood, unknowns, &rubbed),
            }
        }
    }
}

fn plain(spots: Vec<(Spot, f64)>, found: Found, sigma_mm: f64) -> Statement {
    Statement {
        spots,
        set_up: None,
        found,
        sigma_mm,
        zero_mm: 0.0,
    }
}

fn below(limit: f64) -> Found {
    Found::Within(Window {
        low: f64::NEG_INFINITY,
        high: limit,
    })
}

fn above(limit: f64) -> Found {
    Found::Within(Window {
        low: limit,
        high: f64::INFINITY,
    })
}

/// The crown's height over the middle of two spots at `half` to both sides: the rise of the arch.
pub fn rise(x_mm: f64, half: f64) -> Vec<(Spot, f64)> {
    let at = |y_mm| Spot { x_mm, y_mm };
    vec![(at(0.0), 1.0), (at(half), -0.5), (at(-half), -0.5)]
}

/// How far a spot lies under the straight line between two others, times `sign`.
fn under_chord(from: Spot, to: Spot, at: Spot, sign: f64) -> Vec<(Spot, f64)> {
    let share = share_between(from, to, at);
    vec![
        (from, sign * (1.0 - share)),
        (to, sign * share),
        (at, -sign),
    ]
}

/// How far along the way from one spot to another a third one lies.
fn share_between(from: Spot, to: Spot, at: Spot) -> f64 {
    let (dx, dy) = (to.x_mm - from.x_mm, to.y_mm - from.y_mm);
    ((at.x_mm - from.x_mm) * dx + (at.y_mm - from.y_mm) * dy) / (dx * dx + dy * dy)
}

/// Light at the edges is the arch's rise over the gauge's: `rise - drop(R_g, a)`; light at the
/// crown is the same with the other sign.
fn light(gauge: Radius, x_mm: f64, half: f64, seen: Seen, sigma_mm: f64) -> Statement {
    let even = drop(gauge, half);
    let (found, sigma_mm) = match seen {
        Seen::Nothing { smallest_mm } => (
            Found::Within(Window {
                low: even - smallest_mm,
                high: even + smallest_mm,
            }),
            sigma_mm,
        ),
        Seen::Edges(Amount::Mm(light)) => (Found::Value(even + light), sigma_mm),
        Seen::Edges(Amount::AtLeast(light)) => (above(even + light), sigma_mm),
        Seen::Crown(Amount::Mm(light)) => (Found::Value(even - light), sigma_mm),
        Seen::Crown(Amount::AtLeast(light)) => (below(even - light), sigma_mm),
        Seen::OneEdge {
            light_mm,
            smallest_mm,
        } => {
            let (mean, sigma) = tipped(light_mm, smallest_mm, sigma_mm);
            (Found::Value(even + mean), sigma)
        }
    };
    Statement {
        zero_mm: even,
        ..plain(rise(x_mm, half), found, sigma_mm)
    }
}

/// The light that a level gauge would show at both edges, from the light of one that tipped:
/// mean and standard uncertainty.
///
/// A gauge that touches at `y0` stands off by `q (y - y0)²`, so that with a dark edge at `-a`,
/// where up to m = `smallest` is missed, `√light = 2a√q - e` with e between 0 and √m. Level, it
/// would show `q a² = ((√light + e)/2)²`; e is taken as even between its limits.
fn tipped(light: f64, smallest: f64, sigma: f64) -> (f64, f64) {
    let (s, m) = (light.sqrt(), smallest.max(1e-9).sqrt());
    let power = |n: i32| ((s + m).powi(n + 1) - s.powi(n + 1)) / (f64::from(n + 1) * m);
    let mean = 0.25 * power(2);
    let of_tip = (power(4) / 16.0 - mean * mean).max(0.0);
    let of_eye = 0.25 * (1.0 + 0.5 * m / s) * sigma;
    (mean, (of_tip + of_eye * of_eye).sqrt())
}

/// A patch of chalk that was rubbed over.
struct Rubbed {
    at: Spot,
    chalk: Chalk,
    layer_mm: f64,
    sigma_mm: f64,
}

impl Rubbed {
    /// Chalk goes where the tool stands off by less than the chalk lies thick.
    fn found(&self, standing_off: f64) -> Found {
        match self.chalk {
            Chalk::Gone => below(self.layer_mm - standing_off),
            Chalk::Stayed => above(self.layer_mm - standing_off),
        }
    }
}

/// A block square across the board rests on the crown or on both edges, whichever stands
/// further out of its own arch, the patch itself left out.
fn under_block(wood: &Wood<'_>, unknowns: &[f64], radius: Radius, rubbed: &Rubbed) -> Statement {
    let Spot { x_mm, y_mm } = rubbed.at;
    let half = wood.instrument.outline.gauge_reach(x_mm);
    let at = |y_mm| Spot { x_mm, y_mm };
    let on_crown = vec![(at(0.0), 1.0)];
    let on_edges = vec![(at(half), 0.5), (at(-half), 0.5)];
    let over_arch = |spots: &[(Spot, f64)]| -> f64 {
        spots
            .iter()
            .map(|(spot, times)| times * (wood.height(unknowns, *spot) + drop(radius, spot.y_mm)))
            .sum()
    };
    let crown_is_patch = y_mm.abs() < BESIDE_MM;
    let edge_is_patch = (half - y_mm.abs()) < BESIDE_MM;
    let rests_on_crown = edge_is_patch
        || (!crown_is_patch && over_arch(&on_crown) >= over_arch(&on_edges) - ALIKE_MM);
    let rest = if rests_on_crown { on_crown } else { on_edges };
    // The tool stands off the patch by (rest over its arch) - (patch over its arch).
    let of_arch: f64 = rest
        .iter()
        .map(|(spot, times)| times * drop(radius, spot.y_mm))
        .sum::<f64>()
        - drop(radius, y_mm);
    let mut spots = rest;
    spots.push((rubbed.at, -1.0));
    plain(spots, rubbed.found(of_arch), rubbed.sigma_mm)
}

/// Rests that pass alike over a patch but for this, mm, are one: the first of them holds the tool.
const ALIKE_MM: f64 = 1e-9;

/// A statement that says nothing.
fn silent(at: Spot) -> Statement {
    let anything = Window {
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
    };
    plain(vec![(at, 1.0)], Found::Within(anything), 1.0)
}

/// A beam along the ruling through the patch rests on two spots, one on each side: those whose
/// straight line passes highest over the patch. Where nothing holds it on one side, which the
/// door refuses, the patch says nothing.
fn under_beam(wood: &Wood<'_>, unknowns: &[f64], rubbed: &Rubbed) -> Statement {
    let over = |near: Spot, far: Spot| {
        let share = share_between(near, far, rubbed.at);
        (1.0 - share) * wood.height(unknowns, near) + share * wood.height(unknowns, far)
    };
    let mut highest: Option<(f64, Spot, Spot)> = None;
    for (near, far) in rests(wood.instrument, rubbed.at) {
        let over = over(near, far);
        if highest.is_none_or(|(best, ..)| over > best + ALIKE_MM) {
            highest = Some((over, near, far));
        }
    }
    let Some((_, near, far)) = highest else {
        return silent(rubbed.at);
    };
    let spots = under_chord(near, far, rubbed.at, 1.0);
    plain(spots, rubbed.found(0.0), rubbed.sigma_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tipped_gauge_shows_four_times_the_light_at_one_edge() {
        // With an eye that misses nothing, q (2a)² at one edge is q a² at both (closed form).
        let (mean, sigma) = tipped(0.2, 1e-9, 0.01);
        assert!((mean - 0.05).abs() < 1e-5);
        assert!((sigma - 0.0025).abs() < 1e-4);
        // An eye that misses more leaves more to guess.
        let (mean, wide) = tipped(0.2, 0.02, 0.01);
        assert!(mean > 0.05 && wide > 2.0 * sigma);
    }

    #[test]
    fn the_chord_takes_its_ends_by_their_nearness() {
        let at = |x_mm: f64| Spot { x_mm, y_mm: 3.0 };
        let spots = under_chord(at(0.0), at(400.0), at(100.0), 1.0);
        let factors: Vec<f64> = spots.iter().map(|(_, times)| *times).collect();
        assert_eq!(factors, [0.75, 0.25, -1.0]);
    }
}
