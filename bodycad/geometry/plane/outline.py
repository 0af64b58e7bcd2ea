"""Closed outlines through given points: a smooth curve, then tangent-continuous arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from bodycad.declare import Text, between, declared, mm, over
from bodycad.errors import InputError
from bodycad.geometry.plane.arcfit import TOLERANCE, fit_arcs
from bodycad.geometry.plane.build import OFF_AXIS
from bodycad.geometry.plane.fillet import filleted
from bodycad.geometry.plane.profile import (
    MOST,
    Point,
    Points,
    Profile,
    in_reach,
    refuse_crossing,
    trusted,
)

Places = tuple[Annotated[int, between(0, MOST)], ...]
Fillets = tuple[tuple[Annotated[int, between(0, MOST)], Annotated[float, over(1e4)]], ...]
APART = 1e-6
"""Two outline points nearer than this (mm) are one point given twice."""


@dataclass(frozen=True, eq=False)
class Spline:
    """A curvature-continuous cubic by `points` (n, 2), `knots` (n,), second derivatives `bends`.

    The knots are the running chord length: measured on unevenly sampled outlines, centripetal knots
    strayed up to eight times further from the sampled shape."""

    knots: np.ndarray
    points: np.ndarray
    bends: np.ndarray

    def point(self, t: np.ndarray) -> np.ndarray:
        """Positions (m, 2) at parameters `t` (m,)."""
        k, h, u, v = self._span(t)
        p, m = self.points, self.bends
        return v * p[k] + u * p[k + 1] + h**2 / 6.0 * ((v**3 - v) * m[k] + (u**3 - u) * m[k + 1])

    def slope(self, t: np.ndarray) -> np.ndarray:
        """First derivatives (m, 2) at parameters `t` (m,)."""
        k, h, u, v = self._span(t)
        p, m = self.points, self.bends
        bend = (3.0 * u**2 - 1.0) * m[k + 1] - (3.0 * v**2 - 1.0) * m[k]
        return (p[k + 1] - p[k]) / h + h / 6.0 * bend

    def _span(self, t: np.ndarray) -> tuple[np.ndarray, ...]:
        k = np.clip(np.searchsorted(self.knots, t, side="right") - 1, 0, len(self.knots) - 2)
        h = (self.knots[k + 1] - self.knots[k])[:, None]
        u = (t - self.knots[k])[:, None] / h
        return k, h, u, 1.0 - u


def closed_spline(points: np.ndarray) -> Spline:
    """The periodic cubic through `points` (n, 2) and back (a cyclic tridiagonal system)."""
    ring = np.vstack([points, points[:1]])
    h = np.hypot(*np.diff(ring, axis=0).T)
    rate = np.diff(ring, axis=0) / h[:, None]
    right = 6.0 * (rate - np.roll(rate, 1, axis=0))
    bends = _cyclic(np.roll(h, 1), h, right)
    return Spline(np.concatenate([[0.0], np.cumsum(h)]), ring, np.vstack([bends, bends[:1]]))


def open_spline(
    points: np.ndarray, first: np.ndarray | None = None, last: np.ndarray | None = None
) -> Spline:
    """The cubic through `points` (n, 2). It ends along the unit directions `first` and `last`
    (2,), and in a parabola where there is none; a line for two points without either."""
    h = np.hypot(*np.diff(points, axis=0).T)
    rate = np.diff(points, axis=0) / h[:, None]
    inner = np.zeros((len(points), 2))
    if first is not None or last is not None:
        # An end without a direction bends as its neighbour does.
        low, main, high = np.append(0.0, h), np.zeros(len(points)), np.append(h, 0.0)
        main[1:-1] = 2.0 * (h[:-1] + h[1:])
        right = np.vstack([np.zeros(2), 6.0 * np.diff(rate, axis=0), np.zeros(2)])
        main[0], high[0] = (1.0, -1.0) if first is None else (2.0 * h[0], h[0])
        main[-1], low[-1] = (1.0, -1.0) if last is None else (2.0 * h[-1], h[-1])
        right[0] = 0.0 if first is None else 6.0 * (rate[0] - first)
        right[-1] = 0.0 if last is None else 6.0 * (last - rate[-1])
        inner = _tridiagonal(low, main, high, right)
    elif len(points) > 2:
        inner[1:-1] = 6.0 * np.diff(rate, axis=0)
        # The ends bend as their neighbours do.
        main = 2.0 * (h[:-1] + h[1:])
        main[0] += h[0]
        main[-1] += h[-1]
        inner[1:-1] = _tridiagonal(h[:-1], main, h[1:], inner[1:-1])
        inner[0], inner[-1] = inner[1], inner[-2]
    return Spline(np.concatenate([[0.0], np.cumsum(h)]), points, inner)


def _tridiagonal(
    low: np.ndarray, main: np.ndarray, high: np.ndarray, right: np.ndarray
) -> np.ndarray:
    """Solutions (n, k) of a tridiagonal system that is diagonally dominant: by elimination, whose
    cost grows with n. `low[0]` and `high[-1]` do not count."""
    n, columns = len(main), right.T.tolist()
    below, above, pivot = low.tolist(), high.tolist(), main.tolist()
    for k in range(1, n):
        share = below[k] / pivot[k - 1]
        pivot[k] -= share * above[k - 1]
        for column in columns:
            column[k] -= share * column[k - 1]
    for column in columns:
        column[-1] /= pivot[-1]
        for k in range(n - 2, -1, -1):
            column[k] = (column[k] - above[k] * column[k + 1]) / pivot[k]
    return np.array(columns).T


def _cyclic(before: np.ndarray, after: np.ndarray, right: np.ndarray) -> np.ndarray:
    """Solutions (n, k) where each unknown also has its neighbour across the ends: 2 (before +
    after) itself, and `before` and `after` its neighbours (Sherman and Morrison, 1950)."""
    n, main, corner = len(before), 2.0 * (before + after), float(before[0])
    one, far = np.zeros(n), np.zeros(n)
    one[0], one[-1] = -main[0], corner
    far[0], far[-1] = 1.0, -corner / main[0]
    core = main.copy()
    core[0] += main[0]
    core[-1] += corner * corner / main[0]
    both = _tridiagonal(before, core, after, np.column_stack([right, one]))
    found, more = both[:, :-1], both[:, -1]
    top, base = (far[0] * x[0] + far[-1] * x[-1] for x in (found, more))
    share = top / (1.0 + base)
    return found - more[:, None] * share


@declared("{name}")
def smooth_outline(
    points: Points,
    tolerance: Annotated[float, mm(0.0001, 5.0)] = TOLERANCE,
    corners: Places = (),
    name: Text = "an outline",
    straight: Places = (),
    fillets: Fillets = (),
) -> Profile:
    """A closed outline of tangent-continuous arcs through (x, y) `points` in order, mm.

    The arcs stay within `tolerance` mm of a curve of continuous curvature and pass through every
    point. `corners` lists the indices of sharp points; between two neighbouring corners runs a
    straight line, or a smooth curve when there are points between them. `straight` lists points
    from which a straight line leads to the next one, and runs on smoothly on either side but at a
    corner. `fillets` are corners, (index, radius in mm) each, that get an arc tangent to both
    sides. Raises InputError naming `name` for fewer than three points, repeated points, a fillet
    that does not fit, or an outline that crosses itself."""
    given = _given(points, 3, name)
    _apart(np.vstack([given, given[:1]]), name)
    n = len(given)
    sharp = _corners((*corners, *(k for k, _ in fillets)), n, name)
    lines = _corners(straight, n, name)
    order, axis = _order(given, sharp, lines)
    ring, place = given[order], np.argsort(order)
    own = sorted(int(place[k]) for k in sharp)
    runs = {_run(int(place[k]), int(place[(k + 1) % n]), n) for k in lines}
    if axis is None:
        begin = min([*own, *runs], default=0)
        rows = _rows(ring, own, tolerance, name, begin, begin + n, runs)[:-1]
    else:
        rows = _both(_rows(ring, own, tolerance, name, axis / 2.0, (axis + n) / 2.0, runs))
    rows = filleted(rows, ((_spot(given[k]), radius) for k, radius in fillets), name)
    first = int(np.argmin(np.hypot(*(rows[:, :2] - given[0]).T)))
    return _sound(np.roll(rows, -first, axis=0), given, name)


def _run(one: int, two: int, n: int) -> int:
    """The place after which a straight run between two neighbouring places of a ring begins."""
    return one if (one + 1) % n == two else two


def _spot(point: np.ndarray) -> Point:
    return float(point[0]), float(point[1])


def _order(points: np.ndarray, sharp: list[int], lines: list[int]) -> tuple[np.ndarray, int | None]:
    """The order (n,) in which a ring of points is fitted, the same from wherever and whichever way
    it is listed, and for the points of its mirror image; and where the ring is its own mirror
    image, the c for which places k and c - k of that order mirror each other, else None."""
    n, edgy = len(points), np.zeros(len(points))
    edgy[sharp] = 1.0
    for k in lines:  # either end of a straight run
        edgy[[k, (k + 1) % n]] += 2.0
    keys = np.column_stack([points[:, 0], np.abs(points[:, 1]), edgy])
    rank = np.unique(keys, axis=0, return_inverse=True)[1].ravel()
    ways = [(k + way * np.arange(n)) % n for k in np.flatnonzero(rank == 0) for way in (1, -1)]
    ways.sort(key=lambda way: rank[way].tolist(), reverse=True)
    best = ways[0]
    for other in ways[1:]:
        alike = np.array_equal(rank[other], rank[best])  # corners too
        if alike and np.array_equal(points[other], points[best] * [1.0, -1.0]):
            c = int(np.flatnonzero(best == other[0])[0])
            if np.array_equal(other, best[(c - np.arange(n)) % n]):
                return best, c
    return best, None


def _both(half: np.ndarray) -> np.ndarray:
    """The closed chain of an open half (n, 3) that ends on the centreline, and its mirror image."""
    half[[0, -1], 1] = 0.0
    back = np.column_stack([half[:0:-1, 0], -half[:0:-1, 1], half[-2::-1, 2]])
    return np.vstack([half[:-1], back])


@declared("{name}")
def smooth_half(
    points: Points,
    tolerance: Annotated[float, mm(0.0001, 5.0)] = TOLERANCE,
    corners: Places = (),
    name: Text = "an outline",
    straight: Places = (),
    fillets: Fillets = (),
) -> Profile:
    """An outline symmetric about the centreline y = 0 from the points of its +y half, mm.

    The first and the last point lie on y = 0, where the outline runs square to the centreline
    unless the point is listed in `corners`. Otherwise as `smooth_outline`."""
    half = _given(points, 3, name)
    if np.any(np.abs(half[[0, -1], 1]) > 1e-9):
        raise InputError(name, *OFF_AXIS)
    if np.any(half[1:-1, 1] <= 0.0):
        low = tuple(half[1 + int(np.argmin(half[1:-1, 1]))].tolist())
        raise InputError(name, f"a point {low} between the ends of its half", "y above 0 there")
    half[[0, -1], 1] = 0.0
    _apart(half, name)
    last = len(half) - 1
    sharp = _corners((*corners, *(k for k, _ in fillets)), len(half), name)
    lines = _corners(straight, last, name)
    whole = np.vstack([half, half[-2:0:-1] * [1.0, -1.0]])
    both = sorted({*sharp, *((2 * last - k) % (2 * last) for k in sharp)})
    runs = {*lines, *(2 * last - k - 1 for k in lines)}
    rows = _both(_rows(whole, both, tolerance, name, 0.0, last, runs))
    spots = {_spot(half[k] * [1.0, way]): radius for k, radius in fillets for way in (1.0, -1.0)}
    return _sound(filleted(rows, spots.items(), name), half, name)


def _rows(
    points: np.ndarray,
    sharp: list[int],
    tolerance: float,
    name: str,
    begin: float,
    end: float,
    runs: set[int],
) -> np.ndarray:
    """Vertices of the closed curve through `points` from place `begin` to `end`, which may lie
    halfway between two points, both ends included. A curve with corners may pass its beginning."""
    n, rows = len(points), []
    breaks = sorted({*sharp, *runs, *((k + 1) % n for k in runs)})
    for one, two in _spans(breaks, n):
        low, high = max(begin, one), min(end, two)
        if low >= high:
            continue
        chosen = points[np.arange(one, two + 1) % n]
        if one % n in runs:
            curve = open_spline(chosen)
        elif breaks:
            first = _along(points, one - 1, n) if _smooth(one - 1, one, runs, sharp, n) else None
            last = _along(points, two, n) if _smooth(two, two, runs, sharp, n) else None
            curve = open_spline(chosen, first, last)
        else:
            curve = closed_spline(points)
        places = np.unique([low, *range(math.ceil(low), math.floor(high) + 1), high]) - one
        knots = np.interp(places, np.arange(len(curve.knots)), curve.knots)
        rows.append(fit_arcs(curve.point, curve.slope, knots, tolerance, name))
    return np.vstack([*(part[:-1] for part in rows), rows[-1][-1:]])


def _smooth(run: int, place: int, runs: set[int], sharp: list[int], n: int) -> bool:
    """Whether the curve runs on smoothly from or into the straight run, over `place`."""
    return run % n in runs and place % n not in sharp


def _along(points: np.ndarray, k: int, n: int) -> np.ndarray:
    """Unit direction of the straight run after place `k`."""
    way = points[(k + 1) % n] - points[k % n]
    return way / np.hypot(*way)


def _spans(breaks: list[int], n: int) -> list[tuple[int, int]]:
    """The places between which each smooth piece of a closed curve runs, over three turns."""
    if not breaks:
        return [(0, n)]
    ends = [k + turn for turn in (-n, 0, n) for k in breaks]
    return list(zip(ends, [*ends[1:], breaks[0] + 2 * n]))


def _sound(rows: np.ndarray, given: np.ndarray, name: str) -> Profile:
    """The closed chain as a profile. Raises InputError where it crosses or touches itself."""
    made = Profile(rows)

    def label(k: int) -> str:
        middle = made.segments.take(np.array([k])).at(np.array([0.5]))[0]
        away = np.hypot(given[:, 0] - middle[0], np.abs(given[:, 1]) - abs(middle[1]))
        return f"its arc near point {int(np.argmin(away))}"

    refuse_crossing(made, name, label)
    return trusted(rows, name)


def _given(points: Sequence[Point], least: int, name: str) -> np.ndarray:
    rows = np.array(points, float)
    if len(rows) < least:
        raise InputError(name, f"{len(rows)} points", f"at least {least} points")
    in_reach(rows, name, MOST // 2)  # each point makes two arcs
    if np.linalg.svd(rows - rows.mean(axis=0), compute_uv=False)[-1] < APART:
        raise InputError(name, "points on one line", "points that enclose an area")
    return rows


def _apart(rows: np.ndarray, name: str) -> None:
    same = np.flatnonzero(np.hypot(*np.diff(rows, axis=0).T) < APART)
    if len(same):
        k = int(same[0])
        found = f"point {k}, {tuple(rows[k].tolist())}, given twice in a row"
        remedy = "leave the repeated point out; the outline closes by itself"
        raise InputError(name, found, "distinct points", remedy)


def _corners(corners: Sequence[int], count: int, name: str) -> list[int]:
    for k in corners:
        if isinstance(k, bool) or not isinstance(k, (int, np.integer)) or not 0 <= k < count:
            raise InputError(f"{name}: a corner", k, f"an index from 0 to {count - 1}")
    return sorted({int(k) for k in corners})
