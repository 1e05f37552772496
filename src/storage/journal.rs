//! Unsaved work: every edit is on the disk before the next second, so that a crash or a power cut loses almost nothing.
//! A journal is a header, one whole text of the plan, and the edits since. Texts are opaque here: must not know what a plan or an
//! edit is, must not read the environment or a clock, and puts journals in order by counters only.

use std::ffi::OsStr;
use std::fmt::{self, Display, Write as _};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use sha2::{Digest as _, Sha256};

use super::disk::{Disk, Kind, Locking, OpenFile, in_plain_words, process_runs};
use super::save::{Fingerprint, SaveError, Trouble, hex, place, true_path};

/// First bytes of every journal.
const MAGIC: &[u8] = b"aislewright journal\n";

/// Version of the layout below the magic bytes.
const FORMAT: u32 = 1;

/// Length (4 bytes), running number (8), kind (1), CRC-32 (4); numbers with the low byte first.
const RECORD_HEAD: usize = 17;

/// The longest text of one record, in bytes: the same limit that a plan file has.
const LONGEST_TEXT: usize = 64 << 20;

/// The most bytes of edits after a whole text; more are refused, so that every journal can be read.
const MOST_STEP_BYTES: u64 = 128 << 20;

/// The longest journal that is read, in bytes: a whole text, the edits, and what their records add.
const LONGEST_JOURNAL: u64 = 256 << 20;

/// After edits of this many bytes the caller is asked for a whole text, however few they are.
const BYTES_A_SNAPSHOT: u64 = 32 << 20;

/// After this many edits the caller is asked for a whole text.
pub const STEPS_A_SNAPSHOT: u64 = 200;

/// Ending of the names of journals.
const ENDING: &str = ".journal";

/// Ending of the names of journals that the user did not want.
const ASIDE_ENDING: &str = ".aside";

/// The folder below the state folder that holds them.
const ASIDE_FOLDER: &str = "refused";

/// How long refused work is kept.
pub const KEPT_FOR: Duration = Duration::from_hours(30 * 24);

/// How many refused journals are kept.
pub const KEPT_AT_MOST: usize = 20;

/// Counters in file names above this are no names of ours: a planted one must not use up the counter.
const HIGHEST_NUMBER: u64 = 1_000_000_000_000;

/// The highest number that this process has given to a journal.
static LAST_NUMBER: AtomicU64 = AtomicU64::new(0);

/// What a record holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sort {
    /// What the journal is about.
    Header,
    /// The whole text of the plan; steps before it are in it.
    Snapshot,
    /// One edit.
    Step,
}

impl Sort {
    const fn byte(self) -> u8 {
        match self {
            Self::Header => b'H',
            Self::Snapshot => b'W',
            Self::Step => b'E',
        }
    }

    fn of_byte(byte: u8) -> Option<Self> {
        [Self::Header, Self::Snapshot, Self::Step]
            .into_iter()
            .find(|sort| sort.byte() == byte)
    }
}

/// What a journal says about itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// The plan it belongs to, links followed; `None` for a plan that was never saved.
    pub plan: Option<PathBuf>,
    /// The fingerprint of the plan file when the journal was started. If the file differs now, it was saved or changed since.
    pub base: Fingerprint,
    /// Version of the program that wrote it.
    pub program: String,
    /// How many edits had been made before the first whole text in the journal.
    pub edits_before: u64,
}

/// Why unsaved work could not be written down or read.
#[derive(Debug)]
pub enum JournalError {
    /// The disk failed while the journal was made or renewed.
    Disk(Trouble),
    /// The plan's own path could not be followed.
    Plan(SaveError),
    /// The disk failed at an edit, or had failed before. Give a whole text, which starts a new file.
    Broken {
        /// The journal.
        path: PathBuf,
        /// The cause in words.
        cause: String,
    },
    /// A text above 64 MiB.
    TooLong {
        /// The journal.
        path: PathBuf,
    },
    /// What was left cannot be read as a journal of this version.
    Unreadable {
        /// The journal.
        path: PathBuf,
        /// The cause in words.
        cause: String,
    },
    /// A journal could not be moved or removed.
    Stuck {
        /// The journal.
        path: PathBuf,
        /// The system's own error.
        error: io::Error,
    },
}

impl From<Trouble> for JournalError {
    fn from(trouble: Trouble) -> Self {
        Self::Disk(trouble)
    }
}

impl Display for JournalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let safe = "The plan file was not touched.";
        match self {
            Self::Disk(trouble) => write!(
                f,
                "{}: unsaved work cannot be kept here: {trouble}. {safe} Save often until the disk is well.",
                trouble.path.display()
            ),
            Self::Plan(error) => write!(
                f,
                "{}: unsaved work cannot be kept: {}. {safe} Save a copy under another name.",
                error.path().display(),
                error.cause()
            ),
            Self::Broken { path, cause } => write!(
                f,
                "{}: the last edit was not kept for recovery: {cause}. {safe} Save the plan now.",
                path.display()
            ),
            Self::TooLong { path } => write!(
                f,
                "{}: the plan is too large (above 64 MiB) to be kept for recovery. {safe} Save the plan now.",
                path.display()
            ),
            Self::Unreadable { path, cause } => {
                write!(
                    f,
                    "{}: unsaved work is left here but cannot be read: {cause}. {safe} Keep the file if you need help with it.",
                    path.display()
                )
            }
            Self::Stuck { path, error } => write!(
                f,
                "{}: this file of unsaved work cannot be moved or removed: {}. {safe} It will be offered again at the next start.",
                path.display(),
                in_plain_words(error)
            ),
        }
    }
}

impl std::error::Error for JournalError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Disk(trouble) => Some(&trouble.error),
            Self::Plan(error) => Some(error),
            Self::Stuck { error, .. } => Some(error),
            Self::Broken { .. } | Self::TooLong { .. } | Self::Unreadable { .. } => None,
        }
    }
}

/// What to do after an edit was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// Go on.
    GoOn,
    /// Give the whole text of the plan: many edits have come since the last one.
    GiveSnapshot,
}

/// The journal of an open plan. Dropping it leaves it to be found at the next start; [`Journal::close_clean`] removes it.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    about: About,
    file: Box<dyn OpenFile>,
    next_record: u64,
    steps: u64,
    step_bytes: u64,
    broken: Option<String>,
    unconfirmed: Option<String>,
}

impl Journal {
    /// Starts the journal of a plan in the state folder, which is made if it is missing. `base` is the fingerprint of the plan's file as
    /// loaded (of nothing for a plan that has no file yet), `base_text` the whole text that later edits start from.
    pub fn start(
        disk: &dyn Disk,
        folder: &Path,
        plan: Option<&Path>,
        base: Fingerprint,
        base_text: &str,
    ) -> Result<Self, JournalError> {
        let plan = plan
            .map(|path| true_path(disk, path))
            .transpose()
            .map_err(JournalError::Plan)?;
        let stuck = |error| JournalError::Stuck {
            path: folder.to_path_buf(),
            error,
        };
        disk.create_folders(folder).map_err(stuck)?;
        let path = folder.join(new_name(disk, folder, plan.as_deref()).map_err(stuck)?);
        let about = About {
            plan,
            base,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            edits_before: 0,
        };
        let (file, unconfirmed) = write_whole(disk, &path, &about, base_text)?;
        Ok(Self {
            path,
            about,
            file,
            next_record: 2,
            steps: 0,
            step_bytes: 0,
            broken: None,
            unconfirmed,
        })
    }

    /// Writes one edit down and waits until it is on the disk. After an error no edit is taken until a whole text was given.
    pub fn append(&mut self, step: &str) -> Result<Next, JournalError> {
        if let Some(cause) = &self.broken {
            return Err(JournalError::Broken {
                path: self.path.clone(),
                cause: cause.clone(),
            });
        }
        let bytes = self.step_bytes + u64::try_from(step.len()).unwrap_or(u64::MAX / 2);
        if step.len() > LONGEST_TEXT || bytes > MOST_STEP_BYTES {
            // The edit is missing from here on, so later ones must not follow it.
            self.broken = Some("the edits since the last whole text are too long".to_owned());
            return Err(JournalError::TooLong {
                path: self.path.clone(),
            });
        }
        let written = record(self.next_record, Sort::Step, step);
        if let Err(error) = self
            .file
            .write(&written)
            .and_then(|()| self.file.sync_data())
        {
            // The sync is not tried again: only a new file proves anything after this.
            let cause = in_plain_words(&error);
            self.broken = Some(cause.clone());
            return Err(JournalError::Broken {
                path: self.path.clone(),
                cause,
            });
        }
        self.next_record += 1;
        self.steps += 1;
        self.step_bytes = bytes;
        Ok(
            if self.steps >= STEPS_A_SNAPSHOT || bytes >= BYTES_A_SNAPSHOT {
                Next::GiveSnapshot
            } else {
                Next::GoOn
            },
        )
    }

    /// Writes the whole text of the plan. The journal is replaced at once by a new file that starts from this text, so it never grows
    /// for ever, and one that the disk broke is whole again. On error the journal is as it was.
    pub fn snapshot(&mut self, disk: &dyn Disk, text: &str) -> Result<(), JournalError> {
        let about = About {
            edits_before: self.about.edits_before + self.steps,
            ..self.about.clone()
        };
        let (file, unconfirmed) = write_whole(disk, &self.path, &about, text)?;
        self.about = about;
        self.file = file;
        self.next_record = 2;
        self.steps = 0;
        self.step_bytes = 0;
        self.broken = None;
        self.unconfirmed = unconfirmed;
        Ok(())
    }

    /// Removes the journal: the plan was saved, or closed with nothing unsaved.
    pub fn close_clean(self, disk: &dyn Disk) -> Result<(), JournalError> {
        disk.remove(&self.path)
            .map_err(|error| JournalError::Stuck {
                path: self.path.clone(),
                error,
            })
    }

    /// Where the journal lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Why the disk did not confirm the journal's name, if it did not: it may be lost in a power cut, though not in a crash.
    pub fn unconfirmed(&self) -> Option<&str> {
        self.unconfirmed.as_deref()
    }
}

/// Work that a program which is gone left behind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Left {
    /// The journal.
    pub path: PathBuf,
    /// Its place in the order of all journals of this user; higher is newer.
    pub number: u64,
    /// What it says about itself; `None` if that cannot be read.
    pub about: Option<About>,
    /// How many edits it can give back, those in its whole text included.
    pub edits: u64,
    /// When it was last written, for showing only.
    pub changed: Option<SystemTime>,
}

/// What a journal gave back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replayed {
    /// What it says about itself.
    pub about: About,
    /// The whole text to start from.
    pub text: String,
    /// The edits to make on it, oldest first.
    pub steps: Vec<String>,
    /// How many records were read whole: the text and the edits.
    pub kept: usize,
    /// Something after the last whole record could not be read and was left out.
    pub dropped_tail: bool,
}

/// The journals in the state folder whose program is gone, newest first. A missing folder holds none.
pub fn find_left(disk: &dyn Disk, folder: &Path) -> Result<Vec<Left>, JournalError> {
    let names = match disk.list(folder) {
        Ok(names) => names,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => {
            return Err(JournalError::Stuck {
                path: folder.to_path_buf(),
                error,
            });
        }
    };
    let mut left = Vec::new();
    for name in names {
        let Some((number, pid)) = read_name(&name) else {
            continue;
        };
        let path = folder.join(&name);
        let Ok(found) = disk.look(&path) else {
            continue;
        };
        if found.kind != Kind::File || in_use(disk, &path, pid) {
            continue;
        }
        let replayed = read_whole(disk, &path).ok();
        let edits = replayed.as_ref().map_or(0, |all| {
            all.about
                .edits_before
                .saturating_add(u64::try_from(all.steps.len()).unwrap_or(u64::MAX))
        });
        left.push(Left {
            path,
            number,
            about: replayed.map(|all| all.about),
            edits,
            changed: found.changed,
        });
    }
    left.sort_by(|a, b| b.number.cmp(&a.number).then_with(|| a.path.cmp(&b.path)));
    Ok(left)
}

impl Left {
    /// Reads the work back, up to the first record that is not whole.
    pub fn replay(&self, disk: &dyn Disk) -> Result<Replayed, JournalError> {
        read_whole(disk, &self.path)
    }

    /// Removes the journal: its work is in a plan again, under a journal of its own or saved.
    pub fn remove(self, disk: &dyn Disk) -> Result<(), JournalError> {
        disk.remove(&self.path)
            .map_err(|error| JournalError::Stuck {
                path: self.path,
                error,
            })
    }

    /// Moves the journal aside because the user did not want it, keeps it for 30 days after `now`, and tidies what was moved aside
    /// before. Answers where it lies.
    pub fn put_aside(self, disk: &dyn Disk, now: SystemTime) -> Result<PathBuf, JournalError> {
        let stuck = |error| JournalError::Stuck {
            path: self.path.clone(),
            error,
        };
        let folder = self.path.parent().unwrap_or(Path::new(".")).to_path_buf();
        let aside = folder.join(ASIDE_FOLDER);
        disk.create_folders(&aside).map_err(stuck)?;
        let name = self
            .path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let stem = name.strip_suffix(ENDING).unwrap_or(&name);
        let seconds = now.duration_since(UNIX_EPOCH).unwrap_or_default().as_secs();
        let target = aside.join(format!("{stem}-{seconds}{ASIDE_ENDING}"));
        if disk.look(&target).is_ok() {
            return Err(stuck(ErrorKind::AlreadyExists.into()));
        }
        disk.rename(&self.path, &target).map_err(stuck)?;
        // The new name first: a power cut between the two may leave two names, never none. Either way the work is only kept longer.
        let _ = disk
            .sync_folder(&aside)
            .and_then(|()| disk.sync_folder(&folder));
        tidy(disk, &aside, now, Some(&target));
        Ok(target)
    }
}

/// Removes refused journals that are older than 30 days, and the oldest above 20. For the start of the program.
pub fn tidy_refused(disk: &dyn Disk, folder: &Path, now: SystemTime) {
    tidy(disk, &folder.join(ASIDE_FOLDER), now, None);
}

/// Removal is best effort: what stays is in nobody's way.
fn tidy(disk: &dyn Disk, aside: &Path, now: SystemTime, newest: Option<&Path>) {
    let mut kept: Vec<(u64, PathBuf)> = Vec::new();
    for name in disk.list(aside).unwrap_or_default() {
        let Some((number, seconds)) = read_aside_name(&name) else {
            continue;
        };
        let path = aside.join(&name);
        if newest == Some(path.as_path()) {
            continue;
        }
        let since = UNIX_EPOCH
            .checked_add(Duration::from_secs(seconds))
            .and_then(|then| now.duration_since(then).ok());
        if since.is_some_and(|age| age > KEPT_FOR) {
            let _ = disk.remove(&path);
        } else {
            kept.push((number, path));
        }
    }
    kept.sort();
    let room = KEPT_AT_MOST - usize::from(newest.is_some());
    let over = kept.len().saturating_sub(room);
    for (_, path) in kept.iter().take(over) {
        let _ = disk.remove(path);
    }
}

/// Writes a journal that holds a header and one whole text under its name, locked before the name is there.
fn write_whole(
    disk: &dyn Disk,
    path: &Path,
    about: &About,
    text: &str,
) -> Result<(Box<dyn OpenFile>, Option<String>), JournalError> {
    if text.len() > LONGEST_TEXT {
        return Err(JournalError::TooLong {
            path: path.to_path_buf(),
        });
    }
    let mut bytes = MAGIC.to_vec();
    bytes.extend(record(0, Sort::Header, &header_text(about)));
    bytes.extend(record(1, Sort::Snapshot, text));
    let placed = place(disk, path, &bytes, Some(0o600), |file| {
        // Where there are no locks the process number in the name must do.
        let _ = file.try_lock();
        Ok::<(), JournalError>(())
    })?;
    Ok((
        placed.file,
        placed.unconfirmed.map(|error| in_plain_words(&error)),
    ))
}

fn record(number: u64, sort: Sort, text: &str) -> Vec<u8> {
    // Texts are limited to 64 MiB before they come here.
    let len = u32::try_from(text.len()).unwrap_or(u32::MAX);
    let mut bytes = Vec::with_capacity(RECORD_HEAD + text.len());
    bytes.extend(len.to_le_bytes());
    bytes.extend(number.to_le_bytes());
    bytes.push(sort.byte());
    bytes.extend(checksum(&bytes, text.as_bytes()).to_le_bytes());
    bytes.extend(text.as_bytes());
    bytes
}

fn checksum(head: &[u8], text: &[u8]) -> u32 {
    let mut crc = crc32fast::Hasher::new();
    crc.update(head);
    crc.update(text);
    crc.finalize()
}

/// The next whole record with this number, and what follows it; `None` if it is cut, spoilt or out of turn.
fn next_record(bytes: &[u8], number: u64) -> Option<(Sort, &str, &[u8])> {
    let (head, rest) = bytes.split_at_checked(RECORD_HEAD)?;
    let (fields, crc) = head.split_at_checked(RECORD_HEAD - 4)?;
    let (len, fields_rest) = fields.split_first_chunk::<4>()?;
    let (found, sort) = fields_rest.split_first_chunk::<8>()?;
    let (text, rest) = rest.split_at_checked(usize::try_from(u32::from_le_bytes(*len)).ok()?)?;
    if crc != checksum(fields, text).to_le_bytes() || u64::from_le_bytes(*found) != number {
        return None;
    }
    Some((
        Sort::of_byte(*sort.first()?)?,
        str::from_utf8(text).ok()?,
        rest,
    ))
}

fn read_whole(disk: &dyn Disk, path: &Path) -> Result<Replayed, JournalError> {
    let unreadable = |cause: &str| JournalError::Unreadable {
        path: path.to_path_buf(),
        cause: cause.to_owned(),
    };
    let bytes = disk
        .read(path, LONGEST_JOURNAL)
        .map_err(|error| unreadable(&in_plain_words(&error)))?;
    replay_bytes(&bytes).map_err(unreadable)
}

/// Everything up to the first record that is not whole.
fn replay_bytes(bytes: &[u8]) -> Result<Replayed, &'static str> {
    let rest = bytes
        .strip_prefix(MAGIC)
        .ok_or("it does not start like a journal")?;
    let (sort, text, rest) = next_record(rest, 0).ok_or("its header is damaged")?;
    if sort != Sort::Header {
        return Err("its header is damaged");
    }
    let about = read_header(text)?;
    let Some((Sort::Snapshot, text, mut rest)) = next_record(rest, 1) else {
        return Err("the text it starts from is damaged");
    };
    let mut replayed = Replayed {
        about,
        text: text.to_owned(),
        steps: Vec::new(),
        kept: 1,
        dropped_tail: false,
    };
    let mut number = 2;
    while let Some((Sort::Step, text, after)) = next_record(rest, number) {
        replayed.steps.push(text.to_owned());
        replayed.kept += 1;
        rest = after;
        number += 1;
    }
    replayed.dropped_tail = !rest.is_empty();
    Ok(replayed)
}

fn header_text(about: &About) -> String {
    let mut text = format!(
        "format {FORMAT}\nprogram {}\nbase {}\nedits {}\n",
        about.program, about.base, about.edits_before
    );
    if let Some(plan) = &about.plan {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "plan {}", escape_path(plan));
    }
    text
}

fn read_header(text: &str) -> Result<About, &'static str> {
    let damaged = "its header is damaged";
    let field = |name: &str| {
        text.lines()
            .find_map(|line| line.strip_prefix(name)?.strip_prefix(' '))
    };
    let format: u32 = field("format")
        .and_then(|word| word.parse().ok())
        .ok_or(damaged)?;
    if format != FORMAT {
        return Err("another version of the program wrote it");
    }
    Ok(About {
        plan: field("plan")
            .map(|word| unescape_path(word).ok_or(damaged))
            .transpose()?,
        base: field("base").and_then(Fingerprint::parse).ok_or(damaged)?,
        program: field("program").ok_or(damaged)?.to_owned(),
        edits_before: field("edits")
            .and_then(|word| word.parse().ok())
            .ok_or(damaged)?,
    })
}

/// A path on one line of text: bytes outside printable ASCII, and `%`, as `%` and two digits.
fn escape_path(path: &Path) -> String {
    let mut text = String::new();
    for &byte in path.as_os_str().as_encoded_bytes() {
        if (byte.is_ascii_graphic() || byte == b' ') && byte != b'%' {
            text.push(char::from(byte));
        } else {
            // Writing to a string cannot fail.
            let _ = write!(text, "%{byte:02x}");
        }
    }
    text
}

fn unescape_path(text: &str) -> Option<PathBuf> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&byte, after)) = rest.split_first() {
        rest = after;
        if byte == b'%' {
            let (digits, after) = rest.split_at_checked(2)?;
            bytes.push(u8::from_str_radix(str::from_utf8(digits).ok()?, 16).ok()?);
            rest = after;
        } else {
            bytes.push(byte);
        }
    }
    path_of_bytes(bytes)
}

/// Where names are no bytes, a name that is no Unicode cannot be built from them; such a plan is then offered without its place.
fn path_of_bytes(bytes: Vec<u8>) -> Option<PathBuf> {
    #[cfg(unix)]
    let name = Some(std::os::unix::ffi::OsStringExt::from_vec(bytes));
    #[cfg(not(unix))]
    let name = String::from_utf8(bytes).ok().map(std::ffi::OsString::from);
    name.map(|name: std::ffi::OsString| PathBuf::from(name))
}

/// A name that no journal has or had while any newer one is kept: hash of the plan's path, counter, process.
fn new_name(disk: &dyn Disk, folder: &Path, plan: Option<&Path>) -> io::Result<String> {
    let aside = disk.list(&folder.join(ASIDE_FOLDER)).unwrap_or_default();
    let here = disk.list(folder)?;
    let aside_numbers = aside
        .iter()
        .filter_map(|name| read_aside_name(name))
        .map(|(number, _)| number);
    let highest = here
        .iter()
        .filter_map(|name| read_name(name))
        .map(|(number, _)| number)
        .chain(aside_numbers)
        .max();
    LAST_NUMBER.fetch_max(highest.unwrap_or(0), Ordering::SeqCst);
    let number = LAST_NUMBER.fetch_add(1, Ordering::SeqCst) + 1;
    let hash = plan.map(|path| hex(&Sha256::digest(path.as_os_str().as_encoded_bytes())));
    let token = hash
        .as_deref()
        .and_then(|text| text.get(..16))
        .unwrap_or("unnamed");
    Ok(format!("{token}-{number}-{}{ENDING}", std::process::id()))
}

/// The counter and the process in the name of a journal.
fn read_name(name: &OsStr) -> Option<(u64, u32)> {
    let mut parts = name.to_str()?.strip_suffix(ENDING)?.split('-');
    let (_token, number, pid) = (parts.next()?, parts.next()?, parts.next()?);
    let number = number
        .parse()
        .ok()
        .filter(|number| *number <= HIGHEST_NUMBER)?;
    parts
        .next()
        .is_none()
        .then_some((number, pid.parse().ok()?))
}

/// The counter and the time of refusal (seconds since 1970) in the name of a refused journal.
fn read_aside_name(name: &OsStr) -> Option<(u64, u64)> {
    let (name, seconds) = name
        .to_str()?
        .strip_suffix(ASIDE_ENDING)?
        .rsplit_once('-')?;
    let (number, _pid) = read_name(OsStr::new(&format!("{name}{ENDING}")))?;
    Some((number, seconds.parse().ok()?))
}

/// Whether a journal's program still runs: it holds the lock of the file. Where there are no locks, the process number in the name
/// decides, which may err towards "runs" when the number came round again.
fn in_use(disk: &dyn Disk, path: &Path, pid: u32) -> bool {
    // Twice: between our opening and our asking, a running program may have put a new, locked file under the name.
    for _ in 0..2 {
        match disk
            .open_for_lock(path)
            .and_then(|mut file| file.try_lock())
        {
            Ok(Locking::Busy) => return true,
            Ok(Locking::Taken) => {}
            Err(_) => return process_runs(disk, pid) != Some(false),
        }
    }
    false
}
