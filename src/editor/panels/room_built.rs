//! The room as it is built: drawn as a rectangle or an L, and wall by wall in typed numbers. Keeps drafts, asks for edits.

use egui::{Key, RichText, Ui};

use crate::editor::action::Actions;
use crate::editor::floor::{Shape, WallTools, ask_for, wall_words};
use crate::editor::shown::Shown;
use crate::editor::theme::{palette, text};
use crate::editor::widgets::{self, Entry, Field, FieldEvent};
use crate::layout::Wall;
use crate::plan::{Quarter, Rebuild, Room, l_shape_at, rectangle_at};
use crate::units::{Length, Practice, capital};

/// Drafts of the fields.
#[derive(Debug, Default)]
pub(super) struct BuiltView {
    shape: Shape,
    quarter: Quarter,
    /// Width and length of the room and of the notch, as typed.
    sizes: [String; 4],
    /// The size of the room that the drafts began from.
    began: String,
    error: String,
    /// The wall that the drafts below are about, and its length.
    about: String,
    drafts: [String; 5],
    errors: [String; 5],
}

/// Walls that are listed at most; more are chosen on the floor.
const LISTED: usize = 60;

/// The outline as a rectangle or an L, typed or dragged.
pub(super) fn draw_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut BuiltView,
    tools: &mut WallTools,
    actions: &mut Actions,
) {
    if tools.draw.is_some() && ui.input(|i| i.key_pressed(Key::Escape)) {
        tools.draw = None;
    }
    let practice = shown.practice();
    widgets::hint(
        ui,
        "A new outline in the place of this one. What hangs on a wall stays on the wall that runs the same way, as far from its corner.",
    );
    let bounds = shown.layout.room().bounds();
    let size = bounds.size();
    let exact = |mm: f64| Length::from_mm(mm).shown_exact(practice);
    let now = format!("{} {}", exact(size.x), exact(size.y));
    // What a drag would make is no reason to forget what was typed.
    if view.began != now && tools.draw.is_none() {
        view.began = now;
        let step_mm = match practice {
            Practice::Us => 25.4,
            Practice::Metric => 10.0,
        };
        let third = |mm: f64| exact((mm / 3.0 / step_mm).round() * step_mm);
        view.sizes = [exact(size.x), exact(size.y), third(size.x), third(size.y)];
    }
    ui.horizontal(|ui| {
        for shape in Shape::ALL {
            let label = capital(shape.word());
            if widgets::pill(ui, &label, view.shape == shape).clicked() {
                view.shape = shape;
                tools.draw = tools.draw.map(|_| shape);
            }
        }
    });
    let labels = ["room width", "room length", "notch width", "notch length"];
    let fields = if view.shape == Shape::L { 4 } else { 2 };
    let mut entered = false;
    for (label, draft) in labels.into_iter().zip(&mut view.sizes).take(fields) {
        let event = Field::new(label).ui(ui, draft);
        let enter = ui.input(|i| i.key_pressed(Key::Enter));
        entered |= enter && matches!(event, FieldEvent::Committed(_));
    }
    if view.shape == Shape::L {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new("notch").size(text::LABEL));
            for quarter in [
                Quarter::UpperLeft,
                Quarter::UpperRight,
                Quarter::LowerLeft,
                Quarter::LowerRight,
            ] {
                if widgets::pill(ui, quarter.word(), view.quarter == quarter).clicked() {
                    view.quarter = quarter;
                }
            }
        });
    }
    ui.horizontal_wrapped(|ui| {
        let used = widgets::action(ui, "Use these sizes").clicked();
        if used || entered {
            use_sizes(shown, view, actions);
        }
        let drawing = tools.draw.is_some();
        if widgets::pill(ui, "Drag it on the floor", drawing).clicked() {
            tools.draw = (!drawing).then_some(view.shape);
        }
    });
    if !view.error.is_empty() {
        let words = RichText::new(&view.error).color(palette(ui).broken.text);
        ui.add(egui::Label::new(words).wrap());
    }
    let anew = Rebuild::Outline(Vec::new());
    if let Some(said) = shown
        .plan
        .room()
        .tape_walk()
        .and(shown.plan.room().lets_go(&anew))
    {
        widgets::hint(ui, &format!("Then {said}."));
    }
}

fn use_sizes(shown: &Shown<'_>, view: &mut BuiltView, actions: &mut Actions) {
    view.error.clear();
    let read = |label: &str, draft: &str| {
        let length = Length::parse(draft.trim(), Some(shown.practice()));
        length.map_err(|why| format!("{label}: {why}"))
    };
    let low = shown.layout.room().bounds().low;
    let from = (Length::from_mm(low.x), Length::from_mm(low.y));
    let [width, length, notch_width, notch_length] = &view.sizes;
    let corners = || -> Result<_, String> {
        let size = (read("room width", width)?, read("room length", length)?);
        match view.shape {
            Shape::Rectangle => Ok(rectangle_at(from, size.0, size.1)),
            Shape::L => {
                let notch = (
                    read("notch width", notch_width)?,
                    read("notch length", notch_length)?,
                );
                l_shape_at(from, size, notch, view.quarter)
                    .ok_or_else(|| "the notch must be smaller than the room both ways".to_owned())
            }
        }
    };
    let edit = corners().and_then(|corners| {
        let change = Rebuild::Outline(corners);
        shown.plan.rebuilt(&shown.library.stock, &change)
    });
    match edit {
        Ok(edit) => actions.edit(edit),
        Err(why) => view.error = capital(&format!("{why}.")),
    }
}

/// The walls one by one; the chosen one with its figures.
pub(super) fn walls_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut BuiltView,
    tools: &mut WallTools,
    actions: &mut Actions,
) {
    let room = shown.plan.room();
    let practice = shown.practice();
    widgets::hint(
        ui,
        "Drag a wall on the floor, or choose it here; a double click splits it there, arrow keys on the floor move the chosen one.",
    );
    let mut numbered: Vec<Wall> = shown.layout.walls().collect();
    numbered.sort_by_key(|wall| room.wall_number(wall.number));
    let many = numbered.len().saturating_sub(LISTED);
    // A change below may choose another place in the list, for the next frame.
    let now = tools.chosen;
    for wall in numbered.iter().take(LISTED) {
        let chosen = now == Some(wall.number);
        let title = wall_words(shown.plan, wall.number, wall.length);
        let thick = room.wall_thickness(wall.number).shown(practice);
        let row = Entry::new(&title, &format!("{thick} thick"))
            .selected(chosen)
            .row(ui);
        if row.clicked() {
            tools.chosen = (!chosen).then_some(wall.number);
        }
        if chosen && !shown.read_only {
            figures(ui, shown, view, wall, tools, actions);
        }
    }
    if many > 0 {
        widgets::hint(ui, &format!("and {many} more, to be chosen on the floor."));
    }
}

/// What can be typed of one wall and of the corner it begins at.
fn figures(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut BuiltView,
    wall: &Wall,
    tools: &mut WallTools,
    actions: &mut Actions,
) {
    let room = shown.plan.room();
    let practice = shown.practice();
    let k = wall.number;
    let corner = room.corner_number(k);
    let length = Length::from_mm(wall.length).shown_exact(practice);
    let thickness = room.wall_thickness(k).shown_exact(practice);
    let about = format!("{k} {length} {thickness} {}", room.walls());
    if view.about != about {
        view.about = about;
        view.drafts = [
            length,
            String::new(),
            String::new(),
            thickness,
            String::new(),
        ];
        view.errors = <[String; 5]>::default();
    }
    let bevel = format!("bevel corner {corner} by");
    let labels = [
        "wall length",
        "move out by",
        "split it at",
        "wall thickness",
        &bevel,
    ];
    let hints = [
        "",
        "6in, or -6in",
        "from its first corner",
        "",
        "along both walls",
    ];
    ui.indent("wall", |ui| {
        for (n, (label, hint)) in labels.into_iter().zip(hints).enumerate() {
            let (Some(draft), Some(error)) = (view.drafts.get_mut(n), view.errors.get_mut(n))
            else {
                continue;
            };
            match Field::new(label).hint(hint).error(error).ui(ui, draft) {
                FieldEvent::None => {}
                FieldEvent::Abandoned => {
                    error.clear();
                    view.about.clear();
                }
                FieldEvent::Committed(typed) if typed.trim().is_empty() => error.clear(),
                FieldEvent::Committed(typed) => {
                    let stock = &shown.library.stock;
                    let change = typed_change(shown, wall, n, &typed);
                    let edit = change.and_then(|change| {
                        let edit = shown.plan.rebuilt(stock, &change)?;
                        Ok((edit, room.wall_after(&change, k)))
                    });
                    match edit {
                        Ok((edit, after)) => {
                            error.clear();
                            view.about.clear();
                            tools.chosen = Some(after);
                            actions.edit(edit);
                        }
                        Err(why) => *error = capital(&format!("{why}.")),
                    }
                }
            }
        }
        let name = format!("Remove corner {corner}");
        if widgets::action(ui, &name).clicked() {
            ask_for(shown, &Rebuild::RemoveCorner { corner: k }, actions);
        }
        said_first(ui, room, k);
    });
}

/// The change that a figure typed asks for.
fn typed_change(
    shown: &Shown<'_>,
    wall: &Wall,
    field: usize,
    typed: &str,
) -> Result<Rebuild, String> {
    let length = Length::parse(typed.trim(), Some(shown.practice())).map_err(|e| e.to_string())?;
    let k = wall.number;
    match field {
        0 => lengthened(shown, wall, length),
        1 => Ok(Rebuild::Shift {
            wall: k,
            out: length,
        }),
        2 => Ok(Rebuild::Split {
            wall: k,
            along: length,
        }),
        3 if length < Length::ZERO => Err("a wall cannot be thinner than nothing".to_owned()),
        3 => Ok(Rebuild::Thickness {
            wall: k,
            thickness: length,
        }),
        _ => Ok(Rebuild::Bevel {
            corner: k,
            back: length,
        }),
    }
}

/// A wall gets its length by moving the next one.
fn lengthened(shown: &Shown<'_>, wall: &Wall, length: Length) -> Result<Rebuild, String> {
    let room = shown.layout.room();
    let next = (wall.number + 1) % room.points().len().max(1);
    let steep = Wall::of(room, next).map_or(0.0, |next| wall.along.dot(-next.inward));
    if length <= Length::ZERO {
        return Err("a wall has some length".to_owned());
    }
    if steep.abs() < 0.02 {
        return Err(
            "the next wall goes straight on; remove the corner between them or move it".to_owned(),
        );
    }
    let more = length.mm() - wall.length;
    Ok(Rebuild::Shift {
        wall: next,
        out: Length::from_mm(more * steep),
    })
}

/// What a change would let go of, before it is made.
fn said_first(ui: &mut Ui, room: &Room, k: usize) {
    let inch = Length::from_inches(1);
    let changes = [
        ("Moving it", Rebuild::Shift { wall: k, out: inch }),
        (
            "Splitting it",
            Rebuild::Split {
                wall: k,
                along: inch,
            },
        ),
        (
            "Bevelling",
            Rebuild::Bevel {
                corner: k,
                back: inch,
            },
        ),
    ];
    let mut said: Vec<(String, Vec<&str>)> = Vec::new();
    for (what, change) in changes {
        let Some(words) = room.lets_go(&change) else {
            continue;
        };
        match said.iter_mut().find(|(other, _)| *other == words) {
            Some((_, names)) => names.push(what),
            None => said.push((words, vec![what])),
        }
    }
    for (words, names) in said {
        widgets::hint(ui, &format!("{}: {words}.", names.join(", ")));
    }
}
