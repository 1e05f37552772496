//! The order of the search: a good arrangement first, then the exact sweeps from the coarsest lattice to the one that loses
//! nothing, bounds beside them, until arrangement and bound meet or the effort is used up.

use super::answer::{Claim, StoppedBy};
use super::beam::{TASTES, beam};
use super::bound::by_parts;
use super::grid::Grid;
use super::improve;
use super::lattice::{Lattice, common_step};
use super::problem::{Problem, Put};
use super::rounding::{needs_rounding, rounded_down, rounded_up};
use super::sweep::{Found, GaveUp, Reins, sweep};
use super::tidy::{is_sound, may_be_judged};

/// How much may be spent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Most steps: states tried.
    pub steps: u64,
    /// Most bytes of states.
    pub bytes: usize,
}

/// The memory that a search may take: 1 GB.
pub const MOST_BYTES: usize = 1_000_000_000;

/// What is known of a problem.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// The fullest arrangement so far.
    pub puts: Vec<Put>,
    /// Printers it holds.
    pub printers: u32,
    /// No arrangement holds more.
    pub bound: u32,
    /// What may be said.
    pub claim: Claim,
    /// The step of the lattice that the claim rests on, in units of 1/320 mm.
    pub lattice: Option<i64>,
    /// True where sizes were rounded to a common step: up for the arrangement, down for the bound.
    pub rounded: bool,
    /// Steps used.
    pub steps: u64,
    /// Why it ended.
    pub stopped_by: StoppedBy,
}

/// Floors of more columns than this go to the beam and the parts before they are swept whole.
const WIDE: usize = 16;
/// Floors of at most so many columns are cut into broad parts at once, which bounds them better; others take too long.
const NOT_SO_WIDE: usize = 24;
/// Finer lattices than this, in columns, are not tried exactly.
const FINEST: usize = 120;

/// Searches for the fullest arrangement. `squared` says that all that stays lies along the axes, save what counts by the
/// cells it touches. `seen` hears of every better arrangement and bound, and says whether it takes
/// the arrangement; one that it refuses is forgotten. `stop` is asked many times a second.
pub fn solve(
    problem: &Problem,
    squared: bool,
    effort: Effort,
    seen: &mut dyn FnMut(&Solved) -> bool,
    stop: &(dyn Fn() -> Option<StoppedBy> + Sync),
) -> Solved {
    let quarters = best_way_up(problem);
    let turned = problem.turned(quarters);
    let rounded = needs_rounding(&turned).then(|| (rounded_up(&turned), rounded_down(&turned)));
    let (upper, lower) = match &rounded {
        Some((up, down)) => (up, down),
        None => (&turned, &turned),
    };
    let mut hunt = Hunt {
        original: problem,
        problem: &turned,
        upper,
        lower,
        quarters,
        squared,
        effort,
        seen,
        stop,
        best: Solved {
            puts: Vec::new(),
            printers: 0,
            bound: by_area(problem),
            claim: Claim::Found,
            lattice: None,
            rounded: rounded.is_some(),
            steps: 0,
            stopped_by: StoppedBy::Running,
        },
        tried_parts: Vec::new(),
        has_arrangement: problem.kinds.iter().all(|k| k.exactly.is_none()),
    };
    let stopped_by = hunt.run();
    let mut solved = hunt.best;
    solved.stopped_by = stopped_by;
    solved
}

/// The quarter turns after which the long side is swept along, a way in first.
fn best_way_up(problem: &Problem) -> u8 {
    let height = |quarters: u8| {
        let p = problem.turned(quarters);
        let first = p.starts.iter().map(|s| s.corners.y0).min().unwrap_or(0);
        (p.width > p.depth, first, quarters)
    };
    (0..4).min_by_key(|q| height(*q)).unwrap_or(0)
}

/// The bodies alone, laid side by side, cannot hold more.
fn by_area(problem: &Problem) -> u32 {
    let floor = i128::from(problem.width) * i128::from(problem.depth);
    problem
        .kinds
        .iter()
        .filter(|k| k.printers > 0 && k.width > 0 && k.depth > 0)
        .map(|k| floor * i128::from(k.printers) / (i128::from(k.width) * i128::from(k.depth)))
        .max()
        .and_then(|most| u32::try_from(most).ok())
        .unwrap_or(0)
}

struct Hunt<'a> {
    original: &'a Problem,
    problem: &'a Problem,
    /// The problem with its sizes rounded up to a common step, where they have none: for arrangements.
    upper: &'a Problem,
    /// The same rounded down: for bounds.
    lower: &'a Problem,
    quarters: u8,
    squared: bool,
    effort: Effort,
    seen: &'a mut dyn FnMut(&Solved) -> bool,
    stop: &'a (dyn Fn() -> Option<StoppedBy> + Sync),
    best: Solved,
    /// Into how many parts the floor was cut already.
    tried_parts: Vec<usize>,
    /// False while an arrangement with all that must be placed is not known.
    has_arrangement: bool,
}

/// The search is over, and why.
struct Over(StoppedBy);

impl Hunt<'_> {
    fn run(&mut self) -> StoppedBy {
        match self.search() {
            Err(Over(why)) => why,
            Ok(()) if self.best.claim == Claim::Found => StoppedBy::Steps,
            Ok(()) => StoppedBy::Proof,
        }
    }

    /// Arrangements on the lines that most edges agree with, bounds beside them, then the lattice that loses nothing.
    fn search(&mut self) -> Result<(), Over> {
        let (upper, rounded) = (self.upper, self.best.rounded);
        let step = common_step(upper);
        let (coarse, fine) = (Lattice::plain(upper), Lattice::residues(upper));
        let one_lattice = coarse.lossless();
        let plain = Grid::new(upper, if one_lattice { &fine } else { &coarse });
        self.beams(&plain, &TASTES[..3], 100)?;
        if plain.cols() > WIDE {
            self.beams(&plain, &TASTES, 600)?;
        }
        // Without strips there is nothing that open ground beyond a cut would spare.
        if plain.cols() > WIDE && upper.aisle > 0 {
            self.parts(if plain.cols() <= NOT_SO_WIDE { 10 } else { 6 })?;
            self.beams(&plain, &TASTES, 2000)?;
            self.improve()?;
            self.parts(12)?;
        }
        let whole = self.whole(&plain)?;
        let complete = whole.gave_up.is_none();
        let tells_all = |grid: &Grid| !grid.keeps_ground && !rounded;
        if complete && one_lattice && tells_all(&plain) {
            return self.proved(step);
        }
        if complete {
            let lower = self.lower;
            let relaxed = self.sweep(&Grid::new(lower, &Lattice::relaxed(lower)))?;
            self.lowered(&relaxed)?;
            if !plain.keeps_ground {
                self.on_lattice(step);
            }
        }
        if !one_lattice && fine.x.lines.len() <= FINEST && complete {
            let grid = Grid::new(upper, &fine);
            if self.whole(&grid)?.gave_up.is_none() && tells_all(&grid) {
                return self.proved(step);
            }
        }
        if !complete || self.best.claim == Claim::Found {
            self.parts(12)?;
        }
        match whole.gave_up {
            Some(GaveUp::Memory) => Err(Over(StoppedBy::Memory)),
            _ => Ok(()),
        }
    }

    fn reins(&self) -> (u64, usize) {
        (
            self.effort.steps.saturating_sub(self.best.steps),
            self.effort.bytes,
        )
    }

    /// Sweeps a grid whose arrangements are true ones, and keeps what it finds.
    fn whole(&mut self, grid: &Grid) -> Result<Found, Over> {
        let mut found = self.sweep(grid)?;
        if let Some((_, puts)) = &found.best {
            // A sweep may leave a strip unasked where many overlap; then what it found shows whether that mattered.
            if may_be_judged(self.problem) && !is_sound(self.problem, puts) {
                found.gave_up = Some(GaveUp::Unsound);
            } else {
                let taken = self.arrangement(puts)?;
                if !taken {
                    found.gave_up = Some(GaveUp::Unsound);
                }
            }
        }
        Ok(found)
    }

    /// Runs a sweep; it ends the search where the effort or somebody's patience ended.
    fn sweep(&mut self, grid: &Grid) -> Result<Found, Over> {
        let (steps, bytes) = self.reins();
        let stop = self.stop;
        let told = move || stop().is_some();
        let beat = if self.has_arrangement {
            self.best.printers
        } else {
            0
        };
        let found = sweep(
            grid,
            beat,
            Reins {
                steps,
                bytes,
                stop: &told,
            },
        );
        self.best.steps += found.steps;
        self.give_up(found.gave_up)?;
        Ok(found)
    }

    fn beams(
        &mut self,
        grid: &Grid,
        tastes: &[super::beam::Taste],
        width: usize,
    ) -> Result<(), Over> {
        for taste in tastes {
            let (steps, bytes) = self.reins();
            let stop = self.stop;
            let told = move || stop().is_some();
            let reins = Reins {
                steps,
                bytes,
                stop: &told,
            };
            let caught = beam(grid, self.upper.aisle, *taste, width, reins);
            self.best.steps += caught.steps;
            if let Some((_, puts)) = caught.best {
                self.arrangement(&puts)?;
            }
            self.give_up(caught.gave_up)?;
        }
        Ok(())
    }

    /// Windows of the floor swept anew, until a whole pass finds nothing better.
    fn improve(&mut self) -> Result<(), Over> {
        let lattice = Lattice::plain(self.upper);
        let quarters = self.quarters;
        // Seen in the turned problem again.
        let mut puts: Vec<Put> = self
            .best
            .puts
            .iter()
            .map(|p| self.problem.turned_back(p, 4 - quarters))
            .collect();
        loop {
            let before = self.best.printers;
            let (left, bytes) = self.reins();
            let stop = self.stop;
            let told = move || stop().is_some();
            let reins = Reins {
                steps: left,
                bytes,
                stop: &told,
            };
            let mut steps = 0;
            let upper = self.upper;
            let better = &mut |better: &[Put]| self.arrangement(better);
            let passed = improve::pass(upper, &lattice, &mut puts, reins, &mut steps, better);
            self.best.steps += steps;
            self.give_up(passed?)?;
            if self.best.printers == before {
                return Ok(());
            }
        }
    }

    /// Ends the search where somebody's patience or the steps ended.
    fn give_up(&self, gave_up: Option<GaveUp>) -> Result<(), Over> {
        match gave_up {
            Some(GaveUp::Told) => Err(Over((self.stop)().unwrap_or(StoppedBy::Cancelled))),
            Some(GaveUp::Steps) => Err(Over(StoppedBy::Steps)),
            Some(GaveUp::Memory | GaveUp::Unsound) | None => Ok(()),
        }
    }

    /// Bounds from ever wider parts of the floor, up to so many columns.
    fn parts(&mut self, most: usize) -> Result<(), Over> {
        // What stands at odd angles does not keep to the cells that bounds are made of.
        if !self.squared {
            return Ok(());
        }
        let loose = Grid::new(self.lower, &Lattice::relaxed(self.lower));
        let cols = loose.cols();
        let aisle = self.lower.aisle;
        for widest in [4, 5, 6, 8, 10, 12].into_iter().filter(|w| *w <= most) {
            let parts = cols.div_ceil(widest);
            if parts < 2 || self.tried_parts.contains(&parts) {
                continue;
            }
            self.tried_parts.push(parts);
            let (steps, bytes) = self.reins();
            let stop = self.stop;
            let told = move || stop().is_some();
            let reins = Reins {
                steps,
                bytes,
                stop: &told,
            };
            let (bound, used) = by_parts(&loose, parts, aisle, reins);
            self.best.steps += used;
            match bound {
                Ok(bound) => self.bound(bound)?,
                Err(why) => self.give_up(Some(why))?,
            }
        }
        Ok(())
    }

    /// A complete sweep of a lattice that loses nothing.
    fn proved(&mut self, step: i64) -> Result<(), Over> {
        if self.squared {
            self.bound(self.best.printers)?;
        }
        self.on_lattice(step);
        Ok(())
    }

    /// A complete sweep with low edges lowered: a bound.
    fn lowered(&mut self, relaxed: &Found) -> Result<(), Over> {
        if relaxed.gave_up.is_none() && self.squared {
            let most = relaxed
                .best
                .as_ref()
                .map_or(self.best.printers, |(value, _)| *value);
            self.bound(most)?;
        }
        Ok(())
    }

    /// Every arrangement on the lattice was tried.
    fn on_lattice(&mut self, step: i64) {
        if self.best.claim == Claim::Found {
            self.best.claim = Claim::ProvedOnLattice;
            self.best.lattice = Some(step);
            (self.seen)(&self.best);
        }
    }

    /// Keeps an arrangement that holds more than the best so far; false where it was refused.
    fn arrangement(&mut self, puts: &[Put]) -> Result<bool, Over> {
        let printers = self.original.printers(puts);
        if self.has_arrangement && printers <= self.best.printers {
            return self.met().map(|()| true);
        }
        let turned = puts
            .iter()
            .map(|p| self.original.turned_back(p, self.quarters));
        let better = Solved {
            printers,
            puts: turned.collect(),
            ..self.best.clone()
        };
        let taken = (self.seen)(&better);
        if taken {
            self.has_arrangement = true;
            self.best = better;
            self.met()?;
        }
        Ok(taken)
    }

    fn bound(&mut self, bound: u32) -> Result<(), Over> {
        let bound = bound.max(self.best.printers);
        if bound < self.best.bound {
            self.best.bound = bound;
            (self.seen)(&self.best);
        }
        self.met()
    }

    /// Ends the search where arrangement and bound meet.
    fn met(&mut self) -> Result<(), Over> {
        if self.has_arrangement && self.best.printers >= self.best.bound {
            self.best.claim = Claim::Proved;
            self.best.lattice = None;
            (self.seen)(&self.best);
            return Err(Over(StoppedBy::Proof));
        }
        Ok(())
    }
}
