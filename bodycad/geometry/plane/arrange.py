"""Split segments where they meet, keep some of the pieces, and chain those into regions.

The exact arrangement under `boolean` and `offset`: arcs stay arcs, uncut pieces as they were."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.meet import SNAP, meetings
from bodycad.geometry.plane.profile import Profile, trusted
from bodycad.geometry.plane.segments import Segments

SPECK = 2e-6
"""A segment shorter than this (mm), left where three meet in nearly one point, is no segment: a
reader of a drawing takes its ends for one."""


@dataclass(frozen=True, eq=False)
class Region:
    """An outer profile less the holes in it; every profile is counter-clockwise."""

    outer: Profile
    holes: tuple[Profile, ...] = ()

    @property
    def area(self) -> float:
        """Exact enclosed area, mm2."""
        return self.outer.area - sum(hole.area for hole in self.holes)


@dataclass(frozen=True, eq=False)
class Pieces:
    """Segments that meet at their ends only.

    `start`, `stop` (n,): vertex numbers; `source` (n,): the segment each was cut from; `group`
    (n,): shared by pieces that lie on each other; `forward` (n,): whether it runs as the group's
    first."""

    segments: Segments
    start: np.ndarray
    stop: np.ndarray
    source: np.ndarray
    group: np.ndarray
    forward: np.ndarray

    def leaders(self) -> np.ndarray:
        """The first piece of each group, in the order of the group numbers."""
        return np.unique(self.group, return_index=True)[1]

    def oriented(self, index: np.ndarray, ahead: np.ndarray) -> Pieces:
        """The pieces at `index`, turned round where `ahead` is False."""
        s, start, stop = self.segments.take(index), self.start[index], self.stop[index]
        a, b = np.where(ahead[:, None], (s.a, s.b), (s.b, s.a))
        start, stop = np.where(ahead, (start, stop), (stop, start))
        turned = Segments(a, b, np.where(ahead, s.bulge, -s.bulge))
        return Pieces(turned, start, stop, self.source[index], self.group[index], ahead)


def joined(parts: Sequence[Segments]) -> Segments:
    """Several sets of segments as one, in order."""
    return Segments(*map(np.concatenate, zip(*((p.a, p.b, p.bulge) for p in parts))))


def halved(s: Segments) -> tuple[Segments, np.ndarray]:
    """Arcs of more than half a turn cut in two, in order, and the source (m,) of each."""
    wide = np.abs(s.bulge) > 1.0 + 1e-12
    if not wide.any():
        return s, np.arange(len(s))
    source = np.repeat(np.arange(len(s)), np.where(wide, 2, 1))
    second = np.flatnonzero(np.diff(source) == 0) + 1
    whole, middle = s.take(source), s.take(np.flatnonzero(wide)).at(np.full(len(second), 0.5))
    a, b = whole.a.copy(), whole.b.copy()
    a[second], b[second - 1] = middle, middle
    return Segments(a, b, np.where(wide[source], np.tan(whole.sweep / 8.0), whole.bulge)), source


def split(s: Segments) -> Pieces:
    """The segments (none of more than half a turn) cut where they meet; no specks under `SNAP`."""
    found, count = meetings(s), len(s)
    every = np.arange(count)
    index = np.concatenate([every, every, found.first, found.second])
    t = np.concatenate([np.zeros(count), np.ones(count), found.t, found.u])
    points = np.concatenate([s.a, s.b, found.points, found.points])
    vertex = _clusters(points)
    t = np.where(vertex == vertex[count + index], 1.0, np.clip(t, 0.0, 1.0))
    t = np.where(vertex == vertex[index], 0.0, t)
    order = np.lexsort((t, index))
    one, two = order[:-1], order[1:]
    real = (index[one] == index[two]) & (vertex[one] != vertex[two])
    one, two = one[real], two[real]
    source, whole = index[one], (t[one] == 0.0) & (t[two] == 1.0)
    share = (t[two] - t[one]) * s.sweep[source]
    bulge = np.where(whole, s.bulge[source], np.tan(share / 4.0))
    # A cluster's number is its first point; the segments' own ends come first, unmoved.
    cut = Segments(points[vertex[one]], points[vertex[two]], bulge)
    group, forward = _twins(cut, vertex[one], vertex[two])
    return Pieces(cut, vertex[one], vertex[two], source, group, forward)


def regions(pieces: Pieces) -> tuple[Region, ...]:
    """The regions to the left of directed pieces; loose ends and slivers are dropped."""
    rings = [Profile(_rows(pieces, loop)) for loop in loops(pieces)]
    rings = [ring for ring in rings if abs(ring.area) > SNAP * ring.length]
    outers = sorted((r for r in rings if r.area > 0), key=lambda r: r.area)
    holes: list[list[Profile]] = [[] for _ in outers]
    for ring in rings:
        if ring.area < 0:
            inner = trusted(ring.vertices, "a hole")
            middle = inner.segments.take(np.array([0])).at(np.array([0.5]))
            for outer, inside in zip(outers, holes):
                if outer.area > inner.area and outer.segments.encloses(middle)[0]:
                    inside.append(inner)
                    break
    return tuple(Region(outer, tuple(inside)) for outer, inside in zip(outers, holes))[::-1]


def loops(pieces: Pieces) -> list[list[int]]:
    """Closed walks over directed pieces, each vertex once at most, sharpest left turn first."""
    leaving: dict[int, list[int]] = {}
    for edge in _closed_part(pieces.start, pieces.stop):
        leaving.setdefault(int(pieces.start[edge]), []).append(int(edge))
    found = []
    while leaving:
        vertex = next(iter(leaving))
        path: list[int] = []
        place = {vertex: 0}
        while True:
            edge = _next_edge(pieces, leaving, vertex, path[-1] if path else None)
            if edge is None:
                if not path:
                    break
                place.pop(vertex, None)
                vertex = int(pieces.start[path.pop()])
                continue
            path.append(edge)
            vertex = int(pieces.stop[edge])
            if vertex in place:
                loop, path = path[place[vertex] :], path[: place[vertex]]
                for e in loop[1:]:
                    del place[int(pieces.start[e])]
                found.append(loop)
            else:
                place[vertex] = len(path)
    return found


def _closed_part(start: np.ndarray, stop: np.ndarray) -> np.ndarray:
    """Indices of the edges left when dead ends are trimmed again and again."""
    alive = np.arange(len(start))
    while len(alive):
        linked = np.isin(start[alive], stop[alive]) & np.isin(stop[alive], start[alive])
        if linked.all():
            break
        alive = alive[linked]
    return alive


def _next_edge(
    pieces: Pieces, leaving: dict[int, list[int]], vertex: int, last: int | None
) -> int | None:
    """Take from `leaving` the edge that bounds the same patch on the left as the edge `last`."""
    choices = leaving.get(vertex)
    if not choices:
        return None
    pick = 0
    if len(choices) > 1 and last is not None:
        s = pieces.segments
        # Edges do not cross, so their order round any small circle about the vertex is their order
        # at the vertex; the widest such circle tells tangent arcs apart best.
        radius = 0.5 * float(s.chord[[last, *choices]].min())
        back = _heading(s.b[last], s.a[last], -float(s.bulge[last]), radius)
        turns = [
            (back - _heading(s.a[c], s.b[c], float(s.bulge[c]), radius)) % (2.0 * math.pi)
            for c in choices
        ]
        pick = turns.index(min(turns))
    edge = choices.pop(pick)
    if not choices:
        del leaving[vertex]
    return edge


def _heading(a: np.ndarray, b: np.ndarray, bulge: float, reach: float) -> float:
    """Direction (radians) from `a` to the point of its segment at `reach` mm from it."""
    dx, dy = (b - a).tolist()
    half = 2.0 * math.atan(bulge)
    chord = math.hypot(dx, dy)
    # From the tangent at a, the point at chord `reach` is turned by asin(reach / 2r).
    share = max(-1.0, min(1.0, math.sin(half) * reach / chord))
    return math.atan2(dy, dx) - half + math.asin(share)


def _rows(pieces: Pieces, loop: list[int]) -> np.ndarray:
    """Vertices (n, 3) of a walk; neighbouring pieces of one segment become one again, and what is
    shorter than SPECK is none."""
    source, s = pieces.source[loop], pieces.segments.take(np.array(loop))
    fresh = source != np.roll(source, 1)
    if not fresh.any():
        fresh[0] = True
    first = int(np.argmax(fresh))
    fresh, sweep, a = np.roll(fresh, -first), np.roll(s.sweep, -first), np.roll(s.a, -first, axis=0)
    bulge = np.roll(s.bulge, -first)
    begins = np.flatnonzero(fresh)
    total = np.add.reduceat(sweep, begins)
    alone = np.diff(np.append(begins, len(fresh))) == 1
    rows = np.column_stack([a[begins], np.where(alone, bulge[begins], np.tan(total / 4.0))])
    long = np.hypot(*(np.roll(rows, -1, axis=0) - rows)[:, :2].T) >= SPECK
    return rows[long] if long.sum() > 1 else rows


def _clusters(points: np.ndarray) -> np.ndarray:
    """For each of `points` (n, 2) the lowest index of a point that is the same within `SNAP`."""
    label = np.zeros(len(points), int)
    for axis in (0, 1, 0, 1):
        order = np.lexsort((points[:, axis], label))
        step = (np.diff(points[order, axis]) > SNAP) | (np.diff(label[order]) != 0)
        label[order] = np.concatenate([[0], np.cumsum(step)])
    first = np.full(label.max() + 1, len(points))
    np.minimum.at(first, label, np.arange(len(points)))
    return first[label]


def _twins(s: Segments, start: np.ndarray, stop: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Group numbers of pieces that lie on each other, and whether each runs as the first."""
    low, high = np.minimum(start, stop), np.maximum(start, stop)
    order = np.lexsort((np.arange(len(low)), high, low))
    same = (np.diff(low[order]) == 0) & (np.diff(high[order]) == 0)
    leader = np.arange(len(low))
    middle = s.at(np.full(len(s), 0.5))
    # A run of equal end pairs is mostly one piece, at times two: compare it with the leaders.
    for k in np.flatnonzero(same):
        here, back = order[k + 1], k
        while True:
            other = order[back]
            if leader[other] == other and np.hypot(*(middle[here] - middle[other])) <= 4.0 * SNAP:
                leader[here] = other
                break
            if back == 0 or not same[back - 1]:
                break
            back -= 1
    group = np.unique(leader, return_inverse=True)[1]
    return group, start == start[leader]
