"""Checks what the program prints against figures computed apart from it; see README.md.

Usage: CAMBERWRIGHT=path/to/camberwright python tests/outside/check_figures.py
"""

import os
import sys
import tempfile
import time
import tomllib
from pathlib import Path

# Two processes judge side by side: each reckons on its own core. It counts before numpy comes in.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import samples
from bill import check_bill
from facts import check_facts
from file_checks import check_judges_are_there, file_works, judge_all, say_what_is_lacking
from file_hostile import check_hostile_files
from hostile import check_hostile
from ledger import Ledger
from plan_checks import check_plan
from play_checks import check_play
from play_facts import check_play_facts
from play_hostile import check_play_hostile
from play_wood import check_play_wood
from program import binary, run
from readings_checks import check_readings
from readings_hostile import check_readings_hostile
from schemas import check_schemas
from sheet_checks import check_sheet

DEMO = Path(__file__).resolve().parents[2] / "demo"
SAMPLE_COUNT = 60


def main():
    binary()
    say_what_is_lacking()
    began, ledger = time.monotonic(), Ledger()
    with tempfile.TemporaryDirectory() as name:
        # What takes longest begins first, so that no process is left alone at the end.
        for _, found in judge_all([*file_works(), *((_part, number, name) for number in range(len(PARTS)))]):
            ledger.take(found)
    return 0 if ledger.report_after(f"{time.monotonic() - began:.0f} s") else 1


def _part(ledger, number, name):
    """One of the parts, in a folder of its own."""
    folder = Path(name) / str(number)
    folder.mkdir()
    PARTS[number](ledger, folder)


def _check_boards(ledger, folder):
    """Sheets and plans of every commission, and the schemas with them."""
    kits, commissions = _kits(folder), _commissions()
    for index, (title, text) in enumerate(commissions):
        _check_one(ledger, folder, title, text, _chosen(index, title, kits))
    check_schemas(ledger, commissions, [(title, text) for title, (_, text) in kits.items()])


def _check_facts(ledger, folder):
    check_facts(ledger, folder / "facts_kit.toml")
    check_play_facts(ledger)


PARTS = [
    _check_boards, check_play, check_play_wood, check_readings, check_readings_hostile, check_play_hostile, check_hostile, check_hostile_files,
    _check_facts, check_judges_are_there, check_bill,
]


def _kits(folder):
    """Name to (path, text): the demo kit and the generated ones."""
    texts = {"demo": (DEMO / "north-bench.toml").read_text(encoding="utf-8")} | samples.kits()
    made = {}
    for number, (title, text) in enumerate(texts.items()):
        path = folder / f"kit{number}.toml"
        path.write_text(text, encoding="utf-8")
        made[title] = (path, text)
    return made


def _commissions():
    demo = [(path.stem, path.read_text(encoding="utf-8")) for path in sorted(DEMO.glob("*.toml"))]
    demo = [(title, text) for title, text in demo if "camberwright" in tomllib.loads(text)]
    return demo + samples.special() + [(f"sample {seed}", samples.commission(seed)) for seed in range(SAMPLE_COUNT)]


def _chosen(index, title, kits):
    """Two kits for a sample, so that each kit meets many boards; every kit for a demo or a special commission."""
    names = list(kits)
    if not title.startswith("sample"):
        return [(name, *kits[name]) for name in names]
    return [(name, *kits[name]) for name in (names[index % len(names)], names[(3 * index + 7) % len(names)])]


def _check_one(ledger, folder, title, text, chosen):
    path = folder / "commission.toml"
    path.write_text(text, encoding="utf-8")
    for number, (kit_name, kit_path, kit_text) in enumerate(chosen):
        kit = tomllib.loads(kit_text)
        if number == 0:
            answer = run("sheet", path, "--kit", kit_path, "--json")
            ledger.holds("sheets are printed", answer.code == 0, f"{title}: exit {answer.code} {answer.err[:300]}")
            if answer.code != 0:
                return
            board = check_sheet(ledger, title, text, answer.record(), kit)
        answer = run("plan", path, "--kit", kit_path, "--json")
        where = f"{title}, kit {kit_name}"
        # Exit 1 says that the kit cannot finish the board; the plan is printed none the less.
        ledger.holds("plans are printed", answer.code in (0, 1), f"{where}: exit {answer.code} {answer.err[:300]}")
        if answer.code in (0, 1):
            plan = answer.record()
            ledger.same("exit code tells whether the kit finishes", answer.code == 0, plan["reaches_finish"], where)
            check_plan(ledger, where, board, kit, plan)


if __name__ == "__main__":
    sys.exit(main())
