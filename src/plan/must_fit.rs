//! The must-also-fit list: what the owner needs in the room besides printers.

use serde::{Deserialize, Serialize};

use super::place::is_default;
use super::{Id, Item, Label, Plan, Pose, ZoneUse};
use crate::stock::Face;
use crate::units::Length;

/// A thing that must find room besides the printers: a bench, a packing place, a spool store. `fill` keeps floor for it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MustFit {
    /// Its name, unlike that of any other thing of the list.
    pub name: Label,
    /// Outside width.
    pub width: Length,
    /// Outside depth.
    pub depth: Length,
    /// Height above the floor.
    pub height: Length,
    /// The sides that a person works at.
    #[serde(default, skip_serializing_if = "is_default")]
    pub faces: Vec<Face>,
}

impl MustFit {
    /// The most things that the list may hold.
    pub const MOST: usize = 8;
}

impl Plan {
    /// The thing of the must-also-fit list that an item keeps floor for, and where: a keep-clear zone, or the thing itself once
    /// it is placed, with the thing's name as its note.
    pub fn floor_kept(&self, by: Id) -> Option<(&MustFit, Pose)> {
        let item = self.items().get(by)?;
        let (at, width, depth) = if let Item::Furniture(f) = item {
            (f.at, f.width, f.depth)
        } else if let Item::Zone(z) = item
            && z.purpose == ZoneUse::KeepClear
        {
            (z.at, z.width, z.depth)
        } else {
            return None;
        };
        let note = &item.presence().note;
        let thing =
            self.head().must_fit.iter().find(|thing| {
                thing.name == *note && thing.width == width && thing.depth == depth
            })?;
        Some((thing, at))
    }
}
