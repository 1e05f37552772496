//! The question for a new plan: a rectangular room and its door, by mouse or keyboard.

use egui::{ComboBox, Key, Role, TextEdit, Ui, WidgetInfo};

use crate::editor::theme::palette;
use crate::plan::{
    Door, Edit, Head, Hinge, Item, ItemKind, Label, Library, Plan, Presence, Record, Room, Swing,
    WallPlace,
};
use crate::stock::KindId;
use crate::units::{Length, Practice};

/// The drafts of the question.
#[derive(Debug)]
pub struct NewPlanView {
    practice: Practice,
    name: String,
    width: String,
    length: String,
    ceiling: String,
    wall: u16,
    door_from: String,
    door_width: String,
    /// The printer kinds of the stock list, by name.
    printers: Vec<(KindId, String)>,
    /// The one that is counted in.
    leading: Option<KindId>,
    error: String,
    begun: bool,
}

impl Default for NewPlanView {
    fn default() -> Self {
        Self {
            practice: Practice::Us,
            name: "New room".to_owned(),
            width: "12 ft".to_owned(),
            length: "20 ft".to_owned(),
            ceiling: "9 ft".to_owned(),
            wall: 0,
            door_from: "2 ft".to_owned(),
            door_width: "3 ft".to_owned(),
            printers: Vec::new(),
            leading: None,
            error: String::new(),
            begun: false,
        }
    }
}

/// The walls of a rectangle by number, as a person standing inside names them with north up the sheet.
const WALLS: [&str; 4] = ["South", "East", "North", "West"];

/// Shows the question; gives the plan once it is answered.
pub fn new_plan_ui(ui: &mut Ui, view: &mut NewPlanView) -> Option<Plan> {
    ui.heading("New plan");
    ui.label("Width and length inside the walls, and where the door is. Everything can be changed later.");
    ui.add_space(6.0);
    let mut entered = false;
    egui::Grid::new("new plan")
        .num_columns(2)
        .spacing([12.0, 6.0])
        .show(ui, |ui| {
            let first = field(ui, "Name", &mut view.name, &mut entered);
            if !view.begun {
                view.begun = true;
                stock_up(view);
                first.request_focus();
            }
            ui.label("Units");
            ui.horizontal(|ui| {
                for (practice, words) in [
                    (Practice::Us, "Feet and inches"),
                    (Practice::Metric, "Millimetres"),
                ] {
                    if ui
                        .selectable_label(view.practice == practice, words)
                        .clicked()
                        && view.practice != practice
                    {
                        view.practice = practice;
                        rewrite(view);
                    }
                }
            });
            ui.end_row();
            field(ui, "Width, west to east", &mut view.width, &mut entered);
            field(ui, "Length, south to north", &mut view.length, &mut entered);
            field(ui, "Ceiling height", &mut view.ceiling, &mut entered);
            ui.label("Door in wall");
            ui.horizontal(|ui| {
                for (k, name) in (0..).zip(WALLS) {
                    if ui.selectable_label(view.wall == k, name).clicked() {
                        view.wall = k;
                    }
                }
            });
            ui.end_row();
            let corner = ["west", "south", "east", "north"]
                .get(usize::from(view.wall))
                .copied()
                .unwrap_or("west");
            field(
                ui,
                &format!("Door from the {corner} corner"),
                &mut view.door_from,
                &mut entered,
            );
            field(ui, "Door width", &mut view.door_width, &mut entered);
            printer(ui, view);
        });
    if !view.error.is_empty() {
        ui.colored_label(palette(ui).broken.text, &view.error);
    }
    ui.add_space(4.0);
    if ui.button("Create plan").clicked() || entered {
        match made(view) {
            Ok(plan) => return Some(plan),
            Err(why) => view.error = why,
        }
    }
    None
}

/// Reads the stock list; a list that cannot be read leaves no choice, and making the plan says why.
fn stock_up(view: &mut NewPlanView) {
    if let Ok(library) = Library::builtin() {
        let kinds = library.stock.printers.iter();
        view.printers = kinds.map(|(id, k)| (id.clone(), k.name.clone())).collect();
        view.leading = view.printers.first().map(|(id, _)| id.clone());
    }
}

/// The printer kind that the first count is made in.
fn printer(ui: &mut Ui, view: &mut NewPlanView) {
    ui.label("Printers to count");
    let name = |id: Option<&KindId>| {
        let known = view.printers.iter().find(|(kind, _)| Some(kind) == id);
        known.map_or("none", |(_, name)| name.as_str())
    };
    let mut chosen = view.leading.clone();
    ComboBox::new("printers to count", "")
        .selected_text(name(view.leading.as_ref()))
        .width(220.0)
        .truncate()
        .show_ui(ui, |ui| {
            for (id, name) in &view.printers {
                ui.selectable_value(&mut chosen, Some(id.clone()), name);
            }
        })
        .response
        .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, "Printers to count"));
    view.leading = chosen;
    ui.end_row();
}

fn field(ui: &mut Ui, label: &str, draft: &mut String, entered: &mut bool) -> egui::Response {
    let label = ui.label(label);
    let response = ui
        .add(TextEdit::singleline(draft).desired_width(220.0))
        .labelled_by(label.id);
    ui.end_row();
    *entered |= response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    response
}

/// Writes the lengths in the other units.
fn rewrite(view: &mut NewPlanView) {
    let practice = view.practice;
    let before = match practice {
        Practice::Us => Practice::Metric,
        Practice::Metric => Practice::Us,
    };
    for draft in [
        &mut view.width,
        &mut view.length,
        &mut view.ceiling,
        &mut view.door_from,
        &mut view.door_width,
    ] {
        if let Ok(length) = Length::parse(draft, Some(before)) {
            *draft = length.shown_exact(practice);
        }
    }
}

/// The plan that the question gives when nothing is changed in it.
pub fn usual() -> Result<Plan, String> {
    let mut view = NewPlanView::default();
    stock_up(&mut view);
    made(&view)
}

/// The plan, or what is wrong with the answers.
fn made(view: &NewPlanView) -> Result<Plan, String> {
    let length = |what: &str, draft: &str| {
        Length::parse(draft, Some(view.practice)).map_err(|e| format!("{what}: {e}"))
    };
    let wall_thickness = match view.practice {
        Practice::Us => Length::from_inches(6),
        Practice::Metric => Length::from_mm_whole(150),
    };
    let room = Room::rectangle(
        length("Width", &view.width)?,
        length("Length", &view.length)?,
        length("Ceiling height", &view.ceiling)?,
        wall_thickness,
    );
    let head = Head {
        name: Label::new(view.name.trim()).map_err(|e| format!("Name: {e}"))?,
        practice: view.practice,
        system: match view.practice {
            Practice::Us => crate::plan::System::Split120x240,
            Practice::Metric => crate::plan::System::Single230,
        },
        leading: view.leading.clone(),
        ..Head::default()
    };
    let door = Door {
        at: WallPlace::new(view.wall, length("Door from the corner", &view.door_from)?),
        width: length("Door width", &view.door_width)?,
        height: Length::from_inches(80),
        clear: None,
        hinge: Hinge::Near,
        swing: Swing::In,
        way_out: true,
        presence: Presence::default(),
    };
    let plan = Plan::new(head, room);
    let library = Library::builtin().map_err(|e| e.to_string())?;
    let ids = plan.fresh(ItemKind::Door.prefix(), 1);
    let records = ids
        .into_iter()
        .map(|id| (id, Record::Item(Box::new(Item::Door(door.clone())))))
        .collect();
    plan.edited(&library.stock, &Edit::Put(records))
        .map_err(|e| e.to_string())
}
