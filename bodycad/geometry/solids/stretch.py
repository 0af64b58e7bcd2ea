"""An edge treatment along a stretch of the outline: where it runs, and what it covers in plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated

import numpy as np

from bodycad.declare import Spot, declared, over
from bodycad.errors import InputError
from bodycad.geometry.plane.along import part_of
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import overlay
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.profile import Plan, Point, Profile
from bodycad.geometry.plane.segments import Segments, turning
from bodycad.geometry.solids.edge import Edge

AN_EDGE = "an edge such as Roundover(6.0)"
SAME = 1e-6
"""Two places of the outline nearer than this along it (mm) are one."""
SMOOTH = 1e-7
"""A turn of less than this (radians) between two segments is no kink."""
CLEAR = 1e-5
"""How much nearer (mm) than its reach the outline may come to the inner end of a stretch's end."""


@dataclass(frozen=True)
@declared()
class Stretch:
    """An edge from the place of the outline nearest to `start` (x, y), counter-clockwise, to the
    place nearest to `end`.

    Each end is a plane square to the outline; a round cutter leaves its own radius there, to be
    cleaned out by hand. Where both are one place, the edge runs all round. The rest of the outline
    stays square."""

    edge: Annotated[Edge, AN_EDGE]
    start: tuple[Spot, Spot]
    end: tuple[Spot, Spot]

    def mirrored(self) -> Stretch:
        """Reflected in the centreline (y -> -y)."""
        (x0, y0), (x1, y1) = self.start, self.end
        return Stretch(self.edge, (x1, -y1), (x0, -y0))

    def moved(self, dx: float, dy: float) -> Stretch:
        """The same stretch of an outline that is shifted by (dx, dy) mm."""
        (x0, y0), (x1, y1) = self.start, self.end
        return Stretch(self.edge, (x0 + dx, y0 + dy), (x1 + dx, y1 + dy))


@declared()
def stopped(
    outline: Plan,
    edge: Annotated[Edge, AN_EDGE],
    at: Iterable[tuple[Spot, Spot, Annotated[float, over(5000.0)]]],
) -> tuple[Stretch, ...]:
    """The edge along the whole outline but for `length` mm about the place nearest to each (x, y)
    of `at`, rows (x, y, length): a neck joint, a jack, a strap button.

    Raises InputError for a length that is not positive, and where nothing is left."""
    total, gaps = outline.length, []
    for x, y, length in at:
        gaps.append(((_along(outline.segments, (x, y)) - length / 2.0) % total, length))
    if not gaps:
        corner = _spot(outline, 0.0)
        return (Stretch(edge, corner, corner),)
    gaps.sort()
    found, reached = [], max(start + length - total for start, length in gaps)
    for start, length in [*gaps, (gaps[0][0] + total, 0.0)]:
        if start > reached + SAME and start > gaps[0][0]:
            found.append(Stretch(edge, _spot(outline, reached), _spot(outline, start)))
        reached = max(reached, start + length)
    if not found:
        raise InputError(
            "the places where an edge is stopped",
            f"{len(gaps)} that cover the whole outline",
            "places that leave some of it",
            "leave the edge square, or stop it at fewer places",
        )
    return tuple(found)


@dataclass(frozen=True, eq=False)
class Run:
    """An edge along a chain of the outline; `closed` where the chain is the whole outline."""

    edge: Edge
    chain: Segments
    closed: bool

    @cached_property
    def turn(self) -> np.ndarray:
        """Radians that the chain turns left at the end of each segment; 0 at an open end."""
        s = self.chain
        arriving, leaving = s.tangent(np.ones(len(s))), s.tangent(np.zeros(len(s)))
        onward = np.roll(leaving, -1, axis=0)
        turn = turning(arriving, onward)
        turn[-1] *= self.closed
        return np.where(np.abs(turn) < SMOOTH, 0.0, turn)

    @cached_property
    def parts(self) -> tuple[Segments, ...]:
        """The chain in parts without a kink; a closed chain is at least two."""
        breaks = {int(k) + 1 for k in np.flatnonzero(self.turn[:-1])}
        if self.closed:
            breaks.add(len(self.chain) // 2)
        ends = [0, *sorted(breaks), len(self.chain)]
        return tuple(self.chain.take(np.arange(a, b)) for a, b in zip(ends, ends[1:]) if b > a)

    @cached_property
    def corners(self) -> tuple[tuple[np.ndarray, float, float], ...]:
        """Where the chain turns back into the body, so that the edge turns about a vertex: the
        vertex, and the angles (radians) of the inward normals there, counter-clockwise."""
        found = []
        for k in np.flatnonzero(self.turn < 0.0):
            ahead = self.chain.tangent(np.zeros(len(self.chain)))[(k + 1) % len(self.chain)]
            low = float(np.arctan2(ahead[0], -ahead[1]))
            found.append((self.chain.b[k], low, low - float(self.turn[k])))
        return tuple(found)

    def bands(self, width: float, over: float = 0.0) -> tuple[Profile, ...]:
        """What lies within `width` mm in from the chain, in plan: profiles that together cover it,
        from `over` mm outside (less where the outline bends in tightly)."""
        found = []
        for part in self.parts:
            out = min(over, room_outside(part))
            a, b = (inward(part, t) for t in (0.0, 1.0))
            rows = np.column_stack([part.a - out * a, part.bulge])
            back = np.column_stack([part.b + width * b, -part.bulge])[::-1]
            outer_end, inner_end = part.b[-1] - out * b[-1], part.a[0] + width * a[0]
            found.append(np.vstack([rows, [[*outer_end, 0.0]], back, [[*inner_end, 0.0]]]))
        for spot, low, high in self.corners:
            ways = np.array([[np.cos(t), np.sin(t)] for t in (low, high)])
            bulge = np.tan((high - low) / 4.0)
            one, two = spot + width * ways
            found.append(np.array([[*spot, 0.0], [*one, bulge], [*two, 0.0]]))
        return tuple(Profile(rows) for rows in found)

    def covered(self, outline: Profile, width: float) -> tuple[Region, ...]:
        """What of an outline lies within `width` mm in from the chain: round a sharp corner bands
        reach beyond it."""
        return within(outline, self.bands(width)) if width > 0.0 else ()

    def inset(self, points: np.ndarray) -> np.ndarray:
        """Plan distance (m,) in from the chain of points (m, 2) inside; inf beyond its ends."""
        s = self.chain
        distance, foot, _ = s.nearest(points)
        if self.closed:
            return distance
        for end, way in ((s.a[:1], -inward(s, 0.0)[0]), (s.b[-1:], inward(s, 1.0)[-1])):
            ahead = np.array([way[1], -way[0]])
            beyond = ((points - end) @ ahead > 1e-9) & (np.hypot(*(foot - end).T) < 1e-9)
            distance = np.where(beyond, np.inf, distance)
        return distance


def within(outline: Profile, bands: Sequence[Profile]) -> tuple[Region, ...]:
    """What of an outline lies in any of the bands."""
    shapes = (outline, *bands)
    return overlay(shapes, lambda inside: inside[0] & np.any(inside[1:], axis=0))


def inward(chain: Segments, t: float) -> np.ndarray:
    """Unit normals (n, 2) into the body at fraction `t` of each segment."""
    ahead = chain.tangent(np.full(len(chain), t))
    return np.column_stack([-ahead[:, 1], ahead[:, 0]])


def room_outside(part: Segments) -> float:
    """How far (mm) outside a part of the outline its normals may be followed: to half the way to
    the centre of its tightest bend into the body."""
    return float(part.radius[part.bulge < 0.0].min(initial=np.inf)) / 2.0


def runs(outline: Profile, stretches: Sequence[Stretch], name: str) -> tuple[Run, ...]:
    """The stretches on an outline. Raises InputError where two overlap or one has no room."""
    s, total = outline.segments, outline.length
    spans = [(_along(s, one.start), _along(s, one.end), one) for one in stretches]
    spans = [(a, b if b > a + SAME else b + total, one) for a, b, one in spans]
    spans.sort(key=lambda r: r[:2])
    onward = [*spans[1:], *((a + total, 0.0, one) for a, _, one in spans[:1])]
    for (_, end, one), (start, _, two) in zip(spans, onward):
        if end > start + SAME:
            found = f"two that share {end - start:.2f} mm, from {two.start} and to {one.end}"
            allowed, remedy = "stretches beside each other", "end one where the other starts"
            raise InputError(f"{name}: its stretches", found, allowed, remedy)
    made = (Run(one.edge, part_of(s, a, b), b - a > total - SAME) for a, b, one in spans)
    return tuple(checked(run, outline, name) for run in made)


def joined(outline: Profile, stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches of one edge that meet end to start as one."""
    found, s = list(stretches), outline.segments
    for _ in stretches:
        for one in found:
            end = _along(s, one.end)
            alike = [two for two in found if two.edge == one.edge and two is not one]
            off = (abs(end - _along(s, two.start)) % outline.length for two in alike)
            after = [two for two, away in zip(alike, off) if away < SAME]
            if after:
                found = [x for x in found if x is not one and x is not after[0]]
                found.append(replace(one, end=after[0].end))
                break
    return tuple(found)


def whole(outline: Profile, stretch: Stretch) -> bool:
    """Whether a stretch runs along the whole outline."""
    s = outline.segments
    return abs(_along(s, stretch.start) - _along(s, stretch.end)) < SAME


def checked(run: Run, outline: Profile, name: str) -> Run:
    """The run. Raises InputError where the outline bulges too tightly or comes near to itself."""
    s, reach = run.chain, run.edge.reach
    tight, what = float(s.radius[s.bulge > 0.0].min(initial=np.inf)), f"its {run.edge.words}"
    if reach >= tight:
        k = int(np.flatnonzero(s.bulge > 0.0)[np.argmin(s.radius[s.bulge > 0.0])])
        x, y = s.take(np.array([k])).at(np.array([0.5]))[0]
        where = f"at ({x:.1f}, {y:.1f}), radius {tight:g} mm"
        allowed = f"less than the outline's tightest bulge there, {where}"
        remedy = "use a smaller edge, or round the outline more"
        raise InputError(f"{name}: the reach of {what}", reach, allowed, remedy)
    tips = np.vstack([s.a[0] + reach * inward(s, 0.0)[0], s.b[-1] + reach * inward(s, 1.0)[-1]])
    near = -outline.signed_distance(tips) if not run.closed else np.full(2, reach)
    if near.min() < reach - CLEAR:
        x, y = (s.a[0], s.b[-1])[int(near.argmin())]
        raise InputError(
            f"{name}: the end of {what} at ({x:.1f}, {y:.1f})",
            f"{near.min():.2f} mm from other parts of the outline",
            f"a place with {reach:g} mm of wood square to it that is nearer to no other part of it",
            "end it farther from the corner",
        )
    for band in run.bands(reach):
        for x, y in crossings(band.segments)[:1]:
            allowed = f"narrower than the body has room for near ({x:.1f}, {y:.1f})"
            remedy = "use a smaller edge, or stop it there"
            raise InputError(f"{name}: the reach of {what}", reach, allowed, remedy)
    return run


def _along(s: Segments, point: Point) -> float:
    """How far along the chain (mm) its place nearest to a point lies."""
    _, foot, index = s.nearest(np.array([point], float))
    k = int(index[0])
    ahead = float(np.hypot(*(foot[0] - s.a[k])))
    if abs(s.bulge[k]) > 0.4:
        way = foot[0] - s.centre[k]
        turn = (np.arctan2(way[1], way[0]) - s.start[k]) * np.sign(s.bulge[k]) % (2.0 * np.pi)
        ahead = s.radius[k] * float(turn if turn <= abs(s.sweep[k]) + 1e-9 else 0.0)
    elif s.arc[k]:
        ahead = 2.0 * s.radius[k] * np.arcsin(ahead / (2.0 * s.radius[k]))
    total = float(s.length.sum())
    along = float(s.length[:k].sum() + ahead) % total
    return 0.0 if total - along < SAME else along


def _spot(outline: Profile, along: float) -> Point:
    piece = part_of(outline.segments, along % outline.length, along % outline.length + 1.0)
    return float(piece.a[0, 0]), float(piece.a[0, 1])
