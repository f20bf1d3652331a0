"""Does the rides of ride_cases again: wheels as circles whose distance to the ground's line is their
radius (Shapely), contacts by root finding (SciPy), tracks by a linear program (SciPy).

ride_check.py PROGRAM. Prints the count and the worst difference of each kind, and fails above the
bound stated beside it.
"""
import json
import math
import subprocess
import sys

import numpy as np
from scipy.optimize import brentq, linprog, minimize_scalar
from shapely.geometry import LineString, Point

SEED = "20261125"
COUNT = "2400"
GAPS_OF = 4  # poses are checked of every ride, gaps of one in so many: they take many poses
TRIED = 8  # places about our tight spot that must not be tighter


class Lane:
    def __init__(self, lane, tracked):
        points = [tuple(p) for p in lane["ground"]]
        beyond = lambda a, b: (b[0] + 300 * (b[0] - a[0]), b[1] + 300 * (b[1] - a[1]))
        points = [beyond(points[1], points[0])] + points + [beyond(points[-2], points[-1])]
        self.x, self.z = np.array(points).T
        self.sills = lane["sills"]
        walked = list(points)
        for start, end, height in lane["sills"]:
            side = 2 * height if tracked else 0.0
            raised = [(x, z + height) for x, z in walked if start < x < end]
            walked = ([p for p in walked if p[0] < start - side]
                      + [(start - side, self.bare(start - side)), (start, self.bare(start) + height)]
                      + raised
                      + [(end, self.bare(end) + height), (end + side, self.bare(end + side))]
                      + [p for p in walked if p[0] > end + side])
        self.walked = walked
        self.line = LineString(walked)

    def bare(self, x):
        return float(np.interp(x, self.x, self.z))

    def raised(self, x):
        return self.bare(x) + max([h for a, b, h in self.sills if a <= x <= b], default=0.0)

    def wheel(self, x, radius):
        """The centre's height at which the circle just touches, coming down from above."""
        if radius == 0:
            return self.bare(x)
        near = [p for p in self.walked if abs(p[0] - x) < radius + 1e-9]
        ground = [self.bare(x - radius), self.bare(x + radius), self.bare(x)] + [p[1] for p in near]
        clear = lambda z: self.line.distance(Point(x, z)) - radius
        # From the highest ground on, the distance grows with height.
        low, high = max(self.bare(x), min(ground)) + 0.2 * radius, max(ground) + radius * 1.01
        high += max([h for _, _, h in self.sills], default=0.0)
        return brentq(clear, low, high, xtol=1e-13)


def group_height(lane, group, x):
    offsets = [((group["axles"] - 1) / 2 - i) * group["spacing"] for i in range(group["axles"])]
    return sum(lane.wheel(x + off, group["radius"]) for off in offsets) / group["axles"]


def placed(origin, pitch, point):
    c, s = math.cos(pitch), math.sin(pitch)
    return origin[0] + c * point[0] - s * point[1], origin[1] + s * point[0] + c * point[1]


def stand_on_wheels(lane, units, lead):
    poses = []
    for unit in units:
        rear = unit["groups"][-1]
        rear_body = (rear["x"], rear["radius"])
        if "coupled_by" in unit:
            front_body = unit["coupled_by"]
            front = placed(*poses[-1], units[len(poses) - 1]["next_hangs_at"])
        else:
            group = unit["groups"][0]
            front_body = (group["x"], group["radius"])
            front = (lead, group_height(lane, group, lead))
        apart = math.dist(front_body, rear_body)
        above = lambda a: (front[1] - apart * math.sin(a)
                           - group_height(lane, rear, front[0] - apart * math.cos(a)))
        level = math.atan2(front_body[1] - rear_body[1], front_body[0] - rear_body[0])
        near = (level - 0.3, level + 0.3)
        angle = brentq(above, *(near if above(near[0]) * above(near[1]) < 0 else (-1.2, 1.2)),
                       xtol=1e-14)
        pitch = angle - level
        turned = placed((0, 0), pitch, front_body)
        poses.append(((front[0] - turned[0], front[1] - turned[1]), pitch))
    return poses


def stand_on_tracks(lane, units, lead):
    """The line over all ground under the track that is lowest under the mass."""
    tracks = units[0]["tracks"]
    mass_x, mass_z = tracks["mass"]
    slope = height = 0.0
    for _ in range(200):
        c = 1 / math.hypot(1, slope)
        foot = lead + mass_z * slope * c
        ends = [foot + (tracks["rear"] - mass_x) * c, foot + (tracks["front"] - mass_x) * c]
        xs, zs = np.array(lane.walked).T
        under = [(x, z) for x, z in lane.walked if ends[0] < x < ends[1]]
        under += [(x, float(np.interp(x, xs, zs))) for x in ends]
        found = linprog([1, 0], A_ub=[[-1, -(x - lead)] for x, _ in under],
                        b_ub=[-z for _, z in under], bounds=[(None, None)] * 2, method="highs-ds")
        before, (height, slope) = slope, found.x
        if abs(slope - before) < 1e-14:
            break
    pitch = math.atan(slope)
    turned = placed((0, 0), pitch, (mass_x, 0))
    return [((foot - turned[0], height + slope * (foot - lead) - turned[1]), pitch)]


def gap(lane, units, poses, side, spot):
    """Straight up, at every corner of the outline and of what it passes."""
    if side == "over":
        start, end, clear = spot
        away = lambda x, z: lane.bare(x) + clear - z
        corners = [start, end] + [x for x in lane.x if start < x < end]
    else:
        start, end = -math.inf, math.inf
        away = lambda x, z: z - lane.raised(x)
        corners = list(lane.x) + [x for sill in lane.sills for x in sill[:2]]
    least = 1e3  # nothing of it is there
    for unit, pose in zip(units, poses):
        outline = [placed(*pose, p) for p in unit["top" if side == "over" else "bottom"]]
        least = min([least] + [away(x, z) for x, z in outline if start <= x <= end])
        for (x0, z0), (x1, z1) in zip(outline, outline[1:]):
            for x in corners:
                if x0 != x1 and min(x0, x1) <= x <= max(x0, x1):
                    least = min(least, away(x, z0 + (z1 - z0) * (x - x0) / (x1 - x0)))
    return least


def steepest(units):
    return max(abs((z1 - z0) / (x1 - x0)) for unit in units for side in ("top", "bottom")
               for (x0, z0), (x1, z1) in zip(unit[side], unit[side][1:]) if x0 != x1)


def check(case):
    """Ours against theirs: of the pose at a place, and of the least gap about our tight spot."""
    units, tracked = case["units"], case["kind"] == "tracks"
    lane = Lane(case["lane"], tracked)
    stand = stand_on_tracks if tracked else stand_on_wheels
    pose_off = 0.0
    for pose, ours, unit in zip(stand(lane, units, case["place"]), case["pose"], units):
        x, z = placed(*pose, unit["top"][0])
        pose_off = max(pose_off, math.dist((x, z), ours["first_top"]), abs(pose[1] - ours["pitch"]))
    missed = gap_off = 0.0
    if case["seed"] % GAPS_OF:
        return pose_off, missed, gap_off
    for side in ("over", "below"):
        spot = case[side]
        strip = case["lane"]["overheads"][0]
        at = lambda lead: gap(lane, units, stand(lane, units, lead), side, strip)
        leads = spot["lead_at"] + np.concatenate([np.linspace(-1, 1, TRIED), [-1e-3, 0, 1e-3]])
        met = [at(lead) for lead in leads]
        best = leads[int(np.argmin(met))]
        finer = minimize_scalar(at, bounds=(best - 0.1, best + 0.1), method="bounded",
                                options={"xatol": 1e-5, "maxiter": 8})
        # Nothing that they meet is below our gap less our error.
        missed = max(missed, spot["gap"] - spot["error"] - min(met + [finer.fun]))
        # And they meet something as low where we say (a tipping track apart): we widen what hangs or
        # lies there by a thousandth of a millimetre.
        if not tracked:
            near = [at(spot["lead_at"] + e) for e in (-2e-6, 0, 2e-6)]
            gap_off = max(gap_off, (min(near) - spot["gap"]) / (1 + steepest(units)))
    return pose_off, missed, gap_off


# Metres and radians. Shapely's distance and linprog's corners are good to a few 1e-9. What we widen
# is 1e-6 wide; a steep outline makes more of it, so gaps are divided by 1 and its slope.
BOUNDS = {"pose": 1e-8, "missed below our bound": 1e-8, "gap": 2e-6}


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    counts = {"wheels": 0, "tracks": 0}
    gaps = 0
    worst = {what: (0.0, None) for what in BOUNDS}
    for line in lines:
        case = json.loads(line)
        counts[case["kind"]] += 1
        gaps += 2 * (case["seed"] % GAPS_OF == 0)
        for what, off in zip(BOUNDS, check(case)):
            if worst[what][1] is None or not off <= worst[what][0]:
                worst[what] = (off, case["seed"])
    failed = min(counts.values()) == 0
    print(f"rides: {counts['wheels']} on wheels, {counts['tracks']} on tracks; {gaps} gaps")
    for what, (off, seed) in worst.items():
        print(f"{what}: worst difference {off:.3g} (seed {seed}), bound {BOUNDS[what]:g}")
        failed |= not off <= BOUNDS[what]
    sys.exit(failed)


main()
