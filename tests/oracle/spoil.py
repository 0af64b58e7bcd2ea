"""Spoil one number of a sound body, and ask the judge and `check` what they make of it.

    python -m tests.oracle.spoil 500

prints every wrong pass: a spoiling that the judge calls ruined and that `check` lets pass. A new
warning about that very thing (of a part that the ruin is about) is no pass, and is counted apart;
a warning that the unspoiled body has is none.

One number is a coordinate or turn of a placed part, a size or depth of a part, of the neck, of the
skin or of a contour, or a parameter of the script. Every case has a number of its own, so that any
can be drawn again alone: `python -m tests.oracle.spoil --case 137`.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib.util
import inspect
import math
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from bodycad import Design, InputError
from bodycad.checks.report import Report
from tests.oracle.bodies import dovecote, skerry, stranger
from tests.oracle.judge.ruin import Ruin
from tests.oracle.judge.verdict import ruins
from tests.oracle.judge.wood import Skin

SEED = 20
DEMO = Path(__file__).resolve().parents[2] / "designs" / "teasel.py"
TURNS = ("turn_deg", "angle_deg", "tilt_deg", "fall_deg")
DEPTHS = ("depth", "leave", "wood", "panel", "height", "over", "deep", "slot", "seat", "z")
LEFT_OUT = {
    *("strings", "poles", "frets", "flipped", "equal", "modulus_gpa", "straight_fret"),
    *("left_handed", "bundle", "kg", "tolerance", "strings_count", "magnets", "count"),
}
"""Counts, words and what reaches no wood."""


@cache
def bodies() -> dict[str, Callable[..., Design]]:
    """The scripts' `design` functions by name."""
    spec = importlib.util.spec_from_file_location("teasel_to_spoil", DEMO)
    assert spec is not None and spec.loader is not None
    demo = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(demo)
    found = {"teasel": demo, "dovecote": dovecote, "skerry": skerry, "stranger": stranger}
    return {name: module.design for name, module in found.items()}


Path_ = tuple[Any, ...]


def numbers(value: Any, path: Path_ = ()) -> Iterator[tuple[Path_, float]]:
    """Every number of a tree of dataclasses and tuples, with the way to it."""
    if isinstance(value, (bool, str)) or value is None:
        return
    if isinstance(value, (int, float)):
        yield path, float(value)
    elif isinstance(value, tuple):
        for k, one in enumerate(value):
            yield from numbers(one, (*path, k))
    elif is_dataclass(value) and hasattr(value, "vertices") is False:
        for one in fields(value):
            if one.init and one.name not in LEFT_OUT:
                yield from numbers(getattr(value, one.name), (*path, one.name))


def put(value: Any, path: Path_, number: float) -> Any:
    """The same tree with one number changed."""
    if not path:
        return number
    first, rest = path[0], path[1:]
    if isinstance(value, tuple):
        return (*value[:first], put(value[first], rest, number), *value[first + 1 :])
    return replace(value, **{first: put(getattr(value, first), rest, number)})


@dataclass(frozen=True)
class Spoiling:
    """One number of one body: where it is, what it was and what it became."""

    body: str
    group: str
    path: Path_
    was: float
    now: float

    def __str__(self) -> str:
        way = ".".join(map(str, self.path))
        return f"{self.body} {self.group} {way}: {self.was:.4g} -> {self.now:.4g}"


def groups(design: Design, script: dict[str, float]) -> dict[str, list[tuple[Path_, float]]]:
    """The numbers that may be spoiled, by what they belong to."""
    found: dict[str, list[tuple[Path_, float]]] = {}
    for k, placed in enumerate(design.parts):
        own = list(numbers(placed.part, ("parts", k, "part")))
        if not hasattr(placed.part, "start"):
            # A place is as likely as all sizes together: it is what is moved at the bench.
            place = list(numbers(placed.place, ("parts", k, "place")))
            found[f"{placed.id} (place)"] = place
        found[placed.id] = own
    found["neck of the instrument"] = [
        *numbers(design.instrument.neck, ("instrument", "neck")),
        (("instrument", "bridge_spread"), float(design.instrument.bridge_spread)),
    ]
    skin = [(("skin", "thickness"), float(design.skin.thickness))]
    for face in ("front", "back"):
        skin += numbers(getattr(design.skin, face), ("skin", face))
    found["skin"] = skin
    for k, contour in enumerate(design.skin.contours):
        found[contour.id] = list(numbers(contour.carve, ("skin", "contours", k, "carve")))
    if script:
        found["script"] = [((name,), value) for name, value in script.items()]
    return {name: own for name, own in found.items() if own}


def drawn(number: int, seed: int = SEED) -> tuple[Spoiling, Callable[[], Design]]:
    """The spoiling of that number, and what makes the spoiled design (InputError where none)."""
    rng = np.random.default_rng([seed, number])
    made = bodies()
    name = list(made)[number % len(made)]
    script = {
        p.name: float(p.default)
        for p in inspect.signature(made[name]).parameters.values()
        if isinstance(p.default, float)
    }
    design = sound(name)
    table = groups(design, script)
    mark = f"{seed}/{number}"
    group = min(table, key=lambda one: _lot(mark, one))
    path, was = min(table[group], key=lambda one: _lot(mark, ".".join(map(str, one[0]))))
    now = was + _change(rng, path, was)
    spoiling = Spoiling(name, group, path, was, now)
    if group == "script":
        return spoiling, lambda: made[name](**{path[0]: now})
    return spoiling, lambda: put(design, path, now)


def _lot(mark: str, name: str) -> bytes:
    """A lot for each name: a field that is added to a part takes only the cases it draws best."""
    return hashlib.blake2b(f"{mark}/{name}".encode(), digest_size=8).digest()


def _change(rng: np.random.Generator, path: Path_, was: float) -> float:
    words = [str(p) for p in path]
    sign = float(rng.choice([-1.0, 1.0]))
    if any(w in TURNS for w in words):
        return sign * _between(rng, 0.3, 12.0)
    if "place" in words or "origin" in words or "start" in words or "end" in words:
        return sign * _between(rng, 0.5, 30.0)
    if any(w.endswith(d) for w in words for d in DEPTHS):
        return sign * _between(rng, 0.4, 15.0)
    if abs(was) < 1.0:
        return sign * _between(rng, 0.1, 3.0)
    return sign * min(_between(rng, 0.02, 0.5) * abs(was), 40.0)


def _between(rng: np.random.Generator, low: float, high: float) -> float:
    return math.exp(float(rng.uniform(math.log(low), math.log(high))))


@cache
def sound(name: str) -> Design:
    """The unspoiled body."""
    return bodies()[name]()


@cache
def warned(name: str) -> frozenset[tuple[str, tuple[str, ...]]]:
    """What the unspoiled body is warned of."""
    return frozenset(f.identity for f in sound(name).check().findings if f.status == "warn")


@cache
def skin_of(name: str) -> Skin:
    """The judge's picture of the unspoiled skin."""
    return Skin(sound(name).skin)


@dataclass(frozen=True)
class Outcome:
    """What became of one spoiling. word: "sound", "refused" (no layout at all), "failed",
    "failed elsewhere" (ruined, and failing for another part), "warned" or "passed"."""

    number: int
    spoiling: Spoiling
    word: str
    ruined: tuple[Ruin, ...] = ()
    said: tuple[str, ...] = ()

    def __str__(self) -> str:
        lines = [f"case {self.number}: {self.spoiling}: {self.word}"]
        lines += [f"    ruined: {one}" for one in self.ruined[:6]]
        lines += [f"    check: {one}" for one in self.said[:6]]
        return "\n".join(lines)


def outcome(number: int, seed: int = SEED, quick: bool = False) -> Outcome:
    """Spoil, judge and check one case. `quick`: what `check` fails is not judged."""
    spoiling, make = drawn(number, seed)
    try:
        design = make()
        layout = design.layout()
    except InputError as error:
        return Outcome(number, spoiling, "refused", (), (str(error),))
    report = design.check()
    if quick and report.verdict == "fail":
        return Outcome(number, spoiling, "failed, not judged", (), _said(report, spoiling.body))
    plain = sound(spoiling.body)
    skin = skin_of(spoiling.body) if design.skin is plain.skin else None
    found = tuple(ruins(layout, skin))
    if not found:
        word = "sound" if report.verdict != "fail" else "sound, yet failed"
        return Outcome(number, spoiling, word, (), _said(report, spoiling.body))
    fails = [f for f in report.findings if f.status in ("fail", "error")]
    warns = [
        f for f in report.findings if f.status == "warn" and f.identity not in warned(spoiling.body)
    ]
    about = {_stem(s) for one in found for s in one.subjects}
    if fails:
        near = any(_about(f.subjects, about) for f in fails)
        word = "failed" if near else "failed elsewhere"
    elif any(_about(f.subjects, about) for f in warns):
        word = "warned"
    else:
        word = "passed"
    return Outcome(number, spoiling, word, found, _said(report, spoiling.body))


def _said(report: Report, body: str) -> tuple[str, ...]:
    return tuple(
        f"{f.status} {f.code} {' / '.join(map(str, f.subjects))} {f.value}"
        for f in report.findings
        if f.status in ("fail", "error") or (f.status == "warn" and f.identity not in warned(body))
    )


def _stem(subject: str) -> str:
    """The part that an id belongs to, as far as ids say: its first word, or two of a pickup's."""
    words = str(subject).split(".")
    return ".".join(words[:2]) if words[0] in ("pickup", "wire", "strap", "contour") else words[0]


def _about(subjects: tuple[str, ...], about: set[str]) -> bool:
    return any(_stem(s) in about for s in subjects)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.oracle.spoil")
    parser.add_argument("count", nargs="?", type=int, default=500)
    parser.add_argument("--first", type=int, default=0, help="the first case's number")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--case", type=int, help="one case alone, told in full")
    parser.add_argument("--quick", action="store_true", help="judge only what check lets pass")
    parser.add_argument("--all", action="store_true", help="tell every ruined case")
    given = parser.parse_args()
    if given.case is not None:
        print(outcome(given.case, given.seed))
        return
    began, told = time.process_time(), Counter[str]()
    for number in range(given.first, given.first + given.count):
        one = outcome(number, given.seed, given.quick)
        told[one.word] += 1
        if one.word == "passed" or (given.all and one.word not in ("sound", "refused")):
            print(one, flush=True)
    print(", ".join(f"{n} {word}" for word, n in sorted(told.items())))
    print(f"{time.process_time() - began:.0f} s of processor time")


if __name__ == "__main__":
    main()
