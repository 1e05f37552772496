//! The only door to files: every read, write, rename and lock of the program goes through the trait [`Disk`].
//! Deals in paths and bytes; must not know what a plan or a journal is. Errors are the system's own; who calls adds what the user was doing.

use std::ffi::OsString;
use std::fmt::Debug;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// What stands under a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A regular file.
    File,
    /// A folder.
    Folder,
    /// A symbolic link, whatever it leads to.
    Link,
    /// A pipe, device, socket or anything else that is no document.
    Other,
}

/// What a name says about itself, without following a link and without opening it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// What stands there.
    pub kind: Kind,
    /// Length in bytes; meaningful for files.
    pub size: u64,
    /// The nine permission bits; `None` where the system has none.
    pub mode: Option<u32>,
    /// Marked as not to be written, by its mode or by an attribute.
    pub read_only: bool,
    /// How many names (hard links) lead to the file; 1 where the system does not say.
    pub names: u64,
    /// Time of the last change, for showing only: order never depends on a clock.
    pub changed: Option<SystemTime>,
}

/// Who may read a new file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// The owner alone.
    Private,
    /// Whoever the user's own settings (the umask) let in.
    Usual,
}

/// The answer to a wish for a lock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Locking {
    /// We hold it until the file is dropped or the program ends in any way.
    Taken,
    /// Another open file holds it.
    Busy,
}

/// A file open for writing at its end.
pub trait OpenFile: Send + Debug {
    /// Writes all the bytes at the end of the file.
    fn write(&mut self, bytes: &[u8]) -> io::Result<()>;
    /// Waits until the content, and the length needed to read it, are on the disk. Never call it again after it failed:
    /// the system may have dropped the pages, and a second call that succeeds proves nothing.
    fn sync_data(&mut self) -> io::Result<()>;
    /// As [`OpenFile::sync_data`], and all that is known about the file too.
    fn sync_all(&mut self) -> io::Result<()>;
    /// Sets the nine permission bits; does nothing where the system has none.
    fn set_mode(&mut self, mode: u32) -> io::Result<()>;
    /// Cuts the file to nothing.
    fn empty(&mut self) -> io::Result<()>;
    /// Asks for the lock of this file without waiting. An error means that this disk has no locks.
    fn try_lock(&mut self) -> io::Result<Locking>;
}

/// The door to files. [`RealDisk`] is the one the program uses; tests bring one that fails on purpose.
pub trait Disk: Send + Sync + Debug {
    /// The content of a regular file of at most `limit` bytes; links are followed. `ErrorKind::FileTooLarge` above the
    /// limit, `ErrorKind::InvalidInput` for what is no regular file (a pipe would never end).
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>>;
    /// What stands under the name itself; a link is not followed.
    fn look(&self, path: &Path) -> io::Result<Look>;
    /// Where a link leads, as written in it.
    fn read_link(&self, path: &Path) -> io::Result<PathBuf>;
    /// The path of something that exists, absolute and free of links.
    fn canonical(&self, path: &Path) -> io::Result<PathBuf>;
    /// An error if the existing file may not be written; changes neither its content nor its time.
    fn may_write(&self, path: &Path) -> io::Result<()>;
    /// Makes a file that must not exist yet, and opens it.
    fn create_new(&self, path: &Path, access: Access) -> io::Result<Box<dyn OpenFile>>;
    /// Opens a file for its lock, making it if it is missing. It may turn out not to be writable when another user owns it.
    fn open_side(&self, path: &Path) -> io::Result<Box<dyn OpenFile>>;
    /// Opens a file that exists for its lock alone, without making it.
    fn open_for_lock(&self, path: &Path) -> io::Result<Box<dyn OpenFile>>;
    /// Gives a file another name at once, replacing what had that name.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Waits until the names in a folder are on the disk; does nothing where the system has no such thing.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// Removes a file.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// The names in a folder, sorted.
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>>;
    /// Makes a folder and those above it, open to the user alone; no error if it is there.
    fn create_folders(&self, folder: &Path) -> io::Result<()>;
}

/// The disk of this computer.
#[derive(Debug, Clone, Copy, Default)]
pub struct RealDisk;

#[derive(Debug)]
struct RealFile {
    file: File,
    holds_lock: bool,
}

impl RealFile {
    fn boxed(file: File) -> Box<dyn OpenFile> {
        Box::new(Self {
            file,
            holds_lock: false,
        })
    }
}

impl Drop for RealFile {
    fn drop(&mut self) {
        // Closing alone would not do: a program that is being started from another thread shares our open files for a moment,
        // and the lock with them.
        if self.holds_lock {
            let _ = self.file.unlock();
        }
    }
}

impl OpenFile for RealFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.file.sync_all()
    }

    fn set_mode(&mut self, mode: u32) -> io::Result<()> {
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            self.file.set_permissions(fs::Permissions::from_mode(mode))
        }
        #[cfg(not(unix))]
        {
            let _ = mode;
            Ok(())
        }
    }

    fn empty(&mut self) -> io::Result<()> {
        self.file.set_len(0)
    }

    fn try_lock(&mut self) -> io::Result<Locking> {
        match self.file.try_lock() {
            Ok(()) => {
                self.holds_lock = true;
                Ok(Locking::Taken)
            }
            Err(TryLockError::WouldBlock) => Ok(Locking::Busy),
            Err(TryLockError::Error(error)) => Err(error),
        }
    }
}

impl Disk for RealDisk {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        // Opening a pipe waits for a writer, so look before opening.
        if !fs::metadata(path)?.is_file() {
            return Err(io::Error::new(
                ErrorKind::InvalidInput,
                "not a regular file",
            ));
        }
        let mut bytes = Vec::new();
        File::open(path)?
            .take(limit.saturating_add(1))
            .read_to_end(&mut bytes)?;
        if u64::try_from(bytes.len()).is_ok_and(|len| len > limit) {
            return Err(ErrorKind::FileTooLarge.into());
        }
        Ok(bytes)
    }

    fn look(&self, path: &Path) -> io::Result<Look> {
        let data = fs::symlink_metadata(path)?;
        let kind = if data.is_symlink() {
            Kind::Link
        } else if data.is_file() {
            Kind::File
        } else if data.is_dir() {
            Kind::Folder
        } else {
            Kind::Other
        };
        let (mode, names) = mode_and_names(&data);
        Ok(Look {
            kind,
            size: data.len(),
            mode,
            read_only: data.permissions().readonly(),
            names,
            changed: data.modified().ok(),
        })
    }

    fn read_link(&self, path: &Path) -> io::Result<PathBuf> {
        fs::read_link(path)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        fs::canonicalize(path)
    }

    fn may_write(&self, path: &Path) -> io::Result<()> {
        OpenOptions::new().write(true).open(path).map(drop)
    }

    fn create_new(&self, path: &Path, access: Access) -> io::Result<Box<dyn OpenFile>> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt as _;
            options.mode(match access {
                Access::Private => 0o600,
                Access::Usual => 0o666,
            });
        }
        #[cfg(not(unix))]
        let _ = access;
        Ok(RealFile::boxed(options.open(path)?))
    }

    fn open_side(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        let file = match OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(path)
        {
            // Another user's side file can still be locked when it can be read.
            Err(error) if error.kind() == ErrorKind::PermissionDenied => {
                File::open(path).map_err(|_second| error)?
            }
            answer => answer?,
        };
        Ok(RealFile::boxed(file))
    }

    fn open_for_lock(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        Ok(RealFile::boxed(File::open(path)?))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        patient_rename(from, to)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        // Windows cannot open a folder this way, and its file system keeps names in order by itself.
        if cfg!(unix) {
            File::open(folder)?.sync_all()
        } else {
            Ok(())
        }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let mut names = Vec::new();
        for entry in fs::read_dir(folder)? {
            names.push(entry?.file_name());
        }
        names.sort();
        Ok(names)
    }

    fn create_folders(&self, folder: &Path) -> io::Result<()> {
        let mut builder = fs::DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::DirBuilderExt as _;
            builder.mode(0o700);
        }
        builder.create(folder)
    }
}

/// A scanner or a preview that holds the file for a moment makes a rename fail on Windows, so it is tried for two seconds there.
fn patient_rename(from: &Path, to: &Path) -> io::Result<()> {
    let tries = if cfg!(windows) { 10 } else { 1 };
    let mut answer = real_rename(from, to);
    for _ in 1..tries {
        match &answer {
            Err(error) if error.kind() == ErrorKind::PermissionDenied => {
                std::thread::sleep(std::time::Duration::from_millis(200));
                answer = real_rename(from, to);
            }
            Ok(()) | Err(_) => break,
        }
    }
    answer
}

#[expect(
    clippy::disallowed_methods,
    reason = "this is the door that the ban on fs::rename leads to"
)]
fn real_rename(from: &Path, to: &Path) -> io::Result<()> {
    fs::rename(from, to)
}

#[cfg(unix)]
fn mode_and_names(data: &fs::Metadata) -> (Option<u32>, u64) {
    use std::os::unix::fs::MetadataExt as _;
    (Some(data.mode() & 0o777), data.nlink())
}

#[cfg(not(unix))]
fn mode_and_names(_data: &fs::Metadata) -> (Option<u32>, u64) {
    (None, 1)
}

/// The folder a path lies in, in a form that can be opened.
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        Some(_) | None => Path::new("."),
    }
}

/// Whether a process of this computer still runs; `None` where that cannot be seen (it is read from `/proc`).
pub fn process_runs(disk: &dyn Disk, pid: u32) -> Option<bool> {
    disk.look(Path::new("/proc/self")).ok()?;
    match disk.look(Path::new(&format!("/proc/{pid}"))) {
        Ok(_) => Some(true),
        Err(error) if error.kind() == ErrorKind::NotFound => Some(false),
        Err(_) => None,
    }
}

/// The cause of a failure in plain words, to stand after a colon.
pub fn in_plain_words(error: &io::Error) -> String {
    plain_kind(error.kind()).map_or_else(
        || format!("the disk reported an error ({error})"),
        str::to_owned,
    )
}

#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "the list of kinds is open; the rest is shown as the system words it"
)]
fn plain_kind(kind: ErrorKind) -> Option<&'static str> {
    Some(match kind {
        ErrorKind::StorageFull => "the disk is full",
        ErrorKind::QuotaExceeded => "your share of the disk is used up",
        ErrorKind::PermissionDenied => {
            "you do not have the right to write there, or another program holds the file"
        }
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only",
        ErrorKind::NotFound => "the folder or file is not there",
        ErrorKind::InvalidFilename => "the disk does not take this file name",
        ErrorKind::FileTooLarge => "the file is too large",
        ErrorKind::ResourceBusy => "another program is using the file",
        ErrorKind::StaleNetworkFileHandle => "the network disk has gone away",
        _ => return None,
    })
}
