"""What files say of one board beyond its figures: slots, dots, blank, cutting, and the wood's height at every place.

Everything is taken from the commission's text, as the formats' pages in docs/formats describe it.
"""

import math

import numpy as np

from figures import Board, Line, drop, length_mm

# Usual figures where the commission is silent, from docs/formats/commission.md.
USUAL_REST_MM = 15.0
MARKED_STEPS = (3, 5, 7, 9, 12)


class Workpiece(Board):
    """A board with all that is cut into it."""

    def __init__(self, text):
        super().__init__(text)
        self.title = self.record["title"]
        binding = self.wood.get("binding", 0.0)
        self.binding_mm = length_mm(binding["width"] if isinstance(binding, dict) else binding)
        self.inner_treble = Line(self.treble_edge.at0 - self.binding_mm, self.treble_edge.slope)
        self.inner_bass = Line(self.bass_edge.at0 + self.binding_mm, self.bass_edge.slope)
        self.slot_width_mm = length_mm(self.fittings.get("slot_width", 0.55))
        self.floor_is_flat = self.fittings.get("slot_floor", "flat") == "flat"
        self.sunk_mm = length_mm(self.fittings.get("tang_depth", 1.6)) + length_mm(self.fittings.get("clearance", 0.0))
        self.dots = list(self._dots())
        self.cutting = self.record.get("cutting", {})

    # Slots.

    def slot_depth(self, fret):
        """Depth under the crown; a flat floor lies as much deeper as the arch drops at the slot's end."""
        x = self.frets[fret][0]
        reach = float(self.half_width(x)) - self.binding_mm
        return self.sunk_mm + (float(drop(self.radius(x), reach)) if self.floor_is_flat else 0.0)

    def slot_ends(self, fret, aside=0.0):
        """Bass and treble end of a slot's line, or of one moved so far square to it: at the edges or the binding."""
        x, lean = self.frets[fret]
        line = (x + aside * math.hypot(1.0, lean), lean)
        return self.inner_bass.cut(line), self.inner_treble.cut(line)

    def slot_corners(self, fret):
        """The four corners of the thin shape between a slot's walls."""
        half = self.slot_width_mm / 2
        return [*self.slot_ends(fret, -half), *self.slot_ends(fret, half)]

    def slot_floor(self, fret, x, y):
        """Height of a slot's floor."""
        if self.floor_is_flat:
            return np.full(np.shape(x), float(self.surface(self.frets[fret][0], 0.0)) - self.slot_depth(fret))
        return self.surface(x, y) - self.slot_depth(fret)

    def aside(self, fret, x, y):
        """Signed distance from a slot's middle line."""
        at, lean = self.frets[fret]
        return (x - at - lean * y) / math.hypot(1.0, lean)

    # Dots.

    def _dots(self):
        """(x, y, diameter, depth, fret), each midway between its fret and the one before."""
        if "dots" not in self.record:
            return
        table = self.record["dots"]
        twelve = self.scale.get("tuning", "12 equal") == "12 equal"
        usual = [f for f in range(1, self.fret_count + 1) if twelve and (f - 1) % 12 + 1 in MARKED_STEPS]
        frets = sorted(set(table.get("frets", usual)))
        double = table.get("double", [f for f in frets if self.cents(f) % 1200.0 == 0.0])
        diameter, depth = length_mm(table.get("diameter", 6.0)), length_mm(table.get("depth", 1.5))
        for fret in frets:
            line = tuple((a + b) / 2 for a, b in zip(self.frets[fret - 1], self.frets[fret]))
            apart = self.treble_lane.cut(line)[1] - self.bass_lane.cut(line)[1]
            half = (length_mm(table["apart"]) if "apart" in table else apart / 2) / 2
            for y in ([half, -half] if fret in double else [0.0]):
                yield line[0] + line[1] * y, y, diameter, depth, fret

    def dots_have_room(self):
        """Whether all dots are clear of the slots on both sides, the nut counted as one, of the edges, and of their twins."""
        for x, y, diameter, _, fret in self.dots:
            slots = min(abs(float(self.aside(beside, x, y))) for beside in (fret - 1, fret)) - self.slot_width_mm / 2
            edges = min(edge.away(x, y) for edge in (self.treble_edge, self.bass_edge))
            if min(slots, edges, abs(y) or math.inf) <= diameter / 2:
                return False
        return True

    # The blank and how it is cut.

    @property
    def blank(self):
        """(x of its nut end, length, width, thickness)."""
        from_x, to_x = self.min_x, self.max_x
        widest = max(abs(y) for _, y in self.outline)
        length = self.wood.get("blank_length")
        if "blank_before_nut" in self.wood:
            before = length_mm(self.wood["blank_before_nut"])
        elif length is not None:
            before = (length_mm(length) - (to_x - from_x)) / 2 - from_x
        else:
            before = USUAL_REST_MM - from_x
        length = before + to_x + USUAL_REST_MM if length is None else length_mm(length)
        width = length_mm(self.wood.get("blank_width", 2 * (widest + USUAL_REST_MM)))
        return -before, length, width, length_mm(self.wood.get("blank_thickness", self.crown_mm + 1.0))

    def cut(self, name, usual):
        """A length of the table `cutting`."""
        return length_mm(self.cutting.get(name, usual))

    @property
    def clamps(self):
        """(x, y, far x, far y, height)."""
        boxes = [[length_mm(c[k]) for k in ("x", "y", "along", "across", "height")] for c in self.cutting.get("clamps", [])]
        return [(x, y, x + along, y + across, height) for x, y, along, across, height in boxes]

    # The finished board as a body. Dots may be left out of it, which is said beside the file.

    @property
    def wood_edges(self):
        """Bass and treble edge of the board's own wood: within the binding where that has no ledge."""
        within = self.binding_mm > 0 and self.ledge_mm == 0
        return (self.inner_bass, self.inner_treble) if within else (self.bass_edge, self.treble_edge)

    def body_height(self, x, y, air=0.0, left_out=()):
        """Height of the upper side at places inside, and NaN nearer than `air` to any wall."""
        x, y = np.asarray(x, float), np.asarray(y, float)
        bass, treble = self.inner_bass, self.inner_treble
        inside = np.minimum(treble.y(x) - y, y - bass.y(x))
        z = self.surface(x, y)
        for fret in range(1, self.fret_count + 1):
            away = np.abs(self.aside(fret, x, y)) - self.slot_width_mm / 2
            holds = (away < 0) & (inside > 0)
            z = np.where(holds, self.slot_floor(fret, x, y), z)
            z = np.where((np.abs(away) < air) & (inside > -air), np.nan, z)
        for cx, cy, diameter, depth, _ in (dot for dot in self.dots if dot not in left_out):
            out = np.hypot(x - cx, y - cy) - diameter / 2
            z = np.where(out < 0, float(self.surface(cx, cy)) - depth, z)
            z = np.where(np.abs(out) < air, np.nan, z)
        if self.binding_mm > 0 and self.ledge_mm > 0:
            z = np.where(inside < 0, self.ledge_mm - self.crown_mm, z)
            z = np.where(np.abs(inside) < air, np.nan, z)
        bass, treble = self.wood_edges
        for_edge = np.minimum(treble.y(x) - y, y - bass.y(x))
        (near, lean), (far, far_lean) = self.frets[0], self.end_line
        for_end = np.minimum(x - near - lean * y, far + far_lean * y - x)
        return np.where(np.minimum(for_edge, for_end) > air, z, np.nan)

    def body_volume(self, left_out=()):
        """Volume of the body, by quadrature of every part that is cut away."""
        whole = self._volume_within(*self.wood_edges, lambda x, y: self.crown_mm + self.surface(x, y))
        if self.binding_mm > 0 and self.ledge_mm > 0:
            over = lambda x, y: self.crown_mm + self.surface(x, y) - self.ledge_mm
            whole -= self._volume_within(self.bass_edge, self.treble_edge, over)
            whole += self._volume_within(self.inner_bass, self.inner_treble, over)
        slots = sum(self._slot_volume(fret) for fret in range(1, self.fret_count + 1))
        return whole - slots - sum(self._dot_volume(dot) for dot in self.dots if dot not in left_out)

    def _volume_within(self, bass, treble, height):
        """∫∫ height over the outline between two edges, in x measured from the nut's slanted line to the end's."""
        nodes, weights = np.polynomial.legendre.leggauss(32)
        corners = [edge.cut(line)[0] for edge in (bass, treble) for line in (self.frets[0], self.end_line)]
        xs = sorted({*corners, *(x for x in self.breaks if min(corners) < x < max(corners))})
        total = 0.0
        for a, b in zip(xs, xs[1:]):
            x = (a + b) / 2 + (b - a) / 2 * nodes
            low, high = bass.y(x), treble.y(x)
            for (at, lean), sign in ((self.frets[0], 1.0), (self.end_line, -1.0)):
                # The board lies where sign · (x - at - lean · y) is above zero.
                if lean:
                    y = (x - at) / lean
                    if sign * lean > 0:
                        high = np.minimum(high, y)
                    else:
                        low = np.maximum(low, y)
            high = np.maximum(high, low)
            y = (low + high) / 2 + np.outer(nodes, (high - low) / 2)
            inner = (weights[:, None] * height(x[None, :], y)).sum(axis=0) * (high - low) / 2
            total += float((weights * inner).sum() * (b - a) / 2)
        return total

    def _slot_volume(self, fret):
        """Face over floor, along lines beside the slot's middle; each line is cut where the face has a kink."""
        at, lean = self.frets[fret]
        square = math.hypot(1.0, lean)
        nodes, weights = np.polynomial.legendre.leggauss(12)
        half = self.slot_width_mm / 2
        # Without overhang the board ends in the middle of its last slot; the end is parallel to that fret.
        far = min(half, (self.end_line[0] - at) / square) if fret == self.fret_count else half
        # Under a square slot a kink of the face runs along it, under a slanted one it crosses it.
        along = [] if lean else [x - at for x in self.breaks if -half < x - at < far]
        us = sorted({-half, *along, far})
        total = 0.0
        for near, beyond in zip(us, us[1:]):
            u = (near + beyond) / 2 + (beyond - near) / 2 * nodes
            total += square * float(weights @ self._slot_strips(fret, u)) * (beyond - near) / 2
        return total

    def _slot_strips(self, fret, u):
        """∫ face over floor along each of the lines so far beside a slot's middle."""
        at, lean = self.frets[fret]
        nodes, weights = np.polynomial.legendre.leggauss(12)
        x0 = at + u * math.hypot(1.0, lean)
        low, high = (edge.cut((x0, lean))[1] for edge in (self.inner_bass, self.inner_treble))
        kinks = [(x - x0) / lean for x in self.breaks] if lean else []
        # A kink off the slot makes a piece of no length.
        ends = np.sort([low, high, *(np.clip(kink, low, high) for kink in kinks)], axis=0)
        middle, reach = (ends[1:] + ends[:-1]) / 2, (ends[1:] - ends[:-1]) / 2
        y = middle[..., None] + reach[..., None] * nodes
        x = x0[:, None] + lean * y
        deep = self.surface(x, y) - self.slot_floor(fret, x, y)
        return ((deep @ weights) * reach).sum(axis=0)

    def _dot_volume(self, dot):
        cx, cy, diameter, depth, _ = dot
        nodes, weights = np.polynomial.legendre.leggauss(16)
        r = diameter / 4 * (1 + nodes)
        turn = np.arange(64) * (2 * math.pi / 64)
        x, y = cx + np.outer(r, np.cos(turn)), cy + np.outer(r, np.sin(turn))
        over = self.surface(x, y) - (float(self.surface(cx, cy)) - depth)
        return float((weights * r * diameter / 4) @ over.mean(axis=1)) * 2 * math.pi
