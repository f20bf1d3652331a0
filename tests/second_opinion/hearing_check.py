"""Does the cases of hearing_cases again: sums as pressures with NumPy, the farthest distance by
SciPy's root finder, doses from a table of hours.

hearing_check.py PROGRAM. Prints the count and the worst difference of each, and fails above BOUND.
"""
import json
import subprocess
import sys

import numpy
from scipy.optimize import brentq

SEED = "20261125"
COUNT = "5000"
BOUND = 1e-9  # decibels, percent of the value, metres of a distance relative to it
PRESSURE_0 = 20e-6  # pascals: 0 dB


def level_at(levels, at, distance):
    """From root mean squares of pressures, each falling with distance from its reference on."""
    pressures = PRESSURE_0 * 10 ** (levels / 20) / numpy.maximum(1, distance / at)
    return 20 * numpy.log10(numpy.linalg.norm(pressures) / PRESSURE_0)


def farthest(levels, at, wanted):
    over = lambda distance: level_at(levels, at, distance) - wanted
    if over(at.min()) < 0:
        return 0.0
    return brentq(over, at.min(), 1e12, xtol=1e-14, rtol=1e-14, maxiter=1000)


def dose(levels, seconds, floor):
    counted = levels >= floor
    permitted_s = 8 * 3600 * 2 ** ((90 - levels) / 5)
    return 100 * numpy.sum(seconds[counted] / permitted_s[counted])


def relative(ours, theirs):
    return abs(ours - theirs) / max(1.0, abs(theirs))


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True, text=True)
    cases = [json.loads(line) for line in lines.stdout.splitlines()]
    worst = {"level": 0.0, "farthest": 0.0, "dose": 0.0, "weighted": 0.0}
    nowhere = 0
    for case in cases:
        levels, at = numpy.array(case["levels"]), numpy.array(case["at"])
        seconds = numpy.array(case["seconds"])
        worst["level"] = max(worst["level"],
                             abs(case["level"] - level_at(levels, at, case["distance"])))
        far = farthest(levels, at, case["wanted"])
        nowhere += far == 0
        worst["farthest"] = max(worst["farthest"], relative(case["farthest"], far))
        action, limit = dose(levels, seconds, 80), dose(levels, seconds, 90)
        worst["dose"] = max(worst["dose"], relative(case["action"], action),
                            relative(case["limit"], limit))
        if case["weighted"] is not None:
            weighted = 16.61 * numpy.log10(action / 100) + 90
            worst["weighted"] = max(worst["weighted"], abs(case["weighted"] - weighted))
        elif action > 0:
            worst["weighted"] = numpy.inf
    print(f"{len(cases)} cases (seed {SEED}), {nowhere} heard nowhere, worst differences: {worst}")
    enough = len(cases) == int(COUNT) and 0 < nowhere < len(cases)
    sys.exit(not (enough and max(worst.values()) <= BOUND))


main()
