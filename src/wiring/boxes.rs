//! Where the boxes of circuits to be added hang: the fewest for each circuit such that every cord reaches, not behind a rack unless
//! asked, not over a panel's working space. Exact for a circuit on a lattice of places along the walls, with a bound for the room; adds
//! no circuit, and leaves on each as much as it carries.

use std::collections::BTreeMap;

use super::ask::{Asked, RECEPTACLES, whole};
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

/// What feeds a box that is to be hung.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Feed {
    /// A circuit to be added, by its place in [`Outcome::added`].
    Added(usize),
    /// A circuit of the plan that has no box yet, by the place of that box among the outlets of the problem.
    Outlet(usize),
}

/// A box to be hung.
#[derive(Clone, Debug, PartialEq)]
pub struct NewBox {
    /// What feeds it.
    pub on: Feed,
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
    /// No fewer boxes at places of the lattice serve these circuits.
    pub at_least: usize,
    /// What no free place on a wall is within reach of.
    pub out_of_reach: Vec<Id>,
}

impl Boxes {
    /// How many boxes, and how sure that no fewer do; none where there is none to hang.
    pub fn words(&self) -> Option<String> {
        let boxes = match self.hung.len() {
            0 => return None,
            1 => "1 box to be hung".to_owned(),
            n => format!("{n} boxes to be hung"),
        };
        Some(if self.hung.len() <= self.at_least {
            format!("{boxes}; proved: no fewer serve these circuits")
        } else {
            format!("{boxes}; found, at least {} are needed", self.at_least)
        })
    }
}

/// A place for a box, and how long the cord of each load is to it.
struct Spot {
    at: WallPlace,
    cords: Vec<Option<f64>>,
}

/// Loads that need a box, and where one may hang. Loads are counted in this list.
struct Sought {
    /// Which of the problem's loads each is.
    loads: Vec<usize>,
    /// How far along the walls each begins, in millimetres.
    along: Vec<f64>,
    spots: Vec<Spot>,
}

/// Loads by what feeds their boxes.
type Groups = BTreeMap<Feed, Vec<usize>>;

/// The fewest boxes for every circuit that needs some. Loads that draw the same may change their circuits for it.
pub(super) fn boxes(layout: &Layout, asked: &Asked, outcome: &mut Outcome, behind: bool) -> Boxes {
    let fed: Vec<(usize, Feed)> = (outcome.places.iter().enumerate())
        .filter_map(|(load, place)| Some((load, feed(asked, *place)?)))
        .collect();
    if fed.is_empty() {
        return Boxes::default();
    }
    let height = usual_height(layout);
    let places = free_places(layout, height, behind);
    let loads: Vec<usize> = fed.iter().map(|(load, _)| *load).collect();
    let starts = starts(layout, asked, &loads);
    let sought = Sought {
        along: starts
            .iter()
            .map(|s| s.as_ref().and_then(|s| layout.cord_along_walls(s)))
            .map(Option::unwrap_or_default)
            .collect(),
        spots: places
            .iter()
            .filter_map(|at| spot(layout, *at, height, &starts))
            .collect(),
        loads,
    };
    let mut groups = Groups::new();
    for (k, (_, feed)) in fed.iter().enumerate() {
        groups.entry(*feed).or_default().push(k);
    }
    gather(asked, &sought, &mut groups);
    for (feed, group) in &groups {
        for load in group.iter().filter_map(|k| sought.loads.get(*k)) {
            if let Some(place) = outcome.places.get_mut(*load) {
                *place = feed.place();
            }
        }
    }
    hung(asked, &sought, &groups, height)
}

impl Feed {
    fn place(self) -> Place {
        match self {
            Self::Added(k) => Place::Added(k),
            Self::Outlet(k) => Place::Outlet(k),
        }
    }
}

/// What feeds the box that a load needs; none where it has one, or stays without power.
fn feed(asked: &Asked, place: Place) -> Option<Feed> {
    match place {
        Place::Added(k) => Some(Feed::Added(k)),
        Place::Outlet(k) => asked.outlets.get(k)?.is_none().then_some(Feed::Outlet(k)),
        Place::Unpowered(_) => None,
    }
}

fn hung(asked: &Asked, sought: &Sought, groups: &Groups, height: Length) -> Boxes {
    let mark = |k: &usize| {
        let load = sought.loads.get(*k)?;
        asked.plugs.get(*load).map(|plug| plug.from)
    };
    let reached = |k: &usize| sought.spots.iter().any(|s| s.reaches(*k));
    let mut all = Boxes::default();
    for (feed, group) in groups {
        for (spot, on_it) in fewest_for(&sought.spots, group) {
            let mut plugs: Vec<Id> = on_it.iter().filter_map(mark).collect();
            plugs.sort_unstable();
            all.hung.push(NewBox {
                on: *feed,
                at: spot.at,
                height,
                receptacles: u8::try_from(RECEPTACLES).unwrap_or(u8::MAX),
                plugs,
            });
        }
        let lost = group.iter().filter(|k| !reached(k));
        all.out_of_reach.extend(lost.filter_map(mark));
    }
    let served = groups.values().filter(|group| group.iter().any(reached));
    all.at_least = served.count().max(apart(sought));
    all
}

/// So many loads of which no two could share a box, whatever feeds them.
fn apart(sought: &Sought) -> usize {
    let mut order: Vec<(usize, usize)> = (0..sought.loads.len())
        .map(|k| {
            let within = sought.spots.iter().filter(|s| s.reaches(k));
            (within.count(), k)
        })
        .filter(|(within, _)| *within > 0)
        .collect();
    // Those with few places first: they take little from the others.
    order.sort_unstable();
    let mut taken: Vec<&Spot> = Vec::new();
    let mut count = 0;
    for (_, k) in order {
        if taken.iter().all(|spot| !spot.reaches(k)) {
            count += 1;
            taken.extend(sought.spots.iter().filter(|s| s.reaches(k)));
        }
    }
    count
}

/// Brings loads that draw the same, and begin near each other, onto one circuit where that saves boxes or cord. Every circuit carries
/// as much as before.
fn gather(asked: &Asked, sought: &Sought, groups: &mut Groups) {
    let alike = |k: usize| {
        let load = asked.problem.loads.get(*sought.loads.get(k)?)?;
        Some((load.class, load.draw))
    };
    let mut kinds: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for k in 0..sought.loads.len() {
        kinds.entry(alike(k)).or_default().push(k);
    }
    let mut kinds: Vec<Vec<usize>> = kinds.into_values().collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(kind.len()));
    let along = |k: &usize| sought.along.get(*k).copied().unwrap_or_default();
    let mut least = cost(sought, groups);
    for kind in &mut kinds {
        kind.sort_by(|a, b| along(a).total_cmp(&along(b)).then(a.cmp(b)));
        // The ring of walls is cut at one place after another of the first circuit.
        let most = groups.values().map(Vec::len).max().unwrap_or(0);
        for turn in 0..most.min(kind.len()) {
            let mut ring = kind.clone();
            ring.rotate_left(turn);
            let other = dealt(sought, groups, &ring);
            let costs = cost(sought, &other);
            if costs < least {
                (least, *groups) = (costs, other);
            }
        }
    }
}

/// The same groups with loads of one kind dealt out in that order: as many to each as it had, those first whose other loads
/// begin first.
fn dealt(sought: &Sought, groups: &Groups, ring: &[usize]) -> Groups {
    let mut others = groups.clone();
    for group in others.values_mut() {
        group.retain(|k| !ring.contains(k));
    }
    let mean = |feed: &Feed| {
        let group = others.get(feed).map_or(&[][..], Vec::as_slice);
        let along = group.iter().filter_map(|k| sought.along.get(*k));
        along.sum::<f64>() / group.len().max(1) as f64
    };
    let mut order: Vec<(f64, Feed)> = groups.keys().map(|feed| (mean(feed), *feed)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut left = ring.iter();
    for (_, feed) in order {
        let had = groups.get(&feed).map_or(0, Vec::len);
        let kept = others.entry(feed).or_default();
        let more = had.saturating_sub(kept.len());
        kept.extend(left.by_ref().take(more));
    }
    others
}

/// Boxes of all groups, then cord in whole millimetres.
fn cost(sought: &Sought, groups: &Groups) -> (usize, u64) {
    let boxes = groups.values().flat_map(|g| fewest_for(&sought.spots, g));
    boxes.fold((0, 0), |(count, cords), (spot, plugs)| {
        let own = plugs.iter().filter_map(|k| spot.cords.get(*k).copied()?);
        (count + 1, cords + whole(own.sum()).map_or(0, u64::from))
    })
}

impl Spot {
    fn reaches(&self, load: usize) -> bool {
        self.cords.get(load).is_some_and(Option::is_some)
    }
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
    let before_panel = layout.panels().any(|(part, _)| {
        part.space.as_ref().is_some_and(|space| {
            let middle = (space.case.0 + space.case.1) * 0.5;
            space.wall.number == face.wall.number
                && (along - middle).abs() < space.width * 0.5 + HALF_MM
                && height < space.heights.high
        })
    });
    let wet = layout.of_kind(ItemKind::Zone).any(|part| {
        let zone = part.zone.as_ref();
        zone.is_some_and(|z| {
            z.is_wet_in(layout.phase()) && z.shape.contains(face.wall.point(along, 0.0))
        })
    });
    off_corners && !fixed && !hidden && !before_panel && !wet
}

fn starts(layout: &Layout, asked: &Asked, loads: &[usize]) -> Vec<Option<CordStart>> {
    let of_printer = |id: Id| {
        let (slot, printer) = layout.printers().find(|(_, p)| p.id == id)?;
        layout.cord_of_printer(slot, printer)
    };
    let plugs = loads.iter().map(|load| asked.plugs.get(*load));
    plugs
        .map(|plug| {
            let id = plug?.from;
            layout.cord_of_ups(id).or_else(|| of_printer(id))
        })
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

/// The fewest boxes that all plugs of one circuit reach, each with its plugs: over all sets of plugs, the best place that serves just
/// these, and of these sets the fewest that make up the whole. Such a circuit takes no more than [`RECEPTACLES`] plugs, so that there
/// are few sets.
fn fewest_for<'a>(spots: &'a [Spot], plugs: &[usize]) -> Vec<(&'a Spot, Vec<usize>)> {
    let near: Vec<&Spot> = spots
        .iter()
        .filter(|spot| plugs.iter().any(|k| spot.reaches(*k)))
        .collect();
    let reached: Vec<usize> = plugs
        .iter()
        .copied()
        .filter(|k| near.iter().any(|s| s.reaches(*k)))
        .collect();
    let sets = 1_usize << reached.len().min(16);
    // For each set of plugs the best box that serves all of it.
    let best: Vec<Option<(f64, &Spot)>> = (0..sets)
        .map(|set| {
            let serve = near.iter().filter_map(|spot| {
                let cords = members(set, &reached).map(|k| spot.cords.get(k).copied().flatten());
                let sum = cords.sum::<Option<f64>>()?;
                Some((sum, *spot))
            });
            let key = |(sum, spot): &(f64, &Spot)| (*sum, spot.at.wall, spot.at.along);
            serve.min_by(|a, b| {
                let ((a, aw, aa), (b, bw, ba)) = (key(a), key(b));
                a.total_cmp(&b).then(aw.cmp(&bw)).then(aa.cmp(&ba))
            })
        })
        .collect();
    let boxes = fewest(&best).into_iter().filter_map(|set| {
        let (_, spot) = best.get(set).copied().flatten()?;
        Some((spot, members(set, &reached).collect()))
    });
    boxes.collect()
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
