"""The yardstick beside `cargo bench -p timing --bench playing`: the lowest set-up free of buzz by the
solvers of scipy.optimize.linprog (HiGHS), each timed several times, without building the programme.

It reads the strings over their frets and what is asked as JSON from its input. The last line is for
the benchmark: the best seconds, the least sum of actions, and the relief."""

import json
import sys
import time

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_array

problem = json.load(sys.stdin)
pluck, far = problem["pluck"], problem["action_fret"]
strings = problem["strings"]
unknowns = 1 + 2 * len(strings)  # relief, then nut and saddle of every string

rows, limits, cost, fixed = [], [], np.zeros(unknowns), 0.0
for index, string in enumerate(strings):
    along, top, bow = (np.array(string[key]) for key in ("along_mm", "top_mm", "bow"))
    length, nut, saddle = string["length_mm"], 1 + 2 * index, 2 + 2 * index
    share = along[far] / length
    cost[nut], cost[saddle] = 1.0 - share, share
    cost[0] += bow[far]
    fixed -= top[far]
    for stop in range(len(along) - 1):
        sounding = length - along[stop]
        plucked = min(pluck["from_saddle_mm"], 0.5 * sounding)
        height = pluck["force_n"] * plucked * (sounding - plucked) / (string["tension_n"] * sounding)
        for fret in range(stop + 1, len(along)):
            s = along[fret] - along[stop]
            depth = height * (s / plucked if s <= plucked else (sounding - s) / (sounding - plucked))
            # rest (1 - w) + saddle w - (top - relief bow) - depth >= margin
            way, row = s / sounding, np.zeros(unknowns)
            need = top[fret] + depth + problem["margin_mm"]
            row[0], row[saddle] = bow[fret], way
            if stop == 0:
                row[nut] = 1.0 - way
            else:
                row[0] -= (1.0 - way) * bow[stop]
                need -= (1.0 - way) * top[stop]
            rows.append(-row)
            limits.append(-need)

bounds = [problem["relief_mm"]] + [(problem["least_nut_mm"], None)] * (unknowns - 1)
dense, sparse = np.array(rows), csr_array(np.array(rows))
best = np.inf
for method in ("highs", "highs-ds", "highs-ipm"):
    for name, matrix in (("dense", dense), ("sparse", sparse)):
        least = np.inf
        for _ in range(15):
            begun = time.perf_counter()
            found = linprog(cost, A_ub=matrix, b_ub=limits, bounds=bounds, method=method)
            least = min(least, time.perf_counter() - begun)
        print(
            f"  scipy, {method}, {name} {matrix.shape[0]} x {matrix.shape[1]}: "
            f"sum of actions {found.fun + fixed:.9f} mm, in {least * 1e3:.2f} ms"
        )
        if least < best:
            best, optimum, relief = least, found.fun + fixed, found.x[0]
print(best, optimum, relief)
