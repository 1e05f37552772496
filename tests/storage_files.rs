//! Files under a failing disk, a power cut and a kill: saves, unsaved work, links, rights and locks. No test here knows a plan.
//!
//! The model disk keeps what POSIX.1-2024 promises and nothing more: bytes are durable after `fsync` of their file, names after
//! `fsync` of their folder. Everything else may or may not survive a power cut, in any combination (the "weak" model), or with the
//! changes of names in their order (the "ordered" model of journaling file systems; Pillai and others, OSDI 2014).
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a surprise here is a failed test"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{Duration, UNIX_EPOCH};

use aislewright::storage::disk::{Access, Disk, Kind, Locking, Look, OpenFile};
use aislewright::storage::journal::{
    self, Journal, JournalError, KEPT_AT_MOST, KEPT_FOR, Next, STEPS_A_SNAPSHOT, find_left,
};
use aislewright::storage::save::{Expected, Fingerprint, SaveError, Saved, save};

const PLAN: &str = "/room/east.plan";
const STATE: &str = "/state";
const OLD: &[u8] = b"the old plan, every line of it, as it was saved yesterday";
const NEW: &[u8] = b"the new plan, which is a good deal longer than the old one was, so that lengths differ as well as letters";

// ---------------------------------------------------------------------------------------------------------------- model disk

/// One change of the disk.
#[derive(Debug, Clone)]
enum Op {
    Create {
        path: PathBuf,
        node: usize,
    },
    Write {
        node: usize,
        at: usize,
        bytes: Vec<u8>,
    },
    SyncFile {
        node: usize,
    },
    Rename {
        from: PathBuf,
        to: PathBuf,
        node: usize,
    },
    Remove {
        path: PathBuf,
    },
    SyncFolder {
        folder: PathBuf,
    },
    /// The one who called was told that it is done.
    Said,
}

#[derive(Debug, Clone, Default)]
struct Node {
    bytes: Vec<u8>,
    mode: u32,
}

#[derive(Debug, Clone, Copy)]
struct Fault {
    call: usize,
    and_all_later: bool,
    error: Failure,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Failure {
    Kind(ErrorKind),
    /// The number of an error that has no kind of its own (5 is EIO).
    Number(i32),
}

impl Failure {
    fn error(self) -> io::Error {
        match self {
            Self::Kind(kind) => kind.into(),
            Self::Number(number) => io::Error::from_raw_os_error(number),
        }
    }
}

const FULL: Failure = Failure::Kind(ErrorKind::StorageFull);
const DEVICE: Failure = Failure::Number(5);
const DENIED: Failure = Failure::Kind(ErrorKind::PermissionDenied);
const READ_ONLY: Failure = Failure::Kind(ErrorKind::ReadOnlyFilesystem);
const CROSSES: Failure = Failure::Kind(ErrorKind::CrossesDevices);
const INTERRUPTED: Failure = Failure::Kind(ErrorKind::Interrupted);
const FAILURES: [Failure; 6] = [FULL, DEVICE, DENIED, READ_ONLY, CROSSES, INTERRUPTED];

#[derive(Debug, Clone, Default)]
struct State {
    names: BTreeMap<PathBuf, usize>,
    nodes: Vec<Node>,
    log: Vec<Op>,
    held: BTreeSet<usize>,
    calls: usize,
    fault: Option<Fault>,
    /// Names of the calls that were made to fail.
    failed: Vec<&'static str>,
}

#[derive(Debug, Clone, Default)]
struct ModelDisk(Arc<Mutex<State>>);

#[derive(Debug)]
struct ModelFile {
    disk: ModelDisk,
    node: usize,
    holds: bool,
}

impl ModelDisk {
    /// A disk on which these files are durable.
    fn with(files: &[(&str, &[u8])]) -> Self {
        let disk = Self::default();
        for (path, bytes) in files {
            disk.put(Path::new(path), bytes);
        }
        disk
    }

    /// Puts a file there from outside, durable at once.
    fn put(&self, path: &Path, bytes: &[u8]) {
        let mut state = self.state();
        state.nodes.push(Node {
            bytes: bytes.to_vec(),
            mode: 0o640,
        });
        let node = state.nodes.len() - 1;
        state.names.insert(path.to_path_buf(), node);
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap()
    }

    fn set_fault(&self, fault: Option<Fault>) {
        let mut state = self.state();
        state.calls = 0;
        state.fault = fault;
        state.failed.clear();
    }

    /// Counts a call of the disk, which fails if its turn has come.
    fn call(&self, name: &'static str) -> io::Result<MutexGuard<'_, State>> {
        let mut state = self.state();
        state.calls += 1;
        match state.fault {
            Some(fault)
                if state.calls == fault.call
                    || (fault.and_all_later && state.calls > fault.call) =>
            {
                state.failed.push(name);
                Err(fault.error.error())
            }
            Some(_) | None => Ok(state),
        }
    }

    fn content(&self, path: &str) -> Option<Vec<u8>> {
        let state = self.state();
        state
            .names
            .get(Path::new(path))
            .map(|node| state.nodes[*node].bytes.clone())
    }

    fn temps(&self) -> Vec<PathBuf> {
        let is_temp = |path: &&PathBuf| path.extension().is_some_and(|ending| ending == "tmp");
        self.state().names.keys().filter(is_temp).cloned().collect()
    }

    fn say(&self) {
        self.state().log.push(Op::Said);
    }
}

fn missing() -> io::Error {
    ErrorKind::NotFound.into()
}

impl Drop for ModelFile {
    fn drop(&mut self) {
        if self.holds {
            self.disk.state().held.remove(&self.node);
        }
    }
}

impl OpenFile for ModelFile {
    /// Bytes reach the disk in three blocks, so a write can be torn. A failing write has done its first block.
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        let answer = self.disk.call("write").map(drop);
        let mut state = self.disk.state();
        let blocks = bytes
            .chunks(bytes.len() / 3 + 1)
            .take(if answer.is_ok() { 3 } else { 1 });
        for block in blocks {
            let at = state.nodes[self.node].bytes.len();
            state.nodes[self.node].bytes.extend(block);
            state.log.push(Op::Write {
                node: self.node,
                at,
                bytes: block.to_vec(),
            });
        }
        answer
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.disk
            .call("sync_data")?
            .log
            .push(Op::SyncFile { node: self.node });
        Ok(())
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.disk
            .call("sync_all")?
            .log
            .push(Op::SyncFile { node: self.node });
        Ok(())
    }

    fn set_mode(&mut self, mode: u32) -> io::Result<()> {
        self.disk.call("set_mode")?.nodes[self.node].mode = mode;
        Ok(())
    }

    fn empty(&mut self) -> io::Result<()> {
        self.disk.call("empty")?.nodes[self.node].bytes.clear();
        Ok(())
    }

    fn try_lock(&mut self) -> io::Result<Locking> {
        let mut state = self.disk.call("try_lock")?;
        if self.holds || state.held.insert(self.node) {
            self.holds = true;
            Ok(Locking::Taken)
        } else {
            Ok(Locking::Busy)
        }
    }
}

impl Disk for ModelDisk {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        let state = self.call("read")?;
        let bytes = &state.nodes[*state.names.get(path).ok_or_else(missing)?].bytes;
        if bytes.len() as u64 > limit {
            Err(ErrorKind::FileTooLarge.into())
        } else {
            Ok(bytes.clone())
        }
    }

    fn look(&self, path: &Path) -> io::Result<Look> {
        let state = self.call("look")?;
        let node = &state.nodes[*state.names.get(path).ok_or_else(missing)?];
        let size = node.bytes.len() as u64;
        Ok(Look {
            kind: Kind::File,
            size,
            mode: Some(node.mode),
            read_only: false,
            names: 1,
            changed: None,
        })
    }

    fn read_link(&self, _path: &Path) -> io::Result<PathBuf> {
        Err(self.call("read_link").err().unwrap_or_else(missing))
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        self.call("canonical").map(|_state| path.to_path_buf())
    }

    fn may_write(&self, path: &Path) -> io::Result<()> {
        self.call("may_write")?
            .names
            .get(path)
            .ok_or_else(missing)
            .map(drop)
    }

    fn create_new(&self, path: &Path, access: Access) -> io::Result<Box<dyn OpenFile>> {
        let mut state = self.call("create_new")?;
        if state.names.contains_key(path) {
            return Err(ErrorKind::AlreadyExists.into());
        }
        let mode = if access == Access::Private {
            0o600
        } else {
            0o644
        };
        state.nodes.push(Node {
            bytes: Vec::new(),
            mode,
        });
        let node = state.nodes.len() - 1;
        state.names.insert(path.to_path_buf(), node);
        state.log.push(Op::Create {
            path: path.to_path_buf(),
            node,
        });
        Ok(Box::new(ModelFile {
            disk: self.clone(),
            node,
            holds: false,
        }))
    }

    fn open_side(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        if self.state().names.contains_key(path) {
            self.open_for_lock(path)
        } else {
            self.create_new(path, Access::Usual)
        }
    }

    fn open_for_lock(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        let node = *self
            .call("open_for_lock")?
            .names
            .get(path)
            .ok_or_else(missing)?;
        Ok(Box::new(ModelFile {
            disk: self.clone(),
            node,
            holds: false,
        }))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut state = self.call("rename")?;
        let node = state.names.remove(from).ok_or_else(missing)?;
        state.names.insert(to.to_path_buf(), node);
        state.log.push(Op::Rename {
            from: from.to_path_buf(),
            to: to.to_path_buf(),
            node,
        });
        Ok(())
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.call("sync_folder")?.log.push(Op::SyncFolder {
            folder: folder.to_path_buf(),
        });
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        let mut state = self.call("remove")?;
        state.names.remove(path).ok_or_else(missing)?;
        state.log.push(Op::Remove {
            path: path.to_path_buf(),
        });
        Ok(())
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let state = self.call("list")?;
        let inside = state
            .names
            .keys()
            .filter(|path| path.parent() == Some(folder));
        Ok(inside
            .filter_map(|path| path.file_name())
            .map(OsString::from)
            .collect())
    }

    fn create_folders(&self, _folder: &Path) -> io::Result<()> {
        self.call("create_folders").map(drop)
    }
}

// ---------------------------------------------------------------------------------------------------------------- power cuts

type Files = BTreeMap<PathBuf, Vec<u8>>;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Model {
    Ordered,
    Weak,
}

/// What may be on the disk after a power cut: for each point of the log, every combination of what was not yet durable.
/// The number with each is how often the caller had been told "done".
fn crash_states(before: &State, log: &[Op], model: Model) -> Vec<(usize, Files)> {
    let mut states = Vec::new();
    for end in 0..=log.len() {
        let done = &log[..end];
        let said = done.iter().filter(|op| matches!(op, Op::Said)).count();
        let (mut free, mut applied) = (Vec::new(), Vec::new());
        for (at, op) in done.iter().enumerate() {
            let later = &done[at + 1..];
            let durable = match op {
                Op::Write { node, .. } => later.iter().any(|op| matches!(op, Op::SyncFile { node: n } if n == node)),
                Op::Create { path, .. } | Op::Remove { path } | Op::Rename { to: path, .. } => {
                    later.iter().any(|op| matches!(op, Op::SyncFolder { folder } if path.parent() == Some(folder)))
                }
                Op::SyncFile { .. } | Op::SyncFolder { .. } | Op::Said => continue,
            };
            applied.push(durable);
            if !durable {
                free.push(applied.len() - 1);
            }
        }
        let changes: Vec<&Op> = done
            .iter()
            .filter(|op| !matches!(op, Op::SyncFile { .. } | Op::SyncFolder { .. } | Op::Said))
            .collect();
        assert!(free.len() < 16, "too many combinations: {}", free.len());
        for choice in 0_u32..1 << free.len() {
            let mut chosen = applied.clone();
            for (bit, at) in free.iter().enumerate() {
                chosen[*at] = choice >> bit & 1 == 1;
            }
            let names: Vec<bool> = changes
                .iter()
                .zip(&chosen)
                .filter(|(op, _)| !matches!(op, Op::Write { .. }))
                .map(|(_, c)| *c)
                .collect();
            if model == Model::Weak || names.is_sorted_by(|a, b| a >= b) {
                states.push((said, build(before, &changes, &chosen)));
            }
        }
    }
    states
}

fn build(before: &State, changes: &[&Op], chosen: &[bool]) -> Files {
    let (mut names, mut nodes) = (before.names.clone(), before.nodes.clone());
    for (op, _) in changes.iter().zip(chosen).filter(|(_, chosen)| **chosen) {
        match op {
            Op::Create { path, node } => {
                names.insert(path.clone(), *node);
            }
            Op::Rename { from, to, node } => {
                names.remove(from);
                names.insert(to.clone(), *node);
            }
            Op::Remove { path } => {
                names.remove(path);
            }
            Op::Write { node, at, bytes } => {
                nodes.resize(nodes.len().max(node + 1), Node::default());
                let content = &mut nodes[*node].bytes;
                // A hole left by a lost block reads as zeros.
                content.resize(content.len().max(at + bytes.len()), 0);
                content[*at..at + bytes.len()].copy_from_slice(bytes);
            }
            Op::SyncFile { .. } | Op::SyncFolder { .. } | Op::Said => {}
        }
    }
    names
        .into_iter()
        .map(|(path, node)| (path, nodes.get(node).cloned().unwrap_or_default().bytes))
        .collect()
}

/// How many crash states show a plan that is neither old nor new, and how many show the old one after "saved".
fn judge(
    before: &State,
    log: &[Op],
    model: Model,
    old: Option<&[u8]>,
    new: &[u8],
) -> (usize, usize, usize) {
    let (mut broken, mut forgotten) = (0, 0);
    let states = crash_states(before, log, model);
    for (said, files) in &states {
        let plan = files.get(Path::new(PLAN)).map(Vec::as_slice);
        if plan != Some(new) && plan != old {
            broken += 1;
        } else if *said > 0 && plan != Some(new) {
            forgotten += 1;
        }
    }
    (states.len(), broken, forgotten)
}

fn old_plan() -> (ModelDisk, Expected) {
    (
        ModelDisk::with(&[(PLAN, OLD)]),
        Expected::Content(Fingerprint::of(OLD)),
    )
}

#[test]
fn every_power_cut_leaves_the_old_plan_or_the_new_one() {
    for model in [Model::Ordered, Model::Weak] {
        for (disk, expected, old) in [
            (old_plan().0, old_plan().1, Some(OLD)),
            (ModelDisk::default(), Expected::Nothing, None),
            (old_plan().0, Expected::Anything, Some(OLD)),
        ] {
            let before = disk.state().clone();
            let saved = save(&disk, Path::new(PLAN), NEW, expected).unwrap();
            assert_eq!(saved.warning, None, "a healthy disk gives no warning");
            disk.say();
            let log = disk.state().log.clone();
            let (states, broken, forgotten) = judge(&before, &log, model, old, NEW);
            assert!(
                states > 30,
                "{model:?}: only {states} states were looked at"
            );
            assert_eq!(
                (broken, forgotten),
                (0, 0),
                "{model:?} {expected:?}: broken and forgotten plans in {states} states"
            );
        }
    }
}

/// The model must find the faults of ways to save that are known to be wrong; else the test above proves nothing.
#[test]
fn the_model_finds_what_is_wrong_with_other_ways_to_save() {
    let temp = Path::new("/room/temp");
    let try_way = |sync_file: bool, sync_folder: bool| {
        let (disk, _) = old_plan();
        let before = disk.state().clone();
        let mut file = disk.create_new(temp, Access::Usual).unwrap();
        file.write(NEW).unwrap();
        if sync_file {
            file.sync_all().unwrap();
        }
        disk.rename(temp, Path::new(PLAN)).unwrap();
        if sync_folder {
            disk.sync_folder(Path::new("/room")).unwrap();
        }
        disk.say();
        let log = disk.state().log.clone();
        judge(&before, &log, Model::Ordered, Some(OLD), NEW)
    };
    let (_, broken, forgotten) = try_way(false, false);
    assert!(
        broken > 0 && forgotten > 0,
        "no sync at all: {broken} broken, {forgotten} forgotten"
    );
    let (_, broken, _) = try_way(false, true);
    assert!(broken > 0, "no sync of the file must tear plans");
    let (_, broken, forgotten) = try_way(true, false);
    assert!(
        broken == 0 && forgotten > 0,
        "no sync of the folder: {broken} broken, {forgotten} forgotten"
    );
    let (_, broken, forgotten) = try_way(true, true);
    assert_eq!((broken, forgotten), (0, 0), "the right order loses nothing");

    let (disk, _) = old_plan();
    let before = disk.state().clone();
    let mut file = disk.open_for_lock(Path::new(PLAN)).unwrap();
    file.write(NEW).unwrap();
    file.sync_all().unwrap();
    let whole = disk.content(PLAN).unwrap();
    let log = disk.state().log.clone();
    let (_, broken, _) = judge(&before, &log, Model::Ordered, Some(OLD), &whole);
    assert!(broken > 0, "writing into the plan itself must tear it");
}

/// A power cut at any point of a save that is failing at any call.
#[test]
fn a_power_cut_during_a_failing_save_leaves_a_whole_plan() {
    for error in FAILURES {
        for and_all_later in [false, true] {
            for call in 1.. {
                let (disk, expected) = old_plan();
                let before = disk.state().clone();
                disk.set_fault(Some(Fault {
                    call,
                    and_all_later,
                    error,
                }));
                if save(&disk, Path::new(PLAN), NEW, expected)
                    .is_ok_and(|saved| saved.warning.is_none())
                {
                    disk.say();
                }
                let log = disk.state().log.clone();
                let (_, broken, forgotten) = judge(&before, &log, Model::Weak, Some(OLD), NEW);
                assert_eq!((broken, forgotten), (0, 0), "{error:?} at call {call}");
                if disk.state().failed.is_empty() {
                    break;
                }
            }
        }
    }
}

// ------------------------------------------------------------------------------------------------------------- failing disks

fn outcome_is_right(
    disk: &ModelDisk,
    outcome: &Result<Saved, SaveError>,
    error: Failure,
    and_all_later: bool,
) {
    let failed = disk.state().failed.clone();
    let place = format!("{error:?} at {failed:?}");
    match outcome {
        Ok(saved) => {
            assert_eq!(
                disk.content(PLAN).as_deref(),
                Some(NEW),
                "{place}: said saved"
            );
            let only_harmless = failed
                .iter()
                .all(|name| ["set_mode", "sync_folder"].contains(name));
            assert!(only_harmless, "{place}: must not count as saved");
            assert_eq!(
                saved.warning.is_some(),
                failed.contains(&"sync_folder"),
                "{place}: {saved:?}"
            );
        }
        Err(refused) => {
            assert_eq!(
                disk.content(PLAN).as_deref(),
                Some(OLD),
                "{place}: the old plan must be untouched"
            );
            let message = refused.to_string();
            assert!(
                message.starts_with("/room/east.plan was not saved: "),
                "{place}: {message}"
            );
            assert!(
                message.contains("Nothing was changed. "),
                "{place}: {message}"
            );
            let cause = match error {
                FULL => "the disk is full",
                DENIED => "you do not have the right",
                READ_ONLY => "the disk is read-only",
                Failure::Kind(_) | Failure::Number(_) => "the disk reported an error",
            };
            assert!(message.contains(cause), "{place}: {message}");
        }
    }
    if !and_all_later {
        assert_eq!(
            disk.temps(),
            Vec::<PathBuf>::new(),
            "{place}: the temporary file must go"
        );
    }
}

#[test]
fn a_disk_that_fails_at_any_call_leaves_the_old_plan() {
    for error in FAILURES {
        for and_all_later in [false, true] {
            let mut seen = BTreeSet::new();
            for call in 1.. {
                let (disk, expected) = old_plan();
                disk.set_fault(Some(Fault {
                    call,
                    and_all_later,
                    error,
                }));
                let outcome = save(&disk, Path::new(PLAN), NEW, expected);
                outcome_is_right(&disk, &outcome, error, and_all_later);
                seen.extend(disk.state().failed.iter().copied());
                let at_end = disk.state().failed.is_empty();
                disk.set_fault(None);
                let known = outcome.map_or(expected, |saved| Expected::Content(saved.fingerprint));
                let again = save(&disk, Path::new(PLAN), b"the next one", known);
                assert!(
                    again.is_ok_and(|saved| saved.warning.is_none()),
                    "{error:?} at call {call}: the next save must work"
                );
                assert_eq!(
                    disk.content(PLAN).as_deref(),
                    Some(&b"the next one"[..]),
                    "{error:?} at call {call}"
                );
                if at_end {
                    break;
                }
            }
            for name in [
                "look",
                "read",
                "may_write",
                "create_new",
                "write",
                "set_mode",
                "sync_all",
                "rename",
                "sync_folder",
            ] {
                assert!(
                    seen.contains(name),
                    "{error:?}: {name} was never made to fail, only {seen:?}"
                );
            }
        }
    }
}

/// Network and FUSE disks answer EINVAL or ENOTSUP to the sync of a folder; that is their normal state and worth no word.
#[test]
fn a_disk_that_cannot_sync_folders_gives_no_warning() {
    for kind in [ErrorKind::InvalidInput, ErrorKind::Unsupported] {
        let mut silent = 0;
        for call in 1.. {
            let (disk, expected) = old_plan();
            disk.set_fault(Some(Fault {
                call,
                and_all_later: false,
                error: Failure::Kind(kind),
            }));
            let outcome = save(&disk, Path::new(PLAN), NEW, expected);
            let failed = disk.state().failed.clone();
            if failed == ["sync_folder"] || failed == ["set_mode"] {
                assert_eq!(outcome.unwrap().warning, None, "{kind:?} at {failed:?}");
                silent += 1;
            }
            if failed.is_empty() {
                break;
            }
        }
        assert_eq!(silent, 2, "{kind:?}: both calls must have been reached");
    }
}

/// A model disk whose new files are wrapped in something that misbehaves.
#[derive(Debug)]
struct Wrapped {
    inner: ModelDisk,
    wrap: fn(Box<dyn OpenFile>, ModelDisk) -> Box<dyn OpenFile>,
}

/// A file that keeps something else than was written.
#[derive(Debug)]
struct LyingFile(Box<dyn OpenFile>);

impl OpenFile for LyingFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut other = bytes.to_vec();
        if let Some(last) = other.last_mut() {
            *last ^= 1;
        }
        self.0.write(&other)
    }
    fn sync_data(&mut self) -> io::Result<()> {
        self.0.sync_data()
    }
    fn sync_all(&mut self) -> io::Result<()> {
        self.0.sync_all()
    }
    fn set_mode(&mut self, mode: u32) -> io::Result<()> {
        self.0.set_mode(mode)
    }
    fn empty(&mut self) -> io::Result<()> {
        self.0.empty()
    }
    fn try_lock(&mut self) -> io::Result<Locking> {
        self.0.try_lock()
    }
}

impl Disk for Wrapped {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        self.inner.read(path, limit)
    }
    fn look(&self, path: &Path) -> io::Result<Look> {
        self.inner.look(path)
    }
    fn read_link(&self, path: &Path) -> io::Result<PathBuf> {
        self.inner.read_link(path)
    }
    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        self.inner.canonical(path)
    }
    fn may_write(&self, path: &Path) -> io::Result<()> {
        self.inner.may_write(path)
    }
    fn create_new(&self, path: &Path, access: Access) -> io::Result<Box<dyn OpenFile>> {
        Ok((self.wrap)(
            self.inner.create_new(path, access)?,
            self.inner.clone(),
        ))
    }
    fn open_side(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        self.inner.open_side(path)
    }
    fn open_for_lock(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        self.inner.open_for_lock(path)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.inner.rename(from, to)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.inner.sync_folder(folder)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.inner.remove(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        self.inner.list(folder)
    }
    fn create_folders(&self, folder: &Path) -> io::Result<()> {
        self.inner.create_folders(folder)
    }
}

#[test]
fn a_disk_that_gives_back_something_else_is_found_out_before_the_rename() {
    let (model, expected) = old_plan();
    let disk = Wrapped {
        inner: model,
        wrap: |file, _| Box::new(LyingFile(file)),
    };
    let message = save(&disk, Path::new(PLAN), NEW, expected)
        .unwrap_err()
        .to_string();
    assert!(
        message.contains("it gave back something else than was written"),
        "{message}"
    );
    assert_eq!(
        disk.inner.content(PLAN).as_deref(),
        Some(OLD),
        "the old plan must be untouched"
    );
    assert_eq!(
        disk.inner.temps(),
        Vec::<PathBuf>::new(),
        "the temporary file must go"
    );
}

// -------------------------------------------------------------------------------------------------------------- unsaved work

/// The steps of a journal put behind its text: what the user gets back.
fn given_back(disk: &dyn Disk, folder: &Path) -> Option<String> {
    let left = find_left(disk, folder).unwrap();
    let replayed = left.first()?.replay(disk).ok()?;
    Some(replayed.text + &replayed.steps.concat())
}

/// Starts a journal, makes edits with a whole text in the middle, and says after each what must be safe from then on.
fn work(disk: &ModelDisk, mut safe: impl FnMut(&str)) -> Result<(), JournalError> {
    let mut text = "start;".to_owned();
    let mut journal = Journal::start(
        disk,
        Path::new(STATE),
        Some(Path::new(PLAN)),
        Fingerprint::of(OLD),
        &text,
    )?;
    safe(&text);
    for step in ["one;", "two;", "three;"] {
        journal.append(step)?;
        text.push_str(step);
        safe(&text);
    }
    journal.snapshot(disk, &text)?;
    safe(&text);
    journal.append("four;")?;
    text.push_str("four;");
    safe(&text);
    // Left behind, as a program that crashes leaves it.
    Ok(())
}

const ALL_WORK: &str = "start;one;two;three;four;";

#[test]
fn every_power_cut_gives_back_every_edit_that_was_written_down() {
    let disk = ModelDisk::with(&[(PLAN, OLD)]);
    let before = disk.state().clone();
    let mut promised = vec![String::new()];
    work(&disk, |text| {
        promised.push(text.to_owned());
        disk.say();
    })
    .unwrap();
    let log = disk.state().log.clone();
    for model in [Model::Ordered, Model::Weak] {
        let states = crash_states(&before, &log, model);
        assert!(
            states.len() > 100,
            "{model:?}: only {} states were looked at",
            states.len()
        );
        for (said, files) in states {
            let after = ModelDisk::default();
            for (path, bytes) in &files {
                after.put(path, bytes);
            }
            let back = given_back(&after, Path::new(STATE)).unwrap_or_default();
            assert!(
                back.starts_with(&promised[said]) && ALL_WORK.starts_with(&back),
                "{model:?}: promised {:?}, got {back:?} from {files:?}",
                promised[said]
            );
            assert_eq!(
                after.content(PLAN).as_deref(),
                Some(OLD),
                "{model:?}: a journal never touches the plan"
            );
        }
    }
}

#[test]
fn a_disk_that_fails_at_any_call_keeps_every_edit_that_was_written_down() {
    for error in FAILURES {
        for and_all_later in [false, true] {
            let mut seen = BTreeSet::new();
            for call in 1.. {
                let disk = ModelDisk::with(&[(PLAN, OLD)]);
                disk.set_fault(Some(Fault {
                    call,
                    and_all_later,
                    error,
                }));
                let mut promised = String::new();
                let outcome = work(&disk, |text| text.clone_into(&mut promised));
                let failed = disk.state().failed.clone();
                disk.set_fault(None);
                let place = format!("{error:?} at call {call}, {failed:?}");
                if let Err(trouble) = outcome {
                    assert!(
                        ["/state", "/room/east.plan"]
                            .iter()
                            .any(|name| trouble.to_string().starts_with(name)),
                        "{place}: {trouble}"
                    );
                    assert!(
                        trouble
                            .to_string()
                            .contains("The plan file was not touched."),
                        "{place}: {trouble}"
                    );
                }
                let back = given_back(&disk, Path::new(STATE)).unwrap_or_default();
                assert!(
                    back.starts_with(&promised),
                    "{place}: promised {promised:?}, got {back:?}"
                );
                seen.extend(failed.iter().copied());
                if failed.is_empty() {
                    assert_eq!(back, ALL_WORK, "nothing failed, so everything comes back");
                    break;
                }
            }
            for name in [
                "create_folders",
                "create_new",
                "write",
                "sync_all",
                "sync_data",
                "rename",
                "list",
            ] {
                assert!(
                    seen.contains(name),
                    "{error:?}: {name} was never made to fail, only {seen:?}"
                );
            }
        }
    }
}

#[test]
fn a_journal_that_the_disk_broke_takes_no_edit_until_it_has_a_whole_text_again() {
    for failing in ["write", "sync_data"] {
        let disk = ModelDisk::default();
        let mut journal = Journal::start(
            &disk,
            Path::new(STATE),
            None,
            Fingerprint::of(b""),
            "start;",
        )
        .unwrap();
        journal.append("one;").unwrap();
        let call = if failing == "write" { 1 } else { 2 };
        disk.set_fault(Some(Fault {
            call,
            and_all_later: false,
            error: FULL,
        }));
        let first = journal.append("two;").unwrap_err().to_string();
        assert!(first.contains("the disk is full"), "{first}");
        assert_eq!(
            disk.state().failed,
            [failing],
            "the call that was meant to fail"
        );
        let calls = disk.state().calls;
        journal.append("three;").unwrap_err();
        assert_eq!(
            disk.state().calls,
            calls,
            "a failed sync is never tried again"
        );
        journal.snapshot(&disk, "start;one;two;three;").unwrap();
        journal.append("four;").unwrap();
        drop(journal);
        assert_eq!(
            given_back(&disk, Path::new(STATE)).as_deref(),
            Some(ALL_WORK),
            "{failing}"
        );
    }
}

#[test]
fn a_whole_text_is_asked_for_after_200_edits_and_edits_are_counted_through() {
    let disk = ModelDisk::default();
    let base = Fingerprint::of(OLD);
    let mut journal =
        Journal::start(&disk, Path::new(STATE), Some(Path::new(PLAN)), base, "text").unwrap();
    for count in 1..=STEPS_A_SNAPSHOT {
        let wanted = if count == 200 {
            Next::GiveSnapshot
        } else {
            Next::GoOn
        };
        assert_eq!(
            journal.append("edit").unwrap(),
            wanted,
            "after {count} edits"
        );
    }
    journal.snapshot(&disk, "the text after 200 edits").unwrap();
    assert_eq!(
        journal.append("edit 201").unwrap(),
        Next::GoOn,
        "the count starts anew"
    );
    assert!(
        find_left(&disk, Path::new(STATE)).unwrap().is_empty(),
        "a journal in use is not offered"
    );
    drop(journal);
    let left = find_left(&disk, Path::new(STATE)).unwrap();
    assert_eq!(left.len(), 1, "{left:?}");
    assert_eq!(left[0].edits, 201, "edits in the text and after it");
    let about = left[0].about.as_ref().unwrap();
    assert_eq!(
        (about.plan.as_deref(), about.base),
        (Some(Path::new(PLAN)), base),
        "what it belongs to"
    );
    assert_eq!(about.program, env!("CARGO_PKG_VERSION"), "who wrote it");
}

#[test]
fn a_clean_close_leaves_nothing() {
    let disk = ModelDisk::default();
    let journal =
        Journal::start(&disk, Path::new(STATE), None, Fingerprint::of(b""), "text").unwrap();
    journal.close_clean(&disk).unwrap();
    assert!(disk.state().names.is_empty(), "{:?}", disk.state().names);
}

/// A journal of some thousand bytes, and its length after the whole text and after each edit.
fn long_journal() -> (ModelDisk, PathBuf, Vec<u8>, Vec<usize>, Vec<String>) {
    let disk = ModelDisk::default();
    let text = "racks and outlets – “quoted” ½\n".repeat(20);
    // Blanks, control characters, percent signs and bytes above ASCII in a path must come back.
    let plan = Path::new("/room/öst 100%\n.plan");
    let mut journal = Journal::start(
        &disk,
        Path::new(STATE),
        Some(plan),
        Fingerprint::of(OLD),
        &text,
    )
    .unwrap();
    let path = journal.path().to_path_buf();
    let length = |disk: &ModelDisk| disk.content(path.to_str().unwrap()).unwrap().len();
    let (mut ends, mut steps) = (vec![length(&disk)], Vec::new());
    for number in 0..60 {
        let step = format!(
            "move rack R{number} by {} mm – ü{}",
            number * 7,
            "x".repeat(number % 13)
        );
        journal.append(&step).unwrap();
        ends.push(length(&disk));
        steps.push(step);
    }
    drop(journal);
    let bytes = disk.content(path.to_str().unwrap()).unwrap();
    assert_eq!(
        find_left(&disk, Path::new(STATE)).unwrap()[0]
            .about
            .as_ref()
            .unwrap()
            .plan
            .as_deref(),
        Some(plan),
        "path"
    );
    (disk, path, bytes, ends, steps)
}

/// Replays what is left when the journal holds these bytes: how many edits came back, and whether a tail was dropped.
fn replay_of(path: &Path, bytes: &[u8], steps: &[String]) -> Option<(usize, bool)> {
    let disk = ModelDisk::default();
    disk.put(path, bytes);
    let left = find_left(&disk, Path::new(STATE)).unwrap();
    assert_eq!(left.len(), 1, "a damaged journal is still shown");
    match left[0].replay(&disk) {
        Ok(replayed) => {
            assert!(
                steps.starts_with(&replayed.steps),
                "what comes back must be what was written"
            );
            assert_eq!(
                replayed.kept,
                replayed.steps.len() + 1,
                "the text and the edits are counted"
            );
            assert_eq!(left[0].edits, replayed.steps.len() as u64, "edits offered");
            Some((replayed.steps.len(), replayed.dropped_tail))
        }
        Err(trouble) => {
            assert!(
                trouble.to_string().contains(path.to_str().unwrap()),
                "{trouble}"
            );
            assert!(
                left[0].about.is_none(),
                "an unreadable journal is marked as such"
            );
            None
        }
    }
}

#[test]
fn a_journal_cut_at_any_byte_gives_back_all_whole_records() {
    let (_, path, bytes, ends, steps) = long_journal();
    assert!(bytes.len() > 3_000, "{} bytes", bytes.len());
    for cut in 0..=bytes.len() {
        let whole = ends.iter().filter(|end| **end <= cut).count();
        let wanted = whole
            .checked_sub(1)
            .map(|edits| (edits, !ends.contains(&cut)));
        assert_eq!(
            replay_of(&path, &bytes[..cut], &steps),
            wanted,
            "cut at {cut} of {}",
            bytes.len()
        );
    }
}

#[test]
fn a_journal_with_any_bit_flipped_gives_back_the_records_before_it() {
    let (_, path, mut bytes, ends, steps) = long_journal();
    for at in 0..bytes.len() {
        let whole = ends.iter().filter(|end| **end <= at).count();
        let wanted = whole.checked_sub(1).map(|edits| (edits, true));
        for bit in 0..8 {
            bytes[at] ^= 1 << bit;
            assert_eq!(
                replay_of(&path, &bytes, &steps),
                wanted,
                "bit {bit} of byte {at}"
            );
            bytes[at] ^= 1 << bit;
        }
    }
}

#[test]
fn records_out_of_turn_are_not_taken() {
    let (_, path, bytes, ends, steps) = long_journal();
    let without_first = [&bytes[..ends[0]], &bytes[ends[1]..]].concat();
    assert_eq!(
        replay_of(&path, &without_first, &steps),
        Some((0, true)),
        "an edit is missing in the middle"
    );
    let twice = [&bytes[..ends[1]], &bytes[ends[0]..ends[1]]].concat();
    assert_eq!(
        replay_of(&path, &twice, &steps),
        Some((1, true)),
        "an edit stands there twice"
    );
}

#[test]
fn refused_work_is_kept_30_days_and_at_most_20_times_and_never_overwritten() {
    let disk = ModelDisk::default();
    let folder = Path::new(STATE);
    let day = Duration::from_hours(24);
    let now = UNIX_EPOCH + 20_000 * day;
    let crash = |text: &str| {
        drop(
            Journal::start(
                &disk,
                folder,
                Some(Path::new(PLAN)),
                Fingerprint::of(OLD),
                text,
            )
            .unwrap(),
        );
        find_left(&disk, folder).unwrap().remove(0)
    };
    let kept = || -> Vec<Vec<u8>> {
        let state = disk.state();
        let aside = state
            .names
            .iter()
            .filter(|(path, _)| path.starts_with("/state/refused"));
        aside
            .map(|(_, node)| state.nodes[*node].bytes.clone())
            .collect()
    };
    let holds = |text: &str| {
        kept().iter().any(|bytes| {
            bytes
                .windows(text.len())
                .any(|part| part == text.as_bytes())
        })
    };

    // All in the same second, for the same plan: each has a place of its own.
    for number in 0..25 {
        crash(&format!("<work {number}>"))
            .put_aside(&disk, now)
            .unwrap();
    }
    assert_eq!(kept().len(), KEPT_AT_MOST, "at most 20");
    for number in 0..25 {
        assert_eq!(
            holds(&format!("<work {number}>")),
            number >= 5,
            "the newest 20 are kept, {number}"
        );
    }
    assert!(
        find_left(&disk, folder).unwrap().is_empty(),
        "refused work is not offered again"
    );

    journal::tidy_refused(&disk, folder, now + KEPT_FOR);
    assert_eq!(kept().len(), KEPT_AT_MOST, "30 days are not over");
    // A clock that was set back makes refusals of the future; they stay.
    journal::tidy_refused(&disk, folder, now - 400 * day);
    assert_eq!(kept().len(), KEPT_AT_MOST, "the clock was set back");
    journal::tidy_refused(&disk, folder, now + 31 * day);
    assert_eq!(kept().len(), 0, "30 days are over");

    // Order is by counter: the one refused "a year ago" by a wrong clock is the newer work.
    crash("<first>").put_aside(&disk, now).unwrap();
    for number in 0..20 {
        crash(&format!("<later {number}>"))
            .put_aside(&disk, now - 365 * day + day * number)
            .unwrap();
    }
    assert!(
        !holds("<first>") && holds("<later 0>"),
        "the oldest by counter goes, not by clock"
    );
}

#[test]
fn the_newest_work_is_offered_first_and_unreadable_work_is_shown() {
    let disk = ModelDisk::default();
    let folder = Path::new(STATE);
    for text in ["first", "second"] {
        drop(Journal::start(&disk, folder, None, Fingerprint::of(b""), text).unwrap());
    }
    disk.put(
        Path::new("/state/unnamed-999999999-1.journal"),
        b"no journal at all",
    );
    disk.put(Path::new("/state/notes.txt"), b"not ours");
    let left = find_left(&disk, folder).unwrap();
    assert_eq!(left.len(), 3, "{left:?}");
    assert!(
        left[0].about.is_none() && left[0].replay(&disk).is_err(),
        "{left:?}"
    );
    assert_eq!(
        left[1].replay(&disk).unwrap().text,
        "second",
        "newest first"
    );
    assert_eq!(left[2].replay(&disk).unwrap().text, "first", "oldest last");
    for one in left {
        one.remove(&disk).unwrap();
    }
    assert!(
        find_left(&disk, folder).unwrap().is_empty(),
        "all were removed"
    );
}

/// The counter goes on from what other runs of the program left, kept aside or not; a planted name cannot use it up.
#[test]
fn new_work_is_newer_than_all_that_was_left() {
    let folder = Path::new(STATE);
    for (name, number) in [
        ("/state/unnamed-5000000-1.journal", 5_000_000),
        ("/state/refused/unnamed-6000000-1-1000.aside", 6_000_000),
    ] {
        let disk = ModelDisk::with(&[(name, b"left by another run")]);
        let planted = "/state/unnamed-18446744073709551615-1.journal";
        disk.put(Path::new(planted), b"not ours");
        drop(Journal::start(&disk, folder, None, Fingerprint::of(b""), "newest").unwrap());
        let left = find_left(&disk, folder).unwrap();
        assert!(left[0].number > number, "{left:?}");
        assert_eq!(
            left[0].replay(&disk).unwrap().text,
            "newest",
            "offered first"
        );
        assert!(
            left.iter().all(|one| one.path != Path::new(planted)),
            "{left:?}"
        );
    }
}

/// A journal, the save of its work and its removal in one go, under every power cut: the plan is whole, and plan and journal together
/// always hold the newest work that was promised.
#[test]
fn a_save_and_the_end_of_its_journal_never_lose_work_between_them() {
    let disk = ModelDisk::with(&[(PLAN, OLD)]);
    let before = disk.state().clone();
    let plan = Path::new(PLAN);
    let mut journal = Journal::start(
        &disk,
        Path::new(STATE),
        Some(plan),
        Fingerprint::of(OLD),
        "old;",
    )
    .unwrap();
    journal.append("edit;").unwrap();
    disk.say();
    save(
        &disk,
        plan,
        b"old;edit;",
        Expected::Content(Fingerprint::of(OLD)),
    )
    .unwrap();
    journal.close_clean(&disk).unwrap();
    let log = disk.state().log.clone();
    for model in [Model::Ordered, Model::Weak] {
        for (said, files) in crash_states(&before, &log, model) {
            let after = ModelDisk::default();
            for (path, bytes) in &files {
                after.put(path, bytes);
            }
            let saved = after.content(PLAN).as_deref() == Some(b"old;edit;");
            assert!(
                saved || after.content(PLAN).as_deref() == Some(OLD),
                "{model:?}: the plan is torn: {files:?}"
            );
            let back = given_back(&after, Path::new(STATE));
            assert!(
                said == 0 || saved || back.as_deref() == Some("old;edit;"),
                "{model:?}: lost in {files:?}"
            );
        }
    }
}

#[test]
fn what_a_worker_thread_needs_can_be_sent_to_it() {
    let disk = ModelDisk::default();
    let mut journal = Journal::start(
        &disk,
        Path::new(STATE),
        None,
        Fingerprint::of(b""),
        "start;",
    )
    .unwrap();
    let worker = std::thread::spawn(move || journal.append("one;").is_ok());
    assert!(
        worker.join().unwrap(),
        "the edit was written by another thread"
    );
    assert_eq!(
        given_back(&disk, Path::new(STATE)).as_deref(),
        Some("start;one;"),
        "and is there"
    );
}

// ---------------------------------------------------------------------------------------------------------------- real files

#[cfg(unix)]
mod real {
    use std::fs;
    use std::io::{BufRead as _, BufReader, Read as _, Write as _};
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, symlink};
    use std::process::{Child, Command, Stdio};

    use aislewright::storage::disk::RealDisk;
    use aislewright::storage::lock::{LockOutcome, lock_plan};
    use aislewright::storage::save::{sweep_temps, true_path};

    use super::*;

    fn write(path: &Path, bytes: &[u8]) {
        let mut options = fs::OpenOptions::new();
        options.write(true).create(true).truncate(true);
        options.open(path).unwrap().write_all(bytes).unwrap();
    }

    fn set_mode(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    }

    fn mode(path: &Path) -> u32 {
        fs::symlink_metadata(path).unwrap().mode() & 0o777
    }

    fn is_link(path: &Path) -> bool {
        fs::symlink_metadata(path).unwrap().is_symlink()
    }

    /// A folder with the old plan in it.
    fn room() -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("east.plan");
        write(&plan, OLD);
        (folder, plan)
    }

    fn known() -> Expected {
        Expected::Content(Fingerprint::of(OLD))
    }

    fn names(folder: &Path) -> Vec<OsString> {
        RealDisk.list(folder).unwrap()
    }

    /// A refusal leaves bytes and time as they were and no file behind.
    fn refused(path: &Path, expected: Expected) -> SaveError {
        let before = fs::metadata(path)
            .ok()
            .map(|data| (data.len(), data.modified().unwrap()));
        let files = names(path.parent().unwrap());
        let error = save(&RealDisk, path, NEW, expected).unwrap_err();
        let after = fs::metadata(path)
            .ok()
            .map(|data| (data.len(), data.modified().unwrap()));
        assert_eq!(before, after, "{error}: length and time");
        assert_eq!(
            files,
            names(path.parent().unwrap()),
            "{error}: files in the folder"
        );
        assert!(
            error.to_string().contains("Nothing was changed."),
            "{error}"
        );
        error
    }

    #[test]
    fn a_save_keeps_the_mode_and_the_next_one_follows_on() {
        let (folder, plan) = room();
        for bits in [0o600, 0o640, 0o664, 0o755] {
            write(&plan, OLD);
            set_mode(&plan, bits);
            let saved = save(&RealDisk, &plan, NEW, known()).unwrap();
            assert_eq!(mode(&plan), bits, "the mode is kept");
            save(
                &RealDisk,
                &plan,
                b"third",
                Expected::Content(saved.fingerprint),
            )
            .unwrap();
            assert_eq!(
                fs::read(&plan).unwrap(),
                b"third",
                "the fingerprint of a save is the one to expect next"
            );
            assert_eq!(names(folder.path()), ["east.plan"], "nothing else is left");
        }
    }

    #[test]
    fn a_new_plan_gets_the_mode_that_any_new_file_gets() {
        let folder = tempfile::tempdir().unwrap();
        let (plan, other) = (folder.path().join("new.plan"), folder.path().join("other"));
        write(&other, b"made the usual way");
        save(&RealDisk, &plan, NEW, Expected::Nothing).unwrap();
        assert_eq!(mode(&plan), mode(&other), "as the umask says");
    }

    /// Notes the mode of the temporary file while it has content but not yet its final name.
    #[test]
    fn the_temporary_file_is_never_more_open_than_the_plan() {
        let (disk, expected) = old_plan();
        let mut seen = Vec::new();
        let temp_mode = |disk: &ModelDisk| {
            let state = disk.state();
            disk_temps(&state).map(|node| state.nodes[node].mode)
        };
        for call in 1.. {
            disk.set_fault(Some(Fault {
                call,
                and_all_later: true,
                error: DEVICE,
            }));
            save(&disk, Path::new(PLAN), NEW, expected).unwrap_err();
            // Everything fails from this call on, so the temporary file stays as it was then.
            if let Some(mode) = temp_mode(&disk) {
                seen.push(mode);
            }
            let last = disk.state().failed.first() == Some(&"rename");
            disk.set_fault(None);
            for temp in disk.temps() {
                disk.remove(&temp).unwrap();
            }
            if last {
                break;
            }
        }
        assert!(seen.contains(&0o600) && seen.contains(&0o640), "{seen:?}");
        assert!(
            seen.iter().all(|mode| mode & !0o640 == 0),
            "more open than the plan's 640: {seen:?}"
        );
    }

    fn disk_temps(state: &State) -> Option<usize> {
        state
            .names
            .iter()
            .find(|(path, _)| path.extension().is_some_and(|end| end == "tmp"))
            .map(|(_, node)| *node)
    }

    #[test]
    fn links_stay_links_and_the_file_behind_them_is_replaced() {
        let (folder, plan) = room();
        let deep = folder.path().join("deep");
        fs::create_dir(&deep).unwrap();
        let (link, chain) = (folder.path().join("link"), deep.join("chain"));
        symlink("east.plan", &link).unwrap();
        // Relative to the folder the link lies in, and through ".." of it.
        symlink("../link", &chain).unwrap();
        let mut expected = known();
        for (path, text) in [(&link, "by the link"), (&chain, "by the chain")] {
            let saved = save(&RealDisk, path, text.as_bytes(), expected).unwrap();
            expected = Expected::Content(saved.fingerprint);
            assert!(
                is_link(&link) && is_link(&chain) && !is_link(&plan),
                "{text}: links stay"
            );
            assert_eq!(
                fs::read_to_string(&plan).unwrap(),
                text,
                "the file behind them is new"
            );
            assert_eq!(
                true_path(&RealDisk, path).unwrap(),
                true_path(&RealDisk, &plan).unwrap(),
                "one true path"
            );
        }
        assert_eq!(names(&deep), ["chain"], "no file beside the link");
    }

    #[test]
    fn a_dangling_link_stays_and_its_file_is_made() {
        let (folder, _) = room();
        let link = folder.path().join("link");
        symlink("to come.plan", &link).unwrap();
        save(&RealDisk, &link, NEW, Expected::Nothing).unwrap();
        assert!(is_link(&link), "the link stays");
        assert_eq!(
            fs::read(folder.path().join("to come.plan")).unwrap(),
            NEW,
            "its file was made"
        );
    }

    #[test]
    fn a_ring_of_links_is_refused_and_40_links_in_a_row_are_not() {
        let (folder, plan) = room();
        let at = |number: usize| folder.path().join(format!("link{number}"));
        symlink(at(2), at(1)).unwrap();
        symlink(at(1), at(2)).unwrap();
        let error = save(&RealDisk, &at(1), NEW, Expected::Anything).unwrap_err();
        assert!(matches!(error, SaveError::LinkRing { .. }), "{error}");
        symlink(&plan, at(101)).unwrap();
        for number in 102..=141 {
            symlink(at(number - 1), at(number)).unwrap();
        }
        save(&RealDisk, &at(140), NEW, known()).unwrap();
        let error = save(&RealDisk, &at(141), NEW, Expected::Anything).unwrap_err();
        assert!(matches!(error, SaveError::LinkRing { .. }), "{error}");
    }

    #[test]
    fn what_is_no_file_is_refused() {
        let (folder, _) = room();
        let (pipe, inner) = (folder.path().join("pipe"), folder.path().join("inner"));
        fs::create_dir(&inner).unwrap();
        assert!(
            Command::new("mkfifo")
                .arg(&pipe)
                .status()
                .unwrap()
                .success(),
            "mkfifo (POSIX)"
        );
        for expected in [Expected::Anything, Expected::Nothing, known()] {
            for path in [&pipe, &inner] {
                let error = refused(path, expected);
                assert!(
                    matches!(error, SaveError::NotAFile { .. }),
                    "{expected:?}: {error}"
                );
            }
        }
        let null = save(&RealDisk, Path::new("/dev/null"), NEW, Expected::Anything).unwrap_err();
        assert!(matches!(null, SaveError::NotAFile { .. }), "{null}");
        assert!(
            fs::metadata(&inner).unwrap().is_dir(),
            "the folder is still one"
        );
        assert!(
            RealDisk.read(&pipe, 10).is_err(),
            "reading a pipe must not wait for ever"
        );
    }

    #[test]
    fn another_programs_change_is_noticed_even_with_equal_length_and_time() {
        let (_folder, plan) = room();
        let time = fs::metadata(&plan).unwrap().modified().unwrap();
        let mut other = OLD.to_vec();
        other[3] ^= 1;
        for bytes in [&other[..], &OLD[..10], NEW, b""] {
            write(&plan, bytes);
            fs::File::options()
                .write(true)
                .open(&plan)
                .unwrap()
                .set_modified(time)
                .unwrap();
            let error = refused(&plan, known());
            assert!(
                matches!(error, SaveError::ChangedByAnother { .. }),
                "{error}"
            );
            assert_eq!(
                fs::read(&plan).unwrap(),
                bytes,
                "the other program's change is kept"
            );
        }
        fs::remove_file(&plan).unwrap();
        let error = refused(&plan, known());
        assert!(matches!(error, SaveError::Missing { .. }), "{error}");
    }

    /// A file that fails nothing, but whose sync lets another program write the plan.
    #[derive(Debug)]
    struct BusyFile(Box<dyn OpenFile>, ModelDisk);

    impl OpenFile for BusyFile {
        fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
            self.0.write(bytes)
        }
        fn sync_data(&mut self) -> io::Result<()> {
            self.0.sync_data()
        }
        fn sync_all(&mut self) -> io::Result<()> {
            self.1.put(Path::new(PLAN), b"written by another");
            self.0.sync_all()
        }
        fn set_mode(&mut self, mode: u32) -> io::Result<()> {
            self.0.set_mode(mode)
        }
        fn empty(&mut self) -> io::Result<()> {
            self.0.empty()
        }
        fn try_lock(&mut self) -> io::Result<Locking> {
            self.0.try_lock()
        }
    }

    #[test]
    fn a_change_during_the_save_is_noticed_just_before_the_rename() {
        for (model, expected) in [old_plan(), (ModelDisk::default(), Expected::Nothing)] {
            let disk = Wrapped {
                inner: model.clone(),
                wrap: |file, disk| Box::new(BusyFile(file, disk)),
            };
            let error = save(&disk, Path::new(PLAN), NEW, expected).unwrap_err();
            assert!(
                matches!(
                    error,
                    SaveError::ChangedByAnother { .. } | SaveError::Exists { .. }
                ),
                "{error}"
            );
            assert_eq!(
                model.content(PLAN).as_deref(),
                Some(&b"written by another"[..]),
                "the other's work is kept"
            );
            assert_eq!(
                model.temps(),
                Vec::<PathBuf>::new(),
                "the temporary file must go"
            );
        }
    }

    #[test]
    fn an_export_overwrites_only_when_told_to() {
        let (_folder, plan) = room();
        let error = refused(&plan, Expected::Nothing);
        assert!(matches!(error, SaveError::Exists { .. }), "{error}");
        save(&RealDisk, &plan, NEW, Expected::Anything).unwrap();
        assert_eq!(fs::read(&plan).unwrap(), NEW, "the user said so");
    }

    #[test]
    fn a_read_only_plan_is_respected() {
        let (_folder, plan) = room();
        set_mode(&plan, 0o444);
        for expected in [Expected::Anything, known()] {
            let error = refused(&plan, expected);
            assert!(matches!(error, SaveError::ReadOnly { .. }), "{error}");
            assert!(
                error.to_string().contains("Save a copy under another name"),
                "{error}"
            );
        }
    }

    /// A rename asks only the folder for permission. Someone else's file that we may not write is refused all the same.
    #[test]
    fn a_file_that_may_not_be_written_is_refused_though_its_folder_may() {
        for call in 1..20 {
            let (disk, expected) = old_plan();
            disk.set_fault(Some(Fault {
                call,
                and_all_later: false,
                error: DENIED,
            }));
            let outcome = save(&disk, Path::new(PLAN), NEW, expected);
            if disk.state().failed == ["may_write"] {
                let message = outcome.unwrap_err().to_string();
                assert!(
                    message.contains("Save a copy in a folder that you may write to."),
                    "{message}"
                );
                assert!(
                    !disk
                        .state()
                        .log
                        .iter()
                        .any(|op| matches!(op, Op::Create { .. })),
                    "nothing was made"
                );
                return;
            }
        }
        panic!("the file was never asked whether it may be written");
    }

    #[test]
    fn several_names_of_a_file_are_parted_only_when_told_to() {
        let (folder, plan) = room();
        let other = folder.path().join("other name");
        fs::hard_link(&plan, &other).unwrap();
        let error = refused(&plan, known());
        assert!(
            matches!(error, SaveError::SeveralNames { names: 2, .. }),
            "{error}"
        );
        save(&RealDisk, &plan, NEW, Expected::Anything).unwrap();
        assert_eq!(
            fs::read(&other).unwrap(),
            OLD,
            "the other name keeps the old content"
        );
    }

    #[test]
    fn a_name_as_long_as_the_disk_allows_can_be_saved_and_locked() {
        let folder = tempfile::tempdir().unwrap();
        // 255 bytes is NAME_MAX of the usual Linux file systems.
        let plan = folder.path().join("n".repeat(255));
        save(&RealDisk, &plan, NEW, Expected::Nothing).unwrap();
        assert!(
            matches!(lock_plan(&RealDisk, &plan), LockOutcome::Held(_)),
            "locked"
        );
        let longer = folder.path().join("n".repeat(256));
        let message = save(&RealDisk, &longer, NEW, Expected::Nothing)
            .unwrap_err()
            .to_string();
        assert!(
            message.contains("Choose a shorter or simpler name."),
            "{message}"
        );
        let nowhere = folder.path().join("no such folder/east.plan");
        let message = save(&RealDisk, &nowhere, NEW, Expected::Nothing)
            .unwrap_err()
            .to_string();
        assert!(
            message.contains("the folder or file is not there"),
            "{message}"
        );
    }

    #[test]
    fn two_saves_at_once_in_one_folder_do_not_disturb_each_other() {
        let folder = tempfile::tempdir().unwrap();
        std::thread::scope(|scope| {
            for number in 0..4 {
                let path = folder.path().join(format!("plan {number}"));
                scope.spawn(move || {
                    for round in 0..50 {
                        let text = format!("{number} {round}");
                        save(&RealDisk, &path, text.as_bytes(), Expected::Anything).unwrap();
                        assert_eq!(fs::read_to_string(&path).unwrap(), text, "own text");
                        sweep_temps(&RealDisk, path.parent().unwrap()).unwrap();
                    }
                });
            }
        });
        assert_eq!(names(folder.path()).len(), 4, "four plans and nothing else");
    }

    #[test]
    fn only_own_temporary_files_of_processes_that_are_gone_are_swept() {
        let (folder, _) = room();
        let mut gone = Command::new("true").spawn().unwrap();
        gone.wait().unwrap();
        let mut alive = Command::new("sleep").arg("30").spawn().unwrap();
        let (gone, running, own) = (gone.id(), alive.id(), std::process::id());
        // The last one bears our process number and a running number far from any we have given: an older process had it.
        let swept = [
            format!(".~{gone}-0.tmp"),
            format!(".~{own}-{}.tmp", u64::MAX),
        ];
        let kept = [
            format!(".~{running}-0.tmp"),
            ".~notes.tmp".to_owned(),
            format!("{gone}-0.tmp"),
            ".~x-0.tmp".to_owned(),
        ];
        for name in swept.iter().chain(&kept) {
            write(&folder.path().join(name), b"temporary");
        }
        let removed = sweep_temps(&RealDisk, folder.path());
        alive.kill().unwrap();
        alive.wait().unwrap();
        let left = names(folder.path());
        // Only Linux tells whether another process runs.
        if cfg!(target_os = "linux") {
            assert_eq!(removed.unwrap(), 2, "{left:?}");
            assert!(
                swept.iter().all(|name| !left.contains(&name.into())),
                "{left:?}"
            );
        }
        assert!(
            kept.iter().all(|name| left.contains(&name.into())),
            "{left:?}"
        );
    }

    // ------------------------------------------------------------------------------------------------------------- locks

    #[test]
    fn the_second_one_to_open_a_plan_is_told_who_holds_it() {
        let (folder, plan) = room();
        let link = folder.path().join("link");
        symlink("east.plan", &link).unwrap();
        let LockOutcome::Held(lock) = lock_plan(&RealDisk, &plan) else {
            panic!("the first one gets it")
        };
        let message = format!("another window or program (process {})", std::process::id());
        for path in [&plan, &link] {
            match lock_plan(&RealDisk, path) {
                LockOutcome::HeldBy(who) => assert_eq!(who, message, "who holds it"),
                LockOutcome::Held(_) | LockOutcome::NoLocksHere(_) => {
                    panic!("{} was locked twice", path.display())
                }
            }
        }
        // A save replaces the plan; the lock is on another file and stays.
        save(&RealDisk, &plan, NEW, known()).unwrap();
        assert!(
            matches!(lock_plan(&RealDisk, &plan), LockOutcome::HeldBy(_)),
            "still locked after a save"
        );
        let other = folder.path().join("west.plan");
        assert!(
            matches!(lock_plan(&RealDisk, &other), LockOutcome::Held(_)),
            "another plan is free"
        );
        lock.release(&RealDisk);
        let LockOutcome::Held(lock) = lock_plan(&RealDisk, &plan) else {
            panic!("free again after release")
        };
        let side = lock.side_file().to_path_buf();
        drop(lock);
        assert!(side.exists(), "dropping leaves the side file");
        let LockOutcome::Held(lock) = lock_plan(&RealDisk, &plan) else {
            panic!("free again after drop")
        };
        lock.release(&RealDisk);
        assert!(!side.exists(), "releasing removes it");
    }

    #[test]
    fn a_place_without_locks_is_said_and_not_fatal() {
        let (folder, plan) = room();
        let disk = ModelDisk::with(&[(PLAN, OLD)]);
        let mut said = 0;
        for call in 1.. {
            disk.set_fault(Some(Fault {
                call,
                and_all_later: false,
                error: Failure::Kind(ErrorKind::Unsupported),
            }));
            let outcome = lock_plan(&disk, Path::new(PLAN));
            if disk.state().failed.is_empty() {
                break;
            }
            said += usize::from(matches!(outcome, LockOutcome::NoLocksHere(_)));
        }
        assert!(said >= 4, "said only {said} times");
        // A side file that leads elsewhere or is none is not touched.
        let LockOutcome::Held(lock) = lock_plan(&RealDisk, &plan) else {
            panic!("locks work here")
        };
        let side = lock.side_file().to_path_buf();
        lock.release(&RealDisk);
        let precious = folder.path().join("precious");
        write(&precious, b"must stay");
        symlink(&precious, &side).unwrap();
        assert!(
            matches!(lock_plan(&RealDisk, &plan), LockOutcome::NoLocksHere(_)),
            "a link is no side file"
        );
        assert_eq!(
            fs::read(&precious).unwrap(),
            b"must stay",
            "what it leads to is untouched"
        );
    }

    #[test]
    fn many_who_take_and_release_never_hold_a_plan_together() {
        let (_folder, plan) = room();
        let inside = Mutex::new(0);
        let take_one = || loop {
            match lock_plan(&RealDisk, &plan) {
                LockOutcome::Held(lock) => break lock,
                LockOutcome::HeldBy(_) => std::thread::yield_now(),
                LockOutcome::NoLocksHere(why) => panic!("locks work here: {why}"),
            }
        };
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let lock = take_one();
                        *inside.lock().unwrap() += 1;
                        std::thread::yield_now();
                        assert_eq!(*inside.lock().unwrap(), 1, "two hold it together");
                        *inside.lock().unwrap() -= 1;
                        lock.release(&RealDisk);
                    }
                });
            }
        });
    }

    // ------------------------------------------------------------------------------------------------------------- kills

    /// With this in its environment a test is the child that will be killed; it holds the folder to work in.
    const CHILD: &str = "AISLEWRIGHT_TEST_CHILD";

    fn child_folder() -> Option<PathBuf> {
        std::env::var_os(CHILD).map(PathBuf::from)
    }

    /// Tells the parent that this much is safe. The line starts anew because the test runner has begun one.
    fn tell(number: usize) {
        let mut out = io::stdout();
        write!(out, "\nsafe {number}\n").unwrap();
        out.flush().unwrap();
    }

    fn start_child(test: &str, folder: &Path) -> Child {
        let mut command = Command::new(std::env::current_exe().unwrap());
        command.args([
            "--exact",
            &format!("real::{test}"),
            "--nocapture",
            "--test-threads=1",
        ]);
        command
            .env(CHILD, folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null());
        command.spawn().unwrap()
    }

    /// Runs a child, kills it a while after it told the first number, and answers the last number that it told.
    fn run_and_kill(test: &str, folder: &Path, pause: Duration) -> usize {
        let mut child = start_child(test, folder);
        let mut lines = BufReader::new(child.stdout.take().unwrap());
        let mut last = None;
        let mut line = String::new();
        while last.is_none() {
            line.clear();
            assert!(
                lines.read_line(&mut line).unwrap() > 0,
                "the child ended before it told anything"
            );
            last = number_in(&line);
        }
        std::thread::sleep(pause);
        child.kill().unwrap();
        child.wait().unwrap();
        let mut rest = String::new();
        lines.read_to_string(&mut rest).unwrap();
        // A line without its end may be a number cut short.
        let whole = rest.rsplit_once('\n').map_or("", |(whole, _)| whole);
        whole
            .lines()
            .filter_map(number_in)
            .next_back()
            .or(last)
            .unwrap()
    }

    fn number_in(line: &str) -> Option<usize> {
        line.strip_prefix("safe ")?.trim_end().parse().ok()
    }

    /// Pauses between 0 and 15 ms that look random and are the same every time (Knuth's MMIX generator, from memory).
    fn pauses() -> impl Iterator<Item = Duration> {
        let step = |state: &u64| {
            Some(
                state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407),
            )
        };
        std::iter::successors(Some(7), step)
            .skip(1)
            .map(|state| Duration::from_micros((state >> 33) % 15_000))
    }

    /// A text that shows by itself whether it is whole.
    fn numbered(number: usize) -> String {
        format!(
            "{number}\n{}\n{number} end",
            "a line of the plan\n".repeat(2_000 + number % 500)
        )
    }

    fn number_of_whole(text: &str) -> Option<usize> {
        let number = text.split_once('\n')?.0.parse().ok()?;
        (numbered(number) == text).then_some(number)
    }

    #[test]
    fn a_hundred_kills_leave_no_broken_plan_and_lose_no_save_that_was_told() {
        if let Some(folder) = child_folder() {
            let plan = folder.join("east.plan");
            let first =
                fs::read_to_string(&plan).map_or(0, |text| number_of_whole(&text).unwrap() + 1);
            for number in first.. {
                save(
                    &RealDisk,
                    &plan,
                    numbered(number).as_bytes(),
                    Expected::Anything,
                )
                .unwrap();
                tell(number);
            }
        }
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("east.plan");
        let mut temps = 0;
        for pause in pauses().take(100) {
            let told = run_and_kill(
                "a_hundred_kills_leave_no_broken_plan_and_lose_no_save_that_was_told",
                folder.path(),
                pause,
            );
            let text = fs::read_to_string(&plan).unwrap();
            let found = number_of_whole(&text);
            assert!(
                found.is_some_and(|found| found >= told),
                "told {told}, found {found:?} in {} bytes",
                text.len()
            );
            temps += names(folder.path()).len() - 1;
            sweep_temps(&RealDisk, folder.path()).unwrap();
            if cfg!(target_os = "linux") {
                assert_eq!(
                    names(folder.path()),
                    ["east.plan"],
                    "temporary files of the dead are swept"
                );
            }
        }
        assert!(
            temps > 10,
            "the kills must hit saves half done; only {temps} of 100 did"
        );
    }

    #[test]
    fn kills_lose_no_edit_that_was_told_and_show_the_work_at_the_next_start() {
        if let Some(folder) = child_folder() {
            let (plan, state) = (folder.join("east.plan"), folder.join("state"));
            let mut text = "0\n".to_owned();
            let mut journal =
                Journal::start(&RealDisk, &state, Some(&plan), Fingerprint::of(OLD), &text)
                    .unwrap();
            tell(0);
            for number in 1.. {
                let step = format!("{number}\n");
                let next = journal.append(&step).unwrap();
                text.push_str(&step);
                tell(number);
                if next == Next::GiveSnapshot || number % 20 == 0 {
                    journal.snapshot(&RealDisk, &text).unwrap();
                }
            }
        }
        let (folder, _plan) = room();
        let state = folder.path().join("state");
        for pause in pauses().take(40) {
            let test = "kills_lose_no_edit_that_was_told_and_show_the_work_at_the_next_start";
            let told = run_and_kill(test, folder.path(), pause);
            let mut left = find_left(&RealDisk, &state).unwrap();
            assert_eq!(left.len(), 1, "one crash, one offer: {left:?}");
            let one = left.remove(0);
            let replayed = one.replay(&RealDisk).unwrap();
            let back = replayed.text + &replayed.steps.concat();
            let numbers: Vec<usize> = back.lines().map(|line| line.parse().unwrap()).collect();
            assert!(
                numbers.iter().copied().eq(0..numbers.len()),
                "edits in order and none missing: {numbers:?}"
            );
            assert!(
                numbers.len() > told,
                "told {told}, given back {}",
                numbers.len() - 1
            );
            assert_eq!(one.edits + 1, numbers.len() as u64, "as many as offered");
            one.remove(&RealDisk).unwrap();
            sweep_temps(&RealDisk, &state).unwrap();
        }
    }

    #[test]
    fn a_kill_frees_the_lock_and_a_living_program_keeps_its_journal() {
        if let Some(folder) = child_folder() {
            let plan = folder.join("east.plan");
            let LockOutcome::Held(_lock) = lock_plan(&RealDisk, &plan) else {
                panic!("the child gets the lock")
            };
            let _journal = Journal::start(
                &RealDisk,
                &folder.join("state"),
                Some(&plan),
                Fingerprint::of(OLD),
                "text",
            )
            .unwrap();
            tell(1);
            std::thread::sleep(Duration::from_mins(1));
        }
        let (folder, plan) = room();
        let mut child = start_child(
            "a_kill_frees_the_lock_and_a_living_program_keeps_its_journal",
            folder.path(),
        );
        let told = BufReader::new(child.stdout.take().unwrap())
            .lines()
            .any(|line| number_in(&line.unwrap()).is_some());
        let second = lock_plan(&RealDisk, &plan);
        let offered = find_left(&RealDisk, &folder.path().join("state")).unwrap();
        child.kill().unwrap();
        child.wait().unwrap();
        assert!(told, "the child got as far as holding both");
        assert!(
            matches!(&second, LockOutcome::HeldBy(who) if who.contains(&child.id().to_string())),
            "{second:?}"
        );
        assert!(
            offered.is_empty(),
            "the work of a living program is not offered: {offered:?}"
        );
        assert!(
            matches!(lock_plan(&RealDisk, &plan), LockOutcome::Held(_)),
            "free after the kill"
        );
        assert_eq!(
            find_left(&RealDisk, &folder.path().join("state"))
                .unwrap()
                .len(),
            1,
            "offered after the kill"
        );
    }
}
