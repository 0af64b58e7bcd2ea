"""Which string each saddle, string hole and anchor of a layout serves, whichever part states it,
and the line that each string really runs on."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TypeVar

import numpy as np

from bodycad.checks.wood.near import remembered
from bodycad.geometry.solids.solid import Point3
from bodycad.instrument.lines import Point, StringLine
from bodycad.instrument.serve import serve
from bodycad.layout.interface import Anchor, Saddle, StringHole
from bodycad.layout.layout import Layout

R = TypeVar("R", Saddle, StringHole)
Served = tuple[tuple[R, StringLine | None], ...]


def saddles(layout: Layout) -> Served[Saddle]:
    """Every saddle with the string that it serves, None where no string is left for it."""
    return remembered(layout, ("saddles",), lambda: _served(layout, layout.stated(Saddle)))


def string_holes(layout: Layout) -> Served[StringHole]:
    """Every string hole with the string that it serves, None where no string is left for it."""
    return remembered(layout, ("holes",), lambda: _served(layout, layout.stated(StringHole)))


def _served(layout: Layout, records: tuple[R, ...]) -> Served[R]:
    spots = [one.at[:2] for one in records]
    lines = serve(layout.instrument.lines, spots, [one.string for one in records])
    return tuple(zip(records, lines, strict=True))


def anchored(layout: Layout) -> list[tuple[Anchor, StringLine | None]]:
    """Each place of each anchor with the string that it holds."""
    return [(one, line) for one, _, line in held_ends(layout)]


def held_ends(layout: Layout) -> list[tuple[Anchor, Point3, StringLine | None]]:
    """Each place of each anchor, and the string that it holds; a bar has its places at even
    distances."""
    places: list[tuple[Anchor, Point3]] = []
    for one in layout.stated(Anchor):
        spots = one.at
        if len(spots) != one.strings:
            share = np.linspace(0.0, 1.0, one.strings) if one.strings > 1 else np.array([0.5])
            ends = np.array(spots)
            spots = tuple(map(tuple, ends[0] + share[:, None] * (ends[1] - ends[0])))
        places += [(one, spot) for spot in spots]
    numbers = [one.string for one, _ in places]
    lines = serve(layout.instrument.lines, [spot[:2] for _, spot in places], numbers)
    return [(one, spot, line) for (one, spot), line in zip(places, lines, strict=True)]


def by_string(layout: Layout) -> dict[int, Saddle]:
    """The saddle that serves each string, by its number; the first where there are several."""
    found: dict[int, Saddle] = {}
    for saddle, line in saddles(layout):
        if line is not None:
            found.setdefault(line.number, saddle)
    return found


def bearing(layout: Layout, saddle: Saddle, line: StringLine) -> Point:
    """Where a string bears on its saddle once it is in tune, or as near as the saddle travels, in
    plan."""
    wanted = layout.instrument.saddle_points[line.number - 1]
    (x, y, _), (ax, ay, _) = saddle.at, saddle.along
    u = (wanted[0] - x) * ax + (wanted[1] - y) * ay
    u = min(max(u, -saddle.behind), saddle.ahead)
    return x + u * ax, y + u * ay


def running(layout: Layout) -> dict[int, StringLine]:
    """The line that each string really runs on, by its number: from the nut to where it bears on
    its saddle, or to the scale line where no saddle serves it."""

    def find() -> dict[int, StringLine]:
        served = by_string(layout)
        return {
            line.number: replace(line, saddle=bearing(layout, served[line.number], line))
            if line.number in served
            else line
            for line in layout.instrument.lines
        }

    return remembered(layout, ("running",), find)


def advice(layout: Layout, part: str) -> str:
    """How to turn and move the bridge `part` so that its saddles travel along their strings and
    stand on the strings' own lines, the mean of its saddles; "" where it stands so. Degrees are the
    script's own, as its Place counts them."""
    turns, offs = list[float](), list[float]()
    for saddle, line in saddles(layout):
        if saddle.part == part and line is not None:
            x, y = bearing(layout, saddle, line)
            way = math.degrees(math.atan2(saddle.along[1], saddle.along[0]))
            turns.append((line.angle_deg - way + 180.0) % 360.0 - 180.0)
            offs.append(line.y_at(x) - y)
    if not turns:
        return ""
    turn, move = math.fsum(turns) / len(turns), math.fsum(offs) / len(offs)
    turn = -turn if layout.left_handed else turn
    side = "bass" if (move > 0.0) != layout.left_handed else "treble"
    told = [f"turn {part} by {turn:.2f} degrees"] if abs(turn) >= 0.05 else []
    told += [f"move {part} by {abs(move):.2f} mm toward the {side}"] if abs(move) >= 0.05 else []
    return ", ".join(told)
