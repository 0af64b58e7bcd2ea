"""Which cutter clears which part of a region: the larger what it can, the smaller what is left.

A cutter clears what its disc covers without leaving the region: the region shrunk by its radius and
grown again. What is left are corners and narrow places, which the next smaller clears, and what
even the smallest leaves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.areas import Area, common, grown, less, shrunk, size
from bodycad.geometry.plane.arrange import Region
from bodycad.tools import Cutter

FIT = 1e-5
"""A cutter passes where it is wider by so much, mm: as it does through a slot of its own width."""
NOTICED = 1e-3
"""What stands out less than this (mm) from what is cleared is nothing that is left: far less than
any cutter's own tolerance."""
SHARE = 0.5
"""A cutter is taken where it clears at least this share of what is left and can be cleared (common
practice, no source); the smallest is always, where anything is left to it."""
LEAST = 0.05
"""A cutter that clears less than this share of the whole region is not worth the change of tools
where a smaller one clears that too (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class Clearing:
    """What one cutter clears. area: where it runs, all of it inside what may be cut. rest: whether
    a larger one went before it."""

    cutter: Cutter
    area: Area
    rest: bool


def stands_out(region: Region, cleared: Area) -> tuple[float, tuple[float, float]]:
    """How far (mm) a region reaches from what is cleared beside it, at its vertices and the middle
    of its arcs, and where."""
    s = region.outer.segments
    points = np.vstack([s.a, s.at(np.full(len(s), 0.5))])
    away = np.full(len(points), np.inf)
    for one in cleared:
        off = np.maximum(one.outer.signed_distance(points), 0.0)
        for hole in one.holes:
            off = np.maximum(off, -hole.signed_distance(points))
        away = np.minimum(away, off)
    k = int(np.argmax(away))
    return float(away[k]), (float(points[k, 0]), float(points[k, 1]))


def left(wanted: Area, cleared: Area) -> Area:
    """The regions of `wanted` that stand out from what is cleared by more than NOTICED."""
    if not cleared:
        return wanted
    return tuple(r for r in less(wanted, cleared) if stands_out(r, cleared)[0] > NOTICED)


def clearings(
    wanted: Area, allowed: Area, cutters: Iterable[Cutter]
) -> tuple[tuple[Clearing, ...], Area]:
    """How cutters clear `wanted`, none of them leaving `allowed`, which holds it: what each clears,
    largest first; and what all of them leave of it."""
    sizes: dict[float, Cutter] = {}
    for cutter in sorted(cutters, key=lambda c: (-c.diameter, c.reach)):
        sizes.setdefault(cutter.diameter, cutter)
    able = list(sizes.values())
    if able and covered(allowed, able[0].diameter / 2.0) is allowed:
        return (Clearing(able[0], allowed, False),), ()
    while able and not (least := covered(allowed, able[-1].diameter / 2.0)):
        able.pop()
    if not able:
        return (), wanted
    missed = () if least is allowed else left(wanted, least)
    open_ = less(wanted, missed)
    done, whole = list[Clearing](), size(open_)
    for cutter in able:
        last = cutter is able[-1]
        cover = least if last else covered(allowed, cutter.diameter / 2.0)
        rest = left(open_, cover)
        if not last and size(open_) - size(rest) < max(SHARE * size(open_), LEAST * whole):
            continue
        area = _near(open_, allowed, cutter) if done else cover
        done.append(Clearing(cutter, area, bool(done)))
        open_ = rest
        if not open_:
            break
    return tuple(done), missed


def covered(area: Area, radius: float) -> Area:
    """What a disc of `radius` mm covers that never leaves the area: the area itself where that is
    all of it."""
    round_ = all(not r.holes and r.outer.least_inside_radius >= radius for r in area)
    if round_ and not any(len(r.outer.outside_corners[1]) for r in area):
        return area  # nothing convex is narrower than its corners
    inner = shrunk(area, radius - FIT)
    return area if round_ and len(inner) == len(area) else grown(inner, radius - FIT)


def _near(rest: Area, allowed: Area, cutter: Cutter) -> Area:
    """Where a cutter runs to clear what is left: about that alone."""
    radius = cutter.diameter / 2.0 - FIT
    centres = common(shrunk(allowed, radius), grown(rest, radius))
    return grown(centres, radius)


def bridged(body: Area, radius: float) -> Area:
    """What stays in the hollows of an area beside a disc of `radius` mm that runs round it."""
    closed = shrunk(grown(body, radius - FIT), radius - FIT)
    return left(closed, body)
