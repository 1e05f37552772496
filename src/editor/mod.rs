//! The editor: what egui draws and what a person does with it. Holds view state only; the document is changed elsewhere.

pub mod action;
pub mod floor;
pub mod picture;
pub mod shown;
pub mod theme;
pub mod widgets;
pub mod window;
