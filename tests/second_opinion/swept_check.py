"""Does swept_cases's combinations again: the lane's corners by its own rounding, the headings by an
adaptive Runge-Kutta solver, distances and the union of the ground by Shapely.

usage: swept_check.py PATH/TO/swept_cases [SEED [COUNT]]
Fails where a pose differs by more than the error that was stated with it, or a margin likewise.
"""
import json
import subprocess
import sys

import numpy as np
from scipy.integrate import solve_ivp
from shapely.geometry import LineString, MultiPoint, Polygon
from shapely.ops import unary_union

MOST_CUT_M = 0.1      # how far the rounding of a corner may leave it where there is room
FINEST_M = 0.002       # what the finest steps of the search may miss
COARSENESS_M = 0.01    # of the ground, outward, in the pockets along a unit's sides


def unit(heading):
    return np.array([np.cos(heading), np.sin(heading)])


def pieces_of(line, least_radius):
    """(length, start, heading, curvature) of each straight and arc."""
    points = np.array(line)
    legs = np.diff(points, axis=0)
    lengths = np.hypot(legs[:, 0], legs[:, 1])
    headings = np.arctan2(legs[:, 1], legs[:, 0])
    turns = (np.diff(headings) + np.pi) % (2 * np.pi) - np.pi
    tangents = np.tan(np.abs(turns) / 2)
    padded = np.concatenate([[0], tangents, [0]])
    shares = lengths / np.maximum(padded[:-1] + padded[1:], 1e-300)
    room = np.minimum(shares[:-1], shares[1:])
    gentle = MOST_CUT_M / (1 / np.cos(turns / 2) - 1)
    radii = np.maximum(least_radius, np.minimum(room, gentle))
    cuts = np.concatenate([[0], radii * tangents, [0]])
    pieces = []
    for i, length in enumerate(lengths):
        start = points[i] + cuts[i] * unit(headings[i])
        pieces.append((length - cuts[i] - cuts[i + 1], start, headings[i], 0.0))
        if i < len(turns):
            end = points[i + 1] - cuts[i + 1] * unit(headings[i])
            pieces.append((radii[i] * abs(turns[i]), end, headings[i], np.sign(turns[i]) / radii[i]))
    return [piece for piece in pieces if piece[0] > 1e-12]


class Motion:
    """Headings of all units along the guide; rolling without slip at every axle."""

    def __init__(self, case):
        self.lengths = case["lengths_m"]
        self.hitches = case["hitches_m"]
        self.pieces = pieces_of(case["line"], case["least_radius_m"])
        self.starts = np.concatenate([[0], np.cumsum([piece[0] for piece in self.pieces])])
        headings = np.full(len(self.lengths), self.pieces[0][2])
        self.solutions = []
        for piece in self.pieces:
            solved = solve_ivp(lambda s, y: self.rates(y, piece[2] + piece[3] * s), (0, piece[0]),
                               headings, method="DOP853", rtol=1e-9, atol=1e-11,
                               dense_output=True)
            self.solutions.append(solved.sol)
            headings = solved.y[:, -1]

    def rates(self, headings, course):
        rates = np.empty_like(headings)
        forward, sideways = np.cos(course - headings[0]), np.sin(course - headings[0])
        rates[0] = sideways / self.lengths[0]
        speed = forward  # of the axle, along its unit
        for i, hitch in enumerate(self.hitches):
            fold = headings[i] - headings[i + 1]
            across = hitch * rates[i]
            rates[i + 1] = (speed * np.sin(fold) + across * np.cos(fold)) / self.lengths[i + 1]
            speed = speed * np.cos(fold) - across * np.sin(fold)
        return rates

    def poses(self, along):
        """[(axles, headings)] of the units at ways along the guide."""
        along = np.clip(np.atleast_1d(np.asarray(along, float)), 0, self.starts[-1])
        at = np.empty((2, len(along)))
        headings = np.empty((len(self.lengths), len(along)))
        indices = np.clip(np.searchsorted(self.starts, along, side="right") - 1, 0,
                          len(self.pieces) - 1)
        for index in np.unique(indices):
            here = indices == index
            length, start, heading, curvature = self.pieces[index]
            s = np.clip(along[here] - self.starts[index], 0, length)
            if curvature == 0:
                at[:, here] = start[:, None] + s * unit(heading)[:, None]
            else:
                course = heading + curvature * s
                at[:, here] = start[:, None] + np.array(
                    [np.sin(course) - np.sin(heading), np.cos(heading) - np.cos(course)]) / curvature
            headings[:, here] = self.solutions[index](s)
        poses = []
        for i, length in enumerate(self.lengths):
            axle = at - length * unit(headings[i])
            poses.append((axle, headings[i]))
            if i < len(self.hitches):
                at = axle + self.hitches[i] * unit(headings[i])
        return poses


def corners(axle, heading, box):
    """Of every pose: an array of poses x corners x 2."""
    ahead, behind, left, right = box
    along, across = unit(heading), unit(heading + np.pi / 2)
    return np.stack([(axle + x * along + y * across).T for x, y in
                     ((ahead, left), (-behind, left), (-behind, -right), (ahead, -right))], axis=1)


def nearest(motion, case):
    """The least distance on the whole way: steps of 25 cm, then finer about the nearest of them."""
    obstacle = LineString(case["obstacle"])
    last = motion.starts[-1]

    def distances(stations):
        least = np.full(len(stations), np.inf)
        for (axle, heading), u in zip(motion.poses(stations), case["units"]):
            bodies = corners(axle, heading, u["box"])
            least = np.minimum(least, [Polygon(body).distance(obstacle) for body in bodies])
        return least

    best, middle = np.inf, 0.0
    stations = np.linspace(0, last, int(last / 0.25) + 2)
    for step in (0.25, 0.02, 0.002):
        found = distances(stations)
        if found.min() <= best:
            best, middle = found.min(), stations[found.argmin()]
        stations = np.clip(middle + np.linspace(-step, step, 25), 0, last)
    return best


def area(motion, case):
    stations = np.linspace(0, motion.starts[-1], int(motion.starts[-1] / 0.1) + 2)
    hulls = []
    for (axle, heading), u in zip(motion.poses(stations), case["units"]):
        bodies = corners(axle, heading, u["box"])
        hulls += [MultiPoint(np.concatenate(pair)).convex_hull for pair in zip(bodies, bodies[1:])]
    return unary_union(hulls).area


def main():
    seed = sys.argv[2] if len(sys.argv) > 2 else "1"
    count = sys.argv[3] if len(sys.argv) > 3 else "250"
    lines = subprocess.run([sys.argv[1], seed, count], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    assert len(lines) == int(count), f"{len(lines)} cases instead of {count}"
    worst_m, worst_share, poses, margins, grounds = 0.0, 0.0, 0, 0, 0
    worst_margin_m, worst_ground, faults = 0.0, 0.0, []
    for number, text in enumerate(lines):
        case = json.loads(text)
        motion = Motion(case)
        if abs(motion.starts[-1] - case["length_m"]) > 1e-6:
            faults.append(f"case {number}: the guide is {case['length_m']} m, not {motion.starts[-1]}")
            continue
        for i, u in enumerate(case["units"]):
            along, x, y, heading = np.array(u["poses"]).T
            axle, expected = motion.poses(along)[i]
            apart = corners(np.array([x, y]), heading, u["box"]) - corners(axle, expected, u["box"])
            off = np.hypot(apart[..., 0], apart[..., 1]).max()
            poses += len(along)
            worst_m, worst_share = max(worst_m, off), max(worst_share, off / u["error_m"])
            if off > u["error_m"]:
                faults.append(f"case {number} unit {i}: off by {off}, stated {u['error_m']}")
        least = nearest(motion, case)
        margin, error = case["margin_m"], case["margin_error_m"]
        margins += 1
        if least > 0:
            off = abs(least - margin)
            worst_margin_m = max(worst_margin_m, off)
            if off > error + FINEST_M:
                faults.append(f"case {number}: margin {margin} +- {error}, not {least}")
        elif margin > error:
            faults.append(f"case {number}: clear by {margin}, and it strikes")
        if "ground_m2" in case:
            grounds += 1
            expected = area(motion, case)
            more = case["ground_m2"] - expected
            worst_ground = max(worst_ground, abs(more) / expected)
            pockets = 2 * COARSENESS_M * len(case["units"]) * motion.starts[-1]
            if not -1e-3 * expected <= more <= pockets:
                faults.append(f"case {number}: ground {case['ground_m2']} m2, not {expected}")
    print(f"{len(lines)} combinations, {poses} poses: worst corner {worst_m * 1000:.3f} mm off, "
          f"{worst_share:.2f} of the stated error")
    print(f"{margins} margins: worst {worst_margin_m * 1000:.3f} mm off; "
          f"{grounds} grounds: worst {worst_ground * 100:.2f} % of the area off")
    for fault in faults[:20]:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
