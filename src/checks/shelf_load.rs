//! Shelf load: what stands on every level and on the whole rack against what the maker allows, and the boards' own stress.

use super::again::{Each, Run};
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Layout, LevelLoad, Part, RackLoad};
use crate::units::{Kilograms, mass_shown};

pub(super) const CHECK: Check = Check {
    id: "shelf-load",
    title: "Shelves and racks bear their load",
    worst: Severity::MustFix,
    what: "The mass on every level, and on the rack in all, against the ratings stated for them; the bending stress of every board against its strength.",
    why: "A shelf that gives way drops hot machines on whoever stands before it. The maker's rating decides; ask the maker where there is none.",
    how: "Printers with full spools, pads, what is stored, and the board, summed; the board as a beam between what it rests on, each printer on feet half its size apart (own judgement); strength is the least its standard asks for.",
    blind: "Clips, bars and posts, boards that are damaged or damp, loads set down hard, and supplies on the shelves.",
    caution: "The maker's rating holds; where there is none, ask a licensed engineer. An overloaded shelf falls on people.",
    in_fill: true,
    limits: &["board-strength"],
    run: Run::Each(Each::of_racks(on_rack)),
    concerns: anything,
};

/// One of the things measured on a rack.
struct Measured {
    facet: &'static str,
    severity: Severity,
    value: f64,
    limit: f64,
    unit: &'static str,
    source: String,
    text: String,
    height_mm: f64,
}

impl Measured {
    fn share(&self) -> f64 {
        self.value / self.limit
    }

    fn is_over(&self) -> bool {
        is_over(self.value, self.limit)
    }

    fn finding(self, part: &Part, standing: Standing) -> Finding {
        Finding::new(CHECK.id, self.severity, standing, vec![part.id], self.text)
            .facet(self.facet)
            .figure(Some(self.value), Some(self.limit), self.unit, &self.source)
            .at(part.spot, self.height_mm)
    }
}

/// A gram or a pascal more is no more.
fn is_over(value: f64, limit: f64) -> bool {
    value > limit + 1e-3
}

/// The levels that bear more than they are rated for, as far as the masses are known.
pub(crate) fn overloaded<'a>(load: &'a RackLoad<'a>) -> impl Iterator<Item = &'a LevelLoad<'a>> {
    load.loaded()
        .filter(|l| l.rating.is_some_and(|r| is_over(l.mass_kg(), r.value())))
}

/// True where a rack bears more in all than it is rated for, as far as the masses are known.
pub(crate) fn is_overloaded_in_all(load: &RackLoad<'_>) -> bool {
    let rating = load.kind.rating.map(Kilograms::value);
    load.loaded().next().is_some() && rating.is_some_and(|rating| is_over(load.borne_kg(), rating))
}

/// The figures without which nobody can say whether a loaded rack and its levels bear what they are rated for, in words.
pub(crate) fn not_known(load: &RackLoad<'_>) -> Vec<String> {
    let mut missing = load.missing();
    if load.kind.rating.is_none() {
        missing.push(format!("the rating of {}", load.kind.name));
    }
    if load.loaded().any(|l| l.rating.is_none()) {
        missing.push(format!("the rating of a level of {}", load.kind.name));
    }
    missing
}

/// Every measure that is over its limit; what is not known, once; else the measure that comes nearest to its limit.
fn on_rack(layout: &Layout, part: &Part) -> Vec<Finding> {
    let Some(load) = layout.rack_load(part) else {
        return Vec::new();
    };
    if load.loaded().next().is_none() {
        return Vec::new();
    }
    let mut missing = not_known(&load);
    let measures = [
        total(layout, part, &load),
        fullest(layout, part, &load),
        stress(layout, part, &load, &mut missing),
    ];
    let measures = measures.into_iter().flatten();
    let (over, within): (Vec<Measured>, Vec<Measured>) = measures.partition(Measured::is_over);
    let mut findings: Vec<Finding> = over
        .into_iter()
        .map(|m| m.finding(part, Standing::Broken))
        .collect();
    missing.sort();
    missing.dedup();
    if !missing.is_empty() {
        findings.push(unknown(part, &missing));
    } else if findings.is_empty() {
        let nearest = within
            .into_iter()
            .max_by(|a, b| a.share().total_cmp(&b.share()));
        findings.extend(nearest.map(|m| m.finding(part, Standing::Met)));
    }
    findings
}

/// The rack in all against its rating.
fn total(layout: &Layout, part: &Part, load: &RackLoad<'_>) -> Option<Measured> {
    let rating = load.kind.rating.map(Kilograms::value)?;
    let shown = |kg| mass_shown(kg, layout.plan().practice());
    let value = load.borne_kg();
    let text = format!(
        "{} bears {} in all; it is rated for {}.",
        part.id,
        shown(value),
        shown(rating)
    );
    Some(Measured {
        facet: "rack",
        severity: Severity::MustFix,
        value,
        limit: rating,
        unit: "kg",
        source: "the maker's rating of the rack, as entered".to_owned(),
        text,
        height_mm: part.spot_height,
    })
}

/// The level nearest to its rating, or furthest over it.
fn fullest(layout: &Layout, part: &Part, load: &RackLoad<'_>) -> Option<Measured> {
    let shown = |kg| mass_shown(kg, layout.plan().practice());
    let rated = load
        .loaded()
        .filter_map(|l| Some((l, l.rating?.value())))
        .map(|(l, rating)| (l, l.mass_kg(), rating));
    let (worst, value, limit) =
        rated.max_by(|(_, a, of_a), (_, b, of_b)| (a / of_a).total_cmp(&(b / of_b)))?;
    let others = overloaded(load).filter(|l| l.number != worst.number);
    let text = format!(
        "Level {} of {} bears {} with its board; it is rated for {}{}.",
        worst.number,
        part.id,
        shown(value),
        shown(limit),
        also(others)
    );
    Some(Measured {
        facet: "level",
        severity: Severity::MustFix,
        value,
        limit,
        unit: "kg",
        source: "the maker's rating of a level, as entered".to_owned(),
        text,
        height_mm: worst.top.mm(),
    })
}

/// The board with the greatest stress by its strength.
fn stress(
    layout: &Layout,
    part: &Part,
    load: &RackLoad<'_>,
    missing: &mut Vec<String>,
) -> Option<Measured> {
    let limit = &layout.limits().board_strength;
    let mut bent = Vec::new();
    for level in load.loaded() {
        let stretches = level.stretches();
        if stretches.is_empty() {
            missing.push(format!("what the boards of {} rest on", load.kind.name));
            continue;
        }
        let Some((board, strength)) = level.board.and_then(|b| Some((b, b.strength.as_ref()?)))
        else {
            let name = level.board.map_or("its board", |b| b.name.as_str());
            missing.push(format!("the strength of {name}"));
            continue;
        };
        let stress = stretches
            .iter()
            .filter_map(crate::handbook::shelf_beam::Board::stress_mpa)
            .fold(0.0, f64::max);
        bent.push((level, board, strength, stress));
    }
    let may = |strength: f64| strength / limit.value.value();
    let (worst, board, strength, value) = bent.iter().max_by(|a, b| {
        let share = |x: f64, of: f64| x / may(of);
        share(a.3, a.2.value.value()).total_cmp(&share(b.3, b.2.value.value()))
    })?;
    let most = may(strength.value.value());
    let others = bent
        .iter()
        .filter(|(level, _, s, x)| *x > may(s.value.value()) && level.number != worst.number)
        .map(|(level, ..)| *level);
    let text = format!(
        "The board of level {} of {} ({}) is stressed to {value:.2} MPa, {most:.2} MPa at most{}.",
        worst.number,
        part.id,
        board.name,
        also(others)
    );
    Some(Measured {
        facet: "board",
        severity: Severity::Caution,
        value: *value,
        limit: most,
        unit: "MPa",
        source: format!(
            "strength by {}: {}",
            limit.value.shown().trim_end_matches(": 1").trim_end(),
            [strength.source_words(), limit.source_words()].join("; ")
        ),
        text,
        height_mm: worst.top.mm(),
    })
}

/// The other levels that are over their limit, as words to follow.
fn also<'a>(others: impl Iterator<Item = &'a LevelLoad<'a>>) -> String {
    let others: Vec<String> = others.map(|l| l.number.to_string()).collect();
    match others.len() {
        0 => String::new(),
        1 => format!("; level {} has too much too", others.join(", ")),
        _ => format!("; levels {} have too much too", others.join(", ")),
    }
}

fn unknown(part: &Part, missing: &[String]) -> Finding {
    let text = format!(
        "Whether {} bears its load is unknown; not entered: {}.",
        part.id,
        missing.join(", ")
    );
    Finding::new(
        CHECK.id,
        Severity::MustFix,
        Standing::Unknown,
        vec![part.id],
        text,
    )
    .facet("figures")
    .figure(None, None, "kg", "the maker's rating, as entered")
    .at(part.spot, 0.0)
}
