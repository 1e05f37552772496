//! Throw: the air that reaches each printer, held against what it bears while printing.

use super::again::{Each, Run};
use super::keep_out::why_no_jet;
use super::{Check, Finding, Severity, Standing, anything};
use crate::layout::{Fastest, Jet, Layout, Part, PlacedPrinter, STILL_M_S, Sees};
use crate::plan::{Id, ItemKind, Limit, Sure};
use crate::stock::{PrinterKind, Prints};
use crate::units::MetresPerSecond;

pub(super) const CHECK: Check = Check {
    id: "throw",
    title: "Draught at the printers",
    worst: Severity::Caution,
    what: "The air speed that a cooling unit throws on each printer, against what that printer bears with what is printed on it; enclosed ones are exempt.",
    why: "A draught warps prints off the bed and splits layers long before it is felt on the skin.",
    how: "A free cold jet at the fan speed in use: spread, pitch of the vane and drop from the outlet's size, flow and temperature, its fastest air over the printer's envelope in use and over all its swing. What lies behind a column, a beam, a supply or the closed side of a rack, along the path of the air, is in its lee. Air of at most 0.05 m/s counts as still. Where the jet reaches the far wall, the mean speed of the room is told too.",
    blind: "Air that clings to walls or turns back from them, that flows round a body into its lee, and that printers and open racks slow down; several units together; doors and windows.",
    caution: "",
    in_fill: false,
    limits: &["draught", "draught-easy"],
    run: Run::Each(EACH),
    concerns: anything,
};

/// From that speed down the jet is lost among the currents of the room (teaching texts on air distribution).
const ROOM_CURRENTS_M_S: f64 = 0.25;

/// A rack is judged by the units that blow on it and what shades it, a unit by itself and by what prints in the room.
const EACH: Each = Each {
    is: |part| matches!(part.kind, ItemKind::Rack | ItemKind::Cooling),
    judge: about,
    touched: |layout, part, other| {
        if part.kind == ItemKind::Cooling {
            return other.kind == ItemKind::Rack;
        }
        other.kind == ItemKind::Cooling || layout.may_shade(other, part, Sees::All)
    },
    by_power: false,
};

fn about(layout: &Layout, part: &Part) -> Vec<Finding> {
    if part.kind == ItemKind::Cooling {
        return match &part.jet_in_use {
            None => vec![unknown(layout, part)],
            Some(jet) => in_the_room(layout, part, jet).into_iter().collect(),
        };
    }
    let units = layout.of_kind(ItemKind::Cooling);
    let jets = units.filter_map(|unit| unit.jet_in_use.as_ref().map(|jet| (unit, jet)));
    jets.filter_map(|(unit, jet)| on_rack(layout, part, (unit, jet)))
        .collect()
}

/// The draughts that one unit makes.
pub(super) fn broken_by(layout: &Layout, unit: &Part) -> Vec<Finding> {
    let Some(jet) = &unit.jet_in_use else {
        return Vec::new();
    };
    let racks = layout.of_kind(ItemKind::Rack);
    let found = racks.filter_map(|rack| on_rack(layout, rack, (unit, jet)));
    found
        .chain(in_the_room(layout, unit, jet))
        .filter(|f| f.standing == Standing::Broken)
        .collect()
}

fn unknown(layout: &Layout, unit: &Part) -> Finding {
    let limit = &layout.limits().draught;
    let text = format!(
        "{}, so the draught at the printers is unknown.",
        why_no_jet(layout, unit, Sees::All)
    );
    Finding::new(
        CHECK.id,
        Severity::Caution,
        Standing::Unknown,
        vec![unit.id],
        text,
    )
    .figure(
        None,
        Some(limit.value.value()),
        "m/s",
        &limit.source_words(),
    )
    .at(unit.spot, unit.spot_height)
}

/// The key of what is told of the whole room.
pub(super) fn room_key(unit: Id) -> String {
    format!("{} room {unit}", CHECK.id)
}

/// The mean speed of the room where the jet reaches its far wall, if that alone is more than some printer of it bears.
fn in_the_room(layout: &Layout, unit: &Part, jet: &Jet) -> Option<Finding> {
    let (far, width) = layout.before_jet(jet)?;
    let reach = jet.throw(ROOM_CURRENTS_M_S)?;
    let height = layout.plan().room().ceiling.mm();
    let mean = jet.mean_room_speed(width, height)?;
    // Which kind bears least is known without a look at the printers; most rooms end here.
    if reach < jet.way(far) || mean <= least_of_kinds(layout) {
        return None;
    }
    let bears_least = layout.printers().filter_map(|(_, printer)| {
        let limit = borne(layout, printer)?;
        Some((printer, limit))
    });
    let (printer, limit) = bears_least.min_by(|(p, a), (q, b)| {
        let order = a.value.value().total_cmp(&b.value.value());
        order.then(p.id.cmp(&q.id))
    })?;
    if mean <= limit.value.value() + 1e-9 {
        return None;
    }
    let text = format!(
        "Whatever stands in this room stands in about {mean:.2} m/s, as the air of cooling unit {} reaches the far wall and stirs the whole room; {} bears {}. Turning the vane does not help: a lower fan speed does.",
        unit.id,
        printer.id,
        limit.value.shown()
    );
    Some(
        Finding::new(
            CHECK.id,
            Severity::Note,
            Standing::Broken,
            vec![unit.id],
            text,
        )
        .facet("room")
        .speed(mean, &limit)
        .at(unit.spot, unit.spot_height),
    )
}

/// The least air speed that any open printer could bear, whatever is printed on it.
fn least_of_kinds(layout: &Layout) -> f64 {
    let limits = layout.limits();
    let own = layout.stock().printers.values().filter(|k| !k.enclosed);
    own.filter_map(|k| k.draught)
        .chain([limits.draught.value, limits.draught_easy.value])
        .map(MetresPerSecond::value)
        .fold(f64::INFINITY, f64::min)
}

/// The open printers of a rack in one jet: one finding for all that stand in too much, else one for the fastest air.
fn on_rack(layout: &Layout, rack: &Part, (unit, jet): (&Part, &Jet)) -> Option<Finding> {
    let blown = most_blown(layout, rack, (unit, jet));
    let broken = blown.iter().filter(|b| b.over() > 1e-9).count();
    let most = blown.iter().max_by(|a, b| {
        let order = a.over().total_cmp(&b.over());
        order.then(b.printer.id.cmp(&a.printer.id))
    })?;
    let (id, air) = (most.printer.id, most.air);
    if air.speed <= STILL_M_S.min(most.limit.value.value()) {
        return None;
    }
    let (standing, text) = if broken > 0 {
        let who = match broken {
            1 => format!("{id} on {} stands", rack.id),
            n => format!("{n} printers of {}, {id} most of all, stand", rack.id),
        };
        (
            Standing::Broken,
            format!(
                "{who} in up to {:.2} m/s from cooling unit {}; {}.",
                air.speed,
                unit.id,
                most.bears(layout)
            ),
        )
    } else {
        (
            Standing::Met,
            format!(
                "The open printers of {} stand in at most {:.2} m/s from cooling unit {}.",
                rack.id, air.speed, unit.id
            ),
        )
    };
    Some(
        Finding::new(
            CHECK.id,
            Severity::Caution,
            standing,
            vec![rack.id, unit.id],
            text,
        )
        .speed(air.speed, &most.limit)
        .at(air.at, air.height),
    )
}

/// An open printer, the fastest air over it, and what it bears.
struct Blown<'a> {
    printer: &'a PlacedPrinter,
    air: Fastest,
    limit: Limit<MetresPerSecond>,
}

impl Blown<'_> {
    /// By how much the air is faster than it bears, in m/s.
    fn over(&self) -> f64 {
        self.air.speed - self.limit.value.value()
    }

    /// What it bears, and why that.
    fn bears(&self, layout: &Layout) -> String {
        let limit = self.limit.value.shown();
        let own = layout.stock().printers.get(&self.printer.kind);
        let own = own.is_some_and(|k| k.draught.is_some());
        match self.printer.prints {
            _ if own => format!("this kind bears {limit}"),
            Some(Prints::Easy) => format!("an open printer of easy materials bears {limit}"),
            Some(Prints::Warping) => format!("an open printer of what warps bears {limit}"),
            None => format!("an open printer bears {limit} while nobody says what it prints"),
        }
    }
}

/// The open printers of a rack in one jet: all that stand in too much, and the one nearest to it. Passed over are those that can
/// neither stand in too much nor come nearer to it than another.
fn most_blown<'a>(layout: &Layout, rack: &'a Part, (unit, jet): (&Part, &Jet)) -> Vec<Blown<'a>> {
    let ignored = STILL_M_S.min(least_of_kinds(layout));
    let mut exposed: Vec<(f64, &PlacedPrinter, Limit<MetresPerSecond>)> = layout
        .exposed(rack, jet, ignored)
        .into_iter()
        .filter_map(|e| {
            let limit = borne(layout, e.printer)?;
            Some((e.at_most - limit.value.value(), e.printer, limit))
        })
        .collect();
    exposed.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut blown: Vec<Blown<'a>> = Vec::new();
    let mut nearest = f64::NEG_INFINITY;
    for (at_most, printer, limit) in exposed {
        if at_most <= 0.0 && at_most < nearest {
            break;
        }
        if let Some(air) = layout.air_over(unit, Sees::All, printer) {
            let one = Blown {
                printer,
                air,
                limit,
            };
            nearest = nearest.max(one.over());
            blown.push(one);
        }
    }
    blown
}

/// The air speed that a printer bears: the figure of its kind, else the plan's limit for what is printed on it; `None` for an
/// enclosed one, which bears any. Where nobody says what is printed, it may be what warps.
fn borne(layout: &Layout, printer: &PlacedPrinter) -> Option<Limit<MetresPerSecond>> {
    let kind = layout.stock().printers.get(&printer.kind)?;
    if kind.enclosed {
        return None;
    }
    let limits = layout.limits();
    let of_material = || match printer.prints {
        Some(Prints::Easy) => limits.draught_easy.clone(),
        Some(Prints::Warping) | None => limits.draught.clone(),
    };
    Some(own_figure(kind).unwrap_or_else(of_material))
}

fn own_figure(kind: &PrinterKind) -> Option<Limit<MetresPerSecond>> {
    kind.draught.map(|value| Limit {
        value,
        source: format!("figure entered for {}", kind.name),
        sure: Sure::Owner,
    })
}
