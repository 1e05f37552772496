//! Protection: what leaks to earth behind a protective device, the rush of current at switching on, and damp places.

use super::again::{Before, Run, Turn};
use super::circuits::{at_first_outlet, some_circuits};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{CircuitLoad, Layout, Part};
use crate::plan::{Circuit, Id, Item, ItemKind, Protection};
use crate::units::{Amps, Practice};

pub(super) const CHECK: Check = Check {
    id: "protection",
    title: "Protective devices hold and protect",
    worst: Severity::Caution,
    what: "Current that leaks to earth for good, of all machines behind a residual-current or ground-fault device, against what may stand behind it; the rush of current when everything comes back at once against the breaker's curve; outlets in wet zones, or anywhere in a room that counts as damp, without such a device.",
    why: "Switched supplies leak a little each. A dozen behind one device trip it at night, and an outlet under a drip without one can kill.",
    how: "Leakage and inrush of printers and UPS are added circuit by circuit, as data sheet or meter gives them. For good no more than 30 % of a residual-current device's rating (BS 7671:2018, 531.3.2) or 4 mA behind a class A interrupter (UL 943); inrush against the multiples of curves B, C and D (IEC 60898-1).",
    blind: "Whether the room counts as damp, where nobody said so; devices upstream and their selectivity, leakage of cables and other loads, waveforms that a device of the wrong type does not see, fault currents and earthing; breakers without a curve letter.",
    caution: "A licensed electrician and the local code decide.",
    in_fill: false,
    limits: &[],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut unsaid = Vec::new();
    for (id, load) in &layout.power().circuits {
        let Some(circuit) = layout.plan().circuits().get(*id) else {
            continue;
        };
        match circuit.built.protection {
            None => unsaid.push(*id),
            Some(device) => findings.extend(leakage(layout, *id, device, load)),
        }
        findings.extend(inrush(layout, *id, circuit, load));
    }
    findings.extend(damp(layout));
    if let Some(first) = unsaid.first() {
        let text = format!(
            "What cuts off {} when current leaks to earth is not entered: read it off the panel.",
            some_circuits(&unsaid)
        );
        let finding = finding(layout, *first, Standing::Unknown, text)
            .facet("device")
            .figure(None, None, "mA", "the device as entered");
        findings.push(finding);
    }
    findings
}

/// False where a change leaves who hangs on what, the outlets and the wet zones as they were.
fn may_alter(turn: &Turn<'_>, _: &Before) -> bool {
    let counts = |part: &Part| matches!(part.kind, ItemKind::Outlet | ItemKind::Zone);
    !turn.hangs_as_before() || turn.moved_parts().any(counts)
}

fn finding(layout: &Layout, circuit: Id, standing: Standing, text: String) -> Finding {
    let finding = Finding::new(CHECK.id, Severity::Caution, standing, vec![circuit], text);
    at_first_outlet(layout, circuit, finding)
}

/// A sum of milliamperes or amperes over what hangs on a circuit, and how many of them have no figure.
struct Sum {
    known: f64,
    missing: usize,
}

/// The sum of a figure of every printer and UPS on a circuit.
fn sum(layout: &Layout, load: &CircuitLoad, figure: impl Fn(Machine<'_>) -> Option<Amps>) -> Sum {
    let stock = layout.stock();
    let printers = load.printers.iter().map(|id| {
        let printer = layout.plan().printers().get(*id);
        let kind = printer.and_then(|p| stock.printers.get(&p.kind));
        kind.and_then(|k| figure(Machine::Printer(k)))
    });
    let supplies = load
        .supplies
        .iter()
        .map(|id| layout.ups_kind(*id).and_then(|k| figure(Machine::Ups(k))));
    printers.chain(supplies).fold(
        Sum {
            known: 0.0,
            missing: 0,
        },
        |sum, figure| match figure {
            Some(amps) => Sum {
                known: sum.known + amps.value(),
                ..sum
            },
            None => Sum {
                missing: sum.missing + 1,
                ..sum
            },
        },
    )
}

/// A machine on a circuit.
enum Machine<'a> {
    Printer(&'a crate::stock::PrinterKind),
    Ups(&'a crate::stock::UpsKind),
}

/// What leaks behind a device against what may.
fn leakage(layout: &Layout, id: Id, device: Protection, load: &CircuitLoad) -> Option<Finding> {
    let allowed = device.standing_ma()?;
    let leak = sum(layout, load, |machine| match machine {
        Machine::Printer(kind) => kind.leakage,
        Machine::Ups(kind) => kind.leakage,
    });
    let measured = leak.known * 1000.0;
    let standing = if measured > allowed + 1e-9 {
        Standing::Broken
    } else if leak.missing > 0 {
        Standing::Unknown
    } else {
        Standing::Met
    };
    let missing = match leak.missing {
        0 => String::new(),
        n => format!(", those of {n} machines not counted: their leakage is not entered"),
    };
    let text = format!(
        "{measured:.1} mA leak to earth on {id}{missing}; {allowed:.0} mA may for good behind its device ({}).",
        device.words()
    );
    let source = if device == Protection::GroundFault {
        "UL 943, class A"
    } else {
        "BS 7671:2018, 531.3.2: 30 % of the device's rating"
    };
    let known = (standing != Standing::Unknown).then_some(measured);
    Some(finding(layout, id, standing, text).facet("leakage").figure(
        known,
        Some(allowed),
        "mA",
        source,
    ))
}

/// The rush of current at switching on against the curve, where there is a letter.
fn inrush(layout: &Layout, id: Id, circuit: &Circuit, load: &CircuitLoad) -> Option<Finding> {
    let curve = circuit.built.curve?;
    if load.printers.is_empty() {
        return None;
    }
    let rush = sum(layout, load, |machine| match machine {
        Machine::Printer(kind) => kind.inrush,
        // What a UPS itself takes is not on its sheet; it passes on what its printers take.
        Machine::Ups(_) => Some(Amps::ZERO),
    });
    let (may, will) = curve.trips_at();
    let rating = circuit.breaker.value();
    let (may, will) = (may * rating, will * rating);
    let (standing, words) = if rush.known > will {
        (Standing::Broken, "trips at once")
    } else if rush.known > may {
        (Standing::Broken, "may trip at once")
    } else if rush.missing > 0 {
        (Standing::Unknown, "is not known to hold")
    } else {
        (Standing::Met, "holds")
    };
    let missing = match rush.missing {
        0 => String::new(),
        n => format!(", that of {n} machines not counted: it is not entered"),
    };
    let text = format!(
        "When everything on {id} comes back at once {:.0} A rush in{missing}: its {} breaker of curve {} {words}; from {may:.0} A on it may, from {will:.0} A on it surely does. Switch on one after another.",
        rush.known,
        circuit.breaker.shown(),
        curve.letter(),
    );
    let known = (standing != Standing::Unknown).then_some(rush.known);
    Some(finding(layout, id, standing, text).facet("inrush").figure(
        known,
        Some(may),
        "A",
        "IEC 60898-1, instantaneous release",
    ))
}

/// Outlets in wet zones, or in a damp room, whose circuit has no protective device for people, or nobody knows.
fn damp(layout: &Layout) -> Vec<Finding> {
    let zones: Vec<_> = layout
        .of_kind(ItemKind::Zone)
        .filter_map(|part| part.zone.as_ref().map(|zone| (part.id, zone)))
        .filter(|(_, zone)| zone.is_wet_in(layout.phase()))
        .collect();
    let everywhere = layout.plan().supply().damp == Some(true);
    let mut findings = Vec::new();
    for part in layout.of_kind(ItemKind::Outlet) {
        let Some(Item::Outlet(outlet)) = layout.plan().items().get(part.id) else {
            continue;
        };
        let zone = zones.iter().find(|(_, z)| z.shape.contains(part.spot));
        let zone = zone.map(|(zone, _)| *zone);
        if zone.is_none() && !everywhere {
            continue;
        }
        let circuit = outlet.circuit.and_then(|c| layout.plan().circuits().get(c));
        let (standing, words) = for_people(circuit.and_then(|c| c.built.protection));
        let place = zone.map_or("a room that counts as damp".to_owned(), |zone| {
            format!("wet zone {zone}")
        });
        let text = format!("{} hangs in {place}, and {words}.", part.id);
        let items = std::iter::once(part.id).chain(zone).collect();
        let finding = Finding::new(CHECK.id, Severity::Caution, standing, items, text);
        findings.push(
            finding
                .facet("damp")
                .figure(None, None, "1", damp_source(layout.plan().practice()))
                .at(part.spot, part.spot_height),
        );
    }
    findings
}

/// Whether a device protects people, and how that is said of an outlet.
fn for_people(device: Option<Protection>) -> (Standing, &'static str) {
    match device {
        None => (Standing::Unknown, "what protects it is not entered"),
        Some(Protection::Bare) => (Standing::Broken, "its circuit has no protective device"),
        Some(Protection::Residual100 | Protection::Residual300) => (
            Standing::Broken,
            "its device is made against fire, not for people",
        ),
        Some(_) => (Standing::Met, "a protective device stands behind it"),
    }
}

fn damp_source(practice: Practice) -> &'static str {
    match practice {
        Practice::Us => "NEC 2023 210.8(B): indoor damp locations",
        Practice::Metric => "IEC 60364-4-41, 411.3.3: at most 30 mA for sockets (from memory)",
    }
}
