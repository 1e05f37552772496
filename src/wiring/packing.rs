//! One class of the problem, made small and put in an order of its own: rooms with free currents, and kinds of loads that
//! nothing tells apart. The order in which loads were entered is gone here.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Amps, Load, Problem};

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
    /// What a load left without power costs in added circuits: more than there can be.
    pub unpowered_cost: usize,
}

/// Counts of loads by kind.
pub(super) type Counts = Vec<usize>;

impl Packing {
    /// All loads, by kind.
    pub(super) fn counts(&self) -> Counts {
        self.kinds.iter().map(|k| k.loads.len()).collect()
    }

    /// How many circuits may be added at most.
    pub(super) fn most_new(&self) -> usize {
        self.new.as_ref().map_or(0, |(_, most)| *most)
    }

    /// The packing of these loads of one class. `free` and `receptacles` are what circuits and outlets have left.
    pub(super) fn of(
        problem: &Problem,
        class: u8,
        loads: &[usize],
        free: &[Amps],
        receptacles: &[u32],
        reach_of: &dyn Fn(&Load) -> Vec<usize>,
        with_new: bool,
    ) -> Self {
        let mut rooms: BTreeMap<usize, Room> = BTreeMap::new();
        for (k, outlet) in problem.outlets.iter().enumerate() {
            let is_class = problem.circuits[outlet.circuit].class == class;
            if let (true, Ok(n @ 1..)) = (is_class, usize::try_from(receptacles[k])) {
                let room = rooms.entry(outlet.circuit).or_insert_with(|| Room {
                    free: free[outlet.circuit],
                    outlets: Vec::new(),
                });
                room.outlets.push((k, n));
            }
        }
        let new = problem.offers.get(&class).filter(|_| with_new).map(|o| {
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
        let kinds = kinds(problem, loads, &rooms, new.as_ref().map(|n| &n.0), reach_of);
        Self {
            kinds,
            rooms: rooms.into_values().collect(),
            new,
            unpowered_cost: loads.len() + 1,
        }
    }
}

/// The loads by kind; outlets whose circuit could not take the load alone are out of its reach.
fn kinds(
    problem: &Problem,
    loads: &[usize],
    rooms: &BTreeMap<usize, Room>,
    new: Option<&Room>,
    reach_of: &dyn Fn(&Load) -> Vec<usize>,
) -> Vec<Kind> {
    let open: BTreeMap<usize, Amps> = rooms
        .values()
        .flat_map(|r| r.outlets.iter().map(|(o, _)| (*o, r.free)))
        .collect();
    let mut kinds: BTreeMap<(Amps, Vec<usize>), Vec<usize>> = BTreeMap::new();
    for &k in loads {
        let load = &problem.loads[k];
        let mut reach: BTreeSet<usize> = reach_of(load)
            .into_iter()
            .filter(|o| open.get(o).is_some_and(|free| free.covers(load.draw)))
            .collect();
        if load.new_allowed && new.is_some_and(|n| n.free.covers(load.draw)) {
            reach.insert(NEW);
        }
        if !reach.is_empty() {
            let key = (load.draw, reach.into_iter().collect());
            kinds.entry(key).or_default().push(k);
        }
    }
    let mut kinds: Vec<Kind> = kinds
        .into_iter()
        .map(|((draw, reach), loads)| Kind { draw, reach, loads })
        .collect();
    kinds.sort_by(|a, b| {
        weight(b.draw)
            .cmp(&weight(a.draw))
            .then(b.draw.cmp(&a.draw))
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
    /// Loads left without power.
    pub unpowered: usize,
}

impl Packed {
    /// Fewer is better: loads without power, then circuits added.
    pub(super) fn cost(&self) -> (usize, usize) {
        (self.unpowered, self.new.len())
    }
}
