//! Radius along the board, with the zones in which the owned blocks may work.

use bench::BenchPlan;
use instrument::camber::Law;
use instrument::{Instrument, Radius, fret_name};

use super::frame::{Look, Pointed};
use crate::{Anchor, Axis, AxisSide, Dash, Ink, Item, LinearScale, Path, Point, Scene};

/// Upper end of the radius axis, mm of scene.
const TOP_MM: f64 = 9.0;
/// Height of the picture, mm of scene.
const HEIGHT_MM: f64 = 70.0;

/// A place at which the radius can be taken hold of.
#[derive(Clone, Debug, PartialEq)]
pub struct RadiusHandle {
    /// The key of the commission that it changes.
    pub key: String,
    /// What it is, for a person.
    pub name: String,
    /// The radius now.
    pub radius: Radius,
    /// Where it stands in the picture, mm of scene.
    pub at: Point,
    /// Millimetres of radius for a millimetre downward in the picture.
    pub mm_per_mm_down: f64,
}

struct Chart {
    look: Look,
    end_mm: f64,
    along: LinearScale,
    up: LinearScale,
}

fn chart(instrument: &Instrument, plan: Option<&BenchPlan>, look: Look) -> Chart {
    let end = instrument.end_x_mm();
    let ends = [0.0, end].map(|x| instrument.camber.radius(x).mm());
    let knots = instrument
        .camber
        .knots()
        .iter()
        .map(|knot| knot.radius.mm());
    let radii: Vec<f64> = knots.chain(ends).filter(|mm| mm.is_finite()).collect();
    let blocks = plan
        .iter()
        .flat_map(|plan| &plan.zones)
        .map(|zone| zone.block.radius.mm());
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for mm in radii
        .iter()
        .copied()
        .chain(blocks.filter(|mm| radii.iter().any(|r| mm < &(1.6 * r))))
    {
        low = low.min(mm);
        high = high.max(mm);
    }
    if !low.is_finite() {
        (low, high) = (200.0, 500.0);
    }
    let room = (0.18 * (high - low)).max(0.06 * high);
    Chart {
        look,
        end_mm: end,
        along: LinearScale::new((0.0, end), (18.0, 234.0)),
        up: LinearScale::new((low - room, high + room), (56.0, 9.0)),
    }
}

/// The radius along the board; with a plan, each block as a line over its zone. On paper nothing
/// is pointed at.
pub fn radius_chart(instrument: &Instrument, look: Look, plan: Option<&BenchPlan>) -> Scene {
    let chart = chart(instrument, plan, look);
    let description = "Camber radius from the nut to the board's end, and the zones in which the blocks of the kit may work.";
    let mut scene = Scene::new(
        super::WIDE_MM,
        HEIGHT_MM,
        "Radius along the board",
        description,
    );
    Axis {
        tick_count: 5,
        grid_mm: 216.0,
        ..Axis::new(
            AxisSide::Left,
            look.scale(chart.up),
            18.0,
            look.title("radius"),
        )
    }
    .draw(&mut scene);
    Axis::new(
        AxisSide::Below,
        look.scale(chart.along),
        56.0,
        look.title("from the nut"),
    )
    .draw(&mut scene);
    for zone in plan.iter().flat_map(|plan| &plan.zones) {
        draw_zone(&mut scene, &chart, zone);
    }
    draw_curve(&mut scene, instrument, &chart);
    if let Some(pointed) = look.pointed {
        draw_pointed(&mut scene, instrument, &chart, pointed);
    }
    for handle in radius_handles(instrument, plan) {
        let mark = Path::circle(handle.at, 1.5);
        scene.layer("handles").add(Item::path(
            mark,
            Some(crate::Stroke::new(Ink::Accent, 0.5)),
            Some(Ink::Paper),
        ));
    }
    scene
}

fn draw_zone(scene: &mut Scene, chart: &Chart, zone: &bench::blocks::BlockZone) {
    let (look, end) = (chart.look, chart.end_mm);
    // A block far flatter than the board would squeeze the curve: it lies along the top instead.
    let off_chart = chart.up.at(zone.block.radius.mm()) < TOP_MM;
    let y = chart.up.at(zone.block.radius.mm()).max(TOP_MM);
    for span in &zone.spans {
        let (from, to) = (span.from_mm.max(0.0), span.to_mm.min(end));
        let (left, right) = (chart.along.at(from), chart.along.at(to));
        let layer = scene.layer("zones");
        layer.add(Item::stroked(
            Path::line(Point::new(left, y), Point::new(right, y)),
            Ink::Second,
            1.1,
        ));
        let foot = Path::line(Point::new(right, y), Point::new(right, 56.0));
        layer.add(Item::stroked(foot, Ink::Second, 0.2).dashed(Dash::Dotted));
        let words = format!(
            "block {}, to {}{}",
            look.radius(zone.block.radius),
            look.length(to, 1),
            if off_chart {
                ", flatter than the chart shows"
            } else {
                ""
            }
        );
        // The curve rises from the zone's end, so that there is room beyond it, under the line.
        let place = if right < 160.0 {
            Point::new(right + 1.5, y + 4.0)
        } else {
            Point::new(left + 1.5, y - 1.6)
        };
        layer.add(Item::text(place, words, 3.0, Ink::Second));
    }
}

fn draw_curve(scene: &mut Scene, instrument: &Instrument, chart: &Chart) {
    let end = instrument.end_x_mm();
    let mut places: Vec<f64> = instrument
        .camber
        .knots()
        .iter()
        .map(|knot| knot.x_mm)
        .collect();
    places.extend([0.0, end]);
    places.retain(|x| (0.0..=end).contains(x));
    places.sort_by(f64::total_cmp);
    if instrument.camber.radius(0.0).is_flat() {
        let words = Item::text(
            Point::new(126.0, 32.0),
            "flat: no radius to show",
            3.4,
            Ink::FaintText,
        );
        scene.layer("radius").add(words.anchored(Anchor::Middle));
        return;
    }
    let points: Vec<Point> = places
        .iter()
        .map(|x| {
            Point::new(
                chart.along.at(*x),
                chart.up.at(instrument.camber.radius(*x).mm()),
            )
        })
        .collect();
    scene
        .layer("radius")
        .add(Item::stroked(Path::polyline(&points), Ink::Accent, 0.8));
}

fn draw_pointed(scene: &mut Scene, instrument: &Instrument, chart: &Chart, pointed: Pointed) {
    let look = chart.look;
    let x = instrument.fret_x_mm(pointed.fret);
    let radius = instrument.camber.radius(x);
    let left = chart.along.at(x);
    let guide = Path::line(Point::new(left, 9.0), Point::new(left, 56.0));
    let layer = scene.layer("pointed");
    layer.add(Item::stroked(guide, Ink::Accent, 0.25).dashed(Dash::Dashed));
    let anchor = if left > 190.0 {
        Anchor::End
    } else {
        Anchor::Start
    };
    let nudge = if left > 190.0 { -1.5 } else { 1.5 };
    let words = format!("{}: {}", fret_name(pointed.fret), look.radius(radius));
    layer.add(Item::text(Point::new(left + nudge, 54.0), words, 3.2, Ink::Accent).anchored(anchor));
}

/// Where the radius can be taken hold of: at the radii that the commission names.
pub fn radius_handles(instrument: &Instrument, plan: Option<&BenchPlan>) -> Vec<RadiusHandle> {
    let chart = chart(instrument, plan, Look::default());
    let (low, high) = (chart.up.figure_at(56.0), chart.up.figure_at(9.0));
    let mm_per_mm_down = (low - high) / 47.0;
    let knots = instrument.camber.knots();
    let named: Vec<(String, String, usize)> = match instrument.camber.law {
        Law::Single => vec![("camber.radius".into(), "radius".into(), 0)],
        Law::Cone => vec![
            ("camber.nut".into(), "radius at the nut".into(), 0),
            (
                "camber.last_fret".into(),
                "radius at the last fret".into(),
                1,
            ),
        ],
        Law::StringCone => vec![("camber.nut".into(), "radius at the nut".into(), 0)],
        Law::Stations => (0..knots.len())
            .map(|index| {
                (
                    format!("camber.at[{}].radius", index + 1),
                    format!("radius at station {}", index + 1),
                    index,
                )
            })
            .collect(),
    };
    named
        .into_iter()
        .filter_map(|(key, name, index)| {
            let knot = knots.get(index).filter(|knot| !knot.radius.is_flat())?;
            let at = Point::new(chart.along.at(knot.x_mm), chart.up.at(knot.radius.mm()));
            Some(RadiusHandle {
                key,
                name,
                radius: knot.radius,
                at,
                mm_per_mm_down,
            })
        })
        .collect()
}
