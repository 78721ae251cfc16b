//! What a sheet shows of the scene: its window, clipped, and only the items that reach into it.

use crate::path::{Path, Point, Transform};
use crate::scene::{Item, Scene, Shape};
use crate::text_width::text_width_mm;

/// A box by its top left and bottom right corner.
type Corners = (Point, Point);

/// The scene's layers under their names, mapped, with what lies in a window of the scene.
pub(super) fn seen(scene: &Scene, window: Corners, map: &Transform, title: String) -> Scene {
    let (low, high) = window;
    let outline = Path::rect(low.x, low.y, high.x - low.x, high.y - low.y).transformed(map);
    let mut sheet = Scene::new(0.0, 0.0, title, scene.description.clone());
    for layer in &scene.layers {
        let items = items_seen(&layer.items, window, map);
        let layer = sheet.layer(&layer.name);
        if !items.is_empty() {
            layer.add(Item::clipped(items, outline.clone()));
        }
    }
    sheet
}

/// Most items of a long pattern lie on other sheets; those are not even copied.
fn items_seen(items: &[Item], window: Corners, map: &Transform) -> Vec<Item> {
    let seen = |item: &Item| item_seen(item, window, map);
    items.iter().filter_map(seen).collect()
}

fn item_seen(item: &Item, window: Corners, map: &Transform) -> Option<Item> {
    if !item.is_drawable() {
        return None;
    }
    let Shape::Group { items, clip } = &item.shape else {
        let bounds = bounds(&item.shape)?;
        return meet(bounds, window).then(|| item.transformed(map));
    };
    if let Some(clip) = clip
        && !meet(clip.bounds()?, window)
    {
        return None;
    }
    let items = items_seen(items, window, map);
    (!items.is_empty()).then(|| Item {
        shape: Shape::Group {
            items,
            clip: clip.as_ref().map(|clip| clip.transformed(map)),
        },
        key: item.key.clone(),
        label: item.label.clone(),
    })
}

fn meet(one: Corners, other: Corners) -> bool {
    one.0.x <= other.1.x && other.0.x <= one.1.x && one.0.y <= other.1.y && other.0.y <= one.1.y
}

/// A box around all that a path or text marks; `None` for a group.
fn bounds(shape: &Shape) -> Option<Corners> {
    match shape {
        Shape::Path { path, stroke, .. } => {
            // Joins are round and ends are cut off square, so no mark is farther from the path
            // than half the line's width.
            let reach = stroke.map_or(0.0, |stroke| 0.5 * stroke.width_mm);
            let (low, high) = path.bounds()?;
            Some(grown(low, high, reach))
        }
        Shape::Text {
            at,
            text,
            size_mm,
            weight,
            ..
        } => {
            // However it is anchored and turned, a text stays within its own length, and an em
            // for what stands above and below the line.
            let reach = text_width_mm(text, *size_mm, *weight) + *size_mm;
            Some(grown(*at, *at, reach))
        }
        Shape::Group { .. } => None,
    }
}

fn grown(low: Point, high: Point, by_mm: f64) -> Corners {
    (
        Point::new(low.x - by_mm, low.y - by_mm),
        Point::new(high.x + by_mm, high.y + by_mm),
    )
}
