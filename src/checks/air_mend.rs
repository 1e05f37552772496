//! Mends of draughts: another pitch of the vane, other louvres, another fan speed, a deflector, or another place for the cooling
//! unit. Each is tried by running the checks on the plan as if it were made.
//!
//! What is offered leaves a true part of the draughts found before and adds no must-fix, so that no two mends can go round in a ring.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::mend::rounded_up;
use super::throw::{self, broken_by};
use super::{Finding, Findings, Mend, Standing};
use crate::layout::{Layout, Part};
use crate::plan::{Blow, CoolingUnit, Edit, Fan, Id, Item, Library, Record, WallPlace};
use crate::stock::CoolingKind;
use crate::units::{Angle, Length, Practice};

/// Steps in which a vane, a plate or louvres are turned, and how far, in degrees: vanes of wall units go from level to steeply down,
/// a plate sends the air up along the ceiling (common practice, no source).
const STEP_DEG: i32 = 5;
const VANE_DEG: (i32, i32) = (0, 60);
const PLATE_DEG: (i32, i32) = (-30, -5);
const LOUVRES_DEG: (i32, i32) = (-45, 45);
/// Steps in which a unit is moved along a wall, in millimetres: a foot in US practice.
fn step_mm(practice: Practice) -> f64 {
    match practice {
        Practice::Us => 304.8,
        Practice::Metric => 300.0,
    }
}

/// What was tried of each unit, worked out when first asked for. It follows from the findings and their layout, so that copies share
/// it and comparing passes it over.
#[derive(Clone, Debug, Default)]
pub(super) struct Tries(Arc<Mutex<BTreeMap<Id, Arc<Vec<Try>>>>>);

impl PartialEq for Tries {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

/// One change of a unit.
#[derive(Debug)]
struct Try {
    words: String,
    edit: Edit,
    /// The keys of the draughts that the unit still makes.
    left: BTreeSet<String>,
    /// The keys of all draughts after it; `None` where it adds a must-fix.
    after: OnceLock<Option<BTreeSet<String>>>,
}

/// The change of the finding's unit that removes it: the one that leaves least of its draughts, of several the lightest.
pub(super) fn mend_for(
    library: &Library,
    layout: &Layout,
    findings: &Findings,
    finding: &Finding,
) -> Option<Mend> {
    let unit = finding.items.iter().find_map(|id| unit_of(layout, *id))?;
    let tries = findings.tries.of(library, layout, unit);
    let key = finding.key();
    let before = broken(findings.of_check(throw::CHECK.id).iter().map(AsRef::as_ref));
    let judge = |tried: &Try| {
        let after = tried
            .after
            .get_or_init(|| after(library, layout, findings, tried));
        after.as_ref().is_some_and(|after| {
            !after.contains(&key) && after.is_subset(&before) && after.len() < before.len()
        })
    };
    // Those that leave least of the unit's draughts at racks first; among as good ones the lightest, as they come.
    let mut helping: Vec<&Try> = tries.iter().filter(|t| !t.left.contains(&key)).collect();
    let room = throw::room_key(unit.0);
    helping.sort_by_key(|tried| tried.left.iter().filter(|k| **k != room).count());
    let found = helping.into_iter().find(|tried| judge(tried))?;
    let words = if found.left.is_empty() {
        format!("{}, for all printers", found.words)
    } else {
        found.words.clone()
    };
    Some(Mend {
        words,
        edit: found.edit.clone(),
    })
}

fn unit_of(layout: &Layout, id: Id) -> Option<(Id, &CoolingUnit)> {
    match layout.plan().items().get(id) {
        Some(Item::Cooling(unit)) => Some((id, unit)),
        _ => None,
    }
}

fn broken<'a>(findings: impl Iterator<Item = &'a Finding>) -> BTreeSet<String> {
    let broken = findings.filter(|f| f.standing == Standing::Broken);
    broken.map(Finding::key).collect()
}

/// The draughts of the whole plan after a change; `None` where it adds a must-fix.
fn after(
    library: &Library,
    layout: &Layout,
    findings: &Findings,
    tried: &Try,
) -> Option<BTreeSet<String>> {
    let next = layout.plan().edited(&library.stock, &tried.edit).ok()?;
    let next = layout.step(library, &Arc::new(next));
    let stops = findings.stops_after(layout, &next);
    if !stops.is_subset(&findings.stops()) {
        return None;
    }
    let after = findings.step_check(&throw::CHECK, layout, &next);
    Some(broken(after.iter().map(AsRef::as_ref)))
}

impl Tries {
    fn of(
        &self,
        library: &Library,
        layout: &Layout,
        (id, unit): (Id, &CoolingUnit),
    ) -> Arc<Vec<Try>> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let find = || Arc::new(tries(library, layout, (id, unit)));
        Arc::clone(known.entry(id).or_insert_with(find))
    }
}

/// Everything that is tried of a unit, the lightest change first, with the draughts of that unit that it leaves.
fn tries(library: &Library, layout: &Layout, (id, unit): (Id, &CoolingUnit)) -> Vec<Try> {
    let Some(kind) = layout.stock().cooling.get(&unit.kind) else {
        return Vec::new();
    };
    let turns = blows(id, unit, kind).into_iter().map(|(words, blow)| {
        let unit = CoolingUnit {
            blow,
            ..unit.clone()
        };
        (words, Item::Cooling(unit))
    });
    let moves = places(layout, (id, unit), kind).into_iter();
    turns
        .chain(moves)
        .filter_map(|(words, item)| {
            let edit = Edit::Put(vec![(id, Record::Item(Box::new(item)))]);
            let next = layout.plan().edited(&library.stock, &edit).ok()?;
            let next = layout.step(library, &Arc::new(next));
            // A change that leaves the air unknown mends nothing.
            let part: &Part = next.part(id)?;
            part.jet_in_use.as_ref()?;
            let found = broken_by(&next, part);
            Some(Try {
                words,
                edit,
                left: broken(found.iter()),
                after: OnceLock::new(),
            })
        })
        .collect()
}

/// The angles from one to another in steps, those nearest to the present one first; that one itself is left out.
fn angles((from, to): (i32, i32), now: Angle) -> Vec<Angle> {
    let off = |angle: &Angle| (*angle - now).signed_degrees().abs();
    let steps = (from..=to).step_by(usize::try_from(STEP_DEG).unwrap_or(1));
    let mut all: Vec<Angle> = steps
        .map(|degrees| Angle::from_degrees(f64::from(degrees)))
        .filter(|angle| *angle != now)
        .collect();
    all.sort_by(|a, b| off(a).total_cmp(&off(b)));
    all
}

/// Other ways to blow from the same place.
fn blows(id: Id, unit: &CoolingUnit, kind: &CoolingKind) -> Vec<(String, Blow)> {
    let now = unit.blow;
    let mut all = Vec::new();
    if now.deflector.is_none() {
        let vane = now.down.unwrap_or(kind.vane_down);
        for down in angles(VANE_DEG, vane) {
            let words = match down {
                Angle::ZERO => format!("set {id}'s vane level"),
                down => format!("set {id}'s vane {} down", down.shown()),
            };
            let down = Some(down);
            all.push((words, Blow { down, ..now }));
        }
    }
    for aside in angles(LOUVRES_DEG, now.aside) {
        let words = match aside.signed_degrees() {
            degrees if degrees < 0.0 => {
                format!("turn {id}'s louvres {} right", (-aside).shown())
            }
            degrees if degrees > 0.0 => {
                format!("turn {id}'s louvres {} left", aside.shown())
            }
            _ => format!("set {id}'s louvres straight"),
        };
        all.push((words, Blow { aside, ..now }));
    }
    if now.swing != Angle::ZERO {
        let words = format!("stop {id}'s swing");
        let swing = Angle::ZERO;
        all.push((words, Blow { swing, ..now }));
    }
    let speeds = Fan::all(kind);
    for fan in speeds.into_iter().skip_while(|fan| *fan != now.fan).skip(1) {
        let words = format!("run {id}'s fan at {}", fan.name(kind));
        all.push((words, Blow { fan, ..now }));
    }
    let plate = now.deflector.unwrap_or(Angle::ZERO);
    for angle in angles(PLATE_DEG, plate) {
        let words = format!("fit {id} with a deflector {} up", (-angle).shown());
        let deflector = Some(angle);
        all.push((words, Blow { deflector, ..now }));
    }
    all.retain(|(_, blow)| blow.fault().is_none());
    all
}

/// Other places on its wall, the nearest first, then on other walls, each rounded up to what a person measures off; none for a unit
/// that is pinned.
fn places(
    layout: &Layout,
    (id, unit): (Id, &CoolingUnit),
    kind: &CoolingKind,
) -> Vec<(String, Item)> {
    if unit.presence.pinned {
        return Vec::new();
    }
    let room = layout.plan().room();
    let practice = layout.plan().practice();
    let step = step_mm(practice);
    let mut all: Vec<((bool, f64), WallPlace)> = Vec::new();
    for wall in layout.walls() {
        let Ok(number) = u16::try_from(wall.number) else {
            continue;
        };
        let own = number == unit.at.wall;
        let last = wall.length - kind.width.mm();
        let start = if own {
            unit.at.along.mm() % step
        } else {
            (last * 0.5) % step
        };
        let middle = if own { unit.at.along.mm() } else { last * 0.5 };
        let along = std::iter::successors(Some(rounded_up(start, practice)), |at| Some(at + step));
        for at in along.take_while(|at| *at <= last).take(200) {
            let off = (at - middle).abs();
            if own && off < step * 0.5 {
                continue;
            }
            all.push(((!own, off), WallPlace::new(number, Length::from_mm(at))));
        }
    }
    all.sort_by(|((own, a), _), ((other, b), _)| own.cmp(other).then(a.total_cmp(b)));
    all.into_iter()
        .map(|(_, at)| {
            let words = format!(
                "hang {id} on {} at {}",
                room.wall_name(usize::from(at.wall)),
                at.along.shown(practice)
            );
            (words, Item::Cooling(CoolingUnit { at, ..unit.clone() }))
        })
        .collect()
}
