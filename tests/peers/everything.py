"""The second peer: a search through every arrangement of a tiny room, in plain Python. It must share no code with rooms.py.

Racks are tried one after the other, each either left out or put in where it fits with those before it. A choice that already
loses the way out is dropped with all that contains it: a further rack never opens a way.
"""

RACKS = 130
NODES = 20_000


def overlap(a, b):
    """Whether two rectangles (west, south, east, north) share an inside."""
    return max(a[0], b[0]) < min(a[2], b[2]) and max(a[1], b[1]) < min(a[3], b[3])


def side_strip(body, side, reach):
    """The strip `reach` deep before one side of a body; sides count anticlockwise from the south."""
    west, south, east, north = body
    if side == 0:
        return (west, south - reach, east, south)
    if side == 1:
        return (east, south, east + reach, north)
    if side == 2:
        return (west, north, east, north + reach)
    return (west - reach, south, west, north)


def stands(room):
    """Every rack that can stand alone: body, strips with their sides, printers. Lengths stay inches."""
    whole = []
    for kind in room.kinds:
        for side in range(4):
            wide, deep = (kind.width, kind.depth) if side in (0, 2) else (kind.depth, kind.width)
            for west in range(0, room.width - wide + 1, room.lattice):
                for south in range(0, room.depth - deep + 1, room.lattice):
                    body = (west, south, west + wide, south + deep)
                    sides = [side, (side + 2) % 4] if kind.back else [side]
                    strips = [(side_strip(body, s, room.aisle), s) for s in sides]
                    if may_stand(room, kind, body, strips):
                        whole.append((body, strips, kind.printers))
    return whole


def may_stand(room, kind, body, strips):
    """Whether a body and its strips keep clear of all that is fixed."""
    forbidden = list(room.walls) + list(room.clear)
    if kind.tall:
        forbidden += list(room.tall)
    if any(overlap(body, f) for f in forbidden):
        return False
    for (west, south, east, north), _ in strips:
        if west < 0 or south < 0 or east > room.width or north > room.depth:
            return False
        if any(overlap((west, south, east, north), w) for w in room.walls):
            return False
    return True


def agree(one, other):
    """Whether two racks can stand together, the way out aside."""
    if overlap(one[0], other[0]):
        return False
    return not any(overlap(one[0], s) for s, _ in other[1]) and not any(overlap(other[0], s) for s, _ in one[1])


def all_reached(room, racks):
    """Whether a walker from the door comes to every strip of these racks."""
    blocked = list(room.walls) + [body for body, _, _ in racks]
    side = room.aisle

    def fits(x, y):
        if x < 0 or y < 0 or x + side > room.width or y + side > room.depth:
            return False
        return not any(overlap((x, y, x + side, y + side), b) for b in blocked)

    seen = {place for place in door_places(room) if fits(*place)}
    wave = list(seen)
    while wave:
        x, y = wave.pop()
        for step in ((room.lattice, 0), (-room.lattice, 0), (0, room.lattice), (0, -room.lattice)):
            place = (x + step[0], y + step[1])
            if place not in seen and fits(*place):
                seen.add(place)
                wave.append(place)
    return all(any(serves(room, place, strip, s) for place in seen) for _, strips, _ in racks for strip, s in strips)


def door_places(room):
    """The walker's places in the door."""
    wall, start, end = room.door
    length = room.width if wall in ("South", "North") else room.depth
    places = []
    for low in range(0, length - room.aisle + 1, room.lattice):
        high = low + room.aisle
        wide_enough = end - start > room.aisle
        if (wide_enough and start <= low and high <= end) or (not wide_enough and low <= start and end <= high):
            places.append({
                "South": (low, 0),
                "North": (low, room.depth - room.aisle),
                "West": (0, low),
                "East": (room.width - room.aisle, low),
            }[wall])
    return places


def serves(room, place, strip, side):
    """Whether the walker at a place serves a strip: inside a wide one, or over the whole width of a narrow one."""
    x, y = place
    west, south, east, north = strip
    if side in (0, 2):
        level, low, high, at = y == south, west, east, x
    else:
        level, low, high, at = x == west, south, north, y
    if high - low >= room.aisle:
        return level and low <= at and at + room.aisle <= high
    return level and at <= low and high <= at + room.aisle


def search(room):
    """The best value without and with the rule of the way out, or nothing when there is too much to go through."""
    racks = stands(room)
    if len(racks) > RACKS:
        return None
    fits = [sum(1 << j for j in range(i + 1, len(racks)) if agree(racks[i], racks[j])) for i in range(len(racks))]
    best = [0, 0]
    nodes = 0

    def go_on(chosen, printers, open_racks, way):
        nonlocal nodes
        nodes += 1
        if nodes > NODES:
            return
        best[0] = max(best[0], printers)
        if way:
            way = all_reached(room, chosen)
        if way:
            best[1] = max(best[1], printers)
        while open_racks:
            low = (open_racks & -open_racks).bit_length() - 1
            open_racks &= open_racks - 1
            go_on([*chosen, racks[low]], printers + racks[low][2], open_racks & fits[low], way)

    go_on([], 0, (1 << len(racks)) - 1, True)
    return tuple(best) if nodes <= NODES else None
