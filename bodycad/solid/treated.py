"""The faces of an edge along the outline or a stretch of it, each on its own exact surface."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from OCP.Geom import Geom_Circle, Geom_Curve, Geom_Line
from OCP.gp import gp_Ax2
from OCP.TopoDS import TopoDS_Face

from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Edge
from bodycad.solid.brep import (
    ONE,
    Boundary,
    Loop,
    Side,
    drawn,
    flat_through,
    point,
    start,
    straight,
    through,
    turned,
    way,
)
from bodycad.solid.mitre import Cells, Joint, Strip, cells, strips_of
from bodycad.solid.swept import Map, Row, rows_of, surface_of

SAMPLES = 33
"""Places of a mitre through which its curve runs."""


@dataclass(frozen=True)
class Span:
    """An edge along segments `first` to `first + count - 1` of the outline, counted round."""

    edge: Edge
    first: int
    count: int
    closed: bool


class Treated:
    """The edge of a face at height `level`, `up` (1 or -1) out of it, along a span of an outline.

    `levels`: the edges of the boundary along each strip at each row; `risers`: those along each
    joint. Both are made where they are first asked for, so that neighbours share them."""

    def __init__(self, bound: Boundary, s: Segments, span: Span, level: float, up: float) -> None:
        self.bound, self.span, self.level, self.up = bound, span, level, up
        self.rows = rows_of(span.edge)
        reach = span.edge.reach
        index = (span.first + np.arange(span.count)) % len(s)
        strips = strips_of(s.take(index), reach, span.closed)
        inset = sorted({x for row in self.rows for x in (row.upper[0], row.lower[0])})
        self.cells: Cells = cells(strips, span.closed, reach, inset)
        self.levels: dict[tuple[int, int], Side] = {}
        self.risers: dict[tuple[int, int], Side] = {}

    def space(self, p: complex, height: float) -> np.ndarray:
        """The place over `p` at a height over the face."""
        return np.array([p.real, p.imag, self.level + self.up * height])

    def rim(self, k: int, row: int) -> Side:
        """The edge along strip `k` at the beginning of a row, from the face down; at its end for
        the last row."""
        if (row, k) not in self.levels:
            last = row == len(self.rows)
            s, h = self.rows[-1].lower if last else self.rows[row].upper
            strip = self.cells.strips[k]
            ends = [self.cells.joint(k, s, right).at(s) for right in (False, True)]
            low, high = map(strip.measure, ends)
            z = self.level + self.up * h
            self.levels[row, k] = along(self.bound, strip, s, z, low, high)
        return self.levels[row, k]

    def riser(self, joint: Joint, row: int) -> Side:
        """The edge along a joint on a row, from its lower end up or by the angle."""
        key = row, id(joint)
        if key not in self.risers:
            own = self.rows[row]
            low, high = self._marks(joint, own)
            if joint.way is not None:
                self.risers[key] = self._plain(joint, own, low, high)
            else:
                self.risers[key] = self._mitred(joint, own, low, high)
        return self.risers[key]

    def _marks(self, joint: Joint, row: Row) -> tuple[float, float]:
        if row.upright:
            return 0.0, row.length
        low = row.mark(max(joint.born, row.lower[0]))
        high = row.mark(min(joint.died, row.upper[0]))
        return low, high

    def _plain(self, joint: Joint, row: Row, low: float, high: float) -> Side:
        assert joint.way is not None
        if row.middle is None:
            ends = [row.at(m) for m in (0.0, row.length)]
            p, q = (self.space(joint.at(s), h) for s, h in ends)
            curve: Geom_Curve = Geom_Line(point(p), way(q - p))
        else:
            s, h = row.middle
            u = np.array([joint.way.real, joint.way.imag, 0.0])
            normal = np.cross(u, [0.0, 0.0, self.up])
            origin = self.space(joint.begin + s * joint.way, h)
            curve = Geom_Circle(gp_Ax2(point(origin), way(normal), way(u)), row.radius)
        first, last = sorted((low, high))
        off = max(self._gap(joint, k) for k in (joint.left, joint.right))
        return self.bound.side(curve, first, last, max(1e-7, 1.5 * off))

    def _gap(self, joint: Joint, k: int | None) -> float:
        """How far (mm) a straight joint runs from the strip's own normal at most."""
        if k is None or joint.way is None:
            return 0.0
        strip = self.cells.strips[k]
        own = strip.normal(strip.span if joint.left == k else 0.0)
        return abs(own - joint.way) * self.span.edge.reach

    def _mitred(self, joint: Joint, row: Row, low: float, high: float) -> Side:
        first, last = sorted((low, high))
        pair = [self.cells.strips[k] for k in (joint.left, joint.right) if k is not None]
        if row.upright or (row.middle is None and not any(strip.bend for strip in pair)):
            (s0, h0), (s1, h1) = (row.at(m) for m in (first, last))
            p, q = self.space(joint.at(s0), h0), self.space(joint.at(s1), h1)
            far = float(np.linalg.norm(q - p))
            if far < ONE:
                at = self.bound.vertex(p)
                return Side(None, at, at)
            return self.bound.side(Geom_Line(point(p), way(q - p)), 0.0, far)
        marks = self._samples(first, last)
        return self.bound.side(through(self._places(joint, row, marks), marks), first, last, 2e-6)

    def _samples(self, first: float, last: float) -> np.ndarray:
        return np.linspace(first, last, SAMPLES)

    def _places(self, joint: Joint, row: Row, marks: np.ndarray) -> np.ndarray:
        spots = [row.at(float(m)) for m in marks]
        return np.array([self.space(joint.at(s), h) for s, h in spots])

    def close(self) -> None:
        """Add the faces of the edge."""
        for row in range(len(self.rows)):
            if self.rows[row].level:
                self._shelf(row)
                continue
            s = self.rows[row].lower[0]
            for k in self.cells.living(s):
                self._face(k, row)

    def _shelf(self, row: int) -> None:
        """The level face of a ledge's row."""
        own = self.rows[row]
        outer: Loop = [(self.rim(k, row + 1), True) for k in self.cells.living(own.lower[0])]
        inner: Loop = [(self.rim(k, row), True) for k in self.cells.living(own.upper[0])]
        loops = self._ring(outer, inner, row)
        self._level_face(loops, own.upper[1])

    def _ring(self, outer: Loop, inner: Loop, row: int) -> list[Loop]:
        back: Loop = [(side, False) for side, _ in reversed(inner)]
        if self.span.closed:
            return [outer, back]
        ends = self.ends
        rise, fall = self.riser(ends[1], row), self.riser(ends[0], row)
        return [[*outer, self.way_up(rise, row, True), *back, self.way_up(fall, row, False)]]

    @property
    def ends(self) -> tuple[Joint, Joint]:
        """The joints at the ends of a stretch."""
        first = next(j for j in self.cells.joints if j.left is None)
        last = next(j for j in self.cells.joints if j.right is None)
        return first, last

    def way_up(self, side: Side, row: int, up: bool) -> tuple[Side, bool]:
        """A riser in a loop, run upward or downward."""
        own = self.rows[row]
        grows = own.middle is None or own.turn[0] > own.turn[1]
        return side, grows == up

    def _level_face(self, loops: list[Loop], height: float) -> None:
        if self.up < 0.0:
            loops = [turned(loop) for loop in loops]
        normal = np.array([0.0, 0.0, self.up])
        self.bound.flat(loops, self.space(0j, height), normal)

    def _face(self, k: int, row: int) -> None:
        own, strip = self.rows[row], self.cells.strips[k]
        s0, s1 = own.lower[0], own.upper[0]
        if own.upright:
            left = [self.cells.joint(k, s0, False)]
            right = [self.cells.joint(k, s0, True)]
        else:
            left, right = (self.cells.side(k, s0, s1, r) for r in (False, True))
        under = self.rim(k, row + 1)
        ends = self.cells.gone[k] <= s1 and not own.upright
        over = None if ends else self.rim(k, row)
        loop: Loop = [(under, True)]
        loop += [self.way_up(self.riser(j, row), row, True) for j in right]
        if over is not None:
            loop.append((over, False))
        loop += [self.way_up(self.riser(j, row), row, False) for j in reversed(left)]
        if strip.bend == 0 and own.middle is None:
            self._plane(strip, own, loop)
            return
        surface, place = surface_of(strip, own, self.level, self.up)
        face = start(surface)
        self._draw(face, place, strip, k, row, left, right, under, over, loop)
        natural = self._natural(place, own)
        if self.up < 0.0:
            loop = turned(loop)
        self.bound.add(face, [loop], natural)

    def _plane(self, strip: Strip, row: Row, loop: Loop) -> None:
        inward = strip.normal(0.0)
        (s1, h1), (s0, h0) = row.upper, row.lower
        rise = np.array([(s1 - s0) * inward.real, (s1 - s0) * inward.imag, self.up * (h1 - h0)])
        along = np.array([strip.ahead.real, strip.ahead.imag, 0.0])
        normal = self.up * np.cross(along, rise)
        normal /= np.linalg.norm(normal)
        origin = self.space(strip.a + s0 * inward, h0)
        self.bound.flat([turned(loop) if self.up < 0.0 else loop], origin, normal)

    def _natural(self, place: Map, row: Row) -> bool:
        o, m, q = (np.array(place(*at)) for at in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)))
        m, q = m - o, q - o
        low, high = row.ends()
        return bool(self.up * np.sign(high - low) * (m[0] * q[1] - m[1] * q[0]) > 0.0)

    def _draw(
        self,
        face: TopoDS_Face,
        place: Map,
        strip: Strip,
        k: int,
        row: int,
        left: list[Joint],
        right: list[Joint],
        under: Side,
        over: Side | None,
        loop: Loop,
    ) -> None:
        """Say where the edges of a face run on it, and close its poles."""
        own = self.rows[row]
        low, high = own.ends()
        for side, mark, s in ((under, low, own.lower[0]), (over, high, own.upper[0])):
            if side is None:
                continue
            o, one = np.array(place(0.0, mark)), np.array(place(1.0, mark))
            line = straight(o, one - o)
            if side.edge is not None:
                drawn(side, face, line)
                continue
            ends = [strip.measure(self.cells.joint(k, s, r).at(s)) for r in (False, True)]
            if strip.reach(s) < ONE:
                ends = [0.0, strip.span]
            if ends[1] - ends[0] > 1e-9 and strip.bend:
                pole = self.bound.nothing(side.first, face, line, *ends)
                spot = next(i for i, (x, _) in enumerate(loop) if x is side)
                loop[spot] = (pole, loop[spot][1])
        for joints, at_end in ((left, False), (right, True)):
            for joint in joints:
                self._draw_riser(face, place, strip, joint, row, at_end)
        if over is None and all(j.way is not None for j in (left[-1], right[-1])):
            mark = own.mark(min(self.cells.gone[k], own.upper[0]))
            o, one = np.array(place(0.0, mark)), np.array(place(1.0, mark))
            s, h = own.at(mark)
            at = self.bound.vertex(self.space(strip.centre, h))
            pole = self.bound.nothing(at, face, straight(o, one - o), 0.0, strip.span)
            loop.insert(1 + len(right), (pole, False))

    def _draw_riser(
        self, face: TopoDS_Face, place: Map, strip: Strip, joint: Joint, row: int, at_end: bool
    ) -> None:
        side, own = self.riser(joint, row), self.rows[row]
        if side.edge is None:
            return
        if joint.way is not None:
            measure = strip.span if at_end else 0.0
            o, one = np.array(place(measure, 0.0)), np.array(place(measure, 1.0))
            drawn(side, face, straight(o, one - o))
            return
        if own.upright:
            measure = strip.measure(joint.at(own.lower[0]))
            o, one = np.array(place(measure, 0.0)), np.array(place(measure, 1.0))
            drawn(side, face, straight(o, one - o))
            return
        first, last = sorted(self._marks(joint, own))
        marks = self._samples(first, last)
        spots = [(float(m), joint.at(own.at(float(m))[0])) for m in marks]
        flat = np.array([place(strip.measure(p), m) for m, p in spots])
        drawn(side, face, flat_through(flat, marks))


def along(bound: Boundary, strip: Strip, s: float, z: float, low: float, high: float) -> Side:
    """The level edge at height `z` that runs `s` mm in from a strip, between two of its
    measures."""
    if not strip.bend:
        a, ahead = strip.a + s * strip.normal(0.0), strip.ahead
        line = Geom_Line(point((a.real, a.imag, z)), way((ahead.real, ahead.imag, 0.0)))
        return bound.side(line, low, high)
    centre, toward = (strip.centre.real, strip.centre.imag, z), strip.toward
    if strip.reach(s) < ONE:
        at = bound.vertex(np.array(centre))
        return Side(None, at, at)
    up, u = way((0.0, 0.0, float(strip.bend))), way((toward.real, toward.imag, 0.0))
    return bound.side(Geom_Circle(gp_Ax2(point(centre), up, u), strip.reach(s)), low, high)
