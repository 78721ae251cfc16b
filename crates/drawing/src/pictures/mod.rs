//! The pictures of the trade: each takes finished figures and returns a scene.

mod beam_sweep;
mod board_plan;
mod departure_map;
mod edge_chart;
mod form_plan;
mod form_sheet;
mod frame;
mod lane_profile;
mod left_map;
mod map_marks;
mod measured_map;
mod radius_chart;
mod reading_form;
mod saw_tooth;
mod section;
mod slice;
mod slice_key;
mod step_on_board;
mod touch;

pub use beam_sweep::beam_sweep;
pub use board_plan::board_plan;
pub use departure_map::departure_map;
pub use edge_chart::edge_chart;
pub use frame::{Look, Pointed, WIDE_MM};
pub use lane_profile::lane_profile;
pub use left_map::left_map;
pub use map_marks::{MapMark, MarkKind};
pub use measured_map::{MapKind, MeasuredMap};
pub use radius_chart::{RadiusHandle, radius_chart, radius_handles};
pub use reading_form::{FormLight, FormPlace, FormSpot, ReadingForm, reading_form};
pub use saw_tooth::saw_tooth;
pub use section::section;
pub use slice::{PointTrust, Slice, SlicePoint, slice};
pub use step_on_board::{BeamSweep, LimitingSpot, StepLook, step_on_board};
pub use touch::{chalk_map, touch_strip};
