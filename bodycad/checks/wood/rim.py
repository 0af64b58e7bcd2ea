"""Where along a drilled way its whole section lies in one kind of air: exact, from lines along its side."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.inside import crossed
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.shapes import Bore
from bodycad.geometry.solids.tilted import floor_at
from bodycad.layout.void import Void

FINE = 2e-3
"""Wood thinner than this (mm) is none."""
TOUCH = 1e-9
"""What is no farther than this (mm) past a surface has not passed it."""
TOLD = 1e-6
"""How far (mm) inside a bore's side its lines run."""
AROUND = np.arange(24) * math.pi / 12.0
"""Where round the bore the lines run, radians."""

Span = tuple[float, float]
"""From where to where along a bore, mm; empty when the second is less."""
NOWHERE = (0.0, -1.0)


@dataclass(frozen=True, eq=False)
class Rim:
    """Lines along the side of a bore: from `base` (m, 3) along the unit `way` (3,), `length` mm."""

    base: np.ndarray
    way: np.ndarray
    length: float

    def past(self, room: np.ndarray, pace: float) -> Span:
        """Where `room` (m,) + `pace` t is not negative for any line."""
        room = room + TOUCH
        if abs(pace) < 1e-12:
            return (0.0, self.length) if room.min() >= 0.0 else NOWHERE
        turn = -room / pace
        return (
            (max(float(turn.max()), 0.0), self.length)
            if pace > 0.0
            else (0.0, min(float(turn.min()), self.length))
        )

    def all_in(self, chain: Segments, inside: bool = True) -> list[Span]:
        """Where every line is inside (or none is) a closed chain in plan."""
        base, way, lines = self.base[:, :2], self.way[:2], len(self.base)
        turns = np.minimum(
            crossed(chain, base, np.tile(way, (lines, 1)), 0.0, self.length), self.length
        )
        marks = np.column_stack([np.zeros(lines), turns, np.full(lines, self.length)])
        middles = (marks[:, :-1] + marks[:, 1:]) / 2.0
        spots = base[:, None, :] + middles[..., None] * way
        here = chain.encloses(spots.reshape(-1, 2)).reshape(middles.shape) == inside
        # How many lines are in, from mark to mark of all of them together.
        step = np.diff(here.astype(int), axis=1).ravel()
        order = np.argsort(marks[:, 1:-1], axis=None)
        count = here[:, 0].sum() + np.append(0, np.cumsum(step[order]))
        ends = np.concatenate([[0.0], marks[:, 1:-1].ravel()[order], [self.length]])
        return [(float(ends[k]), float(ends[k + 1])) for k in np.flatnonzero(count == lines)]


def rim_of(shape: Bore) -> Rim:
    """Lines all round a bore over its full diameter, TOLD within its side: what runs along a wall
    as wide is inside it."""
    ring = (shape.radius - TOLD) * (
        np.cos(AROUND)[:, None] * shape.axes[0] + np.sin(AROUND)[:, None] * shape.axes[1]
    )
    return Rim(np.array(shape.start) + ring, shape.axes[2], shape.shoulder)


def in_void(rim: Rim, void: Void) -> list[Span]:
    """Where every line of a rim is inside a void; its open faces are no end of it."""
    shape = void.shape
    if isinstance(shape, Bore):
        return [_in_bore(rim, shape, bool(void.opens))]
    ends, slope = [(0.0, rim.length)], np.array(shape.slope)
    if "back" not in void.opens:
        ends.append(
            rim.past(
                rim.base[:, 2] - floor_at(shape, rim.base[:, :2]), rim.way[2] - rim.way[:2] @ slope
            )
        )
    if "front" not in void.opens:
        ends.append(rim.past(shape.high - rim.base[:, 2], -rim.way[2]))
    return [_common(span, *ends) for span in rim.all_in(shape.profile.segments)]


def _in_bore(rim: Rim, shape: Bore, open_start: bool) -> Span:
    local, way = (rim.base - np.array(shape.start)) @ shape.axes.T, shape.axes @ rim.way
    square, half = float(way[:2] @ way[:2]), local[:, :2] @ way[:2]
    # Each line is within the radius between the roots of square t^2 + 2 half t = room.
    room = (shape.radius + TOUCH) ** 2 - (local[:, :2] ** 2).sum(axis=1)
    ends = [rim.past(shape.shoulder - local[:, 2], -way[2])] + (
        [] if open_start else [rim.past(local[:, 2], way[2])]
    )
    if square < 1e-18:
        return _common(*ends) if room.min() >= 0.0 else NOWHERE
    spare = half * half + square * room
    if spare.min() < 0.0:
        return NOWHERE
    root = np.sqrt(spare)
    return _common(
        *ends, (float(((-half - root) / square).max()), float(((-half + root) / square).min()))
    )


def _common(*spans: Span) -> Span:
    """What several spans have in common."""
    return max(a for a, _ in spans), min(b for _, b in spans)


def covered(start: float, spans: list[Span]) -> float:
    """How far spans that follow on one another, but for FINE, reach from `start`."""
    for a, b in sorted(spans):
        if a <= start + FINE:
            start = max(start, b)
    return start
