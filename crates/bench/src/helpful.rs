//! Which block would help most: for each common radius that the shop does not own, what it would leave.

use instrument::{Instrument, Radius};

use crate::blocks::BlockZone;
use crate::blocks::order_blocks;
use crate::kit::{Block, Kit};
use crate::left::left_by_blocks;

/// Radii in which blocks are commonly made, mm: whole and half inches, and round millimetres
/// (common practice, no source).
pub const NOMINAL_RADII_MM: [f64; 24] = [
    184.15, 200.0, 228.6, 241.3, 250.0, 254.0, 279.4, 300.0, 304.8, 330.2, 350.0, 355.6, 381.0,
    400.0, 406.4, 431.8, 450.0, 457.2, 500.0, 508.0, 558.8, 609.6, 762.0, 1000.0,
];

/// A block that is not owned, and what the blocks would leave with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HelpfulBlock {
    /// Its radius.
    pub radius: Radius,
    /// Greatest height then left, mm.
    pub left_max_mm: f64,
    /// Volume then left, mm³.
    pub left_mm3: f64,
}

/// The blocks that would leave less than the owned ones do, most helpful (least volume left) first.
pub fn helpful_blocks(
    instrument: &Instrument,
    kit: &Kit,
    owned_zones: &[BlockZone],
    owned_left_mm3: f64,
) -> Vec<HelpfulBlock> {
    let length_mm = owned_zones
        .iter()
        .map(|zone| zone.block.length_mm)
        .fold(200.0, f64::min);
    let mut helpful: Vec<HelpfulBlock> = NOMINAL_RADII_MM
        .iter()
        .map(|radius_mm| Radius::from_mm(*radius_mm))
        .filter(|radius| !kit.blocks.iter().any(|block| near(block.radius, *radius)))
        .filter_map(|radius| {
            let mut with = kit.clone();
            with.blocks.push(Block {
                radius,
                length_mm,
                width_mm: 70.0,
            });
            let (zones, _) = order_blocks(instrument, &with);
            let used = zones.iter().any(|zone| zone.block.radius == radius);
            let left = used.then(|| left_by_blocks(instrument, &zones))?;
            Some(HelpfulBlock {
                radius,
                left_max_mm: left.max_mm,
                left_mm3: left.volume_mm3,
            })
        })
        .filter(|block| block.left_mm3 < owned_left_mm3 * (1.0 - 1e-6))
        .collect();
    helpful.sort_by(|a, b| a.left_mm3.total_cmp(&b.left_mm3));
    helpful
}

/// Within half a percent a block is as good as owned.
fn near(a: Radius, b: Radius) -> bool {
    (a.mm() / b.mm() - 1.0).abs() < 0.005
}
