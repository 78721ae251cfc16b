"""A tally of comparisons by group: the worst difference of each, and what failed."""

import math
from dataclasses import dataclass, field

# Tolerances, with their reasons; none of them is ever to be widened to make a run pass.
POSITION_MM = 1e-4  # a hundredth of what a scribed line shows
DROP_MM = 1e-5  # a thousandth of the finest gauge's light
VOLUME_SHARE = 1e-5  # of the volume
ANGLE_DEG = 1e-6
RATIO = 1e-9  # plain arithmetic in double precision, with room
EXACT = 0.0

SHOWN_FAILURES = 6


@dataclass
class Group:
    """One kind of figure, its tolerance and what came of it."""

    name: str
    tolerance: float
    unit: str
    seen: int = 0
    worst: float = 0.0
    worst_where: str = ""
    failures: list = field(default_factory=list)


class Ledger:
    """Collects comparisons and prints one line a group."""

    def __init__(self):
        self.groups = {}

    def group(self, name, tolerance=EXACT, unit=""):
        return self.groups.setdefault(name, Group(name, tolerance, unit))

    def near(self, name, got, want, where, tolerance, unit):
        """Absolute difference."""
        if got is None or want is None or math.isinf(want):
            self.same(name, got, None if want is None or math.isinf(want) else want, where, tolerance, unit)
            return
        self._note(self.group(name, tolerance, unit), abs(got - want), f"{where}: program {got!r}, here {want!r}")

    def share(self, name, got, want, where, tolerance, floor=1e-3):
        """Difference as a share of the value; under `floor`, as a share of the floor."""
        scale = max(abs(want), floor)
        self._note(self.group(name, tolerance, "of the value"), abs(got - want) / scale,
                   f"{where}: program {got!r}, here {want!r}")

    def same(self, name, got, want, where, tolerance=EXACT, unit=""):
        """Equality of things that are not numbers, or of a missing value."""
        self._note(self.group(name, tolerance, unit), 0.0 if got == want else math.inf,
                   f"{where}: program {got!r}, here {want!r}")

    def holds(self, name, condition, where):
        """A plain fact."""
        self._note(self.group(name), 0.0 if condition else math.inf, where)

    def _note(self, group, difference, where):
        group.seen += 1
        if not difference <= group.tolerance:  # A NaN fails, too.
            group.failures.append((difference, where))
        if not difference <= group.worst:
            group.worst, group.worst_where = difference, where

    def position(self, name, got, want, where):
        self.near(name, got, want, where, POSITION_MM, "mm")

    def drop(self, name, got, want, where):
        self.near(name, got, want, where, DROP_MM, "mm")

    def angle(self, name, got, want, where):
        self.near(name, got, want, where, ANGLE_DEG, "deg")

    def volume(self, name, got, want, where):
        self.share(name, got, want, where, VOLUME_SHARE)

    def take(self, other):
        """Adds the comparisons of another tally."""
        for name, found in other.groups.items():
            group = self.group(name, found.tolerance, found.unit)
            group.seen += found.seen
            group.failures += found.failures
            if not found.worst <= group.worst:
                group.worst, group.worst_where = found.worst, found.worst_where

    def report_after(self, heading):
        """Prints the heading, every group and the last line; true when all is well."""
        print(heading)
        passed = failed = 0
        for group in self.groups.values():
            good = not group.failures
            passed, failed = passed + good, failed + (not good)
            worst = f"worst {group.worst:.2e} {group.unit}, bound {group.tolerance:.0e}" if group.tolerance else "exact"
            print(f"{'ok  ' if good else 'FAIL'} {group.name}: {group.seen} compared, {worst}")
            if not good:
                print(f"     {len(group.failures)} differ, the first of them:")
                for _, where in group.failures[:SHOWN_FAILURES]:
                    print(f"     - {where}")
        print(f"{passed} passed, {failed} failed")
        return failed == 0
