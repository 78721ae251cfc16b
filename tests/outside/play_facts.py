"""Published set-backs of classical strings, through the program from the measured raw figures to the printed result.

M. B. Anderson, R. G. Beausoleil, "Classical guitar intonation and compensation: The well-tempered guitar", J. Acoust. Soc. Am.
156, 683 (2024), and the authors' source repository beausol/classical-guitar, commit 9f6c878: tables (cgic/files/tbl_*.tex),
figures (cgic.pdf) and measured frequencies (data/guitar_strings_data.xlsx).
Scale 650 mm, frets 1 to 12, nut 1 mm and saddle 5 mm over a plane of fret tops, the string pressed at its fret (d = 0).
"""

import math

from program import run

DRAWN_MM = (0, 0.5, 1, 1.5, 2, 2.5, 3)

# Set, string, note, gauge, g/m, printed (saddle mm, nut mm, rms cents), measured hertz at each drawn length, spreads in hertz.
# Only one set was fitted with spreads.
STRINGS = (
    ("EJ43", "J4301", "E4", "0.0275 in", 0.361, (1.95, -0.57, 0.229),
     (298.6, 309.2, 320.4, 330.3, 340.5, 350.5, 359.2), ()),
    ("EJ43", "J4302", "B3", "0.0317 in", 0.487, (2.37, -0.64, 0.259),
     (221.8, 229.3, 238.7, 248.2, 257.2, 265.2, 271.7), ()),
    ("EJ43", "J4303", "G3", "0.0397 in", 0.808, (3.39, -0.82, 0.339),
     (173.8, 183.5, 192.2, 201.1, 209.7, 218.2, 226.9), ()),
    ("EJ43", "J4304", "D3", "0.028 in", 1.822, (1.76, -0.47, 0.190),
     (133.7, 136.5, 139.2, 144.8, 148.7, 151.9, 155.3), ()),
    ("EJ43", "J4305", "A2", "0.033 in", 2.741, (1.83, -0.39, 0.159),
     (98.4, 100.8, 102.9, 105, 107.5, 109.8, 112.7), ()),
    ("EJ43", "J4306", "E2", "0.042 in", 5.158, (2.40, -0.43, 0.175),
     (71.5, 73.5, 74.8, 76.7, 79.4, 81.3, 82.6), ()),
    ("EJ45", "J4501", "E4", "0.028 in", 0.374, (1.48, -0.36, 0.143),
     (326, 331.5, 337.5, 345, 352, 357.5, 363), (0.78, 0.76, 0.83, 0.89, 0.92, 0.93, 0.93)),
    ("EJ45", "J4502", "B3", "0.0322 in", 0.505, (1.69, -0.36, 0.145),
     (241, 246, 252, 256, 259.5, 265, 270.5), (0.6, 0.63, 0.63, 0.58, 0.71, 0.72, 0.67)),
    ("EJ45", "J4503", "G3", "0.0403 in", 0.836, (2.33, -0.43, 0.177),
     (193, 197.5, 202, 206.5, 212, 215, 221), (0.47, 0.51, 0.49, 0.57, 0.54, 0.51, 0.51)),
    ("EJ45", "J4504", "D3", "0.029 in", 1.920, (1.49, -0.34, 0.137),
     (144.8, 148.1, 151, 153.4, 156.6, 158.9, 160.7), (0.33, 0.32, 0.36, 0.39, 0.36, 0.41, 0.4)),
    ("EJ45", "J4505", "A2", "0.035 in", 3.289, (1.83, -0.36, 0.146),
     (109.7, 112, 114, 116.6, 119, 120.5, 122.3), (0.28, 0.27, 0.31, 0.29, 0.31, 0.29, 0.31)),
    ("EJ45", "J4506", "E2", "0.043 in", 5.470, (2.46, -0.43, 0.177),
     (81.9, 84.1, 85.7, 87.6, 89.7, 91.6, 93.5), (0.18, 0.2, 0.22, 0.21, 0.22, 0.22, 0.24)),
    ("EJ46", "J4601", "E4", "0.0285 in", 0.386, (1.50, -0.36, 0.143),
     (297.7, 304.4, 312.2, 317.9, 323.8, 329.2, 336.1), ()),
    ("EJ46", "J4602", "B3", "0.0327 in", 0.522, (1.82, -0.40, 0.160),
     (219.8, 225, 230, 235, 240.6, 245.9, 251.6), ()),
    ("EJ46", "J4603", "G3", "0.041 in", 0.856, (2.34, -0.42, 0.174),
     (177.4, 181.7, 187.4, 192.8, 196.3, 200.1, 204.3), ()),
    ("EJ46", "J4604", "D3", "0.03 in", 2.007, (1.54, -0.35, 0.138),
     (132.8, 135.7, 138, 141.1, 143.5, 146.5, 149.1), ()),
    ("EJ46", "J4605", "A2", "0.036 in", 3.486, (1.88, -0.36, 0.147),
     (98.7, 100.6, 102.9, 105.1, 107.2, 109.4, 111.5), ()),
    ("EJ46", "J4606", "E2", "0.044 in", 5.666, (2.35, -0.38, 0.158),
     (74.2, 75.7, 77.6, 79.4, 81, 82.8, 84.3), ()),
    ("EJ45FF", "J4501FF", "E4", "0.024 in", 0.464, (1.23, -0.33, 0.132),
     (291.7, 297.5, 304.4, 310.5, 315.9, 320.7, 327.1), ()),
    ("EJ45FF", "J4502FF", "B3", "0.0272 in", 0.607, (1.53, -0.40, 0.158),
     (215, 220.4, 226.7, 232.3, 236.1, 241.8, 246.5), ()),
    ("EJ45FF", "J4503FF", "G3", "0.0331 in", 0.893, (1.86, -0.41, 0.164),
     (174, 179.1, 183.5, 188.5, 192.5, 195.8, 199.9), ()),
    ("EJ45FF", "J4504FF", "D3", "0.028 in", 1.643, (1.51, -0.37, 0.148),
     (131.9, 134.8, 138.1, 141.2, 143.9, 146.5, 149.3), ()),
    ("EJ45FF", "J4505FF", "A2", "0.035 in", 3.089, (1.96, -0.41, 0.164),
     (98.2, 100.5, 102.7, 105, 107.8, 110.2, 112.5), ()),
    ("EJ45FF", "J4506FF", "E2", "0.044 in", 5.715, (2.24, -0.35, 0.145),
     (73.8, 76, 77.6, 79.2, 80.8, 81.9, 83.5), ()),
)

# Numbers printed in the figures: rms of a set uncompensated, with each string's own set-backs, with their mean; mean set-backs.
SETS = {"EJ43": (4.71, 0.23, 1.11, 2.28, -0.55), "EJ45": (3.65, 0.16, 0.65, 1.88, -0.38), "EJ46": (3.66, 0.15, 0.56, 1.90, -0.38),
        "EJ45FF": (3.40, 0.15, 0.53, 1.72, None)}

SET_BACK_MM = 0.0051  # printed to 0.01 mm
CENTS = 0.00051  # printed to 0.001 cent
SET_CENTS = 0.0051  # printed to 0.01 cent
MEAN_MM = 0.0101  # printed to 0.01 mm, and the authors' common set-back is the mean where ours is the least of the squares


def commission(name):
    """A flat board with parallel lanes, so that every string stands over the tops as in the paper."""
    rise = 4.0 / 650
    near, far = 1 + rise * 650 * (1 - 2 ** (-1 / 12)), 1 + rise * 325
    rows = []
    for _, _, note, gauge, weight, _, hertz, spreads in (row for row in STRINGS if row[0] == name):
        readings = [{"length": drawn, "hertz": f} | ({"spread": spreads[k]} if spreads else {}) for k, (drawn, f) in enumerate(zip(DRAWN_MM, hertz))]
        told = ", ".join("{ " + ", ".join(f"{key} = {value}" for key, value in reading.items()) + " }" for reading in readings)
        rows.append(f'{{ note = "{note}", gauge = "{gauge}", make = "nylon", unit_weight = "{weight} g/m", drawn = {{ readings = [ {told} ] }} }}')
    return (f'camberwright = 1\ntitle = "{name}"\n[scale]\nlength = 650\nfrets = 12\n[strings]\nnut_spread = 42\nsaddle_spread = 42\n'
            f"set = [ {', '.join(rows)} ]\n[board]\nnut_width = 52\nend_width = 52\ncrown_thickness = 6\n[camber]\nlaw = \"single\"\nradius = \"flat\"\n"
            f"[wish]\nrelief = 0\naction_at_1 = {near!r}\naction_at_12 = {{ treble = {far!r}, bass = {far!r} }}\n")


def check_play_facts(ledger):
    for name, (bare, own, mean, mean_saddle, mean_nut) in SETS.items():
        answer = run("play", "-", "--necks", 128, "--json", text=commission(name))
        ledger.holds("facts: published strings are played", answer.code == 0, f"{name}: {answer.err[:200]}")
        if answer.code:
            continue
        record = answer.record()
        got, printed = record["tuning"], [row[5] for row in STRINGS if row[0] == name]
        for key, want in (("nut_mm", 1.0), ("saddle_mm", 5.0)):
            for height in record["wished"][key]:
                ledger.near("facts: the paper's nut and saddle", height, want, f"{name}, {key}", 1e-9, "mm")
        for i, (saddle, nut, rms) in enumerate(printed):
            where = f"{name}, string {i + 1}"
            ledger.near("facts: published set-backs", got["saddle_mm"][i], saddle, f"{where}, saddle", SET_BACK_MM, "mm")
            ledger.near("facts: published set-backs", got["nut_mm"][i], nut, f"{where}, nut", SET_BACK_MM, "mm")
            left = math.sqrt(sum(c * c for c in got["cents"][i]) / 13)
            ledger.near("facts: published cents left", left, rms, where, CENTS, "cents")
        for way, want in (("uncompensated", bare), ("own", own), ("common", mean)):
            part = got if way == "own" else got[way]
            ledger.near("facts: published cents of whole sets", part["rms_cents"], want, f"{name}, {way}", SET_CENTS, "cents")
        for key, want in (("saddle_mm", mean_saddle), ("nut_mm", mean_nut)):
            if want is not None:
                ledger.near("facts: published mean set-backs", got["common"][key][0], want, f"{name}, {key}", MEAN_MM, "mm")
