"""Every figure that `plan --json` prints, against `figures.py`."""

import math

import figures as fig
from ledger import RATIO

USUAL_BLOCK_MM = 200.0  # the length that the kit's schema states for a block without one


def check_plan(ledger, name, board, kit, plan):
    """Compares one plan with what the kit's record asks for."""
    owned = [(fig.length_mm(b["radius"]), fig.length_mm(b.get("length", USUAL_BLOCK_MM))) for b in kit.get("blocks", [])]
    blocks = fig.used_blocks(board, owned)
    _check_blocks(ledger, name, board, blocks, plan)
    _check_beam(ledger, name, board, plan["beam"])
    _check_crowns(ledger, name, board, plan)
    _check_stages(ledger, name, board, blocks, plan)
    _check_gauges(ledger, name, board, kit, plan)
    for row in plan["helpful_blocks"]:
        high, volume = fig.left_figures(board, fig.used_blocks(board, owned + [(row["radius_mm"], USUAL_BLOCK_MM)]), with_fall=False)
        ledger.drop("helpful blocks: height left", row["left_max_mm"], high, f"{name} with {row['radius_mm']}")
        ledger.volume("helpful blocks: volume left", row["left_mm3"], volume, f"{name} with {row['radius_mm']}")


def _check_blocks(ledger, name, board, blocks, plan):
    ledger.same("blocks used, flattest first", [round(b["radius_mm"], 6) for b in plan["blocks"]],
                [round(r, 6) for r, _ in blocks], name)
    if len(plan["blocks"]) != len(blocks):
        return
    for row, (radius, spans) in zip(plan["blocks"], blocks):
        where = f"{name} block {radius}"
        ledger.same("number of zones", len(row["spans"]), len(spans), f"{where} {row['spans']} {spans}")
        for got, want in zip(row["spans"], spans):
            ledger.position("zones", got["from_x_mm"], want[0], where)
            ledger.position("zones", got["to_x_mm"], want[1], where)
    high, volume = fig.left_figures(board, blocks, with_fall=False)
    ledger.drop("what blocks leave: height", plan["blocks_leave"]["left_max_mm"], high, name)
    ledger.volume("what blocks leave: volume", plan["blocks_leave"]["left_mm3"], volume, name)


def _check_beam(ledger, name, board, beam):
    nut, last = float(board.radius(0.0)), float(board.radius(board.last_x))
    if math.isinf(nut):
        return
    ledger.share("beam's sweep, far over near", beam["far_to_near_sweep"], last / nut, name, RATIO)
    # The ruling through the nut's edge point lies on the cone that the board is at its nut.
    ahead = min([x for x, _ in board.radius_knots if x > 1e-9], default=board.last_x)
    rate = (float(board.radius(ahead * 0.9)) - float(board.radius(ahead * 0.1))) / (0.8 * ahead * nut)
    ruling = float(board.half_width(0.0)) * rate
    turn = math.degrees(math.atan(ruling) - math.atan(board.treble_edge.slope))
    kind = ", stations" if board.camber["law"] == "stations" else ""
    ledger.angle(f"beam against the edge{kind}", beam["edge_angle_deg"], turn, name)


def _check_crowns(ledger, name, board, plan):
    grades = plan["grades"]
    leave = [3 * fig.GRAIN_UM[g] / 1000 for g in grades[:-1]] + [0.0] if grades else []
    start = board.crown_mm + sum(leave)
    ledger.drop("starting thickness", plan["start_thickness_mm"], start, name)
    before, stages = start, plan["stages"]
    ledger.holds("grades rise", [fig.GRAIN_UM[g] for g in grades] == sorted((fig.GRAIN_UM[g] for g in grades), reverse=True), name)
    for index, stage in enumerate(stages):
        where = f"{name} {stage['key']}"
        rank = grades.index(stage["grade"])
        ledger.drop("crown heights", stage["end_crown_mm"], board.crown_mm + sum(leave[rank:]), where)
        ledger.drop("crown heights", stage["start_crown_mm"], before, where)
        last = index + 1 == len(stages) or stages[index + 1]["grade"] != stage["grade"]
        # A grade that no owned tool can bring to its end leaves no allowance yet.
        done = index + 1 < len(stages) or plan["reaches_finish"]
        ledger.drop("allowances", stage["allowance_mm"], leave[rank] if last and done else 0.0, where)
        before = stage["end_crown_mm"]


def _check_stages(ledger, name, board, blocks, plan):
    """Follows the surface from stage to stage: what stands above the camber at the stage's own crown height."""
    worked, beam_has_been, fall_made = [], False, "fall_away" not in board.camber
    _check_order(ledger, name, blocks, plan)
    before = (lambda x, y, _: fig.drop(board.radius(x), y) + board.fall(x), [])
    for stage in plan["stages"]:
        where = f"{name} {stage['key']}"
        if stage["tool"] == "block":
            radius = stage["radius_mm"]
            worked = [b for b in blocks if b[0] > radius - 1e-6]
            spans = next((spans for r, spans in blocks if abs(r - radius) < 1e-6), [(0.0, 0.0)])
            ledger.position("stage's reach", stage["from_x_mm"], max(0.0, spans[0][0]), where)
            ledger.position("stage's reach", stage["to_x_mm"], min(board.end_x, spans[-1][1]), where)
        elif stage["tool"] == "beam":
            beam_has_been = True
        else:
            # It works past the fall's first fret only; what a block left elsewhere stays.
            fall_made = True
        after = _surface_left(board, worked, beam_has_been, fall_made)
        steps = before[1] + after[1]
        ledger.drop("stages: height left", stage["left_max_mm"], board.greatest(after[0], steps), where)
        ledger.volume("stages: volume left", stage["left_mm3"], board.integrate(after[0], steps), where)
        edge = board.least_along_edges(lambda x, y, m: board.surface(x, y) + after[0](x, y, m), steps)
        kind = "skewed ends" if board.is_fan else "square ends"
        ledger.drop(f"stages: thinnest edge, {kind}", stage["thinnest_edge_mm"], stage["end_crown_mm"] - board.ledge_mm + edge, where)
        lowered = stage["start_crown_mm"] - stage["end_crown_mm"]
        taken = board.integrate(lambda x, y, m: before[0](x, y, m) - after[0](x, y, m) + lowered, steps)
        ledger.volume("stages: volume removed", stage["removed_mm3"], taken, where)
        before = after


def _surface_left(board, worked, beam_has_been, fall_made):
    fall = (lambda x: 0.0 * x) if fall_made else board.fall
    if beam_has_been:
        return (lambda x, y, _: fall(x) + 0.0 * y), []
    arch, steps = fig.left_by(board, worked, with_fall=False)
    return (lambda x, y, m: arch(x, y, m) + fall(x)), steps


def _check_order(ledger, name, blocks, plan):
    stages = plan["stages"]
    if not stages:
        return
    first = [s for s in stages if s["grade"] == plan["grades"][0]]
    radii = [round(s["radius_mm"], 6) for s in first if s["tool"] == "block"]
    ledger.same("blocks' stages at the first grade", radii, [round(r, 6) for r, _ in blocks], name)
    ledger.holds("grades in order", [plan["grades"].index(s["grade"]) for s in stages]
                 == sorted(plan["grades"].index(s["grade"]) for s in stages), name)


def _check_gauges(ledger, name, board, kit, plan):
    gauges = [fig.length_mm(g) for g in kit.get("gauges", [])]
    light_seen = fig.length_mm(kit.get("smallest_light", 0.02))
    for row in plan["gauges"] if gauges else []:
        where = f"{name} fret {row['fret']}"
        x = board.frets[row["fret"]][0]
        gauge, light, half = board.gauge_for(gauges, x)
        ledger.position("plan: nearest gauge", row["gauge_mm"], gauge, where)
        ledger.drop("plan: light under the gauge", row["gauge_light_mm"], light, where)
        depth = float(fig.drop(gauge, half))
        tight, wide = fig.radius_of_drop(depth + light_seen, half), fig.radius_of_drop(depth - light_seen, half)
        ledger.share("no light: tightest", row["no_light_from_mm"], tight, where, RATIO)
        if math.isinf(wide):
            ledger.same("no light: flattest", row["no_light_to_mm"], None, where)
        else:
            # Near a flat gauge the radius grows without bound, so its own share is compared.
            ledger.share("no light: flattest radius", row["no_light_to_mm"], wide, where, 1e-7)
