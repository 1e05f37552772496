//! One level of a rack: its height, what it holds, its pads and its board; the level is chosen in the elevation.

use crate::editor::figure::read_maybe;
use crate::editor::panels::card::form::Form;
use crate::editor::widgets;
use crate::layout::side_by_side;
use crate::plan::{Edit, Id, OwnKind, Plan, Presence, Printer, Rack, Record, SlotRef};
use crate::stock::{KindId, LevelKind, PadKind, PrinterKind, RackKind, Stores};
use crate::units::{Kilograms, Length, Practice};

/// The gap left between printers side by side where their number is proposed: room for a hand and a cable. Common practice, no
/// source.
fn gap(practice: Practice) -> Length {
    match practice {
        Practice::Us => Length::from_inches(1),
        Practice::Metric => Length::from_mm_whole(25),
    }
}

/// What a level holds.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Holds {
    Printers,
    Stores(Stores),
}

/// The fields of the level that is selected, if one is.
pub(super) fn level(form: &mut Form<'_, '_>, id: Id, rack: &Rack) {
    let shown = form.shown;
    let Some(kind) = shown.layout.stock().racks.get(&rack.kind) else {
        return;
    };
    let chosen = shown.selection.level().and_then(|number| {
        let index = usize::from(number.checked_sub(1)?);
        Some((number, rack.levels(kind).get(index)?.clone()))
    });
    let Some((number, level)) = chosen else {
        return;
    };
    form.ui.strong(format!("Level {number}"));
    let stock = shown.layout.stock();
    let set = |to: LevelKind| shown.plan.level_set(stock, id, number, to);
    form.length("its board at", level.height, |height| {
        let to = LevelKind {
            height,
            ..level.clone()
        };
        set(to).unwrap_or_else(|| same(id, number))
    });
    let proposed = proposal(form, id, number, kind);
    let now = match level.slots {
        0 => Holds::Stores(level.stores),
        _ => Holds::Printers,
    };
    let holds = [
        (Holds::Printers, "printers"),
        (Holds::Stores(Stores::Spools), "spools and boxes"),
        (Holds::Stores(Stores::Nothing), "nothing"),
    ]
    .map(|(holds, words)| (holds, words.to_owned()));
    form.choice("it holds", &now, &holds, |holds| {
        let (slots, stores) = match holds {
            Holds::Printers => (proposed.max(1), level.stores),
            Holds::Stores(stores) => (0, stores),
        };
        set(LevelKind {
            slots,
            stores,
            ..level.clone()
        })
    });
    if level.slots > 0 {
        form.number("side by side", level.slots, |slots| {
            let to = LevelKind {
                slots,
                ..level.clone()
            };
            set(to).unwrap_or_else(|| same(id, number))
        });
        let least = gap(shown.practice()).shown(shown.practice());
        let words = format!("{proposed} stand side by side with {least} between them.");
        widgets::hint(form.ui, &words);
        printers(form, id, number, level.slots);
    }
    pads(form, &level, set);
    board(form, (id, number), kind, &level, set);
    masses(form, (id, number), &level, set);
    form.ui.add_space(4.0);
    form.ui.strong("The rack");
}

/// The pads under the printers of a level: of which kind, and how thick they are under a printer.
fn pads(form: &mut Form<'_, '_>, level: &LevelKind, set: impl Fn(LevelKind) -> Option<Edit>) {
    if level.slots == 0 {
        return;
    }
    let pads = &form.shown.layout.stock().pads;
    let kinds: Vec<_> = std::iter::once((None, "none".to_owned()))
        .chain(
            pads.iter()
                .map(|(id, k)| (Some(id.clone()), k.name.clone())),
        )
        .collect();
    form.choice("pads under them", &level.pad, &kinds, |pad| {
        let level = level.clone();
        set(LevelKind { pad, ..level })
    });
    let pad = level.pad.as_ref();
    let Some((id, kind)) = pad.and_then(|id| Some((id, pads.get(id)?))) else {
        return;
    };
    form.maybe_length("pad under load", kind.compressed, |compressed| {
        let kind = PadKind {
            compressed,
            ..kind.clone()
        };
        Edit::PutKind(id.clone(), Box::new(OwnKind::Pad(kind)))
    });
    let mass = kind.mass.map(Kilograms::shown).unwrap_or_default();
    form.text("mass of its pads", mass, |typed| {
        let kind = PadKind {
            mass: read_maybe(typed, "kg", Kilograms::parse)?,
            ..kind.clone()
        };
        Ok(Edit::PutKind(id.clone(), Box::new(OwnKind::Pad(kind))))
    });
    if !form.shown.plan.kinds().pads.contains_key(id) {
        widgets::hint(
            form.ui,
            "The mass in stock is a usual one (own judgement); weigh yours.",
        );
    }
    let thick = kind.thickness.shown(form.shown.practice());
    let words = if kind.compressed.is_some() {
        format!(
            "{thick} with nothing on it. Holds wherever {} lies.",
            kind.name
        )
    } else {
        format!("Not measured under a printer: {thick} counts.")
    };
    widgets::hint(form.ui, &words);
}

/// The board of a level: that of the rack's kind, or another, and how thick it is.
fn board(
    form: &mut Form<'_, '_>,
    (id, number): (Id, u8),
    kind: &RackKind,
    level: &LevelKind,
    set: impl Fn(LevelKind) -> Option<Edit>,
) {
    let shown = form.shown;
    let stock = shown.layout.stock();
    let its_kind = stock.boards.get(&kind.board);
    let usual = its_kind.map_or("as the rack", |b| b.name.as_str());
    let boards: Vec<_> = std::iter::once((None, format!("{usual}, as the rack")))
        .chain(
            stock
                .boards
                .iter()
                .map(|(id, b)| (Some(id.clone()), b.name.clone())),
        )
        .collect();
    form.choice("its board", &level.board, &boards, |board| {
        // A thickness that was typed was that of the board before.
        set(LevelKind {
            board,
            thickness: None,
            ..level.clone()
        })
    });
    let now = level.board.as_ref().unwrap_or(&kind.board);
    let given = stock.boards.get(now).map(|b| b.thickness);
    let thickness = level.thickness.or(given);
    form.maybe_length("board thickness", thickness, |typed| {
        let thickness = typed.filter(|t| Some(*t) != given);
        let level = level.clone();
        set(LevelKind { thickness, ..level }).unwrap_or_else(|| same(id, number))
    });
    let shown_usual = its_kind.map(|b| b.thickness.shown(shown.practice()));
    let words = if level.board.is_none() && level.thickness.is_none() {
        format!("As {} has it; type another thickness here.", kind.name)
    } else {
        let thick = shown_usual.map_or(String::new(), |t| format!(", {t} thick"));
        format!(
            "{} has {usual}{thick}. Empty the field for the board's own thickness.",
            kind.name
        )
    };
    widgets::hint(form.ui, &words);
}

/// What a level may bear, where that is its own, and what is stored on it.
fn masses(
    form: &mut Form<'_, '_>,
    (id, number): (Id, u8),
    level: &LevelKind,
    set: impl Fn(LevelKind) -> Option<Edit>,
) {
    let read = |typed: &str| read_maybe(typed, "kg", Kilograms::parse);
    let shown = |mass: Option<Kilograms>| mass.map(Kilograms::shown).unwrap_or_default();
    form.text("this level rated for", shown(level.rating), |typed| {
        let (rating, level) = (read(typed)?, level.clone());
        Ok(set(LevelKind { rating, ..level }).unwrap_or_else(|| same(id, number)))
    });
    if level.slots == 0 && level.stores == Stores::Spools {
        form.text("stored on it", shown(level.stored), |typed| {
            let (stored, level) = (read(typed)?, level.clone());
            Ok(set(LevelKind { stored, ..level }).unwrap_or_else(|| same(id, number)))
        });
    }
}

/// A step that changes nothing, where what was typed is what stands there.
fn same(id: Id, number: u8) -> Edit {
    Edit::Several(format!("Set level {number} of {id}"), Vec::new())
}

/// The printers of a level with their places.
fn standing(plan: &Plan, rack: Id, level: u8) -> impl Iterator<Item = (Id, &Printer)> {
    let there = plan.printers().iter();
    there.filter(move |(_, p)| p.slot.rack == rack && p.slot.level == level)
}

/// How many printers go side by side: of the widest kind on the level, else of the one that the plan is counted in.
fn proposal(form: &Form<'_, '_>, rack: Id, level: u8, kind: &RackKind) -> u8 {
    let shown = form.shown;
    let stock = shown.layout.stock();
    let there = standing(shown.plan, rack, level).map(|(_, p)| &p.kind);
    let kinds: Vec<&KindId> = there.collect();
    let usual = shown.headroom.leading.iter();
    let kinds = if kinds.is_empty() {
        usual.collect()
    } else {
        kinds
    };
    let widths = kinds.into_iter().filter_map(|id| stock.printers.get(id));
    widths.map(|k: &PrinterKind| k.width).max().map_or(1, |w| {
        side_by_side(w, gap(shown.practice()), kind.clear_width)
    })
}

/// A choice that puts a printer of one kind into every place of the level, so that a rack may hold several kinds.
fn printers(form: &mut Form<'_, '_>, rack: Id, level: u8, slots: u8) {
    let shown = form.shown;
    let there: Vec<(Id, &Printer)> = standing(shown.plan, rack, level)
        .filter(|(_, p)| p.presence.holds_in(shown.phase()))
        .collect();
    let first = there.first().map(|(_, p)| &p.kind);
    let alike = there.iter().all(|(_, p)| Some(&p.kind) == first);
    let now = first.filter(|_| alike && there.len() == usize::from(slots));
    let now = now.cloned();
    let empty = if there.is_empty() {
        "none yet"
    } else {
        "several kinds, or places left"
    };
    let stock = shown.layout.stock();
    let kinds: Vec<_> = stock
        .printers
        .iter()
        .map(|(id, k)| (Some(id.clone()), k.name.clone()))
        .chain([(None, empty.to_owned())])
        .collect();
    form.choice("in each place", &now, &kinds, |kind| {
        let kind = kind?;
        let taken = |place: u8| there.iter().any(|(_, p)| p.slot.place == place);
        let free: Vec<u8> = (1..=slots).filter(|place| !taken(*place)).collect();
        let changed = there.iter().map(|(id, p)| {
            let kind = kind.clone();
            (
                *id,
                Printer {
                    kind,
                    ..(*p).clone()
                },
            )
        });
        let fresh = shown.plan.fresh(Plan::PRINTER, free.len());
        let new = fresh.into_iter().zip(&free).map(|(id, place)| {
            let slot = SlotRef {
                rack,
                level,
                place: *place,
            };
            let presence = Presence {
                arrives: shown.phase(),
                ..Presence::default()
            };
            let printer = Printer {
                kind: kind.clone(),
                slot,
                power: None,
                prints: None,
                presence,
            };
            (id, printer)
        });
        let records = changed.chain(new).map(|(id, p)| (id, Record::Printer(p)));
        let name = format!("Fill level {level} of {rack}");
        Some(Edit::Several(name, vec![Edit::Put(records.collect())]))
    });
}
