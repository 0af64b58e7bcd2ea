"""First scripts of `bodycad new`, laid out and checked: every pair of answers at least once.

`python -m tests.starts [N]` makes sets of answers until each pair of answers that the kit can make
together has been tried (about 150 sets, a few seconds each), or N of them; it prints what fails or
warns and ends with a count."""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import bodycad
from bodycad.errors import InputError
from bodycad.script import load, make
from bodycad.starting.answers import (
    BRIDGES,
    COUNTS,
    JOINTS,
    MOUNTS,
    PICKUPS,
    SWITCHES,
    Answers,
)
from bodycad.starting.possible import settled
from bodycad.starting.script import script_text

CHOICES: dict[str, tuple[Any, ...]] = {
    "strings": COUNTS,
    "joint": tuple(JOINTS),
    "bridge": tuple(BRIDGES),
    "pickups": (
        *((kind,) for kind in PICKUPS),
        *((kind,) * 2 for kind in PICKUPS),
        *((kind,) * 3 for kind in PICKUPS if kind != "split"),
        *(("small", "humbucker"), ("single", "soapbar"), ("humbucker", "single", "single")),
    ),
    "mount": ("", *MOUNTS),
    "volumes": (1, 2, 3),
    "tones": (0, 1, 2),
    "switch": tuple(SWITCHES),
    "frets": (0, 20, 24),
    "left_handed": (False, True),
}


def pairs(given: Answers) -> set[tuple[tuple[str, Any], tuple[str, Any]]]:
    """Every two answers of a set."""
    rows = [(name, getattr(given, name)) for name in CHOICES]
    return set(combinations(rows, 2))


def sets(most: int, seed: int = 0) -> Iterator[Answers]:
    """Sets of answers that the kit can make, each with the most pairs that were not in one before
    of 200 drawn; until 200 drawn bring no new pair."""
    rng, seen = random.Random(seed), set()
    for _ in range(most):
        best, new = None, set()
        for _ in range(200):
            one = Answers(**{name: rng.choice(words) for name, words in CHOICES.items()})
            try:
                settled(one)
            except InputError:
                continue
            fresh = pairs(one) - seen
            if len(fresh) > len(new):
                best, new = one, fresh
        if best is None:
            return
        seen |= new
        yield best


def main(most: int) -> int:
    """The number of sets that fail."""
    counts = dict.fromkeys(("pass", "warn", "fail"), 0)
    for given in sets(most):
        text = script_text("wren", settled(given), bodycad.NAMES).encode()
        try:
            report = make(load(Path("wren.py"), text, {"sizes": None})).check()
        except InputError as error:
            print(f"fail {given}\n    {error}", flush=True)
            counts["fail"] += 1
            continue
        counts[report.verdict] += 1
        if report.verdict != "pass":
            print(f"{report.verdict} {given}", flush=True)
        for one in report.findings:
            if one.status in ("warn", "fail", "error"):
                print(f"    {one.status} {one.code}: {one.text[:120]}", flush=True)
    print(counts)
    return counts["fail"]


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000) > 0)
