//! A part of the drawing under way: marks, and where lettering already stands, so that no two texts overlap.

use crate::geometry::{Convex, Point};
use crate::sheet::{Fill, Mark, Pen, Text};

/// Free paper round a text, in millimetres.
const CLEAR_MM: f64 = 0.4;
/// Most lines of one hatched area; more would be a grey area anyway.
const HATCH_MOST: f64 = 3000.0;

/// Marks and taken places.
#[derive(Debug, Default)]
pub(super) struct Canvas {
    marks: Vec<Mark>,
    taken: Vec<Convex>,
}

impl Canvas {
    pub(super) fn push(&mut self, mark: Mark) {
        self.marks.push(mark);
    }

    /// Puts the marks drawn since `from` into a group.
    pub(super) fn group(&mut self, name: &'static str, draw: impl FnOnce(&mut Self)) {
        let outer = std::mem::take(&mut self.marks);
        draw(self);
        let marks = std::mem::replace(&mut self.marks, outer);
        if !marks.is_empty() {
            self.marks.push(Mark::Group { name, marks });
        }
    }

    /// Writes a text where it overlaps no other; says whether it did.
    pub(super) fn try_text(&mut self, text: Text) -> bool {
        self.try_words(text, false)
    }

    /// The same on a white ground, for texts that stand over lines.
    pub(super) fn try_text_on_white(&mut self, text: Text) -> bool {
        self.try_words(text, true)
    }

    fn try_words(&mut self, text: Text, on_white: bool) -> bool {
        let place = text.outline_grown(CLEAR_MM);
        if !self.is_free(&place) {
            return false;
        }
        if on_white {
            self.push(Mark::area(place.points().to_vec(), None, Fill::White));
        }
        self.taken.push(place);
        self.push(Mark::Text(text));
        true
    }

    /// Keeps the place of a text that is written later; says whether it was free.
    pub(super) fn claim(&mut self, text: &Text) -> bool {
        let place = text.outline_grown(CLEAR_MM);
        let free = self.is_free(&place);
        if free {
            self.keep(place);
        }
        free
    }

    /// Writes a text whose place was claimed, on a white ground.
    pub(super) fn write_claimed(&mut self, text: Text) {
        let ground = text.outline_grown(CLEAR_MM).points().to_vec();
        self.push(Mark::area(ground, None, Fill::White));
        self.push(Mark::Text(text));
    }

    /// True where no lettering stands.
    pub(super) fn is_free(&self, place: &Convex) -> bool {
        !self
            .taken
            .iter()
            .any(|other| other.bounds().overlaps(place.bounds()) && other.overlaps(place))
    }

    /// Keeps a place free of lettering.
    pub(super) fn keep(&mut self, place: Convex) {
        self.taken.push(place);
    }

    pub(super) fn into_marks(self) -> Vec<Mark> {
        self.marks
    }
}

/// Hatching of an area: parallel lines `spacing_mm` apart that rise to the right by 45 degrees, or fall for `falling`.
/// Neighbouring areas hatched alike join without a seam.
pub(super) fn hatch(area: &[Point], spacing_mm: f64, falling: bool, pen: Pen) -> Mark {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let along = if falling {
        Point::new(half, half)
    } else {
        Point::new(half, -half)
    };
    let across = along.perp();
    let heights = area.iter().map(|p| p.dot(across));
    let low = heights.clone().fold(f64::INFINITY, f64::min);
    let high = heights.fold(f64::NEG_INFINITY, f64::max);
    let mut lines = Vec::new();
    let mut k = (low / spacing_mm).ceil();
    let most = k + HATCH_MOST;
    while k * spacing_mm < high && k < most {
        let level = k * spacing_mm;
        for (s, t) in crossings(area, along, across, level) {
            lines.push((across * level + along * s, across * level + along * t));
        }
        k += 1.0;
    }
    Mark::Strokes { lines, pen }
}

/// Where the line at `level` runs inside the area: pairs of places along it.
fn crossings(area: &[Point], along: Point, across: Point, level: f64) -> Vec<(f64, f64)> {
    let next = area.iter().cycle().skip(1);
    let mut cuts: Vec<f64> = area
        .iter()
        .zip(next)
        .filter_map(|(a, b)| {
            let (s, t) = (a.dot(across) - level, b.dot(across) - level);
            ((s < 0.0) != (t < 0.0)).then(|| (*a + (*b - *a) * (s / (s - t))).dot(along))
        })
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.chunks_exact(2)
        .filter_map(|pair| match pair {
            [s, t] => Some((*s, *t)),
            _ => None,
        })
        .collect()
}

/// Fine dots over a convex area, in rows `spacing_mm` apart.
pub(super) fn dots(area: &Convex, spacing_mm: f64, pen: Pen) -> Mark {
    let bounds = area.bounds();
    let size = bounds.size();
    let mut lines = Vec::new();
    if size.x * size.y < 1e6 {
        let mut y = (bounds.low.y / spacing_mm).ceil() * spacing_mm;
        while y < bounds.high.y {
            let mut x = (bounds.low.x / spacing_mm).ceil() * spacing_mm;
            while x < bounds.high.x {
                let p = Point::new(x, y);
                if area.contains(p) {
                    lines.push((p, p + Point::new(pen.width_mm, 0.0)));
                }
                x += spacing_mm;
            }
            y += spacing_mm;
        }
    }
    Mark::Strokes { lines, pen }
}

/// Places moved apart so that neighbours stand at least `pitch` apart, each as near its own as can be, all between `low`
/// and `high`. The wishes come sorted; the caller has seen to it that they fit.
pub(super) fn spread(wishes: &[f64], pitch: f64, low: f64, high: f64) -> Vec<f64> {
    // Runs of neighbours that touch: (sum of the wishes for the run's first place, how many).
    let mut runs: Vec<(f64, f64)> = Vec::new();
    for wish in wishes {
        let mut run = (*wish, 1.0);
        while let Some(last) = runs.last().copied() {
            if last.0 / last.1 + last.1 * pitch <= run.0 / run.1 {
                break;
            }
            run = (last.0 + run.0 - run.1 * last.1 * pitch, last.1 + run.1);
            runs.pop();
        }
        runs.push(run);
    }
    let mut places = Vec::with_capacity(wishes.len());
    for (sum, count) in runs {
        let start = sum / count;
        let mut k = 0.0;
        while k < count {
            places.push(start + k * pitch);
            k += 1.0;
        }
    }
    // Held between the ends, from both sides.
    let mut least = low;
    for place in &mut places {
        *place = place.max(least);
        least = *place + pitch;
    }
    let mut most = high;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - pitch;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crowded_places_are_spread_about_their_middle() {
        let near = |a: &[f64], b: &[f64]| {
            a.len() == b.len() && a.iter().zip(b).all(|(x, y)| (x - y).abs() < 1e-9)
        };
        assert!(near(
            &spread(&[10.0, 10.0, 10.0], 4.0, 0.0, 100.0),
            &[6.0, 10.0, 14.0]
        ));
        assert!(near(
            &spread(&[0.0, 1.0, 50.0], 4.0, 0.0, 100.0),
            &[0.0, 4.0, 50.0]
        ));
        assert!(near(
            &spread(&[99.0, 100.0], 4.0, 0.0, 100.0),
            &[96.0, 100.0]
        ));
    }

    #[test]
    fn hatching_stays_inside_a_notched_area() {
        let p = Point::new;
        // An L of two arms, 10 wide: no line may run through the notch.
        let area = [
            p(0.0, 0.0),
            p(30.0, 0.0),
            p(30.0, 10.0),
            p(10.0, 10.0),
            p(10.0, 30.0),
            p(0.0, 30.0),
        ];
        let Mark::Strokes { lines, .. } = hatch(&area, 2.0, true, Pen::black(0.13)) else {
            unreachable!("hatching is strokes")
        };
        assert!(lines.len() > 15, "{}", lines.len());
        for (a, b) in lines {
            let middle = (a + b) * 0.5;
            assert!(
                middle.x < 10.0 + 1e-9 || middle.y < 10.0 + 1e-9,
                "{middle} lies in the notch"
            );
        }
    }
}
