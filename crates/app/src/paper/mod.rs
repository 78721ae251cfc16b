//! Paper for the bench: the plan as sheets to print, one stage a block, with a box to tick; the form for readings, and the set-up sheet.

mod bench_plan;
mod flow;
mod reading_form;
mod set_up_sheet;
pub mod stage_words;

pub use bench_plan::bench_plan_pdf;
pub use reading_form::reading_form_pdf;
pub use set_up_sheet::set_up_sheet_pdf;
