"""Does the ground of planar_cases again: areas and what touches by Shapely, and whether a point is in
it and how far off everything is by NumPy alone, from the corners. (Shapely stands on the library that
our seam stands on; the crossings and distances below share nothing with either.)

planar_check.py PROGRAM. Prints the counts and the worst differences; fails above the bounds.
"""
import json
import subprocess
import sys

import numpy as np
from shapely.geometry import LineString, Point, Polygon

SEED = "20261125"
COUNT = "3000"
DISTANCE_BOUND_M = 1e-9   # planar.h
AREA_BOUND_M2 = 1e-5      # corners of 10 km, moved by 1e-9 m along edges of a few hundred metres
ROUND = 1.0013            # planar.h, of what is grown
SHALLOW = 0.01            # of `by`: inside corners that may be filled


def polygon_of(outline):
    return Polygon(outline["outer"], outline["holes"])


def edges_of(outline):
    """From and to of all edges, n x 2 each, about the first corner: no cancellation."""
    rings = [np.array(ring) for ring in [outline["outer"], *outline["holes"]]]
    return (np.concatenate(rings), np.concatenate([np.roll(ring, -1, axis=0) for ring in rings]))


def pieces_of(line):
    line = np.array(line)
    return line[:-1], line[1:]


def is_inside(point, edges):
    """An odd count of edges crosses the ray to the right."""
    a, b = edges[0] - point, edges[1] - point
    spans = (a[:, 1] > 0) != (b[:, 1] > 0)
    a, b = a[spans], b[spans]
    return np.count_nonzero(a[:, 0] - a[:, 1] * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1]) > 0) % 2 == 1


def off_edges(points, edges):
    """The least distance of any of the points from any of the edges."""
    a, along = edges[0], edges[1] - edges[0]
    off = points[:, None, :] - a
    part = np.clip((off * along).sum(axis=2) / (along * along).sum(axis=1), 0, 1)
    return np.hypot(*np.moveaxis(off - part[..., None] * along, 2, 0)).min()


def cross(a, b):
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def meet(ones, others):
    """Whether any edge crosses any other."""
    a, along = ones[0][:, None], (ones[1] - ones[0])[:, None]
    c, across = others[0][None], (others[1] - others[0])[None]
    left = cross(along, c - a) * cross(along, c + across - a) < 0
    return bool((left & (cross(across, a - c) * cross(across, a + along - c) < 0)).any())


def off(ground, shape, corners, closed):
    """How far ground and another shape are apart, by corners, edges and crossings."""
    edges = edges_of(ground)
    if meet(edges, shape) or is_inside(corners[0], edges):
        return 0.0
    if closed and is_inside(edges[0][0], shape):
        return 0.0
    return min(off_edges(corners, edges), off_edges(edges[0], shape))


class Check:
    def __init__(self):
        self.worst = {"point m": 0.0, "ground m": 0.0, "line m": 0.0, "area m2": 0.0,
                      "too small m": 0.0, "too large m": 0.0}
        self.counts = {"points": 0, "inside": 0, "grounds apart": 0, "grounds touching": 0,
                       "lines apart": 0, "lines touching": 0}
        self.faults = []

    def hold(self, name, difference):
        self.worst[name] = max(self.worst[name], float(difference))

    def points(self, case):
        edges = edges_of(case["ground"])
        for x, y, inside, distance in case["points"]:
            point = np.array([x, y])
            self.counts["points"] += 1
            self.counts["inside"] += inside
            theirs = is_inside(point, edges)
            edge = off_edges(point[None], edges)
            if theirs != inside and edge > DISTANCE_BOUND_M:
                self.faults.append(f"point {x}, {y}: inside {inside}, not {theirs}")
            self.hold("point m", abs(distance - (0 if theirs else edge)))

    def shapes(self, case):
        mine, other = polygon_of(case["ground"]), polygon_of(case["other"])
        for name, theirs in (("area", mine.area), ("common", mine.intersection(other).area),
                             ("alone", mine.difference(other).area), ("both", mine.union(other).area)):
            self.hold("area m2", abs(case[name] - theirs))
        apart = off(case["ground"], edges_of(case["other"]), edges_of(case["other"])[0], True)
        self.hold("ground m", abs(apart - case["apart"]))
        line = off(case["ground"], pieces_of(case["line"]), np.array(case["line"]), False)
        self.hold("line m", abs(line - case["line_apart"]))
        for touches, theirs, name in ((case["touches"], mine.intersects(other), "grounds"),
                                      (case["line_touches"],
                                       mine.intersects(LineString(case["line"])), "lines")):
            self.counts[f"{name} {'touching' if touches else 'apart'}"] += 1
            if touches != theirs:
                self.faults.append(f"{name}: touches {touches}, not {theirs}")

    def edges_moved(self, case):
        """Grown ground holds Shapely's own, within the stated error; what is inset keeps off."""
        mine, by = polygon_of(case["ground"]), case["by"]
        grown = polygon_of(case["grown"])
        if case["grown_pieces"] != 1:
            self.faults.append("grown into pieces")
        least = mine.buffer(by * (1 - SHALLOW), resolution=64)
        self.hold("too small m", off_beyond(least, grown))
        self.hold("too large m", off_beyond(grown, mine.buffer(by * ROUND, resolution=256)) - 1e-4)
        for outline in case["inset"]:
            corners = np.array(outline["outer"])
            self.hold("too large m", by - off_edges(corners, edges_of(case["ground"])))


def off_beyond(shape, ground):
    """How far the corners of one reach beyond the other."""
    rest = shape.difference(ground)
    if rest.is_empty:
        return 0.0
    return max(Point(corner).distance(ground) for part in getattr(rest, "geoms", [rest])
               if part.geom_type == "Polygon" for corner in part.exterior.coords)


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    check = Check()
    for line in lines:
        case = json.loads(line)
        check.points(case)
        check.shapes(case)
        check.edges_moved(case)
    print(f"{len(lines)} grounds (seed {SEED}): {check.counts}; worst differences: {check.worst}")
    bounds = {"point m": DISTANCE_BOUND_M, "ground m": DISTANCE_BOUND_M, "line m": DISTANCE_BOUND_M,
              "area m2": AREA_BOUND_M2, "too small m": 1e-6, "too large m": 1e-6}
    broken = [f"{name}: {check.worst[name]} > {bound}" for name, bound in bounds.items()
              if not check.worst[name] <= bound] + check.faults[:20]
    few = {name: count for name, count in check.counts.items() if count < 500}
    if len(lines) != int(COUNT) or check.counts["points"] != 10 * int(COUNT) or few:
        broken.append(f"too few cases: {few}")
    print("\n".join(broken) or f"within the bounds {bounds}")
    sys.exit(bool(broken))


main()
