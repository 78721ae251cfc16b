//! The figures by which a maker knows a board: crown, pitch, roll, twist, bow, and the radius a
//! gauge would find, each with its 95 % interval and with what the readings added.

use instrument::arc::radius_of_drop;
use instrument::fret_name;

use crate::bell::HALF_95;
use crate::measured::{Figure, Measured};
use crate::observe::rise;
use crate::reading::Spot;

/// A figure of the wood.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Its name in records, its unit last: `radius_at_nut_mm`.
    pub name: String,
    /// Its name for people.
    pub title: String,
    /// What it means.
    pub meaning: &'static str,
    /// The figure, mm. A radius may be infinite: flat.
    pub value_mm: f64,
    /// Lower end of its 95 % interval, mm.
    pub low_mm: f64,
    /// Upper end, mm; infinite when the readings do not exclude flat.
    pub high_mm: f64,
    /// The same figure at the likeliest wood, where the least squares are, mm.
    pub likeliest_mm: f64,
    /// Share of the doubt before reading that is left, 0 to 1: near 1 the readings tell nothing.
    pub doubt_left: f64,
    /// The heights that it sums.
    pub spots: Vec<(Spot, f64)>,
    /// Whether it is a height or the radius of a rise.
    pub kind: Kind,
}

/// What sort of figure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A height or a difference of heights.
    Height,
    /// The radius whose arc rises so much over this half-width, mm.
    Radius {
        /// The half-width.
        half_width_mm: f64,
    },
}

impl Kind {
    /// The figure that a sum of heights stands for.
    pub fn figure_mm(self, sum: f64) -> f64 {
        match self {
            Kind::Height => sum,
            Kind::Radius { half_width_mm } => radius_of_drop(sum, half_width_mm).mm(),
        }
    }
}

/// All of them.
pub fn figures(measured: &Measured<'_>) -> Vec<Told> {
    let instrument = measured.wood().instrument;
    let last = instrument.last_fret();
    let far = instrument.fret_x_mm(last);
    let mut told = Vec::new();
    for (name, title, meaning, spots) in height_figures(measured, far) {
        let (name, title) = (name.to_owned(), title.to_owned());
        told.push(tell(measured, name, title, meaning, spots, Kind::Height));
    }
    for fret in radius_frets(measured) {
        // On a slanted nut the nearest whole section stands for it.
        let (from, to) = instrument.outline.square_span();
        let x = instrument.fret_x_mm(fret).max(from).min(to);
        let half_width_mm = instrument.outline.gauge_reach(x);
        let name = match fret {
            0 => "radius_at_nut_mm".to_owned(),
            fret if fret == last => "radius_at_last_fret_mm".to_owned(),
            fret => format!("radius_at_fret_{fret}_mm"),
        };
        let title = match fret {
            0 => "radius at the nut".to_owned(),
            fret => format!("radius at {}", fret_name(fret)),
        };
        let meaning = "radius of the circle through crown and both edges: what a gauge finds";
        let kind = Kind::Radius { half_width_mm };
        told.push(tell(
            measured,
            name,
            title,
            meaning,
            rise(x, half_width_mm),
            kind,
        ));
    }
    told
}

/// A figure that is a height: its name in records, for people, its meaning, and what it sums.
type HeightFigure = (&'static str, &'static str, &'static str, Vec<(Spot, f64)>);

fn height_figures(measured: &Measured<'_>, far: f64) -> [HeightFigure; 5] {
    [
        (
            "crown_at_nut_mm",
            "crown at the nut",
            "height of the wood on the centreline at the nut over the finished crown",
            vec![(crown(0.0), 1.0)],
        ),
        (
            "pitch_mm",
            "pitch",
            "how much higher the crown stands at the last fret than at the nut",
            vec![(crown(far), 1.0), (crown(0.0), -1.0)],
        ),
        (
            "roll_at_nut_mm",
            "roll at the nut",
            "how much higher the treble edge stands than the bass edge at the nut",
            across(measured, 0.0, 1.0),
        ),
        (
            "twist_mm",
            "twist",
            "how much that grows by, to the last fret",
            [across(measured, far, 1.0), across(measured, 0.0, -1.0)].concat(),
        ),
        (
            "bow_mm",
            "bow",
            "height of the crown midway over the straight line from nut to last fret",
            vec![
                (crown(0.5 * far), 1.0),
                (crown(0.0), -0.5),
                (crown(far), -0.5),
            ],
        ),
    ]
}

fn crown(x_mm: f64) -> Spot {
    Spot { x_mm, y_mm: 0.0 }
}

/// Treble side less bass side at `x`, as far out as both go, times `factor`.
fn across(measured: &Measured<'_>, x_mm: f64, factor: f64) -> Vec<(Spot, f64)> {
    let half = measured.wood().instrument.outline.gauge_reach(x_mm);
    let at = |y_mm| Spot { x_mm, y_mm };
    vec![(at(half), factor), (at(-half), -factor)]
}

/// The nut, the last fret, fret 12, and the fret nearest to every knot of the camber.
fn radius_frets(measured: &Measured<'_>) -> Vec<usize> {
    let instrument = measured.wood().instrument;
    let nearest = |x: f64| {
        (0..=instrument.last_fret())
            .min_by(|a, b| {
                let off = |fret: usize| (instrument.fret_x_mm(fret) - x).abs();
                off(*a).total_cmp(&off(*b))
            })
            .unwrap_or(0)
    };
    let mut frets: Vec<usize> = instrument
        .camber
        .knots()
        .iter()
        .map(|knot| nearest(knot.x_mm))
        .chain([0, 12.min(instrument.last_fret()), instrument.last_fret()])
        .collect();
    frets.sort_unstable();
    frets.dedup();
    frets
}

fn tell(
    measured: &Measured<'_>,
    name: String,
    title: String,
    meaning: &'static str,
    spots: Vec<(Spot, f64)>,
    kind: Kind,
) -> Told {
    let sum = measured.sum(&spots);
    let sigma = measured.variance(&sum.row).sqrt();
    let before: f64 = sum.row.iter().map(|(_, by)| by * by).sum();
    let figure = Figure {
        value: sum.value,
        sigma,
    };
    let ends = [figure.low(), figure.high()].map(|end| kind.figure_mm(end));
    let likeliest: f64 = spots
        .iter()
        .map(|(spot, factor)| {
            factor
                * measured
                    .wood()
                    .height(measured.mode.unknowns.as_slice(), *spot)
        })
        .sum();
    Told {
        name,
        title,
        meaning,
        value_mm: kind.figure_mm(sum.value),
        // A greater rise is a smaller radius.
        low_mm: ends[0].min(ends[1]),
        high_mm: ends[0].max(ends[1]),
        likeliest_mm: kind.figure_mm(likeliest),
        doubt_left: sigma / before.sqrt().max(f64::MIN_POSITIVE),
        spots,
        kind,
    }
}

/// Half the width of a 95 % interval, from a standard uncertainty.
pub fn half_95(sigma: f64) -> f64 {
    HALF_95 * sigma
}
