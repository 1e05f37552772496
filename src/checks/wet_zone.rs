//! Wet zone: nothing electrical in or under it until it is dry, and no phase goes on before somebody promised that.

use super::again::Run;
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Bounds, Convex, Point, TOLERANCE_MM};
use crate::layout::{Drawn, Layout, Part, PlacedPrinter};
use crate::plan::{Id, ItemKind, ZoneUse};

pub(super) const CHECK: Check = Check {
    id: "wet-zone",
    title: "Nothing electrical where it is wet",
    worst: Severity::MustFix,
    what: "No printer, UPS, outlet, panel, cooling unit, light or camera stands in or under a wet zone before the phase it is dry from; a zone that nobody promised dry stops its phase.",
    why: "Water and mains together kill people and start fires.",
    how: "The exact overlap in plan of every electrical thing below the zone's upper edge with the zone.",
    blind: "Water nobody drew, splashing, and cords lying on the floor; a licensed electrician decides.",
    caution: "A licensed electrician says when it is dry enough for mains.",
    in_fill: true,
    limits: &[],
    run: Run::Whole(run),
    concerns: anything,
};

/// Something electrical: its mark, what moves when it is moved, and its outline.
struct Electrical {
    id: Id,
    carried_by: Option<Id>,
    shape: Convex,
    low: f64,
}

fn run(layout: &Layout) -> Vec<Finding> {
    layout
        .parts()
        .filter_map(|part| part.zone.as_ref().map(|zone| (part.as_ref(), zone)))
        .filter(|(_, zone)| matches!(zone.purpose, ZoneUse::Wet { .. }))
        .flat_map(|(part, zone)| judged(layout, part, zone, &electrical(layout, zone)))
        .collect()
}

/// Everything electrical but the printers that stand wholly beside the zone's box.
fn electrical(layout: &Layout, zone: &Drawn) -> Vec<Electrical> {
    let beside = |p: &PlacedPrinter| {
        let bounds = Bounds::of(&p.footprint.corners());
        bounds.is_some_and(|b| b.gap(zone.shape.bounds()) > TOLERANCE_MM)
    };
    let near = layout.printers().filter(|(_, p)| !beside(p));
    let printers = near.map(|(slot, p)| Electrical {
        id: p.id,
        carried_by: Some(slot.name.rack),
        shape: p.footprint.convex(),
        low: p.low,
    });
    let fixed = layout.parts().filter_map(|part| {
        let is = matches!(
            part.kind,
            ItemKind::Outlet
                | ItemKind::Panel
                | ItemKind::Cooling
                | ItemKind::Ups
                | ItemKind::Light
                | ItemKind::Camera
        );
        let spot = || {
            let side = Point::splat(1.0);
            Convex::hull(&[
                part.spot - side,
                part.spot + Point::new(1.0, -1.0),
                part.spot + side,
                part.spot + Point::new(-1.0, 1.0),
            ])
        };
        let shape = match &part.solid {
            Some(solid) => Some(solid.shape.clone()),
            None => spot(),
        };
        let carried_by = layout
            .plan()
            .items()
            .get(part.id)
            .filter(|i| i.kind() == ItemKind::Ups)
            .and_then(|i| {
                i.links()
                    .into_iter()
                    .find(|id| id.prefix() == ItemKind::Rack.prefix())
            });
        Some(Electrical {
            id: part.id,
            carried_by,
            shape: shape.filter(|_| is)?,
            low: part
                .solid
                .as_ref()
                .map_or(part.spot_height, |s| s.heights.low),
        })
    });
    printers.chain(fixed).collect()
}

/// A zone that nobody promised dry stops its phase, whatever stands in it.
fn not_promised(layout: &Layout, part: &Part, zone: &Drawn, source: &str) -> Finding {
    let text = format!(
        "Nobody has promised when wet zone {} is dry: phase {} waits for it. Have the leak mended, then say from which phase on it is dry.",
        part.id,
        layout.phase()
    );
    let wet = vec![part.id];
    Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, wet, text)
        .facet("not dry")
        .figure(Some(1.0), Some(0.0), "1", source)
        .at(part.spot, zone.heights.low)
        .marking(&zone.shape)
}

fn judged(layout: &Layout, part: &Part, zone: &Drawn, electrical: &[Electrical]) -> Vec<Finding> {
    let source =
        "the zone as the owner drew it; electrical things stay dry, common practice, no source";
    let dry = !zone.is_wet_in(layout.phase());
    let wet: Vec<&Electrical> = electrical
        .iter()
        .filter(|e| !dry && e.low < zone.heights.high && e.shape.overlaps(&zone.shape))
        .collect();
    // Told beside what stands in it, so that carrying that out brings no finding that was not there.
    let unpromised = matches!(zone.purpose, ZoneUse::Wet { dry_from: None });
    let unpromised = unpromised.then(|| not_promised(layout, part, zone, source));
    if unpromised.is_none() && (dry || wet.is_empty()) {
        let why = if dry {
            "is dry in this phase"
        } else {
            "holds nothing electrical"
        };
        let text = format!("Wet zone {} {why}.", part.id);
        return vec![
            Finding::new(
                CHECK.id,
                Severity::MustFix,
                Standing::Met,
                vec![part.id],
                text,
            )
            .figure(Some(0.0), Some(0.0), "1", source)
            .at(part.spot, zone.heights.low),
        ];
    }
    wet.into_iter()
        .map(|e| {
            let text = match e.carried_by {
                Some(rack) => format!(
                    "{} on {rack} stands in or under wet zone {}.",
                    e.id, part.id
                ),
                None => format!("{} stands in or under wet zone {}.", e.id, part.id),
            };
            let items = e.carried_by.into_iter().chain([e.id, part.id]).collect();
            Finding::new(CHECK.id, Severity::MustFix, Standing::Broken, items, text)
                .figure(Some(1.0), Some(0.0), "1", source)
                .at(e.shape.middle(), e.low)
                .marking(&zone.shape)
        })
        .chain(unpromised)
        .collect()
}
