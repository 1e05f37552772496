//! How many gestures it takes to enter the example's room and its racks from nothing, by pointer and keyboard on labelled things
//! alone; what comes out is held against the example. A gesture is a click, a drag, a key chord or one typed value.

use aislewright::geometry::Point;
use aislewright::plan::{Item, Plan, WallPlace};
use aislewright::units::Length;
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, Pos2, Vec2};
use egui_kittest::kittest::{By, Queryable as _};

use crate::harness::{self, example};

/// A person at the window, whose gestures are counted.
struct Person {
    app: harness::App,
    gestures: usize,
}

impl Person {
    fn new() -> Self {
        Self {
            app: harness::app(),
            gestures: 0,
        }
    }

    fn settle(&mut self) {
        harness::settle(&mut self.app);
    }

    fn plan(&self) -> &Plan {
        harness::plan(&self.app)
    }

    fn chord(&mut self, modifiers: Modifiers, key: Key) {
        self.gestures += 1;
        self.app.key_press_modifiers(modifiers, key);
        self.settle();
    }

    fn click(&mut self, label: &str) {
        self.gestures += 1;
        self.app.get_by_label(label).scroll_to_me();
        self.settle();
        self.app.get_by_label(label).click();
        self.settle();
    }

    /// Opens a choice and picks one of it.
    fn choose(&mut self, label: &str, choice: &str) {
        self.gestures += 2;
        self.app
            .get_by_role_and_label(Role::ComboBox, label)
            .click();
        self.settle();
        self.app.query_all_by_label(choice).last().unwrap().click();
        self.settle();
    }

    fn type_text(&mut self, text: &str) {
        self.gestures += 1;
        self.app.event(Event::Text(text.to_owned()));
        self.settle();
    }

    /// A field is clicked, all of it selected, and a value typed and entered.
    fn fill_in(&mut self, label: &str, text: &str) {
        self.click(label);
        self.chord(Modifiers::COMMAND, Key::A);
        self.type_text(text);
        self.chord(Modifiers::NONE, Key::Enter);
    }

    /// Where a point of the room, in inches, is on the screen: between two corners that the floor's dimensions tell.
    fn on_screen(&self, x_in: f64, y_in: f64) -> Pos2 {
        let camera = self.app.state().camera().unwrap();
        camera.to_screen(Point::new(x_in * 25.4, y_in * 25.4))
    }

    /// An entry of the stock drawer, which is at the left.
    fn entry<'a>(&'a self, name: &'a str) -> egui_kittest::Node<'a> {
        self.app
            .query_all(By::new().role(Role::Button).label_contains(name))
            .find(|node| node.rect().left() < 60.0)
            .unwrap()
    }

    /// Drags an entry of the stock drawer to a place of the room; what is typed meanwhile counts by itself, and Tab goes to
    /// the next wall that is measured from.
    fn bring(&mut self, entry: &str, (x_in, y_in): (f64, f64), typed: &str, tabs: usize) {
        self.gestures += 1;
        self.entry(entry).scroll_to_me();
        self.settle();
        let from = self.entry(entry).rect().center();
        let to = self.on_screen(x_in, y_in);
        self.app.hover_at(from);
        self.app.step();
        self.app.drag_at(from);
        self.app.step();
        for share in [0.1_f32, 0.5, 0.9, 1.0] {
            self.app.hover_at(from + (to - from) * share);
            self.app.step();
        }
        self.app.hover_at(to + Vec2::splat(0.5));
        self.app.step();
        self.app.event(Event::Text(typed.to_owned()));
        self.gestures += 1;
        self.app.step();
        for _ in 0..tabs {
            self.gestures += 1;
            self.app.key_press(Key::Tab);
            self.app.step();
        }
        self.app.drop_at(to);
        self.settle();
    }
}

/// The room, and everything fixed in it that matters here, as lengths in a fixed order.
fn fixed(plan: &Plan) -> Vec<String> {
    let on = |at: WallPlace| format!("wall {} {:.2}", at.wall, at.along.mm());
    let mut told: Vec<String> = plan
        .items()
        .iter()
        .filter_map(|(_, item)| match item {
            Item::Door(d) => Some(format!(
                "door {} {:.2} {:.2} {:?} {:?} {:?} {}",
                on(d.at),
                d.width.mm(),
                d.height.mm(),
                d.clear.map(Length::mm),
                d.hinge,
                d.swing,
                d.way_out
            )),
            Item::Window(w) => Some(format!(
                "window {} {:.2} {:.2} {:.2} {} {}",
                on(w.at),
                w.width.mm(),
                w.sill.mm(),
                w.head.mm(),
                w.opens,
                w.way_out
            )),
            Item::Outlet(o) => Some(format!(
                "outlet {} {:.2} {}",
                on(o.at),
                o.height.mm(),
                o.receptacles
            )),
            Item::Column(_)
            | Item::Panel(_)
            | Item::Cooling(_)
            | Item::Fitting(_)
            | Item::Overhead(_)
            | Item::Light(_)
            | Item::Camera(_)
            | Item::Furniture(_)
            | Item::Zone(_)
            | Item::Rack(_)
            | Item::Ups(_)
            | Item::Dimension(_)
            | Item::Note(_) => None,
        })
        .collect();
    told.sort();
    let corners = plan.room().corners();
    told.extend(
        corners
            .iter()
            .map(|(x, y)| format!("corner {:.2} {:.2}", x.mm(), y.mm())),
    );
    told
}

/// A new plan whose walls are those of the example, walked with the tape.
fn walked() -> Person {
    let mut person = Person::new();
    person.chord(Modifiers::COMMAND, Key::N);
    person.click("West");
    person.click("Door from the north corner");
    person.chord(Modifiers::COMMAND, Key::A);
    person.type_text("7ft 4in");
    person.click("Create plan");
    person.chord(Modifiers::NONE, Key::F6);
    person.click("Tape walk");
    person.click("Walls of the room");
    person.chord(Modifiers::COMMAND, Key::A);
    for (k, wall) in [
        "26ft 4in left",
        "11ft 8in left",
        "26ft 4in left",
        "11ft 8in left",
    ]
    .into_iter()
    .enumerate()
    {
        if k > 0 {
            person.chord(Modifiers::NONE, Key::Enter);
        }
        person.type_text(wall);
    }
    person.click("Use this walk");
    person.chord(Modifiers::NONE, Key::F6);
    person
}

#[test]
#[expect(clippy::print_stdout, reason = "the count is what is asked for")]
fn gestures_room() {
    let mut person = walked();
    person.app.get_by_label_contains("Door D1 at ").click();
    person.gestures += 1;
    person.settle();
    person.choose("hangs", "at the far end");
    person.fill_in("clear width", "2ft 10in");
    person.bring("Window", (250.0, 4.0), "17ft 6in", 0);
    person.fill_in("width", "5ft");
    person.fill_in("sill", "3ft 4in");
    person.fill_in("head", "7ft");
    for (wall, typed) in [
        (2, "23ft 4in"),
        (2, "17ft 4in"),
        (2, "15ft 10in"),
        (2, "11ft 4in"),
        (2, "9ft 10in"),
        (2, "5ft 4in"),
        (2, "3ft 10in"),
        (1, "10ft 6in"),
        (0, "20ft"),
        (0, "5ft"),
    ] {
        let at = match wall {
            0 => (100.0, 3.0),
            1 => (313.0, 60.0),
            _ => (150.0, 137.0),
        };
        person.bring("Outlet", at, typed, 0);
    }
    person.fill_in("receptacles", "4");
    println!("gestures room: {}", person.gestures);
    assert_eq!(fixed(person.plan()), fixed(&example()));
    assert!(person.gestures <= 160, "{}", person.gestures);
}

/// Kind and place of the racks along the walls.
fn along_walls(plan: &Plan) -> Vec<String> {
    let mut told: Vec<String> = plan
        .items()
        .iter()
        .filter_map(|(_, item)| match item {
            Item::Rack(r) if !r.kind.to_string().contains("spool") => Some(format!(
                "{} {:.2} {:.2} {:.3}",
                r.kind,
                r.at.x.mm(),
                r.at.y.mm(),
                r.at.turn.degrees()
            )),
            Item::Rack(_)
            | Item::Door(_)
            | Item::Window(_)
            | Item::Outlet(_)
            | Item::Column(_)
            | Item::Panel(_)
            | Item::Cooling(_)
            | Item::Fitting(_)
            | Item::Overhead(_)
            | Item::Light(_)
            | Item::Camera(_)
            | Item::Furniture(_)
            | Item::Zone(_)
            | Item::Ups(_)
            | Item::Dimension(_)
            | Item::Note(_) => None,
        })
        .collect();
    told.sort();
    told
}

#[test]
#[expect(clippy::print_stdout, reason = "the count is what is asked for")]
fn gestures_racks() {
    let mut person = walked();
    person.gestures = 0;
    person.bring("Full rack 72", (50.0, 125.0), "4in", 1);
    for _ in 0..3 {
        person.chord(Modifiers::COMMAND, Key::B);
    }
    person.bring("Full rack 72", (62.0, 14.0), "2ft", 1);
    person.bring("Low rack 72", (240.0, 14.0), "3ft 4in", 1);
    println!("gestures racks: {}", person.gestures);
    assert_eq!(along_walls(person.plan()), along_walls(&example()));
    let plan = person.plan();
    assert_eq!(
        plan.printers().iter().count(),
        5 * 9 + 6,
        "all slots filled"
    );
    assert!(person.gestures <= 16, "{}", person.gestures);
}
