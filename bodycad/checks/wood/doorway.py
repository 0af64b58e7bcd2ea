"""How wide the opening between two routed pockets is."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.solid import Shape

ON_RIM = 1e-6
"""A point this near to an outline (mm) is on it."""


def plainly(one: Shape, two: Shape) -> float:
    """A width (mm) that a doorway has at least, at a small part of its cost: that of a disc about
    the middle of what the boxes of both share, which lies in both, and the depth they share."""
    (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = one.plan.box, two.plan.box
    middle = np.array(
        [[(max(ax0, bx0) + min(ax1, bx1)) / 2.0, (max(ay0, by0) + min(ay1, by1)) / 2.0]]
    )
    disc = -2.0 * max(float(plan.signed_distance(middle)[0]) for plan in (one.plan, two.plan))
    return max(min(disc, _depth(one, two)), 0.0)


def _depth(one: Shape, two: Shape) -> float:
    return min(one.full[1], two.full[1]) - max(one.full[0], two.full[0])


def doorway(one: Shape, two: Shape) -> float:
    """Width (mm) of the widest bundle that can pass from one pocket into another that it meets: the
    narrower of how far the mouth between their walls spans and how much of their depth they share.
    0 where no plan is shared.

    Where one lies over the other without sharing depth, the bundle passes through what their plans
    share, taken as wide as twice its area over its rim (a disc counts half, a long slit whole)."""
    depth = _depth(one, two)
    shared = [piece.outer for piece in intersection(one.plan, two.plan)]
    if depth <= ON_RIM:
        return max((2.0 * plan.area / plan.length for plan in shared), default=0.0)
    return max(
        [
            plainly(one, two),
            *(min(_mouth(plan, one.plan, two.plan), depth) for plan in shared),
        ]
    )


def _mouth(shared: Profile, one: Profile, two: Profile) -> float:
    """Span of the mouth through which one gets from one plan by way of what both share into the
    other: of each plan's walls, the farthest apart of the ends of a run that bounds what is shared;
    the lesser of both.

    Where only one plan's walls bound it, it is the narrower pocket itself, open all round: twice
    its area over its rim."""
    s = shared.segments
    ends, middles = s.a, s.at(np.full(len(s), 0.5))
    corner = (one.segments.away(ends)[0] <= ON_RIM) & (two.segments.away(ends)[0] <= ON_RIM)
    own = one.segments.away(middles)[0] <= ON_RIM
    spans = {True: [0.0], False: [0.0]}
    marks = np.flatnonzero(corner)
    for k, mark in enumerate(marks):
        after = marks[(k + 1) % len(marks)]
        spans[bool(own[mark])].append(math.dist(ends[mark], ends[after]) if len(marks) > 1 else 0.0)
    if own.all() or not own.any():
        return 2.0 * shared.area / shared.length
    return min(max(spans[True]), max(spans[False]))
