"""Does the cases of loads_cases again: stopping by integrating the motion.

loads_check.py PROGRAM. Prints the count and the worst difference of each kind, and fails above the
bound stated beside it.
"""
import json
import math
import subprocess
import sys

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

SEED = "20261125"
COUNT = "500"
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


# Relative, or absolute below one: what the other method itself is good for.
CHECKS = {
    "stopping": (check_stopping, 1e-8),
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
