"""The next step of docs/computations/next-step.md, with scipy's HiGHS for every linear programme."""

import math

import numpy as np
from scipy.optimize import linprog
from scipy.stats import norm

import figures as fig
from ledger import RATIO
from statements import reach, square_span

OPTIMUM_SHARE = 1e-6  # of the greatest volume, or of a micrometre over the board when that is greater
BROKEN_MM = 1e-7
LIMITING_MM = 1e-6  # a limit nearer than this holds the surface down
VOLUME_SHARE = 1e-6
HEIGHT_MM = 1e-6
SURE_SHARE = 1e-5  # of a deviation, as for the fit's own


class Programme:
    """The highest surface under given limits at the spots of a map.

    `is_single` says of the last one solved whether only one surface reaches the greatest volume: what presses fixes all four figures.
    """

    def __init__(self, board, points):
        self.x, self.y, self.area = (np.array([p[k] for p in points]) for k in ("x_mm", "y_mm", "area_mm2"))
        u = self.x / board.last_x
        self.shares = np.stack([np.ones_like(u), u, self.y, u * self.y], axis=1)
        self.bounds = np.array([200.0, 0.5, 0.3 / float(board.width(0.0)), 0.1 / float(board.width(board.last_x))])
        self.gain = self.area @ self.shares
        # Solved in heights at the board's rim rather than in slopes, so that the solver sees figures of one size.
        self.scale = np.array([1.0, 1.0, 2 / float(board.width(0.0)), 2 / float(board.width(board.last_x))])

    def highest(self, limits, counted=None):
        """Four figures, or None when there is no such surface; with the marginal of every limit."""
        keep = np.ones(len(limits), bool) if counted is None else counted
        made = linprog(-self.gain * self.scale / self.area.sum(), A_ub=(self.shares * self.scale)[keep], b_ub=limits[keep],
                       bounds=[(-b / s, b / s) for b, s in zip(self.bounds, self.scale)], method="highs",
                       options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10, "presolve": False})
        if made.status != 0:
            return None, None
        pressing = made.ineqlin.marginals < -1e-9
        held = np.abs(made.lower.marginals) + np.abs(made.upper.marginals) > 1e-9
        rows = np.vstack([(self.shares * self.scale)[keep][pressing], np.eye(4)[held]])
        self.is_single = len(rows) > 0 and np.linalg.matrix_rank(rows, tol=1e-9) == 4
        return made.x * self.scale, made.ineqlin.marginals

    def volume(self, figures):
        return float(self.gain @ figures)


def check_next(ledger, where, found, plan):
    board, record = found.board, found.record
    points = record["map"]["points"]
    _check_grid(ledger, where, found)
    _check_wood(ledger, where, found, points)
    programme = Programme(board, points)
    wood = np.array([p["over_plan_mm"] for p in points])
    sigma = np.array([p["sigma_mm"] for p in points])
    safety = float(norm.ppf(1 - 0.05 / (found.wood.along * found.wood.across)))
    limits = wood - safety * sigma
    best, marginals = programme.highest(limits)
    following = record["next"]
    ledger.same("next: whether there is a surface at all", "impossible" not in following, best is not None, where)
    if best is None or "impossible" in following:
        return
    ledger.share("next: safety factor", following["safety"], safety, where, RATIO)
    got = np.array([following[k] for k in ("level_mm", "pitch_mm", "roll_mm_per_mm", "twist_mm_per_mm")])
    _check_surface(ledger, where, programme, got, best, marginals, limits, following)
    _check_take_off(ledger, where, programme, got, wood, points, following, found)
    _check_accept(ledger, where, found, programme, limits, best, following)
    _check_departure(ledger, where, found, programme, wood, safety, following)


def _check_grid(ledger, where, found):
    board, printed = found.board, found.record["map"]
    along, across = found.wood.along, found.wood.across
    columns = (4 if along <= 20 else 2) * along + 1
    rows = (4 if across <= 4 else 2) * across + 1
    ledger.same("map: columns and rows", (printed["columns"], printed["rows"]), (columns, rows), where)
    if (printed["columns"], printed["rows"]) != (columns, rows):
        return
    nut, end = board.frets[0], board.end_line
    points = iter(printed["points"])
    for i in range(columns):
        p = i / (columns - 1)
        line = (nut[0] + p * (end[0] - nut[0]), nut[1] + p * (end[1] - nut[1]))
        bass, treble = board.bass_edge.cut(line), board.treble_edge.cut(line)
        for j in range(rows):
            y = bass[1] + j / (rows - 1) * (treble[1] - bass[1])
            point = next(points)
            ledger.near("map: places", math.hypot(point["x_mm"] - line[0] - line[1] * y, point["y_mm"] - y), 0.0, where, 1e-9, "mm")
            area = (end[0] - nut[0]) / (columns - 1) * (treble[1] - bass[1]) / (rows - 1)
            area *= (0.5 if i in (0, columns - 1) else 1) * (0.5 if j in (0, rows - 1) else 1)
            ledger.share("map: areas", point["area_mm2"], area, where, RATIO)


def _check_wood(ledger, where, found, points):
    """Plan, wood and uncertainty at every spot."""
    board, wood = found.board, found.wood
    x, y = (np.array([p[k] for p in points]) for k in ("x_mm", "y_mm"))
    places = wood.spots(x, y)
    made = "finished camber" if found.expected.blocks is None and found.expected.fall_made else "stage that leaves more"
    planned = -places.fall - fig.drop(1 / np.where(places.expected == 0, 1e-300, places.expected), y)
    for point, want in zip(points, planned):
        ledger.near(f"map: planned surface, {made}", point["planned_mm"], float(want), f"{where} at {point['x_mm']:.1f}, {point['y_mm']:.1f}", 1e-9, "mm")
    if found.mean is None:
        return
    heights = places.heights(found.mean)
    for point, z in zip(points, heights):
        ledger.near("map: wood over the printed plan, at the printed means", point["over_plan_mm"], float(z) - point["planned_mm"], where, 1e-8, "mm")
    if found.has_windows:
        return
    depth = _less_mean_plane(found, x, y, points)
    sigma = np.sqrt(np.einsum("ij,jk,ik->i", depth, found.covariance, depth))
    for point, want in zip(points, sigma):
        ledger.share("map: uncertainty of the depth, values only", point["sigma_mm"], float(want), where, SURE_SHARE, floor=1e-9)


def _less_mean_plane(found, x, y, points):
    """Derivatives by theta of the wood less its own mean plane, by weighted least squares."""
    slopes = found.wood.spots(x, y).slopes(found.mean) * found.wood.deviation
    root = np.sqrt([p["area_mm2"] for p in points])
    plane = np.stack([np.ones_like(x), x / found.board.last_x, y], axis=1)
    return slopes - plane @ np.linalg.lstsq(root[:, None] * plane, root[:, None] * slopes, rcond=None)[0]


def _check_surface(ledger, where, programme, got, best, marginals, limits, following):
    floor = 1e-3 * programme.area.sum()
    ledger.share("next: greatest volume by HiGHS", programme.volume(got), programme.volume(best), f"{where}: {got} and {best}", OPTIMUM_SHARE, floor=floor)
    broken = float((programme.shares @ got - limits).max())
    ledger.near("next: no limit is broken", max(broken, 0.0), 0.0, where, BROKEN_MM, "mm")
    beyond = float((np.abs(got) / programme.bounds).max())
    ledger.holds("next: figures within their bounds", beyond <= 1 + 1e-9, f"{where}: {got} of {programme.bounds}")
    printed = {(round(row["x_mm"], 6), round(row["y_mm"], 6)) for row in following["limiting"]}
    place = lambda i: (round(float(programme.x[i]), 6), round(float(programme.y[i]), 6))
    slack = limits - programme.shares @ best
    active = {place(i) for i in np.flatnonzero(slack < LIMITING_MM)}
    pressing = {place(i) for i in np.flatnonzero(marginals < -1e-9)}
    # Within a solver's reach of the bound itself a spot may fall on either side.
    doubtful = {place(i) for i in np.flatnonzero((slack > 0.9e-6) & (slack < 1.1e-6))}
    near = limits - programme.shares @ got
    own = {place(i) for i in np.flatnonzero(near < LIMITING_MM)} - {place(i) for i in np.flatnonzero(np.abs(near - LIMITING_MM) < 1e-9)}
    ledger.holds("next: limiting spots touch the printed surface", own <= printed, f"{where}: {own - printed}")
    if programme.is_single:
        ledger.same("next: limiting spots are HiGHS's active ones", printed - doubtful, active - doubtful, where)
        ledger.near("next: figures of the one highest surface", float((np.abs(got - best) / programme.scale).max()), 0.0, where, HEIGHT_MM, "mm at the rim")
    # By complementary slackness every highest surface touches where a price is.
    ledger.holds("next: spots that press in HiGHS are limiting", pressing <= printed, f"{where}: {pressing - printed}")


def _check_take_off(ledger, where, programme, got, wood, points, following, found):
    board = found.board
    off = wood - programme.shares @ got
    ledger.near("next: most that comes off", following["take_off_max_mm"], float(off.max()), where, HEIGHT_MM, "mm")
    ledger.share("next: volume that comes off", following["take_off_mm3"], float(programme.area @ off), where, VOLUME_SHARE)
    for point, want in zip(points, programme.shares @ got):
        ledger.near("next: surface to work to, at every spot", point["target_mm"], float(want), where, 1e-9, "mm")
    rows = found.record["map"]["rows"]
    outer = np.arange(len(points)) % rows
    outer = (outer == 0) | (outer == rows - 1)
    planned = np.array([p["planned_mm"] for p in points])
    edge = (board.crown_mm + planned + programme.shares @ got - board.ledge_mm)[outer].min()
    ledger.near("next: thinnest edge after", following["edge_after_mm"], float(edge), where, HEIGHT_MM, "mm")


def _check_accept(ledger, where, found, programme, limits, best, following):
    board, wood = found.board, found.wood
    wood_now = np.array([point["over_plan_mm"] for point in found.record["map"]["points"]])
    p, q = wood.places_in_net(programme.x, programme.y)
    for choice in following["accept"]:
        at = int(np.argmin(np.hypot(programme.x - choice["x_mm"], programme.y - choice["y_mm"])))
        around = ((p - p[at]) * wood.along / 1.5) ** 2 + ((q - q[at]) * wood.across) ** 2 <= 1 + 1e-9
        higher, _ = programme.highest(limits, ~around)
        what = f"{where}, low spot at {choice['x_mm']:.1f}, {choice['y_mm']:.1f}"
        saved = programme.volume(higher) - programme.volume(best)
        ledger.near("next: wood saved by a low spot", choice["saved_mm3"] / programme.area.sum(), saved / programme.area.sum(), what, HEIGHT_MM, "mm over the board")
        low = float((programme.shares @ higher - wood_now)[around].max())
        ledger.near("next: depth of the low spot", choice["left_low_mm"], max(low, 0.0), what, 1e-5, "mm")


def _check_departure(ledger, where, found, programme, wood, safety, following):
    best, _ = programme.highest(wood)
    tolerance = following["tolerance_mm"]
    ledger.same("next: done when the most is within the tolerance", following["done"],
                following["departure_at_most_mm"] <= tolerance, where)
    if not programme.is_single:
        return  # Another highest surface leaves other departures.
    over = wood - programme.shares @ best
    told = following["departure_mm"]
    if abs(float(over.max()) - tolerance) > HEIGHT_MM:
        verdict = "done" if following["done"] else "read first" if over.max() <= tolerance else "take off"
        ledger.same("next: the verdict, by a second programme", following["verdict"], verdict, where)
    ledger.near("next: largest departure, by a second programme", told, float(over.max()), where, HEIGHT_MM, "mm")
    if found.has_windows or found.mean is None:
        return
    feet = np.flatnonzero(over < LIMITING_MM)
    free = np.abs(best) < programme.bounds * (1 - 2e-7)
    shares = programme.shares[:, free]
    weights = shares @ np.linalg.pinv(shares[feet])
    slopes = found.wood.spots(programme.x, programme.y).slopes(found.mean) * found.wood.deviation
    left = slopes - weights @ slopes[feet]
    left[feet] = 0.0
    sigma = np.sqrt(np.maximum(0.0, np.einsum("ij,jk,ik->i", left, found.covariance, left)))
    most = over + safety * sigma
    ledger.near("next: departure at most, values only", following["departure_at_most_mm"], float(most.max()), where, 1e-5, "mm")
    _check_telling(ledger, where, found, left[int(np.argmax(most))])


def _check_telling(ledger, where, found, asked):
    """The fall of the variance by light and by sagittas, every fret tried."""
    board, kit, cov = found.board, found.kit, found.covariance
    variance = float(asked @ cov @ asked)
    for row in found.record["next_readings"] or []:
        ledger.share("next reading: half an interval before", row["before_half_mm"], 1.959964 * math.sqrt(variance), where, SURE_SHARE)
        if row["kind"] not in ("light", "sagitta"):
            continue
        best = 0.0
        low, high = square_span(board)
        for x, _ in board.frets:
            if row["kind"] == "light" and not low <= x <= high:
                continue
            if row["kind"] == "light":
                tries = [(reach(board, x), fig.length_mm(kit.get("smallest_light", 0.02)) / 2)]
            else:
                tries = [(fig.length_mm(d["chord"]) / 2, fig.length_mm(d.get("resolution", 0.01)) / 2) for d in kit["dials"]]
                tries = [(half, sigma) for half, sigma in tries if half <= reach(board, x)]
            for half, sigma in tries:
                places = found.wood.spots([x, x, x], [0.0, half, -half])
                q = np.array([1, -0.5, -0.5]) @ places.slopes(found.mean) * found.wood.deviation
                best = max(best, (q @ cov @ asked) ** 2 / (q @ cov @ q + sigma**2))
        ledger.share(f"next reading: half an interval after, {row['kind']}", row["after_half_mm"],
                     1.959964 * math.sqrt(variance - best), where, SURE_SHARE)
