//! Classes of figures on a map of strings and frets: a colour each, so that neighbours are told
//! apart, with round borders and the limit among them.

use super::chart::{figure_text, is_sound};
use super::string_map::{Side, StringMap};
use crate::ColourMap;

/// The most classes of one width; the limit may split one of them.
const MOST: f64 = 10.0;
/// Widths of a class, times a power of ten.
const WIDTHS: [f64; 6] = [1.0, 2.0, 2.5, 4.0, 5.0, 10.0];
/// How far, in classes, a figure may miss a border by rounding and still stand on it.
const SLACK: f64 = 1e-9;
/// One figure in so many may lie far from the others, in an open class at the harmless end: open
/// strings have air that would leave few colours for the frets.
const FAR_ONE_IN: usize = 20;

/// Classes from the least to the greatest figure.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Classes {
    /// Where classes begin and end, rising; one more than there are classes, two at least.
    borders: Vec<f64>,
    /// The border that is the limit.
    limit: Option<usize>,
    /// Decimals that the borders' figures need.
    decimals: usize,
    /// True when the first class takes in everything below it.
    pub(super) open_below: bool,
    /// True when the last class takes in everything above it.
    pub(super) open_above: bool,
}

impl Classes {
    /// The classes of a map's known figures; nothing if none is known.
    pub(super) fn of(map: &StringMap, mut figures: Vec<f64>) -> Option<Self> {
        figures.sort_by(f64::total_cmp);
        let (least, greatest) = (*figures.first()?, *figures.last()?);
        let far = figures.len() / FAR_ONE_IN;
        let (low, high) = match (map.limit, map.wrong_side) {
            (None, _) => (least, greatest),
            (_, Side::Below) => (least, figures[figures.len() - 1 - far]),
            (_, Side::Above) => (figures[far], greatest),
        };
        let (low, high) = with_room(low, high);
        let width = width(low, high);
        let first = (low / width + SLACK).floor();
        let count = ((high / width - SLACK).ceil() - first).max(1.0) as usize;
        let border = |index: usize| (first + index as f64) * width + 0.0;
        let mut borders: Vec<f64> = (0..=count).map(border).collect();
        let limit = map.limit.filter(|limit| is_sound(*limit));
        let limit = limit.and_then(|limit| take_in(&mut borders, limit, width));
        Some(Self {
            open_below: least < borders[0] - SLACK * width,
            open_above: greatest > borders[borders.len() - 1] + SLACK * width,
            decimals: decimals(width),
            borders,
            limit,
        })
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.borders.len() - 1
    }

    /// The border that is the limit, if it lies among them.
    pub(super) fn limit(&self) -> Option<usize> {
        self.limit
    }

    /// True when the figure lies below every class.
    pub(super) fn is_above(&self, figure: f64) -> bool {
        self.borders[0] > figure
    }

    /// The place of a class on its colour map.
    pub(super) fn share(&self, class: usize) -> f64 {
        match self.count() {
            0 | 1 => 0.5,
            count => class as f64 / (count - 1) as f64,
        }
    }

    /// The place of a figure's class on its colour map. A figure on a border belongs to the class
    /// on the border's harmless side, as the limit itself is harmless.
    pub(super) fn share_of(&self, figure: f64, wrong_side: Side) -> f64 {
        let least_width = self.borders.windows(2).map(|pair| pair[1] - pair[0]);
        let slack = SLACK * least_width.fold(f64::INFINITY, f64::min);
        let inner = &self.borders[1..self.count()];
        let passed = |border: &&f64| match wrong_side {
            Side::Below => figure >= **border - slack,
            Side::Above => figure > **border + slack,
        };
        self.share(inner.iter().filter(passed).count())
    }

    /// The figure of a border; nothing for a limit that is not as round as the others, which is
    /// told in words.
    pub(super) fn text(&self, border: usize) -> Option<String> {
        let figure = self.borders[border];
        let scaled = figure * 10_f64.powi(self.decimals as i32);
        let is_round = self.limit != Some(border) || (scaled - scaled.round()).abs() < 1e-6;
        is_round.then(|| figure_text(figure, self.decimals))
    }
}

/// The colours of the classes.
pub(super) const CLASS_COLOURS: ColourMap = ColourMap::Cividis;

/// One figure everywhere lies in the middle of a range with some width.
fn with_room(low: f64, high: f64) -> (f64, f64) {
    if high - low > 1e-9 * high.abs().max(1e-3) {
        return (low, high);
    }
    let room = (0.1 * high.abs()).max(0.5);
    (low - room, high + room)
}

/// The least round width with which no more than [`MOST`] classes hold the range.
fn width(low: f64, high: f64) -> f64 {
    let power = 10_f64.powf(((high - low) / MOST).log10().floor());
    let holds = |width: &f64| (high / width - SLACK).ceil() - (low / width + SLACK).floor() <= MOST;
    let widths = WIDTHS.map(|times| times * power);
    widths.into_iter().find(holds).unwrap_or(20.0 * power)
}

/// Takes the limit in among the borders, where it lies within them; gives its index.
fn take_in(borders: &mut Vec<f64>, limit: f64, width: f64) -> Option<usize> {
    let near = |border: &f64| (border - limit).abs() <= 1e-6 * width;
    if let Some(index) = borders.iter().position(near) {
        borders[index] = limit;
        return Some(index);
    }
    let index = borders.iter().position(|border| *border > limit)?;
    if index == 0 {
        return None;
    }
    borders.insert(index, limit);
    Some(index)
}

/// The decimals with which every multiple of a width is written in full, six at most.
fn decimals(width: f64) -> usize {
    let is_whole = |decimals: &usize| {
        let times = width * 10_f64.powi(*decimals as i32);
        times >= 0.5 && (times - times.round()).abs() < 1e-6 * times
    };
    (0..6).find(is_whole).unwrap_or(6)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(limit: Option<f64>, wrong_side: Side) -> StringMap {
        StringMap {
            title: String::new(),
            description: String::new(),
            unit: "mm".into(),
            values: Vec::new(),
            decimals: 2,
            limit,
            wrong_side,
            key: String::new(),
        }
    }

    fn classes(limit: Option<f64>, side: Side, figures: &[f64]) -> Classes {
        Classes::of(&map(limit, side), figures.to_vec()).unwrap()
    }

    fn texts(classes: &Classes) -> Vec<String> {
        (0..=classes.count())
            .filter_map(|border| classes.text(border))
            .collect()
    }

    #[test]
    fn borders_are_round_and_hold_every_figure() {
        let classes = classes(None, Side::Below, &[0.018, 0.09, 0.151]);
        assert_eq!(
            texts(&classes),
            [
                "0.00", "0.02", "0.04", "0.06", "0.08", "0.10", "0.12", "0.14", "0.16"
            ]
        );
        assert!(!classes.open_below && !classes.open_above);
        // Worked by hand: eight classes, the fifth of them holds 0.09.
        assert_eq!(classes.share_of(0.09, Side::Below), 4.0 / 7.0);
    }

    #[test]
    fn the_limit_parts_what_is_harmless_from_what_is_not() {
        for side in [Side::Below, Side::Above] {
            let figures: Vec<f64> = (0..16).map(|step| 0.01 * f64::from(step)).collect();
            let classes = classes(Some(0.055), side, &figures);
            assert_eq!(
                classes.limit().map(|border| classes.borders[border]),
                Some(0.055)
            );
            let share = |figure| classes.share_of(figure, side);
            assert_ne!(share(0.0549), share(0.0551));
            let (at, beside) = match side {
                Side::Below => (share(0.055), share(0.0551)),
                Side::Above => (share(0.055), share(0.0549)),
            };
            assert_eq!(at, beside, "the limit itself is harmless");
            assert_eq!(
                texts(&classes).len(),
                classes.count(),
                "0.055 is told in words"
            );
        }
    }

    #[test]
    fn few_figures_far_off_do_not_take_the_colours_of_the_others() {
        let mut figures: Vec<f64> = (0..=60).map(|step| 0.0025 * f64::from(step)).collect();
        figures.extend([0.9, 1.0, 1.1]);
        let classes = classes(Some(0.02), Side::Below, &figures);
        assert!(classes.open_above && !classes.open_below);
        assert!(classes.count() >= 7, "{classes:?}");
        assert_eq!(classes.share_of(1.1, Side::Below), 1.0);
    }

    #[test]
    fn no_range_asks_for_more_than_eleven_classes_or_for_few() {
        for power in -6..6 {
            for begin in [-7.3, -1.0, 0.0, 0.4, 12.9] {
                for extent in [1.0, 1.7, 3.3, 4.99, 9.0, 9.99] {
                    let unit = 10_f64.powi(power);
                    let (low, high) = (begin * unit, (begin + extent) * unit);
                    let middle = 0.5 * (low + high) + 0.0137 * unit;
                    let classes = classes(Some(middle), Side::Below, &[low, high]);
                    assert!(
                        (3..=11).contains(&classes.count()),
                        "{low} to {high}: {classes:?}"
                    );
                    assert!(classes.borders.is_sorted_by(|a, b| a < b));
                    assert!(classes.borders[0] <= low + 1e-8 * unit);
                    assert!(classes.borders[classes.count()] >= high - 1e-8 * unit);
                }
            }
        }
    }

    #[test]
    fn neighbouring_classes_differ_by_more_than_five_in_lightness() {
        // Two greys that touch are told apart from a difference of about one in CIE L*; five and
        // more hold beside other colours and on paper (common practice, no source).
        let lightness =
            |class: usize| crate::cie_lightness(CLASS_COLOURS.colour(class as f64 / 10.0));
        for class in 1..11 {
            assert!(
                lightness(class) - lightness(class - 1) > 5.0,
                "class {class}"
            );
        }
    }
}
