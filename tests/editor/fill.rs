//! Drives the count of what the floor holds with a searcher made by hand: its news, its end and its answers are the test's
//! own, so that the window can be held against them.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use aislewright::cli::EXAMPLE;
use aislewright::editor::filling::{Filler, Filling};
use aislewright::fill::{Answer, Ask, Claim, Placement, StoppedBy, Unfillable, Watch};
use aislewright::plan::{
    Door, Edit, Head, Hinge, Id, Item, Label, Library, PhaseNo, Plan, Pose, Presence, Rack, Record,
    Room, Swing, WallPlace,
};
use aislewright::stock::KindId;
use aislewright::storage;
use aislewright::units::{Angle, Length};
use egui::accesskit::{Role, Toggled};
use egui::{Key, Modifiers, Theme, Vec2, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{App, click, drag, editor_over, example, keep_picture, settle, window};

/// What the test has its searcher do next.
enum Next {
    Better(Answer),
    End(Result<Answer, Unfillable>),
}

/// The test's hold on its searcher.
struct Hand {
    next: Sender<Next>,
    asked: Arc<Mutex<Vec<Ask>>>,
    told_to_stop: Arc<AtomicBool>,
}

impl Hand {
    fn better(&self, answer: Answer) {
        self.next.send(Next::Better(answer)).unwrap();
    }

    fn end(&self, answer: Answer) {
        self.next.send(Next::End(Ok(answer))).unwrap();
    }

    fn asked(&self) -> Vec<Ask> {
        self.asked.lock().unwrap().clone()
    }
}

/// A searcher that waits for the test, and puts racks without printers where the answer says.
fn by_hand() -> (Filler, Hand) {
    let (next, orders) = channel();
    let orders = Mutex::new(orders);
    let asked = Arc::new(Mutex::new(Vec::new()));
    let told_to_stop = Arc::new(AtomicBool::new(false));
    let hand = Hand {
        next,
        asked: Arc::clone(&asked),
        told_to_stop: Arc::clone(&told_to_stop),
    };
    let filler = Filler {
        search: Arc::new(
            move |_: &Library, _: &Arc<Plan>, ask: &Ask, watch: &dyn Watch| {
                asked.lock().unwrap().push(ask.clone());
                search(&orders, &told_to_stop, watch)
            },
        ),
        adopt: Arc::new(adopt),
    };
    (filler, hand)
}

fn search(
    orders: &Mutex<Receiver<Next>>,
    told_to_stop: &AtomicBool,
    watch: &dyn Watch,
) -> Result<Answer, Unfillable> {
    loop {
        if watch.stop().is_some() {
            told_to_stop.store(true, Ordering::SeqCst);
            return Err(Unfillable::NoKind);
        }
        let next = orders
            .lock()
            .unwrap()
            .recv_timeout(Duration::from_millis(2));
        match next {
            Ok(Next::Better(answer)) => watch.seen(&answer),
            Ok(Next::End(end)) => return end,
            Err(_) => {}
        }
    }
}

fn adopt(
    _: &Library,
    plan: &Arc<Plan>,
    ask: &Ask,
    answer: &Answer,
    which: Option<&BTreeSet<usize>>,
) -> Edit {
    let taken: Vec<&Placement> = answer
        .placements
        .iter()
        .enumerate()
        .filter(|(k, _)| which.is_none_or(|some| some.contains(k)))
        .map(|(_, placement)| placement)
        .collect();
    let ids = plan.fresh("R1".parse::<Id>().unwrap().prefix(), taken.len());
    let records = ids
        .into_iter()
        .zip(taken)
        .map(|(id, placement)| {
            let rack = Rack {
                kind: placement.kind.clone(),
                at: placement.at,
                levels: Vec::new(),
                faces: Vec::new(),
                anchored: None,
                presence: Presence::new_in(ask.phase),
            };
            (id, Record::Item(Box::new(Item::Rack(rack))))
        })
        .collect();
    Edit::Several(
        format!("Fill phase {}", ask.phase),
        vec![Edit::Put(records)],
    )
}

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn placement(name: &str, (x, y): (i32, i32), turn: f64, printers: u32) -> Placement {
    let width = if name == "short-48" { 48.0 } else { 72.0 };
    Placement {
        kind: kind(name),
        must: None,
        at: Pose {
            x: Length::from_inches(x),
            y: Length::from_inches(y),
            turn: Angle::from_degrees(turn),
        },
        size_mm: (width * 25.4, 24.0 * 25.4),
        printers,
    }
}

/// An answer for the example's last phase, with the first `racks` of three.
fn answer(racks: usize, bound: u32, claim: Claim) -> Answer {
    let placements: Vec<Placement> = [
        placement("full-72", (220, 114), 0.0, 9),
        placement("full-72", (120, 2), 180.0, 9),
        placement("short-48", (278, 14), 270.0, 6),
    ]
    .into_iter()
    .take(racks)
    .collect();
    let added = placements.iter().map(|p| p.printers).sum();
    Answer {
        printers: 36 + added,
        pinned: 36,
        added,
        bound,
        claim,
        carried: None,
        lattice_mm: None,
        lattice_words: None,
        assumptions: vec![
            "racks stand parallel to the walls".to_owned(),
            "a square cart as wide as the aisle, 3' 0\"".to_owned(),
            "rack kinds: full, low and short".to_owned(),
        ],
        set_aside: vec!["Door D1 swings into R5, 10\" deep.".to_owned()],
        steps: 1000,
        stopped_by: if claim == Claim::Found {
            StoppedBy::Running
        } else {
            StoppedBy::Proof
        },
        placements,
    }
}

/// A first answer for the room that the question for a new plan starts from, 12 by 20 ft.
fn new_room(bound: u32) -> Answer {
    Answer {
        printers: 33,
        pinned: 0,
        added: 33,
        placements: vec![
            placement("full-72", (0, 214), 0.0, 9),
            placement("full-72", (72, 214), 0.0, 9),
            placement("full-72", (94, 140), 270.0, 9),
            placement("short-48", (-10, 130), 90.0, 6),
        ],
        ..answer(0, bound, Claim::Found)
    }
}

fn app_over(filler: Filler, size: Vec2, theme: Theme) -> App {
    window(
        editor_over(example(), None).with_filler(filler),
        size,
        theme,
    )
}

fn app() -> (App, Hand) {
    let (filler, hand) = by_hand();
    (app_over(filler, vec2(1600.0, 1000.0), Theme::Light), hand)
}

/// Steps until something is so, which another thread has to bring about.
fn until(app: &mut App, what: &str, so: impl Fn(&App) -> bool) {
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits for a thread, with a bound"
    )]
    let now = Instant::now;
    let end = now() + Duration::from_secs(20);
    while !so(app) {
        assert!(now() < end, "never came: {what}");
        std::thread::sleep(Duration::from_millis(5));
        app.step();
    }
    settle(app);
}

fn until_label(app: &mut App, label: &str) {
    until(app, label, |app| {
        app.query_all_by_label_contains(label).next().is_some()
    });
}

fn has(app: &App, label: &str) -> bool {
    app.query_all_by_label_contains(label).next().is_some()
}

/// True where the sentence that holds the count against the one hoped for stands beside the phases and in the panel.
fn explained(app: &App, answer: &Answer) -> bool {
    let hoped_for = app.state().session().plan().head().hoped_for;
    [true, false].into_iter().any(|running| {
        let sentence = answer.against(hoped_for, running);
        app.query_all_by_label(&sentence).count() == 2
    })
}

/// Opens the panel and starts.
fn started() -> (App, Hand) {
    let (mut app, hand) = app();
    app.key_press(Key::F9);
    settle(&mut app);
    click(&mut app, "Start");
    (app, hand)
}

fn found() -> (App, Hand) {
    let (mut app, hand) = started();
    hand.end(answer(3, 60, Claim::Proved));
    until_label(&mut app, "60 printers");
    (app, hand)
}

fn racks(app: &App) -> usize {
    let items = app.state().session().plan().items();
    items
        .iter()
        .filter(|(_, i)| matches!(i, Item::Rack(_)))
        .count()
}

#[test]
fn the_panel_says_what_is_asked_and_asks_it() {
    let (mut app, hand) = app();
    click(&mut app, "Fill: count what the floor holds");
    app.get_by_label("No search yet: Fill counts what this floor truly holds.");
    // Three of the four racks of assets/stock.ron hold printers.
    app.get_by_label("Use Full rack 72 × 24 in, 6' 0\" × 2' 0\" · 9 printers");
    assert!(!has(&app, "Use Spool rack"), "no printers stand on it");
    app.get_by_label("Use Low rack 72 × 24 in, 6' 0\" × 2' 0\" · 6 printers")
        .click();
    settle(&mut app);
    click(&mut app, "Start");
    until(&mut app, "the question", |_| !hand.asked().is_empty());
    let asked = hand.asked();
    let ask = asked.first().unwrap();
    assert_eq!(ask.phase, PhaseNo(3), "the phase on show");
    assert_eq!(ask.part, None, "the whole room");
    let kinds = BTreeSet::from([kind("full-72"), kind("short-48")]);
    assert_eq!(ask.kinds, Some(kinds), "what is ticked");
    click(&mut app, "Stop");
    for name in ["Full", "Short"] {
        app.get_by_label_contains(&format!("Use {name} rack"))
            .click();
        settle(&mut app);
    }
    app.get_by_label("Tick at least one rack to start.");
    let start = app.get_by_label("Start").accesskit_node().is_disabled();
    assert!(start, "nothing to choose from");
    click(&mut app, "Back to the stock drawer");
    app.get_by_label("Find in stock");
}

#[test]
fn what_is_found_refines_while_the_window_goes_on() {
    let (mut app, hand) = started();
    app.get_by_label_contains("Searching for ");
    hand.better(answer(1, 72, Claim::Found));
    until_label(&mut app, "45 printers");
    assert!(has(&app, "found; no arrangement can hold more than 72"));
    app.get_by_label_contains("36 stay, 9 added · bound 72");
    hand.better(answer(2, 66, Claim::Found));
    until_label(&mut app, "54 printers");
    assert!(explained(&app, &answer(2, 66, Claim::Found)));
    app.get_by_label_contains("floor ceiling: 66 printers");
    app.get_by_label_contains("found: 54 printers");
    assert!(!has(&app, "true maximum"), "not without a proof");
    hand.end(answer(2, 54, Claim::Proved));
    until_label(&mut app, "true maximum: 54 printers");
    assert!(has(&app, "proved: no arrangement holds more"));
    assert!(explained(&app, &answer(2, 54, Claim::Proved)));
    app.get_by_label_contains("floor ceiling: 54 printers");
    app.get_by_label_contains("51 of 54, proved");
    assert!(has(&app, "ords, UPS and floor load not judged"));
    app.get_by_label_contains("proof reached");
    app.get_by_label("Assumptions (3)").click();
    settle(&mut app);
    app.get_by_label_contains("racks stand parallel to the walls");
    app.get_by_label("Broken by what stays, set aside (1)");
    app.get_by_label("· Door D1 swings into R5, 10\" deep.");
    let known = app.state().known_answer(PhaseNo(3)).map(|a| a.printers);
    assert_eq!(known, Some(54));
    assert_eq!(app.state().known_answer(PhaseNo(2)), None, "another phase");
    assert_eq!(app.state().session().undo_len(), 0, "nothing is written");
}

#[test]
fn stopping_takes_effect_at_once_and_keeps_what_was_found() {
    let (mut app, hand) = started();
    hand.better(answer(1, 72, Claim::Found));
    until_label(&mut app, "45 printers");
    click(&mut app, "Stop");
    assert!(
        app.query_by_label("Stop").is_none(),
        "the window did not wait"
    );
    assert!(explained(&app, &answer(1, 72, Claim::Found)));
    app.get_by_label("Start again");
    until(&mut app, "the thread ends", |_| {
        hand.told_to_stop.load(Ordering::SeqCst)
    });
    app.get_by_label("Place all");
    click(&mut app, "Discard");
    assert!(!has(&app, "Ghost "), "off the floor");
    app.get_by_label_contains("found: 45 printers");
}

#[test]
fn taking_everything_is_one_step() {
    let (mut app, _hand) = found();
    let before = racks(&app);
    app.get_by_label("Ghost 1: Full rack 72 × 24 in, 9 printers at 18' 4\", 9' 6\"");
    click(&mut app, "Place all");
    assert_eq!(racks(&app), before + 3);
    assert_eq!(app.state().session().undo_len(), 1, "one step");
    assert_eq!(app.state().session().undo_label(), Some("Fill phase 3"));
    app.get_by_label_contains("Took 3 things with 24 printers in one step");
    assert!(!has(&app, "Ghost "), "taken");
    app.get_by_label_contains("Known of this phase");
    app.get_by_label_contains("true maximum: 60 printers");
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    assert_eq!(racks(&app), before, "undone");
    app.get_by_label_contains("true maximum: 60 printers");
}

#[test]
fn some_are_chosen_on_the_floor_and_by_keyboard_and_taken() {
    let (mut app, _hand) = found();
    let before = racks(&app);
    let ticked = |app: &App, label: &str| {
        app.get_by_label_contains(label).accesskit_node().toggled() == Some(Toggled::True)
    };
    assert!(
        app.get_by_label("Place the 0 chosen")
            .accesskit_node()
            .is_disabled()
    );
    app.get_by_label_contains("Ghost 2: ").click();
    settle(&mut app);
    assert!(ticked(&app, "Choose 2: "), "the list follows the floor");
    app.get_by_label_contains("Choose 3: ").focus();
    app.run();
    app.key_press(Key::Space);
    settle(&mut app);
    app.get_by_label_contains("Choose 2: ").focus();
    app.run();
    app.key_press(Key::Space);
    settle(&mut app);
    assert!(!ticked(&app, "Choose 2: ") && ticked(&app, "Choose 3: "));
    click(&mut app, "Place the 1 chosen");
    assert_eq!(racks(&app), before + 1);
    let plan = app.state().session().plan();
    let short = plan.items().iter().filter(
        |(_, i)| matches!(i, Item::Rack(r) if r.kind == kind("short-48") && r.at.turn == Angle::from_degrees(270.0)),
    );
    assert_eq!(short.count(), 1, "the chosen one");
    assert_eq!(app.state().session().undo_len(), 1, "one step");
}

#[test]
fn what_is_chosen_stays_chosen_when_more_is_found() {
    let (mut app, hand) = started();
    hand.better(answer(2, 72, Claim::Found));
    until_label(&mut app, "Choose 2: ");
    app.get_by_label_contains("Choose 2: ").click();
    settle(&mut app);
    let mut next = answer(3, 60, Claim::Proved);
    next.placements.rotate_left(1);
    hand.end(next);
    until_label(&mut app, "60 printers");
    app.get_by_label("Place the 1 chosen");
    let first = app.get_by_label_contains("Choose 1: ");
    assert_eq!(first.accesskit_node().toggled(), Some(Toggled::True));
}

#[test]
fn a_part_is_marked_by_a_drag_or_typed_and_is_no_count_of_the_floor() {
    let (mut app, hand) = app();
    app.key_press(Key::F9);
    settle(&mut app);
    click(&mut app, "A part");
    app.get_by_label_contains("to mark the part, or type");
    // From the middle of the room over a rack, which is not dragged along.
    let from = app.get_by_label_contains("Column K1 at ").rect().center() + vec2(0.0, 20.0);
    let rack = app.get_by_label_contains("Rack R6 at ").rect();
    drag(&mut app, from, rack.right_bottom());
    assert_eq!(app.state().session().undo_len(), 0, "nothing was moved");
    let field = |app: &App, label: &str| {
        app.get_by_role_and_label(Role::TextInput, label)
            .accesskit_node()
            .value()
    };
    assert_ne!(field(&app, "part width"), Some("26' 4\"".to_owned()));
    app.get_by_role_and_label(Role::TextInput, "part width")
        .focus();
    app.run();
    app.key_press_modifiers(Modifiers::COMMAND, Key::A);
    app.run();
    app.get_by_role_and_label(Role::TextInput, "part width")
        .type_text("10 ft");
    app.run();
    app.key_press(Key::Enter);
    settle(&mut app);
    assert_eq!(field(&app, "part width"), Some("10' 0\"".to_owned()));
    click(&mut app, "Start");
    until(&mut app, "the question", |_| !hand.asked().is_empty());
    let (a, b) = hand.asked().first().unwrap().part.unwrap();
    assert!(((a.x - b.x).abs() - 3048.0).abs() < 0.01, "{a} {b}");
    hand.end(answer(2, 54, Claim::Proved));
    until_label(&mut app, "54 printers");
    app.get_by_label_contains("In the part marked");
    assert!(
        !has(&app, "true maximum"),
        "a part says nothing of the whole"
    );
    app.get_by_label_contains("floor ceiling: unknown");
    app.get_by_label("What is asked").click();
    settle(&mut app);
    click(&mut app, "Whole room");
    click(&mut app, "Start again");
    until(&mut app, "another question", |_| hand.asked().len() == 2);
    assert_eq!(hand.asked().last().unwrap().part, None);
}

#[test]
fn it_all_goes_by_keyboard() {
    let (mut app, hand) = app();
    let press = |app: &mut App, key: Key| {
        app.key_press(key);
        settle(app);
    };
    press(&mut app, Key::F9);
    let back = app.get_by_label("Back to the stock drawer");
    assert!(
        back.accesskit_node().is_focused(),
        "the keyboard is in the panel"
    );
    press(&mut app, Key::Tab);
    press(&mut app, Key::Enter);
    until(&mut app, "the question", |_| !hand.asked().is_empty());
    hand.end(answer(3, 60, Claim::Proved));
    until_label(&mut app, "60 printers");
    for _ in 0..20 {
        press(&mut app, Key::Tab);
        if app.get_by_label("Place all").accesskit_node().is_focused() {
            break;
        }
    }
    press(&mut app, Key::Space);
    assert_eq!(app.state().session().undo_label(), Some("Fill phase 3"));
    press(&mut app, Key::F9);
    app.get_by_label("Find in stock");
}

#[test]
fn racks_that_stay_and_go_are_counted() {
    let (mut app, _hand) = app();
    app.key_press(Key::F9);
    settle(&mut app);
    // R4 and R6 arrive in phase 3, the other five before (demo-data/bottling-room.plan.ron).
    app.get_by_label(
        "Everything fixed, 0 racks pinned and 5 racks of earlier phases stay. 2 racks of this phase may be put elsewhere.",
    );
    app.get_by_label_contains("Rack R6 at ").click();
    settle(&mut app);
    app.get_by_label("Pinned in its place").scroll_to_me();
    settle(&mut app);
    click(&mut app, "Pinned in its place");
    assert!(
        app.state()
            .session()
            .plan()
            .rack("R6".parse().unwrap())
            .unwrap()
            .presence
            .pinned,
        "R6 is pinned"
    );
    app.get_by_label_contains("1 rack pinned and 5 racks of earlier phases stay. 1 rack of this");
    // A part of the floor that R4 does not stand in.
    click(&mut app, "A part");
    let from = app.get_by_label_contains("Column K1 at ").rect().center() + vec2(0.0, 20.0);
    drag(&mut app, from, from + vec2(200.0, 60.0));
    app.get_by_label_contains("6 racks of earlier phases or beyond the part stay. 0 racks of this");
}

#[test]
fn a_part_too_small_for_a_rack_is_not_taken() {
    let (mut app, _hand) = app();
    app.key_press(Key::F9);
    settle(&mut app);
    click(&mut app, "A part");
    let from = app.get_by_label_contains("Column K1 at ").rect().center() + vec2(0.0, 20.0);
    drag(&mut app, from, from + vec2(40.0, 1.0));
    app.get_by_label_contains("too small to hold a rack");
    assert!(!has(&app, "part width"), "still the whole room");
}

#[test]
fn escape_leaves_marking() {
    let (mut app, _hand) = app();
    app.key_press(Key::F9);
    settle(&mut app);
    click(&mut app, "A part");
    app.key_press(Key::Escape);
    settle(&mut app);
    assert!(!has(&app, "to mark the part, or type"));
    assert!(!has(&app, "part width"), "still the whole room");
}

#[test]
fn a_search_that_rests_on_what_changed_is_dropped_and_said_so() {
    let (mut app, hand) = started();
    hand.better(answer(1, 72, Claim::Found));
    until_label(&mut app, "45 printers");
    app.get_by_label_contains("Column K1 at ").click();
    settle(&mut app);
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    app.get_by_label("The plan has changed: the search for phase 3 was dropped.");
    assert!(!has(&app, "Ghost ") && !has(&app, "Place all"));
    assert!(app.state().known_answer(PhaseNo(3)).is_none(), "stale");
    app.get_by_label_contains("floor ceiling: unknown");
    until(&mut app, "the thread ends", |_| {
        hand.told_to_stop.load(Ordering::SeqCst)
    });
    // Back to the plan that was searched: what was known of it is known again.
    app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    settle(&mut app);
    app.get_by_label_contains("found: 45 printers");
}

#[test]
fn an_answer_outlives_what_it_does_not_rest_on() {
    let (mut app, _hand) = found();
    // R6 arrives in this phase and is not pinned: the search may put it elsewhere anyway.
    app.get_by_label_contains("Rack R6 at ").focus();
    app.get_by_label_contains("Rack R6 at ").click_accesskit();
    settle(&mut app);
    app.key_press(Key::ArrowLeft);
    settle(&mut app);
    assert_eq!(app.state().session().undo_len(), 1, "it was moved");
    app.get_by_label_contains("true maximum: 60 printers");
    app.get_by_label("Place all");
    app.get_by_label("Pinned in its place").scroll_to_me();
    settle(&mut app);
    click(&mut app, "Pinned in its place");
    assert!(
        app.state()
            .session()
            .plan()
            .rack("R6".parse().unwrap())
            .unwrap()
            .presence
            .pinned,
        "R6 is pinned"
    );
    app.get_by_label("The plan has changed: the search for phase 3 was dropped.");
    assert!(
        !has(&app, "true maximum"),
        "it stays now, and that is another question"
    );
}

#[test]
fn another_phase_is_on_show_while_the_search_goes_on() {
    let (mut app, hand) = started();
    click(&mut app, "2 All 28 moved in");
    app.get_by_label("This search is for phase 3.");
    hand.end(answer(3, 60, Claim::Proved));
    until_label(&mut app, "Phase 3: 60 printers, proved");
    assert!(!has(&app, "Ghost "), "another phase is on show");
    assert!(!has(&app, "true maximum"), "of another phase");
    click(&mut app, "Show phase 3");
    app.get_by_label_contains("Ghost 1: ");
    app.get_by_label_contains("true maximum: 60 printers");
}

#[test]
fn what_cannot_be_searched_says_why() {
    let (mut app, hand) = started();
    hand.next
        .send(Next::End(Err(Unfillable::NoPrinter)))
        .unwrap();
    until_label(
        &mut app,
        "No printer kind to count in; name the leading kind",
    );
    app.get_by_label("Start");
}

#[test]
fn a_new_plan_is_counted_without_being_asked() {
    let (mut app, hand) = app();
    app.key_press_modifiers(Modifiers::COMMAND, Key::N);
    settle(&mut app);
    app.get_by_role_and_label(Role::ComboBox, "Printers to count");
    click(&mut app, "Create plan");
    until(&mut app, "the question", |_| !hand.asked().is_empty());
    let leading = app.state().session().plan().head().leading.clone();
    assert!(leading.is_some(), "there is a kind to count in");
    app.get_by_label_contains("counting what the floor holds");
    hand.better(new_room(90));
    until_label(&mut app, "found: 33 printers");
    assert!(has(&app, "found; no arrangement can hold more than 90"));
    app.get_by_label_contains("Ghost 1: ");
    app.get_by_label("Place all");
}

#[test]
fn a_floor_that_takes_less_than_is_placed_says_so_and_offers_nothing() {
    let (mut app, hand) = started();
    // The example has 51 placed.
    hand.better(answer(0, 66, Claim::Found));
    until_label(&mut app, "No racks to add were found yet.");
    assert!(!has(&app, "are placed now"), "66 may yet be found");
    hand.end(answer(0, 36, Claim::Proved));
    until_label(&mut app, "36 printers");
    app.get_by_label("51 are placed now, 15 more than can stand here with these checks met.");
    app.get_by_label("There is room for no more racks beside what stays.");
    assert!(
        !has(&app, "Take "),
        "taking nothing would only take racks away"
    );
    app.get_by_label_contains("51 placed, proved");
    app.get_by_label("Discard");
}

#[test]
fn the_panel_keeps_its_width() {
    let (mut app, _hand) = found();
    let right = |app: &App| app.get_by_label("Back to the stock drawer").rect().right();
    let before = right(&app);
    for _ in 0..40 {
        app.step();
    }
    assert!(
        (right(&app) - before).abs() < 0.5,
        "{before} became {}",
        right(&app)
    );
}

#[test]
fn every_control_of_the_panel_has_a_name_of_its_own() {
    let (mut app, _hand) = found();
    app.get_by_label("What is asked").click();
    settle(&mut app);
    let mut seen = BTreeSet::new();
    let mut stack: Vec<_> = app.root().children().collect();
    while let Some(node) = stack.pop() {
        stack.extend(node.children());
        let inner = node.accesskit_node();
        let control = [
            Role::Button,
            Role::TextInput,
            Role::CheckBox,
            Role::ComboBox,
        ];
        if control.contains(&inner.role()) {
            let name = inner.label().unwrap_or_default();
            assert!(
                !name.trim().is_empty(),
                "{:?} {:?}",
                inner.role(),
                node.rect()
            );
            seen.insert(name);
        }
    }
    for name in [
        "Start again",
        "Place all",
        "Discard",
        "Back to the stock drawer",
    ] {
        assert!(seen.contains(name), "{name}: {seen:?}");
    }
}

/// A count of the example's last phase without a window.
fn begun(search: impl Fn(&dyn Watch) -> Answer + Send + Sync + 'static, most: Duration) -> Filling {
    let library = Library::builtin().unwrap();
    let opened = storage::plan_of(&library, "example", EXAMPLE.as_bytes()).unwrap();
    let ask = Ask {
        floor_only: false,
        phase: PhaseNo(3),
        kinds: None,
        part: None,
        steps: 1,
    };
    let mut filling = Filling::new(Filler {
        search: Arc::new(
            move |_: &Library, _: &Arc<Plan>, _: &Ask, watch: &dyn Watch| Ok(search(watch)),
        ),
        adopt: Arc::new(adopt),
    });
    let plan = Arc::new(opened.plan);
    filling.begin(&Arc::new(library), &plan, ask, Some(most), |_| {});
    filling
}

/// Waits for the sentence that ends a count.
fn ended(filling: &mut Filling) -> String {
    for _ in 0..4000 {
        if let Some(words) = filling.collect() {
            return words;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    panic!("the count never ended")
}

#[test]
fn a_count_that_nobody_asked_for_ends_by_the_clock() {
    let search = |watch: &dyn Watch| loop {
        if let Some(why) = watch.stop() {
            let mut last = answer(1, 72, Claim::Found);
            last.stopped_by = why;
            return last;
        }
        std::thread::sleep(Duration::from_millis(1));
    };
    let mut filling = begun(search, Duration::from_millis(20));
    let words = ended(&mut filling);
    assert_eq!(
        words,
        "Phase 3: 45 printers, found; no arrangement can hold more than 72."
    );
    let proposal = filling.proposal().unwrap();
    assert_eq!(proposal.answer.stopped_by, StoppedBy::Seconds);
    assert!(proposal.took.unwrap() >= Duration::from_millis(20));
}

#[test]
fn stopping_does_not_wait_for_a_thread_that_looks_at_nothing() {
    let (open, gate) = channel::<()>();
    let gate = Mutex::new(gate);
    let search = move |watch: &dyn Watch| {
        watch.seen(&answer(1, 72, Claim::Found));
        // Ends only when the test lets it.
        let _ = gate.lock().unwrap().recv();
        answer(2, 54, Claim::Proved)
    };
    let mut filling = begun(search, Duration::from_hours(1));
    while filling.proposal().is_none() {
        assert_eq!(filling.collect(), None, "it is at work");
        std::thread::sleep(Duration::from_millis(1));
    }
    filling.stop();
    assert!(
        filling.running().is_none(),
        "stopped while the thread hangs"
    );
    drop(open);
    std::thread::sleep(Duration::from_millis(20));
    assert_eq!(
        filling.collect(),
        None,
        "what comes later is not listened to"
    );
    let kept = &filling.proposal().unwrap().answer;
    assert_eq!((kept.printers, kept.stopped_by), (45, StoppedBy::Cancelled));
}

#[test]
fn a_thread_that_breaks_off_leaves_what_it_had_found() {
    let search = |watch: &dyn Watch| {
        watch.seen(&answer(1, 72, Claim::Found));
        panic!("made to break off by the test")
    };
    let mut filling = begun(search, Duration::from_hours(1));
    let words = ended(&mut filling);
    assert_eq!(
        words,
        "The search broke off; what it had found is kept. Start it again."
    );
    assert_eq!(filling.trouble(), Some(words.as_str()));
    assert_eq!(filling.proposal().unwrap().answer.printers, 45);
}

/// A room of 10 by 12 ft with its way out in the south wall, over the real searcher.
fn small_room(size: Vec2, theme: Theme) -> App {
    let library = Library::builtin().unwrap();
    let inches = Length::from_inches;
    let head = Head {
        name: Label::new("Small room").unwrap(),
        leading: Some(kind("open-220")),
        ..Head::default()
    };
    let room = Room::rectangle(inches(120), inches(144), inches(108), inches(6));
    let door = Item::Door(Door {
        at: WallPlace::new(0, inches(12)),
        width: inches(36),
        height: inches(80),
        clear: None,
        hinge: Hinge::Near,
        swing: Swing::Out,
        way_out: true,
        presence: Presence::default(),
    });
    let put = Edit::Put(vec![("D1".parse().unwrap(), Record::Item(Box::new(door)))]);
    let plan = Plan::new(head, room).edited(&library.stock, &put).unwrap();
    window(editor_over(plan, None), size, theme)
}

#[test]
fn a_bench_added_on_the_card_is_placed_by_the_search_and_taken_back_by_undo() {
    let mut app = small_room(vec2(1600.0, 1000.0), Theme::Light);
    app.get_by_label("Add a bench").scroll_to_me();
    settle(&mut app);
    click(&mut app, "Add a bench");
    assert_eq!(
        app.state().session().undo_label(),
        Some("Keep floor for bench")
    );
    app.key_press(Key::F9);
    settle(&mut app);
    click(&mut app, "Start");
    until(&mut app, "the end of the search", |app| {
        app.query_by_label("Start again").is_some()
    });
    let named = |app: &App, words: &str| {
        let choices = app.query_all_by_role(Role::CheckBox);
        let labels = choices.filter_map(|n| n.accesskit_node().label());
        labels
            .filter(|l| l.starts_with("Choose ") && l.ends_with(words))
            .count()
    };
    assert_eq!(named(&app, ": bench"), 1, "it stands in the answer once");
    assert!(named(&app, " printers") > 0, "racks find room beside it");
    click(&mut app, "Place all");
    let zones = |app: &App| -> Vec<(String, f64, f64)> {
        let items = app.state().session().plan().items();
        let zone = |item: &Item| {
            let Item::Zone(z) = item else { return None };
            let note = z.presence.note.to_string();
            Some((note, z.width.inches(), z.depth.inches()))
        };
        items.iter().filter_map(|(_, item)| zone(item)).collect()
    };
    assert_eq!(zones(&app), [("bench".to_owned(), 60.0, 30.0)]);
    for steps in [1, 0] {
        app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        settle(&mut app);
        assert_eq!(zones(&app), [], "the answer is taken back whole");
        let list = &app.state().session().plan().head().must_fit;
        assert_eq!(list.len(), steps, "then the bench itself");
    }
}

/// Writes pictures of the card's list: `PICTURES=FOLDER cargo test --test editor pictures_of_what_must_also_fit`. Without
/// the folder it only draws them.
#[test]
fn pictures_of_what_must_also_fit() {
    for (theme, size) in [
        (Theme::Light, vec2(1280.0, 800.0)),
        (Theme::Dark, vec2(1920.0, 1080.0)),
    ] {
        let mut app = small_room(size, theme);
        let keep = |app: &mut App, name: &str| {
            let picture = keep_picture(app, &format!("must-fit-{name}-{theme:?}-{}.png", size.x));
            assert!(picture.width() >= 1280 && picture.height() >= 800, "{name}");
        };
        app.get_by_label("Add a bench").scroll_to_me();
        settle(&mut app);
        keep(&mut app, "none");
        for _ in 0..2 {
            click(&mut app, "Add a bench");
        }
        app.get_by_role_and_label(Role::TextInput, "2 name").focus();
        settle(&mut app);
        app.key_press_modifiers(Modifiers::COMMAND, Key::A);
        app.get_by_role_and_label(Role::TextInput, "2 name")
            .type_text("bench");
        app.run();
        app.key_press(Key::Enter);
        settle(&mut app);
        app.get_by_role_and_label(Role::TextInput, "2 name")
            .scroll_to_me();
        settle(&mut app);
        keep(&mut app, "refused");
    }
}

/// Writes pictures of the count at two sizes and in both themes: `PICTURES=FOLDER cargo test --test editor
/// pictures_of_the_count`. Without the folder it only draws them.
#[test]
fn pictures_of_the_count() {
    for (theme, size) in [
        (Theme::Light, vec2(1280.0, 800.0)),
        (Theme::Dark, vec2(1920.0, 1080.0)),
        (Theme::Light, vec2(1920.0, 1080.0)),
        (Theme::Dark, vec2(1280.0, 800.0)),
    ] {
        let (filler, hand) = by_hand();
        let mut app = app_over(filler, size, theme);
        let keep = |app: &mut App, name: &str| {
            let picture = keep_picture(app, &format!("fill-{name}-{theme:?}-{}.png", size.x));
            assert!(picture.width() >= 1280 && picture.height() >= 800, "{name}");
        };
        app.key_press(Key::F9);
        settle(&mut app);
        keep(&mut app, "asked");
        click(&mut app, "Start");
        hand.better(answer(2, 66, Claim::Found));
        until_label(&mut app, "54 printers");
        keep(&mut app, "running");
        hand.end(answer(3, 60, Claim::Proved));
        until_label(&mut app, "60 printers");
        app.get_by_label_contains("Ghost 2: ").click();
        settle(&mut app);
        keep(&mut app, "proved");
        app.get_by_label("What is asked").click();
        settle(&mut app);
        app.get_by_label("A part").scroll_to_me();
        settle(&mut app);
        click(&mut app, "A part");
        let from = app.get_by_label_contains("Column K1 at ").rect().center();
        drag(&mut app, from + vec2(0.0, 30.0), from + vec2(120.0, 90.0));
        keep(&mut app, "part");
        click(&mut app, "Place all");
        keep(&mut app, "taken");
        app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        app.key_press_modifiers(Modifiers::COMMAND, Key::N);
        settle(&mut app);
        keep(&mut app, "new");
        click(&mut app, "Create plan");
        hand.better(new_room(90));
        until_label(&mut app, "found: 33 printers");
        keep(&mut app, "first");
    }
}
