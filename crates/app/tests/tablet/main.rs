//! The server over real sockets: what is open, who is let in, and what it puts up with.

mod gate;
mod limits;
mod opening;
mod pairing;
mod shop;
