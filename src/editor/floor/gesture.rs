//! What the pointer is doing on the floor, as a value: stepped by plain functions, turned into at most one edit on release.
//! Until then the document is untouched and only a plan *as if dropped* is shown.

use std::sync::Arc;

use super::placing;
use super::snap::{self, Outline};
use super::typed::Typed;
use super::walls;
use super::written;
use crate::editor::action::StockEntry;
use crate::geometry::Point;
use crate::layout::{Layout, Wall};
use crate::plan::{Edit, Id, Library, Plan, Record, WallPlace};
use crate::units::{Angle, Length};

/// What the pointer is doing.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Gesture {
    /// Nothing.
    #[default]
    Idle,
    /// Pushing the paper.
    Pan,
    /// Dragging things: from where on the floor, and by how much now.
    Drag {
        /// The things.
        ids: Vec<Id>,
        /// Where they were taken hold of.
        from: Point,
        /// Where the pointer is now.
        to: Point,
        /// True while snapping is off.
        free: bool,
        /// The distance typed meanwhile.
        typed: Typed,
        /// True where it moves in the phase on show and later only.
        from_phase: bool,
    },
    /// Dragging a box over things to select them.
    Marquee {
        /// One corner.
        from: Point,
        /// The other.
        to: Point,
    },
    /// Dragging a wall parallel to itself.
    Wall {
        /// The wall.
        wall: usize,
        /// Where it was taken hold of.
        from: Point,
        /// Where the pointer is now.
        to: Point,
        /// True while snapping is off.
        free: bool,
        /// The length of a neighbour typed meanwhile.
        typed: Typed,
    },
    /// Drawing the room anew from corner to corner.
    Draw {
        /// As what.
        shape: walls::Shape,
        /// One corner.
        from: Point,
        /// The other.
        to: Point,
        /// The sizes typed meanwhile.
        typed: walls::TypedSize,
    },
    /// Carrying something from the stock drawer.
    Carry {
        /// What.
        entry: StockEntry,
        /// Where over the floor it is now, if it is there.
        at: Option<Point>,
        /// The turn a person gave it; its back goes to the wall by itself where none was given.
        turn: Option<Angle>,
        /// True while snapping is off.
        free: bool,
        /// The distance typed meanwhile.
        typed: Typed,
    },
}

/// How far on the floor a thing is drawn to a wall or neighbour, given what a few points on the screen are in millimetres.
const REACH_POINTS: f32 = 9.0;

/// The reach of snapping for a zoom.
pub fn reach_mm(mm_per_point: f64) -> f64 {
    f64::from(REACH_POINTS) * mm_per_point
}

impl Gesture {
    /// The things that are dragged.
    pub fn carried(&self) -> &[Id] {
        match self {
            Self::Drag { ids, .. } => ids,
            Self::Idle
            | Self::Pan
            | Self::Marquee { .. }
            | Self::Wall { .. }
            | Self::Draw { .. }
            | Self::Carry { .. } => &[],
        }
    }

    /// The printer that a drag began on, of those that stand in what is dragged.
    pub fn printer(&self, layout: &Layout) -> Option<Id> {
        let Self::Drag { ids, from, .. } = self else {
            return None;
        };
        let slots = ids.iter().filter_map(|id| layout.part(*id));
        let mut printers = slots
            .flat_map(|part| part.slots())
            .filter_map(|s| s.printer.as_ref());
        let printer = printers.find(|p| p.footprint.convex().contains(*from))?;
        Some(printer.id)
    }

    /// The edit that a release would make now, and what would then be selected; `None` where nothing would change.
    pub fn edit(
        &self,
        library: &Library,
        layout: &Layout,
        reach_mm: f64,
    ) -> Option<(Edit, Vec<Id>)> {
        match self {
            Self::Idle | Self::Pan | Self::Marquee { .. } | Self::Carry { at: None, .. } => None,
            Self::Wall { .. } | Self::Draw { .. } => {
                let change = walls::change(self, layout)?;
                let edit = layout.plan().rebuilt(&library.stock, &change).ok()?;
                Some((edit, Vec::new()))
            }
            Self::Drag {
                ids,
                from,
                to,
                free,
                typed,
                from_phase,
            } => {
                let reach = if *free { 0.0 } else { reach_mm };
                let edit = dragged(layout, ids, (*from, *to), reach, typed)?;
                if let (Edit::Move(ids, by), true) = (&edit, *from_phase) {
                    return layout.plan().relocated(ids, layout.phase(), *by);
                }
                Some((edit, ids.clone()))
            }
            Self::Carry {
                entry,
                at: Some(at),
                turn,
                free,
                typed,
            } => {
                let reach = if *free { 0.0 } else { reach_mm };
                let (edit, id) = carried(library, layout, entry, (*at, *turn), reach, typed)?;
                Some((edit, vec![id]))
            }
        }
    }
}

/// The edit of a drag: one thing on a wall goes to the nearest wall, everything else moves by the same, snapped amount.
fn dragged(
    layout: &Layout,
    ids: &[Id],
    (from, to): (Point, Point),
    reach_mm: f64,
    typed: &Typed,
) -> Option<Edit> {
    if let [id] = ids {
        if layout.part(*id).is_some_and(|p| p.dimension.is_some()) {
            let typed = typed.length(layout.plan());
            return written::line_dragged(layout, *id, to, (typed, reach_mm > 0.0));
        }
        if let Some(edit) = along_walls(layout, *id, to, typed) {
            return Some(edit);
        }
    }
    let plain = whole(to - from, layout);
    let by = if reach_mm > 0.0 || !typed.text.is_empty() {
        // All others stay where they are, so that the outline alone tells where it would rest.
        let lead = ids.iter().find_map(|id| Outline::of(layout.part(*id)?));
        let more = lead.map_or((Length::ZERO, Length::ZERO), |outline| {
            let by = Point::new(plain.0.mm(), plain.1.mm());
            let (body, to_walls) = (outline.body.moved(by), outline.to_walls.moved(by));
            let outline = Outline {
                body: &body,
                to_walls: &to_walls,
            };
            settled(layout, &outline, ids, reach_mm, typed)
        });
        (plain.0 + more.0, plain.1 + more.1)
    } else {
        plain
    };
    (by != (Length::ZERO, Length::ZERO)).then(|| Edit::Move(ids.to_vec(), by))
}

/// The move that brings an outline to rest: against what is near, then to the distance typed.
fn settled(
    layout: &Layout,
    outline: &Outline<'_>,
    moving: &[Id],
    reach_mm: f64,
    typed: &Typed,
) -> (Length, Length) {
    let rest = if reach_mm > 0.0 {
        snap::rest(layout, outline, moving, reach_mm)
    } else {
        Point::ZERO
    };
    let exact = typed
        .length(layout.plan())
        .zip(typed.wall)
        .and_then(|(distance, wall)| {
            snap::to_distance(layout, &outline.body.moved(rest), wall, distance)
        })
        .unwrap_or(Point::ZERO);
    let by = rest + exact;
    (Length::from_mm(by.x), Length::from_mm(by.y))
}

/// A thing on a wall follows the pointer to the nearest place on any wall; a distance typed is that from the wall's first corner.
fn along_walls(layout: &Layout, id: Id, to: Point, typed: &Typed) -> Option<Edit> {
    let item = layout.plan().items().get(id)?;
    let old = item.wall_place()?;
    let width = item.wall_width(layout.stock());
    let place = placing::on_wall(layout, to, width)?;
    let along = Wall::at(layout.room(), place).and_then(|w| typed.along(layout.plan(), &w, width));
    let place = WallPlace {
        along: along.unwrap_or_else(|| grid(place.along, layout.plan())),
        kept_from: old.kept_from,
        ..place
    };
    (place != old).then(|| {
        let record = Record::Item(Box::new(item.with_wall_place(place)));
        Edit::Several(format!("Move {id}"), vec![Edit::Put(vec![(id, record)])])
    })
}

fn carried(
    library: &Library,
    layout: &Layout,
    entry: &StockEntry,
    (at, turn): (Point, Option<Angle>),
    reach_mm: f64,
    typed: &Typed,
) -> Option<(Edit, Id)> {
    let (x, y) = whole(at, layout);
    let (mut edit, id) = placing::put(layout, entry, Point::new(x.mm(), y.mm()), turn)?;
    slide_to_typed(&mut edit, layout, typed);
    let plan = layout.plan().edited(&library.stock, &edit).ok()?;
    let after = layout.step(library, &Arc::new(plan));
    let part = after.part(id)?;
    let outline = Outline::of(part).filter(|_| !part.fixed);
    let by = outline.map_or((Length::ZERO, Length::ZERO), |outline| {
        settled(&after, &outline, &[id], reach_mm, typed)
    });
    if by == (Length::ZERO, Length::ZERO) {
        return Some((edit, id));
    }
    let Edit::Several(name, mut parts) = edit else {
        return None;
    };
    parts.push(Edit::Move(vec![id], by));
    Some((Edit::Several(name, parts), id))
}

/// What comes down on a wall lies at the distance typed.
fn slide_to_typed(edit: &mut Edit, layout: &Layout, typed: &Typed) {
    let Edit::Several(_, parts) = edit else {
        return;
    };
    let Some(Edit::Put(records)) = parts.first_mut() else {
        return;
    };
    for (_, record) in records {
        if let Record::Item(item) = record
            && let Some(place) = item.wall_place()
            && let Some(wall) = Wall::at(layout.room(), place)
            && let Some(along) = typed.along(layout.plan(), &wall, item.wall_width(layout.stock()))
        {
            **item = item.with_wall_place(WallPlace { along, ..place });
        }
    }
}

/// A move on the floor in whole steps of the grid.
fn whole(by: Point, layout: &Layout) -> (Length, Length) {
    let step = |mm: f64| grid(Length::from_mm(mm), layout.plan());
    (step(by.x), step(by.y))
}

/// To the nearest inch or 10 mm: what a person would measure out on a floor.
pub(in crate::editor) fn grid(length: Length, plan: &Plan) -> Length {
    let step = step(plan);
    let count = (length.mm() / step.mm()).round();
    Length::from_mm(count * step.mm())
}

/// One step of the grid.
pub fn step(plan: &Plan) -> Length {
    match plan.practice() {
        crate::units::Practice::Us => Length::from_inches(1),
        crate::units::Practice::Metric => Length::from_mm_whole(10),
    }
}

/// The finest nudge: 1/16 in or 1 mm.
pub fn fine_step(plan: &Plan) -> Length {
    match plan.practice() {
        crate::units::Practice::Us => Length::from_mm(25.4 / 16.0),
        crate::units::Practice::Metric => Length::from_mm_whole(1),
    }
}
