//! The cable of a circuit from its panel to its boxes: measured, or estimated up the wall, along walls under the ceiling and down.
//! Judges nothing.

use super::cords::path_length;
use super::{Layout, Part, Wall};
use crate::geometry::Point;
use crate::handbook::circuit;
use crate::plan::{Circuit, Id, Item, ItemKind, Panel, WallPlace};
use crate::units::{Length, Practice};

/// Power factor for the drop of a circuit whose loads do not say one: IEC 60364-5-52:2009 annex G.
const COS_PHI: f64 = 0.8;

/// The length of a circuit's cable one way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CableRun {
    /// Length in millimetres.
    pub length_mm: f64,
    /// True where somebody measured it.
    pub measured: bool,
}

impl CableRun {
    /// Its length for reading: as measured; an estimate to the whole inch or centimetre, as it is no better than that.
    pub fn length_shown(&self, practice: Practice) -> String {
        let step_mm = match practice {
            _ if self.measured => return Length::from_mm(self.length_mm).shown(practice),
            Practice::Us => 25.4,
            Practice::Metric => 10.0,
        };
        Length::from_mm((self.length_mm / step_mm).round() * step_mm).shown(practice)
    }
}

/// The way that the cable of a circuit is reckoned to take to one of its boxes.
#[derive(Clone, Debug, PartialEq)]
pub struct CableWay {
    /// The box.
    pub outlet: Id,
    /// Length in millimetres, up to the ceiling and down again included.
    pub length_mm: f64,
    /// The way in the plan, from the panel along the walls to the box.
    pub path: Vec<Point>,
}

/// The voltage that is lost along a circuit's cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drop {
    /// Volts.
    pub volts: f64,
    /// Per cent of the circuit's voltage.
    pub percent: f64,
}

impl Layout {
    /// The cable of a circuit to its farthest box; none while panel or boxes are unknown and nobody measured it.
    pub fn cable_run(&self, id: Id) -> Option<CableRun> {
        let circuit = self.plan.circuits().get(id)?;
        if let Some(run) = circuit.built.run {
            return Some(CableRun {
                length_mm: run.mm(),
                measured: true,
            });
        }
        let ways = self.cable_ways(id).into_iter().map(|way| way.length_mm);
        Some(CableRun {
            length_mm: ways.max_by(f64::total_cmp)?,
            measured: false,
        })
    }

    /// The ways that the cable of a circuit is reckoned to take to each of its boxes; none while its panel is unknown.
    pub fn cable_ways(&self, id: Id) -> Vec<CableWay> {
        let load = self.power.circuits.get(&id);
        let Some((circuit, load)) = self.plan.circuits().get(id).zip(load) else {
            return Vec::new();
        };
        let boxes = load.outlets.iter();
        boxes
            .filter_map(|outlet| self.cable_to(circuit, *outlet))
            .collect()
    }

    /// The panels of the phase.
    pub fn panels(&self) -> impl Iterator<Item = (&Part, &Panel)> {
        self.of_kind(ItemKind::Panel).filter_map(|part| {
            let Item::Panel(panel) = self.plan.items().get(part.id)? else {
                return None;
            };
            Some((part.as_ref(), panel))
        })
    }

    /// The one panel of the phase, where there are not more.
    pub fn only_panel(&self) -> Option<Id> {
        let mut panels = self.of_kind(ItemKind::Panel).map(|part| part.id);
        panels.next().filter(|_| panels.next().is_none())
    }

    /// The panel that a circuit comes from: the one named, else the only one there is.
    pub fn panel_of(&self, circuit: &Circuit) -> Option<Id> {
        circuit.panel.or_else(|| self.only_panel())
    }

    /// Up from the panel, along the walls under the ceiling the shorter way round, down to the box.
    fn cable_to(&self, circuit: &Circuit, outlet: Id) -> Option<CableWay> {
        let panel = self.panel_of(circuit)?;
        let Item::Panel(case) = self.plan.items().get(panel)? else {
            return None;
        };
        let Item::Outlet(at) = self.plan.items().get(outlet)? else {
            return None;
        };
        let middle = WallPlace {
            along: case.at.along + Length::from_mm(case.width.mm() * 0.5),
            ..case.at
        };
        let on_wall = |place: WallPlace| Some((Wall::at(&self.room, place)?, place.along.mm()));
        let (from, to) = (on_wall(middle)?, on_wall(at.at)?);
        let ways = [true, false].map(|anticlockwise| self.round_the_walls(from, to, anticlockwise));
        let path = ways
            .into_iter()
            .min_by(|a, b| path_length(a).total_cmp(&path_length(b)))?;
        let ceiling = self.plan.room().ceiling.mm();
        let up = ceiling - (case.bottom + case.height).mm();
        let down = ceiling - at.height.mm();
        Some(CableWay {
            outlet,
            length_mm: up.max(0.0) + path_length(&path) + down.max(0.0),
            path,
        })
    }

    /// The voltage lost along a circuit's cable at a current, for its conductor: by NEC chapter 9 table 8 (stranded, 75 °C) for
    /// American gauges, by IEC 60364-5-52 annex G for metric sections. None while conductor or run is unknown.
    pub fn voltage_drop(&self, id: Id, amperes: f64) -> Option<Drop> {
        let built = self.plan.circuits().get(id)?;
        let conductor = built.built.conductor?;
        let run_mm = self.cable_run(id)?.length_mm;
        let by_gauge = || {
            let row = circuit::NEC_COPPER
                .iter()
                .find(|row| Some(row.awg) == conductor.gauge())?;
            circuit::drop_us_v(run_mm / 304.8, amperes, row.stranded_ohm_kft)
        };
        let volts = match conductor.section_mm2() {
            Some(mm2) => circuit::drop_iec_v(run_mm / 1000.0, amperes, mm2, self.cos_phi(id)),
            None => by_gauge(),
        }?;
        let percent = circuit::drop_percent(volts, built.volts.value())?;
        Some(Drop { volts, percent })
    }

    /// Watts over volt-amperes of what runs on a circuit.
    fn cos_phi(&self, id: Id) -> f64 {
        let load = self.power.circuits.get(&id).map(|c| &c.load);
        load.and_then(|l| Some((l.running_w.whole()?, l.running_va.whole()?)))
            .filter(|(_, va)| *va > 0.0)
            .map_or(COS_PHI, |(watts, va)| (watts / va).min(1.0))
    }
}
