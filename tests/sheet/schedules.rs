//! Every thing has its row, and the stamp says whether the sheet may be built from.

use aislewright::checks::Findings;
use aislewright::fill::Headroom;
use aislewright::geometry::Point;
use aislewright::layout::Layout;
use aislewright::plan::{Edit, Library, Phase, PhaseNo, Plan, Record, Session};
use aislewright::sheet::{Sheet, Weight, floor_sheet};
use aislewright::units::Practice;

use crate::rooms::{bottling, bottling_of, id, label, made, sheet_of};

/// The row of a schedule that starts with a mark: the words on its line, from left to right. The schedule may go on in
/// another column under its title.
pub(crate) fn row(sheet: &Sheet, mark: &str, header: &str) -> Vec<String> {
    let texts = sheet.texts();
    let mut titles = texts.iter().filter(|t| t.words.starts_with(header));
    let (title, start) = titles
        .find_map(|title| {
            let first = texts
                .iter()
                .filter(|t| t.words == mark && t.weight == Weight::Plain)
                .filter(|t| (t.at.x - title.at.x).abs() < 1.0 && t.at.y > title.at.y)
                .min_by(|a, b| a.at.y.total_cmp(&b.at.y))?;
            Some((title.at, first.at))
        })
        .unwrap_or_else(|| panic!("{mark} under {header}"));
    let on_line =
        |p: Point| (p.y - start.y).abs() < 0.1 && p.x >= start.x - 0.1 && p.x < title.x + 180.0;
    let mut line: Vec<_> = texts.iter().filter(|t| on_line(t.at)).collect();
    line.sort_by(|a, b| a.at.x.total_cmp(&b.at.x));
    line.iter().map(|t| t.words.clone()).collect()
}

/// The second line of that row, which is 4 mm below the first.
pub(crate) fn below(sheet: &Sheet, mark: &str, header: &str) -> Vec<String> {
    let texts = sheet.texts();
    let first = row(sheet, mark, header);
    let start = texts
        .iter()
        .filter(|t| t.words == mark && t.weight == Weight::Plain)
        .find(|t| {
            let beside = |words: &str| {
                let mut others = texts.iter().filter(|o| o.words == words);
                others.any(|o| {
                    (o.at.y - t.at.y).abs() < 0.1 && (0.0..180.0).contains(&(o.at.x - t.at.x))
                })
            };
            first.iter().all(|words| beside(words))
        })
        .unwrap_or_else(|| panic!("{mark} under {header}"));
    let on_line = |p: Point| {
        (p.y - start.at.y - 4.0).abs() < 0.1 && (-0.1..179.0).contains(&(p.x - start.at.x))
    };
    let mut line: Vec<_> = texts.iter().filter(|t| on_line(t.at)).collect();
    line.sort_by(|a, b| a.at.x.total_cmp(&b.at.x));
    line.iter().map(|t| t.words.clone()).collect()
}

#[test]
fn rows_say_what_the_plan_says() {
    let sheet = sheet_of(&bottling("Bottling room"));
    assert!(sheet.left_out.is_empty());
    assert_eq!(
        row(&sheet, "O4", "Outlet schedule"),
        ["O4", "east wall", "6' 9\"", "1' 6\"", "4", "C02", "moved"]
    );
    assert_eq!(
        row(&sheet, "O6", "Outlet schedule"),
        [
            "O6",
            "north wall",
            "2' 2\"",
            "1' 6\"",
            "4",
            "unknown",
            "existing"
        ]
    );
    // Six printers of 120 W running and 300 W at the peak, power factor 0.95, on a UPS of efficiency 0.94 and 90 W of recharging,
    // at 120 V: 6 * 120 / 0.95 / 0.94 / 120 = 6.719 A of 16 A, which is 80 % of 20 A (NEC 210.20(A)); at the peak
    // (6 * 300 / 0.95 / 0.94 + 90) / 120 = 17.547 A of 20 A.
    assert_eq!(
        row(&sheet, "C02", "Panel schedule"),
        [
            "C02", "E1", "20 A", "O3 O4", "U2", "6", "6.7", "17.5", "?", "? %"
        ]
    );
    // Its cable goes up 108 - 78 = 30 in, 105 1/4 in along the south wall, 316 - 42 = 274 in along the west wall to O3 and
    // 90 in down: 499 1/4 in, to the inch 41 ft 7 in.
    assert_eq!(
        below(&sheet, "C02", "Panel schedule"),
        [
            "existing",
            "120 V",
            "1, ?",
            "42 %",
            "88 %",
            "41' 7\" est.",
            "? %"
        ]
    );
    assert_eq!(
        row(&sheet, "R4", "Rack schedule"),
        [
            "R4",
            "Full rack 72 × 24 in",
            "6' 0\" × 2' 0\" × 6' 0\"",
            "3",
            "9",
            "9' 6\"",
            "4' 8\"",
            "new"
        ]
    );
    assert_eq!(
        row(&sheet, "D1", "Openings"),
        [
            "D1",
            "south wall",
            "1' 0\"",
            "3' 0\" × 6' 8\"",
            "in, hinge 1' 0\", clear 2' 9\", way out",
            "existing"
        ]
    );
    assert_eq!(
        row(&sheet, "W1", "Openings"),
        [
            "W1",
            "east wall",
            "12' 0\"",
            "5' 0\" × 3' 6\"",
            "sill 3' 4\" AFF, opens",
            "existing"
        ]
    );
    assert_eq!(
        row(&sheet, "U2", "Equipment schedule")[2..],
        ["at the foot of R4", "0\"", "from O4, 15 A plug", "new"]
    );
    assert_eq!(
        row(&sheet, "A1", "Equipment schedule")[2..4],
        ["4' 10\", north wall", "7' 2\""]
    );
}

/// The bottling room in its second phase, in which an outlet and a circuit go.
fn second_phase() -> Sheet {
    let library = Library::builtin().unwrap();
    let plan = bottling("Bottling room");
    let mut session = Session::new(Plan::clone(&plan));
    let phases = ["Build", "Move"]
        .map(|name| Phase { name: label(name) })
        .to_vec();
    let mut box_ = plan.items().get(id("O3")).unwrap().clone();
    box_.presence_mut().leaves = Some(PhaseNo(2));
    let mut circuit = plan.circuits().get(id("C03")).unwrap().clone();
    circuit.presence.leaves = Some(PhaseNo(2));
    let edits = [
        Edit::SetPhases(phases),
        Edit::Put(vec![
            (id("O3"), Record::Item(Box::new(box_))),
            (id("C03"), Record::Circuit(circuit)),
        ]),
    ];
    for edit in edits {
        session.apply(&library.stock, &edit).unwrap();
    }
    let layout = Layout::of(&library, session.plan(), PhaseNo(2));
    floor_sheet(
        &layout,
        &Findings::of(&layout),
        &Headroom::of(&layout),
        None,
        &made(),
    )
}

#[test]
fn a_later_phase_says_what_is_done_and_what_goes() {
    let sheet = second_phase();
    let words: Vec<&str> = sheet.texts().iter().map(|t| t.words.as_str()).collect();
    assert!(words.contains(&"Floor plan · Phase 2: Move"), "{words:?}");
    assert!(
        words.contains(&"O3: outlet, west wall, 22' 10\" from the datum"),
        "{words:?}"
    );
    assert_eq!(
        row(&sheet, "C03", "Panel schedule")[..4],
        ["C03", "E1", "20 A", "–"]
    );
    assert_eq!(below(&sheet, "C03", "Panel schedule"), ["removed", "120 V"]);
    assert_eq!(
        below(&sheet, "C01", "Panel schedule")[0],
        "new, ph. 1",
        "of an earlier phase"
    );
    assert!(
        !words.contains(&"O3"),
        "no longer in the schedule nor in the room"
    );
    assert_eq!(
        row(&sheet, "O1", "Outlet schedule").last().unwrap(),
        "new, ph. 1"
    );
    assert_eq!(
        row(&sheet, "O6", "Outlet schedule").last().unwrap(),
        "existing"
    );
}

#[test]
fn headings_and_figures_are_never_cut() {
    for practice in [Practice::Us, Practice::Metric] {
        let sheet = sheet_of(&bottling_of("Bottling room", practice));
        for text in sheet.texts() {
            assert!(!text.words.contains('…'), "{}", text.words);
        }
    }
}

#[test]
fn every_thing_has_its_row() {
    let sheet = sheet_of(&bottling("Bottling room"));
    let schedules = [
        ("Outlet schedule", &["O1", "O2", "O3", "O4", "O5", "O6"][..]),
        ("Panel schedule", &["C01", "C02", "C03"]),
        ("Rack schedule", &["R1", "R2", "R3", "R4", "R5"]),
        ("Openings", &["D1", "W1"]),
        (
            "Equipment schedule",
            &["E1", "A1", "U1", "U2", "K1", "Z1", "Z2"],
        ),
    ];
    for (title, marks) in schedules {
        for mark in marks {
            assert!(row(&sheet, mark, title).len() > 4, "{mark} under {title}");
        }
    }
}

/// Under the schedule stand what its figures come to and, once, who decides.
#[test]
fn the_sentences_of_the_panel_schedule_stand_under_it() {
    let sheet = sheet_of(&bottling("Bottling room"));
    let count = |start: &str| {
        let texts = sheet.texts();
        texts.iter().filter(|t| t.words.starts_with(start)).count()
    };
    // 6.719 A each of two circuits with six printers on a UPS, and 4 * 120 / 0.95 / 120 = 4.211 A of four straight: 17.649 A.
    // Nobody said the legs.
    assert_eq!(
        count("Running: L1 0.0 A, L2 0.0 A, 17.6 A on legs that nobody said."),
        1
    );
    assert_eq!(count("What the supply carries is not known: "), 1);
    assert_eq!(count(aislewright::wiring::schedule::CAUTION), 1);
}

#[test]
fn the_stamp_counts_the_open_findings() {
    let library = Library::builtin().unwrap();
    for practice in [Practice::Us, Practice::Metric] {
        let layout = Layout::of(
            &library,
            &bottling_of("Bottling room", practice),
            PhaseNo(1),
        );
        let findings = Findings::of(&layout);
        let sheet = floor_sheet(&layout, &findings, &Headroom::of(&layout), None, &made());
        let open = findings.iter().filter(|f| f.stops()).count();
        let expected = match open {
            0 => "No must-fix finding open".to_owned(),
            1 => "1 must-fix finding open: not for construction".to_owned(),
            n => format!("{n} must-fix findings open: not for construction"),
        };
        assert!(
            sheet.texts().iter().any(|t| t.words == expected),
            "{expected}"
        );
    }
    let none = floor_sheet(
        &Layout::of(&library, &bottling("Bottling room"), PhaseNo(1)),
        &Findings::default(),
        &Headroom::of(&Layout::of(
            &library,
            &bottling("Bottling room"),
            PhaseNo(1),
        )),
        None,
        &made(),
    );
    assert!(
        none.texts()
            .iter()
            .any(|t| t.words == "No must-fix finding open")
    );
}

#[test]
fn the_title_block_and_the_cautions_are_there() {
    let sheet = sheet_of(&bottling("Bottling room"));
    let words: Vec<&str> = sheet.texts().iter().map(|t| t.words.as_str()).collect();
    for expected in [
        "Bottling room",
        "Floor plan · Phase 1",
        sheet.scale,
        sheet.paper,
        "2031-05-14",
        "A",
        "M. Example",
        "1 of 1",
        "feet, inches",
        "±1/4\", verify in field",
        "Planning aid. A licensed electrician, the local code, the landlord and the insurer decide.",
        "This line is 100 mm (3 15/16 in) long: print at 100 %",
        "N",
        "DATUM 0, 0",
    ] {
        assert!(words.contains(&expected), "{expected} in {words:?}");
    }
}
