//! Floor load: the weight of every rack, spread as engineers spread it, against what the floor is rated for.

use super::again::{Before, Run, Turn};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Footing, Layout, Part};
use crate::plan::{Id, ItemKind};
use crate::units::{floor_load_shown, mass_shown};

pub(super) const CHECK: Check = Check {
    id: "floor-load",
    title: "The floor bears the racks",
    worst: Severity::MustFix,
    what: "The weight of every loaded rack on its own footprint, and spread over half of each aisle it is worked from, against the floor's rating.",
    why: "A rented floor over a cellar may be made for offices. The landlord's engineer says what it bears; nobody else can.",
    how: "Rack, boards, printers, pads, stores and every UPS at its foot by the footprint; and, with every UPS that stands there, by the footprint with half the aisle before each face (engineering practice, from memory). Over the rating when spread must be fixed; over it on its footprint alone is a caution.",
    blind: "Posts that press on a few square inches, a UPS further off than half an aisle, benches and people, and how the floor is built; slabs on the ground bear more.",
    caution: "The landlord's engineer says what the floor bears; nobody else can.",
    in_fill: false,
    limits: &[],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

/// A rack that only stands elsewhere presses as before; what changes is where a finding points, and before which racks a UPS
/// stands.
fn may_alter(turn: &Turn<'_>, before: &Before) -> bool {
    let presses = |layout: &Layout, id: Id| {
        let footing = layout.part(id).and_then(|part| layout.footing(part));
        footing.map(|f| {
            (
                [f.mass_kg, f.beside_kg, f.patch_kpa, f.spread_kpa],
                f.missing,
            )
        })
    };
    // One at the foot of a rack goes where that goes and stays its burden.
    let by_itself =
        |part: &Part| part.kind == ItemKind::Ups && turn.change.items.contains(&part.id);
    turn.moves_spot_of(before)
        || turn.moved_parts().any(by_itself)
        || turn
            .moved_ids()
            .any(|id| presses(turn.old, id) != presses(turn.new, id))
}

fn run(layout: &Layout) -> Vec<Finding> {
    let footings: Vec<Footing<'_>> = layout
        .of_kind(ItemKind::Rack)
        .filter_map(|part| layout.footing(part))
        .collect();
    let worst = footings
        .iter()
        .max_by(|a, b| a.spread_kpa.total_cmp(&b.spread_kpa));
    let Some(worst) = worst else {
        return Vec::new();
    };
    let Some(rating) = layout.plan().head().floor_rating else {
        return vec![unrated(layout, worst)];
    };
    let rating = rating.value();
    let over = |kpa: f64| kpa > rating + 1e-6;
    let mut findings: Vec<Finding> = footings
        .iter()
        .filter(|f| over(f.patch_kpa))
        .map(|f| broken(layout, f, rating, over(f.spread_kpa)))
        .collect();
    let unknown: Vec<&Footing<'_>> = footings
        .iter()
        .filter(|f| !f.missing.is_empty() && !over(f.spread_kpa))
        .collect();
    if let Some(finding) = unweighed(&unknown, rating) {
        findings.push(finding);
    } else if findings.is_empty() {
        findings.push(met(layout, worst, rating));
    }
    findings
}

const SOURCE: &str = "the floor's rating as entered; spread over half of each aisle by engineering practice (from memory)";

/// Both figures of a rack in words.
fn words(layout: &Layout, f: &Footing<'_>) -> String {
    let practice = layout.plan().practice();
    let beside = if f.beside_kg > 0.0 {
        format!(" with {} of UPS there", mass_shown(f.beside_kg, practice))
    } else {
        String::new()
    };
    format!(
        "{} weighs {} loaded: {} on its footprint, {} spread over half of each aisle{beside}",
        f.part.id,
        mass_shown(f.mass_kg, practice),
        floor_load_shown(f.patch_kpa, practice),
        floor_load_shown(f.spread_kpa, practice)
    )
}

fn rated(layout: &Layout, rating_kpa: f64) -> String {
    floor_load_shown(rating_kpa, layout.plan().practice())
}

fn broken(layout: &Layout, f: &Footing<'_>, rating: f64, spread: bool) -> Finding {
    let (severity, facet, measured, what) = if spread {
        let what = "ask the landlord's engineer, or spread the racks";
        (Severity::MustFix, "spread", f.spread_kpa, what)
    } else {
        let what = "under the rack alone it is more; ask the landlord's engineer";
        (Severity::Caution, "patch", f.patch_kpa, what)
    };
    let text = format!(
        "{}; the floor is rated for {}: {what}.",
        words(layout, f),
        rated(layout, rating)
    );
    let items = vec![f.part.id];
    Finding::new(CHECK.id, severity, Standing::Broken, items, text)
        .facet(facet)
        .figure(Some(measured), Some(rating), "kPa", SOURCE)
        .at(f.part.spot, 0.0)
}

fn met(layout: &Layout, f: &Footing<'_>, rating: f64) -> Finding {
    let text = format!(
        "{}, the most of all racks; the floor is rated for {}.",
        words(layout, f),
        rated(layout, rating)
    );
    let items = vec![f.part.id];
    Finding::new(CHECK.id, Severity::MustFix, Standing::Met, items, text)
        .facet("spread")
        .figure(Some(f.patch_kpa), Some(rating), "kPa", SOURCE)
        .at(f.part.spot, 0.0)
}

/// Nobody entered what the floor bears: said once, with the heaviest rack.
fn unrated(layout: &Layout, f: &Footing<'_>) -> Finding {
    let least = if f.missing.is_empty() {
        ""
    } else {
        " at least"
    };
    let text = format!(
        "What the floor is rated for is not entered; ask the landlord. {}{least}, the most of all racks.",
        words(layout, f)
    );
    Finding::new(
        CHECK.id,
        Severity::MustFix,
        Standing::Unknown,
        vec![f.part.id],
        text,
    )
    .facet("rating")
    .named_by_none()
    .figure(Some(f.spread_kpa), None, "kPa", SOURCE)
    .at(f.part.spot, 0.0)
}

/// The racks whose weight is not all known, in one finding.
fn unweighed(racks: &[&Footing<'_>], rating: f64) -> Option<Finding> {
    let first = racks.first()?;
    let items: Vec<Id> = racks.iter().map(|f| f.part.id).collect();
    let more = match items.len() {
        1 => String::new(),
        n => format!(" and {} more racks", n - 1),
    };
    let text = format!(
        "What {}{more} weigh on the floor is unknown; not entered: {}.",
        first.part.id,
        first.missing.join(", ")
    );
    Some(
        Finding::new(CHECK.id, Severity::MustFix, Standing::Unknown, items, text)
            .facet("mass")
            .figure(None, Some(rating), "kPa", SOURCE)
            .at(first.part.spot, 0.0),
    )
}
