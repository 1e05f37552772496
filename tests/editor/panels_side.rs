//! The card, the punch list and the elevation over the built-in example: names, the room they take, and what a refusal
//! leaves behind.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use aislewright::checks::{Findings, Mend, Severity, Standing};
use aislewright::cli::EXAMPLE;
use aislewright::editor::action::{Action, Actions};
use aislewright::editor::filling::Filling;
use aislewright::editor::panels::{card, elevation, punch_list};
use aislewright::editor::shown::{Selection, Shown};
use aislewright::fill::Headroom;
use aislewright::layout::Layout;
use aislewright::plan::{Edit, Id, ItemKind, Library, PhaseNo, Plan, Session};
use aislewright::storage;
use egui::accesskit::Role;
use egui::{Key, Modifiers, Theme, Ui, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::builder;

/// What a panel of the example is shown, and what it has asked for.
struct Side<V> {
    library: Library,
    plan: Arc<Plan>,
    selection: Selection,
    mends: BTreeMap<String, Mend>,
    view: V,
    asked: Vec<Action>,
}

type Panel<V> = Harness<'static, Side<V>>;

fn side<V: Default>(selected: &[Id]) -> Side<V> {
    let library = Library::builtin().unwrap();
    let opened = storage::plan_of(&library, "example", EXAMPLE.as_bytes()).unwrap();
    Side {
        library,
        plan: Arc::new(opened.plan),
        selection: Selection::of(selected.iter().copied()),
        mends: BTreeMap::new(),
        view: V::default(),
        asked: Vec::new(),
    }
}

impl<V> Side<V> {
    fn layout(&self) -> Layout {
        Layout::of(&self.library, &self.plan, PhaseNo(2))
    }
}

fn show<V: 'static>(
    side: Side<V>,
    size: Vec2,
    panel: impl Fn(&mut Ui, &Shown<'_>, &mut V, &mut Actions) + 'static,
) -> Panel<V> {
    let mut app = builder(size, Theme::Light).build_ui_state(
        move |ui, side: &mut Side<V>| {
            let layout = side.layout();
            let findings = Findings::of(&layout);
            let headroom = Headroom::of(&layout);
            let shown = Shown {
                library: &side.library,
                plan: &side.plan,
                layout: &layout,
                findings: &Arc::new(findings),
                mends: &side.mends,
                headroom: &headroom,
                filling: &Filling::default(),
                air_height: None,
                selection: &side.selection,
                pointed: None,
                file: "bottling-room.plan.ron",
                unsaved: false,
                read_only: false,
                undo: None,
                redo: None,
                measures: false,
                history: &Session::opened((*side.plan).clone()),
                status: "",
            };
            let mut actions = Actions::default();
            panel(ui, &shown, &mut side.view, &mut actions);
            for action in actions.take() {
                // As the window does it: an edit that is refused leaves the plan as it was.
                if let Action::Edit(edit) = &action
                    && let Ok(plan) = side.plan.edited(&side.library.stock, edit)
                {
                    side.plan = Arc::new(plan);
                }
                side.asked.push(action);
            }
        },
        side,
    );
    app.run();
    app
}

fn card_of(selected: &[Id]) -> Panel<card::CardView> {
    show(side(selected), vec2(332.0, 2600.0), card::card_ui)
}

fn elevation_of(rack: Id, size: Vec2) -> Panel<elevation::ElevationView> {
    show(side(&[rack]), size, elevation::elevation_ui)
}

/// Names of the controls that are there more than once, or have none.
fn badly_named<V>(app: &Panel<V>) -> Vec<String> {
    let sought = [
        Role::Button,
        Role::TextInput,
        Role::CheckBox,
        Role::ComboBox,
    ];
    let mut seen = BTreeSet::new();
    let mut bad = Vec::new();
    let mut stack: Vec<_> = app.root().children().collect();
    while let Some(node) = stack.pop() {
        stack.extend(node.children());
        let inner = node.accesskit_node();
        let name = inner.label().unwrap_or_default();
        let key = format!("{:?} {name}", inner.role());
        if sought.contains(&inner.role()) && (name.trim().is_empty() || !seen.insert(key.clone())) {
            bad.push(key);
        }
    }
    bad
}

fn type_into<V>(app: &mut Panel<V>, label: &str, words: &str) {
    app.get_by_role_and_label(Role::TextInput, label).focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.run();
    app.key_press(Key::Backspace);
    app.run();
    app.get_by_role_and_label(Role::TextInput, label)
        .type_text(words);
    app.run();
    app.key_press(Key::Enter);
    app.run();
}

fn value_of<V>(app: &Panel<V>, label: &str) -> String {
    app.get_by_role_and_label(Role::TextInput, label)
        .accesskit_node()
        .value()
        .unwrap_or_default()
}

fn racks() -> Vec<Id> {
    let side = side::<()>(&[]);
    side.layout()
        .of_kind(ItemKind::Rack)
        .map(|p| p.id)
        .collect()
}

#[test]
fn every_card_of_the_example_names_its_controls_apart() {
    let plan = side::<()>(&[]).plan;
    let mut one_a_kind = BTreeMap::new();
    for (id, item) in plan.items().iter() {
        one_a_kind.entry(item.kind()).or_insert(id);
    }
    assert!(one_a_kind.len() > 4, "the example has things of many kinds");
    for id in one_a_kind.into_values() {
        assert_eq!(badly_named(&card_of(&[id])), [""; 0], "card of {id}");
    }
    assert_eq!(badly_named(&card_of(&[])), [""; 0], "card of the plan");
}

#[test]
fn every_finding_of_the_example_has_buttons_of_its_own() {
    let mut side = side::<punch_list::PunchView>(&[]);
    // Two racks brought together break several checks at once, and one move may mend more than one of them.
    let racks = racks();
    let [first, second, ..] = racks.as_slice() else {
        panic!("the example has two racks");
    };
    let at = |id: Id| side.plan.rack(id).unwrap().at;
    let by = (at(*first).x - at(*second).x, at(*first).y - at(*second).y);
    let edit = Edit::Move(vec![*second], by);
    side.plan = Arc::new(side.plan.edited(&side.library.stock, &edit).unwrap());
    let layout = side.layout();
    let findings = Findings::of(&layout);
    assert!(
        findings.iter().filter(|f| f.stops()).count() > 1,
        "racks in one place break more than one rule"
    );
    // One mend for every open finding, all with the same words: the worst that can come.
    let same = Mend {
        words: format!("move {second} 1' 0\" east"),
        edit: Edit::Move(vec![*second], by),
    };
    for finding in findings.iter().filter(|f| f.stops()) {
        side.mends.insert(finding.key(), same.clone());
    }
    let app = show(side, vec2(332.0, 9000.0), punch_list::punch_list_ui);
    assert_eq!(badly_named(&app), [""; 0]);
}

#[test]
fn open_findings_of_the_example_come_worst_first() {
    let side = side::<punch_list::PunchView>(&[]);
    let findings = Findings::of(&side.layout());
    let open: Vec<_> = findings
        .iter()
        .filter(|f| f.standing != Standing::Met && f.accepted(&side.plan).is_none())
        .cloned()
        .collect();
    assert!(!open.is_empty(), "the example leaves something to do");
    let mut app = show(side, vec2(332.0, 9000.0), punch_list::punch_list_ui);
    // Every row unfolded; the clicks of one frame come one after another.
    for fold in app.query_all_by_label_contains("more of the same cause") {
        fold.click_accesskit();
    }
    app.run();
    let mut placed: Vec<(f32, (bool, Severity))> = open
        .iter()
        .map(|f| {
            let top = app
                .get_all_by_label_contains(&format!(": {}", f.text))
                .map(|n| n.rect().top())
                .min_by(f32::total_cmp)
                .unwrap();
            (top, (f.standing == Standing::Unknown, f.severity))
        })
        .collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ranks: Vec<_> = placed.into_iter().map(|(_, rank)| rank).collect();
    let mut sorted = ranks.clone();
    sorted.sort();
    assert_eq!(ranks, sorted);
}

#[test]
fn the_caution_stays_in_sight_in_a_low_panel() {
    let app = show(
        side::<punch_list::PunchView>(&[]),
        vec2(280.0, 260.0),
        punch_list::punch_list_ui,
    );
    let calm = "Planning aid: a licensed electrician and the local code decide.";
    let bottom = app.get_by_label(calm).rect().bottom();
    assert!(bottom <= 260.0, "the last line ends at {bottom}");
}

#[test]
fn a_refused_figure_goes_back_to_what_the_plan_says() {
    let mut app = card_of(&[]);
    let count = app.state().plan.head().hoped_for;
    let before = value_of(&app, "printers hoped for");
    // Taken back to nothing, then a number that no plan may have.
    type_into(&mut app, "printers hoped for", "");
    assert_eq!(app.state().plan.head().hoped_for, None, "was {count:?}");
    assert_ne!(before, "");
    type_into(&mut app, "printers hoped for", "4000000000");
    assert_eq!(app.state().plan.head().hoped_for, None);
    assert_eq!(value_of(&app, "printers hoped for"), "");
}

#[test]
fn every_printer_of_every_rack_is_inside_the_elevation() {
    for rack in racks() {
        for size in [vec2(1040.0, 290.0), vec2(720.0, 220.0)] {
            let app = elevation_of(rack, size);
            assert_eq!(badly_named(&app), [""; 0], "elevation of {rack}");
            let layout = app.state().layout();
            let part = layout.part(rack).unwrap();
            for slot in part.slots() {
                let Some(printer) = &slot.printer else {
                    continue;
                };
                let name = format!("{} in {}, ", printer.id, slot.name);
                let node = app.get_by_label_contains(&name).rect();
                let inside = node.left() >= 0.0
                    && node.top() >= 0.0
                    && node.right() <= size.x
                    && node.bottom() <= size.y;
                assert!(inside, "{name}at {node:?} in {size:?}");
            }
        }
    }
}

#[test]
fn a_printer_of_the_elevation_is_selected_by_a_click() {
    let rack = racks().into_iter().next().unwrap();
    let mut app = elevation_of(rack, vec2(1040.0, 290.0));
    let layout = app.state().layout();
    let first = layout
        .part(rack)
        .unwrap()
        .slots()
        .iter()
        .find_map(|s| s.printer.as_ref().map(|p| (p.id, s.name)))
        .unwrap();
    app.get_by_label_contains(&format!("{} in {}, ", first.0, first.1))
        .click();
    app.run();
    assert_eq!(app.state().asked, [Action::Select(Selection::one(first.0))]);
}

#[test]
fn choosers_end_where_fields_end() {
    let rack = racks().into_iter().next().unwrap();
    // The widths of the column beside the floor in a large and in a small window, and one between.
    for width in [332.0, 340.0, 300.0] {
        let app = show(side(&[rack]), vec2(width, 900.0), card::card_ui);
        let field = app.get_by_role_and_label(Role::TextInput, "from west wall");
        let chooser = app.get_by_role_and_label(Role::ComboBox, "kind");
        let (field, chooser) = (field.rect().right(), chooser.rect().right());
        assert!((field - chooser).abs() < 5.0, "{field} and {chooser}");
        assert!(chooser <= width, "{chooser} of {width}");
    }
}

#[test]
fn the_commands_of_a_card_keep_their_words_on_one_line() {
    let rack = racks().into_iter().next().unwrap();
    for width in [300.0, 320.0, 340.0] {
        let app = show(side(&[rack]), vec2(width, 900.0), card::card_ui);
        let one_line = app.get_by_label("Turn left").rect().height();
        let last = app.get_by_label("Take away").rect();
        assert!((last.height() - one_line).abs() < 1.0, "{last:?}");
        assert!(last.right() <= width, "{last:?} of {width}");
    }
}
