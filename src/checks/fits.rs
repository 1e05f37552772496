//! Fits: every body stands inside the room and apart from the others, in plan and in height.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Convex, Point, TOLERANCE_MM, reaches};
use crate::layout::{Layout, Part, Solid, Wall};
use crate::plan::Limit;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "fits",
    title: "Bodies fit in the room",
    worst: Severity::MustFix,
    what: "Racks and other bodies stand inside the walls and apart from each other, in plan and in height, with the gap for plugs behind a rack's back.",
    why: "What does not fit on paper does not fit in the room, and racks are bought before that shows.",
    how: "The exact overlap of the outlines at any angle, where their heights overlap too: the shortest slide that would part them, or how deep a body stands behind the face of a wall that it crosses. Square behind a rack's back, over its width, walls and fixed things must leave the gap; another back need not. The margin of what fits is the true distance to the nearest wall, or to a body within 1 m.",
    blind: "Skirting, door frames, pipes and anything else that nobody drew.",
    caution: "",
    in_fill: true,
    limits: &["back-gap"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// What is found about a thing rests on the bodies within [`NEAR_MM`] of its outline: what is further overlaps nothing of it and
/// is passed over where the margin is measured.
const EACH: Each = Each {
    is: |part| !part.fixed && part.solid.is_some(),
    judge: about,
    touched: |_, part, other| {
        let solids = part.solid.as_ref().zip(other.solid.as_ref());
        solids.is_some_and(|(solid, other)| {
            outline(part, solid).bounds().gap(other.shape.bounds()) <= NEAR_MM
        })
    },
    by_power: false,
};

/// Margins are measured to bodies nearer than that, in millimetres.
const NEAR_MM: f64 = 1000.0;

fn about(layout: &Layout, part: &Part) -> Vec<Finding> {
    let Some(solid) = &part.solid else {
        return Vec::new();
    };
    let bodies: Vec<(&Part, &Solid)> = layout
        .solids_near(outline(part, solid).bounds(), NEAR_MM)
        .map(|(p, s)| (p.as_ref(), s))
        .collect();
    let mut findings = in_room(layout, part, solid);
    findings.extend(under_ceiling(layout, part, solid));
    for (other, other_solid) in &bodies {
        // Each pair of placed things once; a placed thing against a fixed one from its own side.
        if other.id != part.id && (other.fixed || part.id < other.id) {
            findings.extend(apart(layout, (part, solid), (other, other_solid)));
        }
    }
    if findings.is_empty() {
        findings.push(met(layout, part, solid, &bodies));
    }
    findings
}

/// The outline that must stay clear of walls and fixed things: with the gap behind for a rack.
fn outline<'a>(part: &'a Part, solid: &'a Solid) -> &'a Convex {
    part.rack.as_ref().map_or(&solid.shape, |r| &r.with_gap)
}

/// How far a body stands out of the room, wall by wall; where it stands in the room, or in part, what takes of the gap behind it.
fn in_room(layout: &Layout, part: &Part, solid: &Solid) -> Vec<Finding> {
    let faces: Vec<(Wall, Convex)> = layout
        .walls()
        .map(|wall| (wall, Convex::line(wall.start, wall.point(wall.length, 0.0))))
        .collect();
    let crossed = |face: &Convex| solid.shape.overlaps(face);
    let inside = layout.room().contains(solid.oblong.centre());
    if !inside && !faces.iter().any(|(_, face)| crossed(face)) {
        let text = format!("{} stands outside the room.", part.id);
        let outside = broken(part, None, text)
            .facet("outside")
            .figure(None, None, "mm", "the measured walls")
            .at(solid.oblong.centre(), 0.0)
            .marking(&solid.shape);
        return vec![outside];
    }
    let at_wall = |(wall, face): &(Wall, Convex)| {
        let finding = if crossed(face) {
            crossing(layout, part, solid, wall)
        } else {
            let left = too_near_behind(layout, part, face)?;
            let name = layout.plan().room().wall_name(wall.number);
            gap_finding(layout, part, None, left, &format!("the {name}"))
        };
        Some(
            finding
                .facet(format!("wall {}", wall.number))
                .at(nearest(&solid.shape, wall.inward), 0.0)
                .marking(&solid.shape),
        )
    };
    faces.iter().filter_map(at_wall).collect()
}

fn crossing(layout: &Layout, part: &Part, solid: &Solid, wall: &Wall) -> Finding {
    let into = depth_behind(layout, wall, &solid.shape);
    let text = format!(
        "{} stands {} inside the {}.",
        part.id,
        Length::from_mm(into).shown(layout.plan().practice()),
        layout.plan().room().wall_name(wall.number)
    );
    broken(part, None, text).figure(Some(into), Some(0.0), "mm", "the measured walls")
}

/// How deep a shape that crosses the face of a wall stands behind it: as far as the room does not turn back round the wall's end,
/// beyond which there is floor again.
fn depth_behind(layout: &Layout, wall: &Wall, shape: &Convex) -> f64 {
    let room = layout.room();
    let corners = room.points().len();
    let beside = |step: usize| Wall::of(room, (wall.number + step) % corners);
    let before = beside(corners - 1).is_some_and(|w| w.along.perp_dot(wall.along) < 0.0);
    let after = beside(1).is_some_and(|w| wall.along.perp_dot(w.along) < 0.0);
    let mut behind = shape.clone();
    let ends = [
        (before, wall.start, wall.along),
        (after, wall.point(wall.length, 0.0), -wall.along),
    ];
    for (_, end, inner) in ends.into_iter().filter(|(turns_back, _, _)| *turns_back) {
        behind = behind.cut(end, inner).unwrap_or(behind);
    }
    wall.start.dot(wall.inward) - behind.along(wall.inward).0
}

/// How far behind the back of a rack a wall's face or a fixed thing begins, where that is less than the gap for plugs.
fn too_near_behind(layout: &Layout, part: &Part, shape: &Convex) -> Option<f64> {
    let left = part.rack.as_ref()?.behind().free_before(shape)?;
    (!reaches(left, layout.limits().back_gap.value.mm())).then_some(left)
}

/// The corner of a shape that lies deepest against a direction.
fn nearest(shape: &Convex, direction: Point) -> Point {
    shape
        .points()
        .iter()
        .copied()
        .min_by(|a, b| a.dot(direction).total_cmp(&b.dot(direction)))
        .unwrap_or_else(|| shape.middle())
}

fn under_ceiling(layout: &Layout, part: &Part, solid: &Solid) -> Option<Finding> {
    let ceiling = layout.plan().room().ceiling;
    let over = solid.heights.high - ceiling.mm();
    (over > TOLERANCE_MM).then(|| {
        let practice = layout.plan().practice();
        let text = format!(
            "{} is {} higher than the ceiling.",
            part.id,
            Length::from_mm(over).shown(practice)
        );
        broken(part, None, text)
            .facet("ceiling")
            .figure(
                Some(solid.heights.high),
                Some(ceiling.mm()),
                "mm",
                "the measured ceiling",
            )
            .at(solid.oblong.centre(), ceiling.mm())
            .marking(&solid.shape)
    })
}

/// Two bodies: their overlap, or the gap behind a rack that the other, fixed one takes.
fn apart(
    layout: &Layout,
    (part, solid): (&Part, &Solid),
    (other, other_solid): (&Part, &Solid),
) -> Option<Finding> {
    if !solid.heights.overlap(other_solid.heights) {
        return None;
    }
    let practice = layout.plan().practice();
    let height = solid.heights.low.max(other_solid.heights.low);
    if let Some(depth) = solid.shape.overlap_depth(&other_solid.shape) {
        let text = format!(
            "{} and {} stand {} inside each other.",
            part.id,
            other.id,
            Length::from_mm(depth).shown(practice)
        );
        return Some(
            broken(part, Some(other), text)
                .figure(Some(depth), Some(0.0), "mm", "two bodies need two places")
                .at(
                    solid.oblong.centre().midpoint(other_solid.oblong.centre()),
                    height,
                )
                .marking(&solid.shape),
        );
    }
    if !other.fixed {
        return None;
    }
    let left = too_near_behind(layout, part, &other_solid.shape)?;
    let what = format!("{} {}", other.kind.word(), other.id);
    Some(
        gap_finding(layout, part, Some(other), left, &what)
            .at(solid.oblong.centre(), height)
            .marking(&solid.shape),
    )
}

/// The gap behind a rack is too small.
fn gap_finding(
    layout: &Layout,
    part: &Part,
    other: Option<&Part>,
    left_mm: f64,
    what: &str,
) -> Finding {
    let practice = layout.plan().practice();
    let gap: &Limit<Length> = &layout.limits().back_gap;
    let text = format!(
        "The back of {} stands {} from {what}; plugs and skirting need {}.",
        part.id,
        Length::from_mm(left_mm).shown(practice),
        gap.value.shown(practice)
    );
    broken(part, other, text).length(left_mm, gap)
}

fn broken(part: &Part, other: Option<&Part>, text: String) -> Finding {
    let items = std::iter::once(part.id)
        .chain(other.map(|o| o.id))
        .collect();
    Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text)
}

/// The nearest thing to a body that fits: the margin that is left.
fn met(layout: &Layout, part: &Part, solid: &Solid, bodies: &[(&Part, &Solid)]) -> Finding {
    let near = solid.shape.bounds();
    let to_bodies = bodies
        .iter()
        .filter(|(other, s)| other.id != part.id && solid.heights.overlap(s.heights))
        .map(|(_, s)| &s.shape)
        .filter(|shape| near.gap(shape.bounds()) < NEAR_MM)
        .map(|shape| solid.shape.distance(shape));
    let to_walls = layout.walls().map(|w| {
        solid
            .shape
            .distance(&Convex::line(w.start, w.point(w.length, 0.0)))
    });
    let margin = to_bodies.chain(to_walls).fold(f64::INFINITY, f64::min);
    let practice = layout.plan().practice();
    let text = format!(
        "{} fits; the nearest wall or body is {} away.",
        part.id,
        Length::from_mm(margin).shown(practice)
    );
    Finding::new(
        CHECK.id,
        Severity::MustFix,
        Standing::Met,
        vec![part.id],
        text,
    )
    .figure(
        Some(margin),
        Some(0.0),
        "mm",
        "the measured walls and bodies",
    )
    .at(solid.oblong.centre(), 0.0)
}
