"""The surface that readings look for, by docs/computations/readings-surface.md, written anew from that page.

`Wood` holds the unknowns and what is believed of them; `Spots` gives heights at places with their slopes and bends by the
unknowns. Everything is in millimetres; `theta` counts each unknown in its own deviations from its own mean.
"""

import math
from dataclasses import dataclass, field

import numpy as np

import figures as fig

PLANE = 5  # level, pitch, roll, twist, bow
DATUM = 3  # offset and two tilts of a set-up


@dataclass
class Expected:
    """How the wood is expected to stand: over the finished crown, under which blocks, and with the fall-away or not."""

    offset_mm: float = 0.0
    blocks: list = None  # (radius, zones) while blocks are at work; None for the camber itself
    fall_made: bool = True


@dataclass
class Spots:
    """Heights at places: `linear` rows of all unknowns, and what the arch needs."""

    wood: object
    y: np.ndarray
    linear: np.ndarray
    fall: np.ndarray
    knots: np.ndarray
    share: np.ndarray
    expected: np.ndarray = field(repr=False)

    def _curvature(self, unknowns):
        """Curvature and its first and second derivatives by the two knots."""
        k = unknowns[PLANE:PLANE + self.wood.knot_count]
        one, two, s = k[self.knots[:, 0]], k[self.knots[:, 1]], self.share
        if not self.wood.straight_radius:
            first = np.stack([1 - s, s], axis=1)
            return self.expected + (1 - s) * one + s * two, first, np.zeros((len(s), 2, 2))
        radius = (1 - s) / one + s / two
        slope = np.stack([-(1 - s) / one**2, -s / two**2], axis=1)
        bend = np.zeros((len(s), 2, 2))
        bend[:, 0, 0], bend[:, 1, 1] = 2 * (1 - s) / one**3, 2 * s / two**3
        second = 2 * slope[:, :, None] * slope[:, None, :] / radius[:, None, None] ** 3 - bend / radius[:, None, None] ** 2
        return 1 / radius, -slope / radius[:, None] ** 2, second

    def heights(self, unknowns):
        kappa = self._curvature(unknowns)[0]
        root = np.sqrt(1 - (kappa * self.y) ** 2)
        return self.linear @ unknowns - self.fall - kappa * self.y**2 / (1 + root)

    def slopes(self, unknowns):
        """Derivatives of the heights by the unknowns."""
        kappa, first, _ = self._curvature(unknowns)
        root = np.sqrt(1 - (kappa * self.y) ** 2)
        by_kappa = -self.y**2 / (root * (1 + root))
        table, rows = self.linear.copy(), np.arange(len(self.y))
        for side in (0, 1):
            np.add.at(table, (rows, PLANE + self.knots[:, side]), by_kappa * first[:, side])
        return table

    def bends(self, unknowns, weights):
        """Second derivatives, summed over the spots with these weights; only the knots' corner is not zero."""
        kappa, first, second = self._curvature(unknowns)
        root = np.sqrt(1 - (kappa * self.y) ** 2)
        by_kappa = -self.y**2 / (root * (1 + root))
        twice = -kappa * self.y**4 * (1 + 2 * root) / (root**3 * (1 + root) ** 2)
        each = weights[:, None, None] * (twice[:, None, None] * first[:, :, None] * first[:, None, :] + by_kappa[:, None, None] * second)
        table = np.zeros((len(unknowns), len(unknowns)))
        for i in (0, 1):
            for j in (0, 1):
                np.add.at(table, (PLANE + self.knots[:, i], PLANE + self.knots[:, j]), each[:, i, j])
        return table


class Wood:
    """The unknowns of one board and visit."""

    def __init__(self, board, expected, set_ups, heights_read):
        self.board, self.expected, self.set_ups = board, expected, list(set_ups)
        self.knot_x = np.array([x for x, _ in board.radius_knots])
        self.knot_radius = np.array([r for _, r in board.radius_knots])
        self.knot_count = len(self.knot_x)
        self.straight_radius = expected.blocks is None and self.knot_count > 1 and bool(np.isfinite(self.knot_radius).all())
        length = board.end_x - board.frets[0][0]
        piece, self.across = (40, 3) if heights_read < 2000 else (20, 4) if heights_read < 50_000 else (10, 6)
        self.along = min(160, max(4, math.floor(length / piece + 0.5)))
        self.net_at = PLANE + self.knot_count + DATUM * len(self.set_ups)
        self.count = self.net_at + (self.along + 3) * (self.across + 3)
        self._believe()

    def _believe(self):
        board = self.board
        width_nut, width_last = float(board.width(0.0)), float(board.width(board.last_x))
        arch = 2 * 0.2 / board.half_width(self.knot_x) ** 2
        datum = [50.0, 10.0, 10.0 / width_nut] * len(self.set_ups)
        net = [0.05 * 315 / 151] * (self.count - self.net_at)
        self.deviation = np.array([1.0, 0.5, 0.3 / width_nut, 0.3 / width_last, 0.3, *arch, *datum, *net])
        self.mean = np.zeros(self.count)
        self.mean[0] = self.expected.offset_mm
        if self.straight_radius:
            self.mean[PLANE:PLANE + self.knot_count] = 1 / self.knot_radius

    def unknowns(self, theta):
        return self.mean + self.deviation * theta

    def datum_at(self, set_up):
        return PLANE + self.knot_count + DATUM * self.set_ups.index(set_up)

    def spots(self, x, y):
        """Prepares places, which may lie past the outline."""
        x, y = np.atleast_1d(np.asarray(x, float)), np.atleast_1d(np.asarray(y, float))
        u = x / self.board.last_x
        linear = np.zeros((len(x), self.count))
        linear[:, :PLANE] = np.stack([np.ones_like(u), u, y, u * y, 4 * u * (1 - u)], axis=1)
        self._add_net(linear, x, y)
        knots, share = self._between(x)
        fall = self.board.fall(x) if self.expected.fall_made else np.zeros_like(x)
        return Spots(self, y, linear, fall, knots, share, self._expected_curvature(x))

    def places_in_net(self, x, y):
        (nut_x, nut_lean), (end_x, end_lean) = self.board.frets[0], self.board.end_line
        nut, end = nut_x + nut_lean * y, end_x + end_lean * y
        bass, treble = self.board.bass_edge.y(x), self.board.treble_edge.y(x)
        return np.clip((x - nut) / (end - nut), 0, 1), np.clip((y - bass) / (treble - bass), 0, 1)

    def _add_net(self, linear, x, y):
        p, q = self.places_in_net(x, y)
        i, along = _weights(p * self.along, self.along)
        j, across = _weights(q * self.across, self.across)
        rows = np.arange(len(x))
        for k in range(4):
            for m in range(4):
                columns = self.net_at + (i + k) * (self.across + 3) + j + m
                np.add.at(linear, (rows, columns), along[k] * across[m])

    def _between(self, x):
        """The two knots of each place and its share between them."""
        if self.knot_count == 1:
            return np.zeros((len(x), 2), int), np.zeros(len(x))
        first = np.clip(np.searchsorted(self.knot_x, x, side="right") - 1, 0, self.knot_count - 2)
        share = (x - self.knot_x[first]) / (self.knot_x[first + 1] - self.knot_x[first])
        if self.board.camber["law"] == "stations":
            runs_on = self.board.camber["at"][-1]["fret"] == self.board.fret_count
            share = np.clip(share, 0, None if runs_on else 1)
        return np.stack([first, first + 1], axis=1), share

    def _expected_curvature(self, x):
        if self.expected.blocks is None:
            return 1 / self.board.radius(x)
        kappa = np.zeros_like(x)
        for radius, spans in self.expected.blocks:
            for low, high in spans:
                kappa = np.where((x >= low - 1e-9) & (x <= high + 1e-9), np.maximum(kappa, 1 / radius), kappa)
        return kappa


def _weights(place, pieces):
    """Piece and the four weights of the uniform cubic B-spline."""
    piece = np.minimum(np.floor(place), pieces - 1).astype(int)
    f = place - piece
    g = 1 - f
    return piece, (g**3 / 6, (4 - 6 * f**2 + 3 * f**3) / 6, (4 - 6 * g**2 + 3 * g**3) / 6, f**3 / 6)


def expected_after(board, kit, plan, stage_key):
    """What the bench plan leaves after one of its stages; the finished camber when no stage of it is named."""
    keys = [stage["key"] for stage in plan["stages"]] if plan else []
    if stage_key not in keys:
        return Expected()
    owned = [(fig.length_mm(b["radius"]), fig.length_mm(b.get("length", 200.0))) for b in kit.get("blocks", [])]
    blocks, done = fig.used_blocks(board, owned), plan["stages"][:keys.index(stage_key) + 1]
    offset = done[-1]["end_crown_mm"] - board.crown_mm
    fall_made = "fall_away" not in board.camber or any(stage["tool"] == "beam on the fall-away" for stage in done)
    if any(stage["tool"] == "beam" for stage in done):
        return Expected(offset, None, fall_made)
    worked = {round(stage["radius_mm"], 6) for stage in done if stage["tool"] == "block"}
    return Expected(offset, [(r, spans) for r, spans in blocks if round(r, 6) in worked], fall_made)
