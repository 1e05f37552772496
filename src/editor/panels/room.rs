//! The room: its walls, a new outline, and the room as it was measured: the walls one after another as taken with a tape,
//! diagonals as a check, and what they say about each other. Keeps drafts, asks for edits.

use egui::{Key, Label, Painter, Pos2, Rect, RichText, Sense, Stroke, TextEdit, Ui, vec2};

use crate::editor::action::Actions;
use crate::editor::floor::WallTools;
use crate::editor::panels::residuals;
use crate::editor::panels::room_built::{BuiltView, draw_ui, walls_ui};
use crate::editor::shown::Shown;
use crate::editor::theme::{line, palette, text};
use crate::editor::widgets::{self, Field, FieldEvent};
use crate::geometry::traverse::Closure;
use crate::geometry::{Bounds, Point};
use crate::plan::{Diagonal, Edit, Lies, Outline, Room, Slip, Survey, TapeWalk, compass_word};
use crate::units::{Length, Practice, capital};

/// The panel's own state.
#[derive(Debug, Default)]
pub struct RoomView {
    /// The walk that the draft began from.
    base: String,
    /// The walk as it is typed.
    draft: String,
    /// What was worked out of it last.
    told: Option<Told>,
    tolerance: String,
    tolerance_error: String,
    diagonal: String,
    diagonal_error: String,
    built: BuiltView,
    part: Option<Part>,
}

/// Which part of the panel is on show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Walls,
    Draw,
    Tape,
}

/// What a drafted room says of its measurements: worked out once a draft, since least squares take longer than a frame should.
#[derive(Debug)]
struct Told {
    room: Room,
    practice: Practice,
    survey: Survey,
    sentences: Vec<String>,
    slips: Vec<Slip>,
    /// Two legs that cross, by number, the first being 1.
    crossing: Option<(usize, usize)>,
}

impl Told {
    fn of(room: Room, practice: Practice) -> Self {
        let survey = room.survey();
        Self {
            sentences: survey.sentences(&room, practice),
            slips: room.slips(&survey),
            crossing: crossing(&room),
            survey,
            room,
            practice,
        }
    }
}

/// Rooms of more walls are not looked at for crossing ones while they are typed.
const CROSSING_MOST: usize = 200;

fn crossing(room: &Room) -> Option<(usize, usize)> {
    let outline = room.polygon().filter(|_| room.walls() <= CROSSING_MOST)?;
    let (i, j) = outline.crossing()?;
    let (a, b) = (room.wall_number(i), room.wall_number(j));
    Some((a.min(b), a.max(b)))
}

/// Slips that are offered at once.
const SLIPS_SHOWN: usize = 5;

/// Shows the panel's fields.
pub fn room_ui(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut RoomView,
    tools: &mut WallTools,
    actions: &mut Actions,
) {
    let walk = shown.plan.room().tape_walk().is_some();
    let by_itself = if walk { Part::Tape } else { Part::Walls };
    let part = view.part.unwrap_or(by_itself);
    ui.horizontal(|ui| {
        for (name, choice) in [
            ("Walls", Part::Walls),
            ("Draw anew", Part::Draw),
            ("Tape walk", Part::Tape),
        ] {
            if widgets::pill(ui, name, part == choice).clicked() {
                view.part = Some(choice);
                tools.draw = None;
            }
        }
    });
    match part {
        Part::Walls => walls_ui(ui, shown, &mut view.built, tools, actions),
        Part::Draw => draw_ui(ui, shown, &mut view.built, tools, actions),
        Part::Tape => tape(ui, shown, view, actions),
    }
}

/// The room as it was measured.
fn tape(ui: &mut Ui, shown: &Shown<'_>, view: &mut RoomView, actions: &mut Actions) {
    let room = shown.plan.room();
    let practice = shown.practice();
    let now = walk_of(room).text(practice);
    if view.base != now {
        view.base.clone_from(&now);
        view.draft = now;
    }
    walls(ui, shown, view, actions);
    tolerance(ui, shown, view, actions);
    diagonals(ui, shown, view, actions);
    if let Some(told) = &view.told {
        residuals::residuals_ui(ui, &told.survey, &told.room, practice);
    }
}

/// The walk that the room was entered as, or the one that goes round its corners.
fn walk_of(room: &Room) -> TapeWalk {
    room.tape_walk()
        .cloned()
        .unwrap_or_else(|| TapeWalk::round(&room.corners()))
}

/// The draft with its picture, what is wrong with it, and what may explain that.
fn walls(ui: &mut Ui, shown: &Shown<'_>, view: &mut RoomView, actions: &mut Actions) {
    let practice = shown.practice();
    widgets::hint(
        ui,
        "One wall a line: its length and the turn after it, such as 12ft 6in left, 3810 mm right or 4 ft right 45. \
         Start at any corner and go all round; a walk can be pasted too.",
    );
    let rows = view.draft.lines().count().max(4) + 1;
    let field = TextEdit::multiline(&mut view.draft)
        .desired_width(f32::INFINITY)
        .desired_rows(rows.min(16));
    let response = ui.add_enabled(!shown.read_only, field);
    response.widget_info(|| {
        let mut info = egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Walls of the room");
        info.current_text_value = Some(view.draft.clone());
        info
    });
    let walk = match TapeWalk::parse(&view.draft, Some(practice)) {
        Ok(walk) => walk,
        Err(error) => {
            let words = RichText::new(error.to_string()).color(palette(ui).broken.text);
            ui.add(Label::new(words).wrap());
            return;
        }
    };
    // It begins where the room begins now, and its first wall lies as that one does.
    let drafted = Room {
        outline: Outline::TapeWalk(walk.clone()),
        ..shown.plan.room().as_walked()
    };
    let same = |told: &Told| told.room == drafted && told.practice == practice;
    let told = view.told.take().filter(same);
    let told = told.unwrap_or_else(|| Told::of(drafted, practice));
    picture(ui, &walk, told.room.lies);
    closure(ui, &told.room, &walk, practice);
    for sentence in &told.sentences {
        widgets::hint(ui, &format!("{}.", capital(sentence)));
    }
    slips(ui, &told.slips, &walk, view, practice);
    if let Some((a, b)) = told.crossing {
        let words =
            format!("Walls {a} and {b} cross or touch; the walk must go round once to be used.");
        let words = RichText::new(words).color(palette(ui).broken.text);
        ui.add(Label::new(words).wrap());
    }
    let chord = response.has_focus()
        && ui.input_mut(|i| i.consume_key(egui::Modifiers::COMMAND, Key::Enter));
    let used = shown.plan.room().outline == told.room.outline || told.crossing.is_some();
    if !used && !shown.read_only && (widgets::action(ui, "Use this walk").clicked() || chord) {
        actions.edit(Edit::SetRoom(Box::new(told.room.clone())));
    }
    view.told = Some(told);
}

/// Where the walk ends, against where it began.
fn closure(ui: &mut Ui, room: &Room, walk: &TapeWalk, practice: Practice) {
    let words = closure_words(&walk.closure(), room, practice);
    ui.label(RichText::new(words).size(text::LABEL).strong());
}

fn closure_words(closure: &Closure, room: &Room, practice: Practice) -> String {
    let Some(n) = closure.one_in().filter(|_| closure.length_mm > 0.05) else {
        return "The walk closes.".to_owned();
    };
    let gap = Point::new(closure.dx_mm, closure.dy_mm);
    let to = compass_word(room.lies.towards(gap), room.north);
    if closure.length_mm > room.closing_limit().mm() {
        // How far is said below, with what the tape explains.
        return format!("The walk ends {to} of its start. Until that is mended it is shared out.");
    }
    let gap = Length::from_mm(closure.length_mm).shown(practice);
    format!("The walk closes within {gap} to the {to}, 1 : {n:.0}, shared out over its walls.")
}

/// The slips that would explain it, each with a button that puts it right in the draft.
fn slips(ui: &mut Ui, found: &[Slip], walk: &TapeWalk, view: &mut RoomView, practice: Practice) {
    if found.is_empty() {
        return;
    }
    ui.label(RichText::new("It would close if").size(text::LABEL));
    let mut chosen = None;
    for slip in found.iter().take(SLIPS_SHOWN) {
        if widgets::action(ui, &slip.sentence(practice)).clicked() {
            chosen = Some(slip.mended(walk));
        }
    }
    if found.len() > SLIPS_SHOWN {
        widgets::hint(ui, &format!("and {} more ways.", found.len() - SLIPS_SHOWN));
    }
    if let Some(mended) = chosen {
        view.draft = mended.text(practice);
    }
}

/// The walk as it was entered, with the gap where it does not close.
fn picture(ui: &mut Ui, walk: &TapeWalk, lies: Lies) {
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), 130.0), Sense::hover());
    response.widget_info(|| {
        let words = format!("Picture of the walk, {} walls", walk.legs().len());
        egui::WidgetInfo::labeled(egui::Role::Image, true, words)
    });
    let stations: Vec<Point> = walk.stations().into_iter().map(|p| lies.place(p)).collect();
    let Some(bounds) = Bounds::of(&stations) else {
        return;
    };
    let painter = ui.painter_at(rect);
    let colours = palette(ui);
    painter.rect_filled(rect, 4.0, colours.paper);
    let to_screen = fitted(&bounds, rect.shrink(14.0));
    let points: Vec<Pos2> = stations.iter().map(|p| to_screen(*p)).collect();
    for pair in points.windows(2) {
        if let [a, b] = pair {
            painter.line_segment([*a, *b], Stroke::new(line::BODY, colours.body_edge));
        }
    }
    numbers(&painter, &points, colours.ink_weak);
    if let (Some(first), Some(last)) = (points.first(), points.last()) {
        painter.circle_filled(*first, 3.5, colours.measure.line);
        if first.distance(*last) > 1.0 {
            let gap = [*last, *first];
            let stroke = Stroke::new(line::SELECTION, colours.broken.line);
            painter.extend(egui::Shape::dashed_line(&gap, stroke, 4.0, 3.0));
        }
    }
}

/// The number of each wall beside its middle, as long as they are few.
fn numbers(painter: &Painter, points: &[Pos2], colour: egui::Color32) {
    if points.len() > 30 {
        return;
    }
    for (k, pair) in points.windows(2).enumerate() {
        if let [a, b] = pair {
            let along = (*b - *a).normalized();
            let at = *a + (*b - *a) * 0.5 + along.rot90() * 8.0;
            painter.text(
                at,
                egui::Align2::CENTER_CENTER,
                (k + 1).to_string(),
                egui::FontId::proportional(text::SMALL),
                colour,
            );
        }
    }
}

/// From millimetres to a rectangle of the screen, as large as it fits.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a place on the screen needs no more than 32 bits"
)]
fn fitted(bounds: &Bounds, rect: Rect) -> impl Fn(Point) -> Pos2 {
    let size = bounds.size().max(Point::splat(1.0));
    let scale = (f64::from(rect.width()) / size.x).min(f64::from(rect.height()) / size.y);
    let (middle, centre) = (bounds.centre(), rect.center());
    move |p| {
        let off = (p - middle) * scale;
        centre + vec2(off.x as f32, -off.y as f32)
    }
}

fn tolerance(ui: &mut Ui, shown: &Shown<'_>, view: &mut RoomView, actions: &mut Actions) {
    let room = shown.plan.room();
    let practice = shown.practice();
    let field = Field::new("tape is right to")
        .hint("unstated: 5 mm")
        .error(&view.tolerance_error);
    if !ui.memory(|m| m.has_focus(ui.make_persistent_id(("field", "tape is right to")))) {
        let now = room.tape_tolerance.map(|t| t.shown_exact(practice));
        view.tolerance = now.unwrap_or_default();
    }
    let FieldEvent::Committed(typed) = field.ui(ui, &mut view.tolerance) else {
        return;
    };
    let read = match typed.trim() {
        "" => Ok(None),
        words => Length::parse(words, Some(practice)).map(Some),
    };
    match read {
        Ok(tape_tolerance) => {
            view.tolerance_error.clear();
            actions.edit(Edit::SetRoom(Box::new(Room {
                tape_tolerance,
                ..room.clone()
            })));
        }
        Err(error) => view.tolerance_error = error.to_string(),
    }
}

/// The distances measured from corner to corner, each with what it is off by.
fn diagonals(ui: &mut Ui, shown: &Shown<'_>, view: &mut RoomView, actions: &mut Actions) {
    let room = shown.plan.room();
    let practice = shown.practice();
    ui.label(RichText::new("Diagonals measured as a check").size(text::LABEL));
    let set = |diagonals: Vec<Diagonal>| {
        Edit::SetRoom(Box::new(Room {
            diagonals,
            ..room.clone()
        }))
    };
    for (k, diagonal) in room.diagonals.iter().enumerate() {
        ui.horizontal_wrapped(|ui| {
            let words = format!(
                "corner {} to {}: {}",
                diagonal.from + 1,
                diagonal.to + 1,
                diagonal.length.shown(practice)
            );
            ui.label(RichText::new(&words).size(text::LABEL));
            let name = format!("Remove diagonal {}", k + 1);
            if !shown.read_only && widgets::action_named(ui, "Remove", &name).clicked() {
                let others = room.diagonals.iter().enumerate().filter(|(n, _)| *n != k);
                actions.edit(set(others.map(|(_, d)| *d).collect()));
            }
        });
    }
    let field = Field::new("add a diagonal")
        .hint("1 3 28ft 9in")
        .error(&view.diagonal_error);
    if let FieldEvent::Committed(typed) = field.ui(ui, &mut view.diagonal) {
        match diagonal_of(&typed, practice) {
            Ok(diagonal) => {
                view.diagonal.clear();
                view.diagonal_error.clear();
                let with = room.diagonals.iter().copied().chain([diagonal]);
                actions.edit(set(with.collect()));
            }
            Err(why) => view.diagonal_error = why,
        }
    }
}

/// Two corners by number, counted from 1, and the length between them.
fn diagonal_of(typed: &str, practice: Practice) -> Result<Diagonal, String> {
    let mut words = typed.trim().splitn(3, char::is_whitespace);
    let mut corner = || {
        let number = words.next()?.parse::<u16>().ok()?;
        number.checked_sub(1)
    };
    let what = "write two corners and the length between them, such as 1 3 28ft 9in";
    let (Some(from), Some(to)) = (corner(), corner()) else {
        return Err(what.to_owned());
    };
    let length = words.next().ok_or(what)?;
    let length = Length::parse(length, Some(practice)).map_err(|e| e.to_string())?;
    Ok(Diagonal { from, to, length })
}
