//! Circuits: every printer is powered, and no circuit carries more than it may.

use std::collections::{BTreeMap, BTreeSet};

use super::again::{Run, Turn};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{CircuitLoad, Layout, Part, Total};
use crate::plan::{Circuit, Id, Item, ItemKind, Limit};
use crate::units::Ratio;

pub(super) const CHECK: Check = Check {
    id: "circuits",
    title: "Circuits carry what hangs on them",
    worst: Severity::MustFix,
    what: "Every printer hangs on a circuit; running amperes against the share for long loads, peak amperes (all heating at once after an outage, UPS loss and recharge counted) against the breaker; plugs against receptacles.",
    why: "An overloaded circuit trips and takes its prints with it, or heats up; a licensed electrician and the local code decide.",
    how: "Volt-amperes from watts and power factor of every printer, UPS loss and recharge added, over the circuit's voltage.",
    blind: "The panel and the supply behind it, balance of the legs, voltage drop, what else hangs on the circuit, and restart in turns.",
    caution: "A licensed electrician and the local code decide.",
    in_fill: false,
    limits: &["continuous-share", "breaker-share"],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    let mut findings: Vec<Finding> = layout
        .power()
        .circuits
        .iter()
        .filter_map(|(id, load)| Some((*id, layout.plan().circuits().get(*id)?, load)))
        .flat_map(|(id, circuit, load)| on_circuit(layout, id, circuit, load))
        .collect();
    findings.extend(receptacles(layout));
    findings.extend(unpowered(layout));
    findings
}

/// False where a change leaves who hangs on what as it was, and where that is pointed to: the outlets, and the racks of printers
/// that hang on nothing.
fn may_alter(turn: &Turn<'_>) -> bool {
    let all_powered = turn.new.power().unpowered.is_empty();
    let points_to = |part: &Part| {
        part.kind == ItemKind::Outlet || (part.kind == ItemKind::Rack && !all_powered)
    };
    !turn.hangs_as_before() || turn.moved_parts().any(points_to)
}

fn on_circuit(layout: &Layout, id: Id, circuit: &Circuit, load: &CircuitLoad) -> [Finding; 2] {
    let limits = layout.limits();
    let judge = |what: &str, amperes: &Total, share: &Limit<Ratio>| {
        let allowed = circuit.breaker.value() * share.value.value();
        let (standing, verdict) = verdict(amperes, allowed);
        let who = match load.printers.len() {
            0 => "nothing".to_owned(),
            1 => "one printer".to_owned(),
            n => format!("{n} printers"),
        };
        let text = format!(
            "{id} carries {:.1} A {what} with {who}{verdict}; {:.1} A of its {} breaker may be taken so.",
            amperes.known,
            allowed,
            circuit.breaker.shown()
        );
        let mut finding =
            Finding::new(CHECK.id, Severity::MustFix, standing, marks(id, load), text)
                .facet(what)
                .figure(
                    Some(amperes.known),
                    Some(allowed),
                    "A",
                    &share.source_words(),
                );
        if standing == Standing::Unknown {
            finding.measured = None;
        }
        match load.outlets.first().and_then(|o| layout.part(*o)) {
            Some(outlet) => finding.at(outlet.spot, outlet.spot_height),
            None => finding,
        }
    };
    [
        judge("running", &load.running_a, &limits.continuous_share),
        judge("at the peak", &load.peak_a, &limits.breaker_share),
    ]
}

/// The circuit first, then its outlets, so that the key of a finding stays while printers come and go.
fn marks(id: Id, load: &CircuitLoad) -> Vec<Id> {
    std::iter::once(id)
        .chain(load.outlets.iter().copied())
        .collect()
}

/// How a sum with missing figures stands: broken as soon as the known part is too much, else unknown.
pub(super) fn verdict(total: &Total, allowed: f64) -> (Standing, String) {
    if total.known > allowed + 1e-9 {
        (Standing::Broken, String::new())
    } else if total.whole().is_none() {
        (
            Standing::Unknown,
            format!(", with {} figures missing", total.missing.len()),
        )
    } else {
        (Standing::Met, String::new())
    }
}

/// Outlets with more plugs than receptacles.
fn receptacles(layout: &Layout) -> Vec<Finding> {
    layout
        .power()
        .outlets
        .iter()
        .filter_map(|(id, plugged)| {
            let Some(Item::Outlet(outlet)) = layout.plan().items().get(*id) else {
                return None;
            };
            let has = usize::from(outlet.receptacles);
            let part = layout.part(*id)?;
            (plugged.len() > has).then(|| {
                let text = format!("{id} has {has} receptacles and {} plugs.", plugged.len());
                Finding::new(
                    CHECK.id,
                    Severity::MustFix,
                    Standing::Broken,
                    vec![*id],
                    text,
                )
                .figure(
                    Some(plugged.len() as f64),
                    Some(has as f64),
                    "1",
                    "receptacles of the outlet; no power strips, OSHA 1910.303(b)(2)",
                )
                .at(part.spot, part.spot_height)
            })
        })
        .collect()
}

/// Printers that hang on no circuit, rack by rack.
fn unpowered(layout: &Layout) -> Vec<Finding> {
    let mut by_rack: BTreeMap<Id, Vec<Id>> = BTreeMap::new();
    let without: BTreeSet<Id> = layout.power().unpowered.iter().copied().collect();
    for (slot, printer) in layout.printers() {
        if without.contains(&printer.id) {
            by_rack.entry(slot.name.rack).or_default().push(printer.id);
        }
    }
    by_rack
        .into_iter()
        .filter_map(|(rack, printers)| {
            let part = layout.part(rack)?;
            let first = printers.first()?;
            let text = match printers.len() {
                1 => format!("{first} on {rack} hangs on no circuit."),
                n => {
                    format!("{n} printers of {rack} hang on no circuit, {first} the first of them.")
                }
            };
            Some(
                Finding::new(
                    CHECK.id,
                    Severity::MustFix,
                    Standing::Broken,
                    vec![rack],
                    text,
                )
                .figure(
                    Some(printers.len() as f64),
                    Some(0.0),
                    "1",
                    "a printer without power prints nothing",
                )
                .at(part.spot, 0.0),
            )
        })
        .collect()
}
