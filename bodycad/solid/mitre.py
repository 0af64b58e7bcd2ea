"""How an edge runs round the outline: which part of it belongs to which piece of the outline.

A place of the edge belongs to the piece of the outline that it is nearest to. Beside each other,
two pieces share a joint: the normal where they run on smoothly, a mitre where the outline turns
out, both normals and a turn about the vertex where it turns in. An arc that bulges more tightly
than the edge is wide ends in its centre; the pieces beside it meet in a mitre from there on.

Plan points are complex numbers here, x + iy in mm."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from bodycad.errors import SolidError
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments

KINK = 5e-4
"""A turn of the outline that moves no place of the edge by more than this (mm) is none."""
SNAP = 1e-4
"""A piece that ends within this (mm) of a row of the edge's section ends in it."""
STEPS = 40


class Narrow(SolidError):
    """An edge that meets itself where the body is narrower than twice its width, near `place`."""

    def __init__(self, place: complex) -> None:
        super().__init__(f"too narrow for this edge near ({place.real:.1f}, {place.imag:.1f})")


@dataclass(frozen=True)
class Strip:
    """A piece of the outline from `a`, heading for `ahead`: straight (`bend` 0), bulging out (1),
    or bending in (-1) about `centre`; a vertex that points into the body bends in with radius 0.

    span: its length in mm, or its angle. index: of its segment; None of a vertex."""

    index: int | None
    a: complex
    ahead: complex
    bend: int
    centre: complex
    radius: float
    span: float

    def depth(self, p: complex) -> tuple[float, complex]:
        """How far in from it `p` lies, mm, and the direction in which that grows."""
        if not self.bend:
            way = 1j * self.ahead
            return (way.conjugate() * (p - self.a)).real, way
        out = p - self.centre
        far = abs(out)
        way = -self.bend * (out / far if far else -self.bend * 1j * self.ahead)
        return self.bend * (self.radius - far), way

    def measure(self, p: complex) -> float:
        """How far along it `p` lies beside it: mm, or radians of an arc."""
        if not self.bend:
            return (self.ahead.conjugate() * (p - self.a)).real
        if p == self.centre:
            return self.span / 2.0
        middle = self.toward * cmath.exp(0.5j * self.bend * self.span)
        return self.span / 2.0 + self.bend * cmath.phase((p - self.centre) / middle)

    @property
    def toward(self) -> complex:
        """The direction from an arc's centre to its beginning."""
        return -self.bend * 1j * self.ahead

    def normal(self, measure: float) -> complex:
        """The direction into the body at a place of it."""
        turn = cmath.exp(1j * self.bend * measure) if self.bend else 1.0
        return 1j * self.ahead * turn

    def reach(self, s: float) -> float:
        """Radius of the arc `s` mm in from it."""
        return self.radius - self.bend * s

    @property
    def b(self) -> complex:
        """Where it ends."""
        if not self.bend:
            return self.a + self.span * self.ahead
        return self.centre + self.radius * self.toward * cmath.exp(1j * self.bend * self.span)


@dataclass(eq=False)
class Joint:
    """Where two strips (None: the end of a stretch) meet, from `born` to `died` mm in; `at` gives
    its places. `way`: the direction of a straight joint along a normal, else None."""

    left: int | None
    right: int | None
    begin: complex
    born: float
    way: complex | None
    pair: tuple[Strip, Strip] | None
    died: float = math.inf
    known: dict[float, complex] = field(default_factory=dict)

    def at(self, s: float) -> complex:
        """The place `s` mm in."""
        if self.way is not None:
            return self.begin + (s - self.born) * self.way
        if s not in self.known:
            self.known[s] = self._found(s)
        return self.known[s]

    def _found(self, s: float) -> complex:
        assert self.pair is not None
        one, two = self.pair
        p, now = self.begin, self.born
        step = s - now
        for _ in range(STEPS):
            if now == s:
                return p
            (_, m), (_, n) = one.depth(p), two.depth(p)
            onward = 1.0 + (m.conjugate() * n).real
            if onward < 1e-6:
                break
            try:
                guess = p + step * (m + n) / onward
                p, now = _solved(one, two, guess, now + step), now + step
            except Narrow:
                step /= 2.0
                continue
            step = s - now
        raise Narrow(p)


def _solved(one: Strip, two: Strip, p: complex, s: float) -> complex:
    """The place near `p` that is `s` mm in from both strips, by Newton's rule."""
    for _ in range(STEPS):
        (f, m), (g, n) = one.depth(p), two.depth(p)
        across = (m.conjugate() * n).imag
        # The outline turns out here, so that the mitre runs away from both.
        if across < 1e-12:
            raise Narrow(p)
        f, g = s - f, s - g
        move = complex(f * n.imag - g * m.imag, m.real * g - n.real * f) / across
        if abs(move) > 50.0:
            raise Narrow(p)
        p += move
        if abs(move) < 1e-12 * (1.0 + abs(p)):
            return p
    if max(abs(f), abs(g)) > 1e-9:
        raise Narrow(p)
    return p


@dataclass(frozen=True, eq=False)
class Cells:
    """The strips of a run, their joints, and how far in (mm) each strip ends; inf for never."""

    strips: tuple[Strip, ...]
    closed: bool
    joints: tuple[Joint, ...]
    gone: tuple[float, ...]

    def living(self, s: float) -> list[int]:
        """The strips that reach beyond `s` mm in, or at least come to it where it is the last."""
        return [k for k, end in enumerate(self.gone) if end > s]

    def joint(self, strip: int, s: float, right: bool) -> Joint:
        """The joint at the right (or left) side of a strip just beyond `s` mm in."""
        return next(
            j
            for j in self.joints
            if (j.left if right else j.right) == strip and j.born <= s < j.died
        )

    def side(self, strip: int, low: float, high: float, right: bool) -> list[Joint]:
        """The joints at one side of a strip from `low` to `high` mm in, in that order."""
        found = [
            j
            for j in self.joints
            if (j.left if right else j.right) == strip and j.born < high and j.died > low
        ]
        return sorted(found, key=lambda j: j.born)


def strips_of(s: Segments, reach: float, closed: bool) -> tuple[Strip, ...]:
    """The strips of a chain of the outline, with its vertices that point into the body."""
    found: list[Strip] = []
    n = len(s)
    for k in range(n):
        own, after = _strip(s, k), (k + 1) % n
        found.append(own)
        if not closed and after == 0:
            continue
        turn = cmath.phase(_strip(s, after).normal(0.0) / own.normal(own.span))
        if turn < 0.0 and -turn * reach > KINK:
            ahead = own.normal(own.span) / 1j
            found.append(Strip(None, own.b, ahead, -1, own.b, 0.0, -turn))
    return tuple(found)


def _strip(s: Segments, k: int) -> Strip:
    a, b, bulge = complex(*s.a[k]), complex(*s.b[k]), float(s.bulge[k])
    if not bulge:
        return Strip(k, a, (b - a) / abs(b - a), 0, 0j, math.inf, abs(b - a))
    sweep = 4.0 * math.atan(bulge)
    ahead = (b - a) / abs(b - a) * cmath.exp(-0.5j * sweep)
    bend = 1 if bulge > 0.0 else -1
    radius = float(s.radius[k])
    return Strip(k, a, ahead, bend, a + bend * radius * 1j * ahead, radius, abs(sweep))


def cells(strips: Sequence[Strip], closed: bool, reach: float, levels: Sequence[float]) -> Cells:
    """The strips of a run with their joints, as far in as the edge reaches.

    `levels`: how far in the rows of its section stand. Raises Narrow where two strips meet that
    are not beside each other."""
    n = len(strips)
    gone = [math.inf] * n
    left, right = [_none()] * n, [_none()] * n
    joints = []
    for k in range(n):
        if closed or k + 1 < n:
            after = (k + 1) % n
            left[after] = right[k] = _joint(strips, k, after, strips[k].b, 0.0, reach)
            joints.append(right[k])
    if not closed:
        first, last = strips[0], strips[-1]
        left[0] = Joint(None, 0, first.a, 0.0, first.normal(0.0), None)
        right[-1] = Joint(n - 1, None, last.b, 0.0, last.normal(last.span), None)
        joints += [left[0], right[-1]]

    def end(k: int) -> float:
        return _end(strips, left[k], right[k], k, now, reach)

    now = 0.0
    ends = [end(k) for k in range(n)]
    while ends and min(ends) < reach + SNAP:
        k = ends.index(min(ends))
        one, two = left[k], right[k]
        now = max(next((x for x in levels if abs(x - ends[k]) < SNAP), ends[k]), now)
        p = one.at(min(now, ends[k]))
        before, follower = one.left, two.right
        if before is None or follower is None or before == follower:
            raise Narrow(p)
        gone[k], ends[k] = now, math.inf
        one.died = two.died = now
        left[follower] = right[before] = _joint(strips, before, follower, p, now, reach)
        joints.append(right[before])
        if now < reach:
            ends[before], ends[follower] = end(before), end(follower)
        elif all(value > reach + SNAP for value in ends):
            break
    made = Cells(tuple(strips), closed, tuple(joints), tuple(gone))
    if closed:
        _apart(made, reach)
    return made


def _apart(made: Cells, reach: float) -> None:
    """Raise Narrow where the inner border of an edge crosses itself."""
    rows: list[tuple[float, float, float]] = []
    for k in made.living(reach):
        strip, place = made.strips[k], made.joint(k, reach, False)
        ends = [made.joint(k, reach, right) for right in (False, True)]
        low, high = (strip.measure(joint.at(reach)) for joint in ends)
        p = place.at(reach)
        bulge = math.tan(strip.bend * (high - low) / 4.0) if strip.bend else 0.0
        if not rows or math.dist(rows[-1][:2], (p.real, p.imag)) > SNAP:
            rows.append((p.real, p.imag, bulge))
    if len(rows) < 2:
        raise Narrow(made.strips[0].a)
    inner = Profile(np.array(rows))
    for x, y in crossings(inner.segments)[:1]:
        raise Narrow(complex(x, y))
    if inner.area <= 0.0:
        raise Narrow(complex(*rows[0][:2]))


def _none() -> Joint:
    return Joint(None, None, 0j, 0.0, None, None)


def _joint(
    strips: Sequence[Strip], one: int, two: int, p: complex, s: float, reach: float
) -> Joint:
    a, b = strips[one], strips[two]
    if s == 0.0:
        m, n = a.normal(a.span), b.normal(0.0)
        if abs(m - n) * reach <= KINK or a.index is None or b.index is None:
            exact = m if a.index is None else n if b.index is None else (m + n) / abs(m + n)
            return Joint(one, two, p, 0.0, exact, (a, b))
    (_, m), (_, n) = a.depth(p), b.depth(p)
    if s and (m.conjugate() * n).imag < 1e-12:
        raise Narrow(p)
    return Joint(one, two, p, s, None, (a, b))


def _end(
    strips: Sequence[Strip], one: Joint, two: Joint, k: int, now: float, reach: float
) -> float:
    """How far in a strip ends between its joints; inf where it reaches as far as the edge."""
    own = strips[k]
    if one.way is not None and two.way is not None:
        return own.radius if own.bend > 0 else math.inf
    near = [own, *(strips[j] for j in (one.left, two.right) if j is not None)]
    high = min([reach + SNAP, *(x.radius for x in near if x.bend > 0)])

    def spare(s: float) -> float:
        try:
            return own.measure(two.at(s)) - own.measure(one.at(s))
        except Narrow:
            return -1.0

    if spare(high) > 0.0:
        return own.radius if own.bend > 0 and own.radius <= high else math.inf
    low = now
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        low, high = (middle, high) if spare(middle) > 0.0 else (low, middle)
    one.known.clear()
    two.known.clear()
    return (low + high) / 2.0
