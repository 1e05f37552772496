//! One editor a plan: a lock on a side file next to it. The plan itself is never locked, because a save replaces it and a lock
//! would stay with the old file. Must not refuse a plan because the disk has no locks.

use std::fmt::Write as _;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use sha2::{Digest as _, Sha256};

use super::disk::{Disk, Kind, Locking, OpenFile, folder_of, in_plain_words};
use super::save::{hex, true_path};

/// How often a side file that was taken away between opening and locking is asked for again.
const MOST_TRIES: u32 = 5;

/// The longest side file that is read, in bytes; ours hold one short line.
const LONGEST_LINE: u64 = 200;

/// Tells apart the locks that one process takes one after the other.
static NEXT_LOCK: AtomicU64 = AtomicU64::new(0);

/// What came of asking for the lock of a plan.
#[derive(Debug)]
pub enum LockOutcome {
    /// It is ours until it is released, dropped, or the program ends in any way.
    Held(Lock),
    /// Someone else has the plan open; the text says who, for the user to read.
    HeldBy(String),
    /// This place has no locks; the text says why. Worth one calm line, no more.
    NoLocksHere(String),
}

/// The lock of a plan that is ours. Dropping it frees the lock and leaves the small side file, which the next one uses again.
#[derive(Debug)]
pub struct Lock {
    file: Box<dyn OpenFile>,
    side: PathBuf,
}

impl Lock {
    /// Frees the lock and removes the side file.
    pub fn release(self, disk: &dyn Disk) {
        // Removed while still held, so that it is surely ours. If it cannot be removed it is in nobody's way.
        let _ = disk.remove(&self.side);
        drop(self.file);
    }

    /// The side file.
    pub fn side_file(&self) -> &Path {
        &self.side
    }
}

/// Asks for the lock of a plan, whatever link leads to it. Never waits.
pub fn lock_plan(disk: &dyn Disk, plan: &Path) -> LockOutcome {
    let side = match true_path(disk, plan) {
        Ok(path) => side_file_of(&path),
        Err(error) => return LockOutcome::NoLocksHere(error.cause()),
    };
    for _ in 0..MOST_TRIES {
        match try_once(disk, &side) {
            Ok(Some(outcome)) => return outcome,
            Ok(None) => {}
            Err(error) => {
                return LockOutcome::NoLocksHere(format!(
                    "{}: {}",
                    side.display(),
                    in_plain_words(&error)
                ));
            }
        }
    }
    LockOutcome::HeldBy("another program that is opening and closing it".to_owned())
}

/// The name is short and does not grow with the plan's, which may be as long as the disk allows.
fn side_file_of(plan: &Path) -> PathBuf {
    let name = plan.file_name().unwrap_or_default().as_encoded_bytes();
    let hash = hex(&Sha256::digest(name));
    folder_of(plan).join(format!(".~{}.lock", hash.get(..16).unwrap_or(&hash)))
}

/// One try; `None` when the side file was taken away meanwhile.
fn try_once(disk: &dyn Disk, side: &Path) -> std::io::Result<Option<LockOutcome>> {
    match disk.look(side) {
        Ok(found) if found.kind != Kind::File => {
            return Ok(Some(LockOutcome::NoLocksHere(format!(
                "{} is not a file",
                side.display()
            ))));
        }
        Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
        Ok(_) | Err(_) => {}
    }
    let mut file = disk.open_side(side)?;
    match file.try_lock()? {
        Locking::Busy => Ok(Some(LockOutcome::HeldBy(holder(disk, side)))),
        Locking::Taken => {
            let line = format!(
                "process {} lock {}\n",
                std::process::id(),
                NEXT_LOCK.fetch_add(1, Ordering::SeqCst)
            );
            let written = file
                .empty()
                .and_then(|()| file.write(line.as_bytes()))
                .is_ok();
            // The one before us may have removed the name between our opening and our locking: then what we hold has no name any
            // more. Windows lets nobody read a locked file and keeps its name until it is closed, so there is nothing to look at.
            let named = !written
                || cfg!(windows)
                || disk
                    .read(side, LONGEST_LINE)
                    .is_ok_and(|text| text == line.as_bytes());
            Ok(named.then(|| {
                LockOutcome::Held(Lock {
                    file,
                    side: side.to_path_buf(),
                })
            }))
        }
    }
}

/// Who holds a side file, from its own line.
fn holder(disk: &dyn Disk, side: &Path) -> String {
    let mut text = "another window or program".to_owned();
    let line = disk
        .read(side, LONGEST_LINE)
        .ok()
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .unwrap_or_default();
    if let Some(pid) = line
        .split_whitespace()
        .nth(1)
        .and_then(|word| word.parse::<u32>().ok())
    {
        // Writing to a string cannot fail.
        let _ = write!(text, " (process {pid})");
    }
    text
}
