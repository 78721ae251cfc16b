"""Readings files from a seeded generator: a planted piece of wood, measured with every kind of tool.

The wood is drawn from what is believed before reading; each figure is what the wood would show, rounded to the tool's mark,
with now and then one that is wildly off.
"""

import math
import random

import numpy as np

import figures as fig
from statements import Line, NothingHolds, Reader, reach, square_span
from surface import Wood

DIALECTS = (",", ";", "\t")
COLUMNS = ["visit", "stage", "kind", "tool", "at", "across", "from", "to", "shows", "value", "resolution", "set_up", "note"]


class Planted:
    """A piece of wood that is known, and its reader."""

    def __init__(self, board, kit, expected, seed):
        self.board, self.reader, self.r = board, Reader(board, kit), random.Random(seed)
        self.kit = kit
        self.wood = Wood(board, expected, ["1", "two"], 0)
        chance = np.random.default_rng(seed)
        theta = chance.normal(size=self.wood.count) * 0.5
        theta[self.wood.net_at:] *= 1.2
        self.unknowns = self.wood.unknowns(theta)

    def heights(self, x, y):
        return self.wood.spots(x, y).heights(self.unknowns)

    def sum_of(self, cells):
        """What the sum of a line's statement is on this wood."""
        made = self.reader.state(Line(0, cells, {}), self.heights)
        x, y, factor = (np.array(column) for column in zip(*made.spots))
        total = float(factor @ self.heights(x, y))
        if made.set_up is not None:
            at = self.wood.datum_at(made.set_up)
            c = self.unknowns[at:at + 3]
            total += float(c[0] + c[1] * x[0] / self.board.last_x + c[2] * y[0])
        return made, total

    # Lines of each kind; each returns the cells.

    def place(self):
        """A place along the board in one of its ways of writing."""
        r = self.r
        return r.choice([f"fret {r.randint(1, self.board.fret_count)}", f"f{r.randint(1, self.board.fret_count)}", "nut", "last fret",
                         f"{r.uniform(20, self.board.last_x - 20):.2f} mm", f"{r.uniform(1.5, self.board.last_x / 25.4 - 1.5):.3f} in"])

    def square_place(self):
        """A place where a gauge laid square across does not hang over a slanted end."""
        low, high = square_span(self.board)
        while True:
            place = self.place()
            if low <= self.reader.station(Line(0, {"at": place}, {})) <= high:
                return place

    def lateral(self):
        r = self.r
        return r.choice([f"lane {r.randint(1, len(self.board.lanes))}", f"string {r.randint(1, len(self.board.lanes))}", "centre",
                         "treble edge", "bass edge", f"{r.uniform(-15, 15) if self.board.width(0.0) > 34 else r.uniform(-9, 9):.2f} mm"])

    def noisy(self, value, step, wild):
        value += self.r.gauss(0, step / 2) + (self.r.choice((-1, 1)) * self.r.uniform(15, 60) * step if wild else 0.0)
        return round(value / step) * step

    def height(self, wild, set_up="1"):
        cells = {"kind": "height", "tool": "", "at": self.place(), "across": self.lateral(), "value": "0", "set_up": set_up}
        cells["value"] = f"{self.noisy(self.sum_of(cells)[1], 0.01, wild):.3f}"
        return cells

    def thickness(self, wild):
        cells = {"kind": "thickness", "at": self.place(), "across": self.lateral(), "value": "0"}
        value = self.sum_of(cells)[1] + self.board.crown_mm
        cells["value"] = f"{self.noisy(value, 0.02, wild):.2f} mm"
        return cells

    def sagitta(self, wild):
        chords = [fig.length_mm(dial["chord"]) for dial in self.kit["dials"]]
        chords = [chord for chord in chords if chord < 2 * reach(self.board, 0.0)]
        if not chords:
            return self.thickness(wild)
        chord = self.r.choice(chords)
        cells = {"kind": "sagitta", "tool": f"{chord:g} mm", "at": self.square_place(), "value": "1"}
        value = max(0.01, self.noisy(self.sum_of(cells)[1], 0.01, wild))
        cells["value"] = self.r.choice([f"{value:.3f}", f"{value / 0.0254:.2f} thou"])
        return cells

    def light(self, wild):
        gauges = [g for g in self.kit["gauges"]] + (["flat"] if self.kit.get("straightedges") else [])
        gauge = self.r.choice(gauges)
        cells = {"kind": "light", "tool": gauge if isinstance(gauge, str) else f"{gauge:g} mm", "at": self.square_place(), "shows": "edges", "value": "1 mm"}
        made, total = self.sum_of(cells)
        light = total - (made.value - 1.0) + self.r.gauss(0, 0.01) + (self.r.uniform(-0.4, 0.4) if wild else 0.0)
        least = self.reader.smallest_light
        if abs(light) <= least:
            return cells | {"shows": "none", "value": ""}
        side = "edges" if light > 0 else "crown"
        if light > 0 and self.r.random() < 0.25:
            tip = math.sqrt(light) * 2 - self.r.uniform(0, math.sqrt(least))
            return cells | {"shows": self.r.choice(["treble edge", "bass edge"]), "value": f"{max(0.01, tip**2):.3f} mm"}
        if self.r.random() < 0.25:
            return cells | {"shows": side, "value": ""}
        return cells | {"shows": side, "value": f"{max(0.01, abs(light)):.3f} mm"}

    def _line_of_straightedge(self):
        first = self.r.choice(["", "nut", f"fret {self.r.randint(1, 3)}"])
        last = self.r.choice(["", "last fret", f"fret {self.board.fret_count - self.r.randint(1, 4)}"])
        longest = max([fig.length_mm(s) for s in self.kit.get("straightedges", [])], default=math.inf)
        if self.board.last_x > longest - 40:  # A fan's edges are a little longer than its centreline.
            first, last = "fret 2", f"fret {max(f for f in range(8, self.board.fret_count) if self.board.frets[f][0] < longest - 60)}"
        at = self.r.choice([f"fret {self.r.randint(5, 7)}", f"{self.r.uniform(0.3, 0.4) * self.board.last_x:.2f} mm"])
        return {"from": first, "to": last, "at": at, "across": self.lateral()}

    def gap(self, wild):
        cells = {"kind": "gap"} | self._line_of_straightedge() | {"value": "1"}
        gap = self.noisy(self.sum_of(cells)[1], 0.01, wild)
        if abs(gap) < 0.03:
            return cells | {"shows": "none", "value": ""}
        if gap < 0:
            return cells | {"kind": "rock", "value": f"{max(0.01, -gap * 0.7):.3f}"}
        return cells | {"value": f"{gap:.2f}"}

    def chalk(self, wild):
        tools = ["beam"] if self.kit.get("beams") else []
        tools += [b["radius"] for b in self.kit.get("blocks", []) if b["radius"] != "flat"]
        tool = self.r.choice(tools) if self.r.random() < 0.6 else tools[0]
        cells = {"kind": "chalk", "tool": tool if isinstance(tool, str) else f"{tool:g} mm", "at": self.square_place(), "across": self.lateral(), "shows": "gone"}
        for _ in range(50):
            try:
                made, total = self.sum_of(cells)
                break
            except NothingHolds:
                cells |= {"at": self.place(), "across": self.r.choice(["centre", "lane 2"])}
        gone = (total < made.high) != wild
        return cells | {"shows": "gone" if gone else "stayed"}


def visit(planted, recipe, dialect, stage=None, wild_share=0.0, name="1"):
    """The text of one visit: `recipe` maps a kind to how many lines of it."""
    r, rows = planted.r, []
    kinds = [kind for kind, count in recipe.items() for _ in range(count)]
    r.shuffle(kinds)
    for kind in kinds:
        wild = r.random() < wild_share
        if kind == "height two":
            rows.append(planted.height(wild, "two"))
        else:
            rows.append(getattr(planted, kind)(wild))
        if r.random() < 0.1:
            rows[-1]["resolution"] = r.choice(["0.03", "0.05 mm", "1 thou"])
        rows[-1]["visit"], rows[-1]["stage"] = name, stage or ""
    return written(rows, dialect)


def written(rows, dialect):
    """Rows as text in one of the three separators; with semicolons decimals have a comma."""
    used = [c for c in COLUMNS if c == "kind" or any(row.get(c) for row in rows)]
    def cell(row, column):
        text = row.get(column, "")
        if dialect == ";" and column not in ("stage", "visit"):
            text = text.replace(".", ",")
        return '"' + text.replace('"', '""') + '"' if dialect in text or '"' in text else text
    lines = [dialect.join(used)] + [dialect.join(cell(row, c) for c in used) for row in rows]
    return "\n".join(lines) + "\n"


def probe_cloud(planted, count, step_mm=0.01):
    """A height probe's file of so many points."""
    lines, chance = ["X [mm],Y [mm],Z [µm]"], np.random.default_rng(count)
    x = chance.uniform(5, planted.board.last_x, count)
    y = chance.uniform(-0.95, 0.95, count) * planted.board.half_width(x)
    x, y = np.round(x, 2), np.round(y, 2)
    z = planted.heights(x, y) + 0.3 + chance.normal(0, step_mm / 2, count)
    z[chance.random(count) < 0.01] += 0.3
    lines += [f"{a:.2f},{b:.2f},{1000 * c:.0f}" for a, b, c in zip(x, y, z)]
    return "\n".join(lines) + "\n"
