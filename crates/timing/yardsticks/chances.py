"""The yardstick beside `cargo bench -p timing --bench playing`: necks drawn by numpy, and the least
air of each over all stops and all frets ahead.

It reads strings and errors as JSON from its input. It draws fret tops, nut, saddle, relief, pull and
pluck; bends, tuning, actions, and the camber's radius are left out. Two ways are timed: margin by
margin as a reader of the formulas would write it, and all margins of a string as one product of
matrices, which the margins allow because they are straight in what is drawn. The last line is for
the benchmark: seconds of each way, the chance of no buzz, mean and spread of the least air."""

import json
import sys
import time

import numpy as np

problem = json.load(sys.stdin)
NECKS, CHUNK, FLOAT = problem["necks"], 1000, np.float32
errors, pluck = problem["errors"], problem["pluck"]
relief, far = problem["relief_mm"], problem["action_fret"]


class String:
    """A string over its frets: the likeliest tops, and for every pair of a stop and a fret ahead the
    share of the way to the saddle and what is swept there."""

    def __init__(self, data):
        along, length = np.array(data["along_mm"]), data["length_mm"]
        bow = np.array(data["bow"])
        self.bow = bow[1:, None].astype(FLOAT)
        self.tops = (np.array(data["top_mm"]) - relief * bow)[1:, None].astype(FLOAT)
        self.actions = data["actions_mm"]
        self.frets = len(along) - 1
        place = lambda at: (at - along[1]) / (along[far] - along[1])
        self.nut_by, self.saddle_by = FLOAT(place(0.0)), FLOAT(place(length))
        pairs = [(k, j) for k in range(self.frets) for j in range(k + 1, self.frets + 1)]
        self.stop, self.ahead = np.array(pairs).T
        sounding = length - along[self.stop]
        from_stop = along[self.ahead] - along[self.stop]
        plucked = np.minimum(pluck["from_saddle_mm"], 0.5 * sounding)
        height = pluck["force_n"] * plucked * (sounding - plucked) / (data["tension_n"] * sounding)
        before = from_stop <= plucked
        depth = height * np.where(before, from_stop / plucked, (sounding - from_stop) / (sounding - plucked))
        self.share = (from_stop / sounding)[:, None].astype(FLOAT)
        self.depth = depth[:, None].astype(FLOAT)
        # Rows: pairs; columns: nut, tops from fret 1, saddle, sweep.
        matrix = np.zeros((len(pairs), self.frets + 3), dtype=FLOAT)
        rows = np.arange(len(pairs))
        matrix[rows, self.stop] = 1.0 - self.share[:, 0]
        matrix[rows, self.ahead] -= 1.0
        matrix[rows, self.frets + 1] = self.share[:, 0]
        matrix[rows, self.frets + 2] = -self.depth[:, 0]
        self.matrix = matrix
        self.starts = np.flatnonzero(np.diff(self.stop, prepend=-1))

    def drawn(self, random, relief_off, pluck_by):
        """Rests (the nut and all tops), saddle and sweep of a chunk of necks."""
        draw = lambda *shape: random.standard_normal(shape, dtype=FLOAT)
        tops = self.tops - self.bow * relief_off + FLOAT(errors["fret_tops_mm"]) * draw(self.frets, CHUNK)
        near, over = tops[0] + FLOAT(self.actions[0]), tops[far - 1] + FLOAT(self.actions[1])
        nut = near + self.nut_by * (over - near) + FLOAT(errors["nut_slots_mm"]) * draw(CHUNK)
        saddle = near + self.saddle_by * (over - near) + FLOAT(errors["saddle_mm"]) * draw(CHUNK)
        pull = np.maximum(1.0 + FLOAT(errors["tension_share"]) * draw(CHUNK), FLOAT(0.05))
        return nut, tops, saddle, pluck_by / pull

    def margin_by_margin(self, nut, tops, saddle, sweep):
        least = np.full(CHUNK, np.inf, dtype=FLOAT)
        ends = [*self.starts[1:], len(self.stop)]
        for stop, (start, end) in enumerate(zip(self.starts, ends)):
            rest = nut if stop == 0 else tops[stop - 1]
            margins = rest + self.share[start:end] * (saddle - rest) - tops[stop:] - sweep * self.depth[start:end]
            np.minimum(least, margins.min(axis=0), out=least)
        return least

    def one_product(self, nut, tops, saddle, sweep):
        return (self.matrix @ np.vstack([nut[None], tops, saddle[None], sweep[None]])).min(axis=0)


strings = [String(data) for data in problem["strings"]]


def trial(way):
    """Seconds for all necks one way, and the least air of each neck."""
    random = np.random.Generator(np.random.SFC64(1))
    found = []
    begun = time.perf_counter()
    for _ in range(NECKS // CHUNK):
        relief_off = FLOAT(errors["relief_mm"]) * random.standard_normal(CHUNK, dtype=FLOAT)
        pluck_by = 1 + FLOAT(errors["pluck_share"]) * random.standard_normal(CHUNK, dtype=FLOAT)
        least = np.full(CHUNK, np.inf, dtype=FLOAT)
        for string in strings:
            np.minimum(least, way(string, *string.drawn(random, relief_off, pluck_by)), out=least)
        found.append(least)
    return time.perf_counter() - begun, np.concatenate(found)


seconds = []
for name, way in {
    "margin by margin": String.margin_by_margin,
    "one product of matrices a string, on all cores": String.one_product,
}.items():
    best = np.inf
    for _ in range(3):
        took, least = trial(way)
        best = min(best, took)
    seconds.append(best)
    print(f"  numpy, {name}: {NECKS / best:,.0f} necks/s; no buzz {(least >= 0).mean():.4f}")
print(*seconds, (least >= 0).mean(), least.mean(dtype=float), least.std(dtype=float))
