//! Carry-in: whether each new rack, and each thing that must also fit, comes in through a door and gets round what stands there to
//! its place, in one piece.

mod must_fit;

use std::collections::BTreeMap;
use std::sync::Arc;

use super::again::Run;
use super::{Check, Finding, Severity, Standing};
use crate::geometry::{Carry, Convex, Entry, Oblong, TOLERANCE_MM};
use crate::layout::{Heights, Layout, Part, Strip};
use crate::plan::{Change, Door, Hinge, Id, Item, ItemKind, Presence, Status};
use crate::stock::{KindId, RackKind};
use crate::units::{Length, Practice};

pub(super) const CHECK: Check = Check {
    id: "carry-in",
    title: "Racks and benches can be carried in",
    worst: Severity::Caution,
    what: "Whether each new rack, and each bench or other thing that must also fit, in one piece, comes through a door and gets to its place past what stood there before the phase it arrives in.",
    why: "A rack or bench that is stuck in the door on the day of the move is taken apart, or the door is.",
    how: "Upright, on its end or on its back, the latter two where it can be stood up again under the ceiling: its section against the door's clear width and height, then its rectangle in the plan moved and turned over the floor, end on and straight through the door, with about an inch to spare all round. A rack on its end or back is followed to the floor before its place. Racks of one phase do not stand in each other's way here. A thing that must also fit goes to the floor kept for it; while none is kept, to any place, square to the door's wall, where it and the floor to work at it are free of what stood there and of door swings, as if it came in the phase on show.",
    blind: "The corridor and the stairs outside, and whether a rack can turn into the door from there; tilting, lifting over things, a leaf that opens further than square or comes off; the order of the racks of one phase; ways with less to spare; things that stand there already or are moved within the room; whether a bench comes in parts; for a bench without floor kept for it, whether racks of its phase leave it any.",
    caution: "",
    in_fill: false,
    limits: &[],
    run: Run::Whole(run),
    concerns: bodies_or_ground,
};

/// Room to spare all round while carrying, in millimetres: an inch, for hands and a wall that is not quite straight. Common
/// practice, no source.
const SPARE_MM: f64 = 25.4;

/// Printers and circuits are brought in by themselves.
fn bodies_or_ground(change: &Change) -> bool {
    change.ground || !change.items.is_empty()
}

/// Width, depth and height of what is carried, standing as it is used.
type Size = [Length; 3];

/// How a thing is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Held {
    Upright,
    OnEnd,
    OnBack,
}

/// A thing held in one way: its rectangle in the plan and what it takes in height, in millimetres.
#[derive(Clone, Copy, Debug)]
struct Piece {
    held: Held,
    length: f64,
    width: f64,
    height: f64,
}

impl Held {
    const ALL: [Self; 3] = [Self::Upright, Self::OnEnd, Self::OnBack];

    fn words(self) -> &'static str {
        match self {
            Self::Upright => "upright",
            Self::OnEnd => "lying on its end",
            Self::OnBack => "lying on its back",
        }
    }

    /// The thing held like this; `None` where it could not be stood up again under the ceiling, which its diagonal must pass.
    fn piece(self, size: Size, ceiling_mm: f64) -> Option<Piece> {
        let [w, d, h] = size.map(Length::mm);
        let (a, b, height, stood_up) = match self {
            Self::Upright => (w, d, h, h),
            Self::OnEnd => (h, d, w, h.hypot(w)),
            Self::OnBack => (h, w, d, h.hypot(d)),
        };
        (stood_up <= ceiling_mm + TOLERANCE_MM).then_some(Piece {
            held: self,
            length: a.max(b),
            width: a.min(b),
            height,
        })
    }
}

/// A door to carry through.
struct Way<'a> {
    part: &'a Part,
    door: &'a Door,
    entry: Entry,
    leaf: Option<Convex>,
}

impl<'a> Way<'a> {
    fn of(layout: &'a Layout, part: &'a Part) -> Option<Self> {
        let Some(Item::Door(door)) = layout.plan().items().get(part.id) else {
            return None;
        };
        let doorway = part.doorway.as_ref()?;
        let (near, far) = doorway.opening;
        let along = (far - near).normalize_or_zero();
        let clear_mm = door.clear.unwrap_or(door.width).min(door.width).mm();
        // What is not clear is on the side of the hinges, where the open leaf stands.
        let middle = match door.hinge {
            Hinge::Near => far - along * (clear_mm * 0.5),
            Hinge::Far => near + along * (clear_mm * 0.5),
        };
        let entry = Entry {
            middle,
            inward: along.perp(),
            clear_mm,
        };
        let opens_inward = doorway.sweep.is_some();
        let leaf = doorway.leaf.filter(|_| opens_inward);
        Some(Self {
            part,
            door,
            entry,
            leaf: leaf.map(|(a, b)| Convex::line(a, b)),
        })
    }

    fn lets_through(&self, piece: &Piece) -> bool {
        piece.width <= self.entry.clear_mm + TOLERANCE_MM
            && piece.height <= self.door.height.mm() + TOLERANCE_MM
    }
}

/// How far a thing gets.
enum Fate {
    /// To its place, through a door, held in one way.
    In(Id, Held),
    /// Through a door, but not to its place.
    Stuck(Id, Held),
    /// Through no door.
    Outside,
}

fn run(layout: &Layout) -> Vec<Finding> {
    let ways: Vec<Way<'_>> = layout
        .of_kind(ItemKind::Door)
        .filter_map(|part| Way::of(layout, part))
        .collect();
    if ways.is_empty() {
        // The check `way-out` says that there is no door.
        return Vec::new();
    }
    let mut alike: BTreeMap<&KindId, Vec<&Part>> = BTreeMap::new();
    for part in layout.of_kind(ItemKind::Rack) {
        if let Some(rack) = layout.plan().rack(part.id)
            && rack.presence.arrives == layout.phase()
            && rack.presence.status == Status::New
        {
            alike.entry(&rack.kind).or_default().push(part);
        }
    }
    let racks = alike
        .into_iter()
        .filter_map(|(id, parts)| Some((layout.stock().racks.get(id)?, parts)))
        .flat_map(|(kind, parts)| of_kind(layout, &ways, kind, &parts));
    racks.chain(must_fit::run(layout, &ways)).collect()
}

/// The racks of one kind.
fn of_kind(layout: &Layout, ways: &[Way<'_>], kind: &RackKind, parts: &[&Part]) -> Vec<Finding> {
    let size = [kind.width, kind.depth, kind.height];
    let fates = carried(layout, ways, size, parts, |spread, part| {
        arrives(spread, part)
    });
    let judged = parts.iter().zip(&fates);
    judged
        .map(|(part, fate)| finding(layout, ways, kind, part, fate))
        .collect()
}

/// How far each of several things of one size gets: each way to hold one is tried through each door until all are in.
fn carried<T>(
    layout: &Layout,
    ways: &[Way<'_>],
    size: Size,
    things: &[T],
    arrives: impl Fn(&Spread, &T) -> bool,
) -> Vec<Fate> {
    let ceiling = layout.plan().room().ceiling.mm();
    let mut fates: Vec<Fate> = things.iter().map(|_| Fate::Outside).collect();
    let pieces = Held::ALL.iter().filter_map(|h| h.piece(size, ceiling));
    for piece in pieces {
        for way in ways.iter().filter(|way| way.lets_through(&piece)) {
            if fates.iter().all(|f| matches!(f, Fate::In(..))) {
                break;
            }
            let spread = spread(layout, way, &piece);
            for (thing, fate) in things.iter().zip(&mut fates) {
                if !matches!(fate, Fate::In(..)) && arrives(&spread, thing) {
                    *fate = Fate::In(way.part.id, piece.held);
                } else if matches!(fate, Fate::Outside) {
                    *fate = Fate::Stuck(way.part.id, piece.held);
                }
            }
        }
    }
    fates
}

/// All places that a piece gets to through a door.
struct Spread {
    held: Held,
    carry: Arc<Carry>,
}

/// Where a piece gets to through a door, among what stood there before this phase at the heights that it takes.
fn spread(layout: &Layout, way: &Way<'_>, piece: &Piece) -> Spread {
    let mut bodies = stood_before(layout, piece.height);
    bodies.extend(way.leaf.clone());
    let size = (piece.length, piece.width);
    Spread {
        held: piece.held,
        carry: layout.carried(way.entry, &bodies, size, SPARE_MM),
    }
}

/// What stood there before this phase, up to that height.
fn stood_before(layout: &Layout, high: f64) -> Vec<Convex> {
    let heights = Heights { low: 0.0, high };
    let before = |part: &Part| {
        let item = layout.plan().items().get(part.id);
        let before = |p: &Presence| p.arrives < layout.phase() || p.status == Status::Existing;
        part.fixed || item.is_some_and(|i| before(i.presence()))
    };
    let solids = layout.solids();
    solids
        .filter(|(part, solid)| solid.heights.overlap(heights) && before(part))
        .map(|(_, solid)| solid.shape.clone())
        .collect()
}

/// True where a rack gets to its place: upright into it, lying to the floor before one of its faces.
fn arrives(spread: &Spread, part: &Part) -> bool {
    let rack = part.rack.as_ref();
    rack.is_some_and(|rack| spread.brings_to(&rack.body, part.strips()))
}

impl Spread {
    /// True where the thing gets to that place: upright into it, lying to the floor before one of its faces, or to the place
    /// itself where it has none.
    fn brings_to(&self, body: &Oblong, strips: &[Strip]) -> bool {
        match self.held {
            Held::Upright => self.carry.puts(body),
            Held::OnEnd | Held::OnBack if strips.is_empty() => {
                self.carry.comes_into(&body.convex())
            }
            Held::OnEnd | Held::OnBack => strips.iter().any(|s| self.carry.comes_into(&s.shape)),
        }
    }
}

fn finding(
    layout: &Layout,
    ways: &[Way<'_>],
    kind: &RackKind,
    part: &Part,
    fate: &Fate,
) -> Finding {
    let size = [kind.width, kind.depth, kind.height];
    let whole = told(layout, ways, &part.id.to_string(), size, fate);
    // Parts are carried round any corner; that a rack comes in parts saves what does not come in whole.
    let (standing, more) = match (whole.standing, kind.in_parts) {
        (Standing::Broken, Some(true)) => (Standing::Met, " It comes in parts."),
        (Standing::Broken, None) => (
            Standing::Unknown,
            " Whether it comes in parts is not known; say so in its kind.",
        ),
        (standing, _) => (standing, ""),
    };
    let items = std::iter::once(part.id)
        .chain(whole.items.iter().copied())
        .collect();
    let spot = match (fate, whole.at) {
        (Fate::Outside, Some(at)) => at.point,
        _ => part.spot,
    };
    Finding {
        standing,
        items,
        text: format!("{}{more}", whole.text),
        ..whole
    }
    .named_by_first()
    .at(spot, 0.0)
}

/// What is said of a thing of that name in one piece; about the door alone, and at it.
fn told(layout: &Layout, ways: &[Way<'_>], name: &str, size: Size, fate: &Fate) -> Finding {
    let practice = layout.plan().practice();
    let (standing, door, text) = match fate {
        Fate::In(door, held) => {
            let text = format!("{name} comes in through door {door}, {}.", held.words());
            (Standing::Met, Some(*door), text)
        }
        Fate::Stuck(door, held) => {
            let text = format!(
                "{name} in one piece, {}, comes through door {door}, {}, but no way was found to its place past what stands there.",
                size_words(size, practice),
                held.words()
            );
            (Standing::Broken, Some(*door), text)
        }
        Fate::Outside => {
            let text = format!(
                "{name} in one piece, {}, comes through no door: {}.",
                size_words(size, practice),
                doors_words(ways, practice)
            );
            (Standing::Broken, ways.first().map(|w| w.part.id), text)
        }
    };
    let way = door.and_then(|door| ways.iter().find(|w| w.part.id == door));
    let unmeasured = way.is_some_and(|w| w.door.clear.is_none());
    let (standing, more) = if standing == Standing::Met && unmeasured {
        (
            Standing::Unknown,
            " The door's clear width is not measured; its width was taken instead.",
        )
    } else {
        (standing, "")
    };
    let narrowest = size
        .map(Length::mm)
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let finding = Finding::new(
        CHECK.id,
        Severity::Caution,
        standing,
        door.into_iter().collect(),
        format!("{text}{more}"),
    )
    .figure(
        Some(narrowest),
        way.map(|w| w.entry.clear_mm),
        "mm",
        "the door and the floor as drawn",
    );
    match way {
        Some(way) => finding.at(way.part.spot, 0.0),
        None => finding,
    }
}

fn size_words(size: Size, practice: Practice) -> String {
    let [w, d, h] = size.map(|l| l.shown(practice));
    format!("{w} wide, {d} deep and {h} high")
}

fn doors_words(ways: &[Way<'_>], practice: Practice) -> String {
    let each = ways.iter().map(|w| {
        let clear = Length::from_mm(w.entry.clear_mm).shown(practice);
        let high = w.door.height.shown(practice);
        format!("{} is {clear} wide and {high} high", w.part.id)
    });
    each.collect::<Vec<_>>().join(", ")
}
