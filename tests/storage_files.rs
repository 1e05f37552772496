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
const FAILURES: [Failure; 4] = [FULL, DEVICE, DENIED, READ_ONLY];

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

/// A disk that keeps something else than was written.
#[derive(Debug)]
struct LyingDisk(ModelDisk);

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

impl Disk for LyingDisk {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        self.0.read(path, limit)
    }
    fn look(&self, path: &Path) -> io::Result<Look> {
        self.0.look(path)
    }
    fn read_link(&self, path: &Path) -> io::Result<PathBuf> {
        self.0.read_link(path)
    }
    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        self.0.canonical(path)
    }
    fn may_write(&self, path: &Path) -> io::Result<()> {
        self.0.may_write(path)
    }
    fn create_new(&self, path: &Path, access: Access) -> io::Result<Box<dyn OpenFile>> {
        Ok(Box::new(LyingFile(self.0.create_new(path, access)?)))
    }
    fn open_side(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        self.0.open_side(path)
    }
    fn open_for_lock(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        self.0.open_for_lock(path)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.0.rename(from, to)
    }
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.0.sync_folder(folder)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.0.remove(path)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        self.0.list(folder)
    }
    fn create_folders(&self, folder: &Path) -> io::Result<()> {
        self.0.create_folders(folder)
    }
}

#[test]
fn a_disk_that_gives_back_something_else_is_found_out_before_the_rename() {
    let (model, expected) = old_plan();
    let disk = LyingDisk(model);
    let message = save(&disk, Path::new(PLAN), NEW, expected)
        .unwrap_err()
        .to_string();
    assert!(
        message.contains("it gave back something else than was written"),
        "{message}"
    );
    assert_eq!(
        disk.0.content(PLAN).as_deref(),
        Some(OLD),
        "the old plan must be untouched"
    );
    assert_eq!(
        disk.0.temps(),
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
        Path::new("/state/unnamed-999999-1.journal"),
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

/// A save, its journal and the next journal in one go, under every power cut: the plan is whole, and plan and journal together
/// always hold the newest work that was promised.
#[test]
fn a_save_and_the_journals_around_it_never_lose_work_between_them() {
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
