"""Exact parallel outlines: lines shift, arcs change radius, corners get round joins.

Every point of the parallel curve lies on a shifted segment or on an arc about a vertex. All of
these are cut where they meet, and the pieces that come nearer to the outline than the distance, or
lie on the wrong side of it, are dropped."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from bodycad.declare import declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.arrange import Region, halved, joined, regions, split
from bodycad.geometry.plane.meet import SNAP, gaps
from bodycad.geometry.plane.profile import Plan, Profile
from bodycad.geometry.plane.segments import Segments, turning


@declared()
def offset(shape: Plan, distance: Annotated[float, mm(-3000.0, 3000.0)]) -> tuple[Profile, ...]:
    """The profiles at `distance` mm outside (or, negative, inside) `shape`, largest first.

    Inward it may fall into several profiles or none. Outward there is one: a gap that closes up
    leaves holes, which `offset_regions` returns too."""
    return tuple(region.outer for region in offset_regions(shape, distance))


def offset_regions(shape: Profile, distance: float) -> tuple[Region, ...]:
    """As `offset`, with the holes left where a gap narrower than twice `distance` closes up."""
    distance = number("an offset distance", distance)
    if abs(distance) < SNAP:
        return (Region(shape),)
    chain, _ = halved(shape.segments)
    raw = _raw(chain, distance)
    if not len(raw):
        return ()
    pieces = split(raw)
    if not len(pieces.start):
        return ()
    # Pieces on each other bound nothing where they run opposite ways, else count once.
    way = np.bincount(pieces.group, np.where(pieces.forward, 1.0, -1.0))
    leaders = pieces.leaders()[way != 0]
    middle = pieces.segments.take(leaders).at(np.full(len(leaders), 0.5))
    keep = _clear(chain, middle, abs(distance) - SNAP)
    keep[keep] = chain.encloses(middle[keep]) == (distance < 0)
    return regions(pieces.oriented(leaders[keep], way[pieces.group[leaders[keep]]] > 0))


def _raw(s: Segments, distance: float) -> Segments:
    """Every segment shifted to its right by `distance`, and arcs about the vertices between."""
    zeros, ones = np.zeros(len(s)), np.ones(len(s))
    leaving, arriving = s.tangent(zeros), s.tangent(ones)
    a, b = s.a + distance * _right(leaving), s.b + distance * _right(arriving)
    # An arc whose radius the offset uses up has no point at the full distance from itself.
    live = ~s.arc | (s.radius + np.sign(s.bulge) * distance > SNAP)
    shifted = Segments(a[live], b[live], s.bulge[live])

    onward = np.roll(leaving, -1, axis=0)
    turn = turning(arriving, onward)
    opens = np.abs(turn) * abs(distance) > SNAP
    cusp = np.abs(turn) > np.pi - 1e-6
    parts = [shifted]
    # At a cusp rounding decides the sign of the half turn, so both half circles are tried.
    for bend in (turn, np.where(cusp, -turn, 0.0)):
        join = opens & (bend * distance > 0)
        parts.append(Segments(b[join], np.roll(a, -1, axis=0)[join], np.tan(bend[join] / 4.0)))
    return joined(parts)


def _right(direction: np.ndarray) -> np.ndarray:
    return np.stack([direction[:, 1], -direction[:, 0]], axis=1)


def _clear(s: Segments, points: np.ndarray, least: float) -> np.ndarray:
    """Whether each of `points` (m, 2) is at least `least` mm from every segment."""
    x, y, boxes = points[:, 0][:, None], points[:, 1][:, None], s.boxes
    near = (x > boxes[:, 0] - least) & (x < boxes[:, 2] + least)
    near &= (y > boxes[:, 1] - least) & (y < boxes[:, 3] + least)
    which, index = np.nonzero(near)
    clear = np.ones(len(points), bool)
    clear[which[gaps(s, index, points[which]) < least]] = False
    return clear
