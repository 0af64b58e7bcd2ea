"""The slab with its edges, face by face on exact surfaces: lines of the outline swept, arcs turned
about their centre, mitres and vertices between them (`mitre`). Nothing is cut by the kernel."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from OCP.Geom import Geom_CylindricalSurface, Geom_Line

from bodycad.geometry.plane.segments import Segments
from bodycad.solid import occ
from bodycad.solid.brep import (
    Boundary,
    Loop,
    Side,
    axes,
    drawn,
    point,
    start,
    straight,
    turned,
    way,
)
from bodycad.solid.mitre import Joint, strips_of
from bodycad.solid.treated import Span, Treated, along
from bodycad.words import SIDES, Face

LEVEL = 1e-6
"""Heights nearer than this (mm) are one."""


def slab(s: Segments, thickness: float, front: Sequence[Span], back: Sequence[Span]) -> occ.Solid:
    """The slab between z = -thickness and 0 within a closed outline, with edges along spans."""
    blank = _Blank(s, thickness)
    for face, spans in ((Face.FRONT, front), (Face.BACK, back)):
        blank.treat(face, spans)
    return blank.closed()


class _Blank:
    """The side of a slab and what its edges leave of it, while it is being closed."""

    def __init__(self, s: Segments, thickness: float) -> None:
        self.s, self.thickness, self.bound = s, thickness, Boundary()
        self.strips = strips_of(s, 0.0, True)
        self.treated: dict[Face, list[Treated]] = {}
        self.rims: dict[Face, list[tuple[float, Side]]] = {}
        self.known: dict[tuple[int, int], Side] = {}
        self.upright: dict[tuple[int, int, int], Side] = {}

    def level(self, face: Face) -> float:
        return 0.0 if face is Face.FRONT else -self.thickness

    def treat(self, face: Face, spans: Sequence[Span]) -> None:
        """Take up the edges of a face; the side ends under them, elsewhere at the face."""
        level, up = self.level(face), 1.0 if face is Face.FRONT else -1.0
        heights = [level] * len(self.s)
        own = []
        for span in spans:
            one = Treated(self.bound, self.s, span, level, up)
            own.append(one)
            for j, strip in enumerate(one.cells.strips):
                if strip.index is not None:
                    k = (span.first + strip.index) % len(self.s)
                    heights[k] = level - up * span.edge.drop
                    one.levels[len(one.rows), j] = self.rim(k, heights[k])
        self.treated[face] = own
        self.rims[face] = [(z, self.rim(k, z)) for k, z in enumerate(heights)]

    def rim(self, k: int, z: float) -> Side:
        """The outline's own edge along segment `k` at a height; heights nearer than LEVEL are
        one."""
        key = round(z / LEVEL)
        found = (self.known[k, key + i] for i in (0, -1, 1) if (k, key + i) in self.known)
        side = next(found, None)
        if side is None:
            strip = self.strips[k]
            side = self.known[k, key] = along(self.bound, strip, 0.0, z, 0.0, strip.span)
        return side

    def posts(self, k: int, low: float, high: float) -> Loop:
        """The upright edges at the beginning of segment `k` from one height up to another, parted
        where the side of either neighbour ends."""
        heights = {
            round(own[j][0] / LEVEL): own[j][0] for own in self.rims.values() for j in (k - 1, k)
        }
        marks = [z for z in sorted(heights.values()) if low - LEVEL <= z <= high + LEVEL]
        return [(self.post(k, a, b), True) for a, b in zip(marks, marks[1:])]

    def post(self, k: int, low: float, high: float) -> Side:
        key = k, round(low / LEVEL), round(high / LEVEL)
        if key not in self.upright:
            a = self.strips[k].a
            line = Geom_Line(point((a.real, a.imag, low)), way((0.0, 0.0, 1.0)))
            self.upright[key] = self.bound.side(line, 0.0, high - low)
        return self.upright[key]

    def closed(self) -> occ.Solid:
        """The solid."""
        for k in range(len(self.s)):
            self._wall(k)
        for face, own in self.treated.items():
            for one in own:
                one.close()
            self._flat(face)
        return self.bound.solid()

    def _wall(self, k: int) -> None:
        """The side along a segment."""
        (high, over), (low, under) = (self.rims[face][k] for face in SIDES)
        if high - low < LEVEL:
            return
        right, left = (self.posts(i, low, high) for i in ((k + 1) % len(self.s), k))
        loop: Loop = [(under, True), *right, (over, False), *turned(left)]
        strip = self.strips[k]
        if not strip.bend:
            origin = np.array([strip.a.real, strip.a.imag, low])
            normal = -strip.normal(0.0)
            self.bound.flat([loop], origin, np.array([normal.real, normal.imag, 0.0]))
            return
        toward, bend = strip.toward, float(strip.bend)
        centre = (strip.centre.real, strip.centre.imag, low)
        frame = axes(centre, (0.0, 0.0, bend), (toward.real, toward.imag, 0.0))
        face = start(Geom_CylindricalSurface(frame, strip.radius))
        for side, z in ((under, low), (over, high)):
            drawn(side, face, straight((0.0, bend * (z - low)), (1.0, 0.0)))
        for sides, measure in ((right, strip.span), (left, 0.0)):
            for side, _ in sides:
                z = float(self.bound.places[side.first][0][2])
                drawn(side, face, straight((measure, bend * (z - low)), (0.0, bend)))
        self.bound.add(face, [loop], strip.bend > 0)

    def _flat(self, face: Face) -> None:
        """The plane of a face within its edges, and the ends of stretches."""
        own, n, up = self.treated[face], len(self.s), 1.0 if face is Face.FRONT else -1.0
        starts = {one.span.first: one for one in own}
        covered = {(one.span.first + i) % n for one in own for i in range(one.span.count)}
        loop: Loop = []
        first = next(iter(starts), 0)
        for k in ((first + i) % n for i in range(n)):
            if k in starts:
                loop += self._within(starts[k])
            elif k not in covered:
                loop.append((self.rims[face][k][1], True))
        ring = loop if up > 0.0 else turned(loop)
        self.bound.flat([ring], np.array([0.0, 0.0, self.level(face)]), np.array([0.0, 0.0, up]))

    def _within(self, one: Treated) -> Loop:
        """What bounds a face along a span; of a stretch, its ends are closed too."""
        reach = one.span.edge.reach
        inner: Loop = [(one.rim(k, 0), True) for k in one.cells.living(reach)]
        if one.span.closed:
            return inner
        last = (one.span.first + one.span.count) % len(self.s)
        sides = [
            self._end(one, j, k, j.left is None) for j, k in zip(one.ends, (one.span.first, last))
        ]
        return [(sides[0], True), *inner, (sides[1], False)]

    def _end(self, one: Treated, joint: Joint, k: int, begins: bool) -> Side:
        """Close the end of a stretch at the beginning of segment `k`; its border in the face."""
        assert joint.way is not None
        reach, drop = one.span.edge.reach, one.span.edge.drop
        p, q = one.space(joint.begin, 0.0), one.space(joint.at(reach), 0.0)
        line = self.bound.side(Geom_Line(point(p), way(q - p)), 0.0, reach)
        low, high = sorted((one.level, one.level - one.up * drop))
        posts = self.posts(k, low, high)
        # From the foot on the side to the face, in, and down along the section.
        loop: Loop = [*(posts if one.up > 0.0 else turned(posts)), (line, True)]
        loop += [one.way_up(one.riser(joint, row), row, False) for row in range(len(one.rows))]
        ahead = np.array([joint.way.imag, -joint.way.real, 0.0])
        # The wood lies before the beginning of a stretch, and beyond its end.
        facing = ahead if begins else -ahead
        self.bound.flat([loop if begins == (one.up < 0.0) else turned(loop)], p, facing)
        return line
