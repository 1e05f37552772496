//! The session: the one document being worked on, its undo and redo. The only writer of the document.

use std::sync::Arc;

use super::{Edit, Plan, Refused};
use crate::stock::Stock;

/// One step back or forward.
#[derive(Clone, Debug)]
struct Step {
    label: String,
    plan: Arc<Plan>,
}

/// The document with its history. Every change goes through [`Session::apply`], [`Session::undo`] or [`Session::redo`].
#[derive(Debug)]
pub struct Session {
    plan: Arc<Plan>,
    /// What was before each step, oldest first.
    past: Vec<Step>,
    /// What an undo left, nearest last.
    future: Vec<Step>,
    revision: u64,
    /// The version that the file holds.
    saved: Option<Arc<Plan>>,
}

impl Session {
    /// The most steps kept.
    pub const STEPS_MOST: usize = 500;

    /// A session over a plan that a file holds.
    pub fn opened(plan: Plan) -> Self {
        let plan = Arc::new(plan);
        Self {
            saved: Some(Arc::clone(&plan)),
            plan,
            past: Vec::new(),
            future: Vec::new(),
            revision: 0,
        }
    }

    /// A session over a plan that no file holds yet.
    pub fn new(plan: Plan) -> Self {
        Self {
            saved: None,
            ..Self::opened(plan)
        }
    }

    /// The document as it is now.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// A number that changes with every change of the document.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Carries out an edit as one step. An edit that changes nothing makes no step.
    pub fn apply(&mut self, stock: &Stock, edit: &Edit) -> Result<(), Refused> {
        let plan = self.plan.edited(stock, edit)?;
        if plan == *self.plan {
            return Ok(());
        }
        self.past.push(Step {
            label: edit.label(),
            plan: Arc::clone(&self.plan),
        });
        if self.past.len() > Self::STEPS_MOST {
            self.past.remove(0);
        }
        self.future.clear();
        self.show(Arc::new(plan));
        Ok(())
    }

    /// Takes the last step back; false where there is none.
    pub fn undo(&mut self) -> bool {
        let Some(step) = self.past.pop() else {
            return false;
        };
        self.future.push(Step {
            label: step.label,
            plan: Arc::clone(&self.plan),
        });
        self.show(step.plan);
        true
    }

    /// Does again what was taken back; false where there is nothing.
    pub fn redo(&mut self) -> bool {
        let Some(step) = self.future.pop() else {
            return false;
        };
        self.past.push(Step {
            label: step.label,
            plan: Arc::clone(&self.plan),
        });
        self.show(step.plan);
        true
    }

    /// The name of the step that undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|s| s.label.as_str())
    }

    /// The name of the step that redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|s| s.label.as_str())
    }

    /// The names of the steps taken, oldest first.
    pub fn past(&self) -> impl ExactSizeIterator<Item = &str> {
        self.past.iter().map(|s| s.label.as_str())
    }

    /// The names of the steps taken back, the one that redo would do again first.
    pub fn future(&self) -> impl ExactSizeIterator<Item = &str> {
        self.future.iter().rev().map(|s| s.label.as_str())
    }

    /// How many steps can be taken back.
    pub fn undo_len(&self) -> usize {
        self.past.len()
    }

    /// True where the document differs from what the file holds.
    pub fn is_unsaved(&self) -> bool {
        self.saved
            .as_ref()
            .is_none_or(|saved| !Arc::ptr_eq(saved, &self.plan) && **saved != *self.plan)
    }

    /// Remembers that the file now holds `plan`, which may be an older version than the one shown.
    pub fn mark_saved(&mut self, plan: &Arc<Plan>) {
        self.saved = Some(Arc::clone(plan));
    }

    fn show(&mut self, plan: Arc<Plan>) {
        self.plan = plan;
        self.revision += 1;
    }
}
