//! Cords: each reaches what it is plugged into, and none crosses a doorway.

use std::collections::BTreeMap;

use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::TOLERANCE_MM;
use crate::layout::{Layout, Plugged};
use crate::plan::Id;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "cords",
    title: "Cords reach and stay out of doorways",
    worst: Severity::MustFix,
    what: "The length of every cord against its way along the back of the rack and the walls; a cord that could only reach over a doorway must be mended.",
    why: "A cord that does not reach becomes an extension lead on the floor; one across a doorway trips people and wears through.",
    how: "Straight along the back of a rack, else to the nearest wall and round the walls the shorter way that crosses no door, heights added.",
    blind: "Hooks, trays and slack; cords over the way out between racks; power strips, which are not for permanent use.",
    limits: &[],
    run,
    concerns: anything,
};

const THROUGH_DOOR: &str = "OSHA 1910.305(g)(1): flexible cord not through doorways";
const OWN_LENGTH: &str = "the cord's own length";

fn run(layout: &Layout) -> Vec<Finding> {
    let mut groups: BTreeMap<(Id, Id), Vec<Plugged>> = BTreeMap::new();
    for cord in layout.cords() {
        let start = layout
            .plan()
            .printers()
            .get(cord.from)
            .map_or(cord.from, |p| p.slot.rack);
        groups.entry((start, cord.to)).or_default().push(cord);
    }
    groups
        .into_iter()
        .filter_map(|((start, _), cords)| judged(layout, start, &cords))
        .collect()
}

/// The cords from one rack or UPS to one target: the worst of them, and of those as bad within the tolerance the first, so
/// that the finding keeps its marks wherever the room lies.
fn judged(layout: &Layout, start: Id, cords: &[Plugged]) -> Option<Finding> {
    let most = cords.iter().map(over).max_by(f64::total_cmp)?;
    let worst = cords.iter().find(|c| over(c) >= most - TOLERANCE_MM)?;
    let items = if start == worst.from {
        vec![start, worst.to]
    } else {
        vec![start, worst.from, worst.to]
    };
    let practice = layout.plan().practice();
    let at = layout.part(start).map(|p| p.spot)?;
    let (Some(cord), Some(way)) = (worst.cord, &worst.way) else {
        return Some(unknown_or_door(worst, items).at(at, 0.0));
    };
    let needs = Length::from_mm(way.length).shown(practice);
    let has = cord.shown(practice);
    let long_enough = way.length <= cord.mm() + TOLERANCE_MM;
    let finding = if long_enough {
        let text = format!(
            "The cord of {} reaches {}: {needs} of {has}.",
            worst.from, worst.to
        );
        Finding::new(CHECK.id, Severity::Caution, Standing::Met, items, text)
    } else if let Some(door) = worst.over_door.as_ref().and_then(|o| o.crosses) {
        let text = format!(
            "The cord of {} would have to cross door {door} to reach {}; the way round is {needs}, the cord {has}.",
            worst.from, worst.to
        );
        let finding = Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text);
        return Some(
            finding
                .figure(Some(way.length), Some(cord.mm()), "mm", THROUGH_DOOR)
                .at(at, 0.0),
        );
    } else {
        let text = format!(
            "The cord of {} does not reach {}: the way is {needs}, the cord {has}.",
            worst.from, worst.to
        );
        Finding::new(CHECK.id, Severity::Caution, Standing::Broken, items, text)
    };
    Some(
        finding
            .figure(Some(way.length), Some(cord.mm()), "mm", OWN_LENGTH)
            .at(at, 0.0),
    )
}

/// How much longer the way is than the cord, in millimetres; endless where either is unknown.
fn over(cord: &Plugged) -> f64 {
    match (&cord.way, cord.cord) {
        (Some(way), Some(length)) => way.length - length.mm(),
        _ => f64::INFINITY,
    }
}

/// A cord whose length nobody entered, or that has no way but over a doorway.
fn unknown_or_door(cord: &Plugged, items: Vec<Id>) -> Finding {
    if let Some(door) = cord.over_door.as_ref().and_then(|o| o.crosses) {
        let text = format!(
            "The cord of {} cannot reach {} without crossing door {door}.",
            cord.from, cord.to
        );
        let length = cord.over_door.as_ref().map(|o| o.length);
        return Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text).figure(
            length,
            cord.cord.map(Length::mm),
            "mm",
            THROUGH_DOOR,
        );
    }
    let text = format!("The length of the cord of {} is not entered.", cord.from);
    let length = cord.way.as_ref().map(|w| w.length);
    Finding::new(CHECK.id, Severity::Caution, Standing::Unknown, items, text)
        .figure(length, None, "mm", OWN_LENGTH)
}
