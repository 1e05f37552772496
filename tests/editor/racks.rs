//! Drives the rack's front view: levels dragged, nudged, added and taken away, each one step, and what no longer fits said in
//! words.

use aislewright::plan::{Id, Item, Plan};
use aislewright::stock::LevelKind;
use aislewright::units::Length;
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, Pos2, vec2};
use egui_kittest::kittest::{By, Queryable as _};

use crate::harness::{App, app, keep_picture, plan, settle};

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

fn inches(n: i32) -> Length {
    Length::from_inches(n)
}

/// Selects a rack on the floor.
fn select(app: &mut App, mark: &str) {
    app.key_press(Key::Escape);
    settle(app);
    let name = format!("Rack {mark} at ");
    app.get_by_label_contains(&name).click();
    settle(app);
}

fn press(app: &mut App, modifiers: Modifiers, key: Key) {
    app.key_press_modifiers(modifiers, key);
    settle(app);
}

/// The levels of a rack in force.
fn levels(plan: &Plan, mark: &str) -> Vec<LevelKind> {
    let library = aislewright::plan::Library::builtin().unwrap();
    let stock = library.stock_of(plan);
    let Some(Item::Rack(rack)) = plan.items().get(id(mark)) else {
        panic!("{mark} is a rack");
    };
    rack.levels(&stock.racks[&rack.kind]).to_vec()
}

fn heights(app: &App, mark: &str) -> Vec<Length> {
    levels(plan(app), mark).iter().map(|l| l.height).collect()
}

fn steps(app: &App) -> usize {
    app.state().session().undo_len()
}

/// The middle of a level's tag.
fn tag(app: &App, mark: &str, level: u8) -> Pos2 {
    let name = format!("Board {level} of {mark} at ");
    app.get_by_label_contains(&name).rect().center()
}

/// The racks of kind full-72 have boards at 4, 27 and 50 in (assets/stock.ron).
const FULL: [i32; 3] = [4, 27, 50];

/// Points of the screen that an inch takes, by the tags of two boards.
fn points_per_inch(app: &App, mark: &str) -> f32 {
    (tag(app, mark, 1).y - tag(app, mark, 3).y) / 46.0
}

#[test]
fn a_level_is_dragged_in_one_step_and_the_words_follow_the_hand() {
    let mut app = app();
    select(&mut app, "R1");
    assert_eq!(heights(&app, "R1"), FULL.map(inches));
    let (from, scale) = (tag(&app, "R1", 2), points_per_inch(&app, "R1"));
    let before = steps(&app);
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    for part in [0.3_f32, 0.7, 1.0] {
        app.hover_at(from + vec2(0.0, 3.0 * scale * part));
        app.step();
    }
    app.step();
    // 3 in lower: the opening below is 24 - 4 = 20 in less a board of 18 mm, 490 mm; a printer needs 20 1/2 in, 520.7 mm.
    app.get_by_label_contains("Board 2 of R1 at 2\'");
    app.get_by_label_contains(
        "Level 1: opening 1\' 7 5/16\", printer 1\' 8 1/2\": too low by 1 3/16\"",
    );
    app.get_by_label_contains("Hold F to free it from the 1\" grid.");
    assert_eq!(heights(&app, "R1"), FULL.map(inches), "not yet");
    app.drop_at(from + vec2(0.0, 3.0 * scale));
    settle(&mut app);
    assert_eq!(heights(&app, "R1"), [4, 24, 50].map(inches));
    assert_eq!(steps(&app), before + 1, "one drag, one step");
    assert_eq!(
        app.state().session().undo_label(),
        Some("Move level 2 of R1")
    );
    // The card and the checks say the same.
    app.get_by_label("levels at");
    app.get_by_label_contains("P003 on level 1 of R1 needs");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(heights(&app, "R1"), FULL.map(inches));
}

/// What a slow machine does: press and move arrive in one frame.
#[test]
fn a_drag_whose_press_and_move_share_a_frame_moves_the_level() {
    let mut app = app();
    select(&mut app, "R1");
    let (from, scale) = (tag(&app, "R1", 2), points_per_inch(&app, "R1"));
    app.hover_at(from);
    app.step();
    let to = from + vec2(0.0, -6.0 * scale);
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    let events = [button(from, true), Event::PointerMoved(to)];
    app.input_mut().events.extend(events);
    app.step();
    app.hover_at(to);
    app.step();
    app.input_mut().events.push(button(to, false));
    settle(&mut app);
    assert_eq!(heights(&app, "R1"), [4, 33, 50].map(inches));
}

#[test]
fn escape_lets_a_level_go_where_it_was() {
    let mut app = app();
    select(&mut app, "R1");
    let from = tag(&app, "R1", 2);
    app.hover_at(from);
    app.step();
    app.drag_at(from);
    app.step();
    app.hover_at(from + vec2(0.0, 20.0));
    app.step();
    app.key_press(Key::Escape);
    app.step();
    app.drop_at(from + vec2(0.0, 20.0));
    settle(&mut app);
    assert_eq!(heights(&app, "R1"), FULL.map(inches));
}

#[test]
fn a_level_is_reached_and_nudged_by_keyboard_and_stops_at_its_neighbours() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Board 2 of R1 at ").focus();
    settle(&mut app);
    assert_eq!(app.state().selection().level(), Some(2), "chosen by Tab");
    press(&mut app, Modifiers::NONE, Key::ArrowUp);
    assert_eq!(heights(&app, "R1")[1], inches(28));
    press(&mut app, Modifiers::ALT, Key::ArrowDown);
    assert_eq!(
        heights(&app, "R1")[1],
        Length::from_mm(28.0 * 25.4 - 25.4 / 16.0)
    );
    let rack = plan(&app).items().get(id("R1")).unwrap().pose();
    for _ in 0..3 {
        press(&mut app, Modifiers::SHIFT, Key::ArrowUp);
    }
    // Board 3 stands at 50 in; its 18 mm and an opening of an inch are left free.
    assert_eq!(heights(&app, "R1")[1], Length::from_mm(49.0 * 25.4 - 18.0));
    let after = plan(&app).items().get(id("R1")).unwrap().pose();
    assert_eq!(rack, after, "the rack itself stays");
}

#[test]
fn a_level_is_added_and_taken_away_with_its_printers() {
    let mut app = app();
    select(&mut app, "R1");
    let on = |app: &App, level: u8| -> Vec<Id> {
        let there = plan(app).printers().iter();
        there
            .filter(|(_, p)| p.slot.rack == id("R1") && p.slot.level == level)
            .map(|(id, _)| id)
            .collect()
    };
    let (second, third) = (on(&app, 2), on(&app, 3));
    assert_eq!((second.len(), third.len()), (3, 3));
    app.get_by_label_contains("Board 1 of R1 at ").click();
    settle(&mut app);
    app.get_by_label("Add a level over 1").click();
    settle(&mut app);
    // Between 4 in and the board at 27 in, 18 mm thick.
    assert_eq!(heights(&app, "R1"), [4, 16, 27, 50].map(inches));
    assert_eq!((on(&app, 3), on(&app, 4)), (second.clone(), third.clone()));
    assert!(on(&app, 2).is_empty());
    app.get_by_label_contains("Board 3 of R1 at ").click();
    settle(&mut app);
    press(&mut app, Modifiers::NONE, Key::Delete);
    assert_eq!(heights(&app, "R1"), [4, 16, 50].map(inches));
    assert_eq!(on(&app, 3), third);
    assert!(
        second
            .iter()
            .all(|p| plan(&app).printers().get(*p).is_none())
    );
    app.get_by_label_contains("Remove level 3 of R1; 3 printers go");
    assert!(plan(&app).rack(id("R1")).is_some(), "the rack itself stays");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(heights(&app, "R1"), FULL.map(inches));
    assert_eq!((on(&app, 2), on(&app, 3)), (second, third));
}

/// The rack as it stands becomes a kind that travels with the plan: it stands in the drawer, is put on the floor from there, and
/// is there again after the plan was written and read.
#[test]
fn a_rack_is_saved_as_own_stock_and_put_from_the_drawer() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Board 2 of R1 at ").focus();
    settle(&mut app);
    press(&mut app, Modifiers::NONE, Key::ArrowUp);
    let before = steps(&app);
    app.get_by_label("Save as own stock").click();
    settle(&mut app);
    assert_eq!(steps(&app), before + 1, "one step");
    let name = "Full rack 72 × 24 in, own 1";
    app.get_by_label(&format!("{name}, own · 3 levels · 9 printers"));
    assert_eq!(heights(&app, "R1"), [4, 28, 50].map(inches));
    let text = aislewright::storage::text_of(plan(&app)).unwrap();
    let library = aislewright::plan::Library::builtin().unwrap();
    let again = aislewright::storage::plan_of(&library, "again", text.as_bytes()).unwrap();
    assert_eq!(levels(&again.plan, "R1"), levels(plan(&app), "R1"));
    assert_eq!(again.plan.kinds().racks.len(), 1, "{text}");
    // Under a name of the owner's own, and put at a free place by keyboard.
    app.get_by_role_and_label(Role::TextInput, "name in stock")
        .focus();
    settle(&mut app);
    press(&mut app, Modifiers::COMMAND, Key::A);
    app.get_by_role_and_label(Role::TextInput, "name in stock")
        .type_text("Tall middle");
    app.key_press(Key::Enter);
    settle(&mut app);
    let entry = "Tall middle, own · 3 levels · 9 printers";
    app.get_by_label(entry).focus();
    settle(&mut app);
    app.key_press(Key::Enter);
    settle(&mut app);
    let new = app.state().selection().lead().unwrap();
    assert_eq!(heights(&app, &new.to_string()), [4, 28, 50].map(inches));
    for _ in 0..3 {
        press(&mut app, Modifiers::COMMAND, Key::Z);
    }
    assert!(app.query_by_label(entry).is_none(), "taken back");
    assert!(plan(&app).kinds().racks.is_empty(), "not even in the plan");
}

/// The status line.
fn says(app: &App, words: &str) {
    app.get_by_label_contains(words);
}

#[test]
fn own_kinds_are_taken_out_of_stock_once_nothing_is_of_them() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label("Save as own stock").click();
    settle(&mut app);
    let own = "Full rack 72 × 24 in, own 1";
    let out = format!("Take {own} out of stock");
    let before = steps(&app);
    app.get_by_label(&out).click();
    settle(&mut app);
    says(&app, &format!("{own} stays in stock: R1 is one of it."));
    assert_eq!(steps(&app), before, "refused");
    assert_eq!(plan(&app).kinds().racks.len(), 1);
    // Another kind for R1, and by keyboard this time.
    choose(&mut app, "kind", "Full rack 72 × 24 in");
    settle(&mut app);
    app.get_by_label(&out).focus();
    settle(&mut app);
    app.key_press(Key::Enter);
    settle(&mut app);
    assert!(plan(&app).kinds().racks.is_empty());
    assert_eq!(app.state().session().undo_label(), Some(out.as_str()));
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert_eq!(plan(&app).kinds().racks.len(), 1, "taken back");
    // A printer of one's own is what racks come with from then on; those that came keep it in stock.
    app.key_press(Key::Escape);
    measure(&mut app);
    app.get_by_label("Put into own stock").click();
    settle(&mut app);
    app.get_by_label_contains("Low rack 72 × 24 in").focus();
    settle(&mut app);
    app.key_press(Key::Enter);
    settle(&mut app);
    let out = "Take Bench machine out of stock";
    app.get_by_label(out).click();
    settle(&mut app);
    let first = plan(&app)
        .printers()
        .iter()
        .find(|(_, p)| p.kind.as_str() == "own-printer-1")
        .unwrap()
        .0;
    says(&app, &format!("Bench machine stays in stock: {first}, "));
    says(&app, "and 3 more are of it.");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    app.get_by_label(out).click();
    settle(&mut app);
    assert!(plan(&app).kinds().printers.is_empty());
    let button = app.query_by_role_and_label(Role::Button, out);
    assert!(button.is_none(), "nothing left to take");
    app.get_by_label_contains("Low rack 72 × 24 in, 2 levels · 6 printers");
}

/// Chooses from a chooser of the card.
fn choose(app: &mut App, chooser: &str, option: &str) {
    app.get_by_role_and_label(Role::ComboBox, chooser).click();
    settle(app);
    let options: Vec<_> = app
        .query_all(By::new().role(Role::Button).label(option))
        .collect();
    options.last().unwrap().click();
    settle(app);
}

#[test]
fn a_level_is_set_by_itself_in_the_card() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Choose a level in the elevation");
    app.get_by_label_contains("Board 3 of R1 at ").click();
    settle(&mut app);
    let on_third = |app: &App| -> Vec<String> {
        let there = plan(app).printers().iter();
        let third = there.filter(|(_, p)| p.slot.rack == id("R1") && p.slot.level == 3);
        third.map(|(_, p)| p.kind.as_str().to_owned()).collect()
    };
    // 3 of 18 in and 2 in of gaps go into 69 in, 4 do not.
    app.get_by_label("3 stand side by side with 1\" between them.");
    // Another kind on this level alone: 4 of 16 in and 3 in of gaps are 67 in.
    choose(&mut app, "in each place", "Enclosed printer, 256 mm bed");
    assert_eq!(on_third(&app), ["cased-256"; 3]);
    app.get_by_label("4 stand side by side with 1\" between them.");
    let kinds: std::collections::BTreeSet<_> = plan(&app)
        .printers()
        .iter()
        .filter(|(_, p)| p.slot.rack == id("R1"))
        .map(|(_, p)| p.kind.clone())
        .collect();
    assert_eq!(kinds.len(), 2, "two kinds on one rack");
    type_into(&mut app, "side by side", "4");
    app.key_press(Key::Enter);
    settle(&mut app);
    assert_eq!(levels(plan(&app), "R1")[2].slots, 4);
    // A board of 25 mm instead of 18 takes 7 mm from the opening below, which was 23 in less 18 mm, 566.2 mm.
    app.get_by_label_contains("Level 2: opening 1\' 10 5/16\"");
    choose(&mut app, "its board", "MDF 25 mm");
    assert_eq!(
        levels(plan(&app), "R1")[2]
            .board
            .as_ref()
            .map(ToString::to_string),
        Some("mdf-25".to_owned())
    );
    app.get_by_label_contains("Level 2: opening 1\' 10");
    assert!(
        app.query_by_label_contains("Level 2: opening 1\' 10 5/16\"")
            .is_none(),
        "559.2 mm are 1' 10\""
    );
    choose(&mut app, "it holds", "nothing");
    assert!(on_third(&app).is_empty(), "the printers go");
    app.get_by_label_contains("Level 3: open above, kept empty");
    choose(&mut app, "it holds", "spools and boxes");
    app.get_by_label_contains("Level 3: open above, spools and boxes");
    let text = aislewright::storage::text_of(plan(&app)).unwrap();
    assert!(text.contains("board: \"mdf-25\""), "{text}");
    for _ in 0..5 {
        press(&mut app, Modifiers::COMMAND, Key::Z);
    }
    assert_eq!(on_third(&app), ["open-220"; 3], "all taken back");
}

fn type_into(app: &mut App, label: &str, words: &str) {
    app.get_by_role_and_label(Role::TextInput, label).focus();
    settle(app);
    press(app, Modifiers::COMMAND, Key::A);
    app.get_by_role_and_label(Role::TextInput, label)
        .type_text(words);
    settle(app);
}

/// A machine measured in inches: case 18 by 17 by 16, bed 2 to the front and 3 to the back, cable 1 behind it, spool 5 above, no
/// lid, no spool beside. In use it is 18 wide, 17 + 2 + 3 = 22 deep and 16 + 5 = 21 high.
fn measure(app: &mut App) {
    app.get_by_label("Add a printer of your own").click();
    settle(app);
    let figures = [
        ("printer's name", "Bench machine"),
        ("case width", "18"),
        ("case depth", "17"),
        ("case height", "16"),
        ("bed to the front", "2"),
        ("bed to the back", "3"),
        ("spool above", "5"),
        ("spool beside", "0"),
        ("cable behind", "1"),
        ("running power", "130"),
        ("bed at", "6, 9"),
    ];
    for (label, words) in figures {
        type_into(app, label, words);
    }
}

#[test]
fn a_printer_is_measured_and_put_into_own_stock() {
    let mut app = app();
    app.key_press(Key::Escape);
    measure(&mut app);
    app.get_by_label("Envelope. In use: 1\' 6\" wide, 1\' 10\" deep, 1\' 9\" high");
    app.get_by_label_contains("Not measured yet: open lid.");
    let before = steps(&app);
    app.get_by_label("Put into own stock").click();
    settle(&mut app);
    assert_eq!(steps(&app), before + 1, "one step");
    let own: Vec<_> = plan(&app).kinds().printers.values().cloned().collect();
    let [kind] = own.as_slice() else {
        panic!("{own:?}");
    };
    assert_eq!(kind.name, "Bench machine");
    assert_eq!(
        (kind.width, kind.depth, kind.height),
        (inches(18), inches(22), inches(21))
    );
    let measured = kind.measured.as_deref().unwrap();
    assert_eq!(
        (measured.lid, measured.spool_beside),
        (None, Some(Length::ZERO))
    );
    assert_eq!(
        kind.running.map(aislewright::units::Watts::value),
        Some(130.0)
    );
    assert_eq!((kind.peak, kind.mass, kind.screen), (None, None, None));
    let text = aislewright::storage::text_of(plan(&app)).unwrap();
    assert!(text.contains("spool_above: \"5in\""), "{text}");
    // New racks come with it; what nobody measured leaves the opening open.
    app.get_by_label_contains("Low rack 72 × 24 in").focus();
    settle(&mut app);
    app.key_press(Key::Enter);
    settle(&mut app);
    let rack = app.state().selection().lead().unwrap();
    let there = plan(&app).printers().iter();
    let alike = there.filter(|(_, p)| p.slot.rack == rack && p.kind.as_str() == "own-printer-1");
    assert_eq!(alike.count(), 6);
    let unknown = app.query_all_by_label_contains("is not all measured: open lid.");
    assert!(unknown.count() >= 2, "both levels");
    press(&mut app, Modifiers::COMMAND, Key::Z);
    press(&mut app, Modifiers::COMMAND, Key::Z);
    assert!(plan(&app).kinds().printers.is_empty(), "taken back");
}

#[test]
fn what_cannot_be_read_and_what_is_needed_is_said_in_the_form() {
    let mut app = app();
    app.key_press(Key::Escape);
    app.get_by_label("Add a printer of your own").click();
    settle(&mut app);
    type_into(&mut app, "case width", "wide");
    app.get_by_label_contains("`wide` at character 1 is not understood");
    app.get_by_label("Put into own stock").click();
    settle(&mut app);
    assert!(app.query_all_by_label("this figure is needed").count() >= 3);
    assert!(plan(&app).kinds().printers.is_empty());
    app.get_by_label("Back to the stock drawer").click();
    settle(&mut app);
    app.get_by_label("Find in stock");
}

/// Writes pictures: `PICTURES=/tmp/racks cargo test --test editor pictures_of_a_rack`.
#[test]
fn pictures_of_a_rack() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Board 2 of R1 at ").click();
    settle(&mut app);
    for _ in 0..3 {
        press(&mut app, Modifiers::NONE, Key::ArrowDown);
    }
    let save = |app: &mut App, name: &str| {
        let picture = keep_picture(app, name);
        assert_eq!(picture.width(), 1600);
    };
    save(&mut app, "level.png");
    app.get_by_label_contains("Board 2 of R1 at ").click();
    settle(&mut app);
    choose(&mut app, "pads under them", "Paver 40 mm on foam 12 mm");
    type_into(&mut app, "board thickness", "1in");
    app.key_press(Key::Enter);
    settle(&mut app);
    save(&mut app, "pads.png");
    app.get_by_label_contains("Board 3 of R1 at ").click();
    settle(&mut app);
    choose(&mut app, "it holds", "spools and boxes");
    save(&mut app, "spools.png");
    app.get_by_label("Save as own stock").click();
    settle(&mut app);
    save(&mut app, "own_rack.png");
    measure(&mut app);
    save(&mut app, "own_printer.png");
}

/// A printer of 20 1/2 in under a board 22 19/64 in up (27 - 4 in less 18 mm): 25 mm of foam leave 0.8 in, a paver of 52 mm none.
#[test]
fn pads_lift_the_printers_of_a_level_in_view_and_words() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Board 1 of R1 at ").click();
    settle(&mut app);
    let pad = |app: &App| levels(plan(app), "R1")[0].pad.clone();
    assert_eq!(pad(&app), None);
    choose(&mut app, "pads under them", "Foam pad 25 mm");
    assert_eq!(
        pad(&app).as_ref().map(ToString::to_string).as_deref(),
        Some("foam-25")
    );
    app.get_by_label_contains("Not measured under a printer: 1\" counts.");
    app.get_by_label_contains("Board 1 of R1 at 4\", 11/16\" thick, 1\" of pad on it");
    // 520.7 + 25 = 545.7 mm of 566.2 mm.
    app.get_by_label_contains(
        "opening 1' 10 5/16\", 1\" of pad, printer and pad 1' 9 1/2\", 13/16\" to spare",
    );
    choose(&mut app, "pads under them", "Paver 40 mm on foam 12 mm");
    // 520.7 + 52 = 572.7 mm: 6.5 mm too much, in the view and in the check.
    app.get_by_label_contains("too low by 1/4\"");
    app.get_by_label_contains("on level 1 of R1 needs 1' 10 9/16\" with 2 1/16\" of pad");
    // Measured under the printer it is 45 mm: 565.7 mm fit.
    type_into(&mut app, "pad under load", "45mm");
    app.key_press(Key::Enter);
    settle(&mut app);
    assert!(app.query_by_label_contains("too low by").is_none());
    let own: Vec<_> = plan(&app).kinds().pads.values().cloned().collect();
    assert_eq!(own[0].compressed, Some(Length::from_mm_whole(45)));
    let text = aislewright::storage::text_of(plan(&app)).unwrap();
    assert!(text.contains("pad: \"paver-foam-52\""), "{text}");
    assert!(text.contains("compressed: \"45mm\""), "{text}");
    for _ in 0..3 {
        press(&mut app, Modifiers::COMMAND, Key::Z);
    }
    assert_eq!(pad(&app), None);
    assert!(plan(&app).kinds().pads.is_empty());
}

/// A pad's mass is a usual one until somebody weighs it: then the kind is the plan's own. An empty field makes it unknown.
#[test]
fn the_mass_of_pads_is_weighed() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Board 1 of R1 at ").click();
    settle(&mut app);
    choose(&mut app, "pads under them", "Paver 40 mm on foam 12 mm");
    app.get_by_label_contains("The mass in stock is a usual one");
    let mass = |app: &App| {
        let own = plan(app).kinds().pads.values().next().cloned();
        own.map(|pad| pad.mass.map(aislewright::units::Kilograms::value))
    };
    assert_eq!(mass(&app), None);
    let weigh = |app: &mut App, typed: &str| {
        type_into(app, "mass of its pads", typed);
        if typed.is_empty() {
            app.key_press(Key::Backspace);
            settle(app);
        }
        app.key_press(Key::Enter);
        settle(app);
    };
    weigh(&mut app, "17.5");
    assert_eq!(mass(&app), Some(Some(17.5)));
    assert!(app.query_by_label_contains("The mass in stock").is_none());
    weigh(&mut app, "heavy");
    app.get_by_label_contains("is not understood");
    assert_eq!(mass(&app), Some(Some(17.5)), "unchanged");
    weigh(&mut app, "");
    assert_eq!(mass(&app), Some(None), "unknown");
}

#[test]
fn the_thickness_of_a_board_is_typed_and_cleared() {
    let mut app = app();
    select(&mut app, "R1");
    app.get_by_label_contains("Board 2 of R1 at ").click();
    settle(&mut app);
    app.get_by_label_contains("As Full rack 72 × 24 in has it");
    app.get_by_label_contains("Level 1: opening 1' 10 5/16\"");
    let typed = |app: &mut App, words: &str| {
        type_into(app, "board thickness", words);
        if words.is_empty() {
            app.key_press(Key::Backspace);
            settle(app);
        }
        app.key_press(Key::Enter);
        settle(app);
    };
    let kept = |app: &App| {
        let level = levels(plan(app), "R1")[1].clone();
        (level.board, level.thickness)
    };
    typed(&mut app, "1 1/2in");
    assert_eq!(kept(&app), (None, Some(Length::from_mm(38.1))));
    // 23 in less 1 1/2 in.
    app.get_by_label_contains("Level 1: opening 1' 9 1/2\"");
    app.get_by_label_contains("Full rack 72 × 24 in has MDF 18 mm, 11/16\" thick.");
    let text = aislewright::storage::text_of(plan(&app)).unwrap();
    assert!(text.contains("thickness: \"1-1/2in\""), "{text}");
    let library = aislewright::plan::Library::builtin().unwrap();
    let again = aislewright::storage::plan_of(&library, "again", text.as_bytes()).unwrap();
    assert_eq!(again.plan, *plan(&app));
    typed(&mut app, "thick");
    app.get_by_label_contains("is not understood");
    typed(&mut app, "2m");
    app.get_by_label_contains("a board is 1 to 300 mm thick");
    assert_eq!(kept(&app).1, Some(Length::from_mm(38.1)), "unchanged");
    typed(&mut app, "");
    assert_eq!(kept(&app), (None, None));
    app.get_by_label_contains("Level 1: opening 1' 10 5/16\"");
    // The thickness that the board has anyway is no other one.
    typed(&mut app, "18mm");
    assert_eq!(kept(&app), (None, None));
}
