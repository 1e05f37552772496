//! `bad-days`: the cards of bad days in words or as JSON, and with labels as pages in a folder.

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::{Ending, Judged, Trouble, World};
use crate::layout::Layout;
use crate::plan::Id;
use crate::sheet;
use crate::storage::OpenError;
use crate::storage::disk::RealDisk;
use crate::storage::save::save_all;
use crate::wiring::day_card::{CAUTION, DayCard, Warming, day_cards};
use crate::wiring::outage::{Carried, Failure, Pause, Ride};
use crate::wiring::restart::Restart;

/// What the command was given.
#[derive(Debug)]
pub(super) struct Order {
    pub(super) plan: PathBuf,
    pub(super) phase: Option<String>,
    pub(super) json: bool,
    pub(super) output: Option<PathBuf>,
    pub(super) replace: bool,
}

/// The JSON of `bad-days`. Fields may be added, never renamed.
#[derive(Debug, Serialize)]
struct Report {
    phase: u8,
    days: Vec<DayRow>,
    caution: &'static str,
}

#[derive(Debug, Serialize)]
struct DayRow {
    failure: &'static str,
    id: Option<Id>,
    words: String,
    stops: Vec<Id>,
    others: Vec<String>,
    carried: Vec<CarriedRow>,
    room: Option<RoomRow>,
    restart: Option<RestartRow>,
}

#[derive(Debug, Serialize)]
struct CarriedRow {
    ups: Id,
    /// The heaviest first.
    printers: Vec<Id>,
    lasts_s: Option<f64>,
    basis: &'static str,
    /// With the first so many printers paused.
    paused: Option<Vec<PauseRow>>,
}

#[derive(Debug, Serialize)]
struct PauseRow {
    printers: usize,
    lasts_s: Option<f64>,
    basis: &'static str,
}

#[derive(Debug, Serialize)]
struct RoomRow {
    excess_w: Option<f64>,
    from_c: Option<f64>,
    rises: Vec<RiseRow>,
    /// Those that heat most first.
    pause: Vec<Id>,
    enough: Option<usize>,
}

#[derive(Debug, Serialize)]
struct RiseRow {
    after_s: f64,
    least_k: f64,
    most_k: f64,
}

#[derive(Debug, Serialize)]
struct RestartRow {
    turns: Vec<Vec<Id>>,
    stuck: Vec<StuckRow>,
    unknown: Vec<Id>,
}

#[derive(Debug, Serialize)]
struct StuckRow {
    printer: Id,
    over: Id,
}

pub(super) fn run(order: &Order, world: &mut World<'_>) -> Result<Ending, Trouble> {
    let judged = Judged::open(&order.plan, order.phase.as_deref())?;
    let layout = &judged.layout;
    let cards = day_cards(layout);
    if order.json {
        let report = Report {
            phase: layout.phase().0,
            days: cards.iter().map(row).collect(),
            caution: CAUTION,
        };
        let report = serde_json::to_string_pretty(&report)
            .map_err(|e| Trouble::Words(format!("the report cannot be written as JSON: {e}")))?;
        writeln!(world.out, "{report}")?;
    } else {
        told(layout, &cards, world)?;
    }
    if let Some(folder) = &order.output {
        let pages = write_pages(layout, folder, order.replace, &world.today)?;
        if !order.json {
            let folder = folder.display();
            writeln!(
                world.out,
                "Wrote {pages} pages into {folder}; print them at 100 %."
            )?;
        }
    }
    Ok(Ending::Done)
}

fn told(layout: &Layout, cards: &[DayCard], world: &mut World<'_>) -> Result<(), Trouble> {
    writeln!(
        world.out,
        "Phase {}: {} bad days.",
        layout.phase(),
        cards.len()
    )?;
    for card in cards {
        writeln!(world.out, "\n{}: {}", card.title, card.summary)?;
        for part in &card.parts {
            writeln!(world.out, "  {}", part.heading)?;
            for line in &part.lines {
                writeln!(world.out, "    {line}")?;
            }
        }
    }
    writeln!(world.out, "\n{CAUTION}")?;
    Ok(())
}

fn write_pages(
    layout: &Layout,
    folder: &Path,
    replace: bool,
    today: &str,
) -> Result<usize, Trouble> {
    let files =
        sheet::cards_and_labels_as_svg(layout, today).map_err(|e| Trouble::Words(e.to_string()))?;
    save_all(&RealDisk, folder, &files, replace).map_err(|e| Trouble::File(OpenError::Save(e)))?;
    Ok(files.len())
}

fn row(card: &DayCard) -> DayRow {
    let day = &card.day;
    let (failure, id) = match day.failure {
        Failure::Circuit(id) => ("circuit", Some(id)),
        Failure::Ups(id) => ("ups", Some(id)),
        Failure::Cooling(id) => ("cooling", Some(id)),
        Failure::Supply => ("supply", None),
    };
    let carried = day.carried.iter().zip(&card.pauses);
    DayRow {
        failure,
        id,
        words: card.summary.clone(),
        stops: day.stops.clone(),
        others: day.others.clone(),
        carried: carried.map(|(c, p)| carried_row(c, p.as_deref())).collect(),
        room: card.room.as_ref().map(room_row),
        restart: card.restart.as_ref().map(restart_row),
    }
}

/// Seconds that a battery lasts, and where that is from.
fn lasts(ride: Ride) -> (Option<f64>, &'static str) {
    let basis = match ride {
        Ride::Maker(_) => "maker",
        Ride::Estimate(_) => "estimate",
        Ride::AtLeast(_) => "at-least",
        Ride::Overloaded => "overloaded",
        Ride::Unknown => "unknown",
    };
    (ride.minutes().map(|minutes| minutes * 60.0), basis)
}

fn carried_row(carried: &Carried, pauses: Option<&[Pause]>) -> CarriedRow {
    let (lasts_s, basis) = lasts(carried.ride);
    let pause_row = |pause: &Pause| {
        let (lasts_s, basis) = lasts(pause.ride);
        PauseRow {
            printers: pause.paused,
            lasts_s,
            basis,
        }
    };
    CarriedRow {
        ups: carried.ups,
        printers: carried.printers.clone(),
        lasts_s,
        basis,
        paused: pauses.map(|pauses| pauses.iter().map(pause_row).collect()),
    }
}

fn room_row(room: &Warming) -> RoomRow {
    let rises = room.rise_k.iter();
    RoomRow {
        excess_w: room.excess_w,
        from_c: room.from_c,
        rises: rises
            .map(|(after_s, least_k, most_k)| RiseRow {
                after_s: *after_s,
                least_k: *least_k,
                most_k: *most_k,
            })
            .collect(),
        pause: room.pause.clone(),
        enough: room.enough,
    }
}

fn restart_row(way: &Restart) -> RestartRow {
    let stuck = way.stuck.iter();
    RestartRow {
        turns: way.turns.clone(),
        stuck: stuck
            .map(|stuck| StuckRow {
                printer: stuck.printer,
                over: stuck.over,
            })
            .collect(),
        unknown: way.unknown.clone(),
    }
}
