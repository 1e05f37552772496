"""Writes ../data/pallet_packing.ron: equal rectangles with quarter turns in a rectangle, listed optima proved again where that works.

The listed values are known for these cases of the pallet loading problem; this file proves them by its own mixed-integer programme:
a variable for each piece at each pair of raster coordinates, and for each raster point at most one piece over it.
"""

import pathlib
import time

import highspy

TARGET = pathlib.Path(__file__).parent.parent / "data" / "pallet_packing.ron"
LIMIT = 60.0

# Length and width of the pallet, of the piece, and the most pieces.
LISTED = (
    (14, 10, 3, 2, 23), (19, 15, 4, 3, 23), (22, 16, 5, 3, 23), (30, 22, 7, 4, 23), (32, 22, 5, 4, 34), (32, 27, 5, 4, 42),
    (34, 23, 5, 4, 38), (40, 26, 7, 4, 36), (40, 33, 7, 4, 46), (53, 26, 7, 4, 48), (37, 30, 8, 3, 45), (81, 39, 9, 7, 49),
    (52, 33, 9, 4, 47), (56, 52, 12, 5, 48), (42, 39, 9, 4, 45), (40, 25, 7, 3, 47), (43, 26, 7, 3, 53), (49, 28, 8, 3, 57),
    (57, 34, 7, 4, 69), (63, 44, 8, 5, 69),
)

HEAD = """\
// The most equal rectangles, turned by quarters at will, that fit in a rectangle: known cases of the pallet loading problem.
// `proved_here: true`: HiGHS {version} (highspy from PyPI, one thread) proved the value in at most {limit:.0f} s with the programme of
// tests/peers/pallets.py; `false`: the value is only listed. `found_here`: the most pieces that programme placed in that time.
// Remake: see tests/peers/README.md.
"""


def sums(length, pieces):
    """The sums of piece sides up to a length."""
    found = {0}
    for total in range(1, length + 1):
        if any(total - p in found for p in pieces):
            found.add(total)
    return sorted(found)


def raster(length, pieces):
    """The raster coordinates along one side: a packing can be pushed so that every piece starts at one of them."""
    normal = sums(length, pieces)
    return sorted({max(s for s in normal if s <= length - far) for far in normal})


def line_rows(length, long, short):
    """Rows `a * longs + b * shorts <= c` of the convex hull of what one line across the pallet can cut."""
    corners = [(n, (length - n * long) // short) for n in range(length // long + 1)]
    hull = []
    for x, y in corners:
        while len(hull) > 1 and cross(hull[-2], hull[-1], (x, y)) >= 0:
            hull.pop()
        hull.append((x, y))
    rows = [(0, 1, hull[0][1]), (1, 0, hull[-1][0])]
    for (x0, y0), (x1, y1) in zip(hull, hull[1:]):
        rows.append((y0 - y1, x1 - x0, (y0 - y1) * x0 + (x1 - x0) * y0))
    return rows


def cross(o, a, b):
    """Positive when o, a, b turn anticlockwise."""
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def programme(length, width, long, short):
    """The programme of one pallet, ready to run."""
    highs = highspy.Highs()
    for option, setting in (("output_flag", False), ("threads", 1), ("random_seed", 0), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.5)):
        highs.setOptionValue(option, setting)
    xs, ys = raster(length, (long, short)), raster(width, (long, short))
    pieces = [
        (x, y, x + w, y + h)
        for w, h in ((long, short), (short, long))
        for x in xs if x + w <= length
        for y in ys if y + h <= width
    ]
    for i in range(len(pieces)):
        highs.addVar(0.0, 1.0)
        highs.changeColCost(i, 1.0)
        highs.changeColIntegrality(i, highspy.HighsVarType.kInteger)
    highs.changeObjectiveSense(highspy.ObjSense.kMaximize)

    def row(terms, most):
        highs.addRow(-highspy.kHighsInf, float(most), len(terms), list(terms), [float(v) for v in terms.values()])

    for x in xs:
        for y in ys:
            over = [i for i, p in enumerate(pieces) if p[0] <= x < p[2] and p[1] <= y < p[3]]
            if len(over) > 1:
                row(dict.fromkeys(over, 1), 1)
    for axis, places, size in ((0, xs, width), (1, ys, length)):
        other = 1 - axis
        for place in places:
            over = [i for i, p in enumerate(pieces) if p[axis] <= place < p[axis + 2]]
            for a, b, c in line_rows(size, long, short):
                factor = {long: a, short: b}
                terms = {i: factor[pieces[i][other + 2] - pieces[i][other]] for i in over}
                row({i: v for i, v in terms.items() if v}, c)
    # No more than the area holds.
    row(dict.fromkeys(range(len(pieces)), 1), length * width // (long * short))
    return highs


def proved(case):
    """Pieces placed, and whether no more is possible, within the limit."""
    length, width, long, short, _ = case
    start = time.monotonic()
    highs = programme(length, width, long, short)
    highs.setOptionValue("time_limit", LIMIT - (time.monotonic() - start))
    highs.run()
    found = highs.getInfo().objective_function_value
    placed = round(found) if abs(found) < 1e6 else 0
    return placed, highs.getModelStatus() == highspy.HighsModelStatus.kOptimal, time.monotonic() - start


def main():
    """Proves what it can and writes the file."""
    lines = []
    for case in LISTED:
        length, width, long, short, listed = case
        placed, optimal, seconds = proved(case)
        print(case, placed, optimal, round(seconds, 1), flush=True)
        assert placed <= listed and (not optimal or placed == listed), f"{case}: placed {placed}, optimal {optimal}"
        lines.append(
            f"    (length: {length}, width: {width}, long: {long}, short: {short}, most: {listed}, "
            f"found_here: {placed}, proved_here: {'true' if optimal else 'false'}, peer_seconds: {seconds:.1f}),"
        )
    head = HEAD.format(version=highspy.Highs().version(), limit=LIMIT)
    TARGET.write_text(head + "[\n" + "\n".join(lines) + "\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
