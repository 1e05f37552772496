//! Cooling: the heat that the room has to lose against what its cooling units take, and what happens when they stop.

use super::again::{Before, Run, Turn};
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::heat;
use crate::layout::{HeatBalance, Layout, Part};
use crate::plan::Id;
use crate::units::{degrees, kelvins};

pub(super) const CHECK: Check = Check {
    id: "cooling",
    title: "Cooling carries the heat",
    worst: Severity::Caution,
    what: "The heat of printers, UPS loss, lights, people, walls, windows, sun and outdoor air against what the cooling units take of it on the hottest day; how fast the room warms when they stop.",
    why: "All electrical power in the room becomes heat. Printers, batteries and people fail in a room that is too warm; a technician for cooling sizes the unit, an electrician and the local code its supply.",
    how: "Sensible heat alone, by ASHRAE Fundamentals chapter 18: capacity × sensible share × share left on the hottest day against the sum of all terms. A figure that nobody entered is unknown. What a person says of the room stands on the plan's card.",
    blind: "Moisture, heat stored in walls, the floor, doors (counted as wall), neighbours that grow warmer too, ducts, dirty filters, and that a unit takes more from a warmer room; one sum for the hottest hour, not a day.",
    caution: "A technician for cooling sizes the unit, a licensed electrician its supply.",
    in_fill: false,
    limits: &[],
    run: Run::Unless(run, may_alter),
    concerns: anything,
};

/// How much warmer the room is when somebody should have come, K: own judgement.
const RISE_K: f64 = 10.0;

/// Beyond this a room in balance is no figure to plan with, °C: printers have stopped by then.
const HOTTEST_C: f64 = 60.0;

/// False where a change leaves the printers and UPS as they are, and moves nothing that heat passes through or that takes it.
fn may_alter(turn: &Turn<'_>, _: &Before) -> bool {
    !turn.hangs_as_before() || turn.moved_parts().any(Part::bears_on_heat)
}

fn run(layout: &Layout) -> Vec<Finding> {
    let heat = layout.heat();
    let units: Vec<Id> = heat.units.iter().map(|u| u.id).collect();
    if units.is_empty() && layout.printers().next().is_none() {
        return Vec::new();
    }
    let mut found = vec![balance(layout, &heat, &units)];
    if !units.is_empty() {
        found.push(stopped(layout, &heat, &units));
    }
    found
}

/// Points at the first unit, if there is one.
fn pointing(layout: &Layout, finding: Finding) -> Finding {
    let unit = finding.items.first().and_then(|id| layout.part(*id));
    match unit.map(|part| (part.spot, part.spot_height)) {
        Some((spot, height)) => finding.at(spot, height),
        None => finding,
    }
}

fn balance(layout: &Layout, heat: &HeatBalance, units: &[Id]) -> Finding {
    let known = heat.known_w();
    let whole = heat.whole_w();
    let takes = heat.sensible_w();
    let standing = match (takes, whole) {
        (Some(takes), _) if known > takes + 1e-9 && (whole.is_some() || !heat.missing_may_cool) => {
            Standing::Broken
        }
        (Some(_), Some(_)) => Standing::Met,
        _ => Standing::Unknown,
    };
    let text = match (units, takes) {
        ([], _) => format!(
            "No cooling unit stands here in this phase, and the room has {}.{}",
            load(heat),
            at_rest(layout, heat, whole)
        ),
        (_, None) => format!(
            "What {} on the hottest day is unknown ({}); the room has {}.",
            names(units, "takes", "take"),
            few(&heat.missing_of_units()),
            load(heat)
        ),
        (_, Some(takes)) => {
            let sum = format!(
                "The room has {}, and {} {} of it on the hottest day",
                load(heat),
                names(units, "takes", "take"),
                kilowatts(takes)
            );
            match standing {
                Standing::Broken => format!(
                    "{sum}.{}{}",
                    at_rest(layout, heat, whole.map(|w| w - takes)),
                    pauses(heat, known - takes)
                ),
                Standing::Met | Standing::Unknown => format!("{sum}."),
            }
        }
    };
    let source = if units.is_empty() {
        "energy balance; no unit".to_owned()
    } else {
        let from: Vec<&str> = heat.units.iter().map(|u| u.from.as_str()).collect();
        from.join("; ")
    };
    let measured = (standing != Standing::Unknown).then_some(known);
    let finding = Finding::new(CHECK.id, Severity::Caution, standing, units.to_vec(), text)
        .facet("balance")
        .figure(measured, takes, "W", &source);
    pointing(layout, finding)
}

/// How fast the room warms when all units stop and everything else runs on.
fn stopped(layout: &Layout, heat: &HeatBalance, units: &[Id]) -> Finding {
    let source = "estimate: one lumped heat capacity, of the air alone and of air and printers (0.5 kJ/kg K, from memory)";
    let stop = names(units, "stops", "stop");
    let after = |w: f64, capacity: f64| {
        let carries = heat.conductance_w_k.unwrap_or(0.0);
        heat::warming_s(w, carries, capacity, RISE_K)
    };
    let whole = heat.whole_w();
    let (standing, text) = match whole {
        None => (
            Standing::Unknown,
            format!(
                "How fast the room warms when {stop} is unknown: {} stay in it.",
                load(heat)
            ),
        ),
        Some(w) => {
            let air = after(w, heat.air_j_k);
            let both = after(w, heat.air_j_k + heat.printers_j_k);
            let says = match air.zip(both) {
                None => format!(
                    "the room warms by less than {}",
                    kelvins(RISE_K, layout.plan().practice())
                ),
                Some((air, both)) => format!(
                    "the room warms by {} in {}, an estimate from its air alone and from air and printers; racks and walls slow it",
                    kelvins(RISE_K, layout.plan().practice()),
                    minutes(air, both)
                ),
            };
            (
                Standing::Met,
                format!("When {stop} and all else runs on, {says}.{}", first(heat)),
            )
        }
    };
    let finding = Finding::new(CHECK.id, Severity::Note, standing, units.to_vec(), text)
        .facet("stopped")
        .figure(whole, None, "W", source);
    pointing(layout, finding)
}

/// The unit's mark or the marks with the verb that fits.
fn names(units: &[Id], one: &str, several: &str) -> String {
    match units {
        [] => format!("nothing {one}"),
        [unit] => format!("{unit} {one}"),
        [first, more @ ..] => format!("{first} and {} more {several}", more.len()),
    }
}

fn kilowatts(watts: f64) -> String {
    format!("{:.2} kW", watts / 1000.0)
}

/// The heat in words, with what is missing.
fn load(heat: &HeatBalance) -> String {
    let known = kilowatts(heat.known_w());
    let missing = heat.missing();
    if missing.is_empty() {
        format!("{known} of heat to lose")
    } else {
        let least = if heat.missing_may_cool {
            "about"
        } else {
            "at least"
        };
        format!("{least} {known} of heat to lose, unknown {}", few(&missing))
    }
}

/// The first of a list and how many more.
fn few(words: &[&str]) -> String {
    match words {
        [a, b, c, more @ ..] if more.len() > 1 => {
            format!("{a}, {b}, {c} and {} figures more", more.len())
        }
        _ => words.join(", "),
    }
}

/// The temperature at which walls and air carry what is left, where all that is known.
fn at_rest(layout: &Layout, heat: &HeatBalance, left_w: Option<f64>) -> String {
    let indoors = layout.plan().heat().indoors;
    let (Some(left), Some(carries), Some(indoors)) = (left_w, heat.conductance_w_k, indoors) else {
        return String::new();
    };
    match heat::balance_rise_k(left, carries).map(|rise| indoors.value() + rise) {
        Some(rest) if rest <= HOTTEST_C => {
            format!(
                " It would come to rest at {}.",
                degrees(rest, layout.plan().practice())
            )
        }
        Some(_) => format!(
            " It would not come to rest below {}.",
            degrees(HOTTEST_C, layout.plan().practice())
        ),
        None => " Nothing else carries it out: it would go on warming.".to_owned(),
    }
}

/// How many printers to pause so that the units take the rest: those with most watts first, so that few stand still.
fn pauses(heat: &HeatBalance, excess_w: f64) -> String {
    match heat.pauses_for(excess_w) {
        Some(1) => format!(" Pausing one printer would do: {}.", list(heat, 1)),
        Some(n) => format!(
            " Pausing {n} printers would do, those with most watts first: {}.",
            list(heat, n)
        ),
        None => " Pausing printers alone would not do.".to_owned(),
    }
}

/// Which printers to pause first.
fn first(heat: &HeatBalance) -> String {
    if heat.savings.is_empty() {
        return String::new();
    }
    format!(
        " Pause printers then, those with most watts first: {}.",
        list(heat, heat.savings.len())
    )
}

/// The marks of the first few of so many printers to pause.
fn list(heat: &HeatBalance, of: usize) -> String {
    let shown: Vec<String> = heat
        .savings
        .iter()
        .take(of.min(3))
        .map(|(id, _)| id.to_string())
        .collect();
    let more = if of > 3 { " …" } else { "" };
    format!("{}{more}", shown.join(", "))
}

/// A stretch of time in whole minutes.
fn minutes(from_s: f64, to_s: f64) -> String {
    let (from, to) = ((from_s / 60.0).round(), (to_s / 60.0).round());
    if to < 1.0 {
        "less than a minute".to_owned()
    } else if (to - from).abs() < 0.5 {
        format!("about {to:.0} min")
    } else if from < 1.0 {
        format!("at most {to:.0} min")
    } else {
        format!("{from:.0} to {to:.0} min")
    }
}
