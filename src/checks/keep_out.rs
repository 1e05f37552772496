//! Keep-out: nothing stands in a zone the owner drew, and no printer where the jet blows hard.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::TOLERANCE_MM;
use crate::layout::{Drawn, Exposed, Fastest, Heights, Jet, Layout, Part, STILL_M_S, Sees};
use crate::plan::{Blow, Fan, Id, Item, ItemKind, ZoneUse};
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "keep-out",
    title: "Keep-out zones stay free",
    worst: Severity::MustFix,
    what: "Nothing stands in a keep-clear zone, and no printer stands where a cooling unit blows harder than the hard limit.",
    why: "A zone was drawn for a reason, and a hard jet of cold air lifts prints off the bed whatever the machine.",
    how: "The exact overlap of bodies with drawn zones; for the jet the fastest air over each printer's envelope in use, at the top fan speed, from the outlet's size and flow, the vane's pitch, the spread and the drop of cold air, over all its swing; fixed things shade what lies straight behind them. Air of at most 0.05 m/s counts as still.",
    blind: "What racks and supplies shade, lower fan speeds, and air that walls turn back or bodies turn aside; the caution `throw` has the finer limit.",
    caution: "",
    in_fill: true,
    limits: &["jet-hard"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// A zone is judged by the bodies in it, a rack by the units that blow on it, a unit without a jet by itself.
const EACH: Each = Each {
    is: |part| {
        let kept_clear = |z: &Drawn| z.purpose == ZoneUse::KeepClear;
        part.zone.as_ref().is_some_and(kept_clear)
            || matches!(part.kind, ItemKind::Rack | ItemKind::Cooling)
    },
    judge: about,
    touched: |layout, part, other| match (&part.zone, &other.solid) {
        (Some(zone), Some(solid)) => zone.shape.bounds().gap(solid.shape.bounds()) <= TOLERANCE_MM,
        (Some(_), None) => false,
        (None, _) => {
            part.kind == ItemKind::Rack
                && (other.kind == ItemKind::Cooling || layout.may_shade(other, part, Sees::Fixed))
        }
    },
    by_power: false,
};

fn about(layout: &Layout, part: &Part) -> Vec<Finding> {
    if let Some(zone) = &part.zone {
        return in_zone(layout, part, zone);
    }
    if part.kind == ItemKind::Cooling {
        let none = part.jet.is_none();
        return none.then(|| unknown(layout, part)).into_iter().collect();
    }
    let units = layout.of_kind(ItemKind::Cooling);
    let jets = units.filter_map(|unit| unit.jet.as_ref().map(|jet| (unit, jet)));
    jets.filter_map(|(unit, jet)| in_jet(layout, part, unit, jet))
        .collect()
}

fn in_zone(layout: &Layout, part: &Part, zone: &Drawn) -> Vec<Finding> {
    let practice = layout.plan().practice();
    let source = "the zone as the owner drew it";
    let mut findings: Vec<Finding> = layout
        .solids()
        .filter(|(other, solid)| !other.fixed && solid.heights.overlap(zone.heights))
        .filter_map(|(other, solid)| {
            let depth = solid.shape.overlap_depth(&zone.shape)?;
            let text = format!(
                "{} stands {} inside keep-clear zone {}.",
                other.id,
                Length::from_mm(depth).shown(practice),
                part.id
            );
            let items = vec![other.id, part.id];
            let finding = Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text)
                .figure(Some(depth), Some(0.0), "mm", source)
                .at(solid.oblong.centre(), zone.heights.low)
                .marking(&zone.shape);
            Some(finding)
        })
        .collect();
    if findings.is_empty() {
        let text = format!("Keep-clear zone {} is free.", part.id);
        findings.push(
            Finding::new(
                CHECK.id,
                Severity::MustFix,
                Standing::Met,
                vec![part.id],
                text,
            )
            .figure(Some(0.0), Some(0.0), "mm", source)
            .at(part.spot, zone.heights.low),
        );
    }
    findings
}

/// Why a cooling unit has no jet: a figure is missing, or the figures give none.
pub(super) fn why_no_jet(layout: &Layout, unit: &Part, sees: Sees) -> String {
    let id = unit.id;
    let Some(Item::Cooling(placed)) = layout.plan().items().get(id) else {
        return format!("No jet can be worked out for {id}");
    };
    let kind = layout.stock().cooling.get(&placed.kind);
    let fan = match sees {
        Sees::Fixed => Fan::Top,
        Sees::All => placed.blow.fan,
    };
    let entered = kind.is_some_and(|k| fan.flow(k).is_some() && k.supply_below_room.is_some());
    let steep = kind.is_some_and(|k| placed.blow.down_deg(k).abs() > Blow::STEEPEST_DEG);
    match (entered, steep, kind) {
        (true, true, _) => format!(
            "No jet can be worked out for cooling unit {id}, as its vane is steeper than {:.0}°",
            Blow::STEEPEST_DEG
        ),
        (true, false, _) => format!(
            "No jet can be worked out for cooling unit {id} (no air flow, or an outlet 40 times as wide as high or more)"
        ),
        (false, _, Some(kind)) if fan != Fan::Top && kind.supply_below_room.is_some() => format!(
            "The air flow of cooling unit {id} at its fan speed in use, {}, is not entered",
            fan.name(kind)
        ),
        (false, ..) => {
            format!("The air flow or the air temperature of cooling unit {id} is not entered")
        }
    }
}

fn unknown(layout: &Layout, unit: &Part) -> Finding {
    let limit = &layout.limits().jet_hard;
    let text = format!(
        "{}, so nobody can say where it blows.",
        why_no_jet(layout, unit, Sees::Fixed)
    );
    Finding::new(
        CHECK.id,
        Severity::MustFix,
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

/// The printer of a rack that stands in the fastest air; `None` for a rack without printers in air that is not still.
fn in_jet(layout: &Layout, rack: &Part, unit: &Part, jet: &Jet) -> Option<Finding> {
    let limit = &layout.limits().jet_hard;
    let (id, air) = fastest_printer(layout, rack, (unit, jet))?;
    if air.speed <= STILL_M_S.min(limit.value.value()) {
        return None;
    }
    let broken = air.speed > limit.value.value() + 1e-9;
    let standing = if broken {
        Standing::Broken
    } else {
        Standing::Met
    };
    let text = if broken {
        format!(
            "{id} on {} stands in {:.2} m/s from cooling unit {}; no printer may stand in more than {}.",
            rack.id,
            air.speed,
            unit.id,
            limit.value.shown()
        )
    } else {
        format!(
            "The printers of {} stand in at most {:.2} m/s from cooling unit {}.",
            rack.id, air.speed, unit.id
        )
    };
    let finding = Finding::new(
        CHECK.id,
        Severity::MustFix,
        standing,
        vec![rack.id, unit.id],
        text,
    )
    .speed(air.speed, limit)
    .at(air.at, air.height);
    if !broken {
        return Some(finding);
    }
    let heights = Heights {
        low: 0.0,
        high: layout.limits().headroom.value.mm(),
    };
    Some(match jet.contour(limit.value.value(), heights) {
        Some(zone) => finding.marking(&zone),
        None => finding,
    })
}

/// The printer of a rack that stands in the fastest air, and that air; of several as fast the one of the first mark. They are
/// looked at in the order of the fastest air they may stand in, until none that is left can beat the best.
fn fastest_printer(
    layout: &Layout,
    rack: &Part,
    (unit, jet): (&Part, &Jet),
) -> Option<(Id, Fastest)> {
    let ignored = STILL_M_S.min(layout.limits().jet_hard.value.value());
    let mut exposed = layout.exposed(rack, jet, ignored);
    exposed.sort_by(|a, b| b.at_most.total_cmp(&a.at_most));
    let mut best: Option<(Id, Fastest)> = None;
    for Exposed { printer, at_most } in exposed {
        if best.is_some_and(|(_, air)| at_most < air.speed) {
            break;
        }
        let Some(air) = layout.air_over(unit, Sees::Fixed, printer) else {
            continue;
        };
        let order = |(id, best): (Id, Fastest)| {
            let faster = air.speed.total_cmp(&best.speed);
            faster.then(id.cmp(&printer.id)).is_gt()
        };
        if best.is_none_or(order) {
            best = Some((printer.id, air));
        }
    }
    best
}
