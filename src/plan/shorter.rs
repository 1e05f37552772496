//! The room with one wall a little shorter than it was measured, to see what the tape's tolerance costs.

use std::collections::BTreeMap;

use super::{Outline, Room};
use crate::geometry::{Point, Polygon};
use crate::units::Length;

/// Places along a wall that look across the room for its opposite.
const LOOKS: u32 = 64;

impl Room {
    /// The room with wall `k` shorter by `by`, and the wall that faces it over most of its length with it, so that the rest keeps
    /// its shape: the corners on one side of the two move along wall `k`, the first corner stays. Where the two are parallel nothing else changes; a wall that
    /// faces it aslant takes up the difference in length and direction. The floor only ever gets smaller: a niche whose back
    /// gets shorter brings the part of the room beyond it nearer. The corners are entered ones from then on, without diagonals.
    /// `None` where there is no such wall, or it or its opposite would be gone or cross another.
    pub fn wall_shortened(&self, k: usize, by: Length) -> Option<Self> {
        let outline = self.polygon()?;
        let opposite = opposite(&outline, k)?;
        let (a, b) = outline.side(k)?;
        let (c, d) = outline.side(opposite)?;
        let along = (b - a).normalize_or_zero();
        let left = |from: Point, to: Point| (to - from).dot(along).abs();
        if by.mm() >= left(a, b) || by.mm() >= left(c, d) {
            return None;
        }
        let n = outline.points().len();
        let between = (opposite + n - k) % n;
        let lies_between = |corner: usize| (1..=between).contains(&((corner + n - k) % n));
        // Either side of the two walls may move; that of the first corner stays.
        let first_moves = lies_between(0);
        let shift = along * if first_moves { by.mm() } else { -by.mm() };
        let (dx, dy) = (Length::from_mm(shift.x), Length::from_mm(shift.y));
        let corners = self
            .corners()
            .iter()
            .enumerate()
            .map(|(corner, (x, y))| {
                if lies_between(corner) == first_moves {
                    (*x, *y)
                } else {
                    (*x + dx, *y + dy)
                }
            })
            .collect();
        let shorter = Self {
            outline: Outline::Corners(corners),
            diagonals: Vec::new(),
            ..self.clone()
        };
        let sound = shorter
            .polygon()
            .is_some_and(|p| p.crossing().is_none() && p.area() > 0.0);
        sound.then_some(shorter)
    }
}

/// The wall that most of wall `k` looks at, straight across the room; of two the one with the lower number. Only walls that run
/// against it count; where it faces none, the one that runs against it most.
fn opposite(outline: &Polygon, k: usize) -> Option<usize> {
    let (a, b) = outline.side(k)?;
    let along = (b - a).normalize_or_zero();
    let mut looks: BTreeMap<usize, u32> = BTreeMap::new();
    for look in 0..LOOKS {
        let from = a + (b - a) * ((f64::from(look) + 0.5) / f64::from(LOOKS));
        if let Some(j) = first_hit(outline, k, from, along.perp()) {
            *looks.entry(j).or_default() += 1;
        }
    }
    let against = |j: usize| {
        outline
            .side(j)
            .map_or(0.0, |(c, d)| -(d - c).normalize_or_zero().dot(along))
    };
    let most = |best: Option<(usize, f64)>, (j, score): (usize, f64)| match best {
        Some((_, held)) if held >= score => best,
        Some(_) | None => Some((j, score)),
    };
    let facing = looks
        .iter()
        .map(|(j, count)| (*j, against(*j), f64::from(*count)))
        .filter(|(_, against, _)| *against > 0.1)
        .map(|(j, against, count)| (j, against * count))
        .fold(None, most);
    facing
        .or_else(|| {
            (0..outline.points().len())
                .map(|j| (j, against(j)))
                .filter(|(_, against)| *against > 0.1)
                .fold(None, most)
        })
        .map(|(j, _)| j)
}

/// The wall other than `k` that a look from a point meets first.
fn first_hit(outline: &Polygon, k: usize, from: Point, look: Point) -> Option<usize> {
    outline
        .sides()
        .enumerate()
        .filter(|(j, _)| *j != k)
        .filter_map(|(j, (c, d))| {
            let side = d - c;
            let slant = look.perp_dot(side);
            if slant.abs() < 1e-9 {
                return None;
            }
            let distance = (c - from).perp_dot(side) / slant;
            let share = (c - from).perp_dot(look) / slant;
            (distance > 0.0 && (0.0..=1.0).contains(&share)).then_some((j, distance))
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(j, _)| j)
}
