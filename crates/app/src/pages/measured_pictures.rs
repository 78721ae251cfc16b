//! The measured wood as pictures are made of it: maps and slices filled from a report.

use drawing::pictures::{
    MapKind, MapMark, MarkKind, MeasuredMap, PointTrust, Slice, SlicePoint, slice,
};
use instrument::Instrument;
use maud::{Markup, html};
use readings::Spot;
use readings::figures::half_95;
use readings::measured::Measured;
use readings::next::aimed_at;
use readings::place::place_words;
use readings::reading::{Reading, What};
use readings::report::{Next, Report};

use super::picture;
use crate::view::{Figures, View};
use crate::visits::KeptVisit;

/// Marks of single readings are drawn up to this many: more would cover the map.
const MOST_MARKS: usize = 150;

/// Earlier visits that a slice shows.
const MOST_EARLIER: usize = 3;

/// The wood over its camber, its mean at nothing, faded where it is not known: over the surface
/// worked to, or over the plan when there is none.
pub(crate) fn departure(report: &Report<'_>, visit: &KeptVisit) -> MeasuredMap {
    let plan = vec![0.0; report.map.over_plan.len()];
    let base = match &report.next {
        Ok(next) => &next.target.over_plan_mm,
        Err(_) => &plan,
    };
    let level = report.map.volume_over_mm3(base) / report.map.grid.whole_mm2();
    MeasuredMap {
        title: format!(
            "How the wood departs from the camber, visit {}",
            visit.record.name
        ),
        kind: MapKind::Departure,
        marks: marks(report, visit),
        ..over(report, base, level)
    }
}

/// The wood over a surface less `level`, with its uncertainty.
fn over(report: &Report<'_>, surface_mm: &[f64], level: f64) -> MeasuredMap {
    let over_plan = &report.map.over_plan;
    MeasuredMap {
        title: String::new(),
        columns: report.map.grid.columns,
        rows: report.map.grid.rows,
        value_mm: over_plan
            .iter()
            .zip(surface_mm)
            .map(|(wood, surface)| wood.value - surface - level)
            .collect(),
        sigma_mm: over_plan.iter().map(|wood| wood.sigma).collect(),
        known_mm: 0.25 * report.tolerance_mm.max(0.04),
        kind: MapKind::TakeOff,
        marks: Vec::new(),
    }
}

fn marks(report: &Report<'_>, visit: &KeptVisit) -> Vec<MapMark> {
    let doubted = |line: usize| report.doubted.iter().any(|doubted| doubted.line == line);
    let mut marks: Vec<MapMark> = visit
        .visit
        .readings
        .iter()
        .take(MOST_MARKS)
        .map(|reading| {
            let kind = if doubted(reading.line) {
                MarkKind::Doubted
            } else {
                MarkKind::Reading
            };
            mark(spot_of(reading), kind, label(reading))
        })
        .collect();
    marks.extend(visit.aside.iter().take(MOST_MARKS).map(|aside| {
        mark(
            spot_of(&aside.reading),
            MarkKind::SetAside,
            label(&aside.reading),
        )
    }));
    if let Ok(next) = &report.next {
        let instrument = report.measured.wood().instrument;
        marks.extend(next.accept.iter().map(|choice| {
            let spot = report.map.grid.spots[choice.spot];
            mark(spot, MarkKind::Limiting, place_words(instrument, spot))
        }));
        if let Some(telling) = next.telling.first().filter(|_| !next.is_done()) {
            let words = format!("read next: {}", telling.kind);
            marks.push(mark(telling.at, MarkKind::Next, words));
        }
    }
    marks
}

fn mark(spot: Spot, kind: MarkKind, label: String) -> MapMark {
    MapMark {
        x_mm: spot.x_mm,
        y_mm: spot.y_mm,
        kind,
        label,
    }
}

fn label(reading: &Reading) -> String {
    format!("{}, {}", reading.what.kind(), reading.place)
}

/// Where a reading was taken.
pub(super) fn spot_of(reading: &Reading) -> Spot {
    match &reading.what {
        What::Height { at, .. }
        | What::Gap { at, .. }
        | What::Rock { at, .. }
        | What::Thickness { at, .. }
        | What::Chalk { at, .. } => *at,
        What::Light { x_mm, .. } | What::Sagitta { x_mm, .. } => Spot {
            x_mm: *x_mm,
            y_mm: 0.0,
        },
    }
}

/// What is to come off.
pub(super) fn take_off(report: &Report<'_>, next: &Next) -> MeasuredMap {
    MeasuredMap {
        title: "What comes off".into(),
        ..over(report, &next.target.over_plan_mm, 0.0)
    }
}

/// Slices under the pointed lane and across the pointed fret.
pub(super) fn slices(
    view: &View,
    now: &Figures,
    report: &Report<'_>,
    (chosen, others): (&KeptVisit, &[(&KeptVisit, Measured<'_>)]),
) -> Markup {
    let earlier: Vec<&(&KeptVisit, Measured<'_>)> = others
        .iter()
        .filter(|(visit, _)| visit.record.id.0 < chosen.record.id.0)
        .collect();
    let earlier = &earlier[earlier.len().saturating_sub(MOST_EARLIER)..];
    let cut = Cut {
        view,
        instrument: &now.instrument,
        report,
        visit: chosen,
        earlier,
    };
    html! {
        section {
            h2 { "Slices" }
            p { "Heights over the planned camber under the string, and across the fret, that are pointed at. The band holds the wood with 95 % confidence, as seen from its own mean plane." }
            (picture(&slice(view.look(), &cut.under_lane()), "lane-slice"))
            (picture(&slice(view.look(), &cut.across_fret()), "fret-slice"))
        }
    }
}

/// Where and of what slices are cut.
struct Cut<'c, 'r> {
    view: &'c View,
    instrument: &'c Instrument,
    report: &'c Report<'r>,
    visit: &'c KeptVisit,
    earlier: &'c [&'c (&'c KeptVisit, Measured<'r>)],
}

/// Samples along a slice.
const SAMPLES: usize = 81;

impl Cut<'_, '_> {
    fn under_lane(&self) -> Slice {
        let lane = self.instrument.lanes[self.view.pointed.lane];
        let last = self.instrument.frets[self.instrument.last_fret()];
        let (from, to) = (lane.cross(self.instrument.frets[0]).0, lane.cross(last).0);
        let spots: Vec<Spot> = (0..SAMPLES)
            .map(|index| from + (to - from) * index as f64 / (SAMPLES - 1) as f64)
            .map(|x_mm| Spot {
                x_mm,
                y_mm: lane.y_at(x_mm),
            })
            .collect();
        let string = self.view.pointed.lane + 1;
        let along: Vec<f64> = spots.iter().map(|spot| spot.x_mm).collect();
        let ticks = (0..=self.instrument.last_fret())
            .map(|fret| {
                let x = lane.cross(self.instrument.frets[fret]).0;
                (
                    x,
                    if fret == 0 {
                        "nut".into()
                    } else {
                        fret.to_string()
                    },
                )
            })
            .collect();
        let pointed = lane.cross(self.instrument.frets[self.view.pointed.fret]).0;
        // Readings within half a string's distance of the lane stand in its slice.
        let near =
            |spot: Spot| ((spot.y_mm - lane.y_at(spot.x_mm)).abs() < 3.5).then_some(spot.x_mm);
        let cut = Slice {
            title: format!("Under string {string}"),
            along_title: "from the nut (frets above)".into(),
            along_mm: along,
            ticks,
            pointed_mm: Some(pointed),
            ..Slice::default()
        };
        self.filled(cut, &spots, &near)
    }

    fn across_fret(&self) -> Slice {
        let fret = self.view.pointed.fret;
        let line = self.instrument.frets[fret];
        let [treble, bass] = self.instrument.outline.edges_of(line);
        // Drawn as the section is: the treble side at the left.
        let spots: Vec<Spot> = (0..SAMPLES)
            .map(|index| treble.1 + (bass.1 - treble.1) * index as f64 / (SAMPLES - 1) as f64)
            .map(|y_mm| Spot {
                x_mm: line.x_at(y_mm),
                y_mm,
            })
            .collect();
        let along: Vec<f64> = spots.iter().map(|spot| -spot.y_mm).collect();
        let ticks = self
            .instrument
            .lanes
            .iter()
            .enumerate()
            .map(|(index, lane)| (-lane.cross(line).1, (index + 1).to_string()))
            .collect();
        let lane = self.instrument.lanes[self.view.pointed.lane];
        let near =
            |spot: Spot| ((spot.x_mm - line.x_at(spot.y_mm)).abs() < 6.0).then_some(-spot.y_mm);
        let cut = Slice {
            title: match fret {
                0 => "Across the nut".into(),
                _ => format!("Across {}", instrument::fret_name(fret)),
            },
            along_title: "across the board (strings above; treble side at the left)".into(),
            along_mm: along,
            ticks,
            pointed_mm: Some(-lane.cross(line).1),
            ..Slice::default()
        };
        self.filled(cut, &spots, &near)
    }

    /// The cut with everything measured on it.
    fn filled(&self, cut: Slice, spots: &[Spot], near: &dyn Fn(Spot) -> Option<f64>) -> Slice {
        let wood: Vec<(f64, f64)> = spots.iter().map(|spot| self.over_plan(*spot)).collect();
        let proposed_mm = self.report.next.as_ref().ok().map(|next| {
            spots
                .iter()
                .map(|spot| self.target(next, *spot))
                .collect::<Vec<f64>>()
        });
        Slice {
            wood_mm: wood.iter().map(|(value, _)| *value).collect(),
            low_mm: wood.iter().map(|(value, half)| value - half).collect(),
            high_mm: wood.iter().map(|(value, half)| value + half).collect(),
            proposed_mm,
            readings: self.points(near),
            earlier: self
                .earlier
                .iter()
                .map(|(visit, measured)| {
                    let words = format!("visit {}, brought to this level", visit.record.name);
                    (words, level_with(&wood, earlier_slice(measured, spots)))
                })
                .collect(),
            ..cut
        }
    }

    /// Height over the plan, and half its 95 % interval as seen from the wood's mean plane.
    fn over_plan(&self, spot: Spot) -> (f64, f64) {
        let measured = &self.report.measured;
        let sum = measured.sum(&[(spot, 1.0)]);
        let sigma = self
            .report
            .map
            .plane
            .variance_over(measured, spot, &sum)
            .sqrt();
        (sum.value - aimed_at(measured, spot), half_95(sigma))
    }

    fn target(&self, next: &Next, spot: Spot) -> f64 {
        readings::next::plane_at(&self.report.measured, spot)
            .iter()
            .zip(next.target.plane)
            .map(|(share, by)| share * by)
            .sum()
    }

    /// Heights and thicknesses near the slice, over the plan, their datum taken off.
    fn points(&self, near: &dyn Fn(Spot) -> Option<f64>) -> Vec<SlicePoint> {
        let doubted = |line: usize| self.report.doubted.iter().any(|each| each.line == line);
        let wood = self.report.measured.wood();
        self.visit
            .visit
            .readings
            .iter()
            .filter_map(|reading| {
                let (spot, height) = match &reading.what {
                    What::Height {
                        set_up,
                        at,
                        height_mm,
                    } => {
                        let mean = self.report.measured.mean();
                        let datum = wood.datum(mean, *set_up, *at);
                        (*at, height_mm - datum)
                    }
                    What::Thickness { at, thickness_mm } => {
                        (*at, thickness_mm - self.instrument.wood.crown_thickness_mm)
                    }
                    _ => return None,
                };
                Some(SlicePoint {
                    along_mm: near(spot)?,
                    value_mm: height - aimed_at(&self.report.measured, spot),
                    half_mm: half_95(reading.sigma_mm),
                    trust: if doubted(reading.line) {
                        PointTrust::Doubted
                    } else {
                        PointTrust::Taken
                    },
                })
            })
            .collect()
    }
}

/// An earlier slice moved to this one's mean height: how the shape changed is what is compared.
fn level_with(wood: &[(f64, f64)], earlier: Vec<f64>) -> Vec<f64> {
    let count = wood.len().max(1) as f64;
    let now: f64 = wood.iter().map(|(height, _)| height).sum::<f64>() / count;
    let then: f64 = earlier.iter().sum::<f64>() / count;
    earlier
        .into_iter()
        .map(|height| height + now - then)
        .collect()
}

fn earlier_slice(measured: &Measured<'_>, spots: &[Spot]) -> Vec<f64> {
    spots
        .iter()
        .map(|spot| measured.wood().height(measured.mean(), *spot) - aimed_at(measured, *spot))
        .collect()
}
