//! What is drawn on a sheet besides the scene: crosses, lines to cut at, bars, title and notes.

use super::PrintedBars;
use super::frame::Frame;
use super::tiling::{RegisterMark, Tiling};
use crate::ink::Ink;
use crate::paper::SheetSide;
use crate::path::{Path, Point};
use crate::scene::{Anchor, Dash, Item, Weight};
use crate::text_width::wrap_text;

/// Em size of the title, in mm.
const TITLE_MM: f64 = 3.4;
/// Em size of notes, in mm.
const NOTE_MM: f64 = 2.5;
/// From one line of text to the next, in em sizes.
const LEADING: f64 = 1.3;
/// From the window to the title, and from the bar to what stands above and below it, in mm.
const GAP_MM: f64 = 2.5;
/// Half the height of a bar's end strokes, in mm.
const BAR_END_MM: f64 = 2.0;
/// Width of thin lines, in mm.
const THIN_MM: f64 = 0.18;
/// Width of the line to cut along, in mm.
const CUT_MM: f64 = 0.25;
/// Lengths of a bar, in mm; the first that fits is drawn.
const BAR_LENGTHS_MM: [f64; 3] = [100.0, 50.0, 20.0];

/// Whether a sheet is one of several to be joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Joined {
    /// It is joined to others.
    Yes,
    /// It stands alone.
    No,
}

/// What to do with a sheet, and what was done to it.
pub(super) fn notes(bars: &PrintedBars, joined: Joined) -> String {
    let mut notes = "Print at 100 %, not fitted to the page. Measure both bars before use; if one \
                     is not as long as it says, enter what it measures on a print without \
                     correction, and print again."
        .to_owned();
    if joined == Joined::Yes {
        notes.push_str(
            " Cut along the broken lines and lay each sheet over those before it, so that \
             crosses of one number meet.",
        );
    }
    if bars.is_corrected() {
        let (short, long) = (bars.short_side, bars.long_side);
        notes.push_str(&format!(
            " Corrected for a printer that makes {} mm into {} mm along the short side of the \
             sheet and {} mm into {} mm along the long side.",
            short.stated_mm, short.measured_mm, long.stated_mm, long.measured_mm
        ));
    }
    notes
}

/// Height of the foot under a window of a width: title, bar, notes.
pub(super) fn foot_mm(width_mm: f64, title: &str, notes: &str) -> f64 {
    let title = title_lines(width_mm, title).len() as f64 * TITLE_MM * LEADING;
    let notes = (1 + note_lines(width_mm, notes).len()) as f64 * NOTE_MM * LEADING;
    GAP_MM + title + GAP_MM + 2.0 * BAR_END_MM + notes
}

fn title_lines(width_mm: f64, title: &str) -> Vec<String> {
    wrap_text(title, TITLE_MM, Weight::Bold, width_mm)
}

fn note_lines(width_mm: f64, notes: &str) -> Vec<String> {
    wrap_text(notes, NOTE_MM, Weight::Regular, width_mm)
}

/// Foot and side strip, in the frame's millimetres.
pub(super) fn around(frame: &Frame, title: &str, notes: &str) -> Vec<Item> {
    let (width, height) = frame.window_mm;
    let (left, bottom) = (frame.corner.x, frame.corner.y + height);
    let mut items = Vec::new();
    let mut y = bottom + GAP_MM;
    for line in title_lines(width, title) {
        y += TITLE_MM * LEADING;
        let line = Item::text(Point::new(left, y), line, TITLE_MM, Ink::Text);
        items.push(line.weighted(Weight::Bold));
    }
    y += GAP_MM + BAR_END_MM;
    let along = bar_length(width);
    items.push(bar(Point::new(left, y), Point::new(1.0, 0.0), along));
    y += BAR_END_MM;
    let mut lines = vec![bar_words(along, frame.across)];
    lines.extend(note_lines(width, notes));
    for (index, line) in lines.into_iter().enumerate() {
        y += NOTE_MM * LEADING;
        let ink = if index == 0 {
            Ink::Text
        } else {
            Ink::FaintText
        };
        items.push(Item::text(Point::new(left, y), line, NOTE_MM, ink));
    }
    // The strip is free beside the foot too.
    let down = bar_length(height + frame.foot_mm);
    let foot = Point::new(frame.strip_x() + BAR_END_MM, bottom + frame.foot_mm);
    items.push(bar(foot, Point::new(0.0, -1.0), down));
    let beside = Point::new(foot.x + BAR_END_MM + NOTE_MM * LEADING, foot.y);
    let words = Item::text(beside, bar_words(down, frame.down()), NOTE_MM, Ink::Text);
    items.push(words.turned(-90.0));
    items
}

/// The longest bar that fits.
fn bar_length(room_mm: f64) -> f64 {
    let fits = |length_mm: &f64| *length_mm <= room_mm;
    let found = BAR_LENGTHS_MM.into_iter().find(fits);
    found.unwrap_or(BAR_LENGTHS_MM[BAR_LENGTHS_MM.len() - 1])
}

fn bar_words(length_mm: f64, side: SheetSide) -> String {
    format!("{length_mm} mm along the {} of the sheet", side.words())
}

/// A bar from a point in a direction of unit length: end strokes, and a tick every 10 mm.
fn bar(from: Point, direction: Point, length_mm: f64) -> Item {
    let at = |along: f64, aside: f64| {
        Point::new(
            from.x + along * direction.x - aside * direction.y,
            from.y + along * direction.y + aside * direction.x,
        )
    };
    let mut path = Path::line(at(0.0, 0.0), at(length_mm, 0.0));
    let ticks = (length_mm / 10.0).round() as usize;
    for tick in 0..=ticks {
        let along = length_mm * tick as f64 / ticks as f64;
        let half = if tick == 0 || tick == ticks {
            BAR_END_MM
        } else {
            0.5 * BAR_END_MM
        };
        path.append(&Path::line(at(along, -half), at(along, half)));
    }
    Item::stroked(path, Ink::Line, THIN_MM).keyed("bar")
}

/// Crosses, and lines to cut or lay over at, in the scene's millimetres.
pub(super) fn joins(tiling: &Tiling, column: usize, row: usize) -> Vec<Item> {
    let mut items = Vec::new();
    let (low, high) = tiling.whole_window(column, row);
    let overlap = tiling.overlap_mm();
    let half = 0.5 * overlap;
    let neighbour = |right: usize, below: usize| tiling.number(column + right, row + below);
    let down = |x: f64| (Point::new(x, low.y), Point::new(x, high.y));
    let along = |y: f64| (Point::new(low.x, y), Point::new(high.x, y));
    if column > 0 {
        items.extend(cut_line(
            down(low.x + half),
            tiling.number(column - 1, row),
            overlap,
        ));
    }
    if column + 1 < tiling.columns() {
        items.extend(lay_line(down(high.x - half), neighbour(1, 0), overlap));
    }
    if row > 0 {
        let over = tiling.number(column, row - 1);
        items.extend(cut_line(along(low.y + half), over, overlap));
    }
    if row + 1 < tiling.rows() {
        items.extend(lay_line(along(high.y - half), neighbour(0, 1), overlap));
    }
    let marks = tiling.register_marks(column, row);
    items.extend(marks.iter().flat_map(|mark| cross(mark, half)));
    items
}

/// Where this sheet is cut; the words go with the piece cut off.
fn cut_line(line: (Point, Point), over: usize, overlap_mm: f64) -> [Item; 2] {
    let path = Path::line(line.0, line.1);
    let words = format!("cut along this line, lay over sheet {over}");
    [
        Item::stroked(path, Ink::FaintLine, CUT_MM).dashed(Dash::Dashed),
        beside(line, words, -1.0, overlap_mm),
    ]
}

/// Where the edge of a later sheet comes to lie; the words are hidden under it.
fn lay_line(line: (Point, Point), under: usize, overlap_mm: f64) -> [Item; 2] {
    let path = Path::line(line.0, line.1);
    let words = format!("the edge of sheet {under} lies on this line");
    [
        Item::stroked(path, Ink::FaintLine, THIN_MM),
        beside(line, words, 1.0, overlap_mm),
    ]
}

/// Words near the beginning of a line, past the cross there, before the line (to the left,
/// above) or after it.
fn beside((from, to): (Point, Point), words: String, side: f64, overlap_mm: f64) -> Item {
    // Capitals stand 0.73 of the em high; words after the line keep that much more away.
    let away = if side < 0.0 {
        -0.8
    } else {
        0.8 + 0.73 * NOTE_MM
    };
    let words = |x: f64, y: f64| {
        let at = Point::new(from.x + x, from.y + y);
        Item::text(at, words, NOTE_MM, Ink::FaintText)
    };
    if from.x == to.x {
        // Read upwards, the words end at the cross.
        words(away, overlap_mm).anchored(Anchor::End).turned(-90.0)
    } else {
        words(overlap_mm, away)
    }
}

/// A cross with its number above on the left and below on the right, so that one of them stays
/// in sight on either side of a cut.
fn cross(mark: &RegisterMark, half_overlap_mm: f64) -> Vec<Item> {
    let RegisterMark { number, at } = *mark;
    let arm = (half_overlap_mm - 0.5).min(4.0);
    let size = (0.5 * half_overlap_mm).min(NOTE_MM);
    let point = |x: f64, y: f64| Point::new(at.x + x, at.y + y);
    let mut path = Path::line(point(-arm, 0.0), point(arm, 0.0));
    path.append(&Path::line(point(0.0, -arm), point(0.0, arm)));
    let word = |at: Point| Item::text(at, number.to_string(), size, Ink::Accent);
    vec![
        Item::stroked(path, Ink::Accent, THIN_MM).keyed(format!("cross-{number}")),
        word(point(-0.6, -0.6)).anchored(Anchor::End),
        word(point(0.6, 0.6 + 0.73 * size)),
    ]
}
