//! From a board and a kit to programs: every work planned, then all proved in order on one blank.

use std::ops::ControlFlow;

use bench::Kit;
use bench::machine::{Cutter, CutterShape};
use instrument::Instrument;
use instrument::dots::Dot;

use super::dots::Pocket;
use super::face::Face;
use super::finish::Passes;
use super::moves::{Motion, Path};
use super::outline_cut::{Depths, Tab};
use super::proof::{Telling, prove};
use super::refusal::{Cause, Refusal};
use super::remarks::{About, remarks};
use super::rough::Roughing;
use super::slots::{Going, Slot};
use super::sweep::Tip;
use super::watch::{Limits, Site, Watch};
use super::{
    Mill, Operation, Program, choose, clamps, dots, finish, outline_cut, rough, slots, write,
};

/// The most finishing passes that are written.
const MOST_PASSES: usize = 20_000;
/// Air over the blank where a cutter turns from rapid to feed, mm.
const NEAR_MM: f64 = 1.0;
/// Waste that is roughed past where the ball and the outline's cutter go, mm.
const SPARE_MM: f64 = 0.5;

/// A way that is planned and not yet proved.
struct Planned<'k> {
    operation: Operation,
    cutter: &'k Cutter,
    path: Path,
    passes: usize,
}

type Plan<'k> = Result<Planned<'k>, Vec<Cause>>;

/// What every plan looks at.
struct Shop<'a> {
    instrument: &'a Instrument,
    kit: &'a Kit,
    face: Face,
    slots: Vec<Slot>,
    tabs: Vec<Tab>,
    passes: Option<Passes>,
    /// The outline's cutter, for which roughing makes room.
    outline_radius: f64,
    ball_radius: f64,
    /// What roughing leaves at the most, when it is planned, mm.
    rough_leaves_mm: Option<f64>,
}

pub(crate) fn mill(
    instrument: &Instrument,
    kit: &Kit,
    told: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Option<Mill> {
    let mut shop = Shop::new(instrument, kit);
    let mut plans: Vec<(Operation, Plan<'_>)> = Vec::new();
    for operation in Operation::ALL {
        let plan = shop.plan(operation, &plans);
        if let Some(plan) = plan {
            let plan = plan.and_then(|planned| shop.clear_of_clamps(planned));
            plans.push((operation, plan));
        }
    }
    let legs = |(_, plan): &(Operation, Plan<'_>)| {
        plan.as_ref()
            .map_or(0, |planned| planned.path.legs().count())
    };
    let all = plans.iter().map(legs).sum();
    shop.prove(plans, &mut Telling::new(told, all))
}

impl<'a> Shop<'a> {
    fn new(instrument: &'a Instrument, kit: &'a Kit) -> Self {
        let face = Face::new(instrument);
        Self {
            slots: slots::slots(instrument, &face),
            tabs: outline_cut::tabs(instrument),
            passes: None,
            outline_radius: 0.0,
            ball_radius: 0.0,
            rough_leaves_mm: None,
            instrument,
            kit,
            face,
        }
    }

    /// One operation's plan; nothing where the board does not ask for it.
    fn plan(&mut self, operation: Operation, before: &[(Operation, Plan<'a>)]) -> Option<Plan<'a>> {
        let missing = |operation: Operation| {
            before
                .iter()
                .any(|(other, plan)| *other == operation && plan.is_err())
        };
        let camber = [Operation::Rough, Operation::Finish];
        let without = camber.into_iter().find(|operation| missing(*operation));
        match operation {
            Operation::Rough => Some(self.rough()),
            Operation::Finish => Some(self.finish(without)),
            Operation::Slots if self.slots.is_empty() => None,
            Operation::Dots if self.instrument.dots.is_empty() => None,
            Operation::Slots => Some(after(without, self.slots())),
            Operation::Dots => Some(after(without, self.dots())),
            Operation::Outline => Some(self.outline(without.is_none())),
        }
    }

    fn safe_mm(&self) -> f64 {
        let clamps = self.instrument.cutting.clamps.iter();
        let top = self.instrument.blank.thickness_mm;
        clamps.map(|clamp| clamp.height_mm).fold(top, f64::max) + self.kit.machine.clear_mm
    }

    /// Where nothing stands, and close over the blank.
    fn heights(&self) -> [f64; 2] {
        let safe = self.safe_mm();
        [safe, safe.min(self.instrument.blank.thickness_mm + NEAR_MM)]
    }

    /// From the blank's top to the lowest place of the finished face.
    fn camber_depth_mm(&self) -> f64 {
        let corners = self.instrument.outline.corners();
        let places = corners.into_iter().chain(self.face.kinks().flat_map(|x| {
            let half = self.instrument.outline.half_width(x);
            [(x, half), (x, -half)]
        }));
        let lowest = places
            .map(|(x, y)| self.face.height(x, y))
            .fold(f64::INFINITY, f64::min);
        self.instrument.blank.thickness_mm - lowest
    }

    fn blank_is_thin(&self) -> Option<Cause> {
        let (blank_mm, crown_mm) = (self.instrument.blank.thickness_mm, self.face.crown_mm);
        (blank_mm < crown_mm - 1e-9).then_some(Cause::ThinBlank { blank_mm, crown_mm })
    }

    fn rough(&mut self) -> Plan<'a> {
        let (instrument, kit) = (self.instrument, self.kit);
        let depth_mm = self.camber_depth_mm();
        let ball = choose::largest(kit, CutterShape::Ball, depth_mm).ok();
        let edge = choose::largest(kit, CutterShape::Flat, self.through_mm()).ok();
        self.outline_radius = edge.map_or(0.0, Cutter::radius_mm);
        self.ball_radius = ball.map_or(0.0, Cutter::radius_mm);
        let cutter = choose::largest(kit, CutterShape::Flat, depth_mm);
        let cutter = both(self.blank_is_thin(), cutter)?;
        let (r, allowance_mm) = (cutter.radius_mm(), instrument.cutting.allowance_mm);
        let steepest = self.steepest();
        let flank_mm = ball.map_or(f64::INFINITY, |ball| 0.95 * (ball.pass_mm - allowance_mm));
        let step_mm = rough::step_mm(cutter.diameter_mm, steepest, flank_mm);
        self.rough_leaves_mm = Some(allowance_mm + step_mm * steepest);
        let outline = 2.0 * self.outline_radius - r;
        let past = |ball: f64| (r.max(outline).max(ball - r)) + SPARE_MM;
        let how = Roughing {
            radius: r,
            top_mm: instrument.blank.thickness_mm,
            pass_mm: cutter.pass_mm,
            allowance_mm,
            step_mm,
            past_mm: [
                past(self.ball_radius + 1.0),
                past(2.0 * self.ball_radius + 1.0),
            ],
        };
        let lines = rough::lines(&self.face, &instrument.outline, how);
        let planned = rough::path(&lines, how, feed(cutter), self.heights());
        // A blank that is no thicker than the allowance asks for needs no roughing.
        let (path, passes) = planned.unwrap_or((self.still(), 0));
        Ok(Planned {
            operation: Operation::Rough,
            cutter,
            path,
            passes,
        })
    }

    /// A way that goes nowhere.
    fn still(&self) -> Path {
        Path::from([0.0, 0.0, self.safe_mm()])
    }

    /// The steepest slope of the face across, at its edges.
    fn steepest(&self) -> f64 {
        let pieces = self.face.pieces.iter();
        let places = pieces.flat_map(|piece| piece.x_mm);
        places
            .map(|x| {
                let reach =
                    (self.face.curvature(x) * self.instrument.outline.half_width(x)).min(0.99);
                reach / (1.0 - reach * reach).sqrt()
            })
            .fold(0.0, f64::max)
    }

    fn finish(&mut self, without: Option<Operation>) -> Plan<'a> {
        let cutter = choose::largest(self.kit, CutterShape::Ball, self.camber_depth_mm());
        let cutter = both(without.map(|before| Cause::Without { before }), cutter)?;
        let r = cutter.radius_mm();
        if let Some(left_mm) = self.rough_leaves_mm.filter(|left| *left > cutter.pass_mm) {
            return Err(vec![Cause::TooMuchLeft {
                cutter: cutter.name.clone(),
                left_mm,
                pass_mm: cutter.pass_mm,
            }]);
        }
        let scallop_mm = self.instrument.cutting.scallop_mm;
        let outline = &self.instrument.outline;
        let passes =
            finish::passes(&self.face, outline, r, scallop_mm, MOST_PASSES).map_err(|passes| {
                vec![Cause::TooManyPasses {
                    scallop_mm,
                    passes,
                    most: MOST_PASSES,
                }]
            })?;
        let ways = finish::way(&self.face, outline, r, &passes);
        let path = finish::path(&ways, feed(cutter), self.heights());
        let planned = Planned {
            operation: Operation::Finish,
            cutter,
            path: path.unwrap_or_else(|| self.still()),
            passes: passes.rulings.len(),
        };
        self.passes = Some(passes);
        Ok(planned)
    }

    fn going(&self, cutter: &Cutter) -> Going {
        Going {
            radius: cutter.radius_mm(),
            pass_mm: cutter.pass_mm,
            feed: feed(cutter),
            heights: self.heights(),
        }
    }

    fn slots(&self) -> Plan<'a> {
        let depths = self.slots.iter().map(|slot| slot.depth_mm(&self.face));
        let depth_mm = depths.fold(0.0, f64::max);
        let cutter =
            choose::for_slots(self.kit, self.instrument.fret_spec.slot_width_mm, depth_mm)?;
        let planned = slots::path(&self.face, &self.slots, self.going(cutter));
        let (path, passes) = planned.unwrap_or((self.still(), 0));
        Ok(Planned {
            operation: Operation::Slots,
            cutter,
            path,
            passes,
        })
    }

    /// Pockets as they are cut with a cutter: a drill of their own diameter makes its own width.
    fn pockets(&self, cutter_mm: f64) -> Vec<Pocket> {
        let pocket = |dot: &Dot| {
            let face = self.face.height(dot.x_mm, dot.y_mm);
            let radius = 0.5 * dot.diameter_mm;
            let same = (cutter_mm - dot.diameter_mm).abs() <= dots::SAME_DIAMETER_MM;
            Pocket {
                centre: [dot.x_mm, dot.y_mm],
                radius: if same { 0.5 * cutter_mm } else { radius },
                top_mm: self.face.highest_under(dot.x_mm, dot.y_mm, radius),
                floor_mm: face - dot.depth_mm,
            }
        };
        self.instrument.dots.iter().map(pocket).collect()
    }

    fn dots(&self) -> Plan<'a> {
        let diameter = self
            .instrument
            .dots
            .first()
            .map_or(0.0, |dot| dot.diameter_mm);
        let depth = |pocket: &Pocket| pocket.top_mm - pocket.floor_mm;
        let depth_mm = self.pockets(diameter).iter().map(depth).fold(0.0, f64::max);
        let cutter = choose::for_dots(self.kit, diameter, depth_mm)?;
        let path = dots::path(&self.pockets(cutter.diameter_mm), self.going(cutter));
        Ok(Planned {
            operation: Operation::Dots,
            cutter,
            path: path.unwrap_or_else(|| self.still()),
            passes: (depth_mm / cutter.pass_mm).ceil().max(1.0) as usize,
        })
    }

    /// From the blank's top into the bed.
    fn through_mm(&self) -> f64 {
        self.instrument.blank.thickness_mm + self.kit.machine.into_bed_mm
    }

    fn outline(&self, cambered: bool) -> Plan<'a> {
        let cutter = choose::largest(self.kit, CutterShape::Flat, self.through_mm());
        let cutter = both(self.blank_is_thin(), cutter)?;
        let blank = self.instrument.blank.thickness_mm;
        let roughed = self.face.crown_mm + self.instrument.cutting.allowance_mm;
        let depths = Depths {
            top_mm: if cambered { roughed.min(blank) } else { blank },
            bottom_mm: -self.kit.machine.into_bed_mm,
        };
        let corners = self.instrument.outline.corners();
        let (path, passes) = outline_cut::path(corners, &self.tabs, depths, self.going(cutter));
        Ok(Planned {
            operation: Operation::Outline,
            cutter,
            path,
            passes,
        })
    }

    fn clear_of_clamps(&self, planned: Planned<'a>) -> Plan<'a> {
        let (r, clamps) = (planned.cutter.radius_mm(), &self.instrument.cutting.clamps);
        let met = clamps::met(&planned.path, r, clamps, self.kit.machine.clear_mm);
        if met.is_empty() {
            Ok(planned)
        } else {
            Err(met)
        }
    }

    fn limits(&self) -> Limits {
        Limits {
            allowance_mm: self.instrument.cutting.allowance_mm,
            blank_mm: self.instrument.blank.thickness_mm,
            into_bed_mm: self.kit.machine.into_bed_mm,
        }
    }

    fn watch(&self, plans: &[(Operation, Plan<'_>)]) -> Watch {
        let diameter = |operation: Operation| {
            let plan = plans.iter().find(|(other, _)| *other == operation);
            let planned = plan.and_then(|(_, plan)| plan.as_ref().ok());
            planned.map(|planned| planned.cutter.diameter_mm)
        };
        let pockets = diameter(Operation::Dots)
            .map(|mm| self.pockets(mm))
            .unwrap_or_default();
        let dots: Vec<(Dot, f64, f64)> = self
            .instrument
            .dots
            .iter()
            .zip(pockets)
            .map(|(dot, pocket)| (*dot, pocket.radius, pocket.floor_mm))
            .collect();
        let site = Site {
            instrument: self.instrument,
            face: &self.face,
            slots: &self.slots,
            dots: &dots,
            tabs: &self.tabs,
            groove_mm: diameter(Operation::Outline).unwrap_or(1.0),
        };
        let planned = plans.iter().filter_map(|(_, plan)| plan.as_ref().ok());
        let low = planned
            .flat_map(|planned| self.low_rapids(planned))
            .collect();
        Watch::new(&site, self.passes.as_ref(), low)
    }

    /// Places under every move without feed that ends below the blank's top: at its end and
    /// around the cutter there.
    fn low_rapids(&self, planned: &Planned<'_>) -> Vec<[f64; 2]> {
        let (top, r) = (
            self.instrument.blank.thickness_mm,
            planned.cutter.radius_mm(),
        );
        let moves = planned.path.moves.iter();
        let low = moves.filter(|leg| leg.motion == Motion::Rapid && leg.to[2] < top);
        let around = |turn: u32| {
            let (s, c) = (f64::from(turn) * 45.0).to_radians().sin_cos();
            [0.99 * r * c, 0.99 * r * s]
        };
        let offsets: Vec<[f64; 2]> = (0..8).map(around).chain([[0.0; 2]]).collect();
        low.flat_map(|leg| {
            let [x, y, _] = leg.to;
            offsets.iter().map(move |[dx, dy]| [x + dx, y + dy])
        })
        .collect()
    }

    /// Proves the plans in order on one blank. What stands on a program that fails is not proved.
    /// Nothing where who waits has broken off.
    fn prove(&self, plans: Vec<(Operation, Plan<'a>)>, telling: &mut Telling<'_>) -> Option<Mill> {
        let mut watch = self.watch(&plans);
        let mut mill = Mill {
            programs: Vec::new(),
            refusals: Vec::new(),
        };
        let mut failed: Option<Operation> = None;
        for (operation, plan) in plans {
            let stands_on = failed.filter(|_| operation != Operation::Outline);
            let proved = match stands_on {
                Some(before) => Err(vec![Cause::Without { before }]),
                None => match plan {
                    Ok(planned) => self.proved(&mut watch, planned, telling)?,
                    Err(causes) => Err(causes),
                },
            };
            match proved {
                Ok(program) => mill.programs.push(program),
                Err(causes) => {
                    let camber = operation <= Operation::Finish;
                    failed = failed.or(camber.then_some(operation));
                    mill.refusals
                        .extend(causes.into_iter().map(|cause| Refusal { operation, cause }));
                }
            }
        }
        Some(mill)
    }

    fn proved(
        &self,
        watch: &mut Watch,
        planned: Planned<'_>,
        telling: &mut Telling<'_>,
    ) -> Option<Result<Program, Vec<Cause>>> {
        let before = watch.field.clone();
        let asked_mm = self.instrument.cutting.scallop_mm;
        let (operation, tip) = (planned.operation, Tip::of(planned.cutter));
        let proof = prove(
            watch,
            &planned.path,
            tip,
            operation,
            self.limits(),
            asked_mm,
            telling,
        )?;
        let proof = match proof {
            Ok(proof) => proof,
            Err(cause) => {
                watch.field = before;
                return Some(Err(vec![cause]));
            }
        };
        let rapid = self.kit.machine.rapid_mm_per_min;
        let minutes = planned.path.minutes(rapid) + write::SPIN_UP_S / 60.0;
        let mut program = Program {
            operation,
            name: operation.name(),
            title: operation.title(),
            cutter: planned.cutter.clone(),
            path: planned.path,
            passes: planned.passes,
            minutes,
            proof,
            remarks: Vec::new(),
        };
        program.remarks = remarks(
            &program,
            &About {
                instrument: self.instrument,
                kit: self.kit,
                safe_mm: self.safe_mm(),
                tabs: &self.tabs,
            },
        );
        Some(Ok(program))
    }
}

fn feed(cutter: &Cutter) -> [f64; 2] {
    [cutter.feed_mm_per_min, cutter.plunge_mm_per_min]
}

/// A plan that stands on others; what hinders it itself is told beside what is missing.
fn after(without: Option<Operation>, plan: Plan<'_>) -> Plan<'_> {
    both(without.map(|before| Cause::Without { before }), plan)
}

/// A result with one more cause against it, if there is one.
fn both<T>(cause: Option<Cause>, result: Result<T, Vec<Cause>>) -> Result<T, Vec<Cause>> {
    match (cause, result) {
        (None, result) => result,
        (Some(cause), Ok(_)) => Err(vec![cause]),
        (Some(cause), Err(mut causes)) => {
            causes.insert(0, cause);
            Err(causes)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mill::{Move, Point};

    /// Heron roughed, and its finishing plan, to be spoiled.
    fn finishing<T>(spoil: impl FnOnce(&mut Path) -> T) -> (T, Result<Program, Vec<Cause>>) {
        let none = |_: &str| Err("no files".to_owned());
        let text = include_str!("../../../../demo/heron.toml");
        let board = instrument::read_commission(text, &none).expect("the demo is sound");
        let kit = include_str!("../../../../demo/north-bench.toml");
        let kit = bench::read_kit(kit).expect("the demo is sound");
        let mut shop = Shop::new(&board, &kit);
        let rough = shop.rough().expect("the kit roughs it");
        let mut finish = shop.finish(None).expect("the kit finishes it");
        let mut watch = shop.watch(&[]);
        let mut on = |_: f64| ControlFlow::Continue(());
        let mut telling = Telling::new(&mut on, 1);
        shop.proved(&mut watch, rough, &mut telling)
            .expect("nobody breaks off")
            .expect("the roughing is sound");
        let told = spoil(&mut finish.path);
        let proved = shop.proved(&mut watch, finish, &mut telling);
        (told, proved.expect("nobody breaks off"))
    }

    /// The moves of the pass nearest to the centreline, and where it lies.
    fn middle_pass(path: &Path) -> (usize, f64) {
        let long = |(from, leg): (Point, &Move)| (leg.to[0] - from[0]).abs() > 400.0;
        let mut passes = path.legs().enumerate().filter(|(_, leg)| long(*leg));
        let found = passes
            .find(|(_, (_, leg))| leg.to[1] > 0.0)
            .expect("some pass is there");
        (found.0, found.1.1.to[1])
    }

    #[test]
    fn a_lowered_pass_is_caught_as_a_gouge_at_its_place() {
        let ((y, _), proved) = finishing(|path| {
            let (index, y) = middle_pass(path);
            path.moves[index].to[2] -= 0.004;
            (y, index)
        });
        let causes = proved.expect_err("3 µm are cut too deep");
        let [Cause::Gouge { at, by_mm, .. }] = causes[..] else {
            panic!("one gouge: {causes:?}");
        };
        assert!((at[1] - y).abs() < 1.0, "{at:?}, the pass at {y}");
        assert!((0.003..0.004_1).contains(&by_mm), "{by_mm}");
    }

    #[test]
    fn a_pass_left_out_is_caught_as_a_scallop_at_its_place() {
        let (y, proved) = finishing(|path| {
            let (index, y) = middle_pass(path);
            // Its link, itself and the link after it.
            path.moves.drain(index - 1..=index);
            y
        });
        let causes = proved.expect_err("a ridge is left");
        let [
            Cause::Scallop {
                at,
                left_mm,
                asked_mm,
            },
        ] = causes[..]
        else {
            panic!("one scallop: {causes:?}");
        };
        assert!((at[1] - y).abs() < 3.0, "{at:?}, the pass at {y}");
        // Twice the step leaves about four times the height.
        assert!(left_mm > 1.5 * asked_mm, "{left_mm}");
    }

    #[test]
    fn a_rapid_through_wood_is_caught() {
        let (_, proved) = finishing(|path| {
            path.moves[1].motion = Motion::Rapid;
        });
        let causes = proved.expect_err("it plunges without feed");
        assert!(
            matches!(causes[..], [Cause::RapidInWood { by_mm, .. }] if by_mm > 0.05),
            "{causes:?}"
        );
    }
}
