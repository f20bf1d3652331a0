"""Does swept_cases's machines again: the lane's corners by its own rounding, the headings by an
adaptive solver of SciPy's (ODEPACK), distances and the union of the ground by Shapely.

usage: swept_check.py PATH/TO/swept_cases [SEED [COUNT [grounds]]]
`grounds`: short ways, and of each its ground alone.
A combination that is reversed is solved unit by unit from the way of its hindmost axle.
Fails where a pose differs by more than the error that was stated with it, or a margin likewise.
"""
import json
import math
import subprocess
import sys

import numpy as np
from scipy.integrate import odeint
from scipy.interpolate import CubicHermiteSpline, CubicSpline
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union
from shapely.prepared import prep

MOST_CUT_M = 0.1       # how far the rounding of a corner may leave it where there is room
GRID_M = 0.1           # between which headings are interpolated: by below 1e-6 rad
FINE_GRID_M = 0.02     # the same, where they may turn fast: pushed, or pulled by a turn on the spot
SOLVER_M = 1e-6        # what SciPy's solver and the interpolation leave
COARSE_M = 0.25        # first steps of the search for the nearest place
FINEST_M = 0.0001      # what its finest steps may miss
COARSENESS_M = 0.01    # of the ground, outward, in the pockets along a unit's sides
GROUND_M = 1e-6        # of unions: theirs and ours
SHORTEST_M = 1e-9      # of a piece
VAGUE_M = 0.05         # a stated error above it leaves too much undecided


def unit(heading):
    return np.array([np.cos(heading), np.sin(heading)])


class Straight:
    def __init__(self, length, start, heading):
        self.length, self.start, self.heading = length, start, heading

    def at(self, s):
        return self.start[:, None] + s * unit(self.heading)[:, None]

    def course(self, s):
        return self.heading + 0 * s


class Arc(Straight):
    def __init__(self, length, start, heading, curvature):
        super().__init__(length, start, heading)
        self.curvature = curvature

    def at(self, s):
        course = self.course(s)
        return self.start[:, None] + np.array(
            [np.sin(course) - np.sin(self.heading),
             np.cos(self.heading) - np.cos(course)]) / self.curvature

    def course(self, s):
        return self.heading + self.curvature * s


class Spin(Straight):
    """A turn on the spot; its length is the angle."""

    def __init__(self, turn, start, heading):
        super().__init__(abs(turn), start, heading)
        self.sign = np.sign(turn)

    def at(self, s):
        return self.start[:, None] + 0 * s

    def course(self, s):
        return self.heading + self.sign * s


def pieces_of(line, corners, least_radius):
    """`corners`: "rounded", "spun" (on the spot) or "sharp" (without turning)."""
    points = np.array(line)
    legs = np.diff(points, axis=0)
    lengths = np.hypot(legs[:, 0], legs[:, 1])
    headings = np.arctan2(legs[:, 1], legs[:, 0])
    turns = (np.diff(headings) + np.pi) % (2 * np.pi) - np.pi
    tangents = np.tan(np.abs(turns) / 2)
    padded = np.concatenate([[0], tangents, [0]])
    shares = lengths / np.maximum(padded[:-1] + padded[1:], 1e-300)
    room = np.minimum(shares[:-1], shares[1:])
    gentle = MOST_CUT_M / (1 / np.cos(turns / 2) - 1)
    radii = np.maximum(least_radius, np.minimum(room, gentle)) if corners == "rounded" else 0 * room
    cuts = np.concatenate([[0], radii * tangents, [0]])
    pieces = []
    for i, length in enumerate(lengths):
        start = points[i] + cuts[i] * unit(headings[i])
        pieces.append(Straight(length - cuts[i] - cuts[i + 1], start, headings[i]))
        if i == len(turns):
            break
        end = points[i + 1] - cuts[i + 1] * unit(headings[i])
        if corners == "rounded":
            pieces.append(Arc(radii[i] * abs(turns[i]), end, headings[i],
                              np.sign(turns[i]) / radii[i]))
        elif corners == "spun":
            pieces.append(Spin(turns[i], end, headings[i]))
    return [piece for piece in pieces if piece.length > SHORTEST_M]


def rates_of(bars, headings, speed, turning):
    """How headings of bars change, each behind the hitch on the one before: (hitch ahead of the
    axle before, length). `headings` starts with the first axle's; it moves along it at `speed` and
    turns at `turning`. No axle slips sideways."""
    rates, before, rate = [], headings[0], turning
    for (hitch, length), heading in zip(bars, headings[1:]):
        fold = before - heading
        across = hitch * rate
        cosine, sine = math.cos(fold), math.sin(fold)
        rate = (speed * sine + across * cosine) / length
        speed = speed * cosine - across * sine
        rates.append(rate)
        before = heading
    return rates


class Motion:
    """Poses of all bodies along the guide."""

    def __init__(self, case):
        machine = case["machine"]
        self.steering, reversing = machine["steering"], case["reversing"]
        self.upper = machine.get("upper")
        self.boxes = [u.get("box") for u in case["units"]]
        wheelbase, rear = machine["wheelbase"], machine["hinge_to_rear"]
        sine, cosine = math.sin(machine["steer"]), math.cos(machine["steer"])
        bars, corners, radius = [], "rounded", 0.0
        self.backwards = reversing  # bodies look against the course
        self.last_first = False
        if self.steering in ("front", "rear"):
            steered_leads = (self.steering == "front") != reversing
            if steered_leads:
                bars, radius = [(0.0, wheelbase)], wheelbase / sine
            else:
                radius = wheelbase * cosine / sine
            if self.steering == "rear":
                self.backwards = steered_leads
        elif self.steering == "hinge":
            if reversing:
                bars, radius = [(-rear, wheelbase)], (wheelbase + rear * cosine) / sine
                self.last_first = True
            else:
                bars, radius = [(-wheelbase, rear)], (wheelbase * cosine + rear) / sine
        elif self.steering == "crab":
            corners = "sharp"
        else:
            radius = machine["radius"]
            corners = "rounded" if radius > 0 else "spun"
        self.bars = bars + [tuple(trailer) for trailer in machine["trailers"]]
        self.steered = self.steering in ("front", "rear") and bars != []
        self.pieces = pieces_of(case["line"], corners, radius)
        self.starts = [self.pieces[0].heading] * len(self.bars)
        self.solve()

    def solve(self):
        """Headings of the bars in every piece."""
        self.solutions = []
        headings = np.array(self.starts, float)
        for piece in self.pieces:
            spacing = FINE_GRID_M if isinstance(piece, Spin) else GRID_M
            grid = np.linspace(0, piece.length, max(4, int(piece.length / spacing) + 2))
            if not self.bars:
                self.solutions.append(None)
                continue
            rates = self.rates_in(piece)
            solved, told = odeint(rates, headings, grid, rtol=1e-10, atol=1e-11, tfirst=True,
                                  full_output=True, mxstep=5000)
            assert told["message"] == "Integration successful.", told["message"]
            slopes = np.array([rates(s, y) for s, y in zip(grid, solved)])
            self.solutions.append(CubicHermiteSpline(grid, solved, slopes))
            headings = solved[-1]

    def rates_in(self, piece):
        speed, turning = 1.0, 0.0
        if isinstance(piece, Spin):
            speed, turning = 0.0, piece.sign
        elif isinstance(piece, Arc):
            turning = piece.curvature
        slope = 0.0 if type(piece) is Straight else turning
        # A bar at the steered axle hangs on the guide's point alone; it does not feel its turning.
        return lambda s, headings: rates_of(self.bars, [piece.heading + slope * s, *headings],
                                            speed, turning)

    def poses(self, index, s):
        """[(axles, headings)] of the bodies at ways `s` in a piece."""
        piece, solution = self.pieces[index], self.solutions[index]
        at, course = piece.at(s), piece.course(s)
        headings = [] if solution is None else list(np.atleast_2d(solution(s)).T)
        bodies = [] if self.steered else [(at, 0 * s + self.pieces[0].heading)
                                          if self.steering == "crab" else (at, course)]
        for i, ((hitch, length), heading) in enumerate(zip(self.bars, headings)):
            if i > 0 or not self.steered:
                at = at + hitch * unit(bodies[-1][1])
            at = at - length * unit(heading)
            bodies.append((at, heading))
        if self.backwards:
            bodies = [(axle, heading + np.pi) for axle, heading in bodies]
        return bodies[::-1] if self.last_first else bodies

    def reach(self):
        """How far the first body's farthest corner is from the point that it turns about."""
        ahead, behind, left, right = self.boxes[0]
        return math.hypot(max(ahead, behind), max(left, right))

    def ring(self, poses):
        """Centres of the upper structure."""
        axle, heading = poses[0]
        return (axle + self.upper[0] * unit(heading)).T

    def side_turned_in(self, step):
        """A quarter of a side's length times what it turns in a step."""
        most = 0.0
        for _, _, poses in self.all_poses(step):
            for (_, heading), box in zip(poses, self.boxes):
                if box is not None and len(heading) > 1:
                    side = max(box[0] + box[1], box[2] + box[3])
                    most = max(most, np.abs(np.diff(heading)).max() * side / 4)
        return most

    def all_poses(self, spacing):
        """[(piece, ways, poses)] of the whole way."""
        found = []
        for index, piece in enumerate(self.pieces):
            reach = self.reach() if isinstance(piece, Spin) else 1
            s = np.linspace(0, piece.length, int(piece.length * reach / spacing) + 2)
            found.append((index, s, self.poses(index, s)))
        return found


class Lead:
    """A piece of the way of the hindmost axle, which leads in reverse: a spline through our steps,
    whose courses are given. The unit looks back against them."""

    def __init__(self, along, points, courses):
        self.length, self.from_ = along[-1] - along[0], along[0]
        self.spline = CubicHermiteSpline(along - along[0], points, courses)
        self.rate, self.second = self.spline.derivative(), self.spline.derivative(2)

    def at(self, s):
        return self.spline(s).T

    def heading(self, s):
        dx, dy = self.rate(s).T
        return np.arctan2(-dy, -dx)

    def moves(self, s):
        """How the axle moves, and the heading turns, per metre."""
        rate = self.rate(s).T
        ddx, ddy = self.second(s).T
        return rate, (rate[0] * ddy - rate[1] * ddx) / (rate * rate).sum(axis=0)


class Pushed(Motion):
    """A combination in reverse. Its hindmost axle follows the line; the hitch on each unit takes the
    unit before along, whose axle does not slip: length * turning = hitch's speed across the unit.
    With the hitch behind the axle that is stable on the way, with the hitch ahead of it against the
    way, and so it is solved, from our start or our end."""

    def __init__(self, case):
        machine, pushed = case["machine"], case["pushed"]
        self.upper = machine.get("upper")
        self.boxes = [u.get("box") for u in case["units"]]
        links = [tuple(trailer) for trailer in machine["trailers"]]
        if machine["steering"] == "hinge":
            links = [(-machine["wheelbase"], machine["hinge_to_rear"]), *links]
        self.links = links[::-1]   # from the hindmost: hitch ahead of the axle before, length
        along, piece = np.array(pushed["along"]), np.array(pushed["piece"])
        way, courses = np.array(pushed["way"]), np.array(pushed["courses"])
        self.pieces = []
        for number in np.unique(piece[1:]):
            steps = np.flatnonzero(piece[1:] == number) + 1
            steps = np.concatenate([[steps[0] - 1], steps])
            self.pieces.append(Lead(along[steps], way[steps], courses[steps]))
        self.headings = []   # of each link's unit before: a function for each piece
        for link, start, end in zip(self.links, pushed["starts"][-2::-1], pushed["ends"][-2::-1]):
            self.headings.append(self.solved(link[0], start, end))

    def hitch(self, index, s, units):
        """Where the hitch on the last of so many units is, and how it moves per metre of the lead."""
        piece = self.pieces[index]
        at, heading = piece.at(s), piece.heading(s)
        moves, turning = piece.moves(s)
        for (ahead, length), headings in zip(self.links[:units - 1], self.headings):
            at, moves = at + length * unit(heading), moves + length * turning * unit(
                heading + np.pi / 2)
            heading = headings[index](s)
            turning = (headings[index].derivative()(s) if ahead == 0 else
                       (moves * unit(heading + np.pi / 2)).sum(axis=0) / ahead)
            at, moves = at - ahead * unit(heading), moves - ahead * turning * unit(
                heading + np.pi / 2)
        length = self.links[units - 1][1]
        return at + length * unit(heading), moves + length * turning * unit(heading + np.pi / 2)

    def solved(self, ahead, start, end):
        """The headings of the unit before the units that are solved already."""
        units = len(self.headings) + 1
        found = []
        heading, order = (end, -1) if ahead > 0 else (start, 1)
        for index in list(range(len(self.pieces)))[::order]:
            length = self.pieces[index].length

            fine = np.linspace(0, length, max(8, int(length / FINE_GRID_M) + 2))
            finest = np.linspace(0, length, 4 * len(fine))
            moves = CubicSpline(finest, self.hitch(index, finest, units)[1].T)
            if ahead == 0:   # over the axle, which looks back against its way
                dx, dy = moves(finest).T
                found.append(CubicSpline(finest, np.unwrap(np.arctan2(-dy, -dx))))
                continue

            def rate(s, y, moves=moves):
                dx, dy = moves(s)
                return [(dy * math.cos(y[0]) - dx * math.sin(y[0])) / ahead]
            solved, told = odeint(rate, [heading], fine[::order], rtol=1e-10, atol=1e-11, tfirst=True,
                                  full_output=True, mxstep=5000)
            assert told["message"] == "Integration successful.", told["message"]
            slopes = np.array([rate(s, y) for s, y in zip(fine[::order], solved)])
            heading = solved[-1][0]
            found.append(CubicHermiteSpline(fine, solved[::order, 0], slopes[::order, 0]))
        return found[::order]

    def poses(self, index, s):
        piece = self.pieces[index]
        bodies = [(piece.at(s), piece.heading(s))]
        for (ahead, length), headings in zip(self.links, self.headings):
            at, heading = bodies[-1]
            before = headings[index](s)
            bodies.append((at + length * unit(heading) - ahead * unit(before), before))
        return bodies[::-1]


def corners(axle, heading, box):
    """Of every pose: an array of poses x corners x 2."""
    ahead, behind, left, right = box
    along, across = unit(heading), unit(heading + np.pi / 2)
    return np.stack([(axle + x * along + y * across).T for x, y in
                     ((ahead, left), (-behind, left), (-behind, -right), (ahead, -right))], axis=1)


def from_segment(points, a, b):
    """Distances of points (n x 2) from a segment."""
    along = b - a
    square = along @ along
    part = np.clip((points - a) @ along / square, 0, 1) if square > 0 else np.zeros(len(points))
    return np.hypot(*(points - a - part[:, None] * along).T)


def from_boxes(axle, heading, box, a, b):
    """Distances of a box from a segment in many poses; 0 where they meet."""
    ahead, behind, left, right = box
    low, high = np.array([-behind, -right]), np.array([ahead, left])
    along, across = unit(heading), unit(heading + np.pi / 2)
    a, b = [np.stack([(end[:, None] - axle)[0] * d[0] + (end[:, None] - axle)[1] * d[1]
                      for d in (along, across)], axis=1) for end in (a, b)]
    way = b - a
    square = np.maximum((way * way).sum(axis=1), 1e-300)
    least = np.minimum(*[np.hypot(*(end - np.clip(end, low, high)).T) for end in (a, b)])
    for corner in ((ahead, left), (ahead, -right), (-behind, left), (-behind, -right)):
        part = np.clip(((corner - a) * way).sum(axis=1) / square, 0, 1)
        least = np.minimum(least, np.hypot(*(corner - a - part[:, None] * way).T))
    # The part of the segment between the sides of the box and between its ends, if there is one.
    with np.errstate(divide="ignore", invalid="ignore"):
        cuts = np.stack([(low - a) / way, (high - a) / way])
        flat = way == 0
        inside = (a >= low) & (a <= high)
        enters = np.where(flat, np.where(inside, -np.inf, np.inf), cuts.min(axis=0)).max(axis=1)
        leaves = np.where(flat, np.where(inside, np.inf, -np.inf), cuts.max(axis=0)).min(axis=1)
    return np.where(np.maximum(enters, 0) <= np.minimum(leaves, 1), 0, least)


def distances(motion, poses, obstacle):
    """The least of all bodies in each pose, to find where to ask Shapely."""
    a, b = np.array(obstacle)
    found = [from_boxes(axle, heading, box, a, b)
             for (axle, heading), box in zip(poses, motion.boxes) if box is not None]
    if motion.upper:
        found.append(np.maximum(from_segment(motion.ring(poses), a, b) - motion.upper[1], 0))
    return np.min(found, axis=0)


def shapely_distance(motion, poses, obstacle):
    line = LineString(obstacle)
    found = [Polygon(corners(axle, heading, box)[0]).distance(line)
             for (axle, heading), box in zip(poses, motion.boxes) if box is not None]
    if motion.upper:
        found.append(max(Point(motion.ring(poses)[0]).distance(line) - motion.upper[1], 0))
    return min(found)


def nearest(motion, obstacle):
    """The least distance on the whole way: steps of 25 cm, then finer about each of them from which
    a nearer place can be reached."""
    coarse = [(index, s, distances(motion, poses, obstacle))
              for index, s, poses in motion.all_poses(COARSE_M)]
    best, place = min((off.min(), (index, s[off.argmin()])) for index, s, off in coarse)
    for index, s, off in coarse:
        step = s[1] - s[0]
        apart = np.abs(np.diff(off)).max() if len(off) > 1 else 0
        for middle in s[off <= best + apart]:
            for size in (step, step / 8, step / 64, step / 512):
                near = middle + np.linspace(-size, size, 17)
                near = np.clip(near, 0, motion.pieces[index].length)
                found = distances(motion, motion.poses(index, near), obstacle)
                middle = near[found.argmin()]
                if found.min() < best:
                    best, place = found.min(), (index, middle)
                if best == 0:
                    break
    index, s = place
    return shapely_distance(motion, motion.poses(index, np.array([s])), obstacle)


def covered(motion):
    """What holds the true ground between: the bodies themselves every 10 cm, and the ground of the
    hulls of each two of them."""
    bodies, hulls = [], []
    for _, _, poses in motion.all_poses(0.1):
        for (axle, heading), box in zip(poses, motion.boxes):
            if box is not None:
                found = corners(axle, heading, box)
                bodies += [Polygon(body) for body in found]
                hulls += [LineString(np.concatenate(pair)).convex_hull
                          for pair in zip(found, found[1:])]
    return bodies, unary_union(hulls)


def deepest_of(bodies, other, error):
    """How far a corner of any lies from the other; 0 where all lie within the error of it."""
    near = prep(other.buffer(error))
    return max((deepest(body, other) for body in bodies if not near.covers(body)), default=0.0)


def deepest(ground, other):
    """How far a corner of what the one has more lies from the other."""
    more = ground.difference(other)
    return max((Point(corner).distance(other) for part in getattr(more, "geoms", [more])
                if part.geom_type == "Polygon" for corner in part.exterior.coords), default=0.0)


def lengths(vectors):
    return np.hypot(vectors[..., 0], vectors[..., 1])


def from_chords(points, starts, ends):
    chords = ends - starts
    square = np.maximum((chords * chords).sum(axis=-1), 1e-300)
    part = np.clip(((points - starts) * chords).sum(axis=-1) / square, 0, 1)
    return lengths(points - starts - part[..., None] * chords)


def kind_of_way(case):
    return "reversing with a trailer" if "pushed" in case else "all others"


class Check:
    def __init__(self):
        self.kinds, self.faults = {}, []
        self.poses = self.margins = self.grounds = self.struck = 0
        self.worst = {}   # by where and what: off, share of the stated error, stated error
        self.worst_margin_m = self.worst_share = self.worst_beyond_m = 0.0
        self.vague = 0

    def fault(self, case, text):
        self.faults.append(f"{case['kind']} {case['number']}: {text}")

    def check(self, case, ground_alone):
        self.kinds[case["kind"]] = self.kinds.get(case["kind"], 0) + 1
        motion = Pushed(case) if "pushed" in case else Motion(case)
        if not self.check_guide(case, motion):
            return
        if ground_alone:
            self.check_ground(case, motion)
            return
        for i, u in enumerate(case["units"]):
            self.check_unit(case, motion, i, u)
        self.check_margin(case, motion)
        if "ground" in case:
            self.check_ground(case, motion)

    def check_guide(self, case, motion):
        if "pushed" in case:
            return self.check_pushed(case)
        length = sum(piece.length for piece in motion.pieces if not isinstance(piece, Spin))
        if abs(length - case["length_m"]) > 1e-6:
            self.fault(case, f"the guide is {case['length_m']} m, not {length}")
            return False
        return True

    def check_pushed(self, case):
        """The hindmost axle starts and ends on the line, and leaves it in its corners alone, no
        farther than a bend that uses up the straights can."""
        line = np.array(case["line"])
        poses = np.array(case["units"][-1]["poses"])[:, 3:5]
        legs = np.diff(line, axis=0)
        lengths = np.hypot(*legs.T)
        headings = np.unwrap(np.arctan2(legs[:, 1], legs[:, 0]))
        room = [min(lengths[i], lengths[i + 1]) * abs(math.sin(turn)) / 2 if abs(turn) < 1.5
                else min(lengths[i], lengths[i + 1]) for i, turn in enumerate(np.diff(headings))]
        off = np.min([from_segment(poses, a, b) for a, b in zip(line, line[1:])], axis=0)
        if np.hypot(*(poses[0] - line[0])) > 1e-9 or off.max() > max(room):
            self.fault(case, f"its last axle leaves the line by {off.max()}")
            return False
        return True

    def check_unit(self, case, motion, i, u):
        """At the steps, and halfway between two of them: there from the chord of each corner."""
        poses, nexts = np.array(u["poses"]), np.array(u["nexts"])
        numbers = poses[:, 1].astype(int) - 1
        box = u.get("box", (0, 0, 0, 0))   # a dolly has no body: its axle's middle
        for n in np.unique(numbers):
            ours, then = poses[numbers == n], nexts[numbers == n]
            length = motion.pieces[n].length
            found = [corners(*motion.poses(n, part * length)[i], box)
                     for part in (ours[:, 2], (ours[:, 2] + then[:, 2]) / 2)]
            here, there = [corners(p[:, 3:5].T, p[:, 5], box) for p in (ours, then)]
            self.poses += len(ours)
            self.hold(case, i, "at its steps", lengths(here - found[0]),
                      u["steps_error_m"] + SOLVER_M)
            self.hold(case, i, "between", from_chords(found[1], here, there),
                      u["error_m"] + SOLVER_M)

    def hold(self, case, i, where, off, stated_m):
        worst = self.worst.setdefault((where, kind_of_way(case)), [0.0, 0.0, 0.0])
        worst[:] = (max(worst[0], off.max()), max(worst[1], off.max() / stated_m),
                    max(worst[2], stated_m))
        if not off.max() <= stated_m:
            self.fault(case, f"unit {i}, {where}: off by {off.max()}, stated {stated_m}")

    def check_margin(self, case, motion):
        least = nearest(motion, case["obstacle"])
        margin, error = case["margin_m"], case["margin_error_m"]
        self.margins += 1
        if least > 0:
            off = abs(least - margin)
            self.vague += error > VAGUE_M
            self.worst_margin_m = max(self.worst_margin_m, off)
            self.worst_share = max(self.worst_share, off / (error + FINEST_M))
            if not off <= error + FINEST_M:
                self.fault(case, f"margin {margin} +- {error}, not {least}")
        else:
            self.struck += 1
            if margin > error:
                self.fault(case, f"clear by {margin}, and it strikes")

    def check_ground(self, case, motion):
        """Their bodies within ours and ours within their hulls, each but for what was stated."""
        self.grounds += 1
        ours = unary_union([Polygon(ring["outer"], ring["holes"]) for ring in case["ground"]])
        bodies, hulls = covered(motion)
        error = max(u["error_m"] for u in case["units"]) + GROUND_M
        pocket = max(COARSENESS_M, motion.side_turned_in(case["step"]))
        missing, beyond = deepest_of(bodies, ours, error), deepest(ours, hulls)
        self.worst_beyond_m = max(self.worst_beyond_m, beyond)
        if missing > error or beyond > pocket + error:
            self.fault(case, f"ground: too small by {missing} m, too large by {beyond} m; stated "
                             f"{error} and {pocket + error}")

    def tell(self):
        print(", ".join(f"{count} {kind}" for kind, count in self.kinds.items()))
        print(f"{sum(self.kinds.values())} ways, {self.poses} poses")
        for (where, what), (off, share, stated) in sorted(self.worst.items()):
            print(f"{what}, {where}: worst corner {off * 1000:.4f} mm off, at most {share:.3f} of the "
                  f"stated error, which is {stated * 1000:.2f} mm at most")
        print(f"{self.margins} margins, {self.struck} of them strikes, {self.vague} with a stated "
              f"error over {VAGUE_M * 1000:.0f} mm: worst {self.worst_margin_m * 1000:.3f} mm off, "
              f"{self.worst_share:.3f} of the stated error; {self.grounds} grounds: up to "
              f"{self.worst_beyond_m * 1000:.1f} mm too large")
        print("\n".join(self.faults[:20]))


def main():
    seed = sys.argv[2] if len(sys.argv) > 2 else "1"
    count = sys.argv[3] if len(sys.argv) > 3 else "570"
    draw = sys.argv[4:]
    lines = subprocess.run([sys.argv[1], seed, count, *draw], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    assert len(lines) == int(count), f"{len(lines)} ways instead of {count}"
    check = Check()
    for number, text in enumerate(lines):
        check.check({**json.loads(text), "number": number}, draw == ["grounds"])
    check.tell()
    few = len(check.kinds) < 21 or (check.grounds < int(count) if draw else
                                    check.struck == 0 or check.grounds == 0)
    sys.exit(bool(check.faults) or few)


main()
