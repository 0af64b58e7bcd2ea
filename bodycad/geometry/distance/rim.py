"""The distance from the walls of an upright shape to a contour that its mouth runs into.

Both are open to one face, so a wall is nearest to the contour at its top; and as contour and rim
come together somewhere, only what lies some way under the rim says how thin the wall is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bodycad.geometry.distance.search import BOUND, MOST_CELLS, Best, Gap
from bodycad.geometry.plane.segments import Segments, portions
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.geometry.solids.solid import Shape
from bodycad.words import Face

SPACING = 0.5
"""Spacing of the places that a search begins with, mm."""


def rim_gap(
    prism: Prism,
    walls: Segments,
    contour: Contour,
    skin: Skin,
    lip: float,
    others: Sequence[Shape] = (),
) -> Gap | None:
    """Least distance from the upright lines of `walls`, from `lip` mm under the shaped face that
    the prism opens, to what a contour of that face takes inside the outline; None where no wall is
    so high.

    `others`: what lies in one of these is no wall. Between places that are looked at the distance
    falls by no more than the way from one to the next allows; it is searched so to within
    `search.BOUND`."""
    index, place = portions(np.maximum(np.ceil(walls.length / SPACING), 1.0).astype(int))
    count = np.bincount(index, minlength=len(walls))[index]
    low, high = place / count, (place + 1.0) / count
    best = Best(np.inf, np.zeros(3), np.zeros(3))

    def look(index: np.ndarray, t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        points = _under(prism, walls.take(index).at(t), contour.face, skin, lip)
        real = np.isfinite(points[:, 2])
        distance, foot = np.full(len(points), np.inf), points.copy()
        distance[real], foot[real] = contour.carve.closest(points[real])
        real[real] &= skin.inset(foot[real, :2]) >= -BOUND
        for other in others:
            real[real] &= other.closest(points[real])[0] > 0.0
        if real.any():
            best.offer(distance[real], points[real], foot[real])
        return np.where(real, distance, np.inf), points

    at_low, at_high = look(index, low), look(index, high)
    while len(index):
        way = np.linalg.norm(at_high[1] - at_low[1], axis=1)
        ends = np.minimum(at_low[0], at_high[0]) - (high - low) * walls.length[index]
        both = np.isfinite(at_low[0]) & np.isfinite(at_high[0])
        least = np.where(both, (at_low[0] + at_high[0] - way) / 2.0, ends)
        keep = (least < best.distance - BOUND) & ((high - low) * walls.length[index] > BOUND)
        if keep.sum() > MOST_CELLS // 4:
            best.bound = float(best.distance - least.min())
            break
        index, low, high = index[keep], low[keep], high[keep]
        left, right = _rows(at_low, keep), _rows(at_high, keep)
        middle = (low + high) / 2.0
        between = look(index, middle)
        index, low, high = (
            np.tile(index, 2),
            np.concatenate([low, middle]),
            np.concatenate([middle, high]),
        )
        at_low, at_high = _joined(left, between), _joined(between, right)
    return best.gap() if np.isfinite(best.distance) else None


def _under(prism: Prism, plan: np.ndarray, face: Face, skin: Skin, lip: float) -> np.ndarray:
    """The points (m, 3) of walls over plan points (m, 2) that lie `lip` mm under the shaped face;
    their heights are nan where the wall is not so high."""
    rim = skin.height(face, plan)
    if face is Face.FRONT:
        z = np.minimum(rim, prism.high) - lip
        z = np.where(z >= prism.floor_at(plan), z, np.nan)
    else:
        z = np.maximum(rim, prism.floor_at(plan)) + lip
        z = np.where(z <= prism.high, z, np.nan)
    return np.column_stack([plan, z])


def _rows(found: tuple[np.ndarray, np.ndarray], keep: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return found[0][keep], found[1][keep]


def _joined(
    one: tuple[np.ndarray, np.ndarray], two: tuple[np.ndarray, np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    return np.concatenate([one[0], two[0]]), np.vstack([one[1], two[1]])
