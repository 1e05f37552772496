//! Receptacles: whether the loads of one circuit can all be plugged in, and where. A matching of loads to outlets; knows
//! no currents.

use super::packing::{Kind, Room};

/// Which kinds sit at which outlet of a room.
#[derive(Clone, Debug)]
pub(super) struct Seating<'a> {
    room: &'a Room,
    kinds: &'a [Kind],
    /// For each outlet of the room the kinds of its loads.
    pub at: Vec<Vec<usize>>,
}

impl<'a> Seating<'a> {
    /// Nobody seated yet.
    pub(super) fn new(room: &'a Room, kinds: &'a [Kind]) -> Self {
        Self {
            room,
            kinds,
            at: vec![Vec::new(); room.outlets.len()],
        }
    }

    /// Seats one more load, moving others to another outlet they reach where that helps. False where it cannot be.
    pub(super) fn add(&mut self, kind: usize) -> bool {
        let mut tried = vec![false; self.at.len()];
        self.augment(kind, &mut tried)
    }

    fn augment(&mut self, kind: usize, tried: &mut [bool]) -> bool {
        for k in 0..self.at.len() {
            let (outlet, receptacles) = self.room.outlets[k];
            if tried[k] || !self.kinds[kind].reaches(outlet) {
                continue;
            }
            tried[k] = true;
            if self.at[k].len() < receptacles {
                self.at[k].push(kind);
                return true;
            }
            for seat in 0..self.at[k].len() {
                let sitting = self.at[k][seat];
                if sitting != kind && self.augment(sitting, tried) {
                    self.at[k][seat] = kind;
                    return true;
                }
            }
        }
        false
    }
}

/// Whether all these loads can be plugged in; `counts` by kind.
pub(super) fn can_seat(room: &Room, kinds: &[Kind], counts: &[usize]) -> bool {
    let all: usize = counts.iter().sum();
    if all > room.receptacles() {
        return false;
    }
    if room.outlets.len() == 1 {
        return true;
    }
    seated(room, kinds, counts).is_some()
}

/// Seats for all these loads, each of a kind that reaches the room.
pub(super) fn seated<'a>(
    room: &'a Room,
    kinds: &'a [Kind],
    counts: &[usize],
) -> Option<Seating<'a>> {
    let mut seating = Seating::new(room, kinds);
    for (kind, count) in counts.iter().enumerate() {
        for _ in 0..*count {
            if !seating.add(kind) {
                return None;
            }
        }
    }
    Some(seating)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wiring::problem::Amps;

    fn kind(reach: &[usize]) -> Kind {
        Kind {
            draw: Amps::new(1000, 1000),
            reach: reach.to_vec(),
            is_pinned: false,
            loads: vec![0],
        }
    }

    #[test]
    fn a_load_makes_room_for_one_that_reaches_less() {
        let room = Room {
            free: Amps::new(16_000, 20_000),
            outlets: vec![(0, 1), (1, 1)],
        };
        let kinds = [kind(&[0, 1]), kind(&[0])];
        let seating = seated(&room, &kinds, &[1, 1]).expect("both have a receptacle");
        assert_eq!(
            seating.at,
            [[1], [0]],
            "the first moved to the second outlet"
        );
        assert!(
            seated(&room, &kinds, &[0, 2]).is_none(),
            "two that reach one receptacle"
        );
    }
}
