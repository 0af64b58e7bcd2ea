"""Profiles by their trade shapes: rectangles, slots, circles, hulls of circles, mirrored halves."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Annotated

import numpy as np

from bodycad.declare import Count, Far, Text, Turn, declared, mm, over
from bodycad.errors import InputError, number
from bodycad.geometry.plane.profile import (
    MOST,
    Bent,
    Point,
    Points,
    Profile,
    in_reach,
    profile,
    read,
    refuse_crossing,
    thinned,
    trusted,
)

OFF_AXIS = "a half that does not start and end on y = 0", "first and last y of 0"
Side = Annotated[float, over(1e5)]
Corner = Annotated[float, mm(0.0, 1e5)]
QUARTER = math.tan(math.pi / 8.0)
"""Bulge of a 90 degree arc."""


@declared("a circle")
def circle(diameter: Annotated[float, over(2e5)], x: Far = 0.0, y: Far = 0.0) -> Profile:
    """A circle of `diameter` mm about (x, y)."""
    r = diameter / 2.0
    made = Profile(np.array([[x + r, y, 1.0], [x - r, y, 1.0]]))
    # What is plain of a circle need not be worked out.
    vars(made).update(
        circle=((x, y), r), box=(x - r, y - r, x + r, y + r), area=math.pi * r * r, centroid=(x, y)
    )
    return made


@declared("a rectangle")
def rectangle(
    length: Side, width: Side, corner: Corner = 0.0, x: Far = 0.0, y: Far = 0.0
) -> Profile:
    """`length` along x by `width` along y, mm, centred on (x, y), with corner radius `corner`.

    Raises InputError when a size is not positive or the corner exceeds half the shorter side."""
    h, w = length / 2.0, width / 2.0
    remedy = "use a smaller corner radius or a larger rectangle"
    number("a rectangle's corner radius", corner, 0.0, min(h, w), remedy=remedy)
    corners = [(x - h, y - w), (x + h, y - w), (x + h, y + w), (x - h, y + w)]
    if min(h, w) < 1e-6:
        return _rounded(corners, corner, "a rectangle")[0]
    if not corner:
        return Profile(read(corners, "a rectangle")[0])
    # As there, for corners that all turn by a right angle.
    cut, bulge = corner / math.tan(math.pi / 4.0), math.tan(math.pi / 8.0)
    rows: list[tuple[float, float, float]] = []
    for (a, b), (u, v) in zip(corners, ((1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0))):
        ends = (a, b + v * cut), (a + u * cut, b)
        first, last = ends if u == v else ends[::-1]
        rows += [(*first, bulge), (*last, 0.0)]
    return Profile(read(rows, "a rectangle")[0])


@declared("{name}")
def rounded(
    points: Points,
    radius: Corner | tuple[Corner, ...],
    name: Text = "a rounded polygon",
) -> Profile:
    """A polygon with corners rounded by exact tangent arcs of `radius` mm (one, or one each).

    Raises InputError when a radius is negative or two arcs would overlap on a side."""
    made, owners = _rounded(points, radius, name)

    def label(k: int) -> str:
        corner, is_round = owners[k]
        if is_round:
            return f"the round of its corner {corner}"
        return f"its side from corner {corner} to {(corner + 1) % len(points)}"

    in_reach(made.vertices, name, MOST)
    refuse_crossing(made, name, label)
    return made if made.area > 0.0 else trusted(made.vertices, name)


def _rounded(
    points: Sequence[Point], radius: float | Sequence[float], name: str
) -> tuple[Profile, list[tuple[int, bool]]]:
    """The rounded polygon in the given order; of each segment, the corner that it belongs to and
    whether it is the corner's round or the side after it."""
    count = len(points)
    given = [radius] * count if isinstance(radius, (int, float)) else radius
    radii = list(map(float, given))
    if len(radii) != count:
        found = f"{len(radii)} radii for {count} corners"
        raise InputError(name, found, "one radius, or one a corner")
    thinned(name, count, MOST // 2)
    for value in radii:
        number(f"{name}: a corner radius", value, 0.0)
    pts = [np.array(p, float) for p in points]
    rows, owners, cuts = [], [], []
    for i, p in enumerate(pts):
        to_last, to_next = pts[i - 1] - p, pts[(i + 1) % count] - p
        ends = float(np.hypot(*to_last)), float(np.hypot(*to_next))
        if min(ends) < 1e-9:
            found = f"a repeated corner at {tuple(map(float, p))}"
            raise InputError(name, found, "distinct corners")
        u, v = to_last / ends[0], to_next / ends[1]
        inner = math.atan2(abs(u[0] * v[1] - u[1] * v[0]), float(u @ v))
        if radii[i] and inner < 1e-9:
            found = f"a corner at {tuple(map(float, p))} that folds back on itself"
            raise InputError(name, found, "corners that turn by less than half a circle")
        cut = radii[i] / math.tan(inner / 2.0) if radii[i] and inner < math.pi - 1e-9 else 0.0
        cuts.append(cut)
        turn = v[0] * u[1] - v[1] * u[0]
        if cut:
            bulge = math.copysign(math.tan((math.pi - inner) / 4.0), turn)
            rows += [(*(p + u * cut), bulge), (*(p + v * cut), 0.0)]
            owners += [(i, True), (i, False)]
        else:
            rows.append((*p, 0.0))
            owners.append((i, False))
    for i in range(count):
        side = float(np.hypot(*(pts[(i + 1) % count] - pts[i])))
        need = cuts[i] + cuts[(i + 1) % count]
        if need > side + 1e-9:
            found = f"radii of corners {i} and {(i + 1) % count} that need {need:g} mm of the "
            found += f"{side:g} mm between them"
            raise InputError(name, found, "arcs that fit on their side", "use smaller radii")
    kept, distinct = read(rows, name)
    return Profile(kept), [owners[k] for k in distinct]


@declared("a slot")
def slot(length: Side, width: Side, x: Far = 0.0, y: Far = 0.0, turn_deg: Turn = 0.0) -> Profile:
    """A slot with round ends, `length` over all along x (before turning) by `width` mm."""
    number("a slot's length", length, low=width)
    if length - width < 1e-9:
        return circle(width, x, y)
    h, r = (length - width) / 2.0, width / 2.0
    rows = [(-h, -r, 0.0), (h, -r, 1.0), (h, r, 0.0), (-h, r, 1.0)]
    return trusted(rows, "a slot").moved(x, y, turn_deg)


@declared("{name}")
def hull(
    circles: Annotated[tuple[tuple[Far, Far, Side], ...], Count(1, 500)],
    name: Text = "a hull of circles",
) -> Profile:
    """The band stretched round circles (x, y, radius): exact tangent lines and arcs.

    Raises InputError when there is no circle or a radius is not positive."""
    order = _around(circles)
    if len(order) == 1:
        x, y, r = circles[order[0]]
        return circle(2.0 * r, x, y)
    ring = [circles[k] for k in order]
    normals = [_outer_normal(one, two) for one, two in zip(ring, ring[1:] + ring[:1])]
    rows = []
    for i, (x, y, r) in enumerate(ring):
        arriving, leaving = normals[i - 1], normals[i]
        sweep = (leaving - arriving) % (2.0 * math.pi)
        if sweep > 2.0 * math.pi - 1e-9:
            sweep = 0.0
        rows.append((x + r * math.cos(arriving), y + r * math.sin(arriving), math.tan(sweep / 4.0)))
        rows.append((x + r * math.cos(leaving), y + r * math.sin(leaving), 0.0))
    return trusted(rows, name)


def _outer_normal(one: tuple[float, float, float], two: tuple[float, float, float]) -> float:
    """Direction (radians) of the outward normal of the tangent with both circles to its left."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    share = (one[2] - two[2]) / math.hypot(dx, dy)
    return math.atan2(dy, dx) - math.acos(max(-1.0, min(1.0, share)))


def _covers(circles: Sequence[tuple[float, float, float]], j: int, k: int) -> bool:
    """Whether circle j hides circle k; of two equal circles the first hides the other."""
    (x, y, r), (u, v, q) = circles[j], circles[k]
    spare = r - q - math.hypot(u - x, v - y)
    return j != k and spare >= -1e-12 and (r - q > 1e-12 or j < k)


def _around(circles: Sequence[tuple[float, float, float]]) -> list[int]:
    """Indices of the circles that touch the band, counter-clockwise: gift wrapping."""
    every = range(len(circles))
    free = [k for k in every if not any(_covers(circles, j, k) for j in every)]
    first = max(free, key=lambda k: (circles[k][0] + circles[k][2], circles[k][2]))
    order, angle, turned = [first], 0.0, 0.0
    while True:
        here = circles[order[-1]]
        best = None
        for k in free:
            other = circles[k]
            if k == order[-1]:
                continue
            # Of several circles on one tangent the farthest contact wins.
            x, y, r = (b - a for a, b in zip(here, other))
            gap = math.sqrt(max(x**2 + y**2 - r**2, 0.0))
            step = (_outer_normal(here, other) - angle) % (2.0 * math.pi)
            if step > 2.0 * math.pi - 1e-9:
                step = 0.0
            if best is None or (step, -gap) < (best[0], -best[2]):
                best = step, k, gap
        if best is None or turned + best[0] >= 2.0 * math.pi - 1e-9:
            # A wide circle may touch the band more than once; only a full turn ends the walk.
            return order[:-1] if len(order) > 1 and order[-1] == first else order
        turned, angle = turned + best[0], angle + best[0]
        order.append(best[1])


@declared("{name}")
def mirrored_half(
    points: Iterable[tuple[Far, Far] | Bent], name: Text = "a mirrored half"
) -> Profile:
    """A profile symmetric about the centreline from its +y half.

    `points`: (x, y) or (x, y, bulge) vertices from one centreline point to the other; both ends lie
    on y = 0. Raises InputError when they do not."""
    rows = [(p[0], p[1], p[2] if len(p) == 3 else 0.0) for p in points]
    if len(rows) < 2 or abs(rows[0][1]) > 1e-9 or abs(rows[-1][1]) > 1e-9:
        raise InputError(name, *OFF_AXIS)
    pairs = zip(rows[::-1], rows[-2::-1])
    return profile([*rows[:-1], *((x, -y, one[2]) for (x, y, _), one in pairs)], name)
