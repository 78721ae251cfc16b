"""Judges the files of many random commissions.

Usage: CAMBERWRIGHT=path/to/camberwright python tests/outside/judge_files.py --commissions N --seed S

Commission number i is `samples.for_files(S + i)`: run again with one seed to see a failure again. Every file is read
by its judge; every k-th commission's (`--slow-every`) are made twice and rendered, too, and its bodies and programs are
judged. Two processes share the work by default.
"""

import argparse
import sys
import time

from file_checks import PROCESSES, judge_all, judge_sample, say_what_is_lacking
from ledger import Ledger
from program import binary


def main():
    asked = _asked()
    binary()
    say_what_is_lacking()
    began, failed, ledger = time.monotonic(), 0, Ledger()
    work = [(judge_sample, asked.seed + i, asked.slow_every > 0 and i % asked.slow_every == 0) for i in range(asked.commissions)]
    for done, ((seed, _), found) in enumerate(judge_all(work, asked.processes), 1):
        bad = [(name, group.failures[0][1]) for name, group in found.groups.items() if group.failures]
        for name, where in bad:
            print(f"seed {seed}: {name}: {where}", flush=True)
        failed += bool(bad)
        ledger.take(found)
        _progress(done, len(work), failed, began)
    ledger.report_after(f"\n{len(work)} commissions from seed {asked.seed}, {time.monotonic() - began:.0f} s")
    print(f"{len(work) - failed} passed, {failed} failed")
    return 1 if failed else 0


def _asked():
    parser = argparse.ArgumentParser(description="Judges the files of many random commissions.")
    parser.add_argument("--commissions", type=int, default=100, help="how many; 100 when not given")
    parser.add_argument("--seed", type=int, default=0, help="the first commission's seed")
    parser.add_argument("--slow-every", type=int, default=11,
                        help="the slow judges for every k-th; a prime number lets them meet every kind; 0 for none; 11 when not given")
    parser.add_argument("--processes", type=int, default=PROCESSES)
    return parser.parse_args()


def _progress(done, whole, failed, began):
    if sys.stderr.isatty():
        left = (time.monotonic() - began) / done * (whole - done)
        print(f"\r{done} of {whole}, {failed} failed, {left:.0f} s left ", end="", file=sys.stderr, flush=True)
    elif done % max(1, whole // 20) == 0:
        print(f"{done} of {whole}, {failed} failed", file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
