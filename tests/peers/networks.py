"""Writes ../data/networks.ron: rooms measured with a tape, adjusted by least squares with SciPy, which shares no code with the program.

Each network is a polygon with its walls, turns and some diagonals, all off by chance and one diagonal by more. Distances are in
millimetres, turns in degrees to the left. The first point is held, and the y of the second. SciPy finds the points from numerical
slopes; residuals are adjusted less measured, redundancies are 1 less the diagonal of J (J'J)^-1 J'.
"""

import math
import pathlib
import random

import numpy
import scipy.optimize

TARGET = pathlib.Path(__file__).parent.parent / "data" / "networks.ron"
SIGMA_MM = 1.5
SIGMA_DEG = 2.0


def turn(p, a, b, c):
    u = p[b] - p[a]
    v = p[c] - p[b]
    return math.degrees(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]))


def computed(p, o):
    if o[0] == "d":
        return math.dist(p[o[1]], p[o[2]])
    return turn(p, o[1], o[2], o[3])


def network(rng, corners, diagonals):
    truth = []
    for k in range(corners):
        at = 2 * math.pi * k / corners
        r = rng.uniform(2500, 4500)
        truth.append((r * math.cos(at), r * math.sin(at)))
    truth = numpy.array(truth)
    truth -= truth[0]
    along = math.atan2(truth[1][1], truth[1][0])
    rotate = numpy.array([[math.cos(along), math.sin(along)], [-math.sin(along), math.cos(along)]])
    truth = truth @ rotate.T
    observations = []
    for k in range(corners):
        a, b, c = k, (k + 1) % corners, (k + 2) % corners
        observations.append(("d", a, b, round(math.dist(truth[a], truth[b]) + rng.gauss(0, SIGMA_MM), 1), SIGMA_MM))
        observations.append(("t", a, b, c, round(turn(truth, a, b, c) + rng.gauss(0, SIGMA_DEG), 0), SIGMA_DEG))
    pairs = [(a, b) for a in range(corners) for b in range(a + 2, corners) if (a, b) != (0, corners - 1)]
    for k, (a, b) in enumerate(rng.sample(pairs, diagonals)):
        off = 25 if k == 0 else 0
        observations.append(("d", a, b, round(math.dist(truth[a], truth[b]) + off + rng.gauss(0, SIGMA_MM), 1), SIGMA_MM))
    start = numpy.round(truth + numpy.array([[rng.uniform(-60, 60) for _ in range(2)] for _ in truth]), 0)
    start[0] = (0, 0)
    start[1][1] = 0
    return start, observations


def solved(start, observations):
    def points(free):
        return numpy.array([0.0, 0.0, free[0], 0.0, *free[1:]]).reshape(-1, 2)

    def off(free):
        p = points(free)
        return [(computed(p, o) - o[-2]) / o[-1] for o in observations]

    free = numpy.array([start[1][0], *start[2:].ravel()])
    found = scipy.optimize.least_squares(off, free, jac="3-point", method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    j = found.jac
    hat = j @ numpy.linalg.inv(j.T @ j) @ j.T
    residuals = [r * o[-1] for r, o in zip(found.fun, observations)]
    return points(found.x), residuals, 1 - numpy.diag(hat)


def main():
    rng = random.Random(20)
    lines = ["// Made by tests/peers/networks.py with SciPy %s; see tests/peers/README.md.\n[\n" % scipy.__version__]
    for corners in (4, 4, 5, 5, 6, 7, 8, 10):
        most = corners * (corners - 3) // 2
        start, observations = network(rng, corners, rng.randint(min(2, most), most))
        points, residuals, redundancies = solved(start, observations)
        pair = lambda p: "(%.5f, %.5f)" % tuple(p)
        lines.append("  (\n    start: [%s],\n" % ", ".join(pair(p) for p in start))
        lines.append("    points: [%s],\n    observations: [\n" % ", ".join(pair(p) for p in points))
        for o, v, r in zip(observations, residuals, redundancies):
            what = "Distance(%d, %d, %.1f)" % o[1:4] if o[0] == "d" else "Turn(%d, %d, %d, %.1f)" % o[1:5]
            lines.append("      (%s, %.1f, %.6f, %.6f),\n" % (what, o[-1], v, r))
        lines.append("    ],\n  ),\n")
    lines.append("]\n")
    TARGET.write_text("".join(lines))


main()
