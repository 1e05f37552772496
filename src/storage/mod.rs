//! Files: loading and saving plans, unsaved work, locks. Must not know the editor or what a check is.

pub mod disk;
pub mod journal;
pub mod lock;
pub mod message;
mod plan_file;
pub mod reader;
pub mod save;
mod scan;
pub mod writer;

pub use plan_file::{
    OpenError, Opened, Recorded, open, plan_of, recorded_line, replayed, text_of, write,
};
