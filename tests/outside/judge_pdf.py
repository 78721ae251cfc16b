"""PDF files by qpdf, Poppler and pdfplumber: sound, fonts within, paper's size, places, bars, crosses."""

import subprocess
from pathlib import Path

import numpy as np
import pdfplumber

POINTS_PER_MM = 72 / 25.4
PLACE_MM = 0.01  # a tenth of the finest line's width
PAGE_MM = 0.01
# ISO 216:2007 and ANSI/ASME Y14.1, upright.
PAPERS_MM = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4), "tabloid": (279.4, 431.8)}
# On a long page the drawing stands right of a strip for the bar, within the rim that a printer needs.
LONG_PAGE_CORNER_MM = (18.0, 8.0)


def judge_sound(ledger, where, path, paper=None):
    """qpdf finds no fault, every font is within, and pages are as large as the paper."""
    done = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True)
    clean = done.returncode == 0 and "No syntax or stream encoding errors" in done.stdout and "WARNING" not in done.stdout + done.stderr
    ledger.holds("pdf: qpdf finds no fault", clean, f"{where}: {(done.stdout + done.stderr)[-200:]}")
    done = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True)
    rows = [line.split() for line in done.stdout.splitlines()[2:]]
    # The columns from the end: object and generation, uni, sub, emb.
    within = rows and all(row[-5] == "yes" and row[-4] == "yes" for row in rows)
    ledger.holds("pdf: every font is within, cut down to its letters", within, f"{where}: {done.stdout[-300:]}")
    if paper in PAPERS_MM:
        with pdfplumber.open(path) as pdf:
            for page in pdf.pages:
                sides = sorted((float(page.width) / POINTS_PER_MM, float(page.height) / POINTS_PER_MM))
                for got, want in zip(sides, PAPERS_MM[paper]):
                    ledger.near("pdf: pages are as large as the paper", got, want, where, PAGE_MM, "mm")


class Sheet:
    """A page's lines and letters in millimetres from its top left corner."""

    def __init__(self, page):
        self.width, self.height = float(page.width) / POINTS_PER_MM, float(page.height) / POINTS_PER_MM
        self.paths = [self._path(o) for o in [*page.lines, *page.curves, *page.rects]]
        self.lines = np.array([p for p in self.paths if len(p) == 2]).reshape(-1, 2, 2)
        self.page = page

    @staticmethod
    def _path(o):
        points = np.array([q for part in o["path"] for q in part[1:]], float).reshape(-1, 2)
        return points / POINTS_PER_MM

    def points(self):
        return np.concatenate(self.paths) if self.paths else np.zeros((0, 2))

    def words(self):
        return self.page.extract_words(keep_blank_chars=False, use_text_flow=False)

    def letters(self):
        """All letters without the spaces between."""
        return "".join(sorted(c["text"] for c in self.page.chars if not c["text"].isspace()))

    def boxes(self):
        """Boxes around letters: left, top, right, bottom."""
        return np.array([[c["x0"], c["top"], c["x1"], c["bottom"]] for c in self.page.chars]).reshape(-1, 4) / POINTS_PER_MM


def sheets(path):
    with pdfplumber.open(path) as pdf:
        return [Sheet(page) for page in pdf.pages]


def judge_bars(ledger, where, sheet, across_mm=100.0, down_mm=100.0):
    """A bar along and one down the sheet, each with its ends; as long on the page as they should be."""
    for name, axis, want in (("along", 0, across_mm), ("down", 1, down_mm)):
        lengths = np.abs(sheet.lines[:, 1] - sheet.lines[:, 0])
        straight = sheet.lines[lengths[:, 1 - axis] < 1e-3]
        best = None
        for line in straight:
            length = abs(line[1, axis] - line[0, axis])
            if abs(length - want) < 3.0 and _has_ends(sheet, line, axis):
                if best is None or abs(length - want) < abs(best - want):
                    best = float(length)
        ledger.near(f"pdf: the bar {name} the sheet", best, want, where, PLACE_MM, "mm")


def _has_ends(sheet, line, axis):
    """Whether strokes of some millimetres stand across both ends of a line."""
    across = np.abs(sheet.lines[:, 1] - sheet.lines[:, 0])
    strokes = sheet.lines[(across[:, axis] < 1e-3) & (across[:, 1 - axis] > 3.0) & (across[:, 1 - axis] < 5.0)]
    middles = strokes.mean(axis=1)
    return all(len(middles) and np.abs(middles - end).max(axis=1).min() < PLACE_MM for end in line)


def judge_long_page(ledger, where, sheet, work):
    """Every slot of a fret pattern at its place on one long page."""
    seen = _slots_on(ledger, where, sheet, work)
    missing = sorted(set(range(1, work.fret_count + 1)) - set(seen))
    ledger.holds("pdf: every slot stands on the long page", not missing, f"{where}: not found {missing}")


def judge_tiles(ledger, where, path, work, bars=(100.0, 100.0)):
    """Every slot on some sheet, in its place by the sheet's crosses; `bars`: short and long side of the sheet."""
    found, seen, crosses, joined = sheets(path), set(), {}, []
    scale = np.array([1.0, 1.0])
    for number, sheet in enumerate(found, 1):
        lying = sheet.width > sheet.height
        across, down = (bars[1], bars[0]) if lying else bars
        scale = np.array([across, down]) / 100.0
        judge_bars(ledger, f"{where} sheet {number}", sheet, across, down)
        places = _slots_on(ledger, f"{where} sheet {number}", sheet, work, scale)
        seen |= set(places)
        corner = _board_corner(sheet, work, scale)
        for cross, at in _crosses(sheet).items():
            crosses.setdefault(cross, []).append((number, at))
        if corner is not None:
            joined.append((number, corner))
    missing = sorted(set(range(1, work.fret_count + 1)) - seen)
    ledger.holds("pdf: every slot stands on some sheet", not missing, f"{where}: not found {missing}")
    corner_of = dict(joined)
    together = 0
    for cross, places in crosses.items():
        on_board = [(n, at - corner_of[n]) for n, at in places if n in corner_of]
        for (n, at), (m, other) in zip(on_board, on_board[1:]):
            together += 1
            ledger.near("pdf: crosses of one number lie on one place of the board", float(np.hypot(*(at - other))), 0.0,
                        f"{where} cross {cross}, sheets {n} and {m}", PLACE_MM, "mm")
    if len(corner_of) > 1:
        ledger.holds("pdf: sheets are joined by at least two crosses", together >= 2, f"{where}: {together}")
    return found


def _board_corner(sheet, work, scale=(1.0, 1.0)):
    """Where the nut's middle lies on a sheet that draws the board's outline: paper looks down, the treble side up."""
    corners = np.array(work.outline) * (1, -1) * scale
    for path in sheet.paths:
        if len(path) in (4, 5):
            moved = path[:4] - path[0]
            for start in range(4):
                for turned in (np.roll(corners, -start, axis=0), np.roll(corners[::-1], -start, axis=0)):
                    if np.abs(moved - (turned - turned[0])).max() < PLACE_MM:
                        return path[0] - turned[0]
    return None


def _slots_on(ledger, where, sheet, work, scale=(1.0, 1.0)):
    """The slots whose middle line is drawn on the sheet, each compared."""
    corner = _board_corner(sheet, work, scale)
    if corner is None:
        return []
    seen = []
    for fret in range(1, work.fret_count + 1):
        want = np.array(work.slot_ends(fret)) * (1, -1) * scale + corner
        middle = want.mean(axis=0)
        if not (0 < middle[0] < sheet.width and 0 < middle[1] < sheet.height):
            continue
        away = np.minimum(np.abs(sheet.lines - want).max(axis=(1, 2)), np.abs(sheet.lines[:, ::-1] - want).max(axis=(1, 2)))
        if len(away) and away.min() < 1.0:
            ledger.near("pdf: slots' lines on paper", float(away.min()), 0.0, f"{where} fret {fret}", PLACE_MM, "mm")
            seen.append(fret)
    return seen


def _crosses(sheet):
    """Number and place of each register cross: two equal strokes with one middle, and the number on both sides."""
    sides = np.abs(sheet.lines[:, 1] - sheet.lines[:, 0])
    middles = sheet.lines.mean(axis=1)
    lying = (sides[:, 1] < 1e-3) & (sides[:, 0] > 5.0) & (sides[:, 0] < 9.0)
    standing = (sides[:, 0] < 1e-3) & (sides[:, 1] > 5.0) & (sides[:, 1] < 9.0)
    found = {}
    words = [(w["text"], np.array([w["x0"], w["x1"], w["top"], w["bottom"]]) / POINTS_PER_MM) for w in sheet.words()]
    for at in middles[lying]:
        if not (np.abs(middles[standing] - at).max(axis=1) < 1e-3).any():
            continue
        for text, (left, right, top, bottom) in words:
            above = abs(right - at[0] + 0.6) < 0.5 and -4.0 < bottom - at[1] < 0.5
            below = abs(left - at[0] - 0.6) < 0.5 and -0.5 < top - at[1] < 4.0
            if text.isdigit() and (above or below):
                found[int(text)] = at
    return found
