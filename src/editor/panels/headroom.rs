//! The headroom tape: a tape measure of printers with the placed count, a flag for every ceiling, the count hoped for, and
//! what a search has found. Calls no number the true maximum that is not proved.

use egui::text::{LayoutJob, TextWrapping};
use egui::{
    Align2, Color32, Painter, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind, Ui,
    WidgetInfo, pos2, vec2,
};

use crate::editor::shown::Shown;
use crate::editor::theme::{self, Palette, line, palette, text};
use crate::editor::widgets;
use crate::fill::{Answer, Ceiling, Headroom, NOT_JUDGED};

const HEIGHT: f32 = 96.0;
/// What name and count take by themselves.
const COUNT_HEIGHT: f32 = 84.0;
/// Below this width the tape lies under name and count.
const NARROW: f32 = 700.0;
/// Top of the tape below the top of the panel: room for the rows of flags.
const TAPE_TOP: f32 = 54.0;
/// Rows of flags above the tape.
const ROWS: usize = 3;
const TAPE_HEIGHT: f32 = 28.0;
const FLAG_HEIGHT: f32 = 15.0;

/// Shows name, tape and count.
pub fn headroom_ui(ui: &mut Ui, shown: &Shown<'_>) {
    let colours = palette(ui);
    let width = ui.available_width();
    let narrow = width < NARROW;
    let height = if narrow {
        HEIGHT + COUNT_HEIGHT
    } else {
        HEIGHT
    };
    let (rect, _) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
    let left = Rect::from_min_size(rect.min + vec2(18.0, 2.0), vec2(250.0, HEIGHT));
    let right = Rect::from_min_max(pos2(rect.right() - 220.0, rect.top()), rect.max);
    // Below name and count where there is no room between them.
    let middle = if narrow {
        Rect::from_min_max(
            pos2(left.left(), rect.top() + COUNT_HEIGHT),
            pos2(rect.right() - 18.0, rect.bottom()),
        )
    } else {
        Rect::from_min_max(
            pos2(left.right() + 20.0, rect.top()),
            pos2(right.left() - 20.0, rect.bottom()),
        )
    };
    title(ui, shown, left, colours);
    Tape::new(shown.headroom, shown.known(), middle).ui(ui, colours);
    count(ui, shown, right, colours);
}

fn title(ui: &Ui, shown: &Shown<'_>, rect: Rect, colours: &Palette) {
    let painter = ui.painter_at(rect);
    let name = match shown.plan.head().name.as_str() {
        "" => "Unnamed plan",
        name => name,
    };
    let mut job = LayoutJob::simple_singleline(
        name.to_owned(),
        theme::bold(text::TITLE),
        colours.frame_strong,
    );
    job.wrap = TextWrapping::truncate_at_width(rect.width());
    let galley = painter.layout_job(job);
    painter.galley(rect.min + vec2(0.0, 6.0), galley, colours.frame_strong);
    let (state, colour) = if shown.read_only {
        ("read only", colours.frame_caution)
    } else if shown.unsaved {
        ("unsaved changes", colours.frame_caution)
    } else if shown.file.is_empty() {
        ("the example", colours.frame_weak)
    } else {
        ("as in its file", colours.frame_weak)
    };
    let words = if shown.file.is_empty() {
        format!("no file yet · {state}")
    } else {
        format!("{} · {state}", shown.file)
    };
    painter.text(
        rect.min + vec2(0.0, 36.0),
        Align2::LEFT_TOP,
        &words,
        theme::plain(text::LABEL),
        colour,
    );
    name_node(ui, rect, "plan", &format!("{name}, {words}"));
}

fn count(ui: &Ui, shown: &Shown<'_>, rect: Rect, colours: &Palette) {
    let painter = ui.painter_at(rect);
    let placed = shown.headroom.placed;
    let known = shown.known();
    let words = match known.filter(|a| a.is_proved() && placed <= a.printers) {
        Some(answer) => format!("{placed} of {}", answer.printers),
        None => format!("{placed} placed"),
    };
    painter.text(
        rect.min + vec2(0.0, 4.0),
        Align2::LEFT_TOP,
        &words,
        theme::bold(text::COUNT),
        colours.frame_strong,
    );
    let (below, note, colour) = match known {
        Some(answer) => {
            let proved = answer.is_proved();
            let colour = if proved {
                colours.frame_met
            } else {
                colours.frame_text
            };
            (answer.words(), NOT_JUDGED, colour)
        }
        None if shown.filling.is_searching(shown.phase()) => (
            "counting what the floor holds".to_owned(),
            NOT_JUDGED,
            colours.frame_text,
        ),
        None if shown.headroom.slots == 0 => (
            "no rack yet".to_owned(),
            "F9: Fill counts what the floor holds",
            colours.frame_text,
        ),
        None => (
            lowest(shown),
            "an upper bound, not yet a proof",
            colours.frame_text,
        ),
    };
    let mut top = rect.top() + 38.0;
    for (line, size, colour) in [
        (below.as_str(), text::LABEL, colour),
        (note, text::SMALL, colours.frame_weak),
    ] {
        let galley = painter.layout(
            line.to_owned(),
            theme::plain(size),
            colour,
            rect.width() - 12.0,
        );
        let height = galley.size().y;
        painter.galley(pos2(rect.left(), top), galley, colour);
        top += height + 1.0;
    }
    name_node(ui, rect, "count", &format!("{words}, {below}. {note}"));
}

/// The least of the ceilings that are known.
fn lowest(shown: &Shown<'_>) -> String {
    let known = shown.headroom.ceilings.iter();
    match known.filter_map(|c| Some((c.allows?, c.limit))).min() {
        Some((allows, limit)) => format!("lowest ceiling: {limit} {allows}"),
        None => "no ceiling known yet".to_owned(),
    }
}

/// Names something painted for screen readers and tests.
fn name_node(ui: &Ui, rect: Rect, salt: &str, name: &str) -> Response {
    let response = ui.interact(
        rect,
        ui.unique_id().with(("headroom", salt)),
        Sense::hover(),
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, name));
    response
}

/// The tape laid out in its place: how many points a printer takes.
struct Tape<'a> {
    headroom: &'a Headroom,
    best: Option<&'a Answer>,
    place: Rect,
    most: u32,
}

impl<'a> Tape<'a> {
    fn new(headroom: &'a Headroom, best: Option<&'a Answer>, rect: Rect) -> Self {
        let known = headroom.ceilings.iter().filter_map(|c| c.allows);
        let longest = known
            .chain([headroom.placed, headroom.slots])
            .chain(headroom.hoped_for)
            .chain(best.map(|answer| answer.printers))
            .max()
            .unwrap_or(0);
        let unknown_room = 84.0;
        Self {
            headroom,
            best,
            place: Rect::from_min_max(
                pos2(rect.left(), rect.top() + TAPE_TOP),
                pos2(
                    rect.right() - unknown_room,
                    rect.top() + TAPE_TOP + TAPE_HEIGHT,
                ),
            ),
            most: longest.saturating_add(longest / 8 + 5).max(20),
        }
    }

    fn x(&self, printers: u32) -> f32 {
        self.place.left() + self.place.width() * share(printers, self.most)
    }

    fn ui(&self, ui: &Ui, colours: &Palette) {
        let painter = ui.painter();
        painter.rect_filled(self.place, 3.0, colours.tape);
        let placed = Rect::from_min_max(
            self.place.min,
            pos2(self.x(self.headroom.placed), self.place.bottom()),
        );
        painter.rect_filled(placed, 3.0, colours.tape_placed);
        self.ticks(painter, colours);
        let words = format!("{} placed", self.headroom.placed);
        if placed.width() > 80.0 {
            let font = theme::bold(text::BODY);
            let galley = painter.layout_no_wrap(words.clone(), font, colours.tape_text);
            let patch = Rect::from_center_size(placed.center() + vec2(0.0, 5.0), galley.size());
            // Ticks stop before the words.
            painter.rect_filled(patch.expand2(vec2(5.0, 0.0)), 0.0, colours.tape_placed);
            painter.galley(patch.min, galley, colours.tape_text);
        }
        name_node(ui, self.place, "tape", &format!("Headroom tape: {words}"));
        self.hoped_for(ui, colours);
        self.flags(ui, colours);
        if let Some(answer) = self.best {
            self.best(ui, colours, answer);
        }
    }

    /// The least of the given steps, or a ten-fold of one, that takes more than so many points of the tape; the whole tape
    /// where none does.
    fn step(&self, steps: &[u32], points: f32) -> u32 {
        let tens = std::iter::successors(Some(1_u32), |ten| ten.checked_mul(10));
        tens.flat_map(|ten| steps.iter().map(move |n| n.saturating_mul(ten)))
            .find(|n| self.place.width() * share(*n, self.most) > points)
            .unwrap_or(self.most)
    }

    fn ticks(&self, painter: &Painter, colours: &Palette) {
        let stroke = Stroke::new(line::HAIR, colours.tape_text);
        let every = self.step(&[1, 5], 3.5);
        let labelled = self.step(&[10, 20, 50], 40.0);
        let mut n = every;
        while n < self.most {
            let long = n.is_multiple_of(labelled);
            let height = if long { 8.0 } else { 4.0 };
            let x = self.x(n);
            painter.line_segment(
                [
                    pos2(x, self.place.bottom() - height),
                    pos2(x, self.place.bottom()),
                ],
                stroke,
            );
            if long {
                painter.text(
                    pos2(x - 3.0, self.place.top() + 1.0),
                    Align2::RIGHT_TOP,
                    n.to_string(),
                    theme::plain(text::TINY),
                    colours.tape_text,
                );
            }
            n = n.saturating_add(every);
        }
    }

    fn hoped_for(&self, ui: &Ui, colours: &Palette) {
        let Some(hoped) = self.headroom.hoped_for else {
            return;
        };
        let x = self.x(hoped);
        let foot = pos2(x, self.place.bottom() + 12.0);
        let stroke = Stroke::new(line::MEASURE, colours.frame_weak);
        let ends = [pos2(x, self.place.top()), foot];
        ui.painter()
            .extend(Shape::dashed_line(&ends, stroke, 3.0, 3.0));
        let words = format!("hoped for {hoped}");
        // The greater of the two counts below the tape has its words to the right of its line, the lesser to the left.
        let below_best = self.best.is_some_and(|answer| hoped < answer.printers);
        let (off, align) = if below_best {
            (-5.0, Align2::RIGHT_CENTER)
        } else {
            (5.0, Align2::LEFT_CENTER)
        };
        let rect = ui.painter().text(
            foot + vec2(off, 2.0),
            align,
            &words,
            theme::plain(text::SMALL),
            colours.frame_text,
        );
        name_node(ui, rect, "hoped", &words);
    }

    /// The mark of the best arrangement: a full plate where no arrangement holds more, an empty one where it was only found.
    fn best(&self, ui: &Ui, colours: &Palette, answer: &Answer) {
        let proved = answer.is_proved();
        let word = if proved { "true maximum" } else { "found" };
        let words = format!("{} {word}", answer.printers);
        let x = self.x(answer.printers);
        let ink = if proved {
            colours.true_maximum_text
        } else {
            colours.frame_strong
        };
        let painter = ui.painter();
        let galley = painter.layout_no_wrap(words, theme::bold(text::SMALL), ink);
        let size = galley.size() + vec2(12.0, 3.0);
        let to_the_right = self.headroom.hoped_for.is_some_and(|n| n < answer.printers);
        let left = if to_the_right {
            x - 2.0
        } else {
            x + 2.0 - size.x
        };
        let left = left.max(self.place.left()).min(self.place.right() - size.x);
        let plate = Rect::from_min_size(pos2(left, self.place.bottom() + 3.0), size);
        let ends = [pos2(x, self.place.top() - 3.0), pos2(x, plate.top() + 1.0)];
        if proved {
            painter.line_segment(ends, Stroke::new(line::SELECTION + 2.0, colours.tape_text));
            painter.line_segment(ends, Stroke::new(line::SELECTION, colours.true_maximum));
        } else {
            let stroke = Stroke::new(line::WAY, colours.tape_text);
            painter.extend(Shape::dashed_line(&ends, stroke, 4.0, 2.0));
        }
        let fill = if proved {
            colours.true_maximum
        } else {
            colours.frame
        };
        let edge = Stroke::new(line::MEASURE, colours.true_maximum);
        painter.rect(
            plate,
            f32::from(theme::corner::FLAG),
            fill,
            edge,
            StrokeKind::Inside,
        );
        painter.galley(plate.min + vec2(6.0, 1.5), galley, ink);
        let name = format!(
            "{word}: {} printers, {}. {NOT_JUDGED}",
            answer.printers,
            answer.words()
        );
        name_node(ui, plate, "best", &name).on_hover_text(name);
    }

    /// A flag for every ceiling: at its place where it is known, at the right end where it is not.
    fn flags(&self, ui: &Ui, colours: &Palette) {
        let mut known: Vec<(u32, &Ceiling)> = self
            .headroom
            .ceilings
            .iter()
            .filter_map(|c| Some((c.allows?, c)))
            // Without a rack there is no place on one, which says nothing of the room.
            .filter(|(_, c)| c.limit != "slots" || self.headroom.slots > 0)
            .collect();
        // From the greatest down, each on the lowest row that is free: what hangs below a flag then lies to the right of its
        // pole, and no pole runs through words.
        known.sort_by_key(|(allows, c)| std::cmp::Reverse((*allows, c.limit)));
        let mut rows = [f32::INFINITY; ROWS];
        for (allows, ceiling) in known {
            let words = format!("{} {allows}", ceiling.limit);
            let galley =
                ui.painter()
                    .layout_no_wrap(words, theme::plain(text::SMALL), colours.flag_text);
            let width = galley.size().x + 10.0;
            let x = self.x(allows);
            let free = rows
                .iter_mut()
                .enumerate()
                .find(|(_, left)| x + width + 3.0 <= **left);
            let row = free.map_or(ROWS - 1, |(row, left)| {
                *left = x;
                row
            });
            let up = (0..row).fold(0.0, |up, _| up + FLAG_HEIGHT + 2.0);
            let top = self.place.top() - 2.0 - FLAG_HEIGHT - up;
            let flag = Rect::from_min_size(pos2(x, top), vec2(width, FLAG_HEIGHT));
            ui.painter().line_segment(
                [pos2(x, top), pos2(x, self.place.bottom())],
                Stroke::new(line::MEASURE, colours.frame_text),
            );
            ui.painter()
                .rect_filled(flag, f32::from(theme::corner::FLAG), colours.flag);
            let at = pos2(flag.left() + 5.0, flag.center().y - galley.size().y * 0.5);
            ui.painter().galley(at, galley, Color32::PLACEHOLDER);
            let name = format!(
                "{} ceiling: {allows} printers, {}",
                ceiling.limit, ceiling.basis
            );
            name_node(ui, flag, ceiling.limit, &name).on_hover_text(name);
        }
        self.unknown_flags(ui, colours);
    }

    fn unknown_flags(&self, ui: &Ui, colours: &Palette) {
        let unknown = self.headroom.ceilings.iter().filter(|c| c.allows.is_none());
        let mut top = self.place.top() - TAPE_TOP + 6.0;
        for ceiling in unknown {
            let flag = Rect::from_min_size(
                pos2(self.place.right() + 10.0, top),
                vec2(74.0, FLAG_HEIGHT),
            );
            top += FLAG_HEIGHT + 2.0;
            ui.painter().rect_stroke(
                flag,
                f32::from(theme::corner::FLAG),
                Stroke::new(line::EDGE, colours.flag_unknown),
                StrokeKind::Inside,
            );
            ui.painter().text(
                flag.center(),
                Align2::CENTER_CENTER,
                format!("{} ?", ceiling.limit),
                theme::plain(text::SMALL),
                colours.flag_unknown,
            );
            let name = format!("{} ceiling: unknown, {}", ceiling.limit, ceiling.basis);
            name_node(ui, flag, ceiling.limit, &name).on_hover_text(name);
        }
    }
}

fn share(part: u32, whole: u32) -> f32 {
    widgets::share(f64::from(part), f64::from(whole.max(1)))
}
