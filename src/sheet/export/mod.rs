//! Writers of sheets. They draw what the marks say and decide nothing.

mod svg;

use std::fmt;

pub use svg::svg;

/// Why a sheet could not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ExportError {
    /// A place on the paper is no number, or lies far off the paper.
    NotOnPaper {
        /// Which part of the sheet holds it.
        part: String,
    },
}

impl fmt::Display for ExportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotOnPaper { part } => write!(
                f,
                "the sheet was not written: a place in its part \"{part}\" is no number or lies far off the paper; \
                 check the sizes and places of the plan for extreme values"
            ),
        }
    }
}

impl std::error::Error for ExportError {}
