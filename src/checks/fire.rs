//! Fire: what stands under sprinklers and ceilings, the way to an extinguisher, detectors, and what to ask the insurer with the
//! figures he will want.

use super::again::Run;
use super::finding::counted;
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::{Point, reaches};
use crate::handbook::spools::SPOOL_1_KG_MM;
use crate::layout::{Layout, Part};
use crate::plan::{FittingUse, Id, ItemKind, OverheadUse, Question};
use crate::units::{Length, mass_shown};

pub(super) const CHECK: Check = Check {
    id: "fire",
    title: "Ready for a fire",
    worst: Severity::Caution,
    what: "The clearance under sprinkler heads or the ceiling, the way to an extinguisher, whether a detector is drawn, whether the plan has outgrown the figures that the insurer agreed to, and what to ask insurer, landlord and fire authority with the kilograms of plastic, the power and the hours without anybody there.",
    why: "A printer that runs alone at night is a heater beside plastic. The fire authority, the insurer and the local code decide what that takes; nothing here says that a room is safe.",
    how: "Everything that stands lower than the deflectors by the limit, as one level plane over the whole room; without sprinklers, below the ceiling. The way to an extinguisher is measured straight, so it is at least that long; it is met only where it is short enough along the walls' directions too, with no wall in between. Plastic: all places for spools full, and a spool on every printer.",
    blind: "Sprinklers' own design, walls and doors that hold back fire, what burns besides plastic, how detectors are wired, and the way round racks.",
    caution: "The fire authority, the insurer and the local code decide; nothing here says that a room is safe.",
    in_fill: false,
    limits: &["sprinkler-clear", "ceiling-clear", "extinguisher-way"],
    run: Run::Whole(run),
    concerns: anything,
};

fn run(layout: &Layout) -> Vec<Finding> {
    if layout.printers().next().is_none() {
        return Vec::new();
    }
    let questions = [Question::Insurer, Question::Alarm, Question::Extinguishers];
    let told = [
        overhead(layout),
        Some(extinguisher(layout)),
        Some(detector(layout)),
        Some(super::asked::finding(
            layout,
            CHECK.id,
            &questions,
            &figures(layout),
        )),
        plastic_agreed(layout),
        peak_agreed(layout),
    ];
    told.into_iter().flatten().collect()
}

/// A finding about those things, named by its facet alone.
fn caution(standing: Standing, items: Vec<Id>, text: String, facet: &str) -> Finding {
    Finding::new(CHECK.id, Severity::Caution, standing, items, text)
        .facet(facet)
        .named_by_none()
}

fn of(layout: &Layout, kind: ItemKind) -> impl Iterator<Item = &Part> {
    layout.of_kind(kind).map(AsRef::as_ref)
}

/// The highest thing that stands on the floor against the plane under sprinklers, or under the ceiling.
fn overhead(layout: &Layout) -> Option<Finding> {
    let practice = layout.plan().practice();
    let limits = layout.limits();
    let shown = |mm: f64| Length::from_mm(mm).shown(practice);
    let lowest = of(layout, ItemKind::Overhead(OverheadUse::Sprinkler))
        .filter_map(|part| part.solid.as_ref())
        .map(|s| s.heights.low)
        .min_by(f64::total_cmp);
    let (above, limit, what) = match lowest {
        Some(low) => (low, &limits.sprinkler_clear, "the lowest sprinkler head"),
        None => (
            layout.plan().room().ceiling.mm(),
            &limits.ceiling_clear,
            "the ceiling",
        ),
    };
    let (part, top) = layout
        .solids()
        .filter(|(part, _)| !part.fixed)
        .map(|(part, solid)| (part, solid.heights.high.max(spools_up_to(part))))
        .max_by(|(a, x), (b, y)| x.total_cmp(y).then(b.id.cmp(&a.id)))?;
    let clear = above - top;
    let met = reaches(clear, limit.value.mm());
    let text = format!(
        "{} stands {} below {what}; {} are to stay clear.",
        part.id,
        shown(clear),
        limit.value.shown(practice)
    );
    let standing = if met { Standing::Met } else { Standing::Broken };
    Some(
        caution(standing, vec![part.id], text, "overhead")
            .length(clear, limit)
            .at(part.spot, top),
    )
}

/// The top of the spools on a rack's levels for them, above the floor; nothing where it has none.
fn spools_up_to(part: &Part) -> f64 {
    let levels = part.rack.iter().flat_map(|rack| &rack.levels);
    let stored = levels.filter(|l| l.keeps_spools());
    let tops = stored.map(|l| l.top.mm() + SPOOL_1_KG_MM.1);
    tops.fold(0.0, f64::max)
}

/// The way along the walls' directions between two places, where no wall stands in between: longer than straight, and a cart could
/// go it in an empty room. `None` where a wall does.
fn on_foot(layout: &Layout, from: Point, to: Point) -> Option<f64> {
    let along = layout.walls().next().map_or(Point::X, |wall| wall.along);
    let off = to - from;
    let clear = layout.room().holds_line(from, to);
    clear.then(|| off.dot(along).abs() + off.perp_dot(along).abs())
}

fn extinguisher(layout: &Layout) -> Finding {
    let practice = layout.plan().practice();
    let limit = &layout.limits().extinguisher_way;
    let places: Vec<&Part> = of(layout, ItemKind::Fitting(FittingUse::Extinguisher)).collect();
    let nearest = |from: &Part| {
        let ways = places.iter().map(|part| part.spot.distance(from.spot));
        ways.min_by(f64::total_cmp)
    };
    let walked = |from: &Part| {
        let ways = places
            .iter()
            .filter_map(|to| on_foot(layout, from.spot, to.spot));
        ways.min_by(f64::total_cmp)
    };
    let furthest = of(layout, ItemKind::Rack)
        .filter_map(|rack| Some((rack, nearest(rack)?)))
        .max_by(|(a, x), (b, y)| x.total_cmp(y).then(b.id.cmp(&a.id)));
    let Some((rack, way)) = furthest else {
        let text = "No extinguisher is drawn, so how far it is to one is unknown.".to_owned();
        let limit_mm = Some(limit.value.mm());
        return caution(Standing::Unknown, Vec::new(), text, "extinguisher")
            .figure(None, limit_mm, "mm", &limit.source_words())
            .at(layout.room().bounds().centre(), 0.0);
    };
    let surely = |from: &Part| walked(from).is_some_and(|way| reaches(limit.value.mm(), way));
    let (standing, more) = if !reaches(limit.value.mm(), way) {
        (Standing::Broken, "")
    } else if of(layout, ItemKind::Rack).all(surely) {
        (Standing::Met, "")
    } else {
        (Standing::Unknown, " On foot it may be longer: walk it.")
    };
    let text = format!(
        "From {} it is at least {} to an extinguisher; {} on foot are the most.{more}",
        rack.id,
        Length::from_mm(way).shown(practice),
        limit.value.shown(practice)
    );
    caution(standing, vec![rack.id], text, "extinguisher")
        .length(way, limit)
        .at(rack.spot, 0.0)
}

fn detector(layout: &Layout) -> Finding {
    let all: Vec<&Part> = of(layout, ItemKind::Overhead(OverheadUse::Detector)).collect();
    let (standing, text) = match all.len() {
        0 => (
            Standing::Unknown,
            "No detector is drawn; whether a fire would be noticed is unknown.".to_owned(),
        ),
        1 => (Standing::Met, "One detector is drawn.".to_owned()),
        n => (Standing::Met, format!("{n} detectors are drawn.")),
    };
    let count = counted(all.len());
    let items = all.iter().map(|part| part.id).collect();
    let finding = caution(standing, items, text, "detector").figure(
        Some(count),
        Some(1.0),
        "1",
        "common practice, no source",
    );
    match all.first() {
        Some(part) => finding.at(part.spot, part.spot_height),
        None => finding.at(layout.room().bounds().centre(), 0.0),
    }
}

/// Kilograms of plastic with all places for spools full and a spool on every printer, and whether that is all of it.
fn plastic(layout: &Layout) -> (f64, bool) {
    let kept = layout.spool_places();
    let spools = kept.places + counted(layout.printers().count());
    (spools, kept.unsaid.is_empty())
}

/// The plastic of the room against what the insurer agreed to; nothing where that is not entered.
fn plastic_agreed(layout: &Layout) -> Option<Finding> {
    let agreed = layout.plan().head().agreed.plastic?.value();
    let practice = layout.plan().practice();
    let shown = |kg: f64| mass_shown(kg, practice);
    let found = plastic(layout);
    let most = if found.1 { "up to" } else { "more than" };
    let says = format!("The room would hold {most} {} of plastic", shown(found.0));
    Some(held(
        layout,
        found,
        agreed,
        ("plastic", "kg"),
        &says,
        &shown(agreed),
    ))
}

/// The power of all printers at its peak against what the insurer agreed to; nothing where that is not entered.
fn peak_agreed(layout: &Layout) -> Option<Finding> {
    let agreed = layout.plan().head().agreed.peak?.value();
    let power = layout.power();
    let peak = power.of_all(|l| &l.peak_w);
    let found = (peak.known, peak.whole().is_some());
    let says = format!(
        "The printers take {} at their peak",
        power.kilowatts(|l| &l.peak_w)
    );
    let shown = format!("{:.1} kW", agreed / 1000.0);
    Some(held(layout, found, agreed, ("power", "W"), &says, &shown))
}

/// A figure of the plan, and whether it is whole, against the one agreed to.
fn held(
    layout: &Layout,
    (found, whole): (f64, bool),
    agreed: f64,
    (what, unit): (&str, &'static str),
    says: &str,
    shown: &str,
) -> Finding {
    let (standing, more) = if found > agreed + 1e-6 {
        (Standing::Broken, " Ask again before the plan goes on.")
    } else if whole {
        (Standing::Met, "")
    } else {
        (Standing::Unknown, " Not all of it is entered.")
    };
    let text = format!("{says}; the insurer agreed to {shown}.{more}");
    let measured = (standing != Standing::Unknown).then_some(found);
    let source = "the figures agreed to, as entered on the plan's card";
    caution(standing, Vec::new(), text, &format!("agreed {what}"))
        .figure(measured, Some(agreed), unit, source)
        .at(layout.room().bounds().centre(), 0.0)
}

/// Kilograms of plastic, kilowatts and hours, for whoever insures the room.
fn figures(layout: &Layout) -> String {
    let practice = layout.plan().practice();
    let (spools, whole) = plastic(layout);
    let least = if whole { "up to" } else { "more than" };
    let power = layout.power();
    let running = power.kilowatts(|l| &l.running_w);
    let peak = power.kilowatts(|l| &l.peak_w);
    let hours = layout.plan().head().demand.unattended;
    let hours = hours.map_or("an unknown number of".to_owned(), |h| h.to_string());
    let mass = mass_shown(spools, practice);
    format!(
        "The room would hold {least} {mass} of plastic, take {running} running and {peak} at its peak, and run {hours} hours a day without anybody there. "
    )
}
