//! The part of the plan's card that lists what must also fit: benches, packing places, spool stores, cart parking.

use egui::Ui;

use super::form::Form;
use crate::editor::widgets;
use crate::plan::{Edit, Head, Label, MustFit};
use crate::stock::Face;
use crate::units::Length;

/// Shows the list, and what is offered to begin with.
pub(super) fn must_fit(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Must also fit: fill keeps floor for these");
    let head = form.shown.plan.head().clone();
    for (k, thing) in head.must_fit.iter().enumerate() {
        fields(form, &head, k, thing);
    }
    if form.shown.read_only || head.must_fit.len() >= MustFit::MOST {
        return;
    }
    for pair in OFFERED.chunks(2) {
        form.ui.horizontal(|ui| {
            for offered in pair {
                if let Some(thing) = offer(ui, &head, offered) {
                    let mut head = head.clone();
                    head.must_fit.push(thing);
                    form.actions.edit(Edit::SetHead(Box::new(head)));
                }
            }
        });
    }
}

/// A button that adds one of what is offered.
fn offer(
    ui: &mut Ui,
    head: &Head,
    (word, width_in, depth_in, height_in): &(&str, i32, i32, i32),
) -> Option<MustFit> {
    widgets::action(ui, &format!("Add a {word}"))
        .clicked()
        .then(|| MustFit {
            name: fresh_name(head, word),
            width: Length::from_inches(*width_in),
            depth: Length::from_inches(*depth_in),
            height: Length::from_inches(*height_in),
            faces: vec![Face::Front],
        })
}

/// What is offered to begin with: width, depth and height in inches, common sizes without a source.
const OFFERED: [(&str, i32, i32, i32); 4] = [
    ("bench", 60, 30, 36),
    ("packing place", 72, 30, 36),
    ("spool store", 36, 18, 72),
    ("cart parking", 24, 36, 42),
];

/// The word, numbered where the list holds it already.
fn fresh_name(head: &Head, word: &str) -> Label {
    let taken = |name: &str| head.must_fit.iter().any(|t| t.name.as_str() == name);
    (1..=MustFit::MOST + 1)
        .map(|n| {
            if n == 1 {
                word.to_owned()
            } else {
                format!("{word} {n}")
            }
        })
        .find(|name| !taken(name))
        .and_then(|name| Label::new(&name).ok())
        .unwrap_or_default()
}

/// The fields of one thing; their labels begin with its number, so that each is told from the others.
fn fields(form: &mut Form<'_, '_>, head: &Head, k: usize, thing: &MustFit) {
    let n = k + 1;
    let set = |change: &dyn Fn(&mut MustFit)| {
        let mut head = head.clone();
        if let Some(thing) = head.must_fit.get_mut(k) {
            change(thing);
        }
        Edit::SetHead(Box::new(head))
    };
    form.text(
        &format!("{n} name"),
        thing.name.as_str().to_owned(),
        |typed| {
            let name = Label::new(typed).map_err(|e| e.to_string())?;
            Ok(set(&|t| t.name = name.clone()))
        },
    );
    form.length(&format!("{n} width"), thing.width, |v| {
        set(&|t| t.width = v)
    });
    form.length(&format!("{n} depth"), thing.depth, |v| {
        set(&|t| t.depth = v)
    });
    form.length(&format!("{n} height"), thing.height, |v| {
        set(&|t| t.height = v)
    });
    let faces = form.faces(&format!("{n} "), &thing.faces);
    if let Some(faces) = faces {
        form.actions.edit(set(&|t| t.faces.clone_from(&faces)));
    }
    if !form.shown.read_only
        && widgets::action(form.ui, &format!("Remove {}", thing.name)).clicked()
    {
        let mut head = head.clone();
        head.must_fit.remove(k);
        form.actions.edit(Edit::SetHead(Box::new(head)));
    }
}
