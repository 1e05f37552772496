//! The safe save: a file is replaced whole or not touched, whatever stops the program or the power, and never over another
//! program's change. Deals in bytes; must not know what a plan is.

use std::ffi::OsStr;
use std::fmt::{self, Display, Write as _};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use sha2::{Digest as _, Sha256};

use super::disk::{Access, Disk, Kind, Look, OpenFile, folder_of, in_plain_words, process_runs};

/// How many links in a row are followed before they count as a ring (the same number that Linux uses).
const MOST_LINKS: usize = 40;

/// How many left-over temporary files of our own name are stepped over before giving up.
const MOST_TEMP_NAMES: u32 = 100;

/// Running number of temporary files of this process, so that two saves at once never share one.
static NEXT_TEMP: AtomicU64 = AtomicU64::new(0);

/// The length and SHA-256 (FIPS 180-4) of a content: two files with equal fingerprints hold the same bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fingerprint {
    len: u64,
    sha256: [u8; 32],
}

impl Fingerprint {
    /// The fingerprint of a content.
    pub fn of(bytes: &[u8]) -> Self {
        // A length in memory always fits in 64 bits.
        Self {
            len: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
            sha256: Sha256::digest(bytes).into(),
        }
    }

    /// The length of the content in bytes.
    pub fn len(&self) -> u64 {
        self.len
    }

    /// Whether the content has no bytes at all.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Reads what [`Display`] writes; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        let (len, hex) = text.split_once(' ')?;
        let mut sha256 = [0; 32];
        if hex.len() != 64 || !hex.is_ascii() {
            return None;
        }
        for (byte, at) in sha256.iter_mut().zip((0..64).step_by(2)) {
            *byte = u8::from_str_radix(hex.get(at..at + 2)?, 16).ok()?;
        }
        Some(Self {
            len: len.parse().ok()?,
            sha256,
        })
    }
}

/// The length, a blank, the hash in hexadecimal.
impl Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.len, hex(&self.sha256))
    }
}

/// Bytes as lower-case hexadecimal.
pub(super) fn hex(bytes: &[u8]) -> String {
    let mut text = String::new();
    for byte in bytes {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// What the one who saves expects to find under the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expected {
    /// The content that was loaded or saved last; anything else is another program's change and is kept.
    Content(Fingerprint),
    /// No file at all: a new plan or an export, and nobody was asked about overwriting.
    Nothing,
    /// Whatever is there, or nothing: the user was asked and said to replace it.
    Anything,
}

/// A save that was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saved {
    /// The fingerprint to expect at the next save.
    pub fingerprint: Fingerprint,
    /// The file that was written, after following links.
    pub path: PathBuf,
    /// A sentence for the user when the new content is there but the disk did not confirm that it would survive a power cut.
    pub warning: Option<String>,
}

/// What was being done when the disk failed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// Finding out what stands under the name.
    Looking,
    /// Asking whether the file may be written.
    Asking,
    /// Making the temporary file beside it.
    Making,
    /// Writing the temporary file and waiting for the disk.
    Writing,
    /// Reading the temporary file back.
    Comparing,
    /// Giving the new file the old one's name.
    Renaming,
}

/// A failure of the disk while a file was being replaced; the old file is as it was.
#[derive(Debug)]
pub struct Trouble {
    /// The file that was to be replaced.
    pub path: PathBuf,
    /// The step that failed.
    pub doing: Doing,
    /// The system's own error.
    pub error: io::Error,
}

/// The cause in words, without the file's name.
impl Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let doing = match self.doing {
            Doing::Looking => "looking at it failed",
            Doing::Asking => "it may not be written",
            Doing::Making => "making a file in its folder failed",
            Doing::Writing => "writing failed",
            Doing::Comparing => "reading back what was written failed",
            Doing::Renaming => "putting the new file in its place failed",
        };
        write!(f, "{doing}: {}", in_plain_words(&self.error))
    }
}

/// Why a save was not done. In every case the file that was there is untouched.
#[derive(Debug)]
pub enum SaveError {
    /// A folder, pipe or device has the name.
    NotAFile {
        /// The name.
        path: PathBuf,
    },
    /// The links under the name lead round in a ring, or there are more than 40.
    LinkRing {
        /// The name.
        path: PathBuf,
    },
    /// The file is marked read-only.
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// Another program wrote the file since it was loaded.
    ChangedByAnother {
        /// The file.
        path: PathBuf,
    },
    /// The file is gone since it was loaded.
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// A file of this name exists and nobody was asked about replacing it.
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// The file has several names (hard links); a save would part them.
    SeveralNames {
        /// The file.
        path: PathBuf,
        /// How many names it has.
        names: u64,
    },
    /// The disk failed.
    Disk(Trouble),
}

impl From<Trouble> for SaveError {
    fn from(trouble: Trouble) -> Self {
        Self::Disk(trouble)
    }
}

impl SaveError {
    /// The file, the cause, and what to do about it, each to be put in a sentence.
    fn parts(&self) -> (&Path, String, &'static str) {
        match self {
            Self::NotAFile { path } => (
                path,
                "that name belongs to a folder or a device, not to a file".to_owned(),
                "Choose another name.",
            ),
            Self::LinkRing { path } => (
                path,
                format!(
                    "its links lead round in a ring, or there are more than {MOST_LINKS} of them"
                ),
                "Mend the links or choose another name.",
            ),
            Self::ReadOnly { path } => (
                path,
                "the file is read-only".to_owned(),
                "Save a copy under another name, or allow writing.",
            ),
            Self::ChangedByAnother { path } => (
                path,
                "another program changed the file since it was opened".to_owned(),
                "Look at the differences, save yours as a copy, or load the other one.",
            ),
            Self::Missing { path } => (
                path,
                "the file was moved or deleted since it was opened".to_owned(),
                "Put it back, or save under a name of your choice.",
            ),
            Self::Exists { path } => (
                path,
                "a file of that name exists".to_owned(),
                "Choose another name, or say that it may be replaced.",
            ),
            Self::SeveralNames { path, names } => (
                path,
                format!("the file goes by {names} names (hard links), and saving would part them"),
                "Save a copy under another name, or say that they may be parted.",
            ),
            Self::Disk(trouble) => (
                &trouble.path,
                trouble.to_string(),
                advice_for(trouble.error.kind()),
            ),
        }
    }

    /// The cause in words, without the file's name.
    pub fn cause(&self) -> String {
        self.parts().1
    }

    /// The file it is about.
    pub fn path(&self) -> &Path {
        self.parts().0
    }
}

impl Display for SaveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (path, cause, advice) = self.parts();
        write!(
            f,
            "{} was not saved: {cause}. Nothing was changed. {advice}",
            path.display()
        )
    }
}

#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "the list of kinds is open; the rest share one advice"
)]
fn advice_for(kind: ErrorKind) -> &'static str {
    match kind {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "Free some space and save again, or save a copy on another disk."
        }
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "Save a copy in a folder that you may write to."
        }
        ErrorKind::NotFound => "Make the folder again, or save a copy elsewhere.",
        ErrorKind::InvalidFilename => "Choose a shorter or simpler name.",
        _ => "Save again; if it fails again, save a copy on another disk.",
    }
}

impl std::error::Error for SaveError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Disk(trouble) => Some(&trouble.error),
            Self::NotAFile { .. }
            | Self::LinkRing { .. }
            | Self::ReadOnly { .. }
            | Self::ChangedByAnother { .. }
            | Self::Missing { .. }
            | Self::Exists { .. }
            | Self::SeveralNames { .. } => None,
        }
    }
}

/// Replaces the file under `path` by one that holds `bytes`, or makes it. Links stay links: the file they lead to is replaced.
/// Any error means that what was there is untouched.
pub fn save(
    disk: &dyn Disk,
    path: &Path,
    bytes: &[u8],
    expected: Expected,
) -> Result<Saved, SaveError> {
    let target = follow(disk, path)?;
    // Compared twice: here so that a refusal writes nothing at all, and again just before the rename.
    check_expected(disk, &target, expected)?;
    let mode = check_replaceable(disk, &target, expected)?;
    let placed = place(disk, &target, bytes, mode, |_file| {
        check_expected(disk, &target, expected)
    })?;
    let warning = placed.unconfirmed.map(|error| {
        format!(
            "{} was saved, but the disk did not confirm it ({}). Keep the program open until the disk is well, or save a copy on another disk.",
            target.display(),
            in_plain_words(&error)
        )
    });
    Ok(Saved {
        fingerprint: Fingerprint::of(bytes),
        path: target,
        warning,
    })
}

/// The file a name leads to after following links by hand. The last one may be missing: a dangling link leads to a file yet to
/// be made, which asking the system for the canonical path would refuse.
pub fn follow(disk: &dyn Disk, path: &Path) -> Result<PathBuf, SaveError> {
    let mut here = path.to_path_buf();
    for _ in 0..=MOST_LINKS {
        match look(disk, &here)? {
            Some(Look {
                kind: Kind::Link, ..
            }) => {
                let to = disk
                    .read_link(&here)
                    .map_err(|error| trouble(&here, Doing::Looking, error))?;
                here = match here.parent() {
                    Some(folder) => folder.join(to),
                    None => to,
                };
            }
            Some(_) | None => return Ok(here),
        }
    }
    Err(SaveError::LinkRing {
        path: path.to_path_buf(),
    })
}

/// The one path that every name of a file leads to: links followed, the folder absolute. The file itself may be missing.
pub fn true_path(disk: &dyn Disk, path: &Path) -> Result<PathBuf, SaveError> {
    let target = follow(disk, path)?;
    let Some(name) = target.file_name() else {
        return Err(SaveError::NotAFile { path: target });
    };
    let folder = disk
        .canonical(folder_of(&target))
        .map_err(|error| trouble(&target, Doing::Looking, error))?;
    Ok(folder.join(name))
}

/// Removes our own temporary files from a folder when the process that made them is gone; answers how many. Those of other
/// programs, and those whose process cannot be asked after, are left.
pub fn sweep_temps(disk: &dyn Disk, folder: &Path) -> io::Result<usize> {
    let names = disk.list(folder)?;
    // Read after the listing, so that a file which another thread is making now has a smaller number.
    let issued = NEXT_TEMP.load(Ordering::SeqCst);
    let mut removed = 0;
    for name in names {
        let Some((pid, number)) = read_temp_name(&name) else {
            continue;
        };
        // A process number comes round again: a file of our number that we never made is an older process's.
        let gone = if pid == std::process::id() {
            number >= issued
        } else {
            process_runs(disk, pid) == Some(false)
        };
        if gone && disk.remove(&folder.join(&name)).is_ok() {
            removed += 1;
        }
    }
    Ok(removed)
}

/// A file that has just got its name.
#[derive(Debug)]
pub(super) struct Placed {
    /// The new file, still open at its end.
    pub(super) file: Box<dyn OpenFile>,
    /// Why the disk did not confirm the new name; the file is in place all the same.
    pub(super) unconfirmed: Option<io::Error>,
}

/// Puts a file with this content under the name `target`: temporary file in the same folder, written, synced, read back,
/// renamed, folder synced. `last_look` runs just before the rename and may still refuse; on any error the temporary file is removed.
pub(super) fn place<E: From<Trouble>>(
    disk: &dyn Disk,
    target: &Path,
    bytes: &[u8],
    mode: Option<u32>,
    last_look: impl FnOnce(&mut dyn OpenFile) -> Result<(), E>,
) -> Result<Placed, E> {
    let access = if mode.is_some() {
        Access::Private
    } else {
        Access::Usual
    };
    let (temp, mut file) =
        make_temp(disk, target, access).map_err(|error| trouble(target, Doing::Making, error))?;
    let filled = fill(disk, target, &temp, file.as_mut(), bytes, mode)
        .map_err(E::from)
        .and_then(|()| last_look(file.as_mut()))
        .and_then(|()| {
            disk.rename(&temp, target)
                .map_err(|error| E::from(trouble(target, Doing::Renaming, error)))
        });
    if let Err(error) = filled {
        // If even this fails, the next start sweeps it.
        let _ = disk.remove(&temp);
        return Err(error);
    }
    let unconfirmed = disk
        .sync_folder(folder_of(target))
        .err()
        .filter(|error| !no_such_thing(error));
    Ok(Placed { file, unconfirmed })
}

/// Writes the temporary file and proves that it holds what it should. A failed sync is never tried again: the save fails, and the
/// next one writes a new file.
fn fill(
    disk: &dyn Disk,
    target: &Path,
    temp: &Path,
    file: &mut dyn OpenFile,
    bytes: &[u8],
    mode: Option<u32>,
) -> Result<(), Trouble> {
    let writing = |error| trouble(target, Doing::Writing, error);
    file.write(bytes).map_err(writing)?;
    if let Some(mode) = mode {
        match file.set_mode(mode) {
            // Disks without rights of their own (FAT, network shares) refuse; the content matters more.
            Err(error) if error.kind() != ErrorKind::PermissionDenied && !no_such_thing(&error) => {
                return Err(writing(error));
            }
            Ok(()) | Err(_) => {}
        }
    }
    file.sync_all().map_err(writing)?;
    let limit = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    let back = disk
        .read(temp, limit)
        .map_err(|error| trouble(target, Doing::Comparing, error))?;
    if back != bytes {
        let error = io::Error::new(
            ErrorKind::InvalidData,
            "it gave back something else than was written",
        );
        return Err(trouble(target, Doing::Comparing, error));
    }
    Ok(())
}

/// A new temporary file beside the target. The name is short and does not grow with the target's, which may be as long as the disk allows.
fn make_temp(
    disk: &dyn Disk,
    target: &Path,
    access: Access,
) -> io::Result<(PathBuf, Box<dyn OpenFile>)> {
    let pid = std::process::id();
    let mut last = io::Error::from(ErrorKind::AlreadyExists);
    for _ in 0..MOST_TEMP_NAMES {
        let number = NEXT_TEMP.fetch_add(1, Ordering::SeqCst);
        let temp = folder_of(target).join(format!(".~{pid}-{number}.tmp"));
        match disk.create_new(&temp, access) {
            Ok(file) => return Ok((temp, file)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(error),
        }
    }
    Err(last)
}

/// Writes files into a folder, which is made where it is missing. Where one exists and none may be replaced, nothing is written.
pub fn save_all(
    disk: &dyn Disk,
    folder: &Path,
    files: &[(String, Vec<u8>)],
    replace: bool,
) -> Result<(), SaveError> {
    disk.create_folders(folder).map_err(|error| {
        SaveError::Disk(Trouble {
            path: folder.to_path_buf(),
            doing: Doing::Making,
            error,
        })
    })?;
    let expected = if replace {
        Expected::Anything
    } else {
        Expected::Nothing
    };
    for (name, _) in files {
        check_expected(disk, &folder.join(name), expected)?;
    }
    for (name, bytes) in files {
        save(disk, &folder.join(name), bytes, expected)?;
    }
    Ok(())
}

/// The process and the running number in the name of a temporary file of ours.
fn read_temp_name(name: &OsStr) -> Option<(u32, u64)> {
    let (pid, number) = name
        .to_str()?
        .strip_prefix(".~")?
        .strip_suffix(".tmp")?
        .split_once('-')?;
    Some((pid.parse().ok()?, number.parse().ok()?))
}

/// Whether what stands under the name is what the one who saves expects.
fn check_expected(disk: &dyn Disk, target: &Path, expected: Expected) -> Result<(), SaveError> {
    match expected {
        Expected::Anything => Ok(()),
        Expected::Nothing => match look(disk, target)? {
            None => Ok(()),
            Some(Look {
                kind: Kind::File, ..
            }) => Err(SaveError::Exists {
                path: target.to_path_buf(),
            }),
            Some(_) => Err(SaveError::NotAFile {
                path: target.to_path_buf(),
            }),
        },
        Expected::Content(known) => {
            match look(disk, target)? {
                None => {
                    return Err(SaveError::Missing {
                        path: target.to_path_buf(),
                    });
                }
                Some(Look {
                    kind: Kind::File, ..
                }) => {}
                Some(_) => {
                    return Err(SaveError::NotAFile {
                        path: target.to_path_buf(),
                    });
                }
            }
            match disk.read(target, known.len()) {
                Ok(bytes) if Fingerprint::of(&bytes) == known => Ok(()),
                Ok(_) => Err(SaveError::ChangedByAnother {
                    path: target.to_path_buf(),
                }),
                Err(error) if error.kind() == ErrorKind::FileTooLarge => {
                    Err(SaveError::ChangedByAnother {
                        path: target.to_path_buf(),
                    })
                }
                Err(error) => Err(trouble(target, Doing::Looking, error).into()),
            }
        }
    }
}

/// Refuses what must not be replaced; answers the permission bits that the new file must have, if there is an old one.
fn check_replaceable(
    disk: &dyn Disk,
    target: &Path,
    expected: Expected,
) -> Result<Option<u32>, SaveError> {
    let path = target.to_path_buf();
    let Some(found) = look(disk, target)? else {
        return Ok(None);
    };
    if found.kind != Kind::File {
        return Err(SaveError::NotAFile { path });
    }
    if found.read_only {
        return Err(SaveError::ReadOnly { path });
    }
    // Someone who said "replace whatever is there" was told about the names.
    if found.names > 1 && expected != Expected::Anything {
        return Err(SaveError::SeveralNames {
            path,
            names: found.names,
        });
    }
    // A rename needs only the folder's permission, so another user's file has to be asked itself.
    disk.may_write(target)
        .map_err(|error| trouble(target, Doing::Asking, error))?;
    Ok(found.mode)
}

fn look(disk: &dyn Disk, path: &Path) -> Result<Option<Look>, Trouble> {
    match disk.look(path) {
        Ok(found) => Ok(Some(found)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(trouble(path, Doing::Looking, error)),
    }
}

/// Whether an error only says that this disk has no such operation, as network disks say about folders and rights.
fn no_such_thing(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        ErrorKind::InvalidInput | ErrorKind::Unsupported
    )
}

fn trouble(path: &Path, doing: Doing, error: io::Error) -> Trouble {
    Trouble {
        path: path.to_path_buf(),
        doing,
        error,
    }
}
