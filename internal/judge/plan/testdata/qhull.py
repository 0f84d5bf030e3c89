#!/usr/bin/python3
"""Cuts the blocks of blocks.json by an independent solid: Qhull (scipy 1.10,
HalfspaceIntersection and ConvexHull) for the pieces, shapely 1.8 for the
outline from above. Shares nothing with the program but the words: a block is
the convex hulls of its columns, a slice lies on the later cut's face.

  go test ./internal/judge/plan -run Independent -update   # writes blocks.json
  python3 qhull.py                                         # writes expected.json

Both run once; the test holds the planner to expected.json."""
import json, math, os
import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection
from shapely.geometry import LineString, MultiPoint
from shapely.ops import unary_union

here = os.path.dirname(os.path.abspath(__file__))


def columns(stations):
    for p, q in zip(stations, stations[1:]):
        ends = []
        for s in (p, q):
            mid = (s["near_mm"] + s["far_mm"]) / 2
            ends.append([(s["x_mm"], y, h) for y, h in ((s["near_mm"], s["near_height_mm"]), (mid, s["height_mm"]), (s["far_mm"], s["far_height_mm"]))])
        even = all(abs(e[0][2] + e[2][2] - 2 * e[1][2]) < 1e-9 for e in ends)
        for a, b in ((0, 2),) if even else ((0, 1), (1, 2)):
            tops = [e[i] for e in ends for i in (a, b)]
            yield np.array(tops + [(x, y, 0) for x, y, _ in tops])


def plane(cut, station):
    t, f = math.radians(cut["theta_deg"]), math.radians(cut["phi_deg"])
    along = np.array([-math.cos(t), math.sin(t), 0])
    up = np.array([math.sin(t) * math.cos(f), math.cos(t) * math.cos(f), math.sin(f)])
    n = np.cross(along, up)
    n = n if n[0] > 0 else -n
    at = np.array([cut["board_near_mm"], near_at(station, cut["board_near_mm"]), 0])
    return n, n @ at, along, up


def near_at(stations, x):
    return float(np.interp(x, [s["x_mm"] for s in stations], [s["near_mm"] for s in stations]))


def part(points, halfspaces):
    """Corners of a convex hull cut by halfspaces a·p <= b."""
    eq = np.vstack([ConvexHull(points).equations, [list(a) + [-b] for a, b in halfspaces]])
    norm = np.linalg.norm(eq[:, :3], axis=1)
    fit = linprog([0, 0, 0, -1], A_ub=np.c_[eq[:, :3], norm], b_ub=-eq[:, 3], bounds=[(None, None)] * 3 + [(0, None)])
    if fit.status != 0 or fit.x[3] < 1e-7:
        return None
    return HalfspaceIntersection(eq, fit.x[:3]).intersections


def measure(poly):
    """Length and width by the project's definition: long axis at right angles to
    the least caliper width, medians of the chords over the middle half."""
    hull = np.array(poly.convex_hull.exterior.coords)
    xy = np.array(poly.exterior.coords)
    best = (math.inf, None)
    for p, q in zip(hull, hull[1:]):
        d = q - p
        if np.hypot(*d) > 1e-7:
            d = d / np.hypot(*d)
            v = hull @ np.array([-d[1], d[0]])
            best = min(best, (v.max() - v.min(), tuple(d)))
    axis = np.array(best[1])
    across = np.array([-axis[1], axis[0]])

    def median(d, e):
        v = xy @ e
        lo, hi = v.min(), v.max()
        out = []
        for i in range(51):  # as many as the project takes
            at = lo + (hi - lo) * (0.25 + 0.5 * i / 50)
            out.append(poly.intersection(LineString([at * e - 500 * d, at * e + 500 * d])).length)
        return float(np.median(out))

    return median(axis, across), median(across, axis)


out = []
for b in json.load(open(os.path.join(here, "blocks.json"))):
    rows = []
    for a, c in zip(b["cuts"], b["cuts"][1:]):
        n0, d0, _, _ = plane(a, b["stations"])
        n1, d1, along, up = plane(c, b["stations"])
        volume, shadows = 0.0, []
        for points in columns(b["stations"]):
            corners = part(points, [(n1, d1), (-n0, -d0)])
            if corners is not None:
                volume += ConvexHull(corners).volume
                shadows.append(MultiPoint(np.c_[corners @ along, corners @ up]).convex_hull.buffer(1e-6))
        poly = unary_union(shadows)
        poly = max(getattr(poly, "geoms", [poly]), key=lambda g: g.area)
        length, width = measure(poly)
        rows.append([round(length, 3), round(width, 3), round(volume, 2)])
    out.append(rows)
with open(os.path.join(here, "expected.json"), "w") as f:
    f.write("[\n" + ",\n".join(json.dumps(r) for r in out) + "\n]\n")
