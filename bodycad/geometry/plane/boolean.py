"""Union, difference and intersection of profiles, exact: arcs stay arcs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from bodycad.declare import declared
from bodycad.geometry.plane.arrange import Pieces, Region, halved, joined, regions, split
from bodycad.geometry.plane.profile import Plan, Profile


@declared()
def union(profiles: Iterable[Plan]) -> tuple[Region, ...]:
    """Everything in at least one profile, largest region first; an empty input gives none."""
    return overlay(tuple(profiles), lambda inside: np.any(inside, axis=0))


@declared()
def difference(shape: Plan, *others: Plan) -> tuple[Region, ...]:
    """What is left of `shape` without `others`, largest region first."""
    return overlay((shape, *others), lambda inside: inside[0] & ~np.any(inside[1:], axis=0))


@declared()
def intersection(*profiles: Plan) -> tuple[Region, ...]:
    """What all profiles have in common, largest region first."""
    return overlay(profiles, lambda inside: np.all(inside, axis=0))


def overlay(
    profiles: Sequence[Profile], rule: Callable[[np.ndarray], np.ndarray]
) -> tuple[Region, ...]:
    """The regions where `rule` holds: it maps membership (profiles, m) to a choice (m,), all bool.

    The profiles must be simple (see `meet.crossings`). Edges that lie on each other within 1e-7 mm
    count as one, so profiles that share an edge merge without a sliver. `rule` must deny a point
    that is in no profile."""
    if not profiles:
        return ()
    parts = [halved(shape.segments)[0] for shape in profiles]
    owner = np.repeat(np.arange(len(parts)), [len(part) for part in parts])
    pieces = split(joined(parts))
    leaders = pieces.leaders()
    left, right = _sides(profiles, pieces, owner[pieces.source], leaders)
    chosen_left, chosen_right = rule(left), rule(right)
    edge = chosen_left != chosen_right
    return regions(pieces.oriented(leaders[edge], chosen_left[edge]))


def _sides(
    profiles: Sequence[Profile], pieces: Pieces, owner: np.ndarray, leaders: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Whether the left and right side of each leader lie in each profile: two (profiles, m)."""
    middle = pieces.segments.take(leaders).at(np.full(len(leaders), 0.5))
    left = np.zeros((len(profiles), len(leaders)), bool)
    for k, shape in enumerate(profiles):
        x0, y0, x1, y1 = shape.box
        near = np.flatnonzero(((middle >= (x0, y0)) & (middle <= (x1, y1))).all(axis=1))
        left[k, near] = shape.segments.encloses(middle[near])
    right = left.copy()
    # A profile is counter-clockwise: its own edge has it on the left.
    left[owner, pieces.group], right[owner, pieces.group] = pieces.forward, ~pieces.forward
    return left, right
