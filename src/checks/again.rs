//! Judging again after a change: which of a check's findings it may alter, and why the others stay.
//!
//! Most checks judge things one by one: what they find about a rack rests on the ground (room, limits, kinds, phase), on the
//! rack itself, on who hangs on what, and on the few other things that touch it. [`Each`] says that of a check, once, and both
//! the whole check and the narrow one are made from it. Nothing is judged here.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::{Check, Finding, Found, in_order, sorted};
use crate::geometry::Point;
use crate::layout::{Layout, Part};
use crate::plan::{Change, Id, ItemKind};

/// What a check found before a change.
pub(super) type Before = [Arc<Finding>];

/// One layout and the next.
#[derive(Debug)]
pub(super) struct Turn<'a> {
    pub(super) old: &'a Layout,
    pub(super) new: &'a Layout,
    /// What differs between their plans.
    pub(super) change: Change,
    /// The items whose parts differ; `None` where the ground does, so that everything is judged anew.
    moved: Option<BTreeSet<Id>>,
}

impl<'a> Turn<'a> {
    pub(super) fn between(old: &'a Layout, new: &'a Layout) -> Self {
        Self {
            change: Change::between(old.plan(), new.plan()),
            moved: new.moved_since(old),
            old,
            new,
        }
    }

    /// The parts of what moved, as they were and as they are.
    pub(super) fn moved_parts(&self) -> impl Iterator<Item = &Part> {
        let moved = self.moved.iter().flatten();
        moved
            .flat_map(|id| [self.old.part(*id), self.new.part(*id)])
            .flatten()
            .map(AsRef::as_ref)
    }

    /// The items whose parts differ.
    pub(super) fn moved_ids(&self) -> impl Iterator<Item = Id> {
        self.moved.iter().flatten().copied()
    }

    /// True where one of the findings points at the spot of something that moved.
    pub(super) fn moves_spot_of(&self, before: &Before) -> bool {
        let spots: Vec<Point> = self
            .moved_ids()
            .filter_map(|id| self.old.part(id))
            .map(|part| part.spot)
            .collect();
        let points = before.iter().filter_map(|f| f.at);
        !spots.is_empty() && points.map(|place| place.point).any(|p| spots.contains(&p))
    }

    /// True where the room, the limits and the kinds are the same, and who hangs on what too.
    pub(super) fn hangs_as_before(&self) -> bool {
        self.moved.is_some() && self.new.hangs_as(self.old)
    }
}

/// The findings of one check by the thing they are about.
pub(super) type Pieces = BTreeMap<Id, Arc<Vec<Arc<Finding>>>>;

/// A check that judges things one by one. What it finds about two things must differ in its marks.
#[derive(Debug)]
pub(super) struct Each {
    /// True for the things it judges.
    pub(super) is: fn(&Part) -> bool,
    /// What it finds about one of them.
    pub(super) judge: fn(&Layout, &Part) -> Vec<Finding>,
    /// True where another thing, as it was before a change or as it is after, may alter what is found about one that the
    /// change left as it is. May say yes too often, never no too often.
    pub(super) touched: fn(&Layout, &Part, &Part) -> bool,
    /// True where it reads who hangs on what.
    pub(super) by_power: bool,
}

/// A thing alone alters nothing about another.
pub(super) fn never(_: &Layout, _: &Part, _: &Part) -> bool {
    false
}

impl Each {
    /// Racks, each with its printers, by themselves: nothing else alters what is found about one.
    pub(super) const fn of_racks(judge: fn(&Layout, &Part) -> Vec<Finding>) -> Self {
        Self {
            is: |part| part.kind == ItemKind::Rack,
            judge,
            touched: never,
            by_power: false,
        }
    }

    /// What it finds about everything.
    pub(super) fn all(&self, layout: &Layout) -> Vec<Finding> {
        let judged = layout.parts().filter(|part| (self.is)(part));
        judged.flat_map(|part| (self.judge)(layout, part)).collect()
    }

    fn piece(&self, layout: &Layout, part: &Part) -> Arc<Vec<Arc<Finding>>> {
        let findings = sorted((self.judge)(layout, part));
        Arc::new(findings.into_iter().map(Arc::new).collect())
    }

    fn pieces(&self, layout: &Layout) -> Pieces {
        let judged = layout.parts().filter(|part| (self.is)(part));
        judged
            .map(|part| (part.id, self.piece(layout, part)))
            .collect()
    }

    /// The things about which a change may alter the findings; `None` where that is everything.
    fn stale(&self, turn: &Turn<'_>) -> Option<BTreeSet<Id>> {
        let moved = turn.moved.as_ref()?;
        if self.by_power && !turn.hangs_as_before() {
            return None;
        }
        let changed: Vec<&Part> = turn.moved_parts().collect();
        let touched = turn
            .new
            .parts()
            .filter(|part| (self.is)(part))
            .filter(|part| {
                let by =
                    |other: &&Part| other.id != part.id && (self.touched)(turn.new, part, other);
                changed.iter().any(by)
            });
        let judged = changed.iter().filter(|part| (self.is)(part));
        let touched = touched.map(|part| part.id);
        debug_assert!(
            changed.len() <= moved.len() * 2,
            "each as it was and as it is"
        );
        Some(touched.chain(judged.map(|part| part.id)).collect())
    }
}

/// How a check is run, and what of it after a change that it `concerns`.
#[derive(Debug)]
pub(super) enum Run {
    /// It judges things one by one, and after a change those that the change may have touched.
    Each(Each),
    /// Its findings, which the second gets as they were before, stay as they are unless it says that a change may alter them.
    Unless(fn(&Layout) -> Vec<Finding>, fn(&Turn<'_>, &Before) -> bool),
    /// It is run again whole, by the second, with what it found before as a help that alters nothing.
    Helped(
        fn(&Layout) -> Vec<Finding>,
        fn(&Layout, &Before) -> Vec<Finding>,
    ),
    /// It is run again whole.
    Whole(fn(&Layout) -> Vec<Finding>),
}

impl Run {
    /// What it finds about everything.
    pub(super) fn all(&self, layout: &Layout) -> Vec<Finding> {
        match self {
            Self::Each(each) => each.all(layout),
            Self::Unless(run, _) | Self::Helped(run, _) | Self::Whole(run) => run(layout),
        }
    }
}

impl Found {
    pub(super) fn of(check: &Check, layout: &Layout) -> Self {
        match &check.run {
            Run::Each(each) => Self::joined(each.pieces(layout)),
            Run::Unless(run, _) | Run::Helped(run, _) | Run::Whole(run) => Self::whole(run(layout)),
        }
    }

    fn joined(pieces: Pieces) -> Self {
        let mut all: Vec<Arc<Finding>> = pieces.values().flat_map(|p| p.iter().cloned()).collect();
        all.sort_by(|a, b| in_order(a, b));
        Self {
            all: Arc::new(all),
            pieces: Some(Arc::new(pieces)),
        }
    }

    pub(super) fn step(&self, check: &Check, turn: &Turn<'_>) -> Self {
        match &check.run {
            Run::Each(each) => match (each.stale(turn), &self.pieces) {
                (Some(stale), Some(pieces)) => self.with_anew(each, pieces, &stale, turn.new),
                _ => Self::of(check, turn.new),
            },
            Run::Unless(_, may_alter) if turn.moved.is_some() && !may_alter(turn, &self.all) => {
                self.clone()
            }
            Run::Helped(_, again) => Self::whole(again(turn.new, &self.all)),
            Run::Unless(run, _) | Run::Whole(run) => Self::whole(run(turn.new)),
        }
    }

    /// The same with some things judged anew, in the order that sorting all would give: what stays is in order already, and two
    /// findings about different things are never equal in order, as their marks differ.
    fn with_anew(
        &self,
        each: &Each,
        pieces: &Arc<Pieces>,
        stale: &BTreeSet<Id>,
        layout: &Layout,
    ) -> Self {
        if stale.is_empty() {
            return self.clone();
        }
        let mut next = pieces.as_ref().clone();
        let old: Vec<_> = stale.iter().filter_map(|id| next.remove(id)).collect();
        let judged = stale.iter().filter_map(|id| layout.part(*id));
        for part in judged.filter(|part| (each.is)(part)) {
            next.insert(part.id, each.piece(layout, part));
        }
        let gone: BTreeSet<*const Finding> =
            old.iter().flat_map(|p| p.iter().map(Arc::as_ptr)).collect();
        let new = stale.iter().filter_map(|id| next.get(id));
        let mut new: Vec<Arc<Finding>> = new.flat_map(|p| p.iter().cloned()).collect();
        new.sort_by(|a, b| in_order(a, b));
        let stays = self.all.iter().filter(|f| !gone.contains(&Arc::as_ptr(f)));
        Self {
            all: Arc::new(merged(stays.cloned(), new)),
            pieces: Some(Arc::new(next)),
        }
    }
}

/// Two lists in order as one.
fn merged(stays: impl Iterator<Item = Arc<Finding>>, new: Vec<Arc<Finding>>) -> Vec<Arc<Finding>> {
    let mut all = Vec::with_capacity(stays.size_hint().1.unwrap_or(0) + new.len());
    let mut new = new.into_iter().peekable();
    for finding in stays {
        while let Some(next) = new.next_if(|n| in_order(n, &finding).is_lt()) {
            all.push(next);
        }
        all.push(finding);
    }
    all.extend(new);
    all
}
