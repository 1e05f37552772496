//! The things that must also fit: carried to the floor that is kept for them, else to any place where they could be worked at. Finds
//! no arrangement; that is for fill.

use super::{Finding, Held, Size, Spread, Way, carried, stood_before, told};
use crate::geometry::{Convex, Oblong, Point};
use crate::layout::{Layout, Strip};
use crate::plan::{Id, MustFit, PhaseNo, Plan, Pose};
use crate::stock::Face;
use crate::units::capital;

/// The most characters of a thing's name in that of its finding, which has to remain a label.
const NAME_MOST: usize = 150;

pub(super) fn run(layout: &Layout, ways: &[Way<'_>]) -> Vec<Finding> {
    let list = layout.plan().head().must_fit.iter();
    list.filter_map(|thing| judged(layout, ways, thing))
        .collect()
}

/// The finding about one thing; `None` where it comes in another phase.
fn judged(layout: &Layout, ways: &[Way<'_>], thing: &MustFit) -> Option<Finding> {
    let kept = kept(layout.plan(), thing);
    if kept.is_some_and(|(_, phase, _)| phase != layout.phase()) {
        return None;
    }
    let size: Size = [thing.width, thing.depth, thing.height];
    let aisle = layout.limits().aisle.value;
    let strips = |body: &Oblong| -> Vec<Strip> {
        let faces = thing.faces.iter();
        faces.map(|f| Strip::before(body, *f, aisle)).collect()
    };
    let ground = Ground::of(layout, thing);
    let place = kept.map(|(.., at)| at.oblong(thing.width, thing.depth));
    let fates = carried(layout, ways, size, &[()], |spread, ()| match &place {
        Some(body) => spread.brings_to(body, &strips(body)),
        None => places(spread, thing).any(|body| ground.bears(&body, &strips(&body))),
    });
    let name = thing.name.as_str();
    let mut finding = told(layout, ways, &capital(name), size, fates.first()?);
    if let Some((id, ..)) = kept {
        finding.items.insert(0, id);
    }
    let short: String = name.chars().take(NAME_MOST).collect();
    // Named after the thing alone, whichever door and floor it comes to.
    finding.named_by = 0;
    Some(finding.facet(format!("the {short}")))
}

/// The floor that is kept for a thing, and from which phase on.
fn kept(plan: &Plan, thing: &MustFit) -> Option<(Id, PhaseNo, Pose)> {
    plan.items().iter().find_map(|(id, item)| {
        let (kept, at) = plan.floor_kept(id)?;
        (kept.name == thing.name).then_some((id, item.presence().arrives, at))
    })
}

/// The ways in which a thing could stand, upright, where it is carried to: as it is held or lying over any side.
fn places<'a>(spread: &'a Spread, thing: &'a MustFit) -> impl Iterator<Item = Oblong> + 'a {
    let (width, depth) = (thing.width.mm(), thing.depth.mm());
    spread.carry.square_places().flat_map(move |held| {
        let long = held.across();
        let along = if width >= depth { long } else { long.perp() };
        let turns: &[Point] = match spread.held {
            Held::Upright => &[along, -along],
            Held::OnEnd | Held::OnBack => &[along, -along, along.perp(), -along.perp()],
        };
        // Where it is carried there is room to spare all round; for good it may stand back from its face by that much.
        let back = match thing.faces.first() {
            Some(Face::Back) => Point::new(0.0, -1.0),
            Some(Face::Left) => Point::X,
            Some(Face::Right) => Point::new(-1.0, 0.0),
            Some(Face::Front) | None => Point::Y,
        } * spread.carry.spare_mm();
        turns
            .iter()
            .map(|across| Oblong::new(held.centre(), width, depth, (across.y, across.x)))
            .flat_map(|body| [body, body.moved(body.at(back.x, back.y) - body.centre())])
            .collect::<Vec<_>>()
    })
}

/// What keeps a thing from standing somewhere for good.
struct Ground<'a> {
    layout: &'a Layout,
    /// What stood there before, up to the thing's own height once it stands.
    beside: Vec<Convex>,
    /// The same up to the height that a person works in.
    before_faces: Vec<Convex>,
}

impl<'a> Ground<'a> {
    fn of(layout: &'a Layout, thing: &MustFit) -> Self {
        let headroom = layout.limits().headroom.value.mm();
        Self {
            layout,
            beside: stood_before(layout, thing.height.mm()),
            before_faces: stood_before(layout, headroom),
        }
    }

    /// True where a thing could stand there for good, with the floor to work at it, out of the way of doors.
    fn bears(&self, body: &Oblong, strips: &[Strip]) -> bool {
        let free = |shape: &Convex, bodies: &[Convex]| {
            self.layout.room().holds(shape) && !bodies.iter().any(|b| b.overlaps(shape))
        };
        let shape = body.convex();
        let in_a_swing = || {
            let doors = self.layout.parts().filter_map(|p| p.doorway.as_ref());
            let mut sweeps = doors.filter_map(|d| d.sweep.as_ref());
            sweeps.any(|sweep| sweep.overlaps(&shape))
        };
        free(&shape, &self.beside)
            && !in_a_swing()
            && strips.iter().all(|s| free(&s.shape, &self.before_faces))
    }
}
