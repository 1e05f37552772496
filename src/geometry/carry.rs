//! A rectangle carried over a floor: where it gets to from an entry, moving and turning between what stands there.
//!
//! The places of its middle and its directions are searched on a lattice: steps of twice the spare room, and turns so small
//! that no point of the rectangle moves further than that. A place counts as free where the rectangle with the spare room
//! all round overlaps nothing; then everything between two free neighbours is free for the rectangle itself, since on the way
//! no point of it is further than the spare room from where it is at one of the two. So what is said to be reached is
//! reached, by such moves; what is not may still be reached by a way with less to spare. A floor is a bitmap a direction, and
//! the search spreads over whole words of it.

use std::f64::consts::PI;

use super::{Convex, Oblong, Point, Polygon, TOLERANCE_MM};

/// The most places of the lattice; the spare room is doubled until they are no more.
const PLACES_MOST: f64 = 4e6;

/// How far before its place a rectangle may begin the last straight push, in millimetres.
const PUSH_MOST_MM: f64 = 1_500.0;

/// Where the rectangle comes in, end on and straight: a gap in a side of the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Middle of the gap.
    pub middle: Point,
    /// Unit vector into the floor, across the side.
    pub inward: Point,
    /// Width of the gap, in millimetres.
    pub clear_mm: f64,
}

/// All that a rectangle reaches from an entry.
#[derive(Clone, Debug)]
pub struct Carry {
    entry: Entry,
    /// Length and width of the rectangle, in millimetres.
    size: (f64, f64),
    spare_mm: f64,
    /// What stands in the way, in the entry's frame.
    blocks: Vec<Convex>,
    /// Lowest place of the lattice, in the entry's frame: x along the side, y inward.
    low: Point,
    reached: Bitmaps,
}

/// A bitmap of columns and rows for every turn of half a circle.
#[derive(Clone, Debug)]
struct Bitmaps {
    turns: usize,
    rows: usize,
    columns: usize,
    /// Words of a row.
    words: usize,
    bits: Vec<u64>,
}

impl Carry {
    /// Spreads out a rectangle of that length and width (the length being the greater) from the entry over the floor among the
    /// bodies, with `spare_mm` to spare all round, or twice or four times as much where the floor is too wide for that.
    pub fn of(
        floor: &Polygon,
        entry: Entry,
        bodies: &[Convex],
        (length_mm, width_mm): (f64, f64),
        spare_mm: f64,
    ) -> Self {
        let size = (length_mm.max(width_mm), length_mm.min(width_mm));
        let mut blocks: Vec<Convex> = walls(floor, entry, size.0);
        blocks.extend(bodies.iter().cloned());
        let blocks: Vec<Convex> = blocks.iter().map(|b| in_frame(entry, b)).collect();
        let corners: Vec<Point> = floor.points().iter().map(|p| to_frame(entry, *p)).collect();
        let outside = Point::new(0.0, -size.0 * 0.5);
        let low = corners.iter().fold(outside, |low, p| low.min(*p));
        let high = corners.iter().fold(outside, |high, p| high.max(*p));
        let radius = size.0.hypot(size.1) * 0.5;
        let mut spare_mm = spare_mm.max(1.0);
        while places(high - low, radius, spare_mm) > PLACES_MOST {
            spare_mm *= 2.0;
        }
        let step = 2.0 * spare_mm;
        // The entry's own line lies on the lattice.
        let low = (low / step).floor() * step;
        let extent = ((high - low) / step).ceil() + Point::ONE;
        let free = Bitmaps::new(turns(radius, spare_mm), whole(extent.y), whole(extent.x));
        let mut carry = Self {
            entry,
            size,
            spare_mm,
            blocks,
            low,
            reached: free.clone(),
        };
        let taken = carry.taken(free);
        carry.begin(&taken);
        carry.reached.spread(&taken);
        carry
    }

    /// The room to spare all round with which was searched, in millimetres.
    pub fn spare_mm(&self) -> f64 {
        self.spare_mm
    }

    /// True where the rectangle gets to that place, which is as large as itself, by a last straight push along or across it;
    /// there it may touch what stands beside it.
    pub fn puts(&self, place: &Oblong) -> bool {
        let middle = to_frame(self.entry, place.centre());
        let long = if place.width() >= place.depth() {
            place.across()
        } else {
            place.up()
        };
        let along = Point::new(long.dot(self.along()), long.dot(self.entry.inward));
        let turn = self.nearest_turn(along);
        let goal = self.rectangle(middle, along, 0.0);
        let ways = [along, -along, along.perp(), -along.perp()];
        ways.into_iter()
            .any(|way| self.pushed(&goal, middle, way, turn))
    }

    /// True where the middle of the rectangle gets into that area, in any direction.
    pub fn comes_into(&self, area: &Convex) -> bool {
        let area = in_frame(self.entry, area);
        let (first, last) = (self.cell(area.bounds().low), self.cell(area.bounds().high));
        (first.1..=last.1).any(|row| {
            (first.0..=last.0).any(|column| {
                area.contains(self.place(column, row))
                    && (0..self.reached.turns).any(|turn| self.reached.get(turn, row, column))
            })
        })
    }

    /// The rectangle wherever it gets with its length square to the entry's side or along it; the room to spare is free round
    /// each.
    pub fn square_places(&self) -> impl Iterator<Item = Oblong> + '_ {
        // A quarter of a turn is half of the half circle.
        [0, self.reached.turns / 2]
            .into_iter()
            .flat_map(move |turn| {
                let along = self.direction(turn);
                let long = self.along() * along.x + self.entry.inward * along.y;
                (0..self.reached.rows).flat_map(move |row| {
                    let columns = (0..self.reached.columns)
                        .filter(move |column| self.reached.get(turn, row, *column));
                    columns.map(move |column| {
                        let at = self.place(column, row);
                        let middle =
                            self.entry.middle + self.along() * at.x + self.entry.inward * at.y;
                        Oblong::new(middle, self.size.0, self.size.1, (long.y, long.x))
                    })
                })
            })
    }

    /// Unit vector along the side of the entry.
    fn along(&self) -> Point {
        -self.entry.inward.perp()
    }

    fn step(&self) -> f64 {
        2.0 * self.spare_mm
    }

    fn place(&self, column: usize, row: usize) -> Point {
        self.low + Point::new(column as f64, row as f64) * self.step()
    }

    /// Column and row of the place nearest to a point.
    fn cell(&self, at: Point) -> (usize, usize) {
        let cell = ((at - self.low) / self.step()).round();
        let most = |n: usize, x: f64| whole(x).min(n.saturating_sub(1));
        (
            most(self.reached.columns, cell.x),
            most(self.reached.rows, cell.y),
        )
    }

    /// Direction of the length at a turn; turn 0 points inward.
    fn direction(&self, turn: usize) -> Point {
        Point::from_angle(PI * (0.5 + turn as f64 / self.reached.turns as f64))
    }

    fn nearest_turn(&self, along: Point) -> usize {
        let angle = (along.to_angle() - PI * 0.5).rem_euclid(PI);
        whole((angle / PI * self.reached.turns as f64).round()) % self.reached.turns
    }

    /// The corners of the rectangle there, with room to spare all round.
    fn rectangle(&self, middle: Point, along: Point, spare_mm: f64) -> [Point; 4] {
        let long = along * (self.size.0 * 0.5 + spare_mm);
        let wide = along.perp() * (self.size.1 * 0.5 + spare_mm);
        [long + wide, wide - long, -long - wide, long - wide].map(|corner| middle + corner)
    }

    /// The places at which the rectangle with the spare room overlaps something.
    fn taken(&self, mut taken: Bitmaps) -> Bitmaps {
        for turn in 0..taken.turns {
            let rectangle = self.rectangle(Point::ZERO, self.direction(turn), self.spare_mm);
            for block in &self.blocks {
                let sums: Vec<Point> = block
                    .points()
                    .iter()
                    .flat_map(|p| rectangle.iter().map(move |q| *p + *q))
                    .collect();
                if let Some(shape) = Convex::hull(&sums) {
                    self.fill(&mut taken, turn, &shape);
                }
            }
        }
        taken
    }

    /// Marks the places inside a shape.
    fn fill(&self, bitmaps: &mut Bitmaps, turn: usize, shape: &Convex) {
        let bounds = shape.bounds();
        let (first, last) = (
            self.cell(bounds.low - Point::splat(self.step())).1,
            self.cell(bounds.high + Point::splat(self.step())).1,
        );
        for row in first..=last {
            let y = self.place(0, row).y;
            let Some((from, to)) = chord(shape, y) else {
                continue;
            };
            let columns = [from, to].map(|x| (x - self.low.x) / self.step());
            let (from, to) = (columns[0].ceil(), columns[1].floor());
            if to >= 0.0 && from <= to {
                bitmaps.set(turn, row, (whole(from), whole(to)));
            }
        }
    }

    /// Marks the places to which the rectangle comes straight in through the entry.
    fn begin(&mut self, taken: &Bitmaps) {
        let play = (self.entry.clear_mm - self.size.1) * 0.5;
        if play < -TOLERANCE_MM {
            return;
        }
        let (first, last) = (
            self.cell(Point::new(-play, 0.0)).0,
            self.cell(Point::new(play, 0.0)).0,
        );
        for column in first..=last {
            let x = self.place(column, 0).x;
            if x.abs() > play + TOLERANCE_MM {
                continue;
            }
            for row in 0..self.reached.rows {
                let end = self.place(column, row);
                let outside = Point::new(x, -self.size.0 * 0.5);
                if end.y >= outside.y && self.hits(&self.swept(outside, end, Point::Y)) {
                    break;
                }
                if !taken.get(0, row, column) {
                    self.reached.set(0, row, (column, column));
                }
            }
        }
    }

    /// What the rectangle sweeps from place to place without turning.
    fn swept(&self, from: Point, to: Point, along: Point) -> Vec<Point> {
        let ends = [from, to].map(|middle| self.rectangle(middle, along, 0.0));
        ends.concat()
    }

    /// True where the hull of the points overlaps something.
    fn hits(&self, points: &[Point]) -> bool {
        Convex::hull(points).is_none_or(|shape| self.blocks.iter().any(|b| b.overlaps(&shape)))
    }

    /// True where a reached place lies before the goal, opposite to `way`, and the push from there is free. The last turn by
    /// less than one of the lattice happens during the push; how far a corner then leaves the straight line is far below what
    /// a drawing shows.
    fn pushed(&self, goal: &[Point; 4], middle: Point, way: Point, turn: usize) -> bool {
        let along = self.direction(turn);
        let step = self.step();
        let mut off = 0.0;
        while off <= PUSH_MOST_MM {
            let near = middle - way * off;
            let (column, row) = self.cell(near);
            for row in row.saturating_sub(1)..=row + 1 {
                for column in column.saturating_sub(1)..=column + 1 {
                    let there = row < self.reached.rows
                        && column < self.reached.columns
                        && self.reached.get(turn, row, column);
                    if !there {
                        continue;
                    }
                    let start = self.rectangle(self.place(column, row), along, 0.0);
                    if !self.hits(&[start, *goal].concat()) {
                        return true;
                    }
                }
            }
            off += step;
        }
        false
    }
}

impl Bitmaps {
    fn new(turns: usize, rows: usize, columns: usize) -> Self {
        let words = columns.div_ceil(64);
        Self {
            turns,
            rows,
            columns,
            words,
            bits: vec![0; turns * rows * words],
        }
    }

    fn row(&self, turn: usize, row: usize) -> std::ops::Range<usize> {
        let first = (turn * self.rows + row) * self.words;
        first..first + self.words
    }

    fn get(&self, turn: usize, row: usize, column: usize) -> bool {
        let word = self.row(turn, row).start + column / 64;
        self.bits[word] >> (column % 64) & 1 == 1
    }

    /// Marks the columns from the first to the last.
    fn set(&mut self, turn: usize, row: usize, (first, last): (usize, usize)) {
        let last = last.min(self.columns - 1);
        let start = self.row(turn, row).start;
        for word in first / 64..=last / 64 {
            let low = if word == first / 64 { first % 64 } else { 0 };
            let high = if word == last / 64 { last % 64 } else { 63 };
            if low <= high {
                self.bits[start + word] |= u64::MAX >> (63 - high) & u64::MAX << low;
            }
        }
    }

    /// Spreads what is marked to free neighbours, over and over, until nothing is added.
    fn spread(&mut self, taken: &Self) {
        let mut changed = true;
        while changed {
            changed = false;
            for turn in 0..self.turns {
                for row in 0..self.rows {
                    changed |= self.spread_row(taken, turn, row);
                }
            }
            for turn in (0..self.turns).rev() {
                for row in (0..self.rows).rev() {
                    changed |= self.spread_row(taken, turn, row);
                }
            }
        }
    }

    /// Takes over from the rows and turns beside, then spreads along the row; true where something was added.
    fn spread_row(&mut self, taken: &Self, turn: usize, row: usize) -> bool {
        let here = self.row(turn, row);
        let beside = [
            self.row((turn + 1) % self.turns, row).start,
            self.row((turn + self.turns - 1) % self.turns, row).start,
            self.row(turn, row.saturating_sub(1)).start,
            self.row(turn, (row + 1).min(self.rows - 1)).start,
        ];
        let mut changed = false;
        let mut carried = 0;
        for k in 0..self.words {
            let at = here.start + k;
            let free = !taken.bits[at];
            let seed = beside
                .iter()
                .fold(self.bits[at], |all, s| all | self.bits[s + k]);
            let full = filled((seed | carried) & free, free);
            carried = full >> 63;
            changed |= full != self.bits[at];
            self.bits[at] = full;
        }
        carried = 0;
        for k in (0..self.words).rev() {
            let at = here.start + k;
            let free = !taken.bits[at];
            let full = filled(self.bits[at] | carried & free, free);
            carried = full << 63;
            changed |= full != self.bits[at];
            self.bits[at] = full;
        }
        changed
    }
}

/// The marks spread through the free bits of a word, both ways, in steps that double.
fn filled(marks: u64, free: u64) -> u64 {
    let (mut up, mut down) = (marks, marks);
    let (mut free_up, mut free_down) = (free, free);
    for shift in [1, 2, 4, 8, 16, 32] {
        up |= free_up & (up << shift);
        free_up &= free_up << shift;
        down |= free_down & (down >> shift);
        free_down &= free_down >> shift;
    }
    up | down
}

/// Turns of half a circle, a quarter being one of them: so many that no point goes further than twice the spare room in one.
fn turns(radius_mm: f64, spare_mm: f64) -> usize {
    2 * whole((PI * 0.25 * radius_mm / spare_mm).ceil().max(1.0))
}

fn places(extent: Point, radius_mm: f64, spare_mm: f64) -> f64 {
    let cells = (extent / (2.0 * spare_mm)).ceil() + Point::ONE;
    cells.x * cells.y * turns(radius_mm, spare_mm) as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole numbers of cells, cut off at both ends just before"
)]
fn whole(x: f64) -> usize {
    x.max(0.0).min(PLACES_MOST) as usize
}

fn to_frame(entry: Entry, p: Point) -> Point {
    let from = p - entry.middle;
    Point::new(from.dot(-entry.inward.perp()), from.dot(entry.inward))
}

fn in_frame(entry: Entry, shape: &Convex) -> Convex {
    let points: Vec<Point> = shape.points().iter().map(|p| to_frame(entry, *p)).collect();
    let first = points.first().copied().unwrap_or_default();
    Convex::new(points).unwrap_or_else(|| Convex::line(first, first))
}

/// The sides of the floor as lines, with the gap of the entry, and the two edges of a straight way `length_mm` long outside it.
fn walls(floor: &Polygon, entry: Entry, length_mm: f64) -> Vec<Convex> {
    let along = -entry.inward.perp();
    let half = along * (entry.clear_mm * 0.5);
    let (left, right) = (entry.middle - half, entry.middle + half);
    let out = -entry.inward * (length_mm * 2.0);
    let edges = [(left, left + out), (right, right + out)].map(|(a, b)| Convex::line(a, b));
    let sides = floor.sides().flat_map(|(a, b)| {
        let side = Convex::line(a, b);
        let on = |p: Point| side.distance(&Convex::line(p, p)) <= TOLERANCE_MM;
        let parallel = (b - a).normalize_or_zero().dot(along).abs() > 0.999_999;
        if !parallel || !on(entry.middle) {
            return vec![side];
        }
        let (first, last) = if (b - a).dot(along) > 0.0 {
            (a, b)
        } else {
            (b, a)
        };
        vec![Convex::line(first, left), Convex::line(right, last)]
    });
    sides.chain(edges).collect()
}

/// The stretch of a shape on the level line at `y`.
fn chord(shape: &Convex, y: f64) -> Option<(f64, f64)> {
    let crossings = shape.sides().filter_map(|(a, b)| {
        let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
        if low.y > y || high.y < y {
            return None;
        }
        let rise = high.y - low.y;
        if rise < 1e-9 {
            return Some((a.x.min(b.x), a.x.max(b.x)));
        }
        let x = low.x + (high.x - low.x) * ((y - low.y) / rise);
        Some((x, x))
    });
    crossings.reduce(|(low, high), (a, b)| (low.min(a), high.max(b)))
}
