//! A kit and an instrument become a bench plan: zones, stages, touch maps, effort, gauges.
//!
//! What the blocks of a kit may cut without harm, what they leave, how the beam must travel,
//! which grades follow and how much each must find, what the chalk shows on the way, and what
//! the gauges can prove.

pub mod beam;
pub mod blocks;
pub mod cautions;
pub mod effort;
pub mod gauges;
pub mod grades;
pub mod helpful;
pub mod jigs;
pub mod kit;
pub mod left;
pub mod machine;
pub mod plan;
pub mod stage;
pub mod touch;

pub use kit::{KIT_KEYS, Kit, read_kit};
pub use plan::{BenchPlan, bench_plan};
pub use stage::{Stage, Standing, Work};
