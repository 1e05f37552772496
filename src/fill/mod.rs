//! How many printers the room takes: placed, and the ceiling of each limit alone.
//!
//! A ceiling is only an upper bound. Nothing here calls a number the true maximum: that takes a proof over all limits
//! together.

mod ceilings;

pub use ceilings::{Ceiling, Headroom};
