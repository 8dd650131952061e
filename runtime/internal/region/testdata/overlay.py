"""Answers overlay questions with Shapely: pairs of polygons in, areas out.

Reads a JSON list of {"a": points, "b": points} from standard input and writes
a list of [area a, area b, union, intersection, difference, overlaps]. Whether
two overlap is asked of polygons shrunk by 1e-4 mm, since GEOS can
report full overlap for polygons that share an edge within the last bit.
"""
import json
import sys

from shapely.geometry import Polygon

SHRINK = 1e-4

answers = []
for pair in json.load(sys.stdin):
    a, b = Polygon(pair["a"]), Polygon(pair["b"])
    answers.append([a.area, b.area, a.union(b).area, a.intersection(b).area, a.difference(b).area,
                    a.buffer(-SHRINK).intersects(b.buffer(-SHRINK))])
json.dump(answers, sys.stdout)
