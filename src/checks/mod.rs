//! The checks: one file each, layout in, findings out. [`CHECKS`] lists them all; panel, sheet, command line and the
//! README's table read that list and nothing else.
//!
//! A check measures and never changes anything. Missing figures give *unknown*, never a silent pass. Met findings stay too,
//! so that the tightest margin can be shown.

mod again;
mod air;
mod air_mend;
mod asked;
mod cameras;
mod carry_in;
mod circuits;
mod cooling;
mod cords;
mod door_swing;
mod finding;
mod fire;
mod fits;
mod floor_load;
mod isolation;
mod keep_out;
mod lifting;
mod light;
mod mend;
mod panel_space;
mod protection;
mod rack_stability;
mod reach;
mod room_closes;
mod sag;
mod service_strip;
mod shelf_load;
mod shelf_opening;
mod spools;
mod supply;
mod throw;
mod ups;
mod way_out;
mod wet_zone;
mod window;

pub use finding::{Finding, Mend, Place, Severity, Standing};
pub use mend::{SLIDE_MOST_MM, mend_for};
pub(crate) use panel_space::free_stretch;
pub(crate) use shelf_load::{is_overloaded_in_all, not_known, overloaded};
pub(crate) use way_out::reached_faces;

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use again::{Pieces, Run, Turn};
use air_mend::Tries;
use rayon::iter::{
    IndexedParallelIterator as _, IntoParallelRefIterator as _, ParallelIterator as _,
};

use crate::layout::Layout;
use crate::plan::{Change, Id};

/// One check.
#[derive(Debug)]
pub struct Check {
    /// Stable id, also the file's name with underscores.
    pub id: &'static str,
    /// A short title.
    pub title: &'static str,
    /// The worst severity it can give.
    pub worst: Severity,
    /// What it computes, in a sentence.
    pub what: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// How it is measured.
    pub how: &'static str,
    /// What it does not see.
    pub blind: &'static str,
    /// Who decides where it could hurt someone, in a sentence; empty where it could not.
    pub caution: &'static str,
    /// True where a search for the fullest arrangement must leave none of its must-fix findings.
    pub in_fill: bool,
    /// The ids of the limits it holds against.
    pub limits: &'static [&'static str],
    /// How it measures, and what of it again after a change.
    run: Run,
    /// True where a change may alter its findings.
    concerns: fn(&Change) -> bool,
}

/// Every check, in the order of reports.
pub const CHECKS: [&Check; 30] = [
    &fits::CHECK,
    &service_strip::CHECK,
    &door_swing::CHECK,
    &way_out::CHECK,
    &carry_in::CHECK,
    &panel_space::CHECK,
    &window::CHECK,
    &keep_out::CHECK,
    &throw::CHECK,
    &cooling::CHECK,
    &shelf_opening::CHECK,
    &shelf_load::CHECK,
    &sag::CHECK,
    &rack_stability::CHECK,
    &floor_load::CHECK,
    &reach::CHECK,
    &lifting::CHECK,
    &isolation::CHECK,
    &light::CHECK,
    &cameras::CHECK,
    &circuits::CHECK,
    &supply::CHECK,
    &protection::CHECK,
    &ups::CHECK,
    &cords::CHECK,
    &wet_zone::CHECK,
    &spools::CHECK,
    &air::CHECK,
    &fire::CHECK,
    &room_closes::CHECK,
];

impl Check {
    /// The check of that id.
    pub fn of(id: &str) -> Option<&'static Self> {
        CHECKS.iter().copied().find(|c| c.id == id)
    }

    /// What there is to read about it, each part with its heading.
    pub fn parts(&self) -> impl Iterator<Item = (&'static str, &'static str)> + use<> {
        let parts = [
            ("What", self.what),
            ("Why", self.why),
            ("How", self.how),
            ("Not seen", self.blind),
            ("Who decides", self.caution),
        ];
        parts.into_iter().filter(|(_, words)| !words.is_empty())
    }

    /// What this check alone finds, broken findings first.
    pub fn findings(&self, layout: &Layout) -> Vec<Finding> {
        sorted(self.run.all(layout))
    }
}

/// True where anything at all changed that could be measured.
fn anything(change: &Change) -> bool {
    change.ground
        || !change.items.is_empty()
        || !change.printers.is_empty()
        || !change.circuits.is_empty()
}

/// What one check found.
#[derive(Clone, Debug, Default, PartialEq)]
struct Found {
    /// In order: see [`sorted`].
    all: Arc<Vec<Arc<Finding>>>,
    /// The same by the thing each is about, for a check that judges things one by one.
    pieces: Option<Arc<Pieces>>,
}

impl Found {
    fn whole(findings: Vec<Finding>) -> Self {
        let all = sorted(findings).into_iter().map(Arc::new).collect();
        Self {
            all: Arc::new(all),
            pieces: None,
        }
    }
}

/// The findings of one phase, check by check.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    by_check: BTreeMap<&'static str, Found>,
    /// What was tried against draughts, once somebody asked.
    tries: Tries,
}

/// What each check finds. They know nothing of each other, so they run side by side on all cores, one at a time on each, as some
/// take far longer than others.
fn of_each(find: impl Fn(&'static Check) -> Found + Sync) -> BTreeMap<&'static str, Found> {
    let found: Vec<_> = CHECKS
        .par_iter()
        .with_max_len(1)
        .map(|check| (check.id, find(check)))
        .collect();
    found.into_iter().collect()
}

impl Findings {
    /// Every check run on the layout.
    pub fn of(layout: &Layout) -> Self {
        Self {
            by_check: of_each(|check| Found::of(check, layout)),
            tries: Tries::default(),
        }
    }

    /// The findings after a change from `old`, the layout these are of, to `new`: only what the change may alter is judged
    /// again.
    #[must_use]
    pub fn step(&self, old: &Layout, new: &Layout) -> Self {
        let turn = Turn::between(old, new);
        Self {
            by_check: of_each(|check| self.step_of(check, &turn)),
            tries: Tries::default(),
        }
    }

    /// The findings of one check after a change from `old` to `new`; see [`Findings::step`].
    pub fn step_check(&self, check: &Check, old: &Layout, new: &Layout) -> Vec<Arc<Finding>> {
        self.step_of(check, &Turn::between(old, new)).all.to_vec()
    }

    fn step_of(&self, check: &Check, turn: &Turn<'_>) -> Found {
        match self.by_check.get(check.id) {
            Some(found) if !(check.concerns)(&turn.change) => found.clone(),
            Some(found) => found.step(check, turn),
            None => Found::of(check, turn.new),
        }
    }

    /// The keys of all broken must-fix findings after a change; checks that at most caution are not run for it.
    fn stops_after(&self, old: &Layout, new: &Layout) -> BTreeSet<String> {
        let turn = Turn::between(old, new);
        CHECKS
            .iter()
            .filter(|check| check.worst == Severity::MustFix)
            .flat_map(|check| {
                let found = self.step_of(check, &turn);
                let stops = found.all.iter().filter(|f| f.stops());
                stops.map(|f| f.key()).collect::<Vec<_>>()
            })
            .collect()
    }

    /// All findings in the order of [`CHECKS`]; within a check broken ones first, then unknown, then met, each by marks.
    pub fn iter(&self) -> impl Iterator<Item = &Finding> {
        CHECKS
            .iter()
            .filter_map(|check| self.by_check.get(check.id))
            .flat_map(|found| found.all.iter())
            .map(AsRef::as_ref)
    }

    /// The findings of one check.
    pub fn of_check(&self, id: &str) -> &[Arc<Finding>] {
        self.by_check.get(id).map_or(&[], |f| f.all.as_slice())
    }

    /// The keys of all broken must-fix findings.
    pub fn stops(&self) -> BTreeSet<String> {
        self.iter()
            .filter(|f| f.stops())
            .map(Finding::key)
            .collect()
    }

    /// The findings that are about a thing.
    pub fn about(&self, id: Id) -> impl Iterator<Item = &Finding> {
        self.iter().filter(move |f| f.items.contains(&id))
    }
}

fn sorted(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by(in_order);
    findings
}

/// Broken ones first, then unknown, then met, each by marks.
fn in_order(a: &Finding, b: &Finding) -> Ordering {
    (a.standing, a.severity, &a.items, &a.text).cmp(&(b.standing, b.severity, &b.items, &b.text))
}
