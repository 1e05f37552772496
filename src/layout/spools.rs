//! Where spools are kept: stores and the levels of racks that are meant for them. Measures; judges nothing.

use super::Layout;
use crate::geometry::Point;
use crate::handbook::spools;
use crate::plan::{FurnitureUse, Id, Item};

/// The places for spools of 1 kg.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SpoolPlaces {
    /// How many, as far as known.
    pub places: f64,
    /// Where they are: stores and racks.
    pub kept_in: Vec<Id>,
    /// Stores of which nobody said how many they take.
    pub unsaid: Vec<Id>,
    /// The place of the first of them on the floor.
    pub at: Option<Point>,
}

impl Layout {
    /// The places for spools of 1 kg in stores and on the levels of racks that are for spools.
    pub fn spool_places(&self) -> SpoolPlaces {
        let mut all = SpoolPlaces::default();
        let ceiling = self.plan.room().ceiling;
        for part in self.parts.values() {
            let kept = match self.plan.items().get(part.id) {
                Some(Item::Furniture(f)) if f.purpose == FurnitureUse::SpoolStore => {
                    if f.spools.is_none() {
                        all.unsaid.push(part.id);
                    }
                    Some(f.spools.map_or(0.0, f64::from))
                }
                _ => part.rack.as_ref().and_then(|rack| {
                    let levels = rack.levels.iter();
                    let mut levels = levels
                        .filter(|l| l.keeps_spools())
                        .map(|l| {
                            let opening = l.opening_under(ceiling);
                            spools::stand_on(l.clear_width.mm(), l.depth.mm(), opening.mm())
                        })
                        .peekable();
                    levels.peek()?;
                    Some(levels.sum())
                }),
            };
            if let Some(places) = kept {
                all.places += places;
                all.kept_in.push(part.id);
                all.at = all.at.or(Some(part.spot));
            }
        }
        all
    }
}
