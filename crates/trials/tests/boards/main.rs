//! What every random commission and kit must keep to, with what else rests on them. One program for
//! all files: each for itself would bring the whole house along once more.

mod chances;
mod choosing;
mod common;
mod coverage;
mod demo_readings;
mod figures;
mod flat_limit;
mod fret_tops;
mod geometry;
mod hostile_playing;
mod hostile_readings;
mod leaves;
mod levelling;
mod milling;
mod mirror;
mod pages;
mod pictures;
mod plans;
mod played;
mod playing;
mod robustness;
mod safety;
mod scaling;
mod solids;
mod stages;
mod string_cone;
mod survey;
mod trade;
mod vibrating_string;
mod wild_reading;
