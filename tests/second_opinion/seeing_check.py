"""Does the cases of seeing_cases again with Shapely, from sills and masks and not from our sectors.

seeing_check.py PROGRAM. A point must be hidden or seen as we say unless it lies within POINT_BOUND_M
of the border. A spotter's stand must lie in Shapely's own ground with the clearance that we state;
no point of that ground may have over CLEARANCE_BOUND_M more; and the ground that also sees the next
pose must have no room for a person, or we could have gone on.
"""
import json
import math
import subprocess
import sys

from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import polylabel, unary_union
from shapely.validation import make_valid

SEED = "20261125"
COUNT = "2000"
POINT_BOUND_M = 1e-3  # Shapely's circle of reach has 1024 corners
# Our arcs lose 0.06 % of a reach of 40 m and 0.13 % of a standoff of 10 m; the search stops at 1 cm.
CLEARANCE_BOUND_M = 0.06
ROOM_BOUND = 1.1  # the same, of a room of 0.5 m


def ground_of(shape):
    """Its areas alone: slivers that a rotation crossed over themselves become lines and go."""
    return unary_union([part for part in getattr(shape, "geoms", [shape])
                        if part.geom_type in ("Polygon", "MultiPolygon")])


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
    return ground_of(make_valid(
        unary_union(behind).intersection(circle).difference(unary_union(hidden))))


def check_blind(case, worst):
    seen = seen_ground(case["cab"])
    for x, y, hidden in case["points"]:
        point = Point(x, y)
        worst["points"] += 1
        worst["points hidden"] += hidden
        if seen.contains(point) == hidden:
            worst["point m"] = max(worst["point m"], point.distance(seen.boundary))


def roomiest(ground):
    parts = [part for part in getattr(ground, "geoms", [ground]) if part.area > 1e-6]
    found = [(part, polylabel(part, tolerance=0.005)) for part in parts]
    return max((at.distance(part.boundary) for part, at in found), default=0)


def check_spotter(case, worst):
    seen = seen_ground(case["cab"])
    size = case["ground"]
    ground = Polygon([(-size, -size), (size, -size), (size, size / 2), (-size, size)])
    path = [(x, y) for x, y, _ in case["poses"]]
    swept = LineString(path).buffer(case["width"], resolution=64)
    allowed = ground.difference(LineString(path).buffer(case["width"] + case["standoff"],
                                                        resolution=64))
    views = [ground_of(make_valid(translate(rotate(seen, heading, origin=(0, 0),
                                                   use_radians=True), x, y)))
             for x, y, heading in case["poses"]]

    def common(first, last):
        left = allowed
        for view in views[first:last + 1]:
            left = ground_of(left.intersection(view))
        return left

    last = len(views) - 1
    for stand in case["stands"]:
        worst["stands"] += 1
        at = Point(stand["at"])
        left = common(stand["from"], stand["to"])
        inside = at.distance(left.boundary) if left.contains(at) else 0
        worst["too little m"] = max(worst["too little m"], stand["clearance"] - inside)
        worst["missed m"] = max(worst["missed m"], roomiest(left) - stand["clearance"])
        worst["off path m"] = max(worst["off path m"], abs(at.distance(swept) - stand["off_path"]))
        if stand["to"] < last:
            more = roomiest(common(stand["from"], stand["to"] + 1))
            worst["room that went on"] = max(worst["room that went on"], more / case["room"])
    if case["unseen"] is not None:
        worst["ways without"] += 1
        first = max(0, case["unseen"] - 1) if case["stands"] else case["unseen"]
        more = roomiest(common(first, case["unseen"]))
        worst["room that went on"] = max(worst["room that went on"], more / case["room"])
    elif not case["stands"] or case["stands"][-1]["to"] != last:
        worst["missed m"] = math.inf


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True, text=True)
    cases = [json.loads(line) for line in lines.stdout.splitlines()]
    worst = {"points": 0, "points hidden": 0, "point m": 0, "stands": 0, "ways without": 0,
             "too little m": 0, "missed m": 0, "off path m": 0, "room that went on": 0}
    for case in cases:
        (check_blind if case["kind"] == "blind" else check_spotter)(case, worst)
    print(f"{len(cases)} cases (seed {SEED}), worst differences:", worst)
    bounds = {"point m": POINT_BOUND_M, "too little m": 0.001, "missed m": CLEARANCE_BOUND_M,
              "off path m": 0.01, "room that went on": ROOM_BOUND}
    broken = [f"{name}: {worst[name]} > {bound}" for name, bound in bounds.items()
              if not worst[name] <= bound]
    if worst["stands"] < 300 or worst["points"] < 50_000 or worst["ways without"] < 10:
        broken.append("too few cases")
    print("\n".join(broken) or f"within the bounds {bounds}")
    sys.exit(bool(broken))


main()
