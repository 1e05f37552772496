//! Things on a wall keep their measure from the corner that a person chose when the wall grows or shrinks. Knows walls by their
//! numbers: a room with more or fewer walls leaves every place as it is.

use std::sync::Arc;

use super::{Plan, Room, WallEnd};
use crate::units::Length;

impl Plan {
    /// Moves what is measured from a wall's last corner by as much as that corner moved along the wall.
    pub(super) fn keep_measures(&mut self, old: &Room) {
        let new = Arc::clone(&self.room);
        if old.walls() != new.walls() {
            return;
        }
        for (id, item) in self.items.clone().iter() {
            let Some(at) = item.wall_place() else {
                continue;
            };
            let wall = usize::from(at.wall);
            if at.kept_from == WallEnd::Last
                && let (Some(before), Some(now)) = (old.wall_length(wall), new.wall_length(wall))
                && before != now
            {
                let at = at.on_changed_wall(before, now);
                self.items.put(id, item.with_wall_place(at));
            }
        }
    }
}

impl Room {
    /// Length of a wall from corner to corner; `None` where there is no such wall.
    pub fn wall_length(&self, k: usize) -> Option<Length> {
        let polygon = self.polygon()?;
        let (a, b) = polygon.side(k)?;
        Some(Length::from_mm(a.distance(b)))
    }

    /// The compass word of the end of a wall that a measure is kept from, as in "west end".
    pub fn end_name(&self, k: usize, end: WallEnd) -> &'static str {
        let along = self
            .polygon()
            .and_then(|p| p.side(k))
            .map_or(crate::geometry::Point::X, |(a, b)| b - a);
        let towards = match end {
            WallEnd::First => -along,
            WallEnd::Last => along,
        };
        super::compass_word(towards, self.north)
    }
}
