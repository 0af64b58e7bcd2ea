"""Crossing counts: which points lie inside a closed chain, and where lines cross it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from bodycad.geometry.plane.segments import Segments

ENDS = 1e-9
"""By so much of its length a segment is taken longer at both ends where lines cross it."""
FEW = 2000
"""Up to this many pairs of point and segment are looked at all at once."""


def encloses(s: Segments, points: np.ndarray) -> np.ndarray:
    """Whether each of `points` (m, 2) lies inside the closed chain of segments.

    Parity of the chord polygon, turned over wherever the point lies between a chord and its arc.
    """
    x, y = points[:, :1], points[:, 1:]
    ax, ay, by, lean = s.chords
    above = ay > y
    straddles = above != (by > y)
    if len(points) * len(s) <= FEW:
        before = x < ax + (y - ay) * lean
        odd = np.logical_xor.reduce(straddles & before, axis=1)
        if s.curved:
            ax, ay, cx, cy, some, level, forth, rises, right = s.bows
            before, above = before[:, s.arcs], above[:, s.arcs]
            left = before == rises
            if some:
                left = np.where(level, forth != above, left)
            nx, ny = x - ax, y - ay
            within = nx * (nx - cx) + ny * (ny - cy) < 0.0
            odd ^= np.logical_xor.reduce(within & (left == right), axis=1)
        return odd
    row, column = np.nonzero(straddles)
    crossings = np.bincount(row[_before(s, points[row], column)], minlength=len(points))
    if s.curved:
        x0, y0, x1, y1 = s.boxes.T
        row, column = np.nonzero(s.arc & (x >= x0) & (x <= x1) & (y >= y0) & (y <= y1))
        crossings += np.bincount(row[_under_arc(s, points[row], column)], minlength=len(points))
    return crossings % 2 == 1


def encloses_grid(s: Segments, xs: np.ndarray, ys: np.ndarray) -> np.ndarray:
    """`encloses` for every point of a grid: (k, m) for rising abscissas `xs` (k,) and ordinates
    `ys` (m,)."""
    ax, ay, by, lean = s.chords
    row, chord = np.nonzero((ay > ys[:, None]) != (by > ys[:, None]))
    # Along a row, all points before a crossing are turned over.
    before = np.searchsorted(xs, ax[chord] + (ys[row] - ay[chord]) * lean[chord])
    turns = np.zeros((len(xs) + 1, len(ys)), int)
    np.add.at(turns, (before, row), 1)
    odd = np.cumsum(turns[:0:-1], axis=0)[::-1] % 2 == 1
    if s.curved:
        arcs = np.flatnonzero(s.arc)
        x0, y0, x1, y1 = s.boxes[arcs].T
        first, rows = np.searchsorted(xs, x0), np.searchsorted(ys, y0)
        wide, high = (
            np.searchsorted(xs, x1, "right") - first,
            np.searchsorted(ys, y1, "right") - rows,
        )
        arc = np.repeat(np.arange(len(arcs)), wide * high)
        place = np.arange(len(arc)) - np.repeat(np.cumsum(wide * high) - wide * high, wide * high)
        column, row = first[arc] + place // high[arc], rows[arc] + place % high[arc]
        under = _under_arc(s, np.column_stack([xs[column], ys[row]]), arcs[arc])
        np.logical_xor.at(odd, (column[under], row[under]), True)
    return odd


def crossed(s: Segments, base: np.ndarray, way: np.ndarray, low: float, high: float) -> np.ndarray:
    """Where each line `base` + t `way`, both (m, 2), crosses the segments: t (m, k), rising, inf
    where there are no more; t from `low` to `high` only. A line that runs along a segment does not
    cross it; a vertex that a line passes through is there at least once, and may be twice: ask
    `encloses` between crossings, do not count them."""
    ends = np.concatenate([base + low * way, base + high * way])
    (x0, y0), (x1, y1), boxes = ends.min(axis=0), ends.max(axis=0), s.boxes
    near = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.hstack(
            [
                _over_lines(s.take(np.flatnonzero(near & ~s.arc)), base, way),
                *_over_arcs(s.take(np.flatnonzero(near & s.arc)), base, way),
            ]
        )
        on = (t >= low) & (t <= high)
        return np.sort(np.where(on, t, np.inf), axis=1)[:, : int(on.sum(axis=1).max(initial=0))]


def _over_lines(s: Segments, base: np.ndarray, way: np.ndarray) -> np.ndarray:
    (bx, by), (wx, wy), (dx, dy) = base.T[:, :, None], way.T[:, :, None], (s.b - s.a).T
    across, rx, ry = wx * dy - wy * dx, s.a[:, 0] - bx, s.a[:, 1] - by
    share = (rx * wy - ry * wx) / across
    return np.where((share >= -ENDS) & (share <= 1.0 + ENDS), (rx * dy - ry * dx) / across, np.inf)


def _over_arcs(s: Segments, base: np.ndarray, way: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    (bx, by), (wx, wy), (cx, cy) = base.T[:, :, None], way.T[:, :, None], s.lever.T
    nx, ny, square = bx - s.a[:, 0], by - s.a[:, 1], wx * wx + wy * wy
    half, power = (nx - cx) * wx + (ny - cy) * wy, nx * (nx - 2.0 * cx) + ny * (ny - 2.0 * cy)
    # The root of the larger size first; the other by their product: neither loses digits.
    far = -half - np.copysign(np.sqrt(half * half - square * power), half)
    return tuple(
        np.where(s.faces((bx + t * wx) + 1j * (by + t * wy)), t, np.inf)
        for t in (far / square, power / far)
    )


def _before(s: Segments, points: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Whether each of `points` (k, 2) has chord `index` (k,) to its right, at its own height."""
    ax, ay, _, lean = (table[index] for table in s.chords)
    return points[:, 0] < ax + (points[:, 1] - ay) * lean


def _under_arc(s: Segments, points: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Whether each of `points` (k, 2) lies between chord and arc `index` (k,).

    The comparisons of the crossing count decide the side of the chord, so that a point on a chord
    is counted once: it is taken as shifted by an infinitesimal (+x, then +y).
    """
    a, b, y = s.a[index], s.b[index], points[:, 1]
    rise = b[:, 1] - a[:, 1]
    left = np.where(
        rise == 0.0,
        np.where(b[:, 0] > a[:, 0], y >= a[:, 1], y < a[:, 1]),
        _before(s, points, index) == (rise > 0),
    )
    near = points - a
    within = (near * (near - 2.0 * s.lever[index])).sum(axis=1) < 0.0
    return within & (left == (s.bulge[index] < 0))
