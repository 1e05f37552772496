//! Drives the editor's real widgets through their accessible names, and looks at pictures of them; no screen is needed.
#![cfg(feature = "editor")]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on should stop there"
)]

mod air;
mod app;
mod arrange;
mod bad_days;
mod comfort;
mod demo_plans;
mod empty;
mod fill;
mod fill_walls;
mod first_window;
mod gestures;
mod gestures_phase;
mod harness;
mod heat;
mod help;
mod idle;
mod measure;
mod overlays;
mod panels;
mod panels_side;
mod picture;
mod punch_rows;
mod racks;
mod reach;
mod room;
mod room_built;
mod schedule;
mod schedule_hang;
mod supply;
mod theme;
mod tracing;
mod true_maximum;
mod walls;
mod widgets;
