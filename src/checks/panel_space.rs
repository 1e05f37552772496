//! Panel space: whoever works at the electrical panel needs room to stand back.

use super::again::Run;
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Convex, Corridor, Point, TOLERANCE_MM, reaches};
use crate::layout::{Layout, Part, Solid, WorkSpace};
use crate::plan::Id;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "panel-space",
    title: "Working space at the panel",
    worst: Severity::MustFix,
    what: "The floor before an electrical panel is free in depth, width and height.",
    why: "An electrician who cannot step back from live parts gets hurt; the space may never be used for storage.",
    how: "The free depth before the case over its own width, and the width that is free to the full depth round it; the width may lie to either side as long as it takes in the case, and is measured up to what stands on either side, or as far as the working space may reach.",
    blind: "Voltages above 150 V to ground, doors of the case, and rooms of their own for panels; the local code and a licensed electrician decide.",
    caution: "A licensed electrician and the local code decide about the space before a panel.",
    in_fill: true,
    limits: &["panel-depth", "panel-width", "panel-height"],
    run: Run::Whole(run),
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    layout
        .parts()
        .filter_map(|part| part.space.as_ref().map(|space| (part.as_ref(), space)))
        .map(|(part, space)| judged(layout, part, space))
        .collect()
}

/// What stands within the working depth: from where to where along the wall, and how far out from the case it begins over the
/// case's own width, where it stands before that.
struct Near {
    id: Option<Id>,
    along: (f64, f64),
    before_case: Option<f64>,
}

fn judged(layout: &Layout, part: &Part, space: &WorkSpace) -> Finding {
    let near = what_is_near(layout, part, space);
    let before_case = near
        .iter()
        .filter_map(|n| Some((n, n.before_case?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((first, depth)) = before_case.filter(|(_, depth)| !reaches(*depth, space.depth)) {
        return depth_finding(layout, part, space, first, depth);
    }
    width_finding(layout, part, space, &near)
}

/// Everything that stands less than the needed depth before the wall the panel is on, cut to that depth.
fn what_is_near(layout: &Layout, part: &Part, space: &WorkSpace) -> Vec<Near> {
    let wall = space.wall;
    let line = wall.point(0.0, space.front);
    let end = line + wall.inward * space.depth;
    let ahead = Corridor {
        origin: wall.point((space.case.0 + space.case.1) * 0.5, space.front),
        forward: wall.inward,
        half_width: (space.case.1 - space.case.0) * 0.5,
    };
    let extent = |shape: &Convex, id: Option<Id>| {
        let cut = shape.cut(line, wall.inward)?.cut(end, -wall.inward)?;
        let start = wall.start.dot(wall.along);
        let (a, b) = cut.along(wall.along);
        let (out, far) = cut.along(wall.inward);
        let base = line.dot(wall.inward);
        let within = far - base > TOLERANCE_MM && space.depth - (out - base) > TOLERANCE_MM;
        within.then(|| Near {
            id,
            along: (a - start, b - start),
            before_case: ahead.free_before(&cut),
        })
    };
    let bodies = layout
        .solids()
        .filter(|(other, s): &(_, &Solid)| other.id != part.id && s.heights.overlap(space.heights))
        .filter_map(|(other, s)| extent(&s.shape, Some(other.id)));
    let walls = layout
        .walls()
        .filter(|w| w.number != wall.number)
        .filter_map(|w| extent(&Convex::line(w.start, w.point(w.length, 0.0)), None));
    bodies.chain(walls).collect()
}

fn depth_finding(
    layout: &Layout,
    part: &Part,
    space: &WorkSpace,
    first: &Near,
    depth_mm: f64,
) -> Finding {
    let limits = layout.limits();
    let practice = layout.plan().practice();
    let name = first.id.map_or("the wall".to_owned(), |id| id.to_string());
    let text = format!(
        "{name} stands {} before panel {}; the working space is {} deep.",
        Length::from_mm(depth_mm).shown(practice),
        part.id,
        limits.panel_depth.value.shown(practice)
    );
    finding(
        part,
        space,
        first.id.into_iter().collect(),
        Standing::Broken,
        text,
    )
    .length(depth_mm, &limits.panel_depth)
}

/// What stands nearest to the case on either side of it, where nothing stands before it.
fn beside<'a>(space: &WorkSpace, near: &'a [Near]) -> (Option<&'a Near>, Option<&'a Near>) {
    let middle = space.case.0 + space.case.1;
    let (left, right): (Vec<&Near>, Vec<&Near>) =
        near.iter().partition(|n| n.along.0 + n.along.1 < middle);
    (
        left.into_iter()
            .max_by(|a, b| a.along.1.total_cmp(&b.along.1)),
        right
            .into_iter()
            .min_by(|a, b| a.along.0.total_cmp(&b.along.0)),
    )
}

/// From where to where along the wall the floor round the case is free to the full depth: up to what stands on either side, and
/// where nothing does, as far as the working space may reach.
fn free_width(space: &WorkSpace, near: &[Near]) -> (f64, f64) {
    let (left, right) = beside(space, near);
    (
        left.map_or(space.case.1 - space.width, |n| n.along.1),
        right.map_or(space.case.0 + space.width, |n| n.along.0),
    )
}

/// The stretch of the wall, in millimetres from its first corner, over which the working space of a panel may still lie
/// as the room stands now.
pub(crate) fn free_stretch(layout: &Layout, part: &Part, space: &WorkSpace) -> (f64, f64) {
    free_width(space, &what_is_near(layout, part, space))
}

/// The width that is free round the case to the full depth.
fn width_finding(layout: &Layout, part: &Part, space: &WorkSpace, near: &[Near]) -> Finding {
    let limits = layout.limits();
    let practice = layout.plan().practice();
    let (left, right) = beside(space, near);
    let (from, to) = free_width(space, near);
    let free = (to - from).max(0.0);
    let met = reaches(free, space.width);
    if met {
        let text = format!(
            "The working space before panel {} is free, {} deep and {} wide.",
            part.id,
            Length::from_mm(space.depth).shown(practice),
            Length::from_mm(space.width).shown(practice)
        );
        return finding(part, space, Vec::new(), Standing::Met, text)
            .length(free, &limits.panel_width);
    }
    let blockers: Vec<Id> = [left, right]
        .into_iter()
        .flatten()
        .filter_map(|n| n.id)
        .collect();
    let text = format!(
        "Before panel {} only {} of width is free; the working space is {} wide.",
        part.id,
        Length::from_mm(free).shown(practice),
        Length::from_mm(space.width).shown(practice)
    );
    let mut finding =
        finding(part, space, blockers, Standing::Broken, text).length(free, &limits.panel_width);
    finding.limit = Some(space.width);
    finding
}

fn finding(
    part: &Part,
    space: &WorkSpace,
    others: Vec<Id>,
    standing: Standing,
    text: String,
) -> Finding {
    let items = others.into_iter().chain([part.id]).collect();
    let middle = (space.case.0 + space.case.1) * 0.5;
    let finding = Finding::new(CHECK.id, Severity::MustFix, standing, items, text).at(
        space.wall.point(middle, space.front + space.depth * 0.5),
        0.0,
    );
    match space_shape(space) {
        Some(shape) => finding.marking(&shape),
        None => finding,
    }
}

/// The working space with the case in its middle.
fn space_shape(space: &WorkSpace) -> Option<Convex> {
    let middle = (space.case.0 + space.case.1) * 0.5;
    let (a, b) = (middle - space.width * 0.5, middle + space.width * 0.5);
    let corner = |along: f64, out: f64| -> Point { space.wall.point(along, space.front + out) };
    Convex::new(vec![
        corner(a, 0.0),
        corner(b, 0.0),
        corner(b, space.depth),
        corner(a, space.depth),
    ])
}
