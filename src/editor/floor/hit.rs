//! What lies under a place of the floor.

use super::written;
use crate::geometry::{Convex, Point};
use crate::layout::{Layout, Part};
use crate::plan::{FittingUse, Id, Item, ItemKind, OverheadUse, UpsPlace};

/// How near the pointer must come to small things, in points of the screen.
pub(super) const REACH_POINTS: f64 = 8.0;

/// The topmost thing under a place: bodies before openings before zones; within `reach_mm`, which is what [`REACH_POINTS`] points
/// of the screen are on the floor, for small things on walls and for what is written.
pub(super) fn under(layout: &Layout, at: Point, reach_mm: f64) -> Option<Id> {
    let mut hits: Vec<(u8, f64, Id)> = layout
        .parts()
        .filter_map(|part| {
            if let Some(Item::Note(note)) = layout.plan().items().get(part.id) {
                let on = reach_mm > 0.0 && written::covers(note, at, reach_mm / REACH_POINTS);
                return on.then_some((rank(part.kind), 0.0, part.id));
            }
            let distance = distance(part, at)?;
            let reach = if small(part.kind) { reach_mm } else { 0.0 };
            (distance <= reach.min(most(layout, part)))
                .then(|| (rank(part.kind), distance, part.id))
        })
        .collect();
    hits.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    hits.first().map(|(_, _, id)| *id)
}

/// A UPS at the foot of a rack is reached from near it only, so that a rack seen from far can still be taken hold of.
fn most(layout: &Layout, part: &Part) -> f64 {
    let Some(Item::Ups(ups)) = layout.plan().items().get(part.id) else {
        return f64::INFINITY;
    };
    let UpsPlace::OnRack(rack) = ups.stands else {
        return f64::INFINITY;
    };
    let body = layout.part(rack).and_then(|part| part.solid.as_ref());
    body.map_or(f64::INFINITY, |body| {
        body.oblong.width().min(body.oblong.depth()) * 0.25
    })
}

/// The things whose bodies lie wholly within a box dragged over the floor.
pub(super) fn within(layout: &Layout, from: Point, to: Point) -> Vec<Id> {
    let (low, high) = (from.min(to), from.max(to));
    let inside = |p: Point| p.cmpge(low).all() && p.cmple(high).all();
    layout
        .parts()
        .filter(|part| {
            outline(part).map_or_else(
                || inside(part.spot),
                |shape| shape.points().iter().all(|p| inside(*p)),
            )
        })
        .map(|part| part.id)
        .collect()
}

/// The outline of a thing on the floor, as it is drawn and picked.
pub(super) fn outline(part: &Part) -> Option<Convex> {
    if let Some(solid) = &part.solid {
        return Some(solid.shape.clone());
    }
    if let Some(zone) = &part.zone {
        return Some(zone.shape.clone());
    }
    if let Some(measured) = &part.dimension {
        return Some(Convex::line(measured.line.0, measured.line.1));
    }
    let line = part
        .doorway
        .as_ref()
        .map(|d| d.opening)
        .or_else(|| part.opening.as_ref().map(|o| o.line));
    line.map(|(a, b)| Convex::line(a, b))
}

fn distance(part: &Part, at: Point) -> Option<f64> {
    let shape = outline(part);
    match shape {
        Some(shape) if shape.points().len() > 2 => shape.contains(at).then_some(0.0),
        Some(line) => Some(line.distance(&Convex::line(at, at))),
        None => Some(part.spot.distance(at)),
    }
}

fn small(kind: ItemKind) -> bool {
    match kind {
        ItemKind::Door
        | ItemKind::Window
        | ItemKind::Outlet
        | ItemKind::Fitting(FittingUse::DataPoint | FittingUse::Extinguisher)
        | ItemKind::Overhead(OverheadUse::Sprinkler | OverheadUse::Detector)
        | ItemKind::Camera
        | ItemKind::Ups
        | ItemKind::Dimension
        | ItemKind::Note => true,
        ItemKind::Column
        | ItemKind::Panel
        | ItemKind::Cooling
        | ItemKind::Fitting(FittingUse::Radiator)
        | ItemKind::Overhead(OverheadUse::Beam | OverheadUse::Pipe)
        | ItemKind::Light
        | ItemKind::Furniture(_)
        | ItemKind::Zone
        | ItemKind::Rack => false,
    }
}

fn rank(kind: ItemKind) -> u8 {
    match kind {
        ItemKind::Outlet
        | ItemKind::Fitting(FittingUse::DataPoint | FittingUse::Extinguisher)
        | ItemKind::Overhead(OverheadUse::Sprinkler | OverheadUse::Detector)
        | ItemKind::Camera
        | ItemKind::Ups
        | ItemKind::Dimension
        | ItemKind::Note => 0,
        ItemKind::Cooling | ItemKind::Panel | ItemKind::Fitting(FittingUse::Radiator) => 1,
        ItemKind::Rack | ItemKind::Column | ItemKind::Furniture(_) => 2,
        ItemKind::Door | ItemKind::Window => 3,
        ItemKind::Zone => 4,
        // What is long hangs over all the rest.
        ItemKind::Light | ItemKind::Overhead(OverheadUse::Beam | OverheadUse::Pipe) => 5,
    }
}
