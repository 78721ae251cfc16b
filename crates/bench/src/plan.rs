//! The bench plan: the ordered work from a flat blank to the finished surface, with this shop's tools.
//!
//! Blocks come first, flattest first, at the shaping grade; the beam takes off what they leave,
//! swung along the cone's rulings; then each finer grade takes out the scratches of the one
//! before. The finished surface is approached from above: every stage aims at the finished
//! surface raised by what the grades after it must find.

use instrument::Instrument;

use crate::beam::{BeamPath, beam_path};
use crate::blocks::{BlockZone, Span, UnusedBlock, order_blocks};
use crate::cautions::{Caution, PlanParts, cautions};
use crate::effort::WearRate;
use crate::gauges::{GaugeStation, gauge_station};
use crate::grades::Ladder;
use crate::helpful::{HelpfulBlock, helpful_blocks};
use crate::kit::{Beam, Kit};
use crate::left::{Left, left_by_blocks};
use crate::stage::{Arch, Stage, Standing, Work};

/// Blocks that leave less than this have made the camber: no beam is needed to shape it, mm.
pub const BLOCKS_ARE_ENOUGH_MM: f64 = 0.002;

/// The bench plan of one instrument with one kit.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchPlan {
    /// The kit's title.
    pub kit_title: String,
    /// Thickness of the flat blank on which the first stage begins, mm.
    pub start_mm: f64,
    /// The stages, in order.
    pub stages: Vec<Stage>,
    /// True when the stages lead to the finished surface; false when a tool is missing.
    pub reaches_finish: bool,
    /// The blocks used, flattest first, with their zones.
    pub zones: Vec<BlockZone>,
    /// The blocks not used, and why.
    pub unused: Vec<UnusedBlock>,
    /// What the blocks leave above the camber.
    pub blocks_leave: Left,
    /// How the beam must travel.
    pub beam: BeamPath,
    /// Blocks not owned that would leave less, most helpful first.
    pub helpful: Vec<HelpfulBlock>,
    /// The gauge for every fret, when the kit has gauges; the nut is the first.
    pub gauges: Vec<GaugeStation>,
    /// The grades used.
    pub ladder: Ladder,
    /// The wear rate behind the times.
    pub wear: WearRate,
    /// What is to be minded.
    pub cautions: Vec<Caution>,
}

impl BenchPlan {
    /// Rubbing time of all stages, minutes.
    pub fn minutes(&self) -> f64 {
        self.stages.iter().map(|stage| stage.effort.minutes).sum()
    }
}

/// Plans the work. `wear` comes from the shop's logged stages, or is the stated default.
pub fn bench_plan(instrument: &Instrument, kit: &Kit, wear: WearRate) -> BenchPlan {
    let (zones, unused) = order_blocks(instrument, kit);
    let blocks_leave = left_by_blocks(instrument, &zones);
    let full = Ladder::from_kit(&kit.abrasives);
    let finished_mm = instrument.wood.crown_thickness_mm;
    let ladder = match instrument.wood.blank_thickness_mm {
        Some(blank) => full.within(blank - finished_mm),
        None => full.clone(),
    };
    let beam = beam_path(instrument);
    let bench = Bench {
        instrument,
        kit,
        wear,
        ladder: &ladder,
        stages: Vec::new(),
        now: blank(instrument, &ladder),
    };
    let (stages, reaches_finish, needs_beam) = bench.work(&zones, blocks_leave.max_mm, &beam);
    let parts = PlanParts {
        start_mm: finished_mm + ladder.aim_mm(0),
        full_start_mm: finished_mm + full.aim_mm(0),
        needs_beam,
        stages,
        zones,
        ladder,
    };
    let cautions = cautions(instrument, kit, &parts);
    BenchPlan {
        kit_title: kit.title.clone(),
        start_mm: parts.start_mm,
        reaches_finish,
        helpful: helpful_blocks(instrument, kit, &parts.zones, blocks_leave.volume_mm3),
        gauges: (0..=instrument.last_fret())
            .filter_map(|fret| gauge_station(instrument, kit, fret))
            .collect(),
        beam,
        stages: parts.stages,
        zones: parts.zones,
        unused,
        blocks_leave,
        ladder: parts.ladder,
        wear,
        cautions,
    }
}

fn blank(instrument: &Instrument, ladder: &Ladder) -> Standing {
    Standing {
        offset_mm: ladder.aim_mm(0),
        arch: Arch::Blocks(Vec::new()),
        fall_made: instrument.camber.fall_away.is_none(),
    }
}

/// The longest beam; with stations the longest that fits between two of them, for no straight
/// line lies in the surface past a station.
fn shaping_beam(path: &BeamPath, beams: &[Beam]) -> Option<Beam> {
    let lengths = path.spans.iter().map(|span| span.to_mm - span.from_mm);
    match path.spans.len() {
        0 | 1 => beam_within(beams, f64::INFINITY),
        _ => beam_within(beams, lengths.fold(0.0, f64::max)),
    }
}

/// The block that makes the whole board's camber by itself, if one does.
fn block_alone<'z>(
    instrument: &Instrument,
    zones: &'z [BlockZone],
    leaves_mm: f64,
) -> Option<&'z BlockZone> {
    let [only] = zones else { return None };
    let (from, to) = instrument.outline.reach();
    let whole = only.spans.len() == 1 && only.holds(from) && only.holds(to);
    (whole && leaves_mm < BLOCKS_ARE_ENOUGH_MM).then_some(only)
}

/// The longest beam of at most that length, or else the shortest there is.
fn beam_within(beams: &[Beam], most_mm: f64) -> Option<Beam> {
    let by_length = |a: &Beam, b: &Beam| a.length_mm.total_cmp(&b.length_mm);
    let fitting = beams
        .iter()
        .copied()
        .filter(|beam| beam.length_mm <= most_mm);
    fitting
        .max_by(by_length)
        .or_else(|| beams.iter().copied().min_by(by_length))
}

/// The bench while the plan is made: what stands now, and the stages so far.
struct Bench<'a> {
    instrument: &'a Instrument,
    kit: &'a Kit,
    wear: WearRate,
    ladder: &'a Ladder,
    stages: Vec<Stage>,
    now: Standing,
}

impl Bench<'_> {
    /// The stages; whether they reach the finished surface; whether a beam is needed at all.
    fn work(
        mut self,
        zones: &[BlockZone],
        leaves_mm: f64,
        path: &BeamPath,
    ) -> (Vec<Stage>, bool, bool) {
        let one_block = block_alone(self.instrument, zones, leaves_mm);
        let fall_away = self.instrument.camber.fall_away;
        let needs_beam = one_block.is_none() || fall_away.is_some();
        if self.ladder.grades.is_empty() {
            return (self.stages, false, needs_beam);
        }
        for count in 1..=zones.len() {
            self.add_block(zones, count);
        }
        let beam = shaping_beam(path, &self.kit.beams);
        if needs_beam && beam.is_none() {
            return (self.stages, false, true);
        }
        if let Some(beam) = beam.filter(|_| leaves_mm >= BLOCKS_ARE_ENOUGH_MM) {
            self.add_shaping_beam(beam);
        }
        if let Some(fall) = fall_away
            && let Some(beam) = beam_within(&self.kit.beams, fall.end_x_mm - fall.from_x_mm)
        {
            self.add_fall_away(beam, fall.from_x_mm);
        }
        for grade in 1..self.ladder.grades.len() {
            let tool = match (one_block, beam) {
                (Some(zone), _) => Work::Block(zone.block),
                (None, Some(beam)) => Work::Beam(beam),
                (None, None) => break,
            };
            self.add_grade(tool, grade);
        }
        self.share_allowances();
        (self.stages, true, needs_beam)
    }

    fn whole_board(&self) -> Vec<Span> {
        let (from_mm, to_mm) = (0.0, self.instrument.end_x_mm());
        vec![Span { from_mm, to_mm }]
    }

    /// The zone's stretches as stations on the centreline: a skewed end counts as the end.
    fn on_centreline(&self, spans: &[Span]) -> Vec<Span> {
        let end = self.instrument.end_x_mm();
        spans
            .iter()
            .map(|span| Span {
                from_mm: span.from_mm.max(0.0),
                to_mm: span.to_mm.min(end),
            })
            .collect()
    }

    fn add_block(&mut self, zones: &[BlockZone], count: usize) {
        let zone = &zones[count - 1];
        let after = Standing {
            arch: Arch::Blocks(zones[..count].to_vec()),
            ..self.now.clone()
        };
        self.add(
            Work::Block(zone.block),
            0,
            self.on_centreline(&zone.spans),
            after,
        );
    }

    fn add_shaping_beam(&mut self, beam: Beam) {
        let after = Standing {
            arch: Arch::Camber,
            ..self.now.clone()
        };
        self.add(Work::Beam(beam), 0, self.whole_board(), after);
    }

    fn add_fall_away(&mut self, beam: Beam, from_mm: f64) {
        let after = Standing {
            fall_made: true,
            ..self.now.clone()
        };
        let spans = vec![Span {
            from_mm,
            to_mm: self.instrument.end_x_mm(),
        }];
        self.add(Work::FallAway(beam), 0, spans, after);
    }

    /// A grade over the whole board. The beam brings it to the camber, should a hair be left; a
    /// block leaves its own arch.
    fn add_grade(&mut self, work: Work, grade: usize) {
        let arch = match work {
            Work::Block(_) => self.now.arch.clone(),
            Work::Beam(_) | Work::FallAway(_) => Arch::Camber,
        };
        let after = Standing {
            offset_mm: self.ladder.aim_mm(grade),
            arch,
            ..self.now.clone()
        };
        self.add(work, grade, self.whole_board(), after);
    }

    fn add(&mut self, work: Work, grade: usize, spans: Vec<Span>, after: Standing) {
        let instrument = self.instrument;
        let before = std::mem::replace(&mut self.now, after.clone());
        let standing_mm3 = after.volume_mm3(instrument);
        let removed_mm3 = before.volume_mm3(instrument) - standing_mm3;
        let left_mm3 = over_aim_mm3(instrument, &after, standing_mm3);
        let left_before_mm3 = over_aim_mm3(instrument, &before, standing_mm3 + removed_mm3);
        let (left_max_mm, left_max_at_mm) = after.greatest_over_aim(instrument);
        let grade = self.ladder.grades[grade];
        let effort = self
            .wear
            .effort(removed_mm3, grade, &instrument.wood.name, self.kit.hand);
        self.stages.push(Stage {
            key: stage_key(&work, grade.name),
            strokes: strokes(instrument, &before, &after, &spans),
            edge_after_mm: after.thinnest_edge(instrument),
            allowance_mm: 0.0,
            removed_mm3,
            arch_mm3: left_before_mm3 - left_mm3,
            left_max_mm,
            left_max_at_mm,
            left_mm3,
            effort,
            work,
            grade,
            spans,
            before,
            after,
        });
    }

    /// What a grade leaves for the next one stands at its last stage.
    fn share_allowances(&mut self) {
        for index in 0..self.ladder.grades.len() {
            let grade = self.ladder.grades[index];
            let last = self
                .stages
                .iter_mut()
                .rev()
                .find(|stage| stage.grade.name == grade.name);
            if let Some(stage) = last {
                stage.allowance_mm = self.ladder.allowance_mm(index);
            }
        }
    }
}

/// Volume over the camber at a standing's own crown, when its volume over the finished surface
/// is known, mm³.
fn over_aim_mm3(instrument: &Instrument, standing: &Standing, volume_mm3: f64) -> f64 {
    let even = Standing {
        arch: Arch::Camber,
        fall_made: true,
        ..standing.clone()
    };
    volume_mm3 - even.volume_mm3(instrument)
}

fn stage_key(work: &Work, grade: &str) -> String {
    match work {
        Work::Block(block) => format!("block-{:.1}-{grade}", block.radius.mm()),
        Work::Beam(_) => format!("beam-{grade}"),
        Work::FallAway(_) => format!("fall-away-{grade}"),
    }
}

/// Strokes are shared out as the wood to come off is: by sixths of the stage's stretch.
fn strokes(
    instrument: &Instrument,
    before: &Standing,
    after: &Standing,
    spans: &[Span],
) -> Vec<f64> {
    const PARTS: usize = 6;
    let (Some(first), Some(last)) = (spans.first(), spans.last()) else {
        return Vec::new();
    };
    let step = (last.to_mm - first.from_mm) / PARTS as f64;
    let volumes: Vec<f64> = (0..PARTS)
        .map(|part| {
            let from = first.from_mm + step * part as f64;
            before.volume_between(instrument, from, from + step)
                - after.volume_between(instrument, from, from + step)
        })
        .map(|volume| volume.max(0.0))
        .collect();
    let whole: f64 = volumes.iter().sum();
    if whole <= 0.0 {
        return vec![1.0 / PARTS as f64; PARTS];
    }
    volumes.into_iter().map(|volume| volume / whole).collect()
}
