//! The sheet, looked at from outside: an independent XML reader for the SVG, an independent renderer for the sizes of its
//! texts, and lengths measured on paper.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on should stop there"
)]

mod example;
mod hand_outs;
mod lengths;
mod lettering;
mod rooms;
mod safe;
mod schedules;
mod written;
