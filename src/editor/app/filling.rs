//! What the window does with the search for the fullest arrangement: begins and ends it, shows what it found, and puts it
//! into the plan as one edit.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use egui::Ui;

use super::Editor;
use crate::editor::action::FillAction;
use crate::editor::derived::Judged;
use crate::editor::filling::{FIRST_COUNT, STEPS};
use crate::fill::{Answer, Ask, Headroom};
use crate::geometry::Point;
use crate::plan::PhaseNo;
use crate::stock::KindId;

/// How often the seconds of a running search are counted on.
const TICK: Duration = Duration::from_millis(250);

/// A part of the floor that is thinner than this was no drag that anybody meant.
const LEAST_PART_MM: f64 = 100.0;

impl Editor {
    /// What is known of how many printers a phase truly holds; none where the plan has changed since in what matters.
    pub fn known_answer(&self, phase: PhaseNo) -> Option<&Answer> {
        self.filling.known(self.session.plan(), phase)
    }

    /// Opens or closes the panel.
    pub(super) fn show_fill(&mut self, open: bool) {
        self.views.fill.show(open);
        self.views.aside = None;
        if open && self.filling.phase().is_none() {
            "Choose racks and floor, then start. What is pinned stays."
                .clone_into(&mut self.status);
        }
    }

    pub(super) fn fill(&mut self, ui: &Ui, action: FillAction) {
        match action {
            FillAction::Start(kinds, floor_only) => {
                let part = self.filling.part();
                self.begin_fill(ui, (kinds, floor_only), part, None);
                self.status = format!("Counting what phase {} holds.", self.phase);
            }
            FillAction::Stop => {
                self.filling.stop();
                "Stopped. What was found can be taken, or searched on from the start."
                    .clone_into(&mut self.status);
            }
            FillAction::Walls(true) => {
                let ctx = ui.ctx().clone();
                self.filling
                    .try_walls(&self.library, move || ctx.request_repaint());
            }
            FillAction::Walls(false) => self.filling.leave_walls(),
            FillAction::TakeAll => self.take_found(false),
            FillAction::TakeChosen => self.take_found(true),
            FillAction::Drop => {
                self.filling.drop_search();
                "Dropped. The plan is as it was.".clone_into(&mut self.status);
            }
            FillAction::Choose(number) => self.filling.choose(number),
            FillAction::Mark(marking) => {
                self.filling.mark(marking);
                if marking {
                    "Drag over the part of the floor to fill. Escape leaves it."
                        .clone_into(&mut self.status);
                }
            }
            FillAction::Part(part) => self.set_part(part),
        }
    }

    /// Fills a part of the floor: what of it lies in the room.
    fn set_part(&mut self, part: Option<(Point, Point)>) {
        let bounds = self.judged.layout.room().bounds();
        let inside = |p: Point| p.max(bounds.low).min(bounds.high);
        let within = part.map(|(a, b)| (inside(a), inside(b)));
        let thin = |(a, b): (Point, Point)| (a - b).abs().min_element() < LEAST_PART_MM;
        if within.is_some_and(thin) {
            self.filling.mark(false);
            "That part is too small to hold a rack; mark a larger one."
                .clone_into(&mut self.status);
        } else {
            self.filling.set_part(within);
            if within.is_some() {
                "Marked the part to fill. Its sides can be typed too.".clone_into(&mut self.status);
            }
        }
    }

    /// The first count of a new plan, without being asked.
    pub(super) fn first_count(&mut self, ui: &Ui) {
        self.views.fill.show(true);
        self.begin_fill(ui, (None, false), None, Some(FIRST_COUNT));
    }

    fn begin_fill(
        &mut self,
        ui: &Ui,
        (kinds, floor_only): (Option<BTreeSet<KindId>>, bool),
        part: Option<(Point, Point)>,
        most: Option<Duration>,
    ) {
        let ask = Ask {
            floor_only,
            phase: self.phase,
            kinds,
            part,
            steps: STEPS,
        };
        let ctx = ui.ctx().clone();
        self.filling.begin(
            &self.library,
            self.session.plan(),
            ask,
            most,
            move |delay| ctx.request_repaint_after(delay),
        );
    }

    /// Takes in what was found since the last frame, and counts the seconds on.
    pub(super) fn collect_fill(&mut self, ui: &Ui) {
        if let Some(words) = self.filling.collect() {
            self.status = words;
        }
        self.filling.collect_walls();
        if self.filling.running().is_some() {
            ui.ctx().request_repaint_after(TICK);
        }
    }

    /// The plan may have changed: drops a search that rests on what is no longer so.
    pub(super) fn follow_plan(&mut self) {
        let (before, after) = (self.judged.layout.plan(), self.session.plan());
        if let Some(words) = self.filling.follow(before, after, self.phase) {
            self.status = words;
        }
    }

    /// Count and ceilings with what is known of the floor.
    pub(super) fn headroom_of(&self, judged: &Judged) -> Headroom {
        let headroom = judged.headroom.clone();
        let (plan, phase) = (judged.layout.plan(), judged.layout.phase());
        match self.filling.known(plan, phase) {
            Some(answer) => headroom.with_floor(answer),
            None => headroom,
        }
    }

    /// Puts what was found into the plan, all of it or what was chosen, as one step.
    fn take_found(&mut self, only_chosen: bool) {
        if !self.may_change() {
            return;
        }
        let Some(proposal) = self.filling.hand_over() else {
            return;
        };
        let which = only_chosen.then_some(&proposal.chosen);
        let plan = Arc::clone(self.session.plan());
        let adopt = Arc::clone(&self.filling.filler().adopt);
        let edit = adopt(&self.library, &plan, &proposal.ask, &proposal.answer, which);
        let before = self.session.revision();
        self.edit(&edit);
        if self.session.revision() == before {
            self.filling.hand_back(proposal);
            return;
        }
        self.filling.adopted(&proposal, self.session.plan());
        let (racks, printers) = proposal
            .answer
            .placements
            .iter()
            .enumerate()
            .filter(|(k, _)| which.is_none_or(|some| some.contains(k)))
            .fold((0, 0), |(n, sum), (_, p)| (n + 1, sum + p.printers));
        let things = if racks == 1 { "thing" } else { "things" };
        self.status = format!(
            "Took {racks} {things} with {printers} printers in one step; undo takes them back."
        );
    }
}
