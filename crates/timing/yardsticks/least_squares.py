"""The yardstick beside `cargo bench -p timing --bench readings`: a seven-parameter camber through
1,000,000 heights by scipy.optimize.least_squares, with Huber's loss as ours has it, timed three times each way.

The heights follow the same rule as the benchmark's own."""

import time

import numpy as np
from scipy.optimize import least_squares

COUNT, LAST, SIGMA = 1_000_000, 456.80915, 0.005
i = np.arange(COUNT, dtype=float)
x = 460.0 * np.mod(i * 0.61803398875, 1.0)
y = 42.0 * (np.mod(i * 0.75487766625, 1.0) - 0.5)
u = x / LAST


def drop(radius):
    return radius - np.sqrt(radius * radius - y * y)


z = (
    0.3 - 0.12 * u + 0.004 * y + 0.001 * u * y + 0.05 * 4.0 * u * (1.0 - u)
    - drop(243.0 + (391.0 - 243.0) * u)
    + 0.007 * np.cos(2.0 * np.pi * np.mod(i * 0.56984029099, 1.0))
)
arch = 4.0 * u * (1.0 - u)


def residual(p):
    plane = p[0] + p[1] * u + p[2] * y + p[3] * u * y + p[4] * arch
    return (plane - drop(p[5] + (p[6] - p[5]) * u) - z) / SIGMA


def jacobian(p):
    radius = p[5] + (p[6] - p[5]) * u
    by_radius = -(1.0 - radius / np.sqrt(radius * radius - y * y))
    columns = [np.ones_like(u), u, y, u * y, arch, by_radius * (1.0 - u), by_radius * u]
    return np.stack(columns, axis=1) / SIGMA


start = [0.0, 0.0, 0.0, 0.0, 0.0, 240.0, 400.0]
scale = [1.0, 0.5, 0.01, 0.01, 0.3, 50.0, 50.0]
for name, options in {
    "lm, analytic derivatives": {"method": "lm", "jac": jacobian},
    "trf, analytic derivatives": {"method": "trf", "jac": jacobian},
    "trf, differences": {"method": "trf", "jac": "2-point"},
    "trf, Huber's loss": {"method": "trf", "jac": jacobian, "loss": "huber", "f_scale": 2.0},
}.items():
    best = np.inf
    for _ in range(2):
        begun = time.perf_counter()
        found = least_squares(residual, start, x_scale=scale, **options)
        best = min(best, time.perf_counter() - begun)
    print(f"  scipy, {name}: radii {found.x[5]:.4f} {found.x[6]:.4f}, in {best:.3f} s")
