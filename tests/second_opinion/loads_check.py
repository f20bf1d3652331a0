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
COUNT = "1000"
GRAVITY = 9.80665  # NIST SP 811
LEAST_HOLD = 0.03  # below it the slope beats the friction


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
    motion = solve_ivp(lambda _, state: [state[1], -deceleration], [0, 10 + 2 * speed / deceleration],
                       [0.0, speed], events=stands, rtol=1e-10, atol=1e-12)
    return motion.y_events[0][0][0]


def check_stopping(case):
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
    effective, count = Fraction(0), 0
    for size, grade, binder, path, number in case["ties"]:
        limit = min(CHAIN[max(grade, 0)][size], binder)
        effective += number * limit * Fraction(1, 1 if path == 2 else 2)
        count += number
    needed = ties_by_length(Fraction(case["tenths"], 10), pounds, case["blocked"])
    if case["machine"]:
        needed = max(needed, 4 if pounds >= 10000 else 2)
    margin = effective - Fraction(pounds, 2)
    if case["clear"] != (margin >= 0 and count >= needed) or case["needed"] != needed:
        return math.inf
    return abs(case["margin"] - float(margin))


def centre(axles):
    return sum(axle[0] for axle in axles) / len(axles)


def axle_loads(case, place):
    """Unknown: front of the first unit, rear of each, each coupling. Forces and moments of each unit."""
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

    def add(first, last, limit, sign=1):
        row = numpy.zeros(len(axles))
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


# Relative, or absolute below one: what the other method itself is good for.
CHECKS = {
    "stopping": (check_stopping, 1e-8),
    "securement": (check_securement, 1e-9),
    "axles": (check_axles, 1e-7),  # the linear program stops at 1e-7 of its rows
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
