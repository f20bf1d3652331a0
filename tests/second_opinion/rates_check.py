"""Does the cases of rates_cases again with SciPy: its own Wilson interval, and counts from
chi-square quantiles.

rates_check.py PROGRAM. Prints the count and the worst difference of each, and fails above the bounds.
"""
import json
import subprocess
import sys

from scipy.stats import binomtest, chi2

SEED = "20261128"
COUNT = "5000"
SHARE_BOUND = 1e-12
COUNT_BOUND = 1e-9  # of each end


def wilson(times, of, confidence):
    interval = binomtest(times, of).proportion_ci(confidence_level=confidence, method="wilson")
    return interval.low, interval.high


def garwood(events, confidence):
    tail = (1 - confidence) / 2
    low = chi2.ppf(tail, 2 * events) / 2 if events else 0.0
    return low, chi2.isf(tail, 2 * events + 2) / 2


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True, text=True)
    cases = [json.loads(line) for line in lines.stdout.splitlines()]
    worst_share = worst_count = 0.0
    for case in cases:
        for end, theirs in zip(("low", "high"),
                               wilson(case["times"], case["of"], case["confidence"])):
            worst_share = max(worst_share, abs(case["share_" + end] - theirs))
        for end, theirs in zip(("low", "high"), garwood(case["events"], case["confidence"])):
            worst_count = max(worst_count, abs(case["count_" + end] - theirs) / (theirs or 1))
    print(f"{len(cases)} cases (seed {SEED}), worst difference of a share {worst_share:.2e}, "
          f"of a count's end {worst_count:.2e} of it")
    sys.exit(not (len(cases) == int(COUNT) and worst_share <= SHARE_BOUND
                  and worst_count <= COUNT_BOUND))


main()
