"""Does the cases of loads_cases again: stopping by integrating the motion; securement in fractions;
axles by solving the equations of equilibrium, the bridge formula in fractions and the legal stretch
as a linear program.

loads_check.py PROGRAM. Prints the count and the worst difference of each kind, and fails above the
bound stated beside it.
"""
import json
import math
import subprocess
import sys
from fractions import Fraction

import numpy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, linprog

SEED = "20261125"
COUNT = "2000"
GRAVITY = 9.80665  # NIST SP 811
LEAST_HOLD = 0.03  # below it the slope beats the friction
HOLD_RESERVE = 1.5


def relative(ours, theirs):
    return abs(ours - theirs) / max(1.0, abs(theirs))


def slowing(case):
    """Along the slope, from the weight's two components."""
    angle = math.atan(case["grade"])
    return GRAVITY * (case["friction"] * math.cos(angle) + math.sin(angle))


def run_out(speed, deceleration):
    """The way from `speed` to a stand by integrating dv/dt = -a, ds/dt = v."""
    stands = lambda _, state: state[1]
    stands.terminal = True
    stands.direction = -1
    motion = solve_ivp(lambda _, state: [state[1], -deceleration],
                       [0, 10 + 2 * speed / deceleration], [0.0, speed], events=stands, rtol=1e-10,
                       atol=1e-12)
    return motion.y_events[0][0][0]


def braked_grip(friction, share, height):
    """Of two axles a unit apart, the weight 1: the braked one slides, the other rolls."""
    # Unknown: load on the braked axle, load on the other, the pull at the ground. The pull is the
    # braked axle's friction; the loads bear the weight; moments about the other axle's contact.
    rows = [[friction, 0, -1], [1, 1, 0], [1, 0, height]]
    return numpy.linalg.solve(rows, [0, 1, share])[2]


def check_stopping(case):
    case["friction"] = braked_grip(case["friction"], *case["wheels"])
    holds = case["friction"] + case["grade"] > LEAST_HOLD
    if holds != ("distance" in case):
        return math.inf
    if not holds:
        return 0.0
    delay, deceleration = case["delay_us"] * 1e-6, slowing(case)
    distance = case["speed"] * delay + run_out(case["speed"], deceleration)
    short = lambda speed: speed * delay + speed * speed / (2 * deceleration) - case["seen"]
    cap = brentq(short, 0, 1000, xtol=1e-13, rtol=1e-14)
    return max(relative(case["distance"], distance), relative(case["cap"], cap))


# 49 CFR 393.108, pounds: 1/4, 5/16, 3/8, 7/16, 1/2, 5/8 in of grades 30, 43 and 70.
CHAIN = [[1300, 1900, 2650, 3700, 4500, 6900],
         [2600, 3900, 5400, 7200, 9200, 13000],
         [3150, 4700, 6600, 8750, 11300, 15800]]


def ties_by_length(feet, pounds, blocked):
    if blocked:
        return max(1, math.ceil(feet / 10))
    if feet <= 5 and pounds <= 1100:
        return 1
    return 2 if feet <= 10 else 2 + math.ceil((feet - 10) / 10)


def check_securement(case):
    pounds = case["pounds"]
    effective, ends = Fraction(0), [0, 0]
    for size, grade, binder, anchor, path, number, end in case["ties"]:
        limit = min(CHAIN[max(grade, 0)][size], binder, anchor)
        effective += number * limit * Fraction(1, 1 if path == 2 else 2)
        ends[end] += number
    needed = ties_by_length(Fraction(case["tenths"], 10), pounds, case["blocked"])
    if case["machine"]:
        needed = max(needed, 4)
    margin = effective - Fraction(pounds, 2)
    both = not case["machine"] or min(ends) >= 2
    if case["clear"] != (margin >= 0 and sum(ends) >= needed and both) or case["needed"] != needed:
        return math.inf
    return abs(case["margin"] - float(margin))


def centre(axles):
    return sum(axle[0] for axle in axles) / len(axles)


def axle_loads(case, place):
    """Forces and moments of each unit. Unknown: front of the first, rear of each, each coupling."""
    units = case["units"]
    count = len(units)
    size = 2 * count
    a, b = numpy.zeros((size, size)), numpy.zeros(size)
    # Columns: 0 front, 1..count rear, count+1.. couplings.
    for at, unit in enumerate(units):
        supports = [(1 + at, centre(unit["rear"]), 1)]
        supports.append((0, centre(unit["front"]), 1) if at == 0 else
                        (count + at, units[at - 1]["coupling"], 1))
        if at + 1 < count:
            supports.append((count + at + 1, unit["coupling"], -1))
        for column, where, sign in supports:
            a[2 * at, column] += sign
            a[2 * at + 1, column] += sign * where
    b[2 * count - 2], b[2 * count - 1] = case["machine"], case["machine"] * place
    groups = numpy.linalg.solve(a, b)
    loads = []
    for at, unit in enumerate(units):
        for axles, group in ((unit["front"], groups[0]), (unit["rear"], groups[1 + at])):
            loads += [tare + group / len(axles) for _, tare, _ in axles]
    # Behind the axles the pins, each with what the empty trailer lays on it.
    loads += [unit["pin"] + pin for unit, pin in zip(units[:-1], groups[count + 1:])]
    return numpy.array(loads)


def bridge(inches, axles, planned):
    feet = inches // 12
    if not planned and feet != 8:
        feet = math.ceil(Fraction(inches, 12) - Fraction(1, 2))
    steps = Fraction(feet * axles, axles - 1) + 12 * axles + 36
    return 500 * (math.floor(steps) if planned else math.ceil(steps - Fraction(1, 2)))


def axle_limits(case):
    """Rows of coefficients of the axles' loads, and what they may not exceed."""
    axles = [axle for unit in case["units"] for axle in unit["front"] + unit["rear"]]
    tandem = lambda i, j: axles[j][0] - axles[i][0] <= 96
    rows, limits = [], []

    pins = [unit["pin"] for unit in case["units"][:-1]]

    def add(first, last, limit, sign=1):
        row = numpy.zeros(len(axles) + len(pins))
        row[first:last + 1] = sign
        rows.append(row)
        limits.append(limit)

    for i, (_, _, rating) in enumerate(axles):
        add(i, i, 20000)
        add(i, i, 0, -1)
        if rating:
            add(i, i, rating)
        for j in range(i + 1, len(axles)):
            span = axles[j][0] - axles[i][0]
            limit = 34000 if span <= 96 else bridge(span, j - i + 1, case["planned"])
            if j - i == 3 and tandem(i, i + 1) and tandem(j - 1, j) and span >= 36 * 12:
                limit = max(limit, 68000)
            add(i, j, limit)
    add(0, len(axles) - 1, 80000)
    for at, pin in enumerate(pins):  # a quarter of the empty pin load stays on it
        add(len(axles) + at, len(axles) + at, -pin / 4, -1)
    return numpy.array(rows), numpy.array(limits, float)


def check_axles(case):
    loads = axle_loads(case, case["place"])
    worst = max(relative(ours, theirs) for ours, theirs in zip(case["axles"], loads))
    rows, limits = axle_limits(case)
    margin = min(limits - rows @ loads)
    if abs(margin) > 1e-6 and case["clear"] != (margin >= 0):
        return math.inf
    worst = max(worst, abs(case["margin"] - margin) / 80000)
    # Linear in the place: rows @ (fixed + place * slope) <= limits.
    fixed = axle_loads(case, 0)
    slope = axle_loads(case, 1) - fixed
    front, rear = case["deck"]
    a, b = (rows @ slope)[:, None] / 1000, (limits - rows @ fixed) / 1000
    over = linprog([0, 1], A_ub=numpy.hstack([a, -numpy.ones_like(a)]), b_ub=b,
                   bounds=[(front, rear), (None, None)], method="highs")
    worst = max(worst, abs(case["least_bad"] + over.fun * 1000) / 80000)
    if ("legal" in case) != (over.fun <= 0):
        return worst if abs(over.fun) < 1e-7 else math.inf
    if "legal" in case:
        for sign, ours in ((1, case["legal"][0]), (-1, case["legal"][1])):
            edge = linprog([sign], A_ub=a, b_ub=b, bounds=[(front, rear)], method="highs")
            if edge.status == 0:
                worst = max(worst, abs(edge.x[0] - ours) / 1000)
    return worst


def check_forces(case):
    """Each tie as a force in space on the load: x ahead, y left, z up."""
    ties = []
    for limit, heading, below in case["ties"]:
        heading, below = math.radians(heading), math.radians(below)
        ties.append(limit * numpy.array([math.cos(below) * math.cos(heading),
                                         math.cos(below) * math.sin(heading), -math.sin(below)]))
    weight, friction = case["weight"], case["friction"]
    margins = []
    pushes = (([1, 0, 0], 0.435), ([-1, 0, 0], 0.5), ([0, 1, 0], 0.25), ([0, -1, 0], 0.25))
    for push, share in pushes:
        against = [tie for tie in ties if tie @ push < 0]
        grip = friction * (weight - sum(tie[2] for tie in against))
        margins.append(grip - sum(tie @ push for tie in against) - share * weight)
    margins.append(-sum(tie[2] for tie in ties) - 0.2 * weight)
    return max(relative(ours, theirs) for ours, theirs in zip(case["margins"], margins))


def highest_ground(profile, wheelbase):
    """How far the ground's one corner, at 0, rises above the line under the wheels, at worst."""
    worst = 0.0
    for front in numpy.linspace(0, wheelbase, 401):
        rear = brentq(lambda x: math.hypot(front - x, profile(front) - profile(x)) - wheelbase,
                      front - 2 * wheelbase, front)
        slope = (profile(front) - profile(rear)) / (front - rear)
        worst = max(worst, (profile(0) - profile(rear) + slope * rear) / math.hypot(1, slope))
    return worst


def check_ramp(case):
    angle = math.atan2(case["height"], math.sqrt(case["length"] ** 2 - case["height"] ** 2))
    worst = relative(case["angle"], angle)
    crest = lambda x: min(x, 0.0) * math.tan(angle)
    exact = highest_ground(crest, case["wheelbase"])
    # The closed form is on the careful side of the exact geometry, and by no more than an eighth.
    if not exact <= case["intrusion"] * (1 + 1e-9) or case["intrusion"] > exact * 1.125:
        return math.inf
    # The nose on the line of level ground, the ramp rising from the front axle on.
    return max(worst, relative(case["drop"], case["overhang"] * math.tan(angle)))


def check_trailer(case):
    tare, behind, forklift, ahead = case["nose"]
    # Legs at 0, wheels far behind: it tips where the wheels carry nothing.
    wheels_at = -10.0
    wheels = numpy.linalg.solve([[1, 1], [0, wheels_at]],
                                [tare + forklift, forklift * ahead - tare * behind])[1]
    worst = 0.0 if (wheels < 0) == (case["tipping"] > 1) else math.inf
    worst = max(worst, relative(case["tipping"], 1 - wheels * wheels_at / (-tare * behind)))
    pin, load, over, length = case["tail"]
    # Pin at 0, axles at length: the empty trailer lays `pin` on the pin, the load the rest.
    left = numpy.linalg.solve([[1, 1], [0, length]], [load, load * (length + over)])[0] + pin
    return max(worst, relative(case["pin_left"], left))


def wedge_holds(radius, height, friction):
    """The most push at the axle under a load of 1, with wheel and chock in equilibrium: a linear
    program over the forces at the three contacts, all friction used between wheel and chock."""
    contact = math.acos((radius - height) / radius)
    sine, cosine = math.sin(contact), math.cos(contact)
    # Push, normal and tangent at the chock, normal and tangent at the ground.
    balance = [[1, -sine, cosine, 0, -1],  # forward
               [0, cosine, sine, 1, 0],  # up
               [0, 0, 1, 0, -1],  # about the axle
               [0, -friction, 1, 0, 0]]
    cones = [[0, sine - friction * cosine, -cosine - friction * sine, 0, 0],  # chock on the ground
             [0, 0, 0, -friction, 1]]
    best = linprog([-1, 0, 0, 0, 0], A_ub=cones, b_ub=[0, 0], A_eq=balance, b_eq=[0, 1, 0, 0],
                   bounds=[(0, None)] * 5, method="highs")
    return best.x[0]


def check_standing(case):
    angle = math.atan(abs(case["grade"]))
    pull, press = (case["weight"] * GRAVITY * part for part in (math.sin(angle), math.cos(angle)))
    worst = relative(case["pull"], pull)
    grip = braked_grip(case["friction"], *case["braked"])
    worst = max(worst, relative(case["slides_at"], grip))
    if case["holds"] != (grip / HOLD_RESERVE * press > pull):
        return math.inf
    # Moments about the chock's edge: the push at the axle lifts the load off the ground.
    diameter, height, friction = case["wheel"]
    edge = brentq(lambda x: x * x + (height - diameter / 2) ** 2 - diameter ** 2 / 4, 0, diameter)
    climb = brentq(lambda push: push * (diameter / 2 - height) - edge, 0, 1e6, xtol=1e-13)
    worst = max(worst, relative(case["to_climb"], climb))
    worst = max(worst, relative(case["chock_holds"], wedge_holds(diameter / 2, height, friction)))
    # Moments about the other axle's contact, the weight 1 and the wheelbase 1.
    share, centre = case["chocked"]
    on_wheels = (math.cos(angle) * share - math.sin(angle) * centre) / math.cos(angle)
    worst = max(worst, relative(case["demand"], math.tan(angle) / on_wheels))
    # The load on the uphill wheels vanishes where it tips.
    track, centre, slope, lateral = case["side"]

    def uphill(lean):
        forces = [[1, 1], [track / 2, -track / 2]]
        return numpy.linalg.solve(forces, [math.cos(lean), -centre * math.sin(lean)])[0]

    tips = brentq(uphill, 0, math.pi / 2)
    # Slope and turn: where weight and centrifugal force point, off the ground's normal.
    tilt = math.atan(slope)
    across = math.sin(tilt) + lateral * math.cos(tilt)
    into = math.cos(tilt) - lateral * math.sin(tilt)
    return max(worst, relative(case["tips_at"], tips),
               relative(case["leans"], math.atan2(across, into)))


# Relative, or absolute below one: what the other method itself is good for.
CHECKS = {
    "stopping": (check_stopping, 1e-8),
    "securement": (check_securement, 1e-9),
    "axles": (check_axles, 1e-7),  # the linear program stops at 1e-7 of its rows
    "forces": (check_forces, 1e-10),
    "ramp": (check_ramp, 1e-9),
    "trailer": (check_trailer, 1e-10),
    "standing": (check_standing, 1e-7),  # as above
}


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    worst = {kind: (0.0, None) for kind in CHECKS}
    counts = dict.fromkeys(CHECKS, 0)
    for line in lines:
        case = json.loads(line)
        difference = CHECKS[case["kind"]][0](case)
        counts[case["kind"]] += 1
        if worst[case["kind"]][1] is None or difference > worst[case["kind"]][0]:
            worst[case["kind"]] = (difference, line)
    failed = False
    for kind, (_, bound) in CHECKS.items():
        difference, line = worst[kind]
        print(f"{kind}: {counts[kind]} cases, worst difference {difference:.3g}, bound {bound:g}")
        if counts[kind] == 0 or not difference <= bound:
            failed = True
            print("  FAILED: " + str(line))
    sys.exit(failed)


main()
