"""Cuts pairs of plane panels with the line their planes meet in, by GEOS.

Reads one pair a line as JSON: two panels, each with the rings of its board in
its own frame, the outline first, and its 3x4 matrix by rows. Writes for each
pair the longest stretch that both boards share, as two points in space, or null.
"""

import json
import sys

import numpy
from shapely.geometry import LineString, Polygon

FAR = 1e4


def section(panel, at, direction):
    """Stretches of the line in the panel, by distance along the line."""
    back = panel["turn"].T
    p, d = back @ (at - panel["shift"]), back @ direction
    line = LineString([(p - FAR * d)[:2], (p + FAR * d)[:2]])
    found = line.intersection(Polygon(panel["rings"][0], panel["rings"][1:]))
    for part in getattr(found, "geoms", [found]):
        if part.geom_type == "LineString" and not part.is_empty:
            along = [(numpy.array([*c, 0]) - p) @ d for c in part.coords]
            yield min(along), max(along)


def longest(a, b):
    for panel in (a, b):
        matrix = numpy.array(panel["matrix"]).reshape(3, 4)
        panel["turn"], panel["shift"] = matrix[:, :3], matrix[:, 3]
    m, n = a["turn"][:, 2], b["turn"][:, 2]
    direction = numpy.cross(m, n)
    direction /= numpy.linalg.norm(direction)
    planes = numpy.array([m, n, direction])
    at = numpy.linalg.solve(planes, [m @ a["shift"], n @ b["shift"], 0])
    best = None
    for lo, hi in section(a, at, direction):
        for from_, to in section(b, at, direction):
            lo2, hi2 = max(lo, from_), min(hi, to)
            if hi2 > lo2 and (best is None or hi2 - lo2 > best[1] - best[0]):
                best = (lo2, hi2)
    return best and [list(at + t * direction) for t in best]


for text in sys.stdin:
    print(json.dumps(longest(*json.loads(text))))
