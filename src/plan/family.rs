//! A family of things by mark: an immutable map whose entries are shared between one version of a plan and the next, so
//! that what did not change is recognised by pointer.

use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;
use std::sync::Arc;

use serde::de::{self, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::Id;

/// A map from marks to shared things.
#[derive(Debug, PartialEq)]
pub struct Family<V>(Arc<BTreeMap<Id, Arc<V>>>);

/// The most things one family of a plan may hold.
pub const FAMILY_MOST: usize = 20_000;

impl<V> Clone for Family<V> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<V> Default for Family<V> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<V> Family<V> {
    /// The thing of that mark.
    pub fn get(&self, id: Id) -> Option<&V> {
        self.0.get(&id).map(AsRef::as_ref)
    }

    /// All things in the order of their marks.
    pub fn iter(&self) -> impl Iterator<Item = (Id, &V)> {
        self.0.iter().map(|(id, v)| (*id, v.as_ref()))
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// True where there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The marks that differ between the two, found by pointer: added, removed or replaced.
    pub fn changed<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = Id> + 'a {
        let same = Arc::ptr_eq(&self.0, &other.0);
        let gone_or_new = self
            .0
            .iter()
            .filter(|(id, v)| other.0.get(id).is_none_or(|w| !Arc::ptr_eq(v, w)))
            .map(|(id, _)| *id);
        let added = other
            .0
            .keys()
            .filter(|id| !self.0.contains_key(id))
            .copied();
        gone_or_new.chain(added).filter(move |_| !same)
    }

    pub(super) fn put(&mut self, id: Id, value: V) {
        Arc::make_mut(&mut self.0).insert(id, Arc::new(value));
    }

    pub(super) fn remove(&mut self, id: Id) {
        if self.0.contains_key(&id) {
            Arc::make_mut(&mut self.0).remove(&id);
        }
    }
}

impl<V: Serialize> Serialize for Family<V> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

impl<'de, V: Deserialize<'de>> Deserialize<'de> for Family<V> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(Unique(PhantomData))
    }
}

/// Reads a map and refuses a mark that stands twice: the reader would otherwise keep the last one silently.
struct Unique<V>(PhantomData<V>);

impl<'de, V: Deserialize<'de>> Visitor<'de> for Unique<V> {
    type Value = Family<V>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of things by mark, such as {\"R1\": ...}")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut all = BTreeMap::new();
        while let Some((id, value)) = map.next_entry::<Id, V>()? {
            if all.insert(id, Arc::new(value)).is_some() {
                return Err(de::Error::custom(format!(
                    "the mark {id} stands here twice; give one of the two another mark"
                )));
            }
            if all.len() > FAMILY_MOST {
                return Err(de::Error::custom(format!(
                    "more than {FAMILY_MOST} entries; split the plan"
                )));
            }
        }
        Ok(Family(Arc::new(all)))
    }
}
