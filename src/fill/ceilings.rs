//! Ceilings: for one limit alone, the printers it allows, counted in the plan's leading printer kind.

use std::collections::BTreeMap;

use super::answer::Answer;
use crate::handbook::circuit;
use crate::layout::{CircuitLoad, HeatTerm, Layout, Load, Total};
use crate::plan::{Head, Id, Item};
use crate::stock::{FigureOrigin, KindId, PrinterKind, UpsKind};
use crate::units::{Amps, Ratio};

/// The ceiling of one limit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ceiling {
    /// The limit: `floor`, `slots`, `circuits`, `supply`, `ups` or `cooling`.
    pub limit: &'static str,
    /// The printers it allows; `None` while a figure is missing or the limit is not yet judged.
    pub allows: Option<u32>,
    /// What the count rests on, or what is missing, in a few words.
    pub basis: String,
}

/// Placed printers and ceilings together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Headroom {
    /// Printers placed in this phase.
    pub placed: u32,
    /// Slots of the racks placed in this phase.
    pub slots: u32,
    /// The count the owner hopes for.
    pub hoped_for: Option<u32>,
    /// The printer kind that ceilings are counted in.
    pub leading: Option<KindId>,
    /// The six ceilings, in the order of reports.
    pub ceilings: Vec<Ceiling>,
}

impl Headroom {
    /// Counts a layout.
    pub fn of(layout: &Layout) -> Self {
        let leading = leading_kind(layout);
        let kind = leading
            .as_ref()
            .and_then(|id| layout.stock().printers.get(id));
        let slots = count(layout.slots().count());
        let unjudged = |limit, basis: &str| Ceiling {
            limit,
            allows: None,
            basis: basis.to_owned(),
        };
        Self {
            placed: count(layout.printers().count()),
            slots,
            hoped_for: layout.plan().head().hoped_for,
            ceilings: vec![
                unjudged("floor", "not yet searched"),
                Ceiling {
                    limit: "slots",
                    allows: Some(slots),
                    basis: "slots of the racks placed".to_owned(),
                },
                circuits(layout, kind),
                supply(layout, kind),
                supplies(layout, kind),
                cooling(layout, kind),
            ],
            leading,
        }
    }

    /// The same with the ceiling of the floor as a search found it.
    pub fn with_floor(mut self, answer: &Answer) -> Self {
        for ceiling in &mut self.ceilings {
            if ceiling.limit == "floor" {
                ceiling.allows = Some(answer.bound);
                ceiling.basis = answer.words();
            }
        }
        self
    }

    /// What the supply carries, as a sentence.
    pub fn supply_in_words(&self) -> Option<String> {
        let ceiling = self.ceiling("supply")?;
        let basis = &ceiling.basis;
        Some(match ceiling.allows {
            Some(1) => format!("The supply carries 1 printer: {basis}."),
            Some(n) => format!("The supply carries {n} printers: {basis}."),
            None => format!("What the supply carries is not known: {basis}."),
        })
    }

    /// The ceiling of that limit.
    pub fn ceiling(&self, limit: &str) -> Option<&Ceiling> {
        self.ceilings.iter().find(|c| c.limit == limit)
    }
}

/// The printer kind that the layout's phase is counted in.
pub(super) fn leading_kind(layout: &Layout) -> Option<KindId> {
    let placed = layout.printers().map(|(_, printer)| &printer.kind);
    leading_of(layout.plan().head(), placed)
}

/// The printer kind that is counted in: the one that the head names, else the commonest of those placed (of equally common
/// ones the first by name), else none.
pub fn leading_of<'a>(head: &Head, placed: impl Iterator<Item = &'a KindId>) -> Option<KindId> {
    head.leading.clone().or_else(|| {
        let mut counts: BTreeMap<&KindId, usize> = BTreeMap::new();
        for kind in placed {
            *counts.entry(kind).or_default() += 1;
        }
        counts
            .into_iter()
            .max_by(|(a, n), (b, m)| n.cmp(m).then(b.cmp(a)))
            .map(|(kind, _)| kind.clone())
    })
}

/// What every circuit of the phase can carry: running within the share for long loads, heating within the breaker.
fn circuits(layout: &Layout, kind: Option<&PrinterKind>) -> Ceiling {
    let each = kind.and_then(apparent);
    let allows = each.and_then(|each| on_circuits(layout, each, |c| &c.others_load));
    Ceiling {
        limit: "circuits",
        basis: basis(
            allows,
            "circuits in this phase, existing and new",
            "no circuit, or a power figure is missing",
        ),
        allows,
    }
}

/// Printers that all circuits carry beside what they bear already; none without a circuit.
fn on_circuits(layout: &Layout, (running_va, peak_va): (f64, f64), bears: Bears) -> Option<u32> {
    let limits = layout.limits();
    let circuits = layout.power().circuits.iter();
    let each = circuits.filter_map(|(id, load)| {
        let circuit = layout.plan().circuits().get(*id)?;
        Some((circuit, bears(load)))
    });
    each.map(|(c, borne)| {
        let va = c.breaker.value() * c.volts.value();
        let left = |share: Ratio, taken: &Total| (va * share.value() - taken.known).max(0.0);
        let running = left(limits.continuous_share.value, &borne.running_va) / running_va;
        let peak = left(limits.breaker_share.value, &borne.peak_va) / peak_va;
        whole(running).min(whole(peak))
    })
    .reduce(u32::saturating_add)
}

/// Which of what hangs on a circuit counts as borne already.
type Bears = fn(&CircuitLoad) -> &Load;

/// What panel, feeder and service carry, each spread evenly over the legs, in printers at the voltage of an outlet: the least of
/// those whose rating is entered, after the other loads.
fn supply(layout: &Layout, kind: Option<&PrinterKind>) -> Ceiling {
    let each = kind.and_then(apparent);
    let allows = each.and_then(|each| on_supply(layout, each, |c| &c.others_load));
    Ceiling {
        limit: "supply",
        basis: basis(
            allows,
            "panel, feeder and service, spread evenly over the legs, after other loads",
            "no rating of the supply is entered, or a power figure is missing",
        ),
        allows,
    }
}

/// Printers that panel, feeder and service carry beside what their circuits bear already; none where no rating is entered.
fn on_supply(layout: &Layout, each: (f64, f64), bears: Bears) -> Option<u32> {
    rated_legs(layout)
        .map(|amperes| by_legs(layout, amperes, each, bears))
        .min()
}

/// The amperes on each leg that feeder, service and the one panel may give this room.
fn rated_legs(layout: &Layout) -> impl Iterator<Item = f64> {
    let supply = layout.plan().supply();
    let share = supply.share.map_or(1.0, Ratio::value);
    let shared = [supply.feeder, supply.service];
    // Where one panel's rating is missing, or there is none, panels bound nothing.
    let panels: Option<Vec<f64>> = layout
        .panels()
        .map(|(_, p)| p.main.map(Amps::value))
        .collect();
    let panels = panels
        .filter(|all| !all.is_empty())
        .map(|all| all.iter().sum::<f64>());
    let agreed = shared.into_iter().flatten().map(move |a| a.value() * share);
    agreed.chain(panels)
}

/// Printers that so many amperes on each leg carry beside what the circuits bear already.
fn by_legs(layout: &Layout, amperes: f64, (running_va, peak_va): (f64, f64), bears: Bears) -> u32 {
    let limits = layout.limits();
    let system = layout.plan().head().system;
    let whole_va = amperes * system.outlet_volts() * system.legs() as f64;
    let borne = |figure: fn(&Load) -> &Total| {
        let loads = layout.power().circuits.values();
        loads.map(|c| figure(bears(c)).known).sum::<f64>()
    };
    let left = |share: Ratio, taken: f64| (whole_va * share.value() - taken).max(0.0);
    let running = left(limits.continuous_share.value, borne(|l| &l.running_va)) / running_va;
    let peak = left(limits.breaker_share.value, borne(|l| &l.peak_va)) / peak_va;
    whole(running).min(whole(peak))
}

/// What every UPS of the phase can carry, by receptacles, watts and volt-amperes. Where a printer hangs on an outlet without one,
/// not every printer is to have one, and UPS bound nothing.
fn supplies(layout: &Layout, kind: Option<&PrinterKind>) -> Ceiling {
    if layout.printers().any(|(_, p)| does_without(layout, p.id)) {
        return Ceiling {
            limit: "ups",
            allows: None,
            basis: "printers hang on outlets without a UPS".to_owned(),
        };
    }
    let share = layout.limits().ups_share.value;
    let allows = kind.and_then(|printer| {
        let mut listed = layout.power().supplies.keys().peekable();
        listed.peek()?;
        listed
            .map(|id| {
                let Some(Item::Ups(ups)) = layout.plan().items().get(*id) else {
                    return Some(0);
                };
                one_supply(layout.stock().ups.get(&ups.kind)?, printer, share)
            })
            .reduce(|sum, one| Some(sum?.saturating_add(one?)))
            .flatten()
    });
    Ceiling {
        limit: "ups",
        basis: basis(
            allows,
            "UPS in this phase, existing and new",
            "no UPS, or a power figure is missing",
        ),
        allows,
    }
}

/// True for a printer that is plugged straight into an outlet of the phase.
fn does_without(layout: &Layout, printer: Id) -> bool {
    let power = layout.plan().printers().get(printer).and_then(|p| p.power);
    power.is_some_and(|on| layout.power().outlets.contains_key(&on))
}

fn one_supply(ups: &UpsKind, printer: &PrinterKind, share: Ratio) -> Option<u32> {
    let (running_va, peak_va) = apparent(printer)?;
    let (running_w, peak_w) = (printer.running?.value(), printer.peak?.value());
    let (watts, va) = (ups.watts?.value(), ups.volt_amperes?.value());
    let by_power = [
        watts * share.value() / running_w,
        va * share.value() / running_va,
        watts / peak_w,
        va / peak_va,
    ];
    let least = by_power.into_iter().fold(f64::INFINITY, f64::min);
    Some(whole(least).min(u32::from(ups.receptacles)))
}

/// What the cooling units carry once everything but printers is taken off, on the hottest day, moisture not counted. A unit whose
/// figures are a guess bounds nothing.
fn cooling(layout: &Layout, kind: Option<&PrinterKind>) -> Ceiling {
    let (allows, basis) = match by_heat(layout, kind) {
        Ok((count, false)) => (
            Some(count),
            "cooling units on the hottest day, after all other heat".to_owned(),
        ),
        Ok((count, true)) => (
            None,
            format!("the cooling unit's figures are a guess; by that, {count}"),
        ),
        Err(missing) => (None, missing),
    };
    Ceiling {
        limit: "cooling",
        allows,
        basis,
    }
}

/// What cooling or power says to a search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Carried {
    /// There is none of it, or nobody rated it.
    Nothing,
    /// So many printers of the kind counted in besides those that stay, by figures that people entered.
    More(u32),
    /// It bounds nothing, and why.
    Unsure(String),
}

/// How many printers of that kind the circuits of a phase carry besides what stays on them in `layout`, wherever cords reach; their
/// UPS's loss is not counted, so that it is never too few.
pub(super) fn circuits_besides(layout: &Layout, kind: &PrinterKind) -> Carried {
    powered_besides(kind, |each| on_circuits(layout, each, |c| &c.load))
}

/// The same for panel, feeder and service.
pub(super) fn supply_besides(layout: &Layout, kind: &PrinterKind) -> Carried {
    powered_besides(kind, |each| on_supply(layout, each, |c| &c.load))
}

fn powered_besides(kind: &PrinterKind, more: impl Fn((f64, f64)) -> Option<u32>) -> Carried {
    let Some(each) = apparent(kind) else {
        return Carried::Unsure("a power figure of the printer is not entered".to_owned());
    };
    match more(each) {
        None => Carried::Nothing,
        Some(more) if kind.figures == FigureOrigin::Guess => Carried::Unsure(format!(
            "the printer's figures are a guess; by them, {more} more"
        )),
        Some(more) => Carried::More(more),
    }
}

/// How many printers of that kind the cooling of a phase carries besides those that stay in `layout`; `all` is the phase before anything is replaced. Only figures that people
/// entered, read off a plate or a meter, bound a search: see [`Carried`].
pub(super) fn carried_besides(all: &Layout, layout: &Layout, kind: &PrinterKind) -> Carried {
    let heat = layout.heat();
    if heat.units.is_empty() {
        return Carried::Nothing;
    }
    let (allows, mut guessed) = match by_heat(all, Some(kind)) {
        Ok(found) => found,
        Err(missing) => return Carried::Unsure(missing),
    };
    if layout.plan().heat().duty.is_none() {
        return Carried::Unsure(
            "the share of the time that a printer prints is not entered".to_owned(),
        );
    }
    guessed |= heat.guessed_printers || kind.figures == FigureOrigin::Guess;
    if guessed {
        return Carried::Unsure(format!(
            "a figure of unit or printer is a guess; by that, {allows}"
        ));
    }
    let (Some(takes), Some(stays), Some(one)) =
        (heat.sensible_w(), heat.whole_w(), layout.heat_of_one(kind))
    else {
        return Carried::Unsure(lacking(&heat.missing()));
    };
    // Never beyond the ceiling of all, which counts each printer that stays as one of the kind counted in.
    let beyond = allows.saturating_sub(count(layout.printers().count()));
    Carried::More(whole((takes - stays) / one).min(beyond))
}

/// The printers that the heat allows, and whether a unit's figures are a guess; else what is missing.
fn by_heat(layout: &Layout, kind: Option<&PrinterKind>) -> Result<(u32, bool), String> {
    let kind = kind.ok_or("no printer kind to count in")?;
    let heat = layout.heat();
    if heat.units.is_empty() {
        return Err("no cooling unit in this phase".to_owned());
    }
    let mut missing = heat.missing_of_units();
    missing.extend(heat.besides_printers().flat_map(HeatTerm::missing_words));
    let one = layout.heat_of_one(kind).filter(|w| *w > 0.0);
    if one.is_none() {
        missing.push("a power figure of the printer or its UPS");
    }
    let (Some(takes), Some(one), true) = (heat.sensible_w(), one, missing.is_empty()) else {
        return Err(lacking(&missing));
    };
    let other: f64 = heat.besides_printers().map(|t| t.watts).sum();
    let guessed = heat.units.iter().any(|u| u.guessed);
    Ok((whole((takes - other) / one), guessed))
}

/// The first figure that is missing, and how many more.
fn lacking(missing: &[&str]) -> String {
    match missing {
        [] => "a figure is missing".to_owned(),
        [one] => format!("{one} is not entered"),
        [one, more @ ..] => format!("{one} and {} more figures are not entered", more.len()),
    }
}

/// Volt-amperes of one printer, running and heating.
fn apparent(kind: &PrinterKind) -> Option<(f64, f64)> {
    let factor = kind.power_factor?.value();
    let running = circuit::volt_amperes(kind.running?.value(), factor)?;
    let peak = circuit::volt_amperes(kind.peak?.value(), factor)?;
    (running > 0.0 && peak > 0.0).then_some((running, peak))
}

fn basis(allows: Option<u32>, known: &str, missing: &str) -> String {
    if allows.is_some() { known } else { missing }.to_owned()
}

/// The whole printers in a share that may be a hair under a whole number by rounding.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "kept between 0 and a million just before"
)]
fn whole(share: f64) -> u32 {
    (share + 1e-9).floor().max(0.0).min(1e6) as u32
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
