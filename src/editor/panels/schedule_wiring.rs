//! What wiring the phase on show anew would change, in words, and the button that takes it over as one step.

use std::sync::Arc;

use egui::Ui;

use super::schedule::worked_out_ui;
use crate::editor::action::Actions;
use crate::editor::errand::Errand;
use crate::editor::shown::Shown;
use crate::editor::widgets;
use crate::layout::Layout;
use crate::plan::{Edit, Item, PhaseNo, Plan, Record};
use crate::units::capital;
use crate::wiring::{STEPS, wire};

/// The wiring that was found last, if any.
#[derive(Debug, Default)]
pub(super) struct WiringView {
    found: Option<Found>,
    /// What is being worked out.
    work: Errand<Found>,
    /// The plan and phase that both are for.
    of: Option<(Arc<Plan>, PhaseNo)>,
}

/// A wiring in words, and what it would change.
#[derive(Debug)]
struct Found {
    title: String,
    sentences: Vec<String>,
    edit: Option<Edit>,
}

impl WiringView {
    /// Takes in what was found; drops what is for another plan or phase.
    pub(super) fn follow(&mut self, shown: &Shown<'_>) {
        let now = (shown.history.plan(), shown.phase());
        let same =
            |(plan, phase): &(Arc<Plan>, PhaseNo)| Arc::ptr_eq(plan, now.0) && *phase == now.1;
        if !self.of.as_ref().is_some_and(same) {
            *self = Self::default();
        }
        if let Some(found) = self.work.take() {
            self.found = Some(found);
        }
    }

    /// Waits until everything is worked out.
    pub(super) fn finish(&mut self) {
        if let Some(found) = self.work.finish() {
            self.found = Some(found);
        }
    }

    fn begin(&mut self, ui: &Ui, shown: &Shown<'_>) {
        self.of = Some((Arc::clone(shown.history.plan()), shown.phase()));
        let (layout, ctx) = (shown.layout.clone(), ui.ctx().clone());
        let wake = move || ctx.request_repaint();
        self.work
            .begin("wiring", wake, move |stop| found(&layout, stop));
        self.found = self.work.take_in_a_moment();
    }
}

/// The button that wires the phase, or stops that and takes the best that was found.
pub(super) fn wire_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut WiringView) {
    if !view.work.is_busy() {
        if widgets::action(ui, "Wire this phase").clicked() {
            view.begin(ui, shown);
        }
        return;
    }
    ui.weak("Wiring…");
    if widgets::action_named(ui, "Stop", "Stop the wiring and take the best found").clicked() {
        view.work.stop();
    }
}

fn found(layout: &Layout, stop: &dyn Fn() -> bool) -> Found {
    let wired = wire(layout, STEPS, stop);
    let edit = wired.edit(layout);
    let asked: usize = wired.asked.plugs.iter().map(|p| p.printers.len()).sum();
    let without = wired.unpowered().len();
    let left_out = wired.asked.left_out.len();
    let mut sentences = vec![powered_words(asked, without, left_out)];
    let missing = wired.missing(layout);
    sentences.extend(missing.iter().map(|words| {
        let words = capital(words.trim_end_matches('.'));
        format!("{words}.")
    }));
    sentences.push(edit.as_ref().map_or_else(
        || "Everything hangs like this already.".to_owned(),
        change_words,
    ));
    Found {
        title: format!("{}.", capital(&wired.words())),
        sentences,
        edit,
    }
}

/// How many printers have power.
fn powered_words(asked: usize, without: usize, left_out: usize) -> String {
    let of = |n: usize| match n {
        1 => "1 printer".to_owned(),
        n => format!("{n} printers"),
    };
    let words = match (asked, without) {
        (0, _) => "There is no printer to plug in.".to_owned(),
        (_, 0) => format!("{} with power, none without.", of(asked)),
        _ => format!("{} of {asked} without power.", of(without)),
    };
    match left_out {
        0 => words,
        n => format!("{words} {} left out for want of a figure.", of(n)),
    }
}

/// What taking it over changes.
fn change_words(edit: &Edit) -> String {
    let (mut circuits, mut plugs, mut pulled) = (0, 0, 0);
    for record in records(edit) {
        match record {
            Record::Circuit(_) => circuits += 1,
            Record::Printer(printer) => {
                plugs += 1;
                pulled += usize::from(printer.power.is_none());
            }
            Record::Item(item) => {
                plugs += 1;
                let is_pulled = matches!(&**item, Item::Ups(ups) if ups.outlet.is_none());
                pulled += usize::from(is_pulled);
            }
        }
    }
    let many = |n: usize, thing: &str| match n {
        1 => format!("1 {thing}"),
        n => format!("{n} {thing}s"),
    };
    let mut parts = Vec::new();
    if circuits > 0 {
        parts.push(format!("add {}", many(circuits, "circuit")));
    }
    if plugs > 0 {
        parts.push(format!("move {}", many(plugs, "plug")));
    }
    let pulled = match pulled {
        0 => String::new(),
        1 => "; 1 of them is unplugged until there is an outlet for it".to_owned(),
        n => format!("; {n} of them are unplugged until there is an outlet for each"),
    };
    format!("Taking it over would {}{pulled}.", parts.join(" and "))
}

/// The records that an edit puts.
fn records(edit: &Edit) -> Vec<&Record> {
    if let Edit::Put(put) = edit {
        return put.iter().map(|(_, record)| record).collect();
    }
    if let Edit::Several(_, edits) = edit {
        return edits.iter().flat_map(records).collect();
    }
    Vec::new()
}

/// What was found, and whether to take it over.
pub(super) fn outcome_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut WiringView,
    actions: &mut Actions,
) {
    let Some(found) = &view.found else { return };
    let mut dropped = false;
    let told = (found.title.as_str(), found.sentences.as_slice());
    worked_out_ui(ui, shown, told, found.edit.is_some(), |ui| {
        if let Some(edit) = found.edit.as_ref().filter(|_| !shown.read_only)
            && widgets::action(ui, "Take it over").clicked()
        {
            actions.edit(edit.clone());
        }
        let name = "Leave the wiring as it is";
        dropped = widgets::action_named(ui, "Leave it", name).clicked();
    });
    if dropped {
        view.found = None;
    }
}
