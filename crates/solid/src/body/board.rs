//! The board as a solid, whole or with its slots, its ledges for binding and its pockets for dots.

use instrument::frets::SlotFloor;
use instrument::outline::{Edge, Outline};
use instrument::{Instrument, fret_name};

use super::arch::Arch;
use super::plan::{Line, Plan};
use super::pockets::region_with_room;
use super::regions::{Regions, merged};
use super::relief::{Disc, Floor, Ground, Relief, Slot, Strip};
use super::{Body, BodyError, made};
use crate::ruled;

/// What must stay under slots, ledges and edges, mm.
const LEAST_WOOD_MM: f64 = 0.1;

/// The least step between two floors that a body tells apart, mm.
const LEAST_STEP_MM: f64 = 0.001;

/// A corner that lies this near to a line lies on it, mm.
const SNAP_MM: f64 = 1e-5;

/// The least wood round a pocket and between two slots, mm.
const LEAST_AIR_MM: f64 = 0.02;

/// A radius is no less than this times the reach of the board, so that no edge stands upright.
const LEAST_REACH: f64 = 1.001;

/// Whether something is cut into the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// It is cut.
    Cut,
    /// The wood is left whole there.
    Left,
}

/// What is cut into the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoardParts {
    /// The slots, to the depth of the sheet. On a bound board they stop at the strips.
    pub slots: Part,
    /// Room for the binding: the board's wood alone, down to the ledge or without the strip.
    /// Left, the body is the finished board with its binding.
    pub rebate: Part,
    /// The pockets for dots.
    pub dots: Part,
}

/// The finished board as a solid: exact camber, slots with their true floors.
///
/// A dot that has no room in one smooth piece of the face is left out, and the notes say so.
///
/// Errors: when a slot leaves no wood under it or does not stay in the wood, slots touch, a ledge
/// is no lower than the face, or an edge has no wood.
pub fn board_body(instrument: &Instrument, parts: BoardParts) -> Result<Body, BodyError> {
    let (outline, strips) = sides(instrument, parts)?;
    let (from, to) = outline.reach();
    let pieces = ruled(&instrument.camber, from, to).pieces;
    let mut notes = Vec::new();
    let slots = match parts.slots {
        Part::Cut => slots(instrument, &outline, &strips, &mut notes)?,
        Part::Left => Vec::new(),
    };
    let [nut_treble, end_treble, end_bass, nut_bass] = outline.corners();
    let mut relief = Relief {
        base_mm: -instrument.wood.crown_thickness_mm,
        corners: [nut_bass, end_bass, end_treble, nut_treble].map(|(x, y)| [x, y]),
        faces: pieces.iter().map(Arch::finished).collect(),
        slots,
        strips,
        discs: Vec::new(),
    };
    let (plan, cells) = relief.cells(SNAP_MM);
    let grounds: Vec<Ground> = cells
        .iter()
        .map(|cell| relief.ground(plan.centre(cell)))
        .collect();
    let regions = merged(&plan, &cells, &grounds);
    check(&relief, &plan, &regions)?;
    if parts.dots == Part::Cut {
        relief.discs = discs(instrument, &relief, &plan, &regions, &mut notes)?;
    }
    let title = format!("{} board", instrument.title);
    made(title, notes, relief, (plan, regions))
}

/// The outline of the wood, and the strips inside it along both edges.
fn sides(instrument: &Instrument, parts: BoardParts) -> Result<(Outline, Vec<Strip>), BodyError> {
    let whole = instrument.outline;
    let Some(binding) = instrument
        .wood
        .binding
        .filter(|binding| binding.width_mm > 0.0)
    else {
        return Ok((whole, Vec::new()));
    };
    let inner = narrower(&whole, binding.width_mm);
    let (from, to) = inner.reach();
    let left_mm = inner.width(from).min(inner.width(to));
    if left_mm.is_nan() || left_mm < 1.0 {
        return Err(BodyError::NothingBetweenStrips { left_mm });
    }
    let ledge_mm = match parts.rebate {
        Part::Cut if binding.ledge_mm == 0.0 => return Ok((inner, Vec::new())),
        Part::Cut => Some(binding.ledge_mm - instrument.wood.crown_thickness_mm),
        Part::Left if parts.slots == Part::Left => return Ok((whole, Vec::new())),
        Part::Left => None,
    };
    let strip = |edge: Edge, sign: f64| Strip {
        // sign · y = at_nut + rise · x, outside positive.
        line: Line::new(-edge.rise, sign, edge.at_nut_mm),
        ledge_mm,
    };
    Ok((
        whole,
        vec![strip(inner.treble, 1.0), strip(inner.bass, -1.0)],
    ))
}

/// The outline within strips of a width that is measured across the board, as the sheet does.
fn narrower(outline: &Outline, by_mm: f64) -> Outline {
    let inner = |edge: Edge| Edge {
        at_nut_mm: edge.at_nut_mm - by_mm,
        ..edge
    };
    Outline {
        treble: inner(outline.treble),
        bass: inner(outline.bass),
        ..*outline
    }
}

/// The slots of all frets, each as deep as the sheet says.
fn slots(
    instrument: &Instrument,
    outline: &Outline,
    strips: &[Strip],
    notes: &mut Vec<String>,
) -> Result<Vec<Slot>, BodyError> {
    let spec = &instrument.fret_spec;
    let ledge_mm = strips.first().and_then(|strip| strip.ledge_mm);
    let mut slots: Vec<Slot> = Vec::with_capacity(instrument.frets.len());
    for (fret, line) in instrument.frets.iter().enumerate().skip(1) {
        let depth = instrument.slot_depth_mm(line.x_mm);
        let floor = match spec.slot_floor {
            SlotFloor::FollowsCamber => Floor::Under(depth),
            SlotFloor::Flat => {
                let height = -instrument.camber.fall(line.x_mm) - depth;
                match ledge_mm.filter(|ledge| (ledge - height).abs() < LEAST_STEP_MM) {
                    Some(ledge) if ledge != height => {
                        notes.push(format!(
                            "the floor of fret {fret}'s slot was moved {:.5} mm, to the ledge",
                            ledge - height
                        ));
                        Floor::Level(ledge)
                    }
                    _ => Floor::Level(height),
                }
            }
        };
        let wall = |side: f64| {
            let middle = Line::new(1.0, -line.slope, line.x_mm);
            Line {
                c: middle.c + 0.5 * side * spec.slot_width_mm,
                ..middle
            }
        };
        let slot = Slot {
            fret,
            walls: [wall(-1.0), wall(1.0)],
            floor,
        };
        if let Some(before) = slots.last() {
            check_between(outline, before, &slot)?;
        }
        slots.push(slot);
    }
    Ok(slots)
}

/// Between two slots wood must stand at both edges.
fn check_between(outline: &Outline, before: &Slot, slot: &Slot) -> Result<(), BodyError> {
    let (from, to) = outline.reach();
    let half_width = outline.half_width(from).max(outline.half_width(to));
    let (far, near) = (before.walls[1], slot.walls[0]);
    for y in [-half_width, half_width] {
        let x = |line: Line| (line.c - line.b * y) / line.a;
        let between_mm = x(near) - x(far);
        if between_mm.is_nan() || between_mm < LEAST_AIR_MM {
            return Err(BodyError::SlotsMeet {
                fret: before.fret,
                between_mm,
            });
        }
    }
    Ok(())
}

/// Along a straight border the face arches upward between its ends, so that what holds at the
/// ends of all borders holds everywhere.
fn check(relief: &Relief, plan: &Plan, regions: &Regions) -> Result<(), BodyError> {
    for border in &regions.borders {
        for end in border.ends {
            let at = plan.points[end];
            for region in [border.left, border.right].into_iter().flatten() {
                check_wood(relief, regions.grounds[region], at)?;
            }
        }
        if let (Some(left), Some(right)) = (border.left, border.right) {
            let ends = border.ends.map(|end| plan.points[end]);
            check_step(
                relief,
                [regions.grounds[left], regions.grounds[right]],
                ends,
            )?;
        }
    }
    Ok(())
}

/// The arch reaches every edge, and wood stays under every floor.
fn check_wood(relief: &Relief, ground: Ground, at: [f64; 2]) -> Result<(), BodyError> {
    let surface = relief.surface(ground);
    let (radius_mm, least_mm) = (surface.radius(at[0]), LEAST_REACH * at[1].abs());
    if radius_mm.is_nan() || radius_mm < least_mm {
        return Err(BodyError::TooTight {
            x_mm: at[0],
            radius_mm,
            least_mm,
        });
    }
    let left_mm = surface.height(at) - relief.base_mm;
    if left_mm >= LEAST_WOOD_MM {
        return Ok(());
    }
    let least_mm = LEAST_WOOD_MM;
    Err(match ground {
        Ground::Level(slot) | Ground::Under(slot, _) => BodyError::SlotThroughBoard {
            fret: relief.slots[slot].fret,
            left_mm,
            least_mm,
        },
        _ => BodyError::TooThin {
            x_mm: at[0],
            left_mm,
            least_mm,
        },
    })
}

/// Floors lie under the face, and floors beside one another are level or a step apart.
fn check_step(relief: &Relief, grounds: [Ground; 2], ends: [[f64; 2]; 2]) -> Result<(), BodyError> {
    let [left, right] = grounds.map(|ground| relief.surface(ground));
    let rises = ends.map(|at| right.height(at) - left.height(at));
    let slot_of = |ground| match ground {
        Ground::Level(slot) | Ground::Under(slot, _) => Some(slot),
        _ => None,
    };
    let slot = slot_of(grounds[0]).or(slot_of(grounds[1]));
    let under = match grounds {
        [Ground::Face(_), Ground::Face(_)] | [Ground::Under(..), Ground::Under(..)] => {
            return Ok(());
        }
        [Ground::Face(_), _] => rises.map(|rise| -rise),
        [_, Ground::Face(_)] => rises,
        // A slot's floor beside a ledge: on one height, or clearly the same one lower at both ends.
        _ if rises == [0.0; 2] => return Ok(()),
        _ if rises[0] < 0.0 => rises.map(|rise| -rise),
        _ => rises,
    };
    let [x_mm, under_mm] = if under[0] < under[1] {
        [ends[0][0], under[0]]
    } else {
        [ends[1][0], under[1]]
    };
    if under_mm >= LEAST_STEP_MM {
        return Ok(());
    }
    Err(match slot {
        Some(slot) => BodyError::SlotRunsOut {
            fret: relief.slots[slot].fret,
            x_mm,
            under_mm,
        },
        None => {
            let ledge_mm = left.height(ends[0]).max(right.height(ends[0])) - relief.base_mm;
            BodyError::LedgeTooHigh {
                ledge_mm,
                x_mm,
                edge_mm: ledge_mm + under_mm,
            }
        }
    })
}

/// The pockets that have room; what has none goes into the notes.
fn discs(
    instrument: &Instrument,
    relief: &Relief,
    plan: &Plan,
    regions: &Regions,
    notes: &mut Vec<String>,
) -> Result<Vec<Disc>, BodyError> {
    let mut discs: Vec<Disc> = Vec::with_capacity(instrument.dots.len());
    for dot in &instrument.dots {
        let mut disc = Disc {
            centre: [dot.x_mm, dot.y_mm],
            radius_mm: 0.5 * dot.diameter_mm,
            floor_mm: 0.0,
            region: 0,
        };
        let apart = |other: &Disc| {
            let [x, y] = [0, 1].map(|i| other.centre[i] - disc.centre[i]);
            x.hypot(y) >= other.radius_mm + disc.radius_mm + LEAST_AIR_MM
        };
        let room = region_with_room(plan, regions, &disc, LEAST_AIR_MM)
            .filter(|_| discs.iter().all(apart));
        let mut leave_out = |why: &str| {
            let name = fret_name(dot.fret);
            notes.push(format!(
                "the dot behind {name}, {:.1} mm from the centreline, is left out: {why}",
                dot.y_mm
            ));
        };
        let Some(region) = room else {
            leave_out("it would touch a slot, an edge, another dot or a kink of the camber");
            continue;
        };
        let face = relief.surface(regions.grounds[region]);
        disc.region = region;
        disc.floor_mm = face.height(disc.centre) - dot.depth_mm;
        if lowest_rim_mm(&face, &disc) - disc.floor_mm < LEAST_STEP_MM {
            leave_out("its pocket is shallower than the face falls across it");
            continue;
        }
        let left_mm = disc.floor_mm - relief.base_mm;
        if left_mm.is_nan() || left_mm < LEAST_WOOD_MM {
            return Err(BodyError::TooThin {
                x_mm: dot.x_mm,
                left_mm,
                least_mm: LEAST_WOOD_MM,
            });
        }
        discs.push(disc);
    }
    Ok(discs)
}

/// The face's least height on a pocket's rim, less than a thousandth of the rim's own fall off.
fn lowest_rim_mm(face: &Arch, disc: &Disc) -> f64 {
    let step = std::f64::consts::TAU / 96.0;
    let height = |index: u32| {
        let (sin, cos) = (step * f64::from(index)).sin_cos();
        face.height([
            disc.centre[0] + disc.radius_mm * cos,
            disc.centre[1] + disc.radius_mm * sin,
        ])
    };
    (0..96).map(height).fold(f64::INFINITY, f64::min)
}
