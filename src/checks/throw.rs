//! Throw: the air that reaches each printer, held against what it bears while printing.

use super::again::{Each, Run};
use super::keep_out::why_no_jet;
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Fastest, Jet, Layout, Part, PlacedPrinter};
use crate::plan::{Id, ItemKind, Limit, Sure};
use crate::stock::PrinterKind;
use crate::units::MetresPerSecond;

pub(super) const CHECK: Check = Check {
    id: "throw",
    title: "Draught at the printers",
    worst: Severity::Caution,
    what: "The air speed that a cooling unit throws on each printer, against what that printer bears while printing; enclosed ones are exempt.",
    why: "A draught warps prints off the bed and splits layers long before it is felt on the skin.",
    how: "A free cold jet at the top fan speed, spread and drop from the outlet's size, flow and temperature, its fastest air over the printer's envelope in use.",
    blind: "Shadow of racks and columns, jets that cling to walls or turn back from them, swinging vanes, doors and windows.",
    in_fill: false,
    limits: &["draught"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// A rack is judged by the units that blow on it, a unit without a jet by itself.
const EACH: Each = Each {
    is: |part| matches!(part.kind, ItemKind::Rack | ItemKind::Cooling),
    judge: about,
    touched: |_, part, other| part.kind == ItemKind::Rack && other.kind == ItemKind::Cooling,
    by_power: false,
};

fn about(layout: &Layout, part: &Part) -> Vec<Finding> {
    if part.kind == ItemKind::Cooling {
        let none = part.jet.is_none();
        return none.then(|| unknown(layout, part)).into_iter().collect();
    }
    let units = layout.of_kind(ItemKind::Cooling);
    let jets = units.filter_map(|unit| unit.jet.as_ref().map(|jet| (unit, jet)));
    jets.filter_map(|(unit, jet)| on_rack(layout, part, unit, jet))
        .collect()
}

fn unknown(layout: &Layout, unit: &Part) -> Finding {
    let limit = &layout.limits().draught;
    let text = format!(
        "{}, so the draught at the printers is unknown.",
        why_no_jet(layout, unit)
    );
    Finding::new(
        CHECK.id,
        Severity::Caution,
        Standing::Unknown,
        vec![unit.id],
        text,
    )
    .figure(
        None,
        Some(limit.value.value()),
        "m/s",
        &limit.source_words(),
    )
    .at(unit.spot, unit.spot_height)
}

/// The open printers of a rack in one jet: one finding for all that stand in too much, else one for the fastest air.
fn on_rack(layout: &Layout, rack: &Part, unit: &Part, jet: &Jet) -> Option<Finding> {
    let blown = most_blown(layout, rack, (unit.id, jet));
    let over = |(_, air, limit): &&(Id, Fastest, Limit<MetresPerSecond>)| {
        air.speed > limit.value.value() + 1e-9
    };
    let broken = blown.iter().filter(over).count();
    let (id, air, limit) = blown.iter().max_by(|(a, x, l), (b, y, m)| {
        let (s, t) = (x.speed - l.value.value(), y.speed - m.value.value());
        s.total_cmp(&t).then(b.cmp(a))
    })?;
    let (standing, text) = if broken > 0 {
        let who = match broken {
            1 => format!("{id} on {} stands", rack.id),
            n => format!("{n} printers of {}, {id} most of all, stand", rack.id),
        };
        (
            Standing::Broken,
            format!(
                "{who} in up to {:.2} m/s from cooling unit {}; an open printer bears {}.",
                air.speed,
                unit.id,
                limit.value.shown()
            ),
        )
    } else {
        (
            Standing::Met,
            format!(
                "The open printers of {} stand in at most {:.2} m/s from cooling unit {}.",
                rack.id, air.speed, unit.id
            ),
        )
    };
    Some(
        Finding::new(
            CHECK.id,
            Severity::Caution,
            standing,
            vec![rack.id, unit.id],
            text,
        )
        .speed(air.speed, limit)
        .at(air.at, air.height),
    )
}

/// An open printer, the fastest air over it, and what it bears.
type Blown = (Id, Fastest, Limit<MetresPerSecond>);

/// The open printers of a rack in one jet: all that stand in too much, and the one nearest to it. Passed over are those that can
/// neither stand in too much nor come nearer to it than another.
fn most_blown(layout: &Layout, rack: &Part, (unit, jet): (Id, &Jet)) -> Vec<Blown> {
    let mut exposed: Vec<(f64, &PlacedPrinter, Limit<MetresPerSecond>)> = layout
        .exposed(rack, jet)
        .into_iter()
        .filter_map(|e| {
            let kind = layout.stock().printers.get(&e.printer.kind)?;
            let limit = borne(layout, kind)?;
            Some((e.at_most - limit.value.value(), e.printer, limit))
        })
        .collect();
    exposed.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut blown: Vec<Blown> = Vec::new();
    let mut nearest = f64::NEG_INFINITY;
    for (at_most, printer, limit) in exposed {
        if at_most <= 0.0 && at_most < nearest {
            break;
        }
        if let Some(air) = layout.air_over(unit, jet, printer) {
            nearest = nearest.max(air.speed - limit.value.value());
            blown.push((printer.id, air, limit));
        }
    }
    blown
}

/// The air speed that a kind bears: its own figure, else the plan's limit; `None` for an enclosed one, which bears any.
fn borne(layout: &Layout, kind: &PrinterKind) -> Option<Limit<MetresPerSecond>> {
    if kind.enclosed {
        return None;
    }
    let own = kind.draught.map(|value| Limit {
        value,
        source: format!("figure entered for {}", kind.name),
        sure: Sure::Owner,
    });
    Some(own.unwrap_or_else(|| layout.limits().draught.clone()))
}
