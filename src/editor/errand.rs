//! One piece of work behind the window: begun, asked for in each frame, stopped where nobody waits any more. Knows no plan and no
//! widget; the window never waits for it longer than a moment.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

/// What is done within that time is shown in the frame that asked for it: no one sees so short a wait.
const MOMENT: Duration = Duration::from_millis(60);

/// At most one piece of work. Dropping it asks the work to end and waits for nothing.
#[derive(Debug)]
pub(crate) struct Errand<T> {
    work: Option<Work<T>>,
}

#[derive(Debug)]
struct Work<T> {
    result: Receiver<T>,
    stop: Arc<AtomicBool>,
}

impl<T> Drop for Work<T> {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl<T> Default for Errand<T> {
    fn default() -> Self {
        Self { work: None }
    }
}

impl<T: Send + 'static> Errand<T> {
    /// Begins work in the place of any that is at hand. It asks now and then whether it is to stop; `wake` is called at its end.
    pub(crate) fn begin(
        &mut self,
        name: &str,
        wake: impl FnOnce() + Send + 'static,
        work: impl FnOnce(&dyn Fn() -> bool) -> T + Send + 'static,
    ) {
        let (sender, result) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        let thread = std::thread::Builder::new()
            .name(name.to_owned())
            .spawn(move || {
                let result = work(&|| stopped.load(Ordering::Relaxed));
                // Nobody may wait for it any more.
                let _ = sender.send(result);
                wake();
            });
        self.work = thread.is_ok().then_some(Work { result, stop });
    }
}

impl<T> Errand<T> {
    /// True while there is work at hand.
    pub(crate) fn is_busy(&self) -> bool {
        self.work.is_some()
    }

    /// Asks the work to end with the best it has.
    pub(crate) fn stop(&self) {
        if let Some(work) = &self.work {
            work.stop.store(true, Ordering::Relaxed);
        }
    }

    /// The result, where it is there by now.
    pub(crate) fn take(&mut self) -> Option<T> {
        self.take_within(Duration::ZERO)
    }

    /// The result, where it is there within a moment.
    pub(crate) fn take_in_a_moment(&mut self) -> Option<T> {
        self.take_within(MOMENT)
    }

    fn take_within(&mut self, time: Duration) -> Option<T> {
        let result = self.work.as_ref()?.result.recv_timeout(time);
        if !matches!(result, Err(RecvTimeoutError::Timeout)) {
            // There is nothing more to come, even where it broke down.
            self.work = None;
        }
        result.ok()
    }

    /// Waits for the end: for pictures, which show a finished frame.
    pub(crate) fn finish(&mut self) -> Option<T> {
        self.work.take()?.result.recv().ok()
    }
}
