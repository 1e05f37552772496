//! Cords: each reaches what it is plugged into, and none crosses a doorway.

use std::collections::BTreeMap;

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::TOLERANCE_MM;
use crate::layout::{Layout, Part, Plugged};
use crate::plan::{Id, ItemKind};
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "cords",
    title: "Cords reach and stay out of doorways",
    worst: Severity::MustFix,
    what: "The length of every cord against its way along the backs of racks and the walls; a cord that could only reach over a doorway, or that lies on the floor before a rack or bench, must be mended.",
    why: "A cord that does not reach becomes an extension lead on the floor; one across a doorway trips people and wears through.",
    how: "Straight along the backs of racks that stand close together, else to the nearest wall and round the walls the shorter way that crosses no door, heights added. A cord to an outlet over people's heads lies on no floor.",
    blind: "Hooks, trays and slack; power strips, which are not for permanent use. Outlets over an island, from the ceiling or the floor, are for a licensed electrician.",
    caution: "A licensed electrician and the local code decide about cords and outlets.",
    in_fill: false,
    limits: &[],
    run: Run::Each(EACH),
    concerns: anything,
};

const THROUGH_DOOR: &str = "OSHA 1910.305(g)(1): flexible cord not through doorways";
const OVER_WAY: &str = "walkways stay free of cords: OSHA 1910.22(a) (from memory)";
const OWN_LENGTH: &str = "the cord's own length";

/// The cords of a rack or a UPS are judged by what they are plugged into and by the doors on their way; who is plugged into what
/// is the same wherever things stand.
const EACH: Each = Each {
    is: |part| matches!(part.kind, ItemKind::Rack | ItemKind::Ups),
    judge: about,
    touched: |layout, part, other| {
        other.kind == ItemKind::Door
            || layout.cords_may_pass(part, other)
            || (other.kind != ItemKind::Rack && layout.plugs_into(part, other.id))
    },
    by_power: true,
};

fn about(layout: &Layout, part: &Part) -> Vec<Finding> {
    let mut groups: BTreeMap<Id, Vec<Plugged>> = BTreeMap::new();
    for cord in layout.cords_from(part) {
        groups.entry(cord.to).or_default().push(cord);
    }
    groups
        .into_values()
        .flat_map(|cords| judged(layout, part.id, &cords))
        .collect()
}

/// The cords from one rack or UPS to one target: the worst of those that can be judged, and the first that cannot.
fn judged(layout: &Layout, start: Id, cords: &[Plugged]) -> Vec<Finding> {
    let all: Vec<(f64, Finding)> = cords
        .iter()
        .filter_map(|cord| Some((over(cord), one(layout, start, cord)?)))
        .collect();
    let unknown = |f: &Finding| f.standing == Standing::Unknown;
    let any_stops = all.iter().any(|(_, f)| f.stops());
    let judged = || {
        all.iter()
            .filter(move |(_, f)| !unknown(f) && f.stops() == any_stops)
    };
    // Of those as bad within the tolerance the first, so that the finding keeps its marks wherever the room lies.
    let most = judged().map(|(over, _)| *over).max_by(f64::total_cmp);
    let worst = most.and_then(|most| judged().find(|(over, _)| *over >= most - TOLERANCE_MM));
    let first_unknown = all.iter().find(|(_, f)| unknown(f));
    worst
        .into_iter()
        .chain(first_unknown)
        .map(|(_, finding)| finding.clone())
        .collect()
}

/// One cord against its way.
fn one(layout: &Layout, start: Id, cord: &Plugged) -> Option<Finding> {
    let practice = layout.plan().practice();
    let at = layout.part(start).map(|p| p.spot)?;
    let shown = |mm: f64| Length::from_mm(mm).shown(practice);
    let (from, to) = (cord.from, cord.to);
    let door = cord.over_door.as_ref().and_then(|o| o.crosses);
    let way = cord.way.as_ref().map(|w| w.length);
    let has = cord.cord.map(Length::mm);
    let before = cord.way.as_ref().and_then(|w| w.before);
    let judged = match (way, has, door) {
        (None, _, Some(door)) => (
            Severity::MustFix,
            Standing::Broken,
            THROUGH_DOOR,
            format!("The cord of {from} cannot reach {to} without crossing door {door}."),
        ),
        (None, _, None) => (
            Severity::Caution,
            Standing::Unknown,
            OWN_LENGTH,
            format!("{to}, which {from} is plugged into, is not there in this phase."),
        ),
        (Some(_), None, _) => (
            Severity::Caution,
            Standing::Unknown,
            OWN_LENGTH,
            format!("The length of the cord of {from} is not entered."),
        ),
        (Some(way), Some(has), _) if way <= has + TOLERANCE_MM => (
            Severity::Caution,
            Standing::Met,
            OWN_LENGTH,
            format!(
                "The cord of {from} reaches {to}: {} of {}.",
                shown(way),
                shown(has)
            ),
        ),
        (Some(way), Some(has), Some(door)) => (
            Severity::MustFix,
            Standing::Broken,
            THROUGH_DOOR,
            format!(
                "The cord of {from} would have to cross door {door} to reach {to}; the way round is {}, the cord {}.",
                shown(way),
                shown(has)
            ),
        ),
        (Some(way), Some(has), None) => (
            Severity::Caution,
            Standing::Broken,
            OWN_LENGTH,
            format!(
                "The cord of {from} does not reach {to}: the way is {}, the cord {}.",
                shown(way),
                shown(has)
            ),
        ),
    };
    let on_floor = |before: Id| {
        let text = format!(
            "The cord of {from} to {to} lies on the floor before {before}, where people work and walk."
        );
        (Severity::MustFix, Standing::Broken, OVER_WAY, text)
    };
    let (severity, standing, source, text) = before.map_or(judged, on_floor);
    let items = if start == from {
        vec![start, to]
    } else {
        vec![start, from, to]
    };
    let length = way.or(cord.over_door.as_ref().map(|o| o.length));
    Some(
        Finding::new(CHECK.id, severity, standing, items, text)
            .figure(length, has, "mm", source)
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
