//! Laws that hold for every plan and every edit: derived anew equals derived step by step, undo restores, saving loses
//! nothing, a plan moved as a whole has the same findings.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use aislewright::checks::{Finding, Findings, Severity, Standing};
use aislewright::fill::{Ask, Asked, Headroom};
use aislewright::geometry::Point;
use aislewright::layout::Layout;
use aislewright::plan::{
    AcceptKey, Beyond, Blow, Body, Circuit, Dimension, Edit, End, Fan, Head, Heat, Id, Item,
    ItemKind, Label, Library, LimitChange, LimitChanges, Note, NoteText, Operator, OtherLoad,
    Outlet, Outline, OwnFamily, OwnKind, Phase, PhaseNo, Picture, Plan, Pose, Presence, Record,
    Room, Session, Side, Spot, Status, Supply, Tracing, Ups, UpsPlace, WallPlace,
};
use aislewright::stock::{Face, KindId, Prints};
use aislewright::storage;
use aislewright::units::{Amps, Angle, Celsius, Length, Ratio, UValue, Volts, Watts};
use common::{Dice, edited, example, id, judged, library, rack_at, small_room};

/// An edit of any kind; it may be one that is refused.
fn any_edit(dice: &mut Dice, plan: &Plan) -> Edit {
    let ids: Vec<Id> = plan.items().iter().map(|(id, _)| id).collect();
    let some = |dice: &mut Dice| {
        let k = usize::try_from(dice.roll(i32::try_from(ids.len()).unwrap())).unwrap();
        ids.get(k).copied().unwrap_or_else(|| id("R1"))
    };
    let length = |dice: &mut Dice| Length::from_mm_whole(dice.between(-800, 800));
    let fresh = |letter: &str| plan.fresh(id(&format!("{letter}1")).prefix(), 1)[0];
    match dice.roll(24) {
        0..=2 => Edit::Move(vec![some(dice)], (length(dice), length(dice))),
        3 => Edit::Turn(
            vec![some(dice)],
            Angle::from_degrees(f64::from(dice.between(0, 359))),
        ),
        4 => Edit::Remove(vec![some(dice)]),
        5 => {
            let rack = rack_at("low-72", dice.between(0, 3000), dice.between(0, 3000), 90.0);
            Edit::Put(vec![(fresh("R"), Record::Item(Box::new(rack)))])
        }
        6 => {
            let racks: Vec<Id> = plan
                .items()
                .iter()
                .filter(|(_, i)| matches!(i, Item::Rack(_)))
                .map(|(id, _)| id)
                .collect();
            let Some(rack) = racks.first() else {
                return Edit::Remove(vec![some(dice)]);
            };
            let printers: Vec<Id> = plan
                .printers()
                .iter()
                .filter(|(_, p)| p.slot.rack == *rack)
                .map(|(id, _)| id)
                .collect();
            if printers.is_empty() {
                Edit::Put(common::printers_of(plan, *rack, 1, 2))
            } else {
                Edit::Remove(printers)
            }
        }
        7 => {
            let circuit = Circuit {
                breaker: Amps::new(20.0).unwrap(),
                volts: Volts::new(120.0).unwrap(),
                panel: None,
                presence: Presence::default(),
                built: aislewright::plan::CircuitBuild::default(),
            };
            let (circuit_id, outlet_id, ups_id) = (fresh("C"), fresh("O"), fresh("U"));
            let outlet = Outlet {
                at: WallPlace::new(1, Length::from_mm_whole(dice.between(0, 3000))),
                height: Length::from_mm_whole(400),
                receptacles: 2,
                circuit: Some(circuit_id),
                presence: Presence::default(),
                receptacle: None,
            };
            let ups = Ups {
                kind: KindId::new("ups-900").unwrap(),
                stands: UpsPlace::OnFloor(Pose {
                    x: length(dice),
                    y: length(dice),
                    turn: Angle::default(),
                }),
                outlet: Some(outlet_id),
                presence: Presence::default(),
            };
            let printers = plan.printers().iter().take(3).map(|(id, p)| {
                let mut printer = p.clone();
                printer.power = Some(ups_id);
                (id, Record::Printer(printer))
            });
            let mut records = vec![
                (circuit_id, Record::Circuit(circuit)),
                (outlet_id, Record::Item(Box::new(Item::Outlet(outlet)))),
                (ups_id, Record::Item(Box::new(Item::Ups(ups)))),
            ];
            records.extend(printers);
            Edit::Several("Wire".to_owned(), vec![Edit::Put(records)])
        }
        8 => {
            let reason = Label::new("told so").unwrap();
            let changes = LimitChanges {
                aisle: Some(LimitChange {
                    value: Length::from_mm_whole(dice.between(700, 1200)),
                    reason,
                }),
                ..LimitChanges::default()
            };
            Edit::SetLimits(Box::new(changes))
        }
        9 if dice.roll(2) == 0 => set_operator(dice),
        9 => Edit::SetHead(Box::new(Head {
            hoped_for: Some(7),
            ..plan.head().clone()
        })),
        10 => Edit::SetPhases(vec![Phase::default(); usize::from(small(dice, 3))]),
        11 => {
            let mut several: Vec<Id> = (0..3).map(|_| some(dice)).collect();
            several.dedup();
            Edit::Move(several, (length(dice), length(dice)))
        }
        12..=14 => {
            let id = some(dice);
            put_again(dice, plan, id)
        }
        15 => put_or_take_kind(dice, plan),
        16 => accept_or_reopen(dice, plan),
        17 => refused(dice),
        18 => trace(dice, plan),
        19 | 20 => write(dice, plan, &ids),
        21 => say_of_heat(dice, plan),
        22 => say_of_supply(dice, plan),
        _ => {
            let ceiling = Length::from_mm_whole(dice.between(2300, 3000));
            let mut room = Room {
                ceiling,
                ..plan.room().clone()
            };
            if let Outline::Corners(corners) = &mut room.outline
                && let Some(corner) = corners.get_mut(usize::from(small(dice, 6)))
            {
                corner.0 += length(dice);
            }
            Edit::SetRoom(Box::new(room))
        }
    }
}

/// An end of any sort; it may be one that nothing can be fastened to.
fn any_end(dice: &mut Dice, ids: &[Id]) -> End {
    let k = usize::try_from(dice.roll(i32::try_from(ids.len()).unwrap())).unwrap();
    let thing = ids.get(k).copied().unwrap_or_else(|| id("R1"));
    let wall = u16::from(small(dice, 4) - 1);
    let spot = Spot::ALL[usize::from(small(dice, 9) - 1)];
    let length = |dice: &mut Dice| Length::from_mm_whole(dice.between(0, 3000));
    match dice.roll(5) {
        0 => End::Point(length(dice), length(dice)),
        1 => End::Wall(WallPlace::new(wall, length(dice))),
        2 => End::SquareToWall(wall),
        3 => End::SquareTo(thing, Face::Left),
        _ => End::Of(thing, spot),
    }
}

/// A dimension or a note, new or in the place of one that is there.
fn write(dice: &mut Dice, plan: &Plan, ids: &[Id]) -> Edit {
    let kind = if dice.roll(2) == 0 {
        ItemKind::Dimension
    } else {
        ItemKind::Note
    };
    let there = ids.iter().copied().find(|i| i.prefix() == kind.prefix());
    let mark = there
        .filter(|_| dice.roll(2) == 0)
        .unwrap_or_else(|| plan.fresh(kind.prefix(), 1)[0]);
    let presence = Presence {
        arrives: PhaseNo(small(dice, 2)),
        ..Presence::default()
    };
    let at = (
        Length::from_mm_whole(dice.between(0, 3000)),
        Length::from_mm_whole(dice.between(0, 3000)),
    );
    let (from, to) = (any_end(dice, ids), any_end(dice, ids));
    let item = if kind == ItemKind::Dimension {
        Item::Dimension(Dimension {
            from,
            to,
            offset: Length::from_mm_whole(dice.between(-900, 900)),
            presence,
        })
    } else {
        Item::Note(Note {
            text: NoteText::new("“Here”,\nand \\ there: ümlaut").unwrap(),
            at,
            pointer: (dice.roll(3) > 0).then_some(to),
            presence,
        })
    };
    Edit::Put(vec![(mark, Record::Item(Box::new(item)))])
}

/// From 1 to `most`.
fn small(dice: &mut Dice, most: u8) -> u8 {
    u8::try_from(dice.between(1, i32::from(most))).unwrap()
}

/// An item put again in place of itself: coming and going in other phases, pinned, another status; a UPS at a rack's foot.
fn put_again(dice: &mut Dice, plan: &Plan, id: Id) -> Edit {
    let Some(mut item) = plan.items().get(id).cloned() else {
        return Edit::Remove(vec![id]);
    };
    let arrives = PhaseNo(small(dice, 2));
    *item.presence_mut() = Presence {
        arrives,
        leaves: (dice.roll(3) == 0).then_some(PhaseNo(arrives.0 + 1)),
        status: Status::ALL[usize::from(small(dice, 4) - 1)],
        moved_from: (dice.roll(3) == 0).then_some(id),
        pinned: dice.roll(2) == 0,
        note: Label::new("as told").unwrap(),
    };
    let rack = plan
        .items()
        .iter()
        .find(|(_, i)| matches!(i, Item::Rack(_)));
    if let (Item::Ups(ups), Some((rack, _))) = (&mut item, rack) {
        ups.stands = UpsPlace::OnRack(rack);
    }
    if let Item::Cooling(unit) = &mut item {
        unit.blow = any_blow(dice);
    }
    Edit::Put(vec![(id, Record::Item(Box::new(item)))])
}

/// A vane, louvres and a fan speed, some of them as the kind has them.
fn any_blow(dice: &mut Dice) -> Blow {
    let angle = |degrees: i32| Angle::from_degrees(f64::from(degrees));
    let maybe = |dice: &mut Dice| (dice.roll(2) == 0).then(|| angle(dice.between(-40, 60)));
    Blow {
        down: maybe(dice),
        deflector: maybe(dice),
        aside: angle(dice.between(-30, 30)),
        swing: angle(dice.roll(2) * 25),
        fan: match dice.roll(4) {
            0 => Fan::Top,
            n => Fan::Lower(u8::try_from(n).unwrap()),
        },
    }
}

/// Takes a kind of the plan's own out again, used or not, or puts one.
fn put_or_take_kind(dice: &mut Dice, plan: &Plan) -> Edit {
    let kinds = plan.kinds();
    let racks = kinds.racks.keys().map(|id| (OwnFamily::Racks, id));
    let printers = kinds.printers.keys().map(|id| (OwnFamily::Printers, id));
    match racks.chain(printers).next() {
        Some((family, id)) if dice.roll(3) > 0 => Edit::TakeKind(family, id.clone()),
        _ => put_kind(dice),
    }
}

/// A kind of the plan's own in place of a built-in one, some with a figure that nobody entered.
fn put_kind(dice: &mut Dice) -> Edit {
    let stock = &library().stock;
    let kind = |name: &str| KindId::new(name).unwrap();
    match dice.roll(3) {
        0 => {
            let id = kind("open-220");
            let mut own = stock.printers[&id].clone();
            own.height = Length::from_mm_whole(dice.between(400, 700));
            own.peak = None;
            own.prints = (own.height > Length::from_mm_whole(550)).then_some(Prints::Easy);
            Edit::PutKind(id, Box::new(OwnKind::Printer(own)))
        }
        1 => {
            let id = kind("short-48");
            let mut own = stock.racks[&id].clone();
            own.depth = Length::from_mm_whole(dice.between(500, 700));
            own.closed = [Face::Back, Face::Left].into_iter().collect();
            if own.depth > Length::from_mm_whole(600) {
                own.closed.clear();
            }
            Edit::PutKind(id, Box::new(OwnKind::Rack(own)))
        }
        _ => {
            let id = kind("wall-24k");
            let mut own = stock.cooling[&id].clone();
            own.top_flow = None;
            Edit::PutKind(id, Box::new(OwnKind::Cooling(own)))
        }
    }
}

/// Accepts a finding of the plan, or reopens one that is accepted.
fn accept_or_reopen(dice: &mut Dice, plan: &Plan) -> Edit {
    if let Some(key) = plan.accepted().keys().next()
        && dice.roll(2) == 0
    {
        return Edit::Accept(key.clone(), None);
    }
    let (_, findings) = judged(&Arc::new(plan.clone()), 1);
    let key = findings
        .iter()
        .find(|f| f.severity == Severity::Caution && !plan.accepted().contains_key(&f.accept_key()))
        .map_or_else(
            || AcceptKey(Label::new("window W1").unwrap()),
            Finding::accept_key,
        );
    Edit::Accept(key, Some(Label::new("seen and borne").unwrap()))
}

/// An edit that no plan can take.
fn refused(dice: &mut Dice) -> Edit {
    match dice.roll(4) {
        0 => Edit::Remove(vec![id("R999")]),
        1 => Edit::Several(
            "Outer".to_owned(),
            vec![Edit::Several("Inner".to_owned(), Vec::new())],
        ),
        2 => {
            let rack = rack_at("short-48", 0, 0, 0.0);
            Edit::Put(vec![(id("D7"), Record::Item(Box::new(rack)))])
        }
        _ => Edit::SetPhases(Vec::new()),
    }
}

/// A picture laid, or the one there moved, turned, faded or taken away.
fn trace(dice: &mut Dice, plan: &Plan) -> Edit {
    let Some((tracing, _)) = plan.traced() else {
        let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
        bytes.extend((0..dice.between(0, 400)).map(|n| n.to_le_bytes()[0]));
        let mut length = || Length::from_mm_whole(dice.between(-800, 800));
        let at = (length(), length());
        let tracing = Tracing {
            name: Label::new("scan.png").unwrap(),
            at,
            width: Length::from_mm_whole(dice.between(2300, 9000)),
            turn: Angle::ZERO,
            opacity: 60,
            hidden: false,
        };
        return Edit::LayPicture(Box::new(tracing), Picture::new(bytes));
    };
    let next = Tracing {
        turn: tracing.turn + Angle::QUARTER,
        hidden: !tracing.hidden,
        ..tracing.clone()
    };
    Edit::Trace((dice.roll(3) > 0).then(|| Box::new(next)))
}

/// Something said of the room's heat, or taken back; now and then of a wall that is not there.
fn say_of_heat(dice: &mut Dice, plan: &Plan) -> Edit {
    let said = dice.roll(3) > 0;
    let side = Side {
        beyond: Some(if dice.roll(2) == 0 {
            Beyond::AsWarm
        } else {
            Beyond::Outdoors
        }),
        u: said.then(|| UValue::fixed(0.8)),
    };
    let wall = u16::from(small(dice, 6)) - 1;
    let heat = Heat {
        people: said.then_some(small(dice, 4)),
        indoors: said.then(|| Celsius::fixed(24.0)),
        outdoors: said.then(|| Celsius::fixed(f64::from(dice.between(10, 38)))),
        ceiling: side,
        ..plan.heat().clone()
    };
    Edit::SetHeat(Box::new(heat.with_wall(wall, side)))
}

/// Something said of the supply: a feeder, a share, another load, now and then on a circuit that is not there.
fn say_of_supply(dice: &mut Dice, plan: &Plan) -> Edit {
    let circuit = plan.circuits().iter().map(|(id, _)| id).next();
    let circuit = circuit.filter(|_| dice.roll(3) > 0);
    let load = OtherLoad {
        name: Label::new("bench tools").unwrap(),
        circuit: if dice.roll(8) == 0 {
            Some(id("C999"))
        } else {
            circuit
        },
        running: Some(Watts::fixed(f64::from(dice.between(0, 2500)))),
        peak: (dice.roll(2) == 0).then(|| Watts::fixed(3000.0)),
        power_factor: Some(Ratio::fixed(1.0)),
        arrives: PhaseNo(small(dice, 2)),
    };
    Edit::SetSupply(Box::new(Supply {
        feeder: Some(Amps::fixed(f64::from(dice.between(20, 100)))),
        share: (dice.roll(2) == 0).then(|| Ratio::fixed(0.8)),
        loads: (dice.roll(3) > 0).then_some(load).into_iter().collect(),
        ..plan.supply().clone()
    }))
}

/// Another operator: a model one, or one that somebody measured; now and then with the grip below the shoulder.
fn set_operator(dice: &mut Dice) -> Edit {
    let mut height = |low: i32, high: i32| {
        let measured = dice.roll(2) == 0;
        let height = Length::from_mm_whole(dice.between(low, high));
        measured.then_some(height)
    };
    let (grip, shoulder) = (height(1400, 2200), height(1200, 1500));
    let bodies = [Body::Public, Body::Women, Body::Men];
    Edit::SetOperator(Operator {
        body: bodies[usize::from(small(dice, 3)) - 1],
        shoes: dice.roll(2) == 0,
        grip,
        shoulder,
    })
}

/// The name of an edit's variant.
fn variant(edit: &Edit) -> &'static str {
    match edit {
        Edit::Put(_) => "put",
        Edit::Remove(_) => "remove",
        Edit::Move(..) => "move",
        Edit::Turn(..) => "turn",
        Edit::SetHead(_) => "head",
        Edit::SetRoom(_) => "room",
        Edit::SetPhases(_) => "phases",
        Edit::SetLimits(_) => "limits",
        Edit::SetOperator(_) => "operator",
        Edit::SetHeat(_) => "heat",
        Edit::SetSupply(_) => "supply",
        Edit::PutKind(..) => "kind",
        Edit::TakeKind(..) => "take a kind",
        Edit::Accept(..) => "accept",
        Edit::LayPicture(..) => "lay a picture",
        Edit::Trace(_) => "trace",
        Edit::Several(..) => "several",
    }
}

#[test]
fn step_by_step_is_the_same_as_anew_and_undo_restores() {
    let library = library();
    let mut made: BTreeMap<&str, u32> = BTreeMap::new();
    for seed in 0..140 {
        let mut dice = Dice::new(seed + 1000);
        // Small rooms, and between them the example with its wiring.
        let (start, phase) = if seed % 6 == 0 {
            (example(), PhaseNo(small(&mut dice, 3)))
        } else {
            (small_room(seed), PhaseNo(small(&mut dice, 2)))
        };
        let mut session = Session::opened(start.as_ref().clone());
        let mut layout = Layout::of(library, session.plan(), phase);
        let mut findings = Findings::of(&layout);
        let mut versions = vec![Arc::clone(session.plan())];
        for _ in 0..14 {
            let edit = any_edit(&mut dice, session.plan());
            let before = Arc::clone(session.plan());
            if session.apply(&library.stock, &edit).is_err() {
                assert!(
                    Arc::ptr_eq(&before, session.plan()),
                    "a refused edit changes nothing: {edit:?}"
                );
                continue;
            }
            if Arc::ptr_eq(&before, session.plan()) {
                continue;
            }
            *made.entry(variant(&edit)).or_default() += 1;
            assert!(
                session.plan().audit(&library.stock).is_empty(),
                "the plan is whole after {edit:?}"
            );
            let next = layout.step(library, session.plan());
            findings = findings.step(&layout, &next);
            layout = next;
            let anew = Layout::of(library, session.plan(), phase);
            assert_eq!(layout, anew, "room {seed}: after {edit:?}");
            assert_eq!(findings, Findings::of(&anew), "room {seed}: after {edit:?}");
            versions.push(Arc::clone(session.plan()));
        }
        for k in (1..versions.len()).rev() {
            assert_eq!(session.plan(), &versions[k]);
            assert!(session.undo(), "there is a step to take back");
            assert_eq!(session.plan(), &versions[k - 1], "undo restores");
        }
        assert!(!session.undo(), "nothing more to take back");
        for version in versions.iter().skip(1) {
            assert!(session.redo(), "there is a step to make again");
            assert_eq!(session.plan(), version, "redo repeats");
        }
    }
    assert!(
        made.len() == 17 && made.values().all(|n| *n >= 5),
        "some edits are hardly tried: {made:?}"
    );
}

/// An edit in a hall that leaves the ground as it is: things moved a little or far, turned, taken away, printers taken out and
/// plugged elsewhere.
fn hall_edit(dice: &mut Dice, plan: &Plan) -> Edit {
    let pick = |dice: &mut Dice, of: &[Id]| {
        let k = usize::try_from(dice.roll(i32::try_from(of.len()).unwrap())).unwrap();
        of.get(k).copied().unwrap_or_else(|| id("R1"))
    };
    let ids = |wanted: &dyn Fn(&Item) -> bool| -> Vec<Id> {
        let items = plan.items().iter().filter(|(_, i)| wanted(i));
        items.map(|(id, _)| id).collect()
    };
    let all = ids(&|_| true);
    let racks = ids(&|i| matches!(i, Item::Rack(_)));
    // Walls, zones, doors and units are few: each kind is picked as often as racks are.
    let kinds: Vec<Vec<Id>> = ["A", "D", "E", "K", "O", "R", "U", "W", "Z"]
        .iter()
        .map(|letter| {
            let of_kind = all.iter().filter(|id| id.to_string().starts_with(letter));
            of_kind.copied().collect()
        })
        .collect();
    let printers: Vec<Id> = plan.printers().iter().map(|(id, _)| id).collect();
    let mm = |dice: &mut Dice, most: i32| Length::from_mm_whole(dice.between(-most, most));
    match dice.roll(9) {
        0 | 1 => Edit::Move(vec![pick(dice, &racks)], (mm(dice, 40), mm(dice, 40))),
        2 => Edit::Move(vec![pick(dice, &racks)], (mm(dice, 3000), mm(dice, 3000))),
        3 | 4 => {
            let k = usize::try_from(dice.roll(9)).unwrap();
            let some = pick(dice, &kinds[k]);
            Edit::Move(vec![some], (mm(dice, 900), mm(dice, 900)))
        }
        5 => Edit::Turn(
            vec![pick(dice, &racks)],
            Angle::from_degrees(f64::from(dice.between(1, 359))),
        ),
        6 => Edit::Remove(vec![pick(dice, &all)]),
        7 => Edit::Remove(vec![pick(dice, &printers)]),
        _ => {
            let (from, like) = (pick(dice, &printers), pick(dice, &printers));
            let target = plan.printers().get(like).and_then(|p| p.power);
            let Some(mut printer) = plan.printers().get(from).cloned() else {
                return Edit::Remove(vec![from]);
            };
            printer.power = target.filter(|_| dice.roll(4) > 0);
            Edit::Put(vec![(from, Record::Printer(printer))])
        }
    }
}

#[test]
fn in_a_hall_of_racks_step_by_step_is_the_same_as_anew() {
    let library = library();
    let (mut made, mut kept) = (0, 0);
    for seed in 0..8 {
        let mut dice = Dice::new(seed + 5000);
        let mut plan = common::hall::hall(library, 120, 5);
        let mut layout = Layout::of(library, &plan, PhaseNo(1));
        let mut findings = Findings::of(&layout);
        for _ in 0..40 {
            let edit = hall_edit(&mut dice, &plan);
            let Ok(next) = plan.edited(&library.stock, &edit) else {
                continue;
            };
            plan = Arc::new(next);
            let stepped = layout.step(library, &plan);
            let after = findings.step(&layout, &stepped);
            let anew = Layout::of(library, &plan, PhaseNo(1));
            assert_eq!(stepped, anew, "hall {seed}: after {edit:?}");
            let all = Findings::of(&anew);
            for (f, g) in after.iter().zip(all.iter()) {
                assert_eq!(f, g, "hall {seed}: after {edit:?}");
            }
            assert_eq!(after, all, "hall {seed}: after {edit:?}");
            // What was not judged again is the very same finding, which tells that the narrow rules were used at all.
            let before: BTreeSet<*const Finding> =
                findings.iter().map(std::ptr::from_ref).collect();
            let same = |f: &&Finding| before.contains(&std::ptr::from_ref(*f));
            made += after.iter().count();
            kept += after.iter().filter(same).count();
            (layout, findings) = (stepped, after);
        }
    }
    assert!(kept * 10 > made * 7, "{kept} of {made} findings were kept");
}

#[test]
fn what_no_plan_can_take_is_refused_with_a_reason() {
    let library = library();
    for seed in 0..40 {
        let edit = refused(&mut Dice::new(seed));
        let why = small_room(seed)
            .edited(&library.stock, &edit)
            .expect_err("it is refused");
        let words = why.to_string();
        assert!(words.contains("nothing was changed"), "{words}");
    }
}

#[test]
fn what_is_saved_reads_back_equal_and_the_same_again() {
    let library = library();
    for seed in 0..40 {
        let mut dice = Dice::new(seed + 2000);
        let mut plan = if seed % 8 == 0 {
            example()
        } else {
            small_room(seed)
        };
        for _ in 0..8 {
            let edit = any_edit(&mut dice, &plan);
            if let Ok(next) = plan.edited(&library.stock, &edit) {
                plan = Arc::new(next);
            }
        }
        let text = storage::text_of(&plan).expect("every plan can be written");
        let opened = storage::plan_of(library, "again", text.as_bytes()).expect("and read");
        assert_eq!(opened.plan, *plan, "room {seed}");
        assert_eq!(
            storage::text_of(&opened.plan).expect("written again"),
            text,
            "the text is canonical"
        );
    }
}

/// The plan with its corners and everything on its floor moved by the same amount.
fn moved_whole(library: &Library, plan: &Plan, dx: Length, dy: Length) -> Arc<Plan> {
    let mut room = plan.room().clone();
    if let Outline::Corners(corners) = &mut room.outline {
        for corner in corners {
            *corner = (corner.0 + dx, corner.1 + dy);
        }
    }
    let standing: Vec<Id> = plan
        .items()
        .iter()
        .filter(|(_, i)| i.pose().is_some())
        .map(|(id, _)| id)
        .collect();
    let edit = Edit::Several(
        "Move everything".to_owned(),
        vec![
            Edit::SetRoom(Box::new(room)),
            Edit::Move(standing, (dx, dy)),
        ],
    );
    Arc::new(plan.edited(&library.stock, &edit).unwrap())
}

#[test]
fn a_plan_moved_as_a_whole_has_the_same_findings() {
    let by = (Length::from_mm_whole(12_345), Length::from_mm_whole(-6_789));
    let same_in = |name: &str, plan: &Arc<Plan>, phase: u8| {
        let far = moved_whole(library(), plan, by.0, by.1);
        let (_, here) = judged(plan, phase);
        let (_, there) = judged(&far, phase);
        let row = |f: &Finding| {
            (
                f.key(),
                f.items.clone(),
                f.standing,
                f.severity,
                f.text.clone(),
            )
        };
        let a: Vec<_> = here.iter().map(row).collect();
        let b: Vec<_> = there.iter().map(row).collect();
        assert_eq!(a, b, "{name}");
        for (f, g) in here.iter().zip(there.iter()) {
            let off = match (f.measured, g.measured) {
                (Some(a), Some(b)) => (a - b).abs(),
                (None, None) => 0.0,
                _ => f64::INFINITY,
            };
            assert!(off < 0.01, "{name}: {} against {}", f.text, g.text);
            let shift = match (f.at, g.at) {
                (Some(a), Some(b)) => b.point - a.point,
                _ => Point::new(by.0.mm(), by.1.mm()),
            };
            assert!(
                shift.distance(Point::new(by.0.mm(), by.1.mm())) < 0.01,
                "{name}: it points elsewhere: {}",
                f.text
            );
        }
    };
    for seed in 0..60 {
        same_in(&format!("room {seed}"), &small_room(seed), 1);
    }
    for phase in 1..=3 {
        same_in("the example", &example(), phase);
    }
}

/// What is only written on the floor has no body: nothing that is measured, judged or counted changes with it.
#[test]
fn dimensions_and_notes_change_no_finding_and_no_count() {
    let without = |plan: &Arc<Plan>| {
        let written = plan.items().iter().filter(|(_, i)| i.kind().is_written());
        let ids: Vec<Id> = written.map(|(id, _)| id).collect();
        (edited(plan, &Edit::Remove(ids.clone())), ids.len())
    };
    let mut seen = 0;
    for seed in 0..60 {
        let mut dice = Dice::new(seed + 4000);
        let (mut plan, phase) = if seed % 6 == 0 {
            (example(), small(&mut dice, 3))
        } else {
            (small_room(seed), 1)
        };
        for _ in 0..6 {
            let ids: Vec<Id> = plan.items().iter().map(|(id, _)| id).collect();
            let edit = write(&mut dice, &plan, &ids);
            if let Ok(next) = plan.edited(&library().stock, &edit) {
                plan = Arc::new(next);
            }
        }
        let (bare, count) = without(&plan);
        seen += count;
        let (with, findings) = judged(&plan, phase);
        let (bare, bare_findings) = judged(&bare, phase);
        assert_eq!(findings, bare_findings, "room {seed}");
        assert_eq!(Headroom::of(&with), Headroom::of(&bare), "room {seed}");
        let problem = |layout: &Layout| {
            let ask = Ask {
                floor_only: false,
                phase: layout.phase(),
                kinds: None,
                part: None,
                steps: 1,
            };
            let asked = Asked::of(library(), layout.plan(), &ask).unwrap();
            format!("{:?} {}", asked.problem, asked.pinned)
        };
        assert_eq!(problem(&with), problem(&bare), "room {seed}");
    }
    assert!(seen > 100, "{seen} are enough to see something");
}

#[test]
fn racks_that_touch_do_not_overlap() {
    let room = Room::rectangle(
        Length::from_feet(20),
        Length::from_feet(20),
        Length::from_feet(9),
        Length::from_inches(6),
    );
    // A rack is 48 by 24 in: end to end the next one stands 48 in along the width, back to back 24 in along the depth.
    for turn in [0.0, 90.0, 180.0, 270.0, 17.0, 45.0, 211.5] {
        let angle = Angle::from_degrees(turn);
        let (sin, cos) = angle.sin_cos();
        let (width, depth) = (Length::from_inches(48).mm(), Length::from_inches(24).mm());
        let standing = |(x, y): (f64, f64)| {
            let mut plan = Arc::new(Plan::new(Head::default(), room.clone()));
            for (mark, at) in [("R1", (0.0, 0.0)), ("R2", (x, y))] {
                let item = rack_at("short-48", 0, 0, 0.0).with_pose(Pose {
                    x: Length::from_mm(2800.0 + at.0),
                    y: Length::from_mm(2800.0 + at.1),
                    turn: angle,
                });
                plan = edited(
                    &plan,
                    &Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))]),
                );
            }
            let (_, findings) = judged(&plan, 1);
            let fits = findings.of_check("fits").iter();
            fits.filter(|f| f.standing == Standing::Broken).count()
        };
        let along = |mm: f64| (mm * cos, mm * sin);
        let behind = |mm: f64| (-mm * sin, mm * cos);
        assert_eq!(standing(along(width)), 0, "end to end at {turn} degrees");
        assert_eq!(standing(behind(depth)), 0, "back to back at {turn} degrees");
        assert_eq!(
            standing(along(width - 0.1)),
            1,
            "0.1 mm in at {turn} degrees"
        );
        assert_eq!(
            standing(behind(depth - 0.1)),
            1,
            "0.1 mm in at {turn} degrees"
        );
    }
}
