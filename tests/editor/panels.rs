//! Each panel alone, over a small plan: driven by its accessible names, judged by the actions it asks for.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use aislewright::checks::{Findings, Mend, Severity, Standing};
use aislewright::editor::action::{Action, Actions, Command, StockEntry};
use aislewright::editor::filling::Filling;
use aislewright::editor::panels::{
    card, drawer, elevation, headroom, new_plan, phases, punch_list, status,
};
use aislewright::editor::shown::{Selection, Shown};
use aislewright::fill::Headroom;
use aislewright::layout::Layout;
use aislewright::plan::{
    Blow, Circuit, Column, CoolingUnit, Door, Edit, Glass, Head, Hinge, Id, Item, Label, Library,
    MustFit, Outlet, Panel, Phase, PhaseNo, Plan, Pose, Presence, Printer, Rack, Record, Room,
    Session, Swing, Ups, UpsPlace, WallPlace, Window, Zone, ZoneUse,
};
use aislewright::stock::{Face, KindId};
use aislewright::units::{Amps, Length, Practice, Volts};
use egui::accesskit::Role;
use egui::{Key, Modifiers, Theme, Ui, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::builder;

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn inches(n: i32) -> Length {
    Length::from_inches(n)
}

fn wall(wall: u16, along: Length) -> WallPlace {
    WallPlace::new(wall, along)
}

fn floor(x: i32, y: i32) -> Pose {
    Pose {
        x: inches(x),
        y: inches(y),
        ..Pose::default()
    }
}

/// One of everything that has a card.
fn items() -> Vec<(Id, Item)> {
    let presence = Presence::default;
    vec![
        (
            id("R1"),
            Item::Rack(Rack {
                anchored: None,
                kind: kind("full-72"),
                at: floor(24, 100),
                levels: Vec::new(),
                faces: Vec::new(),
                presence: presence(),
            }),
        ),
        (
            id("D1"),
            Item::Door(Door {
                at: wall(0, inches(150)),
                width: inches(36),
                height: inches(80),
                clear: None,
                hinge: Hinge::Near,
                swing: Swing::In,
                way_out: true,
                presence: presence(),
            }),
        ),
        (
            id("W1"),
            Item::Window(Window {
                at: wall(1, inches(20)),
                width: inches(40),
                sill: inches(40),
                head: inches(80),
                opens: true,
                way_out: false,
                glass: Glass::default(),
                presence: presence(),
            }),
        ),
        (
            id("K1"),
            Item::Column(Column {
                at: floor(200, 60),
                width: inches(12),
                depth: inches(12),
                presence: presence(),
            }),
        ),
        (
            id("E1"),
            Item::Panel(Panel {
                main: None,
                free: None,
                at: wall(3, inches(60)),
                width: inches(14),
                depth: inches(4),
                bottom: inches(48),
                height: inches(30),
                presence: presence(),
            }),
        ),
        (
            id("O1"),
            Item::Outlet(Outlet {
                at: wall(2, inches(100)),
                height: inches(18),
                receptacles: 2,
                circuit: Some(id("C01")),
                presence: presence(),
                receptacle: None,
            }),
        ),
        (
            id("A1"),
            Item::Cooling(CoolingUnit {
                kind: kind("wall-12k"),
                at: wall(1, inches(70)),
                bottom: inches(84),
                blow: Blow::default(),
                presence: presence(),
            }),
        ),
        (
            id("Z1"),
            Item::Zone(Zone {
                purpose: ZoneUse::KeepClear,
                at: floor(100, 20),
                width: inches(20),
                depth: inches(20),
                low: Length::ZERO,
                high: None,
                presence: presence(),
            }),
        ),
        (
            id("U1"),
            Item::Ups(Ups {
                kind: kind("ups-900"),
                stands: UpsPlace::OnRack(id("R1")),
                outlet: Some(id("O1")),
                presence: presence(),
            }),
        ),
    ]
}

fn plan(library: &Library) -> Plan {
    let head = Head {
        name: Label::new("Small room").unwrap(),
        hoped_for: Some(12),
        leading: Some(kind("open-220")),
        ..Head::default()
    };
    let room = Room::rectangle(inches(240), inches(140), inches(108), inches(6));
    let circuit = Circuit {
        breaker: Amps::fixed(20.0),
        volts: Volts::fixed(120.0),
        panel: None,
        presence: Presence::default(),
        built: aislewright::plan::CircuitBuild::default(),
    };
    let printers = (1_u8..).zip(["R1.1.1", "R1.3.2"]).map(|(n, slot)| {
        let printer = Printer {
            kind: kind("open-220"),
            slot: slot.parse().unwrap(),
            power: Some(id("U1")),
            prints: None,
            presence: Presence::default(),
        };
        (id(&format!("P{n:03}")), Record::Printer(printer))
    });
    let records = std::iter::once((id("C01"), Record::Circuit(circuit)))
        .chain(
            items()
                .into_iter()
                .map(|(id, item)| (id, Record::Item(Box::new(item)))),
        )
        .chain(printers)
        .collect();
    let two = ["First", "Later"].map(|name| Phase {
        name: Label::new(name).unwrap(),
    });
    [Edit::SetPhases(two.to_vec()), Edit::Put(records)]
        .iter()
        .fold(Plan::new(head, room), |plan, edit| {
            plan.edited(&library.stock, edit).unwrap()
        })
}

/// What a panel is shown, its own state, and everything it has asked for.
struct Desk<V> {
    library: Library,
    plan: Arc<Plan>,
    selection: Selection,
    mends: BTreeMap<String, Mend>,
    filling: Filling,
    view: V,
    asked: Vec<Action>,
    /// True where what was asked for as an edit is carried out, as the window does.
    carries_out: bool,
}

impl<V: Default> Desk<V> {
    fn new(selected: &[&str]) -> Self {
        let library = Library::builtin().unwrap();
        let plan = Arc::new(plan(&library));
        Self {
            library,
            plan,
            selection: Selection::of(selected.iter().map(|mark| id(mark))),
            mends: BTreeMap::new(),
            filling: Filling::default(),
            view: V::default(),
            asked: Vec::new(),
            carries_out: false,
        }
    }

    fn layout(&self) -> Layout {
        Layout::of(&self.library, &self.plan, PhaseNo(1))
    }

    fn findings(&self) -> Findings {
        Findings::of(&self.layout())
    }
}

type Panels<V> = Harness<'static, Desk<V>>;

fn show<V: Default + 'static>(
    desk: Desk<V>,
    panel: impl Fn(&mut Ui, &Shown<'_>, &mut V, &mut Actions) + 'static,
) -> Panels<V> {
    let mut app = builder(vec2(760.0, 4400.0), Theme::Light).build_ui_state(
        move |ui, desk: &mut Desk<V>| {
            let layout = desk.layout();
            let findings = Findings::of(&layout);
            let headroom = Headroom::of(&layout);
            let shown = Shown {
                library: &desk.library,
                plan: &desk.plan,
                layout: &layout,
                findings: &Arc::new(findings),
                mends: &desk.mends,
                headroom: &headroom,
                filling: &desk.filling,
                air_height: None,
                selection: &desk.selection,
                pointed: None,
                file: "small-room.plan.ron",
                unsaved: true,
                read_only: false,
                undo: None,
                redo: None,
                measures: false,
                history: &Session::opened((*desk.plan).clone()),
                status: "Moved R1",
            };
            let mut actions = Actions::default();
            panel(ui, &shown, &mut desk.view, &mut actions);
            for action in actions.take() {
                if let (true, Action::Edit(edit)) = (desk.carries_out, &action) {
                    let plan = desk.plan.edited(&desk.library.stock, edit).unwrap();
                    desk.plan = Arc::new(plan);
                }
                desk.asked.push(action);
            }
        },
        desk,
    );
    app.run();
    app
}

fn card_of(selected: &[&str]) -> Panels<card::CardView> {
    let mut desk = Desk::new(selected);
    desk.carries_out = true;
    show(desk, card::card_ui)
}

fn punch_list_of(desk: Desk<punch_list::PunchView>) -> Panels<punch_list::PunchView> {
    show(desk, punch_list::punch_list_ui)
}

fn type_into<V>(app: &mut Panels<V>, label: &str, words: &str) {
    app.get_by_role_and_label(Role::TextInput, label).focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.run();
    app.get_by_role_and_label(Role::TextInput, label)
        .type_text(words);
    app.run();
    app.key_press(Key::Enter);
    app.run();
}

fn choose<V>(app: &mut Panels<V>, label: &str, choice: &str) {
    app.get_by_role_and_label(Role::ComboBox, label).click();
    app.run();
    app.get_by_label(choice).click();
    app.run();
}

fn item<V>(app: &Panels<V>, mark: &str) -> Item {
    app.state().plan.items().get(id(mark)).unwrap().clone()
}

/// Every control of the panel on show with its role and name, nameless ones with an empty name.
fn controls<V>(app: &Panels<V>) -> Vec<(Role, String)> {
    let sought = [
        Role::Button,
        Role::TextInput,
        Role::CheckBox,
        Role::ComboBox,
        Role::Tab,
    ];
    let mut found = Vec::new();
    let mut stack: Vec<_> = app.root().children().collect();
    while let Some(node) = stack.pop() {
        stack.extend(node.children());
        let inner = node.accesskit_node();
        if sought.contains(&inner.role()) {
            found.push((inner.role(), inner.label().unwrap_or_default()));
        }
    }
    found
}

fn assert_named_once<V>(app: &Panels<V>, what: &str) {
    let controls = controls(app);
    assert!(!controls.is_empty(), "{what}: no control was found");
    let mut seen = BTreeSet::new();
    for (role, name) in controls {
        assert!(!name.trim().is_empty(), "{what}: a {role:?} without a name");
        let key = format!("{role:?} {name}");
        assert!(seen.insert(key.clone()), "{what}: {key} is there twice");
    }
}

#[test]
fn every_control_of_every_panel_has_a_name_of_its_own() {
    let marks = [
        "R1", "D1", "W1", "K1", "E1", "O1", "A1", "Z1", "U1", "P001", "C01",
    ];
    for mark in marks {
        assert_named_once(&card_of(&[mark]), mark);
    }
    assert_named_once(&card_of(&["R1", "K1"]), "two things");
    assert_named_once(&card_of(&[]), "the plan");
    assert_named_once(&show(Desk::new(&[]), drawer::drawer_ui), "drawer");
    assert_named_once(&punch_list_of(Desk::new(&[])), "punch list");
    let elevation = show(Desk::new(&["R1"]), elevation::elevation_ui);
    assert_named_once(&elevation, "elevation");
    let phases = show(Desk::<()>::new(&[]), |ui, shown, (), actions| {
        phases::phases_ui(ui, shown, actions);
    });
    assert_named_once(&phases, "phases");
    assert_named_once(&new_plan_question(), "new plan");
}

#[test]
fn the_tape_flags_every_ceiling_and_says_what_is_not_known() {
    let app = show(Desk::<()>::new(&[]), |ui, shown, (), _| {
        headroom::headroom_ui(ui, shown);
    });
    app.get_by_label("Headroom tape: 2 placed");
    app.get_by_label("hoped for 12");
    app.get_by_label_contains("unsaved changes");
    // Full rack: three levels of three, assets/stock.ron.
    app.get_by_label_contains("slots ceiling: 9 printers");
    // One 20 A breaker at 120 V, 80 % for hours (NEC 210.20(A)): 1920 VA over 120 W / 0.95 = 126.3 VA is 15.2; the breaker's
    // 2400 VA over 300 W / 0.95 = 315.8 VA is 7.6, which is less.
    app.get_by_label_contains("circuits ceiling: 7 printers");
    for limit in ["floor", "supply", "cooling"] {
        app.get_by_label_contains(&format!("{limit} ceiling: unknown"));
    }
    assert!(
        app.query_by_label_contains("maximum").is_none(),
        "no number may be called the true maximum without a proof"
    );
}

#[test]
fn a_phase_is_asked_for_by_its_tab() {
    let mut app = show(Desk::<()>::new(&[]), |ui, shown, (), actions| {
        phases::phases_ui(ui, shown, actions);
    });
    app.get_by_label("2 Later").click();
    app.run();
    assert_eq!(app.state().asked, [Action::Phase(PhaseNo(2))]);
}

#[test]
fn the_drawer_finds_puts_and_hands_out() {
    let mut app = show(Desk::new(&[]), drawer::drawer_ui);
    choose(&mut app, "Racks come with", "Enclosed printer, 256 mm bed");
    app.get_by_label_contains("Low rack 72").focus();
    app.run();
    app.key_press(Key::Enter);
    app.run();
    let rack = StockEntry::Rack(kind("low-72"), Some(kind("cased-256")));
    assert_eq!(app.state().asked, [Action::Put(rack)]);

    app.state_mut().asked.clear();
    let from = app.get_by_label("Wet zone").rect().center();
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    app.hover_at(from + vec2(40.0, 20.0));
    app.step();
    app.drop_at(from + vec2(40.0, 20.0));
    app.run();
    assert_eq!(app.state().asked, [Action::Take(StockEntry::Wet)]);

    app.get_by_label("Find in stock").focus();
    app.run();
    app.get_by_label("Find in stock").type_text("hovercraft");
    app.run();
    app.get_by_label_contains("Nothing in stock is called");
    assert!(app.query_by_label_contains("Low rack 72").is_none());
}

#[test]
fn a_distance_typed_in_the_card_moves_the_rack() {
    let mut app = card_of(&["R1"]);
    type_into(&mut app, "from west wall", "3' 1 1/2\"");
    let by = inches(13) + inches(1).half();
    assert_eq!(
        app.state().asked,
        [Action::Edit(Edit::Move(vec![id("R1")], (by, Length::ZERO)))]
    );
    type_into(&mut app, "from south wall", "2540 mm");
    let pose = item(&app, "R1").pose().unwrap();
    assert_eq!(
        (pose.x, pose.y),
        (inches(37) + inches(1).half(), inches(100))
    );
}

#[test]
fn a_length_that_is_none_says_so_and_asks_for_nothing() {
    let mut app = card_of(&["D1"]);
    type_into(&mut app, "width", "a yard or so");
    app.get_by_label_contains("is not understood; write a length");
    assert_eq!(app.state().asked, []);
    type_into(&mut app, "width", "32");
    let Item::Door(door) = item(&app, "D1") else {
        panic!("D1 is a door");
    };
    assert_eq!(
        door.width,
        inches(32),
        "a bare number is inches in US practice"
    );
}

#[test]
fn a_rack_is_filled_emptied_and_changed() {
    let mut app = card_of(&["R1"]);
    choose(&mut app, "fill with", "7 × Open printer, 220 mm bed");
    assert_eq!(app.state().plan.printers().len(), 9);
    choose(&mut app, "plug all into", "outlet O1");
    let plugged = |app: &Panels<card::CardView>, to: &str| {
        let on = |p: &Printer| p.power == Some(id(to));
        app.state()
            .plan
            .printers()
            .iter()
            .filter(|(_, p)| on(p))
            .count()
    };
    assert_eq!((plugged(&app, "O1"), plugged(&app, "U1")), (9, 0));
    app.get_by_label("Take its printers out").click();
    app.run();
    assert_eq!(app.state().plan.printers().len(), 0);

    type_into(&mut app, "levels at", "6, 30");
    type_into(&mut app, "printers a level", "3, 2");
    app.get_by_label("worked at from back").click();
    app.run();
    let Item::Rack(rack) = item(&app, "R1") else {
        panic!("R1 is a rack");
    };
    let levels: Vec<_> = rack.levels.iter().map(|l| (l.height, l.slots)).collect();
    assert_eq!(levels, [(inches(6), 3), (inches(30), 2)]);
    assert_eq!(rack.faces.len(), 2);
    choose(&mut app, "kind", "Low rack 72 × 24 in");
    let Item::Rack(rack) = item(&app, "R1") else {
        panic!("R1 is a rack");
    };
    assert_eq!(rack.kind, kind("low-72"));
    assert!(rack.levels.is_empty(), "the new kind has its own levels");
}

#[test]
fn printers_change_slot_and_their_kinds_figures_become_the_plans_own() {
    let mut app = card_of(&["P001"]);
    type_into(&mut app, "stands in", "R1.2.3");
    let slot = app.state().plan.printers().get(id("P001")).unwrap().slot;
    assert_eq!(slot.to_string(), "R1.2.3");
    type_into(&mut app, "stands in", "the corner");
    app.get_by_label_contains("names no slot");
    type_into(&mut app, "running", "135");
    let own = &app.state().plan.kinds().printers[&kind("open-220")];
    assert!((own.running.unwrap().value() - 135.0).abs() < 1e-9);
    choose(&mut app, "leaves in", "2 Later");
    let printer = app.state().plan.printers().get(id("P001")).unwrap();
    assert_eq!(printer.presence.leaves, Some(PhaseNo(2)));
}

#[test]
fn an_outlet_gets_a_new_circuit_in_one_step() {
    let mut app = card_of(&["O1"]);
    choose(&mut app, "circuit", "new circuit C02");
    let Item::Outlet(outlet) = item(&app, "O1") else {
        panic!("O1 is an outlet");
    };
    assert_eq!(outlet.circuit, Some(id("C02")));
    assert!(app.state().plan.circuits().get(id("C02")).is_some());
    assert_eq!(app.state().asked.len(), 1, "one step to undo");
}

#[test]
fn things_with_a_kind_can_become_another_and_zones_another_use() {
    let mut app = card_of(&["U1"]);
    choose(&mut app, "kind", "UPS 1500 VA, 1350 W");
    choose(&mut app, "stands", "in the middle of the floor");
    let Item::Ups(ups) = item(&app, "U1") else {
        panic!("U1 is a UPS");
    };
    assert_eq!(ups.kind, kind("ups-1350"));
    let UpsPlace::OnFloor(at) = ups.stands else {
        panic!("it stands on the floor");
    };
    // 7 by 17 in (assets/stock.ron) in the middle of a room of 240 by 140 in.
    assert_eq!((at.x.inches(), at.y.inches()), (116.5, 61.5));

    let mut app = card_of(&["A1"]);
    choose(&mut app, "kind", "Wall cooling unit, 24,000 Btu/h");
    type_into(&mut app, "top air flow", "900");
    let own = &app.state().plan.kinds().cooling[&kind("wall-24k")];
    assert!((own.top_flow.unwrap().value() - 900.0).abs() < 1e-9);

    let mut app = card_of(&["Z1"]);
    choose(&mut app, "use", "wet");
    choose(&mut app, "dry", "from phase 2 on");
    let Item::Zone(zone) = item(&app, "Z1") else {
        panic!("Z1 is a zone");
    };
    let dry_from = Some(PhaseNo(2));
    assert_eq!(zone.purpose, ZoneUse::Wet { dry_from });
}

#[test]
fn a_circuit_has_a_card_of_its_own() {
    let mut app = card_of(&["C01"]);
    type_into(&mut app, "breaker", "15");
    type_into(&mut app, "volts", "208 V");
    choose(&mut app, "comes from", "panel E1");
    let circuit = app.state().plan.circuits().get(id("C01")).unwrap();
    assert!((circuit.breaker.value() - 15.0).abs() < 1e-9);
    assert!((circuit.volts.value() - 208.0).abs() < 1e-9);
    assert_eq!(circuit.panel, Some(id("E1")));
}

#[test]
fn the_plans_card_sets_head_and_circuits() {
    let mut app = card_of(&[]);
    type_into(&mut app, "name", "Back room");
    type_into(&mut app, "printers hoped for", "40");
    choose(&mut app, "supply", "208Y/120 V");
    app.get_by_label("Add a circuit").click();
    app.run();
    type_into(&mut app, "C02 breaker", "30 A");
    app.get_by_label("Remove C01").click();
    app.run();
    choose(&mut app, "practice", "millimetres");
    let plan = Arc::clone(&app.state().plan);
    assert_eq!(plan.head().name.as_str(), "Back room");
    assert_eq!(plan.head().hoped_for, Some(40));
    assert_eq!(plan.practice(), Practice::Metric);
    let circuits: Vec<_> = plan.circuits().iter().map(|(id, _)| id).collect();
    assert_eq!(circuits, [id("C02")]);
}

/// The must-also-fit list as the plan has it: name, width, depth and height in inches, sides.
fn must_fit(app: &Panels<card::CardView>) -> Vec<(String, [f64; 3], Vec<Face>)> {
    let list = &app.state().plan.head().must_fit;
    list.iter()
        .map(|t| {
            let size = [t.width, t.depth, t.height].map(Length::inches);
            (t.name.to_string(), size, t.faces.clone())
        })
        .collect()
}

#[test]
fn the_must_also_fit_list_is_filled_changed_and_emptied_a_step_a_time() {
    let mut app = card_of(&[]);
    app.get_by_label_contains("fill keeps floor for these");
    let press = |app: &mut Panels<card::CardView>, label: &str| {
        app.get_by_label(label).focus();
        app.run();
        app.key_press(Key::Enter);
        app.run();
    };
    press(&mut app, "Add a bench");
    type_into(&mut app, "1 name", "sanding bench");
    type_into(&mut app, "1 width", "4 ft");
    type_into(&mut app, "1 depth", "610 mm");
    type_into(&mut app, "1 height", "34");
    press(&mut app, "1 worked at from left");
    press(&mut app, "1 worked at from front");
    assert_eq!(app.state().asked.len(), 7, "a step for every change");
    let [(name, [width, depth, height], faces)] = must_fit(&app).try_into().unwrap();
    assert_eq!((name.as_str(), faces), ("sanding bench", vec![Face::Left]));
    assert_eq!((width, height), (48.0, 34.0));
    // An inch is 25.4 mm by definition.
    assert!((depth - 610.0 / 25.4).abs() < 1e-3, "{depth}");
    let Some(Action::Edit(edit)) = app.state().asked.last() else {
        panic!("an edit was asked for: {:?}", app.state().asked)
    };
    assert_eq!(edit.label(), "Change sanding bench", "the step's name");

    press(&mut app, "Add a packing table");
    let list = must_fit(&app);
    press(&mut app, "Remove sanding bench");
    assert_eq!(must_fit(&app), list[1..], "the other one stays");
}

#[test]
fn a_thing_that_must_fit_under_a_name_taken_or_without_size_is_refused_in_words() {
    let mut app = card_of(&[]);
    for _ in 0..2 {
        app.get_by_label("Add a bench").click();
        app.run();
    }
    let list = must_fit(&app);
    let names: Vec<&str> = list.iter().map(|(name, ..)| name.as_str()).collect();
    assert_eq!(names, ["bench", "bench 2"]);
    type_into(&mut app, "2 name", "bench");
    app.get_by_label("the name bench stands here twice; change one");
    type_into(&mut app, "1 name", " ");
    app.get_by_label("it has no name; give it one");
    type_into(&mut app, "1 depth", "0");
    app.get_by_label_contains("the depth");
    type_into(&mut app, "1 width", "as wide as the door");
    app.get_by_label_contains("is not understood; write a length");
    assert_eq!(must_fit(&app), list, "nothing was changed");
    assert_eq!(app.state().asked.len(), 2, "and nothing else asked for");
    for _ in 2..MustFit::MOST {
        app.get_by_label("Add a cabinet").click();
        app.run();
    }
    app.get_by_label("The list is full: it holds 8 things at most.");
    assert!(app.query_by_label("Add a bench").is_none());
    assert_named_once(&app, "the plan with a full list");
}

#[test]
fn every_limit_can_be_changed_with_a_reason_and_put_back() {
    let mut app = card_of(&[]);
    let rows = app.state().layout().limits().rows(Practice::Us);
    assert_eq!(rows.len(), 35, "the limits of the profile");
    for row in &rows {
        app.get_by_label(&format!("Change {}", row.id)).click();
        app.run();
        app.get_by_label("Set the limit").click();
        app.run();
        app.get_by_label_contains("write the reason");
        type_into(&mut app, "reason", "agreed with the landlord");
        let now = app.state().layout().limits().rows(Practice::Us);
        let changed = now.iter().find(|r| r.id == row.id).unwrap();
        assert_eq!(
            changed.value, row.value,
            "{}: only the reason is new",
            row.id
        );
        assert!(
            changed.source.starts_with("agreed with the landlord"),
            "{}: {}",
            row.id,
            changed.source
        );
        app.get_by_label(&format!("Change {}", row.id)).click();
        app.run();
        app.get_by_label("As in the profile").click();
        app.run();
        let back = app.state().layout().limits().rows(Practice::Us);
        assert_eq!(back, rows, "{} is put back", row.id);
    }
    app.get_by_label("Change aisle").click();
    app.run();
    type_into(&mut app, "value", "42");
    type_into(&mut app, "reason", "a wider cart");
    assert_eq!(app.state().layout().limits().aisle.value, inches(42));
}

#[test]
fn several_things_share_their_commands() {
    let mut app = card_of(&["R1", "K1"]);
    app.get_by_label("2 things selected");
    app.get_by_label("Duplicate").click();
    app.run();
    assert_eq!(app.state().asked, [Action::Command(Command::Duplicate)]);
}

#[test]
fn a_finding_points_mends_is_accepted_and_reopened() {
    let mut desk = Desk::new(&[]);
    desk.carries_out = true;
    let findings = desk.findings();
    let open = |f: &&aislewright::checks::Finding| f.standing != Standing::Met;
    let soft = findings
        .iter()
        .filter(open)
        .find(|f| f.severity != Severity::MustFix)
        .expect("the small plan has a caution or note")
        .clone();
    let hard = findings
        .iter()
        .filter(open)
        .find(|f| f.severity == Severity::MustFix)
        .expect("the small plan has a must fix")
        .clone();
    let edit = Edit::Move(vec![id("R1")], (inches(4), Length::ZERO));
    desk.mends.insert(
        hard.key(),
        Mend {
            words: "move R1 4 in east".to_owned(),
            edit: edit.clone(),
        },
    );
    let mut app = punch_list_of(desk);
    app.get_by_label("Planning aid: a licensed electrician and the local code decide.");
    assert!(
        app.query_by_label(&format!("Accept: {}", hard.text))
            .is_none(),
        "a must fix is never accepted"
    );

    app.get_by_label(&format!("Accept: {}", soft.text)).click();
    app.run();
    app.get_by_label("Reason").focus();
    app.run();
    app.get_by_label("Reason").type_text("seen and agreed");
    app.run();
    app.key_press(Key::Enter);
    app.run();
    let reason = soft.accepted(&app.state().plan).map(ToString::to_string);
    assert_eq!(reason.as_deref(), Some("seen and agreed"));
    app.get_by_label(&format!("Reopen: {}", soft.text)).click();
    app.run();
    assert_eq!(soft.accepted(&app.state().plan), None);

    app.state_mut().asked.clear();
    app.get_by_label_contains(&format!(": {}", hard.text))
        .click();
    app.run();
    app.get_by_label("Move R1 4 in east").click();
    app.run();
    assert_eq!(
        app.state().asked,
        [Action::Point(hard.key()), Action::Edit(edit)]
    );
}

#[test]
fn the_elevation_shows_each_printer_and_selects_it() {
    let panel = elevation::elevation_ui;
    let mut app = show(Desk::new(&["R1"]), panel);
    // Boards 27 - 4 = 23 in apart less an 18 mm board, a printer of 20 1/2 in on it (assets/stock.ron).
    app.get_by_label("Level 1: opening 1' 10 5/16\", printer 1' 8 1/2\", 1 13/16\" to spare");
    app.get_by_label("P001 in R1.1.1, Open printer, 220 mm bed");
    app.get_by_label("P002 in R1.3.2, Open printer, 220 mm bed")
        .click();
    app.run();
    assert_eq!(
        app.state().asked,
        [Action::Select(Selection::one(id("P002")))]
    );
    let elsewhere = show(Desk::new(&["D1"]), panel);
    assert!(elsewhere.query_by_label_contains("Level 1").is_none());
    elsewhere.get_by_label_contains("Elevation · ");
}

#[test]
fn the_bottom_line_sums_the_phase() {
    let app = show(Desk::<()>::new(&[]), |ui, shown, (), _| {
        status::status_ui(ui, shown);
    });
    app.get_by_label("Moved R1");
    // Two printers of 120 W running and 300 W heating (assets/stock.ron).
    app.get_by_label(
        "phase 1: 2 printers · 0.2 kW running · 0.6 kW peak · 1 circuit · heat ? of ? kW",
    );
}

/// The question for a new plan and the plan it gave.
type Question = (new_plan::NewPlanView, Option<Plan>);

fn new_plan_question() -> Panels<Question> {
    show(Desk::<Question>::new(&[]), |ui, _, (view, made), _| {
        if let Some(plan) = new_plan::new_plan_ui(ui, view) {
            *made = Some(plan);
        }
    })
}

#[test]
fn a_new_plan_is_made_by_keyboard_once_its_answers_make_sense() {
    let mut app = new_plan_question();
    type_into(&mut app, "Width, west to east", "wide enough");
    assert!(app.state().view.1.is_none());
    app.get_by_label_contains("Width: `wide` at character 1 is not understood");
    type_into(&mut app, "Width, west to east", "15 ft");
    let plan = app.state().view.1.clone().expect("Enter creates the plan");
    assert_eq!(
        plan.room().corners().get(2),
        Some(&(Length::from_feet(15), Length::from_feet(20)))
    );
    let doors: Vec<_> = plan.items().iter().collect();
    assert!(
        matches!(doors.as_slice(), [(_, Item::Door(door))] if door.way_out),
        "one door, which is the way out: {doors:?}"
    );
}

#[test]
fn the_panels_draw_in_both_themes() {
    for theme in [Theme::Light, Theme::Dark] {
        let desk: Desk<(card::CardView, elevation::ElevationView)> = Desk::new(&["R1"]);
        let mut app = show(desk, |ui, shown, (view, front), actions| {
            headroom::headroom_ui(ui, shown);
            phases::phases_ui(ui, shown, actions);
            ui.allocate_ui(vec2(360.0, 500.0), |ui| {
                card::card_ui(ui, shown, view, actions);
            });
            elevation::elevation_ui(ui, shown, front, actions);
        });
        app.ctx.set_theme(theme);
        app.run();
        let picture = app.render().unwrap();
        let grounds: BTreeSet<_> = picture.pixels().map(|p| p.0).collect();
        assert!(grounds.len() > 50, "{theme:?}: {} colours", grounds.len());
    }
}
