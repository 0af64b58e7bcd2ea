"""Where lines and arcs meet: every common point of a set of segments, pruned by boxes.

Two tolerances rule this family of modules. Curves whose nearest approach is within `TOUCH` are
tangent there, at one point. Points within `SNAP` of each other are one point, and an end within
`SNAP` of another segment lies on it; collinear and co-circular overlaps follow from that, because
their extent is marked by such ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.boxes import BLOCK, blocks
from bodycad.geometry.plane.segments import Segments, places

TOUCH = 1e-9
SNAP = 1e-7
SWEPT = 512
"""Boxes, or pairs of blocks of them, that are compared at once."""


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

    An overlap is reported by the ends that lie in it. A point may be reported more than once."""
    i, j = box_pairs(s.boxes, SNAP)
    first, second, points = (
        np.concatenate(parts) for parts in zip(_ends_on(s, i, j), _crossed(s, i, j))
    )
    t, u = along(s, points, first), along(s, points, second)
    slack_t, slack_u = (SNAP / np.maximum(s.length[k], SNAP) for k in (first, second))
    on = (t >= -slack_t) & (t <= 1.0 + slack_t) & (u >= -slack_u) & (u <= 1.0 + slack_u)
    on &= np.maximum(*(_off(s, k, points) for k in (first, second))) <= SNAP
    return Meetings(first[on], second[on], t[on], u[on], points[on])


def crossings(s: Segments) -> np.ndarray:
    """Points (m, 2) where a closed chain crosses or touches itself; empty for a sound one."""
    return _own_meetings(s).points


def _own_meetings(s: Segments) -> Meetings:
    found = meetings(s)
    # Where each meeting lies along the chain: a joint is met by both sides at one place.
    begin = np.concatenate([[0.0], np.cumsum(s.length)[:-1]])
    ahead = begin[found.first] + found.t * s.length[found.first]
    apart = np.abs(ahead - begin[found.second] - found.u * s.length[found.second])
    wrong = np.flatnonzero(np.minimum(apart, s.length.sum() - apart) > 10.0 * SNAP)
    first, second, t, u, points = (
        one[wrong] for one in (found.first, found.second, found.t, found.u, found.points)
    )
    return Meetings(first, second, t, u, points)


def crossing_words(s: Segments, label: Callable[[int], str]) -> str:
    """Where a closed chain first crosses or touches itself, in words, with its place and, by
    `label`, the two segments that meet there; "" for a sound chain."""
    found = _own_meetings(s)
    if not len(found.points):
        return ""
    one, two = sorted((int(found.first[0]), int(found.second[0])))
    x, y = found.points[0]
    ends = label(one) if one == two else f"{label(one)} and {label(two)}"
    return f"a chain that crosses or touches itself at ({x:.3f}, {y:.3f}): {ends} meet there"


def box_pairs(boxes: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Index pairs i, j (each pair once, i != j) of boxes (n, 4) within `reach` mm on both axes, by
    their left sides."""
    order = np.argsort(boxes[:, 0], kind="stable")
    if len(boxes) > 2 * SWEPT:
        return _by_blocks(boxes, order, reach)
    low, high = boxes[order, 0], boxes[order, 2]
    count = np.searchsorted(low, high + reach, side="right") - np.arange(len(order)) - 1
    one = np.repeat(np.arange(len(order)), count)
    two = one + 1 + np.arange(len(one)) - np.repeat(np.cumsum(count) - count, count)
    i, j = order[one], order[two]
    level = _near(boxes, i, j, reach, 1)
    return i[level], j[level]


def _near(boxes: np.ndarray, i: np.ndarray, j: np.ndarray, reach: float, axis: int) -> np.ndarray:
    """Whether boxes i and j (m,) are within `reach` mm along an axis."""
    low, high = boxes[:, axis], boxes[:, axis + 2]
    near: np.ndarray = (low[i] <= high[j] + reach) & (low[j] <= high[i] + reach)
    return near


def _by_blocks(boxes: np.ndarray, order: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """`box_pairs` of many: common boxes of each BLOCK in a row first, which of chains lie near each
    other, so that neither time nor memory grows with the square of their number."""
    rank, every = np.argsort(order), np.arange(-(-len(boxes) // BLOCK))
    one, two = box_pairs(blocks(boxes), reach)
    one, two = np.concatenate([one, every]), np.concatenate([two, every])
    i, j = (np.zeros(0, int),) * 2
    found = [(i, j)]
    for k in range(0, len(one), SWEPT):
        a, b = one[k : k + SWEPT], two[k : k + SWEPT]
        place = np.arange(BLOCK)
        i = np.repeat(a[:, None] * BLOCK + place, BLOCK, axis=1).ravel()
        j = np.tile(b[:, None] * BLOCK + place, (1, BLOCK)).ravel()
        real = (np.maximum(i, j) < len(boxes)) & ((i < j) | (np.repeat(a != b, BLOCK * BLOCK)))
        i, j = i[real], j[real]
        near = _near(boxes, i, j, reach, 0) & _near(boxes, i, j, reach, 1)
        found.append((i[near], j[near]))
    i, j = (np.concatenate(part) for part in zip(*found))
    first = rank[i] < rank[j]
    i, j = np.where(first, i, j), np.where(first, j, i)
    rising = np.lexsort((rank[j], rank[i]))
    return i[rising], j[rising]


def along(s: Segments, points: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Fraction (...) of segment `index` where it is nearest to `points` (..., 2), not clamped."""
    span = np.where(s.arc, np.abs(s.sweep), np.where(s.chord > 0, s.chord, 1.0))[index]
    ux, uy = s.ahead[index].T
    out = points - ((s.a + s.b) / 2.0)[index]
    x = out[..., 0] * ux + out[..., 1] * uy
    way = np.sign(s.bulge)[index]
    # From the centre, `turn` is the angle between the point and the middle of the arc.
    turn = np.arctan2(x, way * (s.height[index] - out[..., 1] * ux + out[..., 0] * uy))
    return 0.5 + np.where(way != 0.0, turn / span, x / span)


def radial(s: Segments, points: np.ndarray, index: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Distance (...) of `points` (..., 2) outside arc `index`'s circle; ways from its centre."""
    near, centre = points - s.a[index], s.lever[index]
    out = near - centre
    reach = np.hypot(out[..., 0], out[..., 1])
    # The power of the point over the sum of both distances: no large numbers are subtracted.
    both = reach + s.radius[index]
    beyond = (near * (near - 2.0 * centre)).sum(axis=-1) / np.where(both > 0, both, 1.0)
    return beyond, out / np.where(reach > 0, reach, 1.0)[..., None]


def gaps(s: Segments, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Distance (m,) in mm from each of `points` (m, 2) to its own segment `index` (m,)."""
    return np.sqrt(s.squares(places(points), index))


Contacts = tuple[np.ndarray, np.ndarray, np.ndarray]
"""Segments (m,) and (m,), and the points (m, 2) at which they meet."""


def _off(s: Segments, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Distance (m,) of points from the whole line or circle of their segment `index`."""
    out, ahead = points - s.a[index], s.ahead[index]
    ring, _ = radial(s, points, index)
    return np.abs(np.where(s.arc[index], ring, out[:, 0] * ahead[:, 1] - out[:, 1] * ahead[:, 0]))


def _ends_on(s: Segments, i: np.ndarray, j: np.ndarray) -> Contacts:
    first, second = np.concatenate([i, i, j, j]), np.concatenate([j, j, i, i])
    points = np.concatenate([s.a[j], s.b[j], s.a[i], s.b[i]])
    on = gaps(s, first, points) <= SNAP
    return first[on], second[on], points[on]


def _crossed(s: Segments, i: np.ndarray, j: np.ndarray) -> Contacts:
    """The points where the whole lines and circles of segments i and j cross or touch.

    With p measured from the start of segment i, every line or circle is  (k/2) p.p + g.p + h = 0
    with its curvature k >= 0 and a unit g at its own start: a flat arc is nearly a line."""
    curvature = np.where(s.arc, 1.0 / np.where(s.radius > 0, s.radius, 1.0), 0.0)
    left = np.stack([-s.ahead[:, 1], s.ahead[:, 0]], axis=1)
    inward = np.where(s.arc[:, None], (s.centre - s.a) * curvature[:, None], left)
    flatter = curvature[i] < curvature[j]
    i, j = np.where(flatter, j, i), np.where(flatter, i, j)
    k, bend, n, m, away = curvature[i], curvature[j], inward[i], inward[j], s.a[j] - s.a[i]

    # Taking bend/k of the first equation from the second leaves the line through both points.
    line = (bend / np.where(k > 0, k, 1.0))[:, None] * n - m - bend[:, None] * away
    size = np.hypot(*line.T)
    sound = size > 1e-12
    line, size = np.where(sound[:, None], line, 1.0), np.where(sound, size, 1.0)
    rest = _dot(m, away) + bend / 2.0 * _dot(away, away)
    foot = -(rest / size**2)[:, None] * line
    unit = np.stack([-line[:, 1], line[:, 0]], axis=1) / size[:, None]

    # On that line the first equation is quadratic in the way from the foot.
    slope, level = -_dot(n, unit), k / 2.0 * _dot(foot, foot) - _dot(n, foot)
    square = slope**2 - 2.0 * k * level
    # The thickness of the lens between both curves, nil where they are tangent.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        straight = np.where(np.abs(slope) > 1e-12, np.inf, -np.inf)
        depth = np.where(k > 0, square * size / (2.0 * k), straight)
        larger = -(slope + np.copysign(np.sqrt(np.maximum(square, 0.0)), slope))
        ways = np.stack([-slope / k, 2.0 * level / larger, larger / k])
    touch, cut = sound & (np.abs(depth) <= TOUCH), sound & (depth > TOUCH)
    use = np.stack([touch, cut, cut]) & np.isfinite(ways)
    kind, which = np.nonzero(use)
    points = (s.a[i] + foot)[which] + ways[use][:, None] * unit[which]
    # A touching point is the middle of a thin, maybe long lens: back onto the first circle.
    beyond, out = radial(s, points, i[which])
    return i[which], j[which], points - np.where(kind == 0, beyond, 0.0)[:, None] * out


def _dot(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return (u * v).sum(axis=1)
