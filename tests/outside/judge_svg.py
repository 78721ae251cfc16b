"""SVG files by the standard library's reader and fontTools' reader of path data, rendered by librsvg."""

import re
import xml.etree.ElementTree as ElementTree

import numpy as np
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path

SVG = "{http://www.w3.org/2000/svg}"
PLACE_MM = 0.01  # as far as two writers of one scene may differ
MILLIMETRES = re.compile(r"^([0-9.]+)mm$")


class Picture:
    """An SVG file: its size, points and words."""

    def __init__(self, path):
        self.root = ElementTree.parse(path).getroot()
        self.box = [float(v) for v in self.root.get("viewBox").split()]
        self.points = self._points()

    @property
    def height(self):
        return self.box[3]

    def drawn(self):
        """Paths that mark something on bare paper."""
        for path in self.root.iter(f"{SVG}path"):
            ink = path.get("stroke", "none"), path.get("fill", "black")
            if any(value not in ("none", "#FFFFFF") for value in ink):
                yield path

    def _points(self):
        """All points that shapes are drawn by, controls of curves too."""
        found = []
        for path in self.drawn():
            pen = RecordingPen()
            parse_path(path.get("d"), pen)
            found += [point for _, points in pen.value for point in points]
        return np.array(found).reshape(-1, 2)

    def texts(self):
        return ["".join(text.itertext()) for text in self.root.iter(f"{SVG}text")]

    def without_words(self):
        """The file's text without its words, for renderers that lack the font."""
        for parent in self.root.iter():
            for text in parent.findall(f"{SVG}text"):
                parent.remove(text)
        ElementTree.register_namespace("", SVG.strip("{}"))
        return ElementTree.tostring(self.root)


def judge_svg(ledger, where, path):
    """What holds of every SVG file; gives the picture."""
    try:
        picture = Picture(path)
    except ElementTree.ParseError as error:
        ledger.holds("svg: well-formed", False, f"{where}: {error}")
        return None
    ledger.holds("svg: well-formed", picture.root.tag == f"{SVG}svg", where)
    sides = [MILLIMETRES.match(picture.root.get(side, "")) for side in ("width", "height")]
    stated = [float(match[1]) if match else None for match in sides]
    ledger.same("svg: one unit of the box is one millimetre", stated, picture.box[2:], where)
    ledger.same("svg: the box begins at its corner", picture.box[:2], [0.0, 0.0], where)
    moved = [e for e in picture.root.iter() if e.tag != f"{SVG}text" and e.get("transform")]
    ledger.holds("svg: shapes are where they say", not moved, f"{where}: {len(moved)} are moved")
    return picture


def judge_same_points(ledger, name, where, one, other):
    """Every point of one drawing is a point of the other, both ways."""
    from scipy.spatial import cKDTree

    for label, (a, b) in {"": (one, other), " (back)": (other, one)}.items():
        if len(a) == 0 and len(b) == 0:
            continue
        away, _ = cKDTree(b).query(a) if len(a) and len(b) else (np.array([np.inf]), None)
        index = int(np.argmax(away))
        at = a[index].round(3).tolist() if len(a) else None
        ledger.near(name, float(away.max()), 0.0, f"{where}{label}: point {at}", PLACE_MM, "mm")
