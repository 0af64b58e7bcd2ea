"""Where a tool's centre may go beside contours, and how far cells lie from there.

The centre keeps `radius` mm off every contour, on its left. Beside a place f of a contour it may
stand at p = f + radius * normal if no contour comes nearer to p than that. So a cell whose nearest
place is f lies |radius -+ distance| from the centre's way if p is free; only where it is not
(corners tighter than the tool, gaps narrower than it) the nearest of many free places is looked
for. Those stand `STEP` of a pitch apart at most, so that the distance is too large by no more than
half of that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.geometry.plane.segments import Segments, portions
from bodycad.simulation.fill import filled
from bodycad.simulation.grid import Box, Grid, Window, within

FREE = 1e-3
"""A contour may come so much nearer (mm) to the centre than the tool's radius: a cutter as wide as
its slot runs in it."""
STEP = 0.5
"""How far apart, in pitches, places of the centre's way are looked at."""
AT_ONCE = 4_000_000
"""The most pairs of cell and place that are looked at together."""


@dataclass(frozen=True, eq=False)
class Ways:
    """Contours, the radius that the tool's centre keeps off them on their left, and the places of
    its way that were looked at, `apart` mm from each other: `feet` (n, 2) on the contours, `spots`
    (n, 2) beside them, whether each is `free` (n,)."""

    chain: Segments
    radius: float
    feet: np.ndarray
    spots: np.ndarray
    free: np.ndarray

    @cached_property
    def blocked(self) -> np.ndarray:
        """Feet (k, 2) beside which the tool does not fit."""
        feet: np.ndarray = self.feet[~self.free]
        return feet

    @cached_property
    def open_ends(self) -> np.ndarray:
        """Ends (k, 2) of chains that are not closed."""
        s = self.chain
        loose = ~(s.a[:, None] == s.b[None]).all(axis=2).any(axis=1)
        ended = ~(s.b[:, None] == s.a[None]).all(axis=2).any(axis=1)
        return np.vstack([s.a[loose], s.b[ended]])

    def hindered(self, box: Box, more: float) -> bool:
        """Whether the tool does not fit somewhere within `more` mm of a box, or a chain ends."""
        return _any_near(self.blocked, box, more) or _any_near(self.open_ends, box, more)


def ways(chain: Segments, radius: float, pitch: float) -> Ways:
    """The way of the centre of a tool of `radius` mm on the left of contours."""
    apart = STEP * pitch
    count = np.maximum(np.ceil(chain.length / apart), 1.0).astype(int) + 1
    index, place = portions(count)
    t = place / (count[index] - 1)
    own = chain.take(index)
    feet = own.at(t)
    ahead = own.tangent(t)
    left = np.column_stack([-ahead[:, 1], ahead[:, 0]])
    fans = [_fan(chain, int(k), radius, apart) for k in np.flatnonzero(_turns(chain) < 0.0)]
    feet = np.vstack([feet, *(f for f, _ in fans)])
    left = np.vstack([left, *(w for _, w in fans)])
    spots = feet + radius * left
    return Ways(chain, radius, feet, spots, _free(chain, spots, radius))


def _turns(s: Segments) -> np.ndarray:
    """Radians (n,) by which the chain turns left where each segment ends; 0 at an open end."""
    turn = np.zeros(len(s))
    leaving = s.tangent(np.zeros(len(s)))
    arriving = s.tangent(np.ones(len(s)))
    starts = {tuple(a): k for k, a in enumerate(s.a.tolist())}
    for k, b in enumerate(s.b.tolist()):
        after = starts.get(tuple(b))
        if after is not None:
            (ux, uy), (vx, vy) = arriving[k], leaving[after]
            turn[k] = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
    return np.where(np.abs(turn) < 1e-9, 0.0, turn)


def _fan(s: Segments, k: int, radius: float, apart: float) -> tuple[np.ndarray, np.ndarray]:
    """The feet and normals round the vertex that ends segment `k`, where the chain turns right and
    the centre turns about it."""
    spot = s.b[k]
    after = int(np.flatnonzero((s.a == spot).all(axis=1))[0])
    u = s.tangent(np.ones(len(s)))[k]
    v = s.tangent(np.zeros(len(s)))[after]
    begin = math.atan2(u[0], -u[1])
    turn = math.atan2(u[0] * v[1] - u[1] * v[0], u @ v)
    angle = begin + np.linspace(0.0, turn, max(math.ceil(radius * abs(turn) / apart), 1) + 1)
    return np.tile(spot, (len(angle), 1)), np.column_stack([np.cos(angle), np.sin(angle)])


def _free(near: Segments, spots: np.ndarray, radius: float) -> np.ndarray:
    """Whether no contour comes nearer to each spot than the radius."""
    size = max(AT_ONCE // max(len(near), 1), 1)
    parts = [near.away(spots[k : k + size])[0] >= radius - FREE for k in range(0, len(spots), size)]
    return np.concatenate(parts) if parts else np.zeros(0, bool)


def cleared(chain: Segments, radius: float, grid: Grid, window: Window) -> np.ndarray:
    """Which cells of a window a flat tool takes that clears all on the left of closed contours: as
    far as its radius lets it."""
    inside = on_left(chain, grid, window)
    way = ways(chain, radius, grid.pitch)
    if not len(way.blocked):
        return inside
    for part, box in grid.tiles(window):
        here = within(part, window)
        mask = inside[here]
        if not mask.any() or not _any_near(way.blocked, box, radius):
            continue
        near = near_box(way.chain, box, 2.0 * radius)
        points = grid.points(part)[mask.ravel()]
        distance, off = _from_centres(way, near, points, np.ones(len(points), bool), box, radius)
        mask = mask.copy()
        mask[mask] = (off >= radius - FREE) | (distance <= radius + 1e-9)
        inside[here] = mask
    return inside


def off_way(
    chain: Segments, radius: float, grid: Grid, window: Window, most: float, tight: bool = False
) -> Iterator[tuple[Window, np.ndarray, np.ndarray]]:
    """Tiles of a window with the distance (mm) of their cells from the way of a tool's centre that
    follows contours, inf beyond `most` mm from it; and from the contours themselves. tight: only
    tiles near which the tool does not get everywhere, or a chain ends."""
    way = ways(chain, radius, grid.pitch)
    closed = not len(way.open_ends)
    left = on_left(chain, grid, window) if closed else None
    tiles = list(grid.tiles(window))
    middle = np.array([((b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0) for _, b in tiles])
    half = np.array([math.hypot(b[2] - b[0], b[3] - b[1]) / 2.0 for _, b in tiles])
    asked = chain.away(middle)[0] <= most + radius + half if tiles else ()
    for k in np.flatnonzero(asked):
        part, box = tiles[k]
        if tight and not way.hindered(box, most + radius):
            continue
        near = near_box(chain, box, most + 2.0 * radius)
        points = grid.points(part)
        if left is not None:
            own = left[within(part, window)].ravel()
        else:
            own = _beside(near, points)
        distance, off = _from_centres(way, near, points, own, box, most)
        shape = part[0].stop - part[0].start, part[1].stop - part[1].start
        yield (
            part,
            np.where(distance <= most, distance, math.inf).reshape(shape),
            off.reshape(shape),
        )


def on_left(chain: Segments, grid: Grid, window: Window) -> np.ndarray:
    """Which cells of a window lie on the left of closed contours."""
    inside = filled(chain, grid, window)
    return inside if _area(chain) > 0.0 else ~inside


def _area(s: Segments) -> float:
    """The area on the left of closed contours; negative where that is all around them."""
    cross = s.a[:, 0] * s.b[:, 1] - s.b[:, 0] * s.a[:, 1]
    sweep = s.sweep[s.arc]
    return float(cross.sum() + (s.radius[s.arc] ** 2 * (sweep - np.sin(sweep))).sum()) / 2.0


def _beside(near: Segments, points: np.ndarray) -> np.ndarray:
    """Whether points lie on the left of an open chain, by its nearest segment; none where nothing
    of it is near."""
    if not len(near):
        return np.zeros(len(points), bool)
    _, foot, index = near.nearest(points)
    own = near.take(index)
    ahead = own.b - own.a
    middle = np.where(own.arc[:, None], own.centre, own.a)
    way = points - foot
    bent = np.sign(own.bulge) * ((foot - points) * (foot - middle)).sum(axis=1) > 0.0
    straight = ahead[:, 0] * way[:, 1] - ahead[:, 1] * way[:, 0] > 0.0
    beside: np.ndarray = np.where(own.arc, bent, straight)
    return beside


def _from_centres(
    way: Ways, near: Segments, points: np.ndarray, left: np.ndarray, box: Box, most: float
) -> tuple[np.ndarray, np.ndarray]:
    """Distance (m,) of points from the way of the centre, more than `most` where it is more; and
    from the contours.

    near: the contours of the neighbourhood. left: on which side each point lies."""
    found = np.full(len(points), math.inf)
    if not len(near):
        return found, found
    r = way.radius
    distance, index = near.away(points)
    beside = np.where(left, np.abs(r - distance), r + distance)
    if not way.hindered(box, most + r):
        return beside, distance
    asked = np.flatnonzero(beside <= most)
    d, f = distance[asked], near.foot_on(points[asked], index[asked])
    side = np.where(left[asked], 1.0, -1.0)
    toward = (points[asked] - f) * (side / np.maximum(d, 1e-12))[:, None]
    own = (d > 1e-9) & (near.away(f + r * toward)[0] >= r - FREE)
    for end in way.open_ends:
        own &= np.hypot(*(f - end).T) > 1e-9
    found[asked[own]] = beside[asked[own]]
    rest = asked[~own]
    if len(rest):
        found[rest] = _to_spots(points[rest], way.spots[way.free], box, most)
    return found, distance


def _to_spots(points: np.ndarray, spots: np.ndarray, box: Box, most: float) -> np.ndarray:
    """Distance (m,) of points in a box from the nearest of the spots, inf beyond `most`."""
    spots = spots[_inside(spots, box, most)]
    found = np.full(len(points), math.inf)
    size = max(AT_ONCE // max(len(spots), 1), 1)
    for k in range(0, len(points) if len(spots) else 0, size):
        some = points[k : k + size]
        square = (some[:, :1] - spots[:, 0]) ** 2
        square += (some[:, 1:] - spots[:, 1]) ** 2
        found[k : k + size] = np.sqrt(square.min(axis=1))
    return np.where(found <= most, found, math.inf)


def _inside(points: np.ndarray, box: Box, more: float) -> np.ndarray:
    """Which points lie in a box grown by `more` mm."""
    x, y = points.T
    across = (x >= box[0] - more) & (x <= box[2] + more)
    inside: np.ndarray = across & (y >= box[1] - more) & (y <= box[3] + more)
    return inside


def _any_near(points: np.ndarray, box: Box, more: float) -> bool:
    return bool(_inside(points, box, more).any())


def near_box(s: Segments, box: Box, more: float) -> Segments:
    """The segments whose boxes come within `more` mm of a box."""
    b = s.boxes
    near = (b[:, 0] <= box[2] + more) & (b[:, 2] >= box[0] - more)
    near &= (b[:, 1] <= box[3] + more) & (b[:, 3] >= box[1] - more)
    return s.take(np.flatnonzero(near))
