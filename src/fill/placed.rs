//! From an answer to the plan: one edit that takes away what was replaced and puts what was found. Searches nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

use super::answer::{Answer, Placement};
use super::ceilings::leading_kind;
use super::kinds::{self, Choice};
use super::room;
use super::search::{Ask, Unfillable};
use crate::checks::{self, Check, Finding, Findings};
use crate::geometry::Oblong;
use crate::layout::{Layout, Level, Part, RackLoad, Shelved, Strip};
use crate::plan::{
    Edit, Id, Item, ItemKind, Library, MustFit, Plan, Presence, Printer, Rack, Record, Refused,
    SlotRef, Zone, ZoneUse,
};
use crate::stock::{Face, KindId, PrinterKind, Stock};
use crate::units::Length;

/// Why an answer is not taken over.
#[derive(Clone, Debug, PartialEq)]
pub enum Unsound {
    /// The plan refuses the edit.
    Refused(Refused),
    /// What it replaces cannot be taken away.
    Unfillable(Unfillable),
    /// It breaks these checks where the plan without it does not.
    Broken(Vec<Finding>),
}

impl fmt::Display for Unsound {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(refused) => refused.fmt(f),
            Self::Unfillable(why) => why.fmt(f),
            Self::Broken(findings) => {
                let texts: Vec<&str> = findings.iter().map(|f| f.text.as_str()).take(5).collect();
                write!(f, "the arrangement breaks a check: {}", texts.join(" "))
            }
        }
    }
}

impl std::error::Error for Unsound {}

/// The plan with an answer taken over, after every check that a search must keep was run on it.
pub fn verify(
    library: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
    answer: &Answer,
) -> Result<Arc<Plan>, Unsound> {
    let before = staying_findings(library, plan, ask).map_err(Unsound::Unfillable)?;
    verified(library, plan, ask, answer, &before)
}

/// The same, with what the checks find of what stays known already.
pub(super) fn verified(
    library: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
    answer: &Answer,
    staying: &Findings,
) -> Result<Arc<Plan>, Unsound> {
    let filled = plan
        .edited(&library.stock, &adopt(library, plan, ask, answer, None))
        .map(Arc::new)
        .map_err(Unsound::Refused)?;
    let before: BTreeSet<String> = must_fix(staying).map(Finding::key).collect();
    let after = Findings::of(&Layout::of(library, &filled, ask.phase));
    let broken: Vec<Finding> = must_fix(&after)
        .filter(|finding| !before.contains(&finding.key()))
        .cloned()
        .collect();
    if broken.is_empty() {
        Ok(filled)
    } else {
        Err(Unsound::Broken(broken))
    }
}

/// What the checks find of what stays, without anything placed.
pub(super) fn staying_findings(
    library: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
) -> Result<Findings, Unfillable> {
    let whole = Layout::of(library, plan, ask.phase);
    let base = room::without(library, plan, &room::replaced(&whole, ask))?;
    Ok(Findings::of(&Layout::of(library, &base, ask.phase)))
}

/// The must-fix findings that what stays causes alone, in words.
pub(super) fn faults(staying: &Findings) -> Vec<String> {
    must_fix(staying).map(|f| f.text.clone()).collect()
}

/// The broken must-fix findings of the checks that a search must keep.
fn must_fix(findings: &Findings) -> impl Iterator<Item = &Finding> {
    findings
        .iter()
        .filter(|finding| finding.stops() && Check::of(finding.check).is_some_and(|c| c.in_fill))
}

/// The edit that takes over an answer, or the placements of it that `which` numbers (all of them where `None`): one step.
///
/// Printers of the racks that it takes away keep their marks, kinds and phases and come first into the new places, where
/// they go in; new printers of the leading kind fill the rest. None of them is plugged in yet.
pub fn adopt(
    library: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
    answer: &Answer,
    which: Option<&BTreeSet<usize>>,
) -> Edit {
    let layout = Layout::of(library, plan, ask.phase);
    let taken: Vec<&Placement> = answer
        .placements
        .iter()
        .enumerate()
        .filter(|(k, _)| which.is_none_or(|some| some.contains(k)))
        .map(|(_, placement)| placement)
        .collect();
    let mut removed = room::replaced(&layout, ask);
    if which.is_some() {
        let bodies: Vec<Body> = taken.iter().filter_map(|p| Body::of(&layout, p)).collect();
        removed.retain(|id| {
            let part = layout.part(*id);
            part.is_some_and(|part| bodies.iter().any(|body| body.is_in_the_way_of(part)))
        });
    }
    let mut records = reserved(&layout, ask, &taken);
    records.extend(racks(&layout, ask, &taken, &removed));
    let mut edits = Vec::new();
    if !removed.is_empty() {
        edits.push(Edit::Remove(removed));
    }
    if !records.is_empty() {
        edits.push(Edit::Put(records));
    }
    Edit::Several(format!("Fill phase {}", ask.phase), edits)
}

/// A placement as it would stand, with the strips before its faces.
struct Body {
    body: Oblong,
    strips: Vec<Strip>,
}

impl Body {
    fn of(layout: &Layout, placement: &Placement) -> Option<Self> {
        let (size, faces): ((Length, Length), &[Face]) = if let Some(name) = &placement.must {
            let thing = thing(layout, name)?;
            ((thing.width, thing.depth), &thing.faces)
        } else {
            let kind = layout.stock().racks.get(&placement.kind)?;
            ((kind.width, kind.depth), &kind.faces)
        };
        let body = placement.at.oblong(size.0, size.1);
        let aisle = layout.limits().aisle.value;
        Some(Self {
            strips: faces
                .iter()
                .map(|face| Strip::before(&body, *face, aisle))
                .collect(),
            body,
        })
    }

    /// True where this and a part cannot both stand: one in the body or in a strip of the other.
    fn is_in_the_way_of(&self, part: &Part) -> bool {
        let shape = self.body.convex();
        let solid = part.solid.as_ref();
        solid.is_some_and(|s| {
            s.shape.overlaps(&shape) || self.strips.iter().any(|t| t.shape.overlaps(&s.shape))
        }) || part.strips().iter().any(|t| t.shape.overlaps(&shape))
    }
}

/// The thing of the must-also-fit list of that name.
fn thing<'a>(layout: &'a Layout, name: &str) -> Option<&'a MustFit> {
    let list = &layout.plan().head().must_fit;
    list.iter().find(|thing| thing.name.as_str() == name)
}

/// Keep-clear zones for the things that must also fit, each with the thing's name as its note.
fn reserved(layout: &Layout, ask: &Ask, taken: &[&Placement]) -> Vec<(Id, Record)> {
    let things: Vec<(&Placement, &MustFit)> = taken
        .iter()
        .filter_map(|p| Some((*p, thing(layout, p.must.as_deref()?)?)))
        .collect();
    let marks = layout.plan().fresh(ItemKind::Zone.prefix(), things.len());
    marks
        .into_iter()
        .zip(things)
        .map(|(id, (placement, thing))| {
            let zone = Zone {
                purpose: ZoneUse::KeepClear,
                at: placement.at,
                width: thing.width,
                depth: thing.depth,
                low: Length::ZERO,
                high: Some(thing.height),
                presence: Presence {
                    note: thing.name.clone(),
                    ..Presence::new_in(ask.phase)
                },
            };
            (id, Record::Item(Box::new(Item::Zone(zone))))
        })
        .collect()
}

/// A new rack whose places are being filled.
struct NewRack {
    id: Id,
    choice: Choice,
    levels: Vec<Level>,
    /// Printers that may still be put.
    left: u32,
    taken: BTreeSet<SlotRef>,
    /// The printers in its places by level and place; the kind counted in where none is put yet.
    stand: BTreeMap<(u8, u8), PrinterKind>,
}

impl NewRack {
    /// The next place, from below and from the left, that takes a printer of that kind and bears it, now taken.
    fn next(&mut self, stock: &Stock, printer: &PrinterKind, ceiling: Length) -> Option<SlotRef> {
        if self.left == 0 {
            return None;
        }
        let (id, choice, taken) = (self.id, &self.choice, &self.taken);
        let slot = self
            .levels
            .iter()
            .filter(|level| choice.takes(level, printer, ceiling))
            .flat_map(|level| {
                (1..=level.slots).map(move |place| SlotRef {
                    rack: id,
                    level: level.number,
                    place,
                })
            })
            .find(|slot| !taken.contains(slot) && self.bears(stock, *slot, printer))?;
        self.taken.insert(slot);
        self.stand.insert((slot.level, slot.place), printer.clone());
        self.left -= 1;
        Some(slot)
    }

    /// True where the rack bears a printer in that place with those in all others.
    fn bears(&self, stock: &Stock, slot: SlotRef, printer: &PrinterKind) -> bool {
        let place = (slot.level, slot.place);
        if self.stand.get(&place) == Some(printer) {
            return true;
        }
        let Some(kind) = stock.racks.get(&self.choice.kind) else {
            return false;
        };
        let others = self.stand.iter().filter(|(at, _)| **at != place);
        let printers: Vec<Shelved<'_>> = others
            .map(|(at, kind)| (at.0, at.1, kind))
            .chain([(place.0, place.1, printer)])
            .collect();
        let load = RackLoad::of(stock, &kind.name, kind, self.choice.levels(kind), &printers);
        let over =
            checks::is_overloaded_in_all(&load) || checks::overloaded(&load).next().is_some();
        !over
    }
}

/// The new racks with the printers in them.
fn racks(layout: &Layout, ask: &Ask, taken: &[&Placement], removed: &[Id]) -> Vec<(Id, Record)> {
    let Some(leading) = leading_kind(layout) else {
        return Vec::new();
    };
    let Some(printer) = layout.stock().printers.get(&leading) else {
        return Vec::new();
    };
    let placements: Vec<&Placement> = taken.iter().copied().filter(|p| p.must.is_none()).collect();
    let marks = layout
        .plan()
        .fresh(ItemKind::Rack.prefix(), placements.len());
    let mut records = Vec::new();
    let mut racks = Vec::new();
    for (id, placement) in marks.into_iter().zip(placements) {
        if let Some((rack, item)) = new_rack(layout, ask, id, placement, printer) {
            records.push((id, Record::Item(Box::new(Item::Rack(item)))));
            racks.push(rack);
        }
    }
    let mut printers = moved_in(layout, removed, &mut racks);
    printers.extend(bought(layout, ask, &leading, printer, &mut racks));
    records.extend(
        printers
            .into_iter()
            .map(|(id, printer)| (id, Record::Printer(printer))),
    );
    records
}

fn new_rack(
    layout: &Layout,
    ask: &Ask,
    id: Id,
    placement: &Placement,
    printer: &PrinterKind,
) -> Option<(NewRack, Rack)> {
    let stock = layout.stock();
    let kind = stock.racks.get(&placement.kind)?;
    let only = BTreeSet::from([placement.kind.clone()]);
    let ceiling = layout.plan().room().ceiling;
    let choice = kinds::racks(stock, Some(&only), printer, ceiling)
        .into_iter()
        .filter(|choice| choice.printers >= placement.printers)
        .min_by_key(|choice| choice.printers)?;
    let item = Rack {
        kind: placement.kind.clone(),
        at: placement.at,
        levels: choice.levels.clone(),
        faces: Vec::new(),
        anchored: None,
        presence: Presence::new_in(ask.phase),
    };
    let levels = Level::all_of(stock, kind, item.levels(kind));
    let rack = NewRack {
        id,
        stand: levels
            .iter()
            .filter(|level| choice.takes(level, printer, ceiling))
            .flat_map(|level| (1..=level.slots).map(|place| (level.number, place)))
            .map(|place| (place, printer.clone()))
            .collect(),
        levels,
        left: placement.printers,
        taken: BTreeSet::new(),
        choice,
    };
    Some((rack, item))
}

/// The printers of the racks that are taken away, in their new places: first those that stand there in this phase, then
/// those that come later. One that goes in nowhere leaves with its rack.
fn moved_in(layout: &Layout, removed: &[Id], racks: &mut [NewRack]) -> Vec<(Id, Printer)> {
    let plan = layout.plan();
    let mut old: Vec<(Id, &Printer)> = plan
        .printers()
        .iter()
        .filter(|(_, p)| removed.contains(&p.slot.rack))
        .collect();
    old.sort_by_key(|(_, p)| (!p.presence.holds_in(layout.phase()), p.slot));
    old.into_iter()
        .filter_map(|(id, printer)| {
            let kind = layout.stock().printers.get(&printer.kind)?;
            let slot = first_place(racks, layout.stock(), kind, plan.room().ceiling)?;
            let moved = Printer {
                slot,
                power: None,
                ..printer.clone()
            };
            Some((id, moved))
        })
        .collect()
}

fn first_place(
    racks: &mut [NewRack],
    stock: &Stock,
    kind: &PrinterKind,
    ceiling: Length,
) -> Option<SlotRef> {
    racks
        .iter_mut()
        .find_map(|rack| rack.next(stock, kind, ceiling))
}

/// New printers of the leading kind in all the places that are left.
fn bought(
    layout: &Layout,
    ask: &Ask,
    leading: &KindId,
    kind: &PrinterKind,
    racks: &mut [NewRack],
) -> BTreeMap<Id, Printer> {
    let ceiling = layout.plan().room().ceiling;
    let stock = layout.stock();
    let slots: Vec<SlotRef> =
        std::iter::from_fn(|| first_place(racks, stock, kind, ceiling)).collect();
    layout
        .plan()
        .fresh(Plan::PRINTER, slots.len())
        .into_iter()
        .zip(slots)
        .map(|(id, slot)| {
            let printer = Printer {
                kind: leading.clone(),
                slot,
                power: None,
                prints: None,
                presence: Presence::new_in(ask.phase),
            };
            (id, printer)
        })
        .collect()
}
