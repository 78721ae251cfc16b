"""The chance that a neck meets the wish: necks drawn by numpy, each reckoned anew without straightening, by docs/computations/chances.md.

Bends are looked at over every moment and every fret ahead, the camber's radius is changed in the arch itself, and cents are
reckoned by the formula and not by slopes; so what the program straightens is seen.
"""

import math

import numpy as np

import figures as fig
from play_model import Bend
from play_tuning import Tuned, ways

MOMENTS = (0.3, 0.5, 0.7, 0.85, 1.0)
LENGTHS = {"fret_tops": 0.015, "nut_slots": 0.03, "saddle": 0.05, "relief": 0.03, "slots": 0.05, "set_back": 0.3}
SHARES = {"radius": 2.0, "tension": 3.0, "stretch": 10.0, "pluck": 20.0}
NAMES = {"what the readings left open": "open", "the fret tops": "fret_tops", "the nut slots' depth": "nut_slots",
         "the saddle's height": "saddle", "the relief": "relief", "the camber's radius": "radius", "the fret slots' places": "slots",
         "the strings' set-back": "set_back", "the strings' pull": "tension",
         "the strings' stretch": "stretch", "the player's force": "pluck"}
TOUCH_BENDS = {"open", "fret_tops", "nut_slots", "saddle", "relief", "radius"}
DEMANDS = ("no buzz", "bends as wished", "in tune", "action as asked")


class Necks:
    """What is the same for all necks, and the rooms of those that are drawn."""

    def __init__(self, play, sure):
        self.play, self.sure = play, sure
        given = play.record.get("errors", {})
        self.sizes = {key: fig.length_mm(given.get(key, size)) for key, size in LENGTHS.items()}
        self.sizes |= {key: fig.leading_number(given.get(key, size)) / 100 for key, size in SHARES.items()}
        if sure:  # The tops were read: what the hands and the plan's radius would do to them is in the readings.
            self.sizes["fret_tops"] = self.sizes["radius"] = 0.0
        self.sizes["open"] = 1.0 if sure else 0.0
        self.roots = [np.linalg.cholesky(sure.lane_cov(i)[1:, 1:] + 1e-8 * np.eye(play.frets)) for i in range(play.lanes)] if sure else None
        knots = play.board.radius_knots
        self.knot_x, self.knot_r = np.array([k[0] for k in knots]), np.array([k[1] for k in knots])
        self.n, self.s = play.wished()
        self.known = [i for i in range(play.lanes) if play.strings[i].pull_n is not None]
        self._lay_out_bends()
        self.tuned = {i: Tuned(play, i) for i in range(play.lanes) if play.strings[i].kappa is not None}
        self.backs = dict(zip(self.tuned, ways(list(self.tuned.values()))["own"])) if self.tuned else {}

    # Drawing.

    def draw(self, chance, count):
        play, m, n = self.play, self.play.lanes, self.play.frets
        shapes = {"open": (m, n), "fret_tops": (m, n), "nut_slots": (m,), "saddle": (m,), "relief": (), "radius": (2,), "slots": (n,),
                  "set_back": (m,), "tension": (m,), "stretch": (m,), "pluck": ()}
        return {key: chance.normal(size=(count, *shape)) * self.sizes[key] for key, shape in shapes.items()}

    # The arch under a radius that is off.

    def _weights(self, x):
        """R(x) as a sum of the knots' radii."""
        units = np.eye(len(self.knot_x))
        if len(units) == 1:
            return np.ones((*np.shape(x), 1))
        board, keep = self.play.board, self.play.board.__dict__.get("radius_knots")
        columns = []
        for unit in units:
            board.__dict__["radius_knots"] = list(zip(self.knot_x, unit))
            columns.append(board.radius(x))
        board.__dict__["radius_knots"] = keep
        return np.stack(columns, axis=-1)

    def _drop_change(self, x, y, radius_errors):
        """How much more the arch drops at places, neck by place."""
        board = self.play.board
        if not np.isfinite(self.knot_r).all():
            return np.zeros((len(radius_errors), *np.shape(x)))
        u = self.knot_x / board.last_x
        longer = 1 + radius_errors[:, :1] * (1 - u) + radius_errors[:, 1:] * u
        radius = np.einsum("...q,nq->n...", self._weights(x), longer * self.knot_r)
        return fig.drop(radius, y) - fig.drop(board.radius(x), y)

    # The demands.

    def _tops(self, e):
        """Tops without the nut's own, over the lane's datum, neck by lane by fret."""
        play = self.play
        errors = np.pad(e["fret_tops"], ((0, 0), (0, 0), (1, 0)))
        if self.roots:
            errors = errors + np.pad(np.einsum("ikl,nil->nik", np.array(self.roots), e["open"]), ((0, 0), (0, 0), (1, 0)))
        self.errors = errors
        relief = (play.relief + e["relief"])[:, None, None]
        return play.z + errors - relief * play.b - self._drop_change(play.x, play.y, e["radius"])

    def _heights(self, tops, e):
        play = self.play
        upper = tops[:, :, play.far] + play.action_far
        if play.frets == 1:
            near, near_a = np.full_like(upper, play.action_near), np.zeros(play.lanes)
        else:
            near, near_a = tops[:, :, 1] + play.action_near, play.a[:, 1]
        slope = (upper - near) / (play.a[:, play.far] - near_a)
        return near - slope * near_a + e["nut_slots"], near + slope * (play.length - near_a) + e["saddle"]

    def rooms(self, e, bends=None):
        """Room of every demand, neck by demand; None for a demand of which nothing is known.

        `bends` are the rooms of the bends where they are known already.
        """
        tops = self._tops(e)
        n, s = self._heights(tops, e)
        return [self._buzz(tops, n, s, e), self._bends(s, e) if bends is None else bends, self._in_tune(e), self._action(e)]

    def _buzz(self, tops, n, s, e):
        play, least = self.play, None
        for i in self.known:
            sweep = ((1 + e["pluck"]) / np.maximum(0.05, 1 + e["tension"][:, i]))[:, None]
            for k in range(play.frets):
                rest = (n[:, i] if k == 0 else tops[:, i, k])[:, None]
                share = (play.a[i, k + 1:] - play.a[i, k]) / (play.length[i] - play.a[i, k])
                air = (rest + share * (s[:, i, None] - rest) - tops[:, i, k + 1:] - play.depth(i, k, play.pluck_n) * sweep).min(axis=1)
                least = air if least is None else np.minimum(least, air)
        return least

    def _lay_out_bends(self):
        self.bends = []
        play = self.play
        for i in range(play.lanes):
            if play.strings[i].stiffness_n is None:
                continue
            for k in range(1, play.frets):
                bend = Bend(play, i, k)
                push = bend.push_for(play.bend_cents)
                for moment in MOMENTS:
                    self.bends.append((i, k, *bend.crossings(moment * push)))

    def _bends(self, s, e):
        play, least = self.play, None
        saddle = play.d0 + play.d1 * play.length + s
        relief = play.relief + e["relief"]
        lanes_y = play.y[::-1]
        for i, k, x, y, cx, cy, share in self.bends:
            xs, ys, frets = np.append(x, cx), np.append(y, cy), np.arange(k, play.frets + 1)
            wood = -play.board.fall(xs) - fig.drop(play.board.radius(xs), ys) + play.crown_height
            tops = wood - self._drop_change(xs, ys, e["radius"]) - relief[:, None] * play.b[i, k:]
            for place, (fret, at) in enumerate(zip(frets, ys)):
                tops[:, place] += np.interp(at, lanes_y[:, fret], play.departure[::-1, fret])
                if play.lanes == 1:
                    tops[:, place] += self.errors[:, 0, fret]
                    continue
                j = int(np.clip(np.searchsorted(lanes_y[:, fret], at) - 1, 0, play.lanes - 2))
                q = float(np.clip((at - lanes_y[j, fret]) / (lanes_y[j + 1, fret] - lanes_y[j, fret]), 0, 1))
                tops[:, place] += (1 - q) * self.errors[:, play.lanes - 1 - j, fret] + q * self.errors[:, play.lanes - 2 - j, fret]
            air = tops[:, :1] + share * (saddle[:, i, None] - tops[:, :1]) - tops[:, 1:]
            least = air.min(axis=1) if least is None else np.minimum(least, air.min(axis=1))
        return least

    def _in_tune(self, e):
        worst = None
        for i, t in self.tuned.items():
            cents = self._cents(t, *self.backs[i], e, i)
            off = np.abs(cents).max(axis=1)
            worst = off if worst is None else np.maximum(worst, off)
        return None if worst is None else float(self.play.wish.get("in_tune", 5)) - worst

    def _cents(self, t, back_s, back_n, e, i):
        """The cents of every note on every neck; the true note's own slot stays where it is."""
        back_s = (np.real(back_s) + e["set_back"][:, i])[:, None]
        n, s = (t.n + e["nut_slots"][:, i])[:, None], (t.s + e["saddle"][:, i])[:, None]
        kappa = (t.kappa * (1 + e["stretch"][:, i]))[:, None]
        a = t.a[1:] + e["slots"]
        left = self._formula(t, a, back_s, np.real(back_n), n, s, kappa, t.g[1:])
        cents = np.pad(left, ((0, 0), (1, 0)))
        if t.tuned_at:
            k = t.tuned_at
            cents = cents - self._formula(t, t.a[k:k + 1], back_s, np.real(back_n), n, s, kappa, t.g[k:k + 1], t.zeta[k:k + 1])
        return cents

    @staticmethod
    def _formula(t, a, back_s, back_n, n, s, kappa, g, zeta=None):
        zeta = t.zeta[1:] if zeta is None else zeta
        whole = np.hypot(t.length + back_s + back_n, s - n)
        ahead, behind = np.hypot(t.length - a + back_s, s - zeta), np.hypot(a + back_n, n - zeta)
        q = (ahead + behind - whole) / whole
        # The stiffness against bending goes with the root of κ (eq. 39 of the source).
        stiff = t.stiff * np.sqrt(kappa / t.kappa)
        beta = lambda b: 1 + b + (1 + math.pi**2 / 2) * b**2
        return (1200 * np.log2(whole / (g * ahead)) + 600 * np.log2(1 + q) + 600 * np.log2(1 + kappa * q)
                + 1200 * np.log2(beta(g * stiff) / beta(stiff)))

    def _action(self, e):
        play = self.play
        share = play.a[:, play.far] / play.length
        off = np.abs((1 - share) * e["nut_slots"] + share * e["saddle"])
        return fig.length_mm(play.wish.get("action_within", 0.15)) - off.max(axis=1)


def without(errors, others, key):
    """Errors that share one kind with `errors` and take all else from `others`."""
    return others | {key: errors[key]}


def halved(errors, key):
    return errors | {key: errors[key] / 2}
