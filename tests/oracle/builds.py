"""Random bodies built by the kernel.

    python -m tests.oracle.builds 400

asks so many random bodies what `check` asks of wood, shapes and cuts them as `build` does, writes
each one's STEP file and reads it back, and prints what was refused by cause, whether `check` had
named a place for it, checks that broke, the largest difference in volume and the time."""

from __future__ import annotations

import argparse
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from bodycad.checks.runner import run
from bodycad.checks.table import CHECKS
from bodycad.errors import BodycadError
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.solid import kernel, step, verify
from bodycad.solid.body import carved
from bodycad.solid.due import due_of, tools_of
from tests.oracle.woods import a_wood
from tests.strangers.bench import instrument

PREDICTS = frozenset({"mitre", "contour-end", "breakout", "one-piece"})
"""Checks that say of what a kernel may stumble over, and where."""
ASKED = PREDICTS | {"floor", "wall", "edge", "cutter-corner"}
"""Checks that ask about wood alone."""


@dataclass(frozen=True)
class Built:
    """What became of a body. cause: why it was refused, "" where it was built. off: how far its
    volume lies from the layout's own, as a share of that. seconds: of processor time. told: what
    was done to make it, in words. named: what `check` fails, with its place, that a kernel may
    stumble over. broken: checks that broke."""

    number: int
    cause: str
    text: str
    off: float
    seconds: float
    told: str = ""
    named: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()


def built(number: int) -> Built:
    """Build the random body of a number."""
    piece = a_wood(number)
    began = time.process_time()
    told: list[str] = []
    cause, text, off = _made(piece, told)
    seconds = time.process_time() - began
    layout = Layout("wood", {}, (piece,), instrument(), (), (), (), (), Shop())
    found = run(layout, [check for check in CHECKS if check.name in ASKED]).findings
    broken = tuple(f"{f.check}: {f.text}" for f in found if f.status == "error")
    named = tuple(
        f"{f.code} {' '.join(f.subjects)}: {f.text}"
        for f in found
        if f.status == "fail" and f.at and f.check in PREDICTS
    )
    return Built(number, cause, text, off, seconds, "; ".join(told), named, broken)


def _made(piece: Workpiece, told: list[str]) -> tuple[str, str, float]:
    try:
        tools = tools_of(piece)
        due = due_of(piece, tools)
        made = carved(piece, tools, should=lambda: due)
        told += (text for _, text in made.notes)
    except BodycadError as err:
        return "shape", str(err), 0.0
    off = abs(kernel.volume(made.solid) / due.figures.volume - 1.0)
    for found in verify.after(piece, made, tools, due):
        if found.status == "error":
            return "volume", found.text, off
    with tempfile.TemporaryDirectory() as folder:
        try:
            step.write_body(made.solid, Path(folder) / "body.step", "body", piece.thickness)
        except BodycadError as err:
            return "step", str(err), off
    return "", "", off


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.oracle.builds")
    parser.add_argument("count", nargs="?", type=int, default=400)
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args()
    found = []
    for number in range(given.first, given.first + given.count):
        one = built(number)
        found.append(one)
        if len(found) % 20 == 0:
            print(f"{len(found)} tried", flush=True)
        for text in one.broken:
            print(f"{number:5} broken   {text[:300]}", flush=True)
        if one.cause:
            said = "; ".join(one.named) or "nothing"
            print(f"{number:5} {one.cause:8} {one.text[:300]} | check names {said}", flush=True)
        elif one.told:
            print(f"{number:5} built    {one.told[:300]}", flush=True)
    causes = Counter(one.cause or "built" for one in found)
    refused = [one for one in found if one.cause]
    print(
        f"{sum(bool(one.named) for one in refused)} of {len(refused)} refused ones named by check"
    )
    print(f"{sum(bool(one.broken) for one in found)} with a check that broke")
    print("; ".join(f"{cause}: {count}" for cause, count in causes.most_common()))
    worst = max(found, key=lambda one: one.off)
    print(f"largest difference of volume {worst.off:.1e} (body {worst.number})")
    print(f"{sum(one.seconds for one in found):.0f} s of processor time")


if __name__ == "__main__":
    main()
