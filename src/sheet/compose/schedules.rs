//! The schedules: outlets, racks, openings, equipment, the load summary and the open findings, as tables.

use super::block::{Block, Heading};
use super::view::{dimension, dimension_mm};
use super::{Subject, panel_schedule};
use crate::checks::Findings;
use crate::fill::{Answer, Headroom, NOT_JUDGED};
use crate::geometry::Bounds;
use crate::layout::{Layout, Part};
use crate::plan::{
    CoolingUnit, Door, Hinge, Id, Item, ItemKind, Outlet, Presence, Rack, Status, Swing, Ups,
    UpsPlace, WallPlace, Window, Zone, ZoneUse,
};
use crate::units::{Length, capital};
use crate::wiring::schedule::{drawn, taken_out};

/// Most findings listed one by one.
const FINDINGS_MOST: usize = 6;

/// What nobody entered.
const UNKNOWN: &str = "unknown";

/// All schedules, in the order of the sheet.
pub(super) fn blocks(
    subject: &Subject<'_>,
    findings: &Findings,
    headroom: &Headroom,
) -> Vec<Block> {
    [
        open_findings(findings),
        Some(outlets(subject)),
        Some(panel_schedule::circuits(subject)),
        Some(loads(subject, headroom)),
        Some(racks(subject)),
        Some(openings(subject)),
        Some(equipment(subject)),
        Some(taken_away(subject)),
    ]
    .into_iter()
    .flatten()
    .filter(|block| !block.rows.is_empty())
    .collect()
}

/// How many printers the floor holds, what may be said of that count, and on what it rests.
pub(super) fn fullest(subject: &Subject<'_>, answer: &Answer) -> Block {
    let hoped_for = subject.layout.plan().head().hoped_for;
    let lines: Vec<String> = [
        format!("{} printers; {}.", answer.printers, answer.words()),
        format!("{} ({NOT_JUDGED})", answer.against(hoped_for, false)),
    ]
    .into_iter()
    .chain(answer.assumptions.iter().map(|words| capital(words)))
    .collect();
    Block::paragraphs(
        "What the floor holds",
        "lines on what the floor holds",
        &lines,
    )
}

/// The items of one kind that are on the sheet, with their parts.
fn listed(layout: &Layout, kind: ItemKind) -> impl Iterator<Item = (&Part, &Item)> {
    layout
        .of_kind(kind)
        .filter_map(|part| Some((part.as_ref(), layout.plan().items().get(part.id)?)))
}

fn outlets(subject: &Subject<'_>) -> Block {
    const HEADINGS: [Heading; 7] = [
        ("Mark", 16.0),
        ("Wall", 38.0),
        ("From datum", 32.0),
        ("Height AFF", 28.0),
        ("Recept.", 18.0),
        ("Circuit", 23.0),
        ("Status", 25.0),
    ];
    let rows = listed(subject.layout, ItemKind::Outlet).filter_map(|(part, item)| {
        let Item::Outlet(outlet) = item else {
            return None;
        };
        Some(outlet_row(subject, part.id, outlet))
    });
    Block::table(
        "Outlet schedule",
        "outlets",
        &HEADINGS,
        &rows.collect::<Vec<_>>(),
    )
}

fn outlet_row(subject: &Subject<'_>, id: Id, outlet: &Outlet) -> Vec<String> {
    vec![
        id.to_string(),
        subject.wall_words(usize::from(outlet.at.wall)),
        subject.along_words(outlet.at, Length::ZERO),
        dimension(outlet.height, subject.practice()),
        outlet.receptacles.to_string(),
        outlet
            .circuit
            .map_or_else(|| UNKNOWN.to_owned(), |c| c.to_string()),
        subject.status_words(&outlet.presence),
    ]
}

fn loads(subject: &Subject<'_>, headroom: &Headroom) -> Block {
    let power = subject.layout.power();
    let mut counts = format!(
        "{} printers placed in {} slots",
        headroom.placed, headroom.slots
    );
    if let Some(hoped) = headroom.hoped_for {
        counts = format!("{counts}; hoped for {hoped}");
    }
    let mut texts = vec![format!("{counts}.")];
    texts.extend(drawn(subject.layout));
    texts.extend(panel_schedule::summary(subject, headroom));
    if !power.unpowered.is_empty() {
        texts.push(format!(
            "{} printers lead to no circuit.",
            power.unpowered.len()
        ));
    }
    let ceilings: Vec<String> = headroom
        .ceilings
        .iter()
        .filter_map(|c| {
            Some(format!(
                "{} {}",
                if c.limit == "ups" { "UPS" } else { c.limit },
                c.allows?
            ))
        })
        .collect();
    if !ceilings.is_empty() {
        texts.push(format!(
            "Printers that each limit alone allows: {}.",
            ceilings.join(", ")
        ));
    }
    Block::paragraphs("Load summary", "lines of the load summary", &texts)
}

fn racks(subject: &Subject<'_>) -> Block {
    const HEADINGS: [Heading; 8] = [
        ("Mark", 12.5),
        ("Kind", 36.0),
        ("W × D × H", 48.5),
        ("Lev.", 10.0),
        ("Pr.", 8.0),
        ("x", 21.0),
        ("y", 21.0),
        ("Status", 23.0),
    ];
    let rows = listed(subject.layout, ItemKind::Rack).filter_map(|(part, item)| {
        let Item::Rack(rack) = item else { return None };
        Some(rack_row(subject, part, rack))
    });
    Block::table(
        "Rack schedule",
        "racks",
        &HEADINGS,
        &rows.collect::<Vec<_>>(),
    )
}

fn rack_row(subject: &Subject<'_>, part: &Part, rack: &Rack) -> Vec<String> {
    let kind = subject.layout.stock().racks.get(&rack.kind);
    let body = part.solid.as_ref();
    let printers = part.slots().iter().filter(|s| s.printer.is_some()).count();
    let [x, y] = body.map_or([String::new(), String::new()], |b| {
        subject.place(b.shape.bounds())
    });
    let name = kind.map_or_else(|| rack.kind.to_string(), |k| k.name.clone());
    let square = (rack.at.turn.degrees() % 90.0).abs() < 1e-9;
    vec![
        part.id.to_string(),
        if square {
            name
        } else {
            format!("turned {} · {name}", rack.at.turn.shown())
        },
        kind.map_or_else(String::new, |k| subject.size(&[k.width, k.depth, k.height])),
        part.rack.as_ref().map_or(0, |r| r.levels.len()).to_string(),
        printers.to_string(),
        x,
        y,
        subject.status_words(&rack.presence),
    ]
}

fn openings(subject: &Subject<'_>) -> Block {
    const HEADINGS: [Heading; 6] = [
        ("Mark", 11.5),
        ("Wall", 28.5),
        ("From datum", 26.0),
        ("Size", 27.0),
        ("How", 65.0),
        ("Status", 22.0),
    ];
    let doors = listed(subject.layout, ItemKind::Door).filter_map(|(part, item)| {
        let Item::Door(door) = item else { return None };
        Some(door_row(subject, part.id, door))
    });
    let windows = listed(subject.layout, ItemKind::Window).filter_map(|(part, item)| {
        let Item::Window(window) = item else {
            return None;
        };
        Some(window_row(subject, part.id, window))
    });
    let rows: Vec<Vec<String>> = doors.chain(windows).collect();
    Block::table(
        "Openings (to the edge nearer the datum)",
        "openings",
        &HEADINGS,
        &rows,
    )
}

fn door_row(subject: &Subject<'_>, id: Id, door: &Door) -> Vec<String> {
    let hinge = match door.hinge {
        Hinge::Near => door.at.along,
        Hinge::Far => door.at.along + door.width,
    };
    let way = match door.swing {
        Swing::In => "in",
        Swing::Out => "out",
        Swing::None => "no swing",
    };
    let hung = match door.swing {
        Swing::In | Swing::Out => format!(
            ", hinge {}",
            subject.along_value(door.at, hinge - door.at.along)
        ),
        Swing::None => String::new(),
    };
    let clear = door.clear.map_or_else(
        || ", clear width unknown".to_owned(),
        |c| format!(", clear {}", dimension(c, subject.practice())),
    );
    let out = if door.way_out { ", way out" } else { "" };
    vec![
        id.to_string(),
        subject.wall_words(usize::from(door.at.wall)),
        subject.along_words(door.at, door.width),
        subject.size(&[door.width, door.height]),
        format!("{way}{hung}{clear}{out}"),
        subject.status_words(&door.presence),
    ]
}

fn window_row(subject: &Subject<'_>, id: Id, window: &Window) -> Vec<String> {
    let opens = if window.opens { "opens" } else { "fixed" };
    let out = if window.way_out { ", way out" } else { "" };
    let sill = dimension(window.sill, subject.practice());
    vec![
        id.to_string(),
        subject.wall_words(usize::from(window.at.wall)),
        subject.along_words(window.at, window.width),
        subject.size(&[window.width, window.head - window.sill]),
        format!("sill {sill} AFF, {opens}{out}"),
        subject.status_words(&window.presence),
    ]
}

fn equipment(subject: &Subject<'_>) -> Block {
    const HEADINGS: [Heading; 6] = [
        ("Mark", 13.0),
        ("What", 44.0),
        ("From datum", 41.0),
        ("Bottom", 17.0),
        ("Size or feed", 41.0),
        ("Status", 24.0),
    ];
    let kinds = [
        ItemKind::Panel,
        ItemKind::Cooling,
        ItemKind::Ups,
        ItemKind::Column,
        ItemKind::Zone,
    ];
    let rows: Vec<Vec<String>> = kinds
        .into_iter()
        .chain(super::fixtures::KINDS)
        .flat_map(|kind| listed(subject.layout, kind))
        .filter_map(|(part, item)| {
            let mut cells = vec![part.id.to_string()];
            cells.extend(equipment_cells(subject, part, item)?);
            cells.push(subject.status_words(item.presence()));
            Some(cells)
        })
        .collect();
    Block::table(
        "Equipment schedule",
        "pieces of equipment",
        &HEADINGS,
        &rows,
    )
}

/// What, where, and how it is fed or how large it is.
fn equipment_cells(subject: &Subject<'_>, part: &Part, item: &Item) -> Option<[String; 4]> {
    let stock = subject.layout.stock();
    let practice = subject.practice();
    let floor = || dimension(Length::ZERO, practice);
    let place = |at: WallPlace, width| {
        let wall = subject.wall_words(usize::from(at.wall));
        format!("{}, {wall}", subject.along_words(at, width))
    };
    match item {
        Item::Panel(p) => Some([
            "Electrical panel".to_owned(),
            place(p.at, p.width),
            dimension(p.bottom, practice),
            subject.size(&[p.width, p.height]),
        ]),
        Item::Cooling(CoolingUnit {
            kind, at, bottom, ..
        }) => {
            let kind = stock.cooling.get(kind)?;
            Some([
                kind.name.clone(),
                place(*at, kind.width),
                dimension(*bottom, practice),
                subject.size(&[kind.width, kind.height]),
            ])
        }
        Item::Ups(Ups {
            kind,
            stands,
            outlet,
            ..
        }) => {
            let kind = stock.ups.get(kind)?;
            let place = match stands {
                UpsPlace::OnRack(rack) => format!("at the foot of {rack}"),
                UpsPlace::OnFloor(_) => subject.place_words(part.solid.as_ref()?.shape.bounds()),
            };
            let fed = outlet.map_or_else(|| UNKNOWN.to_owned(), |o| format!("from {o}"));
            let fed = match kind.plug {
                Some(plug) => format!("{fed}, {} plug", plug.shown()),
                None => fed,
            };
            Some([kind.name.clone(), place, floor(), fed])
        }
        Item::Column(c) => Some([
            "Column".to_owned(),
            subject.place_words(part.solid.as_ref()?.shape.bounds()),
            floor(),
            subject.size(&[c.width, c.depth]),
        ]),
        Item::Fitting(f) => Some([
            capitalised(item.kind().word()),
            place(f.at, f.width),
            dimension(f.bottom, practice),
            subject.size(&[f.width, f.height]),
        ]),
        Item::Overhead(o) => Some([
            capitalised(item.kind().word()),
            subject.place_words(part.solid.as_ref()?.shape.bounds()),
            dimension(o.bottom, practice),
            subject.size(&[o.width, o.depth]),
        ]),
        Item::Light(l) => {
            let kind = stock.lights.get(&l.kind)?;
            let fed = l.linked_to.map(|from| format!("linked to {from}"));
            Some([
                kind.name.clone(),
                subject.place_words(part.solid.as_ref()?.shape.bounds()),
                dimension(l.bottom, practice),
                fed.unwrap_or_else(|| "own feed".to_owned()),
            ])
        }
        Item::Camera(c) => Some([
            stock.cameras.get(&c.kind)?.name.clone(),
            subject.place_words(&Bounds::of(&[part.spot])?),
            dimension(c.height, practice),
            format!("tilted {} down", c.tilt.shown()),
        ]),
        Item::Furniture(f) => Some([
            capitalised(item.kind().word()),
            subject.place_words(part.solid.as_ref()?.shape.bounds()),
            floor(),
            subject.size(&[f.width, f.depth]),
        ]),
        Item::Zone(z) => Some(zone_cells(subject, part, z)?),
        Item::Door(_)
        | Item::Window(_)
        | Item::Outlet(_)
        | Item::Rack(_)
        | Item::Dimension(_)
        | Item::Note(_) => None,
    }
}

/// A word as the first of a line.
fn capitalised(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn zone_cells(subject: &Subject<'_>, part: &Part, zone: &Zone) -> Option<[String; 4]> {
    let what = match zone.purpose {
        ZoneUse::KeepClear => "Keep-clear zone".to_owned(),
        ZoneUse::Wet { dry_from: None } => "Wet zone, no dry date".to_owned(),
        ZoneUse::Wet {
            dry_from: Some(phase),
        } => format!("Wet zone, dry from phase {phase}"),
    };
    let place = subject.place_words(part.zone.as_ref()?.shape.bounds());
    Some([
        what,
        place,
        dimension(zone.low, subject.practice()),
        subject.size(&[zone.width, zone.depth]),
    ])
}

/// What was there in the phase before and is gone in this one: somebody has to take it away.
fn taken_away(subject: &Subject<'_>) -> Block {
    let plan = subject.layout.plan();
    let goes = |presence: &Presence| presence.leaves == Some(subject.layout.phase());
    let items = plan
        .items()
        .iter()
        .filter(|(_, item)| goes(item.presence()));
    let items = items.map(|(id, item)| {
        let place = item.wall_place().map_or_else(String::new, |at| {
            let wall = subject.wall_words(usize::from(at.wall));
            format!(
                ", {wall}, {} from the datum",
                subject.along_words(at, Length::ZERO)
            )
        });
        format!("{id}: {}{place}", item.kind().word())
    });
    let circuits =
        taken_out(subject.layout).map(|(id, c)| format!("{id}: circuit, {}", c.breaker.shown()));
    let texts: Vec<String> = items.chain(circuits).collect();
    Block::paragraphs("Removed in this phase", "things to remove", &texts)
}

/// The findings that keep the plan from being built, and how many checks lack a figure.
fn open_findings(findings: &Findings) -> Option<Block> {
    let open: Vec<&str> = findings
        .iter()
        .filter(|f| f.stops())
        .map(|f| f.text.as_str())
        .collect();
    if open.is_empty() {
        return None;
    }
    let mut texts: Vec<String> = open
        .iter()
        .take(FINDINGS_MOST)
        .map(|t| (*t).to_owned())
        .collect();
    if open.len() > FINDINGS_MOST {
        texts.push(format!(
            "{} more; see the punch list of the plan.",
            open.len() - FINDINGS_MOST
        ));
    }
    Some(Block::paragraphs(
        "Must-fix findings open",
        "lines of findings",
        &texts,
    ))
}

impl Subject<'_> {
    /// What is done with a thing; with the phase where that was an earlier one.
    pub(super) fn status_words(&self, presence: &Presence) -> String {
        let word = presence.status.word();
        let done = matches!(presence.status, Status::New | Status::Moved);
        if done && presence.arrives < self.layout.phase() {
            format!("{word}, ph. {}", presence.arrives)
        } else {
            word.to_owned()
        }
    }

    /// Lengths with "×" between them.
    fn size(&self, lengths: &[Length]) -> String {
        let words: Vec<String> = lengths
            .iter()
            .map(|l| dimension(*l, self.practice()))
            .collect();
        words.join(" × ")
    }

    /// A box's edges nearest the datum corner, as x and y.
    fn place(&self, bounds: &Bounds) -> [String; 2] {
        let datum = self.layout.plan().room().datum_corner();
        let toward = self.axes();
        let (a, b) = (
            (bounds.low - datum) * toward,
            (bounds.high - datum) * toward,
        );
        let near = a.min(b);
        [near.x, near.y].map(|mm| dimension_mm(mm, self.practice()))
    }

    /// The same in words.
    fn place_words(&self, bounds: &Bounds) -> String {
        let [x, y] = self.place(bounds);
        format!("x {x}, y {y}")
    }
}
