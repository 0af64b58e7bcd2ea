"""Which numbers of a design move no figure of any check: questions that nobody asks.

Every number of the design's values is changed by a small step, the body laid out and checked
again. A number that moves no finding's figure and no status is unwatched, and listed with what it
changes instead. Sums over the whole instrument (SUMS) do not count: they move with everything.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np

from bodycad.checks.finding import Finding
from bodycad.checks.outlook import Unwatched
from bodycad.checks.page import Check
from bodycad.checks.runner import answers
from bodycad.checks.table import CHECKS
from bodycad.design import Design
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.layout import Layout
from bodycad.wood import Species

STEP = 0.1
"""By how much a length (mm) or an angle (degrees) is changed; a whole number by 1."""
SAME = 1e-7
"""A figure that moves by less has not moved."""
POINTS = 12
"""So many vertices of a chain, at even distances along it, stand for all."""
SUMS = ("balance",)
"""Checks of the whole instrument's mass."""
LEFT_OUT = ("shop", "waivers", "parameters", "name", "left_handed")
"""Fields of a design that are no wood."""
MOST_NAMED = 3
"""So many cuts and rooms are named of those that a number changes."""

Figures = dict[tuple[str, tuple[str, ...]], tuple[str, float | None]]
Rebuild = Callable[[Any], Any]


@dataclass(frozen=True, eq=False)
class Number:
    """A number of a design: its path, its value, and the design with another value there."""

    path: str
    value: float
    set: Callable[[float], Design]

    @property
    def steps(self) -> tuple[float, float]:
        """The two values that it is tried at."""
        step = 1 if isinstance(self.value, int) else STEP
        return self.value + step, self.value - step


def numbers(design: Design) -> Iterator[Number]:
    """Every number of a design's values, in their order. A part's path begins with its id."""
    for spec in fields(design):
        if spec.name not in LEFT_OUT:

            def set_field(value: Any, name: str = spec.name) -> Design:
                return replace(design, **{name: value})

            path = "" if spec.name == "parts" else spec.name
            yield from _walk(getattr(design, spec.name), path, set_field)


def _walk(thing: Any, path: str, rebuild: Rebuild) -> Iterator[Number]:
    if thing is None or isinstance(thing, (bool, Species)):
        return
    if isinstance(thing, (int, float)):
        yield Number(path, thing, rebuild)
    elif isinstance(thing, Profile):
        yield from _vertices(thing, path, rebuild)
    elif is_dataclass(thing) and not isinstance(thing, type):
        for spec in fields(thing):
            if spec.init:

                def set_field(value: Any, name: str = spec.name) -> Any:
                    return rebuild(replace(thing, **{name: value}))

                yield from _walk(getattr(thing, spec.name), f"{path}.{spec.name}", set_field)
    elif isinstance(thing, tuple):
        for k, item in enumerate(thing):

            def set_item(value: Any, k: int = k) -> Any:
                return rebuild((*thing[:k], value, *thing[k + 1 :]))

            name = getattr(item, "id", None)
            own = name if isinstance(name, str) else str(k + 1)
            yield from _walk(item, f"{path}.{own}".lstrip("."), set_item)


def _vertices(shape: Profile, path: str, rebuild: Rebuild) -> Iterator[Number]:
    count = len(shape.vertices)
    for k in sorted({math.floor(i * count / POINTS) for i in range(POINTS)}):
        for axis, name in enumerate("xy"):

            def set_vertex(value: float, k: int = k, axis: int = axis) -> Any:
                rows = shape.vertices.copy()
                rows[k, axis] = value
                return rebuild(Profile(rows))

            yield Number(f"{path}.{k + 1}.{name}", float(shape.vertices[k, axis]), set_vertex)


def unwatched(
    design: Design, tell: Callable[[str], None] | None = None, only: str = ""
) -> tuple[Unwatched, ...]:
    """The numbers of a design that move no figure, each with why; `only` of those whose path begins
    so."""
    base = design.layout()
    checks, kept = [], dict[str, Figures]()
    for check in CHECKS:
        if check.name not in SUMS:
            start = time.perf_counter()
            kept[check.name] = _figures(answers(check, base))
            checks.append((time.perf_counter() - start, check))
    # The quick ones first: one figure that moves is enough.
    order = [check for _, check in sorted(checks, key=lambda row: row[0])]
    every, found = [one for one in numbers(design) if one.path.startswith(only)], []
    for k, number in enumerate(every):
        if tell and k % 10 == 0:
            tell(f"watching each number move, {k} of {len(every)}")
        why = _why(number, base, order, kept)
        if why:
            found.append(Unwatched(number.path, float(number.value), why))
    return tuple(found)


def _why(number: Number, base: Layout, checks: list[Check], kept: dict[str, Figures]) -> str:
    """Why a number is unwatched; "" for one that moves a figure."""
    changed, refused = set[str](), []
    for value in number.steps:
        try:
            layout = number.set(value).layout()
        # Whatever a part does with an impossible value, the value is refused.
        except Exception as fault:
            refused.append(str(fault))
            continue
        if any(_moved(kept[c.name], _figures(answers(c, layout))) for c in checks):
            return ""
        changed |= _changed(base, layout)
    if len(refused) == len(number.steps):
        return f"it may not be changed: {refused[0]}"
    if not changed:
        return "it reaches no cut, no room, no piece and no string"
    some = sorted(changed)
    more = f" and {len(some) - MOST_NAMED} more" if len(some) > MOST_NAMED else ""
    return f"it changes {', '.join(some[:MOST_NAMED])}{more}, and no figure follows"


def _figures(found: list[Finding]) -> Figures:
    return {f.identity: (f.status, f.value) for f in found}


def _moved(one: Figures, two: Figures) -> bool:
    if one.keys() != two.keys():
        return True
    for key, (status, value) in one.items():
        other_status, other = two[key]
        if status != other_status or (value is None) != (other is None):
            return True
        if value is not None and other is not None and not abs(value - other) <= SAME:
            return True
    return False


def _changed(one: Layout, two: Layout) -> set[str]:
    """The ids of cuts, rooms and pieces that differ between two layouts; "the outside" for the
    body's skin, "the strings" for where they run."""
    found = set()
    for a, b in (
        ({v.id: v.shape for v in one.by_id.values()}, {v.id: v.shape for v in two.by_id.values()}),
        ({r.id: r.shape for r in one.rooms}, {r.id: r.shape for r in two.rooms}),
    ):
        found |= a.keys() ^ b.keys()
        found |= {k for k in a.keys() & b.keys() if not _equal(a[k].numbers, b[k].numbers)}
    skins = [(piece.id, piece.skin) for piece in one.pieces], [p.skin for p in two.pieces]
    for (name, a_skin), b_skin in zip(*skins):
        shapes = [[s.outline.vertices for s in (a_skin, b_skin)]]
        shapes += [
            [a.carve.numbers, b.carve.numbers] for a, b in zip(a_skin.contours, b_skin.contours)
        ]
        same = all(_equal(*pair) for pair in shapes) and a_skin.thickness == b_skin.thickness
        edges = [repr([s.edges(face) for face in ("front", "back")]) for s in (a_skin, b_skin)]
        if not same or edges[0] != edges[1]:
            found.add(f"the outside of {name}")
    own = one.instrument, two.instrument
    if own[0].lines != own[1].lines or own[0].saddle_points != own[1].saddle_points:
        found.add("the strings")
    return found


def _equal(one: np.ndarray, two: np.ndarray) -> bool:
    return one.shape == two.shape and bool(np.array_equal(one, two))
