//! What stands in the way of the air of an outlet, and which places lie in its lee. Knows nothing of speeds.
//!
//! Air goes from the place of the outlet that is nearest across its width straight on to the place it reaches, as seen from above; its
//! height follows the bend of the jet's middle, and what lies off that comes off it evenly on the way. A place is shaded where
//! that path passes through a body.

use super::jet::Beam;
use super::{Heights, Part};
use crate::geometry::{Bounds, Convex, Point, TOLERANCE_MM, cut_of};
use crate::plan::{Id, ItemKind, OverheadUse};

/// A body that no air passes through; the closed side of a rack is one without thickness.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Screen {
    /// Whose it is.
    pub id: Id,
    /// True for what belongs to the room.
    pub fixed: bool,
    /// Its outline.
    pub shape: Convex,
    /// The heights it takes.
    pub heights: Heights,
}

/// The length of way inside a body from which the body counts as in the way, in millimetres: grazing a corner is passing it by.
const GRAZE_MM: f64 = 1.0;

impl Screen {
    /// The screens that a part makes: its body, or the closed sides of a rack. Sprinkler heads and detectors are too small to
    /// shade anything.
    pub(super) fn of(part: &Part) -> Vec<Self> {
        let screen = |shape: Convex, heights| Self {
            id: part.id,
            fixed: part.fixed,
            shape,
            heights,
        };
        match (part.kind, &part.rack, &part.solid) {
            (ItemKind::Overhead(OverheadUse::Sprinkler | OverheadUse::Detector), ..)
            | (_, None, None) => Vec::new(),
            (_, Some(rack), _) => {
                let heights = Heights {
                    low: 0.0,
                    high: rack.height,
                };
                let sides = rack.closed.iter();
                sides.map(|side| screen(side.clone(), heights)).collect()
            }
            (_, None, Some(solid)) => vec![screen(solid.shape.clone(), solid.heights)],
        }
    }
}

/// The box round an outlet and a body: what lies outside shades nothing of the body.
pub(super) fn between(beam: &Beam<'_>, body: &Bounds) -> Option<Bounds> {
    let jet = beam.jet;
    let half = beam.forward.perp() * (jet.outlet_width() * 0.5);
    Bounds::of(&[jet.origin - half, jet.origin + half, body.low, body.high])
}

impl Beam<'_> {
    /// The screen that shades a place at a height.
    pub(super) fn shaded<'s>(
        &self,
        at: Point,
        height: f64,
        screens: &[&'s Screen],
    ) -> Option<&'s Screen> {
        if screens.is_empty() {
            return None;
        }
        let jet = self.jet;
        let (ahead, aside) = self.local(at);
        let half = jet.outlet_width() * 0.5;
        let start = jet.origin + self.forward.perp() * aside.max(-half).min(half);
        let off = height - jet.middle_height(ahead);
        let height_at = |share: f64| jet.middle_height(ahead * share) + off * share;
        screens.iter().copied().find(|screen| {
            let Some((from, to)) = chord(&screen.shape, start, at) else {
                return false;
            };
            let thin = screen.shape.points().len() < 3;
            if !thin && (to - from) * start.distance(at) < GRAZE_MM {
                return false;
            }
            let heights = [from, f64::midpoint(from, to), to].map(height_at);
            let low = heights.into_iter().fold(f64::INFINITY, f64::min);
            let high = heights.into_iter().fold(f64::NEG_INFINITY, f64::max);
            low < screen.heights.high - TOLERANCE_MM && high > screen.heights.low + TOLERANCE_MM
        })
    }
}

/// The part of the way between two places that lies in a shape, from share to share; one and the same share where it crosses a shape
/// without thickness.
fn chord(shape: &Convex, from: Point, to: Point) -> Option<(f64, f64)> {
    let thin = shape.points().len() < 3;
    let crossings = shape.sides().filter_map(|side| cut_of((from, to), side));
    let inside = |p: Point, share: f64| (!thin && shape.contains(p)).then_some(share);
    let all = crossings.chain(inside(from, 0.0)).chain(inside(to, 1.0));
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| {
        (low.min(s), high.max(s))
    });
    (low <= high).then_some((low, high))
}

#[cfg(test)]
mod tests {
    use super::chord;
    use crate::geometry::{Convex, Oblong, Point};

    #[test]
    fn the_way_through_a_body_is_told_as_shares() {
        let square = Oblong::new(Point::new(5.0, 0.0), 2.0, 2.0, (0.0, 1.0)).convex();
        let (start, end) = (Point::new(0.0, 0.5), Point::new(10.0, 0.5));
        assert_eq!(chord(&square, start, end), Some((0.4, 0.6)));
        let ends_inside = chord(&square, start, Point::new(5.0, 0.5));
        assert_eq!(ends_inside, Some((0.8, 1.0)));
        assert_eq!(chord(&square, start, Point::new(3.9, 0.5)), None, "before");
        assert_eq!(chord(&square, start, Point::new(10.0, 9.0)), None, "beside");
        let sheet = Convex::line(Point::new(5.0, -1.0), Point::new(5.0, 1.0));
        assert_eq!(chord(&sheet, start, end), Some((0.5, 0.5)));
        assert_eq!(chord(&sheet, start, Point::new(10.0, 9.0)), None, "beside");
    }
}
