//! Which of several causes matters most: ranked bars.

use super::chart::{draw_nothing, draw_title, figure_text, is_sound, or_else};
use super::frame::{Look, TEXT_MM, WIDE_MM, fitted, words_mm};
use crate::{Anchor, Axis, AxisSide, Ink, Item, LinearScale, Path, Point, Scene, Stroke, Weight};

/// Where the bars begin and the longest may end, mm.
const LEFT_MM: f64 = 66.0;
const RIGHT_MM: f64 = WIDE_MM - 22.0;
/// Height of a row, and of the bar in it, mm.
const ROW_MM: f64 = 11.5;
const BAR_MM: f64 = 4.6;
/// Top of the first row, mm.
const TOP_MM: f64 = 9.0;

/// Shares of some causes in one effect.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShareBars {
    /// What the picture is called.
    pub title: String,
    /// What it shows, in a sentence, for those who cannot see it.
    pub description: String,
    /// What stands behind a share's hundredfold: `%`.
    pub unit: String,
    /// The causes, in any order.
    pub rows: Vec<ShareRow>,
}

/// One cause and its share.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShareRow {
    /// The cause.
    pub name: String,
    /// Its share, 0 to 1; what is no number is not known and has no bar.
    pub share: f64,
    /// What it means, in a few words; empty for nothing.
    pub words: String,
}

impl ShareBars {
    /// The rows with their place as given, the greatest share first and unknown ones last.
    fn ranked(&self) -> Vec<(usize, &ShareRow)> {
        let mut rows: Vec<(usize, &ShareRow)> = self.rows.iter().enumerate().collect();
        let rank = |row: &ShareRow| known(row).unwrap_or(f64::NEG_INFINITY);
        rows.sort_by(|a, b| rank(b.1).total_cmp(&rank(a.1)));
        rows
    }

    fn figure(&self, row: &ShareRow) -> String {
        let unit = or_else(&self.unit, "%");
        known(row).map_or("not known".to_owned(), |share| {
            // Below one hundredth a whole number would say nothing.
            let decimals = usize::from(share < 0.01 && share > 0.0);
            format!("{} {unit}", figure_text(100.0 * share, decimals))
        })
    }
}

/// A row's share from 0 to 1, if it is known.
fn known(row: &ShareRow) -> Option<f64> {
    is_sound(row.share).then(|| row.share.clamp(0.0, 1.0))
}

/// Level bars, the longest on top, with figure and words. Rows are keyed `share-N` in the order
/// given.
pub fn share_bars(bars: &ShareBars, _look: Look) -> Scene {
    let title = or_else(&bars.title, "Which matters most");
    let rows = bars.ranked();
    let foot = TOP_MM + ROW_MM * rows.len().max(2) as f64;
    let mut scene = Scene::new(WIDE_MM, foot + 14.0, title, description(bars, &rows));
    let most = rows
        .iter()
        .filter_map(|row| known(row.1))
        .fold(0.0, f64::max);
    let along = LinearScale::new((0.0, end(most)), (LEFT_MM, RIGHT_MM));
    draw_axis(&mut scene, bars, &along, foot);
    for (rank, (index, row)) in rows.iter().enumerate() {
        let items = row_items(bars, row, rank, &along);
        let words = format!("{}: {}", row.name.trim(), bars.figure(row));
        let group = Item::group(items).keyed(format!("share-{index}"));
        scene.layer("rows").add(group.labelled(words));
    }
    if rows.is_empty() {
        let middle = Point::new(0.5 * (LEFT_MM + RIGHT_MM), 0.5 * (TOP_MM + foot));
        draw_nothing(&mut scene, middle, "no shares are known yet");
    }
    draw_title(&mut scene);
    scene
}

fn description(bars: &ShareBars, rows: &[(usize, &ShareRow)]) -> String {
    let words = |(_, row): &(usize, &ShareRow)| format!("{} {}", row.name.trim(), bars.figure(row));
    let list: Vec<String> = rows.iter().take(12).map(words).collect();
    let list = if list.is_empty() {
        "No shares are known.".to_owned()
    } else {
        format!("From the greatest: {}.", list.join("; "))
    };
    format!("{} {list}", bars.description.trim())
        .trim()
        .to_owned()
}

/// The axis' end: the greatest share, but a tenth at least, lest a trifle fill the sheet.
fn end(most: f64) -> f64 {
    most.max(0.1)
}

fn draw_axis(scene: &mut Scene, bars: &ShareBars, along: &LinearScale, foot: f64) {
    let hundredfold = LinearScale {
        domain_end: 100.0 * along.domain_end,
        ..*along
    };
    let title = format!("share, {}", or_else(&bars.unit, "%"));
    let title = fitted(&title, TEXT_MM, RIGHT_MM - LEFT_MM);
    Axis::new(AxisSide::Below, hundredfold, foot, title).draw(scene);
}

fn row_items(bars: &ShareBars, row: &ShareRow, rank: usize, along: &LinearScale) -> Vec<Item> {
    let top = TOP_MM + ROW_MM * rank as f64;
    let base = top + 0.5 * BAR_MM + 1.2;
    let weight = if rank == 0 {
        Weight::Bold
    } else {
        Weight::Regular
    };
    // Bold letters are wider; the name keeps clear of the bar in either weight.
    let name = fitted(&row.name, 3.4, 0.85 * (LEFT_MM - 5.0));
    let mut items = vec![
        Item::text(Point::new(LEFT_MM - 2.0, base), name, 3.4, Ink::Text)
            .anchored(Anchor::End)
            .weighted(weight),
    ];
    let mut end = LEFT_MM;
    if let Some(share) = known(row) {
        end = along.at(share);
        let bar = Path::rect(LEFT_MM, top, (end - LEFT_MM).max(0.3), BAR_MM);
        let (fill, line) = if rank == 0 {
            (Ink::Accent, Ink::Accent)
        } else {
            (Ink::AccentFill, Ink::Accent)
        };
        items.push(Item::path(bar, Some(Stroke::new(line, 0.25)), Some(fill)));
    }
    let room = WIDE_MM - 2.0 - (end + 1.8);
    let figure = fitted(&bars.figure(row), 3.4, room.min(60.0));
    items.push(Item::text(
        Point::new(end + 1.8, base),
        figure,
        3.4,
        Ink::Text,
    ));
    let words = fitted(row.words.trim(), 3.0, WIDE_MM - 2.0 - LEFT_MM);
    if words_mm(&words, 3.0) > 0.0 {
        let at = Point::new(LEFT_MM, top + BAR_MM + 3.7);
        items.push(Item::text(at, words, 3.0, Ink::FaintText));
    }
    items
}
