"""The lowest set-up by scipy's HiGHS on a matrix of our own, by docs/computations/lowest-set-up.md."""

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

GREATEST_RELIEF_MM = 1.0
TIGHT = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


class Lowest:
    """Rows `A v >= right - filed` over v = (relief, n and s of every string of known pull)."""

    def __init__(self, play):
        self.play = play
        self.known = [i for i in range(play.lanes) if play.strings[i].pull_n is not None]
        self.names, rows, columns, values, right, z_rows = [], [], [], [], [], []
        z = play.z
        for place, i in enumerate(self.known):
            n_at, s_at = 1 + 2 * place, 2 + 2 * place
            for k in range(play.frets):
                depth = play.depth(i, k, play.pluck_n)
                for ahead, j in enumerate(range(k + 1, play.frets + 1)):
                    share = (play.a[i, j] - play.a[i, k]) / (play.length[i] - play.a[i, k])
                    row = len(right)
                    self.names.append((i, k, j))
                    if k == 0:
                        entries = [(0, play.b[i, j]), (n_at, 1 - share), (s_at, share)]
                        right.append(z[i, j] + depth[ahead] + play.margin)
                        z_rows.append([(j, 1.0)])
                    else:
                        entries = [(0, play.b[i, j] - (1 - share) * play.b[i, k]), (s_at, share)]
                        right.append(z[i, j] - (1 - share) * z[i, k] + depth[ahead] + play.margin)
                        z_rows.append([(j, 1.0), (k, -(1 - share))])
                    for column, value in entries:
                        rows.append(row), columns.append(column), values.append(value)
        size = 1 + 2 * len(self.known)
        self.matrix = coo_matrix((values, (rows, columns)), shape=(len(right), size)).tocsr()
        self.right = np.array(right)
        entry = [(row, j, f) for row, parts in enumerate(z_rows) for j, f in parts]
        self.by_top = coo_matrix(([e[2] for e in entry], ([e[0] for e in entry], [e[1] for e in entry])), shape=(len(right), play.frets + 1)).tocsc()
        self.cost, self.constants = self._actions(size)

    def _actions(self, size):
        """Rows and constants of the actions over the far fret, one for each known string."""
        play, f = self.play, self.play.far
        rows, constants = np.zeros((len(self.known), size)), np.zeros(len(self.known))
        for place, i in enumerate(self.known):
            share = play.a[i, f] / play.length[i]
            rows[place, [0, 1 + 2 * place, 2 + 2 * place]] = play.b[i, f], 1 - share, share
            constants[place] = -play.z[i, f]
        return rows, constants

    def solve(self, fret=None, filed=0.0, relief=None):
        """(sum of actions, HiGHS's answer) with so much filed off one fret in all lanes; the relief may be held."""
        right, constant = self.right, self.constants.sum()
        if fret is not None:
            right = right - filed * np.asarray(self.by_top[:, [fret]].todense()).ravel()
            constant += filed * len(self.known) * (fret == self.play.far)
        bounds = [(0, GREATEST_RELIEF_MM) if relief is None else (relief, relief)] + [(0, None)] * (2 * len(self.known))
        found = linprog(self.cost.sum(axis=0), A_ub=-self.matrix, b_ub=-right, bounds=bounds, method="highs", options=TIGHT)
        return (found.fun + constant, found) if found.status == 0 else (None, found)

    def least_relief(self, best):
        """The smallest relief with the least sum."""
        sums = self.cost.sum(axis=0)
        bound = best - self.constants.sum() + 1e-10
        found = linprog(np.eye(len(sums))[0], A_ub=np.vstack([-self.matrix.toarray(), sums]), b_ub=np.append(-self.right, bound),
                        bounds=[(0, GREATEST_RELIEF_MM)] + [(0, None)] * (len(sums) - 1), method="highs", options=TIGHT)
        return found.fun

    def actions(self, values):
        return self.cost @ values + self.constants

    def marginal(self, found, fret):
        """What the sum changes by for each millimetre filed off a fret, by HiGHS's own dual values."""
        # Row i reads -A v <= -right; filing lowers right by the factor, so that b_ub rises by it.
        return float(self.by_top[:, [fret]].T.dot(found.ineqlin.marginals)[0]) + len(self.known) * (fret == self.play.far)
