//! The walls tried a little shorter, one room after another in a thread of its own, kept behind the window. Draws nothing and
//! edits nothing; the window never waits for the thread.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use super::filling::Search;
use crate::fill::{Answer, Ask, StoppedBy, WallCost, Watch, shorter_rooms};
use crate::plan::{Library, Plan};

/// What the walls cost so far, and the thread that works out the rest.
#[derive(Debug)]
pub struct Walls {
    news: Option<Receiver<Vec<WallCost>>>,
    stop: Arc<AtomicBool>,
    /// What is known, in the order of the walls' numbers.
    pub costs: Vec<WallCost>,
    /// Walls of the room.
    pub walls: usize,
}

impl Drop for Walls {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// The thread's side: nobody looks at an arrangement on the way.
struct Quiet(Arc<AtomicBool>);

impl Watch for Quiet {
    fn seen(&self, _: &Answer) {}

    fn stop(&self) -> Option<StoppedBy> {
        self.0
            .load(Ordering::Relaxed)
            .then_some(StoppedBy::Cancelled)
    }
}

impl Walls {
    /// Begins to try the walls of a plan whose answer is known; `wake` is called whenever there is news.
    pub fn begin(
        search: Arc<Search>,
        library: &Arc<Library>,
        plan: &Arc<Plan>,
        ask: Ask,
        whole: Answer,
        wake: impl Fn() + Send + 'static,
    ) -> Self {
        let (sender, news) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let watch = Quiet(Arc::clone(&stop));
        let walls = plan.room().walls();
        let (library, plan) = (Arc::clone(library), Arc::clone(plan));
        let work = move || {
            for room in shorter_rooms(&library, &plan) {
                let found = room.plan.clone().and_then(|shorter| {
                    search(&library, &shorter, &ask, &watch).map_err(|why| why.to_string())
                });
                // What was broken off is not told; nobody listens once the window dropped it.
                if watch.stop().is_some() || sender.send(room.costs(&plan, &whole, &found)).is_err()
                {
                    return;
                }
                wake();
            }
            drop(sender);
            wake();
        };
        let thread = std::thread::Builder::new().name("walls".to_owned());
        // Without a thread nothing is ever known, and the list says that nothing was worked out.
        let news = thread.spawn(work).ok().map(|_| news);
        Self {
            news,
            stop,
            costs: Vec::new(),
            walls,
        }
    }

    /// Takes in what was worked out since the last frame.
    pub fn collect(&mut self) {
        while let Some(news) = &self.news {
            match news.try_recv() {
                Ok(costs) => {
                    self.costs.extend(costs);
                    self.costs.sort_by_key(|cost| cost.wall);
                }
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => self.news = None,
            }
        }
    }

    /// Stops, and keeps what is known.
    pub fn stop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        self.news = None;
    }

    /// True while the thread is at work.
    pub fn is_running(&self) -> bool {
        self.news.is_some()
    }
}
