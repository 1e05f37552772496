//! Aislewright: a desktop room-layout editor for people who run a room full of 3D printers.
//!
//! Data goes one way, and a module names only those before it:
//!
//! - [`units`] reads and shows exact quantities; [`geometry`] knows shapes in the plane; [`handbook`] holds formulas with
//!   their sources; [`stock`] lists kinds of things.
//! - [`plan`] is the document: an immutable value, changed only by edits. [`storage`] brings it to and from files.
//! - [`layout`] works out how a plan stands in one phase: bodies, strips, zones, jets, slots, loads, cords.
//! - [`checks`] measures the layout and gives findings with their mends; [`wiring`] puts loads on circuits; [`fill`] counts
//!   printers and ceilings.
//! - [`sheet`] draws the layout for the contractor.
//! - `editor` shows it all and sends edits; it is behind the feature `editor`, so that the rest builds without a window system.
//! - [`cli`] holds the commands; `main.rs` hands it what draws and opens the window.
#![forbid(unsafe_code)]

pub mod checks;
pub mod cli;
pub mod fill;
pub mod geometry;
pub mod handbook;
pub mod layout;
pub mod plan;
pub mod sheet;
pub mod stock;
pub mod storage;
pub mod units;
pub mod wiring;

#[cfg(feature = "editor")]
pub mod editor;
