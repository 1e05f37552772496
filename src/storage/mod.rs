//! Loads and saves the document.

pub mod message;
pub mod reader;
mod scan;
pub mod writer;
