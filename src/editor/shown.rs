//! What a frame shows: shared references to the document and all that is derived from it, and what is selected. Panels read
//! this and nothing else; none of them can write.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::filling::Filling;
use crate::checks::{Finding, Findings, Mend};
use crate::fill::{Answer, Headroom};
use crate::layout::Layout;
use crate::plan::{Id, Library, PhaseNo, Plan, Session};
use crate::units::{Length, Practice};

/// What is selected: items, printers or circuits by mark, the one clicked last being the lead.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    marks: BTreeSet<Id>,
    lead: Option<Id>,
    level: Option<u8>,
}

impl Selection {
    /// Exactly this.
    pub fn one(id: Id) -> Self {
        Self {
            marks: BTreeSet::from([id]),
            lead: Some(id),
            level: None,
        }
    }

    /// One level of a rack, the lowest being 1.
    pub fn level_of(rack: Id, level: u8) -> Self {
        Self {
            level: Some(level),
            ..Self::one(rack)
        }
    }

    /// Exactly these; the last is the lead.
    pub fn of(ids: impl IntoIterator<Item = Id>) -> Self {
        let ids: Vec<Id> = ids.into_iter().collect();
        Self {
            lead: ids.last().copied(),
            marks: ids.into_iter().collect(),
            level: None,
        }
    }

    /// With one more, or without it where it was in already.
    #[must_use]
    pub fn toggled(&self, id: Id) -> Self {
        let mut next = self.clone();
        next.level = None;
        if next.marks.remove(&id) {
            next.lead = next.marks.last().copied();
        } else {
            next.marks.insert(id);
            next.lead = Some(id);
        }
        next
    }

    /// True where it is selected.
    pub fn has(&self, id: Id) -> bool {
        self.marks.contains(&id)
    }

    /// The one that cards and elevations show.
    pub fn lead(&self) -> Option<Id> {
        self.lead
    }

    /// The level of the lead that is selected, where it is a rack.
    pub fn level(&self) -> Option<u8> {
        self.level
    }

    /// All, by mark.
    pub fn iter(&self) -> impl Iterator<Item = Id> + '_ {
        self.marks.iter().copied()
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.marks.len()
    }

    /// True where nothing is selected.
    pub fn is_empty(&self) -> bool {
        self.marks.is_empty()
    }

    /// Without what the plan no longer holds.
    pub fn keep(&mut self, plan: &Plan) {
        self.marks.retain(|id| plan.has(*id));
        self.level = self
            .level
            .filter(|_| self.lead.is_some_and(|id| plan.rack(id).is_some()));
        self.lead = self
            .lead
            .filter(|id| plan.has(*id))
            .or(self.marks.last().copied());
    }
}

/// What a frame shows.
#[derive(Debug)]
pub struct Shown<'a> {
    /// The built-in stock and limits.
    pub library: &'a Library,
    /// The document; while something is dragged, the document as if it were dropped.
    pub plan: &'a Arc<Plan>,
    /// The plan in the phase on show.
    pub layout: &'a Layout,
    /// Its findings.
    pub findings: &'a Arc<Findings>,
    /// The mends worked out so far, by finding key.
    pub mends: &'a BTreeMap<String, Mend>,
    /// Count and ceilings.
    pub headroom: &'a Headroom,
    /// The search for the fullest arrangement and what it found.
    pub filling: &'a Filling,
    /// The height above the floor at which lines of equal air speed are drawn; none for the middle of the printers.
    pub air_height: Option<Length>,
    /// What is selected.
    pub selection: &'a Selection,
    /// The key of the finding whose place is shown, if any.
    pub pointed: Option<&'a str>,
    /// Name of the file; empty where there is none yet.
    pub file: &'a str,
    /// True where the document differs from its file.
    pub unsaved: bool,
    /// True where the plan may only be looked at.
    pub read_only: bool,
    /// The step that undo would take back.
    pub undo: Option<&'a str>,
    /// The step that redo would do again.
    pub redo: Option<&'a str>,
    /// True while something is measured on the floor.
    pub measures: bool,
    /// The steps taken and taken back; the document itself is `plan`.
    pub history: &'a Session,
    /// What to say in the status line.
    pub status: &'a str,
}

impl Shown<'_> {
    /// The phase on show.
    pub fn phase(&self) -> PhaseNo {
        self.layout.phase()
    }

    /// The phase on show with its name, as in "phase 2 Growing".
    pub fn phase_words(&self) -> String {
        let at = usize::from(self.phase().0.saturating_sub(1));
        let name = self.plan.phases().get(at).map(|phase| &phase.name);
        let name = name.map_or_else(String::new, ToString::to_string);
        format!("phase {} {name}", self.phase())
            .trim_end()
            .to_owned()
    }

    /// How lengths are shown.
    pub fn practice(&self) -> Practice {
        self.plan.practice()
    }

    /// The height above the floor at which lines of equal air speed are drawn, in millimetres.
    pub fn air_height_mm(&self) -> f64 {
        let chosen = self.air_height.map(Length::mm);
        chosen.unwrap_or_else(|| self.layout.printers_middle())
    }

    /// What is known of how many printers the phase on show truly holds.
    pub fn known(&self) -> Option<&Answer> {
        self.filling.known(self.plan, self.phase())
    }

    /// The finding whose place is shown.
    pub fn pointed_finding(&self) -> Option<&Finding> {
        let key = self.pointed?;
        self.findings.iter().find(|f| f.key() == key)
    }
}
