//! The audit of a document: broken references and impossible shapes. The reader turns what it finds into a list of faults;
//! an edit that would cause one is refused.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;

use super::{
    Diagonal, End, Id, Item, ItemKind, Light, MustFit, Plan, Printer, Room, SlotRef, TapeWalk, Ups,
    UpsPlace, WallPlace, ZoneUse,
};
use crate::geometry::Point;
use crate::stock::{Battery, KindId, Runtime, Stock};
use crate::units::{Length, Ratio, nearest};

/// One fault of a document: what, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The field or mark it stands at, such as `items › R3`.
    pub path: String,
    /// What is wrong and what to do, in a sentence.
    pub text: String,
}

/// Where the faults of a room's outline stand.
const OUTLINE: &str = "room › outline";

impl Fault {
    /// True where the room's outline is at fault, and nothing in the room.
    pub fn is_of_outline(&self) -> bool {
        self.path == OUTLINE
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.text)
    }
}

/// The least and greatest size of a side of anything, in millimetres.
const SIDE_MM: (f64, f64) = (1.0, 100_000.0);

/// The longest diagonal, in millimetres.
const DIAGONAL_MOST_MM: f64 = 150_000.0;

/// The most printers that may be hoped for.
const HOPED_FOR_MOST: u32 = 100_000;

/// The thickest board or pad, in millimetres.
const THICK_MOST_MM: f64 = 300.0;

/// That there is no kind of that name, with the nearest that there is; `None` where there is one.
fn not_in_stock<K>(what: &str, id: &KindId, kinds: &BTreeMap<KindId, K>) -> Option<String> {
    if kinds.contains_key(id) {
        return None;
    }
    let meant = nearest(id.as_str(), kinds.keys().map(KindId::as_str));
    let meant = meant.map_or(String::new(), |word| format!("; did you mean {word}?"));
    Some(format!("there is no {what} {id} in stock{meant}"))
}

struct Audit<'a> {
    plan: &'a Plan,
    stock: Cow<'a, Stock>,
    faults: Vec<Fault>,
}

impl Plan {
    /// Every broken reference and impossible shape, in the order of the file.
    pub fn audit(&self, stock: &Stock) -> Vec<Fault> {
        let mut audit = Audit {
            plan: self,
            stock: if self.kinds.is_empty() {
                Cow::Borrowed(stock)
            } else {
                Cow::Owned(stock.with(&self.kinds))
            },
            faults: Vec::new(),
        };
        audit.head();
        audit.room();
        audit.heat();
        audit.supply();
        audit.phases();
        audit.kinds();
        for (id, item) in self.items.iter() {
            audit.item(id, item);
        }
        for (id, circuit) in self.circuits.iter() {
            audit.mark(id, Plan::CIRCUIT, "circuits");
            if let Some(panel) = circuit.panel {
                audit.refers(&Path("circuits", id), panel, &[ItemKind::Panel]);
            }
            for text in circuit.faults(self.head.system) {
                audit.fault(&Path("circuits", id), text);
            }
            audit.presence(&Path("circuits", id), &circuit.presence);
        }
        audit.printers();
        audit.picture();
        audit.faults
    }
}

/// Where a thing stands in the plan, written out only where there is a fault.
struct Path(&'static str, Id);

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} › {}", self.0, self.1)
    }
}

impl Audit<'_> {
    fn fault(&mut self, path: impl fmt::Display + Copy, text: String) {
        self.faults.push(Fault {
            path: path.to_string(),
            text,
        });
    }

    fn head(&mut self) {
        if self
            .plan
            .head()
            .hoped_for
            .is_some_and(|n| n > HOPED_FOR_MOST)
        {
            let text = format!("a room may be hoped to hold at most {HOPED_FOR_MOST} printers");
            self.fault("head › hoped_for", text);
        }
        self.operator();
        self.must_fit();
        if let Some(fault) = self.plan.head().demand.fault() {
            self.fault("head › demand", fault.to_owned());
        }
    }

    fn operator(&mut self) {
        let operator = self.plan.head().operator;
        for (name, measured) in [("grip", operator.grip), ("shoulder", operator.shoulder)] {
            if let Some(height) = measured {
                let path = format!("head › operator › {name}");
                self.side(&path, "the height", height);
            }
        }
        if let Some(fault) = operator.fault() {
            self.fault("head › operator", fault.to_owned());
        }
    }

    fn must_fit(&mut self) {
        let things = self.plan.head().must_fit.clone();
        if things.len() > MustFit::MOST {
            let text = format!("at most {} things can be kept room for", MustFit::MOST);
            self.fault("head › must_fit", text);
        }
        for (k, thing) in things.iter().enumerate() {
            let path = format!("head › must_fit › {}", k + 1);
            if thing.name.is_empty() {
                self.fault(&path, "it has no name; give it one".to_owned());
            }
            if things.iter().take(k).any(|other| other.name == thing.name) {
                let text = format!("the name {} stands here twice; change one", thing.name);
                self.fault(&path, text);
            }
            self.side(&path, "the width", thing.width);
            self.side(&path, "the depth", thing.depth);
            self.side(&path, "the height", thing.height);
        }
    }

    fn room(&mut self) {
        let plan = self.plan;
        let room = plan.room();
        let corners = room.walls();
        if !(3..=Room::CORNERS_MOST).contains(&corners) {
            self.fault(
                OUTLINE,
                format!(
                    "a room has 3 to {} corners; this one has {corners}",
                    Room::CORNERS_MOST
                ),
            );
            return;
        }
        self.measurements(room);
        self.side("room › ceiling", "the ceiling's height", room.ceiling);
        if room.wall < Length::ZERO || room.wall.mm() > 5_000.0 {
            self.fault("room › wall", "a wall is 0 to 5 m thick".to_owned());
        }
        if usize::from(room.datum) >= corners {
            let text = format!(
                "there is no corner {}; the last is {}",
                room.datum,
                corners - 1
            );
            self.fault("room › datum", text);
        }
        let Some(polygon) = room.polygon() else {
            return;
        };
        if let Some((i, j)) = polygon.crossing() {
            self.fault(
                OUTLINE,
                format!("walls {i} and {j} cross or touch; the walls must go round once"),
            );
        } else if polygon.area() <= 0.0 {
            self.fault(
                OUTLINE,
                "the corners go round clockwise; list them anticlockwise".to_owned(),
            );
        }
    }

    /// The walk and the diagonals of a room.
    fn measurements(&mut self, room: &Room) {
        for text in room.tape_walk().map_or_else(Vec::new, TapeWalk::faults) {
            self.fault(OUTLINE, text);
        }
        if room.diagonals.len() > Diagonal::MOST {
            let text = format!("at most {} diagonals can be kept", Diagonal::MOST);
            self.fault("room › diagonals", text);
        }
        let corners = room.walls();
        for (k, d) in room.diagonals.iter().enumerate() {
            let path = format!("room › diagonals › {k}");
            let (from, to) = (usize::from(d.from), usize::from(d.to));
            if from.max(to) >= corners {
                let text = format!(
                    "there is no corner {}; the last is {}",
                    from.max(to),
                    corners - 1
                );
                self.fault(&path, text);
            } else if from == to || (from + 1) % corners == to || (to + 1) % corners == from {
                let text = format!(
                    "corners {from} and {to} are no two ends of a diagonal; name two with another between them"
                );
                self.fault(&path, text);
            }
            if d.length.mm() < SIDE_MM.0 || d.length.mm() > DIAGONAL_MOST_MM {
                self.fault(&path, "a diagonal is 1 mm to 150 m long".to_owned());
            }
        }
    }

    /// The picture under the floor: both its parts, or none.
    fn picture(&mut self) {
        let plan = self.plan;
        match (&plan.tracing, &plan.picture) {
            (None, None) => {}
            (Some(tracing), Some(picture)) => {
                for text in tracing.faults() {
                    self.fault("tracing", text);
                }
                if let Some(text) = picture.fault() {
                    self.fault("picture", text);
                }
            }
            (Some(_), None) => {
                let text = "there is no picture to lie there; take `tracing` out";
                self.fault("tracing", text.to_owned());
            }
            (None, Some(_)) => {
                let text = "nothing says where it lies; take it out, or give its `tracing`";
                self.fault("picture", text.to_owned());
            }
        }
    }

    fn supply(&mut self) {
        let plan = self.plan;
        for text in plan.supply().faults() {
            self.fault("supply", text);
        }
        for load in &plan.supply().loads {
            if let Some(circuit) = load.circuit
                && plan.circuits().get(circuit).is_none()
            {
                self.fault(
                    "supply.loads",
                    format!(
                        "{} hangs on {circuit}, and there is no such circuit; name one that there is, or none",
                        load.name
                    ),
                );
            }
            if load.arrives > plan.last_phase() {
                self.fault(
                    "supply.loads",
                    format!(
                        "{} arrives in a phase that the plan does not have",
                        load.name
                    ),
                );
            }
        }
    }

    fn heat(&mut self) {
        let plan = self.plan;
        for text in plan.heat().faults(plan.room().walls()) {
            self.fault("heat", text);
        }
    }

    fn phases(&mut self) {
        let count = self.plan.phases().len();
        if !(1..=50).contains(&count) {
            self.fault(
                "phases",
                format!("a plan has 1 to 50 phases; this one has {count}"),
            );
        }
    }

    fn kinds(&mut self) {
        let kinds = self.plan.kinds().clone();
        for (id, k) in &kinds.printers {
            let path = format!("kinds › printers › {id}");
            self.side(&path, "the width", k.width);
            self.side(&path, "the depth", k.depth);
            self.side(&path, "the height", k.height);
            if let Some(factor) = k.power_factor.map(Ratio::value)
                && (factor <= 0.0 || factor > 1.0)
            {
                let text = "a power factor lies above 0 and up to 1; take it from a plug-in meter";
                self.fault(&path, text.to_owned());
            }
        }
        for (id, k) in &kinds.racks {
            let path = format!("kinds › racks › {id}");
            self.side(&path, "the width", k.width);
            self.side(&path, "the depth", k.depth);
            self.side(&path, "the height", k.height);
            self.levels(&path, &k.levels);
            self.told(&path, not_in_stock("board", &k.board, &self.stock.boards));
        }
        for (id, k) in &kinds.boards {
            let path = format!("kinds › boards › {id}");
            self.thickness(&path, "a board", k.thickness);
        }
        for (id, k) in &kinds.pads {
            let path = format!("kinds › pads › {id}");
            self.thickness(&path, "a pad", k.thickness);
            if k.compressed
                .is_some_and(|c| c < Length::ZERO || c > k.thickness)
            {
                let text = "under a printer a pad is no thicker than with nothing on it";
                self.fault(&path, text.to_owned());
            }
        }
        for (id, k) in &kinds.cooling {
            let path = format!("kinds › cooling › {id}");
            self.side(&path, "the width", k.width);
            self.side(&path, "the depth", k.depth);
            self.side(&path, "the height", k.height);
            self.side(&path, "the outlet's width", k.outlet_width);
            self.side(&path, "the outlet's height", k.outlet_height);
            if k.sensible_share.is_some_and(|share| share.value() > 1.0) {
                let text = "the sensible share is at most the whole capacity: 100%";
                self.fault(&path, text.to_owned());
            }
        }
        for (id, k) in &kinds.lights {
            let path = format!("kinds › lights › {id}");
            self.side(&path, "the width", k.width);
            self.side(&path, "the depth", k.depth);
            self.side(&path, "the height", k.height);
        }
        for (id, k) in &kinds.cameras {
            let path = format!("kinds › cameras › {id}");
            self.side(&path, "the side", k.side);
            if let Some(range) = k.range {
                self.side(&path, "how far it sees", range);
            }
            for (what, angle) in [("across", k.view_across), ("from top to bottom", k.view_up)] {
                if angle.is_some_and(|a| a.degrees() <= 0.0 || a.degrees() >= 180.0) {
                    let text =
                        format!("the angle seen {what} is more than 0 and less than 180 degrees");
                    self.fault(&path, text);
                }
            }
        }
        for (id, k) in &kinds.ups {
            let path = format!("kinds › ups › {id}");
            self.side(&path, "the width", k.width);
            self.side(&path, "the depth", k.depth);
            self.side(&path, "the height", k.height);
            self.told(&path, Runtime::fault(&k.runtimes));
            for text in k.battery.iter().flat_map(Battery::faults) {
                self.fault(&path, text.to_owned());
            }
        }
    }

    /// A light hangs under the ceiling, and its run comes to an end.
    fn light(&mut self, path: impl fmt::Display + Copy, id: Id, light: &Light) {
        self.told(path, not_in_stock("light", &light.kind, &self.stock.lights));
        self.between(path, "its lower edge hangs", light.bottom);
        let lights = self.plan.items();
        let fed_from = |id: Id| match lights.get(id) {
            Some(Item::Light(l)) => l.linked_to,
            _ => None,
        };
        if let Some(from) = light.linked_to {
            if !matches!(lights.get(from), Some(Item::Light(_))) {
                self.fault(path, format!("it is linked to {from}, which is no light"));
            }
            let run = std::iter::successors(Some(from), |next| fed_from(*next));
            if run.take(lights.len()).any(|before| before == id) {
                self.fault(
                    path,
                    "its run of linked lights leads back to itself; give one of them a feed of its own".to_owned(),
                );
            }
        }
    }

    fn between(&mut self, path: impl fmt::Display + Copy, what: &str, height: Length) {
        if height < Length::ZERO || height >= self.plan.room().ceiling {
            self.fault(path, format!("{what} between floor and ceiling"));
        }
    }

    fn levels(&mut self, path: impl fmt::Display + Copy, levels: &[crate::stock::LevelKind]) {
        if levels.len() > 20 {
            self.fault(path, "a rack has at most 20 levels".to_owned());
        }
        let rising = levels.windows(2).all(|w| match w {
            [a, b] => a.height < b.height,
            _ => true,
        });
        if !rising || levels.iter().any(|l| l.height < Length::ZERO) {
            self.fault(
                path,
                "levels stand above the floor, lowest first".to_owned(),
            );
        }
        for level in levels {
            if let Some(board) = &level.board {
                self.told(path, not_in_stock("board", board, &self.stock.boards));
            }
            if let Some(pad) = &level.pad {
                self.told(path, not_in_stock("pad", pad, &self.stock.pads));
            }
            if let Some(thickness) = level.thickness {
                self.thickness(path, "a board", thickness);
            }
        }
        if levels.iter().any(|l| l.slots > 40) {
            self.fault(path, "a level takes at most 40 printers".to_owned());
        }
    }

    /// A fault where there is one to tell.
    fn told(&mut self, path: impl fmt::Display + Copy, text: Option<String>) {
        if let Some(text) = text {
            self.fault(path, text);
        }
    }

    fn thickness(&mut self, path: impl fmt::Display + Copy, what: &str, thickness: Length) {
        if thickness.mm() < SIDE_MM.0 || thickness.mm() > THICK_MOST_MM {
            let text = format!("{what} is 1 to {THICK_MOST_MM:.0} mm thick");
            self.fault(path, text);
        }
    }

    fn item(&mut self, id: Id, item: &Item) {
        let path = Path("items", id);
        self.mark(id, item.kind().prefix(), "items");
        self.presence(&path, item.presence());
        match item {
            Item::Door(d) => {
                self.side(&path, "the height", d.height);
                self.on_wall(&path, d.at, Some(d.width));
            }
            Item::Window(w) => {
                if w.sill < Length::ZERO || w.head <= w.sill {
                    self.fault(
                        &path,
                        "the head stands above the sill, both above the floor".to_owned(),
                    );
                }
                self.on_wall(&path, w.at, Some(w.width));
            }
            Item::Column(c) => {
                self.side(&path, "the width", c.width);
                self.side(&path, "the depth", c.depth);
            }
            Item::Panel(p) => {
                self.side(&path, "the height", p.height);
                self.side(&path, "the depth", p.depth);
                self.on_wall(&path, p.at, Some(p.width));
            }
            Item::Outlet(o) => {
                self.on_wall(&path, o.at, None);
                if let Some(circuit) = o.circuit
                    && self.plan.circuits().get(circuit).is_none()
                {
                    self.fault(
                        &path,
                        format!("there is no circuit {circuit}; name one that there is, or none"),
                    );
                }
            }
            Item::Cooling(c) => {
                match self.stock.cooling.get(&c.kind).map(|k| k.width) {
                    Some(width) => self.on_wall(&path, c.at, Some(width)),
                    None => self.told(
                        &path,
                        not_in_stock("cooling unit", &c.kind, &self.stock.cooling),
                    ),
                }
                if let Some(fault) = c.blow.fault() {
                    self.fault(&path, fault.to_owned());
                }
            }
            Item::Fitting(f) => {
                self.side(&path, "the height", f.height);
                if f.depth < Length::ZERO || f.bottom < Length::ZERO {
                    self.fault(
                        &path,
                        "it stands out into the room, above the floor".to_owned(),
                    );
                }
                self.on_wall(&path, f.at, Some(f.width));
            }
            Item::Overhead(o) => {
                self.side(&path, "the width", o.width);
                self.side(&path, "the depth", o.depth);
                self.between(&path, "its lower edge hangs", o.bottom);
            }
            Item::Light(l) => self.light(&path, id, l),
            Item::Camera(c) => {
                self.told(&path, not_in_stock("camera", &c.kind, &self.stock.cameras));
                self.between(&path, "its lens hangs", c.height);
            }
            Item::Furniture(f) => {
                self.side(&path, "the width", f.width);
                self.side(&path, "the depth", f.depth);
                self.side(&path, "the height", f.height);
            }
            Item::Zone(z) => {
                self.side(&path, "the width", z.width);
                self.side(&path, "the depth", z.depth);
                if z.high.is_some_and(|high| high <= z.low) {
                    self.fault(
                        &path,
                        "the upper edge stands above the lower one".to_owned(),
                    );
                }
                let last = self.plan.phases().len();
                if let ZoneUse::Wet { dry_from: Some(n) } = z.purpose
                    && !(1..=last).contains(&usize::from(n.0))
                {
                    let text = format!(
                        "it is to be dry from phase {n}; there is no phase {n}, the last is {last}"
                    );
                    self.fault(&path, text);
                }
            }
            Item::Rack(r) => {
                self.told(&path, not_in_stock("rack", &r.kind, &self.stock.racks));
                self.levels(&path, &r.levels);
            }
            Item::Ups(u) => self.ups(&path, u),
            Item::Dimension(d) => {
                if d.from.is_square() && d.to.is_square() {
                    let text = "only one of its ends can lie square across from the other";
                    self.fault(&path, text.to_owned());
                }
                if d.offset.mm().abs() > SIDE_MM.1 {
                    let text = "its line stands at most 100 m off its ends";
                    self.fault(&path, text.to_owned());
                }
                d.ends().into_iter().for_each(|end| self.end(&path, end));
            }
            Item::Note(n) => n.pointer.into_iter().for_each(|end| self.end(&path, end)),
        }
    }

    /// What an end is fastened to is there, and can be fastened to.
    fn end(&mut self, path: impl fmt::Display + Copy, end: End) {
        if let Some(id) = end.thing() {
            match self.plan.items().get(id).map(Item::kind) {
                None => self.fault(
                    path,
                    format!("there is no {id} that it is fastened to; fasten it to something else, or take it out"),
                ),
                Some(kind) if kind.is_written() => self.fault(
                    path,
                    format!("nothing can be fastened to {id}, which is a {}", kind.word()),
                ),
                Some(_) => {}
            }
        }
        let walls = self.plan.room().walls();
        if let Some(wall) = end.wall()
            && usize::from(wall) >= walls
        {
            let last = walls.saturating_sub(1);
            self.fault(path, format!("there is no wall {wall}; the last is {last}"));
        }
        if let End::Wall(at) = end
            && at.along < Length::ZERO
        {
            let text = "a point on a wall lies beyond the corner that the wall begins at";
            self.fault(path, text.to_owned());
        }
    }

    fn ups(&mut self, path: impl fmt::Display + Copy, ups: &Ups) {
        self.told(path, not_in_stock("UPS", &ups.kind, &self.stock.ups));
        if let UpsPlace::OnRack(rack) = ups.stands {
            self.refers(path, rack, &[ItemKind::Rack]);
        }
        let is_ups = |id: &Id| matches!(self.plan.items().get(*id), Some(Item::Ups(_)));
        if let Some(other) = ups.outlet.filter(is_ups) {
            let text = format!(
                "it is plugged into {other}, and a UPS is never plugged into another; plug it into an outlet"
            );
            self.fault(path, text);
        } else if let Some(outlet) = ups.outlet {
            self.refers(path, outlet, &[ItemKind::Outlet]);
        }
    }

    fn printers(&mut self) {
        let mut taken: BTreeMap<SlotRef, Vec<(Id, &Printer)>> = BTreeMap::new();
        let plan = self.plan;
        for (id, printer) in plan.printers().iter() {
            let path = Path("printers", id);
            self.mark(id, Plan::PRINTER, "printers");
            self.presence(&path, &printer.presence);
            self.told(
                &path,
                not_in_stock("printer", &printer.kind, &self.stock.printers),
            );
            self.slot(&path, printer.slot);
            if let Some(power) = printer.power {
                self.refers(&path, power, &[ItemKind::Ups, ItemKind::Outlet]);
            }
            let others = taken.entry(printer.slot).or_default();
            if let Some((other, _)) = others.iter().find(|(_, o)| both_there(o, printer)) {
                let text = format!(
                    "{} holds {other} already in the same phase; give one of them another place",
                    printer.slot
                );
                self.fault(&path, text);
            }
            others.push((id, printer));
        }
    }

    fn slot(&mut self, path: impl fmt::Display + Copy, slot: SlotRef) {
        let Some(Item::Rack(rack)) = self.plan.items().get(slot.rack) else {
            self.fault(
                path,
                format!(
                    "there is no rack {}; name a place on one that there is",
                    slot.rack
                ),
            );
            return;
        };
        let Some(kind) = self.stock.racks.get(&rack.kind) else {
            return;
        };
        let slots = rack
            .levels(kind)
            .get(usize::from(slot.level.saturating_sub(1)))
            .map_or(0, |l| l.slots);
        if slot.level == 0 || slot.place == 0 || slot.place > slots {
            self.fault(
                path,
                format!("{} has no place {slot}; name one that it has", slot.rack),
            );
        }
    }

    fn mark(&mut self, id: Id, right: super::Prefix, family: &'static str) {
        if id.prefix() != right {
            let text =
                format!("the marks of this kind begin with {right}; rename it, such as {right}1");
            self.fault(&Path(family, id), text);
        }
    }

    fn presence(&mut self, path: impl fmt::Display + Copy, presence: &super::Presence) {
        let last = self.plan.phases().len();
        let there = |p: super::PhaseNo| (1..=last).contains(&usize::from(p.0));
        if !there(presence.arrives) {
            let text = format!("there is no phase {}; the last is {last}", presence.arrives);
            self.fault(path, text);
        }
        if let Some(leaves) = presence.leaves
            && (!there(leaves) || leaves <= presence.arrives)
        {
            let text =
                format!("it cannot leave in phase {leaves}: that is no later phase of the plan");
            self.fault(path, text);
        }
        if let Some(from) = presence.moved_from
            && !self.plan.has(from)
        {
            self.fault(
                path,
                format!(
                    "there is no {from} that it moved from; name what it was, or leave that out"
                ),
            );
        }
    }

    fn refers(&mut self, path: impl fmt::Display + Copy, to: Id, kinds: &[ItemKind]) {
        let found = self.plan.items().get(to).map(Item::kind);
        if !found.is_some_and(|k| kinds.contains(&k)) {
            let words: Vec<_> = kinds.iter().map(|k| k.word()).collect();
            self.fault(
                path,
                format!(
                    "there is no {} {to}; name one that there is",
                    words.join(" or ")
                ),
            );
        }
    }

    /// A thing on a wall: the wall exists and the thing lies within its length.
    fn on_wall(&mut self, path: impl fmt::Display + Copy, at: WallPlace, width: Option<Length>) {
        if let Some(width) = width {
            self.side(path, "the width", width);
        }
        let side = self
            .plan
            .room()
            .polygon()
            .and_then(|p| p.side(usize::from(at.wall)));
        let Some((a, b)) = side else {
            let last = self.plan.room().walls().saturating_sub(1);
            self.fault(
                path,
                format!("there is no wall {}; the last is {last}", at.wall),
            );
            return;
        };
        let end = at.along.mm() + width.map_or(0.0, Length::mm);
        if at.along < Length::ZERO || end > Point::distance(a, b) + crate::geometry::TOLERANCE_MM {
            let text = format!(
                "it does not lie within wall {}, which is {:.0} mm long; move it, or measure the wall again",
                at.wall,
                a.distance(b)
            );
            self.fault(path, text);
        }
    }

    fn side(&mut self, path: impl fmt::Display + Copy, what: &str, side: Length) {
        if side.mm() < SIDE_MM.0 || side.mm() > SIDE_MM.1 {
            self.fault(path, format!("{what} must be 1 mm to 100 m"));
        }
    }
}

/// True where two printers are there in one phase.
fn both_there(a: &Printer, b: &Printer) -> bool {
    let starts = a.presence.arrives.max(b.presence.arrives);
    a.presence.holds_in(starts) && b.presence.holds_in(starts)
}
