"""Set-backs by scipy's least squares on a model of our own, by docs/computations/tuning.md."""

import math

import numpy as np
from scipy.optimize import least_squares


class Tuned:
    """One string of known stretch: cents left at every fret, from the open string on."""

    def __init__(self, play, i):
        n, s = play.wished()
        string = play.strings[i]
        self.length, self.a = play.length[i], play.a[i]
        self.zeta, self.n, self.s = play.tops()[i], n[i], s[i]
        self.kappa, self.tuned_at = string.kappa, string.tuned_at
        self.stiff = math.sqrt(string.kappa) * string.bending_radius_mm / (2 * self.length)
        self.g = np.array([2 ** (play.board.cents(k) / 1200) for k in range(play.frets + 1)])
        self.saddle_y = play.saddle_point[i, 1]

    def cents(self, back_s, back_n, slots=0.0, saddle_higher=0.0):
        """Before anything is taken off for `tuned_at`."""
        s, a, g = self.s + saddle_higher, self.a[1:] + slots, self.g[1:]
        # Roots of squares instead of `hypot`, so that set-backs may be complex numbers.
        open_length = np.sqrt((self.length + back_s + back_n) ** 2 + (s - self.n) ** 2)
        ahead = np.sqrt((self.length - a + back_s) ** 2 + (s - self.zeta[1:]) ** 2)
        behind = np.sqrt((a + back_n) ** 2 + (self.n - self.zeta[1:]) ** 2)
        q = (ahead + behind - open_length) / open_length
        beta = lambda b: 1 + b + (1 + math.pi**2 / 2) * b**2
        left = (1200 * np.log2(open_length / (g * ahead)) + 600 * np.log2(1 + q) + 600 * np.log2(1 + self.kappa * q)
                + 1200 * np.log2(beta(g * self.stiff) / beta(self.stiff)))
        return np.append(0.0, left)

    def told(self, *backs, **errors):
        cents = self.cents(*backs, **errors)
        return cents - cents[self.tuned_at]


def _slopes(residual, place):
    """Derivatives without rounding error: the imaginary part after a step of 1e-30 along the imaginary axis."""
    return np.stack([residual(place + 1e-30j * unit).imag / 1e-30 for unit in np.eye(len(place))], axis=1)


def _least(residual, count, scale):
    """scipy's least squares, then plain least-squares steps, because a sum of squares tells its own place to half its digits only."""
    place = least_squares(residual, np.zeros(count), x_scale=scale, jac=lambda v: _slopes(residual, v), xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    for _ in range(15):
        place = place - np.linalg.lstsq(_slopes(residual, place), residual(place), rcond=None)[0]
    return place


def ways(strings):
    """Name to the (saddle, nut) set-backs of every string, by all five ways."""
    gather = lambda backs: np.concatenate([t.cents(*b)[1:] for t, b in zip(strings, backs)])
    own = [tuple(_least(lambda v, t=t: t.cents(v[0], v[1])[1:], 2, 1.0)) for t in strings]
    alone = [(float(_least(lambda v, t=t: t.cents(v[0], 0.0)[1:], 1, 1.0)[0].real), 0.0) for t in strings]
    y = np.array([t.saddle_y for t in strings])
    line = lambda v: [(v[0] + v[1] * each, 0.0) for each in y]
    slanted = line(_least(lambda v: gather(line(v)), 2, [1.0, 0.02]))
    same = lambda v: [(v[0], v[1])] * len(strings)
    common = same(_least(lambda v: gather(same(v)), 2, 1.0))
    return {"own": own, "saddle_only": alone, "straight": slanted, "common": common, "uncompensated": [(0.0, 0.0)] * len(strings)}
