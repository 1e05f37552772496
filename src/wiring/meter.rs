//! Counts the steps of a search and asks now and then whether to stop. Knows no clock: the caller's `stop` may.

/// How often `stop` is asked, in steps.
const ASK_EVERY: u64 = 4096;

/// Steps done and allowed.
pub(super) struct Meter<'a> {
    steps: u64,
    most: u64,
    stopped: bool,
    stop: &'a dyn Fn() -> bool,
}

impl<'a> Meter<'a> {
    pub(super) fn new(most: u64, stop: &'a dyn Fn() -> bool) -> Self {
        Self {
            steps: 0,
            most,
            stopped: false,
            stop,
        }
    }

    /// Counts one step; false once the search must end.
    pub(super) fn step(&mut self) -> bool {
        if self.stopped {
            return false;
        }
        self.steps += 1;
        if self.steps >= self.most || (self.steps.is_multiple_of(ASK_EVERY) && (self.stop)()) {
            self.stopped = true;
        }
        !self.stopped
    }

    pub(super) fn steps(&self) -> u64 {
        self.steps
    }

    /// Steps left; none once the search must end.
    pub(super) fn left(&self) -> u64 {
        if self.stopped {
            0
        } else {
            self.most.saturating_sub(self.steps)
        }
    }

    pub(super) fn is_stopped(&self) -> bool {
        self.stopped
    }
}
