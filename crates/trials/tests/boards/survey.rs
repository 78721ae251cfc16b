//! Every property of a plan, looked at on one board with one kit.

use bench::kit::Block;
use bench::plan::BLOCKS_ARE_ENOUGH_MM;
use bench::{BenchPlan, Kit, Stage, Work};
use instrument::Instrument;
use trials::{Camber, Commission, KitText};

use crate::common::{
    BESIDE_MM, LENGTH_ROUNDING_MM, drop_mm, finished_mm, plan, points, read_the_kit, try_read,
    zone_ends,
};

/// What a plan must keep to; each is a test of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Property {
    /// No cut goes below the finished surface, by the plan's own figures.
    NothingBelowFinish,
    /// The same by a height field on which the tools are moved one after the other.
    ToolsLeaveWhatIsSaid,
    /// A stage takes off and puts nothing on.
    OnlyRemoves,
    /// A stage begins on what the one before has left.
    BeginsWhereTheLastEnded,
    /// Volumes add up to what stood over the finished surface less what still does.
    VolumesAddUp,
    /// Crowns come down from stage to stage.
    CrownsFall,
    /// A plan that says so ends at the finished surface.
    EndsAtFinish,
    /// The flattest block comes first.
    FlattestFirst,
    /// On a board that flattens, each tighter block's zone lies within the one before, nutward.
    ZonesNested,
    /// A stage has a stretch of the board, front to back.
    StretchesLieOnTheBoard,
    /// Shares of strokes add up to one.
    StrokesAddUp,
    /// Every figure is a number.
    Numbers,
}

/// Where a property does not hold.
pub struct Fault {
    pub property: Property,
    /// By how much, in the unit of the property; 1 where there is no more or less.
    pub by: f64,
    pub what: String,
}

/// Keeps the worst fault of each property.
#[derive(Default)]
struct Faults {
    worst: Vec<Fault>,
}

impl Faults {
    /// Notes a fault when `by` is more than `bound`, or not a number.
    fn check(&mut self, property: Property, by: f64, bound: f64, what: impl Fn() -> String) {
        if by <= bound {
            return;
        }
        let known = self
            .worst
            .iter_mut()
            .find(|fault| fault.property == property);
        match known {
            Some(fault) if fault.by >= by => {}
            Some(fault) => {
                *fault = Fault {
                    property,
                    by,
                    what: what(),
                }
            }
            None => self.worst.push(Fault {
                property,
                by,
                what: what(),
            }),
        }
    }

    fn unless(&mut self, holds: bool, property: Property, what: impl Fn() -> String) {
        self.check(property, if holds { 0.0 } else { 1.0 }, 0.0, what);
    }
}

/// The faults of one seed, the worst of each property; nothing when the board cannot be read.
pub fn look(board: &Commission, kit: &KitText) -> Option<Vec<Fault>> {
    let instrument = try_read(board)?;
    let kit = read_the_kit(kit);
    let plan = plan(&instrument, &kit);
    let sight = Sight {
        board,
        instrument: &instrument,
        kit: &kit,
        plan: &plan,
    };
    let mut faults = Faults::default();
    sight.surfaces(&mut faults);
    sight.volumes(&mut faults);
    sight.crowns(&mut faults);
    sight.blocks(&mut faults);
    sight.stretches(&mut faults);
    sight.numbers(&mut faults);
    Some(faults.worst)
}

struct Sight<'a> {
    board: &'a Commission,
    instrument: &'a Instrument,
    kit: &'a Kit,
    plan: &'a BenchPlan,
}

impl Sight<'_> {
    /// Moves the tools over a height field, stage by stage, and compares with what is said.
    fn surfaces(&self, out: &mut Faults) {
        let instrument = self.instrument;
        let points = points(instrument, 14, 6, &zone_ends(self.plan));
        let finished: Vec<f64> = points
            .iter()
            .map(|at| finished_mm(instrument, *at))
            .collect();
        let blank_mm = self.plan.start_mm - instrument.wood.crown_thickness_mm;
        let mut wood = vec![blank_mm; points.len()];
        let mut ended: Vec<f64> = finished
            .iter()
            .map(|finished| blank_mm - finished)
            .collect();
        for (number, stage) in self.plan.stages.iter().enumerate() {
            for (index, &(x, y)) in points.iter().enumerate() {
                let at = || format!("stage {number} ({}) at ({x:.3}, {y:.3})", stage.key);
                let was = stage.before.height_mm(instrument, x, y);
                let is = stage.after.height_mm(instrument, x, y);
                wood[index] = wood[index].min(self.tool_face(stage, x, y));
                let over = wood[index] - finished[index];
                let depth = stage.depth_mm(instrument, x, y);
                let bound = LENGTH_ROUNDING_MM;
                out.check(Property::NothingBelowFinish, -is, bound, || {
                    format!("{}: {is}", at())
                });
                out.check(Property::OnlyRemoves, -depth, bound, || {
                    format!("{}: {depth}", at())
                });
                let gap = (was - ended[index]).abs();
                out.check(Property::BeginsWhereTheLastEnded, gap, bound, || {
                    format!(
                        "{}: begins at {was}, the wood stands at {}",
                        at(),
                        ended[index]
                    )
                });
                // Where blocks are the camber to within a stated hair, a beam may count as
                // going along with them or as taking the hair off.
                let hair = if self.plan.blocks_leave.max_mm < BLOCKS_ARE_ENOUGH_MM {
                    self.plan.blocks_leave.max_mm
                } else {
                    0.0
                };
                let gap = (over - is).abs().max(-over);
                out.check(Property::ToolsLeaveWhatIsSaid, gap, bound + hair, || {
                    format!("{}: the tool leaves {over}, said is {is}", at())
                });
                ended[index] = is;
            }
        }
        if self.plan.reaches_finish {
            for (index, at) in points.iter().enumerate() {
                let over = wood[index] - finished[index];
                // A block that is the camber to within a stated hair has made it; the crown is
                // met exactly.
                let hair = if at.1 == 0.0 {
                    0.0
                } else {
                    BLOCKS_ARE_ENOUGH_MM
                };
                let (said, bound) = (ended[index], hair + LENGTH_ROUNDING_MM);
                out.check(Property::EndsAtFinish, over.max(said), bound, || {
                    format!("at {at:?} {over} mm still stand, said are {said} mm")
                });
            }
        }
    }

    /// The face of a stage's tool in its last place, mm over the finished crown at the nut; far
    /// above where the tool does not come. Where a fall-away is made, tools ride on the ramp.
    fn tool_face(&self, stage: &Stage, x: f64, y: f64) -> f64 {
        let fall = if stage.after.fall_made {
            self.instrument.camber.fall(x)
        } else {
            0.0
        };
        let arch = match &stage.work {
            Work::Block(block) if self.zone_holds(block, x) => drop_mm(block.radius.mm(), y),
            Work::Block(_) => return f64::INFINITY,
            Work::Beam(_) | Work::FallAway(_) => drop_mm(self.instrument.camber.radius(x).mm(), y),
        };
        stage.after.offset_mm - arch - fall
    }

    fn zone_holds(&self, block: &Block, x: f64) -> bool {
        let zones = self.plan.zones.iter().filter(|zone| zone.block == *block);
        let mut spans = zones.flat_map(|zone| &zone.spans);
        spans.any(|span| span.from_mm <= x && x <= span.to_mm)
    }

    fn volumes(&self, out: &mut Faults) {
        let (Some(first), Some(last)) = (self.plan.stages.first(), self.plan.stages.last()) else {
            return;
        };
        let blank = first.before.volume_mm3(self.instrument);
        let left = last.after.volume_mm3(self.instrument);
        let removed: f64 = self.plan.stages.iter().map(|stage| stage.removed_mm3).sum();
        let gap = (blank - left - removed).abs();
        out.check(Property::VolumesAddUp, gap, 1e-9 * blank.max(1.0), || {
            format!("{removed} mm³ removed of {blank}, and {left} are left")
        });
    }

    fn crowns(&self, out: &mut Faults) {
        let mut crown = f64::INFINITY;
        for stage in &self.plan.stages {
            let (from, to) = (stage.before.offset_mm, stage.after.offset_mm);
            out.unless(
                to >= 0.0 && to <= from && from <= crown,
                Property::CrownsFall,
                || format!("{}: from {from} to {to} after {crown}", stage.key),
            );
            crown = to;
        }
    }

    fn blocks(&self, out: &mut Faults) {
        // Finer grades take a block up again; shaping stages are those that leave the crown.
        let shaping = self
            .plan
            .stages
            .iter()
            .filter(|stage| !stage.lowers_crown());
        let radii: Vec<f64> = shaping
            .filter_map(Stage::radius)
            .map(|radius| radius.mm())
            .collect();
        let falling = radii.windows(2).all(|pair| pair[0] >= pair[1]);
        out.unless(falling, Property::FlattestFirst, || format!("{radii:?}"));
        if self.flattens() {
            self.nested(out);
        }
    }

    /// True when the file names radii that rise from the nut on.
    fn flattens(&self) -> bool {
        match &self.board.camber {
            Camber::Cone(nut, last) => nut < last,
            Camber::Stations(at) => at.windows(2).all(|pair| pair[0].1 < pair[1].1),
            Camber::StringCone(_) => {
                self.board.strings.len() > 1 && self.board.saddle_spread > self.board.nut_spread
            }
            Camber::Single(_) => false,
        }
    }

    fn nested(&self, out: &mut Faults) {
        let (from, end) = self.instrument.outline.reach();
        let mut to = f64::INFINITY;
        for zone in &self.plan.zones {
            let radius = zone.block.radius.mm();
            let sound = match zone.spans.as_slice() {
                [span] => {
                    // The zone ends where the board has the block's radius, or at the board's end.
                    let there = self.instrument.camber.radius(span.to_mm).mm() / radius;
                    let at_end = span.to_mm >= end - LENGTH_ROUNDING_MM;
                    (span.from_mm - from).abs() <= LENGTH_ROUNDING_MM
                        && span.to_mm < to
                        && there < 1.0 + 1e-8
                        && (at_end || there > 1.0 - 1e-8)
                }
                _ => false,
            };
            out.unless(sound, Property::ZonesNested, || {
                format!(
                    "radius {radius}: {:?} after one that ends at {to}",
                    zone.spans
                )
            });
            to = zone.spans.last().map_or(to, |span| span.to_mm);
        }
    }

    fn stretches(&self, out: &mut Faults) {
        let end = self.instrument.end_x_mm();
        for stage in &self.plan.stages {
            let spans = &stage.spans;
            let sound = spans.iter().all(|span| {
                span.from_mm < span.to_mm
                    && span.from_mm >= -BESIDE_MM
                    && span.to_mm <= end + BESIDE_MM
            });
            out.unless(
                sound && !spans.is_empty(),
                Property::StretchesLieOnTheBoard,
                || format!("{}: {spans:?}", stage.key),
            );
            let sum: f64 = stage.strokes.iter().sum();
            let shares = stage.strokes.iter().all(|share| *share >= 0.0);
            let gap = if shares {
                (sum - 1.0).abs()
            } else {
                f64::INFINITY
            };
            out.check(Property::StrokesAddUp, gap, 1e-12, || {
                format!("{}: {:?}", stage.key, stage.strokes)
            });
        }
    }

    fn numbers(&self, out: &mut Faults) {
        let sheet = play::sheet(self.instrument, Some(self.kit));
        for (name, text) in [
            ("sheet", format!("{sheet:?}")),
            ("plan", format!("{:?}", self.plan)),
        ] {
            let at = text.find("NaN");
            out.unless(at.is_none(), Property::Numbers, || {
                let from = text.floor_char_boundary(at.unwrap_or(0).saturating_sub(60));
                format!(
                    "{name}: …{}",
                    text[from..].chars().take(70).collect::<String>()
                )
            });
        }
    }
}
