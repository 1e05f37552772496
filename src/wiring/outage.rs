//! Bad days: what stops when a breaker, a UPS, the cooling or the whole supply fails, how long batteries carry the rest, and what to
//! pause first. Times are the maker's where there are any, else estimates and said to be.

use crate::handbook::circuit;
use crate::layout::{Layout, UpsLoad};
use crate::plan::{Id, ItemKind};
use crate::stock::{Battery, Runtime, UpsKind};
use crate::units::Ratio;

/// What fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Failure {
    /// A breaker trips.
    Circuit(Id),
    /// A UPS drops its load.
    Ups(Id),
    /// A cooling unit stops.
    Cooling(Id),
    /// The whole supply is off.
    Supply,
}

/// How long a battery carries what hangs on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ride {
    /// From the maker's points, in minutes.
    Maker(f64),
    /// Estimated from the battery by Peukert's law, in minutes.
    Estimate(f64),
    /// Longer than the maker's longest time, in minutes: the load is below the least one of the table.
    AtLeast(f64),
    /// The load is above the greatest of the maker's table.
    Overloaded,
    /// A figure is missing.
    Unknown,
}

impl Ride {
    /// Minutes, where a time is known.
    pub fn minutes(self) -> Option<f64> {
        match self {
            Self::Maker(minutes) | Self::Estimate(minutes) | Self::AtLeast(minutes) => {
                Some(minutes)
            }
            Self::Overloaded | Self::Unknown => None,
        }
    }

    /// In words, as in "about 23 min (an estimate)".
    pub fn words(self) -> String {
        match self {
            Self::Maker(minutes) => format!("{minutes:.0} min by the maker's table"),
            Self::Estimate(minutes) => {
                format!("about {minutes:.0} min, an estimate from the battery")
            }
            Self::AtLeast(minutes) => format!("at least {minutes:.0} min by the maker's table"),
            Self::Overloaded => "it is loaded beyond the maker's table".to_owned(),
            Self::Unknown => {
                "how long is not known: no runtime of the maker and no battery is entered"
                    .to_owned()
            }
        }
    }
}

/// A UPS that carries its printers for a while.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// The UPS.
    pub ups: Id,
    /// Its printers, those that draw most first: pausing these first gains most.
    pub printers: Vec<Id>,
    /// How long.
    pub ride: Ride,
}

/// What pausing printers on a UPS gains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pause {
    /// So many are paused, those that draw most first; they idle on.
    pub paused: usize,
    /// How long the battery carries all of them then.
    pub ride: Ride,
}

/// One bad day.
#[derive(Clone, Debug, PartialEq)]
pub struct BadDay {
    /// What fails.
    pub failure: Failure,
    /// Printers that stop at once.
    pub stops: Vec<Id>,
    /// UPS that carry theirs for a while.
    pub carried: Vec<Carried>,
    /// Other loads that stop.
    pub others: Vec<String>,
}

/// Every bad day of the layout's phase: circuit by circuit, UPS by UPS, cooling units, the supply.
pub fn bad_days(layout: &Layout) -> Vec<BadDay> {
    let power = layout.power();
    let circuits = power.circuits.keys().map(|id| Failure::Circuit(*id));
    let supplies = power.supplies.keys().map(|id| Failure::Ups(*id));
    let cooling = layout
        .of_kind(ItemKind::Cooling)
        .map(|part| Failure::Cooling(part.id));
    circuits
        .chain(supplies)
        .chain(cooling)
        .chain([Failure::Supply])
        .map(|failure| bad_day(layout, failure))
        .collect()
}

/// What stops and what is carried when that fails.
pub fn bad_day(layout: &Layout, failure: Failure) -> BadDay {
    let power = layout.power();
    let mut day = BadDay {
        failure,
        stops: Vec::new(),
        carried: Vec::new(),
        others: Vec::new(),
    };
    match failure {
        Failure::Circuit(id) => day.off(layout, id),
        Failure::Ups(id) => {
            let printers = power.supplies.get(&id).map(|ups| ups.printers.clone());
            day.stops = printers.unwrap_or_default();
        }
        Failure::Cooling(_) => {}
        Failure::Supply => {
            for id in power.circuits.keys() {
                day.off(layout, *id);
            }
        }
    }
    day.stops.sort_unstable();
    day
}

impl BadDay {
    /// One circuit without voltage.
    fn off(&mut self, layout: &Layout, id: Id) {
        let power = layout.power();
        let Some(circuit) = power.circuits.get(&id) else {
            return;
        };
        let supplies = circuit
            .supplies
            .iter()
            .filter_map(|ups| Some((*ups, power.supplies.get(ups)?)));
        let mut carried: Vec<Id> = Vec::new();
        for (ups, load) in supplies {
            carried.extend(&load.printers);
            self.carried.push(Carried {
                ups,
                printers: heaviest_first(layout, &load.printers),
                ride: ride(layout, ups, load),
            });
        }
        let straight = circuit.printers.iter().filter(|p| !carried.contains(p));
        self.stops.extend(straight);
        let loads = &layout.plan().supply().loads;
        let names = circuit.others.iter().filter_map(|k| loads.get(*k));
        self.others.extend(names.map(|load| load.name.to_string()));
    }

    /// Every printer that stops, at once or when its battery is empty.
    pub fn all(&self) -> impl Iterator<Item = Id> + '_ {
        let carried = self.carried.iter().flat_map(|c| &c.printers);
        self.stops.iter().chain(carried).copied()
    }

    /// How many printers stop, at once or when their battery is empty.
    pub fn printers(&self) -> usize {
        self.all().count()
    }

    /// The shortest time that a UPS carries its printers, where all are known.
    pub fn shortest(&self) -> Option<f64> {
        let loaded = self.carried.iter().filter(|c| !c.printers.is_empty());
        let times: Option<Vec<f64>> = loaded.map(|c| c.ride.minutes()).collect();
        times?.into_iter().min_by(f64::total_cmp)
    }
}

impl Carried {
    /// How long the battery lasts once the first printer is paused, the first two, and so on; `None` where running or standby
    /// watts of one are not known.
    pub fn pauses(&self, layout: &Layout) -> Option<Vec<Pause>> {
        let kind = layout.ups_kind(self.ups)?;
        let draws: Option<Vec<(f64, f64)>> = self
            .printers
            .iter()
            .map(|id| running_and_standby(layout, *id))
            .collect();
        let draws = draws?;
        let mut watts: f64 = draws.iter().map(|(running, _)| running).sum();
        let saved = draws.iter().map(|(running, standby)| running - standby);
        let pauses = (1..).zip(saved).map(|(paused, saved)| {
            watts -= saved;
            Pause {
                paused,
                ride: ride_of(kind, watts),
            }
        });
        Some(pauses.collect())
    }
}

/// Watts of a printer while it prints and while it idles.
fn running_and_standby(layout: &Layout, id: Id) -> Option<(f64, f64)> {
    let kind = &layout.plan().printers().get(id)?.kind;
    let kind = layout.stock().printers.get(kind)?;
    Some((kind.running?.value(), kind.standby?.value()))
}

/// Printers by what they draw while running, the heaviest first; those of unknown draw last.
fn heaviest_first(layout: &Layout, printers: &[Id]) -> Vec<Id> {
    let watts = |id: &Id| {
        let load = layout.power().printers.get(id);
        load.and_then(|l| l.running_w.whole()).unwrap_or(-1.0)
    };
    let mut sorted = printers.to_vec();
    sorted.sort_by(|a, b| watts(b).total_cmp(&watts(a)).then(a.cmp(b)));
    sorted
}

/// How long a UPS carries the printers on it while they run.
fn ride(layout: &Layout, ups: Id, load: &UpsLoad) -> Ride {
    let (Some(kind), Some(watts)) = (layout.ups_kind(ups), load.load.running_w.whole()) else {
        return Ride::Unknown;
    };
    ride_of(kind, watts)
}

/// How long a kind of UPS carries so many watts.
pub fn ride_of(kind: &UpsKind, watts: f64) -> Ride {
    if watts <= 0.0 {
        return Ride::Unknown;
    }
    if !kind.runtimes.is_empty() {
        return by_maker(&kind.runtimes, watts);
    }
    kind.battery
        .and_then(|battery| estimate(battery, kind.efficiency, watts))
        .map_or(Ride::Unknown, Ride::Estimate)
}

/// Between two points of the maker a straight line in the logarithms of load and time, as Peukert's law would run.
fn by_maker(points: &[Runtime], watts: f64) -> Ride {
    let mut sorted: Vec<(f64, f64)> = points
        .iter()
        .map(|p| (p.load.value(), p.lasts.value()))
        .collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (Some(first), Some(last)) = (sorted.first(), sorted.last()) else {
        return Ride::Unknown;
    };
    if watts < first.0 {
        return Ride::AtLeast(first.1);
    }
    if watts > last.0 + 1e-9 {
        return Ride::Overloaded;
    }
    let between = sorted.windows(2).find_map(|pair| match pair {
        [(w0, t0), (w1, t1)]
            if (*w0..=*w1).contains(&watts) && w1 > w0 && *w0 > 0.0 && *t1 > 0.0 =>
        {
            let share = libm::log(watts / w0) / libm::log(w1 / w0);
            Some(t0 * libm::pow(t1 / t0, share))
        }
        _ => None,
    });
    Ride::Maker(between.unwrap_or(last.1))
}

/// Minutes by the rating-time form of Peukert's law, the capacity derated by what is left of it at its age.
fn estimate(battery: Battery, efficiency: Option<Ratio>, watts: f64) -> Option<f64> {
    let efficiency = battery.efficiency.or(efficiency)?.value();
    let left = battery.left.map_or(1.0, Ratio::value);
    let amperes = circuit::battery_current_a(watts, battery.volts.value(), efficiency)?;
    let capacity = battery.capacity.value() * left;
    let hours = battery.rated_over.value() / 60.0;
    Some(circuit::peukert_h(capacity, hours, amperes, battery.exponent.value())? * 60.0)
}
