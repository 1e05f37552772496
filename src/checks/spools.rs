//! Spools: what the printers use, how often spools are changed, and how long the room's stores last.

use super::again::Run;
use super::finding::counted;
use super::{Check, Finding, Severity, Standing, anything};
use crate::handbook::spools;
use crate::layout::{Layout, SpoolPlaces};
use crate::plan::Id;
use crate::units::Kilograms;

pub(super) const CHECK: Check = Check {
    id: "spools",
    title: "Plastic for the days to come",
    worst: Severity::Caution,
    what: "The plastic that the printers use in a day, the spools changed, the places that the wanted days take for spools of 1 kg and of 3 kg, and the days that the room's own places last.",
    why: "Spools that do not fit in the room stand in the aisle or come too late; a change a printer a day is somebody's hours.",
    how: "What one printer uses, as entered, times the printers of the phase. Places: as entered for a store; on a rack's levels for spools, spools of 200 by 75 mm on their edges in rows (sizes are common practice, from memory).",
    blind: "Spools on the machines themselves, drying boxes, how many colours and kinds have to be at hand, and boxes stacked on the floor.",
    caution: "",
    in_fill: false,
    limits: &[],
    run: Run::Whole(run),
    concerns: anything,
};

const SOURCE: &str = "days wanted and plastic used, as entered";

/// The sizes of spool that are sold, kg.
const SIZES_KG: [f64; 2] = [1.0, 3.0];

fn run(layout: &Layout) -> Vec<Finding> {
    let printers = layout.printers().count();
    if printers == 0 {
        return Vec::new();
    }
    let kept = layout.spool_places();
    let demand = layout.plan().head().demand;
    let each = demand.a_day.map(Kilograms::value).filter(|kg| *kg > 0.0);
    let found = match (each, demand.days) {
        (None, _) => lacking(&kept, "how much plastic a printer uses in a day"),
        (_, None) => lacking(&kept, "for how many days plastic is to be kept"),
        (Some(each), Some(days)) => judged(&kept, (printers, each), f64::from(days)),
    };
    vec![match kept.at {
        Some(at) => found.at(at, 0.0),
        None => found,
    }]
}

fn finding(standing: Standing, kept: &SpoolPlaces, text: String) -> Finding {
    let ids: Vec<Id> = kept.kept_in.clone();
    Finding::new(CHECK.id, Severity::Caution, standing, ids, text).named_by_none()
}

fn lacking(kept: &SpoolPlaces, what: &str) -> Finding {
    let text = format!(
        "Whether the {:.0} places for spools last is unknown: nobody entered {what}.",
        kept.places
    );
    finding(Standing::Unknown, kept, text).figure(None, None, "d", SOURCE)
}

fn judged(kept: &SpoolPlaces, (printers, each): (usize, f64), days: f64) -> Finding {
    let used = counted(printers) * each;
    let [small, large] = SIZES_KG;
    let changes = |size| spools::changes_a_day(used, size).unwrap_or(0.0);
    let places = |size| spools::places_needed(used, days, size).unwrap_or(0.0);
    let lasts = spools::days_on_hand(kept.places, small, used).unwrap_or(0.0);
    let sums = format!(
        "{printers} printers use {used:.1} kg a day: {:.1} spools of 1 kg are changed, or {:.1} of 3 kg. {days:.0} days take {:.0} places for 1 kg, or {:.0} for 3 kg",
        changes(small),
        changes(large),
        places(small),
        places(large)
    );
    let standing = if lasts >= days - 1e-9 {
        Standing::Met
    } else if kept.unsaid.is_empty() {
        Standing::Broken
    } else {
        Standing::Unknown
    };
    let unsaid = kept.unsaid.first().map_or_else(String::new, |id| {
        format!(" How many {id} takes is not entered.")
    });
    let text = format!(
        "{sums}; there are {:.0} for 1 kg, which last {lasts:.1} days.{unsaid}",
        kept.places
    );
    finding(standing, kept, text).figure(Some(lasts), Some(days), "d", SOURCE)
}
