"""The strings in an upright section: open, and pressed at the last fret."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from bodycad.checks.rules.seated import held
from bodycad.checks.strings_served import running
from bodycad.exports.sections.slice import Point
from bodycad.instrument.lines import StringLine
from bodycad.instrument.neck import last_fret_x
from bodycad.layout.layout import Layout

ALONG = math.cos(math.radians(30.0))
"""A section within 30 degrees of a string shows it as a line beside it, not cut across."""

BESIDE = 20.0
"""A string farther than this (mm) beside a section is not drawn in it: it would seem to meet what
stands there."""


@dataclass(frozen=True)
class Trace:
    """A string in a section: its number, half its gauge, whether it is pressed, and its points (s,
    z), mm; one point where the section cuts it across."""

    number: int
    radius: float
    pressed: bool
    points: tuple[Point, ...]


def traces(layout: Layout, one: Point, two: Point) -> tuple[Trace, ...]:
    """The strings that the section from `one` to `two` cuts across; along the strings, the nearest
    on each side of it, within BESIDE. None where no joint says how high they run."""
    seated, length = held(layout), math.dist(one, two)
    if not seated:
        return ()
    way = (two[0] - one[0]) / length, (two[1] - one[1]) / length
    seat, found = seated[0].seat, list[Trace]()
    for line, xs in _shown(layout, one, way, length):
        radius = layout.instrument.strings[line.number - 1].gauge / 2.0
        for pressed, at in ((False, seat.string), (True, seat.pressed)):
            points = []
            for x in xs:
                s = (x - one[0]) * way[0] + (line.y_at(x) - one[1]) * way[1]
                points.append((s, at(line.number, x)[2]))
            found.append(Trace(line.number, radius, pressed, tuple(points)))
    return tuple(found)


def _shown(
    layout: Layout, one: Point, way: Point, length: float
) -> Iterator[tuple[StringLine, tuple[float, ...]]]:
    """Each string to be drawn and the x of its points."""
    beside: dict[bool, tuple[float, StringLine, tuple[float, ...]]] = {}
    for line in running(layout).values():
        (x0, y0), (x1, y1) = line.saddle, line.nut
        run = math.dist(line.saddle, line.nut)
        u, v = (x1 - x0) / run, (y1 - y0) / run
        along, across = u * way[0] + v * way[1], u * way[1] - v * way[0]
        if abs(along) < ALONG:
            # one + s way = saddle + t (u, v)
            dx, dy = x0 - one[0], y0 - one[1]
            s, t = (u * dy - v * dx) / across, (way[0] * dy - way[1] * dx) / across
            if 0.0 <= s <= length and 0.0 <= t <= run:
                yield line, (x0 + t * u,)
            continue
        ends = sorted((one[0], one[0] + length * way[0]))
        low, high = max(x0, ends[0]), min(x1, ends[1])
        if low >= high:
            continue
        middle = (low + high) / 2.0
        off = (line.y_at(middle) - one[1]) * way[0] - (middle - one[0]) * way[1]
        fret = last_fret_x(layout.instrument.neck)
        xs = tuple(sorted({low, min(max(fret, low), high), high}))
        side = off >= 0.0
        if abs(off) > BESIDE:
            continue
        if side not in beside or abs(off) < beside[side][0]:
            beside[side] = abs(off), line, xs
    yield from ((line, xs) for _, line, xs in beside.values())
