"""Facts from outside the project: published tables, closed forms and figures computed elsewhere, each with its source."""

import numpy as np

import figures as fig
from program import run

BASE = """camberwright = 1
title = "Fact"
[scale]
length = {length}
frets = 22
[strings]
nut_spread = {nut_spread}
saddle_spread = {saddle_spread}
spacing = "equal centres"
set = [ {strings} ]
[board]
nut_width = 42.5
end_width = 56.5
overhang = 8
crown_thickness = 6
{wood}
[camber]
{camber}
{more}
"""
SIX = ", ".join('{ note = "%s", gauge = 0.3 }' % note for note in ("E4", "B3", "G3", "D3", "A2", "E2"))


def text(length=635, nut_spread=35.5, saddle_spread=52, strings=SIX, wood="", camber='law = "single"\nradius = 300', more=""):
    return BASE.format(length=length, nut_spread=nut_spread, saddle_spread=saddle_spread, strings=strings, wood=wood,
                       camber=camber, more=more)


def sheet(ledger, commission, *more):
    answer = run("sheet", "-", "--json", *more, text=commission)
    ledger.holds("facts: the sheet is printed", answer.code == 0, f"exit {answer.code}: {answer.err[:200]}")
    return answer.record()


def check_facts(ledger, kit_path):
    _frets_and_cone(ledger)
    _humps(ledger)
    _rulings(ledger)
    _published_tensions(ledger)
    _published_pitches(ledger)
    _published_moisture(ledger)
    _daylight(ledger, kit_path)


def _frets_and_cone(ledger):
    """Closed forms evaluated with 30-digit arithmetic, apart from this project; printed with eight decimals or more."""
    got = sheet(ledger, text(camber='law = "cone"\nnut = 240\nlast_fret = 400'))
    for fret, x in ((1, 35.6398114), (5, 159.287503), (12, 317.5), (22, 456.80915)):
        ledger.near("facts: fret places of 635 mm", got["frets"][fret]["x_mm"], x, f"fret {fret}", 1e-5, "mm")
    drops = {0: 0.9426063, 1: 0.9417437, 5: 0.9468925, 12: 0.9660621, 17: 0.9792676, 22: 0.9903133}
    for fret, down in drops.items():
        ledger.near("facts: edge drops of the cone", got["frets"][fret]["edge_drop_mm"], down, f"fret {fret}", 1e-7, "mm")
    ledger.near("facts: the cone's apex", got["camber"]["apex_x_mm"], -685.213725, "240 to 400", 1e-5, "mm")
    ledger.near("facts: the cone's volume", got["camber"]["removed_mm3"], 7356.39086, "240 to 400", 1e-4, "mm3")


def _humps(ledger):
    """Humps under the outer lane for 648 mm, spreads 35 and 52, 22 frets: printed with four decimals."""
    cases = (('law = "single"\nradius = 254', 0.0186), ('law = "cone"\nnut = 254\nlast_fret = 406.4', 0.0046),
             ('law = "string cone"\nnut = 254', 0.0))
    for camber, hump in cases:
        got = sheet(ledger, text(648, 35, 52, camber=camber))
        ledger.near("facts: lane humps", got["camber"]["lane_hump_mm"][0], hump, camber, 5.1e-5, "mm")


def _rulings(ledger):
    """Lines through a cone's apex lie in it (elementary geometry): points of the printed sections stand in a straight line."""
    for camber in ('law = "cone"\nnut = 240\nlast_fret = 400', 'law = "cone"\nnut = 380\nlast_fret = 260',
                   'law = "string cone"\nnut = 200'):
        got = sheet(ledger, text(camber=camber))
        x = np.array([row["x_mm"] for row in got["frets"]])
        radius = np.array([row["radius_mm"] for row in got["frets"]])
        for share in (0.3, 0.7, 1.0):
            way = x - got["camber"]["apex_x_mm"]
            y = share * 21.0 * way / way[0]
            z = -fig.drop(radius, y)
            straight = np.polyval(np.polyfit(x, z, 1), x)
            ledger.near("facts: rulings are straight", float(np.abs(z - straight).max()), 0.0, f"{camber!r} {share}", 1e-9, "mm")


def _published_tensions(ledger):
    """A printed chart of string tensions: unit weight (lb/in), 25.5 in, pitch (Hz), tension to a tenth of a pound."""
    chart = ((1.794e-5, "E4", 13.1), (1.999e-5, "E4", 14.6), (2.024e-5, "E4", 14.8), (4.679e-5, "E4", 34.2), (4.679e-5, "B3", 19.2))
    for weight, note, pounds in chart:
        string = f'{{ note = "{note}", gauge = "0.010 in", make = "other", unit_weight = "{weight} lb/in" }}'
        got = sheet(ledger, text('"25.5 in"', strings=f"{string}, {string}"))
        tension = got["strings"][0]["tension_n"] / 4.4482216152605
        # The chart rounds to 0.1 lb; its pitch is rounded to 0.01 Hz, which is 0.002 lb here.
        ledger.near("facts: published string tensions", tension, pounds, f"{weight} lb/in at {note}", 0.053, "lb")


def _published_pitches(ledger):
    """Equal-tempered pitches as every table prints them, to 0.01 Hz, from A4 = 440 Hz (ISO 16:1975)."""
    table = {"E4": 329.63, "B3": 246.94, "G3": 196.00, "D3": 146.83, "A2": 110.00, "E2": 82.41, "B0": 30.87, "C4": 261.63}
    strings = ", ".join(f'{{ note = "{note}", gauge = 0.3 }}' for note in table)
    for row in sheet(ledger, text(strings=strings))["strings"]:
        ledger.near("facts: published pitches", row["frequency_hz"], table[row["note"]], row["note"], 0.0051, "Hz")


def _published_moisture(ledger):
    """Wood Handbook FPL-GTR-190 table 4-2 (percent, to a tenth), read at temperatures that it lists in Fahrenheit."""
    table = {(30, 25): 5.5, (30, 50): 9.5, (50, 45): 8.7, (60, 30): 6.2, (70, 25): 5.4, (70, 45): 8.5, (70, 65): 12.0,
             (70, 80): 16.0, (90, 40): 7.4, (110, 35): 6.3}
    for (fahrenheit, humidity), percent in table.items():
        air = (fahrenheit - 32) / 1.8
        climate = f"[climate]\ntemperature = {air:.6f}\nshop_humidity = {humidity}\nhome_humidity = 40"
        got = sheet(ledger, text(wood='wood = "pear"', more=climate))
        # The table is rounded to 0.1 and the equation was fitted to it: one step of the table is what they may differ.
        ledger.near("facts: moisture table of the Wood Handbook", got["movement"]["shop_moisture_percent"], percent,
                    f"{fahrenheit} °F, {humidity} %", 0.1, "%")


def _daylight(ledger, kit_path):
    """R = 240 mm over a half width of 21.25 mm with 0.01 mm of light seen: ±2.551 mm, the closed form 2R²δ/a²."""
    kit_path.write_text('camberwright_kit = 1\ntitle = "d"\ngauges = [240]\nsmallest_light = 0.01\nabrasives = ["P80"]\n'
                        "beams = [{ length = 460 }]\n", encoding="utf-8")
    answer = run("plan", "-", "--kit", kit_path, "--json", text=text(camber='law = "cone"\nnut = 240\nlast_fret = 400'))
    nut = answer.record()["gauges"][0]
    half_span = (nut["no_light_to_mm"] - nut["no_light_from_mm"]) / 2
    # The closed form takes the arc for a parabola, which is right to a share of about (a/R)² = 0.8 %, or 0.020 mm.
    ledger.near("facts: what daylight proves", half_span, 2.551, "gauge 240", 2.551 * (21.25 / 240) ** 2, "mm")
