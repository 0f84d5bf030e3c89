#!/usr/bin/env python3
"""Expected measures of the sample trays' outlines, by shapely, OpenCV and scipy.

Writes reference.json beside this file. Needs python3-shapely, python3-numpy,
python3-scipy and python3-opencv (Debian 12: shapely 1.8, scipy 1.10, OpenCV
4.6). Takes about a minute.
"""
import json
import os

import cv2
import numpy as np
from scipy.optimize import differential_evolution
from shapely import affinity
from shapely.geometry import LineString, Polygon, box

HERE = os.path.dirname(os.path.abspath(__file__))


RICE = box(-32.5 + 14, -15 + 14, 32.5 - 14, 15 - 14).buffer(14, resolution=16)  # 65 x 30 mm, corners 14 mm


def cover(q):
    """Greatest share of the rice inside q, whose long axis lies along x: a global search by shapely's clipper."""
    cx, cy = q.centroid.coords[0]

    def bare(v):
        return 1 - affinity.translate(affinity.rotate(RICE, v[2], origin=(0, 0)), cx + v[0], cy + v[1]).intersection(q).area / RICE.area
    found = differential_evolution(bare, [(-25, 25), (-12, 12), (-20, 20)], seed=1, popsize=20, tol=1e-6, maxiter=150)
    return 1 - found.fun


def measures(points):
    poly = Polygon(points)
    hull = np.array(poly.convex_hull.exterior.coords)
    best = (1e9, 0.0)
    for e in np.diff(hull, axis=0):
        n = np.hypot(*e)
        if n > 1e-9:
            best = min(best, (float(np.ptp(hull @ np.array([-e[1], e[0]]) / n)), float(np.degrees(np.arctan2(e[1], e[0])))))
    q = affinity.rotate(poly, -best[1], origin='centroid')
    x0, y0, x1, y1 = q.bounds

    def chord(line):
        return q.intersection(LineString(line)).length
    f = np.linspace(.25, .75, 51)
    width = np.median([chord([(x0 + t * (x1 - x0), y0 - 1), (x0 + t * (x1 - x0), y1 + 1)]) for t in f])
    length = np.median([chord([(x0 - 1, y0 + t * (y1 - y0)), (x1 + 1, y0 + t * (y1 - y0))]) for t in f])
    g = np.linspace(.1, .9, 81)
    prof = [chord([(x0 + t * (x1 - x0), y0 - 1), (x0 + t * (x1 - x0), y1 + 1)]) for t in g]
    taper = abs(np.polyfit(g, prof, 1)[0]) * .8 / np.mean(prof)
    cv = np.array(points, np.float32)
    return dict(length=length, width=width, overall_length=x1 - x0, overall_width=y1 - y0, area=poly.area,
                perimeter=poly.length, taper=taper, centroid=list(poly.centroid.coords[0]), cover=cover(q),
                cv_area=float(cv2.contourArea(cv)), cv_perimeter=float(cv2.arcLength(cv, True)))


out = []
for name in ('tray-a4', 'tray-triangles', 'tray-card'):
    t = json.load(open(os.path.join(HERE, '..', 'photos', name + '.truth.json')))
    for i, s in enumerate(t['slices']):
        out.append(dict(tray=name, slice=i, **measures(s['outline_mm'])))
json.dump(out, open(os.path.join(HERE, 'reference.json'), 'w'), indent=1)
