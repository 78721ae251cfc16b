"""What a commission and a kit ask of programs for a machine, from their texts alone."""

from figures import length_mm

WORKS = {"roughing of the camber": "Rough", "finishing of the camber": "Finish", "fret slots": "Slots", "dots": "Dots",
         "outline": "Outline"}


def asked(work, kit, programs):
    """The record that `judge_paths` sweeps against; `programs` is the program's own list of files."""
    cutters = {cutter["name"]: cutter for cutter in kit["cutters"]}
    flat = work.camber["law"] == "single" and work.camber["radius"] == "flat"
    stations = work.camber["law"] == "stations"
    runs_on = not stations and len(work.radius_knots) > 1
    fall = None
    if "fall_away" in work.camber:
        start = work.frets[work.camber["fall_away"]["from_fret"]][0]
        fall = [start, work.end_x, length_mm(work.camber["fall_away"]["depth"])]
    return {
        "camber_knots_mm": [[0.0, None]] if flat else [[x, r] for x, r in work.radius_knots],
        "radius_runs_on": [runs_on, runs_on or stations and work.camber["at"][-1]["fret"] == work.fret_count],
        "fall_mm": fall,
        "crown_thickness_mm": work.crown_mm,
        # Corners run with the clock: nut and end on the treble side, then back along the bass side.
        "corners_mm": [list(corner) for corner in work.outline],
        "binding_mm": work.binding_mm,
        "slots_mm": [[*work.frets[fret], work.slot_depth(fret)] for fret in range(1, work.fret_count + 1)],
        "slot_width_mm": work.slot_width_mm,
        "slot_floor_flat": work.floor_is_flat,
        "dots_mm": [list(dot[:4]) for dot in work.dots],
        "blank_mm": list(work.blank),
        "clamps_mm": [list(clamp) for clamp in work.clamps],
        # Usual figures from docs/formats/commission.md.
        "allowance_mm": work.cut("allowance", 0.2),
        "scallop_mm": work.cut("scallop", 0.01),
        "tabs": work.cutting.get("tabs", 6),
        "tab_mm": [work.cut("tab_length", 6.0), work.cut("tab_height", 1.0)],
        "into_bed_mm": length_mm(kit["machine"].get("into_bed", 0.2)),
        "programs": [_program(program, cutters[program["cutter"]]) for program in programs],
    }


def _program(program, cutter):
    return {"file": program["file"], "work": WORKS[program["work"]], "shape": cutter["shape"].capitalize(),
            "diameter_mm": length_mm(cutter["diameter"]), "floor_left_mm": (program["floor_left_um"] or 0.0) / 1000}
