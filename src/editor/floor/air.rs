//! The air of cooling units on the floor: washes of all of them, and the lines of equal speed of those that are chosen. Decides
//! nothing.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, vec2};

use super::paint::Brush;
use crate::editor::shown::Shown;
use crate::editor::theme::{self, Palette, line, text};
use crate::geometry::{Bounds, Convex, Point};
use crate::layout::{Contour, DRAWN_M_S, Heights, Jet, Layout, Part, Sees};
use crate::plan::ItemKind;
use crate::units::Length;

/// A unit whose lines are drawn, and which of its air.
pub(super) struct Chosen<'a> {
    pub(super) unit: &'a Part,
    sees: Sees,
}

/// The units that are selected, or that the finding on show is about.
pub(super) fn chosen<'a>(shown: &'a Shown<'_>) -> Vec<Chosen<'a>> {
    let finding = shown.pointed_finding();
    let units = shown.layout.of_kind(ItemKind::Cooling);
    units
        .filter_map(|unit| {
            let pointed = finding.filter(|f| f.items.contains(&unit.id));
            let sees = match pointed.map(|f| f.check) {
                Some("throw") => Sees::All,
                Some("keep-out") => Sees::Fixed,
                _ if shown.selection.has(unit.id) => Sees::All,
                _ => return None,
            };
            Some(Chosen { unit, sees })
        })
        .collect()
}

/// Draws a line of equal air speed: the faster, the heavier and the longer its dashes, so that they can be told apart without colour.
pub(in crate::editor) fn air_pen(painter: &Painter, run: &[Pos2], speed: f64, colours: &Palette) {
    let [slow, middling, _] = DRAWN_M_S;
    let tone = colours.zone_jet.line;
    let (width, dash, gap) = if speed <= slow {
        (line::EDGE, 2.5, 3.5)
    } else if speed <= middling {
        (line::MEASURE, 9.0, 4.0)
    } else {
        painter.add(Shape::line(run.to_vec(), Stroke::new(line::WAY, tone)));
        return;
    };
    painter.extend(Shape::dashed_line(run, Stroke::new(width, tone), dash, gap));
}

impl Brush<'_> {
    /// Paints the air faster than the limits at the top fan speed, of all units but those chosen, and says which outline is of which
    /// jet and speed.
    pub(super) fn air(&self, chosen: &[Chosen<'_>]) -> Vec<(Convex, &Jet, f64)> {
        /// A terminal velocity that the throw of air outlets is usually given for (100 ft/min); drawn between the plan's limits.
        const THROW_M_S: f64 = 0.5;
        let limits = self.shown.layout.limits();
        let people = Heights {
            low: 0.0,
            high: limits.headroom.value.mm(),
        };
        let tone = self.colours.zone_jet;
        let stroke = Stroke::new(line::EDGE, tone.line);
        let levels = [
            (limits.draught.value.value(), 3.0),
            (THROW_M_S, 6.0),
            (limits.jet_hard.value.value(), 0.0),
        ];
        let mut blown = Vec::new();
        // Those that are chosen are drawn with their own lines.
        let others = self.shown.layout.parts();
        let others = others.filter(|p| chosen.iter().all(|c| c.unit.id != p.id));
        for jet in others.filter_map(|p| p.jet.as_ref()) {
            for (speed, dash) in levels {
                let Some(zone) = jet.contour(speed, people).and_then(|z| self.in_room(&z)) else {
                    continue;
                };
                self.fill(&zone, tone.wash, Stroke::NONE);
                if dash > 0.0 {
                    self.outline(&zone, stroke, dash);
                } else {
                    self.fill(&zone, Color32::TRANSPARENT, stroke);
                }
                blown.push((zone, jet, speed));
            }
        }
        blown
    }

    /// The speed at each contour, inside its edge where it is widest; one below the other where walls cut several off at one place.
    pub(super) fn speed_labels(&self, blown: &[(Convex, &Jet, f64)]) {
        let colour = self.colours.zone_jet.text;
        let mut taken: Vec<Rect> = Vec::new();
        for (zone, jet, speed) in blown {
            let side = jet.forward.perp();
            let widest = zone
                .points()
                .iter()
                .copied()
                .max_by(|a, b| a.dot(side).total_cmp(&b.dot(side)));
            let Some(edge) = widest else {
                continue;
            };
            let at =
                self.at(edge - side * self.camera.mm(8.0) - jet.forward * self.camera.mm(30.0));
            let words = format!("{speed:.2} m/s");
            let words = self
                .painter
                .layout_no_wrap(words, theme::plain(text::TINY), colour);
            let place = below(Align2::CENTER_CENTER.anchor_size(at, words.size()), &taken);
            self.painter.galley(place.min, words, colour);
            taken.push(place);
        }
    }

    /// A zone cut off at the box round the room: air does not pass walls.
    fn in_room(&self, zone: &Convex) -> Option<Convex> {
        let Bounds { low, high } = *self.shown.layout.room().bounds();
        let own = zone.bounds();
        // Most reach beyond one wall or none.
        let sides = [
            (own.low.x < low.x, low, Point::X),
            (own.low.y < low.y, low, Point::Y),
            (own.high.x > high.x, high, -Point::X),
            (own.high.y > high.y, high, -Point::Y),
        ];
        let beyond = sides.into_iter().filter(|(beyond, ..)| *beyond);
        beyond
            .map(|(_, at, inward)| (at, inward))
            .try_fold(zone.clone(), |left, (at, inward)| left.cut(at, inward))
    }

    /// The lines of equal speed of a chosen unit at the height that is asked for, each with its speed.
    pub(super) fn air_lines(&self, chosen: &Chosen<'_>) {
        let height = self.shown.air_height_mm();
        let layout = self.shown.layout;
        let contours = layout.air_contours(chosen.unit, chosen.sees, height);
        for contour in contours.iter() {
            for run in &contour.lines {
                let run: Vec<Pos2> = run.iter().map(|p| self.at(*p)).collect();
                air_pen(self.painter, &run, contour.speed, self.colours);
            }
        }
        let Some(jet) = Layout::jet_of(chosen.unit, chosen.sees) else {
            return;
        };
        for contour in contours.iter() {
            self.speed_on_line(contour, jet);
        }
        let words = format!(
            "air of {} at {} above the floor",
            chosen.unit.id,
            Length::from_mm(height.round()).shown(self.shown.practice())
        );
        let at = self.at(jet.origin + jet.forward * 150.0) + vec2(0.0, 10.0);
        self.plated(at, &words);
    }

    /// The speed on its line: of the slowest where it reaches farthest, of the others on either side, so that they lie apart.
    fn speed_on_line(&self, contour: &Contour, jet: &Jet) {
        let [slow, middling, _] = DRAWN_M_S;
        let toward = if contour.speed <= slow {
            jet.forward
        } else if contour.speed <= middling {
            jet.forward.perp()
        } else {
            -jet.forward.perp()
        };
        let along = |p: &Point| (*p - jet.origin).dot(toward);
        let ends = contour.lines.iter().flatten();
        if let Some(end) = ends.max_by(|a, b| along(a).total_cmp(&along(b))) {
            self.plated(self.at(*end), &format!("{:.2} m/s", contour.speed));
        }
    }

    /// Words on a plate of the paper's colour, so that no line runs through them.
    fn plated(&self, at: Pos2, words: &str) {
        let font = theme::plain(text::TINY);
        let galley =
            self.painter
                .layout_no_wrap(words.to_owned(), font, self.colours.zone_jet.text);
        let rect = Align2::CENTER_CENTER.anchor_size(at, galley.size());
        self.painter
            .rect_filled(rect.expand(1.5), 2.0, self.colours.paper);
        self.painter
            .galley(rect.min, galley, self.colours.zone_jet.text);
    }
}

/// The place itself, or the first one below it that overlaps none of those taken.
fn below(place: Rect, taken: &[Rect]) -> Rect {
    let mut place = place;
    while let Some(over) = taken.iter().find(|t| t.intersects(place)) {
        place = place.translate(vec2(0.0, over.bottom() - place.top() + 1.0));
    }
    place
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn words_at_one_place_stand_one_below_the_other() {
        let place = Rect::from_min_size(pos2(40.0, 10.0), vec2(50.0, 12.0));
        let mut taken = Vec::new();
        for top in [10.0, 23.0, 36.0] {
            let found = below(place, &taken);
            assert_eq!(found.min, pos2(40.0, top));
            taken.push(found);
        }
        let beside = place.translate(vec2(60.0, 0.0));
        assert_eq!(below(beside, &taken), beside, "what is free stays");
    }
}
