//! What comes off in the next step, tool by tool: stages like those of the bench plan, from the
//! wood as it is.

use bench::blocks::{BlockZone, Span};
use bench::effort::{Effort, WearRate};
use bench::stage::{Arch, Work};
use bench::{BenchPlan, Kit, Stage};
use instrument::Instrument;
use instrument::arc::drop;
use quantity::Grade;

use crate::measured::Figure;
use crate::next::{Map, Target};

/// One tool's part of the next step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is done, and with what.
    pub work: Work,
    /// The grade of abrasive.
    pub grade: &'static Grade,
    /// Where it works.
    pub spans: Vec<Span>,
    /// Volume it takes off, mm³.
    pub removed_mm3: f64,
    /// The most it takes off at one spot, mm.
    pub deepest_mm: f64,
    /// What it costs.
    pub effort: Effort,
    /// Height of the wood over the surface worked to, at every spot of the grid, when it is done, mm.
    pub left_mm: Vec<f64>,
}

/// A block that would take off less than this share of the step is left in the drawer.
const WORTH_A_TOOL: f64 = 0.05;

/// What is worked with.
pub struct Tools<'a> {
    /// The board.
    pub instrument: &'a Instrument,
    /// The kit.
    pub kit: &'a Kit,
    /// The bench plan: its zones and its beam.
    pub plan: &'a BenchPlan,
    /// The grade of the step.
    pub grade: &'static Grade,
    /// The stage after which the wood was read, when the plan knows it.
    pub stage: Option<&'a Stage>,
    /// The wear rate.
    pub wear: WearRate,
}

/// The step's stages. While blocks still shape the board it is that stage's own block again.
/// Then, at the shaping grade, each block in its zone, flattest first, when it has something to
/// do, and the beam after them; a block alone where it makes the whole camber.
pub fn steps(tools: &Tools<'_>, map: &Map, target: &Target) -> Vec<Step> {
    let mut standing: Vec<f64> = over(&map.over_plan, &target.over_plan_mm);
    let whole: f64 = volume(map, &standing);
    let mut steps = Vec::new();
    if let Some(stage) = tools
        .stage
        .filter(|stage| !matches!(stage.after.arch, Arch::Camber))
    {
        let after = vec![0.0; standing.len()];
        let spans = stage.spans.clone();
        steps.push(step(
            tools,
            map,
            stage.work.clone(),
            spans,
            &standing,
            &after,
        ));
        return steps;
    }
    let shapes = tools.plan.ladder.grades.first().map(|grade| grade.name) == Some(tools.grade.name);
    let finisher = finisher(tools);
    let zones: &[BlockZone] = if shapes { &tools.plan.zones } else { &[] };
    for zone in zones {
        let after = under_block(tools.instrument, map, zone, &standing);
        let removed = volume(map, &standing) - volume(map, &after);
        let is_finisher = matches!(&finisher, Some(Work::Block(block)) if *block == zone.block);
        if removed > WORTH_A_TOOL * whole && !is_finisher {
            steps.push(step(
                tools,
                map,
                Work::Block(zone.block),
                zone.spans.clone(),
                &standing,
                &after,
            ));
            standing = after;
        }
    }
    if let Some(work) = finisher {
        let spans = vec![Span {
            from_mm: 0.0,
            to_mm: tools.instrument.end_x_mm(),
        }];
        let after = vec![0.0; standing.len()];
        steps.push(step(tools, map, work, spans, &standing, &after));
    }
    steps
}

/// The tool that brings the whole board to the camber: the plan's own for its last grade.
fn finisher(tools: &Tools<'_>) -> Option<Work> {
    tools.plan.stages.last().map(|stage| match &stage.work {
        Work::FallAway(beam) => Work::Beam(*beam),
        other => other.clone(),
    })
}

fn over(wood: &[Figure], surface_mm: &[f64]) -> Vec<f64> {
    wood.iter()
        .zip(surface_mm)
        .map(|(wood, surface)| (wood.value - surface).max(0.0))
        .collect()
}

/// What stands over the surface when a block has worked in its zone: its own arch, where that is
/// lower than the wood.
fn under_block(instrument: &Instrument, map: &Map, zone: &BlockZone, standing: &[f64]) -> Vec<f64> {
    map.grid
        .spots
        .iter()
        .zip(standing)
        .map(|(spot, stands)| {
            if !zone.holds(spot.x_mm) {
                return *stands;
            }
            let own = drop(instrument.camber.radius(spot.x_mm), spot.y_mm)
                - drop(zone.block.radius, spot.y_mm);
            stands.min(own.max(0.0))
        })
        .collect()
}

fn volume(map: &Map, heights_mm: &[f64]) -> f64 {
    heights_mm
        .iter()
        .zip(&map.grid.area_mm2)
        .map(|(height, area)| height * area)
        .sum()
}

fn step(
    tools: &Tools<'_>,
    map: &Map,
    work: Work,
    spans: Vec<Span>,
    before: &[f64],
    after: &[f64],
) -> Step {
    let removed_mm3 = volume(map, before) - volume(map, after);
    let deepest_mm = before
        .iter()
        .zip(after)
        .map(|(before, after)| before - after)
        .fold(0.0, f64::max);
    let wood = &tools.instrument.wood.name;
    Step {
        work,
        grade: tools.grade,
        spans,
        removed_mm3,
        deepest_mm,
        effort: tools
            .wear
            .effort(removed_mm3, tools.grade, wood, tools.kit.hand),
        left_mm: after.to_vec(),
    }
}
