"""What `read --json` prints of statements, unknowns and figures, against `statements.py` and `fitting.py`."""

import math
import tomllib
import zlib
from pathlib import Path

import numpy as np

import figures as fig
import fitting
import readings_samples as rs
import samples
from next_checks import check_next
from program import run
from statements import Reader, reach, read_lines, rounded_spots
from surface import Wood, expected_after

DEMO = Path(__file__).resolve().parents[2] / "demo"

STATEMENT_MM = 1e-9  # plain arithmetic on lengths under a metre
COST_SHARE = 1e-9
LIKELIEST = 1e-6  # of the figure's own deviation after reading
MEAN = 1e-5  # the same, for means of visits with values only
DEVIATION_SHARE = 1e-5
# Of the deviation. Expectation propagation puts bells in the windows' place; where two of them nearly repeat each other
# that is an approximation, and docs/computations/readings-fit.md promises no more than about a tenth.
SAMPLED = 0.12
DRAWS = 1_000_000
ENOUGH_DRAWS = 10_000  # that count as one apart from the others, by the spread of their weights

OWN_KIT = """camberwright_kit = 1
title = "Readings bench"
blocks = [ { radius = "420 mm", length = "150 mm" }, { radius = "300 mm", length = "120 mm" }, { radius = "180 mm", length = "80 mm" } ]
beams = [ { length = "700 mm", width = "50 mm" }, { length = "450 mm" } ]
gauges = [ "160 mm", "200 mm", "250 mm", "10 in", "12 in", "350 mm", "16 in" ]
abrasives = [ "P80", "P150", "P240", "P320" ]
smallest_light = "0.03 mm"
straightedges = [ "900 mm", "300 mm" ]
dials = [ { chord = "25 mm", resolution = "0.02 mm" }, { chord = "30 mm", resolution = "0.005 mm" } ]
least_feeler = "0.04 mm"
feeler_step = "0.02 mm"
caliper_step = "0.05 mm"
probe_step = "0.02 mm"
chalk_layer = "0.03 mm"
"""

EVERY = {"height": 5, "height two": 4, "thickness": 3, "sagitta": 4, "light": 8, "gap": 5, "chalk": 4}
VALUES = {"height": 8, "height two": 6, "thickness": 4, "sagitta": 6}
FEW = {"thickness": 1, "light": 3, "gap": 2}
CHALK = {"chalk": 10, "thickness": 2, "light": 3}
LIGHT = {"light": 14}
RECIPES = {"every kind": EVERY, "values": VALUES, "few": FEW, "chalk": CHALK, "light": LIGHT}


def cases():
    """(name, commission's text, kit's text, recipe, stage's rank or None, share of wild ones)."""
    kits = {"demo": (DEMO / "north-bench.toml").read_text(encoding="utf-8"), "own": OWN_KIT}
    boards = {name: (DEMO / f"{name}.toml").read_text(encoding="utf-8") for name in ("heron", "bittern", "sandpiper", "avocet")}
    odd = dict(samples.special())
    boards |= {name: odd[name] for name in ("two tight places", "treble side longer", "flat")}
    boards["stations inside"] = odd["two tight places"].replace("fret = 0,", "fret = 1,").replace("fret = 18,", "fret = 16,")
    made = []
    for index, (name, text) in enumerate(boards.items()):
        for turn, (recipe, kinds) in enumerate(RECIPES.items()):
            kit = list(kits)[(index + turn) % 2]
            stage = (turn - 1) if turn in (1, 3) else "beam" if turn == 4 else None
            wild = 0.15 if (index + turn) % 4 == 0 else 0.0
            made.append((f"{name}, {recipe}, kit {kit}", text, kits[kit], kinds, stage, wild))
    made.append(("heron, 60 heights", boards["heron"], kits["demo"], {"height": 40, "height two": 20, "thickness": 2}, None, 0.05))
    made.append(("heron, cloud of 900", boards["heron"], kits["demo"], 900, None, 0))
    made.append(("avocet, cloud of 2400", boards["avocet"], kits["own"], 2400, None, 0))
    return made


def check_readings(ledger, folder):
    """Every case: writes the files, runs the program, and compares."""
    sampled = 0
    for index, case in enumerate(cases()):
        name, text, kit_text, recipe, rank, wild = case
        seed = zlib.crc32(name.encode())
        board, kit = fig.Board(text), tomllib.loads(kit_text)
        paths = _write(folder, text, kit_text)
        plan = run("plan", paths[0], "--kit", paths[1], "--json").record()
        stage = _stage(plan, rank)
        expected = expected_after(board, kit, plan, stage)
        planted = rs.Planted(board, kit, expected, seed)
        content = rs.probe_cloud(planted, recipe) if isinstance(recipe, int) else rs.visit(planted, recipe, rs.DIALECTS[index % 3], stage, wild)
        paths[2].write_text(content, encoding="utf-8")
        answer = run("read", paths[0], paths[2], "--kit", paths[1], "--json")
        where = name + (f", stage {stage}" if stage else "")
        ledger.holds("readings are read", answer.code in (0, 1) and answer.out.startswith("{"), f"{where}: exit {answer.code} {answer.err[:300]}")
        if not answer.out.startswith("{") or answer.code == 2:
            continue
        found = Found(board, kit, expected, content, answer.record())
        found.check(ledger, where)
        check_next(ledger, where, found, plan)
        if "few" in name and sampled < 3 and found.check_sampled(ledger, where):
            sampled += 1


def _write(folder, commission, kit):
    paths = [folder / "read_commission.toml", folder / "read_kit.toml", folder / "readings.csv"]
    paths[0].write_text(commission, encoding="utf-8")
    paths[1].write_text(kit, encoding="utf-8")
    return paths


def _stage(plan, rank):
    """A stage's key by rank among all stages, or the first one of the beam."""
    stages = plan["stages"]
    if rank is None or not stages:
        return None
    if rank == "beam":
        return next((s["key"] for s in stages if s["tool"] == "beam"), stages[-1]["key"])
    return stages[min(rank, len(stages) - 1)]["key"]


class Found:
    """One visit, computed here, beside what the program printed of it."""

    def __init__(self, board, kit, expected, content, record):
        self.board, self.kit, self.record, self.expected = board, kit, record, expected
        lines = read_lines(content)
        heights = [line for line in lines if line.text("kind") == "height"]
        set_ups = list(dict.fromkeys(line.text("set_up") or "1" for line in heights))
        self.wood = Wood(board, expected, set_ups, len(heights))
        printed = record["model"]["unknowns"]
        same = len(printed) == self.wood.count
        self.problem, self.theta, self.rests, self.coarse = fitting.fit(self.wood, Reader(board, kit), lines)
        self.unknowns = self.wood.unknowns(self.theta)
        self.has_windows = bool(self.problem.window.any())
        self.is_cloud = len(heights) > 400
        everything = np.ones(len(self.problem.sigma), bool)
        self.covariance = np.linalg.inv(self.problem.precision(self.theta, everything))
        self.mean = np.array([row["mean"] for row in printed]) if same else None

    def check(self, ledger, where):
        ledger.holds("readings: scipy's solvers rest", self.rests, f"{where}: slopes left {np.abs(self.problem.gradient(self.theta)).max():.1e}, "
                     f"{self.problem.cost(self.theta)!r} after {self.coarse!r}")
        ledger.holds("readings: the least place is a minimum", bool((np.linalg.eigvalsh(self.problem.hessian(self.theta)) > 0).all()), where)
        self._check_statements(ledger, where)
        self._check_model(ledger, where)
        self._check_figures(ledger, where)

    def _check_statements(self, ledger, where):
        printed = {row["line"]: row for row in self.record["readings"]}
        ledger.same("readings: number counted", self.record["readings_counted"], len(self.problem.statements), where)
        if not self.is_cloud:
            ledger.same("readings: lines with statements", sorted(printed), [made.line for made in self.problem.statements], where)
        for made in self.problem.statements:
            row = printed.get(made.line)
            if row is None:
                continue
            what = f"{where} line {made.line}, {made.kind}"
            got = rounded_spots([(s["x_mm"], s["y_mm"], s["factor"]) for s in row["spots"]])
            self._check_spots(ledger, what, made, got)
            for key, want in (("value_mm", made.value), ("low_mm", made.low if made.is_window else None), ("high_mm", made.high if made.is_window else None)):
                want = None if want is None or math.isinf(want) else want
                ledger.near(f"statements: value or window, {made.kind}", row[key], want, f"{what} {key}", STATEMENT_MM, "mm")
            ledger.near(f"statements: uncertainty, {made.kind}", row["sigma_mm"], made.sigma, what, STATEMENT_MM, "mm")

    @staticmethod
    def _check_spots(ledger, what, made, got):
        want = rounded_spots(made.spots)
        ledger.same(f"statements: spots, {made.kind}", sorted(got), sorted(want), what)
        for place in set(got) & set(want):
            ledger.near(f"statements: factors, {made.kind}", got[place], want[place], f"{what} {place}", STATEMENT_MM, "")

    def _check_model(self, ledger, where):
        model = self.record["model"]
        ledger.same("readings: pieces of the net", (model["net_along"], model["net_across"]), (self.wood.along, self.wood.across), where)
        ledger.same("readings: number of unknowns", len(model["unknowns"]), self.wood.count, where)
        ledger.share("readings: the least cost", self.record["cost"], self.problem.cost(self.theta), where, COST_SHARE)
        if self.mean is None:
            return
        after = self.wood.deviation * np.sqrt(np.diag(self.covariance))
        worst = lambda got, want, scale: max(zip(np.abs(got - want) / scale, range(len(got))))
        def column(key):
            return np.array([row[key] for row in model["unknowns"]])
        for title, got, want, scale, tolerance in (
                ("believed before: means", column("prior_mean"), self.wood.mean, self.wood.deviation, 1e-9),
                ("believed before: deviations", column("prior_deviation"), self.wood.deviation, self.wood.deviation, 1e-9),
                ("likeliest unknowns", column("likeliest"), self.unknowns, after, LIKELIEST)):
            self._column(ledger, title, model, got, want, scale, tolerance, where)
        if not self.has_windows:
            self._column(ledger, "means of unknowns, values only", model, self.mean, self.unknowns, after, MEAN, where)
            self._column(ledger, "deviations of unknowns, values only", model, column("deviation"), after, after, DEVIATION_SHARE, where)

    @staticmethod
    def _column(ledger, title, model, got, want, scale, tolerance, where):
        for row, a, b, s in zip(model["unknowns"], got, want, scale):
            ledger.near(title, float(a - b) / float(s), 0.0, f"{where}, {row['name']}: program {a!r}, here {b!r}", tolerance, "deviations")

    def _check_figures(self, ledger, where):
        plain = fitting.figure_spots(self.board)
        for name, value in self.record["likeliest"].items():
            if name in plain:
                want, slope = fitting.told_sum(self.wood, self.unknowns, plain[name])
                sigma = math.sqrt(slope @ self.covariance @ slope)
                ledger.near("likeliest figures", (value - want) / sigma, 0.0, f"{where}, {name}: program {value!r}, here {want!r}", LIKELIEST, "deviations")
                if not self.has_windows:
                    told = self.record["estimate"][name]
                    half = (told["high"] - told["low"]) / 2 / 1.959964
                    ledger.near("figures, values only", (told["value"] - want) / sigma, 0.0, f"{where}, {name}", MEAN, "deviations")
                    ledger.share("figures' deviations, values only", half, sigma, f"{where}, {name}", DEVIATION_SHARE, floor=1e-9)
            else:
                self._check_radius(ledger, where, name, value)

    def _check_radius(self, ledger, where, name, value):
        x, _ = fitting.radius_place(self.board, name)
        half = reach(self.board, x)
        rise, slope = fitting.told_sum(self.wood, self.unknowns, [(x, 0.0, 1.0), (x, half, -0.5), (x, -half, -0.5)])
        sigma, what = math.sqrt(slope @ self.covariance @ slope), f"{where}, {name}"
        if value is None:
            ledger.holds("likeliest radii", rise <= 1e-6 * sigma, f"{what}: flat, here a rise of {rise!r}")
            return
        # Compared as the rise that the radius makes, because a radius grows without bound on a flat section.
        got = float(fig.drop(value, half))
        ledger.near("likeliest radii", (got - rise) / sigma, 0.0, f"{what}: rise by program {got!r}, here {rise!r}", LIKELIEST, "deviations")
        if self.has_windows:
            return
        told = self.record["estimate"][name]
        for key, want in (("low", rise + 1.959964 * sigma), ("high", rise - 1.959964 * sigma)):
            got = 0.0 if told[key] is None else float(fig.drop(told[key], half))
            ledger.near("radii's intervals, values only", (got - max(want, 0.0)) / sigma, 0.0, f"{what} {key}: {told}", MEAN, "deviations")

    def check_sampled(self, ledger, where):
        """Means and deviations of figures against chains of draws from the whole belief; only when nothing is past Huber's limit."""
        problem = self.problem
        if not self.has_windows or (problem.weights(self.theta) < 1).any() or self.mean is None:
            return False
        names, told, draws, weights = self._weighed_draws(np.random.default_rng(5))
        if weights.sum() ** 2 / (weights**2).sum() < ENOUGH_DRAWS:
            return False
        for name, linear, values in zip(names, told, draws):
            mean = float(weights @ values / weights.sum())
            deviation = math.sqrt(float(weights @ (values - mean) ** 2 / weights.sum()))
            printed = self.record["estimate"][name]
            ledger.near("figures by sampling: mean", (printed["value"] - linear - mean) / deviation, 0.0, f"{where}, {name}: {printed}, here {linear + mean!r}", SAMPLED, "deviations")
            got = (printed["high"] - printed["low"]) / 2 / 1.959964
            ledger.share("figures by sampling: deviation", got, deviation, f"{where}, {name}", SAMPLED, floor=1e-9)
        return True

    def _weighed_draws(self, chance):
        """Draws of the figures from the bell of priors and values, each weighed by the exact shares of all windows.

        Only the windows' sums and the figures are drawn, as one bell counted from the likeliest place.
        """
        problem, figures = self.problem, fitting.figure_spots(self.board)
        told = [fitting.told_sum(self.wood, self.unknowns, spots) for spots in figures.values()]
        table, values, windows = problem.slopes(self.theta), ~problem.window, problem.window
        sums = problem.sums(self.theta)
        covariance = np.linalg.inv(problem.precision(self.theta))
        slope = self.theta + table[values].T @ ((sums - problem.value) / problem.sigma**2)[values]
        rows = np.vstack([table[windows], [row for _, row in told]])
        joint = rows @ covariance @ rows.T
        draws = chance.multivariate_normal(-rows @ covariance @ slope, joint, DRAWS, method="eigh").T
        count, log_share = int(windows.sum()), np.zeros(DRAWS)
        for offset, middle, low, high, sigma in zip(draws, sums[windows], problem.low[windows], problem.high[windows], problem.sigma[windows]):
            log_share -= fitting.window_terms((low - middle - offset) / sigma, (high - middle - offset) / sigma)[0]
        return list(figures), [value for value, _ in told], draws[count:], np.exp(log_share - log_share.max())
