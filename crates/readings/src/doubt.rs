//! Which readings are doubted, and why: those that all the others together would not have
//! foretold.

use crate::bell::{HALF_95, share_below};
use crate::heights::wild_heights;
use crate::measured::Measured;
use crate::normal::{along, huber, merged};
use crate::observe::{Found, Statement};
use crate::reading::Reading;

/// A reading is doubted when it lies further than this from what the others foretell, in
/// standard uncertainties of the difference: with bells that happens once in 16,000 sound ones.
pub const DOUBT_LIMIT: f64 = 4.0;

/// Heights in bulk that are named at the most, for each cloud.
const MOST_NAMED: usize = 20;

/// A reading that the others would not have foretold.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubted {
    /// Its line in the text it was read from.
    pub line: usize,
    /// Its kind.
    pub kind: &'static str,
    /// Its place in words; empty for heights in bulk.
    pub place: String,
    /// What was typed, as the height sum that it states, mm; nothing for a window.
    pub read_mm: Option<f64>,
    /// What the others foretell of it, mm.
    pub foretold_mm: f64,
    /// Half the 95 % interval of that, mm.
    pub foretold_half_mm: f64,
    /// How far off it is, in standard uncertainties of the difference.
    pub off: f64,
    /// What may have happened, for the maker.
    pub hint: Option<Hint>,
}

/// What a wrong figure looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hint {
    /// It is about ten times what is foretold.
    TenTimes,
    /// It is about a tenth of what is foretold.
    ATenth,
    /// It would fit as inches, or was typed in inches and is not.
    Inches,
    /// It would fit with the other sign: edges for crown, or a hump for a gap.
    OtherSign,
}

/// The readings that are doubted, furthest off first.
pub fn doubted(measured: &Measured<'_>) -> Vec<Doubted> {
    let mut doubted = Vec::new();
    let mut site = 0;
    for (index, reading) in measured.problem.readings.iter().enumerate() {
        let statement = &measured.mode.statements[index];
        match statement.found {
            Found::Value(value) => doubted.extend(of_value(measured, reading, statement, value)),
            Found::Within(_) => {
                doubted.extend(of_window(measured, reading, site));
                site += 1;
            }
        }
    }
    for cloud in measured.problem.clouds {
        let wild = wild_heights(
            measured.wood(),
            &measured.known.mean,
            cloud,
            bulk_limit(cloud.x_mm.len()),
            MOST_NAMED,
        );
        doubted.extend(wild.into_iter().map(|(height, off)| Doubted {
            line: cloud.lines[height] as usize,
            kind: "height",
            place: String::new(),
            read_mm: Some(cloud.height_mm[height]),
            foretold_mm: cloud.height_mm[height] - off * cloud.sigma_mm,
            foretold_half_mm: HALF_95 * cloud.sigma_mm,
            off,
            hint: None,
        }));
    }
    doubted.sort_by(|a, b| b.off.abs().total_cmp(&a.off.abs()));
    doubted
}

/// Among many heights a few sound ones are far off: the limit grows so that less than one in
/// sixteen thousand sets has a sound height named.
fn bulk_limit(count: usize) -> f64 {
    -crate::bell::quantile(0.5 * (2.0 * share_below(-DOUBT_LIMIT)) / count.max(1) as f64)
}

/// A value against what all else foretells: its own share is taken out of the mean and of the
/// variance again.
fn of_value(
    measured: &Measured<'_>,
    reading: &Reading,
    statement: &Statement,
    value: f64,
) -> Option<Doubted> {
    // The reading's share was counted at the likeliest wood: it must be taken out with the same
    // derivatives, or more would be taken out than went in.
    let mode = &measured.mode.unknowns;
    let (at_mode, row) = statement.sum(measured.wood(), mode.as_slice());
    let row = merged(row);
    let variance = measured.variance(&row);
    let sum = at_mode + along(&row, &(&measured.known.mean - mode));
    let sigma = statement.sigma_mm;
    let (_, weight) = huber((at_mode - value) / sigma);
    let own = weight / (sigma * sigma);
    let left = 1.0 / variance - own;
    // Nothing but rounding is left: nobody foretells it.
    if left <= 1e-9 / variance {
        return None;
    }
    let without = 1.0 / left;
    let foretold = without * (sum / variance - own * value);
    let off = (value - foretold) / (without + sigma * sigma).sqrt();
    (off.abs() > DOUBT_LIMIT).then(|| Doubted {
        line: reading.line,
        kind: reading.what.kind(),
        place: reading.place.clone(),
        read_mm: Some(value),
        foretold_mm: foretold,
        foretold_half_mm: HALF_95 * without.sqrt(),
        off,
        hint: hint(reading, statement, value, (foretold, without.sqrt())),
    })
}

/// A window against what all else foretells: doubted when finding the sum in it was as unlikely
/// as a value [`DOUBT_LIMIT`] off.
fn of_window(measured: &Measured<'_>, reading: &Reading, site: usize) -> Option<Doubted> {
    let (site, bell) = (&measured.mode.sites[site], &measured.known.bells[site]);
    let image = measured.image(&site.row);
    let variance = along(&site.row, &image);
    let moved = along(&site.row, &(&measured.known.mean - &measured.mode.unknowns));
    let without = 1.0 / (1.0 / variance - bell.precision).max(1e-9 / variance);
    let foretold = site.sum + without * (moved / variance - bell.shift);
    let spread = (without + site.sigma * site.sigma).sqrt();
    let surprise = site.window.surprise(foretold, spread);
    let limit = -(2.0 * share_below(-DOUBT_LIMIT)).ln();
    (surprise.value > limit).then(|| Doubted {
        line: reading.line,
        kind: reading.what.kind(),
        place: reading.place.clone(),
        read_mm: None,
        foretold_mm: foretold,
        foretold_half_mm: HALF_95 * without.sqrt(),
        off: (2.0 * surprise.value).sqrt() * -surprise.slope.signum(),
        hint: None,
    })
}

/// A slip explains a figure when the figure without it lies within this many standard
/// uncertainties of what is foretold.
const EXPLAINED: f64 = 3.0;

/// No slip is told from another where what is foretold lies nearer to nothing than this.
const SOMETHING: f64 = 2.0;

/// What the figure that was typed looks like beside the figure that was to be expected, with its
/// standard uncertainty: the commonest slip that explains it, when one does. Light is typed over
/// the gauge's own rise, which is taken off first.
fn hint(
    reading: &Reading,
    statement: &Statement,
    value: f64,
    (foretold, foretold_sigma): (f64, f64),
) -> Option<Hint> {
    let typed = typed_mm(reading)?;
    let expected = foretold - (value - typed);
    // Commonest first: where two explain a figure it is rather the decimal point.
    let slips = [
        (10.0, Hint::TenTimes),
        (0.1, Hint::ATenth),
        (25.4, Hint::Inches),
        (1.0 / 25.4, Hint::Inches),
        (-1.0, Hint::OtherSign),
    ];
    // The slip came after the reading, so that without it the reading is as uncertain as any.
    let spread = statement.sigma_mm.hypot(foretold_sigma);
    if expected.abs() < SOMETHING * spread {
        return None;
    }
    slips
        .into_iter()
        .find(|(factor, _)| (typed / factor - expected).abs() < EXPLAINED * spread)
        .map(|(_, hint)| hint)
}

/// The figure as it was typed, where its zero means something.
fn typed_mm(reading: &Reading) -> Option<f64> {
    use crate::reading::{Amount, Gap, Seen, What};
    match &reading.what {
        What::Light {
            seen: Seen::Edges(Amount::Mm(light)),
            ..
        } => Some(*light),
        What::Light {
            seen: Seen::Crown(Amount::Mm(light)),
            ..
        } => Some(-*light),
        What::Gap {
            gap: Gap::Mm(gap), ..
        } => Some(*gap),
        What::Sagitta { sagitta_mm, .. } => Some(*sagitta_mm),
        _ => None,
    }
}
