//! Levels of a rack: pads that lift the printers and boards of another thickness, counted in openings, in reach and in what fill
//! places; named in the file, and taken along from plan to plan.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on should stop there"
)]

mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use aislewright::checks::{Finding, Severity, Standing};
use aislewright::fill::{Ask, Asked};
use aislewright::plan::{
    Edit, Head, Item, OwnFamily, OwnKind, PhaseNo, Plan, Pose, Rack, Record, Room,
};
use aislewright::stock::{BoardKind, KindId, LevelKind, PadKind};
use aislewright::storage;
use aislewright::units::Length;
use common::{edited, id, inches, judged, library, printers_of, rack_at};

fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

fn mm(n: i32) -> Length {
    Length::from_mm_whole(n)
}

/// An empty room of 144 by 120 in.
fn room() -> Plan {
    let room = Room::rectangle(inches(144), inches(120), inches(108), inches(6));
    Plan::new(Head::default(), room)
}

/// The room with R1, a full rack with these levels and a printer in each of its places.
fn with_levels(levels: Vec<LevelKind>) -> Arc<Plan> {
    let Item::Rack(rack) = rack_at("full-72", 0, 0, 0.0) else {
        panic!("it is a rack");
    };
    let count = u8::try_from(levels.len()).unwrap();
    let at = Pose {
        x: inches(36),
        y: inches(94),
        ..Pose::default()
    };
    let rack = Item::Rack(Rack { at, levels, ..rack });
    let put = Edit::Put(vec![(id("R1"), Record::Item(Box::new(rack)))]);
    let plan = edited(&room(), &put);
    edited(&plan, &Edit::Put(printers_of(&plan, id("R1"), count, 3)))
}

fn level(height: i32, pad: Option<&str>) -> LevelKind {
    LevelKind {
        pad: pad.map(kind),
        ..LevelKind::new(inches(height), 3)
    }
}

fn found(plan: &Arc<Plan>, check: &str, level: u8) -> Vec<Finding> {
    let (_, findings) = judged(plan, 1);
    let words = format!("level {level} ");
    let found = findings.of_check(check).iter();
    let about = found.filter(|f| f.text.contains(&words));
    about.map(|f| f.as_ref().clone()).collect()
}

/// Boards at 4 and 27 in, 18 mm thick: 584.2 - 18 = 566.2 mm. The printer is 20 1/2 in, 520.7 mm high (assets/stock.ron).
#[test]
fn an_opening_takes_printer_and_pad() {
    let lowest = |pad| {
        let plan = with_levels(vec![level(4, pad), level(27, None)]);
        found(&plan, "shelf-opening", 1).remove(0)
    };
    for (pad, needs, standing) in [
        (None, 520.7, Standing::Met),
        (Some("foam-25"), 545.7, Standing::Met),
        (Some("paver-foam-52"), 572.7, Standing::Broken),
    ] {
        let finding = lowest(pad);
        assert_eq!(finding.standing, standing, "{}", finding.text);
        let (measured, limit) = (finding.measured.unwrap(), finding.limit.unwrap());
        assert!((measured - needs).abs() < 1e-6, "{measured}");
        assert!((limit - 566.2).abs() < 1e-6, "{limit}");
    }
    assert!(lowest(Some("paver-foam-52")).text.contains("of pad"));
}

/// 45.5 mm under the printer are just what 566.2 mm leave over 520.7 mm; a 1/320 mm more than the tolerance of 0.01 mm is not.
#[test]
fn what_was_measured_under_a_printer_counts_up_to_the_opening() {
    let plan = with_levels(vec![level(4, Some("paver-foam-52")), level(27, None)]);
    let standing = |compressed_mm: f64| {
        let pad = PadKind {
            compressed: Some(Length::from_mm(compressed_mm)),
            ..library().stock.pads[&kind("paver-foam-52")].clone()
        };
        let own = Edit::PutKind(kind("paver-foam-52"), Box::new(OwnKind::Pad(pad)));
        found(&edited(&plan, &own), "shelf-opening", 1)[0].standing
    };
    assert_eq!(standing(45.5), Standing::Met);
    assert_eq!(standing(45.52), Standing::Broken);
}

/// A board of 64 mm leaves 520.2 mm of 584.2, half a millimetre less than the printer; one of 63 mm leaves room for it.
#[test]
fn a_thicker_board_takes_from_the_opening_below() {
    let standing = |thick| {
        let above = LevelKind {
            thickness: Some(mm(thick)),
            ..level(27, None)
        };
        let plan = with_levels(vec![level(4, None), above]);
        found(&plan, "shelf-opening", 1)[0].standing
    };
    assert_eq!(standing(63), Standing::Met);
    assert_eq!(standing(64), Standing::Broken);
}

/// The spool is 17 1/2 in up the printer: on a board at 50 in and 52 mm of pad, 1270 + 52 + 444.5 mm. A bed 6 in up on a board
/// at 7 in is 330.2 mm above the floor, under the low reach of 15 in (381 mm); with the pad it is 382.2 mm.
#[test]
fn reach_is_judged_from_the_top_of_the_pad() {
    let plan = |pad| with_levels(vec![level(7, pad), level(50, pad)]);
    let height = |plan: &Arc<Plan>, words: &str| {
        let there = found(plan, "reach", 2);
        let spool = there.iter().find(|f| f.text.contains(words)).unwrap();
        (spool.severity, spool.measured.unwrap())
    };
    let (bare, padded) = (plan(None), plan(Some("paver-foam-52")));
    for (plan, high) in [(&bare, 1714.5), (&padded, 1766.5)] {
        let (severity, measured) = height(plan, "The spool of");
        assert_eq!(severity, Severity::Caution);
        assert!((measured - high).abs() < 1e-6, "{measured}");
    }
    let low = |plan: &Arc<Plan>| {
        let there = found(plan, "reach", 1);
        there.iter().any(|f| f.text.contains("The bed of"))
    };
    assert!(low(&bare), "330.2 of 381 mm");
    assert!(!low(&padded), "382.2 of 381 mm");
}

#[test]
fn the_body_of_a_rack_reaches_as_high_as_the_printer_on_its_pad() {
    let plan = with_levels(vec![level(4, None), level(55, Some("foam-25"))]);
    let (layout, _) = judged(&plan, 1);
    let high = layout.part(id("R1")).unwrap().rack.as_ref().unwrap().height;
    // 55 in, 25 mm and 20 1/2 in, over the posts of 72 in (1828.8 mm).
    assert!((high - (1397.0 + 25.0 + 520.7)).abs() < 1e-6, "{high}");
    let (_, printer) = layout.printers().find(|(_, p)| p.low > 1000.0).unwrap();
    assert!((printer.low - 1422.0).abs() < 1e-6, "{}", printer.low);
    assert!((printer.high - high).abs() < 1e-6, "{}", printer.high);
}

/// The paver leaves too little under the board above: of two levels with three printers, fill may count one.
#[test]
fn fill_counts_no_printer_that_its_pad_lifts_too_high() {
    let printers = |pad| {
        let mut own = library().stock.racks[&kind("full-72")].clone();
        own.levels = vec![level(4, pad), level(27, None)];
        let own = Edit::PutKind(kind("own"), Box::new(OwnKind::Rack(own)));
        let ask = Ask {
            floor_only: false,
            kinds: Some(BTreeSet::from([kind("own")])),
            phase: PhaseNo(1),
            part: None,
            steps: 1,
        };
        let asked = Asked::of(library(), &edited(&room(), &own), &ask).unwrap();
        asked.problem.kinds.iter().map(|k| k.printers).max()
    };
    assert_eq!(printers(None), Some(6));
    assert_eq!(printers(Some("foam-25")), Some(6));
    assert_eq!(printers(Some("paver-foam-52")), Some(3));
}

#[test]
fn pads_and_boards_survive_the_file_and_slips_in_it_are_answered() {
    let above = LevelKind {
        thickness: Some(mm(15)),
        board: Some(kind("ply-18")),
        ..level(27, None)
    };
    let plan = with_levels(vec![level(4, Some("foam-25")), above]);
    let text = storage::text_of(&plan).unwrap();
    assert!(text.contains("pad: \"foam-25\""), "{text}");
    assert!(
        text.contains("board: \"ply-18\", thickness: \"15mm\""),
        "{text}"
    );
    let read = |text: &str| storage::plan_of(library(), "plan", text.as_bytes());
    let again = read(&text).unwrap();
    assert_eq!((again.plan, again.faults.len()), (plan.as_ref().clone(), 0));
    let faults = |from: &str, to: &str| {
        let opened = read(&text.replace(from, to)).unwrap();
        let all: Vec<String> = opened.faults.iter().map(ToString::to_string).collect();
        all.join("; ")
    };
    let slip = faults("foam-25", "foam-26");
    assert!(
        slip.contains("items › R1: there is no pad foam-26 in stock; did you mean foam-25?"),
        "{slip}"
    );
    let slip = faults("ply-18", "plyy-18");
    assert!(slip.contains("did you mean ply-18?"), "{slip}");
    let thick = faults("15mm", "301mm");
    assert!(thick.contains("a board is 1 to 300 mm thick"), "{thick}");
    let word = read(&text.replace("pad:", "pads:"))
        .unwrap_err()
        .to_string();
    assert!(
        word.contains("`pads` is no field of LevelKind here; did you mean `pad`?"),
        "{word}"
    );
    let number = read(&text.replace("\"15mm\"", "15")).unwrap_err();
    assert!(number.to_string().contains("thickness"), "{number}");
}

#[test]
fn an_own_kind_is_taken_out_once_nothing_names_it() {
    let name = kind("own-rack");
    let own = library().stock.racks[&kind("full-72")].clone();
    let put = Edit::PutKind(name.clone(), Box::new(OwnKind::Rack(own)));
    let plan = edited(&room(), &put);
    let take = plan.own_kind_taken(OwnFamily::Racks, &name).unwrap();
    assert!(edited(&plan, &take).kinds().is_empty());
    let rack = rack_at("own-rack", 500, 500, 0.0);
    let used = edited(
        &plan,
        &Edit::Put(vec![(id("R1"), Record::Item(Box::new(rack)))]),
    );
    let why = used.own_kind_taken(OwnFamily::Racks, &name).unwrap_err();
    assert_eq!(
        why.to_string(),
        "Full rack 72 × 24 in stays in stock: R1 is one of it."
    );
    // Even the bare edit leaves no rack without its kind.
    let bare = Edit::TakeKind(OwnFamily::Racks, name.clone());
    let refused = used.edited(&library().stock, &bare).unwrap_err();
    assert!(
        refused
            .to_string()
            .contains("there is no rack own-rack in stock"),
        "{refused}"
    );
    let none = room().own_kind_taken(OwnFamily::Racks, &name).unwrap_err();
    assert!(none.to_string().contains("no kind of this plan's own"));
    let refused = room().edited(&library().stock, &bare).unwrap_err();
    assert!(refused.to_string().contains("no kind of this plan's own"));
    // The kind that the plan is counted in stays too.
    let printer = library().stock.printers[&kind("open-220")].clone();
    let put = Edit::PutKind(kind("own-printer"), Box::new(OwnKind::Printer(printer)));
    let head = Head {
        leading: Some(kind("own-printer")),
        ..Head::default()
    };
    let counted = edited(&edited(&room(), &put), &Edit::SetHead(Box::new(head)));
    let why = counted
        .own_kind_taken(OwnFamily::Printers, &kind("own-printer"))
        .unwrap_err();
    assert!(
        why.to_string().contains("the plan is counted in it"),
        "{why}"
    );
}

/// A rack is pasted into a plan that knows neither its pad nor its board, nor those of the rack kind that it is of.
#[test]
fn own_pads_and_boards_come_along_with_a_pasted_rack() {
    let pad = PadKind {
        name: "Cork 8 mm".to_owned(),
        thickness: mm(8),
        compressed: None,
        mass: None,
    };
    let board = BoardKind {
        name: "Beech 22 mm".to_owned(),
        thickness: mm(22),
        ..BoardKind::default()
    };
    let mut own = library().stock.racks[&kind("full-72")].clone();
    own.board = kind("own-board");
    let mut plan = Arc::new(room());
    for (name, it) in [
        ("own-board", OwnKind::Board(board)),
        ("own-pad", OwnKind::Pad(pad)),
        ("own-rack", OwnKind::Rack(own)),
    ] {
        plan = edited(&plan, &Edit::PutKind(kind(name), Box::new(it)));
    }
    let Item::Rack(rack) = rack_at("own-rack", 500, 500, 0.0) else {
        panic!("it is a rack");
    };
    let rack = Item::Rack(Rack {
        levels: vec![level(4, Some("own-pad"))],
        ..rack
    });
    plan = edited(
        &plan,
        &Edit::Put(vec![(id("R1"), Record::Item(Box::new(rack)))]),
    );
    let excerpt = plan.excerpt([id("R1")], |_| Vec::new()).unwrap();
    let (edit, _) = room().pasted(&excerpt, PhaseNo(1), |at| at).unwrap();
    let pasted = edited(&room(), &edit);
    let kinds = pasted.kinds();
    assert!(kinds.racks.contains_key(&kind("own-rack")));
    assert!(kinds.boards.contains_key(&kind("own-board")));
    assert!(kinds.pads.contains_key(&kind("own-pad")));
}
