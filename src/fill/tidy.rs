//! Among arrangements that hold as many, the one a person would build: racks are slid into straight rows, end to end and with
//! their faces in one line, as far as everything still fits and can be reached. The count never changes.

use std::collections::{BTreeSet, VecDeque};

use super::problem::{PackKind, Problem, Put, Rect, Shape};
use crate::units::Length;

/// Passes over all racks.
const PASSES: usize = 3;
/// More racks than this are left as they are: each try looks at every pair.
const MOST: usize = 40;

/// The same racks in rows as straight as sliding one after another makes them.
pub(super) fn tidied(problem: &Problem, puts: &[Put]) -> Vec<Put> {
    let mut best = puts.to_vec();
    if best.len() > MOST || !is_sound(problem, &best) {
        return best;
    }
    for _ in 0..PASSES {
        let before = straightness(problem, &best);
        for i in 0..best.len() {
            for place in targets(problem, &best, i) {
                let mut moved = best.clone();
                if let Some(put) = moved.get_mut(i) {
                    (put.x, put.y) = place;
                }
                if straightness(problem, &moved) > straightness(problem, &best)
                    && is_sound(problem, &moved)
                {
                    best = moved;
                }
            }
        }
        if straightness(problem, &best) == before {
            break;
        }
    }
    best
}

fn body(problem: &Problem, put: &Put) -> Option<Rect> {
    problem.kinds.get(put.kind).map(|kind| put.body(kind))
}

/// How straight the rows are: a pair of racks that look the same way counts 1 with their faces in one line, and 3 more where they
/// stand end to end as well.
fn straightness(problem: &Problem, puts: &[Put]) -> usize {
    let mut sum = 0;
    for (i, a) in puts.iter().enumerate() {
        for b in puts.iter().skip(i + 1).filter(|b| b.turn == a.turn) {
            let (Some(ra), Some(rb)) = (body(problem, a), body(problem, b)) else {
                continue;
            };
            let along_x = a.turn.0 % 2 == 0;
            let in_line = if along_x {
                ra.y0 == rb.y0 && ra.y1 == rb.y1
            } else {
                ra.x0 == rb.x0 && ra.x1 == rb.x1
            };
            let touch = if along_x {
                ra.x1 == rb.x0 || rb.x1 == ra.x0
            } else {
                ra.y1 == rb.y0 || rb.y1 == ra.y0
            };
            sum += usize::from(in_line) * (1 + 3 * usize::from(touch));
        }
    }
    sum
}

/// Places that would bring a rack into line with another that looks the same way, where it is or end to end with it.
fn targets(problem: &Problem, puts: &[Put], i: usize) -> BTreeSet<(i64, i64)> {
    let mut places = BTreeSet::new();
    let Some((own, r)) = puts.get(i).and_then(|p| Some((p, body(problem, p)?))) else {
        return places;
    };
    for (_, other) in puts
        .iter()
        .enumerate()
        .filter(|(k, p)| *k != i && p.turn == own.turn)
    {
        let Some(o) = body(problem, other) else {
            continue;
        };
        if own.turn.0 % 2 == 0 {
            places.extend([(r.x0, o.y0), (o.x1, o.y0), (o.x0 - r.width(), o.y0)]);
        } else {
            places.extend([(o.x0, r.y0), (o.x0, o.y1), (o.x0, o.y0 - r.depth())]);
        }
    }
    places
}

/// True where [`is_sound`] judges exactly: all that stays is right-angled.
pub(super) fn may_be_judged(problem: &Problem) -> bool {
    let boxes = problem.blocks.iter();
    problem.floor.is_none() && boxes.map(|b| &b.shape).all(|s| matches!(s, Shape::Rect(_)))
}

/// True where everything fits and every strip can be reached, by exact rectangles; what is no rectangle counts as its box.
pub(super) fn is_sound(problem: &Problem, puts: &[Put]) -> bool {
    let all: Vec<(&Put, &PackKind, Rect)> = puts
        .iter()
        .filter_map(|p| {
            let kind = problem.kinds.get(p.kind)?;
            Some((p, kind, p.body(kind)))
        })
        .collect();
    let whole = Rect::sized(0, 0, problem.width, problem.depth);
    let stands = |(put, kind, body): &(&Put, &PackKind, Rect)| {
        let stopped = |r: &Rect, by_gap: bool| {
            problem
                .blocks
                .iter()
                .filter(|b| b.bodies >> put.kind & 1 == 1 && (!by_gap || b.gap))
                .any(|b| meets(&b.shape, r))
        };
        let gap = put.gap(kind, problem.gap);
        whole.holds(body)
            && !stopped(body, false)
            && gap.is_none_or(|g| whole.holds(&g) && !stopped(&g, true))
            && put.strips(kind, problem.aisle).iter().all(|s| {
                whole.holds(s)
                    && !problem.blocks.iter().any(|b| b.walk && meets(&b.shape, s))
                    && !all.iter().any(|(_, _, other)| other.meets(s))
            })
    };
    let apart = all
        .iter()
        .enumerate()
        .all(|(i, (_, _, a))| all.iter().skip(i + 1).all(|(_, _, b)| !a.meets(b)));
    let bodies: Vec<Rect> = all.iter().map(|(_, _, body)| *body).collect();
    let strips: Vec<Rect> = all
        .iter()
        .flat_map(|(put, kind, _)| put.strips(kind, problem.aisle))
        .chain(problem.reach.iter().copied())
        .collect();
    problem.floor.is_none()
        && apart
        && all.iter().all(stands)
        && (!problem.way_out || all_reached(problem, &bodies, &strips))
}

fn meets(shape: &Shape, r: &Rect) -> bool {
    match shape {
        Shape::Rect(own) => own.meets(r),
        Shape::Convex(own) => own.overlaps(&r.convex()),
    }
}

/// True where the walker comes from a way in to a place in every strip. Its low corner may be wherever no obstacle, grown by
/// the walker's side, has its inside; any path can be pushed onto the lines of their edges, so those lines are enough.
fn all_reached(problem: &Problem, bodies: &[Rect], strips: &[Rect]) -> bool {
    let side = problem.aisle;
    let standing = problem
        .blocks
        .iter()
        .filter(|b| b.walk)
        .map(|b| bounds(&b.shape));
    let grown: Vec<Rect> = bodies
        .iter()
        .copied()
        .chain(standing)
        .map(|r| Rect {
            x0: r.x0 - side,
            y0: r.y0 - side,
            ..r
        })
        .collect();
    // Low corners of the places in a strip; along an axis on which it is narrower than the walker, those that cover it.
    let span = |low: i64, high: i64| {
        let (a, b) = (low, high - side);
        (a.min(b), a.max(b))
    };
    let goals: Vec<Rect> = strips
        .iter()
        .map(|s| {
            let ((x0, x1), (y0, y1)) = (span(s.x0, s.x1), span(s.y0, s.y1));
            Rect { x0, y0, x1, y1 }
        })
        .collect();
    let starts: Vec<Rect> = problem.starts.iter().map(|s| s.corners).collect();
    let lines = |of: fn(&Rect) -> [i64; 2], most: i64| -> Vec<i64> {
        let edges = grown.iter().chain(&goals).chain(&starts).flat_map(of);
        let set: BTreeSet<i64> = edges
            .chain([0, most])
            .filter(|v| (0..=most).contains(v))
            .collect();
        set.into_iter().collect()
    };
    let xs = lines(|r| [r.x0, r.x1], problem.width - side);
    let ys = lines(|r| [r.y0, r.y1], problem.depth - side);
    // Twice the coordinates, so that the middle between two lines is a whole number too.
    let free = |x2: i64, y2: i64| {
        !grown
            .iter()
            .any(|r| 2 * r.x0 < x2 && x2 < 2 * r.x1 && 2 * r.y0 < y2 && y2 < 2 * r.y1)
    };
    let within = |r: &Rect, i: usize, j: usize| {
        (r.x0..=r.x1).contains(&xs[i]) && (r.y0..=r.y1).contains(&ys[j])
    };
    let mut seen = vec![false; xs.len() * ys.len()];
    let mut queue = VecDeque::new();
    for i in 0..xs.len() {
        for j in 0..ys.len() {
            if starts.iter().any(|s| within(s, i, j)) && free(2 * xs[i], 2 * ys[j]) {
                seen[i * ys.len() + j] = true;
                queue.push_back((i, j));
            }
        }
    }
    while let Some((i, j)) = queue.pop_front() {
        let next = [
            (i.checked_sub(1), Some(j)),
            (Some(i + 1).filter(|i| *i < xs.len()), Some(j)),
            (Some(i), j.checked_sub(1)),
            (Some(i), Some(j + 1).filter(|j| *j < ys.len())),
        ];
        for (k, l) in next.into_iter().filter_map(|(k, l)| Some((k?, l?))) {
            let at = k * ys.len() + l;
            let open = free(2 * xs[k], 2 * ys[l]) && free(xs[i] + xs[k], ys[j] + ys[l]);
            if open && !seen[at] {
                seen[at] = true;
                queue.push_back((k, l));
            }
        }
    }
    goals.iter().all(|goal| {
        (0..xs.len()).any(|i| (0..ys.len()).any(|j| seen[i * ys.len() + j] && within(goal, i, j)))
    })
}

/// The box round a shape.
fn bounds(shape: &Shape) -> Rect {
    match shape {
        Shape::Rect(r) => *r,
        Shape::Convex(c) => {
            let b = c.bounds();
            let units = |mm: f64| Length::from_mm(mm).units();
            Rect {
                x0: units(b.low.x) - 1,
                y0: units(b.low.y) - 1,
                x1: units(b.high.x) + 1,
                y1: units(b.high.y) + 1,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fill::problem::{Faces, Start, Turn};

    /// A room of 20 by 10 with racks of 6 by 2 and an aisle of 3; the way in is the lower left corner.
    fn room() -> Problem {
        Problem {
            width: 20,
            depth: 10,
            aisle: 3,
            gap: 0,
            kinds: vec![PackKind {
                width: 6,
                depth: 2,
                printers: 9,
                faces: Faces {
                    front: true,
                    ..Faces::default()
                },
                plugs: true,
                exactly: None,
            }],
            floor: None,
            blocks: Vec::new(),
            starts: vec![Start {
                corners: Rect::sized(0, 0, 0, 0),
            }],
            reach: Vec::new(),
            way_out: true,
        }
    }

    fn put(x: i64, y: i64) -> Put {
        Put {
            kind: 0,
            turn: Turn(0),
            x,
            y,
        }
    }

    #[test]
    fn a_ragged_row_becomes_straight() {
        let ragged = [put(1, 8), put(8, 7), put(14, 8)];
        let straight = tidied(&room(), &ragged);
        let lines: BTreeSet<i64> = straight.iter().map(|p| p.y).collect();
        assert_eq!(lines.len(), 1, "{straight:?}");
        let mut ends: Vec<i64> = straight.iter().map(|p| p.x).collect();
        ends.sort_unstable();
        assert!(
            ends.windows(2).all(|w| w[1] - w[0] == 6),
            "end to end: {ends:?}"
        );
    }

    #[test]
    fn nothing_is_slid_into_the_only_way() {
        // The way between the two rows is just an aisle wide; lining the lower rack up with the upper ones would close it.
        let puts = [put(0, 8), put(6, 8), put(14, 3)];
        let tidy = tidied(&room(), &puts);
        assert!(is_sound(&room(), &tidy));
        assert_eq!(tidy.len(), 3);
    }

    #[test]
    fn what_cannot_be_reached_is_not_sound() {
        // A wall of racks across the whole room but for 2 of 20: the walker of 3 does not pass.
        let across = [put(0, 4), put(6, 4), put(12, 4)];
        assert!(
            is_sound(&room(), &across),
            "their own strips lie on this side"
        );
        let behind = [put(0, 3), put(6, 3), put(12, 3), put(0, 8)];
        assert!(!is_sound(&room(), &behind), "the strip behind is cut off");
    }
}
