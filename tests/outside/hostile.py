"""Bad input: the program answers with exit code 2 and names the place, quickly, whatever the text."""

import json
import re

from program import LIMIT_S, run

GOOD = """camberwright = 1
title = "Hostile"
[scale]
length = "635 mm"
frets = 22
[strings]
nut_spread = "35.5 mm"
saddle_spread = "52 mm"
spacing = "equal gaps"
set = [ { note = "E4", gauge = "0.010 in" }, { note = "B3", gauge = "0.013 in" }, { note = "G3", gauge = "0.017 in" } ]
[board]
nut_width = "42.5 mm"
end_width = "56.5 mm"
overhang = "8 mm"
crown_thickness = "6 mm"
[camber]
law = "cone"
nut = "240 mm"
last_fret = "400 mm"
[frets]
tang_depth = "1.6 mm"
"""
CAMBER = 'law = "cone"\nnut = "240 mm"\nlast_fret = "400 mm"\n'
LENGTH = 'length = "635 mm"'
SET = re.search(r"set = .*\n", GOOD)[0]

KIT = """camberwright_kit = 1
title = "Hostile kit"
blocks = [ { radius = "16 in", length = "200 mm", width = "70 mm" } ]
beams = [ { length = "460 mm" } ]
gauges = [ "10 in" ]
abrasives = [ "P80", "P120" ]
"""


def swap(old, new):
    assert old in GOOD, old
    return GOOD.replace(old, new)


def commissions():
    """(what is wrong, text or bytes, what the message must name)."""
    radius = lambda at: swap(CAMBER, f'law = "stations"\nat = [ {at} ]\n')
    yield "NaN for a length", swap(LENGTH, "length = nan"), r"scale\.length"
    yield "infinite length", swap(LENGTH, "length = inf"), r"scale\.length"
    yield "minus infinite width", swap('nut_width = "42.5 mm"', "nut_width = -inf"), r"board\.nut_width"
    yield "zero length", swap(LENGTH, "length = 0"), r"scale\.length"
    yield "negative length", swap(LENGTH, 'length = "-635 mm"'), r"scale\.length"
    yield "length beyond all floats", swap(LENGTH, "length = 1e400"), r"scale\.length|line 4"
    yield "huge length", swap(LENGTH, "length = 1e300"), r"scale\.length"
    yield "tiny length", swap(LENGTH, "length = 1e-300"), r"scale\.length"
    yield "length without a unit that is known", swap(LENGTH, 'length = "635 furlongs"'), r"scale\.length"
    yield "length divided by zero", swap(LENGTH, 'length = "635 1/0 mm"'), r"scale\.length"
    yield "empty length", swap(LENGTH, 'length = ""'), r"scale\.length"
    yield "length is a table", swap(LENGTH, "length = { mm = 635 }"), r"scale\.length"
    yield "length is a date", swap(LENGTH, "length = 1979-05-27"), r"scale\.length|line 4"
    yield "both one length and two", swap(LENGTH, LENGTH + '\nbass = "660 mm"\ntreble = "635 mm"'), r"scale"
    yield "a fan with one side", swap(LENGTH, 'bass = "660 mm"'), r"scale"
    yield "10,000 frets", swap("frets = 22", "frets = 10000"), r"scale\.frets"
    yield "no frets", swap("frets = 22", "frets = 0"), r"scale\.frets"
    yield "minus one fret", swap("frets = 22", "frets = -1"), r"scale\.frets"
    yield "half a fret", swap("frets = 22", "frets = 21.5"), r"scale\.frets"
    yield "frets past 64 bits", swap("frets = 22", "frets = 99999999999999999999"), r"scale\.frets|line 5"
    yield "no string", swap(SET, "set = []\n"), r"strings\.set"
    yield "no string set", swap(SET, ""), r"strings(\.set|: set)?"
    yield "unknown note", swap('"E4"', '"H4"'), r"strings\.set\[0\]\.note|set"
    yield "note out of the world", swap('"E4"', '"E999999999999"'), r"strings\.set"
    yield "string of no thickness", swap('"0.010 in"', "0"), r"strings\.set"
    yield "500 strings", swap(SET, "set = [" + '{ note = "E4", gauge = 0.3 },' * 500 + "]\n"), r"strings"
    yield "strings thicker than their spread", swap('nut_spread = "35.5 mm"', "nut_spread = 0.4"), r"strings|board"
    yield "wrong encoding (UTF-16)", GOOD.encode("utf-16"), r"UTF-8|utf-8|encod|text"
    yield "wrong encoding (Latin-1)", GOOD.replace("Hostile", "H\u00e9ron").encode("latin-1"), r"UTF-8|utf-8|encod|text"
    yield "NUL bytes", b"\0" * 5000, r"line 1|text|TOML"
    yield "2 MB of one comment", "# " + "x" * 2_000_000 + "\n", r"camberwright|bytes|large|MB|long"
    yield "2 MB of letters", "x" * 2_000_000, r"line 1|bytes|large|MB|long"
    yield "2 MB title", swap('"Hostile"', '"' + "t" * 2_000_000 + '"'), r"title|bytes|large|MB|long"
    yield "100,000 unknown keys", GOOD + "".join(f"k{i} = 1\n" for i in range(100_000)), r"k0|unknown|large|MB|bytes"
    yield "falling tuning", swap("frets = 22", "frets = 22\ntuning = [100.0, 90.0, 1200.0]"), r"scale\.tuning"
    yield "tuning that stands still", swap("frets = 22", "frets = 22\ntuning = [100.0, 100.0, 1200.0]"), r"scale\.tuning"
    yield "empty tuning", swap("frets = 22", "frets = 22\ntuning = []"), r"scale\.tuning"
    yield "tuning of NaN", swap("frets = 22", "frets = 22\ntuning = [nan, 1200.0]"), r"scale\.tuning"
    yield "0 equal", swap("frets = 22", 'frets = 22\ntuning = "0 equal"'), r"scale\.tuning"
    yield "tuning file that is not there", swap("frets = 22", 'frets = 22\ntuning = "no-such-file.scl"'), r"scale\.tuning|no-such-file"
    yield "stations out of order", radius("{ fret = 12, radius = 300 }, { fret = 0, radius = 240 }"), r"camber\.at"
    yield "stations twice at one fret", radius("{ fret = 0, radius = 240 }, { fret = 0, radius = 300 }"), r"camber\.at"
    yield "station past the last fret", radius("{ fret = 0, radius = 240 }, { fret = 99, radius = 300 }"), r"camber\.at"
    yield "no station", radius(""), r"camber\.at"
    yield "radius less than the half width", swap(CAMBER, 'law = "single"\nradius = 20\n'), r"camber"
    yield "cone that closes before the board's end", swap(CAMBER, 'law = "cone"\nnut = 900\nlast_fret = 12\n'), r"camber"
    yield "law that is unknown", swap('"cone"', '"parabola"'), r"camber\.law"
    yield "radius and cone together", swap('law = "cone"', 'law = "cone"\nradius = 300'), r"camber\.radius|camber"
    yield "board narrower than its strings", swap('nut_width = "42.5 mm"', "nut_width = 30"), r"board"
    yield "board of no width", swap('end_width = "56.5 mm"', "end_width = 0"), r"board\.end_width"
    yield "margin and widths together", swap('overhang = "8 mm"', "margin = 3"), r"board"
    yield "fall-away from past the last fret", swap(CAMBER, CAMBER + "fall_away = { from_fret = 60, depth = 0.2 }\n"), r"fall_away"
    yield "fall-away that climbs", swap(CAMBER, CAMBER + "fall_away = { from_fret = 12, depth = -0.2 }\n"), r"fall_away"
    yield "binding wider than the board", swap('nut_width = "42.5 mm"', "nut_width = 37\nbinding = 19"), r"binding"
    yield "unknown key, nearly right", swap("nut_width", "nut_widht"), r"nut_widht[\s\S]*nut_width"
    yield "unknown table, nearly right", swap("[camber]", "[cambre]"), r"cambre[\s\S]*camber"
    yield "unknown key in a string", swap('gauge = "0.010 in"', 'gague = "0.010 in"'), r"gague[\s\S]*gauge"
    yield "key given twice", swap("frets = 22", "frets = 22\nfrets = 23"), r"line 6"
    yield "truncated inside a string", GOOD[: GOOD.index('"56.5 mm"') + 4], r"line 13"
    yield "truncated inside a list", GOOD[: GOOD.index("gauge") + 3], r"line 10"
    yield "nothing at all", "", r"camberwright"
    yield "a kit instead of a commission", KIT, r"camberwright"
    yield "version 99", swap("camberwright = 1", "camberwright = 99"), r"camberwright"
    yield "deep nesting of lists", "a = " + "[" * 100_000 + "]" * 100_000, r"line 1|deep|nest|recursion"
    yield "deep nesting of tables", "a = " + "{b=" * 50_000 + "1" + "}" * 50_000, r"line 1|deep|nest|recursion"
    yield "deep dotted key", ".".join(["a"] * 50_000) + " = 1", r"line 1|deep|nest|recursion|unknown"
    yield "humidity of 300 %", GOOD + '[climate]\nhome_humidity = "300 %"\n', r"climate\.home_humidity"
    yield "colder than all cold", GOOD + "[climate]\ntemperature = -1000\n", r"climate\.temperature"


def kits():
    """(what is wrong, kit text, what the message must name)."""
    yield "kit: block of no radius", KIT.replace('"16 in"', "0"), r"blocks"
    yield "kit: NaN block", KIT.replace('"16 in"', "nan"), r"blocks"
    yield "kit: negative gauge", KIT.replace('"10 in"', "-5"), r"gauges"
    yield "kit: unknown grade", KIT.replace("P120", "P121x"), r"abrasives"
    yield "kit: unknown key, nearly right", KIT.replace("gauges", "guages"), r"guages[\s\S]*gauges"
    yield "kit: a commission instead", GOOD, r"camberwright_kit"
    yield "kit: light of zero", KIT + "smallest_light = 0\n", r"smallest_light"
    yield "kit: cut short", KIT[:60], r"line 3"
    yield "kit: beam of infinite length", KIT.replace('"460 mm"', "inf"), r"beams"


def check_hostile(ledger, folder):
    good_kit, bad_kit = folder / "good_kit.toml", folder / "bad_kit.toml"
    good_kit.write_text(KIT, encoding="utf-8")
    for command in ("sheet", "plan"):
        answer = run(command, "-", "--kit", good_kit, "--json", text=GOOD)
        ledger.holds("bad input: the text that is spoilt is good itself", answer.code == 0, answer.err[:300])
    for index, (what, text, place) in enumerate(commissions()):
        command = ("sheet", "plan")[index % 2]
        _check(ledger, what, run(command, "-", "--kit", good_kit, "--json", text=text), place)
    for what, text, place in kits():
        bad_kit.write_text(text, encoding="utf-8")
        _check(ledger, what, run("plan", "-", "--kit", bad_kit, "--json", text=GOOD), place)
    _check(ledger, "file that is not there", run("sheet", folder / "none.toml"), r"none\.toml")
    _check(ledger, "a folder for a file", run("sheet", folder), re.escape(folder.name))
    _check_many_spoilt(ledger)


def _check(ledger, what, answer, place):
    said = answer.err[:240].replace("\n", " ")
    ledger.holds("bad input: no panic, no signal", answer.code not in (101, -999) and answer.code >= 0, f"{what}: exit {answer.code}, {said}")
    ledger.holds("bad input: exit code 2", answer.code == 2, f"{what}: exit {answer.code}, {said}")
    ledger.holds("bad input: the place is named", bool(re.search(place, answer.err)), f"{what}: {said}")
    ledger.holds("bad input: a short message", len(answer.err) < 20_000, f"{what}: {len(answer.err)} letters")
    ledger.holds("bad input: no figures, at most a record of faults", _only_faults(answer.out), f"{what}: {answer.out[:80]!r}")
    ledger.holds("bad input: answered in time", answer.seconds < LIMIT_S, f"{what}: {answer.seconds:.2f} s")


def _only_faults(out):
    """Nothing on standard output, or a JSON record whose faults each have a message."""
    if not out:
        return True
    try:
        record = json.loads(out)
    except ValueError:
        return False
    return set(record) <= {"faults", "file"} and len(record.get("faults", [])) > 0 and all(fault["message"] for fault in record["faults"])


def _check_many_spoilt(ledger):
    """Every number of a good text replaced in turn, and the text cut at many places: never a panic, never a hang."""
    numbers = [m.span() for m in re.finditer(r"\d+(\.\d+)?", GOOD)]
    texts = [GOOD[:a] + new + GOOD[b:] for a, b in numbers[1:] for new in ("0", "-7", "1e9", "nan")]
    texts += [GOOD[:cut] for cut in range(0, len(GOOD), 29)]
    for number, text in enumerate(texts):
        answer = run(("sheet", "plan")[number % 2], "-", "--json", text=text)
        ledger.holds("spoilt texts: exit 0, 1 or 2", answer.code in (0, 1, 2), f"exit {answer.code} for {text[-200:]!r}")
        ledger.holds("spoilt texts: answered in time", answer.seconds < LIMIT_S, f"{answer.seconds:.2f} s for {text[-200:]!r}")
        if answer.code != 2:
            ledger.holds("spoilt texts: no NaN is printed", "NaN" not in answer.out, f"{text[-200:]!r}")
