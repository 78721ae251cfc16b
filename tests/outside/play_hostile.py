"""Bad input for the keys of playing: exit code 2, the place named, a limit or a way out, and never a panic."""

import re

from hostile import GOOD, _check
from program import LIMIT_S, run

STRING = '{ note = "E4", gauge = "0.010 in" }'


def _string(more):
    return GOOD.replace(STRING, f'{{ note = "E4", gauge = "0.010 in", {more} }}')


def _more(table, lines):
    return GOOD + f"[{table}]\n{lines}\n"


def _drawn(readings):
    return _string(f"drawn = {{ readings = [ {readings} ] }}")


def _fretwork(kind, rows):
    return _more("fretwork", f"{kind} = [ {rows} ]")


TWO = "{ length = 0, hertz = 320 }, { length = 1, hertz = 330 }"


def cases():
    """(what is wrong, text, what the message must name)."""
    drawn = r"strings\.set\[1\]\.drawn"
    yield "drawn once only", _drawn("{ length = 0, hertz = 320 }"), drawn
    yield "drawn not at all", _drawn(""), drawn
    yield "drawn by nothing", _drawn("{ length = 1, hertz = 320 }, { length = 1, hertz = 330 }"), drawn
    yield "drawn by too little", _drawn("{ length = 1, hertz = 320 }, { length = 1.05, hertz = 330 }"), drawn
    yield "drawn to NaN", _drawn(TWO.replace("330", "nan")), drawn + r"\.readings"
    yield "drawn without end", _drawn(TWO.replace("length = 1", "length = inf")), drawn + r"\.readings"
    yield "spread of zero", _drawn(TWO.replace("330", "330, spread = 0")), drawn + r"\.readings"
    yield "negative spread", _drawn(TWO.replace("330", "330, spread = -1")), drawn + r"\.readings"
    yield "hertz out of the world", _drawn(TWO.replace("330", "1e9")), drawn + r"\.readings"
    yield "hertz is text", _drawn(TWO.replace("330", '"high"')), drawn + r"\.readings"
    yield "4000 readings of a string", _drawn("{ length = 1, hertz = 320 }, " * 4000 + TWO), drawn
    yield "mark past the last fret", _string(f"drawn = {{ mark_at_fret = 40, readings = [ {TWO} ] }}"), r"mark_at_fret of string 1"
    yield "mark before the nut", _string(f"drawn = {{ mark_at_fret = -1, readings = [ {TWO} ] }}"), drawn + r"\.mark_at_fret"
    yield "unknown key of a drawn string", _string(f"drawn = {{ reading = [ {TWO} ] }}"), r"reading[\s\S]*readings"
    yield "core thicker than the string", _string("core = 0.4"), r"strings\.set\[1\]\.core"
    yield "core of nothing", _string("core = 0"), r"strings\.set\[1\]\.core"
    yield "tuned past the last fret", _string("tuned_at = 23"), r"tuned_at of string 1"
    yield "tuned between frets", _string("tuned_at = 1.5"), r"strings\.set\[1\]\.tuned_at"
    yield "negative string behind", GOOD.replace('spacing = "equal gaps"', "behind = -3"), r"strings\.behind"
    for kind, row in (("heights", "{ fret = %s, lane = %s, height = 0 }"), ("rocks", "{ fret = %s, lane = %s, rock = 0.1 }")):
        yield f"{kind}: fret past the last", _fretwork(kind, row % (23, 1)), rf"fretwork\.{kind}\[1\]"
        yield f"{kind}: fret 0", _fretwork(kind, row % (0, 1)), rf"fretwork\.{kind}\[1\]\.fret"
        yield f"{kind}: lane past the last", _fretwork(kind, row % (5, 4)), rf"fretwork\.{kind}\[1\]"
        yield f"{kind}: lane 0", _fretwork(kind, row % (5, 0)), rf"fretwork\.{kind}\[1\]\.lane"
        yield f"{kind}: fret is text", _fretwork(kind, row % ('"five"', 1)), rf"fretwork\.{kind}\[1\]\.fret"
        yield f"{kind}: 3001 of them", _fretwork(kind, (row % (5, 1) + ", ") * 3001), rf"fretwork\.{kind}"
    yield "height of NaN", _fretwork("heights", "{ fret = 5, lane = 1, height = nan }"), r"fretwork\.heights\[1\]\.height"
    yield "height of a metre", _fretwork("heights", '{ fret = 5, lane = 1, height = "1 m" }'), r"fretwork\.heights\[1\]\.height"
    yield "height left out", _fretwork("heights", "{ fret = 5, lane = 1 }"), r"fretwork\.heights\[1\]"
    yield "rock on the first fret", _fretwork("rocks", "{ fret = 1, lane = 1, rock = 0.1 }"), r"fretwork\.rocks\[1\]"
    yield "rock on the last fret", _fretwork("rocks", "{ fret = 22, lane = 1, rock = 0.1 }"), r"fretwork\.rocks\[1\]"
    yield "negative rock", _fretwork("rocks", "{ fret = 5, lane = 1, rock = -0.1 }"), r"fretwork\.rocks\[1\]\.rock"
    gap = "{ lane = %s, from = %s, to = %s, fret = %s, gap = %s }"
    for what, figures in {"gap outside its frets": (1, 3, 8, 9, 0.1), "gap before its frets": (1, 3, 8, 2, 0.1), "gap on its own rest": (1, 3, 8, 3, 0.1),
                          "gap between turned frets": (1, 8, 3, 5, 0.1), "gap on one fret": (1, 5, 5, 5, 0.1), "gap past the last fret": (1, 3, 30, 9, 0.1),
                          "gap in no lane": (9, 3, 8, 5, 0.1), "negative gap": (1, 3, 8, 5, -0.1), "gap of NaN": (1, 3, 8, 5, "nan")}.items():
        yield what, _fretwork("gaps", gap % figures), r"fretwork\.gaps\[1\]"
    yield "fretwork as a list", GOOD + "fretwork = [ 1, 2 ]\n", r"fretwork"
    yield "heights as a table", _more("fretwork", "heights = { fret = 1, lane = 1, height = 0 }"), r"fretwork\.heights"
    yield "heights both ways", _more("fretwork", "heights = [ { fret = 5, lane = 1, height = 0 } ]\n[[fretwork.heights]]\nfret = 6\nlane = 1\nheight = 0"), r"line|heights"
    yield "step of nothing", _more("fretwork", "step = 0"), r"fretwork\.step"
    yield "least crown of NaN", _more("fretwork", "least_crown = nan"), r"fretwork\.least_crown"
    for key in ("action_at_12", "action_at_1"):
        yield f"{key}: too few", _more("set_up", f"{key} = [ 1, 2 ]"), rf"set_up\.{key}"
        yield f"{key}: too many", _more("set_up", f"{key} = [ 1, 2, 2, 2 ]"), rf"set_up\.{key}"
        yield f"{key}: none", _more("set_up", f"{key} = []"), rf"set_up\.{key}"
        yield f"{key}: 100,000 of them", _more("set_up", f"{key} = [ {'1, ' * 100_000} ]"), rf"set_up\.{key}"
        yield f"{key}: NaN among them", _more("set_up", f"{key} = [ 1, nan, 2 ]"), rf"set_up\.{key}"
        yield f"{key}: a list and a table in one", _more("set_up", f"{key} = [ {{ treble = 1, bass = 2 }} ]"), rf"set_up\.{key}"
        yield f"{key}: given twice", _more("set_up", f"{key} = [ 1, 2, 2 ]\n{key} = {{ treble = 1, bass = 2 }}"), r"line|" + key
    yield "relief without end", _more("set_up", "relief = -inf"), r"set_up\.relief"
    yield "unknown key of the set-up", _more("set_up", "relif = 0.1"), r"relif[\s\S]*relief"
    yield "one depth alone", _more("neck", "depth_at_1 = 20"), r"neck\.depth"
    yield "paper neck", _more("neck", "depth_at_1 = 0.1\ndepth_at_12 = 0.1"), r"neck\.depth_at_1"
    yield "joint past the last fret", _more("neck", "joint = 23"), r"neck\b.*joint"
    yield "joint at the nut", _more("neck", "joint = 0"), r"neck\.joint"
    yield "pocket of nothing", _more("neck", "pocket = 0"), r"neck\.pocket"
    yield "bridge of NaN", _more("neck", "bridge_height = nan"), r"neck\.bridge_height"
    yield "error of 80 %", _more("errors", 'pluck = "80 %"'), r"errors\.pluck"
    yield "negative error", _more("errors", "saddle = -0.1"), r"errors\.saddle"
    yield "error of NaN", _more("errors", "relief = nan"), r"errors\.relief"
    yield "unknown error", _more("errors", "sadle = 0.1"), r"sadle[\s\S]*saddle"
    yield "force in a word without a unit", _more("wish", 'light_force = "0.3"'), r"wish\.light_force"
    yield "negative force", _more("wish", 'hard_force = "-1 N"'), r"wish\.hard_force"
    yield "in tune within nothing", _more("wish", "in_tune = 0"), r"wish\.in_tune"
    yield "margin of NaN", _more("wish", "margin = nan"), r"wish\.margin"
    yield "action within nothing", _more("wish", "action_within = 0"), r"wish\.action_within"


# Odd, but not wrong: a record is printed and nothing in it is NaN.
ODD = {
    "no pluck": _more("wish", 'pluck_force = "0 N"'),
    "the hardest pluck": _more("wish", 'pluck_force = "50 N"'),
    "plucked on the saddle": _more("wish", "pluck_from_saddle = 1"),
    "plucked at the nut": _more("wish", "pluck_from_saddle = 1000"),
    "no bend": _more("wish", "bend = 0"),
    "an octave's bend": _more("wish", "bend = 1200"),
    "strings on the frets": _more("wish", "action_at_1 = 0\naction_at_12 = { treble = 0.1, bass = 0.1 }\nrelief = 0"),
    "bow of 3 mm": _more("wish", "relief = 3"),
    "nothing slides behind": GOOD.replace('spacing = "equal gaps"', "behind = 0"),
    "neck thin and thick": _more("neck", "depth_at_1 = 5\ndepth_at_12 = 100\njoint = 1\nbridge_height = 100\npocket = 5"),
    "neck that thins to nothing": _more("neck", "depth_at_1 = 60\ndepth_at_12 = 5"),
    "no crown left to file": _more("fretwork", "least_crown = 5\nrocks = [ { fret = 5, lane = 1, rock = 5 } ]"),
    "no errors": _more("errors", "fret_tops = 0\nnut_slots = 0\nsaddle = 0\nrelief = 0\nradius = 0\nslots = 0\nset_back = 0\ntension = 0\nstretch = 0\npluck = 0"),
    "greatest errors": _more("errors", 'fret_tops = 1\nnut_slots = 1\nsaddle = 2\nrelief = 1\nradius = "50 %"\nslots = 2\nset_back = 5\ntension = "50 %"\nstretch = "50 %"\npluck = "50 %"'),
    "drawn downward": _drawn(TWO.replace("320", "340")),
    "heights that contradict": _fretwork("heights", "{ fret = 5, lane = 1, height = 5 }, { fret = 5, lane = 1, height = -5 }, " * 20),
    "3000 rocks of nothing": _fretwork("rocks", "{ fret = 5, lane = 1, rock = 0 }, " * 3000),
    "one fret": GOOD.replace("frets = 22", "frets = 1"),
}


def check_play_hostile(ledger, folder):
    for number, (what, text, place) in enumerate(cases()):
        _check(ledger, what, run("play" if number % 4 else "sheet", "-", "--json", text=text), place)
    for what, text in ODD.items():
        answer = run("play", "-", "--necks", 128, "--json", text=text)
        ledger.holds("odd wishes: exit 0, 1 or 2, a record or a reason", answer.code in (0, 1, 2) and (answer.code == 0 or answer.err), f"{what}: exit {answer.code} {answer.err[:200]}")
        ledger.holds("odd wishes: answered in time", answer.seconds < LIMIT_S, f"{what}: {answer.seconds:.2f} s")
        ledger.holds("odd wishes: no NaN is printed", not re.search(r"NaN|inf", answer.out), what)
    for what, arguments, code in (("people's words", [], 0), ("planned", ["--planned", "--json"], 0), ("necks of nothing", ["--necks", "-5"], 2),
                                  ("necks of text", ["--necks", "many"], 2), ("readings that are not there", ["--readings", folder / "none.csv"], 2),
                                  ("a seed of text", ["--seed", "x"], 2), ("a visit without readings", ["--visit", "rough"], 2)):
        answer = run("play", "-", *arguments, text=GOOD)
        ledger.same("exit codes of play", answer.code, code, f"{what}: {answer.err[:200]}")
    one, two, other = (run("play", "-", "--json", "--necks", 512, "--seed", seed, text=GOOD).out for seed in (7, 7, 8))
    ledger.holds("play: the same seed draws the same necks, another draws others", one == two and one != other, "Hostile's good text")
