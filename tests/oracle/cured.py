"""Spoil one number of a sound body, and ask whether `cures` undoes it.

    python -m tests.oracle.cured 30

prints every spoiling of which a finding that fails for it gets no cure, or one that changes more
than undoing would: a number that a maker is less willing to change, or no less willing, by more.

Each case is a script of its own: the body with some of its numbers as parameters, the spoiled one
among them. A case is drawn as `tests.oracle.spoil` draws it; `--case 137` draws it again alone.
"""

from __future__ import annotations

import argparse
import os
import resource
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bodycad import Design, InputError
from bodycad.cure.number import SPAN, Reluctance, numbers
from bodycad.cure.reluctance import meaning
from bodycad.cure.search import Told, cures
from bodycad.script import load, make
from bodycad.units import Size
from tests.oracle.spoil import Path_, Spoiling, drawn, groups, put, sound, warned

OTHERS = 7
"""So many numbers may be changed beside the spoiled one."""
SECONDS = 2.0
SCRIPT = """
from tests.oracle.cured import changed

def design({parameters}):
    return changed({body!r}, {paths!r}, ({names},))
"""


def at(value: Any, path: Path_) -> Any:
    """What a path leads to."""
    for step in path:
        value = value[step] if isinstance(value, tuple) else getattr(value, step)
    return value


def changed(body: str, paths: tuple[Path_, ...], values: tuple[float, ...]) -> Design:
    """A sound body with other numbers at those paths, each with its origin and tolerance."""
    design = sound(body)
    for path, value in zip(paths, values):
        own = at(design, path)
        if float(own) != value:
            kept = Size(value, own.origin, own.tolerance) if isinstance(own, Size) else value
            design = put(design, path, kept)
    return design


@dataclass(frozen=True)
class Case:
    """A spoiled script: what was spoiled, its text, and the settings that spoil it."""

    number: int
    spoiling: Spoiling
    text: str
    settings: dict[str, float]


def case(number: int) -> Case | None:
    """The case of that number; None where the spoiling is none of one number that a maker would
    change, or is farther than any cure goes."""
    spoiling, _ = drawn(number)
    design = sound(spoiling.body)
    if spoiling.group == "script" or abs(spoiling.now - spoiling.was) > SPAN:
        return None
    rows = [path for own in groups(design, {}).values() for path, _ in own]
    rows = [p for p in rows if p != spoiling.path and type(at(design, p)) is not int]
    rng = np.random.default_rng([7, number])
    picked = [rows[k] for k in sorted(rng.choice(len(rows), OTHERS, replace=False))]
    paths = (spoiling.path, *picked)
    names = [f"n{k}" for k in range(len(paths))]
    parameters = ", ".join(f"{n}: float = {float(at(design, p))!r}" for n, p in zip(names, paths))
    text = SCRIPT.format(
        parameters=parameters, body=spoiling.body, paths=paths, names=", ".join(names)
    )
    return Case(number, spoiling, text, {"n0": spoiling.now})


@dataclass(frozen=True)
class Result:
    """What became of a case: "cured", "farther" or "missed", with what was told."""

    case: Case
    word: str
    seconds: float
    told: tuple[Told, ...]

    def __str__(self) -> str:
        head = f"case {self.case.number}: {self.case.spoiling}: {self.word}, {self.seconds:.1f} s"
        rows = (
            f"    {t.finding.code} {'/'.join(t.finding.subjects)}: {t.words}" for t in self.told
        )
        return "\n".join((head, *rows))


def result(one: Case, seconds: float = SECONDS) -> Result | None:
    """What cures a case; None where nothing fails for it, or no cure may touch its number."""
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "spoiled.py"
        path.write_text(one.text)
        script = load(path)
        try:
            spoiled = make(script, one.settings)
            report = spoiled.check()
        except InputError:
            return None
        kinds = {}
        for number in numbers(script, one.settings):
            try:
                other = make(script, {**one.settings, number.name: number.moved(number.step)})
                kinds[number.name] = meaning(spoiled, other)[0]
            except InputError:
                kinds[number.name] = Reluctance.FREE
        if report.verdict != "fail" or kinds["n0"] is Reluctance.NEVER:
            return None
        start = time.monotonic()
        told = cures(report, script, one.settings, seconds)
        spent = time.monotonic() - start
    failing = tuple(t for t in told if t.finding.status == "fail")
    back = abs(one.spoiling.now - one.spoiling.was)
    now = {n.name: n.now for n in numbers(script, one.settings)}
    known = warned(one.spoiling.body)  # undone, these would warn still
    words = {_word(t, kinds, now, back + SPAN * (t.finding.identity in known)) for t in failing}
    word = next((w for w in ("missed", "farther") if w in words), "cured")
    return Result(one, word, spent, failing)


def _word(told: Told, kinds: dict[str, Reluctance], now: dict[str, float], back: float) -> str:
    if told.change is None:
        return "missed"
    name, value = told.change
    nearer = abs(value - now[name]) <= back + 0.05
    return (
        "cured"
        if kinds[name] < kinds["n0"] or (kinds[name] == kinds["n0"] and nearer)
        else "farther"
    )


def results(count: int, first: int = 0, seconds: float = SECONDS) -> Iterator[Result]:
    """The first so many cases that fail, from a number on."""
    number = first
    while count:
        one = case(number)
        found = None if one is None else result(one, seconds)
        number += 1
        if found is not None:
            count -= 1
            yield found


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.oracle.cured")
    parser.add_argument("count", nargs="?", type=int, default=30)
    parser.add_argument("--first", type=int, default=0, help="the first case's number")
    parser.add_argument("--seconds", type=float, default=SECONDS, help="for each search")
    parser.add_argument("--case", type=int, help="one case alone, told in full")
    parser.add_argument("--all", action="store_true", help="tell every case")
    given = parser.parse_args()
    if given.case is not None:
        one = case(given.case)
        print(None if one is None else result(one, given.seconds))
        return
    words, slowest = Counter[str](), 0.0
    for one in results(given.count, given.first, given.seconds):
        words[one.word] += 1
        slowest = max(slowest, one.seconds)
        if one.word != "cured" or given.all:
            print(one, flush=True)
    print(", ".join(f"{n} {word}" for word, n in sorted(words.items())))
    print(f"the longest search took {slowest:.1f} s")
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    each = (spent.ru_utime + spent.ru_stime) / max(sum(words.values()), 1)
    load, cores = os.getloadavg()[0], os.cpu_count() or 1
    print(f"{each:.1f} s of processor time each, {load:.0f} processes for {cores} processors")


if __name__ == "__main__":
    main()
