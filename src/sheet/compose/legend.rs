//! Legend, notes and cautions, scale bar, check bar, north arrow and datum mark: how the sheet is read.

use super::Subject;
use super::block::{Block, Row, WIDTH_MM};
use super::canvas::{Canvas, dots, hatch};
use super::dimensions::tag;
use super::fixtures;
use super::floor;
use super::view::{View, dimension_mm};
use crate::geometry::{Convex, Point};
use crate::plan::{FittingUse, FurnitureUse, ItemKind, OverheadUse, PhaseNo, Status};
use crate::sheet::{Anchor, Fill, LEAST_LETTERING_MM, Mark, Pen, Text, Weight, shortened};
use crate::units::Practice;

/// Entries stand in so many columns.
const ACROSS: usize = 3;
const ENTRY_MM: f64 = WIDTH_MM / 3.0;
const ROW_MM: f64 = 6.0;
/// Width of a symbol.
const SYMBOL_MM: f64 = 14.0;
/// Height of the strip with the bars and the north arrow.
pub(super) const STRIP_MM: f64 = 24.0;
/// Width of that strip.
pub(super) const STRIP_WIDTH_MM: f64 = 175.0;
/// Longest scale bar.
const BAR_MOST_MM: f64 = 110.0;
/// Length of the bar that shows a wrong print scale.
const CHECK_MM: f64 = 100.0;
const PARTS: f64 = 5.0;

/// Draws a symbol in the middle of its field.
type Symbol = fn(Point, &mut Canvas);

/// The legend of what is on this sheet.
pub(super) fn legend(subject: &Subject<'_>) -> Block {
    let has = |kind: ItemKind| subject.layout.of_kind(kind).next().is_some();
    let strips = subject.layout.parts().any(|p| !p.strips().is_empty());
    let jet = subject.layout.parts().any(|p| p.jet.is_some());
    let limit = subject.layout.limits().jet_hard.value.value();
    let entries: Vec<(Symbol, String)> = [
        (true, wall as Symbol, "wall, cut".to_owned()),
        (
            true,
            datum_symbol as Symbol,
            "datum corner (0, 0)".to_owned(),
        ),
        (
            has(ItemKind::Rack),
            rack,
            "rack, access face heavy".to_owned(),
        ),
        (
            has(ItemKind::Rack),
            rack_words,
            "rack and its printers".to_owned(),
        ),
        (strips, strip, "service strip, keep free".to_owned()),
        (
            has(ItemKind::Outlet),
            outlet_existing,
            "outlet, existing".to_owned(),
        ),
        (
            has(ItemKind::Outlet),
            outlet_new,
            "outlet, new, moved".to_owned(),
        ),
        (
            has(ItemKind::Outlet),
            circuit,
            "circuit of an outlet".to_owned(),
        ),
        (has(ItemKind::Ups), supply, "UPS".to_owned()),
        (has(ItemKind::Panel), panel, "electrical panel".to_owned()),
        (
            has(ItemKind::Panel),
            working_space,
            "working space, free".to_owned(),
        ),
        (
            has(ItemKind::Cooling),
            cooling,
            "cooling unit, blow".to_owned(),
        ),
        (jet, keep_out, format!("no printers, > {limit} m/s")),
        (jet, throw, format!("throw, {} m/s", floor::THROW_M_S)),
        (has(ItemKind::Column), column, "column".to_owned()),
        (
            has(ItemKind::Fitting(FittingUse::DataPoint)),
            data_point,
            "data point".to_owned(),
        ),
        (
            has(ItemKind::Fitting(FittingUse::Extinguisher)),
            fixtures::extinguisher,
            "extinguisher".to_owned(),
        ),
        (
            has(ItemKind::Fitting(FittingUse::Radiator)),
            radiator,
            "radiator".to_owned(),
        ),
        (
            has(ItemKind::Overhead(OverheadUse::Beam)),
            beam,
            "beam above".to_owned(),
        ),
        (
            has(ItemKind::Overhead(OverheadUse::Pipe)),
            pipe,
            "pipe or duct above".to_owned(),
        ),
        (
            has(ItemKind::Overhead(OverheadUse::Sprinkler)),
            fixtures::sprinkler,
            "sprinkler head".to_owned(),
        ),
        (
            has(ItemKind::Overhead(OverheadUse::Detector)),
            fixtures::detector,
            "detector".to_owned(),
        ),
        (
            has(ItemKind::Light),
            fixtures::light,
            "light above".to_owned(),
        ),
        (
            has(ItemKind::Camera),
            camera,
            "camera, where it looks".to_owned(),
        ),
        (
            has(ItemKind::Furniture(FurnitureUse::Bench)),
            fixtures::bench,
            "bench".to_owned(),
        ),
        (
            has(ItemKind::Furniture(FurnitureUse::Bin)),
            fixtures::bin,
            "bin".to_owned(),
        ),
        (
            has(ItemKind::Furniture(FurnitureUse::Cart)),
            fixtures::cart,
            "cart".to_owned(),
        ),
        (
            has(ItemKind::Furniture(FurnitureUse::SpoolStore)),
            fixtures::spool_store,
            "spool store".to_owned(),
        ),
        (has(ItemKind::Zone), wet, "wet zone".to_owned()),
        (has(ItemKind::Zone), clear, "keep-clear zone".to_owned()),
        (true, existing, "existing".to_owned()),
        (true, new, "new (N)".to_owned()),
        (true, moved, "moved (M)".to_owned()),
        (true, removed, "to be removed (R)".to_owned()),
        (true, dimension, "distance from datum".to_owned()),
    ]
    .into_iter()
    .filter(|(shown, ..)| *shown)
    .map(|(_, symbol, words)| (symbol, words))
    .collect();
    Block {
        title: "Legend".to_owned(),
        things: "rows of the legend",
        whole: true,
        header: None,
        rows: entries.chunks(ACROSS).map(legend_row).collect(),
    }
}

fn legend_row(entries: &[(Symbol, String)]) -> Row {
    let mut canvas = Canvas::default();
    for (k, (symbol, words)) in entries.iter().enumerate() {
        let x = k as f64 * ENTRY_MM;
        symbol(Point::new(x + SYMBOL_MM * 0.5, ROW_MM * 0.5), &mut canvas);
        let room = ENTRY_MM - SYMBOL_MM - 1.5;
        let at = Point::new(x + SYMBOL_MM + 1.0, ROW_MM * 0.5 + LEAST_LETTERING_MM * 0.5);
        let words = shortened(words, room, LEAST_LETTERING_MM, Weight::Plain);
        canvas.push(Mark::Text(Text::new(at, words, LEAST_LETTERING_MM)));
    }
    Row {
        height: ROW_MM,
        marks: canvas.into_marks(),
    }
}

fn field(at: Point, half_width: f64, half_height: f64) -> Vec<Point> {
    let p = Point::new;
    vec![
        at + p(-half_width, -half_height),
        at + p(half_width, -half_height),
        at + p(half_width, half_height),
        at + p(-half_width, half_height),
    ]
}

fn wall(at: Point, canvas: &mut Canvas) {
    let area = field(at, 6.0, 1.6);
    canvas.push(hatch(&area, 1.5, false, floor::HATCH));
    canvas.push(Mark::area(area, Some(floor::WALL), Fill::None));
}

fn datum_symbol(at: Point, canvas: &mut Canvas) {
    datum(at, canvas);
}

fn rack(at: Point, canvas: &mut Canvas) {
    canvas.push(Mark::area(
        field(at, 6.0, 1.9),
        Some(Pen::black(0.25)),
        Fill::White,
    ));
    for x in [-4.0, 0.0, 4.0] {
        canvas.push(Mark::area(
            field(at + Point::new(x, 0.0), 1.6, 1.4),
            Some(floor::THIN),
            Fill::None,
        ));
    }
    let low = at + Point::new(0.0, 1.9);
    canvas.push(Mark::line(
        low - Point::new(6.0, 0.0),
        low + Point::new(6.0, 0.0),
        floor::FACE,
    ));
}

fn rack_words(at: Point, canvas: &mut Canvas) {
    let base = at + Point::new(0.0, LEAST_LETTERING_MM * 0.5);
    canvas.push(Mark::Text(
        Text::new(base, "R3 · 9", LEAST_LETTERING_MM)
            .anchored(Anchor::Middle)
            .bold(),
    ));
}

fn strip(at: Point, canvas: &mut Canvas) {
    let area = field(at, 6.0, 2.2);
    if let Some(convex) = Convex::hull(&area) {
        canvas.push(dots(&convex, 1.6, floor::DOTS));
    }
    canvas.push(Mark::area(area, Some(floor::STRIP), Fill::None));
}

fn outlet_of(at: Point, status: Status, canvas: &mut Canvas) {
    let foot = at + Point::new(0.0, 2.3);
    canvas.push(Mark::line(
        foot - Point::new(4.0, 0.0),
        foot + Point::new(4.0, 0.0),
        floor::WALL,
    ));
    floor::outlet(foot, Point::new(0.0, -1.0), status, canvas);
}

fn outlet_existing(at: Point, canvas: &mut Canvas) {
    outlet_of(at, Status::Existing, canvas);
}

fn outlet_new(at: Point, canvas: &mut Canvas) {
    outlet_of(at, Status::New, canvas);
}

fn data_point(at: Point, canvas: &mut Canvas) {
    let foot = at + Point::new(0.0, 1.4);
    fixtures::data_point(foot, Point::new(0.0, -1.0), floor::THIN, canvas);
}

fn camera(at: Point, canvas: &mut Canvas) {
    fixtures::camera(at - Point::new(1.4, 0.0), Point::X, canvas);
}

fn radiator(at: Point, canvas: &mut Canvas) {
    let area = field(at, 6.0, 1.0);
    canvas.push(hatch(&area, 1.0, false, floor::THIN));
    canvas.push(Mark::area(area, Some(floor::THIN), Fill::None));
}

fn beam(at: Point, canvas: &mut Canvas) {
    canvas.push(Mark::area(
        field(at, 6.0, 1.6),
        Some(floor::SPACE),
        Fill::None,
    ));
}

fn pipe(at: Point, canvas: &mut Canvas) {
    let area = field(at, 6.0, 1.0);
    canvas.push(hatch(&area, 2.4, true, floor::THIN));
    canvas.push(Mark::area(area, Some(floor::SPACE), Fill::None));
}

fn circuit(at: Point, canvas: &mut Canvas) {
    tag(at, Point::X, "C01", canvas);
}

fn supply(at: Point, canvas: &mut Canvas) {
    canvas.push(Mark::area(
        field(at, 3.0, 1.8),
        Some(Pen::black(0.25)),
        Fill::Tint,
    ));
    canvas.push(Mark::line(
        at + Point::new(-3.0, 1.8),
        at + Point::new(3.0, -1.8),
        floor::THIN,
    ));
}

fn panel(at: Point, canvas: &mut Canvas) {
    canvas.push(Mark::area(
        field(at, 5.0, 1.3),
        Some(Pen::black(0.25)),
        Fill::Black,
    ));
}

fn working_space(at: Point, canvas: &mut Canvas) {
    let area = field(at, 6.0, 2.2);
    if let [a, b, c, d] = area.as_slice() {
        canvas.push(Mark::Strokes {
            lines: vec![(*a, *c), (*b, *d)],
            pen: Pen::grey(0.13),
        });
    }
    canvas.push(Mark::area(area, Some(floor::SPACE), Fill::None));
}

fn cooling(at: Point, canvas: &mut Canvas) {
    canvas.push(Mark::area(
        field(at - Point::new(3.0, 0.0), 1.3, 2.2),
        Some(Pen::black(0.25)),
        Fill::Tint,
    ));
    let tip = at + Point::new(4.5, 0.0);
    canvas.push(Mark::line(at - Point::new(1.2, 0.0), tip, Pen::black(0.35)));
    let head = vec![
        tip,
        tip + Point::new(-2.2, 1.1),
        tip + Point::new(-2.2, -1.1),
    ];
    canvas.push(Mark::area(head, None, Fill::Black));
}

fn line(at: Point, pen: Pen, canvas: &mut Canvas) {
    canvas.push(Mark::line(
        at - Point::new(6.5, 0.0),
        at + Point::new(6.5, 0.0),
        pen,
    ));
}

fn keep_out(at: Point, canvas: &mut Canvas) {
    line(at, floor::KEEP_OUT, canvas);
}

fn throw(at: Point, canvas: &mut Canvas) {
    line(at, floor::THROW, canvas);
}

fn column(at: Point, canvas: &mut Canvas) {
    let area = field(at, 2.0, 2.0);
    canvas.push(hatch(&area, 1.2, false, floor::HATCH));
    canvas.push(hatch(&area, 1.2, true, floor::HATCH));
    canvas.push(Mark::area(area, Some(floor::WALL), Fill::None));
}

fn zone(at: Point, falling: bool, canvas: &mut Canvas) {
    let area = field(at, 6.0, 2.2);
    canvas.push(hatch(&area, 2.0, falling, Pen::grey(0.13)));
    canvas.push(Mark::area(area, Some(floor::SPACE), Fill::None));
}

fn wet(at: Point, canvas: &mut Canvas) {
    zone(at, true, canvas);
}

fn clear(at: Point, canvas: &mut Canvas) {
    zone(at, false, canvas);
}

fn existing(at: Point, canvas: &mut Canvas) {
    line(at, floor::status_pen(Status::Existing), canvas);
}

fn new(at: Point, canvas: &mut Canvas) {
    line(at, floor::status_pen(Status::New), canvas);
}

fn moved(at: Point, canvas: &mut Canvas) {
    line(at, floor::status_pen(Status::Moved), canvas);
}

fn removed(at: Point, canvas: &mut Canvas) {
    line(at, floor::status_pen(Status::Removed), canvas);
}

fn dimension(at: Point, canvas: &mut Canvas) {
    line(at, floor::THIN, canvas);
    let half = Point::new(1.1, -1.1);
    let end = at + Point::new(5.0, 0.0);
    canvas.push(Mark::line(end - half, end + half, Pen::black(0.5)));
    canvas.push(Mark::Circle {
        centre: at - Point::new(5.0, 0.0),
        radius: 0.9,
        pen: Some(floor::THIN),
        fill: Fill::White,
    });
}

/// The datum mark: a circle in quarters, two of them black.
pub(super) fn datum(at: Point, canvas: &mut Canvas) {
    const RADIUS: f64 = 2.0;
    canvas.push(Mark::Circle {
        centre: at,
        radius: RADIUS,
        pen: Some(Pen::black(0.25)),
        fill: Fill::White,
    });
    for quarter in [0.0_f64, 2.0] {
        let mut points = vec![at];
        let mut k = 0.0;
        while k <= 6.0 {
            let (sin, cos) = libm::sincos((quarter + k / 6.0) * std::f64::consts::FRAC_PI_2);
            points.push(at + Point::new(cos, sin) * RADIUS);
            k += 1.0;
        }
        canvas.push(Mark::area(points, None, Fill::Black));
    }
}

/// The notes and cautions.
pub(super) fn notes(subject: &Subject<'_>, lost: usize) -> Block {
    let room = subject.layout.plan().room();
    let practice = subject.practice();
    let units = match practice {
        Practice::Us => "Dimensions are feet and inches to the nearest 1/16 in",
        Practice::Metric => "Dimensions are millimetres",
    };
    let mut texts = vec![
        "Planning aid. A licensed electrician, the local code, the landlord and the insurer decide.".to_owned(),
        "Verify every dimension in the field before ordering or building. Written dimensions govern; do not scale.".to_owned(),
        format!(
            "{units}, from the datum corner along the faces of the walls: x across the sheet, y up or down it. \
             Outlets to the middle of the box, all else to the edges. AFF: above the finished floor. Ceiling {} AFF.",
            dimension_mm(room.ceiling.mm(), practice)
        ),
        "C? and \"unknown\": not yet traced or entered. \"> 9.9 ?\": a figure is missing in the sum.".to_owned(),
    ];
    if subject.layout.parts().any(|p| p.jet.is_some()) {
        let heights = floor::printer_heights(subject);
        texts.push(format!(
            "Air lines: cold jet at top fan, empty room, fastest between {} and {} AFF; an estimate.",
            dimension_mm(heights.low, practice),
            dimension_mm(heights.high, practice)
        ));
    }
    if subject.layout.of_kind(ItemKind::Cooling).next().is_some() {
        texts.push(
            "Supply, drain and fixing of cooling units are not planned here: by their installer."
                .to_owned(),
        );
    }
    if subject.layout.phase() > PhaseNo::default() {
        texts.push("\"ph. 1\" behind a status: done in that earlier phase. New, moved or removed without it: work of this phase.".to_owned());
    }
    if subject
        .layout
        .of_kind(ItemKind::Ups)
        .any(|p| p.solid.is_none())
    {
        texts.push("UPS at the foot of a rack: anywhere along its back that the cord reaches from; their cases show the floor they take.".to_owned());
    }
    if subject.has_slant() {
        texts.push("Things on a wall at a slant are measured along it from its end nearer the datum (* in the schedules).".to_owned());
    }
    if lost > 0 {
        texts.push(format!(
            "Marks or dimensions that found no room in the drawing: {lost}; see the schedules as far as listed."
        ));
    }
    Block::paragraphs("Notes and cautions", "lines of notes", &texts)
}

/// Scale bar, check bar and north arrow from an upper left corner.
pub(super) fn strip_marks(subject: &Subject<'_>, view: &View, low: Point, canvas: &mut Canvas) {
    canvas.group("scale-bar", |c| {
        scale_bar(subject, view.share, low + Point::new(2.0, 6.0), c);
    });
    check_bar(low + Point::new(2.0, 18.5), canvas);
    north(
        subject,
        low + Point::new(STRIP_WIDTH_MM - 12.0, 12.5),
        canvas,
    );
}

/// The step of the scale bar in the unit of the practice, and that unit in millimetres.
fn bar_step(practice: Practice, share: f64) -> (f64, f64, &'static str) {
    let (unit_mm, word) = match practice {
        Practice::Us => (304.8, "ft"),
        Practice::Metric => (1000.0, "m"),
    };
    let mut step = 0.1;
    let mut decade = 0.1;
    for _ in 0..6 {
        for times in [1.0, 2.0, 5.0] {
            // Feet are not divided by tenths on a scale bar.
            let whole = practice == Practice::Metric || decade * times > 0.99;
            if whole && decade * times * PARTS * unit_mm * share <= BAR_MOST_MM {
                step = decade * times;
            }
        }
        decade *= 10.0;
    }
    (step, unit_mm, word)
}

fn scale_bar(subject: &Subject<'_>, share: f64, at: Point, canvas: &mut Canvas) {
    let (step, unit_mm, word) = bar_step(subject.practice(), share);
    let part = step * unit_mm * share;
    let mut k = 0.0;
    while k < PARTS {
        let low = at + Point::new(k * part, 0.0);
        let fill = if k % 2.0 < 0.5 {
            Fill::Black
        } else {
            Fill::White
        };
        canvas.push(Mark::rectangle(
            low,
            low + Point::new(part, 2.0),
            Some(Pen::black(0.25)),
            fill,
        ));
        k += 1.0;
    }
    let mut k = 0.0;
    while k <= PARTS {
        let value = (k * step * 10.0).round() / 10.0;
        let words = if k < PARTS {
            format!("{value}")
        } else {
            format!("{value} {word}")
        };
        let base = at + Point::new(k * part, -1.3);
        let anchor = if k < PARTS {
            Anchor::Middle
        } else {
            Anchor::Start
        };
        let shift = if k < PARTS { 0.0 } else { -1.5 };
        canvas.try_text(
            Text::new(base + Point::new(shift, 0.0), words, LEAST_LETTERING_MM).anchored(anchor),
        );
        k += 1.0;
    }
}

fn check_bar(at: Point, canvas: &mut Canvas) {
    let end = at + Point::new(CHECK_MM, 0.0);
    let tick = Point::new(0.0, 1.5);
    canvas.push(Mark::Group {
        name: "check-bar",
        marks: vec![
            Mark::line(at, end, Pen::black(0.35)),
            Mark::Strokes {
                lines: vec![(at - tick, at + tick), (end - tick, end + tick)],
                pen: Pen::black(0.35),
            },
        ],
    });
    canvas.try_text(Text::new(
        at + Point::new(0.0, -2.4),
        "This line is 100 mm (3 15/16 in) long: print at 100 %",
        LEAST_LETTERING_MM,
    ));
}

fn north(subject: &Subject<'_>, at: Point, canvas: &mut Canvas) {
    let (sin, cos) = subject.layout.plan().room().north.sin_cos();
    // Anticlockwise from up the sheet; y runs down on paper.
    let up = Point::new(-sin, -cos);
    let side = up.perp();
    let tip = at + up * 7.0;
    canvas.push(Mark::Circle {
        centre: at,
        radius: 5.0,
        pen: Some(Pen::black(0.25)),
        fill: Fill::None,
    });
    canvas.push(Mark::area(
        vec![tip, at + side * 2.0, at - up * 1.5],
        None,
        Fill::Black,
    ));
    canvas.push(Mark::area(
        vec![tip, at - side * 2.0, at - up * 1.5],
        Some(floor::THIN),
        Fill::White,
    ));
    let base = at + up * 9.6 + Point::new(0.0, LEAST_LETTERING_MM * 0.5);
    canvas.try_text(
        Text::new(base, "N", LEAST_LETTERING_MM)
            .anchored(Anchor::Middle)
            .bold(),
    );
}
