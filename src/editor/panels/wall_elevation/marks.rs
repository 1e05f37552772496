//! Where the marks of all that is seen on a wall are written, so that no two lie over one another. Draws none of the things.

use egui::{Align2, Color32, Painter, Rect, Stroke, vec2};

use super::Drawing;
use crate::editor::theme::{self, line, text};
use crate::layout::{OnFace, Overhung, WallFace};

/// Gap between a thing and its mark, in points.
const GAP: f32 = 2.0;
/// From this distance on a line leads from a mark to its thing, in points.
const LED: f32 = 6.0;
/// Rows within which a mark keeps off the small things too.
const ROWS_OFF_THINGS: u8 = 4;
/// Rows that are tried at all: more than marks find place beside one another on a screen.
const ROWS_MOST: u8 = 60;

/// Where a mark goes when its place is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ways {
    /// Down alone, for what hangs from the ceiling or is as high as a rack.
    Down,
    /// Below the thing, and on from there up and down.
    Both,
}

/// A mark that is to be written.
struct Wanted<'a> {
    words: String,
    ink: Color32,
    thing: &'a Rect,
    /// What it is written at, and how.
    at: (egui::Pos2, Align2),
    ways: Ways,
    /// True where paper is laid under it.
    plate: bool,
}

/// The marks written so far.
struct Marks<'a> {
    taken: Vec<Rect>,
    /// What is too small to take its own mark.
    small: &'a [Rect],
    /// The wall, which they keep to up and down.
    wall: Rect,
}

impl Drawing {
    /// Writes the mark of everything on the wall: first what has room for its own, then what stands before, then the small.
    ///
    /// `taken` is where other words stand.
    pub(super) fn marks(&self, painter: &Painter, face: &WallFace, taken: &[Rect]) {
        let fixed: Vec<(&OnFace, Rect)> = face.fixed.iter().map(|t| (t, self.rect(t))).collect();
        let hung: Vec<(&Overhung, Rect)> = face
            .overhead
            .iter()
            .map(|t| (t, self.overhead_rect(t)))
            .collect();
        let before: Vec<(&OnFace, Rect)> =
            face.before.iter().map(|t| (t, self.true_rect(t))).collect();
        let room = |rect: &Rect, high: f32| rect.width() > 26.0 && rect.height() > high;
        let within = |rect: &Rect| (rect.center(), Align2::CENTER_CENTER);
        let ink = self.colours.ink;
        let of_fixed = fixed.iter().map(|(thing, rect)| {
            let above = (rect.center_top() - vec2(0.0, GAP), Align2::CENTER_BOTTOM);
            Wanted {
                words: thing.id.to_string(),
                ink,
                thing: rect,
                at: if room(rect, 16.0) {
                    within(rect)
                } else {
                    above
                },
                ways: Ways::Both,
                plate: false,
            }
        });
        let of_hung = hung.iter().map(|(thing, rect)| {
            let below = (rect.center_bottom() + vec2(0.0, GAP), Align2::CENTER_TOP);
            Wanted {
                words: thing.on.id.to_string(),
                ink,
                thing: rect,
                at: if room(rect, 12.0) {
                    within(rect)
                } else {
                    below
                },
                ways: Ways::Down,
                plate: true,
            }
        });
        let of_before = before.iter().map(|(body, rect)| Wanted {
            words: body.id.to_string(),
            ink: self.colours.ink_weak,
            thing: rect,
            at: (rect.left_top() + vec2(4.0, GAP), Align2::LEFT_TOP),
            ways: Ways::Down,
            plate: false,
        });
        let mut all: Vec<Wanted<'_>> = of_fixed.chain(of_hung).chain(of_before).collect();
        all.sort_by_key(|wanted| wanted.at.1 == Align2::CENTER_BOTTOM);
        let small = fixed.iter().map(|(_, rect)| *rect);
        let small: Vec<Rect> = small.filter(|rect| !room(rect, 16.0)).collect();
        let mut marks = Marks {
            taken: taken.to_vec(),
            small: &small,
            wall: self.wall,
        };
        for wanted in &all {
            self.write(painter, wanted, &mut marks);
        }
    }

    fn write(&self, painter: &Painter, wanted: &Wanted<'_>, marks: &mut Marks<'_>) {
        let plate =
            painter.layout_no_wrap(wanted.words.clone(), theme::plain(text::TINY), wanted.ink);
        let first = wanted.at.1.anchor_size(wanted.at.0, plate.size());
        let place = marks.place(first, wanted.thing, wanted.ways);
        let thing = wanted.thing;
        let (under, over) = (place.top() - thing.bottom(), thing.top() - place.bottom());
        if under.max(over) > LED {
            let (from, to) = if under > over {
                (thing.center_bottom(), place.center_top())
            } else {
                (thing.center_top(), place.center_bottom())
            };
            let stroke = Stroke::new(line::HAIR, self.colours.ink_weak);
            painter.line_segment([from, to], stroke);
        }
        if wanted.plate {
            painter.rect_filled(place.expand(1.0), 2.0, self.colours.paper);
        }
        painter.galley(place.min, plate, wanted.ink);
        marks.taken.push(place);
    }
}

impl Marks<'_> {
    /// The first place that no other mark has, row by row off the wanted one.
    fn place(&self, first: Rect, thing: &Rect, ways: Ways) -> Rect {
        let row = first.height();
        let below = match ways {
            Ways::Down => first,
            // The other side of the thing, as far off.
            Ways::Both => {
                let down = (thing.bottom() + GAP - first.top()).max(0.0);
                first.translate(vec2(0.0, down))
            }
        };
        let rows = (0..ROWS_MOST).map(f32::from).map(|k| k * row);
        let both = |off: f32| {
            let up = first.translate(vec2(0.0, -off));
            let down = below.translate(vec2(0.0, off));
            match ways {
                Ways::Down => [down, down],
                Ways::Both => [up, down],
            }
        };
        let free = |place: &Rect| self.taken.iter().all(|t| !overlap(t, place));
        let clear = |place: &Rect| {
            let mut others = self.small.iter().filter(|s| *s != thing);
            let on_wall = place.top() >= self.wall.top() && place.bottom() <= self.wall.bottom();
            free(place) && on_wall && others.all(|s| !overlap(s, place))
        };
        let near = rows.clone().take(usize::from(ROWS_OFF_THINGS));
        near.flat_map(both)
            .find(clear)
            .or_else(|| rows.flat_map(both).find(free))
            .unwrap_or(first)
    }
}

/// True where they cannot be told apart: beside one another there is a little air between, over one another they may touch.
fn overlap(a: &Rect, b: &Rect) -> bool {
    a.expand2(vec2(1.5, -0.25)).intersects(*b)
}
