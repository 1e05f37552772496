//! Reach: bed, screen and spool of every printer must be within an operator's arm.

use std::collections::BTreeMap;

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::geometry::TOLERANCE_MM;
use crate::handbook::reach;
use crate::layout::{Layout, Part, PlacedPrinter};
use crate::plan::Id;
use crate::stock::Touch;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "reach",
    title: "Within arm's reach",
    worst: Severity::Caution,
    what: "The height of bed, screen and spool of every printer against what a standing operator can grip at that depth; low ones are noted.",
    why: "A spool that needs a stool is changed late, and a hurried reach over a hot bed burns.",
    how: "A stiff arm that pivots at the shoulder, which stands a stated distance off the rack's face; grip and shoulder of the plan's operator, measured or of a survey; the touch points at their true height and depth, pads under the printers counted. Low points are reached by stooping, which is taken as possible: a note and no caution.",
    blind: "Leaning in, stools, and what stands in the arm's way; enter your own operator's measures on the card of the plan.",
    caution: "",
    in_fill: false,
    limits: &[
        "reach-grip",
        "reach-shoulder",
        "reach-stand-off",
        "reach-low",
    ],
    run: Run::Each(Each::of_racks(on_rack)),
    concerns: anything,
};

/// A touch point of one printer as it stands.
struct Point {
    printer: Id,
    /// Above the floor, in millimetres.
    height: f64,
    /// From the operator's shoulder, in millimetres.
    out: f64,
}

fn on_rack(layout: &Layout, part: &Part) -> Vec<Finding> {
    let mut by_place: BTreeMap<(u8, &str), Vec<Point>> = BTreeMap::new();
    let mut missing: Vec<Id> = Vec::new();
    for slot in part.slots() {
        let Some(printer) = &slot.printer else {
            continue;
        };
        let Some(kind) = layout.stock().printers.get(&printer.kind) else {
            continue;
        };
        for (name, touch) in kind.touches() {
            match touch {
                Some(touch) => by_place
                    .entry((slot.name.level, name))
                    .or_default()
                    .push(point(layout, part, printer, touch)),
                None => missing.push(printer.id),
            }
        }
    }
    if let Some(finding) = no_arm(layout, part).filter(|_| !by_place.is_empty()) {
        return vec![finding];
    }
    let mut findings: Vec<Finding> = by_place
        .iter()
        .filter_map(|((level, name), points)| judged(layout, part, (*level, name), points))
        .collect();
    if findings.is_empty() && missing.is_empty() && !by_place.is_empty() {
        findings.push(met(layout, part));
    }
    findings.extend(unknown(layout, part, &missing));
    findings
}

fn point(layout: &Layout, part: &Part, printer: &PlacedPrinter, touch: Touch) -> Point {
    let rack_depth = part.rack.as_ref().map_or(0.0, |r| r.body.depth());
    // Printers stand in the middle of the board's depth.
    let inset = (rack_depth - printer.footprint.depth()) * 0.5;
    Point {
        printer: printer.id,
        height: printer.low + touch.height.mm(),
        out: (layout.limits().reach_stand_off.value.mm() + inset + touch.depth.mm()).max(0.0),
    }
}

/// The touch points of one kind on one level: the one furthest out of reach, else the lowest; `None` where all are well.
fn judged(
    layout: &Layout,
    part: &Part,
    (level, name): (u8, &str),
    points: &[Point],
) -> Option<Finding> {
    let limits = layout.limits();
    let practice = layout.plan().practice();
    let shown = |mm: f64| Length::from_mm(mm).shown(practice);
    let reachable = |p: &Point| {
        let shoulder = limits.reach_shoulder.value.mm();
        let arm = reach::arm_mm(limits.reach_grip.value.mm(), shoulder)?;
        reach::height_mm(shoulder, arm, p.out)
    };
    let high: Vec<&Point> = points
        .iter()
        .filter(|p| reachable(p).is_none_or(|h| p.height > h + TOLERANCE_MM))
        .collect();
    let beyond = |p: &Point| reachable(p).map_or(f64::INFINITY, |h| p.height - h);
    if let Some(worst) = most(&high, beyond) {
        let highest = reachable(worst);
        let can = highest.map_or("cannot reach that far in at all".to_owned(), |h| {
            format!("reaches {}", shown(h))
        });
        let text = format!(
            "The {name} of {} on level {level} of {} is at {}; an operator at the face {can} there.",
            names(&high, worst),
            part.id,
            shown(worst.height)
        );
        let items = std::iter::once(part.id)
            .chain(high.iter().map(|p| p.printer))
            .collect();
        let source = operator_words(layout);
        return Some(
            Finding::new(CHECK.id, Severity::Caution, Standing::Broken, items, text)
                .facet(format!("level {level} {name}"))
                .figure(Some(worst.height), highest, "mm", &source)
                .at(part.spot, worst.height),
        );
    }
    let lowest = limits.reach_low.value.mm();
    let low: Vec<&Point> = points
        .iter()
        .filter(|p| p.height < lowest - TOLERANCE_MM)
        .collect();
    let worst = most(&low, |p| -p.height)?;
    let text = format!(
        "The {name} of {} on level {level} of {} is only {} above the floor; people stoop below {}.",
        names(&low, worst),
        part.id,
        shown(worst.height),
        shown(lowest)
    );
    let items = std::iter::once(part.id)
        .chain(low.iter().map(|p| p.printer))
        .collect();
    Some(
        Finding::new(CHECK.id, Severity::Note, Standing::Broken, items, text)
            .facet(format!("level {level} {name} low"))
            .length(worst.height, &limits.reach_low)
            .at(part.spot, worst.height),
    )
}

/// The first of the points that have the most of something.
fn most<'a>(points: &[&'a Point], of: impl Fn(&Point) -> f64) -> Option<&'a Point> {
    points
        .iter()
        .copied()
        .rev()
        .max_by(|a, b| of(a).total_cmp(&of(b)))
}

/// The printers, and which of them the figures are of where their points do not sit alike.
fn names(points: &[&Point], worst: &Point) -> String {
    let all: Vec<String> = points.iter().map(|p| p.printer.to_string()).collect();
    let apart = |a: f64, b: f64| (a - b).abs() > TOLERANCE_MM;
    let alike = !points
        .iter()
        .any(|p| apart(p.height, worst.height) || apart(p.out, worst.out));
    if alike {
        all.join(", ")
    } else {
        format!("{} ({} worst)", all.join(", "), worst.printer)
    }
}

fn met(layout: &Layout, part: &Part) -> Finding {
    let limit = &layout.limits().reach_grip;
    let source = operator_words(layout);
    let text = format!("Everything on {} is within reach.", part.id);
    Finding::new(
        CHECK.id,
        Severity::Caution,
        Standing::Met,
        vec![part.id],
        text,
    )
    .figure(None, Some(limit.value.mm()), "mm", &source)
    .at(part.spot, 0.0)
}

/// Where grip and shoulder of the operator come from.
fn operator_words(layout: &Layout) -> String {
    let limits = layout.limits();
    let (grip, shoulder) = (&limits.reach_grip, &limits.reach_shoulder);
    format!(
        "grip: {}; shoulder: {}",
        grip.source_words(),
        shoulder.source_words()
    )
}

/// A grip that is not above the shoulder tells nothing of an arm.
fn no_arm(layout: &Layout, part: &Part) -> Option<Finding> {
    let limits = layout.limits();
    let (grip, shoulder) = (limits.reach_grip.value, limits.reach_shoulder.value);
    if grip > shoulder {
        return None;
    }
    let practice = layout.plan().practice();
    let text = format!(
        "What is within reach on {} is unknown: the operator's grip at {} is no higher than the shoulder at {}; correct one.",
        part.id,
        grip.shown(practice),
        shoulder.shown(practice)
    );
    let items = vec![part.id];
    Some(
        Finding::new(CHECK.id, Severity::Caution, Standing::Unknown, items, text)
            .facet("operator")
            .figure(None, Some(grip.mm()), "mm", &operator_words(layout))
            .at(part.spot, 0.0),
    )
}

fn unknown(layout: &Layout, part: &Part, missing: &[Id]) -> Option<Finding> {
    let mut who = missing.to_vec();
    who.dedup();
    let first = who.first()?;
    let many = match who.len() {
        1 => "one printer".to_owned(),
        n => format!("{n} printers"),
    };
    let text = format!(
        "Where bed, screen or spool of {first} on {} sit is not entered for its kind ({many}), so reach is unknown.",
        part.id
    );
    let limit = &layout.limits().reach_grip;
    Some(
        Finding::new(
            CHECK.id,
            Severity::Caution,
            Standing::Unknown,
            vec![part.id, *first],
            text,
        )
        .figure(None, Some(limit.value.mm()), "mm", &limit.source_words())
        .at(part.spot, 0.0),
    )
}
