"""Running the program under test."""

import json
import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

LIMIT_S = 2.0  # no text, however odd, may hold the program longer
HARD_STOP_S = 20.0


@dataclass
class Answer:
    """What one run gave."""

    code: int
    out: str
    err: str
    seconds: float

    def record(self):
        return json.loads(self.out)


def binary():
    """The program's path, from the environment variable CAMBERWRIGHT."""
    path = os.environ.get("CAMBERWRIGHT")
    if not path or not Path(path).is_file():
        sys.exit("set CAMBERWRIGHT to the program's path, for example target/release/camberwright")
    return str(Path(path).resolve())


def run(*arguments, text=None):
    """Runs the program; `text` (str or bytes) goes to its standard input."""
    data = text.encode() if isinstance(text, str) else text
    start = time.monotonic()
    try:
        done = subprocess.run([binary(), *map(str, arguments)], input=data, capture_output=True, timeout=HARD_STOP_S)
    except subprocess.TimeoutExpired:
        return Answer(-999, "", "no answer in time", time.monotonic() - start)
    return Answer(done.returncode, done.stdout.decode(errors="replace"), done.stderr.decode(errors="replace"),
                  time.monotonic() - start)
