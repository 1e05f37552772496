//! What stays in the room, as obstacles to the bodies that may be placed: each says what a check of the placed racks will
//! say, or more. Reads the layout and measures nothing that the layout or a check measures.

use std::collections::BTreeSet;

use super::frame::{self, Floor};
use super::kinds::Choice;
use super::problem::{Block, Rect, Shape};
use crate::checks::{self, reached_faces};
use crate::geometry::{Convex, Point, TOLERANCE_MM};
use crate::layout::{Heights, Jet, Layout, Part, Strip, WorkSpace};
use crate::plan::{Id, ItemKind, ZoneUse};
use crate::stock::Face;

/// How much further out than its outline a jet is kept clear of, in millimetres: the outline is drawn through samples that
/// lie up to half a millimetre inside it.
const JET_MARGIN_MM: f64 = 2.0;

/// The grid of places that are counted in a panel's working space, by its side.
const SAMPLES: u32 = 24;

/// Whose bodies an obstacle stops.
#[derive(Clone, Debug)]
pub(super) enum Stops {
    /// Everybody's.
    All,
    /// Those that reach into these heights.
    Bodies(Heights),
    /// Those with a printer that begins under this height.
    PrintersUnder(f64),
    /// Those with printers where a jet blows hard: by the heights of the printers, the outline in the frame.
    Air(Vec<(Heights, Shape)>),
}

/// Something that stays, before it is known which kinds are worth trying.
#[derive(Clone, Debug)]
pub(super) struct Obstacle {
    /// The outline in the frame; none for air, whose outline depends on the printers.
    shape: Option<Shape>,
    stops: Stops,
    walk: bool,
    gap: bool,
}

/// Everything that stays.
#[derive(Clone, Debug, Default)]
pub(super) struct Staying {
    pub(super) obstacles: Vec<Obstacle>,
    /// Strips of staying racks, or where they are turned a square inside them.
    pub(super) strips: Vec<Rect>,
    /// True where walls, bodies or zones stand at odd angles.
    pub(super) odd: bool,
    /// Sentences about what could not be known.
    pub(super) unknown: Vec<String>,
}

impl Obstacle {
    /// True where this stops bodies of that choice somewhere.
    fn stops(&self, choice: &Choice) -> bool {
        match &self.stops {
            Stops::All => true,
            Stops::Bodies(heights) => choice.body.overlap(*heights),
            Stops::PrintersUnder(high) => choice.prints.is_some_and(|p| p.low < *high),
            Stops::Air(outlines) => outlines
                .iter()
                .any(|(heights, _)| choice.prints == Some(*heights)),
        }
    }

    /// True where this stops `one` somewhere where it does not stop `other`. Air spreads with the heights of the printers.
    fn stops_more(&self, one: &Choice, other: &Choice) -> bool {
        let inside = match (one.prints, other.prints) {
            (Some(a), Some(b)) => b.low <= a.low && a.high <= b.high,
            (None, _) | (_, None) => false,
        };
        let wider = matches!(self.stops, Stops::Air(_)) && !inside;
        self.stops(one) && (wider || !self.stops(other))
    }

    /// The blocks that it makes for these choices: one, or for air one for each outline.
    fn blocks(&self, choices: &[Choice]) -> Vec<Block> {
        if let Stops::Air(outlines) = &self.stops {
            return air_blocks(outlines, choices);
        }
        let bodies = mask(choices, |c| self.stops(c));
        let backs = self.gap && stopped_backs(choices, bodies);
        let block = self.shape.clone().map(|shape| Block {
            shape,
            bodies,
            // The gap behind a back that is a face too is floor that a person stands on.
            walk: self.walk || backs,
            gap: self.gap,
        });
        block
            .into_iter()
            .filter(|b| b.bodies != 0 || b.walk)
            .collect()
    }
}

/// True where one of the kinds in the mask has a face at its back.
fn stopped_backs(choices: &[Choice], bodies: u32) -> bool {
    let backs = mask(choices, |c| c.faces.back);
    bodies & backs != 0
}

/// The bits of the choices that are so.
fn mask(choices: &[Choice], is: impl Fn(&Choice) -> bool) -> u32 {
    (0_u32..)
        .zip(choices)
        .filter(|(_, choice)| is(choice))
        .fold(0, |bits, (k, _)| bits | 1_u32.checked_shl(k).unwrap_or(0))
}

fn air_blocks(outlines: &[(Heights, Shape)], choices: &[Choice]) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    for (heights, shape) in outlines {
        let bodies = mask(choices, |c| c.prints == Some(*heights));
        match blocks.iter_mut().find(|b| b.shape == *shape) {
            Some(same) => same.bodies |= bodies,
            None => blocks.push(Block {
                shape: shape.clone(),
                bodies,
                walk: false,
                gap: false,
            }),
        }
    }
    blocks.retain(|b| b.bodies != 0);
    blocks
}

/// Where a jet blows harder than the limit, for each range of heights in which some choice has printers.
fn outlines(floor: &Floor, jet: &Jet, limit: f64, choices: &[Choice]) -> Vec<(Heights, Shape)> {
    let mut ranges: Vec<Heights> = Vec::new();
    for range in choices.iter().filter_map(|c| c.prints) {
        if !ranges.contains(&range) {
            ranges.push(range);
        }
    }
    ranges
        .into_iter()
        .filter_map(|range| {
            let outline = spread(&jet.contour(limit, range)?)?;
            Some((range, floor.frame.shape(&outline)?))
        })
        .collect()
}

/// The shape grown by the margin of a jet.
fn spread(shape: &Convex) -> Option<Convex> {
    let m = JET_MARGIN_MM;
    let corners = [(-m, -m), (m, -m), (m, m), (-m, m)];
    let points: Vec<Point> = shape
        .points()
        .iter()
        .flat_map(|p| corners.map(|(x, y)| *p + Point::new(x, y)))
        .collect();
    Convex::hull(&points)
}

impl Staying {
    /// What stays of the layout, and what lies outside the floor and outside the part to be filled, for bodies of these
    /// choices.
    pub(super) fn of(
        layout: &Layout,
        floor: &Floor,
        part: Option<(Point, Point)>,
        choices: &[Choice],
    ) -> Self {
        let mut staying = Self {
            odd: floor.polygon.is_some(),
            ..Self::default()
        };
        for rect in &floor.outside {
            staying.add(Some(Shape::Rect(*rect)), Stops::All, true, true);
        }
        let reached = reached_faces(layout);
        for part in layout.parts() {
            staying.body(layout, floor, part);
            staying.strips(floor, part, &reached);
            staying.opening(layout, floor, part);
            staying.zone(layout, floor, part);
            staying.air(layout, floor, part, choices);
        }
        // Last: their places are chosen by what is taken already.
        for part in layout.parts() {
            if let Some(space) = &part.space {
                staying.work_space(layout, floor, part, space);
            }
        }
        if let Some(corners) = part {
            staying.outside_part(floor, corners);
        }
        staying
    }

    fn add(&mut self, shape: Option<Shape>, stops: Stops, walk: bool, gap: bool) {
        if shape.is_some() {
            self.obstacles.push(Obstacle {
                shape,
                stops,
                walk,
                gap,
            });
        }
    }

    /// A shape that stands along the axes, or is counted as odd.
    fn add_square(&mut self, floor: &Floor, shape: &Convex, stops: Stops, walk: bool, gap: bool) {
        let shape = floor.frame.shape(shape);
        self.odd |= matches!(shape, Some(Shape::Convex(_)));
        self.add(shape, stops, walk, gap);
    }

    fn body(&mut self, layout: &Layout, floor: &Floor, part: &Part) {
        let Some(solid) = &part.solid else { return };
        let people = Heights {
            low: 0.0,
            high: layout.limits().headroom.value.mm(),
        };
        let walk = solid.heights.overlap(people);
        self.add_square(
            floor,
            &solid.shape,
            Stops::Bodies(solid.heights),
            walk,
            part.fixed,
        );
    }

    /// Strips of staying racks: no body may stand in them, and those that can be reached now must stay so.
    fn strips(&mut self, floor: &Floor, part: &Part, reached: &BTreeSet<(Id, Face)>) {
        for strip in part.strips() {
            self.add_square(floor, &strip.shape, Stops::All, false, false);
            if reached.contains(&(part.id, strip.face)) {
                self.strips.extend(within(floor, &strip.shape));
            }
        }
    }

    fn opening(&mut self, layout: &Layout, floor: &Floor, part: &Part) {
        if let Some(door) = &part.doorway
            && let Some(sweep) = &door.sweep
        {
            let heights = Heights {
                low: 0.0,
                high: door.height,
            };
            let shape = floor.frame.shape(sweep);
            self.add(shape, Stops::Bodies(heights), false, false);
        }
        if let Some(window) = &part.opening
            && window.way_out
            && let Some(before) = window.floor_before(layout.limits().aisle.value)
        {
            let heights = Heights {
                low: 0.0,
                high: window.heights.high,
            };
            self.add_square(floor, &before, Stops::Bodies(heights), false, false);
        }
    }

    fn zone(&mut self, layout: &Layout, floor: &Floor, part: &Part) {
        let Some(zone) = &part.zone else { return };
        if zone.purpose == ZoneUse::KeepClear {
            let thing = layout.plan().floor_kept(part.id);
            let stops = Stops::Bodies(zone.heights);
            self.add_square(floor, &zone.shape, stops, thing.is_some(), false);
            if let Some((thing, at)) = thing {
                let body = at.oblong(thing.width, thing.depth);
                let aisle = layout.limits().aisle.value;
                for face in &thing.faces {
                    let strip = Strip::before(&body, *face, aisle);
                    self.add_square(floor, &strip.shape, Stops::All, false, false);
                }
            }
        } else if zone.is_wet_in(layout.phase()) {
            let stops = Stops::PrintersUnder(zone.heights.high);
            self.add_square(floor, &zone.shape, stops, false, false);
        }
    }

    fn air(&mut self, layout: &Layout, floor: &Floor, part: &Part, choices: &[Choice]) {
        if part.kind != ItemKind::Cooling {
            return;
        }
        let Some(jet) = &part.jet else {
            self.unknown.push(format!(
                "where cooling unit {} blows is unknown: no floor is kept clear for its air",
                part.id
            ));
            return;
        };
        let limit = layout.limits().jet_hard.value.value();
        self.obstacles.push(Obstacle {
            shape: None,
            stops: Stops::Air(outlines(floor, jet, limit, choices)),
            walk: false,
            gap: false,
        });
    }

    /// The working space of a panel, where along the wall it takes least.
    fn work_space(&mut self, layout: &Layout, floor: &Floor, part: &Part, space: &WorkSpace) {
        let (from, to) = checks::free_stretch(layout, part, space);
        let from = from.max(space.case.1 - space.width);
        let to = to.min(space.case.0 + space.width);
        let room = (to - from - space.width).max(0.0);
        let width = space.width.min(to - from);
        let middle = (space.case.0 + space.case.1 - space.width) * 0.5;
        let centred = middle.max(from).min(from + room);
        // Edges that are there already: any other place would give the lattice new lines for nothing.
        let best = self
            .edges_along(floor, space)
            .flat_map(|edge| [edge, edge - width])
            .chain([from, from + room, centred])
            .filter(|start| (from..=from + room).contains(start))
            .map(|start| (start, self.taken(floor, space, start, width)))
            .max_by(|(a, taken), (b, others)| {
                let off = |start: &f64| (start - centred).abs();
                taken.cmp(others).then(off(b).total_cmp(&off(a)))
            });
        if let Some((start, _)) = best
            && let Some(shape) = before_case(space, start, width)
        {
            self.add_square(floor, &shape, Stops::Bodies(space.heights), false, false);
        }
    }

    /// Where what stays begins and ends along the wall of a panel.
    fn edges_along(&self, floor: &Floor, space: &WorkSpace) -> impl Iterator<Item = f64> {
        let start = floor.frame.place(space.wall.start);
        let along = floor.frame.direction(space.wall.along);
        self.obstacles
            .iter()
            .filter_map(|o| match &o.shape {
                Some(Shape::Rect(rect)) => Some(rect.convex()),
                Some(Shape::Convex(_)) | None => None,
            })
            .flat_map(move |shape| {
                let (near, far) = shape.along(along);
                [near - start.dot(along), far - start.dot(along)]
            })
    }

    /// How many of the places of a working space no rack could stand on anyway.
    fn taken(&self, floor: &Floor, space: &WorkSpace, start: f64, width: f64) -> u32 {
        let share = |k: u32| (f64::from(k) + 0.5) / f64::from(SAMPLES);
        let places = (0..SAMPLES).flat_map(|i| (0..SAMPLES).map(move |j| (i, j)));
        let taken = places.filter(|(i, j)| {
            let place = space.wall.point(
                start + width * share(*i),
                space.front + space.depth * share(*j),
            );
            self.is_taken(floor.frame.place(place))
        });
        u32::try_from(taken.count()).unwrap_or(u32::MAX)
    }

    /// True where bodies from the floor up are stopped at a place of the frame.
    fn is_taken(&self, place: Point) -> bool {
        self.obstacles.iter().any(|o| {
            let whole = match &o.stops {
                Stops::All => true,
                Stops::Bodies(heights) => heights.low <= 0.0,
                Stops::PrintersUnder(_) | Stops::Air(_) => false,
            };
            whole
                && match &o.shape {
                    Some(Shape::Rect(rect)) => rect.convex().contains(place),
                    Some(Shape::Convex(shape)) => shape.contains(place),
                    None => false,
                }
        })
    }

    /// Everything outside a rectangle of the plan between two corners.
    fn outside_part(&mut self, floor: &Floor, (a, b): (Point, Point)) {
        let (low, high) = (a.min(b), a.max(b));
        let whole = floor.whole().convex();
        let sides = [
            (low, -Point::X),
            (low, -Point::Y),
            (high, Point::X),
            (high, Point::Y),
        ];
        for (corner, out) in sides {
            let (at, out) = (floor.frame.place(corner), floor.frame.direction(out));
            let Some(piece) = whole.cut(at, out).filter(has_inside) else {
                continue;
            };
            let shape = frame::shape_of(&piece);
            self.odd |= matches!(shape, Some(Shape::Convex(_)));
            self.add(shape, Stops::All, false, false);
        }
    }

    /// True where something stops `one` somewhere where it does not stop `other`.
    pub(super) fn stops_more(&self, one: &Choice, other: &Choice) -> bool {
        self.obstacles.iter().any(|o| o.stops_more(one, other))
    }

    /// The blocks of the packing problem for these choices.
    pub(super) fn blocks(&self, choices: &[Choice]) -> Vec<Block> {
        self.obstacles
            .iter()
            .flat_map(|o| o.blocks(choices))
            .collect()
    }
}

fn has_inside(shape: &Convex) -> bool {
    shape.points().len() > 2 && shape.bounds().size().min_element() > TOLERANCE_MM
}

/// The working space that begins at that place along the wall.
fn before_case(space: &WorkSpace, start: f64, width: f64) -> Option<Convex> {
    let corner = |along: f64, out: f64| space.wall.point(along, space.front + out);
    (width > TOLERANCE_MM)
        .then(|| {
            Convex::new(vec![
                corner(start, 0.0),
                corner(start + width, 0.0),
                corner(start + width, space.depth),
                corner(start, space.depth),
            ])
        })
        .flatten()
}

/// A strip along the axes; of a turned one the greatest square inside it that stands along them.
fn within(floor: &Floor, strip: &Convex) -> Option<Rect> {
    let shape = match floor.frame.shape(strip)? {
        Shape::Rect(rect) => return Some(rect),
        Shape::Convex(shape) => shape,
    };
    let middle = shape.middle();
    let half = shape
        .sides()
        .map(|(a, b)| {
            let normal = (b - a).normalize_or_zero().perp();
            (middle - a).dot(normal) / (normal.x.abs() + normal.y.abs())
        })
        .fold(f64::INFINITY, f64::min);
    let (low, high) = (middle - Point::splat(half), middle + Point::splat(half));
    Some(Rect {
        x0: frame::over(low.x),
        y0: frame::over(low.y),
        x1: frame::under(high.x),
        y1: frame::under(high.y),
    })
}
