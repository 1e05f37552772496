//! Door swing: the leaf must open fully, and the way out must be wide enough.

use super::again::Run;
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Convex, reaches};
use crate::layout::{Doorway, Heights, Layout, Part};
use crate::plan::Item;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "door-swing",
    title: "Doors open and let people out",
    worst: Severity::MustFix,
    what: "No body and no wall stands in the floor that a door's leaf sweeps, and a door on the way out is clear for its width.",
    why: "A door that cannot open is a way out that is closed.",
    how: "The exact overlap of the swept quarter disc with every body below the door's head and with every wall: the shortest slide that would part them; the measured clear width against the limit.",
    blind: "Latches, closers, the manoeuvring space beside the leaf and what stands outside the room; ask what the local code wants.",
    caution: "The local code says which doors count as a way out and how they have to open.",
    in_fill: true,
    limits: &["door-clear"],
    run: Run::Whole(run),
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    layout
        .parts()
        .filter_map(|part| part.doorway.as_ref().map(|door| (part.as_ref(), door)))
        .flat_map(|(part, door)| {
            let mut findings = swing(layout, part, door);
            findings.extend(clear_width(layout, part));
            findings
        })
        .collect()
}

fn swing(layout: &Layout, part: &Part, door: &Doorway) -> Vec<Finding> {
    let Some(sweep) = &door.sweep else {
        return Vec::new();
    };
    let heights = Heights {
        low: 0.0,
        high: door.height,
    };
    let practice = layout.plan().practice();
    let mut findings: Vec<Finding> = layout
        .solids()
        .filter(|(_, solid)| solid.heights.overlap(heights))
        .filter_map(|(other, solid)| {
            let depth = solid.shape.overlap_depth(sweep)?;
            let text = format!(
                "Door {} swings into {}, {} deep.",
                part.id,
                other.id,
                Length::from_mm(depth).shown(practice)
            );
            let finding = Finding::new(
                CHECK.id,
                Severity::MustFix,
                Standing::Broken,
                vec![other.id, part.id],
                text,
            )
            .figure(Some(depth), Some(0.0), "mm", "the door's own swing")
            .at(sweep.middle(), 0.0)
            .marking(sweep);
            Some(finding)
        })
        .chain(into_walls(layout, part, sweep))
        .collect();
    if findings.is_empty() {
        let text = format!("Door {} opens fully.", part.id);
        findings.push(
            Finding::new(
                CHECK.id,
                Severity::MustFix,
                Standing::Met,
                vec![part.id],
                text,
            )
            .figure(Some(0.0), Some(0.0), "mm", "the door's own swing")
            .at(sweep.middle(), 0.0),
        );
    }
    findings
}

/// The walls that the leaf strikes: one that stands at less than a right angle beside the hinge, or reaches into the room there.
fn into_walls(layout: &Layout, part: &Part, sweep: &Convex) -> Vec<Finding> {
    let room = layout.plan().room();
    let struck = layout.walls().filter_map(|wall| {
        let face = Convex::line(wall.start, wall.point(wall.length, 0.0));
        let depth = sweep.overlap_depth(&face)?;
        let text = format!(
            "Door {} swings into the {}, {} deep.",
            part.id,
            room.wall_name(wall.number),
            Length::from_mm(depth).shown(layout.plan().practice())
        );
        let items = vec![part.id];
        let finding = Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text)
            .facet(format!("wall {}", wall.number))
            .figure(Some(depth), Some(0.0), "mm", "the door's own swing");
        Some(finding.at(sweep.middle(), 0.0).marking(sweep))
    });
    struck.collect()
}

fn clear_width(layout: &Layout, part: &Part) -> Option<Finding> {
    let Some(Item::Door(door)) = layout.plan().items().get(part.id) else {
        return None;
    };
    if !door.way_out {
        return None;
    }
    let limit = &layout.limits().door_clear;
    let practice = layout.plan().practice();
    let needs = limit.value.shown(practice);
    let (standing, text) = match door.clear {
        None => (
            Standing::Unknown,
            format!(
                "The clear width of door {}, on the way out, is not measured; {needs} is needed.",
                part.id
            ),
        ),
        Some(clear) if reaches(clear.mm(), limit.value.mm()) => (
            Standing::Met,
            format!(
                "Door {} is {} clear on the way out.",
                part.id,
                clear.shown(practice)
            ),
        ),
        Some(clear) => (
            Standing::Broken,
            format!(
                "Door {} is only {} clear on the way out; {needs} is needed.",
                part.id,
                clear.shown(practice)
            ),
        ),
    };
    let finding = Finding::new(CHECK.id, Severity::MustFix, standing, vec![part.id], text);
    let finding = finding.facet("clear width").figure(
        door.clear.map(Length::mm),
        Some(limit.value.mm()),
        "mm",
        &limit.source_words(),
    );
    Some(finding.at(part.spot, 0.0))
}
