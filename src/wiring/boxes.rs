//! Where the boxes of circuits to be added hang: the fewest for each circuit such that every cord reaches, not behind a rack unless
//! asked, not over a panel. Exact for a circuit on a lattice of places along the walls; chooses no circuit.

use std::collections::BTreeMap;

use super::ask::{Asked, RECEPTACLES};
use super::outcome::{Outcome, Place};
use crate::layout::{CordStart, Layout, Wall, WallFace};
use crate::plan::{Id, Item, ItemKind, WallPlace};
use crate::units::{Length, Practice};

/// Places along a wall lie so far apart: an inch, or 25 mm.
fn step(practice: Practice) -> Length {
    match practice {
        Practice::Us => Length::from_inches(1),
        Practice::Metric => Length::from_mm_whole(25),
    }
}

/// From a corner, and from whatever else hangs on the wall, a box keeps so far off, in millimetres: common practice, no source.
const OFF_MM: f64 = 100.0;

/// Half the width of a box with its plugs, in millimetres: common practice, no source.
const HALF_MM: f64 = 60.0;

/// A box to be hung.
#[derive(Clone, Debug, PartialEq)]
pub struct NewBox {
    /// Its circuit, by place in [`Outcome::added`].
    pub added: usize,
    /// Its middle on the wall, measured from the wall's first corner.
    pub at: WallPlace,
    /// Its middle above the floor.
    pub height: Length,
    /// Receptacles in it.
    pub receptacles: u8,
    /// What is plugged into it.
    pub plugs: Vec<Id>,
}

/// The boxes of a wiring.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Boxes {
    /// Circuit by circuit.
    pub hung: Vec<NewBox>,
    /// What no free place on a wall is within reach of.
    pub out_of_reach: Vec<Id>,
}

/// A place for a box, and how long the cord of each plug of a circuit is to it.
struct Spot {
    at: WallPlace,
    cords: Vec<Option<f64>>,
}

/// The fewest boxes for every added circuit.
pub(super) fn boxes(layout: &Layout, asked: &Asked, outcome: &Outcome, behind: bool) -> Boxes {
    let mut all = Boxes::default();
    if outcome.added.is_empty() {
        return all;
    }
    let height = usual_height(layout);
    let places = free_places(layout, height, behind);
    for added in 0..outcome.added.len() {
        let on_it = outcome.places.iter().zip(&asked.plugs);
        let plugs: Vec<Id> = on_it
            .filter(|(place, _)| **place == Place::Added(added))
            .map(|(_, plug)| plug.from)
            .collect();
        let starts = starts(layout, &plugs);
        let spots: Vec<Spot> = places
            .iter()
            .filter_map(|at| spot(layout, *at, height, &starts))
            .collect();
        hang(added, &plugs, &spots, height, &mut all);
    }
    all
}

/// The height of most outlets of the plan, else 18 in or 300 mm.
fn usual_height(layout: &Layout) -> Length {
    let mut counts: BTreeMap<Length, u32> = BTreeMap::new();
    for part in layout.of_kind(ItemKind::Outlet) {
        if let Some(Item::Outlet(outlet)) = layout.plan().items().get(part.id) {
            *counts.entry(outlet.height).or_default() += 1;
        }
    }
    let commonest = counts.into_iter().max_by_key(|(height, n)| (*n, *height));
    commonest.map_or_else(
        || match layout.plan().practice() {
            Practice::Us => Length::from_inches(18),
            Practice::Metric => Length::from_mm_whole(300),
        },
        |(height, _)| height,
    )
}

/// Every place on the lattice where a box may hang at that height.
fn free_places(layout: &Layout, height: Length, behind: bool) -> Vec<WallPlace> {
    let step = step(layout.plan().practice());
    let mut places = Vec::new();
    for number in 0.. {
        let Some(face) = layout.wall_face(number) else {
            break;
        };
        let Ok(wall) = u16::try_from(number) else {
            break;
        };
        let most = Length::from_mm(face.wall.length);
        let mut along = step;
        while along < most {
            if is_free(layout, &face, along.mm(), height.mm(), behind) {
                places.push(WallPlace::new(wall, along));
            }
            along += step;
        }
    }
    places
}

fn is_free(layout: &Layout, face: &WallFace, along: f64, height: f64, behind: bool) -> bool {
    let off_corners = along >= OFF_MM && along <= face.wall.length - OFF_MM;
    let near = |(from, to): (f64, f64)| from - OFF_MM < along && along < to + OFF_MM;
    let fixed = face.fixed.iter().any(|thing| {
        let in_height = thing.heights.low - OFF_MM < height && height < thing.heights.high + OFF_MM;
        // Above and below a panel stays free too.
        near(thing.along) && (in_height || thing.kind == ItemKind::Panel)
    });
    let hidden = face.before.iter().any(|body| {
        let (from, to) = body.along;
        let fixed = body.kind == ItemKind::Column;
        (fixed || !behind)
            && from - HALF_MM < along
            && along < to + HALF_MM
            && body.heights.low < height
            && height < body.heights.high
    });
    let wet = layout.of_kind(ItemKind::Zone).any(|part| {
        let zone = part.zone.as_ref();
        zone.is_some_and(|z| {
            z.is_wet_in(layout.phase()) && z.shape.contains(face.wall.point(along, 0.0))
        })
    });
    off_corners && !fixed && !hidden && !wet
}

fn starts(layout: &Layout, plugs: &[Id]) -> Vec<Option<CordStart>> {
    let of_printer = |id: Id| {
        let (slot, printer) = layout.printers().find(|(_, p)| p.id == id)?;
        layout.cord_of_printer(slot, printer)
    };
    plugs
        .iter()
        .map(|id| layout.cord_of_ups(*id).or_else(|| of_printer(*id)))
        .collect()
}

fn spot(
    layout: &Layout,
    at: WallPlace,
    height: Length,
    starts: &[Option<CordStart>],
) -> Option<Spot> {
    let wall = Wall::at(layout.room(), at)?;
    let point = wall.point(at.along.mm(), 0.0);
    let cords: Vec<Option<f64>> = starts
        .iter()
        .map(|start| layout.cord_reaches_to(start.as_ref()?, point, height.mm()))
        .collect();
    cords
        .iter()
        .any(Option::is_some)
        .then_some(Spot { at, cords })
}

/// Hangs the fewest boxes that every plug of a circuit reaches: over all sets of plugs, the best place that serves just these, and of
/// these sets the fewest that make up the whole. An added circuit takes no more than [`RECEPTACLES`] plugs, so that there are few.
fn hang(added: usize, plugs: &[Id], spots: &[Spot], height: Length, all: &mut Boxes) {
    let reached: Vec<usize> = (0..plugs.len())
        .filter(|k| {
            spots
                .iter()
                .any(|s| s.cords.get(*k).is_some_and(Option::is_some))
        })
        .collect();
    let lost = (0..plugs.len()).filter(|k| !reached.contains(k));
    all.out_of_reach
        .extend(lost.filter_map(|k| plugs.get(k).copied()));
    let sets = 1_usize << reached.len().min(16);
    // For each set of plugs the best box that serves all of it.
    let best: Vec<Option<(f64, &Spot)>> = (0..sets)
        .map(|set| {
            let serve = spots.iter().filter_map(|spot| {
                let cords = members(set, &reached).map(|k| spot.cords.get(k).copied().flatten());
                let sum = cords.sum::<Option<f64>>()?;
                Some((sum, spot))
            });
            let key = |(sum, spot): &(f64, &Spot)| (*sum, spot.at.wall, spot.at.along);
            serve.min_by(|a, b| {
                let ((a, aw, aa), (b, bw, ba)) = (key(a), key(b));
                a.total_cmp(&b).then(aw.cmp(&bw)).then(aa.cmp(&ba))
            })
        })
        .collect();
    for set in fewest(&best) {
        if let Some(Some((_, spot))) = best.get(set) {
            let on_it = members(set, &reached).filter_map(|k| plugs.get(k).copied());
            all.hung.push(NewBox {
                added,
                at: spot.at,
                height,
                receptacles: u8::try_from(RECEPTACLES).unwrap_or(u8::MAX),
                plugs: on_it.collect(),
            });
        }
    }
}

fn members(set: usize, of: &[usize]) -> impl Iterator<Item = usize> + '_ {
    let chosen = of.iter().enumerate();
    chosen
        .filter(move |(bit, _)| set >> bit & 1 == 1)
        .map(|(_, k)| *k)
}

/// The fewest served sets that make up all, the shorter cords among as few.
fn fewest(best: &[Option<(f64, &Spot)>]) -> Vec<usize> {
    // For each set: boxes, cords in all, the last box and what was served before it.
    let mut made: Vec<Option<(u32, f64, usize)>> = vec![None; best.len()];
    if let Some(first) = made.first_mut() {
        *first = Some((0, 0.0, 0));
    }
    for set in 1..best.len() {
        let mut part = set;
        while part > 0 {
            let rest = made.get(set & !part).copied().flatten();
            let served = best.get(part).copied().flatten();
            if let (Some((boxes, cords, _)), Some((more, _))) = (rest, served) {
                let (boxes, cords) = (boxes + 1, cords + more);
                let better = made
                    .get(set)
                    .copied()
                    .flatten()
                    .is_none_or(|(n, c, _)| boxes < n || (boxes == n && cords < c - 1e-9));
                if better && let Some(slot) = made.get_mut(set) {
                    *slot = Some((boxes, cords, part));
                }
            }
            part = (part - 1) & set;
        }
    }
    let mut chosen = Vec::new();
    let mut left = best.len().saturating_sub(1);
    while left > 0 {
        let Some((_, _, part)) = made.get(left).copied().flatten() else {
            break;
        };
        chosen.push(part);
        left &= !part;
    }
    chosen
}
