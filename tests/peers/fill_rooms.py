"""Writes ../data/fill_rooms.ron: the rooms of rooms.py with their proved optima, and a search through everything for tiny ones."""

import pathlib
import sys
import time

import highspy

import everything
import rooms

TARGET = pathlib.Path(__file__).parent.parent / "data" / "fill_rooms.ron"
DRAWN = 170
TINY = 14
LIMIT = 30.0
NAMED_LIMIT = 240.0
HALF_LIMIT = 12.0

HEAD = """\
// The most printers that fit in small rooms, proved by a mixed-integer programme (HiGHS {version}, highspy from PyPI, one thread),
// and for the rooms with `searched_through: true` also found by a plain search through every arrangement.
// Remake: see tests/peers/README.md, which also states the rules these rooms follow.
// All lengths are whole inches; rectangles are (west, south, east, north) from the south-west corner of the room.
// `free`: without the rule of the way out; `way_out`: with it; `..._half`: the same room on half the lattice step.
// `peer_seconds`: how long the solver took for `free` and `way_out` together.
"""


def ron_rects(rects):
    """A list of rectangles."""
    return "[" + ", ".join(f"({', '.join(map(str, r))})" for r in rects) + "]"


def ron_bool(value):
    """A truth value."""
    return "true" if value else "false"


def ron_option(value):
    """A number that may be missing."""
    return "None" if value is None else f"Some({value})"


def ron_room(room, found):
    """One entry of the file."""
    kinds = [
        f"            (width: {k.width}, depth: {k.depth}, printers: {k.printers}, tall: {ron_bool(k.tall)}, back: {ron_bool(k.back)}),"
        for k in room.kinds
    ]
    wall, start, end = room.door
    return "\n".join([
        "    (",
        f'        name: "{room.name}", lattice: {room.lattice}, width: {room.width}, depth: {room.depth}, aisle: {room.aisle},',
        f"        door: (wall: {wall}, from: {start}, to: {end}),",
        f"        walls: {ron_rects(room.walls)},",
        f"        clear: {ron_rects(room.clear)},",
        f"        tall: {ron_rects(room.tall)},",
        "        kinds: [",
        *kinds,
        "        ],",
        f"        free: {found['free']}, way_out: {found['way_out']},",
        f"        free_half: {ron_option(found['free_half'])}, way_out_half: {ron_option(found['way_out_half'])},",
        f"        searched_through: {ron_bool(found['searched'])}, peer_seconds: {found['seconds']:.1f},",
        "    ),",
    ])


def timed(solve, *given):
    """What a solver finds, or nothing in time; and how long it took."""
    start = time.monotonic()
    try:
        found = solve(*given)
    except rooms.Unsolved:
        found = None
    return found, time.monotonic() - start


def solved(room, limit, half_limit):
    """The proved values of a room, or nothing where they are not proved or no rack fits at all."""
    free, free_seconds = timed(rooms.solve_free, room, room.lattice, limit)
    if not free:
        return None
    way_out, way_seconds = timed(rooms.solve_way_out, room, room.lattice, limit, free)
    if way_out is None:
        return None
    found = {"free": free, "way_out": way_out, "seconds": free_seconds + way_seconds, "free_half": None, "way_out_half": None}
    if half_limit:
        fine = room.lattice // 2
        most = sum(k.printers for k in room.kinds) * room.width * room.depth
        found["free_half"], _ = timed(rooms.solve_free, room, fine, half_limit)
        found["way_out_half"], _ = timed(rooms.solve_way_out, room, fine, half_limit, found["free_half"] or most)
        for name in ("free", "way_out"):
            if found[f"{name}_half"] not in (None, found[name]):
                print(f"THE HALF STEP DIFFERS: {room.name} {name} {found[name]} {found[f'{name}_half']}", flush=True)
    searched = everything.search(room)
    found["searched"] = searched is not None
    if searched not in (None, (free, way_out)):
        sys.exit(f"{room.name}: the programme says {free} and {way_out}, the search through everything {searched}")
    return found


def main():
    """Solves every room and writes the file after each, so that what is there is always whole."""
    todo = [(rooms.tiny_room(n), LIMIT, HALF_LIMIT) for n in range(1, TINY + 1)]
    todo += [(room, NAMED_LIMIT, NAMED_LIMIT if room.name in ("empty_8x8", "empty_8x10") else None) for room in rooms.NAMED]
    todo += [(rooms.drawn_room(n), LIMIT, HALF_LIMIT if n % 3 == 1 or n % 12 == 0 else None) for n in range(1, DRAWN + 1)]
    entries = []
    for room, limit, half_limit in todo:
        found = solved(room, limit, half_limit)
        print(room.name, found, flush=True)
        if found is None:
            continue
        entries.append(ron_room(room, found))
        head = HEAD.format(version=highspy.Highs().version())
        TARGET.write_text(head + "[\n" + "\n".join(entries) + "\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
