//! Everything that was measured, in whatever mixture, becomes one surface with honest
//! uncertainty, and a next step.
//!
//! Begin with [`report()`]: it takes a visit's readings through the whole way.
//!
//! 1. [`table`] reads a readings file; [`place`] knows the maker's words for places; [`reading`]
//!    says what a reading is.
//! 2. [`wood`] says which unknowns the surface has, [`net`] its local departure; [`observe`] turns
//!    each reading into a statement on them.
//! 3. [`fit`] finds the likeliest wood ([`normal`], [`heights`], [`bell`]), [`moments`] its mean and
//!    covariance, and [`measured`] answers for any figure of it.
//! 4. [`figures`], [`doubt`] and [`together`] tell what was learned, what is doubted, and what not.
//! 5. [`next`] finds the surface to work to as a linear [`program`]; [`departure`] whether it is
//!    done; [`steps`], [`choice`] and [`telling`] what to do, what else, and what to read.

pub mod bell;
pub mod choice;
pub mod departure;
pub mod doubt;
pub mod figures;
pub mod fit;
pub mod grid;
pub mod heights;
pub mod level;
pub mod measured;
pub mod moments;
pub mod net;
pub mod next;
pub mod normal;
pub mod observe;
pub mod pieces;
pub mod place;
pub mod program;
pub mod propagation;
pub mod reading;
pub mod report;
pub mod ruling;
pub mod sagitta;
pub mod steps;
pub mod table;
pub mod telling;
pub mod together;
pub mod wood;

pub use reading::{Reading, Spot, Visit, What};
pub use report::{Ask, Report, report};
pub use table::{ReadOut, read_readings};
