//! What happens to dimensions and pointers when what they are fastened to goes. Knows marks and walls by their numbers, and no
//! place on the floor.

use std::sync::Arc;

use super::{End, Id, Item, Note, Plan, Refused};

impl Plan {
    /// The dimensions that have an end of that sort.
    pub(super) fn dimensions_on(&self, which: impl Fn(End) -> bool) -> Vec<Id> {
        let items = self.items.iter();
        items
            .filter(|(_, item)| matches!(item, Item::Dimension(_)))
            .filter(|(_, item)| item.ends().into_iter().any(&which))
            .map(|(id, _)| id)
            .collect()
    }

    /// Lets go of what is said of the heat of walls that are not there any more.
    pub(super) fn let_go_of_lost_sides(&mut self) {
        let walls = self.room.walls();
        let there = |k: u16| usize::from(k) < walls;
        if self.heat.walls.iter().any(|(k, _)| !there(*k)) {
            Arc::make_mut(&mut self.heat)
                .walls
                .retain(|(k, _)| there(*k));
        }
    }

    /// Takes away the dimensions, and the pointers, that are fastened to walls which the room has no more.
    pub(super) fn let_go_of_lost_walls(&mut self) -> Result<(), Refused> {
        let walls = self.room.walls();
        let lost = |end: End| end.wall().is_some_and(|wall| usize::from(wall) >= walls);
        let gone = self.dimensions_on(lost);
        if !gone.is_empty() {
            self.remove(&gone)?;
        }
        for (id, item) in self.items.clone().iter() {
            if let Item::Note(note) = item
                && note.pointer.is_some_and(lost)
            {
                let without = Note {
                    pointer: None,
                    ..note.clone()
                };
                self.items.put(id, Item::Note(without));
            }
        }
        Ok(())
    }
}
