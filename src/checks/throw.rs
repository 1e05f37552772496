//! Throw: the air that reaches each printer, held against what it bears while printing.

use super::keep_out::why_no_jet;
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Fastest, Heights, Jet, Layout, Part, PlacedPrinter};
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
    run,
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    layout
        .of_kind(ItemKind::Cooling)
        .flat_map(|unit| match &unit.jet {
            Some(jet) => layout
                .of_kind(ItemKind::Rack)
                .filter_map(|rack| on_rack(layout, rack, unit, jet))
                .collect(),
            None => vec![unknown(layout, unit)],
        })
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
    let blown: Vec<(Id, Fastest, Limit<MetresPerSecond>)> = rack
        .slots()
        .iter()
        .filter_map(|slot| slot.printer.as_ref())
        .filter_map(|p| {
            let kind = layout.stock().printers.get(&p.kind)?;
            Some((p.id, fastest(jet, p)?, borne(layout, kind)?))
        })
        .collect();
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

fn fastest(jet: &Jet, printer: &PlacedPrinter) -> Option<Fastest> {
    let heights = Heights {
        low: printer.low,
        high: printer.high,
    };
    jet.fastest_over(&printer.footprint.convex(), heights)
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
