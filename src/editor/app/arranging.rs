//! Putting several things in order, finding things, and copying them from plan to plan.

use egui::Ui;

use super::Editor;
use super::commands::beside;
use crate::editor::shown::Selection;
use crate::geometry::Point;
use crate::layout::arrange::{self, Along, Side};
use crate::plan::{Edit, Id, Item, Plan, Record};
use crate::stock::KindId;
use crate::storage;
use crate::units::Length;

impl Editor {
    fn selected(&self) -> Vec<Id> {
        self.selection.iter().collect()
    }

    /// Carries out an arrangement that leaves the same things selected, or says why there is none.
    fn arranged(&mut self, edit: Option<Edit>, else_say: &str) {
        match edit {
            Some(edit) => self.edit(&edit),
            None => else_say.clone_into(&mut self.status),
        }
    }

    /// Carries out a step that makes things and selects them, or says why there is none.
    pub(super) fn made(&mut self, step: Option<(Edit, Vec<Id>)>, else_say: &str) {
        match step {
            Some((edit, there)) => self.edit_and_select(&edit, there),
            None => else_say.clone_into(&mut self.status),
        }
    }

    pub(super) fn line_up(&mut self, side: Side) {
        let edit = self
            .selection
            .lead()
            .and_then(|lead| arrange::line_up(&self.judged.layout, &self.selected(), lead, side));
        self.arranged(edit, "Everything selected is in line already, or locked.");
    }

    pub(super) fn spread(&mut self, along: Along) {
        let edit = arrange::spread(&self.judged.layout, &self.selected(), along);
        self.arranged(
            edit,
            "The gaps are equal already, or fewer than three things can be moved.",
        );
    }

    pub(super) fn turn_to_wall(&mut self) {
        let edit = arrange::to_wall(&self.judged.layout, &self.selected());
        self.arranged(
            edit,
            "Every rack selected has its back to the wall already, or is locked; only racks are turned so.",
        );
    }

    pub(super) fn mirror_across(&mut self) {
        let layout = &self.judged.layout;
        let ids = self.selected();
        let made = self
            .selection
            .lead()
            .and_then(|lead| arrange::across_aisle(layout, &ids, lead));
        self.made(made, "Only racks are mirrored across their aisle.");
    }

    pub(super) fn one_beside(&mut self) {
        let made = self
            .selection
            .lead()
            .and_then(|lead| arrange::one_beside(&self.judged.layout, lead));
        let no_room = "There is no room for one more at either end of a rack selected.";
        self.made(made, no_room);
    }

    /// What is selected leaves in the phase on show and stands there anew, for the arrow keys and drags that follow.
    pub(super) fn leave_place(&mut self) {
        let ids: Vec<Id> = self
            .selected()
            .into_iter()
            .filter(|id| {
                let item = self.session.plan().items().get(*id);
                item.is_some_and(|i| i.presence().arrives < self.phase)
            })
            .collect();
        let by = (Length::ZERO, Length::ZERO);
        let moved = self.session.plan().relocated(&ids, self.phase, by);
        let nothing = "Only what stood on the floor in an earlier phase can move in this one.";
        self.made(moved, nothing);
    }

    /// Locks what is selected, or frees it where all of it is locked.
    pub(super) fn lock(&mut self) {
        let plan = self.session.plan();
        let items: Vec<(Id, Item)> = self
            .selection
            .iter()
            .filter_map(|id| Some((id, plan.items().get(id)?.clone())))
            .collect();
        let lock = !items.iter().all(|(_, item)| item.presence().pinned);
        let records: Vec<(Id, Record)> = items
            .into_iter()
            .map(|(id, mut item)| {
                item.presence_mut().pinned = lock;
                (id, Record::Item(Box::new(item)))
            })
            .collect();
        if !records.is_empty() {
            let name = if lock { "Lock" } else { "Free" };
            self.edit(&Edit::Several(name.to_owned(), vec![Edit::Put(records)]));
        }
    }

    /// Selects everything that matches the words and shows one of it after another.
    pub(super) fn find(&mut self, words: &str) {
        let layout = &self.judged.layout;
        let found = matches(layout.plan(), words, |id| layout.part(id).is_some());
        if found.is_empty() {
            self.status = format!("Nothing in this phase has the mark or kind \"{words}\".");
            return;
        }
        let before = self.selection.lead();
        let next = before
            .and_then(|lead| found.iter().position(|id| *id == lead))
            .map_or(0, |k| (k + 1) % found.len());
        let lead = found.get(next).copied();
        self.status = format!(
            "{} found, {} of them shown now.",
            found.len(),
            lead.map_or_else(String::new, |id| id.to_string())
        );
        let others = found.iter().copied().filter(|id| Some(*id) != lead);
        self.selection = Selection::of(others.chain(lead));
        let spot = lead.and_then(|id| layout.part(id)).map(|part| part.spot);
        if let Some(spot) = spot {
            self.views.floor.show_place(spot);
        }
    }

    /// Gives what is selected to the clipboard, as the text of a plan that holds nothing else.
    pub(super) fn copy(&mut self, ui: &Ui, away: bool) {
        let plan = self.session.plan();
        let layout = &self.judged.layout;
        let stands = |id: Id| -> Vec<(Length, Length)> {
            let part = layout.part(id);
            let dimension = part
                .and_then(|p| p.dimension)
                .map(|d| vec![d.ends.0, d.ends.1]);
            let pointer = part.and_then(|p| p.pointer).map(|at| vec![at]);
            let points = dimension.or(pointer).unwrap_or_default();
            let exact = |p: &Point| (Length::from_mm(p.x), Length::from_mm(p.y));
            points.iter().map(exact).collect()
        };
        let Some(excerpt) = plan.excerpt(self.selection.iter(), stands) else {
            "Only things that stand on the floor can be copied.".clone_into(&mut self.status);
            return;
        };
        match storage::text_of(&excerpt) {
            Ok(text) => {
                self.status = format!("Copied {} things.", excerpt.items().iter().count());
                ui.ctx().copy_text(text);
                if away {
                    // What is fixed to a wall was not copied and stays.
                    let items = self.session.plan().items();
                    let fixed = |id: &Id| items.get(*id).is_some_and(|i| i.wall_place().is_some());
                    let copied = self.selected().into_iter().filter(|id| !fixed(id));
                    let copied: Vec<Id> = copied.collect();
                    self.edit(&Edit::Remove(copied));
                }
            }
            Err(error) => self.status = error.to_string(),
        }
    }

    /// Puts in what was copied from this plan or another, a little beside where it stood.
    pub(super) fn paste(&mut self, text: &str) {
        let read = storage::plan_of(&self.library, "what was copied", text.as_bytes());
        let Ok(excerpt) = read.map(|opened| opened.plan) else {
            "What is on the clipboard was not copied from a plan.".clone_into(&mut self.status);
            return;
        };
        let plan = self.session.plan();
        let pasted = plan.pasted(&excerpt, self.phase, beside);
        if let Some((edit, ids)) = pasted {
            self.edit_and_select(&edit, ids);
        }
    }
}

/// What a plan holds, among what `there` lets pass, under a mark or of a kind that the words name: a mark whole, a kind by any
/// part of its word, a note by any part of its text, printers by the rack they stand in.
fn matches(plan: &Plan, words: &str, there: impl Fn(Id) -> bool) -> Vec<Id> {
    let wanted = words.trim().to_lowercase();
    let printers = plan.printers().iter();
    let homes: Vec<Id> = printers
        .filter(|(id, p)| id.to_string().to_lowercase() == wanted || names(&p.kind, &wanted))
        .map(|(_, p)| p.slot.rack)
        .collect();
    let hit = |id: Id, item: &Item| {
        id.to_string().to_lowercase() == wanted
            || item.kind().word().to_lowercase().contains(&wanted)
            || matches!(item, Item::Note(n) if n.text.as_str().to_lowercase().contains(&wanted))
            || item.stock_kind().is_some_and(|kind| names(kind, &wanted))
            || homes.contains(&id)
    };
    plan.items()
        .iter()
        .filter(|(id, item)| there(*id) && hit(*id, item))
        .map(|(id, _)| id)
        .collect()
}

/// True where a kind's name holds the words, which are in small letters.
fn names(kind: &KindId, words: &str) -> bool {
    kind.as_str().to_lowercase().contains(words)
}
