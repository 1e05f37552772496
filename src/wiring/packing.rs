//! One class of the problem, made small and put in an order of its own: rooms with free currents, and kinds of loads that
//! nothing tells apart. The order in which loads were entered is gone here.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Amps, Problem};

/// The outlet that stands for the box of any added circuit.
pub(super) const NEW: usize = usize::MAX;

/// What one circuit still takes.
#[derive(Clone, Debug)]
pub(super) struct Room {
    pub free: Amps,
    /// Outlets with their free receptacles, none of them without.
    pub outlets: Vec<(usize, usize)>,
}

impl Room {
    /// Receptacles in all.
    pub(super) fn receptacles(&self) -> usize {
        self.outlets.iter().map(|(_, n)| n).sum()
    }

    /// Whether such a load could be here alone.
    pub(super) fn takes(&self, kind: &Kind) -> bool {
        self.free.covers(kind.draw) && self.outlets.iter().any(|(o, _)| kind.reaches(*o))
    }
}

/// Loads that nothing tells apart but the length of their cords.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    pub draw: Amps,
    /// Outlets within reach, sorted; [`NEW`] among them where a circuit may be added for it.
    pub reach: Vec<usize>,
    /// Whether its loads are pinned, and so go before all others.
    pub is_pinned: bool,
    /// Its loads, by place in the problem.
    pub loads: Vec<usize>,
}

impl Kind {
    pub(super) fn reaches(&self, outlet: usize) -> bool {
        self.reach.binary_search(&outlet).is_ok()
    }
}

/// Kinds to be put into rooms.
#[derive(Clone, Debug)]
pub(super) struct Packing {
    /// Greatest draw first.
    pub kinds: Vec<Kind>,
    /// Circuits that exist.
    pub rooms: Vec<Room>,
    /// What one added circuit takes, and how many there may be.
    pub new: Option<(Room, usize)>,
    /// What a loose load left without power costs in added circuits: more than there can be.
    pub unpowered_cost: u64,
}

/// Counts of loads by kind.
pub(super) type Counts = Vec<usize>;

impl Packing {
    /// All loads, by kind.
    pub(super) fn counts(&self) -> Counts {
        self.kinds.iter().map(|k| k.loads.len()).collect()
    }

    /// What a load of this kind costs where it is left without power. A pinned one counts for more than all others.
    pub(super) fn unpowered(&self, kind: &Kind) -> u64 {
        if kind.is_pinned {
            self.unpowered_cost * self.unpowered_cost
        } else {
            self.unpowered_cost
        }
    }

    /// How many circuits may be added at most.
    pub(super) fn most_new(&self) -> usize {
        self.new.as_ref().map_or(0, |(_, most)| *most)
    }

    /// The packing of these loads of one class.
    pub(super) fn of(problem: &Problem, class: u8, loads: &[usize]) -> Self {
        let mut rooms: BTreeMap<usize, Room> = BTreeMap::new();
        for (k, outlet) in problem.outlets.iter().enumerate() {
            let is_class = problem.circuits[outlet.circuit].class == class;
            if let (true, Ok(n @ 1..)) = (is_class, usize::try_from(outlet.receptacles)) {
                let room = rooms.entry(outlet.circuit).or_insert_with(|| Room {
                    free: problem.circuits[outlet.circuit].free(),
                    outlets: Vec::new(),
                });
                room.outlets.push((k, n));
            }
        }
        let new = problem.offers.get(&class).map(|o| {
            let receptacles = usize::try_from(o.receptacles).unwrap_or(usize::MAX);
            let most = o
                .most
                .map_or(usize::MAX, |m| usize::try_from(m).unwrap_or(usize::MAX));
            let room = Room {
                free: o.limit,
                outlets: vec![(NEW, receptacles)],
            };
            (room, most.min(loads.len()))
        });
        let new = new.filter(|(room, most)| room.receptacles() > 0 && *most > 0);
        let kinds = kinds(problem, loads, &rooms, new.as_ref().map(|n| &n.0));
        Self {
            kinds,
            rooms: rooms.into_values().collect(),
            new,
            unpowered_cost: loads.len() as u64 + 1,
        }
    }
}

/// The loads by kind; outlets whose circuit could not take the load alone are out of its reach.
fn kinds(
    problem: &Problem,
    loads: &[usize],
    rooms: &BTreeMap<usize, Room>,
    new: Option<&Room>,
) -> Vec<Kind> {
    let open: BTreeMap<usize, Amps> = rooms
        .values()
        .flat_map(|r| r.outlets.iter().map(|(o, _)| (*o, r.free)))
        .collect();
    let mut kinds: BTreeMap<(Amps, bool, Vec<usize>), Vec<usize>> = BTreeMap::new();
    for &k in loads {
        let load = &problem.loads[k];
        let mut reach: BTreeSet<usize> = load
            .outlets()
            .filter(|o| open.get(o).is_some_and(|free| free.covers(load.draw)))
            .collect();
        if load.may_add() && new.is_some_and(|n| n.free.covers(load.draw)) {
            reach.insert(NEW);
        }
        if !reach.is_empty() {
            let key = (
                load.draw,
                load.pinned.is_some(),
                reach.into_iter().collect(),
            );
            kinds.entry(key).or_default().push(k);
        }
    }
    let mut kinds: Vec<Kind> = kinds
        .into_iter()
        .map(|((draw, is_pinned, reach), loads)| Kind {
            draw,
            reach,
            is_pinned,
            loads,
        })
        .collect();
    kinds.sort_by(|a, b| {
        weight(b.draw)
            .cmp(&weight(a.draw))
            .then(b.draw.cmp(&a.draw))
            .then(b.is_pinned.cmp(&a.is_pinned))
            .then(a.reach.cmp(&b.reach))
    });
    kinds
}

fn weight(draw: Amps) -> u64 {
    u64::from(draw.running_ma) + u64::from(draw.peak_ma)
}

/// Loads in rooms, by counts of kinds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Packed {
    /// What each room of the packing holds.
    pub rooms: Vec<Counts>,
    /// What each added circuit holds.
    pub new: Vec<Counts>,
    /// Loads without power and circuits added, in one number: pinned loads, then loose ones, then circuits.
    pub cost: u64,
}

impl Packed {
    pub(super) fn of(packing: &Packing, rooms: Vec<Counts>, new: Vec<Counts>) -> Self {
        let mut left = packing.counts();
        for counts in rooms.iter().chain(&new) {
            for (n, c) in left.iter_mut().zip(counts) {
                *n -= c;
            }
        }
        let unpowered: u64 = packing
            .kinds
            .iter()
            .zip(left)
            .map(|(kind, n)| packing.unpowered(kind) * n as u64)
            .sum();
        let cost = unpowered + new.len() as u64;
        Self { rooms, new, cost }
    }
}
