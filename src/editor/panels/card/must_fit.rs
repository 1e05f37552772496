//! The must-also-fit list on the card of the plan: what else needs floor in the room. Places nothing; fill does.

use crate::editor::panels::card::form::{Form, allowed};
use crate::editor::widgets;
use crate::plan::{Edit, Head, Label, MustFit, Plan};
use crate::stock::Face;
use crate::units::{Length, Practice};

/// A thing to begin with: its name and its size in inches and, for rooms measured so, in whole millimetres.
struct Offer {
    name: &'static str,
    inches: [i32; 3],
    mm: [i32; 3],
}

/// Where a thing keeps one of its sizes.
type Side = fn(&mut MustFit) -> &mut Length;

/// Ordinary furniture of a print room; the sizes are common practice, no source.
const OFFERS: [Offer; 3] = [
    Offer {
        name: "bench",
        inches: [60, 30, 36],
        mm: [1500, 750, 900],
    },
    Offer {
        name: "packing table",
        inches: [72, 36, 36],
        mm: [1800, 900, 900],
    },
    Offer {
        name: "cabinet",
        inches: [36, 18, 72],
        mm: [900, 450, 1800],
    },
];

/// Shows the list with the fields of each thing.
pub(super) fn must_fit(form: &mut Form<'_, '_>) {
    form.ui.add_space(4.0);
    form.ui.weak("Must also fit");
    let hint =
        "Besides the printers; fill keeps floor for these, with room to work at the sides ticked.";
    form.ui.add(egui::Label::new(hint).wrap());
    // Above the list, so that they stay where they are while it grows.
    offers(form);
    let plan = form.shown.plan;
    for (index, thing) in plan.head().must_fit.iter().enumerate() {
        fields(form, index, thing);
    }
}

/// The fields of one thing of the list. They are told apart by its number, which stays when it is renamed.
fn fields(form: &mut Form<'_, '_>, index: usize, thing: &MustFit) {
    let (shown, number) = (form.shown, index + 1);
    form.ui.add_space(4.0);
    let set = |make: &dyn Fn(&mut MustFit)| {
        let words = format!("Change {}", thing.name);
        with_list(shown.plan, words, |list| {
            list.get_mut(index).into_iter().for_each(make);
        })
    };
    let path = format!("head › must_fit › {number}");
    let allowed = |edit: Edit| allowed(shown, &path, edit);
    let name = thing.name.as_str().to_owned();
    form.text(&format!("{number} name"), name, |typed| {
        let name = Label::new(typed).map_err(|e| e.to_string())?;
        allowed(set(&|t| t.name = name.clone()))
    });
    let sides: [(&str, Length, Side); 3] = [
        ("width", thing.width, |t| &mut t.width),
        ("depth", thing.depth, |t| &mut t.depth),
        ("height", thing.height, |t| &mut t.height),
    ];
    let practice = shown.practice();
    for (word, length, of) in sides {
        let value = length.shown_exact(practice);
        form.text(&format!("{number} {word}"), value, |typed| {
            let length = Length::parse(typed, Some(practice)).map_err(|e| e.to_string())?;
            allowed(set(&|t| *of(t) = length))
        });
    }
    form.faces(&format!("{number} worked at from"), &thing.faces, |faces| {
        Some(set(&|t| t.faces.clone_from(&faces)))
    });
    if !shown.read_only {
        let words = format!("Remove {}", thing.name);
        if widgets::action(form.ui, &words).clicked() {
            form.actions.edit(with_list(shown.plan, words, |list| {
                list.remove(index);
            }));
        }
    }
}

/// Buttons that begin a thing with an ordinary size, while the list has room.
fn offers(form: &mut Form<'_, '_>) {
    let shown = form.shown;
    if shown.read_only {
        return;
    }
    if shown.plan.head().must_fit.len() >= MustFit::MOST {
        let words = format!(
            "The list is full: it holds {} things at most.",
            MustFit::MOST
        );
        form.ui.add(egui::Label::new(words).wrap());
        return;
    }
    form.ui.horizontal_wrapped(|ui| {
        ui.weak("add a");
        for offer in &OFFERS {
            let name = format!("Add a {}", offer.name);
            if widgets::action_named(ui, offer.name, &name).clicked()
                && let Some(thing) = begun(shown.plan, offer)
            {
                let words = format!("Keep floor for {}", thing.name);
                form.actions.edit(with_list(shown.plan, words, |list| {
                    list.push(thing.clone());
                }));
            }
        }
    });
}

/// The thing that an offer begins, under a name that the list does not have yet.
fn begun(plan: &Plan, offer: &Offer) -> Option<MustFit> {
    let list = &plan.head().must_fit;
    let numbered = (2..).map(|n| format!("{} {n}", offer.name));
    let name = std::iter::once(offer.name.to_owned())
        .chain(numbered)
        .find(|name| list.iter().all(|thing| thing.name.as_str() != name))?;
    let [width, depth, height] = match plan.practice() {
        Practice::Us => offer.inches.map(Length::from_inches),
        Practice::Metric => offer.mm.map(Length::from_mm_whole),
    };
    Some(MustFit {
        name: Label::new(&name).ok()?,
        width,
        depth,
        height,
        faces: vec![Face::Front],
    })
}

/// The step, by that name in the history, that changes the list.
fn with_list(plan: &Plan, words: String, change: impl FnOnce(&mut Vec<MustFit>)) -> Edit {
    let mut head: Head = plan.head().clone();
    change(&mut head.must_fit);
    Edit::Several(words, vec![Edit::SetHead(Box::new(head))])
}
