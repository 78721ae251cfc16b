"""A picture and a page of the same drawing, rendered by librsvg and by Poppler, compared point by point."""

import io
import subprocess

import numpy as np
from PIL import Image

DOTS_PER_MM = 10  # the finest line, 0.13 mm, is more than a dot wide
DPI = 25.4 * DOTS_PER_MM
# Both smooth edges of lines in ways of their own, so a dot counts only if it is clearly dark in one (over half) and
# nothing within a dot of it is at all grey in the other.
DARK, GREY = 128, 245
DIFFERENT = 1e-4  # of the dark dots: room for the end of a stroke at a join
AIR_MM = 0.4  # around letters, which the picture lacks


def judge_render(ledger, where, picture, pdf, sheet, corner_mm):
    """`sheet` is the page's reading, whose letters are left out of the comparison."""
    page = _page(pdf)
    drawn = _picture(picture)
    left, top = (round(side * DOTS_PER_MM) for side in corner_mm)
    height, width = drawn.shape
    seen = page[top:top + height, left:left + width]
    height, width = seen.shape
    drawn = drawn[:height, :width]
    free = np.ones(seen.shape, bool)
    for x0, y0, x1, y1 in (sheet.boxes() - [*corner_mm, *corner_mm] + [-AIR_MM, -AIR_MM, AIR_MM, AIR_MM]) * DOTS_PER_MM:
        free[max(int(y0), 0):max(int(y1) + 1, 0), max(int(x0), 0):max(int(x1) + 1, 0)] = False
    dark = int(((drawn < DARK) & free).sum() + ((seen < DARK) & free).sum())
    ledger.holds("render: both show lines", dark > 500, f"{where}: {dark} dark dots")
    lone = int((((drawn < DARK) & ~_near(seen < GREY)) & free).sum() + (((seen < DARK) & ~_near(drawn < GREY)) & free).sum())
    ledger.near("render: dark dots of one that the other lacks", lone / max(dark, 1), 0.0, where, DIFFERENT, "of the dark dots")


def _near(dark):
    """Dots that are dark or have a dark neighbour."""
    padded = np.pad(dark, 1)
    height, width = dark.shape
    return np.any([padded[i:i + height, j:j + width] for i in range(3) for j in range(3)], axis=0)


def _page(pdf):
    done = subprocess.run(["pdftoppm", "-r", f"{DPI}", "-gray", "-f", "1", "-l", "1", str(pdf)], capture_output=True, check=True)
    return np.array(Image.open(io.BytesIO(done.stdout)).convert("L"))


def _picture(picture):
    done = subprocess.run(["rsvg-convert", "--dpi-x", f"{DPI}", "--dpi-y", f"{DPI}", "--background-color", "white"],
                          input=picture.without_words(), capture_output=True, check=True)
    return np.array(Image.open(io.BytesIO(done.stdout)).convert("L"))
