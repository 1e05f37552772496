//! One piece of work behind the window: begun, asked for in each frame, stopped where nobody waits any more. Knows no plan and no
//! widget; the window never waits for it longer than a moment.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, TryRecvError, channel};
use std::time::Duration;

/// What is done within that time is shown in the frame that asked for it: no one sees so short a wait.
const MOMENT: Duration = Duration::from_millis(60);

/// What is there of some work.
#[derive(Debug)]
pub(crate) enum Taken<T> {
    /// Its result.
    Done(T),
    /// Nothing yet.
    Busy,
    /// Nothing, ever: it broke down.
    Lost,
}

/// Work at hand. Dropping it asks the work to end and waits for nothing.
#[derive(Debug)]
pub(crate) struct Errand<T> {
    result: Receiver<T>,
    stop: Arc<AtomicBool>,
}

impl<T> Drop for Errand<T> {
    fn drop(&mut self) {
        self.stop();
    }
}

impl<T: Send + 'static> Errand<T> {
    /// Begins work that asks now and then whether it is to stop; `wake` is called at its end. `None` where the machine gives no
    /// thread for it.
    pub(crate) fn begin(
        name: &str,
        wake: impl FnOnce() + Send + 'static,
        work: impl FnOnce(&dyn Fn() -> bool) -> T + Send + 'static,
    ) -> Option<Self> {
        let (sender, result) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        std::thread::Builder::new()
            .name(name.to_owned())
            .spawn(move || {
                let result = work(&|| stopped.load(Ordering::Relaxed));
                // Nobody may wait for it any more.
                let _ = sender.send(result);
                wake();
            })
            .ok()?;
        Some(Self { result, stop })
    }
}

impl<T> Errand<T> {
    /// Asks the work to end with the best it has.
    pub(crate) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// What is there of it.
    pub(crate) fn taken(&self) -> Taken<T> {
        match self.result.try_recv() {
            Ok(result) => Taken::Done(result),
            Err(TryRecvError::Empty) => Taken::Busy,
            Err(TryRecvError::Disconnected) => Taken::Lost,
        }
    }

    /// The same; waits a moment for it.
    pub(crate) fn taken_in_a_moment(&self) -> Taken<T> {
        match self.result.recv_timeout(MOMENT) {
            Ok(result) => Taken::Done(result),
            Err(RecvTimeoutError::Timeout) => Taken::Busy,
            Err(RecvTimeoutError::Disconnected) => Taken::Lost,
        }
    }

    /// Waits for the end: for pictures, which show a finished frame.
    pub(crate) fn finished(&self) -> Taken<T> {
        self.result.recv().map_or(Taken::Lost, Taken::Done)
    }
}
