//! The tape on the floor, the dimensions kept of what it reads, and notes.

use super::Editor;
use crate::editor::action::StockEntry;
use crate::editor::floor::{Reading, put};
use crate::plan::{Dimension, Edit, End, Id, Item, ItemKind, Presence, Record, Spot};
use crate::units::Length;

impl Editor {
    /// Measures what is selected where that is one thing or two; else takes the tape in hand.
    pub(super) fn measure(&mut self) {
        let layout = &self.judged.layout;
        let bodies = |id: &Id| layout.frame(*id).is_some();
        let ids: Vec<Id> = self.selection.iter().filter(bodies).collect();
        let measured = match ids.as_slice() {
            [id] => Some(Reading::Around(*id)),
            [a, b] => Some(Reading::Things(*a, *b)),
            _ => None,
        };
        let floor = &mut self.views.floor;
        // The same once more puts it away.
        if floor.measure.is_on() && floor.measure.settled() == measured {
            floor.measure.leave();
        } else {
            floor.measure.begin(measured);
        }
    }

    /// Keeps what is measured as dimensions, and puts the tape away.
    pub(super) fn keep_dimension(&mut self) {
        let layout = &self.judged.layout;
        let settled = self.views.floor.measure.settled();
        let long_enough = |(from, to): &(End, End)| {
            let ends = layout.ends(*from, *to);
            ends.is_some_and(|(a, b)| a.distance(b) > 0.0)
        };
        let ends: Vec<(End, End)> = settled
            .map_or_else(Vec::new, |measured| measured.ends(layout))
            .into_iter()
            .filter(long_enough)
            .collect();
        let plan = self.session.plan();
        let ids = plan.fresh(ItemKind::Dimension.prefix(), ends.len());
        let name = match ids.as_slice() {
            [] => {
                "Measure something first: between two points that lie apart, or what is selected."
                    .clone_into(&mut self.status);
                return;
            }
            [id] => format!("Keep dimension {id}"),
            several => format!("Keep {} dimensions", several.len()),
        };
        let records = ids.iter().zip(ends).map(|(id, (from, to))| {
            let dimension = Dimension {
                from,
                to,
                offset: Length::ZERO,
                presence: Presence {
                    arrives: self.phase,
                    ..Presence::default()
                },
            };
            (*id, Record::Item(Box::new(Item::Dimension(dimension))))
        });
        let edit = Edit::Several(name, vec![Edit::Put(records.collect())]);
        self.edit_and_select(&edit, ids);
        self.views.floor.measure.leave();
    }

    /// Puts a note on the floor: beside the one thing selected and pointing at it, or in the middle of the room.
    pub(super) fn write_note(&mut self) {
        let layout = &self.judged.layout;
        let lead = self.selection.lead().filter(|_| self.selection.len() == 1);
        let beside = lead.and_then(|id| Some((id, layout.frame(id)?)));
        let middle = layout.room().bounds().centre();
        // Half way to the middle of the room, where there is paper to write on.
        let at = beside.map_or(middle, |(_, frame)| (frame.centre() + middle) * 0.5);
        let entry = StockEntry::Fixture(ItemKind::Note);
        let Some((mut edit, id)) = put(layout, &entry, at, None) else {
            return;
        };
        if let Some((thing, _)) = beside {
            point_at(&mut edit, End::Of(thing, Spot::Middle));
        }
        self.edit_and_select(&edit, [id]);
    }
}

/// Lets the notes that a step puts point at something.
fn point_at(edit: &mut Edit, end: End) {
    let Edit::Several(_, parts) = edit else {
        return;
    };
    for part in parts {
        let Edit::Put(records) = part else { continue };
        for (_, record) in records {
            if let Record::Item(item) = record
                && let Item::Note(note) = item.as_mut()
            {
                note.pointer = Some(end);
            }
        }
    }
}
