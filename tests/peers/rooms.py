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

    def is_wide(self, strip, facing):
        """Whether a strip is at least as wide as the walker."""
        return (strip[2] - strip[0] if facing[0] == 0 else strip[3] - strip[1]) >= self.aisle

    def serving(self, strip, facing):
        """The walker's places that serve a strip: inside it, or, if the strip is narrower, across the whole of it."""
        found = []
        along = 0 if facing[0] == 0 else 1
        across = 1 - along
        wide = self.is_wide(strip, facing)
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

    def reached(self, bodies):
        """The places joined to the door when these bodies stand in the room."""
        free = {p for p in self.places if not any(meets(self.square(p), b) for b in bodies)}
        seen = {s for s in self.starts if s in free}
        queue = deque(seen)
        while queue:
            for q in self.next_to(queue.popleft()):
                if q in free and q not in seen:
                    seen.add(q)
                    queue.append(q)
        return seen


class Programme:
    """The mixed-integer programme of one room."""

    def __init__(self, grid, limit, worth=lambda p: p.printers):
        self.grid = grid
        self.end = time.monotonic() + limit
        self.highs = highspy.Highs()
        for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 0), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.5)):
            self.highs.setOptionValue(option, value)
        self.count = 0
        for p in grid.placements:
            self.binary(worth(p))
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
        """The chosen placements of a proved optimum."""
        self.highs.setOptionValue("time_limit", max(0.0, self.end - time.monotonic()))
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise Unsolved
        values = self.highs.getSolution().col_value
        return [i for i in range(len(self.grid.placements)) if values[i] > 0.5]

    def add_flow(self):
        """A flow from the door through the walker's places that brings one unit to each strip of each chosen rack.

        A place carries flow only where the walker may stand, so a strip that is brought its unit is joined to the door.
        """
        grid = self.grid
        most = self.most_strips()
        into, out_of = ({p: {} for p in grid.places} for _ in range(2))
        for place in grid.places:
            if place in grid.starts:
                into[place][self.amount(most)] = 1
            for q in grid.next_to(place):
                if q not in grid.starts:
                    arc = self.amount(most)
                    out_of[place][arc] = into[q][arc] = 1
        wanted = self.wanted()
        for place in grid.places:
            self.row({**into[place], self.walk[place]: -most}, 0)
            self.row({**wanted[place], **out_of[place], **{a: -1 for a in into[place]}}, 0)

    def wanted(self):
        """For each place the terms that say how much flow the chosen racks take there."""
        grid = self.grid
        wanted = {p: {} for p in grid.places}
        for i, p in enumerate(grid.placements):
            for (strip, facing), targets in zip(p.strips, p.targets):
                # In a wide strip nothing stands, so its places are joined and any of them will do.
                if targets and grid.is_wide(strip, facing):
                    wanted[targets[0]][i] = wanted[targets[0]].get(i, 0) + 1
                elif targets:
                    parts = {self.amount(1): t for t in targets}
                    self.row({i: 1, **{part: -1 for part in parts}}, 0)
                    for part, t in parts.items():
                        wanted[t][part] = 1
        return wanted

    def amount(self, most):
        """A new variable from 0 to `most`."""
        self.highs.addVar(0.0, float(most))
        self.count += 1
        return self.count - 1

    def most_strips(self):
        """A bound on how many strips can be chosen, by the linear relaxation."""
        strips = Programme(self.grid, 0, lambda p: len(p.strips))
        strips.highs.setOptionValue("solve_relaxation", True)
        strips.highs.run()
        return int(strips.highs.getInfo().objective_function_value + 1e-6)


def value(grid, chosen):
    """The printers of a choice."""
    return sum(grid.placements[i].printers for i in chosen)


def solve_free(room, step, limit):
    """The most printers without the rule of the way out."""
    grid = Grid(room, step)
    return value(grid, Programme(grid, limit).solve()) if grid.placements else 0


def solve_way_out(room, step, limit, free):
    """The most printers when every strip is joined to the door; `free` is the most without that rule."""
    grid = Grid(room, step)
    if not grid.placements or not grid.starts:
        return 0
    programme = Programme(grid, limit)
    programme.row({i: p.printers for i, p in enumerate(grid.placements)}, free)
    programme.add_walker()
    programme.add_flow()
    chosen = programme.solve()
    reached = grid.reached([grid.placements[i].body for i in chosen])
    assert not any(reached.isdisjoint(t) for i in chosen for t in grid.placements[i].targets), f"{room.name}: a strip is cut off"
    return value(grid, chosen)


NAMED_KINDS = (Kind(72, 24, 9), Kind(60, 24, 6), Kind(48, 24, 6), Kind(36, 24, 3))
NAMED = [
    Room(f"empty_{w}x{d}", 12, w * 12, d * 12, 36, ("South", 12, 48), NAMED_KINDS)
    for w, d in ((8, 8), (8, 10), (10, 10), (10, 12), (12, 12))
]
# The same rooms with the floor before the door kept clear of racks.
NAMED += [replace(room, name=room.name.replace("empty", "door_clear"), clear=((12, 0, 48, 36),)) for room in NAMED]

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
