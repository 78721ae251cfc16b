//! Readings: a mixture of 200 with covariance and next step, a million heights, a file of a
//! million lines; and the same seven-parameter camber by scipy beside it, in the same run.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

use std::fmt::Write as _;
use std::process::Command;

use bench::{Kit, Standing};
use camberwright::demo;
use instrument::arc::drop;
use instrument::{Instrument, Radius};
use readings::fit::Problem;
use readings::measured::Measured;
use readings::next::Allowed;
use readings::reading::{Cloud, Visit};
use readings::wood::{Believed, Prior, Wood};
use readings::{Ask, read_readings, report};
use timing::figures::beside;
use timing::{Timings, line};

const HEIGHTS: usize = 1_000_000;
/// What scipy does too.
const CAMBER: &str = "1,000,000 heights, seven parameters";

fn main() {
    let no_files = |_: &str| Err("none".to_owned());
    let instrument = instrument::read_commission(demo::COMMISSIONS[0].text, &no_files)
        .expect("the demo is sound");
    let kit = bench::read_kit(demo::KIT.text).expect("the demo is sound");
    mixed(&instrument, &kit);
    let visit = Visit {
        set_ups: vec!["1".into()],
        clouds: vec![heights()],
        ..Visit::default()
    };
    let camber = million(&instrument, &visit);
    file_of_a_million(&instrument, &visit.clouds[0]);
    scipy(camber);
}

/// 200 readings of all kinds, through to the next step.
fn mixed(instrument: &Instrument, kit: &Kit) {
    let wear = bench::effort::WearRate::from_logs(&[], kit.hand);
    let plan = bench::bench_plan(instrument, kit, wear);
    let out = read_readings(&mixture(instrument, kit), instrument, Some(kit));
    assert!(out.faults.is_empty(), "{}", out.faults);
    let visit = &out.visits[0];
    assert_eq!(visit.count(), 200);
    let ask = Ask {
        instrument,
        bench: Some((kit, &plan)),
        visit,
        allowed: Allowed::default(),
        tolerance_mm: None,
    };
    let timings = Timings::of(200, || report(&ask).map(|report| report.tolerance_mm));
    println!(
        "{}",
        line("200 mixed readings, to the next step", &timings, "20 ms")
    );
}

/// 40 lights, 60 gaps, 20 dials, 20 thicknesses, 50 heights, 10 patches of chalk, near the plan.
fn mixture(instrument: &Instrument, kit: &Kit) -> String {
    let mut text = String::from("kind,tool,at,across,shows,value\n");
    let mut add = |line: String| {
        let _cannot_fail = writeln!(text, "{line}");
    };
    let hair = |index: usize| 0.02 * ((index * 7919 % 101) as f64 / 101.0 - 0.5);
    for index in 0..40 {
        let fret = index % 21 + 1;
        let station = bench::gauges::gauge_station(instrument, kit, fret).expect("has gauges");
        let gauge = station.gauge.mm();
        let light = station.light_mm + hair(index);
        let seen = match light {
            light if light.abs() < 0.02 => "none,".to_owned(),
            light if light > 0.0 => format!("edges,{light:.3}"),
            light => format!("crown,{:.3}", -light),
        };
        add(format!("light,{gauge} mm,fret {fret},,{seen}"));
    }
    for index in 0..60 {
        let (lane, fret) = (index % 6 + 1, index % 20 + 1);
        let gap = 0.04 + hair(index);
        add(match index % 3 {
            0 => format!("gap,,fret {fret},lane {lane},none,"),
            _ => format!("gap,,fret {fret},lane {lane},,{gap:.3}"),
        });
    }
    for index in 0..20 {
        let fret = index + 1;
        let radius = instrument.camber.radius(instrument.fret_x_mm(fret));
        let sagitta = drop(radius, 20.0) + hair(index);
        add(format!("sagitta,40 mm,fret {fret},,,{sagitta:.3}"));
    }
    for index in 0..70 {
        let (lane, fret) = (index % 6, index % 22);
        let (x, y) = instrument.lanes[lane].cross(instrument.frets[fret]);
        let height = instrument.camber.height(x, y) + hair(index);
        let place = format!("{x:.4},{y:.4}");
        add(match index {
            0..20 => format!("thickness,,{place},,{:.3}", 6.0 + height),
            _ => format!("height,,{place},,{height:.3}"),
        });
    }
    for index in 0..10 {
        let fret = index + 5;
        let stays = if index % 2 == 0 { "gone" } else { "stayed" };
        add(format!("chalk,16 in,fret {fret},lane 3,{stays},"));
    }
    text
}

/// A million heights by a rule that `yardsticks/least_squares.py` follows too: places from the
/// multiples of two irrational numbers, a cone with every fault, a hair of noise.
fn heights() -> Cloud {
    let (mut x_mm, mut y_mm, mut height_mm) = (Vec::new(), Vec::new(), Vec::new());
    for index in 0..HEIGHTS {
        let i = index as f64;
        let part = |step: f64| (i * step).fract();
        let (x, y) = (
            460.0 * part(0.618_033_988_75),
            42.0 * (part(0.754_877_666_25) - 0.5),
        );
        let u = x / 456.809_15;
        let radius = Radius::from_mm(243.0 + (391.0 - 243.0) * u);
        let plane = 0.3 - 0.12 * u + 0.004 * y + 0.001 * u * y + 0.05 * 4.0 * u * (1.0 - u);
        let noise = 0.007 * (std::f64::consts::TAU * part(0.569_840_290_99)).cos();
        x_mm.push(x);
        y_mm.push(y);
        height_mm.push(plane - drop(radius, y) + noise);
    }
    Cloud {
        set_up: 0,
        lines: (1..=HEIGHTS as u32).collect(),
        x_mm,
        y_mm,
        height_mm,
        sigma_mm: 0.005,
    }
}

fn fit(instrument: &Instrument, visit: &Visit, believed: Believed) -> Vec<f64> {
    let set_ups = match believed {
        Believed::Prior(_) => 1,
        Believed::Nothing => 0,
    };
    let pieces = readings::pieces::pieces(instrument, visit);
    let wood = Wood::new(instrument, Standing::finished(), believed, pieces, set_ups);
    let problem = Problem {
        wood,
        readings: &[],
        clouds: &visit.clouds,
    };
    let measured = Measured::of(problem).expect("a million heights tell it");
    (0..7)
        .map(|index| measured.wood().figure(measured.mean(), index))
        .collect()
}

/// A million heights: the whole model, and the camber alone, whose median is returned in seconds.
fn million(instrument: &Instrument, visit: &Visit) -> f64 {
    let whole = Timings::of(10, || {
        fit(instrument, visit, Believed::Prior(Prior::default()))
    });
    println!(
        "{}",
        line("1,000,000 heights, net and covariance", &whole, "500 ms")
    );
    let camber = Timings::of(10, || fit(instrument, visit, Believed::Nothing));
    println!("{}", line(CAMBER, &camber, "scipy / 20"));
    let found = fit(instrument, visit, Believed::Nothing);
    println!(
        "  radii found {:.4} and {:.4} mm; planted 243 and 391",
        1.0 / found[5],
        1.0 / found[6]
    );
    camber.percentile_ms(50.0) / 1e3
}

fn file_of_a_million(instrument: &Instrument, cloud: &Cloud) {
    let mut text = String::from("x_mm,y_mm,z_mm\n");
    for index in 0..HEIGHTS {
        let (x, y, z) = (cloud.x_mm[index], cloud.y_mm[index], cloud.height_mm[index]);
        let _cannot_fail = writeln!(text, "{x:.4},{y:.4},{z:.4}");
    }
    let timings = Timings::of(10, || read_readings(&text, instrument, None).count());
    println!("{}", line("a file of 1,000,000 lines", &timings, "1000 ms"));
}

/// The same camber through the same heights by `scipy.optimize.least_squares`.
fn scipy(ours_s: f64) {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    let python = format!("{root}/.outside/venv/bin/python");
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/yardsticks/least_squares.py");
    let output = match Command::new(&python).arg(script).output() {
        Ok(output) if output.status.success() => output,
        _ => {
            println!("scipy: left out; ./check makes the Python environment it needs");
            return;
        }
    };
    let words = String::from_utf8_lossy(&output.stdout);
    print!("{words}");
    let best = words
        .lines()
        .filter_map(|line| {
            line.rsplit_once(' ')?
                .0
                .rsplit_once(' ')?
                .1
                .parse::<f64>()
                .ok()
        })
        .fold(f64::INFINITY, f64::min);
    let times = best / ours_s;
    println!("  scipy's best is {times:.1} times ours");
    beside(
        CAMBER,
        "scipy's least_squares, the best of its ways",
        times,
        "20",
    );
    if let Some(robust) = words
        .lines()
        .find(|line| line.contains("Huber"))
        .and_then(|line| {
            line.rsplit_once(' ')?
                .0
                .rsplit_once(' ')?
                .1
                .parse::<f64>()
                .ok()
        })
    {
        let times = robust / ours_s;
        println!("  the same problem, wild heights by Huber's rule: {times:.1} times ours");
        beside(
            CAMBER,
            "scipy's least_squares with Huber's loss, as ours",
            times,
            "",
        );
    }
}
