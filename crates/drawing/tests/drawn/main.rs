//! What is drawn, and how it is written: scenes, pictures, patterns, sheets.

mod axis;
mod common;
mod dxf;
mod field;
mod ink;
mod jigs;
mod measured_map;
mod patterns;
mod pdf;
mod playing;
mod poppler;
mod reading_form;
mod scene;
mod slice;
mod svg;
mod text;
mod tiles;
