//! The keeper of unsaved work: a thread that writes every step into the journal while the window goes on. Knows files and
//! steps, no widgets.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;

use crate::plan::Plan;
use crate::storage::disk::Disk;
use crate::storage::journal::{Journal, Next};
use crate::storage::save::Fingerprint;
use crate::storage::{self, Recorded};

/// What the keeper is told.
enum Told {
    /// A journal begins: the plan's path, the fingerprint of its file, and the plan that later steps start from.
    Begin(Option<PathBuf>, Fingerprint, Arc<Plan>),
    /// A step was made, and the plan after it.
    Step(Box<Recorded>, Arc<Plan>),
    /// Everything is saved, or given up: the journal goes.
    Close,
}

/// The thread and the way to it. Dropping it without [`Keeper::close`] leaves the journal to be found at the next start.
#[derive(Debug)]
pub(super) struct Keeper {
    told: Option<Sender<Told>>,
    troubles: Receiver<String>,
    thread: Option<JoinHandle<()>>,
    running: bool,
}

impl std::fmt::Debug for Told {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Begin(..) => "Begin",
            Self::Step(..) => "Step",
            Self::Close => "Close",
        })
    }
}

impl Keeper {
    /// A keeper that writes into a folder; without a folder it keeps nothing.
    pub(super) fn new(disk: Arc<dyn Disk>, folder: Option<PathBuf>) -> Self {
        let (told, orders) = channel();
        let (trouble, troubles) = channel();
        let thread = folder.and_then(|folder| {
            std::thread::Builder::new()
                .name("keeper".to_owned())
                .spawn(move || keep(disk.as_ref(), &folder, &orders, &trouble))
                .ok()
        });
        Self {
            told: thread.is_some().then_some(told),
            troubles,
            thread,
            running: false,
        }
    }

    /// Writes a step down. The first one after a save begins a journal from the plan as it was before.
    pub(super) fn step(
        &mut self,
        step: Recorded,
        before: &Arc<Plan>,
        after: &Arc<Plan>,
        path: Option<&Path>,
        base: Fingerprint,
    ) {
        self.begin(before, path, base);
        self.tell(Told::Step(Box::new(step), Arc::clone(after)));
    }

    /// Begins a journal from a plan that is unsaved already, unless one runs.
    pub(super) fn begin(&mut self, plan: &Arc<Plan>, path: Option<&Path>, base: Fingerprint) {
        if !self.running {
            self.running = true;
            self.tell(Told::Begin(
                path.map(Path::to_path_buf),
                base,
                Arc::clone(plan),
            ));
        }
    }

    /// Everything is saved, or given up on purpose.
    pub(super) fn close(&mut self) {
        if self.running {
            self.running = false;
            self.tell(Told::Close);
        }
    }

    /// What went wrong since the last look, to be said once.
    pub(super) fn trouble(&self) -> Option<String> {
        self.troubles.try_recv().ok()
    }

    fn tell(&self, what: Told) {
        if let Some(told) = &self.told {
            // A keeper that is gone has said why already.
            let _ = told.send(what);
        }
    }

    /// Waits until everything told is on the disk.
    pub(super) fn settle(&mut self) {
        self.told = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.settle();
    }
}

fn keep(disk: &dyn Disk, folder: &Path, orders: &Receiver<Told>, trouble: &Sender<String>) {
    let mut journal: Option<Journal> = None;
    for order in orders {
        let done = match order {
            Told::Begin(path, base, plan) => {
                begin(disk, folder, path.as_deref(), base, &plan).map(|begun| journal = Some(begun))
            }
            Told::Step(step, plan) => match &mut journal {
                Some(journal) => write_down(disk, journal, &step, &plan),
                None => Ok(()),
            },
            Told::Close => match journal.take() {
                Some(journal) => journal.close_clean(disk).map_err(|e| e.to_string()),
                None => Ok(()),
            },
        };
        if let Err(why) = done {
            // The window may be gone; then nobody needs to know.
            let _ = trouble.send(why);
        }
    }
}

fn begin(
    disk: &dyn Disk,
    folder: &Path,
    path: Option<&Path>,
    base: Fingerprint,
    plan: &Plan,
) -> Result<Journal, String> {
    let text = storage::text_of(plan).map_err(|e| e.to_string())?;
    Journal::start(disk, folder, path, base, &text).map_err(|e| e.to_string())
}

fn write_down(
    disk: &dyn Disk,
    journal: &mut Journal,
    step: &Recorded,
    plan: &Plan,
) -> Result<(), String> {
    let line = storage::recorded_line(step).map_err(|e| e.to_string())?;
    match journal.append(&line).map_err(|e| e.to_string())? {
        Next::GoOn => Ok(()),
        Next::GiveSnapshot => {
            let text = storage::text_of(plan).map_err(|e| e.to_string())?;
            journal.snapshot(disk, &text).map_err(|e| e.to_string())
        }
    }
}
