//! The section at a fret, square to the centreline, with the nearest gauge laid on: heights
//! exaggerated by a stated factor.

use bench::gauges::GaugeStation;
use instrument::arc::drop;
use instrument::{Instrument, Radius, fret_name};

use super::frame::{Look, Pointed};
use crate::{Anchor, Axis, AxisSide, Ink, Item, LinearScale, Path, Point, Scene};

const WIDTH_MM: f64 = 118.0;
const HEIGHT_MM: f64 = 62.0;

/// The section at the pointed fret. The gauge rests where it touches: on the crown when it is
/// flatter than the board, on the edges when it is tighter.
pub fn section(
    instrument: &Instrument,
    look: Look,
    gauges: &[Radius],
    station: Option<GaugeStation>,
) -> Scene {
    let pointed = look.place();
    let x = instrument.fret_x_mm(pointed.fret);
    let half = instrument.outline.half_width(x);
    let radius = instrument.camber.radius(x);
    let deepest = drop(radius, half).max(0.05);
    let across = LinearScale::new((-half, half), (108.0, 14.0));
    let laid_on = station.map_or_else(Vec::new, |station| laid_on(gauges, station, radius));
    let lifted = laid_on
        .iter()
        .map(|gauge| lift(*gauge, radius, half))
        .fold(0.0, f64::max);
    let exaggeration = round_factor(36.0 / (deepest * 1.25 + lifted) / across_scale(half));
    let per_mm = exaggeration * across_scale(half);
    let down = Down {
        per_mm,
        crown_at: 14.0 + per_mm * lifted,
    };
    let description = format!(
        "Section at the {}: radius {}, edge {} under the crown, heights drawn {exaggeration} times.",
        fret_name(pointed.fret),
        look.radius(radius),
        look.length(deepest, 3)
    );
    let mut scene = Scene::new(WIDTH_MM, HEIGHT_MM, "Section", description);
    draw_wood(&mut scene, &across, down, half, radius);
    draw_lanes(&mut scene, instrument, pointed, &across, down, radius);
    draw_gauges(&mut scene, &across, down, half, radius, &laid_on);
    draw_light(&mut scene, look, station);
    Axis::new(
        AxisSide::Below,
        look.scale(across),
        52.0,
        look.title("across the board (treble side at the left)"),
    )
    .draw(&mut scene);
    let caption = format!(
        "{} · radius {} · heights × {exaggeration}",
        fret_name(pointed.fret),
        look.radius(radius)
    );
    scene
        .layer("words")
        .add(Item::text(Point::new(4.0, 4.0), caption, 3.2, Ink::Text));
    scene
}

/// Millimetres of scene for a millimetre across the board.
fn across_scale(half: f64) -> f64 {
    94.0 / (2.0 * half)
}

/// The greatest of 1, 2, 5 times a power of ten that is at most `factor`.
fn round_factor(factor: f64) -> f64 {
    let power = 10f64.powf(factor.max(1.0).log10().floor());
    let step = [5.0, 2.0, 1.0]
        .into_iter()
        .find(|step| step * power <= factor)
        .unwrap_or(1.0);
    step * power
}

/// Heights on the sheet: the crown lies near the top, with room for a gauge that stands over it.
#[derive(Clone, Copy)]
struct Down {
    per_mm: f64,
    crown_at: f64,
}

impl Down {
    fn at(self, below_crown_mm: f64) -> f64 {
        self.crown_at + self.per_mm * below_crown_mm
    }
}

fn curve(across: &LinearScale, down: Down, half: f64, below: impl Fn(f64) -> f64) -> Vec<Point> {
    (0..=48)
        .map(|index| -half + 2.0 * half * f64::from(index) / 48.0)
        .map(|y| Point::new(across.at(y), down.at(below(y))))
        .collect()
}

fn draw_wood(scene: &mut Scene, across: &LinearScale, down: Down, half: f64, radius: Radius) {
    let mut points = curve(across, down, half, |y| drop(radius, y));
    let face = Path::polyline(&points);
    points.push(Point::new(across.at(half), 52.0));
    points.push(Point::new(across.at(-half), 52.0));
    scene
        .layer("wood")
        .add(Item::filled(Path::polygon(&points), Ink::Wood));
    scene
        .layer("face")
        .add(Item::stroked(face, Ink::WoodEdge, 0.5));
}

fn draw_lanes(
    scene: &mut Scene,
    instrument: &Instrument,
    pointed: Pointed,
    across: &LinearScale,
    down: Down,
    radius: Radius,
) {
    let Some(line) = instrument.frets.get(pointed.fret) else {
        return;
    };
    for (index, lane) in instrument.lanes.iter().enumerate() {
        let (_, y) = lane.cross(*line);
        let at = Point::new(across.at(y), down.at(drop(radius, y)));
        let ink = if index == pointed.lane {
            Ink::Accent
        } else {
            Ink::String
        };
        scene
            .layer("lanes")
            .add(Item::filled(Path::circle(at, 0.9), ink));
        let name = Item::text(
            Point::new(at.x, at.y + 4.0),
            (index + 1).to_string(),
            2.8,
            ink,
        )
        .anchored(Anchor::Middle);
        scene.layer("lanes").add(name);
    }
}

/// The nearest gauge, and after it the next one on the other side of the radius.
fn laid_on(gauges: &[Radius], station: GaugeStation, radius: Radius) -> Vec<Radius> {
    let other = other_side(gauges, station.gauge, radius);
    [Some(station.gauge), other].into_iter().flatten().collect()
}

/// Resting on the edges lifts the gauge's crown by as much as it drops more than the wood, mm.
fn lift(gauge: Radius, radius: Radius, half: f64) -> f64 {
    (drop(gauge, half) - drop(radius, half)).max(0.0)
}

/// The nearest gauge is drawn firm, the next one on the other side of the radius faint.
fn draw_gauges(
    scene: &mut Scene,
    across: &LinearScale,
    down: Down,
    half: f64,
    radius: Radius,
    laid_on: &[Radius],
) {
    let inks = [(Ink::Second, 0.55), (Ink::Third, 0.3)];
    for (gauge, (ink, width)) in laid_on.iter().zip(inks).rev() {
        let lifted = lift(*gauge, radius, half);
        let points = curve(across, down, half, |y| drop(*gauge, y) - lifted);
        scene
            .layer("gauges")
            .add(Item::stroked(Path::polyline(&points), ink, width));
    }
}

/// What the nearest gauge shows, in words.
fn draw_light(scene: &mut Scene, look: Look, station: Option<GaugeStation>) {
    let Some(station) = station else {
        let words = "no gauge in the kit to lay on";
        scene
            .layer("words")
            .add(Item::text(Point::new(4.0, 8.6), words, 3.0, Ink::FaintText));
        return;
    };
    let light = match station.light {
        bench::gauges::Light::None => "no light to be seen".to_owned(),
        bench::gauges::Light::Edges => {
            format!("light {} at both edges", look.length(station.light_mm, 3))
        }
        bench::gauges::Light::Crown => {
            format!("light {} at the crown", look.length(-station.light_mm, 3))
        }
    };
    let words = format!("gauge {}: {light}", look.radius(station.gauge));
    scene
        .layer("words")
        .add(Item::text(Point::new(4.0, 8.6), words, 3.0, Ink::Second));
}

fn other_side(gauges: &[Radius], nearest: Radius, radius: Radius) -> Option<Radius> {
    let nearest_is_flatter = nearest.mm() > radius.mm();
    gauges
        .iter()
        .copied()
        .filter(|gauge| (gauge.mm() > radius.mm()) != nearest_is_flatter && *gauge != nearest)
        .min_by(|a, b| {
            (a.mm() - radius.mm())
                .abs()
                .total_cmp(&(b.mm() - radius.mm()).abs())
        })
}
