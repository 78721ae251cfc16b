"""Reading a readings file and saying what each line states, by docs/formats/readings.md and docs/computations/readings-kinds.md.

Reads only well-made text, as the generator writes it; bad text is the business of `readings_hostile.py`.
"""

import csv
import io
import math
import re
from dataclasses import dataclass, field

import numpy as np

import figures as fig

UNIT_MM = {"mm": 1.0, "cm": 10.0, "in": fig.INCH_MM, '"': fig.INCH_MM, "thou": fig.INCH_MM / 1000, "µm": 1e-3, "um": 1e-3}
STEP_KEYS = {"height": ("probe_step", 0.01), "light": ("smallest_light", 0.02), "gap": ("feeler_step", 0.01),
             "rock": ("feeler_step", 0.01), "thickness": ("caliper_step", 0.02), "chalk": ("chalk_layer", 0.02)}
BEAM_STATIONS = 25
HAIR_MM = 1e-9  # what rounding may add at an edge
NEAR_MM = 2.0  # nearer than this to a patch, nothing can hold a tool up over it


class NothingHolds(Exception):
    """A patch under the beam with no wood on one side of it to hold the beam up."""


@dataclass
class Statement:
    """A sum of heights that was found to be a value, or to lie in a window."""

    line: int
    kind: str
    spots: list
    sigma: float
    value: float = None
    low: float = -math.inf
    high: float = math.inf
    set_up: str = None

    @property
    def is_window(self):
        return self.value is None


@dataclass
class Line:
    """One line of the file: its number and its cells."""

    number: int
    cells: dict
    units: dict = field(repr=False)

    def text(self, key):
        return self.cells.get(key, "").strip()

    def mm(self, key, text=None, unit_of=None):
        return quantity(self.text(key) if text is None else text, self.units.get(unit_of or key, "mm"))


def quantity(text, unit="mm"):
    match = re.fullmatch(r'(-?[0-9.,]+)\s*([a-zµ"]*)', text.strip())
    return float(match[1].replace(",", ".")) * UNIT_MM[match[2] or unit]


def read_lines(text):
    """Every line with its cells; the separator is what the head holds most of."""
    rows = [row for row in text.lstrip("\ufeff").splitlines()]
    at = next(i for i, row in enumerate(rows) if row.strip() and not row.startswith("#"))
    separator = max(",;\t", key=rows[at].count)
    head, units = [], {}
    for name in next(csv.reader([rows[at]], delimiter=separator)):
        match = re.fullmatch(r"\s*([A-Za-z_]+?)\s*(?:[\[(/]\s*([^\])]+?)\s*[\])]?)?\s*", name)
        head.append(match[1].lower())
        if match[2]:
            units[match[1].lower()] = match[2]
    lines = []
    for number, row in enumerate(rows[at + 1:], start=at + 2):
        if row.strip() and not row.startswith("#"):
            cells = next(csv.reader(io.StringIO(row), delimiter=separator))
            lines.append(Line(number, dict(zip(head, cells)), units))
    if head[:3] == ["x", "y", "z"]:
        lines = [Line(line.number, {"kind": "height", "at": line.cells["x"] + units.get("x", "mm"),
                                    "across": line.cells["y"] + units.get("y", "mm"),
                                    "value": line.cells["z"] + units.get("z", "mm")}, {}) for line in lines]
    return lines


class Reader:
    """What the lines of a visit state, on one board and with one kit."""

    def __init__(self, board, kit):
        self.board, self.kit = board, kit
        self.smallest_light = fig.length_mm(kit.get("smallest_light", 0.02))
        self.least_feeler = fig.length_mm(kit.get("least_feeler", 0.03))

    # Places.

    def _cross_line(self, text):
        text = text.strip().lower()
        if text == "nut":
            return self.board.frets[0]
        if text == "end":
            return self.board.end_line
        if text == "last fret":
            return self.board.frets[-1]
        match = re.fullmatch(r"f(?:ret)?\s*(\d+)", text)
        return self.board.frets[int(match[1])] if match else None

    def spot(self, along, across, line):
        """The place where a line across meets a line along."""
        across, edge = across.strip().lower(), None
        lane = re.fullmatch(r"(?:lane|l|string)\s*(\d+)", across)
        if lane:
            edge = self.board.lanes[int(lane[1]) - 1]
        elif across in ("treble edge", "bass edge"):
            edge = self.board.treble_edge if across[0] == "t" else self.board.bass_edge
        else:
            edge = fig.Line(0.0 if across == "centre" else line.mm("across", across), 0.0)
        cross = self._cross_line(along)
        if cross is not None:
            return edge.cut(cross)
        x = line.mm("at", along)
        return x, edge.y(x)

    def station(self, line):
        cross = self._cross_line(line.text("at"))
        return cross[0] if cross is not None else line.mm("at")

    # Statements.

    def sigma(self, line):
        if line.text("resolution"):
            text = line.text("resolution")
            unit = "resolution" if "resolution" in line.units else "value"
            return line.mm("resolution", text, unit) / 2
        kind = line.text("kind").lower()
        if kind == "sagitta":
            return self._dial_step(line.mm("tool")) / 2
        key, usual = STEP_KEYS[kind]
        return fig.length_mm(self.kit.get(key, usual)) / 2

    def _dial_step(self, chord):
        dial = min(self.kit["dials"], key=lambda d: abs(fig.length_mm(d["chord"]) - chord))
        return fig.length_mm(dial.get("resolution", 0.01))

    def chord(self, line):
        return min((fig.length_mm(d["chord"]) for d in self.kit["dials"]), key=lambda c: abs(c - line.mm("tool")))

    def tool_radius(self, line, owned):
        """The kit's own radius; `flat` is no curvature."""
        if line.text("tool") == "flat":
            return fig.FLAT
        return min((r for r in owned if math.isfinite(r)), key=lambda r: abs(r - line.mm("tool")))

    def state(self, line, heights):
        """What a line states; `heights(x, y)` is the wood thought likeliest, on which chalk is laid."""
        kind = line.text("kind").lower()
        return getattr(self, "_" + kind)(line, heights)

    def _height(self, line, _):
        spot = self.spot(line.text("at"), line.text("across"), line)
        return Statement(line.number, "height", [(*spot, 1.0)], self.sigma(line), line.mm("value"),
                         set_up=line.text("set_up") or "1")

    def _thickness(self, line, _):
        spot = self.spot(line.text("at"), line.text("across"), line)
        return Statement(line.number, "thickness", [(*spot, 1.0)], self.sigma(line), line.mm("value") - self.board.crown_mm)

    def _sagitta(self, line, _):
        x, half = self.station(line), self.chord(line) / 2
        return Statement(line.number, "sagitta", rise(x, half), self.sigma(line), line.mm("value"))

    def _light(self, line, _):
        x, sigma, shows = self.station(line), self.sigma(line), line.text("shows").lower()
        half = reach(self.board, x)
        gauge = self.tool_radius(line, [fig.length_mm(g) for g in self.kit.get("gauges", [])])
        own, least = float(fig.drop(gauge, half)), self.smallest_light
        light = line.mm("value") if line.text("value") else None
        made = Statement(line.number, "light", rise(x, half), sigma)
        if shows == "none":
            made.low, made.high = own - least, own + least
        elif shows in ("treble edge", "bass edge"):
            level, made.sigma = tipped(light, least, sigma)
            made.value = own + level
        elif light is None:
            made.low, made.high = (own + least, math.inf) if shows == "edges" else (-math.inf, own - least)
        else:
            made.value = own + light if shows == "edges" else own - light
        return made

    def _straightedge(self, line):
        ends = [line.text("from") or "nut", line.text("to") or "last fret", line.text("at")]
        (x1, y1), (x2, y2), (x3, y3) = (self.spot(end, line.text("across"), line) for end in ends)
        return chord_over((x1, y1), (x2, y2), (x3, y3))

    def _gap(self, line, _):
        made = Statement(line.number, "gap", self._straightedge(line), self.sigma(line))
        if line.text("shows").lower() == "none":
            made.low, made.high = -self.least_feeler, self.least_feeler
        else:
            made.value = line.mm("value")
        return made

    def _rock(self, line, _):
        spots = [(x, y, -factor) for x, y, factor in self._straightedge(line)]
        return Statement(line.number, "rock", spots, self.sigma(line), low=line.mm("value"))

    def _chalk(self, line, heights):
        x, y = self.spot(line.text("at"), line.text("across"), line)
        sigma = self.sigma(line)
        layer = 2 * sigma
        if line.text("tool") == "beam":
            spots, lift = self._under_beam(x, y, heights), 0.0
        else:
            owned = [fig.length_mm(b["radius"]) for b in self.kit.get("blocks", [])]
            owned += [fig.length_mm(g) for g in self.kit.get("gauges", [])]
            spots, lift = self._under_block(x, y, self.tool_radius(line, owned), heights)
        made = Statement(line.number, "chalk", spots, sigma)
        if line.text("shows").lower() == "gone":
            made.high = layer - lift
        else:
            made.low = layer - lift
        return made

    def _under_block(self, x, y, radius, heights):
        """The sum of heights, and what the drops add to it to make the distance over the patch."""
        half = reach(self.board, x)
        at_edge, at_patch = float(fig.drop(radius, half)), float(fig.drop(radius, y))
        crown, treble, bass = heights([x, x, x], [0.0, half, -half])
        edges = (treble + bass) / 2 + at_edge
        by_edge = min(float(self.board.treble_edge.y(x)) - y, y - float(self.board.bass_edge.y(x))) <= NEAR_MM
        on_crown = True if by_edge else False if abs(y) <= NEAR_MM else crown >= edges - HAIR_MM
        if on_crown:
            return [(x, 0.0, 1.0), (x, y, -1.0)], -at_patch
        return [(x, half, 0.5), (x, -half, 0.5), (x, y, -1.0)], at_edge - at_patch

    def _apex(self):
        knots = self.board.radius_knots
        if self.board.camber["law"] == "stations" or len(knots) == 1 or knots[0][1] == knots[1][1]:
            return None
        (x1, r1), (x2, r2) = knots
        return x1 - r1 * (x2 - x1) / (r2 - r1)

    def _under_beam(self, x, y, heights):
        apex = self._apex()
        board = self.board
        stations = board.min_x + (board.max_x - board.min_x) * np.arange(BEAM_STATIONS) / (BEAM_STATIONS - 1)
        ruling = np.full(BEAM_STATIONS, y) if apex is None else y * (stations - apex) / (x - apex)
        (nut, nut_lean), (end, end_lean) = board.frets[0], board.end_line
        on = (ruling <= board.treble_edge.y(stations) + HAIR_MM) & (ruling >= board.bass_edge.y(stations) - HAIR_MM)
        on &= (stations >= nut + nut_lean * ruling - HAIR_MM) & (stations <= end + end_lean * ruling + HAIR_MM)
        stations, ruling = stations[on], ruling[on]
        z, best = heights(stations, ruling), None
        # Of pairs that pass alike but for a hair, the first from the nut and the widest from there.
        for i in range(len(z)):
            for j in reversed(range(len(z))):
                if stations[i] < x - NEAR_MM and stations[j] > x + NEAR_MM:
                    over = z[i] + (z[j] - z[i]) * (x - stations[i]) / (stations[j] - stations[i])
                    if best is None or over > best[0] + HAIR_MM:
                        best = (over, i, j)
        if best is None:
            raise NothingHolds
        i, j = best[1:]
        return chord_over((stations[i], ruling[i]), (stations[j], ruling[j]), (x, y))


def reach(board, x):
    """How far a gauge laid square across touches on both sides of the centreline: to the nearer edge."""
    return float(min(board.treble_edge.y(x), -board.bass_edge.y(x)))


def square_span(board):
    """Between these places a gauge laid square across has wood under it from edge to edge, however the ends slant."""
    nut, end = ([edge.cut(line)[0] for edge in (board.treble_edge, board.bass_edge)] for line in (board.frets[0], board.end_line))
    return max(nut), min(end)


def rise(x, half):
    """The crown over the mean of two spots at this distance from it."""
    return [(x, 0.0, 1.0), (x, half, -0.5), (x, -half, -0.5)]


def chord_over(one, two, patch):
    """How far the chord between two spots passes over a third."""
    (x1, y1), (x2, y2), (x3, y3) = one, two, patch
    share = ((x3 - x1) * (x2 - x1) + (y3 - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
    return [(x1, y1, 1 - share), (x2, y2, share), (x3, y3, -1.0)]


def tipped(light, least, sigma):
    """Level light and its uncertainty of a gauge that shows light at one edge only.

    The unseen root ε is even between 0 and the root of the least light; its moments are taken by Gauss-Legendre quadrature,
    which is exact for these polynomials, instead of by the page's closed forms.
    """
    nodes, weights = np.polynomial.legendre.leggauss(8)
    root, unseen = math.sqrt(light), math.sqrt(least) * (nodes + 1) / 2
    level = ((root + unseen) / 2) ** 2
    mean = float((weights / 2 * level).sum())
    variance = float((weights / 2 * (level - mean) ** 2).sum())
    # dμ/dg as the mean of ∂/∂g ((s + ε)/2)² = (s + ε)/(4 s).
    slope = float((weights / 2 * (root + unseen) / (4 * root)).sum())
    return mean, math.sqrt(variance + (slope * sigma) ** 2)


def rounded_spots(spots):
    """Spots as a table from place to factor, so that the order does not count."""
    table = {}
    for x, y, factor in spots:
        table[(round(x, 6), round(y, 6))] = table.get((round(x, 6), round(y, 6)), 0.0) + factor
    return {place: factor for place, factor in table.items() if abs(factor) > 1e-12}
