//! The plan: **the** document. One room, its fixed things, what is placed in it, circuits, phases, limits.
//!
//! A plan is an immutable value: an [`Edit`] makes a new one, sharing what did not change. It holds what the owner
//! decided and nothing computed. Only [`Session`] holds *the* document and its history.

mod audit;
mod change;
mod circuit;
mod copies;
mod demand;
mod edit;
mod family;
mod fastened;
mod heat;
mod id;
mod items;
mod kept;
mod label;
mod levels;
mod library;
mod limits;
mod must_fit;
mod operator;
mod own_kinds;
mod phase;
mod place;
mod printer;
mod relocate;
mod replace;
mod room;
mod session;
mod shorter;
mod slip;
mod supply;
mod survey;
mod tracing;
mod walk;
mod walk_text;
mod walls;

pub use audit::Fault;
pub use change::Change;
pub use circuit::{Circuit, CircuitBuild, Conductor, Curve, Protection, SupplyLeg, System};
pub use copies::Copies;
pub use demand::{Agreed, Answers, Demand, Question};
pub use edit::{Edit, OwnFamily, OwnKind, Record, Refused};
pub use family::{FAMILY_MOST, Family};
pub use heat::{Beyond, Glass, Heat, OutdoorAir, Side};
pub use id::{Id, IdError, Prefix};
pub use items::{
    Blow, Camera, Column, CoolingUnit, Dimension, Door, End, Fan, Fitting, FittingUse, Furniture,
    FurnitureUse, Hinge, Item, ItemKind, Light, Note, NoteText, NoteTextError, Outlet, Overhead,
    OverheadUse, Panel, Rack, Receptacle, Spot, Swing, Ups, UpsPlace, Window, Zone, ZoneUse,
};
pub use label::{Label, LabelError};
pub use library::{Library, LibraryFault};
pub use limits::{
    Limit, LimitChange, LimitChanges, LimitRow, Limits, ProfileFault, Profiles, Sure,
};
pub use must_fit::MustFit;
pub use operator::{Body, Operator};
pub use own_kinds::KindStays;
pub use phase::{Phase, PhaseNo};
pub use place::{Pose, Presence, Status, WallEnd, WallPlace};
pub use printer::{Printer, SlotRef, SlotRefError};
pub use room::{Lies, Outline, Room, compass_word};
pub use session::Session;
pub use slip::{Mend, Slip, SlipKind};
pub use supply::{OtherLoad, Supply};
pub use survey::{Basis, Diagonal, Measured, Measurement, Survey, UNSTATED_TOLERANCE};
pub use tracing::{Picture, Tracing};
pub use walk::{Leg, TapeWalk};
pub use walk_text::{WalkTextError, WalkTextFault};
pub use walls::{Quarter, Rebuild, l_shape_at, rectangle_at};

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::stock::{KindId, Stock};
use crate::units::{Kilopascals, Practice};
use place::is_default;

/// What stands at the head of a plan.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Name of the plan.
    pub name: Label,
    /// How lengths are shown and which limits hold.
    #[serde(default)]
    pub practice: Practice,
    /// The system of the supply.
    #[serde(default)]
    pub system: System,
    /// The count the owner hopes for.
    #[serde(default)]
    pub hoped_for: Option<u32>,
    /// The printer kind that ceilings are counted in; the commonest one where none is named.
    #[serde(default)]
    pub leading: Option<KindId>,
    /// Load that the floor is rated for, from the landlord or an engineer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_rating: Option<Kilopascals>,
    /// What must also fit in the room; at most [`MustFit::MOST`] things.
    #[serde(default, skip_serializing_if = "is_default")]
    pub must_fit: Vec<MustFit>,
    /// What the work takes.
    #[serde(default, skip_serializing_if = "is_default")]
    pub demand: Demand,
    /// What landlord, insurer and others answered.
    #[serde(default, skip_serializing_if = "is_default")]
    pub answers: Answers,
    /// The figures that the insurer agreed to.
    #[serde(default, skip_serializing_if = "is_default")]
    pub agreed: Agreed,
    /// Who reaches into the racks.
    #[serde(default, skip_serializing_if = "is_default")]
    pub operator: Operator,
}

/// The name under which an accepted finding is kept: its check and the marks it is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct AcceptKey(pub Label);

/// The document. See the module's own words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// The file format that this value is written as.
    format: u32,
    head: Arc<Head>,
    room: Arc<Room>,
    phases: Arc<Vec<Phase>>,
    #[serde(default, skip_serializing_if = "Family::is_empty")]
    items: Family<Item>,
    #[serde(default, skip_serializing_if = "Family::is_empty")]
    circuits: Family<Circuit>,
    #[serde(default, skip_serializing_if = "Family::is_empty")]
    printers: Family<Printer>,
    /// Kinds that the plan carries itself.
    #[serde(default, skip_serializing_if = "is_default")]
    kinds: Arc<Stock>,
    /// Limits that the plan changes.
    #[serde(default, skip_serializing_if = "is_default")]
    limits: Arc<LimitChanges>,
    /// What is said of the room's heat.
    #[serde(default, skip_serializing_if = "is_default")]
    heat: Arc<Heat>,
    /// What the building gives, and other loads.
    #[serde(default, skip_serializing_if = "is_default")]
    supply: Arc<Supply>,
    #[serde(default, skip_serializing_if = "is_default")]
    accepted: Arc<BTreeMap<AcceptKey, Label>>,
    /// The highest number ever used for each letter, so that a mark is never used twice.
    #[serde(default, skip_serializing_if = "is_default")]
    used: Arc<BTreeMap<Prefix, u32>>,
    /// Where the picture below lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tracing: Option<Arc<Tracing>>,
    /// A picture to trace; last, so that everything a person reads stands before it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    picture: Option<Picture>,
}

/// Marks that a plan has never used, one after another.
struct FreshMarks<'a> {
    plan: &'a Plan,
    /// The number given last, by letters.
    given: BTreeMap<Prefix, u32>,
}

impl<'a> FreshMarks<'a> {
    const fn of(plan: &'a Plan) -> Self {
        Self {
            plan,
            given: BTreeMap::new(),
        }
    }

    fn next(&mut self, prefix: Prefix) -> Id {
        let plan = self.plan;
        let last = self.given.entry(prefix);
        let last = last.or_insert_with(|| plan.last_number(prefix));
        *last = last.saturating_add(1);
        Id::new(prefix, *last)
    }
}

impl Plan {
    /// The newest file format.
    pub const FORMAT: u32 = 1;
    /// The letter of printers' marks.
    pub const PRINTER: Prefix = Prefix::one(b'P');
    /// The letter of circuits' marks.
    pub const CIRCUIT: Prefix = Prefix::one(b'C');

    /// A plan of an empty room with one phase.
    pub fn new(head: Head, room: Room) -> Self {
        Self {
            format: Self::FORMAT,
            head: Arc::new(head),
            room: Arc::new(room),
            phases: Arc::new(vec![Phase {
                name: Label::new("Phase 1").unwrap_or_default(),
            }]),
            items: Family::default(),
            circuits: Family::default(),
            printers: Family::default(),
            kinds: Arc::default(),
            limits: Arc::default(),
            heat: Arc::default(),
            supply: Arc::default(),
            accepted: Arc::default(),
            used: Arc::default(),
            tracing: None,
            picture: None,
        }
    }

    /// The head.
    pub fn head(&self) -> &Head {
        &self.head
    }

    /// How lengths are shown.
    pub fn practice(&self) -> Practice {
        self.head.practice
    }

    /// The room.
    pub fn room(&self) -> &Room {
        &self.room
    }

    /// The phases; phase 1 is the first.
    pub fn phases(&self) -> &[Phase] {
        &self.phases
    }

    /// The last phase.
    pub fn last_phase(&self) -> PhaseNo {
        PhaseNo(u8::try_from(self.phases.len()).unwrap_or(u8::MAX).max(1))
    }

    /// The items.
    pub fn items(&self) -> &Family<Item> {
        &self.items
    }

    /// The circuits.
    pub fn circuits(&self) -> &Family<Circuit> {
        &self.circuits
    }

    /// The printers.
    pub fn printers(&self) -> &Family<Printer> {
        &self.printers
    }

    /// The kinds that this plan carries itself.
    pub fn kinds(&self) -> &Stock {
        &self.kinds
    }

    /// The limits that this plan changes.
    pub fn limit_changes(&self) -> &LimitChanges {
        &self.limits
    }

    /// What is said of the room's heat.
    pub fn heat(&self) -> &Heat {
        &self.heat
    }

    /// What the building gives, and what hangs on circuits besides printers and UPS.
    pub fn supply(&self) -> &Supply {
        &self.supply
    }

    /// The accepted findings with their reasons.
    pub fn accepted(&self) -> &BTreeMap<AcceptKey, Label> {
        &self.accepted
    }

    /// The picture under the floor and where it lies, if there is one.
    pub fn traced(&self) -> Option<(&Tracing, &Picture)> {
        Some((self.tracing.as_deref()?, self.picture.as_ref()?))
    }

    /// The rack of that mark.
    pub fn rack(&self, id: Id) -> Option<&Rack> {
        match self.items.get(id)? {
            Item::Rack(rack) => Some(rack),
            Item::Door(_)
            | Item::Window(_)
            | Item::Column(_)
            | Item::Panel(_)
            | Item::Outlet(_)
            | Item::Cooling(_)
            | Item::Fitting(_)
            | Item::Overhead(_)
            | Item::Light(_)
            | Item::Camera(_)
            | Item::Furniture(_)
            | Item::Zone(_)
            | Item::Ups(_)
            | Item::Dimension(_)
            | Item::Note(_) => None,
        }
    }

    /// True where something carries this mark.
    pub fn has(&self, id: Id) -> bool {
        self.items.get(id).is_some()
            || self.printers.get(id).is_some()
            || self.circuits.get(id).is_some()
    }

    /// The next `count` marks with these letters, never used before.
    pub fn fresh(&self, prefix: Prefix, count: usize) -> Vec<Id> {
        let mut marks = FreshMarks::of(self);
        (0..count).map(|_| marks.next(prefix)).collect()
    }

    /// The highest number used with these letters, now or ever.
    fn last_number(&self, prefix: Prefix) -> u32 {
        let highest = |ids: &mut dyn Iterator<Item = Id>| {
            ids.filter(|id| id.prefix() == prefix).map(Id::number).max()
        };
        [
            highest(&mut self.items.iter().map(|(id, _)| id)),
            highest(&mut self.printers.iter().map(|(id, _)| id)),
            highest(&mut self.circuits.iter().map(|(id, _)| id)),
            self.used.get(&prefix).copied(),
        ]
        .into_iter()
        .flatten()
        .max()
        .unwrap_or(0)
    }

    /// Keeps the number of a mark as used.
    fn remember(&mut self, id: Id) {
        let known = self.used.get(&id.prefix()).copied().unwrap_or(0);
        if id.number() > known {
            Arc::make_mut(&mut self.used).insert(id.prefix(), id.number());
        }
    }
}
