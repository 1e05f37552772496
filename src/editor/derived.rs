//! What is derived from the document, with one owner: layout, findings, count, and the mends that are worked out behind.
//! Knows no widget.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread::JoinHandle;

use crate::checks::{Finding, Findings, Mend, mend_for};
use crate::fill::Headroom;
use crate::layout::Layout;
use crate::plan::{Library, PhaseNo, Plan};

/// The plan in one phase with its findings and count.
#[derive(Clone, Debug)]
pub struct Judged {
    /// As it stands.
    pub layout: Arc<Layout>,
    /// What is the matter.
    pub findings: Arc<Findings>,
    /// How many.
    pub headroom: Headroom,
}

impl Judged {
    /// Everything from scratch.
    pub fn of(library: &Library, plan: &Arc<Plan>, phase: PhaseNo) -> Self {
        let layout = Layout::of(library, plan, phase);
        Self {
            findings: Arc::new(Findings::of(&layout)),
            headroom: Headroom::of(&layout),
            layout: Arc::new(layout),
        }
    }

    /// After an edit in the same phase: only what it touched is looked at again.
    #[must_use]
    pub fn step(&self, library: &Library, plan: &Arc<Plan>) -> Self {
        if Arc::ptr_eq(self.layout.plan(), plan) {
            return self.clone();
        }
        let layout = self.layout.step(library, plan);
        Self {
            findings: Arc::new(self.findings.step(&self.layout, &layout)),
            headroom: Headroom::of(&layout),
            layout: Arc::new(layout),
        }
    }
}

/// A mend that was worked out: the finding's key and the mend, if there is one.
type Worked = (String, Option<Mend>);

/// The work on mends for one version of the plan; dropped as soon as there is a newer one.
#[derive(Debug)]
struct Work {
    results: Receiver<Worked>,
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Work {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// The mends of what is shown, worked out behind by a thread of its own.
#[derive(Debug, Default)]
pub struct Mends {
    found: BTreeMap<String, Mend>,
    work: Option<Work>,
}

impl Mends {
    /// Begins anew for what is shown now; `wake` is called whenever something was found.
    pub fn begin(
        &mut self,
        library: &Arc<Library>,
        judged: &Judged,
        wake: impl Fn() + Send + 'static,
    ) {
        self.found.clear();
        self.work = None;
        let open: Vec<Finding> = judged
            .findings
            .iter()
            .filter(|f| f.may_be_mended())
            .cloned()
            .collect();
        if open.is_empty() {
            return;
        }
        let (sender, results) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        let (library, judged) = (Arc::clone(library), judged.clone());
        let thread = std::thread::Builder::new()
            .name("mends".to_owned())
            .spawn(move || {
                for finding in open {
                    if stopped.load(Ordering::Relaxed) {
                        return;
                    }
                    let mend = mend_for(&library, &judged.layout, &judged.findings, &finding);
                    if sender.send((finding.key(), mend)).is_err() {
                        return;
                    }
                    wake();
                }
            })
            .ok();
        self.work = Some(Work {
            results,
            stop,
            thread,
        });
    }

    /// Takes in what was found since the last frame.
    pub fn collect(&mut self) {
        let Some(work) = &self.work else {
            return;
        };
        loop {
            match work.results.try_recv() {
                Ok((key, Some(mend))) => {
                    self.found.insert(key, mend);
                }
                Ok((_, None)) => {}
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => break,
            }
        }
        self.work = None;
    }

    /// Waits until everything is worked out: for pictures, which show a finished frame.
    pub fn finish(&mut self) {
        if let Some(thread) = self.work.as_mut().and_then(|w| w.thread.take()) {
            // A thread that panicked has found nothing more; what it sent before is still there.
            let _ = thread.join();
        }
        self.collect();
    }

    /// The mends found so far, by finding key.
    pub fn found(&self) -> &BTreeMap<String, Mend> {
        &self.found
    }
}
