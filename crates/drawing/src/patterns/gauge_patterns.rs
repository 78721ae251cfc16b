//! Radius gauges to cut: one that lies on the board, and its counterpart to prove it by.

use instrument::{Instrument, fret_name};

use super::draft::{
    Draft, HAIR_MM, Head, NO_BREAK, both_units, centred_lines, in_rows, round, traced, wrapped,
};
use crate::pictures::Look;
use crate::{Ink, Item, Path, Point, Scene, Weight};

/// How far a gauge passes the board's edge, mm.
const PAST_EDGE_MM: f64 = 6.0;
/// The share of its radius that a working edge reaches to either side at the most.
const MOST_REACH: f64 = 0.97;
/// Radius at the ends of the working edge, mm: takes the sharpness off and stays off the board.
const NOSE_MM: f64 = 1.5;
/// Radius of the plate's other corners, mm.
const CORNER_MM: f64 = 3.0;
/// Length of the ticks at the working edge, mm.
const TICK_MM: f64 = 3.0;
/// Diameter of the hole to hang it by, mm.
const HOLE_MM: f64 = 5.0;
/// Wood around the hole, mm.
const AROUND_HOLE_MM: f64 = 4.0;
/// Size of the letters on it, mm.
const LETTER_MM: f64 = 2.6;
/// Between two gauges, room to cut, mm.
const BETWEEN_MM: f64 = 6.0;
/// Two radii nearer than this share one gauge, as a share of the radius.
const ONE_GAUGE: f64 = 0.005;

/// Which side of the arc the gauge keeps.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// Lies on the board.
    Concave,
    /// Goes into the other, and into blocks.
    Convex,
}

/// The stations worth a gauge of their own: nut, frets 5, 12 and 17, the last, and those that a
/// camber by stations names. A station whose radius differs by less than 0.5 % from one before it
/// is left out, so that a cylinder has one.
pub fn usual_stations(instrument: &Instrument) -> Vec<usize> {
    let last = instrument.last_fret();
    let named = instrument.camber.knots().iter().filter_map(|knot| {
        let is_there = |fret: &usize| (instrument.fret_x_mm(*fret) - knot.x_mm).abs() < 1e-6;
        (0..=last).find(is_there)
    });
    let mut wanted: Vec<usize> = [0, 5, 12, 17, last].into_iter().chain(named).collect();
    wanted.retain(|fret| *fret <= last);
    wanted.sort_unstable();
    wanted.dedup();
    let mut kept: Vec<usize> = Vec::new();
    for fret in wanted {
        let is_new = |other: &usize| {
            let ratio = curvature(instrument, *other) / curvature(instrument, fret);
            // Of two flat stations the ratio is no number: they are one.
            (ratio - 1.0).abs() >= ONE_GAUGE
        };
        if kept.iter().all(is_new) {
            kept.push(fret);
        }
    }
    kept
}

fn curvature(instrument: &Instrument, fret: usize) -> f64 {
    instrument
        .camber
        .radius(instrument.fret_x_mm(fret))
        .curvature()
}

/// For each station, by its fret, the concave gauge and below it the convex one, in rows no wider
/// than so many mm; a pair that is wider has a row to itself. Frets past the last are left out.
///
/// What it is for: the concave gauge lies on the board and shows light where the camber is not yet
/// right; the convex one checks the concave one and the blocks. The section is square to the
/// centreline where the fret crosses it. Layers: `cut` (plates and holes), `engrave` (ticks and
/// letters) and `words`.
///
/// Accuracy: working edges keep to the radius within 6e-9 of it at the most, far less over the few
/// degrees of a board; a flat station's are straight.
pub fn gauge_patterns(
    instrument: &Instrument,
    stations: &[usize],
    most_width_mm: f64,
    look: Look,
) -> Scene {
    let pairs: Vec<Draft> = stations
        .iter()
        .filter(|fret| **fret <= instrument.last_fret())
        .map(|fret| pair(instrument, *fret))
        .collect();
    let draft = in_rows(&pairs, most_width_mm, BETWEEN_MM);
    draft.finish(&instrument.title, &head(instrument, look))
}

fn head(instrument: &Instrument, look: Look) -> Head {
    let past = super::draft::exact(look, PAST_EDGE_MM, 1);
    let mut notes = vec![format!(
        "Concave gauges lie on the board: no light under them when it is right. Convex ones check \
         the concave ones, and the blocks. Both pass the board's edges by {past} there, or by \
         what the arc has; the outer ticks stand over its edges, the middle one on its centreline."
    )];
    if instrument.is_fanned() {
        notes.push(
            "Hold a gauge square to the centreline, where the fret crosses the centreline; not \
             along the slanted fret, whose arc is flatter."
                .into(),
        );
    }
    notes.push(
        "Cut outside the line and file to it; plates of 1 to 3 mm serve. Take off the burr. Cutting \
         and filing: eyes and lungs protected, local rules first."
            .into(),
    );
    Head {
        name: "radius gauges",
        purpose: "To cut the gauges that prove the camber; true size.".into(),
        notes,
    }
}

fn pair(instrument: &Instrument, fret: usize) -> Draft {
    let mut both = gauge(instrument, fret, Kind::Concave);
    both.put_in_line(&gauge(instrument, fret, Kind::Convex), BETWEEN_MM);
    both
}

/// The working edge: a circle's arc about the centreline, crown up, its crown at the origin.
struct Edge {
    /// Radius, mm; infinite for a straight one.
    radius_mm: f64,
    /// Half the angle that it takes, radians.
    half_angle: f64,
    /// Half its chord, mm.
    half_mm: f64,
}

impl Edge {
    fn of(instrument: &Instrument, fret: usize) -> Self {
        let x_mm = instrument.fret_x_mm(fret);
        let board_mm = instrument.outline.half_width(x_mm);
        let radius_mm = instrument.camber.radius(x_mm).mm();
        // On a radius hardly wider than the board the gauge passes the edges by what the arc has.
        let most_mm = (MOST_REACH * radius_mm).max(board_mm);
        let half_mm = (board_mm + PAST_EDGE_MM).min(most_mm);
        Self {
            radius_mm,
            half_angle: (half_mm / radius_mm).min(1.0).asin(),
            half_mm,
        }
    }

    /// How far the edge lies under its crown at a place across, mm.
    fn drop(&self, y: f64) -> f64 {
        instrument::arc::drop(instrument::Radius::from_mm(self.radius_mm), y)
    }

    /// The edge from its left end to its right one.
    fn path(&self) -> Path {
        if self.radius_mm.is_infinite() {
            let end = |sign: f64| Point::new(sign * self.half_mm, 0.0);
            return Path::line(end(-1.0), end(1.0));
        }
        let half = self.half_angle.to_degrees();
        let centre = Point::new(0.0, self.radius_mm);
        Path::arc(centre, self.radius_mm, -90.0 - half, -90.0 + half)
    }

    /// The middle of the nose at the right end: off the edge's end along its normal, into the
    /// plate, so that the nose goes over into the edge without a corner.
    fn nose(&self, kind: Kind) -> Point {
        let (sine, cosine) = self.half_angle.sin_cos();
        let out = match kind {
            Kind::Concave => NOSE_MM,
            Kind::Convex => -NOSE_MM,
        };
        Point::new(
            self.half_mm + out * sine,
            self.drop(self.half_mm) - out * cosine,
        )
    }
}

/// One plate: the working edge, noses, sides, rounded corners, a hole, ticks and letters.
fn gauge(instrument: &Instrument, fret: usize, kind: Kind) -> Draft {
    let edge = Edge::of(instrument, fret);
    let nose = edge.nose(kind);
    let side = nose.x + NOSE_MM;
    let words = words(instrument, fret, kind);
    let lines = wrapped(&words, LETTER_MM, Weight::Regular, 2.0 * side - 4.0);
    let letters_mm = 1.4 * LETTER_MM * lines.len() as f64;
    let lip = TICK_MM + 1.0;
    let hole_mm = HOLE_MM + AROUND_HOLE_MM + 1.5;
    let mut draft = Draft::default();
    // Down the sheet from the working edge's crown; a concave plate lies above it.
    let (back, letters_top, hole_y) = match kind {
        Kind::Concave => {
            let back = -(lip + letters_mm + hole_mm);
            (back, back + hole_mm, back + AROUND_HOLE_MM + 0.5 * HOLE_MM)
        }
        Kind::Convex => {
            let top = lip + edge.drop(outer_tick_mm(instrument, fret));
            let back = (top + letters_mm + hole_mm).max(nose.y + CORNER_MM + 1.0);
            (back, top, back - AROUND_HOLE_MM - 0.5 * HOLE_MM)
        }
    };
    draft.cut("cut", plate(&edge, kind, back));
    draft.cut("cut", round(Point::new(0.0, hole_y), 0.5 * HOLE_MM));
    ticks(&mut draft, instrument, fret, &edge, kind);
    centred_lines(&mut draft, "engrave", &lines, (0.0, letters_top), LETTER_MM);
    draft
}

/// The plate's closed outline, clockwise from the left end of the working edge.
fn plate(edge: &Edge, kind: Kind, back: f64) -> Path {
    let nose = edge.nose(kind);
    let left_nose = Point::new(-nose.x, nose.y);
    let (side, half) = (nose.x + NOSE_MM, edge.half_angle.to_degrees());
    let inward = if back < 0.0 { CORNER_MM } else { -CORNER_MM };
    let corner = |sign: f64| Point::new(sign * (side - CORNER_MM), back + inward);
    let arc = |centre, radius, from, to| Path::arc(centre, radius, from, to);
    // Angles run clockwise from the right; a concave plate's nose points down, a convex one's up.
    let pieces = match kind {
        Kind::Concave => [
            edge.path(),
            arc(nose, NOSE_MM, 90.0 + half, 0.0),
            arc(corner(1.0), CORNER_MM, 0.0, -90.0),
            arc(corner(-1.0), CORNER_MM, -90.0, -180.0),
            arc(left_nose, NOSE_MM, 180.0, 90.0 - half),
        ],
        Kind::Convex => [
            edge.path(),
            arc(nose, NOSE_MM, half - 90.0, 0.0),
            arc(corner(1.0), CORNER_MM, 0.0, 90.0),
            arc(corner(-1.0), CORNER_MM, 90.0, 180.0),
            arc(left_nose, NOSE_MM, 180.0, 270.0 - half),
        ],
    };
    traced(&pieces)
}

/// How far across the further edge of the board lies, where the outer tick stands, mm.
fn outer_tick_mm(instrument: &Instrument, fret: usize) -> f64 {
    instrument.outline.half_width(instrument.fret_x_mm(fret))
}

/// Ticks at the working edge: on the centreline, and where the board's edges lie.
fn ticks(draft: &mut Draft, instrument: &Instrument, fret: usize, edge: &Edge, kind: Kind) {
    let x_mm = instrument.fret_x_mm(fret);
    let outline = &instrument.outline;
    let length = match kind {
        Kind::Concave => -TICK_MM,
        Kind::Convex => TICK_MM,
    };
    // Treble side at the left, seen from the nut.
    for across in [-outline.treble.at(x_mm), 0.0, outline.bass.at(x_mm)] {
        let foot = Point::new(across, edge.drop(across));
        let line = Path::line(foot, Point::new(across, foot.y + length));
        draft.add("engrave", Item::stroked(line, Ink::Line, HAIR_MM));
    }
}

fn words(instrument: &Instrument, fret: usize, kind: Kind) -> String {
    let radius = instrument.camber.radius(instrument.fret_x_mm(fret));
    let radius = radius
        .finite_mm()
        .map_or("flat".into(), |mm| format!("R {}", both_units(mm, 1)));
    let kind = match kind {
        Kind::Concave => "concave",
        Kind::Convex => "convex",
    };
    // What belongs together stays on one line.
    let together = |words: String| words.replace(' ', &NO_BREAK.to_string());
    format!(
        "{}, {}, {kind}",
        together(radius),
        together(fret_name(fret))
    )
}
