"""What `play --json` prints, against `play_model.py` and its companions."""

import math
import zlib
from pathlib import Path

import numpy as np
from scipy.stats import norm

import figures as fig
from ledger import POSITION_MM
from play_chances import DEMANDS, NAMES, TOUCH_BENDS, Necks, halved, without
from play_chooser import Chooser
from play_fretwork import Filing, Tops, seated
from play_lowest import GREATEST_RELIEF_MM, Lowest
from play_model import Bend, Play
from play_samples import play_commission
from play_set_up import changes, circle, neck
from play_tuning import Tuned, ways
from program import run

DEMO = Path(__file__).resolve().parents[2] / "demo"
SAMPLES = 44

HEIGHT_MM = 1e-9  # plain arithmetic on lengths under a metre; the bow's integrals are good to 1e-12
PULL_SHARE = 1e-9
CHOKE_CENTS = 1e-4  # the page closes the place in by halving; a cent is hardly heard
PUSH_MM = 1e-6
LOWEST_MM = 1e-8  # HiGHS is asked for 1e-10, and a place at the saddle is twenty times one at a fret
HUNDREDTH_MM = 1e-7
LIMIT_MM = 1e-7  # the page's own bound for what limits
SET_BACK_MM = 1e-6  # the page's steps end under 1e-9 mm; the valley's flat direction turns that into some more
CENTS = 1e-6
TIE_MM = 1e-9
TOPS_MM = 1e-9  # the bars' 10 mm beside readings of a hundredth cost a million in digits
SIGMA_MM = 1e-9
SHARE = 1e-8
CURVATURE = 1e-10  # 1/mm; a tenth of a millimetre on a radius of a metre
OUTSIDE_MM = 1e-8
NOISE = 4.0  # standard errors
CHANCE = 0.02  # what straightening may cost, cents above all
STRAIGHTENED = 0.1  # of a room's spread, the same
DEVIATION = 0.1
SHARE_OF_SPREAD = 0.04
NECKS, PAIRED, CHANCES_OF = 1500, 800, 6


def cases():
    demo = [(name, (DEMO / f"{name}.toml").read_text(encoding="utf-8")) for name in ("avocet", "bittern", "heron", "sandpiper")]
    return demo + [(f"playing {seed}", play_commission(seed)) for seed in range(SAMPLES)]


def check_play(ledger, folder):
    path = folder / "play.toml"
    for name, text in cases():
        path.write_text(text, encoding="utf-8")
        necks = [] if _draws(name) else ["--necks", 128]
        sheet, answer = run("sheet", path, "--json"), run("play", path, "--json", *necks)
        ledger.holds("play: the record is printed", answer.code == 0 and sheet.code == 0, f"{name}: exit {answer.code} {answer.err[:300]}")
        if answer.code != 0 or sheet.code != 0:
            continue
        weights = [row["unit_weight_kg_per_m"] for row in sheet.record()["strings"]]
        check_one(ledger, name, Play(text, weights), answer.record())


def _draws(name):
    """Whether the chances of this commission are checked, which takes a second or two."""
    return zlib.crc32(name.encode()) % CHANCES_OF == 0 or not name.startswith("playing")


def check_one(ledger, name, play, record):
    fretwork = any(play.record.get("fretwork", {}).get(kind) for kind in ("heights", "gaps", "rocks"))
    ledger.same("play: what the fret tops rest on", record["on"], "frets" if fretwork else "planned", name)
    tops = check_tops(ledger, name, play, record) if fretwork else None
    check_wished(ledger, name, play, record)
    check_buzz(ledger, name, play, record, tops)
    check_bends(ledger, name, play, record)
    check_lowest(ledger, name, play, record)
    check_tuning(ledger, name, play, record)
    check_levelling(ledger, name, play, record, tops)
    check_set_up(ledger, name, play, record)
    check_chooser(ledger, name, play, record)
    if _draws(name):
        check_chances(ledger, name, play, record, tops)


def check_list(ledger, group, got, want, where, tolerance, unit="mm"):
    ledger.same(f"{group}: how many", len(got), len(want), where)
    for place, (g, w) in enumerate(zip(got, want)):
        ledger.near(group, g, None if w is None else float(w), f"{where}, {place}", tolerance, unit)


def check_wished(ledger, name, play, record):
    wished, (n, s) = record["wished"], play.wished()
    for key, want in (("nut_mm", n), ("saddle_mm", s), ("action_at_12_mm", play.action_far)):
        check_list(ledger, "play: the asked set-up", wished[key], want, f"{name}, {key}", HEIGHT_MM)
    near = [play.action_near] * play.lanes if play.frets > 1 else play.action_far
    check_list(ledger, "play: the asked set-up", wished["action_at_1_mm"], near, f"{name}, action at 1", HEIGHT_MM)
    for key, want in (("relief_mm", play.relief), ("margin_mm", play.margin), ("pluck_n", play.pluck_n), ("light_n", play.light_n),
                      ("hard_n", play.hard_n), ("pluck_from_saddle_mm", play.pluck_at)):
        ledger.near("play: the wish", wished[key], want, f"{name}, {key}", HEIGHT_MM, "")
    pulls = [string.pull_n for string in play.strings]
    if None in pulls:
        ledger.same("play: no load without every pull", record["neck_load_n"], None, name)
    else:
        ledger.share("play: the neck's load", record["neck_load_n"], sum(pulls), name, PULL_SHARE)


def check_buzz(ledger, name, play, record, sure):
    n, s = play.wished()
    tops, rows = play.tops(), {(row["string"] - 1, row["stopped_at"]): row for row in record["buzz"]}
    known = [i for i in range(play.lanes) if play.strings[i].pull_n is not None]
    ledger.same("play: stops of the buzz map", sorted(rows), [(i, k) for i in known for k in range(play.frets)], name)
    for (i, k), row in rows.items():
        where = f"{name}, string {i + 1} at {k}"
        air = play.margins(i, k, play.pluck_n, n, s, tops)
        ledger.near("play: margins", row["margin_mm"], float(air.min()), where, HEIGHT_MM, "mm")
        told = row["fret"] - k - 1
        ledger.holds("play: the fret that is struck first", 0 <= told < len(air) and air[told] - air.min() < TIE_MM, f"{where}: fret {row['fret']}, {air}")
        for key, force in (("light_margin_mm", play.light_n), ("hard_margin_mm", play.hard_n)):
            ledger.near("play: light and hard margins", row[key], float(play.margins(i, k, force, n, s, tops).min()), where, HEIGHT_MM, "mm")
        if sure is None:
            ledger.same("play: planned tops are sure", (row["sigma_mm"], row["contact_chance"]), (0, None), where)
            continue
        factors, cov = play.factors(i, k), sure.lane_cov(i)
        sigma = np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", factors, cov, factors), 0))
        ledger.near("play: uncertainty of the margins", row["sigma_mm"], float(sigma[told]), where, SIGMA_MM, "mm")
        chance = float(norm.cdf(-air / np.maximum(sigma, 1e-9)).max())
        ledger.near("play: chance of contact", row["contact_chance"], chance, where, SHARE, "")


def check_tops(ledger, name, play, record):
    """Own tops from the readings; the play goes on with them."""
    sure = Tops(play)
    departures = sure.departures()
    at_once = sure.all_at_once()
    if at_once is not None:
        ledger.near("play: tops one after another and all at once", float(np.abs(at_once - sure.mean).max()), 0.0, name, TOPS_MM, "mm")
    places = sorted((top["lane"], top["fret"]) for top in record["tops"])
    ledger.same("play: places of the fret tops", [p for p in places if p[1]], [(i + 1, k) for i in range(play.lanes) for k in range(1, play.frets + 1)], name)
    for top in record["tops"]:
        i, k = top["lane"] - 1, top["fret"]
        ledger.near("play: fret tops", top["departure_mm"], float(departures[i, k]), f"{name}, lane {i + 1}, fret {k}", TOPS_MM, "mm")
        ledger.near("play: uncertainty of the fret tops", top["sigma_mm"], math.sqrt(max(0.0, sure.lane_cov(i)[k, k])), f"{name}, lane {i + 1}, fret {k}", SIGMA_MM, "mm")
    doubted = [tuple(row[key] for key in ("lane", "read_mm", "foretold_mm", "foretold_half_mm")) for row in record["doubted"]]
    check_list(ledger, "play: doubted readings", np.ravel(doubted).tolist(), np.ravel(sure.doubted).tolist(), name, TOPS_MM)
    play.departure[:] = departures
    return sure


def check_chooser(ledger, name, play, record):
    """Every camber told grants the wished bends, and a slightly tighter end does not."""
    rows = record["chooser"]
    if not any(string.stiffness_n for string in play.strings):
        return
    end = float(play.board.half_width(play.board.end_x))
    own = float(play.board.radius(0.0))
    widest = 1.6 * min(max(300.0 if math.isinf(own) else own, 300.0), 1500.0)
    ledger.same("play: how many cambers", len(rows), 25, name)
    chooser = Chooser(play)
    for step, row in enumerate(rows):
        where = f"{name}, camber {step}"
        ledger.near("play: radii at the nut of the chooser", row["nut_mm"], 1.5 * end * (widest / (1.5 * end)) ** (step / 24), where, POSITION_MM, "mm")
        if row["last_fret_mm"] is None:
            continue
        air = chooser.least(row["nut_mm"], 1 / row["last_fret_mm"]) - play.margin
        ledger.holds("play: a told camber grants the wish", air > -2e-9, f"{where}: {row}, {air}")
        if row["last_fret_mm"] > 1.5 * end * (1 + 1e-9):
            tighter = chooser.least(row["nut_mm"], (1 + 1e-4) / row["last_fret_mm"]) - play.margin
            ledger.holds("play: a tighter end does not grant the wish", tighter < 0, f"{where}: {row}, {tighter}")


def check_levelling(ledger, name, play, record, sure):
    got = record["levelling"]
    proud = sure.seat_first() if sure else []
    want = {(k, i): (over, sigma) for over, sigma, k, i in proud}
    told = [(row["fret"], row["lane"] - 1) for row in got["seat_first"]]
    ledger.same("play: what is seated first", sorted(told), sorted(want), name)
    falling = [row["over_mm"] for row in got["seat_first"]]
    ledger.holds("play: proudest first", all(a >= b - TIE_MM for a, b in zip(falling, falling[1:])), f"{name}: {falling}")
    for row in got["seat_first"]:
        over, sigma = want.get((row["fret"], row["lane"] - 1), (math.nan, math.nan))
        ledger.near("play: how proud", row["over_mm"], over, name, TOPS_MM, "mm")
        ledger.near("play: how proud, uncertainty", row["sigma_mm"], sigma, name, SIGMA_MM, "mm")
    before, cannot = play.departure.copy(), []
    play.departure[:] = seated(play, proud)
    for i in range(play.lanes):
        where, off = f"{name}, lane {i + 1}", got["off_mm"][i]
        if play.strings[i].pull_n is None:
            ledger.same("play: nothing is filed without a pull", off, None, where)
            continue
        filing = Filing(play, i)
        least = filing.solve()
        if least is None:
            cannot.append(i + 1)
            ledger.same("play: nothing is filed where filing cannot free", off, None, where)
            continue
        ledger.holds("play: filing is told", off is not None and len(off) == play.frets + 1 and off[0] == 0, f"{where}: {off}, least {least}")
        if off is None:
            continue
        o = np.array(off[1:])
        ledger.near("play: least sum filed", float(o.sum()), least, where, LOWEST_MM, "mm")
        ledger.holds("play: what is filed frees the lane within the crown", (filing.rows @ o - filing.room).max() < 1e-9 and o.min() >= 0 and o.max() <= filing.most + 1e-12, where)
    ledger.same("play: lanes that cannot be freed", got["cannot"], cannot, name)
    play.departure[:] = before


def check_set_up(ledger, name, play, record):
    got, (n, s) = record["set_up"], play.wished()
    over_plane = play.d0 + play.d1 * play.length + s
    tops = play.tops()
    line = lambda fret: n + play.a[:, fret] / play.length * (s - n) - tops[:, fret]
    columns = {"nut_mm": n, "saddle_mm": s, "slot_over_wood_mm": n + play.crown_height, "saddle_over_plane_mm": over_plane,
               "action_at_1_mm": line(1), "action_at_12_mm": line(play.far)}
    for key, want in columns.items():
        check_list(ledger, "play: figures to cut to", [row[key] for row in got["strings"]], want, f"{name}, {key}", HEIGHT_MM)
    given = play.record.get("set_up", {})
    ledger.near("play: relief to set and as measured", got["relief_mm"], play.relief, name, HEIGHT_MM, "mm")
    ledger.near("play: relief to set and as measured", got["relief_now_mm"], fig.length_mm(given["relief"]) if "relief" in given else None, name, HEIGHT_MM, "mm")
    change = changes(play)
    for i, row in enumerate(got["strings"]):
        if change is None:
            ledger.same("play: no change without a measured action", row["change"], None, name)
            continue
        told = [row["change"][key] for key in ("measured_at_1_mm", "measured_at_12_mm", "action_by_relief_mm", "nut_mm", "saddle_mm")]
        check_list(ledger, "play: what to change", told, change[i], f"{name}, string {i + 1}", HEIGHT_MM)
    for key, y, z in (("saddle_circle", play.saddle_point[:, 1], over_plane), ("nut_circle", play.nut_point[:, 1], play.d0 + n)):
        _check_circle(ledger, f"{name}, {key}", got[key], y, z)
    want = neck(play, over_plane, None if change is None else change[:, 4])
    ledger.same("play: whether the neck's angle is told", got["neck"] is None, want is None, name)
    if want:
        for key, figure in zip(("angle_deg", "plane_at_saddle_mm", "shim_mm"), want):
            ledger.near("play: the neck's angle", got["neck"][key], figure, f"{name}, {key}", HEIGHT_MM, "mm or degrees")


def _check_circle(ledger, where, got, y, z):
    if len(y) < 3:
        ledger.same("play: no circle through fewer than three", got, None, where)
        return
    curvature, over = circle(y, z)
    told = 0.0 if got["radius_mm"] is None else 1 / got["radius_mm"]
    # The radius is told without a sign, also where the arch hangs.
    ledger.near("play: circles, curvature", told, abs(curvature), where, CURVATURE, "1/mm")
    check_list(ledger, "play: circles, how far outside", got["over_mm"], over, where, OUTSIDE_MM)


def check_chances(ledger, name, play, record, sure):
    """Necks drawn here, reckoned without straightening, against the program's; the bounds are named above."""
    got, necks = record["chances"], Necks(play, sure)
    chance = np.random.default_rng(zlib.crc32(name.encode()))
    drawn = necks.draw(chance, NECKS)
    rooms = necks.rooms(drawn)
    told = {row["demand"]: row for row in got["demands"]}
    ledger.same("play: demands", [row["demand"] for row in got["demands"]], list(DEMANDS), name)
    all_met = np.ones(NECKS, bool)
    for demand, room in zip(DEMANDS, rooms):
        where = f"{name}, {demand}"
        if room is None:
            ledger.holds("play: a demand of which nothing is known", (told[demand]["chance"], told[demand]["room"]) == (None, None), f"{where}: {told[demand]}")
            continue
        all_met &= room >= 0
        _near_chance(ledger, "play: chance of a demand", told[demand]["chance"], float(np.mean(room >= 0)), got["necks"], NECKS, where)
        noise = float(room.std()) * NOISE * math.sqrt(1 / got["necks"] + 1 / NECKS)
        ledger.near("play: mean room, in its own spread and noise", (told[demand]["room"] - float(room.mean())) / (float(room.std()) * STRAIGHTENED + noise + 1e-12), 0.0, where, 1.0, "")
        ledger.near("play: deviation of the room, as a share", told[demand]["room_deviation"] / (float(room.std()) + 1e-12), 1.0, where, DEVIATION, "")
    _near_chance(ledger, "play: chance of a neck", got["chance"], float(np.mean(all_met)), got["necks"], NECKS, name)
    c, n = got["chance"], got["necks"]
    ledger.near("play: uncertainty of the chance", got["chance_uncertainty"], math.sqrt(c * (1 - c) / n), name, SHARE, "")
    keys = {key for key, size in necks.sizes.items() if size > 0}
    ledger.same("play: errors that are drawn", {NAMES[row["error"]] for row in got["errors"]}, keys, name)
    if name in ("heron", "sandpiper"):
        _check_shares(ledger, name, necks, chance, got, rooms)


def _near_chance(ledger, group, got, want, necks_got, necks_want, where):
    middle = min(max((got * necks_got + want * necks_want) / (necks_got + necks_want), 1 / necks_got), 1 - 1 / necks_got)
    deviation = math.sqrt(middle * (1 - middle) * (1 / necks_got + 1 / necks_want))
    ledger.near(f"{group}, beyond noise", max(0.0, abs(got - want) - NOISE * deviation), 0.0, f"{where}: {got:.4f} and {want:.4f} here", CHANCE, "")


def _check_shares(ledger, name, necks, chance, got, rooms):
    one, other = necks.draw(chance, PAIRED), necks.draw(chance, PAIRED)
    base, apart, met = necks.rooms(one), necks.rooms(other)[1], lambda rooms: np.all([room >= 0 for room in rooms if room is not None], axis=0)
    for row in got["errors"]:
        key = NAMES[row["error"]]
        bends = None if key in TOUCH_BENDS else apart
        shared = necks.rooms(without(one, other, key), bends)
        for place, (y, again, spread) in enumerate(zip(base, shared, rooms)):
            if y is None or row["shares"][place] is None or spread.std() < 1e-9:
                continue
            share = min(1.0, max(0.0, 1 - float(np.mean((y - again) ** 2)) / 2 / float(spread.var())))
            # (Y - Y')²/2 of two bells has sqrt(2) of its mean as its deviation.
            noise = NOISE * math.sqrt(2) * (1 - min(share, row["shares"][place])) * math.sqrt(1 / got["necks"] + 1 / PAIRED)
            ledger.near("play: shares of the spread, beyond noise", max(0.0, abs(row["shares"][place] - share) - noise), 0.0,
                        f"{name}, {row['error']}, {DEMANDS[place]}: {row['shares'][place]:.3f} and {share:.3f}", SHARE_OF_SPREAD, "")
        half = float(np.mean(met(necks.rooms(halved(one, key), None if key in TOUCH_BENDS else base[1]))))
        _near_chance(ledger, "play: chance with an error halved", row["chance_if_halved"], half, got["necks"], PAIRED, f"{name}, {row['error']}")


def check_bends(ledger, name, play, record):
    _, s = play.wished()
    saddle = play.d0 + play.d1 * play.length + s
    rows = {(row["string"] - 1, row["fret"]): row for row in record["bends"]}
    known = [i for i in range(play.lanes) if play.strings[i].stiffness_n is not None]
    ledger.same("play: places of the bend map", sorted(rows), [(i, k) for i in known for k in range(1, play.frets + 1)], name)
    for (i, k), row in rows.items():
        where, bend = f"{name}, string {i + 1} at {k}", Bend(play, i, k)
        cents, push, fret, free = bend.choke(saddle[i])
        ledger.near("play: chokes", row["choke_cents"], cents, where, CHOKE_CENTS, "cents")
        ledger.near("play: how far it is pushed", row["aside_mm"], push, where, PUSH_MM, "mm")
        ledger.near("play: free to", row["free_to_cents"], free, where, CHOKE_CENTS, "cents")
        if fret is not None and row["on_fret"] is not None and row["on_fret"] != fret:
            airs = bend.airs(push, saddle[i])
            ledger.holds("play: the fret that chokes", airs[row["on_fret"] - k - 1] - airs.min() < TIE_MM, f"{where}: {row['on_fret']}, here {fret}")
        else:
            ledger.same("play: the fret that chokes", row["on_fret"], fret, where)


def check_lowest(ledger, name, play, record):
    got, lowest = record["lowest"], Lowest(play)
    best, found = lowest.solve()
    ledger.holds("play: HiGHS and the program both find a lowest set-up", (best is not None) == (got is not None and got["relief_mm"] is not None), f"{name}: {found.message} {got}")
    if best is None or not lowest.known or got is None:
        return
    own = lambda key: np.array([got[key][i] for i in lowest.known], float)
    ledger.near("play: lowest sum of actions", float(own("action_at_12_mm").sum()), best, name, LOWEST_MM, "mm")
    ledger.near("play: relief of the lowest set-up", got["relief_mm"], lowest.least_relief(best), name, 1e-6, "mm")
    values = np.empty(1 + 2 * len(lowest.known))
    values[0], values[1::2], values[2::2] = got["relief_mm"], own("nut_mm"), own("saddle_mm")
    slack = lowest.matrix @ values - lowest.right
    ledger.holds("play: the printed lowest set-up is free of buzz", slack.min() > -1e-9 and values.min() > -1e-9, f"{name}: {slack.min()} {values.min()}")
    check_list(ledger, "play: lowest actions of their heights", own("action_at_12_mm"), lowest.actions(values), name, HEIGHT_MM)
    _check_limits(ledger, name, lowest, got, slack, values)
    _check_hundredths(ledger, name, lowest, got, best, found)


def _check_limits(ledger, name, lowest, got, slack, values):
    told = {(i, row["stopped_at"], row["fret"]) for i, rows in enumerate(got["limiting"]) for row in rows or []}
    sure = {key for key, left in zip(lowest.names, slack) if left < 0.5 * LIMIT_MM}
    possible = {key for key, left in zip(lowest.names, slack) if left < 2 * LIMIT_MM}
    ledger.holds("play: what limits", sure <= told <= possible, f"{name}: told {sorted(told - possible)} not limiting, {sorted(sure - told)} not told")


def _check_hundredths(ledger, name, lowest, got, best, found):
    step, relief = 0.01, got["relief_mm"]
    if relief + step <= GREATEST_RELIEF_MM or relief == GREATEST_RELIEF_MM:
        sign = -1 if relief == GREATEST_RELIEF_MM else 1
        held, moved = lowest.solve(relief=relief)[1], lowest.solve(relief=relief + sign * step)[1]
        want = sign * (lowest.actions(moved.x) - lowest.actions(held.x))
        check_list(ledger, "play: a hundredth more relief", [got["by_hundredth_relief_mm"][i] for i in lowest.known], want, name, HUNDREDTH_MM)
    per_fret = got["by_hundredth_levelling_mm"]
    ledger.near("play: a hundredth off a fret", per_fret[0], 0.0, name, HUNDREDTH_MM, "mm")
    basis = found.ineqlin.residual < 1e-9
    # Every fret of the demo commissions, every third of the others: each is a programme of its own.
    for fret in range(1, lowest.play.frets + 1, 3 if name.startswith("playing") else 1):
        where = f"{name}, fret {fret}"
        total, again = lowest.solve(fret, step)
        ledger.near("play: a hundredth off a fret", per_fret[fret], total - best, where, HUNDREDTH_MM, "mm")
        if np.array_equal(basis, again.ineqlin.residual < 1e-9) and np.allclose(found.ineqlin.marginals, again.ineqlin.marginals, atol=1e-9):
            ledger.near("play: a hundredth off a fret, by dual values", per_fret[fret], step * lowest.marginal(found, fret), where, HUNDREDTH_MM, "mm")


def check_tuning(ledger, name, play, record):
    got = record["tuning"]
    known = [i for i in range(play.lanes) if play.strings[i].kappa is not None]
    strings = [Tuned(play, i) for i in known]
    if not strings:
        return
    for way, backs in ways(strings).items():
        part = got if way == "own" else got[way]
        told, where = [], f"{name}, {way}"
        for place, (i, tuned) in enumerate(zip(known, strings)):
            want = backs[place]
            if play.frets > 1:
                ledger.near("play: set-backs", part["saddle_mm"][i], want[0], f"{where}, string {i + 1} saddle", SET_BACK_MM, "mm")
                ledger.near("play: set-backs", part["nut_mm"][i] or 0.0, want[1], f"{where}, string {i + 1} nut", SET_BACK_MM, "mm")
            printed = (part["saddle_mm"][i], part["nut_mm"][i] or 0.0)
            check_list(ledger, "play: cents left", part["cents"][i], tuned.told(*printed), f"{where}, string {i + 1}", CENTS, "cents")
            told.append(tuned.told(*printed))
        ledger.near("play: root mean square of the cents", part["rms_cents"], math.sqrt(np.mean(np.square(told))), where, CENTS, "cents")
        for i in set(range(play.lanes)) - set(known):
            ledger.same("play: no set-back without a stretch", (part["saddle_mm"][i], part["cents"][i]), (None, None), where)
    for i, tuned in zip(known, strings):
        backs, where = (got["saddle_mm"][i], got["nut_mm"][i]), f"{name}, string {i + 1}"
        moved = lambda **error: float(np.abs(tuned.cents(*backs, **error) - tuned.cents(*backs)).max())
        ledger.near("play: slots a tenth off", got["by_slot_cents"][i], moved(slots=0.1), where, CENTS, "cents")
        ledger.near("play: action two tenths higher", got["by_action_cents"][i], moved(saddle_higher=0.4), where, CENTS, "cents")
