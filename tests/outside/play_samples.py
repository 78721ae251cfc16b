"""Commissions for playing, from a seeded generator: every kind of board, string, neck, measured set-up and fretwork."""

import random

from figures import frequency_hz
from samples import LAWS, UNEQUAL, stations, written

NOTES = [("E4", 0.254), ("B3", 0.3302), ("G3", 0.4318), ("D3", 0.6604), ("A2", 0.9144), ("E2", 1.1684),
         ("B1", 1.5748), ("F#1", 2.0), ("E2", 1.1), ("A2", 0.86), ("D3", 0.62), ("B2", 0.74)]  # Courses from the ninth on.
NYLON = [("E4", 0.711), ("B3", 0.818), ("G3", 1.024), ("D3", 0.737), ("A2", 0.889), ("E2", 1.092)]
COUNTS = [6, 1, 4, 12, 3, 6, 2, 7, 5, 6, 8, 10, 9, 11]


def play_commission(seed):
    """The text of one commission; the seed decides everything, and its low digits choose the kind."""
    r = random.Random(70_000 + seed)
    law, count = LAWS[(seed + seed // 4) % 4], COUNTS[seed % len(COUNTS)]
    fan = seed % 3 == 1 and count > 1
    frets = r.choice([12, 14, 19, 21, 22, 24]) if seed % 13 != 12 else r.choice([1, 2, 5])
    length = r.uniform(560, 700)
    if law == "string cone" and count == 1:
        law = "cone"
    parts = [f'camberwright = 1\ntitle = "Playing {seed}"', _scale(r, seed, fan, frets, length), _strings(r, seed, count),
             _board(r, count), _camber(r, seed, law, frets), _wish(r, seed)]
    parts += [_neck(r, seed, frets)] if seed % 2 == 0 else []
    parts += [_set_up(r, seed, count)] if seed % 5 in (1, 3) else []
    parts += [_errors(r)] if seed % 4 == 2 else []
    parts += [_fretwork(r, seed, count, frets)] if seed % 4 == 3 and frets > 2 else []
    return "\n".join(parts) + "\n"


def _scale(r, seed, fan, frets, length):
    lines = ["[scale]"]
    if fan:
        lines += [f"bass = {written(r, length + r.uniform(-30, 55))}", f"treble = {written(r, length)}"]
        square = r.choice([None, 0, 5, 7, 9, 8.25, '"nut"', '"saddle"']) if frets > 11 else None
        lines += [f"square_at = {square}"] if square is not None else (["square_at = 1"] if frets < 11 else [])
    else:
        lines += [f"length = {written(r, length)}"]
    lines += [f"frets = {frets}"]
    if seed % 6 == 3:
        lines += [f"tuning = {UNEQUAL[seed % 2]}"]
    elif seed % 7 == 4:
        lines += [f'tuning = "{r.choice([17, 19])} equal"']
    lines += [f"a4 = {r.choice([415.0, 432.0, 443.0])}"] if seed % 6 == 1 else []
    return "\n".join(lines)


def _drawn(r, frets_mark, note, with_spread):
    hertz = frequency_hz(note)
    slope, rows = r.uniform(0.03, 0.08) * hertz, []
    for number in range(r.randrange(2, 9)):
        spread = f", spread = {r.uniform(0.1, 0.9):.3f}" if with_spread else ""
        rows.append(f"{{ length = {0.5 * number}, hertz = {hertz + slope * 0.5 * number + r.gauss(0, 0.1):.3f}{spread} }}")
    mark = f"mark_at_fret = {frets_mark}, " if frets_mark is not None else ""
    return f"drawn = {{ {mark}readings = [ {', '.join(rows)} ] }}"


def _strings(r, seed, count):
    nut = 7.4 * (count - 1) + r.uniform(0, 3) if count > 1 else 6.0
    saddle = nut * r.uniform(1.2, 1.55)
    lines = ["[strings]", f"nut_spread = {written(r, nut)}", f"saddle_spread = {written(r, saddle)}"]
    lines += ['spacing = "equal centres"'] if seed % 2 else []
    lines += [f"behind = {r.choice([0, 40, 90, 155])}"] if seed % 3 else []
    nylon = seed % 5 == 2 and count <= 6
    rows = [_string(r, index, note, gauge, nylon) for index, (note, gauge) in enumerate((NYLON if nylon else NOTES)[:count])]
    return "\n".join([*lines, "set = [", *rows, "]"])


def _string(r, index, note, gauge, nylon):
    more, kind = [], r.random()
    if nylon:
        more += ['make = "nylon"', f'unit_weight = "{gauge**2 * (0.9 if index < 3 else 3.6):.4f} g/m"']
        if kind < 0.4:
            more.append(_drawn(r, r.choice([None, 0, 1, 1]), note, kind < 0.2))
    elif index < 3:
        more += ['make = "plain steel"'] if kind < 0.5 else []
        gauge *= r.choice([1.0, 1.0, r.uniform(0.9, 1.12)])
        more += [_drawn(r, 1, note, False)] if kind > 0.9 else []
    elif kind < 0.12:
        more += ['make = "other"'] + ([f'unit_weight = "{5.6 * gauge**2:.4f} g/m"'] if kind < 0.08 else [])
    else:
        make = r.choice(["nickel wound", "phosphor bronze wound", "80/20 bronze wound"])
        more += [f'make = "{make}"', f'unit_weight = "{5.4 * gauge**2:.4f} g/m"']
        more += [f"core = {gauge * r.uniform(0.3, 0.5):.3f}"] if kind < 0.4 else []
        more += [_drawn(r, 1, note, True)] if kind > 0.85 else []
    more += [f"tuned_at = {r.choice([1, 1, 0])}"] if r.random() < 0.2 else []
    return f'  {{ note = "{note}", gauge = {gauge:.4f}, {", ".join(more)} }},' if more else f'  {{ note = "{note}", gauge = {gauge:.4f} }},'


def _board(r, count):
    lines = ["[board]", f"margin = {written(r, r.uniform(3.0, 4.5))}", f"overhang = {written(r, r.uniform(2, 15))}", "crown_thickness = 12"]
    return "\n".join(lines)


def _camber(r, seed, law, frets):
    low, high = sorted([r.uniform(220, 330), r.uniform(330, 600)])
    lines = ["[camber]", f'law = "{law}"']
    if law == "single":
        lines += [f"radius = {written(r, low)}" if seed % 16 else 'radius = "flat"']
    elif law == "cone":
        lines += [f"nut = {written(r, low)}", f"last_fret = {written(r, high)}"]
    elif law == "string cone":
        lines += [f"nut = {written(r, low)}"]
    elif frets >= 6:
        lines += [stations(r, seed, frets, low, high)]
    else:
        lines += [f"at = [ {{ fret = 0, radius = {low:.2f} }}, {{ fret = {frets}, radius = {high:.2f} }} ]"]
    if seed % 3 == 2 and frets > 8:
        lines += [f"fall_away = {{ from_fret = {r.randrange(8, frets)}, depth = {written(r, r.uniform(0.05, 0.3))} }}"]
    return "\n".join(lines)


def _wish(r, seed):
    treble = r.uniform(1.3, 1.9)
    lines = ["[wish]", f"action_at_12 = {{ treble = {written(r, treble)}, bass = {written(r, treble + r.uniform(0, 0.6))} }}",
             f'pluck_force = "{r.uniform(0.2, 0.9):.3f} N"', f"pluck_from_saddle = {written(r, r.choice([60, 90, 110, 170, 260]))}",
             f"bend = {r.choice([50, 100, 150, 200, 300])}", f"relief = {r.choice([0, 0.08, 0.15, 0.25, 0.4])}"]
    lines += [f"action_at_1 = {r.uniform(0.25, 0.6):.3f}", 'light_force = "0.15 N"', 'hard_force = "140 gf"'] if seed % 2 else []
    lines += [f"margin = {r.choice([0, 0.03, 0.06])}", f"in_tune = {r.choice([1.5, 3, 8])}", f"action_within = {r.choice([0.08, 0.2])}"] if seed % 3 else []
    return "\n".join(lines)


def _neck(r, seed, frets):
    lines = ["[neck]"]
    lines += [f"depth_at_1 = {r.uniform(18, 24):.2f}", f"depth_at_12 = {r.uniform(20, 27):.2f}"] if seed % 4 == 0 else []
    lines += [f"joint = {r.randrange(max(1, frets - 8), frets + 1)}"] if seed % 6 else []
    lines += [f"bridge_height = {r.uniform(9, 18):.2f}"] + (["board_over_body = 6.5"] if seed % 8 == 0 else [])
    lines += ["pocket = 75"] if seed % 4 == 2 else []
    return "\n".join(lines)


def _set_up(r, seed, count):
    listed = lambda base: "[ " + ", ".join(f"{base + r.uniform(-0.2, 0.3):.3f}" for _ in range(count)) + " ]"
    lines = ["[set_up]", f"relief = {r.choice([-0.1, 0.05, 0.3])}"]
    lines += ["action_at_12 = { treble = 2.05, bass = 2.45 }"] if seed % 2 else [f"action_at_12 = {listed(2.0)}"]
    lines += [f"action_at_1 = {listed(0.5)}"] if seed % 3 else []
    return "\n".join(lines)


def _errors(r):
    lines = ["[errors]", f"fret_tops = {r.choice([0, 0.01, 0.03])}", f"saddle = {r.choice([0.02, 0.1])}", f'pluck = "{r.choice([5, 10, 30])} %"',
             f'radius = "{r.choice([0, 1, 4])} %"', f"set_back = {r.choice([0.1, 0.5])}", f'stretch = "{r.choice([3, 20])} %"']
    return "\n".join(lines)


def _fretwork(r, seed, count, frets):
    """Readings of planted tops: a smooth wave, a proud fret and noise of the eye."""
    proud, high = r.randrange(2, frets), r.uniform(0.02, 0.25)
    noise = {(i, k): r.gauss(0, 0.015) for i in range(count) for k in range(1, frets + 1)}
    top = lambda i, k: 0.03 * ((k * 7 + i) % 5 - 2) / 2 + noise[i, k] + (high if k == proud else 0.0)
    lines = ["[fretwork]"]
    step = r.choice([0.01, 0.02, 0.03])
    lines += [f"step = {step}"] if seed % 3 else []
    lanes = sorted(r.sample(range(count), min(count, r.randrange(1, 5))))
    heights = [f"{{ fret = {k}, lane = {i + 1}, height = {round((top(i, k) + 0.4 + 0.002 * k * i) / 0.01) * 0.01:.3f} }}"
               for i in lanes for k in range(1, frets + 1) if r.random() < 0.9]
    lines += [f"heights = [ {', '.join(heights)} ]"] if seed % 8 == 3 and heights else []
    gaps, rocks = [], []
    if seed % 8 == 7:  # One that is wildly off.
        gaps.append(f"{{ lane = {r.randrange(count) + 1}, from = {proud - 1}, to = {proud + 1}, fret = {proud}, gap = 0.9 }}")
    for _ in range(r.randrange(4, 14)):
        i, k = r.randrange(count), r.randrange(2, frets)
        lo, hi = r.randrange(1, k), r.randrange(k + 1, frets + 1)
        straight = top(i, lo) + (top(i, hi) - top(i, lo)) * (k - lo) / (hi - lo)
        over = top(i, k) - straight
        if over < 0:
            gaps.append(f"{{ lane = {i + 1}, from = {lo}, to = {hi}, fret = {k}, gap = {-over:.2f} }}")
        rock = top(i, k) - (top(i, k - 1) + top(i, k + 1)) / 2
        rocks.append(f"{{ fret = {k}, lane = {i + 1}, rock = {max(0.0, rock):.2f} }}")
    lines += [f"gaps = [ {', '.join(gaps)} ]"] if gaps else []
    lines += [f"rocks = [ {', '.join(rocks)} ]"]
    lines += [f"seat_bound = {r.choice([0.05, 0.15])}", f"least_crown = {r.choice([0.8, 1.0])}"] if seed % 2 else []
    return "\n".join(lines)
