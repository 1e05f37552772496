//! Lights: what they give together, and the runs in which they are linked. Measures; judges nothing.

use std::collections::BTreeMap;

use super::{Layout, Part};
use crate::plan::{Id, Item, ItemKind, Light};
use crate::stock::LightKind;

/// Lights on one feed.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Their marks, the one with the feed first.
    pub lights: Vec<Id>,
    /// Each light of the run that is linked, with the one it is linked to.
    pub links: Vec<(Id, Id)>,
    /// The fewest that any maker of them allows in one run, as far as their makers' figures are entered.
    pub most: Option<u8>,
    /// True where such a figure is missing.
    pub unsaid: bool,
    /// The light that the first one is linked to and that is not there in this phase, so that nobody knows what feeds it.
    pub absent: Option<Id>,
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
            .map(|(feed, ids)| self.run(feed, &ids))
            .collect()
    }

    fn run(&self, feed: Id, ids: &[Id]) -> Run {
        let others = ids.iter().copied().filter(|id| *id != feed);
        let kinds = ids.iter().filter_map(|id| self.light_kind(self.part(*id)?));
        let most: Vec<Option<u8>> = kinds.map(|kind| kind.most_linked).collect();
        Run {
            lights: std::iter::once(feed).chain(others).collect(),
            links: ids
                .iter()
                .filter_map(|id| Some((*id, self.linked_to(*id)?)))
                .collect(),
            most: most.iter().copied().flatten().min(),
            unsaid: most.contains(&None),
            absent: self.light(feed).and_then(|light| light.linked_to),
        }
    }
}
