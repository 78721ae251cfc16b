"""Fret tops from readings by plain dense Bayesian algebra, and filing by HiGHS, by docs/computations/fretwork.md."""

import math

import numpy as np
from scipy.optimize import linprog
from scipy.stats import norm

import figures as fig

SEAT_MM, LOCAL_MM, DATUM_MM = 0.05, 0.02, 10.0
DOUBT = 4.0
MOST_DOUBTED = 24
HALF_OF_95 = 1.959964


class Tops:
    """Departures of all tops, lane by lane at frets 1 to N, then height and tilt of every lane's bar."""

    def __init__(self, play):
        self.play, self.lanes, self.frets = play, play.lanes, play.frets
        self.given = play.record.get("fretwork", {})
        self.step = fig.length_mm(self.given.get("step", 0.02))
        size = self.lanes * self.frets
        fret_of = np.tile(np.arange(self.frets), self.lanes)
        same = (fret_of[:, None] == fret_of[None, :]).astype(float)
        self.cov = np.zeros((size + 2 * self.lanes,) * 2)
        self.cov[:size, :size] = SEAT_MM**2 * same + LOCAL_MM**2 * np.eye(size)
        self.cov[size:, size:] = DATUM_MM**2 * np.eye(2 * self.lanes)
        self.mean, self.taken, self.plain, self.windows = np.zeros(len(self.cov)), [], [], 0
        self.planned = play.z - play.departure  # z with every departure 0
        self.prior = self.cov.copy()
        self._read()
        self.doubted = self._doubt()

    def _row(self, lane, parts, bar_at=None):
        """Factors of the unknowns, and the planned sum."""
        row = np.zeros(len(self.mean))
        for fret, factor in parts:
            if fret:
                row[lane * self.frets + fret - 1] += factor
        if bar_at is not None:
            row[self.lanes * self.frets + 2 * lane:][:2] = 1.0, bar_at
        return row, sum(factor * self.planned[lane, fret] for fret, factor in parts)

    def _read(self):
        a = self.play.a
        for reading in self.given.get("heights", []):
            lane, fret = reading["lane"] - 1, reading["fret"]
            self._take(lane, *self._row(lane, [(fret, 1.0)], a[lane, fret] / a[lane, -1]), fig.length_mm(reading["height"]))
        for reading in self.given.get("gaps", []):
            lane, fret, i, j = reading["lane"] - 1, reading["fret"], reading["from"], reading["to"]
            q = (a[lane, fret] - a[lane, i]) / (a[lane, j] - a[lane, i])
            self._take(lane, *self._row(lane, [(i, 1 - q), (j, q), (fret, -1.0)]), fig.length_mm(reading["gap"]))
        for reading in self.given.get("rocks", []):
            lane, fret = reading["lane"] - 1, reading["fret"]
            row = self._row(lane, self.rock(lane, fret))
            rock = fig.length_mm(reading["rock"])
            self._take(lane, *row, rock) if rock > 0 else self._window(lane, *row)

    def rock(self, lane, fret):
        a = self.play.a[lane]
        q = (a[fret] - a[fret - 1]) / (a[fret + 1] - a[fret - 1])
        return [(fret, 1.0), (fret - 1, -(1 - q)), (fret + 1, -q)]

    def _update(self, row, value, centre, variance, own):
        gain = self.cov @ row / (variance + own)
        self.mean = self.mean + gain * (value - centre)
        self.cov = self.cov - np.outer(gain, row @ self.cov)

    def _take(self, lane, row, planned, value):
        own = (self.step / 2) ** 2
        self.plain.append((row, value - planned))
        self.taken.append((lane, row, planned, value, own, value))
        self._update(row, value, planned + row @ self.mean, row @ self.cov @ row, own)

    def _window(self, lane, row, planned):
        centre, variance, own = planned + row @ self.mean, row @ self.cov @ row, (self.step / 2) ** 2
        d = math.sqrt(variance + own)
        t = (self.step - centre) / d
        nu = math.exp(norm.logpdf(t) - norm.logcdf(t))
        mean = centre - variance * nu / d
        left = max(variance - variance**2 * (t * nu + nu**2) / d**2, variance / 1e12)
        self.windows += 1
        if variance - left <= 1e-9 * variance:
            return
        w = variance * left / (variance - left)
        as_read = centre + (mean - centre) * (variance + w) / variance
        self.taken.append((lane, row, planned, None, w, as_read))
        self._update(row, as_read, centre, variance, w)

    def _doubt(self):
        """The worst reading first, by what all others foretell of it; then it is left out and the rest looked at again."""
        found, mean, cov, left = [], self.mean, self.cov, list(self.taken)
        while len(found) < MOST_DOUBTED:
            looked = [(*self._foretold(reading, mean, cov), reading) for reading in left]
            looked = [row for row in looked if row[0] > DOUBT]
            if not looked:
                break
            _, foretold, spread, worst = max(looked, key=lambda row: row[0])
            found.append((worst[0] + 1, worst[3] or 0.0, foretold, HALF_OF_95 * spread))
            left = [reading for reading in left if reading is not worst]
            mean, cov = self._without(worst, mean, cov)
        return found

    def _foretold(self, reading, mean, cov):
        """How many deviations off, and what all others foretell with its deviation: the reading's own bell is taken out."""
        _, row, planned, value, w, as_read = reading
        variance, centre = row @ cov @ row, planned + row @ mean
        alone = 1 / (1 / variance - 1 / w)
        foretold = alone * (centre / variance - as_read / w)
        spread = math.sqrt(alone + (self.step / 2) ** 2)
        return (foretold if value is None else abs(value - foretold)) / spread, foretold, spread

    @staticmethod
    def _without(reading, mean, cov):
        _, row, planned, _, w, as_read = reading
        gain = cov @ row / (row @ cov @ row - w)
        return mean + gain * (as_read - planned - row @ mean), cov - np.outer(gain, row @ cov)

    def all_at_once(self):
        """The same means by one solve over all readings, where none of them is a window."""
        if self.windows or not self.plain:
            return None
        rows, values = np.array([p[0] for p in self.plain]), np.array([p[1] for p in self.plain])
        cov = rows @ self.prior @ rows.T + (self.step / 2) ** 2 * np.eye(len(rows))
        return self.prior @ rows.T @ np.linalg.solve(cov, values)

    def departures(self):
        """Lane by fret, the nut's being 0."""
        return np.pad(self.mean[:self.lanes * self.frets].reshape(self.lanes, self.frets), ((0, 0), (1, 0)))

    def lane_cov(self, lane):
        part = self.cov[lane * self.frets:(lane + 1) * self.frets, lane * self.frets:(lane + 1) * self.frets]
        return np.pad(part, ((1, 0), (1, 0)))

    def seat_first(self):
        """(over, sigma, fret, lane) of every proud top, proudest first; the play's departures must hold ours."""
        bound, found = fig.length_mm(self.given.get("seat_bound", 0.1)), []
        z = self.play.z
        for lane in range(self.lanes):
            cov = self.lane_cov(lane)
            for fret in range(2, self.frets):
                parts, row = self.rock(lane, fret), np.zeros(self.frets + 1)
                for k, factor in parts:
                    row[k] = factor
                over = float(row @ z[lane])
                if over > bound:
                    found.append((over, math.sqrt(row @ cov @ row), fret, lane))
        return sorted(found, reverse=True)


def seated(play, seat_first):
    """Departures after seating."""
    departure = play.departure.copy()
    for over, _, fret, lane in seat_first:
        departure[lane, fret] -= over
    return departure


class Filing:
    """Rows of one lane: `rows o <= room`."""

    def __init__(self, play, lane):
        n, s = play.wished()
        tops, rows, room = play.tops(), [], []
        for k in range(play.frets):
            air = play.margins(lane, k, play.pluck_n, n, s, tops)
            # The factors are of the tops' rise; what is filed off is a fall.
            for factors, each in zip(play.factors(lane, k), air):
                rows.append(factors[1:])
                room.append(each - play.margin)
        self.rows, self.room = np.array(rows), np.array(room)
        least = fig.length_mm(play.record.get("fretwork", {}).get("least_crown", 0.7))
        self.most = max(0.0, play.crown_height - least)

    def solve(self):
        """The least sum, or None when nothing frees the lane."""
        found = linprog(np.ones(self.rows.shape[1]), A_ub=self.rows, b_ub=self.room, bounds=(0, self.most), method="highs",
                        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10})
        return found.fun if found.status == 0 else None
