//! How many printers the room takes: the fullest arrangement with its proof, and the ceiling of each limit alone.
//!
//! [`fill`] asks and answers in the plan's own words. Below it lies the packing core, which knows no plan: [`problem`] says
//! what is to be packed, `lattice` where bodies may lie without loss, `grid` what each position allows, `standing` where the walker is there, `frontier` what a
//! row swept means for the next, `sweep` and `beam` go over the floor, `bound` cuts it into parts, `tidy` straightens rows, [`solve`] puts these in
//! order. A ceiling is only an upper bound; only a proof makes a count the true maximum.

mod answer;
mod beam;
mod bound;
mod ceilings;
mod frame;
mod frontier;
mod grid;
mod improve;
mod kinds;
mod lattice;
mod placed;
pub mod problem;
mod room;
mod rounding;
mod search;
mod solve;
mod standing;
mod states;
mod staying;
mod sweep;
mod tidy;
mod tolerance;
mod way_in;

pub use answer::{Answer, Budget, Carrier, Claim, NOT_JUDGED, Placement, StoppedBy};
pub use ceilings::{Ceiling, Headroom, leading_of};
pub use lattice::{Axis, Lattice, common_step};
pub use placed::{Unsound, adopt, verify};
pub use room::{Asked, is_loose, may_all_go, may_go};
pub use search::{Ask, Unfillable, Watch, fill};
pub use solve::{Effort, MOST_BYTES, Solved, solve};
pub use tolerance::{Cost, Shorter, WallCost, shorter_rooms, tape_tolerance};
