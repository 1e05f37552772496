//! Sag: how far boards bend now and after long loading, how their ends tilt, and boards that a damp room softens.

use std::collections::BTreeSet;

use super::again::{Each, Run};
use super::finding::counted;
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::shelf_beam::{AFTER_LONG_LOADING, Bent};
use crate::layout::{Drawn, Layout, LevelLoad, Part, RackLoad};
use crate::plan::ItemKind;
use crate::units::Length;

pub(super) const CHECK: Check = Check {
    id: "sag",
    title: "Boards stay flat",
    worst: Severity::Caution,
    what: "The sag of every loaded board now, after long loading and at worst, and the tilt at its ends; boards that damp softens, in a room with a wet zone.",
    why: "A printer on a bent board stands askew, prints lean, and a board that creeps goes on sagging for years.",
    how: "Each stretch between what the board rests on as a beam on two supports, printers on feet half their size apart (own judgement); 1.5 times as much after long loading, as the MDF trade says; modulus is the least its standard asks for.",
    blind: "Boards that run over several supports and so sag less, bars and beams that bend themselves, and what lies on a shelf unlisted.",
    caution: "",
    in_fill: false,
    limits: &["sag-span"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// A rack and its printers are judged by themselves; a wet zone with the boards of all racks.
const EACH: Each = Each {
    is: |part| part.kind == ItemKind::Rack || part.zone.is_some(),
    judge: |layout, part| match &part.zone {
        Some(zone) => damp(layout, part, zone).into_iter().collect(),
        None => on_rack(layout, part).into_iter().collect(),
    },
    touched: |_, judged, other| judged.zone.is_some() && other.kind == ItemKind::Rack,
    by_power: false,
};

/// The stretch of a level that sags most for its span.
struct Worst<'a> {
    level: &'a LevelLoad<'a>,
    bent: Bent,
    span_mm: f64,
}

impl Worst<'_> {
    /// After long loading, as a share of the span.
    fn share(&self) -> f64 {
        self.bent.sag_mm * AFTER_LONG_LOADING / self.span_mm
    }
}

/// The worst stretch of a level; what is missing to know it is told.
fn worst_of<'a>(
    level: &'a LevelLoad<'a>,
    load: &RackLoad<'_>,
    missing: &mut Vec<String>,
) -> Option<Worst<'a>> {
    let stretches = level.stretches();
    if stretches.is_empty() {
        missing.push(format!("what the boards of {} rest on", load.kind.name));
    }
    let modulus = level.board.and_then(|b| b.modulus.as_ref());
    if modulus.is_none() {
        let name = level.board.map_or("its board", |b| b.name.as_str());
        missing.push(format!("the modulus of {name}"));
    }
    let modulus_mpa = modulus?.value.value();
    let bent = stretches.iter().filter_map(|stretch| {
        Some(Worst {
            level,
            bent: stretch.bent(modulus_mpa)?,
            span_mm: stretch.length_mm,
        })
    });
    bent.max_by(|a, b| a.share().total_cmp(&b.share()))
}

/// The level of a rack that sags most.
fn on_rack(layout: &Layout, part: &Part) -> Option<Finding> {
    let load = layout.rack_load(part)?;
    load.loaded().next()?;
    let mut missing = load.missing();
    let levels: Vec<Worst<'_>> = load
        .loaded()
        .filter_map(|level| worst_of(level, &load, &mut missing))
        .collect();
    missing.sort();
    missing.dedup();
    let limit = 1.0 / layout.limits().sag_span.value.value();
    let over = |w: &Worst<'_>| w.share() > limit + 1e-9;
    let worst = levels.iter().max_by(|a, b| a.share().total_cmp(&b.share()));
    match worst {
        Some(worst) if over(worst) => {
            let numbers: Vec<u8> = levels
                .iter()
                .filter(|w| over(w))
                .map(|w| w.level.number)
                .collect();
            Some(finding(layout, part, worst, &numbers, Standing::Broken))
        }
        _ if !missing.is_empty() => Some(unknown(part, &missing)),
        Some(worst) => {
            let number = [worst.level.number];
            Some(finding(layout, part, worst, &number, Standing::Met))
        }
        None => Some(unknown(part, &["the size of its boards".to_owned()])),
    }
}

fn finding(
    layout: &Layout,
    part: &Part,
    worst: &Worst<'_>,
    levels: &[u8],
    standing: Standing,
) -> Finding {
    let limit = &layout.limits().sag_span;
    let shown = |mm: f64| Length::from_mm(mm).shown(layout.plan().practice());
    let board = worst.level.board;
    let creep = board.and_then(|b| b.creep.as_ref());
    let at_worst = creep.map_or(String::new(), |c| {
        let times = 1.0 + c.value.value();
        format!(
            ", {:.1} mm at worst (× {times}, {})",
            worst.bent.sag_mm * times,
            c.source_words()
        )
    });
    let long_mm = worst.bent.sag_mm * AFTER_LONG_LOADING;
    let most_mm = worst.span_mm / limit.value.value();
    let numbers: Vec<String> = levels.iter().map(ToString::to_string).collect();
    let (word, verb, which) = match levels {
        [_] => ("Level", "sags", String::new()),
        _ => (
            "Levels",
            "sag",
            format!(", worst on level {}", worst.level.number),
        ),
    };
    let text = format!(
        "{word} {} of {} {verb} {:.1} mm now{which}, {long_mm:.1} mm after long loading{at_worst} over {}; {most_mm:.1} mm are allowed. The ends tilt by {:.1} in 1000.",
        numbers.join(", "),
        part.id,
        worst.bent.sag_mm,
        shown(worst.span_mm),
        worst.bent.end_slope * 1000.0,
    );
    let modulus = board.and_then(|b| b.modulus.as_ref());
    let modulus = modulus.map_or(String::new(), |m| {
        format!("; modulus: {}", m.source_words())
    });
    let source = format!("{}{modulus}", limit.source_words());
    Finding::new(CHECK.id, Severity::Caution, standing, vec![part.id], text)
        .figure(Some(long_mm), Some(most_mm), "mm", &source)
        .at(part.spot, worst.level.top.mm())
}

fn unknown(part: &Part, missing: &[String]) -> Finding {
    let text = format!(
        "How far the boards of {} sag is unknown; not entered: {}.",
        part.id,
        missing.join(", ")
    );
    Finding::new(
        CHECK.id,
        Severity::Caution,
        Standing::Unknown,
        vec![part.id],
        text,
    )
    .figure(None, None, "mm", "the board's own figures")
    .at(part.spot, 0.0)
}

/// The racks with boards that damp softens, while a zone is wet.
fn damp(layout: &Layout, part: &Part, zone: &Drawn) -> Option<Finding> {
    if !zone.is_wet_in(layout.phase()) {
        return None;
    }
    let mut boards = BTreeSet::new();
    let racks: Vec<_> = layout
        .of_kind(ItemKind::Rack)
        .filter_map(|rack| Some((rack.id, layout.rack_load(rack)?)))
        .filter(|(_, load)| {
            let soft = load.levels.iter().filter_map(|l| l.board);
            let soft: Vec<_> = soft.filter(|b| b.spoils_in_damp == Some(true)).collect();
            boards.extend(soft.iter().map(|b| b.name.as_str()));
            !soft.is_empty()
        })
        .map(|(id, _)| id)
        .collect();
    let first = racks.first()?;
    let and_more = match racks.len() {
        1 => String::new(),
        n => format!(" and {} more", n - 1),
    };
    let text = format!(
        "{} is wet in this phase; boards of {first}{and_more} swell and soften in damp air ({}). Dry the room first, or take boards made for damp rooms.",
        part.id,
        boards.into_iter().collect::<Vec<_>>().join(", "),
    );
    let items = std::iter::once(part.id)
        .chain(racks.iter().copied())
        .collect();
    let count = counted(racks.len());
    Some(
        Finding::new(CHECK.id, Severity::Caution, Standing::Broken, items, text)
            .facet("damp")
            .named_by_first()
            .figure(Some(count), Some(0.0), "1", "common practice, no source")
            .at(part.spot, part.spot_height),
    )
}
