//! From a plan to the packing problem and back: what stays, what may be placed, in a frame along the room's main
//! direction. Judges nothing and searches nothing.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::answer::{Budget, Carrier, Placement};
use super::ceilings::{Carried, carried_besides, circuits_besides, leading_kind, supply_besides};
use super::frame::{self, Floor, WallLine};
use super::kinds::{self, Choice};
use super::problem::{Problem, Put, Rect, Start};
use super::search::{Ask, Unfillable};
use super::staying::Staying;
use crate::geometry::{Point, TOLERANCE_MM};
use crate::layout::{Doorway, Layout, Part};
use crate::plan::{Edit, Id, Item, ItemKind, Library, PhaseNo, Plan, Pose, ZoneUse};
use crate::stock::{KindId, Stock};
use crate::units::{Angle, Length};

/// The most kinds that the packing problem tells apart.
const KINDS_MOST: usize = 32;

/// A question made ready for the search.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The packing problem.
    pub problem: Problem,
    /// True where room, bodies and zones stand along the frame's axes: only swings and jets are counted by the cells they
    /// touch.
    pub exact: bool,
    /// Printers of the phase that stay where they are.
    pub pinned: u32,
    /// Printers that cooling or power carries besides those that stay, the least of those whose figures are sure.
    pub carried: Option<Budget>,
    /// What an answer rests on, sentence by sentence.
    pub assumptions: Vec<String>,
    /// The printer kind that is counted in.
    pub leading: KindId,
    floor: Floor,
    choices: Vec<Choice>,
}

impl Asked {
    /// The problem that a plan and a question make.
    pub fn of(library: &Library, plan: &Arc<Plan>, ask: &Ask) -> Result<Self, Unfillable> {
        let whole = Layout::of(library, plan, ask.phase);
        let leading = leading_kind(&whole)
            .or_else(|| usual_printer(whole.stock()))
            .ok_or(Unfillable::NoPrinter)?;
        let printer = whole.stock().printers.get(&leading);
        let printer = printer.ok_or(Unfillable::NoPrinter)?;
        let outline = plan.room().polygon().ok_or(Unfillable::NoRoom)?;
        let floor = Floor::of(&outline).ok_or(Unfillable::NoRoom)?;
        let replaced = replaced(&whole, ask);
        let base = without(library, plan, &replaced)?;
        let layout = Layout::of(library, &base, ask.phase);

        let ceiling = plan.room().ceiling;
        let racks = kinds::racks(whole.stock(), ask.kinds.as_ref(), printer, ceiling);
        if racks.is_empty() {
            return Err(Unfillable::NoKind);
        }
        let things = things_to_place(&layout);
        let staying = Staying::of(&layout, &floor, ask.part, &racks);
        let (choices, left_out) = worth_trying(&staying, &racks, things);

        let (starts, way_out) = starts(&layout, &floor);
        let limits = layout.limits();
        let problem = Problem {
            width: floor.size.0,
            depth: floor.size.1,
            aisle: limits.aisle.value.units(),
            gap: limits.back_gap.value.units(),
            kinds: choices.iter().map(Choice::packed).collect(),
            floor: floor.polygon.clone(),
            blocks: staying.blocks(&choices),
            starts,
            reach: staying.strips.clone(),
            way_out,
        };
        let mut assumptions = assumptions(&layout, &floor, &staying, &choices, &leading);
        assumptions.extend(what_is_left_out(&layout, ask, left_out, way_out));
        let budgets = if ask.floor_only {
            assumptions.push("floor only: neither cooling nor power bounds the count".to_owned());
            Vec::new()
        } else {
            vec![
                (Carrier::Cooling, carried_besides(&whole, &layout, printer)),
                (Carrier::Circuits, circuits_besides(&layout, printer)),
                (Carrier::Supply, supply_besides(&layout, printer)),
            ]
        };
        let told = budgets.iter();
        assumptions.extend(told.filter_map(|(by, carried)| what_is_carried(&layout, *by, carried)));
        Ok(Self {
            carried: least(&budgets),
            problem,
            exact: !staying.odd,
            pinned: u32::try_from(layout.printers().count()).unwrap_or(u32::MAX),
            assumptions,
            leading,
            floor,
            choices,
        })
    }

    /// The most printers that may be added, where something besides the floor says so.
    pub fn most_added(&self) -> Option<u32> {
        self.carried.map(|most| most.printers)
    }

    /// One body of this problem as it stands in the plan.
    pub fn placement(&self, put: &Put) -> Placement {
        let Some(choice) = self.choices.get(put.kind) else {
            unreachable!("a put is of one of the kinds of its problem")
        };
        let body = put.body(&choice.packed());
        let middle = self.floor.frame.plan(Point::new(
            (frame::mm(body.x0) + frame::mm(body.x1)) * 0.5,
            (frame::mm(body.y0) + frame::mm(body.y1)) * 0.5,
        ));
        let (width, depth) = (choice.width.mm(), choice.depth.mm());
        let quarters = Angle::from_degrees(90.0 * f64::from(put.turn.0 % 4));
        Placement {
            kind: choice.kind.clone(),
            must: choice.must.as_ref().map(|thing| thing.name.to_string()),
            at: Pose {
                x: Length::from_mm(middle.x - width * 0.5),
                y: Length::from_mm(middle.y - depth * 0.5),
                turn: self.floor.frame.turn + quarters,
            },
            size_mm: (width, depth),
            printers: choice.printers,
        }
    }
}

/// The kind to count in while the plan names none and holds no printer: the first open one of the stock list.
fn usual_printer(stock: &Stock) -> Option<KindId> {
    let open = stock.printers.iter().find(|(_, kind)| !kind.enclosed);
    open.map(|(id, _)| id.clone())
}

/// The racks that the search may put elsewhere.
pub(super) fn replaced(layout: &Layout, ask: &Ask) -> Vec<Id> {
    may_all_go(layout, ask.part).map(|part| part.id).collect()
}

/// The racks that a search of the layout's phase, or of that part of its floor, may put elsewhere: see [`may_go`].
pub fn may_all_go(
    layout: &Layout,
    floor: Option<(Point, Point)>,
) -> impl Iterator<Item = &Arc<Part>> {
    let racks = layout.of_kind(ItemKind::Rack);
    racks.filter(move |part| may_go(layout, floor, part))
}

/// True where a search of the layout's phase, or of that part of its floor, may put the rack elsewhere: it is loose, and
/// stands wholly in the part.
pub fn may_go(layout: &Layout, floor: Option<(Point, Point)>, rack: &Part) -> bool {
    is_loose(layout.plan(), layout.phase(), rack.id)
        && floor.is_none_or(|corners| stands_in(rack, corners))
}

/// True where a rack arrives in that phase and is not pinned: a search of the phase may put it elsewhere.
pub fn is_loose(plan: &Plan, phase: PhaseNo, rack: Id) -> bool {
    plan.rack(rack)
        .is_some_and(|r| r.presence.arrives == phase && !r.presence.pinned)
}

fn stands_in(part: &Part, (a, b): (Point, Point)) -> bool {
    let (low, high) = (a.min(b), a.max(b));
    part.solid.as_ref().is_some_and(|solid| {
        let bounds = solid.shape.bounds();
        (bounds.low - low).min_element() >= -TOLERANCE_MM
            && (high - bounds.high).min_element() >= -TOLERANCE_MM
    })
}

/// The plan without those racks, the printers in them and the UPS at their feet.
pub(super) fn without(
    library: &Library,
    plan: &Arc<Plan>,
    racks: &[Id],
) -> Result<Arc<Plan>, Unfillable> {
    if racks.is_empty() {
        return Ok(Arc::clone(plan));
    }
    plan.edited(&library.stock, &Edit::Remove(racks.to_vec()))
        .map(Arc::new)
        .map_err(|refused| Unfillable::Faulty(refused.to_string()))
}

/// The things that must also fit and have no place kept for them yet.
fn things_to_place(layout: &Layout) -> Vec<Choice> {
    let Ok(kind) = KindId::new("must-fit") else {
        unreachable!("small letters and a hyphen name a kind")
    };
    let kept: BTreeSet<&str> = layout
        .of_kind(ItemKind::Zone)
        .filter_map(|part| layout.plan().floor_kept(part.id))
        .map(|(thing, _)| thing.name.as_str())
        .collect();
    let list = &layout.plan().head().must_fit;
    list.iter()
        .filter(|thing| !kept.contains(thing.name.as_str()))
        .map(|thing| Choice::must(thing, &kind))
        .collect()
}

/// The choices without those that another can stand in for, and how many of the rest are too many to be told apart.
fn worth_trying(staying: &Staying, racks: &[Choice], things: Vec<Choice>) -> (Vec<Choice>, usize) {
    let stands_in = |a: &Choice, b: &Choice| a.replaces(b, staying.stops_more(a, b));
    // Of two that can stand in for each other the first is kept.
    let spare = |k: usize, rack: &Choice| {
        racks.iter().enumerate().any(|(j, other)| {
            j != k && stands_in(other, rack) && (j < k || !stands_in(rack, other))
        })
    };
    let mut kept: Vec<Choice> = racks
        .iter()
        .enumerate()
        .filter(|(k, rack)| !spare(*k, rack))
        .map(|(_, rack)| rack.clone())
        .collect();
    let room = KINDS_MOST.saturating_sub(things.len());
    let left_out = kept.len().saturating_sub(room);
    if left_out > 0 {
        let area = |c: &Choice| c.width.mm() * c.depth.mm();
        kept.sort_by(|a, b| {
            let more = b.printers.cmp(&a.printers);
            more.then(area(a).total_cmp(&area(b)))
        });
        kept.truncate(room);
    }
    kept.extend(things);
    (kept, left_out)
}

/// Where the walker comes in, and whether there is any way out to be judged.
fn starts(layout: &Layout, floor: &Floor) -> (Vec<Start>, bool) {
    let side = layout.limits().aisle.value.units();
    let ways: Vec<(&Part, &Doorway)> = layout
        .of_kind(ItemKind::Door)
        .filter(|part| match layout.plan().items().get(part.id) {
            Some(Item::Door(door)) => door.way_out,
            _ => false,
        })
        .filter_map(|part| Some((part.as_ref(), part.doorway.as_ref()?)))
        .collect();
    let starts = ways
        .iter()
        .filter_map(|(part, door)| start(layout, floor, part, door, side))
        .collect();
    (starts, !ways.is_empty())
}

/// The low corners of a square of that side which touches a door's wall from inside and covers the opening, or lies within
/// it where the opening is wider. At an oblique wall the square that touches the opening's middle with a corner.
fn start(layout: &Layout, floor: &Floor, part: &Part, door: &Doorway, side: i64) -> Option<Start> {
    let place = layout.plan().items().get(part.id)?.wall_place()?;
    let (a, b) = door.opening;
    let (a, b) = (floor.frame.place(a), floor.frame.place(b));
    let corners = floor.wall_line(usize::from(place.wall)).map_or_else(
        || before_middle(a, b, side),
        |line| before_opening(line, a, b, side),
    );
    let most = (floor.size.0 - side, floor.size.1 - side);
    let corners = Rect {
        x0: corners.x0.max(0),
        y0: corners.y0.max(0),
        x1: corners.x1.min(most.0),
        y1: corners.y1.min(most.1),
    };
    (corners.x0 <= corners.x1 && corners.y0 <= corners.y1).then_some(Start { corners })
}

/// The low corner of the square that touches the middle of an opening in an oblique wall with its own corner.
fn before_middle(a: Point, b: Point, side: i64) -> Rect {
    let (middle, inward) = (a.midpoint(b), (b - a).perp());
    let low = |middle: f64, inward: f64| {
        if inward > 0.0 {
            frame::over(middle)
        } else {
            frame::under(middle) - side
        }
    };
    Rect::sized(low(middle.x, inward.x), low(middle.y, inward.y), 0, 0)
}

fn before_opening(line: WallLine, a: Point, b: Point, side: i64) -> Rect {
    let (p, q) = if line.across { (a.x, b.x) } else { (a.y, b.y) };
    let (low, high) = (p.min(q), p.max(q));
    let wider = frame::over(high) - frame::under(low) > side;
    let (from, to) = if wider {
        (frame::over(low), frame::under(high) - side)
    } else {
        (frame::over(high) - side, frame::under(low))
    };
    let at = if line.low { line.at } else { line.at - side };
    let (x, y) = if line.across {
        ((from, to), (at, at))
    } else {
        ((at, at), (from, to))
    };
    Rect {
        x0: x.0,
        x1: x.1,
        y0: y.0,
        y1: y.1,
    }
}

/// What every answer to this question rests on.
fn assumptions(
    layout: &Layout,
    floor: &Floor,
    staying: &Staying,
    choices: &[Choice],
    leading: &KindId,
) -> Vec<String> {
    let practice = layout.plan().practice();
    let stock = layout.stock();
    let aisle = layout.limits().aisle.value.shown(practice);
    let named: BTreeSet<&KindId> = choices
        .iter()
        .filter(|c| c.must.is_none())
        .map(|c| &c.kind)
        .collect();
    let racks: Vec<&str> = named
        .into_iter()
        .filter_map(|id| stock.racks.get(id).map(|k| k.name.as_str()))
        .collect();
    let printer = stock.printers.get(leading).map_or("", |k| k.name.as_str());
    let mut said = vec![
        "which cords reach, UPS and floor load are not judged: wire the phase when the racks stand"
            .to_owned(),
        format!("counted in {leading} ({printer})"),
        format!("racks allowed: {}", racks.join(", ")),
        "racks stand parallel to the room's main direction".to_owned(),
        format!("aisle {aisle}, kept before every face"),
        format!("ways are those of a square cart of {aisle} that does not turn"),
        "door swings and hard air count as the lattice cells that they touch".to_owned(),
        "hard air and wet floor stop whole racks, not only the printers in them; nothing shades hard air"
            .to_owned(),
    ];
    said.extend(what_is_not_weighed(layout, choices, leading));
    said.extend(what_is_reserved(layout, choices));
    said.extend(what_stays(layout));
    if staying.odd {
        said.push(
            "what stands at an odd angle counts as the lattice cells that it touches, so no more is proved than that lattice holds"
                .to_owned(),
        );
    }
    if floor.straightened {
        said.push("walls and bodies a hair out of square count as straight".to_owned());
    }
    said.extend(staying.unknown.iter().cloned());
    said
}

/// The least of those that are sure.
fn least(budgets: &[(Carrier, Carried)]) -> Option<Budget> {
    let sure = budgets
        .iter()
        .filter_map(|(carrier, carried)| match carried {
            Carried::More(printers) => Some(Budget {
                carrier: *carrier,
                printers: *printers,
            }),
            Carried::Nothing | Carried::Unsure(_) => None,
        });
    sure.min_by_key(|budget| budget.printers)
}

/// What cooling or power has to do with the count.
fn what_is_carried(layout: &Layout, by: Carrier, carried: &Carried) -> Option<String> {
    let (when, nothing) = match by {
        Carrier::Cooling => (" on the hottest day", "the cooling bounds nothing here"),
        Carrier::Circuits => ("", "the circuits bound nothing here"),
        Carrier::Supply => ("", "the supply bounds nothing here"),
    };
    match carried {
        Carried::Nothing => None,
        Carried::More(more) => {
            let all = layout.printers().count() + usize::try_from(*more).unwrap_or(0);
            Some(format!(
                "no more printers are placed than {}{when}: {all} in all; racks beyond that are left out, or in part empty",
                by.words()
            ))
        }
        Carried::Unsure(why) => Some(format!("{nothing}: {why}")),
    }
}

/// That racks may bear less than they are given, where a figure is missing.
fn what_is_not_weighed(layout: &Layout, choices: &[Choice], leading: &KindId) -> Option<String> {
    let printer = layout.stock().printers.get(leading)?;
    let missing = kinds::not_weighed(layout.stock(), choices, printer);
    let missing: Vec<&str> = missing.iter().map(String::as_str).collect();
    (!missing.is_empty()).then(|| {
        format!(
            "racks are held to their ratings as far as these are known; not entered: {}",
            missing.join(", ")
        )
    })
}

/// What floor is kept for other things than racks.
fn what_is_reserved(layout: &Layout, choices: &[Choice]) -> Vec<String> {
    let things: Vec<String> = choices
        .iter()
        .filter_map(|c| c.must.as_ref().map(|thing| thing.name.to_string()))
        .collect();
    let zones: Vec<String> = layout
        .parts()
        .filter(|part| {
            part.zone.as_ref().is_some_and(|zone| {
                zone.purpose == ZoneUse::KeepClear || zone.is_wet_in(layout.phase())
            })
        })
        .map(|part| part.id.to_string())
        .collect();
    let panels: Vec<String> = layout
        .of_kind(ItemKind::Panel)
        .map(|part| part.id.to_string())
        .collect();
    let kept = |what: &str, names: Vec<String>| {
        (!names.is_empty()).then(|| format!("{what} {}", names.join(", ")))
    };
    [
        kept("room is kept for", things),
        kept("kept clear: zones", zones),
        kept(
            "the working space lies where it takes the least floor along the wall of panel",
            panels,
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The racks that stay.
fn what_stays(layout: &Layout) -> Option<String> {
    let racks = layout.of_kind(ItemKind::Rack).count();
    let printers = layout.printers().count();
    (racks > 0).then(|| {
        format!(
            "{racks} racks with {printers} printers stay: locked in place, or of earlier phases"
        )
    })
}

/// What the question leaves aside.
fn what_is_left_out(layout: &Layout, ask: &Ask, left_out: usize, way_out: bool) -> Vec<String> {
    let mut said = Vec::new();
    if !way_out {
        said.push("no way out is marked, so ways are not judged".to_owned());
    }
    if ask.part.is_some() {
        said.push(
            "only a part of the floor is filled; racks that stand partly outside it stay"
                .to_owned(),
        );
    }
    if left_out > 0 {
        said.push(format!(
            "{left_out} rack kinds with few printers are not tried: at most {KINDS_MOST} are told apart"
        ));
    }
    let later = layout
        .plan()
        .items()
        .iter()
        .any(|(_, item)| item.kind() == ItemKind::Rack && item.presence().arrives > ask.phase);
    if later {
        said.push("racks of later phases are not looked at".to_owned());
    }
    said
}
