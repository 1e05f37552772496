//! Files: loading and saving plans, unsaved work, locks. Must not know the editor or what a check is.
pub mod disk;
pub mod journal;
pub mod lock;
pub mod save;
