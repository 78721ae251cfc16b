"""Playing on the wood of readings: visits of values only, where the mean is the likeliest surface and the covariance a bell's."""

import math
import tomllib
import zlib

import numpy as np
from scipy.stats import norm

import fitting
import readings_samples as rs
from play_model import Play
from program import run
from readings_checks import DEMO, OWN_KIT, VALUES
from statements import Reader, read_lines
from surface import Expected, Wood

TOPS_MM = 1e-8  # the fit's steps rest when the next would gain 1e-16 of the cost
SIGMA_MM = 1e-8
SHARE = 1e-6


class Fitted:
    """The wood of one visit: departures of the tops, and the covariance within a lane before the plane is taken out."""

    def __init__(self, play, kit, content):
        lines, board = read_lines(content), play.board
        set_ups = list(dict.fromkeys(line.text("set_up") or "1" for line in lines if line.text("kind") == "height"))
        wood = Wood(board, Expected(), set_ups, sum(line.text("kind") == "height" for line in lines))
        problem, theta, self.rests, _ = fitting.fit(wood, Reader(board, kit), lines)
        spots = wood.spots(play.x.ravel(), play.y.ravel())
        over = spots.heights(wood.unknowns(theta)) - board.surface(play.x.ravel(), play.y.ravel())
        table = np.stack([np.ones_like(over), play.x.ravel(), play.y.ravel()], axis=1)
        over = over - table @ np.linalg.lstsq(table, over, rcond=None)[0]
        self.departures = over.reshape(play.x.shape)
        rows = (spots.slopes(wood.unknowns(theta)) * wood.deviation).reshape(*play.x.shape, -1)
        cov = np.linalg.inv(problem.precision(theta))
        self.covs = [lane @ cov @ lane.T for lane in rows]

    def lane_cov(self, lane):
        return self.covs[lane]


def check_play_wood(ledger, folder):
    paths = [folder / "wood.toml", folder / "wood_kit.toml", folder / "wood.csv"]
    for name in ("heron", "bittern", "avocet"):
        text = (DEMO / f"{name}.toml").read_text(encoding="utf-8")
        sheet, kit = run("sheet", "-", "--json", text=text).record(), tomllib.loads(OWN_KIT)
        play = Play(text, [row["unit_weight_kg_per_m"] for row in sheet["strings"]])
        planted = rs.Planted(play.board, kit, Expected(), zlib.crc32(name.encode()))
        content = rs.visit(planted, VALUES, ",")
        for path, body in zip(paths, (text, OWN_KIT, content)):
            path.write_text(body, encoding="utf-8")
        answer = run("play", paths[0], "--readings", paths[2], "--kit", paths[1], "--necks", 128, "--json")
        ledger.holds("play: on the wood of readings", answer.code == 0, f"{name}: {answer.err[:200]}")
        if answer.code:
            continue
        record, fitted = answer.record(), Fitted(play, kit, content)
        ledger.same("play: what the fret tops rest on", record["on"], "wood", name)
        for top in record["tops"]:
            i, k, where = top["lane"] - 1, top["fret"], f"{name}, lane {top['lane']}, fret {top['fret']}"
            ledger.near("play: tops on the wood", top["departure_mm"], float(fitted.departures[i, k]), where, TOPS_MM, "mm")
            ledger.near("play: uncertainty of tops on the wood", top["sigma_mm"], math.sqrt(fitted.lane_cov(i)[k, k]), where, SIGMA_MM, "mm")
        play.departure[:] = fitted.departures
        _check_margins(ledger, name, play, fitted, record)


def _check_margins(ledger, name, play, fitted, record):
    (n, s), tops = play.wished(), play.tops()
    for row in record["buzz"]:
        i, k, where = row["string"] - 1, row["stopped_at"], f"{name}, string {row['string']} at {row['stopped_at']}"
        air, factors = play.margins(i, k, play.pluck_n, n, s, tops), play.factors(i, k)
        sigma = np.sqrt(np.einsum("ij,jk,ik->i", factors, fitted.lane_cov(i), factors))
        ledger.near("play: margins on the wood", row["margin_mm"], float(air.min()), where, 20 * TOPS_MM, "mm")
        ledger.near("play: their uncertainty", row["sigma_mm"], float(sigma[row["fret"] - k - 1]), where, 20 * SIGMA_MM, "mm")
        ledger.near("play: their chance of contact", row["contact_chance"], float(norm.cdf(-air / np.maximum(sigma, 1e-9)).max()), where, SHARE, "")
