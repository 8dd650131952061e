"""Reads SVG files with svgelements at one unit a millimetre and prints what it
found, one JSON line a file."""

import json
import sys

from svgelements import SVG, Arc, Close, CubicBezier, Group, Line, Move, Path

# The library takes a millimetre for 0.0393701 inch; at this many units to the
# inch it comes out as one unit.
PER_INCH = 1 / 0.0393701


def curve(seg, height):
    def up(p):
        return [p.x, height - p.y]

    if isinstance(seg, Arc):
        return {
            "kind": "arc", "points": [up(seg.start), up(seg.end)], "centre": up(seg.center),
            "radius": seg.rx, "left": seg.sweep < 0, "length": seg.length(),
        }
    if isinstance(seg, CubicBezier):
        points = [seg.start, seg.control1, seg.control2, seg.end]
        return {"kind": "curve", "points": [up(p) for p in points], "length": seg.length(error=1e-7)}
    if isinstance(seg, (Line, Close)):
        return {"kind": "line", "points": [up(seg.start), up(seg.end)], "length": seg.length()}
    raise ValueError("unexpected segment %r" % seg)


def strokes(path, height):
    for sub in path.as_subpaths():
        segments = [s for s in Path(sub) if not isinstance(s, Move)]
        closed = isinstance(segments[-1], Close)
        if closed and segments[-1].start == segments[-1].end:
            segments.pop()
        yield {"closed": closed, "curves": [curve(s, height) for s in segments]}


def read(path):
    doc = SVG.parse(path, ppi=PER_INCH, reify=True)
    found = {"size": [doc.width, doc.height], "layers": [], "entities": []}
    for group in doc:
        if not isinstance(group, Group) or len(group) != 1:
            raise ValueError("not a group of one path")
        found["layers"].append(group.id)
        for stroke in strokes(group[0], doc.height):
            found["entities"].append(dict(stroke, layer=group.id))
    return found


for name in sys.argv[1:]:
    print(json.dumps(read(name)))
