"""`string-clearance`: each pickup's poles under the strings, pressed at the last fret."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

from bodycad.checks.finding import Finding, Several, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.pickups import outer
from bodycad.checks.rules.seated import held, unasked
from bodycad.checks.strings_served import running
from bodycad.geometry.solids.solid import Point3
from bodycad.instrument.lines import StringLine
from bodycad.instrument.serve import across, serve
from bodycad.layout.interface import Fit, Poles
from bodycad.layout.layout import Layout
from bodycad.words import FitKind

PAGE = Page(
    asks="With the pickup at rest, how much air is between its poles and the outer strings that "
    "run over them, pressed at the last fret: least and most?",
    why="A string that is pressed at the last fret comes nearest. Common practice, no source: 1.6 "
    "to 2.5 mm for a two-coil pickup, to 4 mm for one with strong magnets or under a bass. Nearer, "
    "a string that swings strikes the pole; farther, the pickup hears little.",
    limits=("string-clearance", "string-clearance.most"),
    cures="Rest the pickup lower or higher (its route must be as deep as that wants), or change "
    "the pocket's depth.",
)


def string_clearance(layout: Layout) -> Iterator[Finding]:
    """Of each pickup, for the outer of the strings over it: least and most air over its poles."""
    stated = layout.stated(Poles)
    if not stated:
        yield skip("string-clearance", "this design has no pickups")
        return
    yield from unasked(layout, "string-clearance", pocketed=False)
    for neck in held(layout)[:1]:
        seat, lines = neck.seat, running(layout)
        for part in dict.fromkeys(poles.part for poles in stated):
            rows = [
                (seat.pressed(line.number, spot[0])[2] - spot[2], line, spot)
                for poles in stated
                if poles.part == part
                for line, spot in _served(lines, poles)
            ]
            if rows:
                yield from _judged(layout, part, rows)
            else:
                words = f"no string runs over the poles of {part}"
                yield passed("string-clearance.none", (part,), words)


def _served(lines: Mapping[int, StringLine], poles: Poles) -> Iterator[tuple[StringLine, Point3]]:
    """Each pole with its string; each end of a bar with the nearer of its outer strings."""
    if poles.bar:
        two = outer(lines, poles)
        for spot in poles.points:
            yield two[across(two, spot[:2]) > 0.5], spot
        return
    served = serve(list(lines.values()), [spot[:2] for spot in poles.points], poles.strings)
    for line, spot in zip(served, poles.points, strict=True):
        if line is not None:
            yield line, spot


def _judged(
    layout: Layout, part: str, rows: list[tuple[float, StringLine, Point3]]
) -> Iterator[Finding]:
    numbers = [line.number for _, line, _ in rows]
    travel = min(
        (
            fit.below
            for fit in layout.stated(Fit)
            if fit.part == part and fit.kind == FitKind.PICKUP and fit.below is not None
        ),
        default=0.0,
    )
    for number in dict.fromkeys((min(numbers), max(numbers))):
        own = [row for row in rows if row[1].number == number]
        subjects, pressed = (part, f"string.{number}"), "pressed at the last fret"
        of: Several = partial(list, [air for air, _, _ in own])
        for code, (air, _, (x, y, z)), cure in (
            ("string-clearance", min(own, key=_air), f"rest {part} lower"),
            ("string-clearance.most", max(own, key=_air), f"rest {part} higher"),
        ):
            side = "under" if air >= 0.0 else "above"
            words = f"a pole of {part} lies {abs(air):.2f} mm {side} string {number}, {pressed}"
            words += f"; {air + travel:.2f} mm under it when lowered {travel:g} mm"
            at = ((x, y, z), (x, y, z + air))
            yield judge(subjects, air, layout.shop.limit(code), words, cure, at=at, of=of)


def _air(row: tuple[float, StringLine, Point3]) -> float:
    return row[0]
