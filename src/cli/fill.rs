//! `fill`: the fullest arrangement of a phase, in words or as JSON, and the plan with it taken over. Only this command
//! looks at a clock, for `--seconds` and for what it tells; the search itself counts steps.

use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use serde::Serialize;

use super::{Ending, Judged, Trouble, World, write_file};
use crate::fill::{
    Answer, Ask, Cost, Headroom, NOT_JUDGED, StoppedBy, WallCost, Watch, fill, shorter_rooms,
    tape_tolerance, verify,
};
use crate::storage;
use crate::storage::save::Expected;
use crate::units::{Length, Practice};

/// Steps of a search where none are named: some minutes in a wide room, far more than a small one needs.
pub(super) const STEPS: u64 = 400_000_000;

/// What the command was given.
#[derive(Debug)]
pub(super) struct Order {
    pub(super) plan: PathBuf,
    pub(super) phase: Option<String>,
    pub(super) floor_only: bool,
    pub(super) steps: u64,
    pub(super) seconds: Option<f64>,
    pub(super) tolerance: bool,
    pub(super) json: bool,
    pub(super) output: Option<PathBuf>,
}

/// The JSON of `fill`. Fields may be added, never renamed.
#[derive(Debug, Serialize)]
struct Report {
    printers: u32,
    pinned: u32,
    added: u32,
    bound: u32,
    claim: &'static str,
    words: String,
    lattice_mm: Option<f64>,
    assumptions: Vec<String>,
    set_aside: Vec<String>,
    seconds: f64,
    steps: u64,
    stopped_by: &'static str,
    placements: Vec<PlacementRow>,
    ceilings: Vec<CeilingRow>,
    /// Only where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    tolerance: Option<Vec<ToleranceRow>>,
}

/// What a wall costs that is shorter than measured; `printers` is null where that was not worked out.
#[derive(Debug, Serialize)]
struct ToleranceRow {
    wall: usize,
    length_mm: f64,
    shorter_mm: f64,
    printers: Option<u32>,
    claim: Option<&'static str>,
    words: String,
}

#[derive(Debug, Serialize)]
struct PlacementRow {
    kind: String,
    must: Option<String>,
    x_mm: f64,
    y_mm: f64,
    w_mm: f64,
    d_mm: f64,
    turn_deg: f64,
    printers: u32,
}

#[derive(Debug, Serialize)]
struct CeilingRow {
    limit: &'static str,
    allows: Option<u32>,
}

/// Stops at a time, and shows progress on a terminal.
struct Clock {
    started: Instant,
    most: Option<Duration>,
    told: Mutex<Option<(u32, u32)>>,
    shows: bool,
}

impl Clock {
    #[expect(
        clippy::disallowed_methods,
        reason = "the one place where a command may give up after so many seconds"
    )]
    fn start(seconds: Option<f64>) -> Self {
        Self {
            started: Instant::now(),
            most: seconds.and_then(|s| Duration::try_from_secs_f64(s.max(0.0)).ok()),
            told: Mutex::new(None),
            shows: std::io::stderr().is_terminal(),
        }
    }

    fn seconds(&self) -> f64 {
        self.started.elapsed().as_secs_f64()
    }
}

impl Watch for Clock {
    #[expect(
        clippy::print_stderr,
        reason = "progress is for whoever waits at the terminal, and only shown there"
    )]
    fn seen(&self, answer: &Answer) {
        let now = (answer.printers, answer.bound);
        let Ok(mut told) = self.told.lock() else {
            return;
        };
        if self.shows && *told != Some(now) {
            eprintln!(
                "  {:6.1} s: {} printers, at most {}",
                self.seconds(),
                now.0,
                now.1
            );
            *told = Some(now);
        }
    }

    fn stop(&self) -> Option<StoppedBy> {
        let over = self.most.is_some_and(|most| self.started.elapsed() >= most);
        over.then_some(StoppedBy::Seconds)
    }
}

pub(super) fn run(order: &Order, world: &mut World<'_>) -> Result<Ending, Trouble> {
    let judged = Judged::open(&order.plan, order.phase.as_deref())?;
    let (answer, seconds) = searched(&judged, order.floor_only, order.steps, order.seconds)?;
    let costs = order
        .tolerance
        .then(|| walls_shorter(&judged, order, &answer));
    if order.json {
        let mut report = report(&judged, &answer, seconds);
        report.tolerance = costs.map(|costs| rows(&costs, judged.layout.plan().practice()));
        let report = serde_json::to_string_pretty(&report)
            .map_err(|e| Trouble::Words(format!("the report cannot be written as JSON: {e}")))?;
        writeln!(world.out, "{report}")?;
    } else {
        told(&judged, &answer, seconds, world)?;
        if let Some(costs) = costs {
            told_of_walls(&judged, &costs, world)?;
        }
    }
    if let Some(output) = &order.output {
        take_over(&judged, &answer, output)?;
        if !order.json {
            writeln!(
                world.out,
                "  The plan with this arrangement: {}",
                output.display()
            )?;
        }
    }
    Ok(if answer.placements.is_empty() {
        Ending::Broken
    } else {
        Ending::Done
    })
}

/// What each wall costs when it is shorter by the tape's tolerance: the room filled anew for each.
fn walls_shorter(judged: &Judged, order: &Order, whole: &Answer) -> Vec<WallCost> {
    let plan = judged.layout.plan();
    let mut costs: Vec<WallCost> = shorter_rooms(&judged.library, plan)
        .iter()
        .flat_map(|room| {
            let found = room.plan.clone().and_then(|shorter| {
                let clock = Clock::start(order.seconds);
                fill(
                    &judged.library,
                    &shorter,
                    &ask(judged, order.floor_only, order.steps),
                    &clock,
                )
                .map_err(|why| why.to_string())
            });
            room.costs(plan, whole, &found)
        })
        .collect();
    costs.sort_by_key(|cost| cost.wall);
    costs
}

fn rows(costs: &[WallCost], practice: Practice) -> Vec<ToleranceRow> {
    let row = |cost: &WallCost| ToleranceRow {
        wall: cost.wall,
        length_mm: cost.length.mm(),
        shorter_mm: cost.shorter.mm(),
        printers: cost.lost(),
        claim: match &cost.cost {
            Cost::Printers { claim, .. } => Some(claim.key()),
            Cost::Unknown(_) => None,
        },
        words: cost.words(practice),
    };
    costs.iter().map(row).collect()
}

fn told_of_walls(
    judged: &Judged,
    costs: &[WallCost],
    world: &mut World<'_>,
) -> Result<(), Trouble> {
    let plan = judged.layout.plan();
    let practice = plan.practice();
    let (tape, stated) = tape_tolerance(plan.room());
    let stated = if stated {
        ""
    } else {
        ", as the plan does not say"
    };
    writeln!(
        world.out,
        "  If a wall is shorter than measured (the tape is taken to be right to {}{stated}):",
        tape.shown(practice)
    )?;
    for cost in costs {
        writeln!(world.out, "    - {}", cost.words(practice))?;
    }
    Ok(())
}

fn ask(judged: &Judged, floor_only: bool, steps: u64) -> Ask {
    Ask {
        floor_only,
        phase: judged.layout.phase(),
        kinds: None,
        part: None,
        steps,
    }
}

/// The answer for a plan, and how many seconds it took.
pub(super) fn searched(
    judged: &Judged,
    floor_only: bool,
    steps: u64,
    seconds: Option<f64>,
) -> Result<(Answer, f64), Trouble> {
    let clock = Clock::start(seconds);
    let answer = fill(
        &judged.library,
        judged.layout.plan(),
        &ask(judged, floor_only, steps),
        &clock,
    )
    .map_err(|e| Trouble::Words(format!("Nothing to fill: {e}.")))?;
    Ok((answer, clock.seconds()))
}

/// The answer in words.
pub(super) fn told(
    judged: &Judged,
    answer: &Answer,
    seconds: f64,
    world: &mut World<'_>,
) -> Result<(), Trouble> {
    let out = &mut world.out;
    writeln!(
        out,
        "Phase {}: {} printers ({} stay, {} added); {}.",
        judged.layout.phase(),
        answer.printers,
        answer.pinned,
        answer.added,
        answer.words()
    )?;
    let hoped_for = judged.layout.plan().head().hoped_for;
    writeln!(
        out,
        "  {} ({})",
        answer.against(hoped_for, false),
        NOT_JUDGED
    )?;
    let practice = judged.layout.plan().practice();
    for p in &answer.placements {
        let what = p.must.as_deref().unwrap_or(p.kind.as_str());
        let shown = |l: Length| l.shown(practice);
        writeln!(
            out,
            "  {what}: {} printers at {} across, {} up, turned {}",
            p.printers,
            shown(p.at.x),
            shown(p.at.y),
            p.at.turn.shown()
        )?;
    }
    writeln!(out, "  Assumed:")?;
    for sentence in &answer.assumptions {
        writeln!(out, "    - {sentence}")?;
    }
    for sentence in &answer.set_aside {
        writeln!(
            out,
            "  Set aside, since what stays breaks it alone: {sentence}"
        )?;
    }
    writeln!(
        out,
        "  {:.1} s, {} steps, stopped by: {}",
        seconds,
        answer.steps,
        answer.stopped_by.key()
    )?;
    Ok(())
}

fn report(judged: &Judged, answer: &Answer, seconds: f64) -> Report {
    let headroom = Headroom::of(&judged.layout).with_floor(answer);
    Report {
        printers: answer.printers,
        pinned: answer.pinned,
        added: answer.added,
        bound: answer.bound,
        claim: answer.claim.key(),
        words: answer.words(),
        lattice_mm: answer.lattice_mm,
        assumptions: answer.assumptions.clone(),
        set_aside: answer.set_aside.clone(),
        seconds: (seconds * 1000.0).round() / 1000.0,
        steps: answer.steps,
        stopped_by: answer.stopped_by.key(),
        placements: answer
            .placements
            .iter()
            .map(|p| PlacementRow {
                kind: p.kind.to_string(),
                must: p.must.clone(),
                x_mm: p.at.x.mm(),
                y_mm: p.at.y.mm(),
                w_mm: p.size_mm.0,
                d_mm: p.size_mm.1,
                turn_deg: p.at.turn.degrees(),
                printers: p.printers,
            })
            .collect(),
        ceilings: headroom
            .ceilings
            .iter()
            .map(|c| CeilingRow {
                limit: c.limit,
                allows: c.allows,
            })
            .collect(),
        tolerance: None,
    }
}

/// Writes the plan with the arrangement taken over to another file.
fn take_over(judged: &Judged, answer: &Answer, output: &Path) -> Result<(), Trouble> {
    let plan = judged.layout.plan();
    let filled = verify(&judged.library, plan, &ask(judged, false, 0), answer)
        .map_err(|e| Trouble::Words(e.to_string()))?;
    let text = storage::text_of(&filled)
        .map_err(|e| Trouble::Words(format!("the plan cannot be written: {e}")))?;
    write_file(output, text.as_bytes(), Expected::Nothing)
}
