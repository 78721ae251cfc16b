"""The fit of docs/computations/readings-fit.md by scipy's general solvers, from the prior mean.

First `least_squares` with a loss of our own (priors plain squares, readings Huber), then `minimize` with a trust region and
`root` on the slopes, so that the least place is known to rounding.
"""

import math

import numpy as np
from scipy import optimize, sparse
from scipy.special import log_ndtr, ndtr

from statements import reach, square_span

HUBER = 2.0
SLOPE_LEFT = 1e-7  # of the cost by theta; a unit of theta costs at least a half


class Problem:
    """Statements on one wood: the cost with its slopes and bends by theta."""

    def __init__(self, wood, statements):
        self.wood, self.statements = wood, statements
        x, y, factor, row, datum = [], [], [], [], np.zeros((len(statements), wood.count))
        for number, made in enumerate(statements):
            for spot in made.spots:
                x.append(spot[0]), y.append(spot[1]), factor.append(spot[2]), row.append(number)
            if made.set_up is not None:
                at = wood.datum_at(made.set_up)
                datum[number, at:at + 3] = 1.0, made.spots[0][0] / wood.board.last_x, made.spots[0][1]
        self.spots, self.datum = wood.spots(x, y), datum
        self.factor = sparse.csr_matrix((factor, (row, range(len(x)))), shape=(len(statements), len(x)))
        self.sigma = np.array([made.sigma for made in statements])
        self.window = np.array([made.is_window for made in statements])
        self.value = np.array([0.0 if made.is_window else made.value for made in statements])
        self.low = np.array([made.low for made in statements])
        self.high = np.array([made.high for made in statements])

    def sums(self, theta):
        unknowns = self.wood.unknowns(theta)
        return self.factor @ self.spots.heights(unknowns) + self.datum @ unknowns

    def slopes(self, theta):
        """Derivatives of the sums by theta."""
        return (self.factor @ self.spots.slopes(self.wood.unknowns(theta)) + self.datum) * self.wood.deviation

    def _terms(self, sums):
        """Half of the squared residual of each statement, with its first and second derivative by the sum."""
        off = (sums - self.value) / self.sigma
        half, first, second = off**2 / 2, off / self.sigma, 1 / self.sigma**2
        w = self.window
        if w.any():
            minus_log, slope, bend = window_terms((self.low[w] - sums[w]) / self.sigma[w], (self.high[w] - sums[w]) / self.sigma[w])
            half[w], first[w] = minus_log, slope / self.sigma[w]
            second = second + np.zeros_like(half)
            second[w] = bend / self.sigma[w] ** 2
        return half, first, second

    def residuals(self, theta):
        half, first, _ = self._terms(self.sums(theta))
        off = np.sqrt(2 * half)
        return np.concatenate([theta, np.where(self.window, off, np.copysign(off, first))])

    def residual_slopes(self, theta):
        half, first, second = self._terms(self.sums(theta))
        off = np.sqrt(2 * half)
        by_sum = np.where(off > 1e-12, first / np.maximum(off, 1e-300), np.sqrt(np.maximum(second, 0)))
        by_sum = np.where(self.window, by_sum, 1 / self.sigma)
        return np.vstack([np.eye(len(theta)), by_sum[:, None] * self.slopes(theta)])

    def loss(self, squares):
        """For `least_squares`: priors count plainly, readings by Huber's rule."""
        rho = np.stack([squares, np.ones_like(squares), np.zeros_like(squares)])
        past = squares > HUBER**2
        past[:self.wood.count] = False
        root = np.sqrt(squares[past])
        rho[:, past] = 2 * HUBER * root - HUBER**2, HUBER / root, -HUBER / (2 * root**3)
        return rho

    def _robust(self, theta):
        half, first, second = self._terms(self.sums(theta))
        off = np.sqrt(2 * half)
        past = off > HUBER
        safe = np.where(past, off, 1.0)
        cost = np.where(past, HUBER * off - HUBER**2 / 2, half)
        slope = np.where(past, HUBER * first / safe, first)
        bend = np.where(past, HUBER * (second / safe - first**2 / safe**3), second)
        bend = np.where(past & ~self.window, 0.0, bend)
        return cost, slope, bend

    def cost(self, theta):
        return float(theta @ theta / 2 + self._robust(theta)[0].sum())

    def gradient(self, theta):
        return theta + self.slopes(theta).T @ self._robust(theta)[1]

    def hessian(self, theta):
        _, slope, bend = self._robust(theta)
        table, scale = self.slopes(theta), self.wood.deviation
        bends = self.spots.bends(self.wood.unknowns(theta), self.factor.T @ slope)
        return np.eye(len(theta)) + table.T @ (bend[:, None] * table) + scale[:, None] * bends * scale

    def weights(self, theta):
        half = self._terms(self.sums(theta))[0]
        off = np.sqrt(2 * half)
        return np.where(off > HUBER, HUBER / np.maximum(off, HUBER), 1.0)

    def precision(self, theta, counted=None):
        """Gauss-Newton matrix of priors and values, with Huber's weights."""
        counted = ~self.window if counted is None else counted
        table, weight = self.slopes(theta)[counted], (self.weights(theta) / self.sigma**2)[counted]
        return np.eye(len(theta)) + table.T @ (weight[:, None] * table)

    def least(self):
        """The least place from the prior mean: (theta, whether the solvers came to rest)."""
        start = np.zeros(self.wood.count)
        coarse = optimize.least_squares(self.residuals, start, jac=self.residual_slopes, loss=self.loss, x_scale=1.0,
                                        xtol=1e-12, ftol=1e-12, gtol=1e-10, max_nfev=200)
        finer = optimize.minimize(self.cost, coarse.x, jac=self.gradient, hess=self.hessian, method="trust-exact",
                                  options={"gtol": 1e-9, "maxiter": 300})
        last = optimize.root(self.gradient, finer.x, jac=self.hessian, method="hybr", options={"xtol": 1e-14})
        theta = last.x if np.abs(self.gradient(last.x)).max() < np.abs(self.gradient(finer.x)).max() else finer.x
        rests = np.abs(self.gradient(theta)).max() < SLOPE_LEFT and self.cost(theta) <= coarse.cost * (1 + 1e-9)
        return theta, bool(rests), float(coarse.cost)


def window_terms(low, high):
    """-ln P of a window whose ends stand so many deviations from the sum, with slope and bend by the sum in deviations."""
    flip = low > 0
    a, b = np.where(flip, -high, low), np.where(flip, -low, high)
    both = b <= 0  # Wholly on one side: the log of a difference of tails.
    log_a, log_b = log_ndtr(a), log_ndtr(b)
    with np.errstate(divide="ignore", invalid="ignore"):
        tail = log_b + np.log1p(-np.exp(log_a - log_b))
        about = np.log1p(-(ndtr(a) + ndtr(-b)))
    log_p = np.where(both, tail, about)
    def density(t):
        return np.where(np.isfinite(t), np.exp(-t**2 / 2 - 0.5 * math.log(2 * math.pi) - log_p), 0.0)
    at_low, at_high = density(low), density(high)
    slope = at_high - at_low
    moment = np.where(np.isfinite(high), high, 0.0) * at_high - np.where(np.isfinite(low), low, 0.0) * at_low
    return -log_p, slope, moment + slope**2


def fit(wood, reader, lines):
    """The likeliest wood, with chalk laid on the wood that all other readings tell: (problem, theta, whether all solvers rested, cost by least_squares)."""
    others = [line for line in lines if line.text("kind") != "chalk"]
    laid_on = wood.mean
    if others and len(others) < len(lines):
        laid_on = wood.unknowns(Problem(wood, [reader.state(line, None) for line in others]).least()[0])
    problem = Problem(wood, [reader.state(line, lambda x, y: wood.spots(x, y).heights(laid_on)) for line in lines])
    return problem, *problem.least()


# Figures told.


def figure_spots(board):
    """Name of each figure to its sum of heights."""
    last, nut = board.last_x, 0.0
    side = lambda x: reach(board, x)
    roll = [(nut, side(nut), 1.0), (nut, -side(nut), -1.0)]
    return {
        "crown_at_nut_mm": [(nut, 0.0, 1.0)],
        "pitch_mm": [(last, 0.0, 1.0), (nut, 0.0, -1.0)],
        "roll_at_nut_mm": roll,
        "twist_mm": [(last, side(last), 1.0), (last, -side(last), -1.0)] + [(x, y, -f) for x, y, f in roll],
        "bow_mm": [(last / 2, 0.0, 1.0), (nut, 0.0, -0.5), (last, 0.0, -0.5)],
    }


def radius_place(board, name):
    """The station of a told radius, from its name."""
    word = name.removeprefix("radius_at_").removesuffix("_mm")
    fret = 0 if word == "nut" else board.fret_count if word == "last_fret" else int(word.split("_")[-1])
    low, high = square_span(board)
    return min(max(board.frets[fret][0], low), high), fret


def told_sum(wood, unknowns, spots):
    """A sum of heights and its derivatives by theta."""
    x, y, factor = (np.array(column) for column in zip(*spots))
    places = wood.spots(x, y)
    return float(factor @ places.heights(unknowns)), factor @ places.slopes(unknowns) * wood.deviation


def radius_of_rise(rise, half):
    return math.inf if rise <= 0 else (half**2 + rise**2) / (2 * rise)
