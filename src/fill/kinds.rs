//! What may be placed: the rack kinds that take the leading printer kind, and the things that must also fit. Knows no
//! room but its ceiling.

use std::collections::BTreeSet;

use super::problem::{Faces, PackKind};
use crate::checks;
use crate::layout::{Heights, Level, RackLoad, Shelved, over};
use crate::plan::MustFit;
use crate::stock::{Face, KindId, LevelKind, PrinterKind, RackKind, Stock, Stores};
use crate::units::Length;

/// A body that may be placed, with what the packing problem does not know of it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Choice {
    /// The rack kind; `must-fit` for a thing of the must-also-fit list.
    pub(super) kind: KindId,
    /// The thing of the must-also-fit list that it is.
    pub(super) must: Option<MustFit>,
    pub(super) width: Length,
    pub(super) depth: Length,
    /// Heights of the body.
    pub(super) body: Heights,
    /// From the lowest board with printers to the top of the highest printer.
    pub(super) prints: Option<Heights>,
    /// Levels of its own, where the kind's are shared out anew or left empty.
    pub(super) levels: Vec<LevelKind>,
    pub(super) printers: u32,
    pub(super) faces: Faces,
    /// True where plugs stand out behind it.
    pub(super) plugs: bool,
}

impl Choice {
    /// As the packing problem sees it.
    pub(super) fn packed(&self) -> PackKind {
        PackKind {
            width: self.width.units(),
            depth: self.depth.units(),
            printers: self.printers,
            faces: self.faces,
            plugs: self.plugs,
            exactly: self.must.is_some().then_some(1),
        }
    }

    /// Its levels as a rack of that kind.
    pub(super) fn levels<'a>(&'a self, kind: &'a RackKind) -> &'a [LevelKind] {
        if self.levels.is_empty() {
            &kind.levels
        } else {
            &self.levels
        }
    }

    /// A thing that must also fit.
    pub(super) fn must(thing: &MustFit, kind: &KindId) -> Self {
        Self {
            kind: kind.clone(),
            width: thing.width,
            depth: thing.depth,
            body: Heights {
                low: 0.0,
                high: thing.height.mm(),
            },
            prints: None,
            levels: Vec::new(),
            printers: 0,
            faces: sides(&thing.faces),
            plugs: false,
            must: Some(thing.clone()),
        }
    }

    /// True where a printer of that kind goes into every place of that level of this choice, and stands no lower and no
    /// higher than the printers that the choice was judged with.
    pub(super) fn takes(&self, level: &Level, printer: &PrinterKind, ceiling: Length) -> bool {
        let within = self.prints.is_some_and(|heights| {
            let needs = level.heights_of(printer);
            needs.low >= heights.low
                && !over(Length::from_mm(needs.high), Length::from_mm(heights.high))
        });
        within && level.place_takes(printer, ceiling)
    }

    /// True where this one can stand in for the other wherever that may stand, and holds no fewer printers; `blocked` says
    /// whether it is blocked by anything that the other is not.
    pub(super) fn replaces(&self, other: &Self, blocked: bool) -> bool {
        let no_more = |own: bool, others: bool| !own || others;
        self.width <= other.width
            && self.depth <= other.depth
            && self.printers >= other.printers
            && no_more(self.faces.front, other.faces.front)
            && no_more(self.faces.back, other.faces.back)
            && no_more(self.faces.left, other.faces.left)
            && no_more(self.faces.right, other.faces.right)
            && no_more(self.plugs, other.plugs)
            && !blocked
    }
}

/// The sides named by faces.
fn sides(faces: &[Face]) -> Faces {
    Faces {
        front: faces.contains(&Face::Front),
        back: faces.contains(&Face::Back),
        left: faces.contains(&Face::Left),
        right: faces.contains(&Face::Right),
    }
}

/// Every rack kind that takes a printer of that kind, each whole and with its upper levels left empty one by one; with no more
/// printers than it is rated for, as far as ratings and masses are known.
pub(super) fn racks(
    stock: &Stock,
    allowed: Option<&BTreeSet<KindId>>,
    printer: &PrinterKind,
    ceiling: Length,
) -> Vec<Choice> {
    stock
        .racks
        .iter()
        .filter(|(id, _)| allowed.is_none_or(|some| some.contains(id)))
        // A kind that is wider between its posts than outside, or higher than the room, is no rack that could be built.
        .filter(|(_, kind)| !over(kind.clear_width, kind.width) && !over(kind.height, ceiling))
        .flat_map(|(id, kind)| of_kind(stock, id, kind, printer, ceiling))
        .collect()
}

fn of_kind(
    stock: &Stock,
    id: &KindId,
    kind: &RackKind,
    printer: &PrinterKind,
    ceiling: Length,
) -> Vec<Choice> {
    let levels = Level::all_of(stock, kind, &kind.levels);
    let shelves: Vec<Shelf> = levels
        .into_iter()
        .map(|level| Shelf {
            holds: level.holds(printer, ceiling),
            level,
        })
        .collect();
    let with_printers = shelves.iter().filter(|shelf| shelf.holds > 0).count();
    (1..=with_printers)
        .rev()
        .filter_map(|lowest| {
            let counts = borne(stock, kind, printer, &shelves, lowest)?;
            choice(id, kind, printer, &shelves, &counts)
        })
        .collect()
}

/// A level of a kind, and how many printers go into it.
struct Shelf {
    level: Level,
    holds: u8,
}

/// Printers on each level where only the lowest of those that take any are used: as many as go in and as level and rack are
/// rated for; where the rack in all bears fewer, the uppermost give way. `None` where a rack without any is overloaded.
fn borne(
    stock: &Stock,
    kind: &RackKind,
    printer: &PrinterKind,
    shelves: &[Shelf],
    lowest: usize,
) -> Option<Vec<u8>> {
    let mut used = 0;
    let mut counts: Vec<u8> = shelves
        .iter()
        .map(|shelf| {
            used += usize::from(shelf.holds > 0);
            if used <= lowest { shelf.holds } else { 0 }
        })
        .collect();
    loop {
        let levels = levels_with(kind, shelves, &counts);
        let load = load_of(stock, kind, &levels, &counts, printer);
        let over: BTreeSet<u8> = checks::overloaded(&load).map(|l| l.number).collect();
        let in_all = over.is_empty() && checks::is_overloaded_in_all(&load);
        if over.is_empty() && !in_all {
            return Some(counts);
        }
        let mut relieved = false;
        for (count, shelf) in counts.iter_mut().zip(shelves).rev() {
            let gives_way = over.contains(&shelf.level.number) || (in_all && !relieved);
            if gives_way && *count > 0 {
                *count -= 1;
                relieved = true;
            }
        }
        if !relieved {
            return None;
        }
    }
}

/// The levels of a kind with so many places on each that takes any printer.
fn levels_with(kind: &RackKind, shelves: &[Shelf], counts: &[u8]) -> Vec<LevelKind> {
    let all = shelves.iter().zip(counts).zip(&kind.levels);
    all.map(|((shelf, count), given)| LevelKind {
        height: shelf.level.top,
        slots: if shelf.holds > 0 {
            *count
        } else {
            shelf.level.slots
        },
        // A level that is left without printers for their weight is left empty.
        stores: if shelf.holds > 0 && *count == 0 {
            Stores::Nothing
        } else {
            given.stores
        },
        ..given.clone()
    })
    .collect()
}

/// What a rack of a kind bears with so many printers on each level.
fn load_of<'a>(
    stock: &'a Stock,
    kind: &'a RackKind,
    levels: &[LevelKind],
    counts: &[u8],
    printer: &PrinterKind,
) -> RackLoad<'a> {
    let printers: Vec<Shelved<'_>> = (1..=u8::MAX)
        .zip(counts)
        .flat_map(|(number, count)| (1..=*count).map(move |place| (number, place, printer)))
        .collect();
    RackLoad::of(stock, &kind.name, kind, levels, &printers)
}

/// The figures without which nobody can say whether the racks bear what is put on them, in words.
pub(super) fn not_weighed(
    stock: &Stock,
    choices: &[Choice],
    printer: &PrinterKind,
) -> BTreeSet<String> {
    let racks = choices.iter().filter(|c| c.must.is_none());
    let loads = racks.filter_map(|choice| {
        let kind = stock.racks.get(&choice.kind)?;
        let levels = choice.levels(kind);
        let counts: Vec<u8> = levels.iter().map(|level| level.slots).collect();
        Some(load_of(stock, kind, levels, &counts, printer))
    });
    loads.flat_map(|load| checks::not_known(&load)).collect()
}

/// The kind with so many printers on each level.
fn choice(
    id: &KindId,
    kind: &RackKind,
    printer: &PrinterKind,
    shelves: &[Shelf],
    counts: &[u8],
) -> Option<Choice> {
    let used = shelves.iter().zip(counts).filter(|(_, count)| **count > 0);
    let used: Vec<&Level> = used.map(|(shelf, _)| &shelf.level).collect();
    let (low, top) = (
        used.first()?.heights_of(printer).low,
        used.last()?.heights_of(printer).high,
    );
    let own = levels_with(kind, shelves, counts);
    Some(Choice {
        kind: id.clone(),
        must: None,
        width: kind.width,
        depth: kind.depth,
        body: Heights {
            low: 0.0,
            high: kind.height.mm().max(top),
        },
        prints: Some(Heights { low, high: top }),
        levels: if own == kind.levels { Vec::new() } else { own },
        printers: counts.iter().map(|n| u32::from(*n)).sum(),
        faces: sides(&kind.faces),
        plugs: !kind.faces.contains(&Face::Back),
    })
}
