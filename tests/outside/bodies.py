"""What the program's bodies ought to be, from the commission's text: the board, its sanding caul, blocks and press cauls."""

import math
import re

import numpy as np

from figures import drop
from judge_solids import Claim

WALL_MM = 0.01  # places nearer to a wall than this, and than the chord of a round one, belong to either side
PLACES = 40
# Sizes of tools, from docs of the command `cut`: length, width, height in mm.
BLOCK_MM = (200.0, 70.0, 30.0)
CAUL_HEIGHT_MM = 30.0
PRESS_MM = (12.0, 20.0)
PRESS_RATIO = 0.95
LEFT_OUT = re.compile(r"the dot behind (?:fret )?(\d+)(?:st|nd|rd|th)?(?: fret)?, (-?[0-9.]+) mm from the centreline, is left out")


def claim_of_board(work, notes, chord_mm):
    """The board with slots, ledges and pockets; a dot that the notes leave out is not asked for."""
    told = [(int(m[1]), float(m[2])) for m in map(LEFT_OUT.match, notes) if m]
    left_out = [dot for dot in work.dots if any(dot[4] == fret and abs(dot[1] - y) <= 0.051 for fret, y in told)]

    def height(x, y):
        return work.body_height(x, y, WALL_MM + chord_mm, left_out)

    return Claim(work.body_volume(left_out), np.array(list(_board_places(work, height))), height, -work.crown_mm, chord_mm, notes)


def _board_places(work, height):
    chance = np.random.default_rng(11)
    x = chance.uniform(work.min_x, work.max_x, 4 * PLACES)
    y = chance.uniform(*[s * max(abs(b) for _, b in work.outline) for s in (-1, 1)], 4 * PLACES)
    rows = [np.stack([x, y], axis=1)[: PLACES * 2]]
    for fret in range(1, work.fret_count + 1):
        (bx, by), (tx, ty) = work.slot_ends(fret)
        share = chance.uniform(0.02, 0.98, 2)
        rows.append(np.stack([bx + share * (tx - bx), by + share * (ty - by)], axis=1))
    for cx, cy, diameter, _, _ in work.dots:
        rows.append(np.array([[cx + diameter / 5, cy - diameter / 7]]))
    places = np.concatenate(rows)
    z = height(places[:, 0], places[:, 1])
    for (px, py), pz in zip(places, z):
        if math.isfinite(pz):
            yield px, py, pz


def claim_of_tool(length, width, height_mm, radii, chord_mm):
    """A box with a hollow upper side, its radius straight from end to end; thickest at the edges of its tighter end."""
    half = width / 2

    def radius(x):
        if all(map(math.isinf, radii)):
            return np.full(np.shape(x), math.inf)
        return radii[0] + np.asarray(x) / length * (radii[1] - radii[0])

    crown = height_mm - max(float(drop(r, half)) for r in radii)

    def height(x, y):
        inside = (x > WALL_MM) & (x < length - WALL_MM) & (np.abs(y) < half - WALL_MM)
        return np.where(inside, crown + drop(radius(x), np.where(inside, y, 0.0)), np.nan)

    nodes, weights = np.polynomial.legendre.leggauss(40)
    x, y = length / 2 * (1 + nodes), half * nodes
    over = weights @ drop(radius(x)[:, None], y[None, :]) @ weights * length / 2 * half
    chance = np.random.default_rng(12)
    at = np.stack([chance.uniform(0.1, length - 0.1, 30), chance.uniform(-half + 0.1, half - 0.1, 30)], axis=1)
    points = np.column_stack([at, height(at[:, 0], at[:, 1])])
    return Claim(length * width * crown + float(over), points, height, 0.0, chord_mm)


def claim_of(work, title, notes, chord_mm):
    """The claim of a body by its title, or None."""
    if title == f"{work.title} board":
        return claim_of_board(work, notes, chord_mm)
    if title == f"{work.title} sanding caul":
        xs = [x for x, _ in work.outline]
        # Where a section square to the centreline is whole; the corners stand nut, end, end, nut.
        near, far = max(0.0, xs[0], xs[3]), min(work.end_x, xs[1], xs[2])
        radii = [float(work.radius(near)), float(work.radius(far))]
        widest = max(float(work.half_width(near)), float(work.half_width(far)))
        width = min(2 * widest + 6.0, 1.9 * min(radii))
        return claim_of_tool(far - near, width, CAUL_HEIGHT_MM, radii, chord_mm)
    if match := re.fullmatch(r"Block ([0-9.]+) mm(?: to ([0-9.]+) mm)?", title):
        return claim_of_tool(*BLOCK_MM, [float(match[1]), float(match[2] or match[1])], chord_mm)
    if match := re.search(r", press caul for fret (\d+)$", title):
        fret = int(match[1])
        length, height = PRESS_MM
        radius = PRESS_RATIO * work.arc_radius(fret)
        return claim_of_tool(length, math.dist(*work.fret_ends(fret)), height, [radius] * 2, chord_mm)
    return None
