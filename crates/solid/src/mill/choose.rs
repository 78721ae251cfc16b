//! Which cutter of the kit does which work, and why another may not.

use bench::Kit;
use bench::machine::{Cutter, CutterShape, Machine};

use super::dots::{ROOM_MM, SAME_DIAMETER_MM};
use super::refusal::Cause;

/// Cutters thinner than this clear no faces and cut no board out, mm (common practice, no source).
const LEAST_MM: f64 = 2.0;
/// A width over another by less than this is the same, mm.
const SAME_WIDTH_MM: f64 = 1e-6;

/// Faults of a cutter that have nothing to do with the work.
fn faults(cutter: &Cutter, machine: &Machine) -> Vec<Cause> {
    let name = || cutter.name.clone();
    let mut faults = Vec::new();
    for feed in [cutter.feed_mm_per_min, cutter.plunge_mm_per_min] {
        if feed > machine.most_feed_mm_per_min {
            faults.push(Cause::FeedTooFast {
                cutter: name(),
                feed_mm_per_min: feed,
                most_mm_per_min: machine.most_feed_mm_per_min,
            });
        }
    }
    if cutter.rpm < machine.rpm.0 || cutter.rpm > machine.rpm.1 {
        faults.push(Cause::Turning {
            cutter: name(),
            rpm: cutter.rpm,
            limits: machine.rpm,
        });
    }
    let chip_mm = cutter.chip_load_mm();
    if chip_mm < cutter.chip_mm.0 || chip_mm > cutter.chip_mm.1 {
        faults.push(Cause::Chip {
            cutter: name(),
            chip_mm,
            limits: cutter.chip_mm,
        });
    }
    faults
}

/// The first of the candidates without a fault for work so deep; every fault of all of them where
/// none is without.
fn first_sound<'k>(
    candidates: &[&'k Cutter],
    machine: &Machine,
    depth_mm: f64,
) -> Result<&'k Cutter, Vec<Cause>> {
    let mut all = Vec::new();
    for cutter in candidates {
        let mut found = faults(cutter, machine);
        if cutter.reach_mm <= depth_mm {
            found.push(Cause::ReachTooShort {
                cutter: cutter.name.clone(),
                reach_mm: cutter.reach_mm,
                depth_mm,
            });
        }
        if found.is_empty() {
            return Ok(cutter);
        }
        all.extend(found);
    }
    Err(all)
}

/// Cutters of a shape, the largest first.
fn of_shape(kit: &Kit, shape: CutterShape) -> Vec<&Cutter> {
    let mut found: Vec<&Cutter> = kit
        .cutters
        .iter()
        .filter(|cutter| cutter.shape == shape)
        .collect();
    found.sort_by(|a, b| b.diameter_mm.total_cmp(&a.diameter_mm));
    found
}

fn owned(cutters: &[&Cutter]) -> Vec<(String, f64)> {
    let one = |cutter: &&Cutter| (cutter.name.clone(), cutter.diameter_mm);
    cutters.iter().map(one).collect()
}

/// The largest cutter of a shape that is sound for work so deep, on faces and around the board.
pub(crate) fn largest(kit: &Kit, shape: CutterShape, depth_mm: f64) -> Result<&Cutter, Vec<Cause>> {
    let mut candidates = of_shape(kit, shape);
    candidates.retain(|cutter| cutter.diameter_mm >= LEAST_MM);
    if candidates.is_empty() {
        return Err(vec![Cause::NoCutter { shape }]);
    }
    first_sound(&candidates, &kit.machine, depth_mm)
}

/// The widest flat cutter that goes into slots so wide and deep.
pub(crate) fn for_slots(kit: &Kit, slot_mm: f64, depth_mm: f64) -> Result<&Cutter, Vec<Cause>> {
    let flats = of_shape(kit, CutterShape::Flat);
    let narrow = |cutter: &&Cutter| cutter.diameter_mm <= slot_mm + SAME_WIDTH_MM;
    let candidates: Vec<&Cutter> = flats.iter().copied().filter(narrow).collect();
    if candidates.is_empty() {
        let owned = owned(&flats);
        return Err(vec![Cause::SlotTooNarrow { slot_mm, owned }]);
    }
    first_sound(&candidates, &kit.machine, depth_mm)
}

/// The cutter for pockets so wide and deep: a drill of their diameter, a flat cutter of it, or the
/// largest flat cutter that has room to go round.
pub(crate) fn for_dots(kit: &Kit, dot_mm: f64, depth_mm: f64) -> Result<&Cutter, Vec<Cause>> {
    let (drills, flats) = (
        of_shape(kit, CutterShape::Drill),
        of_shape(kit, CutterShape::Flat),
    );
    let same = |cutter: &&Cutter| (cutter.diameter_mm - dot_mm).abs() <= SAME_DIAMETER_MM;
    let less = |cutter: &&Cutter| cutter.diameter_mm <= dot_mm - ROOM_MM;
    let mut candidates: Vec<&Cutter> = drills.iter().chain(&flats).copied().filter(same).collect();
    candidates.extend(flats.iter().copied().filter(less));
    if candidates.is_empty() {
        let owned = owned(&[drills, flats].concat());
        return Err(vec![Cause::DotTooSmall { dot_mm, owned }]);
    }
    first_sound(&candidates, &kit.machine, depth_mm)
}
