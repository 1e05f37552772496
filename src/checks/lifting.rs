//! Lifting: a printer, and a full spool, put up on every level by one person, by the revised NIOSH lifting equation.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::lifting::{Coupling, Duration, HEIGHT_MOST_CM, Lift, OUT_MOST_CM, index};
use crate::layout::{Layout, Level, Part, PlacedPrinter, RackParts};
use crate::plan::{Id, Limits};
use crate::stock::PrinterKind;
use crate::units::{Kilograms, Length, Practice};

pub(super) const CHECK: Check = Check {
    id: "lifting",
    title: "Light enough for one to lift",
    worst: Severity::Caution,
    what: "What the revised NIOSH lifting equation recommends one person to lift to every level, against the printers there and against a full spool: the lifting index is the load by that limit.",
    why: "Backs are hurt by a machine carried in too high, too low or too far out, most of all when it is the last of ten. The heaviest belong at the height of the hips. The equation is guidance for healthy adults; the local rules on manual handling decide.",
    how: "From a cart to the level and back, judged at the end that allows less. Hands at the stated height over the board and distance behind the printer's front, at the spool's own place for spools; the operator stands off the rack as for `reach`. No turn of the body, at most one lift in five minutes for less than an hour, printers held fairly and spools well: assumed. Printers weigh as entered, with a full spool on.",
    blind: "Two people, lifting aids and steps, carrying, sharp or hot parts, wet floors, and whether the hands can hold the machine where they are taken to.",
    caution: "Guidance for healthy adults; the local rules on lifting by hand decide.",
    in_fill: false,
    limits: &[
        "lift-from",
        "lift-grip",
        "lift-hands",
        "lift-spool",
        "lift-index",
        "lift-high",
        "reach-stand-off",
    ],
    run: Run::Each(Each::of_racks(on_rack)),
    concerns: anything,
};

/// At most one lift in five minutes.
const SELDOM_PER_MIN: f64 = 0.2;

/// What is lifted to a level, and where it ends there.
struct Load {
    level: u8,
    /// The printer, or the one on which the spool goes; none for a spool that is stored.
    printer: Option<Id>,
    is_spool: bool,
    /// `None` where nobody weighed it.
    mass_kg: Option<f64>,
    /// What it is, in words.
    name: String,
    /// The hands above the floor, in millimetres.
    height: f64,
    /// The hands behind the rack's face, in millimetres.
    depth: f64,
}

/// A load with what is recommended where it ends or begins, whichever is less.
struct Judged {
    load: Load,
    /// Recommended weight limit; nought where the equation gives none.
    limit_kg: f64,
    /// Load by limit; `None` where the limit is nought or the load unknown.
    index: Option<f64>,
    /// The hands where that holds, in millimetres above the floor and out from the ankles.
    height: f64,
    out: f64,
    /// True where that is where the load is taken up.
    at_the_cart: bool,
}

impl Judged {
    /// The index for comparing: without limit where the equation gives no load; `None` where it is unknown.
    fn weight(&self) -> Option<f64> {
        if self.limit_kg > 0.0 {
            self.index
        } else {
            Some(f64::INFINITY)
        }
    }
}

fn on_rack(layout: &Layout, part: &Part) -> Vec<Finding> {
    let Some(rack) = &part.rack else {
        return Vec::new();
    };
    let mut findings = Vec::new();
    let mut unweighed: Vec<(Id, String)> = Vec::new();
    let mut hardest: Option<Judged> = None;
    for level in &rack.levels {
        let judged = loads(layout, rack, level).filter_map(|load| judged(layout.limits(), load));
        let (known, unknown): (Vec<Judged>, Vec<Judged>) =
            judged.partition(|j| j.weight().is_some());
        let names = unknown
            .iter()
            .filter_map(|j| Some((j.load.printer?, j.load.name.clone())));
        unweighed.extend(names);
        match broken(layout, part, level, &known) {
            Some(finding) => findings.push(finding),
            None => hardest = hardest.into_iter().chain(known).max_by(by_weight),
        }
    }
    if let Some(finding) = unknown(layout, part, &unweighed) {
        findings.push(finding);
    } else if findings.is_empty() {
        findings.extend(hardest.map(|lift| met(layout, part, &lift)));
    }
    findings
}

fn by_weight(a: &Judged, b: &Judged) -> std::cmp::Ordering {
    let weight = |j: &Judged| j.weight().unwrap_or(0.0);
    weight(a).total_cmp(&weight(b))
}

/// The printers of a level and the spools on them; a spool where spools are stored.
fn loads<'a>(
    layout: &'a Layout,
    rack: &'a RackParts,
    level: &'a Level,
) -> impl Iterator<Item = Load> + use<'a> {
    let here = rack
        .slots
        .iter()
        .filter(|s| s.name.level == level.number)
        .filter_map(|s| s.printer.as_ref());
    let printers = here.filter_map(|p| Some((p, layout.stock().printers.get(&p.kind)?)));
    let stored = level
        .keeps_spools()
        .then(|| stored_spool(layout.limits(), level));
    printers
        .flat_map(|(printer, kind)| of_printer(layout.limits(), (rack, level), printer, kind))
        .chain(stored)
}

fn of_printer(
    limits: &Limits,
    (rack, level): (&RackParts, &Level),
    printer: &PlacedPrinter,
    kind: &PrinterKind,
) -> impl Iterator<Item = Load> + use<> {
    // Printers stand in the middle of the board's depth.
    let inset = (rack.body.depth() - printer.footprint.depth()) * 0.5;
    let machine = Load {
        level: level.number,
        printer: Some(printer.id),
        is_spool: false,
        mass_kg: kind.mass.map(Kilograms::value),
        name: kind.name.clone(),
        height: printer.low + limits.lift_grip.value.mm(),
        depth: inset + limits.lift_hands.value.mm(),
    };
    let spool = kind.spool.map(|touch| Load {
        level: level.number,
        printer: Some(printer.id),
        is_spool: true,
        mass_kg: Some(limits.lift_spool.value.value()),
        name: "a full spool".to_owned(),
        height: printer.low + touch.height.mm(),
        depth: inset + touch.depth.mm(),
    });
    std::iter::once(machine).chain(spool)
}

fn stored_spool(limits: &Limits, level: &Level) -> Load {
    Load {
        level: level.number,
        printer: None,
        is_spool: true,
        mass_kg: Some(limits.lift_spool.value.value()),
        name: "a full spool".to_owned(),
        height: level.top.mm() + limits.lift_grip.value.mm(),
        depth: level.depth.mm() * 0.5,
    }
}

/// The lift at both of its ends; the one that allows less holds. Where the load is taken up it stands at the edge, as near as the rack's
/// face is at the other end.
fn judged(limits: &Limits, load: Load) -> Option<Judged> {
    let from = limits.lift_from.value.mm();
    let stand_off = limits.reach_stand_off.value.mm();
    let hands = limits.lift_hands.value.mm().min(load.depth);
    let travel_cm = (load.height - from).abs() * 0.1;
    let at = |(height, depth, at_the_cart): (f64, f64, bool)| {
        let out = (stand_off + depth).max(0.0);
        let lift = Lift {
            out_cm: out * 0.1,
            height_cm: height.max(0.0) * 0.1,
            travel_cm,
            turned_deg: 0.0,
            per_min: SELDOM_PER_MIN,
            duration: Duration::Hour,
            coupling: if load.is_spool {
                Coupling::Good
            } else {
                Coupling::Fair
            },
        };
        Some((lift.limit_kg()?, height, out, at_the_cart))
    };
    let ends = [(load.height, load.depth, false), (from, hands, true)];
    let (limit_kg, height, out, at_the_cart) = ends
        .into_iter()
        .filter_map(at)
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Judged {
        index: load.mass_kg.and_then(|kg| index(kg, limit_kg)),
        limit_kg,
        height,
        out,
        at_the_cart,
        load,
    })
}

/// The level's loads that are too much, the worst printer and the worst spool in words.
fn broken(layout: &Layout, part: &Part, level: &Level, known: &[Judged]) -> Option<Finding> {
    let limits = layout.limits();
    let most = limits.lift_index.value.value();
    let over = |j: &&Judged| j.weight().is_some_and(|w| w > most + 1e-9);
    let worst_of = |spool: bool| {
        let alike = known.iter().filter(|j| j.load.is_spool == spool);
        alike.filter(over).rev().max_by(|a, b| by_weight(a, b))
    };
    let mut worst: Vec<&Judged> = [false, true].into_iter().filter_map(worst_of).collect();
    worst.sort_by(|a, b| by_weight(b, a));
    let first = *worst.first()?;
    let clauses: Vec<String> = worst.iter().map(|j| words(layout, j)).collect();
    let high = first
        .weight()
        .is_some_and(|w| w > limits.lift_high.value.value());
    let after = match (first.index, high) {
        (Some(_), true) => {
            " That is a high risk for nearly everyone: two people, or a lifting aid."
        }
        _ => "",
    };
    let text = format!(
        "Lifted to level {} of {} by one person: {}.{after}",
        level.number,
        part.id,
        clauses.join("; ")
    );
    let mut items = vec![part.id];
    items.extend(known.iter().filter(over).filter_map(|j| j.load.printer));
    items.dedup();
    Some(
        Finding::new(CHECK.id, Severity::Caution, Standing::Broken, items, text)
            .facet(format!("level {}", level.number))
            .named_by_first()
            .figure(
                first.index,
                Some(most),
                "1",
                &limits.lift_index.source_words(),
            )
            .at(part.spot, first.height),
    )
}

/// One load in words: what, what is recommended, where the hands are.
fn words(layout: &Layout, judged: &Judged) -> String {
    let practice = layout.plan().practice();
    let shown = |mm: f64| Length::from_mm(mm).shown(practice);
    let what = match (judged.load.is_spool, judged.load.printer) {
        (false, Some(id)) => id.to_string(),
        _ => judged.load.name.clone(),
    };
    let mass = judged.load.mass_kg.map_or(String::new(), |kg| {
        format!(" ({})", kilograms(kg, practice))
    });
    let says = match judged.index {
        Some(index) => format!(
            "{} recommended, lifting index {index:.2}",
            kilograms(judged.limit_kg, practice)
        ),
        None if judged.height * 0.1 > HEIGHT_MOST_CM => {
            let most = shown(HEIGHT_MOST_CM * 10.0);
            format!("no load recommended with the hands above {most}")
        }
        None => {
            let most = shown(OUT_MOST_CM * 10.0);
            format!("no load recommended with the hands further out than {most}")
        }
    };
    let place = if judged.at_the_cart {
        "taken up with the hands"
    } else {
        "hands"
    };
    let (up, out) = (shown(judged.height), shown(judged.out));
    format!("{what}{mass}, {says} ({place} {up} up, {out} out)")
}

/// Masses here are small, so that tenths count in either unit.
fn kilograms(kg: f64, practice: Practice) -> String {
    match practice {
        Practice::Us => format!("{:.1} lb", kg / 0.453_592_37),
        Practice::Metric => format!("{kg:.2} kg"),
    }
}

fn met(layout: &Layout, part: &Part, hardest: &Judged) -> Finding {
    let limit = &layout.limits().lift_index;
    let text = format!(
        "The hardest lift of {}, to level {}: {}.",
        part.id,
        hardest.load.level,
        words(layout, hardest)
    );
    let items = vec![part.id];
    Finding::new(CHECK.id, Severity::Caution, Standing::Met, items, text)
        .figure(
            hardest.index,
            Some(limit.value.value()),
            "1",
            &limit.source_words(),
        )
        .at(part.spot, hardest.height)
}

/// The printers that nobody weighed, once a rack.
fn unknown(layout: &Layout, part: &Part, unweighed: &[(Id, String)]) -> Option<Finding> {
    let mut kinds: Vec<&str> = unweighed.iter().map(|(_, name)| name.as_str()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let (first, _) = unweighed.first()?;
    let limit = &layout.limits().lift_index;
    let text = format!(
        "Whether one person may lift the printers of {} is unknown; not entered: the mass of {}.",
        part.id,
        kinds.join(", the mass of ")
    );
    let items = vec![part.id, *first];
    Some(
        Finding::new(CHECK.id, Severity::Caution, Standing::Unknown, items, text)
            .facet("mass")
            .named_by_first()
            .figure(None, Some(limit.value.value()), "1", &limit.source_words())
            .at(part.spot, 0.0),
    )
}
