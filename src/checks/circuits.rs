//! Circuits: every printer is powered, and no circuit carries more than it may.

use std::collections::{BTreeMap, BTreeSet};

use super::again::{Before, Run, Turn};
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::circuit as handbook;
use crate::layout::{CircuitLoad, Layout, Part, Total};
use crate::plan::{Circuit, Conductor, Id, Item, ItemKind, Limit};
use crate::units::Ratio;

pub(super) const CHECK: Check = Check {
    id: "circuits",
    title: "Circuits carry what hangs on them",
    worst: Severity::MustFix,
    what: "Every printer hangs on a circuit; running amperes against the share for long loads, peak amperes (all heating at once after an outage, UPS loss and recharge counted) against the breaker; plugs against receptacles; the breaker against its conductor where a rule ties them; what is lost along the cable, as a caution.",
    why: "An overloaded circuit trips and takes its prints with it, or heats up; a licensed electrician and the local code decide.",
    how: "Volt-amperes from watts and power factor of every printer and other load, UPS loss and recharge added, over the circuit's voltage. The drop by NEC chapter 9 table 8 (stranded copper, 75 °C) or IEC 60364-5-52 annex G, along the run as measured, else estimated up to the ceiling, along the walls and down.",
    blind: "What hangs on the circuit outside this room, derating of cables in bundles or heat, how a metric cable is laid, and restart in turns.",
    caution: "A licensed electrician and the local code decide.",
    in_fill: false,
    limits: &["continuous-share", "breaker-share", "voltage-drop"],
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
    findings.extend(along_cables(layout));
    findings.extend(receptacles(layout));
    findings.extend(unpowered(layout));
    findings
}

/// False where a change leaves who hangs on what as it was, and where that is pointed to: the outlets, and the racks of printers
/// that hang on nothing.
fn may_alter(turn: &Turn<'_>, _: &Before) -> bool {
    let all_powered = turn.new.power().unpowered.is_empty();
    let points_to = |part: &Part| {
        matches!(part.kind, ItemKind::Outlet | ItemKind::Panel)
            || (part.kind == ItemKind::Rack && !all_powered)
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
        at_first_outlet(layout, id, finding)
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

/// Breakers against conductors, and what is lost along the cables.
fn along_cables(layout: &Layout) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut unsaid = Vec::new();
    for (id, load) in &layout.power().circuits {
        let Some(circuit) = layout.plan().circuits().get(*id) else {
            continue;
        };
        let Some(conductor) = circuit.built.conductor else {
            unsaid.push(*id);
            continue;
        };
        findings.extend(conductor_holds(layout, *id, circuit, conductor));
        findings.extend(lost_along(layout, *id, conductor, load));
    }
    if let Some(first) = unsaid.first() {
        let text = format!(
            "The conductor of {} is not entered, so that nobody knows what is lost along it.",
            some_circuits(&unsaid)
        );
        let source = layout.limits().voltage_drop.source_words();
        let finding = caution(layout, *first, Standing::Unknown, text)
            .facet("conductor")
            .figure(None, None, "1", &source);
        findings.push(finding);
    }
    findings
}

/// Circuits in words: the first of them, and how many more.
pub(super) fn some_circuits(ids: &[Id]) -> String {
    match ids {
        [one] => one.to_string(),
        [first, rest @ ..] => format!("{first} and {} more circuits", rest.len()),
        [] => String::new(),
    }
}

fn caution(layout: &Layout, id: Id, standing: Standing, text: String) -> Finding {
    at_first_outlet(
        layout,
        id,
        Finding::new(CHECK.id, Severity::Caution, standing, vec![id], text),
    )
}

pub(super) fn at_first_outlet(layout: &Layout, id: Id, finding: Finding) -> Finding {
    let load = layout.power().circuits.get(&id);
    let outlet = load.and_then(|l| l.outlets.first());
    match outlet.and_then(|o| layout.part(*o)) {
        Some(part) => finding.at(part.spot, part.spot_height),
        None => finding,
    }
}

/// The breaker of a circuit in an American gauge against the largest one for it.
fn conductor_holds(
    layout: &Layout,
    id: Id,
    circuit: &Circuit,
    conductor: Conductor,
) -> Option<Finding> {
    let largest = conductor.gauge().and_then(|gauge| {
        let row = handbook::NEC_COPPER.iter().find(|row| row.awg == gauge)?;
        row.largest_breaker_a
    })?;
    let breaker = circuit.breaker.value();
    let over = breaker > largest + 1e-9;
    over.then(|| {
        let text = format!(
            "The {} breaker of {id} is too large for {}: at most {largest:.0} A protect it.",
            circuit.breaker.shown(),
            conductor.words()
        );
        let finding = Finding::new(
            CHECK.id,
            Severity::MustFix,
            Standing::Broken,
            vec![id],
            text,
        )
        .facet("conductor")
        .figure(Some(breaker), Some(largest), "A", "NEC 240.4(D), copper");
        at_first_outlet(layout, id, finding)
    })
}

/// What is lost along the cable of a circuit while everything on it runs.
fn lost_along(
    layout: &Layout,
    id: Id,
    conductor: Conductor,
    load: &CircuitLoad,
) -> Option<Finding> {
    let limit = &layout.limits().voltage_drop;
    let allowed = limit.value.value();
    let Some(run) = layout.cable_run(id) else {
        let text = format!(
            "How long the cable of {id} is cannot be told: enter its run, or name its panel and boxes."
        );
        return Some(
            caution(layout, id, Standing::Unknown, text)
                .facet("drop")
                .figure(None, Some(allowed), "1", &limit.source_words()),
        );
    };
    let running = layout.voltage_drop(id, load.running_a.known)?;
    let peak = layout.voltage_drop(id, load.peak_a.known)?;
    let (standing, missing) = verdict(
        &Total {
            known: running.percent / 100.0,
            missing: load.running_a.missing.clone(),
        },
        allowed,
    );
    let length = run.length_shown(layout.plan().practice());
    let how = if run.measured {
        "measured"
    } else {
        "estimated"
    };
    let text = format!(
        "{id} loses {:.1} V of its voltage ({:.1} %) along {length} ({how}) of {} while running{missing}, {:.1} % at the peak; {} are advised.",
        running.volts,
        running.percent,
        conductor.words(),
        peak.percent,
        limit.value.shown()
    );
    let known = (standing != Standing::Unknown).then_some(running.percent / 100.0);
    Some(caution(layout, id, standing, text).facet("drop").figure(
        known,
        Some(allowed),
        "1",
        &limit.source_words(),
    ))
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
