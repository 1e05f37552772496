//! A card for every bad day: what stops, how long batteries carry the rest, what to pause first, how warm the room gets, how printers come
//! back. Figures with their words; `sheet`, `editor` and `cli` show them. Judges nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::outage::{BadDay, Carried, Failure, Pause, Ride, bad_days};
use super::restart::{Restart, restart};
use crate::layout::Layout;
use crate::plan::{Id, Item, ItemKind, UpsPlace};
use crate::units::{Celsius, capital, degrees, kelvins};

/// Said once with the cards.
pub const CAUTION: &str = "For planning only: times of batteries and temperatures are estimates until they were tried. A licensed electrician decides on the wiring, and what trips is looked into before it is switched on again.";

/// The moments after a cooling unit stops at which the room's temperature is told, in minutes.
const MOMENTS_MIN: [f64; 3] = [15.0, 30.0, 60.0];
/// Beyond this a temperature is no figure to plan with, °C: printers have stopped by then.
const HOTTEST_C: f64 = 60.0;
/// So many steps of pausing are told for each UPS.
const PAUSES_TOLD: usize = 3;

/// One card.
#[derive(Clone, Debug)]
pub struct DayCard {
    /// What fails, what stops, what is carried.
    pub day: BadDay,
    /// What happens, as in "C01 trips".
    pub title: String,
    /// The gist in a line.
    pub summary: String,
    /// What pausing gains, for each UPS of [`BadDay::carried`]; `None` where a figure is missing.
    pub pauses: Vec<Option<Vec<Pause>>>,
    /// How the room warms, where cooling stops.
    pub room: Option<Warming>,
    /// The way back, where the whole supply was off.
    pub restart: Option<Restart>,
    /// All of it in words.
    pub parts: Vec<Part>,
    /// The things on the floor that it is about, what fails last.
    pub marks: Vec<Id>,
}

/// A part of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its heading.
    pub heading: &'static str,
    /// Its lines, each a sentence or a list.
    pub lines: Vec<String>,
}

/// How warm the room gets while a cooling unit stands still and everything else runs on.
#[derive(Clone, Debug, PartialEq)]
pub struct Warming {
    /// Heat that nothing takes, W; `None` while a figure is missing.
    pub excess_w: Option<f64>,
    /// The temperature it starts from, °C, where it was entered.
    pub from_c: Option<f64>,
    /// After so many seconds so many kelvins: at least (printers warm with the air), at most (the air alone).
    pub rise_k: Vec<(f64, f64, f64)>,
    /// Printers to pause, those that bring most heat first.
    pub pause: Vec<Id>,
    /// So many of them have to be paused until nothing is left to warm the room; `None` where all together do not do.
    pub enough: Option<usize>,
}

impl Warming {
    fn of(layout: &Layout, unit: Id) -> Self {
        let heat = layout.heat();
        let excess_w = heat.left_without(unit);
        let warms = excess_w.filter(|w| *w > 0.0);
        let rise_k = warms.map_or_else(Vec::new, |watts| {
            let after = |minutes: &f64| {
                let seconds = minutes * 60.0;
                let (least, most) = heat.warmed_k(watts, seconds)?;
                Some((seconds, least, most))
            };
            MOMENTS_MIN.iter().filter_map(after).collect()
        });
        Self {
            excess_w,
            from_c: layout.plan().heat().indoors.map(Celsius::value),
            rise_k,
            pause: heat.savings.iter().map(|(id, _)| *id).collect(),
            enough: excess_w.and_then(|watts| heat.pauses_for(watts)),
        }
    }

    /// The printers to pause first: as many as are enough, or all.
    fn first(&self) -> impl Iterator<Item = Id> + '_ {
        let warms = self.excess_w.is_none_or(|watts| watts > 0.0);
        let most = if warms {
            self.enough.unwrap_or(self.pause.len())
        } else {
            0
        };
        self.pause.iter().copied().take(most)
    }

    /// The temperature at a moment in words, from least to most.
    fn told(&self, layout: &Layout, (seconds, least, most): (f64, f64, f64)) -> String {
        let practice = layout.plan().practice();
        let minutes = seconds / 60.0;
        let Some(from) = self.from_c else {
            return format!(
                "After {minutes:.0} min: {} to {} warmer.",
                kelvins(least, practice),
                kelvins(most, practice)
            );
        };
        if from + least > HOTTEST_C {
            return format!(
                "After {minutes:.0} min: above {}.",
                degrees(HOTTEST_C, practice)
            );
        }
        let most = match from + most {
            most if most > HOTTEST_C => format!("more than {}", degrees(HOTTEST_C, practice)),
            most => degrees(most, practice),
        };
        format!(
            "After {minutes:.0} min: {} to {most}.",
            degrees(from + least, practice)
        )
    }
}

/// Every card of the layout's phase: the supply, then cooling, then what stops most printers, at once or when their battery is empty.
pub fn day_cards(layout: &Layout) -> Vec<DayCard> {
    let slots: BTreeMap<Id, Id> = layout
        .printers()
        .map(|(slot, printer)| (printer.id, slot.name.rack))
        .collect();
    let mut cards: Vec<DayCard> = bad_days(layout)
        .into_iter()
        .map(|day| card(layout, &slots, day))
        .collect();
    cards.sort_by_key(|card| {
        (
            rank(card.day.failure),
            std::cmp::Reverse(card.day.printers()),
        )
    });
    cards
}

fn rank(failure: Failure) -> u8 {
    match failure {
        Failure::Supply => 0,
        Failure::Cooling(_) => 1,
        Failure::Circuit(_) | Failure::Ups(_) => 2,
    }
}

/// Printers by the rack they stand in.
type Racks = BTreeMap<Id, Id>;

fn card(layout: &Layout, racks: &Racks, day: BadDay) -> DayCard {
    let pauses: Vec<_> = day.carried.iter().map(|c| c.pauses(layout)).collect();
    let room = match day.failure {
        Failure::Cooling(unit) => Some(Warming::of(layout, unit)),
        Failure::Circuit(_) | Failure::Ups(_) | Failure::Supply => None,
    };
    let restart = (day.failure == Failure::Supply).then(|| restart(layout));
    let mut parts = vec![stops(racks, &day)];
    parts.extend(carried(&day));
    parts.extend(pause_first(&day, &pauses));
    parts.extend(room.iter().flat_map(|room| warming(layout, room)));
    parts.extend(restart.as_ref().map(|way| coming_back(racks, way)));
    DayCard {
        title: title(&day),
        summary: summary(&day, room.as_ref()),
        marks: marks(layout, racks, &day, room.as_ref()),
        parts,
        pauses,
        room,
        restart,
        day,
    }
}

fn title(day: &BadDay) -> String {
    match day.failure {
        Failure::Circuit(id) => format!("The breaker of {id} trips"),
        Failure::Ups(id) => format!("UPS {id} fails"),
        Failure::Cooling(id) => format!("Cooling unit {id} stops"),
        Failure::Supply => "The whole supply is off".to_owned(),
    }
}

fn summary(day: &BadDay, room: Option<&Warming>) -> String {
    if let Some(room) = room {
        return match room.excess_w {
            None => "How fast the room warms is not known.".to_owned(),
            Some(watts) if watts <= 0.0 => "The other units take all heat.".to_owned(),
            Some(watts) => format!("{:.1} kW stay in the room.", watts / 1000.0),
        };
    }
    let mut said = Vec::new();
    let stops = day.stops.len();
    if stops > 0 {
        said.push(format!("{} at once", stop(stops)));
    }
    let carried = day.printers() - stops;
    if carried > 0 {
        let first = match day.shortest() {
            Some(minutes) => format!("the first battery is empty after {minutes:.0} min"),
            None => "for how long is not known".to_owned(),
        };
        said.push(format!("{} on UPS, {first}", printers(carried)));
    }
    match said.as_slice() {
        [] => "No printer stops.".to_owned(),
        said => format!("{}.", said.join("; ")),
    }
}

/// So many printers in words.
pub(super) fn printers(n: usize) -> String {
    match n {
        1 => "1 printer".to_owned(),
        n => format!("{n} printers"),
    }
}

fn stop(n: usize) -> String {
    match n {
        1 => "1 printer stops".to_owned(),
        n => format!("{n} printers stop"),
    }
}

/// What stops at once.
fn stops(racks: &Racks, day: &BadDay) -> Part {
    let mut lines = by_rack(racks, &day.stops);
    lines.extend(day.others.iter().map(|name| format!("Also: {name}.")));
    match day.failure {
        Failure::Supply => {
            lines.push("Also cooling and lights, as far as nothing else feeds them.".to_owned());
        }
        Failure::Cooling(_) => lines.push("Nothing but the cooling: printers run on.".to_owned()),
        Failure::Circuit(_) | Failure::Ups(_) if lines.is_empty() => {
            lines.push("Nothing.".to_owned());
        }
        Failure::Circuit(_) | Failure::Ups(_) => {}
    }
    Part {
        heading: "Stops at once",
        lines,
    }
}

/// Printers, a line a rack.
fn by_rack(racks: &Racks, printers: &[Id]) -> Vec<String> {
    let mut by_rack: BTreeMap<Option<Id>, Vec<Id>> = BTreeMap::new();
    for id in printers {
        by_rack.entry(racks.get(id).copied()).or_default().push(*id);
    }
    by_rack
        .into_iter()
        .map(|(rack, mut ids)| {
            ids.sort_unstable();
            (rack, ids)
        })
        .map(|(rack, ids)| match rack {
            Some(rack) => format!("{rack}: {}", listed(&ids)),
            None => listed(&ids),
        })
        .collect()
}

/// Marks one after the other.
fn listed(ids: &[Id]) -> String {
    let words: Vec<String> = ids.iter().map(ToString::to_string).collect();
    words.join(" ")
}

/// What batteries carry, and for how long; UPS with the same answer stand in one line.
fn carried(day: &BadDay) -> Option<Part> {
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    let loaded = day.carried.iter().filter(|c| !c.printers.is_empty());
    for one in loaded {
        let how_long = one.ride.words();
        let who = format!("{} with {}", one.ups, listed(&one.printers));
        match lines.iter_mut().find(|(words, _)| *words == how_long) {
            Some((_, all)) => all.push(who),
            None => lines.push((how_long, vec![who])),
        }
    }
    let lines = lines
        .into_iter()
        .map(|(how_long, who)| format!("{}: {how_long}.", who.join(", ")))
        .collect();
    part("Runs on for a while, the heaviest named first", lines)
}

fn part(heading: &'static str, lines: Vec<String>) -> Option<Part> {
    (!lines.is_empty()).then_some(Part { heading, lines })
}

/// What to pause first, UPS by UPS, and the minutes that it gains.
fn pause_first(day: &BadDay, pauses: &[Option<Vec<Pause>>]) -> Option<Part> {
    let all = day.carried.iter().zip(pauses);
    let loaded = all.filter(|(c, _)| !c.printers.is_empty());
    let mut lines: Vec<String> = loaded
        .clone()
        .filter_map(|(c, p)| pause_line(c, p.as_deref()?))
        .collect();
    let silent: Vec<Id> = loaded
        .filter(|(c, p)| p.as_deref().and_then(|p| pause_line(c, p)).is_none())
        .map(|(c, _)| c.ups)
        .collect();
    if !silent.is_empty() {
        let whose = match lines.as_slice() {
            [] => String::new(),
            _ => format!("{}: ", listed(&silent)),
        };
        lines.push(capital(&format!(
            "{whose}in the order above; what it gains is not known, for want of the battery or of standby watts."
        )));
    }
    part("Pause first, the heaviest first", lines)
}

/// As in "U1: P003 gains 8 min (31 min), then P001 24 min (47 min)."; none where no time is known.
fn pause_line(carried: &Carried, pauses: &[Pause]) -> Option<String> {
    let gains = pauses.iter().zip(&carried.printers).take(PAUSES_TOLD);
    let mut said = Vec::new();
    for (pause, printer) in gains {
        said.push(format!(
            "{printer} {}",
            gain_words(carried.ride, pause.ride)?
        ));
    }
    let said = said.join(", then ");
    Some(format!("{}: {said}.", carried.ups))
}

/// What a longer time gains over a shorter one, as in "gains 8 min (31 min)".
fn gain_words(before: Ride, after: Ride) -> Option<String> {
    let lasts = after.minutes()?;
    let at_least = if matches!(after, Ride::AtLeast(_)) {
        "at least "
    } else {
        ""
    };
    Some(match before {
        Ride::Maker(minutes) | Ride::Estimate(minutes) => format!(
            "gains {at_least}{:.0} min ({lasts:.0} min)",
            (lasts - minutes).max(0.0)
        ),
        Ride::AtLeast(_) => format!("leaves at least {lasts:.0} min"),
        Ride::Overloaded => format!("makes it last {at_least}{lasts:.0} min"),
        Ride::Unknown => return None,
    })
}

/// How warm the room gets, and which printers to pause first.
fn warming(layout: &Layout, room: &Warming) -> Vec<Part> {
    let mut lines = Vec::new();
    match room.excess_w {
        None => lines.push(
            "How warm it gets is not known: figures are missing, see the check `cooling`."
                .to_owned(),
        ),
        Some(watts) if watts <= 0.0 => {
            lines.push("The other units take all heat of the hottest day.".to_owned());
        }
        Some(watts) => {
            lines.push(format!(
                "{:.2} kW stay in the room on the hottest day while everything else runs on.",
                watts / 1000.0
            ));
            lines.extend(room.rise_k.iter().map(|moment| room.told(layout, *moment)));
            lines.push("An estimate: the lesser figure lets printers warm with the air, the greater the air alone; racks and walls slow it.".to_owned());
        }
    }
    let first: Vec<Id> = room.first().collect();
    let mut pause = Vec::new();
    if !first.is_empty() {
        pause.push(match room.enough {
            Some(n) => format!("Pausing {} is enough.", printers(n)),
            None => "Pausing all of them slows it but is not enough: open up or move cold air as the landlord allows, and call whoever looks after the unit.".to_owned(),
        });
        pause.push(format!("{}.", listed(&first)));
    }
    let heading = "Pause first, what heats most first";
    part("The room", lines)
        .into_iter()
        .chain(part(heading, pause))
        .collect()
}

/// The turns in which printers come back.
fn coming_back(racks: &Racks, way: &Restart) -> Part {
    let mut lines = vec![format!("{}.", capital(&way.words()))];
    // Where all may come back at once there is no order to keep.
    let several = way.turns.len() > 1;
    for (number, turn) in (1..).zip(&way.turns).filter(|_| several) {
        lines.push(format!("Turn {number}, {} heat:", turn.len()));
        lines.extend(by_rack(racks, turn));
    }
    let mut over: BTreeMap<Id, Vec<Id>> = BTreeMap::new();
    for stuck in &way.stuck {
        over.entry(stuck.over).or_default().push(stuck.printer);
    }
    lines.extend(
        over.iter()
            .map(|(over, ids)| format!("Not at all: {}, as {over} would be over.", listed(ids))),
    );
    if !way.unknown.is_empty() {
        lines.push(format!("Not counted: {}.", listed(&way.unknown)));
    }
    Part {
        heading: "Coming back, turn by turn",
        lines,
    }
}

/// Racks, UPS, outlets and what fails; where cooling stops, the racks of the printers to pause first.
fn marks(layout: &Layout, racks: &Racks, day: &BadDay, room: Option<&Warming>) -> Vec<Id> {
    let to_pause = room.into_iter().flat_map(Warming::first);
    let printers = day.all().chain(to_pause);
    let mut marks: BTreeSet<Id> = printers.filter_map(|p| racks.get(&p).copied()).collect();
    marks.extend(day.carried.iter().map(|c| c.ups));
    let last = match day.failure {
        Failure::Circuit(id) => {
            if let Some(circuit) = layout.power().circuits.get(&id) {
                marks.extend(&circuit.outlets);
            }
            Some(id)
        }
        Failure::Ups(id) => {
            if let Some(Item::Ups(ups)) = layout.plan().items().get(id)
                && let UpsPlace::OnRack(rack) = ups.stands
            {
                marks.insert(rack);
            }
            Some(id)
        }
        Failure::Cooling(id) => Some(id),
        Failure::Supply => {
            marks.extend(layout.of_kind(ItemKind::Panel).map(|part| part.id));
            None
        }
    };
    let others = marks.into_iter().filter(|id| Some(*id) != last);
    others.chain(last).collect()
}
