"""Judges programs for a machine: a general RS-274 interpreter reads them, and the motions it prints are swept here.

Needs numpy and `rs274`, the interpreter of Debian's package linuxcnc-uspace. What the board asks for is computed from
the commission's and the kit's text by `asked_of_programs`; nothing is known here of how the programs were made.
"""

import math
import os
import re
import subprocess
import tempfile
from pathlib import Path

import numpy as np

GOUGE_MM = 1e-3  # what may be cut away too much
LEVEL_MM = 1e-3  # what level floors may stand over what is asked
SLOPING_MM = 0.02  # and sloping ones, over what a flat end must leave: a tenth of the air that is usual under a tang
STATED = 0.1  # of what is stated: places watched here lie between those that the program watched
STATED_MM = 5e-4  # the same on floors without a slope
WALL_MM = 1e-3  # places nearer to a wall than this count for its lower side
ARC_MM = 5e-5  # how far the chords that stand for an arc stay inside it
PAIRS = 12_000  # places times motions looked at in one go: few enough for a core's own memory
SEED = 9


class Folder:
    """The folder of programs, and what is asked of them. Heights are over the bed."""

    def __init__(self, path, told):
        self.path = Path(path)
        self.told = t = told
        self.crown = t["crown_thickness_mm"]
        self.corners = np.array(t["corners_mm"])
        self.from_x, self.length, self.width, self.blank = t["blank_mm"]
        outline = [p for p in t["programs"] if p["work"] == "Outline"]
        self.groove = outline[0]["diameter_mm"] if outline else 1.0

    def radius(self, x):
        x = np.asarray(x, dtype=float)
        knots = self.told["camber_knots_mm"]
        if knots[0][1] is None:
            return np.full_like(x, math.inf)
        at, radii = np.array(knots, dtype=float).T
        radius = np.interp(x, at, radii)
        before, after = self.told["radius_runs_on"]
        if len(at) > 1 and before:
            radius = np.where(x < at[0], radii[0] + (x - at[0]) * (radii[1] - radii[0]) / (at[1] - at[0]), radius)
        if len(at) > 1 and after:
            radius = np.where(x > at[-1], radii[-1] + (x - at[-1]) * (radii[-1] - radii[-2]) / (at[-1] - at[-2]), radius)
        return radius

    def face(self, x, y):
        radius = self.radius(x)
        with np.errstate(invalid="ignore", over="ignore"):
            drop = np.where(np.isinf(radius), 0.0, radius - np.sqrt(np.maximum(radius**2 - y**2, 0.0)))
        fall = 0.0
        if self.told["fall_mm"]:
            begin, end, depth = self.told["fall_mm"]
            fall = depth * np.maximum(x - begin, 0.0) / (end - begin)
        return self.crown - fall - drop

    def kinks(self):
        knots = [x for x, _ in self.told["camber_knots_mm"]]
        return knots + ([self.told["fall_mm"][0]] if self.told["fall_mm"] else [])

    def edges(self):
        """Begin, direction, outward normal and length of the sides; the corners run with the clock."""
        begin, end = self.corners, np.roll(self.corners, -1, axis=0)
        along = end - begin
        length = np.hypot(*along.T)
        along = along / length[:, None]
        return begin, along, np.stack([-along[:, 1], along[:, 0]], axis=1), length

    def inside(self, x, y):
        """How far inside the straight sides a place lies; negative outside."""
        begin, _, out, _ = self.edges()
        return np.min([-((x - b[0]) * o[0] + (y - b[1]) * o[1]) for b, o in zip(begin, out)], axis=0)

    def away(self, x, y):
        """Distance from the board's edge line."""
        far = np.full_like(x, math.inf)
        for b, a, _, length in zip(*self.edges()):
            s = np.clip((x - b[0]) * a[0] + (y - b[1]) * a[1], 0.0, length)
            far = np.minimum(far, np.hypot(x - b[0] - s * a[0], y - b[1] - s * a[1]))
        return far

    def tabs(self):
        """Middle and direction of each tab: evenly along the treble side, then along the bass side."""
        begin, along, _, length = self.edges()
        count = self.told["tabs"]
        found = []
        for side, many in ((0, (count + 1) // 2), (2, count // 2)):
            for index in range(many):
                found.append((begin[side] + along[side] * length[side] * (index + 0.5) / many, along[side]))
        return found

    def slot_frame(self, slot, x, y):
        """Distance aside of a slot's middle line."""
        at, slope, _ = slot
        return (x - at - slope * y) / math.hypot(1.0, slope)

    def bound_inside(self, x, y):
        """How far inside the binding's inner lines along both long sides a place lies."""
        begin, _, out, _ = self.edges()
        by_side = [-((x - begin[i][0]) * out[i][0] + (y - begin[i][1]) * out[i][1]) for i in (0, 2)]
        return np.minimum(*by_side) - self.told["binding_mm"]


class Places:
    """Watched places, the wood at each, and how low it may be after each program."""

    def __init__(self, folder):
        self.folder = folder
        chance = np.random.default_rng(SEED)
        groups = [self._face(chance), self._slots(), self._dots(), self._around(), self._blank(chance)]
        x, y = np.concatenate(groups).T
        on_blank = (x >= folder.from_x) & (x <= folder.from_x + folder.length) & (np.abs(y) <= folder.width / 2)
        order = np.argsort(x[on_blank], kind="stable")
        self.x, self.y = x[on_blank][order], y[on_blank][order]
        self.stock = np.full_like(self.x, folder.blank)
        self._name()

    def _face(self, chance):
        f = self.folder
        low, high = f.corners[:, 0].min(), f.corners[:, 0].max()
        rows = [low, high, *f.corners[:, 0], *chance.uniform(low, high, 10)]
        rows += [k + d for k in f.kinks() for d in (-0.3, 0.0, 0.3) if low < k + d < high]
        half = np.abs(f.corners[:, 1]).max()
        across = np.arange(-half, half, 0.023)
        return np.array([(x, y) for x in rows for y in across])

    def _slots(self):
        f, half, found = self.folder, self.folder.told["slot_width_mm"] / 2, []
        aside = np.array([-half - 2e-3, -half + 5e-4, -half / 2, 0.0, half / 2, half - 5e-4, half + 2e-3])
        reach = np.abs(f.corners[:, 1]).max()
        for at, slope, _ in f.told["slots_mm"]:
            for y in np.linspace(-reach, reach, 61):
                square = math.hypot(1.0, slope)
                found += [(at + slope * y + a / square, y - a * slope / square) for a in aside]
        return np.array(found).reshape(-1, 2)

    def _dots(self):
        found = []
        for x, y, diameter, _ in self.folder.told["dots_mm"]:
            for out in (0.0, 0.4 * diameter / 2, 0.8 * diameter / 2, diameter / 2 - 5e-4, diameter / 2 + 2e-3, diameter / 2 + 0.02):
                turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
                found += list(zip(x + out * np.cos(turn), y + out * np.sin(turn)))
        return np.array(found).reshape(-1, 2)

    def _around(self):
        f, found = self.folder, []
        for b, a, o, length in zip(*f.edges()):
            s = np.arange(0.0, length, 1.1)
            for out in (-2e-3, 0.05, f.groove / 2, f.groove - 0.05, f.groove + 0.05):
                found.append(b + s[:, None] * a + out * o)
        return np.concatenate(found)

    def _blank(self, chance):
        f = self.folder
        return np.stack([chance.uniform(f.from_x, f.from_x + f.length, 6000), chance.uniform(-f.width / 2, f.width / 2, 6000)], axis=1)

    def _name(self):
        """What every place is part of."""
        f, x, y, t = self.folder, self.x, self.y, self.folder.told
        inside = f.inside(x, y)
        self.board = inside >= WALL_MM
        self.face = np.where(self.board, f.face(x, np.clip(y, -200, 200)), 0.0)
        self.slot_floor, self.must_slot = np.full_like(x, math.inf), np.zeros(x.shape, bool)
        half = t["slot_width_mm"] / 2
        bound = t["binding_mm"] > 0
        lengthwise = f.bound_inside(x, y) if bound else np.full_like(x, math.inf)
        for slot in t["slots_mm"]:
            aside = np.abs(f.slot_frame(slot, x, y))
            holds = self.board & (aside <= half + WALL_MM) & (lengthwise >= -WALL_MM)
            crown = float(f.face(np.array([slot[0]]), np.array([0.0]))[0])
            floor = np.full_like(x, crown - slot[2]) if t["slot_floor_flat"] else self.face - slot[2]
            self.slot_floor = np.where(holds, floor, self.slot_floor)
            self.must_slot |= holds & (aside < half - 3e-4) & (lengthwise > 2 * half)
        self.dot_floor, self.must_dot = np.full_like(x, math.inf), np.zeros(x.shape, bool)
        for cx, cy, diameter, depth in t["dots_mm"]:
            out = np.hypot(x - cx, y - cy)
            floor = float(f.face(np.array([cx]), np.array([cy]))[0]) - depth
            # A drill taken for the same may be 0.02 mm wider.
            self.dot_floor = np.where(self.board & (out <= diameter / 2 + 0.01 + WALL_MM), floor, self.dot_floor)
            self.must_dot |= out < diameter / 2 - 0.0103
        self._name_waste()

    def _name_waste(self):
        f, x, y = self.folder, self.x, self.y
        away = f.away(x, y)
        length, _ = f.told["tab_mm"]
        self.tab = np.zeros(x.shape, bool)
        near = np.zeros(x.shape, bool)
        for middle, along in f.tabs():
            s = (x - middle[0]) * along[0] + (y - middle[1]) * along[1]
            out = (y - middle[1]) * along[0] - (x - middle[0]) * along[1]
            self.tab |= ~self.board & (np.abs(s) <= length / 2 - WALL_MM) & (out > -0.01) & (away <= f.groove)
            near |= (np.abs(s) <= length / 2 + f.groove) & (out > -1.0) & (out < 2 * f.groove)
        self.free = ~self.board & (away > 0.01) & (away < f.groove - 0.02) & ~near

    def floor(self, work):
        """The least height that the wood may have after a program."""
        f, t = self.folder, self.folder.told
        order = ["Rough", "Finish", "Slots", "Dots", "Outline"].index(work)
        # Where the blank is thinner than the allowance reaches, roughing leaves it as it is.
        low = np.minimum(self.face + t["allowance_mm"], f.blank) if work == "Rough" else self.face
        if order >= 2:
            low = np.minimum(low, self.slot_floor)
        if order >= 3:
            low = np.minimum(low, self.dot_floor)
        waste = np.zeros_like(low)
        if work == "Outline":
            waste = np.where(self.tab, t["tab_mm"][1], -t["into_bed_mm"])
        return np.where(self.board, low, waste)


MOTION = re.compile(r"(STRAIGHT_TRAVERSE|STRAIGHT_FEED|ARC_FEED)\(([^)]*)\)")


def motions(program, folder):
    """What the interpreter makes of a program: (rapid or not, from, to) of straight pieces; None if it stops with a fault."""
    with tempfile.TemporaryDirectory() as name:
        table, out = Path(name) / "tool.tbl", Path(name) / "out.txt"
        table.touch()
        # It keeps its tools in a file under HOME, which two of them side by side would cut short for each other.
        done = subprocess.run(["rs274", "-g", "-t", str(table), str(folder.path / program["file"]), str(out)],
                              capture_output=True, text=True, timeout=60, cwd=name, env={**os.environ, "HOME": name})
        text = out.read_text(encoding="utf-8", errors="replace") if out.exists() else ""
    if "PROGRAM_END()" not in text or done.returncode != 0:
        return None
    at, rapids, begins, ends = [None] * 3, [], [], []
    for kind, numbers in MOTION.findall(text):
        n = [float(v) for v in numbers.split(",")]
        if kind == "ARC_FEED":
            to, through = (n[0], n[1], n[5]), _chords(at, n)
        else:
            to = tuple(n[:3])
            through = [to]
            if kind == "STRAIGHT_TRAVERSE" and (at[2] is None or not begins and at[:2] == [0.0, 0.0]):
                # It does not know where the cutter stands before the first place.
                at = list(to)
                continue
        for place in through:
            rapids.append(kind == "STRAIGHT_TRAVERSE")
            begins.append(at[:])
            ends.append(place)
            at = list(place)
    return np.array(rapids), np.array(begins), np.array(ends)


def _chords(at, n):
    """Places along an arc: end x and y, centre x and y, turns against the clock, end z."""
    end_x, end_y, cx, cy, turns, end_z = n[:6]
    radius = math.hypot(at[0] - cx, at[1] - cy)
    begin, end = math.atan2(at[1] - cy, at[0] - cx), math.atan2(end_y - cy, end_x - cx)
    sweep = (end - begin) % (2 * math.pi) if turns > 0 else -((begin - end) % (2 * math.pi))
    if abs(sweep) < 1e-9:
        sweep = math.copysign(2 * math.pi, turns)
    count = max(2, math.ceil(abs(sweep) / math.sqrt(8 * ARC_MM / max(radius, 1e-3))))
    share = np.arange(1, count) / count
    angle = begin + sweep * share
    inner = np.stack([cx + radius * np.cos(angle), cy + radius * np.sin(angle), at[2] + (end_z - at[2]) * share], axis=1)
    return [*map(tuple, inner), (end_x, end_y, end_z)]


def lowest(shape, r, begin, end, x, y):
    """How low the cutter comes: places down, motions across; infinite where it does not come.

    In the upright plane along a motion, s from its begin and q aside, the cutter is as wide as its chord ρ = √(r² - q²).
    A place at s is cut lowest when the axis is at s - κρ, kept within the motion: on a slope m the flat end cuts with
    its lower rim, κ = ±1, and the ball where it is as steep, κ = m / √(1 + m²).
    """
    d = end - begin
    length = np.hypot(d[:, 0], d[:, 1])
    plunge = length < 1e-9
    away = np.where(plunge, 1.0, length)
    along_x, along_y, slope = np.where(plunge, 1.0, d[:, 0] / away), np.where(plunge, 0.0, d[:, 1] / away), np.where(plunge, 0.0, d[:, 2] / away)
    from_z = np.where(plunge, np.minimum(begin[:, 2], end[:, 2]), begin[:, 2])
    lean = slope / np.sqrt(1.0 + slope**2) if shape == "Ball" else np.sign(slope)
    px, py = x[:, None] - begin[:, 0], y[:, None] - begin[:, 1]
    s = px * along_x + py * along_y
    square = r * r - (px * along_y - py * along_x) ** 2
    chord = np.sqrt(np.maximum(square, 0.0))
    axis = np.clip(s - lean * chord, 0.0, length)
    z = from_z + slope * axis
    if shape == "Ball":
        z += r - np.sqrt(np.maximum(square - (s - axis) ** 2, 0.0))
    return np.where((square >= 0.0) & (s >= -chord) & (s <= length + chord), z, math.inf)


def sweep(places, program, moves):
    """Takes the wood away, motion by motion; gives how deep motions without feed were in wood."""
    rapids, begins, ends = moves
    low = ~rapids | (np.minimum(begins[:, 2], ends[:, 2]) < places.folder.blank)
    rapids, begins, ends = rapids[low], begins[low], ends[low]
    # Runs of motions with feed; one without feed stands alone.
    breaks = np.flatnonzero(rapids[1:] | rapids[:-1]) + 1
    deepest, r = 0.0, program["diameter_mm"] / 2
    for first, last in zip([0, *breaks], [*breaks, len(rapids)]):
        while first < last:
            chunk, after = _chunk(places, begins[first:last], ends[first:last], r)
            z = lowest(program["shape"], r, begins[first:first + after], ends[first:first + after], places.x[chunk], places.y[chunk])
            z = z.min(axis=1, initial=math.inf)
            if rapids[first]:
                deepest = max(deepest, float(np.max(places.stock[chunk] - z, initial=0.0)))
            else:
                places.stock[chunk] = np.minimum(places.stock[chunk], z)
            first += after
    return deepest


def _chunk(places, begins, ends, r):
    """The places that the first motions may touch, and how many of these: few enough for one go, twice as many at each try."""
    count, chosen, low, high = 0, None, np.full(2, math.inf), np.full(2, -math.inf)
    while count < len(begins):
        more = min(max(2 * count, 1), len(begins))
        new = begins[count:more, :2], ends[count:more, :2]
        low, high = np.minimum(low, np.min(new, axis=(0, 1)) - r), np.maximum(high, np.max(new, axis=(0, 1)) + r)
        near, far = np.searchsorted(places.x, (low[0], high[0]))
        y = places.y[near:far]
        found = near + np.flatnonzero((y >= low[1]) & (y <= high[1]))
        if count and len(found) * more > PAIRS:
            break
        count, chosen = more, found
    return chosen, count


def clamps_met(folder, program, moves):
    """How many motions come over a clamp lower than its top."""
    _, begins, ends = moves
    r, met = program["diameter_mm"] / 2, 0
    for x, y, far_x, far_y, height in folder.told["clamps_mm"]:
        share = np.linspace(0.0, 1.0, 41)[:, None, None]
        at = begins + share * (ends - begins)
        out_x = np.maximum(np.maximum(x - at[..., 0], at[..., 0] - far_x), 0.0)
        out_y = np.maximum(np.maximum(y - at[..., 1], at[..., 1] - far_y), 0.0)
        met += int(((np.hypot(out_x, out_y) < r) & (at[..., 2] < height)).any(axis=0).sum())
    return met


def judge_programs(ledger, where, folder, spoils=False):
    """Every program of a folder, one after the other on one blank; with `spoils` this judge is proved, too."""
    places = Places(folder)
    for program in folder.told["programs"]:
        name, work = f"{where} {program['file']}", program["work"]
        moves = motions(program, folder)
        ledger.holds("programs: the interpreter reads them to their end", moves is not None, name)
        if moves is None:
            continue
        if spoils and work == "Finish":
            _notices(ledger, places, name, program, moves)
        deepest = sweep(places, program, moves)
        ledger.near("programs: no traverse goes through wood", deepest, 0.0, name, GOUGE_MM, "mm")
        gouge = max(float(np.max(places.floor(work) - places.stock)), 0.0)
        ledger.near("programs: nothing is cut away too much", gouge, 0.0, name, GOUGE_MM, "mm")
        ledger.same("programs: no clamp is met", clamps_met(folder, program, moves), 0, name)
        _reached(ledger, places, name, program)


def _notices(ledger, places, name, program, moves):
    """This judge must find a lowered pass and a missing one: it spoils the finish, and puts the wood back."""
    rapids, begins, ends = moves
    long = np.flatnonzero(~rapids & (np.abs(ends[:, 0] - begins[:, 0]) > 20.0))
    one = long[len(long) // 2]
    before = places.stock.copy()
    lowered = begins.copy(), ends.copy()
    for place in lowered:
        place[one, 2] -= 0.003
    sweep(places, program, (rapids, *lowered))
    gouge = float(np.max(places.floor("Finish") - places.stock))
    ledger.holds("programs: a move lowered by 3 um would be noticed", gouge > GOUGE_MM, f"{name}: {gouge} mm")
    places.stock[:] = before
    keep = np.arange(len(rapids)) != one
    sweep(places, program, (rapids[keep], begins[keep], ends[keep]))
    left = float((places.stock - places.face)[places.board].max())
    ledger.holds("programs: a missing move would be noticed", left > places.folder.told["scallop_mm"], f"{name}: {left} mm")
    places.stock[:] = before


def _reached(ledger, places, name, program):
    """What the program was for."""
    told, work = places.folder.told, program["work"]
    over = places.stock - places.floor(work)
    if work == "Finish":
        share = float(over[places.board].max()) / told["scallop_mm"]
        ledger.near("programs: scallops, in parts of what was asked", share, 0.0, name, 1.0, "of the scallop")
    if work == "Slots":
        left, stated = float(over[places.must_slot].max()), program["floor_left_mm"]
        # Straight ways keep above an arch, and above a kink that the end's rim touches.
        most = LEVEL_MM if told["slot_floor_flat"] else SLOPING_MM
        high = float((over - _flat_end_leaves(places, program))[places.must_slot].max())
        ledger.near("programs: floors of slots, in parts of what may be left", max(high, 0.0) / most, 0.0, name, 1.0, "of the bound")
        ledger.holds("programs: floors are no higher than stated", left <= (1 + STATED) * stated + STATED_MM, f"{name}: {left:.6f} mm, stated {stated:.6f} mm")
    if work == "Dots" and places.must_dot.any():
        left = max(float(over[places.must_dot].max()), 0.0)
        ledger.near("programs: pockets are deep and wide enough", left, 0.0, name, LEVEL_MM, "mm")
    if work == "Outline":
        left = max(float(over[places.free].max()), 0.0)
        ledger.near("programs: the board is free but for its tabs", left, 0.0, name, GOUGE_MM, "mm")
        if places.tab.any():
            ledger.near("programs: tabs stand as high as told", float(over[places.tab].min()), 0.0, name, GOUGE_MM, "mm")


def _flat_end_leaves(places, program):
    """What a flat end must leave on a sloping floor: it stands on its rim, as far down the slope as the slot lets it.

    On a floor of slope g an end of radius r stands g·r over its middle. With the middle c aside of the slot's line it
    comes as far as √(r² - (a - c)²) past a place that lies a aside. Of the passes along both walls the better counts.
    """
    folder, told, r, step = places.folder, places.folder.told, program["diameter_mm"] / 2, 1e-3
    least = np.zeros_like(places.x) if told["slot_floor_flat"] else np.full_like(places.x, math.inf)
    x, y = places.x, np.clip(places.y, -200, 200)
    by_x, by_y = (folder.face(x + step, y) - folder.face(x - step, y)) / (2 * step), (folder.face(x, y + step) - folder.face(x, y - step)) / (2 * step)
    room = max(told["slot_width_mm"] / 2 - r, 0.0)
    for slot in told["slots_mm"] if not told["slot_floor_flat"] else []:
        aside, square = folder.slot_frame(slot, x, y), math.hypot(1.0, slot[1])
        across, along = (by_x - slot[1] * by_y) / square, np.abs(slot[1] * by_x + by_y) / square
        for c in (-room, room):
            reach = np.sqrt(np.maximum(r * r - (aside - c) ** 2, 0.0))
            left = np.hypot(across, along) * r + across * (c - aside) - along * reach
            least = np.where(np.abs(aside - c) <= r, np.minimum(least, left), least)
    return least
