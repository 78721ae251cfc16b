"""The figures of a playing surface, computed from a commission's text alone.

Nothing here is taken from the program under test: the text is read with ``tomllib`` and every figure follows from plane
geometry, from quadrature and from a general least-squares solver.
Lengths are millimetres, angles degrees where the name says so, forces newtons, pitches hertz or cents.
The x axis runs along the centreline from the nut, y across toward the highest string, z out of the board.
"""

import math
import re
import tomllib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.integrate import quad
from scipy.optimize import least_squares, minimize_scalar

INCH_MM = 25.4  # exact by the international yard and pound agreement of 1959
FLAT = math.inf

# Nominal grain diameters in micrometres: FEPA P series, ISO 6344-2 (sieved) and ISO 6344-3 (sedimented).
GRAIN_UM = {
    "P40": 425.0, "P60": 269.0, "P80": 201.0, "P100": 162.0, "P120": 125.0, "P150": 100.0, "P180": 82.0,
    "P220": 68.0, "P240": 58.5, "P320": 46.2, "P400": 35.0, "P500": 30.2, "P600": 25.8,
}

# Wood Handbook (FPL-GTR-190, 2010) equation 4-5 with its constants for degrees Celsius, lowest power first.
EMC_CELSIUS = {
    "W": (349.0, 1.29, 0.0135),
    "K": (0.805, 0.000736, -0.00000273),
    "K1": (6.27, -0.00938, -0.000303),
    "K2": (1.91, 0.0407, -0.000293),
}

SEMITONE_OF_LETTER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


# --- reading of values ---------------------------------------------------------------------------------------------


def length_mm(value):
    """A length as the commission writes it: a bare number is millimetres; `in`, `"`, `thou`, `mm`, `cm`, `m`, `flat`."""
    if isinstance(value, (int, float)):
        return float(value)
    text = value.strip()
    if text == "flat":
        return FLAT
    match = re.fullmatch(r'([0-9.,/ ]+?)\s*(mm|cm|m|in|"|thou)', text)
    if not match:
        raise ValueError(f"no length: {value!r}")
    number = sum(_fraction(part) for part in match[1].replace(",", ".").split())
    return number * {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": INCH_MM, '"': INCH_MM, "thou": INCH_MM / 1000}[match[2]]


def _fraction(text):
    over, _, under = text.partition("/")
    return float(over) / float(under) if under else float(over)


def leading_number(value):
    """The number at the front of a value such as `45 %` or `20 °C`, or the bare number itself."""
    if isinstance(value, (int, float)):
        return float(value)
    return float(re.match(r"[-+0-9.eE]+", value.strip())[0])


def unit_weight_kg_per_m(text):
    """A stated weight per length, in kilograms per metre (pound: 0.45359237 kg exactly)."""
    number = leading_number(text)
    unit = text.strip().split(None, 1)[1]
    return number * {"kg/m": 1.0, "g/m": 1e-3, "lb/in": 0.45359237 / 0.0254}[unit]


def frequency_hz(note, a4_hz=440.0):
    """Equal temperament from A4 (ISO 16:1975 for 440 Hz)."""
    match = re.fullmatch(r"([A-G])([#b]?)(-?\d+)", note)
    semitone = SEMITONE_OF_LETTER[match[1]] + {"": 0, "#": 1, "b": -1}[match[2]] + 12 * (int(match[3]) - 4)
    return a4_hz * 2.0 ** ((semitone - 9) / 12)


def moisture_percent(temperature_c, humidity_percent):
    """Equilibrium moisture content by the Wood Handbook's equation 4-5, Celsius constants."""
    powers = (1.0, temperature_c, temperature_c**2)
    w, k, k1, k2 = (sum(a * p for a, p in zip(EMC_CELSIUS[name], powers)) for name in ("W", "K", "K1", "K2"))
    kh = k * humidity_percent / 100.0
    hydrated = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800.0 / w * (kh / (1 - kh) + hydrated)


def drop(radius, y):
    """How far an arc of this radius lies below its crown at y, without cancellation: y² / (R + sqrt(R² - y²))."""
    radius, y = np.broadcast_arrays(np.asarray(radius, float), np.asarray(y, float))
    flat = np.isinf(radius)
    safe = np.where(flat, 1e9, radius)
    return np.where(flat, 0.0, y**2 / (safe + np.sqrt(safe**2 - y**2)))


def radius_of_drop(depth, half_width):
    """The radius whose arc drops by this much over this half width."""
    return FLAT if depth <= 0 else (half_width**2 + depth**2) / (2 * depth)


# --- plane geometry ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Line:
    """A line in plan that is not parallel to y: y = at0 + slope x."""

    at0: float
    slope: float

    def y(self, x):
        return self.at0 + self.slope * x

    def away(self, x, y):
        return abs(y - self.y(x)) / math.hypot(1.0, self.slope)

    def cut(self, across):
        """The point where a fret's line, x = x0 + lean y, meets this one."""
        x0, lean = across
        y = (self.at0 + self.slope * x0) / (1 - self.slope * lean)
        return x0 + lean * y, y


def through(point, other):
    slope = (other[1] - point[1]) / (other[0] - point[0])
    return Line(point[1] - slope * point[0], slope)


class Board:
    """Scale, lanes, outline and camber of one commission."""

    def __init__(self, text):
        self.record = tomllib.loads(text)
        self.scale = self.record["scale"]
        self.wood = self.record["board"]
        self.camber = self.record["camber"]
        self.fittings = self.record.get("frets", {})
        self.strings = self.record["strings"]["set"]
        self.fret_count = self.scale["frets"]
        self.crown_mm = length_mm(self.wood["crown_thickness"])
        self._lay_out_lanes()
        self._lay_out_edges()

    # Scale and lanes.

    def cents(self, fret):
        """Cents of a fret; between two frets cents are interpolated straight."""
        low = math.floor(fret)
        if low != fret:
            return self.cents(low) + (fret - low) * (self.cents(low + 1) - self.cents(low))
        tuning = self.scale.get("tuning", "12 equal")
        if isinstance(tuning, str):
            return 1200.0 * fret / int(tuning.split()[0])
        rounds, step = divmod(int(fret), len(tuning))
        return rounds * tuning[-1] + (tuning[step - 1] if step else 0.0)

    def share(self, fret):
        """The part of a string's length that lies behind this fret."""
        return 1 - 2 ** (-self.cents(fret) / 1200)

    @property
    def is_fan(self):
        return "bass" in self.scale

    def spread_y(self, spread):
        """String centres across, highest string first, for the distance of the outer ones."""
        count = len(self.strings)
        gauges = [length_mm(s["gauge"]) for s in self.strings]
        if self.record["strings"].get("spacing", "equal gaps") == "equal centres":
            steps = [spread / (count - 1)] * (count - 1)
        else:
            halves = [(a + b) / 2 for a, b in zip(gauges, gauges[1:])]
            air = (spread - sum(halves)) / (count - 1)
            steps = [air + half for half in halves]
        return [spread / 2 - sum(steps[:i]) for i in range(count)]

    def _lay_out_lanes(self):
        nut = length_mm(self.record["strings"]["nut_spread"])
        saddle = length_mm(self.record["strings"]["saddle_spread"])
        rise = (saddle - nut) / 2
        if self.is_fan:
            run_t, run_b = (math.sqrt(length_mm(self.scale[side]) ** 2 - rise**2) for side in ("treble", "bass"))
            square = self.scale.get("square_at", 7)
            p = {"nut": 0.0, "saddle": 1.0}.get(square) if isinstance(square, str) else self.share(square)
            # Both outer lanes have the same |y| at the same share, so the nut line crosses the centreline midway.
            lead = p * (run_b - run_t) / 2
            self.nut_t, self.nut_b = lead, -lead
        else:
            run_t = run_b = length_mm(self.scale["length"])
            self.nut_t = self.nut_b = 0.0
        self.outer = [((self.nut_t, nut / 2), (self.nut_t + run_t, saddle / 2)),
                      ((self.nut_b, -nut / 2), (self.nut_b + run_b, -saddle / 2))]
        self.treble_lane, self.bass_lane = (through(*ends) for ends in self.outer)
        nut_line, saddle_line = self._across(0.0), self._across(1.0)
        self.lane_ends = [((nut_line[0] + nut_line[1] * a, a), (saddle_line[0] + saddle_line[1] * b, b))
                          for a, b in zip(self.spread_y(nut), self.spread_y(saddle))]
        self.lanes = [through(*ends) for ends in self.lane_ends]
        self.frets = [self._across(self.share(fret)) for fret in range(self.fret_count + 1)]
        self.last_x = self.frets[-1][0]

    def _across(self, p):
        """The line through both outer lanes' points at share p, as x where y = 0, and x per y."""
        (tx, ty), (bx, by) = ((a[0] + p * (b[0] - a[0]), a[1] + p * (b[1] - a[1])) for a, b in self.outer)
        lean = (tx - bx) / (ty - by)
        return tx - lean * ty, lean

    def lane_length_mm(self, index):
        """What sounds when the string is open: the scale length, or a fan's length along the lane."""
        if not self.is_fan:
            return length_mm(self.scale["length"])
        (ax, ay), (bx, by) = self.lane_ends[index]
        return math.hypot(bx - ax, by - ay)

    @cached_property
    def lanes_apex_x(self):
        """Where the outer lanes meet, or None when they never do."""
        gain = self.treble_lane.slope - self.bass_lane.slope
        return None if gain == 0 else -(self.treble_lane.at0 - self.bass_lane.at0) / gain

    # Outline.

    def _lay_out_edges(self):
        self.end_x = self.last_x + length_mm(self.wood.get("overhang", 0.0))
        if "margin" in self.wood:
            margin = length_mm(self.wood["margin"])
            self.treble_edge = Line(self.treble_lane.at0 + margin, self.treble_lane.slope)
            self.bass_edge = Line(self.bass_lane.at0 - margin, self.bass_lane.slope)
        else:
            nut, end = length_mm(self.wood["nut_width"]), length_mm(self.wood["end_width"])
            self.treble_edge = Line(nut / 2, (end - nut) / 2 / self.end_x)
            self.bass_edge = Line(-nut / 2, -(end - nut) / 2 / self.end_x)
        self.end_line = (self.end_x, self.frets[-1][1])
        corners = [edge.cut(line) for line in (self.frets[0], self.end_line) for edge in (self.treble_edge, self.bass_edge)]
        self.outline = [corners[0], corners[2], corners[3], corners[1]]
        self.min_x = min(x for x, _ in corners)
        self.max_x = max(x for x, _ in corners)

    def width(self, x):
        return self.treble_edge.y(x) - self.bass_edge.y(x)

    def half_width(self, x):
        """From the centreline to the further edge."""
        return np.maximum(np.abs(self.treble_edge.y(x)), np.abs(self.bass_edge.y(x)))

    def y_range(self, x):
        """Least and greatest y of the outline at each x, by cutting its four sides with a line across."""
        x = np.asarray(x, float)
        low, high = np.full(x.shape, np.inf), np.full(x.shape, -np.inf)
        for (ax, ay), (bx, by) in zip(self.outline, self.outline[1:] + self.outline[:1]):
            if ax == bx:
                continue
            t = (x - ax) / (bx - ax)
            y = np.where((t >= -1e-12) & (t <= 1 + 1e-12), ay + t * (by - ay), np.nan)
            low, high = np.fmin(low, y), np.fmax(high, y)
        for (ax, ay), (bx, by) in zip(self.outline, self.outline[1:] + self.outline[:1]):
            if ax == bx:  # A square end: the whole side is met at once.
                here = x == ax
                low = np.where(here, np.minimum(low, min(ay, by)), low)
                high = np.where(here, np.maximum(high, max(ay, by)), high)
        return low, high

    # Camber.

    @cached_property
    def radius_knots(self):
        """(x, R) of a law that is linear between; the slopes outside follow from `runs_on`."""
        law = self.camber["law"]
        if law == "single":
            return [(0.0, length_mm(self.camber["radius"]))]
        if law == "cone":
            return [(0.0, length_mm(self.camber["nut"])), (self.last_x, length_mm(self.camber["last_fret"]))]
        if law == "string cone":
            nut, apex = length_mm(self.camber["nut"]), self.lanes_apex_x
            if apex is None:
                return [(0.0, nut)]
            return [(0.0, nut), (self.last_x, nut * (self.last_x - apex) / (0.0 - apex))]
        return [(self.frets[s["fret"]][0], length_mm(s["radius"])) for s in self.camber["at"]]

    def radius(self, x):
        """R at x; infinite where flat."""
        x = np.asarray(x, float)
        knots = self.radius_knots
        if len(knots) == 1:
            return np.full(x.shape, knots[0][1])
        xs, rs = np.array([k[0] for k in knots]), np.array([k[1] for k in knots])
        value = np.interp(x, xs, rs)
        stations = self.camber["law"] == "stations"
        if not stations:
            value = np.where(x < xs[0], rs[0] + (x - xs[0]) * (rs[1] - rs[0]) / (xs[1] - xs[0]), value)
        if not stations or self.camber["at"][-1]["fret"] == self.fret_count:
            beyond = rs[-1] + (x - xs[-1]) * (rs[-1] - rs[-2]) / (xs[-1] - xs[-2])
            value = np.where(x > xs[-1], beyond, value)
        return value

    def fall(self, x):
        """How far the planned fall-away has gone at x."""
        x = np.asarray(x, float)
        if "fall_away" not in self.camber:
            return np.zeros(x.shape)
        start = self.frets[self.camber["fall_away"]["from_fret"]][0]
        depth = length_mm(self.camber["fall_away"]["depth"])
        return depth * np.maximum(0.0, (x - start) / (self.end_x - start))

    def surface(self, x, y):
        return -self.fall(x) - drop(self.radius(x), y)

    @cached_property
    def breaks(self):
        """Every x inside the outline where the surface or the outline may bend."""
        xs = {x for x, _ in self.outline} | {x for x, _ in self.radius_knots}
        if "fall_away" in self.camber:
            xs.add(self.frets[self.camber["fall_away"]["from_fret"]][0])
        return sorted(x for x in xs if self.min_x <= x <= self.max_x)

    # Quadrature and extremes over the outline.

    def integrate(self, height, more_breaks=()):
        """∫∫ height(x, y, middle) over the outline: Gauss-Legendre, x by pieces, then y.

        `middle` is the middle of the piece of x, so that a stepped function can tell on which side of its step it stands.
        """
        nodes, weights = np.polynomial.legendre.leggauss(28)
        total = 0.0
        for a, b in self.pieces(more_breaks):
            x = (a + b) / 2 + (b - a) / 2 * nodes
            low, high = self.y_range(x)
            y = (low + high) / 2 + np.outer(nodes, (high - low) / 2)
            inner = (weights[:, None] * height(x[None, :], y, (a + b) / 2)).sum(axis=0) * (high - low) / 2
            total += float((weights * inner).sum() * (b - a) / 2)
        return total

    def greatest(self, height, more_breaks=()):
        """The greatest height over the outline of a function that grows with |y|, with each step taken from both sides."""
        best = 0.0
        for a, b in self.pieces(more_breaks):
            middle = (a + b) / 2

            def at_rim(x):
                low, high = self.y_range(x)
                return height(x, np.maximum(np.abs(low), np.abs(high)), middle)

            x = np.linspace(a, b, 401)
            values = at_rim(x)
            top = int(np.argmax(values))
            best = max(best, float(values[top]))
            span = (x[max(top - 1, 0)], x[min(top + 1, 400)])
            found = minimize_scalar(lambda t: -float(at_rim(np.array([t]))[0]), bounds=span, method="bounded",
                                    options={"xatol": 1e-9})
            best = max(best, -found.fun)
        return best

    def least_along_edges(self, height, more_breaks=()):
        """The least height along both edges, corner to corner, of a function of (x, y, middle) as in `integrate`."""
        best = math.inf
        for edge, (start, end) in ((self.treble_edge, self.outline[:2]), (self.bass_edge, (self.outline[3], self.outline[2]))):
            for a, b in self.pieces([*more_breaks, start[0], end[0]]):
                if a < start[0] - 1e-9 or b > end[0] + 1e-9:
                    continue
                middle = (a + b) / 2

                def at(x):
                    return height(np.asarray(x), edge.y(np.asarray(x)), middle)

                x = np.linspace(a, b, 201)
                low = int(np.argmin(at(x)))
                found = minimize_scalar(lambda t: float(at(t)), bounds=(x[max(low - 1, 0)], x[min(low + 1, 200)]),
                                        method="bounded", options={"xatol": 1e-9})
                best = min(best, float(at(x[low])), found.fun)
        return best

    @property
    def ledge_mm(self):
        """Height of the board's own edge that is left under its binding; nothing when the binding is only a width."""
        binding = self.wood.get("binding", 0.0)
        return length_mm(binding.get("ledge", 0.0)) if isinstance(binding, dict) else 0.0

    def pieces(self, more_breaks=()):
        xs = sorted(set(self.breaks) | {x for x in more_breaks if self.min_x < x < self.max_x})
        return [(a, b) for a, b in zip(xs, xs[1:]) if b - a > 1e-9]

    @cached_property
    def area(self):
        return self.integrate(lambda x, y, _: np.ones_like(y))

    def volume_by_sections(self):
        """The wood above the camber from closed-form section areas, ∫ (2aR - a sqrt(R² - a²) - R² asin(a/R)) dx.

        For boards with square ends, symmetric edges and no fall-away: a second way to the volume, by scipy's adaptive rule.
        """

        def area(x):
            a, r = float(self.half_width(x)), float(self.radius(x))
            return 2 * a * r - a * math.sqrt(r * r - a * a) - r * r * math.asin(a / r)

        return sum(quad(area, a, b, epsabs=1e-9, epsrel=1e-11)[0] for a, b in self.pieces())

    def bends_under(self, fret):
        """Whether a fret's line crosses the start of the fall-away inside the outline."""
        if "fall_away" not in self.camber:
            return False
        start = self.frets[self.camber["fall_away"]["from_fret"]][0]
        (bx, _), (tx, _) = self.fret_ends(fret)
        return min(bx, tx) < start < max(bx, tx)

    # The sheet's figures.

    def humps(self, with_fall=True):
        """Greatest height, with its sign, of the surface over its chord from nut line to last fret, lane by lane."""
        return [self._hump(lane, with_fall) for lane in self.lanes]

    def _hump(self, lane, with_fall):
        a, b = lane.cut(self.frets[0])[0], lane.cut(self.frets[-1])[0]

        def z(x):
            return -drop(self.radius(x), lane.y(x)) - (self.fall(x) if with_fall else 0.0)

        za, zb = float(z(a)), float(z(b))

        def over(x):
            return z(x) - (za + (zb - za) * (np.asarray(x) - a) / (b - a))

        inside = sorted({a, b} | {x for x in self.breaks if a < x < b})
        best = 0.0
        for left, right in zip(inside, inside[1:]):
            x = np.linspace(left, right, 801)
            for sign in (1, -1):
                top = int(np.argmax(sign * over(x)))
                found = minimize_scalar(lambda t: -sign * float(over(t)), method="bounded",
                                        bounds=(x[max(top - 1, 0)], x[min(top + 1, 800)]), options={"xatol": 1e-9})
                for value in (float(over(x[top])), float(over(found.x))):
                    best = value if abs(value) > abs(best) else best
        return best

    def fret_ends(self, fret):
        """Where a fret's line meets the bass edge and the treble edge."""
        return self.bass_edge.cut(self.frets[fret]), self.treble_edge.cut(self.frets[fret])

    def _fret_pieces(self, fret):
        """The stretches of y along a fret's line between the places where the surface kinks."""
        (bx, by), (tx, ty) = self.fret_ends(fret)
        x0, lean = self.frets[fret]
        kinks = [(x - x0) / lean for x in self.breaks if lean]
        ys = sorted({by, ty} | {y for y in kinks if by < y < ty})
        return list(zip(ys, ys[1:]))

    def arc_length(self, fret):
        """Length of the surface along the fret, edge to edge, by summing 16,000 chords."""
        x0, lean = self.frets[fret]
        total = 0.0
        for a, b in self._fret_pieces(fret):
            y = np.linspace(a, b, 16001)
            s, z = y * math.hypot(1.0, lean), self.surface(x0 + lean * y, y)
            total += float(np.hypot(np.diff(s), np.diff(z)).sum())
        return total

    def arc_radius(self, fret):
        """Radius of the best circle, least squares of radial distances, through the whole of the fret's section.

        The sum of squares is the integral along the fret, taken by Gauss-Legendre weights on each smooth piece.
        """
        x0, lean = self.frets[fret]
        r = float(self.radius(x0))
        if lean == 0 or math.isinf(r):
            return r
        pieces = self._fret_pieces(fret)
        nodes, weights = np.polynomial.legendre.leggauss(40)
        y = np.concatenate([(a + b) / 2 + (b - a) / 2 * nodes for a, b in pieces])
        w = np.concatenate([(b - a) / 2 * weights for a, b in pieces])
        return fit_circle(y * math.hypot(1.0, lean), self.surface(x0 + lean * y, y), np.sqrt(w), r * (1 + lean**2))

    def gauge_for(self, gauges, x):
        """Nearest owned gauge, the light a right surface shows under it, and the radii that show none."""
        r, a = float(self.radius(x)), float(self.half_width(x))
        # Under a flat section every finite gauge is infinitely far; the flattest of them errs least.
        nearest = max(gauges) if math.isinf(r) else min(gauges, key=lambda g: abs(g - r))
        return nearest, float(drop(r, a) - drop(nearest, a)), a


def fit_circle(s, z, root_weight, start_radius):
    """Geometric circle fit by a general least-squares solver, in curvature form so that flat arcs stay well scaled."""
    u = s - (s[0] + s[-1]) / 2

    def residual(parameters):
        top, aside, curvature = parameters
        r = 1.0 / curvature
        return root_weight * (np.hypot(u - aside, z - (top - r)) - r)

    start = np.array([float(z.max()), 0.0, 1.0 / start_radius])
    fitted = least_squares(residual, start, x_scale=[1e-2, 1.0, start[2] * 1e-2], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return float(1.0 / fitted.x[2])


# --- the bench plan ------------------------------------------------------------------------------------------------


def zones(board, radius):
    """Stretches of x inside the outline where R(x) <= radius: what a block of that radius may work."""
    if math.isinf(radius):
        return []
    xs = sorted(set(board.breaks) | {board.min_x, board.max_x})
    found = []
    for a, b in zip(xs, xs[1:]):
        if b - a <= 1e-9:
            continue
        # R is linear on each piece, so two values inside tell it to both ends.
        one, two = a + (b - a) / 4, a + 3 * (b - a) / 4
        r1, r2 = float(board.radius(one)), float(board.radius(two))
        if math.isinf(r1) or math.isinf(r2):
            continue
        slope = (r2 - r1) / (two - one)
        ra, rb = r1 + slope * (a - one), r1 + slope * (b - one)
        if max(ra, rb) <= radius * (1 + 1e-14):
            found.append((a, b))
        elif min(ra, rb) < radius:
            x = one + (radius - r1) / slope
            found.append((a, x) if ra < rb else (x, b))
    # A zone that is a single point, where R only touches the block's radius, gives no work.
    return [span for span in _joined(found) if span[1] - span[0] > 1e-6]


def _joined(spans):
    out = []
    for a, b in spans:
        if out and abs(out[-1][1] - a) < 1e-9:
            out[-1] = (out[-1][0], b)
        else:
            out.append((a, b))
    return out


def _same(one, other):
    return len(one) == len(other) and all(abs(p[0] - q[0]) < 1e-9 and abs(p[1] - q[1]) < 1e-9 for p, q in zip(one, other))


def used_blocks(board, owned):
    """(radius, zones) of the blocks that take part, flattest first; `owned` lists (radius, length).

    A zone with both ends inside the board must hold the whole block, for neither end of the block may pass its zone's end;
    at the board's own ends a block may hang off.
    """
    longest = {}
    for radius, length in owned:
        longest[radius] = max(length, longest.get(radius, 0.0))
    with_zone = [(r, [s for s in zones(board, r) if _holds(board, s, longest[r])]) for r in sorted(longest, reverse=True)]
    with_zone = [(r, z) for r, z in with_zone if z]
    return [(r, z) for i, (r, z) in enumerate(with_zone) if not any(_same(z, tighter) for _, tighter in with_zone[i + 1:])]


LEAST_ZONE_MM = 1.0  # a shorter zone, measured on the centreline, is no place for a block (fixed by the project)


def _holds(board, span, length):
    if min(span[1], board.end_x) - max(span[0], 0.0) < LEAST_ZONE_MM:
        return False
    open_end = span[0] <= board.min_x + 1e-9 or span[1] >= board.max_x - 1e-9
    return open_end or span[1] - span[0] >= length


def left_by(board, blocks, with_fall):
    """What stands above the camber after these blocks, as a function for `integrate` and `greatest`, and its steps."""

    def height(x, y, middle):
        holding = [r for r, spans in blocks if any(a <= middle <= b for a, b in spans)]
        e = drop(board.radius(x), y) - (drop(min(holding), y) if holding else 0.0)
        return e + board.fall(x) if with_fall else e

    return height, [x for _, spans in blocks for span in spans for x in span]


def left_figures(board, blocks, with_fall):
    """(greatest height, volume) above the camber after these blocks."""
    height, steps = left_by(board, blocks, with_fall)
    return board.greatest(height, steps), board.integrate(height, steps)
