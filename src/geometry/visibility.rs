//! What can be seen from a point of the floor: the ground inside an angle and a range that no line stands before.

use std::f64::consts::PI;

use super::Point;

/// Where somebody looks from, and where to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    /// The eye.
    pub from: Point,
    /// The way it looks, of length 1.
    pub looking: Point,
    /// Half of the angle that it sees, in radians; π sees all round.
    pub half_angle: f64,
    /// How far it sees, in millimetres.
    pub range: f64,
}

/// How far to both sides of the end of a line is looked as well: what opens up beyond it is seen there.
const BESIDE: f64 = 1e-7;

/// Steps of an arc of all round.
const ARC_STEPS: f64 = 120.0;

impl Sight {
    /// The outline of what is seen, the eye first where it does not see all round. `lines` are what stands before it.
    ///
    /// A ray goes to the ends of every line and to both sides of them; between two rays next to each other what is seen ends on one
    /// line or on the range alone, so the outline is exact but for the arc of the range.
    pub fn outline(&self, lines: &[(Point, Point)]) -> Vec<Point> {
        let all_round = self.half_angle >= PI;
        let half = self.half_angle.min(PI);
        let mut turns: Vec<f64> = lines
            .iter()
            .flat_map(|(a, b)| [*a, *b])
            .flat_map(|end| {
                let turn = self.turn_to(end);
                [turn - BESIDE, turn, turn + BESIDE]
            })
            .filter(|turn| turn.abs() <= half)
            .collect();
        let step = 2.0 * PI / ARC_STEPS;
        turns.extend(
            std::iter::successors(Some(-half), |turn| Some(turn + step))
                .take_while(|turn| *turn < half),
        );
        if !all_round {
            turns.push(half);
        }
        turns.sort_by(f64::total_cmp);
        let seen = turns.iter().map(|turn| {
            let way = self.looking.rotate(Point::from_angle(*turn));
            self.from + way * self.reach(way, lines)
        });
        let eye = (!all_round).then_some(self.from);
        eye.into_iter().chain(seen).collect()
    }

    /// The turn from the way it looks to a place, from −π to π.
    fn turn_to(&self, place: Point) -> f64 {
        self.looking.angle_to(place - self.from)
    }

    /// How far a ray goes.
    fn reach(&self, way: Point, lines: &[(Point, Point)]) -> f64 {
        lines
            .iter()
            .filter_map(|(a, b)| met(self.from, way, (*a, *b)))
            .fold(self.range, f64::min)
    }
}

/// How far along a ray a line is met.
fn met(from: Point, way: Point, (a, b): (Point, Point)) -> Option<f64> {
    let side = b - a;
    let across = way.perp_dot(side);
    if across.abs() < 1e-12 {
        return None;
    }
    let far = (a - from).perp_dot(side) / across;
    let along = (a - from).perp_dot(way) / across;
    (far >= 0.0 && (0.0..=1.0).contains(&along)).then_some(far)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Polygon;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn square(low: Point, side: f64) -> Vec<(Point, Point)> {
        let corners = [
            low,
            low + p(side, 0.0),
            low + p(side, side),
            low + p(0.0, side),
        ];
        let next = corners.iter().cycle().skip(1);
        corners.iter().copied().zip(next.copied()).collect()
    }

    fn area(sight: Sight, lines: &[(Point, Point)]) -> f64 {
        Polygon::new(sight.outline(lines)).map_or(0.0, |polygon| polygon.area().abs())
    }

    fn all_round(from: Point) -> Sight {
        Sight {
            from,
            looking: Point::X,
            half_angle: PI,
            range: 1e6,
        }
    }

    fn near(found: f64, expected: f64) {
        assert!(
            (found - expected).abs() < 1e-4 * expected,
            "{found} is not {expected}"
        );
    }

    #[test]
    fn an_empty_square_is_seen_whole() {
        near(
            area(all_round(p(1500.0, 900.0)), &square(p(0.0, 0.0), 4000.0)),
            16e6,
        );
    }

    /// By hand: from the middle of the west wall a square pillar of 400 mm, its face 1 m away and 200 mm to each side, hides the
    /// ground behind it up to the wall 4 m away: a trapezium of 400 and 1,600 mm, 3,000 mm deep, 3 m².
    #[test]
    fn a_pillar_hides_what_lies_behind_it() {
        let mut lines = square(p(0.0, 0.0), 4000.0);
        lines.extend(square(p(1000.0, 1800.0), 400.0));
        near(area(all_round(p(0.0001, 2000.0)), &lines), 16e6 - 3e6);
    }

    /// By hand: from a corner, a quarter turn, 2 m far: a quarter of a disc, π m². The arc is drawn by chords of 3°.
    #[test]
    fn a_range_is_an_arc() {
        let sight = Sight {
            from: p(0.0, 0.0),
            looking: p(1.0, 1.0).normalize(),
            half_angle: PI / 4.0,
            range: 2000.0,
        };
        let lines = square(p(-1.0, -1.0), 4000.0);
        let found = area(sight, &lines);
        assert!((found - PI * 1e6).abs() < 0.002 * PI * 1e6, "{found}");
    }

    /// By hand: an L of two 2 m squares about a third; from the end of one arm the other is half seen past the inner corner.
    #[test]
    fn round_a_corner_nothing_is_seen() {
        let corners = [
            p(0.0, 0.0),
            p(4000.0, 0.0),
            p(4000.0, 2000.0),
            p(2000.0, 2000.0),
            p(2000.0, 4000.0),
            p(0.0, 4000.0),
        ];
        let next = corners.iter().cycle().skip(1);
        let lines: Vec<_> = corners.iter().copied().zip(next.copied()).collect();
        // Past the inner corner at (2000, 2000) from (4000, 0) the line of sight goes on to (0, 4000): of the upper arm its half.
        near(area(all_round(p(3999.9999, 0.0001)), &lines), 8e6 + 2e6);
    }
}
