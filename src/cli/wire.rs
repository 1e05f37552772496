//! `wire`: every printer on a UPS or receptacle, every UPS on an outlet, with the fewest new circuits, in words or as JSON, and the
//! plan with it taken over. Counts steps and looks at no clock.

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::{Ending, Judged, Trouble, World, write_file};
use crate::plan::{Id, SupplyLeg};
use crate::storage;
use crate::storage::save::Expected;
use crate::wiring::{Claim, Line, WHO_DECIDES, Wired, wire_also_behind};

/// What the command was given.
#[derive(Debug)]
pub(super) struct Order {
    pub(super) plan: PathBuf,
    pub(super) phase: Option<String>,
    pub(super) steps: u64,
    pub(super) behind_racks: bool,
    pub(super) json: bool,
    pub(super) output: Option<PathBuf>,
}

/// The JSON of `wire`. Fields may be added, never renamed.
#[derive(Debug, Serialize)]
struct Report {
    circuits_new: usize,
    circuits_used: usize,
    bound: usize,
    claim: &'static str,
    words: String,
    unpowered: Vec<Id>,
    circuits: Vec<CircuitRow>,
    boxes: Vec<BoxRow>,
    boxes_bound: usize,
    missing: Vec<String>,
    steps: u64,
}

#[derive(Debug, Serialize)]
struct CircuitRow {
    id: Id,
    existing: bool,
    running_a: f64,
    peak_a: f64,
    continuous_limit_a: f64,
    breaker_a: f64,
    volts_v: f64,
    leg: Option<&'static str>,
    plugs: Vec<Id>,
    printers: Vec<Id>,
}

/// A box to be hung.
#[derive(Debug, Serialize)]
struct BoxRow {
    id: Id,
    circuit: Option<Id>,
    wall: u16,
    along_mm: f64,
    height_mm: f64,
    receptacles: u8,
    plugs: Vec<Id>,
}

pub(super) fn run(order: &Order, world: &mut World<'_>) -> Result<Ending, Trouble> {
    let judged = Judged::open(&order.plan, order.phase.as_deref())?;
    let wired = wire_also_behind(&judged.layout, order.behind_racks, order.steps, &|| false);
    if order.json {
        let report = serde_json::to_string_pretty(&report(&judged, &wired))
            .map_err(|e| Trouble::Words(format!("the report cannot be written as JSON: {e}")))?;
        writeln!(world.out, "{report}")?;
    } else {
        told(&judged, &wired, world)?;
    }
    if let Some(output) = &order.output {
        take_over(&judged, &wired, output)?;
        if !order.json {
            writeln!(world.out, "  The plan so wired: {}", output.display())?;
        }
    }
    let all = wired.unpowered().is_empty() && wired.asked.left_out.is_empty();
    Ok(if all { Ending::Done } else { Ending::Broken })
}

fn amperes(milliamperes: u32) -> f64 {
    f64::from(milliamperes) / 1000.0
}

fn report(judged: &Judged, wired: &Wired) -> Report {
    let row = |line: Line| CircuitRow {
        id: line.id,
        existing: line.existing,
        running_a: amperes(line.carries.running_ma),
        peak_a: amperes(line.carries.peak_ma),
        continuous_limit_a: amperes(line.limit.running_ma),
        breaker_a: line.breaker.value(),
        volts_v: line.volts.value(),
        leg: line.leg.map(SupplyLeg::words),
        plugs: line.plugs,
        printers: line.printers,
    };
    let outcome = &wired.outcome;
    Report {
        circuits_new: outcome.added.len(),
        circuits_used: outcome.circuits_used(&wired.asked.problem),
        bound: outcome.added_at_least,
        claim: match outcome.claim {
            Claim::Proved => "proved",
            Claim::Found => "found",
        },
        words: wired.words(),
        unpowered: wired.unpowered(),
        circuits: wired.lines(&judged.layout).into_iter().map(row).collect(),
        boxes: boxes(judged, wired),
        boxes_bound: wired.boxes.at_least,
        missing: wired.missing(&judged.layout),
        steps: outcome.steps,
    }
}

fn boxes(judged: &Judged, wired: &Wired) -> Vec<BoxRow> {
    let layout = &judged.layout;
    wired
        .hung(layout)
        .map(|(id, hung)| BoxRow {
            id,
            circuit: wired.circuit_of(layout, hung),
            wall: hung.at.wall,
            along_mm: hung.at.along.mm(),
            height_mm: hung.height.mm(),
            receptacles: hung.receptacles,
            plugs: hung.plugs.clone(),
        })
        .collect()
}

fn told(judged: &Judged, wired: &Wired, world: &mut World<'_>) -> Result<(), Trouble> {
    let layout = &judged.layout;
    let without = wired.unpowered().len() + wired.asked.left_out.len();
    let printers = layout.printers().count();
    writeln!(
        world.out,
        "Phase {}: {} of {printers} printers wired; {}.",
        layout.phase(),
        printers.saturating_sub(without),
        wired.words()
    )?;
    for line in wired.lines(layout) {
        let new = if line.existing { "" } else { ", new" };
        let leg = line.leg.map_or("", |leg| leg.words());
        writeln!(
            world.out,
            "  {:<4} {:>4} {:<2} {:5.1} A running of {:.1}, {:5.1} A at the peak of {:.1}; {} printers{new}: {}",
            line.id,
            line.breaker.shown(),
            leg,
            amperes(line.carries.running_ma),
            amperes(line.limit.running_ma),
            amperes(line.carries.peak_ma),
            amperes(line.limit.peak_ma),
            line.printers.len(),
            marks(&line.plugs)
        )?;
    }
    for words in wired.missing(layout) {
        writeln!(world.out, "  Missing: {words}.")?;
    }
    writeln!(world.out, "  {WHO_DECIDES}")?;
    Ok(())
}

fn marks(ids: &[Id]) -> String {
    if ids.is_empty() {
        return "nothing".to_owned();
    }
    let all: Vec<String> = ids.iter().map(ToString::to_string).collect();
    all.join(" ")
}

fn take_over(judged: &Judged, wired: &Wired, output: &Path) -> Result<(), Trouble> {
    let plan = judged.layout.plan();
    let text = match wired.edit(&judged.layout) {
        None => storage::text_of(plan),
        Some(edit) => {
            let wired = plan
                .edited(&judged.library.stock, &edit)
                .map_err(|e| Trouble::Words(e.to_string()))?;
            storage::text_of(&wired)
        }
    };
    let text = text.map_err(|e| Trouble::Words(format!("the plan cannot be written: {e}")))?;
    write_file(output, text.as_bytes(), Expected::Nothing)
}
