"""Looks for the ways of route_cases again with SciPy's Dijkstra, over every lane in each direction and
facing that its readings allow: fewest reversals, then least of it in reverse, then the shortest.

route_check.py PROGRAM. Prints the counts and the worst difference of length; fails where a way is
missed or made up, has another count of reversals, or another length.
"""
import json
import math
import subprocess
import sys

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

SEED = "20261125"
COUNT = "3000"
NOISE = 1e-9              # quantity.h: so much short is none
LENGTH_BOUND_M = 1e-6     # both count in whole millimetres, rounded up
BACKED = 4e6              # millimetres in reverse before millimetres; a way is shorter than 4 km
REVERSAL = 2e13           # and before those one reversal; up to 400 of them stay exact
NEAR_LIMIT = 1e-6         # of a radius: whether that fits is for the tests in tests/fit


class NearLimit(Exception):
    pass


def at_least(value, needed):
    return value is not None and value >= needed - NOISE


def fits(lane, case):
    return not lane["closed"] and at_least(lane["height"], case["height"]) and at_least(
        lane["width"], case["width"]) and at_least(lane["load"], case["load"]) and lane[
        "grade"] is not None and at_least(case["grade"], lane["grade"])


class Leg:
    def __init__(self, number, lane, against, tail):
        self.lane, self.against, self.tail, self.length = number, against, tail, lane["length"]
        ends = np.array(lane["at"]).reshape(2, 2)
        self.start, self.end = ends[::-1] if against else ends
        self.places = (lane["to"], lane["from"]) if against else (lane["from"], lane["to"])
        self.course = (self.end - self.start) / self.length
        self.millimetres = math.ceil(self.length * 1000 - 1e-6)


def legs_of(case):
    found = []
    for number, lane in enumerate(case["lanes"]):
        if not fits(lane, case):
            continue
        for against in ((False,) if lane["one_way"] else (False, True)):
            found += [Leg(number, lane, against, tail) for tail in (False, True)
                      if lane["tail" if tail else "nose"]]
    return found


def turns(case, leg, onto):
    """An arc of the radius fits into the corner between two straight lanes."""
    radius = case["radius_reversing" if leg.tail else "radius"]
    if radius == 0:
        return True
    cross = leg.course[0] * onto.course[1] - leg.course[1] * onto.course[0]
    turn = abs(math.atan2(cross, leg.course @ onto.course))
    if turn < 1e-3:
        return True
    used = radius * math.tan(turn / 2)
    short = min(leg.length, onto.length) - used
    if abs(short) < NEAR_LIMIT * used:
        raise NearLimit
    return short > 0


def changes(case, leg, onto, last_place):
    """From driving to reversing or back: straight back, where it stands straight on its lane."""
    if not case["may_reverse"] or leg.places[1] in (0, last_place):
        return False
    if leg.length < case["stands_on"]:
        return False
    if leg.lane == onto.lane:
        return leg.against != onto.against
    cross = leg.course[0] * onto.course[1] - leg.course[1] * onto.course[0]
    return leg.course @ onto.course < 0 and abs(cross) < 1e-3


def graph_of(case, legs, goal):
    """Nodes: every leg, the start and the goal. An edge costs what the leg costs that it leads on."""
    count = len(legs)
    rows, columns, costs = [], [], []

    def edge(a, b, cost):
        rows.append(a)
        columns.append(b)
        costs.append(cost)

    by_start = {}
    for number, leg in enumerate(legs):
        by_start.setdefault(leg.places[0], []).append(number)
    own = [leg.millimetres + (leg.millimetres * BACKED if leg.tail else 0) for leg in legs]
    for number, leg in enumerate(legs):
        if leg.places[0] == 0 and case["depart"] in (None, "tail" if leg.tail else "nose"):
            edge(count, number, own[number])
        if leg.places[1] == goal and case["arrive"] in (None, "tail" if leg.tail else "nose"):
            edge(number, count + 1, 1)
        for other in by_start.get(leg.places[1], []):
            onto = legs[other]
            if leg.tail != onto.tail:
                if changes(case, leg, onto, goal):
                    edge(number, other, own[other] + REVERSAL)
            elif leg.lane != onto.lane and turns(case, leg, onto):
                edge(number, other, own[other])
    return csr_matrix((costs, (rows, columns)), shape=(count + 2, count + 2))


def best(case):
    """(reversals, metres) or None."""
    goal = case["places"] - 1
    legs = legs_of(case)
    costs, before = dijkstra(graph_of(case, legs, goal), indices=len(legs),
                             return_predecessors=True)
    if math.isinf(costs[-1]):
        return None
    way, at = [], before[-1]
    while at != len(legs):
        way.append(legs[at])
        at = before[at]
    reversals = sum(a.tail != b.tail for a, b in zip(way, way[1:]))
    return reversals, sum(leg.length for leg in way), sum(leg.millimetres for leg in way if leg.tail)


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    counts = {"found": 0, "none": 0, "with a reversal": 0, "near a limit": 0}
    worst, faults = 0.0, []
    for number, text in enumerate(lines):
        case = json.loads(text)
        try:
            theirs = best(case)
        except NearLimit:
            counts["near a limit"] += 1
            continue
        counts["found" if case["found"] else "none"] += 1
        if case["found"] != (theirs is not None):
            faults.append(f"map {number}: found {case['found']}, theirs {theirs}")
            continue
        if not theirs:
            continue
        counts["with a reversal"] += theirs[0] > 0
        backed = sum(math.ceil(case["lanes"][lane]["length"] * 1000 - 1e-6)
                     for lane, _, tail in case["legs"] if tail)
        if (case["reversals"], backed) != (theirs[0], theirs[2]):
            faults.append(f"map {number}: {case['reversals']} reversals and {backed} mm in reverse, "
                          f"theirs {theirs}")
        worst = max(worst, abs(case["length"] - theirs[1]))
    print(f"{len(lines)} maps (seed {SEED}): {counts}; worst difference of length {worst:.2g} m")
    if worst > LENGTH_BOUND_M:
        faults.append(f"length: {worst} m")
    if len(lines) != int(COUNT) or counts["found"] < 500 or counts["none"] < 300 or \
            counts["with a reversal"] < 50 or counts["near a limit"] > 30:
        faults.append("too few cases")
    print("\n".join(faults[:20]) or "the same ways")
    sys.exit(bool(faults))


main()
