//! Dimensions and notes in a plan: what they are fastened to they follow; with it they go, are copied and move from a phase on;
//! the file keeps them. What the tape reads between things, and racks turned to walls at any angle.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::sync::Arc;

use aislewright::geometry::Point;
use aislewright::layout::{Across, Layout, Met, arrange};
use aislewright::plan::{
    Dimension, Edit, End, Head, Id, Item, Note, NoteText, NoteTextError, Outline, PhaseNo, Plan,
    Pose, Presence, Rebuild, Record, Room, Session, Spot, WallPlace,
};
use aislewright::stock::Face;
use aislewright::storage;
use aislewright::units::{Angle, Length};
use common::{edited, example, id, library, rack_at};

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

fn item(mark: &str, item: Item) -> Edit {
    Edit::Put(vec![(id(mark), Record::Item(Box::new(item)))])
}

fn dimension(from: End, to: End) -> Item {
    Item::Dimension(Dimension {
        from,
        to,
        offset: mm(300),
        presence: Presence::default(),
    })
}

fn note(text: &str, pointer: Option<End>) -> Item {
    Item::Note(Note {
        text: NoteText::new(text).unwrap(),
        at: (mm(1000), mm(1000)),
        pointer,
        presence: Presence::default(),
    })
}

/// A room of 6 by 5 m; racks of 1219.2 by 609.6 mm (48 by 24 in) looking down the sheet, R2 1 m to the right of R1.
fn two_racks() -> Arc<Plan> {
    let room = Room::rectangle(mm(6000), mm(5000), mm(2700), mm(150));
    let plan = Plan::new(Head::default(), room);
    let plan = edited(&plan, &item("R1", rack_at("short-48", 1000, 2000, 0.0)));
    let second = rack_at("short-48", 0, 0, 0.0).with_pose(Pose {
        x: Length::from_mm(1000.0 + 1219.2 + 1000.0),
        y: mm(2000),
        turn: Angle::default(),
    });
    edited(&plan, &item("R2", second))
}

fn layout(plan: &Arc<Plan>) -> Layout {
    Layout::of(library(), plan, PhaseNo(1))
}

/// The distance that a dimension shows.
fn shows(plan: &Arc<Plan>, mark: &str) -> f64 {
    let layout = layout(plan);
    layout
        .part(id(mark))
        .unwrap()
        .dimension
        .unwrap()
        .length_mm()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.01
}

fn right_of_r1() -> End {
    End::Of(id("R1"), Spot::Right)
}

#[test]
fn a_dimension_follows_what_it_is_fastened_to() {
    let plan = two_racks();
    let across = dimension(right_of_r1(), End::SquareTo(id("R2"), Face::Left));
    let plan = edited(&plan, &item("M1", across));
    let to_wall = dimension(End::Of(id("R1"), Spot::Back), End::SquareToWall(2));
    let plan = edited(&plan, &item("M2", to_wall));
    let corner = dimension(End::Wall(WallPlace::new(0, Length::ZERO)), right_of_r1());
    let plan = edited(&plan, &item("M3", corner));
    assert!(near(shows(&plan, "M1"), 1000.0));
    // R1 reaches up to 2609.6 mm of 5000.
    assert!(near(shows(&plan, "M2"), 5000.0 - 2609.6));
    // Its right side's middle is 2219.2 right of and 2304.8 above the first corner.
    assert!(near(shows(&plan, "M3"), 2219.2_f64.hypot(2304.8)));
    let moved = Edit::Move(vec![id("R2")], (mm(250), mm(70)));
    let moved = edited(&plan, &moved);
    assert!(near(shows(&moved, "M1"), 1250.0), "still straight across");
    let line = layout(&moved)
        .part(id("M1"))
        .unwrap()
        .dimension
        .unwrap()
        .line;
    assert!(
        near(line.0.y, line.1.y) && near(line.0.y, 2304.8 + 300.0),
        "{line:?}"
    );
    // The corners of the room: the wall above is pushed out by 400 mm.
    let shift = Rebuild::Shift {
        wall: 2,
        out: mm(400),
    };
    let wider = edited(&plan, &plan.rebuilt(&library().stock, &shift).unwrap());
    assert!(near(shows(&wider, "M2"), 5400.0 - 2609.6));
    // Turned half about, R1's right side looks the other way.
    let about = Edit::Turn(vec![id("R1")], Angle::QUARTER + Angle::QUARTER);
    let about = edited(&plan, &about);
    assert!(near(shows(&about, "M1"), 1000.0 + 1219.2));
}

#[test]
fn it_goes_with_what_it_is_fastened_to_and_comes_back_with_it() {
    let plan = two_racks();
    let plan = edited(
        &plan,
        &item("M1", dimension(right_of_r1(), End::Point(mm(9), mm(9)))),
    );
    let plan = edited(&plan, &item("Q1", note("Here", Some(right_of_r1()))));
    let mut session = Session::opened(plan.as_ref().clone());
    let gone = Edit::Remove(vec![id("R1")]);
    session.apply(&library().stock, &gone).unwrap();
    let now = session.plan();
    assert!(now.items().get(id("M1")).is_none(), "it measured R1");
    let Some(Item::Note(left)) = now.items().get(id("Q1")) else {
        unreachable!("the note stays")
    };
    assert_eq!(left.pointer, None);
    assert!(session.undo());
    assert_eq!(session.plan(), &plan);
    // A wall cut off takes the dimension that ends on it along, and the pointer.
    let bay: Vec<(Length, Length)> = [(0, 0), (6000, 0), (6000, 5000), (3000, 6000), (0, 5000)]
        .map(|(x, y)| (mm(x), mm(y)))
        .to_vec();
    let outline = Edit::SetRoom(Box::new(Room {
        outline: Outline::Corners(bay),
        ..plan.room().clone()
    }));
    let bay = edited(&plan, &outline);
    let onto = dimension(right_of_r1(), End::SquareToWall(4));
    let bay = edited(&bay, &item("M2", onto));
    let bay = edited(
        &bay,
        &item(
            "Q2",
            note("Wall", Some(End::Wall(WallPlace::new(4, mm(10))))),
        ),
    );
    let square = edited(&bay, &Edit::SetRoom(Box::new(plan.room().clone())));
    assert!(square.items().get(id("M2")).is_none());
    assert!(matches!(square.items().get(id("Q2")), Some(Item::Note(n)) if n.pointer.is_none()));
    assert!(square.items().get(id("M1")).is_some());
}

fn offset(plan: &Plan, mark: &str) -> Option<Length> {
    match plan.items().get(id(mark)) {
        Some(Item::Dimension(d)) => Some(d.offset),
        _ => None,
    }
}

#[test]
fn copies_keep_to_their_own_racks_and_pasted_ones_to_nothing_strange() {
    let plan = two_racks();
    let across = dimension(right_of_r1(), End::SquareTo(id("R2"), Face::Left));
    let plan = edited(&plan, &item("M1", across));
    let ids = [id("R1"), id("R2"), id("M1")];
    let up = |_: Id, pose: Pose| Some(pose.moved(Length::ZERO, mm(1200)));
    let (edit, copies) = plan.copies(ids, up).step("Duplicate").unwrap();
    let after = edited(&plan, &edit);
    let Some(Item::Dimension(copy)) = after.items().get(copies[2]) else {
        unreachable!("the third is a dimension")
    };
    assert_eq!(copy.from.thing(), Some(copies[0]));
    assert_eq!(copy.to.thing(), Some(copies[1]));
    assert_eq!(Some(copy.offset), offset(&plan, "M1"), "it went with them");
    // By itself in the same plan it measures the same racks, so its line stands off.
    let aside = |_: Id, pose: Pose| Some(pose.moved(mm(300), Length::ZERO));
    let (edit, alone) = plan.copies([id("M1")], aside).step("Duplicate").unwrap();
    let twice = edited(&plan, &edit);
    let stands_off = offset(&twice, &alone[0].to_string());
    assert_eq!(stands_off, offset(&plan, "M1").map(|o| o + mm(300)));
    // By itself into another plan: it ends where it ended, on nothing.
    let stood = layout(&plan)
        .part(id("M1"))
        .unwrap()
        .dimension
        .unwrap()
        .ends;
    let points = |_: Id| {
        [stood.0, stood.1]
            .map(|p| (Length::from_mm(p.x), Length::from_mm(p.y)))
            .to_vec()
    };
    let excerpt = plan.excerpt([id("M1")], points).unwrap();
    let other = edited(&two_racks(), &Edit::Remove(vec![id("R1"), id("R2")]));
    let (edit, pasted) = other.pasted(&excerpt, PhaseNo(1), |pose| pose).unwrap();
    let other = edited(&other, &edit);
    assert!(near(shows(&other, &pasted[0].to_string()), 1000.0));
    // With its racks it stays fastened to them.
    let excerpt = plan.excerpt(ids, points).unwrap();
    let (edit, pasted) = other.pasted(&excerpt, PhaseNo(1), |pose| pose).unwrap();
    let other = edited(&other, &edit);
    let whole: Vec<Id> = pasted
        .iter()
        .flat_map(|id| other.items().get(*id).unwrap().links())
        .collect();
    assert_eq!(whole.len(), 2);
    assert!(whole.iter().all(|id| pasted.contains(id)));
}

/// A rack of the example that moves from phase 3 on takes its dimension along: the old one is there before, a new one from then on.
#[test]
fn it_moves_from_a_phase_on_with_its_rack() {
    let plan = example();
    let plan = edited(
        &plan,
        &item("M1", dimension(right_of_r1(), End::SquareToWall(2))),
    );
    let (edit, carried) = plan
        .relocated(&[id("R1")], PhaseNo(3), (mm(0), mm(-500)))
        .unwrap();
    let after = edited(&plan, &edit);
    let shown = |phase: u8| {
        let layout = Layout::of(library(), &after, PhaseNo(phase));
        let found: Vec<(Id, f64)> = layout
            .parts()
            .filter_map(|p| Some((p.id, p.dimension?.length_mm())))
            .collect();
        found
    };
    let (before, later) = (shown(2), shown(3));
    assert_eq!((before.len(), later.len()), (1, 1), "{before:?} {later:?}");
    assert_eq!(before[0].0, id("M1"));
    assert_ne!(later[0].0, id("M1"));
    assert!(near(later[0].1 - before[0].1, 500.0));
    let copy = after.items().get(later[0].0).unwrap();
    assert_eq!(copy.links(), carried);
}

#[test]
fn the_file_keeps_them_and_names_what_is_wrong() {
    let plan = two_racks();
    let across = dimension(right_of_r1(), End::SquareTo(id("R2"), Face::Left));
    let plan = edited(&plan, &item("M1", across));
    let free = dimension(
        End::Point(mm(1), mm(2)),
        End::Wall(WallPlace::new(3, mm(40))),
    );
    let plan = edited(&plan, &item("M2", free));
    let words = "Dry this wall first.\n\nThen ask \"who\" \\ paints it: ümlaut";
    let plan = edited(&plan, &item("Q1", note(words, Some(right_of_r1()))));
    let text = storage::text_of(&plan).unwrap();
    let opened = storage::plan_of(library(), "again", text.as_bytes()).unwrap();
    assert_eq!(opened.plan, *plan);
    assert_eq!(storage::text_of(&opened.plan).unwrap(), text, "canonical");
    assert!(text.contains("Of(\"R1\", Right)"), "{text}");
    // What is wrong is said at its place.
    let told = |from: &str, to: &str| {
        let wrong = text.replace(from, to);
        assert_ne!(wrong, text, "{from} is in the text");
        match storage::plan_of(library(), "wrong", wrong.as_bytes()) {
            Ok(opened) => opened
                .faults
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("; "),
            Err(error) => error.to_string(),
        }
    };
    let dangling = told("Of(\"R1\", Right), to", "Of(\"R9\", Right), to");
    assert!(
        dangling.contains("M1") && dangling.contains("there is no R9"),
        "{dangling}"
    );
    let written = told("SquareTo(\"R2\", Left)", "SquareTo(\"M2\", Left)");
    assert!(written.contains("fastened to M2"), "{written}");
    let wall = told("wall: 3", "wall: 30");
    assert!(wall.contains("there is no wall 30"), "{wall}");
    let both = told("Of(\"R1\", Right), to", "SquareToWall(1), to");
    assert!(both.contains("only one of its ends"), "{both}");
    let spot = told("Of(\"R1\", Right), to", "Of(\"R1\", Rihgt), to");
    assert!(spot.contains("Right"), "{spot}");
}

#[test]
fn a_note_is_text_and_not_too_long() {
    assert_eq!(NoteText::new(" \n "), Err(NoteTextError::Empty));
    assert_eq!(NoteText::new("a\tb"), Err(NoteTextError::Control('\t')));
    assert_eq!(NoteText::new("a\r\nb\rc\n\n").unwrap().as_str(), "a\nb\nc");
    // One letter from two signs, as normal form C has it.
    assert_eq!(NoteText::new("u\u{308}").unwrap().as_str(), "ü");
    let long = "x".repeat(NoteText::MOST);
    assert!(NoteText::new(&long).is_ok());
    assert_eq!(
        NoteText::new(&format!("{long}y")),
        Err(NoteTextError::TooLong(4001))
    );
}

/// Ends that wait for each other or for what is not there are nowhere; the plan is looked at as it is.
#[test]
fn ends_that_are_nowhere_are_not_drawn() {
    let plan = two_racks();
    let layout = layout(&plan);
    let walls = (End::SquareToWall(0), End::SquareToWall(2));
    assert_eq!(layout.ends(walls.0, walls.1), None);
    assert_eq!(layout.ends(End::Of(id("R7"), Spot::Left), walls.0), None);
    assert_eq!(layout.ends(right_of_r1(), End::SquareToWall(70)), None);
}

#[test]
fn the_tape_reads_gaps_and_clear_distances() {
    let plan = two_racks();
    let here = layout(&plan);
    let gap = here.gap(id("R1"), id("R2")).unwrap();
    assert!(near(gap.mm(), 1000.0) && near(gap.middles_mm, 1000.0 + 1219.2));
    let fastened = here.fastened((gap.from, Some(id("R1"))), (gap.to, Some(id("R2"))));
    assert_eq!(fastened, (right_of_r1(), End::Of(id("R2"), Spot::Left)));
    let clear = here.clear_around(id("R1"));
    let told: Vec<(Across, f64, Met)> = clear.iter().map(|c| (c.side, c.mm(), c.met)).collect();
    let expected = [
        (Across::Left, 1000.0, Met::Wall(3)),
        (Across::Right, 1000.0, Met::Thing(id("R2"))),
        (Across::Ahead, 2000.0, Met::Wall(0)),
        (Across::Behind, 5000.0 - 2609.6, Met::Wall(2)),
    ];
    assert_eq!(told.len(), 4);
    for ((side, far, met), (s, f, m)) in told.into_iter().zip(expected) {
        assert!(
            side == s && met == m && near(far, f),
            "{side:?} {far} {met:?}"
        );
    }
    // Corner to corner: 300 right and 400 up is 500 (the triangle of sides 3, 4, 5).
    let away = Edit::Move(vec![id("R2")], (mm(-700), Length::from_mm(609.6 + 400.0)));
    let away = layout(&edited(&plan, &away));
    let gap = away.gap(id("R1"), id("R2")).unwrap();
    assert!(near(gap.mm(), 500.0), "{gap:?}");
    let (along, across) = away.along_and_across(gap.from, gap.to);
    assert!(near(along, 300.0) && near(across, 400.0));
    // One over the other.
    let onto = Edit::Move(vec![id("R2")], (mm(-1500), mm(100)));
    let onto = layout(&edited(&plan, &onto));
    assert!(near(onto.gap(id("R1"), id("R2")).unwrap().mm(), 0.0));
}

/// A room with a wall at 30 degrees: the back lies parallel to it, the gap for plugs from it, at the rack's place along it.
#[test]
fn racks_turn_to_walls_at_any_angle() {
    let corners = [(0, 0), (6000, 0), (6000, 2000), (0, 5464)];
    let room = Room {
        outline: Outline::Corners(corners.map(|(x, y)| (mm(x), mm(y))).to_vec()),
        ..Room::rectangle(mm(10), mm(10), mm(2700), mm(150))
    };
    let plan = Plan::new(Head::default(), room);
    let plan = edited(&plan, &item("R1", rack_at("short-48", 3200, 2000, 12.0)));
    let plan = edited(&plan, &item("R2", rack_at("short-48", 3000, 2100, 90.0)));
    let edit = arrange::to_wall(&layout(&plan), &[id("R1"), id("R2")]).unwrap();
    assert_eq!(edit.label(), "Turn 2 racks to the wall");
    let after = edited(&plan, &edit);
    let there = layout(&after);
    let slanted = there.walls().find(|w| w.number == 2).unwrap();
    let back_gap = there.limits().back_gap.value.mm();
    for mark in ["R1", "R2"] {
        let body = there.part(id(mark)).unwrap().solid.as_ref().unwrap().oblong;
        for x in [-0.5, 0.5] {
            let back = body.at(body.width() * x, body.depth() * 0.5);
            let off = (back - slanted.start).dot(slanted.inward);
            assert!(near(off, back_gap), "{mark}: {off}");
        }
        assert!(
            body.up().dot(slanted.inward) < -1.0 + 1e-9,
            "its front looks into the room"
        );
    }
    let body = |mark: &str| {
        there
            .part(id(mark))
            .unwrap()
            .solid
            .as_ref()
            .unwrap()
            .shape
            .clone()
    };
    assert!(!body("R1").overlaps(&body("R2")), "beside each other");
    assert_eq!(arrange::to_wall(&there, &[id("R1"), id("R2")]), None);
    // The middle stays at its place along the wall where nothing else is moved.
    let one = arrange::to_wall(&layout(&plan), &[id("R1")]).unwrap();
    let one = edited(&plan, &one);
    let middle = |plan: &Arc<Plan>| -> Point {
        let layout = layout(plan);
        layout
            .part(id("R1"))
            .unwrap()
            .solid
            .as_ref()
            .unwrap()
            .oblong
            .centre()
    };
    let moved = middle(&one) - middle(&plan);
    assert!(near(moved.dot(slanted.along), 0.0), "{moved}");
}
