//! The program as it runs on a maker's computer: started on a book, asked over loopback as its own
//! pages ask, ended.

mod client;
mod program;

pub use client::{Answer, Client};
pub use program::{Listening, Started, memory_kb, program, start};
