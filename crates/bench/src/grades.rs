//! The grade ladder, and how much wood each grade must find to take out the scratches of the one before.
//!
//! The ladder follows common practice (no source): shape at about P80, blend at about P120, then
//! on to P320 and finer, up to P600. A step makes grains at most [`GREATEST_STEP`] times finer.

use quantity::Grade;

/// Grain diameters of the coarser grade that the next one must find: a rule of thumb, common
/// practice, no source.
pub const GRAINS_BETWEEN_GRADES: f64 = 3.0;

/// The greatest ratio of grain diameters between two neighbouring grades of the ladder: P120 to
/// P320 is 2.7 (common practice steps so, no source).
pub const GREATEST_STEP: f64 = 2.75;

/// Grain diameters in µm near which shaping and blending are done (P80, P120; ISO 6344 figures),
/// and at which work no longer moves the radius (P320), and the finest that a playing surface
/// is taken to before the maker's own finish (P600).
const SHAPE_UM: f64 = 201.0;
const BLEND_UM: f64 = 125.0;
const SMOOTH_UM: f64 = 46.2;
const FINEST_UM: f64 = 25.8;

/// The grades that the plan uses, coarsest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    /// The grades, coarsest first; empty when the kit has none.
    pub grades: Vec<&'static Grade>,
}

/// Height of wood to leave for the next grade, mm.
pub fn allowance_mm(grade: &Grade) -> f64 {
    GRAINS_BETWEEN_GRADES * grade.diameter_um.value / 1000.0
}

/// True for a grade so fine that it smooths and no longer moves the radius.
pub fn only_smooths(grade: &Grade) -> bool {
    grade.diameter_um.value <= SMOOTH_UM
}

impl Ladder {
    /// The ladder from the grades that a kit has, coarsest first.
    pub fn from_kit(owned: &[&'static Grade]) -> Self {
        let Some(shape) = closest(owned, SHAPE_UM) else {
            return Self { grades: Vec::new() };
        };
        let mut grades = vec![shape];
        if let Some(blend) = closest(&finer(owned, shape), BLEND_UM) {
            grades.push(blend);
        }
        while let Some(next) = grades.last().and_then(|last| next_step(owned, last)) {
            grades.push(next);
        }
        Self { grades }
    }

    /// What the grade at `index` leaves for the next one, mm: nothing after the last.
    pub fn allowance_mm(&self, index: usize) -> f64 {
        if index + 1 < self.grades.len() {
            allowance_mm(self.grades[index])
        } else {
            0.0
        }
    }

    /// All that the grades from `index` on leave, mm: how high over the finished surface the
    /// grade at `index` aims.
    pub fn aim_mm(&self, index: usize) -> f64 {
        (index..self.grades.len())
            .map(|grade| self.allowance_mm(grade))
            .sum()
    }

    /// The same ladder begun later, so that it finds at most `spare_mm` of wood.
    pub fn within(&self, spare_mm: f64) -> Self {
        let first = (0..self.grades.len())
            .find(|index| self.aim_mm(*index) <= spare_mm)
            .unwrap_or(self.grades.len().saturating_sub(1));
        Self {
            grades: self.grades[first.min(self.grades.len())..].to_vec(),
        }
    }
}

fn closest(owned: &[&'static Grade], diameter_um: f64) -> Option<&'static Grade> {
    let distance = |grade: &Grade| (grade.diameter_um.value / diameter_um).ln().abs();
    owned
        .iter()
        .copied()
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))
}

fn finer(owned: &[&'static Grade], than: &Grade) -> Vec<&'static Grade> {
    let limit = than.diameter_um.value;
    owned
        .iter()
        .copied()
        .filter(|grade| grade.diameter_um.value < limit)
        .collect()
}

/// The finest grade within one step, or else the nearest finer one; none past the finest wanted.
fn next_step(owned: &[&'static Grade], last: &Grade) -> Option<&'static Grade> {
    let candidates: Vec<_> = finer(owned, last)
        .into_iter()
        .filter(|grade| grade.diameter_um.value >= FINEST_UM - 1e-9)
        .collect();
    let reach = last.diameter_um.value / GREATEST_STEP;
    let by_size = |a: &&&'static Grade, b: &&&'static Grade| {
        a.diameter_um.value.total_cmp(&b.diameter_um.value)
    };
    candidates
        .iter()
        .filter(|grade| grade.diameter_um.value >= reach)
        .min_by(by_size)
        .or_else(|| candidates.iter().max_by(by_size))
        .copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::grade;

    fn ladder(names: &[&str]) -> Vec<&'static str> {
        let owned: Vec<_> = names
            .iter()
            .map(|name| grade(name).expect("is in the table"))
            .collect();
        Ladder::from_kit(&owned)
            .grades
            .iter()
            .map(|grade| grade.name)
            .collect()
    }

    #[test]
    fn grades_rise_80_120_then_320_to_600() {
        // Common practice, no source.
        let all = [
            "P60", "P80", "P100", "P120", "P150", "P180", "P240", "P320", "P400", "P600", "P800",
        ];
        assert_eq!(ladder(&all), ["P80", "P120", "P320", "P600"]);
        assert_eq!(
            ladder(&["P80", "P120", "P180", "P240", "P320", "P400"]),
            ["P80", "P120", "P320", "P400"]
        );
    }

    #[test]
    fn a_gap_is_stepped_over_and_little_is_enough() {
        assert_eq!(ladder(&["P80", "P400"]), ["P80", "P400"]);
        assert_eq!(ladder(&["P150"]), ["P150"]);
        assert_eq!(ladder(&[]), [""; 0]);
    }

    #[test]
    fn each_step_leaves_three_grains_of_the_coarser() {
        let owned: Vec<_> = ["P80", "P120", "P320"]
            .iter()
            .map(|name| grade(name).expect("known"))
            .collect();
        let ladder = Ladder::from_kit(&owned);
        // ISO 6344: P80 201 µm, P120 125 µm, as printed in secondary copies of the standard.
        assert!((ladder.allowance_mm(0) - 0.603).abs() < 1e-12);
        assert!((ladder.allowance_mm(1) - 0.375).abs() < 1e-12);
        assert_eq!(ladder.allowance_mm(2), 0.0);
        assert!((ladder.aim_mm(0) - 0.978).abs() < 1e-12);
        assert_eq!(ladder.within(0.5).grades.len(), 2);
        assert_eq!(ladder.within(0.0).grades.len(), 1);
    }
}
