//! Hangs printers, or all that stand on racks, on another circuit: which plugs are moved to which of its outlets, as one edit, and how
//! far the circuit's limits are used then. A UPS behind which nothing else hangs is moved as it is; a printer that shares its UPS
//! with others gets its own plug. Too much on a circuit is told and not refused: `checks` judges.

use std::collections::BTreeSet;
use std::fmt;

use super::packing::{Kind, Room};
use super::problem::Amps;
use super::seats::Seating;
use crate::layout::{CordStart, Layout, Load, Total};
use crate::plan::{Edit, Id, Item, Record};

/// What hanging things on a circuit comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Rehang {
    /// The change, as one step.
    pub edit: Edit,
    /// The plugs that are moved, UPS and printers, each with its outlet.
    pub plugs: Vec<(Id, Id)>,
    /// Running amperes by what the circuit may take for hours, where all figures are known.
    pub running_share: Option<f64>,
    /// Peak amperes by what it may take for minutes, where all figures are known.
    pub peak_share: Option<f64>,
}

impl Rehang {
    /// How far the limits of the circuit would be used, in words.
    pub fn words(&self, circuit: Id) -> String {
        let (Some(running), Some(peak)) = (self.running_share, self.peak_share) else {
            return format!(
                "can take it; how much {circuit} then carries is not known, as a figure is missing"
            );
        };
        let over = running.max(peak);
        if over > 1.0 + 1e-9 {
            return format!("{circuit} would be at {:.0} % of its limit", over * 100.0);
        }
        format!(
            "takes it: {:.0} % running, {:.0} % at the peak",
            running * 100.0,
            peak * 100.0
        )
    }

    /// True where a limit of the circuit would be passed.
    pub fn is_over(&self) -> bool {
        let over = |share: Option<f64>| share.is_some_and(|s| s > 1.0 + 1e-9);
        over(self.running_share) || over(self.peak_share)
    }
}

/// Why things cannot be hung on a circuit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CannotHang {
    /// The circuit is not there in this phase.
    NoCircuit(Id),
    /// No printer stands there.
    NothingThere(Id),
    /// All of it hangs on the circuit.
    HangsThere(Id, Id),
    /// The circuit has no outlet.
    NoOutlet(Id),
    /// A plug hangs at another voltage than that of the circuit.
    OtherVolts(Id, Id),
    /// Nobody entered how long a cord is.
    CordUnknown(Id),
    /// No outlet of the circuit is within the cord of that plug.
    OutOfReach(Id, Id),
    /// The outlets within reach have too few free receptacles for so many plugs.
    NoReceptacle(Id, usize),
}

impl fmt::Display for CannotHang {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoCircuit(circuit) => write!(f, "{circuit} is not there in this phase"),
            Self::NothingThere(what) => write!(f, "there is no printer on {what}"),
            Self::HangsThere(what, circuit) => write!(f, "{what} hangs on {circuit} already"),
            Self::NoOutlet(circuit) => {
                write!(
                    f,
                    "{circuit} has no outlet in this phase: name it in the card of one"
                )
            }
            Self::OtherVolts(plug, circuit) => {
                write!(
                    f,
                    "{plug} is plugged in at another voltage than that of {circuit}"
                )
            }
            Self::CordUnknown(plug) => write!(
                f,
                "how long the cord of {plug} is, is not known: enter it in the card of its kind"
            ),
            Self::OutOfReach(plug, circuit) => {
                write!(f, "no outlet of {circuit} within the cord of {plug}")
            }
            Self::NoReceptacle(circuit, plugs) => write!(
                f,
                "too few free receptacles of {circuit} within the cords of {plugs} plugs"
            ),
        }
    }
}

impl std::error::Error for CannotHang {}

/// One plug that is to be moved.
struct Plug {
    from: Id,
    start: Option<CordStart>,
    load: Load,
}

/// Hangs these racks, UPS and printers on a circuit of the layout's phase.
///
/// # Errors
///
/// Where something is missing, out of reach, at another voltage or without a free receptacle; the first such thing is named.
pub fn rehang(layout: &Layout, things: &[Id], circuit: Id) -> Result<Rehang, CannotHang> {
    let load = layout.power().circuits.get(&circuit);
    let load = load.ok_or(CannotHang::NoCircuit(circuit))?;
    let named = *things.last().ok_or(CannotHang::NothingThere(circuit))?;
    let printers = printers_of(layout, things);
    if printers.is_empty() {
        return Err(CannotHang::NothingThere(named));
    }
    let others = printers.iter().copied();
    let moved: BTreeSet<Id> = others.filter(|p| !load.printers.contains(p)).collect();
    if moved.is_empty() {
        return Err(CannotHang::HangsThere(named, circuit));
    }
    if load.outlets.is_empty() {
        return Err(CannotHang::NoOutlet(circuit));
    }
    let plugs = plugs_of(layout, &moved);
    let plugged = seat(layout, &plugs, circuit, &load.outlets)?;
    let mut sum = load.load.clone();
    for plug in &plugs {
        sum.add(&plug.load);
    }
    let limits = layout.limits();
    let share = |va: &Total, most: f64| share_of(layout, circuit, va, most);
    Ok(Rehang {
        running_share: share(&sum.running_va, limits.continuous_share.value.value()),
        peak_share: share(&sum.peak_va, limits.breaker_share.value.value()),
        edit: edit_of(layout, &plugged, things, circuit),
        plugs: plugged,
    })
}

/// Volt-amperes by what the circuit may take of its breaker.
fn share_of(layout: &Layout, circuit: Id, va: &Total, most: f64) -> Option<f64> {
    let circuit = layout.plan().circuits().get(circuit)?;
    let allowed = circuit.breaker.value() * circuit.volts.value() * most;
    va.whole().filter(|_| allowed > 0.0).map(|va| va / allowed)
}

/// The printers that are meant: themselves, those on a rack, those behind a UPS.
fn printers_of(layout: &Layout, things: &[Id]) -> BTreeSet<Id> {
    let power = layout.power();
    let on_racks = layout.printers().filter_map(|(slot, placed)| {
        let meant = things.contains(&slot.name.rack) || things.contains(&placed.id);
        meant.then_some(placed.id)
    });
    let supplies = things.iter().filter_map(|id| power.supplies.get(id));
    let behind = supplies.flat_map(|ups| ups.printers.iter().copied());
    on_racks.chain(behind).collect()
}

/// By what plugs these printers hang: their UPS where all behind it are meant, else their own.
fn plugs_of(layout: &Layout, printers: &BTreeSet<Id>) -> Vec<Plug> {
    let power = layout.power();
    let whole = power.supplies.iter().filter(|(_, ups)| {
        !ups.printers.is_empty() && ups.printers.iter().all(|p| printers.contains(p))
    });
    let whole: Vec<_> = whole.collect();
    let behind: BTreeSet<Id> = whole
        .iter()
        .flat_map(|(_, ups)| ups.printers.iter().copied())
        .collect();
    let supplies = whole.iter().map(|(id, ups)| Plug {
        from: **id,
        start: layout.cord_of_ups(**id),
        load: ups.taken.clone(),
    });
    let alone = layout
        .printers()
        .filter(|(_, placed)| printers.contains(&placed.id) && !behind.contains(&placed.id));
    let alone = alone.map(|(slot, placed)| Plug {
        from: placed.id,
        start: layout.cord_of_printer(slot, placed),
        load: power.printers.get(&placed.id).cloned().unwrap_or_default(),
    });
    supplies.chain(alone).collect()
}

/// An outlet with a free receptacle for every plug.
fn seat(
    layout: &Layout,
    plugs: &[Plug],
    circuit: Id,
    outlets: &[Id],
) -> Result<Vec<(Id, Id)>, CannotHang> {
    let free = outlets.iter().map(|o| free_receptacles(layout, *o));
    let room = Room {
        free: Amps::new(0, 0),
        outlets: free.enumerate().filter(|(_, free)| *free > 0).collect(),
    };
    let kinds: Result<Vec<Kind>, CannotHang> = plugs
        .iter()
        .map(|plug| {
            Ok(Kind {
                draw: Amps::new(0, 0),
                reach: reach(layout, plug, circuit, outlets)?,
                is_pinned: false,
                loads: Vec::new(),
            })
        })
        .collect();
    let kinds = kinds?;
    let mut seating = Seating::new(&room, &kinds);
    if !(0..kinds.len()).all(|kind| seating.add(kind)) {
        return Err(CannotHang::NoReceptacle(circuit, plugs.len()));
    }
    let seated = room.outlets.iter().zip(&seating.at);
    let seated = seated.filter_map(|((number, _), at)| Some((*outlets.get(*number)?, at)));
    let seated = seated.flat_map(|(outlet, at)| {
        let plugs = at.iter().filter_map(|kind| plugs.get(*kind));
        plugs.map(move |plug| (plug.from, outlet))
    });
    Ok(seated.collect())
}

/// The numbers of the outlets within the cord of a plug; at least one.
fn reach(
    layout: &Layout,
    plug: &Plug,
    circuit: Id,
    outlets: &[Id],
) -> Result<Vec<usize>, CannotHang> {
    if volts_now(layout, plug.from).is_some_and(|now| {
        let volts = layout
            .plan()
            .circuits()
            .get(circuit)
            .map(|c| c.volts.value());
        volts.is_some_and(|v| (v - now).abs() >= 0.5)
    }) {
        return Err(CannotHang::OtherVolts(plug.from, circuit));
    }
    let start = plug.start.filter(|start| start.cord.is_some());
    let start = start.ok_or(CannotHang::CordUnknown(plug.from))?;
    let within = outlets.iter().enumerate().filter(|(_, outlet)| {
        let part = layout.part(**outlet);
        part.is_some_and(|part| layout.cord_reaches(&start, part).is_some())
    });
    let within: Vec<usize> = within.map(|(number, _)| number).collect();
    if within.is_empty() {
        return Err(CannotHang::OutOfReach(plug.from, circuit));
    }
    Ok(within)
}

/// The voltage of the circuit that something hangs on now, by a UPS or straight.
fn volts_now(layout: &Layout, plug: Id) -> Option<f64> {
    let mut circuits = layout.power().circuits.iter();
    let (id, _) = circuits
        .find(|(_, load)| load.supplies.contains(&plug) || load.printers.contains(&plug))?;
    Some(layout.plan().circuits().get(*id)?.volts.value())
}

fn free_receptacles(layout: &Layout, outlet: Id) -> usize {
    let Some(Item::Outlet(item)) = layout.plan().items().get(outlet) else {
        return 0;
    };
    let taken = layout.power().outlets.get(&outlet).map_or(0, Vec::len);
    usize::from(item.receptacles).saturating_sub(taken)
}

fn edit_of(layout: &Layout, plugs: &[(Id, Id)], things: &[Id], circuit: Id) -> Edit {
    let records = plugs.iter().filter_map(|(plug, outlet)| {
        if let Some(Item::Ups(ups)) = layout.plan().items().get(*plug) {
            let mut ups = ups.clone();
            ups.outlet = Some(*outlet);
            return Some((*plug, Record::Item(Box::new(Item::Ups(ups)))));
        }
        let mut printer = layout.plan().printers().get(*plug)?.clone();
        printer.power = Some(*outlet);
        Some((*plug, Record::Printer(printer)))
    });
    let what = match things {
        [one] => one.to_string(),
        several => format!("{} things", several.len()),
    };
    let label = format!("Hang {what} on {circuit}");
    Edit::Several(label, vec![Edit::Put(records.collect())])
}
