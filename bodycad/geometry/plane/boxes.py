"""Boxes of segments in blocks, and runs of rows: what keeps long chains fast."""

from __future__ import annotations

import numpy as np

BLOCK = 8
"""Segments in a row whose common box is compared first."""


def blocks(boxes: np.ndarray) -> np.ndarray:
    """Common boxes of each BLOCK of `boxes` (n, 4) in a row."""
    first = np.arange(0, len(boxes), BLOCK)
    low, high = np.minimum.reduceat(boxes[:, :2], first), np.maximum.reduceat(boxes[:, 2:], first)
    return np.hstack([low, high])


def to_boxes(x: np.ndarray, y: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """Square of the distance from points to boxes (n, 4), as x and y broadcast with (n,)."""
    x0, y0, x1, y1 = boxes.T
    dx = np.maximum(np.maximum(x0 - x, x - x1), 0.0)
    dy = np.maximum(np.maximum(y0 - y, y - y1), 0.0)
    return dx * dx + dy * dy


def least_of_runs(values: np.ndarray, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Least of `values` (k,) in each run of equal `row` (k,), and the length of each run."""
    first = np.flatnonzero(row != np.append(-1, row[:-1]))
    return np.minimum.reduceat(values, first), np.diff(np.append(first, len(row)))
