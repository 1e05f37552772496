//! Lights: what they give together, and the runs in which they are linked. Measures; judges nothing.

use std::collections::BTreeMap;

use super::{Layout, Part};
use crate::plan::{Id, Item, ItemKind, Light};
use crate::stock::LightKind;

/// Lights on one feed, the one with the feed first, the others by mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Their marks.
    pub lights: Vec<Id>,
    /// The fewest that any maker of them allows in one run; `None` where one does not say.
    pub most: Option<u8>,
}

impl Run {
    /// True where more are linked than the maker allows.
    pub fn is_over(&self) -> bool {
        self.most
            .is_some_and(|most| self.lights.len() > usize::from(most))
    }
}

impl Layout {
    /// The kind of a light.
    pub fn light_kind(&self, part: &Part) -> Option<&LightKind> {
        self.stock.lights.get(&self.light(part.id)?.kind)
    }

    fn light(&self, id: Id) -> Option<&Light> {
        let item = self.plan.items().get(id)?;
        if let Item::Light(light) = item {
            Some(light)
        } else {
            None
        }
    }

    /// The light that hands a light its supply, if that is there in this phase.
    fn linked_to(&self, id: Id) -> Option<Id> {
        let from = self.light(id)?.linked_to?;
        self.part(from).map(|part| part.id)
    }

    /// All lights by the feed that they hang on.
    pub fn light_runs(&self) -> Vec<Run> {
        let lights: Vec<Id> = self.of_kind(ItemKind::Light).map(|part| part.id).collect();
        let mut by_feed: BTreeMap<Id, Vec<Id>> = BTreeMap::new();
        for id in &lights {
            // A run of lights comes to an end; as many steps as there are lights reach it.
            let way = std::iter::successors(Some(*id), |id| self.linked_to(*id));
            let feed = way.take(lights.len()).last().unwrap_or(*id);
            by_feed.entry(feed).or_default().push(*id);
        }
        by_feed
            .into_iter()
            .map(|(feed, ids)| {
                let others = ids.iter().copied().filter(|id| *id != feed);
                let most = ids.iter().map(|id| {
                    let kind = self.part(*id).and_then(|part| self.light_kind(part));
                    kind.and_then(|kind| kind.most_linked)
                });
                Run {
                    most: most
                        .collect::<Option<Vec<u8>>>()
                        .and_then(|all| all.into_iter().min()),
                    lights: std::iter::once(feed).chain(others).collect(),
                }
            })
            .collect()
    }
}
