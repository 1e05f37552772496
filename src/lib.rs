//! Aislewright: a desktop room-layout editor for people who run a room full of 3D printers.
#![forbid(unsafe_code)]

pub mod checks;
pub mod fill;
pub mod geometry;
pub mod handbook;
pub mod layout;
pub mod plan;
pub mod sheet;
pub mod stock;
pub mod storage;
pub mod units;

#[cfg(feature = "editor")]
pub mod editor;
