"""Works out with Shapely what board windows leave, and where panels overlap.

Reads a JSON list of {"panels": polygons, "windows": polygons} from standard
input and writes a list of {"areas": one a panel, "overlaps": [i, j, area]},
i < j. Whether two overlap is asked of polygons shrunk by 1e-4 mm, since GEOS
can report full overlap for polygons that share an edge within the last bit.
"""
import json
import sys

from shapely.geometry import Polygon
from shapely.ops import unary_union

SHRINK = 1e-4

answers = []
for blank in json.load(sys.stdin):
    holes = unary_union([Polygon(w) for w in blank["windows"]])
    board = [Polygon(p).difference(holes) for p in blank["panels"]]
    small = [b.buffer(-SHRINK) for b in board]
    overlaps = []
    for j in range(len(board)):
        for i in range(j):
            if small[i].intersects(small[j]):
                overlaps.append([i, j, board[i].intersection(board[j]).area])
    answers.append({"areas": [b.area for b in board], "overlaps": overlaps})
json.dump(answers, sys.stdout)
