"""Distances from many places of a heel to the air: in a level plane, and from upright walls."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.skin import Skin

ENDLESS = 1e5
"""Half the length of a sweep without ends, mm."""


def level_reach(skin: Skin, points: np.ndarray, inset: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Distance (m,) in the level plane at `z` (m,) from plan points (m, 2) to the air: outline,
    edge treatment or contour; negative in the air, mm. As `checks.bolts.level_reach`, for many
    points, whose distances in from the outline are `inset` (m,).

    A contour is cut by a plane only for points nearer to it in space than to what is known already:
    in the plane it is never nearer than in space."""
    levels, owner = np.unique(z, return_inverse=True)
    reach = inset - np.array([skin.edge_inset(float(level)) for level in levels])[owner]
    for k, level in enumerate(levels if skin.shelves else ()):
        here = owner == k
        reach[here] = np.minimum(reach[here], skin.shelf_distances(points[here], float(level))[0])
    for contour in skin.contours:
        carve = contour.carve
        # The plane's slice of a tilted sweep counts no ends.
        whole = carve if carve.level else replace(carve, span=(-ENDLESS, ENDLESS))
        near = whole.closest(np.column_stack([points, z]))[0] < reach
        for k in np.unique(owner[near]):
            rows = np.flatnonzero(near & (owner == k))
            reach[rows] = np.minimum(
                reach[rows], carve.level_distances(points[rows], float(levels[k]))[0]
            )
    return reach


def wall_to_edge(skin: Skin, s: np.ndarray, low: float, high: float) -> np.ndarray:
    """Least distance (m,) from upright walls that stand `s` (m,) mm in from the outline, from z
    `low` to `high`, to the air of the side, its roundover or its ledge; 0 where they meet, mm.

    Exact in the plane of (s, z): the least distance is reached at an end of the wall, at a vertex
    of the air's chain, or where an arc of it stands upright."""
    air = skin.edge_air.segments
    ends = [np.column_stack([s, np.full(len(s), z)]) for z in (low, high)]
    best = np.minimum(*(air.distances(end).min(axis=1) for end in ends))
    meets = air.encloses(ends[0]) | air.encloses(ends[1])
    marks = np.vstack([air.a, _upright_spots(air)])
    for x, z in marks:
        best = np.minimum(best, np.hypot(s - x, max(low - z, z - high, 0.0)))
        if low <= z <= high:
            meets |= s <= x
    return np.where(meets, 0.0, best)


def _upright_spots(chain: Segments) -> np.ndarray:
    """The points (n, 2) of a chain's arcs that stand upright."""
    index = np.arange(len(chain))
    spots = [
        (chain.centre + np.array([side, 0.0]) * chain.radius[:, None])[
            chain.arc & chain.spans(np.full(len(chain), angle), index)
        ]
        for side, angle in ((1.0, 0.0), (-1.0, np.pi))
    ]
    return np.vstack(spots)
