//! Drives the editor's ways to put several things in order: lining up, equal gaps, mirroring across the aisle, one more beside,
//! locking, finding, copying from plan to plan.

use aislewright::checks::{Check, Findings};
use aislewright::layout::Layout;
use aislewright::plan::{Id, Library, PhaseNo, Plan, Pose};
use aislewright::units::Length;
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, OutputCommand, Pos2, vec2};
use egui_kittest::kittest::{By, Queryable as _};

use crate::harness::{App, app, keep_picture, plan, settle};

const SHIFTED: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

fn pose(app: &App, mark: &str) -> Pose {
    plan(app).items().get(id(mark)).unwrap().pose().unwrap()
}

fn inches(n: i32) -> Length {
    Length::from_inches(n)
}

/// Selects things one after another; the last is the lead.
fn select(app: &mut App, marks: &[&str]) {
    app.key_press(Key::Escape);
    settle(app);
    for mark in marks {
        let name = format!("{mark} at ");
        app.get_by_label_contains(&name)
            .click_modifiers(Modifiers::SHIFT);
        settle(app);
    }
}

fn press(app: &mut App, modifiers: Modifiers, key: Key) {
    app.key_press_modifiers(modifiers, key);
    settle(app);
}

fn racks(plan: &Plan) -> Vec<Id> {
    let ids = plan.items().iter().map(|(id, _)| id);
    ids.filter(|id| plan.rack(*id).is_some()).collect()
}

#[test]
fn racks_are_lined_up_with_the_one_clicked_last() {
    let mut app = app();
    select(&mut app, &["Rack R5", "Rack R6"]);
    press(&mut app, SHIFTED, Key::ArrowLeft);
    assert_eq!(pose(&app, "R5").x, pose(&app, "R6").x, "left ends in line");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_ne!(pose(&app, "R5").x, pose(&app, "R6").x, "one step back");
    press(&mut app, SHIFTED, Key::ArrowRight);
    // Both are 72 in wide.
    assert_eq!(pose(&app, "R5").x, pose(&app, "R6").x, "right ends in line");
}

#[test]
fn gaps_are_made_equal_and_what_is_locked_stays() {
    let mut app = app();
    select(&mut app, &["Rack R2"]);
    // Out of its place in the row of four.
    press(&mut app, Modifiers::NONE, Key::ArrowRight);
    select(&mut app, &["Rack R1", "Rack R2", "Rack R3"]);
    press(&mut app, SHIFTED, Key::H);
    // R1 4 in to 76 in, R3 from 148 in: 72 in are left for 72 in.
    assert_eq!(
        pose(&app, "R2").x,
        inches(76),
        "between its neighbours again"
    );
    select(&mut app, &["Rack R2"]);
    press(&mut app, Modifiers::COMMAND, Key::K);
    assert!(plan(&app).items().get(id("R2")).unwrap().presence().pinned);
    select(&mut app, &["Rack R2", "Rack R5"]);
    let before = pose(&app, "R2");
    press(&mut app, SHIFTED, Key::ArrowLeft);
    assert_eq!(pose(&app, "R2"), before, "locked things stay");
    select(&mut app, &["Rack R2"]);
    press(&mut app, Modifiers::COMMAND, Key::K);
    assert!(!plan(&app).items().get(id("R2")).unwrap().presence().pinned);
}

/// R5 stands free in the room; turned askew and turned to the wall it lies along the nearest one, its back gap (the limit of the
/// plan) from it. Two at once are one step, and the locked one stays.
#[test]
fn racks_are_turned_to_the_wall() {
    let mut app = app();
    let gap = |app: &App, mark: &str| {
        let layout = Layout::of(
            &Library::builtin().unwrap(),
            app.state().session().plan(),
            PhaseNo(3),
        );
        let part = layout.part(id(mark)).unwrap();
        let solid = part.solid.as_ref().unwrap();
        let back = solid.oblong.at(0.0, solid.oblong.depth() * 0.5);
        let mut gaps: Vec<f64> = layout
            .walls()
            .filter(|w| w.inward.dot(-solid.oblong.up()) > 1.0 - 1e-9)
            .map(|w| (back - w.start).dot(w.inward))
            .collect();
        gaps.sort_by(f64::total_cmp);
        (gaps.first().copied(), layout.limits().back_gap.value.mm())
    };
    select(&mut app, &["Rack R5"]);
    app.get_by_label("turned").click();
    settle(&mut app);
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.event(Event::Text("30".to_owned()));
    settle(&mut app);
    press(&mut app, Modifiers::NONE, Key::Enter);
    let askew = pose(&app, "R5");
    assert!((askew.turn.degrees() - 30.0).abs() < 1e-6);
    assert_eq!(gap(&app, "R5").0, None, "parallel to no wall");
    select(&mut app, &["Rack R5"]);
    press(&mut app, SHIFTED, Key::R);
    app.get_by_label_contains("Turn R5 to the wall");
    let (found, limit) = gap(&app, "R5");
    assert!((found.unwrap() - limit).abs() < 0.01, "{found:?} {limit}");
    let turned = pose(&app, "R5");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(pose(&app, "R5"), askew, "one step");
    press(&mut app, SHIFTED, Key::R);
    assert_eq!(pose(&app, "R5"), turned);
    // Again: it stands there already.
    press(&mut app, SHIFTED, Key::R);
    app.get_by_label_contains("has its back to the wall already");
    // Two at once do not come to stand in one another.
    select(&mut app, &["Rack R5", "Rack R6"]);
    press(&mut app, SHIFTED, Key::R);
    let (a, b) = (pose(&app, "R5"), pose(&app, "R6"));
    let layout = Layout::of(
        &Library::builtin().unwrap(),
        app.state().session().plan(),
        PhaseNo(3),
    );
    let body = |mark: &str| layout.part(id(mark)).unwrap().solid.clone().unwrap().shape;
    assert!(!body("R5").overlaps(&body("R6")), "{a:?} {b:?}");
    press(&mut app, Modifiers::COMMAND, Key::K);
    press(&mut app, SHIFTED, Key::R);
    assert_eq!((pose(&app, "R5"), pose(&app, "R6")), (a, b), "locked");
}

/// R1 and R2 stand on the north wall looking south: their copies look north from the far side of a 36 in aisle.
#[test]
fn a_bank_is_mirrored_across_the_aisle() {
    let mut app = app();
    let before = racks(plan(&app)).len();
    let printers = plan(&app).printers().iter().count();
    select(&mut app, &["Rack R2", "Rack R1"]);
    press(&mut app, Modifiers::COMMAND, Key::M);
    let all = racks(plan(&app));
    assert_eq!(all.len(), before + 2);
    let aisle = Length::from_inches(36);
    for (original, copy) in [("R1", all[before]), ("R2", all[before + 1])] {
        let (o, c) = (
            pose(&app, original),
            plan(&app).items().get(copy).unwrap().pose().unwrap(),
        );
        assert_eq!(c.x, o.x, "opposite {original}");
        // The bodies are 24 in deep; the poses give the lower edges.
        assert_eq!(o.y - c.y, inches(24) + aisle, "an aisle apart");
        assert!(((c.turn - o.turn).degrees().abs() - 180.0).abs() < 1e-9);
    }
    assert_eq!(plan(&app).printers().iter().count(), printers + 18);
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(racks(plan(&app)).len(), before, "one step");
}

#[test]
fn one_more_stands_end_to_end_and_not_in_a_wall() {
    let mut app = app();
    select(&mut app, &["Rack R5"]);
    press(&mut app, Modifiers::COMMAND, Key::B);
    let new = app.state().selection().lead().unwrap();
    let at = plan(&app).items().get(new).unwrap().pose().unwrap();
    let five = pose(&app, "R5");
    assert_eq!((at.y, at.turn), (five.y, five.turn));
    assert_eq!((at.x - five.x).abs(), inches(72), "end to end");
    let layout = Layout::of(
        &Library::builtin().unwrap(),
        app.state().session().plan(),
        PhaseNo(3),
    );
    let findings = Findings::of(&layout);
    let bodies: Vec<_> = findings
        .about(new)
        .filter(|f| f.stops() && f.check == "fits" && Check::of(f.check).is_some())
        .map(|f| f.text.clone())
        .collect();
    assert!(bodies.is_empty(), "{bodies:?}");
    // R1 has the wall on one side and R2 on the other.
    select(&mut app, &["Rack R1"]);
    let before = racks(plan(&app)).len();
    press(&mut app, Modifiers::COMMAND, Key::B);
    assert_eq!(racks(plan(&app)).len(), before);
    app.get_by_label_contains("There is no room for one more at either end");
}

#[test]
fn things_are_found_by_mark_kind_and_printer() {
    let mut app = app();
    press(&mut app, Modifiers::COMMAND, Key::F);
    app.get_by_label("Find a mark or kind").type_text("o3");
    app.key_press(Key::Enter);
    settle(&mut app);
    assert_eq!(app.state().selection().lead(), Some(id("O3")));
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.get_by_label("Find a mark or kind").type_text("outlet");
    app.key_press(Key::Enter);
    settle(&mut app);
    let outlets = app.state().selection().len();
    assert!(outlets >= 9, "{outlets} outlets");
    let first = app.state().selection().lead();
    app.key_press(Key::Enter);
    settle(&mut app);
    assert_ne!(app.state().selection().lead(), first, "Enter goes on");
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.get_by_label("Find a mark or kind").type_text("P001");
    app.key_press(Key::Enter);
    settle(&mut app);
    assert_eq!(app.state().selection().lead(), Some(id("R1")), "its rack");
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.get_by_label("Find a mark or kind").type_text("Q99");
    app.key_press(Key::Enter);
    settle(&mut app);
    app.get_by_label_contains("Nothing in this phase has the mark or kind");
}

/// What the last frames gave to the clipboard.
fn clipboard(app: &mut App) -> String {
    let commands = &app.output().platform_output.commands;
    let text = commands.iter().find_map(|c| {
        if let OutputCommand::CopyText(text) = c {
            Some(text.clone())
        } else {
            None
        }
    });
    text.unwrap()
}

#[test]
fn racks_are_copied_into_another_plan() {
    let mut app = app();
    select(&mut app, &["Rack R1", "Rack R5"]);
    app.event(Event::Copy);
    app.step();
    let text = clipboard(&mut app);
    assert!(!text.contains("O1"), "nothing else comes along");
    press(&mut app, Modifiers::COMMAND, Key::N);
    app.get_by_label("Create plan").click();
    settle(&mut app);
    assert!(racks(plan(&app)).is_empty());
    app.event(Event::Paste(text));
    settle(&mut app);
    assert_eq!(racks(plan(&app)).len(), 2);
    assert_eq!(plan(&app).printers().iter().count(), 18);
    assert!(plan(&app).printers().iter().all(|(_, p)| p.power.is_none()));
    app.event(Event::Paste("not a plan".to_owned()));
    settle(&mut app);
    app.get_by_label_contains("was not copied from a plan");
    assert_eq!(racks(plan(&app)).len(), 2);
    app.event(Event::Cut);
    settle(&mut app);
    assert!(racks(plan(&app)).is_empty(), "cut takes them away");
}

/// Takes a thing by the hand, moves it a little, and tells where the hand took it.
fn take_up(app: &mut App, mark: &str) -> Pos2 {
    let name = format!("{mark} at ");
    let at = app.get_by_label_contains(&name).rect().center();
    app.hover_at(at);
    app.step();
    app.drag_at(at);
    app.step();
    app.hover_at(at + vec2(-10.0, -40.0));
    app.step();
    app.step();
    at
}

/// Puts down by Enter what is in hand; the hand lets go later.
fn put_down(app: &mut App, at: Pos2) {
    app.key_press(Key::Enter);
    settle(app);
    app.drop_at(at);
    settle(app);
}

/// R6 is taken by the hand, and "5ft" typed: it comes to rest exactly so far from the nearest wall; Tab measures from the next.
#[test]
fn a_distance_is_typed_while_dragging() {
    let mut app = app();
    let at = take_up(&mut app, "Rack R6");
    app.event(Event::Text("1f".to_owned()));
    app.step();
    app.event(Event::Text("t 3in".to_owned()));
    app.step();
    app.get_by_label_contains("typed: 1ft 3in from the south wall");
    put_down(&mut app, at);
    assert_eq!(pose(&app, "R6").y, inches(15), "exactly what was typed");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    let at = take_up(&mut app, "Rack R6");
    app.event(Event::Text("30".to_owned()));
    app.step();
    app.key_press(Key::Tab);
    app.step();
    put_down(&mut app, at);
    // The room is 316 in long and the rack 72 in: 30 in from the east wall.
    assert_eq!(pose(&app, "R6").x, inches(316 - 72 - 30));
}

#[test]
fn the_steps_are_listed_and_gone_to() {
    let mut app = app();
    press(&mut app, Modifiers::NONE, Key::F7);
    app.get_by_label_contains("Nothing was changed yet");
    select(&mut app, &["Rack R6"]);
    let first = pose(&app, "R6");
    for _ in 0..3 {
        press(&mut app, Modifiers::NONE, Key::ArrowLeft);
    }
    let last = pose(&app, "R6");
    let moves = || By::new().role(Role::Button).label_contains("Move R6");
    assert_eq!(app.query_all(moves()).count(), 3);
    app.get_by_label_contains("As it was opened").click();
    settle(&mut app);
    assert_eq!(pose(&app, "R6"), first);
    app.get_by_label_contains("The plan is as it was opened.");
    let steps: Vec<_> = app.query_all(moves()).collect();
    steps[2].click();
    settle(&mut app);
    assert_eq!(pose(&app, "R6"), last, "all three again");
    press(&mut app, Modifiers::NONE, Key::F7);
    app.get_by_label("Find in stock");
}

/// Every command that has keys stands in the list of keys with them.
#[test]
fn the_list_of_keys_holds_every_command() {
    let mut app = app();
    press(&mut app, Modifiers::NONE, Key::F1);
    for offer in aislewright::editor::command::all() {
        let words = offer.text.trim_end_matches('…');
        assert!(app.query_all_by_label(words).next().is_some(), "{words}");
        let keys = offer.keys_words();
        assert!(app.query_all_by_label(&keys).next().is_some(), "{keys}");
    }
    app.get_by_label("Back to the stock drawer").click();
    settle(&mut app);
    app.get_by_label("Find in stock");
}

/// Writes pictures of the lists: `PICTURES=/tmp/lists cargo test --test editor pictures_of_the_lists`.
#[test]
fn pictures_of_the_lists() {
    let mut app = app();
    for (key, name) in [(Key::F1, "keys.png"), (Key::F7, "steps.png")] {
        select(&mut app, &["Rack R6"]);
        press(&mut app, Modifiers::NONE, Key::ArrowLeft);
        press(&mut app, Modifiers::NONE, key);
        let picture = keep_picture(&mut app, name);
        assert_eq!(picture.width(), 1600);
    }
}

/// The full racks hold 3 on each of 3 levels, the short ones 2: a third of their printers finds no slot.
#[test]
fn every_rack_of_a_kind_is_replaced_at_once() {
    let mut app = app();
    let full = |app: &App| {
        let plan = plan(app);
        let alike = |id: &&Id| plan.rack(**id).unwrap().kind.to_string().contains("full");
        racks(plan).iter().filter(alike).count()
    };
    let before = full(&app);
    assert!(before >= 5, "{before} full racks");
    let printers = plan(&app).printers().iter().count();
    select(&mut app, &["Rack R1"]);
    let label = format!("all {before} alike");
    app.get_by_role_and_label(Role::ComboBox, &label).click();
    settle(&mut app);
    let options: Vec<_> = app
        .query_all(By::new().role(Role::Button).label("Short rack 48 × 24 in"))
        .collect();
    options.last().unwrap().click();
    settle(&mut app);
    assert_eq!(full(&app), 0);
    assert_eq!(plan(&app).printers().iter().count(), printers - 3 * before);
    app.get_by_label_contains("printers without a slot go");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(
        (full(&app), plan(&app).printers().iter().count()),
        (before, printers)
    );
}
