"""Which cells of a grid lie inside closed contours: by the places where rows of cells cross lines
and arcs, worked out exactly, so that a cell is judged by its middle alone."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.plane.segments import Segments, portions
from bodycad.simulation.grid import Grid, Window


def filled(chain: Segments, grid: Grid, window: Window) -> np.ndarray:
    """Which cells (rows, columns) of a window an odd number of contours encloses."""
    xs, ys = grid.xs[window[1]], grid.ys[window[0]]
    turns = np.zeros((len(ys), len(xs) + 1), np.uint8)
    if not len(xs):
        return np.zeros((len(ys), 0), bool)
    for row, x in (*_lines(chain, ys), *_arcs(chain, ys)):
        # From the first cell whose middle lies beyond the crossing on, along the row.
        column = np.clip(np.ceil((x - xs[0]) / grid.pitch), 0, len(xs)).astype(int)
        np.bitwise_xor.at(turns, (row, column), np.uint8(1))
    inside: np.ndarray = np.bitwise_xor.accumulate(turns, axis=1)[:, :-1] == 1
    return inside


def _rows(low: np.ndarray, high: np.ndarray, ys: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The rows at low <= y < high of each span, and the span of each."""
    first, end = np.searchsorted(ys, low), np.searchsorted(ys, high)
    index, place = portions(np.maximum(end - first, 0))
    return first[index] + place, index


def _lines(s: Segments, ys: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    own = s.take(np.flatnonzero(~s.arc))
    a, b = own.a, own.b
    row, k = _rows(np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 1], b[:, 1]), ys)
    share = (ys[row] - a[k, 1]) / np.where(b[k, 1] == a[k, 1], 1.0, b[k, 1] - a[k, 1])
    return [(row, a[k, 0] + share * (b[k, 0] - a[k, 0]))]


def _arcs(s: Segments, ys: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """Arcs are cut where they are highest and lowest; each part then crosses a row once, on one
    side of its centre."""
    own = s.take(np.flatnonzero(s.arc))
    found = []
    begin = np.where(own.sweep >= 0.0, own.start, own.start + own.sweep)
    span = np.abs(own.sweep)
    for turn in range(-2, 4):
        # From -90 to 90 degrees an arc lies to the right of its centre, then to the left.
        low = np.maximum(begin, (turn - 0.5) * math.pi)
        high = np.minimum(begin + span, (turn + 0.5) * math.pi)
        k = np.flatnonzero(high > low)
        side = 1.0 if turn % 2 == 0 else -1.0
        ends = [_height(own, k, at[k], begin[k], span[k]) for at in (low, high)]
        row, j = _rows(np.minimum(*ends), np.maximum(*ends), ys)
        c, r = own.centre[k[j]], own.radius[k[j]]
        rise = ys[row] - c[:, 1]
        found.append((row, c[:, 0] + side * np.sqrt(np.maximum(r * r - rise * rise, 0.0))))
    return found


def _height(
    s: Segments, k: np.ndarray, angle: np.ndarray, begin: np.ndarray, span: np.ndarray
) -> np.ndarray:
    """The height of arcs at angles; at their ends as their neighbours have it."""
    first = np.where(s.sweep[k] >= 0.0, s.a[k, 1], s.b[k, 1])
    last = np.where(s.sweep[k] >= 0.0, s.b[k, 1], s.a[k, 1])
    on = s.centre[k, 1] + s.radius[k] * np.sin(angle)
    found: np.ndarray = np.where(angle == begin + span, last, on)
    return np.asarray(np.where(angle == begin, first, found))
