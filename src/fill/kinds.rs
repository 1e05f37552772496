//! What may be placed: the rack kinds that take the leading printer kind, and the things that must also fit. Knows no
//! room but its ceiling.

use std::collections::BTreeSet;

use super::problem::{Faces, PackKind};
use crate::layout::{Heights, Level, over};
use crate::plan::MustFit;
use crate::stock::{Face, KindId, LevelKind, PrinterKind, RackKind, Stock};
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

/// Every rack kind that takes a printer of that kind, each whole and with its upper levels left empty one by one.
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
    let filled: Vec<(Level, u8)> = levels
        .into_iter()
        .map(|level| {
            let holds = level.holds(printer, ceiling);
            (level, holds)
        })
        .collect();
    let with_printers = filled.iter().filter(|(_, holds)| *holds > 0).count();
    (1..=with_printers)
        .rev()
        .filter_map(|lowest| choice(id, kind, printer, &filled, lowest))
        .collect()
}

/// The kind with printers on the lowest levels alone, so many of those that take any.
fn choice(
    id: &KindId,
    kind: &RackKind,
    printer: &PrinterKind,
    filled: &[(Level, u8)],
    lowest: usize,
) -> Option<Choice> {
    let mut used = filled.iter().filter(|(_, holds)| *holds > 0).take(lowest);
    let first = used.next()?;
    let (printers, last) = used.fold((u32::from(first.1), first), |(sum, _), next| {
        (sum + u32::from(next.1), next)
    });
    let (low, top) = (
        first.0.heights_of(printer).low,
        last.0.heights_of(printer).high,
    );
    let own: Vec<LevelKind> = filled
        .iter()
        .zip(&kind.levels)
        .map(|((level, holds), given)| LevelKind {
            height: level.top,
            slots: if level.top > last.0.top && *holds > 0 {
                0
            } else if *holds > 0 {
                *holds
            } else {
                level.slots
            },
            ..given.clone()
        })
        .collect();
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
        printers,
        faces: sides(&kind.faces),
        plugs: !kind.faces.contains(&Face::Back),
    })
}
