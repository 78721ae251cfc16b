"""The files of one commission before every judge that this machine has; and the small run of them in `check_figures.py`."""

import gc
import multiprocessing
import os
import re
import shutil
import tempfile
import tomllib
from collections import Counter
from pathlib import Path

import numpy as np

import samples
from asked_of_programs import asked
from bodies import claim_of
from judge_archive import judge_again, judge_archive
from judge_dxf import judge_any, judge_frets, judge_gauges
from judge_paths import Folder, judge_programs
from judge_pdf import LONG_PAGE_CORNER_MM, PLACE_MM, judge_bars, judge_form, judge_forms, judge_long_page, judge_pages, judge_tiles
from judge_render import judge_render
from judge_solids import judge_mesh, judge_step
from judge_svg import judge_same_points, judge_svg
from ledger import Ledger
from program import run
from workpiece import Workpiece

DEMO = Path(__file__).resolve().parents[2] / "demo"
KIT = DEMO / "north-bench.toml"
# Deep slots of samples ask for a longer cutter than the shop owns.
LONG_KIT = KIT.read_text(encoding="utf-8").replace('reach = "4 mm"', 'reach = "7 mm"')
PATTERNS = ("frets", "gauges", "nut", "saddle", "beam", "depths", "rails")
SAMPLES = 50
PROCESSES = min(2, os.cpu_count() or 1)
CHORDS_MM = (0.01, 0.003, 0.03)  # the first is what is kept when nothing is asked
PRINTED_MM = 99.6  # what the short bar is taken to measure on a print
# Programs that judge files, with the Debian packages that hold them.
TOOLS = {"qpdf": "qpdf", "pdftoppm": "poppler-utils", "rsvg-convert": "librsvg2-bin", "rs274": "linuxcnc-uspace"}
FIGURE = re.compile(r"\d[0-9.,]* ?(mm|µm|um|°|mm/min|turns|passes|times)")
LACKING = {tool for tool in TOOLS if shutil.which(tool) is None}


def say_what_is_lacking():
    """Which files are not judged, because the judging program is not on this machine."""
    for tool in sorted(LACKING):
        print(f"left out: judging by {tool} (Debian package {TOOLS[tool]}), which is not installed")


def check_judges_are_there(ledger, _):
    """In CI every judge must be there."""
    if os.environ.get("CI") == "true":
        ledger.same("files: no judge is lacking", sorted(LACKING), [], "in CI every judge must be there")


def file_works():
    """Every demo and some samples, as works to be judged; the first demo in every way that there is."""
    demos = [path for path in sorted(DEMO.glob("*.toml")) if "camberwright" in tomllib.loads(path.read_text(encoding="utf-8"))]
    return [(_judge_demo, path) for path in demos] + [(judge_sample, seed, True) for seed in range(SAMPLES)]


def judge_all(works, processes=PROCESSES):
    """Does works, each a function with its arguments, by so many processes; gives each one's arguments and tally, in order."""
    with multiprocessing.Pool(processes, initializer=_begin) as pool:
        yield from pool.imap(_work, works)


def _begin():
    """Collecting after each commission alone halves the time that readers of large files need."""
    gc.disable()
    gc.freeze()


def _work(work):
    judge, *arguments = work
    ledger = Ledger()
    try:
        judge(ledger, *arguments)
    except Exception as error:  # A judge that cannot go on is a failure of that commission, not of the run.
        ledger.holds("judges: every one comes to its end", False, f"{arguments[0]}: {type(error).__name__}: {error}")
    gc.collect()
    return arguments, ledger


def judge_sample(ledger, seed, slow):
    """The random commission of a seed."""
    with tempfile.TemporaryDirectory() as name:
        kit = Path(name) / "kit.toml"
        kit.write_text(LONG_KIT, encoding="utf-8")
        # Every chord meets every kind of commission, which the seed's low digits choose.
        chord_mm = CHORDS_MM[seed // 12 % len(CHORDS_MM)]
        judge_commission(ledger, f"seed {seed}", samples.for_files(seed), kit, slow, chord_mm)


def _judge_demo(ledger, path):
    text = path.read_text(encoding="utf-8")
    judge_commission(ledger, path.stem, text, KIT, slow=True)
    _judge_papers(ledger, path.stem, path, again=path.stem == "heron")
    if path.stem in ("heron", "bittern"):
        _judge_sheets(ledger, path.stem, text)


def judge_commission(ledger, where, text, kit, slow, chord_mm=CHORDS_MM[0]):
    """All patterns of one commission; with `slow` they are made twice and rendered, and bodies and programs judged."""
    work = Workpiece(text)
    if work.least_along_edges(lambda x, y, _: work.crown_mm + work.surface(x, y) - work.ledge_mm) <= 0:
        answer = run("cut", "-", text=text)
        ledger.same("files: a board whose edge would have no wood is refused", answer.code, 2, where)
        return
    if not work.dots_have_room():
        answer = run("cut", "-", text=text)
        ledger.holds("files: dots without room are refused", answer.code == 2 and "have room for" in answer.err, f"{where}: exit {answer.code} {answer.err[:300]}")
        return
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _judge_patterns(ledger, where, text, work, folder, slow)
        _judge_joined(ledger, where, text, work, folder / "sheets")
        _judge_forms(ledger, where, sorted(folder.rglob("*.pdf")), slow)
        if slow:
            _judge_bodies(ledger, where, text, work, kit, folder, chord_mm)
            _judge_programs(ledger, where, text, work, kit, folder)


def _made(ledger, where, what, *arguments, text):
    """Runs the program; gives its record, or None where it refused, which must be said with figures."""
    answer = run(*arguments, "--json", text=text)
    ledger.holds(f"files: {what} are made or refused", answer.code in (0, 1), f"{where}: exit {answer.code} {answer.err[:300]}")
    if answer.code == 1:
        ledger.holds("files: a refusal says a figure with its unit", FIGURE.search(answer.err), f"{where}: {answer.err[:300]}")
    return answer.record() if answer.code in (0, 1) and answer.out.strip().startswith("{") else None


def _judge_patterns(ledger, where, text, work, folder, slow):
    only = [word for pattern in PATTERNS for word in ("--only", pattern)]
    asking = ["pattern", "-", *only, "--as", "pdf", "--as", "svg", "--as", "dxf", "--paper", "long"]
    into, archive, again = folder / "patterns", folder / "patterns.zip", folder / "patterns-again"
    record = _made(ledger, where, "patterns", *asking, "--into", into, "--zip", archive, text=text)
    ledger.holds("files: patterns are made", record is not None, where)
    if record is None:
        return
    told = sorted(name for pattern in record["patterns"] for name in pattern["files"])
    ledger.same("files: what is written is what is told", sorted(path.name for path in into.iterdir()), told, where)
    judge_archive(ledger, where, archive, into)
    if slow:
        _made(ledger, where, "patterns", *asking, "--into", again, text=text)
        judge_again(ledger, where, into, again)
    for pattern in record["patterns"]:
        _judge_pattern(ledger, f"{where} {pattern['pattern']}", pattern, into, work, slow)


def _judge_joined(ledger, where, text, work, into):
    """The fret pattern on sheets to be joined."""
    _made(ledger, where, "patterns", "pattern", "-", "--only", "frets", "--paper", "a4", "--into", into, text=text)
    pdfs = list(into.glob("*-frets.pdf"))
    ledger.same("files: one file of sheets to be joined", len(pdfs), 1, where)
    for pdf in pdfs:
        at = f"{where} on a4"
        judge_tiles(ledger, at, judge_pages(ledger, at, pdf, "a4"), work)


def _judge_pattern(ledger, where, pattern, folder, work, slow):
    """One pattern in its three forms: each by itself, and all against one another."""
    of = lambda ending: [folder / name for name in pattern["files"] if name.endswith(ending)]
    svgs, dxfs, pdfs = of(".svg"), of(".dxf"), of(".pdf")
    ledger.same("files: as many pictures as drawings, on one paper", [len(svgs), len(pdfs)], [len(dxfs), min(len(dxfs), 1)], where)
    pages = [page for pdf in pdfs for page in judge_pages(ledger, where, pdf)]
    ledger.same("files: one long page for each picture", len(pages), len(svgs), where)
    for svg, dxf, page in zip(svgs, dxfs, pages):
        drawing = _drawing(ledger, where, pattern["pattern"], dxf, work)
        picture = judge_svg(ledger, where, svg)
        _judge_alike(ledger, where, picture, drawing)
        judge_bars(ledger, where, page)
        _judge_on_page(ledger, where, picture, page)
        if pattern["pattern"] == "frets":
            judge_long_page(ledger, where, page, work)
            if slow and not LACKING & {"rsvg-convert", "pdftoppm"}:
                judge_render(ledger, where, picture, pdfs[0], page, LONG_PAGE_CORNER_MM)


def _judge_forms(ledger, where, pdfs, each):
    """By qpdf, each file by itself or all in one run."""
    if "qpdf" in LACKING:
        return
    for pdf in pdfs if each else []:
        judge_form(ledger, where, pdf)
    if not each and pdfs:
        judge_forms(ledger, where, pdfs)


def _drawing(ledger, where, pattern, dxf, work):
    if pattern == "frets":
        return judge_frets(ledger, where, dxf, work)
    return judge_gauges(ledger, where, dxf, work) if pattern == "gauges" else judge_any(ledger, where, dxf)


def _judge_alike(ledger, where, picture, drawing):
    """Places and words of a picture and a drawing."""
    places = picture.points
    up = np.column_stack([places[:, 0], picture.height - places[:, 1]])
    judge_same_points(ledger, "alike: places in SVG and DXF", where, up, drawing.points())
    ledger.same("alike: words in SVG and DXF", sorted(drawing.texts()), sorted(picture.texts()), where)


def _judge_on_page(ledger, where, picture, page):
    """Places and letters of a picture and a page."""
    places, (width, height) = picture.points, picture.box[2:]
    on_page = page.points() - LONG_PAGE_CORNER_MM
    within = ((on_page > -PLACE_MM) & (on_page < (width + PLACE_MM, height + PLACE_MM))).all(axis=1)
    inside = ((places > -PLACE_MM) & (places < (width + PLACE_MM, height + PLACE_MM))).all(axis=1)
    ledger.holds("alike: pictures stay on their sheet", inside.all(), where)
    judge_same_points(ledger, "alike: places in SVG and PDF", where, places, on_page[within])
    letters = Counter(c for word in picture.texts() for c in word if not c.isspace()) - Counter(page.letters())
    ledger.holds("alike: letters in SVG and PDF", not letters, f"{where}: lacking {dict(letters)}")


def _judge_sheets(ledger, where, text):
    """The fret pattern on every paper, and printed again after its short bar was measured."""
    work, true = Workpiece(text), 100.0
    runs = [(paper, [], (true, true)) for paper in ("a3", "letter", "tabloid")]
    runs.append(("a4", ["--short-bar", f"{PRINTED_MM} mm"], (true * true / PRINTED_MM, true)))
    runs.append(("a4", ["--long-bar", "101.5 mm", "--unit", "inch"], (true, true * true / 101.5)))
    with tempfile.TemporaryDirectory() as name:
        for number, (paper, more, bars) in enumerate(runs):
            into = Path(name) / str(number)
            _made(ledger, where, "patterns", "pattern", "-", "--only", "frets", "--paper", paper, *more, "--into", into, text=text)
            for pdf in into.iterdir():
                at = f"{where} on {paper} {' '.join(more)}"
                judge_tiles(ledger, at, judge_pages(ledger, at, pdf, paper), work, bars)
                _judge_forms(ledger, at, [pdf], each=True)


def _judge_papers(ledger, where, path, again):
    """Everything that a commission and a kit print, words and all."""
    with tempfile.TemporaryDirectory() as name:
        places = [Path(name) / "papers"] + ([Path(name) / "again"] if again else [])
        for into in places:
            _made(ledger, where, "patterns", "pattern", path, "--kit", KIT, "--into", into, "--unit", "fraction", text=None)
        for pdf in sorted(places[0].iterdir()):
            judge_pages(ledger, f"{where} {pdf.name}", pdf, "a4")
        _judge_forms(ledger, f"{where} papers", sorted(places[0].glob("*.pdf")), each=True)
        ledger.holds("files: the papers are there", len(list(places[0].glob("*.pdf"))) >= 9, where)
        if again:
            judge_again(ledger, where, *places)
            if "qpdf" not in LACKING:
                _notices(ledger, where, sorted(places[0].glob("*.pdf")))


def _notices(ledger, where, pdfs):
    """qpdf must find that a file was cut short, asked either way."""
    short = pdfs[0].with_name("short.pdf")
    short.write_bytes(pdfs[0].read_bytes()[:-200])
    alone, among = Ledger(), Ledger()
    judge_form(alone, where, short)
    judge_forms(among, where, [*pdfs, short])
    for tally in (alone, among):
        ledger.holds("pdf: a file cut short would be noticed", any(group.failures for group in tally.groups.values()), where)


def _judge_bodies(ledger, where, text, work, kit, folder, chord_mm):
    into, again = folder / "bodies", folder / "bodies-again"
    fret = min(7, work.fret_count)
    tools = ["--block", "16 in", "--block", "10 in:16 in", "--press-caul", fret]
    tools += ["--chord", f"{chord_mm} mm"] if chord_mm != CHORDS_MM[0] else []
    for place in (into, again):
        record = _made(ledger, where, "bodies", "cut", "-", "--kit", kit, "--only", "bodies", *tools, "--into", place, text=text)
        if record is None:
            return
    judge_again(ledger, where, into, again)
    for body in record["bodies"]:
        claim = claim_of(work, body["body"], body["notes"], chord_mm)
        ledger.holds("bodies: every one is known here", claim is not None, f"{where}: {body['body']}")
        if claim is None:
            continue
        at = f"{where} {body['body']}"
        ledger.share("bodies: stated volume", body["volume_mm3"], claim.volume_mm3, at, 1e-9)
        for name in body["files"]:
            judge = judge_step if name.endswith(".step") else judge_mesh
            judge(ledger, f"{at} {name}", into / name, claim)


def _judge_programs(ledger, where, text, work, kit, folder):
    into, again = folder / "programs", folder / "programs-again"
    for place in (into, again):
        record = _made(ledger, where, "programs", "cut", "-", "--kit", kit, "--only", "programs", "--into", place, text=text)
        if record is None:
            return
    judge_again(ledger, where, into, again)
    told = asked(work, tomllib.loads(Path(kit).read_text(encoding="utf-8")), record["programs"])
    wanted = 4 + bool(work.dots)
    ledger.holds("programs: each work has one or is refused", len(record["programs"]) + len(record["refusals"]) == wanted,
                 f"{where}: {len(record['programs'])} and {len(record['refusals'])}, {wanted} are wanted")
    if "rs274" not in LACKING:
        judge_programs(ledger, where, Folder(into, told), spoils=where == "heron")
