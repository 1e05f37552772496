//! The widest path: how large a square may be that slides, without turning, from one place to another over a floor
//! between obstacles. Its sides lie along one direction, the floor's axis. The square may touch what stands there.
//!
//! A square of one size is asked about exactly: obstacles are grown by the square, and what is left of the floor is cut into
//! cells. A path for a square is a path for every smaller one, so the greatest is found by halving; where two obstacles
//! pinch it, the distance between them is the exact value.

use super::free_cells::FreeCells;
use super::grown::{Core, Grown};
use super::{Convex, Oblong, Point, Polygon, TOLERANCE_MM};

/// The least square that is asked about, in millimetres: what does not let it pass is closed.
pub const LEAST_SIDE_MM: f64 = 10.0;

/// How near the halving comes to the greatest square, in millimetres.
const NEAR_MM: f64 = 0.01;

/// What stands nearer than this to a square that is held fast helps to hold it, in millimetres.
const TOUCH_MM: f64 = 0.1;

/// Lines that stray from an axis by less than this (the sine of the angle) lie along it: 0.1 mm in a metre.
const STRAY: f64 = 1e-4;

/// Where the square may start or must come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// Against a line: the square touches it from its left side (as seen from the first point to the second) and lies
    /// within its length, or covers it where the square is longer. For a line at an angle to the axis: the square touches
    /// the line's middle.
    Against(Point, Point),
    /// In a rectangle: along each of its directions the square lies within it, or covers it where the square is longer. For
    /// a rectangle at an angle to the axis: the square's middle lies in it.
    In(Oblong),
}

/// What stands in the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Obstacle {
    /// Side `k` of the floor's outline.
    Side(usize),
    /// Body `k` of those given.
    Body(usize),
}

/// What keeps a larger square from coming through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Neck {
    /// Nothing up to the greatest square that was asked about.
    None,
    /// The gap between two obstacles.
    Between(Obstacle, Obstacle),
    /// The place where the square starts, and the body, if there is one, that alone narrows it.
    Start(Option<Obstacle>),
    /// The place where the square should come to, and the body, if there is one, that alone narrows it.
    Goal(Option<Obstacle>),
}

/// The greatest square that comes from a start to a goal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Widest {
    /// Its side in millimetres.
    pub side_mm: f64,
    /// What keeps a larger one from coming through.
    pub neck: Neck,
    /// Where that is; `None` where nothing does.
    pub at: Option<Point>,
}

/// A floor: an outline, and the bodies that stand on it.
#[derive(Clone, Debug)]
pub struct Floor {
    axis: Point,
    outline: Polygon,
    /// The sides of the outline, then the bodies, in the frame whose x lies along the axis.
    cores: Vec<Core>,
    sides: usize,
}

/// Two obstacles and the side of the greatest square that passes between them.
#[derive(Clone, Copy, Debug)]
struct Pair {
    side: f64,
    a: usize,
    b: usize,
}

/// A gap between two obstacles.
#[derive(Clone, Copy, Debug)]
struct Gap {
    side: f64,
    between: (Obstacle, Obstacle),
    /// Its middle, in the frame.
    at: Point,
}

/// A group of goals that are reached by squares up to `open` and no more from `shut` on.
#[derive(Clone, Debug)]
struct Bracket {
    open: f64,
    shut: f64,
    goals: Vec<usize>,
}

impl Floor {
    /// A floor with an outline (anticlockwise), bodies, and the direction of the square's sides (a unit vector).
    pub fn new(outline: &Polygon, bodies: &[Convex], axis: Point) -> Self {
        let framed = |points: &[Point]| -> Vec<Point> {
            points.iter().map(|p| to_frame(axis, *p)).collect()
        };
        let corners = framed(outline.points());
        let outline = Polygon::new(corners).unwrap_or_else(|| outline.clone());
        let sides = outline.sides().map(|(a, b)| Convex::line(a, b));
        let bodies = bodies
            .iter()
            .filter_map(|body| Convex::new(framed(body.points())));
        Self {
            axis,
            cores: sides.chain(bodies).map(Core::new).collect(),
            sides: outline.points().len(),
            outline,
        }
    }

    /// For every goal, whether a square of that side comes to it from any of the starts. A gap that is just as wide as the
    /// square lets it through: all is judged for a square smaller by the tolerance.
    ///
    /// ```
    /// use aislewright::geometry::{Floor, Oblong, Place, Point, Polygon};
    /// let corners = [(0.0, 0.0), (5000.0, 0.0), (5000.0, 2000.0), (0.0, 2000.0)];
    /// let room = Polygon::new(corners.map(|(x, y)| Point::new(x, y)).to_vec()).unwrap();
    /// // A body from the lower wall up leaves 2000 - 1200 = 800 mm.
    /// let body = Oblong::new(Point::new(2500.0, 600.0), 400.0, 1200.0, (0.0, 1.0)).convex();
    /// let floor = Floor::new(&room, &[body], Point::X);
    /// let start = [Place::Against(Point::new(500.0, 0.0), Point::new(1500.0, 0.0))];
    /// let goal = [Place::In(Oblong::new(Point::new(4000.0, 1000.0), 1000.0, 1000.0, (0.0, 1.0)))];
    /// assert_eq!(floor.reach(800.0, &start, &goal), [true]);
    /// assert_eq!(floor.reach(800.1, &start, &goal), [false]);
    /// let widest = floor.widest(&start, &goal, 2000.0)[0].unwrap();
    /// assert!((widest.side_mm - 800.0).abs() < 1e-6);
    /// ```
    pub fn reach(&self, side_mm: f64, starts: &[Place], goals: &[Place]) -> Vec<bool> {
        let all: Vec<usize> = (0..goals.len()).collect();
        let side = (side_mm - TOLERANCE_MM).max(TOLERANCE_MM);
        self.reached(side, starts, goals, &all)
    }

    /// For every goal by itself the greatest square that comes to it from any of the starts, up to a side of `most_mm`;
    /// `None` where not even one of [`LEAST_SIDE_MM`] does. True within 0.1 mm, exact between two obstacles.
    pub fn widest(&self, starts: &[Place], goals: &[Place], most_mm: f64) -> Vec<Option<Widest>> {
        let mut found = vec![None; goals.len()];
        let all: Vec<usize> = (0..goals.len()).collect();
        let reached = |side: f64, some: &[usize]| self.reached(side, starts, goals, some);
        let (open, _) = parted(&all, &reached(LEAST_SIDE_MM, &all));
        let (free, held) = parted(&open, &reached(most_mm, &open));
        for k in free {
            found[k] = Some(Widest {
                side_mm: most_mm,
                neck: Neck::None,
                at: None,
            });
        }
        let sides = Bracket {
            open: LEAST_SIDE_MM,
            shut: most_mm,
            goals: held,
        };
        let brackets = narrowed(sides, reached);
        let low = brackets.iter().map(|b| b.open).fold(most_mm, f64::min);
        let high = brackets.iter().map(|b| b.shut).fold(0.0, f64::max);
        let pairs = self.pairs(low, high);
        for bracket in brackets {
            for (k, widest) in self.necks(starts, goals, &bracket, &pairs) {
                found[k] = Some(widest);
            }
        }
        found
    }

    /// The greatest square that comes to every goal; see [`Floor::widest`]. `None` too where there are no goals.
    ///
    /// A guess of its side saves most of the work where it is right and costs little where it is not. It changes no answer: the
    /// halving takes the same steps, but knows beforehand how those end that a square already asked about decides, since what
    /// a square passes every smaller one passes.
    pub fn widest_to_all(
        &self,
        starts: &[Place],
        goals: &[Place],
        most_mm: f64,
        guess_mm: Option<f64>,
    ) -> Option<Widest> {
        let all: Vec<usize> = (0..goals.len()).collect();
        let missed = |side: f64| {
            let reached = self.reached(side, starts, goals, &all);
            reached.iter().position(|r| !r)
        };
        let mut asked = Asked::default();
        if let Some(guess) = guess_mm {
            let (open, shut) = halved(most_mm, |middle| guess < middle);
            asked.ask(shut, missed);
            asked.ask(open, missed);
        }
        if goals.is_empty() || asked.ask(LEAST_SIDE_MM, missed) {
            return None;
        }
        if !asked.ask(most_mm, missed) {
            return Some(Widest {
                side_mm: most_mm,
                neck: Neck::None,
                at: None,
            });
        }
        let (open, shut) = halved(most_mm, |middle| asked.ask(middle, missed));
        let (_, first) = asked.misses?;
        let bracket = Bracket {
            open,
            shut,
            goals: vec![first],
        };
        let pairs = self.pairs(open, shut);
        let necks = self.necks(starts, goals, &bracket, &pairs);
        necks.first().map(|(_, widest)| *widest)
    }

    /// For some of the goals, whether the square of just that side comes to them.
    fn reached(&self, side: f64, starts: &[Place], goals: &[Place], some: &[usize]) -> Vec<bool> {
        let free = self.free(side, &[]);
        let pieces: Vec<usize> = self
            .start_parts(&free, side, starts)
            .map(|(piece, _)| piece)
            .collect();
        some.iter()
            .map(|k| free.meets(&self.region(goals[*k], side), &pieces))
            .collect()
    }

    /// Where the middle of a square of that side may be, with points put in its way one after another.
    fn free(&self, side: f64, stops: &[Point]) -> FreeCells {
        let half = side * 0.5;
        let grown: Vec<Grown> = self.cores.iter().map(|c| c.grown(half)).collect();
        let stops: Vec<Grown> = stops
            .iter()
            .map(|p| Core::new(Convex::line(*p, *p)).grown(half))
            .collect();
        FreeCells::between(&grown, &stops)
    }

    /// The free places to start from, each once a piece.
    fn start_parts<'a>(
        &'a self,
        free: &FreeCells,
        side: f64,
        starts: &[Place],
    ) -> impl Iterator<Item = (usize, Convex)> + 'a {
        let mut found: Vec<(usize, Convex)> = Vec::new();
        for start in starts {
            for (piece, part) in free.parts_of(&self.region(*start, side)) {
                let new = found.iter().all(|(known, _)| *known != piece);
                if new && self.outline.contains(part.middle()) {
                    found.push((piece, part));
                }
            }
        }
        found.into_iter()
    }

    /// The places in the frame where the middle of a square of that side is at a place.
    fn region(&self, place: Place, side: f64) -> Convex {
        let half = side * 0.5;
        match place {
            Place::In(oblong) => {
                let centre = to_frame(self.axis, oblong.centre());
                let across = to_frame(self.axis, oblong.across());
                let size = Point::new(oblong.width(), oblong.depth()) * 0.5;
                let size = match lies_along(across) {
                    Some(Along::X) => size,
                    Some(Along::Y) => Point::new(size.y, size.x),
                    None => {
                        let turned = Oblong::new(
                            centre,
                            oblong.width(),
                            oblong.depth(),
                            (across.y, across.x),
                        );
                        return turned.convex();
                    }
                };
                boxed(centre, (size - Point::splat(half)).abs())
            }
            Place::Against(a, b) => {
                let (a, b) = (to_frame(self.axis, a), to_frame(self.axis, b));
                let (middle, way) = (a.midpoint(b), (b - a).normalize_or_zero());
                let touch = TOLERANCE_MM * 0.5;
                let Some(along) = lies_along(way) else {
                    return boxed(middle, Point::splat(half + touch));
                };
                let length = a.distance(b);
                let slack = (length * 0.5 - half).abs();
                // A line that strays a little from the axis is touched at one end.
                let touch = touch + way.x.abs().min(way.y.abs()) * length.max(side);
                let normal = way.perp().round();
                let size = match along {
                    Along::X => Point::new(slack, touch),
                    Along::Y => Point::new(touch, slack),
                };
                boxed(middle + normal * half, size)
            }
        }
    }

    /// What keeps larger squares from the goals of a bracket.
    fn necks(
        &self,
        starts: &[Place],
        goals: &[Place],
        bracket: &Bracket,
        pairs: &[Pair],
    ) -> Vec<(usize, Widest)> {
        let (tight, closed) = (self.free(bracket.open, &[]), self.free(bracket.shut, &[]));
        let from: Vec<(usize, Convex)> = self.start_parts(&tight, bracket.open, starts).collect();
        let no_start = self.start_parts(&closed, bracket.shut, starts).next();
        if let (None, Some((_, part)), Some(first)) =
            (no_start, from.first(), bracket.goals.first())
        {
            let larger = |floor: &Self| {
                let side = bracket.shut + NEAR_MM;
                floor.reached(side, starts, goals, &[*first]) == [true]
            };
            let neck = self.pinched(&[part.middle()], bracket, Neck::Start, larger);
            return bracket.goals.iter().map(|k| (*k, neck)).collect();
        }
        let pieces: Vec<usize> = from.iter().map(|(piece, _)| *piece).collect();
        let mut necks = Vec::new();
        let mut on_the_way = Vec::new();
        for &k in &bracket.goals {
            let closed_up = closed
                .parts_of(&self.region(goals[k], bracket.shut))
                .all(|(_, part)| !self.outline.contains(part.middle()));
            if closed_up {
                necks.push((
                    k,
                    self.neck_at_goal(starts, goals, k, bracket, &tight, &pieces),
                ));
            } else {
                on_the_way.push(k);
            }
        }
        if !on_the_way.is_empty() {
            let start = from.first().map_or(Point::ZERO, |(_, p)| p.middle());
            let named = self.gaps_on_the_way(starts, goals, bracket, &on_the_way, start, pairs);
            necks.extend(on_the_way.into_iter().map(|k| {
                let by_gap = named.iter().find(|(goal, _)| *goal == k);
                let widest = by_gap.map_or_else(
                    || self.neck_at_goal(starts, goals, k, bracket, &tight, &pieces),
                    |(_, gap)| self.by_gap(gap),
                );
                (k, widest)
            }));
        }
        necks
    }

    fn neck_at_goal(
        &self,
        starts: &[Place],
        goals: &[Place],
        k: usize,
        bracket: &Bracket,
        tight: &FreeCells,
        pieces: &[usize],
    ) -> Widest {
        let region = self.region(goals[k], bracket.open);
        let mut middles: Vec<Point> = tight
            .parts_of(&region)
            .filter(|(piece, _)| pieces.contains(piece))
            .map(|(_, part)| part.middle())
            .collect();
        if middles.is_empty() {
            middles.push(region.middle());
        }
        let larger = |floor: &Self| {
            let side = bracket.shut + NEAR_MM;
            floor.reached(side, starts, goals, &[k]) == [true]
        };
        self.pinched(&middles, bracket, Neck::Goal, larger)
    }

    fn by_gap(&self, gap: &Gap) -> Widest {
        let (a, b) = gap.between;
        Widest {
            side_mm: gap.side,
            neck: Neck::Between(a, b),
            at: Some(self.out_of_frame(gap.at)),
        }
    }

    /// The neck of a square that is held where it is, with its middle at any of some places: the two obstacles it is held
    /// between, else the place, with the body without which a `larger` square comes through.
    fn pinched(
        &self,
        middles: &[Point],
        bracket: &Bracket,
        place: impl Fn(Option<Obstacle>) -> Neck,
        larger: impl Fn(&Self) -> bool,
    ) -> Widest {
        let touching = |middle: Point| -> Vec<usize> {
            let square = Core::new(boxed(middle, Point::splat(bracket.open * 0.5)));
            (0..self.cores.len())
                .filter(|k| self.cores[*k].bounds().gap(square.bounds()) < TOUCH_MM)
                .filter(|k| self.cores[*k].gap(&square) < TOUCH_MM)
                .collect()
        };
        let pairs = middles
            .iter()
            .flat_map(|m| self.pairs_of(&touching(*m), bracket.open, bracket.shut));
        if let Some(pair) = pairs.min_by(|a, b| a.side.total_cmp(&b.side)) {
            return self.by_gap(&self.gap(pair));
        }
        let middle = middles.first().copied().unwrap_or_default();
        let touching = touching(middle);
        let bodies = touching.into_iter().filter(|k| *k >= self.sides);
        let alone = bodies
            .into_iter()
            .find(|k| larger(&self.without(*k)))
            .map(|k| self.obstacle(k));
        Widest {
            side_mm: bracket.open,
            neck: place(alone),
            at: Some(self.out_of_frame(middle)),
        }
    }

    /// The floor without one obstacle.
    fn without(&self, core: usize) -> Self {
        let mut floor = self.clone();
        floor.cores.remove(core);
        floor
    }

    /// The pairs of obstacles whose gap lies between two sides, narrowest first.
    fn pairs(&self, low: f64, high: f64) -> Vec<Pair> {
        let all: Vec<usize> = (0..self.cores.len()).collect();
        let mut pairs = self.pairs_of(&all, low, high);
        pairs.sort_by(|a, b| a.side.total_cmp(&b.side));
        pairs
    }

    fn pairs_of(&self, some: &[usize], low: f64, high: f64) -> Vec<Pair> {
        let (low, high) = (low - TOLERANCE_MM, high + TOLERANCE_MM);
        let mut pairs = Vec::new();
        for (j, &a) in some.iter().enumerate() {
            for &b in some.iter().skip(j + 1) {
                let (ours, theirs) = (&self.cores[a], &self.cores[b]);
                if ours.bounds().gap(theirs.bounds()) <= high {
                    let side = ours.gap(theirs);
                    if low <= side && side <= high {
                        pairs.push(Pair { side, a, b });
                    }
                }
            }
        }
        pairs
    }

    fn gap(&self, pair: Pair) -> Gap {
        let Pair { side, a, b } = pair;
        Gap {
            side,
            between: (self.obstacle(a), self.obstacle(b)),
            at: self.cores[a].between(&self.cores[b], side),
        }
    }

    /// For the goals that are cut off on the way, the first gap from the start on that every way needs: with all gaps that
    /// close within the bracket in order, the one whose stopping cuts the goal off.
    fn gaps_on_the_way(
        &self,
        starts: &[Place],
        goals: &[Place],
        bracket: &Bracket,
        some: &[usize],
        start: Point,
        pairs: &[Pair],
    ) -> Vec<(usize, Gap)> {
        let (low, high) = (bracket.open - TOLERANCE_MM, bracket.shut + TOLERANCE_MM);
        let mut gaps: Vec<Gap> = pairs
            .iter()
            .skip_while(|p| p.side < low)
            .take_while(|p| p.side <= high)
            .map(|p| self.gap(*p))
            .collect();
        let far = |g: &Gap| g.at.distance_squared(start);
        gaps.sort_by(|a, b| far(a).total_cmp(&far(b)));
        let stops: Vec<Point> = gaps.iter().map(|g| g.at).collect();
        let side = bracket.open;
        let free = self.free(side, &stops);
        let pieces: Vec<usize> = self
            .start_parts(&free, side, starts)
            .map(|(piece, _)| piece)
            .collect();
        let regions: Vec<Convex> = some.iter().map(|k| self.region(goals[*k], side)).collect();
        some.iter()
            .zip(free.cut_off_by(&pieces, &regions))
            .filter_map(|(k, last)| Some((*k, *gaps.get(last?)?)))
            .collect()
    }

    fn obstacle(&self, core: usize) -> Obstacle {
        core.checked_sub(self.sides)
            .map_or(Obstacle::Side(core), Obstacle::Body)
    }

    fn out_of_frame(&self, p: Point) -> Point {
        self.axis * p.x + self.axis.perp() * p.y
    }
}

/// Halves the sides from the least to `most_mm` until they are narrow; `too_wide` says whether to go below a middle.
fn halved(most_mm: f64, mut too_wide: impl FnMut(f64) -> bool) -> (f64, f64) {
    let (mut open, mut shut) = (LEAST_SIDE_MM, most_mm);
    while shut - open > NEAR_MM {
        let middle = (open + shut) * 0.5;
        if too_wide(middle) {
            shut = middle;
        } else {
            open = middle;
        }
    }
    (open, shut)
}

/// The squares that were asked about: the greatest that comes to every goal, and the least that misses one, with that goal.
#[derive(Debug, Default)]
struct Asked {
    passes: Option<f64>,
    misses: Option<(f64, usize)>,
}

impl Asked {
    /// True where a square of that side misses a goal; asks only where no other square tells.
    fn ask(&mut self, side: f64, missed: impl Fn(f64) -> Option<usize>) -> bool {
        if self.misses.is_some_and(|(least, _)| side >= least) {
            return true;
        }
        if self.passes.is_some_and(|most| side <= most) {
            return false;
        }
        match missed(side) {
            Some(goal) => self.misses = Some((side, goal)),
            None => self.passes = Some(side),
        }
        self.misses.is_some_and(|(least, _)| side >= least)
    }
}

/// A point in the frame whose x lies along the axis.
fn to_frame(axis: Point, p: Point) -> Point {
    Point::new(p.dot(axis), p.dot(axis.perp()))
}

/// Which axis of the frame a direction lies along.
#[derive(Clone, Copy, Debug)]
enum Along {
    X,
    Y,
}

fn lies_along(direction: Point) -> Option<Along> {
    if direction.y.abs() < STRAY {
        Some(Along::X)
    } else if direction.x.abs() < STRAY {
        Some(Along::Y)
    } else {
        None
    }
}

/// A rectangle along the frame, a trifle larger, so that it has an inside.
fn boxed(centre: Point, half: Point) -> Convex {
    const TRIFLE_MM: f64 = 1e-6;
    let size = (half + Point::splat(TRIFLE_MM)) * 2.0;
    Oblong::new(centre, size.x, size.y, (0.0, 1.0)).convex()
}

/// The goals that are reached and those that are not.
fn parted(goals: &[usize], reached: &[bool]) -> (Vec<usize>, Vec<usize>) {
    let with = |wanted: bool| {
        goals
            .iter()
            .zip(reached)
            .filter(|(_, r)| **r == wanted)
            .map(|(k, _)| *k)
            .collect()
    };
    (with(true), with(false))
}

/// Halves a bracket for all its goals at once until it is narrow: goals that part company go on apart.
fn narrowed(whole: Bracket, reached: impl Fn(f64, &[usize]) -> Vec<bool>) -> Vec<Bracket> {
    let mut waiting = vec![whole];
    let mut done = Vec::new();
    while let Some(bracket) = waiting.pop() {
        if bracket.goals.is_empty() {
            continue;
        }
        if bracket.shut - bracket.open <= NEAR_MM {
            done.push(bracket);
            continue;
        }
        let middle = (bracket.open + bracket.shut) * 0.5;
        let (open, shut) = parted(&bracket.goals, &reached(middle, &bracket.goals));
        waiting.push(Bracket {
            open: middle,
            shut: bracket.shut,
            goals: open,
        });
        waiting.push(Bracket {
            open: bracket.open,
            shut: middle,
            goals: shut,
        });
    }
    done
}
