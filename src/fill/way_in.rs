//! Where the walker may count as coming in. A place that touches a wall of the frame would ask for lines of its own; where the
//! ground before it is free of what stays, the walker may as well begin a little off the wall. Knows no lattice but its step.

use super::problem::{Problem, Rect, Shape, Start};

/// A range of low corners of the walker, and the axes on which it asks for no lines of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WayIn {
    /// Low corners of the walker's square.
    pub corners: Rect,
    /// True where the range across reaches every line near the wall it lies at.
    pub free_x: bool,
    /// The same along.
    pub free_y: bool,
}

impl WayIn {
    /// The range of a start, let go less than a `step` off each wall that all of it touches, where nothing fixed stands in the
    /// way. A body is no narrower than a step: one that stood between would stand in the walker's place too.
    pub(super) fn new(problem: &Problem, start: &Start, step: i64) -> Self {
        let most = (problem.width - problem.aisle, problem.depth - problem.aisle);
        let mut way = Self {
            corners: start.corners,
            free_x: false,
            free_y: false,
        };
        let c = way.corners;
        if let Some((x0, x1)) = off_the_wall((c.x0, c.x1), most.0, step) {
            let wide = Rect { x0, x1, ..c };
            way.free_x = is_clear(problem, &wide);
            if way.free_x {
                way.corners = wide;
            }
        }
        let c = way.corners;
        if let Some((y0, y1)) = off_the_wall((c.y0, c.y1), most.1, step) {
            let wide = Rect { y0, y1, ..c };
            way.free_y = is_clear(problem, &wide);
            if way.free_y {
                way.corners = wide;
            }
        }
        way
    }
}

/// The range that begins at a wall and ends before the walker has gone a whole step, for a range that is all at that wall.
fn off_the_wall((low, high): (i64, i64), most: i64, step: i64) -> Option<(i64, i64)> {
    if (low, high) == (0, 0) {
        Some((0, (step - 1).min(most)))
    } else if (low, high) == (most, most) {
        Some(((most - step + 1).max(0), most))
    } else {
        None
    }
}

/// True where nothing fixed stands on any ground that the walker covers from these corners.
pub(super) fn is_clear(problem: &Problem, corners: &Rect) -> bool {
    let ground = Rect {
        x1: corners.x1 + problem.aisle,
        y1: corners.y1 + problem.aisle,
        ..*corners
    };
    let shape = ground.convex();
    let in_floor = problem.floor.as_ref().is_none_or(|f| f.holds(&shape));
    in_floor
        && problem
            .blocks
            .iter()
            .filter(|b| b.walk)
            .all(|b| !match &b.shape {
                Shape::Rect(own) => own.meets(&ground),
                Shape::Convex(own) => own.overlaps(&shape),
            })
}

#[cfg(test)]
mod tests {
    use super::super::grid::Grid;
    use super::super::lattice::{Axis, Lattice};
    use super::super::problem::{Block, Faces, PackKind};
    use super::super::sweep::{Reins, sweep};
    use super::super::tidy::is_sound;
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    /// Every whole number: sizes and edges are whole, so nothing is lost, and no place is let go off a wall.
    fn whole_numbers(problem: &Problem) -> Lattice {
        let axis = |size: i64| Axis {
            step: 1,
            residues: vec![0],
            lines: (0..=size).collect(),
            lossless: true,
            lowered: BTreeMap::new(),
        };
        Lattice {
            x: axis(problem.width),
            y: axis(problem.depth),
        }
    }

    fn fullest(problem: &Problem, lattice: &Lattice) -> u32 {
        let reins = Reins {
            steps: 20_000_000,
            bytes: 1_000_000_000,
            stop: &|| false,
        };
        let found = sweep(&Grid::new(problem, lattice), 0, reins);
        assert_eq!(found.gave_up, None, "the sweep comes to its end");
        let Some((printers, puts)) = found.best else {
            return 0;
        };
        assert!(is_sound(problem, &puts), "{puts:?} in {problem:?}");
        printers
    }

    fn room(width: i64, depth: i64, aisle: i64, rack: (i64, i64)) -> Problem {
        Problem {
            width,
            depth,
            aisle,
            gap: 0,
            kinds: vec![PackKind {
                width: rack.0,
                depth: rack.1,
                printers: 1,
                faces: Faces {
                    front: true,
                    ..Faces::default()
                },
                plugs: false,
                exactly: None,
            }],
            floor: None,
            blocks: Vec::new(),
            starts: Vec::new(),
            reach: Vec::new(),
            way_out: true,
        }
    }

    fn fixed(x: i64, y: i64, width: i64, depth: i64) -> Block {
        Block {
            shape: Shape::Rect(Rect::sized(x, y, width, depth)),
            bodies: u32::MAX,
            walk: true,
            gap: true,
        }
    }

    fn at(x: i64, y: i64) -> Start {
        Start {
            corners: Rect::sized(x, y, 0, 0),
        }
    }

    /// A door at the top, its walker at 15 to 23; something an inch thick stands before it. The walker could stand at 14,
    /// which is a line, but nobody can come in.
    #[test]
    fn a_door_that_is_blocked_stays_blocked() {
        let problem = Problem {
            blocks: vec![fixed(0, 22, 10, 1)],
            starts: vec![at(0, 15)],
            ..room(10, 23, 8, (8, 10))
        };
        assert_eq!(fullest(&problem, &Lattice::residues(&problem)), 0);
        let open = Problem {
            blocks: Vec::new(),
            ..problem
        };
        assert_eq!(fullest(&open, &Lattice::residues(&open)), 1);
        assert_eq!(Lattice::residues(&open).y.residues.len(), 1, "no line more");
    }

    /// Five columns an inch thick before the right wall ask for lines of their own, and more of them than the doors do.
    fn columns_off_the_lines() -> Vec<Block> {
        (0..5).map(|k| fixed(27, 2 + 7 * k, 3, 2)).collect()
    }

    /// The walker of a door at the bottom stands at 5 across, between the lines, and one of a door at the side at 13 along.
    #[test]
    fn a_door_between_the_lines_of_most_edges_is_still_one() {
        for start in [at(5, 0), at(0, 13)] {
            let problem = Problem {
                blocks: columns_off_the_lines(),
                starts: vec![start],
                ..room(32, 40, 8, (8, 12))
            };
            let plain = Lattice::plain(&problem);
            assert!(!plain.x.lossless || !plain.y.lossless, "lines are lost");
            assert!(fullest(&problem, &plain) > 0, "{start:?}");
        }
    }

    /// A bench whose strip is as narrow as the walker, at 5 across between two posts: no line lies where the walker stands in it.
    #[test]
    fn a_strip_that_no_place_on_the_lines_fills_stops_nothing() {
        let bench = fixed(5, 0, 8, 3);
        let strip = Rect::sized(5, 3, 8, 8);
        let mut blocks = columns_off_the_lines();
        blocks.extend([bench, fixed(4, 0, 1, 11), fixed(13, 0, 1, 11)]);
        let closed = Block {
            walk: false,
            ..fixed(5, 3, 8, 8)
        };
        blocks.push(closed);
        let problem = Problem {
            blocks,
            reach: vec![strip],
            starts: vec![at(8, 32)],
            ..room(32, 40, 8, (8, 12))
        };
        assert!(fullest(&problem, &Lattice::plain(&problem)) > 0);
    }

    fn crowded() -> impl Strategy<Value = Problem> {
        let sizes = (2_i64..5, 2_i64..4, 1_i64..3, 1_i64..4);
        let floor = (8_i64..13, 8_i64..19);
        let blocks = prop::collection::vec((0_i64..18, 0_i64..18, 1_i64..6, 1_i64..6), 0..4);
        let faces = (any::<bool>(), 0_i64..3);
        (sizes, floor, blocks, faces, 0_u8..4, 0_i64..12).prop_map(
            |((step, wide, deep, walk), (width, depth), blocks, (back, gap), wall, along)| {
                let aisle = step * walk;
                let mut p = room(
                    width.max(aisle),
                    depth.max(aisle),
                    aisle,
                    (step * wide, step * deep),
                );
                p.gap = gap;
                p.kinds[0].plugs = true;
                p.kinds[0].faces.back = back;
                let blocks = blocks
                    .into_iter()
                    .filter(|(x, y, w, d)| x + w <= p.width && y + d <= p.depth);
                p.blocks = blocks.map(|(x, y, w, d)| fixed(x, y, w, d)).collect();
                let most = (p.width - aisle, p.depth - aisle);
                let (x, y) = (along.min(most.0), along.min(most.1));
                p.starts = vec![match wall {
                    0 => at(x, 0),
                    1 => at(x, most.1),
                    2 => at(0, y),
                    _ => at(most.0, y),
                }];
                p
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        /// Against the lattice of all whole numbers, where a door is just where it is.
        #[test]
        fn no_way_in_is_lost_or_gained(problem in crowded()) {
            let own = fullest(&problem, &Lattice::residues(&problem));
            prop_assert_eq!(own, fullest(&problem, &whole_numbers(&problem)));
            // On fewer lines what is found is as sound (`fullest` sees to it), and no more.
            prop_assert!(fullest(&problem, &Lattice::plain(&problem)) <= own);
        }
    }
}
