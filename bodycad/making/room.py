"""How far a figure that is measured at the bench may be off before a check fails.

Every check that can see the figure is asked of the body with that error, farther and farther, until
one fails that held as drawn; all else is as drawn.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from bodycad.chance.concern import looked
from bodycad.chance.slopes import margin, tokens
from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.runner import run
from bodycad.checks.table import ASKED
from bodycad.checks.wood.near import remembered
from bodycad.layout.layout import Layout

Off = Callable[[float], Layout]
"""The layout of a body in which a figure is more by so much, mm."""
Key = tuple[str, tuple[str, ...]]
Spares = Mapping[Key, float]

REACH = 3.0
"""What is off by more is cut anew, mm (common practice, no source)."""
PROBE, FINE, HAIR, ROUNDS = 0.2, 0.01, 1e-6, 16
"""mm by which a figure is off at first; to which its room is found; within which figures are alike;
and the most rounds."""
BROKEN = "fail", "error"
NONE: Key = "", ()


@dataclass(frozen=True)
class Side:
    """How far a figure may be off one way, mm, and the code of what fails past it; no code where
    nothing does within REACH."""

    by: float = REACH
    code: str = ""


def room(report: Report, off: Off) -> tuple[Side, Side]:
    """How much less and how much more than drawn a figure may be, with a report of all checks."""

    def find() -> tuple[Side, Side]:
        drawn = _spares(report.findings)
        try:
            asked = _seeing(report.layout, off(PROBE))
        except ValueError:  # no part has such a size
            asked = {check.name for check in ASKED}
        return _side(report, lambda by: off(-by), drawn, asked), _side(report, off, drawn, asked)

    return remembered(report.layout, ("room", off), find)


def _side(report: Report, off: Off, drawn: Spares, asked: set[str]) -> Side:
    """The room of a figure one way: where the secant foretells a fault is asked just before it,
    and just past it where it did not foretell that twice alike.
    asked: the checks that see the figure; those that it moves are asked on."""
    was, there, told = (0.0, drawn), PROBE, (math.inf, NONE)
    holds, fails, code, again = 0.0, REACH, "", False
    for _ in range(ROUNDS):
        try:
            spares, broken = _ask(report, off(there), asked)
        except ValueError:  # no part has such a size
            spares, broken = dict[Key, float](), "no part has that size"
        if broken:
            fails, code = there, broken
        else:
            holds = there
        ahead, key = _crossing(was, (there, spares))
        alike = key == told[1] and abs(ahead - told[0]) < FINE / 2.0
        if alike and holds - HAIR <= ahead < holds + FINE:
            return Side(holds, key[0])
        if fails - holds < FINE + HAIR:
            break
        if there == PROBE:
            moved = (key for key in spares if abs(spares[key] - drawn.get(key, math.inf)) > HAIR)
            asked = {key[0].partition(".")[0] for key in moved} or asked
        was, told = was if broken else (there, spares), (ahead, key)
        if code and (again or not holds < ahead < fails + FINE):
            there = (holds + fails) / 2.0  # the secant leads no farther
        elif not holds - HAIR <= ahead < REACH:
            there = REACH
        elif ahead - holds > FINE:
            there = min(ahead, fails) - FINE / 2.0
        else:
            there = max(ahead, holds) + FINE / 2.0
        again = bool(broken) and not again
    return Side(holds, code) if code else Side()


def _crossing(was: tuple[float, Spares], now: tuple[float, Spares]) -> tuple[float, Key]:
    """Where the first finding has nothing to spare any more, in proportion, and which; inf where
    none."""
    (x, before), (y, after) = was, now
    both = ((key, before[key], after[key]) for key in before.keys() & after.keys())
    ways = ((x + a * (y - x) / (a - b), key) for key, a, b in both if b < a and a >= -HAIR)
    return min(ways, default=(math.inf, NONE))


def _spares(findings: Sequence[Finding]) -> dict[Key, float]:
    """What each finding has to spare, its error bound taken off."""
    spares = dict[Key, float]()
    for f in findings:
        if f.margin is not None and not f.waiver:
            spares[f.identity] = min(margin(f), spares.get(f.identity, math.inf))
    return spares


def _ask(report: Report, built: Layout, checks: set[str]) -> tuple[dict[Key, float], str]:
    """What each finding of some checks has to spare on a body, and the code of the first that fails
    there and not as drawn."""
    drawn = {f.identity for f in report.findings if f.status in BROKEN}
    found = run(built, [check for check in ASKED if check.name in checks]).findings
    broken = (f.code for f in found if f.status in BROKEN and f.identity not in drawn)
    return _spares(found), next(broken, "")


def _seeing(layout: Layout, built: Layout) -> set[str]:
    """The checks that can see what differs."""

    def find() -> Mapping[str, frozenset[str]]:
        return {check.name: looked(layout, check)[1] for check in ASKED}

    found, reads = tokens(layout, built), remembered(layout, ("what checks read",), find)
    return {name for name, own in reads.items() if found & own}
