//! The panels round the floor, one file each. Each reads what is shown, keeps its own drafts, and asks; none can write.

pub mod aside;
pub mod card;
pub mod drawer;
pub mod elevation;
pub mod fill;
pub mod find;
pub mod headroom;
pub mod new_plan;
pub mod phases;
pub mod punch_list;
pub mod room;
pub mod status;
pub mod tracing;
