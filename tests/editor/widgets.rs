//! The building blocks, used as a person or a screen reader would: by name, mouse and keyboard.

use aislewright::editor::theme;
use aislewright::editor::widgets::{
    Card, Entry, Field, FieldEvent, Sign, action, pill, section, tabs,
};
use egui::{Key, Modifiers, Rect, Theme, Ui, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};

use crate::harness::builder;

fn app<S>(state: S, ui: impl FnMut(&mut Ui, &mut S) + 'static) -> Harness<'static, S> {
    builder(vec2(360.0, 300.0), Theme::Light).build_ui_state(ui, state)
}

#[derive(Default)]
struct Typing {
    draft: String,
    error: String,
    events: Vec<FieldEvent>,
}

impl Typing {
    fn note(&mut self, event: FieldEvent) {
        if event != FieldEvent::None {
            self.events.push(event);
        }
    }
}

/// A field with a button beside it, to have somewhere else to go.
fn field_app(draft: &str, error: &str) -> Harness<'static, Typing> {
    let state = Typing {
        draft: draft.to_owned(),
        error: error.to_owned(),
        ..Typing::default()
    };
    app(state, |ui, state| {
        let error = state.error.clone();
        let event = Field::new("from west wall")
            .error(&error)
            .ui(ui, &mut state.draft);
        state.note(event);
        let _elsewhere = ui.button("elsewhere");
    })
}

fn replace(app: &mut Harness<'_, Typing>, text: &str) {
    app.get_by_label("from west wall").click();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.run();
    app.get_by_label("from west wall").type_text(text);
    app.run();
}

#[test]
fn enter_commits_the_draft() {
    let mut app = field_app("2' 0\"", "");
    replace(&mut app, "3' 0\"");
    assert!(app.state().events.is_empty(), "typing alone ends nothing");
    app.key_press(Key::Enter);
    app.run();
    assert_eq!(
        app.state().events,
        [FieldEvent::Committed("3' 0\"".to_owned())],
        "once"
    );
}

#[test]
fn leaving_a_changed_field_commits_it() {
    let mut app = field_app("2' 0\"", "");
    replace(&mut app, "40 in");
    app.key_press(Key::Tab);
    app.run();
    assert_eq!(
        app.state().events,
        [FieldEvent::Committed("40 in".to_owned())],
        "by the Tab key"
    );
    replace(&mut app, "41 in");
    app.get_by_label("elsewhere").click();
    app.run();
    assert_eq!(
        app.state().events.last(),
        Some(&FieldEvent::Committed("41 in".to_owned())),
        "by a click elsewhere"
    );
}

#[test]
fn escape_abandons_the_draft() {
    let mut app = field_app("2' 0\"", "");
    replace(&mut app, "nonsense");
    app.key_press(Key::Escape);
    app.run();
    assert_eq!(
        app.state().events,
        [FieldEvent::Abandoned],
        "nothing is committed"
    );
}

#[test]
fn a_field_left_as_it_was_commits_nothing() {
    let mut app = field_app("2' 0\"", "");
    app.get_by_label("from west wall").click();
    app.run();
    app.key_press(Key::Tab);
    app.run();
    assert_eq!(app.state().events, [FieldEvent::Abandoned], "visited only");
}

#[test]
fn enter_commits_even_what_did_not_change() {
    let mut app = field_app("2' 0\"", "");
    app.get_by_label("from west wall").click();
    app.run();
    app.key_press(Key::Enter);
    app.run();
    assert_eq!(
        app.state().events,
        [FieldEvent::Committed("2' 0\"".to_owned())],
        "asked for by hand"
    );
}

#[test]
fn an_error_is_shown_and_told_to_screen_readers() {
    let app = field_app("2x", "write a length, such as 2' 6\"");
    app.get_by_label("write a length, such as 2' 6\"");
    let field = app.get_by_label("from west wall");
    assert_eq!(
        field.accesskit_node().description().as_deref(),
        Some("write a length, such as 2' 6\""),
        "the field's own description"
    );
    let calm = field_app("2", "");
    assert_eq!(
        calm.get_by_label("from west wall")
            .accesskit_node()
            .description(),
        None,
        "no error, no description"
    );
}

#[test]
fn a_field_may_hide_its_label_but_not_its_name() {
    let mut app = app(String::new(), |ui, draft| {
        Field::new("Find in stock")
            .label_width(0.0)
            .hint("Find in stock")
            .ui(ui, draft);
    });
    app.get_by_label("Find in stock").focus();
    app.run();
    app.get_by_label("Find in stock").type_text("rack");
    app.run();
    assert_eq!(app.state(), "rack", "typed into the only node of that name");
}

#[test]
fn pills_turn_by_mouse_and_keyboard() {
    let mut app = app(false, |ui, on| {
        if pill(ui, "Air", *on).clicked() {
            *on = !*on;
        }
    });
    app.get_by_label("Air").click();
    app.run();
    assert!(*app.state(), "clicked");
    app.get_by_label("Air").focus();
    app.run();
    app.key_press(Key::Space);
    app.run();
    assert!(!*app.state(), "space bar");
    assert!(
        app.get_by_label("Air").rect().height() >= 24.0,
        "target size, WCAG 2.2 success criterion 2.5.8"
    );
}

#[test]
fn tabs_choose_one() {
    let mut app = app(0, |ui, chosen| {
        if let Some(number) = tabs(ui, &["Phase 1", "Phase 2", "Phase 3"], *chosen) {
            *chosen = number;
        }
    });
    app.get_by_role_and_label(egui::Role::Tab, "Phase 3")
        .click();
    app.run();
    assert_eq!(*app.state(), 2, "clicked");
    app.get_by_label("Phase 3").focus();
    app.run();
    app.key_press(Key::ArrowLeft);
    app.run();
    app.key_press(Key::Enter);
    app.run();
    assert_eq!(*app.state(), 1, "one to the left, and chosen");
}

#[derive(Default)]
struct Told {
    card: usize,
    button: usize,
    pointed_at: bool,
}

fn card_app() -> Harness<'static, Told> {
    app(Told::default(), |ui, told| {
        section(ui, "Punch list", "1 must fix");
        let card = Card::new(Sign::Broken, "Door D1 swings into R5")
            .line("1' 0\" inside the swing")
            .small("door swing");
        let shown = card.ui(ui, |ui| action(ui, "Move R5 1' 0\" east").clicked());
        told.card += usize::from(shown.clicked);
        told.button += usize::from(shown.inner);
        told.pointed_at = shown.pointed_at;
    })
}

const CARD: &str = "Must fix: Door D1 swings into R5. 1' 0\" inside the swing. door swing";

#[test]
fn a_card_and_its_button_are_two_things() {
    let mut app = card_app();
    app.get_by_label("Move R5 1' 0\" east").click();
    app.run();
    assert_eq!(
        (app.state().card, app.state().button),
        (0, 1),
        "only the button"
    );
    app.get_by_label(CARD).click();
    app.run();
    assert_eq!(
        (app.state().card, app.state().button),
        (1, 1),
        "only the card"
    );
}

#[test]
fn a_card_answers_anywhere_and_by_keyboard() {
    let mut app = card_app();
    let title: Rect = app.get_by_label(CARD).rect();
    let beside = title.left_bottom() + vec2(-25.0, 12.0);
    for pressed in [true, false] {
        let button = egui::PointerButton::Primary;
        app.event(egui::Event::PointerMoved(beside));
        app.event(egui::Event::PointerButton {
            pos: beside,
            button,
            pressed,
            modifiers: Modifiers::NONE,
        });
    }
    app.run();
    assert_eq!(app.state().card, 1, "left of the words");
    assert!(app.state().pointed_at, "the pointer is over it");
    app.get_by_label(CARD).focus();
    app.run();
    app.key_press(Key::Enter);
    app.run();
    assert_eq!(app.state().card, 2, "Enter");
}

/// Clicked, and the distance dragged.
#[derive(Default)]
struct Pulled {
    clicks: usize,
    drag: egui::Vec2,
}

fn entry_app() -> Harness<'static, Pulled> {
    app(Pulled::default(), |ui, pulled| {
        let entry = Entry::new("Full rack 72 × 24 in", "3 levels · 9 printers");
        let response = entry.card(ui, vec2(72.0, 24.0), |painter, rect| {
            painter.rect_filled(
                rect,
                egui::CornerRadius::ZERO,
                theme::Palette::of(Theme::Light).rack_body,
            );
        });
        pulled.clicks += usize::from(response.clicked());
        pulled.drag = response.total_drag_delta().unwrap_or(pulled.drag);
        Entry::new("Cooling unit", "").row(ui);
    })
}

#[test]
fn entries_can_be_clicked_and_dragged() {
    let mut app = entry_app();
    app.get_by_label("Full rack 72 × 24 in, 3 levels · 9 printers")
        .click();
    app.run();
    assert_eq!(app.state().clicks, 1, "clicked");
    let from = app
        .get_by_label("Full rack 72 × 24 in, 3 levels · 9 printers")
        .rect()
        .center();
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for step in [5.0_f32, 10.0, 20.0] {
        app.hover_at(from + vec2(step, 0.0));
        app.step();
    }
    app.drop_at(from + vec2(20.0, 0.0));
    app.run();
    assert_eq!(app.state().drag, vec2(20.0, 0.0), "followed the pointer");
    assert_eq!(app.state().clicks, 1, "a drag is no click");
    app.get_by_label("Cooling unit");
}

fn needs_name(node: &Node<'_>) -> bool {
    use egui::Role::{Button, CheckBox, ComboBox, Slider, SpinButton, Tab, TextInput};
    [
        Button, CheckBox, ComboBox, Slider, SpinButton, Tab, TextInput,
    ]
    .contains(&node.accesskit_node().role())
}

#[test]
fn everything_one_can_use_has_a_name() {
    let app = builder(vec2(700.0, 700.0), Theme::Dark).build_ui_state(gallery, Gallery::default());
    let used: Vec<_> = app.root().children_recursive().filter(needs_name).collect();
    assert!(
        used.len() >= 12,
        "the gallery shows every widget: {}",
        used.len()
    );
    for node in used {
        let name = node.accesskit_node().label().or_else(|| {
            node.accesskit_node()
                .labelled_by()
                .next()
                .and_then(|label| label.value())
        });
        assert!(
            name.is_some_and(|name| !name.is_empty()),
            "{:?} at {:?} has no name",
            node.accesskit_node().role(),
            node.rect()
        );
    }
}

/// Everything at once, in both themes; the pictures are looked at by eye when `PICTURES` names a folder.
#[test]
fn the_gallery_is_drawn_in_both_themes() {
    for theme in [Theme::Light, Theme::Dark] {
        let mut app =
            builder(vec2(700.0, 700.0), theme).build_ui_state(gallery, Gallery::default());
        app.run();
        app.get_by_label("arrives in").focus();
        app.run();
        let shown = app.render().unwrap();
        let colours: std::collections::BTreeSet<_> = shown.pixels().map(|pixel| pixel.0).collect();
        let palette = theme::Palette::of(theme);
        for (role, colour) in [
            ("drawer", palette.drawer),
            ("card", palette.card),
            ("frame", palette.frame),
            ("ring", palette.selection.line),
        ] {
            assert!(
                colours.contains(&colour.to_array()),
                "{theme:?}: {role} is to be seen"
            );
        }
        if let Some(folder) = std::env::var_os("PICTURES") {
            shown
                .save(std::path::Path::new(&folder).join(format!("gallery-{theme:?}.png")))
                .unwrap();
        }
    }
}

struct Gallery {
    name: String,
    wrong: String,
    find: String,
}

impl Default for Gallery {
    fn default() -> Self {
        Self {
            name: "Phase 2".to_owned(),
            wrong: "2 fot".to_owned(),
            find: String::new(),
        }
    }
}

fn gallery(ui: &mut Ui, state: &mut Gallery) {
    let frame = egui::Frame::new()
        .fill(theme::palette(ui).frame)
        .inner_margin(12);
    egui::Panel::top("top").frame(frame).show(ui, |ui| {
        theme::on_frame(ui);
        ui.horizontal(|ui| {
            tabs(ui, &["Phase 1", "Phase 2", "Phase 3"], 1);
            ui.label("bottling-room.plan.ron · saved 10:42");
            let _open = ui.button("Open");
        });
    });
    egui::Panel::left("left").exact_size(200.0).show(ui, |ui| {
        section(ui, "Stock", "");
        Field::new("Find in stock")
            .label_width(0.0)
            .hint("Find in stock")
            .ui(ui, &mut state.find);
        Entry::new("Full rack 72 × 24 in", "3 levels · 9 printers").card(
            ui,
            vec2(72.0, 24.0),
            rack,
        );
        Entry::new("Low rack 72 × 24 in", "2 levels · 6 printers")
            .selected(true)
            .card(ui, vec2(72.0, 24.0), rack);
        for name in ["Outlet · 2 receptacles", "Cooling unit", "Window", "Door"] {
            Entry::new(name, "").row(ui);
        }
        Entry::new("UPS", "1500 VA, 900 W").row(ui);
        let _plain = ui.button("Plain button");
        let _ticked = ui.checkbox(&mut true, "Show grid");
        egui::ComboBox::from_label("sheet")
            .selected_text("1:48")
            .show_ui(ui, |_| {});
    });
    egui::CentralPanel::default_margins().show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            for (name, on) in [
                ("Air", true),
                ("Ways", true),
                ("Power", false),
                ("Reach", false),
            ] {
                pill(ui, name, on);
            }
        });
        section(ui, "R5 · full rack", "");
        Field::new("from west wall")
            .error("a length, such as 2' 6\", 30 in or 760 mm")
            .ui(ui, &mut state.wrong);
        Field::new("arrives in").ui(ui, &mut state.name);
        section(ui, "Punch list", "1 must fix · 2 cautions · 1 accepted");
        egui::ScrollArea::vertical().show(ui, |ui| {
            cards(ui);
        });
    });
}

fn cards(ui: &mut Ui) {
    let told = [
        (
            Sign::Broken,
            "Door D1 swings into R5",
            "1' 0\" inside the swing",
            "Move R5 1' 0\" east",
        ),
        (
            Sign::Caution,
            "Top spool on R1 out of reach",
            "5' 7\" · limit 5' 5\"",
            "Lower level 3",
        ),
        (
            Sign::Unknown,
            "Supply not known",
            "tell the panel's rating",
            "Enter rating",
        ),
        (Sign::Met, "Way out wide enough", "3' 8\"", "Show"),
        (
            Sign::Accepted,
            "Spool rack in the throw, accepted",
            "“holds no printers”",
            "Reopen",
        ),
        (
            Sign::Note,
            "Planning aid",
            "a licensed electrician and local code decide",
            "Read",
        ),
    ];
    for (number, (sign, title, line, button)) in told.into_iter().enumerate() {
        Card::new(sign, title)
            .line(line)
            .small("the rule and its source")
            .selected(number == 1)
            .ui(ui, |ui| {
                action(ui, button);
            });
    }
}

fn rack(painter: &egui::Painter, rect: Rect) {
    let palette = theme::Palette::of(painter.ctx().theme());
    let edge = egui::Stroke::new(theme::line::EDGE, palette.body_edge);
    painter.rect(
        rect,
        egui::CornerRadius::ZERO,
        palette.rack_body,
        edge,
        egui::StrokeKind::Inside,
    );
}
