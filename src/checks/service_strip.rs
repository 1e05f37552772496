//! Service strip: a person must be able to stand and work before every access face.

use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Convex, reaches};
use crate::layout::{Heights, Layout, Part, Solid, Strip};
use crate::plan::Id;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "service-strip",
    title: "Free floor before the faces",
    worst: Severity::MustFix,
    what: "The floor before every access face is free as deep as the aisle.",
    why: "A printer that nobody can stand before cannot be tended, and the strip is the way past it.",
    how: "The true distance from the face to the nearest wall or body ahead of it, up to the headroom, at any angle.",
    blind: "Chairs, bins and boxes that come later; open printer doors and lids.",
    in_fill: true,
    limits: &["aisle", "headroom"],
    run,
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    let bodies: Vec<(&Part, &Solid)> = layout.solids().map(|(p, s)| (p.as_ref(), s)).collect();
    layout
        .parts()
        .flat_map(|part| part.strips().iter().map(move |strip| (part, strip)))
        .map(|(part, strip)| judged(layout, part, strip, &bodies))
        .collect()
}

fn judged(layout: &Layout, part: &Part, strip: &Strip, bodies: &[(&Part, &Solid)]) -> Finding {
    let limits = layout.limits();
    let practice = layout.plan().practice();
    let aisle = limits.aisle.value;
    let (depth, what) = free_depth(layout, part, strip, bodies);
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
fn free_depth(
    layout: &Layout,
    part: &Part,
    strip: &Strip,
    bodies: &[(&Part, &Solid)],
) -> (f64, Ahead) {
    let people = Heights {
        low: 0.0,
        high: layout.limits().headroom.value.mm(),
    };
    let to_bodies = bodies
        .iter()
        .filter(|(other, s)| other.id != part.id && s.heights.overlap(people))
        .filter_map(|(other, s)| {
            let depth = strip.corridor.free_before(&s.shape)?;
            Some((depth, Ahead::Body(other.id)))
        });
    let to_walls = layout.walls().filter_map(|wall| {
        let face = Convex::line(wall.start, wall.point(wall.length, 0.0));
        let depth = strip.corridor.free_before(&face)?;
        Some((depth, Ahead::Wall(wall.number)))
    });
    to_bodies
        .chain(to_walls)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap_or((0.0, Ahead::Nothing))
}
