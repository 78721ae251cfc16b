"""Bad askings for files: exit code 1 or 2, nothing written, and a message with the value, its unit, the limit and a way out."""

import re

from program import LIMIT_S, run

from hostile import GOOD, KIT as BARE_KIT

CUTTERS = """
cutters = [
  { name = "ball 6", shape = "ball", diameter = "6 mm", flutes = 2, reach = "18 mm", pass = "1.2 mm", rpm = 18000, feed = 1800, plunge = 500, chip_least = "0.02 mm", chip_most = "0.08 mm" },
  { name = "flat 6", shape = "flat", diameter = "6 mm", flutes = 2, reach = "22 mm", pass = "2 mm", rpm = 16000, feed = 1600, plunge = 400, chip_least = "0.03 mm", chip_most = "0.1 mm" },
  { name = "slot 0.5", shape = "flat", diameter = "0.5 mm", flutes = 2, reach = "4 mm", pass = "0.15 mm", rpm = 22000, feed = 350, plunge = 100, chip_least = "0.004 mm", chip_most = "0.012 mm" },
]
[machine]
most_feed = 3000
rapid = 5000
least_rpm = 8000
most_rpm = 24000
clear = "5 mm"
into_bed = "0.2 mm"
"""
KIT = BARE_KIT + CUTTERS
CLAMP = '[cutting]\nclamps = [ { x = "100 mm", y = "-10 mm", along = "20 mm", across = "20 mm", height = "25 mm" } ]\n'


def askings():
    """(what is wrong, command and options, commission, kit, what the message must hold, in order)."""
    pattern = lambda *more: ("pattern", "-", "--only", "frets", *more)
    bodies = lambda *more: ("cut", "-", "--only", "bodies", *more)
    programs = ("cut", "-", "--only", "programs")
    yield "a bar of half its length", pattern("--short-bar", "50 mm"), GOOD, KIT, r"50.*mm[\s\S]*(90|110)"
    yield "a bar of no length", pattern("--short-bar", "0 mm"), GOOD, KIT, r"0.*mm"
    yield "a bar that is no length", pattern("--long-bar", "long"), GOOD, KIT, r"long[\s\S]*99\.6 mm"
    yield "a bar of NaN", pattern("--short-bar", "nan"), GOOD, KIT, r"nan"
    yield "a paper that is none", ("pattern", "-", "--paper", "a9"), GOOD, KIT, r"a9[\s\S]*a4"
    yield "a pattern that is none", ("pattern", "-", "--only", "fretz"), GOOD, KIT, r"fretz[\s\S]*frets"
    yield "a chord of nothing", bodies("--chord", "0"), GOOD, KIT, r"0 mm|0\.0* mm"
    yield "a chord below nothing", bodies("--chord=-0.01 mm"), GOOD, KIT, r"0\.01"
    yield "a chord of a board's length", bodies("--chord", "500 mm"), GOOD, KIT, r"500.*mm"
    yield "a chord that is no length", bodies("--chord", "fine"), GOOD, KIT, r"fine"
    yield "a block of 1 mm", bodies("--block", "1 mm"), GOOD, KIT, r"1.*mm[\s\S]*(10|35)"
    yield "a block narrower than itself", bodies("--block", "30 mm"), GOOD, KIT, r"30.*mm[\s\S]*35"
    yield "a block that is no length", bodies("--block", "round"), GOOD, KIT, r"round[\s\S]*16 in"
    yield "a block of three radii", bodies("--block", "10 in:12 in:16 in"), GOOD, KIT, r"--block|12 in"
    yield "a caul past the last fret", bodies("--press-caul", "999"), GOOD, KIT, r"999[\s\S]*22"
    yield "a caul for the nut", bodies("--press-caul", "0"), GOOD, KIT, r"0[\s\S]*22"
    yield "a caul below nothing", bodies("--press-caul=-1"), GOOD, KIT, r"-1"
    yield "a kit without cutters", programs, GOOD, BARE_KIT, r"no (ball|flat) cutter"
    yield "a cutter wider than the slot", programs, _with("tang_depth", "slot_width = 0.4\ntang_depth"), KIT, r"0\.40 mm[\s\S]*0\.50 mm"
    yield "a blank thinner than the crown", programs, _with("crown_thickness", "blank_thickness = 5.9\ncrown_thickness"), KIT, r"5\.9.*mm[\s\S]*6.*mm"
    yield "a clamp over the board", programs, GOOD + CLAMP, KIT, r"clamp 1[\s\S]*mm"
    yield "a feed past the machine's", programs, GOOD, KIT.replace("most_feed = 3000", "most_feed = 900"), r"1[68]00 mm/min[\s\S]*900 mm/min"
    yield "a spindle too slow", programs, GOOD, KIT.replace("most_rpm = 24000", "most_rpm = 10000"), r"(16000|18000|22000)[\s\S]*10000"
    yield "a chip too thick", programs, GOOD, KIT.replace('chip_most = "0.1 mm"', 'chip_most = "0.04 mm"'), r"0\.05\d* mm[\s\S]*0\.04\d* mm"
    yield "a cutter too short", programs, GOOD, KIT.replace('reach = "4 mm"', 'reach = "1 mm"'), r"1\.00 mm[\s\S]*mm deep"


def _with(old, new):
    assert old in GOOD, old
    return GOOD.replace(old, new, 1)


def check_hostile_files(ledger, folder):
    kit, into = folder / "askings_kit.toml", folder / "askings"
    kit.write_text(KIT, encoding="utf-8")
    for what, command in (("patterns", ("pattern", "-", "--only", "frets")), ("files", ("cut", "-"))):
        answer = run(*command, "--kit", kit, text=GOOD)
        ledger.holds("bad askings: the asking that is spoilt is good itself", answer.code == 0, f"{what}: {answer.err[:300]}")
    for what, command, text, kit_text, says in askings():
        kit.write_text(kit_text, encoding="utf-8")
        answer = run(*command, "--kit", kit, "--into", into, text=text)
        ledger.holds("bad askings: exit code 1 or 2", answer.code in (1, 2), f"{what}: exit {answer.code}")
        ledger.holds("bad askings: the message names value, unit and limit", re.search(says, answer.err), f"{what}: wants {says}: {answer.err[:400]}")
        ledger.holds("bad askings: the message shows a way out", len(answer.err.split()) >= 8, f"{what}: {answer.err[:400]}")
        ledger.holds("bad askings: no panic", "panicked" not in answer.err and answer.seconds < 4 * LIMIT_S, f"{what}: {answer.err[:200]}")
        # Programs that are no part of the fault may be written; bodies and patterns are all or nothing.
        written = [] if "programs" in command else sorted(into.glob("*"))
        ledger.holds("bad askings: nothing is written", not written, f"{what}: {[p.name for p in written][:3]}")
        for path in sorted(into.glob("*")):
            path.unlink()
    kit.write_text(KIT, encoding="utf-8")
    _allowed(ledger, kit)
    _not_overwritten(ledger, folder, kit)


def _allowed(ledger, kit):
    """At the limit the work is done: a blank as thick as the crown."""
    text = _with("crown_thickness", "blank_thickness = 6\ncrown_thickness")
    answer = run("cut", "-", "--only", "programs", "--kit", kit, text=text)
    ledger.holds("bad askings: a blank as thick as the crown is allowed", answer.code == 0, answer.err[:300])


def _not_overwritten(ledger, folder, kit):
    """A folder that holds one of the files, and an archive that is there, stay as they are."""
    for command, name in ((("pattern", "-", "--only", "frets"), "hostile-frets.pdf"), (("cut", "-", "--only", "bodies"), "hostile-board.step"),
                          (("cut", "-", "--only", "programs"), "hostile-3-slots.ngc")):
        into, archive = folder / f"taken-{name}", folder / f"taken-{name}.zip"
        into.mkdir()
        for path in (into / name, archive):
            path.write_text("mine", encoding="utf-8")
        for more in (("--into", into), ("--zip", archive), ("--into", into, "--zip", folder / f"new-{name}.zip")):
            answer = run(*command, "--kit", kit, *more, text=GOOD)
            what = f"{command[0]} {name} {more[0]}"
            ledger.holds("taken names: exit code 1", answer.code == 1, f"{what}: exit {answer.code}")
            ledger.holds("taken names: the message names the file and a way out", re.search(rf"{re.escape(name)}[\s\S]*(new|other|away)", answer.err), f"{what}: {answer.err[:300]}")
            ledger.holds("taken names: nothing is written over or beside", [p.name for p in into.iterdir()] == [name]
                         and (into / name).read_text(encoding="utf-8") == "mine" and archive.read_text(encoding="utf-8") == "mine"
                         and not (folder / f"new-{name}.zip").exists(), what)
