"""Commissions and kits from a seeded generator: every law, fans, both spacings, unequal tunings, odd kits.

The texts are written here by hand-made rules, in mixed units, so that the program's own reading of lengths is tested too.
"""

import random
import re

PLAIN = [("E4", 0.254), ("B3", 0.33), ("G3", 0.43)]
FULL = PLAIN + [("D3", 0.66), ("A2", 0.91), ("E2", 1.17), ("B1", 1.57), ("F#1", 2.0)]
UNEQUAL = [[90.0, 205.0, 294.0, 408.0, 498.0, 612.0, 702.0, 792.0, 906.0, 996.0, 1110.0, 1200.0],
           [111.7, 203.9, 315.6, 386.3, 498.0, 590.2, 701.96, 813.7, 884.4, 1017.6, 1088.3, 1200.0],
           [150.5, 240.0, 350.25, 500.0, 650.0, 700.0, 853.0, 1000.0, 1203.5]]
LAWS = ["single", "cone", "stations", "string cone"]


def written(random_source, value_mm):
    """One length in one of the ways that people write it, together with nothing else: the text is read back."""
    way = random_source.randrange(6)
    if way == 0:
        return repr(round(value_mm, 3))
    if way == 1:
        return f'"{value_mm:.3f} mm"'
    if way == 2:
        # Two decimals: three figures after a comma could be thousands, and the program rightly asks.
        return f'"{value_mm:.2f} mm"'.replace(".", ",")
    if way == 3:
        return f'"{value_mm / 25.4:.5f} in"'
    if way == 4:
        whole, rest = divmod(round(value_mm / 25.4 * 32), 32)
        # A fraction is coarse; it serves for long lengths only.
        return f'"{whole} {rest}/32 in"' if rest and whole > 5 else f'"{value_mm:.4f} mm"'
    return f'"{value_mm / 25.4 * 1000:.2f} thou"' if value_mm < 10 else f'"{value_mm:.2f}mm"'


def commission(seed):
    """The text of one commission; the seed decides everything, and its low digits choose the kind."""
    r = random.Random(1000 + seed)
    law, fan, margins = LAWS[seed % 4], (seed // 4) % 3 != 0, (seed // 2) % 3 == 0
    cents, equal_centres = seed % 5 == 3, seed % 3 == 1
    count = r.choice([3, 4, 5, 6, 6, 7, 8])
    frets = r.randrange(12, 28)
    length = r.uniform(560, 700)
    nut_spread = 6.9 * (count - 1) + r.uniform(0, 3)
    saddle_spread = nut_spread * (1.0 if seed % 17 == 6 else r.uniform(1.25, 1.6))
    lines = ["camberwright = 1", f'title = "Sample {seed}"', "[scale]"]
    if fan:
        lines += [f"bass = {written(r, length + r.uniform(8, 55))}", f"treble = {written(r, length)}"]
        square = r.choice([None, 0, 5, 7, 9, 12, 3.5, 8.25, '"nut"', '"saddle"'])
        lines += [f"square_at = {square}"] if square is not None else []
    else:
        lines += [f"length = {written(r, length)}"]
    lines += [f"frets = {frets}"]
    if cents:
        lines += [f"tuning = {r.choice(UNEQUAL)}"]
    elif seed % 7 == 2:
        lines += [f'tuning = "{r.choice([19, 24, 31])} equal"']
    if seed % 6 == 1:
        lines += [f"a4 = {r.choice([415.0, 432.0, 443.0])}"]
    lines += ["[strings]", f"nut_spread = {written(r, nut_spread)}", f"saddle_spread = {written(r, saddle_spread)}"]
    lines += ['spacing = "equal centres"'] if equal_centres else (['spacing = "equal gaps"'] if seed % 2 else [])
    lines += ["set = ["]
    for index, (note, gauge) in enumerate(FULL[:count]):
        make = ', make = "plain steel"' if index < 3 else f', make = "other", unit_weight = "{0.9 * gauge**2 * 6.5:.4f} g/m"'
        lines += [f'  {{ note = "{note}", gauge = "{gauge * r.uniform(0.9, 1.1):.3f} mm"{make} }},']
    lines += ["]", "[board]"]
    if margins:
        lines += [f"margin = {written(r, r.uniform(2.8, 4.5))}"]
    else:
        lines += [f"nut_width = {written(r, nut_spread + r.uniform(8, 10))}",
                  f"end_width = {written(r, saddle_spread + r.uniform(8, 10))}"]
    lines += [f"overhang = {written(r, r.uniform(2, 25))}"] if seed % 8 else []
    lines += [f"crown_thickness = {written(r, r.uniform(5.5, 7.5))}"]
    if seed % 5 == 1:
        lines += ["binding = { width = 1.5, ledge = 2.0 }"]
    elif seed % 5 == 2:
        lines += ['binding = "1.6 mm"']
    if seed % 3 == 0:
        lines += [f'wood = "{r.choice(["pear", "wenge", "African ebony", "East Indian rosewood"])}"']
    lines += ["[camber]", f'law = "{law}"']
    low, high = sorted([r.uniform(150, 300), r.uniform(300, 600)])
    if law == "single":
        lines += [f"radius = {written(r, low)}" if seed % 16 else 'radius = "flat"']
    elif law == "cone":
        lines += [f"nut = {written(r, low)}", f"last_fret = {written(r, high)}"]
        if seed % 20 == 9:
            lines[-2:] = [f"nut = {written(r, high)}", f"last_fret = {written(r, low)}"]
    elif law == "string cone":
        lines += [f"nut = {written(r, low)}"]
    else:
        lines += [stations(r, seed, frets, low, high)]
    if (seed // 3) % 3 == 1:
        lines += [f"fall_away = {{ from_fret = {r.randrange(8, frets)}, depth = {written(r, r.uniform(0.05, 0.4))} }}"]
    lines += ["[frets]", f"tang_depth = {written(r, r.uniform(1.3, 1.7))}", "crown_height = 1.1"]
    lines += [f"clearance = {written(r, r.uniform(0.1, 0.3))}"] if seed % 4 else []
    lines += [f'slot_floor = "{r.choice(["flat", "follows camber"])}"'] if seed % 3 else []
    lines += [f"wire_overhang = {written(r, r.uniform(1, 4))}"] if seed % 2 else []
    lines += [f"bend_ratio = {r.uniform(0.7, 1.0):.3f}"] if seed % 5 == 0 else []
    if seed % 4 == 2:
        lines += ["[climate]", 'temperature = "23 °C"', "shop_humidity = 50", 'home_humidity = "31 %"', 'sawn = "flat"']
    return "\n".join(lines) + "\n"


def for_files(seed):
    """A commission for patterns, bodies and programs: as `commission`, with dots, a blank and ways of cutting for some."""
    r, text = random.Random(5000 + seed), commission(seed)
    frets = int(re.search(r"^frets = (\d+)$", text, re.M)[1])
    slot = f"slot_width = {written(r, r.uniform(0.5, 0.75))}"
    text = text.replace("[frets]\n", f"[frets]\n{slot}\n", 1)
    if seed % 3 != 1:
        # Crowns here are up to 7.5 mm.
        text = text.replace("[board]\n", f"[board]\nblank_thickness = {written(r, r.uniform(7.6, 9.5))}\n", 1)
    if seed % 2:
        # Behind some of the first frets, where there is room; the depth leaves wood in the thinnest board here.
        at = sorted(r.sample(range(1, min(frets, 9)), min(4, frets - 1)))
        text += f"[dots]\nfrets = {at}\ndiameter = {written(r, r.choice([4.0, 5.0, 6.0, 6.5]))}\n"
        text += f"depth = {written(r, r.uniform(0.8, 1.6))}\n" + (f"double = [{at[-1]}]\n" if seed % 4 == 1 else "double = []\n")
    if seed % 4 < 2:
        text += f"[cutting]\nscallop = {written(r, r.choice([0.005, 0.01, 0.02]))}\nallowance = {written(r, r.uniform(0.1, 0.3))}\n"
        text += f"tabs = {r.randrange(0, 9)}\ntab_length = {written(r, r.uniform(4, 8))}\ntab_height = {written(r, r.uniform(0.5, 1.5))}\n"
        # A screw past the nut's end, in the way of some slanted boards.
        text += 'clamps = [ { x = -60, y = -10, along = 20, across = 20, height = "14 mm" } ]\n' if seed % 8 < 4 else ""
    return text


def stations(r, seed, frets, low, high):
    """Stations that widen, that narrow again inside, or that begin and end inside the board."""
    middle = frets // 2
    kind = (seed // 4) % 4
    if kind == 0:
        at = [(0, low), (middle, (low + high) / 2.2), (frets, high)]
    elif kind == 1:  # Flat at both ends and tight in the middle: a zone inside the board.
        at = [(0, high), (middle, low), (frets, high * 0.95)]
    elif kind == 2:  # Tight at both ends: a block's zone falls in two.
        at = [(0, low), (middle, high), (frets, low * 1.05)]
    else:
        at = [(2, low), (middle, high * 0.8), (frets - 3, high)]
    return "at = [ " + ", ".join(f"{{ fret = {f}, radius = {written(r, v)} }}" for f, v in at) + " ]"


BEAM = 'beams = [ { length = "460 mm", width = "60 mm" } ]\n'
GAUGES = 'gauges = [ "7 1/4 in", "9 1/2 in", "10 in", "12 in", 330, "16 in", "20 in", "flat" ]\n'
LADDER = 'abrasives = [ "P80", "P120", "P180", "P240", "P320", "P400" ]\n'


def kits():
    """Named kit texts: ordinary ones, and odd ones."""
    def kit(blocks=None, beam=BEAM, gauges=GAUGES, abrasives=LADDER, more=""):
        head = 'camberwright_kit = 1\ntitle = "sample kit"\n'
        rows = "" if blocks is None else "blocks = [ " + ", ".join(f"{{ radius = {b} }}" for b in blocks) + " ]\n"
        return head + rows + beam + gauges + abrasives + more

    made = {
        "empty": kit(beam="", gauges="", abrasives=""),
        "no block": kit(),
        "one tight block": kit([60]),
        "only flat blocks": kit(['"flat"', '"flat"']),
        "no beam": kit(['"16 in"', 300, 210], beam=""),
        "no gauge": kit(['"16 in"', 260], gauges=""),
        "one grade": kit(['"16 in"', 260], abrasives='abrasives = [ "P120" ]\n'),
        "two grades": kit([500, 400], abrasives='abrasives = [ "P180", "P80" ]\n'),
        "inches": kit(['"20 in"', '"16 in"', '"12 in"', '"10 in"', '"9 1/2 in"', '"7 1/4 in"']),
        "twins": kit([400, 400, 300, 300]),
        "out of order": kit([220, 600, 180, 350, 270]),
        "very flat": kit([100000, 5000, 1500]),
        "keen eye": kit([400, 250], more='smallest_light = "0.4 thou"\n'),
        "dim light": kit([400, 250], more="smallest_light = 0.1\n"),
        "one gauge": kit([320], gauges="gauges = [ 250 ]\n"),
    }
    r = random.Random(77)
    for number in range(5):
        blocks = sorted(round(r.uniform(150, 650), 1) for _ in range(r.randrange(1, 7)))
        made[f"random {number}"] = kit(blocks)
    return made


def special():
    """Commissions of one point each, named for it."""
    def text(scale='length = "604 mm"', board="nut_width = 45\nend_width = 58\noverhang = 6", camber="", tail=""):
        strings = ", ".join(f'{{ note = "{note}", gauge = {gauge} }}' for note, gauge in FULL[:6])
        return (f'camberwright = 1\ntitle = "Special"\n[scale]\n{scale}\nfrets = 18\n[strings]\nnut_spread = 37\n'
                f"saddle_spread = 52\nset = [ {strings} ]\n[board]\n{board}\ncrown_thickness = 6\n[camber]\n{camber}\n{tail}")

    single = 'law = "single"\nradius = '
    return [
        ("radius just under a block's", text(camber=single + "406")),
        ("radius of a block", text(camber=single + '"16 in"')),
        ("flat", text(camber=single + '"flat"')),
        ("cone up to a block's radius", text(camber='law = "cone"\nnut = "12 in"\nlast_fret = "16 in"', board="nut_width = 45\nend_width = 58")),
        ("steep fan", text(scale="bass = 720\ntreble = 600\nsquare_at = 0", camber='law = "cone"\nnut = 200\nlast_fret = 420')),
        ("treble side longer", text(scale="bass = 600\ntreble = 640\nsquare_at = 16.75", camber='law = "string cone"\nnut = 220',
                                    board="margin = 3.5\noverhang = 9")),
        ("two equal lengths", text(scale='bass = "25 in"\ntreble = "25 in"', camber='law = "cone"\nnut = 300\nlast_fret = 500')),
        ("fall-away from the nut", text(camber=single + "300\nfall_away = { from_fret = 0, depth = 0.3 }")),
        ("lanes that close", text(camber='law = "string cone"\nnut = 300').replace("saddle_spread = 52", "saddle_spread = 31")),
        ("very wide radius", text(camber=single + "1000000")),
        # The fall-away begins under steeply skewed frets, so that their sections have a kink.
        ("fall-away under a skewed fret", commission(103)),
        ("two tight places", text(camber='law = "stations"\nat = [ { fret = 0, radius = 400 }, { fret = 4, radius = 250 }, '
                                  "{ fret = 9, radius = 420 }, { fret = 14, radius = 240 }, { fret = 18, radius = 430 } ]")),
    ]
