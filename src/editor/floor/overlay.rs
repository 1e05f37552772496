//! What can be laid over the floor: which of it is on show, and the legend that says what its lines and hatches mean. An overlay is
//! on show while a person chose it, or while it concerns what is selected or pointed at. Measures nothing.

mod cameras;
mod legend;
mod light;
mod load;
mod reach;
mod wires;

use std::collections::BTreeSet;

use egui::Ui;

use super::FloorView;
use super::paint::Brush;
use crate::editor::shown::Shown;
use crate::editor::widgets;
use crate::plan::ItemKind;

pub(super) use legend::legend;
pub use wires::{Wanted, apart};

/// One thing that can be laid over the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Overlay {
    /// Jets and their speeds.
    Air,
    /// Strips, swings and working spaces.
    Ways,
    /// Which racks hold something out of reach, and where the operator stands.
    Reach,
    /// What the racks weigh on the floor.
    Load,
    /// The runs of lights.
    Light,
    /// What cameras see.
    Cameras,
    /// Who hangs on what.
    Power,
    /// The cables of circuits and the cords on them.
    Wires,
    /// What went before and what comes later.
    Phases,
}

impl Overlay {
    /// All of them, in the order of the bar.
    pub const ALL: [Self; 9] = [
        Self::Air,
        Self::Ways,
        Self::Reach,
        Self::Load,
        Self::Light,
        Self::Cameras,
        Self::Power,
        Self::Wires,
        Self::Phases,
    ];

    /// The word on its switch.
    pub fn word(self) -> &'static str {
        match self {
            Self::Air => "Air",
            Self::Ways => "Ways",
            Self::Reach => "Reach",
            Self::Load => "Load",
            Self::Light => "Light",
            Self::Cameras => "Cameras",
            Self::Power => "Power",
            Self::Wires => "Wires",
            Self::Phases => "Phases",
        }
    }

    /// The one that shows what a check is about.
    fn of_check(check: &str) -> Option<Self> {
        match check {
            "throw" | "keep-out" => Some(Self::Air),
            "service-strip" | "door-swing" | "panel-space" | "way-out" => Some(Self::Ways),
            "reach" | "lifting" => Some(Self::Reach),
            "shelf-load" | "sag" | "rack-stability" | "floor-load" => Some(Self::Load),
            "light" => Some(Self::Light),
            "cameras" => Some(Self::Cameras),
            "circuits" | "ups" | "cords" | "supply" | "protection" => Some(Self::Wires),
            _ => None,
        }
    }

    /// The one that shows what a thing is for.
    fn of_kind(kind: ItemKind) -> Option<Self> {
        match kind {
            ItemKind::Cooling => Some(Self::Air),
            ItemKind::Light => Some(Self::Light),
            ItemKind::Camera => Some(Self::Cameras),
            ItemKind::Outlet | ItemKind::Ups => Some(Self::Power),
            ItemKind::Door
            | ItemKind::Window
            | ItemKind::Column
            | ItemKind::Panel
            | ItemKind::Fitting(_)
            | ItemKind::Overhead(_)
            | ItemKind::Zone
            | ItemKind::Rack
            | ItemKind::Furniture(_)
            | ItemKind::Dimension
            | ItemKind::Note => None,
        }
    }
}

/// What a person chose to see, and what goes with a panel that is open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overlays {
    chosen: BTreeSet<Overlay>,
    beside: Option<Overlay>,
}

impl Default for Overlays {
    fn default() -> Self {
        Self {
            chosen: [Overlay::Air, Overlay::Ways, Overlay::Phases].into(),
            beside: None,
        }
    }
}

impl Overlays {
    fn toggle(&mut self, overlay: Overlay) {
        if !self.chosen.remove(&overlay) {
            self.chosen.insert(overlay);
        }
    }

    /// Keeps one on show beside a panel that it goes with, or none.
    pub fn beside(&mut self, overlay: Option<Overlay>) {
        self.beside = overlay;
    }

    /// What is on show: what was chosen, and what concerns the finding pointed at or what is selected.
    pub(super) fn on_show(&self, shown: &Shown<'_>) -> BTreeSet<Overlay> {
        let pointed = shown.pointed_finding();
        let pointed = pointed.and_then(|finding| Overlay::of_check(finding.check));
        let selected = shown.selection.iter().filter_map(|id| {
            if shown.plan.circuits().get(id).is_some() {
                return Some(Overlay::Wires);
            }
            let item = shown.plan.items().get(id)?;
            Overlay::of_kind(item.kind())
        });
        let concerned = selected.chain(pointed).chain(self.beside);
        let mut all: BTreeSet<Overlay> = self.chosen.iter().copied().chain(concerned).collect();
        if all.contains(&Overlay::Wires) {
            // They say all that it says, and more.
            all.remove(&Overlay::Power);
        }
        all
    }
}

/// The switches of the overlays.
pub(super) fn bar(ui: &mut Ui, view: &mut FloorView) {
    for overlay in Overlay::ALL {
        let on = view.overlays.chosen.contains(&overlay);
        if widgets::pill(ui, overlay.word(), on).clicked() {
            view.overlays.toggle(overlay);
        }
    }
}

/// Paints what lies over the things.
pub(super) fn paint(brush: &Brush<'_>, on_show: &BTreeSet<Overlay>) {
    for overlay in on_show {
        match overlay {
            Overlay::Reach => reach::paint(brush),
            Overlay::Load => load::paint(brush),
            Overlay::Light => light::paint(brush),
            Overlay::Cameras => cameras::paint(brush),
            Overlay::Wires => wires::paint(brush),
            // Painted with the floor, under the things or over them.
            Overlay::Air | Overlay::Ways | Overlay::Power | Overlay::Phases => {}
        }
    }
}
