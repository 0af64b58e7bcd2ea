"""Nearest segment of a long chain: boxes of whole blocks first, then of segments, then distances."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from bodycad.geometry.plane.segments import Segments

BLOCK = 8
"""Segments in a row whose common box is compared first."""


def away_by_blocks(s: Segments, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """For each of `points` (m, 2): distance (m,) and the index (m,) of the nearest segment; only
    those pairs are worked out whose box comes nearer than some segment's end."""
    x, y = points[:, :1], points[:, 1:]
    ends = _to_boxes(x, y, np.tile(s.a[::BLOCK], 2)).min(axis=1)
    row, block = np.nonzero(
        _to_boxes(x, y, blocks(s.boxes)) <= ends[:, None] * (1.0 + 1e-12) + 1e-18
    )
    count = np.minimum(len(s) - block * BLOCK, BLOCK)
    column = np.repeat(block * BLOCK - np.cumsum(count) + count, count) + np.arange(count.sum())
    row = np.repeat(row, count)
    x, y = points[row, 0], points[row, 1]
    ends = (x - s.a[column, 0]) ** 2 + (y - s.a[column, 1]) ** 2
    least = np.repeat(*_runs(ends, row))
    near = np.flatnonzero(_to_boxes(x, y, s.boxes[column]) <= least * (1.0 + 1e-12) + 1e-18)
    row, column = row[near], column[near]
    square = s.squares(x[near] + 1j * y[near], column)
    least, count = _runs(square, row)
    at_least = np.flatnonzero(square == np.repeat(least, count))
    pick = at_least[np.flatnonzero(row[at_least] != np.append(-1, row[at_least][:-1]))]
    return np.sqrt(least), column[pick]


def blocks(boxes: np.ndarray) -> np.ndarray:
    """Common boxes of each BLOCK of `boxes` (n, 4) in a row."""
    first = np.arange(0, len(boxes), BLOCK)
    return np.hstack(
        [np.minimum.reduceat(boxes[:, :2], first), np.maximum.reduceat(boxes[:, 2:], first)]
    )


def _to_boxes(x: np.ndarray, y: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """Square of the distance from points to boxes (n, 4), as x and y broadcast with (n,)."""
    x0, y0, x1, y1 = boxes.T
    dx, dy = (
        np.maximum(np.maximum(x0 - x, x - x1), 0.0),
        np.maximum(np.maximum(y0 - y, y - y1), 0.0),
    )
    return dx * dx + dy * dy


def _runs(values: np.ndarray, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Least of `values` (k,) in each run of equal `row` (k,), and the length of each run."""
    first = np.flatnonzero(row != np.append(-1, row[:-1]))
    return np.minimum.reduceat(values, first), np.diff(np.append(first, len(row)))
