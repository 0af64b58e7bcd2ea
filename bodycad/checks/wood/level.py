"""Distances from places of a body to the air: in a level plane, and from upright walls."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.distance.shelf import shelf_distances
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.skin import Skin

EDGE, SHELF = -1, -2
"""The owners of air that belongs to the body's edge: all along it, and along a stretch of it."""


def level_reach(
    skin: Skin, points: np.ndarray, inset: np.ndarray, z: np.ndarray, shelves: bool = True
) -> tuple[np.ndarray, np.ndarray]:
    """Distance (m,) in the level plane at `z` (m,) from plan points (m, 2), whose distances in from
    the outline are `inset` (m,), to the air, negative in the air, mm; and whose air it is (m,): the
    index of a contour, or EDGE or SHELF for the outline with its edge treatment.

    A contour is cut by a plane only for points nearer to it in space than to what is known already:
    in the plane it is never nearer than in space. Without `shelves` the edges along stretches, and
    what a ledge takes under a contour, are left out."""
    levels, group = np.unique(z, return_inverse=True)
    reach = inset - np.array([skin.edge_inset(float(level)) for level in levels])[group]
    owner = np.full(len(points), EDGE)

    def nearer(rows: np.ndarray, away: np.ndarray, whose: int) -> None:
        less = away < reach[rows]
        reach[rows], owner[rows] = (
            np.where(less, away, reach[rows]),
            np.where(less, whose, owner[rows]),
        )

    for k, level in enumerate(levels if shelves and skin.shelves else ()):
        rows = np.flatnonzero(group == k)
        nearer(rows, shelf_distances(skin, points[rows], float(level), reach[rows])[0], SHELF)
    for index, contour in enumerate(skin.contours):
        carve = contour.carve
        # The plane's slice of a tilted sweep counts no ends.
        near = carve.endless.closest(np.column_stack([points, z]))[0] < np.maximum(reach, 1e-9)
        for k in np.unique(group[near]):
            rows = np.flatnonzero(near & (group == k))
            nearer(rows, carve.level_distances(points[rows], float(levels[k]))[0], index)
    return reach, owner


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
