//! The example room on paper, phase by phase: every thing in its schedule and in the drawing, and nothing drawn where it
//! cannot be.

use std::sync::Arc;

use aislewright::checks::Findings;
use aislewright::cli::EXAMPLE;
use aislewright::fill::Headroom;
use aislewright::geometry::{Point, Polygon};
use aislewright::layout::Layout;
use aislewright::plan::{Head, ItemKind, Library, PhaseNo, Plan, Room};
use aislewright::sheet::{Made, Mark, Sheet, Weight, floor_sheet, svg};
use aislewright::storage;

use crate::lettering::assert_readable;
use crate::rooms::{cellar, length, plan_of, sheet_of, small_things};
use crate::schedules::row;

/// The example in one phase, with what the sheet was made from.
fn example(phase: u8) -> (Layout, Sheet) {
    drawn(EXAMPLE, phase)
}

/// The plan of that text in one phase, with what the sheet was made from.
fn drawn(text: &str, phase: u8) -> (Layout, Sheet) {
    let library = Library::builtin().unwrap();
    let opened = storage::plan_of(&library, "demo.plan.ron", text.as_bytes()).unwrap();
    let plan: Arc<Plan> = Arc::new(opened.plan);
    let layout = Layout::of(&library, &plan, PhaseNo(phase));
    let sheet = floor_sheet(
        &layout,
        &Findings::of(&layout),
        &Headroom::of(&layout),
        None,
        &Made::default(),
    );
    (layout, sheet)
}

fn schedule_of(kind: ItemKind) -> &'static str {
    match kind {
        ItemKind::Outlet => "Outlet schedule",
        ItemKind::Rack => "Rack schedule",
        ItemKind::Door | ItemKind::Window => "Openings",
        ItemKind::Column
        | ItemKind::Panel
        | ItemKind::Cooling
        | ItemKind::Fitting(_)
        | ItemKind::Overhead(_)
        | ItemKind::Light
        | ItemKind::Camera
        | ItemKind::Furniture(_)
        | ItemKind::Zone
        | ItemKind::Ups => "Equipment schedule",
        // Written in the drawing, and too long notes among the schedules.
        ItemKind::Dimension | ItemKind::Note => "Notes on the floor",
    }
}

/// Everything that is there has a line in its schedule, and its mark stands in the drawing, but for dimensions and notes.
fn assert_all_told(layout: &Layout, sheet: &Sheet) {
    assert!(sheet.left_out.is_empty(), "{:?}", sheet.left_out);
    assert_readable(sheet);
    let drawn: Vec<String> = sheet
        .texts()
        .iter()
        .filter(|t| t.weight == Weight::Bold)
        .flat_map(|t| t.words.split(' '))
        .map(str::to_owned)
        .collect();
    let phase = layout.phase();
    for part in layout.parts().filter(|part| !part.kind.is_written()) {
        let mark = part.id.to_string();
        let line = row(sheet, &mark, schedule_of(part.kind));
        assert!(line.len() > 4, "{mark} in phase {phase}: {line:?}");
        // Where lettering is crowded, what hangs on a wall is named by its dimension alone.
        let on_wall = matches!(
            part.kind,
            ItemKind::Outlet | ItemKind::Door | ItemKind::Window
        );
        let named = format!("{mark} ");
        let by_dimension = || sheet.texts().iter().any(|t| t.words.starts_with(&named));
        assert!(
            drawn.contains(&mark) || (on_wall && by_dimension()),
            "{mark} is not drawn in phase {phase}"
        );
    }
}

#[test]
fn small_fixed_things_are_on_the_sheet_with_their_heights() {
    let room = Room::rectangle(length("20ft"), length("15ft"), length("9ft"), length("6in"));
    let plan = plan_of(Head::default(), room, small_things());
    let layout = Layout::of(&Library::builtin().unwrap(), &plan, PhaseNo(1));
    let sheet = sheet_of(&plan);
    assert_all_told(&layout, &sheet);
    let line = row(&sheet, "X1", "Equipment schedule");
    assert_eq!(line[1], "Extinguisher");
    assert_eq!(line[3], "2' 4\"");
    let line = row(&sheet, "J1", "Equipment schedule");
    assert_eq!(line[3], "8' 2\"");
    let legend = sheet.texts().iter().any(|t| t.words == "sprinkler head");
    assert!(legend, "the legend names what is drawn");
}

#[test]
fn everything_of_a_phase_is_in_its_schedule_and_in_the_drawing() {
    for phase in 1..=3 {
        let (layout, sheet) = example(phase);
        assert_all_told(&layout, &sheet);
        for circuit in layout.power().circuits.keys() {
            let line = row(&sheet, &circuit.to_string(), "Panel schedule");
            assert_eq!(line.len(), 10, "{line:?}");
            assert_eq!(line[1], "E1");
        }
    }
}

#[test]
fn the_other_demo_plans_are_told_whole_in_every_phase() {
    let cellar = include_str!("../../demo-data/press-cellar.plan.ron");
    let loft = include_str!("../../demo-data/long-loft.plan.ron");
    for (text, phases) in [(cellar, 3), (loft, 2)] {
        for phase in 1..=phases {
            let (layout, sheet) = drawn(text, phase);
            assert_all_told(&layout, &sheet);
        }
    }
}

#[test]
fn the_first_phase_says_what_was_worked_out_by_hand() {
    let (_, sheet) = example(1);
    assert_eq!(
        row(&sheet, "O1", "Outlet schedule"),
        [
            "O1",
            "north wall",
            "3' 0\"",
            "1' 6\"",
            "2",
            "C01",
            "existing"
        ]
    );
    // The north wall runs from the right: O2 stands 17' 4" along a wall of 26' 4", so 9' 0" from the datum.
    assert_eq!(row(&sheet, "O2", "Outlet schedule")[2], "9' 0\"");
    assert_eq!(
        row(&sheet, "R2", "Rack schedule")[4..],
        ["3", "6' 4\"", "9' 6\"", "new"]
    );
    // The door is hinged at its far end, 10' 4" down a wall of 11' 8": 1' 4" from the datum.
    assert_eq!(
        row(&sheet, "D1", "Openings")[2..5],
        [
            "1' 4\"",
            "3' 0\" × 6' 8\"",
            "in, hinge 1' 4\", clear 2' 10\", way out"
        ]
    );
}

/// The marks of a group.
fn group<'a>(marks: &'a [Mark], wanted: &str) -> Option<&'a [Mark]> {
    marks.iter().find_map(|mark| match mark {
        Mark::Group { name, marks } if *name == wanted => Some(marks.as_slice()),
        Mark::Group { marks, .. } => group(marks, wanted),
        Mark::Strokes { .. }
        | Mark::Shape { .. }
        | Mark::Arc { .. }
        | Mark::Circle { .. }
        | Mark::Text(_) => None,
    })
}

#[test]
fn air_is_drawn_inside_the_room_alone() {
    for phase in 1..=3 {
        let (layout, sheet) = example(phase);
        let air = group(&sheet.marks, "air").expect("the example has a cooling unit");
        let size = layout.room().bounds().size() / sheet.ratio;
        let mut low = Point::INFINITY;
        let mut high = Point::NEG_INFINITY;
        for mark in air {
            let Mark::Shape { points, .. } = mark else {
                panic!("an air line is a line: {mark:?}")
            };
            assert!(points.len() > 1, "a line has two ends");
            for p in points {
                low = low.min(*p);
                high = high.max(*p);
            }
        }
        let drawn = high - low;
        assert!(
            drawn.x <= size.x + 1e-6 && drawn.y <= size.y + 1e-6,
            "{drawn} in a room of {size}"
        );
        // The throw reaches the wall that the unit blows at, so that the line is cut there.
        assert!(drawn.x > size.x * 0.8, "{drawn} in a room of {size}");
    }
}

#[test]
fn what_hangs_or_swings_over_a_rack_is_drawn_over_it() {
    let (_, sheet) = example(3);
    let text = svg(&sheet).unwrap();
    let at = |name: &str| text.find(&format!("<g id=\"{name}\">")).expect(name);
    assert!(at("bodies") < at("doors"), "the leaf that strikes R5 shows");
    assert!(at("doors") < at("marks"), "no line runs through a mark");
}

#[test]
fn walls_are_hatched_inside_their_own_thickness() {
    // The cellar has a notch, a slant and a thicker wall; a hatch line in the room would show a wrong corner.
    let plan = cellar();
    let sheet = sheet_of(&plan);
    let room = plan.room().polygon().unwrap();
    let walls = group(&sheet.marks, "walls").expect("a room has walls");
    let mut low = Point::INFINITY;
    let mut high = Point::NEG_INFINITY;
    let mut hatches = Vec::new();
    for mark in walls {
        if let Mark::Strokes { lines, pen } = mark {
            for (a, b) in lines {
                low = low.min(*a).min(*b);
                high = high.max(*a).max(*b);
            }
            if pen.width_mm < 0.2 {
                hatches.extend(lines.iter().copied());
            }
        }
    }
    // Walls of 240 mm, the lowest 365 mm; on paper y runs down.
    let left = low.x + 240.0 / sheet.ratio;
    let floor = high.y - 365.0 / sheet.ratio;
    let inner: Vec<Point> = room
        .points()
        .iter()
        .map(|p| Point::new(left + p.x / sheet.ratio, floor - p.y / sheet.ratio))
        .collect();
    let inner = Polygon::new(inner).unwrap();
    assert!(hatches.len() > 100, "{}", hatches.len());
    for (a, b) in hatches {
        assert!(
            !inner.contains((a + b) * 0.5),
            "the hatch line from {a} to {b} lies in the room"
        );
    }
}
