//! Heat of the room in one phase: every term in watts and where it comes from, what the cooling units take, and what the room
//! holds. Sums only: what is too much is judged by `checks`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::Layout;
use crate::handbook::heat;
use crate::plan::{Beyond, Heat, Id, Item, ItemKind, OutdoorAir, Side};
use crate::stock::{CoolingKind, FigureOrigin, KindId, LightKind, PrinterKind};
use crate::units::{Celsius, CubicMetresPerHour, Irradiance, Kilograms, Ratio, UValue, Watts};

/// Where heat comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeatSource {
    /// Printers, by the watts they take.
    Printers,
    /// What UPS lose.
    Supplies,
    /// Other machines.
    Machines,
    /// Lights.
    Lights,
    /// People, their moisture not counted.
    People,
    /// Walls to the outdoors.
    Walls,
    /// The ceiling.
    Ceiling,
    /// Glass, by the difference of temperatures.
    Glass,
    /// The sun through glass.
    Sun,
    /// Air from outdoors, its moisture not counted.
    OutdoorAir,
}

impl HeatSource {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Printers => "printers",
            Self::Supplies => "UPS loss",
            Self::Machines => "other machines",
            Self::Lights => "lights",
            Self::People => "people",
            Self::Walls => "walls",
            Self::Ceiling => "ceiling",
            Self::Glass => "windows",
            Self::Sun => "sun",
            Self::OutdoorAir => "outdoor air",
        }
    }
}

/// One term of the sum.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatTerm {
    /// Where it comes from.
    pub source: HeatSource,
    /// What is known of it, W; below zero where heat leaves.
    pub watts: f64,
    /// How it was worked out, in words.
    pub from: String,
    /// What nobody entered, in words.
    pub missing: Vec<String>,
}

impl HeatTerm {
    fn new(source: HeatSource, watts: f64, from: String) -> Self {
        Self {
            source,
            watts,
            from,
            missing: Vec::new(),
        }
    }

    /// What nobody entered, in words.
    pub fn missing_words(&self) -> impl Iterator<Item = &str> {
        self.missing.iter().map(String::as_str)
    }

    fn lacking(source: HeatSource, what: &str) -> Self {
        let mut term = Self::new(source, 0.0, "not entered".to_owned());
        term.missing.push(what.to_owned());
        term
    }
}

/// What one cooling unit takes.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingFigures {
    /// The unit.
    pub id: Id,
    /// Heat it takes on the hottest day, moisture not counted, W; `None` while a figure is missing.
    pub sensible_w: Option<f64>,
    /// How that was worked out, in words.
    pub from: String,
    /// What nobody entered, in words.
    pub missing: Vec<String>,
    /// True where its figures are a guess.
    pub guessed: bool,
}

/// The sum of the heat in one phase.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatBalance {
    /// The terms, in the order of [`HeatSource`]; what the phase does not have is left out.
    pub terms: Vec<HeatTerm>,
    /// The cooling units, by mark.
    pub units: Vec<CoolingFigures>,
    /// What walls, ceiling, glass and air carry for each kelvin between indoors and outdoors, W/K; `None` while a figure is
    /// missing.
    pub conductance_w_k: Option<f64>,
    /// Heat that warms the air of the room by a kelvin, J.
    pub air_j_k: f64,
    /// Heat that warms the printers by a kelvin, J; those without a mass count for nothing.
    pub printers_j_k: f64,
    /// What the room has less of while one printer is paused and idles, W, the most first; printers with a missing figure are
    /// left out.
    pub savings: Vec<(Id, f64)>,
    /// True where the power of a printer is a guess.
    pub guessed_printers: bool,
    /// True where it is cooler outdoors than indoors, so that what is missing may take heat away.
    pub missing_may_cool: bool,
}

impl HeatBalance {
    /// The sum of what is known, W.
    pub fn known_w(&self) -> f64 {
        self.terms.iter().map(|t| t.watts).sum()
    }

    /// The sum, where nothing is missing, W.
    pub fn whole_w(&self) -> Option<f64> {
        self.missing().is_empty().then(|| self.known_w())
    }

    /// All that nobody entered of the terms, each once.
    pub fn missing(&self) -> Vec<&str> {
        each_once(self.terms.iter().flat_map(|t| &t.missing))
    }

    /// All that nobody entered of the units, each once.
    pub fn missing_of_units(&self) -> Vec<&str> {
        each_once(self.units.iter().flat_map(|u| &u.missing))
    }

    /// What all units take together, W; `None` where there is none, or a figure is missing.
    pub fn sensible_w(&self) -> Option<f64> {
        let mut units = self.units.iter().map(|u| u.sensible_w).peekable();
        units.peek()?;
        units.sum()
    }

    /// The heat that stays in the room when one unit stops and the others run on, W; `None` while a figure is missing.
    pub fn left_without(&self, unit: Id) -> Option<f64> {
        let others = self.units.iter().filter(|u| u.id != unit);
        let taken: Option<f64> = others.map(|u| u.sensible_w).sum();
        Some(self.whole_w()? - taken?)
    }

    /// How much so much heat warms the room in so many seconds, K: at least, its printers warming with it, and at most, its air
    /// alone.
    pub fn warmed_k(&self, heat_w: f64, seconds: f64) -> Option<(f64, f64)> {
        let carries = self.conductance_w_k.unwrap_or(0.0);
        let with = |capacity| heat::warmed_k(heat_w, carries, capacity, seconds);
        Some((with(self.air_j_k + self.printers_j_k)?, with(self.air_j_k)?))
    }

    /// How many printers to pause, those that save most first, until so much less heat comes; `None` where all together save
    /// less.
    pub fn pauses_for(&self, heat_w: f64) -> Option<usize> {
        let mut left = heat_w;
        if left <= 1e-9 {
            return Some(0);
        }
        let enough = self.savings.iter().position(|(_, saved)| {
            left -= saved;
            left <= 1e-9
        });
        enough.map(|last| last + 1)
    }

    /// The terms that stay when there are no printers.
    pub fn besides_printers(&self) -> impl Iterator<Item = &HeatTerm> {
        let of_printers = [HeatSource::Printers, HeatSource::Supplies];
        self.terms
            .iter()
            .filter(move |t| !of_printers.contains(&t.source))
    }
}

/// The words in their order, none twice.
fn each_once<'a>(words: impl Iterator<Item = &'a String>) -> Vec<&'a str> {
    let mut seen = BTreeSet::new();
    words
        .map(String::as_str)
        .filter(|word| seen.insert(*word))
        .collect()
}

/// Mean heat of a printer that prints for that share of the time and idles for the rest, W; else what is missing.
fn of_printer(kind: Option<&PrinterKind>, duty: f64) -> Result<f64, &'static str> {
    let running = kind.and_then(|k| k.running).map(Watts::value);
    let standby = kind.and_then(|k| k.standby).map(Watts::value);
    match (running, standby) {
        (None, _) => Err("running watts"),
        (Some(running), _) if duty >= 1.0 => Ok(running),
        (Some(_), None) => Err("standby watts"),
        (Some(running), Some(standby)) => Ok(duty * running + (1.0 - duty) * standby),
    }
}

/// What carries heat by a difference of temperatures.
#[derive(Debug, Default)]
struct Carriers {
    w_k: f64,
    words: Vec<String>,
    missing: Vec<String>,
}

impl Carriers {
    fn add(&mut self, area_m2: f64, u: Option<UValue>, what: &str) {
        match u.and_then(|u| heat::conduction_w(area_m2, u.value(), 1.0)) {
            Some(w_k) => {
                self.w_k += w_k;
                self.words.push(format!("{what} {area_m2:.1} m²"));
            }
            None => self.missing.push(format!("the U value of {what}")),
        }
    }

    /// The heat they bring at that difference.
    fn term(self, source: HeatSource, said: &Heat) -> HeatTerm {
        let mut term = HeatTerm::new(source, 0.0, self.words.join(", "));
        term.missing = self.missing;
        if self.w_k > 0.0 {
            match warmer_k(said) {
                Some(k) => {
                    term.watts = self.w_k * k;
                    term.from = format!("{}, at {k:.0} K", term.from);
                }
                None => term.missing.extend(missing_temperatures(said)),
            }
        } else if term.missing.is_empty() {
            "no heat passes".clone_into(&mut term.from);
        }
        term
    }
}

/// How much warmer it is outdoors.
fn warmer_k(said: &Heat) -> Option<f64> {
    Some(said.outdoors?.value() - said.indoors?.value())
}

fn missing_temperatures(said: &Heat) -> impl Iterator<Item = String> {
    let lacks = |t: Option<Celsius>, words: &str| t.is_none().then(|| words.to_owned());
    [
        lacks(said.indoors, "the temperature to be held"),
        lacks(said.outdoors, "the hottest day outdoors"),
    ]
    .into_iter()
    .flatten()
}

impl Layout {
    /// The sum of the heat in this phase, kept once it is made.
    pub fn heat(&self) -> Arc<HeatBalance> {
        Arc::clone(self.heat.get_or_init(|| Arc::new(self.heat_summed())))
    }

    fn heat_summed(&self) -> HeatBalance {
        let said = self.plan.heat();
        let (mut terms, savings) = self.electric(said);
        terms.extend(inside(said, self.drawn_lights()));
        let (walls, glass, sun) = self.sides(said);
        let ceiling = self.ceiling(said);
        let air = self.outdoor_air();
        let lacks_none = |c: &Carriers| c.missing.is_empty().then_some(c.w_k);
        let conductance = [&walls, &glass, &ceiling, &air].map(lacks_none);
        terms.push(walls.term(HeatSource::Walls, said));
        terms.push(ceiling.term(HeatSource::Ceiling, said));
        if self.of_kind(ItemKind::Window).next().is_some() {
            terms.push(glass.term(HeatSource::Glass, said));
            terms.push(sun);
        }
        terms.push(air.term(HeatSource::OutdoorAir, said));
        let masses = self.printers().filter_map(|(_, p)| {
            let kind = self.stock.printers.get(&p.kind)?;
            kind.mass.map(Kilograms::value)
        });
        HeatBalance {
            terms,
            units: self.cooling_units(),
            conductance_w_k: conductance.into_iter().sum(),
            air_j_k: self.volume_m3() * heat::AIR_J_PER_M3_K,
            printers_j_k: masses.sum::<f64>() * heat::STEEL_J_PER_KG_K,
            savings,
            guessed_printers: self.printers().any(|(_, p)| self.is_guess(&p.kind)),
            missing_may_cool: warmer_k(said).is_some_and(|k| k < 0.0),
        }
    }

    /// Heat that one more printer of that kind brings, the loss of the poorest UPS of the phase counted, W; `None` while a figure
    /// is missing.
    pub fn heat_of_one(&self, kind: &PrinterKind) -> Option<f64> {
        let duty = self.plan.heat().duty.map_or(1.0, Ratio::value);
        let watts = of_printer(Some(kind), duty).ok()?;
        let losses = self.power.supplies.keys().map(|id| {
            let efficiency = self.efficiency(*id)?;
            heat::supply_loss_w(watts, efficiency)
        });
        let most = losses.reduce(|a, b| Some(a?.max(b?)));
        Some(watts + most.unwrap_or(Some(0.0))?)
    }

    fn is_guess(&self, kind: &KindId) -> bool {
        let kind = self.stock.printers.get(kind);
        kind.is_some_and(|k| k.figures == FigureOrigin::Guess)
    }

    fn efficiency(&self, id: Id) -> Option<f64> {
        let Some(Item::Ups(ups)) = self.plan.items().get(id) else {
            return None;
        };
        let kind = self.stock.ups.get(&ups.kind)?;
        kind.efficiency.map(Ratio::value)
    }

    /// Printers and what UPS lose; and what a paused printer saves.
    fn electric(&self, said: &Heat) -> (Vec<HeatTerm>, Vec<(Id, f64)>) {
        let duty = said.duty.map_or(1.0, Ratio::value);
        let mut each: BTreeMap<Id, (f64, f64)> = BTreeMap::new();
        let mut missing = BTreeSet::new();
        let mut count = 0_usize;
        for (_, printer) in self.printers() {
            count += 1;
            let kind = self.stock.printers.get(&printer.kind);
            match of_printer(kind, duty) {
                Ok(watts) => {
                    let idle = kind.and_then(|k| k.standby).map(Watts::value);
                    let saved = idle.map_or(f64::NAN, |idle| watts - idle);
                    each.insert(printer.id, (watts, saved));
                }
                Err(what) => {
                    missing.insert(format!("the {what} of {}", printer.kind));
                }
            }
        }
        if count == 0 {
            return (Vec::new(), Vec::new());
        }
        let share = said.duty.map_or_else(
            || "all printing all the time, as no share is entered".to_owned(),
            |share| format!("printing {} of the time", share.shown()),
        );
        let guess = if self.printers().any(|(_, p)| self.is_guess(&p.kind)) {
            "; their watts are a guess until metered"
        } else {
            ""
        };
        let sum = each.values().map(|(watts, _)| watts).sum();
        let printers = match count {
            1 => "1 printer".to_owned(),
            n => format!("{n} printers"),
        };
        let from = format!("{printers} {share}{guess}");
        let mut of_printers = HeatTerm::new(HeatSource::Printers, sum, from);
        of_printers.missing.extend(missing);
        let mut terms = vec![of_printers];
        terms.extend(self.supplies(&mut each));
        let mut savings: Vec<(Id, f64)> = each
            .into_iter()
            .filter(|(_, (_, saved))| saved.is_finite() && *saved > 0.0)
            .map(|(id, (_, saved))| (id, saved))
            .collect();
        savings.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        (terms, savings)
    }

    /// What the UPS that carry printers lose; a paused printer saves its share of that too.
    fn supplies(&self, each: &mut BTreeMap<Id, (f64, f64)>) -> Option<HeatTerm> {
        let mut lost = 0.0;
        let mut missing = BTreeSet::new();
        let mut count = 0_usize;
        for (id, ups) in &self.power.supplies {
            if ups.printers.is_empty() {
                continue;
            }
            count += 1;
            let Some(efficiency) = self.efficiency(*id) else {
                missing.insert(format!("the efficiency of {id}"));
                continue;
            };
            for printer in &ups.printers {
                if let Some((watts, saved)) = each.get_mut(printer) {
                    match heat::supply_loss_w(*watts, efficiency) {
                        Some(loss) => lost += loss,
                        None => {
                            missing.insert(format!("an efficiency of {id} of at most 100%"));
                        }
                    }
                    *saved /= efficiency;
                }
            }
        }
        let mut term = HeatTerm::new(
            HeatSource::Supplies,
            lost,
            format!("{count} UPS, by load and efficiency"),
        );
        term.missing.extend(missing);
        (count > 0).then_some(term)
    }

    /// The power of the lights that are drawn, where there are any.
    fn drawn_lights(&self) -> Option<HeatTerm> {
        let kinds: Vec<&LightKind> = self
            .of_kind(ItemKind::Light)
            .filter_map(|part| self.light_kind(part))
            .collect();
        let watts = kinds.iter().filter_map(|kind| kind.watts);
        let from = format!("{} lights as drawn", kinds.len());
        let mut term = HeatTerm::new(HeatSource::Lights, watts.map(Watts::value).sum(), from);
        let dark = kinds.iter().filter(|kind| kind.watts.is_none());
        let missing: BTreeSet<String> = dark.map(|k| format!("the watts of {}", k.name)).collect();
        term.missing.extend(missing);
        (!kinds.is_empty()).then_some(term)
    }

    /// Walls and glass to the outdoors, and the sun.
    fn sides(&self, said: &Heat) -> (Carriers, Carriers, HeatTerm) {
        let room = self.plan.room();
        let (mut walls, mut glass) = (Carriers::default(), Carriers::default());
        let mut sun = HeatTerm::new(HeatSource::Sun, 0.0, String::new());
        let mut sunny = Vec::new();
        let mut unsaid = Vec::new();
        let mut opaque: BTreeMap<usize, f64> = self
            .walls()
            .map(|w| (w.number, w.length * room.ceiling.mm() / 1e6))
            .collect();
        for part in self.of_kind(ItemKind::Window) {
            let Some(Item::Window(window)) = self.plan.items().get(part.id) else {
                continue;
            };
            let k = usize::from(window.at.wall);
            let area = window.width.mm() * (window.head - window.sill).mm() / 1e6;
            if let Some(wall) = opaque.get_mut(&k) {
                *wall = (*wall - area).max(0.0);
            }
            if said.wall(k).beyond != Some(Beyond::Outdoors) {
                continue;
            }
            glass.add(area, window.glass.u, &format!("{}", part.id));
            let share = window.glass.sun_share.map(Ratio::value);
            let power = window.glass.sun.map(Irradiance::value);
            match (share, power) {
                (_, Some(0.0)) => {}
                (Some(share), Some(power)) => {
                    sun.watts += heat::sun_w(area, share, power).unwrap_or(0.0);
                    sunny.push(format!("{} {area:.1} m² at {power:.0} W/m²", part.id));
                }
                (None, Some(_)) => sun.missing.push(format!("the sun share of {}", part.id)),
                (_, None) => sun.missing.push(format!("the sun on {}", part.id)),
            }
        }
        for (k, area) in opaque {
            let Side { beyond, u } = said.wall(k);
            match beyond {
                None => unsaid.push(k),
                Some(Beyond::AsWarm) => {}
                Some(Beyond::Outdoors) => walls.add(area, u, &format!("the {}", room.wall_name(k))),
            }
        }
        walls.missing.extend(beyond_walls(self, &unsaid));
        sun.from = if sunny.is_empty() {
            "none on glass to the outdoors".to_owned()
        } else {
            sunny.join(", ")
        };
        (walls, glass, sun)
    }

    fn area_m2(&self) -> f64 {
        self.room.area().abs() / 1e6
    }

    /// Volume of the room, m³.
    fn volume_m3(&self) -> f64 {
        self.area_m2() * self.plan.room().ceiling.mm() / 1e3
    }

    fn ceiling(&self, said: &Heat) -> Carriers {
        let mut ceiling = Carriers::default();
        match said.ceiling.beyond {
            None => ceiling
                .missing
                .push("what lies above the ceiling".to_owned()),
            Some(Beyond::AsWarm) => {}
            Some(Beyond::Outdoors) => {
                ceiling.add(self.area_m2(), said.ceiling.u, "the ceiling");
            }
        }
        ceiling
    }

    /// The air that comes in from outdoors, in litres a second; `None` where nobody said.
    pub fn outdoor_air_l_s(&self) -> Option<f64> {
        match self.plan.heat().outdoor_air? {
            OutdoorAir::Changes(rate) => heat::leakage_l_s(rate.value(), self.volume_m3()),
            OutdoorAir::Flow(flow) => Some(CubicMetresPerHour::value(flow) / 3.6),
        }
    }

    fn outdoor_air(&self) -> Carriers {
        let mut air = Carriers::default();
        match self
            .outdoor_air_l_s()
            .and_then(|flow| Some((flow, heat::air_w(flow, 1.0)?)))
        {
            Some((flow, w_k)) => {
                air.w_k = w_k;
                air.words.push(format!("{flow:.1} L/s"));
            }
            None => air.missing.push("air from outdoors".to_owned()),
        }
        air
    }

    fn cooling_units(&self) -> Vec<CoolingFigures> {
        self.of_kind(ItemKind::Cooling)
            .filter_map(|part| match self.plan.items().get(part.id) {
                Some(Item::Cooling(unit)) => {
                    let kind = self.stock.cooling.get(&unit.kind)?;
                    Some(of_unit(part.id, kind))
                }
                _ => None,
            })
            .collect()
    }
}

/// People, lights and other machines.
fn inside(said: &Heat, drawn: Option<HeatTerm>) -> [HeatTerm; 3] {
    let of = |source, watts: Option<Watts>, missing: &str| {
        watts.map_or_else(
            || HeatTerm::lacking(source, missing),
            |w| HeatTerm::new(source, w.value(), "as entered".to_owned()),
        )
    };
    let entered = || of(HeatSource::Lights, said.lights, "lights");
    let lights = drawn
        .filter(|_| said.lights.is_none())
        .unwrap_or_else(entered);
    let people = said.people.map_or_else(
        || HeatTerm::lacking(HeatSource::People, "people at work"),
        |n| {
            let work = heat::LIGHT_BENCH_WORK;
            let (watts, _) = work.of_people(f64::from(n));
            let from = format!("{n} at {}, {:.0} W each", work.work, work.sensible_w);
            HeatTerm::new(HeatSource::People, watts, from)
        },
    );
    [
        of(HeatSource::Machines, said.machines, "other machines"),
        lights,
        people,
    ]
}

/// The walls of which nobody said what lies beyond.
fn beyond_walls(layout: &Layout, unsaid: &[usize]) -> Option<String> {
    let room = layout.plan.room();
    match unsaid {
        [] => None,
        all if all.len() == room.walls() => Some("what lies beyond the walls".to_owned()),
        [one] => Some(format!("what lies beyond the {}", room.wall_name(*one))),
        [one, more @ ..] => Some(format!(
            "what lies beyond the {} and {} more",
            room.wall_name(*one),
            more.len()
        )),
    }
}

fn of_unit(id: Id, kind: &CoolingKind) -> CoolingFigures {
    let capacity = kind.capacity.map(Watts::value);
    let (sensible, hot) = (kind.sensible_share, kind.hot_day_share);
    let lacks = |gone: bool, words: &str| gone.then(|| format!("the {words} of {id}"));
    let missing: Vec<String> = [
        lacks(capacity.is_none(), "rated capacity"),
        lacks(sensible.is_none(), "sensible share"),
        lacks(hot.is_none(), "share left on the hottest day"),
    ]
    .into_iter()
    .flatten()
    .collect();
    let sensible_w = capacity
        .zip(sensible)
        .zip(hot)
        .map(|((w, share), hot)| w * share.value() * hot.value());
    let shown = |share: Option<Ratio>| share.map_or("?".to_owned(), Ratio::shown);
    let from = format!(
        "{id}: rated {} × {} sensible × {} on the hottest day ({})",
        kind.capacity.map_or("?".to_owned(), Watts::shown),
        shown(sensible),
        shown(hot),
        kind.figures.words()
    );
    CoolingFigures {
        id,
        sensible_w,
        from,
        missing,
        guessed: kind.figures == FigureOrigin::Guess,
    }
}
