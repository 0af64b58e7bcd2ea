"""The most even, widest pattern of neck screws on a heel, and what a given pattern holds.

A pattern must pass every bolt check and hold each load of `checks.rules.loads` (the strings' pull,
a push back, a knock aside, a twist either way) with the reserve that `joint-load` asks. Of those
`search` takes the widest. Each place has the strongest screw at first; then each screw is exchanged
for the kind that has most to spare of its tightest bolt check, as long as every load is held.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import Annotated

import numpy as np

from bodycad.checks.rules.bolts import FAR
from bodycad.checks.rules.loads import Group, Load, floor_box, loads, strengths
from bodycad.checks.rules.seated import Neck
from bodycad.checks.wood.near import remembered
from bodycad.declare import Id, between, declared, mm, over
from bodycad.layout.layout import Layout, lay_out
from bodycad.parts.part import with_other_screws
from bodycad.pattern.figures import (
    FIGURES,
    SLACK,
    Kit,
    Option,
    Planned,
    figures,
    floor_of,
    kit_of,
    least_margin,
    spots,
)
from bodycad.pattern.search import Field, search, spread
from bodycad.pattern.standing import GRID, Grid, Standing, neck_of, own_screws, standing_of

COUNTS = (3, 4, 5)
BETWEEN = ("bolt-edge", "the wall between two counterbores")


@dataclass(frozen=True)
class Stand:
    """One screw: where, with what, the least margin of its own bolt checks (mm), and of which.
    holds, slips: N at which it draws out of the neck, and begins to stay bent sideways."""

    screw: Planned
    point: tuple[float, float]
    margin: float
    check: tuple[str, str]
    holds: float
    slips: float


@dataclass(frozen=True)
class Held:
    """How many times a pattern holds a load, and the reserve at which `joint-load` warns, or fails
    where warnings are allowed."""

    load: Load
    times: float
    reserve: float

    @property
    def enough(self) -> bool:
        """Whether it is held with its reserve."""
        return self.times >= self.reserve - SLACK


@dataclass(frozen=True, eq=False)
class Pattern:
    """Screws of one neck and what they hold. middle: u of the middle of the heel, mm. margin (mm)
    and check: the tightest of all bolt checks but the joint's squareness."""

    neck: Neck
    stands: tuple[Stand, ...]
    held: tuple[Held, ...]
    middle: float
    margin: float
    check: tuple[str, str]

    @cached_property
    def _spread(self) -> tuple[float, float]:
        about = np.array([(s.u - self.middle, s.v) for s in self.screws]).reshape(1, -1, 2)
        lever, area = spread(about)
        return float(lever[0]), float(area[0])

    @property
    def lever(self) -> float:
        """How far the screws reach from the middle of the heel the way that they reach least (see
        `search`), mm; negative where it lies outside their polygon."""
        return self._spread[0]

    @property
    def area(self) -> float:
        """Area of the screws' polygon, mm2."""
        return self._spread[1]

    @property
    def screws(self) -> tuple[Planned, ...]:
        """The screws alone, as a part's `with_screws` takes them."""
        return tuple(stand.screw for stand in self.stands)

    @property
    def symmetric(self) -> bool:
        """Whether the places are the same on both sides of the centreline."""
        places = {(round(s.u, 6), round(s.v, 6)) for s in self.screws}
        return places == {(u, -v + 0.0) for u, v in places}


Wood = Annotated[float, over(100.0)]
Length = Annotated[float, mm(5.0, 200.0)]


@declared()
def widest_pattern(
    layout: Layout,
    count: Annotated[int, between(COUNTS[0], COUNTS[-1])] = 4,
    options: Iterable[Option | tuple[Wood, Length]] | None = None,
    grid: Grid = GRID,
    neck: Id | None = None,
    strict: bool = True,
) -> Pattern | None:
    """The most even, widest pattern of `count` screws on the grid that passes every bolt check and
    holds every load with its reserve, or None where none was found.

    options: (wood, length) in mm that each screw may have; `strict`: no warning either (without it
    only what fails is kept out)."""
    found = standing_of(layout, options, grid, neck, strict)
    key = ("widest", found.neck.id, found.options, found.grid, strict, count)
    return remembered(layout, key, lambda: _widest(layout, found, count))


def pattern_of(
    layout: Layout,
    screws: Sequence[Planned] | None = None,
    neck: str | None = None,
    strict: bool = True,
) -> Pattern:
    """How wide given screws stand (the neck's own without them), what they hold, and the tightest
    of their bolt checks: how much each has to spare of its failing limit."""
    found = neck_of(layout, neck)
    chosen = own_screws(found) if screws is None else tuple(screws)
    stands = tuple(_stand(layout, found, screw) for screw in chosen)
    tightest = min(((s.margin, s.check) for s in stands), default=(math.inf, BETWEEN))
    apart = _apart(layout, kit_of(layout, found), False)
    for one, two in combinations(chosen, 2):
        wall = math.hypot(one.u - two.u, one.v - two.v) - apart
        tightest = min(tightest, (wall, BETWEEN), key=lambda t: t[0])
    rows = [(s.screw.u, s.screw.v, s.holds, s.slips) for s in stands]
    u, v, holds, slips = np.array(rows, float).reshape(-1, 4).T
    held = tuple(
        Held(load, float(load.times(Group(u, v, holds, slips))), reserve)
        for load, reserve in _reserves(layout, found, strict)
    )
    return Pattern(found, stands, held, _middle(layout, found), *tightest)


def with_screws(layout: Layout, neck: str, screws: Sequence[Planned]) -> Layout:
    """The same body with other screws in a neck; InputError where its part takes none."""
    if layout.left_handed:
        return with_screws(layout.mirrored(), neck, screws).mirrored()
    own = next(p.part for p in layout.placed if p.id == neck)
    part = with_other_screws(own, neck, screws)
    wood = layout.name, layout.blank, layout.skin, layout.instrument
    placed = tuple(replace(p, part=part) if p.id == neck else p for p in layout.placed)
    pieces = [piece for piece in layout.pieces[1:] if not piece.part]
    values, waivers = layout.parameters, layout.waivers
    given = (*wood, placed, layout.links, layout.shop)
    return lay_out(*given, parameters=values, waivers=waivers, pieces=pieces)


def field_of(layout: Layout, found: Standing) -> Field:
    """The search's field: every place where a screw may stand, with the strongest option there."""
    kit = kit_of(layout, found.neck)
    strength = np.array([_strengths(layout, found.neck, kit, option) for option in found.options])
    rows, columns = np.nonzero(found.any)
    stands = found.stands[:, rows, columns]
    holds, slips = (np.where(stands, one[:, None], -math.inf).max(axis=0) for one in strength.T)
    return Field(
        np.column_stack([found.u[rows], found.v[columns] + 0.0]),
        holds,
        slips,
        _apart(layout, kit, found.strict),
        found.grid,
        _middle(layout, found.neck),
        _reserves(layout, found.neck, found.strict),
    )


def _widest(layout: Layout, found: Standing, count: int) -> Pattern | None:
    field = field_of(layout, found)
    places = search(field, count)
    if places is None:
        return None
    rows, columns = (one[list(places)] for one in np.nonzero(found.any))
    kit = kit_of(layout, found.neck)
    strength = np.array([_strengths(layout, found.neck, kit, option) for option in found.options])
    able, margins = found.stands[:, rows, columns].T, found.margins[:, rows, columns].T
    # The strongest kind at each place; of equally strong ones that with most to spare.
    kinds = [
        max(np.flatnonzero(one), key=lambda k: (strength[k, 0], margin[k], -k))
        for one, margin in zip(able, margins)
    ]
    for n, margin in enumerate(margins):
        for k in sorted(np.flatnonzero(able[n]), key=lambda k: (-margin[k], k)):
            eased = [*kinds[:n], k, *kinds[n + 1 :]]
            group = Group(*field.at[list(places)].T, *strength[eased].T)
            if all(float(load.times(group)) >= asked - SLACK for load, asked in field.reserves):
                kinds = eased
                break
    screws = [
        Planned(u, v, found.options[k].wood, found.options[k].length)
        for (u, v), k in zip(field.at[list(places)].tolist(), kinds, strict=True)
    ]
    ordered = sorted(screws, key=lambda s: (-s.u, -s.v))
    return pattern_of(layout, ordered, found.neck.id, found.strict)


def _middle(layout: Layout, neck: Neck) -> float:
    """u of the middle of the floor that the heel rests on, mm."""
    low, _, high, _ = floor_box(layout, neck)
    return (low + high) / 2.0


def _reserves(layout: Layout, neck: Neck, strict: bool) -> tuple[tuple[Load, float], ...]:
    """Each load of a joint with the reserve that its limit asks."""
    return tuple((load, floor_of(layout, load.limit, strict)) for load in loads(layout, neck))


def _strengths(layout: Layout, neck: Neck, kit: Kit, option: Option) -> tuple[float, float]:
    """The strengths of a screw of an option; see `strengths`."""
    grip = round(option.length - kit.sunk - option.wood, 9)
    return strengths(layout, neck, kit.thread, grip)


def _apart(layout: Layout, kit: Kit, strict: bool) -> float:
    """Least distance of two screws, mm: their counterbores and the wall between them. Ferrules that
    lie on the back without a counterbore keep it too."""
    return kit.bed + min(floor_of(layout, "bolt-edge", strict), FAR)


def _stand(layout: Layout, neck: Neck, screw: Planned) -> Stand:
    option = Option(float(screw.wood), float(screw.length))
    at = spots(layout, neck, np.array([float(screw.u)]), np.array([float(screw.v)]))
    margin, row = least_margin(layout, next(figures(layout, at, [option])), False, at.kit.thread)
    x, y = map(float, at.points[0])
    check = FIGURES[int(row[0])][:2]
    strength = _strengths(layout, neck, at.kit, option)
    return Stand(screw, (x, y), float(margin[0]), check, *strength)
