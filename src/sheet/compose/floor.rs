//! The floor: walls with their openings, the fixed things, racks, supplies, zones and air, each with its mark.

use super::Subject;
use super::canvas::{Canvas, dots, hatch};
use super::fixtures;
use super::view::{View, dimension_mm};
use super::written;
use crate::geometry::{Convex, Oblong, Point};
use crate::layout::{Doorway, Heights, Jet, Opening, Part, Solid, Strip, Wall, WorkSpace};
use crate::plan::{FittingUse, Id, Item, ItemKind, Status, UpsPlace, ZoneUse};
use crate::sheet::{
    Anchor, Dash, Fill, Ink, LEAST_LETTERING_MM, Mark, Pen, Text, Weight, width_mm,
};

pub(super) const WALL: Pen = Pen::black(0.5);
pub(super) const HATCH: Pen = Pen::black(0.13);
pub(super) const THIN: Pen = Pen::black(0.18);
pub(super) const FACE: Pen = Pen::black(0.7);
pub(super) const STRIP: Pen = Pen::grey(0.13).dashed(Dash::DashDot);
pub(super) const DOTS: Pen = Pen::grey(0.25);
pub(super) const KEEP_OUT: Pen = Pen::black(0.35).dashed(Dash::DashDotDot);
pub(super) const THROW: Pen = Pen::black(0.18).dashed(Dash::Dashed);
pub(super) const SPACE: Pen = Pen::black(0.25).dashed(Dash::Dashed);
/// Speed at which the throw is drawn, in m/s: where the throw of an outlet ends by the usual definition (ASHRAE Handbook,
/// Fundamentals, room air distribution; from memory).
pub(super) const THROW_M_S: f64 = 0.25;
/// Bodies in the order of drawing: a cooling unit hangs above what stands under it.
const FROM_BELOW: [ItemKind; 5] = [
    ItemKind::Rack,
    ItemKind::Ups,
    ItemKind::Column,
    ItemKind::Panel,
    ItemKind::Cooling,
];
const DOT_SPACING_MM: f64 = 2.4;
const MARK_LETTERING_MM: f64 = 3.5;

/// Draws the floor, what lies lowest first; gives the marks of what found no place for its mark.
pub(super) fn draw(subject: &Subject<'_>, view: &View, canvas: &mut Canvas) -> usize {
    let layout = subject.layout;
    canvas.group("zones", |c| {
        layout
            .of_kind(ItemKind::Zone)
            .for_each(|part| zone(view, part, c));
    });
    canvas.group("service-strips", |c| {
        layout
            .parts()
            .flat_map(|p| p.strips())
            .for_each(|s| strip(view, s, c));
    });
    canvas.group("walls", |c| walls(subject, view, c));
    canvas.group("windows", |c| {
        layout
            .parts()
            .filter_map(|p| p.opening.as_ref())
            .for_each(|o| window(subject, view, o, c));
    });
    canvas.group("panel-space", |c| {
        layout
            .parts()
            .filter_map(|p| p.space.as_ref())
            .for_each(|s| work_space(view, s, c));
    });
    canvas.group("bodies", |c| {
        for kind in FROM_BELOW {
            for part in layout.of_kind(kind) {
                body(subject, view, part, c);
            }
        }
    });
    // Over the bodies, so that a leaf that strikes something shows.
    canvas.group("doors", |c| {
        layout
            .parts()
            .filter_map(|p| p.doorway.as_ref())
            .for_each(|d| doorway(view, d, c));
    });
    canvas.group("air", |c| {
        layout
            .parts()
            .filter_map(|p| p.jet.as_ref())
            .for_each(|j| air(subject, view, j, c));
    });
    canvas.group("outlets", |c| {
        for part in layout.of_kind(ItemKind::Outlet) {
            if let Some(Item::Outlet(o)) = layout.plan().items().get(part.id)
                && let Some(wall) = Wall::at(layout.room(), o.at)
            {
                outlet(
                    view.paper(part.spot),
                    View::direction(wall.inward),
                    o.presence.status,
                    c,
                );
            }
        }
    });
    canvas.group("fixtures", |c| {
        for part in fixtures::KINDS.into_iter().flat_map(|k| layout.of_kind(k)) {
            let status = layout
                .plan()
                .items()
                .get(part.id)
                .map(|i| i.presence().status);
            let pen = status_pen(status.unwrap_or_default());
            fixtures::draw(subject, view, part, (subject.inward_at(part.id), pen), c);
        }
    });
    let mut lost = 0;
    canvas.group("kept-dimensions", |c| {
        lost += written::dimensions(subject, view, c);
    });
    canvas.group("marks", |c| lost += marks(subject, view, c));
    lost
}

// Walls and openings

fn walls(subject: &Subject<'_>, view: &View, canvas: &mut Canvas) {
    let layout = subject.layout;
    let thickness = |k: usize| layout.plan().room().wall_thickness(k).mm();
    let corners = layout.room().points();
    let outer: Vec<Point> = layout
        .room()
        .outset(thickness)
        .into_iter()
        .zip(corners)
        .enumerate()
        .map(|(k, (far, near))| held_near(far, *near, thickness(k) * 4.0))
        .collect();
    for wall in layout.walls() {
        let k = wall.number;
        let next = (k + 1) % corners.len().max(1);
        let (Some(first), Some(last)) = (outer.get(k), outer.get(next)) else {
            continue;
        };
        let depth = thickness(k);
        let cuts = cuts_of(subject, &wall);
        let mut from = 0.0;
        let mut lines = Vec::new();
        for (low, high) in cuts.iter().copied().chain([(wall.length, wall.length)]) {
            let at_start = from <= 0.0;
            let at_end = low >= wall.length;
            let piece = [
                wall.point(from, 0.0),
                wall.point(low, 0.0),
                if at_end {
                    *last
                } else {
                    wall.point(low, -depth)
                },
                if at_start {
                    *first
                } else {
                    wall.point(from, -depth)
                },
            ];
            let piece = view.papers(&piece);
            canvas.push(hatch(&piece, 1.5, false, HATCH));
            if let [a, b, c, d] = piece.as_slice() {
                lines.extend([(*a, *b), (*d, *c)]);
                if !at_start {
                    lines.push((*a, *d));
                }
                if !at_end {
                    lines.push((*b, *c));
                }
            }
            from = high;
        }
        canvas.push(Mark::Strokes { lines, pen: WALL });
    }
}

/// A mitred corner of two walls that nearly fold back would lie far away.
fn held_near(far: Point, near: Point, most_mm: f64) -> Point {
    near + (far - near).clamp_length_max(most_mm.max(1.0))
}

/// The stretches of a wall that are open, from its first corner on, apart and inside it.
fn cuts_of(subject: &Subject<'_>, wall: &Wall) -> Vec<(f64, f64)> {
    let items = subject.layout.plan().items();
    let mut cuts: Vec<(f64, f64)> = subject
        .layout
        .parts()
        .filter_map(|part| {
            let (place, width) = match items.get(part.id)? {
                Item::Door(d) => (d.at, d.width),
                Item::Window(w) => (w.at, w.width),
                Item::Column(_)
                | Item::Panel(_)
                | Item::Outlet(_)
                | Item::Cooling(_)
                | Item::Fitting(_)
                | Item::Overhead(_)
                | Item::Light(_)
                | Item::Camera(_)
                | Item::Furniture(_)
                | Item::Zone(_)
                | Item::Rack(_)
                | Item::Ups(_)
                | Item::Dimension(_)
                | Item::Note(_) => return None,
            };
            let (low, high) = (place.along.mm(), (place.along + width).mm());
            (usize::from(place.wall) == wall.number).then_some((low, high))
        })
        .collect();
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut end = 0.0_f64;
    let mut apart = Vec::new();
    for (low, high) in cuts {
        let (low, high) = (low.max(end), high.min(wall.length));
        if high > low {
            apart.push((low, high));
            end = high;
        }
    }
    apart
}

fn doorway(view: &View, door: &Doorway, canvas: &mut Canvas) {
    let Some((hinge, open)) = door.leaf else {
        return;
    };
    let (near, far) = door.opening;
    let closed = if hinge.distance(near) < hinge.distance(far) {
        far
    } else {
        near
    };
    let (hinge, open, closed) = (view.paper(hinge), view.paper(open), view.paper(closed));
    canvas.push(Mark::line(hinge, open, Pen::black(0.35)));
    canvas.push(Mark::Arc {
        from: open,
        to: closed,
        radius: hinge.distance(open),
        // On paper y runs down, so a positive cross product is a clockwise turn.
        clockwise: (open - hinge).perp_dot(closed - hinge) > 0.0,
        pen: THIN,
    });
}

fn window(subject: &Subject<'_>, view: &View, opening: &Opening, canvas: &mut Canvas) {
    let wall = &opening.wall;
    let depth = subject
        .layout
        .plan()
        .room()
        .wall_thickness(wall.number)
        .mm();
    let (a, b) = opening.line;
    let line = |out: f64| {
        let by = -wall.inward * (depth * out);
        (view.paper(a + by), view.paper(b + by))
    };
    canvas.push(Mark::Strokes {
        lines: vec![line(0.0), line(0.4), line(0.6), line(1.0)],
        pen: THIN,
    });
}

// Zones, strips, working space, air

fn zone(view: &View, part: &Part, canvas: &mut Canvas) {
    let Some(zone) = &part.zone else {
        return;
    };
    let area = view.papers(zone.shape.points());
    let falling = matches!(zone.purpose, ZoneUse::Wet { .. });
    canvas.push(hatch(&area, 3.0, falling, Pen::grey(0.13)));
    canvas.push(Mark::area(area, Some(SPACE), Fill::None));
}

fn strip(view: &View, strip: &Strip, canvas: &mut Canvas) {
    let area = view.papers(strip.shape.points());
    if let Some(convex) = Convex::hull(&area) {
        canvas.push(dots(&convex, DOT_SPACING_MM, DOTS));
    }
    canvas.push(Mark::area(area, Some(STRIP), Fill::None));
}

fn space_area(space: &WorkSpace) -> [Point; 4] {
    let (near, far) = space.case;
    let spare = (space.width - (far - near)).max(0.0) * 0.5;
    // The space may lie anywhere that holds the case; it is drawn about the case, kept on its wall.
    let low = (near - spare)
        .min(space.wall.length - space.width)
        .max(0.0)
        .min(near);
    let high = low + space.width;
    [
        space.wall.point(low, space.front),
        space.wall.point(high, space.front),
        space.wall.point(high, space.front + space.depth),
        space.wall.point(low, space.front + space.depth),
    ]
}

fn work_space(view: &View, space: &WorkSpace, canvas: &mut Canvas) {
    let area = view.papers(&space_area(space));
    let lines = match area.as_slice() {
        [a, b, c, d] => vec![(*a, *c), (*b, *d)],
        _ => Vec::new(),
    };
    canvas.push(Mark::Strokes {
        lines,
        pen: Pen::grey(0.13),
    });
    canvas.push(Mark::area(area, Some(SPACE), Fill::None));
}

/// The heights at which printers stand: from the lowest board to the highest printer.
pub(super) fn printer_heights(subject: &Subject<'_>) -> Heights {
    let racks = || subject.layout.parts().filter_map(|p| p.rack.as_ref());
    let low = racks()
        .filter_map(|r| r.levels.first().map(|l| l.top.mm()))
        .fold(f64::INFINITY, f64::min);
    let high = racks().map(|r| r.height).fold(0.0, f64::max);
    if low < high {
        Heights { low, high }
    } else {
        Heights {
            low: 0.0,
            high: 1829.0,
        }
    }
}

fn air(subject: &Subject<'_>, view: &View, jet: &Jet, canvas: &mut Canvas) {
    let heights = printer_heights(subject);
    let limit = subject.layout.limits().jet_hard.value.value();
    let mut contour = |speed: f64, pen: Pen| {
        if let Some(edge) = jet.contour(speed, heights) {
            for line in inside_room(subject, view, &edge) {
                canvas.push(Mark::Shape {
                    points: line,
                    closed: false,
                    pen: Some(pen),
                    fill: Fill::None,
                });
            }
        }
    };
    for speed in drawn_speeds(limit) {
        let is_limit = (speed - limit).abs() < 1e-9;
        contour(speed, if is_limit { KEEP_OUT } else { THROW });
    }
}

/// The speeds whose outlines are drawn, each once: the throw and the hard limit.
fn drawn_speeds(limit: f64) -> Vec<f64> {
    let mut speeds = vec![limit];
    if (THROW_M_S - limit).abs() > 1e-9 {
        speeds.insert(0, THROW_M_S);
    }
    speeds
}

/// The runs of an outline that lie inside the room, on paper.
fn inside_room(subject: &Subject<'_>, view: &View, shape: &Convex) -> Vec<Vec<Point>> {
    let mut line = shape.points().to_vec();
    line.extend(line.first().copied());
    let runs = subject.layout.room().inside(&line);
    runs.iter().map(|run| view.papers(run)).collect()
}

// Bodies

/// The pen of an outline by what the contractor does with the thing.
pub(super) fn status_pen(status: Status) -> Pen {
    match status {
        Status::Existing => Pen::black(0.25),
        Status::New => Pen::black(0.5),
        Status::Moved => Pen::black(0.5).dashed(Dash::Dashed),
        Status::Removed => Pen::black(0.35).dashed(Dash::Dotted),
    }
}

fn body(subject: &Subject<'_>, view: &View, part: &Part, canvas: &mut Canvas) {
    let Some(item) = subject.layout.plan().items().get(part.id) else {
        return;
    };
    let pen = status_pen(item.presence().status);
    if let Item::Ups(ups) = item
        && let UpsPlace::OnRack(_) = ups.stands
    {
        if let Some(oblong) = ups_at_foot(subject, part) {
            case(view, &oblong, pen, canvas);
        }
        return;
    }
    let Some(solid) = &part.solid else {
        return;
    };
    let area = view.papers(solid.shape.points());
    match part.kind {
        ItemKind::Rack => rack(view, part, solid, pen, canvas),
        ItemKind::Column => {
            canvas.push(Mark::area(area.clone(), None, Fill::White));
            canvas.push(hatch(&area, 1.2, false, HATCH));
            canvas.push(hatch(&area, 1.2, true, HATCH));
            canvas.push(Mark::area(area, Some(WALL), Fill::None));
        }
        ItemKind::Panel => canvas.push(Mark::area(area, Some(pen), Fill::Black)),
        ItemKind::Cooling => cooling(view, part, area, pen, canvas),
        ItemKind::Ups => case(view, &solid.oblong, pen, canvas),
        ItemKind::Door
        | ItemKind::Window
        | ItemKind::Outlet
        | ItemKind::Fitting(_)
        | ItemKind::Overhead(_)
        | ItemKind::Light
        | ItemKind::Camera
        | ItemKind::Furniture(_)
        | ItemKind::Zone
        | ItemKind::Dimension
        | ItemKind::Note => {}
    }
}

fn cooling(view: &View, part: &Part, area: Vec<Point>, pen: Pen, canvas: &mut Canvas) {
    canvas.push(Mark::area(area, Some(pen), Fill::Tint));
    if let Some(jet) = &part.jet {
        let out = View::direction(jet.forward);
        let start = view.paper(jet.origin) + out * 0.6;
        let tip = start + out * 6.0;
        let wing = out.perp() * 1.1;
        canvas.push(Mark::line(start, tip, Pen::black(0.35)));
        let head = vec![tip, tip - out * 2.2 + wing, tip - out * 2.2 - wing];
        canvas.push(Mark::area(head, None, Fill::Black));
    }
}

/// A case with a diagonal: an uninterruptible supply.
fn case(view: &View, oblong: &Oblong, pen: Pen, canvas: &mut Canvas) {
    let area = view.papers(&oblong.corners());
    let diagonal = match area.as_slice() {
        [a, _, c, _] => Some((*a, *c)),
        _ => None,
    };
    canvas.push(Mark::area(area, Some(pen), Fill::Tint));
    canvas.push(Mark::Strokes {
        lines: diagonal.into_iter().collect(),
        pen: THIN,
    });
}

/// Where the case of a supply at the foot of a rack lies: against the back, beside those that stand there already.
fn ups_at_foot(subject: &Subject<'_>, part: &Part) -> Option<Oblong> {
    let items = subject.layout.plan().items();
    let Some(Item::Ups(ups)) = items.get(part.id) else {
        return None;
    };
    let UpsPlace::OnRack(rack) = ups.stands else {
        return None;
    };
    let body = subject.layout.part(rack)?.rack.as_ref()?.body;
    let kind = subject.layout.stock().ups.get(&ups.kind)?;
    let beside: f64 = subject
        .layout
        .of_kind(ItemKind::Ups)
        .take_while(|other| other.id != part.id)
        .filter_map(|other| {
            let Item::Ups(u) = items.get(other.id)? else {
                return None;
            };
            let same = u.stands == ups.stands;
            same.then(|| subject.layout.stock().ups.get(&u.kind))?
        })
        .map(|k| k.width.mm() + 50.0)
        .sum();
    let x = beside - body.width() * 0.5 + 50.0 + kind.width.mm() * 0.5;
    let y = body.depth() * 0.5 - kind.depth.mm() * 0.5;
    let across = body.across();
    Some(Oblong::new(
        body.at(x, y),
        kind.width.mm(),
        kind.depth.mm(),
        (across.y, across.x),
    ))
}

/// A rack: outline, the printers' places as seen from above, and a heavy line along each side that people work at.
fn rack(view: &View, part: &Part, solid: &Solid, pen: Pen, canvas: &mut Canvas) {
    canvas.push(Mark::area(
        view.papers(solid.shape.points()),
        Some(pen),
        Fill::White,
    ));
    let Some(parts) = &part.rack else {
        return;
    };
    let mut seen: Vec<Point> = Vec::new();
    for slot in &parts.slots {
        if seen.iter().any(|p| p.distance(slot.middle) < 1.0) {
            continue;
        }
        seen.push(slot.middle);
        let level = parts.levels.iter().find(|l| l.number == slot.name.level);
        let pitch = level.map_or(0.0, |l| l.clear_width.mm() / f64::from(l.slots.max(1)));
        let above = || {
            parts
                .slots
                .iter()
                .filter(|s| s.middle.distance(slot.middle) < 1.0)
        };
        let standing = above().find_map(|s| s.printer.as_ref());
        let across = parts.body.across();
        let (place, pen) = match standing {
            Some(printer) => (printer.footprint, THIN),
            None => (
                Oblong::new(
                    slot.middle,
                    pitch * 0.9,
                    parts.body.depth() * 0.8,
                    (across.y, across.x),
                ),
                THIN.dashed(Dash::Dotted),
            ),
        };
        canvas.push(Mark::area(
            view.papers(&place.corners()),
            Some(pen),
            Fill::None,
        ));
    }
    access_faces(view, part, canvas);
}

/// The sides that a person works at, heavy.
pub(super) fn access_faces(view: &View, part: &Part, canvas: &mut Canvas) {
    for strip in part.strips() {
        let corridor = &strip.corridor;
        let half = corridor.forward.perp() * corridor.half_width;
        let (a, b) = (
            view.paper(corridor.origin - half),
            view.paper(corridor.origin + half),
        );
        canvas.push(Mark::line(a, b, FACE));
    }
}

/// An outlet: a circle on a stem from the wall, crossed by two strokes along the stem; filled where it is new.
pub(super) fn outlet(at: Point, inward: Point, status: Status, canvas: &mut Canvas) {
    let middle = at + inward * 2.6;
    let side = inward.perp();
    let fill = match status {
        Status::Existing | Status::Removed => Fill::White,
        Status::New | Status::Moved => Fill::Black,
    };
    let pen = match status {
        Status::Removed => Pen::black(0.25).dashed(Dash::Dotted),
        Status::Existing | Status::New | Status::Moved => Pen::black(0.35),
    };
    canvas.push(Mark::line(at, at + inward * 1.2, Pen::black(0.35)));
    canvas.push(Mark::Circle {
        centre: middle,
        radius: 1.5,
        pen: Some(pen),
        fill,
    });
    let ink = if fill == Fill::Black {
        Ink::White
    } else {
        Ink::Black
    };
    let lines = [-0.5, 0.5]
        .map(|x| {
            (
                middle + side * x - inward * 1.0,
                middle + side * x + inward * 1.0,
            )
        })
        .to_vec();
    canvas.push(Mark::Strokes {
        lines,
        pen: Pen {
            ink,
            ..Pen::black(0.35)
        },
    });
}

// Marks

/// Writes the marks beside or in the things; gives how many found no place.
fn marks(subject: &Subject<'_>, view: &View, canvas: &mut Canvas) -> usize {
    let mut lost = 0;
    let order = [
        ItemKind::Rack,
        ItemKind::Column,
        ItemKind::Panel,
        ItemKind::Cooling,
        ItemKind::Ups,
        ItemKind::Door,
        ItemKind::Window,
        ItemKind::Outlet,
        ItemKind::Zone,
    ];
    for kind in order.into_iter().chain(fixtures::KINDS) {
        for part in subject.layout.of_kind(kind) {
            let written = mark(subject, view, part, canvas);
            // What is on a wall is named beside its dimension too.
            let named = matches!(kind, ItemKind::Outlet | ItemKind::Door | ItemKind::Window);
            lost += usize::from(!written && !named);
        }
    }
    for jet in subject.layout.parts().filter_map(|p| p.jet.as_ref()) {
        air_words(subject, view, jet, canvas);
    }
    for space in subject.layout.parts().filter_map(|p| p.space.as_ref()) {
        space_words(subject, view, space, canvas);
    }
    lost
}

fn mark(subject: &Subject<'_>, view: &View, part: &Part, canvas: &mut Canvas) -> bool {
    match part.kind {
        ItemKind::Rack => rack_mark(view, part, canvas),
        ItemKind::Zone => zone_words(view, part, canvas),
        ItemKind::Ups => match (&part.solid, rack_of(subject, part.id)) {
            (Some(solid), _) => {
                let area = view.papers(solid.shape.points());
                beside(&area, &part.id.to_string(), canvas)
            }
            (None, Some(rack)) => supplies_mark(subject, view, part.id, rack, canvas),
            (None, None) => true,
        },
        ItemKind::Outlet
        | ItemKind::Door
        | ItemKind::Window
        | ItemKind::Fitting(FittingUse::DataPoint) => {
            let inward = subject.inward_at(part.id);
            on_wall(
                view.paper(part.spot),
                View::direction(inward),
                &part.id.to_string(),
                canvas,
            )
        }
        ItemKind::Column
        | ItemKind::Panel
        | ItemKind::Cooling
        | ItemKind::Fitting(FittingUse::Extinguisher | FittingUse::Radiator)
        | ItemKind::Overhead(_)
        | ItemKind::Light
        | ItemKind::Furniture(_) => part.solid.as_ref().is_none_or(|s| {
            beside(
                view.papers(s.shape.points()).as_slice(),
                &part.id.to_string(),
                canvas,
            )
        }),
        ItemKind::Camera => {
            let at = view.paper(part.spot);
            beside(&[at], &part.id.to_string(), canvas)
        }
        // Written by a file of their own.
        ItemKind::Dimension | ItemKind::Note => true,
    }
}

/// "R3 · 9" in the rack, along its longer side, as large as fits.
fn rack_mark(view: &View, part: &Part, canvas: &mut Canvas) -> bool {
    let Some(solid) = &part.solid else {
        return true;
    };
    let (slots, printers) = (
        part.slots().len(),
        part.slots().iter().filter(|s| s.printer.is_some()).count(),
    );
    let words = match (slots, printers) {
        (0, _) => part.id.to_string(),
        (slots, printers) if slots == printers => format!("{} · {printers}", part.id),
        (slots, printers) => format!("{} · {printers} of {slots}", part.id),
    };
    let middle = view.paper(solid.oblong.centre());
    let along = View::direction(solid.oblong.across());
    let along = if solid.oblong.width() >= solid.oblong.depth() {
        along
    } else {
        along.perp()
    };
    let turn = upright((-along.y).atan2(along.x).to_degrees());
    let length = solid.oblong.width().max(solid.oblong.depth()) * view.share;
    for (height, words) in [
        (MARK_LETTERING_MM, words.clone()),
        (LEAST_LETTERING_MM, words),
        (LEAST_LETTERING_MM, part.id.to_string()),
    ] {
        if width_mm(&words, height, Weight::Bold) < length
            && canvas.try_text_on_white(centred(middle, words, height, turn).bold())
        {
            return true;
        }
    }
    beside(
        &view.papers(solid.shape.points()),
        &part.id.to_string(),
        canvas,
    )
}

/// The rack that a supply stands at the foot of.
fn rack_of(subject: &Subject<'_>, supply: Id) -> Option<Id> {
    match subject.layout.plan().items().get(supply) {
        Some(Item::Ups(ups)) => match ups.stands {
            UpsPlace::OnRack(rack) => Some(rack),
            UpsPlace::OnFloor(_) => None,
        },
        _ => None,
    }
}

/// The marks of all supplies at the foot of a rack in one line, written once for the first of them: between the rack's
/// mark and the people's side, else beside their cases.
fn supplies_mark(
    subject: &Subject<'_>,
    view: &View,
    supply: Id,
    rack: Id,
    canvas: &mut Canvas,
) -> bool {
    let layout = subject.layout;
    let at_foot: Vec<&Part> = layout
        .of_kind(ItemKind::Ups)
        .map(AsRef::as_ref)
        .filter(|p| rack_of(subject, p.id) == Some(rack))
        .collect();
    if at_foot.first().is_none_or(|first| first.id != supply) {
        return true;
    }
    let names: Vec<String> = at_foot.iter().map(|p| p.id.to_string()).collect();
    let words = names.join(" ");
    let Some(body) = layout.part(rack).and_then(|p| p.solid.as_ref()) else {
        return true;
    };
    let along = View::direction(body.oblong.across());
    let turn = upright((-along.y).atan2(along.x).to_degrees());
    let (width, depth) = (
        body.oblong.width() * view.share,
        body.oblong.depth() * view.share,
    );
    let length = width_mm(&words, LEAST_LETTERING_MM, Weight::Bold);
    // Inside the rack where it is deep enough on paper, else on the floor before it, in the middle or toward an end.
    let line = LEAST_LETTERING_MM * 0.5 + 1.0;
    let mut places = Vec::new();
    if depth > 4.0 * LEAST_LETTERING_MM && length + 1.0 < width {
        places.extend([-0.30, -0.36, 0.36].map(|y| (0.0, y * depth)));
    }
    let aside = ((width - length) * 0.5).max(0.0);
    for row in [1.0, 2.2] {
        let y = -depth * 0.5 - line * row;
        places.extend([0.0, 1.0, -1.0].map(|side| (side * aside, y)));
    }
    let written = places.into_iter().any(|(x, y)| {
        let middle = view.paper(body.oblong.at(x / view.share, y / view.share));
        canvas.try_text_on_white(centred(middle, words.clone(), LEAST_LETTERING_MM, turn).bold())
    });
    written || {
        let cases: Vec<Point> = at_foot
            .iter()
            .filter_map(|p| ups_at_foot(subject, p))
            .flat_map(|case| view.papers(&case.corners()))
            .collect();
        beside(&cases, &words, canvas)
    }
}

/// A turn brought to where it is read from below or from the right.
fn upright(turn: f64) -> f64 {
    if turn > 90.0 + 1e-6 {
        turn - 180.0
    } else if turn <= -90.0 + 1e-6 {
        turn + 180.0
    } else {
        turn
    }
}

/// A text whose middle stands at a point.
fn centred(middle: Point, words: String, height: f64, turn: f64) -> Text {
    let (sin, cos) = libm::sincos(turn.to_radians());
    let at = middle + Point::new(sin, cos) * (height * 0.5);
    Text::new(at, words, height)
        .anchored(Anchor::Middle)
        .turned(turn)
}

/// A mark on a white ground in the middle of an area, or else next to it: right, left, above, below, then farther.
fn beside(area: &[Point], words: &str, canvas: &mut Canvas) -> bool {
    let Some(bounds) = crate::geometry::Bounds::of(area) else {
        return true;
    };
    let width = width_mm(words, LEAST_LETTERING_MM, Weight::Bold);
    let middle = bounds.centre();
    let half = bounds.size() * 0.5 + Point::new(width * 0.5 + 0.9, LEAST_LETTERING_MM * 0.5 + 1.5);
    let steps = [
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.0, -1.0),
        (0.0, 1.0),
        (1.0, 1.0),
        (-1.0, -1.0),
        (1.0, -1.0),
        (-1.0, 1.0),
    ];
    [1.0, 1.6, 2.4].iter().any(|far| {
        steps.iter().any(|(x, y)| {
            let place = middle + half * Point::new(*x, *y) * *far;
            let text = centred(place, words.to_owned(), LEAST_LETTERING_MM, 0.0).bold();
            canvas.try_text_on_white(text)
        })
    })
}

/// The mark of a thing in a wall, inside the room before it.
fn on_wall(at: Point, inward: Point, words: &str, canvas: &mut Canvas) -> bool {
    let width = width_mm(words, LEAST_LETTERING_MM, Weight::Bold);
    let side = inward.perp();
    let ahead = 6.2
        + if inward.x.abs() > 0.5 {
            width * 0.5 - 1.2
        } else {
            0.0
        };
    let aside = if inward.x.abs() > 0.5 {
        4.0
    } else {
        width * 0.5 + 2.4
    };
    let places = [
        inward * ahead,
        inward * 2.6 + side * aside,
        inward * 2.6 - side * aside,
        // Closer to the wall, where a rack's mark stands before it.
        inward * 2.1 + side * aside,
        inward * 2.1 - side * aside,
        inward * (ahead + 4.0),
        inward * ahead + side * aside,
        inward * ahead - side * aside,
        inward * (ahead + 8.0),
        inward * (ahead + 12.0),
    ];
    places.iter().any(|by| {
        let text = centred(at + *by, words.to_owned(), LEAST_LETTERING_MM, 0.0).bold();
        canvas.try_text_on_white(text)
    })
}

fn zone_words(view: &View, part: &Part, canvas: &mut Canvas) -> bool {
    let Some(zone) = &part.zone else {
        return true;
    };
    let words = match zone.purpose {
        ZoneUse::KeepClear => format!("{} KEEP CLEAR", part.id),
        ZoneUse::Wet { .. } => format!("{} WET", part.id),
    };
    let area = view.papers(zone.shape.points());
    let bounds = crate::geometry::Bounds::of(&area);
    let middle = bounds.map_or(Point::ZERO, |b| b.centre());
    let tall = bounds.is_some_and(|b| b.size().y > b.size().x);
    [if tall { 90.0 } else { 0.0 }, if tall { 0.0 } else { 90.0 }]
        .iter()
        .any(|turn| {
            [0.0, 5.0, -5.0, 10.0, -10.0].iter().any(|y| {
                let at = middle + Point::new(0.0, *y);
                canvas
                    .try_text_on_white(centred(at, words.clone(), LEAST_LETTERING_MM, *turn).bold())
            })
        })
        || beside(&area, &part.id.to_string(), canvas)
}

/// The speeds, each on its own line where the line crosses the middle of the jet or beside it.
fn air_words(subject: &Subject<'_>, view: &View, jet: &Jet, canvas: &mut Canvas) {
    let heights = printer_heights(subject);
    let limit = subject.layout.limits().jet_hard.value.value();
    for speed in drawn_speeds(limit) {
        let Some(edge) = jet.contour(speed, heights) else {
            continue;
        };
        let words = if (speed - limit).abs() < 1e-9 {
            format!("keep out {speed} m/s")
        } else {
            format!("{speed} m/s")
        };
        let mut places: Vec<Point> = edge
            .points()
            .iter()
            .copied()
            .filter(|p| subject.layout.room().contains(*p))
            .collect();
        // The far end first, where the lines lie apart.
        let ahead = |p: &Point| (*p - jet.origin).dot(jet.forward);
        places.sort_by(|a, b| ahead(b).total_cmp(&ahead(a)).then(a.x.total_cmp(&b.x)));
        let step = (places.len() / 24).max(1);
        let room = view.papers(subject.layout.room().points());
        let room = crate::geometry::Polygon::new(room);
        for place in places.iter().step_by(step) {
            let text = centred(view.paper(*place), words.clone(), LEAST_LETTERING_MM, 0.0);
            let outline = text.outline();
            let inside = room
                .as_ref()
                .is_some_and(|r| outline.points().iter().all(|p| r.contains(*p)));
            if inside && !over_bodies(subject, view, &outline) && canvas.try_text_on_white(text) {
                break;
            }
        }
    }
}

pub(super) fn over_bodies(subject: &Subject<'_>, view: &View, outline: &Convex) -> bool {
    subject.layout.solids().any(|(part, solid)| {
        matches!(part.kind, ItemKind::Rack | ItemKind::Column | ItemKind::Ups)
            && Convex::hull(&view.papers(solid.shape.points())).is_some_and(|b| b.overlaps(outline))
    })
}

fn space_words(subject: &Subject<'_>, view: &View, space: &WorkSpace, canvas: &mut Canvas) {
    let area = view.papers(&space_area(space));
    let Some(bounds) = crate::geometry::Bounds::of(&area) else {
        return;
    };
    let practice = subject.practice();
    let size = format!(
        "{} × {}",
        dimension_mm(space.width, practice),
        dimension_mm(space.depth, practice)
    );
    for words in [format!("working space {size}"), size] {
        let turns = if bounds.size().y > bounds.size().x {
            [90.0, 0.0]
        } else {
            [0.0, 90.0]
        };
        for turn in turns {
            let text = centred(bounds.centre(), words.clone(), LEAST_LETTERING_MM, turn);
            let outline = text.outline();
            let fits = Convex::hull(&area)
                .is_some_and(|a| outline.points().iter().all(|p| a.contains(*p)));
            if fits && canvas.try_text_on_white(text) {
                return;
            }
        }
    }
}
