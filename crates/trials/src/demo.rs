//! The demo's readings: three visits to Heron, written from a stated truth and a stated seed.
//!
//! The truth is plain geometry of its own, not the program's model of a wood, so that the demo
//! shows what the program makes of a board that it did not invent.

use bench::effort::WearRate;
use bench::{BenchPlan, Kit, bench_plan, read_kit};
use instrument::{Instrument, Radius, arc, read_commission};
use readings::Spot;
use readings::table::{HEAD, Row, write_line};

use crate::chance::Chance;

/// The seed of the hand's spread.
const SEED: u64 = 20_260_302;

/// The commission and the kit that the readings belong to.
pub const COMMISSION: &str = include_str!("../../../demo/heron.toml");
/// The kit.
pub const KIT: &str = include_str!("../../../demo/north-bench.toml");

/// The board, the kit and the plan of the demo.
pub fn demo_bench() -> (Instrument, Kit, BenchPlan) {
    let sound = "the demo's texts are sound";
    let instrument = read_commission(COMMISSION, &|name| Err(name.to_owned())).expect(sound);
    let kit = read_kit(KIT).expect(sound);
    let plan = bench_plan(&instrument, &kit, WearRate::from_logs(&[], kit.hand));
    (instrument, kit, plan)
}

/// How the wood truly stands at a visit, mm.
struct Truth {
    visit: &'static str,
    date: &'static str,
    stage: String,
    /// The crown over the finished one.
    offset_mm: f64,
    /// Radii at the nut and at the last fret, the radius straight between them.
    radii_mm: [f64; 2],
    /// What the treble edge gains over the bass edge from nut to last fret.
    twist_mm: f64,
    /// The crown midway over the straight line.
    bow_mm: f64,
    /// A low place: fret, lane, how deep, how long and how wide it is to its borders.
    low: Option<Low>,
}

struct Low {
    fret: usize,
    lane: usize,
    depth_mm: f64,
    length_mm: f64,
    width_mm: f64,
}

/// The three truths; the stages are those of the plan.
fn truths(plan: &BenchPlan) -> [Truth; 3] {
    let stage_of = |grade: &str| {
        let found = plan
            .stages
            .iter()
            .rev()
            .find(|stage| stage.grade.name == grade);
        found.map_or_else(Default::default, |stage| {
            (stage.key.clone(), stage.after.offset_mm)
        })
    };
    let last = plan.ladder.grades.last().map_or("", |grade| grade.name);
    let [rough, second, third] = ["P80", "P120", last].map(stage_of);
    [
        Truth {
            visit: "rough",
            date: "2026-03-02",
            stage: rough.0,
            offset_mm: rough.1 + 0.06,
            radii_mm: [262.0, 372.0],
            twist_mm: 0.12,
            bow_mm: 0.08,
            low: None,
        },
        Truth {
            visit: "second",
            date: "2026-03-09",
            stage: second.0,
            offset_mm: second.1 + 0.02,
            radii_mm: [241.0, 398.0],
            twist_mm: 0.01,
            bow_mm: 0.01,
            low: Some(Low {
                fret: 9,
                lane: 4,
                depth_mm: 0.09,
                length_mm: 60.0,
                width_mm: 30.0,
            }),
        },
        Truth {
            visit: "third",
            date: "2026-03-16",
            stage: third.0,
            offset_mm: third.1,
            radii_mm: [240.5, 400.5],
            twist_mm: 0.003,
            bow_mm: 0.003,
            low: None,
        },
    ]
}

/// The whole file.
pub fn demo_readings() -> String {
    let (instrument, kit, plan) = demo_bench();
    let mut text = String::from(
        "# Readings of Heron at three visits, with the tools of the North bench. Invented scenario.\n",
    );
    text += &format!("# Written by a program from seed {SEED} and these truths:\n");
    let truths = truths(&plan);
    for truth in &truths {
        text += &format!("# {}\n", truth.in_words());
    }
    text += HEAD;
    text.push('\n');
    let mut chance = Chance::new(SEED);
    for truth in truths {
        let mut shop = Shop {
            instrument: &instrument,
            kit: &kit,
            truth,
            chance: &mut chance,
            rows: Vec::new(),
        };
        shop.read();
        for (index, row) in shop.rows.iter_mut().enumerate() {
            row.visit = shop.truth.visit.into();
            if index == 0 {
                row.date = shop.truth.date.into();
                row.stage.clone_from(&shop.truth.stage);
            }
            text += &write_line(row);
            text.push('\n');
        }
    }
    text
}

impl Truth {
    fn in_words(&self) -> String {
        let low = self.low.as_ref().map_or_else(String::new, |low| {
            format!(
                ", a low place of {} mm at fret {} in lane {}, {} mm long and {} mm wide",
                low.depth_mm, low.fret, low.lane, low.length_mm, low.width_mm
            )
        });
        format!(
            "{}: crown {:.3} mm over the finished one, radius {} mm at the nut to {} mm at the last fret, twist {} mm, bow {} mm{low}.",
            self.visit,
            self.offset_mm,
            self.radii_mm[0],
            self.radii_mm[1],
            self.twist_mm,
            self.bow_mm
        )
    }
}

/// A place in the words of the file, and where it is.
#[derive(Clone)]
struct Place {
    at: String,
    across: String,
    spot: Spot,
}

/// A visit with its tools.
struct Shop<'a> {
    instrument: &'a Instrument,
    kit: &'a Kit,
    truth: Truth,
    chance: &'a mut Chance,
    rows: Vec<Row>,
}

/// The gauges as the file names them, inches.
const GAUGES_IN: [u32; 3] = [10, 12, 16];
const MM_PER_INCH: f64 = 25.4;

/// One mark of the indicator that is borrowed for the last visit: the shop's own is too coarse to
/// tell the last grade's tolerance.
const FINE_STEP_MM: f64 = 0.002;

/// Across the board from treble to bass, as the probe is moved.
const ACROSS_IN_SIX: [&str; 6] = [
    "treble edge",
    "lane 1",
    "lane 3",
    "lane 4",
    "lane 6",
    "bass edge",
];
const ACROSS_IN_FOUR: [&str; 4] = ["treble edge", "lane 2", "lane 4", "bass edge"];

impl Shop<'_> {
    fn read(&mut self) {
        match self.truth.visit {
            "rough" => {
                self.lights(&[0, 1, 3, 5, 7, 9, 12, 15, 17, 20, 22]);
                self.gaps(&[1, 2, 3, 4, 5, 6], &[5, 12, 17]);
                self.thicknesses(&[0, 12, 22]);
                self.dials(&[1, 9, 20]);
            }
            "second" => {
                self.lights(&[1, 4, 7, 9, 12, 15, 18, 21]);
                self.gaps(&[1, 2, 3, 4, 5, 6], &[5, 9, 15]);
                // Where the straightedge showed a gap it is tried again beside.
                self.gaps(&[3, 4, 5], &[8, 10]);
                self.thicknesses(&[0, 22]);
                self.heights(15, &ACROSS_IN_FOUR, self.kit.probe_step_mm);
                self.chalk(&[(5, "lane 3"), (9, "lane 4"), (9, "lane 1"), (12, "lane 3")]);
            }
            _ => {
                self.lights(&[0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22]);
                self.gaps(&[1, 2, 3, 4, 5, 6], &[5, 9, 15]);
                self.thicknesses(&[0, 12, 22]);
                self.dials(&[1, 12]);
                self.heights(21, &ACROSS_IN_SIX, FINE_STEP_MM);
            }
        }
    }

    /// Height of the true wood over the finished crown at the nut.
    fn height(&self, spot: Spot) -> f64 {
        let Spot { x_mm: x, y_mm: y } = spot;
        let truth = &self.truth;
        let far = self.instrument.fret_x_mm(self.instrument.last_fret());
        let u = x / far;
        let radius = truth.radii_mm[0] + u * (truth.radii_mm[1] - truth.radii_mm[0]);
        let twist = truth.twist_mm * u * y / self.instrument.outline.width(far);
        let low = truth.low.as_ref().map_or(0.0, |low| self.low(low, spot));
        truth.offset_mm + twist + truth.bow_mm * 4.0 * u * (1.0 - u)
            - arc::drop(Radius::from_mm(radius), y)
            - low
    }

    /// A low place is deepest in its middle and runs out smoothly: at its stated borders a ninth
    /// of its depth is left.
    fn low(&self, low: &Low, spot: Spot) -> f64 {
        let x = self.instrument.fret_x_mm(low.fret);
        let y = self.instrument.lanes[low.lane - 1].y_at(x);
        let along = 2.0 * (spot.x_mm - x) / low.length_mm;
        let across = 2.0 * (spot.y_mm - y) / low.width_mm;
        low.depth_mm * 9f64.powf(-(along * along + across * across))
    }

    /// The place of a fret's line.
    fn place(&self, fret: usize, across: &str) -> Place {
        let at = match fret {
            0 => "nut".to_owned(),
            fret => format!("fret {fret}"),
        };
        self.place_at(at, self.instrument.fret_x_mm(fret), across)
    }

    fn place_at(&self, at: String, x_mm: f64, across: &str) -> Place {
        let half = self.instrument.outline.half_width(x_mm);
        let y_mm = match across {
            "treble edge" => half,
            "bass edge" => -half,
            lane => lane
                .strip_prefix("lane ")
                .and_then(|number| number.parse::<usize>().ok())
                .map_or(0.0, |lane| self.instrument.lanes[lane - 1].y_at(x_mm)),
        };
        Place {
            at,
            across: across.to_owned(),
            spot: Spot { x_mm, y_mm },
        }
    }

    fn rise(&self, x_mm: f64, half: f64) -> f64 {
        let at = |y_mm| self.height(Spot { x_mm, y_mm });
        at(0.0) - 0.5 * (at(half) + at(-half))
    }

    /// A figure as it is read: spread by the hand, then rounded to the tool's step.
    fn shown(&mut self, true_mm: f64, step: f64) -> f64 {
        let hand = 0.4 * step * self.chance.bell();
        ((true_mm + hand) / step).round() * step
    }

    fn lights(&mut self, frets: &[usize]) {
        for fret in frets {
            let place = self.place(*fret, "");
            let x_mm = place.spot.x_mm;
            let half = self.instrument.outline.half_width(x_mm);
            let finished = self.instrument.camber.radius(x_mm).mm();
            let off = |inches: u32| (f64::from(inches) * MM_PER_INCH - finished).abs();
            let nearest = GAUGES_IN
                .into_iter()
                .min_by(|a, b| off(*a).total_cmp(&off(*b)));
            let inches = nearest.unwrap_or(12);
            let gauge = Radius::from_mm(f64::from(inches) * MM_PER_INCH);
            let smallest = self.kit.smallest_light_mm;
            let light = self.rise(x_mm, half) - arc::drop(gauge, half);
            // Light is guessed to half of the smallest that is seen.
            let light = self.shown(light, 0.5 * smallest);
            let (shows, value) = match light {
                light if light.abs() < smallest => ("none", String::new()),
                light if light > 0.0 => ("edges", format!("{light:.2} mm")),
                light => ("crown", format!("{:.2} mm", -light)),
            };
            self.rows.push(Row {
                kind: "light".into(),
                tool: format!("{inches} in"),
                at: place.at,
                shows: shows.into(),
                value,
                ..Row::default()
            });
        }
    }

    /// Under the long straightedge from nut to last fret, in every lane.
    fn gaps(&mut self, lanes: &[usize], frets: &[usize]) {
        for lane in lanes {
            for fret in frets {
                self.gap(&format!("lane {lane}"), *fret);
            }
        }
    }

    fn gap(&mut self, across: &str, fret: usize) {
        let last = self.instrument.last_fret();
        let [from, at, to] = [0, fret, last].map(|fret| self.place(fret, across));
        let share = at.spot.x_mm / to.spot.x_mm;
        let chord = (1.0 - share) * self.height(from.spot) + share * self.height(to.spot);
        let under = chord - self.height(at.spot);
        let gap = self.shown(under, self.kit.feeler_step_mm);
        let least = self.kit.least_feeler_mm;
        let mut row = Row {
            kind: "gap".into(),
            tool: "500 mm".into(),
            at: at.at,
            across: across.into(),
            ..Row::default()
        };
        if gap >= least {
            row.value = format!("{gap:.2} mm");
        } else if gap > -least {
            row.shows = "none".into();
        } else {
            row.kind = "rock".into();
            row.value = format!("{least:.2} mm");
        }
        self.rows.push(row);
    }

    fn thicknesses(&mut self, frets: &[usize]) {
        for fret in frets {
            let place = self.place(*fret, "centre");
            let true_mm = self.instrument.wood.crown_thickness_mm + self.height(place.spot);
            let shown = self.shown(true_mm, self.kit.caliper_step_mm);
            self.rows.push(Row {
                kind: "thickness".into(),
                tool: "caliper".into(),
                at: place.at,
                across: place.across,
                value: format!("{shown:.2} mm"),
                ..Row::default()
            });
        }
    }

    fn dials(&mut self, frets: &[usize]) {
        let Some(dial) = self.kit.dials.first().copied() else {
            return;
        };
        for fret in frets {
            let place = self.place(*fret, "");
            let rise = self.rise(place.spot.x_mm, 0.5 * dial.chord_mm);
            let shown = self.shown(rise, dial.resolution_mm);
            self.rows.push(Row {
                kind: "sagitta".into(),
                tool: format!("{} mm", dial.chord_mm),
                at: place.at,
                value: format!("{shown:.2} mm"),
                ..Row::default()
            });
        }
    }

    /// The probe, whose datum lies as it was set up: so high at the nut, with two tilts.
    fn heights(&mut self, stations: usize, across: &[&str], step_mm: f64) {
        let datum = self.chance.between(-3.0, 3.0);
        let [tilt_along, tilt_across] = [1e-3, 3e-3].map(|tilt| self.chance.between(-tilt, tilt));
        // From nut to end in even steps, to whole millimetres.
        let end = self.instrument.end_x_mm();
        for station in 0..stations {
            let x_mm = (end * station as f64 / (stations - 1) as f64).floor();
            for word in across {
                let place = self.place_at(format!("{x_mm}"), x_mm, word);
                let tilted = datum + tilt_along * x_mm + tilt_across * place.spot.y_mm;
                let height = self.height(place.spot) + tilted;
                let shown = self.shown(height, step_mm);
                self.rows.push(Row {
                    kind: "height".into(),
                    tool: "probe".into(),
                    at: place.at,
                    across: place.across,
                    value: format!("{shown:.3} mm"),
                    resolution: if step_mm < self.kit.probe_step_mm {
                        format!("{step_mm} mm")
                    } else {
                        String::new()
                    },
                    ..Row::default()
                });
            }
        }
    }

    /// Chalk under the flattest gauge, rubbed square across at a patch: it rests on the
    /// crown or on both edges, and chalk goes where it stands off less than that is thick.
    fn chalk(&mut self, patches: &[(usize, &str)]) {
        let gauge = Radius::from_mm(f64::from(GAUGES_IN[2]) * MM_PER_INCH);
        for (fret, across) in patches {
            let place = self.place(*fret, across);
            let x_mm = place.spot.x_mm;
            let half = self.instrument.outline.half_width(x_mm);
            let out = |y_mm: f64| self.height(Spot { x_mm, y_mm }) + arc::drop(gauge, y_mm);
            let rests = out(0.0).max(0.5 * (out(half) + out(-half)));
            let off = rests - out(place.spot.y_mm);
            let hand = 0.5 * self.kit.chalk_layer_mm * self.chance.bell();
            let gone = off + hand < self.kit.chalk_layer_mm;
            self.rows.push(Row {
                kind: "chalk".into(),
                tool: format!("{} in", GAUGES_IN[2]),
                at: place.at,
                across: place.across,
                shows: if gone { "gone" } else { "stayed" }.into(),
                ..Row::default()
            });
        }
    }
}
