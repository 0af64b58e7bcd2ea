"""Where a neck screw may stand on a heel at all: the map of one joint over a grid of places."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

import numpy as np

from bodycad.checks.rules.bolts import bearing
from bodycad.checks.rules.seated import Neck, necks
from bodycad.checks.wood.near import remembered
from bodycad.declare import Id, declared, mm, over
from bodycad.errors import InputError, number
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.cells import merged
from bodycad.layout.layout import Layout
from bodycad.pattern.figures import (
    FIGURES,
    SLACK,
    Option,
    Planned,
    figures,
    least_margin,
    spots,
    squareness,
)

GRID = 0.5
"""Spacing of the places that are tried, mm."""
Grid = Annotated[float, mm(0.02, 50.0)]
MOST_PLACES = 200_000
"""No map tries more places than this; the widest and longest heel at GRID has fewer."""


@dataclass(frozen=True, eq=False)
class Standing:
    """The map of a joint: how much each kind of screw has to spare at each place of the heel.

    u (n,), v (m,): the rows and columns of the places, in the joint's own axes, mm. margins
    (options, n, m): how much a screw of each option has to spare there of its tightest figure, mm;
    the joint's squareness is left out. tightest (options, n, m): which row of FIGURES that is.
    square_deg: degrees to spare of `bolt-seat.tilt`; where negative, no screw may stand anywhere.
    strict: whether the figures are held against the warning limits."""

    neck: Neck
    grid: float
    options: tuple[Option, ...]
    strict: bool
    u: np.ndarray
    v: np.ndarray
    margins: np.ndarray
    tightest: np.ndarray
    square_deg: float

    @cached_property
    def stands(self) -> np.ndarray:
        """(options, n, m): whether a screw of each option may stand there."""
        return (self.margins >= -SLACK) & (self.square_deg >= -SLACK)

    @cached_property
    def any(self) -> np.ndarray:
        """(n, m): whether a screw of some option may stand there."""
        return np.asarray(self.stands.any(axis=0))

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """Where a screw may stand, in (u, v). The corners of the outlines and the grid's places
        inside them were all tried; for what lies between see `between`."""
        return merged(self.any, (float(self.u[0]), float(self.v[0])), self.grid)

    @property
    def between(self) -> float | None:
        """Most by which a figure falls between the places of the grid, mm: every figure changes at
        most as fast as one walks. None on a tilted floor, where seats rise along the heel and a
        shallow carve recedes faster."""
        return (
            None if self.neck.pocket.tilted or self.neck.rest.tilted else self.grid / math.sqrt(2.0)
        )

    @cached_property
    def area(self) -> float:
        """Area of the regions, mm2."""
        return sum(region.area for region in self.regions)

    @property
    def counts(self) -> dict[tuple[str, str], int]:
        """For each figure, how many places of the heel it keeps free of screws. Where no option may
        stand, the option that comes nearest is taken, and its tightest figure counts."""
        best = self.margins.argmax(axis=0)
        row = np.take_along_axis(self.tightest, best[None], axis=0)[0][~self.any]
        return {
            FIGURES[k][:2]: int(n)
            for k, n in enumerate(np.bincount(row, minlength=len(FIGURES)))
            if n
        }


def screwed(layout: Layout) -> tuple[Neck, ...]:
    """The necks that are held by screws which may stand elsewhere: wood screws, each on a seat of
    its own. A plate says where its screws stand, and an insert stays where it is."""
    return tuple(neck for neck in necks(layout) if neck.screws and _movable(neck))


def _movable(neck: Neck) -> bool:
    plain = (one.insert is None and bearing(neck, one) == "ferrule" for one in neck.screws)
    return all(plain)


def neck_of(layout: Layout, name: str | None = None) -> Neck:
    """The neck of the part with the id `name`, or the only one that is held by screws. Raises
    InputError where there is none such."""
    found = screwed(layout)
    if not found:
        remedy = "place a NeckJoint, or a part that states a Joint and its Screws"
        allowed = "one with a neck held by screws on ferrules of their own, in wood"
        raise InputError("the design", layout.name, allowed, remedy)
    names = ", ".join(neck.id for neck in found)
    if name is None and len(found) > 1:
        raise InputError("the neck joint", "not named", f"one of {names}", "say neck=...")
    chosen = [neck for neck in found if name in (None, neck.id)]
    if not chosen:
        raise InputError("the neck joint", name, names)
    return chosen[0]


@declared()
def standing(
    layout: Layout,
    wood: Annotated[float, over(100.0)],
    length: Annotated[float, mm(5.0, 200.0)],
    grid: Grid = GRID,
    neck: Id | None = None,
) -> Standing:
    """The map for screws of one `length` over seats with one `wood` under the pocket, mm."""
    return standing_of(layout, (Option(wood, length),), grid, neck)


def standing_of(
    layout: Layout,
    options: Iterable[Option | tuple[float, float]] | None = None,
    grid: float = GRID,
    neck: str | None = None,
    strict: bool = False,
) -> Standing:
    """The map for screws that may each be of any of the options, (wood, length) in mm.

    Without options: every wood of the joint's own screws with every length of theirs. `strict`
    holds the warning limits too. Raises InputError for a design without a bolt-on neck or a bad
    number."""
    found = neck_of(layout, neck)
    chosen = own_options(found) if options is None else tuple(map(_option, options))
    if not chosen:
        raise InputError("the options of a neck screw", chosen, "at least one (wood, length) in mm")
    width = _half_width(found) * 2.0
    number("the grid of the neck screws' places", grid, above=0.0, high=min(found.length, width))
    if found.length * width / grid**2 > MOST_PLACES:
        thing, remedy = "the grid of the neck screws' places", "use a wider grid"
        raise InputError(thing, float(grid), f"a grid of at most {MOST_PLACES} places", remedy)
    key = ("standing", found.id, chosen, float(grid))
    return remembered(layout, key, lambda: _maps(layout, found, chosen, float(grid)))[strict]


def own_screws(neck: Neck) -> tuple[Planned, ...]:
    """A neck's screws as they are."""
    at = np.array([screw.at for screw in neck.screws])
    rows = np.column_stack([neck.uv(at[:, :2]), neck.floor(at[:, :2]) - at[:, 2]])
    # Places come back from the body's frame: the last digits are dust.
    return tuple(
        Planned(u, v, wood, float(screw.length or screw.reach))
        for (u, v, wood), screw in zip((rows.round(9) + 0.0).tolist(), neck.screws, strict=True)
    )


def own_options(neck: Neck) -> tuple[Option, ...]:
    """Every wood of a neck's screws with every length of theirs: nothing new to buy."""
    screws = own_screws(neck)
    woods, lengths = (sorted({getattr(s, name) for s in screws}) for name in ("wood", "length"))
    return tuple(Option(wood, length) for wood in woods for length in lengths)


def _half_width(neck: Neck) -> float:
    """The farthest that a neck's block lies from its centreline, mm."""
    _, low, _, high = neck.outlines[0].box
    return max(-low, high)


def _maps(
    layout: Layout, neck: Neck, options: Sequence[Option], grid: float
) -> tuple[Standing, Standing]:
    """The map to the failing limits, and the one to the warning limits."""
    u = grid * np.arange(math.floor(neck.length / grid + SLACK) + 1)
    side = math.floor(_half_width(neck) / grid + SLACK)
    v = grid * np.arange(-side, side + 1)
    at = spots(layout, neck, np.repeat(u, len(v)), np.tile(v, len(u)))
    found, shape = list(figures(layout, at, options)), (len(options), len(u), len(v))

    def map_of(strict: bool) -> Standing:
        rows = [least_margin(layout, one, strict, at.kit.thread) for one in found]
        margins, tightest = (np.stack([row[k] for row in rows]).reshape(shape) for k in (0, 1))
        square = squareness(layout, neck, strict)
        return Standing(neck, grid, tuple(options), strict, u, v, margins, tightest, square)

    return map_of(False), map_of(True)


def _option(given: Option | tuple[float, float]) -> Option:
    if isinstance(given, Option):
        return given
    try:
        wood, length = given
    except (TypeError, ValueError):
        raise InputError("an option of a neck screw", given, "(wood, length) in mm") from None
    return Option(wood, length)
