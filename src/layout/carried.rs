//! Where a rectangle gets to that is carried through a door: worked out once, and kept from one layout to the next for as long as
//! everything it rests on is the same. Says nothing of what may be carried.

use std::sync::{Arc, Mutex, PoisonError};

use super::Layout;
use crate::geometry::{Carry, Convex, Entry, Polygon};

/// The most that is kept; a plan asks for one for each door, size and way to hold it.
const MOST: usize = 24;

/// What was worked out last, the oldest first. Found again by value, so that nothing in it goes stale.
#[derive(Clone, Debug, Default)]
pub(super) struct Carried(Arc<Mutex<Vec<Known>>>);

/// Where one rectangle gets to, and what that rests on.
#[derive(Debug)]
struct Known {
    room: Arc<Polygon>,
    entry: Entry,
    bodies: Vec<Convex>,
    size: (f64, f64),
    spare_mm: f64,
    carry: Arc<Carry>,
}

impl Layout {
    /// Where a rectangle of that length and width in millimetres gets to through an entry, round these bodies, with that much to
    /// spare all round.
    pub fn carried(
        &self,
        entry: Entry,
        bodies: &[Convex],
        size: (f64, f64),
        spare_mm: f64,
    ) -> Arc<Carry> {
        let mut kept = self
            .carried
            .0
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let same = |k: &&Known| {
            k.entry == entry
                && (k.size, k.spare_mm) == (size, spare_mm)
                && k.room == self.room
                && k.bodies == bodies
        };
        if let Some(known) = kept.iter().find(same) {
            return Arc::clone(&known.carry);
        }
        let carry = Arc::new(Carry::of(&self.room, entry, bodies, size, spare_mm));
        if kept.len() >= MOST {
            kept.remove(0);
        }
        kept.push(Known {
            room: Arc::clone(&self.room),
            entry,
            bodies: bodies.to_vec(),
            size,
            spare_mm,
            carry: Arc::clone(&carry),
        });
        carry
    }
}
