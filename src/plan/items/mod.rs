//! The kinds of items of a plan, one file each. What depends on the kind is an exhaustive match, so that the compiler
//! names every place a new kind must be thought of.

mod camera;
mod column;
mod cooling;
mod dimension;
mod door;
mod fitting;
mod furniture;
mod light;
mod note;
mod outlet;
mod overhead;
mod panel;
mod rack;
mod ups;
mod window;
mod zone;

pub use camera::Camera;
pub use column::Column;
pub use cooling::{Blow, CoolingUnit, Fan};
pub use dimension::{Dimension, End, Spot};
pub use door::{Door, Hinge, Swing};
pub use fitting::{Fitting, FittingUse};
pub use furniture::{Furniture, FurnitureUse};
pub use light::Light;
pub use note::{Note, NoteText, NoteTextError};
pub use outlet::{Outlet, Receptacle};
pub use overhead::{Overhead, OverheadUse};
pub use panel::Panel;
pub use rack::Rack;
pub use ups::{Ups, UpsPlace};
pub use window::Window;
pub use zone::{Zone, ZoneUse};

use serde::{Deserialize, Serialize};

use super::{Id, Pose, Prefix, Presence, WallPlace};
use crate::stock::{KindId, Stock};
use crate::units::{Angle, Length};

/// One placed thing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Item {
    /// A door.
    Door(Door),
    /// A window.
    Window(Window),
    /// A column from floor to ceiling.
    Column(Column),
    /// An electrical panel.
    Panel(Panel),
    /// A mains outlet on a wall.
    Outlet(Outlet),
    /// A cooling unit on a wall.
    Cooling(CoolingUnit),
    /// A data point, extinguisher or radiator on a wall.
    Fitting(Fitting),
    /// A beam, pipe, sprinkler head or detector under the ceiling.
    Overhead(Overhead),
    /// A light under the ceiling.
    Light(Light),
    /// A camera.
    Camera(Camera),
    /// A drawn zone: keep clear, or wet.
    Zone(Zone),
    /// A rack.
    Rack(Rack),
    /// An uninterruptible supply.
    Ups(Ups),
    /// A bench, bin, cart or spool store.
    Furniture(Furniture),
    /// A dimension that is kept.
    Dimension(Dimension),
    /// A note.
    Note(Note),
}

/// The kinds of items, for lists and legends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ItemKind {
    /// See [`Item::Door`].
    Door,
    /// See [`Item::Window`].
    Window,
    /// See [`Item::Column`].
    Column,
    /// See [`Item::Panel`].
    Panel,
    /// See [`Item::Outlet`].
    Outlet,
    /// See [`Item::Cooling`].
    Cooling,
    /// See [`Item::Fitting`].
    Fitting(FittingUse),
    /// See [`Item::Overhead`].
    Overhead(OverheadUse),
    /// See [`Item::Light`].
    Light,
    /// See [`Item::Camera`].
    Camera,
    /// See [`Item::Zone`].
    Zone,
    /// See [`Item::Rack`].
    Rack,
    /// See [`Item::Ups`].
    Ups,
    /// See [`Item::Furniture`].
    Furniture(FurnitureUse),
    /// See [`Item::Dimension`].
    Dimension,
    /// See [`Item::Note`].
    Note,
}

impl ItemKind {
    /// All kinds, in the order of a legend.
    pub const ALL: [Self; 24] = [
        Self::Door,
        Self::Window,
        Self::Column,
        Self::Panel,
        Self::Outlet,
        Self::Cooling,
        Self::Fitting(FittingUse::DataPoint),
        Self::Fitting(FittingUse::Extinguisher),
        Self::Fitting(FittingUse::Radiator),
        Self::Overhead(OverheadUse::Beam),
        Self::Overhead(OverheadUse::Pipe),
        Self::Overhead(OverheadUse::Sprinkler),
        Self::Overhead(OverheadUse::Detector),
        Self::Light,
        Self::Camera,
        Self::Zone,
        Self::Rack,
        Self::Ups,
        Self::Furniture(FurnitureUse::Bench),
        Self::Furniture(FurnitureUse::Bin),
        Self::Furniture(FurnitureUse::Cart),
        Self::Furniture(FurnitureUse::SpoolStore),
        Self::Dimension,
        Self::Note,
    ];

    /// The letters of this kind's marks.
    pub fn prefix(self) -> Prefix {
        match self {
            Self::Door => Prefix::one(b'D'),
            Self::Window => Prefix::one(b'W'),
            Self::Column => Prefix::one(b'K'),
            Self::Panel => Prefix::one(b'E'),
            Self::Outlet => Prefix::one(b'O'),
            Self::Cooling => Prefix::one(b'A'),
            Self::Fitting(FittingUse::DataPoint) => Prefix::one(b'N'),
            Self::Fitting(FittingUse::Extinguisher) => Prefix::one(b'X'),
            Self::Fitting(FittingUse::Radiator) => Prefix::one(b'H'),
            Self::Overhead(OverheadUse::Beam) => Prefix::one(b'J'),
            Self::Overhead(OverheadUse::Pipe) => Prefix::one(b'L'),
            Self::Overhead(OverheadUse::Sprinkler) => Prefix::one(b'S'),
            Self::Overhead(OverheadUse::Detector) => Prefix::one(b'T'),
            Self::Light => Prefix::two(b'L', b'T'),
            Self::Camera => Prefix::two(b'C', b'M'),
            Self::Zone => Prefix::one(b'Z'),
            Self::Rack => Prefix::one(b'R'),
            Self::Ups => Prefix::one(b'U'),
            Self::Furniture(FurnitureUse::Bench) => Prefix::one(b'B'),
            Self::Furniture(FurnitureUse::Bin) => Prefix::two(b'B', b'N'),
            Self::Furniture(FurnitureUse::Cart) => Prefix::two(b'C', b'T'),
            Self::Furniture(FurnitureUse::SpoolStore) => Prefix::two(b'S', b'S'),
            Self::Dimension => Prefix::one(b'M'),
            Self::Note => Prefix::one(b'Q'),
        }
    }

    /// The word for one of them.
    pub fn word(self) -> &'static str {
        match self {
            Self::Door => "door",
            Self::Window => "window",
            Self::Column => "column",
            Self::Panel => "panel",
            Self::Outlet => "outlet",
            Self::Cooling => "cooling unit",
            Self::Fitting(FittingUse::DataPoint) => "data point",
            Self::Fitting(FittingUse::Extinguisher) => "extinguisher",
            Self::Fitting(FittingUse::Radiator) => "radiator",
            Self::Overhead(OverheadUse::Beam) => "beam",
            Self::Overhead(OverheadUse::Pipe) => "pipe",
            Self::Overhead(OverheadUse::Sprinkler) => "sprinkler head",
            Self::Overhead(OverheadUse::Detector) => "detector",
            Self::Light => "light",
            Self::Camera => "camera",
            Self::Zone => "zone",
            Self::Rack => "rack",
            Self::Ups => "UPS",
            Self::Furniture(FurnitureUse::Bench) => "bench",
            Self::Furniture(FurnitureUse::Bin) => "bin",
            Self::Furniture(FurnitureUse::Cart) => "cart",
            Self::Furniture(FurnitureUse::SpoolStore) => "spool store",
            Self::Dimension => "dimension",
            Self::Note => "note",
        }
    }

    /// True for what is only written on the floor: it has no body, and no check or count looks at it.
    pub fn is_written(self) -> bool {
        matches!(self, Self::Dimension | Self::Note)
    }
}

impl Item {
    /// Which kind of item this is.
    pub fn kind(&self) -> ItemKind {
        match self {
            Self::Door(_) => ItemKind::Door,
            Self::Window(_) => ItemKind::Window,
            Self::Column(_) => ItemKind::Column,
            Self::Panel(_) => ItemKind::Panel,
            Self::Outlet(_) => ItemKind::Outlet,
            Self::Cooling(_) => ItemKind::Cooling,
            Self::Fitting(i) => ItemKind::Fitting(i.purpose),
            Self::Overhead(i) => ItemKind::Overhead(i.purpose),
            Self::Light(_) => ItemKind::Light,
            Self::Camera(_) => ItemKind::Camera,
            Self::Zone(_) => ItemKind::Zone,
            Self::Rack(_) => ItemKind::Rack,
            Self::Ups(_) => ItemKind::Ups,
            Self::Furniture(i) => ItemKind::Furniture(i.purpose),
            Self::Dimension(_) => ItemKind::Dimension,
            Self::Note(_) => ItemKind::Note,
        }
    }

    /// When it is there, and how firmly.
    pub fn presence(&self) -> &Presence {
        match self {
            Self::Door(i) => &i.presence,
            Self::Window(i) => &i.presence,
            Self::Column(i) => &i.presence,
            Self::Panel(i) => &i.presence,
            Self::Outlet(i) => &i.presence,
            Self::Cooling(i) => &i.presence,
            Self::Fitting(i) => &i.presence,
            Self::Overhead(i) => &i.presence,
            Self::Light(i) => &i.presence,
            Self::Camera(i) => &i.presence,
            Self::Zone(i) => &i.presence,
            Self::Rack(i) => &i.presence,
            Self::Ups(i) => &i.presence,
            Self::Furniture(i) => &i.presence,
            Self::Dimension(i) => &i.presence,
            Self::Note(i) => &i.presence,
        }
    }

    /// The same, to be changed in an item that is about to be put into a plan.
    pub fn presence_mut(&mut self) -> &mut Presence {
        match self {
            Self::Door(i) => &mut i.presence,
            Self::Window(i) => &mut i.presence,
            Self::Column(i) => &mut i.presence,
            Self::Panel(i) => &mut i.presence,
            Self::Outlet(i) => &mut i.presence,
            Self::Cooling(i) => &mut i.presence,
            Self::Fitting(i) => &mut i.presence,
            Self::Overhead(i) => &mut i.presence,
            Self::Light(i) => &mut i.presence,
            Self::Camera(i) => &mut i.presence,
            Self::Zone(i) => &mut i.presence,
            Self::Rack(i) => &mut i.presence,
            Self::Ups(i) => &mut i.presence,
            Self::Furniture(i) => &mut i.presence,
            Self::Dimension(i) => &mut i.presence,
            Self::Note(i) => &mut i.presence,
        }
    }

    /// Its place on the floor, if it stands there by itself; a note is never turned. A dimension has no place of its own.
    pub fn pose(&self) -> Option<Pose> {
        match self {
            Self::Column(i) => Some(i.at),
            Self::Overhead(i) => Some(i.at),
            Self::Light(i) => Some(i.at),
            Self::Camera(i) => Some(i.at),
            Self::Furniture(i) => Some(i.at),
            Self::Zone(i) => Some(i.at),
            Self::Rack(i) => Some(i.at),
            Self::Ups(i) => match i.stands {
                UpsPlace::OnFloor(at) => Some(at),
                UpsPlace::OnRack(_) => None,
            },
            Self::Note(i) => Some(Pose {
                x: i.at.0,
                y: i.at.1,
                turn: Angle::default(),
            }),
            Self::Door(_)
            | Self::Window(_)
            | Self::Panel(_)
            | Self::Outlet(_)
            | Self::Cooling(_)
            | Self::Fitting(_)
            | Self::Dimension(_) => None,
        }
    }

    /// The item at another place on the floor; unchanged where it does not stand on the floor by itself.
    #[must_use]
    pub fn with_pose(&self, at: Pose) -> Self {
        let mut moved = self.clone();
        match &mut moved {
            Self::Column(i) => i.at = at,
            Self::Overhead(i) => i.at = at,
            Self::Light(i) => i.at = at,
            Self::Camera(i) => i.at = at,
            Self::Furniture(i) => i.at = at,
            Self::Zone(i) => i.at = at,
            Self::Rack(i) => i.at = at,
            Self::Ups(i) => {
                if matches!(i.stands, UpsPlace::OnFloor(_)) {
                    i.stands = UpsPlace::OnFloor(at);
                }
            }
            Self::Note(i) => i.at = (at.x, at.y),
            Self::Door(_)
            | Self::Window(_)
            | Self::Panel(_)
            | Self::Outlet(_)
            | Self::Cooling(_)
            | Self::Fitting(_)
            | Self::Dimension(_) => {}
        }
        moved
    }

    /// Its place on a wall, if it is fixed to one.
    pub fn wall_place(&self) -> Option<WallPlace> {
        match self {
            Self::Door(i) => Some(i.at),
            Self::Window(i) => Some(i.at),
            Self::Panel(i) => Some(i.at),
            Self::Outlet(i) => Some(i.at),
            Self::Cooling(i) => Some(i.at),
            Self::Fitting(i) => Some(i.at),
            Self::Column(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_)
            | Self::Dimension(_)
            | Self::Note(_) => None,
        }
    }

    /// Width along the wall of what is fixed to one; none for an outlet, whose place is its middle.
    pub fn wall_width(&self, stock: &Stock) -> Length {
        match self {
            Self::Door(i) => i.width,
            Self::Window(i) => i.width,
            Self::Panel(i) => i.width,
            Self::Fitting(i) => i.width,
            Self::Cooling(i) => stock
                .cooling
                .get(&i.kind)
                .map_or(Length::ZERO, |kind| kind.width),
            Self::Outlet(_)
            | Self::Column(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_)
            | Self::Dimension(_)
            | Self::Note(_) => Length::ZERO,
        }
    }

    /// Height above the floor at which a thing on a wall is measured: its lower edge, an outlet's middle, a door's threshold.
    pub fn wall_height(&self) -> Length {
        match self {
            Self::Window(i) => i.sill,
            Self::Panel(i) => i.bottom,
            Self::Outlet(i) => i.height,
            Self::Cooling(i) => i.bottom,
            Self::Fitting(i) => i.bottom,
            Self::Door(_)
            | Self::Column(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_)
            | Self::Dimension(_)
            | Self::Note(_) => Length::ZERO,
        }
    }

    /// Own height of a thing on a wall, from the height at which it is measured; none for an outlet.
    pub fn wall_rise(&self, stock: &Stock) -> Length {
        match self {
            Self::Door(i) => i.height,
            Self::Window(i) => i.head - i.sill,
            Self::Panel(i) => i.height,
            Self::Fitting(i) => i.height,
            Self::Cooling(i) => stock
                .cooling
                .get(&i.kind)
                .map_or(Length::ZERO, |kind| kind.height),
            Self::Outlet(_)
            | Self::Column(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_)
            | Self::Dimension(_)
            | Self::Note(_) => Length::ZERO,
        }
    }

    /// The item at another height on its wall; unchanged where its height is not free, as a door's is not.
    #[must_use]
    pub fn with_wall_height(&self, height: Length) -> Self {
        let mut moved = self.clone();
        match &mut moved {
            Self::Window(i) => {
                i.head = i.head - i.sill + height;
                i.sill = height;
            }
            Self::Panel(i) => i.bottom = height,
            Self::Outlet(i) => i.height = height,
            Self::Cooling(i) => i.bottom = height,
            Self::Fitting(i) => i.bottom = height,
            Self::Door(_)
            | Self::Column(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_)
            | Self::Dimension(_)
            | Self::Note(_) => {}
        }
        moved
    }

    /// The item at another place on a wall; unchanged where it is not fixed to one.
    #[must_use]
    pub fn with_wall_place(&self, at: WallPlace) -> Self {
        let mut moved = self.clone();
        match &mut moved {
            Self::Door(i) => i.at = at,
            Self::Window(i) => i.at = at,
            Self::Panel(i) => i.at = at,
            Self::Outlet(i) => i.at = at,
            Self::Cooling(i) => i.at = at,
            Self::Fitting(i) => i.at = at,
            Self::Column(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_)
            | Self::Dimension(_)
            | Self::Note(_) => {}
        }
        moved
    }

    /// The kind in the stock list that it is one of, if it comes from there.
    pub fn stock_kind(&self) -> Option<&KindId> {
        match self {
            Self::Rack(i) => Some(&i.kind),
            Self::Ups(i) => Some(&i.kind),
            Self::Cooling(i) => Some(&i.kind),
            Self::Light(i) => Some(&i.kind),
            Self::Camera(i) => Some(&i.kind),
            Self::Door(_)
            | Self::Window(_)
            | Self::Column(_)
            | Self::Panel(_)
            | Self::Outlet(_)
            | Self::Fitting(_)
            | Self::Overhead(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Dimension(_)
            | Self::Note(_) => None,
        }
    }

    /// The other things that this item rests on, hangs on or is fastened to, by mark.
    pub fn links(&self) -> Vec<Id> {
        match self {
            Self::Outlet(i) => i.circuit.into_iter().collect(),
            Self::Light(i) => i.linked_to.into_iter().collect(),
            Self::Ups(i) => {
                let stands = match i.stands {
                    UpsPlace::OnRack(rack) => Some(rack),
                    UpsPlace::OnFloor(_) => None,
                };
                stands.into_iter().chain(i.outlet).collect()
            }
            Self::Dimension(_) | Self::Note(_) => {
                self.ends().into_iter().filter_map(End::thing).collect()
            }
            Self::Door(_)
            | Self::Window(_)
            | Self::Column(_)
            | Self::Panel(_)
            | Self::Cooling(_)
            | Self::Fitting(_)
            | Self::Overhead(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_) => Vec::new(),
        }
    }

    /// The ends of a dimension or of a note's pointer; none of anything else.
    pub fn ends(&self) -> Vec<End> {
        match self {
            Self::Dimension(i) => i.ends().to_vec(),
            Self::Note(i) => i.pointer.into_iter().collect(),
            Self::Door(_)
            | Self::Window(_)
            | Self::Column(_)
            | Self::Panel(_)
            | Self::Outlet(_)
            | Self::Cooling(_)
            | Self::Fitting(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_) => Vec::new(),
        }
    }

    /// The item with each of those ends made anew.
    #[must_use]
    pub fn with_ends(&self, make: impl Fn(End) -> End) -> Self {
        let mut made = self.clone();
        match &mut made {
            Self::Dimension(i) => *i = i.with_ends(make),
            Self::Note(i) => i.pointer = i.pointer.map(make),
            Self::Door(_)
            | Self::Window(_)
            | Self::Column(_)
            | Self::Panel(_)
            | Self::Outlet(_)
            | Self::Cooling(_)
            | Self::Fitting(_)
            | Self::Overhead(_)
            | Self::Light(_)
            | Self::Camera(_)
            | Self::Furniture(_)
            | Self::Zone(_)
            | Self::Rack(_)
            | Self::Ups(_) => {}
        }
        made
    }

    /// The item with the light that it is linked to named anew, or with a feed of its own where that gives none; unchanged where it
    /// is no light.
    #[must_use]
    pub fn with_feed(mut self, now: impl Fn(Id) -> Option<Id>) -> Self {
        if let Self::Light(light) = &mut self {
            light.linked_to = light.linked_to.and_then(now);
        }
        self
    }

    /// The item fastened to nothing, its ends at these points instead; `None` where there are not as many.
    pub(in crate::plan) fn loosened(&self, points: &[(Length, Length)]) -> Option<Self> {
        let ends: Vec<End> = points.iter().map(|(x, y)| End::Point(*x, *y)).collect();
        let mut made = self.clone();
        match (&mut made, ends.as_slice()) {
            (Self::Dimension(i), [from, to]) => (i.from, i.to) = (*from, *to),
            (Self::Note(i), [pointer]) => i.pointer = Some(*pointer),
            _ => return None,
        }
        Some(made)
    }
}
