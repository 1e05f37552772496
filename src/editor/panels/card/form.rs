//! The form that cards are made of: labelled fields over drafts, each committed as one edit.

use std::collections::BTreeMap;

use egui::{ComboBox, Role, Ui, WidgetInfo};

use crate::editor::action::{Action, Actions};
use crate::editor::figure::read_maybe;
use crate::editor::help::{behind, beside};
use crate::editor::shown::Shown;
use crate::editor::widgets::{Field, FieldEvent};
use crate::plan::{Edit, Id, Item, Label, PhaseNo, Presence, Record, Refused, Status};
use crate::stock::Face;
use crate::units::{Length, Practice};

use super::help;
use super::limits::LimitDraft;

/// One field's draft: the value it began from (none until the plan has said it), what is typed, and what was wrong with it.
#[derive(Clone, Debug, Default)]
struct Draft {
    value: Option<String>,
    typed: String,
    error: String,
}

/// The drafts of the card on show.
#[derive(Debug, Default)]
pub(super) struct Drafts {
    of: Option<Id>,
    fields: BTreeMap<String, Draft>,
    /// The limit that is being changed.
    pub(super) limit: Option<LimitDraft>,
}

impl Drafts {
    /// Begins anew when another thing is shown.
    pub(super) fn show(&mut self, id: Option<Id>) {
        if self.of != id {
            self.of = id;
            self.fields.clear();
            self.limit = None;
        }
    }
}

/// A card being drawn.
pub(super) struct Form<'a, 'b> {
    pub(super) ui: &'a mut Ui,
    pub(super) shown: &'a Shown<'b>,
    pub(super) drafts: &'a mut Drafts,
    /// What kind of thing the card is about, in a word: the help behind its fields goes by it.
    pub(super) subject: &'static str,
    pub(super) actions: &'a mut Actions,
}

impl Form<'_, '_> {
    /// A field over a text: what is typed is made into an edit, or into a sentence that says what was not understood.
    pub(super) fn text(
        &mut self,
        label: &str,
        value: String,
        make: impl FnOnce(&str) -> Result<Edit, String>,
    ) {
        self.drafted((label, false), value, |typed| {
            make(typed.trim()).map(Action::Edit)
        });
    }

    /// A field over a text that is no part of the plan: what is typed is made into what is asked for.
    pub(super) fn asking(
        &mut self,
        label: &str,
        value: String,
        make: impl FnOnce(&str) -> Result<Action, String>,
    ) {
        self.drafted((label, false), value, |typed| make(typed.trim()));
    }

    /// A field over a text of several lines, in which Enter breaks a line; what is typed is taken when the keyboard goes elsewhere.
    pub(super) fn lines(
        &mut self,
        label: &str,
        value: &str,
        make: impl FnOnce(&str) -> Result<Edit, String>,
    ) {
        self.drafted((label, true), value.to_owned(), |typed| {
            make(typed).map(Action::Edit)
        });
    }

    /// A field of one line or of several, over the draft kept for it.
    fn drafted(
        &mut self,
        (label, several): (&str, bool),
        value: String,
        make: impl FnOnce(&str) -> Result<Action, String>,
    ) {
        let draft = self.drafts.fields.entry(label.to_owned()).or_default();
        if draft.value.as_ref() != Some(&value) {
            *draft = Draft {
                typed: value.clone(),
                value: Some(value.clone()),
                error: String::new(),
            };
        }
        let field = Field::new(label)
            .help(help::of(self.subject, label))
            .error(&draft.error);
        let event = if several {
            field.lines(self.ui, &mut draft.typed)
        } else {
            field.ui(self.ui, &mut draft.typed)
        };
        match event {
            FieldEvent::None => {}
            FieldEvent::Abandoned => {
                draft.typed = value;
                draft.error.clear();
            }
            FieldEvent::Committed(typed) => match make(&typed) {
                Ok(action) => {
                    draft.error.clear();
                    // The next frame shows what the plan says then, even where it refused what was typed.
                    draft.value = None;
                    self.actions.ask(action);
                }
                Err(why) => draft.error = why,
            },
        }
    }

    /// A field over a length; a bare number means the plan's unit.
    pub(super) fn length(&mut self, label: &str, value: Length, make: impl FnOnce(Length) -> Edit) {
        let practice = self.shown.practice();
        self.text(label, value.shown_exact(practice), |typed| {
            Length::parse(typed, Some(practice))
                .map(make)
                .map_err(|e| e.to_string())
        });
    }

    /// A field over a length that may be unknown; an empty field makes it so.
    pub(super) fn maybe_length(
        &mut self,
        label: &str,
        value: Option<Length>,
        make: impl FnOnce(Option<Length>) -> Edit,
    ) {
        let practice = self.shown.practice();
        let shown = value.map(|v| v.shown_exact(practice)).unwrap_or_default();
        self.text(label, shown, |typed| {
            length_maybe(typed, practice).map(make)
        });
    }

    /// A field over a whole number.
    pub(super) fn number(&mut self, label: &str, value: u8, make: impl FnOnce(u8) -> Edit) {
        self.text(label, value.to_string(), |typed| {
            typed
                .parse()
                .map(make)
                .map_err(|_no_number| format!("{typed:?} is no whole number from 0 to 255"))
        });
    }

    /// A choice among a few, by name.
    pub(super) fn choice<T: Clone + PartialEq>(
        &mut self,
        label: &str,
        now: &T,
        choices: &[(T, String)],
        make: impl FnOnce(T) -> Option<Edit>,
    ) {
        let word = choices
            .iter()
            .find(|(value, _)| value == now)
            .map_or("unknown", |(_, name)| name.as_str());
        let mut chosen = None;
        let help = help::of(self.subject, label);
        let row = self.ui.horizontal(|ui| {
            let height = ui.spacing().interact_size.y;
            let layout = egui::Layout::left_to_right(egui::Align::Center);
            ui.allocate_ui_with_layout(egui::vec2(112.0, height), layout, |ui| {
                ui.set_min_width(112.0);
                ui.weak(label);
            });
            let response = ComboBox::from_id_salt(("choice", label))
                .selected_text(word)
                .width(ui.available_width())
                .truncate()
                .show_ui(ui, |ui| {
                    for (value, name) in choices {
                        if ui.selectable_label(value == now, name).clicked() && value != now {
                            chosen = Some(value.clone());
                        }
                    }
                })
                .response;
            response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, label));
            response
        });
        beside(row.inner, row.response.rect, help);
        if let Some(edit) = chosen.and_then(make) {
            self.actions.edit(edit);
        }
    }

    /// A box to tick.
    pub(super) fn tick(&mut self, label: &str, now: bool, make: impl FnOnce(bool) -> Edit) {
        let mut on = now;
        let response = self.ui.checkbox(&mut on, label);
        if behind(response, help::of(self.subject, label)).changed() {
            self.actions.edit(make(on));
        }
    }

    /// A box to tick for each side that a person works at; `label` stands above them and before each side's name for screen
    /// readers.
    pub(super) fn faces(
        &mut self,
        label: &str,
        now: &[Face],
        make: impl FnOnce(Vec<Face>) -> Option<Edit>,
    ) {
        let faces = [
            (Face::Front, "front"),
            (Face::Back, "back"),
            (Face::Left, "left"),
            (Face::Right, "right"),
        ];
        self.ui.weak(label);
        let help = help::of(self.subject, label);
        let mut changed = None;
        self.ui.horizontal_wrapped(|ui| {
            for (face, name) in faces {
                let mut on = now.contains(&face);
                let response = ui.checkbox(&mut on, name);
                let full = format!("{label} {name}");
                response.widget_info(|| {
                    WidgetInfo::selected(Role::CheckBox, ui.is_enabled(), on, &full)
                });
                if behind(response, help).changed() {
                    let others = now.iter().copied().filter(|f| *f != face);
                    changed = Some(others.chain(on.then_some(face)).collect());
                }
            }
        });
        if let Some(edit) = changed.and_then(make) {
            self.actions.edit(edit);
        }
    }

    /// When a thing is there and what the contractor does with it; the same for items, printers and circuits.
    pub(super) fn presence(&mut self, presence: &Presence, put: impl Fn(Presence) -> Edit) {
        self.comes_and_goes(presence, &put);
        let with = |change: &dyn Fn(&mut Presence)| with(presence, &put, change);
        let statuses: Vec<_> = Status::ALL.map(|s| (s, s.word().to_owned())).to_vec();
        self.choice("status", &presence.status, &statuses, |status| {
            Some(with(&|p| p.status = status))
        });
        self.text("note", presence.note.as_str().to_owned(), |typed| {
            let note = Label::new(typed).map_err(|e| e.to_string())?;
            Ok(with(&|p| p.note = note.clone()))
        });
        self.pinned(presence, &put);
    }

    /// The phases in which a thing is there.
    pub(super) fn comes_and_goes(&mut self, presence: &Presence, put: &impl Fn(Presence) -> Edit) {
        let with = |change: &dyn Fn(&mut Presence)| with(presence, put, change);
        let phases = self.phases();
        if let Some(from) = presence.moved_from {
            self.ui.weak(format!("It was {from} before it moved."));
        }
        self.choice("arrives in", &presence.arrives, &phases, |phase| {
            Some(with(&|p| p.arrives = phase))
        });
        let later = phases
            .iter()
            .filter(|(n, _)| *n > presence.arrives)
            .map(|(n, name)| (Some(*n), name.clone()));
        let leaves: Vec<_> = std::iter::once((None, "stays".to_owned()))
            .chain(later)
            .collect();
        self.choice("leaves in", &presence.leaves, &leaves, |phase| {
            Some(with(&|p| p.leaves = phase))
        });
    }

    /// The phases by number and name, for a choice.
    pub(super) fn phases(&self) -> Vec<(PhaseNo, String)> {
        (1..=u8::MAX)
            .zip(self.shown.plan.phases())
            .map(|(n, p)| (PhaseNo(n), format!("{n} {}", p.name)))
            .collect()
    }

    /// The lock.
    pub(super) fn pinned(&mut self, presence: &Presence, put: &impl Fn(Presence) -> Edit) {
        self.tick("Pinned in its place", presence.pinned, |pinned| {
            with(presence, put, &|p| p.pinned = pinned)
        });
    }
}

/// The edit that changes a presence.
fn with(
    presence: &Presence,
    put: &impl Fn(Presence) -> Edit,
    change: &dyn Fn(&mut Presence),
) -> Edit {
    let mut presence = presence.clone();
    change(&mut presence);
    put(presence)
}

/// The edit that puts an item in the place of the one of that mark.
pub(super) fn put(id: Id, item: Item) -> Edit {
    Edit::Put(vec![(id, Record::Item(Box::new(item)))])
}

/// A length that may be unknown: nothing typed makes it so.
pub(super) fn length_maybe(typed: &str, practice: Practice) -> Result<Option<Length>, String> {
    read_maybe(typed, "", |words| Length::parse(words, Some(practice)))
}

/// Choices with a first line for what nobody said.
pub(super) fn or_unknown<T>(known: impl Iterator<Item = (T, String)>) -> Vec<(Option<T>, String)> {
    let known = known.map(|(value, words)| (Some(value), words));
    std::iter::once((None, "unknown".to_owned()))
        .chain(known)
        .collect()
}

/// The edit, or what the audit says against it, without the path to what the card is about: the field stands beside.
pub(super) fn allowed(shown: &Shown<'_>, path: &str, edit: Edit) -> Result<Edit, String> {
    let Err(refused) = shown.plan.edited(&shown.library.stock, &edit) else {
        return Ok(edit);
    };
    let path = format!("{path}: ");
    Err(match &refused {
        Refused::Faulty(sentences) => sentences
            .iter()
            .map(|sentence| sentence.strip_prefix(&path).unwrap_or(sentence))
            .collect::<Vec<_>>()
            .join("; "),
        Refused::Unknown(_) | Refused::WrongMark(_) | Refused::Impossible(_) => refused.to_string(),
    })
}
