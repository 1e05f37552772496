//! Isolation: whether pads keep the shake of printers off their shelf, and where loaded shelves swing by themselves.

use std::collections::{BTreeMap, BTreeSet};

use super::again::{Before, Run, Turn};
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::vibration::{
    ISOLATES_FROM, MACHINE_RESONANCES_HZ, REVERSALS_BELOW_HZ, RUBBER_DAMPING, own_hz_of_deflection,
    passed_on, shelf_hz_of_sag,
};
use crate::layout::{Layout, LevelLoad, Part};
use crate::plan::{Id, ItemKind};
use crate::stock::{KindId, PadKind};
use crate::units::capital;

pub(super) const CHECK: Check = Check {
    id: "isolation",
    title: "Printers do not shake each other",
    worst: Severity::Note,
    what: "How much of the machines' shake every kind of pad passes on, and the frequency at which every loaded shelf swings by itself.",
    why: "Printers on one shelf shake each other, and a shelf that swings with them shows in the print.",
    how: "A pad's own frequency from how far it yields under a printer, 10 % damping; held against resonances of 27 to 79 Hz (our own collection, no source) at the root of two. A shelf's from its first sag as if spread evenly; it should swing neither below 20 Hz, where quick reversals are, nor among those resonances.",
    blind: "Pads that stiffen as they yield, feet the maker fitted, the rack swaying as a whole, and what each machine really does.",
    caution: "",
    in_fill: false,
    limits: &[],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

const SOURCE: &str = "resonances and reversals of small printers: our own collection, no source";

/// Where a rack only stands elsewhere, nothing swings otherwise; a finding that points at it then points elsewhere.
fn may_alter(turn: &Turn<'_>, before: &Before) -> bool {
    let loads = |layout: &Layout, part: &Part| {
        let rack = part.rack.as_ref();
        let padded = rack.map(|_| layout.plan().rack(part.id).map(|r| r.levels.clone()));
        let kinds: Vec<KindId> = part
            .slots()
            .iter()
            .filter_map(|s| s.printer.as_ref().map(|p| p.kind.clone()))
            .collect();
        let number = layout.rack_load(part).map(|l| l.borne_kg());
        (padded, kinds, number)
    };
    let changed = |id: Id| match (turn.old.part(id), turn.new.part(id)) {
        (Some(old), Some(new)) => loads(turn.old, old) != loads(turn.new, new),
        (None, None) => false,
        (old, new) => [old, new].into_iter().flatten().any(|p| p.rack.is_some()),
    };
    turn.moves_spot_of(before) || turn.moved_ids().any(changed)
}

fn run(layout: &Layout) -> Vec<Finding> {
    let mut by_pad: BTreeMap<Option<&KindId>, Vec<(&Part, u8)>> = BTreeMap::new();
    let mut by_hz: BTreeMap<String, Vec<(&Part, u8, f64)>> = BTreeMap::new();
    for part in layout.of_kind(ItemKind::Rack) {
        let (Some(load), Some(rack)) = (layout.rack_load(part), layout.plan().rack(part.id)) else {
            continue;
        };
        let given = rack.levels(load.kind).iter();
        for (level, given) in load.levels.iter().zip(given).filter(|(l, _)| l.loaded) {
            if given.slots > 0 {
                let pad = given.pad.as_ref();
                let pad = pad.and_then(|id| layout.stock().pads.get_key_value(id));
                let on_it = by_pad.entry(pad.map(|(id, _)| id)).or_default();
                on_it.push((part, level.number));
            }
            let hz = shelf_hz(level);
            let key = hz.map_or(String::new(), |hz| format!("{hz:.1}"));
            let alike = by_hz.entry(key).or_default();
            alike.push((part, level.number, hz.unwrap_or(0.0)));
        }
    }
    let pads = by_pad.iter().map(|(id, on)| pad(layout, *id, on));
    let shelves = by_hz.iter().map(|(key, alike)| shelf(key, alike));
    pads.chain(shelves).flatten().collect()
}

/// The lowest frequency of a level's stretches; none where any figure is missing.
fn shelf_hz(level: &LevelLoad<'_>) -> Option<f64> {
    let modulus = level.board?.modulus.as_ref()?.value.value();
    let most = level
        .stretches()
        .iter()
        .filter_map(|stretch| stretch.bent(modulus))
        .map(|bent| bent.sag_mm)
        .fold(0.0, f64::max);
    shelf_hz_of_sag(most).filter(|_| level.missing.is_empty())
}

/// The racks named once each, the first with its level, and how many more levels there are.
fn places(first: (&Part, u8), count: usize) -> String {
    let more = match count {
        1 => String::new(),
        2 => " and one more level".to_owned(),
        n => format!(" and {} more levels", n - 1),
    };
    format!("level {} of {}{more}", first.1, first.0.id)
}

fn racks<'a>(parts: impl Iterator<Item = &'a Part>) -> Vec<Id> {
    let ids: BTreeSet<Id> = parts.map(|p| p.id).collect();
    ids.into_iter().collect()
}

fn note(standing: Standing, items: Vec<Id>, text: String, facet: String) -> Finding {
    Finding::new(CHECK.id, Severity::Note, standing, items, text)
        .facet(facet)
        .named_by_none()
}

/// One kind of pad, or none, under the printers of some levels.
fn pad(layout: &Layout, id: Option<&KindId>, on: &[(&Part, u8)]) -> Option<Finding> {
    let first = *on.first()?;
    let items = racks(on.iter().map(|(part, _)| *part));
    let where_it_is = places(first, on.len());
    let kind: Option<&PadKind> = id.and_then(|id| layout.stock().pads.get(id));
    let limit = MACHINE_RESONANCES_HZ.0 / ISOLATES_FROM;
    let facet = id.map_or("feet".to_owned(), |id| format!("pad {id}"));
    let unknown = |text: String| {
        note(Standing::Unknown, items.clone(), text, facet.clone())
            .figure(None, Some(limit), "Hz", SOURCE)
            .at(first.0.spot, 0.0)
    };
    let Some(kind) = kind else {
        return Some(unknown(format!(
            "The printers on {where_it_is} stand on their own feet; what these pass on is unknown.",
        )));
    };
    let yields = kind.compressed.map(|c| (kind.thickness - c).mm());
    let Some(own) = yields.and_then(own_hz_of_deflection) else {
        return Some(unknown(format!(
            "How far {} yields under the printers on {where_it_is} is not measured, so what it passes on is unknown.",
            kind.name
        )));
    };
    let passed = |hz: f64| passed_on(hz, own, RUBBER_DAMPING).unwrap_or(1.0);
    let (low, high) = MACHINE_RESONANCES_HZ;
    let standing = if own > limit + 1e-9 {
        Standing::Broken
    } else {
        Standing::Met
    };
    let rocks = if own < REVERSALS_BELOW_HZ {
        " Quick reversals near its own frequency rock the machine; watch the first prints."
    } else {
        ""
    };
    let text = format!(
        "{} under {where_it_is} swings at {own:.1} Hz: it passes on {:.2} of a shake at {low:.0} Hz and {:.2} at {high:.0} Hz.{rocks}",
        kind.name,
        passed(low),
        passed(high)
    );
    Some(
        note(standing, items, text, facet)
            .figure(Some(own), Some(limit), "Hz", SOURCE)
            .at(first.0.spot, 0.0),
    )
}

/// Levels that swing alike.
fn shelf(key: &str, alike: &[(&Part, u8, f64)]) -> Option<Finding> {
    let (part, level, hz) = *alike.first()?;
    let items = racks(alike.iter().map(|(part, ..)| *part));
    let where_it_is = places((part, level), alike.len());
    let (low, high) = MACHINE_RESONANCES_HZ;
    if key.is_empty() {
        let text = format!(
            "At which frequency {where_it_is} swings is unknown, as a figure is missing for its sag or load.",
        );
        return Some(
            note(Standing::Unknown, items, text, "shelves".to_owned())
                .figure(None, Some(REVERSALS_BELOW_HZ), "Hz", SOURCE)
                .at(part.spot, 0.0),
        );
    }
    let (standing, limit, words) = if hz < REVERSALS_BELOW_HZ {
        let words = "quick reversals rock it; stiffen it, or print slower there";
        (Standing::Broken, REVERSALS_BELOW_HZ, words)
    } else if hz >= low && hz <= high {
        let nearest = if hz - low < high - hz { low } else { high };
        let words = "that is among the machines' own resonances; soft pads help";
        (Standing::Broken, nearest, words)
    } else {
        let words = "clear of quick reversals and of the machines' resonances";
        (Standing::Met, if hz < low { low } else { high }, words)
    };
    let text = format!(
        "{} swings at about {hz:.1} Hz: {words}.",
        capital(&where_it_is)
    );
    Some(
        note(standing, items, text, format!("shelf {key} Hz"))
            .figure(Some(hz), Some(limit), "Hz", SOURCE)
            .at(part.spot, 0.0),
    )
}
