"""Give every public class, function and whole designs what a script may give by mistake.

    python -m tests.oracle.inputs 15000

A case takes a good value (an argument of a public function, a field of a public class, a place in
the tree of a whole design), puts something else there, and asks that the answer is a clean verdict
or one InputError: a single line of at most 400 characters, with file and line of the script. A raw
exception, a check that broke, a figure that is not finite, more than 10 s or 1 GB is a fault. Cases
run in children, a slice each; every case has a number of its own and can be drawn again alone:
`python -m tests.oracle.inputs --case 137`.
"""

from __future__ import annotations

import argparse
import inspect
import math
import multiprocessing
import random
import resource
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import bodycad
from bodycad import Design, InputError
from bodycad.declare import declarations
from bodycad.errors import LONGEST
from bodycad.kinds.value import Number
from bodycad.script import load_design
from tests.oracle.inputs_good import ANSWERS, CALLS, EXTRA, NOT_HELD, designs, with_own
from tests.oracle.inputs_odd import ODD, SLIPS

SEED = 9
SLICE = 100
MOST_SECONDS = 10.0
MOST_BYTES = 1_000_000_000
DESIGNS = 0.12
"""Share of the cases that are whole designs."""
OWN = 0.15
"""Share of those in which a part of a maker's own answers something odd."""
TWO = 0.15
"""Share of the cases with two things changed."""
FAULTS = ("raw", "broke", "not finite", "unclear", "slow", "large", "died")
SCRIPT = """from tests.oracle.inputs import spoiled


def design(case: int = {case}):
    return spoiled(case)
"""

Steps = tuple[Any, ...]
IDS = ("own", *(one.id for one in designs()["other"].parts))


@dataclass(frozen=True)
class Answer:
    """How a case ended, and in which words. seconds: of the processor."""

    case: int
    kind: str
    what: str
    words: str = ""
    seconds: float = 0.0


def held(thing: Any) -> bool:
    """Whether a class or a function is held to its declarations."""
    return bool(getattr(thing, "_held", False))


def places(value: Any, path: Steps = ()) -> Iterator[Steps]:
    """Every place in a tree of held dataclasses and tuples."""
    if path:
        yield path
    if isinstance(value, tuple):
        for k, one in enumerate(value):
            yield from places(one, (*path, k))
    elif is_dataclass(value) and held(type(value)):
        for one in fields(value):
            if one.init and (type(value).__name__, one.name) not in NOT_HELD:
                yield from places(getattr(value, one.name), (*path, one.name))


def at(value: Any, path: Steps) -> Any:
    """What stands at a place."""
    for step in path:
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value


def put(value: Any, path: Steps, new: Any) -> Any:
    """The same tree with something else at a place."""
    if not path:
        return new
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        return (*value[:step], put(value[step], rest, new), *value[step + 1 :])
    return replace(value, **{step: put(getattr(value, step), rest, new)})


def declared_span(value: Any, path: Steps) -> tuple[float, float] | None:
    """The lowest and highest number that is declared for a field."""
    if not path or isinstance(path[-1], int):
        return None
    owner = type(at(value, path[:-1]))
    kind = next((one.kind for one in declarations(owner) if one.name == path[-1]), None)
    for one in getattr(kind, "kinds", (kind,)):
        if isinstance(one, Number):
            return (one.low + 1e-9 if one.above else one.low), one.high
    return None


@cache
def good() -> tuple[Any, ...]:
    """One value of every public dataclass that a design, its layout or EXTRA holds, and more where
    they differ in kind."""
    found: dict[tuple[str, ...], Any] = {}

    def walk(value: Any) -> None:
        if isinstance(value, (tuple, list)):
            for one in value:
                walk(one)
        elif is_dataclass(value) and not isinstance(value, type):
            name = type(value).__name__
            if name in bodycad.NAMES and held(type(value)):
                kinds = (type(getattr(value, one.name)).__name__ for one in fields(value))
                found.setdefault((name, *kinds), value)
            for one in fields(value):
                walk(getattr(value, one.name))

    for design in designs().values():
        walk((design, design.shop, design.layout().pieces))
        walk((design.layout().rooms, design.layout().interfaces))
    walk(EXTRA())
    return tuple(found[key] for key in sorted(found))


@cache
def ways(name: str) -> tuple[Steps, ...]:
    """The places in the tree of a design."""
    return tuple(places(designs()[name]))


def drawn(case: int) -> tuple[str, str, Callable[[], Any]]:
    """What a case spoils, in words; how; and what makes it."""
    draw = random.Random(f"{SEED} {case}")
    if draw.random() < DESIGNS:
        if draw.random() < OWN:
            found = _spoil(draw, "design own", ANSWERS, tuple(places(ANSWERS)))
            return *found[:2], lambda: with_own(*found[2]())
        name = draw.choice(sorted(designs()))
        design, steps = designs()[name], ways(name)
        return _spoil(draw, f"design {name}", design, steps)
    if draw.random() < 0.4:
        name = draw.choice(sorted(CALLS))
        function, given = getattr(bodycad, name), CALLS[name]()
        return _spoil_call(draw, name, function, given)
    value = draw.choice(good())
    own = [(one.name,) for one in fields(value) if one.init]
    inner = [p for p in places(value) if len(p) > 1] if draw.random() < 0.5 else []
    return _spoil(draw, type(value).__name__, value, tuple(inner or own))


def _spoil(
    draw: random.Random, name: str, value: Any, steps: tuple[Steps, ...]
) -> tuple[str, str, Callable[[], Any]]:
    if not steps:
        return name, "nothing", lambda: value
    count = 2 if draw.random() < TWO else 1
    changes = []
    for _ in range(count):
        path = draw.choice(steps)
        here = at(value, path)
        number = isinstance(here, (int, float)) and not isinstance(here, bool)
        span = declared_span(value, path) if number and draw.random() < 0.3 else None
        if span is not None:
            # Whatever a declaration allows must break no check, at its ends above all.
            low, high = span
            changes.append((path, "at the limit", draw.choice((low, high, draw.uniform(*span)))))
            continue
        odd = draw.choice(SLIPS if number and draw.random() < 0.5 else sorted(ODD))
        changes.append((path, odd, ODD[odd](here, draw)))
    # The deeper one first: a place below one that is already gone is none.
    changes.sort(key=lambda change: -len(change[0]))

    def make() -> Any:
        made = value
        for path, _, new in changes:
            try:
                at(made, path)
            except (AttributeError, IndexError, TypeError):
                continue
            made = put(made, path, new)
        return made

    what = ", ".join(".".join(map(str, path)) for path, _, _ in changes)
    return f"{name}: {what}", " + ".join(odd for _, odd, _ in changes), make


def _spoil_call(
    draw: random.Random, name: str, function: Any, given: dict[str, Any]
) -> tuple[str, str, Callable[[], Any]]:
    changed, how = dict(given), []
    for key in draw.sample(sorted(given), min(2 if draw.random() < TWO else 1, len(given))):
        odd = draw.choice(sorted(ODD))
        value, path = given[key], ()
        deeper = list(places(value)) if isinstance(value, tuple) else []
        if deeper and draw.random() < 0.6:
            path = draw.choice(deeper)
        changed[key] = put(value, path, ODD[odd](at(value, path), draw))
        how.append(odd)
    return (
        f"{name}({', '.join(k for k in given if changed[k] is not given[k])})",
        " + ".join(how),
        lambda: _call(function, changed),
    )


def _call(function: Any, given: dict[str, Any]) -> Any:
    kinds = inspect.signature(function).parameters
    stars = [name for name, one in kinds.items() if one.kind is one.VAR_POSITIONAL]
    if stars:
        first = [given[n] for n in kinds if n in given and n not in stars]
        rest = given[stars[0]]
        return function(*first, *(rest if isinstance(rest, tuple) else (rest,)))
    return function(**given)


def spoiled(case: int) -> Any:
    """What the script of a case returns: a design, or a sound one where the case is none."""
    made = drawn(case)[2]()
    return made if isinstance(made, Design) else designs()["plain"]


def answer(case: int, folder: Path) -> Answer:
    """The answer to one case."""
    what, how, make = drawn(case)
    begin, before = time.process_time(), _most()
    try:
        kind, words = _asked(case, what, make, folder)
    except _Late:
        kind, words = "slow", "over 10 s"
    except InputError as fault:
        kind, words = _line(fault, what.startswith("design "))
    except MemoryError:
        kind, words = "large", "out of memory"
    except Exception as fault:
        kind, words = "raw", f"{type(fault).__name__}: {fault}"[:300]
    seconds = time.process_time() - begin
    if kind not in FAULTS and _most() > max(before, MOST_BYTES):
        kind = "large"
    return Answer(case, kind, f"{what} <- {how}", words, seconds)


def _most() -> int:
    """The most memory that this process has ever held, in bytes: what ran in it before counts."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def _asked(case: int, what: str, make: Callable[[], Any], folder: Path) -> tuple[str, str]:
    if not what.startswith("design "):
        return ("made", "") if _finite(make()) else ("not finite", "of what was made")
    path = folder / "body.py"
    path.write_text(SCRIPT.format(case=case))
    design = load_design(path)
    report = design.check()
    broken = [f.text for f in report.findings if f.status == "error" and "broke" in f.text]
    if broken:
        return "broke", broken[0][:300]
    for one in report.findings:
        figures = (one.value, one.margin)
        if any(isinstance(f, float) and math.isnan(f) for f in figures):
            return "not finite", f"{one.code} of {one.subjects}"
    return "judged", report.verdict


def _finite(made: Any) -> bool:
    """Whether what was made has figures, where it is a number, a profile or a solid."""
    if isinstance(made, float):
        return math.isfinite(made)
    for name in ("area", "volume"):
        found = getattr(made, name, 0.0)
        if isinstance(found, float) and not math.isfinite(found):
            return False
    return True


def _line(fault: InputError, scripted: bool) -> tuple[str, str]:
    words = str(fault)
    clear = len(words) <= LONGEST and words.isprintable() and fault.thing and fault.allowed
    if scripted and not fault.place:
        # What is found out only when the parts are put together names the part.
        clear = clear and any(one in words for one in IDS)
    return ("refused" if clear else "unclear"), words


class _Late(BaseException):
    """A case takes too long."""


def _late(*_: object) -> None:
    raise _Late


def _slice(cases: list[int], tell: Any) -> None:
    """Answer some cases, each told as soon as it is known."""
    resource.setrlimit(resource.RLIMIT_AS, (4 * MOST_BYTES, 4 * MOST_BYTES))
    signal.signal(signal.SIGPROF, _late)
    good(), designs()
    with tempfile.TemporaryDirectory() as folder:
        for case in cases:
            tell.send(case)
            signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
            found = answer(case, Path(folder))
            signal.setitimer(signal.ITIMER_PROF, 0.0)
            tell.send(found)
    tell.send(None)


def answers(cases: list[int], alone: bool = True) -> Iterator[Answer]:
    """The answers, in children; a child that dies is an answer too."""
    context = multiprocessing.get_context("fork")
    for k in range(0, len(cases), SLICE):
        left = cases[k : k + SLICE]
        while left:
            mine, theirs = context.Pipe()
            child = context.Process(target=_slice, args=(left, theirs))
            child.start()
            theirs.close()
            now = left[0]
            try:
                while (found := mine.recv()) is not None:
                    if isinstance(found, Answer):
                        left = left[1:]
                        yield found
                    else:
                        now = found
            except EOFError:
                left = left[1:]
                yield Answer(now, "died", drawn(now)[0], "the child is gone")
            child.join()


def main(argv: list[str]) -> int:
    """Print every fault, then how many cases ended in which way."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=500)
    parser.add_argument("--start", type=int, default=0)
    parser.add_argument("--case", type=int)
    given = parser.parse_args(argv)
    first, count = (given.case, 1) if given.case is not None else (given.start, given.count)
    counts: Counter[str] = Counter()
    slowest = 0.0
    for one in answers(list(range(first, first + count))):
        counts[one.kind] += 1
        slowest = max(slowest, one.seconds)
        if one.kind in FAULTS or given.case is not None:
            print(f"{one.case}: {one.kind}: {one.what}: {one.words}", flush=True)
    print(dict(counts), f"slowest {slowest:.1f} s")
    return int(any(counts[kind] for kind in FAULTS))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
