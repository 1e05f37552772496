//! Service strip: a person must be able to stand and work before every access face.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use std::sync::Arc;

use crate::geometry::{Bounds, Convex, TOLERANCE_MM, reaches};
use crate::layout::{Heights, Layout, Part, Solid, Strip};
use crate::plan::Id;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "service-strip",
    title: "Free floor before the faces",
    worst: Severity::MustFix,
    what: "The floor before every access face is free as deep as the aisle.",
    why: "A printer that nobody can stand before cannot be tended, and the strip is the way past it.",
    how: "The true distance from the face to the nearest wall or body ahead of it, up to the headroom, square to the face and over its whole width, at any angle. A face that stands in a wall itself is told by fits.",
    blind: "Chairs, bins and boxes that come later; open printer doors and lids.",
    caution: "The local code says how wide aisles have to be.",
    in_fill: true,
    limits: &["aisle", "headroom"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// What is found before a face rests on the bodies ahead of it, however far.
const EACH: Each = Each {
    is: |part| !part.strips().is_empty(),
    judge: |layout, part| {
        let strips = part.strips().iter();
        strips.map(|strip| judged(layout, part, strip)).collect()
    },
    touched: |_, part, other| {
        let ahead = |shape| {
            part.strips()
                .iter()
                .any(|s| s.corridor.free_before(shape).is_some())
        };
        other.solid.as_ref().is_some_and(|s| ahead(&s.shape))
    },
    by_power: false,
};

fn judged(layout: &Layout, part: &Part, strip: &Strip) -> Finding {
    let limits = layout.limits();
    let practice = layout.plan().practice();
    let aisle = limits.aisle.value;
    let (depth, what) = free_depth(layout, part, strip);
    let met = reaches(depth, aisle.mm());
    let standing = if met { Standing::Met } else { Standing::Broken };
    let shown = Length::from_mm(depth).shown(practice);
    let (other, name) = match what {
        Ahead::Body(id) => (Some(id), id.to_string()),
        Ahead::Wall(k) => (None, format!("the {}", layout.plan().room().wall_name(k))),
        Ahead::Nothing => (None, String::new()),
    };
    let text = if met {
        format!(
            "The floor before {} is free for at least {}.",
            part.id,
            aisle.shown(practice)
        )
    } else {
        format!(
            "The floor before {} is free for only {shown}, up to {name}; the aisle needs {}.",
            part.id,
            aisle.shown(practice)
        )
    };
    let items = std::iter::once(part.id)
        .chain(other.filter(|_| !met))
        .collect();
    let ahead = strip.corridor.origin + strip.corridor.forward * depth.min(aisle.mm());
    Finding::new(CHECK.id, Severity::MustFix, standing, items, text)
        .facet(format!("{:?}", strip.face).to_lowercase())
        .length(depth, &limits.aisle)
        .at(ahead, 0.0)
        .marking(&strip.shape)
}

/// What stands ahead of a face.
enum Ahead {
    Body(Id),
    Wall(usize),
    Nothing,
}

/// How deep the floor ahead of the face is free, and what ends it.
fn free_depth(layout: &Layout, part: &Part, strip: &Strip) -> (f64, Ahead) {
    let people = Heights {
        low: 0.0,
        high: layout.limits().headroom.value.mm(),
    };
    let to_walls = layout.walls().filter_map(|wall| {
        let face = Convex::line(wall.start, wall.point(wall.length, 0.0));
        let depth = strip.corridor.free_before(&face)?;
        Some((depth, Ahead::Wall(wall.number)))
    });
    let nearest = |a: &(f64, Ahead), b: &(f64, Ahead)| a.0.total_cmp(&b.0);
    let wall = to_walls.min_by(nearest);
    let to_body = |(other, s): (&Arc<Part>, &Solid)| {
        let ahead = other.id != part.id && s.heights.overlap(people);
        let depth = strip.corridor.free_before(&s.shape).filter(|_| ahead)?;
        Some((depth, Ahead::Body(other.id)))
    };
    // Beyond the first wall no body can be the nearest.
    let body = match &wall {
        Some((depth, _)) => {
            let as_far = strip.corridor.strip(*depth).corners();
            let as_far = Bounds::of(&as_far);
            let near = as_far
                .iter()
                .flat_map(|b| layout.solids_near(b, TOLERANCE_MM));
            near.filter_map(to_body).min_by(nearest)
        }
        None => layout.solids().filter_map(to_body).min_by(nearest),
    };
    body.into_iter()
        .chain(wall)
        .min_by(nearest)
        .unwrap_or((0.0, Ahead::Nothing))
}
