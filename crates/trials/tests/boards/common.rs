//! What the trials share: reading the texts, the plane geometry of an arch, sampling a board.

use bench::effort::WearRate;
use bench::{BenchPlan, Kit, bench_plan, read_kit};
use instrument::{Instrument, read_commission};
use trials::{Commission, KitText};

/// Rounding of lengths worked out in two ways, mm: a millionth of a micrometre.
pub const LENGTH_ROUNDING_MM: f64 = 1e-9;

pub fn no_files(name: &str) -> Result<String, String> {
    Err(format!("no file {name} here"))
}

/// The instrument, or nothing when the text is refused; a refusal must say why.
pub fn try_read(board: &Commission) -> Option<Instrument> {
    match read_commission(&board.to_toml(), &no_files) {
        Ok(instrument) => Some(instrument),
        Err(faults) => {
            assert!(
                !faults.is_empty(),
                "refused without a fault:\n{}",
                board.to_toml()
            );
            assert!(faults.0.iter().all(|fault| !fault.message.is_empty()));
            None
        }
    }
}

pub fn read(board: &Commission) -> Instrument {
    read_commission(&board.to_toml(), &no_files)
        .unwrap_or_else(|faults| panic!("{faults}\n{}", board.to_toml()))
}

pub fn read_the_kit(kit: &KitText) -> Kit {
    read_kit(&kit.to_toml()).unwrap_or_else(|faults| panic!("{faults}\n{}", kit.to_toml()))
}

/// A plan at the stated default wear rate: nothing is logged.
pub fn plan(instrument: &Instrument, kit: &Kit) -> BenchPlan {
    bench_plan(instrument, kit, WearRate::from_logs(&[], kit.hand))
}

/// How far an arc of a radius lies under its crown: `R - sqrt(R² - y²)`, written as
/// `y² / (R + sqrt(R² - y²))` so that a flat board is no special case of cancellation.
pub fn drop_mm(radius_mm: f64, y: f64) -> f64 {
    if radius_mm.is_infinite() {
        return 0.0;
    }
    y * y / (radius_mm + (radius_mm * radius_mm - y * y).sqrt())
}

/// Height of the finished surface at a point, its crown at the nut being zero, mm.
pub fn finished_mm(instrument: &Instrument, (x, y): (f64, f64)) -> f64 {
    -instrument.camber.fall(x) - drop_mm(instrument.camber.radius(x).mm(), y)
}

/// The radius of the tightest block whose zone holds `x`, mm; infinite where the wood is flat.
pub fn tightest_mm(plan: &BenchPlan, x: f64) -> f64 {
    let zones = plan.zones.iter();
    let holding = zones.filter(|zone| {
        zone.spans
            .iter()
            .any(|span| span.from_mm <= x && x <= span.to_mm)
    });
    holding
        .map(|zone| zone.block.radius.mm())
        .fold(f64::INFINITY, f64::min)
}

/// Every end of every zone, mm.
pub fn zone_ends(plan: &BenchPlan) -> Vec<f64> {
    let spans = plan.zones.iter().flat_map(|zone| &zone.spans);
    spans.flat_map(|span| [span.from_mm, span.to_mm]).collect()
}

/// Just beside a zone's end, mm: far more than rounding, far less than anything is steep.
pub const BESIDE_MM: f64 = 1e-7;

/// Points of the board: `columns` sections along it with `rows` points from edge to edge, the
/// corners, the crown, and sections on both sides of every place in `steps`.
pub fn points(
    instrument: &Instrument,
    columns: usize,
    rows: usize,
    steps: &[f64],
) -> Vec<(f64, f64)> {
    let outline = &instrument.outline;
    let (from, to) = outline.reach();
    let mut xs: Vec<f64> = (0..=columns)
        .map(|i| from + (to - from) * i as f64 / columns as f64)
        .collect();
    let kinks = instrument.breaks();
    for step in steps.iter().chain(&kinks) {
        xs.extend([step - BESIDE_MM, step + BESIDE_MM]);
    }
    let mut points = outline.corners().to_vec();
    for x in xs {
        let Some((low, high)) = outline.span(x) else {
            continue;
        };
        points.extend((0..=rows).map(|row| (x, low + (high - low) * row as f64 / rows as f64)));
        if low < 0.0 && high > 0.0 {
            points.push((x, 0.0));
        }
    }
    points
}

/// Integral over the board by the midpoint rule: cells between `steps`, `columns` along each
/// piece and `rows` across.
pub fn midpoint_volume(
    instrument: &Instrument,
    steps: &[f64],
    columns: usize,
    rows: usize,
    height: impl Fn(f64, f64) -> f64,
) -> f64 {
    let (from, to) = instrument.outline.reach();
    let mut cuts: Vec<f64> = steps.iter().copied().chain(instrument.breaks()).collect();
    cuts.retain(|cut| *cut > from && *cut < to);
    cuts.extend([from, to]);
    cuts.sort_by(f64::total_cmp);
    let mut volume = 0.0;
    for pair in cuts.windows(2) {
        let width = (pair[1] - pair[0]) / columns as f64;
        for column in 0..columns {
            let x = pair[0] + width * (column as f64 + 0.5);
            let Some((low, high)) = instrument.outline.span(x) else {
                continue;
            };
            let step = (high - low) / rows as f64;
            let line: f64 = (0..rows)
                .map(|row| height(x, low + step * (row as f64 + 0.5)))
                .sum();
            volume += line * step * width;
        }
    }
    volume
}

/// Fails with the texts at hand when figures worked out in two ways differ by more than rounding.
#[track_caller]
pub fn same(what: &str, a: f64, b: f64, within: f64, board: &Commission) {
    assert!(
        (a - b).abs() <= within,
        "{what}: {a} and {b}\n{}",
        board.to_toml()
    );
}
