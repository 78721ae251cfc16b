"""The camber through a million heights by a general least-squares library, as a yardstick.

Prints, for every way that the library offers and that ends in a reasonable time, one line:
name, seconds (best of the runs), radius at the nut, radius at the last fret, mm.

The same seven unknowns as the program's: level, pitch, roll, twist, bow, and the curvature at the
nut and at the last fret, the radius straight between them. The heights are those of
`crates/timing/benches/readings.rs`, by the same rule: for i from 0, with frac the part behind the
decimal point,

    s = frac(i * 0.6180339887498949)      share of the way to the last fret
    t = frac(i * 0.7548776662466927)      share of the way across
    n = frac(i * 0.5698402909980532) - 0.5
    x = s * LAST, y = (2 t - 1) * 25
    z = -drop(R(x), y) + 0.2 + 0.03 u - 0.001 y + 0.05 * 4 u (1 - u) + 0.02 * n,  u = x / LAST

with R straight from 250 to 390 mm. The first three factors are powers of the roots of
x^2 = x + 1 and of x^3 = x + 1, so that the places fill the board evenly.
"""

import sys
import time

import numpy as np
from scipy.optimize import least_squares

LAST = float(sys.argv[2]) if len(sys.argv) > 2 else 456.80915
COUNT = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
SIGMA = 0.005
RUNS = 2

i = np.arange(COUNT, dtype=float)
x = (i * 0.6180339887498949) % 1.0 * LAST
y = (2.0 * ((i * 0.7548776662466927) % 1.0) - 1.0) * 25.0
noise = (i * 0.5698402909980532) % 1.0 - 0.5
u = x / LAST
true_radius = 250.0 + (390.0 - 250.0) * u
k = 1.0 / true_radius
z = (-k * y * y / (1.0 + np.sqrt(1.0 - (k * y) ** 2))
     + 0.2 + 0.03 * u - 0.001 * y + 0.05 * 4.0 * u * (1.0 - u) + 0.02 * noise)

SCALE = np.array([1.0, 0.5, 0.3 / 42.5, 0.3 / 56.0, 0.3, 1e-3, 1e-3])
plane = np.stack([np.ones_like(u), u, y, u * y, 4.0 * u * (1.0 - u)], axis=1)


def arch(p):
    near, far = p[5] * SCALE[5], p[6] * SCALE[6]
    return near, far, near * far / ((1.0 - u) * far + u * near)


def residuals(p):
    _, _, kappa = arch(p)
    drop = kappa * y * y / (1.0 + np.sqrt(1.0 - (kappa * y) ** 2))
    return (plane @ (p[:5] * SCALE[:5]) - drop - z) / SIGMA


def jacobian(p):
    near, far, kappa = arch(p)
    root = np.sqrt(1.0 - (kappa * y) ** 2)
    by = -(y * y) / (root * (1.0 + root))
    rows = np.empty((COUNT, 7))
    rows[:, :5] = plane * SCALE[:5]
    rows[:, 5] = by * (1.0 - u) * (kappa / near) ** 2 * SCALE[5]
    rows[:, 6] = by * u * (kappa / far) ** 2 * SCALE[6]
    return rows / SIGMA


START = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1.0 / 240.0 / 1e-3, 1.0 / 400.0 / 1e-3])

for method in ("lm", "trf"):
    for name, jac in (("2-point", "2-point"), ("analytic", jacobian)):
        best, found = float("inf"), None
        for _ in range(RUNS):
            start = time.perf_counter()
            found = least_squares(residuals, START, jac=jac, method=method)
            best = min(best, time.perf_counter() - start)
        radii = 1.0 / (found.x[5:] * SCALE[5:])
        print(f"{method} {name} {best:.3f} {radii[0]:.9f} {radii[1]:.9f}", flush=True)
