"""DXF files by ezdxf, a general reader: faults, units, closed cuts, and where slots, edges, dots and arcs lie."""

import math
import re

import ezdxf
import numpy as np
from ezdxf.lldxf.encoding import decode_dxf_unicode

AUDITED = "dxf: files without a fault or a repair"
PLACE_MM = 1e-4  # a drawn place, as every printed position
ARC_MM = 1e-5  # a gauge's edge off its circle: a thousandth of the finest gauge's light
JOINED_MM = 1e-5  # ends of one cut; coordinates are written to 1e-6 mm
MILLIMETRES = 4  # $INSUNITS of the DXF reference
CAUGHT_MM = 0.5  # what is this near to a gauge's circle over the board is its edge
STEPS = np.linspace(0.0, 1.0, 7)
LETTERS = re.compile(r"R ([0-9.,]+) mm .*, (nut|fret (\d+)), (concave|convex)|^flat, (nut|fret (\d+)), (concave|convex)")


def _flat(point):
    return [float(point[0]), float(point[1])]


def _held(text):
    """The point that a text is held at."""
    return text.dxf.align_point if text.dxf.hasattr("align_point") else text.dxf.insert


class Drawing:
    """A DXF file's entities by layer."""

    def __init__(self, path):
        self.document = ezdxf.readfile(path)
        self.audit = self.document.audit()
        self.entities = list(self.document.modelspace())
        self._sorted = {}
        for e in self.entities:
            self._sorted.setdefault((e.dxf.layer, e.dxftype()), []).append(e)

    def of(self, layer, kind):
        return self._sorted.get((layer, kind), [])

    def lines(self, layer):
        return [np.array([_flat(e.dxf.start), _flat(e.dxf.end)]) for e in self.of(layer, "LINE")]

    def shapes(self, layer):
        return [np.array([_flat(p) for p in e.get_points()]) for e in self.of(layer, "LWPOLYLINE")]

    def texts(self):
        return [decode_dxf_unicode(e.dxf.text) for e in self.entities if e.dxftype() == "TEXT"]

    def points(self):
        """All points that shapes are drawn by, controls of curves too."""
        found = []
        for e in self.entities:
            if e.dxftype() == "LINE":
                found += [_flat(e.dxf.start), _flat(e.dxf.end)]
            elif e.dxftype() == "LWPOLYLINE":
                found += [_flat(p) for p in e.get_points()]
            elif e.dxftype() == "SPLINE":
                found += [_flat(p) for p in e.control_points]
        return np.array(found).reshape(-1, 2)


def judge_any(ledger, where, path):
    """What holds of every DXF file; gives the drawing."""
    drawing = Drawing(path)
    ledger.holds(AUDITED, not drawing.audit.errors and not drawing.audit.fixes,
                 f"{where}: {[e.message for e in [*drawing.audit.errors, *drawing.audit.fixes]][:3]}")
    ledger.same("dxf: units are millimetres", drawing.document.header.get("$INSUNITS"), MILLIMETRES, where)
    for layer in ("outline", "slots", "cut"):
        ledger.holds("dxf: cut outlines are closed", _is_closed(drawing, layer), f"{where}: layer {layer}")
    return drawing


def _is_closed(drawing, layer):
    """Every open piece's end meets the end of one other piece, or its own."""
    if layer == "slots" and drawing.of("slots", "LINE"):
        return True  # A nut's slots are open at its top.
    if any(not e.closed for e in drawing.of(layer, "LWPOLYLINE") if len(e) < 3):
        return False
    ends = []
    for e in drawing.of(layer, "LWPOLYLINE"):
        if not e.closed:
            ends += [_flat(e[0]), _flat(e[-1])]
    for line in drawing.lines(layer):
        ends += [*line]
    for e in drawing.of(layer, "SPLINE"):
        ends += [_flat(e.control_points[0]), _flat(e.control_points[-1])]
    if not ends:
        return True
    ends = np.array(ends)
    near = (np.abs(ends[:, None] - ends[None]) < JOINED_MM).all(axis=2).sum(axis=1)
    return bool((near == 2).all())


def judge_frets(ledger, where, path, work):
    """The fret pattern against the figures."""
    drawing = judge_any(ledger, where, path)
    outlines = drawing.shapes("outline")
    ledger.same("dxf: one outline", len(outlines), 1, where)
    corners = np.array(work.outline)
    found = _in_order(outlines[0], corners)
    shift = (found - corners).mean(axis=0)
    _places(ledger, "dxf: corners of the board", found - shift, corners, where)
    centres = sorted(drawing.lines("slot-centres"), key=lambda line: line[:, 0].mean())
    ledger.same("dxf: one line for each slot", len(centres), work.fret_count, where)
    for fret, line in enumerate(centres, 1):
        want = np.array(work.slot_ends(fret))
        _places(ledger, "dxf: both ends of slots' middles", _by_y(line - shift), want, f"{where} fret {fret}")
    shapes = sorted(drawing.shapes("slots"), key=lambda shape: shape[:, 0].mean())
    ledger.same("dxf: one shape for each slot", len(shapes), work.fret_count, where)
    for fret, shape in enumerate(shapes, 1):
        want = np.array(work.slot_corners(fret))
        _places(ledger, "dxf: corners of slots", _in_order(shape - shift, want), want, f"{where} fret {fret}")
    _places(ledger, "dxf: the nut's line", _by_y(drawing.lines("nut")[0] - shift), np.array(work.fret_ends(0)), where)
    lanes = sorted((line - shift for line in drawing.lines("lanes")), key=lambda line: -line[:, 1].mean())
    ledger.same("dxf: one line for each lane", len(lanes), len(work.lanes), where)
    for lane, line in zip(work.lanes, lanes):
        want = np.array([lane.cut(work.frets[0]), lane.cut(work.end_line)])
        _places(ledger, "dxf: lanes", line[np.argsort(line[:, 0])], want, where)
    _dots(ledger, where, drawing, shift, work)
    return drawing


def _places(ledger, name, got, want, where):
    for (x, y), (want_x, want_y) in zip(got.tolist(), want.tolist()):
        ledger.near(name, math.hypot(x - want_x, y - want_y), 0.0, f"{where}: {x:.6f}, {y:.6f} for {want_x:.6f}, {want_y:.6f}", PLACE_MM, "mm")


def _by_y(line):
    """A line from bass to treble."""
    return line[np.argsort(line[:, 1])]


def _in_order(got, want):
    """The found corners in the order of those wanted, after a shift that makes their middles the same."""
    moved = got - got.mean(axis=0) + np.mean(want, axis=0)
    return np.array([got[np.argmin(np.hypot(*(moved - w).T))] for w in np.asarray(want)])


def _dots(ledger, where, drawing, shift, work):
    circles = [_on_spline(e) - shift for e in drawing.of("dots", "SPLINE")]
    ledger.same("dxf: one circle for each dot", len(circles), len(work.dots), where)
    for x, y, diameter, _, fret in work.dots:
        nearest = min(circles, key=lambda c: math.hypot(*(c.mean(axis=0) - (x, y))))
        off = np.abs(np.hypot(*(nearest - (x, y)).T) - diameter / 2).max()
        ledger.near("dxf: dots are round and in their places", float(off), 0.0, f"{where} fret {fret}", PLACE_MM, "mm")


def _ends_of_curves(spline):
    """Both ends of each cubic Bézier curve of a spline of them, end to end."""
    knots = np.array([_flat(p) for p in spline.control_points[::3]])
    return np.stack([knots[:-1], knots[1:]], axis=1)


def _away(places, centre):
    return np.hypot(places[..., 0] - centre[0], places[..., 1] - centre[1])


def _on_spline(spline):
    """Places along a spline, by ezdxf's own evaluation."""
    tool = spline.construction_tool()
    return np.array([_flat(p) for p in tool.points(np.linspace(0.0, tool.max_t, 97))])


def judge_gauges(ledger, where, path, work):
    """Working edges of gauges: on the circle of the radius where the gauge is for, past both edges of the board."""
    drawing = judge_any(ledger, where, path)
    plates = 0
    for text in drawing.of("engrave", "TEXT"):
        lines = _label(drawing, text)
        match = LETTERS.search(lines)
        if not match:
            continue
        plates += 1
        fret = int(match[3] or match[6] or 0)
        kind = match[4] or match[7]
        x = work.frets[fret][0]
        radius = float(work.radius(x))
        if match[1]:
            ledger.near("dxf: gauges name their radius", float(match[1].replace(",", "")), radius, where, 0.0501, "mm")
        _edge(ledger, f"{where} {lines}", drawing, text, radius, kind, x, work)
    ledger.holds("dxf: gauges come in pairs", plates >= 2 and plates % 2 == 0, f"{where}: {plates} with letters")
    return drawing


def _label(drawing, text):
    """The letters on a gauge: lines of text under one another are one label."""
    y = text.dxf.insert[1]
    size = text.dxf.height
    middle = _held(text)[0]
    parts = []
    for other in drawing.of("engrave", "TEXT"):
        at = _held(other)
        lines_down = (y - other.dxf.insert[1]) / size
        if abs(at[0] - middle) < 0.01 and -0.1 < lines_down < 8.0:
            parts.append((lines_down, other.dxf.text))
    return " ".join(part for _, part in sorted(parts)).replace("\u00a0", " ")


def _edge(ledger, where, drawing, text, radius, kind, x, work):
    middle = _held(text)[0]
    ticks = [line for line in drawing.lines("engrave") if abs(line[0][0] - middle) < 1e-3 and abs(line[1][0] - middle) < 1e-3]
    ticks = sorted(ticks, key=lambda line: abs(line[:, 1].mean() - text.dxf.insert[1]))
    # The middle tick stands on the crown; a concave plate lies above its edge, a convex one below.
    crown = np.array([middle, (np.min if kind == "concave" else np.max)(ticks[0][:, 1])]) if ticks else None
    ledger.holds("dxf: gauges mark their crown", crown is not None, where)
    if crown is None:
        return
    half = max(float(work.treble_edge.y(x)), -float(work.bass_edge.y(x)))
    if math.isinf(radius):
        found = any(np.abs(line[:, 1] - crown[1]).max() < ARC_MM and np.abs(line[:, 0] - middle).min() > half for line in drawing.lines("cut"))
        ledger.holds("dxf: flat gauges are straight", found, where)
        return
    centre = crown - (0.0, radius)
    near, far, covered, worst = math.inf, -math.inf, 0.0, 0.0
    for spline in drawing.of("cut", "SPLINE"):
        ends = _ends_of_curves(spline)
        along = ends[:, :, 0] - middle
        # What lies past the board's edges is the plate's own round end.
        over_board = (along.min(axis=1) < half) & (along.max(axis=1) > -half)
        on_edge = np.flatnonzero(over_board & (np.abs(_away(ends, centre) - radius).max(axis=1) <= CAUGHT_MM))
        if not len(on_edge):
            continue
        tool = spline.construction_tool()
        places = np.array([_flat(p) for p in tool.points((on_edge[:, None] + STEPS).ravel())]).reshape(len(on_edge), len(STEPS), 2)
        worst = max(worst, float(np.abs(_away(places, centre) - radius).max()))
        near, far = min(near, places[..., 0].min()), max(far, places[..., 0].max())
        covered += float(np.ptp(places[..., 0], axis=1).sum())
    ledger.near("dxf: gauges keep to their circle", worst, 0.0, where, ARC_MM, "mm")
    ledger.holds("dxf: gauges reach past the board's edges without a gap",
                 middle - near >= half - 1e-6 and far - middle >= half - 1e-6 and abs(covered - (far - near)) < PLACE_MM,
                 f"{where}: {middle - near:.3f} and {far - middle:.3f} mm, the board {half:.3f} mm; {covered:.3f} mm are covered")
