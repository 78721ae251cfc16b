"""The air of the wished bends on a cone, by docs/computations/bends.md: planned wood, every moment, every fret ahead."""

import numpy as np

import figures as fig
from play_chances import MOMENTS
from play_model import Bend


class Chooser:
    """All wished bends, laid out once for every camber."""

    def __init__(self, play):
        self.play = play
        i_, k_, j_, share, xs, ys, rx, ry = ([] for _ in range(8))
        for i in range(play.lanes):
            if play.strings[i].stiffness_n is None:
                continue
            for k in range(1, play.frets):
                bend = Bend(play, i, k)
                push = bend.push_for(play.bend_cents)
                for moment in MOMENTS:
                    x, y, cx, cy, w = bend.crossings(moment * push)
                    for ahead, j in enumerate(range(k + 1, play.frets + 1)):
                        i_.append(i), k_.append(k), j_.append(j), share.append(w[ahead])
                        xs.append(cx[ahead]), ys.append(cy[ahead]), rx.append(x), ry.append(y)
        self.i, self.k, self.j, self.share = np.array(i_, int), np.array(k_, int), np.array(j_, int), np.array(share)
        self.x, self.y, self.rest_x, self.rest_y = (np.array(v) for v in (xs, ys, rx, ry))

    def _wood(self, x, y, nut, last_curvature):
        """The cone R = nut + (last - nut) x/x_N; with a flat end everything past the nut is flat."""
        u = x / self.play.board.last_x
        # 1/R = κ / (nut κ (1 - u) + u), which needs no infinity.
        under = nut * last_curvature * (1 - u) + u
        kappa = np.where(under == 0, 1 / nut, last_curvature / np.where(under == 0, 1.0, under))
        root = np.sqrt(np.maximum(1 - (kappa * y) ** 2, 0))
        return -self.play.board.fall(x) - kappa * y**2 / (1 + root)

    def least(self, nut, last_curvature):
        play = self.play
        wood = lambda x, y: self._wood(x, y, nut, last_curvature)
        lanes = wood(play.x, play.y) - play.relief * play.b
        upper = lanes[:, play.far] + play.action_far
        if play.frets == 1:
            near, near_a = lanes[:, 0] + play.action_near, np.zeros(play.lanes)
        else:
            near, near_a = lanes[:, 1] + play.action_near, play.a[:, 1]
        slope = (upper - near) / (play.a[:, play.far] - near_a)
        saddle = (near + slope * (play.length - near_a))[self.i]
        rest = wood(self.rest_x, self.rest_y) - play.relief * play.b[self.i, self.k]
        air = rest + self.share * (saddle - rest) - (wood(self.x, self.y) - play.relief * play.b[self.i, self.j])
        return float(air.min()) if len(air) else np.inf
