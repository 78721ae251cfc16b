//! The sled's rails at true size, to be printed and cut.

use bench::jigs::Rail;

use super::frame::{Look, TEXT_MM, words_mm};
use crate::{Anchor, Ink, Item, Path, Point, Scene};

/// Height of a line of words, mm.
const LINE_MM: f64 = 4.6;

/// One rail at true size, to be printed and cut: its outline, the crown, the stops, lettered with
/// its radius and place. It is seen from the nut, the treble side at the left.
pub fn rail_pattern(name: &str, rail: &Rail, look: Look) -> Scene {
    /// Paper round the outline, mm.
    const MARGIN_MM: f64 = 8.0;
    let words = rail_words(name, rail, look);
    let widest = words
        .iter()
        .map(|line| words_mm(line, TEXT_MM))
        .fold(0.0, f64::max);
    let (bass, treble) = reach(rail);
    let width = (treble - bass).max(widest) + 2.0 * MARGIN_MM;
    let floor = MARGIN_MM + rail.crown_height_mm;
    let middle = 0.5 * width + 0.5 * (treble + bass);
    let place = |(y, height): (f64, f64)| Point::new(middle - y, floor - height);
    // Words stand on the rail where it has room for them, and under it otherwise.
    let tall = LINE_MM * words.len() as f64;
    let inside = treble - bass > widest + 8.0 && rail.least_height_mm > tall + 14.0;
    let first = if inside {
        floor - rail.least_height_mm + 13.0
    } else {
        floor + 7.0
    };
    let height = floor + MARGIN_MM + if inside { 0.0 } else { tall + 2.0 };
    let mut scene = Scene::new(width, height, name, words.join(". "));
    let mut corners: Vec<Point> = rail.profile_mm.iter().rev().map(|at| place(*at)).collect();
    corners.push(place((bass, 0.0)));
    corners.push(place((treble, 0.0)));
    let outline = Item::stroked(Path::polygon(&corners), Ink::Line, 0.2).keyed("rail");
    scene.layer("cut").add(outline);
    draw_rail_marks(&mut scene, rail, place);
    for (row, line) in words.into_iter().enumerate() {
        let at = Point::new(0.5 * width, first + LINE_MM * row as f64);
        let item = Item::text(at, line, TEXT_MM, Ink::Text).anchored(Anchor::Middle);
        scene.layer("words").add(item);
    }
    scene
}

/// The least and the greatest y of a rail, mm.
pub(super) fn reach(rail: &Rail) -> (f64, f64) {
    let ys = || rail.profile_mm.iter().map(|at| at.0);
    (
        ys().fold(f64::INFINITY, f64::min),
        ys().fold(f64::NEG_INFINITY, f64::max),
    )
}

fn rail_words(name: &str, rail: &Rail, look: Look) -> Vec<String> {
    let stop = |index: usize| look.length(rail.stops_mm[index].0.abs(), 2);
    vec![
        name.to_owned(),
        radius(rail.circle_radius_mm, look),
        format!(
            "crown {} over the floor",
            look.length(rail.crown_height_mm, 2)
        ),
        format!("plane {}", place_words(rail.x_mm, look)),
        format!("stops: treble {}, bass {}", stop(0), stop(1)),
        "true size; from the nut, treble left".to_owned(),
    ]
}

/// A place along the board in words.
pub(super) fn place_words(x_mm: f64, look: Look) -> String {
    const AT_THE_NUT_MM: f64 = 0.005;
    if x_mm.abs() < AT_THE_NUT_MM {
        return "the nut".to_owned();
    }
    let side = if x_mm < 0.0 { "before" } else { "past" };
    format!("{} {side} the nut", look.length(x_mm.abs(), 2))
}

/// A rail's radius in words.
pub(super) fn radius(mm: f64, look: Look) -> String {
    if mm.is_finite() {
        format!("radius {}", look.length(mm, 2))
    } else {
        "straight".to_owned()
    }
}

/// A tick at the crown and at the foot under it, and one at each stop.
fn draw_rail_marks(scene: &mut Scene, rail: &Rail, place: impl Fn((f64, f64)) -> Point) {
    let layer = scene.layer("marks");
    let mut tick = |y: f64, height: f64, down: f64, key: &str| {
        let path = Path::line(place((y, height)), place((y, height - down)));
        layer.add(Item::stroked(path, Ink::Line, 0.2).keyed(key));
    };
    tick(0.0, rail.crown_height_mm, 6.0, "crown");
    tick(0.0, 4.0, 4.0, "foot");
    tick(rail.stops_mm[0].0, rail.stops_mm[0].1, 5.0, "stop-treble");
    tick(rail.stops_mm[1].0, rail.stops_mm[1].1, 5.0, "stop-bass");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_and_radii_are_told_in_words() {
        let look = Look::default();
        assert_eq!(place_words(-40.0, look), "40.00 mm before the nut");
        assert_eq!(place_words(504.8, look), "504.80 mm past the nut");
        assert_eq!(place_words(-1e-4, look), "the nut");
        assert_eq!(radius(f64::INFINITY, look), "straight");
        assert_eq!(radius(246.0, look), "radius 246.00 mm");
    }
}
