//! What the cards ask about electricity: the building's supply and other loads, circuits, panel, outlets, leakage and batteries.
//! Each figure is typed, seen in the plan and taken back.

use aislewright::plan::{
    Circuit, CircuitBuild, Conductor, Curve, Edit, Id, Item, Library, Panel, PhaseNo, Plan,
    Protection, Receptacle, Record, Supply,
};
use aislewright::stock::{FigureOrigin, KindId, PrinterKind, Runtime, UpsKind};
use aislewright::units::{Amps, Length, Minutes, Ratio, Volts, Watts};
use egui::accesskit::Role;
use egui::{Key, Modifiers, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::harness::{
    App, choose, click, editor_over, example, keep_picture, plan, settle, type_into, window,
};

/// The example without anything said of its supply and how its circuits are built.
fn unsaid() -> Plan {
    let plan = example();
    let circuits = plan.circuits().iter().map(|(id, circuit)| {
        let built = CircuitBuild::default();
        let circuit = Circuit {
            built,
            ..circuit.clone()
        };
        (id, Record::Circuit(circuit))
    });
    let panels = plan.items().iter().filter_map(|(id, item)| {
        let Item::Panel(panel) = item else {
            return None;
        };
        let panel = Panel {
            main: None,
            free: None,
            ..panel.clone()
        };
        Some((id, Record::Item(Box::new(Item::Panel(panel)))))
    });
    let said = Edit::Several(
        "Forget the supply".to_owned(),
        vec![
            Edit::Put(circuits.chain(panels).collect()),
            Edit::SetSupply(Box::default()),
        ],
    );
    let library = Library::builtin().unwrap();
    plan.edited(&library.stock, &said).unwrap()
}

/// A window high enough for a whole card.
fn tall() -> App {
    window(
        editor_over(unsaid(), None),
        vec2(1600.0, 9000.0),
        Theme::Light,
    )
}

/// The same with the card of that thing.
fn card_of(mark: &str) -> App {
    let mut app = tall();
    open(&mut app, mark);
    app
}

fn open(app: &mut App, mark: &str) {
    app.state_mut().select(id(mark));
    settle(app);
}

fn id(mark: &str) -> Id {
    mark.parse().unwrap()
}

/// How one figure is given.
enum Given {
    Typed(&'static str),
    Chosen(&'static str),
    Ticked,
}
use Given::{Chosen, Ticked, Typed};

/// Gives a figure and sees it in the plan; the step is taken back and the plan is as before; then it is given again, to stay.
fn given(app: &mut App, label: &str, how: &Given, is_there: impl Fn(&Plan) -> bool) {
    let before = plan(app).clone();
    assert!(!is_there(&before), "{label} is not there to begin with");
    for round in 0..2 {
        match how {
            Typed(words) => type_into(app, label, words),
            Chosen(words) => {
                app.get_by_role_and_label(Role::ComboBox, label).click();
                settle(app);
                // The list lies over everything else of that name, and comes after it.
                app.get_all_by_label(words).last().unwrap().click();
                settle(app);
            }
            Ticked => click(app, label),
        }
        assert!(is_there(plan(app)), "{label} is in the plan");
        if round == 0 {
            app.key_press_modifiers(Modifiers::COMMAND, Key::Z);
            settle(app);
            assert_eq!(plan(app), &before, "{label} is taken back in one step");
        }
    }
}

/// Types what is wrong: it is said beside the field, which is marked, and nothing changes.
fn refused(app: &mut App, label: &str, words: &str, says: &str) {
    let before = plan(app).clone();
    let steps = app.state().session().undo_len();
    type_into(app, label, words);
    app.get_by_label_contains(says);
    let field = app.get_by_role_and_label(Role::TextInput, label);
    assert!(
        field.accesskit_node().data().invalid().is_some(),
        "{label} is marked as wrong"
    );
    assert_eq!(plan(app), &before, "{label}: nothing was changed");
    let taken = app.state().session().undo_len();
    assert_eq!(taken, steps, "{label}: no step was taken");
}

#[test]
fn a_circuits_card_takes_how_it_is_built() {
    let mut app = tall();
    click(&mut app, "Open C01");
    assert_eq!(app.state().selection().lead(), Some(id("C01")));
    let built = |plan: &Plan| plan.circuits().get(id("C01")).unwrap().built.clone();
    given(&mut app, "curve", &Chosen("C: 5 to 10 times"), |p| {
        built(p).curve == Some(Curve::C)
    });
    given(&mut app, "poles", &Chosen("2 poles"), |p| {
        built(p).poles == Some(2)
    });
    given(&mut app, "begins on leg", &Chosen("L2"), |p| {
        built(p).leg.is_some_and(|leg| leg.number() == 1)
    });
    given(&mut app, "conductor", &Chosen("12 AWG"), |p| {
        built(p).conductor == Some(Conductor::Awg12)
    });
    let trip = Chosen("ground fault, 6 mA");
    given(&mut app, "leakage trip", &trip, |p| {
        built(p).protection == Some(Protection::GroundFault)
    });
    given(&mut app, "run", &Typed("48 ft"), |p| {
        built(p).run == Some(Length::from_inches(48 * 12))
    });
    refused(&mut app, "run", "round the corner", "is not understood");
    refused(&mut app, "run", "0", "1 mm to 1 km long");
    type_into(&mut app, "run", "");
    assert_eq!(built(plan(&app)).run, None, "estimated again");
}

/// The choices of a list as they stand, top down.
fn choices(app: &mut App, label: &str) -> Vec<String> {
    app.get_by_role_and_label(Role::ComboBox, label).click();
    settle(app);
    let mut rows: Vec<(f32, String)> = app
        .query_all_by_role(Role::Button)
        .filter(|node| node.accesskit_node().toggled().is_some())
        .map(|node| {
            let name = node.accesskit_node().label().unwrap_or_default();
            (node.rect().top(), name)
        })
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    app.get_by_role_and_label(Role::ComboBox, label).click();
    settle(app);
    rows.into_iter().map(|(_, name)| name).collect()
}

#[test]
fn choices_begin_with_what_the_practice_uses_and_know_the_legs_of_the_system() {
    let at = |list: &[String], name: &str| list.iter().position(|n| n == name);
    let mut app = card_of("C01");
    let sizes = choices(&mut app, "conductor");
    assert!(at(&sizes, "14 AWG").unwrap() < at(&sizes, "1.5 mm²").unwrap());
    let legs = choices(&mut app, "begins on leg");
    assert!(at(&legs, "L2").is_some(), "{legs:?}");
    assert_eq!(at(&legs, "L3"), None, "a split phase has two legs");
    open(&mut app, "O1");
    let patterns = choices(&mut app, "pattern");
    assert!(at(&patterns, "NEMA 5-15R").unwrap() < at(&patterns, "CEE 7/3 (type F)").unwrap());
    app.key_press(Key::Escape);
    settle(&mut app);
    choose(&mut app, "practice", "millimetres");
    choose(&mut app, "supply", "230/400 V");
    open(&mut app, "C01");
    let sizes = choices(&mut app, "conductor");
    assert!(at(&sizes, "14 AWG").unwrap() > at(&sizes, "1.5 mm²").unwrap());
    let legs = choices(&mut app, "begins on leg");
    assert!(at(&legs, "L3").is_some(), "three phases have three");
    open(&mut app, "O1");
    let patterns = choices(&mut app, "pattern");
    assert!(at(&patterns, "NEMA 5-15R").unwrap() > at(&patterns, "CEE 7/3 (type F)").unwrap());
}

#[test]
fn panel_and_outlet_say_main_breaker_free_places_and_pattern() {
    let mut app = card_of("E1");
    let panel = |plan: &Plan| match plan.items().get(id("E1")) {
        Some(Item::Panel(panel)) => panel.clone(),
        other => panic!("E1 is a panel: {other:?}"),
    };
    given(&mut app, "main breaker", &Typed("100"), |p| {
        panel(p).main == Some(Amps::fixed(100.0))
    });
    given(&mut app, "free places", &Typed("6"), |p| {
        panel(p).free == Some(6)
    });
    refused(
        &mut app,
        "main breaker",
        "100 V",
        "`100 V` is not understood",
    );
    refused(&mut app, "free places", "a few", "is no whole number");
    open(&mut app, "O1");
    given(&mut app, "pattern", &Chosen("NEMA 5-20R"), |p| {
        let outlet = p.items().get(id("O1"));
        matches!(outlet, Some(Item::Outlet(o)) if o.receptacle == Some(Receptacle::Nema5x20))
    });
}

#[test]
fn the_plans_card_takes_what_the_building_gives() {
    let mut app = tall();
    given(&mut app, "service", &Typed("200"), |p| {
        p.supply().service == Some(Amps::fixed(200.0))
    });
    given(&mut app, "feeder", &Typed("100 A"), |p| {
        p.supply().feeder == Some(Amps::fixed(100.0))
    });
    given(&mut app, "share of them", &Typed("60"), |p| {
        p.supply().share == Some(Ratio::fixed(0.6))
    });
    let higher = "Higher voltage for auto-ranging machines";
    given(&mut app, higher, &Ticked, |p| p.supply().higher_voltage);
    refused(&mut app, "share of them", "150%", "more than 100 %");
    refused(&mut app, "feeder", "thick", "is not understood");
    type_into(&mut app, "feeder", "");
    assert_eq!(plan(&app).supply().feeder, None, "nothing typed: unknown");
    // 230/400 V has none between two legs that machines for 230 V could take.
    click(&mut app, higher);
    choose(&mut app, "supply", "230/400 V");
    assert!(app.query_by_label(higher).is_none());
}

#[test]
fn other_loads_are_listed_changed_and_taken_off_a_step_a_time() {
    let mut app = tall();
    let loads = |plan: &Plan| plan.supply().loads.clone();
    given(&mut app, "Add the load of dryer", &Ticked, |p| {
        loads(p).len() == 1
    });
    click(&mut app, "Add the load of lights");
    given(&mut app, "load 1 name", &Typed("spool dryer"), |p| {
        loads(p)[0].name.as_str() == "spool dryer"
    });
    given(&mut app, "load 1 circuit", &Chosen("C02, 20 A"), |p| {
        loads(p)[0].circuit == Some(id("C02"))
    });
    given(&mut app, "load 1 running", &Typed("350"), |p| {
        loads(p)[0].running == Some(Watts::fixed(350.0))
    });
    given(&mut app, "load 1 peak", &Typed("0.8 kW"), |p| {
        loads(p)[0].peak == Some(Watts::fixed(800.0))
    });
    given(&mut app, "load 1 factor", &Typed("0.95"), |p| {
        loads(p)[0].power_factor == Some(Ratio::fixed(0.95))
    });
    given(
        &mut app,
        "load 1 arrives in",
        &Chosen("2 All 28 moved in"),
        |p| loads(p)[0].arrives == PhaseNo(2),
    );
    refused(&mut app, "load 1 factor", "120%", "outside 0 to 1");
    refused(&mut app, "load 1 name", " ", "has no name");
    refused(&mut app, "load 1 peak", "a lot", "is not understood");
    click(&mut app, "Remove C02");
    assert_eq!(loads(plan(&app))[0].circuit, None, "its circuit is gone");
    click(&mut app, "Remove load 1, spool dryer");
    let names: Vec<String> = loads(plan(&app))
        .iter()
        .map(|l| l.name.to_string())
        .collect();
    assert_eq!(names, ["lights"]);
    for _ in 1..Supply::MOST {
        click(&mut app, "Add the load of bench tools");
    }
    app.get_by_label("The list is full: it holds 50 loads at most.");
    assert!(app.query_by_label("Add the load of lights").is_none());
}

fn printer_kind(plan: &Plan) -> Option<&PrinterKind> {
    plan.kinds().printers.get(&KindId::new("open-220").unwrap())
}

#[test]
fn a_printers_card_takes_meter_readings_and_what_its_supply_does() {
    let mut app = card_of("P001");
    app.get_by_label_contains("Read them from a plug-in meter");
    given(&mut app, "figures from", &Chosen("metered"), |p| {
        printer_kind(p).is_some_and(|k| k.figures == FigureOrigin::Meter)
    });
    // Read back as typed: currents to earth are told in milliamperes.
    given(&mut app, "leakage", &Typed("0.75"), |p| {
        printer_kind(p).is_some_and(|k| k.leakage == Some(Amps::fixed(0.00075)))
    });
    let shown = app.get_by_role_and_label(Role::TextInput, "leakage");
    assert_eq!(shown.accesskit_node().value().as_deref(), Some("0.75 mA"));
    given(&mut app, "inrush", &Typed("30"), |p| {
        printer_kind(p).is_some_and(|k| k.inrush == Some(Amps::fixed(30.0)))
    });
    given(&mut app, "auto-ranging", &Chosen("100 to 240 V"), |p| {
        printer_kind(p).is_some_and(|k| k.auto_ranging == Some(true))
    });
    refused(&mut app, "leakage", "a tingle", "is not understood");
    refused(&mut app, "power factor", "120%", "above 0 and up to 1");
    refused(&mut app, "power factor", "0", "above 0 and up to 1");
}

fn ups_kind(plan: &Plan) -> Option<&UpsKind> {
    plan.kinds().ups.get(&KindId::new("ups-900").unwrap())
}

/// The runtimes as loads in watts and times in minutes.
fn runtimes(plan: &Plan) -> Vec<(f64, f64)> {
    let list = ups_kind(plan).map_or(&[][..], |k| &k.runtimes);
    list.iter()
        .map(|r| (r.load.value(), r.lasts.value()))
        .collect()
}

#[test]
fn a_ups_takes_the_makers_runtimes_in_any_order_and_refuses_what_cannot_be() {
    let mut app = card_of("U1");
    given(&mut app, "runtime 1", &Typed("450 W, 8 min"), |p| {
        runtimes(p) == [(450.0, 8.0)]
    });
    given(&mut app, "runtime 2", &Typed("200W 0.5h"), |p| {
        runtimes(p) == [(200.0, 30.0), (450.0, 8.0)]
    });
    refused(
        &mut app,
        "runtime 3",
        "300 W, 40 min",
        "carried for less time",
    );
    refused(&mut app, "runtime 3", "450, 7", "each load once");
    refused(&mut app, "runtime 3", "long", "is no load and time");
    refused(&mut app, "runtime 3", "300 W, 0 min", "above nought");
    type_into(&mut app, "runtime 1", "");
    assert_eq!(runtimes(plan(&app)), [(450.0, 8.0)], "an emptied row goes");
    for k in 2..=Runtime::MOST {
        let typed = format!(
            "{} W, {} min",
            450 + 10 * k,
            8.0 - 0.5 * f64::from(u32::try_from(k).unwrap())
        );
        type_into(&mut app, &format!("runtime {k}"), &typed);
    }
    assert_eq!(runtimes(plan(&app)).len(), Runtime::MOST);
    assert!(
        app.query_by_role_and_label(Role::TextInput, "runtime 13")
            .is_none()
    );
}

#[test]
fn a_ups_takes_its_battery_and_refuses_exponents_and_shares_that_cannot_be() {
    let mut app = card_of("U1");
    let battery = |plan: &Plan| ups_kind(plan).and_then(|k| k.battery);
    given(&mut app, "leakage", &Typed("1.5 mA"), |p| {
        ups_kind(p).is_some_and(|k| k.leakage == Some(Amps::fixed(0.0015)))
    });
    given(&mut app, "battery", &Typed("24V 9Ah"), |p| {
        battery(p).is_some_and(|b| {
            b.volts == Volts::fixed(24.0) && (b.capacity.value() - 9.0).abs() < 1e-12
        })
    });
    let begun = battery(plan(&app)).unwrap();
    let usual = Minutes::parse("20 h").unwrap();
    assert_eq!(begun.rated_over, usual, "20 h, as is usual");
    given(&mut app, "rated over", &Typed("10"), |p| {
        battery(p).is_some_and(|b| (b.rated_over.value() - 600.0).abs() < 1e-12)
    });
    given(&mut app, "exponent", &Typed("1.15"), |p| {
        battery(p).is_some_and(|b| b.exponent == Ratio::fixed(1.15))
    });
    given(&mut app, "on battery", &Typed("88"), |p| {
        battery(p).is_some_and(|b| b.efficiency == Some(Ratio::fixed(0.88)))
    });
    given(&mut app, "left at its age", &Typed("80%"), |p| {
        battery(p).is_some_and(|b| b.left == Some(Ratio::fixed(0.8)))
    });
    refused(&mut app, "exponent", "0.9", "lies between 1 and 2");
    refused(&mut app, "exponent", "2.1", "lies between 1 and 2");
    refused(&mut app, "on battery", "120%", "up to 100 %");
    refused(
        &mut app,
        "left at its age",
        "0",
        "that is left lies above 0 %",
    );
    refused(&mut app, "rated over", "0", "rated for is above nought");
    refused(&mut app, "battery", "24 V", "is no voltage and capacity");
    refused(&mut app, "battery", "0 V, 9 Ah", "voltage of the battery");
    type_into(&mut app, "battery", "");
    assert_eq!(battery(plan(&app)), None, "nothing typed: unknown");
    assert!(app.query_by_label("exponent").is_none());
}

/// Writes pictures of the cards at the usual width: `PICTURES=/tmp/supply cargo test --test editor pictures_of_electricity`.
/// Without the folder it only draws them.
#[test]
fn pictures_of_electricity() {
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let mut app = window(editor_over(example(), None), vec2(1600.0, 7000.0), theme);
        let keep = |app: &mut App, card: &str| {
            let picture = keep_picture(app, &format!("{card}-{name}.png"));
            assert_eq!(picture.width(), 1600);
        };
        type_into(&mut app, "feeder", "100 A");
        type_into(&mut app, "share of them", "150%");
        click(&mut app, "Add the load of cooling unit");
        click(&mut app, "Add the load of lights");
        type_into(&mut app, "load 1 factor", "120%");
        keep(&mut app, "plan");
        for mark in ["C01", "E1", "O1", "P001"] {
            open(&mut app, mark);
            keep(&mut app, mark);
        }
        open(&mut app, "U1");
        type_into(&mut app, "runtime 1", "300 W, 12 min");
        type_into(&mut app, "runtime 2", "450 W, 20 min");
        type_into(&mut app, "battery", "24 V, 9 Ah");
        keep(&mut app, "U1");
    }
}
