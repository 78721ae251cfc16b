//! Paper for the bench: the plan as sheets to print, one stage a block, with a box to tick; and the form for readings.

mod bench_plan;
mod reading_form;
pub mod stage_words;

pub use bench_plan::bench_plan_pdf;
pub use reading_form::reading_form_pdf;
