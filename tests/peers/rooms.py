"""Exact peers of the rack filling: small rooms, each with the proved most printers that fit.

A mixed-integer programme, written without a look at the program's own search and solved with HiGHS. The rules it knows are those of
README.md beside this file. It must not read anything of the program, and the program must not need it to run.
"""

import random
import time
from collections import deque
from dataclasses import dataclass, field, replace

import highspy

TURNS = (0, 90, 180, 270)
FRONT = {0: (0, -1), 90: (1, 0), 180: (0, 1), 270: (-1, 0)}


@dataclass(frozen=True)
class Kind:
    """A kind of rack: inches, printers on it, whether it is too tall for a window, whether it is also reached from the back."""

    width: int
    depth: int
    printers: int
    tall: bool = True
    back: bool = False


@dataclass(frozen=True)
class Room:
    """One room in inches; every rectangle is (west, south, east, north)."""

    name: str
    lattice: int
    width: int
    depth: int
    aisle: int
    door: tuple  # (wall, from, to)
    kinds: tuple
    walls: tuple = ()
    clear: tuple = ()
    tall: tuple = ()


@dataclass
class Placement:
    """A rack at one place in one turn, in lattice steps."""

    kind: int
    turn: int
    body: tuple
    strips: list  # (rectangle, facing)
    printers: int
    targets: list = field(default_factory=list)  # for each strip the walker's places that serve it


class Unsolved(Exception):
    """The optimum was not proved in the time given."""


def meets(a, b):
    """Whether the insides of two rectangles meet."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def inside(a, width, depth):
    """Whether a rectangle lies in the room."""
    return a[0] >= 0 and a[1] >= 0 and a[2] <= width and a[3] <= depth


def cells(rect):
    """The unit cells of a rectangle."""
    return [(x, y) for x in range(rect[0], rect[2]) for y in range(rect[1], rect[3])]


def strip_before(body, facing, aisle):
    """The service strip before the side of a body that looks to `facing`."""
    west, south, east, north = body
    return {
        (0, -1): (west, south - aisle, east, south),
        (1, 0): (east, south, east + aisle, north),
        (0, 1): (west, north, east, north + aisle),
        (-1, 0): (west - aisle, south, west, north),
    }[facing]


class Grid:
    """A room cut into lattice steps: its placements, and the walker's places."""

    def __init__(self, room, step):
        def scale(value):
            assert value % step == 0, f"{room.name}: {value} is no multiple of {step}"
            return value // step

        def rects(items):
            return [tuple(scale(v) for v in r) for r in items]

        self.width, self.depth, self.aisle = scale(room.width), scale(room.depth), scale(room.aisle)
        self.walls, self.clear, self.tall = rects(room.walls), rects(room.clear), rects(room.tall)
        self.kinds = [replace(k, width=scale(k.width), depth=scale(k.depth)) for k in room.kinds]
        self.door = (room.door[0], scale(room.door[1]), scale(room.door[2]))
        self.places = self.walker_places()
        self.starts = [p for p in self.places if self.is_start(p)]
        self.placements = self.all_placements()

    def square(self, place):
        """The walker's square at a place."""
        return (place[0], place[1], place[0] + self.aisle, place[1] + self.aisle)

    def walker_places(self):
        """Places where the walker meets no wall of the room and no obstacle."""
        found = []
        for x in range(self.width - self.aisle + 1):
            for y in range(self.depth - self.aisle + 1):
                if not any(meets(self.square((x, y)), w) for w in self.walls):
                    found.append((x, y))
        return dict.fromkeys(found)

    def is_start(self, place):
        """Whether the walker stands in the door here."""
        wall, start, end = self.door
        x, y = place
        touches = {
            "South": y == 0,
            "North": y + self.aisle == self.depth,
            "West": x == 0,
            "East": x + self.aisle == self.width,
        }[wall]
        low = x if wall in ("South", "North") else y
        high = low + self.aisle
        if self.aisle >= end - start:
            return touches and low <= start and high >= end
        return touches and low >= start and high <= end

    def next_to(self, place):
        """The neighbouring places, one step away."""
        x, y = place
        return [q for q in ((x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)) if q in self.places]

    def serving(self, strip, facing):
        """The walker's places that serve a strip: inside it, or, if the strip is narrower, across the whole of it."""
        found = []
        along = 0 if facing[0] == 0 else 1
        across = 1 - along
        wide = strip[along + 2] - strip[along] >= self.aisle
        for place in self.places:
            if place[across] != strip[across]:
                continue
            low, high = place[along], place[along] + self.aisle
            if wide and low >= strip[along] and high <= strip[along + 2]:
                found.append(place)
            elif not wide and low <= strip[along] and high >= strip[along + 2]:
                found.append(place)
        return found

    def all_placements(self):
        """Every rack that could stand alone in the room with its strips free of obstacles."""
        found = []
        for number, kind in enumerate(self.kinds):
            # A rack reached from both sides is the same after half a turn.
            for turn in TURNS[:2] if kind.back else TURNS:
                wide, deep = (kind.width, kind.depth) if turn % 180 == 0 else (kind.depth, kind.width)
                for x in range(self.width - wide + 1):
                    for y in range(self.depth - deep + 1):
                        made = self.placement(number, turn, (x, y, x + wide, y + deep))
                        if made:
                            found.append(made)
        return found

    def placement(self, number, turn, body):
        """The rack of a kind with this body, or nothing where it may not stand."""
        kind = self.kinds[number]
        blockers = self.walls + self.clear + (self.tall if kind.tall else [])
        if any(meets(body, b) for b in blockers):
            return None
        front = FRONT[turn]
        facings = [front, (-front[0], -front[1])] if kind.back else [front]
        strips = [(strip_before(body, f, self.aisle), f) for f in facings]
        for strip, _ in strips:
            if not inside(strip, self.width, self.depth) or any(meets(strip, w) for w in self.walls):
                return None
        return Placement(number, turn, body, strips, kind.printers, [self.serving(s, f) for s, f in strips])

    def reached(self, bodies, sources=None):
        """The places joined to the door (or to other sources) when these bodies stand in the room."""
        free = {p for p in self.places if not any(meets(self.square(p), b) for b in bodies)}
        seen = {s for s in (self.starts if sources is None else sources) if s in free}
        queue = deque(seen)
        while queue:
            for q in self.next_to(queue.popleft()):
                if q in free and q not in seen:
                    seen.add(q)
                    queue.append(q)
        return seen


class Programme:
    """The mixed-integer programme of one room. Rows of the way out are added as they prove needed."""

    def __init__(self, grid, limit):
        self.grid = grid
        self.end = time.monotonic() + limit
        self.highs = highspy.Highs()
        for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 0), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.5)):
            self.highs.setOptionValue(option, value)
        self.count = 0
        for p in grid.placements:
            self.binary(p.printers)
        self.cover = {}
        for i, p in enumerate(grid.placements):
            for c in cells(p.body):
                self.cover.setdefault(c, []).append(i)
        self.cell_rows()
        self.highs.changeObjectiveSense(highspy.ObjSense.kMaximize)

    def binary(self, cost):
        """A new variable that is 0 or 1."""
        self.highs.addVar(0.0, 1.0)
        self.highs.changeColCost(self.count, float(cost))
        self.highs.changeColIntegrality(self.count, highspy.HighsVarType.kInteger)
        self.count += 1
        return self.count - 1

    def row(self, terms, most):
        """Adds `sum of terms <= most`; terms is a dictionary from variable to factor."""
        self.highs.addRow(-highspy.kHighsInf, float(most), len(terms), list(terms), [float(v) for v in terms.values()])

    def cell_rows(self):
        """Each cell holds one body, or strips of racks none of which looks the same way as another.

        Two racks that look the same way and whose strips share a cell stand one before the other nearer than an aisle, so the
        front one would stand in the strip of the other: at most one of them can be chosen, for each of the four directions.
        """
        strips = {}
        for i, p in enumerate(self.grid.placements):
            for strip, facing in p.strips:
                for c in cells(strip):
                    strips.setdefault((c, facing), []).append(i)
        rows = set()
        for c, bodies in self.cover.items():
            for facing in FRONT.values():
                rows.add(frozenset(bodies) | frozenset(strips.get((c, facing), ())))
        for c_facing, users in strips.items():
            if c_facing[0] not in self.cover:
                rows.add(frozenset(users))
        for row in sorted(sorted(r) for r in rows if len(r) > 1):
            self.row(dict.fromkeys(row, 1), 1)

    def add_walker(self):
        """A variable for each place of the walker: 1 only if the place is free of bodies."""
        grid = self.grid
        self.walk = {p: self.binary(0) for p in grid.places}
        thin = min((min(k.width, k.depth) for k in grid.kinds), default=1)
        # A body at least `thin` thick that meets the square covers one of the cells at these offsets.
        offsets = sorted(set(range(0, grid.aisle, thin)) | {grid.aisle - 1})
        for (x, y), r in self.walk.items():
            for dx in offsets:
                for dy in offsets:
                    bodies = self.cover.get((x + dx, y + dy), [])
                    if bodies:
                        self.row({**dict.fromkeys(bodies, 1), r: 1}, 1)
        for i, p in enumerate(grid.placements):
            for targets in p.targets:
                self.row({i: 1, **{self.walk[t]: -1 for t in targets}}, 0)
            self.row({i: 1, **{self.walk[s]: -1 for s in grid.starts}}, 0)

    def solve(self):
        """The chosen placements of a proved optimum of the present rows."""
        left = self.end - time.monotonic()
        if left <= 0:
            raise Unsolved
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + left)
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise Unsolved
        values = self.highs.getSolution().col_value
        return [i for i in range(len(self.grid.placements)) if values[i] > 0.5]

    def cut(self, chosen):
        """Adds rows that forbid what is wrong with the ways in this choice; returns how many."""
        grid = self.grid
        bodies = [grid.placements[i].body for i in chosen]
        near = grid.reached(bodies)
        rows = set()
        for i in chosen:
            for targets in grid.placements[i].targets:
                if near.isdisjoint(targets):
                    far = grid.reached(bodies, targets)
                    for gate in self.gates(near, far, targets):
                        rows |= self.gate_rows(i, frozenset(gate))
        for users, gate in sorted((sorted(u), sorted(g)) for u, g in rows):
            self.row({**dict.fromkeys(users, 1), **{self.walk[g]: -1 for g in gate}}, 0)
        return len(rows)

    def gates(self, near, far, targets):
        """Two sets of places every way from the door to the targets must pass: one next to the near side, one next to the far."""
        grid = self.grid
        edge = {q for p in near for q in grid.next_to(p) if q not in near} | {s for s in grid.starts if s not in near}
        behind = self.flood(targets, edge)
        yield {g for g in edge if g in targets or any(q in behind for q in grid.next_to(g))}
        edge = {q for p in far for q in grid.next_to(p) if q not in far} | {t for t in targets if t not in far}
        before = self.flood(grid.starts, edge)
        yield {g for g in edge if g in grid.starts or any(q in before for q in grid.next_to(g))}

    def flood(self, sources, closed):
        """The places joined to the sources in the empty room without those closed."""
        seen = {s for s in sources if s not in closed}
        queue = deque(seen)
        while queue:
            for q in self.grid.next_to(queue.popleft()):
                if q not in closed and q not in seen:
                    seen.add(q)
                    queue.append(q)
        return seen

    def gate_rows(self, wrong, gate):
        """Of the racks over one cell of the wrong one that can be served only through the gate, at most as many as open gates."""
        placements = self.grid.placements
        before = self.flood(self.grid.starts, gate)
        rows = set()
        for c in cells(placements[wrong].body):
            users = [i for i in self.cover[c] if any(before.isdisjoint(t) for t in placements[i].targets)]
            rows.add((frozenset(users), gate))
        return rows


def value(grid, chosen):
    """The printers of a choice."""
    return sum(grid.placements[i].printers for i in chosen)


def solve_free(room, step, limit):
    """The most printers without the rule of the way out."""
    grid = Grid(room, step)
    return value(grid, Programme(grid, limit).solve()) if grid.placements else 0


def solve_way_out(room, step, limit, trace=False):
    """The most printers when every strip is joined to the door."""
    grid = Grid(room, step)
    if not grid.placements or not grid.starts:
        return 0
    programme = Programme(grid, limit)
    programme.add_walker()
    while True:
        chosen = programme.solve()
        added = programme.cut(chosen)
        if trace:
            print("  ", value(grid, chosen), added, round(programme.end - time.monotonic(), 1), flush=True)
        if not added:
            return value(grid, chosen)


NAMED_KINDS = (Kind(72, 24, 9), Kind(60, 24, 6), Kind(48, 24, 6), Kind(36, 24, 3))
NAMED = [
    Room(f"empty_{w}x{d}", 12, w * 12, d * 12, 36, ("South", 12, 48), NAMED_KINDS)
    for w, d in ((8, 8), (8, 10), (10, 10), (10, 12), (12, 12))
]

CATALOGUE = (
    Kind(72, 24, 9),
    Kind(48, 24, 6),
    Kind(36, 24, 3),
    Kind(72, 24, 6, tall=False),
    Kind(60, 24, 6),
    Kind(24, 24, 3),
    Kind(48, 24, 8, back=True),
    Kind(36, 12, 2),
)


def drawn_room(number):
    """The room of a number, always the same one."""
    dice = random.Random(f"room {number}")
    step = 6 if number % 3 == 0 else 12

    def inches(low, high):
        return step * dice.randint(-(-low // step), high // step)

    longest = 90 if step == 6 else 120
    width, depth = inches(72, min(longest, 108)), inches(72, longest)
    wall = dice.choice(("South", "North", "West", "East"))
    along = width if wall in ("South", "North") else depth
    opening = inches(30, 48)
    start = inches(0, along - opening)
    zones = {"walls": [], "clear": [], "tall": []}
    for _ in range(dice.choice((0, 1, 1, 2, 2, 3))):
        sort = dice.choice(("walls", "walls", "clear", "tall"))
        zones[sort].append(drawn_zone(dice, sort, step, width, depth))
    return Room(
        name=f"r{number:03}",
        lattice=step,
        width=width,
        depth=depth,
        aisle=dice.choice((36, 36, 36, 36, 24, 48)),
        door=(wall, start, start + opening),
        kinds=tuple(dice.sample(CATALOGUE, dice.choice((1, 2, 2, 3, 3, 4)))),
        **{sort: tuple(rects) for sort, rects in zones.items()},
    )


def drawn_zone(dice, sort, step, width, depth):
    """A rectangle for an obstacle, a place to keep clear, or a window (along a wall)."""
    if sort == "tall":
        long, deep = step * dice.randint(24 // step, 60 // step), dice.choice((12, 24))
        wide, high = dice.choice(((long, deep), (deep, long)))
        west = dice.choice((0, width - wide)) if wide == deep or wide < high else step * dice.randint(0, (width - wide) // step)
        south = dice.choice((0, depth - high)) if wide > high else step * dice.randint(0, (depth - high) // step)
    else:
        most = 30 if sort == "walls" else 42
        wide, high = (step * dice.randint(1, most // step) for _ in range(2))
        west, south = step * dice.randint(0, (width - wide) // step), step * dice.randint(0, (depth - high) // step)
    return (west, south, west + wide, south + high)


def tiny_room(number):
    """A tiny room of a number, small enough for a search through everything."""
    dice = random.Random(f"tiny {number}")
    room = drawn_room(number * 3 + 1)
    width, depth = 12 * dice.randint(5, 6), 12 * dice.randint(5, 7)
    zones = [drawn_zone(dice, "walls", 12, width, depth)] if dice.random() < 0.5 else []
    start = 12 * dice.randint(0, 1)
    wall = dice.choice(("South", "North", "West", "East"))
    kinds = tuple(dice.sample(CATALOGUE[1:3] + CATALOGUE[5:], dice.randint(1, 2)))
    return replace(
        room, name=f"t{number:02}", width=width, depth=depth, aisle=dice.choice((24, 36)), door=(wall, start, start + 36),
        kinds=kinds, walls=tuple(zones), clear=(), tall=(),
    )
