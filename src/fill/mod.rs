//! How many printers the room takes: placed, and the ceiling of each limit alone.
//!
//! A ceiling is only an upper bound. Nothing here calls a number the true maximum: that takes a proof over all limits
//! together.

mod answer;
mod ceilings;
mod placed;
pub mod problem;
mod room;
mod search;

pub use answer::{Answer, Claim, FLOOR_ONLY, Placement, StoppedBy};
pub use ceilings::{Ceiling, Headroom};
pub use placed::adopt;
pub use room::Asked;
pub use search::{Ask, Unfillable, Watch, fill};
