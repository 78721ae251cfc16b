"""PDF files by qpdf and PDFium: sound, fonts within, paper's size, places, bars, crosses."""

import ctypes
import re
import subprocess

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium

POINTS_PER_MM = 72 / 25.4
PLACE_MM = 0.01  # a tenth of the finest line's width
PAGE_MM = 0.01
# ISO 216:2007 and ANSI/ASME Y14.1, upright.
PAPERS_MM = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4), "tabloid": (279.4, 431.8)}
# On a long page the drawing stands right of a strip for the bar, within the rim that a printer needs.
LONG_PAGE_CORNER_MM = (18.0, 8.0)
CUT_DOWN = re.compile(r"^[A-Z]{6}\+.")  # the name of a font that holds some of its letters, ISO 32000-1:2008, 9.6.4


def judge_form(ledger, where, path):
    """qpdf finds no fault in the file."""
    done = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True, errors="replace")
    clean = done.returncode == 0 and "No syntax or stream encoding errors" in done.stdout and "WARNING" not in done.stdout + done.stderr
    ledger.holds("pdf: qpdf finds no fault", clean, f"{where} {path.name}: {(done.stdout + done.stderr)[-200:]}")


def judge_forms(ledger, where, paths):
    """qpdf finds no fault in any of the files, read in one run: every stream is opened and every drawing order read."""
    pages = [word for path in paths for word in (str(path), "1-z")]
    openly = ["--decode-level=all", "--stream-data=uncompress", "--normalize-content=y"]
    done = subprocess.run(["qpdf", "--empty", "--pages", *pages, "--", *openly, "/dev/null"], capture_output=True, text=True, errors="replace")
    for path in paths:
        ledger.holds("pdf: qpdf reads every stream", done.returncode == 0, f"{where} {path.name}, or one beside it: {done.stderr[-300:]}")


def judge_pages(ledger, where, path, paper=None):
    """Every font is within, and pages are as large as the paper; gives the sheets."""
    found = [Sheet(page) for page in pypdfium2.PdfDocument(path)]
    fonts = {font for sheet in found for font in sheet.fonts}
    within = fonts and all(embedded and CUT_DOWN.match(name) for name, embedded in fonts)
    ledger.holds("pdf: every font is within, cut down to its letters", within, f"{where}: {sorted(fonts)}")
    if paper in PAPERS_MM:
        for sheet in found:
            for got, want in zip(sorted((sheet.width, sheet.height)), PAPERS_MM[paper]):
                ledger.near("pdf: pages are as large as the paper", got, want, where, PAGE_MM, "mm")
    return found


class Sheet:
    """A page's lines, letters and fonts, in millimetres from its top left corner."""

    def __init__(self, page):
        self._top, self._text = page.get_height(), page.get_textpage()
        self.width, self.height = page.get_width() / POINTS_PER_MM, self._top / POINTS_PER_MM
        self.paths, self.words, self.fonts = [], [], set()
        for index in range(pdfium.FPDFPage_CountObjects(page)):
            thing = pdfium.FPDFPage_GetObject(page, index)
            kind = pdfium.FPDFPageObj_GetType(thing)
            if kind == pdfium.FPDF_PAGEOBJ_PATH:
                self.paths += self._parts(thing)
            elif kind == pdfium.FPDF_PAGEOBJ_TEXT:
                self.words.append((self._word(thing), self._box(thing)))
                self.fonts.add(_font(thing))
        self.lines = np.array([p for p in self.paths if len(p) == 2]).reshape(-1, 2, 2)

    def _parts(self, path):
        """The points of each part of a path, controls of curves too."""
        matrix, x, y, parts = pdfium.FS_MATRIX(), ctypes.c_float(), ctypes.c_float(), []
        pdfium.FPDFPageObj_GetMatrix(path, matrix)
        for index in range(pdfium.FPDFPath_CountSegments(path)):
            segment = pdfium.FPDFPath_GetPathSegment(path, index)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            if pdfium.FPDFPathSegment_GetType(segment) == pdfium.FPDF_SEGMENT_MOVETO:
                parts.append([])
            parts[-1].append((x.value, y.value))
        turn, shift = np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]]), (matrix.e, matrix.f)
        return [self._down(np.array(part) @ turn + shift) for part in parts]

    def _word(self, thing):
        """What was set in one go, which may be several words."""
        room = ctypes.create_string_buffer(1024)
        size = pdfium.FPDFTextObj_GetText(thing, self._text, ctypes.cast(room, ctypes.POINTER(ctypes.c_ushort)), len(room))
        return room.raw[:size].decode("utf-16-le").strip("\0 ")

    def _box(self, thing):
        """Left, top, right and bottom of its ink."""
        sides = [ctypes.c_float() for _ in range(4)]
        pdfium.FPDFPageObj_GetBounds(thing, *sides)
        left, bottom, right, top = (side.value for side in sides)
        return self._down(np.array([(left, top), (right, bottom)])).ravel()

    def _down(self, places):
        """From PDF's points, which count up from the foot of the page."""
        return (places * (1, -1) + (0, self._top)) / POINTS_PER_MM

    def points(self):
        return np.concatenate(self.paths) if self.paths else np.zeros((0, 2))

    def letters(self):
        """All letters without the spaces between."""
        return "".join(self._text.get_text_range().split())

    def boxes(self):
        """Boxes around words that were set in one go."""
        return np.array([box for _, box in self.words]).reshape(-1, 4)


def _font(thing):
    """A font's name, and whether the file holds it."""
    font, name = pdfium.FPDFTextObj_GetFont(thing), ctypes.create_string_buffer(256)
    pdfium.FPDFFont_GetBaseFontName(font, name, len(name))
    return name.value.decode(), pdfium.FPDFFont_GetIsEmbedded(font) == 1


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


def judge_tiles(ledger, where, found, work, bars=(100.0, 100.0)):
    """Every slot on some sheet, in its place by the sheet's crosses; `bars`: short and long side of the sheet."""
    seen, crosses, joined = set(), {}, []
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
    for at in middles[lying]:
        if not (np.abs(middles[standing] - at).max(axis=1) < 1e-3).any():
            continue
        for text, (left, top, right, bottom) in sheet.words:
            above = abs(right - at[0] + 0.6) < 0.5 and -4.0 < bottom - at[1] < 0.5
            below = abs(left - at[0] - 0.6) < 0.5 and -0.5 < top - at[1] < 4.0
            if text.isdigit() and (above or below):
                found[int(text)] = at
    return found
