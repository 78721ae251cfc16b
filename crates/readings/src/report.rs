//! Everything that the readings of one visit tell, gathered into one value: pages, command line
//! and records read this and nothing else.

use bench::grades::Ladder;
use bench::stage::Stage;
use bench::{BenchPlan, Kit, Standing};
use instrument::Instrument;
use quantity::Grade;

use crate::choice::{AcceptSpot, ChangeRadii, accept_spots, change_radii};
use crate::departure::{Departure, departure};
use crate::doubt::{Doubted, doubted};
use crate::figures::{Told, figures};
use crate::fit::{FitError, Problem};
use crate::measured::{Figure, Measured};
use crate::next::{Allowed, Map, Target, target};
use crate::pieces::pieces;
use crate::program::NoWay;
use crate::reading::{Spot, Visit};
use crate::steps::{Step, Tools, steps};
use crate::telling::{Telling, telling};
use crate::together::{Untold, untold};
use crate::wood::{Believed, Prior, Row, Wood};

/// What is asked of a visit's readings.
#[derive(Clone, Copy)]
pub struct Ask<'a> {
    /// The board.
    pub instrument: &'a Instrument,
    /// The kit and the plan made with it, when there is one.
    pub bench: Option<(&'a Kit, &'a BenchPlan)>,
    /// The visit.
    pub visit: &'a Visit,
    /// What the finished surface may depart by.
    pub allowed: Allowed,
    /// The largest departure that counts as done, mm; the stage's own when not given.
    pub tolerance_mm: Option<f64>,
}

/// Everything that the readings of one visit tell.
pub struct Report<'a> {
    /// The measured wood.
    pub measured: Measured<'a>,
    /// The stage after which it was read, when the plan knows it.
    pub stage: Option<&'a Stage>,
    /// The grade at work, when a kit is known.
    pub grade: Option<&'static Grade>,
    /// What the grades from this one on still have to find over the finished surface, mm.
    pub allowance_mm: f64,
    /// The figures of the wood.
    pub figures: Vec<Told>,
    /// What these readings do not tell.
    pub untold: Vec<Untold>,
    /// The readings that are doubted.
    pub doubted: Vec<Doubted>,
    /// The wood on a grid.
    pub map: Map,
    /// The largest departure counted as done, mm.
    pub tolerance_mm: f64,
    /// The next step; nothing when no surface of the camber lies inside the wood within limits.
    pub next: Result<Next, NoWay>,
}

/// What is to be done, judged by the largest departure and the tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is surely within the tolerance.
    Done,
    /// It is within it as the wood is found, and not surely: only what is not known would have to
    /// come off, and a reading costs no wood.
    ReadFirst,
    /// It is over it as the wood is found.
    TakeOff,
}

/// The next step.
pub struct Next {
    /// What is to be done.
    pub verdict: Verdict,
    /// How far the wood stands out of the camber.
    pub departure: Departure,
    /// The surface to work to.
    pub target: Target,
    /// The most to take off at one spot, mm.
    pub take_off_max_mm: f64,
    /// That spot, by its place in the grid.
    pub take_off_max_at: usize,
    /// Volume to take off, mm³.
    pub take_off_mm3: f64,
    /// The thinnest edge when it is off, and where, mm.
    pub edge_after: (Figure, Spot),
    /// Thickness on the centreline at the nut and at the last fret when all grades are done, mm.
    pub finished_crown: [Figure; 2],
    /// The stages, tool by tool; none without a kit.
    pub steps: Vec<Step>,
    /// What leaving a low spot would save.
    pub accept: Vec<AcceptSpot>,
    /// What changing the radii would save.
    pub radii: Option<ChangeRadii>,
    /// The readings that would tell most of what stands in the way of "done".
    pub telling: Vec<Telling>,
}

/// The least departure that a maker works to, mm: common practice, no source.
pub const FINEST_TOLERANCE_MM: f64 = 0.03;

/// Without a kit no grade is known: this departure counts as done, mm.
const PLAIN_TOLERANCE_MM: f64 = 0.05;

/// Reads a visit.
///
/// # Errors
/// When the readings do not tell a surface.
pub fn report<'a>(ask: &Ask<'a>) -> Result<Report<'a>, FitError> {
    let stage = stage_of(ask);
    let measured = measure(ask)?;
    let (columns, rows) = grid_size(&measured);
    let map = Map::of(&measured, columns, rows);
    let surface = departure(&measured, &map, &ask.allowed)
        .and_then(|departure| Ok((departure, target(&measured, &map, &ask.allowed)?)));
    let take_off = surface
        .as_ref()
        .map_or(0.0, |(_, target)| most(&map, target).0);
    let grade = stage.map(|stage| stage.grade).or_else(|| {
        ask.bench
            .and_then(|(_, plan)| grade_for(&plan.ladder, take_off))
    });
    let tolerance_mm = ask.tolerance_mm.unwrap_or_else(|| tolerance(grade));
    let told = figures(&measured);
    let allowance_mm = allowance(ask, grade);
    let next = surface.map(|(departure, target)| {
        let shop = Shop {
            ask,
            stage,
            grade,
            allowance_mm,
            tolerance_mm,
        };
        shop.next(&measured, &map, departure, target)
    });
    Ok(Report {
        untold: untold(&measured, &told, ask.visit),
        doubted: doubted(&measured),
        figures: told,
        stage,
        grade,
        allowance_mm,
        tolerance_mm,
        next,
        map,
        measured,
    })
}

/// The stage after which the wood was read, when the plan knows it.
fn stage_of<'a>(ask: &Ask<'a>) -> Option<&'a Stage> {
    let (_, plan) = ask.bench?;
    plan.stages
        .iter()
        .find(|stage| stage.key == ask.visit.stage)
}

/// The measured wood alone, without a next step: for comparing visits.
///
/// # Errors
/// When the readings do not tell a surface.
pub fn measure<'a>(ask: &Ask<'a>) -> Result<Measured<'a>, FitError> {
    let wood = Wood::new(
        ask.instrument,
        // No stage told: as if finished.
        stage_of(ask).map_or_else(Standing::finished, |stage| stage.after.clone()),
        Believed::Prior(Prior::default()),
        pieces(ask.instrument, ask.visit),
        ask.visit.set_ups.len(),
    );
    Measured::of(Problem {
        wood,
        readings: &ask.visit.readings,
        clouds: &ask.visit.clouds,
    })
}

/// At least four places for each piece of the net along the board, and as many across.
fn grid_size(measured: &Measured<'_>) -> (usize, usize) {
    let (along, across) = measured
        .wood()
        .net
        .map_or((12, 3), |net| (net.along, net.across));
    let columns = if along > 20 { 2 * along } else { 4 * along };
    let rows = if across > 4 { 2 * across } else { 4 * across };
    (columns + 1, rows + 1)
}

/// The largest departure that a grade is done with, mm: one grain of it, a third of what the next
/// grade finds to take off; never less than [`FINEST_TOLERANCE_MM`].
pub fn tolerance(grade: Option<&Grade>) -> f64 {
    grade.map_or(PLAIN_TOLERANCE_MM, |grade| {
        (grade.diameter_um.value / 1000.0).max(FINEST_TOLERANCE_MM)
    })
}

/// The finest grade of the ladder to which the wood to take off is no more than its own
/// allowance, three of its grains; the coarsest when it is more than any.
fn grade_for(ladder: &Ladder, take_off_mm: f64) -> Option<&'static Grade> {
    ladder
        .grades
        .iter()
        .rev()
        .find(|grade| bench::grades::allowance_mm(grade) >= take_off_mm)
        .or(ladder.grades.first())
        .copied()
}

/// What the grades from this one on still leave for those after them, mm.
fn allowance(ask: &Ask<'_>, grade: Option<&Grade>) -> f64 {
    let (Some((_, plan)), Some(grade)) = (ask.bench, grade) else {
        return 0.0;
    };
    let place = plan
        .ladder
        .grades
        .iter()
        .position(|known| known.name == grade.name);
    place.map_or(0.0, |place| plan.ladder.aim_mm(place))
}

fn verdict(departure: &Departure, tolerance_mm: f64) -> Verdict {
    if departure.at_most_mm <= tolerance_mm {
        Verdict::Done
    } else if departure.found_mm() <= tolerance_mm {
        Verdict::ReadFirst
    } else {
        Verdict::TakeOff
    }
}

fn most(map: &Map, target: &Target) -> (f64, usize) {
    let depth = |spot: usize| map.over_plan[spot].value - target.over_plan_mm[spot];
    let at = (0..map.over_plan.len())
        .max_by(|a, b| depth(*a).total_cmp(&depth(*b)))
        .unwrap_or(0);
    (depth(at), at)
}

/// What the next step is made with.
struct Shop<'s, 'a> {
    ask: &'s Ask<'a>,
    stage: Option<&'a Stage>,
    grade: Option<&'static Grade>,
    allowance_mm: f64,
    tolerance_mm: f64,
}

impl Next {
    /// True when the largest departure is surely within the tolerance.
    pub fn is_done(&self) -> bool {
        self.verdict == Verdict::Done
    }
}

impl Shop<'_, '_> {
    fn next(
        &self,
        measured: &Measured<'_>,
        map: &Map,
        departure: Departure,
        target: Target,
    ) -> Next {
        let (take_off_max_mm, take_off_max_at) = most(map, &target);
        let asked = asked_about(map, &departure);
        let kit = self.ask.bench.map(|(kit, _)| kit);
        Next {
            verdict: verdict(&departure, self.tolerance_mm),
            take_off_max_mm,
            take_off_max_at,
            take_off_mm3: map.volume_over_mm3(&target.over_plan_mm),
            edge_after: self.edge_after(measured, map, &target),
            finished_crown: self.finished_crown(measured, map, &target),
            steps: self.steps(map, &target),
            accept: accept_spots(measured, map, &target),
            radii: change_radii(measured, map, &target, &self.ask.allowed),
            telling: telling(measured, kit, &asked),
            departure,
            target,
        }
    }

    fn steps(&self, map: &Map, target: &Target) -> Vec<Step> {
        let (Some((kit, plan)), Some(grade)) = (self.ask.bench, self.grade) else {
            return Vec::new();
        };
        let tools = Tools {
            instrument: self.ask.instrument,
            kit,
            plan,
            grade,
            stage: self.stage,
            wear: plan.wear,
        };
        steps(&tools, map, target)
    }

    /// The thinnest edge once the step is done.
    fn edge_after(&self, measured: &Measured<'_>, map: &Map, target: &Target) -> (Figure, Spot) {
        let wood = &self.ask.instrument.wood;
        let ledge = wood.binding.map_or(0.0, |binding| binding.ledge_mm);
        let rows = map.grid.rows;
        let thickness = |spot: usize| self.thickness(measured, map, target, spot).value - ledge;
        let thinnest = (0..map.grid.spots.len())
            .filter(|spot| spot % rows == 0 || spot % rows == rows - 1)
            .min_by(|a, b| thickness(*a).total_cmp(&thickness(*b)))
            .unwrap_or(0);
        let figure = self.thickness(measured, map, target, thinnest);
        (
            Figure {
                value: figure.value - ledge,
                ..figure
            },
            map.grid.spots[thinnest],
        )
    }

    /// Thickness at a spot of the grid when the step is done. The depth to take off is known from
    /// the wood's own face; what is uncertain is how high that face stands over the back.
    fn thickness(
        &self,
        measured: &Measured<'_>,
        map: &Map,
        target: &Target,
        spot: usize,
    ) -> Figure {
        let at = map.grid.spots[spot];
        let instrument = self.ask.instrument;
        let over_plan = target.over_plan_mm[spot];
        Figure {
            value: instrument.wood.crown_thickness_mm
                + crate::next::aimed_at(measured, at)
                + over_plan,
            sigma: map.plane.variance_at(measured, at).sqrt(),
        }
    }

    fn finished_crown(&self, measured: &Measured<'_>, map: &Map, target: &Target) -> [Figure; 2] {
        let instrument = self.ask.instrument;
        let far = instrument.fret_x_mm(instrument.last_fret());
        [0.0, far].map(|x_mm| {
            let at = Spot { x_mm, y_mm: 0.0 };
            let shares = crate::next::plane_at(measured, at);
            let over_plan: f64 = shares
                .iter()
                .zip(target.plane)
                .map(|(share, by)| share * by)
                .sum();
            Figure {
                value: instrument.wood.crown_thickness_mm - instrument.camber.fall(x_mm)
                    + over_plan
                    - self.allowance_mm,
                sigma: map.plane.variance_at(measured, at).sqrt(),
            }
        })
    }
}

/// The figure to make surer: the departure at the spot that stands in the way of "done".
fn asked_about(map: &Map, departure: &Departure) -> Row {
    let mut row = map.sums[departure.in_the_way].row.clone();
    for (spot, weight) in departure.rests_on.iter().zip(&departure.weights) {
        row.extend(
            map.sums[*spot]
                .row
                .iter()
                .map(|(index, by)| (*index, -weight * by)),
        );
    }
    crate::normal::merged(row)
}
