//! The difference of two plans: what an edit touched, found by pointer.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{Id, Plan};

/// What differs between two plans.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// Items added, removed or replaced.
    pub items: BTreeSet<Id>,
    /// Printers added, removed or replaced.
    pub printers: BTreeSet<Id>,
    /// Circuits added, removed or replaced.
    pub circuits: BTreeSet<Id>,
    /// The room, the head, the limits, the heat, the supply, the kinds or the phases: what everything rests on.
    pub ground: bool,
    /// Which findings are accepted.
    pub accepted: bool,
}

impl Change {
    /// What differs between `old` and `new`.
    pub fn between(old: &Plan, new: &Plan) -> Self {
        let ground = !Arc::ptr_eq(&old.room, &new.room)
            || !Arc::ptr_eq(&old.head, &new.head)
            || !Arc::ptr_eq(&old.limits, &new.limits)
            || !Arc::ptr_eq(&old.heat, &new.heat)
            || !Arc::ptr_eq(&old.supply, &new.supply)
            || !Arc::ptr_eq(&old.kinds, &new.kinds)
            || !Arc::ptr_eq(&old.phases, &new.phases);
        Self {
            items: old.items.changed(&new.items).collect(),
            printers: old.printers.changed(&new.printers).collect(),
            circuits: old.circuits.changed(&new.circuits).collect(),
            ground,
            accepted: !Arc::ptr_eq(&old.accepted, &new.accepted),
        }
    }

    /// True where nothing differs.
    pub fn is_empty(&self) -> bool {
        self == &Self::default()
    }
}
