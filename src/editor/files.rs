//! The file behind the document: opening, saving, exporting, the lock, unsaved work found at the start. Knows no widgets.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::derived::Judged;
use super::dialogs::PathFor;
use crate::fill::Answer;
use crate::layout::Layout;
use crate::plan::{Fault, Library, Plan};
use crate::sheet::{self, Made};
use crate::storage::disk::Disk;
use crate::storage::lock::{Lock, LockOutcome, lock_plan};
use crate::storage::save::{self, Expected, Fingerprint, SaveError};
use crate::storage::{self, OpenError};

/// Where a plan's file and its state stand.
#[derive(Debug)]
pub(super) struct File {
    /// The path, once there is one.
    pub(super) path: Option<PathBuf>,
    /// What the file held when it was read or written last.
    pub(super) holds: Fingerprint,
    /// Why the plan may only be looked at, if so.
    pub(super) read_only: Option<String>,
    /// What is to be mended before anything else can be changed: a tape walk that makes no room.
    pub(super) to_mend: Option<String>,
    lock: Option<Lock>,
}

impl File {
    /// No file yet.
    pub(super) fn none() -> Self {
        Self {
            path: None,
            holds: Fingerprint::of(&[]),
            read_only: None,
            to_mend: None,
            lock: None,
        }
    }

    /// The name to show.
    pub(super) fn name(&self) -> String {
        self.path
            .as_ref()
            .and_then(|p| p.file_name())
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }

    /// Opens a plan. One with faults, or one that somebody else has open, may only be looked at; where nothing but the tape
    /// walk is at fault, that can be mended.
    pub(super) fn open(
        disk: &dyn Disk,
        library: &Library,
        path: &Path,
    ) -> Result<(Self, Plan), OpenError> {
        let opened = storage::open(disk, library, path)?;
        let mut file = Self {
            path: Some(path.to_path_buf()),
            holds: opened.fingerprint,
            read_only: None,
            to_mend: None,
            lock: None,
        };
        match lock_plan(disk, path) {
            LockOutcome::Held(lock) => file.lock = Some(lock),
            LockOutcome::HeldBy(who) => file.read_only = Some(who),
            LockOutcome::NoLocksHere(_) => {}
        }
        let walk_alone = opened.plan.room().tape_walk().is_some()
            && opened.faults.iter().all(Fault::is_of_outline);
        if !opened.faults.is_empty() && walk_alone {
            file.to_mend = Some(opened.faults_message(&file.name()));
        } else if !opened.faults.is_empty() {
            file.read_only = Some(opened.faults_message(&file.name()));
        }
        Ok((file, opened.plan))
    }

    /// Saves the plan under its own path; the sentence is a warning for the user.
    pub(super) fn save(
        &mut self,
        disk: &dyn Disk,
        plan: &Plan,
    ) -> Result<Option<String>, OpenError> {
        let Some(path) = self.path.clone() else {
            return Ok(None);
        };
        let saved = storage::write(disk, &path, plan, Expected::Content(self.holds))?;
        self.holds = saved.fingerprint;
        Ok(saved.warning)
    }

    /// Saves the plan under another path, which becomes its own.
    pub(super) fn save_as(
        &mut self,
        disk: &dyn Disk,
        plan: &Plan,
        path: &Path,
        replace: bool,
    ) -> Result<Option<String>, OpenError> {
        let expected = if replace {
            Expected::Anything
        } else {
            Expected::Nothing
        };
        let saved = storage::write(disk, path, plan, expected)?;
        self.release(disk);
        *self = Self {
            path: Some(path.to_path_buf()),
            holds: saved.fingerprint,
            read_only: None,
            to_mend: None,
            lock: match lock_plan(disk, path) {
                LockOutcome::Held(lock) => Some(lock),
                LockOutcome::HeldBy(_) | LockOutcome::NoLocksHere(_) => None,
            },
        };
        Ok(saved.warning)
    }

    /// Frees the lock.
    pub(super) fn release(&mut self, disk: &dyn Disk) {
        if let Some(lock) = self.lock.take() {
            lock.release(disk);
        }
    }
}

/// True where a save was refused because the name is taken.
pub(super) fn name_is_taken(error: &OpenError) -> bool {
    matches!(error, OpenError::Save(SaveError::Exists { .. }))
}

/// Writes the floor sheet of what is shown.
pub(super) fn export(
    disk: &dyn Disk,
    judged: &Judged,
    fullest: Option<&Answer>,
    path: &Path,
    date: &str,
    replace: bool,
) -> Result<(), OpenError> {
    let made = Made {
        date: date.to_owned(),
        ..Made::default()
    };
    let drawn = sheet::floor_sheet(
        &judged.layout,
        &judged.findings,
        &judged.headroom,
        fullest,
        &made,
    );
    let text = sheet::svg(&drawn).map_err(|error| OpenError::Disk {
        path: path.to_path_buf(),
        error: std::io::Error::other(error.to_string()),
    })?;
    let expected = if replace {
        Expected::Anything
    } else {
        Expected::Nothing
    };
    save::save(disk, path, text.as_bytes(), expected)
        .map(|_| ())
        .map_err(OpenError::Save)
}

/// Writes the cards of bad days and the labels into a folder, and says how many pages they are.
pub(super) fn export_cards(
    disk: &dyn Disk,
    layout: &Layout,
    folder: &Path,
    date: &str,
    replace: bool,
) -> Result<usize, OpenError> {
    let files = sheet::cards_and_labels_as_svg(layout, date).map_err(|error| OpenError::Disk {
        path: folder.to_path_buf(),
        error: std::io::Error::other(error.to_string()),
    })?;
    save::save_all(disk, folder, &files, replace).map_err(OpenError::Save)?;
    Ok(files.len())
}

/// Asks the desktop for a file in a thread of its own, so that the window goes on.
pub(super) fn browse(purpose: PathFor, start: &Path) -> std::sync::mpsc::Receiver<Option<PathBuf>> {
    let (sender, chosen) = std::sync::mpsc::channel();
    let folder = start.parent().map(Path::to_path_buf).unwrap_or_default();
    let name = start
        .file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default();
    let ask = move || {
        let dialog = rfd::FileDialog::new()
            .set_directory(folder)
            .set_file_name(name);
        let path = match purpose {
            PathFor::Save | PathFor::Export => dialog.save_file(),
            PathFor::Cards => dialog.pick_folder(),
            PathFor::Open => dialog.pick_file(),
            PathFor::Trace | PathFor::TraceNew => dialog
                .add_filter(
                    "PNG or JPEG picture",
                    &["png", "jpg", "jpeg", "PNG", "JPG", "JPEG"],
                )
                .pick_file(),
        };
        // The window may have moved on.
        let _ = sender.send(path);
    };
    // Without a thread there is no dialog; the path can still be typed.
    let _ = std::thread::Builder::new()
        .name("browse".to_owned())
        .spawn(ask);
    chosen
}

/// The disk as the editor shares it with its threads.
pub(super) type SharedDisk = Arc<dyn Disk>;
