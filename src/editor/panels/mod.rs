//! The panels round the floor, one file each. Each reads what is shown, keeps its own drafts, and asks; none can write.

pub mod about_check;
pub mod aside;
pub mod bad_days;
pub mod card;
pub mod drawer;
pub mod elevation;
pub mod fill;
mod fill_walls;
pub mod find;
pub mod headroom;
pub mod new_plan;
pub mod own_printer;
pub mod phases;
pub mod punch_list;
mod residuals;
pub mod room;
mod room_built;
pub mod schedule;
mod schedule_hang;
mod schedule_table;
mod schedule_wiring;
pub mod start;
pub mod status;
pub mod tracing;
pub mod wall_elevation;
mod what_if;
