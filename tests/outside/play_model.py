"""How an instrument plays, computed from the commission's text by docs/computations/buzz.md, strings.md and bends.md.

Strings, lanes and frets count from 0 here, fret 0 being the nut. Heights are millimetres over a lane's datum unless a name
says otherwise; forces are newtons, pulls too.
"""

import math
import re
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

import figures as fig

STEEL_N_PER_MM2 = 207_000.0
WOUND = ("nickel wound", "phosphor bronze wound", "80/20 bronze wound")
NYLON_KAPPA = 51.2  # the mean of twelve measured strings, as the page on strings says
CHOKE_STEP_MM = 0.5  # the page's own step; a choke is looked for between steps
FARTHEST_CENTS = 600.0  # or the wished ones when those are more


class PlayBoard(fig.Board):
    """The board, also with a single string, which runs on the centreline."""

    def spread_y(self, spread):
        return [0.0] if len(self.strings) == 1 else super().spread_y(spread)

    def _lay_out_edges(self):
        if len(self.strings) == 1:  # A margin is counted from the one string.
            self.treble_lane = self.bass_lane = self.lanes[0]
        super()._lay_out_edges()

    def _across(self, p):
        if self.is_fan:
            return super()._across(p)
        return p * fig.length_mm(self.scale["length"]), 0.0


def force_n(value):
    match = re.fullmatch(r"([-+0-9.eE]+) (N|gf)", value.strip())
    return float(match[1]) * {"N": 1.0, "gf": 9.80665e-3}[match[2]]


@dataclass
class String:
    """One string at pitch."""

    frequency_hz: float
    open_mm: float
    pull_n: float | None
    kappa: float | None
    bending_radius_mm: float | None
    tuned_at: int
    kappa_share: float = 0.0

    @property
    def stiffness_n(self):
        return None if self.kappa is None or self.pull_n is None else self.kappa * self.pull_n


def core_mm(record, gauge):
    return fig.length_mm(record["core"]) if "core" in record else 0.413 * gauge**0.45


def drawn_kappa(board, record, open_mm, frequency):
    """κ from a drawn string: weighted straight line by numpy's least squares."""
    rows = record["drawn"]["readings"]
    drawn = np.array([fig.length_mm(row["length"]) for row in rows])
    hertz = np.array([float(row["hertz"]) for row in rows])
    spread = np.array([float(row["spread"]) for row in rows]) if all("spread" in row for row in rows) else np.ones(len(rows))
    table = np.stack([np.ones_like(drawn), drawn], axis=1) / spread[:, None]
    slope = np.linalg.lstsq(table, hertz / spread, rcond=None)[0][1]
    distance = open_mm * (1 - board.share(record["drawn"].get("mark_at_fret", 1)))
    return 2 * distance / frequency * slope + 1


class Play:
    """Everything that follows from a commission and from its unit weights, which the sheet prints."""

    def __init__(self, text, unit_weights):
        self.board = board = PlayBoard(text)
        self.record = board.record
        self.wish = self.record.get("wish", {})
        self.frets, self.lanes = board.fret_count, len(board.strings)
        self.far = min(12, self.frets)
        self.crown_height = fig.length_mm(board.fittings.get("crown_height", 1.2))
        self._read_wish()
        self.strings = [self._string(i, weight) for i, weight in enumerate(unit_weights)]
        self._lay_out()
        self.departure = np.zeros((self.lanes, self.frets + 1))
        self._bow()

    def _read_wish(self):
        wish, m = self.wish, self.lanes
        action = wish.get("action_at_12", {"treble": 1.6, "bass": 2.0})
        treble, bass = fig.length_mm(action["treble"]), fig.length_mm(action["bass"])
        self.action_far = np.array([treble + (bass - treble) * (i / (m - 1) if m > 1 else 0.0) for i in range(m)])
        self.action_near = fig.length_mm(wish.get("action_at_1", 0.4))
        self.relief = fig.length_mm(wish.get("relief", 0.15))
        self.pluck_n = force_n(wish.get("pluck_force", "0.7 N"))
        self.light_n = force_n(wish["light_force"]) if "light_force" in wish else self.pluck_n / 2
        self.hard_n = force_n(wish["hard_force"]) if "hard_force" in wish else self.pluck_n * 2
        self.pluck_at = fig.length_mm(wish.get("pluck_from_saddle", 110.0))
        self.margin = fig.length_mm(wish.get("margin", 0.02))
        self.bend_cents = float(wish.get("bend", 200))

    def _string(self, index, weight):
        record, board = board_string(self.board, index), self.board
        gauge, make = fig.length_mm(record["gauge"]), record.get("make", "plain steel")
        open_mm = board.lane_length_mm(index)
        frequency = fig.frequency_hz(record["note"], float(board.scale.get("a4", 440.0)))
        pull = None if weight is None else weight * (2 * open_mm / 1000 * frequency) ** 2
        wound = make in WOUND
        core = core_mm(record, gauge) if wound else gauge
        if "drawn" in record:
            kappa = drawn_kappa(board, record, open_mm, frequency)
        elif make == "nylon":
            kappa = NYLON_KAPPA
        elif make == "plain steel" or wound:
            kappa = None if pull is None else STEEL_N_PER_MM2 * math.pi * core**2 / 4 / pull
        else:
            kappa = None
        return String(frequency, open_mm, pull, kappa, core / 2, record.get("tuned_at", 0))

    def _lay_out(self):
        board, m, n = self.board, self.lanes, self.frets
        places = np.array([[lane.cut(line) for line in board.frets] for lane in board.lanes])
        self.x, self.y = places[:, :, 0], places[:, :, 1]
        self.nut_point = np.array([ends[0] for ends in board.lane_ends])
        self.saddle_point = np.array([ends[1] for ends in board.lane_ends])
        self.length = np.hypot(*(self.saddle_point - self.nut_point).T)
        self.a = np.hypot(self.x - self.nut_point[:, :1], self.y - self.nut_point[:, 1:])
        arch = self.crown_height - fig.drop(board.radius(self.x), self.y)
        self.planned = arch - board.fall(self.x)
        self.d0, self.d1 = arch[:, 0], (arch[:, n] - arch[:, 0]) / self.a[:, n]

    @property
    def z(self):
        return self.planned + self.departure - self.d0[:, None] - self.d1[:, None] * self.a

    # The neck's bow.

    def _bow(self):
        self.bow_scale = self._bow_scale()
        self.b = self.bow(self.x)
        self.b_saddle = self.bow(self.saddle_point[:, 0])

    def _compliance(self, s):
        neck = self.record.get("neck", {})
        if "depth_at_1" not in neck:
            return np.ones_like(s)
        one, far = self.board.frets[1][0], self.board.frets[self.far][0]
        d1, d12 = fig.length_mm(neck["depth_at_1"]), fig.length_mm(neck["depth_at_12"])
        slope = 0.0 if far == one else (d12 - d1) / (far - one)
        depth = np.maximum(5.0, d1 + slope * (s - one))
        return 50 / self.board.width(s) * (25 / depth) ** 3

    @cached_property
    def joint_x(self):
        return self.board.frets[self.record.get("neck", {}).get("joint", self.frets)][0]

    def _moments(self, x):
        """∫c and ∫s c from 0 to the joint or to x, by Gauss-Legendre on pieces."""
        end = min(max(x, 0.0), self.joint_x)
        nodes, weights = np.polynomial.legendre.leggauss(20)
        edges = np.linspace(0.0, end, 7)
        zero = first = 0.0
        for lo, hi in zip(edges, edges[1:]):
            s = (lo + hi) / 2 + (hi - lo) / 2 * nodes
            c = self._compliance(s) * weights * (hi - lo) / 2
            zero, first = zero + c.sum(), first + (c * s).sum()
        return zero, first

    def _deflection(self, x):
        zero, first = self._moments(x)
        return max(x, 0.0) * zero - first if x > 0 else 0.0

    def _bow_scale(self):
        last = self.board.last_x
        slope = self._deflection(last) / last
        top = brentq(lambda x: slope - self._moments(x)[0], 0.0, last, xtol=1e-10)
        return slope, slope * top - self._deflection(top)

    def bow(self, x):
        slope, greatest = self.bow_scale
        flat = np.array([slope * t - self._deflection(t) for t in np.ravel(x)])
        return (flat / greatest).reshape(np.shape(x))

    # Set-up and margins.

    def tops(self, relief=None):
        """Fret tops under relief, lane by fret."""
        return self.z - (self.relief if relief is None else relief) * self.b

    def wished(self):
        """(n, s): the open strings' heights at nut and saddle."""
        tops, row = self.tops(), np.arange(self.lanes)
        upper = tops[:, self.far] + self.action_far
        if self.frets == 1:
            near, near_a = np.full(self.lanes, self.action_near), np.zeros(self.lanes)
        else:
            near, near_a = tops[:, 1] + self.action_near, self.a[:, 1]
        slope = (upper - near) / (self.a[row, self.far] - near_a)
        return near - slope * near_a, near + slope * (self.length - near_a)

    def depth(self, i, k, force):
        """How far below its rest the plucked string reaches over every fret ahead of stop k."""
        sounding = self.length[i] - self.a[i, k]
        p = min(self.pluck_at, sounding / 2)
        height = force * p * (sounding - p) / (self.strings[i].pull_n * sounding)
        t = self.a[i, k + 1:] - self.a[i, k]
        return np.where(t <= p, height * t / p, height * (sounding - t) / (sounding - p))

    def margins(self, i, k, force, n, s, tops):
        rest = n[i] if k == 0 else tops[i, k]
        share = (self.a[i, k + 1:] - self.a[i, k]) / (self.length[i] - self.a[i, k])
        return rest + share * (s[i] - rest) - tops[i, k + 1:] - self.depth(i, k, force)

    def factors(self, i, k):
        """For every fret ahead: the factors of all tops in the margin, for the page's variance."""
        far, near = self.far, (1 if self.frets > 1 else 0)
        q = (self.a[i] - self.a[i, near]) / (self.a[i, far] - self.a[i, near])
        q_l = (self.length[i] - self.a[i, near]) / (self.a[i, far] - self.a[i, near])
        rows = np.zeros((self.frets - k, self.frets + 1))
        for row, j in enumerate(range(k + 1, self.frets + 1)):
            rows[row, j] -= 1
            if k == 0:
                rows[row, near] += 1 - q[j]
                rows[row, far] += q[j]
            else:
                share = (self.a[i, j] - self.a[i, k]) / (self.length[i] - self.a[i, k])
                rows[row, k] += 1 - share
                rows[row, near] += share * (1 - q_l)
                rows[row, far] += share * q_l
        return rows


def board_string(board, index):
    return board.strings[index]


class Bend:
    """One stopped string pushed along its fret: cents and air as functions of the push."""

    def __init__(self, play, i, k):
        self.play, self.i, self.k = play, i, k
        board, string = play.board, play.strings[i]
        self.open_mm = string.open_mm
        self.at = play.a[i, k] * self.open_mm / play.length[i]
        self.behind = fig.length_mm(board.record["strings"].get("behind", 120.0))
        x0, self.lean = board.frets[k]
        self.side = -1.0 if play.y[i, k] >= -1e-9 else 1.0
        self.cosine = 1 / math.hypot(1.0, self.lean)
        self.psi = self.side * self.lean * self.cosine
        self.y0, self.x0 = play.y[i, k], x0
        edge = board.bass_edge if self.side < 0 else board.treble_edge
        edge_y = edge.cut(board.frets[k])[1]
        self.room = max(0.0, (abs(edge_y - self.y0) - 1.0) / self.cosine)
        self.stiffness, self.pull = string.stiffness_n, string.pull_n

    def cents(self, push):
        along, across = push * self.psi, push * math.sqrt(1 - self.psi**2)
        back = math.hypot(self.at + along, across)
        ahead = math.hypot(self.open_mm - self.at - along, across)
        pull = self.pull + self.stiffness * (back + ahead - self.open_mm) / (self.open_mm + self.behind)
        return 1200 * math.log2((self.open_mm - self.at) / ahead) + 600 * math.log2(pull / self.pull)

    def push_for(self, cents):
        """The least push that gives these cents, or the room when the board has less."""
        if cents <= 0 or self.room == 0:
            return 0.0
        steps = np.arange(0.0, self.room, CHOKE_STEP_MM).tolist() + [self.room]
        for lo, hi in zip(steps, steps[1:]):
            if self.cents(hi) >= cents:
                return brentq(lambda t: self.cents(t) - cents, lo, hi, xtol=1e-12)
        return self.room

    def crossings(self, push):
        """Rest point, and for every fret ahead the place crossed and the share of the way in x to the saddle."""
        play = self.play
        y = self.y0 + self.side * push * self.cosine
        x = self.x0 + self.lean * y
        sx, sy = play.saddle_point[self.i]
        slope = (sy - y) / (sx - x)
        lines = np.array(play.board.frets[self.k + 1:])
        cx = (lines[:, 0] + lines[:, 1] * (y - slope * x)) / (1 - lines[:, 1] * slope)
        return x, y, cx, y + slope * (cx - x), (cx - x) / (sx - x)

    def top(self, x, y, fret):
        play = self.play
        e = np.interp(y, play.y[::-1, fret], play.departure[::-1, fret])
        wood = -float(play.board.fall(x)) - float(fig.drop(play.board.radius(x), y))
        return wood + play.crown_height + e - play.relief * play.b[self.i, fret]

    def airs(self, push, saddle):
        play = self.play
        x, y, cx, cy, share = self.crossings(push)
        rest = self.top(x, y, self.k)
        wood = play.crown_height - play.board.fall(cx) - fig.drop(play.board.radius(cx), cy)
        e = np.array([np.interp(t, play.y[::-1, j], play.departure[::-1, j]) for t, j in zip(cy, range(self.k + 1, play.frets + 1))])
        tops = wood + e - play.relief * play.b[self.i, self.k + 1:]
        return rest + share * (saddle - rest) - tops

    def choke(self, saddle):
        """(cents, push, fret) of the first choke, or (None, None, None), and how far it is free."""
        play, limit = self.play, self.push_for(max(FARTHEST_CENTS, self.play.bend_cents))
        if self.k == play.frets:
            return None, None, None, self.cents(limit)
        short = lambda t: float(self.airs(t, saddle).min()) - play.margin
        if short(0.0) < 0:
            return 0.0, 0.0, self.k + 1 + int(np.argmin(self.airs(0.0, saddle))), 0.0
        steps = np.append(np.arange(0.0, limit, CHOKE_STEP_MM), limit)
        for lo, hi in zip(steps, steps[1:]):
            if short(hi) < 0:
                push = brentq(short, lo, hi, xtol=1e-11)
                return self.cents(push), push, self.k + 1 + int(np.argmin(self.airs(push, saddle))), self.cents(push)
        return None, None, None, self.cents(limit)
