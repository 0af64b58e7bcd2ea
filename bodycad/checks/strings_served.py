"""Which string each saddle, string hole and anchor of a layout serves, whichever part states it."""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from bodycad.checks.wood.near import remembered
from bodycad.geometry.solids.solid import Point3
from bodycad.instrument.lines import StringLine
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
    """Each place of each anchor with the string that it holds; a bar has its places at even
    distances."""
    places: list[tuple[Anchor, Point3]] = []
    for one in layout.stated(Anchor):
        spots = one.at
        if len(spots) != one.strings:
            share = np.linspace(0.0, 1.0, one.strings) if one.strings > 1 else np.array([0.5])
            ends = np.array(spots)
            spots = tuple(map(tuple, ends[0] + share[:, None] * (ends[1] - ends[0])))
        places += [(one, spot) for spot in spots]
    lines = serve(layout.instrument.lines, [spot[:2] for _, spot in places])
    return [(one, line) for (one, _), line in zip(places, lines, strict=True)]


def by_string(layout: Layout) -> dict[int, Saddle]:
    """The saddle that serves each string, by its number; the first where there are several."""
    found: dict[int, Saddle] = {}
    for saddle, line in saddles(layout):
        if line is not None:
            found.setdefault(line.number, saddle)
    return found
