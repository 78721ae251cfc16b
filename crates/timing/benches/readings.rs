//! How long readings take: a report of two hundred mixed ones, a million heights of a probe, and
//! reading their file; beside a general least-squares library, where one is installed.
//!
//! Goals: 20 ms, 0.5 s and 1 s; the camber at least 20 times as fast as the library.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use bench::effort::WearRate;
use bench::stage::Arch;
use bench::{BenchPlan, Kit, Standing, bench_plan, read_kit};
use instrument::arc::drop;
use instrument::{Instrument, Radius, read_commission};
use readings::fit::Problem;
use readings::measured::Measured;
use readings::next::Allowed;
use readings::pieces::pieces;
use readings::reading::{Cloud, Visit};
use readings::wood::{Believed, Prior, Wood};
use readings::{Ask, read_readings, report};
use timing::Timings;

const HEIGHTS: usize = 1_000_000;
const FEW_RUNS: usize = 7;
const RUNS: usize = 100;
const SIGMA_MM: f64 = 0.005;

fn main() {
    let (instrument, kit, plan) = demo();
    mixed(&instrument, &kit, &plan);
    let visit = million(&instrument);
    let net = with_net(&instrument, &visit);
    println!(
        "{}",
        line("1,000,000 heights, net and prior", &net, "500 ms")
    );
    let camber = Timings::of(FEW_RUNS, || fit(&instrument, &visit, Believed::Nothing));
    println!(
        "{}",
        line("1,000,000 heights, camber only", &camber, "none")
    );
    let text = probe_file(&visit.clouds[0]);
    let reading = Timings::of(FEW_RUNS, || read_readings(&text, &instrument, Some(&kit)));
    println!(
        "{}",
        line("reading a file of 1,000,000 heights", &reading, "1000 ms")
    );
    yardstick(&instrument, &visit, camber.percentile_ms(50.0));
}

fn line(name: &str, timings: &Timings, goal: &str) -> String {
    format!(
        "{name:<40} median {:>9.3} ms   worst {:>9.3} ms   goal {goal}",
        timings.percentile_ms(50.0),
        timings.percentile_ms(100.0)
    )
}

fn demo() -> (Instrument, Kit, BenchPlan) {
    let sound = "the demo is sound";
    let text = include_str!("../../../demo/heron.toml");
    let instrument = read_commission(text, &|name| Err(name.to_owned())).expect(sound);
    let kit = read_kit(include_str!("../../../demo/north-bench.toml")).expect(sound);
    let plan = bench_plan(&instrument, &kit, WearRate::from_logs(&[], kit.hand));
    (instrument, kit, plan)
}

/// The demo's third visit, and lines of it again at other places, until there are two hundred.
fn mixed(instrument: &Instrument, kit: &Kit, plan: &BenchPlan) {
    let text = include_str!("../../../demo/heron-readings.csv");
    let read = read_readings(text, instrument, Some(kit));
    let mut visit = read.visits.last().cloned().unwrap_or_default();
    let again = visit.readings.len().min(200 - visit.readings.len());
    visit.readings.extend_from_within(..again);
    visit.readings.truncate(200);
    let ask = Ask {
        instrument,
        bench: Some((kit, plan)),
        visit: &visit,
        allowed: Allowed::default(),
        tolerance_mm: None,
    };
    let timings = Timings::of(RUNS, || report(&ask).map(|told| told.tolerance_mm));
    let name = format!("report of {} mixed readings", visit.count());
    println!("{}", line(&name, &timings, "20 ms"));
}

/// Heights by a rule that the yardstick states and follows too.
fn million(instrument: &Instrument) -> Visit {
    let last = instrument.fret_x_mm(instrument.last_fret());
    let mut cloud = Cloud {
        set_up: 0,
        lines: (1..=HEIGHTS as u32).collect(),
        x_mm: Vec::with_capacity(HEIGHTS),
        y_mm: Vec::with_capacity(HEIGHTS),
        height_mm: Vec::with_capacity(HEIGHTS),
        sigma_mm: SIGMA_MM,
    };
    for index in 0..HEIGHTS {
        let part = |factor: f64| (index as f64 * factor).fract();
        let u = part(0.618_033_988_749_894_9);
        let y = (2.0 * part(0.754_877_666_246_692_7) - 1.0) * 25.0;
        let noise = part(0.569_840_290_998_053_2) - 0.5;
        let radius = 250.0 + (390.0 - 250.0) * u;
        let plane = 0.2 + 0.03 * u - 0.001 * y + 0.05 * 4.0 * u * (1.0 - u);
        cloud.x_mm.push(u * last);
        cloud.y_mm.push(y);
        let height = plane - drop(Radius::from_mm(radius), y) + 0.02 * noise;
        cloud.height_mm.push(height);
    }
    Visit {
        clouds: vec![cloud],
        ..Visit::default()
    }
}

fn fit<'a>(instrument: &'a Instrument, visit: &'a Visit, believed: Believed) -> Measured<'a> {
    let expected = Standing {
        offset_mm: 0.0,
        arch: Arch::Camber,
        fall_made: true,
    };
    let set_ups = match believed {
        Believed::Nothing => 0,
        Believed::Prior(_) => 1,
    };
    let net = pieces(instrument, visit);
    let problem = Problem {
        wood: Wood::new(instrument, expected, believed, net, set_ups),
        readings: &[],
        clouds: &visit.clouds,
    };
    Measured::of(problem).unwrap_or_else(|error| panic!("{error}"))
}

fn with_net(instrument: &Instrument, visit: &Visit) -> Timings {
    let believed = Believed::Prior(Prior::default());
    Timings::of(FEW_RUNS, || fit(instrument, visit, believed))
}

/// The heights as a probe's program writes them.
fn probe_file(cloud: &Cloud) -> String {
    let mut text = String::from("x,y,z\n");
    for ((x, y), z) in cloud.x_mm.iter().zip(&cloud.y_mm).zip(&cloud.height_mm) {
        // Writing into a text cannot fail; near the nut the board is narrower than the rule's.
        let y = 0.8 * y;
        let _written = writeln!(text, "{x:.3},{y:.3},{z:.4}");
    }
    text
}

/// The same camber through the same heights by a general library, when one is installed.
fn yardstick(instrument: &Instrument, visit: &Visit, ours_ms: f64) {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python: PathBuf = here.join("../../.outside/venv/bin/python");
    if !python.exists() {
        println!("no library in .outside/venv: the yardstick is left out");
        return;
    }
    let last = instrument.fret_x_mm(instrument.last_fret());
    let output = Command::new(python)
        .arg(here.join("yardsticks/least_squares.py"))
        .args([HEIGHTS.to_string(), format!("{last:.17}")])
        .output();
    let Ok(output) = output else {
        println!("the yardstick could not be run");
        return;
    };
    let measured = fit(instrument, visit, Believed::Nothing);
    let radius = |knot: usize| 1.0 / measured.wood().figure(measured.mean(), 5 + knot);
    println!("radii found here {:.9} {:.9} mm", radius(0), radius(1));
    for text in String::from_utf8_lossy(&output.stdout).lines() {
        let seconds = text
            .split_whitespace()
            .nth(2)
            .and_then(|word| word.parse::<f64>().ok());
        let ratio = seconds.map_or(0.0, |seconds| 1e3 * seconds / ours_ms);
        println!("yardstick {text}   {ratio:.1} times ours");
    }
}
