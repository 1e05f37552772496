//! From a phase as it stands to the problem: what is plugged in by one cord, what it draws, which outlets the cord reaches, and what
//! circuits may be added. Decides nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::problem::{Amps, Circuit, Load, Offer, Outlet, Problem, Reach};
use super::supplies::{printers_on_supplies, stays};
use crate::layout::{self, CordStart, Layout, Total};
use crate::plan::{Id, Item, Presence, Status};
use crate::units::Practice;

/// Receptacles of an added circuit: one box of four, or several that hold as many.
pub(super) const RECEPTACLES: u32 = 4;
/// The share of its limits that a circuit should stay below, in per cent: common practice, no source.
const SPARE_BELOW: u32 = 80;

/// What is plugged in by one cord.
#[derive(Clone, Debug, PartialEq)]
pub struct Plug {
    /// The UPS, or a printer without one.
    pub from: Id,
    /// The printers behind it.
    pub printers: Vec<Id>,
}

/// The problem of a phase, with the marks of what its lists hold.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The problem.
    pub problem: Problem,
    /// What each load is.
    pub plugs: Vec<Plug>,
    /// The mark of each outlet; none where a new circuit of the plan has no box yet.
    pub outlets: Vec<Option<Id>>,
    /// The mark of each circuit.
    pub circuits: Vec<Id>,
    /// The voltage of each class.
    pub volts: Vec<f64>,
    /// The UPS that each printer hangs on that hangs on one.
    pub on_supply: BTreeMap<Id, Id>,
    /// What keeps something from being wired, in sentences.
    pub missing: Vec<String>,
    /// Printers left out because a figure is missing.
    pub left_out: Vec<Id>,
    /// The voltage of circuits added for printers without a plug whose supply takes any, where it is not an ordinary one.
    higher: Option<f64>,
}

impl Asked {
    /// What is to be wired in the layout's phase.
    pub fn of(layout: &Layout) -> Self {
        Self::of_at(layout, None)
    }

    /// The same; printers without a plug whose supply takes any voltage want the one named.
    pub(super) fn of_at(layout: &Layout, higher: Option<f64>) -> Self {
        let mut asked = Self {
            problem: Problem {
                circuits: Vec::new(),
                outlets: Vec::new(),
                loads: Vec::new(),
                offers: BTreeMap::new(),
                legs: u8::try_from(layout.plan().head().system.legs()).unwrap_or(1),
                fill_percent: SPARE_BELOW,
            },
            plugs: Vec::new(),
            outlets: Vec::new(),
            circuits: Vec::new(),
            volts: vec![layout.plan().head().system.outlet_volts()],
            on_supply: printers_on_supplies(layout),
            missing: Vec::new(),
            left_out: Vec::new(),
            higher,
        };
        asked.circuits(layout);
        asked.loads(layout);
        asked.offers(layout);
        asked
    }

    /// The same with one circuit of that class that may be added, and none of any other.
    pub(super) fn adding_at_most(mut self, one_of: Option<u8>) -> Self {
        for (class, offer) in &mut self.problem.offers {
            let wanted = u32::from(Some(*class) == one_of);
            offer.most = Some(offer.most.map_or(wanted, |most| most.min(wanted)));
        }
        self
    }

    /// The same with so many places fewer in the panels.
    pub(super) fn with_places_less(mut self, places: u32) -> Self {
        for (class, offer) in &mut self.problem.offers {
            let fewer = places.div_ceil(poles(*class));
            offer.most = offer.most.map(|most| most.saturating_sub(fewer));
        }
        self
    }

    /// How many printers wait for a plug whose supply takes any voltage.
    pub(super) fn waiting(&self, layout: &Layout) -> usize {
        self.plugs.iter().filter(|plug| waits(layout, plug)).count()
    }

    /// The class of a voltage.
    fn class(&mut self, volts: f64) -> u8 {
        let known = self.volts.iter().position(|v| (v - volts).abs() < 0.5);
        let at = known.unwrap_or_else(|| {
            self.volts.push(volts);
            self.volts.len() - 1
        });
        u8::try_from(at).unwrap_or(u8::MAX)
    }

    /// Circuits with what other loads take, and their outlets.
    fn circuits(&mut self, layout: &Layout) {
        let limits = layout.limits();
        for (id, load) in &layout.power().circuits {
            let Some(circuit) = layout.plan().circuits().get(*id) else {
                continue;
            };
            let (breaker, volts) = (circuit.breaker.value(), circuit.volts.value());
            let class = self.class(volts);
            let others = |va: &Total| milliamperes(va.known / volts.max(1.0)).unwrap_or(u32::MAX);
            let number = self.problem.circuits.len();
            self.problem.circuits.push(Circuit {
                limit: Amps::new(
                    within(breaker * limits.continuous_share.value.value()),
                    within(breaker * limits.breaker_share.value.value()),
                ),
                taken: Amps::new(
                    others(&load.others_load.running_va),
                    others(&load.others_load.peak_va),
                ),
                class,
                leg: circuit
                    .built
                    .leg
                    .and_then(|l| u8::try_from(l.number()).ok()),
            });
            self.circuits.push(*id);
            for outlet in &load.outlets {
                if let Some(Item::Outlet(item)) = layout.plan().items().get(*outlet) {
                    self.problem.outlets.push(Outlet {
                        circuit: number,
                        receptacles: u32::from(item.receptacles),
                    });
                    self.outlets.push(Some(*outlet));
                }
            }
            // A new circuit without a box or a load of its own gets a box like one to be added.
            let bare = load.outlets.is_empty() && load.others.is_empty();
            if bare && circuit.presence.status == Status::New {
                self.problem.outlets.push(Outlet {
                    circuit: number,
                    receptacles: RECEPTACLES,
                });
                self.outlets.push(None);
            }
        }
    }

    /// Every UPS with its printers, and every printer without one.
    fn loads(&mut self, layout: &Layout) {
        let mut behind: BTreeMap<Id, Vec<Id>> = BTreeMap::new();
        for (printer, ups) in &self.on_supply {
            behind.entry(*ups).or_default().push(*printer);
        }
        for (ups, printers) in behind {
            let Some(Item::Ups(item)) = layout.plan().items().get(ups) else {
                continue;
            };
            let mut load = layout::Load::default();
            for printer in &printers {
                if let Some(one) = layout.power().printers.get(printer) {
                    load.add(one);
                }
            }
            let taken = load.behind_ups(ups, layout.stock().ups.get(&item.kind));
            let start = layout.cord_of_ups(ups);
            let plug = Plug {
                from: ups,
                printers,
            };
            self.load(layout, plug, &taken, start, (item.outlet, &item.presence));
        }
        for (slot, placed) in layout.printers() {
            if self.on_supply.contains_key(&placed.id) {
                continue;
            }
            let (Some(printer), Some(load)) = (
                layout.plan().printers().get(placed.id),
                layout.power().printers.get(&placed.id),
            ) else {
                continue;
            };
            let start = layout.cord_of_printer(slot, placed);
            let now = printer
                .power
                .filter(|to| layout.power().outlets.contains_key(to));
            let plug = Plug {
                from: placed.id,
                printers: vec![placed.id],
            };
            self.load(layout, plug, load, start, (now, &printer.presence));
        }
    }

    fn load(
        &mut self,
        layout: &Layout,
        plug: Plug,
        load: &layout::Load,
        start: Option<CordStart>,
        (now, presence): (Option<Id>, &Presence),
    ) {
        let (Some(running_va), Some(peak_va)) = (load.running_va.whole(), load.peak_va.whole())
        else {
            self.without_figures(plug, now);
            return;
        };
        if start.and_then(|s| s.cord).is_none() {
            self.missing.push(format!(
                "the cord of {} is of unknown length, so that only its present outlet counts as within reach",
                plug.from
            ));
        }
        let mut reach = self.reach(layout, start, now);
        let at = now.and_then(|outlet| self.outlets.iter().position(|o| *o == Some(outlet)));
        let class = match self.higher.filter(|_| waits(layout, &plug)) {
            Some(volts) => self.class(volts),
            None => self.class_for(&reach, at),
        };
        reach.extend(self.reach_of_new_boxes(start, class));
        reach.sort_unstable();
        let volts = self.volts.get(usize::from(class)).copied().unwrap_or(1.0);
        let (Some(running_ma), Some(peak_ma)) = (
            milliamperes(running_va / volts),
            milliamperes(peak_va / volts),
        ) else {
            self.without_figures(plug, now);
            return;
        };
        let pinned = at.filter(|_| stays(layout, presence));
        self.problem.loads.push(Load {
            draw: Amps::new(running_ma, peak_ma),
            class,
            reach,
            pinned,
            new_allowed: true,
        });
        self.plugs.push(plug);
    }

    /// What nobody can wire keeps its receptacle.
    fn without_figures(&mut self, plug: Plug, now: Option<Id>) {
        self.missing.push(format!(
            "a power figure behind {} is not entered: it stays as it is plugged",
            plug.from
        ));
        if let Some(outlet) = now.and_then(|o| self.outlets.iter().position(|id| *id == Some(o)))
            && let Some(outlet) = self.problem.outlets.get_mut(outlet)
        {
            outlet.receptacles = outlet.receptacles.saturating_sub(1);
        }
        self.left_out.extend(plug.printers);
    }

    /// The outlets that a cord reaches; its present one always, for it is plugged in there.
    fn reach(&self, layout: &Layout, start: Option<CordStart>, now: Option<Id>) -> Vec<Reach> {
        let mut reach: Vec<Reach> = self
            .outlets
            .iter()
            .enumerate()
            .filter_map(|(outlet, id)| {
                let id = (*id)?;
                let length = start
                    .as_ref()
                    .and_then(|start| layout.cord_reaches(start, layout.part(id)?));
                let length = length.or((now == Some(id)).then_some(0.0))?;
                Some(Reach {
                    outlet,
                    cord_mm: whole(length)?,
                })
            })
            .collect();
        reach.sort_unstable();
        reach
    }

    /// Boxes that are yet to be hung, on circuits of one class: their place is sought later, at most the whole cord away.
    fn reach_of_new_boxes(&self, start: Option<CordStart>, class: u8) -> Vec<Reach> {
        let Some(cord_mm) = start.and_then(|s| s.cord).and_then(|cord| whole(cord.mm())) else {
            return Vec::new();
        };
        let of_class = |outlet: usize| {
            let circuit = self.problem.outlets.get(outlet).map(|o| o.circuit);
            let circuit = circuit.and_then(|c| self.problem.circuits.get(c));
            circuit.is_some_and(|c| c.class == class)
        };
        let bare = self.outlets.iter().enumerate();
        bare.filter(|(outlet, id)| id.is_none() && of_class(*outlet))
            .map(|(outlet, _)| Reach { outlet, cord_mm })
            .collect()
    }

    /// The class of a load: that of the outlet it is plugged into, else of the nearest it reaches, else of an ordinary outlet.
    fn class_for(&self, reach: &[Reach], at: Option<usize>) -> u8 {
        let of = |outlet: usize| {
            let circuit = self.problem.outlets.get(outlet)?.circuit;
            Some(self.problem.circuits.get(circuit)?.class)
        };
        let nearest = reach.iter().min_by_key(|r| (r.cord_mm, r.outlet));
        at.and_then(of)
            .or_else(|| nearest.and_then(|r| of(r.outlet)))
            .unwrap_or(0)
    }

    /// For every class in use the circuit that may be added: as large as those there are of it, else an ordinary one.
    fn offers(&mut self, layout: &Layout) {
        let limits = layout.limits();
        let classes: BTreeSet<u8> = self.problem.loads.iter().map(|l| l.class).collect();
        for class in classes {
            let breaker = self.usual_breaker(layout, class);
            self.problem.offers.insert(
                class,
                Offer {
                    limit: Amps::new(
                        within(breaker * limits.continuous_share.value.value()),
                        within(breaker * limits.breaker_share.value.value()),
                    ),
                    receptacles: RECEPTACLES,
                    most: free_places(layout).map(|free| free / poles(class)),
                },
            );
        }
    }

    /// The commonest breaker of a class, the largest of equally common ones; 20 A in US practice, else 16 A, where there is none.
    pub fn usual_breaker(&self, layout: &Layout, class: u8) -> f64 {
        let of_class = self.problem.circuits.iter().zip(&self.circuits);
        let mut counts: BTreeMap<u64, u32> = BTreeMap::new();
        for (_, id) in of_class.filter(|(c, _)| c.class == class) {
            if let Some(circuit) = layout.plan().circuits().get(*id) {
                *counts.entry(circuit.breaker.value().to_bits()).or_default() += 1;
            }
        }
        let commonest = counts.into_iter().max_by_key(|(bits, n)| (*n, *bits));
        commonest.map_or_else(
            || match layout.plan().practice() {
                Practice::Us => 20.0,
                Practice::Metric => 16.0,
            },
            |(bits, _)| f64::from_bits(bits),
        )
    }
}

/// Poles of an added circuit: one where it has the voltage of an ordinary outlet.
const fn poles(class: u8) -> u32 {
    if class == 0 { 1 } else { 2 }
}

/// True for a printer whose supply takes any voltage, as its plate says.
pub(super) fn takes_any_voltage(layout: &Layout, printer: Id) -> bool {
    let printer = layout.plan().printers().get(printer);
    let kind = printer.and_then(|p| layout.stock().printers.get(&p.kind));
    kind.and_then(|k| k.auto_ranging) == Some(true)
}

/// True for a printer that takes any voltage and is plugged into nothing.
fn waits(layout: &Layout, plug: &Plug) -> bool {
    let printer = layout.plan().printers().get(plug.from);
    printer.is_some_and(|p| p.power.is_none()) && takes_any_voltage(layout, plug.from)
}

/// The places left in the panels, where all are known.
pub(super) fn free_places(layout: &Layout) -> Option<u32> {
    let mut sum = 0_u32;
    let mut any = false;
    for (part, panel) in layout.panels() {
        let places = layout.places_in(part.id);
        let free = u32::from(panel.free?) + places.given;
        sum += free.saturating_sub(places.taken);
        any = true;
    }
    any.then_some(sum)
}

/// Milliamperes of a draw, rounded up.
fn milliamperes(amperes: f64) -> Option<u32> {
    whole((amperes * 1000.0 - 1e-6).ceil())
}

/// Milliamperes of a limit, rounded down.
fn within(amperes: f64) -> u32 {
    whole((amperes * 1000.0 + 1e-6).floor()).unwrap_or(0)
}

/// The nearest whole number; none beyond its range.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole, and within the range"
)]
pub(super) fn whole(value: f64) -> Option<u32> {
    let rounded = value.max(0.0).round();
    (rounded <= f64::from(u32::MAX)).then_some(rounded as u32)
}
