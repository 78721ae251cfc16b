"""Bad readings files: the program names line, value, limit and way out, counts the rest when asked, and never breaks."""

import json
import random
import re
from pathlib import Path

from program import LIMIT_S, run

DEMO = Path(__file__).resolve().parents[2] / "demo"
HEAD = "kind,tool,at,across,from,to,shows,value,resolution,set_up\n"
SOUND = "thickness,,fret 3,centre,,,,6.10,,\nlight,12 in,fret 9,,,,none,,,\n"
LONG_LIMIT_S = 5.0  # for texts of a million letters


def bad_lines():
    """(what is wrong, the line, what the message must name)."""
    yield "NaN", "thickness,,fret 3,centre,,,,NaN,,", r"NaN"
    yield "infinite height", "height,,fret 3,centre,,,,inf,,", r"inf"
    yield "negative light", "light,12 in,fret 9,,,,edges,-0.05 mm,,", r"-0[.]05[\s\S]*(10|0) mm|more than 0"
    yield "no light at all as a figure", "light,12 in,fret 9,,,,edges,0,,", r"0"
    yield "light over the limit", "light,12 in,fret 9,,,,edges,10.5,,", r"10[.]5[\s\S]*10 mm"
    yield "gauge not in the kit", "light,11 in,fret 9,,,,none,,,", r"11 in|279[.]4"
    yield "block not in the kit", "chalk,333 mm,fret 9,lane 2,,,gone,,,", r"333"
    yield "dial not in the kit", "sagitta,33 mm,fret 9,,,,,0.7,,", r"33"
    yield "station past the end", "light,12 in,600 mm,,,,none,,,", r"600"
    yield "station before the nut", "light,12 in,-5 mm,,,,none,,,", r"-5"
    yield "place beside the board", "thickness,,fret 3,80 mm,,,,6.1,,", r"80"
    yield "fret that is not there", "thickness,,fret 23,centre,,,,6.1,,", r"23[\s\S]*22"
    yield "lane that is not there", "thickness,,fret 3,lane 7,,,,6.1,,", r"7[\s\S]*6"
    yield "thickness over the limit", "thickness,,fret 3,centre,,,,51,,", r"51[\s\S]*50"
    yield "height over the limit", "height,,fret 3,centre,,,,101,,", r"101[\s\S]*100"
    yield "sagitta of half the chord", "sagitta,40 mm,fret 9,,,,,20,,", r"20"
    yield "gap of nothing", "gap,,fret 9,centre,,,,0,,", r"0"
    yield "feeler outside the straightedge", "gap,,fret 2,centre,fret 5,fret 12,,0.1,,", r"69[.]279\d[\s\S]*159[.]2875"
    yield "straightedge of no length", "gap,,fret 5,centre,fret 5,fret 5,,0.1,,", r"159[.]2875"
    yield "resolution too coarse", "height,,fret 3,centre,,,,0.1,6 mm,", r"6[\s\S]*5 mm"
    yield "resolution of nothing", "height,,fret 3,centre,,,,0.1,0,", r"0[.]001"
    yield "unknown kind", "lihgt,12 in,fret 9,,,,none,,,", r"lihgt[\s\S]*light"
    yield "unknown showing", "light,12 in,fret 9,,,,egdes,,,", r"egdes"
    yield "one edge without a figure", "light,12 in,fret 9,,,,bass edge,,,", r"value|how much"
    yield "thickness without a figure", "thickness,,fret 3,centre,,,,,,", r"value|thickness"
    yield "no place", "thickness,,,centre,,,,6.1,,", r"at\b"
    yield "number with two commas", 'thickness,,fret 3,centre,,,,"1,000.5",,', r"1,000[.]5"
    yield "unknown unit", "thickness,,fret 3,centre,,,,6 furlongs,,", r"furlongs"
    yield "too few cells", "thickness,,fret 3", r"3|cells"
    yield "too many cells", "thickness,,fret 3,centre,,,,6.1,,,,,,9", r"cells|14"
    yield "huge figure", "thickness,,fret 3,centre,,,,1e308,,", r"1e308|1 000 000"


def whole_files():
    """(what is odd, text or bytes, exit codes allowed, what standard error must name)."""
    yield "empty file", "", {2}, r"head|empty|no readings"
    yield "only blank lines", "\n\n\n", {2}, r"head|empty|no readings"
    yield "only remarks", "# a\n# b\n", {2}, r"head|empty|no readings"
    yield "only a head", HEAD, {2}, r"reading"
    yield "head without a kind", "tool,at,shows\n12 in,fret 9,none\n", {2}, r"kind"
    yield "head with an unknown column", "kind,tol,at,shows\nlight,12 in,fret 9,none\n", {2}, r"tol[\s\S]*tool"
    yield "head with a column twice", "kind,tool,tool,at,shows\nlight,12 in,12 in,fret 9,none\n", {2}, r"tool"
    yield "binary", bytes(range(256)) * 40, {2}, r"UTF-8|text"
    yield "UTF-16", HEAD.encode("utf-16"), {2}, r"UTF-8|text"
    yield "zeros", b"\0" * 4000, {2}, r"."
    yield "a million letters on one line", HEAD + "thickness,,fret 3,centre,,,," + "9" * 1_000_000 + ",,\n", {2}, r"line 2"
    yield "a head of a million letters", "k" * 1_000_000 + "\nlight\n", {2}, r"."
    yield "a quote never closed", HEAD + '"thickness,,fret 3,centre,,,,6.1,,\n' * 50, {2}, r"line 2|quote"
    yield "two dates", "visit,date,kind,at,across,value\n1,2026-01-01,thickness,nut,centre,6\n1,2026-01-02,thickness,nut,centre,6\n", {2}, r"2026-01-0"
    yield "probe's file with words", "x,y,z\n1,2,three\n", {2}, r"three"
    yield "probe's file off the board", "x,y,z\n1,2,0.1\n9999,2,0.1\n", {2}, r"9999"
    yield "two readings", HEAD + SOUND, {0}, r""
    yield "one reading", HEAD + SOUND.splitlines()[0] + "\n", {0}, r""
    yield "all on one line", HEAD + "".join(f"height,,fret {f},centre,,,,{f / 100:.2f},,\n" for f in range(1, 23)), {0, 1}, r""
    yield "the same reading 300 times", HEAD + "thickness,,fret 3,centre,,,,6.10,,\n" * 300, {0, 1}, r""
    yield "contradictory thicknesses", HEAD + "thickness,,fret 3,centre,,,,6.10,,\nthickness,,fret 3,centre,,,,8.90,,\n", {0, 1}, r""
    yield "contradictory lights", HEAD + "light,10 in,fret 9,,,,none,,,\nlight,16 in,fret 9,,,,none,,,\n", {0, 1}, r""
    yield "contradictory chalk", HEAD + "chalk,beam,fret 9,lane 2,,,gone,,,\nchalk,beam,fret 9,lane 2,,,stayed,,,\n", {0, 1}, r""
    yield "heights up to the limit", HEAD + "height,,fret 3,centre,,,,100,,\nheight,,fret 4,centre,,,,-100,,\n", {0, 1, 2}, r""
    yield "a light of 10 mm", HEAD + "light,16 in,fret 9,,,,edges,10,,\n", {0, 1}, r""
    yield "a light of 10 mm at the crown", HEAD + "light,10 in,fret 9,,,,crown,10,,\n", {0, 1}, r""
    yield "a light of 10 mm at one edge", HEAD + "light,flat,fret 9,,,,bass edge,10,,\n", {0, 1}, r""
    yield "a rock of 10 mm", HEAD + "rock,,fret 9,centre,,,,10,,\n", {0, 1}, r""
    yield "a sagitta near half the chord", HEAD + "sagitta,40 mm,fret 9,,,,,19.9,,\n", {0, 1}, r""
    yield "a board half as thick", HEAD + "".join(f"thickness,,fret {f},{a},,,,3.0,,\n" for f in (1, 9, 22) for a in ("centre", "treble edge", "bass edge")), {0, 1}, r""
    yield "a twisted board", HEAD + "thickness,,nut,treble edge,,,,9,,\nthickness,,nut,bass edge,,,,3,,\nthickness,,last fret,treble edge,,,,3,,\nthickness,,last fret,bass edge,,,,9,,\n", {0, 1}, r""


def check_readings_hostile(ledger, folder):
    files = (DEMO / "heron.toml", folder / "odd.csv", DEMO / "north-bench.toml")
    _check_bad_lines(ledger, files)
    for what, content, codes, place in whole_files():
        answer = _read(files, content)
        _manners(ledger, what, answer, LONG_LIMIT_S)
        ledger.holds("odd readings: exit code", answer.code in codes, f"{what}: exit {answer.code}, {_said(answer)}")
        ledger.holds("odd readings: the trouble is named", bool(re.search(place, answer.err, re.I)), f"{what}: {_said(answer)}")
        if answer.code in (0, 1) and answer.out:
            ledger.holds("odd readings: a record without NaN", _sound_record(answer.out), what)
    _check_contradiction(ledger, files)
    _check_spoilt(ledger, files)


def _read(files, content, *more):
    commission, path, kit = files
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return run("read", commission, path, "--kit", kit, "--json", *more)


def _said(answer):
    return answer.err[:240].replace("\n", " ")


def _manners(ledger, what, answer, limit_s=LIMIT_S):
    said = _said(answer)
    ledger.holds("odd readings: no panic, no signal", answer.code in (0, 1, 2) and "panicked" not in answer.err, f"{what}: exit {answer.code}, {said}")
    ledger.holds("odd readings: a short message", len(answer.err) < 20_000, f"{what}: {len(answer.err)} letters")
    ledger.holds("odd readings: answered in time", answer.seconds < limit_s, f"{what}: {answer.seconds:.2f} s")


def _check_bad_lines(ledger, files):
    """A bad line between sound ones: refused with its number, and left out when asked."""
    sound = _read(files, HEAD + SOUND).record()
    for what, line, place in bad_lines():
        content = HEAD + SOUND.splitlines()[0] + "\n" + line + "\n" + SOUND.splitlines()[1] + "\n"
        answer = _read(files, content)
        _manners(ledger, what, answer)
        ledger.same("bad reading: exit code 2", answer.code, 2, f"{what}: {_said(answer)}")
        if answer.code != 2:
            continue
        faults = json.loads(answer.out)["faults"]
        mine = [fault for fault in faults if fault["line"] == 3]
        ledger.holds("bad reading: its line is told, and no other", len(mine) >= 1 and all(f["line"] in (3, None) for f in faults), f"{what}: {faults}")
        said = " ".join(f"{fault['where']} {fault['message']} {fault['way_out']}" for fault in mine)
        ledger.holds("bad reading: value and limit are named", bool(re.search(place, said, re.I)), f"{what}: {said}")
        ledger.holds("bad reading: a way out", all(fault["way_out"].strip() for fault in mine), f"{what}: {mine}")
        ledger.holds("bad reading: small letter first, no full stop", all(not f["message"].endswith(".") for f in mine), f"{what}: {mine}")
        kept = _read(files, content, "--keep-sound")
        ledger.same("bad reading: the rest counts when asked", (kept.code in (0, 1), kept.code in (0, 1) and kept.record()["readings_counted"]), (True, 2), f"{what}: {_said(kept)}")
        if kept.code in (0, 1):
            ledger.same("bad reading: the rest tells what it tells alone", kept.record()["likeliest"], sound["likeliest"], what)
    only_bad = _read(files, HEAD + "thickness,,fret 3,centre,,,,NaN,,\n", "--keep-sound")
    ledger.same("bad reading: nothing sound to keep", only_bad.code, 2, _said(only_bad))
    many = _read(files, HEAD + "thickness,,fret 3,centre,,,,NaN,,\n" * 500)
    faults = json.loads(many.out)["faults"]
    ledger.same("bad reading: at most 100 are listed, and one line for the others", (len(faults), "400" in faults[-1]["message"]), (101, True), f"{faults[-1]}")


def _check_contradiction(ledger, files):
    """Of figures that cannot all be right the odd one is doubted most, and nothing is thrown away."""
    text = HEAD + "".join(f"thickness,,fret {f},centre,,,,6.10,,\n" for f in (2, 3, 4)) + "thickness,,fret 3,centre,,,,8.90,,\n"
    answer = _read(files, text)
    record = answer.record()
    most = max(record["doubted"], key=lambda row: abs(row["off"]), default={"line": None})
    ledger.same("contradiction: the odd one out is doubted most", most["line"], 5, f"{record['doubted']}")
    ledger.same("contradiction: all are counted", record["readings_counted"], 4, _said(answer))


def _sound_record(out):
    return not re.search(r"NaN|Infinity", out) and isinstance(json.loads(out), dict)


def _check_spoilt(ledger, files):
    """A good file with letters changed at random, and cut short: never a panic, never a hang, and no NaN."""
    chance = random.Random(9)
    good = HEAD + SOUND + "gap,500 mm,fret 9,lane 2,nut,last fret,,0.15 mm,,\nchalk,beam,fret 3,centre,,,gone,,,\nheight,,fret 12,lane 1,,,,-0.120,,first\n"
    letters = "0123456789.,-+;\t\"'\n eEnNaAiIfF/%µ½#"
    texts = [good[:cut] for cut in range(5, len(good), 17)]
    for _ in range(60):
        spoilt = list(good)
        for _ in range(chance.randint(1, 4)):
            spoilt[chance.randrange(len(spoilt))] = chance.choice(letters)
        texts.append("".join(spoilt))
    for number, text in enumerate(texts):
        answer = _read(files, text, *(["--keep-sound"] if number % 2 else []))
        _manners(ledger, f"spoilt {text[-120:]!r}", answer)
        if answer.code in (0, 1) and answer.out:
            ledger.holds("odd readings: a record without NaN", _sound_record(answer.out), repr(text[-120:]))
