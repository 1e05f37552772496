//! Where the bodies of a layout are, to find those near a place.

use std::sync::Arc;

use super::{Layout, Part, Solid};
use crate::geometry::{Bounds, BoxList};

/// The parts with a body, by mark, and the list of their boxes.
#[derive(Debug, Default)]
pub(super) struct Bodies {
    parts: Vec<Arc<Part>>,
    boxes: BoxList,
}

impl Bodies {
    pub(super) fn of(layout: &Layout) -> Self {
        Self {
            parts: layout.solids().map(|(part, _)| Arc::clone(part)).collect(),
            boxes: BoxList::new(layout.solids().map(|(_, solid)| *solid.shape.bounds())),
        }
    }

    pub(super) fn near(
        &self,
        to: &Bounds,
        gap_mm: f64,
    ) -> impl Iterator<Item = (&Arc<Part>, &Solid)> {
        let places = self.boxes.near(to, gap_mm).into_iter();
        let parts = places.filter_map(|k| self.parts.get(k));
        parts.filter_map(|part| part.solid.as_ref().map(|s| (part, s)))
    }
}
