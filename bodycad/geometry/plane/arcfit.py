"""Smooth curves turned into tangent-continuous circular arcs within a named tolerance.

Each step is a biarc: two arcs that meet the curve's points and tangents at both ends and each
other's tangent between (equal arms). Its deviation shrinks with the cube of its length, which
steers a greedy search for the longest step that stays within the tolerance."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from bodycad.errors import InputError, number
from bodycad.geometry.plane.meet import gaps
from bodycad.geometry.plane.segments import Segments, turning

Curve = Callable[[np.ndarray], np.ndarray]
TOLERANCE = 0.01
"""Largest deviation (mm) of fitted arcs from their curve, unless another is named."""
SEARCH, PROOF = 16, 64
"""Samples a biarc while searching, and for the final measurement."""
MOST = 4096
"""More biarcs than this in one span mean a curve that is not smooth."""


def fit_arcs(
    point: Curve,
    slope: Curve,
    breaks: Sequence[float] | np.ndarray,
    tolerance: float = TOLERANCE,
    name: str = "a curve",
) -> np.ndarray:
    """Vertices (n, 3) x, y, bulge of an open chain of arcs within `tolerance` mm of a curve.

    `point` and `slope` map parameters (m,) to positions and derivatives (m, 2). The curve runs from
    the first to the last of `breaks` and the chain passes exactly through the curve at each of
    them; between two breaks the count of arcs is close to the least for equal-arm biarcs. The last
    row is the end point, with bulge 0. Raises InputError naming `name` when the curve is not
    finite, stands still or cannot be fitted."""
    number(f"{name}: the fitting tolerance", tolerance, 1e-6)
    marks = np.asarray(breaks, float)
    sound = marks.ndim == 1 and len(marks) > 1 and bool(np.isfinite(marks).all())
    if not sound or np.any(np.diff(marks) <= 0):
        what = f"{name}: the breaks of the parameter"
        raise InputError(what, marks.tolist(), "two or more finite, rising values")
    parts = fit_spans(point, slope, marks[:-1], marks[1:], tolerance, name)
    return np.vstack([*(rows[:-1] for rows in parts), parts[-1][-1:]])


def fit_spans(
    point: Curve,
    slope: Curve,
    begins: np.ndarray,
    ends: np.ndarray,
    tolerance: float,
    name: str = "a curve",
) -> list[np.ndarray]:
    """The chains of `fit_arcs` for many spans of a parameter at once, from each of `begins` (m,) to
    each of `ends` (m,), both rising. The spans need not follow each other, nor belong to one
    curve."""
    # Between two of the final samples the deviation may rise a little: up to 0.3 % was seen.
    limit = goal = 0.995 * tolerance
    for _ in range(8):
        knots = _march(point, slope, begins, ends, goal, name)
        first, last = np.searchsorted(knots, begins), np.searchsorted(knots, ends)
        index = np.concatenate([np.arange(a, b) for a, b in zip(first, last)])
        rows = _chain(point, slope, knots, name)
        worst = _proof(point, rows, knots, index)
        if worst <= limit:
            return [_tidy(rows[2 * a : 2 * b + 1]) for a, b in zip(first, last)]
        goal *= 0.97 * limit / worst
    allowed = f"a curve that arcs can follow within {tolerance:g} mm"
    raise InputError(name, f"{worst:g} mm off its arcs", allowed, "split it at its corners")


def biarcs(
    a: np.ndarray, u: np.ndarray, b: np.ndarray, v: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Equal-arm biarcs from points `a` (m, 2) along unit `u` to `b` along unit `v`.

    Returns the joints (m, 2) and both bulges (m,). Not finite where no such biarc exists."""
    w, both = b - a, u + v
    square, forward = (w * w).sum(axis=1), (w * both).sum(axis=1)
    spread = 2.0 * (1.0 - (u * v).sum(axis=1))
    with np.errstate(divide="ignore", invalid="ignore"):
        # The positive root of  spread * arm^2 + 2 * forward * arm = square, which holds for u = v.
        arm = square / (forward + np.sqrt(forward**2 + spread * square))
        joint = (a + b + arm[:, None] * (u - v)) / 2.0
        return joint, _bulge(u, joint - a), _bulge(b - joint, v)


def _bulge(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Bulge of an arc whose chord and end tangent (either way round) are `one` and `two`."""
    bulge = np.tan(turning(one, two) / 2.0)
    return np.where(np.abs(bulge) < 1e-12, 0.0, bulge)


def _unit(slope: Curve, t: np.ndarray, name: str) -> np.ndarray:
    d = np.asarray(slope(t), float)
    speed = np.hypot(*d.T)
    wrong = ~(np.isfinite(speed) & (speed > 0.0))
    if wrong.any():
        found = f"a slope of {d[wrong][0].tolist()} at t = {t[wrong][0]:g}"
        raise InputError(name, found, "a finite slope that is nowhere nil")
    return d / speed[:, None]


def _place(point: Curve, t: np.ndarray, name: str) -> np.ndarray:
    p = np.asarray(point(t), float)
    wrong = ~np.isfinite(p).all(axis=1)
    if wrong.any():
        found = f"a point {p[wrong][0].tolist()} at t = {t[wrong][0]:g}"
        raise InputError(name, found, "finite points in mm")
    return p


def _deviation(point: Curve, slope: Curve, t0: np.ndarray, t1: np.ndarray, name: str) -> np.ndarray:
    """Largest distance (m,) of the curve from the biarc over each [t0, t1]; inf without one."""
    ends = np.concatenate([t0, t1])
    p, u, m = _place(point, ends, name), _unit(slope, ends, name), len(t0)
    joint, one, two = biarcs(p[:m], u[:m], p[m:], u[m:])
    bend = np.abs(np.arctan(one)) + np.abs(np.arctan(two))
    sound = np.isfinite(bend) & (bend < np.pi / 4.0) & np.isfinite(joint).all(axis=1)
    joint = np.where(sound[:, None], joint, p[:m])
    bulge = np.concatenate([np.where(sound, one, 0.0), np.where(sound, two, 0.0)])
    arcs = Segments(np.concatenate([p[:m], joint]), np.concatenate([joint, p[m:]]), bulge)
    return np.where(sound, _off(point, arcs, t0, t1, SEARCH), np.inf)


def _off(point: Curve, arcs: Segments, t0: np.ndarray, t1: np.ndarray, samples: int) -> np.ndarray:
    """Largest distance (m,) of the curve over [t0, t1] from arcs k and m + k together."""
    m = len(t0)
    share = np.arange(1, samples) / samples
    t = t0[:, None] + share * (t1 - t0)[:, None]
    points = np.asarray(point(t.ravel()), float)
    first = np.repeat(np.arange(m), samples - 1)
    off = np.minimum(gaps(arcs, first, points), gaps(arcs, first + m, points))
    return off.reshape(m, -1).max(axis=1)


def _march(
    point: Curve, slope: Curve, begins: np.ndarray, ends: np.ndarray, goal: float, name: str
) -> np.ndarray:
    """Parameters of all biarc ends: all spans are walked at once in their longest steps."""
    here = begins.copy()
    step = ends - here
    knots = [begins, ends]
    for _ in range(MOST):
        on = np.flatnonzero(here < ends)
        if not len(on):
            return np.unique(np.concatenate(knots))
        step[on] = _longest(point, slope, here[on], ends[on], step[on], goal, name)
        here[on] = np.where(here[on] + step[on] >= ends[on], ends[on], here[on] + step[on])
        knots.append(here[on])
    found = f"more than {MOST} biarcs in one span"
    raise InputError(name, found, "a smooth curve", "split it at its corners")


def _longest(
    point: Curve,
    slope: Curve,
    t0: np.ndarray,
    ends: np.ndarray,
    guess: np.ndarray,
    goal: float,
    name: str,
) -> np.ndarray:
    """The longest step from each t0 whose biarc stays within `goal` (to a few percent)."""
    room = ends - t0
    low, high, step = np.zeros_like(room), np.full_like(room, np.inf), np.minimum(1.5 * guess, room)
    for trial in range(60):
        off = _deviation(point, slope, t0, t0 + step, name)
        fits = off <= goal
        low = np.where(fits, np.maximum(low, step), low)
        high = np.where(fits, high, np.minimum(high, step))
        done = (low >= room) | (low > 0.96 * high)
        if done.all() or (trial >= 7 and (low > 0).all()):
            return low
        # Deviation goes with the cube of the step; halve the bracket when the law fails.
        with np.errstate(divide="ignore", over="ignore"):
            aim = step * np.clip((0.97 * goal / off) ** (1.0 / 3.0), 0.1, 4.0)
        middle = np.where(np.isinf(high), 2.0 * low, (low + high) / 2.0)
        lost = (aim <= low * 1.001) | (aim >= high * 0.999) | (trial > 4)
        step = np.where(done, low, np.minimum(np.where(lost, middle, aim), room))
    found = f"no arc within {goal:g} mm from t = {t0[low <= 0][0]:g} on"
    raise InputError(name, found, "a smooth curve", "split it at its corners")


def _chain(point: Curve, slope: Curve, knots: np.ndarray, name: str) -> np.ndarray:
    p, u = _place(point, knots, name), _unit(slope, knots, name)
    joint, one, two = biarcs(p[:-1], u[:-1], p[1:], u[1:])
    rows = np.zeros((2 * len(knots) - 1, 3))
    rows[0::2, :2], rows[1::2, :2] = p, joint
    rows[0:-1:2, 2], rows[1::2, 2] = one, two
    return rows


def _proof(point: Curve, rows: np.ndarray, knots: np.ndarray, index: np.ndarray) -> float:
    """Largest distance of the curve from the biarcs that begin at the knots `index`."""
    a, b, bulge = rows[:-1, :2], rows[1:, :2], rows[:-1, 2]
    order = np.concatenate([2 * index, 2 * index + 1])
    arcs = Segments(a[order], b[order], bulge[order])
    return float(_off(point, arcs, knots[index], knots[index + 1], PROOF).max())


def _tidy(rows: np.ndarray) -> np.ndarray:
    """Arcs with a rise of less than 1e-9 mm become lines; from the end leads nothing on."""
    rise = np.abs(rows[:-1, 2]) * np.hypot(*(rows[1:, :2] - rows[:-1, :2]).T) / 2.0
    out = rows.copy()
    out[-1, 2] = 0.0
    out[:-1, 2] = np.where(rise < 1e-9, 0.0, rows[:-1, 2])
    return out
