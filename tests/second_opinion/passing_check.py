"""Does the cases of passing_cases again: the gap to a wire and the corners of a turn by Shapely, and
turns on a circle and along a straight by SciPy's solver of differential equations, without the closed
forms: every axle follows its hitch without slipping sideways.

passing_check.py PROGRAM. Prints the counts and the worst differences; fails above the bounds.
"""
import json
import math
import subprocess
import sys

import numpy as np
from scipy.integrate import odeint
from shapely.affinity import rotate
from shapely.geometry import Point, box

SEED = "20261125"
COUNT = "2000"
GAP_BOUND_M = 1e-9
SOLVED_BOUND_M = 1e-6      # of radii to 60 m, by the solver
SOLVED_BOUND_RAD = 1e-7
LONGEST = 400.0            # lengths of way until a turn counts as steady
NEARLY = 1.02              # a circle nearer than that to the least one takes longer


class Check:
    def __init__(self):
        self.worst, self.counts, self.faults = {}, {}, []

    def hold(self, name, difference):
        self.counts[name] = self.counts.get(name, 0) + 1
        self.worst[name] = max(self.worst.get(name, 0.0), float(difference))

    def wire(self, case):
        """In the section across the way: the machine is all below its top, on one side."""
        machine = box(-50, 0, 0, case["top"])
        wire = Point(case["beside"], case["wire"])
        under = case["beside"] == 0
        if under and case["wire"] < case["top"]:
            gap = case["wire"] - case["top"]   # it strikes, by so much
        else:
            gap = machine.distance(wire)
        self.hold("gap to a wire m", abs(gap - case["gap"]))
        error = case["reading_error"] * (2 if under else 3)
        margin = gap - case["needed"]
        if case["clear"] and margin < error - GAP_BOUND_M or \
                case["conflict"] and margin > GAP_BOUND_M - error:
            self.faults.append(f"wire: {case}")

    def circle(self, case):
        bars = list(zip([0.0, *case["hitches"]], case["lengths"]))
        radius, squares = case["radius"], []
        for hitch, length in bars:   # of the hitch on each unit's way, by right triangles
            radius = math.sqrt(radius * radius + hitch * hitch)
            squares.append(radius / length)
            if radius <= length:
                break
            radius = math.sqrt(radius * radius - length * length)
        if min(squares) < NEARLY and min(squares) > 1 / NEARLY:
            return
        solved = follow(bars, case["radius"], sum(case["lengths"]) * (LONGEST if not case["none"]
                                                                      else 20))
        if case["none"]:
            self.hold("circles too small", 0)
            # Some unit stands square to the one before it, and folds on.
            if solved["most_fold"] < math.pi / 2 - 1e-3:
                self.faults.append(f"runs true on its circle: {case}")
            return
        self.hold("rear radius m", abs(solved["radius"] - case["rear_radius"]))
        self.hold("off-tracking m", abs(case["radius"] - solved["radius"] - case["off_tracking"]))
        self.hold("largest fold rad", abs(solved["fold"] - case["fold"]))

    def j695(self, case):
        # The tractor turns about the point that its rear axle's line passes; the outer front wheel
        # runs on the given circle.
        rear = math.sqrt(case["wheel"] ** 2 - case["wheelbase"] ** 2) - case["half_track"]
        if rear <= 0:
            return
        hitch = math.hypot(rear, case["kingpin"])
        if hitch < case["trailer"] * NEARLY:
            if case["off"] is not None and hitch < case["trailer"]:
                self.faults.append(f"j695: {case}")
            return
        solved = follow([(0.0, case["trailer"])], hitch, case["trailer"] * LONGEST)
        self.hold("J695 m", abs(math.hypot(rear, case["wheelbase"]) - solved["radius"] - case["off"]))

    def folds(self, case):
        length, pulled = case["length"], case["pulled"]
        after = solve(lambda _, y: -math.sin(y) / length, case["fold"], pulled)
        self.hold("fold along a straight rad", abs(after - case["after"]))
        if case["on_circle"] is not None:
            on = solve(lambda _, y: 1 / case["radius"] - math.sin(y) / length, 0.0, pulled)
            self.hold("fold on a circle rad", abs(on - case["on_circle"]))
        elif case["radius"] > length:
            self.faults.append(f"no fold on a circle: {case}")
        # Square to the straight at first: how far its axle has come when it is so near to it.
        way = solve(lambda y, _: -math.sqrt(length * length - y * y) / y if y < length else 0.0, 0.0,
                    case["aside"], start=length)
        self.hold("way of a tractrix m", abs(way - case["way"]))

    def corners(self, case):
        """A body about the origin's turn: the nearest and farthest of its points."""
        body = box(-case["rear"], case["radius"] - case["width"] / 2, case["front"],
                   case["radius"] + case["width"] / 2)
        body = rotate(body, 0.7, origin=(0, 0), use_radians=True)
        centre = Point(0, 0)
        outer = max(centre.distance(Point(corner)) for corner in body.exterior.coords)
        side = case["radius"] + case["width"] / 2
        farthest = max(case["outer_front"], side + case["tail"])
        self.hold("farthest corner m", abs(outer - farthest))
        if case["inner"] > 0:
            self.hold("inner side m", abs(body.distance(centre) - case["inner"]))


def solve(rate, first, until, start=0.0):
    """By the solver: the value at `until`."""
    if until == start:
        return first
    solved, told = odeint(rate, [first], [start, until], rtol=1e-11, atol=1e-12, tfirst=True,
                          full_output=True, mxstep=100_000)
    assert told["message"] == "Integration successful.", told["message"]
    return solved[-1][0]


def follow(bars, radius, way):
    """Units behind a point on a circle, in line at first: where they are in the end."""
    def rates(s, headings):
        found, before, rate, speed = [], s / radius, 1 / radius, 1.0
        for (hitch, length), heading in zip(bars, headings):
            fold = before - heading
            across = hitch * rate
            sine, cosine = math.sin(fold), math.cos(fold)
            rate = (speed * sine + across * cosine) / length
            speed = speed * cosine - across * sine
            found.append(rate)
            before = heading
        return found

    ways = np.linspace(0, way, 200)
    solved, told = odeint(rates, [0.0] * len(bars), ways, rtol=1e-10, atol=1e-11, tfirst=True,
                          full_output=True, mxstep=100_000)
    assert told["message"] == "Integration successful.", told["message"]
    courses = np.concatenate([(ways / radius)[:, None], solved], axis=1)
    folds = np.abs(np.diff(courses, axis=1))   # the first is how the front wheels are steered
    course = ways[-1] / radius
    at = radius * np.array([math.sin(course), 1 - math.cos(course)])
    before = course
    for i, ((hitch, length), heading) in enumerate(zip(bars, solved[-1])):
        if i > 0:
            at = at + hitch * np.array([math.cos(before), math.sin(before)])
        at = at - length * np.array([math.cos(heading), math.sin(heading)])
        before = heading
    return {"radius": math.hypot(at[0], at[1] - radius), "fold": folds[-1, 1:].max(initial=0),
            "most_fold": folds.max()}


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    check = Check()
    for line in lines:
        case = json.loads(line)
        getattr(check, case["kind"])(case)
    for name in check.counts:
        print(f"{check.counts[name]} {name}: worst difference {check.worst[name]:.2g}")
    broken = [f"{name}: {worst}" for name, worst in check.worst.items()
              if not worst <= (SOLVED_BOUND_RAD if name.endswith("rad") else
                               GAP_BOUND_M if "gap" in name or "corner" in name or "inner" in name
                               else SOLVED_BOUND_M)] + check.faults[:20]
    if len(lines) != 5 * int(COUNT) or len(check.counts) < 10 or \
            any(count < 150 for count in check.counts.values()):
        broken.append("too few cases")
    print("\n".join(broken) or "within the bounds")
    sys.exit(bool(broken))


main()
