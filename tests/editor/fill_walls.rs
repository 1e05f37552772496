//! Drives what the window tells of walls shorter than measured, with a searcher that counts floor by hand and can be held.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use aislewright::editor::filling::Filler;
use aislewright::fill::{self, Answer, Ask, Claim, StoppedBy, Unfillable, Watch};
use aislewright::plan::{Head, Library, Plan, Room};
use aislewright::units::Length;
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{App, editor_over, settle, window};

fn inches(n: i32) -> Length {
    Length::from_inches(n)
}

/// 12 printers where the room is at least 88 in wide, 9 where it is not; `held` keeps every search of a narrower room waiting
/// until it is told to stop, which `stopped` tells.
fn counting(held: bool, stopped: &Arc<AtomicBool>) -> Filler {
    let stopped = Arc::clone(stopped);
    Filler {
        search: Arc::new(
            move |_: &Library, plan: &Arc<Plan>, _: &Ask, watch: &dyn Watch| {
                let width = plan.room().polygon().unwrap().bounds().size().x;
                let whole = width >= 88.0 * 25.4 - 0.01;
                if held && !whole {
                    while watch.stop().is_none() {
                        std::thread::sleep(Duration::from_millis(1));
                    }
                    stopped.store(true, Ordering::SeqCst);
                    return Err(Unfillable::NoKind);
                }
                let printers = if whole { 12 } else { 9 };
                Ok(Answer {
                    printers,
                    pinned: 0,
                    added: printers,
                    bound: printers,
                    claim: Claim::Proved,
                    carried: None,
                    lattice_mm: None,
                    lattice_words: None,
                    assumptions: Vec::new(),
                    set_aside: Vec::new(),
                    steps: 1,
                    stopped_by: StoppedBy::Proof,
                    placements: Vec::new(),
                })
            },
        ),
        adopt: Arc::new(fill::adopt),
    }
}

fn app(held: bool, stopped: &Arc<AtomicBool>) -> App {
    let mut room = Room::rectangle(inches(88), inches(120), inches(108), inches(6));
    room.tape_tolerance = Some(Length::from_mm(25.4 / 4.0));
    let plan = Plan::new(Head::default(), room);
    let editor = editor_over(plan, None).with_filler(counting(held, stopped));
    let mut app = window(editor, vec2(1600.0, 1000.0), Theme::Light);
    app.key_press(Key::F9);
    settle(&mut app);
    app.get_by_label("Start").click();
    until(&mut app, |app| {
        app.query_by_label("Try each wall shorter").is_some()
    });
    app
}

/// Steps until something is so, which another thread has to bring about.
fn until(app: &mut App, so: impl Fn(&App) -> bool) {
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits for a thread, with a bound"
    )]
    let now = Instant::now;
    let end = now() + Duration::from_secs(20);
    while !so(app) {
        assert!(now() < end, "it never came");
        std::thread::sleep(Duration::from_millis(5));
        app.step();
    }
    settle(app);
}

#[test]
fn the_costs_of_all_walls_are_listed_the_dearest_first() {
    let mut app = app(false, &Arc::default());
    app.get_by_label("Try each wall shorter").click();
    let dear = "Wall 1 (7' 4\"): 1/4\" less costs 3 printers; measure it again before buying.";
    until(&mut app, |app| {
        app.query_by_label("Wall 4 (10' 0\"): 1/4\" less costs none.")
            .is_some()
    });
    let top = app.get_by_label(dear).rect().top();
    let cheap = app.get_by_label("Wall 2 (10' 0\"): 1/4\" less costs none.");
    assert!(top < cheap.rect().top());
    assert!(app.query_by_label("Stop trying").is_none());
    if let Some(folder) = std::env::var_os("PICTURES") {
        let picture = app.render().unwrap();
        picture
            .save(std::path::Path::new(&folder).join("fill-walls.png"))
            .unwrap();
    }
}

#[test]
fn trying_the_walls_can_be_stopped() {
    let stopped = Arc::new(AtomicBool::new(false));
    let mut app = app(true, &stopped);
    app.get_by_label("Try each wall shorter").click();
    until(&mut app, |app| app.query_by_label("Stop trying").is_some());
    assert!(!stopped.load(Ordering::SeqCst));
    app.get_by_label("Stop trying").click();
    until(&mut app, |_| stopped.load(Ordering::SeqCst));
    app.get_by_label("Stopped; 4 walls were not tried.");
    assert!(
        app.query_all_by_label_contains("less costs")
            .next()
            .is_none()
    );
}

/// The answer dropped takes the walls with it.
#[test]
fn dropping_the_answer_stops_it_too() {
    let stopped = Arc::new(AtomicBool::new(false));
    let mut app = app(true, &stopped);
    app.get_by_label("Try each wall shorter").click();
    until(&mut app, |app| app.query_by_label("Stop trying").is_some());
    app.get_by_label("Discard").click();
    until(&mut app, |_| stopped.load(Ordering::SeqCst));
    assert!(app.query_by_label("Stop trying").is_none());
}
