//! `wire --what-if`: the three questions, answered in words or as JSON. Changes nothing.

use std::path::Path;

use serde::Serialize;

use super::{Ending, Judged, Trouble, World};
use crate::checks::Findings;
use crate::plan::Id;
use crate::wiring::what_if::{Answer, Asking, Figures, Question};

/// The JSON of `wire --what-if`. Fields may be added, never renamed.
#[derive(Debug, Serialize)]
struct Report {
    phase: u8,
    what_if: Vec<AnswerRow>,
}

#[derive(Debug, Serialize)]
struct AnswerRow {
    question: &'static str,
    before: Option<FiguresRow>,
    after: Option<FiguresRow>,
    words: Vec<String>,
    may_be_taken_over: bool,
}

#[derive(Debug, Serialize)]
struct FiguresRow {
    printers: usize,
    powered: usize,
    on_ups: usize,
    circuits_used: usize,
    leg_running_a: f64,
    leg_peak_a: f64,
    unbalance_a: Option<f64>,
    fullest_circuit: Option<ShareRow>,
    ups: usize,
    fullest_ups: Option<ShareRow>,
    first_battery_empty_s: Option<f64>,
    must_fix: Vec<String>,
}

#[derive(Debug, Serialize)]
struct ShareRow {
    id: Id,
    share: f64,
}

pub(super) fn run(
    plan: &Path,
    phase: Option<&str>,
    steps: u64,
    json: bool,
    world: &mut World<'_>,
) -> Result<Ending, Trouble> {
    let judged = Judged::open(plan, phase)?;
    let asking = Asking {
        library: &judged.library,
        layout: &judged.layout,
        stops: &|layout| Findings::of(layout).stops(),
        steps,
        stop: &|| false,
    };
    let answers = Question::ALL.map(|question| asking.answer(question));
    if json {
        let report = Report {
            phase: judged.layout.phase().0,
            what_if: answers.iter().map(row).collect(),
        };
        let report = serde_json::to_string_pretty(&report)
            .map_err(|e| Trouble::Words(format!("the report cannot be written as JSON: {e}")))?;
        writeln!(world.out, "{report}")?;
    } else {
        for answer in &answers {
            writeln!(world.out, "{}", answer.question.words())?;
            for words in &answer.words {
                writeln!(world.out, "  {words}")?;
            }
        }
        writeln!(world.out, "{}", crate::wiring::WHO_DECIDES)?;
    }
    Ok(Ending::Done)
}

fn row(answer: &Answer) -> AnswerRow {
    AnswerRow {
        question: answer.question.id(),
        before: answer.before.as_ref().map(figures),
        after: answer.after.as_ref().map(figures),
        words: answer.words.clone(),
        may_be_taken_over: answer.edit.is_some(),
    }
}

fn figures(figures: &Figures) -> FiguresRow {
    let share = |one: Option<(Id, f64)>| one.map(|(id, share)| ShareRow { id, share });
    FiguresRow {
        printers: figures.printers,
        powered: figures.powered,
        on_ups: figures.on_ups,
        circuits_used: figures.circuits,
        leg_running_a: figures.running_a,
        leg_peak_a: figures.peak_a,
        unbalance_a: figures.unbalance_a,
        fullest_circuit: share(figures.fullest_circuit),
        ups: figures.supplies,
        fullest_ups: share(figures.fullest_ups),
        first_battery_empty_s: figures.ride_min.map(|minutes| minutes * 60.0),
        must_fix: figures.stops.iter().cloned().collect(),
    }
}
