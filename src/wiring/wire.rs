//! The wiring of a phase: who hangs on what in words, and as one edit. What it says is worked out by the core from what was asked.

use std::collections::BTreeMap;

use super::ask::{Asked, free_places};
use super::boxes::{Boxes, Feed, NewBox, boxes};
use super::outcome::{Claim, Outcome, Place, Why};
use super::problem::Amps;
use super::solve::solve;
use crate::layout::Layout;
use crate::plan::{
    Circuit, CircuitBuild, Edit, Id, Item, ItemKind, Outlet, Plan, Presence, Record, SupplyLeg,
};
use crate::units::{Amps as Rating, Volts};

/// Steps of a search where none are named.
pub const STEPS: u64 = 5_000_000;

/// Said beside every wiring.
pub const WHO_DECIDES: &str = "Whether panel, feeder and service carry all circuits together is told by `supply`. A licensed electrician and the local code decide what is built.";

/// A circuit with what hangs on it after the wiring.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its mark; that of a circuit to be added is new.
    pub id: Id,
    /// True for a circuit of the plan.
    pub existing: bool,
    /// Rating of its breaker.
    pub breaker: Rating,
    /// Its voltage.
    pub volts: Volts,
    /// The leg it begins on, where that is known.
    pub leg: Option<SupplyLeg>,
    /// What it may carry, running and at the peak.
    pub limit: Amps,
    /// What it carries, other loads counted.
    pub carries: Amps,
    /// The UPS and straight printers plugged into it.
    pub plugs: Vec<Id>,
    /// The printers on it.
    pub printers: Vec<Id>,
}

/// The wiring of a phase.
#[derive(Clone, Debug)]
pub struct Wired {
    /// What was asked.
    pub asked: Asked,
    /// What came out.
    pub outcome: Outcome,
    /// Where the boxes of circuits to be added hang.
    pub boxes: Boxes,
}

/// Wires the layout's phase. Deterministic in `steps`; `stop` is asked now and then.
pub fn wire(layout: &Layout, steps: u64, stop: &dyn Fn() -> bool) -> Wired {
    wire_also_behind(layout, false, steps, stop)
}

/// The same; with `behind` new boxes may hang behind racks too.
pub fn wire_also_behind(
    layout: &Layout,
    behind: bool,
    steps: u64,
    stop: &dyn Fn() -> bool,
) -> Wired {
    wired(layout, Asked::of(layout), behind, steps, stop)
}

/// Wires what was asked of a phase.
pub(super) fn wired(
    layout: &Layout,
    asked: Asked,
    behind: bool,
    steps: u64,
    stop: &dyn Fn() -> bool,
) -> Wired {
    let mut outcome = solve(&asked.problem, steps, stop);
    let boxes = boxes(layout, &asked, &mut outcome, behind);
    Wired {
        asked,
        outcome,
        boxes,
    }
}

impl Wired {
    /// Every circuit of the plan, and those to be added.
    pub fn lines(&self, layout: &Layout) -> Vec<Line> {
        let mut lines = self.lines_of_plan(layout);
        let before = lines.len();
        lines.extend(self.added(layout));
        for (load, (place, plug)) in self
            .outcome
            .places
            .iter()
            .zip(&self.asked.plugs)
            .enumerate()
        {
            let line = match *place {
                Place::Outlet(outlet) => self.asked.problem.outlets.get(outlet).map(|o| o.circuit),
                Place::Added(k) => Some(before + k),
                Place::Unpowered(_) => None,
            };
            let draw = self.asked.problem.loads.get(load).map(|l| l.draw);
            if let (Some(line), Some(draw)) = (line.and_then(|l| lines.get_mut(l)), draw) {
                line.carries.running_ma = line.carries.running_ma.saturating_add(draw.running_ma);
                line.carries.peak_ma = line.carries.peak_ma.saturating_add(draw.peak_ma);
                line.plugs.push(plug.from);
                line.printers.extend(&plug.printers);
            }
        }
        for line in &mut lines {
            line.plugs.sort_unstable();
            line.printers.sort_unstable();
        }
        lines
    }

    fn lines_of_plan(&self, layout: &Layout) -> Vec<Line> {
        let circuits = self.asked.circuits.iter().zip(&self.asked.problem.circuits);
        circuits
            .filter_map(|(id, of)| {
                let circuit = layout.plan().circuits().get(*id)?;
                Some(Line {
                    id: *id,
                    existing: true,
                    breaker: circuit.breaker,
                    volts: circuit.volts,
                    leg: circuit.built.leg,
                    limit: of.limit,
                    carries: of.taken,
                    plugs: Vec::new(),
                    printers: Vec::new(),
                })
            })
            .collect()
    }

    fn added(&self, layout: &Layout) -> Vec<Line> {
        let marks = layout.plan().fresh(Plan::CIRCUIT, self.outcome.added.len());
        let added = marks.into_iter().zip(&self.outcome.added);
        added
            .filter_map(|(id, added)| {
                let volts = *self.asked.volts.get(usize::from(added.class))?;
                let offer = self.asked.problem.offers.get(&added.class)?;
                let leg = added.leg.and_then(|l| SupplyLeg::ALL.get(usize::from(l)));
                Some(Line {
                    id,
                    existing: false,
                    breaker: Rating::new(self.asked.usual_breaker(layout, added.class)).ok()?,
                    volts: Volts::new(volts).ok()?,
                    leg: leg.copied(),
                    limit: offer.limit,
                    carries: Amps::default(),
                    plugs: Vec::new(),
                    printers: Vec::new(),
                })
            })
            .collect()
    }

    /// The printers that stay without power, those left out for want of a figure not counted.
    pub fn unpowered(&self) -> Vec<Id> {
        let without = self.outcome.unpowered();
        let mut printers: Vec<Id> = without
            .filter_map(|(load, _)| self.asked.plugs.get(load))
            .flat_map(|plug| plug.printers.iter().copied())
            .collect();
        printers.sort_unstable();
        printers
    }

    /// The claim in words.
    pub fn words(&self) -> String {
        let added = self.outcome.added.len();
        let circuits = match added {
            0 => "no new circuit".to_owned(),
            1 => "1 new circuit".to_owned(),
            n => format!("{n} new circuits"),
        };
        match self.outcome.claim {
            Claim::Proved => {
                format!("{circuits}; proved: no wiring of these plugs does with fewer")
            }
            Claim::Found => format!(
                "{circuits}; found, at least {} are needed",
                self.outcome.added_at_least
            ),
        }
    }

    /// What keeps something from being wired, and what would make it possible, in sentences.
    pub fn missing(&self, layout: &Layout) -> Vec<String> {
        let mut said = self.without(layout);
        for line in self.added(layout) {
            let leg = line
                .leg
                .map_or(String::new(), |l| format!(", on {}", l.words()));
            said.push(format!(
                "build {}: a circuit of {} at {}{leg}",
                line.id,
                line.breaker.shown(),
                line.volts.shown()
            ));
        }
        said.extend(
            self.hung(layout)
                .map(|(id, hung)| self.box_in_words(layout, id, hung)),
        );
        said.extend(self.boxes.words());
        said.extend(self.out_of_reach());
        if !self.outcome.added.is_empty() && free_places(layout).is_none() {
            said.push(
                "how many places are free in the panel is not entered: ask an electrician whether it takes the new circuits"
                    .to_owned(),
            );
        }
        said.extend(self.asked.missing.iter().cloned());
        said
    }

    /// What reaches no place for its box, in a sentence.
    pub(super) fn out_of_reach(&self) -> Option<String> {
        let plugs = &self.boxes.out_of_reach;
        (!plugs.is_empty()).then(|| {
            format!(
                "{}: no free place for a box on any wall is within reach of the cord; allow boxes behind racks, or a longer cord of its maker",
                marks(plugs)
            )
        })
    }

    /// Who stays without power and why, in sentences.
    pub(super) fn without(&self, layout: &Layout) -> Vec<String> {
        let mut by_why: BTreeMap<Why, Vec<Id>> = BTreeMap::new();
        for (load, why) in self.outcome.unpowered() {
            if let Some(plug) = self.asked.plugs.get(load) {
                by_why.entry(why).or_default().push(plug.from);
            }
        }
        let all = by_why.iter();
        all.map(|(why, plugs)| reason(layout, *why, plugs))
            .collect()
    }

    /// The boxes to be hung with their marks.
    pub fn hung(&self, layout: &Layout) -> impl Iterator<Item = (Id, &NewBox)> {
        let hung = &self.boxes.hung;
        let marks = layout.plan().fresh(ItemKind::Outlet.prefix(), hung.len());
        marks.into_iter().zip(hung)
    }

    /// The circuit that a box to be hung is on.
    pub fn circuit_of(&self, layout: &Layout, hung: &NewBox) -> Option<Id> {
        match hung.on {
            Feed::Added(k) => self.added(layout).get(k).map(|line| line.id),
            Feed::Outlet(outlet) => {
                let circuit = self.asked.problem.outlets.get(outlet)?.circuit;
                self.asked.circuits.get(circuit).copied()
            }
        }
    }

    fn box_in_words(&self, layout: &Layout, id: Id, hung: &NewBox) -> String {
        let practice = layout.plan().practice();
        let circuit = self.circuit_of(layout, hung);
        format!(
            "hang {id}: {} receptacles on {} at wall {}, {} from its first corner, {} above the floor, for {}",
            hung.receptacles,
            circuit.map_or_else(String::new, |c| c.to_string()),
            hung.at.wall + 1,
            hung.at.along.shown(practice),
            hung.height.shown(practice),
            marks(&hung.plugs)
        )
    }

    /// One edit that plugs everything in as found. Circuits to be added come with it, and their boxes. None where nothing
    /// changes.
    pub fn edit(&self, layout: &Layout) -> Option<Edit> {
        let mut records = self.new_circuits(layout);
        records.extend(self.new_boxes(layout));
        let outlets = self.outlets_by_plug(layout);
        for (id, item) in layout.plan().items().iter() {
            let (Item::Ups(ups), Some(outlet)) = (item, outlets.get(&id)) else {
                continue;
            };
            if ups.outlet != *outlet {
                let mut ups = ups.clone();
                ups.outlet = *outlet;
                records.push((id, Record::Item(Box::new(Item::Ups(ups)))));
            }
        }
        for (id, printer) in layout.plan().printers().iter() {
            let straight = outlets.get(&id).copied();
            let on = self
                .asked
                .on_supply
                .get(&id)
                .copied()
                .map(Some)
                .or(straight);
            if let Some(power) = on
                && printer.power != power
            {
                let mut printer = printer.clone();
                printer.power = power;
                records.push((id, Record::Printer(printer)));
            }
        }
        (!records.is_empty()).then(|| {
            let name = format!("Wire phase {}", layout.phase());
            Edit::Several(name, vec![Edit::Put(records)])
        })
    }

    /// The outlet of every UPS and straight printer that was asked about; none for those without.
    fn outlets_by_plug(&self, layout: &Layout) -> BTreeMap<Id, Option<Id>> {
        let places = self.outcome.places.iter().zip(&self.asked.plugs);
        let there = places.map(|(place, plug)| {
            let outlet = match place {
                Place::Outlet(outlet) => self.asked.outlets.get(*outlet).copied().flatten(),
                Place::Added(_) | Place::Unpowered(_) => None,
            };
            (plug.from, outlet)
        });
        let hung = self.hung(layout).flat_map(|(id, hung)| {
            let plugs = hung.plugs.iter();
            plugs.map(move |plug| (*plug, Some(id)))
        });
        there.chain(hung).collect()
    }

    fn new_boxes(&self, layout: &Layout) -> Vec<(Id, Record)> {
        self.hung(layout)
            .map(|(id, hung)| {
                let outlet = Outlet {
                    at: hung.at,
                    height: hung.height,
                    receptacles: hung.receptacles,
                    receptacle: None,
                    circuit: self.circuit_of(layout, hung),
                    presence: Presence::new_in(layout.phase()),
                };
                (id, Record::Item(Box::new(Item::Outlet(outlet))))
            })
            .collect()
    }

    fn new_circuits(&self, layout: &Layout) -> Vec<(Id, Record)> {
        let panel = layout.only_panel();
        let added = self.added(layout).into_iter();
        added
            .map(|line| {
                let circuit = Circuit {
                    breaker: line.breaker,
                    volts: line.volts,
                    panel,
                    built: CircuitBuild {
                        leg: line.leg,
                        ..CircuitBuild::default()
                    },
                    presence: Presence::new_in(layout.phase()),
                };
                (line.id, Record::Circuit(circuit))
            })
            .collect()
    }
}

/// Why plugs stay without power, and what would help.
fn reason(layout: &Layout, why: Why, plugs: &[Id]) -> String {
    let marks = marks(plugs);
    match why {
        Why::TooLarge => {
            format!(
                "{marks}: more than any one circuit takes; spread the printers over more UPS or outlets, or ask for a larger circuit"
            )
        }
        Why::OutOfReach => {
            format!("{marks}: no outlet within reach of the cord; hang one nearer")
        }
        Why::NoReceptacle => {
            format!("{marks}: every receptacle within reach is taken; add an outlet there")
        }
        Why::Capacity => match free_places(layout) {
            Some(free) => format!(
                "{marks}: the circuits are full and the panel has no room for more ({free} places free); a larger panel or a subpanel, or fewer machines"
            ),
            None => format!("{marks}: the circuits within reach are full"),
        },
    }
}

fn marks(ids: &[Id]) -> String {
    let all: Vec<String> = ids.iter().map(ToString::to_string).collect();
    all.join(", ")
}
