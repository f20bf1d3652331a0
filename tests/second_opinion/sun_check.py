"""Asks an astronomy library (PyEphem) where the sun stands in the cases of sun_cases.

sun_check.py PROGRAM. Prints the count and the worst differences, and fails above the bounds below:
those that services/fit/sun.h states.
"""
import json
import math
import subprocess
import sys

import ephem

SEED = "20261125"
COUNT = "4000"
ANGLE_BOUND_DEG = 0.02
REFRACTION_BOUND_DEG = 0.05  # two formulas for air that nobody measured, at the horizon
TIME_BOUND_S = 60
TIMES_UP_TO_DEG = 60  # of latitude; beyond it the sun crosses too flatly for a bound in time
EPOCH = ephem.Date("1970/1/1")
# light.h: the sun's upper edge is up, it is low, and it stands about ahead.
GLARE_ABOVE_DEG, GLARE_BELOW_DEG, GLARE_WITHIN_DEG = -0.833, 15, 25
THRESHOLDS = {"dawn": -6, "rise": -0.833, "set": -0.833, "dusk": -6}


def date_of(micros):
    return ephem.Date(EPOCH + micros / 86_400e6)


def observer(case, micros, pressure=0):
    place = ephem.Observer()
    place.lat, place.lon = math.radians(case["latitude"]), math.radians(case["longitude"])
    place.elevation, place.pressure, place.temp = 0, pressure, 10
    place.date = date_of(micros)
    return place


def sun_at(case, micros, pressure=0):
    sun = ephem.Sun(observer(case, micros, pressure))
    return math.degrees(sun.alt), math.degrees(sun.az)


def check_position(case, worst):
    altitude, azimuth = sun_at(case, case["when"])
    worst["altitude deg"] = max(worst["altitude deg"], abs(altitude - case["altitude"]))
    off = abs(math.remainder(azimuth - case["azimuth"], 360)) * math.cos(math.radians(altitude))
    worst["azimuth deg"] = max(worst["azimuth deg"], off)
    if altitude > 0:
        apparent, _ = sun_at(case, case["when"], pressure=1010)
        worst["refracted deg"] = max(worst["refracted deg"], abs(apparent - case["apparent"]))


def check_glare(case, worst):
    """By the library's own angle between two places of its sky; within the bound of a limit either
    answer does."""
    altitude, azimuth = sun_at(case, case["when"])
    ahead = math.radians(90 - case["heading"])
    ours = math.radians(case["azimuth"])
    worst["off sun deg"] = max(worst["off sun deg"], abs(
        math.degrees(ephem.separation((ahead, 0), (ours, 0))) - case["off_sun"]))
    off = math.degrees(ephem.separation((ahead, 0), (math.radians(azimuth), 0)))
    # The azimuth may be off by the bound on the sky, which is more of the horizon's.
    slack = 2 * ANGLE_BOUND_DEG / max(math.cos(math.radians(altitude)), 0.01)
    spare = [altitude - GLARE_ABOVE_DEG, GLARE_BELOW_DEG - altitude, GLARE_WITHIN_DEG - off]
    if min(abs(part) for part in spare) < slack:
        return
    worst["glare decided"] += 1
    worst["glare"] += case["glare"]
    worst["glare wrong"] += case["glare"] != (min(spare) > 0)


def library_event(case, name):
    place = observer(case, case["noon"])
    place.horizon = math.radians(THRESHOLDS[name])
    before = name in ("dawn", "rise")
    find = place.previous_rising if before else place.next_setting
    try:
        return (find(ephem.Sun(), use_center=True) - EPOCH) * 86_400
    except (ephem.AlwaysUpError, ephem.NeverUpError):
        return None


def check_event(case, name, worst):
    """Whether the library's sun is at the threshold when ours says so; without an event, that it
    is on one side of it at noon and at midnight, but for the bound."""
    threshold = THRESHOLDS[name]
    if case[name] is None:
        half_day = -43_200e6 if name in ("dawn", "rise") else 43_200e6
        noon, _ = sun_at(case, case["noon"])
        midnight, _ = sun_at(case, case["noon"] + half_day)
        crossed = min(noon - threshold, threshold - midnight)  # above 0: it does cross
        worst["missed deg"] = max(worst["missed deg"], crossed)
        return
    altitude, _ = sun_at(case, case[name])
    worst["event deg"] = max(worst["event deg"], abs(altitude - threshold))
    if abs(case["latitude"]) <= TIMES_UP_TO_DEG:
        theirs = library_event(case, name)
        if theirs is not None and abs(theirs - case[name] / 1e6) < 43_200:
            worst["event s"] = max(worst["event s"], abs(theirs - case[name] / 1e6))
            worst["events timed"] += 1


def main():
    lines = subprocess.run([sys.argv[1], SEED, COUNT], check=True, capture_output=True, text=True)
    cases = [json.loads(line) for line in lines.stdout.splitlines()]
    worst = {"altitude deg": 0, "azimuth deg": 0, "refracted deg": 0, "event deg": 0,
             "missed deg": 0, "event s": 0, "events timed": 0, "off sun deg": 0, "glare decided": 0,
             "glare": 0, "glare wrong": 0}
    for case in cases:
        check_position(case, worst)
        check_glare(case, worst)
        for name in THRESHOLDS:
            check_event(case, name, worst)
    print(f"{len(cases)} places and times (seed {SEED}), worst:", worst)
    bounds = {"altitude deg": ANGLE_BOUND_DEG, "azimuth deg": ANGLE_BOUND_DEG,
              "refracted deg": REFRACTION_BOUND_DEG, "event deg": ANGLE_BOUND_DEG,
              "missed deg": ANGLE_BOUND_DEG, "event s": TIME_BOUND_S, "off sun deg": 1e-5,
              "glare wrong": 0}
    broken = [f"{name}: {worst[name]} > {bound}" for name, bound in bounds.items()
              if worst[name] > bound]
    if len(cases) != int(COUNT) or worst["events timed"] < len(cases) \
            or worst["glare decided"] < 3_000 or worst["glare"] < 100:
        broken.append("too few cases")
    print("\n".join(broken) or "within the bounds " + str(bounds))
    sys.exit(bool(broken))


main()
