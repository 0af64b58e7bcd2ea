"""Cutting programs of the whole gallery, run on a grid: `python -m tests.oracle.cutting 0.2`, and
names of designs where not all are to be run.

Each body and its further pieces, right-handed and left-handed, from files that are written afresh.
Prints the figures of each and every finding; exit status 1 where one fails or warns."""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from bodycad.exports.simulation import simulate, write_programs
from bodycad.exports.simulation_text import figures
from bodycad.script import load_design

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def main(pitch: float, names: list[str]) -> int:
    """Run the gallery, or the designs that are named."""
    bad = 0
    for path in sorted(DESIGNS.glob("*.py")):
        if path.stem.endswith("_wrong") or names and path.stem not in names:
            continue
        for hand in ("false", "true"):
            bad += _one(path, hand, pitch)
    return 1 if bad else 0


def _one(path: Path, hand: str, pitch: float) -> int:
    layout = load_design(path, [f"left_handed={hand}"]).layout()
    with tempfile.TemporaryDirectory() as folder:
        write_programs(layout, Path(folder))
        since = time.process_time()
        done = simulate(layout, folder, pitch)
        spent = time.process_time() - since
    side = "left-handed" if layout.left_handed else "right-handed"
    print(f"{layout.name}, {side}: {done.report.verdict}, {spent:.1f} s", flush=True)
    for one in done.pieces:
        print(*(f"  {row}" for row in figures(one)), sep="\n", flush=True)
    wrong = [f for f in done.findings if f.status not in ("pass", "skip")]
    for one in wrong:
        print(f"  {one.status} {one.code}: {one.text}", flush=True)
    return len(wrong)


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(float(given[0]) if given else 0.2, given[1:]))
