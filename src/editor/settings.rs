//! What the program keeps for a person between runs: the plans opened last, how large everything is shown, and in
//! which theme. A file that is missing
//! or cannot be read is as good as none: nothing of anybody's work is in it. Knows no widget.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::files::SharedDisk;
use crate::storage::disk::Kind;
use crate::storage::reader;
use crate::storage::save::{self, Expected};
use crate::storage::writer::{self, LengthStyle};

/// The most plans kept in the list.
pub const MOST_RECENT: usize = 10;
/// The sizes at which everything can be shown, in percent.
pub const SCALES: [u16; 7] = [100, 125, 150, 175, 200, 225, 250];

/// The file's name in the settings folder.
const FILE: &str = "settings.ron";
/// The longest settings file that is read, in bytes.
const MOST_BYTES: u64 = 200_000;
/// The file format that is written.
const FORMAT: u32 = 1;

/// The content of the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    format: u32,
    /// Percent.
    #[serde(default)]
    scale: u16,
    /// True for the dark theme.
    #[serde(default)]
    dark: bool,
    /// Paths, the one opened last first.
    #[serde(default)]
    recent: Vec<String>,
}

/// A plan of the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recent {
    /// Its file.
    pub path: PathBuf,
    /// True where the file was there when it was looked for last.
    pub there: bool,
}

impl Recent {
    /// The file's name.
    pub fn name(&self) -> String {
        let name = self.path.file_name().unwrap_or(self.path.as_os_str());
        name.to_string_lossy().into_owned()
    }

    /// The folder it lies in.
    pub fn folder(&self) -> String {
        let folder = self.path.parent().unwrap_or(Path::new(""));
        folder.display().to_string()
    }
}

/// What is kept, and where.
#[derive(Debug)]
pub(super) struct Settings {
    disk: SharedDisk,
    /// Nothing is kept without a folder.
    folder: Option<PathBuf>,
    kept: Kept,
    recent: Vec<Recent>,
}

impl Settings {
    /// What the folder holds.
    pub(super) fn of(disk: SharedDisk, folder: Option<PathBuf>) -> Self {
        let mut settings = Self {
            disk,
            folder,
            kept: Kept {
                format: FORMAT,
                scale: 100,
                dark: false,
                recent: Vec::new(),
            },
            recent: Vec::new(),
        };
        settings.read();
        settings
    }

    /// How large everything is shown, in percent: one of [`SCALES`].
    pub(super) fn scale(&self) -> u16 {
        let kept = self.kept.scale;
        if SCALES.contains(&kept) { kept } else { 100 }
    }

    /// True where the dark theme was chosen.
    pub(super) fn dark(&self) -> bool {
        self.kept.dark
    }

    /// Keeps the choice of theme; the sentence says what went wrong.
    pub(super) fn set_dark(&mut self, dark: bool) -> Option<String> {
        self.read();
        self.kept.dark = dark;
        self.write()
    }

    /// The plans opened last.
    pub(super) fn recent(&self) -> &[Recent] {
        &self.recent
    }

    /// Keeps another size; the sentence says what went wrong.
    pub(super) fn set_scale(&mut self, percent: u16) -> Option<String> {
        self.read();
        self.kept.scale = percent;
        self.write()
    }

    /// Puts a plan at the head of the list.
    pub(super) fn opened(&mut self, path: &Path) -> Option<String> {
        let path = self
            .disk
            .canonical(path)
            .unwrap_or_else(|_no_such_path| path.to_path_buf());
        // A path that is no text could not be written; such a plan is opened as before, by its name.
        let name = path.to_str()?.to_owned();
        self.read();
        self.kept.recent.retain(|other| *other != name);
        self.kept.recent.insert(0, name);
        self.kept.recent.truncate(MOST_RECENT);
        self.write()
    }

    /// Takes a plan off the list; its file stays.
    pub(super) fn forget(&mut self, path: &Path) -> Option<String> {
        self.read();
        self.kept.recent.retain(|other| Path::new(other) != path);
        self.write()
    }

    /// Reads anew: another window of the program may have written meanwhile.
    fn read(&mut self) {
        if let Some(folder) = &self.folder
            && let Ok(bytes) = self.disk.read(&folder.join(FILE), MOST_BYTES)
            && let Ok(kept) = reader::read::<Kept>(FILE, &bytes, FORMAT)
        {
            self.kept = kept;
            self.kept.recent.truncate(MOST_RECENT);
        }
        self.look();
    }

    /// Looks which of the plans are there.
    fn look(&mut self) {
        let there = |path: &Path| {
            let found = self.disk.look(path);
            found.is_ok_and(|look| matches!(look.kind, Kind::File | Kind::Link))
        };
        let paths = self.kept.recent.iter().map(PathBuf::from);
        self.recent = paths
            .map(|path| Recent {
                there: there(&path),
                path,
            })
            .collect();
    }

    fn write(&mut self) -> Option<String> {
        self.look();
        let folder = self.folder.as_ref()?;
        let text = match writer::to_text(&self.kept, LengthStyle::Millimetres) {
            Ok(text) => text,
            Err(error) => return Some(error.to_string()),
        };
        // Without the folder the save says why.
        let _ = self.disk.create_folders(folder);
        save::save(
            self.disk.as_ref(),
            &folder.join(FILE),
            text.as_bytes(),
            Expected::Anything,
        )
        .err()
        .map(|error| error.to_string())
    }
}

/// The next size up or down from one, in percent.
pub fn next_scale(now: u16, up: bool) -> u16 {
    let next = if up {
        SCALES.iter().find(|s| **s > now)
    } else {
        SCALES.iter().rev().find(|s| **s < now)
    };
    next.copied().unwrap_or(now)
}
