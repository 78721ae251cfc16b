//! Paper for the bench: the plan as sheets to print, one stage a block, with a box to tick.

mod bench_plan;
pub mod stage_words;

pub use bench_plan::bench_plan_pdf;
