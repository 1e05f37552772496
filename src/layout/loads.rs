//! What rests on the levels of a rack, as far as the masses are known, and the stretches of board that bear it. Measures; judges
//! nothing. Supplies at the foot of a rack stand on the floor: its levels do not bear them, its footing does.

use std::collections::BTreeSet;

use super::{Layout, Level, Part, Strip};
use crate::geometry::Oblong;
use crate::handbook::shelf_beam::{Board, GRAVITY};
use crate::plan::{Item, ItemKind, Ups, UpsPlace};
use crate::stock::{BoardKind, LevelKind, PrinterKind, RackKind, Stock, Support};
use crate::units::{Kilograms, Length};

/// A printer on a level with its pads: where it stands and what it weighs.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Burden {
    /// Its place, the leftmost being 1.
    place: u8,
    width_mm: f64,
    depth_mm: f64,
    mass_kg: f64,
}

/// What rests on one level.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelLoad<'a> {
    /// Number from below, the lowest being 1.
    pub number: u8,
    /// Top of the board above the floor.
    pub top: Length,
    /// True where printers stand on it in this phase, or things are stored there.
    pub loaded: bool,
    /// Load that the maker allows, where that is known.
    pub rating: Option<Kilograms>,
    /// The kind of its board.
    pub board: Option<&'a BoardKind>,
    /// What the board rests on, where that is known.
    pub support: Option<Support>,
    /// The figures that nobody entered, in words; the masses below are then too small.
    pub missing: Vec<String>,
    /// Mass of the board.
    board_kg: f64,
    /// Mass of what is stored, spread evenly.
    stored_kg: f64,
    burdens: Vec<Burden>,
    slots: u8,
    clear_mm: f64,
    depth_mm: f64,
    thickness_mm: f64,
}

/// What a rack bears in all.
#[derive(Clone, Debug, PartialEq)]
pub struct RackLoad<'a> {
    /// Its kind.
    pub kind: &'a RackKind,
    /// Level by level, the lowest first.
    pub levels: Vec<LevelLoad<'a>>,
}

impl RackLoad<'_> {
    /// Mass of everything on the levels, boards counted, in kilograms.
    pub fn borne_kg(&self) -> f64 {
        self.levels.iter().map(LevelLoad::mass_kg).sum()
    }

    /// The figures that nobody entered, each once.
    pub fn missing(&self) -> Vec<String> {
        let all = self.levels.iter().flat_map(|l| l.missing.iter().cloned());
        let once: BTreeSet<String> = all.collect();
        once.into_iter().collect()
    }

    /// The levels with something on them.
    pub fn loaded(&self) -> impl Iterator<Item = &LevelLoad<'_>> {
        self.levels.iter().filter(|l| l.loaded)
    }
}

impl LevelLoad<'_> {
    /// Mass of all that is known, the board counted, in kilograms.
    pub fn mass_kg(&self) -> f64 {
        let printers: f64 = self.burdens.iter().map(|b| b.mass_kg).sum();
        printers + self.stored_kg + self.board_kg
    }

    /// The stretches of its board, each as a board on two supports; none where nobody said what it rests on or how thick it is.
    ///
    /// A printer stands on feet at both sides of its middle, half its size apart: own judgement, as feet are seldom entered.
    pub fn stretches(&self) -> Vec<Board> {
        let Some(support) = self.support.filter(|_| self.thickness_mm > 0.0) else {
            return Vec::new();
        };
        match support {
            Support::Ends => self.along(1),
            Support::CrossBars(bars) => self.along(bars.saturating_add(1)),
            Support::Panels => self.along(self.slots.max(1)),
            Support::Beams => (1..=self.slots.max(1)).map(|p| self.across(p)).collect(),
        }
    }

    /// So many equal stretches of the clear width.
    fn along(&self, count: u8) -> Vec<Board> {
        let length_mm = self.clear_mm / f64::from(count);
        let feet = self.burdens.iter().flat_map(|b| {
            let middle = (f64::from(b.place) - 0.5) * self.share_mm();
            let load = b.mass_kg * GRAVITY * 0.5;
            [-0.25, 0.25].map(|side| (middle + side * b.width_mm, load))
        });
        let feet: Vec<(f64, f64)> = feet.collect();
        let bay = |k: u8| {
            let (from, last) = (f64::from(k) * length_mm, k + 1 == count);
            let here = feet.iter().map(|(x, load)| (x.max(0.0), *load));
            let here = here.map(|(x, load)| (x.min(self.clear_mm) - from, load));
            let within = |x: f64| x >= 0.0 && (x < length_mm || last);
            let points = here.filter(|(x, _)| within(*x));
            let points = points.map(|(x, load)| (x.min(length_mm), load)).collect();
            self.board(length_mm, self.depth_mm, points)
        };
        (0..count).map(bay).collect()
    }

    /// The board under one place, from the beam in front to the beam behind.
    fn across(&self, place: u8) -> Board {
        let here = self.burdens.iter().filter(|b| b.place == place);
        let feet = here.flat_map(|b| {
            let load = b.mass_kg * GRAVITY * 0.5;
            [-0.25, 0.25].map(|side| (self.depth_mm * 0.5 + side * b.depth_mm, load))
        });
        let feet = feet.map(|(x, load)| (x.max(0.0).min(self.depth_mm), load));
        self.board(self.depth_mm, self.share_mm(), feet.collect())
    }

    fn share_mm(&self) -> f64 {
        self.clear_mm / f64::from(self.slots.max(1))
    }

    /// A stretch with its share of what is spread over the whole level.
    fn board(&self, length_mm: f64, width_mm: f64, points: Vec<(f64, f64)>) -> Board {
        let spread_n = (self.board_kg + self.stored_kg) * GRAVITY;
        let area = (self.clear_mm * self.depth_mm).max(1.0);
        Board {
            length_mm,
            width_mm,
            thickness_mm: self.thickness_mm,
            spread_n_mm: spread_n / area * width_mm,
            points,
        }
    }
}

/// A printer on a rack: the number of its level, its place on that, and its kind.
pub type Shelved<'a> = (u8, u8, &'a PrinterKind);

impl<'a> RackLoad<'a> {
    /// What a rack of that kind, with those levels, bears with those printers on it; `name` is what it is called where a figure of
    /// its own is missing.
    pub fn of(
        stock: &'a Stock,
        name: &str,
        kind: &'a RackKind,
        given: &[LevelKind],
        printers: &[Shelved<'_>],
    ) -> Self {
        let levels = Level::all_of(stock, kind, given);
        let levels = levels.iter().zip(given);
        Self {
            kind,
            levels: levels
                .map(|(level, given)| level_load(stock, name, kind, level, given, printers))
                .collect(),
        }
    }
}

impl Layout {
    /// What a rack bears in this phase; `None` for anything else.
    pub fn rack_load(&self, part: &Part) -> Option<RackLoad<'_>> {
        let rack = self.plan().rack(part.id)?;
        let stock = self.stock();
        let kind = stock.racks.get(&rack.kind)?;
        let printers: Vec<Shelved<'_>> = part
            .slots()
            .iter()
            .filter_map(|s| Some((s.name, stock.printers.get(&s.printer.as_ref()?.kind)?)))
            .map(|(slot, printer)| (slot.level, slot.place, printer))
            .collect();
        let name = part.id.to_string();
        Some(RackLoad::of(
            stock,
            &name,
            kind,
            rack.levels(kind),
            &printers,
        ))
    }
}

fn level_load<'a>(
    stock: &'a Stock,
    name: &str,
    kind: &RackKind,
    level: &Level,
    given: &LevelKind,
    printers: &[Shelved<'_>],
) -> LevelLoad<'a> {
    let board_id = given.board.as_ref().unwrap_or(&kind.board);
    let board = stock.boards.get(board_id);
    let mut missing = Vec::new();
    let (clear_mm, depth_mm) = (level.clear_width.mm(), level.depth.mm());
    let thickness_mm = level.board.mm();
    let density = board.and_then(|b| b.density.as_ref());
    let board_kg = density.map_or(0.0, |d| {
        d.value.value() * clear_mm * depth_mm * thickness_mm * 1e-9
    });
    if density.is_none() {
        let name = board.map_or("its board", |b| b.name.as_str());
        missing.push(format!("the density of {name}"));
    }
    let here = printers.iter().filter(|(on, ..)| *on == level.number);
    let burdens: Vec<Burden> = here
        .map(|(_, place, printer)| burden(stock, *place, printer, given, &mut missing))
        .collect();
    let stores = level.keeps_spools();
    if stores && given.stored.is_none() {
        missing.push(format!(
            "what is stored on level {} of {name}",
            level.number
        ));
    }
    missing.sort();
    missing.dedup();
    LevelLoad {
        number: level.number,
        top: level.top,
        loaded: stores || !burdens.is_empty(),
        rating: given.rating.or(kind.level_rating),
        board,
        support: given.support.or(kind.support),
        missing,
        board_kg,
        stored_kg: given
            .stored
            .filter(|_| stores)
            .map_or(0.0, Kilograms::value),
        burdens,
        slots: level.slots,
        clear_mm,
        depth_mm,
        thickness_mm,
    }
}

/// One printer with its pads; what nobody weighed weighs nothing and is told.
fn burden(
    stock: &Stock,
    place: u8,
    kind: &PrinterKind,
    given: &LevelKind,
    missing: &mut Vec<String>,
) -> Burden {
    let pad = given.pad.as_ref().and_then(|pad| stock.pads.get(pad));
    let mut weighed = |mass: Option<Kilograms>, name: &str| {
        if mass.is_none() {
            missing.push(format!("the mass of {name}"));
        }
        mass.map_or(0.0, Kilograms::value)
    };
    let printer = weighed(kind.mass, &kind.name);
    let pads = pad.map_or(0.0, |pad| weighed(pad.mass, &pad.name));
    Burden {
        place,
        width_mm: kind.width.mm(),
        depth_mm: kind.depth.mm(),
        mass_kg: printer + pads,
    }
}

/// What one rack weighs on the floor.
#[derive(Clone, Debug)]
pub struct Footing<'a> {
    /// The rack.
    pub part: &'a Part,
    /// Its mass with all that stands on it and every UPS at its foot, in kilograms, as far as known.
    pub mass_kg: f64,
    /// The mass of every UPS on the floor within half an aisle before its faces, in kilograms, as far as known.
    pub beside_kg: f64,
    /// The load on its footprint alone, in kPa.
    pub patch_kpa: f64,
    /// The load with half of each aisle that it is worked from, and what stands there, in kPa.
    pub spread_kpa: f64,
    /// What is not known, in words.
    pub missing: Vec<String>,
}

impl Layout {
    /// What a rack weighs on the floor; `None` for what is no rack.
    pub fn footing<'a>(&self, part: &'a Part) -> Option<Footing<'a>> {
        let load = self.rack_load(part)?;
        let rack = part.rack.as_ref()?;
        let mut missing = load.missing();
        let mut weighed = |mass: Option<Kilograms>, name: &str| {
            if mass.is_none() {
                missing.push(format!("the mass of {name}"));
            }
            mass.map_or(0.0, Kilograms::value)
        };
        let mut mass_kg = load.borne_kg() + weighed(load.kind.mass, &load.kind.name);
        // Half of each aisle that it is worked from.
        let half = self.limits().aisle.value.half();
        let before = part.strips().iter();
        let before: Vec<Strip> = before
            .map(|strip| Strip::before(&rack.body, strip.face, half))
            .collect();
        let mut beside_kg = 0.0;
        for (supply, ups) in self.each_ups() {
            let Some(kind) = self.stock().ups.get(&ups.kind) else {
                continue;
            };
            match ups.stands {
                UpsPlace::OnRack(foot) if foot == part.id => {
                    mass_kg += weighed(kind.mass, &kind.name);
                }
                UpsPlace::OnFloor(_) if before.iter().any(|s| s.shape.contains(supply.spot)) => {
                    beside_kg += weighed(kind.mass, &kind.name);
                }
                UpsPlace::OnRack(_) | UpsPlace::OnFloor(_) => {}
            }
        }
        missing.sort();
        missing.dedup();
        let footprint = area_m2(&rack.body).max(1e-4);
        let beside: f64 = before.iter().map(|strip| area_m2(&strip.oblong)).sum();
        let kilonewtons = |kg: f64| kg * GRAVITY * 1e-3;
        Some(Footing {
            part,
            mass_kg,
            beside_kg,
            patch_kpa: kilonewtons(mass_kg) / footprint,
            spread_kpa: kilonewtons(mass_kg + beside_kg) / (footprint + beside),
            missing,
        })
    }

    /// Every UPS of the phase.
    fn each_ups(&self) -> impl Iterator<Item = (&Part, &Ups)> {
        self.of_kind(ItemKind::Ups)
            .filter_map(|part| match self.plan().items().get(part.id) {
                Some(Item::Ups(ups)) => Some((part.as_ref(), ups)),
                _ => None,
            })
    }
}

fn area_m2(oblong: &Oblong) -> f64 {
    oblong.width() * oblong.depth() * 1e-6
}
