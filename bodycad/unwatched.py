"""Which numbers of a design move no figure of any check: questions that nobody asks.

Every number of the design's values is changed by a small step, the body laid out and checked
again. A number that moves no finding's figure and no status is listed with the reason (`Still`):
a wider step moves a figure, so it is asked about and something else is nearer now; or it may not be
changed; or no wood, no place of a part and nothing that one states changes with it. What is left
nobody asks about. Sums over the whole instrument (SUMS) do not count: they move with everything.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Mapping
from collections.abc import Set as AbstractSet
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
from bodycad.geometry.solids.solid import Solid, same
from bodycad.layout.interface import Hardware
from bodycad.layout.layout import Layout
from bodycad.layout.volume import body_figures
from bodycad.wood import Species
from bodycad.words import Still

STEP = 0.1
"""By how much a length (mm) or an angle (degrees) is changed; a whole number by 1."""
WIDER = (1.0, 4.0, 16.0)
"""The steps (mm or degrees) that are tried where that moves nothing."""
WOOD = 2e-6
"""Wood that differs by a smaller share of its volume is the same: so far volumes settle
(`layout.volume`)."""
FAR = 300.0
"""The arm (mm) at which that much wood may lie elsewhere."""
SAME = 1e-7
"""A figure that moves by less has not moved."""
POINTS = 12
"""So many vertices of a chain, at even distances along it, stand for all."""
SUMS = ("balance",)
"""Checks of the whole instrument's mass."""
LEFT_OUT = ("shop", "waivers", "parameters", "name", "left_handed", "asked")
"""Fields of a design that are no wood."""
MOST_NAMED = 3
"""So many cuts and rooms are named of those that a number changes."""

Identity = tuple[str, tuple[str, ...]]
Figures = dict[Identity, tuple[str, float | None]]
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
    design: Design, tell: Callable[[str], None] | None = None, only: str = "", each: int = 1
) -> tuple[Unwatched, ...]:
    """The numbers of a design that move no figure by a small step, each with why. `only`: of those
    whose path begins so. `each`: of every so many-th number."""
    base = design.layout()
    checks, kept = [], dict[str, Figures]()
    for check in CHECKS:
        if check.name not in SUMS:
            start = time.perf_counter()
            kept[check.name] = _figures(answers(check, base))
            checks.append((time.perf_counter() - start, check))
    # The quick ones first: one figure that moves is enough.
    order = [check for _, check in sorted(checks, key=lambda row: row[0])]
    trial = _Trial(base, order, kept)
    every, found = [one for one in numbers(design) if one.path.startswith(only)][::each], []
    for k, number in enumerate(every):
        if tell and k % 10 == 0:
            tell(f"watching each number move, {k} of {len(every)}")
        why = trial.why(number)
        if why:
            found.append(Unwatched(number.path, float(number.value), *why))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class _Trial:
    """The layout as it stands, the checks in the order they are asked, and their figures."""

    base: Layout
    checks: list[Check]
    kept: dict[str, Figures]

    def why(self, number: Number) -> tuple[Still, str] | None:
        """Why no figure moves with a number; None for one that moves a figure."""
        refused, tried = "", list[Layout]()
        for value in number.steps:
            layout = _laid_out(number, value)
            if isinstance(layout, str):
                refused = refused or layout
                continue
            if self.moved(layout):
                return None
            tried.append(layout)
        if not tried:
            return Still.FIXED, refused
        for value in () if isinstance(number.value, int) else _wider(number.value):
            layout = _laid_out(number, value)
            if isinstance(layout, str):
                continue
            if moved := self.moved(layout):
                code, subjects = moved
                return Still.WIDER, f"at {value:.6g} {code} follows ({', '.join(subjects)})"
            tried.append(layout)
        return _left(self.base, tried)

    def moved(self, layout: Layout) -> Identity | None:
        """The first finding whose figure or status another layout moves."""
        found = (_moved(self.kept[c.name], _figures(answers(c, layout))) for c in self.checks)
        return next((identity for identity in found if identity), None)


def _laid_out(number: Number, value: float) -> Layout | str:
    """The layout with a number at another value, or why its values or solids are refused."""
    try:
        layout = number.set(value).layout()
        shapes = [v.shape for v in layout.by_id.values()] + [r.shape for r in layout.rooms]
        if not all(shape.plan.area > 0.0 for shape in shapes):  # made only now: it may be refused
            return "a solid without an area"
    # Whatever a part does with an impossible value, the value is refused.
    except Exception as fault:
        return str(fault)
    return layout


def _wider(value: float) -> Iterator[float]:
    for step in WIDER:
        yield from (value + step, value - step)


def _figures(found: list[Finding]) -> Figures:
    return {f.identity: (f.status, f.value) for f in found}


def _moved(one: Figures, two: Figures) -> Identity | None:
    """The first finding that differs between two answers of a check."""
    for key in (*one, *two):
        if key not in one or key not in two:
            return key
        (status, value), (other_status, other) = one[key], two[key]
        if status != other_status or (value is None) != (other is None):
            return key
        if value is not None and other is not None and not abs(value - other) <= SAME:
            return key
    return None


def _left(base: Layout, tried: list[Layout]) -> tuple[Still, str]:
    """Of a number that moves no figure at any step: what it changes instead."""
    cuts, rooms, rest = (
        set[str]().union(*(changed(base, layout) for layout in tried))
        for changed in (_cuts, _rooms, _rest)
    )
    every = sorted(cuts | rooms | rest)
    if not every:
        return Still.NO_WOOD, "it reaches no cut, no room, no string and nothing that a part states"
    more = f" and {len(every) - MOST_NAMED} more" if len(every) > MOST_NAMED else ""
    words = f"it changes {', '.join(every[:MOST_NAMED])}{more}"
    # The widest steps of the two directions come last.
    if rest or (cuts and not all(_same_wood(base, layout, cuts) for layout in tried[-2:])):
        return Still.UNASKED, words
    return Still.NO_WOOD, f"{words}, in the air, where nothing is near"


def _cuts(one: Layout, two: Layout) -> set[str]:
    """The ids of cuts that differ between two layouts; "the outside" of pieces whose skin does."""
    found = _differ(*({void.id: void.shape for void in each.by_id.values()} for each in (one, two)))
    for a, b in zip(one.pieces, two.pieces):
        outsides = [
            (s.outline.vertices.tolist(), s.thickness, s.edges("front"), s.edges("back"))
            for s in (a.skin, b.skin)
        ]
        carves = [{c.id: c.carve for c in piece.skin.contours} for piece in (a, b)]
        if repr(outsides[0]) != repr(outsides[1]) or _differ(*carves):
            found.add(f"the outside of {a.id}")
    return found


def _rooms(one: Layout, two: Layout) -> set[str]:
    """The ids of rooms that differ between two layouts."""
    return _differ(*({room.id: room.shape for room in each.rooms} for each in (one, two)))


def _rest(one: Layout, two: Layout) -> set[str]:
    """Whose records and wires differ between two layouts; "the strings" for where they run."""
    found = set[str]()
    for a, b in zip(one.interfaces, two.interfaces):
        # What is bought by its size needs no wood.
        if not isinstance(a, Hardware) and _values(a) != _values(b):
            found.add(f"what {a.part} states")
    for a_link, b_link in zip(one.links, two.links):
        if a_link != b_link:
            found.add(f"the wires from {a_link.one} to {a_link.two}")
    own = one.instrument, two.instrument
    if own[0].lines != own[1].lines or own[0].saddle_points != own[1].saddle_points:
        found.add("the strings")
    return found


def _values(record: Any) -> list[float]:
    return [one.value for one in _walk(record, "", lambda value: value)]


def _differ(one: Mapping[str, Solid], two: Mapping[str, Solid]) -> set[str]:
    """The names under which two solids differ, or one is missing."""
    both = one.keys() & two.keys()
    return (one.keys() ^ two.keys()) | {name for name in both if not _alike(one[name], two[name])}


def _alike(one: Solid, two: Solid) -> bool:
    """Whether two solids are the same; a round one with level ends stays so when it is turned."""
    if same(one, two):
        return True
    rounds = (s.plan.circle and s.full == (s.box[2], s.box[5]) for s in (one, two))
    boxes = np.array([one.box, two.box])
    return all(rounds) and bool(np.abs(boxes[0] - boxes[1]).max() <= SAME)


def _same_wood(one: Layout, two: Layout, changed: AbstractSet[str]) -> bool:
    """Whether pieces with only these cuts hold as much wood in two layouts, in the same place."""
    for a, b in zip(one.pieces, two.pieces):
        was, now = (
            body_figures(replace(p, voids=tuple(v for v in p.voids if v.id in changed)))
            for p in (a, b)
        )
        enough = WOOD * was.area * a.thickness
        off = [abs(p - q) * was.volume for p, q in zip(was.centroid, now.centroid)]
        if abs(was.volume - now.volume) > enough or max(off) > enough * FAR:
            return False
    return True
