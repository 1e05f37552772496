//! Hanging on another circuit what is dragged onto a row of the panel schedule, or selected while a key is pressed there.

use std::sync::Arc;

use aislewright::layout::Layout;
use aislewright::plan::{Edit, Id, Item, Library, PhaseNo, Plan, Record};
use aislewright::units::capital;
use aislewright::wiring::rehang::{CannotHang, Rehang, rehang};
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{
    App, choose, click, drag, editor_over, example, keep_picture, plan, settle, window,
};

/// The example with two more receptacles at every outlet.
fn roomy() -> Plan {
    let plan = example();
    let boxes = plan.items().iter().filter_map(|(id, item)| {
        let mut item = item.clone();
        let Item::Outlet(outlet) = &mut item else {
            return None;
        };
        outlet.receptacles += 2;
        Some((id, Record::Item(Box::new(item))))
    });
    let edit = Edit::Put(boxes.collect());
    let library = Library::builtin().unwrap();
    plan.edited(&library.stock, &edit).unwrap()
}

/// What the circuits say to racks, by rack and circuit.
fn answers(plan: &Plan) -> Vec<(Id, Id, Result<Rehang, CannotHang>)> {
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, &Arc::new(plan.clone()), PhaseNo(3));
    let racks = layout.parts().filter(|part| part.rack.is_some());
    let pairs = racks.flat_map(|rack| {
        let circuits = layout.power().circuits.keys();
        circuits.map(|circuit| (rack.id, *circuit, rehang(&layout, &[rack.id], *circuit)))
    });
    pairs.collect()
}

/// A rack and a circuit that takes it, with the change.
fn taken(plan: &Plan) -> (Id, Id, Rehang) {
    let mut answers = answers(plan).into_iter();
    answers
        .find_map(|(rack, circuit, hung)| Some((rack, circuit, hung.ok()?)))
        .unwrap()
}

/// A rack and a circuit none of whose outlets its cords reach.
fn out_of_reach(plan: &Plan) -> (Id, Id, CannotHang) {
    let answers = answers(plan).into_iter();
    let mut refused =
        answers.filter_map(|(rack, circuit, hung)| Some((rack, circuit, hung.err()?)));
    refused
        .find(|(_, _, why)| matches!(why, CannotHang::OutOfReach(..)))
        .unwrap()
}

fn opened(plan: Plan) -> App {
    let editor = editor_over(plan, None);
    let mut app = window(editor, vec2(1600.0, 1000.0), Theme::Light);
    app.key_press(Key::F5);
    settle(&mut app);
    app
}

/// Where the row of a circuit is, near its left end.
fn row(app: &mut App, circuit: Id) -> egui::Pos2 {
    let name = format!("Circuit {circuit}, ");
    app.get_by_label_contains(&name).scroll_to_me();
    settle(app);
    app.get_by_label_contains(&name).rect().left_center() + vec2(60.0, 0.0)
}

/// Where a rack is on the floor.
fn on_floor(app: &App, rack: Id) -> egui::Pos2 {
    let name = format!("Rack {rack} at ");
    app.get_by_label_contains(&name).rect().center()
}

#[test]
fn a_rack_is_dragged_onto_a_circuit() {
    let before = roomy();
    let (rack, circuit, hung) = taken(&before);
    let mut app = opened(before.clone());
    let onto = row(&mut app, circuit);
    let from = on_floor(&app, rack);
    drag(&mut app, from, onto);
    let label = format!("Hang {rack} on {circuit}");
    assert_eq!(app.state().session().undo_label(), Some(label.as_str()));
    assert_eq!(app.state().session().undo_len(), 1, "one step");
    let library = Library::builtin().unwrap();
    assert_eq!(
        *plan(&app),
        before.edited(&library.stock, &hung.edit).unwrap()
    );
    app.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(*plan(&app), before);
}

/// A drag of a rack that begins on a printer hangs that alone while C is held.
#[test]
fn with_c_held_a_printer_is_hung_alone() {
    let before = roomy();
    let library = Library::builtin().unwrap();
    let layout = Layout::of(&library, &Arc::new(before.clone()), PhaseNo(3));
    let circuits = layout.power().circuits.keys();
    let mut pairs = layout.printers().flat_map(|(slot, printer)| {
        let pairs = circuits
            .clone()
            .map(move |circuit| (slot, printer, *circuit));
        pairs.filter_map(|(slot, printer, circuit)| {
            let hung = rehang(&layout, &[printer.id], circuit).ok()?;
            // The topmost of those that stand over one another is the one on the floor's drawing.
            let first = layout.part(slot.name.rack)?.slots().iter();
            let middle = printer.footprint.centre();
            let mut found = first.filter_map(|s| s.printer.as_ref());
            let found = found.find(|p| p.footprint.convex().contains(middle))?;
            (found.id == printer.id).then_some((printer.id, middle, circuit, hung))
        })
    });
    let (printer, at, circuit, hung) = pairs.next().unwrap();
    let wanted = before.edited(&library.stock, &hung.edit).unwrap();
    let mut app = opened(before.clone());
    let onto = row(&mut app, circuit);
    let from = app.state().camera().unwrap().to_screen(at);
    app.key_down(Key::C);
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for share in [0.3, 0.6, 1.0] {
        app.hover_at(from + (onto - from) * share);
        app.step();
    }
    app.step();
    let name = format!("H hangs {printer} here");
    assert!(
        app.query_all_by_label_contains(&name).next().is_some(),
        "{name}"
    );
    app.drop_at(onto);
    app.key_up(Key::C);
    settle(&mut app);
    assert_eq!(*plan(&app), wanted);
}

#[test]
fn a_row_says_before_the_drop_why_it_cannot_take_it() {
    let before = roomy();
    let (rack, circuit, why) = out_of_reach(&before);
    let mut app = opened(before.clone());
    let onto = row(&mut app, circuit);
    let from = on_floor(&app, rack);
    // Hanging in the air over the row.
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for share in [0.3, 0.6, 1.0] {
        app.hover_at(from + (onto - from) * share);
        app.step();
    }
    app.step();
    let name = format!("H hangs {rack} here: {why}");
    assert!(
        app.query_all_by_label_contains(&name).next().is_some(),
        "{name}"
    );
    if let Some(folder) = std::env::var_os("PICTURES") {
        let folder = std::path::PathBuf::from(folder);
        app.render().unwrap().save(folder.join("hang.png")).unwrap();
    }
    app.drop_at(onto);
    settle(&mut app);
    assert_eq!(*plan(&app), before, "nothing is hung, and nothing moved");
    let words = format!("{}.", capital(&why.to_string()));
    assert!(app.query_by_label_contains(&words).is_some(), "{words}");
}

#[test]
fn by_keyboard_and_by_list_it_is_the_same_step() {
    let before = roomy();
    let (rack, circuit, hung) = taken(&before);
    let library = Library::builtin().unwrap();
    let wanted = before.edited(&library.stock, &hung.edit).unwrap();
    let editor = editor_over(before.clone(), None);
    let mut app = window(editor, vec2(1280.0, 800.0), Theme::Light);
    app.key_press(Key::F5);
    settle(&mut app);
    app.state_mut().select(rack);
    settle(&mut app);
    row(&mut app, circuit);
    let name = format!("Circuit {circuit}, ");
    app.get_by_label_contains(&name).focus();
    app.run();
    keep_picture(&mut app, "hang-row.png");
    app.key_press(Key::H);
    settle(&mut app);
    assert_eq!(*plan(&app), wanted);
    app.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(*plan(&app), before);
    let list = format!("Hang {rack} on…");
    choose(
        &mut app,
        &list,
        &format!("{circuit} · {}", hung.words(circuit)),
    );
    assert_eq!(*plan(&app), wanted);
    assert_eq!(app.state().selection().lead(), Some(rack), "still in hand");
}

/// What has no printers is offered no circuit.
#[test]
fn only_what_can_hang_is_offered() {
    let mut app = opened(roomy());
    let offered = |app: &App| app.query_all_by_label_contains("H hangs ").count();
    assert_eq!(offered(&app), 0, "nothing is selected");
    app.state_mut().select("D1".parse().unwrap());
    settle(&mut app);
    assert_eq!(offered(&app), 0, "a door");
    app.state_mut().select("P001".parse().unwrap());
    settle(&mut app);
    assert_eq!(offered(&app), 9, "a printer, and a row a circuit");
    click(&mut app, "Back to the elevation");
    assert_eq!(offered(&app), 0);
}
