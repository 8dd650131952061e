"""Reads DXF files with ezdxf and prints what it found, one JSON line a file."""

import json
import sys

import ezdxf
from ezdxf.math import bulge_to_arc


def curves(entity):
    kind = entity.dxftype()
    if kind == "LINE":
        return [line(entity.dxf.start, entity.dxf.end)]
    if kind == "SPLINE":
        if entity.dxf.degree != 3 or list(entity.knots) != [0] * 4 + [1] * 4:
            raise ValueError("not one Bezier curve: knots %s" % list(entity.knots))
        return [{"kind": "curve", "points": [[p[0], p[1]] for p in entity.control_points]}]
    if kind == "LWPOLYLINE":
        return polyline(list(entity.get_points("xyb")), entity.closed)
    raise ValueError("unexpected entity " + kind)


def line(p, q):
    return {"kind": "line", "points": [[p[0], p[1]], [q[0], q[1]]]}


def polyline(vertices, closed):
    following = vertices[1:] + (vertices[:1] if closed else [])
    return [segment(p, q) for p, q in zip(vertices, following)]


def segment(p, q):
    if p[2] == 0:
        return line(p, q)
    centre, _, _, radius = bulge_to_arc(p[:2], q[:2], p[2])
    found = line(p, q)
    found.update(kind="arc", centre=[centre[0], centre[1]], radius=radius, left=p[2] > 0)
    return found


def read(path):
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    extent = doc.header["$EXTMAX"]
    return {
        "faults": [e.message for e in audit.errors] + [e.message for e in audit.fixes],
        "facts": {"version": doc.dxfversion, "units": doc.units, "measurement": doc.header["$MEASUREMENT"]},
        "size": [extent[0], extent[1]],
        "layers": [layer.dxf.name for layer in doc.layers],
        "entities": [
            {"layer": e.dxf.layer, "closed": e.dxftype() == "LWPOLYLINE" and e.closed, "curves": curves(e)}
            for e in doc.modelspace()
        ],
    }


for name in sys.argv[1:]:
    print(json.dumps(read(name)))
