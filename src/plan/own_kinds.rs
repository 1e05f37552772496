//! Kinds of the plan's own: a rack as it stands, or a printer that was measured, made a kind that the stock drawer offers, and
//! taken out again. They are part of the plan and travel with it.

use std::fmt;

use super::{Edit, Id, Item, OwnFamily, OwnKind, Plan, Rack, Record};
use crate::stock::{KindId, PrinterKind, RackKind, Stock};

/// Why a kind cannot be taken out of the plan's own stock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KindStays {
    /// It is none of the plan's own.
    NotOwn(KindId),
    /// Things of the plan are of this kind, in some phase.
    Used {
        /// The kind's name for people.
        name: String,
        /// The things.
        by: Vec<Id>,
        /// True where the plan is counted in it.
        counted_in: bool,
    },
}

impl fmt::Display for KindStays {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotOwn(kind) => write!(f, "{kind} is no kind of this plan's own."),
            Self::Used {
                name,
                by,
                counted_in,
            } => {
                write!(f, "{name} stays in stock: ")?;
                let marks: Vec<String> = by.iter().take(3).map(ToString::to_string).collect();
                let more = by.len().saturating_sub(marks.len());
                match (marks.as_slice(), more) {
                    ([], _) => {}
                    ([one], _) => write!(f, "{one} is one of it")?,
                    (some, 0) => write!(f, "{} are of it", some.join(", "))?,
                    (some, n) => write!(f, "{} and {n} more are of it", some.join(", "))?,
                }
                match (marks.is_empty(), counted_in) {
                    (_, false) => f.write_str("."),
                    (true, true) => f.write_str("the plan is counted in it."),
                    (false, true) => f.write_str(", and the plan is counted in it."),
                }
            }
        }
    }
}

impl std::error::Error for KindStays {}

impl Plan {
    /// The step that takes a kind of the plan's own out of its stock; refused while anything, in any phase, is of it.
    pub fn own_kind_taken(&self, family: OwnFamily, id: &KindId) -> Result<Edit, KindStays> {
        let kinds = self.kinds();
        let (name, by): (_, Vec<Id>) = match family {
            OwnFamily::Printers => {
                let of_it = self.printers().iter().filter(|(_, p)| p.kind == *id);
                let name = kinds.printers.get(id).map(|k| k.name.clone());
                (name, of_it.map(|(mark, _)| mark).collect())
            }
            OwnFamily::Racks => {
                let racks = self.items().iter();
                let of_it = racks.filter(|(_, i)| matches!(i, Item::Rack(r) if r.kind == *id));
                let name = kinds.racks.get(id).map(|k| k.name.clone());
                (name, of_it.map(|(mark, _)| mark).collect())
            }
        };
        let name = name.ok_or_else(|| KindStays::NotOwn(id.clone()))?;
        let counted_in = family == OwnFamily::Printers && self.head().leading.as_ref() == Some(id);
        if !by.is_empty() || counted_in {
            return Err(KindStays::Used {
                name,
                by,
                counted_in,
            });
        }
        let words = format!("Take {name} out of stock");
        Ok(Edit::Several(
            words,
            vec![Edit::TakeKind(family, id.clone())],
        ))
    }

    /// The step that makes a rack, with its own levels and faces, a kind of its own and the rack one of it; and the kind's name.
    /// `None` where there is no such rack.
    pub fn rack_as_own(&self, stock: &Stock, id: Id) -> Option<(Edit, KindId)> {
        let rack = self.rack(id)?;
        let kind = stock.racks.get(&rack.kind)?;
        let own_id = fresh("own-rack", |name| stock.racks.contains_key(name))?;
        let taken = |name: &str| stock.racks.values().any(|k| k.name == name);
        let own = RackKind {
            name: unlike(&kind.name, taken),
            levels: rack.levels(kind).to_vec(),
            faces: rack.faces(kind).to_vec(),
            ..kind.clone()
        };
        let one_of_it = Rack {
            kind: own_id.clone(),
            levels: Vec::new(),
            faces: Vec::new(),
            ..rack.clone()
        };
        let parts = vec![
            Edit::PutKind(own_id.clone(), Box::new(OwnKind::Rack(own))),
            Edit::Put(vec![(id, Record::Item(Box::new(Item::Rack(one_of_it))))]),
        ];
        Some((
            Edit::Several(format!("Save {id} as own stock"), parts),
            own_id,
        ))
    }

    /// The step that puts a printer of the plan's own into its stock; and the kind's name. `None` where names are used up.
    pub fn own_printer(&self, stock: &Stock, kind: PrinterKind) -> Option<(Edit, KindId)> {
        let id = fresh("own-printer", |name| stock.printers.contains_key(name))?;
        let name = format!("Put {} into stock", kind.name);
        let put = Edit::PutKind(id.clone(), Box::new(OwnKind::Printer(kind)));
        Some((Edit::Several(name, vec![put]), id))
    }
}

/// The first of `stem-1`, `stem-2` and so on that is not taken.
fn fresh(stem: &str, taken: impl Fn(&KindId) -> bool) -> Option<KindId> {
    let names = (1..=u16::MAX).filter_map(|n| KindId::new(&format!("{stem}-{n}")).ok());
    names.into_iter().find(|name| !taken(name))
}

/// The name with "own" behind it and a number that no other name has.
fn unlike(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let stem = name.split(", own ").next().unwrap_or(name);
    (1..=u16::MAX)
        .map(|n| format!("{stem}, own {n}"))
        .find(|name| !taken(name))
        .unwrap_or_else(|| stem.to_owned())
}
