//! Mends: the smallest slide of one thing that removes a finding and adds no must-fix.
//!
//! A slide is tried, not guessed. Along each direction of the room and of the thing itself, the places where outlines begin
//! or cease to overlap are worked out exactly; nothing changes between two of them, so one of them is the shortest mend.
//! Each is judged by running the checks on the plan as if the slide were made. What is offered is rounded up to a step that a person
//! can measure off, where that does as well.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{Finding, Findings, Mend};
use crate::geometry::{Convex, Point, TOLERANCE_MM, slide_overlap};
use crate::layout::{Heights, Layout, Part, Sees};
use crate::plan::{Edit, Id, Item, ItemKind, Library, compass_word};
use crate::units::{Length, Practice};

/// The longest slide that is offered, in millimetres.
pub const SLIDE_MOST_MM: f64 = 600.0;

/// The checks whose findings a slide may mend.
const SLIDABLE: [&str; 6] = [
    "fits",
    "service-strip",
    "door-swing",
    "panel-space",
    "keep-out",
    "wet-zone",
];

/// The smallest mend of a broken finding, if a slide of at most [`SLIDE_MOST_MM`] can mend it; of a draught, the lightest change of
/// the cooling unit that does.
pub fn mend_for(
    library: &Library,
    layout: &Layout,
    findings: &Findings,
    finding: &Finding,
) -> Option<Mend> {
    if finding.check == super::throw::CHECK.id && finding.may_be_mended() {
        return super::air_mend::mend_for(library, layout, findings, finding);
    }
    if !finding.stops() || !SLIDABLE.contains(&finding.check) {
        return None;
    }
    let judge = Judge {
        library,
        layout,
        findings,
        key: finding.key(),
        stops: findings.stops(),
    };
    finding
        .items
        .iter()
        .filter_map(|id| movable(layout, *id))
        .filter_map(|part| judge.shortest(part).map(|slide| (part.id, slide)))
        .min_by(|(_, a), (_, b)| a.length.total_cmp(&b.length))
        .map(|(id, slide)| slide.mend(id, layout))
}

/// The part of a thing that a person may slide: placed on the floor by itself and not pinned.
fn movable(layout: &Layout, id: Id) -> Option<&Part> {
    let item = layout.plan().items().get(id)?;
    let slides = matches!(
        item,
        Item::Rack(_) | Item::Ups(_) | Item::Furniture(_) | Item::Light(_)
    );
    let free = slides && item.pose().is_some() && !item.presence().pinned;
    layout.part(id).map(Arc::as_ref).filter(|_| free)
}

/// A slide: a unit vector and a length in millimetres.
#[derive(Clone, Copy, Debug)]
struct Slide {
    direction: Point,
    length: f64,
}

impl Slide {
    /// The move as the plan stores it.
    fn by(self) -> (Length, Length) {
        let by = self.direction * self.length;
        (Length::from_mm(by.x), Length::from_mm(by.y))
    }

    /// The slide with its length rounded up to the next whole step.
    fn rounded_up(self, practice: Practice) -> Self {
        Self {
            length: rounded_up(self.length, practice),
            ..self
        }
    }

    fn mend(self, id: Id, layout: &Layout) -> Mend {
        let plan = layout.plan();
        let words = format!(
            "move {id} {} {}",
            Length::from_mm(self.length).shown_exact(plan.practice()),
            compass_word(self.direction, plan.room().north)
        );
        Mend {
            words,
            edit: Edit::Move(vec![id], self.by()),
        }
    }
}

struct Judge<'a> {
    library: &'a Library,
    layout: &'a Layout,
    findings: &'a Findings,
    key: String,
    stops: BTreeSet<String>,
}

impl Judge<'_> {
    /// The shortest slide of a part that mends the finding.
    fn shortest(&self, part: &Part) -> Option<Slide> {
        let mut slides: Vec<Slide> = directions(self.layout, part)
            .into_iter()
            .flat_map(|direction| {
                stops_along(self.layout, part, direction)
                    .into_iter()
                    .map(move |length| Slide { direction, length })
            })
            .collect();
        slides.sort_by(|a, b| a.length.total_cmp(&b.length));
        let practice = self.layout.plan().practice();
        slides
            .into_iter()
            .flat_map(|exact| [exact.rounded_up(practice), exact])
            .filter(|s| s.length > TOLERANCE_MM && s.length <= SLIDE_MOST_MM)
            .find(|slide| self.mends(part.id, *slide))
    }

    /// True where the slide removes the finding and adds no must-fix.
    fn mends(&self, id: Id, slide: Slide) -> bool {
        let plan = self.layout.plan();
        let Ok(moved) = plan.edited(&self.library.stock, &Edit::Move(vec![id], slide.by())) else {
            return false;
        };
        let moved = Arc::new(moved);
        let layout = self.layout.step(self.library, &moved);
        let after = self.findings.stops_after(self.layout, &layout);
        !after.contains(&self.key) && after.is_subset(&self.stops)
    }
}

/// The directions a thing may slide in: those of the room's walls and its own, both ways, each once.
fn directions(layout: &Layout, part: &Part) -> Vec<Point> {
    let own = part.solid.as_ref().map(|s| s.oblong.across());
    let walls = layout.walls().map(|w| w.along);
    let mut all: Vec<Point> = Vec::new();
    for d in own.into_iter().chain(walls) {
        for e in [d, -d, d.perp(), -d.perp()] {
            if all.iter().all(|f| f.distance_squared(e) > 1e-12) {
                all.push(e);
            }
        }
    }
    all
}

/// The slide lengths at which something begins or ceases to be in the way of the part.
fn stops_along(layout: &Layout, part: &Part, direction: Point) -> Vec<f64> {
    let own = own_shapes(part);
    let others = other_shapes(layout, part);
    let mut stops: Vec<f64> = own
        .iter()
        .flat_map(|mine| {
            others
                .iter()
                .filter_map(move |other| slide_overlap(mine, other, direction))
        })
        .flat_map(|stretch| [stretch.from - TOLERANCE_MM, stretch.to + TOLERANCE_MM])
        .collect();
    stops.extend(jet_stops(layout, part, direction));
    stops.extend(way_stops(layout, part, direction));
    stops.retain(|t| *t > 0.0 && *t <= SLIDE_MOST_MM);
    stops.sort_by(f64::total_cmp);
    stops.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    stops
}

/// The outlines that move with a part: its body, with the gap behind, its strips, its printers.
fn own_shapes(part: &Part) -> Vec<Convex> {
    let body = part.solid.iter().map(|s| s.shape.clone());
    let gap = part.rack.iter().map(|r| r.with_gap.clone());
    let strips = part.strips().iter().map(|s| s.shape.clone());
    let printers = part
        .slots()
        .iter()
        .filter_map(|s| s.printer.as_ref().map(|p| p.footprint.convex()));
    body.chain(gap).chain(strips).chain(printers).collect()
}

/// The outlines that stay: walls, bodies, strips, swings, zones, working spaces.
fn other_shapes(layout: &Layout, part: &Part) -> Vec<Convex> {
    let near = part
        .solid
        .as_ref()
        .map(|s| s.shape.bounds().grown(SLIDE_MOST_MM * 4.0));
    let walls = layout
        .walls()
        .map(|w| Convex::line(w.start, w.point(w.length, 0.0)));
    let parts = layout.parts().filter(|p| p.id != part.id).flat_map(|p| {
        let body = p.solid.iter().map(|s| s.shape.clone());
        let strips = p.strips().iter().map(|s| s.shape.clone());
        let sweep = p.doorway.iter().filter_map(|d| d.sweep.clone());
        let zone = p.zone.iter().map(|z| z.shape.clone());
        body.chain(strips)
            .chain(sweep)
            .chain(zone)
            .collect::<Vec<_>>()
    });
    walls
        .chain(parts)
        .chain(working_spaces(layout, part))
        .filter(|shape| near.is_none_or(|near| near.gap(shape.bounds()) < 0.0))
        .collect()
}

/// The slide lengths at which a way between the part and something else becomes just as wide as the aisle.
fn way_stops(layout: &Layout, part: &Part, direction: Point) -> Vec<f64> {
    let aisle = layout.limits().aisle.value.mm();
    let axis = layout.main_direction();
    let corners = [axis + axis.perp(), axis - axis.perp()];
    let passing = |shape: &Convex| {
        let grown: Vec<Point> = shape
            .points()
            .iter()
            .flat_map(|p| {
                corners
                    .iter()
                    .flat_map(move |c| [*p + *c * aisle, *p - *c * aisle])
            })
            .collect();
        Convex::hull(&grown)
    };
    let edges = |shape: &Convex| -> Vec<Convex> {
        shape.sides().map(|(a, b)| Convex::line(a, b)).collect()
    };
    let body = part.solid.iter().map(|s| s.shape.clone());
    let strips = part.strips().iter().flat_map(|s| edges(&s.shape));
    let own: Vec<Convex> = body
        .chain(strips)
        .filter_map(|shape| passing(&shape))
        .collect();
    let walls = layout
        .walls()
        .map(|w| Convex::line(w.start, w.point(w.length, 0.0)));
    let others = layout.parts().filter(|p| p.id != part.id).flat_map(|p| {
        let body = p.solid.iter().map(|s| s.shape.clone());
        let strips = p.strips().iter().flat_map(|s| edges(&s.shape));
        let ends = p.doorway.iter().flat_map(|d| {
            let (near, far) = d.opening;
            let inward = (far - near).normalize_or_zero().perp() * aisle;
            [near, far].map(|end| Convex::line(end, end + inward))
        });
        body.chain(strips).chain(ends).collect::<Vec<_>>()
    });
    walls
        .chain(others)
        .flat_map(|other| {
            own.iter()
                .filter_map(|mine| slide_overlap(mine, &other, direction))
                .flat_map(|stretch| [stretch.from - TOLERANCE_MM, stretch.to + TOLERANCE_MM])
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The places a panel's working space may take: to either side of the case and against every body near it.
fn working_spaces(layout: &Layout, part: &Part) -> Vec<Convex> {
    let mut shapes = Vec::new();
    for space in layout.parts().filter_map(|p| p.space.as_ref()) {
        let wall = space.wall;
        let base = wall.start.dot(wall.along);
        let edges = layout
            .solids()
            .filter(|(other, _)| other.id != part.id)
            .flat_map(|(_, s)| {
                let (a, b) = s.shape.along(wall.along);
                [a - base - space.width, b - base]
            });
        let sides = [
            space.case.1 - space.width,
            space.case.0,
            0.0,
            wall.length - space.width,
        ];
        for from in sides.into_iter().chain(edges) {
            let holds_case =
                from <= space.case.0 + 0.01 && from + space.width >= space.case.1 - 0.01;
            if holds_case {
                shapes.extend(Convex::new(vec![
                    wall.point(from, space.front),
                    wall.point(from + space.width, space.front),
                    wall.point(from + space.width, space.front + space.depth),
                    wall.point(from, space.front + space.depth),
                ]));
            }
        }
    }
    shapes
}

/// The slide lengths at which a printer enters or leaves air above the hard limit: sampled, then halved to the tolerance.
fn jet_stops(layout: &Layout, part: &Part, direction: Point) -> Vec<f64> {
    const STEP_MM: f64 = 20.0;
    let limit = layout.limits().jet_hard.value.value();
    let mut stops = Vec::new();
    for unit in layout.of_kind(ItemKind::Cooling) {
        for printer in part.slots().iter().filter_map(|s| s.printer.as_ref()) {
            let shape = printer.footprint.convex();
            let heights = Heights {
                low: printer.low,
                high: printer.high,
            };
            let blown = |t: f64| {
                let moved = shape.moved(direction * t);
                layout
                    .air_at(unit, Sees::Fixed, &moved, heights)
                    .is_some_and(|air| air.speed > limit)
            };
            let mut t = 0.0;
            let mut before = blown(0.0);
            while t < SLIDE_MOST_MM {
                let now = blown(t + STEP_MM);
                if now != before {
                    stops.extend(turning_point(t, t + STEP_MM, before, blown));
                }
                before = now;
                t += STEP_MM;
            }
        }
    }
    stops
}

/// Both sides of the place between `from` and `to` where `test` changes, to a hundredth of a millimetre.
fn turning_point(
    mut from: f64,
    mut to: f64,
    at_from: bool,
    test: impl Fn(f64) -> bool,
) -> [f64; 2] {
    while to - from > TOLERANCE_MM {
        let middle = (from + to) * 0.5;
        if test(middle) == at_from {
            from = middle;
        } else {
            to = middle;
        }
    }
    [from, to]
}

/// A length or place in millimetres, rounded up to what a person measures off: a whole 1/8 in or millimetre. What lies beyond a step by
/// no more than the tolerance is that step.
pub(super) fn rounded_up(exact_mm: f64, practice: Practice) -> f64 {
    let step = match practice {
        Practice::Us => 25.4 / 8.0,
        Practice::Metric => 1.0,
    };
    ((exact_mm - TOLERANCE_MM) / step).ceil() * step
}
