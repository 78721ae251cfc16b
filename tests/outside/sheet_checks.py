"""Every figure that `sheet --json` prints, against `figures.py`."""

import math

import figures as fig
from ledger import RATIO


def check_sheet(ledger, name, text, sheet, kit):
    """Compares one sheet; `kit` is the kit's record, or None when none was given."""
    board = fig.Board(text)
    _check_frets(ledger, name, board, sheet, kit)
    _check_camber(ledger, name, board, sheet)
    _check_strings(ledger, name, board, sheet)
    _check_movement(ledger, name, board, sheet)
    return board


def _check_frets(ledger, name, board, sheet, kit):
    ledger.same("number of frets", len(sheet["frets"]), board.fret_count + 1, name)
    total = 0.0
    for fret, row in enumerate(sheet["frets"]):
        where = f"{name} fret {fret}"
        x, lean = board.frets[fret]
        ledger.position("fret x", row["x_mm"], x, where)
        ledger.near("fret cents", row["cents"], board.cents(fret), where, 1e-9, "cents")
        ledger.angle("skew", abs(row["skew_deg"]), abs(math.degrees(math.atan(lean))), where)
        _check_lanes(ledger, where, board, fret, row)
        _check_section(ledger, where, board, x, row, kit)
        wire = _check_wire(ledger, where, board, fret, row)
        total += wire if fret else 0.0  # The nut takes no wire.
    ledger.position("wire in all", sheet["wire"]["total_mm"], total, name)


def _check_lanes(ledger, where, board, fret, row):
    crossings = [lane.cut(board.frets[fret]) for lane in board.lanes]
    ledger.same("number of lanes", len(row["lanes_x_mm"]), len(crossings), where)
    for index, (x, y) in enumerate(crossings):
        ledger.position("lanes' x", row["lanes_x_mm"][index], x, f"{where} lane {index + 1}")
        ledger.position("lanes' y", row["lanes_y_mm"][index], y, f"{where} lane {index + 1}")
    (tx, ty), (bx, by) = crossings[0], crossings[-1]
    treble, bass = board.treble_edge.y(tx) - ty, by - board.bass_edge.y(bx)
    ledger.position("margins", row["margin_treble_mm"], treble, where)
    ledger.position("margins", row["margin_bass_mm"], bass, where)
    ledger.position("margins", row["margin_mm"], min(treble, bass), where)


def _check_section(ledger, where, board, x, row, kit):
    radius, half = float(board.radius(x)), float(board.half_width(x))
    down = float(fig.drop(radius, half))
    fall = float(board.fall(x))
    ledger.position("width", row["width_mm"], float(board.width(x)), where)
    ledger.position("radius", row["radius_mm"], radius, where)
    ledger.drop("edge drop", row["edge_drop_mm"], down, where)
    ledger.drop("edge thickness", row["edge_thickness_mm"], board.crown_mm - fall - down - board.ledge_mm, where)
    if kit and kit.get("gauges"):
        gauge, light, _ = board.gauge_for([fig.length_mm(g) for g in kit["gauges"]], x)
        ledger.position("nearest gauge", row["gauge_mm"], gauge, where)
        ledger.drop("light under the gauge", row["gauge_light_mm"], light, where)


def _check_wire(ledger, where, board, fret, row):
    """Compares arc, wire and slot; returns the wire's length."""
    x, lean = board.frets[fret]
    arc, arc_radius = board.arc_length(fret), board.arc_radius(fret)
    ledger.position("arc length", row["arc_length_mm"], arc, where)
    # On a flat board a fret over the start of the fall-away is a straight line with one bend, which has no arc to compare.
    if not (math.isinf(arc_radius) and board.bends_under(fret)):
        ledger.position("arc radius, square frets" if lean == 0 else "arc radius, skewed frets", row["arc_radius_mm"], arc_radius, where)
        if row["arc_radius_mm"] is not None:
            ratio = board.fittings.get("bend_ratio", 0.85)
            ledger.position("radius to bend to, over the arc's", row["bend_radius_mm"], ratio * row["arc_radius_mm"], where)
    wire = arc + 2 * fig.length_mm(board.fittings.get("wire_overhang", 2.0))
    ledger.position("wire", row["wire_mm"], wire, where)
    binding = board.wood.get("binding", 0.0)
    strip = fig.length_mm(binding["width"] if isinstance(binding, dict) else binding)
    depth = fig.length_mm(board.fittings.get("tang_depth", 1.6)) + fig.length_mm(board.fittings.get("clearance", 0.0))
    slot_end = float(fig.drop(float(board.radius(x)), float(board.half_width(x)) - strip))
    flat = board.fittings.get("slot_floor", "flat") == "flat"
    ledger.drop("slot depth", row["slot_depth_mm"], depth + (slot_end if flat else 0.0), where)
    return wire


def _check_camber(ledger, name, board, sheet):
    camber = sheet["camber"]
    ledger.position("board's end", sheet["board"]["end_x_mm"], board.end_x, name)
    ledger.position("board's end", sheet["board"]["end_width_mm"], float(board.width(board.end_x)), name)
    knots = board.radius_knots
    apex = None
    if board.camber["law"] in ("cone", "string cone") and len(knots) == 2 and knots[0][1] != knots[1][1]:
        (xa, ra), (xb, rb) = knots
        apex = xa - ra * (xb - xa) / (rb - ra)
    ledger.position("camber's apex", camber["apex_x_mm"], apex, name)
    ledger.position("lanes' apex", camber["lanes_apex_x_mm"], board.lanes_apex_x, name)
    for lane, (got, want) in enumerate(zip(camber["lane_hump_mm"], board.humps())):
        ledger.drop("lane humps", got, want, f"{name} lane {lane + 1}")
    for lane, (got, want) in enumerate(zip(camber["lane_hump_arch_mm"], board.humps(with_fall=False))):
        ledger.drop("lane humps of the arch alone", got, want, f"{name} lane {lane + 1}")
    removed = board.integrate(lambda x, y, _: -board.surface(x, y))
    ledger.volume("wood above the surface", camber["removed_mm3"], removed, name)
    # The closed form loses its figures to cancellation on boards that are nearly flat.
    if not board.is_fan and "fall_away" not in board.camber and float(board.radius(0.0)) < 1e5:
        ledger.volume("wood above the surface, by section areas", camber["removed_mm3"], board.volume_by_sections(), name)
    fall = board.integrate(lambda x, y, _: board.fall(x) + 0 * y)
    ledger.volume("fall-away's share", camber["fall_away_mm3"], fall, name)


def _check_strings(ledger, name, board, sheet):
    a4 = board.scale.get("a4", 440.0)
    load = 0.0
    for index, (string, row) in enumerate(zip(board.strings, sheet["strings"], strict=True)):
        where = f"{name} string {index + 1}"
        ledger.same("notes", row["note"], string["note"], where)
        frequency = fig.frequency_hz(string["note"], a4)
        ledger.share("open pitch", row["frequency_hz"], frequency, where, RATIO)
        if "unit_weight" in string:
            stated = fig.unit_weight_kg_per_m(string["unit_weight"])
            ledger.share("stated unit weight", row["unit_weight_kg_per_m"], stated, where, RATIO, floor=1e-9)
        if row["unit_weight_kg_per_m"] is not None:
            tension = row["unit_weight_kg_per_m"] * (2 * board.lane_length_mm(index) / 1000 * frequency) ** 2
            ledger.share("tension", row["tension_n"], tension, where, RATIO)
            load += tension
    if all(row["tension_n"] is not None for row in sheet["strings"]):
        ledger.share("neck's load", sheet["neck_load_n"], load, name, RATIO)


def _check_movement(ledger, name, board, sheet):
    movement = sheet.get("movement")
    if movement is None or movement.get("coefficient_per_percent") is None:
        return
    climate = board.record.get("climate", {})
    air = fig.leading_number(climate.get("temperature", 20.0))
    shop, home = (fig.moisture_percent(air, fig.leading_number(climate.get(key, usual)))
                  for key, usual in (("shop_humidity", 45.0), ("home_humidity", 25.0)))
    ledger.near("moisture", movement["shop_moisture_percent"], shop, name, 1e-9, "%")
    ledger.near("moisture", movement["home_moisture_percent"], home, name, 1e-9, "%")
    rate = movement["coefficient_per_percent"]
    for key, fret in (("proud_nut_mm", 0), ("proud_last_fret_mm", -1)):
        width = float(board.width(board.frets[fret][0]))
        ledger.drop("ends proud", movement[key], -0.5 * width * rate * (home - shop), f"{name} {key}")
