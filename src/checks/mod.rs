//! The checks: one file each, layout in, findings out. [`CHECKS`] lists them all; panel, sheet, command line and the
//! README's table read that list and nothing else.
//!
//! A check measures and never changes anything. Missing figures give *unknown*, never a silent pass. Met findings stay too,
//! so that the tightest margin can be shown.

mod carry_in;
mod circuits;
mod cords;
mod door_swing;
mod finding;
mod fits;
mod keep_out;
mod mend;
mod panel_space;
mod reach;
mod room_closes;
mod service_strip;
mod shelf_opening;
mod throw;
mod ups;
mod way_out;
mod wet_zone;
mod window;

pub use finding::{Finding, Mend, Place, Severity, Standing};
pub use mend::{SLIDE_MOST_MM, mend_for};
pub(crate) use panel_space::free_stretch;
pub(crate) use way_out::reached_faces;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

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
    /// True where a search for the fullest arrangement must leave none of its must-fix findings.
    pub in_fill: bool,
    /// The ids of the limits it holds against.
    pub limits: &'static [&'static str],
    /// Measures everything.
    run: fn(&Layout) -> Vec<Finding>,
    /// True where a change may alter its findings.
    concerns: fn(&Change) -> bool,
}

/// Every check, in the order of reports.
pub const CHECKS: [&Check; 16] = [
    &fits::CHECK,
    &service_strip::CHECK,
    &door_swing::CHECK,
    &way_out::CHECK,
    &carry_in::CHECK,
    &panel_space::CHECK,
    &window::CHECK,
    &keep_out::CHECK,
    &throw::CHECK,
    &shelf_opening::CHECK,
    &reach::CHECK,
    &circuits::CHECK,
    &ups::CHECK,
    &cords::CHECK,
    &wet_zone::CHECK,
    &room_closes::CHECK,
];

impl Check {
    /// The check of that id.
    pub fn of(id: &str) -> Option<&'static Self> {
        CHECKS.iter().copied().find(|c| c.id == id)
    }

    /// What this check alone finds, broken findings first.
    pub fn findings(&self, layout: &Layout) -> Vec<Finding> {
        sorted((self.run)(layout))
    }
}

/// True where anything at all changed that could be measured.
fn anything(change: &Change) -> bool {
    change.ground
        || !change.items.is_empty()
        || !change.printers.is_empty()
        || !change.circuits.is_empty()
}

/// The findings of one phase, check by check.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    by_check: BTreeMap<&'static str, Arc<Vec<Finding>>>,
}

impl Findings {
    /// Every check run on the layout.
    pub fn of(layout: &Layout) -> Self {
        Self {
            by_check: CHECKS
                .iter()
                .map(|check| (check.id, Arc::new(sorted((check.run)(layout)))))
                .collect(),
        }
    }

    /// The findings after a change: only the checks it concerns run again.
    #[must_use]
    pub fn step(&self, layout: &Layout, change: &Change) -> Self {
        Self {
            by_check: CHECKS
                .iter()
                .map(|check| (check.id, self.step_of(check, layout, change)))
                .collect(),
        }
    }

    /// The findings of one check after a change.
    pub fn step_of(&self, check: &Check, layout: &Layout, change: &Change) -> Arc<Vec<Finding>> {
        let old = self
            .by_check
            .get(check.id)
            .filter(|_| !(check.concerns)(change));
        old.map_or_else(|| Arc::new(sorted((check.run)(layout))), Arc::clone)
    }

    /// The keys of all broken must-fix findings after a change; checks that at most caution are not run for it.
    fn stops_after(&self, layout: &Layout, change: &Change) -> BTreeSet<String> {
        CHECKS
            .iter()
            .filter(|check| check.worst == Severity::MustFix)
            .flat_map(|check| {
                let findings = self.step_of(check, layout, change);
                let stops = findings.iter().filter(|f| f.stops());
                stops.map(Finding::key).collect::<Vec<_>>()
            })
            .collect()
    }

    /// All findings in the order of [`CHECKS`]; within a check broken ones first, then unknown, then met, each by marks.
    pub fn iter(&self) -> impl Iterator<Item = &Finding> {
        CHECKS
            .iter()
            .filter_map(|check| self.by_check.get(check.id))
            .flat_map(|findings| findings.iter())
    }

    /// The findings of one check.
    pub fn of_check(&self, id: &str) -> &[Finding] {
        self.by_check.get(id).map_or(&[], |f| f.as_slice())
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
    findings.sort_by(|a, b| {
        (a.standing, a.severity, &a.items, &a.text)
            .cmp(&(b.standing, b.severity, &b.items, &b.text))
    });
    findings
}
