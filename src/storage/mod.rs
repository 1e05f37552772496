//! Loads and saves the document.

pub mod writer;
