"""Does the cases of seeing_cases again with Shapely, from sills and masks and not from our sectors.

seeing_check.py PROGRAM. A point must be hidden or seen as we say unless it lies within POINT_BOUND_M
of the border. A spotter's whole room must lie in Shapely's own ground: on the yard, off the path by
the standoff, seen from every pose of the stand, and in no wall's shadow from any of them. Where that
ground has SLACK_M more of room all round, and what half a step may hide, we must not have found less:
no spot of it much nearer to the path, and none that also sees the poses of the next stand.
"""
import json
import math
import subprocess
import sys

from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union
from shapely.validation import make_valid

SEED = "20261125"
COUNT = "2000"
POINT_BOUND_M = 1e-3  # Shapely's circle of reach has 1024 corners
# What our search may miss needs half a metre more of room; a half step of 5 cm and of 0.01 rad moves
# whoever is 40 m off by 0.25 m, and our tangents are wider than the lines by a little of that.
SLACK_M = 0.9
NEARER_BOUND_M = 0.31


def ground_of(shape):
    """Its areas alone: slivers that a rotation crossed over themselves become lines and go."""
    return unary_union([part for part in getattr(shape, "geoms", [shape])
                        if part.geom_type in ("Polygon", "MultiPolygon")])


def sound(shape):
    """Its areas, with the corners gone that a long row of cuts has laid over each other."""
    return ground_of(make_valid(ground_of(shape).buffer(0)))


def wedge(eye, start, span, far):
    """All between two directions, out to `far` at least."""
    steps = max(2, math.ceil(span / 0.1))
    corners = [eye]
    for step in range(steps + 1):
        angle = start + span * step / steps
        corners.append((eye[0] + far * math.cos(angle), eye[1] + far * math.sin(angle)))
    return Polygon(corners)


def seen_ground(cab):
    """In the machine's frame: what lies behind a sill, less every sill's shadow and every mask."""
    eye, far = cab["eye"], 2 * cab["reach"]
    eye_height = cab["eye_height"] - cab["reading_error"]
    behind, hidden = [], []
    for sill in cab["sills"]:
        ends = [(p[0] - eye[0], p[1] - eye[1]) for p in (sill["from"], sill["to"])]
        directions = [math.atan2(p[1], p[0]) for p in ends]
        span = math.remainder(directions[1] - directions[0], 2 * math.pi)
        start = directions[0] if span > 0 else directions[1]
        cone = wedge(eye, start, abs(span), far)
        behind.append(cone)
        height = sill["height"] + cab["reading_error"]
        if height >= eye_height:
            hidden.append(cone)
            continue
        # The ray over the sill comes down to the object's height at this share of its way.
        share = max(1, (eye_height - cab["object_height"]) / (eye_height - height))
        hidden.append(Polygon([eye] + [(eye[0] + share * p[0], eye[1] + share * p[1])
                                       for p in ends]))
    hidden += [wedge(eye, start, end - start, far) for start, end in cab["masks"]]
    # Pieces that share corners and nearly share edges are unsound to unite: a micrometre more each.
    behind, hidden = ([piece.buffer(1e-6) for piece in pieces] for pieces in (behind, hidden))
    circle = Point(eye).buffer(cab["reach"], resolution=256)
    # What touches itself in a point is unsound once it is turned: a micrometre more joins it there.
    return ground_of(make_valid(unary_union(behind).intersection(circle).difference(
        unary_union(hidden)))).buffer(1e-6)


def check_blind(case, worst):
    seen = seen_ground(case["cab"])
    for x, y, hidden in case["points"]:
        point = Point(x, y)
        worst["points"] += 1
        worst["points hidden"] += hidden
        if seen.contains(point) == hidden:
            worst["point m"] = max(worst["point m"], point.distance(seen.boundary))


def shadow(eye, wall, far):
    """All that is behind a convex wall, and the wall: the hull of it and its image far away."""
    pieces = []
    for corner, following in zip(wall, wall[1:] + wall[:1]):
        out = []
        for p in (corner, following):
            dx, dy = p[0] - eye[0], p[1] - eye[1]
            share = far / math.hypot(dx, dy)
            out.append((eye[0] + share * dx, eye[1] + share * dy))
        pieces.append(Polygon([corner, following, out[1], out[0]]).convex_hull)
    return unary_union([piece for piece in pieces if piece.geom_type == "Polygon"])


def view_of(case, seen, pose):
    x, y, heading = pose
    view = ground_of(make_valid(translate(rotate(seen, heading, origin=(0, 0), use_radians=True),
                                          x, y)))
    ex, ey = case["cab"]["eye"]
    eye = (x + ex * math.cos(heading) - ey * math.sin(heading),
           y + ex * math.sin(heading) + ey * math.cos(heading))
    for wall in case["walls"]:
        view = sound(view.difference(shadow(eye, wall, 500)))
    return view


def check_spotter(case, worst):
    seen = seen_ground(case["cab"])
    size = case["ground"]
    ground = Polygon([(-size, -size), (size, -size), (size, size / 2), (-size, size)])
    path = [(x, y) for x, y, _ in case["poses"]]
    swept = LineString(path).buffer(case["width"], resolution=64)
    allowed = ground.difference(LineString(path).buffer(case["width"] + case["standoff"],
                                                        resolution=64))
    views = [view_of(case, seen, pose) for pose in case["poses"]]

    def common(first, last):
        left = allowed
        for view in views[first:last + 1]:
            left = sound(left.intersection(view))
        return left

    last = len(views) - 1
    stands = case["stands"]
    for stand in stands:
        worst["stands"] += 1
        worst["stands among walls"] += bool(case["walls"])
        at = Point(stand["at"])
        left = common(stand["from"], stand["to"])
        inside = at.distance(left.boundary) if at.distance(left) == 0 else 0
        worst["too little m"] = max(worst["too little m"], case["room"] - inside)
        worst["off path m"] = max(worst["off path m"], abs(at.distance(swept) - stand["off_path"]))
        roomy = left.buffer(-case["room"] - SLACK_M)
        if not roomy.is_empty:
            worst["roomy"] += 1
            worst["nearer m"] = max(worst["nearer m"], stand["off_path"] - roomy.distance(swept))
    # The fewest: nobody with room to spare sees on from where a stand begins to beyond where the
    # next one does, for then that one would have begun later.
    for stand, following in zip(stands, stands[1:]):
        missed = common(stand["from"], min(last, following["to"]))
        worst["went on"] += not missed.buffer(-case["room"] - SLACK_M).is_empty
    if case["unseen"] is not None:
        worst["ways without"] += 1
        first = stands[-1]["to"] if stands else case["unseen"]
        missed = common(first, case["unseen"])
        worst["went on"] += not missed.buffer(-case["room"] - SLACK_M).is_empty
    elif not stands or stands[-1]["to"] != last:
        worst["went on"] += 1


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True, text=True)
    cases = [json.loads(line) for line in lines.stdout.splitlines()]
    worst = {"points": 0, "points hidden": 0, "point m": 0, "stands": 0, "stands among walls": 0,
             "roomy": 0, "ways without": 0, "too little m": 0, "off path m": 0, "nearer m": -9,
             "went on": 0}
    for case in cases:
        (check_blind if case["kind"] == "blind" else check_spotter)(case, worst)
    print(f"{len(cases)} cases (seed {SEED}), worst differences:", worst)
    bounds = {"point m": POINT_BOUND_M, "too little m": 0.001, "off path m": 0.01,
              "nearer m": NEARER_BOUND_M, "went on": 0}
    broken = [f"{name}: {worst[name]} > {bound}" for name, bound in bounds.items()
              if not worst[name] <= bound]
    least = {"stands": 1_900, "stands among walls": 1_000, "roomy": 1_000, "points": 50_000,
             "ways without": 5}
    if any(worst[name] < count for name, count in least.items()):
        broken.append("too few cases")
    print("\n".join(broken) or f"within the bounds {bounds}")
    sys.exit(bool(broken))


main()
