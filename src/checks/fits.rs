//! Fits: every body stands inside the room and apart from the others, in plan and in height.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Convex, Point, TOLERANCE_MM};
use crate::layout::{Layout, Part, Solid};
use crate::plan::Limit;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "fits",
    title: "Bodies fit in the room",
    worst: Severity::MustFix,
    what: "Racks and other bodies stand inside the walls and apart from each other, in plan and in height, with the gap for plugs behind a rack's back.",
    why: "What does not fit on paper does not fit in the room, and racks are bought before that shows.",
    how: "The exact overlap of the outlines at any angle, where their heights overlap too; a rack's back needs the gap to walls and fixed things, none to another back.",
    blind: "Skirting, door frames, pipes and anything else that nobody drew.",
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

/// How far a body stands out of the room, wall by wall.
fn in_room(layout: &Layout, part: &Part, solid: &Solid) -> Vec<Finding> {
    let shape = outline(part, solid);
    let practice = layout.plan().practice();
    let mut findings: Vec<Finding> = layout
        .walls()
        .filter_map(|wall| {
            let face = Convex::line(wall.start, wall.point(wall.length, 0.0));
            shape.overlap_depth(&face)?;
            let (low, _) = shape.along(wall.inward);
            let into = wall.start.dot(wall.inward) - low;
            let (body_low, _) = solid.shape.along(wall.inward);
            let body_into = wall.start.dot(wall.inward) - body_low;
            let name = layout.plan().room().wall_name(wall.number);
            let finding = if body_into > TOLERANCE_MM {
                let depth = Length::from_mm(body_into).shown(practice);
                broken(
                    part,
                    None,
                    format!("{} stands {depth} inside the {name}.", part.id),
                )
                .figure(Some(body_into), Some(0.0), "mm", "the measured walls")
            } else {
                gap_finding(layout, part, None, into, &format!("the {name}"))
            };
            Some(
                finding
                    .facet(format!("wall {}", wall.number))
                    .at(nearest(&solid.shape, wall.inward), 0.0)
                    .marking(&solid.shape),
            )
        })
        .collect();
    let inside = layout.room().contains(solid.oblong.centre());
    if findings.is_empty() && !inside {
        let text = format!("{} stands outside the room.", part.id);
        findings.push(
            broken(part, None, text)
                .facet("outside")
                .figure(None, None, "mm", "the measured walls")
                .at(solid.oblong.centre(), 0.0)
                .marking(&solid.shape),
        );
    }
    findings
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
    let into = outline(part, solid).overlap_depth(&other_solid.shape)?;
    let what = format!("{} {}", other.kind.word(), other.id);
    Some(
        gap_finding(layout, part, Some(other), into, &what)
            .at(solid.oblong.centre(), height)
            .marking(&solid.shape),
    )
}

/// The gap behind a rack is too small: `into` is how far a wall or fixed thing stands inside it.
fn gap_finding(
    layout: &Layout,
    part: &Part,
    other: Option<&Part>,
    into_mm: f64,
    what: &str,
) -> Finding {
    let practice = layout.plan().practice();
    let gap: &Limit<Length> = &layout.limits().back_gap;
    let left = gap.value.mm() - into_mm;
    let text = format!(
        "The back of {} stands {} from {what}; plugs and skirting need {}.",
        part.id,
        Length::from_mm(left.max(0.0)).shown(practice),
        gap.value.shown(practice)
    );
    broken(part, other, text).length(left, gap)
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
