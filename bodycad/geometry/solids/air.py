"""The air inside a shape whose open ends are no walls, and bundles of lines that run through it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.segments import Segments, crossed

PASSED = 1e-9
"""What is no farther than this (mm) past a surface has not passed it."""

Span = tuple[float, float]
"""From where to where along a line, mm; empty when the second is less."""
NONE = (0.0, -1.0)


class Air(ABC):
    """The air inside one shape; past an open end it goes on without end."""

    @abstractmethod
    def holds(self, points: np.ndarray) -> np.ndarray:
        """Whether each of `points` (m, 3) lies in the air."""

    @abstractmethod
    def leaves(self, points: np.ndarray, way: np.ndarray, most: float) -> np.ndarray:
        """How far (m,) one goes from each of `points` (m, 3) in the air along the unit `way`
        (m, 3) until a wall is passed: exact, `most` at most."""

    @abstractmethod
    def free(self, points: np.ndarray, front: float, back: float) -> np.ndarray:
        """Radius (m,) of a ball of air about each of `points` (m, 3), never more than there is;
        negative in a wall. Over an open end, past the body's `front` or `back` height, the ball
        ends at the rim or at the opposite end."""

    @abstractmethod
    def spans(self, lines: Lines) -> list[Span]:
        """Where along a bundle every line is in the air."""


@dataclass(frozen=True, eq=False)
class Lines:
    """A bundle of equal lines: from `base` (m, 3) along the unit `way` (3,), `length` mm."""

    base: np.ndarray
    way: np.ndarray
    length: float

    def past(self, room: np.ndarray, pace: float) -> Span:
        """Where `room` (m,) + `pace` t is not negative for any line."""
        room = room + PASSED
        if abs(pace) < 1e-12:
            return (0.0, self.length) if room.min() >= 0.0 else NONE
        turn = -room / pace
        if pace > 0.0:
            return max(float(turn.max()), 0.0), self.length
        return 0.0, min(float(turn.min()), self.length)

    def all_in(self, chain: Segments, inside: bool = True) -> list[Span]:
        """Where every line is inside (or none is) a closed chain in plan."""
        base, way, count = self.base[:, :2], self.way[:2], len(self.base)
        turns = crossed(chain, base, np.tile(way, (count, 1)), 0.0, self.length)
        turns = np.minimum(turns, self.length)
        marks = np.column_stack([np.zeros(count), turns, np.full(count, self.length)])
        middles = (marks[:, :-1] + marks[:, 1:]) / 2.0
        spots = base[:, None, :] + middles[..., None] * way
        here = chain.encloses(spots.reshape(-1, 2)).reshape(middles.shape) == inside
        # How many lines are in, from mark to mark of all of them together.
        step = np.diff(here.astype(int), axis=1).ravel()
        order = np.argsort(marks[:, 1:-1], axis=None)
        many = here[:, 0].sum() + np.append(0, np.cumsum(step[order]))
        ends = np.concatenate([[0.0], marks[:, 1:-1].ravel()[order], [self.length]])
        return [(float(ends[k]), float(ends[k + 1])) for k in np.flatnonzero(many == count)]


def common(*spans: Span) -> Span:
    """What several spans have in common."""
    return max(a for a, _ in spans), min(b for _, b in spans)


def until(room: np.ndarray, pace: np.ndarray) -> np.ndarray:
    """How far one goes until `room` (m,) is used up at `pace` (m,) per mm, or inf."""
    return np.where(pace > 0.0, np.maximum(room, 0.0) / np.where(pace > 0.0, pace, 1.0), np.inf)
