"""Second opinions on random bodies.

    python -m tests.oracle.suite 300

lays out so many random bodies, asks `check` and the exports for their figures, has other libraries
give the same, and prints the largest difference of each kind."""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

from tests.oracle.figures import TOLERANCE, Pair, pairs
from tests.oracle.layouts import a_design

SUMMED, MESHED = 5, 30
"""Of every so many bodies one is summed up to volumes, one meshed by the kernel."""


def compared(first: int, count: int, glb: bool = True) -> dict[str, list[Pair]]:
    """The figures of so many bodies by kind."""
    found: dict[str, list[Pair]] = {kind: [] for kind in TOLERANCE}
    for number in range(first, first + count):
        report = a_design(number).check()
        broken = [f for f in report.findings if f.status == "error"]
        assert not broken, (number, broken[0].code, broken[0].text)
        for pair in pairs(report, number % SUMMED == 0, glb and number % MESHED == 0):
            found[pair.kind].append(replace(pair, what=f"body {number}: {pair.what}"))
    return found


def table(found: dict[str, list[Pair]]) -> str:
    """How many figures of each kind, the largest difference, and where."""
    rows = [f"{'kind':14} {'figures':>8} {'largest':>10} {'allowed':>9}  where"]
    for kind, own in found.items():
        if not own:
            rows.append(f"{kind:14} {0:8}")
            continue
        worst = max(own, key=lambda p: p.off)
        allowed = TOLERANCE[kind]
        rows.append(f"{kind:14} {len(own):8} {worst.off:10.2g} {allowed:9.2g}  {worst}")
    return "\n".join(rows)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.oracle.suite")
    parser.add_argument("count", nargs="?", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args()
    began = time.process_time()
    print(table(compared(given.first, given.count)))
    print(f"{time.process_time() - began:.0f} s of processor time")


if __name__ == "__main__":
    main()
