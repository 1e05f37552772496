//! The stock drawer: everything that can be put on the floor.

use egui::{
    ComboBox, Key, Painter, Rect, Response, ScrollArea, Stroke, StrokeKind, TextEdit, Ui, pos2,
    vec2,
};

use crate::editor::action::{Action, Actions, StockEntry};
use crate::editor::panels::own_printer::{Done, OwnPrinterView, own_printer_ui};
use crate::editor::shown::Shown;
use crate::editor::theme::{line, palette, text};
use crate::editor::widgets::{self, Entry};
use crate::plan::{FittingUse, FurnitureUse, ItemKind, OverheadUse, OwnFamily};
use crate::stock::{KindId, RackKind};

/// The drawer's own state.
#[derive(Debug, Default)]
pub struct DrawerView {
    search: String,
    filling: Filling,
    /// The printer that is being entered in the drawer's place.
    own: Option<OwnPrinterView>,
}

/// The printers that new racks come with.
#[derive(Clone, Debug, Default, PartialEq)]
enum Filling {
    /// The plan's leading kind, until a person chooses.
    #[default]
    Usual,
    /// None: empty racks.
    Empty,
    /// This kind.
    With(KindId),
}

/// Shows the drawer.
pub fn drawer_ui(ui: &mut Ui, shown: &Shown<'_>, view: &mut DrawerView, actions: &mut Actions) {
    ui.spacing_mut().item_spacing.y = 5.0;
    if let Some(own) = &mut view.own {
        match own_printer_ui(ui, shown, own, actions) {
            None => {}
            Some(Done::Left) => view.own = None,
            Some(Done::Saved(kind)) => {
                view.own = None;
                view.filling = Filling::With(kind);
            }
        }
        return;
    }
    ui.add_space(8.0);
    widgets::section(ui, "Stock", "");
    ui.horizontal(|ui| {
        ui.add_space(8.0);
        let width = ui.available_width() - 8.0;
        let field = TextEdit::singleline(&mut view.search)
            .hint_text("Find in stock")
            .desired_width(width);
        ui.add(field).widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Find in stock")
        });
    });
    let filled_with = filling(ui, shown, view);
    if !shown.read_only {
        if let Some(kind) = &filled_with {
            take_out(ui, shown, OwnFamily::Printers, kind, actions);
        }
        ui.horizontal(|ui| {
            ui.add_space(8.0);
            if widgets::action(ui, "Add a printer of your own").clicked() {
                view.own = Some(OwnPrinterView::default());
            }
        });
    }
    ui.add_space(2.0);
    let wanted = view.search.trim().to_lowercase();
    let fits = |name: &str| wanted.is_empty() || name.to_lowercase().contains(&wanted);
    let foot = 44.0;
    let height = (ui.available_height() - foot).max(60.0);
    ScrollArea::vertical()
        .max_height(height)
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let mut found = 0;
            for (id, kind) in shown
                .layout
                .stock()
                .racks
                .iter()
                .filter(|(_, k)| fits(&k.name))
            {
                let own = shown.plan.kinds().racks.contains_key(id);
                rack_entry(ui, (id, kind, own), filled_with.as_ref(), actions);
                if !shown.read_only {
                    take_out(ui, shown, OwnFamily::Racks, id, actions);
                }
                found += 1;
            }
            for (title, subtitle, entry) in rows(shown).into_iter().filter(|(t, ..)| fits(t)) {
                let response = Entry::new(&title, &subtitle).row(ui);
                offer(ui, &response, entry, actions);
                found += 1;
            }
            if found == 0 {
                ui.horizontal_wrapped(|ui| {
                    ui.add_space(8.0);
                    ui.label(format!(
                        "Nothing in stock is called “{}”.",
                        view.search.trim()
                    ));
                });
            }
        });
    let margin = egui::Margin::symmetric(8, 2);
    egui::Frame::new().inner_margin(margin).show(ui, |ui| {
        let words = "Drag onto the floor. Enter puts it at a free place.";
        let words = egui::RichText::new(words).size(text::SMALL).weak();
        ui.add(egui::Label::new(words).wrap());
    });
}

/// The chooser of the printers that new racks come with.
fn filling(ui: &mut Ui, shown: &Shown<'_>, view: &mut DrawerView) -> Option<KindId> {
    let printers = &shown.layout.stock().printers;
    let usual = || {
        shown
            .headroom
            .leading
            .clone()
            .or_else(|| printers.keys().next().cloned())
    };
    let mut chosen = match &view.filling {
        Filling::Usual => usual(),
        Filling::Empty => None,
        Filling::With(kind) => Some(kind.clone()).filter(|kind| printers.contains_key(kind)),
    };
    let name = |id: Option<&KindId>| {
        id.and_then(|id| printers.get(id))
            .map_or("no printers", |k| k.name.as_str())
    };
    ui.horizontal(|ui| {
        ui.add_space(8.0);
        ui.vertical(|ui| {
            ui.label("Racks come with");
            ComboBox::new("racks come with", "")
                .selected_text(name(chosen.as_ref()))
                .width(ui.available_width() - 10.0)
                .truncate()
                .show_ui(ui, |ui| {
                    let choices = printers.keys().map(|id| Some(id.clone())).chain([None]);
                    for choice in choices {
                        let label = name(choice.as_ref()).to_owned();
                        if ui.selectable_label(chosen == choice, label).clicked() {
                            view.filling = choice.clone().map_or(Filling::Empty, Filling::With);
                            chosen = choice;
                        }
                    }
                })
                .response
                .widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::ComboBox, true, "Racks come with")
                });
        });
    });
    chosen
}

/// A button that takes a kind of the plan's own out of stock; where something is of it, it says what.
fn take_out(
    ui: &mut Ui,
    shown: &Shown<'_>,
    family: OwnFamily,
    kind: &KindId,
    actions: &mut Actions,
) {
    let own = shown.plan.kinds();
    let name = match family {
        OwnFamily::Printers => own.printers.get(kind).map(|k| &k.name),
        OwnFamily::Racks => own.racks.get(kind).map(|k| &k.name),
    };
    let Some(name) = name else { return };
    ui.horizontal(|ui| {
        ui.add_space(8.0);
        let full = format!("Take {name} out of stock");
        if widgets::action_named(ui, "Take it out of stock", &full).clicked() {
            match shown.plan.own_kind_taken(family, kind) {
                Ok(edit) => actions.edit(edit),
                Err(why) => actions.ask(Action::Say(why.to_string())),
            }
        }
    });
}

fn rack_entry(
    ui: &mut Ui,
    (id, kind, own): (&KindId, &RackKind, bool),
    printer: Option<&KindId>,
    actions: &mut Actions,
) {
    let slots: u32 = kind.levels.iter().map(|l| u32::from(l.slots)).sum();
    let holds = if slots == 0 {
        "spools".to_owned()
    } else {
        format!("{slots} printers")
    };
    let whose = if own { "own · " } else { "" };
    let subtitle = format!("{whose}{} levels · {holds}", kind.levels.len());
    let colours = palette(ui);
    let response = Entry::new(&kind.name, &subtitle).card(ui, vec2(46.0, 40.0), |painter, rect| {
        front(
            painter,
            rect,
            kind,
            Stroke::new(line::PART, colours.body_edge),
            colours.printer,
        );
    });
    let printer = printer.filter(|_| slots > 0).cloned();
    offer(
        ui,
        &response,
        StockEntry::Rack(id.clone(), printer),
        actions,
    );
}

/// The front of a rack, as high and wide as it is beside the others.
fn front(painter: &Painter, rect: Rect, kind: &RackKind, stroke: Stroke, fill: egui::Color32) {
    let scale =
        |l: crate::units::Length| egui::remap(narrow(l.inches()), 0.0..=76.0, 0.0..=rect.height());
    let width = scale(kind.width).min(rect.width());
    let left = rect.center().x - width * 0.5;
    let floor = rect.bottom();
    let top = floor - scale(kind.height);
    for x in [left, left + width] {
        painter.line_segment([pos2(x, floor), pos2(x, top)], stroke);
    }
    for level in &kind.levels {
        let y = floor - scale(level.height);
        painter.line_segment([pos2(left, y), pos2(left + width, y)], stroke);
        let pitch = width / f32::from(level.slots.max(1));
        for k in 0..level.slots {
            let x = left + pitch * (f32::from(k) + 0.5);
            let size = vec2(pitch * 0.7, scale(crate::units::Length::from_inches(16)));
            let body = Rect::from_min_size(pos2(x - size.x * 0.5, y - size.y), size);
            painter.rect(body, 0.0, fill, stroke, StrokeKind::Inside);
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a few inches on the screen"
)]
fn narrow(value: f64) -> f32 {
    value.max(0.0).min(1000.0) as f32
}

/// What is not a rack: title, subtitle, entry.
fn rows(shown: &Shown<'_>) -> Vec<(String, String, StockEntry)> {
    let stock = shown.layout.stock();
    let named = |name: &str, entry| (name.to_owned(), String::new(), entry);
    let supplies = stock.ups.iter().map(|(id, k)| {
        (
            k.name.clone(),
            format!("{} receptacles", k.receptacles),
            StockEntry::Ups(id.clone()),
        )
    });
    let cooling = stock
        .cooling
        .iter()
        .map(|(id, k)| named(&k.name, StockEntry::Cooling(id.clone())));
    let lights = stock.lights.iter();
    let lights = lights.map(|(id, k)| named(&k.name, StockEntry::Light(id.clone())));
    let cameras = stock.cameras.iter();
    let cameras = cameras.map(|(id, k)| named(&k.name, StockEntry::Camera(id.clone())));
    let fixtures = [
        ("Outlet", ItemKind::Outlet),
        ("Door", ItemKind::Door),
        ("Window", ItemKind::Window),
        ("Column", ItemKind::Column),
        ("Panel", ItemKind::Panel),
        ("Data point", ItemKind::Fitting(FittingUse::DataPoint)),
        ("Extinguisher", ItemKind::Fitting(FittingUse::Extinguisher)),
        ("Radiator", ItemKind::Fitting(FittingUse::Radiator)),
        ("Beam", ItemKind::Overhead(OverheadUse::Beam)),
        ("Pipe or duct", ItemKind::Overhead(OverheadUse::Pipe)),
        ("Sprinkler head", ItemKind::Overhead(OverheadUse::Sprinkler)),
        ("Detector", ItemKind::Overhead(OverheadUse::Detector)),
        ("Bench", ItemKind::Furniture(FurnitureUse::Bench)),
        ("Bin", ItemKind::Furniture(FurnitureUse::Bin)),
        ("Cart", ItemKind::Furniture(FurnitureUse::Cart)),
        ("Spool store", ItemKind::Furniture(FurnitureUse::SpoolStore)),
        ("Note", ItemKind::Note),
    ]
    .map(|(name, kind)| named(name, StockEntry::Fixture(kind)));
    let zones = [
        ("Keep-clear zone", StockEntry::KeepClear),
        ("Wet zone", StockEntry::Wet),
    ]
    .map(|(name, entry)| named(name, entry));
    supplies
        .chain(cooling)
        .chain(lights)
        .chain(cameras)
        .chain(fixtures)
        .chain(zones)
        .collect()
}

/// Dragging takes the entry in hand; a double click or Enter puts it at a free place.
fn offer(ui: &Ui, response: &Response, entry: StockEntry, actions: &mut Actions) {
    let entered = response.has_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    if response.drag_started() {
        actions.ask(Action::Take(entry));
    } else if response.double_clicked() || entered {
        actions.ask(Action::Put(entry));
    } else if response.clicked() {
        actions.ask(Action::Say(
            "Drag it onto the floor, or double click to put it at a free place.".to_owned(),
        ));
    }
}
