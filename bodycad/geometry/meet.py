"""Where lines and arcs meet: every common point of a set of segments, pruned by boxes.

Two tolerances rule this family of modules. Curves whose nearest approach is within `TOUCH` are
tangent there, at one point. Points within `SNAP` of each other are one point, and an end within
`SNAP` of another segment lies on it; collinear and co-circular overlaps follow from that, because
their extent is marked by such ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bodycad.geometry.profile import Profile
from bodycad.geometry.segments import Segments

TOUCH = 1e-9
SNAP = 1e-7


@dataclass(frozen=True, eq=False)
class Meetings:
    """m common points (m, 2) of segments `first` and `second` at fractions `t` and `u` of them."""

    first: np.ndarray
    second: np.ndarray
    t: np.ndarray
    u: np.ndarray
    points: np.ndarray


def meetings(s: Segments) -> Meetings:
    """All points that two of the segments have in common, shared ends included.

    An overlap is reported by the ends that lie in it. A point may be reported more than once.
    """
    i, j = box_pairs(s.boxes, SNAP)
    crossed = [np.concatenate(parts) for parts in zip(_line_line(s, i, j), _line_arc(s, i, j), _arc_arc(s, i, j))]
    crossed[2] = _polished(s, *crossed)
    first, second, points = (np.concatenate(parts) for parts in zip(_ends_on(s, i, j), crossed))
    t, u = s.along(points, first), s.along(points, second)
    slack_t, slack_u = (SNAP / np.maximum(s.length[k], SNAP) for k in (first, second))
    on = (t >= -slack_t) & (t <= 1.0 + slack_t) & (u >= -slack_u) & (u <= 1.0 + slack_u)
    return Meetings(first[on], second[on], t[on], u[on], points[on])


def crossings(shape: Profile) -> np.ndarray:
    """Points (m, 2) where the chain crosses or touches itself; empty for a sound profile."""
    s = shape.segments
    found = meetings(s)
    # Where each meeting lies along the chain: a joint is met by both sides at one place.
    begin = np.concatenate([[0.0], np.cumsum(s.length)[:-1]])
    ahead = begin[found.first] + found.t * s.length[found.first]
    apart = np.abs(ahead - begin[found.second] - found.u * s.length[found.second])
    return found.points[np.minimum(apart, shape.length - apart) > 10.0 * SNAP]


def box_pairs(boxes: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Index pairs i, j (each pair once, i != j) of boxes (n, 4) that come within `reach` mm of each other on both axes."""
    order = np.argsort(boxes[:, 0], kind="stable")
    low, high = boxes[order, 0], boxes[order, 2]
    count = np.searchsorted(low, high + reach, side="right") - np.arange(len(order)) - 1
    one = np.repeat(np.arange(len(order)), count)
    two = one + 1 + np.arange(len(one)) - np.repeat(np.cumsum(count) - count, count)
    i, j = order[one], order[two]
    level = (boxes[i, 1] <= boxes[j, 3] + reach) & (boxes[j, 1] <= boxes[i, 3] + reach)
    return i[level], j[level]


def gaps(s: Segments, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Distance (m,) in mm from each of `points` (m, 2) to its own segment `index` (m,)."""
    t = s.along(points, index)
    off, _ = _off(s, index, points)
    ends = np.minimum(np.hypot(*(points - s.a[index]).T), np.hypot(*(points - s.b[index]).T))
    return np.where((t >= 0.0) & (t <= 1.0), np.abs(off), ends)


def _off(s: Segments, index: np.ndarray, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Signed distance (m,) of points from the whole line or circle of segment `index`, and its gradient (m, 2)."""
    d = s.ahead[index]
    normal = np.stack([-d[:, 1], d[:, 0]], axis=1)
    ring, out = s.radial(points, index)
    arc = s.arc[index]
    return np.where(arc, ring, ((points - s.a[index]) * normal).sum(axis=1)), np.where(arc[:, None], out, normal)


def _polished(s: Segments, i: np.ndarray, j: np.ndarray, points: np.ndarray) -> np.ndarray:
    """The points after one Newton step onto both curves, where those cross plainly."""
    (f, u), (g, v) = _off(s, i, points), _off(s, j, points)
    turn = _cross(u, v)
    plain = np.abs(turn) > 1e-4
    turn = np.where(plain, turn, 1.0)
    step = np.stack([(f * v[:, 1] - g * u[:, 1]) / turn, (g * u[:, 0] - f * v[:, 0]) / turn], axis=1)
    return points - np.where(plain[:, None], step, 0.0)


def _ends_on(s: Segments, i: np.ndarray, j: np.ndarray):
    first, second = np.concatenate([i, i, j, j]), np.concatenate([j, j, i, i])
    points = np.concatenate([s.a[j], s.b[j], s.a[i], s.b[i]])
    on = gaps(s, first, points) <= SNAP
    return first[on], second[on], points[on]


def _line_line(s: Segments, i: np.ndarray, j: np.ndarray):
    both = ~s.arc[i] & ~s.arc[j]
    i, j = i[both], j[both]
    d, e, gap = s.b[i] - s.a[i], s.b[j] - s.a[j], s.a[j] - s.a[i]
    cross = _cross(d, e)
    askew = np.abs(cross) > 1e-12 * s.chord[i] * s.chord[j]
    t = _cross(gap, e) / np.where(askew, cross, 1.0)
    return i[askew], j[askew], (s.a[i] + t[:, None] * d)[askew]


def _line_arc(s: Segments, i: np.ndarray, j: np.ndarray):
    mixed = s.arc[i] != s.arc[j]
    i, j = i[mixed], j[mixed]
    line, ring = np.where(s.arc[i], j, i), np.where(s.arc[i], i, j)
    ahead = s.ahead[line]
    to_centre, r = s.centre[ring] - s.a[line], s.radius[ring]
    foot = s.a[line] + (to_centre * ahead).sum(axis=1)[:, None] * ahead
    off = np.abs(_cross(ahead, to_centre))
    half = np.sqrt(np.maximum((r - off) * (r + off), 0.0))
    return _either_side(line, ring, foot, half[:, None] * ahead, r - off)


def _arc_arc(s: Segments, i: np.ndarray, j: np.ndarray):
    both = s.arc[i] & s.arc[j]
    i, j = i[both], j[both]
    across = s.centre[j] - s.centre[i]
    d, r, q = np.hypot(*across.T), s.radius[i], s.radius[j]
    apart = d > 1e-12
    i, j, across, d, r, q = i[apart], j[apart], across[apart], d[apart], r[apart], q[apart]
    unit = across / d[:, None]
    # How deep the circles cross, measured along their common axis: nil when they are tangent.
    depth = np.minimum(r + q - d, d - np.abs(r - q))
    reach = (d + (r - q) * (r + q) / d) / 2.0
    reach = np.where(depth <= TOUCH, np.copysign(r, reach), reach)
    half = np.sqrt(np.maximum((r - reach) * (r + reach), 0.0))
    normal = np.stack([-unit[:, 1], unit[:, 0]], axis=1)
    return _either_side(i, j, s.centre[i] + reach[:, None] * unit, half[:, None] * normal, depth)


def _either_side(i, j, foot, half, depth):
    """The points `foot` +- `half` where curves cross `depth` mm deep, `foot` alone where they touch."""
    touch, cut = np.abs(depth) <= TOUCH, depth > TOUCH
    return (np.concatenate([i[touch], i[cut], i[cut]]), np.concatenate([j[touch], j[cut], j[cut]]),
            np.concatenate([foot[touch], (foot + half)[cut], (foot - half)[cut]]))


def _cross(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
